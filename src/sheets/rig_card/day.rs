//! What the day may bring: how high the feet pass, and what another span, tension or a bolt fewer does.

use super::super::page::Page;
use super::super::{Facts, incidents};
use super::without_unit;
use crate::document::plain;
use crate::plan::{Hold, PartLength, PlanFile, PointKind, Role, Target};
use crate::review::{Case, Cause, Incident, Lost, Then, in_view};
use crate::units::{Dim, Quantity, show};

/// How many lost bolts the card tells of.
const BOLTS: usize = 4;

pub(super) fn clearance(page: &mut Page, facts: &Facts<'_>) {
    let review = facts.review;
    let l = |m: f64| show(Dim::Length, m, facts.system);
    page.heading("Clearance and seated zones");
    let judged = review.rows.iter().filter(|r| r.is_height()).map(|r| {
        let at = r.height.as_ref().map_or_else(|| "–".to_owned(), |h| l(h.x_m));
        let name = plain(r.place.name());
        vec![name, at, r.found(facts.system), r.asked(facts.system), r.verdict.word().to_owned()]
    });
    page.table(&["least height of", "from A>", "found>", "asked>", "verdict"], judged.collect());
    let seated = facts.file.plan.people.seated;
    page.text(format!(
        "Seated for {} from A and {} from B; {} and {} are needed. Nobody stands or falls there.",
        l(seated[0].si()),
        l(seated[1].si()),
        l(review.no_fall_m[0]),
        l(review.no_fall_m[1])
    ));
}

/// The plan tensioned to so much more; nothing when it has no standing tension to change, or none is left.
pub(super) fn pulled(file: &PlanFile, more_n: f64) -> Option<PlanFile> {
    let mut file = file.clone();
    let main = file.plan.runs.values_mut().find(|r| r.role == Role::Main)?;
    let target = main.parts.iter_mut().map(|p| &mut p.length).find(|l| matches!(l, PartLength::Solve(_)))?;
    let PartLength::Solve(Target::Standing(t, _)) = target else { return None };
    *t += crate::units::Force::from_si(more_n);
    (t.si() > 0.0).then_some(file)
}

/// What the day may bring: another span, another tension, a bolt fewer.
pub(super) fn differs(page: &mut Page, facts: &Facts<'_>) {
    let half_n = 500.0;
    let half = show(Dim::Force, half_n, facts.system);
    let (unit, f) = without_unit(facts.system);
    page.heading(&format!("When the day differs (tensions in {unit}, walker in the middle)"));
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let (mut rows, mut reasons) = (Vec::new(), Vec::new());
    let mut try_out = |name: String, change: &dyn Fn(&mut PlanFile) -> bool| {
        let mut file = facts.file.clone();
        if !change(&mut file) {
            return;
        }
        let solved =
            in_view(&file).map_err(|e| e.first().map_or_else(String::new, |f| f.message.clone())).and_then(|mut s| {
                let standing = s.solve(&Case::standing())?.ok_or("no solution")?;
                let walker = s.solve(&Case::walker(&file.plan, 0.5))?.ok_or("no solution")?;
                if !standing.certified() || !walker.certified() {
                    return Err("not solved".to_owned());
                }
                Ok((s, standing, walker))
            });
        rows.push(match solved {
            Ok((s, standing, walker)) => {
                let (k, most) = s
                    .rig
                    .legs
                    .iter()
                    .map(|leg| (leg.run, walker.response.run_n[leg.run]))
                    .max_by(|a, b| a.1.total_cmp(&b.1))
                    .unwrap_or((0, 0.0));
                vec![
                    name,
                    f(standing.response.line_n[0]),
                    l(standing.response.sag_m),
                    f(walker.response.line_n[0].max(walker.response.line_n[1])),
                    l(walker.response.sag_m),
                    f(most),
                    plain(&s.rig.run_names[k]),
                ]
            }
            Err(why) => {
                reasons.push(format!("{name}: {}.", plain(&why)));
                let none = std::iter::repeat_n("–".to_owned(), 5);
                [name].into_iter().chain(none).chain(["not solved".to_owned()]).collect()
            }
        });
    };
    try_out("as planned".to_owned(), &|_| true);
    for (more, word) in [(0.9, "span − 10 %"), (1.1, "span + 10 %")] {
        try_out(word.to_owned(), &|p| {
            p.plan.site.span *= more;
            true
        });
    }
    for (more, word) in [(-half_n, "−"), (half_n, "+")] {
        try_out(format!("{word} {half}"), &|p| pulled(p, more).map(|q| *p = q).is_some());
    }
    page.table(&["day", "empty>", "sag>", "walker>", "sag>", "most>", "in"], rows);
    for r in reasons {
        page.text(r);
    }
    // The lost bolts that lower a walker most.
    let lost = |name: &String| {
        facts.review.incidents.iter().find(|i| match &i.event.situation.cause {
            Cause::Gone { pieces, then: Then::Stands | Then::Falls, .. } => {
                pieces.iter().any(|p| matches!(p, Lost::Point(n) if n == name))
            }
            _ => false,
        })
    };
    let mut bolts: Vec<&Incident> = facts
        .file
        .plan
        .points
        .iter()
        .filter(|(_, p)| matches!(p.kind, PointKind::Fixed { by: Hold::Bolt { .. }, .. }))
        .filter_map(|(name, _)| lost(name))
        .collect();
    bolts.sort_by(|a, b| b.drop_m.total_cmp(&a.drop_m));
    let bolts: Vec<String> = bolts
        .into_iter()
        .take(BOLTS)
        .map(|i| {
            format!("{}: {}", plain(&i.event.words()), incidents::outcome(facts.file, facts.review, i, facts.system))
        })
        .collect();
    if !bolts.is_empty() {
        page.text(format!("One bolt fewer – {}.", bolts.join(" · ")));
    }
}
