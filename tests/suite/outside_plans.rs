//! Static cases of `data/computed.json` said as plans and worked out by the program itself: `check --json` against the
//! values of independent libraries, each within its own tolerance. What a report does not print (places of walkers, the
//! parts of a force, lengths of arc) is left to `outside_statics`.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::process::Command;

use glam::DVec3;
use serde_json::Value;

fn cases(kinds: &[u64]) -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../data/computed.json")).expect("json");
    all["cases"]
        .as_array()
        .expect("a list")
        .iter()
        .filter(|c| c["kind"].as_u64().is_some_and(|k| kinds.contains(&k)))
        .cloned()
        .collect()
}

fn num(v: &Value, key: &str) -> f64 {
    v[key].as_f64().unwrap_or(0.0)
}

fn list<'a>(v: &'a Value, key: &str) -> &'a [Value] {
    v[key].as_array().map_or(&[], Vec::as_slice)
}

fn text<'a>(v: &'a Value, key: &str) -> &'a str {
    v[key].as_str().unwrap_or_else(|| panic!("no text {key} in {v}"))
}

fn vec3(v: &Value) -> DVec3 {
    let at = |i: usize| v[i].as_f64().unwrap_or(0.0);
    DVec3::new(at(0), at(1), at(2))
}

/// The report of `check --json` on a plan. It must be one that could be worked out, whatever its verdict.
fn check(plan: &str) -> Value {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("plan.ron");
    std::fs::write(&path, plan).expect("written");
    let out = Command::new(env!("CARGO_BIN_EXE_spanwright"))
        .args(["check", "--json"])
        .arg(&path)
        .output()
        .expect("the program runs");
    let code = out.status.code();
    assert!(matches!(code, Some(0 | 1)), "code {code:?}: {}\n{plan}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("a report")
}

/// The situation called `id` of a report; it must be certified.
fn situation<'a>(report: &'a Value, id: &str) -> &'a Value {
    let found = list(report, "cases")
        .iter()
        .find(|c| c["words"] == id)
        .unwrap_or_else(|| panic!("no situation {id}; unsolved: {}", report["unsolved"]));
    assert_eq!(found["solved"], true, "{id}: {}", report["unsolved"]);
    found
}

/// Tension of a run in a situation, N; of the main line at A and B.
fn tensions(situation: &Value, run: &str) -> [f64; 2] {
    let t = &situation["runs"][run]["tension_N"];
    match t.as_f64() {
        Some(t) => [t, t],
        None => [num(t, "A"), num(t, "B")],
    }
}

/// How many outputs of how many cases were compared, and the largest error over its tolerance.
#[derive(Default)]
struct Tally {
    cases: usize,
    compared: usize,
    unprinted: usize,
    worst: f64,
    worst_at: String,
}

impl Tally {
    /// Compares what a plan gave with what the case says.
    fn compare(&mut self, case: &Value, got: &BTreeMap<String, f64>) {
        let id = text(case, "id");
        let mut worst = 0.0_f64;
        for (key, have) in got {
            let want = case["outputs"][key].as_f64().unwrap_or_else(|| panic!("{id} has no output {key}"));
            let tolerance = num(&case["abs_tolerance"], key);
            let off = (have - want).abs() / tolerance;
            assert!(off <= 1.0, "{id} {key}: {have} against {want}, tolerance {tolerance}");
            worst = worst.max(off);
            if off >= self.worst {
                (self.worst, self.worst_at) = (off, format!("{id} {key}"));
            }
        }
        let all = case["outputs"].as_object().expect("outputs").len();
        println!("{id}: {} of {all} outputs printed, worst error {worst:.1e} of its tolerance", got.len());
        self.cases += 1;
        self.compared += got.len();
        self.unprinted += all - got.len();
    }

    fn report(&self, cases: usize, compared: usize) {
        println!(
            "{} cases, {} outputs compared, {} not printed by the program; largest error {:.1e} of its tolerance, {}",
            self.cases, self.compared, self.unprinted, self.worst, self.worst_at
        );
        assert_eq!((self.cases, self.compared), (cases, compared));
    }
}

/// Speed of the wind in these plans, m/s: 62.5 Pa in air of 1.25 kg/m³.
const WIND: f64 = 10.0;
const PRESSURE: f64 = 62.5;
/// Drag coefficient that the program takes for a line.
const LINE_DRAG: f64 = 1.2;
const ROCK: &str = r#"Strength(Judged("900 kN", "test"))"#;
const MADE: &str = "ends: (Made(), Made())";

/// Stretch of a segment or leg, as an item's field.
fn stretch(v: &Value) -> String {
    let points = list(v, "curve_kN_pct");
    if points.is_empty() {
        return format!(r#"stretch: Stiffness("{} N")"#, num(v, "EA_N"));
    }
    let points: Vec<String> = points.iter().map(|p| format!(r#"("{} kN", "{} %")"#, p[0], p[1])).collect();
    format!("stretch: [{}]", points.join(", "))
}

/// Items of a line's segments, and its parts.
fn line(segments: &[Value], wind_n_per_m: f64, alpha_per_k: f64) -> (String, String) {
    let (mut items, mut parts) = (String::new(), String::new());
    for (i, s) in segments.iter().enumerate() {
        let width = if wind_n_per_m > 0.0 {
            format!(r#"width: "{} m", "#, wind_n_per_m / (PRESSURE * LINE_DRAG))
        } else {
            String::new()
        };
        let _ = write!(
            items,
            r#""segment {i}": Item(class: Webbing, fibre: Polyester, rating: Label("90 kN"), {width}mass_per_length: "{} kg/m", alpha_per_k: {alpha_per_k}, {}), "#,
            num(s, "mu_kg_per_m"),
            stretch(s)
        );
        let _ = write!(parts, r#"Part(item: "segment {i}", length: "{} m", {MADE}), "#, num(s, "L0_m"));
    }
    (items, parts)
}

/// A situation of the plan's own.
fn own(name: &str, walkers: &[Value], wind: bool, warmer_k: f64) -> String {
    let walkers: Vec<String> =
        walkers.iter().map(|w| format!(r#"({}, "{} kg")"#, num(w, "s_frac"), num(w, "mass_kg"))).collect();
    let mut out = format!(r#"Case(name: "{name}", walkers: [{}]"#, walkers.join(", "));
    if wind {
        let _ = write!(out, r#", wind: "{WIND} m/s""#);
    }
    if warmer_k != 0.0 {
        let _ = write!(out, r#", temperature: "{} degC""#, 15.0 + warmer_k);
    }
    out + "), "
}

/// People as the case has them: the first walker's mass, and the drag that its wind needs.
fn people(walkers: &[Value]) -> String {
    let mass = walkers.first().map_or(80.0, |w| num(w, "mass_kg"));
    let drag: Vec<f64> = walkers.iter().map(|w| num(w, "wind_N") / PRESSURE).collect();
    assert!(drag.iter().all(|d| *d == drag[0]));
    format!(r#"People(walkers: ["{mass} kg"], drag_area_m2: {:?})"#, drag.first().copied().unwrap_or(0.0))
}

/// A line between two fixed points.
fn fixed_line(case: &Value, parts: &str, items: &str, cases: &str) -> String {
    let i = &case["inputs"];
    format!(
        r#"Plan(format: 1, title: "{}", site: Site(span: "{} m", height_difference: "{} m", air: Air(rigged_at: "15 degC")), people: {},
    points: {{
        "A": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: {ROCK}),
        "B": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: {ROCK}),
    }},
    runs: {{ "line": Run(role: Main, from: "A", to: "B", parts: [{parts}]) }},
    items: {{ {items} }},
    cases: [{cases}])"#,
        text(case, "id"),
        num(i, "span_m"),
        num(i, "rise_m"),
        people(list(i, "walkers")),
    )
}

#[test]
fn lines_between_fixed_points() {
    let mut tally = Tally::default();
    for case in cases(&[1, 3, 4, 10]) {
        let i = &case["inputs"];
        let (walkers, wind) = (list(i, "walkers"), num(i, "wind_N_per_m"));
        let (items, parts) = line(list(i, "segments"), wind, 0.0);
        let cases = own("data", walkers, wind > 0.0, 0.0);
        let report = check(&fixed_line(&case, &parts, &items, &cases));
        let t = tensions(situation(&report, "data"), "line");
        let mut got = BTreeMap::from([("TA_N".to_owned(), t[0]), ("TB_N".to_owned(), t[1])]);
        // The report's sags are of the line alone, and with one walker in the middle.
        let sag = &report["line"]["sag_m"];
        let drop = match walkers {
            _ if wind > 0.0 => None,
            [] => Some(num(sag, "standing")),
            [w] if num(w, "s_frac") == 0.5 => Some(num(sag, "walker_mid")),
            _ => None,
        };
        if let Some(drop) = drop {
            got.insert("max_drop_below_chord_m".to_owned(), drop);
        }
        tally.compare(&case, &got);
    }
    tally.report(18, 44);
}

/// A line that is made to a target: its length, and how it stands.
fn target(case: &Value, solve: &str) -> BTreeMap<String, f64> {
    let i = &case["inputs"];
    let (items, _) = line(std::slice::from_ref(i), 0.0, 0.0);
    let parts = format!(r#"Part(item: "segment 0", length: {solve}, {MADE})"#);
    let report = check(&fixed_line(case, &parts, &items, ""));
    let length = num(&report["line"], "target_part_m");
    let chord = num(i, "span_m").hypot(num(i, "rise_m"));
    let mut got = BTreeMap::from([("L0_m".to_owned(), length), ("L0_minus_chord_m".to_owned(), length - chord)]);
    let standing = "standing_TA_without_walker_N";
    if !case["outputs"][standing].is_null() {
        got.insert(standing.to_owned(), num(&report["line"]["standing_N"], "A"));
    }
    got
}

/// Whether the walker of a target for sag stands where the program's does.
fn in_the_middle(case: &Value, mass_kg: Option<f64>) -> bool {
    let w = &case["inputs"]["walkers"][0];
    num(w, "s_frac") == 0.5 && mass_kg.is_none_or(|m| num(w, "mass_kg") == m)
}

fn sag_target(case: &Value) -> String {
    format!(r#"Solve(sag: "{} m")"#, num(&case["inputs"], "target_walker_drop_m"))
}

#[test]
fn lengths_for_a_target() {
    let mut tally = Tally::default();
    for case in cases(&[2]) {
        let standing = num(&case["inputs"], "target_standing_TA_N");
        let solve = if standing > 0.0 {
            format!(r#"Solve(standing: "{standing} N", at: A)"#)
        } else if in_the_middle(&case, Some(80.0)) {
            sag_target(&case)
        } else {
            println!("{}: not a walker of 80 kg in the middle", case["id"]);
            continue;
        };
        tally.compare(&case, &target(&case, &solve));
    }
    tally.report(4, 9);
}

/// The sag “with the walker there” should be that of the plan's own walker.
#[test]
fn a_sag_with_the_plans_own_walker() {
    let mut tally = Tally::default();
    for case in cases(&[2]) {
        if in_the_middle(&case, None) && !in_the_middle(&case, Some(80.0)) {
            let got = target(&case, &sag_target(&case));
            println!(
                "{}: length {} against {} m, standing {} against {} N",
                case["id"],
                got["L0_m"],
                case["outputs"]["L0_m"],
                got["standing_TA_without_walker_N"],
                case["outputs"]["standing_TA_without_walker_N"]
            );
            tally.compare(&case, &got);
        }
    }
    tally.report(1, 3);
}

#[test]
fn warm_and_cold_lines() {
    let mut tally = Tally::default();
    for case in cases(&[11]) {
        let i = &case["inputs"];
        let (walkers, warmer) = (list(i, "walkers"), num(i, "dT_K"));
        let (items, parts) = line(list(i, "segments"), 0.0, num(i, "alpha_per_K"));
        let mut cases = own("before", &[], false, 0.0) + &own("after", &[], false, warmer);
        if !walkers.is_empty() {
            cases += &own("with_walker_before", walkers, false, 0.0);
            cases += &own("with_walker_after", walkers, false, warmer);
        }
        let report = check(&fixed_line(&case, &parts, &items, &cases));
        let t = |id: &str| tensions(situation(&report, id), "line")[0];
        let mut got = BTreeMap::from([("change_TA_N".to_owned(), t("after") - t("before"))]);
        for id in ["before", "after", "with_walker_before", "with_walker_after"] {
            if id.starts_with("with") && walkers.is_empty() {
                continue;
            }
            got.insert(format!("TA_{id}_N"), t(id));
        }
        tally.compare(&case, &got);
    }
    tally.report(3, 13);
}

fn place(p: DVec3) -> String {
    format!(r#"("{} m", "{} m", "{} m")"#, p.x, p.y, p.z)
}

/// Points, runs and items of the nodes, legs and slings of a case. Nodes at B's side are given from B's own origin.
fn anchors(inputs: &Value, b: Option<DVec3>) -> (String, String, String) {
    let (mut points, mut runs, mut items) = (String::new(), String::new(), String::new());
    for (name, n) in inputs["nodes"].as_object().expect("nodes") {
        let at = vec3(&n["pos"]);
        let (side, at) = match b {
            Some(b) if at.distance(b) < at.length() => ("B", place(at - b)),
            _ => ("A", place(at)),
        };
        let point = if n["fixed"] == true {
            format!("Fixed(side: {side}, at: {at}, by: {ROCK})")
        } else {
            format!("Free(side: {side}, near: {at}, friction: 0.0)")
        };
        let _ = write!(points, r#""{name}": {point}, "#);
    }
    let mut made = |v: &Value, run: String| {
        let name = text(v, "name");
        let _ = write!(
            items,
            r#""of {name}": Item(class: Cord, fibre: Nylon, rating: Label("90 kN"), diameter: "10 mm", {}), "#,
            stretch(v)
        );
        let part = format!(r#"Part(item: "of {name}", length: "{} m", tolerance: "1 mm", {MADE})"#, num(v, "L0_m"));
        let _ = write!(runs, r#""{name}": {run} parts: [{part}]), "#);
    };
    for leg in list(inputs, "legs") {
        let run = format!(r#"Run(from: "{}", to: "{}","#, text(leg, "a"), text(leg, "b"));
        made(leg, run);
    }
    for sling in list(inputs, "slings") {
        let path: Vec<String> =
            list(sling, "path").iter().map(|p| format!("\"{}\"", p.as_str().expect("a name"))).collect();
        let last = path.len() - 1;
        let run = if path[0] == path[last] {
            format!("Loop(through: [{}],", path[..last].join(", "))
        } else {
            format!("Run(from: {}, to: {}, through: [{}],", path[0], path[last], path[1..last].join(", "))
        };
        made(sling, run);
    }
    (points, runs, items)
}

/// Tensions of legs and slings, places of free points, and the line's ends, by the names of the data.
fn anchored(inputs: &Value, situation: &Value, prefix: &str) -> BTreeMap<String, f64> {
    let mut got = BTreeMap::new();
    for run in list(inputs, "legs").iter().chain(list(inputs, "slings")) {
        let name = text(run, "name");
        got.insert(format!("{prefix}T_{name}_N"), tensions(situation, name)[0]);
    }
    if inputs["line"].is_object() {
        let [a, b] = tensions(situation, "line");
        got.insert(format!("{prefix}line_TA_N"), a);
        got.insert(format!("{prefix}line_TB_N"), b);
    }
    // Places are given for the loaded situation only.
    if prefix.is_empty() {
        for (name, point) in situation["points"].as_object().expect("points") {
            for (axis, at) in ["x", "y", "z"].into_iter().zip(list(point, "at_m")) {
                got.insert(format!("{name}_{axis}_m"), at.as_f64().expect("a coordinate"));
            }
        }
    }
    got
}

/// An anchor under a force of its own: the force of a weightless line, tensioned to its size, towards a point a kilometre
/// away in its direction from where the data has the master.
#[test]
fn anchors_under_a_force() {
    let mut tally = Tally::default();
    for case in cases(&[5]) {
        let i = &case["inputs"];
        let (points, runs, items) = anchors(i, None);
        let force = vec3(&i["nodes"]["M"]["force_N"]);
        let out = |axis: &str| num(&case["outputs"], &format!("M_{axis}_m"));
        let master = DVec3::new(out("x"), out("y"), out("z"));
        let far = master + force.normalize() * 1000.0;
        let plan = format!(
            r#"Plan(format: 1, title: "{}", site: Site(span: "1000 m"),
    points: {{ {points} "far": Fixed(side: A, at: {}, by: {ROCK}) }},
    runs: {{ {runs}
        "line": Run(role: Main, from: "M", to: "far", parts: [Part(item: "force", length: Solve(standing: "{} N"), {MADE})]) }},
    items: {{ {items} "force": Item(class: Cord, fibre: Hmpe, rating: Label("90 kN"), diameter: "10 mm", mass_per_length: "0 g/m", stretch: Stiffness("1000 kN")) }})"#,
            text(&case, "id"),
            place(far),
            force.length()
        );
        let report = check(&plan);
        let got = anchored(i, situation(&report, "standing"), "");
        tally.compare(&case, &got);
        assert_eq!(got.len(), case["outputs"].as_object().expect("map").len());
    }
    tally.report(7, 46);
}

/// Whole rigs, and rigs that have lost a leg: the walkers of the data as a situation of the plan's own, and the bare line.
#[test]
fn whole_rigs() {
    let mut tally = Tally::default();
    for case in cases(&[6, 7]) {
        let i = &case["inputs"];
        let l = &i["line"];
        let b = vec3(&i["nodes"]["MB"]["pos"]);
        assert!(vec3(&i["nodes"]["MA"]["pos"]) == DVec3::ZERO && b.y == 0.0);
        let (points, runs, items) = anchors(i, Some(b));
        let (walkers, wind) = (list(l, "walkers"), num(l, "wind_N_per_m"));
        let (segments, parts) = line(list(l, "segments"), wind, 0.0);
        let plan = format!(
            r#"Plan(format: 1, title: "{}", site: Site(span: "{} m", height_difference: "{} m"), people: {},
    points: {{ {points} }},
    runs: {{ {runs} "line": Run(role: Main, from: "MA", to: "MB", parts: [{parts}]) }},
    items: {{ {items} {segments} }},
    cases: [{} {}])"#,
            text(&case, "id"),
            b.x,
            b.z,
            people(walkers),
            own("loaded", walkers, wind > 0.0, 0.0),
            own("bare", &[], wind > 0.0, 0.0),
        );
        let report = check(&plan);
        let mut got = anchored(i, situation(&report, "loaded"), "");
        got.extend(anchored(i, situation(&report, "bare"), "standing_"));
        tally.compare(&case, &got);
    }
    tally.report(10, 235);
}

/// Main and backup between the same two points, both of nylon with EA 55 kN, the backup 4 % longer: the main's own tension
/// is 2.4 kN, more than the 2.2 kN at which the backup comes taut. Two springs side by side: the main's strain is
/// 2.4/55, the backup's (1 + that)/1.04 − 1.
#[test]
fn a_backup_that_is_taut_before_anything_fails() {
    let (ea, excess, main) = (55e3, 0.04, 2.4e3);
    let plan = |main: f64| {
        format!(
            r#"Plan(format: 1, title: "Taut backup", site: Site(span: "30 m"),
    points: {{
        "A": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: {ROCK}),
        "B": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: {ROCK}),
    }},
    runs: {{
        "line": Run(role: Main, from: "A", to: "B", parts: [Part(item: "nylon", length: Solve(standing: "{main} N", at: A), {MADE})]),
        "backup": Run(role: Backup(of: "line", excess: "{} %", connected: AtEnds), from: "A", to: "B", parts: [Part(item: "nylon", {MADE})]),
    }},
    items: {{ "nylon": Item(class: Webbing, fibre: Nylon, rating: Label("24 kN"), width: "25 mm", mass_per_length: "0 g/m", stretch: Stiffness("{ea} N")) }})"#,
            excess * 100.0
        )
    };
    let report = check(&plan(main));
    let standing = situation(&report, "standing");
    let strain = main / ea;
    let want = ea * ((1.0 + strain) / (1.0 + excess) - 1.0);
    let (got, line) = (tensions(standing, "backup")[0], tensions(standing, "line"));
    // 4.364 % against 4 %: about 192 N of 2592.
    assert!((want - 192.3).abs() < 0.1);
    let length = num(&report["line"], "target_part_m");
    for (what, got, want) in [
        ("backup, N", got, want),
        ("main at A, N", line[0], main),
        ("main at B, N", line[1], main),
        ("length of the main, m", length, 30.0 / (1.0 + strain)),
    ] {
        let off = (got - want).abs() / (1e-7 * want);
        println!("taut backup, {what}: {got:.6} against {want:.6}, error {off:.1e} of 1e-7");
        assert!(off <= 1.0, "{what}: {got} against {want}");
    }
    // Below 4 % of 55 kN it hangs loose.
    let report = check(&plan(0.99 * excess * ea));
    assert_eq!(tensions(situation(&report, "standing"), "backup")[0], 0.0);
}

/// A line stated to weigh nothing; with a walker in the middle it is two straight springs. The
/// drop is found by halving: 2 T d/l = W, T = EA (l/l₀ − 1).
#[test]
fn a_line_of_no_weight() {
    let (span, length, ea, weight) = (30.0_f64, 29.5, 55e3, 80.0 * 9.80665);
    let plan = format!(
        r#"Plan(format: 1, title: "No mass", site: Site(span: "{span} m"), people: People(walkers: ["80 kg"]),
    points: {{
        "A": Fixed(side: A, at: ("0 m", "0 m", "0 m"), by: {ROCK}),
        "B": Fixed(side: B, at: ("0 m", "0 m", "0 m"), by: {ROCK}),
    }},
    runs: {{ "line": Run(role: Main, from: "A", to: "B", parts: [Part(item: "own", length: "{length} m", {MADE})]) }},
    items: {{ "own": Item(class: Webbing, fibre: Nylon, rating: Label("24 kN"), width: "25 mm", mass_per_length: "0 g/m", stretch: Stiffness("{ea} N")) }})"#
    );
    let report = check(&plan);
    let unsolved = list(&report, "unsolved").len();
    println!("{unsolved} situations unsolved");
    let (mut low, mut high) = (0.0_f64, 0.5 * span);
    let tension = |drop: f64| ea * ((0.5 * span).hypot(drop) / (0.5 * length) - 1.0);
    for _ in 0..200 {
        let mid = 0.5 * (low + high);
        if 2.0 * tension(mid) * mid / (0.5 * span).hypot(mid) < weight {
            low = mid;
        } else {
            high = mid;
        }
    }
    let got = tensions(situation(&report, "walker 0.50"), "line")[0];
    println!("no mass: {got} against {} N", tension(low));
    assert!((got - tension(low)).abs() < 1e-6 * got);
    assert_eq!(unsolved, 0);
}
