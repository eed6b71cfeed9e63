//! The review itself: situations, demands, strengths, verdicts, findings.

use std::collections::BTreeMap;

use glam::DVec3;

use super::case::{Case, Class, Variant};
use super::factors::{Kind, required};
use super::hardware::{largest_resultant, spread_deg, three_way};
use super::hold::hold_strength;
use super::mend::mends;
use super::rules::{self, Finding, Gravity};
use super::solve::{Solved, Solver};
use super::strength::{Neighbour, Strength, across, gated, part_strength};
use super::verdict::Verdict;
use crate::catalogue::{Catalogue, Class as ItemClass, Item};
use crate::plan::{FactorSet, Hold, Plan, PlanFile, PointKind, Role, Ties};
use crate::rig::{Lay, Rig, RigFault};
use crate::units::Quantity;

/// What a row is about.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A part of a run, numbered from 1.
    Part(String, usize),
    /// The hardware of a point.
    Point(String),
    /// What fixes a point.
    Anchor(String),
    /// A piece that ties main and backup together.
    Joint(String),
}

impl Place {
    /// Name of the run or point.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Part(n, _) | Self::Point(n) | Self::Anchor(n) | Self::Joint(n) => n,
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Part(run, n) => write!(f, "{run}, part {n}"),
            Self::Point(p) => write!(f, "{p}, hardware"),
            Self::Anchor(p) => write!(f, "{p}, anchor"),
            Self::Joint(p) => write!(f, "joints, {p}"),
        }
    }
}

/// One piece in one class of situations.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub place: Place,
    /// Its gear.
    pub title: String,
    /// Its item's name, if it is one.
    pub item: String,
    /// Its kind.
    pub kind: Kind,
    /// Class of the situations.
    pub class: Class,
    /// The situation with the largest demand.
    pub case: String,
    /// Largest tension or resultant, N.
    pub demand_n: f64,
    /// What is left of its rating.
    pub strength: Strength,
    /// Derated strength over demand; infinite when nothing pulls.
    pub factor: f64,
    /// What is asked for.
    pub required: f64,
    /// The verdict.
    pub verdict: Verdict,
}

impl Row {
    fn new(
        place: Place,
        title: String,
        item: &str,
        kind: Kind,
        class: Class,
        demand: Peak,
        strength: Strength,
        required: f64,
        sound: bool,
    ) -> Self {
        let factor = match strength.counts_n() {
            Some(_) if demand.n <= 0.0 => f64::INFINITY,
            Some(s) => s / demand.n,
            None => f64::NAN,
        };
        let verdict = if sound {
            Verdict::of(demand.n, strength.counts_n(), required)
        } else {
            Verdict::Unsolved
        };
        Self {
            place,
            title,
            item: item.to_owned(),
            kind,
            class,
            case: demand.case,
            demand_n: demand.n,
            strength,
            factor,
            required,
            verdict,
        }
    }

    /// Factor over required: below 1 it does not meet.
    #[must_use]
    pub fn margin(&self) -> f64 {
        self.factor / self.required
    }
}

/// The piece that limits the rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Limiting {
    /// Index of its row.
    pub row: usize,
    /// One sentence: which piece, why, and what would mend it.
    pub sentence: String,
}

/// The line in figures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LineSummary {
    /// Unstretched length, m.
    pub unstretched_m: f64,
    /// Unstretched length of the part that is made to the target, m.
    pub target_m: f64,
    /// Standing tension at A and B, N.
    pub standing_n: [f64; 2],
    /// Sag standing, m.
    pub sag_standing_m: f64,
    /// Sag with one walker in the middle, m.
    pub sag_walker_m: f64,
}

/// How much to look at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Options {
    /// Keep the shapes of all situations, for drawing.
    pub shapes: bool,
}

/// A reviewed plan.
#[derive(Debug, Clone)]
pub struct Review {
    /// The worst verdict.
    pub verdict: Verdict,
    /// What limits it.
    pub limiting: Option<Limiting>,
    /// The line in figures.
    pub line: LineSummary,
    /// Every situation.
    pub cases: Vec<Solved>,
    /// Situations without a solution, with the reason.
    pub unsolved: Vec<(String, String)>,
    /// Every piece in every class.
    pub rows: Vec<Row>,
    /// What the rules have to say.
    pub findings: Vec<Finding>,
    /// Names of the rig's runs, in the order of `Response::run_n`.
    pub run_names: Vec<String>,
    /// Names of its points, in the order of `Response::forces`.
    pub point_names: Vec<String>,
    /// Place along the line and tension of each run there, one walker: influence lines.
    pub influence: Vec<(f64, Vec<f64>)>,
}

impl Review {
    /// Whether everything meets and nothing says stop.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.verdict == Verdict::Meets && !self.findings.iter().any(|f| f.gravity == Gravity::Stop)
    }

    /// Rows from worst to best.
    #[must_use]
    pub fn worst_first(&self) -> Vec<&Row> {
        let mut rows: Vec<&Row> = self.rows.iter().collect();
        rows.sort_by(|a, b| {
            b.verdict
                .cmp(&a.verdict)
                .then(a.margin().total_cmp(&b.margin()))
        });
        rows
    }

    /// The worst row of a place.
    #[must_use]
    pub fn worst_of(&self, place: &Place) -> Option<&Row> {
        self.rows
            .iter()
            .filter(|r| r.place == *place)
            .max_by(|a, b| {
                a.verdict
                    .cmp(&b.verdict)
                    .then(b.margin().total_cmp(&a.margin()))
            })
    }
}

/// Largest value so far and where.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Peak {
    pub(super) n: f64,
    pub(super) case: String,
}

impl Peak {
    fn see(&mut self, n: f64, case: &str) {
        if n > self.n || self.case.is_empty() {
            *self = Self {
                n,
                case: case.to_owned(),
            };
        }
    }
}

/// Strength of every part, by run and part.
pub(super) type Strengths = Vec<Vec<Option<Strength>>>;

/// What the end of a run at a point sits on.
fn seat_at(plan: &Plan, catalogue: &Catalogue, point: &str) -> Neighbour {
    let plain = |name: String, diameter_m: Option<f64>| Neighbour {
        name,
        diameter_m,
        lock: false,
        soft: false,
    };
    let Some(p) = plan.points.get(point) else {
        return plain(point.to_owned(), None);
    };
    if let Some(item) = p.hardware.as_ref().and_then(|h| catalogue.get(h)) {
        return Neighbour::item(item, None);
    }
    match p.hold() {
        Some(Hold::Bolt { item, .. }) => catalogue.get(item).map_or_else(
            || plain(point.to_owned(), None),
            |i| Neighbour::item(i, None),
        ),
        Some(h) if h.trunk_m().is_some() => plain(format!("the {}", h.word()), h.trunk_m()),
        Some(h) => plain(format!("the {}", h.word()), None),
        None => plain(format!("what meets at {point}"), None),
    }
}

/// What the two ends of a part sit on, and what it slides over.
pub(super) fn neighbours(
    plan: &Plan,
    catalogue: &Catalogue,
    run: usize,
    part: usize,
) -> ([Neighbour; 2], Vec<Neighbour>) {
    let Some((_, r)) = plan.runs.get_index(run) else {
        return (
            [const {
                Neighbour {
                    name: String::new(),
                    diameter_m: None,
                    lock: false,
                    soft: false,
                }
            }; 2],
            Vec::new(),
        );
    };
    let beside = |i: usize| {
        let p = &r.parts[i];
        catalogue
            .get(&p.item)
            .map(|item| Neighbour::item(item, p.sits))
    };
    let at = |end: Option<&String>| {
        end.map_or_else(
            || Neighbour {
                name: "its end".to_owned(),
                diameter_m: Some(0.013),
                lock: false,
                soft: false,
            },
            |p| seat_at(plan, catalogue, p),
        )
    };
    if r.closed {
        let own = Neighbour {
            name: "its own joint".to_owned(),
            diameter_m: Some(1.0),
            lock: false,
            soft: true,
        };
        let over = r.path[1..]
            .iter()
            .map(|p| seat_at(plan, catalogue, p))
            .collect();
        return ([own.clone(), own], over);
    }
    let first = if part == 0 {
        Some(at(r.path.first()))
    } else {
        beside(part - 1)
    };
    let last = if part + 1 == r.parts.len() {
        Some(at(r.path.last()))
    } else {
        beside(part + 1)
    };
    let over = if r.path.len() > 2 {
        r.path[1..r.path.len() - 1]
            .iter()
            .map(|p| seat_at(plan, catalogue, p))
            .collect()
    } else {
        Vec::new()
    };
    let unknown = || Neighbour {
        name: "its neighbour".to_owned(),
        diameter_m: None,
        lock: false,
        soft: false,
    };
    (
        [first.unwrap_or_else(unknown), last.unwrap_or_else(unknown)],
        over,
    )
}

fn strengths(plan: &Plan, catalogue: &Catalogue, rig: &Rig) -> Strengths {
    let straight = Lay {
        reach_m: 0.0,
        strands: 1.0,
        opening_rad: 0.0,
    };
    plan.runs
        .values()
        .enumerate()
        .map(|(i, r)| {
            let leg = rig.legs.iter().find(|l| l.run == i);
            (0..r.parts.len())
                .map(|k| {
                    let item = catalogue.get(&r.parts[k].item)?;
                    let (ends, over) = neighbours(plan, catalogue, i, k);
                    let e = leg.and_then(|l| l.elements.iter().find(|e| e.part == k));
                    let (lay, radius) = e.map_or((straight, 0.0), |e| (e.lay, e.radius_m));
                    let over = if item.class.is_soft() {
                        over
                    } else {
                        Vec::new()
                    };
                    let mut s = part_strength(
                        &r.parts[k],
                        item,
                        lay,
                        [&ends[0], &ends[1]],
                        &over,
                        radius,
                        &catalogue.deratings,
                    );
                    if r.closed && item.per == crate::catalogue::Per::Article && s.rated {
                        s.low_n *= 0.5;
                        s.nominal_n *= 0.5;
                        s.steps.push(super::strength::Step {
                            what: "one strand of two: the way round is counted strand by strand"
                                .to_owned(),
                            amount: super::strength::Amount::Factor {
                                low: 0.5,
                                nominal: 0.5,
                            },
                            source: "statics".to_owned(),
                        });
                    }
                    Some(s)
                })
                .collect()
        })
        .collect()
}

pub(super) fn kind_of(role: &Role, item: &Item) -> Kind {
    match role {
        Role::Main if item.class.is_soft() => Kind::Main,
        Role::Backup { .. } if item.class.is_soft() => Kind::Backup,
        Role::Leash => Kind::Leash,
        _ if item.class.is_soft() => Kind::Soft,
        _ => Kind::Hardware,
    }
}

struct Work<'a> {
    plan: &'a Plan,
    catalogue: &'a Catalogue,
    solver: Solver,
    strengths: Strengths,
    cases: Vec<Solved>,
    unsolved: Vec<(String, String)>,
}

/// Solves one walker's place and nothing else: the situation in view, for the screen.
///
/// # Errors
/// Why the plan is no rig.
pub fn in_view(file: &PlanFile) -> Result<Solver, Vec<RigFault>> {
    let rig = Rig::build(&file.plan, &file.catalogue)?;
    Solver::new(rig).map_err(|f| vec![f])
}

/// Reviews a plan without faults.
///
/// # Errors
/// Why the plan is no rig: parts that cannot be laid, a target that cannot be reached.
pub fn review(file: &PlanFile, options: Options) -> Result<Review, Vec<RigFault>> {
    let (plan, catalogue) = (&file.plan, &file.catalogue);
    let solver = in_view(file)?;
    let strengths = strengths(plan, catalogue, &solver.rig);
    let mut work = Work {
        plan,
        catalogue,
        solver,
        strengths,
        cases: Vec::new(),
        unsolved: Vec::new(),
    };
    let influence = work.solve_all();
    let line = work.line();
    let mut rows = work.part_rows();
    rows.extend(work.joint_rows());
    rows.extend(work.point_rows());
    rows.extend(work.anchor_rows());
    rows.extend(work.one_leg_rows());
    let findings = rules::findings(&rules::Context {
        plan,
        catalogue,
        rig: &work.solver.rig,
        anchors: work.solver.anchors(),
        cases: &work.cases,
        rows: &rows,
        strengths: &work.strengths,
    });
    let verdict = rows
        .iter()
        .map(|r| r.verdict)
        .max()
        .unwrap_or(Verdict::Unsolved);
    let mut review = Review {
        verdict: if work.unsolved.is_empty() {
            verdict
        } else {
            Verdict::Unsolved
        },
        limiting: None,
        line,
        run_names: work.solver.rig.run_names.clone(),
        point_names: work
            .solver
            .rig
            .spots
            .iter()
            .map(|s| s.name.clone())
            .collect(),
        cases: work.cases,
        unsolved: work.unsolved,
        rows,
        findings,
        influence,
    };
    review.limiting = limiting(&review, catalogue);
    if !options.shapes {
        for c in &mut review.cases {
            c.net.net.members.clear();
        }
    }
    Ok(review)
}

fn limiting(review: &Review, catalogue: &Catalogue) -> Option<Limiting> {
    if !review.unsolved.is_empty() {
        let (case, why) = &review.unsolved[0];
        return Some(Limiting {
            row: 0,
            sentence: format!("not solved: {case} ({why}); no verdict stands without it"),
        });
    }
    let row = review.rows.iter().enumerate().max_by(|(_, a), (_, b)| {
        a.verdict
            .cmp(&b.verdict)
            .then(b.margin().total_cmp(&a.margin()))
    })?;
    let (i, r) = row;
    let what = format!("{} ({})", r.place, r.title);
    let sentence = match r.verdict {
        Verdict::Unrated => format!("{what} has no rating: {}", r.strength.spot),
        Verdict::Unsolved => format!("{what} has no certified equilibrium in {}", r.case),
        _ => {
            let mend = mends(r, catalogue).into_iter().next();
            format!(
                "{what} is at {} of {} required, in {}; it gives way at: {}{}",
                factor_text(r.factor),
                factor_text(r.required),
                r.case,
                r.strength.spot,
                match (r.verdict, mend) {
                    (Verdict::Below, Some(m)) => format!("; to mend it: {}", m.words),
                    _ => String::new(),
                }
            )
        }
    };
    Some(Limiting { row: i, sentence })
}

/// A factor for people; rounded down, so that no figure looks better than it is.
#[must_use]
pub(crate) fn factor_text(factor: f64) -> String {
    match factor {
        f if f.is_nan() => "–".to_owned(),
        f if f >= 100.0 => ">100".to_owned(),
        f => format!("{:.1}", (f * 10.0).floor() / 10.0),
    }
}

impl Work<'_> {
    fn run(&mut self, case: &Case) -> Option<usize> {
        match self.solver.solve(case) {
            Ok(Some(s)) => {
                if !s.certified() {
                    self.unsolved
                        .push((case.id.clone(), s.certificate.faults.join("; ")));
                }
                self.cases.push(s);
                Some(self.cases.len() - 1)
            }
            Ok(None) => None,
            Err(why) => {
                self.unsolved.push((case.id.clone(), why));
                None
            }
        }
    }

    /// Every situation: first the sweep, then one modifier at a time at standing, mid-span and the governing places.
    fn solve_all(&mut self) -> Vec<(f64, Vec<f64>)> {
        let plan = self.plan;
        self.run(&Case::standing());
        let mut sweep: Vec<(f64, Vec<f64>)> = Vec::new();
        for at in Case::sweep() {
            if let Some(i) = self.run(&Case::walker(plan, at)) {
                sweep.push((at, self.cases[i].response.run_n.clone()));
            }
        }
        for at in self.refined(&sweep) {
            if let Some(i) = self.run(&Case::walker(plan, at)) {
                sweep.push((at, self.cases[i].response.run_n.clone()));
            }
        }
        sweep.sort_by(|a, b| a.0.total_cmp(&b.0));
        let places = self.governing(&sweep);
        let air = plan.site.air;
        let mut cases = Vec::new();
        for &at in &places {
            cases.push(Case::together(plan, at));
            cases.push(Case::bounce(plan, at));
        }
        let bases: Vec<Case> = std::iter::once(Case::standing())
            .chain(places.iter().map(|&at| Case::walker(plan, at)))
            .collect();
        for way in [1.0, -1.0] {
            cases.extend(
                bases
                    .iter()
                    .map(|b| b.clone().in_wind(way * air.wind.si(), "wind")),
            );
            cases.push(Case::standing().in_wind(way * air.storm.si(), "storm"));
        }
        for t in [air.coldest, air.warmest] {
            let warmer = t.si() - air.rigged_at.si();
            if warmer != 0.0 {
                cases.extend(bases.iter().map(|b| b.clone().at_temperature(warmer)));
            }
        }
        cases.extend(Case::own(plan));
        for (leg, strand) in self.solver.patterns() {
            let words = format!("{} held at its leg {}", self.run_name(leg), strand + 1);
            cases.extend(
                bases
                    .iter()
                    .map(|b| b.varied(Variant::Held { leg, strand }, &words)),
            );
        }
        for leg in self.solver.anchors().into_iter().flat_map(|(_, legs)| legs) {
            let run = self.solver.rig.legs[leg].run;
            let tolerance = self.solver.rig.legs[leg].tolerance_m;
            if tolerance <= 0.0 {
                continue;
            }
            let words = format!(
                "{} {:.0} mm short, the others long",
                self.run_name(leg),
                tolerance * 1e3
            );
            let own_peak = peak_place(&sweep, run);
            let mut at = vec![0.5];
            if let Some(p) = own_peak.filter(|p| (p - 0.5).abs() > 0.02) {
                at.push(p);
            }
            let short = Variant::Short(leg);
            cases.push(Case::standing().varied(short.clone(), &words));
            cases.extend(
                at.into_iter()
                    .map(|at| Case::walker(plan, at).varied(short.clone(), &words)),
            );
        }
        cases.dedup_by(|a, b| a.id == b.id);
        for case in &cases {
            self.run(case);
        }
        sweep
    }

    fn run_name(&self, leg: usize) -> &str {
        &self.solver.rig.run_names[self.solver.rig.legs[leg].run]
    }

    /// Places between those of the sweep where some run's tension peaks, by a parabola through the three highest.
    fn refined(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<f64> {
        let mut out: Vec<f64> = Vec::new();
        let runs = sweep.first().map_or(0, |s| s.1.len());
        for run in 0..runs {
            let Some(i) =
                (0..sweep.len()).max_by(|a, b| sweep[*a].1[run].total_cmp(&sweep[*b].1[run]))
            else {
                continue;
            };
            if i == 0 || i + 1 == sweep.len() || sweep[i].1[run] <= 0.0 {
                continue;
            }
            let [(x0, y0), (x1, y1), (x2, y2)] =
                [i - 1, i, i + 1].map(|k| (sweep[k].0, sweep[k].1[run]));
            let (d0, d2) = ((x1 - x0) * (y1 - y2), (x1 - x2) * (y1 - y0));
            let bend = d0 - d2;
            if bend.abs() < 1e-12 {
                continue;
            }
            let x = x1 - 0.5 * ((x1 - x0) * d0 - (x1 - x2) * d2) / bend;
            let x = (x * 100.0).round() / 100.0;
            let near = |v: &f64| (v - x).abs() < 0.004;
            if x > x0
                && x < x2
                && !out.iter().any(near)
                && !sweep.iter().any(|s| near(&s.0))
                && out.len() < 6
            {
                out.push(x);
            }
        }
        out
    }

    /// Mid-span, and where the runs nearest to their limits peak.
    fn governing(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<f64> {
        let mut by_margin: Vec<(f64, f64)> = (0..self.plan.runs.len())
            .filter_map(|run| {
                let at = peak_place(sweep, run)?;
                let peak = sweep.iter().map(|s| s.1[run]).fold(0.0, f64::max);
                let least = self.strengths[run]
                    .iter()
                    .flatten()
                    .filter_map(Strength::counts_n)
                    .fold(f64::INFINITY, f64::min);
                (peak > 0.0).then_some((least / peak, at))
            })
            .collect();
        by_margin.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut out = vec![0.5];
        for (_, at) in by_margin.into_iter().take(4) {
            if !out.iter().any(|p| (p - at).abs() < 0.03) && out.len() < 3 {
                out.push(at);
            }
        }
        out
    }

    fn line(&self) -> LineSummary {
        let find = |id: &str| self.cases.iter().find(|c| c.case.id == id);
        let standing = find("standing");
        LineSummary {
            unstretched_m: standing.map_or(f64::NAN, |s| s.line_m),
            target_m: self.solver.standing.lengths.target_m,
            standing_n: standing.map_or([f64::NAN; 2], |s| s.response.line_n),
            sag_standing_m: standing.map_or(f64::NAN, |s| s.response.sag_m),
            sag_walker_m: find("walker 0.50").map_or(f64::NAN, |s| s.response.sag_m),
        }
    }

    /// Whether every situation of the class has a certificate.
    fn sound(&self) -> bool {
        self.unsolved.is_empty()
    }

    fn working(&self) -> impl Iterator<Item = &Solved> {
        self.cases.iter().filter(|c| c.case.class == Class::Working)
    }

    fn part_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (i, (name, run)) in self.plan.runs.iter().enumerate() {
            if matches!(run.role, Role::Leash | Role::Tensioning) {
                continue;
            }
            for (k, part) in run.parts.iter().enumerate() {
                let Some(item) = self.catalogue.get(&part.item) else {
                    continue;
                };
                let Some(strength) = self.strengths[i][k].clone() else {
                    continue;
                };
                let mut peak = Peak::default();
                for c in self.working() {
                    let n = match &run.role {
                        Role::Main => rig
                            .line
                            .elements
                            .iter()
                            .position(|e| e.part == k)
                            .map_or(c.response.run_n[i], |e| c.response.element_n[e]),
                        Role::Backup { .. } => rig
                            .backup
                            .as_ref()
                            .map_or(0.0, |b| self.backup_part(b, k, c)),
                        _ => c.response.run_n[i],
                    };
                    peak.see(n, &c.case.id);
                }
                let kind = kind_of(&run.role, item);
                let want = required(self.plan, part.required, kind, Class::Working);
                rows.push(Row::new(
                    Place::Part(name.clone(), k + 1),
                    item.title.clone(),
                    &item.id,
                    kind,
                    Class::Working,
                    peak,
                    strength,
                    want,
                    self.sound(),
                ));
            }
        }
        rows
    }

    fn backup_part(&self, b: &crate::rig::Backup, part: usize, c: &Solved) -> f64 {
        let lengths = b
            .segment_of_part
            .iter()
            .collect::<std::collections::BTreeSet<_>>()
            .len();
        if lengths <= 1 {
            return c.response.backup_n.iter().copied().fold(0.0, f64::max);
        }
        let s = b.segment_of_part[part];
        // A joint's hardware carries the larger of the two segments it lies between.
        let next = b.segment_of_part.get(part + 1).copied().unwrap_or(s);
        [s, next]
            .into_iter()
            .filter_map(|s| c.response.backup_n.get(s))
            .copied()
            .fold(0.0, f64::max)
    }

    /// The pieces that tie main and backup at the joints: the worst joint of each.
    fn joint_rows(&self) -> Vec<Row> {
        let Some(ties) = self.solver.rig.line.joints.first().map(|j| &j.ties) else {
            return Vec::new();
        };
        let (mut one, mut back, mut both) = (Peak::default(), Peak::default(), Peak::default());
        for c in self.working() {
            for (k, j) in c.response.joints.iter().enumerate() {
                let id = format!("{}, joint {}", c.case.id, k + 1);
                one.see(largest_resultant(j), &id);
                back.see(j[2].length().max(j[3].length()), &id);
                both.see((j[2] + j[3]).length(), &id);
            }
        }
        let row = |id: &str, what: &str, peak: Peak| {
            let item = self.catalogue.get(id)?;
            let strength = piece_strength(item, self.catalogue);
            let want = required(
                self.plan,
                FactorSet::default(),
                Kind::Hardware,
                Class::Working,
            );
            Some(Row::new(
                Place::Joint(what.to_owned()),
                item.title.clone(),
                id,
                Kind::Hardware,
                Class::Working,
                peak,
                strength,
                want,
                self.sound(),
            ))
        };
        let rows = match ties {
            Ties::OnePiece(i) => vec![row(i, "one piece", one)],
            Ties::Apart {
                backup, together, ..
            } => {
                vec![
                    row(backup, "backup to backup", back),
                    row(together, "the two together", both),
                ]
            }
        };
        rows.into_iter().flatten().collect()
    }

    fn point_rows(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        let anchors = self.solver.anchors();
        for (p, (name, point)) in self.plan.points.iter().enumerate() {
            let Some(item) = point.hardware.as_ref().and_then(|h| self.catalogue.get(h)) else {
                continue;
            };
            let (mut peak, mut hole) = (Peak::default(), Peak::default());
            let (mut three, mut spread) = (false, 0.0_f64);
            let leg_runs: Vec<usize> = anchors
                .iter()
                .filter(|(at, _)| *at == p)
                .flat_map(|(_, legs)| legs.iter().map(|&l| self.solver.rig.legs[l].run))
                .collect();
            for c in self.working() {
                let mut forces: Vec<DVec3> = c.response.forces[p].iter().map(|f| f.force).collect();
                hole.see(
                    forces.iter().map(|f| f.length()).fold(0.0, f64::max),
                    &c.case.id,
                );
                if matches!(point.kind, PointKind::Fixed { .. }) {
                    forces.push(c.response.reactions[p]);
                }
                peak.see(largest_resultant(&forces), &c.case.id);
                three |= three_way(&forces);
                let legs: Vec<DVec3> = c.response.forces[p]
                    .iter()
                    .filter(|f| leg_runs.contains(&f.run))
                    .map(|f| f.force)
                    .collect();
                spread = spread.max(spread_deg(&legs));
            }
            let mut strength = gated(
                piece_strength(item, self.catalogue),
                item,
                point.gate,
                &self.catalogue.deratings,
            );
            if three && matches!(item.class, ItemClass::Connector | ItemClass::QuickLink) {
                strength = across(
                    strength,
                    item,
                    &self.catalogue.deratings,
                    "pulled three ways",
                );
            }
            if item.class == ItemClass::Shackle && spread > 120.0 {
                let k = self.catalogue.deratings.side_load(0.5 * spread);
                strength.low_n *= k.low;
                strength.nominal_n *= k.nominal;
                strength.spot = format!("legs spread {spread:.0}° in the bow");
                strength.steps.push(super::strength::Step {
                    what: strength.spot.clone(),
                    amount: super::strength::Amount::Factor {
                        low: k.low,
                        nominal: k.nominal,
                    },
                    source: k.source,
                });
            }
            let want = required(
                self.plan,
                FactorSet::default(),
                Kind::Hardware,
                Class::Working,
            );
            let row = |title: String, peak: Peak, s: Strength| {
                Row::new(
                    Place::Point(name.clone()),
                    title,
                    &item.id,
                    Kind::Hardware,
                    Class::Working,
                    peak,
                    s,
                    want,
                    self.sound(),
                )
            };
            rows.push(row(item.title.clone(), peak, strength));
            if let Some((r, n)) = item.hole.as_ref().and_then(|r| Some((r, r.minimum_n()?))) {
                rows.push(row(
                    format!("{}, one hole", item.title),
                    hole,
                    Strength::start("one hole", r, n),
                ));
            }
        }
        rows
    }

    fn anchor_rows(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        for (p, (name, point)) in self.plan.points.iter().enumerate() {
            let Some(hold) = point.hold() else { continue };
            if matches!(hold, Hold::Edge { .. } | Hold::Frame) {
                continue;
            }
            // The worst case is the one nearest to what the anchor holds in that direction.
            let mut worst: Option<(f64, Peak, Strength)> = None;
            for c in self.working() {
                let force = -c.response.reactions[p];
                let s = hold_strength(hold, force, self.catalogue);
                let use_of = s
                    .counts_n()
                    .map_or(force.length() * 1e-9, |n| force.length() / n);
                if worst.as_ref().is_none_or(|w| use_of > w.0) {
                    worst = Some((
                        use_of,
                        Peak {
                            n: force.length(),
                            case: c.case.id.clone(),
                        },
                        s,
                    ));
                }
            }
            let Some((_, peak, strength)) = worst else {
                continue;
            };
            let want = required(
                self.plan,
                FactorSet::default(),
                Kind::Anchor,
                Class::Working,
            );
            let (title, item) = match hold {
                Hold::Bolt { item, .. } => (
                    self.catalogue
                        .get(item)
                        .map_or_else(|| item.clone(), |i| i.title.clone()),
                    item.as_str(),
                ),
                other => (other.word().to_owned(), ""),
            };
            rows.push(Row::new(
                Place::Anchor(name.clone()),
                title,
                item,
                Kind::Anchor,
                Class::Working,
                peak,
                strength,
                want,
                self.sound(),
            ));
        }
        rows
    }

    /// The rule of the last one standing: each leg of an anchor, and what holds it, against the anchor's whole pull.
    fn one_leg_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows: BTreeMap<Place, Row> = BTreeMap::new();
        let mut add = |row: Row| {
            let worse = rows
                .get(&row.place)
                .is_none_or(|old| row.margin() < old.margin() || row.verdict > old.verdict);
            if worse {
                rows.insert(row.place.clone(), row);
            }
        };
        for (p, legs) in self.solver.anchors() {
            let runs: Vec<usize> = legs.iter().map(|&l| rig.legs[l].run).collect();
            let mut whole = Peak::default();
            for c in self.working() {
                let pull: DVec3 = c.response.forces[p]
                    .iter()
                    .filter(|f| runs.contains(&f.run))
                    .map(|f| f.force)
                    .sum();
                whole.see(pull.length(), &c.case.id);
            }
            whole.case = format!(
                "one leg carries all of {} ({})",
                rig.spots[p].name, whole.case
            );
            for &l in &legs {
                let leg = &rig.legs[l];
                if leg.path.len() > 2 {
                    continue;
                }
                let Some((name, run)) = self.plan.runs.get_index(leg.run) else {
                    continue;
                };
                for (k, part) in run.parts.iter().enumerate() {
                    let Some(item) = self.catalogue.get(&part.item) else {
                        continue;
                    };
                    let Some(s) = self.strengths[leg.run][k].clone() else {
                        continue;
                    };
                    let kind = kind_of(&run.role, item);
                    let want = required(self.plan, part.required, kind, Class::Failure);
                    add(Row::new(
                        Place::Part(name.clone(), k + 1),
                        item.title.clone(),
                        &item.id,
                        kind,
                        Class::Failure,
                        whole.clone(),
                        s,
                        want,
                        self.sound(),
                    ));
                }
                let outer = if leg.path[0] == p {
                    leg.path[leg.path.len() - 1]
                } else {
                    leg.path[0]
                };
                let Some((name, point)) = self.plan.points.get_index(outer) else {
                    continue;
                };
                let Some(hold) = point
                    .hold()
                    .filter(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame))
                else {
                    continue;
                };
                let way = (rig.spots[p].place - rig.spots[outer].place).normalize_or_zero();
                let s = hold_strength(hold, way * whole.n, self.catalogue);
                let want = required(
                    self.plan,
                    FactorSet::default(),
                    Kind::Anchor,
                    Class::Failure,
                );
                add(Row::new(
                    Place::Anchor(name.clone()),
                    hold.word().to_owned(),
                    "",
                    Kind::Anchor,
                    Class::Failure,
                    whole.clone(),
                    s,
                    want,
                    self.sound(),
                ));
            }
        }
        rows.into_values().collect()
    }
}

/// Strength of a single piece of hardware or a soft shackle at a point.
pub(super) fn piece_strength(item: &Item, catalogue: &Catalogue) -> Strength {
    let Some((r, n)) = item.rating.as_ref().and_then(|r| Some((r, r.minimum_n()?))) else {
        return Strength::unrated(&format!("{} has no rating", item.title));
    };
    let mut s = Strength::start(&item.title, r, n);
    s.wll_n = item.wll_n();
    if item.class == ItemClass::SoftShackle {
        let (title, k) = catalogue
            .deratings
            .termination(crate::catalogue::Termination::Diamond);
        s.low_n *= k.low;
        s.nominal_n *= k.nominal;
        s.steps.push(super::strength::Step {
            what: title.to_owned(),
            amount: super::strength::Amount::Factor {
                low: k.low,
                nominal: k.nominal,
            },
            source: k.source.clone(),
        });
    }
    s
}

fn peak_place(sweep: &[(f64, Vec<f64>)], run: usize) -> Option<f64> {
    sweep
        .iter()
        .max_by(|a, b| a.1[run].total_cmp(&b.1[run]))
        .filter(|s| s.1[run] > 0.0)
        .map(|s| s.0)
}
