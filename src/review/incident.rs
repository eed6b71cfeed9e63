//! One incident, played: a leash fall, or a piece that goes while somebody is on the line.

use std::sync::Arc;

use glam::DVec3;

use super::breaking::{Broken, Limits};
use super::case::Class;
use super::clearance::Ground;
use super::peaks::{Gauge, Peaks};
use super::situation::{How, Seen, Situation};
use super::solve::Solver;
use crate::catalogue::Catalogue;
use crate::mechanics::G;
use crate::mechanics::equilibrium::{self, Status};
use crate::mechanics::law::LengthLaw;
use crate::mechanics::motion::{End, Flow, Motion, Scheme};
use crate::mechanics::net::Member;
use crate::plan::{PartLength, Plan, Role, Side};
use crate::rig::{Bystander, Loss, Rest, Rider, Rig, Staged, Tied};
use crate::units::Quantity;

/// What happens.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// Which it is.
    pub situation: Situation,
    /// Its class.
    pub class: Class,
    /// Where the walker is, as a share of the line.
    pub at: f64,
    /// Who is on the line, and whether they fall.
    pub who: Who,
    /// What goes at that moment.
    pub loss: Loss,
    /// What was gone before.
    pub missing: Loss,
    /// Whether the ring slides along a backup that catches, or holds its place.
    pub slides: bool,
    /// What else is against it.
    pub against: Against,
}

/// What stands against a rig in an incident beside what happens: each alone, at the place where it is worst.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Against {
    /// Gear at the soft end of what is usual, as when new, instead of at the stiff one.
    pub new_gear: bool,
    /// This leg is short by its tolerance, the others of its anchor long by theirs.
    pub short: Option<usize>,
    /// A sliding leg whose friction stands at its limit, and which of its strands carries most.
    pub held: Option<(usize, usize)>,
    /// Others who stand on the line.
    pub others: Vec<Bystander>,
}

/// Who is on the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Who {
    /// Standing, this mass in all, kg.
    Standing(f64),
    /// Falling past the line at rest, kg.
    Falling(f64),
    /// Standing until something goes, then falling with the line, kg.
    LettingGo(f64),
}

/// Lengths of a walker.
#[derive(Debug, Clone)]
pub struct Body {
    /// Height of the tie-in above the line when standing, m.
    pub tie_in_m: f64,
    /// How far the body reaches below the tie-in when hanging, m.
    pub below_m: f64,
    /// The leash; nothing when the plan has none.
    pub leash: Option<Arc<LengthLaw>>,
    /// Mass that rides on the line: the leash's hardware, and half its rope, kg.
    pub rings_kg: f64,
    /// What they may come down on.
    pub ground: Ground,
}

impl Body {
    /// That of a plan's walkers.
    #[must_use]
    pub fn of(plan: &Plan, catalogue: &Catalogue) -> Self {
        let named = plan.people.leash.as_ref().and_then(|n| plan.runs.get(n));
        let run = named.or_else(|| plan.runs.values().find(|r| r.role == Role::Leash));
        let leash = run.and_then(|r| crate::rig::chain_of(r, catalogue)).map(Arc::new);
        let hardware = run.into_iter().flat_map(|r| &r.parts).filter_map(|p| catalogue.get(&p.item));
        let rings_kg: f64 = hardware.filter(|i| !i.class.is_soft()).filter_map(|i| i.mass).map(Quantity::si).sum();
        // Half of the leash moves with the ring; the other half is little beside a walker.
        let rope = run.into_iter().flat_map(|r| &r.parts).filter_map(|p| Some((p, catalogue.get(&p.item)?)));
        let rope_kg: f64 = rope
            .filter(|(_, i)| i.class.is_soft())
            .map(|(p, i)| {
                let own = i.length.map_or(0.0, Quantity::si);
                i.mass_per_m() * if let PartLength::Is(l) = p.length { l.si() } else { own }
            })
            .sum();
        let rings_kg = rings_kg + 0.5 * rope_kg;
        let ground = Ground::of(plan);
        Self { tie_in_m: plan.people.tie_in.si(), below_m: plan.people.body_below.si(), leash, rings_kg, ground }
    }

    /// From the rings down to the feet of somebody who hangs, the leash not stretched, m.
    #[must_use]
    pub fn under_ring_m(&self) -> f64 {
        self.leash.as_ref().map_or(0.0, |l| l.slack_m()) + self.below_m
    }
}

/// How a walker ends up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Held {
    /// By both sides.
    Both,
    /// By this side alone: they swing into it.
    Only(Side),
    /// By nothing.
    Dropped,
}

/// A picture of a motion.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Since the walker let go, or the piece went, s.
    pub t_s: f64,
    /// The main line, then what stands in for it: chains of places, m.
    pub lines: Vec<Vec<DVec3>>,
    /// Ring and walker, m.
    pub ring: DVec3,
    /// The walker's tie-in, or feet when standing, m.
    pub walker: DVec3,
    /// Tension of each run, N.
    pub run_n: Vec<f64>,
    /// Tension of the leash, N.
    pub leash_n: f64,
}

/// What came of an incident.
#[derive(Debug, Clone, PartialEq)]
pub struct Incident {
    /// What happened.
    pub event: Event,
    /// Why its numbers do not stand; nothing when they do.
    pub fault: Option<String>,
    /// When the ring came to a joint or an end of the line, s: what follows is not worked out.
    pub ring_at_joint_s: Option<f64>,
    /// How the walker ends up; nothing when a piece broke on the way.
    pub held: Option<Held>,
    /// Whether what went carried nothing, so that nothing stirred.
    pub idle: bool,
    /// Largest of everything.
    pub peaks: Peaks,
    /// Runs that carry more at rest than before, most first.
    pub caught_by: Vec<usize>,
    /// How far the walker goes down at most, m.
    pub drop_m: f64,
    /// Lowest place of the line's ring, m.
    pub lowest_m: f64,
    /// Lowest place of the walker's tie-in, or of the ring they stand on, m.
    pub walker_m: f64,
    /// Lowest place of the feet, and where along the span, m.
    pub feet_m: [f64; 2],
    /// Where the walker comes to rest, m; nothing when statics does not say.
    pub settles_m: Option<f64>,
    /// Time of the lowest place, s.
    pub lowest_at_s: f64,
    /// What broke, and when, s.
    pub breaks: Option<(Broken, f64)>,
    /// What the books of energy are out by, over weight times drop.
    pub energy_error: f64,
    /// What the time stepping took, over weight times drop.
    pub numerical: f64,
    /// Whether the line stood taut and its waves were kept: its peaks then settle on the usual mesh.
    pub by_waves: bool,
    /// Difference of the peaks to half the step and mesh; nothing when not repeated.
    pub mesh_error: Option<f64>,
    /// Peaks of each play of it where it was played more than once, the coarsest first.
    pub plays: Vec<Peaks>,
    /// Why the repetition at half the step and mesh says nothing; nothing when it does, or when there was none.
    pub repeat_fault: Option<String>,
}

/// How finely an incident is played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grain {
    /// Elements of the main line.
    pub elements: usize,
    /// Elements of it that are usual: what else is cut is as much finer.
    pub usual: usize,
    /// Time step, s.
    pub step_s: f64,
}

impl Grain {
    /// For what goes, in the whole review: about a metre to an element on usual lines, longer and slower on long ones.
    #[must_use]
    pub fn usual(line_m: f64) -> Self {
        let elements = line_m.round().clamp(40.0, 100.0) as usize;
        Self { elements, usual: elements, step_s: 0.003 * (line_m / 150.0).clamp(1.0, 2.0) }
    }

    /// For leash falls, whose peak comes by waves from both ends of the line: finer.
    #[must_use]
    pub fn of_falls(line_m: f64) -> Self {
        let elements = line_m.round().clamp(80.0, 100.0) as usize;
        Self { elements, usual: elements, step_s: 0.002 * (line_m / 100.0).clamp(1.0, 3.0) }
    }

    /// Step and mesh so many times as fine.
    #[must_use]
    pub fn finer(self, times: usize) -> Self {
        Self { elements: times * self.elements, usual: self.usual, step_s: self.step_s / times as f64 }
    }
}

/// Shortest step that a motion is tried with, s.
const SHORTEST_S: f64 = 2.5e-5;
/// How many times at most a step is made shorter, so that a finer motion is finer where it matters.
const CUTS: f64 = 100.0;
/// Energy that one step of the usual mesh may misplace before it is cut, over weight times a metre; shorter steps less.
const SLIP: f64 = 2e-4;
/// Tension that a step may get wrong before it is cut, as a share of the largest, and how many times shorter it may
/// become for that. Against steps of a sixty-fourth throughout, peaks of legs that matter are then at most 9 % low in
/// the example plans, most within 2 %; without it the stiffest were 45 % low.
const JOLT: f64 = 0.02;
const JOLT_CUTS: f64 = 64.0;
/// Longest motion that is followed, s.
const LONGEST_S: f64 = 14.0;
/// Out of the books by more than this share of weight times drop, a motion is not believed.
const BOOKS: f64 = 0.01;
/// Least drop that the books are held against, m.
const LEAST_DROP_M: f64 = 1.0;
/// A run that carries less than this has carried nothing, N.
const NOTHING_N: f64 = 1.0;
/// A ring nearer to a joint than this is at it, m.
const JOINT_M: f64 = 0.2;
/// Time between pictures, s.
const PICTURES_S: f64 = 0.02;

/// Follows a walker's ups and downs: over when the next swing after the lowest place is past as well, for what hangs
/// aside or at the far end may peak later than the leash.
#[derive(Default)]
struct Swings {
    turns: usize,
    rising: bool,
    first_s: f64,
    fastest_m_s: f64,
}

/// Too short to be a swing, s.
const RINGING_S: f64 = 0.05;
/// A walker this slow hangs still, m/s.
const STILL_M_S: f64 = 0.02;
/// Time in which something that stirs a walker at all has stirred them, s.
const STIRS_S: f64 = 1.5;

impl Swings {
    /// Whether enough has been seen at this instant, of the walker's vertical speed and the time of the lowest place.
    fn past(&mut self, up_m_s: f64, t_s: f64, lowest_at_s: f64) -> bool {
        if t_s < RINGING_S {
            return false;
        }
        self.fastest_m_s = self.fastest_m_s.max(up_m_s.abs());
        if t_s > STIRS_S && self.fastest_m_s < 2.0 * STILL_M_S {
            return true;
        }
        if up_m_s.abs() > STILL_M_S && (up_m_s > 0.0) != self.rising {
            self.rising = up_m_s > 0.0;
            self.turns += 1;
            if self.turns == 1 {
                self.first_s = t_s;
            }
        }
        // Down and up again, down once more and up: or as long as four times the first way down.
        let over = self.turns >= 3 || self.turns > 0 && t_s > 4.0 * self.first_s.max(0.25);
        over && t_s > lowest_at_s + 0.4
    }
}

impl Event {
    /// What it is called.
    #[must_use]
    pub fn words(&self) -> String {
        self.situation.to_string()
    }

    /// Whether it is a leash fall, whose peak waves decide where the line is taut.
    #[must_use]
    pub fn is_fall(&self) -> bool {
        matches!(self.who, Who::Falling(_))
    }

    fn rider(&self, body: &Body) -> Option<Rider> {
        let tied = |mass_kg: f64| {
            Some(Tied { mass_kg, tie_in_m: body.tie_in_m, leash: body.leash.clone()?, rings_kg: body.rings_kg })
        };
        Some(match self.who {
            Who::Standing(m) => Rider::Standing(m),
            Who::Falling(m) => Rider::Falling(tied(m)?),
            Who::LettingGo(m) => Rider::LettingGo(tied(m)?),
        })
    }

    fn mass_kg(&self) -> f64 {
        match self.who {
            Who::Standing(m) | Who::Falling(m) | Who::LettingGo(m) => m,
        }
    }

    /// Sets it up without playing it: the points and members as they are at the moment that it happens.
    ///
    /// # Errors
    /// Why it cannot be: no leash, a leg that cannot be short, a rest that does not balance.
    pub fn stage(&self, solver: &Solver, body: &Body, grain: Grain) -> Result<Staged, String> {
        let rider = self.rider(body).ok_or_else(|| "the plan has no leash".to_owned())?;
        let lengths = match self.against.short.map(|leg| solver.with_short(leg)) {
            None => &solver.standing.lengths,
            Some(Ok(standing)) => &standing.lengths,
            Some(Err(why)) => return Err(format!("the rig cannot be tensioned with this leg short: {why}")),
        };
        let rest = Rest {
            lengths,
            at: self.at,
            missing: &self.missing,
            held: self.against.held,
            others: &self.against.others,
        };
        solver.rig.stage(&rest, &rider, &self.loss, self.slides, [grain.elements, grain.usual])
    }

    /// Plays it. Beyond `limits` things break.
    #[must_use]
    pub fn play(
        &self,
        solver: &Solver,
        body: &Body,
        limits: &Limits<'_>,
        grain: Grain,
        pictures: Option<&mut Vec<Frame>>,
    ) -> Incident {
        let mut out = Incident {
            event: self.clone(),
            fault: None,
            ring_at_joint_s: None,
            held: None,
            idle: false,
            peaks: Peaks::default(),
            caught_by: Vec::new(),
            drop_m: 0.0,
            lowest_m: f64::NAN,
            walker_m: f64::NAN,
            feet_m: [f64::NAN; 2],
            settles_m: None,
            lowest_at_s: 0.0,
            breaks: None,
            energy_error: 0.0,
            numerical: 0.0,
            by_waves: false,
            mesh_error: None,
            plays: Vec::new(),
            repeat_fault: None,
        };
        let staged = match self.stage(solver, body, grain) {
            Ok(s) => s,
            Err(why) => {
                out.fault = Some(why);
                return out;
            }
        };
        let held = match (held(&solver.rig, &staged), solver.rig.goes(&staged.case, &self.loss).loose) {
            // A line that is whole but loose at one end still hangs from the other, and the walker with it.
            (Held::Dropped, [true, false]) if self.cuts_nothing() => Held::Only(Side::B),
            (Held::Dropped, [false, true]) if self.cuts_nothing() => Held::Only(Side::A),
            (held, _) => held,
        };
        out.held = Some(held);
        out.by_waves = staged.waves;
        let start = staged.scene.net.nodes[staged.ring].place;
        (out.lowest_m, out.feet_m) = (start.z, [start.z, start.x]);
        out.idle = !matches!(self.who, Who::Falling(_)) && !self.loss.is_none() && self.carried(&staged) < NOTHING_N;
        if held != Held::Both || out.idle {
            out.settles_m = out.idle.then_some(start.z);
            return out;
        }
        self.follow(&mut out, solver, body, limits, grain, &staged, pictures);
        out
    }

    /// Whether the line itself stays whole.
    fn cuts_nothing(&self) -> bool {
        self.loss.main.is_empty() && self.loss.backup.is_empty()
    }

    /// Largest tension of what goes, before it goes, N.
    fn carried(&self, staged: &Staged) -> f64 {
        let points = |p: &usize| self.loss.points.contains(p);
        staged
            .case
            .net
            .members
            .iter()
            .enumerate()
            .filter(|(m, member)| staged.gone.contains(m) || member.points().iter().any(points))
            .map(|(m, _)| staged.rest_n[m])
            .fold(0.0, f64::max)
    }

    fn follow(
        &self,
        out: &mut Incident,
        solver: &Solver,
        body: &Body,
        limits: &Limits<'_>,
        grain: Grain,
        staged: &Staged,
        mut pictures: Option<&mut Vec<Frame>>,
    ) {
        let rig = &solver.rig;
        let slip_j = SLIP * self.mass_kg() * G * grain.usual as f64 / grain.elements as f64;
        // A fall's waves are kept; where lines snap taut, what rings too fast for a step is let die.
        let keeps_fast = if staged.waves { 0.8 } else { 0.5 };
        let shortest_s = SHORTEST_S.min(grain.step_s / CUTS);
        // Short stiff legs answer a loss with a jerk of a few milliseconds that no usual step would see.
        let jolt = if staged.waves { f64::INFINITY } else { JOLT };
        let jolt_s = grain.step_s / JOLT_CUTS;
        let scheme = Scheme { step_s: grain.step_s, shortest_s, slip_j, jolt, jolt_s, keeps_fast };
        let Some(mut motion) = Motion::new(&staged.scene, scheme) else {
            out.fault = Some("no memory for the motion".to_owned());
            return;
        };
        let gauge = Gauge::new(rig, staged);
        let stood_j = motion.strain_j();
        let mut peaks = gauge.blank(rig, staged);
        let falling = staged.leash.is_some();
        let hangs_m = if falling { body.below_m } else { body.under_ring_m() };
        let (ring, walker) = (staged.ring, staged.walker);
        let mut lowest = (staged.scene.net.nodes[walker].place.z, 0.0);
        let mut swings = Swings::default();
        let mut next_picture = 0.0;
        let (mut breaks, mut held) = (None, Vec::new());
        let (mut lowest_ring, mut feet) = (out.lowest_m, [f64::INFINITY, 0.0]);
        // Over sloping ground the lowest feet are not always the nearest to it.
        let mut nearest = f64::INFINITY;
        // Points that a ring which slides along its backup may come to.
        let slides_to: Vec<usize> = if self.slides {
            let through = staged.backup.iter().flatten().filter_map(|m| match &staged.scene.net.members[*m] {
                Member::Link(l) if l.path.len() > 2 && l.path.contains(&ring) => Some(&l.path),
                _ => None,
            });
            through.flatten().copied().filter(|p| *p != ring).collect()
        } else {
            Vec::new()
        };
        let mut at_joint = None;
        // What is still pulled as before at the first instant may never be pulled harder.
        gauge.see(&mut peaks, rig, staged, &motion);
        let end = motion.run(LONGEST_S, |m| {
            let t = m.t_s();
            gauge.see(&mut peaks, rig, staged, m);
            let w = m.places()[walker];
            lowest_ring = lowest_ring.min(m.places()[ring].z);
            let foot = w - DVec3::Z * hangs_m;
            let over = body.ground.top_at(foot.x).map_or(foot.z, |(top, _)| foot.z - top);
            if over < nearest {
                (nearest, feet) = (over, [foot.z, foot.x]);
            }
            if w.z < lowest.0 {
                lowest = (w.z, t);
            }
            if let Some(p) = pictures.as_deref_mut()
                && t >= next_picture
            {
                next_picture += PICTURES_S;
                p.push(frame(rig, staged, m, staged.before_s));
            }
            // What passes its strength is told with its time, and held as if it did not break: the other pieces are
            // judged by the whole motion, never by one that ends early.
            if breaks.is_none() {
                breaks = limits.passed(&peaks, &mut held).map(|what| (what, t));
            }
            let ring_at = m.places()[ring];
            if slides_to.iter().any(|p| m.places()[*p].distance(ring_at) < JOINT_M) {
                at_joint = Some(t);
                return Flow::Stop;
            }
            if swings.past(m.velocity()[walker].z, t, lowest.1) {
                return Flow::Stop;
            }
            // Once the lowest place is well past, what still comes is slower.
            let settled = swings.turns > 0 && t > lowest.1 + (0.6 * (lowest.1 + staged.before_s)).clamp(0.4, 2.0);
            if settled { Flow::Wide } else { Flow::On }
        });
        let before = staged.before_s;
        out.ring_at_joint_s = at_joint.map(|t| t + before);
        out.breaks = breaks.map(|(what, t)| (what, t + before));
        out.drop_m = staged.start_z_m - lowest.0;
        out.lowest_m = lowest_ring;
        out.walker_m = lowest.0;
        out.lowest_at_s = lowest.1 + before;
        out.feet_m = feet;
        // When a piece goes, what the rig stood with is in play as well.
        let stood_j = if self.loss.is_none() { 0.0 } else { stood_j };
        let books = self.mass_kg() * G * out.drop_m.max(LEAST_DROP_M) + stood_j;
        out.energy_error = motion.ledger().imbalance_j.abs() / books;
        out.numerical = motion.ledger().numerical_j / books;
        out.peaks = peaks;
        if end == End::Stuck {
            out.fault = Some(format!("the motion does not go on after {:.2} s", motion.t_s() + before));
        } else if out.energy_error > BOOKS {
            out.fault = Some(format!("the books of energy are out by {:.1} %", 100.0 * out.energy_error));
        }
        if out.breaks.is_some() {
            // What breaks, breaks: nobody is said to be held after it.
            out.held = None;
            return;
        }
        let mut net = staged.scene.net.clone();
        for (n, p) in net.nodes.iter_mut().zip(motion.places()) {
            n.place = *p;
        }
        let rest = equilibrium::solve(&net, None);
        if rest.status == Status::Converged {
            out.settles_m = Some(rest.places[walker].z);
            out.caught_by = caught(rig, staged, &rest);
        }
    }
}

impl Incident {
    /// What its peaks are peaks of: where a piece would break, that it was held.
    #[must_use]
    pub fn seen(&self, runs: &[String], points: &[String]) -> Seen {
        let held = |what: &Broken| How::Holding(what.name(runs, points));
        let how = self.breaks.as_ref().map_or(How::Itself, |(what, _)| held(what));
        Seen { situation: self.event.situation.clone(), how }
    }

    /// Takes what is harder in the same incident played more finely, and notes how far apart the two are.
    pub(super) fn harden(&mut self, fine: Self) {
        if fine.fault.is_some() {
            self.repeat_fault = fine.fault;
            return;
        }
        if self.plays.is_empty() {
            self.plays.push(self.peaks.clone());
        }
        let coarse = self.plays.last().unwrap_or(&self.peaks).clone();
        self.mesh_error = Some(apart(&coarse, &fine.peaks));
        self.plays.push(fine.peaks.clone());
        // The last two plays have the word, the harder of them; what stands between them is the figure's spread.
        self.peaks = coarse;
        self.peaks.raise(&fine.peaks);
        if self.breaks.is_none() && fine.breaks.is_some() {
            (self.breaks, self.held) = (fine.breaks, None);
        }
        self.drop_m = self.drop_m.max(fine.drop_m);
        self.lowest_m = self.lowest_m.min(fine.lowest_m);
        self.walker_m = self.walker_m.min(fine.walker_m);
        if fine.feet_m[0] < self.feet_m[0] {
            self.feet_m = fine.feet_m;
        }
    }

    /// By how much one of its figures differs between its last two plays, over the larger; nothing when it was played
    /// once.
    pub(super) fn spread(&self, of: impl Fn(&Peaks) -> f64) -> Option<f64> {
        let [.., a, b] = &self.plays[..] else { return None };
        let (a, b) = (of(a), of(b));
        Some(if a.max(b) > 0.0 { (a - b).abs() / a.max(b) } else { 0.0 })
    }
}

/// Largest relative difference of what two plays say of leash, body, line and legs.
fn apart(p: &Peaks, q: &Peaks) -> f64 {
    let largest = p.run_n.iter().copied().fold(1.0, f64::max);
    let off = |x: f64, y: f64| if x.max(y) < 0.2 * largest { 0.0 } else { (x - y).abs() / x.max(y) };
    let runs = p.run_n.iter().zip(&q.run_n).map(|(x, y)| off(*x, *y)).fold(0.0, f64::max);
    let body = if p.body_n.max(q.body_n) > 0.0 { (p.body_n - q.body_n).abs() / p.body_n.max(q.body_n) } else { 0.0 };
    runs.max(body)
}

/// Runs that carry more at rest than before, most first.
fn caught(rig: &Rig, staged: &Staged, rest: &equilibrium::Solution) -> Vec<usize> {
    let tension = |m: usize| match rest.members[m] {
        equilibrium::MemberState::Link { tension_n, .. } => tension_n,
        _ => 0.0,
    };
    let mut more: Vec<(f64, usize)> =
        rig.legs.iter().enumerate().map(|(m, leg)| (tension(m) - staged.rest_n[m], leg.run)).collect();
    if let Some(b) = &rig.backup {
        let now = staged.backup.iter().flatten().map(|&m| tension(m)).fold(0.0, f64::max);
        let before = staged.case.backup.iter().map(|&m| staged.rest_n[m]).fold(0.0, f64::max);
        more.push((now - before, b.run));
    }
    let most = more.iter().map(|m| m.0).fold(0.0, f64::max);
    more.retain(|m| m.0 > NOTHING_N && m.0 > 0.2 * most);
    more.sort_by(|a, b| b.0.total_cmp(&a.0));
    more.into_iter().map(|m| m.1).collect()
}

/// What still joins the walker to the ground.
fn held(rig: &Rig, staged: &Staged) -> Held {
    let net = &staged.scene.net;
    let mut reached = vec![false; net.nodes.len()];
    reached[staged.walker] = true;
    loop {
        let mut more = false;
        for m in &net.members {
            let points = m.points();
            // An anchor holds; nothing is reached through it.
            if points.iter().any(|p| reached[*p] && !(*p < rig.spots.len() && rig.spots[*p].fixed)) {
                for p in points {
                    more |= !std::mem::replace(&mut reached[p], true);
                }
            }
        }
        if !more {
            break;
        }
    }
    let on = |side: Side| rig.spots.iter().zip(&reached).any(|(s, r)| *r && s.fixed && s.side == side);
    match (on(Side::A), on(Side::B)) {
        (true, true) => Held::Both,
        (true, false) => Held::Only(Side::A),
        (false, true) => Held::Only(Side::B),
        (false, false) => Held::Dropped,
    }
}

fn frame(rig: &Rig, staged: &Staged, m: &Motion<'_>, before_s: f64) -> Frame {
    let x = m.places();
    let mut lines: Vec<Vec<DVec3>> = Vec::new();
    for chain in
        staged.chains.iter().filter(|c| c.links.iter().any(|l| !staged.scene.net.members[*l].points().is_empty()))
    {
        lines.push(chain.nodes.iter().map(|n| x[*n]).collect());
    }
    let tension = m.tension();
    // A length of the backup that hangs slack under the line is not drawn as a straight one; one that the ring runs on is.
    let shown = |b: &&Vec<usize>| b.len() > 1 || b.iter().any(|l| tension[*l] > 0.0);
    for members in staged.backup.iter().filter(shown) {
        let mut on: Vec<usize> = members.iter().flat_map(|l| staged.scene.net.members[*l].points()).collect();
        on.dedup();
        lines.push(on.into_iter().map(|p| x[p]).collect());
    }
    let mut run_n = vec![0.0_f64; rig.run_names.len()];
    for (k, leg) in rig.legs.iter().enumerate() {
        run_n[leg.run] = tension[k];
    }
    let most = |links: &mut dyn Iterator<Item = usize>| links.map(|l| tension[l]).fold(0.0, f64::max);
    run_n[rig.line.run] = most(&mut staged.chains.iter().flat_map(|c| c.links.iter().copied()));
    if let Some(b) = &rig.backup {
        run_n[b.run] = most(&mut staged.backup.iter().flatten().copied());
    }
    Frame {
        t_s: m.t_s() + before_s,
        lines,
        ring: x[staged.ring],
        walker: x[staged.walker],
        run_n,
        leash_n: staged.leash.map_or(0.0, |l| tension[l]),
    }
}
