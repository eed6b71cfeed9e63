//! Splices against common practice (no published source), our figure beside its range, and lengths that add up.

use proptest::prelude::*;
use spanwright::bench::{Design, Eye, Gear, Rope, design};
use spanwright::catalogue::Catalogue;

fn rope(id: &str) -> Rope {
    Rope::of(Catalogue::builtin().get(id).expect("in the catalogue")).expect("a hollow braid")
}

fn made(gear: &Gear, id: &str) -> Design {
    design(gear, &rope(id), &Catalogue::builtin().deratings).expect("can be made")
}

fn eye(pin_m: f64) -> Eye {
    Eye { pin_m, flat_m: None, thimble: false, bury_m: None, locked: false }
}

fn within(what: &str, got: f64, from: f64, to: f64) {
    println!("{what}: {got:.3}, expected {from} to {to}");
    assert!((from..=to).contains(&got), "{what}: {got} outside {from} to {to}");
}

/// Common practice, no source: full bury 72 diameters (three and a half fids of 21 are 73.5), 90 to 95 % kept, the last
/// third tapered by pairs, eyes of 3 to 5 pins, 25 to 50 mm lost at a splice in small ropes, set at 10 to 20 %.
#[test]
fn an_eye_and_eye_sling() {
    let d = made(&Gear::Sling { eyes: [eye(0.016); 2], length_m: 2.0 }, "hmpe-8");
    let d_m = 0.008;
    within("bury in diameters", d.buries_m[0] / d_m, 72.0, 73.5);
    within("bury in fids of 21 d", d.buries_m[0] / (21.0 * d_m), 3.4, 3.5);
    let s = rope("hmpe-8").strength_n.expect("rated");
    let [low, nominal] = d.strength_n.expect("rated");
    within("kept, low", low / s, 0.899, 0.901);
    within("kept, nominal", nominal / s, 0.949, 0.951);
    within("eye over pin", d.eyes_m[0] / 0.016, 3.0, 5.0);
    let plain = 2.0 + 2.0 * (d.eyes_m[0] + d.buries_m[0]);
    within("lost at one splice, mm", 500.0 * (d.cut_m - plain), 25.0, 50.0);
    let set = d.set_n.expect("rated");
    within("set, from", set[0] / s, 0.1, 0.1001);
    within("set, to", set[1] / s, 0.1999, 0.2001);
    // Twelve strands lose a pair at a mark: 10, 8, 6, 4, 2, over at least 24 diameters.
    let taper: Vec<f64> = d.marks.iter().filter(|m| m.end == 1 && m.what.contains("strand")).map(|m| m.at_m).collect();
    assert_eq!(taper.len(), 5);
    within("taper, diameters", taper[0] / d_m, 24.0, 24.51);
    within("a step, diameters", (taper[0] - taper[1]) / d_m, 4.0, 6.0);
    // Shortest with full buries: about 1.4 m with eyes of 0.1 m.
    let at = |e: f64| {
        let eye = Eye { flat_m: Some(e), ..eye(0.016) };
        made(&Gear::Sling { eyes: [eye; 2], length_m: 3.0 }, "hmpe-8").least_m
    };
    within("shortest sling of 8 mm, m", at(0.1), 1.35, 1.45);
}

/// Common practice, no source: a loop of 8 mm from 0.60 m; two legs keep 2 × 0.85 of the rope, less the join; a soft shackle
/// of 8 mm and 100 mm takes 0.95 to 1.0 m plain and 1.4 to 1.5 m with buried tails.
#[test]
fn loops_and_soft_shackles() {
    let d = made(&Gear::Loop { length_m: 1.0, bury_m: None }, "hmpe-8");
    within("shortest loop of 8 mm, m", d.least_m, 0.58, 0.62);
    let s = rope("hmpe-8").strength_n.expect("rated");
    within("loop over rope", d.strength_n.expect("rated")[0] / s, 1.4, 1.7);
    let shackle = |buried| made(&Gear::SoftShackle { length_m: 0.1, buried }, "hmpe-8");
    within("plain shackle, m of rope", shackle(false).cut_m, 0.93, 1.02);
    within("buried shackle, m of rope", shackle(true).cut_m, 1.38, 1.57);
    within("diamond over rope, low", shackle(false).strength_n.expect("rated")[0] / s, 1.0, 1.0001);
    within("button over rope, low", shackle(true).strength_n.expect("rated")[0] / s, 1.4999, 1.5001);
    let a = made(&Gear::Adjustable { eye: eye(0.016), longest_m: 2.5 }, "hmpe-8");
    within("adjustable over rope, low", a.strength_n.expect("rated")[0] / s, 0.5999, 0.6001);
}

/// The mark of end `end` whose words hold `words`, m.
fn mark(d: &Design, end: usize, words: &str) -> f64 {
    d.marks.iter().find(|m| m.end == end && m.what.contains(words)).unwrap_or_else(|| panic!("no {words}")).at_m
}

proptest! {
    /// Who follows the marks gets the length back: what is cut, less what doubles back into eyes and buries, less what the
    /// buries shorten by.
    #[test]
    fn marks_give_the_length_back(d in 3_usize..13, length_m in 3.0..8.0_f64, pin in 0.008..0.03_f64, bury_d in 60.0..80.0_f64) {
        let id = format!("hmpe-{d}");
        let d_m = d as f64 / 1e3;
        let eyes = [Eye { bury_m: Some(bury_d * d_m), ..eye(pin) }; 2];
        let s = made(&Gear::Sling { eyes, length_m }, &id);
        let crown = |end| mark(&s, end, "crown");
        let buried: f64 = s.buries_m.iter().sum();
        // Crown to crown along the rope that stays outside, less 4 to 8 % of the buries.
        let finished = s.cut_m - crown(1) - crown(2);
        prop_assert!((finished - 0.06 * buried - length_m).abs() < 1e-9);
        for end in [1, 2] {
            let (tail, into, out) = (mark(&s, end, "throat: "), mark(&s, end, "throat on the standing"), mark(&s, end, "end of the bury"));
            prop_assert!((into - tail - 2.0 * s.eyes_m[end - 1]).abs() < 1e-9);
            prop_assert!((out - into - s.buries_m[end - 1]).abs() < 1e-9);
        }
        // The two buries leave room between them.
        prop_assert!(mark(&s, 1, "end of the bury") + mark(&s, 2, "end of the bury") < s.cut_m);
        let l = made(&Gear::Loop { length_m, bury_m: Some(bury_d * d_m) }, &id);
        let round = l.cut_m - mark(&l, 1, "throat") - mark(&l, 2, "throat");
        prop_assert!((round - 0.06 * 2.0 * l.buries_m[0] - 2.0 * length_m).abs() < 1e-9);
        let a = made(&Gear::Adjustable { eye: eye(pin), longest_m: length_m.max(2.5 * 150.0 * d_m + 1.0) }, &id);
        // At its longest: from the crown to where the slide goes in, and half of what then is left for the loop.
        let (crown, slide) = (mark(&a, 1, "crown"), mark(&a, 1, "sliding bury goes in"));
        let tail = mark(&a, 2, "limit");
        let loop_m = 0.5 * (a.cut_m - slide - a.buries_m[1] - tail - 0.06 * a.buries_m[0]);
        prop_assert!((slide - crown + loop_m - a.finished_m).abs() < 1e-9, "{} {} {}", slide - crown, loop_m, a.finished_m);
        for m in s.marks.iter().chain(&l.marks).chain(&a.marks) {
            prop_assert!(m.at_m > 0.0 && m.at_m < 8.0 * 3.0);
        }
    }
}
