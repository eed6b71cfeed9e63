//! Motion against general-purpose integrators, closed forms and printed examples.

use std::sync::Arc;

use glam::DVec3;
use serde_json::Value;
use spanwright::mechanics::G;
use spanwright::mechanics::equilibrium::{self, Status};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::lump::lump;
use spanwright::mechanics::motion::{End, Flow, Motion, Scene, Scheme};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::span::{self, Zone};

/// Rigs solved by SciPy (DOP853, several meshes), a multibody and a structural library; see the file's own head.
const COMPUTED: &str = include_str!("data/computed.json");

fn zone(length_m: f64, ea: f64, mu: f64, lag: f64) -> Zone {
    let law = Arc::new(StrainLaw::linear(ea).expect("positive").in_motion(1.0, lag));
    Zone { length_m, load_n_per_m: DVec3::new(0.0, 0.0, -mu * G), law }
}

fn node(place: DVec3, fixed: bool) -> Node {
    Node { place, fixed, load_n: DVec3::ZERO }
}

/// What the reference reports.
#[derive(Debug, Default, Clone, Copy)]
struct Seen {
    leash: (f64, f64),
    anchor_a: f64,
    anchor_b: f64,
    lowest_walker: (f64, f64),
    lowest_ring: f64,
    imbalance: f64,
    numerical: f64,
}

struct Mesh {
    elements: usize,
    scheme: Scheme,
}

fn line_of(i: &Value, s: f64) -> Vec<Vec<Zone>> {
    let f = |k: &str| i[k].as_f64().unwrap_or_else(|| panic!("{k}"));
    let (l, ea, mu, lag) = (f("L0_m"), f("EA_N"), f("mu_kg_per_m"), f("line_tau_s"));
    vec![vec![zone(l * s, ea, mu, lag)], vec![zone(l * (1.0 - s), ea, mu, lag)]]
}

/// A line from A to B with a ring at a share of it: nodes 0, 1 the ends, 2 the ring.
fn ringed(i: &Value, ring: DVec3, spans: &[Vec<Zone>]) -> Net {
    let f = |k: &str| i[k].as_f64().unwrap_or_else(|| panic!("{k}"));
    let (a, b) = (DVec3::ZERO, DVec3::new(f("span_m"), 0.0, f("rise_m")));
    Net {
        nodes: vec![node(a, true), node(b, true), node(ring, false)],
        members: vec![
            Member::Span(Span { a: 0, b: 2, zones: spans[0].clone() }),
            Member::Span(Span { a: 2, b: 1, zones: spans[1].clone() }),
        ],
    }
}

fn simulate(i: &Value, mesh: &Mesh) -> Seen {
    let f = |k: &str| i[k].as_f64().unwrap_or_else(|| panic!("{k}"));
    let fall = i["type"] == "fall";
    let (s, mass) = (f("ring_s_frac"), f("mass_kg"));
    let spans = line_of(i, s);
    let chord = DVec3::new(f("span_m"), 0.0, f("rise_m"));
    let (net, places, forces) = if fall {
        let net = ringed(i, chord * s, &spans);
        let rest = equilibrium::solve(&net, None);
        assert_eq!(rest.status, Status::Converged);
        let forces: Vec<DVec3> = (0..2).map(|m| rest.span_force(m).expect("span")).collect();
        (net, rest.places, forces)
    } else {
        // Where the main line held the walker; from there the backup hangs in two arcs.
        let main = &i["main"];
        let g = |k: &str| main[k].as_f64().unwrap_or_else(|| panic!("{k}"));
        let of = |share: f64| vec![zone(g("L0_m") * share, g("EA_N"), g("mu_kg_per_m"), 0.0)];
        let mut whole = ringed(i, chord * s, &[of(s), of(1.0 - s)]);
        whole.nodes[2].load_n = DVec3::new(0.0, 0.0, -mass * G);
        let rest = equilibrium::solve(&whole, None);
        assert_eq!(rest.status, Status::Converged);
        let ring = rest.places[2];
        let hang = |zones: &[Zone], chord: DVec3| {
            let s = span::solve(zones, chord, span::guess(zones, chord));
            assert!(s.converged);
            s.force
        };
        let forces = vec![hang(&spans[0], ring), hang(&spans[1], chord - ring)];
        (ringed(i, ring, &spans), vec![DVec3::ZERO, chord, ring], forces)
    };
    let (mut lumped, _) = lump(&net, &places, |m| forces[m], mesh.elements).expect("lumps");
    let mut start = 0.0;
    if fall {
        let rest = equilibrium::solve(&lumped.net, None);
        assert_eq!(rest.status, Status::Converged);
        for (n, p) in lumped.net.nodes.iter_mut().zip(&rest.places) {
            n.place = *p;
        }
        let (l, c) = (f("leash_m"), f("leash_c_Ns_per_m"));
        let ea = f("EA_leash_N");
        start = (2.0 * (f("fall_height_above_line_m") + l) / G).sqrt();
        let ring = lumped.net.nodes[2].place;
        lumped.net.nodes.push(Node {
            place: ring - DVec3::Z * l,
            fixed: false,
            load_n: DVec3::new(0.0, 0.0, -mass * G),
        });
        lumped.mass_kg.push(mass);
        let law = Arc::new(StrainLaw::linear(ea).expect("positive").in_motion(1.0, c * l / ea));
        let law = LengthLaw::series(vec![Piece { length_m: l, gauge_m: l, law }]).expect("stretches");
        let walker = lumped.net.nodes.len() - 1;
        lumped.net.members.push(Member::Link(Link::new(vec![2, walker], Arc::new(law))));
    } else {
        lumped.net.nodes[2].load_n += DVec3::new(0.0, 0.0, -mass * G);
        lumped.mass_kg[2] += mass;
    }
    let mut velocity = vec![DVec3::ZERO; lumped.net.nodes.len()];
    if fall {
        *velocity.last_mut().expect("walker") = DVec3::new(0.0, 0.0, -G * start);
    }
    let walker = if fall { lumped.net.nodes.len() - 1 } else { 2 };
    let leash = lumped.net.members.len() - 1;
    let scene =
        Scene { net: lumped.net, mass_kg: lumped.mass_kg, velocity, drag_per_s: 0.0, air_n_s2_per_m2: Vec::new() };
    let mut motion = Motion::new(&scene, mesh.scheme).expect("memory");
    let mut seen = Seen { lowest_walker: (f64::INFINITY, 0.0), lowest_ring: f64::INFINITY, ..Seen::default() };
    let end = motion.run(f("t_end_s") - start, |m| {
        let t = m.t_s() + start;
        if fall && m.tension()[leash] > seen.leash.0 {
            seen.leash = (m.tension()[leash], t);
        }
        seen.anchor_a = seen.anchor_a.max(m.force(0).length());
        seen.anchor_b = seen.anchor_b.max(m.force(1).length());
        if m.places()[walker].z < seen.lowest_walker.0 {
            seen.lowest_walker = (m.places()[walker].z, t);
        }
        seen.lowest_ring = seen.lowest_ring.min(m.places()[2].z);
        Flow::On
    });
    assert_eq!(end, End::Time);
    let scale = mass * G * -seen.lowest_walker.0;
    seen.imbalance = motion.ledger().imbalance_j.abs() / scale;
    seen.numerical = motion.ledger().numerical_j / scale;
    seen
}

fn cases() -> Vec<Value> {
    let all: Value = serde_json::from_str(COMPUTED).expect("JSON");
    all["cases"]
        .as_array()
        .expect("cases")
        .iter()
        .filter(|c| c["inputs"]["type"] == "fall" || c["inputs"]["type"] == "break")
        .cloned()
        .collect()
}

#[test]
fn falls_and_breaks_agree_with_general_purpose_integrators() {
    let cases = cases();
    assert_eq!(cases.len(), 6);
    for c in &cases {
        let seen = simulate(&c["inputs"], &Mesh { elements: 80, scheme: Scheme::default() });
        for (name, got) in [
            ("peak_leash_N", seen.leash.0),
            ("time_peak_leash_s", seen.leash.1),
            ("peak_anchor_A_N", seen.anchor_a),
            ("peak_anchor_B_N", seen.anchor_b),
            ("lowest_walker_z_m", seen.lowest_walker.0),
            ("time_lowest_s", seen.lowest_walker.1),
            ("lowest_ring_z_m", seen.lowest_ring),
        ] {
            let Some(want) = c["outputs"][name].as_f64() else { continue };
            let off = (got - want).abs() / c["abs_tolerance"][name].as_f64().expect("tolerance");
            println!("{} {name}: {got:.4} for {want:.4}, {off:.2} of its tolerance", c["id"]);
            assert!(off <= 1.0, "{} {name}: {got} for {want}", c["id"]);
        }
        println!("   books out by {:.6}, taken by the stepping {:.6}", seen.imbalance, seen.numerical);
        assert!(seen.imbalance < 0.01);
    }
}
