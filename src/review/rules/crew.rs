//! Rules about who comes, and the hours of the day.

use super::{Gravity, PRACTICE, Rule, rule};
use crate::review::crew::{Daylight, clock};

/// Rules about crew and light.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "crew-short",
        Stop,
        "a step that takes more people than there are at a side, or in all",
        "who is missing is missed where it counts: at the brake, at the rope, beside the one who hangs there",
        "more people, another side, a system that pulls with fewer",
        "the plan's own numbers; one walks and one goes out to them",
        |c, r| {
            let Some(day) = c.crew else { return };
            for s in &day.steps {
                if let Some(missing) = s.missing(day.at) {
                    r.say("crew", format!("{}: {missing}", s.step.words()));
                }
            }
        }
    ),
    rule!(
        "dark-before-done",
        Caution,
        "a day's work that lasts past sunset; past the dark it is said so",
        "knots, gates and pads are looked at by lamp, and a rescue begins in the dark",
        "begin earlier, rig the day before, walk less, bring lamps for all and a plan for the dark",
        "sunset by the low-precision formulas of almanacs; hours of a step: common practice, no source",
        |c, r| {
            let Some(day) = c.crew else { return };
            let done = clock(day.done_min);
            match day.light {
                Daylight::Ends { sunset_min, dark_min } if day.done_min > sunset_min => {
                    let dark = match dark_min {
                        Some(m) if day.done_min > m => format!(", dark from {}", clock(m)),
                        _ => String::new(),
                    };
                    r.say("crew", format!("done at {done}, the sun sets at {}{dark}", clock(sunset_min)));
                }
                Daylight::None => r.say("crew", format!("the sun does not rise on {}", day.date)),
                _ => {}
            }
        }
    ),
    rule!(
        "light-unsaid",
        Note,
        "a crew without a place on the earth, or one party for both sides without the way between them",
        "whether it is light until all is done is not worked out, or the hours lack the way round",
        "crew: (latitude: …, longitude: …, ahead: …, round: …)",
        PRACTICE,
        |c, r| {
            let Some(day) = c.crew else { return };
            if day.light == Daylight::NotSaid {
                r.say("crew", format!("done at {}; where it is is not said", clock(day.done_min)));
            }
            if day.way_unknown {
                r.say("crew", "one party makes both anchors; the way round is not said");
            }
        }
    ),
];
