//! How sure the verdicts are, and what to measure first.

use super::page::{Block, Drawing, Page};
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

/// Size of the picture, its letters, and how many bars stand in it.
const SIZE_MM: [f64; 2] = [160.0, 44.0];
const LETTER_MM: f64 = 3.0;
const BARS: usize = 40;

/// How many rigs have which least margin, from the lowest hundredth to the highest; what is asked, and the two marks below it.
fn histogram(least: &[f32]) -> Option<Drawing> {
    let at = |share: f64| least.get((share * least.len() as f64) as usize).map(|m| f64::from(*m));
    let (low, middle, twentieth) = (at(0.005)?, at(0.5)?, at(0.05)?);
    let high = at(0.995)?.max(1.05).max(low + 0.05);
    let low = low.min(0.95);
    let step = (high - low) / BARS as f64;
    let mut counts = [0_usize; BARS];
    for m in least.iter().map(|m| f64::from(*m)).filter(|m| (low..high).contains(m)) {
        counts[(((m - low) / step) as usize).min(BARS - 1)] += 1;
    }
    let most = counts.iter().copied().max().filter(|n| *n > 0)? as f64;
    let [wide, high_mm] = SIZE_MM;
    let (foot, top) = (high_mm - 2.0 * LETTER_MM - 2.0, LETTER_MM + 2.0);
    let x = |m: f64| (m - low) / (high - low) * wide;
    let mut d = Drawing::new(wide, high_mm);
    for (k, n) in counts.iter().enumerate().filter(|(_, n)| **n > 0) {
        let (a, b) = (x(low + step * k as f64), x(low + step * (k + 1) as f64) - 0.6);
        let y = foot - (foot - top) * *n as f64 / most;
        d.line(&[[a, foot], [a, y], [b, y], [b, foot]], 0.4);
    }
    d.line(&[[0.0, foot], [wide, foot]], 0.3);
    d.dashes(&[[x(1.0), top - 1.0], [x(1.0), foot]], 0.4);
    d.words([x(1.0), LETTER_MM], "asked", LETTER_MM, 0.5);
    for (m, name, row) in [(middle, "half", 1.0), (twentieth, "1 in 20", 2.0)] {
        let at = x(m).clamp(0.0, wide);
        d.line(&[[at, foot], [at, foot + 1.5]], 0.4);
        d.words([at, foot + 1.0 + row * LETTER_MM], &format!("{name} {m:.2}"), LETTER_MM, at / wide);
    }
    Some(d)
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
    if let Some(drawn) = histogram(&doubt.least) {
        page.heading("Least factor over what is asked, rig by rig");
        let middle = doubt.least.get(doubt.least.len() / 2).map_or(f64::NAN, |m| f64::from(*m));
        let said = format!(
            "half of the rigs under {}, one in twenty under {} of what is asked; the broken line is what is asked",
            whole(middle),
            whole(doubt.low)
        );
        page.blocks.push(Block::Drawing(drawn, vec![said]));
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
