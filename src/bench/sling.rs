//! One eye at a rope's end, and a sling with an eye at either end.

use super::endless;
use super::gear::{At, Design, Eye, From, GAP_D, Gear, Lock, Mark, Note, Set, taper_marks};
use super::rope::Refusal;
use super::tail::Tail;
use crate::catalogue::Termination;
use crate::units::mm;

pub(super) fn eye_splice(gear: &Gear, eye: Eye, length_m: f64, on: &At<'_>) -> Result<Design, Refusal> {
    let mut notes = Vec::new();
    let tail = Tail::new(&eye, on, &mut notes)?;
    let least = (1.0 + on.hand.sets.usual) * (tail.reach(on) + on.d(GAP_D));
    if length_m < least - 1e-9 {
        return Err(Refusal::new(
            format!(
                "{} from bearing to end leave no room for an eye of {} and a bury of {}",
                mm(length_m),
                mm(tail.made.half_m),
                mm(tail.bury_m)
            ),
            format!("at least {}", mm(least)),
        ));
    }
    let mut marks = Vec::new();
    tail.marks(on, &mut marks);
    let plain = on.unset(length_m) - tail.reach(on);
    let loads = on.loads(Termination::Buried, 1.0, on.eye_keeps(&tail.made), Set::OfRope(0.10, 0.20));
    Ok(Design {
        cut_m: plain + tail.takes(on),
        off_m: on.off(length_m, tail.bury_m),
        on_the_table: vec![("throat to end, unset", plain + tail.bury_m)],
        least_m: least,
        eyes: vec![tail.made],
        buries_m: vec![tail.bury_m],
        marks,
        notes,
        ..on.piece("eye splice", gear, length_m, loads)
    })
}

/// Least sling of these eyes and buries, m: what the rope has to be for `rope_m` across, if the eyes suit.
fn least_sling(tails: &[Tail; 2], on: &At<'_>) -> f64 {
    (1.0 + on.hand.sets.usual) * (tails[0].reach(on) + tails[1].reach(on) + on.d(GAP_D))
}

pub(super) fn sling(gear: &Gear, eyes: [Eye; 2], length_m: f64, on: &At<'_>) -> Result<Design, Refusal> {
    let mut notes = Vec::new();
    let tails = [Tail::new(&eyes[0], on, &mut notes)?, Tail::new(&eyes[1], on, &mut notes)?];
    // Eyes alike need no word each.
    notes.dedup();
    if tails[1].lock == Lock::Passed {
        return Err(Refusal::new(
            "the second eye cannot be locked by passing: the far end is closed by the first",
            "stitches; or the turning way, whose eye must be empty (no ring, no closed thimble)",
        ));
    }
    if tails.iter().any(|t| t.lock == Lock::Turned && t.made.thimble) {
        return Err(Refusal::new(
            "an eye on a thimble cannot be locked by turning the braid: the eye goes through the rope empty",
            "stitches",
        ));
    }
    let least = least_sling(&tails, on);
    if length_m < least - 1e-9 {
        return Err(too_short(eyes, length_m, &tails, least, on));
    }
    let [b1, b2] = [tails[0].bury_m, tails[1].bury_m];
    let [e1, e2] = [tails[0].made.half_m, tails[1].made.half_m];
    let plain = on.unset(length_m) - tails[0].reach(on) - tails[1].reach(on);
    let mut marks = Vec::new();
    tails[0].marks(on, &mut marks);
    // The second end is marked from the finished first throat: what the first bury took is then known.
    let shift = [on.lock_shift(tails[0].lock), on.lock_shift(tails[1].lock)];
    let entry = b1 + shift[0] + plain + on.bare(b2) + shift[1];
    let tip_to_tip = plain + (on.bare(b2) - on.exit(b2));
    let mut second = |letter: &str, at_m: f64, what: &'static str| {
        marks.push(Mark { letter: format!("{letter}′"), from: From::Throat, at_m, what });
    };
    second("E", entry, "entry");
    second("D", entry + e2, "crown");
    second("C", entry + 2.0 * e2, "throat on the tail");
    second("A", entry + 2.0 * e2 + b2, "tip: trim here");
    // Where the first tip is in the way, the fid comes out by feel.
    if tip_to_tip >= 0.0 {
        second("H", entry - on.exit(b2) - shift[1], "exit of the fid");
    }
    taper_marks(on.taper(b2), From::Trimmed, "′", &mut marks);
    let [more, _] = on.host_off(b2);
    if plain < on.d(GAP_D) + more && !on.hand.measured {
        notes.push(Note::TipsCanMeet { plain_m: plain, more_m: more });
    }
    let keeps = on.eye_keeps(&tails[0].made).min(on.eye_keeps(&tails[1].made));
    let loads = on.loads(Termination::Buried, 1.0, keeps, Set::OfRope(0.10, 0.20));
    let flat = on.unset(length_m) - tails[0].made.throat.reach_m - tails[1].made.throat.reach_m + e1 + e2;
    Ok(Design {
        cut_m: plain + tails[0].takes(on) + tails[1].takes(on),
        spare_m: on.host_off(b1)[0],
        off_m: on.off(length_m, b2),
        on_the_table: vec![("flat, unset", flat)],
        least_m: least,
        eyes: tails.iter().map(|t| t.made).collect(),
        buries_m: vec![b1, b2],
        marks,
        notes,
        ..on.piece("eye-and-eye sling", gear, length_m, loads)
    })
}

/// Why a sling has no room for its eyes and buries, and what has: the length, other gear, a thinner rope.
fn too_short(eyes: [Eye; 2], length_m: f64, tails: &[Tail; 2], least: f64, on: &At<'_>) -> Refusal {
    let pins = eyes.map(|e| e.pin_m);
    let round = endless::least(pins, on.d(super::gear::BURY_D), on);
    let other = if length_m >= round {
        format!("a loop without end (least {})", mm(round))
    } else {
        "a soft shackle".to_owned()
    };
    // Of eyes and buries that were asked for a thinner rope has no less.
    let asked = eyes.iter().any(|e| e.half_m.is_some() || e.bury_m.is_some());
    let suits = |on: &At<'_>| {
        let tail = |e: &Eye| Tail::new(e, on, &mut Vec::new()).ok();
        let tails = tail(&eyes[0]).zip(tail(&eyes[1])).map(|(a, b)| [a, b]);
        tails.is_some_and(|t| least_sling(&t, on) <= length_m)
    };
    let thinner = if asked { String::new() } else { on.thinner(suits) };
    Refusal::new(
        format!(
            "{} are too short for two eyes of {} and {} with buries of {} and {}",
            mm(length_m),
            mm(tails[0].made.half_m),
            mm(tails[1].made.half_m),
            mm(tails[0].bury_m),
            mm(tails[1].bury_m)
        ),
        format!("at least {}; instead of it, {other}{thinner}", mm(least)),
    )
}
