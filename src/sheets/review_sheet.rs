//! The review for the friend whose plan it is: verdicts, findings, remarks.

use super::page::{Block, Page};
use super::{Comparison, Facts, claims_counted, claims_rows, comparison_sheet, hung_said, incidents};
use crate::document::plain;
use crate::review::Verdict;
use crate::units::{Dim, show};

/// The review sheet.
#[must_use]
pub fn review_sheet(facts: &Facts<'_>, changes: Option<&Comparison>) -> Page {
    let (file, review, system) = (facts.file, facts.review, facts.system);
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    let mut page = Page::of("Review", file);
    let limit = review.limiting.as_ref().map_or(String::new(), |x| format!(": {}", plain(&x.sentence)));
    page.blocks.push(Block::Warning(format!("Verdict: {}{limit}.", review.verdict.word())));
    for line in super::text::stops(review) {
        page.blocks.push(Block::Warning(format!("Stop: {line}")));
    }
    for u in &review.unsolved {
        page.blocks.push(Block::Warning(format!(
            "Not solved, and no verdict stands without it: {}: {}",
            plain(&u.words()),
            plain(&u.why)
        )));
    }
    page.blocks.push(Block::Facts(vec![
        ("span".to_owned(), l(file.plan.site.span.value)),
        (
            "standing".to_owned(),
            format!("{} at A, {} at B", f(review.line.standing_n[0]), f(review.line.standing_n[1])),
        ),
        (
            "sag".to_owned(),
            format!(
                "{} standing, {} with a walker in the middle",
                l(review.line.sag_standing_m),
                l(review.line.sag_walker_m)
            ),
        ),
    ]));
    if let Some(c) = changes {
        page.heading("Since the state that it is compared with");
        page.blocks.extend(comparison_sheet(c, system).blocks);
    }
    if let Some(said) = hung_said(review) {
        page.text(said);
    }
    if let Some(counted) = claims_counted(review) {
        page.heading(&format!("Figures that came with the plan: {counted}"));
        let rows = claims_rows(review, system).into_iter().map(Vec::from).collect();
        page.table(&["", "what", "said>", "ours>", ""], rows);
    }
    page.heading("Findings");
    let all = review.findings_by_text();
    if all.is_empty() {
        page.text("None.");
    }
    let rows = all
        .iter()
        .map(|(x, places)| {
            let aside = x.set_aside.as_ref().map_or(String::new(), |r| format!(" Set aside: {}.", plain(r)));
            vec![
                x.gravity.word().to_owned(),
                plain(places),
                format!("{}; {}.{aside}", plain(&x.text), x.why),
                x.remedy.to_owned(),
            ]
        })
        .collect();
    page.table(&["gravity", "at", "what and why", "remedy"], rows);
    page.heading("Pieces, the worst first");
    let worst = review.worst_first();
    let below = worst.iter().filter(|r| r.verdict != Verdict::Meets).count();
    let rows = worst
        .iter()
        .take(below.max(12))
        .map(|r| {
            vec![
                plain(&r.place.to_string()),
                r.class_and_case(),
                r.sees(system),
                r.keeps(system),
                format!("{} of {}", r.found(system), r.asked(system)),
                r.verdict.word().to_owned(),
            ]
        })
        .collect();
    page.table(&["piece", "situation", "demand>", "keeps>", "factor>", "verdict"], rows);
    page.heading("Falls and failures");
    page.blocks.push(Block::Checks {
        boxes: vec![String::new()],
        lines: incidents::lines(file, review, system, false).iter().map(|l| plain(l.trim())).collect(),
    });
    page.heading("Declared (no rule reads the words: read them)");
    let told: Vec<Vec<String>> = super::text::declared(file).into_iter().map(Vec::from).collect();
    if told.is_empty() {
        page.text("Nothing.");
    } else {
        page.table(&["fact", "answer", "words"], told);
    }
    let notes: Vec<Vec<String>> = super::text::notes(file).into_iter().map(Vec::from).collect();
    if !notes.is_empty() {
        page.heading("Notes in the plan");
        page.table(&["at", "note"], notes);
    }
    page.heading("Remarks");
    if file.plan.remarks.is_empty() {
        page.text("None in the plan.");
    }
    let rows = file
        .plan
        .remarks
        .iter()
        .map(|r| vec![plain(&r.at), plain(&r.text), plain(&r.by), plain(&r.date), plain(&r.state)])
        .collect::<Vec<_>>();
    if !rows.is_empty() {
        page.table(&["at", "remark", "by", "on", "state"], rows);
    }
    page.blocks.push(Block::Blanks(["reviewed by", "on", "seen by the rigger", "on"].map(str::to_owned).to_vec()));
    page
}
