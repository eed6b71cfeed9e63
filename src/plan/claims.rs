//! What a friend's plan asserts: a figure that the review has too, and what they say it is.

use super::model::Side;
use crate::units::Dim;

/// A figure that somebody may assert.
#[derive(Debug, Clone, PartialEq)]
pub enum Figure {
    /// Standing tension at a side.
    Standing(Side),
    /// Most tension of a run while somebody walks.
    Walking(String),
    /// Most tension of a run in a fall.
    Falling(String),
    /// Most tension of a run when something has gone.
    Failing(String),
    /// Sag with nobody on it.
    Sag,
    /// Sag with the heaviest walker in the middle.
    SagWalker,
    /// Time of a pulse there and back.
    Pulse,
    /// Unstretched length of a run's soft parts.
    Length(String),
    /// Length of the backup over that of the line.
    Excess,
    /// What an anchor holds.
    Holds(String),
    /// What a leg takes of its master's pull, standing.
    Share(String),
    /// Least factor of a run or a point.
    Factor(String),
    /// Height of the line over what lies below, a walker at that share of the line.
    Clear(f64),
    /// Most that a body feels in a leash fall.
    BodyFallen,
    /// Most that a body feels in the backup's catch.
    BodyCaught,
    /// Days that a run's webbing is given.
    Days(String),
    /// Least height of the feet over the ground, hanging in the leash.
    FeetHanging,
    /// The same after a fall.
    FeetFallen,
    /// The same after the backup's catch.
    FeetCaught,
    /// What hands pull a stage over with.
    Pull(String),
    /// Rope that a rescue needs.
    TowRope,
    /// Time that a rescue takes at the most.
    Rescue,
}

impl Figure {
    /// What it is measured in; nothing for a bare number.
    #[must_use]
    pub fn dim(&self) -> Option<Dim> {
        Some(match self {
            Self::Standing(_)
            | Self::Walking(_)
            | Self::Falling(_)
            | Self::Failing(_)
            | Self::Holds(_)
            | Self::BodyFallen
            | Self::BodyCaught
            | Self::Pull(_) => Dim::Force,
            Self::Sag
            | Self::SagWalker
            | Self::Length(_)
            | Self::FeetHanging
            | Self::FeetFallen
            | Self::FeetCaught
            | Self::Clear(_)
            | Self::TowRope => Dim::Length,
            Self::Pulse | Self::Rescue => Dim::Time,
            Self::Excess | Self::Share(_) => Dim::Share,
            Self::Factor(_) | Self::Days(_) => return None,
        })
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Standing(side) => format!("standing tension at {side:?}"),
            Self::Walking(run) => format!("{run}, while somebody walks"),
            Self::Falling(run) => format!("{run}, in a fall"),
            Self::Failing(run) => format!("{run}, when something has gone"),
            Self::Sag => "sag, nobody on it".to_owned(),
            Self::SagWalker => "sag, a walker in the middle".to_owned(),
            Self::Pulse => "pulse, there and back".to_owned(),
            Self::Length(run) => format!("{run}, unstretched"),
            Self::Excess => "excess of the backup".to_owned(),
            Self::Holds(point) => format!("{point} holds"),
            Self::Share(leg) => format!("share of {leg}"),
            Self::Factor(name) => format!("least factor of {name}"),
            Self::Clear(at) => format!("the line over what lies below, a walker at {at}"),
            Self::BodyFallen => "what a body feels in a fall".to_owned(),
            Self::BodyCaught => "what a body feels in a catch".to_owned(),
            Self::Days(run) => format!("days that {run} is given"),
            Self::FeetHanging => "feet over the ground, hanging".to_owned(),
            Self::FeetFallen => "feet over the ground, after a fall".to_owned(),
            Self::FeetCaught => "feet over the ground, after a catch".to_owned(),
            Self::Pull(stage) => format!("{stage}, at the hands"),
            Self::TowRope => "rope that a rescue needs".to_owned(),
            Self::Rescue => "a rescue, at the most".to_owned(),
        }
    }

    /// Whether it is dangerous to think it other than it is, either way: what is set by it comes out too tight or too slack.
    #[must_use]
    pub fn flatters_either_way(&self) -> bool {
        matches!(self, Self::Standing(_) | Self::Pulse | Self::Length(_) | Self::Excess)
    }

    /// Whether it is dangerous to think it larger than it is; else to think it smaller.
    #[must_use]
    pub fn flatters_when_more(&self) -> bool {
        matches!(
            self,
            Self::Holds(_)
                | Self::Factor(_)
                | Self::Clear(_)
                | Self::Days(_)
                | Self::FeetHanging
                | Self::FeetFallen
                | Self::FeetCaught
        )
    }
}

/// What somebody says of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Claim {
    /// Of which figure.
    pub what: Figure,
    /// In SI.
    pub says: f64,
    /// Where it is from.
    pub by: String,
}
