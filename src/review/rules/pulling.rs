//! Rules about tensioning.

use std::collections::BTreeSet;

use super::{Gravity, PRACTICE, Rule, kn, rule};
use crate::units::{Dim, Quantity, System, show};

/// Rules about tensioning.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "pull-beyond-team",
        Caution,
        "a tensioning pull that the team's hands do not reach",
        "the tension is not reached, or reached by something that was not planned",
        "more people, better sheaves, or another stage",
        PRACTICE,
        |c, r| {
            if let (Some(p), Some(t)) = (c.pulling, &c.plan.tensioning)
                && p.hand_n > p.team_n
            {
                let each = t.each.si();
                r.say(
                    "tensioning",
                    format!(
                        "{} at the hand, {} people pull {}; {} people would reach it, or a system that gives {:.1} after friction",
                        kn(p.hand_n),
                        t.people,
                        kn(p.team_n),
                        p.people(each),
                        p.load_n / p.team_n.max(1.0)
                    ),
                );
            }
        }
    ),
    rule!(
        "team-beyond-grip",
        Caution,
        "a team that can pull more than half of what grip, rope or sheave keeps; more than two thirds of it is a stop",
        "several people on a good system pull it apart without noticing",
        "fewer hands, a tension meter in the line, a word to stop",
        PRACTICE,
        |c, r| {
            let Some(p) = c.pulling else { return };
            let share = p.team_n / p.hand_n;
            for row in c.rows.iter().filter(|r| matches!(r.place, super::Place::Gear(_))) {
                if let Some(keeps) = row.strength.counts_n()
                    && row.demand_n * share > 0.5 * keeps
                    && share > 1.0
                {
                    let pulls = row.demand_n * share;
                    let said = format!("{}: the team can pull {}, it keeps {}", row.place, kn(pulls), kn(keeps));
                    if 1.5 * pulls > keeps { r.stop("tensioning", said) } else { r.say("tensioning", said) }
                }
            }
        }
    ),
    rule!(
        "drawn-out-often",
        Caution,
        "a pulley system that is drawn out anew more than three times with nothing named that holds the line meanwhile; a stop over ten times",
        "each time the line hangs on whoever holds it, and a slip there is the whole pull",
        "more room between anchor and grip, line drawn in by hand first, a capture",
        PRACTICE,
        |c, r| {
            let (Some(p), Some(t)) = (c.pulling, &c.plan.tensioning) else { return };
            let text = format!("{} times for {} of line", p.resets, show(Dim::Length, p.through_m, System::Si));
            if p.resets > 10 {
                r.stop("tensioning", text);
            } else if p.resets > 3 && t.capture.is_none() {
                r.say("tensioning", text);
            }
        }
    ),
    rule!(
        "release-unsaid",
        Caution,
        "a pulley system without a word on how it is released under load",
        "a tension that cannot be let down stops every rescue",
        "a lowering device or a hitch that runs under load, and rope to let out",
        PRACTICE,
        |c, r| {
            if let (Some(p), Some(t)) = (c.pulling, &c.plan.tensioning)
                && t.release.trim().is_empty()
            {
                r.say("tensioning", format!("{} stand against the release when it is let go", kn(p.lower_n)));
            }
        }
    ),
    rule!(
        "gear-left-in",
        Note,
        "a pulley system that stays in beside the lock",
        "every sheave and rope in it stays a piece that can go",
        "take it out once the lock holds, or judge it in every situation",
        PRACTICE,
        |c, r| {
            if c.plan.tensioning.as_ref().is_some_and(|t| t.left_in) {
                r.say("tensioning", "it is judged for tensioning alone; in use the lock is taken to hold everything");
            }
        }
    ),
    rule!(
        "sheaves-ideal",
        Note,
        "sheaves counted at more than 95 %",
        "no sheave that is carried to a cliff keeps so much",
        "90 % on ball bearings, 75 % on bushings, half over bare metal",
        PRACTICE,
        |c, r| {
            let Some(t) = &c.plan.tensioning else { return };
            let kinds: BTreeSet<&String> = t.sheaves.iter().chain([&t.sheave]).collect();
            for item in kinds.into_iter().filter_map(|id| c.item(id)) {
                if let Some(e) = item.efficiency.filter(|e| *e > 0.95) {
                    r.say("tensioning", format!("{} counted at {:.0} %", item.title, 100.0 * e));
                }
            }
        }
    ),
];
