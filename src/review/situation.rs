//! What a rig is looked at in, as a value: who is where, what has gone, what else is against it. The one place where a
//! situation gets its words, and its key in data.

use std::fmt::{self, Display, Formatter};

use schemars::JsonSchema;
use serde::{Serialize, Serializer};

use super::rescue::On;
use super::row::Lowest;
use crate::plan::Side;

/// A place along the line as a share of it from A, to a ten-thousandth, so that the same place is the same value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Share(u16);

impl Share {
    const WHOLE: f64 = 1e4;

    /// The nearest to `at`, within the line.
    #[must_use]
    pub fn of(at: f64) -> Self {
        Self((at.clamp(0.0, 1.0) * Self::WHOLE).round() as u16)
    }

    /// From 0 at A to 1 at B.
    #[must_use]
    pub fn get(self) -> f64 {
        f64::from(self.0) / Self::WHOLE
    }
}

impl Display for Share {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2}", self.get())
    }
}

impl Serialize for Share {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_f64(self.get())
    }
}

impl JsonSchema for Share {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Share".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number", "minimum": 0, "maximum": 1, "description": "Share of the line from A." })
    }
}

/// A piece that can go.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Lost {
    /// A segment of the main line or of the backup, between joints, from 1; no number where there is only one.
    Segment {
        /// The run.
        run: String,
        /// Which of its segments.
        number: Option<usize>,
    },
    /// A joint that is one piece, from 1.
    Joint(usize),
    /// What joins main to main at a joint.
    MainTie(usize),
    /// What joins backup to backup at a joint.
    BackupTie(usize),
    /// A run: a leg.
    Run(String),
    /// A point, with what fixes it and its hardware.
    Point(String),
}

impl Display for Lost {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Segment { run, number: None } | Self::Run(run) => f.write_str(run),
            Self::Segment { run, number: Some(n) } => write!(f, "{run} segment {n}"),
            Self::Joint(n) => write!(f, "joint {n}"),
            Self::MainTie(n) => write!(f, "joint {n}, main to main"),
            Self::BackupTie(n) => write!(f, "joint {n}, backup to backup"),
            Self::Point(p) => f.write_str(p),
        }
    }
}

/// Pieces of which any one is enough, the first named, in words.
fn any_of(pieces: &[Lost]) -> String {
    match pieces {
        [] => String::new(),
        [one] => one.to_string(),
        [one, other] => format!("{one} or {other}"),
        many => format!("{} or one of {} more", many[0], many.len() - 1),
    }
}

/// Who is on the line when a piece goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Then {
    /// One walker, standing on.
    Stands,
    /// One walker, falling with it.
    Falls,
    /// So many, standing on.
    Together(usize),
}

/// What happens.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// Nobody on the line.
    Standing,
    /// The heaviest walker.
    Walker {
        /// Where.
        at: Share,
    },
    /// As many as the plan allows at one place.
    Together {
        /// How many.
        people: usize,
        /// Where.
        at: Share,
    },
    /// The heaviest walker, bouncing.
    Bounce {
        /// Where.
        at: Share,
    },
    /// A situation of the plan's own.
    Own {
        /// Its name.
        name: String,
    },
    /// The line on its pulley system.
    Tensioning,
    /// A stage of the line going over.
    Crossing {
        /// Its name.
        stage: String,
    },
    /// Somebody who hangs still, towed to a side.
    Towed {
        /// On which line.
        on: On,
        /// The side that pulls.
        to: Side,
    },
    /// Somebody who works at an edge slips, or goes over it, on a tie.
    Slip {
        /// The tie.
        tie: String,
    },
    /// A leash fall, by its energy, or the catch of the backup likewise, or hanging in the leash: anywhere on the line.
    Estimate(Lowest),
    /// A leash fall, played.
    Fall {
        /// Where.
        at: Share,
        /// Mass of the one who falls where it is not the heaviest, g.
        mass_g: Option<u32>,
        /// What had gone before, of which any one is enough.
        missing: Vec<Lost>,
    },
    /// A piece goes, played.
    Gone {
        /// The pieces whose going it is, of which any one is enough.
        pieces: Vec<Lost>,
        /// Who is on the line.
        then: Then,
        /// Where.
        at: Share,
        /// Whether the ring slides along what catches.
        slides: bool,
    },
}

/// The side that wind comes from, seen from A.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FromSide {
    /// From the right.
    Right,
    /// From the left.
    Left,
}

impl FromSide {
    /// Of a speed that is positive from the right.
    #[must_use]
    pub fn of(speed_m_s: f64) -> Self {
        if speed_m_s > 0.0 { Self::Right } else { Self::Left }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Left => "left",
        }
    }
}

/// What stands against the rig beside what happens.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum With {
    /// The wind that one walks in.
    Wind(FromSide),
    /// The wind that the line is left up in.
    Storm(FromSide),
    /// At the coldest of the plan.
    Coldest,
    /// At the warmest.
    Warmest,
    /// Fibres expanding as little as they may.
    ExpandingLeast,
    /// Friction of what slides at its limit.
    Held {
        /// The run.
        run: String,
        /// Which of its strands carries most, from 1.
        strand: usize,
    },
    /// A leg short by its tolerance, the others of its anchor long.
    Short {
        /// The run.
        run: String,
        /// By how much, mm.
        mm: u32,
    },
    /// Gear used and set under load.
    SetGear,
    /// New gear.
    NewGear,
    /// So many more who stand on the line.
    Others(usize),
    /// The strongest gust of a day that the line stays up.
    Gust {
        /// The day.
        date: String,
        /// Where it comes from.
        from: FromSide,
    },
    /// The line as slack as it becomes while it stays up.
    Crept,
}

impl Display for With {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Wind(from) => write!(f, "wind from the {}", from.word()),
            Self::Storm(from) => write!(f, "storm from the {}", from.word()),
            Self::Coldest => f.write_str("coldest"),
            Self::Warmest => f.write_str("warmest"),
            Self::ExpandingLeast => f.write_str("fibres expanding least"),
            Self::Held { run, strand } => write!(f, "{run} held at its leg {strand}"),
            Self::Short { run, mm } => write!(f, "{run} {mm} mm short, the others long"),
            Self::SetGear => f.write_str("gear used and set"),
            Self::NewGear => f.write_str("new gear"),
            Self::Others(n) => write!(f, "{n} more on the line"),
            Self::Gust { date, from } => write!(f, "gust of {date} from the {}", from.word()),
            Self::Crept => f.write_str("as slack as it becomes"),
        }
    }
}

/// What a rig is looked at in.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Situation {
    /// What happens.
    pub cause: Cause,
    /// What else is against it.
    pub with: Vec<With>,
}

impl From<Cause> for Situation {
    fn from(cause: Cause) -> Self {
        Self { cause, with: Vec::new() }
    }
}

impl Situation {
    /// Nobody on the line, as drawn.
    pub const STANDING: Self = Self { cause: Cause::Standing, with: Vec::new() };
    /// The line on its pulley system.
    pub const TENSIONING: Self = Self { cause: Cause::Tensioning, with: Vec::new() };

    /// The heaviest walker there, as drawn.
    #[must_use]
    pub fn walker(at: f64) -> Self {
        Cause::Walker { at: Share::of(at) }.into()
    }

    /// Where along the line it happens, as a share of it; nothing where it is the line as a whole.
    #[must_use]
    pub fn place(&self) -> Option<f64> {
        match &self.cause {
            Cause::Walker { at }
            | Cause::Together { at, .. }
            | Cause::Bounce { at }
            | Cause::Fall { at, .. }
            | Cause::Gone { at, .. } => Some(at.get()),
            Cause::Standing
            | Cause::Own { .. }
            | Cause::Tensioning
            | Cause::Crossing { .. }
            | Cause::Towed { .. }
            | Cause::Slip { .. }
            | Cause::Estimate(_) => None,
        }
    }

    /// The same with more against it.
    #[must_use]
    pub fn with(&self, more: With) -> Self {
        let mut out = self.clone();
        out.with.push(more);
        out
    }

    /// Pieces that go in it, or had gone before it; of each any one is enough.
    #[must_use]
    pub fn pieces(&self) -> &[Lost] {
        match &self.cause {
            Cause::Gone { pieces, .. } => pieces,
            Cause::Fall { missing, .. } => missing,
            _ => &[],
        }
    }

    /// The same in words, each of them.
    #[must_use]
    pub fn lost(&self) -> String {
        self.pieces().iter().map(ToString::to_string).collect::<Vec<_>>().join(" or ")
    }

    /// Its key in data: one line, the same for the same situation of any plan and release, in the words of its fields.
    #[must_use]
    pub fn key(&self) -> String {
        let mut out = self.cause.key();
        for w in &self.with {
            out += "; ";
            out += &w.key();
        }
        out
    }
}

/// A list of pieces in a key.
fn keys(pieces: &[Lost]) -> String {
    let of = |p: &Lost| match p {
        Lost::Segment { run, number } => format!("segment {run}/{}", number.unwrap_or(1)),
        Lost::Joint(n) => format!("joint {n}"),
        Lost::MainTie(n) => format!("main tie {n}"),
        Lost::BackupTie(n) => format!("backup tie {n}"),
        Lost::Run(r) => format!("run {r}"),
        Lost::Point(p) => format!("point {p}"),
    };
    pieces.iter().map(of).collect::<Vec<_>>().join(" | ")
}

impl Cause {
    fn key(&self) -> String {
        let at = |at: &Share| format!("@{}", at.get());
        match self {
            Self::Standing => "standing".to_owned(),
            Self::Walker { at: a } => format!("walker{}", at(a)),
            Self::Together { people, at: a } => format!("together {people}{}", at(a)),
            Self::Bounce { at: a } => format!("bounce{}", at(a)),
            Self::Own { name } => format!("own {name}"),
            Self::Tensioning => "tensioning".to_owned(),
            Self::Crossing { stage } => format!("crossing {stage}"),
            Self::Slip { tie } => format!("slip {tie}"),
            Self::Towed { on, to } => format!("towed {} {to:?}", on.key()),
            Self::Estimate(lowest) => format!("estimate {}", lowest.key()),
            Self::Fall { at: a, mass_g, missing } => {
                let mass = mass_g.map_or_else(String::new, |g| format!(" {g} g"));
                let without = if missing.is_empty() { String::new() } else { format!(" without [{}]", keys(missing)) };
                format!("fall{mass}{}{without}", at(a))
            }
            Self::Gone { pieces, then, at: a, slides } => {
                let who = match then {
                    Then::Stands => "stands".to_owned(),
                    Then::Falls => "falls".to_owned(),
                    Then::Together(n) => format!("together {n}"),
                };
                format!("gone [{}] {who}{}{}", keys(pieces), at(a), if *slides { " slides" } else { "" })
            }
        }
    }
}

impl With {
    fn key(&self) -> String {
        match self {
            Self::Wind(from) => format!("wind {}", from.word()),
            Self::Storm(from) => format!("storm {}", from.word()),
            Self::Coldest => "coldest".to_owned(),
            Self::Warmest => "warmest".to_owned(),
            Self::ExpandingLeast => "expanding least".to_owned(),
            Self::Held { run, strand } => format!("held {run}/{strand}"),
            Self::Short { run, mm } => format!("short {run} {mm} mm"),
            Self::SetGear => "set gear".to_owned(),
            Self::NewGear => "new gear".to_owned(),
            Self::Others(n) => format!("others {n}"),
            Self::Gust { date, from } => format!("gust {date} {}", from.word()),
            Self::Crept => "crept".to_owned(),
        }
    }
}

impl Display for Cause {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Standing => f.write_str("standing"),
            Self::Walker { at } => write!(f, "walker {at}"),
            Self::Together { people, at } => write!(f, "{people} at {at}"),
            Self::Bounce { at } => write!(f, "bounce {at}"),
            Self::Own { name } => f.write_str(name),
            Self::Tensioning => f.write_str(crate::plan::tensioning::SITUATION),
            Self::Crossing { stage } => write!(f, "{stage} going over"),
            Self::Slip { tie } => write!(f, "a slip at the edge, on {tie}"),
            Self::Towed { on, to } => write!(f, "towing to {to:?}, {}", on.words()),
            Self::Estimate(Lowest::Hanging) => f.write_str("hanging in the leash"),
            Self::Estimate(Lowest::Fallen) => f.write_str("leash fall, by energy"),
            Self::Estimate(Lowest::Caught) => f.write_str("backup's catch, by energy"),
            Self::Estimate(Lowest::Line) => f.write_str("the line"),
            Self::Fall { at, mass_g, missing } => {
                if !missing.is_empty() {
                    write!(f, "{} missing, ", any_of(missing))?;
                }
                write!(f, "leash fall {at}")?;
                mass_g.map_or(Ok(()), |g| write!(f, ", {:.0} kg", f64::from(g) / 1e3))
            }
            Self::Gone { pieces, then, at, slides } => {
                write!(f, "{} gone, ", any_of(pieces))?;
                match then {
                    Then::Stands => write!(f, "walker {at}")?,
                    Then::Falls => write!(f, "walker falls {at}")?,
                    Then::Together(n) => write!(f, "{n} at {at}")?,
                }
                f.write_str(if *slides { ", ring slides" } else { "" })
            }
        }
    }
}

impl Display for Situation {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.cause)?;
        self.with.iter().try_for_each(|w| write!(f, ", {w}"))
    }
}

/// How a row's demand comes about in its situation.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// As it is there.
    Itself,
    /// At this joint, from 1.
    AtJoint(usize),
    /// Were one leg to carry the whole pull of this point.
    OneLegOf(String),
    /// While this piece, which would have broken, is held strong.
    Holding(String),
}

/// Where a row's demand was seen.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Seen {
    /// In which situation.
    pub situation: Situation,
    /// How it comes about there.
    pub how: How,
}

impl From<&Situation> for Seen {
    fn from(situation: &Situation) -> Self {
        Self { situation: situation.clone(), how: How::Itself }
    }
}

impl Display for Seen {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        let what = &self.situation;
        match &self.how {
            How::Itself => write!(f, "{what}"),
            How::AtJoint(n) => write!(f, "{what}, joint {n}"),
            How::OneLegOf(point) => write!(f, "one leg carries all of {point} ({what})"),
            How::Holding(piece) => write!(f, "{what}, {piece} held as if strong enough"),
        }
    }
}

/// A situation that has no solution, or none that its certificate bears out.
#[derive(Debug, Clone, PartialEq)]
pub struct Unsolved {
    /// Which; nothing for those that were not tried after it.
    pub situation: Option<Situation>,
    /// Why.
    pub why: String,
}

impl Unsolved {
    /// Which, in words.
    #[must_use]
    pub fn words(&self) -> String {
        self.situation.as_ref().map_or_else(|| "the other situations".to_owned(), Situation::to_string)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A key is made of data: what differs in words alone has one key, and what differs in data has another, even where
    /// the words are the same.
    #[test]
    fn keys_tell_apart_what_words_do_not() {
        let gone = |piece: Lost| -> Situation {
            Cause::Gone { pieces: vec![piece], then: Then::Stands, at: Share::of(0.5), slides: false }.into()
        };
        let [run, point] = [gone(Lost::Run("A".into())), gone(Lost::Point("A".into()))];
        assert_eq!(run.to_string(), point.to_string());
        assert_ne!(run.key(), point.key());
        let own: Situation = Cause::Own { name: "walker 0.50".into() }.into();
        assert_eq!(own.to_string(), Situation::walker(0.5).to_string());
        assert_ne!(own.key(), Situation::walker(0.5).key());
        // Two places a hundredth of a percent apart are told apart, and the same place is one value however it came about.
        assert_ne!(Situation::walker(0.5), Situation::walker(0.5002));
        assert_eq!(Situation::walker(0.1 + 0.2), Situation::walker(0.3));
    }
}
