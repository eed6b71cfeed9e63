//! Splices against values worked out apart from the program (`fixtures/bench.json`), and against common practice.

use proptest::prelude::*;
use serde_json::Value;
use spanwright::bench::{
    self, Design, Eye, From, Gear, Hand, Lock, Rope, ShackleKnot, TestPiece, Throat, centre_line, design, half_eye,
};
use spanwright::catalogue::Catalogue;
use spanwright::sheets::page::Block;
use spanwright::units::{System, at_bench};

fn rope(id: &str) -> Rope {
    Rope::of(Catalogue::builtin().get(id).expect("in the catalogue")).expect("a hollow braid")
}

fn own(d_m: f64) -> Rope {
    Rope { d_m, ..rope("hmpe-8") }
}

fn made(gear: &Gear, rope: &Rope, hand: &Hand) -> Design {
    design(gear, rope, hand, &Catalogue::builtin().deratings).expect("can be made")
}

/// Cases of the fixture whose id begins so.
fn cases(begin: &str) -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../fixtures/bench.json")).expect("json");
    let all = all["cases"].as_array().expect("cases").clone();
    let of: Vec<Value> = all.into_iter().filter(|c| c["id"].as_str().expect("id").starts_with(begin)).collect();
    assert!(!of.is_empty(), "no case {begin}");
    of
}

struct Case(Value);

impl Case {
    fn get(&self, name: &str) -> f64 {
        self.0["inputs"][name].as_f64().unwrap_or_else(|| panic!("{}: no {name}", self.0["id"]))
    }

    fn list(&self, name: &str) -> Vec<f64> {
        self.0["inputs"][name].as_array().expect("list").iter().map(|v| v.as_f64().expect("number")).collect()
    }

    fn pair(&self, name: &str) -> [f64; 2] {
        let l = self.list(name);
        [l[0], l[1]]
    }

    /// Holds a figure of ours against the stored one, and says both.
    fn is(&self, name: &str, ours: f64) {
        let want = self.0["outputs"][name].as_f64().unwrap_or_else(|| panic!("{}: no {name}", self.0["id"]));
        let tolerance = match &self.0["tolerance"] {
            Value::Object(each) => each[name].as_f64().expect("tolerance"),
            one => one.as_f64().expect("tolerance"),
        };
        println!("{} {name}: {ours:.6}, expected {want:.6} ± {tolerance}", self.0["id"]);
        assert!((ours - want).abs() <= tolerance, "{} {name}: {ours}, not {want}", self.0["id"]);
    }

    fn hand(&self) -> Hand {
        let mut hand = Hand::default();
        let input = |name: &str| self.0["inputs"][name].as_f64();
        if let Some(s) = input("shortens") {
            hand.shortens.usual = s;
        }
        if let Some(s) = input("shortens_high") {
            hand.shortens.high = s;
        }
        if let Some(s) = input("shortens_low") {
            hand.shortens.low = s;
        }
        let (sets, off) = (input("sets").unwrap_or(0.0), input("sets_off").unwrap_or(0.0));
        hand.sets = bench::Band { low: sets - off, usual: sets, high: sets + off };
        hand
    }
}

fn at(d: &Design, letter: &str) -> f64 {
    d.marks.iter().find(|m| m.letter == letter).unwrap_or_else(|| panic!("no mark {letter}")).at_m
}

#[test]
fn marks_of_an_eye() {
    for c in cases("bench-eye-marks").into_iter().map(Case) {
        let eye = Eye { half_m: Some(c.get("half_eye_m")), bury_m: Some(c.get("bury_m")), ..Eye::over(0.016) };
        let d = made(&Gear::EyeSplice { eye, length_m: 5.0 }, &own(c.get("rope_m")), &c.hand());
        for (name, letter) in [("B", "B1"), ("C", "C"), ("D", "D"), ("E", "E"), ("G", "G"), ("H", "H")] {
            c.is(name, at(&d, letter));
        }
    }
    let c = Case(cases("bench-taper-pairs").remove(0));
    let eye = Eye { bury_m: Some(c.get("bury_m")), ..Eye::over(0.016) };
    let d = made(&Gear::EyeSplice { eye, length_m: 5.0 }, &own(c.get("rope_m")), &Hand::default());
    let want = c.0["outputs"]["at_m"].as_array().expect("list");
    let left: Vec<String> = c.0["outputs"]["left"].as_array().expect("list").iter().map(ToString::to_string).collect();
    for (k, want) in want.iter().enumerate() {
        let mark = d.marks.iter().find(|m| m.letter == format!("B{}", k + 1)).expect("five marks");
        assert!((mark.at_m - want.as_f64().expect("number")).abs() < 0.0005, "{mark:?}");
        assert!(mark.what.contains(&format!("{} left", left.join(", "))), "{mark:?}");
    }
    let strip = Case(cases("bench-strip").remove(0));
    let page = spanwright::sheets::splice_card(&d, "", System::Si);
    let edge = page.blocks.iter().find_map(|b| if let Block::Edge(e) = b { Some(e.size[1]) } else { None });
    strip.is("strip_m", 1e-3 * edge.expect("a strip"));
}

#[test]
fn eyes_on_their_pins() {
    for c in cases("bench-throat").into_iter().map(Case) {
        let half = c.get("half_eye_m");
        let t = Throat::on(half, c.get("pin_m"), c.get("rope_m")).expect("goes round");
        c.is("throat_deg", t.degrees());
        c.is("reach_m", t.reach_m);
        c.is("taken_m", half - t.reach_m);
    }
    let c = Case(cases("bench-least-eye").remove(0));
    c.is("at_60_deg_m", half_eye(c.get("pin_m"), c.get("rope_m"), 60.0));
    c.is("at_30_deg_m", half_eye(c.get("pin_m"), c.get("rope_m"), 30.0));
    let c = Case(cases("bench-thimble").remove(0));
    c.is("half_eye_m", half_eye(c.get("groove_m"), c.get("rope_m"), c.get("point_deg")));
    c.is("round_end_alone_m", half_eye(c.get("groove_m"), c.get("rope_m"), 180.0));
    // The same eye, asked of the bench as it makes one on a thimble.
    let eye = Eye { thimble: true, ..Eye::over(c.get("groove_m")) };
    let d = made(&Gear::EyeSplice { eye, length_m: 5.0 }, &own(c.get("rope_m")), &Hand::default());
    c.is("half_eye_m", d.eyes[0].half_m);
    // An eye whose rope is no longer than half way round does not go over.
    assert!(Throat::on(0.037, 0.016, 0.008).is_none());
    let c = Case(cases("bench-eye-on-pin").remove(0));
    let eye = Eye { half_m: Some(c.get("half_eye_m")), ..Eye::over(c.get("pin_m")) };
    let d = made(&Gear::EyeSplice { eye, length_m: 5.0 }, &own(c.get("rope_m")), &Hand::default());
    c.is("counts", d.on_pins_n.expect("rated") / d.rope.strength_n.expect("rated"));
    // What the eye itself keeps, where the bury keeps all but nothing away from it: on a pin so thin that it governs.
    let legs = 2.0
        * 0.8
        * 0.6
        * (Throat::on(c.get("half_eye_m"), c.get("pin_m"), c.get("rope_m")).expect("round").half_rad).cos();
    c.is("eye_keeps", legs);
    assert!(d.strength_why.ends_with(&format!("on its pins × {legs:.2}")), "{}", d.strength_why);
}

#[test]
fn shortening_by_lay_and_by_test_piece() {
    for c in cases("bench-lay").into_iter().map(Case) {
        let by = bench::by_lay(c.get("lay_d"));
        c.is("full", by.full);
        c.is("mean_pairs", by.mean);
    }
    let c = Case(cases("bench-picks").remove(0));
    c.is("lay_d", bench::lay_of_picks(c.get("pick_multiplier")));
    c.is("full", bench::by_lay(bench::lay_of_picks(c.get("pick_multiplier"))).full);
    let c = Case(cases("bench-test-piece").remove(0));
    let piece = TestPiece {
        host_m: [c.get("host_before_m"), c.get("host_after_m")],
        bury_m: c.get("bury_m"),
        plain_m: [c.get("plain_before_m"), c.get("plain_after_m")],
    };
    c.is("shortens", piece.shortens());
    c.is("sets", piece.sets());
    let c = Case(cases("bench-test-pieces").remove(0));
    let band = Hand::default().shortening(&c.list("shortens")).expect("believed").shortens;
    c.is("mean", band.usual);
    c.is("low", band.low);
    c.is("high", band.high);
}

#[test]
fn slings() {
    for c in cases("bench-sling").into_iter().map(Case) {
        let (pins, halves) = (c.pair("pins_m"), c.pair("half_eyes_m"));
        let eye = |k: usize| Eye { half_m: Some(halves[k]), bury_m: Some(c.get("bury_m")), ..Eye::over(pins[k]) };
        let gear = Gear::Sling { eyes: [eye(0), eye(1)], length_m: c.get("length_m") };
        let d = made(&gear, &own(c.get("rope_m")), &c.hand());
        c.is("cut_m", d.cut_m);
        c.is("flat_m", d.on_the_table[0].1);
        c.is("second_entry_from_first_throat_m", at(&d, "E′"));
    }
    let c = Case(cases("bench-least-sling").remove(0));
    let (pins, halves) = (c.pair("pins_m"), c.pair("half_eyes_m"));
    let eye = |k: usize| Eye { half_m: Some(halves[k]), bury_m: Some(c.get("bury_m")), ..Eye::over(pins[k]) };
    let gear = Gear::Sling { eyes: [eye(0), eye(1)], length_m: 3.0 };
    c.is("on_pins_m", made(&gear, &own(c.get("rope_m")), &c.hand()).least_m);
    // What may come out otherwise: both ends of shortening and set, and two millimetres a mark.
    let c = Case(cases("bench-band").remove(0));
    let eye = Eye { bury_m: Some(c.get("bury_m")), ..Eye::over(0.016) };
    let d = made(&Gear::Sling { eyes: [eye; 2], length_m: c.get("length_m") }, &own(0.008), &c.hand());
    let set = c.0["outputs"]["set_m"].as_f64().expect("number");
    c.is("one_end_long_m", d.off_m[1] - set - 0.004);
    c.is("one_end_short_m", set + 0.004 - d.off_m[0]);
    let blind = made(&Gear::EyeSplice { eye, length_m: c.get("length_m") }, &own(0.008), &c.hand());
    c.is("two_ends_long_m", 2.0 * (blind.off_m[1] - set - 0.004));
    c.is("two_ends_short_m", 2.0 * (set + 0.004 - blind.off_m[0]));
    let c = Case(cases("bench-anchor").remove(0));
    c.is("largest_m", bench::legs_differ_by(&c.list("lengths_m"), &c.hand()));
}

#[test]
fn loops() {
    for c in cases("bench-loop").into_iter().map(Case) {
        let gear = Gear::Loop { length_m: c.get("length_m"), pins_m: c.pair("pins_m"), bury_m: Some(c.get("bury_m")) };
        let d = made(&gear, &own(c.get("rope_m")), &c.hand());
        c.is("centre_line_m", d.on_the_table[0].1);
        c.is("cut_m", d.cut_m);
        for letter in ["C", "G", "H"] {
            c.is(letter, at(&d, letter));
        }
    }
    let c = Case(cases("bench-least-loop").remove(0));
    let gear = Gear::Loop { length_m: 2.0, pins_m: [c.get("pin_m"); 2], bury_m: Some(c.get("bury_m")) };
    c.is("least_m", made(&gear, &own(c.get("rope_m")), &c.hand()).least_m);
    // Pins alike: twice the way and half a turn about each.
    let (g, d, p) = (1.3, 0.02, 0.01);
    let straight = 2.0 * g + (std::f64::consts::PI - 2.0) * d + std::f64::consts::PI * p;
    assert!((centre_line(g, [d; 2], p) - straight).abs() < 1e-12);
}

#[test]
fn soft_shackles() {
    for c in cases("bench-shackle-button").into_iter().chain(cases("bench-shackle-diamond")).map(Case) {
        let diamond = c.0["id"].as_str().expect("id").contains("diamond");
        let knot = if diamond { ShackleKnot::Diamond } else { ShackleKnot::Button };
        let (length_m, pin_m, rope_m) = (c.get("length_m"), c.get("pin_m"), c.get("rope_m"));
        let d = made(&Gear::SoftShackle { length_m, pin_m, knot }, &own(rope_m), &c.hand());
        c.is("cut_m", d.cut_m);
        if diamond {
            c.is("body_m", bench::body(length_m, pin_m, rope_m));
            c.is("open_m", d.on_the_table[0].1);
        } else {
            c.is("room_for_tails_m", bench::room(length_m, pin_m, rope_m));
            c.is("buried_m", d.buries_m[0]);
        }
    }
    let c = Case(cases("bench-shackle-least").remove(0));
    c.is("for_35_d_m", bench::least_for(35.0, c.get("pin_m"), c.get("rope_m")));
    c.is("for_10_d_m", bench::least_for(10.0, c.get("pin_m"), c.get("rope_m")));
    let c = Case(cases("bench-noose").remove(0));
    c.is("plain_m", bench::noose(c.get("rope_m"))[0]);
    c.is("buried_m", bench::noose(c.get("rope_m"))[1]);
}

#[test]
fn adjustable_slings() {
    let c = Case(cases("bench-adjustable").remove(0));
    let pins = c.pair("pins_m");
    let eye = Eye { half_m: Some(c.get("half_eye_m")), bury_m: Some(c.get("bury_m")), ..Eye::over(pins[0]) };
    let gear = Gear::Adjustable { eye, far_pin_m: pins[1], longest_m: c.get("longest_m") };
    let d = made(&gear, &own(c.get("rope_m")), &c.hand());
    c.is("cut_m", d.cut_m);
    c.is("shortest_m", d.least_m);
    c.is("tail_at_shortest_m", d.on_the_table[1].1);
    c.is("exit_from_finished_throat_m", at(&d, "X"));
    c.is("entry_from_finished_throat_m", at(&d, "N"));
}

/// Set and proof loads of each kind; the mass that hangs on the rope while it is marked.
#[test]
fn loads() {
    let c = Case(cases("bench-loads").remove(0));
    let rope = Rope { strength_n: Some(c.get("rope_N")), ..own(0.008) };
    // Pins of 40 mm, so that no bend counts before splice and knot; a length that buries 30 diameters of a tail.
    let shackle = |knot| Gear::SoftShackle { length_m: 0.2, pin_m: 0.04, knot };
    let eye = Eye::over(0.04);
    for (name, gear) in [
        ("sling_N", Gear::Sling { eyes: [eye; 2], length_m: 4.0 }),
        ("loop_N", Gear::Loop { length_m: 3.0, pins_m: [0.04; 2], bury_m: None }),
        ("diamond_N", shackle(ShackleKnot::Diamond)),
        ("button_N", shackle(ShackleKnot::Button)),
        ("adjustable_N", Gear::Adjustable { eye, far_pin_m: 0.04, longest_m: 3.0 }),
    ] {
        let d = made(&gear, &rope, &Hand::default());
        let want = c.0["outputs"][name].as_array().expect("three");
        let [from, to] = d.set_n.expect("rated");
        for (ours, want) in [from, to, d.proof_n.expect("rated")].iter().zip(want) {
            assert!((ours - want.as_f64().expect("number")).abs() <= 1.0, "{name}: {ours}, not {want}");
        }
    }
    let c = Case(cases("bench-reference").remove(0));
    c.is("tension_N", bench::reference_n(c.get("rope_m")));
    c.is("mass_kg", bench::reference_kg(c.get("rope_m")));
}

#[test]
fn inches_and_sixteenths() {
    for c in cases("bench-inches").into_iter().map(Case) {
        let text = at_bench(c.get("length_m"), System::Us, c.0["inputs"]["up"].as_bool().expect("truth"));
        assert_eq!(text, c.0["outputs"]["text"].as_str().expect("text"));
    }
}

/// Common practice, no source: 25 to 50 mm of small rope go at a splice; a sling of 8 mm with eyes of 0.1 m is about 1.4 m laid
/// flat at the least; a button shackle of 8 mm and 100 mm takes 1.4 to 1.5 m.
#[test]
fn what_makers_say() {
    let within = |what: &str, got: f64, from: f64, to: f64| assert!((from..=to).contains(&got), "{what}: {got}");
    let eye = |half| Eye { half_m: Some(half), ..Eye::over(0.016) };
    let hand = Hand { sets: bench::Band { low: 0.0, usual: 0.0, high: 0.0 }, ..Hand::default() };
    let d = made(&Gear::Sling { eyes: [eye(0.1); 2], length_m: 2.0 }, &rope("hmpe-8"), &hand);
    let flat = |d: &Design| d.on_the_table[0].1;
    within("lost at one splice, mm", 500.0 * (d.cut_m - flat(&d) - 2.0 * (0.1 + d.buries_m[0])), 25.0, 50.0);
    let shortest = made(&Gear::Sling { eyes: [eye(0.1); 2], length_m: d.least_m }, &rope("hmpe-8"), &hand);
    within("shortest sling laid flat, m", flat(&shortest), 1.35, 1.45);
    let shackle = Gear::SoftShackle { length_m: 0.1, pin_m: 0.008, knot: ShackleKnot::Button };
    within("button shackle, m of rope", made(&shackle, &rope("hmpe-8"), &hand).cut_m, 1.38, 1.57);
}

proptest! {
    /// Who follows the marks gets the length back: from crown to crown the rope that stays outside, less what each bury takes
    /// of its host, is the finished length; and no tail's tip comes to lie beyond where the fid comes out.
    #[test]
    fn marks_give_the_length_back(
        d in 3_u32..13, length_m in 3.0..8.0_f64, pin in 0.008..0.03_f64, bury_d in 60.0..80.0_f64,
        shortens in 0.04..0.12_f64, locked in any::<bool>(),
    ) {
        let (rope, d_m) = (own(f64::from(d) / 1e3), f64::from(d) / 1e3);
        let pin = pin.max(d_m);
        let mut hand = Hand::default();
        hand.shortens.usual = shortens;
        let eye = Eye { bury_m: Some(bury_d * d_m), ..Eye::over(pin) };
        let first = if locked { Lock::Passed } else { Lock::Stitched };
        let length_m = length_m + 300.0 * d_m;
        let s = made(&Gear::Sling { eyes: [Eye { lock: first, ..eye }, eye], length_m }, &rope, &hand);
        // Walked along the rope as it lies when made: first throat, bury, plain rope, second bury, second throat.
        let entry = at(&s, "E′");
        let finished = entry - s.buries_m[1] / (1.0 - shortens) + s.buries_m[1]
            + s.eyes[0].throat.reach_m + s.eyes[1].throat.reach_m;
        prop_assert!((finished * (1.0 + hand.sets.usual) - length_m).abs() < 1e-9);
        // The rope that was cut is all there: both tails and eyes, what the lock takes, and the way between the throats.
        let lock = if locked { 3.0 * d_m } else { 0.0 };
        let shift = if locked { 2.0 * d_m } else { 0.0 };
        let between = entry + s.buries_m[0] / (1.0 - shortens) - s.buries_m[0] - shift;
        let ends: f64 = s.buries_m.iter().sum::<f64>() + 2.0 * (s.eyes[0].half_m + s.eyes[1].half_m);
        prop_assert!((s.cut_m - ends - lock - between).abs() < 1e-9, "{} {}", s.cut_m, ends + lock + between);
        prop_assert!(at(&s, "H") > at(&s, "G"));
        for m in s.marks.iter().filter(|m| m.from == From::Throat) {
            prop_assert!(m.at_m > 0.0 && m.at_m < s.cut_m);
        }
    }
}
