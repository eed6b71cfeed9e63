//! The review as JSON: stable, in SI, described by its own schema.

use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::Serialize;

use super::incidents::not_redundant;
use crate::plan::PlanFile;
use crate::review::{
    Amount, Claimed, CrewDay, DayRead, Edges, Framed, Held, How, Incident, Over, Place, Rescued, Review, Row, Scouted,
    Situation, Stays, resultant_at,
};

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
    /// Single pieces whose going drops the walker, or lets them swing into a side.
    pub not_redundant: Vec<String>,
    /// How low the feet come along the line.
    pub envelope: Vec<LowReport>,
    /// Heights over ground and obstacles: of feet hanging, fallen, caught, and of the line.
    pub clearances: Vec<ClearanceReport>,
    /// How far from A and B they must sit, m.
    pub no_fall_m: Ends,
    /// How far from A and B they sit, as the plan says, m.
    pub seated_m: Ends,
    /// Hardware of points.
    pub points: Vec<RowReport>,
    /// What fixes points.
    pub anchors: Vec<RowReport>,
    /// Getting the line over and down; null when the plan does not say how.
    pub over: Option<Over>,
    /// Getting somebody off it; null when the plan does not say how.
    pub rescue: Option<Rescued>,
    /// The line that stays up; null when the plan does not say that it does.
    pub stay: Option<Stays>,
    /// Who comes, and the hours of the day; null when the plan does not say.
    pub crew: Option<CrewDay>,
    /// Frames, with what pushes through their struts; empty where the plan has none that is judged.
    pub frames: Vec<Framed>,
    /// What was sighted or assumed; null where all was measured.
    pub scouted: Option<Scouted>,
    /// Work at the edges; null when the plan has no ties.
    pub edges: Option<Edges>,
    /// The last day at the line: what was read beside what should have been; null without one.
    pub day: Option<DayRead>,
    /// Figures that come with the plan, beside ours.
    pub claims: Vec<Claimed>,
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
    /// Its key, made of its data; what refers to it does so by this.
    pub id: String,
    /// What it is, as data.
    pub situation: Situation,
    /// The same in words.
    pub words: String,
    /// working, fall or failure.
    pub class: String,
    /// Whether its equilibrium is certified.
    pub solved: bool,
    /// Largest force out of balance, N; null for falls and failures.
    #[serde(rename = "residual_N")]
    pub residual_n: Option<f64>,
    /// Tension of each run, in falls and failures its peak; empty when not solved.
    pub runs: IndexMap<String, RunReport>,
    /// Free points; empty when not solved.
    pub points: IndexMap<String, PointReport>,
    /// What happened in a fall or failure; null in other classes.
    pub incident: Option<IncidentReport>,
}

/// A situation that has no solution.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct UnsolvedReport {
    /// Its key; null for those that were not tried after it.
    pub id: Option<String>,
    /// The same in words.
    pub words: String,
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
    /// x, y, z, m; null while it moves.
    pub at_m: Option<[f64; 3]>,
    /// Largest resultant of any subset of what pulls there, N.
    #[serde(rename = "resultant_N")]
    pub resultant_n: f64,
}

/// A fall or failure, played.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct IncidentReport {
    /// Whether the walker is held; null when a piece broke on the way and nothing is claimed of what came after.
    pub held: Option<bool>,
    /// The side that alone holds them, into which they swing; null when both do, or none.
    pub side: Option<String>,
    /// Whether what went carried nothing, so that nothing stirred.
    pub idle: bool,
    /// Runs that carry more at rest than before, most first.
    pub caught_by: Vec<String>,
    /// How far the walker goes down at most, m.
    pub drop_m: Option<f64>,
    /// Lowest place of the ring, m.
    pub lowest_m: Option<f64>,
    /// Time of the walker's lowest place, s.
    pub lowest_at_s: Option<f64>,
    /// Lowest place of the walker's tie-in (of the ring, when standing), m.
    pub walker_m: Option<f64>,
    /// Lowest place of the feet, m.
    pub feet_m: Option<f64>,
    /// Feet above the ground there, m; null without a ground profile.
    pub clearance_m: Option<f64>,
    /// Where the walker comes to rest, m.
    pub settles_m: Option<f64>,
    /// Largest force on the body, N.
    #[serde(rename = "body_N")]
    pub body_n: Option<f64>,
    /// Largest tension of the leash, N.
    #[serde(rename = "leash_N")]
    pub leash_n: Option<f64>,
    /// What broke, and when, s.
    pub breaks: Option<BreakReport>,
    /// What the books of energy are out by, over weight times drop.
    pub energy_error: f64,
    /// What the time stepping took, over weight times drop.
    pub numerical: f64,
    /// Difference of the peaks to half the step and mesh; null when not repeated.
    pub mesh_error: Option<f64>,
}

/// A piece that passed what is left of its strength.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct BreakReport {
    /// The run, or what of which point.
    pub what: String,
    /// When, s.
    pub at_s: f64,
}

/// How low the feet come at one place, by energy.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct LowReport {
    /// Share of the line.
    pub at: f64,
    /// Along the span, m.
    pub x_m: f64,
    /// Feet hanging still in the leash, m.
    pub hang_m: Option<f64>,
    /// Feet after a leash fall, m.
    pub fall_m: Option<f64>,
    /// Feet after the main line has gone and the backup caught, m.
    pub catch_m: Option<f64>,
    /// Ground or obstacle there, m.
    pub ground_m: Option<f64>,
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
    /// Key of the governing situation; null where nothing was seen.
    pub case: Option<String>,
    /// How the demand comes about there.
    pub how: Option<How>,
    /// Both in words.
    pub words: String,
    /// By how much the demand differs between two plays of the motion, as a share; null where nothing moves or it was
    /// played once.
    pub spread: Option<f64>,
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

/// Something over what lies under it.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct ClearanceReport {
    /// hanging, fallen, caught or line.
    pub what: String,
    /// working, fall or failure.
    pub class: String,
    /// Key of the governing situation; null where nothing is known.
    pub case: Option<String>,
    /// The same in words.
    pub words: String,
    /// Where along the span, m; null when nothing is known.
    pub x_m: Option<f64>,
    /// How low it comes, m.
    pub low_m: Option<f64>,
    /// Height of what lies there, m.
    pub top_m: Option<f64>,
    /// What lies there.
    pub over: Option<String>,
    /// What is left between the two, m.
    pub found_m: Option<f64>,
    /// What is asked for, m.
    pub needed_m: Option<f64>,
    /// meets, unrated, below or unsolved.
    pub verdict: String,
    /// Why there is no figure; empty when there is.
    pub why: String,
}

fn clearance(r: &Row) -> Option<ClearanceReport> {
    let Place::Height(lowest) = &r.place else { return None };
    let h = r.height.as_ref();
    Some(ClearanceReport {
        what: lowest.key().to_owned(),
        class: r.class.word().to_owned(),
        case: r.situation().map(Situation::key),
        words: r.case(),
        x_m: h.map(|h| h.x_m),
        low_m: h.map(|h| h.low_m),
        top_m: h.map(|h| h.top_m),
        over: h.map(|h| h.over.clone()),
        found_m: h.map(crate::review::Height::found_m),
        needed_m: h.map(|h| h.needed_m),
        verdict: r.verdict.word().to_owned(),
        why: r.strength.spot.clone(),
    })
}

fn finite(v: f64) -> Option<f64> {
    v.is_finite().then_some(v)
}

fn row(r: &Row) -> RowReport {
    let (run, part, point, joint) = match &r.place {
        Place::Part(run, n) => (Some(run.clone()), Some(*n), None, None),
        Place::Point(p) | Place::Anchor(p) => (None, None, Some(p.clone()), None),
        Place::Joint(j) => (None, None, None, Some(j.clone())),
        Place::Gear(g) => (None, None, None, Some(format!("tensioning, {g}"))),
        Place::Crossing(s) => (None, None, None, Some(format!("line over, {s}"))),
        Place::Tie(..) => (None, None, None, Some(r.place.to_string())),
        Place::Frame(head, piece) => (None, None, Some(head.clone()), Some(piece.to_string())),
        Place::Rescue(h) => (None, None, None, Some(format!("rescue, {}", h.words()))),
        Place::Height(_) => (None, None, None, None),
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
        case: r.situation().map(Situation::key),
        how: r.seen.as_ref().map(|s| s.how.clone()),
        words: r.case(),
        spread: r.spread,
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

/// A fall or failure as a case.
fn played(file: &PlanFile, review: &Review, i: &Incident, main: &str) -> CaseReport {
    let solved = i.fault.is_none();
    let p = &i.peaks;
    let ends = Ends { a: p.line_n[0], b: p.line_n[1] };
    let runs = review.run_names.iter().zip(&p.run_n).filter(|_| solved).map(|(n, t)| {
        let tension_n = if n == main { Tension::Ends(ends.clone()) } else { Tension::One(*t) };
        (n.clone(), RunReport { tension_n })
    });
    let free = |n: &String| file.plan.points.get(n).is_some_and(|p| p.hold().is_none());
    let points = review.point_names.iter().zip(&p.hardware_n).filter(|(n, _)| solved && free(n));
    let moved = solved && !p.run_n.is_empty();
    let when = |v: f64| finite(v).filter(|_| moved);
    CaseReport {
        id: i.event.situation.key(),
        situation: i.event.situation.clone(),
        words: i.event.words(),
        class: i.event.class.word().to_owned(),
        solved,
        residual_n: None,
        runs: runs.collect(),
        points: points.map(|(n, r)| (n.clone(), PointReport { at_m: None, resultant_n: *r })).collect(),
        incident: Some(IncidentReport {
            held: i.held.map(|h| h != Held::Dropped),
            side: match i.held {
                Some(Held::Only(side)) => Some(format!("{side:?}")),
                _ => None,
            },
            idle: i.idle,
            caught_by: i.caught_by.iter().filter_map(|r| review.run_names.get(*r).cloned()).collect(),
            drop_m: when(i.drop_m),
            lowest_m: when(i.lowest_m),
            lowest_at_s: when(i.lowest_at_s),
            walker_m: when(i.walker_m),
            feet_m: when(i.feet_m[0]),
            clearance_m: when(i.feet_m[0]).and_then(|z| Some(z - file.plan.site.ground_at(i.feet_m[1])?)),
            settles_m: i.settles_m,
            body_n: when(p.body_n),
            leash_n: when(p.leash_n),
            breaks: i.breaks.as_ref().map(|(what, at_s)| BreakReport {
                what: what.name(&review.run_names, &review.point_names),
                at_s: *at_s,
            }),
            energy_error: i.energy_error,
            numerical: i.numerical,
            mesh_error: i.mesh_error,
        }),
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
    let still = review.cases.iter().map(|c| {
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
                let at_m = Some(c.response.places[i].to_array());
                (n.clone(), PointReport { at_m, resultant_n: resultant_at(&c.response, i) })
            })
            .collect();
        CaseReport {
            id: c.case.situation.key(),
            situation: c.case.situation.clone(),
            words: c.case.words(),
            class: c.case.class.word().to_owned(),
            solved,
            residual_n: Some(c.certificate.residual_n),
            runs,
            points,
            incident: None,
        }
    });
    let moving = review.incidents.iter().map(|i| played(file, review, i, &main));
    let cases = still.chain(moving).collect();
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
        unsolved: review
            .unsolved
            .iter()
            .map(|u| UnsolvedReport {
                id: u.situation.as_ref().map(Situation::key),
                words: u.words(),
                why: u.why.clone(),
            })
            .collect(),
        parts: of(|p| {
            matches!(
                p,
                Place::Part(..)
                    | Place::Joint(_)
                    | Place::Gear(_)
                    | Place::Crossing(_)
                    | Place::Rescue(_)
                    | Place::Tie(..)
            )
        }),
        not_redundant: not_redundant(review).into_iter().map(|n| n.0).collect(),
        envelope: review
            .envelope
            .iter()
            .map(|l| LowReport {
                at: l.at,
                x_m: l.x_m,
                hang_m: l.hang_m,
                fall_m: l.fall_m,
                catch_m: l.catch_m,
                ground_m: l.ground_m,
            })
            .collect(),
        clearances: review.rows.iter().filter_map(clearance).collect(),
        no_fall_m: Ends { a: review.no_fall_m[0], b: review.no_fall_m[1] },
        seated_m: {
            let [a, b] = file.plan.people.seated;
            Ends { a: a.value, b: b.value }
        },
        points: of(|p| matches!(p, Place::Point(_))),
        anchors: of(|p| matches!(p, Place::Anchor(_) | Place::Frame(..))),
        over: review.over.clone(),
        rescue: review.rescued.clone(),
        stay: review.stays.clone(),
        crew: review.crew.clone(),
        frames: review.frames.clone(),
        scouted: review.scouted.clone(),
        edges: review.edges.clone(),
        claims: review.claims.clone(),
        day: review.day.clone(),
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
