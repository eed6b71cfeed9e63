//! Which incidents a rig is put through: every leash fall, and every piece that can go, one at a time.

use super::case::{Case, Class, heaviest_kg};
use super::clearance::no_fall_reach_m;
use super::incident::{Against, Body, Event, Incident, Who};
use super::situation::{Cause, Lost, Share, Then, With};
use super::solve::Solved;
use super::work::{Work, peak_place};
use crate::mechanics::equilibrium::MemberState;
use crate::plan::{Role, Ties};
use crate::rig::{Bystander, CaseNet, Gone, Load, Loss, Walker};
use crate::units::Quantity;

/// A loss, by what it may be called.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    /// The pieces whose going it is, of which any one is enough.
    pub(super) names: Vec<Lost>,
    pub(super) loss: Loss,
}

/// Where else along a line of one segment its loss is tried, as a share of it.
const NEAR_ENDS: [f64; 2] = [0.12, 0.88];
/// Places nearer to each other than this are one, as a share of the line.
const SAME_PLACE: f64 = 0.05;

impl Work<'_> {
    /// Lengths of a walker of the plan.
    pub(super) fn body(&self) -> Body {
        Body::of(self.plan, self.catalogue)
    }

    /// Everything that is tried, in a settled order.
    pub(super) fn events(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<Event> {
        let mut out = self.falls(sweep);
        let tied = self.body().leash.is_some();
        let whole = self.whole();
        let main_segments = self.solver.rig.line.joints.len() + 1;
        for named in self.losses(&whole) {
            out.extend(self.going(&named, sweep, main_segments, &whole));
        }
        // Without a leash nobody falls into one; a rule says that falls were not played.
        out.retain(|e| tied || matches!(e.who, Who::Standing(_)));
        out
    }

    /// The net with one walker in the middle, for who is who.
    fn whole(&self) -> CaseNet {
        let load = Load { walkers: vec![Walker::still(0.5, 1.0)], ..Load::default() };
        self.solver.rig.net(&self.solver.standing.lengths, &load)
    }

    /// How near the ends anybody is tried, as a share of the line: nearer than that nobody may fall.
    fn near(&self) -> f64 {
        let length = self.solver.rig.line_length_m(&self.solver.standing.lengths);
        (no_fall_reach_m(&self.body()) / length).clamp(0.02, 0.2)
    }

    /// Middle of a segment of the main line, as a share of the whole.
    fn middle_of(&self, segment: usize) -> f64 {
        let ends = self.solver.rig.segment_ends_m(&self.solver.standing.lengths);
        0.5 * (ends[segment] + ends[segment + 1]) / ends[ends.len() - 1]
    }

    fn falls(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<Event> {
        let near = self.near();
        let mut places = vec![0.5, 0.25, 0.75, near, 1.0 - near];
        for at in self.governing(sweep).into_iter().map(|at| at.clamp(near, 1.0 - near)) {
            if !places.iter().any(|p| (p - at).abs() < SAME_PLACE) {
                places.push(at);
            }
        }
        let mut masses: Vec<f64> = self.plan.people.walkers.iter().map(|m| m.si()).collect();
        masses.sort_by(|a, b| b.total_cmp(a));
        masses.dedup();
        let mut out = Vec::new();
        for (k, &mass) in masses.iter().enumerate() {
            for &at in &places {
                let mass_g = (k > 0).then(|| (1e3 * mass).round() as u32);
                out.push(Event {
                    situation: Cause::Fall { at: Share::of(at), mass_g, missing: Vec::new() }.into(),
                    class: Class::Fall,
                    at,
                    who: Who::Falling(mass),
                    loss: Loss::default(),
                    missing: Loss::default(),
                    slides: false,
                    against: Against::default(),
                });
            }
        }
        out
    }

    /// Every loss of a single piece; pieces whose going does the same are one loss.
    fn losses(&self, whole: &CaseNet) -> Vec<Named> {
        let rig = &self.solver.rig;
        let mut out: Vec<Named> = Vec::new();
        let mut add = |name: Lost, loss: Loss| {
            let what = self.what_goes(whole, &loss);
            match out.iter_mut().find(|n| self.what_goes(whole, &n.loss) == what) {
                Some(same) => same.names.push(name),
                None => out.push(Named { names: vec![name], loss }),
            }
        };
        let main = &rig.run_names[rig.line.run];
        let segments = rig.line.joints.len() + 1;
        let segment =
            |run: &String, s: usize| Lost::Segment { run: run.clone(), number: (segments > 1).then_some(s + 1) };
        for s in 0..segments {
            add(segment(main, s), Loss { main: vec![s], ..Loss::default() });
        }
        if let Some(b) = &rig.backup {
            let backup = &rig.run_names[b.run];
            for s in 0..segments {
                add(segment(backup, s), Loss { backup: vec![s], ..Loss::default() });
            }
            for (k, joint) in rig.line.joints.iter().enumerate() {
                let both = vec![k, k + 1];
                match &joint.ties {
                    Ties::OnePiece(_) => {
                        let loss = Loss { main: both.clone(), backup: both, ..Loss::default() };
                        add(Lost::Joint(k + 1), loss);
                    }
                    Ties::Apart { .. } => {
                        add(Lost::MainTie(k + 1), Loss { main: both.clone(), ..Loss::default() });
                        add(Lost::BackupTie(k + 1), Loss { backup: both, ..Loss::default() });
                    }
                }
            }
        }
        for (m, leg) in rig.legs.iter().enumerate() {
            let (name, run) = match self.plan.runs.get_index(leg.run) {
                Some((n, r)) => (n.clone(), r),
                None => continue,
            };
            // Parts that share one article go together, with all the runs they are in.
            let pieces: Vec<&String> = run.parts.iter().filter_map(|p| p.piece.as_ref()).collect();
            let mut legs: Vec<usize> = (0..rig.legs.len())
                .filter(|&l| {
                    let parts = &self.plan.runs[rig.legs[l].run].parts;
                    l == m || parts.iter().any(|p| p.piece.as_ref().is_some_and(|n| pieces.contains(&n)))
                })
                .collect();
            legs.sort_unstable();
            // When a guy goes, its frame falls, and is lost with it.
            let head = rig.frames.iter().map(|f| f.point).find(|p| self.is_guy(leg.run) && leg.path.contains(p));
            match head {
                Some(p) => add(Lost::Run(name), Loss { points: vec![p], ..Loss::default() }),
                None => add(Lost::Run(name), Loss { legs, ..Loss::default() }),
            }
        }
        for (p, (name, point)) in self.plan.points.iter().enumerate() {
            // An edge, or a frame that is not judged, has no strength here that could give way.
            if point.hold().is_some_and(|h| h.is_edge_or_frame() && h.frame().is_none()) {
                continue;
            }
            if point.hold().is_some() || point.hardware.is_some() {
                // With what a guy is held by its frame goes too.
                let guys = rig.legs.iter().filter(|l| l.path.contains(&p) && self.is_guy(l.run));
                let heads = guys.flat_map(|l| rig.frames.iter().map(|f| f.point).filter(|h| l.path.contains(h)));
                let mut points: Vec<usize> = heads.chain([p]).collect();
                points.sort_unstable();
                points.dedup();
                add(Lost::Point(name.clone()), Loss { points, ..Loss::default() });
            }
        }
        out
    }

    fn is_guy(&self, run: usize) -> bool {
        self.plan.runs.get_index(run).is_some_and(|(_, r)| r.role == Role::Guy)
    }

    /// What a loss does: what it takes, and which runs close up over which points.
    fn what_goes(&self, whole: &CaseNet, loss: &Loss) -> (Gone, Vec<(usize, usize)>) {
        let rig = &self.solver.rig;
        let mut gone = rig.goes(whole, loss);
        // Which end came loose matters only where the backup is gone as well.
        if !gone.main.iter().any(|s| gone.backup.contains(s)) {
            gone.loose = [false; 2];
        }
        let left = rig.legs.iter().enumerate().filter(|(m, _)| !gone.members.contains(m));
        let slid = left.flat_map(|(m, leg)| loss.points.iter().filter(|p| leg.path.contains(p)).map(move |p| (m, *p)));
        let slid = slid.collect();
        (gone, slid)
    }

    /// What is tried with one loss: standing, two together, a fall afterwards; and when the main line goes, with the ring
    /// held at its place and sliding, standing and letting go.
    fn going(&self, named: &Named, sweep: &[(f64, Vec<f64>)], segments: usize, whole: &CaseNet) -> Vec<Event> {
        let plan = self.plan;
        let mass = heaviest_kg(plan);
        let sliding = |slides: bool, then: Then, at: f64, who: Who| Event {
            situation: Cause::Gone { pieces: named.names.clone(), then, at: Share::of(at), slides }.into(),
            class: Class::Failure,
            at,
            who,
            loss: named.loss.clone(),
            missing: Loss::default(),
            slides,
            against: Against::default(),
        };
        let event = |then: Then, at: f64, who: Who| sliding(false, then, at, who);
        let together = Then::Together(plan.people.together.max(2));
        let mut out = Vec::new();
        let gone = self.solver.rig.goes(whole, &named.loss);
        if !gone.main.is_empty() {
            let mut places: Vec<f64> = gone.main.iter().take(1).map(|s| self.middle_of(*s)).collect();
            if segments == 1 {
                places.extend(NEAR_ENDS);
            }
            // What joins a walker to a backup is the leash; rigidly on the ring they are counted in the middle only, and
            // on a line of many segments in the middle one.
            let middle = gone.main.contains(&(segments / 2)) && named.loss.points.is_empty();
            let rigid = (segments == 1 || middle && named.loss.main.len() == 1) || self.body().leash.is_none();
            for (k, &at) in places.iter().enumerate() {
                let falls = Who::LettingGo(mass);
                let stands = (rigid && k == 0).then_some(Who::Standing(mass));
                for (who, then) in stands.into_iter().map(|w| (w, Then::Stands)).chain([(falls, Then::Falls)]) {
                    out.extend([false, true].map(|slides| sliding(slides, then, at, who)));
                }
            }
            if rigid {
                let two = Case::together_kg(plan);
                out.push(event(together, places[0], Who::Standing(two)));
            }
            return out;
        }
        let carries = gone.members.iter().any(|m| self.working().any(|c| carried(c, *m) > 1.0));
        if !carries && gone.backup.len() < segments {
            // Nothing carries there in any working situation, and the backup is whole elsewhere.
            return vec![event(Then::Stands, 0.5, Who::Standing(mass))];
        }
        let mut places = vec![0.5];
        let worst = gone.members.iter().find_map(|m| peak_place(sweep, self.solver.rig.legs.get(*m)?.run));
        let worst = worst.map(|at| at.clamp(self.near(), 1.0 - self.near()));
        if let Some(at) = worst.filter(|at| (at - 0.5).abs() > SAME_PLACE) {
            places.push(at);
        }
        for at in places {
            out.push(event(Then::Stands, at, Who::Standing(mass)));
        }
        let two = Case::together_kg(plan);
        out.push(event(together, 0.5, Who::Standing(two)));
        out.push(Event {
            loss: Loss::default(),
            missing: named.loss.clone(),
            situation: Cause::Fall { at: Share::of(0.5), mass_g: None, missing: named.names.clone() }.into(),
            ..event(Then::Falls, 0.5, Who::Falling(mass))
        });
        out
    }
}

/// How far from a fall others stand, as a share of the line. Common practice, no source.
const ASIDE: f64 = 0.06;

impl Work<'_> {
    /// What else is tried once the incidents are played: with each leg short, friction at its limit in what slides, and
    /// others on the line, the incident in which the piece that it tells on saw most; and the lowest falls and catches
    /// with new gear, which gives more.
    pub(super) fn against(&self) -> Vec<Event> {
        let mut out: Vec<Event> = Vec::new();
        let mut add = |e: &Event, with: With, against: Against| {
            let situation = e.situation.with(with);
            if !out.iter().any(|o| o.situation == situation) {
                out.push(Event { situation, against, ..e.clone() });
            }
        };
        let rig = &self.solver.rig;
        let played = || self.incidents.iter().filter(|i| i.fault.is_none() && !i.peaks.run_n.is_empty());
        let hardest = |class: Class, run: usize, fits: &dyn Fn(&Incident) -> bool| {
            let of = played().filter(|i| i.event.class == class && fits(i));
            let most = of.max_by(|a, b| a.peaks.run_n[run].total_cmp(&b.peaks.run_n[run]));
            most.filter(|i| i.peaks.run_n[run] > 1.0).map(|i| &i.event)
        };
        for (_, legs) in self.solver.anchors() {
            for &leg in legs.iter().filter(|l| rig.legs[**l].tolerance_m > 0.0) {
                let run = rig.legs[leg].run;
                let mm = (1e3 * rig.legs[leg].tolerance_m).round() as u32;
                let with = || With::Short { run: rig.run_names[run].clone(), mm };
                let short = Against { short: Some(leg), ..Against::default() };
                // A leg that carries nothing while the others hold may carry all when it is short: then in mid-span.
                let fall = hardest(Class::Fall, run, &|_| true)
                    .or_else(|| played().map(|i| &i.event).find(|e| e.class == Class::Fall));
                if let Some(e) = fall {
                    add(e, with(), short.clone());
                }
                // Short, it carries all; when it goes, the long ones are slack and come taut at a jerk.
                let goes = played().map(|i| &i.event).find(|e| {
                    e.loss.legs.contains(&leg) && matches!(e.who, Who::Standing(_)) && e.loss.main.is_empty()
                });
                let goes = goes.or_else(|| {
                    self.incidents
                        .iter()
                        .map(|i| &i.event)
                        .find(|e| e.loss.legs.contains(&leg) && e.loss.main.is_empty())
                });
                if let Some(e) = goes {
                    add(e, with(), short.clone());
                }
                // Where several are left, the short one of these takes what they would share.
                if legs.len() > 2 {
                    let others = |i: &Incident| {
                        let m = &i.event.missing.legs;
                        !m.is_empty() && !m.contains(&leg) && m.iter().all(|l| legs.contains(l))
                    };
                    if let Some(e) = hardest(Class::Failure, run, &others) {
                        add(e, with(), short);
                    }
                }
            }
        }
        for (leg, strand) in self.solver.patterns() {
            let run = rig.legs[leg].run;
            let with = || With::Held { run: rig.run_names[run].clone(), strand: strand + 1 };
            // What closes up over a point that goes has other shares than those that friction held before.
            let whole = |i: &Incident| {
                let without =
                    |l: &Loss| !l.legs.contains(&leg) && !l.points.iter().any(|p| rig.legs[leg].path.contains(p));
                without(&i.event.loss) && without(&i.event.missing)
            };
            for class in [Class::Fall, Class::Failure] {
                if let Some(e) = hardest(class, run, &whole) {
                    add(e, with(), Against { held: Some((leg, strand)), ..Against::default() });
                }
            }
        }
        let others: Vec<f64> = Case::together_masses(self.plan).skip(1).collect();
        // Where the plan lets one on the line at a time, who comes to the rescue does not fall.
        if !others.is_empty() && self.plan.people.together > 1 {
            let mut worst: Vec<&Event> = Vec::new();
            for run in 0..self.plan.runs.len() {
                let e = hardest(Class::Fall, run, &|_| true);
                worst.extend(e.filter(|e| !worst.iter().any(|w| w.situation == e.situation)));
            }
            worst.truncate(OTHERS);
            for e in worst {
                let at = if e.at < 0.5 { e.at + ASIDE } else { e.at - ASIDE };
                let stand = others.iter().enumerate().map(|(k, mass_kg)| {
                    let by = 0.01 * k as f64;
                    Bystander { at: if e.at < 0.5 { at + by } else { at - by }, mass_kg: *mass_kg }
                });
                add(e, With::Others(others.len()), Against { others: stand.collect(), ..Against::default() });
            }
        }
        for class in [Class::Fall, Class::Failure] {
            let low = played().filter(|i| i.event.class == class && i.feet_m[0].is_finite() && !i.idle);
            let over =
                |i: &Incident| self.body_ground.top_at(i.feet_m[1]).map_or(i.feet_m[0], |(top, _)| i.feet_m[0] - top);
            if let Some(i) = low.min_by(|a, b| over(a).total_cmp(&over(b))) {
                add(&i.event, With::NewGear, Against { new_gear: true, ..Against::default() });
            }
        }
        out
    }
}

/// Falls that are played with others on the line.
const OTHERS: usize = 4;

/// Largest tension of a member of the net in a solved situation, N.
fn carried(case: &Solved, member: usize) -> f64 {
    match case.solution.members.get(member) {
        Some(MemberState::Link { tension_n, .. }) => *tension_n,
        _ => 0.0,
    }
}
