//! A start of a block of the trip, from a few questions: what is asked, and what is written into the plan of the answers.

use super::commands::told;
use super::dialogue::{Dialogue, positive, quantity};
use super::pages::PageBlock;
use super::state::App;
use super::today;
use crate::document::{Path, Splice, quote};
use crate::plan::{Hold, Plan, Role, Side};
use crate::units::{Dim, Quantity as _, System, show};

/// What a typed answer has to be; it comes back as it is written into a plan.
#[derive(Debug, Clone, Copy)]
enum Takes {
    /// A or B.
    Side,
    /// A length of more than nothing.
    Length,
    /// A length, or none.
    LengthOrNone,
    /// A force of more than nothing, or none.
    ForceOrNone,
    /// A temperature, or none.
    TemperatureOrNone,
    /// A time of more than nothing.
    Time,
    /// A speed of more than nothing.
    Speed,
    /// A number of people at A and at B.
    Hands,
    /// The same, whoever comes.
    Crew,
    /// A time of day.
    Clock,
    /// Degrees north and east, hours ahead of UTC, or none.
    Earth,
    /// Whole, at least one.
    People,
    /// Two lengths, at A and at B.
    Lengths,
    /// A fixed point at this side, or none.
    Point(Side),
    /// A day.
    Date,
    /// Any words.
    Words,
}

/// A question, and what is offered for an answer.
struct Asked {
    label: &'static str,
    takes: Takes,
    offered: fn(&Plan) -> String,
}

/// The answers so far of a block's questions.
#[derive(Debug, Clone)]
pub struct StartAnswers {
    /// Which block.
    pub block: PageBlock,
    /// As they are written into a plan, in order.
    given: Vec<String>,
}

fn metres(m: f64) -> String {
    show(Dim::Length, m, System::Si)
}

fn span_m(plan: &Plan) -> f64 {
    plan.site.span.si()
}

/// A rope for each side to more than the middle, hands at both.
fn tow_rope(plan: &Plan) -> String {
    metres((0.6 * span_m(plan) + 10.0).ceil())
}

/// At a side a fixed point, one that the line does not need where there is one.
fn spare_point(plan: &Plan, side: Side) -> String {
    let fixed = plan
        .points
        .iter()
        .filter(|(_, p)| p.side == side && p.hold().is_some_and(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame(_))));
    fixed.min_by_key(|(n, _)| plan.in_use(n)).map_or_else(|| "none".to_owned(), |(n, _)| n.clone())
}

const CROSSING: &[Asked] = &[
    Asked { label: "which side sends the line, A or B", takes: Takes::Side, offered: |_| "A".to_owned() },
    Asked {
        label: "the sag that is held meanwhile",
        takes: Takes::Length,
        offered: |p| metres((0.08 * span_m(p)).max(1.0).round()),
    },
    Asked {
        label: "the messenger and the tag line: how long",
        takes: Takes::Length,
        offered: |p| metres((1.1 * span_m(p) + 15.0).ceil()),
    },
    Asked { label: "how many pull at the other side", takes: Takes::People, offered: |_| "2".to_owned() },
    Asked { label: "cord of the release, or none", takes: Takes::LengthOrNone, offered: |_| "none".to_owned() },
];

const DAY: &[Asked] = &[
    Asked { label: "which day", takes: Takes::Date, offered: |_| today().to_string() },
    Asked { label: "whose readings: initials", takes: Takes::Words, offered: |_| String::new() },
    Asked { label: "the span as measured, or none", takes: Takes::LengthOrNone, offered: |_| "none".to_owned() },
    Asked {
        label: "tension at A with nobody on the line, or none",
        takes: Takes::ForceOrNone,
        offered: |_| "none".to_owned(),
    },
    Asked { label: "temperature then, or none", takes: Takes::TemperatureOrNone, offered: |_| "none".to_owned() },
];

const RESCUE: &[Asked] = &[
    Asked { label: "tow rope ready at A: its length, or none", takes: Takes::LengthOrNone, offered: tow_rope },
    Asked { label: "tow rope ready at B: its length, or none", takes: Takes::LengthOrNone, offered: tow_rope },
    Asked {
        label: "hands left at A and at B once the rescuer is out",
        takes: Takes::Hands,
        offered: |_| "2, 2".to_owned(),
    },
    Asked { label: "rope to lower with, or none", takes: Takes::LengthOrNone, offered: |_| "none".to_owned() },
    Asked { label: "the longest that somebody may hang", takes: Takes::Time, offered: |_| "15 min".to_owned() },
];

const TIES: &[Asked] = &[
    Asked {
        label: "the fixed point to tie to at A, or none",
        takes: Takes::Point(Side::A),
        offered: |p| spare_point(p, Side::A),
    },
    Asked {
        label: "the fixed point to tie to at B, or none",
        takes: Takes::Point(Side::B),
        offered: |p| spare_point(p, Side::B),
    },
    Asked {
        label: "from each to its lip, at A and at B",
        takes: Takes::Lengths,
        offered: |_| "3.5 m, 3.5 m".to_owned(),
    },
    Asked {
        label: "rope from each to the tie-in, at A and at B",
        takes: Takes::Lengths,
        offered: |_| "3 m, 3 m".to_owned(),
    },
];

const STAY: &[Asked] = &[
    Asked { label: "in whose evening it is tensioned", takes: Takes::Date, offered: |_| today().to_string() },
    Asked {
        label: "the coldest of the night, or none",
        takes: Takes::TemperatureOrNone,
        offered: |p| show(Dim::Temperature, p.site.air.coldest.si(), System::Si),
    },
    Asked {
        label: "the warmest of the next day, or none",
        takes: Takes::TemperatureOrNone,
        offered: |p| show(Dim::Temperature, p.site.air.warmest.si(), System::Si),
    },
    Asked {
        label: "the strongest gust in its forecast",
        takes: Takes::Speed,
        offered: |p| show(Dim::Velocity, p.site.air.storm.si(), System::Si),
    },
];

const CREW: &[Asked] = &[
    Asked {
        label: "how many are at A and at B, whoever walks among them",
        takes: Takes::Crew,
        offered: |_| "3, 3".to_owned(),
    },
    Asked { label: "which day", takes: Takes::Date, offered: |_| today().to_string() },
    Asked { label: "when the first anchor is begun", takes: Takes::Clock, offered: |_| "09:00".to_owned() },
    Asked {
        label: "degrees north, degrees east, hours ahead of UTC, as 46.4, 11.9, 2; or none",
        takes: Takes::Earth,
        offered: |_| "none".to_owned(),
    },
    Asked { label: "how long people walk", takes: Takes::Time, offered: |_| "4 h".to_owned() },
];

impl PageBlock {
    fn asks(self) -> &'static [Asked] {
        match self {
            Self::Crossing => CROSSING,
            Self::Day => DAY,
            Self::Rescue => RESCUE,
            Self::Ties => TIES,
            Self::Stay => STAY,
            Self::Crew => CREW,
        }
    }
}

/// Two answers parted by a comma; the first for both without one.
fn both(text: &str) -> [&str; 2] {
    let mut parts = text.splitn(2, ',').map(str::trim);
    let first = parts.next().unwrap_or_default();
    [first, parts.next().unwrap_or(first)]
}

impl Takes {
    /// An answer as it is written into a plan; empty for none.
    fn read(self, text: &str, plan: &Plan) -> Result<String, String> {
        let text = text.trim();
        let none = text.is_empty() || text == "none";
        let of = |dim: Dim| positive(text, dim).map(|_| quote(text));
        match self {
            Self::Side if ["A", "B", "a", "b"].contains(&text) => Ok(text.to_uppercase()),
            Self::Side => Err("A or B".to_owned()),
            Self::LengthOrNone | Self::ForceOrNone | Self::TemperatureOrNone if none => Ok(String::new()),
            Self::Length | Self::LengthOrNone => of(Dim::Length),
            Self::ForceOrNone => of(Dim::Force),
            Self::TemperatureOrNone => quantity(text, Dim::Temperature).map(|_| quote(text)),
            Self::Time => of(Dim::Time),
            Self::Speed => of(Dim::Velocity),
            Self::People => match text.parse::<usize>() {
                Ok(n) if n > 0 => Ok(n.to_string()),
                _ => Err("a whole number, at least 1".to_owned()),
            },
            Self::Hands | Self::Crew => {
                let [a, b] = both(text).map(str::parse::<usize>);
                let wrong = |_| "two whole numbers, as 2, 2".to_owned();
                let [at_a, at_b] = if matches!(self, Self::Hands) { ["hands_a", "hands_b"] } else { ["a", "b"] };
                Ok(format!("{at_a}: {}, {at_b}: {}", a.map_err(wrong)?, b.map_err(wrong)?))
            }
            Self::Clock => match text.parse::<jiff::civil::Time>() {
                Ok(_) if text.len() == 5 => Ok(text.to_owned()),
                _ => Err("a time of day, as 09:00".to_owned()),
            },
            Self::Earth if none => Ok(String::new()),
            Self::Earth => {
                let parts = text.split(',').map(|t| t.trim().parse::<f64>().ok().filter(|v| v.is_finite()));
                let [north, east, ahead] = parts
                    .collect::<Option<Vec<f64>>>()
                    .and_then(|v| <[f64; 3]>::try_from(v).ok())
                    .ok_or("three numbers, as 46.4, 11.9, 2; south and west are minus")?;
                Ok(format!("latitude: \"{north} deg\", longitude: \"{east} deg\", ahead: \"{ahead} h\", "))
            }
            Self::Lengths => {
                let [a, b] = both(text);
                positive(a, Dim::Length)?;
                positive(b, Dim::Length)?;
                Ok(format!("{a}, {b}"))
            }
            Self::Point(_) if none => Ok(String::new()),
            Self::Point(side) => match plan.points.get(text).filter(|p| p.side == side && p.hold().is_some()) {
                Some(_) => Ok(text.to_owned()),
                None => Err(format!("“{text}” is no fixed point at {side:?}: as {}", spare_point(plan, side))),
            },
            Self::Date => {
                text.parse::<jiff::civil::Date>().map(|d| d.to_string()).map_err(|_| "a day, as 2026-10-03".to_owned())
            }
            Self::Words => Ok(text.to_owned()),
        }
    }
}

impl App {
    /// Asks what a block needs, from the first question on; not where the plan has it.
    pub(super) fn begin(&mut self, block: PageBlock) {
        if block.stands(&self.file.plan) && block != PageBlock::Day {
            return self.say(format!("the plan has {} already", block.page().words));
        }
        self.ask_start(StartAnswers { block, given: Vec::new() });
    }

    fn ask_start(&mut self, a: StartAnswers) {
        let all = a.block.asks();
        let Some(q) = all.get(a.given.len()) else { return };
        let label = format!("{} {}/{}: {}", a.block.page().title, a.given.len() + 1, all.len(), q.label);
        let offered = (q.offered)(&self.file.plan);
        self.overlay = Some(Dialogue::Start(a).typed(label, offered));
        self.dirty = true;
    }

    /// Takes an answer, and asks on or writes the block.
    ///
    /// # Errors
    /// Why the answer cannot be taken.
    pub(super) fn answer_start(&mut self, mut a: StartAnswers, text: &str) -> Result<(), String> {
        let all = a.block.asks();
        let q = all.get(a.given.len()).ok_or("there is no such question")?;
        a.given.push(q.takes.read(text, &self.file.plan)?);
        if a.given.len() < all.len() {
            self.ask_start(a);
            return Ok(());
        }
        let ron = match a.block {
            PageBlock::Crossing => crossing(&self.file.plan, &a.given),
            PageBlock::Day => return self.write_day(&a.given),
            PageBlock::Rescue => rescue(&a.given)?,
            PageBlock::Ties => ties(&a.given)?,
            PageBlock::Stay => stay(&a.given)?,
            PageBlock::Crew => crew(&a.given)?,
        };
        let page = a.block.page();
        let set = self.set(&Path::root().key(page.field), &ron, format!("a start of {}", page.words));
        told(self, set);
        self.open(a.block);
        Ok(())
    }

    /// Adds a day to the plan.
    fn write_day(&mut self, given: &[String]) -> Result<(), String> {
        let [date, by, span, tension, temperature] = given else { return Err("five answers".to_owned()) };
        if self.file.plan.days.iter().any(|d| d.date == *date) {
            return Err(format!("the plan has a day of {date} already"));
        }
        let by = if by.is_empty() { String::new() } else { format!(", by: {}", quote(by)) };
        let said = |key: &str, v: &str| if v.is_empty() { String::new() } else { format!(", {key}: {v}") };
        let read = if tension.is_empty() { String::new() } else { format!("Reading(tension: {tension})") };
        let (span, temperature) = (said("span", span), said("temperature", temperature));
        let day = format!("Day(date: {date:?}{by}{span}{temperature}, read: [{read}])");
        let (days, name) = (Path::root().key("days"), format!("a day, {date}"));
        let set = match days.find(&self.file.root) {
            None => self.set(&days, &format!("[{day}]"), name),
            Some(list) => self
                .one(name, Splice::insert(&self.file.text, list, None, None, &day))
                .and_then(|change| self.change(change)),
        };
        told(self, set);
        self.open(PageBlock::Day);
        Ok(())
    }
}

/// A messenger, a tag line, the line.
fn crossing(plan: &Plan, given: &[String]) -> String {
    let of = |k: usize| given.get(k).map(String::as_str).unwrap_or_default();
    let lines = plan.runs.iter().filter(|(_, r)| matches!(r.role, Role::Main | Role::Backup { .. }));
    let runs: Vec<String> = lines.map(|(n, _)| quote(n)).collect();
    let knot = "Knotted(knot: \"figure-eight\")";
    let release = if of(4).is_empty() { String::new() } else { format!(", release_cord: {}", of(4)) };
    format!(
        "Crossing(\n        sends: {}, hold: Sag({}),\n        stages: [\n            Stage(name: \"messenger\", by: \"thrown or flown\", line: Part(item: \"cord-4\", length: {long}, ends: ({knot}, {knot}))),\n            Stage(name: \"tag line\", line: Part(item: \"hmpe-3\", length: {long}, ends: (Spliced(), Spliced()))),\n            Stage(name: \"line\", runs: [{}], joint: \"quick-link-8\", rings: 2),\n        ],\n        edge_a: Carpet, edge_b: Carpet, brake_turns: 3, brake_on: Steel, people: {}{release},\n    )",
        of(0),
        of(1),
        runs.join(", "),
        of(3),
        long = of(2),
    )
}

fn rescue(given: &[String]) -> Result<String, String> {
    let of = |k: usize| given.get(k).map(String::as_str).unwrap_or_default();
    let rope = |side: &str, length: &str| {
        if length.is_empty() {
            return String::new();
        }
        format!(
            "            Tow(side: {side}, rope: Part(item: \"static-rope-11\", length: {length}, ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\")))),\n"
        )
    };
    let ropes = rope("A", of(0)) + &rope("B", of(1));
    if ropes.is_empty() {
        return Err("without a rope at either side nobody is towed in: press esc, and say one".to_owned());
    }
    let lower = if of(3).is_empty() { String::new() } else { format!(" lower: {},", of(3)) };
    Ok(format!(
        "Rescue(\n        ropes: [\n{ropes}        ],\n        on: Roller, {},{lower} limit: {},\n    )",
        of(2),
        of(4)
    ))
}

/// One day, the one after the evening.
fn stay(given: &[String]) -> Result<String, String> {
    let [from, low, high, gust] = given else { return Err("four answers".to_owned()) };
    if low.is_empty() || high.is_empty() {
        return Err("a night without its temperatures says nothing: press esc, and say both".to_owned());
    }
    let day: jiff::civil::Date = from.parse().map_err(|_| "a day, as 2026-10-03".to_owned())?;
    let next = day.tomorrow().map_err(|_| "a day with one after it".to_owned())?;
    Ok(format!(
        "Stay(from: \"{from}\", days: [\n        Forecast(date: \"{next}\", low: {low}, high: {high}, gust: {gust}),\n    ])"
    ))
}

fn crew(given: &[String]) -> Result<String, String> {
    let [people, date, start, place, walking] = given else { return Err("five answers".to_owned()) };
    Ok(format!("Crew({people}, date: \"{date}\", start: \"{start}\", {place}walking: {walking})"))
}

fn ties(given: &[String]) -> Result<String, String> {
    let of = |k: usize| given.get(k).map(String::as_str).unwrap_or_default();
    let (points, lips, ropes) = ([of(0), of(1)], both(of(2)), both(of(3)));
    let ties = (0..2).filter(|&k| !points[k].is_empty()).map(|k| {
        let side = ["A", "B"][k];
        format!(
            "        \"{side} tie\": Tie(side: {side}, anchors: [{}], rope: Part(item: \"static-rope-11\", length: {}, ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\"))), lip: {}),\n",
            quote(points[k]),
            quote(ropes[k]),
            quote(lips[k])
        )
    });
    let ties: String = ties.collect();
    if ties.is_empty() {
        return Err("without a fixed point at either side nobody is tied: press esc, and say one".to_owned());
    }
    Ok(format!("{{\n{ties}    }}"))
}
