//! The review as JSON: stable, in SI, described by its own schema.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

use crate::plan::PlanFile;
use crate::review::{Amount, Place, Review, Row, resultant_at};

/// One plan's review.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Report {
    /// Version of this format.
    pub format: u32,
    /// Version of the program.
    pub program: String,
    /// Version of the catalogue.
    pub catalogue: String,
    /// The plan's title.
    pub plan: String,
    /// The plan's file.
    pub file: String,
    /// SHA-256 of the plan's text.
    pub plan_sha256: String,
    /// meets, unrated, below or unsolved.
    pub verdict: String,
    /// What limits the rig, in one sentence.
    pub limiting: Option<String>,
    /// The line.
    pub line: LineReport,
    /// Every situation.
    pub cases: Vec<CaseReport>,
    /// Situations without a solution.
    pub unsolved: Vec<UnsolvedReport>,
    /// Parts of runs, and pieces that tie joints.
    pub parts: Vec<RowReport>,
    /// Hardware of points.
    pub points: Vec<RowReport>,
    /// What fixes points.
    pub anchors: Vec<RowReport>,
    /// What the rules have to say.
    pub findings: Vec<FindingReport>,
    /// The usual caution.
    pub caution: String,
}

/// The line in figures.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LineReport {
    /// Unstretched length of the main line, hardware included, m.
    pub unstretched_m: f64,
    /// Unstretched length of the part made to the target, m.
    pub target_part_m: Option<f64>,
    /// Standing tension, N.
    #[serde(rename = "standing_N")]
    pub standing_n: Ends,
    /// Sag below the straight line between the ends, m.
    pub sag_m: SagReport,
}

/// A value at each end of the line.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Ends {
    /// At A.
    #[serde(rename = "A")]
    pub a: f64,
    /// At B.
    #[serde(rename = "B")]
    pub b: f64,
}

/// Sags, m.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct SagReport {
    /// With nobody on it.
    pub standing: f64,
    /// With one walker in the middle.
    pub walker_mid: f64,
}

/// One situation.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct CaseReport {
    /// Its name.
    pub id: String,
    /// working, fall or failure.
    pub class: String,
    /// Whether its equilibrium is certified.
    pub solved: bool,
    /// Largest force out of balance, N.
    #[serde(rename = "residual_N")]
    pub residual_n: f64,
    /// Tension of each run; empty when not solved.
    pub runs: IndexMap<String, RunReport>,
    /// Free points; empty when not solved.
    pub points: IndexMap<String, PointReport>,
    /// What happened in a fall or failure; null in other classes.
    pub incident: Option<IncidentReport>,
}

/// A situation that has no solution.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct UnsolvedReport {
    /// Its name.
    pub id: String,
    /// Why.
    pub why: String,
}

/// A run's tension.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RunReport {
    /// N; of the main line at A and B.
    #[serde(rename = "tension_N")]
    pub tension_n: Tension,
}

/// One tension, or one at each end.
#[derive(Debug, Clone, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Tension {
    /// The same all along.
    One(f64),
    /// At A and B.
    Ends(Ends),
}

/// Where a point is and what it carries.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PointReport {
    /// x, y, z, m.
    pub at_m: [f64; 3],
    /// Largest resultant of any subset of what pulls there, N.
    #[serde(rename = "resultant_N")]
    pub resultant_n: f64,
}

/// A fall or failure. No version of the program fills it yet; its place is kept.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct IncidentReport {
    /// Whether the walker is held.
    pub held: bool,
}

/// One piece in one class of situations.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RowReport {
    /// Run, for a part.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub run: Option<String>,
    /// Number of the part in its run, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<usize>,
    /// Point, for hardware and anchors.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub point: Option<String>,
    /// Which tie, for the pieces at joints.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub joint: Option<String>,
    /// The item, if it is one.
    pub item: String,
    /// Its title.
    pub title: String,
    /// Kind, as far as required factors go.
    pub kind: String,
    /// working, fall or failure.
    pub class: String,
    /// The governing situation.
    pub case: String,
    /// Largest tension or resultant, N; null when not solved.
    #[serde(rename = "demand_N")]
    pub demand_n: Option<f64>,
    /// What is left of its rating, low, N; null when unrated.
    #[serde(rename = "derated_N")]
    pub derated_n: Option<f64>,
    /// The same with nominal deratings, N.
    #[serde(rename = "nominal_N")]
    pub nominal_n: Option<f64>,
    /// Where it gives way first.
    pub spot: String,
    /// Derated over demand; null when nothing pulls or nothing is known.
    pub factor: Option<f64>,
    /// What is asked for.
    pub required: f64,
    /// meets, unrated, below or unsolved.
    pub verdict: String,
    /// From label to number.
    pub deratings: Vec<DeratingReport>,
    /// Why the rating should not be taken at face value.
    pub doubts: Vec<String>,
}

/// One step from label to number.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct DeratingReport {
    /// What it is.
    pub what: String,
    /// Kept share that counts; null for a step that states a strength.
    pub factor: Option<f64>,
    /// Kept share that is usual.
    pub nominal: Option<f64>,
    /// A strength, N.
    #[serde(rename = "strength_N", skip_serializing_if = "Option::is_none")]
    pub strength_n: Option<f64>,
    /// Where the figure comes from.
    pub source: String,
}

/// What a rule has to say.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FindingReport {
    /// The rule.
    pub rule: String,
    /// stop, caution or note.
    pub severity: String,
    /// What it is about.
    pub at: String,
    /// With the plan's numbers.
    pub text: String,
    /// Why it matters.
    pub why: String,
    /// What mends it.
    pub remedy: String,
    /// The reason for which the plan sets it aside.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set_aside: Option<String>,
}

fn finite(v: f64) -> Option<f64> {
    v.is_finite().then_some(v)
}

fn row(r: &Row) -> RowReport {
    let (run, part, point, joint) = match &r.place {
        Place::Part(run, n) => (Some(run.clone()), Some(*n), None, None),
        Place::Point(p) | Place::Anchor(p) => (None, None, Some(p.clone()), None),
        Place::Joint(j) => (None, None, None, Some(j.clone())),
    };
    RowReport {
        run,
        part,
        point,
        joint,
        item: r.item.clone(),
        title: r.title.clone(),
        kind: r.kind.id().to_owned(),
        class: r.class.word().to_owned(),
        case: r.case.clone(),
        demand_n: finite(r.demand_n),
        derated_n: r.strength.counts_n(),
        nominal_n: finite(r.strength.nominal_n),
        spot: r.strength.spot.clone(),
        factor: finite(r.factor),
        required: r.required,
        verdict: r.verdict.word().to_owned(),
        deratings: r
            .strength
            .steps
            .iter()
            .map(|s| {
                let (factor, nominal, strength_n) = match s.amount {
                    Amount::Factor { low, nominal } => (Some(low), Some(nominal), None),
                    Amount::Newton(n) => (None, None, Some(n)),
                };
                DeratingReport { what: s.what.clone(), factor, nominal, strength_n, source: s.source.clone() }
            })
            .collect(),
        doubts: r.strength.doubts.clone(),
    }
}

/// The review of `file` as data.
#[must_use]
pub fn report(file: &PlanFile, review: &Review) -> Report {
    let main = file.plan.main().map(|(n, _)| n.to_owned()).unwrap_or_default();
    let skip = |name: &str| {
        file.plan
            .runs
            .get(name)
            .is_some_and(|r| matches!(r.role, crate::plan::Role::Leash | crate::plan::Role::Tensioning))
    };
    let cases = review
        .cases
        .iter()
        .map(|c| {
            let solved = c.certified();
            let ends = Ends { a: c.response.line_n[0], b: c.response.line_n[1] };
            let runs = review
                .run_names
                .iter()
                .zip(&c.response.run_n)
                .filter(|(n, _)| solved && !skip(n))
                .map(|(n, t)| {
                    let tension_n = if *n == main { Tension::Ends(ends.clone()) } else { Tension::One(*t) };
                    (n.clone(), RunReport { tension_n })
                })
                .collect();
            let points = review
                .point_names
                .iter()
                .enumerate()
                .filter(|(_, n)| solved && file.plan.points.get(*n).is_some_and(|p| p.hold().is_none()))
                .map(|(i, n)| {
                    let at_m = c.response.places[i].to_array();
                    (n.clone(), PointReport { at_m, resultant_n: resultant_at(&c.response, i) })
                })
                .collect();
            CaseReport {
                id: c.case.id.clone(),
                class: c.case.class.word().to_owned(),
                solved,
                residual_n: c.certificate.residual_n,
                runs,
                points,
                incident: None,
            }
        })
        .collect();
    let of = |f: fn(&Place) -> bool| review.rows.iter().filter(|r| f(&r.place)).map(row).collect();
    let has_target = file
        .plan
        .main()
        .is_some_and(|(_, r)| r.parts.iter().any(|p| matches!(p.length, crate::plan::PartLength::Solve(_))));
    Report {
        format: 1,
        program: super::VERSION.to_owned(),
        catalogue: file.catalogue.version.clone(),
        plan: file.plan.title.clone(),
        file: file.name.clone(),
        plan_sha256: file.digest(),
        verdict: review.verdict.word().to_owned(),
        limiting: review.limiting.as_ref().map(|l| l.sentence.clone()),
        line: LineReport {
            unstretched_m: review.line.unstretched_m,
            target_part_m: has_target.then_some(review.line.target_m),
            standing_n: Ends { a: review.line.standing_n[0], b: review.line.standing_n[1] },
            sag_m: SagReport { standing: review.line.sag_standing_m, walker_mid: review.line.sag_walker_m },
        },
        cases,
        unsolved: review.unsolved.iter().map(|(id, why)| UnsolvedReport { id: id.clone(), why: why.clone() }).collect(),
        parts: of(|p| matches!(p, Place::Part(..) | Place::Joint(_))),
        points: of(|p| matches!(p, Place::Point(_))),
        anchors: of(|p| matches!(p, Place::Anchor(_))),
        findings: review
            .findings
            .iter()
            .map(|f| FindingReport {
                rule: f.rule.to_owned(),
                severity: f.gravity.word().to_owned(),
                at: f.at.clone(),
                text: f.text.clone(),
                why: f.why.to_owned(),
                remedy: f.remedy.to_owned(),
                set_aside: f.set_aside.clone(),
            })
            .collect(),
        caution: super::CAUTION.to_owned(),
    }
}

/// JSON Schema of [`Report`].
#[must_use]
pub fn schema() -> serde_json::Value {
    schemars::schema_for!(Report).to_value()
}
