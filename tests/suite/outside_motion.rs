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

/// Rigs solved by `SciPy` (`DOP853`, several meshes), a multibody and a structural library; see the file's own head.
const COMPUTED: &str = include_str!("../data/computed.json");

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
    let (mut lumped, _) = lump(&net, &places, |m| forces[m], [mesh.elements; 2], false).expect("lumps");
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
    let scene = Scene {
        net: lumped.net,
        mass_kg: lumped.mass_kg,
        along_kg: Vec::new(),
        velocity,
        drag_per_s: 0.0,
        air_n_s2_per_m2: Vec::new(),
    };
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

/// A mass on a weightless rope below a fixed point, let go at some speed: nodes 0 fixed, 1 the mass.
fn hung(mass: f64, rope: LengthLaw, place: DVec3, velocity: DVec3) -> Scene {
    Scene {
        net: Net {
            nodes: vec![node(DVec3::ZERO, true), Node { place, fixed: false, load_n: DVec3::new(0.0, 0.0, -mass * G) }],
            members: vec![Member::Link(Link::new(vec![0, 1], Arc::new(rope)))],
        },
        mass_kg: vec![0.0, mass],
        along_kg: Vec::new(),
        velocity: vec![DVec3::ZERO, velocity],
        drag_per_s: 0.0,
        air_n_s2_per_m2: Vec::new(),
    }
}

fn rope(length_m: f64, ea: f64) -> LengthLaw {
    let law = Arc::new(StrainLaw::linear(ea).expect("positive"));
    LengthLaw::series(vec![Piece { length_m, gauge_m: length_m, law }]).expect("stretches")
}

fn exactly(step_s: f64) -> Scheme {
    Scheme { step_s, shortest_s: step_s, keeps_fast: 1.0, ..Scheme::default() }
}

/// Largest tension and stretch of a mass that falls `height` before its rope of unstretched `length` is taut.
fn caught(mass: f64, length: f64, ea: f64, height: f64, step_s: f64) -> (f64, f64) {
    let down = -(2.0 * G * height).sqrt();
    let scene = hung(mass, rope(length, ea), DVec3::new(0.0, 0.0, -length), DVec3::new(0.0, 0.0, down));
    let mut motion = Motion::new(&scene, exactly(step_s)).expect("memory");
    let (mut most, mut stretch) = (0.0_f64, 0.0_f64);
    let k = ea / length;
    let period = std::f64::consts::TAU * (mass / k).sqrt();
    motion.run(period, |m| {
        most = most.max(m.tension()[0]);
        stretch = stretch.max(-m.places()[1].z - length);
        Flow::On
    });
    (most, stretch)
}

/// I-01 to I-05, I-08: weights falling on bars, springs and chains (Gere, Ex. 2.16; R. K. Bansal, Prob. 4.9, 4.17, 4.13,
/// 4.18; A. K. Tayal, Ex. 16.6), recomputed where the print is rounded.
#[test]
fn printed_examples_of_impact() {
    let bar = |mass: f64, length: f64, area: f64, e: f64, height: f64| {
        let (force, stretch) = caught(mass, length, e * area, height, 2e-6 * (mass * length / (e * area)).sqrt() * 1e3);
        (force / area / 1e6, stretch * 1e3)
    };
    let close = |what: &str, got: f64, want: f64, share: f64| {
        println!("{what}: {got:.4} for {want}");
        assert!((got - want).abs() <= share * want, "{what}: {got} for {want}");
    };
    let area = 0.25 * std::f64::consts::PI * 0.015_f64.powi(2);
    let (stress, delta) = bar(20.0, 2.0, area, 210e9, 0.150);
    close("I-01 mm", delta, 1.79, 0.002);
    close("I-01 MPa", stress, 188.1, 0.001);
    let (stress, delta) = bar(10e3 / G, 4.0, 1e-3, 210e9, 0.030);
    close("I-02 mm", delta, 3.575, 0.001);
    close("I-02 MPa", stress, 187.7, 0.001);
    let (stress, _) = bar(30e3 / G, 4.0, 2e-3, 200e9, 0.020);
    close("I-03 MPa", stress, 188.85, 0.001);
    // 12 mm bar that 8 kN stretch by 3 mm: its length follows.
    let area = 0.25 * std::f64::consts::PI * 0.012_f64.powi(2);
    let length = 0.003 * 200e9 * area / 8000.0;
    let (stress, _) = bar(800.0 / G, length, area, 200e9, 0.080);
    close("I-04 MPa", stress, 170.58, 0.001);
    let (force, delta) = caught(5.0, 1.0, 500.0, 0.1, 1e-4);
    close("I-05 m", delta, 0.2691, 0.001);
    close("I-05 N", force, 134.6, 0.001);
    // A load of 10 kN moving at 40 m/min, stopped by its chain; the print counts the speed alone, not the weight.
    let (k, mass, v) = (210e9 * 625e-6 / 10.0, 10e3 / G, 2.0 / 3.0);
    let mut scene = hung(mass, rope(10.0, k * 10.0), DVec3::new(0.0, 0.0, -10.0), DVec3::new(0.0, 0.0, -v));
    scene.net.nodes[1].load_n = DVec3::ZERO;
    let mut motion = Motion::new(&scene, exactly(1e-5)).expect("memory");
    let mut most = 0.0_f64;
    motion.run(0.05, |m| {
        most = most.max(m.tension()[0]);
        Flow::On
    });
    close("I-08 MPa", most / 625e-6 / 1e6, 123.37, 0.001);
}

/// Two springs in series, a rod and a helical spring, act as one of k₁k₂/(k₁+k₂): textbook closed form.
#[test]
fn springs_in_series_share_a_fall() {
    let piece = |length_m: f64, ea: f64| Piece {
        length_m,
        gauge_m: length_m,
        law: Arc::new(StrainLaw::linear(ea).expect("positive")),
    };
    let law = LengthLaw::series(vec![piece(1.0, 4e5), piece(0.5, 1e4)]).expect("stretches");
    let (k1, k2) = (4e5, 2e4);
    let (k, mass, height) = (k1 * k2 / (k1 + k2), 60.0, 0.4);
    let down = -(2.0 * G * height).sqrt();
    let scene = hung(mass, law, DVec3::new(0.0, 0.0, -1.5), DVec3::new(0.0, 0.0, down));
    let mut motion = Motion::new(&scene, exactly(1e-4)).expect("memory");
    let mut most = 0.0_f64;
    motion.run(0.5, |m| {
        most = most.max(m.tension()[0]);
        Flow::On
    });
    let w = mass * G;
    let want = w + (w * w + 2.0 * w * k * height).sqrt();
    assert!((most - want).abs() < 1e-4 * want, "{most} {want}");
}

/// I-09: F = mg + √((mg)² + 2 m g K f) on a bare rope; the modulus of a rope with 9 kN in the standard fall, and what it
/// gives at other fall factors; without any fall exactly twice the weight.
#[test]
fn the_fall_factor_equation() {
    for (f, want) in [(1.77, 9000.0), (1.0, 6980.0), (2.0, 9510.0), (0.0, 1569.0)] {
        let (force, _) = caught(80.0, 2.5, 24.08e3, 2.5 * f, 1e-4);
        println!("fall factor {f}: {force:.1} N for {want}");
        assert!((force - want).abs() < 1e-3 * want);
    }
    let (twice, _) = caught(80.0, 2.5, 24.08e3, 0.0, 1e-4);
    assert!((twice / (80.0 * G) - 2.0).abs() < 1e-4);
}

/// Closed forms: ½ g t² in free fall; 2π√(L/g)(1 + θ²/16) for a pendulum of small swing.
#[test]
fn free_fall_and_pendulum() {
    let scene = hung(70.0, rope(100.0, 1e5), DVec3::new(0.0, 0.0, -1.0), DVec3::ZERO);
    let mut motion = Motion::new(&scene, Scheme::default()).expect("memory");
    motion.run(2.0, |_| Flow::On);
    assert!((motion.places()[1].z + 1.0 + 0.5 * G * 4.0).abs() < 1e-9, "{}", motion.places()[1].z);
    assert!(motion.ledger().imbalance_j.abs() < 1e-6);
    let (length, angle) = (10.0_f64, 0.1_f64);
    let hang = length * (1.0 + 70.0 * G / 1e8);
    let scene = hung(70.0, rope(length, 1e8), DVec3::new(hang * angle.sin(), 0.0, -hang * angle.cos()), DVec3::ZERO);
    let mut motion = Motion::new(&scene, Scheme::default()).expect("memory");
    let mut crossings = Vec::new();
    let mut before = (0.0, 1.0);
    motion.run(14.0, |m| {
        let now = (m.t_s(), m.places()[1].x);
        if before.1 * now.1 < 0.0 {
            crossings.push(before.0 + (now.0 - before.0) * before.1 / (before.1 - now.1));
        }
        before = now;
        Flow::On
    });
    let period = crossings[2] - crossings[0];
    let want = std::f64::consts::TAU * (hang / G).sqrt() * (1.0 + angle * angle / 16.0);
    println!("pendulum {period:.5} s for {want:.5}");
    assert!((period - want).abs() < 2e-4 * want);
}

/// A string between fixed points without gravity: nodes 0 and 1 the ends.
fn string(elements: usize, sag: impl Fn(f64) -> f64) -> (Scene, f64) {
    // 60 m of 85 g/m at 3 kN.
    let (length, ea, mu, tension) = (60.0, 170e3, 0.085, 3000.0);
    let unstretched = length / (1.0 + tension / ea);
    let net = Net {
        nodes: vec![node(DVec3::ZERO, true), node(DVec3::X * length, true)],
        members: vec![Member::Span(Span { a: 0, b: 1, zones: vec![zone(unstretched, ea, mu, 0.0)] })],
    };
    let places = [DVec3::ZERO, DVec3::X * length];
    let (mut lumped, _) = lump(&net, &places, |_| DVec3::X * tension, [elements; 2], false).expect("lumps");
    for n in &mut lumped.net.nodes {
        n.load_n = DVec3::ZERO;
        n.place.y = 0.0;
        // Evenly along: the shape that follows from the force sags by the string's own weight.
    }
    let count = lumped.net.nodes.len();
    for (k, n) in lumped.net.nodes.iter_mut().enumerate().skip(2) {
        let x = (k - 1) as f64 / elements as f64;
        n.place = DVec3::new(x * length, 0.0, sag(x));
    }
    let velocity = vec![DVec3::ZERO; count];
    let speed = (tension / (mu * unstretched / length)).sqrt();
    let scene = Scene {
        net: lumped.net,
        mass_kg: lumped.mass_kg,
        along_kg: Vec::new(),
        velocity,
        drag_per_s: 0.0,
        air_n_s2_per_m2: Vec::new(),
    };
    (scene, speed)
}

/// Closed form: the end of a long slack rope that is pulled away at a speed v carries μ c v until the wave comes back
/// (impact on a rod). A material that answers at most twice as stiff at once carries at most √2 times that, and a
/// front cut into elements overshoots by up to a fifth: on any mesh.
#[test]
fn a_rope_that_snaps_taut_carries_what_a_wave_carries() {
    let (length, ea, mu, speed) = (60.0, 170e3, 0.085, 5.0);
    let wave_n = speed * f64::sqrt(ea * mu);
    let mut last: Option<f64> = None;
    for elements in [40, 80, 160, 320] {
        let (nodes, each) = (elements + 1, length / f64::from(elements));
        let law = Arc::new(StrainLaw::linear(ea).expect("positive").in_motion(1.0, 0.002));
        let pull = Arc::new(LengthLaw::series(vec![Piece { length_m: each, gauge_m: each, law }]).expect("one piece"));
        let mut scene = Scene {
            net: Net {
                nodes: (0..nodes).map(|k| node(DVec3::X * (f64::from(k) * each), k == 0)).collect(),
                members: (0..elements as usize)
                    .map(|k| Member::Link(Link::new(vec![k, k + 1], pull.clone())))
                    .collect(),
            },
            mass_kg: vec![mu * each; nodes as usize],
            along_kg: Vec::new(),
            velocity: vec![DVec3::ZERO; nodes as usize],
            drag_per_s: 0.0,
            air_n_s2_per_m2: Vec::new(),
        };
        (scene.mass_kg[elements as usize], scene.velocity[elements as usize]) = (1e3, DVec3::X * speed);
        let step_s = 2e-3 / f64::from(elements);
        let mut motion =
            Motion::new(&scene, Scheme { step_s, shortest_s: step_s, ..Scheme::default() }).expect("a chain");
        let mut peak = 0.0_f64;
        motion.run(0.015, |m| {
            peak = m.tension().iter().copied().fold(peak, f64::max);
            Flow::On
        });
        println!("{elements} elements: {:.3} of the wave", peak / wave_n);
        assert!(
            (1.0..1.2 * std::f64::consts::SQRT_2).contains(&(peak / wave_n)),
            "{elements} elements: {peak} N of {wave_n} N"
        );
        assert!(last.is_none_or(|l| (peak / l - 1.0).abs() < 0.1), "{elements} elements: {peak} N after {last:?}");
        last = Some(peak);
    }
}

/// Closed forms: a plucked string's first frequency is √(T/m)/2L, and a pulse travels at √(T/m).
#[test]
fn a_string_rings_and_carries_a_pulse() {
    let (scene, speed) = string(120, |x| -0.01 * (std::f64::consts::PI * x).sin());
    let mut motion = Motion::new(&scene, exactly(0.0005)).expect("memory");
    let middle = 2 + 59;
    let (mut crossings, mut before) = (Vec::new(), (0.0, -1.0));
    motion.run(3.0, |m| {
        let now = (m.t_s(), m.places()[middle].z);
        if before.1 * now.1 < 0.0 {
            crossings.push(before.0 + (now.0 - before.0) * before.1 / (before.1 - now.1));
        }
        before = now;
        Flow::On
    });
    let frequency = 1.0 / (crossings[2] - crossings[0]);
    let want = speed / 120.0;
    println!("rings at {frequency:.4} Hz for {want:.4}");
    assert!((frequency - want).abs() < 1e-3 * want);
    // A smooth hump near A; half of it runs to B.
    let (scene, speed) = string(240, |x| 0.02 * (-((x - 0.2) / 0.02).powi(2)).exp());
    let mut motion = Motion::new(&scene, exactly(0.0001)).expect("memory");
    let at = 2 + 167;
    let mut peak = (0.0, 0.0);
    motion.run(0.5 * 60.0 / speed * 1.2, |m| {
        let z = m.places()[at].z;
        if z > peak.1 {
            peak = (m.t_s(), z);
        }
        Flow::On
    });
    let way = 168.0 / 240.0 * 60.0 - 0.2 * 60.0;
    println!("pulse at {:.2} m/s for {speed:.2}", way / peak.0);
    assert!((way / peak.0 - speed).abs() < 0.01 * speed);
}

/// Energy is neither made nor lost: over 10 s without damping the books stay within 1 % of weight times drop; what the
/// stepping itself takes is told apart.
#[test]
fn energy_over_ten_seconds() {
    let mut case = cases().into_iter().find(|c| c["id"] == "p9-fall-mid-undamped").expect("the case");
    case["inputs"]["t_end_s"] = 10.0.into();
    for (elements, step_s, keeps_fast) in [(80, 0.002, 0.5), (80, 0.001, 0.5), (40, 0.002, 0.5)] {
        let scheme = Scheme { step_s, shortest_s: step_s, keeps_fast, ..Scheme::default() };
        let seen = simulate(&case["inputs"], &Mesh { elements, scheme });
        println!(
            "{elements} elements, {:.0} ms: books out by {:.4} %, taken by the stepping {:.3} %",
            step_s * 1e3,
            100.0 * seen.imbalance,
            100.0 * seen.numerical
        );
        assert!(seen.imbalance < 0.01);
        assert!(seen.numerical > -0.001 && seen.numerical < 0.05);
    }
}

/// Peaks settle as step and mesh are halved, with the light damping that verdicts use.
#[test]
fn peaks_converge() {
    let case = cases().into_iter().find(|c| c["id"] == "p9-fall-mid-damped").expect("the case");
    println!("elements  step ms  leash N  anchor A N  lowest m");
    let mut rows = Vec::new();
    for (elements, step_ms) in [(40, 4.0), (80, 2.0), (160, 1.0), (320, 0.5)] {
        let step_s = 1e-3 * step_ms;
        let scheme = Scheme { step_s, shortest_s: step_s, ..Scheme::default() };
        let seen = simulate(&case["inputs"], &Mesh { elements, scheme });
        println!("{elements:8} {step_ms:8.1} {:8.1} {:11.1} {:9.4}", seen.leash.0, seen.anchor_a, seen.lowest_walker.0);
        rows.push(seen);
    }
    let finest = rows[3];
    // The usual mesh against one four times finer: within 2 %.
    assert!((rows[1].leash.0 - finest.leash.0).abs() < 0.02 * finest.leash.0);
    assert!((rows[1].anchor_a - finest.anchor_a).abs() < 0.02 * finest.anchor_a);
    assert!((rows[2].leash.0 - finest.leash.0).abs() < 0.01 * finest.leash.0);
}

/// With drag on every mass a motion ends at the static rest of the same mesh, and near the exact one.
#[test]
fn drag_brings_a_motion_to_the_static_rest() {
    let case = cases().into_iter().find(|c| c["id"] == "p9-fall-mid-damped").expect("the case");
    let i = &case["inputs"];
    let f = |k: &str| i[k].as_f64().expect("a number");
    let chord = DVec3::new(f("span_m"), 0.0, f("rise_m"));
    let mut net = ringed(i, 0.5 * chord, &line_of(i, 0.5));
    net.nodes[2].load_n = DVec3::new(0.0, 0.0, -80.0 * G);
    let exact = equilibrium::solve(&net, None);
    assert_eq!(exact.status, Status::Converged);
    let forces: Vec<DVec3> = (0..2).map(|m| exact.span_force(m).expect("span")).collect();
    let (lumped, _) = lump(&net, &exact.places, |m| forces[m], [40; 2], false).expect("lumps");
    let still = equilibrium::solve(&lumped.net, None);
    let mut start = lumped.net.clone();
    // Pulled aside and up, and let go.
    start.nodes[2].place += DVec3::new(0.5, 1.0, 1.5);
    let mut mass_kg = lumped.mass_kg.clone();
    mass_kg[2] += 80.0;
    let velocity = vec![DVec3::ZERO; start.nodes.len()];
    let scene =
        Scene { net: start, mass_kg, along_kg: Vec::new(), velocity, drag_per_s: 2.0, air_n_s2_per_m2: Vec::new() };
    let scheme = Scheme { step_s: 0.01, shortest_s: 0.01, ..Scheme::default() };
    let mut motion = Motion::new(&scene, scheme).expect("memory");
    assert_eq!(motion.run(40.0, |_| Flow::On), End::Time);
    let off = motion.places()[2].distance(still.places[2]);
    let mesh = motion.places()[2].distance(exact.places[2]);
    println!("at rest {off:.1e} m from the statics of the mesh, {mesh:.1e} m from the exact rest");
    assert!(off < 1e-6, "{off}");
    assert!(mesh < 2e-3, "{mesh}");
}

/// The energy bounds of the computed set (energy balance and integrated one-mass motion, `SciPy`): within each one's own
/// tolerance.
#[test]
fn estimates_by_energy() {
    use spanwright::mechanics::impact::{Pushed, estimate};
    let all: Value = serde_json::from_str(COMPUTED).expect("JSON");
    let cases: Vec<&Value> =
        all["cases"].as_array().expect("cases").iter().filter(|c| c["inputs"]["type"] == "energy_bound").collect();
    assert_eq!(cases.len(), 3);
    for c in cases {
        let i = &c["inputs"];
        let f = |k: &str| i[k].as_f64().unwrap_or_else(|| panic!("{k}"));
        let (a, b, s) = (DVec3::ZERO, DVec3::new(f("span_m"), 0.0, f("rise_m")), f("ring_s_frac"));
        let half = |share: f64| Arc::new(rope(f("L0_m") * share, f("EA_N")));
        let mut net = Net {
            nodes: vec![node(a, true), node(b, true), node(b * s, false)],
            members: vec![
                Member::Link(Link::new(vec![0, 2], half(s))),
                Member::Link(Link::new(vec![2, 1], half(1.0 - s))),
            ],
        };
        let mut tensions = [0.0; 2];
        let mut push = |force: f64| {
            net.nodes[2].load_n = DVec3::new(0.0, 0.0, -force);
            let rest = equilibrium::solve(&net, None);
            for (t, m) in tensions.iter_mut().zip(&rest.members) {
                if let equilibrium::MemberState::Link { tension_n, .. } = m {
                    *t = *tension_n;
                }
            }
            let ring_z_m = rest.places[2].z;
            (rest.status == Status::Converged)
                .then_some(Pushed { ring_z_m, energy_j: rest.energy_j - force * ring_z_m })
        };
        let start = push(0.0).expect("a start");
        let leash = rope(f("leash_m"), f("EA_leash_N"));
        let free = f("fall_height_above_line_m") + f("leash_m");
        let e = estimate(f("mass_kg"), free, &leash, start, &mut push).expect("an estimate");
        push(e.leash_n);
        for (name, got) in [
            ("peak_leash_N", e.leash_n),
            ("ring_drop_m", e.ring_drop_m),
            ("leash_stretch_m", e.leash_stretch_m),
            ("total_fall_m", e.fall_m),
            ("stored_energy_J", e.stored_j),
            ("peak_tension_A_side_N", tensions[0]),
            ("peak_tension_B_side_N", tensions[1]),
        ] {
            let want = c["outputs"][name].as_f64().expect("a number");
            let off = (got - want).abs() / c["abs_tolerance"][name].as_f64().expect("a number");
            println!("{} {name}: {got} for {want}, {off:.1e} of its tolerance", c["id"]);
            assert!(off <= 1.0, "{} {name}: {got} for {want}", c["id"]);
        }
    }
}
