//! Rules about the main line and its backup.

use super::{Class, Connected, EndKind, Fibre, Gravity, Hold, PRACTICE, Quantity, Role, Rule, at_part, kn, m, rule};
use crate::plan::PartLength;
use crate::review::{Cause, Situation};

/// Places of each span that are looked at for ground under it.
const LOOKS: usize = 100;
/// So near to its ends the line may lie on what these stand on, m.
const AT_ENDS_M: f64 = 0.5;

/// Rules about the main line and its backup.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "line-on-ground",
        Stop,
        "the line lies on ground or obstacle between its ends, standing, in the storm or walked in the middle",
        "it saws there, main and backup at one place, and nobody sees it",
        "a higher anchor, a frame, the line led past it; nearer ends, so that it begins beyond the lip",
        "statics of the line over the ground profile",
        |c, r| {
            let ground = &c.body.ground;
            let ends = c.rig.line.ends;
            let middle = |s: &&super::Solved| {
                s.case.class == Class::Working
                    && s.case.lowers()
                    && (s.case.situation.cause == Cause::Standing || s.case.situation == Situation::walker(0.5))
            };
            // How deep, where.
            let mut worst: Option<(f64, f64)> = None;
            for s in c.cases.iter().filter(middle) {
                let [a, b] = ends.map(|e| s.solution.places[e].x);
                for p in s.net.shape(&s.solution, LOOKS) {
                    let inside = p.x > a + AT_ENDS_M && p.x < b - AT_ENDS_M;
                    let under = ground.top_at(p.x).filter(|_| inside).map(|(top, _)| top - p.z);
                    if let Some(deep) = under.filter(|d| *d > 0.0 && worst.is_none_or(|w| *d > w.0)) {
                        worst = Some((deep, p.x));
                    }
                }
            }
            if let Some((deep, x_m)) = worst {
                r.say("", format!("{} into it at {} from A", m(deep), m(x_m)));
            }
        }
    ),
    rule!(
        "main-and-backup-share",
        Stop,
        "main and backup end at one point or in one piece, or all of the backup hangs on one bolt of the main",
        "a hidden single point",
        "give the backup a master of its own",
        PRACTICE,
        |c, r| {
            let ends = |role: fn(&Role) -> bool| {
                c.runs().find(|(_, _, run)| role(&run.role)).map(|(_, _, run)| run.path.clone()).unwrap_or_default()
            };
            let main = ends(|r| *r == Role::Main);
            for p in ends(|r| matches!(r, Role::Backup { .. })) {
                if main.contains(&p) {
                    let hardware = c
                        .plan
                        .points
                        .get(&p)
                        .and_then(|p| p.hardware.clone())
                        .unwrap_or_else(|| "one point".to_owned());
                    r.say(p.clone(), format!("main and backup both end at {p} ({hardware})"));
                } else if !reaches_ground(c, &p, &main) {
                    r.say(p.clone(), format!("every way from {p} to the ground leads over what the main line ends at"));
                }
                let under = fixed_under(c, &p);
                let ends = main.iter().filter(|e| **e != p).flat_map(|e| fixed_under(c, e)).collect::<Vec<_>>();
                if let [one] = &under[..]
                    && matches!(c.plan.points.get(one).and_then(|p| p.hold()), Some(Hold::Bolt { .. }))
                    && ends.contains(one)
                {
                    r.say(p.clone(), format!("all of the backup hangs on {one} there, and so does the main line"));
                }
            }
        }
    ),
    rule!(
        "joint-not-tied",
        Stop,
        "a joint of the main line at which the backup is not tied, while it is at others",
        "where the main goes there, two segments fall as one: twice the drop, and a second joint to slide to",
        "tie every joint",
        PRACTICE,
        |c, r| {
            let line = &c.rig.line;
            let tied = |at: &std::ops::RangeInclusive<usize>| line.joints.iter().any(|j| at.contains(&j.after));
            for at in line.between_lengths().iter().filter(|at| !line.joints.is_empty() && !tied(at)) {
                r.say("main", format!("the joint after its part {} is passed by", at.start() + 1));
            }
        }
    ),
    rule!(
        "odd-length",
        Caution,
        "one length of the main line differs by up to a fifth from all others, which are alike",
        "a figure was mistaken for another, and the whole line stands tighter or slacker for it",
        "measure it again, or say why in a note",
        PRACTICE,
        |c, r| {
            let cut = c.runs().filter(|(_, _, run)| run.role == Role::Main).flat_map(|(_, _, run)| &run.parts);
            let lengths: Vec<(usize, f64)> = cut
                .enumerate()
                .filter(|(_, p)| c.item(&p.item).is_some_and(|i| i.class.is_cut()))
                .filter_map(|(k, p)| if let PartLength::Is(l) = p.length { Some((k + 1, l.si())) } else { None })
                .collect();
            for &(k, odd) in lengths.iter().filter(|_| lengths.len() > 3) {
                let mut rest = lengths.iter().filter(|l| l.0 != k).map(|l| l.1);
                let first = rest.next().unwrap_or(odd);
                let (apart, alike) = ((odd / first - 1.0).abs(), rest.all(|l| (l / first - 1.0).abs() < 0.01));
                if alike && (0.02..0.2).contains(&apart) {
                    r.say(format!("main, part {k}"), format!("{} long, all others {}", m(odd), m(first)));
                }
            }
        }
    ),
    rule!(
        "standing-too-tight",
        Caution,
        "standing tension over a fifth of the main line's strength, or less than five times its load left in use",
        "creep, fatigue, and a taut line is cut by a touch",
        "less tension, or a stronger line",
        PRACTICE,
        |c, r| {
            let standing = c.standing().map(|s| s.response.line_n[0].max(s.response.line_n[1]));
            // Over 500 m a quarter is usual, and no harm while the falls keep three times.
            let share = if c.span_m() > 500.0 { 0.25 } else { 0.2 };
            if let (Some(t), Some(item)) = (standing, c.main_item())
                && let Some(n) = item.strength_n().filter(|n| t > share * n)
            {
                r.say("", format!("standing {} is {:.0} % of {}", kn(t), 100.0 * t / n, kn(n)));
            }
            // In use a fifth of what its ends leave, whatever factor the plan asks for.
            let line = c.rows.iter().filter(|r| r.kind == crate::review::factors::Kind::Main);
            let use_of = line.filter(|r| r.class == super::Class::Working && r.factor < 5.0);
            if let (Some(t), Some(row)) = (standing, use_of.min_by(|a, b| a.factor.total_cmp(&b.factor))) {
                let keeps = row.strength.counts_n().unwrap_or(0.0);
                // Where little of it is tension, less tension is no remedy.
                if t < 0.15 * keeps {
                    return;
                }
                r.say("", format!(
                    "standing {} is {:.0} % of the {} that its ends leave, and {} times is all it keeps in use ({})",
                    kn(t), 100.0 * t / keeps, kn(keeps), crate::review::factor_text(row.factor), row.case()
                ));
            }
        }
    ),
    rule!(
        "backup-carries",
        Caution,
        "a backup that carries more than a twentieth of the standing tension with nobody on the line",
        "it creeps, ages and is cut with the main line, and its slack is not there when it is wanted",
        "more excess: a backup hangs slack",
        PRACTICE,
        |c, r| {
            let Some(s) = c.standing() else { return };
            let backup = s.response.backup_n.iter().copied().fold(0.0, f64::max);
            let line = s.response.line_n[0].max(s.response.line_n[1]);
            if backup > 0.05 * line {
                r.say(
                    "",
                    format!("the backup carries {} beside the main line's {} with nobody on it", kn(backup), kn(line)),
                );
            }
        }
    ),
    rule!(
        "rule-of-three",
        Stop,
        "the main line below three times its load in use or in a leash fall, whatever factor the plan asks for",
        "the rule of three: what is not known of a line is as much as that",
        "a thicker line, less tension, a softer line",
        PRACTICE,
        |c, r| {
            let line = c.rows.iter().filter(|r| r.kind == crate::review::factors::Kind::Main);
            let least = line.filter(|r| r.class != super::Class::Failure && r.factor < 3.0);
            if let Some(row) = least.min_by(|a, b| a.factor.total_cmp(&b.factor)) {
                let factor = crate::review::factor_text(row.factor);
                r.say(
                    row.place.to_string(),
                    format!("keeps {factor} times its hardest pull, {} in {}", kn(row.demand_n), row.case()),
                );
            }
        }
    ),
    rule!(
        "one-piece-for-both",
        Stop,
        "one article, by its `piece` name, in main and backup, in the legs of both, or in every leg of one anchor",
        "a hidden single point",
        "two pieces",
        PRACTICE,
        |c, r| {
            let carries = |run: usize, role: fn(&Role) -> bool| {
                let path = &c.plan.runs[run].path;
                role(&c.plan.runs[run].role)
                    || c.runs().any(|(_, _, r)| role(&r.role) && r.path.iter().any(|p| path.contains(p)))
            };
            let mut seen: std::collections::BTreeMap<&str, [bool; 2]> = std::collections::BTreeMap::new();
            for (i, _, _, part, _) in c.parts() {
                if let Some(piece) = &part.piece {
                    let both = seen.entry(piece).or_default();
                    both[0] |= carries(i, |r| *r == Role::Main);
                    both[1] |= carries(i, |r| matches!(r, Role::Backup { .. }));
                }
            }
            for (piece, _) in seen.into_iter().filter(|(_, both)| *both == [true; 2]) {
                r.say("", format!("“{piece}” holds main and backup"));
            }
            let of = |leg: usize| {
                let run = &c.plan.runs[c.rig.legs[leg].run];
                run.parts.iter().filter_map(|p| p.piece.as_deref()).collect::<Vec<_>>()
            };
            for (point, legs) in &c.anchors {
                let Some((first, others)) = legs.split_first().filter(|(_, o)| !o.is_empty()) else { continue };
                let shared = of(*first).into_iter().find(|piece| others.iter().all(|l| of(*l).contains(piece)));
                if let Some(piece) = shared {
                    r.say(c.rig.spots[*point].name.clone(), format!("“{piece}” is in every leg of it"));
                }
            }
        }
    ),
    rule!(
        "retension",
        Note,
        "a main line of nylon or polyester",
        "it gives way a little under a standing load: a tenth to a quarter of the tension is gone within a day",
        "measure and tension again after an hour, and the next day",
        PRACTICE,
        |c, r| {
            let standing = c.standing().map(|s| s.response.line_n[0]);
            let relaxes = |i: &&crate::catalogue::Item| matches!(i.fibre, Fibre::Nylon | Fibre::Polyester);
            if let (Some(t), Some(item)) = (standing, c.main_item().filter(relaxes)) {
                let (high, low) = (kn(0.9 * t), kn(0.75 * t));
                r.say("", format!("{}: of {} standing expect {low} to {high} after a day", item.title, kn(t)));
            }
        }
    ),
    rule!(
        "stiff-short-line",
        Caution,
        "a low-stretch main line under 50 m",
        "hard falls on body and anchors",
        "nylon or polyester on short lines",
        PRACTICE,
        |c, r| {
            if let Some(item) = c
                .main_item()
                .filter(|i| matches!(i.fibre, Fibre::Hmpe | Fibre::Aramid | Fibre::Hybrid) && c.span_m() < 50.0)
            {
                r.say("", format!("{} over {}", item.title, m(c.span_m())));
            }
        }
    ),
    rule!("no-backup", Stop, "there is no backup line", "one cut is total", "add one", PRACTICE, |c, r| {
        if c.backup_item().is_none() {
            r.say("", "no run backs the main line up");
        }
    }),
    rule!(
        "backup-weaker",
        Caution,
        "the backup is weaker than the main line",
        "it carries the fall when the main has gone",
        "the same class or better",
        PRACTICE,
        |c, r| {
            let weakest = |role: fn(&Role) -> bool| {
                c.runs()
                    .filter(|(_, _, run)| role(&run.role))
                    .flat_map(|(i, _, _)| {
                        c.strengths[i].iter().flatten().filter_map(crate::review::strength::Strength::counts_n)
                    })
                    .fold(f64::INFINITY, f64::min)
            };
            let (main, backup) = (weakest(|r| *r == Role::Main), weakest(|r| matches!(r, Role::Backup { .. })));
            if backup < 0.98 * main {
                r.say("", format!("the backup holds {}, the main line {}", kn(backup), kn(main)));
            }
        }
    ),
    rule!(
        "long-excess",
        Caution,
        "more than 8 % excess without connections between",
        "the walker falls far before it catches",
        "connect it to the main line, less excess",
        PRACTICE,
        |c, r| {
            for (_, name, run) in c.runs() {
                if let Role::Backup { excess, connected: Connected::AtEnds, .. } = &run.role
                    && *excess > 0.08
                {
                    r.say(name, format!("{:.0} % excess over {} without a connection", 100.0 * excess, m(c.span_m())));
                }
            }
        }
    ),
    rule!(
        "backup-length",
        Stop,
        "a length stated for a backup's webbing that is not what its excess gives",
        "one of the two is not how it will hang: the excess counts here, and a catch falls as far as the webbing is long",
        "leave the length out, or state the excess that it makes",
        "the plan itself",
        |c, r| {
            let Some(backup) = &c.rig.backup else { return };
            let Some((name, run)) = c.plan.runs.get_index(backup.run) else { return };
            let joints = &c.rig.line.joints;
            let mut soft_m = vec![0.0; joints.len() + 1];
            let standing = c.standing();
            for (i, e) in c.rig.line.elements.iter().enumerate().filter(|(_, e)| e.item.class.is_soft()) {
                let of = joints.iter().filter(|j| j.after < i).count();
                let target = c.rig.line.target.is_some_and(|(t, _)| t == i);
                let rest: f64 =
                    c.rig.line.elements.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, e)| e.length_m).sum();
                soft_m[of] += if target { standing.map_or(f64::NAN, |s| s.line_m - rest) } else { e.length_m };
            }
            let soft = run.parts.iter().enumerate().filter(|(_, p)| c.item(&p.item).is_some_and(|i| i.class.is_soft()));
            for (s, (k, part)) in soft.enumerate() {
                let crate::plan::PartLength::Is(stated) = part.length else { continue };
                let by_excess = (1.0 + backup.excess) * soft_m.get(s).copied().unwrap_or(f64::NAN);
                if (stated.si() - by_excess).abs() > 0.01 * by_excess {
                    r.say(at_part(name, k), format!("{} stated, {} by its excess", m(stated.si()), m(by_excess)));
                }
            }
        }
    ),
    rule!(
        "unlike-lines",
        Caution,
        "main and backup of different fibres",
        "the harder one wears the other",
        "a sleeve, tape, or like with like",
        PRACTICE,
        |c, r| {
            if let (Some(a), Some(b)) = (c.main_item(), c.backup_item())
                && a.fibre != b.fibre
            {
                r.say("", format!("{} over {}", a.title, b.title));
            }
        }
    ),
    rule!(
        "lock-tail",
        Caution,
        "less than 0.5 m of tail beyond a webbing lock, or not stated; a stop under 0.3 m",
        "every fall draws a little webbing through",
        "0.5 to 1 m, flat, tied off apart",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, _) in c.parts() {
                for (i, e) in part.ends.iter().flatten().enumerate() {
                    if let EndKind::Locked { tail, .. } = &e.kind {
                        let which = if i == 0 { "first" } else { "second" };
                        match tail.map(Quantity::si) {
                            Some(t) if t >= 0.5 => {}
                            // Too short to be tied off.
                            Some(t) if t < 0.3 => {
                                r.stop(at_part(run, k), format!("the tail at its {which} end is {}", m(t)));
                            }
                            Some(t) => r.say(at_part(run, k), format!("the tail at its {which} end is {}", m(t))),
                            None => r.say(at_part(run, k), format!("the tail at its {which} end is not stated")),
                        }
                    }
                }
            }
        }
    ),
];

/// Fixed points that a point hangs on over legs.
fn fixed_under(c: &super::Context<'_>, from: &str) -> Vec<String> {
    let (mut seen, mut at) = (vec![from.to_owned()], 0);
    while at < seen.len() {
        let here = seen[at].clone();
        at += 1;
        if c.plan.points.get(&here).is_some_and(|p| p.hold().is_some()) {
            continue;
        }
        for (_, _, run) in c.runs().filter(|(_, _, r)| r.role == Role::Leg && r.path.contains(&here)) {
            for p in &run.path {
                if !seen.contains(p) {
                    seen.push(p.clone());
                }
            }
        }
    }
    let fixed = |p: &String| {
        let hold = c.plan.points.get(p).and_then(|p| p.hold());
        hold.is_some_and(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame(_)))
    };
    seen.retain(fixed);
    seen
}

/// Whether some way over legs leads from a point to a fixed one without passing `barred`.
fn reaches_ground(c: &super::Context<'_>, from: &str, barred: &[String]) -> bool {
    let mut seen = vec![from.to_owned()];
    let mut at = 0;
    while at < seen.len() {
        let here = seen[at].clone();
        at += 1;
        if c.plan.points.get(&here).is_some_and(|p| p.hold().is_some()) {
            return true;
        }
        for (_, _, run) in c.runs().filter(|(_, _, r)| r.role == Role::Leg && r.path.contains(&here)) {
            for p in run.path.iter().filter(|p| !barred.contains(p)) {
                if !seen.contains(p) {
                    seen.push(p.clone());
                }
            }
        }
    }
    false
}
