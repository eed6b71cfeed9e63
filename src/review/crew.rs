//! The hours of a day at the line: how long each step takes, how many it takes at each side, and whether it is light.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::Serialize;

use super::sun::{Light, light};
use crate::plan::crew::Crew;
use crate::plan::ties::Step;
use crate::plan::{Plan, Role, Side};
use crate::units::Quantity;

/// A step of the day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Hours {
    /// Which.
    pub step: Step,
    /// When it begins, minutes after midnight.
    pub from_min: f64,
    /// How long it takes, minutes.
    pub takes_min: f64,
    /// How many it takes at A and at B.
    pub needs: [usize; 2],
    /// How many besides: who walks, and who would go out to them.
    pub besides: usize,
}

impl Hours {
    /// How many are missing at A, at B and in all; nothing where there are enough.
    #[must_use]
    pub fn missing(&self, there: [usize; 2]) -> Option<String> {
        for (k, side) in [Side::A, Side::B].into_iter().enumerate() {
            if there[k] < self.needs[k] {
                return Some(format!("{} at {side:?}, it takes {}", there[k], self.needs[k]));
            }
        }
        let (all, needs) = (there[0] + there[1], self.needs[0] + self.needs[1] + self.besides);
        (all < needs).then(|| format!("{all} in all, it takes {needs}"))
    }
}

/// What becomes of the light.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Daylight {
    /// Where it is was not said.
    NotSaid,
    /// The sun sets, minutes after midnight by the clocks there, and it is dark, where it gets dark.
    Ends {
        /// Sunset.
        sunset_min: f64,
        /// The end of civil twilight.
        dark_min: Option<f64>,
    },
    /// The sun does not set.
    All,
    /// It does not rise.
    None,
}

/// A day's people and hours.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CrewDay {
    /// Which day.
    pub date: String,
    /// How many at A and at B.
    pub at: [usize; 2],
    /// Steps, in order; those of taking it down only where it does not stay up.
    pub steps: Vec<Hours>,
    /// When all is done, minutes after midnight.
    pub done_min: f64,
    /// The light.
    pub light: Daylight,
    /// Whether one party makes both anchors, and the way between them is not said.
    pub way_unknown: bool,
}

/// An anchor comes off in this share of the time that it took. Common practice, no source.
const OFF: f64 = 0.5;
/// Lines that go over where the plan does not tell: a messenger, a tag line, the line.
const STAGES: usize = 3;

/// Anchors of a side: where main line and backup end, each a thing to rig.
fn anchors(plan: &Plan, side: Side) -> f64 {
    let lines = plan.runs.values().filter(|r| matches!(r.role, Role::Main | Role::Backup { .. }));
    let ends = lines.flat_map(|r| [r.path.first(), r.path.last()]).flatten();
    let ends: BTreeSet<&String> = ends.filter(|p| plan.points.get(*p).is_some_and(|p| p.side == side)).collect();
    ends.len().max(1) as f64
}

/// How many it takes at each side, and besides.
fn needs(plan: &Plan, step: Step) -> ([usize; 2], usize) {
    let at = |side: Side, there: usize, other: usize| match side {
        Side::A => [there, other],
        Side::B => [other, there],
    };
    let other = |side: Side| if side == Side::A { Side::B } else { Side::A };
    match step {
        Step::Messenger | Step::LineOver => {
            plan.crossing.as_ref().map_or(([1, 1], 0), |x| (at(other(x.sends), x.people.max(1), 1), 0))
        }
        Step::LineBack => plan.crossing.as_ref().map_or(([1, 1], 0), |x| (at(x.sends, x.people.max(1), 1), 0)),
        Step::Tension => plan.tensioning.as_ref().map_or(([1, 1], 0), |t| (at(t.side, t.people.max(1), 1), 0)),
        // Who walks may have to be got off: hands at both edges, one hangs there and one goes out.
        Step::FirstWalk | Step::Walking | Step::Rescue => plan.rescue.as_ref().map_or(([1, 1], 2), |r| (r.hands, 2)),
        // One party may make both, one after the other.
        Step::Anchors | Step::Strip => (plan.crew.as_ref().map_or([1, 1], |c| c.at.map(|n| n.min(1))), 0),
        Step::Locks | Step::Release => ([1, 1], 0),
    }
}

/// Works a day's hours out; nothing where the plan names no crew.
pub(super) fn crew_day(plan: &Plan) -> Option<CrewDay> {
    let crew = plan.crew.as_ref()?;
    let min = |t: crate::units::Time| t.si() / 60.0;
    let (anchor, stage) = (min(crew.anchor), min(crew.stage));
    let each = [Side::A, Side::B].map(|s| anchor * anchors(plan, s));
    // Each side makes its own beside the other; one party makes both, and walks round.
    let apart = crew.at.iter().all(|n| *n > 0);
    let round = crew.round.map(min);
    let rigged = if apart { each[0].max(each[1]) } else { each[0] + each[1] + round.unwrap_or(0.0) };
    let stages = plan.crossing.as_ref().map_or(STAGES, |x| x.stages.len().max(1)) as f64;
    let takes = |step: Step| match step {
        Step::Anchors => rigged,
        Step::Messenger | Step::Locks | Step::Tension | Step::FirstWalk | Step::Release => stage,
        Step::LineOver => stage * (stages - 1.0),
        Step::Walking => min(crew.walking),
        Step::Rescue => 0.0,
        Step::LineBack => stage * stages,
        Step::Strip => OFF * rigged,
    };
    let mut at_min = 60.0 * f64::from(crew.start.hour()) + f64::from(crew.start.minute());
    let mut steps = Vec::new();
    let stays = plan.stay.is_some();
    // A rescue is no hour of a good day: what it takes stands with those who walk.
    let told = |s: &Step| *s != Step::Rescue && !(stays && *s > Step::Rescue);
    for step in Step::ALL.iter().map(|s| s.0).filter(told) {
        let (needs, besides) = needs(plan, step);
        let said = plan.work.get(step.words()).map_or([None; 2], |w| w.people);
        let needs = [0, 1].map(|k| needs[k].max(said[k].unwrap_or(0)));
        let takes_min = takes(step);
        steps.push(Hours { step, from_min: at_min, takes_min, needs, besides });
        at_min += takes_min;
    }
    Some(CrewDay {
        date: crew.date.to_string(),
        at: crew.at,
        steps,
        done_min: at_min,
        light: daylight(crew),
        way_unknown: !apart && round.is_none(),
    })
}

fn daylight(crew: &Crew) -> Daylight {
    let Some(place) = crew.place else { return Daylight::NotSaid };
    let by_clock = |h: f64| 60.0 * h + place.ahead.si() / 60.0;
    match light(crew.date, place.latitude.si().to_degrees(), place.longitude.si().to_degrees()) {
        Light::Ends { sunset_h, dark_h } => {
            Daylight::Ends { sunset_min: by_clock(sunset_h), dark_min: dark_h.map(by_clock) }
        }
        Light::All => Daylight::All,
        Light::None => Daylight::None,
    }
}

/// A time of day in words: 17:40; past midnight with how many days later.
#[must_use]
pub fn clock(minutes: f64) -> String {
    let all = minutes.round().max(0.0) as u64;
    let (day, of_day) = (all / 1440, all % 1440);
    let time = format!("{:02}:{:02}", of_day / 60, of_day % 60);
    if day == 0 { time } else { format!("{time} (+{day} d)") }
}
