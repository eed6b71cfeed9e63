//! The trip as its user meets it: the page of the line going over, and mistakes of a plan that it must find.

use spanwright::plan::PlanFile;
use spanwright::review::{Gravity, Review, at_rest};

use crate::common::Session;

const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");

fn demo_with(changes: &[(&str, &str)]) -> Review {
    let text = changes.iter().fold(DEMO.to_owned(), |t, (old, new)| {
        assert!(t.contains(old), "the plan does not hold “{old}”");
        t.replacen(old, new, 1)
    });
    let file = PlanFile::parse("changed", text).unwrap_or_else(|e| panic!("{}", e.show("changed")));
    assert!(file.is_sound(), "{}", file.show_faults());
    at_rest(&file).unwrap_or_else(|e| panic!("{e}"))
}

/// The page opens where the line hangs lowest; the keys slide its leading end as the screen shows it, and change the stage.
#[test]
fn the_line_goes_over_on_its_page() {
    for (width, height) in [(80, 24), (120, 40)] {
        let mut s = Session::demo(width, height);
        s.keys("2");
        let screen = s.screen();
        assert!(screen.contains("Over and down: line") && screen.contains("leading end"), "{screen}");
        assert!(screen.contains("planning aid"), "the caution stays: {screen}");
        insta::assert_snapshot!(format!("over_{width}"), s.marked());
        let share = |s: &mut Session| -> f64 {
            let screen = s.screen();
            let line = screen.lines().find(|l| l.contains("% over")).expect("a place");
            line.trim().split(' ').next().expect("a number").parse().expect("a number")
        };
        let here = share(&mut s);
        // B sends: to the left is onward.
        s.keys("left left");
        assert!(share(&mut s) > here, "{} after {here}", share(&mut s));
        for _ in 0..40 {
            s.keys("left");
        }
        assert!((share(&mut s) - 100.0).abs() < 1e-9);
        s.keys("up");
        assert!(s.screen().contains("Over and down: tag line"), "{}", s.screen());
        s.keys("1");
        assert!(!s.screen().contains("Over and down"), "{}", s.screen());
    }
}

/// A plan that says nothing of it is told what it would take, and is given a start that reads and is reviewed.
#[test]
fn a_start_of_a_crossing_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mine.ron");
    let (from, to) = (DEMO.find("    crossing: ").expect("there"), DEMO.find("    declared: ").expect("there"));
    std::fs::write(&path, format!("{}{}", &DEMO[..from], &DEMO[to..])).expect("written");
    let mut s = Session::open(&path, 120, 40);
    s.keys("w 2");
    assert!(s.screen().contains("does not say how the line gets over"), "{}", s.screen());
    s.keys("esc");
    s.app.run("start-crossing");
    s.keys("w");
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    let over = s.app.review.as_ref().and_then(|r| r.over.as_ref()).expect("reviewed");
    assert!(over.stages.len() == 3 && over.stages.iter().all(|s| s.fault.is_none()), "{over:?}");
    s.app.undo();
    assert!(s.app.file.plan.crossing.is_none());
}

/// What a rigger gets wrong on paper: each slip is said, by the rule that is for it, as gravely as it is meant.
#[test]
fn slips_of_a_crossing_are_found() {
    let tag = "length: \"80 m\", ends: (Spliced(), Spliced())";
    for (slip, rule, gravity) in [
        // A knot in the tag line, and a pull that it does not bear.
        (
            vec![
                ("hold: Sag(\"5 m\")", "hold: Sag(\"0.8 m\")"),
                (tag, "length: \"80 m\", ends: (Knotted(), Knotted())"),
            ],
            "stage-jump",
            Gravity::Caution,
        ),
        // A tag line as long as the gap.
        (vec![(tag, "length: \"64 m\", ends: (Spliced(), Spliced())")], "pulling-line-short", Gravity::Stop),
        // A pine under the line at half rigged, that it cleared on its way.
        (
            vec![(
                "        air: Air(",
                "        obstacles: {\"pine\": Obstacle(from: \"26 m\", to: \"32 m\", top: \"-2.2 m\")},\n        air: Air(",
            )],
            "snags",
            Gravity::Stop,
        ),
        // A brake of one turn.
        (
            vec![("hold: Sag(\"5 m\")", "hold: Sag(\"1 m\")"), ("brake_turns: 2.5", "brake_turns: 0.5")],
            "brake-by-hand",
            Gravity::Stop,
        ),
        // A cord that ends while the line is tight.
        (vec![("release_cord: \"10 m\"", "release_cord: \"0.5 m\"")], "release-cord-short", Gravity::Stop),
    ] {
        let r = demo_with(&slip);
        let found = r.findings.iter().find(|f| f.rule == rule && f.at == "crossing");
        assert_eq!(found.map(|f| f.gravity), Some(gravity), "{rule}: {:#?}", r.findings);
    }
    let sound = demo_with(&[]);
    let said: Vec<_> = sound.findings.iter().filter(|f| f.at == "crossing" && f.gravity != Gravity::Note).collect();
    assert!(said.is_empty(), "{said:#?}");
}

/// A weaker line never has a better factor, and holding tighter never pulls less.
#[test]
fn a_crossing_sways_the_right_way() {
    let hands = |sag: &str| {
        let r = demo_with(&[("hold: Sag(\"5 m\")", &format!("hold: Sag(\"{sag} m\")"))]);
        let over = r.over.expect("reviewed");
        over.stages.iter().filter_map(|s| s.hardest().map(|w| w.hands_n)).collect::<Vec<_>>()
    };
    let pulls: Vec<Vec<f64>> = ["1", "2", "4", "8"].iter().map(|s| hands(s)).collect();
    for pair in pulls.windows(2) {
        assert!(pair[0].iter().zip(&pair[1]).all(|(tight, slack)| tight > slack), "{pulls:?}");
    }
    // A parabola: the whole line's pull goes with one over its sag, but for its own weight at the edges.
    let line: Vec<f64> = pulls.iter().map(|p| p[2]).collect();
    assert!((line[0] / line[1] / 2.0 - 1.0).abs() < 0.05, "{line:?}");
}
