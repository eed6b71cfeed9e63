//! The trip as its user meets it: the page of the line going over, and mistakes of a plan that it must find.

use spanwright::plan::PlanFile;
use spanwright::review::{Gravity, Other, Review, Stands, at_rest};
use spanwright::units::Quantity as _;

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
    // Its questions, from the page; what is no answer is refused where it is typed.
    s.keys("a");
    assert!(s.screen().contains("Line over 1/5"), "{}", s.screen());
    s.keys("C enter");
    assert!(s.screen().contains("A or B"), "{}", s.screen());
    s.keys("ctrl-u B enter 4 space m enter enter 3 enter 1 2 space m enter w");
    let x = s.app.file.plan.crossing.as_ref().expect("written");
    assert!(x.sends == spanwright::plan::Side::B && x.people == 3 && x.release_cord.is_some(), "{x:?}");
    s.keys("esc w");
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
    // A tag line that holds 1.3 times what it is pulled with, where four times are asked for.
    let tag_of = |r: &Review| {
        let line = spanwright::review::Place::Crossing(spanwright::review::Passed::Line("tag line".to_owned()));
        let row = r.rows.iter().find(|row| row.place == line).expect("judged").clone();
        (row.demand_n, row.strength.counts_n().expect("rated"), row)
    };
    let (pull_n, keeps_n, _) = tag_of(&demo_with(&[]));
    let thin = format!("{:.4} kN", 1.3 * pull_n / (keeps_n / 9000.0) / 1e3);
    let items = format!(
        "    items: {{\"thin\": Item(class: HollowBraid, fibre: Hmpe, rating: Label(\"{thin}\"), diameter: \"3 mm\", stretch: [(\"1 kN\", \"0.8 %\")], mass_per_length: \"0.0055 kg/m\")}},\n    tensioning: Tensioning("
    );
    let weak = demo_with(&[
        ("item: \"hmpe-3\", length: \"80 m\"", "item: \"thin\", length: \"80 m\""),
        ("    tensioning: Tensioning(", &items),
    ]);
    let (.., row) = tag_of(&weak);
    assert!((row.factor - 1.3).abs() < 0.15 && row.verdict == spanwright::review::Verdict::Below, "{row:?}");
    // Over a ledge the sag that would do is said, and does.
    let ledge =
        "        obstacles: {\"ledge\": Obstacle(from: \"20 m\", to: \"40 m\", top: \"-5 m\")},\n        air: Air(";
    let low = demo_with(&[("        air: Air(", ledge)]);
    let line = low.over.as_ref().and_then(|o| o.stages.last()).expect("worked out");
    let sag = line.sag_would_do_m.expect("it comes too low");
    let found = low.findings.iter().find(|f| f.rule.starts_with("snags") && f.text.starts_with("line")).expect("said");
    assert!(found.text.contains("would do"), "{}", found.text);
    let heights = |sag: f64| {
        let r =
            demo_with(&[("        air: Air(", ledge), ("hold: Sag(\"5 m\")", &format!("hold: Sag(\"{sag:.3} m\")"))]);
        let s = r.over.expect("worked out").stages.pop().expect("the line");
        s.ways.iter().map(|w| w.height_m.expect("over ground") - w.needed_m).fold(f64::INFINITY, f64::min)
    };
    assert!(
        heights(0.995 * sag) >= 0.0 && heights(1.3 * sag) < 0.0,
        "{sag}: {} {}",
        heights(0.995 * sag),
        heights(1.3 * sag)
    );
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

/// A pulley set at hand: three to one on sheaves that keep e of the tension multiplies by 1 + e + e², its rope's strand at the
/// hand carries the rest, and each sheave twice that but for its own friction.
#[test]
fn a_pulley_set_takes_over() {
    use spanwright::review::{Hauled, Passed, Place};
    let e: f64 = 0.9;
    let by = 1.0 + e + e * e;
    let set = "set: Set(reeving: \"3:1\", sheave: \"pulley-rescue\", rope: \"static-rope-11\")";
    let review = demo_with(&[(
        "people: 1, each: \"0.3 kN\", release_cord",
        &format!("people: 1, each: \"0.3 kN\", {set}, release_cord"),
    )]);
    let demand = |place: Place| review.rows.iter().find(|r| r.place == place).expect("judged").demand_n;
    let over = review.over.as_ref().expect("worked out");
    let most = over.stages.iter().filter_map(|s| s.hardest().map(spanwright::review::Way::most_n)).fold(0.0, f64::max);
    for s in over.stages.iter().filter(|s| s.pulled_by.is_some()) {
        let n = s.hardest().expect("hauled").most_n();
        assert_eq!(s.with_set, Some((n / by / 300.0).ceil().max(1.0) as usize), "{}", s.name);
    }
    assert!((demand(Place::Crossing(Passed::SetRope)) / (most / by) - 1.0).abs() < 1e-9);
    assert!((demand(Place::Crossing(Passed::SetSheave)) / ((1.0 + e) * most / by) - 1.0).abs() < 1e-9);
    let all = review.rescued.as_ref().expect("worked out");
    let hands = all.places.iter().flat_map(|p| &p.towed).map(|t| t.hands_n.max(t.held_back_n)).fold(0.0, f64::max);
    assert!((demand(Place::Rescue(Hauled::SetRope)) / (hands / by) - 1.0).abs() < 1e-9);
    let t = all.places.iter().flat_map(|p| &p.towed).max_by(|a, b| a.hands_n.total_cmp(&b.hands_n)).expect("towed");
    assert_eq!(t.with_set, Some((t.hands_n / by / 300.0).ceil().max(1.0) as usize));
    // It is carried: its sheaves and its rope are on the gear list, and legs and masters are judged while somebody is towed.
    let towed = review.cases.iter().filter(|c| c.case.words().starts_with("towing")).count();
    assert_eq!(towed, 2 * all.places[0].towed.len(), "one state for each rope, on main and on the backup alone");
}

/// A day on the demo: the rig that hangs there is judged with what was read, the readings are held against the model, what
/// slipped is said with the metres, and a day that the plan does not have is refused with those that it has.
#[test]
fn a_day_is_judged_as_rigged() {
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/plans/kestrel-gap-62m.ron");
    let run = |args: &[&str]| {
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_spanwright")).args(args).output().expect("runs");
        let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
        (out.status.code(), text(&out.stdout), text(&out.stderr))
    };
    let (code, out, _) = run(&["day", plan, "2026-10-03"]);
    assert_eq!(code, Some(1), "it fails as planned and as rigged: {out}");
    for says in ["2.15 kN at A", "disagrees", "came through a lock", "stretch ×", "span 62 m → 62.4 m"] {
        assert!(out.contains(says), "no “{says}”: {out}");
    }
    let (code, _, said) = run(&["day", plan, "2026-10-04"]);
    assert!(code == Some(2) && said.contains("2026-10-03"), "{said}");
}

/// A line that is what the plan says it is reads as computed; one of twice the stretch says so.
#[test]
fn readings_of_the_model_agree_with_it() {
    use spanwright::mechanics::G;
    use spanwright::mechanics::gauge::Gauged;
    use spanwright::review::{day_read, in_view};
    let parsed = |t: String| PlanFile::parse("day", t).unwrap_or_else(|e| panic!("{}", e.show("day")));
    let file = parsed(DEMO.to_owned());
    let solver = in_view(&file).unwrap_or_else(|f| panic!("{f:?}"));
    let rig = &solver.rig;
    let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
    let main = rig.line.elements.iter().max_by(|x, y| x.length_m.total_cmp(&y.length_m)).expect("webbing");
    let line = Gauged {
        span_m: (b - a).truncate().length(),
        rise_m: b.z - a.z,
        weight_n_per_m: spanwright::review::hung_per_m(rig) * G,
        law: std::sync::Arc::clone(&main.law),
    };
    for kappa in [0.7, 1.0, 2.0] {
        let [length_m, _] = line.standing(kappa, 2500.0).expect("hangs");
        let [_, sag_m, _] = line.with_walker(kappa, length_m, 80.0 * G, 0.5).expect("at rest");
        let (from, to) = (DEMO.find("    days: [").expect("there"), DEMO.find("    declared: ").expect("there"));
        let day = format!(
            "    days: [Day(date: \"2026-10-05\", read: [Reading(tension: \"2.5 kN\"), Reading(sag: \"{sag_m:.6} m\", walker: (0.5, \"80 kg\"))])],\n"
        );
        let file = parsed(format!("{}{day}{}", &DEMO[..from], &DEMO[to..]));
        let read = day_read(&file, &file.plan.days[0]);
        let [found, sd] = read.stretch.expect("a stretch");
        assert!((found / kappa - 1.0).abs() < 1e-3, "{found} for {kappa}");
        assert!(sd > 0.02 && sd < 0.5, "{sd}");
        let off = read.compared[0].off().expect("computed");
        assert!((off.abs() < 0.1) == (kappa == 1.0), "{off} at {kappa}");
        // Where the readings disagree, stretch is among what is likely, and as much of it.
        let likely = read.likely.iter().find(|l| l.cause == Other::Stretch);
        assert!(kappa == 1.0 || likely.is_some_and(|l| (l.by / kappa - 1.0).abs() < 0.02), "{read:?}");
    }
}

/// As low as the ground allows is as low as the plan asks for; where nothing stops it, a quarter of the gap.
#[test]
fn what_is_held_is_held() {
    let least = |changes: &[(&str, &str)]| {
        let over = demo_with(changes).over.expect("reviewed");
        let faults: Vec<_> = over.stages.iter().filter_map(|s| s.fault.clone()).collect();
        assert!(faults.is_empty() && over.stages.iter().all(|s| s.ways.iter().all(|w| w.certified)), "{faults:?}");
        let line = over.stages.last().expect("the line").clone();
        (
            line.lowest().and_then(|w| w.height_m).expect("over ground"),
            line.ways.iter().map(|w| w.sag_m).fold(0.0, f64::max),
        )
    };
    let ledge =
        "        obstacles: {\"ledge\": Obstacle(from: \"20 m\", to: \"40 m\", top: \"-9 m\")},\n        air: Air(";
    let (height, _) = least(&[("hold: Sag(\"5 m\")", "hold: Clear(\"3 m\")"), ("        air: Air(", ledge)]);
    assert!((height - 3.0).abs() < 1e-6, "{height}");
    let (height, sag) = least(&[("hold: Sag(\"5 m\")", "hold: Clear(\"3 m\")")]);
    assert!(height > 3.0 && (sag - 0.25 * 62.0).abs() < 0.1, "{height} {sag}");
}

/// Whatever a plan leaves out or has otherwise, a day reaches its rig: people and air that it does not state, a line that is cut
/// to its length, a tension that was read at B, a calm that takes nothing off the wind it is walked in.
#[test]
fn a_day_reaches_any_plan() {
    use spanwright::review::as_rigged;
    use spanwright::review::in_view;
    let rigged = |changes: &[(&str, &str)]| {
        let text = changes.iter().fold(DEMO.to_owned(), |t, (old, new)| {
            assert!(t.contains(old), "the plan does not hold “{old}”");
            t.replacen(old, new, 1)
        });
        let file = PlanFile::parse("day", text).unwrap_or_else(|e| panic!("{}", e.show("day")));
        let out = as_rigged(&file, &file.plan.days[0]).unwrap_or_else(|e| panic!("{e}"));
        let solver = in_view(&out).unwrap_or_else(|f| panic!("{f:?}"));
        let line_n = solver.standing.case.line_tension_n(&solver.standing.solution);
        (out, line_n)
    };
    let heaviest = |f: &PlanFile| f.plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
    let (file, line_n) = rigged(&[]);
    assert!((line_n[0] - 2150.0).abs() < 1.0 && (heaviest(&file) - 83.0).abs() < 1e-9, "{line_n:?}");
    assert!((file.plan.site.air.wind.si() - 10.0).abs() < 1e-9, "the plan's own wind stays");
    assert!((file.plan.site.air.rigged_at.si() - 286.15).abs() < 1e-9, "of the reading that it hangs with");
    assert_eq!(file.plan.people.walkers.len(), 2, "who was planned stays");
    let people = "    people: People(walkers: [\"80 kg\"], leash: \"leash\", seated: (\"4 m\", \"4 m\")),\n";
    let air = "        air: Air(rigged_at: \"12 degC\", coldest: \"-2 degC\", warmest: \"26 degC\", wind: \"10 m/s\", storm: \"25 m/s\"),\n";
    let (file, _) = rigged(&[(people, ""), (air, "")]);
    assert!((heaviest(&file) - 83.0).abs() < 1e-9 && (file.plan.site.air.rigged_at.si() - 286.15).abs() < 1e-9);
    let (_, line_n) = rigged(&[("length: Solve(standing: \"2.5 kN\", at: A)", "length: \"60.6 m\"")]);
    assert!((line_n[0] - 2150.0).abs() < 1.0, "{line_n:?}");
    let (_, line_n) = rigged(&[("tension: \"2.15 kN\"", "tension: \"2.30 kN\", at: B")]);
    assert!((line_n[1] - 2300.0).abs() < 1.0, "{line_n:?}");
}

/// What is not solved is not judged by the nothing that it then sees.
#[test]
fn a_stage_without_a_shape_has_no_factor() {
    use spanwright::review::{Place, Verdict};
    let r = demo_with(&[("hold: Sag(\"5 m\")", "hold: Brake(\"0.005 kN\")")]);
    let rows: Vec<_> = r.rows.iter().filter(|row| matches!(row.place, Place::Crossing(_))).collect();
    assert!(!rows.is_empty() && rows.iter().all(|row| row.verdict == Verdict::Unsolved), "{rows:#?}");
    assert_eq!(r.verdict, Verdict::Unsolved);
    // A line that lies in a pine while it is half rigged is told to stop, though it passed over it on its way.
    let pine =
        "        obstacles: {\"pine\": Obstacle(from: \"26 m\", to: \"32 m\", top: \"-0.5 m\")},\n        air: Air(";
    let r = demo_with(&[("hold: Sag(\"5 m\")", "hold: Sag(\"1 m\")"), ("        air: Air(", pine)]);
    let half = r.findings.iter().find(|f| f.rule == "snags" && f.text.starts_with("half-rigged"));
    assert_eq!(half.map(|f| f.gravity), Some(Gravity::Stop), "{:#?}", r.findings);
}

/// The page of a rescue opens in the middle of the main line; the keys slide who hangs, and change the line.
#[test]
fn somebody_is_towed_in_on_its_page() {
    for (width, height) in [(80, 24), (120, 40)] {
        let mut s = Session::demo(width, height);
        s.keys("4");
        let screen = s.screen();
        assert!(screen.contains("Rescue: on main") && screen.contains("way in"), "{screen}");
        assert!(screen.contains("planning aid"), "the caution stays: {screen}");
        insta::assert_snapshot!(format!("rescue_{width}"), s.marked());
        let hangs = |s: &mut Session| -> f64 {
            let screen = s.screen();
            let line = screen.lines().find(|l| l.contains("from A ·")).expect("a place");
            line.trim().split(' ').nth(1).expect("a number").parse().expect("a number")
        };
        let here = hangs(&mut s);
        s.keys("right right");
        assert!(hangs(&mut s) > here);
        for _ in 0..40 {
            s.keys("left");
        }
        assert!(hangs(&mut s) < 3.0);
        s.keys("down");
        assert!(s.screen().contains("Rescue: on the backup alone"), "{}", s.screen());
        s.keys("2");
        assert!(s.screen().contains("Over and down"), "{}", s.screen());
        s.keys("4 1");
        assert!(!s.screen().contains("way in"), "{}", s.screen());
    }
}

/// A plan that says nothing of it is told what it would take, and is given a start that reads and is reviewed.
#[test]
fn a_start_of_a_rescue_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mine.ron");
    let (from, to) = (DEMO.find("    rescue: ").expect("there"), DEMO.find("    days: ").expect("there"));
    std::fs::write(&path, format!("{}{}", &DEMO[..from], &DEMO[to..])).expect("written");
    let mut s = Session::open(&path, 120, 40);
    s.keys("w 4");
    assert!(s.screen().contains("does not say how somebody gets off"), "{}", s.screen());
    s.keys("a enter enter enter enter enter w");
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    let all = s.app.review.as_ref().and_then(|r| r.rescued.as_ref()).expect("reviewed");
    assert!(all.places.iter().all(|p| p.certified && p.towed.len() == 2), "{all:?}");
    s.app.undo();
    assert!(s.app.file.plan.rescue.is_none());
}

/// What a rigger gets wrong about a rescue: each is said, by the rule that is for it, as gravely as it is meant.
#[test]
fn slips_of_a_rescue_are_found() {
    let knots = "ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\"))), kept";
    let (short, rope) = (format!("length: \"45 m\", {knots}"), format!("length: \"30 m\", {knots}"));
    let (long, rope_b) = (format!("length: \"80 m\", {knots}"), format!("length: \"30 m\", {knots}"));
    for (slip, rule, gravity) in [
        // Ropes that do not meet in the middle, and nothing to lower with.
        (
            vec![(short.as_str(), rope.as_str()), (long.as_str(), rope_b.as_str()), ("lower: \"65 m\", ", "")],
            "rescue-out-of-reach",
            Gravity::Stop,
        ),
        // A drill that took half as long again as may be.
        (vec![("took: \"12 min\"", "took: \"22 min\"")], "rescue-slow", Gravity::Stop),
        // One pair of hands on a line that hangs deep.
        (
            vec![
                (
                    "set: Set(reeving: \"3:1\", sheave: \"pulley-rescue\", rope: \"static-rope-11\"),\n        lower: \"65 m\", ",
                    "\n        ",
                ),
                ("hands_a: 2, hands_b: 2", "hands_a: 1, hands_b: 1"),
            ],
            "rescue-pull",
            Gravity::Stop,
        ),
    ] {
        let review = demo_with(&slip);
        let found = review.findings.iter().find(|f| f.rule == rule).unwrap_or_else(|| panic!("{rule} is silent"));
        assert_eq!(found.gravity, gravity, "{rule}: {}", found.text);
        println!("{rule}: {}", found.text);
    }
}

/// Ropes that do not reach the middle over a landing: that only lowering is left is said, and a slow drill is slow there too.
#[test]
fn lowering_takes_its_time() {
    let knots = "ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\"))), kept";
    let (a, b) = (format!("length: \"45 m\", {knots}"), format!("length: \"80 m\", {knots}"));
    let short = format!("length: \"30 m\", {knots}");
    let ropes = [(a.as_str(), short.as_str()), (b.as_str(), short.as_str())];
    let found = |changes: &[(&str, &str)], rule: &str| {
        let review = demo_with(changes);
        let of = review.findings.into_iter().filter(|f| f.rule == rule);
        of.map(|f| (f.gravity, f.text)).collect::<Vec<_>>()
    };
    let only = found(&ropes, "rescue-lowered-only");
    assert!(only.len() == 1 && only[0].0 == Gravity::Caution && only[0].1.contains("of rope"), "{only:?}");
    let slow = [&ropes[..], &[("took: \"12 min\"", "took: \"40 min\"")]].concat();
    let slow = found(&slow, "rescue-slow");
    // One stretch from edge to edge: no place is passed over because it is lowered from.
    assert!(slow.len() == 1 && slow[0].1.contains("from 1.96 m to"), "{slow:?}");
}

/// What is read at B is a reading like one at A; what a later day does not say does not mend an earlier one.
#[test]
fn readings_at_b_and_earlier_days_count() {
    let found = |changes: &[(&str, &str)], rule: &str| {
        let review = demo_with(changes);
        review.findings.into_iter().filter(|f| f.rule == rule).map(|f| f.text).collect::<Vec<_>>()
    };
    let at_b = ("tension: \"2.15 kN\",", "tension: \"1.5 kN\", at: B,");
    let lost = found(&[at_b], "lost-tension");
    assert!(lost.len() == 1 && lost[0].starts_with("1.50 kN"), "{lost:?}");
    let slips = ("tail_b: \"10 mm\"", "tail_b: \"60 mm\"");
    let empty = ("    days: [", "    days: [Day(date: \"2026-10-09\", by: \"x\"), ");
    for later in [&[slips][..], &[slips, empty][..]] {
        assert_eq!(found(later, "tail-drawn-in").len(), 1, "{later:?}");
        assert_eq!(found(later, "readings-disagree").len(), 1, "the last day that read something: {later:?}");
    }
    let looked =
        ("    days: [", "    days: [Day(date: \"2026-10-09\", by: \"x\", events: [LookedOver(\"locked anew\")]), ");
    assert!(found(&[slips, looked], "tail-drawn-in").is_empty());
}

/// The release is asked to let go a line that stands a twentieth over its tension, and is judged by what it holds.
#[test]
fn a_release_is_judged() {
    use spanwright::review::{Passed, Place, Verdict};
    let row = |holds: &str| {
        let review = demo_with(&[("release_rating: Judged(\"18 kN\"", holds)]);
        review.rows.into_iter().find(|r| r.place == Place::Crossing(Passed::Release)).expect("judged")
    };
    let strong = row("release_rating: Judged(\"18 kN\"");
    assert!((strong.demand_n / (1.05 * 2500.0) - 1.0).abs() < 0.02 && strong.verdict == Verdict::Meets, "{strong:?}");
    assert_eq!(row("release_rating: Judged(\"6 kN\"").verdict, Verdict::Below);
}

/// A day with nothing but a pulse of half the plan's time: it was likely counted one way.
#[test]
fn a_lone_pulse_may_be_of_one_way() {
    let said = |pulse: &str| {
        let review = demo_with(&[
            ("Reading(tension: \"2.62 kN\"),", &format!("Reading(pulse: \"{pulse} s\"),")),
            ("Reading(after: \"1 h\", tension: \"2.15 kN\", temperature: \"13 degC\"),", ""),
            ("through: Through(from: \"0.3 kN\", length: \"0.86 m\"),", ""),
        ]);
        review.findings.iter().any(|f| f.rule == "readings-disagree" && f.text.contains("counted one way?"))
    };
    // There and back it is 0.82 s by 2 L √(m / T).
    assert!(said("0.41") && !said("0.82"));
}

/// Hand-tight over a pine: the tension that would do is said, and does.
#[test]
fn the_hand_tension_that_clears_is_said() {
    let pine =
        "        obstacles: {\"pine\": Obstacle(from: \"26 m\", to: \"32 m\", top: \"-2.5 m\")},\n        air: Air(";
    let half = |changes: &[(&str, &str)]| {
        let review = demo_with(&[&[("        air: Air(", pine)], changes].concat());
        let said = review.findings.iter().any(|f| f.rule == "half-rigged-low");
        (review.over.and_then(|o| o.half_rigged).expect("hangs"), said)
    };
    let (low, said) = half(&[]);
    assert!(said && low.height_m.expect("over it") < low.needed_m, "{low:?}");
    let would_do_n = low.would_do_n.expect("less than it stands with");
    let held = |times: f64| {
        half(&[(
            "release_cord: \"10 m\"",
            &format!("half_rigged: \"{} N\", release_cord: \"10 m\"", times * would_do_n),
        )])
    };
    assert!(!held(1.005).1 && held(0.98).1, "{would_do_n}");
}

/// Two who hang at once on one anchor are both on it.
#[test]
fn people_on_one_anchor_add_up() {
    use spanwright::review::{Place, TiePiece};
    let review = demo_with(&[]);
    let on = |tie: &str| Place::Tie(tie.to_owned(), TiePiece::Anchor("A bolt 6".to_owned()));
    let one = 2.0 * 80.0 * spanwright::mechanics::G;
    for tie in ["A left", "A right"] {
        let row = review.rows.iter().find(|r| r.place == on(tie)).expect("judged");
        // Two at the lip while somebody is rescued, each asked for twice the weight.
        assert!((row.demand_n / (2.0 * one) - 1.0).abs() < 1e-9, "{tie}: {} {one}", row.demand_n);
    }
}

/// The page of the edges comes up by its key, step by step; a plan without ties is told what it takes, and given a start.
#[test]
fn edges_come_up_and_ties_are_written() {
    let mut s = Session::demo(120, 40);
    s.keys("5");
    assert!(s.screen().contains("A ✓ 1 on A left") && s.screen().contains("anchors  step 1 of 11"), "{}", s.screen());
    s.keys("right right");
    assert!(
        s.screen().contains("line over  step 3 of 11") && s.screen().contains("1 on A left, A right"),
        "{}",
        s.screen()
    );
    s.keys("p");
    assert!(s.screen().contains("anchors hold") && s.screen().contains("line over"), "{}", s.screen());
    // Who is left untied comes first, in words; a tie that lets over is drawn so.
    let few = DEMO.replace("\"strip\": Work(a: [\"A left\"]", "\"strip\": Work(a: []");
    let few = few.replace("length: \"6.5 m\", ends", "length: \"8.1 m\", ends");
    let mut s = Session::text(&few, 120, 40);
    s.keys("5");
    assert!(s.screen().contains("strip") && s.screen().contains("A ✗ 1 at the lip, held 0"), "{}", s.screen());
    assert!(s.screen().contains("0.9 m over, falls 1.9 m"), "{}", s.screen());
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mine.ron");
    let (from, to) = (DEMO.find("    ties: ").expect("there"), DEMO.find("    days: ").expect("there"));
    std::fs::write(&path, format!("{}{}", &DEMO[..from], &DEMO[to..])).expect("written");
    let mut s = Session::open(&path, 120, 40);
    s.keys("w 5");
    assert!(s.screen().contains("does not say what people hang on"), "{}", s.screen());
    s.keys("a enter enter enter enter w");
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    let edges = s.app.review.as_ref().and_then(|r| r.edges.as_ref()).expect("reviewed");
    assert!(edges.ties.len() == 2 && edges.ties.iter().all(|t| t.lets_over.is_none()), "{edges:?}");
    // What the line does not need comes first.
    assert_eq!(s.app.file.plan.ties["A tie"].anchors, ["A bolt 6"]);
    s.app.undo();
    assert!(s.app.file.plan.ties.is_empty());
}

/// Figures of a friend's card: what each slip that riggers make comes to is named, on the side that it errs. The slips are
/// worked out here by their own arithmetic from the figures of the demo.
#[test]
fn slips_of_a_card_are_named() {
    for (old, new, stands, slip) in [
        ("says: \"0.82 s\"", "says: \"0.41 s\"", Stands::Flatters, "one way"),
        // The backup as long as the line under its locks, 60.9 m.
        ("says: \"64 m\"", "says: \"60.5 m\"", Stands::Flatters, "excess left out"),
        ("says: \"23.5 kN\", by: \"k.\"", "says: \"47 kN\", by: \"k.\"", Stands::Flatters, "two that share"),
        ("says: \"38 m\", by: \"k.\"", "says: \"32 m\", by: \"k.\"", Stands::Flatters, "stays at the edge"),
        ("says: \"38 m\", by: \"k.\"", "says: \"62 m\", by: \"k.\"", Stands::Cautious, "the span"),
        // A height that leaves the sag out: from A's level straight to B's, to the valley floor under the middle.
        // From the straight line, A's level to B's 3 m over it, down to the ground between its points at 30 m and 57 m.
        (
            "Claim(what: TowRope",
            "Claim(what: Clear(0.5), says: \"47.3 m\"), Claim(what: TowRope",
            Stands::Flatters,
            "without its sag",
        ),
    ] {
        let review = demo_with(&[(old, new)]);
        let off: Vec<_> = review.claims.iter().filter(|c| c.stands != Stands::Agrees).collect();
        let [one] = off[..] else { panic!("{new}: {off:?}") };
        assert_eq!(one.stands, stands, "{new}: {one:?}");
        assert!(one.slip.as_ref().is_some_and(|s| s.contains(slip)), "{new}: {one:?}");
    }
    // A car on a slope: with the slope left out it holds its weight times its friction.
    let bad = include_str!("../../plans/crow-steps-44m.ron");
    let file = PlanFile::parse("bad", bad.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("bad")));
    let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
    let car = review.claims.iter().find(|c| c.what.contains("B car")).expect("claimed");
    assert!((1600.0 * 9.80665 * 0.4 - car.says).abs() < 50.0 && car.slip.as_ref().is_some_and(|s| s.contains("slope")));
}

/// What the program works out for a day, read back with one thing other than said: that thing is among what is likely, and so
/// much of it as was put in. What it works out is held against figures from elsewhere in `outside_trip`.
#[test]
fn single_causes_are_found() {
    let readings = |walker: &str, later: &str| {
        format!(
            "read: [Reading(tension: \"2.62 kN\"), Reading(after: \"1 h\", tension: \"{later} kN\", temperature: \"9 degC\"), Reading(after: \"1.2 h\", sag: \"{walker} m\", walker: (0.5, \"83 kg\"))],\n        "
        )
    };
    let (from, to) = (DEMO.find("read: [\n").expect("there"), DEMO.find("through: Through(").expect("there"));
    let day = |read: &str| {
        let text = format!("{}{read}{}", &DEMO[..from], &DEMO[to..])
            .replace("through: Through(from: \"0.3 kN\", length: \"0.86 m\"),", "");
        let file = PlanFile::parse("day", text).unwrap_or_else(|e| panic!("{}", e.show("day")));
        assert!(file.is_sound(), "{}", file.show_faults());
        at_rest(&file).unwrap_or_else(|e| panic!("{e}")).day.expect("a day")
    };
    // What the model itself has: no disagreement.
    let first = day(&readings("3.5", "2.45"));
    let ours = |k: usize| first.compared[k].computed.expect("computed")[0];
    let (later, sag) = (ours(0) / 1e3, ours(1));
    let agrees = day(&readings(&format!("{sag:.3}"), &format!("{later:.3}")));
    assert!(!agrees.disagrees() && agrees.likely.is_empty(), "{agrees:?}");
    // Read to the feet: lower by what hangs under the rings.
    // The demo's leash, 1.4 m and its knots and rings, and 1.2 m of a body.
    let under = 1.4 + 1.2;
    let feet = day(&readings(&format!("{:.3}", sag + under), &format!("{later:.3}")));
    assert!(feet.disagrees() && feet.likely.iter().any(|l| l.cause == Other::ToTheFeet), "{feet:?}");
    // A lock that let something through: less tension later than creep leaves.
    let alone = format!(
        "read: [Reading(tension: \"2.62 kN\"), Reading(after: \"1 h\", tension: \"{:.3} kN\", temperature: \"9 degC\")],\n        ",
        later - 0.4
    );
    let slipped = day(&alone);
    let came = slipped.likely.iter().find(|l| l.cause == Other::Slipped).unwrap_or_else(|| panic!("{slipped:?}"));
    assert!(slipped.disagrees() && came.by > 0.05 && came.by < 0.2, "{slipped:?}");
}

/// The pages by their digits, the day's among them; a day is written, today, with nothing read.
#[test]
fn the_day_comes_up_and_is_written() {
    let mut s = Session::demo(120, 40);
    s.keys("3");
    let screen = s.screen();
    for words in ["As rigged 2026-10-03", "measured", "tension at A, after", "-3.1 σ", "an anchor came", "tail B"] {
        assert!(screen.contains(words), "{words}: {screen}");
    }
    s.keys("p");
    assert!(s.screen().contains("being worked out"), "the screen does not wait for it: {}", s.screen());
    let mut s = Session::demo(120, 40);
    s.study_each = true;
    s.keys("3 p");
    assert!(s.screen().contains("judged with") && s.screen().contains("measured"), "{}", s.screen());
    s.keys("esc I enter k . enter 6 2 . 1 space m enter 2 . 5 5 space k N enter enter");
    assert_eq!(s.app.file.plan.days.len(), 2, "{}", s.screen());
    let day = s.app.file.plan.days.last().expect("written");
    assert!(day.by == "k." && day.standing().is_some_and(|(_, n)| (n.si() - 2550.0).abs() < 1e-6), "{day:?}");
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    s.keys("esc I enter enter enter enter enter");
    assert_eq!(s.app.file.plan.days.len(), 2, "one a day");
    s.keys("esc esc");
    s.app.undo();
    assert_eq!(s.app.file.plan.days.len(), 1);
}

/// A page that is asked for while the plan is being reviewed opens when that is done, unless another key is pressed first.
#[test]
fn a_page_waits_for_its_review() {
    for (digit, words) in
        [("2", "Over and down"), ("3", "As rigged"), ("4", "Rescue: on main"), ("5", "Edges: anchors")]
    {
        let mut s = Session::demo(120, 40);
        s.select_run("A leg 2");
        s.review_each = false;
        s.keys(&format!("+ {digit}"));
        let screen = s.screen();
        assert!(screen.contains("opens when the review is done") && !screen.contains(words), "{digit}: {screen}");
        s.catch_up();
        assert!(s.screen().contains(words), "{digit}: {}", s.screen());
        s.review_each = false;
        s.keys(&format!("1 + {digit} down"));
        s.catch_up();
        assert!(!s.screen().contains(words), "{digit}: another key calls it off: {}", s.screen());
    }
}

/// A day on the demo: sketched and shaped, printed and packed, rigged over, read, reviewed as it hangs, logged, brought home.
#[test]
fn a_day_on_the_demo() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).display().to_string();
    let (plan, club) = (at("kestrel-gap-62m.ron"), at("club.ron"));
    // At home: the plan has no day yet.
    let (start, rest) = DEMO.split_once("    days: [Day(").expect("a day");
    let rest = rest.split_once("    )],\n").expect("its end").1;
    std::fs::write(&plan, format!("{start}{rest}")).expect("written");
    std::fs::write(&club, include_str!("../../assets/club-gear.ron")).expect("written");
    let run = |args: &[&str]| {
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_spanwright")).args(args).output().expect("runs");
        let text = |b: Vec<u8>| String::from_utf8(b).expect("utf-8");
        (out.status.code().unwrap_or(-1), text(out.stdout), text(out.stderr))
    };
    // Sketched: a leg a little longer, and saved.
    let open = || {
        let path = std::path::Path::new(&plan);
        let file = PlanFile::open(path).expect("reads");
        let settings = spanwright::app::Settings::default();
        Session::new(spanwright::app::App::new(file, Some(path.to_owned()), settings), 120, 40)
    };
    let mut s = open();
    s.select_run("A leg 2");
    s.keys("+ + 2");
    assert!(s.screen().contains("Over and down"), "{}", s.screen());
    s.keys("right right 4");
    assert!(s.screen().contains("Rescue"), "{}", s.screen());
    s.keys("1 I enter enter enter enter enter esc s");
    assert_eq!(s.app.file.plan.days.len(), 1, "a start of the day is written: {:?}", s.app.log.last());
    // Printed and packed.
    for (kind, file) in [("card", "card.pdf"), ("gear", "gear.pdf")] {
        let owned: &[&str] = if kind == "gear" { &["--inventory", &club] } else { &[] };
        let to = at(file);
        let args = ["sheet", kind, &plan, "-o", &to, "--on", "2026-10-02"];
        let all: Vec<&str> = args.into_iter().chain(owned.iter().copied()).collect();
        let (code, _, err) = run(&all);
        assert_eq!(code, 0, "{err}");
        assert!(std::fs::read(at(file)).expect("written").starts_with(b"%PDF"));
    }
    let (code, out, err) = run(&["gear", "out", &plan, "--inventory", &club, "--on", "2026-10-02"]);
    assert!(code == 0 && out.contains("W25-3"), "{err}");
    // Read at the line, and written into the day.
    let day = DEMO.split_once("    days: [").expect("a day").1.split_once("    )],\n").expect("its end").0;
    let text = std::fs::read_to_string(&plan).expect("there");
    let today = spanwright::app::today();
    let empty = format!("days: [Day(date: \"{today}\", read: [])]");
    assert!(text.contains(&empty), "{text}");
    std::fs::write(&plan, text.replace(&empty, &format!("days: [{day})]"))).expect("written");
    // The rig as it hangs, by the page and by the check.
    let mut s = open();
    s.study_each = true;
    s.keys("3");
    let screen = s.screen();
    assert!(screen.contains("As rigged") && screen.contains("an anchor came"), "{screen}");
    let (code, out, err) = run(&["check", &plan, "--day", "2026-10-03", "--all"]);
    let out = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(code == 1 && out.contains("Verdict: ✗ below") && out.contains("standing 2.15 kN"), "{out}{err}");
    // Logged and brought home.
    let (code, out, err) = run(&["gear", "day", &plan, "--inventory", &club, "--on", "2026-10-04"]);
    assert!(code == 0 && out.contains("2026-10-03 of kestrel-gap-62m written into the logs of W25-3"), "{out}{err}");
    let (code, out, err) = run(&["gear", "back", &plan, "--inventory", &club, "--rest-back", "--on", "2026-10-04"]);
    assert!(code == 0 && out.contains("home from kestrel-gap-62m") && out.contains("lost: nothing"), "{out}{err}");
    let out = run(&["gear", "list", &club, "--on", "2026-10-04"]).1;
    let line = |id: &str| out.lines().find(|l| l.starts_with(id)).unwrap_or_else(|| panic!("{out}")).to_owned();
    assert!(line("W25-3").contains("may come") && line("W25-3").contains("days 2, falls 23"), "{}", line("W25-3"));
}

/// Every figure of the trip has its reasons, with arithmetic that a pencil follows.
#[test]
fn figures_of_the_trip_have_their_why() {
    let file = PlanFile::parse("demo", DEMO.replace("length: \"3.6 m\"", "length: \"5 m\"")).expect("reads");
    let review = at_rest(&file).expect("a rig");
    let why = |name: &str| {
        spanwright::sheets::why::why(&file, &review, name, spanwright::units::System::Si)
            .unwrap_or_else(|| panic!("{name}"))
    };
    for (name, words) in [
        ("over", ["w L² / 8 d", "e^(μθ)", "independent check"]),
        ("rescue", ["W × (slope of the path + μ)", "alarm, kit", "independent check"]),
        ("edge", ["held back", "m g (h + δ)", "alone"]),
        ("day", ["2.15 kN", "Σ ((measured", "stretch ×"]),
    ] {
        let told = why(name).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.iter().all(|w| told.contains(w)), "{name}: {told}");
    }
    // The pencil and the net agree where the line hangs level and all the way: within what the joint and the rise make.
    let over = review.over.as_ref().expect("a crossing");
    for stage in &over.stages {
        let last = stage.ways.last().expect("over");
        let x = || last.shape_m.iter().map(|p| p[0]);
        let span = x().fold(f64::NEG_INFINITY, f64::max) - x().fold(f64::INFINITY, f64::min);
        let level = stage.weight_n_per_m * span * span / (8.0 * last.sag_m);
        // H² + (w L / 2 - H rise / L)² at the lower edge, A.
        let rise = last.shape_m.iter().map(|p| p[1]).fold(f64::NEG_INFINITY, f64::max);
        let at_a = level.hypot(0.5 * stage.weight_n_per_m * span - level * rise / span);
        assert!((last.receiving_n / at_a - 1.0).abs() < 0.02, "{}: {} and {at_a}", stage.name, last.receiving_n);
    }
    let bare = PlanFile::parse(
        "bare",
        DEMO.replace("    crossing: Crossing(", "    /*").replace("    rescue: Rescue(", "*/    rescue: Rescue("),
    );
    let bare = bare.unwrap_or_else(|e| panic!("{}", e.show("bare")));
    let review = at_rest(&bare).expect("a rig");
    let names = spanwright::sheets::why::names(&review);
    assert!(!names.iter().any(|n| n == "over") && names.iter().any(|n| n == "rescue"), "{names:?}");
}

/// The stretch that was read is taken over into the plan's own item, said where it is from; read again it is what the plan has.
#[test]
fn the_stretch_that_was_read_is_taken_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("day.ron");
    let name = path.display().to_string();
    let run = |args: &[&str]| {
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_spanwright")).args(args).output().expect("runs");
        (out.status.code().unwrap_or(-1), String::from_utf8(out.stderr).expect("utf-8"))
    };
    // A line that stretches a fifth more than the catalogue has: deeper with a walker.
    let softer = DEMO
        .replace("sag: \"3.73 m\"", "sag: \"3.95 m\"")
        .replace("from: \"0.3 kN\", length: \"0.86 m\"", "from: \"0.3 kN\", length: \"1.12 m\"");
    std::fs::write(&path, &softer).expect("written");
    let read = |text: &str| {
        let file = PlanFile::parse("day", text.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("day")));
        spanwright::review::day_read(&file, &file.plan.days[0]).stretch.expect("a sag with a walker")
    };
    let [before, sd] = read(&softer);
    assert!(before > 1.1 && before < 1.4, "{before}");
    let (code, err) = run(&["day", &name, "--take-stretch"]);
    assert_eq!(code, 0, "{err}");
    let text = std::fs::read_to_string(&path).expect("there");
    assert!(text.contains(&format!("stretch as rigged 2026-10-03, × {before:.2} ± {sd:.2}; before: ")), "{text}");
    assert!((read(&text)[0] - 1.0).abs() < 0.01, "read again: {:?}", read(&text));
    // Twice: the plan's own item is scaled once more, by nothing.
    assert_eq!(run(&["day", &name, "--take-stretch"]).0, 0);
    let again = std::fs::read_to_string(&path).expect("there");
    assert!((read(&again)[0] - 1.0).abs() < 0.01);
    // What is beyond belief, and what was not read, is not taken over.
    let nothing = DEMO
        .replace("Reading(after: \"1.2 h\", sag: \"3.73 m\", walker: (0.5, \"83 kg\")),", "")
        .replace("through: Through(from: \"0.3 kN\", length: \"0.86 m\"),", "");
    for (text, word) in
        [(DEMO.replace("sag: \"3.73 m\"", "sag: \"9.5 m\""), "contradicts itself"), (nothing, "says how the line")]
    {
        std::fs::write(&path, text).expect("written");
        let (code, err) = run(&["day", &name, "--take-stretch"]);
        assert!(code == 2 && err.contains(word), "{err}");
    }
    let (code, err) = run(&["day", &name, "2026-10-04", "--take-stretch"]);
    assert!(code == 2 && err.contains("no such day"), "{err}");
}

/// Rope of HMPE that nobody set may come a hundredth longer at its first loading (common practice, no source): the most that
/// comes grows by that share of the line, the least by nothing; declared set, by nothing at all.
#[test]
fn a_first_loading_is_counted_unless_it_was_set() {
    let stay = "    stay: Stay(from: \"2026-07-01\", days: [Forecast(date: \"2026-07-02\", low: \"12 degC\", high: \"12 degC\", gust: \"9 m/s\")]),\n    declared: {";
    let line = "Part(item: \"webbing-polyester-25\", length: Solve(standing: \"2.5 kN\", at: A)";
    let hmpe = line.replace("webbing-polyester-25", "hmpe-10");
    let set = "\"proof loaded\": Yes(\"every splice set with the pulley system, logged\"),";
    let longer = |changes: &[(&str, &str)]| {
        let review = demo_with(&[changes, &[("    declared: {", stay), (line, &hmpe)]].concat());
        let stays = review.stays.expect("it stays up");
        assert!(stays.fault.is_none(), "{stays:?}");
        (stays.moments[0].longer_m, stays.flowed, stays.moments[0].tension_n)
    };
    let (kept, new) = (longer(&[]), longer(&[(set, "")]));
    assert!((kept.0[0] - new.0[0]).abs() < 1e-3, "{kept:?} {new:?}");
    let more = new.0[1] - kept.0[1];
    assert!((0.5..0.65).contains(&more), "a hundredth of some 60 m: {more}");
    assert!((kept.1[1] - new.1[1]).abs() < 1e-4, "a first loading is no flow: {:?} {:?}", kept.1, new.1);
    assert!(new.2[0] < kept.2[0] - 100.0, "{kept:?} {new:?}");
}

/// The page of the nights comes up by its key at the slackest moment, and goes through all of them; a plan without them is told
/// what they take, and given a start.
#[test]
fn nights_come_up_and_are_written() {
    let stay = "    stay: Stay(from: \"2026-07-01\", pull_up: [\"12 h\"], days: [Forecast(date: \"2026-07-02\", low: \"4 degC\", high: \"20 degC\", gust: \"9 m/s\"), Forecast(date: \"2026-07-03\", low: \"6 degC\", high: \"18 degC\", gust: \"40 m/s\")]),\n    declared: {";
    let mut s = Session::text(&DEMO.replace("    declared: {", stay), 120, 40);
    s.keys("6");
    let first = s.screen();
    assert!(first.contains("tensioned in the evening of 2026-07-01") && first.contains("pulled up"), "{first}");
    s.keys("left left left left");
    assert!(
        s.screen().contains("2026-07-02 morning, 12 h") && s.screen().contains("and pulled up then"),
        "{}",
        s.screen()
    );
    s.keys("right right");
    assert!(s.screen().contains("2026-07-03 morning, 36 h"), "{}", s.screen());
    assert!(s.screen().contains("over the plan"), "{}", s.screen());
    insta::assert_snapshot!("nights_120", s.screen());
    s.keys("p");
    assert!(s.screen().contains("tension left") && s.screen().contains("most in the main line"), "{}", s.screen());
    let stays = s.app.review.as_ref().and_then(|r| r.stays.clone()).expect("it stays up");
    assert!(stays.moments.windows(2).all(|w| w[0].after_s < w[1].after_s) && stays.moments.len() == 4);
    // Pulled up it has what it was tensioned to; what nobody draws in goes on easing.
    let band = |k: usize| stays.moments[k].tension_n;
    assert!(band(0)[1] < stays.target_n && band(2)[0] > band(0)[0], "{stays:?}");
    let mut s = Session::text(DEMO, 80, 24);
    s.keys("6");
    assert!(s.screen().contains("does not say that the line stays up"), "{}", s.screen());
    s.keys("a enter enter enter enter");
    assert!(s.app.file.is_sound(), "{}", s.app.file.show_faults());
    assert_eq!(s.app.file.plan.stay.as_ref().map(|s| s.days.len()), Some(1), "{}", s.screen());
    s.app.undo();
    assert!(s.app.file.plan.stay.is_none());
}
