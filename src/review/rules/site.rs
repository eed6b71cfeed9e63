//! Rules about the gap, the weather, the paper.

use super::{Dim, Gravity, PRACTICE, Quantity, Rule, System, m, rule, show};

/// Rules about the gap, the weather, the paper.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "span-not-measured",
        Caution,
        "how the span was measured is not said",
        "every tension follows from it",
        "measure anchor to anchor; carry a tenth more line",
        PRACTICE,
        |c, r| {
            if c.plan.site.measured.is_empty() {
                r.say(
                    "",
                    format!(
                        "span {} and height difference {}: not said how they were measured",
                        m(c.span_m()),
                        m(c.plan.site.height_difference.si())
                    ),
                );
            }
        }
    ),
    rule!(
        "no-ground-profile",
        Stop,
        "the ground under the line is not given",
        "a fall may end on it",
        "give the ground profile along the line",
        PRACTICE,
        |c, r| {
            if c.plan.site.ground.is_empty() {
                r.say("", "no ground profile: clearance cannot be judged");
            }
        }
    ),
    rule!(
        "short-or-low",
        Caution,
        "a line under 10 m long or under 5 m high",
        "falls reach walls and ground before the line slows them",
        "another line",
        PRACTICE,
        |c, r| {
            if c.span_m() < 10.0 {
                r.say("", format!("the span is {}", m(c.span_m())));
            }
            if let Some(h) = c.height_m().filter(|h| *h < 5.0) {
                r.say("", format!("the line is at most {} above the ground", m(h)));
            }
        }
    ),
    rule!(
        "steep-line",
        Caution,
        "a slope over 8 %",
        "rings slide, loads differ between the sides",
        "level it, or know it",
        PRACTICE,
        |c, r| {
            let slope = (c.plan.site.height_difference.si() / c.span_m()).abs();
            if slope > 0.08 {
                r.say("", format!("the line slopes {:.0} %", 100.0 * slope));
            }
        }
    ),
    rule!(
        "windy",
        Caution,
        "walked in more than 10 m/s of wind",
        "drift, flutter, tension",
        "wait, or lower the line",
        PRACTICE,
        |c, r| {
            let v = c.plan.site.air.wind.si();
            if v > 10.0 {
                r.say("", format!("walking limit {}", show(Dim::Velocity, v, System::Si)));
            }
        }
    ),
];
