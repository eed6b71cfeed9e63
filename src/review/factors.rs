//! Required factors: the rigger's choice, per class of case and kind of piece.

use super::case::Class;
use crate::plan::{FactorSet, Plan};

/// Kind of piece, as far as required factors go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Of the main line.
    Main,
    /// Of the backup.
    Backup,
    /// Soft part of an anchor.
    Soft,
    /// Metal.
    Hardware,
    /// What fixes a point.
    Anchor,
    /// Of the leash.
    Leash,
    /// There only while tensioning, when nobody is on the line.
    Pulling,
    /// There only while the line goes over: each line of the ladder.
    Crossing,
    /// What tows somebody in who hangs still.
    Tow,
    /// What somebody works at an edge on.
    Tie,
    /// A foot of a frame, held by friction.
    Foot,
    /// No piece, but a height over the ground.
    Clearance,
}

impl Kind {
    /// As written in a plan.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::Main => "Main",
            Self::Backup => "Backup",
            Self::Soft => "Soft",
            Self::Hardware => "Hardware",
            Self::Anchor => "Anchor",
            Self::Leash => "Leash",
            Self::Pulling => "Pulling",
            Self::Crossing => "Crossing",
            Self::Tow => "Tow",
            Self::Tie => "Tie",
            Self::Foot => "Foot",
            Self::Clearance => "Clearance",
        }
    }

    /// What holds when the plan says nothing (working, fall, failure). Common practice, no source.
    pub(super) fn usual(self) -> [f64; 3] {
        match self {
            Self::Main | Self::Hardware | Self::Tow | Self::Tie => [5.0, 3.0, 2.0],
            Self::Backup => [5.0, 3.0, 2.5],
            Self::Soft => [5.0, 5.0, 2.0],
            Self::Anchor => [3.0, 3.0, 2.0],
            Self::Leash => [5.0, 5.0, 3.0],
            // Over the whole rig's rule of three, on what breaks it; its label's limit is looked at beside.
            Self::Pulling => [3.0, 3.0, 2.0],
            // Four to five times its pull: common practice, no source.
            Self::Crossing => [4.0, 3.0, 2.0],
            // Against sliding: common practice, no source.
            Self::Foot => [2.0, 1.5, 1.5],
            // Heights are asked for in metres.
            Self::Clearance => [1.0; 3],
        }
    }
}

fn of(set: FactorSet, class: Class) -> Option<f64> {
    match class {
        Class::Working => set.working,
        Class::Fall => set.fall,
        Class::Failure => set.failure,
    }
}

/// The factor required of a piece: its own, else the plan's for its kind, else what is usual for a kind that differs
/// from the rest, else the plan's for all, else what is usual. So a plan that states the usual changes nothing; one that
/// asks for less of all says of which kinds it means it.
#[must_use]
pub fn required(plan: &Plan, own: FactorSet, kind: Kind, class: Class) -> f64 {
    let usual = kind.usual()[class as usize];
    let differs = usual != Kind::Main.usual()[class as usize];
    of(own, class)
        .or_else(|| plan.factors.by_kind.get(kind.id()).and_then(|s| of(*s, class)))
        // Sliding is no breaking: what is asked of all pieces' strength is not meant for it.
        .or_else(|| of(plan.factors.all, class).filter(|all| kind != Kind::Foot && (!differs || *all > usual)))
        .unwrap_or(usual)
}
