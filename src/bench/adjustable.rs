//! A sling with one fixed eye, and a loop whose length slides through a bury of its own.

use super::braid;
use super::gear::{At, Design, Eye, From, GAP_D, Gear, Mark, Note, Set};
use super::rope::Refusal;
use super::tail::Tail;
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
/// The small eye in the tail's end, which stops it and is its handle: its bury, and half of its rope, in rope diameters.
pub(super) const HANDLE_D: f64 = 24.0;
const HANDLE_EYE_D: f64 = 6.0;
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
    let tail = Tail::new(&eye, on, &mut notes)?;
    on.eye(&Eye::over(far_pin_m), &mut notes)?;
    notes.dedup();
    let (slide, gap) = (on.d(SLIDE_D), on.d(GAP_D));
    let fixed = tail.reach(on) + gap + slide;
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
    tail.marks(on, &mut marks);
    // Of the finished throat: marked on bare rope, the first bury would eat the gap.
    let exit = tail.bury_m + on.lock_shift(tail.lock) + gap;
    for (letter, at_m, what) in [("X", exit, "the slide comes out"), ("N", exit + host, "the slide goes in")] {
        marks.push(Mark { letter: letter.to_owned(), from: From::Throat, at_m, what });
    }
    let legs = 2.0 * on.tables.sharing.low * on.tables.bend(far_pin_m / d).low;
    let loads = on.loads(Termination::Adjustable, 1.0, on.eye_keeps(&tail.made).min(legs), Set::OfRope(0.10, 0.20));
    let tail_most = TAIL_M + 2.0 * (half - least_half);
    // Beyond the tail that stays outside: its bury, and the eye round which a hand goes.
    let handle = on.d(HANDLE_D) + on.bare(on.d(HANDLE_D)) - on.d(HANDLE_D) + 2.0 * on.d(HANDLE_EYE_D);
    notes.push(Note::HandleTakes { rope_m: handle });
    notes.push(Note::Reaches { reach_m: [shortest, longest_m], tail_m: [TAIL_M, tail_most] });
    Ok(Design {
        cut_m: tail.takes(on) + gap + host + 2.0 * half + slide + TAIL_M,
        spare_m: handle,
        off_m: on.off(longest_m, tail.bury_m),
        on_the_table: vec![("tail out, when longest", TAIL_M), ("tail out, when shortest", tail_most)],
        least_m: shortest,
        eyes: vec![tail.made],
        buries_m: vec![tail.bury_m, slide],
        marks,
        notes,
        ..on.piece("adjustable sling", gear, longest_m, loads)
    })
}
