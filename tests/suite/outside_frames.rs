//! Heads on struts against values worked out apart from the program (`fixtures/trip.json`, kind 15): the head on its circle,
//! elastic struts made stiffer and stiffer, and the conditions of a head on its way all at once agree there to 1e-7.

use std::sync::Arc;

use glam::DVec3;
use serde_json::Value;
use spanwright::mechanics::edge::{Turn, drawn_over_m};
use spanwright::mechanics::equilibrium::{MemberState, Solution};
use spanwright::mechanics::frame::{Came, Frame, Section, Strut, rest, resting_places, stands};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::span::Zone;
use spanwright::mechanics::{G, certificate, equilibrium};
use spanwright::plan::PlanFile;
use spanwright::review::{Cause, Desk, Gravity, Lost, Place, Review, Situation, Verdict, at_rest};

struct Case(Value);

fn case(id: &str) -> Case {
    let all: Value = serde_json::from_str(include_str!("../fixtures/trip.json")).expect("json");
    let all = all["cases"].as_array().expect("cases").clone();
    Case(all.into_iter().find(|c| c["id"] == id).unwrap_or_else(|| panic!("no case {id}")))
}

fn vec3(v: &Value) -> DVec3 {
    let at = |i: usize| v[i].as_f64().expect("a number");
    DVec3::new(at(0), at(1), at(2))
}

fn number(v: &Value) -> f64 {
    v.as_f64().expect("a number")
}

fn linear(ea_n: f64) -> Arc<StrainLaw> {
    Arc::new(StrainLaw::linear(ea_n).expect("a law"))
}

fn cable(v: &Value, path: Vec<usize>) -> Member {
    let (length_m, ea) = (number(&v["L0_m"]), number(&v["EA_N"]));
    let piece = Piece { length_m, gauge_m: length_m, law: linear(ea) };
    Member::Link(Link::new(path, Arc::new(LengthLaw::series(vec![piece]).expect("a chain"))))
}

fn held(place: DVec3) -> Node {
    Node { place, fixed: true, load_n: DVec3::ZERO }
}

impl Case {
    fn input(&self, name: &str) -> &Value {
        &self.0["inputs"][name]
    }

    fn is(&self, name: &str, ours: f64) {
        let get = |of: &str| self.0[of][name].as_f64().unwrap_or_else(|| panic!("{}: no {of} {name}", self.0["id"]));
        let (want, tolerance) = (get("outputs"), get("abs_tolerance"));
        println!("{} {name}: {ours:.9}, expected {want:.9} ± {tolerance}", self.0["id"]);
        assert!((ours - want).abs() <= tolerance, "{} {name}: {ours}, not {want}", self.0["id"]);
    }

    fn names(&self) -> Vec<String> {
        let struts = self.input("struts").as_array().expect("struts");
        struts.iter().map(|s| s["name"].as_str().expect("a name").to_owned()).collect()
    }

    fn frame(&self, near: Option<DVec3>) -> Frame {
        let struts: Vec<Strut> = self
            .input("struts")
            .as_array()
            .expect("struts")
            .iter()
            .map(|s| Strut { foot: vec3(&s["foot"]), length_m: number(&s["length_m"]) })
            .collect();
        let middle = struts.iter().map(|s| s.foot).sum::<DVec3>() / struts.len() as f64;
        Frame::new(0, struts, near.unwrap_or(middle + DVec3::Z)).expect("they reach")
    }

    /// The head first, then what its cables come from.
    fn net(&self, frame: &Frame) -> Net {
        let mut net = Net { nodes: vec![held(frame.drawn)], members: Vec::new() };
        net.nodes[0].load_n = vec3(self.input("force_on_head_N"));
        for c in self.input("cables").as_array().into_iter().flatten() {
            let from = net.nodes.len();
            net.nodes.push(held(vec3(&c["from"])));
            let mut path = vec![from, 0];
            if !c["to"].is_null() {
                path.push(net.nodes.len());
                net.nodes.push(held(vec3(&c["to"])));
            }
            net.members.push(cable(c, path));
        }
        net
    }

    fn head(&self, head: DVec3) {
        self.is("head_x_m", head.x);
        self.is("head_y_m", head.y);
        self.is("head_z_m", head.z);
    }

    fn feet(&self, frame: &Frame, head: DVec3, pull: DVec3) {
        let thrusts = frame.thrusts_n(head, pull);
        let mut back = pull;
        for ((name, s), c) in self.names().iter().zip(&frame.struts).zip(&thrusts) {
            let u = (head - s.foot).normalize();
            back += u * *c;
            self.is(&format!("{name}_N"), *c);
            self.is(&format!("{name}_foot_down_N"), c * u.z);
            self.is(&format!("{name}_foot_level_N"), c * u.x.hypot(u.y));
            self.is(&format!("{name}_friction_needed_ratio"), u.x.hypot(u.y) / u.z);
        }
        assert!(back.length() < 1e-4, "struts and pulls balance at the head: {back} N left");
    }

    fn cables(&self, solution: &Solution) {
        for (c, m) in self.input("cables").as_array().into_iter().flatten().zip(&solution.members) {
            let MemberState::Link { tension_n, .. } = m else { panic!("a link") };
            self.is(&format!("{}_N", c["name"].as_str().expect("a name")), *tension_n);
        }
    }

    fn lean_deg(&self, frame: &Frame, head: DVec3) -> f64 {
        frame.lean(head).to_degrees() * (head.x - frame.drawn.x).signum()
    }
}

#[test]
fn guyed_frames_stand_where_three_formulations_say() {
    for id in ["p15-aframe", "p15-aframe-askew", "p15-ginpole"] {
        let c = case(id);
        let frame = c.frame(None);
        let mut net = c.net(&frame);
        let (solution, came) = rest(&mut net, std::slice::from_ref(&frame), None);
        assert_eq!(came, Came::Rests, "{id}");
        assert!(certificate::certify(&net, &solution).holds());
        let head = solution.places[0];
        c.head(head);
        if c.names().len() == 2 {
            c.is("lean_deg", c.lean_deg(&frame, head));
        }
        c.feet(&frame, head, -solution.gradient[0]);
        c.cables(&solution);
        let s = stands(&net, std::slice::from_ref(&frame), &solution).expect("solved");
        c.is("side_stiffness_ratio", s.stiffness_ratio.expect("it is pushed down"));
        assert!(s.from_5_mm && s.left_n < 1e-3, "{id}: {s:?}");
    }
}

/// Without guys it balances at one lean, plain statics finds nothing wrong there, and it falls from it.
#[test]
fn a_frame_without_guys_balances_and_falls() {
    let c = case("p15-aframe-no-guys");
    let frame = c.frame(None);
    let net = c.net(&frame);
    let (_, came) = rest(&mut net.clone(), std::slice::from_ref(&frame), None);
    assert_eq!(came, Came::Falls);
    let found = resting_places(&net, &frame, None);
    let [(head, back)] = found.as_slice() else { panic!("{found:?}") };
    assert!(!back, "it is not pushed back");
    let mut there = net.clone();
    there.nodes[0].place = *head;
    let solution = equilibrium::solve(&there, None);
    assert!(certificate::certify(&there, &solution).holds(), "plain statics holds");
    c.head(*head);
    c.is("lean_deg", c.lean_deg(&frame, *head));
    c.feet(&frame, *head, -solution.gradient[0]);
    c.cables(&solution);
    let s = stands(&there, std::slice::from_ref(&frame), &solution).expect("solved");
    c.is("side_stiffness_ratio", s.stiffness_ratio.expect("it is pushed down"));
    assert!(!s.from_5_mm && !s.from_50_mm);
}

#[test]
fn three_struts_stand_by_their_lengths() {
    let c = case("p15-tripod");
    let frame = c.frame(Some(vec3(c.input("start_head"))));
    c.head(frame.drawn);
    c.feet(&frame, frame.drawn, vec3(c.input("force_on_head_N")));
}

/// With the line: a leg over the head to a free master, a heavy line from there, a walker or nobody on it.
#[test]
fn a_frame_stands_under_a_line() {
    let c = case("p15-whole");
    let frame = c.frame(None);
    let bolt = vec3(c.input("bolt"));
    let end = vec3(c.input("end"));
    let line = c.input("line");
    let (length_m, weight) = (number(&line["L0_m"]), number(&line["mu_kg_per_m"]) * G);
    let zone = |length_m: f64| Zone {
        length_m,
        load_n_per_m: DVec3::new(0.0, 0.0, -weight),
        law: linear(number(&line["EA_N"])),
    };
    let free = |place: DVec3, kg: f64| Node { place, fixed: false, load_n: DVec3::new(0.0, 0.0, -kg * G) };
    let share = number(c.input("walker_share_ratio"));
    for (prefix, kg) in [("standing_", 0.0), ("", number(c.input("walker_kg")))] {
        let mut net =
            Net { nodes: vec![held(frame.drawn), held(bolt), free(DVec3::new(1.5, 0.0, 1.9), 0.0)], members: vec![] };
        net.nodes.push(held(end));
        net.members.push(cable(c.input("leg"), vec![1, 0, 2]));
        for g in c.input("guys").as_array().expect("guys") {
            let n = net.nodes.len();
            net.nodes.push(held(vec3(&g["from"])));
            net.members.push(cable(g, vec![n, 0]));
        }
        if kg > 0.0 {
            let n = net.nodes.len();
            net.nodes.push(free(DVec3::new(32.0, 0.0, 1.0), kg));
            net.members.push(Member::Span(Span { a: 2, b: n, zones: vec![zone(share * length_m)] }));
            net.members.push(Member::Span(Span { a: n, b: 3, zones: vec![zone((1.0 - share) * length_m)] }));
        } else {
            net.members.push(Member::Span(Span { a: 2, b: 3, zones: vec![zone(length_m)] }));
        }
        let (solution, came) = rest(&mut net, std::slice::from_ref(&frame), None);
        assert_eq!(came, Came::Rests);
        let is = |name: &str, ours: f64| c.is(&format!("{prefix}{name}"), ours);
        is("lean_deg", c.lean_deg(&frame, solution.places[0]));
        is("master_x_m", solution.places[2].x);
        is("master_z_m", solution.places[2].z);
        is("T_line_at_A_N", solution.span_force(3).expect("a span").length());
        let tension = |m: usize| match solution.members[m] {
            MemberState::Link { tension_n, .. } => tension_n,
            _ => panic!("a link"),
        };
        is("leg_N", tension(0));
        is("fore_guy_N", tension(1));
        is("back_guy_N", tension(2));
        is("strut_N", frame.thrusts_n(solution.places[0], -solution.gradient[0])[0]);
        let s = stands(&net, std::slice::from_ref(&frame), &solution).expect("solved");
        is("stays_up_ratio", s.stiffness_ratio.expect("it is pushed down"));
    }
}

/// Euler's load and a bowed strut's against formulas and finite differences.
#[test]
fn struts_bear_what_a_bowed_column_bears() {
    for id in ["p15-tube", "p15-pole"] {
        let c = case(id);
        let of = c.input("section");
        let outside = if of["shape"] == "tube" { "outside_m" } else { "diameter_m" };
        let section = Section {
            outside_m: number(&of[outside]),
            wall_m: of["wall_m"].as_f64(),
            modulus_pa: number(c.input("E_Pa")),
            yields_pa: number(c.input("yields_Pa")),
        };
        let length = number(c.input("length_m")) * number(c.input("effective_ratio"));
        let bears = section.bears(length, number(c.input("bow_m")) + number(c.input("off_centre_m")));
        c.is("area_ratio", 1e4 * section.area_m2());
        c.is("second_moment_ratio", 1e8 * section.second_moment_m4());
        c.is("euler_N", bears.euler_n);
        c.is("squash_N", bears.squash_n);
        c.is("bears_N", bears.bears_n);
    }
}

#[test]
fn a_leg_over_an_edge() {
    let c = case("p15-edge");
    let (bolt, edge) = (vec3(c.input("bolt")), vec3(c.input("edge")));
    let turn = Turn::new(bolt, edge, vec3(c.input("pull_direction")));
    let (pull, ea, mu) = (number(c.input("pull_N")), number(c.input("EA_N")), number(c.input("friction")));
    let (way, whole) = (edge.distance(bolt), number(c.input("L0_m")));
    c.is("turn_deg", turn.angle().to_degrees());
    for (name, friction) in [("least", mu), ("none", 0.0), ("most", -mu)] {
        let behind = turn.behind_n(pull, friction);
        c.is(&format!("{name}_behind_N"), behind);
        c.is(&format!("{name}_on_edge_N"), turn.on_edge_n(pull, behind));
        let before = whole - way / (1.0 + behind / ea);
        c.is(&format!("{name}_reach_m"), before * (1.0 + pull / ea));
    }
    let strain = |n: f64| n / ea;
    let standing = strain(number(c.input("standing_N")));
    c.is("drawn_over_edge_m", drawn_over_m(way, standing, strain(turn.behind_n(pull, mu))));
}

/// A gin pole's guy: T = (W + w/2) D / Y (an old manual of military engineering, FM 5-125, chapter 4; from memory): 2,400 lb at
/// the head of a pole of 800 lb, 20 ft of drift, the guy's lever 28 ft: 2,000 lb.
#[test]
fn a_gin_poles_guy_by_moments() {
    let (pound, foot) = (4.448_221_615_260_5, 0.3048);
    let (drift, height) = (20.0 * foot, 36.0 * foot);
    let head = DVec3::new(drift, 0.0, height);
    // A guy whose line passes the foot at 28 ft: from the head, towards an anchor far behind.
    let lever = 28.0 * foot;
    let length = head.length();
    let below = (lever / length).asin();
    let down = height.atan2(drift);
    // The guy leaves the head at this angle to the pole, on the side away from the drift.
    let heading = down + std::f64::consts::PI - below;
    let guy = DVec3::new(heading.cos(), 0.0, heading.sin());
    let anchor = head + guy * 30.0;
    let frame = Frame::new(0, vec![Strut { foot: DVec3::ZERO, length_m: length }], head).expect("a pole");
    let mut net = Net { nodes: vec![held(head), held(anchor)], members: Vec::new() };
    net.nodes[0].load_n = DVec3::new(0.0, 0.0, -2800.0 * pound);
    let stiff = |from: DVec3| serde_json::json!({ "L0_m": from.distance(head), "EA_N": 1e9 });
    net.members.push(cable(&stiff(anchor), vec![1, 0]));
    for side in [-1.0, 1.0] {
        // Level, and a little tight: they hold it upright and pull nothing down.
        let from = DVec3::new(drift, side * 30.0, height);
        let n = net.nodes.len();
        net.nodes.push(held(from));
        net.members.push(cable(&serde_json::json!({ "L0_m": 29.99, "EA_N": 1e6 }), vec![n, 0]));
    }
    let (solution, came) = rest(&mut net, std::slice::from_ref(&frame), None);
    assert_eq!(came, Came::Rests);
    let MemberState::Link { tension_n, .. } = solution.members[0] else { panic!("a link") };
    assert!((tension_n / pound - 2000.0).abs() < 2.0, "{} lb", tension_n / pound);
}

/// The same frame, line and walker said as a plan: statics, thrusts and side stiffness of the review.
const WHOLE: &str = r#"Plan(
    format: 1,
    title: "A frame as worked out apart",
    site: Site(span: "63.5 m", height_difference: "3.1 m", air: Air(rigged_at: "15 degC", coldest: "15 degC", warmest: "15 degC")),
    people: People(walkers: ["80 kg"], leash: "leash", together: 1),
    points: {
        "A bolt": Fixed(side: A, at: ("-4.4 m", "0 m", "0.4 m"), by: Strength(Judged("40 kN", "worked out apart"))),
        "A fore": Fixed(side: A, at: ("1.6 m", "0 m", "-0.4 m"), by: Strength(Judged("40 kN", "worked out apart"))),
        "A back": Fixed(side: A, at: ("-2.8 m", "0 m", "0.1 m"), by: Strength(Judged("40 kN", "worked out apart"))),
        "A head": Fixed(side: A, at: ("0 m", "0 m", "1.961505 m"), by: Frame(struts: [
            Strut(item: "bar", foot: ("0 m", "0.75 m", "0 m"), length: "2.1 m", stands: Pinned()),
            Strut(item: "bar", foot: ("0 m", "-0.75 m", "0 m"), length: "2.1 m", stands: Pinned()),
        ])),
        "A master": Free(side: A, near: ("1.55 m", "0 m", "1.95 m")),
        "B end": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: Strength(Judged("40 kN", "worked out apart"))),
    },
    items: {
        "bar": Item(class: Strut, outside: "60 mm", wall: "3 mm", modulus: "70 GPa", yields: "160 MPa"),
        "leg": Item(class: Rope, fibre: Polyester, rating: Judged("30 kN", "worked out apart"), stretch: Stiffness("1200 kN")),
        "guy": Item(class: Rope, fibre: Polyester, rating: Judged("30 kN", "worked out apart"), stretch: Stiffness("150 kN")),
        "line": Item(class: Webbing, fibre: Polyester, rating: Judged("30 kN", "worked out apart"), stretch: Stiffness("200 kN"), mass_per_length: "112.2 g/m"),
    },
    runs: {
        "A leg": Run(from: "A bolt", through: ["A head"], to: "A master", parts: [Part(item: "leg", length: "6.2 m")]),
        "A fore guy": Run(role: Guy, from: "A fore", to: "A head", parts: [Part(item: "guy", length: "2.86 m")]),
        "A back guy": Run(role: Guy, from: "A back", to: "A head", parts: [Part(item: "guy", length: "3.34 m")]),
        "main": Run(role: Main, from: "A master", to: "B end", parts: [Part(item: "line", length: "61 m")]),
        "leash": Run(role: Leash, parts: [Part(item: "leash-dynamic", length: "1.3 m")]),
    },
)"#;

fn reviewed(text: &str) -> (PlanFile, Review) {
    let file = PlanFile::parse("frame", text.to_owned()).unwrap_or_else(|e| panic!("{}", e.show("frame")));
    assert!(file.is_sound(), "{}", file.show_faults());
    let review = at_rest(&file).unwrap_or_else(|why| panic!("{why}"));
    (file, review)
}

#[test]
fn a_frame_said_as_a_plan() {
    let c = case("p15-whole");
    let (_, review) = reviewed(WHOLE);
    for (prefix, situation) in [("standing_", Situation::STANDING), ("", Situation::walker(0.5))] {
        let solved = review.at_rest(&situation).expect("solved");
        assert!(solved.certified());
        let is = |name: &str, ours: f64| c.is(&format!("{prefix}{name}"), ours);
        let run = |name: &str| review.run_names.iter().position(|n| n == name).expect("a run");
        is("T_line_at_A_N", solved.response.line_n[0]);
        is("leg_N", solved.response.run_n[run("A leg")]);
        is("fore_guy_N", solved.response.run_n[run("A fore guy")]);
        is("back_guy_N", solved.response.run_n[run("A back guy")]);
        let master = review.point_names.iter().position(|n| n == "A master").expect("a point");
        is("master_x_m", solved.response.places[master].x);
        is("master_z_m", solved.response.places[master].z);
    }
    let [framed] = review.frames.as_slice() else { panic!("one frame") };
    let standing = framed.standing.as_ref().expect("standing");
    c.is("standing_strut_N", standing.struts[0].thrust_n);
    c.is("standing_lean_deg", standing.lean_deg);
    c.is("standing_stays_up_ratio", standing.stiffness_ratio.expect("pushed down"));
    assert!(standing.stands && standing.from_50_mm == Some(true));
}

/// Without its guys plain statics is certified in every situation, and the review says that it falls.
#[test]
fn a_plan_without_guys_is_found_to_fall() {
    let without = WHOLE.lines().filter(|l| !l.contains("role: Guy")).collect::<Vec<_>>().join("\n");
    let (_, review) = reviewed(&without);
    assert!(review.unsolved.is_empty() && review.cases.iter().all(spanwright::review::Solved::certified));
    for rule in ["frame-falls", "frame-not-guyed"] {
        let found = review.findings.iter().find(|f| f.rule == rule && f.gravity == Gravity::Stop);
        assert!(found.is_some_and(|f| f.at == "A head"), "{rule}: {:#?}", review.findings);
    }
    let verdicts = review.rows.iter().filter(|r| matches!(&r.place, Place::Frame(..))).map(|r| r.verdict);
    assert!(
        verdicts.collect::<Vec<_>>().iter().all(|v| *v == Verdict::Unsolved),
        "no verdict stands on a frame that falls"
    );
}

/// What a strut bears in the review is Euler's load, bowed and off centre, of its own length.
#[test]
fn a_strut_in_a_plan_bears_what_its_section_does() {
    let (_, review) = reviewed(WHOLE);
    let section = Section { outside_m: 0.06, wall_m: Some(0.003), modulus_pa: 70e9, yields_pa: 160e6 };
    let want = section.bears(2.1, 0.005 * 2.1 + 0.01).bears_n;
    assert!((review.frames[0].bears_n[0].expect("known") - want).abs() < 1e-6 * want);
    let row = review.rows.iter().find(|r| r.place.to_string() == "A head, strut 1").expect("a row");
    assert!((row.strength.low_n - want).abs() < 1e-6 * want && row.verdict == Verdict::Meets);
}

/// A guy that goes takes its frame with it, and so does what the guy is held by; what was led over it comes taut again.
#[test]
fn a_guy_that_goes_takes_its_frame_along() {
    let (file, _) = reviewed(WHOLE);
    let desk = Desk::open(&file).expect("a rig");
    let pieces = |e: &&spanwright::review::Event| match &e.situation.cause {
        Cause::Gone { pieces, .. } => pieces.clone(),
        _ => Vec::new(),
    };
    let head = Lost::Point("A head".to_owned());
    let gone: Vec<Vec<Lost>> = desk.events().iter().map(|e| pieces(&e)).filter(|p| p.contains(&head)).collect();
    for also in
        [Lost::Run("A fore guy".to_owned()), Lost::Run("A back guy".to_owned()), Lost::Point("A fore".to_owned())]
    {
        let with = desk.events().iter().map(|e| pieces(&e)).find(|p| p.contains(&also)).expect("it is tried");
        let event = desk.events().iter().find(|e| pieces(e).contains(&also)).expect("tried");
        assert!(gone.contains(&with) || event.loss.points.len() > 1, "{also:?}: {with:?}");
        assert!(event.loss.points.contains(&file.plan.points.get_index_of("A head").expect("the head")));
    }
}
