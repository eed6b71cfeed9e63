//! What must hold for any rig: balance, symmetry, indifference to how it is drawn, steadiness. Properties over random
//! anchors, lines and walkers; no outside values needed.

use std::sync::Arc;

use glam::{DQuat, DVec3};
use proptest::prelude::*;
use spanwright::mechanics::certificate::certify;
use spanwright::mechanics::equilibrium::{self, MemberState, Solution, Status};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::net::{Link, Member, Net, Node, Span};
use spanwright::mechanics::span::Zone;

#[derive(Debug, Clone)]
struct RigSpec {
    span: f64,
    rise: f64,
    /// Per side: (back, aside, up, cut short by, EA).
    legs: [Vec<(f64, f64, f64, f64, f64)>; 2],
    ea: f64,
    kg_per_m: f64,
    shortened: f64,
    walker: (f64, f64),
    wind: f64,
}

fn legs() -> impl Strategy<Value = Vec<(f64, f64, f64, f64, f64)>> {
    proptest::collection::vec(
        (1.0..4.0_f64, -1.5..1.5_f64, -0.6..0.6_f64, -0.02..0.03_f64, prop_oneof![Just(2e5), Just(3e6)]),
        2..6,
    )
}

fn rigs() -> impl Strategy<Value = RigSpec> {
    (
        20.0..400.0_f64,
        -0.06..0.06_f64,
        legs(),
        legs(),
        4e4..1e6_f64,
        0.03..0.15_f64,
        0.002..0.03_f64,
        (0.05..0.95_f64, 40.0..120.0_f64),
        -3.0..3.0_f64,
    )
        .prop_map(|(span, slope, a, b, ea, kg_per_m, shortened, walker, wind)| RigSpec {
            span,
            rise: slope * span,
            legs: [a, b],
            ea,
            kg_per_m,
            shortened,
            walker,
            wind,
        })
}

fn chain(length: f64, ea: f64) -> Arc<LengthLaw> {
    let law = Arc::new(StrainLaw::linear(ea).expect("positive"));
    Arc::new(LengthLaw::series(vec![Piece { length_m: length, gauge_m: length, law }]).expect("stretches"))
}

/// Nodes: masters 0 and 1, walker 2, then anchors. Members: spans 0 and 1, then legs.
fn net(spec: &RigSpec) -> Net {
    let ends = [DVec3::ZERO, DVec3::new(spec.span, 0.0, spec.rise)];
    let chord = ends[1].length();
    let length = chord * (1.0 - spec.shortened * 1e5 / spec.ea.max(1e5));
    let law = Arc::new(StrainLaw::linear(spec.ea).expect("positive"));
    let zone = |l: f64| Zone {
        length_m: l,
        load_n_per_m: DVec3::new(0.0, spec.wind, -9.80665 * spec.kg_per_m),
        law: law.clone(),
    };
    let free = |place: DVec3, load_n: DVec3| Node { place, fixed: false, load_n };
    let mut nodes = vec![
        free(ends[0], DVec3::ZERO),
        free(ends[1], DVec3::ZERO),
        free(ends[0].lerp(ends[1], spec.walker.0), DVec3::new(0.0, 0.0, -9.80665 * spec.walker.1)),
    ];
    let mut members = vec![
        Member::Span(Span { a: 0, b: 2, zones: vec![zone(length * spec.walker.0)] }),
        Member::Span(Span { a: 2, b: 1, zones: vec![zone(length * (1.0 - spec.walker.0))] }),
    ];
    for (side, legs) in spec.legs.iter().enumerate() {
        for &(back, aside, up, short, ea) in legs {
            let off = DVec3::new(if side == 0 { -back } else { back }, aside, up);
            nodes.push(Node { place: ends[side] + off, fixed: true, load_n: DVec3::ZERO });
            members.push(Member::Link(Link::new(vec![nodes.len() - 1, side], chain(off.length() - short, ea))));
        }
    }
    Net { nodes, members }
}

fn tensions(net: &Net, s: &Solution) -> Vec<f64> {
    net.members
        .iter()
        .zip(&s.members)
        .map(|(_, state)| match state {
            MemberState::Link { tension_n, .. } => *tension_n,
            MemberState::Span(s) => s.force.length(),
            MemberState::Ground(f) => f.length(),
        })
        .collect()
}

fn solved(net: &Net) -> Solution {
    let s = equilibrium::solve(net, None);
    assert_eq!(s.status, Status::Converged, "{:?}", s.history);
    s
}

fn same(a: &[f64], b: &[f64]) -> Result<(), TestCaseError> {
    let top = a.iter().copied().fold(1.0, f64::max);
    for (x, y) in a.iter().zip(b) {
        prop_assert!((x - y).abs() <= 1e-5 * top, "{a:?}\n{b:?}");
    }
    Ok(())
}

fn moved(net: &Net, f: impl Fn(DVec3) -> DVec3, turn: impl Fn(DVec3) -> DVec3) -> Net {
    let mut out = net.clone();
    for n in &mut out.nodes {
        n.place = f(n.place);
        n.load_n = turn(n.load_n);
    }
    for m in &mut out.members {
        if let Member::Span(s) = m {
            for z in &mut s.zones {
                z.load_n_per_m = turn(z.load_n_per_m);
            }
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn every_rig_is_certified(spec in rigs()) {
        let net = net(&spec);
        let s = equilibrium::solve(&net, None);
        let c = certify(&net, &s);
        prop_assert!(c.holds(), "{:?} {:?}", c.faults, s.history);
        prop_assert!(c.residual_n <= 1e-6 * c.largest_n);
        prop_assert!(s.history.len() < 60, "{} steps", s.history.len());
    }

    #[test]
    fn a_mirror_changes_nothing(spec in rigs()) {
        let net = net(&spec);
        let flip = |v: DVec3| DVec3::new(v.x, -v.y, v.z);
        let other = moved(&net, flip, flip);
        same(&tensions(&net, &solved(&net)), &tensions(&other, &solved(&other)))?;
    }

    #[test]
    fn turning_and_moving_change_nothing(spec in rigs(), angle in 0.0..6.0_f64, by in -500.0..500.0_f64) {
        let net = net(&spec);
        let turn = DQuat::from_rotation_z(angle);
        let other = moved(&net, |p| turn * p + DVec3::splat(by), |v| turn * v);
        same(&tensions(&net, &solved(&net)), &tensions(&other, &solved(&other)))?;
    }

    #[test]
    fn splitting_a_span_and_a_link_changes_nothing(spec in rigs(), at in 0.2..0.8_f64) {
        let whole = net(&spec);
        let before = tensions(&whole, &solved(&whole));
        let mut split = whole.clone();
        // The first span in two spans with a point between.
        let Member::Span(first) = split.members[0].clone() else { unreachable!() };
        let zone = first.zones[0].clone();
        let mid = split.nodes.len();
        split.nodes.push(Node { place: split.nodes[0].place.lerp(split.nodes[2].place, at), fixed: false, load_n: DVec3::ZERO });
        let part = |l: f64| vec![Zone { length_m: zone.length_m * l, ..zone.clone() }];
        split.members[0] = Member::Span(Span { a: 0, b: mid, zones: part(at) });
        split.members.push(Member::Span(Span { a: mid, b: 2, zones: part(1.0 - at) }));
        // The first leg as two pieces in series.
        let Member::Link(leg) = split.members[2].clone() else { unreachable!() };
        let spanwright::mechanics::net::Pull::Chain(law) = &leg.pull else { unreachable!() };
        let piece = law.pieces()[0].clone();
        let cut = |l: f64| Piece { length_m: piece.length_m * l, gauge_m: piece.gauge_m * l, law: piece.law.clone() };
        split.members[2] = Member::Link(Link::new(leg.path.clone(), Arc::new(LengthLaw::series(vec![cut(at), cut(1.0 - at)]).expect("stretches"))));
        let after = tensions(&split, &solved(&split));
        same(&before, &after[..before.len()])?;
    }

    #[test]
    fn more_weight_and_a_shorter_line_pull_harder(spec in rigs()) {
        let end = |s: &RigSpec| {
            let net = net(s);
            tensions(&net, &solved(&net))[0]
        };
        let base = end(&spec);
        let heavier = RigSpec { walker: (spec.walker.0, 1.1 * spec.walker.1), ..spec.clone() };
        let shorter = RigSpec { shortened: spec.shortened + 0.002, ..spec.clone() };
        prop_assert!(end(&heavier) >= base * (1.0 - 1e-6));
        prop_assert!(end(&shorter) >= base * (1.0 - 1e-6));
    }

    #[test]
    fn a_warm_start_ends_where_a_cold_one_does(spec in rigs(), other in 0.05..0.95_f64) {
        let net_a = net(&spec);
        let net_b = net(&RigSpec { walker: (other, spec.walker.1), ..spec.clone() });
        let warm = equilibrium::solve(&net_b, Some(&solved(&net_a)));
        prop_assert_eq!(warm.status, Status::Converged);
        same(&tensions(&net_b, &solved(&net_b)), &tensions(&net_b, &warm))?;
    }
}

/// A free point that nothing holds, a slack pendulum, points at one place: said or solved, never a hang or a NaN.
#[test]
fn odd_nets_end_in_an_answer() {
    let fixed = |x: f64| Node { place: DVec3::new(x, 0.0, 0.0), fixed: true, load_n: DVec3::ZERO };
    let free =
        |x: f64, load: f64| Node { place: DVec3::new(x, 0.0, 0.0), fixed: false, load_n: DVec3::new(0.0, 0.0, -load) };
    let link = |a: usize, b: usize, l: f64| Member::Link(Link::new(vec![a, b], chain(l, 5e6)));
    let nets = [
        ("held by nothing", vec![fixed(0.0), free(1.0, 100.0)], vec![]),
        ("slack pendulum", vec![fixed(0.0), free(1.0, 100.0)], vec![link(0, 1, 2.0)]),
        ("weightless and slack", vec![fixed(0.0), free(1.0, 0.0)], vec![link(0, 1, 2.0)]),
        (
            "two points at one place",
            vec![fixed(0.0), free(0.0, 0.0), fixed(3.0)],
            vec![link(0, 1, 1.0), link(1, 2, 1.0)],
        ),
        ("enormous", vec![fixed(0.0), free(1e6, 1e9)], vec![link(0, 1, 1.0)]),
    ];
    for (name, nodes, members) in nets {
        let net = Net { nodes, members };
        let s = equilibrium::solve(&net, None);
        assert!(s.places.iter().all(|p| p.is_finite()), "{name}");
        let c = certify(&net, &s);
        if name == "held by nothing" {
            assert!(!c.holds(), "{name} must not be certified");
        } else {
            assert!(s.history.len() <= 201, "{name}");
        }
    }
}

/// What the ground gives back at every fixed point is what the runs pull there, in every situation, whether the point gives or
/// not; with everything that is put on the rig it adds up to nothing.
#[test]
fn the_ground_gives_back_what_pulls() {
    use spanwright::plan::PlanFile;
    use spanwright::review::at_rest;
    for (name, text) in [
        ("two trees", include_str!("../fixtures/two-trees-50m.ron").to_owned()),
        ("a gap", include_str!("../../plans/kestrel-gap-62m.ron").to_owned()),
    ] {
        // One anchor of each gives.
        let giving = text.replacen("Fixed(side: A,", "Fixed(stiffness: \"900 kN/m\", side: A,", 1);
        for text in [&text, &giving] {
            let file = PlanFile::parse(name, text.clone()).unwrap_or_else(|e| panic!("{}", e.show(name)));
            assert!(file.is_sound(), "{}", file.show_faults());
            let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
            let held: Vec<usize> = (0..file.plan.points.len())
                .filter(|p| file.plan.points.get_index(*p).is_some_and(|(_, p)| p.hold().is_some()))
                .collect();
            for solved in review.cases.iter().filter(|c| c.certified()) {
                let r = &solved.response;
                for &p in &held {
                    let pulled: DVec3 = r.forces[p].iter().map(|f| f.force).sum();
                    let off = (r.reactions[p] + pulled).length();
                    assert!(off < 1e-3 + 1e-6 * pulled.length(), "{name}: {}: point {p}: {off} N", solved.case.words());
                }
            }
        }
    }
}

/// What pulls at a joint of main line and backup adds up to its weight, where the backup carries as well.
#[test]
fn pulls_at_a_joint_add_up_to_its_weight() {
    use spanwright::plan::PlanFile;
    use spanwright::review::at_rest;
    let text = include_str!("../../plans/heron-valley-410m.ron");
    let tight = text.replacen("excess: \"5 %\"", "excess: \"0.2 %\"", 1);
    assert!(tight != text, "the backup's excess is stated");
    let file = PlanFile::parse("tight", tight).unwrap_or_else(|e| panic!("{}", e.show("tight")));
    let review = at_rest(&file).unwrap_or_else(|e| panic!("{e}"));
    let mut carried = 0.0_f64;
    for solved in review.cases.iter().filter(|c| c.certified()) {
        for (k, pulls) in solved.response.joints.iter().enumerate() {
            let sum: DVec3 = pulls.iter().copied().sum();
            carried = carried.max(pulls[2].length());
            let level = sum.truncate().length();
            assert!(level < 1e-2 && (-1e-2..60.0).contains(&sum.z), "{}: joint {}: {sum}", solved.case.words(), k + 1);
        }
    }
    assert!(carried > 500.0, "the backup carries: {carried} N");
}

/// All soft parts of a leg may be off at once: two slings in a row by both their tolerances.
#[test]
fn tolerances_of_a_leg_add_up() {
    use spanwright::plan::PlanFile;
    use spanwright::review::in_view;
    let text = include_str!("../../plans/kestrel-gap-62m.ron");
    let one = "Part(item: \"hmpe-8\", length: Fit(tolerance: \"30 mm\")";
    let two = "Part(item: \"hmpe-8\", length: \"1.4 m\", tolerance: \"20 mm\", ends: (Spliced(bury: \"580 mm\"), Spliced(bury: \"580 mm\"))),\n            Part(item: \"quick-link-12\"),\n            Part(item: \"hmpe-8\", length: Fit(tolerance: \"30 mm\")";
    let file =
        PlanFile::parse("two in a row", text.replacen(one, two, 1)).unwrap_or_else(|e| panic!("{}", e.show("it")));
    assert!(file.is_sound(), "{}", file.show_faults());
    let solver = in_view(&file).unwrap_or_else(|f| panic!("{f:?}"));
    let leg = solver.rig.legs.iter().find(|l| solver.rig.run_names[l.run] == "A leg 1").expect("a leg");
    assert!((leg.tolerance_m - 0.05).abs() < 1e-9, "{}", leg.tolerance_m);
}
