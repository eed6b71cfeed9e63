//! Rules about figures that come with a plan.

use super::{Gravity, PRACTICE, Rule, rule};
use crate::review::claims::{Claimed, Stands};
use crate::units::System;

fn said(c: &Claimed) -> String {
    let ours = c.ours.map_or(String::new(), |n| format!(", ours {}", c.figure(n, System::Si)));
    let slip = c.slip.as_ref().map_or(String::new(), |s| format!("; it would be: {s}"));
    format!("{}: said {}{ours}{slip}", c.what, c.figure(c.says, System::Si))
}

/// A figure so many times ours, or the other way round, is not of this rig.
const APART: f64 = 1.25;

/// Rules about claims.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "claim-contradicted",
        Caution,
        "a figure that comes with the plan flatters it; a stop where the piece falls short, or they are a quarter apart",
        "who goes by it thinks the rig stronger, or higher over the ground, than it is",
        "find which of the two is right before anybody walks",
        PRACTICE,
        |c, r| {
            for x in c.claims.iter().filter(|x| x.stands == Stands::Flatters) {
                let apart = x.ours.is_some_and(|n| n > 0.0 && !(1.0 / APART..APART).contains(&(x.says / n)));
                if apart {
                    r.stop("claims", format!("{}; more than a quarter apart", said(x)));
                } else if x.matters {
                    r.stop("claims", format!("{}; by ours it falls short", said(x)));
                } else {
                    r.say("claims", said(x));
                }
            }
        }
    ),
    rule!(
        "claim-differs",
        Note,
        "a figure that comes with the plan is off, on the side that does no harm",
        "two that do not agree were not worked out on the same rig",
        "find out why",
        PRACTICE,
        |c, r| {
            for x in c.claims.iter().filter(|x| x.stands == Stands::Cautious) {
                r.say("claims", said(x));
            }
        }
    ),
    rule!(
        "claim-unworkable",
        Note,
        "a figure that comes with the plan, and that the review does not have",
        "it stands unchecked",
        "say in the plan what it takes to work it out",
        PRACTICE,
        |c, r| {
            for x in c.claims.iter().filter(|x| x.stands == Stands::Unworkable) {
                r.say("claims", said(x));
            }
        }
    ),
];
