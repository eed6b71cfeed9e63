//! A day at the line: what was read beside what should have been, the rig as it hung, what it does to the verdict.

use spanwright::mechanics::G;
use spanwright::plan::PlanFile;
use spanwright::review::{Gravity, Other, Read, as_rigged, at_rest, day_read, hung_per_m, in_view, reviewed};

const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");

/// The demo with changes, and one day in place of its own.
fn demo(day: &str, changes: &[(&str, &str)]) -> PlanFile {
    let (from, to) = (DEMO.find("    days: [").expect("there"), DEMO.find("    declared: ").expect("there"));
    let text = format!("{}    days: [{day}],\n{}", &DEMO[..from], &DEMO[to..]);
    let text = changes.iter().fold(text, |t, (old, new)| {
        assert!(t.contains(old), "the plan does not hold “{old}”");
        t.replacen(old, new, 1)
    });
    let file = PlanFile::parse("day", text).unwrap_or_else(|e| panic!("{}", e.show("day")));
    assert!(file.is_sound(), "{}", file.show_faults());
    file
}

/// Tension at A with nobody on the line, N.
fn standing_n(file: &PlanFile) -> f64 {
    let solver = in_view(file).unwrap_or_else(|f| panic!("{f:?}"));
    solver.standing.case.line_tension_n(&solver.standing.solution)[0]
}

/// Who has no meter counts pulses: the tension follows from m (2 L / t)², closed form, and the rig is judged with it.
#[test]
fn a_pulse_tells_the_tension() {
    let plan = demo("Day(date: \"2026-10-03\", read: [])", &[]);
    let solver = in_view(&plan).unwrap_or_else(|f| panic!("{f:?}"));
    let (mass, length) = (hung_per_m(&solver.rig), solver.rig.line_length_m(&solver.standing.lengths));
    for tension_n in [1800.0, 2500.0, 3400.0_f64] {
        let pulse_s = 2.0 * length * (mass / tension_n).sqrt();
        let day = format!("Day(date: \"2026-10-03\", read: [Reading(pulse: \"{pulse_s:.5} s\")])");
        let file = demo(&day, &[]);
        let rigged = as_rigged(&file, &file.plan.days[0]).unwrap_or_else(|e| panic!("{e}"));
        let found = standing_n(&rigged);
        // The line between its locks is a little shorter than between its masters, and longer when it is slack.
        assert!((found / tension_n - 1.0).abs() < 0.03, "{found} for {tension_n}");
        // What the tension was taken from is not held against itself.
        assert!(day_read(&file, &file.plan.days[0]).compared.is_empty());
    }
}

/// Half the time beside a tension that was read: timed one way. Right, it agrees.
#[test]
fn a_pulse_timed_one_way_is_found() {
    let with = |pulse: f64| {
        let day = format!("Day(date: \"2026-10-03\", read: [Reading(tension: \"2.5 kN\", pulse: \"{pulse:.4} s\")])");
        let file = demo(&day, &[]);
        day_read(&file, &file.plan.days[0])
    };
    let first = with(0.8);
    let ours = first.compared.iter().find(|c| c.read == Read::Pulse).and_then(|c| c.computed).expect("computed")[0];
    let right = with(ours);
    assert!(!right.disagrees(), "{right:?}");
    let half = with(0.5 * ours);
    assert!(half.disagrees() && half.likely.iter().any(|l| l.cause == Other::OneWay), "{half:?}");
}

/// A reading that says how far off it may be is held to that: the same difference counts the less, the more it may be off.
#[test]
fn a_reading_is_as_sure_as_it_says() {
    let off = |sag: &str| {
        let day = format!(
            "Day(date: \"2026-10-03\", read: [Reading(tension: Within(\"2.5 kN\", \"0.001 kN\")), Reading(sag: {sag}, walker: (0.5, Within(\"80 kg\", \"0.01 kg\")))], span: Within(\"62 m\", \"0.001 m\"))"
        );
        let file = demo(&day, &[]);
        let read = day_read(&file, &file.plan.days[0]);
        let c = read.compared[0].clone();
        let [computed, sd] = c.computed.expect("computed");
        (c.off().expect("computed"), c.measured, computed, sd)
    };
    let (tight, measured, computed, sd) = off("Within(\"3.9 m\", \"0.02 m\")");
    assert!((measured[1] - 0.02).abs() < 1e-12 && sd < 0.005, "what it is held against is as sure: {sd}");
    assert!((tight - (3.9 - computed) / 0.02_f64.hypot(sd)).abs() < 1e-9);
    let (loose, ..) = off("Within(\"3.9 m\", \"0.2 m\")");
    assert!(loose.abs() < 0.15 * tight.abs(), "{loose} {tight}");
    // Unsaid, as is usual of a sag on a short line.
    assert!((off("\"3.9 m\"").1[1] - 0.05).abs() < 1e-12);
}

/// A leg that hangs shorter than planned reads more; from what it reads comes how much shorter it is, and the rig as it hung
/// has in every leg what the rig with that leg has.
#[test]
fn a_short_leg_is_told_by_what_it_reads() {
    let none = "Day(date: \"2026-10-03\", read: [Reading(tension: \"2.5 kN\")])";
    let legs = |file: &PlanFile| {
        let solver = in_view(file).unwrap_or_else(|f| panic!("{f:?}"));
        let response = solver.rig.response(&solver.standing.case, &solver.standing.solution);
        let names = solver.rig.run_names.clone();
        names.into_iter().zip(response.run_n).filter(|(n, _)| n.starts_with("A leg")).collect::<Vec<_>>()
    };
    let short = 0.012;
    // As long as it is fitted, and that much less.
    let plan = demo(none, &[]);
    let solver = in_view(&plan).unwrap_or_else(|f| panic!("{f:?}"));
    let run = plan.plan.runs.get_index_of("A leg 2").expect("there");
    let articles = solver.rig.articles(&solver.standing.lengths);
    let fitted_m = articles.iter().find(|a| a.run == run && a.part == 1).expect("a rope").length_m;
    let leg = "\"A leg 2\": Run(from: \"A bolt 2\", to: \"A master\", parts: [\n            Part(item: \"quick-link-12\"),\n            Part(item: \"hmpe-8\", ";
    let was = format!("{leg}length: Fit(tolerance: \"30 mm\")");
    let cut = demo(none, &[(&was, &format!("{leg}length: \"{} m\"", fitted_m - short))]);
    let truth = legs(&cut);
    let n = truth.iter().find(|l| l.0 == "A leg 2").expect("there").1;
    let day = format!(
        "Day(date: \"2026-10-03\", read: [Reading(tension: \"2.5 kN\")], legs: [(\"A leg 2\", \"{:.5} kN\")])",
        n / 1e3
    );
    let file = demo(&day, &[]);
    let read = day_read(&file, &file.plan.days[0]);
    let found = read.legs[0].short_m.expect("adjusted");
    assert!(read.legs[0].computed_n.is_some_and(|c| n > 1.02 * c), "{n} {read:?}");
    assert!((found - short).abs() < 1e-3, "{found} for {short}");
    let rigged = as_rigged(&file, &file.plan.days[0]).unwrap_or_else(|e| panic!("{e}"));
    for ((name, a), (_, b)) in truth.iter().zip(legs(&rigged)) {
        assert!((a - b).abs() < 0.01 * a.max(100.0), "{name}: {a} {b}");
    }
}

/// A rig that hangs otherwise than it was planned is held against its plan without being asked: much tighter, pieces that met
/// what is asked for fall short, and the plan's own review stops; as planned, nothing is said.
#[test]
fn a_day_that_makes_it_worse_stops_the_plan() {
    let differs = |day: &str| {
        let review = reviewed(&demo(day, &[])).unwrap_or_else(|e| panic!("{e}"));
        let found: Vec<_> = review.findings.into_iter().filter(|f| f.rule == "day-differs").collect();
        (found, review.day.and_then(|d| d.hung))
    };
    let (found, hung) = differs("Day(date: \"2026-10-03\", read: [Reading(tension: \"6.5 kN\")])");
    assert!(found.iter().any(|f| f.gravity == Gravity::Stop && f.text.contains("planned")), "{found:#?}");
    assert!(hung.is_some_and(|h| h.worse.iter().any(|w| w.falls_short)));
    let (found, _) = differs("Day(date: \"2026-10-03\", read: [Reading(tension: \"2.5 kN\")])");
    assert!(found.is_empty(), "{found:#?}");
}

/// On its page a key takes the stretch over, undo takes it back; what contradicts itself is refused and said.
#[test]
fn the_stretch_is_taken_over_on_the_page() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("day.ron");
    let softer = DEMO
        .replace("sag: \"3.73 m\"", "sag: \"3.95 m\"")
        .replace("from: \"0.3 kN\", length: \"0.86 m\"", "from: \"0.3 kN\", length: \"1.12 m\"");
    std::fs::write(&path, softer).expect("written");
    let mut s = crate::common::Session::open(&path, 120, 40);
    let own = |s: &crate::common::Session| s.app.file.plan.items.contains_key("webbing-polyester-25");
    s.keys("w 3");
    assert!(!own(&s));
    s.keys("s");
    assert!(own(&s) && s.app.file.text.contains("stretch as rigged 2026-10-03"), "{}", s.screen());
    s.app.undo();
    assert!(!own(&s));
    // The demo's own sag and what came through say two stretches once one of them is far off.
    std::fs::write(&path, DEMO.replace("sag: \"3.73 m\"", "sag: \"5.2 m\"")).expect("written");
    let mut s = crate::common::Session::open(&path, 120, 40);
    s.keys("w 3 s");
    assert!(!own(&s) && s.app.log.last().is_some_and(|l| l.contains("not taken")), "{:?}", s.app.log.last());
}

/// At rest the comparison is not made: it would review itself without end.
#[test]
fn at_rest_a_day_is_read_alone() {
    let file = demo("Day(date: \"2026-10-03\", read: [Reading(tension: \"6.5 kN\")])", &[]);
    let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
    assert!(review.day.is_some_and(|d| d.hung.is_none() && d.fault.is_none()));
}

/// Weight of a metre by a pulse and a sag of one line: both say the same tension, T = m g L² / 8 d for a taut line.
#[test]
fn a_pulse_and_a_sag_weigh_the_same_line() {
    let plan = demo("Day(date: \"2026-10-03\", read: [])", &[]);
    let solver = in_view(&plan).unwrap_or_else(|f| panic!("{f:?}"));
    let mass = hung_per_m(&solver.rig);
    let (span, n) = (62.0_f64, 2500.0_f64);
    let sag = mass * G * span * span / (8.0 * n);
    let pulse = 2.0 * span * (mass / n).sqrt();
    // t² = 32 d / g, whatever the line weighs.
    assert!((pulse * pulse - 32.0 * sag / G).abs() < 1e-9);
    let day = format!(
        "Day(date: \"2026-10-03\", read: [Reading(tension: \"2.5 kN\", sag: \"{sag:.4} m\", pulse: \"{pulse:.4} s\")])"
    );
    let file = demo(&day, &[]);
    let read = day_read(&file, &file.plan.days[0]);
    let off: Vec<f64> = read.compared.iter().filter_map(spanwright::review::Compared::off).collect();
    assert!(off.len() == 2 && off.iter().all(|o| o.abs() < 1.0), "{off:?}");
}
