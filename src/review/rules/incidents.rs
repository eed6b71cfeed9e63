//! Rules about falls and failures: who is held, how hard, how low.

use super::{Class, Context, Gravity, Held, PRACTICE, Quantity, Report, Rule, kn, m, rule};
use crate::review::Situation;
use crate::review::clearance::{SEATED_MOST, SEATED_MOST_M};
use crate::review::factors::Kind;
use crate::review::incident::Incident;

/// Body force of a leash fall that is worth mending, N. Common practice, no source (sit harness).
pub(crate) const HARD_FALL_N: f64 = 4e3;
/// Limit of the force on the body in a fall: EN 355 for energy absorbers, N.
pub(crate) const HARD_CATCH_N: f64 = 6e3;
/// Limit of the force on the body in a harness: 29 CFR 1926.502(d)(16), 1,800 lbf, N.
const BODY_LIMIT_N: f64 = 8e3;
/// Stretches that are named of those that are too low.
const MOST_STRETCHES: usize = 6;
/// Peaks further apart at half the step and mesh are said.
const MESH: f64 = 0.02;

/// What is asked for is below what is usual at this share of it.
const LOWERED: f64 = 0.6;
/// What is asked for is far below what is usual at this share of it.
const LOWERED_MUCH: f64 = 0.5;

/// Said once for each piece, of the piece, wherever the walker stood when it went.
fn said(c: &Context<'_>, r: &mut Report<'_>, of: impl Fn(&Incident) -> Option<String>) {
    let mut last = Vec::new();
    for i in c.incidents {
        let Some(text) = of(i) else { continue };
        let at = i.event.situation.lost();
        if !last.contains(&(at.clone(), text.clone())) {
            r.say(&at, format!("{text} when it goes"));
            last.push((at, text));
        }
    }
}

/// The hardest of a class beyond a force, said once.
fn hardest(c: &Context<'_>, r: &mut Report<'_>, class: Option<Class>, over_n: f64, to_n: f64) {
    let hard = c.incidents.iter().filter(|i| class.is_none_or(|k| k == i.event.class));
    let hardest = hard.max_by(|a, b| a.peaks.body_n.total_cmp(&b.peaks.body_n));
    if let Some(i) = hardest.filter(|i| i.peaks.body_n > over_n && i.peaks.body_n <= to_n) {
        r.say("", format!("{} on the body in “{}”", kn(i.peaks.body_n), i.event.situation));
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
        "what comes after it breaks is not known: nobody is said to be held",
        "a stronger part, less tension, softer or shorter slack",
        "motion of the rig",
        |c, r| {
            // One piece may break in many incidents: it is said once, with the first of them.
            let points: Vec<String> = c.rig.spots.iter().map(|s| s.name.clone()).collect();
            let mut broken: Vec<(String, Vec<&Situation>)> = Vec::new();
            for i in c.incidents {
                let Some((what, _)) = &i.breaks else { continue };
                let name = what.name(&c.rig.run_names, &points);
                match broken.iter_mut().find(|b| b.0 == name) {
                    Some(b) => b.1.push(&i.event.situation),
                    None => broken.push((name, vec![&i.event.situation])),
                }
            }
            for (name, ids) in broken {
                let more = if ids.len() > 1 { format!(" and {} more", ids.len() - 1) } else { String::new() };
                r.say(
                    name,
                    format!(
                        "passes its derated strength in “{}”{more}; the other pieces are judged as if it held",
                        ids[0]
                    ),
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
        "feet or line come down to ground or obstacle outside the seated zones",
        "the rope holds and the walker hits",
        "less excess, more connections, a higher or tighter line, or do not rig it",
        "motion of the rig, and energy between the places played; ground profile and obstacles",
        |c, r| {
            for row in c.rows {
                if let Some(h) = row.height.as_ref().filter(|h| h.found_m() < 0.0) {
                    let (under, at) = (m(-crate::review::row::floor_cm(h.found_m())), m(h.x_m));
                    r.say(
                        row.place.to_string(),
                        format!("{under} below the top of {} at {at} in “{}”", h.over, row.case()),
                    );
                }
            }
        }
    ),
    rule!(
        "low-stretches",
        Caution,
        "feet or line come lower than asked for in more than one stretch outside the seated zones",
        "the worst place is not the only one",
        "look at each: a ledge, a crown, a ridge",
        "energy of fall and catch; ground profile and obstacles",
        |c, r| {
            for row in c.rows {
                let lows = row.height.as_ref().map_or(&[][..], |h| &h.stretches_m);
                if lows.len() > 1 {
                    let more = lows.len().saturating_sub(MOST_STRETCHES);
                    let told: Vec<String> =
                        lows.iter().take(MOST_STRETCHES).map(|[a, b]| format!("{} to {}", m(*a), m(*b))).collect();
                    let more = if more > 0 { format!("; and {more} more") } else { String::new() };
                    r.say(row.place.to_string(), format!("too low at {}{more}", told.join("; ")));
                }
            }
        }
    ),
    rule!(
        "seated-zone",
        Caution,
        "they sit less far from an end than leash, body and ground ask for, or not at all by the plan",
        "a fall in the first steps ends on wall, ledge or ground",
        "people: (seated: (\"… m\", \"… m\")): start seated, extend the line over the edge, mark the place",
        "reach of leash and body with a metre to spare, common practice; energy of fall and catch",
        |c, r| {
            if c.body.leash.is_none() {
                return;
            }
            let seated = c.plan.people.seated.map(Quantity::si);
            for ((side, has), need) in ["A", "B"].into_iter().zip(seated).zip(c.no_fall_m) {
                if has + 0.005 < need {
                    r.say(side, format!("seated for {} from {side}, {} are needed", m(has), m(need)));
                }
            }
        }
    ),
    rule!(
        "hangs-too-low",
        Caution,
        "a seated zone of more than 8 m, or of more than a tenth of the span and the reach of leash and body",
        "that is no start but a line over which nobody may stand or fall",
        "a higher or tighter line, less excess, another place",
        PRACTICE,
        |c, r| {
            let reach = crate::review::clearance::no_fall_reach_m(c.body);
            let most = SEATED_MOST_M.min(reach.max(SEATED_MOST * c.span_m()));
            let seated = c.plan.people.seated.map(Quantity::si);
            for ((side, has), need) in ["A", "B"].into_iter().zip(seated).zip(c.no_fall_m) {
                let zone = has.max(need);
                if c.body.leash.is_some() && zone > most + 0.005 {
                    r.say(side, format!("the line hangs too low over the first {} from {side}", m(zone)));
                }
            }
        }
    ),
    rule!(
        "less-clearance",
        Caution,
        "a plan that asks for less height than 2 m and a tenth of the sag; half of that or less is a stop",
        "ground, sag and body are not known so well",
        "ask for as much as is usual, or say why not",
        PRACTICE,
        |c, r| {
            let (over, usual) = (c.plan.factors.clearance, crate::plan::Over::default());
            let said = format!("asked for: {} and {:.0} % of the sag", m(over.least.si()), 100.0 * over.of_sag);
            if over.least.si() <= LOWERED_MUCH * usual.least.si() {
                r.stop("", said);
            } else if over.least < usual.least || over.of_sag < usual.of_sag {
                r.say("", said);
            }
        }
    ),
    rule!(
        "factor-lowered",
        Caution,
        "a plan that asks for less than six tenths of the factor that is usual for a kind of piece; half of it or less is a stop",
        "a verdict says no more than what was asked: wear, wet, knots and what nobody saw live in the factor",
        "ask for as much as is usual, or say in the plan why less is enough",
        PRACTICE,
        |c, r| {
            let mut said: Vec<(Kind, Class)> = Vec::new();
            for row in c.rows.iter().filter(|r| r.kind != Kind::Clearance) {
                let usual = row.kind.usual()[row.class as usize];
                if row.required > LOWERED * usual - 1e-9 || said.contains(&(row.kind, row.class)) {
                    continue;
                }
                said.push((row.kind, row.class));
                let (class, asked) = (row.class.word(), row.required);
                let text = format!("{}: {asked:.1} asked for in {class}, {usual:.1} is usual", row.place);
                if asked <= LOWERED_MUCH * usual { r.stop("factors", text) } else { r.say("factors", text) }
            }
        }
    ),
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
            if !c.solved {
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
                r.say("", format!("{}: peaks differ by {:.1} %", i.event.situation, 100.0 * e));
            }
            for i in c.incidents {
                if let Some(why) = &i.repeat_fault {
                    r.say("", format!("{}: half the step and mesh say nothing, {why}", i.event.situation));
                }
            }
        }
    ),
];
