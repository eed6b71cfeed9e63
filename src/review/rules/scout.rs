//! Rules about what nobody could tape.

use super::{Gravity, Quantity as _, Rule, m, rule};
use crate::review::scouted::ground_gaps;

/// An assumed figure that changes what a piece sees by more than this counts.
const COUNTS: f64 = 0.1;
/// Two sightings that differ by more of their mean errors than this are not of one place.
const DISAGREE: f64 = 3.0;
/// A span known less well than this share of it.
const SPAN: f64 = 0.01;
/// Points of the profile further apart than this leave room for what is not known; the lips want one this near. Common
/// practice, no source.
const GROUND_M: f64 = 15.0;
const LIP_M: f64 = 6.0;

/// Rules about scouting.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "assumed-counts",
        Note,
        "a figure is assumed; one that may change what a carrying piece sees by more than a tenth is a caution",
        "a review of assumptions is a review of somebody else's rig",
        "measure it, and take it out of `assumed`",
        "the program",
        |c, r| {
            let Some(s) = c.scouted else { return };
            for a in &s.assumed {
                match a.share {
                    Some(share) => {
                        let text = format!(
                            "{} ± {}: what a piece sees changes by up to {:.0} %",
                            a.what,
                            m(a.within_m),
                            100.0 * share
                        );
                        if share > COUNTS {
                            r.caution("assumed", text);
                        } else {
                            r.say("assumed", text);
                        }
                    }
                    None if a.ground => {
                        r.say("assumed", format!("{} ± {}: heights are judged over the higher", a.what, m(a.within_m)));
                    }
                    None => {
                        r.caution(
                            "assumed",
                            format!("{} ± {}: the rig cannot be worked out so", a.what, m(a.within_m)),
                        );
                    }
                }
            }
        }
    ),
    rule!(
        "sightings-disagree",
        Caution,
        "two sightings of one point differ by more than three of their mean errors",
        "one of them is of something else, or a compass near iron",
        "sight it again, from a third stand; keep the compass off steel",
        "statistics",
        |c, r| {
            for p in c.scouted.iter().flat_map(|s| &s.points) {
                if let Some(apart) = p.apart.filter(|a| *a > DISAGREE) {
                    r.say(p.point.clone(), format!("{apart:.1} mean errors apart"));
                }
            }
        }
    ),
    rule!(
        "span-by-compass",
        Caution,
        "the span is known to no better than a hundredth",
        "two compass bearings from aside give a gap to metres: the line is ordered too short, or hangs otherwise",
        "sight along the line from A, or turn the angle between the two ends to half a degree",
        "statistics",
        |c, r| {
            let Some(off) = c.scouted.and_then(|s| s.span_within_m) else { return };
            let span = c.plan.site.span.si();
            if off > SPAN * span {
                r.say("assumed", format!("{} ± {}", m(span), m(off)));
            }
        }
    ),
    rule!(
        "ground-thin",
        Caution,
        "the profile of a plan with assumed figures has fewer than a point every 15 m, or none within 6 m of a lip",
        "what stands between two points is not looked at, and most falls end near the edges",
        "sight down every ten metres, and close to both lips",
        super::PRACTICE,
        |c, r| {
            // Where all of it was surveyed it is as dense as somebody thought right.
            if c.plan.scouting.assumed.is_empty() {
                return;
            }
            let Some((widest, near)) = ground_gaps(c.plan, LIP_M) else { return };
            if widest > GROUND_M {
                r.say("site", format!("{} between two points", m(widest)));
            }
            for (side, there) in ["A", "B"].into_iter().zip(near) {
                if !there {
                    r.say(side, format!("no point of the ground within {} of the lip", m(LIP_M)));
                }
            }
        }
    ),
];
