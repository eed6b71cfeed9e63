//! Mechanics held by balance, conservation and sums worked out here in the plainest way, over random cases: lines against
//! their sum piece by piece, chains against their parts, motion against the books of momentum and energy, pulleys against
//! the tackle's series. No stored values.

use std::sync::Arc;

use glam::DVec3;
use proptest::prelude::*;
use spanwright::mechanics::G;
use spanwright::mechanics::equilibrium::{self, MemberState, Status};
use spanwright::mechanics::law::{LengthLaw, Piece, StrainLaw};
use spanwright::mechanics::lump::lump;
use spanwright::mechanics::motion::{Flow, Motion, Scene, Scheme};
use spanwright::mechanics::net::{Link, Member, Net, Node, Pull, Span};
use spanwright::mechanics::reeving::{Reeving, Way};
use spanwright::mechanics::sliding::{self, Held};
use spanwright::mechanics::span::{self, Zone};

fn law(steps: &[(f64, f64)]) -> StrainLaw {
    let (mut t, mut e) = (0.0, 0.0);
    let points: Vec<(f64, f64)> = steps
        .iter()
        .map(|(dt, de)| {
            (t, e) = (t + dt, e + de);
            (t, e)
        })
        .collect();
    StrainLaw::from_points(&points).expect("rising")
}

fn laws() -> impl Strategy<Value = StrainLaw> {
    proptest::collection::vec((300.0..4e3_f64, 2e-3..0.03_f64), 1..4).prop_map(|s| law(&s))
}

fn vector(size: f64) -> impl Strategy<Value = DVec3> {
    [-size..size, -size..size, -size..size].prop_map(DVec3::from_array)
}

fn chain(length_m: f64, ea: f64, lag_s: f64) -> Arc<LengthLaw> {
    let law = Arc::new(StrainLaw::linear(ea).expect("positive").in_motion(1.0, lag_s));
    Arc::new(LengthLaw::series(vec![Piece { length_m, gauge_m: length_m, law }]).expect("stretches"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// A line of several materials in a side wind, shot from its first end in ten thousand straight pieces, ends where the
    /// exact one does; so does every place along it; and the place furthest below its chord is furthest below it.
    #[test]
    fn a_line_ends_where_it_is_shot(
        parts in proptest::collection::vec((1.0..30.0_f64, laws(), 0.2..3.0_f64, -2.0..2.0_f64), 1..4),
        pull in 300.0..4e3_f64, aside in -100.0..100.0_f64, up in 0.0..600.0_f64,
    ) {
        let zones: Vec<Zone> = parts.iter().map(|(l, law, w, wind)| Zone {
            length_m: *l, load_n_per_m: DVec3::new(0.0, *wind, -w), law: Arc::new(law.clone()),
        }).collect();
        let f0 = DVec3::new(pull, aside, -up);
        let whole: f64 = parts.iter().map(|p| p.0).sum();
        let (mut t, mut at, mut s) = (f0, DVec3::ZERO, 0.0);
        let mut lowest = (0.0_f64, 0.0_f64);
        let end = span::hang(&zones, f0).reach;
        let below = |p: DVec3| {
            let flat = DVec3::new(end.x, end.y, 0.0);
            end.z * p.dot(flat) / flat.length_squared() - p.z
        };
        for z in &zones {
            let n = 4000;
            let ds = z.length_m / f64::from(n);
            for k in 0..n {
                let mid = t - z.load_n_per_m * (ds * (f64::from(k) + 0.5));
                // The force on the first end points along the line: what pulls it there.
                at += mid.normalize() * (1.0 + z.law.at(mid.length()).0) * ds;
                let here = s + ds * f64::from(k + 1);
                if below(at) > lowest.0 {
                    lowest = (below(at), here);
                }
            }
            t -= z.load_n_per_m * z.length_m;
            s += z.length_m;
            let place = span::place(&zones, f0, s);
            prop_assert!(place.distance(at) < 1e-4 * whole, "{place} {at}");
            prop_assert!(span::tension_at(&zones, f0, s).distance(t) < 1e-6 * pull);
        }
        prop_assert!(end.distance(at) < 1e-4 * whole);
        let found = span::place(&zones, f0, span::furthest_below(&zones, f0, end));
        prop_assert!((below(found) - lowest.0).abs() < 1e-3 * whole, "{} m below, {} at most", below(found), lowest.0);
        // Work: what a small pull more does to the energy is where the line's end goes.
        let h = 1e-3 * pull;
        for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
            let by = (span::hang(&zones, f0 + axis * h).psi - span::hang(&zones, f0 - axis * h).psi) / (2.0 * h);
            prop_assert!((by - end.dot(axis)).abs() < 1e-3 * whole);
        }
    }

    /// A chain is as long as its parts at the tension that they share, slow and in a fall, each answering by its own haste
    /// about the rest; and what it stores is the area under its own tension.
    #[test]
    fn a_chain_is_as_long_as_its_parts(
        parts in proptest::collection::vec((0.2..6.0_f64, 0.3..1.0_f64, laws(), 1.0..2.0_f64), 1..4),
        rest in 200.0..3e3_f64, times in 1.0..3.0_f64,
    ) {
        let pieces: Vec<Piece> = parts.iter().map(|(l, share, law, haste)| Piece {
            length_m: *l, gauge_m: share * l, law: Arc::new(law.clone().in_motion(*haste, 1e-3)),
        }).collect();
        let slow = LengthLaw::series(pieces.clone()).expect("stretches");
        let fast = slow.hastened(rest);
        let t = rest * times;
        let long = |of: &dyn Fn(f64) -> f64| -> f64 {
            parts.iter().map(|(l, share, law, haste)| l + share * l * law.at(of(*haste)).0).sum()
        };
        let (slowly, fastly) = (long(&|_| t), long(&|haste| rest + (t - rest) / haste));
        prop_assert!((slow.length(t) - slowly).abs() < 1e-9 * slowly);
        prop_assert!((slow.at(slowly).0 - t).abs() < 1e-6 * t);
        prop_assert!((fast.at(fastly).0 - t).abs() < 1e-6 * t, "{} for {t}", fast.at(fastly).0);
        let n = 4000;
        let from = slow.slack_m();
        let dl = (slowly - from) / f64::from(n);
        let area: f64 = (0..n).map(|k| slow.at(from + (f64::from(k) + 0.5) * dl).0 * dl).sum();
        prop_assert!((slow.at(slowly).2 - area).abs() < 1e-3 * area + 1e-9);
        // Damping of a chain: of dampers in series at small pulls each takes its own share of the stretch.
        let give: Vec<f64> = parts.iter().map(|(l, share, law, _)| share * l * law.at(1e-6).0 / 1e-6).collect();
        prop_assert!((slow.lag_s() - 1e-3).abs() < 1e-12 && give.iter().all(|g| *g > 0.0));
        prop_assert!((slow.first_stiffness() - 1.0 / give.iter().sum::<f64>()).abs() < 1e-3 * slow.first_stiffness());
    }

    /// A net cut into elements weighs, loads and is as long as it was; each element's ends share what is its own.
    #[test]
    fn a_line_that_is_cut_loses_nothing(
        parts in proptest::collection::vec((0.05..20.0_f64, 0.3..3.0_f64), 1..5), elements in 4_usize..40, apart: bool,
    ) {
        let material = Arc::new(StrainLaw::linear(1e5).expect("positive"));
        let zones: Vec<Zone> = parts.iter().map(|(l, w)| Zone { length_m: *l, load_n_per_m: DVec3::new(0.0, 0.1, -w), law: material.clone() }).collect();
        let whole: f64 = parts.iter().map(|p| p.0).sum();
        let load: DVec3 = zones.iter().map(|z| z.load_n_per_m * z.length_m).sum();
        let net = Net {
            nodes: [0.0, whole].map(|x| Node { place: DVec3::X * x, fixed: true, load_n: DVec3::ZERO }).to_vec(),
            members: vec![Member::Span(Span { a: 0, b: 1, zones: zones.clone() })],
        };
        let places = [DVec3::ZERO, DVec3::X * whole];
        let (cut, chains) = lump(&net, &places, |_| DVec3::new(2000.0, 0.0, 0.0), [elements, elements], apart).expect("cut");
        let mass: f64 = cut.mass_kg.iter().sum();
        prop_assert!((mass + load.z / G).abs() < 1e-9 * mass);
        let dead: DVec3 = cut.net.nodes.iter().map(|n| n.load_n).sum();
        prop_assert!(dead.distance(load) < 1e-9 * load.length());
        let long: f64 = cut.net.members.iter().map(|m| match m { Member::Link(Link { pull: Pull::Chain(law), .. }) => law.slack_m(), _ => f64::NAN }).sum();
        prop_assert!((long - whole).abs() < 1e-9 * whole);
        let chain = &chains[0].1;
        prop_assert_eq!(chain.nodes.len(), chain.links.len() + 1);
        let halves: DVec3 = chain.half_n.iter().sum();
        prop_assert!((halves * 2.0).distance(load) < 1e-9 * load.length());
        for (k, half) in chain.half_n.iter().enumerate() {
            let along = cut.along_kg.get(chain.links[k]).copied().unwrap_or(0.0);
            prop_assert!(along == 0.0 || (along + 2.0 * half.z / G).abs() < 1e-9);
        }
        // A zone half as long as an element or longer is an element of its own, and a short one is apart when it is to be.
        let per_m = elements as f64 / whole;
        let own = parts.iter().filter(|p| per_m * p.0 >= 0.5).map(|p| (per_m * p.0).round().max(1.0) as usize).sum::<usize>();
        prop_assert!(chain.links.len() >= own.max(1));
        if !apart && own > 0 {
            prop_assert_eq!(chain.links.len(), own);
        }
        for (zones, half) in chain.zones.iter().zip(&chain.half_n) {
            prop_assert!(!zones.is_empty() && half.z < 0.0);
            let short = zones.iter().filter(|z| per_m * parts[**z].0 < 0.5).count();
            prop_assert!(!apart || short == 0 || short == zones.len(), "hardware melted into line");
        }
    }

    /// Masses that pull on each other and on nothing else keep their momentum and their turning; what the dampers take, the
    /// scheme takes and is misplaced adds up to what is missing from the energy, which is counted here again.
    #[test]
    fn momentum_and_energy_are_kept(
        speeds in proptest::collection::vec(vector(4.0).prop_map(|v| v + DVec3::X), 5), masses in proptest::collection::vec(0.5..60.0_f64, 5),
        lag in prop_oneof![Just(0.0), 1e-4..4e-3_f64], along in 0.0..3.0_f64, keeps in 0.5..1.0_f64,
    ) {
        let places = [DVec3::ZERO, DVec3::new(3.0, 0.2, 0.1), DVec3::new(6.0, -0.1, 0.3), DVec3::new(9.0, 0.3, -0.2), DVec3::new(4.5, 1.0, -2.5)];
        let nodes = places.iter().map(|p| Node { place: *p, fixed: false, load_n: DVec3::ZERO }).collect();
        let link = |path: &[usize], ea: f64| {
            let long: f64 = path.windows(2).map(|e| places[e[0]].distance(places[e[1]])).sum();
            Member::Link(Link::new(path.to_vec(), chain(0.99 * long, ea, lag)))
        };
        // A rope that slides over two points, two that do not, and one with mass along it.
        let members = vec![link(&[0, 1, 4, 3], 2e4), link(&[1, 2], 4e4), link(&[2, 3], 3e4), link(&[4, 2], 1e4), link(&[0, 4], 2e4)];
        let along_kg = vec![0.0, along, 0.5 * along];
        let mut mass_kg = masses.clone();
        for (m, a) in [(1, along), (2, along), (2, 0.5 * along), (3, 0.5 * along)] {
            mass_kg[m] += 0.5 * a;
        }
        let scene = Scene { net: Net { nodes, members }, mass_kg: mass_kg.clone(), along_kg: along_kg.clone(), velocity: speeds.clone(), drag_per_s: 0.0, air_n_s2_per_m2: Vec::new() };
        let mut motion = Motion::new(&scene, Scheme { step_s: 5e-4, shortest_s: 5e-4, keeps_fast: keeps, ..Scheme::default() }).expect("memory");
        let momentum = |v: &[DVec3]| v.iter().zip(&mass_kg).map(|(v, m)| *v * *m).sum::<DVec3>();
        // Even along an element: a third of its mass at the square of each end and of their product.
        let kinetic = |v: &[DVec3]| {
            let point = |k: usize| masses[k] * 0.5 * v[k].length_squared();
            let rod = |a: usize, b: usize, m: f64| m / 6.0 * (v[a].length_squared() + v[a].dot(v[b]) + v[b].length_squared());
            (0..5).map(point).sum::<f64>() + rod(1, 2, along) + rod(2, 3, 0.5 * along)
        };
        let (before, start, strain) = (momentum(motion.velocity()), kinetic(motion.velocity()), motion.strain_j());
        prop_assert!((motion.ledger().kinetic_j - start).abs() <= 1e-9 * start, "{} J, {start}", motion.ledger().kinetic_j);
        let mut damped = 0.0;
        motion.run(0.4, |m| {
            damped = f64::max(damped, m.ledger().damped_j);
            Flow::On
        });
        let now = motion.ledger();
        let (v, size) = (motion.velocity(), masses.iter().zip(&speeds).map(|(m, v)| m * v.length()).sum::<f64>());
        prop_assert!(momentum(v).distance(before) < 1e-5 * size, "{} {before}", momentum(v));
        prop_assert!((now.kinetic_j - kinetic(v)).abs() < 1e-9 * start.max(1.0));
        let lost = start + strain - kinetic(v) - motion.strain_j();
        prop_assert!((lost + now.change_j).abs() < 1e-6 * start, "{lost} J lost, {} told", now.change_j);
        prop_assert!((now.damped_j + now.numerical_j - now.imbalance_j - lost).abs() < 1e-6 * start, "{now:?} {lost}");
        prop_assert!(now.damped_j >= -1e-9 && (lag > 0.0 || now.damped_j.abs() < 1e-9) && damped >= now.damped_j - 1e-9);
        prop_assert!(now.imbalance_j.abs() < 0.02 * start, "{now:?}");
        let carried: f64 = motion.tension().iter().copied().fold(0.0, f64::max);
        prop_assert!(motion.tension().iter().all(|t| *t >= 0.0) && carried.is_finite());
    }

    /// A rope over pegs: at each its tensions differ by what Euler's rope allows, down from the leg that carries most, and
    /// in a motion it starts with what it carried at rest.
    #[test]
    fn a_rope_over_pegs_keeps_to_eulers_ratio(mu in proptest::collection::vec(0.05..0.4_f64, 3), leg in 0_usize..4, pull in 0.5..1.5_f64) {
        let at = [[0.0, 0.0, 0.0], [2.0, 0.3, 1.0], [4.0, -0.2, -0.8], [6.5, 0.1, 0.9], [9.0, 0.0, -0.5]].map(DVec3::from_array);
        let mut nodes: Vec<Node> = at.iter().map(|p| Node { place: *p, fixed: true, load_n: DVec3::ZERO }).collect();
        // Its last end is free and pulled, so that the tension is not given.
        nodes[4].fixed = false;
        nodes[4].load_n = DVec3::new(1500.0 * pull, 40.0, -600.0);
        let long: f64 = at.windows(2).map(|w| w[0].distance(w[1])).sum();
        let link = Link { friction: mu.clone(), ..Link::new(vec![0, 1, 2, 3, 4], chain(0.995 * long, 2e5, 0.0)) };
        let net = Net { nodes, members: vec![Member::Link(link.clone())] };
        let start = equilibrium::solve(&net, None);
        prop_assert_eq!(start.status, Status::Converged);
        // One end that only friction holds may find no rest: then nothing is said of it.
        let Held::At(p) = sliding::pattern(&net, 0, leg, &start) else { return Ok(()) };
        let Member::Link(held) = &p.net.members[0] else { unreachable!() };
        let MemberState::Link { tension_n: top, .. } = p.solution.members[0] else { unreachable!() };
        let x = &p.solution.places;
        for k in 1..4 {
            let (u, v) = ((x[k] - x[k - 1]).normalize(), (x[k + 1] - x[k]).normalize());
            let allowed = (mu[k - 1] * u.dot(v).clamp(-1.0, 1.0).acos()).exp();
            let (near, far) = if k > leg { (held.ratio(k - 1), held.ratio(k)) } else { (held.ratio(k), held.ratio(k - 1)) };
            prop_assert!((near / far - allowed).abs() < 1e-6, "peg {k}: {} of {allowed}", near / far);
        }
        prop_assert!((held.ratio(leg) - 1.0).abs() < 1e-12);
        // Each leg's material adds up to the rope: length over its own stretch.
        let material: f64 = x.windows(2).enumerate().map(|(k, w)| w[0].distance(w[1]) / (1.0 + held.ratio(k) * top / 2e5)).sum();
        prop_assert!((material - 0.995 * long).abs() < 1e-6 * long, "{material} m of {}", 0.995 * long);
        // The free end is in balance with the last leg.
        let last = (x[3] - x[4]).normalize() * (top * held.ratio(3));
        prop_assert!((last + net.nodes[4].load_n).length() < 1e-4 * top);
        let moving = sliding::in_motion(&link, leg, x).expect("it rubs");
        let weighted: f64 = x.windows(2).enumerate().map(|(k, w)| moving.ratio(k) * w[0].distance(w[1])).sum();
        prop_assert!((moving.pull.at(weighted).0 - top).abs() < 2e-2 * top, "{} N in motion, {top} at rest", moving.pull.at(weighted).0);
    }

    /// Of a tackle of n strands whose sheaves each keep k the load gets 1 + k + … + kⁿ⁻¹ of the hand's pull, k times that
    /// when the hand's strand turns once more; tackles on tackles multiply; each sheave carries the strands it parts.
    #[test]
    fn tackles_follow_their_series(stages in proptest::collection::vec(1_usize..6, 1..4), turned: bool, keeps in 0.5..1.0_f64) {
        let series = |n: usize| (0..n).map(|i| keeps.powi(i as i32)).sum::<f64>();
        let want = stages.iter().map(|n| series(*n)).product::<f64>() * if turned { keeps } else { 1.0 };
        let r = Reeving::compound(&stages, turned, keeps);
        let up = r.pulls(Way::Hauling).expect("hauls");
        prop_assert!((up.load - want).abs() < 1e-9 * want, "{} for {want}", up.load);
        let slack = |n: usize| (0..n).map(|i| keeps.powi(-(i as i32))).sum::<f64>();
        let down = stages.iter().map(|n| slack(*n)).product::<f64>() / if turned { keeps } else { 1.0 };
        prop_assert!((r.pulls(Way::Lowering).expect("lowers").load - down).abs() < 1e-9 * down);
        for (strands, sheaves) in up.strands.iter().zip(&up.sheaves) {
            prop_assert_eq!(strands.len(), sheaves.len() + 1);
            for (w, load) in strands.windows(2).zip(sheaves) {
                prop_assert!((w[1] / w[0] - keeps).abs() < 1e-9 && (w[0] + w[1] - load).abs() < 1e-9 * load);
            }
        }
        let sheaves: usize = stages.iter().map(|n| n - 1).sum::<usize>() + usize::from(turned);
        prop_assert_eq!(up.sheaves.iter().map(Vec::len).sum::<usize>(), sheaves);
    }
}
