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
        "the ground under the line is not given, or not all along it",
        "a fall may end on it",
        "give the ground profile along the line",
        PRACTICE,
        |c, r| {
            let ground = &c.plan.site.ground;
            let ends = c.rig.line.ends.map(|e| c.rig.spots[e].place.x);
            match (ground.first(), ground.last()) {
                (Some(first), Some(last)) => {
                    let seated = c.plan.people.seated.map(Quantity::si);
                    let (from, to) = (ends[0] + seated[0], ends[1] - seated[1]);
                    if first.0.si() > from || last.0.si() < to {
                        let (a, b) = (m(first.0.si()), m(last.0.si()));
                        r.say("", format!("the profile goes from {a} to {b}: the rest of the line has no clearance"));
                    }
                }
                _ => r.say("", "no ground profile: clearance cannot be judged"),
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
        "walked in more than 10 m/s of wind; from half as much again, or in gusts over 20 m/s, a stop",
        "drift, flutter, tension",
        "wait, or lower the line",
        PRACTICE,
        |c, r| {
            let v = c.plan.site.air.wind.si();
            if v > 10.0 {
                let text = format!("walking limit {}", show(Dim::Velocity, v, System::Si));
                if v >= 15.0 || crate::review::gust_m_s(c.plan, v) > 20.0 { r.stop("", text) } else { r.say("", text) }
            }
        }
    ),
    rule!(
        "obstacle-under-ground",
        Caution,
        "an obstacle whose top is below the ground profile there",
        "its height or its place is not what was meant",
        "heights count from A's reference point, as those of the ground",
        "the plan itself",
        |c, r| {
            for (name, o) in &c.plan.site.obstacles {
                let (a, b) = (o.from.si(), o.to.si());
                let ground = [a, 0.5 * (a + b), b].into_iter().filter_map(|x| c.plan.site.ground_at(x));
                if let Some(z) = ground.reduce(f64::max).filter(|z| o.top.si() < *z) {
                    r.say(name.clone(), format!("its top is at {}, the ground at {}", m(o.top.si()), m(z)));
                }
            }
        }
    ),
];
