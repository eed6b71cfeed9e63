//! What must follow when one thing of a plan changes and all else stays: a mirror image reviews alike, and nothing that is
//! against a rig ever makes it look better. Over the plans of `reviewed.rs`, each changed in memory; no stored values.

use std::collections::BTreeMap;

use glam::DVec3;
use spanwright::plan::{
    At, Connected, EndKind, Hold, OwnCase, PartLength, PlanFile, PointKind, Role, Side, Speeds, Target,
};
use spanwright::review::{Body, Class, Desk, Place, Review, Row, Verdict, fall_estimate, in_view};
use spanwright::units::{Length, Quantity};

use crate::reviewed::{Reviewed, STILL};

/// Statics of a plan changed in memory; nothing when the changed plan is no rig any more.
fn changed(of: &Reviewed, change: impl Fn(&mut PlanFile)) -> Option<Review> {
    let mut file = of.file.clone();
    change(&mut file);
    let review = Desk::open(&file).ok()?.review();
    review.unsolved.is_empty().then_some(review)
}

/// Every `n`th plan from the `k`th on that is solved.
fn some(k: usize, n: usize) -> impl Iterator<Item = &'static Reviewed> {
    STILL.iter().skip(k).step_by(n).filter(|of| of.review.unsolved.is_empty())
}

fn rows(r: &Review) -> BTreeMap<(String, String), &Row> {
    r.rows.iter().filter(|x| x.class == Class::Working).map(|x| ((x.place.to_string(), x.title.clone()), x)).collect()
}

fn rank(v: Verdict) -> usize {
    ["meets", "unrated", "below", "unsolved"].iter().position(|w| *w == v.word()).expect("a verdict")
}

fn length(m: f64) -> Length {
    Length::from_si(m)
}

/// The plan seen from the other side of the gap: A is B, ground and line run the other way.
fn mirror(file: &mut PlanFile) {
    let plan = &mut file.plan;
    let (span, rise) = (plan.site.span.si(), plan.site.height_difference.si());
    let other = |s: Side| if s == Side::A { Side::B } else { Side::A };
    plan.site.height_difference = length(-rise);
    plan.site.ground =
        plan.site.ground.iter().rev().map(|(x, z)| (length(span - x.si()), length(z.si() - rise))).collect();
    for o in plan.site.obstacles.values_mut() {
        (o.from, o.to, o.top) = (length(span - o.to.si()), length(span - o.from.si()), length(o.top.si() - rise));
    }
    plan.people.seated.reverse();
    for p in plan.points.values_mut() {
        p.side = other(p.side);
        match &mut p.kind {
            PointKind::Fixed { at, by, .. } => {
                if let At::Place(at) = at {
                    at[0] = length(-at[0].si());
                }
                match by {
                    Hold::Bolt { faces: Some(f), .. } => f[0] = -f[0],
                    Hold::Edge { outward, .. } => outward[0] = -outward[0],
                    _ => {}
                }
            }
            PointKind::Free { near, .. } => near[0] = length(-near[0].si()),
        }
    }
    for run in plan.runs.values_mut() {
        if matches!(run.role, Role::Main | Role::Backup { .. }) {
            run.path.reverse();
            run.parts.reverse();
            for p in &mut run.parts {
                if let Some(e) = &mut p.ends {
                    e.reverse();
                }
                if let PartLength::Solve(Target::Standing(_, side)) = &mut p.length {
                    *side = other(*side);
                }
            }
        }
    }
    for c in &mut plan.cases {
        c.walkers.iter_mut().for_each(|w| w.0 = 1.0 - w.0);
    }
    if let Some(t) = &mut plan.tensioning {
        t.side = other(t.side);
    }
}

/// Which side is called A decides nothing but names: every piece sees and keeps the same, every height is the same, every
/// rule says the same. What takes the wrong end of a line, of a path or of a pair shows here.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn a_plan_seen_from_the_other_side_reviews_alike() {
    let (mut looked, mut wrong) = (0, Vec::new());
    // A tie between two lengths of line sits behind its link, seen from A: such a plan is no mirror image of itself.
    let tied = |r: &spanwright::plan::Run| matches!(&r.role, Role::Backup { connected, .. } if *connected != Connected::AtEnds);
    for of in
        some(0, 1).filter(|of| !of.file.plan.runs.values().any(tied) && !of.file.text.contains("Sighted")).step_by(2)
    {
        let Some(there) = changed(of, mirror) else {
            wrong.push(format!("{}: no rig any more", of.name));
            continue;
        };
        let place = |row: &Row| match &row.place {
            Place::Part(run, k) if !matches!(of.file.plan.runs[run].role, Role::Leg) => {
                Place::Part(run.clone(), of.file.plan.runs[run].parts.len() + 1 - k)
            }
            p => p.clone(),
        };
        let here = rows(&of.review);
        for row in there.rows.iter().filter(|x| x.class == Class::Working) {
            let Some(was) = here.get(&(place(row).to_string(), row.title.clone())) else {
                // A height's title says what lies there; the place is enough.
                let same = of
                    .review
                    .rows
                    .iter()
                    .any(|x| x.place == row.place && row.is_height() && alike(x.factor, row.factor));
                if !same {
                    wrong.push(format!("{}: {} {} is new", of.name, row.place, row.title));
                }
                continue;
            };
            looked += 1;
            let (a, b) = (&was.strength, &row.strength);
            let strong = a.rated == b.rated && (!a.rated || alike(a.low_n, b.low_n) && alike(a.nominal_n, b.nominal_n));
            let high = !row.is_height()
                || (was.factor - row.factor).abs() < 0.02 && (was.required - row.required).abs() < 0.02;
            if !high || !alike(was.demand_n, row.demand_n) || !strong || !alike(was.required, row.required) {
                wrong.push(format!(
                    "{}, {}: {} N of {} here, {} N of {} there",
                    of.name, row.place, was.demand_n, a.low_n, row.demand_n, b.low_n
                ));
            }
        }
        let [a, b] = of.review.line.standing_n;
        let [c, d] = there.line.standing_n;
        if !alike(a, d) || !alike(b, c) || !alike(of.review.line.sag_walker_m, there.line.sag_walker_m) {
            wrong.push(format!("{}: the line stands at {a} {b} here, {c} {d} there", of.name));
        }
        let said = |r: &Review| {
            let mut out: Vec<&str> = r.findings.iter().map(|f| f.rule).collect();
            out.sort_unstable();
            out
        };
        if said(&of.review) != said(&there) {
            wrong.push(format!("{}: {:?} here, {:?} there", of.name, said(&of.review), said(&there)));
        }
    }
    println!("{looked} rows");
    assert!(looked > 200, "{looked}");
    assert!(
        wrong.is_empty(),
        "{} of {looked}: {:#?}",
        wrong.len(),
        wrong.iter().step_by(1 + wrong.len() / 20).collect::<Vec<_>>()
    );
}

/// Two answers of one question, asked in another order: places of the sweep are rounded to a hundredth of the line.
fn alike(a: f64, b: f64) -> bool {
    (a - b).abs() <= 2e-3 * a.abs().max(b.abs()) + 0.5
}

/// Weight on the line and wind across it only ever pull it harder and lower.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn weight_and_wind_never_ease_the_line() {
    let changes: [(&str, fn(&mut PlanFile)); 2] = [
        ("heavier", |f| f.plan.people.walkers.iter_mut().for_each(|m| *m *= 1.15)),
        ("windier", |f| {
            f.plan.site.air.wind *= 1.3;
            f.plan.site.air.storm *= 1.3;
        }),
    ];
    let mut wrong = Vec::new();
    let mut harder = 0;
    for of in some(1, 5) {
        let (main, _) = of.file.plan.main().expect("a line");
        for (what, change) in changes {
            let Some(more) = changed(of, change) else { continue };
            let more = rows(&more).into_iter().map(|(k, v)| (k, v.clone())).collect::<BTreeMap<_, _>>();
            for (key, was) in rows(&of.review) {
                let Some(now) = more.get(&key) else { continue };
                let line = matches!(&was.place, Place::Part(run, _) if run == main);
                if line && now.demand_n < was.demand_n * (1.0 - 1e-6) {
                    wrong.push(format!("{} {what}, {}: {} N, then {}", of.name, key.0, was.demand_n, now.demand_n));
                }
                harder += usize::from(line && now.demand_n > was.demand_n * (1.0 + 1e-3));
                if was.is_height() && what == "heavier" && now.factor > was.factor + 1e-6 {
                    wrong.push(format!("{} {what}: {} m, then {}", of.name, was.factor, now.factor));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(harder > 10, "only {harder} rows felt it");
}

/// In which order a situation names those who are on the line decides nothing.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn who_is_named_first_decides_nothing() {
    let mut looked = 0;
    for of in some(0, 8) {
        let many = |turned: bool| {
            changed(of, |f| {
                let kg = f.plan.people.walkers[0];
                let mut walkers = vec![(0.2, kg), (0.55, 0.8 * kg), (0.9, 1.1 * kg)];
                if turned {
                    walkers.reverse();
                }
                let air = f.plan.site.air.rigged_at;
                f.plan.cases =
                    vec![OwnCase { name: "three of them".to_owned(), walkers, wind: None, temperature: Some(air) }];
            })
        };
        let (Some(one), Some(other)) = (many(false), many(true)) else { continue };
        let runs = |r: &Review| {
            r.cases
                .iter()
                .find(|c| c.case.words() == "three of them")
                .map(|c| (c.response.run_n.clone(), c.response.sag_m))
        };
        assert!(runs(&one).is_some() && runs(&one) == runs(&other), "{}: {:?} {:?}", of.name, runs(&one), runs(&other));
        looked += 1;
    }
    assert!(looked > 2, "{looked}");
}

/// What is taken off a part is taken off its factor, to the last digit, and off nothing else's; what is asked for on top is
/// asked of it alone; neither ever makes a verdict better.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn what_is_worn_or_asked_for_is_told_of_that_part_alone() {
    let mut wrong = Vec::new();
    let mut looked = 0;
    for (n, of) in some(2, 6).enumerate() {
        let (run, _) = of
            .file
            .plan
            .runs
            .iter()
            .filter(|(_, r)| matches!(r.role, Role::Leg | Role::Main))
            .nth(n % 3)
            .expect("a run");
        let run = run.clone();
        let last = of.file.plan.runs[&run].parts.len() - 1;
        let place = Place::Part(run.clone(), last + 1).to_string();
        let kept = of.file.plan.runs[&run].parts[last].condition.abrasion;
        let worn = changed(of, |f| f.plan.runs[&run].parts[last].condition.abrasion = 0.7 * kept).expect("a rig");
        let asked = changed(of, |f| f.plan.runs[&run].parts[last].required.working = Some(9.0)).expect("a rig");
        let (worn, asked) = (rows(&worn), rows(&asked));
        for (key, was) in rows(&of.review) {
            let (Some(w), Some(a)) = (worn.get(&key), asked.get(&key)) else { continue };
            looked += 1;
            let it = key.0 == place;
            let keeps = if it { 0.7 } else { 1.0 };
            let same =
                |x: f64, y: f64| (x - y).abs() <= 1e-4 * x.abs().max(y.abs()) || !x.is_finite() && !y.is_finite();
            if !same(w.factor, keeps * was.factor) || rank(w.verdict) < rank(was.verdict) {
                wrong.push(format!("{}, {}: factor {} worn, {} before", of.name, key.0, w.factor, was.factor));
            }
            if a.required != if it { 9.0 } else { was.required } || rank(a.verdict) < rank(was.verdict) {
                wrong.push(format!("{}, {}: {} asked, {} before", of.name, key.0, a.required, was.required));
            }
        }
    }
    assert!(wrong.is_empty() && looked > 40, "{looked}: {wrong:#?}");
}

/// Ground that lies a metre lower leaves a metre more, wherever a height is known, and nothing else changes: but for gusts
/// worked out from a mean, which blow harder higher over the ground.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn lower_ground_leaves_as_much_more() {
    let mut looked = 0;
    for of in some(0, 4).filter(|of| !of.file.plan.site.ground.is_empty()) {
        let lower = |m: f64| {
            changed(of, |f| {
                let site = &mut f.plan.site;
                site.air.speeds = Speeds::Gust;
                site.ground.iter_mut().for_each(|g| g.1 = length(g.1.si() - m));
                site.obstacles.values_mut().for_each(|o| o.top = length(o.top.si() - m));
            })
            .expect("a rig")
        };
        for (was, now) in lower(0.0).rows.iter().zip(&lower(1.0).rows) {
            assert_eq!(was.place, now.place);
            if let (Some(a), Some(b)) = (&was.height, &now.height) {
                looked += 1;
                assert!((b.found_m() - a.found_m() - 1.0).abs() < 1e-6, "{}: {a:?} {b:?}", of.name);
                let better = rank(now.verdict) <= rank(was.verdict);
                assert!(better && (a.x_m - b.x_m).abs() < 1e-6 && a.over == b.over, "{}: {a:?} {b:?}", of.name);
            } else {
                let same = was.demand_n == now.demand_n && was.verdict == now.verdict;
                assert!(same, "{}: {was:?}\n{now:?}", of.name);
            }
        }
    }
    assert!(looked > 3, "{looked}");
}

/// Stricter factors never make a verdict better, and a plan that asks twice of all asks twice of each.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn stricter_factors_never_pass_more() {
    for of in some(3, 6) {
        let twice = |v: &mut Option<f64>| *v = v.map(|v| 2.0 * v);
        let strict = changed(of, |f| {
            let factors = &mut f.plan.factors;
            let all = std::iter::once(&mut factors.all).chain(factors.by_kind.values_mut());
            for set in all {
                twice(&mut set.working);
                twice(&mut set.fall);
                twice(&mut set.failure);
            }
            factors.all.working = Some(factors.all.working.unwrap_or(10.0));
        })
        .expect("a rig");
        for (was, now) in of.review.rows.iter().zip(&strict.rows).filter(|(r, _)| !r.is_height()) {
            assert!(now.required >= was.required, "{}: {} asked, {} before", was.place, now.required, was.required);
            assert!(rank(now.verdict) >= rank(was.verdict), "{} {}: {} before", was.place, now.verdict, was.verdict);
            assert_eq!(now.factor.to_bits(), was.factor.to_bits());
        }
    }
}

/// Friction can only hold tension back somewhere: with it the worst of a sliding run is no less than without.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn friction_never_eases_a_sliding_run() {
    let mut looked = 0;
    for of in STILL.iter().filter(|of| of.review.unsolved.is_empty()) {
        let slides = |r: &spanwright::plan::Run| r.role == Role::Leg && r.path.len() > 2 && !r.closed;
        let Some((name, run)) = of.file.plan.runs.iter().find(|(_, r)| slides(r)) else { continue };
        let over = run.path[1].clone();
        let with = |mu: f64| {
            changed(of, |f| match &mut f.plan.points[&over].kind {
                PointKind::Free { friction, .. } => *friction = Some(mu),
                PointKind::Fixed { by: Hold::Edge { friction, .. }, .. } => *friction = mu,
                PointKind::Fixed { .. } => {}
            })
        };
        let (Some(none), Some(some)) = (with(0.0), with(0.25)) else { continue };
        let most = |r: &Review| {
            r.rows
                .iter()
                .filter(|x| x.class == Class::Working && x.place.name() == name)
                .map(|x| x.demand_n)
                .fold(0.0, f64::max)
        };
        assert!(
            most(&some) >= most(&none) * (1.0 - 1e-6),
            "{}, {name}: {} N, {} without",
            of.name,
            most(&some),
            most(&none)
        );
        looked += usize::from(most(&some) > 1.001 * most(&none));
        if looked > 3 {
            break;
        }
    }
    assert!(looked > 0);
}

/// A longer leash and a heavier walker bring the feet lower, and the fall is as deep as its parts say.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn a_longer_leash_brings_the_feet_lower() {
    for of in some(0, 7) {
        let solver = in_view(&of.file).expect("a rig");
        let feet = |more_m: f64, mass: f64| {
            let mut body = Body::of(&of.file.plan, &of.file.catalogue);
            let leash = body.leash.take()?;
            body.leash = Some(std::sync::Arc::new(leash.lengthened(more_m).ok()?));
            let (e, ring_z) = fall_estimate(&solver, &body, mass, 0.4)?;
            let slack = leash.slack_m() + more_m;
            assert!((e.fall_m - (body.tie_in_m + slack + e.ring_drop_m + e.leash_stretch_m)).abs() < 1e-6);
            Some(ring_z - slack - e.leash_stretch_m - body.below_m)
        };
        let Some(usual) = feet(0.0, 80.0) else { continue };
        assert!(feet(0.5, 80.0).is_some_and(|z| z < usual - 0.4), "{}", of.name);
        assert!(feet(0.0, 100.0).is_some_and(|z| z < usual), "{}", of.name);
    }
}

/// An end that keeps less never leaves a part stronger, and no way to end a part leaves more than the part itself has but
/// those that double it.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn a_lossy_end_never_leaves_more() {
    let mut looked = 0;
    for of in some(1, 6) {
        let cut = of.file.plan.runs.iter().find_map(|(n, r)| {
            let k = r
                .parts
                .iter()
                .position(|p| p.ends.is_some() && of.file.catalogue.get(&p.item).is_some_and(|i| i.class.is_cut()))?;
            (r.role == Role::Leg).then(|| (n.clone(), k))
        });
        let Some((run, k)) = cut else { continue };
        let strength = |keeps: Option<f64>, kind: Option<EndKind>| {
            let r = changed(of, |f| {
                for end in f.plan.runs[&run].parts[k].ends.as_mut().expect("stated") {
                    end.keeps = keeps;
                    if let Some(kind) = &kind {
                        end.kind = kind.clone();
                    }
                }
            })?;
            let place = Place::Part(run.clone(), k + 1);
            r.rows.iter().find(|x| x.place == place).map(|x| x.strength.low_n)
        };
        let of_keeps: Vec<f64> = [0.3, 0.6, 0.9].iter().filter_map(|k| strength(Some(*k), None)).collect();
        assert!(of_keeps.windows(2).all(|w| w[0] <= w[1] * (1.0 + 1e-9)), "{}: {of_keeps:?}", of.name);
        let knot = strength(None, Some(EndKind::Knotted("overhand".to_owned())));
        let sewn = strength(None, Some(EndKind::Sewn));
        assert!(
            knot.zip(sewn).is_none_or(|(k, s)| k <= s * (1.0 + 1e-9)),
            "{}: knotted {knot:?}, sewn {sewn:?}",
            of.name
        );
        looked += of_keeps.len();
    }
    assert!(looked > 3, "{looked}");
}

/// A master whose plan is exactly as drawn pulls its legs with what the line pulls it, situation by situation: forces on
/// every free point add up to nothing but its own weight, and the grounds carry all that hangs on the rig.
#[test]
#[ignore = "long: `cargo test swayed -- --ignored`"]
fn forces_on_every_point_add_up() {
    let mut looked = 0;
    for of in STILL.iter().filter(|of| of.review.unsolved.is_empty()) {
        let solver = in_view(&of.file).expect("a rig");
        for c in of.review.cases.iter().filter(|c| c.certified() && c.case.words() != "tensioning").step_by(5) {
            let top = c.response.run_n.iter().copied().fold(1.0, f64::max);
            for (p, spot) in solver.rig.spots.iter().enumerate() {
                let all: DVec3 = c.response.forces[p].iter().map(|f| f.force).sum();
                let left = all + if spot.fixed { c.response.reactions[p] } else { c.net.net.nodes[p].load_n };
                assert!(
                    left.length() < 1e-4 * top + spot.mass_kg * 10.0,
                    "{}, {}, {}: {left} N over",
                    of.name,
                    c.case.words(),
                    spot.name
                );
                looked += 1;
            }
        }
    }
    assert!(looked > 2000, "{looked}");
}
