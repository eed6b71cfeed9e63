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
        }
    }

    /// What holds when the plan says nothing (working, fall, failure). Common practice, no source.
    fn usual(self) -> [f64; 3] {
        match self {
            Self::Main | Self::Hardware => [5.0, 3.0, 2.0],
            Self::Backup => [5.0, 3.0, 2.5],
            Self::Soft => [5.0, 5.0, 2.0],
            Self::Anchor => [3.0, 3.0, 2.0],
            Self::Leash => [5.0, 5.0, 3.0],
            // Over the whole rig's rule of three, on what breaks it; its label's limit is looked at beside.
            Self::Pulling => [3.0, 3.0, 2.0],
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

/// The factor required of a piece: its own, else the plan's for its kind, else the plan's, else what is usual.
#[must_use]
pub fn required(plan: &Plan, own: FactorSet, kind: Kind, class: Class) -> f64 {
    of(own, class)
        .or_else(|| plan.factors.by_kind.get(kind.id()).and_then(|s| of(*s, class)))
        .or_else(|| of(plan.factors.all, class))
        .unwrap_or_else(|| kind.usual()[class as usize])
}
