//! A soft shackle: a rope folded at its middle, one leg passed through the other for a noose, both legs knotted together.

use std::f64::consts::PI;

use super::endless::centre_line;
use super::gear::{At, Design, From, Gear, Mark, Note, Set, ShackleKnot};
use super::rope::Refusal;
use crate::catalogue::Termination;
use crate::units::mm;

/// What the knot takes of each leg, in rope diameters, ± 4. Common practice, from memory.
const DIAMOND_D: f64 = 24.0;
const BUTTON_D: f64 = 26.0;
/// What a knot that was measured may have taken, in rope diameters.
const KNOT_D: std::ops::RangeInclusive<f64> = 12.0..=45.0;
/// Tail beyond the knot, for drawing it up, in rope diameters. Common practice, no source.
pub(super) const TAIL_D: f64 = 10.0;
/// From the middle to where the one leg passes through the other, in rope diameters.
const PASS_D: f64 = 6.0;
/// Tail that is buried at most, at least, and from where the button counts in full, in rope diameters: a riggers' handbook
/// for the least; the last is a judgement, untested.
const BURIED_D: f64 = 35.0;
const BURIED_LEAST_D: f64 = 10.0;
const BURIED_FULL_D: f64 = 30.0;
/// What the noose needs of a leg to slide, in rope diameters.
const NOOSE_D: f64 = 8.0;
/// Least closed length, in rope diameters and pins.
pub(super) const LEAST_D: f64 = 10.0;
const LEAST_PINS: f64 = 2.0;

/// Centre line of the snug noose round two legs, m: plain, and with tails inside them.
#[must_use]
pub fn noose(rope_m: f64) -> [f64; 2] {
    [1.0, 2.0_f64.sqrt()].map(|thick| rope_m * (PI * (thick + 1.0) + 2.0 * thick))
}

/// From the knot to the pass-through, m, of a shackle closed to `length_m` on two pins.
#[must_use]
pub fn body(length_m: f64, pin_m: f64, rope_m: f64) -> f64 {
    centre_line(length_m, [pin_m; 2], rope_m) - rope_m
}

/// Room for buried tails inside a leg, m.
#[must_use]
pub fn room(length_m: f64, pin_m: f64, rope_m: f64) -> f64 {
    body(length_m, pin_m, rope_m) - NOOSE_D * rope_m
}

/// Least closed length whose legs take tails buried `buried_d` diameters deep, m.
#[must_use]
pub fn least_for(buried_d: f64, pin_m: f64, rope_m: f64) -> f64 {
    0.5 * ((buried_d + NOOSE_D + 1.0) * rope_m - (PI - 2.0) * pin_m - PI * rope_m)
}

pub(super) fn shackle(
    gear: &Gear,
    length_m: f64,
    pin_m: f64,
    knot: ShackleKnot,
    on: &At<'_>,
) -> Result<Design, Refusal> {
    let d = on.rope.d_m;
    if !(pin_m >= d - 1e-9 && pin_m < 1.0) {
        return Err(Refusal::new(
            format!("a soft shackle of {} rope on a pin of {}", mm(d), mm(pin_m)),
            format!("a pin of {} or more: as thick as its rope", mm(d)),
        ));
    }
    let least = on.d(LEAST_D).max(LEAST_PINS * pin_m);
    if length_m < least - 1e-9 {
        return Err(Refusal::new(
            format!("a soft shackle of {} leaves no room between knot and noose", mm(length_m)),
            if LEAST_PINS * pin_m > on.d(LEAST_D) {
                format!("at least {}; or a pin of {} at most", mm(least), mm(length_m / LEAST_PINS))
            } else {
                format!("at least {}; or a rope of {} at most", mm(least), mm(length_m / LEAST_D))
            },
        ));
    }
    let open = body(length_m, pin_m, d) + on.d(PASS_D);
    let (own, how) = match knot {
        ShackleKnot::Diamond => (DIAMOND_D, Termination::Diamond),
        ShackleKnot::Button => (BUTTON_D, Termination::Button),
    };
    if let Some(took) = on.hand.knot_d.filter(|k| !KNOT_D.contains(k)) {
        return Err(Refusal::new(
            format!("a knot that took {took:.1} rope diameters ({}) of each leg is not believed", mm(on.d(took))),
            format!("{} to {} diameters: measure it again, from neck to tail", KNOT_D.start(), KNOT_D.end()),
        ));
    }
    let (knot_m, tail) = (on.d(on.hand.knot_d.unwrap_or(own)), on.d(TAIL_D));
    let buried = match knot {
        ShackleKnot::Diamond => 0.0,
        ShackleKnot::Button => room(length_m, pin_m, d).min(on.d(BURIED_D)),
    };
    if knot == ShackleKnot::Button && buried < on.d(BURIED_LEAST_D) - 1e-9 {
        return Err(Refusal::new(
            format!("a soft shackle of {} has room for {} of its tails", mm(length_m), mm(buried.max(0.0))),
            format!(
                "at least {}; or a diamond knot, whose strength counts as the rope's",
                mm(least_for(BURIED_LEAST_D, pin_m, d))
            ),
        ));
    }
    // A leg whose tail is inside is shorter by what the tail takes of its host.
    let takes = on.bare(buried) - buried;
    let cut = 2.0 * (open + knot_m + tail + buried + takes);
    let mut marks = Vec::new();
    for (from, dash) in [(From::End1, ""), (From::End2, "′")] {
        let mut mark = |letter: &str, at_m: f64, what: &'static str| {
            marks.push(Mark { letter: format!("{letter}{dash}"), from, at_m, what });
        };
        mark("A", 0.0, "tip");
        mark("K", tail + buried, "the knot ends, the tail begins");
        mark("N", tail + buried + knot_m, "neck: the knot begins");
    }
    marks.push(Mark {
        letter: "W".to_owned(),
        from: From::End1,
        at_m: 0.5 * cut - on.d(PASS_D),
        what: "pass-through: leg 2 goes through leg 1 here",
    });
    marks.push(Mark { letter: "M".to_owned(), from: From::End1, at_m: 0.5 * cut, what: "middle: crown of the noose" });
    let pins = 4.0 * on.tables.sharing.low * on.tables.bend(pin_m / d).low;
    let set = Set::OfLow(0.20, 0.30);
    let full = knot == ShackleKnot::Diamond || buried >= on.d(BURIED_FULL_D) - 1e-9;
    let (title, keeps) = on.tables.termination(how);
    let low = if full { keeps.low } else { keeps.low.min(1.0) };
    let why = format!(
        "{title} [{}]{}",
        keeps.source,
        if full { "" } else { ", counted as the rope for tails buried under 30 diameters (a judgement)" }
    );
    let loads = on.loads_of([low, keeps.nominal], &why, pins, set);
    let title = match knot {
        ShackleKnot::Diamond => "soft shackle, diamond knot",
        ShackleKnot::Button => "soft shackle, button knot",
    };
    Ok(Design {
        cut_m: cut,
        // The knot takes 4 diameters a leg more or less, and the noose may creep back.
        off_m: [on.d(2.0) + super::gear::BY_HAND_M, on.d(3.4) + super::gear::BY_HAND_M],
        on_the_table: vec![("open, crown to knot", open)],
        least_m: least,
        buries_m: if buried > 0.0 { vec![buried; 2] } else { Vec::new() },
        marks,
        notes: vec![Note::UnsetCountsAsRope, Note::FirstIsTrial, Note::ClosesOn { rope_m: d }],
        ..on.piece(title, gear, length_m, loads)
    })
}
