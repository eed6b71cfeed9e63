//! Height over ground and obstacles: of the feet hanging, after a fall, after a catch, and of the line itself.
//!
//! Feet between the incidents that are played are found by energy, with gear at the soft end of what is usual, at every
//! vertex of the ground and every edge of an obstacle, and between them as finely as the height can change by
//! [`CHANGE_M`].

use std::sync::Arc;

use glam::DVec3;

use super::case::Class;
use super::incident::{Body, Incident};
use super::row::{Height, Lowest, Place, Row};
use super::situation::{Cause, Situation};
use super::solve::{Solved, Solver};
use super::stay::Slackest;
use super::verdict::Verdict;
use crate::mechanics::G;
use crate::mechanics::equilibrium::{self, Solution, Status};
use crate::mechanics::impact::{Estimate, Pushed, estimate};
use crate::mechanics::law::{LengthLaw, Piece};
use crate::mechanics::net::{Link, Member, Pull};
use crate::plan::{Over, Plan};
use crate::rig::{Expands, Lengths, Load, Loss, Rig, Walker};
use crate::units::Quantity;

/// How low things come at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Low {
    /// Place along the line, as a share of it.
    pub at: f64,
    /// Where along the span, m.
    pub x_m: f64,
    /// Feet hanging still in the leash, m.
    pub hang_m: Option<f64>,
    /// Feet after a leash fall, m.
    pub fall_m: Option<f64>,
    /// Feet after the main line has gone and the backup caught, m.
    pub catch_m: Option<f64>,
    /// How far the line sags below its chord meanwhile: hanging, fallen, caught, m.
    pub sags_m: [f64; 3],
    /// Ground or obstacle there, the higher, m; nothing where the ground is not given.
    pub ground_m: Option<f64>,
}

impl Low {
    /// Lowest of fall and catch, m.
    #[must_use]
    pub fn feet_m(&self) -> Option<f64> {
        match (self.fall_m, self.catch_m) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }

    /// Feet above the ground, m.
    #[must_use]
    pub fn margin_m(&self) -> Option<f64> {
        Some(self.feet_m()? - self.ground_m?)
    }

    /// Feet of one kind.
    fn feet_of(&self, lowest: Lowest) -> Option<f64> {
        match lowest {
            Lowest::Hanging => self.hang_m,
            Lowest::Fallen => self.fall_m,
            Lowest::Caught => self.catch_m,
            Lowest::Line => None,
        }
    }

    /// By how much feet of one kind are higher than asked for, m.
    fn spare_m(&self, lowest: Lowest, over: Over) -> Option<f64> {
        Some(self.feet_of(lowest)? - self.ground_m? - over.needed_m(self.sags_m[lowest as usize]))
    }
}

/// What lies under a line: ground and obstacles, straight between their points.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ground {
    profile: Vec<[f64; 2]>,
    /// Name, from, to, top.
    obstacles: Vec<(String, f64, f64, f64)>,
}

impl Ground {
    /// That of a plan.
    #[must_use]
    pub fn of(plan: &Plan) -> Self {
        // Ground that is assumed counts as high as it may be.
        let off = plan.assumed_m(&crate::plan::sighted::Unmeasured::Ground).unwrap_or(0.0);
        let profile = plan.site.ground.iter().map(|(x, z)| [x.si(), z.si() + off]).collect();
        let obstacles = plan.site.obstacles.iter();
        let obstacles = obstacles.map(|(name, o)| {
            let (a, b) = (o.from.si(), o.to.si());
            (name.clone(), a.min(b), a.max(b), o.top.si())
        });
        Self { profile, obstacles: obstacles.collect() }
    }

    /// Height of what is highest at a place along the span, m, and the obstacle it is; nothing where neither is given.
    #[must_use]
    pub fn top_at(&self, x_m: f64) -> Option<(f64, Option<&str>)> {
        let between = |w: &[[f64; 2]]| {
            let ([a, za], [b, zb]) = (w[0], w[1]);
            // Where two vertices stand at one place the higher counts.
            if b > a { za + (x_m - a) / (b - a) * (zb - za) } else { za.max(zb) }
        };
        let segments = self.profile.windows(2).filter(|w| x_m >= w[0][0] && x_m <= w[1][0]);
        let ground = segments.map(between).reduce(f64::max)?;
        let there = self.obstacles.iter().filter(|o| x_m >= o.1 && x_m <= o.2);
        let highest = there.max_by(|a, b| a.3.total_cmp(&b.3)).filter(|o| o.3 > ground);
        Some(highest.map_or((ground, None), |o| (o.3, Some(o.0.as_str()))))
    }

    /// Places where its slope or its height changes at once, in order, m.
    fn breaks(&self) -> Vec<f64> {
        let edges = self.obstacles.iter().flat_map(|o| [o.1, 0.5 * (o.1 + o.2), o.2]);
        let mut out: Vec<f64> = self.profile.iter().map(|p| p[0]).chain(edges).collect();
        out.sort_by(f64::total_cmp);
        out.dedup();
        out
    }
}

/// Places at which the envelope is worked out at least.
const PLACES: usize = 41;
/// Heights are looked for as finely as they may change by this between two places, m.
const CHANGE_M: f64 = 0.1;
/// Places nearer to each other than this are one, m.
const SAME_M: f64 = 0.02;
/// Stretches that are too low and nearer to each other than this are one, m.
const APART_M: f64 = 1.0;
/// Most places that are looked at beside ground and obstacles.
const MOST_PLACES: usize = 160;
/// What is left beyond the reach of leash and body to the nearest wall, m. Common practice, no source.
const SPARE_M: f64 = 1.0;
/// A seated zone longer than this is no zone but a line that hangs too low, m, or as a share of the span.
pub(super) const SEATED_MOST_M: f64 = 8.0;
/// The same as a share of the span.
pub(super) const SEATED_MOST: f64 = 0.1;

/// Energy estimate of a leash fall of `mass_kg` at a place.
#[must_use]
pub fn fall_estimate(solver: &Solver, body: &Body, mass_kg: f64, at: f64) -> Option<(Estimate, f64)> {
    let leash = body.leash.as_ref()?;
    let mut warm = None;
    let mut push = |force_n: f64| {
        let walkers = vec![Walker::still(at, force_n)];
        let (case, s) = solver.quick(&Load { walkers, ..Load::default() }, warm.as_ref());
        let ring_z_m = s.places[*case.walkers.first()?].z;
        let out = Pushed { ring_z_m, energy_j: s.energy_j - force_n * ring_z_m };
        let good = s.status == Status::Converged;
        warm = Some(s);
        good.then_some(out)
    };
    let start = push(0.0)?;
    let e = estimate(mass_kg, body.tie_in_m + leash.slack_m(), leash, start, push)?;
    Some((e, start.ring_z_m - e.ring_drop_m))
}

/// Energy estimate of the backup's catch with the main line gone at a place, the ring held at its place along it.
fn catch_estimate(rig: &Rig, lengths: &Lengths, body: &Body, mass_kg: f64, at: f64) -> Option<(Estimate, f64)> {
    let leash = body.leash.as_ref()?;
    let weight_n = mass_kg * G;
    let walkers = vec![Walker::still(at, weight_n)];
    let (mut case, rest) = rig.solve(lengths, &Load { walkers, ..Load::default() }, None);
    let ring = *case.walkers.first()?;
    let ring_z_m = rest.places[ring].z;
    let at_ring = |m: usize| matches!(&case.net.members[m], Member::Span(s) if s.a == ring || s.b == ring);
    let k = case.spans.iter().position(|&m| at_ring(m))?;
    let segment = rig.segment_of_span(&case, k);
    let lost = Loss { main: vec![segment], ..Loss::default() };
    let m = *case.backup.get(segment)?;
    let Member::Link(link) = case.net.members[m].clone() else { return None };
    let (&[a, _, b], Pull::Chain(law)) = (&link.path[..], &link.pull) else { return None };
    rig.without(&mut case, &lost);
    // The backup's material lies on both sides of the ring as far as the ends are away.
    let ways = [a, b].map(|p| rest.places[p].distance(rest.places[ring]));
    let share = ways[0] / (ways[0] + ways[1]);
    for (path, share) in [(vec![a, ring], share), (vec![ring, b], 1.0 - share)] {
        let cut = |p: &Piece| Piece { length_m: share * p.length_m, gauge_m: share * p.gauge_m, law: p.law.clone() };
        let law = LengthLaw::series(law.pieces().iter().map(cut).collect()).ok()?;
        case.net.members.push(Member::Link(Link::new(path, Arc::new(law))));
    }
    case.net.members.swap_remove(m);
    for (n, p) in case.net.nodes.iter_mut().zip(&rest.places) {
        if !n.fixed {
            n.place = *p;
        }
    }
    // What is left of a line between joints still stands under tension as the piece goes, and gives that up as it falls.
    case.net.nodes[ring].load_n = DVec3::ZERO;
    let energy_j = equilibrium::energy_j(&case.net, &rest.places);
    let mut warm: Option<equilibrium::Solution> = None;
    let push = |force_n: f64| {
        case.net.nodes[ring].load_n.z = -force_n;
        let s = equilibrium::solve(&case.net, warm.as_ref());
        let out = Pushed { ring_z_m: s.places[ring].z, energy_j: s.energy_j - force_n * s.places[ring].z };
        let good = s.status == Status::Converged;
        warm = Some(s);
        good.then_some(out)
    };
    let start = Pushed { ring_z_m, energy_j };
    let e = estimate(mass_kg, body.tie_in_m + leash.slack_m(), leash, start, push)?;
    Some((e, ring_z_m - e.ring_drop_m))
}

/// What one excess of the backup would come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Catch {
    /// Excess, as a share.
    pub excess: f64,
    /// The same in the longest segment, m.
    pub spare_m: f64,
    /// Length of that segment, m.
    pub segment_m: f64,
    /// How far the body falls, m; nothing when it could not be worked out.
    pub fall_m: Option<f64>,
    /// Force on the body (too low: by energy), N; nothing when it could not be worked out.
    pub body_n: Option<f64>,
}

/// Excesses that a catch is worked out for, beside the plan's own.
const EXCESSES: [f64; 4] = [0.02, 0.05, 0.08, 0.12];

/// Catches by energy in the middle of the longest segment, with the plan's excess first and then with others: what a
/// shorter or longer loop would do. Nothing without a backup and a leash.
#[must_use]
pub(super) fn catches(solver: &Solver, body: &Body, mass_kg: f64) -> Vec<Catch> {
    let Some(own) = solver.rig.backup.as_ref().map(|b| b.excess).filter(|_| body.leash.is_some()) else {
        return Vec::new();
    };
    let lengths = &solver.standing.lengths;
    let ends = solver.rig.segment_ends_m(lengths);
    let whole = ends[ends.len() - 1];
    let Some(longest) = ends.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0]))) else {
        return Vec::new();
    };
    let (segment_m, at) = (longest[1] - longest[0], 0.5 * (longest[0] + longest[1]) / whole);
    std::iter::once(own)
        .chain(EXCESSES.into_iter().filter(|e| (e - own).abs() > 1e-6))
        .map(|excess| {
            let mut rig = solver.rig.clone();
            if let Some(b) = &mut rig.backup {
                b.excess = excess;
            }
            let e = catch_estimate(&rig, lengths, body, mass_kg, at).map(|e| e.0);
            let spare_m = excess * segment_m;
            Catch { excess, spare_m, segment_m, fall_m: e.map(|e| e.fall_m), body_n: e.map(|e| e.leash_n) }
        })
        .collect()
}

/// Spaces between connections that a catch is worked out for.
const SPACES: [usize; 4] = [1, 2, 4, 8];

/// Catches by energy in the middle of a middle segment with the plan's excess, were the backup tied to the main line at
/// equal spaces. Nothing when it is tied in between already.
#[must_use]
pub(super) fn spacings(solver: &Solver, body: &Body, mass_kg: f64) -> Vec<Catch> {
    let lengths = &solver.standing.lengths;
    let whole = solver.rig.line_length_m(lengths);
    SPACES
        .into_iter()
        .filter_map(|spaces| {
            let rig = solver.rig.connected(lengths, spaces)?;
            let excess = rig.backup.as_ref()?.excess;
            let at = ((spaces / 2) as f64 + 0.5) / spaces as f64;
            let e = catch_estimate(&rig, lengths, body, mass_kg, at).map(|e| e.0);
            let segment_m = whole / spaces as f64;
            let spare_m = excess * segment_m;
            Some(Catch { excess, spare_m, segment_m, fall_m: e.map(|e| e.fall_m), body_n: e.map(|e| e.leash_n) })
        })
        .collect()
}

/// The envelope along the line, for the walker of `mass_kg`; with it of the line as slack as it becomes while it stays up.
#[must_use]
pub(super) fn envelope(
    solver: &Solver,
    slackest: Option<&Slackest>,
    plan: &Plan,
    body: &Body,
    mass_kg: f64,
) -> Vec<Low> {
    let air = plan.site.air;
    let weathers = [
        (air.coldest, Expands::Most),
        (air.warmest, Expands::Most),
        (air.coldest, Expands::Least),
        (air.warmest, Expands::Least),
    ];
    let mut calm = vec![(0.0, Expands::Most)];
    calm.extend(weathers.map(|(t, e)| (t.si() - air.rigged_at.si(), e)).into_iter().filter(|w| w.0 != 0.0));
    let slackest = slackest.map(|s| (&s.solver, vec![(s.warmer_k, s.expands)]));
    let look = Look { tensioned: (solver, calm), slackest, body, mass_kg };
    let mut lows: Vec<Low> = (0..PLACES).map(|i| look.at((i as f64 / (PLACES - 1) as f64).clamp(0.01, 0.99))).collect();
    // A share of the line for a place along the span: straight between places looked at.
    let share = |lows: &[Low], x_m: f64| {
        let w = lows.windows(2).find(|w| x_m > w[0].x_m && x_m < w[1].x_m)?;
        Some(w[0].at + (x_m - w[0].x_m) / (w[1].x_m - w[0].x_m) * (w[1].at - w[0].at))
    };
    let put = |lows: &mut Vec<Low>, low: Low| {
        let i = lows.partition_point(|l| l.x_m < low.x_m);
        let near = |l: Option<&Low>| l.is_some_and(|l| (l.x_m - low.x_m).abs() < SAME_M);
        if !(near(lows.get(i)) || i > 0 && near(lows.get(i - 1))) {
            lows.insert(i, low);
            return true;
        }
        false
    };
    for x_m in body.ground.breaks() {
        // Just to both sides of an edge: an obstacle begins at once.
        for x_m in [x_m - SAME_M, x_m, x_m + SAME_M] {
            if let Some(at) = share(&lows, x_m) {
                put(&mut lows, look.at(at));
            }
        }
    }
    let kinds = [Lowest::Hanging, Lowest::Fallen, Lowest::Caught];
    let mut i = 0;
    let most = lows.len() + MOST_PLACES;
    while i + 1 < lows.len() && lows.len() < most {
        let (a, b) = (lows[i], lows[i + 1]);
        if b.x_m - a.x_m < 2.0 * SAME_M {
            i += 1;
            continue;
        }
        let middle = look.at(0.5 * (a.at + b.at));
        let bends = kinds.iter().any(|k| {
            let over = |l: &Low| Some(l.feet_of(*k)? - l.ground_m?);
            match (over(&a), over(&middle), over(&b)) {
                (Some(a), Some(m), Some(b)) => (m - 0.5 * (a + b)).abs() > CHANGE_M,
                _ => false,
            }
        });
        if !put(&mut lows, middle) || !bends {
            i += 2;
        }
    }
    lows
}

/// What the envelope is worked out with.
struct Look<'a> {
    /// As tensioned, in its weathers.
    tensioned: (&'a Solver, Vec<(f64, Expands)>),
    /// As slack as it becomes while it stays up, in the weather then.
    slackest: Option<(&'a Solver, Vec<(f64, Expands)>)>,
    body: &'a Body,
    mass_kg: f64,
}

impl Look<'_> {
    /// The lower of both at a place.
    fn at(&self, at: f64) -> Low {
        let a = self.of(self.tensioned.0, &self.tensioned.1, at);
        let Some((solver, weathers)) = &self.slackest else { return a };
        let b = self.of(solver, weathers, at);
        let lower = |a: Option<f64>, b: Option<f64>| match (a, b) {
            (Some(a), Some(b)) => Some(a.min(b)),
            // One line without an answer leaves none at all.
            _ => None,
        };
        let slacker = [b.hang_m < a.hang_m, b.fall_m < a.fall_m, b.catch_m < a.catch_m];
        Low {
            hang_m: lower(a.hang_m, b.hang_m),
            fall_m: lower(a.fall_m, b.fall_m),
            catch_m: lower(a.catch_m, b.catch_m),
            sags_m: std::array::from_fn(|k| if slacker[k] { b.sags_m[k] } else { a.sags_m[k] }),
            ..a
        }
    }

    fn of(&self, solver: &Solver, weathers: &[(f64, Expands)], at: f64) -> Low {
        let body = self.body;
        let ends = solver.rig.line.ends.map(|e| solver.standing.solution.places[e]);
        let chord_z = |x: f64| ends[0].z + (x - ends[0].x) / (ends[1].x - ends[0].x) * (ends[1].z - ends[0].z);
        let mut x_m = ends[0].x + at * (ends[1].x - ends[0].x);
        let slack = body.leash.as_ref().map(|l| l.slack_m());
        let feet = |found: Option<(Estimate, f64)>| {
            let (e, ring_z_m) = found?;
            Some((ring_z_m - slack? - e.leash_stretch_m - body.below_m, chord_z(x_m) - ring_z_m))
        };
        let fall = feet(fall_estimate(solver, body, self.mass_kg, at));
        let lengths = &solver.standing.lengths;
        let caught = solver.rig.backup.is_some();
        let catch = caught.then(|| feet(catch_estimate(&solver.rig, lengths, body, self.mass_kg, at))).flatten();
        // Hanging still, in whatever weather the line sags most.
        let weight_n = self.mass_kg * G;
        let walkers = vec![Walker::still(at, weight_n)];
        let ring = |(warmer_k, expands): &(f64, Expands), warm: Option<&Solution>| {
            let load = Load { walkers: walkers.clone(), warmer_k: *warmer_k, expands: *expands, ..Load::default() };
            let (case, s) = solver.quick(&load, warm);
            let p = *s.places.get(*case.walkers.first()?)?;
            (s.status == Status::Converged).then_some((p, s))
        };
        let first = ring(&weathers[0], None);
        let mut hang = first.as_ref().map(|(p, _)| *p);
        for weather in &weathers[1..] {
            // One weather without an answer leaves none at all.
            let next = ring(weather, first.as_ref().map(|f| &f.1)).map(|r| r.0);
            hang = match (hang, next) {
                (Some(a), Some(b)) => Some(if b.z < a.z { b } else { a }),
                _ => None,
            };
        }
        if let Some(p) = hang {
            x_m = p.x;
        }
        let hang = hang.and_then(|p| {
            let long = body.leash.as_ref()?.length(weight_n);
            Some((p.z - long - body.below_m, chord_z(p.x) - p.z))
        });
        Low {
            at,
            x_m,
            hang_m: hang.map(|h| h.0),
            fall_m: fall.map(|f| f.0),
            catch_m: catch.map(|c| c.0),
            sags_m: [hang, fall, catch].map(|k| k.map_or(0.0, |k| k.1)),
            ground_m: body.ground.top_at(x_m).map(|t| t.0),
        }
    }
}

/// Reach of leash and body with something to spare, m: nearer to an end nobody may fall.
#[must_use]
pub(super) fn no_fall_reach_m(body: &Body) -> f64 {
    body.under_ring_m() + SPARE_M
}

/// How far from each end of the line they must sit, m: as far as leash and body reach, and on from the end for as long as
/// feet would come lower than what is asked for.
#[must_use]
pub(super) fn no_fall_m(envelope: &[Low], over: Over, ends_x_m: [f64; 2], body: &Body) -> [f64; 2] {
    let reach = no_fall_reach_m(body);
    let low = |l: &&Low| {
        let short = |k: Lowest| l.spare_m(k, over).is_some_and(|m| m < 0.0);
        short(Lowest::Fallen) || short(Lowest::Caught)
    };
    let a = envelope.iter().take_while(low).map(|l| l.x_m - ends_x_m[0]).fold(0.0, f64::max);
    let b = envelope.iter().rev().take_while(low).map(|l| ends_x_m[1] - l.x_m).fold(0.0, f64::max);
    [a.max(reach), b.max(reach)]
}

/// What the heights of a review are judged from.
pub(super) struct Heights<'a> {
    pub(super) plan: &'a Plan,
    pub(super) rig: &'a Rig,
    pub(super) body: &'a Body,
    pub(super) cases: &'a [Solved],
    pub(super) incidents: &'a [Incident],
    pub(super) envelope: &'a [Low],
    /// Where the line's ends stand along the span and how high, m.
    pub(super) ends: [DVec3; 2],
    /// Whether each class has its certificates.
    pub(super) sound: [bool; 3],
}

/// The least of a height so far, by what is left of what is asked for.
#[derive(Default)]
struct Least {
    lowest: Option<(Height, Situation)>,
    /// What has no ground under it, and what could not be worked out.
    unknown: Option<Situation>,
    failed: Option<String>,
    /// Stretches in which it comes too low in one situation or another, m; whether the last one goes on.
    lows_m: Vec<[f64; 2]>,
    open: bool,
}

impl Least {
    /// Takes the next place of one situation, in order along the span.
    fn look(&mut self, x_m: f64, low: bool) {
        match self.lows_m.last_mut().filter(|_| self.open) {
            Some(last) if low => last[1] = x_m,
            None if low => self.lows_m.push([x_m, x_m]),
            _ => {}
        }
        self.open = low;
    }

    /// Ends a situation: what comes next begins anew.
    fn end(&mut self) {
        self.open = false;
    }

    /// The stretches of all situations together; neighbours nearer than a metre are one.
    fn stretches(&mut self) -> Vec<[f64; 2]> {
        self.lows_m.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut out: Vec<[f64; 2]> = Vec::new();
        for &[from, to] in &self.lows_m {
            match out.last_mut().filter(|last| from - last[1] < APART_M) {
                Some(last) => last[1] = last[1].max(to),
                None => out.push([from, to]),
            }
        }
        out
    }

    fn see(&mut self, height: Height, case: &Situation) {
        let spare = |h: &Height| h.found_m() - h.needed_m;
        if self.lowest.as_ref().is_none_or(|(l, _)| spare(&height) < spare(l)) {
            self.lowest = Some((height, case.clone()));
        }
    }
}

impl Heights<'_> {
    /// Places outside the seated zones of the plan.
    fn judged(&self, x_m: f64) -> bool {
        let [a, b] = self.plan.people.seated.map(Quantity::si);
        x_m > self.ends[0].x + a && x_m < self.ends[1].x - b
    }

    fn chord_z(&self, x_m: f64) -> f64 {
        let [a, b] = self.ends;
        a.z + (x_m - a.x) / (b.x - a.x) * (b.z - a.z)
    }

    fn see(&self, least: &mut Least, x_m: f64, low_m: f64, sag_m: f64, case: &Situation) {
        match self.body.ground.top_at(x_m) {
            Some((top_m, over)) => {
                let needed_m = self.plan.factors.clearance.needed_m(sag_m);
                let over = over.unwrap_or("the ground").to_owned();
                least.look(x_m, low_m - top_m < needed_m);
                least.see(Height { x_m, low_m, top_m, over, needed_m, stretches_m: Vec::new() }, case);
            }
            None => least.unknown = least.unknown.take().or_else(|| Some(case.clone())),
        }
    }

    /// One row for each kind of height.
    pub(super) fn rows(&self) -> Vec<Row> {
        let mut out = vec![self.line()];
        if self.body.leash.is_some() && !self.envelope.is_empty() {
            out.push(self.feet(Lowest::Hanging, Class::Working));
            out.push(self.feet(Lowest::Fallen, Class::Fall));
            if self.rig.backup.is_some() {
                out.push(self.feet(Lowest::Caught, Class::Failure));
            }
        }
        out
    }

    /// The line itself, in every situation that is as drawn.
    fn line(&self) -> Row {
        let mut least = Least::default();
        let breaks = self.body.ground.breaks();
        let drawn = self.cases.iter().filter(|c| c.case.lowers());
        for c in drawn {
            let shape = c.net.shape(&c.solution, SHAPE);
            let (Some(first), Some(last)) = (shape.first(), shape.last()) else { continue };
            // Between the seated zones, which are marked from where the ends stand, their edges included; without a zone up
            // to the end itself, which a heavy walker draws beyond where it stands with nobody on the line.
            let [a, b] = self.plan.people.seated.map(Quantity::si);
            let from = if a > 0.0 { self.ends[0].x + a } else { first.x };
            let to = if b > 0.0 { self.ends[1].x - b } else { last.x };
            for w in shape.windows(2) {
                let z_at = |x: f64| w[0].z + (x - w[0].x) / (w[1].x - w[0].x).max(1e-9) * (w[1].z - w[0].z);
                let within = |x: &f64| *x > w[0].x && *x < w[1].x;
                let there = breaks.iter().copied().filter(within).flat_map(|x| [x - 1e-6, x, x + 1e-6]);
                for x in there.chain([from, to].into_iter().filter(within)).chain([w[0].x, w[1].x]) {
                    if x >= from && x <= to {
                        let z = z_at(x);
                        self.see(&mut least, x, z, self.chord_z(x) - z, &c.case.situation);
                    }
                }
            }
            least.end();
        }
        self.row(Lowest::Line, Class::Working, least)
    }

    fn feet(&self, kind: Lowest, class: Class) -> Row {
        let estimate: Situation = Cause::Estimate(kind).into();
        let mut least = Least::default();
        for l in self.envelope.iter().filter(|l| self.judged(l.x_m)) {
            match l.feet_of(kind) {
                Some(z) => self.see(&mut least, l.x_m, z, l.sags_m[kind as usize], &estimate),
                None => least.failed = Some(format!("{estimate} at {:.0} m has no answer", l.x_m)),
            }
        }
        least.end();
        // A played incident has the last word where it was played.
        let played = self.incidents.iter().filter(|i| i.event.class == class && !i.idle && i.fault.is_none());
        for i in played.filter(|i| class != Class::Failure || !i.event.loss.main.is_empty() || i.event.is_fall()) {
            let [z, x] = i.feet_m;
            if kind != Lowest::Hanging && !i.peaks.run_n.is_empty() && z.is_finite() && self.judged(x) {
                self.see(&mut least, x, z, self.chord_z(x) - i.lowest_m, &i.event.situation);
                least.end();
            }
        }
        self.row(kind, class, least)
    }

    fn row(&self, kind: Lowest, class: Class, least: Least) -> Row {
        let sound = self.sound[class as usize];
        let verdict = match (&least, sound) {
            (Least { failed: Some(_), .. }, _) | (_, false) => Verdict::Unsolved,
            (Least { lowest: Some((h, _)), .. }, _) if h.found_m() < h.needed_m => Verdict::Below,
            (Least { unknown: Some(_), .. } | Least { lowest: None, .. }, _) => Verdict::Unrated,
            _ => Verdict::Meets,
        };
        let why = match verdict {
            Verdict::Unsolved => {
                least.failed.clone().unwrap_or_else(|| "a situation did not pass the solver checks".to_owned())
            }
            Verdict::Unrated => match &least.unknown {
                Some(_) => "the ground is not given all along the line".to_owned(),
                None => "nothing of the line lies outside the seated zones".to_owned(),
            },
            _ => String::new(),
        };
        let mut least = least;
        let stretches_m = least.stretches();
        if let Some((h, _)) = &mut least.lowest {
            h.stretches_m = stretches_m;
        }
        let (height, case) = least.lowest.map_or((None, least.unknown), |(h, c)| (Some(h), Some(c)));
        Row::of_height(Place::Height(kind), class, case.as_ref(), height, verdict, &why)
    }
}

/// Points of a span's shape that heights of the line are looked for at.
const SHAPE: usize = 48;

#[cfg(test)]
mod tests {
    use super::*;

    /// The line's own ends count, where they are drawn to in each situation, and so do the edges of the seated zones: from
    /// end to end nothing is passed over.
    #[test]
    fn the_line_is_looked_at_up_to_its_ends() {
        let text = r#"Plan(format: 1, title: "ends", site: Site(span: "60 m", height_difference: "0 m",
            ground: [GROUND, ("14 m", "-40 m"), ("66 m", "-40 m")]),
            people: People(walkers: ["90 kg"], seated: ("SEAT", "0 m")),
            points: { "A": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: Strength(Label("90 kN"))),
                "B": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("90 kN"))) },
            runs: { "main": Run(role: Main, from: "A", to: "B", parts: [Part(item: "w", length: Solve(standing: "3 kN", at: A), ends: (Sewn, Sewn))]) },
            items: { "w": Item(class: Webbing, fibre: Polyester, rating: Label("90 kN"), width: "25 mm", mass_per_length: "60 g/m", stretch: Stiffness("200 kN")) })"#;
        let found = |ground: &str, seat: &str| {
            let text = text.replace("GROUND", ground).replace("SEAT", seat);
            let file = crate::plan::PlanFile::parse("ends", text).expect("reads");
            assert!(file.is_sound(), "{}", file.show_faults());
            let review = crate::review::Desk::open(&file).expect("a rig").review();
            let row = review.rows.into_iter().find(|r| r.place == Place::Height(Lowest::Line)).expect("a row");
            let h = row.height.expect("known");
            (row.verdict, h.x_m, h.found_m())
        };
        // A ledge 1.4 m below A's own end, and nothing but depth beyond.
        let (verdict, x, m) = found(r#"("-5 m", "-1.4 m"), ("0.3 m", "-1.4 m"), ("0.4 m", "-40 m")"#, "0 m");
        assert!(verdict == Verdict::Below && x <= 0.3 && (0.8..=1.4).contains(&m), "{verdict:?} {x} {m}");
        // Ground that falls away evenly is nearest where the zone ends, between two points of the line's shape.
        let (_, x, _) = found(r#"("-5 m", "3 m"), ("10 m", "-12 m")"#, "2.9 m");
        assert!((x - 2.9).abs() < 0.05, "{x}");
    }

    /// Ground and obstacles: straight between vertices, the higher of the two, nothing beyond what is given.
    #[test]
    fn the_higher_of_ground_and_obstacle_counts() {
        let ground = Ground {
            profile: vec![[0.0, -2.0], [10.0, -12.0], [40.0, -12.0], [50.0, 0.0]],
            obstacles: vec![("pine".to_owned(), 20.0, 25.0, -4.0), ("stump".to_owned(), 30.0, 31.0, -13.0)],
        };
        assert_eq!(ground.top_at(5.0), Some((-7.0, None)));
        assert_eq!(ground.top_at(20.0), Some((-4.0, Some("pine"))));
        assert_eq!(ground.top_at(25.0), Some((-4.0, Some("pine"))));
        assert_eq!(ground.top_at(25.1), Some((-12.0, None)));
        assert_eq!(ground.top_at(30.5), Some((-12.0, None)));
        assert_eq!(ground.top_at(50.5), None);
        assert_eq!(ground.breaks().len(), 10);
    }

    /// Seated as far as the feet would come too low on from the end, and at least as far as leash and body reach.
    #[test]
    fn the_seated_zone_goes_on_from_the_end() {
        let low = |x_m: f64, over_m: f64| Low {
            at: x_m / 60.0,
            x_m,
            hang_m: None,
            fall_m: Some(over_m - 30.0),
            catch_m: None,
            sags_m: [0.0; 3],
            ground_m: Some(-30.0),
        };
        let body = Body { tie_in_m: 1.0, below_m: 1.0, leash: None, rings_kg: 0.0, ground: Ground::default() };
        let over = Over::default();
        let envelope = [low(2.0, -1.0), low(8.0, 0.5), low(12.0, 2.5), low(30.0, 0.5), low(52.0, 2.9), low(58.0, 5.0)];
        let [a, b] = no_fall_m(&envelope, over, [0.0, 60.0], &body);
        assert!((a - 8.0).abs() < 1e-9 && (b - 2.0).abs() < 1e-9, "{a} {b}");
    }
}
