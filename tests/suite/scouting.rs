//! A first visit: sightings to places, what is assumed, what of it matters most, a plan of a few answers.

use std::sync::atomic::AtomicBool;

use spanwright::plan::sighted::Unmeasured;
use spanwright::plan::templates::{Answers, Visit, across, below, plan_text};
use spanwright::plan::{At, PlanFile, PointKind, Side};
use spanwright::review::{Axis, SEED, Unknown, at_rest, doubt};
use spanwright::sheets::{self, Kind};
use spanwright::units::Quantity as _;

use crate::common::Session;

fn read(text: &str) -> PlanFile {
    let file = PlanFile::parse("plan", text.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("plan")));
    assert!(file.is_sound(), "{}", file.show_faults());
    file
}

/// The demo with a stand beside A, seen from there, and a bolt seen from the stand.
fn demo(changes: &[(&str, &str)]) -> PlanFile {
    let text = changes.iter().fold(spanwright::cli::DEMO.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "no {old}");
        text.replacen(old, new, 1)
    });
    read(&text)
}

/// Places add up over stands, and so do squares of errors; by hand: a stand 41 m off at 131° on a line of 84°, 4° down, and a
/// bolt 44.2 m from there.
#[test]
fn sightings_add_up_over_stands() {
    let bolt = "\"A bolt 1\": Fixed(side: A, at: (\"-3.2 m\", \"1.3 m\", \"-0.1 m\")";
    let seen = "\"A bolt 1\": Fixed(side: A, at: Sighted(from: \"spur\", distance: \"44.2 m\", bearing: \"304 deg\", slope: \"4 deg\")";
    let stand = "    stands: {\"spur\": Stand(side: A, at: Sighted(distance: \"41 m\", bearing: \"131 deg\", slope: \"-4 deg\"))},\n    points: {\n";
    let file = demo(&[(bolt, seen), ("    points: {\n", stand)]);
    let PointKind::Fixed { at, .. } = &file.plan.points["A bolt 1"].kind else { panic!("fixed") };
    let (found, apart) = file.plan.located(Side::A, at).expect("it leads somewhere");
    assert_eq!(apart, None, "seen once");
    let leg = |d: f64, bearing: f64, slope: f64| {
        let (b, s) = ((bearing - 84.0).to_radians(), slope.to_radians());
        [d * s.cos() * b.cos(), -d * s.cos() * b.sin(), d * s.sin()]
    };
    let (one, two) = (leg(41.0, 131.0, -4.0), leg(44.2, 304.0, 4.0));
    for k in 0..3 {
        assert!((found.place[k] - one[k] - two[k]).abs() < 1e-9);
    }
    // Across the way seen: 2° of each, squares added.
    let off = 2f64.to_radians() * 4f64.to_radians().cos() * 41f64.hypot(44.2);
    let within = found.within_m();
    assert!((within.x.hypot(within.y) - off.hypot(0.3 * 2f64.sqrt())).abs() < 0.02, "{within} for {off}");
}

/// Of what is not known the span matters most here, and its doubt is told with what would settle it.
#[test]
fn doubt_says_which_missing_measurement_matters() {
    let assumed =
        "    assumed: {\"points.A bolt 2.at\": Assumed(within: \"0.4 m\", why: \"a sketch\")},\n    points: {\n";
    let file = demo(&[("    points: {\n", assumed)]);
    let review = at_rest(&file).unwrap_or_else(|why| panic!("{why}"));
    let scouted = review.scouted.as_ref().expect("assumed");
    assert_eq!(scouted.assumed.len(), 1);
    let stop = AtomicBool::new(false);
    let found = doubt(&file, &review, 400, SEED, &stop).expect("a rig").expect("not stopped");
    let of = |axis| Unknown::Place(Unmeasured::Point("A bolt 2".to_owned()), axis);
    for axis in [Axis::Along, Axis::Across, Axis::Up] {
        assert!(found.unknowns.iter().any(|u| u.what == of(axis)), "{axis:?} is drawn");
    }
    let words: Vec<String> = found.unknowns.iter().map(|u| u.what.words()).collect();
    assert!(words.iter().any(|w| w.contains("the place of A bolt 2")), "{words:?}");
    // What is measured is not drawn.
    let measured = demo(&[]);
    let plain = at_rest(&measured).unwrap_or_else(|why| panic!("{why}"));
    let without = doubt(&measured, &plain, 400, SEED, &stop).expect("a rig").expect("not stopped");
    assert!(!without.unknowns.iter().any(|u| u.what == of(Axis::Along)));
}

/// A visit becomes a plan: the gap by closed form, the ground at its places, what was not asked assumed and said.
#[test]
fn a_visit_becomes_a_plan() {
    let below = below("38 m at -62, 52 41 down").expect("two places");
    let visit = Visit { across: across("63 m at 2.5 deg").expect("seen"), below, ..Visit::default() };
    let file = read(&plan_text(&Answers { scouted: Some(visit), ..Answers::default() }));
    let site = &file.plan.site;
    assert!((site.span.si() - 62.94).abs() < 0.005 && (site.height_difference.si() - 2.75).abs() < 0.005);
    let ground: Vec<[f64; 2]> = site.ground.iter().map(|g| [g.0.si(), g.1.si()]).collect();
    for (got, want) in ground.iter().zip([[17.84, -33.55], [39.24, -34.12]]) {
        assert!((got[0] - want[0]).abs() < 0.006 && (got[1] - want[1]).abs() < 0.006, "{ground:?}");
    }
    let fixed = file.plan.points.values().filter(|p| matches!(p.kind, PointKind::Fixed { .. })).count();
    assert_eq!(file.plan.scouting.assumed.len(), 2 + fixed, "span, height difference and every anchor");
    let review = at_rest(&file).unwrap_or_else(|why| panic!("{why}"));
    assert!(review.findings.iter().any(|f| f.rule == "assumed-counts"));
    let off = review.scouted.as_ref().and_then(|s| s.span_within_m).expect("assumed");
    assert!((off - 0.3).abs() < 0.01);
    let solver = spanwright::review::in_view(&file).expect("a rig");
    let facts = sheets::Facts {
        file: &file,
        review: &review,
        solver: &solver,
        system: spanwright::units::System::Si,
        tried: None,
    };
    let page = sheets::sheet(Kind::Scout, &facts, &sheets::Stock::default(), "2026-05-30".parse().expect("a day"))
        .expect("a sheet");
    let text = page.as_text();
    for part in ["1. What is below", "the place of A bolt 1", "doubt PLAN", "A planning aid."] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

/// From the pencilled sheet to a plan in the workbench, box by box: ground first, from both lips; what was not said is
/// assumed, what is wrong is refused in words.
#[test]
fn a_visit_is_asked_for_box_by_box() {
    let mut s = Session::demo(120, 40);
    s.keys("@");
    assert!(s.screen().contains("1. What is below"), "{}", s.screen());
    s.type_text("38 m up");
    s.keys("enter");
    assert!(s.screen().contains("distance and slope down from a lip"), "{}", s.screen());
    for _ in 0..7 {
        s.keys("backspace");
    }
    for (text, on) in [
        ("38 -62, 52 41 down, B 20 -70, 12 60 down", "enter"),
        ("63 m at 2.5 deg", "enter"),
        ("two-bolts-sl", "enter"),
        ("2.5", "enter"),
        ("one-tree", "enter"),
        ("6", "enter"),
        ("", "enter"),
        ("2.2", "enter"),
        ("80 kg and 65 kg", "enter"),
        ("7, 18", "enter"),
        ("Alder Cut", "enter"),
    ] {
        s.type_text(text);
        s.keys(on);
    }
    let before = s.screen();
    assert!(before.contains("2 across") && before.contains("7, 18 m/s"), "{before}");
    s.keys("enter");
    s.catch_up();
    let plan = &s.app.file.plan;
    assert_eq!(plan.title, "Alder Cut");
    assert!((plan.site.span.si() - 62.94).abs() < 0.005 && (plan.site.air.storm.si() - 18.0).abs() < 1e-9);
    // From B's lip at 62.94 m and 2.75 m: out D cos s, down D sin s.
    let ground: Vec<[f64; 2]> = plan.site.ground.iter().map(|g| [g.0.si(), g.1.si()]).collect();
    let want = [[17.84, -33.55], [39.24, -34.12], [56.10, -16.044], [56.94, -7.64]];
    assert_eq!(ground.len(), 4, "{ground:?}");
    for w in want {
        assert!(
            ground.iter().any(|g| (g[0] - w[0]).abs() < 0.006 && (g[1] - w[1]).abs() < 0.006),
            "{w:?} in {ground:?}"
        );
    }
    let back = |point: &str| match &plan.points[point].kind {
        PointKind::Fixed { at: At::Place(place), .. } => place[0].si().abs(),
        _ => panic!("{point}"),
    };
    assert!((back("A bolt 1") - 2.5).abs() < 1e-9 && (back("B tree") - 6.0).abs() < 1e-9);
    assert!(plan.scouting.assumed.contains_key("points.B tree.at"));
    assert!(s.app.review.as_ref().is_some_and(|r| r.unsolved.is_empty() && r.scouted.is_some()), "{}", s.screen());
}

/// Ground seen from the lips carries the errors of laser and clinometer; 38 m at −62°: ± 0.23 m out, ± 0.28 m up (closed
/// form D cos s, D sin s).
#[test]
fn sighted_ground_has_its_errors() {
    let visit =
        Visit { across: (63.0, 2.5f64.to_radians()), below: below("38 -62").expect("seen"), ..Visit::default() };
    let file = read(&plan_text(&Answers { scouted: Some(visit), ..Answers::default() }));
    let review = at_rest(&file).unwrap_or_else(|why| panic!("{why}"));
    let seen = review.scouted.as_ref().expect("sighted").ground[0];
    assert!((seen.within_m[0] - 0.23).abs() < 0.005 && (seen.within_m[1] - 0.28).abs() < 0.005, "{seen:?}");
}

/// What is typed of a sighting, as people say it.
#[test]
fn sightings_are_read_as_they_are_said() {
    let [a, b] = [across("62.5 -1.5").expect("seen"), across("205 ft at 3 deg").expect("seen")];
    assert!((a.0 - 62.5).abs() < 1e-9 && (a.1.to_degrees() + 1.5).abs() < 1e-9);
    assert!((b.0 - 62.484).abs() < 1e-3 && (b.1.to_degrees() - 3.0).abs() < 1e-9);
    for wrong in ["", "63", "63 m at 90", "-5 3", "0 0", "m at"] {
        assert!(across(wrong).is_err(), "{wrong}");
    }
    assert_eq!(below("not known").map(|v| v.len()), Ok(0));
    assert!(below("38 62").is_err(), "what lies below is down");
    assert_eq!(below("B 20 -70, 12 -60, A 3 -80").map(|v| v.len()), Ok(3));
}
