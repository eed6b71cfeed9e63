//! Statics against independent libraries: every static case of `data/computed.json` within its own tolerance.
//! The reference method of each case is named in the file.

use std::collections::BTreeMap;
use std::sync::Arc;

use glam::DVec3;
use serde_json::Value;
use spanwright::mechanics::certificate::certify;
use spanwright::mechanics::equilibrium::{self, MemberState, Solution};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::root::{Root, bracketed};
use spanwright::mechanics::span::{self, Zone};

const G: f64 = 9.80665;

fn cases() -> Vec<Value> {
    let all: Value = serde_json::from_str(include_str!("../data/computed.json")).expect("json");
    all["cases"].as_array().expect("list").clone()
}

fn num(v: &Value, key: &str) -> f64 {
    v[key].as_f64().unwrap_or(0.0)
}

fn vec3(v: &Value) -> DVec3 {
    DVec3::new(v[0].as_f64().unwrap_or(0.0), v[1].as_f64().unwrap_or(0.0), v[2].as_f64().unwrap_or(0.0))
}

fn law(segment: &Value) -> Arc<StrainLaw> {
    let law = match segment["curve_kN_pct"].as_array() {
        Some(points) => StrainLaw::from_points(
            &points
                .iter()
                .map(|p| (1000.0 * p[0].as_f64().expect("kN"), p[1].as_f64().expect("%") / 100.0))
                .collect::<Vec<_>>(),
        ),
        None => StrainLaw::linear(num(segment, "EA_N")),
    };
    Arc::new(law.expect("a law"))
}

/// A line between two points: spans between its ends and its walkers.
struct Line {
    nodes: Vec<Node>,
    members: Vec<Member>,
    walkers: Vec<usize>,
}

fn line(
    inputs: &Value,
    ends: (usize, usize),
    first: usize,
    chord: (DVec3, DVec3),
    wind: f64,
    stretch: f64,
    loaded: bool,
) -> Line {
    let segments = inputs["segments"].as_array().cloned().unwrap_or_default();
    let total: f64 = segments.iter().map(|s| num(s, "L0_m")).sum();
    let empty = Vec::new();
    let walkers = if loaded { inputs["walkers"].as_array().unwrap_or(&empty) } else { &empty };
    let mut out = Line { nodes: Vec::new(), members: Vec::new(), walkers: Vec::new() };
    let (mut zones, mut at, mut last) = (Vec::new(), 0.0, ends.0);
    let mut next = walkers.iter();
    let mut walker = next.next();
    for segment in &segments {
        let mut left = num(segment, "L0_m");
        loop {
            let until = walker.map_or(f64::INFINITY, |w| num(w, "s_frac") * total - at);
            let take = left.min(until);
            if take > 1e-12 {
                zones.push(Zone {
                    length_m: take * stretch,
                    load_n_per_m: DVec3::new(0.0, wind, -G * num(segment, "mu_kg_per_m")) / 1.0,
                    law: law(segment),
                });
            }
            at += take;
            left -= take;
            if until <= take + 1e-12 {
                let w = walker.expect("until is finite");
                let node = first + out.nodes.len();
                out.nodes.push(Node {
                    place: chord.0.lerp(chord.1, num(w, "s_frac")),
                    fixed: false,
                    load_n: DVec3::new(0.0, num(w, "wind_N"), -G * num(w, "mass_kg")),
                });
                out.walkers.push(node);
                out.members.push(Member::Span(Span { a: last, b: node, zones: std::mem::take(&mut zones) }));
                last = node;
                walker = next.next();
            } else {
                break;
            }
        }
    }
    out.members.push(Member::Span(Span { a: last, b: ends.1, zones }));
    out
}

fn plain(inputs: &Value, wind: f64, stretch: f64, loaded: bool) -> (Net, Vec<usize>) {
    let (a, b) = (DVec3::ZERO, DVec3::new(num(inputs, "span_m"), 0.0, num(inputs, "rise_m")));
    let mut nodes: Vec<Node> =
        [a, b].into_iter().map(|place| Node { place, fixed: true, load_n: DVec3::ZERO }).collect();
    let l = line(inputs, (0, 1), 2, (a, b), wind, stretch, loaded);
    nodes.extend(l.nodes);
    (Net { nodes, members: l.members }, l.walkers)
}

fn certified(net: &Net) -> Solution {
    let s = equilibrium::solve(net, None);
    let c = certify(net, &s);
    assert!(c.holds(), "{:?} after {:?}", c.faults, s.history);
    s
}

/// Force of the line on its first and last end.
fn end_forces(net: &Net, s: &Solution) -> (DVec3, DVec3) {
    let spans: Vec<usize> = (0..net.members.len()).filter(|&i| matches!(net.members[i], Member::Span(_))).collect();
    let first = s.span_force(spans[0]).expect("span");
    let last = *spans.last().expect("span");
    let Member::Span(l) = &net.members[last] else { unreachable!() };
    (first, span::load_n(&l.zones) - s.span_force(last).expect("span"))
}

/// Furthest drop below the chord, the drop at mid-span, the lowest place and the furthest sideways.
fn shape(net: &Net, s: &Solution) -> BTreeMap<&'static str, f64> {
    let mut places: Vec<DVec3> = Vec::new();
    let (mut length, mut sway) = (0.0, 0.0_f64);
    let (a, b) = (s.places[0], s.places[1]);
    let chord = b - a;
    let mut drop = 0.0_f64;
    let below = |p: DVec3| a.z + chord.z * (p.x - a.x) / chord.x - p.z;
    let mut mid = f64::NAN;
    for (m, member) in net.members.iter().enumerate() {
        let Member::Span(sp) = member else { continue };
        let f = s.span_force(m).expect("span");
        let from = s.places[sp.a];
        let total = span::length_m(&sp.zones);
        let k = span::furthest_below(&sp.zones, f, chord);
        drop = drop.max(below(from + span::place(&sp.zones, f, k)));
        let at = |u: f64| from + span::place(&sp.zones, f, u * total);
        let x_mid = 0.5 * (a.x + b.x);
        if at(0.0).x <= x_mid && at(1.0).x >= x_mid {
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..60 {
                let u = 0.5 * (low + high);
                if at(u).x < x_mid { low = u } else { high = u }
            }
            mid = below(at(low));
        }
        let n = 400;
        for i in 0..=n {
            places.push(at(f64::from(i) / f64::from(n)));
        }
        for w in places.windows(2).skip(places.len().saturating_sub(n as usize + 1)) {
            length += w[0].distance(w[1]);
        }
        // The furthest sideways: where t_y changes sign, linear in s (one load all along).
        let load = span::load_n(&sp.zones).y;
        if load != 0.0 {
            let u = (f.y / load).clamp(0.0, 1.0);
            sway = sway.max(at(u).y.abs());
        }
    }
    let lowest = places.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
    BTreeMap::from([
        ("max_drop_below_chord_m", drop),
        ("mid_span_drop_m", mid),
        ("lowest_z_m", lowest),
        ("stretched_length_m", length),
        ("max_sway_y_m", sway),
    ])
}

fn plain_outputs(net: &Net, s: &Solution, walkers: &[usize]) -> BTreeMap<String, f64> {
    let (fa, fb) = end_forces(net, s);
    let mut out: BTreeMap<String, f64> = shape(net, s).into_iter().map(|(k, v)| (k.to_owned(), v)).collect();
    for (k, f) in [("A", fa), ("B", fb)] {
        out.insert(format!("T{k}_N"), f.length());
        out.insert(format!("F{k}x_N"), f.x);
        out.insert(format!("F{k}y_N"), f.y);
        out.insert(format!("F{k}z_N"), f.z);
        out.insert(format!("angle_{k}_below_horizontal_deg"), (-f.z).atan2(f.x.hypot(f.y)).to_degrees());
    }
    let (a, b) = (s.places[0], s.places[1]);
    for (i, &w) in walkers.iter().enumerate() {
        let p = s.places[w];
        let n = i + 1;
        out.insert(format!("walker{n}_x_m"), p.x);
        out.insert(format!("walker{n}_y_m"), p.y);
        out.insert(format!("walker{n}_z_m"), p.z);
        out.insert(format!("walker{n}_drop_m"), a.z + (b.z - a.z) * (p.x - a.x) / (b.x - a.x) - p.z);
    }
    out
}

/// Compares every output a case names; returns the largest error over tolerance and how many were compared.
fn compare(case: &Value, got: &BTreeMap<String, f64>) -> (f64, usize) {
    let mut worst = 0.0_f64;
    let outputs = case["outputs"].as_object().expect("outputs");
    for (key, want) in outputs {
        let want = want.as_f64().expect("number");
        let tolerance = num(&case["abs_tolerance"], key);
        let have = *got.get(key).unwrap_or_else(|| panic!("{}: {key} not worked out", case["id"]));
        let off = (have - want).abs() / tolerance;
        assert!(off <= 1.0, "{} {key}: {have} against {want}, tolerance {tolerance}", case["id"]);
        worst = worst.max(off);
    }
    (worst, outputs.len())
}

#[test]
fn lines_between_fixed_points() {
    for case in cases().iter().filter(|c| matches!(c["kind"].as_u64(), Some(1 | 3 | 4 | 10))) {
        let (net, walkers) = plain(&case["inputs"], num(&case["inputs"], "wind_N_per_m"), 1.0, true);
        let s = certified(&net);
        let (worst, n) = compare(case, &plain_outputs(&net, &s, &walkers));
        println!("{}: {n} outputs, worst error {worst:.1e} of its tolerance", case["id"]);
    }
}

#[test]
fn unstretched_length_for_a_target() {
    for case in cases().iter().filter(|c| c["kind"] == 2) {
        let i = &case["inputs"];
        let with = |length: f64, loaded: bool| {
            let mut inputs = i.clone();
            inputs["segments"] = serde_json::json!([{
                "L0_m": length, "mu_kg_per_m": num(i, "mu_kg_per_m"), "EA_N": num(i, "EA_N") }]);
            let (net, walkers) = plain(&inputs, 0.0, 1.0, loaded);
            let s = certified(&net);
            plain_outputs(&net, &s, &walkers)
        };
        let chord = num(i, "span_m").hypot(num(i, "rise_m"));
        let target = num(i, "target_standing_TA_N");
        let found = bracketed(0.9 * chord, 1.05 * chord, 1e-11, 1e-9, |l| {
            Some(if target > 0.0 {
                with(l, false)["TA_N"] - target
            } else {
                with(l, true)["walker1_drop_m"] - num(i, "target_walker_drop_m")
            })
        });
        let Root::At(length) = found else { panic!("{found:?}") };
        let mut got = BTreeMap::from([("L0_m".to_owned(), length), ("L0_minus_chord_m".to_owned(), length - chord)]);
        got.insert("standing_TA_without_walker_N".to_owned(), with(length, false)["TA_N"]);
        let (worst, n) = compare(case, &got);
        println!("{}: {n} outputs, worst error {worst:.1e} of its tolerance", case["id"]);
    }
}

fn rig(inputs: &Value, loaded: bool) -> (Net, Vec<(String, usize)>, Vec<String>, Vec<usize>) {
    let map = inputs["nodes"].as_object().expect("nodes");
    let names: Vec<String> = map.keys().cloned().collect();
    let index = |n: &Value| names.iter().position(|k| Some(k.as_str()) == n.as_str()).expect("node");
    let mut nodes: Vec<Node> = map
        .values()
        .map(|n| Node {
            place: vec3(&n["pos"]),
            fixed: n["fixed"].as_bool().unwrap_or(false),
            load_n: vec3(&n["force_N"]),
        })
        .collect();
    let (mut members, mut links) = (Vec::new(), Vec::new());
    let chain = |v: &Value| {
        let l = num(v, "L0_m");
        Arc::new(LengthLaw::series(vec![Piece { length_m: l, gauge_m: l, law: law(v) }]).expect("stretches"))
    };
    for leg in inputs["legs"].as_array().into_iter().flatten() {
        links.push((format!("T_{}_N", leg["name"].as_str().expect("name")), members.len()));
        members.push(Member::Link(Link::new(vec![index(&leg["a"]), index(&leg["b"])], chain(leg))));
    }
    for sling in inputs["slings"].as_array().into_iter().flatten() {
        links.push((format!("T_{}_N", sling["name"].as_str().expect("name")), members.len()));
        let path = sling["path"].as_array().expect("path").iter().map(index).collect();
        members.push(Member::Link(Link::new(path, chain(sling))));
    }
    let mut walkers = Vec::new();
    if inputs["line"].is_object() {
        let l = &inputs["line"];
        let ends = (index(&l["a"]), index(&l["b"]));
        let chord = (nodes[ends.0].place, nodes[ends.1].place);
        let made = line(l, ends, nodes.len(), chord, num(l, "wind_N_per_m"), 1.0, loaded);
        nodes.extend(made.nodes);
        members.extend(made.members);
        walkers = made.walkers;
    }
    (Net { nodes, members }, links, names, walkers)
}

fn rig_outputs(inputs: &Value, loaded: bool) -> BTreeMap<String, f64> {
    let (net, links, names, walkers) = rig(inputs, loaded);
    let s = certified(&net);
    let mut out = BTreeMap::new();
    for (name, m) in links {
        let MemberState::Link { tension_n, .. } = s.members[m] else { panic!("link") };
        out.insert(name, tension_n);
    }
    for (name, p) in names.iter().zip(&s.places) {
        for (axis, v) in ["x", "y", "z"].into_iter().zip(p.to_array()) {
            out.insert(format!("{name}_{axis}_m"), v);
        }
    }
    if net.members.iter().any(|m| matches!(m, Member::Span(_))) {
        let (fa, fb) = end_forces(&net, &s);
        out.insert("line_TA_N".to_owned(), fa.length());
        out.insert("line_TB_N".to_owned(), fb.length());
        let (a, b) = (names.iter().position(|n| n == "MA"), names.iter().position(|n| n == "MB"));
        let (a, b) = (s.places[a.expect("MA")], s.places[b.expect("MB")]);
        for (i, &w) in walkers.iter().enumerate() {
            let p = s.places[w];
            let n = i + 1;
            for (axis, v) in ["x", "y", "z"].into_iter().zip(p.to_array()) {
                out.insert(format!("walker{n}_{axis}_m"), v);
            }
            let u = (p.x - a.x) / (b.x - a.x);
            out.insert(format!("walker{n}_drop_below_master_chord_m"), a.z + (b.z - a.z) * u - p.z);
        }
    }
    out
}

#[test]
fn anchors_and_whole_rigs() {
    for case in cases().iter().filter(|c| matches!(c["kind"].as_u64(), Some(5..=7))) {
        let mut got = rig_outputs(&case["inputs"], true);
        for (k, v) in rig_outputs(&case["inputs"], false) {
            got.insert(format!("standing_{k}"), v);
        }
        let (worst, n) = compare(case, &got);
        println!("{}: {n} outputs, worst error {worst:.1e} of its tolerance", case["id"]);
    }
}

#[test]
fn warm_and_cold_lines() {
    for case in cases().iter().filter(|c| c["kind"] == 11) {
        let i = &case["inputs"];
        let mut got = BTreeMap::new();
        let stretch = 1.0 + num(i, "alpha_per_K") * num(i, "dT_K");
        for (loaded, infix) in [(false, ""), (true, "with_walker_")] {
            for (factor, when) in [(1.0, "before"), (stretch, "after")] {
                let (net, walkers) = plain(i, 0.0, factor, loaded);
                let out = plain_outputs(&net, &certified(&net), &walkers);
                got.insert(format!("TA_{infix}{when}_N"), out["TA_N"]);
            }
        }
        got.insert("change_TA_N".to_owned(), got["TA_after_N"] - got["TA_before_N"]);
        let (worst, n) = compare(case, &got);
        println!("{}: {n} outputs, worst error {worst:.1e} of its tolerance", case["id"]);
    }
}

/// The anchor lesson: three HMPE legs cut to their distances share 8 kN as 4.027 / 0 / 4.521 kN, and a middle leg 20 mm
/// short carries 6.742 kN; nylon hardly cares. Values by independent energy minimisation.
#[test]
fn a_short_leg_takes_it_all() {
    let at = [(-3.0, 1.2, 0.3), (-3.2, 0.1, 0.4), (-2.8, -1.0, 0.2)].map(|(x, y, z)| DVec3::new(x, y, z));
    for (ea, short, want) in [
        (5.5e6, 0.0, [4027.0, 0.0, 4521.0]),
        (5.5e6, 0.02, [286.0, 6742.0, 1058.0]),
        (0.2e6, 0.0, [2746.0, 2329.0, 3303.0]),
        (0.2e6, 0.02, [2317.0, 3115.0, 2895.0]),
    ] {
        let law = Arc::new(StrainLaw::linear(ea).expect("positive"));
        let mut nodes: Vec<Node> = at.iter().map(|&place| Node { place, fixed: true, load_n: DVec3::ZERO }).collect();
        nodes.push(Node { place: DVec3::ZERO, fixed: false, load_n: DVec3::new(8000.0, 0.0, 0.0) });
        let members = (0..3)
            .map(|i| {
                let l = at[i].length() - if i == 1 { short } else { 0.0 };
                let piece = Piece { length_m: l, gauge_m: l, law: law.clone() };
                Member::Link(Link::new(vec![i, 3], Arc::new(LengthLaw::series(vec![piece]).expect("stretches"))))
            })
            .collect();
        let net = Net { nodes, members };
        let s = certified(&net);
        for (i, want) in want.into_iter().enumerate() {
            let MemberState::Link { tension_n, .. } = s.members[i] else { panic!("link") };
            assert!((tension_n - want).abs() < 0.6, "EA {ea}, short {short}: leg {i} {tension_n} against {want}");
        }
    }
}

/// End tension against the walker's place, 62 m level, EA 170 kN, 85 g/m, standing 3500.088 N, 80 kg; and how far the rule of
/// thumb W L / (4 sag) falls short. Values by `SciPy` (closed-form elastic catenaries), printed to seven figures.
#[test]
fn the_walker_along_the_line_and_the_rule_of_thumb() {
    let with = |length: f64, at: Option<f64>| {
        let walkers = at.map_or_else(Vec::new, |s| vec![serde_json::json!({"s_frac": s, "mass_kg": 80.0})]);
        let inputs = serde_json::json!({ "span_m": 62.0, "rise_m": 0.0, "walkers": walkers,
            "segments": [{"L0_m": length, "mu_kg_per_m": 0.085, "EA_N": 170e3}] });
        let (net, walkers) = plain(&inputs, 0.0, 1.0, true);
        plain_outputs(&net, &certified(&net), &walkers)
    };
    let found = bracketed(60.0, 62.0, 1e-11, 1e-9, |l| Some(with(l, None)["TA_N"] - 3500.088));
    let Root::At(length) = found else { panic!("{found:?}") };
    for (at, ta, tb, drop) in [
        (0.02, 3669.105, 3582.277, 0.268_617_2),
        (0.05, 3768.26, 3689.006, 0.634_601_2),
        (0.1, 3902.197, 3834.174, 1.162_873),
        (0.25, 4155.76, 4115.866, 2.279_836),
        (0.5, 4281.57, 4281.57, 2.945_834),
    ] {
        let got = with(length, Some(at));
        for (key, want) in [("TA_N", ta), ("TB_N", tb), ("walker1_drop_m", drop)] {
            assert!((got[key] - want).abs() < 1e-5 * want, "walker {at} {key}: {} against {want}", got[key]);
        }
    }
    let mid = with(length, Some(0.5));
    let rule = 80.0 * G * 62.0 / (4.0 * mid["walker1_drop_m"]);
    assert!((100.0 * (rule / mid["TA_N"] - 1.0) + 3.588).abs() < 0.01);
}
