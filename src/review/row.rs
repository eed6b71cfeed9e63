//! One piece in one class of situations: what it sees, what it keeps, whether that is enough.

use schemars::JsonSchema;
use serde::Serialize;

use super::case::Class;
use super::factors::Kind;
use super::rescue::On;
use super::situation::{Seen, Situation};
use super::strength::Strength;
use super::verdict::Verdict;
use crate::plan::Side;
use crate::units::{Dim, System, show};

/// What a row is about.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A part of a run, numbered from 1.
    Part(String, usize),
    /// The hardware of a point.
    Point(String),
    /// What fixes a point.
    Anchor(String),
    /// A piece that ties main and backup together.
    Joint(String),
    /// Gear that is there while tensioning.
    Gear(String),
    /// Gear that gets the line over.
    Crossing(Passed),
    /// What tows somebody in.
    Rescue(Hauled),
    /// A tie that somebody works at an edge on, and its anchors.
    Tie(String, TiePiece),
    /// What of a frame.
    Frame(String, FramePiece),
    /// How high something hangs over ground and obstacles.
    Height(Lowest),
}

/// Gear that gets the line over.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Passed {
    /// The line of a stage.
    Line(String),
    /// What joins a stage to the line that pulls it.
    Joint(String),
    /// The brake.
    Brake,
    /// What lets the line go on the way down.
    Release,
    /// The rope of the pulley set that it is pulled with.
    SetRope,
    /// The sheave of that which sees most.
    SetSheave,
}

/// What of a tie.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TiePiece {
    /// Its rope.
    Rope,
    /// A point that it hangs on.
    Anchor(String),
}

/// What of a frame; numbers from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum FramePiece {
    /// A strut.
    Strut(usize),
    /// Its foot on the ground.
    Foot(usize),
    /// What ties two feet together.
    Hobble,
}

impl FramePiece {
    /// All of its kind.
    #[must_use]
    pub fn all(self) -> &'static str {
        match self {
            Self::Strut(_) => "struts",
            Self::Foot(_) => "feet",
            Self::Hobble => "hobble",
        }
    }
}

impl std::fmt::Display for FramePiece {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Strut(k) => write!(f, "strut {k}"),
            Self::Foot(k) => write!(f, "foot {k}"),
            Self::Hobble => f.write_str("hobble"),
        }
    }
}

/// What tows somebody in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Hauled {
    /// The rope of a side.
    Rope(Side),
    /// What the one who hangs rolls on.
    Roller,
    /// The line that it rolls on.
    Line(On),
    /// The rope of the pulley set at hand.
    SetRope,
    /// The sheave of that which sees most.
    SetSheave,
}

/// A pulley set's pieces, in words.
const SET_ROPE: &str = "rope of the pulley set";
const SET_SHEAVE: &str = "sheave of the pulley set";

impl Hauled {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Rope(Side::A) => "rope at A",
            Self::Rope(Side::B) => "rope at B",
            Self::Roller => "roller",
            Self::Line(On::Main) => "main line",
            Self::Line(On::Backup) => "backup alone",
            Self::SetRope => SET_ROPE,
            Self::SetSheave => SET_SHEAVE,
        }
    }
}

impl std::fmt::Display for Passed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Line(stage) => f.write_str(stage),
            Self::Joint(stage) => write!(f, "{stage}, joint"),
            Self::Brake => f.write_str("brake"),
            Self::Release => f.write_str("release"),
            Self::SetRope => f.write_str(SET_ROPE),
            Self::SetSheave => f.write_str(SET_SHEAVE),
        }
    }
}

/// What comes lowest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Lowest {
    /// Feet of a walker who hangs still in the leash.
    Hanging,
    /// Feet after a leash fall.
    Fallen,
    /// Feet after the main line has gone and the backup caught.
    Caught,
    /// The line itself.
    Line,
}

impl Lowest {
    /// In data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Hanging => "hanging",
            Self::Fallen => "fallen",
            Self::Caught => "caught",
            Self::Line => "line",
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Hanging => "feet, hanging",
            Self::Fallen => "feet, after a fall",
            Self::Caught => "feet, after a catch",
            Self::Line => "the line",
        }
    }
}

/// Something over what lies under it.
#[derive(Debug, Clone, PartialEq)]
pub struct Height {
    /// Where along the span, m.
    pub x_m: f64,
    /// How low it comes, m.
    pub low_m: f64,
    /// Height of what lies there, m.
    pub top_m: f64,
    /// What lies there.
    pub over: String,
    /// What is asked for between the two, m.
    pub needed_m: f64,
    /// Stretches along the span in which it comes lower than asked for, m.
    pub stretches_m: Vec<[f64; 2]>,
}

impl Height {
    /// What is left between the two, m; below zero it is not over it any more.
    #[must_use]
    pub fn found_m(&self) -> f64 {
        self.low_m - self.top_m
    }
}

impl Place {
    /// Name of the run or point.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Part(n, _) | Self::Point(n) | Self::Anchor(n) | Self::Joint(n) | Self::Gear(n) => n,
            Self::Crossing(Passed::Line(stage) | Passed::Joint(stage)) => stage,
            Self::Crossing(Passed::Brake) => "brake",
            Self::Crossing(Passed::Release) => "release",
            Self::Crossing(Passed::SetRope) => SET_ROPE,
            Self::Crossing(Passed::SetSheave) => SET_SHEAVE,
            Self::Rescue(h) => h.words(),
            Self::Tie(name, _) | Self::Frame(name, _) => name,
            Self::Height(l) => l.words(),
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Part(run, n) => write!(f, "{run}, part {n}"),
            Self::Point(p) => write!(f, "{p}, hardware"),
            Self::Anchor(p) => write!(f, "{p}, anchor"),
            Self::Joint(p) => write!(f, "joints, {p}"),
            Self::Gear(g) => write!(f, "tensioning, {g}"),
            Self::Crossing(s) => write!(f, "line over, {s}"),
            Self::Rescue(h) => write!(f, "rescue, {}", h.words()),
            Self::Tie(name, TiePiece::Rope) => write!(f, "tie, {name}"),
            Self::Tie(name, TiePiece::Anchor(on)) => write!(f, "tie, {name}, {on}"),
            Self::Frame(head, piece) => write!(f, "{head}, {piece}"),
            Self::Height(l) => write!(f, "clearance, {}", l.words()),
        }
    }
}

/// How the title of a plate's row ends that speaks of one hole.
pub(super) const ONE_HOLE: &str = ", one hole";

/// One piece in one class of situations.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub place: Place,
    /// Its gear.
    pub title: String,
    /// Its item's name, if it is one.
    pub item: String,
    /// Its kind.
    pub kind: Kind,
    /// Class of the situations.
    pub class: Class,
    /// Where the largest demand was seen; nothing where nothing was.
    pub seen: Option<Seen>,
    /// By how much the demand differs between a play of the motion and one at half the step and mesh, as a share; put on
    /// the demand where it has not settled. Nothing where nothing moves, or it was played once.
    pub spread: Option<f64>,
    /// Of a clearance: what hangs over what; nothing where the ground is not known.
    pub height: Option<Height>,
    /// Largest tension or resultant, N.
    pub demand_n: f64,
    /// What is left of its rating.
    pub strength: Strength,
    /// Derated strength over demand; infinite when nothing pulls.
    pub factor: f64,
    /// What is asked for.
    pub required: f64,
    /// The verdict.
    pub verdict: Verdict,
}

impl Row {
    pub(super) fn new(
        place: Place,
        title: String,
        item: &str,
        kind: Kind,
        class: Class,
        demand: Peak,
        strength: Strength,
        required: f64,
        sound: bool,
    ) -> Self {
        let factor = match strength.counts_n() {
            Some(_) if demand.n <= 0.0 => f64::INFINITY,
            Some(s) => s / demand.n,
            None => f64::NAN,
        };
        let verdict = if sound { Verdict::of(demand.n, strength.counts_n(), required) } else { Verdict::Unsolved };
        Self {
            place,
            title,
            item: item.to_owned(),
            kind,
            class,
            seen: demand.seen,
            spread: demand.spread,
            height: None,
            demand_n: demand.n,
            strength,
            factor,
            required,
            verdict,
        }
    }

    /// A row of heights: found and asked for in metres instead of factors.
    pub(super) fn of_height(
        place: Place,
        class: Class,
        situation: Option<&Situation>,
        height: Option<Height>,
        verdict: Verdict,
        why: &str,
    ) -> Self {
        let title = height.as_ref().map_or_else(|| "ground".to_owned(), |h| format!("over {}", h.over));
        let (found, needed) = height.as_ref().map_or((f64::NAN, f64::NAN), |h| (h.found_m(), h.needed_m));
        Self {
            place,
            title,
            item: String::new(),
            kind: Kind::Clearance,
            class,
            seen: situation.map(Seen::from),
            spread: None,
            demand_n: 0.0,
            strength: Strength { low_n: 0.0, nominal_n: 0.0, doubts: Vec::new(), ..Strength::unrated(why) },
            factor: if found.is_nan() { 0.0 } else { found },
            required: if needed.is_nan() { 0.0 } else { needed },
            height,
            verdict,
        }
    }

    /// Whether it is a height, and not a strength.
    #[must_use]
    pub fn is_height(&self) -> bool {
        matches!(self.place, Place::Height(_))
    }

    /// What it sees: a force, or how low it comes.
    #[must_use]
    pub fn sees(&self, system: System) -> String {
        match &self.height {
            Some(h) => show(Dim::Length, h.low_m, system),
            None if self.is_height() => "–".to_owned(),
            None => show(Dim::Force, self.demand_n, system),
        }
    }

    /// The situation with the largest demand, in words.
    #[must_use]
    pub fn case(&self) -> String {
        self.seen.as_ref().map_or_else(String::new, Seen::to_string)
    }

    /// The situation with the largest demand.
    #[must_use]
    pub fn situation(&self) -> Option<&Situation> {
        self.seen.as_ref().map(|s| &s.situation)
    }

    /// The situation in words, with the spread of what has not settled.
    #[must_use]
    pub fn told(&self) -> String {
        match self.spread.filter(|s| *s > SETTLED) {
            Some(s) => {
                format!("{} ({:.0} % put on: it does not settle at half the step and mesh)", self.case(), 100.0 * s)
            }
            None => self.case(),
        }
    }

    /// What it is held against: what is left of its rating, or the height of what lies under it.
    #[must_use]
    pub fn keeps(&self, system: System) -> String {
        match (&self.height, self.strength.counts_n()) {
            (Some(h), _) => show(Dim::Length, h.top_m, system),
            (None, Some(n)) => show(Dim::Force, n, system),
            (None, None) => "–".to_owned(),
        }
    }

    /// What is found: a factor, or metres.
    #[must_use]
    pub fn found(&self, system: System) -> String {
        match &self.height {
            // Towards less, so that no figure looks better than it is.
            Some(h) => show(Dim::Length, floor_cm(h.found_m()), system),
            None => factor_text(self.factor),
        }
    }

    /// What is asked for, likewise.
    #[must_use]
    pub fn asked(&self, system: System) -> String {
        match &self.height {
            Some(h) => show(Dim::Length, h.needed_m, system),
            None if self.is_height() => "–".to_owned(),
            None => factor_text(self.required),
        }
    }

    /// Whether it speaks of one hole of a plate.
    #[must_use]
    pub fn one_hole(&self) -> bool {
        self.title.ends_with(ONE_HOLE)
    }

    /// Found over asked for: below 1 it does not meet.
    #[must_use]
    pub fn margin(&self) -> f64 {
        if self.is_height() && self.required <= 0.0 {
            // Nothing is asked for: one more than what is found.
            return 1.0 + self.factor;
        }
        self.factor / self.required
    }

    /// Its class and situation in words; the class once only.
    #[must_use]
    pub fn class_and_case(&self) -> String {
        let class = self.class.word();
        if self.case().contains(class) { self.told() } else { format!("{class} {}", self.told()) }
    }

    /// Orders rows from the worst to the best.
    #[must_use]
    pub fn worst_first(&self, other: &Self) -> std::cmp::Ordering {
        other.verdict.cmp(&self.verdict).then(self.margin().total_cmp(&other.margin()))
    }
}

/// Largest value so far and where.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Peak {
    pub(super) n: f64,
    pub(super) seen: Option<Seen>,
    /// By how much it differs between two plays.
    pub(super) spread: Option<f64>,
}

/// Peaks that differ by less than this at half the step and mesh have settled.
pub(super) const SETTLED: f64 = 0.05;

impl Peak {
    pub(super) fn see(&mut self, n: f64, seen: impl FnOnce() -> Seen) {
        if n > self.n || self.seen.is_none() {
            *self = Self { n, seen: Some(seen()), spread: None };
        }
    }

    /// The same for what moves, by its unfavourable end where it has not settled.
    pub(super) fn see_moving(&mut self, n: f64, spread: Option<f64>, seen: impl FnOnce() -> Seen) {
        let n = n * (1.0 + spread.filter(|s| *s > SETTLED).unwrap_or(0.0));
        if n > self.n || self.seen.is_none() {
            *self = Self { n, seen: Some(seen()), spread };
        }
    }
}

/// Down to whole centimetres.
pub(super) fn floor_cm(m: f64) -> f64 {
    (m * 100.0).floor() / 100.0
}

/// A factor for people; rounded down, so that no figure looks better than it is.
#[must_use]
pub(crate) fn factor_text(factor: f64) -> String {
    match factor {
        f if f.is_nan() => "–".to_owned(),
        f if f >= 100.0 => ">100".to_owned(),
        f => format!("{:.1}", (f * 10.0).floor() / 10.0),
    }
}
