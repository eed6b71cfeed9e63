//! How sure the verdicts are, and what to measure first.

use super::page::{Block, Page};
use crate::document::plain;
use crate::plan::PlanFile;
use crate::review::{Doubt, Review, factor_text};

/// Pieces shown at least.
const SHOWN: usize = 10;

fn per_cent(share: f64) -> String {
    match 100.0 * share {
        0.0 => "none".to_owned(),
        p if p < 0.1 => "< 0.1 %".to_owned(),
        p if p >= 99.95 => "all".to_owned(),
        p => format!("{p:.1} %"),
    }
}

fn whole(share: f64) -> String {
    if share.is_finite() { format!("{:.0} %", 100.0 * share) } else { "not known".to_owned() }
}

/// What many drawn rigs say of a plan.
#[must_use]
pub fn doubt_sheet(file: &PlanFile, review: &Review, doubt: &Doubt) -> Page {
    let mut page = Page::of("Doubt", file);
    page.blocks.push(Block::Warning(format!(
        "Of {} rigs drawn from what is not known, in {} some piece falls below its required factor.",
        doubt.rigs,
        per_cent(doubt.any_below)
    )));
    let unrated = review.rows.iter().filter(|r| !r.is_height() && r.strength.counts_n().is_none()).count();
    if unrated > 0 {
        page.blocks.push(Block::Warning(format!("{unrated} pieces have no rating: nothing is drawn for them.")));
    }
    if !review.unsolved.is_empty() {
        page.blocks
            .push(Block::Warning("The plan itself has situations without a solution: no verdict stands.".to_owned()));
    }
    let stops = super::text::stops(review);
    if !stops.is_empty() {
        page.blocks.push(Block::Warning(format!("No figure here mends what says stop: {}.", stops.join("; "))));
    }
    if doubt.unsolved > 0 {
        page.blocks.push(Block::Warning(format!(
            "{} of them did not come to rest: they count as failed here, and nowhere below.",
            doubt.unsolved
        )));
    }
    page.heading("Measure this first");
    page.text(format!(
        "Share of the scatter of the least margin that each unknown accounts for. One rig in twenty stays under {} of what is asked in its nearest piece; beside the first of them, where that comes to once it is known to be as planned.",
        whole(doubt.low)
    ));
    let rows = doubt
        .unknowns
        .iter()
        .filter(|u| u.share > 0.005)
        .take(8)
        .enumerate()
        .map(|(i, u)| {
            let known = u.low_known.map_or_else(String::new, whole);
            vec![format!("{}", i + 1), plain(&u.what.words()), per_cent(u.share), known]
        })
        .collect();
    page.table(&["", "what is not known, and what settles it", "share>", "1 in 20, known>"], rows);
    page.heading("How low a piece may come");
    let count = doubt.pieces.iter().filter(|p| p.below > 0.0005).count().max(SHOWN);
    let rows = doubt
        .pieces
        .iter()
        .take(count)
        .map(|p| {
            vec![
                format!("{} ({})", plain(&p.place.to_string()), plain(&p.title)),
                p.class.word().to_owned(),
                factor_text(p.factor),
                factor_text(p.middle),
                factor_text(p.low),
                factor_text(p.required),
                per_cent(p.below),
            ]
        })
        .collect();
    page.table(&["piece", "class", "reviewed>", "half>", "1 in 20>", "required>", "below>"], rows);
    let spot = match doubt.spot_error {
        Some(e) => format!(
            "Peaks of falls and failures are carried along by their sensitivities; drawn rigs that were played whole differ by up to {:.0} %{}.",
            100.0 * e,
            if e > 0.1 { ", so that their figures are rough" } else { "" }
        ),
        None => "No fall or failure is near enough to its limit to be carried along.".to_owned(),
    };
    page.heading("How it was drawn");
    page.text(spot);
    if !review.frames.is_empty() {
        page.text("Struts, feet and hobbles of frames are not among the pieces: what they bear and what holds them is not drawn. Read the review's own factors, and what its feet stand on, with that in mind.");
    }
    page.text(format!(
        "Standard deviations: labels and standards 3 %, values of the class 10 %, single breaks 6 % about their average, \
         own tests as stated, the rigger's word 20 %; standing tension 5 %, walker 4 %, stiffness of line and legs 10 %, \
         leg lengths half their tolerance; what ends and bends leave anything between the low and the usual figure. \
         Common practice, no source. Seed {:#x}: the same plan gives the same figures.",
        doubt.seed
    ));
    page
}
