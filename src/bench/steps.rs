//! The work at the table, in order, for who has the rope in hand for the first time: each step one move, and a hold where a
//! second person looks before it goes on.

use super::gear::{Design, Gear, LOCK_SHIFT_D, Lock, Note, ShackleKnot, Step, reference_kg};
use super::shackle::TAIL_D;
use super::throat::POINT_DEG;
use crate::units::{System, at_bench, force_at_bench, in_unit};

/// Lengths, forces and masses in the maker's units.
#[derive(Debug, Clone, Copy)]
struct In(System);

impl In {
    fn m(self, metres: f64) -> String {
        at_bench(metres, self.0, false)
    }

    fn n(self, newtons: f64) -> String {
        force_at_bench(newtons, self.0)
    }

    /// What hangs on the rope while it is marked and measured, as it can be found at a bench.
    fn hung(self, d: &Design) -> String {
        let kg = reference_kg(d.rope.d_m);
        match self.0 {
            System::Si => format!("{:.0} kg", kg.max(1.0)),
            System::Us => format!("{:.0} lb", in_unit("lb", kg).max(1.0)),
        }
    }
}

fn step(text: impl Into<String>) -> Step {
    Step { text: text.into(), hold: None }
}

fn held(text: impl Into<String>, hold: impl Into<String>) -> Step {
    Step { text: text.into(), hold: Some(hold.into()) }
}

/// What lies on the table before the work begins.
#[must_use]
pub fn tools(d: &Design, system: System) -> String {
    let (in_, rope_m) = (In(system), d.rope.d_m);
    let bury = d.buries_m.iter().copied().fold(0.0, f64::max);
    let fid = if bury > 0.0 {
        format!(
            "a hollow fid of {} outside at most, or a wire loop of {} or more, ",
            in_.m(0.8 * rope_m),
            in_.m(1.4 * bury)
        )
    } else {
        String::new()
    };
    format!(
        "Tape and steel rule, fine marker, twine of 0.5 to 1 mm (1/32 in) in two colours and a needle, shears that cut this fibre, cloth tape, callipers, {fid}the pins or thimbles that it goes on, {} to hang on the rope, what pulls to the loads of the card with a load cell read from the side, a second person, and this card, printed at 100 %.",
        in_.hung(d)
    )
}

/// The work, in order: the same for all pieces of one kind, lock and rope; what differs is on the card.
#[must_use]
pub fn steps(d: &Design, system: System) -> Vec<Step> {
    let in_ = In(system);
    let mut out = Vec::new();
    match d.gear {
        Gear::EyeSplice { eye, .. } => {
            out.extend(mark_and_taper(in_, d));
            out.extend(bury(in_, d, eye.lock, "", "at H"));
            out.extend(set_and_prove(in_, d, "both legs of the eye alike"));
        }
        Gear::Sling { eyes, .. } => sling(in_, d, eyes.map(|e| e.lock), &mut out),
        Gear::Loop { .. } => endless(in_, d, &mut out),
        Gear::SoftShackle { knot, .. } => shackle(in_, d, knot, &mut out),
        Gear::Adjustable { eye, .. } => adjustable(in_, d, eye.lock, &mut out),
    }
    out
}

fn mark_and_taper(in_: In, d: &Design) -> [Step; 2] {
    [
        held(
            format!(
                "Tape the rope and cut it to the length of its row; tape before every cut. A is its tip: clamp it there, hang {} on the other end, and mark B1 to E, G and H of the table from the tip with the steel rule. Draw one straight line along the crowns of the strands from A to H, and two short lines across, one {} before E towards D and one as far beyond H: write down how far they are apart, and again, under the same weight, once the host is stroked.",
                in_.hung(d),
                in_.m(0.025)
            ),
            format!("C, E and H measured anew: within {}", in_.m(0.002)),
        ),
        taper(""),
    ]
}

fn taper(dash: &str) -> Step {
    held(
        format!(
            "Lay A{dash} to B1{dash} on the strip along this card's edge, once the line beside it has been measured: within a hundredth of what it says, else print the card at 100 %. Take the tape off the tip. Six strands run / and six run \\: at B1{dash} number each six from 1, the one on the drawn line first, clockwise seen from the tip; follow each to the tip and number it there too. At B1{dash} lift the 1st of each kind with the needle, draw its end out of the braid from the tip back to the mark, and cut it off there; the 4th of either kind at B2{dash}, the 2nd at B3{dash}, the 5th at B4{dash}, the 3rd at B5{dash}. Only then tape the tip to a slim cone."
        ),
        "one of each direction ends at every mark, no neighbours at marks that follow each other, two strands left",
    )
}

/// From the marked and tapered tail to the stitched eye.
fn bury(in_: In, d: &Design, lock: Lock, dash: &str, exit: &str) -> Vec<Step> {
    let rope_m = d.rope.d_m;
    let mut out = vec![step(if lock == Lock::Turned {
        format!(
            "Lay the eye out empty, nothing in it: C{dash} on E{dash}, crown D{dash} at its far end, the drawn line not twisted. What it goes on comes in when it is done."
        )
    } else {
        format!(
            "Close the rope round what the card says this eye goes on: a thimble, a closed ring or a bolt's eye for good, else a rod as thick, taken out at the end: C{dash} on E{dash}, crown D{dash} at the far side, the drawn line not twisted."
        )
    })];
    match lock {
        Lock::Stitched => {}
        Lock::Passed => out.push(step(format!(
            "Lock: open E{dash} between strands, six this side and six that, and pass the tip through until C{dash} lies in it. Open the tail at C{dash} and pass the whole standing part through. Draw it snug: C{dash} now lies in E{dash} and stays there. The bury begins {} further on. The lock only holds the eye shut: the bury carries.",
            in_.m(LOCK_SHIFT_D * rope_m)
        ))),
        Lock::Turned => out.push(step(format!(
            "Lock from one end (practise on an offcut): tuck the tip through the rope at C{dash} and draw until the rope turns over to a small hole; tuck and turn again at E{dash}. Draw the empty eye through the tail-side hole, then through the other, until the rope turns back. The bury begins {} further on.",
            in_.m(LOCK_SHIFT_D * rope_m)
        ))),
    }
    let enter = if lock == Lock::Stitched { format!("At E{dash}") } else { "Where the bury begins".to_owned() };
    out.extend([
        step(format!(
            "Put the tip into the fid, and tape it. {enter} push the braid together until it opens. Lead the fid in between the strands, none split, along the hollow middle; bunch the braid over it, hold its point through the braid, pull the bunch straight behind it, and again, until it comes out between strands {exit}. A wire loop goes the other way: in there, out at E{dash}; the tip goes into it and is drawn back."
        )),
        step(format!(
            "Bunch the host over the tail and draw it through until {} and the tip stands out. Take off fid and tape.",
            if lock == Lock::Stitched { format!("C{dash} meets E{dash}") } else { "no slack is left between lock and bury".to_owned() }
        )),
        held(
            "Hold the throat. Stroke the host from the throat onward, hand over hand, as hard as two hands can, until nothing moves any more (some ten times): the tip goes in by itself. A tip that stays out is drawn back and buried anew, never cut.",
            "no tip to see, no slack or hump between throat and tip, throat shut, the whole bury felt, the drawn line still straight",
        ),
        step(format!(
            "Stitch from {} to {} past the throat, at F: six passes through host and tail, a diameter apart, six more a quarter turn round; snug, not tight. At the throat sew one stitch of coloured thread into the tail and one into the host, side by side and not joined, on both faces: they show whether tail and host move against each other.",
            in_.m(6.0 * rope_m),
            in_.m(12.0 * rope_m)
        )),
    ]);
    out
}

fn set_and_prove(in_: In, d: &Design, measure: &str) -> Vec<Step> {
    vec![
        held(
            "Set it: between two anchors, with a hoist or a pulley system, pull as the card says, hold 30 seconds, ease, stroke again; five to ten times. Write load and length into the log. Set to less, it grows on its first hard day: measure then.",
            format!(
                "the two coloured stitches have moved {} against each other at the most; {measure}",
                in_.m(d.rope.d_m)
            ),
        ),
        prove(),
    ]
}

fn prove() -> Step {
    step(
        "Prove it once: between two anchors, with a hoist, to the card's proof load, one minute, every part of the pull rated above that, the load read from the side, nobody in line with it or near: it flies back both ways. Label it, and write it into the inventory: set to, and proofed to or NOT PROOFED.",
    )
}

/// A note in words.
#[must_use]
pub fn note(note: &Note, system: System) -> String {
    let in_ = In(system);
    match *note {
        Note::Thimble { half_m, groove_m } => format!(
            "The eye of {} (half its rope) is for a thimble whose groove is taken as {} across at its root, and whose point closes at {POINT_DEG:.0}°: measure yours. The rope fills half of the groove's depth; the jaw lets the pin in.",
            in_.m(half_m),
            in_.m(groove_m)
        ),
        Note::ThinPin { pin_m, rope_m } => format!(
            "On a pin of {} the rope bends at {:.1} of its diameter: from 2 ({}) it costs little. A thimble, or a thicker pin{}.",
            in_.m(pin_m),
            pin_m / rope_m,
            in_.m(2.0 * rope_m),
            if pin_m < rope_m - 1e-9 { "; not where leash, line or master hang on it" } else { "" }
        ),
        Note::TipsCanMeet { plain_m, more_m } => format!(
            "The tips can meet: {} of plain rope are counted between them, and the second bury may take {} more. Make a test piece of this rope first, and say what it showed (--shortens).",
            in_.m(plain_m),
            in_.m(more_m)
        ),
        Note::BothLegsBear => "Both legs bear, and each bends over the pins. A ring of an anchor is a point in the plan: what its half width takes is common to all that hang on it.".to_owned(),
        Note::BuryOnPin { under_m } => format!(
            "Under {} the full bury lies on a pin even with the join at mid-leg: the bend is counted for the thicker rope.",
            in_.m(under_m)
        ),
        Note::TipAtPin { under_m } => format!(
            "Under {} a tip comes to lie at a pin, or on it: look at it there before every rig, and take a longer loop where there is room.",
            in_.m(under_m)
        ),
        Note::StitchedInstead => "The plan asks for a lock at the second end, whose eye is never empty: it is stitched.".to_owned(),
        Note::HandleTakes { rope_m } => format!("{} of the rope to cut are for the small eye in the tail's end.", in_.m(rope_m)),
        Note::ProofIsHigh { proof_n, low_n } => format!(
            "A proof of {} for what it carries is over half of the {} that it holds: take a thicker rope.",
            in_.n(proof_n),
            in_.n(low_n)
        ),
        Note::UnsetCountsAsRope => "Until its knot has been set hard it counts as the rope alone, whichever knot: little more than the rope was pulled on a knot that was not set.".to_owned(),
        Note::FirstIsTrial => "The first of a batch is a trial: measure open and closed length, then say what the knot took of each leg (--knot \"23.2 d\", or a length).".to_owned(),
        Note::ClosesOn { rope_m } => format!("What it closes on is {} thick or more; load it through the bight.", in_.m(rope_m)),
        Note::CannotSet { pull_n, grows_m } => format!(
            "{} do not set it: expect up to {} more on the first hard day, and measure then.",
            in_.n(pull_n),
            in_.m(grows_m)
        ),
        Note::CannotProve { pull_n } => format!("{} do not prove it: the label says NOT PROOFED.", in_.n(pull_n)),
        Note::Reaches { reach_m, tail_m } => format!(
            "It reaches from {} to {}; shorter by a length draws twice that out of the slide: the tail hangs out {} to {}, and is stowed.",
            in_.m(reach_m[0]),
            in_.m(reach_m[1]),
            in_.m(tail_m[0]),
            in_.m(tail_m[1])
        ),
    }
}

fn sling(in_: In, d: &Design, locks: [Lock; 2], out: &mut Vec<Step>) {
    out.extend(mark_and_taper(in_, d));
    out.extend(bury(in_, d, locks[0], "", "at H"));
    out.push(held(
        format!(
            "Under the same {} measure from the thread at the first throat, and mark H′, E′, D′, C′ and A′; trim at A′. What the first bury took is in it now: this halves the error.",
            in_.hung(d)
        ),
        "E′ and A′ measured anew from the first throat",
    ));
    let exit = "at H′; where the card has no H′, one diameter before the first tip, which you feel";
    if locks[0] == Lock::Stitched && locks[1] == Lock::Stitched {
        out.push(held(
            format!("Taper end 2 from A′ and splice it as end 1, with the letters that have a stroke (′), round what the card says its eye goes on; the fid comes out {exit}."),
            "every hold of end 1, for end 2",
        ));
    } else {
        out.push(taper("′"));
        out.extend(bury(in_, d, locks[1], "′", exit));
    }
    out.extend(set_and_prove(in_, d, "length between the pins within what the card promises"));
}

fn endless(in_: In, d: &Design, out: &mut Vec<Step>) {
    let (rope_m, both) = (d.rope.d_m, taper(""));
    out.extend([
        held(
            format!(
                "Tape the rope and cut it to the length of its row; tape before every cut. Hang {} on it. Mark A, C, G and H of the table with the steel rule, on both ends. Draw one straight line along a row of strands from tip to H.",
                in_.hung(d)
            ),
            format!("C and H of both ends measured anew: within {}", in_.m(0.002)),
        ),
        Step { text: format!("Both ends: {}", both.text.replacen("Lay", "lay", 1)), hold: both.hold },
        step("Lay C on C′, the tips pointing past each other: tail 1 along the rope of end 2, tail 2 along that of end 1, the drawn lines untwisted; tie both together there with a thread that comes out at the end."),
        step("Tail 1 goes into the rope of end 2: fid in at C′, away from the meeting point along the hollow, out at H′. Tip into the fid, bunch the host over it, draw the tail through until C lies on C′; take off fid and tape; stroke the host over it until the tip vanishes."),
        held(
            "Tail 2 goes into the rope of end 1 the same way: in at C, out at H. In a short loop the first tip may lie before H: then out one diameter before it, which you feel. Stroke it.",
            "meeting point tight, no gap, no twist, the whole bury felt either way",
        ),
        step(format!(
            "Stitch on both sides of the meeting point, from {} to {} away: six passes, six more a quarter turn round. At the meeting point sew one coloured stitch into either rope, side by side and not joined: they show whether the two move apart. Mark it with the marker: “not on a pin”.",
            in_.m(6.0 * rope_m),
            in_.m(12.0 * rope_m)
        )),
    ]);
    out.extend(set_and_prove(in_, d, "set with the meeting point in the middle of a leg"));
}

fn shackle(in_: In, d: &Design, knot: ShackleKnot, out: &mut Vec<Step>) {
    let rope_m = d.rope.d_m;
    out.extend([
        held(
            format!("Not from this card alone the first time: have somebody beside you who has tied its knot. Tape the rope and cut it to the length of its row. Clamp one tip and hang {} on the other. Mark M, W, and on both legs N, where the neck ends and the knot begins, and K, where the knot ends and the tail begins.", in_.hung(d)),
            format!("M to N of both legs measured anew: alike within {}", in_.m(0.002)),
        ),
        step(format!(
            "Open the rope at W, six strands and six, and pass the tip of leg 2 through. Draw all of leg 2 after it until a noose of {} round is left at M; it slides.",
            in_.m(12.0 * rope_m)
        )),
        step("Seize both legs together at N with thread; it stays in."),
    ]);
    match knot {
        ShackleKnot::Diamond => out.extend([
            step("Diamond 1: lay leg 1 in a loop, its end under its own standing part; lay the loop on leg 2."),
            step("Diamond 2: lead end 2 over the end of leg 1 and under its standing part, as the second drawing has it."),
            step("Diamond 3: on over, under itself, over, across the loop: a flat mat, every crossing over and under in turn, the ends leaving at opposite corners, an open square in the middle."),
            held(
                "Diamond 4: let the neck hang below the square, S1 and S2 down together. Each end goes on anticlockwise round the outside, E1 past S1, E2 past S2, and up through the square from below. Draw up strand by strand, from the neck outward, in five rounds.",
                "every crossing over and under in turn, both legs alike to within a diameter at N",
            ),
        ]),
        ShackleKnot::Button => out.extend([
            step("Button 1 and 2: from the seized neck make a wall: each end under the other and up through its bight."),
            step("Button 3: crown on top: each end over the other and down."),
            step("Button 4: each end up through the opposite chamber of the wall, ahead of the other end."),
            held(
                "Button 5: each end down through the middle, out at the neck beside the legs. Draw up strand by strand, in five rounds.",
                "knot round and even, both legs alike to within a diameter at N",
            ),
            step(format!(
                "Button 6: trim each tail so that it reaches the buried length of the card below N. Taper its last {} by three pairs, a third of that apart. Tail 1 into leg 1, tail 2 into leg 2: fid in a diameter below N, along the hollow towards the noose, out beyond where the tail ends; tip in, draw through, stroke the leg over it.",
                in_.m(TAIL_D * rope_m)
            )),
        ]),
    }
    let tails = match knot {
        ShackleKnot::Diamond => format!("; leave tails of {} at least, never flush", in_.m(0.5 * TAIL_D * rope_m)),
        ShackleKnot::Button => String::new(),
    };
    out.push(held(
        format!(
            "Set it between two pins as thick as the rope or thicker: pull as the card says, five to ten times. The knot seats{tails}. Write load and length into the log."
        ),
        "open length, crown to underside of the knot, and closed length measured; noose snug under the knot; it opens and closes",
    ));
    out.push(prove());
}

fn adjustable(in_: In, d: &Design, lock: Lock, out: &mut Vec<Step>) {
    out.extend(mark_and_taper(in_, d));
    out.extend(bury(in_, d, lock, "", "at H"));
    out.extend([
        held(
            "From the thread at the finished throat mark X and N: marked on bare rope, the gap would be eaten.",
            "X and N measured anew from the throat",
        ),
        step("The long end makes the second eye: lead it round the second pin and back to N. Lead a wire loop in at X, along the middle, out at N; hook the tip of the long end into it and draw it back out at X, until what the card says hangs out there: that is its longest. This end is not tapered: it slides."),
        step(format!(
            "Splice a small eye into the tail's end, {} buried and stitched, of the {} that were cut for it: it is the handle, and cannot go into the slide.",
            in_.m(super::adjustable::HANDLE_D * d.rope.d_m),
            in_.m(d.spare_m)
        )),
        held("Run it long and short.", "it slides slack, and holds when pulled by hand"),
        step(format!(
            "Mark the tail every {} from where it leaves X: each is half of that in the sling. Sew a coloured thread round the tail alone, where it leaves X at the length in use.",
            in_.m(0.05)
        )),
        step("Every time in use: tie the tail off with two half hitches round host and loop, and stitch or tape them; load it before it is trusted; look again after every slack."),
    ]);
    out.extend(set_and_prove(in_, d, "set at the length that it is used at most"));
}

/// What holds for every piece. Common practice, no source, but for the bench's own judgement.
const ALWAYS: [&str; 6] = [
    "tape before cutting",
    "taper every tail that is buried",
    "stitch it or lock it",
    "set, measure, label, write it down",
    "one rope, one batch, one hand to a piece",
    "keep it under 65 °C (150 °F)",
];
const NEVER: [&str; 5] = [
    "melt an end near the load",
    "cut a tip that stands out",
    "run a rope over it",
    "sharp edge, thin hanger without a link, twist, bleach, solvent",
    "use it after a shock you cannot put a number to",
];

/// What is done with a piece, and what never.
#[must_use]
pub fn habits(gear: &Gear) -> [Vec<&'static str>; 2] {
    let (always, never): (&[&str], &[&str]) = match gear {
        Gear::EyeSplice { .. } | Gear::Sling { .. } => (
            &["a pin as thick as the rope or thicker", "a thimble where it turns on its pin"],
            &["knot it", "pinch the eye", "pass the standing part through once the far end is closed"],
        ),
        Gear::Loop { .. } => {
            (&["the join at mid-leg; each rig in the middle of the other leg"], &["knot it", "the join on a pin"])
        }
        Gear::SoftShackle { .. } => (
            &["the stopper knot as its steps say, set hard", "noose snug before load"],
            &["any other knot", "load across the knot", "on metal thinner than the rope"],
        ),
        Gear::Adjustable { .. } => (
            &["tie the tail off, witness thread at the slide, look after slack"],
            &["hang on it with the tail untied", "adjust it under load", "knot it between its eyes"],
        ),
    };
    [ALWAYS.iter().chain(always).copied().collect(), NEVER.iter().chain(never).copied().collect()]
}

/// What is looked at before each rig, and yearly by a second person. Common practice, no source.
#[must_use]
pub fn inspection(gear: &Gear) -> &'static str {
    match gear {
        Gear::SoftShackle { .. } => {
            "Before each rig, and yearly by a second person: along the whole length, bent open: knot seated and even, noose snug under it and free to slide, tails as long as they were, no glaze, no powder, no stiff or flat place."
        }
        Gear::Loop { .. } => {
            "Before each rig, and yearly by a second person: along the whole length, bent open: even cones, meeting point shut, thread in place, stitches whole, no glaze, no powder, no stiff or flat place."
        }
        _ => {
            "Before each rig, and yearly by a second person: along the whole length, bent open: even cone, throat shut, thread in place, stitches whole, no glaze, no powder, no stiff or flat place."
        }
    }
}

/// The words of the cards.
pub const WORDS: &str = "Tail: the short end. Standing part: the long end. Host: the rope that swallows a tail; bury: the tail in it. Throat: where an eye's two legs meet; crown: its far end. Fid: a hollow needle that leads the tip. Seize: bind with thread. Stroke: smooth the host along, away from the throat. HMPE: the fibre. Proof: pull once, hard, and look. Snug: no slack, not pulled hard. Bight: a rope bent back on itself. Noose: a loop that slides. Set: pulled once, hard, so that knot and bury take their place. Letters with a stroke (′) are of end 2. d: the rope's diameter. Hatched: the eye; crossed: the host that will be filled, or the knot.";

/// What ends a piece.
pub const RETIRE: &str = "Retire it, and cut it through: any whole strand cut; a tenth of the yarns in one lay; a quarter worn; melted or glazed that does not flex out; thread moved by more than a diameter; diameter off by a tenth in one place; pulled over its proof load; unknown history; five years from first use.";
