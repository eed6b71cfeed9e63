//! Rules about a line that stays up.

use super::{Class, Gravity, PRACTICE, Quantity as _, Rule, kn, rule};
use crate::catalogue::Fibre;
use crate::review::{When, drawn_in};
use crate::units::{Dim, System, show};

/// A gust over this share of the plan's storm is near it.
const NEAR_STORM: f64 = 0.8;
/// HMPE under more than this share of its strength for long, in air over this, K. Common practice, no source.
const SUSTAINED: f64 = 0.15;
const HOT_K: f64 = 308.15;
/// A line under this share of its tension in the morning is slack.
const SLACK: f64 = 0.8;
/// What comes for good and is worth a look, and what ends a rope (offshore guidance: 10 %, half of it kept).
const FLOWED: [f64; 2] = [0.01, 0.05];
/// Hours that tighten the line by more than this share.
const TIGHTER: f64 = 1.05;

/// Rules about staying up.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "forecast-over-storm",
        Stop,
        "a gust in the forecast over the plan's storm; near it a caution",
        "what the line and its anchors see then was not asked for",
        "lower the line before that day, or plan for that wind: air: (storm: …)",
        "EN 1991-1-4 for wind on a line",
        |c, r| {
            let Some(stays) = c.stays else { return };
            for g in &stays.gusts {
                let speed = |v: f64| show(Dim::Velocity, v, System::Si);
                let most = g.most_n.map_or(String::new(), |n| format!("; {} in the main line", kn(n)));
                let said = format!("{}: {} of {}{most}", g.date, speed(g.gust_m_per_s), speed(g.storm_m_per_s));
                if g.gust_m_per_s > g.storm_m_per_s {
                    r.say("stay", said);
                } else if g.gust_m_per_s > NEAR_STORM * g.storm_m_per_s {
                    r.caution("stay", said);
                }
            }
        }
    ),
    rule!(
        "forecast-too-hot",
        Caution,
        "HMPE under more than 15 % of its strength for long, in air over 35 °C",
        "it flows: two to six times as fast for every ten degrees",
        "less tension, shade, down before the heat",
        PRACTICE,
        |c, r| {
            let (Some(stays), Some(plan)) = (c.stays, &c.plan.stay) else { return };
            if stays.sustained <= SUSTAINED {
                return;
            }
            for d in plan.days.iter().filter(|d| d.high.si() > HOT_K) {
                let warm = show(Dim::Temperature, d.high.si(), System::Si);
                r.say("stay", format!("{}: {warm}, {:.0} % of its strength for long", d.date, 100.0 * stays.sustained));
            }
        }
    ),
    rule!(
        "slack-by-morning",
        Caution,
        "a line that may have lost more than a fifth of its tension by a morning",
        "it hangs lower than it was judged for by day one, and is walked otherwise",
        "draw in what is said before it is walked, or tension it again an hour after",
        "creep by class of fibre: common practice, no source",
        |c, r| {
            let Some(stays) = c.stays else { return };
            let mornings = stays.moments.iter().filter(|x| x.when == When::Morning);
            let slack = mornings.filter(|x| x.tension_n[0] < SLACK * stays.target_n);
            if let Some(x) = slack.min_by(|a, b| a.tension_n[0].total_cmp(&b.tension_n[0])) {
                let [low, high] = x.tension_n;
                let draw = drawn_in(x.draw_in_m);
                r.say(
                    "stay",
                    format!("{}: {} to {} of {}; draw in {draw}", x.date, kn(low), kn(high), kn(stays.target_n)),
                );
            }
        }
    ),
    rule!(
        "creep-used",
        Caution,
        "HMPE that may come a hundredth longer for good while it stays up; a twentieth is a stop",
        "what has flowed does not come back, and a rope that flowed by a tenth is at its end",
        "less tension, shorter, another fibre; measure a length between two marks",
        "offshore guidance for HMPE ropes, from memory",
        |c, r| {
            let Some(stays) = c.stays else { return };
            let [low, high] = stays.flowed;
            let said = format!("{:.1} to {:.1} % longer for good", 100.0 * low, 100.0 * high);
            if high >= FLOWED[1] {
                r.stop("stay", said);
            } else if high >= FLOWED[0] {
                r.say("stay", said);
            }
        }
    ),
    rule!(
        "hot-tight",
        Caution,
        "warm hours that may tighten the line",
        "drawn fibres may shorten when warmed: what was tensioned in the cool pulls harder by day",
        "tension it in the warm hours, or leave that much less",
        "thermal expansion of drawn fibres, from memory",
        |c, r| {
            let Some(stays) = c.stays else { return };
            let warm = stays.moments.iter().filter(|x| x.when == When::Evening);
            let tight = warm.filter(|x| x.tension_n[1] > TIGHTER * stays.target_n);
            if let Some(x) = tight.max_by(|a, b| a.tension_n[1].total_cmp(&b.tension_n[1])) {
                r.say("stay", format!("{}: up to {} of {}", x.date, kn(x.tension_n[1]), kn(stays.target_n)));
            }
        }
    ),
    rule!(
        "hybrid-flow",
        Note,
        "a hybrid of which nobody has said how it flows",
        "how much of it is HMPE is not known: counted as none of it, and as all",
        "creep: Creep(a_year: …) on the item, measured between two marks",
        "the catalogue",
        |c, r| {
            if c.stays.is_none() {
                return;
            }
            let line = &c.rig.line.elements;
            let hybrid = line
                .iter()
                .find(|e| e.item.fibre == Fibre::Hybrid && e.item.flow().is_some_and(|f| f.a_year[0] < f.a_year[1]));
            if let Some(e) = hybrid {
                r.say("stay", format!("{}: how it flows is not said", e.item.title));
            }
        }
    ),
    rule!(
        "crept-falls",
        Note,
        "falls and catches on the line as slack as it becomes are told by energy, not played",
        "motion is played on the line as it was tensioned",
        "review the plan with the tension that is left, for the falls of the last day",
        "the program",
        |c, r| {
            if let Some(n) = c.stays.and_then(super::super::stay::Stays::least_n) {
                let played = c.incidents.iter().any(|i| i.event.class != Class::Working);
                if played {
                    r.say("stay", format!("{} left at the least", kn(n)));
                }
            }
        }
    ),
    rule!(
        "nights-unsaid",
        Note,
        "a line that stays up, without a forecast",
        "what nights leave of its tension is not worked out",
        "stay: Stay(from: …, days: [Forecast(…)])",
        PRACTICE,
        |c, r| {
            let long = c.plan.days.iter().filter_map(|d| d.up).map(|t| t.si() / 3600.0).fold(0.0, f64::max);
            match &c.plan.stay {
                Some(s) if s.days.is_empty() => r.say("stay", "no day of it is forecast"),
                None if long > 20.0 => r.say("", format!("it hung for {long:.0} h on a day")),
                _ => {}
            }
        }
    ),
];
