//! How the line gets over the gap, and down again: each stage pulled over by the one before, a brake where they are sent.

use super::model::{Part, Side};
use super::tensioning::PulleySet;
use crate::catalogue::{Rating, Surface};
use crate::units::{Force, Length, Mass, Velocity};

/// What is held while a stage goes over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// The sag below the straight line between the edges.
    Sag(Length),
    /// The height over ground and obstacles.
    Clear(Length),
    /// The tension at the sending edge.
    Brake(Force),
}

/// What goes over.
#[derive(Debug, Clone, PartialEq)]
pub enum Carried {
    /// A line of its own.
    Part(Box<Part>),
    /// Runs of the rig.
    Runs(Vec<String>),
}

/// One of them, pulled over by the one before.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// What to call it.
    pub name: String,
    /// How it gets over by itself; only the first does.
    pub by: String,
    /// What it is.
    pub carried: Carried,
    /// The item that joins it to the line that pulls it.
    pub joint: Option<String>,
    /// Rings that go over on it.
    pub rings: usize,
    /// What else is at its leading end: tape, markers, a swivel.
    pub extra: Mass,
}

/// A brake.
#[derive(Debug, Clone, PartialEq)]
pub struct Brake {
    /// Turns round it.
    pub turns: f64,
    /// Of what it is.
    pub on: Surface,
    /// What it holds.
    pub rating: Option<Rating>,
}

/// Getting the line over.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossing {
    /// The side that the line is sent from; the other pulls.
    pub sends: Side,
    /// What is held meanwhile.
    pub held: Held,
    /// Wind for this work.
    pub wind: Velocity,
    /// Whether the lines may be wet.
    pub wet: bool,
    /// In order.
    pub stages: Vec<Stage>,
    /// What the line runs over at A and at B.
    pub edges: [Surface; 2],
    /// Within so much of either edge the height is not looked at.
    pub lips: Length,
    /// The brake at the sending side.
    pub brake: Option<Brake>,
    /// How many pull.
    pub people: usize,
    /// With how much each.
    pub each: Force,
    /// A pulley set that they pull with.
    pub set: Option<PulleySet>,
    /// Tension of the line while its ends are fixed and it is not tensioned yet.
    pub half_rigged: Force,
    /// Cord that the release lets out.
    pub release_cord: Option<Length>,
    /// What the release holds.
    pub release_rating: Option<Rating>,
}
