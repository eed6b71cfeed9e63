//! The review itself: situations, demands, strengths, verdicts, findings.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::as_rigged::DayRead;
use super::claims::Claimed;
use super::clearance::{Catch, Low};
use super::crew::CrewDay;
use super::desk::Desk;
use super::edge::Edges;
use super::factors::Kind;
use super::frames::Framed;
use super::incident::Incident;
use super::mend::mends;
use super::over::Over;
use super::peaks::Peaks;
use super::pulling::Pulling;
use super::rescue::Rescued;
use super::row::{Place, Row, SETTLED, factor_text};
use super::rules::{Finding, Gravity};
use super::scouted::Scouted;
use super::situation::{Situation, Unsolved};
use super::solve::{Solved, Solver};
use super::stay::Stays;
use super::verdict::Verdict;
use crate::catalogue::Catalogue;
use crate::document::Source;
use crate::plan::PlanFile;
use crate::rig::{Rig, RigFault};
use crate::units::{Dim, System, show};

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
    pub cases: Arc<Vec<Solved>>,
    /// The pulley system at work; nothing when the plan has none.
    pub pulling: Option<Pulling>,
    /// Getting the line over; nothing when the plan does not say.
    pub over: Option<Over>,
    /// Getting somebody off it; nothing when the plan does not say.
    pub rescued: Option<Rescued>,
    /// The line that stays up; nothing when the plan does not say that it does.
    pub stays: Option<Stays>,
    /// The crew's day; nothing when the plan does not say who comes.
    pub crew: Option<CrewDay>,
    /// Frames.
    pub frames: Vec<Framed>,
    /// What nobody could tape; nothing where all was measured.
    pub scouted: Option<Scouted>,
    /// Work at the edges; nothing when the plan has no ties.
    pub edges: Option<Edges>,
    /// The last day at the line: what was read beside what should have been.
    pub day: Option<DayRead>,
    /// Figures that come with the plan, beside ours.
    pub claims: Vec<Claimed>,
    /// Situations without a solution, with the reason.
    pub unsolved: Vec<Unsolved>,
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
    /// Falls and failures, played.
    pub incidents: Vec<Incident>,
    /// How many more of them there are to play.
    pub to_come: usize,
    /// How low the feet come along the line, by energy.
    pub envelope: Vec<Low>,
    /// How far from each end nobody may fall, m.
    pub no_fall_m: [f64; 2],
    /// Catches by the backup with the plan's excess and with others, by energy.
    pub catches: Vec<Catch>,
    /// Catches with the plan's excess were the backup tied in at equal spaces, by energy.
    pub spacings: Vec<Catch>,
}

impl LineSummary {
    /// Standing tension, the mean of both ends, N.
    #[must_use]
    pub fn mean_standing_n(&self) -> f64 {
        0.5 * (self.standing_n[0] + self.standing_n[1])
    }
}

impl Review {
    /// Whether everything meets and nothing says stop.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.to_come == 0 && self.verdict == Verdict::Meets && !self.findings.iter().any(|f| f.gravity == Gravity::Stop)
    }

    /// The rig at rest in a situation.
    #[must_use]
    pub fn at_rest(&self, situation: &Situation) -> Option<&Solved> {
        self.cases.iter().find(|c| c.case.situation == *situation)
    }

    /// The incident of a situation.
    #[must_use]
    pub fn incident(&self, situation: &Situation) -> Option<&Incident> {
        self.incidents.iter().find(|i| i.event.situation == *situation)
    }

    /// What comes nearest to its limit in one incident, and its factor there: legs, line, leash and backup, hardware, anchors,
    /// each by the strength that its own row counts.
    #[must_use]
    pub fn least_in(&self, i: &Incident) -> Option<(&Row, f64)> {
        let run = |name: &String| self.run_names.iter().position(|n| n == name);
        let point = |name: &String| self.point_names.iter().position(|n| n == name);
        let sees = |row: &Row, q: &Peaks| -> Option<f64> {
            Some(match &row.place {
                Place::Part(name, _) if row.kind == Kind::Leash => q.leash_n.max(*q.run_n.get(run(name)?)?),
                Place::Part(name, _) => *q.run_n.get(run(name)?)?,
                Place::Point(name) if row.one_hole() => *q.hole_n.get(point(name)?)?,
                Place::Point(name) => *q.hardware_n.get(point(name)?)?,
                Place::Anchor(name) => q.pulls.get(point(name)?)?.iter().map(|f| f.length()).fold(0.0, f64::max),
                _ => return None,
            })
        };
        let of = self.rows.iter().filter(|r| r.class == i.event.class && !r.is_height());
        let factors = of.filter_map(|row| {
            let spread = i.spread(|q| sees(row, q).unwrap_or(0.0)).filter(|s| *s > SETTLED).unwrap_or(0.0);
            let n = sees(row, &i.peaks).filter(|n| *n > 0.0)? * (1.0 + spread);
            Some((row, row.strength.counts_n()? / n))
        });
        factors.min_by(|a, b| (a.1 / a.0.required).total_cmp(&(b.1 / b.0.required)))
    }

    /// Rows from worst to best.
    #[must_use]
    pub fn worst_first(&self) -> Vec<&Row> {
        let mut rows: Vec<&Row> = self.rows.iter().collect();
        rows.sort_by(|a, b| a.worst_first(b));
        rows
    }

    /// The worst row of a place.
    #[must_use]
    pub fn worst_of(&self, place: &Place) -> Option<&Row> {
        self.rows.iter().filter(|r| r.place == *place).min_by(|a, b| a.worst_first(b))
    }

    /// Findings in their order, each said once, with all the places it is said of.
    #[must_use]
    pub fn findings_by_text(&self) -> Vec<(&Finding, String)> {
        let mut out: Vec<(&Finding, String)> = Vec::new();
        for f in &self.findings {
            match out.iter_mut().find(|(g, _)| g.rule == f.rule && g.text == f.text && !f.at.is_empty()) {
                Some((_, places)) => *places += &format!("; {}", f.at),
                None => out.push((f, f.at.clone())),
            }
        }
        out
    }
}

/// Solves one walker's place and nothing else: the situation in view, for the screen.
///
/// # Errors
/// Why the plan is no rig.
pub fn in_view(file: &PlanFile) -> Result<Solver, Vec<RigFault>> {
    let rig = Rig::build(&file.plan, &file.catalogue)?;
    Solver::new(rig).map_err(|f| vec![f])
}

/// Reviews a plan that was read.
///
/// # Errors
/// Its faults, or why it is no rig, as text with their places.
pub fn reviewed(file: &PlanFile) -> Result<Review, String> {
    told(file, review)
}

/// The review of statics alone of a plan as it was read.
///
/// # Errors
/// As [`reviewed`].
pub fn at_rest(file: &PlanFile) -> Result<Review, String> {
    told(file, |file| Ok(Desk::open(file)?.review()))
}

fn told(file: &PlanFile, review: impl Fn(&PlanFile) -> Result<Review, Vec<RigFault>>) -> Result<Review, String> {
    if !file.is_sound() {
        return Err(file.show_faults());
    }
    review(file).map_err(|faults| {
        let source = Source { name: &file.name, text: &file.text };
        faults.iter().map(|f| source.show(&file.fault(&f.path, &f.message, &f.help))).collect::<Vec<_>>().join("\n")
    })
}

/// Reviews a plan without faults, falls and failures included.
///
/// # Errors
/// Why the plan is no rig: parts that cannot be laid, a target that cannot be reached.
pub fn review(file: &PlanFile) -> Result<Review, Vec<RigFault>> {
    let mut desk = Desk::open(file)?;
    let whole = desk.all(&AtomicBool::new(false), |_| {});
    Ok(whole.unwrap_or_else(|| desk.review()))
}

pub(super) fn limiting(review: &Review, catalogue: &Catalogue) -> Option<Limiting> {
    if !review.unsolved.is_empty() {
        let first = &review.unsolved[0];
        let sentence = format!("not solved: {} ({}); no verdict stands without it", first.words(), first.why);
        return Some(Limiting { row: 0, sentence });
    }
    let (i, r) = review.rows.iter().enumerate().min_by(|(_, a), (_, b)| a.worst_first(b))?;
    let what = format!("{} ({})", r.place, r.title);
    let sentence = match r.verdict {
        Verdict::Unrated | Verdict::Unsolved if r.is_height() => format!("{what}: {}", r.strength.spot),
        _ if r.is_height() => {
            let at = r
                .height
                .as_ref()
                .map_or(String::new(), |h| format!(" at {} from A", show(Dim::Length, h.x_m, System::Si)));
            format!("{what} has {} of {} asked for{at}, in {}", r.found(System::Si), r.asked(System::Si), r.case())
        }
        Verdict::Unrated => format!("{what} has no rating: {}", r.strength.spot),
        Verdict::Unsolved => format!("{what} has no rest that passes the solver checks in {}", r.case()),
        _ => {
            let mend = mends(r, catalogue).into_iter().next();
            format!(
                "{what} is at {} of {} required, in {}; it gives way at: {}{}",
                factor_text(r.factor),
                factor_text(r.required),
                r.told(),
                r.strength.spot,
                match (r.verdict, mend) {
                    (Verdict::Below, Some(m)) => format!("; to mend it: {m}"),
                    _ => String::new(),
                }
            )
        }
    };
    Some(Limiting { row: i, sentence })
}
