//! A sling with one fixed eye, and a loop whose length slides through a bury of its own.

use super::braid;
use super::gear::{At, Design, Eye, From, GAP_D, Gear, Mark, Note, Set, TAPER_WHATS, taper_marks};
use super::rope::Refusal;
use super::throat::{Throat, WISHED_DEG, half_eye};
use crate::catalogue::Termination;
use crate::mechanics::root::{Root, bracketed};
use crate::units::mm;

/// The slide, in rope diameters: an untapered core. Common practice, no source.
const SLIDE_D: f64 = 72.0;
/// What a full core shortens its host by, over the mean of a tapered bury.
const FULL_CORE: f64 = 1.2;
/// Tail that stays outside at the longest, m. Common practice, no source.
const TAIL_M: f64 = 0.3;
/// Least way that it adjusts, m.
const WAY_M: f64 = 0.05;

pub(super) fn adjustable(
    gear: &Gear,
    eye: Eye,
    far_pin_m: f64,
    longest_m: f64,
    on: &At<'_>,
) -> Result<Design, Refusal> {
    let d = on.rope.d_m;
    let mut notes = Vec::new();
    let made = on.eye(&eye, &mut notes)?;
    on.eye(&Eye::over(far_pin_m), &mut notes)?;
    notes.dedup();
    let (b, e) = (on.bury(eye.bury_m)?, made.half_m);
    let (slide, gap) = (on.d(SLIDE_D), on.d(GAP_D));
    let fixed = made.throat.reach_m + b + gap + slide + on.lock_shift(eye.lock);
    let reach = |half: f64| Throat::on(half, far_pin_m, d).map(|t| t.reach_m);
    let least_half = half_eye(far_pin_m, d, WISHED_DEG);
    let shortest = fixed + reach(least_half).unwrap_or(least_half);
    if longest_m < shortest + WAY_M - 1e-9 {
        return Err(Refusal::new(
            format!("{} at its longest leave nothing to adjust", mm(longest_m)),
            format!("more than {} at its longest", mm(shortest + WAY_M)),
        ));
    }
    let way = longest_m - fixed;
    let short = |half: f64| reach(half).map(|r| r - way);
    let Root::At(half) = bracketed(least_half, way + least_half, 1e-9, 0.0, short) else {
        return Err(Refusal::new(
            "its sliding loop has no length".to_owned(),
            format!("more than {}", mm(shortest + WAY_M)),
        ));
    };
    let host = braid::bare(slide, FULL_CORE * on.hand.shortens.usual);
    let mut marks = Vec::new();
    let mut mark = |letter: &str, from: From, at_m: f64, what: &'static str| {
        marks.push(Mark { letter: letter.to_owned(), from, at_m, what });
    };
    mark("A", From::End1, 0.0, "tip");
    for (k, ((at_m, _), what)) in taper_marks(on.taper(b)).into_iter().zip(TAPER_WHATS).enumerate() {
        mark(&format!("B{}", k + 1), From::End1, at_m, what);
    }
    mark("C", From::End1, b, "throat on the tail");
    mark("D", From::End1, b + e, "crown");
    mark("E", From::End1, b + 2.0 * e, "entry: throat on the standing part");
    let shift = on.lock_shift(eye.lock);
    mark("G", From::End1, b + 2.0 * e + on.bare(b) + shift, "here the tip comes to lie");
    mark("H", From::End1, b + 2.0 * e + on.exit(b) + shift, "exit of the fid");
    mark("X", From::Throat, b + gap + shift, "the slide comes out");
    mark("N", From::Throat, b + gap + shift + host, "the slide goes in");
    let legs = 2.0 * on.tables.sharing.low * on.tables.bend(far_pin_m / d).low;
    let loads = on.loads(Termination::Adjustable, 1.0, on.eye_keeps(&made).min(legs), Set::OfRope(0.10, 0.20));
    let tail_most = TAIL_M + 2.0 * (half - least_half);
    notes.push(Note::Reaches { reach_m: [shortest, longest_m], tail_m: [TAIL_M, tail_most] });
    Ok(Design {
        title: "adjustable sling",
        gear: *gear,
        rope: on.rope.clone(),
        hand: on.hand.clone(),
        cut_m: b + 2.0 * e + on.bare(b) + on.lock_takes(eye.lock) + gap + host + 2.0 * half + slide + TAIL_M,
        spare_m: 0.0,
        finished_m: longest_m,
        off_m: on.off(longest_m, b),
        on_the_table: vec![("tail, longest", TAIL_M), ("tail, shortest", tail_most)],
        least_m: shortest,
        eyes: vec![made],
        buries_m: vec![b, slide],
        marks,
        strength_n: loads.strength_n,
        on_pins_n: loads.on_pins_n,
        strength_why: loads.why,
        set_n: loads.set_n,
        proof_n: loads.proof_n,
        notes,
    })
}
