//! The fixed set of 26 static solves that speed is compared on: 62 m, three tension-only legs a side, nobody on the line,
//! one walker at 19 places, each leg cut in turn with the walker in the middle.

use std::sync::Arc;

use glam::DVec3;
use serde_json::Value;
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::span::Zone;

/// The fixed set of static solves: a rig, and who is on it or what is cut.
pub(crate) struct Problem {
    nodes: Vec<(String, Node)>,
    pub(crate) legs: Vec<(String, usize, usize, f64, f64)>,
    line: (usize, usize, f64, f64, f64),
    mass: f64,
    pub(crate) solves: Vec<Value>,
}

/// Reads it.
pub(crate) fn problem() -> Problem {
    let v: Value = serde_json::from_str(include_str!("../../data/bench_problem.json")).expect("json");
    let rig = &v["rig"];
    let nodes: Vec<(String, Node)> = rig["nodes"]
        .as_object()
        .expect("nodes")
        .iter()
        .map(|(k, n)| {
            let p: Vec<f64> = n["pos"].as_array().expect("pos").iter().map(|x| x.as_f64().expect("m")).collect();
            let fixed = n["fixed"].as_bool().unwrap_or(false);
            (k.clone(), Node { place: DVec3::new(p[0], p[1], p[2]), fixed, load_n: DVec3::ZERO })
        })
        .collect();
    let at = |n: &Value| nodes.iter().position(|(k, _)| Some(k.as_str()) == n.as_str()).expect("node");
    let legs = rig["legs"]
        .as_array()
        .expect("legs")
        .iter()
        .map(|l| {
            (
                l["name"].as_str().expect("name").to_owned(),
                at(&l["a"]),
                at(&l["b"]),
                l["L0_m"].as_f64().expect("m"),
                l["EA_N"].as_f64().expect("N"),
            )
        })
        .collect();
    let s = &rig["line"]["segments"][0];
    let f = |k: &str| s[k].as_f64().expect("number");
    let line = (at(&rig["line"]["a"]), at(&rig["line"]["b"]), f("L0_m"), f("EA_N"), f("mu_kg_per_m"));
    let solves = v["solves"].as_array().expect("solves").clone();
    Problem { nodes, legs, line, mass: v["walker_mass_kg"].as_f64().expect("kg"), solves }
}

/// The net of one of the 26 solves, from the drawn geometry.
pub(crate) fn net(p: &Problem, solve: &Value) -> Net {
    let mut nodes: Vec<Node> = p.nodes.iter().map(|(_, n)| n.clone()).collect();
    let (a, b, length, ea, kg) = p.line;
    let law = Arc::new(StrainLaw::linear(ea).expect("positive"));
    let zone = |l: f64| vec![Zone { length_m: l, load_n_per_m: DVec3::new(0.0, 0.0, -9.80665 * kg), law: law.clone() }];
    let mut members = Vec::new();
    match solve["s_frac"].as_f64() {
        Some(s) => {
            let place = nodes[a].place.lerp(nodes[b].place, s);
            nodes.push(Node { place, fixed: false, load_n: DVec3::new(0.0, 0.0, -9.80665 * p.mass) });
            let w = nodes.len() - 1;
            members.push(Member::Span(Span { a, b: w, zones: zone(length * s) }));
            members.push(Member::Span(Span { a: w, b, zones: zone(length * (1.0 - s)) }));
        }
        None => members.push(Member::Span(Span { a, b, zones: zone(length) })),
    }
    for (name, a, b, l, ea) in &p.legs {
        if solve["cut"].as_str() == Some(name) {
            continue;
        }
        let law = Arc::new(StrainLaw::linear(*ea).expect("positive"));
        let piece = Piece { length_m: *l, gauge_m: *l, law };
        members
            .push(Member::Link(Link::new(vec![*a, *b], Arc::new(LengthLaw::series(vec![piece]).expect("stretches")))));
    }
    Net { nodes, members }
}
