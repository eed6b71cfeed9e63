//! A first visit: sightings to places, what is assumed, what of it matters most, a plan of a few answers.

use std::sync::atomic::AtomicBool;

use spanwright::plan::sighted::Unmeasured;
use spanwright::plan::templates::{Answers, Visit, plan_text};
use spanwright::plan::{PlanFile, PointKind, Side};
use spanwright::review::{Axis, SEED, Unknown, at_rest, doubt};
use spanwright::sheets::{self, Kind};
use spanwright::units::Quantity as _;

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
        assert!(found.unknowns.iter().any(|(u, _)| *u == of(axis)), "{axis:?} is drawn");
    }
    let words: Vec<String> = found.unknowns.iter().map(|(u, _)| u.words()).collect();
    assert!(words.iter().any(|w| w.contains("the place of A bolt 2")), "{words:?}");
    // What is measured is not drawn.
    let measured = demo(&[]);
    let plain = at_rest(&measured).unwrap_or_else(|why| panic!("{why}"));
    let without = doubt(&measured, &plain, 400, SEED, &stop).expect("a rig").expect("not stopped");
    assert!(!without.unknowns.iter().any(|(u, _)| *u == of(Axis::Along)));
}

/// A visit becomes a plan: the gap by closed form, the ground at its places, what was not asked assumed and said.
#[test]
fn a_visit_becomes_a_plan() {
    let below = vec![(38.0, -62f64.to_radians()), (52.0, -41f64.to_radians())];
    let visit = Visit { across: (63.0, 2.5f64.to_radians()), below };
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
