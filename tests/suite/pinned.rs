//! Values of the review that nothing else pins: cases, deratings, losses, clearance, throw. Closed forms and facts of the
//! plan; each was written for a deliberately broken line that no other test caught.

use spanwright::plan::PlanFile;
use spanwright::review::{
    Amount, Body, Case, Class, Desk, Held, Incident, Kind, Low, Place, Review, Solver, Strength, Verdict, Who,
    comes_through, hung_per_m, pulling, required, review,
};
use std::sync::OnceLock;
const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");
const SHORT: &str = include_str!("../../plans/lantern-quarry-28m.ron");
const LONG: &str = include_str!("../../plans/heron-valley-410m.ron");
fn parsed(t: &str) -> PlanFile {
    let f = PlanFile::parse("t", t.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("t")));
    assert!(f.is_sound(), "{}", f.show_faults());
    f
}
fn demo() -> &'static Review {
    static R: OnceLock<Review> = OnceLock::new();
    R.get_or_init(|| review(&parsed(DEMO)).expect("there"))
}
fn with(t: &str, c: &[(&str, &str)]) -> PlanFile {
    parsed(&c.iter().fold(t.to_owned(), |t, (a, b)| {
        assert!(t.contains(a), "{a}");
        t.replacen(a, b, 1)
    }))
}

#[test]
fn the_heaviest_two_together() {
    let f = with(SHORT, &[("walkers: [\"72 kg\", \"65 kg\"]", "walkers: [\"60 kg\", \"90 kg\", \"75 kg\"]")]);
    assert!((Case::together_kg(&f.plan) - 165.0).abs() < 1e-9);
}
#[test]
fn an_own_case_colder_than_at_rigging() {
    let f = with(
        DEMO,
        &[(
            "    tensioning:",
            "    cases: [Case(name: \"frost\", walkers: [(0.5, \"80 kg\")], temperature: \"-8 degC\")],\n    tensioning:",
        )],
    );
    assert!((Case::own(&f.plan)[0].load.warmer_k + 20.0).abs() < 1e-9);
}
#[test]
fn usual_factor_of_a_backup_when_a_piece_has_gone() {
    let mut f = parsed(DEMO);
    f.plan.factors = spanwright::plan::Factors::default();
    let r = |k, c| required(&f.plan, spanwright::plan::FactorSet::default(), k, c);
    assert_eq!(Class::ALL.map(|c| r(Kind::Backup, c)), [5.0, 3.0, 2.5]);
}
#[test]
fn throw_of_a_compound_system() {
    let f = with(DEMO, &[("reeving: \"5:1\"", "reeving: \"3:1 on 3:1\"")]);
    let p = pulling(&f.plan, &f.catalogue, 4.0, 1000.0).expect("there");
    assert!((p.throw_m - 5.5 / 3.0).abs() < 1e-9, "{}", p.throw_m);
    assert_eq!(p.resets, 2);
}
#[test]
fn through_by_the_catenary() {
    let f = parsed(DEMO);
    let s = Solver::new(spanwright::rig::Rig::build(&f.plan, &f.catalogue).expect("there")).expect("there");
    let (m, hand) = comes_through(&s.rig, &s.standing, 2500.0);
    let [a, b] = s.rig.line.ends.map(|p| s.rig.spots[p].place);
    let (l, w) = (a.distance(b), hung_per_m(&s.rig) * 9.80665);
    let strain = |t: f64| -> f64 {
        s.rig
            .line
            .elements
            .iter()
            .enumerate()
            .map(|(i, e)| s.rig.element_length(&s.standing.lengths, i) * e.law.at(t).0)
            .sum()
    };
    // Arc over chord of a level catenary: 2 H/w sinh(w L / 2 H) − L.
    let over = |h: f64| 2.0 * h / w * (w * l / (2.0 * h)).sinh() - l;
    let want = strain(2500.0) - strain(hand) + over(hand) - over(2500.0);
    assert!((m / want - 1.0).abs() < 0.02, "{m} {want}");
}
#[test]
fn cold_and_storm_are_looked_at() {
    let r = Desk::open(&parsed(DEMO)).expect("there").review();
    assert!(r.cases.iter().any(|c| c.case.words().contains("coldest") && (c.case.load.warmer_k + 14.0).abs() < 1e-9));
    assert!(r.cases.iter().any(|c| c.case.words().contains("warmest") && (c.case.load.warmer_k - 14.0).abs() < 1e-9));
    assert!(
        r.cases.iter().any(|c| c.case.words().contains("storm") && c.case.load.wind_m_s > 1.3 * 25.0),
        "gusts over the mean"
    );
}
#[test]
fn the_ropes_becket_is_a_knot() {
    let r = Desk::open(&parsed(DEMO)).expect("there").review();
    let row = r.rows.iter().find(|r| r.place.to_string() == "tensioning, rope").expect("there");
    assert!(row.strength.steps.iter().any(|s| s.what.contains("figure")), "{:?}", row.strength.steps);
}
#[test]
fn a_joint_takes_both_its_segments() {
    let f = parsed(LONG);
    let d = Desk::open(&f).expect("there");
    let mine: Vec<_> = d.events().iter().filter(|e| e.words().starts_with("joint 1, main to main")).collect();
    assert!(!mine.is_empty() && mine.iter().all(|e| e.loss.main == [0, 1]), "{:?}", mine.first());
}
#[test]
fn missing_is_missing() {
    let f = parsed(DEMO);
    let d = Desk::open(&f).expect("there");
    let mine: Vec<_> = d.events().iter().filter(|e| e.words().contains(" missing, ")).collect();
    assert!(!mine.is_empty() && mine.iter().all(|e| !e.missing.is_none() && e.loss.is_none()));
}
#[test]
fn hardware_of_a_free_point_can_go() {
    let f = parsed(DEMO);
    let d = Desk::open(&f).expect("there");
    assert!(
        d.events().iter().any(|e| e.words().starts_with("main or one of 2 more gone")),
        "both masters' hardware take the line with them"
    );
}
#[test]
fn ground_is_that_of_its_own_place() {
    let f = parsed(DEMO);
    for l in &demo().envelope {
        assert_eq!(l.ground_m, f.plan.site.ground_at(l.x_m), "{}", l.x_m);
    }
}
#[test]
fn feet_are_the_lower_of_both() {
    let l = Low {
        at: 0.5,
        x_m: 20.0,
        hang_m: None,
        fall_m: Some(-3.0),
        catch_m: Some(-9.0),
        sags_m: [0.0; 3],
        ground_m: Some(-10.0),
    };
    assert_eq!((l.feet_m(), l.margin_m()), (Some(-9.0), Some(1.0)));
}
#[test]
fn a_catch_near_an_end_as_played() {
    let r = demo();
    for i in r.incidents.iter().filter(|i| {
        i.event.words().contains("gone, walker falls 0.12") || i.event.words().contains("gone, walker falls 0.88")
    }) {
        if i.event.slides {
            continue;
        }
        let near = r
            .envelope
            .iter()
            .min_by(|a, b| (a.at - i.event.at).abs().total_cmp(&(b.at - i.event.at).abs()))
            .expect("there");
        // By energy with new gear, played with gear at the stiff end: no lower than that, and not far above.
        let over = i.feet_m[0] - near.catch_m.expect("there");
        assert!((-0.5..2.5).contains(&over), "{}: {over}", i.event.words());
    }
}
#[test]
fn feet_of_who_stands_hang_leash_and_body_below() {
    let f = parsed(DEMO);
    let b = Body::of(&f.plan, &f.catalogue);
    let hangs = b.leash.as_ref().expect("there").slack_m() + b.below_m;
    let mut seen = 0;
    // Feet are told where they come nearest to the ground: over a slope a hair from their lowest, and another place
    // altogether where the ring runs along the line.
    let stays = |id: &str| !id.contains("slides");
    let stood = |i: &&Incident| matches!(i.event.who, Who::Standing(_)) && !i.idle && i.drop_m > 0.1;
    for i in demo().incidents.iter().filter(stood).filter(|i| stays(&i.event.words())) {
        assert!((i.walker_m - i.feet_m[0] - hangs).abs() < 0.05, "{} {} {}", i.event.words(), i.walker_m, i.feet_m[0]);
        seen += 1;
    }
    assert!(seen > 0);
}
#[test]
fn anchors_are_pulled_towards_the_line() {
    let f = parsed(DEMO);
    let i = demo().incidents.iter().find(|i| i.event.words().starts_with("leash fall 0.50")).expect("there");
    let mut seen = 0;
    for (p, pulls) in i.peaks.pulls.iter().enumerate() {
        let Some(most) = pulls.iter().max_by(|a, b| a.length().total_cmp(&b.length())).filter(|f| f.length() > 200.0)
        else {
            continue;
        };
        let way = if f.plan.points[p].side == spanwright::plan::Side::A { 1.0 } else { -1.0 };
        assert!(most.x * way > 0.0, "{p} {most}");
        seen += 1;
    }
    assert!(seen >= 4);
}
#[test]
fn an_edge_is_no_anchor() {
    // One bolt behind an edge, on side A, and nothing else.
    let t = r#"Plan(format: 1, title: "one", site: Site(span: "30 m"), people: People(walkers: ["80 kg"]),
    points: {"rock": Fixed(side: A, at: ("-4 m", "0 m", "-1 m"), by: Strength(Judged("90 kN", "a rock"))),
      "lip": Fixed(side: A, at: ("-1 m", "0 m", "0.2 m"), by: Edge(friction: 0.3, outward: (0.0, 0.0, 1.0))),
      "m": Free(side: A, near: ("0 m", "0 m", "0 m")), "far": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Judged("90 kN", "a rock")))},
    runs: {"leg": Run(from: "rock", through: ["lip"], to: "m", parts: [Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm")))]),
      "main": Run(role: Main, from: "m", to: "far", parts: [Part(item: "webbing-polyester-sheathed-25", length: Solve(standing: "2 kN", at: A), ends: (Sewn, Sewn))])})"#;
    let r = Desk::open(&parsed(t)).expect("there").review();
    assert!(
        r.findings.iter().any(|f| f.rule == "too-few-anchors" && f.at == "A"),
        "{:#?}",
        r.findings.iter().map(|f| (f.rule, &f.at)).collect::<Vec<_>>()
    );
}
#[test]
fn steep_downwards_too() {
    let f = with(DEMO, &[("height_difference: \"3 m\"", "height_difference: \"-6 m\"")]);
    assert!(Desk::open(&f).expect("there").review().findings.iter().any(|f| f.rule == "steep-line"));
}
#[test]
fn rule_of_three_counts_falls() {
    // A line that meets in use and not in a fall; the plan's own factors ask for nothing.
    let f = with(
        DEMO,
        &[
            ("factors: Factors(working: 5.0, fall: 3.0", "factors: Factors(working: 1.0, fall: 1.0"),
            ("webbing-polyester-25\", length: Solve", "webbing-polyester-25\", condition: (age: 0.78), length: Solve"),
        ],
    );
    let r = review(&f).expect("there");
    let least = |c| {
        r.rows.iter().filter(|r| r.kind == Kind::Main && r.class == c).map(|r| r.factor).fold(f64::INFINITY, f64::min)
    };
    let said = r.findings.iter().any(|f| f.rule == "rule-of-three");
    assert!(least(Class::Working) > 3.0 && least(Class::Fall) < 3.0 && said);
}
#[test]
fn pieces_that_are_shared_go_together() {
    let a = "Part(item: \"quick-link-12\")";
    let t = DEMO.replacen(a, "Part(item: \"quick-link-12\", piece: \"the link\")", 2);
    assert!(t.matches("the link").count() == 2);
    let f = parsed(&t);
    let d = Desk::open(&f).expect("there");
    assert!(
        d.events().iter().any(|e| e.loss.legs.len() == 2),
        "{:?}",
        d.events().iter().map(|e| &e.loss.legs).collect::<Vec<_>>()
    );
}
fn small(points: &str, part: &str, hold: &str, items: &str) -> Review {
    let t = format!(
        r#"Plan(format: 1, title: "t", site: Site(span: "50 m"), points: {{ "far": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))),
      "anchor": Fixed(side: A, at: ("-4 m", "0 m", "0 m"), by: {hold}), "master": Free(side: A, near: ("0 m", "0 m", "0 m")), {points} }},
      runs: {{ "leg": Run(from: "anchor", to: "master", parts: [{part}]),
      "main": Run(role: Main, from: "master", to: "far", parts: [Part(item: "line", length: Solve(standing: "3 kN"), ends: (Made(), Made()))]) }},
      items: {{ "line": Item(class: Webbing, fibre: Polyester, rating: Label("90 kN"), width: "25 mm", mass_per_length: "50 g/m", stretch: Stiffness("300 kN")), {items} }})"#
    );
    Desk::open(&parsed(&t)).expect("there").review()
}
fn leg(r: &Review, n: usize) -> Strength {
    r.worst_of(&Place::Part("leg".to_owned(), n)).expect("there").strength.clone()
}
const ROCK: &str = r#"Strength(Label("900 kN"))"#;
#[test]
fn a_trunk_bends_by_its_diameter() {
    let r = small(
        "",
        r#"Part(item: "hmpe-8", length: "9 m", hitch: Basket, ends: (Spliced(bury: "580 mm", thimble: true), Spliced(bury: "580 mm", thimble: true)))"#,
        r#"Tree(diameter: "20 mm", slung_at: "0.4 m", rating: Judged("900 kN", "a bar"))"#,
        "",
    );
    let s = leg(&r, 1);
    assert!(s.steps.iter().any(|s| s.what == "lies around the trunk, D/d = 2.5"));
}
#[test]
fn the_lesser_of_open_gate_and_short_axis() {
    let item = r#""krab": Item(class: Connector, rating: Label("24 kN"), open: Label("7 kN"), minor: Label("10 kN"), stock: "10 mm", length: "100 mm"),"#;
    let r = small(
        "",
        r#"Part(item: "krab", gate: Open, off_axis: "40 deg"), Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm")))"#,
        ROCK,
        item,
    );
    assert!((leg(&r, 1).low_n - 7e3).abs() < 1e-6, "{:?}", leg(&r, 1));
}
#[test]
fn wear_of_metal() {
    let r = small(
        "",
        r#"Part(item: "bow-shackle-2t", condition: (abrasion: 0.8)), Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm")))"#,
        ROCK,
        "",
    );
    let q = small(
        "",
        r#"Part(item: "bow-shackle-2t"), Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm")))"#,
        ROCK,
        "",
    );
    assert!((leg(&r, 1).low_n / leg(&q, 1).low_n - 0.8).abs() < 1e-12);
}
#[test]
fn a_bury_of_66_diameters() {
    let of = |mm: u32| {
        leg(&small("", &format!(r#"Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "{mm} mm", thimble: true), Spliced(bury: "{mm} mm", thimble: true)))"#), ROCK, ""), 1).low_n
    };
    assert!((of(528) / of(576) - 66.0 / 72.0).abs() < 1e-9, "{}", of(528) / of(576));
}
#[test]
fn the_throat_of_an_eye() {
    // Rope of 8 mm on a pin of 4 mm, half the throat 30°: 6 mm × (cot 30° + π/6 + π/2) of rope in half the eye.
    let item = r#""pin": Item(class: Shackle, rating: Label("400 kN"), stock: "4 mm", length: "50 mm"),"#;
    let r = small(
        "",
        r#"Part(item: "pin"), Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm", eye: "22.9586757 mm"), Spliced(bury: "580 mm", thimble: true)))"#,
        ROCK,
        item,
    );
    let s = leg(&r, 2).steps.into_iter().find(|s| s.what.starts_with("throat")).expect("there");
    let Amount::Factor { low, .. } = s.amount else { panic!("another kind") };
    assert!((low - 0.75_f64.sqrt()).abs() < 1e-8, "{low}");
}
/// The two legs of an eye share unevenly: on a thin pin they are weaker than the splice that makes the eye.
#[test]
fn an_eye_on_a_thin_pin_is_the_weak_place() {
    // D/d = 5.4 / 8 = 0.675: by the table half a strand and a little, 0.45 + (0.675 − 0.5) / 0.5 × 0.15.
    let item = r#""pin": Item(class: Shackle, rating: Label("400 kN"), stock: "5.4 mm", length: "50 mm"),"#;
    let part = r#"Part(item: "pin"), Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm", thimble: true)))"#;
    let s = leg(&small("", part, ROCK, item), 2);
    assert!(s.spot.starts_with("eye on pin"), "{}", s.spot);
    let kept: f64 = s.steps.iter().map(|s| if let Amount::Factor { low, .. } = s.amount { low } else { 1.0 }).product();
    let want = 2.0 * 0.8 * (0.45 + 0.175 / 0.5 * 0.15);
    assert!(kept < 0.9 && (kept / want - 1.0).abs() < 0.02, "{kept} {want}");
}
#[test]
fn who_loses_a_hangs_from_b() {
    use spanwright::plan::templates::{AnchorKind, Answers, plan_text};
    let r = review(&parsed(&plan_text(&Answers {
        anchors: [AnchorKind::OneTree, AnchorKind::ThreeBolts],
        ..Answers::default()
    })))
    .expect("there");
    let gone: Vec<_> = r.incidents.iter().filter(|i| matches!(i.held, Some(Held::Only(_)))).collect();
    assert!(!gone.is_empty() && gone.iter().all(|i| i.held == Some(Held::Only(spanwright::plan::Side::B))));
}

/// A situation without a solution withholds every verdict of every class: here a leg cannot be as short as its tolerance.
#[test]
fn what_is_unsolved_withholds_every_verdict() {
    let f = with(DEMO, &[("length: Fit(tolerance: \"30 mm\")", "length: Fit(tolerance: \"9 m\")")]);
    let r = Desk::open(&f).expect("there").review();
    assert!(r.unsolved.iter().any(|u| u.why.contains("its tolerance is longer")), "{:?}", r.unsolved);
    assert!(r.rows.iter().all(|row| row.verdict == Verdict::Unsolved) && r.verdict == Verdict::Unsolved);
    assert!(!r.passes());
}
fn demo_rig() -> (PlanFile, Solver) {
    let f = parsed(DEMO);
    let s = Solver::new(spanwright::rig::Rig::build(&f.plan, &f.catalogue).expect("there")).expect("there");
    (f, s)
}
#[test]
fn a_metre_of_line_carries_its_backup_and_the_backups_excess() {
    let (_, s) = demo_rig();
    let own = s.rig.line.elements.iter().find(|e| e.item.class.is_soft()).expect("webbing").mass_per_m;
    assert!((hung_per_m(&s.rig) / own - 2.04).abs() < 1e-12, "{} of {own}", hung_per_m(&s.rig));
}
/// Moments about the front edge of its base: the weight at half the base against the pull along at its height and the
/// pull up at half the base.
#[test]
fn a_block_is_tipped_by_a_pull_along_and_up() {
    let block = r#""A bolt 2": Fixed(side: A, at: ("-3.4 m", "0.1 m", "-2.6 m"), by: Boulder(mass: "900 kg", friction: 9.0, base: "1.2 m", pulled_at: "0.4 m")),"#;
    let line = DEMO.lines().find(|l| l.contains("\"A bolt 2\": Fixed")).expect("there");
    let f = parsed(&DEMO.replacen(line.trim(), block, 1));
    let r = Desk::open(&f).expect("there").review();
    let row = r.rows.iter().find(|r| r.place.to_string() == "A bolt 2, anchor" && r.class == Class::Working);
    let row = row.expect("there");
    let case = r.cases.iter().find(|c| c.case.words() == row.case()).expect("there");
    let p = f.plan.points.get_index_of("A bolt 2").expect("there");
    let pull = case.response.reactions[p];
    let (flat, up, size) = (pull.x.hypot(pull.y), pull.z.abs(), pull.length());
    assert!(up > 0.3 * flat, "{pull}");
    let want = 0.5 * 900.0 * 9.80665 * 1.2 / (flat * 0.4 + 0.5 * up * 1.2) * size;
    assert!(row.strength.spot.contains("tips") && (row.strength.low_n / want - 1.0).abs() < 1e-9, "{want} {row:?}");
}
/// A leg is short by its tolerance while the others of its anchor are long by theirs.
#[test]
fn one_leg_short_means_the_others_long() {
    let (f, s) = demo_rig();
    let legs: Vec<usize> = (0..3)
        .map(|k| {
            let run = f.plan.runs.get_index_of(&format!("A leg {}", k + 1)).expect("there");
            s.rig.legs.iter().position(|l| l.run == run).expect("there")
        })
        .collect();
    let mut offsets: Vec<f64> = (0..s.rig.legs.len()).map(|i| s.standing.lengths.offset(i)).collect();
    for (k, &leg) in legs.iter().enumerate() {
        offsets[leg] += if k == 1 { -0.03 } else { 0.03 };
    }
    let standing = s.rig.stand(offsets, None).expect("there");
    let (case, solution) = s.rig.solve(&standing.lengths, &Case::standing().load, None);
    let want = s.rig.response(&case, &solution).run_n[s.rig.legs[legs[1]].run];
    let r = Desk::open(&f).expect("there").review();
    let short = r.cases.iter().find(|c| c.case.words().starts_with("standing, A leg 2 30 mm short"));
    let got = short.expect("there").response.run_n[s.rig.legs[legs[1]].run];
    assert!((got / want - 1.0).abs() < 1e-6, "{got} {want}");
}
/// Peaks along the line are looked for between the places of the sweep.
#[test]
fn the_worst_place_of_a_walker_is_found() {
    let (f, mut s) = demo_rig();
    let r = Desk::open(&f).expect("there").review();
    for run in ["A leg 1", "A leg 2", "A leg 3", "B leg 1", "B leg 2", "main"] {
        let k = f.plan.runs.get_index_of(run).expect("there");
        let found = r.cases.iter().filter(|c| c.case.words().starts_with("walker 0."));
        let found = found.map(|c| c.response.run_n[k]).fold(0.0, f64::max);
        let dense = (3..=77).map(|i| {
            let solved = s.solve(&Case::walker(&f.plan, f64::from(i) / 80.0)).expect("there").expect("there");
            solved.response.run_n[k]
        });
        let dense = dense.fold(0.0, f64::max);
        assert!(found > (1.0 - 2e-5) * dense, "{run}: {found} of {dense}");
    }
}
#[test]
fn of_each_class_something_is_played_again_more_finely() {
    for class in [Class::Fall, Class::Failure] {
        assert!(demo().incidents.iter().any(|i| i.event.class == class && i.mesh_error.is_some()), "{class:?}");
    }
}
/// Where hardly anything moves, the line carries those who stand on it, and not its own mass as well.
#[test]
fn who_stands_still_is_carried_by_their_weight() {
    let file = parsed(SHORT);
    let desk = Desk::open(&file).expect("there");
    let event =
        desk.events().iter().find(|e| e.words() == "A backup strop or A bolt back gone, walker 0.81").expect("there");
    let (i, _) = desk.watch(event);
    let Who::Standing(kg) = i.event.who else { panic!("{:?}", i.event.who) };
    assert!(!i.idle && i.drop_m < 0.05, "{}", i.drop_m);
    assert!((i.peaks.body_n / (kg * 9.80665) - 1.0).abs() < 2e-4, "{} {kg}", i.peaks.body_n);
}
/// Feet after a fall by energy are a little lower than those of the motion, the leash's stretch included in both.
#[test]
fn the_envelope_is_where_feet_come_in_a_played_fall() {
    let r = demo();
    let mut seen = 0;
    for i in r.incidents.iter().filter(|i| i.event.is_fall() && i.event.missing.is_none() && i.breaks.is_none()) {
        let near = r.envelope.iter().min_by(|a, b| (a.at - i.event.at).abs().total_cmp(&(b.at - i.event.at).abs()));
        let near = near.filter(|l| (l.at - i.event.at).abs() < 2e-3).and_then(|l| l.fall_m);
        if let Some(feet_m) = near {
            // Of new gear here, at the stiff end there unless it was played with new gear as well.
            let range = if i.event.against.new_gear { -0.4..0.1 } else { -1.6..0.1 };
            assert!(range.contains(&(feet_m - i.feet_m[0])), "{} {feet_m} {}", i.event.words(), i.feet_m[0]);
            seen += 1;
        }
    }
    assert!(seen > 0);
}
/// Of two legs as long as each other the one of softer rope counts as softer.
#[test]
fn a_leg_of_softer_rope_makes_legs_uneven() {
    let hmpe = r#"Part(item: "hmpe-8", length: Fit(tolerance: "30 mm"), ends: (Spliced(bury: "580 mm", thimble: true), Spliced(bury: "580 mm")))"#;
    let soft = r#"Part(item: "static-rope-11", length: Fit(tolerance: "30 mm"), ends: (Knotted(), Knotted()))"#;
    let uneven = |f: PlanFile| {
        let r = Desk::open(&f).expect("there").review();
        r.findings.iter().any(|f| f.rule == "uneven-legs" && f.at == "A master")
    };
    assert!(uneven(with(DEMO, &[(hmpe, soft)])) && !uneven(parsed(DEMO)));
}
#[test]
fn a_made_leash_counts_with_its_own_length() {
    let part = r#"Part(item: "leash-dynamic", length: "1.4 m", ends: (Knotted(knot: "figure-eight"), Knotted(knot: "figure-eight")), serial: "L-2")"#;
    let made = r#"    items: { "leash-made": Item(class: Leash, fibre: Nylon, rating: Label("18 kN"), diameter: "9.8 mm", length: "2.6 m", mass_per_length: "90 g/m", stretch: [("4 kN", "24 %"), ("18 kN", "50 %")]) },
    tensioning:"#;
    let f = with(DEMO, &[(part, r#"Part(item: "leash-made", ends: (Sewn, Sewn))"#), ("    tensioning:", made)]);
    let r = Desk::open(&f).expect("there").review();
    let said: Vec<_> = r.findings.iter().filter(|f| f.rule == "leash").map(|f| f.text.as_str()).collect();
    assert!(said.iter().any(|t| t.contains("2.60 m long")), "{said:?}");
}
/// Where one leg carries all, what else hangs on its anchor stays there.
#[test]
fn what_else_hangs_on_the_last_anchor_stays_on_it() {
    let f = with(DEMO, &[("from: \"A bolt 4\", to: \"A bolt 5\"", "from: \"A bolt 2\", to: \"A bolt 5\"")]);
    let r = Desk::open(&f).expect("there").review();
    let failure = |place: &str| {
        let row = r.rows.iter().find(|r| r.place.to_string() == place && r.class == Class::Failure);
        row.expect("there").demand_n
    };
    let (anchor, leg) = (failure("A bolt 2, anchor"), failure("A leg 2, part 2"));
    let spreader = f.plan.runs.get_index_of("A spreader").expect("there");
    let hung = r.cases.iter().filter(|c| c.case.class == Class::Working).map(|c| c.response.run_n[spreader]);
    let hung = hung.fold(0.0, f64::max);
    assert!(hung > 50.0 && (anchor - leg - hung).abs() < 1e-6 * anchor, "{anchor} {leg} {hung}");
}
fn said<'a>(r: &'a Review, rule: &str, at: &str) -> Option<&'a str> {
    r.findings.iter().find(|f| f.rule == rule && f.at.starts_with(at)).map(|f| f.text.as_str())
}
#[test]
fn a_thimble_at_one_end_is_none_at_the_other() {
    // The second eye lies bare on a pin of 4 mm: 8 mm rope, D/d = 0.5.
    let r = small(
        "",
        r#"Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm", thimble: true), Spliced(bury: "580 mm"))), Part(item: "pin")"#,
        ROCK,
        r#""pin": Item(class: Shackle, rating: Label("400 kN"), stock: "4 mm", length: "50 mm"),"#,
    );
    assert!(said(&r, "tight-bend", "leg").is_some_and(|t| t.contains("D/d = 0.5")));
}
const HMPE: &str = r#"Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm")))"#;
#[test]
fn two_bolts_and_a_rock_are_three_anchors() {
    let of = |second: &str| {
        small(
            &format!(
                r#""b": Fixed(side: A, at: ("-4 m", "1 m", "0 m"), by: Bolt(item: "bolt-glued-12", faces: (0.0, 0.0, 1.0))),
            "c": Fixed(side: A, at: ("-4 m", "-1 m", "0 m"), by: {second})"#
            ),
            &format!(
                r#"{HMPE}]), "leg 2": Run(from: "b", to: "master", parts: [{HMPE}]), "leg 3": Run(from: "c", to: "master", parts: [{HMPE}"#
            ),
            ROCK,
            "",
        )
    };
    assert_eq!(said(&of(r#"Bolt(item: "bolt-glued-12", faces: (0.0, 0.0, 1.0))"#), "too-few-anchors", "A"), None);
}
#[test]
fn a_leg_that_comes_in_when_another_goes_is_not_idle() {
    // 20 cm longer than its way: slack in every situation, short or not, and taut once the middle leg has gone.
    let f = with(DEMO, &[("length: Fit(tolerance: \"30 mm\")", "length: \"3.65 m\", tolerance: \"30 mm\"")]);
    let still = Desk::open(&f).expect("there").review();
    assert!(said(&still, "idle-leg", "A leg 1").is_some(), "{:?}", still.findings);
    let r = review(&f).expect("there");
    let run = r.run_names.iter().position(|n| n == "A leg 1").expect("there");
    assert!(r.incidents.iter().any(|i| i.peaks.run_n.get(run).is_some_and(|n| *n > 500.0)));
    assert_eq!(said(&r, "idle-leg", "A leg 1"), None);
    assert!(said(&r, "late-leg", "A leg 1").is_some(), "{:?}", r.findings);
}
#[test]
fn the_higher_end_is_the_tighter_one() {
    // A fifth of 90 kN is 18 kN; B is 20 m higher, so by w h = 0.05 kg/m × 9.80665 × 20 m = 9.8 N tighter than A.
    let t = r#"Plan(format: 1, title: "t", site: Site(span: "50 m", height_difference: "20 m"), points: {
      "far": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))), "near": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: Strength(Label("900 kN"))) },
      runs: { "main": Run(role: Main, from: "near", to: "far", parts: [Part(item: "line", length: Solve(standing: "17.995 kN", at: A), ends: (Made(), Made()))]) },
      items: { "line": Item(class: Webbing, fibre: Polyester, rating: Label("90 kN"), width: "25 mm", mass_per_length: "50 g/m", stretch: Stiffness("300 kN")) })"#;
    let r = Desk::open(&parsed(t)).expect("there").review();
    let n = r.line.standing_n;
    assert!(n[0] < 18e3 && n[1] > 18e3, "{n:?}");
    assert!(r.findings.iter().any(|f| f.rule == "standing-too-tight" && !f.text.contains("ends leave")));
}
#[test]
fn an_eye_sits_where_the_plan_says() {
    // A shackle with a bow of 4 mm and a pin of 8 mm under 8 mm rope: D/d = 0.5 or 1.
    for (sits, want) in [(", sits: Pin", "D/d = 1.0"), (", sits: Bow", "D/d = 0.5")] {
        let r = small(
            "",
            &format!(
                r#"Part(item: "pin"{sits}), Part(item: "hmpe-8", length: Fit(), ends: (Spliced(bury: "580 mm"), Spliced(bury: "580 mm", thimble: true)))"#
            ),
            ROCK,
            r#""pin": Item(class: Shackle, rating: Label("400 kN"), stock: "4 mm", pin: "8 mm", length: "50 mm"),"#,
        );
        assert!(
            said(&r, "tight-bend", "leg").is_some_and(|t| t.contains(want)),
            "{sits} {:?}",
            said(&r, "tight-bend", "leg")
        );
    }
}
#[test]
fn the_tie_of_the_backups_carries_the_larger_of_both() {
    // A backup rigged nearly taut carries in use.
    let r = Desk::open(&with(LONG, &[("excess: \"5 %\"", "excess: \"0.2 %\"")])).expect("there").review();
    let row = r.rows.iter().find(|r| r.place == Place::Joint("backup to backup".to_owned())).expect("there");
    let most =
        r.cases.iter().flat_map(|c| &c.response.joints).map(|j| j[2].length().max(j[3].length())).fold(0.0, f64::max);
    assert!((row.demand_n - most).abs() < 1e-9 && most > 0.0, "{} {most}", row.demand_n);
}
#[test]
fn an_anchor_is_moved_back_away_from_the_gap() {
    use spanwright::review::mended;
    let f = parsed(DEMO);
    let base = Desk::open(&f).expect("there").review();
    let here = Place::Anchor("A bolt 1".to_owned());
    let of = |r: &Review| r.rows.iter().find(|r| r.place == here && r.class == Class::Working).expect("there").clone();
    let tried = mended(&f, &base, &of(&base), &std::sync::atomic::AtomicBool::new(false));
    // By hand: on side A back is towards −x. What does not help is not told.
    let by_hand = with(DEMO, &[("at: (\"-3.2 m\", \"1.3 m\"", "at: (\"-4.2 m\", \"1.3 m\"")]);
    let want = of(&Desk::open(&by_hand).expect("there").review()).factor;
    let told = tried.iter().find(|m| m.what == "moved back by 1 m").map(|m| m.factor);
    assert!(told.map_or(want <= 1.005 * of(&base).factor, |n| (n / want - 1.0).abs() < 1e-9), "{told:?} {want}");
}
#[test]
fn ends_keep_something_between_their_low_and_their_nominal() {
    use spanwright::review::doubt;
    // A label counts as it stands (mean 1), so the middle lies halfway between what ends keep at least and as a rule.
    let own = "    items: {\"webbing-own\": Item(class: Webbing, fibre: Polyester, rating: Label(\"30 kN\"), width: \"25 mm\", mass_per_length: \"55 g/m\", stretch: [(\"2 kN\", \"1 %\"), (\"4 kN\", \"2 %\"), (\"10 kN\", \"4.5 %\"), (\"30 kN\", \"12 %\")])},\n    tensioning:";
    let t = DEMO
        .replacen("    tensioning:", own, 1)
        .replace("Part(item: \"webbing-polyester-25\"", "Part(item: \"webbing-own\"");
    let f = parsed(&t);
    let base = Desk::open(&f).expect("there").review();
    let here = Place::Part("main".to_owned(), 3);
    let s = base.rows.iter().find(|r| r.place == here && r.class == Class::Working).expect("there").strength.clone();
    let more = s.nominal_n / s.low_n - 1.0;
    assert!(more > 0.05, "{more}");
    let d = doubt(&f, &base, 2000, 1, &std::sync::atomic::AtomicBool::new(false)).expect("a rig").expect("told");
    let p = d.pieces.iter().find(|p| p.place == here && p.class == Class::Working).expect("there");
    assert!((p.middle / p.factor - (1.0 + 0.5 * more)).abs() < 0.2 * more, "{} {more}", p.middle / p.factor);
}
/// By cross-section a rope of 4 mm with the strength of one of 7 mm is odd, though no longer per millimetre.
#[test]
fn a_thin_rope_with_a_thick_ones_strength_is_odd() {
    let own = "    items: { \"thin\": Item(class: HollowBraid, fibre: Hmpe, rating: Label(\"60 kN\"), diameter: \"4 mm\", mass_per_length: \"10 g/m\") },\n    tensioning:";
    let r = Desk::open(&with(DEMO, &[("    tensioning:", own)])).expect("there").review();
    assert!(said(&r, "odd-figure", "thin").is_some_and(|t| t.contains("strength")), "{:?}", said(&r, "odd-figure", ""));
}
/// A hole of a plate that is too weak is a row of its own; the plate itself does not break for it.
#[test]
fn a_weak_hole_does_not_end_a_fall() {
    let own = "    items: { \"plate-own\": Item(class: Plate, rating: Label(\"100 kN\"), hole: Label(\"1 kN\"), stock: \"12 mm\") },\n    tensioning:";
    let ring = "\"A master\": Free(side: A, near: (\"0 m\", \"0 m\", \"0 m\"), hardware: \"master-ring\")";
    let f = with(DEMO, &[("    tensioning:", own), (ring, &ring.replace("master-ring", "plate-own"))]);
    let desk = Desk::open(&f).expect("there");
    assert!(desk.review().rows.iter().any(|r| r.place.to_string().contains("A master") && r.verdict == Verdict::Below));
    let event = desk.events().iter().find(|e| e.is_fall()).expect("there");
    assert_eq!(desk.watch(event).0.breaks, None);
}
