//! Getting somebody off the line who hangs still: ropes to tow with, hands, times, what has been drilled.

use super::model::{Part, PartLength, Side};
use super::tensioning::PulleySet;
use crate::mechanics::tow::Times;
use crate::units::{Force, Length, Quantity, Time};

/// A rope to tow with, ready at a side; the kit for the way out is with it.
#[derive(Debug, Clone, PartialEq)]
pub struct TowRope {
    /// Where it is.
    pub side: Side,
    /// What it is, with its ends.
    pub rope: Part,
    /// What stays at the edge for hands and anchor.
    pub kept: Length,
}

impl TowRope {
    /// How far it reaches beyond the edge, m.
    #[must_use]
    pub fn reach_m(&self) -> f64 {
        let length = match self.rope.length {
            PartLength::Is(l) => l.si(),
            _ => 0.0,
        };
        length - self.kept.si()
    }
}

/// What the one who hangs rolls on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RollsOn {
    /// A pulley that is brought.
    Roller,
    /// The leash's own rings.
    Rings,
}

impl RollsOn {
    /// Friction of the line through it, least and most; from memory.
    #[must_use]
    pub fn friction(self) -> [f64; 2] {
        match self {
            Self::Roller => [0.03, 0.08],
            Self::Rings => [0.15, 0.25],
        }
    }
}

/// A drill that was timed.
#[derive(Debug, Clone, PartialEq)]
pub struct Drill {
    /// How long it took.
    pub took: Time,
    /// From how far off the side with the kit.
    pub from: Length,
    /// When.
    pub date: String,
}

/// Getting somebody off the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Rescue {
    /// Ropes to tow with.
    pub ropes: Vec<TowRope>,
    /// What the one who hangs rolls on.
    pub on: RollsOn,
    /// Friction of the line through it, least and most.
    pub friction: [f64; 2],
    /// The item it is.
    pub roller: Option<String>,
    /// Hands left at A and at B once the rescuer is out.
    pub hands: [usize; 2],
    /// With how much each pulls.
    pub each: Force,
    /// A pulley set at hand.
    pub set: Option<PulleySet>,
    /// Rope to lower with.
    pub lower: Option<Length>,
    /// Where somebody can be received, from and to along the gap.
    pub landing: Vec<(Length, Length)>,
    /// What each step takes.
    pub times: Times,
    /// A drill that was timed.
    pub drilled: Option<Drill>,
    /// The longest that somebody may hang.
    pub limit: Time,
}

impl Rescue {
    /// From the alarm until somebody `x_m` off the side with the kit is over its edge, s: with what a drill took longer than
    /// these times; what it took less is not counted.
    #[must_use]
    pub fn total_s(&self, x_m: f64) -> f64 {
        self.times.total_s(x_m) + self.slower_s()
    }

    /// From the alarm until somebody `x_m` off the side with the kit stands on the ground `down_m` below, s: let down as fast
    /// as others are towed.
    #[must_use]
    pub fn lowered_s(&self, x_m: f64, down_m: f64) -> f64 {
        let t = &self.times;
        t.alarm_s + t.kit_s + x_m / t.out_m_per_s + t.pick_up_s + down_m / t.tow_m_per_s + self.slower_s()
    }

    /// What a drill took longer than these times, s.
    fn slower_s(&self) -> f64 {
        self.drilled.as_ref().map_or(0.0, |d| d.took.si() - self.times.total_s(d.from.si())).max(0.0)
    }
}
