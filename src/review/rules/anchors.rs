//! Rules about anchors and how their legs share.

use super::{Gravity, Hold, PRACTICE, PointKind, Quantity, Role, Rule, Side, kn, m, rule};

use crate::review::{Cause, Solved};

/// An edge that would have to pull with less than this does not matter, N.
const LIFTS_N: f64 = 50.0;
/// Pull of an anchor under which how its legs share says nothing, N.
const CARRIES_N: f64 = 500.0;
/// What is hard keeps this far from an edge, m. Common practice, no source.
const ON_EDGE_M: f64 = 0.3;

/// Rules about anchors and how their legs share.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "too-few-anchors",
        Stop,
        "a side with a single anchor, or with fewer than three bolts and nothing else",
        "one failure is total",
        "add anchors",
        PRACTICE,
        |c, r| {
            for side in [Side::A, Side::B] {
                let used = |name: &str| {
                    c.plan.runs.values().any(|run| run.role == Role::Leg && run.path.iter().any(|p| p == name))
                };
                let holds: Vec<_> = c
                    .plan
                    .points
                    .iter()
                    .filter(|(n, p)| p.side == side && used(n))
                    .filter_map(|(_, p)| p.hold())
                    .filter(|h| !matches!(h, Hold::Edge { .. }))
                    .collect();
                let bolts = holds.iter().filter(|h| matches!(h, Hold::Bolt { .. })).count();
                let thick = |h: &&Hold| matches!(h, Hold::Tree { diameter, .. } if diameter.si() >= 0.5);
                let lone = holds.len() == 1 && !holds.iter().any(thick);
                if lone || (bolts == holds.len() && bolts > 0 && bolts < 3) {
                    r.say(
                        format!("{side:?}"),
                        format!(
                            "side {side:?} hangs on {} anchor{}",
                            holds.len(),
                            if holds.len() == 1 { "" } else { "s" }
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "one-tree",
        Caution,
        "a side hangs on one thick tree alone",
        "it must be alive, rooted in soil, and slung low",
        "a second tree behind it",
        PRACTICE,
        |c, r| {
            for side in [Side::A, Side::B] {
                let holds: Vec<_> = c
                    .plan
                    .points
                    .iter()
                    .filter(|(n, p)| p.side == side && c.plan.in_use(n))
                    .filter_map(|(n, p)| Some((n, p.hold()?)))
                    .filter(|(_, h)| !matches!(h, Hold::Edge { .. }))
                    .collect();
                if let [(name, Hold::Tree { diameter, .. })] = holds[..]
                    && diameter.si() >= 0.5
                {
                    r.say(name.clone(), format!("side {side:?} hangs on one tree of {}", m(diameter.si())));
                }
            }
        }
    ),
    rule!(
        "bolt-way-unknown",
        Caution,
        "the way a bolt points is not given",
        "bolts hold less when pulled out than when pulled across",
        "give the way it points",
        PRACTICE,
        |c, r| {
            for (name, p) in c.plan.points.iter().filter(|p| c.plan.in_use(p.0)) {
                if matches!(p.hold(), Some(Hold::Bolt { faces: None, .. })) {
                    r.say(name.clone(), "the way the bolt points is not given; the worst angle is taken");
                }
            }
        }
    ),
    rule!(
        "bolt-pulled-out",
        Caution,
        "a bolt pulled more than 45° from across its axis",
        "15 kN along against 25 kN across",
        "redirect, or add bolts",
        "EN 959:2018 4.3.1, 4.3.2",
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let Some(Hold::Bolt { faces: Some(f), .. }) = p.hold() else {
                    continue;
                };
                let out = glam::DVec3::from_array(*f).normalize_or_zero();
                let worst = c
                    .cases
                    .iter()
                    .map(|s| -s.response.reactions[i])
                    .filter(|f| f.length() > 50.0)
                    .map(|f| (f.normalize().dot(out).asin().to_degrees(), f.length()))
                    .max_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((angle, n)) = worst.filter(|w| w.0 > 45.0) {
                    r.say(name.clone(), format!("pulled {angle:.0}° out of its hole, with up to {}", kn(n)));
                }
            }
        }
    ),
    rule!(
        "bolt-faces-away",
        Caution,
        "a bolt is said to point away from the pull",
        "the way it points is probably given the wrong way round; pulled out it holds less",
        "turn the signs of its direction, or look again",
        PRACTICE,
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let Some(Hold::Bolt { faces: Some(f), .. }) = p.hold() else { continue };
                let out = glam::DVec3::from_array(*f).normalize_or_zero();
                let pulls: Vec<_> = c.cases.iter().map(|s| -s.response.reactions[i]).collect();
                let most = pulls.iter().map(|f| f.length()).fold(0.0, f64::max);
                // The hardest pull tells; what hardly pulls, or hangs from the line's very end, turns any way.
                let pressed =
                    pulls.iter().any(|f| f.length() > 50.0_f64.max(0.999 * most) && f.normalize().dot(out) < -0.5);
                if pressed {
                    r.say(name.clone(), "the pull presses it into the rock, by the way it is said to point");
                }
            }
        }
    ),
    rule!(
        "idle-leg",
        Stop,
        "a leg of a loaded anchor carries nothing in any situation, fall or failure, not even when it alone is cut short",
        "it is counted on and holds nothing until the others have gone",
        "cut it to the way it has to reach, or adjust it under load",
        PRACTICE,
        |c, r| {
            for (p, legs) in c.anchors.iter().filter(|_| !c.partial) {
                let most = |run: usize| {
                    let still = c.cases.iter().map(|s| s.response.run_n[run]);
                    let moving = c.incidents.iter().filter_map(|i| i.peaks.run_n.get(run).copied());
                    still.chain(moving).fold(0.0, f64::max)
                };
                let loads: Vec<(usize, f64)> = legs.iter().map(|&l| (l, most(c.rig.legs[l].run))).collect();
                let whole = loads.iter().map(|l| l.1).fold(0.0, f64::max);
                for (l, load) in loads {
                    if whole > 200.0 && load < 0.01 * whole {
                        let leg = &c.rig.legs[l];
                        let has: f64 = leg.elements.iter().map(|e| e.lay.reach_m).sum();
                        let way: f64 = leg
                            .path
                            .windows(2)
                            .map(|w| c.rig.spots[w[0]].place.distance(c.rig.spots[w[1]].place))
                            .sum();
                        r.say(
                            c.rig.run_names[leg.run].clone(),
                            format!("slack at {}: {} long over a way of {}", c.rig.spots[*p].name, m(has), m(way)),
                        );
                    }
                }
            }
        }
    ),
    rule!(
        "one-leg-carries",
        Stop,
        "one of several legs carries more than nine tenths of its anchor's pull wherever anybody stands",
        "the anchor stands on one fixing, whatever else is drawn",
        "legs of equal give, cut to the way they have to reach, or adjusted under load",
        PRACTICE,
        |c, r| {
            for (p, legs) in c.anchors.iter().filter(|(p, legs)| legs.len() > 1 && c.rig.line.ends.contains(p)) {
                let stands = |s: &&Solved| {
                    let stood = matches!(s.case.situation.cause, Cause::Standing | Cause::Walker { .. });
                    stood && s.case.situation.with.is_empty()
                };
                let shares = c.cases.iter().filter(stands).map(|s| {
                    let pulls = legs.iter().map(|&l| s.response.run_n[c.rig.legs[l].run]);
                    let (whole, most) = pulls.fold((0.0, 0.0_f64), |(w, m), n| (w + n, m.max(n)));
                    if whole > CARRIES_N { most / whole } else { f64::NAN }
                });
                let least = shares.filter(|s| s.is_finite()).fold(f64::INFINITY, f64::min);
                if least > 0.9 && least.is_finite() {
                    let most = |l: &&usize| c.standing().map_or(0.0, |s| s.response.run_n[c.rig.legs[**l].run]);
                    let leg = legs.iter().max_by(|a, b| most(a).total_cmp(&most(b)));
                    let name = leg.map_or("", |l| c.rig.run_names[c.rig.legs[*l].run].as_str());
                    let text =
                        format!("{name} alone carries at least {:.0} % of it, of {} legs", 100.0 * least, legs.len());
                    r.say(c.rig.spots[*p].name.clone(), text);
                }
            }
        }
    ),
    rule!(
        "hard-on-edge",
        Stop,
        "metal, a knot or a splice within 0.3 m of an edge that a leg runs over",
        "hardware levers and breaks over an edge, a knot or a bury is cut there first",
        "another length, so that plain rope or webbing alone lies on the edge, padded",
        PRACTICE,
        |c, r| {
            let Some(standing) = c.standing() else { return };
            let place = |p: usize| standing.response.places[p];
            for leg in &c.rig.legs {
                let mut along = 0.0;
                for w in leg.path.windows(2) {
                    along += place(w[0]).distance(place(w[1]));
                    let name = &c.rig.spots[w[1]].name;
                    let edge = c.plan.points.get(name).is_some_and(|p| matches!(p.hold(), Some(Hold::Edge { .. })));
                    if !edge {
                        continue;
                    }
                    let mut from = 0.0;
                    for (k, e) in leg.elements.iter().enumerate() {
                        let to = from + e.lay.reach_m;
                        // What is soft is hard at its ends, but where it begins at the fixing itself.
                        let soft = e.item.class.is_soft();
                        let off = |m: f64| (m - along).abs();
                        let near = if soft {
                            let ends = [(from, k > 0), (to, k + 1 < leg.elements.len())];
                            ends.into_iter().filter(|e| e.1).map(|e| off(e.0)).fold(f64::INFINITY, f64::min)
                        } else if (from..to).contains(&along) {
                            0.0
                        } else {
                            off(from).min(off(to))
                        };
                        if near < ON_EDGE_M {
                            let text = format!(
                                "part {} ({}) {} {} from the edge at {name}",
                                e.part + 1,
                                e.item.title,
                                if soft { "ends" } else { "lies" },
                                m(near)
                            );
                            r.say(c.rig.run_names[leg.run].clone(), text);
                            break;
                        }
                        from = to;
                    }
                }
            }
        }
    ),
    rule!(
        "late-leg",
        Caution,
        "a leg of a loaded anchor that carries nothing in use or in a fall, not even when it alone is cut short, until another has gone",
        "the anchor stands on fewer legs than it has, and the late one is taken with a jerk",
        "cut it to the way it has to reach, or adjust it under load",
        PRACTICE,
        |c, r| {
            for (p, legs) in &c.anchors {
                let used = |run: usize| {
                    let still = c.cases.iter().map(|s| s.response.run_n[run]);
                    let falls = c.incidents.iter().filter(|i| i.event.class == super::Class::Fall);
                    still.chain(falls.filter_map(|i| i.peaks.run_n.get(run).copied())).fold(0.0, f64::max)
                };
                let after =
                    |run: usize| c.incidents.iter().filter_map(|i| i.peaks.run_n.get(run).copied()).fold(0.0, f64::max);
                let loads: Vec<(usize, f64)> =
                    legs.iter().map(|&l| c.rig.legs[l].run).map(|run| (run, used(run))).collect();
                let whole = loads.iter().map(|l| l.1).fold(0.0, f64::max);
                for (run, load) in loads {
                    // What carries nothing afterwards either is idle, and said as such.
                    if whole > 200.0 && load < 0.01 * whole && after(run) >= 0.01 * whole {
                        let at = &c.rig.spots[*p].name;
                        r.say(
                            c.rig.run_names[run].clone(),
                            format!("slack at {at} until another leg has gone; then {}", kn(after(run))),
                        );
                    }
                }
            }
        }
    ),
    rule!(
        "bolts-too-close",
        Caution,
        "two bolts less than 150 mm apart; a stop under 100 mm",
        "their cones of rock overlap",
        "spread them",
        "rope access practice, no standard for rock; in concrete three times the depth (EN 1992-4)",
        |c, r| {
            let bolts: Vec<_> = c
                .rig
                .spots
                .iter()
                .filter(|s| matches!(c.plan.points.get(&s.name).and_then(|p| p.hold()), Some(Hold::Bolt { .. })))
                .filter(|s| c.plan.in_use(&s.name))
                .collect();
            for (i, a) in bolts.iter().enumerate() {
                for b in &bolts[..i] {
                    let d = a.place.distance(b.place);
                    let text = format!("{} from {}", m(d), b.name);
                    // One cone of rock holds both.
                    if d < 0.1 {
                        r.stop(a.name.clone(), text);
                    } else if d < 0.15 {
                        r.say(a.name.clone(), text);
                    }
                }
            }
        }
    ),
    rule!(
        "wide-legs",
        Caution,
        "an angle over 90° between two legs of an anchor; over 120° a stop",
        "each leg carries more than 0.7 of the pull, at 120° all of it",
        "longer legs",
        PRACTICE,
        |c, r| {
            for (p, legs) in &c.anchors {
                let at = c.rig.spots[*p].place;
                let ways: Vec<_> = legs
                    .iter()
                    .filter_map(|&l| {
                        let path = &c.rig.legs[l].path;
                        if path.len() > 2 {
                            return None;
                        }
                        let other = if path[0] == *p { path[1] } else { path[0] };
                        Some((c.rig.legs[l].run, (c.rig.spots[other].place - at).normalize_or_zero()))
                    })
                    .collect();
                let mut worst = (0.0_f64, 0, 0);
                for (i, a) in ways.iter().enumerate() {
                    for b in &ways[..i] {
                        let angle = a.1.angle_between(b.1).to_degrees();
                        if angle > worst.0 {
                            worst = (angle, a.0, b.0);
                        }
                    }
                }
                let (name, [one, other]) = (&c.rig.spots[*p].name, [worst.2, worst.1].map(|r| &c.rig.run_names[r]));
                let said = format!("{:.0}° between {one} and {other}", worst.0);
                if worst.0 > 120.0 {
                    r.stop(name, said);
                } else if worst.0 > 90.0 {
                    r.say(name, said);
                }
            }
        }
    ),
    rule!(
        "uneven-legs",
        Caution,
        "legs of one anchor differ in stiffness by more than half, cut to fit",
        "the stiff one takes most",
        "legs of one length and kind, or adjust under load",
        PRACTICE,
        |c, r| {
            for (p, legs) in &c.anchors {
                let mut give: Vec<(f64, usize)> = legs
                    .iter()
                    .filter(|&&l| c.rig.legs[l].share.is_none())
                    .filter_map(|&l| {
                        let chain = c.rig.chain(l, 0.0, &crate::rig::Load::default())?;
                        Some(((chain.length(3000.0) - chain.slack_m()) / 3000.0, c.rig.legs[l].run))
                    })
                    .collect();
                give.sort_by(|a, b| a.0.total_cmp(&b.0));
                if let (Some(stiff), Some(soft)) = (give.first(), give.last())
                    && soft.0 > 1.5 * stiff.0
                {
                    r.say(
                        c.rig.spots[*p].name.clone(),
                        format!(
                            "{} is {:.1} times as stiff as {}{}",
                            c.rig.run_names[stiff.1],
                            soft.0 / stiff.0,
                            c.rig.run_names[soft.1],
                            c.standing().map_or_else(String::new, |s| {
                                let share = |&(_, run): &(f64, usize)| {
                                    format!("{} {}", c.rig.run_names[run], kn(s.response.run_n[run]))
                                };
                                format!("; standing {}", give.iter().map(share).collect::<Vec<_>>().join(", "))
                            })
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "poor-tree",
        Caution,
        "a tree under 40 cm thick, or slung above 1 m; under 30 cm, or above 1.5 m, a stop",
        "it may bend, overturn or be girdled",
        "a thicker tree, several, slung low, with a bark pad",
        "slackline associations: 40 or 50 cm; common practice",
        |c, r| {
            for (name, p) in c.plan.points.iter().filter(|p| c.plan.in_use(p.0)) {
                let Some(Hold::Tree { diameter, slung_at, .. }) = p.hold() else {
                    continue;
                };
                if diameter.si() < 0.4 {
                    let said = format!("the trunk is {} thick", m(diameter.si()));
                    if diameter.si() < 0.3 { r.stop(name.clone(), said) } else { r.say(name.clone(), said) }
                }
                if let Some(h) = slung_at.map(Quantity::si).filter(|h| *h > 1.0) {
                    let said = format!("slung {} above the ground", m(h));
                    // It bends and turns over with the height; what it holds was judged low.
                    if h > 1.5 { r.stop(name.clone(), said) } else { r.say(name.clone(), said) }
                }
            }
        }
    ),
    rule!(
        "judged-over-figures",
        Stop,
        "a stated strength of a block, vehicle or deadman more than a tenth above what its own mass, friction and slope give",
        "one of the two is wrong, and people hang on it",
        "weigh it, pull it with a load cell, or write the lower figure",
        "statics of a block on its slope",
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let Some(hold) = p.hold() else { continue };
                let hardest =
                    c.cases.iter().map(|s| -s.response.reactions[i]).max_by(|a, b| a.length().total_cmp(&b.length()));
                let Some(pull) = hardest.filter(|f| f.length() > 1.0) else { continue };
                if let Some((stated, figures)) = crate::review::hold::stated_over_figures(hold, pull)
                    && stated > 1.1 * figures
                {
                    r.say(
                        name.clone(),
                        format!("stated {}, by mass, friction and slope {}: the lower counts", kn(stated), kn(figures)),
                    );
                }
            }
        }
    ),
    rule!(
        "edge-cannot-pull",
        Stop,
        "a run would lift off an edge that it is led over",
        "the rig as drawn has no equilibrium there",
        "move the edge point, or leave it out",
        PRACTICE,
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let Some(Hold::Edge { outward, .. }) = p.hold() else {
                    continue;
                };
                let out = glam::DVec3::from_array(*outward).normalize_or_zero();
                if let Some(s) = c.cases.iter().find(|s| s.response.reactions[i].dot(out) < -LIFTS_N) {
                    r.say(
                        name.clone(),
                        format!(
                            "the edge would have to pull with {} in {}",
                            kn(-s.response.reactions[i].dot(out)),
                            s.case.situation
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "free-points-far",
        Caution,
        "a master rests far from where its legs were cut for",
        "legs made for one place do not fit another",
        "look first for what pulls it there (a taut backup, a short leg); else move its `near` place to where it rests",
        PRACTICE,
        |c, r| {
            let Some(s) = c.standing() else {
                return;
            };
            for (i, spot) in c.rig.spots.iter().enumerate() {
                let d = s.response.places[i].distance(spot.place);
                let pulled = s.response.forces[i].iter().any(|f| f.force.length() > 50.0);
                if matches!(c.plan.points.get_index(i).map(|(_, p)| &p.kind), Some(PointKind::Free { .. }))
                    && d > 0.3
                    && pulled
                {
                    r.say(spot.name.clone(), format!("rests {} from its place in the plan", m(d)));
                }
            }
        }
    ),
    rule!(
        "legs-move",
        Caution,
        "a master that moves by more than 10 cm when one of its legs goes",
        "the line jerks, and what lies on rock is dragged over it",
        "limit the sliding: knots, shorter arms, fixed legs",
        "statics of the rig without the leg, one walker in the middle; 10 cm is common practice",
        |c, r| {
            for (point, _) in &c.anchors {
                let of = c.moves.iter().filter(|m| m.1 == *point && m.2 > 0.1);
                if let Some((leg, _, d)) = of.max_by(|a, b| a.2.total_cmp(&b.2)) {
                    let run = &c.rig.run_names[c.rig.legs[*leg].run];
                    r.say(c.rig.spots[*point].name.clone(), format!("moves {} when {run} goes", m(*d)));
                }
            }
        }
    ),
    rule!(
        "friction-anchor",
        Caution,
        "an anchor that holds by its weight and friction alone",
        "wet ground, a slope, a shaken vehicle: friction is the least certain of all strengths",
        "dig it in, wedge it, hold it back to something that stands",
        "statics of a block; common practice",
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let (Some(Hold::Boulder(b) | Hold::Vehicle(b) | Hold::Deadman(b) | Hold::Thread(b)), true) =
                    (p.hold(), c.cases.iter().any(|s| s.response.reactions[i].length() > 50.0))
                else {
                    continue;
                };
                if let (None, Some(mass), Some(mu)) = (&b.rating, b.mass, b.friction) {
                    let worst = c.rows.iter().filter(|r| matches!(&r.place, super::Place::Anchor(a) if a == name));
                    if let Some(row) = worst.min_by(|a, b| a.worst_first(b)) {
                        let holds = row.strength.counts_n().map_or_else(|| "nothing".to_owned(), kn);
                        let pull = kn(row.demand_n);
                        let t = mass.si() / 1000.0;
                        r.say(name.clone(), format!("{t:.1} t at friction {mu} holds {holds}, pulled with {pull}"));
                    }
                }
            }
        }
    ),
    rule!(
        "redirect",
        Note,
        "a run that turns by more than 30° over a fixed point",
        "what it is redirected by carries a resultant of its own",
        "read what that point carries; a flatter way, a stronger point",
        "statics: 2 T sin(half the turn)",
        |c, r| {
            for leg in c.rig.legs.iter().filter(|l| l.path.len() > 2 && l.path.first() != l.path.last()) {
                for w in leg.path.windows(3) {
                    let [a, at, b] = [w[0], w[1], w[2]].map(|p| &c.rig.spots[p]);
                    let turn = (at.place - a.place).angle_between(b.place - at.place).to_degrees();
                    if at.fixed && turn > 30.0 {
                        let n = c.cases.iter().map(|s| s.response.reactions[w[1]].length()).fold(0.0, f64::max);
                        let run = &c.rig.run_names[leg.run];
                        r.say(at.name.clone(), format!("{run} turns {turn:.0}° here and presses with up to {}", kn(n)));
                    }
                }
            }
        }
    ),
];
