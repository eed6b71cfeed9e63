//! The card of a test piece: how to make one, what to measure, and where to write it.

use super::super::VERSION;
use super::super::page::{Block, Drawing, Page, Setting};
use super::drawings;
use crate::bench::{Hand, Rope, bare, reference_kg};
use crate::units::{Dim, System, at_bench, show};

/// Full bury, rope round the eye, and how far the lines stand outside the bury, in rope diameters.
const BURY_D: f64 = 72.0;
const EYE_D: f64 = 36.0;
const OUTSIDE_D: f64 = 6.0;
/// Between the lines on plain rope, from the others to them, and from them to the end with its knot, m.
const PLAIN_M: f64 = 1.0;
const APART_M: f64 = 0.1;
const KNOT_M: f64 = 0.3;

/// Marks from the tip, m: throat on the tail, first line, entry, second line, both lines on plain rope, the end.
fn marks_m(rope: &Rope) -> [(&'static str, f64); 7] {
    let d = rope.d_m;
    let throat = BURY_D * d;
    let entry = throat + EYE_D * d;
    let first = entry - OUTSIDE_D * d;
    let second = first + bare(BURY_D * d, Hand::default().shortens.high) + 2.0 * OUTSIDE_D * d;
    let plain = second + APART_M;
    let last = plain + PLAIN_M;
    [("C", throat), ("X1", first), ("E", entry), ("X2", second), ("Y1", plain), ("Y2", last), ("end", last + KNOT_M)]
}

/// The rope with its marks, to scale.
fn drawing(rope: &Rope, system: System) -> Drawing {
    let all = marks_m(rope);
    let mut out = Drawing::new(drawings::WIDE, 19.0);
    let long_m = all[6].1;
    let k = drawings::scale(&mut out, "BEFORE", long_m, system);
    let (x, y) = (|m: f64| drawings::EDGE + k * m, 12.5);
    for side in [-1.2, 1.2] {
        out.line(&[[x(0.0), y + side], [x(long_m), y + side]], 0.3);
        // The taper of the tail's last third.
        out.dashes(&[[x(0.0), y], [x(all[0].1 / 3.0), y + side]], 0.2);
    }
    let mut marks: Vec<(String, f64)> = all[..6].iter().map(|(name, m)| ((*name).to_owned(), x(*m))).collect();
    marks.push(("A".to_owned(), x(0.0)));
    drawings::letters(&mut out, &mut marks, y);
    out
}

/// How a test piece of a rope is made.
#[must_use]
pub fn test_piece_card(rope: &Rope, catalogue: &str, system: System) -> Page {
    let l = |m: f64| at_bench(m, system, false);
    let kg = show(Dim::Mass, reference_kg(rope.d_m).round(), system);
    let at = |name: &str| marks_m(rope).iter().find(|m| m.0 == name).map_or(0.0, |m| m.1);
    let mut page = Page {
        title: format!("Test piece: {}", rope.title),
        origin: format!("spanwright {VERSION}, catalogue {catalogue}"),
        setting: Setting::Cards,
        ..Page::default()
    };
    page.text("One eye spliced into rope of the same batch shows what a bury takes of its host, and what the first hard pulls add. Three pieces or more give the range; they belong to this rope, this batch and this hand.");
    page.blocks.push(Block::Facts(vec![
        ("rope".to_owned(), format!("{}, {} across", rope.title, l(rope.d_m))),
        ("to cut".to_owned(), format!("{} in one piece: its one end is the tail, which makes an eye", l(at("end")))),
        ("hung on it".to_owned(), format!("{kg}, whenever it is marked or measured")),
    ]));
    page.blocks.push(Block::Drawing(
        drawing(rope, system),
        vec!["The rope with its marks, A at the tip of the tail.".to_owned()],
    ));
    let said = |name: &str, what: &str| vec![name.to_owned(), l(at(name)), what.to_owned()];
    page.table(
        &["mark", "from the tip>", "what for"],
        vec![
            said("C", "throat on the tail: what is buried lies before it"),
            said("X1", "first line across the host, on the eye's side of its entry"),
            said("E", "entry: here the tail goes into the rope"),
            said("X2", "second line across the host, beyond where the tip comes to lie"),
            said("Y1", "first line across plain rope"),
            said("Y2", "second line across plain rope"),
        ],
    );
    let hand_width = l(0.002);
    page.blocks.push(Block::Steps(vec![
        format!("Knot the far end into a loop beyond Y2. Clamp the tip A, hang {kg} on the loop, and mark all of the table. Measure X1 to X2, and Y1 to Y2: write down X before and Y before."),
        format!("HOLD POINT, a second person signs: X before and Y before read anew, within {hand_width}."),
        "Taper the tail over its third next to the tip, as the strip of a splice card says: two strands left at the tip. Measure from C to the tip: write down b.".to_owned(),
        "Lay C on E, the eye open between them. Lead the fid in at E, along the hollow, out beyond X2; draw the tail through until C meets E, let the tip in, stroke the rope over it until nothing moves any more.".to_owned(),
        format!("Hang {kg} on it again, by the eye: write down X after."),
        "Stitch the throat. Set it as the splice card of this rope says, five to ten pulls, by the eye and the knot. Hang the same mass on it: write down Y after.".to_owned(),
        format!("HOLD POINT, a second person signs: X after, Y after and b read anew, within {hand_width}."),
    ]));
    page.blocks.push(Block::Blanks(
        ["X before", "X after", "b", "Y before", "Y after", "batch", "made by", "second person", "date"]
            .map(str::to_owned)
            .to_vec(),
    ));
    page.text("spanwright splice test-piece --host-before X --host-after X --bury b --plain-before Y --plain-after Y says what they show, and what to make cards with: a share s = λ / (1 + λ) of bare host, λ = (X before − X after) / b, and a set of Y after / Y before − 1.");
    page
}
