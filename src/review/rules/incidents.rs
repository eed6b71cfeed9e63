//! Rules about falls and failures: who is held, how hard, how low.

use super::{Class, Context, Gravity, Held, PRACTICE, Report, Rule, kn, m, rule};
use crate::review::incident::Incident;

/// Body force of a leash fall that is worth mending, N. Common practice, no source (sit harness).
const HARD_FALL_N: f64 = 4e3;
/// Limit of the force on the body in a fall: EN 355 for energy absorbers, N.
const HARD_CATCH_N: f64 = 6e3;
/// Limit of the force on the body in a harness: 29 CFR 1926.502(d)(16), 1,800 lbf, N.
const BODY_LIMIT_N: f64 = 8e3;
/// Feet nearer to the ground than this are worth mending, m. Common practice, no source.
const NEAR_GROUND_M: f64 = 2.0;
/// Peaks further apart at half the step and mesh are said.
const MESH: f64 = 0.02;

/// Said once for each piece, wherever the walker stood when it went.
fn said(c: &Context<'_>, r: &mut Report<'_>, of: impl Fn(&Incident) -> Option<String>) {
    let mut last = Vec::new();
    for i in c.incidents {
        let Some(text) = of(i) else { continue };
        let words = format!("{}: {text}", i.event.id.split(", ").next().unwrap_or(&i.event.id));
        if !last.contains(&words) {
            r.say("", &words);
            last.push(words);
        }
    }
}

/// The hardest of a class beyond a force, said once.
fn hardest(c: &Context<'_>, r: &mut Report<'_>, class: Option<Class>, over_n: f64, to_n: f64) {
    let hard = c.incidents.iter().filter(|i| class.is_none_or(|k| k == i.event.class));
    let hardest = hard.max_by(|a, b| a.peaks.body_n.total_cmp(&b.peaks.body_n));
    if let Some(i) = hardest.filter(|i| i.peaks.body_n > over_n && i.peaks.body_n <= to_n) {
        r.say("", format!("{} on the body in “{}”", kn(i.peaks.body_n), i.event.id));
    }
}

/// Rules about falls and failures.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "dropped",
        Stop,
        "a single piece whose going leaves the walker joined to nothing",
        "one failure is total",
        "give what it holds a second holder",
        "statics of the rig without the piece",
        |c, r| said(c, r, |i| (i.held == Some(Held::Dropped)).then(|| "the walker is dropped".to_owned()))
    ),
    rule!(
        "swings",
        Stop,
        "a single piece whose going leaves the walker held from one side only",
        "they swing into the wall of that side",
        "give what it holds a second holder on the same side",
        "statics of the rig without the piece",
        |c, r| said(c, r, |i| match i.held {
            Some(Held::Only(side)) => Some(format!("the walker is held from {side:?} alone and swings into it")),
            _ => None,
        })
    ),
    rule!(
        "breaks",
        Stop,
        "a piece whose peak passes what is left of its strength",
        "what comes after is not known, and nothing is claimed of it",
        "a stronger part, less tension, softer or shorter slack",
        "motion of the rig",
        |c, r| {
            // One piece may break in many incidents: it is said once, with the first of them.
            let points: Vec<String> = c.rig.spots.iter().map(|s| s.name.clone()).collect();
            let mut broken: Vec<(String, Vec<&str>)> = Vec::new();
            for i in c.incidents {
                let Some((what, _)) = &i.breaks else { continue };
                let name = what.name(&c.rig.run_names, &points);
                match broken.iter_mut().find(|b| b.0 == name) {
                    Some(b) => b.1.push(&i.event.id),
                    None => broken.push((name, vec![&i.event.id])),
                }
            }
            for (name, ids) in broken {
                let more = if ids.len() > 1 { format!(" and {} more", ids.len() - 1) } else { String::new() };
                r.say(
                    "",
                    format!("{}{more}: “{name}” passes its derated strength; what follows is not worked out", ids[0]),
                );
            }
        }
    ),
    rule!(
        "body-force",
        Stop,
        "more than 8 kN on the body in any fall or failure",
        "harness and body are not meant for more",
        "softer line or leash, less excess, more connections",
        "29 CFR 1926.502(d)(16): 1,800 lbf (8 kN)",
        |c, r| hardest(c, r, None, BODY_LIMIT_N, f64::INFINITY)
    ),
    rule!(
        "hard-catch",
        Caution,
        "more than 6 kN on the body when a piece goes",
        "injury",
        "softer backup, less excess, more connections",
        "EN 355 limits fall arrest to 6 kN",
        |c, r| hardest(c, r, Some(Class::Failure), HARD_CATCH_N, BODY_LIMIT_N)
    ),
    rule!(
        "hard-fall",
        Caution,
        "more than 4 kN on the body in a leash fall",
        "hard on a sit harness, and more in use than once",
        "a softer line or leash, less tension",
        PRACTICE,
        |c, r| hardest(c, r, Some(Class::Fall), HARD_FALL_N, BODY_LIMIT_N)
    ),
    rule!(
        "hits-ground",
        Stop,
        "feet below the ground after a leash fall or a catch by the backup",
        "the rope holds and the walker hits",
        "less excess, more connections, a higher or tighter line, or do not rig it",
        "motion of the rig, and energy between the places played; ground profile",
        |c, r| {
            if let Some((margin, words)) = least_margin(c).filter(|l| l.0 < 0.0) {
                r.say("", format!("feet {} below the ground {words}", m(-margin)));
            }
        }
    ),
    rule!(
        "near-ground",
        Caution,
        "feet less than 2 m above the ground after a leash fall or a catch by the backup",
        "the ground, the sag and the body are not known so well",
        "less excess, more connections, a higher or tighter line",
        PRACTICE,
        |c, r| {
            if let Some((margin, words)) = least_margin(c).filter(|l| (0.0..NEAR_GROUND_M).contains(&l.0)) {
                r.say("", format!("feet {} above the ground {words}", m(margin)));
            }
        }
    ),
    rule!(
        "no-fall-zone",
        Note,
        "how far from each end leash, body and ground leave no room for a fall",
        "a fall there ends on the wall or the ledge",
        "start seated; mark it",
        "reach of leash and body, common practice; energy of the fall",
        |c, r| {
            if c.body.leash.is_some() {
                r.say("", format!("nobody may fall within {} of A and {} of B", m(c.no_fall_m[0]), m(c.no_fall_m[1])));
            }
        }
    ),
    Rule {
        id: "wall-in-reach",
        gravity: Gravity::Caution,
        when: "wall, ledge or ground within reach of leash and body for more than 2 m from an end, and “seated start” is not declared",
        why: "a fall in the first steps ends on the wall",
        remedy: "extend the line over the edge, start seated, mark the place",
        source: PRACTICE,
        key: Some("seated start"),
        check: |c, r| {
            let said = matches!(c.plan.declared.get("seated start"), Some(super::Declared::Yes(_)));
            for (side, reach) in ["A", "B"].into_iter().zip(c.no_fall_m) {
                if !said && reach > 2.0 && c.body.leash.is_some() {
                    r.say(side, format!("a fall within {} of {side} ends on wall, ledge or ground", m(reach)));
                }
            }
        },
    },
    rule!(
        "falls-not-played",
        Stop,
        "a plan without a leash that stretches, or without statics: no fall can be worked out",
        "falls decide leash, line and anchors",
        "give the plan a leash with its length",
        "the plan itself",
        |c, r| {
            if c.body.leash.is_none() {
                r.say("", "no leash with a length: leash falls and catches are not worked out");
            }
            if c.rows.iter().any(|r| r.verdict == crate::review::Verdict::Unsolved) {
                r.say("", "statics has no solution somewhere: falls and failures stand on it, and say nothing");
            }
        }
    ),
    rule!(
        "coarse-motion",
        Note,
        "peaks that differ by more than 2 % at half the step and mesh, or cannot be played at these",
        "the figure may be off by as much",
        "read it with that doubt; the larger of the two is shown",
        "the motion's own check",
        |c, r| {
            let worst = c.incidents.iter().filter_map(|i| Some((i, i.mesh_error?)));
            if let Some((i, e)) = worst.max_by(|a, b| a.1.total_cmp(&b.1)).filter(|w| w.1 > MESH) {
                r.say("", format!("{}: peaks differ by {:.1} %", i.event.id, 100.0 * e));
            }
            for i in c.incidents {
                if let Some(why) = &i.repeat_fault {
                    r.say("", format!("{}: half the step and mesh say nothing, {why}", i.event.id));
                }
            }
        }
    ),
];

/// Least height of the feet above the ground beyond the zones where nobody may fall, and where.
fn least_margin(c: &Context<'_>) -> Option<(f64, String)> {
    let reach = c.body.leash.as_ref()?.slack_m() + c.body.below_m;
    let ends = c.rig.line.ends.map(|e| c.rig.spots[e].place.x);
    // Near the ends the mark of the zone says it; a zone longer than twice the reach is no zone but a fault.
    let inside = |x: f64| x > ends[0] + 2.0 * reach && x < ends[1] - 2.0 * reach;
    let ground = |x: f64| c.plan.site.ground_at(x);
    let played = c.incidents.iter().filter(|i| i.breaks.is_none() && !i.idle).filter_map(|i| {
        let [z, x] = i.feet_m;
        Some((z - ground(x).filter(|_| inside(x))?, format!("at {} in “{}”", m(x), i.event.id)))
    });
    let between = c.envelope.iter().filter(|l| inside(l.x_m)).flat_map(|l| {
        let of =
            |feet: Option<f64>, what: &str| Some((feet? - l.ground_m?, format!("at {} {what} (by energy)", m(l.x_m))));
        [of(l.fall_m, "in a leash fall"), of(l.catch_m, "when the backup catches")]
    });
    played.chain(between.flatten()).filter(|l| l.0.is_finite()).min_by(|a, b| a.0.total_cmp(&b.0))
}
