//! A loop without end: both tails buried into each other's rope, two legs between two pins.

use std::f64::consts::{PI, SQRT_2};

use super::gear::{At, BURY_D, Design, From, Gear, Mark, Note, Set, taper_marks};
use super::rope::Refusal;
use super::shackle::LEAST_D;
use crate::catalogue::Termination;
use crate::mechanics::root::{Root, bracketed};
use crate::units::mm;

/// Plain rope between the two tips, in rope diameters, and how far a tip keeps from a pin. A judgement, untested.
const GAP_D: f64 = 6.0;
/// What two legs that share badly bear, over one. Common practice, no source.
const TWO_LEGS: f64 = 2.0 * 0.85;

/// Length of a rope's centre line round two pins, bearing to bearing `length_m` apart, m.
#[must_use]
pub fn centre_line(length_m: f64, pins_m: [f64; 2], rope_m: f64) -> f64 {
    let apart = length_m - 0.5 * (pins_m[0] + pins_m[1]);
    let radius = pins_m.map(|p| 0.5 * (p + rope_m));
    let step = (radius[0] - radius[1]).abs().min(apart.max(0.0));
    2.0 * (apart * apart - step * step).max(0.0).sqrt()
        + PI * (radius[0] + radius[1])
        + if apart > 0.0 { 2.0 * step * (step / apart).asin() } else { 0.0 }
}

/// Least loop, bearing to bearing, whose two buries leave room between their tips, m.
pub(super) fn least(pins_m: [f64; 2], bury_m: f64, on: &At<'_>) -> f64 {
    let need = (1.0 + on.hand.sets.usual) * (2.0 * bury_m + on.d(GAP_D));
    // Its own pins may take more than the buries ask for.
    let from = 0.5 * (pins_m[0] + pins_m[1]) + 0.5 * (pins_m[0] - pins_m[1]).abs();
    let short = |g: f64| Some(centre_line(g, pins_m, on.rope.d_m) - need);
    match bracketed(from, from + need, 1e-9, 0.0, short) {
        Root::At(g) => g,
        Root::OutOfReach(..) | Root::NoValue => from,
    }
}

pub(super) fn endless(
    gear: &Gear,
    length_m: f64,
    pins_m: [f64; 2],
    bury_m: Option<f64>,
    on: &At<'_>,
) -> Result<Design, Refusal> {
    let d = on.rope.d_m;
    let b = on.bury(bury_m)?;
    if let Some(pin) = pins_m.iter().find(|p| !(**p >= 0.5 * d && **p < 1.0)) {
        return Err(Refusal::new(
            format!("a pin of {} under a rope of {}", mm(*pin), mm(d)),
            format!("a pin of {} or more, better {}", mm(0.5 * d), mm(2.0 * d)),
        ));
    }
    let least = least(pins_m, b, on);
    if length_m < least - 1e-9 {
        // Of a bury that was asked for a thinner rope has no less.
        let suits = |on: &At<'_>| self::least(pins_m, on.d(BURY_D), on) <= length_m;
        let thinner = if bury_m.is_some() { String::new() } else { on.thinner(suits) };
        return Err(Refusal::new(
            format!("a loop of {} has no room for two buries of {}", mm(length_m), mm(b)),
            format!("at least {}; instead of it, a soft shackle from {}{thinner}", mm(least), mm(on.d(LEAST_D))),
        ));
    }
    let round = centre_line(length_m, pins_m, d) / (1.0 + on.hand.sets.usual);
    let mut marks = Vec::new();
    for (from, dash) in [(From::End1, ""), (From::End2, "′")] {
        taper_marks(on.taper(b), from, dash, &mut marks);
        let mut mark = |letter: &str, at_m: f64, what: &'static str| {
            marks.push(Mark { letter: format!("{letter}{dash}"), from, at_m, what });
        };
        mark("A", 0.0, "tip");
        mark("C", b, "meeting point");
        mark("G", b + on.bare(b), "here the other tail's tip comes to lie");
        mark("H", b + on.exit(b), "exit of the fid");
    }
    // A pin that lies on a full bury bends a thicker rope.
    let off_the_pins = 2.0 * (b - on.taper(b)) + 0.5 * (pins_m[0] + pins_m[1]);
    let thick = if length_m < off_the_pins { SQRT_2 } else { 1.0 };
    let pins = pins_m.map(|p| on.tables.bend(p / (d * thick)).low);
    let on_pins = TWO_LEGS * pins[0].min(pins[1]);
    let mut notes = vec![Note::BothLegsBear];
    notes.extend(pins_m.iter().filter(|p| **p < 2.0 * d - 1e-9).map(|&pin_m| Note::ThinPin { pin_m, rope_m: d }));
    notes.dedup();
    if thick > 1.0 {
        notes.push(Note::BuryOnPin { under_m: off_the_pins });
    }
    // From the middle of a leg a tip lies a bury away: on the straight, it keeps off the pin.
    let clear = 2.0 * (b + on.d(GAP_D)) + 0.5 * (pins_m[0] + pins_m[1]);
    if length_m < clear {
        notes.push(Note::TipAtPin { under_m: clear });
    }
    let loads = on.loads(Termination::EndForEnd, TWO_LEGS, on_pins, Set::OfRope(0.20, 0.40));
    Ok(Design {
        cut_m: round + 2.0 * on.bare(b),
        // Two buries take from the way round, which is twice the length.
        off_m: on.off(length_m, b),
        on_the_table: vec![("way round, unset", round)],
        least_m: least,
        buries_m: vec![b, b],
        marks,
        notes,
        ..on.piece("loop without end", gear, length_m, loads)
    })
}
