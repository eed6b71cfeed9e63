//! The card of a test piece: how to make one, what to measure, and where to write it.

use super::super::VERSION;
use super::super::page::{Block, Page, Setting};
use crate::bench::{Hand, Rope, bare, reference_kg};
use crate::units::{Dim, System, at_bench, show};

/// Full bury, and how far the lines stand outside it, in rope diameters.
const BURY_D: f64 = 72.0;
const OUTSIDE_D: f64 = 6.0;
/// Between the lines on plain rope, m.
const PLAIN_M: f64 = 1.0;

/// How a test piece of a rope is made.
#[must_use]
pub fn test_piece_card(rope: &Rope, catalogue: &str, system: System) -> Page {
    let l = |m: f64| at_bench(m, system, false);
    let d = rope.d_m;
    let bury = BURY_D * d;
    let host = bare(bury, Hand::default().shortens.high) + 2.0 * OUTSIDE_D * d;
    let kg = show(Dim::Mass, reference_kg(d).round(), system);
    let mut page = Page {
        title: format!("Test piece: {}", rope.title),
        origin: format!("spanwright {VERSION}, catalogue {catalogue}"),
        setting: Setting::Cards,
        ..Page::default()
    };
    page.text("One tail buried in rope of the same batch shows what a bury takes of its host, and what the first hard pulls add. Three pieces or more give the range; they belong to this rope, this batch and this hand.");
    page.blocks.push(Block::Facts(vec![
        ("rope".to_owned(), format!("{}, {} across", rope.title, l(d))),
        ("to cut".to_owned(), format!("{} in one piece", l(host + PLAIN_M + bury + 40.0 * d))),
        ("tail".to_owned(), format!("{} to bury, tapered as on a splice card", l(bury))),
        (
            "lines".to_owned(),
            format!("two across the host {} apart, two across plain rope {} apart", l(host), l(PLAIN_M)),
        ),
    ]));
    page.blocks.push(Block::Steps(vec![
        format!("Grip the rope by its far end and by a knot at its plain part, and hang {kg} on it. Draw two lines across plain rope, {} apart: write down Y before.", l(PLAIN_M)),
        format!("Draw two lines across what will be the host, {} apart: write down X before. Mark the entry {} inside the first.", l(host), l(OUTSIDE_D * d)),
        "HOLD POINT, a second person signs: X before and Y before read anew, within 1 mm.".to_owned(),
        format!("Taper the tip over its last third, {} in all to the mark where it will enter: write down what goes in, b.", l(bury)),
        "Lead the tail in at the entry, along the hollow, out beyond where its tip comes to lie; draw it through to its mark, let the tip in, stroke the host over it ten times.".to_owned(),
        format!("Hang {kg} on it again: write down X after."),
        "Stitch it. Set it as the splice card of this rope says, five to ten pulls. Hang the same mass on it: write down Y after.".to_owned(),
        "HOLD POINT, a second person signs: X after, Y after and b read anew, within 1 mm.".to_owned(),
    ]));
    page.blocks.push(Block::Blanks(
        ["X before", "X after", "b", "Y before", "Y after", "batch", "made by", "second person", "date"]
            .map(str::to_owned)
            .to_vec(),
    ));
    page.text("spanwright splice test-piece --host-before X --host-after X --bury b --plain-before Y --plain-after Y says what they show, and what to make cards with: a share s = λ / (1 + λ) of bare host, λ = (X before − X after) / b, and a set of Y after / Y before − 1.");
    page
}
