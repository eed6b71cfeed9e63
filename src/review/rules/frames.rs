//! Rules about frames and edges.

use glam::DVec3;

use super::{Class, Context, Gravity, Hold, PRACTICE, PointKind, Role, Rule, kn, m, rule};
use crate::mechanics::edge::drawn_over_m;
use crate::plan::frame::Stands;
use crate::review::{Cause, FrameAt};
use crate::units::mm;

/// Stiffness against leaning over what the thrust needs: under the first it does not count as standing, under the second it is
/// little. Common practice, no source.
const STANDS: [f64; 2] = [1.5, 3.0];
/// Lean that is worth a word, and that is much, degrees. Common practice, no source.
const LEANS_DEG: [f64; 2] = [10.0, 20.0];
/// A line that turns more than this over a head pushes it over, degrees. Common practice, no source.
const TURNS_DEG: f64 = 30.0;
/// What resists a way pulls at least so much along it.
const RESISTS: f64 = 0.1;
/// A run drawn over an edge further than this saws, m. Common practice, no source.
const SAWS_M: f64 = 0.01;

fn worst<'a>(states: impl Iterator<Item = &'a FrameAt>) -> Option<&'a FrameAt> {
    states.min_by(|a, b| a.stiffness_ratio.unwrap_or(0.0).total_cmp(&b.stiffness_ratio.unwrap_or(0.0)))
}

/// The ways from a head along what ends there and leads to the ground: guys and legs that can hold it.
fn holds(c: &Context<'_>, head: usize) -> Vec<DVec3> {
    let place = |p: usize| c.rig.spots[p].place;
    let ends = c.rig.legs.iter().filter_map(|l| match l.path.as_slice() {
        [first, next, ..] if *first == head => Some(*next),
        [.., before, last] if *last == head => Some(*before),
        _ => None,
    });
    ends.map(|p| (place(p) - place(head)).normalize_or_zero()).collect()
}

/// Rules about frames and edges.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "frame-not-judged",
        Caution,
        "a point is the head of a frame of which nothing is said",
        "a frame pushes, and pushed things fall over",
        "struts: [Strut(…), …] in its Frame(…), and its guys as runs of their own",
        PRACTICE,
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                if matches!(p.hold(), Some(Hold::Frame(None))) {
                    let n = c.cases.iter().map(|s| s.response.reactions[i].length()).fold(0.0, f64::max);
                    r.say(
                        name.clone(),
                        format!("the frame carries up to {} at its head; the frame itself has not been judged", kn(n)),
                    );
                }
            }
        }
    ),
    rule!(
        "frame-falls",
        Stop,
        "a frame has no rest that it is pushed back to, or side stiffness under 1.5 of what its thrust needs",
        "it balances like a broom on a hand, and falls over with everything that is led over it",
        "guys fore and aft, stiffer or flatter; an anchor behind it that the line pulls straight through",
        "stability of a head on struts: V″ > 0; the margin by common practice",
        |c, r| {
            for f in c.frames {
                if let Some(s) = f.falls().next() {
                    let all = f.falls().count();
                    let balances = match f.balances_deg.first() {
                        Some(lean) => format!("; it balances leaning {lean:.0}°, and falls from there"),
                        None => String::new(),
                    };
                    let more = if all > 1 { format!(", and {} more", all - 1) } else { String::new() };
                    r.say(f.point.clone(), format!("it does not stand: {}{more}{balances}", s.situation));
                } else if let Some(s) = worst(f.states.iter().filter(|s| s.stiffness_ratio.is_some()))
                    && let Some(k) = s.stiffness_ratio.filter(|k| *k < STANDS[1])
                {
                    let text = format!("side stiffness {k:.1} times what its thrust needs: {}", s.situation);
                    if k < STANDS[0] {
                        r.say(f.point.clone(), text);
                    } else {
                        r.caution(f.point.clone(), text);
                    }
                }
            }
        }
    ),
    rule!(
        "frame-lifts",
        Stop,
        "a strut of a frame would have to be held down",
        "a foot that lifts takes the frame with it",
        "a head that lies between the feet and the way that everything pulls it",
        PRACTICE,
        |c, r| {
            for f in c.frames {
                if let Some((s, k)) = f.lifts() {
                    let n = s.struts[k].thrust_n.min(s.struts[k].down_n);
                    r.say(f.point.clone(), format!("strut {} pulls up with {}: {}", k + 1, kn(-n), s.situation));
                }
            }
        }
    ),
    rule!(
        "frame-not-guyed",
        Stop,
        "nothing that ends at a frame's head holds it back one of the ways that it may lean",
        "a leg that slides over the head holds it neither way",
        "a guy to either side of the struts' plane; three all round a single strut",
        PRACTICE,
        |c, r| {
            for of in &c.rig.frames {
                let held = holds(c, of.point);
                let out = (of.drawn - of.middle()).normalize_or_zero();
                let resists = |way: DVec3| held.iter().any(|q| q.dot(way) > RESISTS);
                let open = match of.struts.as_slice() {
                    [a, b] => {
                        let t = (b.foot - a.foot).normalize_or_zero().cross(out);
                        [t, -t].into_iter().find(|w| !resists(*w))
                    }
                    [_] => {
                        let (x, y) = (out.any_orthonormal_vector(), out.cross(out.any_orthonormal_vector()));
                        let round = (0..16).map(|k| std::f64::consts::TAU * f64::from(k) / 16.0);
                        round.map(|a| x * a.cos() + y * a.sin()).find(|w| !resists(*w))
                    }
                    _ => None,
                };
                if let Some(way) = open {
                    let name = &c.rig.spots[of.point].name;
                    let (x, y) = (way.x.abs() > way.y.abs(), way.y > 0.0);
                    let towards = match (x, way.x > 0.0, y) {
                        (true, true, _) => "towards A",
                        (true, false, _) => "towards B",
                        (false, _, true) => "to the right, seen from A",
                        (false, _, false) => "to the left, seen from A",
                    };
                    r.say(name.clone(), format!("nothing keeps it from falling {towards}"));
                }
            }
        }
    ),
    rule!(
        "foot-slides",
        Stop,
        "a foot of a frame pushes along the ground harder than friction holds",
        "when a foot slides out, the head comes down",
        "a hobble between the feet, a socket or a pin, a steeper strut",
        PRACTICE,
        |c, r| {
            for row in c.rows.iter().filter(|row| row.kind == crate::review::Kind::Foot && row.factor < 1.0) {
                r.say(
                    row.place.to_string(),
                    format!("pushes with {}, held by {}, {}", kn(row.demand_n), kn(row.strength.low_n), row.case()),
                );
            }
        }
    ),
    rule!(
        "friction-foot",
        Caution,
        "a foot of a frame is held by friction alone",
        "moss, dew and a kick are not in the coefficient",
        "a socket, a pin, or a hobble between the feet",
        PRACTICE,
        |c, r| {
            for (name, frame) in c.plan.points.iter().filter_map(|(n, p)| Some((n, p.hold()?.frame()?))) {
                let loose = frame.struts.iter().filter(|s| matches!(s.stands, Stands::On { .. })).count();
                if loose > 0 {
                    let across = if frame.hobble.is_some() { ", and across the hobble" } else { "" };
                    r.say(name.clone(), format!("{loose} of {} feet{across}", frame.struts.len()));
                }
            }
        }
    ),
    rule!(
        "hobble-length",
        Stop,
        "a hobble is shorter than the way between its feet, or so long that it hangs slack",
        "too short it cannot be put on; slack it holds no foot until the frame has spread",
        "a rope cut or tied to the way between the feet, pulled taut",
        PRACTICE,
        |c, r| {
            for (name, frame) in c.plan.points.iter().filter_map(|(n, p)| Some((n, p.hold()?.frame()?))) {
                if frame.hobble.is_none() {
                    continue;
                }
                match frame.hobble_ratio(c.catalogue) {
                    None => r.say(name.clone(), "how long it is is not said: it is counted as slack"),
                    Some(k) if k < 1.0 - crate::plan::frame::SLACK => {
                        r.say(name.clone(), format!("{:.0} % of the way between the feet", 100.0 * k));
                    }
                    Some(k) if k > 1.0 + crate::plan::frame::SLACK => {
                        r.say(name.clone(), format!("{:.0} % of the way between the feet: it ties nothing", 100.0 * k));
                    }
                    Some(_) => {}
                }
            }
        }
    ),
    rule!(
        "guy-slack",
        Caution,
        "a guy hangs slack in a situation that is meant to happen",
        "until it comes taut nothing holds the head that way",
        "set it tauter, or of what gives less",
        PRACTICE,
        |c, r| {
            for (run, name, _) in c.runs().filter(|(_, _, run)| run.role == Role::Guy) {
                let slack = c.cases.iter().find(|s| s.case.class == Class::Working && s.response.run_n[run] < 1.0);
                if let Some(s) = slack {
                    r.say(name, s.case.situation.to_string());
                }
            }
        }
    ),
    rule!(
        "frame-leans",
        Note,
        "a frame leans more than 10° from where it is drawn; more than 20° a caution",
        "it was drawn to stand otherwise, and its guys are set for that",
        "draw it where it rests, or set its guys tauter",
        PRACTICE,
        |c, r| {
            for f in c.frames {
                if let Some(s) = f.most_lean().filter(|s| s.lean_deg.abs() > LEANS_DEG[0]) {
                    let text = format!("{:.0}°: {}", s.lean_deg, s.situation);
                    if s.lean_deg.abs() > LEANS_DEG[1] {
                        r.caution(f.point.clone(), text);
                    } else {
                        r.say(f.point.clone(), text);
                    }
                }
            }
        }
    ),
    rule!(
        "frame-nudged",
        Caution,
        "a frame stands, but not when nudged by 5 cm",
        "somebody leans on it, a foot settles, a guy is bumped",
        "tauter or stiffer guys",
        PRACTICE,
        |c, r| {
            for f in c.frames {
                if let Some(s) = f.nudged().next() {
                    r.say(f.point.clone(), format!("{}, and {} more", s.situation, f.nudged().count() - 1));
                }
            }
        }
    ),
    rule!(
        "frame-elsewhere",
        Caution,
        "a frame may rest leaning otherwise as well",
        "bumped far enough it comes to stand there, with other forces in everything",
        "guys that leave it one place to rest",
        "looked for every two and a half degrees: what lies between may be missed",
        |c, r| {
            for f in c.frames {
                let leans: Vec<String> = f.rests_also_deg.iter().map(|d| format!("{d:.0}°")).collect();
                if !leans.is_empty() {
                    r.say(f.point.clone(), leans.join(", "));
                }
            }
        }
    ),
    rule!(
        "frame-is-the-anchor",
        Stop,
        "a run of the line ends at a frame's head, and no leg leads on from there to an anchor",
        "struts push; what the line pulls with has to be held by something behind them",
        "lead the legs over the head to an anchor, or a back stay from the head",
        PRACTICE,
        |c, r| {
            for (name, p) in c.plan.points.iter().filter(|(_, p)| p.hold().is_some_and(|h| matches!(h, Hold::Frame(_))))
            {
                let Some(head) = c.rig.spot(name) else { continue };
                let out = if p.side == crate::plan::Side::A { 1.0 } else { -1.0 };
                let here = c.rig.spots[head].place;
                let ends = |path: &[usize]| path.first() == Some(&head) || path.last() == Some(&head);
                let towards_gap = |path: &[usize]| path.iter().any(|q| (c.rig.spots[*q].place.x - here.x) * out > 0.3);
                let guy = |run: usize| c.plan.runs.get_index(run).is_some_and(|(_, r)| r.role == Role::Guy);
                let pulled = c.rig.line.ends.contains(&head)
                    || c.rig.legs.iter().any(|l| ends(&l.path) && !guy(l.run) && towards_gap(&l.path));
                let back = c.rig.legs.iter().any(|l| l.path.contains(&head) && !guy(l.run) && !towards_gap(&l.path));
                if pulled && !back {
                    r.say(name.clone(), "what pulls there ends there");
                }
            }
        }
    ),
    rule!(
        "head-turns",
        Caution,
        "a run turns more than 30° over a frame's head",
        "the more it turns the more it presses down on the head, and across the struts",
        "a lower head, or an anchor further behind",
        PRACTICE,
        |c, r| {
            for (of, leg) in c.rig.frames.iter().flat_map(|f| c.rig.legs.iter().map(move |l| (f, l))) {
                let over = |w: &&[usize]| w[1] == of.point;
                let Some(w) = leg.path.windows(3).find(over) else { continue };
                // Whoever walks there; a bounce next to the head turns it more, and is over at once.
                let still = |s: &&super::Solved| {
                    matches!(s.case.situation.cause, Cause::Standing | Cause::Walker { .. })
                        && s.response.run_n[leg.run] > 0.0
                };
                let near = |s: &&super::Solved| {
                    let x = s.case.situation.place().map(|at| at * c.span_m());
                    let [a, b] = c.plan.people.seated.map(crate::units::Quantity::si);
                    x.is_none_or(|x| x >= a && x <= c.span_m() - b)
                };
                let turns = c.cases.iter().filter(still).filter(near);
                let turn = |s: &super::Solved| {
                    let at = |k: usize| s.response.places[w[k]];
                    (at(1) - at(0)).angle_between(at(2) - at(1)).to_degrees()
                };
                let most = turns.map(|s| (turn(s), s)).max_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((turn, s)) = most.filter(|m| m.0 > TURNS_DEG) {
                    let words = s.case.situation.to_string();
                    r.say(
                        c.rig.spots[of.point].name.clone(),
                        format!("{turn:.0}°, {}: {words}", c.rig.run_names[leg.run]),
                    );
                }
            }
        }
    ),
    rule!(
        "frame-held-still",
        Note,
        "falls and losses are played with a frame's head held where it stands",
        "what the head sees there is put on struts and guys at rest afterwards; that it swings is not played",
        "read its figures in falls as near, not exact",
        "the program",
        |c, r| {
            for f in c.frames {
                let jerked = f.states.iter().filter(|s| s.class != Class::Working);
                let most = |s: &FrameAt| s.struts.iter().map(|k| k.thrust_n).fold(0.0, f64::max);
                if let Some(s) = jerked.max_by(|a, b| most(a).total_cmp(&most(b))) {
                    r.say(f.point.clone(), format!("up to {} in a strut: {}", kn(most(s)), s.situation));
                }
            }
        }
    ),
    rule!(
        "edge-saws",
        Caution,
        "a run is drawn more than 10 mm over an edge between standing and its hardest work",
        "every step draws it there and back, over the same strands",
        "a roller or a pad; a stiffer run behind the edge; an anchor nearer to it",
        PRACTICE,
        |c, r| {
            let Some(standing) = c.standing() else { return };
            for leg in &c.rig.legs {
                for (k, &p) in leg.path.iter().enumerate().skip(1).take(leg.path.len().saturating_sub(2)) {
                    let edge = c.plan.points.get_index(p).and_then(|(n, p)| Some((n, p.hold()?)));
                    let Some((name, Hold::Edge { roller: false, item: None, .. })) = edge else { continue };
                    let behind: f64 = leg.path[..=k]
                        .windows(2)
                        .map(|w| c.rig.spots[w[0]].place.distance(c.rig.spots[w[1]].place))
                        .sum();
                    let soft = || leg.elements.iter().filter(|e| e.item.class.is_soft());
                    let whole: f64 = soft().map(|e| e.length_m).sum();
                    let strain = |n: f64| {
                        soft().map(|e| e.law.at(n / e.lay.strands).0 * e.length_m / whole.max(1e-9)).sum::<f64>()
                    };
                    let most = c
                        .cases
                        .iter()
                        .filter(|s| s.case.class == Class::Working)
                        .map(|s| s.response.run_n[leg.run])
                        .fold(0.0, f64::max);
                    let drawn = drawn_over_m(behind, strain(standing.response.run_n[leg.run]), strain(most));
                    if drawn > SAWS_M {
                        r.say(
                            name.clone(),
                            format!("{}: {} of {} behind it", c.rig.run_names[leg.run], mm(drawn), m(behind)),
                        );
                    }
                }
            }
        }
    ),
    rule!(
        "edge-radius",
        Caution,
        "a run bends over an edge of which nobody has said how round it is",
        "how much of its strength a run keeps over an edge goes by its radius over the run's thickness",
        "radius: \"8 mm\" of the edge, or a roller there",
        PRACTICE,
        |c, r| {
            for (name, p) in &c.plan.points {
                let PointKind::Fixed { by: Hold::Edge { radius: None, item: None, roller, .. }, .. } = &p.kind else {
                    continue;
                };
                let led = c.plan.runs.values().any(|run| run.path.iter().any(|q| q == name));
                if led && !roller {
                    r.say(name.clone(), "counted as a sharp edge");
                }
            }
        }
    ),
];
