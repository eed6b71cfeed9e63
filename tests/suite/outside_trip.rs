//! The trip against values worked out apart from the program (`fixtures/trip.json`).

use std::sync::Arc;

use serde_json::Value;
use spanwright::mechanics::G;
use spanwright::mechanics::carry::{Below, Carry, Held, Hung, Strung, capstan};
use spanwright::mechanics::creep::{Flow, flowed, log_creep};
use spanwright::mechanics::gauge::{Gauged, Second, Since, deviation};
use spanwright::mechanics::law::{Piece, StrainLaw};
use spanwright::mechanics::root::{Root, bracketed};
use spanwright::mechanics::tow::{Times, Tow, Towed};
use spanwright::plan::PlanFile;
use spanwright::review::{Cause, On, Situation, at_rest, stopped_n};

fn case(id: &str) -> Case {
    let all: Value = serde_json::from_str(include_str!("../fixtures/trip.json")).expect("json");
    let all = all["cases"].as_array().expect("cases").clone();
    Case(all.into_iter().find(|c| c["id"] == id).unwrap_or_else(|| panic!("no case {id}")))
}

struct Case(Value);

impl Case {
    fn get(&self, name: &str) -> f64 {
        self.0["inputs"][name].as_f64().unwrap_or_else(|| panic!("{}: no {name}", self.0["id"]))
    }

    fn or(&self, name: &str, or: f64) -> f64 {
        self.0["inputs"][name].as_f64().unwrap_or(or)
    }

    fn line(&self, of: &Value) -> Strung {
        let get = |name: &str| of[name].as_f64().unwrap_or(0.0);
        let speed = self.or("wind_m_per_s", 0.0);
        Strung {
            weight_n_per_m: get("mu_kg_per_m") * self.or("wet_ratio", 1.0) * G,
            law: Arc::new(StrainLaw::linear(get("EA_N")).expect("a law")),
            wind_n_per_m: 0.5 * 1.25 * speed * speed * 1.2 * get("width_m"),
        }
    }

    fn carry(&self) -> Carry {
        let inputs = &self.0["inputs"];
        let whole = inputs["pulled"].is_null();
        Carry {
            span_m: self.get("span_m"),
            rise_m: self.get("rise_m"),
            pulled: self.line(if whole { inputs } else { &inputs["pulled"] }),
            pulling: self.line(if whole { inputs } else { &inputs["pulling"] }),
            joint_n: self.or("joint_mass_kg", 0.0) * G,
        }
    }

    fn ground(&self) -> Vec<Below> {
        let points = self.0["inputs"]["ground"].as_array().expect("ground");
        let profile_m = points.iter().map(|p| [p[0].as_f64().expect("x"), p[1].as_f64().expect("z")]).collect();
        let lips = self.get("lips_m");
        vec![Below { profile_m, between_m: [lips, self.get("span_m") - lips] }]
    }

    /// Holds a figure of ours against the stored one, and says both.
    fn is(&self, name: &str, ours: f64) {
        let get = |of: &str| self.0[of][name].as_f64().unwrap_or_else(|| panic!("{}: no {of} {name}", self.0["id"]));
        let (want, tolerance) = (get("outputs"), get("abs_tolerance"));
        println!("{} {name}: {ours:.8}, expected {want:.8} ± {tolerance}", self.0["id"]);
        assert!((ours - want).abs() <= tolerance, "{} {name}: {ours}, not {want}", self.0["id"]);
    }

    fn edges(&self, hung: &Hung) {
        let (mu, turns) = (self.get("edge_friction"), self.get("brake_turns"));
        let brake = capstan(self.get("brake_friction"), std::f64::consts::TAU * turns);
        self.is("T_sending_N", hung.edge_n(0));
        self.is("T_receiving_N", hung.edge_n(1));
        self.is("H_N", hung.tension_n[0].x);
        self.is("hand_pull_at_receiving_N", hung.hauled_n(1, mu));
        self.is("brake_line_at_sending_N", hung.braked_n(0, mu));
        self.is("brake_hand_at_sending_N", hung.braked_n(0, mu) / brake);
        self.is("back_hand_pull_at_sending_N", hung.hauled_n(0, mu));
        self.is("back_brake_line_at_receiving_N", hung.braked_n(1, mu));
    }
}

#[test]
fn a_line_all_the_way_over() {
    for id in ["p12-full-long", "p12-full-uphill", "p12-full-short"] {
        let c = case(id);
        let carry = c.carry();
        let hung = carry.hung(1.0, Held::Drop(c.get("sag_m"))).expect("hangs");
        c.edges(&hung);
        c.is("L0_across_m", hung.lengths_m[0]);
        assert!(carry.holds(&hung), "{id}: the certificate does not stand by it");
    }
}

#[test]
fn a_line_part_of_the_way() {
    for id in ["p12-part", "p12-part-early"] {
        let c = case(id);
        let carry = c.carry();
        let hung = carry.hung(c.get("joint_share_ratio"), Held::Drop(c.get("sag_m"))).expect("hangs");
        c.edges(&hung);
        c.is("pulled_L0_m", hung.lengths_m[0]);
        c.is("pulling_L0_m", hung.lengths_m[1]);
        c.is("joint_x_m", hung.joint.x);
        c.is("joint_z_m", hung.joint.z);
        c.is("lowest_point_x_m", hung.lowest.0.x);
        let least = hung.least_over(&c.ground()).expect("over ground");
        c.is("least_clearance_m", least.height_m);
        c.is("clearance_at_x_m", least.x_m);
        assert!(carry.holds(&hung), "{id}: the certificate does not stand by it");
    }
}

#[test]
fn wind_while_the_lengths_are_held() {
    let c = case("p12-wind");
    let carry = c.carry();
    let hung = carry.hung(c.get("joint_share_ratio"), Held::Drop(c.get("sag_m"))).expect("hangs");
    c.is("T_calm_receiving_N", hung.edge_n(1));
    let ([sending, receiving], joint) = carry.in_wind(&hung).expect("at rest");
    c.is("T_receiving_N", receiving);
    c.is("T_sending_N", sending);
    c.is("joint_sideways_m", joint.y.abs());
    c.is("joint_z_m", joint.z);
}

#[test]
fn as_low_as_the_ground_allows() {
    let c = case("p12-clear");
    let between = c.0["inputs"]["bracket_sag_m"].as_array().expect("bracket");
    let between = [between[0].as_f64().expect("m"), between[1].as_f64().expect("m")];
    let hung = c.carry().clearing(c.get("joint_share_ratio"), c.get("clear_m"), &c.ground(), between).expect("clears");
    c.edges(&hung);
    c.is("sag_held_m", hung.lowest.1);
    c.is("joint_z_m", hung.joint.z);
    c.is("clearance_at_x_m", hung.least_over(&c.ground()).expect("over ground").x_m);
}

#[test]
fn half_rigged_and_let_out() {
    let c = case("p12-half-rigged");
    let points: Vec<(f64, f64)> = c.0["inputs"]["curve_kN_pct"]
        .as_array()
        .expect("curve")
        .iter()
        .map(|p| (1e3 * p[0].as_f64().expect("kN"), 1e-2 * p[1].as_f64().expect("%")))
        .collect();
    let law = Arc::new(StrainLaw::from_points(&points).expect("a law"));
    let line = Strung { weight_n_per_m: c.get("mu_kg_per_m") * G, law, wind_n_per_m: 0.0 };
    let carry =
        Carry { span_m: c.get("span_m"), rise_m: c.get("rise_m"), pulled: line.clone(), pulling: line, joint_n: 0.0 };
    let at = |held| carry.hung(1.0, held).expect("hangs");
    let (hand, standing) = (at(Held::Pull(c.get("hand_tight_N"))), at(Held::Pull(c.get("standing_N"))));
    let held = at(Held::Drop(c.get("sag_m")));
    c.is("sag_hand_tight_m", hand.lowest.1);
    let least = hand.least_over(&c.ground()).expect("over ground");
    c.is("least_clearance_m", least.height_m);
    c.is("clearance_at_x_m", least.x_m);
    c.is("L0_standing_m", standing.lengths_m[0]);
    c.is("L0_hand_tight_m", hand.lengths_m[0]);
    c.is("L0_at_held_sag_m", held.lengths_m[0]);
    c.is("let_out_to_hand_tight_m", hand.lengths_m[0] - standing.lengths_m[0]);
    c.is("let_out_to_held_sag_m", held.lengths_m[0] - standing.lengths_m[0]);
    c.is("T_at_held_sag_N", held.edge_n(0));
}

/// No line hanging level has less than 0.7544 w L at its ends, at a drop of 0.338 L: a textbook result on the catenary, worked
/// out again here from cosh u = u sinh u.
#[test]
fn the_least_tension_that_a_line_can_hang_with() {
    let (mut low, mut high) = (1.0_f64, 2.0_f64);
    for _ in 0..80 {
        let u = 0.5 * (low + high);
        if u.sinh() * u > u.cosh() { high = u } else { low = u }
    }
    // T = a cosh u, L = 2 a u.
    let share = low.cosh() / (2.0 * low);
    let line = Strung { weight_n_per_m: 1.0, law: Arc::new(StrainLaw::linear(1e9).expect("a law")), wind_n_per_m: 0.0 };
    let carry = Carry { span_m: 100.0, rise_m: 0.0, pulled: line.clone(), pulling: line, joint_n: 0.0 };
    let least = carry.hung(1.0, Held::Pull(10.0)).expect_err("cannot hang so").expect("the least is said");
    assert!((least / 100.0 - share).abs() < 1e-6, "{least} against {share}");
    assert!((share - 0.7544).abs() < 1e-4);
}

fn gauged(c: &Case, span_m: f64) -> Gauged {
    let points: Vec<(f64, f64)> = c.0["inputs"]["curve_kN_pct"]
        .as_array()
        .expect("curve")
        .iter()
        .map(|p| (1e3 * p[0].as_f64().expect("kN"), 1e-2 * p[1].as_f64().expect("%")))
        .collect();
    Gauged {
        span_m,
        rise_m: c.get("rise_m"),
        weight_n_per_m: c.get("mu_kg_per_m") * G,
        law: Arc::new(StrainLaw::from_points(&points).expect("a law")),
    }
}

/// One deviation of a reading of a case.
fn sd(c: &Case, name: &str) -> f64 {
    c.0["inputs"]["one_sd"][name].as_f64().expect("a deviation")
}

#[test]
fn stretch_from_what_was_read() {
    for id in ["p13-sag", "p13-sag-long", "p13-tension"] {
        let c = case(id);
        let at = c.get("walker_share_ratio");
        let by_sag = c.0["inputs"]["walker_sag_m"].is_number();
        let name = if by_sag { "walker_sag_m" } else { "tension_with_walker_N" };
        let kappa = |v: &[f64]| {
            let walker_n = v[3] * G;
            let second = if by_sag {
                Second::Sag { walker_n, at, sag_m: v[1] }
            } else {
                Second::Tension { walker_n, at, tension_n: v[1] }
            };
            gauged(&c, v[2]).kappa(v[0], second)
        };
        let names = ["standing_N", name, "span_m", "walker_kg"];
        let read: Vec<(f64, f64)> = names.iter().map(|n| (c.get(n), sd(&c, n))).collect();
        let base: Vec<f64> = read.iter().map(|r| r.0).collect();
        let k = kappa(&base).expect("a stretch");
        c.is("kappa_ratio", k);
        c.is("one_sd_of_kappa_ratio", deviation(&read, kappa).expect("an error"));
        let line = gauged(&c, c.get("span_m"));
        let [length_m, _] = line.standing(k, c.get("standing_N")).expect("hangs");
        c.is("L0_m", length_m);
        let [tension_n, sag_m, _] = line.with_walker(k, length_m, c.get("walker_kg") * G, at).expect("at rest");
        c.is("tension_with_walker_N", tension_n);
        c.is("walker_sag_m", sag_m);
        c.is("stretch_at_standing_pct", 100.0 * k * line.law.at(c.get("standing_N")).0);
    }
    let c = case("p13-through");
    let kappa = |v: &[f64]| gauged(&c, c.get("span_m")).kappa(v[0], Second::Through { from_n: v[1], through_m: v[2] });
    let names = ["standing_N", "hand_tight_N", "come_through_m"];
    let read: Vec<(f64, f64)> = names.iter().map(|n| (c.get(n), sd(&c, n))).collect();
    let base: Vec<f64> = read.iter().map(|r| r.0).collect();
    let k = kappa(&base).expect("a stretch");
    c.is("kappa_ratio", k);
    c.is("one_sd_of_kappa_ratio", deviation(&read, kappa).expect("an error"));
    c.is("L0_m", gauged(&c, c.get("span_m")).standing(k, c.get("standing_N")).expect("hangs")[0]);
}

#[test]
fn weight_and_slip_from_what_was_read() {
    let c = case("p13-mass");
    let line = gauged(&c, c.get("span_m"));
    let ratio = line.mass_ratio(c.get("standing_N"), c.get("empty_sag_m")).expect("a weight");
    c.is("mass_ratio", ratio);
    c.is("mu_kg_per_m", ratio * c.get("mu_kg_per_m"));
    let c = case("p13-slip");
    let line = gauged(&c, c.get("span_m"));
    let creep = 1.0 + c.get("creep_per_decade_ratio") * (1.0 + c.get("later_s") / 60.0).log10();
    let swell = 1.0 + c.get("alpha_per_K") * c.get("dT_K");
    let since = |creep: f64| Since { creep, swell, slipped_m: 0.0 };
    let [expected_n, slip_m] = line.later(1.0, c.get("standing_N"), c.get("later_N"), since(creep)).expect("hangs");
    c.is("expected_later_tension_N", expected_n);
    c.is("slip_with_creep_m", slip_m);
    c.is("slip_without_creep_m", line.later(1.0, c.get("standing_N"), c.get("later_N"), since(1.0)).expect("hangs")[1]);
    c.is("L0_m", line.standing(1.0, c.get("standing_N")).expect("hangs")[0]);
}

#[test]
fn a_tow_along_the_line() {
    for id in ["p14-main", "p14-friction", "p14-rings", "p14-backup", "p14-long", "p14-energy"] {
        let c = case(id);
        let curve = c.0["inputs"]["curve_kN_pct"].as_array().map(|points| {
            let of = |p: &Value, k: usize, times: f64| p[k].as_f64().expect("a number") * times;
            let points: Vec<_> = points.iter().map(|p| (of(p, 0, 1e3), of(p, 1, 1e-2))).collect();
            StrainLaw::from_points(&points).expect("a law")
        });
        let law = curve.unwrap_or_else(|| StrainLaw::linear(c.get("EA_N")).expect("a law"));
        let tow = Tow {
            span_m: c.get("span_m"),
            rise_m: c.get("rise_m"),
            length_m: c.get("L0_m"),
            weight_n_per_m: c.get("mu_kg_per_m") * G,
            law: Arc::new(law),
            load_n: c.get("load_kg") * G,
            friction: c.get("roller_friction"),
            to_b: c.0["inputs"]["toward"] == "B",
        };
        let anywhere = tow.at(0.3 * tow.span_m).expect("it hangs");
        // What cannot be is no help, and no harm.
        let nonsense = Towed { split_m: 2.0 * tow.length_m, ..anywhere };
        let places = c.0["inputs"]["places_m"].as_array().expect("places");
        let near = |x_m: f64| [None, Some(&anywhere), Some(&nonsense)].map(|from| (x_m, tow.near(x_m, from)));
        for (x_m, t) in places.iter().flat_map(|x| near(x.as_f64().expect("a place"))) {
            let t = t.expect("it hangs");
            assert!(tow.holds(&t), "{id} at {x_m}");
            let figures = [
                ("tow_N", t.tow_n),
                ("z_m", t.place.z),
                ("drop_m", tow.rise_m * x_m / tow.span_m - t.place.z),
                ("T_at_A_N", t.ends_n[0]),
                ("T_at_B_N", t.ends_n[1]),
                ("T_before_roller_N", t.roller_n[0]),
                ("T_after_roller_N", t.roller_n[1]),
                ("slope_before_deg", t.slopes_rad[0].to_degrees()),
                ("slope_after_deg", t.slopes_rad[1].to_degrees()),
                ("turn_deg", t.turn_rad().to_degrees()),
            ];
            for (name, ours) in figures {
                let name = format!("x{x_m:.0}_{name}");
                if !c.0["outputs"][&name].is_null() {
                    c.is(&name, ours);
                }
            }
        }
    }
}

#[test]
fn minutes_of_a_rescue() {
    let c = case("p14-time");
    let t = |name: &str| c.0["inputs"]["times"][name].as_f64().expect("a time");
    let times = Times {
        alarm_s: t("alarm_s"),
        kit_s: t("kit_s"),
        out_m_per_s: t("out_m_per_s"),
        pick_up_s: t("pick_up_s"),
        tow_m_per_s: t("tow_m_per_s"),
        over_s: t("over_s"),
    };
    c.is("total_s", times.total_s(c.get("casualty_from_B_m")));
    // Said as a plan: in the middle of a gap twice as wide, by what the times are unless the plan says otherwise.
    let mut line = c.0.clone();
    line["inputs"] = serde_json::json!({"span_m": 2.0 * c.get("casualty_from_B_m"), "rise_m": 0.0, "mu_kg_per_m": 0.1});
    let rope = format!("Part(item: \"static-rope-11\", length: \"{} m\", ends: (Made(), Made()))", c.get("rope_m"));
    let rescue = format!("rescue: Rescue(ropes: [Tow(side: B, rope: {rope}, kept: \"{} m\")])", c.get("rope_kept_m"));
    let file = plain_plan(&Case(line), "Stiffness(\"200 kN\")", "Solve(standing: \"3 kN\", at: A)", "", &rescue);
    let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
    let all = review.rescued.expect("a rescue");
    let middle = all.on(On::Main).find(|p| (p.x_m - c.get("casualty_from_B_m")).abs() < 1e-6).expect("looked at");
    c.is("total_s", middle.towed[0].total_s);
    c.is("reach_m", file.plan.rescue.as_ref().expect("there").ropes[0].reach_m());
}

/// The same said as plans, between points that do not give: at the places that the review looks at.
#[test]
fn plans_are_towed_as_worked_out_apart() {
    for (id, places) in [
        ("p14-main", &["x31", "x60"] as &[&str]),
        ("p14-friction", &["x31", "x60"]),
        ("p14-rings", &["x31"]),
        ("p14-long", &["x205"]),
        ("p14-backup", &["x31", "x60"]),
    ] {
        let c = case(id);
        // Of the backup alone: it lies beside a main line of the span's length, and has its own length by its excess.
        let backup = id == "p14-backup";
        let main_m = if backup { c.get("span_m") } else { c.get("L0_m") };
        let own = "ends: (Made(), Made()))])";
        let beside = format!(
            "\"beside\": Run(role: Backup(of: \"line\", excess: \"{} %\", connected: AtEnds), from: \"A\", to: \"B\", parts: [Part(item: \"own\", {own},",
            100.0 * (c.get("L0_m") / main_m - 1.0)
        );
        let beside = if backup { beside } else { String::new() };
        let curve = c.0["inputs"]["curve_kN_pct"].as_array().expect("a curve");
        let points: Vec<String> = curve.iter().map(|p| format!("(\"{} kN\", \"{} %\")", p[0], p[1])).collect();
        let rock = "Strength(Judged(\"900 kN\", \"test\"))";
        let rope = "Part(item: \"static-rope-11\", length: \"900 m\", ends: (Made(), Made()))";
        let toward = c.0["inputs"]["toward"].as_str().expect("a side");
        let plan = format!(
            "Plan(format: 1, title: \"{id}\", site: Site(span: \"{} m\", height_difference: \"{} m\"),
            people: People(walkers: [\"{} kg\"]),
            points: {{ \"A\": Fixed(side: A, at: (\"0 m\", \"0 m\", \"0 m\"), by: {rock}), \"B\": Fixed(side: B, at: (\"0 m\", \"0 m\", \"0 m\"), by: {rock}) }},
            runs: {{ \"line\": Run(role: Main, from: \"A\", to: \"B\", parts: [Part(item: \"own\", length: \"{main_m} m\", {own}, {beside} }},
            items: {{ \"own\": Item(class: Webbing, fibre: Polyester, rating: Label(\"90 kN\"), mass_per_length: \"{} kg/m\", stretch: [{}]) }},
            rescue: Rescue(ropes: [Tow(side: {toward}, rope: {rope})], friction: {:?}))",
            c.get("span_m"),
            c.get("rise_m"),
            0.5 * c.get("load_kg"),
            c.get("mu_kg_per_m"),
            points.join(", "),
            c.get("roller_friction"),
        );
        let file = PlanFile::parse(id, plan).unwrap_or_else(|e| panic!("{}", e.show(id)));
        assert!(file.is_sound(), "{}", file.show_faults());
        let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
        let all = review.rescued.expect("a rescue");
        // The whole rig is solved while somebody is towed in: its line sees what the tow worked out apart has.
        let on = if backup { On::Backup } else { On::Main };
        let towed = |s: &Situation| matches!(s.cause, Cause::Towed { on: over, .. } if over == on);
        let towing = review.cases.iter().find(|c| towed(&c.case.situation)).expect("solved");
        let seen = &towing.response;
        let line_n = seen.line_n.iter().chain(&seen.backup_n).copied().fold(0.0, f64::max);
        let most_n = all.on(on).map(|p| p.towed[0].line_n).fold(0.0, f64::max);
        assert!(towing.certified() && line_n < 1.002 * most_n && line_n > 0.97 * most_n, "{id}: {line_n} {most_n}");
        for place in places {
            let x: f64 = place[1..].parse().expect("a place");
            let at = all.on(on).find(|p| (p.x_m - x).abs() < 1e-6).unwrap_or_else(|| panic!("{id}: no {place}"));
            assert!(at.certified, "{id} {place}");
            c.is(&format!("{place}_tow_N"), at.towed[0].here_n);
        }
    }
}

/// A tie lets somebody 0.8 m over the lip, from an anchor 4.2 m behind it: rope that works, and how hard it stops, on a rope of
/// 24 kN per unit of strain (closed form: F = mg + √((mg)² + 2 m g K h/ℓ)).
#[test]
fn a_tie_stops_by_the_closed_form() {
    let (mass, fall, works) = (80.0, 1.8, 0.8 + 4.2 * (-0.4 * std::f64::consts::FRAC_PI_2).exp());
    assert!((works - 3.04_f64).abs() < 0.005, "{works}");
    let law = Arc::new(StrainLaw::linear(24_000.0).expect("a law"));
    let ours = stopped_n(mass, fall, Piece { length_m: works, gauge_m: works, law }).expect("it stops");
    let closed = mass * G + ((mass * G).powi(2) + 2.0 * mass * G * 24_000.0 * fall / works).sqrt();
    println!("{ours:.1} N, closed form {closed:.1} N");
    assert!((ours / closed - 1.0).abs() < 1e-6 && (ours / 5600.0 - 1.0).abs() < 0.02, "{ours} {closed}");
}

/// The same said as a plan: a held-back tie is asked for twice the weight, a longer one for its fall.
#[test]
fn ties_of_a_plan_stop_by_the_closed_form() {
    let rock = "Strength(Judged(\"40 kN\", \"test\"))";
    let web = "Part(item: \"webbing-polyester-25\", length: \"30.1 m\", ends: (Made(), Made()))";
    let plan = format!(
        "Plan(format: 1, title: \"ties\", site: Site(span: \"30 m\"), people: People(walkers: [\"80 kg\"]),
        points: {{ \"A\": Fixed(side: A, at: (\"0 m\", \"0 m\", \"0 m\"), by: {rock}), \"B\": Fixed(side: B, at: (\"0 m\", \"0 m\", \"0 m\"), by: {rock}), \"post\": Fixed(side: A, at: (\"-4.2 m\", \"1 m\", \"0 m\"), by: {rock}) }},
        runs: {{ \"line\": Run(role: Main, from: \"A\", to: \"B\", parts: [{web}]) }},
        items: {{ \"own\": Item(class: Rope, fibre: Nylon, rating: Label(\"22 kN\"), diameter: \"10 mm\", stretch: Stiffness(\"24 kN\")) }},
        ties: {{
            \"short\": Tie(side: A, anchors: [\"post\"], rope: Part(item: \"own\", length: \"4 m\", ends: (Made(), Made())), lip: \"4.2 m\"),
            \"long\": Tie(side: A, anchors: [\"post\"], rope: Part(item: \"own\", length: \"5 m\", ends: (Made(), Made())), lip: \"4.2 m\", people: 2),
        }})"
    );
    let file = PlanFile::parse("ties", plan).unwrap_or_else(|e| panic!("{}", e.show("ties")));
    assert!(file.is_sound(), "{}", file.show_faults());
    let edges = at_rest(&file).unwrap_or_else(|e| panic!("{e}")).edges.expect("ties");
    let [short, long] = &edges.ties[..] else { panic!("two ties") };
    assert!(short.lets_over.is_none() && (short.demand_n().expect("known") - 2.0 * 80.0 * G).abs() < 1e-6);
    let over = long.lets_over.expect("it is longer than the way to the lip");
    assert!((over.beyond_m - 0.8).abs() < 1e-9 && (over.fall_m - 1.8).abs() < 1e-9);
    let w = 80.0 * G;
    let closed = w + (w * w + 2.0 * w * 24_000.0 * over.fall_m / over.works_m).sqrt();
    // A law is stiffer in a fall by what the catalogue says of its fibre; here as it is written.
    assert!((long.peak_n.expect("known") / closed - 1.0).abs() < 1e-6, "{:?} {closed}", long.peak_n);
    assert!((long.demand_n().expect("known") / closed - 2.0).abs() < 1e-5);
}

/// A plan of one line between two points that do not give, with blocks of the trip.
fn plain_plan(c: &Case, stretch: &str, length: &str, site: &str, blocks: &str) -> PlanFile {
    let rock = "Strength(Judged(\"900 kN\", \"test\"))";
    let id = c.0["id"].as_str().expect("a name");
    let plan = format!(
        "Plan(format: 1, title: \"{id}\", site: Site(span: \"{} m\", height_difference: \"{} m\"{site}),
        people: People(walkers: [\"{} kg\"]),
        points: {{ \"A\": Fixed(side: A, at: (\"0 m\", \"0 m\", \"0 m\"), by: {rock}), \"B\": Fixed(side: B, at: (\"0 m\", \"0 m\", \"0 m\"), by: {rock}) }},
        runs: {{ \"line\": Run(role: Main, from: \"A\", to: \"B\", parts: [Part(item: \"own\", length: {length}, ends: (Made(), Made()))]) }},
        items: {{ \"own\": Item(class: Webbing, fibre: Polyester, rating: Label(\"90 kN\"), mass_per_length: \"{} kg/m\", stretch: {stretch}) }},
        {blocks})",
        c.get("span_m"),
        c.get("rise_m"),
        c.or("walker_kg", 80.0),
        c.get("mu_kg_per_m"),
    );
    let file = PlanFile::parse(id, plan).unwrap_or_else(|e| panic!("{}", e.show(id)));
    assert!(file.is_sound(), "{}", file.show_faults());
    file
}

fn curve(c: &Case) -> String {
    let curve = c.0["inputs"]["curve_kN_pct"].as_array().expect("a curve");
    let points: Vec<String> = curve.iter().map(|p| format!("(\"{} kN\", \"{} %\")", p[0], p[1])).collect();
    format!("[{}]", points.join(", "))
}

/// The line over said as a plan: what its edges see all the way over, and how much of it is let out.
#[test]
fn plans_go_over_as_worked_out_apart() {
    for id in ["p12-full-long", "p12-full-short", "p12-full-uphill"] {
        let c = case(id);
        // Wet polyester weighs 1.25 times what it weighs dry.
        let wet = c.or("wet_ratio", 1.0) > 1.0;
        assert!(!wet || (c.get("wet_ratio") - 1.25).abs() < 1e-12, "{id}");
        let crossing = format!(
            "crossing: Crossing(sends: A, wet: {wet}, hold: Sag(\"{} m\"), stages: [Stage(name: \"messenger\", by: \"thrown\", line: Part(item: \"cord-4\", length: \"1900 m\")), Stage(name: \"line\", runs: [\"line\"])])",
            c.get("sag_m")
        );
        let stiff = format!("Stiffness(\"{} kN\")", c.get("EA_N") / 1e3);
        let file = plain_plan(&c, &stiff, "Solve(standing: \"3 kN\", at: A)", "", &crossing);
        let over = at_rest(&file).unwrap_or_else(|e| panic!("{e}")).over.expect("a crossing");
        let way = over.stages.last().and_then(|s| s.ways.last()).expect("over");
        assert!(way.certified && (way.share - 1.0).abs() < 1e-12);
        c.is("T_sending_N", way.sending_n);
        c.is("T_receiving_N", way.receiving_n);
        // Five metres are counted at either end, beyond the edges.
        c.is("L0_across_m", over.let_out_m - 10.0);
    }
}

/// Hand-tight and the release said as a plan.
#[test]
fn plans_are_half_rigged_as_worked_out_apart() {
    let c = case("p12-half-rigged");
    let ground = c.0["inputs"]["ground"].as_array().expect("ground");
    let ground: Vec<String> = ground.iter().map(|p| format!("(\"{} m\", \"{} m\")", p[0], p[1])).collect();
    let crossing = format!(
        "crossing: Crossing(sends: A, hold: Sag(\"{} m\"), lips: \"{} m\", half_rigged: \"{} kN\", stages: [Stage(name: \"messenger\", by: \"thrown\", line: Part(item: \"cord-4\", length: \"90 m\")), Stage(name: \"line\", runs: [\"line\"])])",
        c.get("sag_m"),
        c.get("lips_m"),
        c.get("hand_tight_N") / 1e3
    );
    let length = format!("Solve(standing: \"{} kN\", at: A)", c.get("standing_N") / 1e3);
    let site = format!(", ground: [{}]", ground.join(", "));
    let file = plain_plan(&c, &curve(&c), &length, &site, &crossing);
    let over = at_rest(&file).unwrap_or_else(|e| panic!("{e}")).over.expect("a crossing");
    let hand = over.half_rigged.expect("hangs");
    c.is("sag_hand_tight_m", hand.sag_m);
    c.is("least_clearance_m", hand.height_m.expect("over ground"));
    c.is("clearance_at_x_m", hand.height_at_m);
    c.is("let_out_to_hand_tight_m", over.release_m[0]);
    c.is("let_out_to_held_sag_m", over.release_m[1]);
}

/// Readings said as a plan's day, each with the error that it states: how stretchy the line is, and how sure that is; how heavy.
#[test]
fn days_are_read_as_worked_out_apart() {
    let sd =
        |c: &Case, name: &str| c.0["inputs"]["one_sd"][name].as_f64().unwrap_or_else(|| panic!("no error of {name}"));
    let kn = |n: f64| format!("\"{} kN\"", n / 1e3);
    for id in ["p13-sag", "p13-sag-long", "p13-tension", "p13-through"] {
        let c = case(id);
        let standing = format!("Reading(tension: Within({}, {}))", kn(c.get("standing_N")), kn(sd(&c, "standing_N")));
        let walker = |c: &Case| {
            format!(
                "({}, Within(\"{} kg\", \"{} kg\"))",
                c.get("walker_share_ratio"),
                c.get("walker_kg"),
                sd(c, "walker_kg")
            )
        };
        let (second, through) = match id {
            "p13-through" => (
                String::new(),
                format!(
                    ", through: Through(from: Within({}, {}), length: Within(\"{} m\", \"{} m\"))",
                    kn(c.get("hand_tight_N")),
                    kn(sd(&c, "hand_tight_N")),
                    c.get("come_through_m"),
                    sd(&c, "come_through_m")
                ),
            ),
            "p13-tension" => (
                format!(
                    ", Reading(tension: Within({}, {}), walker: {})",
                    kn(c.get("tension_with_walker_N")),
                    kn(sd(&c, "tension_with_walker_N")),
                    walker(&c)
                ),
                String::new(),
            ),
            _ => (
                format!(
                    ", Reading(sag: Within(\"{} m\", \"{} m\"), walker: {})",
                    c.get("walker_sag_m"),
                    sd(&c, "walker_sag_m"),
                    walker(&c)
                ),
                String::new(),
            ),
        };
        let span = if through.is_empty() {
            format!(", span: Within(\"{} m\", \"{} m\")", c.get("span_m"), sd(&c, "span_m"))
        } else {
            String::new()
        };
        let day = format!("days: [Day(date: \"2026-10-03\", read: [{standing}{second}]{through}{span})]");
        let file = plain_plan(&c, &curve(&c), "Solve(standing: \"3 kN\", at: A)", "", &day);
        let read = spanwright::review::day_read(&file, &file.plan.days[0]);
        let [kappa, sure] = read.stretch.unwrap_or_else(|| panic!("{id}: {read:?}"));
        c.is("kappa_ratio", kappa);
        c.is("one_sd_of_kappa_ratio", sure);
    }
    let c = case("p13-mass");
    let day = format!(
        "days: [Day(date: \"2026-10-03\", read: [Reading(tension: {}, sag: \"{} m\")])]",
        kn(c.get("standing_N")),
        c.get("empty_sag_m")
    );
    let file = plain_plan(&c, &curve(&c), "Solve(standing: \"3 kN\", at: A)", "", &day);
    let read = spanwright::review::day_read(&file, &file.plan.days[0]);
    c.is("mass_ratio", read.weight.expect("weighed"));
    // An hour later, of webbing whose swelling is known: what it should have had, and what slipped.
    let c = case("p13-slip");
    let day = format!(
        "days: [Day(date: \"2026-10-03\", temperature: \"10 degC\", read: [Reading(tension: {}), Reading(after: \"{} s\", tension: {}, temperature: \"{} degC\")])]",
        kn(c.get("standing_N")),
        c.get("later_s"),
        kn(c.get("later_N")),
        10.0 + c.get("dT_K")
    );
    let swells = format!("{}, alpha_per_k: {:?}", curve(&c), c.get("alpha_per_K"));
    let file = plain_plan(&c, &swells, "Solve(standing: \"3 kN\", at: A)", "", &day);
    let read = spanwright::review::day_read(&file, &file.plan.days[0]);
    let later = read.compared.iter().find(|r| r.read == spanwright::review::Read::Later).expect("read");
    c.is("expected_later_tension_N", later.computed.expect("known")[0]);
    c.is("slip_with_creep_m", later.slipped_m.expect("known"));
}

fn law(c: &Case) -> Arc<StrainLaw> {
    let points = c.0["inputs"]["curve_kN_pct"].as_array().expect("a curve");
    let get = |p: &Value, k: usize| p[k].as_f64().expect("a number");
    let points: Vec<_> = points.iter().map(|p| (1e3 * get(p, 0), 0.01 * get(p, 1))).collect();
    Arc::new(StrainLaw::from_points(&points).expect("a law"))
}

/// Steady flow by tension and temperature.
#[test]
fn hmpe_flows_by_tension_and_temperature() {
    let c = case("p16-rate");
    let flow = flow_of(&c);
    for n in [3000.0, 6080.0, 8000.0] {
        for degc in [10.0, 22.0, 36.0] {
            let [least, most] = flow.per_s(n, degc + 273.15);
            assert!(least == most);
            c.is(&format!("T{n}_{degc}C_per_day_pct"), 100.0 * 86_400.0 * most);
        }
    }
}

fn flow_of(c: &Case) -> Flow {
    Flow {
        strength_n: c.get("strength_N"),
        a_year: [c.get("per_year_at_fifth_ratio"); 2],
        power: [c.get("power"); 2],
        activation_j_per_mol: [c.get("activation_J_per_mol"); 2],
    }
}

/// Three nights of HMPE that creeps and flows, between points that do not give: half days at one temperature each.
#[test]
fn hmpe_hangs_for_three_nights() {
    let c = case("p16-hmpe");
    let (law, flow) = (law(&c), flow_of(&c));
    let line = Gauged {
        span_m: c.get("span_m"),
        rise_m: c.get("rise_m"),
        weight_n_per_m: c.get("mu_kg_per_m") * G,
        law: law.clone(),
    };
    let [length_m, _] = line.standing(1.0, c.get("standing_N")).expect("hangs");
    c.is("L0_m", length_m);
    // The tension at which the line is as long as it has become.
    let tension = |after_s: f64, v: f64, degc: f64| {
        let kappa = log_creep(c.get("creep_per_decade_ratio"), after_s);
        let swell = 1.0 + c.get("alpha_per_K") * (degc - c.get("rigged_degC")) + v;
        let off = |n: f64| Some(line.standing(kappa, n)?[0] - length_m * swell);
        match bracketed(1e3, 2e4, 1e-9, 0.0, off) {
            Root::At(n) => n,
            Root::OutOfReach(..) | Root::NoValue => panic!("no tension"),
        }
    };
    let degc = |after_s: f64| {
        if (((after_s - 1.0) / 43_200.0) as usize).is_multiple_of(2) { c.get("low_degC") } else { c.get("high_degC") }
    };
    let (mut v, mut before) = (vec![0.0], 0.0);
    for (k, until) in [(1, 3600.0), (12, 43_200.0), (24, 86_400.0), (36, 129_600.0), (0, 172_800.0), (60, 216_000.0)] {
        let warm = degc(until);
        v = flowed([before, until], &v, |t, v| Some(vec![flow.per_s(tension(t, v[0], warm), warm + 273.15)[1]]))
            .expect("flows");
        before = until;
        if k > 0 {
            let n = tension(until, v[0], warm);
            c.is(&format!("at_{k}h_T_N"), n);
            // Longer than one that did not creep, at that tension.
            let kappa = log_creep(c.get("creep_per_decade_ratio"), until);
            let stretch = law.at(n).0;
            c.is(&format!("at_{k}h_creep_m"), length_m * ((1.0 + v[0]) * (1.0 + kappa * stretch) - (1.0 + stretch)));
        }
    }
    c.is("v_ratio", v[0]);
}

/// Polyester and nylon over a night or two, said as plans: what is left, how much longer, what is drawn in, what a gust asks.
#[test]
fn plans_stay_up_as_worked_out_apart() {
    // Polyester once more, looked at after an hour: pulled up then, so that what follows is another line's.
    for (id, hour) in [("p16-polyester", false), ("p16-polyester", true), ("p16-nylon", true), ("p16-gust", false)] {
        let c = case(id);
        let item = format!(
            "{}, alpha_per_k: {:?}, creep: Creep(per_decade: {})",
            curve(&c),
            c.get("alpha_per_K"),
            c.get("creep_per_decade_ratio")
        );
        let width = c.0["inputs"]["width_m"].as_f64().map_or(String::new(), |w| format!(", width: \"{w} m\""));
        let gust = c.or("gust_m_per_s", 0.0);
        let days: Vec<String> = (2..6)
            .map(|d| {
                // The plan's own storm in the coldest hour, on a day of its own.
                let gust = if d == 5 { c.or("storm_m_per_s", 0.0) } else { gust };
                let (low, high) = (c.get("low_degC"), c.get("high_degC"));
                format!(
                    "Forecast(date: \"2026-07-0{d}\", low: \"{low} degC\", high: \"{high} degC\", gust: \"{gust} m/s\")"
                )
            })
            .collect();
        // An hour after it was tensioned it is read; nylon is pulled up then.
        let up = if hour { ", pull_up: [\"1 h\"]" } else { "" };
        let stay = format!("stay: Stay(from: \"2026-07-01\", days: [{}]{up})", days.join(", "));
        let air = format!(
            ", air: Air(rigged_at: \"{} degC\", storm: \"{} m/s\", speeds: Gust)",
            c.get("rigged_degC"),
            c.or("storm_m_per_s", 10.0)
        );
        let length = format!("Solve(standing: \"{} kN\", at: A)", c.get("standing_N") / 1e3);
        let file = plain_plan(&c, &(item + &width), &length, &air, &stay);
        let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
        let stays = review.stays.as_ref().expect("it stays up");
        assert!(stays.fault.is_none(), "{id}: {stays:?}");
        c.is("L0_m", review.line.unstretched_m);
        for m in &stays.moments {
            let hours = (m.after_s / 3600.0).round();
            let name = |what: &str| format!("at_{hours}h_{what}");
            let anew = hour && id == "p16-polyester" && hours > 1.0;
            if anew || c.0["outputs"][name("T_N")].is_null() {
                continue;
            }
            assert!(m.tension_n[0] == m.tension_n[1], "one figure of creep, one of swelling: no band");
            c.is(&name("T_N"), m.tension_n[0]);
            c.is(&name("creep_m"), m.longer_m[0]);
            if m.pulled_up && id == "p16-nylon" {
                c.is(&name("pulled_in_m"), m.draw_in_m[0]);
            }
        }
        if gust > 0.0 {
            let blown = |s: &&spanwright::review::Solved| s.case.words().contains("gust of 2026-07-02");
            let solved = review.cases.iter().find(blown).expect("solved");
            c.is("gust_forecast_T_N", solved.response.line_n[0]);
            let design = |s: &&spanwright::review::Solved| s.case.words().contains("gust of 2026-07-05");
            let stormy = review.cases.iter().find(design).expect("solved");
            c.is("gust_design_T_N", stormy.response.line_n[0]);
            // What is told is of the harder end, the higher one.
            let most_n = stays.gusts[0].most_n.expect("solved");
            assert!(most_n >= solved.response.line_n[1] && most_n > solved.response.line_n[0]);
        }
    }
}

/// The same line as it was tensioned, and blown at when it has crept for a night: every stretch longer by log creep, its
/// unstretched length kept, said as a plan of that length.
#[test]
fn a_gust_on_a_crept_line() {
    let c = case("p16-gust");
    let air = format!(
        ", air: Air(rigged_at: \"{} degC\", storm: \"{} m/s\", speeds: Gust)",
        c.get("rigged_degC"),
        c.get("storm_m_per_s")
    );
    let (low, high, gust) = (c.get("low_degC"), c.get("high_degC"), c.get("gust_m_per_s"));
    let stay = format!(
        "stay: Stay(from: \"2026-07-01\", days: [Forecast(date: \"2026-07-02\", low: \"{low} degC\", high: \"{high} degC\", gust: \"{gust} m/s\")])"
    );
    let width = format!(
        ", width: \"{} m\", alpha_per_k: {:?}, creep: Creep(per_decade: 0.0001)",
        c.get("width_m"),
        c.get("alpha_per_K")
    );
    let night_s = c.0["inputs"]["read_s"][0].as_f64().expect("a time");
    let kappa = log_creep(c.get("creep_per_decade_ratio"), night_s);
    let points = c.0["inputs"]["curve_kN_pct"].as_array().expect("a curve");
    let get = |p: &Value, k: usize| p[k].as_f64().expect("a number");
    let crept: Vec<String> =
        points.iter().map(|p| format!("(\"{} kN\", \"{} %\")", get(p, 0), kappa * get(p, 1))).collect();
    let of = |stretch: &str, length: &str| {
        let file = plain_plan(&c, &(stretch.to_owned() + &width), length, &air, &stay);
        at_rest(&file).unwrap_or_else(|e| panic!("{e}"))
    };
    let tensioned = of(&curve(&c), &format!("Solve(standing: \"{} kN\", at: A)", c.get("standing_N") / 1e3));
    c.is("L0_m", tensioned.line.unstretched_m);
    let length = format!("\"{} m\"", c.0["outputs"]["L0_m"].as_f64().expect("a length"));
    let after = of(&format!("[{}]", crept.join(", ")), &length);
    let blown = after.cases.iter().find(|s| s.case.words().contains("gust of 2026-07-02")).expect("solved");
    c.is("gust_forecast_on_crept_T_N", blown.response.line_n[0]);
}
