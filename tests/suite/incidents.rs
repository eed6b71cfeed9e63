//! Falls and failures of whole plans: against the computed set through a plan, and what must hold of any rig.

use serde_json::Value;
use spanwright::plan::PlanFile;
use spanwright::review::{Against, Broken, Class, Desk, Event, Grain, Held, Incident, Review, review};

const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");

fn reviewed(text: &str) -> Review {
    let file = PlanFile::parse("test", text.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("test")));
    assert!(file.is_sound(), "{}", file.show_faults());
    review(&file).unwrap_or_else(|f| panic!("{f:#?}"))
}

/// The one incident whose words end so, played as the review plays it first.
fn played(text: &str, ends: &str) -> Incident {
    let file = PlanFile::parse("test", text.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("test")));
    assert!(file.is_sound(), "{}", file.show_faults());
    let desk = Desk::open(&file).unwrap_or_else(|f| panic!("{f:#?}"));
    let event = desk.events().iter().find(|e| e.words().ends_with(ends)).unwrap_or_else(|| panic!("no {ends}"));
    desk.play_at(event, desk.grain(event))
}

fn incident<'a>(r: &'a Review, start: &str) -> &'a Incident {
    r.incidents.iter().find(|i| i.event.words().starts_with(start)).unwrap_or_else(|| {
        panic!("no {start} among {:#?}", r.incidents.iter().map(|i| i.event.words()).collect::<Vec<_>>())
    })
}

fn close(what: &str, got: f64, want: f64, share: f64) {
    println!("{what}: {got:.4} for {want:.4} ({:+.2} %)", 100.0 * (got / want - 1.0));
    assert!((got - want).abs() <= share * want.abs(), "{what}: {got} for {want}");
}

/// The computed falls and breaks (`SciPy`, a multibody and a structural library; `data/computed.json`), said as plans
/// between two fixed points. Their own tolerances are 1 to 8 %.
#[test]
fn computed_falls_and_breaks_as_plans() {
    let all: Value = serde_json::from_str(include_str!("../data/computed.json")).expect("JSON");
    for id in ["p9-fall-mid-damped", "p9-fall-hmpe", "p9-break-undamped"] {
        let case = all["cases"].as_array().expect("cases").iter().find(|c| c["id"] == id).expect("the case");
        let i = &case["inputs"];
        let f = |v: &Value, k: &str| v[k].as_f64().unwrap_or_else(|| panic!("{k}"));
        let fall = i["type"] == "fall";
        let main = if fall { i } else { &i["main"] };
        let item = |name: &str, v: &Value, lag: f64| {
            format!(
                r#""{name}": Item(class: Webbing, fibre: Polyester, rating: Label("900 kN"), width: "25 mm",
                mass_per_length: "{} g/m", stretch: Stiffness("{} N"), damping: "{} s", dynamic: 1.0),"#,
                1e3 * f(v, "mu_kg_per_m"),
                f(v, "EA_N"),
                lag
            )
        };
        let lag = f(i, "line_tau_s");
        let (leash_m, leash_ea) = if fall { (f(i, "leash_m"), f(i, "EA_leash_N")) } else { (1.4, 60e3) };
        let leash_lag = if fall { f(i, "leash_c_Ns_per_m") * leash_m / leash_ea } else { 0.0 };
        let backup = if fall {
            String::new()
        } else {
            let excess = 100.0 * (f(i, "L0_m") / f(main, "L0_m") - 1.0);
            format!(
                r#""backup": Run(role: Backup(of: "main", excess: "{excess} %"), from: "C", to: "D", parts: [Part(item: "second", ends: (Sewn, Sewn))]),"#
            )
        };
        let text = format!(
            r#"Plan(format: 1, title: "{id}", site: Site(span: "{} m", height_difference: "{} m"),
            people: People(walkers: ["{} kg"], leash: "leash", tie_in: "{} m"),
            points: {{
                "A": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))),
                "B": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))),
                "C": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))),
                "D": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))),
            }},
            runs: {{
                "main": Run(role: Main, from: "A", to: "B", parts: [Part(item: "first", length: "{} m", ends: (Sewn, Sewn))]),
                {backup}
                {}
                "leash": Run(role: Leash, parts: [Part(item: "tether", length: "{leash_m} m", ends: (Sewn, Sewn))]),
            }},
            items: {{ {} {} {}
                "tether": Item(class: Leash, fibre: Polyester, rating: Label("90 kN"), mass_per_length: "60 g/m", stretch: Stiffness("{leash_ea} N"), damping: "{leash_lag} s", dynamic: 1.0),
            }})"#,
            f(i, "span_m"),
            f(i, "rise_m"),
            f(i, "mass_kg"),
            if fall { f(i, "fall_height_above_line_m") } else { 1.0 },
            f(main, "L0_m"),
            if fall {
                r#""spare": Run(from: "C", to: "D", parts: [Part(item: "loose", length: "900 m", ends: (Sewn, Sewn))]),"#
            } else {
                ""
            },
            item("first", main, lag),
            if fall { String::new() } else { item("second", i, lag) },
            item("loose", main, 0.0),
        );
        let r = reviewed(&text);
        let out = |k: &str| case["outputs"][k].as_f64().unwrap_or_else(|| panic!("{k}"));
        if fall {
            let x = incident(&r, "leash fall 0.50");
            close(&format!("{id} leash"), x.peaks.leash_n, out("peak_leash_N"), 0.03);
            close(&format!("{id} anchor A"), x.peaks.line_n[0], out("peak_anchor_A_N"), 0.02);
            close(&format!("{id} lowest"), x.walker_m, out("lowest_walker_z_m"), 0.01);
            close(&format!("{id} when"), x.lowest_at_s, out("time_lowest_s"), 0.01);
        } else {
            let x = r
                .incidents
                .iter()
                .find(|x| x.event.words().contains("gone, walker 0.50") && !x.event.loss.main.is_empty());
            let x = x.expect("the main line goes");
            close(&format!("{id} anchor A"), x.peaks.backup_n[0], out("peak_anchor_A_N"), 0.02);
            close(&format!("{id} lowest"), x.walker_m, out("lowest_walker_z_m"), 0.01);
            close(&format!("{id} when"), x.lowest_at_s, out("time_lowest_s"), 0.01);
        }
    }
}

/// On a level rig that is its own mirror image a fall in the middle loads both sides alike, and one near A as one near B.
#[test]
fn a_mirrored_rig_falls_alike() {
    let side = |s: &str, sign: &str| {
        format!(
            r#""{s} bolt 1": Fixed(side: {s}, at: ("{sign}3 m", "1 m", "0 m"), by: Bolt(item: "bolt-glued-12", faces: (0.0, 0.0, 1.0))),
            "{s} bolt 2": Fixed(side: {s}, at: ("{sign}3 m", "-1 m", "0 m"), by: Bolt(item: "bolt-glued-12", faces: (0.0, 0.0, 1.0))),
            "{s} master": Free(side: {s}, near: ("0 m", "0 m", "0 m"), hardware: "master-ring"),"#
        )
    };
    let legs = |s: &str| {
        [1, 2]
            .map(|k| format!(r#""{s} leg {k}": Run(from: "{s} bolt {k}", to: "{s} master", parts: [Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm")))]),"#))
            .concat()
    };
    let text = format!(
        r#"Plan(format: 1, title: "mirror", site: Site(span: "40 m", height_difference: "0 m"), people: People(walkers: ["80 kg"], leash: "leash"),
        points: {{ {} {} }},
        runs: {{ {} {} "main": Run(role: Main, from: "A master", to: "B master", parts: [Part(item: "webbing-polyester-sheathed-25", length: Solve(standing: "2 kN", at: A), ends: (Sewn, Sewn))]),
        "leash": Run(role: Leash, parts: [Part(item: "leash-dynamic", length: "1.4 m", ends: (Sewn, Sewn))]) }})"#,
        side("A", "-"),
        side("B", ""),
        legs("A"),
        legs("B")
    );
    let r = reviewed(&text);
    let run = |x: &Incident, name: &str| x.peaks.run_n[r.run_names.iter().position(|n| n == name).expect("run")];
    let mid = incident(&r, "leash fall 0.50");
    for k in 1..=2 {
        let (a, b) = (run(mid, &format!("A leg {k}")), run(mid, &format!("B leg {k}")));
        assert!((a - b).abs() < 1e-6 * a, "leg {k}: {a} {b}");
    }
    let ends: Vec<&Incident> =
        r.incidents.iter().filter(|x| x.event.class == Class::Fall && (x.event.at - 0.5).abs() > 0.3).collect();
    let [near, far] = ends[..] else { panic!("{} falls near the ends", ends.len()) };
    assert!((near.peaks.leash_n - far.peaks.leash_n).abs() < 1e-5 * near.peaks.leash_n);
    assert!((run(near, "A leg 1") - run(far, "B leg 1")).abs() < 1e-4 * run(near, "A leg 1"));
}

/// What carried nothing takes nothing with it.
#[test]
fn a_slack_run_that_goes_changes_nothing() {
    let r = reviewed(DEMO);
    let x = r
        .incidents
        .iter()
        .find(|i| i.event.words().contains("backup or") && i.event.words().contains("gone, walker 0.50"));
    let x = x.expect("the backup goes");
    assert!(x.idle && x.held == Some(Held::Both) && x.drop_m == 0.0);
}

/// More excess never means less drop.
#[test]
fn more_excess_drops_further() {
    let mut last = 0.0;
    for excess in [2, 4, 6, 8] {
        let text = DEMO.replace("excess: \"4 %\"", &format!("excess: \"{excess} %\""));
        let x = played(&text, "gone, walker falls 0.50");
        println!("{excess} %: {:.2} m down, {:.0} N on the body", x.drop_m, x.peaks.body_n);
        assert!(x.fault.is_none() && x.drop_m > last);
        last = x.drop_m;
    }
}

/// Common practice, no source: drops and forces of a catch by a backup without connections (80 kg in the middle, leash
/// 1.5 m, no damping, one stiffness): lowest place of the line and tension, as a band of 25 %.
#[test]
fn catches_lie_where_the_trade_expects() {
    // Span, backup stretch of 10 kN in %, excess in %, lowest m, tension kN.
    for (span, stretch, excess, lowest, tension) in [
        (50.0, 4.0, 2.0, 8.1, 7.7),
        (50.0, 4.0, 5.0, 10.6, 8.8),
        (100.0, 4.0, 5.0, 21.0, 8.3),
        (30.0, 18.2, 5.0, 8.3, 4.8),
    ] {
        // The table's excess is over the span, ours over the unstretched main line.
        let ea = 10e3 / (0.01 * stretch);
        let standing = if stretch > 10.0 { 1500.0 } else { 2500.0 };
        let main = span / (1.0 + standing / ea);
        let over = 100.0 * (span * (1.0 + 0.01 * excess) / main - 1.0);
        let text = format!(
            r#"Plan(format: 1, title: "band", site: Site(span: "{span} m", height_difference: "0 m"), people: People(walkers: ["80 kg"], leash: "leash"),
            points: {{ "A": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))), "B": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))),
            "C": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))), "D": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))) }},
            runs: {{ "main": Run(role: Main, from: "A", to: "B", parts: [Part(item: "w", length: "{main} m", ends: (Sewn, Sewn))]),
            "backup": Run(role: Backup(of: "main", excess: "{over} %"), from: "C", to: "D", parts: [Part(item: "w", ends: (Sewn, Sewn))]),
            "leash": Run(role: Leash, parts: [Part(item: "tether", length: "1.5 m", ends: (Sewn, Sewn))]) }},
            items: {{ "w": Item(class: Webbing, fibre: Polyester, rating: Label("900 kN"), width: "25 mm", mass_per_length: "60 g/m", stretch: Stiffness("{ea} N"), damping: "0 s", dynamic: 1.0),
            "tether": Item(class: Leash, fibre: Polyester, rating: Label("90 kN"), stretch: Stiffness("200 kN"), damping: "0 s", dynamic: 1.0) }})"#
        );
        let x = played(&text, "gone, walker falls 0.50");
        println!(
            "{span} m, {excess} %: {:.1} m for {lowest}, {:.1} kN for {tension}",
            -x.lowest_m,
            x.peaks.backup_n[0] / 1e3
        );
        assert!((-x.lowest_m - lowest).abs() < 0.25 * lowest);
        assert!((x.peaks.backup_n[0] / 1e3 - tension).abs() < 0.25 * tension);
    }
}

/// The same numbers whatever the number of threads, and whichever incident ends first.
#[test]
fn threads_decide_nothing() {
    let file = PlanFile::parse("demo", DEMO.to_owned()).expect("reads");
    let whole = |threads: usize| {
        let mut desk = Desk::open(&file).expect("a rig").on_threads(threads);
        desk.all(&std::sync::atomic::AtomicBool::new(false), |_| {}).expect("not stopped")
    };
    let (one, many) = (whole(1), whole(7));
    // As text, since what was not worked out is no number and equals nothing.
    assert_eq!(format!("{:?}", one.incidents), format!("{:?}", many.incidents));
    assert_eq!(one.rows, many.rows);
    assert_eq!(one.findings, many.findings);
}

/// Being stopped ends the work, and what was told before stands for what was worked out.
#[test]
fn a_review_can_be_stopped() {
    let file = PlanFile::parse("demo", DEMO.to_owned()).expect("reads");
    let stop = std::sync::atomic::AtomicBool::new(false);
    let mut told = Vec::new();
    let mut desk = Desk::open(&file).expect("a rig");
    let whole = desk.all(&stop, |desk| {
        let r = desk.review();
        told.push((r.to_come, r.incidents.len(), r.passes()));
        stop.store(told.len() == 2, std::sync::atomic::Ordering::Relaxed);
    });
    assert!(whole.is_none());
    assert_eq!(told.len(), 2);
    assert!(told[0].0 > 20 && told[0].1 == 0 && told[1].1 > 0);
    assert!(told.iter().all(|t| !t.2), "nothing passes before all is played");
}

/// A single tree holds everything of its side: its going drops the walker, and that is said.
#[test]
fn a_single_point_is_found() {
    use spanwright::plan::templates::{AnchorKind, Answers, plan_text};
    let text = plan_text(&Answers { anchors: [AnchorKind::ThreeBolts, AnchorKind::OneTree], ..Answers::default() });
    let r = reviewed(&text);
    let only = Some(Held::Only(spanwright::plan::Side::A));
    let dropped: Vec<&Incident> = r.incidents.iter().filter(|i| i.held == only).collect();
    assert!(!dropped.is_empty() && dropped.iter().all(|i| i.event.words().contains("B tree")));
    assert!(r.findings.iter().any(|f| f.rule == "swings" && f.text.contains("held from A alone")));
    assert!(!r.passes());
}

/// Connections turn the whole excess into that of one segment: the closer they are, the less a catch falls. And energy
/// agrees with the motion on how far.
#[test]
fn connections_shorten_a_catch() {
    let r = reviewed(DEMO);
    let falls: Vec<f64> = r.spacings.iter().map(|c| c.fall_m.expect("worked out")).collect();
    println!("{:?}", r.spacings);
    assert_eq!(falls.len(), 4);
    assert!(falls.windows(2).all(|w| w[1] < w[0]), "{falls:?}");
    assert!((falls[0] - r.catches[0].fall_m.expect("worked out")).abs() < 0.01);
    // Both with new gear.
    let file = PlanFile::parse("demo", DEMO.to_owned()).expect("reads");
    let desk = Desk::open(&file).expect("a rig");
    let event = desk.events().iter().find(|e| e.words().ends_with("gone, walker falls 0.50")).expect("tried");
    let against = Against { new_gear: true, ..Against::default() };
    let (played, _) = desk.watch(&Event { against, ..event.clone() });
    // The line answers quickly, and so a little stiffer than energy counts: lower by energy, never higher.
    assert!((-0.15..0.8).contains(&(falls[0] - played.drop_m)), "{} {}", falls[0], played.drop_m);
    assert!(r.catches[1..].windows(2).all(|w| w[0].fall_m < w[1].fall_m));
}

/// Peaks converge: at the grain of a review the leash's peak is within 2 % of a four times finer mesh and step,
/// where waves from both ends meet under the ring and where they do not, and where a piece is missing.
#[test]
fn a_fall_keeps_its_peak_on_a_finer_mesh() {
    for name in ["kestrel-gap-62m", "lantern-quarry-28m"] {
        let path = format!("{}/plans/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let file = PlanFile::open(path.as_ref()).expect("a plan");
        let desk = Desk::open(&file).expect("a rig");
        let missing = desk.events().iter().filter(|e| e.is_fall() && !e.missing.is_none()).take(1);
        for event in desk.events().iter().take(2).chain(missing) {
            let peak = |elements, step_s| desk.play_at(event, Grain { elements, usual: 80, step_s }).peaks.leash_n;
            let (usual, fine) = (peak(80, 0.002), peak(320, 0.0005));
            println!("{name}, {}: {usual:.0} N, four times finer {fine:.0} N", event.words());
            assert!((usual / fine - 1.0).abs() < 0.02, "{name} {}: {usual} against {fine}", event.words());
        }
    }
}

/// What would break is told, and held: a car that holds by friction slides before the leash has caught; the leash's peak
/// is still that of the whole fall, and nobody is said to be held.
#[test]
fn an_anchor_that_slides_cuts_no_peak_short() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/plans/crow-steps-44m.ron");
    // On a ring that holds, so that it is the car that gives way.
    let text = std::fs::read_to_string(path).expect("a plan").replacen("connector-h", "master-ring", 1);
    let r = reviewed(&text);
    let fall = r.incidents.iter().find(|i| i.event.class == Class::Fall).expect("a fall");
    let (broken, _) = fall.breaks.as_ref().expect("it does not hold");
    let Broken::Anchor(p) = broken else { panic!("{broken:?}") };
    assert_eq!(r.point_names[*p], "B car");
    assert_eq!(fall.held, None);
    assert!(fall.peaks.leash_n > 2e3, "{}", fall.peaks.leash_n);
    assert!(r.findings.iter().any(|f| f.rule == "breaks" && f.at.contains("anchor B car")));
    let leash = r.rows.iter().find(|x| x.place.name() == "leash" && x.class == Class::Fall).expect("judged");
    assert!(leash.case().contains("held as if strong enough"), "{}", leash.case());
}
