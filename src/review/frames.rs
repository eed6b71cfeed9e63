//! Frames: what pushes through their struts and on their feet, whether they stand, in every situation.

use std::sync::atomic::AtomicBool;

use glam::DVec3;
use schemars::JsonSchema;
use serde::Serialize;

use super::case::{Class, Variant};
use super::hands;
use super::incident::Incident;
use super::row::SETTLED;
use super::situation::{Seen, Situation};
use super::solve::{Solved, Solver};
use super::work::Work;
use crate::catalogue::Catalogue;
use crate::mechanics::G;
use crate::mechanics::equilibrium::{MemberState, Solution};
use crate::mechanics::frame::{self, Bears, Came, LEFT};
use crate::mechanics::net::{Member, Net};
use crate::plan::frame::{Frame, SLACK, Stands, Strut};
use crate::plan::{Plan, Role, Side};
use crate::units::Quantity;

/// Less than this is nothing, N.
const NOTHING_N: f64 = 1.0;

/// One strut in a situation.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StrutAt {
    /// What pushes through it, N; below zero its foot would have to be held down.
    #[serde(rename = "thrust_N")]
    pub thrust_n: f64,
    /// What its foot presses on the ground with, square to it, N.
    #[serde(rename = "down_N")]
    pub down_n: f64,
    /// What its foot pushes along the ground with, less what the hobble takes, N.
    #[serde(rename = "along_N")]
    pub along_n: f64,
}

/// A frame in a situation.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FrameAt {
    /// Which, in words.
    pub situation: String,
    #[serde(skip)]
    pub(super) seen: Option<Seen>,
    #[serde(skip)]
    pub(super) class: Class,
    #[serde(skip)]
    pub(super) spread: Option<f64>,
    /// How far it leans from where it is drawn, towards the gap, degrees.
    pub lean_deg: f64,
    /// Its struts, in the plan's order.
    pub struts: Vec<StrutAt>,
    /// Tension of the hobble, N.
    #[serde(rename = "hobble_N")]
    pub hobble_n: f64,
    /// Stiffness against leaning over what its thrust needs; under 1 it falls. Null where that was not worked out, or nothing
    /// pushes it over.
    pub stiffness_ratio: Option<f64>,
    /// Whether it rests there, and is pushed back from 5 mm to either side.
    pub stands: bool,
    /// Whether it is pushed back from 50 mm as well; null where that was not tried.
    pub from_50_mm: Option<bool>,
    #[serde(skip)]
    pub(super) guys_n: Vec<(usize, f64)>,
}

/// A frame.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Framed {
    /// Its head.
    pub point: String,
    /// Whose side.
    pub side: Side,
    /// What each strut bears, N; null where its section is not known.
    #[serde(rename = "bears_N")]
    pub bears_n: Vec<Option<f64>>,
    /// With nobody on the line.
    pub standing: Option<FrameAt>,
    /// Where it is least far from falling, of those situations in which that was worked out.
    pub weakest: Option<FrameAt>,
    /// Leans at which it rests besides, looked for every two and a half degrees, degrees.
    pub rests_also_deg: Vec<f64>,
    /// Leans at which it would balance, and falls from, degrees.
    pub balances_deg: Vec<f64>,
    /// Every situation.
    #[serde(skip)]
    pub(super) states: Vec<FrameAt>,
}

impl Framed {
    /// Situations in which it does not stand.
    pub fn falls(&self) -> impl Iterator<Item = &FrameAt> {
        self.states.iter().filter(|s| !s.stands)
    }

    /// Where a foot would lift hardest, and which.
    #[must_use]
    pub fn lifts(&self) -> Option<(&FrameAt, usize)> {
        let each = self.states.iter().flat_map(|s| (0..s.struts.len()).map(move |k| (s, k)));
        let up = |(s, k): &(&FrameAt, usize)| s.struts[*k].thrust_n.min(s.struts[*k].down_n);
        each.filter(|at| up(at) < -NOTHING_N).min_by(|a, b| up(a).total_cmp(&up(b)))
    }

    /// The most that it leans by.
    #[must_use]
    pub fn most_lean(&self) -> Option<&FrameAt> {
        let standing = self.states.iter().filter(|s| s.stands);
        standing.max_by(|a, b| a.lean_deg.abs().total_cmp(&b.lean_deg.abs()))
    }

    /// What pushes hardest through any of its struts.
    #[must_use]
    pub fn hardest(&self) -> Option<&FrameAt> {
        let most = |s: &FrameAt| s.struts.iter().map(|c| c.thrust_n).fold(0.0, f64::max);
        self.states.iter().max_by(|a, b| most(a).total_cmp(&most(b)))
    }

    /// Situations in which it stands, but not when nudged by 5 cm.
    pub fn nudged(&self) -> impl Iterator<Item = &FrameAt> {
        self.states.iter().filter(|s| s.stands && s.from_50_mm == Some(false))
    }

    fn tell(&mut self) {
        let standing = |s: &&FrameAt| s.seen.as_ref().is_some_and(|s| s.situation == Situation::STANDING);
        self.standing = self.states.iter().find(standing).cloned();
        let known = self.states.iter().filter(|s| s.stiffness_ratio.is_some());
        let least = known.min_by(|a, b| a.stiffness_ratio.unwrap_or(0.0).total_cmp(&b.stiffness_ratio.unwrap_or(0.0)));
        let weakest = self.falls().next().or(least).cloned();
        self.weakest = weakest;
    }
}

/// What a strut bears: nothing where its section is not known.
pub(super) fn bears(strut: &Strut, frame: &Frame, length_m: f64, catalogue: &Catalogue) -> Option<Bears> {
    let item = catalogue.get(&strut.item)?;
    let off_m = item.bow_ratio() * length_m + frame.off_centre.si();
    Some(item.section()?.bears(strut.buckles * length_m, off_m))
}

/// What looks at the frames of a plan.
struct Look<'a> {
    plan: &'a Plan,
    catalogue: &'a Catalogue,
    solver: &'a Solver,
}

impl Look<'_> {
    fn frame(&self, k: usize) -> Option<(&str, Side, &Frame)> {
        let (name, p) = self.plan.points.get_index(self.solver.rig.frames[k].point)?;
        Some((name, p.side, p.hold()?.frame()?))
    }

    /// Half the weight of a strut, N.
    fn half_weight_n(&self, strut: &Strut, length_m: f64) -> f64 {
        let mass = self.catalogue.get(&strut.item).and_then(|i| i.mass_per_length);
        mass.map_or(0.0, |m| 0.5 * m.si() * length_m * G)
    }

    /// A frame in a net at rest with its head there.
    fn at(&self, k: usize, class: Class, seen: Seen, net: &Net, solution: &Solution, tried: bool) -> Option<FrameAt> {
        let of = &self.solver.rig.frames[k];
        let (_, side, plan) = self.frame(k)?;
        let head = solution.places[of.point];
        let pull = -solution.gradient[of.point];
        let thrusts = of.thrusts_n(head, pull);
        // Struts and pulls balance, added up anew; else it is no rest but a head that was held.
        let ups: Vec<DVec3> = of.struts.iter().map(|s| (head - s.foot).normalize_or_zero()).collect();
        let left = pull + ups.iter().zip(&thrusts).map(|(u, c)| *u * *c).sum::<DVec3>();
        let largest = solution.gradient.iter().map(|g| g.length()).fold(1.0, f64::max);
        let rests = left.length() <= LEFT * largest;
        let stands = tried.then(|| frame::stands(net, &self.solver.rig.frames, solution)).flatten();
        let (struts, hobble_n) = self.feet(plan, of, &ups, &thrusts);
        Some(FrameAt {
            situation: seen.to_string(),
            seen: Some(seen),
            class,
            spread: None,
            lean_deg: lean_deg(of, side, head),
            struts,
            hobble_n,
            stiffness_ratio: stands.and_then(|s| s.stiffness_ratio),
            stands: rests && (!tried || of.struts.len() == 3 || stands.is_some_and(|s| s.from_5_mm)),
            from_50_mm: stands.filter(|_| of.struts.len() < 3).map(|s| s.from_50_mm),
            guys_n: Vec::new(),
        })
    }

    /// What each foot does to the ground, and the tension of what ties two together.
    fn feet(&self, plan: &Frame, of: &frame::Frame, ups: &[DVec3], thrusts: &[f64]) -> (Vec<StrutAt>, f64) {
        let press = |i: usize| {
            let weight = self.half_weight_n(&plan.struts[i], of.struts[i].length_m);
            let push = -ups[i] * thrusts[i] - DVec3::Z * weight;
            let normal = match plan.struts[i].stands {
                Stands::On { normal, .. } => DVec3::from_array(normal).normalize_or(DVec3::Z),
                Stands::Pinned(_) => DVec3::Z,
            };
            let down = -push.dot(normal);
            (down, push + normal * down)
        };
        let feet: Vec<(f64, DVec3)> = (0..of.struts.len()).map(press).collect();
        // A hobble takes what pushes the feet apart: at the most all of it, for its own sake; of the feet only what both push.
        let apart =
            |i: usize, j: usize| feet[i].1.dot((of.struts[i].foot - of.struts[j].foot).normalize_or_zero()).max(0.0);
        // One of which nobody knows how long it is, or that is slack, ties nothing.
        let taut = plan.hobble_ratio(self.catalogue).is_some_and(|r| r <= 1.0 + SLACK);
        let tied = (taut && feet.len() == 2).then(|| [apart(0, 1), apart(1, 0)]);
        let (takes, most) = tied.map_or((0.0, 0.0), |[a, b]| (a.min(b), a.max(b)));
        let struts = feet.iter().enumerate().map(|(i, (down, along))| {
            let other = if tied.is_some() { of.struts[1 - i].foot } else { of.struts[i].foot };
            let way = (of.struts[i].foot - other).normalize_or_zero();
            StrutAt { thrust_n: thrusts[i], down_n: *down, along_n: (*along - way * takes).length() }
        });
        (struts.collect(), most)
    }

    /// The frames of a solved situation.
    fn solved(&self, c: &Solved) -> Vec<FrameAt> {
        let tried = !matches!(c.case.variant, Variant::Held { .. });
        let at = |k: usize| self.at(k, c.case.class, (&c.case.situation).into(), &c.net.net, &c.solution, tried);
        (0..self.solver.rig.frames.len()).filter_map(at).collect()
    }

    /// A frame under what pulls at its head at the most in a motion, at rest: beside that pull, the rig as it stands.
    fn jerked(&self, k: usize, i: &Incident, pull: DVec3, seen: Seen) -> Option<FrameAt> {
        let standing = &self.solver.standing;
        let of = &self.solver.rig.frames[k];
        let mut net = standing.case.net.clone();
        net.nodes[of.point].load_n += pull + standing.solution.gradient[of.point];
        let (solution, came) = frame::rest(&mut net, &self.solver.rig.frames, Some(&standing.solution));
        let mut at = self.at(k, i.event.class, seen, &net, &solution, false)?;
        at.stands = came == Came::Rests && at.stands;
        let tension = |m: usize| match solution.members.get(m) {
            Some(MemberState::Link { tension_n, .. }) => *tension_n,
            _ => 0.0,
        };
        let guys = self.solver.rig.legs.iter().enumerate().filter(|(_, l)| {
            let guy = self.plan.runs.get_index(l.run).is_some_and(|(_, r)| r.role == Role::Guy);
            guy && l.path.contains(&of.point)
        });
        at.guys_n = guys.map(|(m, l)| (l.run, tension(m))).collect();
        Some(at)
    }
}

/// How far a head leans from where it was drawn, degrees: towards the gap positive.
fn lean_deg(of: &frame::Frame, side: Side, head: DVec3) -> f64 {
    let out = if side == Side::A { 1.0 } else { -1.0 };
    of.lean(head).to_degrees() * ((head - of.drawn).x * out).signum()
}

/// How far two plays of a motion are apart in the largest pull on a point.
fn pull_spread(i: &Incident, point: usize) -> Option<f64> {
    i.spread(|q| q.pulls[point].iter().map(|f| f.length()).fold(0.0, f64::max))
}

impl Work<'_> {
    fn look(&self) -> Look<'_> {
        Look { plan: self.plan, catalogue: self.catalogue, solver: &self.solver }
    }

    /// The frames in every situation that needs no motion.
    pub(super) fn frames_at_rest(&self) -> Vec<Framed> {
        let look = self.look();
        let rig = &self.solver.rig;
        if rig.frames.is_empty() {
            return Vec::new();
        }
        let cases = &self.cases;
        let found = hands::each(hands::all(), cases.len(), &AtomicBool::new(false), |i| look.solved(&cases[i]));
        let found = found.unwrap_or_default();
        let framed = |k: usize| {
            let (name, side, plan) = look.frame(k)?;
            let of = &rig.frames[k];
            let states: Vec<FrameAt> = found.iter().filter_map(|at| at.get(k).cloned()).collect();
            let alone = (rig.frames.len() == 1).then(|| {
                let net = &self.solver.standing.case.net;
                frame::resting_places(net, of, Some(&self.solver.standing.solution))
            });
            let lean = |head: DVec3| lean_deg(of, side, head);
            let here = self.solver.standing.solution.places[of.point];
            let (rests, balances): (Vec<_>, Vec<_>) =
                alone.unwrap_or_default().into_iter().partition(|(_, back)| *back);
            let elsewhere = rests.into_iter().filter(|(h, _)| h.distance(here) > 0.02);
            let mut framed = Framed {
                point: name.to_owned(),
                side,
                bears_n: plan
                    .struts
                    .iter()
                    .zip(&of.struts)
                    .map(|(s, bar)| {
                        bears(s, plan, bar.length_m, self.catalogue).map(|b| b.bears_n * s.keeps.unwrap_or(1.0))
                    })
                    .collect(),
                standing: None,
                weakest: None,
                rests_also_deg: elsewhere.map(|(h, _)| lean(h)).collect(),
                balances_deg: balances.into_iter().map(|(h, _)| lean(h)).collect(),
                states,
            };
            framed.tell();
            Some(framed)
        };
        (0..rig.frames.len()).filter_map(framed).collect()
    }

    /// The same with what the motions that were played do to their heads.
    pub(super) fn frames(&self) -> Vec<Framed> {
        let mut out = self.framed.clone();
        let look = self.look();
        for (k, framed) in out.iter_mut().enumerate() {
            for class in [Class::Fall, Class::Failure] {
                framed.states.extend(self.jerks(k, class).into_iter().filter_map(|(i, pull)| {
                    let mut at = look.jerked(k, i, pull, self.seen(i))?;
                    at.spread = pull_spread(i, self.solver.rig.frames[k].point);
                    Some(at)
                }));
            }
            framed.tell();
        }
        out
    }

    /// The pulls on a head in motions of a class that push a strut most, or push the head most along or against its way.
    fn jerks(&self, k: usize, class: Class) -> Vec<(&Incident, DVec3)> {
        let of = &self.solver.rig.frames[k];
        let p = of.point;
        let head = self.solver.standing.solution.places[p];
        let up = (head - of.middle()).normalize_or_zero();
        let whole = |i: &&Incident| !i.event.loss.points.contains(&p) && !i.event.missing.points.contains(&p);
        let grown = |i: &Incident| 1.0 + pull_spread(i, p).filter(|s| *s > SETTLED).unwrap_or(0.0);
        let pulls: Vec<(&Incident, DVec3)> = self
            .incidents
            .iter()
            .filter(|i| i.event.class == class && i.fault.is_none() && !i.peaks.pulls.is_empty())
            .filter(whole)
            // Where nothing pulled a way there is no pull to put on.
            .flat_map(|i| i.peaks.pulls[p].iter().filter(|f| f.length() > NOTHING_N).map(move |f| (i, *f * grown(i))))
            .collect();
        let mut out: Vec<(&Incident, DVec3)> = Vec::new();
        let mut most = |of: &dyn Fn(DVec3) -> f64| {
            let found = pulls.iter().max_by(|a, b| of(a.1).total_cmp(&of(b.1))).copied();
            out.extend(found.filter(|f| !out.iter().any(|o| o.1 == f.1)));
        };
        for s in 0..of.struts.len() {
            most(&|f| of.thrusts_n(head, f)[s]);
            most(&|f| -of.thrusts_n(head, f)[s]);
        }
        let across = |f: DVec3| f - up * f.dot(up);
        for way in super::peaks::ways() {
            if way.z == 0.0 {
                most(&|f| across(f).dot(way));
            }
        }
        out
    }
}

/// A net with friction held at its limit in a run that slides over a head: the head where it rests then.
pub(super) fn rest_held(
    frames: &[frame::Frame],
    net: &Net,
    (leg, strand): (usize, usize),
    from: &Solution,
) -> Option<Box<crate::mechanics::sliding::Pattern>> {
    use crate::mechanics::sliding::{Held, pattern};
    let mut net = net.clone();
    debug_assert!(matches!(net.members[leg], Member::Link(_)));
    let mut held = |net: &Net, warm: Option<&Solution>| match pattern(net, leg, strand, warm.unwrap_or(from)) {
        Held::At(p) => Some(p.solution),
        Held::Slack | Held::Unsettled => None,
    };
    let (solution, _) = frame::rest_with(&mut net, frames, Some(from), &mut held);
    match pattern(&net, leg, strand, solution.as_ref().unwrap_or(from)) {
        Held::At(p) => Some(p),
        Held::Slack | Held::Unsettled => None,
    }
}
