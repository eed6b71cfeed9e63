//! How sure the verdicts are: many rigs are drawn from what is not known (strengths, splices, the tension as measured,
//! masses, stretch, lengths), the situations that govern are solved for each, and of every piece it is told how low its
//! factor may come, and how often below what is required. Then which unknown matters most.
//!
//! Falls and failures cannot be played ten thousand times: their peaks are carried along by their sensitivities to each
//! unknown, found by playing them, and a few drawn rigs are played whole to see how far off that is.
//!
//! Drawing is seeded: the same plan gives the same figures, whatever the number of threads.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::case::{Case, Class};
use super::desk::Desk;
use super::factors::Kind;
use super::hands;
use super::hardware::largest_resultant;
use super::incident::{Event, Who};
use super::reviewing::Review;
use super::row::{Place, Row};
use super::scouted::displaced;
use super::situation::{How, Seen, Situation};
use crate::catalogue::{Catalogue, Item, Rating};
use crate::mechanics::equilibrium::{Solution, Status};
use crate::plan::sighted::Unmeasured;
use crate::plan::{Hold, Plan, PlanFile, PointKind};
use crate::review::solve::Solver;
use crate::rig::{Lengths, Load, Response, Rig, RigFault};

/// One standard deviation of each unknown. Common practice, no source, but where it says otherwise.
mod spread {
    /// Of a label, a standard's least, a limit: pieces hold what is promised, nearly.
    pub(super) const LABEL: f64 = 0.03;
    /// Of a value of the class.
    pub(super) const TYPICAL: f64 = 0.10;
    /// Of single breaks about their average.
    pub(super) const AVERAGE: f64 = 0.06;
    /// Of the rigger's word.
    pub(super) const JUDGED: f64 = 0.20;
    /// Of the standing tension as it is measured.
    pub(super) const TENSION: f64 = 0.05;
    /// Of a walker's mass with clothes, water, gear.
    pub(super) const MASS: f64 = 0.04;
    /// Of the stiffness of line and legs.
    pub(super) const STRETCH: f64 = 0.10;
    /// Of a leg's length over its stated tolerance.
    pub(super) const LENGTH: f64 = 0.5;
}

/// What is drawn, and by how much one deviation of it is of what counts. Common practice, no source.
pub const SPREADS: [(&str, f64); 8] = [
    ("strength of what has a label, a standard's least or a limit", spread::LABEL),
    ("strength of a value typical of its class", spread::TYPICAL),
    ("strength of what is known by an average of breaks", spread::AVERAGE),
    ("what the rigger judged, and friction under blocks and vehicles", spread::JUDGED),
    ("standing tension as it is measured", spread::TENSION),
    ("a walker's mass with clothes, water, gear", spread::MASS),
    ("stiffness of the line, and of the legs", spread::STRETCH),
    ("length of a leg, of its stated tolerance", spread::LENGTH),
];

/// Rigs that are drawn.
pub const RIGS: usize = 10_000;
/// The seed that everybody uses.
pub const SEED: u64 = 0x5eed_0001;
/// Rigs drawn by one hand at a time; it decides which rig gets which numbers, and so never changes with the machine.
const SHEAF: usize = 250;
/// Most situations that are solved for each rig.
const CASES: usize = 8;
/// Most incidents whose sensitivities are looked for.
const INCIDENTS: usize = 8;
/// Pieces further than this from their limit are not drawn for in falls and failures.
const FAR: f64 = 3.0;
/// Pieces further than this from their limit in use are carried along with the line's pull.
const CLEAR: f64 = 2.0;
/// A drawn tension is met within this share.
const CLOSE: f64 = 0.002;
/// Drawn rigs that are played whole.
const SPOT_CHECKS: usize = 4;
/// What knowing is worth is looked for of so many unknowns, over so many of the drawn rigs.
const WORTH: usize = 5;
const WORTH_RIGS: usize = 500;

/// Something that is not known.
#[derive(Debug, Clone, PartialEq)]
pub enum Unknown {
    /// Strength of an item over what counts, by its title.
    Strength(String),
    /// Strength of an anchor over what the rigger judged, by its point.
    Judged(String),
    /// What an anchor holds by friction, by its point.
    Friction(String),
    /// Where between its low and its usual share what an item's ends and bends leave lies.
    Ends(String),
    /// Standing tension over the planned.
    Tension,
    /// The walker's mass over the planned.
    Mass,
    /// Stiffness of the main line.
    LineStretch,
    /// Stiffness of the legs.
    LegStretch,
    /// Length of a leg, by its run.
    Length(String),
    /// Where something is, along the line, across it or upwards.
    Place(Unmeasured, Axis),
}

/// A way in which a place may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Along the line.
    Along,
    /// Across it.
    Across,
    /// Upwards.
    Up,
}

impl Axis {
    const ALL: [Self; 3] = [Self::Along, Self::Across, Self::Up];

    fn way(self) -> glam::DVec3 {
        match self {
            Self::Along => glam::DVec3::X,
            Self::Across => glam::DVec3::Y,
            Self::Up => glam::DVec3::Z,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Along => "along the line",
            Self::Across => "across the line",
            Self::Up => "in height",
        }
    }
}

impl Unknown {
    /// In words, with what would measure it.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Strength(t) => format!("strength of {t} (read its label, or break one)"),
            Self::Judged(p) => format!("strength of {p} as judged (pull it with a load cell)"),
            Self::Friction(p) => format!("friction and weight under {p} (pull it with a load cell)"),
            Self::Ends(t) => format!("what its ends and bends leave of {t} (pull one to its limit)"),
            Self::Tension => "standing tension (a load cell in the line)".to_owned(),
            Self::Mass => "the walker's mass, with gear (a scale)".to_owned(),
            Self::LineStretch => "stretch of the main line (pull ten metres, measure)".to_owned(),
            Self::LegStretch => "stretch of the legs (pull one, measure)".to_owned(),
            Self::Length(run) => format!("length of {run} (measure it under load)"),
            Self::Place(what @ (Unmeasured::Span | Unmeasured::Rise | Unmeasured::Ground), _) => {
                format!("{} (sight it along the line, twice)", what.words())
            }
            Self::Place(what, axis) => format!("{} {} (sight or tape it)", what.words(), axis.words()),
        }
    }
}

/// How low a piece may come.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubted {
    /// The piece.
    pub place: Place,
    /// Its gear.
    pub title: String,
    /// Class of the situations.
    pub class: Class,
    /// Its factor as reviewed.
    pub factor: f64,
    /// Required.
    pub required: f64,
    /// One rig in twenty comes lower than this.
    pub low: f64,
    /// Half of them come lower than this.
    pub middle: f64,
    /// Share of rigs that fall below what is required.
    pub below: f64,
}

/// What something unknown matters.
#[derive(Debug, Clone, PartialEq)]
pub struct Matters {
    /// What.
    pub what: Unknown,
    /// Its share of the scatter of the least margin.
    pub share: f64,
    /// One rig in twenty stays under this share of what is asked with it known to be as planned; looked for of those that
    /// matter most.
    pub low_known: Option<f64>,
}

/// What many drawn rigs say.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// How many were drawn.
    pub rigs: usize,
    /// How many of them did not come to rest.
    pub unsolved: usize,
    /// With which seed.
    pub seed: u64,
    /// Pieces, the likeliest to fall below first.
    pub pieces: Vec<Doubted>,
    /// Share of rigs of which any piece falls below, or that do not come to rest.
    pub any_below: f64,
    /// Least factor over what is asked for it, of every rig that comes to rest, lowest first.
    pub least: Vec<f32>,
    /// One rig in twenty stays under this share of what is asked, in its nearest piece.
    pub low: f64,
    /// What matters most first.
    pub unknowns: Vec<Matters>,
    /// Largest difference between a played peak and the one carried along, over those looked at; nothing when none was.
    pub spot_error: Option<f64>,
}

/// How a strength scatters about what counts: mean and one deviation.
fn scatter(rating: &Rating) -> (f64, f64) {
    let counts = rating.minimum_n().unwrap_or(1.0);
    match rating {
        Rating::Label(_) | Rating::Standard(..) | Rating::Limit(..) => (1.0, spread::LABEL),
        Rating::Typical(_) => (1.0, spread::TYPICAL),
        Rating::Average(mean) => {
            let over = crate::units::Quantity::si(*mean) / counts;
            (over, over * spread::AVERAGE)
        }
        Rating::Tested { mean, spread, .. } => {
            use crate::units::Quantity as _;
            (mean.si() / counts, spread.si() / counts)
        }
        Rating::Judged(..) => (1.0, spread::JUDGED),
    }
}

/// What a row asks of the drawn numbers.
struct Piece<'a> {
    row: &'a Row,
    /// Index of its strength among the unknowns, with mean and deviation; nothing when it has no rating.
    strength: Option<(usize, f64, f64)>,
    /// Index of its ends, with how much more than the low figure the usual one is.
    ends: Option<(usize, f64)>,
    /// What it sees.
    demand: Demand,
}

enum Demand {
    /// What a solved situation says.
    Solved,
    /// As the pull of the whole line on its side goes.
    WithTheLine,
    /// The peak of an incident, by its index among those whose sensitivities are known.
    Played(usize),
    /// As reviewed.
    Fixed,
}

/// Logarithmic change of an incident's peaks per deviation of tension, mass, line and legs.
type Sensitivity = [f64; 4];

struct Draw<'a> {
    solver: &'a Solver,
    /// The same rig of gear used and set under load, which falls and failures are played on.
    set: &'a Solver,
    unknowns: Vec<Unknown>,
    pieces: Vec<Piece<'a>>,
    /// Situations with their rests as reviewed, to start from.
    cases: Vec<(Load, Solution)>,
    sensitivity: Vec<Sensitivity>,
    /// Peaks of each incident as reviewed.
    base: Vec<Option<[f64; 2]>>,
    /// Metres of line for a newton of standing tension, at the plan.
    m_per_n: f64,
    standing_n: f64,
    line_n: [f64; 2],
    lengths: Vec<(usize, usize, f64)>,
    /// What is not known of places: which, which way, the unknown's index, one deviation, m.
    places: Vec<(Unmeasured, Axis, usize, f64)>,
    plan: &'a Plan,
    catalogue: &'a Catalogue,
}

struct Sheaf {
    /// Margin of each piece, rig by rig.
    margins: Vec<Vec<f32>>,
    /// Drawn numbers, rig by rig.
    drawn: Vec<Vec<f32>>,
    unsolved: usize,
}

/// A number of the normal distribution, within three deviations (Box and Muller).
fn normal(rng: &mut fastrand::Rng) -> f64 {
    let (a, b) = (1.0 - rng.f64(), rng.f64());
    ((-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()).clamp(-3.0, 3.0)
}

const TENSION: usize = 0;
const MASS: usize = 1;
const LINE: usize = 2;
const LEGS: usize = 3;

impl Draw<'_> {
    fn sheaf(&self, seed: u64, rigs: usize) -> Sheaf {
        let mut rng = fastrand::Rng::with_seed(seed);
        let mut out = Sheaf { margins: Vec::with_capacity(rigs), drawn: Vec::with_capacity(rigs), unsolved: 0 };
        for _ in 0..rigs {
            let z: Vec<f64> = self
                .unknowns
                .iter()
                .map(|u| if matches!(u, Unknown::Ends(_)) { 2.0 * rng.f64() - 1.0 } else { normal(&mut rng) })
                .collect();
            match self.margins(&z) {
                Some(m) => {
                    out.margins.push(m.into_iter().map(|x| x as f32).collect());
                    out.drawn.push(z.into_iter().map(|x| x as f32).collect());
                }
                None => out.unsolved += 1,
            }
        }
        out
    }

    /// The rig as drawn, and its lengths.
    fn rig(&self, solver: &Solver, z: &[f64]) -> Option<(Rig, Lengths)> {
        let mut rig = if self.places.is_empty() {
            solver.rig.clone()
        } else {
            // Legs that are made to fit are made to where things really are.
            let off = |plan: Plan, (what, axis, i, m): &(Unmeasured, Axis, usize, f64)| {
                displaced(&plan, what, axis.way() * (m * z[*i]))
            };
            let plan = self.places.iter().fold(self.plan.clone(), off);
            let rig = Rig::build(&plan, self.catalogue).ok()?;
            if std::ptr::eq(solver, self.set) { rig.set_under_load() } else { rig }
        };
        let stiffer = |i: usize| (spread::STRETCH * z[i]).exp();
        for e in &mut rig.line.elements {
            e.law = Arc::new(e.law.strands(stiffer(LINE)));
        }
        for e in rig.legs.iter_mut().flat_map(|l| &mut l.elements) {
            e.law = Arc::new(e.law.strands(stiffer(LEGS)));
        }
        let mut lengths = solver.standing.lengths.clone();
        lengths.offsets.resize(rig.legs.len(), 0.0);
        // What the gap is off by the line is let out by: the secant after it is for what is small.
        lengths.target_m += rig.chord_m() - solver.rig.chord_m();
        for (leg, unknown, deviation_m) in &self.lengths {
            lengths.offsets[*leg] += deviation_m * z[*unknown];
        }
        Some((rig, lengths))
    }

    fn standing_n(rig: &Rig, lengths: &Lengths, near: &Solution) -> Option<f64> {
        let (case, s) = rig.solve(lengths, &Load::default(), Some(near));
        (s.status == Status::Converged).then(|| case.line_tension_n(&s)[0])
    }

    /// Tensions a drawn rig: the tension is what was measured, whatever the line's stretch. Two steps of the secant come
    /// close enough.
    fn tension(&self, rig: &Rig, lengths: &mut Lengths, z: f64) -> Option<()> {
        if rig.line.target.is_none() {
            return Some(());
        }
        let near = &self.solver.standing.solution;
        let want_n = self.standing_n * (1.0 + spread::TENSION * z);
        let mut slope = self.m_per_n;
        let mut had_n = Self::standing_n(rig, lengths, near)?;
        for _ in 0..2 {
            let step = slope * (want_n - had_n);
            if (want_n - had_n).abs() < CLOSE * want_n {
                break;
            }
            lengths.target_m += step;
            if lengths.target_m <= 0.0 {
                return None;
            }
            let now_n = Self::standing_n(rig, lengths, near)?;
            if (now_n - had_n).abs() > 1e-6 * want_n {
                slope = step / (now_n - had_n);
            }
            had_n = now_n;
        }
        Some(())
    }

    /// Margin (factor over required) of every piece in one drawn rig; nothing when it does not come to rest.
    fn margins(&self, z: &[f64]) -> Option<Vec<f64>> {
        let (rig, mut lengths) = self.rig(self.solver, z)?;
        self.tension(&rig, &mut lengths, z[TENSION])?;
        let heavier = 1.0 + spread::MASS * z[MASS];
        let mut responses: Vec<Response> = Vec::with_capacity(self.cases.len());
        for (load, near) in &self.cases {
            let mut load = load.clone();
            for w in &mut load.walkers {
                w.weight_n *= heavier;
            }
            let (case, s) = rig.solve(&lengths, &load, Some(near));
            if s.status != Status::Converged {
                return None;
            }
            responses.push(rig.response(&case, &s));
        }
        let line = |i: usize| responses.iter().map(|r| r.line_n[i]).fold(0.0, f64::max) / self.line_n[i].max(1.0);
        let pull = line(0).max(line(1));
        let margins = self.pieces.iter().map(|p| {
            let row = p.row;
            let demand_n = match p.demand {
                Demand::Solved => {
                    let seen = responses.iter().filter_map(|r| self.seen_n(&rig, row, r));
                    seen.fold(0.0, f64::max)
                }
                Demand::WithTheLine => row.demand_n * pull,
                Demand::Played(i) => {
                    row.demand_n * self.sensitivity[i].iter().zip(z).map(|(s, z)| s * z).sum::<f64>().exp()
                }
                Demand::Fixed => row.demand_n,
            };
            let strength = p.strength.map_or(1.0, |(i, mean, sd)| (mean + sd * z[i]).max(0.1));
            let ends = p.ends.map_or(1.0, |(i, more)| 1.0 + more * 0.5 * (1.0 + z[i]));
            let counts = row.strength.counts_n().unwrap_or(f64::NAN);
            counts * strength * ends / (row.required * demand_n.max(1e-9))
        });
        Some(margins.collect())
    }

    /// What a piece sees in a solved situation, N.
    fn seen_n(&self, rig: &Rig, row: &Row, r: &Response) -> Option<f64> {
        let point = |name: &str| self.plan.points.get_index_of(name);
        Some(match &row.place {
            Place::Part(run, n) => {
                let run = self.plan.runs.get_index_of(run)?;
                let element = rig.line.elements.iter().position(|e| rig.line.run == run && e.part == n - 1);
                element.map_or(r.run_n[run], |e| r.element_n[e])
            }
            Place::Point(name) => {
                let p = point(name)?;
                let mut forces: Vec<glam::DVec3> = r.forces[p].iter().map(|f| f.force).collect();
                if row.one_hole() {
                    forces.iter().map(|f| f.length()).fold(0.0, f64::max)
                } else {
                    if rig.spots[p].fixed {
                        forces.push(r.reactions[p]);
                    }
                    largest_resultant(&forces)
                }
            }
            Place::Anchor(name) => r.reactions[point(name)?].length(),
            Place::Joint(_)
            | Place::Gear(_)
            | Place::Crossing(_)
            | Place::Rescue(_)
            | Place::Tie(..)
            | Place::Frame(..)
            | Place::Height(_) => return None,
        })
    }
}

/// Whether an anchor holds by weight and friction as the rigger gives them.
fn by_friction(plan: &Plan, row: &Row) -> bool {
    let hold = plan.points.get(row.place.name()).and_then(crate::plan::Point::hold);
    matches!(row.place, Place::Anchor(_))
        && matches!(hold, Some(Hold::Boulder(b) | Hold::Thread(b) | Hold::Deadman(b) | Hold::Vehicle(b)) if b.rating.is_none())
}

/// The item that gives a row its strength, and the rating that counts.
fn rated<'a>(plan: &'a Plan, catalogue: &'a Catalogue, row: &Row) -> Option<(&'a str, &'a Rating)> {
    if let Some(item) = catalogue.get(&row.item) {
        let item: &Item = item;
        let bolt = matches!(row.kind, Kind::Anchor).then_some(item.radial.as_ref()).flatten();
        return bolt.or(item.rating.as_ref()).map(|r| (item.title.as_str(), r));
    }
    let (name, point) = plan.points.get_key_value(row.place.name())?;
    let PointKind::Fixed { by, .. } = &point.kind else { return None };
    match by {
        Hold::Tree { rating, .. } | Hold::Strength(rating) => rating.as_ref(),
        Hold::Boulder(b) | Hold::Thread(b) | Hold::Deadman(b) | Hold::Vehicle(b) => b.rating.as_ref(),
        _ => None,
    }
    .map(|r| (name.as_str(), r))
}

/// Draws `rigs` rigs of a reviewed plan. Nothing when stopped.
///
/// # Errors
/// Why the plan is no rig.
pub fn doubt(
    file: &PlanFile,
    review: &Review,
    rigs: usize,
    seed: u64,
    stop: &AtomicBool,
) -> Result<Option<Doubt>, Vec<RigFault>> {
    let desk = Desk::open(file)?;
    let (plan, solver) = (&file.plan, desk.solver());
    let mut unknowns = vec![Unknown::Tension, Unknown::Mass, Unknown::LineStretch, Unknown::LegStretch];
    let mut number = |u: Unknown| {
        unknowns.iter().position(|x| *x == u).unwrap_or_else(|| {
            unknowns.push(u);
            unknowns.len() - 1
        })
    };
    let (solved, loads, line_n) = governing_cases(review);
    let cases = loads.into_iter().map(|l| (l.clone(), solver.quick(&l, None).1)).collect();
    let events = incidents(review);
    let mut pieces = Vec::new();
    // What only goes over is no part of the rig that stands.
    let stands =
        |r: &&Row| !matches!(r.place, Place::Crossing(_) | Place::Rescue(_) | Place::Tie(..) | Place::Frame(..));
    for row in review.rows.iter().filter(stands).filter(|r| r.strength.counts_n().is_some() && r.demand_n > 0.0) {
        let demand = match (row.class, &row.place) {
            (_, Place::Gear(_)) => Demand::WithTheLine,
            (Class::Working, Place::Joint(_)) => Demand::WithTheLine,
            (Class::Working, _) if row.situation().is_some_and(|s| solved.contains(s)) => Demand::Solved,
            (Class::Working, _) => Demand::WithTheLine,
            _ => match events.iter().position(|e| Some(&e.situation) == row.situation()) {
                Some(i) => Demand::Played(i),
                None if matches!(&row.seen, Some(Seen { how: How::OneLegOf(_), .. })) => Demand::WithTheLine,
                None => Demand::Fixed,
            },
        };
        let strength = rated(plan, &file.catalogue, row).map(|(title, rating)| {
            let (mean, sd) = scatter(rating);
            let by_name = file.catalogue.get(&row.item).is_none();
            let of = if by_name { Unknown::Judged(title.to_owned()) } else { Unknown::Strength(title.to_owned()) };
            (number(of), mean, sd)
        });
        let strength = strength.or_else(|| {
            let friction = by_friction(plan, row).then(|| Unknown::Friction(row.place.name().to_owned()));
            friction.map(|u| (number(u), 1.0, spread::JUDGED))
        });
        let more = row.strength.nominal_n / row.strength.low_n - 1.0;
        let ends = (more > 1e-6).then(|| (number(Unknown::Ends(row.title.clone())), more));
        pieces.push(Piece { row, strength, ends, demand });
    }
    let lengths = solver
        .anchors()
        .into_iter()
        .flat_map(|(_, legs)| legs)
        .map(|leg| {
            let l = &solver.rig.legs[leg];
            let unknown = number(Unknown::Length(solver.rig.run_names[l.run].clone()));
            (leg, unknown, spread::LENGTH * l.tolerance_m.max(0.005))
        })
        .collect();
    let places = places(plan, review).into_iter().map(|(what, axis, m)| {
        let unknown = number(Unknown::Place(what.clone(), axis));
        (what, axis, unknown, m)
    });
    let places = places.collect();
    let standing_n = review.line.standing_n[0];
    let mut draw = Draw {
        solver,
        set: desk.set(),
        unknowns,
        pieces,
        cases,
        sensitivity: Vec::new(),
        base: Vec::new(),
        m_per_n: m_per_n(solver, standing_n),
        standing_n,
        line_n,
        lengths,
        places,
        plan,
        catalogue: &file.catalogue,
    };
    let still = vec![0.0; draw.unknowns.len()];
    let Some(sensitivity) = sensitivities(&desk, &draw, &events, &still, stop) else { return Ok(None) };
    (draw.base, draw.sensitivity) = sensitivity.into_iter().unzip();
    let Some(sheaves) = drawn(&draw, rigs, seed, stop) else { return Ok(None) };
    let spot_error = spot_check(&desk, &draw, &events, seed, stop);
    let mut found = told(&draw, &sheaves, rigs, seed, spot_error);
    Ok(worth(&draw, &sheaves, &mut found, stop).map(|()| found))
}

/// The same rigs with one unknown as planned, for each of those that matter most: where one in twenty stays then.
fn worth(draw: &Draw<'_>, sheaves: &[Sheaf], found: &mut Doubt, stop: &AtomicBool) -> Option<()> {
    let drawn: Vec<&Vec<f32>> = sheaves.iter().flat_map(|s| &s.drawn).take(WORTH_RIGS).collect();
    let margins = sheaves.iter().flat_map(|s| &s.margins).take(WORTH_RIGS);
    let least = |m: &mut dyn Iterator<Item = f64>| m.fold(f64::INFINITY, f64::min);
    let low = |mut all: Vec<f64>| {
        all.sort_by(f64::total_cmp);
        all.get(all.len() / 20).copied().unwrap_or(f64::NAN)
    };
    let over_these = low(margins.map(|m| least(&mut m.iter().map(|x| f64::from(*x)))).collect());
    found.low = found.least.get(found.least.len() / 20).map_or(f64::NAN, |m| f64::from(*m));
    let looked = found.unknowns.iter_mut().filter(|u| u.share > 0.0).take(WORTH);
    for u in looked {
        let index = draw.unknowns.iter().position(|x| *x == u.what)?;
        let known = hands::each(hands::all(), drawn.len(), stop, |k| {
            let mut z: Vec<f64> = drawn[k].iter().map(|z| f64::from(*z)).collect();
            z[index] = 0.0;
            draw.margins(&z).map(|m| least(&mut m.into_iter()))
        })?;
        // What it changes over these rigs, on what all of them say.
        u.low_known = Some(found.low * low(known.into_iter().flatten().collect()) / over_these);
    }
    Some(())
}

/// What is not known of places, with one deviation of each, m.
fn places(plan: &Plan, review: &Review) -> Vec<(Unmeasured, Axis, f64)> {
    let Some(scouted) = &review.scouted else { return Vec::new() };
    let gap =
        [(Unmeasured::Span, Axis::Along, scouted.span_within_m), (Unmeasured::Rise, Axis::Up, scouted.rise_within_m)];
    let mut out: Vec<_> = gap.into_iter().filter_map(|(what, axis, m)| Some((what, axis, m?))).collect();
    for p in scouted.points.iter().filter(|p| plan.in_use(&p.point)) {
        let of = Axis::ALL.into_iter().zip(p.within_m).filter(|(_, m)| *m > 1e-6);
        out.extend(of.map(|(axis, m)| (Unmeasured::Point(p.point.clone()), axis, m)));
    }
    out
}

/// The situations that govern the pieces nearest to their limits, and the line's largest pull in them.
fn governing_cases(review: &Review) -> (Vec<Situation>, Vec<Load>, [f64; 2]) {
    let mut ids: Vec<Situation> = Vec::new();
    let working = || review.worst_first().into_iter().filter(|r| r.class == Class::Working);
    let worst = working().take(1).map(Row::margin).fold(f64::INFINITY, f64::min);
    for row in working().filter(|r| r.margin() < CLEAR.max(1.01 * worst)) {
        if let Some(s) = row.situation().filter(|s| !ids.contains(s) && ids.len() < CASES) {
            ids.push(s.clone());
        }
    }
    let cases: Vec<&Case> = review.cases.iter().filter(|c| ids.contains(&c.case.situation)).map(|c| &c.case).collect();
    // A rig with one leg short is drawn anyway: lengths are among the unknowns.
    let mut loads: Vec<Load> = Vec::new();
    for c in &cases {
        if !loads.contains(&c.load) && c.situation != Situation::TENSIONING {
            loads.push(c.load.clone());
        }
    }
    let solved = review.cases.iter().filter(|c| loads.contains(&c.case.load));
    let line_n = solved.fold([0.0_f64; 2], |a, c| [a[0].max(c.response.line_n[0]), a[1].max(c.response.line_n[1])]);
    (ids, loads, line_n)
}

/// The incidents that govern the pieces nearest to their limits.
fn incidents(review: &Review) -> Vec<Event> {
    let mut out: Vec<Event> = Vec::new();
    for row in review.worst_first().into_iter().filter(|r| r.class != Class::Working && r.margin() < FAR) {
        let played =
            row.situation().and_then(|s| review.incident(s)).filter(|i| i.breaks.is_none() && i.fault.is_none());
        if let Some(i) = played.filter(|i| !out.iter().any(|e| e.situation == i.event.situation))
            && out.len() < INCIDENTS
        {
            out.push(i.event.clone());
        }
    }
    out
}

/// Metres that the target part is longer for a newton more of standing tension (below zero).
fn m_per_n(solver: &Solver, standing_n: f64) -> f64 {
    let mut lengths = solver.standing.lengths.clone();
    let step = 1e-4 * lengths.target_m.max(0.1);
    lengths.target_m += step;
    Draw::standing_n(&solver.rig, &lengths, &solver.standing.solution).map_or(0.0, |n| step / (n - standing_n))
}

/// One incident with a drawn rig: the peak of the leash and of the line.
fn peaks(desk: &Desk<'_>, draw: &Draw<'_>, event: &Event, z: &[f64]) -> Option<[f64; 2]> {
    let (rig, mut lengths) = draw.rig(if event.against.new_gear { draw.solver } else { draw.set }, z)?;
    draw.tension(&rig, &mut lengths, z[TENSION])?;
    let mut solver = Solver::with_lengths(rig, lengths)?;
    if let Some(leg) = event.against.short {
        solver.short(leg).ok()?;
    }
    let heavier = 1.0 + spread::MASS * z[MASS];
    let who = match event.who {
        Who::Standing(m) => Who::Standing(m * heavier),
        Who::Falling(m) => Who::Falling(m * heavier),
        Who::LettingGo(m) => Who::LettingGo(m * heavier),
    };
    let played = desk.play_with(&solver, &Event { who, ..event.clone() });
    let p = &played.peaks;
    let held = p.run_n.iter().chain(&p.line_n).copied().fold(0.0, f64::max);
    (played.fault.is_none() && held > 0.0).then_some([p.leash_n.max(p.body_n), held])
}

/// Logarithm of the change of an incident's peaks: of the larger of what leash and rig show.
fn grown(base: [f64; 2], now: [f64; 2]) -> f64 {
    let of = |i: usize| if base[i] > 0.0 && now[i] > 0.0 { (now[i] / base[i]).ln() } else { 0.0 };
    if of(0).abs() > of(1).abs() { of(0) } else { of(1) }
}

fn sensitivities(
    desk: &Desk<'_>,
    draw: &Draw<'_>,
    events: &[Event],
    still: &[f64],
    stop: &AtomicBool,
) -> Option<Vec<(Option<[f64; 2]>, Sensitivity)>> {
    // As reviewed, and each of the four a deviation up.
    let plays = hands::each(desk.threads(), 5 * events.len(), stop, |k| {
        let mut z = still.to_vec();
        if k % 5 > 0 {
            z[k % 5 - 1] = 1.0;
        }
        peaks(desk, draw, &events[k / 5], &z)
    })?;
    Some(
        plays
            .chunks(5)
            .map(|p| (p[0], [1, 2, 3, 4].map(|k| p[0].zip(p[k]).map_or(0.0, |(base, now)| grown(base, now)))))
            .collect(),
    )
}

fn drawn(draw: &Draw<'_>, rigs: usize, seed: u64, stop: &AtomicBool) -> Option<Vec<Sheaf>> {
    hands::each(hands::all(), rigs.div_ceil(SHEAF), stop, |k| {
        draw.sheaf(seed.wrapping_add(k as u64), SHEAF.min(rigs - k * SHEAF))
    })
}

/// How far off carried peaks are, on a few drawn rigs played whole.
fn spot_check(desk: &Desk<'_>, draw: &Draw<'_>, events: &[Event], seed: u64, stop: &AtomicBool) -> Option<f64> {
    let count = SPOT_CHECKS.min(4 * events.len());
    let errors = hands::each(desk.threads(), count, stop, |k| {
        let i = k % events.len();
        let mut rng = fastrand::Rng::with_seed(seed.wrapping_mul(31).wrapping_add(k as u64));
        let mut z = vec![0.0; draw.unknowns.len()];
        z[..4].iter_mut().for_each(|z| *z = normal(&mut rng));
        let base = draw.base[i]?;
        let now = grown(base, peaks(desk, draw, &events[i], &z)?);
        let carried: f64 = draw.sensitivity[i].iter().zip(&z).map(|(s, z)| s * z).sum();
        Some(((carried - now).exp() - 1.0).abs())
    })?;
    errors.into_iter().flatten().reduce(f64::max)
}

/// Share of rigs in which something falls below, of the logarithms of their least margins and of how many do not come to
/// rest: those hold nobody.
fn share_below(least: &[f64], unsolved: usize, rigs: usize) -> f64 {
    (least.iter().filter(|m| **m < 0.0).count() + unsolved) as f64 / rigs.max(1) as f64
}

fn told(draw: &Draw<'_>, sheaves: &[Sheaf], rigs: usize, seed: u64, spot_error: Option<f64>) -> Doubt {
    let margins: Vec<&Vec<f32>> = sheaves.iter().flat_map(|s| &s.margins).collect();
    let drawn: Vec<&Vec<f32>> = sheaves.iter().flat_map(|s| &s.drawn).collect();
    let count = margins.len().max(1);
    let mut pieces: Vec<Doubted> = draw
        .pieces
        .iter()
        .enumerate()
        .map(|(k, p)| {
            let mut of: Vec<f32> = margins.iter().map(|m| m[k]).collect();
            of.sort_by(f32::total_cmp);
            let at = |share: f64| of.get((share * of.len() as f64) as usize).map_or(f64::NAN, |m| f64::from(*m));
            Doubted {
                place: p.row.place.clone(),
                title: p.row.title.clone(),
                class: p.row.class,
                factor: p.row.factor,
                required: p.row.required,
                low: at(0.05) * p.row.required,
                middle: at(0.5) * p.row.required,
                below: of.partition_point(|m| *m < 1.0) as f64 / count as f64,
            }
        })
        .collect();
    pieces.sort_by(|a, b| b.below.total_cmp(&a.below).then((a.low / a.required).total_cmp(&(b.low / b.required))));
    let mut over: Vec<f32> = margins.iter().map(|m| m.iter().copied().fold(f32::INFINITY, f32::min)).collect();
    let least: Vec<f64> = over.iter().map(|m| f64::from(*m).ln()).collect();
    over.sort_by(f32::total_cmp);
    let unsolved: usize = sheaves.iter().map(|s| s.unsolved).sum();
    let any_below = share_below(&least, unsolved, rigs);
    let mean = least.iter().sum::<f64>() / count as f64;
    let var: f64 = least.iter().map(|m| (m - mean).powi(2)).sum();
    let mut unknowns: Vec<Matters> = draw
        .unknowns
        .iter()
        .enumerate()
        .map(|(i, u)| {
            let z = || drawn.iter().map(|d| f64::from(d[i]));
            let centre = z().sum::<f64>() / count as f64;
            let zz: f64 = z().map(|z| (z - centre).powi(2)).sum();
            let zm: f64 = z().zip(&least).map(|(z, m)| (z - centre) * (m - mean)).sum();
            let share = if zz * var > 0.0 { zm * zm / (zz * var) } else { 0.0 };
            Matters { what: u.clone(), share, low_known: None }
        })
        .collect();
    unknowns.sort_by(|a, b| b.share.total_cmp(&a.share));
    Doubt { rigs, unsolved, seed, pieces, any_below, least: over, low: f64::NAN, unknowns, spot_error }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Force, Quantity as _};

    /// Legs are drawn with their own stiffness, the line with its own; what goes with the line's pull goes with it.
    #[test]
    fn each_unknown_moves_what_is_its_own() {
        let text = include_str!("../../plans/kestrel-gap-62m.ron").to_owned();
        let file = crate::plan::PlanFile::parse("plan", text).expect("reads");
        let review = crate::review::Desk::open(&file).expect("a rig").review();
        let solver = crate::review::in_view(&file).expect("a rig");
        let row = review.rows.iter().find(|r| r.place == Place::Gear("grip".to_owned())).expect("a grip");
        let standing = &solver.standing;
        let (line, solution) = (review.line.standing_n, standing.solution.clone());
        let draw = Draw {
            solver: &solver,
            set: &solver,
            unknowns: Vec::new(),
            pieces: vec![Piece { row, strength: None, ends: None, demand: Demand::WithTheLine }],
            cases: vec![(Load::default(), solution)],
            sensitivity: Vec::new(),
            base: Vec::new(),
            m_per_n: -1e-3,
            standing_n: line[0],
            line_n: line,
            lengths: Vec::new(),
            places: Vec::new(),
            plan: &file.plan,
            catalogue: &file.catalogue,
        };
        let (rig, _) = draw.rig(&solver, &[0.0, 0.0, 0.0, 1.0]).expect("a rig");
        let softer = |a: &crate::rig::Element, b: &crate::rig::Element| a.law.at(1000.0).0 / b.law.at(1000.0).0;
        let (leg, was) = (&rig.legs[0].elements, &solver.rig.legs[0].elements);
        assert!((softer(&leg[1], &was[1]) - (-spread::STRETCH).exp()).abs() < 1e-6);
        let soft = |r: &Rig| r.line.elements.iter().position(|e| e.item.class.is_soft()).expect("webbing");
        let k = soft(&rig);
        assert!((softer(&rig.line.elements[k], &solver.rig.line.elements[k]) - 1.0).abs() < 1e-12);
        let margin = |z: f64| draw.margins(&[z, 0.0, 0.0, 0.0]).expect("rests")[0];
        let want = 1.0 / (1.0 + spread::TENSION);
        assert!((margin(1.0) / margin(0.0) / want - 1.0).abs() < 5e-3, "{} for {want}", margin(1.0) / margin(0.0));
    }

    /// Rigs that do not come to rest count as below, with those in which something is.
    #[test]
    fn who_does_not_come_to_rest_is_below() {
        let least = [0.2_f64, -0.1, 0.4, 1.0, -0.5];
        assert!((share_below(&least, 3, 8) - 5.0 / 8.0).abs() < 1e-12);
    }

    /// An average of breaks counts at nine tenths (common practice, no source): its mean and scatter are over that.
    #[test]
    fn an_average_scatters_about_its_own_mean() {
        let (mean, deviation) = scatter(&Rating::Average(Force::from_si(60e3)));
        assert!(
            (mean - 1.0 / 0.9).abs() < 1e-9 && (deviation - spread::AVERAGE / 0.9).abs() < 1e-9,
            "{mean} {deviation}"
        );
    }
}
