//! What the people hang on who work at an edge: ropes, their anchors, and which hang there at which step.

use super::model::{Part, PartLength, Side};
use crate::catalogue::Surface;
use crate::units::{Length, Quantity};

/// A rope to work at an edge on.
#[derive(Debug, Clone, PartialEq)]
pub struct Tie {
    /// Its side.
    pub side: Side,
    /// What it hangs on: fixed points.
    pub anchors: Vec<String>,
    /// What it is, with its ends; its length is from the anchor to the tie-in.
    pub rope: Part,
    /// From the anchor to the lip.
    pub lip: Length,
    /// Height of the tie-in over the ground.
    pub tie_in: Length,
    /// How many hang on it.
    pub people: usize,
    /// What it runs over at the lip.
    pub over: Surface,
}

impl Tie {
    /// From the anchor to the tie-in, m.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        match self.rope.length {
            PartLength::Is(l) => l.si(),
            _ => 0.0,
        }
    }
}

/// A step of the work at the edges, in the order in which they come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Bolts, slings, masters.
    Anchors,
    /// The first line over.
    Messenger,
    /// The line over.
    LineOver,
    /// Its locks closed on the masters.
    Locks,
    /// Pulled to its tension.
    Tension,
    /// The first walk.
    FirstWalk,
    /// Walking.
    Walking,
    /// Somebody is got off.
    Rescue,
    /// Let down.
    Release,
    /// The line back.
    LineBack,
    /// Everything off, the last person.
    Strip,
}

impl Step {
    /// All, in order, with the words of a plan.
    pub const ALL: [(Self, &'static str); 11] = [
        (Self::Anchors, "anchors"),
        (Self::Messenger, "messenger"),
        (Self::LineOver, "line over"),
        (Self::Locks, "locks"),
        (Self::Tension, "tension"),
        (Self::FirstWalk, "first walk"),
        (Self::Walking, "walking"),
        (Self::Rescue, "rescue"),
        (Self::Release, "release"),
        (Self::LineBack, "line back"),
        (Self::Strip, "strip"),
    ];

    /// The words of a plan, alone.
    pub const WORDS: [&'static str; 11] = {
        let mut out = [""; 11];
        let mut k = 0;
        while k < 11 {
            out[k] = Self::ALL[k].1;
            k += 1;
        }
        out
    };

    /// The one that a plan's words mean.
    #[must_use]
    pub fn named(words: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == words).map(|(s, _)| *s)
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        Self::ALL[self as usize].1
    }

    /// Whether the line pulls at its anchors while it lasts.
    #[must_use]
    pub fn under_tension(self) -> bool {
        self >= Self::Tension && self <= Self::Release
    }

    /// How many stand within two metres of a lip, at a side that pulls the line to its tension or does not. Common practice,
    /// no source.
    #[must_use]
    pub fn people(self, pulls: bool) -> usize {
        match self {
            Self::Tension | Self::Release => usize::from(pulls),
            Self::Rescue => 2,
            _ => 1,
        }
    }
}

/// Who hangs on what at a step.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AtStep {
    /// Ties in use at A and at B.
    pub ties: [Vec<String>; 2],
    /// People at a lip at A and at B, where the plan says.
    pub people: [Option<usize>; 2],
}
