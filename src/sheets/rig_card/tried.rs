//! The plan tried as the day may have it: at other tensions, over another span.

use super::super::Tried;
use crate::document::plain;
use crate::plan::{PartLength, PlanFile, Role, Target};
use crate::review::{Review, Row, Verdict, otherwise, review};
use crate::units::{Dim, Force, Quantity, System, show};

/// Half the band of standing tension that is still called reached, N. Common practice, no source.
pub(super) const BAND_N: f64 = 200.0;
/// How much more or less tension another day may have, N.
const HALF_N: f64 = 500.0;

/// The plan tried at both ends of the band of its tension, and as other days may have it.
#[must_use]
pub fn tried(file: &PlanFile, planned: &Review) -> Tried {
    let ends = [-BAND_N, BAND_N].map(|more_n| pulled(file, more_n).and_then(|p| review(&p).ok()));
    let days = other_days(file, System::Si).iter().map(|(_, changed)| otherwise(planned, changed)).collect();
    Tried { ends, days }
}

/// What becomes of the plan at an end of the band: nothing to say where all meets.
pub(super) fn at_end(end: Option<&Review>, planned: &Review, system: System) -> Option<String> {
    let Some(end) = end else { return Some("not solved".to_owned()) };
    if let Some(u) = end.unsolved.first() {
        return Some(format!("not solved: {} ({})", u.words(), u.why));
    }
    // What is below as planned and worse there is said before what is as it was.
    let worse = |r: &&&Row| {
        let before = planned.rows.iter().find(|p| p.place == r.place && p.class == r.class);
        before.is_none_or(|b| b.verdict == Verdict::Meets || r.margin() < b.margin() - 0.005)
    };
    let rows = end.worst_first();
    let failing: Vec<&&Row> = rows.iter().filter(|r| r.verdict != Verdict::Meets).collect();
    let row = failing.iter().find(|r| worse(r)).or(failing.first())?;
    if row.verdict == Verdict::Unsolved {
        return Some(format!("not solved: {}", plain(&row.place.to_string())));
    }
    Some(format!(
        "{}: {} is at {} of {}",
        end.verdict.word(),
        plain(&row.place.to_string()),
        row.found(system),
        row.asked(system)
    ))
}

/// The plan tensioned to so much more; nothing when it has no standing tension to change, or none is left.
pub(super) fn pulled(file: &PlanFile, more_n: f64) -> Option<PlanFile> {
    let mut file = file.clone();
    let main = file.plan.runs.values_mut().find(|r| r.role == Role::Main)?;
    let target = main.parts.iter_mut().map(|p| &mut p.length).find(|l| matches!(l, PartLength::Solve(_)))?;
    let PartLength::Solve(Target::Standing(t, _)) = target else { return None };
    *t += Force::from_si(more_n);
    (t.si() > 0.0).then_some(file)
}

/// What is nearest to its limit where all meets.
pub(super) fn least(review: &Review, system: System) -> String {
    let rows = review.worst_first();
    let row = rows
        .first()
        .map(|r| format!(": least {} at {} of {}", plain(&r.place.to_string()), r.found(system), r.asked(system)));
    format!("{}{}", review.verdict.word(), row.unwrap_or_default())
}

/// What another day may have: its name, and the plan so changed; a change that the plan has no place for is left out.
pub(super) fn other_days(file: &PlanFile, system: System) -> Vec<(String, PlanFile)> {
    let half = show(Dim::Force, HALF_N, system);
    let spans = [(0.9, "span − 10 %"), (1.1, "span + 10 %")].map(|(more, word)| {
        let mut changed = file.clone();
        changed.plan.site = file.plan.site.with_span(more * file.plan.site.span);
        Some((word.to_owned(), changed))
    });
    let tensions =
        [(-HALF_N, "−"), (HALF_N, "+")].map(|(more, word)| Some((format!("{word} {half}"), pulled(file, more)?)));
    spans.into_iter().chain(tensions).flatten().collect()
}
