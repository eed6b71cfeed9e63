//! What nobody could tape: how far off places and the gap may be, and what that does to what the pieces see.

use schemars::JsonSchema;
use serde::Serialize;

use super::case::Case;
use super::solve::Solver;
use crate::catalogue::Catalogue;
use crate::mechanics::equilibrium::Status;
use crate::plan::sighted::Unmeasured;
use crate::plan::{At, Plan, PointKind, Side};
use crate::rig::Rig;
use crate::units::{Length, Quantity};

/// A point that was sighted or assumed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Placed {
    /// Its name.
    pub point: String,
    /// Mean errors along the line, across it and upwards, m.
    pub within_m: [f64; 3],
    /// By how many of their mean errors two sightings of it differ; null where it was seen once.
    pub apart: Option<f64>,
    /// Whether it is assumed.
    pub assumed: bool,
}

/// A place of the ground that was sighted.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct GroundSeen {
    /// Along the gap from A, m.
    pub x_m: f64,
    /// Over A, m.
    pub z_m: f64,
    /// Mean errors along the gap and upwards, m.
    pub within_m: [f64; 2],
}

/// Something assumed, with what it may do.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Moved {
    /// What, in words.
    pub what: String,
    /// How far off it may be, m.
    pub within_m: f64,
    /// The most that what a carrying run sees changes when it is so far off, as a share; null where the rig cannot be worked out
    /// so.
    pub share: Option<f64>,
    /// The run that it changes most.
    pub most: String,
    /// Whether it is the ground, which changes heights alone: they are judged over the higher.
    pub ground: bool,
}

/// What was scouted.
#[derive(Debug, Clone, PartialEq, Default, Serialize, JsonSchema)]
pub struct Scouted {
    /// How far off the span may be, m; null where it is not assumed.
    pub span_within_m: Option<f64>,
    /// The height difference, m.
    pub rise_within_m: Option<f64>,
    /// Points that were sighted or assumed.
    pub points: Vec<Placed>,
    /// The ground that was sighted.
    pub ground: Vec<GroundSeen>,
    /// What is assumed, with what it may do.
    pub assumed: Vec<Moved>,
}

/// A run that sees less than this share of the most is not looked at.
const CARRIES: f64 = 0.3;

/// What was scouted of a plan; nothing where all of it was measured.
pub(super) fn scouted(plan: &Plan, catalogue: &Catalogue, solver: &Solver) -> Option<Scouted> {
    let mut points = Vec::new();
    for (name, p) in &plan.points {
        let PointKind::Fixed { at, .. } = &p.kind else { continue };
        let assumed = plan.assumed_m(&Unmeasured::Point(name.clone()));
        let seen = plan.located(p.side, at).filter(|_| matches!(at, At::Sighted(_)));
        let (within_m, apart) = match (assumed, seen) {
            (Some(m), _) => ([m; 3], None),
            (None, Some((seen, apart))) => (seen.within_m().to_array(), apart),
            (None, None) => continue,
        };
        points.push(Placed { point: name.clone(), within_m, apart, assumed: assumed.is_some() });
    }
    let assumed = || plan.scouting.assumed.keys().filter_map(|path| Unmeasured::of(path));
    let (span, rise) = (plan.site.span.si(), plan.site.height_difference.si());
    let ground: Vec<GroundSeen> = plan
        .scouting
        .shots
        .iter()
        .map(|s| {
            let [x_m, z_m] = s.place_m(span, rise);
            GroundSeen { x_m, z_m, within_m: s.within_m() }
        })
        .collect();
    if points.is_empty() && ground.is_empty() && assumed().next().is_none() {
        return None;
    }
    let base = pulls(solver, plan);
    let moved = assumed().filter_map(|what| {
        let within_m = plan.assumed_m(&what)?;
        let ground = what == Unmeasured::Ground;
        let found = base.as_ref().filter(|_| !ground).and_then(|base| {
            let off = variants(&what, within_m).into_iter().filter_map(|by| {
                let changed = displaced(plan, &what, by);
                let rig = Rig::build(&changed, catalogue).ok()?;
                let now = pulls(&Solver::new(rig).ok()?, &changed)?;
                let most = base.iter().copied().fold(0.0, f64::max);
                let carrying = base.iter().zip(&now).enumerate().filter(|(_, (b, _))| **b > CARRIES * most);
                let changes = carrying.map(|(run, (b, n))| ((n / b - 1.0).abs(), run));
                changes.max_by(|a, b| a.0.total_cmp(&b.0))
            });
            off.max_by(|a, b| a.0.total_cmp(&b.0))
        });
        let most = found.map_or_else(String::new, |(_, run)| solver.rig.run_names[run].clone());
        Some(Moved { what: what.words(), within_m, share: found.map(|f| f.0), most, ground })
    });
    Some(Scouted {
        span_within_m: plan.assumed_m(&Unmeasured::Span),
        rise_within_m: plan.assumed_m(&Unmeasured::Rise),
        points,
        ground,
        assumed: moved.collect(),
    })
}

/// What each run sees with one walker in the middle, N.
fn pulls(solver: &Solver, plan: &Plan) -> Option<Vec<f64>> {
    let (case, s) = solver.quick(&Case::walker(plan, 0.5).load, None);
    (s.status == Status::Converged).then(|| solver.rig.response(&case, &s).run_n)
}

/// The ways in which something may be off, m.
fn variants(what: &Unmeasured, within_m: f64) -> Vec<glam::DVec3> {
    let axes = match what {
        Unmeasured::Span => vec![glam::DVec3::X],
        Unmeasured::Rise => vec![glam::DVec3::Z],
        Unmeasured::Ground => Vec::new(),
        Unmeasured::Point(_) => vec![glam::DVec3::X, glam::DVec3::Y, glam::DVec3::Z],
    };
    axes.into_iter().flat_map(|a| [a * within_m, a * -within_m]).collect()
}

/// A plan with something of it elsewhere, m.
pub(super) fn displaced(plan: &Plan, what: &Unmeasured, by: glam::DVec3) -> Plan {
    let mut plan = plan.clone();
    match what {
        Unmeasured::Span => plan.site.span = Length::from_si((plan.site.span.si() + by.x).max(1.0)),
        Unmeasured::Rise => plan.site.height_difference += Length::from_si(by.z),
        // No pull hangs on it; heights over it count it as high as it may be.
        Unmeasured::Ground => {}
        Unmeasured::Point(name) => {
            let place = plan.points.get(name).and_then(|p| match &p.kind {
                PointKind::Fixed { at, .. } => Some(plan.located(p.side, at)?.0.place - plan.origin(p.side) + by),
                PointKind::Free { .. } => None,
            });
            if let (Some(to), Some(PointKind::Fixed { at, .. })) =
                (place, plan.points.get_mut(name).map(|p| &mut p.kind))
            {
                *at = At::Place(to.to_array().map(Length::from_si));
            }
        }
    }
    plan
}

/// Between two points of the profile along the gap at the most, m; and whether each side has one within so many metres of its
/// lip, out over the gap.
pub(super) fn ground_gaps(plan: &Plan, near_m: f64) -> Option<(f64, [bool; 2])> {
    let span = plan.site.span.si();
    let x: Vec<f64> = plan.site.ground.iter().map(|g| g.0.si()).collect();
    if x.is_empty() {
        return None;
    }
    let mut inside: Vec<f64> = x.iter().copied().filter(|x| (0.0..=span).contains(x)).collect();
    inside.extend([0.0, span]);
    inside.sort_by(f64::total_cmp);
    let widest = inside.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
    let near = |side: Side| {
        x.iter().any(|x| {
            let out = if side == Side::A { *x } else { span - *x };
            (0.0..=near_m).contains(&out)
        })
    };
    Some((widest, [near(Side::A), near(Side::B)]))
}
