//! Closed forms of mechanics beyond the comparison sets: what a certificate must refuse, laws in series, air drag, lowering,
//! kinks. Each was written for a deliberately broken line that no other test caught.

use glam::DVec3;
use spanwright::mechanics::G;
use spanwright::mechanics::certificate::certify;
use spanwright::mechanics::equilibrium::{self, MemberState};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::lump::lump;
use spanwright::mechanics::motion::{Flow, Motion, Scene, Scheme};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::reeving::{Reeving, Way};
use spanwright::mechanics::sliding::{self, Held};
use spanwright::mechanics::span::{Zone, hang};
use std::sync::Arc;

fn node(x: f64, y: f64, z: f64, fixed: bool, load_n: DVec3) -> Node {
    Node { place: DVec3::new(x, y, z), fixed, load_n }
}
fn chain(l: f64, ea: f64) -> Arc<LengthLaw> {
    Arc::new(
        LengthLaw::series(vec![Piece {
            length_m: l,
            gauge_m: l,
            law: Arc::new(StrainLaw::linear(ea).expect("there")),
        }])
        .expect("there"),
    )
}

#[test]
fn two_false_reactions_that_cancel() {
    let net = Net {
        nodes: vec![
            node(0., 0., 0., true, DVec3::ZERO),
            node(10., 0., 0., true, DVec3::ZERO),
            node(5., 0., -1., false, DVec3::NEG_Z * 800.0),
        ],
        members: vec![
            Member::Link(Link::new(vec![0, 2], chain(5.0, 1e5))),
            Member::Link(Link::new(vec![2, 1], chain(5.0, 1e5))),
        ],
    };
    let mut s = equilibrium::solve(&net, None);
    assert!(certify(&net, &s).holds());
    s.gradient[0].x += 100.0;
    s.gradient[1].x -= 100.0;
    assert!(!certify(&net, &s).holds());
}
fn peg(mu: f64) -> (Net, equilibrium::Solution) {
    let mut nodes = vec![node(0., 0., 0., true, DVec3::ZERO), node(0., 0., 3., true, DVec3::ZERO)];
    nodes.push(node(3., 0.2, 3., false, DVec3::X * 1000.0));
    let net = Net {
        nodes,
        members: vec![Member::Link(Link { friction: vec![mu], ..Link::new(vec![0, 1, 2], chain(6.0, 1e7)) })],
    };
    let start = equilibrium::solve(&net, None);
    let Held::At(p) = sliding::pattern(&net, 0, 1, &start) else { panic!("another kind") };
    (p.net, p.solution)
}
#[test]
fn more_friction_than_there_is() {
    let (mut net, s) = peg(0.3);
    assert!(certify(&net, &s).holds());
    let Member::Link(l) = &mut net.members[0] else { panic!("another kind") };
    l.friction = vec![0.2];
    let c = certify(&net, &s);
    assert!(c.faults.iter().any(|f| f.contains("slips")), "{:?}", c.faults);
}
#[test]
fn more_or_less_material_than_there_is() {
    for long in [5.9, 6.1] {
        let (mut net, s) = peg(0.3);
        let Member::Link(l) = &mut net.members[0] else { panic!("another kind") };
        l.pull = Link::new(vec![0, 1], chain(long, 1e7)).pull;
        let c = certify(&net, &s);
        assert!(c.faults.iter().any(|f| f.contains("material")), "{long}: {:?}", c.faults);
    }
}
/// A metre of 100 kN drawn to one and a half between fixed points.
fn stretched() -> (Net, equilibrium::Solution) {
    let net = Net {
        nodes: vec![node(0., 0., 0., true, DVec3::ZERO), node(1.5, 0., 0., true, DVec3::ZERO)],
        members: vec![Member::Link(Link::new(vec![0, 1], chain(1.0, 1e5)))],
    };
    let s = equilibrium::solve(&net, None);
    assert!(certify(&net, &s).holds());
    (net, s)
}
#[test]
fn slack_but_stretched() {
    let (net, mut s) = stretched();
    s.members[0] = MemberState::Link { tension_n: 0.0, stiffness: 0.0, length_m: 1.5 };
    s.gradient.fill(DVec3::ZERO);
    assert!(!certify(&net, &s).holds());
}
#[test]
fn fibre_beside_metal_is_hastened() {
    let fibre = Arc::new(StrainLaw::linear(1e5).expect("there").in_motion(2.0, 0.0));
    let metal = Arc::new(StrainLaw::linear(1e6).expect("there"));
    let law = LengthLaw::series(vec![
        Piece { length_m: 4.0, gauge_m: 4.0, law: fibre },
        Piece { length_m: 1.0, gauge_m: 1.0, law: metal },
    ])
    .expect("there");
    let k = law.hastened(1000.0).at(law.length(1000.0)).1;
    let want = 1.0 / (4.0 / 2e5 + 1.0 / 1e6);
    assert!((k / want - 1.0).abs() < 1e-9, "{k} {want}");
}
#[test]
fn strands_keep_haste_and_lag() {
    let law = StrainLaw::linear(1e5).expect("there").in_motion(1.5, 0.01).strands(2.0);
    let l = LengthLaw::series(vec![Piece { length_m: 1.0, gauge_m: 1.0, law: Arc::new(law) }]).expect("there");
    assert!((l.lag_s() - 0.01).abs() < 1e-12);
    let k = l.hastened(1000.0).first_stiffness();
    assert!((k - 3e5).abs() < 1e-3, "{k}");
}
#[test]
fn lag_of_a_series_goes_by_give() {
    let p = |m: f64, lag: f64| Piece {
        length_m: m,
        gauge_m: m,
        law: Arc::new(StrainLaw::linear(1e5).expect("there").in_motion(1.0, lag)),
    };
    let l = LengthLaw::series(vec![p(3.0, 0.02), p(1.0, 0.0)]).expect("there");
    assert!((l.lag_s() - 0.015).abs() < 1e-12, "{}", l.lag_s());
}
#[test]
fn hardware_apart_is_an_element_of_its_own() {
    let law = Arc::new(StrainLaw::linear(1e5).expect("there"));
    let z = |m: f64| Zone { length_m: m, load_n_per_m: DVec3::NEG_Z, law: law.clone() };
    let net = Net {
        nodes: vec![node(0., 0., 0., true, DVec3::ZERO), node(40., 0., 0., true, DVec3::ZERO)],
        members: vec![Member::Span(Span { a: 0, b: 1, zones: vec![z(20.0), z(0.1), z(19.0)] })],
    };
    let x: Vec<DVec3> = net.nodes.iter().map(|n| n.place).collect();
    for (apart, want) in [(true, vec![1]), (false, vec![1, 2])] {
        let (_, chains) = lump(&net, &x, |_| DVec3::X * 2500.0, [39; 2], apart).expect("there");
        assert!(chains[0].1.zones.contains(&want), "{apart} {:?}", chains[0].1.zones);
    }
}
#[test]
fn terminal_velocity_in_air() {
    // m v' = m g - c v², v = v∞ tanh(g t / v∞).
    let (m, c) = (80.0, 0.5);
    let net = Net { nodes: vec![node(0., 0., 0., false, DVec3::NEG_Z * m * G)], members: vec![] };
    let scene = Scene {
        net,
        mass_kg: vec![m],
        along_kg: vec![],
        velocity: vec![DVec3::ZERO],
        drag_per_s: 0.0,
        air_n_s2_per_m2: vec![c],
    };
    let mut mo = Motion::new(&scene, Scheme::default()).expect("there");
    mo.run(3.0, |_| Flow::On);
    let end: f64 = (m * G / c).sqrt();
    let want = end * (G * 3.0 / end).tanh();
    let v = -mo.velocity()[0].z;
    assert!((v / want - 1.0).abs() < 2e-3, "{v} {want}");
    let lost = -m * G * mo.places()[0].z - 0.5 * m * v * v;
    let d = mo.ledger().damped_j;
    assert!((d / lost - 1.0).abs() < 5e-3, "{d} {lost}");
}
#[test]
fn lowering_in_closed_form() {
    let load = Reeving::simple(5, true, 0.9).pulls(Way::Lowering).expect("there").load;
    let want: f64 = (1..=5).map(|k| 0.9_f64.powi(-k)).sum();
    assert!((load - want).abs() < 1e-9, "{load} {want}");
}
#[test]
fn a_kink_near_the_sag() {
    let law = Arc::new(StrainLaw::from_points(&[(1000.0, 0.01), (2000.0, 0.05)]).expect("there"));
    let z = |l: f64| Zone { length_m: l, load_n_per_m: DVec3::NEG_Z * 20.0, law: law.clone() };
    // |t| = 1000 N where t_z = ±√(1000² − 990²).
    let off = (1000.0_f64.powi(2) - 990.0_f64.powi(2)).sqrt() / 20.0;
    let f0 = DVec3::new(990.0, 0.0, -600.0);
    let whole = hang(&[z(60.0)], f0).reach;
    let cut = hang(&[z(30.0 - off), z(2.0 * off), z(30.0 - off)], f0).reach;
    assert!((whole - cut).length() < 1e-11, "{:e}", (whole - cut).length());
}
/// What is added to a piece has its stretch, per metre as the rest: a part laid double stretches by twice its length.
#[test]
fn what_is_added_stretches_as_the_rest() {
    let law = Arc::new(StrainLaw::linear(1e5).expect("there"));
    let l = LengthLaw::series(vec![Piece { length_m: 3.0, gauge_m: 6.0, law }]).expect("there");
    let long = l.lengthened(1.0).expect("there").length(1000.0);
    assert!((long - (4.0 + 8.0 * 0.01)).abs() < 1e-12, "{long}");
}
#[test]
fn a_chain_called_tighter_than_its_length() {
    let (net, mut s) = stretched();
    s.members[0] = MemberState::Link { tension_n: 6e4, stiffness: 1e5, length_m: 1.5 };
    s.gradient[0].x = -6e4;
    s.gradient[1].x = 6e4;
    let c = certify(&net, &s);
    assert!(c.faults.iter().any(|f| f.contains("off its law")), "{:?}", c.faults);
}
/// A rope over pegs that are fixed, its last end pulled (the first when `turned`), with friction at each.
fn pegs(friction: &[f64], turned: bool) -> (Net, equilibrium::Solution) {
    let at = [(0., 0., 0.), (0., 0., 3.), (4., 0.5, 3.), (5., 0.0, 0.)];
    let mut nodes: Vec<Node> =
        at[..=friction.len()].iter().map(|&(x, y, z)| node(x, y, z, true, DVec3::ZERO)).collect();
    let (x, y, z) = at[friction.len() + 1];
    nodes.push(node(x, y, z, false, DVec3::new(0.3, 0.0, -1.0).normalize() * 1000.0));
    let mut path: Vec<usize> = (0..nodes.len()).collect();
    let mut friction = friction.to_vec();
    if turned {
        path.reverse();
        friction.reverse();
    }
    let tight = if turned { 0 } else { friction.len() };
    let net = Net { nodes, members: vec![Member::Link(Link { friction, ..Link::new(path, chain(10.0, 1e6)) })] };
    let start = equilibrium::solve(&net, None);
    let Held::At(p) = sliding::pattern(&net, 0, tight, &start) else { panic!("another kind") };
    (p.net, p.solution)
}
fn ratios(net: &Net) -> &[f64] {
    let Member::Link(l) = &net.members[0] else { panic!("another kind") };
    &l.ratios
}
/// Each peg keeps back by its own friction and its own wrap (Euler, Eytelwein), whichever end is pulled.
#[test]
fn each_peg_holds_by_its_own_friction() {
    for turned in [false, true] {
        let (net, s) = pegs(&[0.1, 0.4], turned);
        assert!(certify(&net, &s).holds());
        let x = &s.places;
        let wrap = |k: usize| (x[k] - x[k - 1]).angle_between(x[k + 1] - x[k]);
        let mut r = ratios(&net).to_vec();
        if turned {
            r.reverse();
        }
        for (k, mu) in [(1, 0.1), (2, 0.4)] {
            let want = (-mu * wrap(k)).exp();
            assert!((r[k - 1] / r[k] - want).abs() < 1e-6, "{turned} {k}: {r:?} {want}");
        }
    }
}
#[test]
fn more_friction_than_there_is_the_other_way() {
    let (mut net, s) = pegs(&[0.3], true);
    assert!(certify(&net, &s).holds());
    let Member::Link(l) = &mut net.members[0] else { panic!("another kind") };
    l.friction = vec![0.2];
    let c = certify(&net, &s);
    assert!(c.faults.iter().any(|f| f.contains("slips")), "{:?}", c.faults);
}
/// A closed sling holds a leg back by whichever way round holds less of it, over the joining point by no more than the
/// least of its bends: pulled at its first leg the far one is reached backwards over the joint, at its last forwards.
#[test]
fn a_closed_sling_pulls_its_far_leg_both_ways_round() {
    for (friction, tight) in [([0.05, 0.3], 0), ([0.3, 0.05], 2)] {
        let nodes = vec![
            node(0., 0., 0., true, DVec3::ZERO),
            node(0., 2., 0., true, DVec3::ZERO),
            node(6., 1., 0., false, DVec3::X * 1000.0),
        ];
        let link = Link { friction: friction.to_vec(), ..Link::new(vec![0, 1, 2, 0], chain(13.0, 1e4)) };
        let net = Net { nodes, members: vec![Member::Link(link)] };
        let start = equilibrium::solve(&net, None);
        let held = sliding::pattern(&net, 0, tight, &start);
        let Held::At(p) = held else { panic!("{held:?} from {:?}", start.status) };
        let x = &p.solution.places;
        let wrap = |a: usize, b: usize, c: usize| (x[b] - x[a]).angle_between(x[c] - x[b]);
        let holds = [(-friction[0] * wrap(0, 1, 2)).exp(), (-friction[1] * wrap(1, 2, 0)).exp()];
        let over_the_joint = holds[0].min(holds[1]);
        assert!(over_the_joint > holds[0] * holds[1] + 1e-3, "{holds:?}");
        let r = ratios(&p.net);
        let (middle, far) = if tight == 0 { (r[1] - holds[0], r[2]) } else { (r[1] - holds[1], r[0]) };
        assert!(middle.abs() < 1e-6 && (far - over_the_joint).abs() < 1e-6, "{tight}: {r:?} {holds:?}");
    }
}
/// One element with its mass spread along it, free at one end: of the linear field's mass a third moves with the free
/// end, so it swings as a mass of m/3 on its spring does (consistent mass; any textbook of finite elements). Its books
/// of energy close.
#[test]
fn a_bar_swings_with_a_third_of_its_mass() {
    let (m, ea, long) = (3.0, 1e4, 10.0);
    let stretched = 0.05;
    let net = Net {
        nodes: vec![
            node(0., 0., 0., true, DVec3::ZERO),
            // Drawn by a dead load, so that it stays taut as it swings.
            node(long + 2.0 * stretched, 0., 0., false, DVec3::X * ea * stretched / long),
        ],
        members: vec![Member::Link(Link::new(vec![0, 1], chain(long, ea)))],
    };
    // Half at each end, and the sixth along the element that is taken off relative motion.
    let scene = Scene {
        net,
        mass_kg: vec![0.5 * m; 2],
        along_kg: vec![m],
        velocity: vec![DVec3::ZERO; 2],
        drag_per_s: 0.0,
        air_n_s2_per_m2: vec![],
    };
    let mut mo = Motion::new(&scene, Scheme { step_s: 5e-4, shortest_s: 5e-4, keeps_fast: 1.0, ..Scheme::default() })
        .expect("there");
    let (mut last, mut turned) = (f64::INFINITY, None);
    mo.run(1.0, |m| {
        let x = m.places()[1].x;
        if x > last && turned.is_none() {
            turned = Some(m.t_s());
        }
        last = x;
        if turned.is_some() { Flow::Stop } else { Flow::On }
    });
    let half = std::f64::consts::PI * (m / 3.0 / (ea / long)).sqrt();
    let got = turned.expect("turns");
    assert!((got / half - 1.0).abs() < 0.02, "{got} for {half}");
    let l = mo.ledger();
    // What the spring and the load gave is in motion or was taken.
    let scale = 0.5 * (ea / long) * stretched * stretched;
    assert!((l.change_j + l.damped_j).abs() < 0.02 * scale, "{l:?} of {scale}");
}
/// Of mass along an element that turns about one end a third moves with the other: half m/3 v² is in motion.
#[test]
fn motion_of_mass_along_an_element() {
    let net = Net {
        nodes: vec![node(0., 0., 0., true, DVec3::ZERO), node(1., 0., 0., false, DVec3::ZERO)],
        members: vec![Member::Link(Link::new(vec![0, 1], chain(1.0, 1e4)))],
    };
    let scene = Scene {
        net,
        mass_kg: vec![0.5, 0.5],
        along_kg: vec![1.0],
        velocity: vec![DVec3::ZERO, DVec3::Z],
        drag_per_s: 0.0,
        air_n_s2_per_m2: vec![],
    };
    let j = Motion::new(&scene, Scheme::default()).expect("there").ledger().kinetic_j;
    assert!((j - 1.0 / 6.0).abs() < 1e-12, "{j}");
}
/// Where no step helps and forces do not balance there is no rest: two points that a constant pull draws into one.
#[test]
fn what_is_out_of_balance_is_not_at_rest() {
    let pull = spanwright::mechanics::net::Pull::Constant(100.0);
    let net = Net {
        nodes: vec![node(0., 0., 0., true, DVec3::ZERO), node(3., 0., 0., false, DVec3::Y * 10.0)],
        members: vec![Member::Link(Link { pull, ..Link::new(vec![0, 1], chain(1.0, 1e4)) })],
    };
    let s = equilibrium::solve(&net, None);
    assert_ne!(s.status, equilibrium::Status::Converged, "{:?}", s.history.last());
}
/// A damper takes what the spring gives and no more: a rope never pushes.
#[test]
fn a_damped_rope_never_pushes() {
    let law = StrainLaw::linear(1e5).expect("there").in_motion(1.0, 0.05);
    let pull = LengthLaw::series(vec![Piece { length_m: 10.0, gauge_m: 10.0, law: Arc::new(law) }]).expect("there");
    let net = Net {
        nodes: vec![node(0., 0., 0., true, DVec3::ZERO), node(10.05, 0., 0., false, DVec3::ZERO)],
        members: vec![Member::Link(Link::new(vec![0, 1], Arc::new(pull)))],
    };
    let scene = Scene {
        net,
        mass_kg: vec![1.0, 80.0],
        along_kg: vec![],
        velocity: vec![DVec3::ZERO, DVec3::NEG_X * 8.0],
        drag_per_s: 0.0,
        air_n_s2_per_m2: vec![],
    };
    let mut mo = Motion::new(&scene, Scheme { step_s: 5e-4, shortest_s: 5e-4, ..Scheme::default() }).expect("there");
    let mut least = f64::INFINITY;
    mo.run(0.05, |m| {
        least = least.min(m.tension()[0]);
        Flow::On
    });
    assert!(least >= 0.0, "{least}");
    // Nothing pushed it back: it is as fast as before at the least.
    assert!(mo.velocity()[1].x <= -8.0, "{}", mo.velocity()[1].x);
}
#[test]
fn a_giving_anchor_pulls_towards_its_home() {
    let ground =
        spanwright::mechanics::net::Ground { point: 0, home: DVec3::new(0.1, 0.0, 0.0), stiffness_n_per_m: 1000.0 };
    let scene = Scene {
        net: Net { nodes: vec![node(0., 0., 0., false, DVec3::ZERO)], members: vec![Member::Ground(ground)] },
        mass_kg: vec![1.0],
        along_kg: vec![],
        velocity: vec![DVec3::ZERO],
        drag_per_s: 0.0,
        air_n_s2_per_m2: vec![],
    };
    let m = Motion::new(&scene, Scheme::default()).expect("there");
    assert!((m.member_force(0, 0) - DVec3::X * 100.0).length() < 1e-9, "{}", m.member_force(0, 0));
}
#[test]
fn hardware_is_apart_at_both_ends() {
    let law = Arc::new(StrainLaw::linear(1e5).expect("there"));
    let z = |m: f64| Zone { length_m: m, load_n_per_m: DVec3::NEG_Z, law: law.clone() };
    let net = Net {
        nodes: vec![node(0., 0., 0., true, DVec3::ZERO), node(40., 0., 0., true, DVec3::ZERO)],
        members: vec![Member::Span(Span { a: 0, b: 1, zones: vec![z(0.1), z(39.0), z(0.1)] })],
    };
    let x: Vec<DVec3> = net.nodes.iter().map(|n| n.place).collect();
    let (_, chains) = lump(&net, &x, |_| DVec3::X * 2500.0, [39; 2], true).expect("there");
    let zones = &chains[0].1.zones;
    assert_eq!((zones.first(), zones.last()), (Some(&vec![0]), Some(&vec![2])), "{zones:?}");
}
