//! What the day may bring: how high the feet pass, and what another span, tension or a bolt fewer does.

use super::super::page::Page;
use super::super::{Facts, incidents};
use super::tried::{at_end, least, other_days};
use super::without_unit;
use crate::document::plain;
use crate::plan::{Hold, PointKind};
use crate::review::{Case, Cause, Incident, Lost, Then, factor_text, in_view};
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

/// What the day may bring: another span, another tension, a bolt fewer.
pub(super) fn differs(page: &mut Page, facts: &Facts<'_>) {
    let (unit, f) = without_unit(facts.system);
    page.heading(&format!("When the day differs (tensions in {unit}, walker in the middle)"));
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let (mut rows, mut reasons) = (Vec::new(), Vec::new());
    let others = other_days(facts.file, facts.system);
    let planned = [("as planned".to_owned(), facts.file)];
    for (name, file) in planned.into_iter().chain(others.iter().map(|(name, file)| (name.clone(), file))) {
        let solved =
            in_view(file).map_err(|e| e.first().map_or_else(String::new, |f| f.message.clone())).and_then(|mut s| {
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
    }
    page.table(&["day", "empty>", "sag>", "walker>", "sag>", "most>", "in"], rows);
    for r in reasons {
        page.text(r);
    }
    match &facts.tried {
        Some(tried) => {
            let mut rows = vec![vec![
                "as planned".to_owned(),
                at_end(Some(facts.review), facts.review, facts.system)
                    .unwrap_or_else(|| least(facts.review, facts.system)),
            ]];
            for ((name, _), review) in others.into_iter().zip(&tried.days) {
                rows.push(vec![
                    name,
                    match review {
                        Ok(r) => at_end(Some(r), facts.review, facts.system).unwrap_or_else(|| least(r, facts.system)),
                        Err(why) => format!("not solved: {}", plain(why)),
                    },
                ]);
            }
            page.table(&["day", "verdict, and what is nearest to its limit"], rows);
        }
        None => page.text("The verdict of each: not tried here; “spanwright sheet card” tries it."),
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
            let outcome = incidents::outcome(facts.file, facts.review, i, facts.system);
            let least = facts.review.least_in(i).map(|(row, factor)| {
                let word = if factor < row.required { "BELOW" } else { "meets" };
                format!(
                    "{word}, least {} at {} of {:.1}",
                    plain(&row.place.to_string()),
                    factor_text(factor),
                    row.required
                )
            });
            let least = if i.idle { Some("as planned".to_owned()) } else { least };
            let least = least.unwrap_or_else(|| "not solved".to_owned());
            format!("{}: {outcome}; {least}", plain(&i.event.words()))
        })
        .collect();
    if !bolts.is_empty() {
        page.text(format!("One bolt fewer – {}.", bolts.join(" · ")));
    }
}
