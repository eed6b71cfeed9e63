//! What a plan says, typed. Names are the rigger's own; order is the file's.

use std::sync::Arc;

use indexmap::IndexMap;

use super::claims::Claim;
use super::crew::Crew;
use super::crossing::{Carried, Crossing};
use super::day::Day;
use super::frame::Frame;
use super::rescue::Rescue;
use super::sighted::{Scouting, Sight};
use super::stay::Stay;
use super::tensioning::Tensioning;
use super::ties::{AtStep, Tie};
use crate::catalogue::{Item, Rating};
use crate::units::{Angle, Force, Length, Mass, Quantity, Stiffness, Temperature, Velocity};

/// One of the two ends of the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord, serde::Serialize, schemars::JsonSchema)]
pub enum Side {
    /// Where x is 0.
    #[default]
    A,
    /// Where x is the span.
    B,
}

/// A whole plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What it is called.
    pub title: String,
    /// Anything else.
    pub note: String,
    /// The gap.
    pub site: Site,
    /// Stands, and what was not measured.
    pub scouting: Scouting,
    /// Who walks.
    pub people: People,
    /// Factors asked for.
    pub factors: Factors,
    /// Places where runs meet.
    pub points: IndexMap<String, Point>,
    /// Chains of parts between them.
    pub runs: IndexMap<String, Run>,
    /// The rigger's own gear.
    pub items: IndexMap<String, Arc<Item>>,
    /// How the line is tensioned.
    pub tensioning: Option<Tensioning>,
    /// Days at the line, in order.
    pub days: Vec<Day>,
    /// How the line gets over; nothing when the plan does not say.
    pub crossing: Option<Crossing>,
    /// How somebody gets off the line; nothing when the plan does not say.
    pub rescue: Option<Rescue>,
    /// What people hang on who work at the edges.
    pub ties: IndexMap<String, Tie>,
    /// Who hangs on what at which step.
    pub work: IndexMap<String, AtStep>,
    /// How long the line stays up; nothing when the plan does not say.
    pub stay: Option<Stay>,
    /// Who comes; nothing when the plan does not say.
    pub crew: Option<Crew>,
    /// What comes with the plan, said by somebody.
    pub claims: Vec<Claim>,
    /// Situations of the plan's own.
    pub cases: Vec<OwnCase>,
    /// Facts that no geometry shows.
    pub declared: IndexMap<String, Declared>,
    /// Rules set aside, where and why.
    pub set_aside: IndexMap<String, Vec<Aside>>,
    /// Reviewers' notes.
    pub remarks: Vec<Remark>,
}

/// The gap.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// Between the reference points, horizontally.
    pub span: Length,
    /// B's reference point above A's.
    pub height_difference: Length,
    /// From A to B by compass.
    pub bearing: Option<Angle>,
    /// (x, z) under the line.
    pub ground: Vec<(Length, Length)>,
    /// What stands on the ground under the line.
    pub obstacles: IndexMap<String, Obstacle>,
    /// The weather.
    pub air: Air,
    /// How it was measured.
    pub measured: String,
    /// Names of the sides.
    pub labels: [String; 2],
}

/// Something under the line that stands above the ground profile: a crown, a wire, a roof.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Obstacle {
    /// Where it begins along the span, from A's reference point.
    pub from: Length,
    /// Where it ends.
    pub to: Length,
    /// Its top, above A's reference point.
    pub top: Length,
}

/// What a stated speed of the wind is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Speeds {
    /// The mean of ten minutes, as forecasts give it.
    #[default]
    Mean,
    /// The gust of three seconds.
    Gust,
}

/// The weather.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// When tensioned.
    pub rigged_at: Temperature,
    /// Coldest.
    pub coldest: Temperature,
    /// Warmest.
    pub warmest: Temperature,
    /// Strongest for walking.
    pub wind: Velocity,
    /// Strongest while up.
    pub storm: Velocity,
    /// What the two are.
    pub speeds: Speeds,
}

/// Who walks.
#[derive(Debug, Clone, PartialEq)]
pub struct People {
    /// Mass of each.
    pub walkers: Vec<Mass>,
    /// The leash run.
    pub leash: Option<String>,
    /// Largest load of bouncing over body weight.
    pub bounce: f64,
    /// Drag coefficient times area, m².
    pub drag_area_m2: f64,
    /// How many may be at one place.
    pub together: usize,
    /// Height of the tie-in above the line when standing.
    pub tie_in: Length,
    /// How far the body reaches below the tie-in when hanging.
    pub body_below: Length,
    /// How far from A and from B they sit, and neither stand nor fall.
    pub seated: [Length; 2],
}

/// A required factor for each class of case.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FactorSet {
    /// Meant to happen.
    pub working: Option<f64>,
    /// Leash falls.
    pub fall: Option<f64>,
    /// A piece has gone.
    pub failure: Option<f64>,
}

/// Required factors of a plan.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Factors {
    /// For everything.
    pub all: FactorSet,
    /// For kinds of part.
    pub by_kind: IndexMap<String, FactorSet>,
    /// Height asked for over everything below.
    pub clearance: Over,
}

/// Height over ground and obstacles that a plan asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Over {
    /// Whatever the sag.
    pub least: Length,
    /// And this share of the sag there, which is known less well the larger it is.
    pub of_sag: f64,
}

impl Over {
    /// What is asked for when the plan says nothing: 2 m and a tenth of the sag. Common practice, no source.
    pub const USUAL_M: f64 = 2.0;
    /// The share of the sag, as above.
    pub const USUAL_OF_SAG: f64 = 0.1;

    /// Over a line that sags so far there, m.
    #[must_use]
    pub fn needed_m(&self, sag_m: f64) -> f64 {
        self.least.si() + self.of_sag * sag_m.max(0.0)
    }
}

impl Default for Over {
    fn default() -> Self {
        Self { least: Length::from_si(Self::USUAL_M), of_sag: Self::USUAL_OF_SAG }
    }
}

/// A rule set aside.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Aside {
    /// Where: what the finding is about; empty when the plan names no place.
    pub at: String,
    /// Why.
    pub reason: String,
    /// Initials.
    pub by: String,
    /// When.
    pub date: String,
}

/// Where a fixed point is.
#[derive(Debug, Clone, PartialEq)]
pub enum At {
    /// Coordinates from the side's reference point.
    Place([Length; 3]),
    /// Seen from a stand, once or twice.
    Sighted(Vec<Sight>),
}

/// A block of some kind.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// What it holds.
    pub rating: Option<Rating>,
    /// Where it is slung.
    pub diameter: Option<Length>,
    /// Its mass.
    pub mass: Option<Mass>,
    /// Against what it stands on.
    pub friction: Option<f64>,
    /// Of what it stands on, down towards the pull.
    pub slope: Option<Angle>,
    /// Length of base along the pull.
    pub base: Option<Length>,
    /// Height of the pull.
    pub pulled_at: Option<Length>,
    /// Height of its centre of mass; that of the pull without it.
    pub centre: Option<Length>,
}

/// What fixes a point.
#[derive(Debug, Clone, PartialEq)]
pub enum Hold {
    /// A bolt.
    Bolt {
        /// Which.
        item: String,
        /// The way it points out of the rock.
        faces: Option<[f64; 3]>,
    },
    /// A tree.
    Tree {
        /// Of the trunk.
        diameter: Length,
        /// What it holds.
        rating: Option<Rating>,
        /// Height of the sling.
        slung_at: Option<Length>,
    },
    /// A boulder.
    Boulder(Block),
    /// A thread.
    Thread(Block),
    /// Something buried.
    Deadman(Block),
    /// A vehicle.
    Vehicle(Block),
    /// An edge.
    Edge {
        /// Coefficient of friction.
        friction: f64,
        /// Whether a roller.
        roller: bool,
        /// The way it can push.
        outward: [f64; 3],
        /// Its radius, or the roller's.
        radius: Option<Length>,
        /// A roller there.
        item: Option<String>,
    },
    /// The head of a frame; on nothing where it is not judged.
    Frame(Option<Box<Frame>>),
    /// Stated strength.
    Strength(Option<Rating>),
}

impl Hold {
    /// One word for it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Bolt { .. } => "bolt",
            Self::Tree { .. } => "tree",
            Self::Boulder(_) => "boulder",
            Self::Thread(_) => "thread",
            Self::Deadman(_) => "deadman",
            Self::Vehicle(_) => "vehicle",
            Self::Edge { .. } => "edge",
            Self::Frame(_) => "frame",
            Self::Strength(_) => "anchor",
        }
    }

    /// What a head stands on that is judged.
    #[must_use]
    pub fn frame(&self) -> Option<&Frame> {
        match self {
            Self::Frame(f) => f.as_deref(),
            _ => None,
        }
    }

    /// Whether it only leads a run on, or has no strength of its own.
    #[must_use]
    pub fn is_edge_or_frame(&self) -> bool {
        matches!(self, Self::Edge { .. } | Self::Frame(_))
    }

    /// Diameter of what a sling goes round, m.
    #[must_use]
    pub fn trunk_m(&self) -> Option<f64> {
        match self {
            Self::Tree { diameter, .. } => Some(diameter.si()),
            Self::Boulder(b) | Self::Thread(b) | Self::Deadman(b) | Self::Vehicle(b) => b.diameter.map(Quantity::si),
            _ => None,
        }
    }
}

/// State of a connector's gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Gate {
    /// Closed and locked.
    #[default]
    Locked,
    /// Closed.
    Unlocked,
    /// Counted as open.
    Open,
}

/// A place where runs meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Whose coordinates.
    pub side: Side,
    /// What kind of place.
    pub kind: PointKind,
    /// The piece that what meets there hangs on.
    pub hardware: Option<String>,
    /// Of a connector.
    pub gate: Gate,
    /// Anything else.
    pub note: String,
}

/// What kind of place.
#[derive(Debug, Clone, PartialEq)]
pub enum PointKind {
    /// Held by an anchor.
    Fixed {
        /// Where.
        at: At,
        /// By what.
        by: Hold,
        /// How it gives.
        stiffness: Option<Stiffness>,
    },
    /// Placed by equilibrium.
    Free {
        /// About where.
        near: [Length; 3],
        /// Coefficient of friction for what slides over it.
        friction: Option<f64>,
    },
}

impl Point {
    /// What fixes it, if it is fixed.
    #[must_use]
    pub fn hold(&self) -> Option<&Hold> {
        match &self.kind {
            PointKind::Fixed { by, .. } => Some(by),
            PointKind::Free { .. } => None,
        }
    }
}

/// What a run is there for.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Role {
    /// Part of an anchor.
    #[default]
    Leg,
    /// Holds the head of a frame.
    Guy,
    /// The line that is walked.
    Main,
    /// The line under it.
    Backup {
        /// Which main line.
        of: String,
        /// Unstretched over unstretched, less one.
        excess: f64,
        /// Where it is tied to the main line.
        connected: Connected,
    },
    /// Between walker and rings.
    Leash,
    /// Only while tensioning.
    Tensioning,
}

/// Where a backup is tied to its main line.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Connected {
    /// Nowhere between.
    #[default]
    AtEnds,
    /// At every joint.
    EveryJoint(Ties),
    /// After these parts of the main line, from 1.
    Joints(Vec<usize>, Ties),
}

/// What ties a joint.
#[derive(Debug, Clone, PartialEq)]
pub enum Ties {
    /// One piece through all loops.
    OnePiece(String),
    /// Separate pieces.
    Apart {
        /// Main to main.
        main: String,
        /// Backup to backup.
        backup: String,
        /// The two together.
        together: String,
    },
}

/// A chain of parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// What it is there for.
    pub role: Role,
    /// Points in order; a loop's first point is also its last.
    pub path: Vec<String>,
    /// Whether it closes on itself.
    pub closed: bool,
    /// Its parts.
    pub parts: Vec<Part>,
    /// Anything else.
    pub note: String,
}

/// How long a part is.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum PartLength {
    /// As the item is.
    #[default]
    Own,
    /// This long.
    Is(Length),
    /// Just taut with the free points near their places.
    Fit(Option<Length>),
    /// Carrying this with its points where they are drawn.
    Taut(Force),
    /// Adjusted to carry a share of the pull at standing.
    Share(f64, Option<Length>),
    /// As long as the target asks.
    Solve(Target),
}

/// What the main line is tensioned to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Target {
    /// A standing tension at a side.
    Standing(Force, Side),
    /// A sag at mid-span, with the walker there or without.
    Sag(Length, bool),
}

/// How a part is laid.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Hitch {
    /// One strand, or as rated.
    #[default]
    Straight,
    /// Folded in two.
    Doubled,
    /// Around the anchor, both ends to the point.
    Basket,
    /// Around the anchor and through itself.
    Choke,
    /// Through itself around a neighbour.
    Girth,
    /// Wound around the anchor.
    Wrap(f64),
}

/// Which splice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SpliceStyle {
    /// Straight bury.
    #[default]
    Straight,
    /// Passed through itself first.
    Locked,
    /// Two ends in each other.
    EndForEnd,
    /// Sliding.
    Adjustable,
    /// Tucked.
    Tucked,
}

/// How an end is made.
#[derive(Debug, Clone, PartialEq)]
pub struct End {
    /// Its kind.
    pub kind: EndKind,
    /// The rigger's own figure for the share kept.
    pub keeps: Option<f64>,
    /// Flat length of the eye.
    pub eye: Option<Length>,
}

/// Kinds of end.
#[derive(Debug, Clone, PartialEq)]
pub enum EndKind {
    /// Spliced eye.
    Spliced {
        /// Buried length.
        bury: Option<Length>,
        /// On a thimble.
        thimble: bool,
        /// Tapered tail.
        tapered: bool,
        /// Lock-stitched.
        stitched: bool,
        /// Which splice.
        style: SpliceStyle,
    },
    /// Sewn loop.
    Sewn,
    /// A knot.
    Knotted(String),
    /// In a webbing lock.
    Locked {
        /// Wraps around a ring lock.
        wraps: Option<f64>,
        /// Tail beyond the lock.
        tail: Option<Length>,
    },
    /// Girth-hitched.
    Hitched,
    /// Part of the article.
    Made,
}

impl EndKind {
    /// Made at the bench or by a maker, so that the piece has its length before it comes to the rig.
    #[must_use]
    pub const fn is_made(&self) -> bool {
        matches!(self, Self::Spliced { .. } | Self::Sewn | Self::Made)
    }
}

/// What use has taken from a part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Condition {
    /// May be wet.
    pub wet: bool,
    /// Kept after light and age.
    pub age: f64,
    /// Kept after abrasion.
    pub abrasion: f64,
    /// Kept after heat.
    pub heat: f64,
}

impl Default for Condition {
    fn default() -> Self {
        Self { wet: false, age: 1.0, abrasion: 1.0, heat: 1.0 }
    }
}

/// Colour of a made sling, which says its working load limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colour {
    /// 1 t.
    Violet,
    /// 2 t.
    Green,
    /// 3 t.
    Yellow,
    /// 4 t.
    Grey,
    /// 5 t.
    Red,
    /// 6 t.
    Brown,
    /// 8 t.
    Blue,
    /// 10 t and more.
    Orange,
}

impl Colour {
    /// All of them, with what a file calls them.
    pub const ALL: [(&'static str, Self); 8] = [
        ("Violet", Self::Violet),
        ("Green", Self::Green),
        ("Yellow", Self::Yellow),
        ("Grey", Self::Grey),
        ("Red", Self::Red),
        ("Brown", Self::Brown),
        ("Blue", Self::Blue),
        ("Orange", Self::Orange),
    ];

    /// Working load limit it stands for, t (EN 1492-1 and EN 1492-2, from memory).
    #[must_use]
    pub fn limit_t(self) -> f64 {
        match self {
            Self::Violet => 1.0,
            Self::Green => 2.0,
            Self::Yellow => 3.0,
            Self::Grey => 4.0,
            Self::Red => 5.0,
            Self::Brown => 6.0,
            Self::Blue => 8.0,
            Self::Orange => 10.0,
        }
    }

    /// As written.
    #[must_use]
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|c| c.1 == self).map_or("", |c| c.0)
    }
}

/// Where neighbours sit on a shackle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// On its pin.
    Pin,
    /// In its bow.
    Bow,
}

/// One item of gear in a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Which item.
    pub item: String,
    /// How long.
    pub length: PartLength,
    /// How its ends are made, if said.
    pub ends: Option<[End; 2]>,
    /// How it is laid.
    pub hitch: Hitch,
    /// How far off its length may be.
    pub tolerance: Option<Length>,
    /// Where neighbours sit on it.
    pub sits: Option<Seat>,
    /// Angle from the axis it is made for.
    pub off_axis: Option<Angle>,
    /// Of a connector.
    pub gate: Gate,
    /// The one article it shares with others.
    pub piece: Option<String>,
    /// The piece of an inventory that it is.
    pub serial: Option<String>,
    /// What use has taken.
    pub condition: Condition,
    /// Colour of a made sling.
    pub colour: Option<Colour>,
    /// Working load limit that its tag reads.
    pub tag: Option<Force>,
    /// Required factors of its own.
    pub required: FactorSet,
    /// Anything else.
    pub note: String,
}

/// A situation of the plan's own.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnCase {
    /// What to call it.
    pub name: String,
    /// Place along the line, and mass.
    pub walkers: Vec<(f64, Mass)>,
    /// Side wind, from the right positive.
    pub wind: Option<Velocity>,
    /// Of the whole rig.
    pub temperature: Option<Temperature>,
}

/// A fact that no geometry shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Declared {
    /// So, and how.
    Yes(String),
    /// Not so.
    No(String),
    /// Nobody has said.
    Unknown,
}

/// A reviewer's note.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Remark {
    /// What it is about.
    pub at: String,
    /// What there is to say.
    pub text: String,
    /// Initials.
    pub by: String,
    /// When.
    pub date: String,
    /// Open, Answered or Settled.
    pub state: String,
}

impl Site {
    /// Height of the ground at a place along the line, m; nothing beyond its profile.
    #[must_use]
    pub fn ground_at(&self, x_m: f64) -> Option<f64> {
        let w = self.ground.windows(2).find(|w| x_m >= w[0].0.si() && x_m <= w[1].0.si())?;
        let (a, b) = (w[0].0.si(), w[1].0.si());
        let share = if b > a { (x_m - a) / (b - a) } else { 0.0 };
        Some(w[0].1.si() + share * (w[1].1.si() - w[0].1.si()))
    }

    /// With another span: what lies under the gap goes along, B's edge with B.
    #[must_use]
    pub fn with_span(&self, span: Length) -> Self {
        let (was, is) = (self.span.si(), span.si());
        let moved = |x: Length| {
            let x = x.si();
            Length::from_si(if x <= 0.0 {
                x
            } else if x < was {
                x * is / was
            } else {
                x + is - was
            })
        };
        let mut out = Self { span, ..self.clone() };
        out.ground.iter_mut().for_each(|(x, _)| *x = moved(*x));
        for o in out.obstacles.values_mut() {
            (o.from, o.to) = (moved(o.from), moved(o.to));
        }
        out
    }
}

impl Plan {
    /// Every part of the plan with the name of what it belongs to: of runs, of what goes over, of tows and ties.
    pub fn every_part(&self) -> impl Iterator<Item = (String, &Part)> {
        let runs = self
            .runs
            .iter()
            .flat_map(|(name, r)| r.parts.iter().enumerate().map(move |(k, p)| (format!("{name}, part {}", k + 1), p)));
        let over = self.crossing.iter().flat_map(|c| &c.stages).filter_map(|s| match &s.carried {
            Carried::Part(p) => Some((format!("over, {}", s.name), &**p)),
            Carried::Runs(_) => None,
        });
        let tows = self.rescue.iter().flat_map(|r| &r.ropes).map(|t| ("rescue".to_owned(), &t.rope));
        let ties = self.ties.iter().map(|(name, t)| (format!("edge, {name}"), &t.rope));
        runs.chain(over).chain(tows).chain(ties)
    }

    /// Pieces of an inventory that the plan names: where, the part, the serial.
    pub fn serials(&self) -> impl Iterator<Item = (String, &Part, &str)> {
        self.every_part().filter_map(|(at, p)| Some((at, p, p.serial.as_deref()?)))
    }

    /// Whether any run that carries leads to a point; what nothing hangs on is not judged.
    #[must_use]
    pub fn in_use(&self, point: &str) -> bool {
        let carries = |r: &&Run| !matches!(r.role, Role::Leash | Role::Tensioning);
        let hung = self.tensioning.as_ref().and_then(|t| t.at.as_ref()).is_some_and(|p| p == point);
        hung || self.runs.values().filter(carries).any(|r| r.path.iter().any(|p| p == point))
    }

    /// The part of the main line that is made to its tension: the one that says so, else the longest.
    #[must_use]
    pub fn tensioned_part(&self) -> Option<usize> {
        let (_, main) = self.main()?;
        let long = |p: &Part| if let PartLength::Is(l) = p.length { l.si() } else { 0.0 };
        let solved = main.parts.iter().position(|p| matches!(p.length, PartLength::Solve(_)));
        solved.or_else(|| (0..main.parts.len()).max_by(|a, b| long(&main.parts[*a]).total_cmp(&long(&main.parts[*b]))))
    }

    /// The main line's name and run.
    #[must_use]
    pub fn main(&self) -> Option<(&str, &Run)> {
        self.runs.iter().find(|(_, r)| r.role == Role::Main).map(|(n, r)| (n.as_str(), r))
    }
}
