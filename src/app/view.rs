//! The situation in view: solved at once, with the walker where the slider is.

use glam::DVec3;

use crate::mechanics::certificate::certify;
use crate::mechanics::equilibrium::Solution;
use crate::plan::{Plan, PlanFile};
use crate::review::{Body, Case, Solver, With, fall_estimate};
use crate::rig::{CaseNet, Response, Rig};
use crate::units::Quantity;

/// Which situation is in view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum InView {
    /// Nobody on it.
    Standing,
    /// One walker.
    #[default]
    Walker,
    /// As many as may be together.
    Together,
    /// Bouncing.
    Bounce,
    /// One walker in wind from the right.
    Wind,
    /// One walker, coldest.
    Cold,
}

impl InView {
    /// All, in the order of the key that changes them.
    pub const ALL: [Self; 6] = [Self::Walker, Self::Together, Self::Bounce, Self::Wind, Self::Cold, Self::Standing];

    /// In one word.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Standing => "standing",
            Self::Walker => "walker",
            Self::Together => "together",
            Self::Bounce => "bounce",
            Self::Wind => "wind",
            Self::Cold => "cold",
        }
    }

    /// Who is on the line, in a few words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Standing => "nobody on it",
            Self::Walker => "one walker",
            Self::Together => "all together",
            Self::Bounce => "bouncing",
            Self::Wind => "one walker in wind",
            Self::Cold => "one walker, coldest",
        }
    }

    /// The case it stands for, with the walker at `at`.
    #[must_use]
    pub fn case(self, plan: &Plan, at: f64) -> Case {
        let air = plan.site.air;
        match self {
            Self::Standing => Case::standing(),
            Self::Walker => Case::walker(plan, at),
            Self::Together => Case::together(plan, at),
            Self::Bounce => Case::bounce(plan, at),
            Self::Wind => Case::walker(plan, at).in_wind(crate::review::gust_m_s(plan, air.wind.si()), With::Wind),
            Self::Cold => {
                Case::walker(plan, at).at_temperature(air.coldest.si() - air.rigged_at.si(), crate::rig::Expands::Most)
            }
        }
    }
}

/// One situation, solved for the screen.
#[derive(Debug, Clone)]
pub struct View {
    /// What it is called.
    pub case: String,
    /// Tensions and forces; nothing when it has no certificate.
    pub response: Option<Response>,
    /// Why there is none.
    pub faults: Vec<String>,
    /// Line, from A to B, m.
    pub line: Vec<DVec3>,
    /// Line with nobody on it, m.
    pub standing: Vec<DVec3>,
    /// Sag with nobody on it, m.
    pub standing_sag_m: f64,
    /// Largest angle between two legs where the line ends at A and at B, degrees.
    pub opening_deg: [Option<f64>; 2],
    /// Walkers' places, m.
    pub walkers: Vec<DVec3>,
    /// Where the line drawn is nearest to the ground away from its ends: along, height of the ground, gap, m.
    pub clearance: Option<[f64; 3]>,
    /// A leash fall from where the walker is, by energy: force on the leash (too low), N, and the feet above the ground
    /// (or below the line's end at A without a ground profile), m.
    pub fall: Option<(f64, f64)>,
    /// Start for the next solve.
    pub solution: Solution,
}

/// Points of the drawn line for each span.
const POINTS: usize = 48;

impl View {
    /// Solves `situation` with the walker at `at`.
    #[must_use]
    pub fn solve(solver: &Solver, file: &PlanFile, situation: InView, at: f64, warm: Option<&Solution>) -> Self {
        let plan = &file.plan;
        let case = situation.case(plan, at);
        let (net, solution): (CaseNet, Solution) = solver.quick(&case.load, warm);
        let certificate = certify(&net.net, &solution);
        let good = certificate.holds();
        let standing = solver.standing.case.shape(&solver.standing.solution, POINTS);
        let line = if good { net.shape(&solution, POINTS) } else { Vec::new() };
        let response = good.then(|| solver.rig.response(&net, &solution));
        Self {
            fall: (situation != InView::Standing).then(|| here(solver, file, at)).flatten(),
            case: case.situation.to_string(),
            opening_deg: [0, 1].map(|side| response.as_ref().and_then(|r| opening(&solver.rig, r, side))),
            response,
            faults: certificate.faults,
            clearance: clearance(plan, if good { &line } else { &standing }),
            line,
            standing,
            standing_sag_m: solver.standing.case.sag_m(&solver.standing.solution),
            walkers: if good { net.walkers.iter().map(|&w| solution.places[w]).collect() } else { Vec::new() },
            solution,
        }
    }
}

/// The fall by energy at a place.
fn here(solver: &Solver, file: &PlanFile, at: f64) -> Option<(f64, f64)> {
    let body = Body::of(&file.plan, &file.catalogue);
    let mass = file.plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
    let (e, ring_z_m) = fall_estimate(solver, &body, mass, at)?;
    let feet = ring_z_m - body.leash.as_ref()?.slack_m() - e.leash_stretch_m - body.below_m;
    let ends = solver.rig.line.ends.map(|p| solver.standing.solution.places[p]);
    let x = ends[0].x + at * (ends[1].x - ends[0].x);
    Some((e.leash_n, feet - file.plan.site.ground_at(x).unwrap_or(0.0)))
}

/// Largest angle between two legs at the line's end on one side, degrees.
fn opening(rig: &Rig, r: &Response, side: usize) -> Option<f64> {
    let end = rig.line.ends[side];
    let ways: Vec<DVec3> = rig
        .legs
        .iter()
        .filter(|l| r.run_n[l.run] > 0.0)
        .flat_map(|l| l.path.windows(2))
        .filter_map(|e| match (e[0] == end, e[1] == end) {
            (true, false) => Some(r.places[e[1]] - r.places[end]),
            (false, true) => Some(r.places[e[0]] - r.places[end]),
            _ => None,
        })
        .collect();
    let pairs = ways.iter().enumerate().flat_map(|(i, a)| ways[i + 1..].iter().map(move |b| a.angle_between(*b)));
    pairs.map(f64::to_degrees).max_by(f64::total_cmp)
}

/// Where the line is nearest to the ground away from its ends, the ground there, and the gap, m.
fn clearance(plan: &Plan, line: &[DVec3]) -> Option<[f64; 3]> {
    let height = |x: f64| plan.site.ground_at(x);
    let (first, last) = (line.first()?.x, line.last()?.x);
    line.iter()
        .filter(|p| p.x > first + 0.15 * (last - first) && p.x < last - 0.15 * (last - first))
        .filter_map(|p| Some([p.x, height(p.x)?, p.z - height(p.x)?]))
        .min_by(|a, b| a[2].total_cmp(&b[2]))
}
