//! Where things are that nobody could tape: seen from stands, or assumed, each with how far off it may be.

use std::collections::HashSet;

use glam::{DMat3, DVec3};
use indexmap::IndexMap;

use super::fields::{ANGLE, SIDE, form};
use super::model::{At, Plan, PointKind, Side};
use super::read::side;
use super::validate::{Faults, known};
use crate::catalogue::fields::{LENGTH, optional, required, slot};
use crate::document::schema::{Field, FormBody, Kind, Record};
use crate::document::{Path, Reader};
use crate::mechanics::sight::{self, Seen};
use crate::units::{Angle, Length, Quantity};

/// Mean errors of a laser, a compass and a clinometer in the hand (0.07 to 0.29 m, 0.5 to over 3°: Tomaštík and Tunák,
/// Geodesy and Cartography, 2015; the slope from memory).
const WITHIN: [f64; 3] = [0.3, 2.0 * std::f64::consts::PI / 180.0, 0.3 * std::f64::consts::PI / 180.0];

/// A sighting.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    /// The stand; the reference point of the point's side without one.
    pub from: Option<String>,
    /// Along the slope.
    pub distance: Length,
    /// By compass.
    pub bearing: Angle,
    /// Upwards.
    pub slope: Angle,
    /// Mean errors: m, rad, rad.
    pub within: [f64; 3],
}

/// Where somebody stood.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// Whose reference point it counts from.
    pub side: Side,
    /// Seen from there, or from another stand; the reference point itself without it.
    pub at: Option<Sight>,
}

/// Something that was not measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// How far off it may be.
    pub within: Length,
    /// By what it was assumed.
    pub why: String,
}

/// What may be assumed.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unmeasured {
    /// The span.
    Span,
    /// The height difference.
    Rise,
    /// The heights of the ground.
    Ground,
    /// Where a point is.
    Point(String),
}

impl Unmeasured {
    /// From its path in the plan.
    #[must_use]
    pub fn of(path: &str) -> Option<Self> {
        Some(match path {
            "site.span" => Self::Span,
            "site.height_difference" => Self::Rise,
            "site.ground" => Self::Ground,
            other => Self::Point(other.strip_prefix("points.")?.strip_suffix(".at")?.to_owned()),
        })
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Span => "the span".to_owned(),
            Self::Rise => "the height difference".to_owned(),
            Self::Ground => "the ground".to_owned(),
            Self::Point(name) => format!("the place of {name}"),
        }
    }
}

const ERRORS: Kind = Kind::Tuple(&[slot("distance", LENGTH), slot("bearing", ANGLE), slot("slope", ANGLE)]);

const FROM: Field = optional("from", Kind::Words, "the side's reference point", "the stand it was seen from");
const DISTANCE: Field = required("distance", LENGTH, "along the slope");
const BEARING: Field = required("bearing", ANGLE, "compass bearing; needs the site's own bearing");
const SLOPE: Field = optional("slope", ANGLE, "0 deg", "upwards positive");
const WITHIN_EACH: Field = optional("within", ERRORS, "0.3 m, 2 deg, 0.3 deg", "mean errors of the three");

/// Fields of a sighting.
const SIGHT: &[Field] = &[FROM, DISTANCE, BEARING, SLOPE, WITHIN_EACH];

const AGAIN: Kind = Kind::Choice(&[form("Sighted", FormBody::Fields(SIGHT), "seen from a stand")]);

/// Fields of a place that was sighted, perhaps twice.
pub(super) const SIGHTED: &[Field] = &[
    FROM,
    DISTANCE,
    BEARING,
    SLOPE,
    WITHIN_EACH,
    optional("again", AGAIN, "seen once", "a second sighting of the same place; both are weighed"),
];

/// Where somebody stood.
pub(super) const STAND: Record = Record {
    name: "Stand",
    doc: "Where somebody stood and looked from: a side's reference point, or seen from it.",
    fields: &[
        optional("side", SIDE, "A", "the side it counts from"),
        optional(
            "at",
            Kind::Choice(&[form("Sighted", FormBody::Fields(SIGHT), "seen from there, or from another stand")]),
            "the side's reference point",
            "where it is",
        ),
    ],
};

/// Something that was not measured.
pub(super) const ASSUMED: Record = Record {
    name: "Assumed",
    doc: "Something that nobody has measured.",
    fields: &[
        required("within", LENGTH, "how far off it may be"),
        required("why", Kind::Words, "by what it was assumed"),
    ],
};

/// A ground point that was sighted down from a lip.
pub(super) const SHOT: Record = Record {
    name: "Shot",
    doc: "A place on the ground under the line, sighted from a side's reference point along the line.",
    fields: &[
        optional("side", SIDE, "A", "from which side's reference point"),
        required("distance", LENGTH, "along the slope"),
        required("slope", ANGLE, "upwards positive: a valley is below zero"),
    ],
};

pub(super) fn sight(r: Reader<'_>) -> Sight {
    let error = |k: usize| match k {
        0 => r.get("within").and_then(|w| w.at(0)).and_then(Reader::quantity::<Length>).map(Quantity::si),
        _ => r.get("within").and_then(|w| w.at(k)).and_then(Reader::quantity::<Angle>).map(Quantity::si),
    };
    Sight {
        from: r.get("from").and_then(Reader::text),
        distance: r.q("distance").unwrap_or_default(),
        bearing: r.q("bearing").unwrap_or_default(),
        slope: r.q("slope").unwrap_or_default(),
        within: [0, 1, 2].map(|k| error(k).unwrap_or(WITHIN[k])),
    }
}

pub(super) fn sighted(r: Reader<'_>) -> At {
    At::Sighted(std::iter::once(sight(r)).chain(r.get("again").map(sight)).collect())
}

pub(super) fn stand(r: Reader<'_>) -> Stand {
    Stand { side: side(r.get("side")), at: r.get("at").map(sight) }
}

pub(super) fn assumed(r: Reader<'_>) -> Assumed {
    Assumed { within: r.q("within").unwrap_or_default(), why: r.words("why") }
}

/// A place on the ground, sighted down from a side's reference point along the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// From which side.
    pub side: Side,
    /// Along the slope.
    pub distance: Length,
    /// Upwards.
    pub slope: Angle,
}

pub(super) fn shot(r: Reader<'_>) -> Shot {
    Shot {
        side: side(r.get("side")),
        distance: r.q("distance").unwrap_or_default(),
        slope: r.q("slope").unwrap_or_default(),
    }
}

impl Shot {
    /// From a side, along the slope, m, and upwards, rad.
    #[must_use]
    pub fn new(side: Side, distance_m: f64, slope_rad: f64) -> Self {
        Self { side, distance: Length::from_si(distance_m), slope: Angle::from_si(slope_rad) }
    }

    fn sight(&self) -> sight::Sight {
        sight::Sight { distance_m: self.distance.si(), turn_rad: 0.0, slope_rad: self.slope.si(), within: WITHIN }
    }

    /// As a point of the profile: along the gap from A, height over A, m.
    #[must_use]
    pub fn place_m(&self, span_m: f64, rise_m: f64) -> [f64; 2] {
        let to = self.sight().to();
        if self.side == Side::B { [span_m - to.x, rise_m + to.z] } else { [to.x, to.z] }
    }

    /// Mean errors along the gap and upwards, by the hand's laser and clinometer, m.
    #[must_use]
    pub fn within_m(&self) -> [f64; 2] {
        let seen = Seen { place: DVec3::ZERO, covariance_m2: self.sight().covariance_m2() };
        let within = seen.within_m();
        [within.x, within.z]
    }
}

/// Everything that is sighted or assumed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Scouting {
    /// Where somebody stood.
    pub stands: IndexMap<String, Stand>,
    /// What was not measured, by its path in the plan.
    pub assumed: IndexMap<String, Assumed>,
    /// The ground as it was sighted from the lips.
    pub shots: Vec<Shot>,
}

impl Plan {
    /// Reference point of a side, m.
    #[must_use]
    pub fn origin(&self, side: Side) -> DVec3 {
        match side {
            Side::A => DVec3::ZERO,
            Side::B => DVec3::new(self.site.span.si(), 0.0, self.site.height_difference.si()),
        }
    }

    /// What a sighting from a side says; nothing where its stands lead nowhere, or in a circle.
    fn seen(&self, side: Side, s: &Sight, passed: &mut HashSet<String>) -> Option<Seen> {
        let from = match &s.from {
            None => Seen { place: self.origin(side), covariance_m2: DMat3::ZERO },
            Some(name) => {
                let stand = self.scouting.stands.get(name).filter(|_| passed.insert(name.clone()))?;
                match &stand.at {
                    None => Seen { place: self.origin(stand.side), covariance_m2: DMat3::ZERO },
                    Some(at) => self.seen(stand.side, at, passed)?,
                }
            }
        };
        let sight = sight::Sight {
            distance_m: s.distance.si(),
            turn_rad: s.bearing.si() - self.site.bearing.map_or(0.0, Quantity::si),
            slope_rad: s.slope.si(),
            within: s.within,
        };
        Some(Seen { place: from.place + sight.to(), covariance_m2: from.covariance_m2 + sight.covariance_m2() })
    }

    /// Where a place of a side is, with what is not known of it, and by how many mean errors two sightings of it differ.
    #[must_use]
    pub fn located(&self, side: Side, at: &At) -> Option<(Seen, Option<f64>)> {
        let of = |s: &Sight| self.seen(side, s, &mut HashSet::new());
        match at {
            At::Place([x, y, z]) => {
                let place = self.origin(side) + DVec3::new(x.si(), y.si(), z.si());
                Some((Seen { place, covariance_m2: DMat3::ZERO }, None))
            }
            At::Sighted(sights) => match sights.as_slice() {
                [one] => Some((of(one)?, None)),
                [one, two, ..] => {
                    let (seen, apart) = of(one)?.with(&of(two)?);
                    // Two that differ by more than they may are known less well than either says (Birge's ratio).
                    let covariance_m2 = seen.covariance_m2 * (apart * apart / 3.0).max(1.0);
                    Some((Seen { covariance_m2, ..seen }, Some(apart)))
                }
                [] => None,
            },
        }
    }

    /// How far off something that was assumed may be, m.
    #[must_use]
    pub fn assumed_m(&self, what: &Unmeasured) -> Option<f64> {
        let of = self.scouting.assumed.iter().find(|(path, _)| Unmeasured::of(path).as_ref() == Some(what));
        of.map(|(_, a)| a.within.si())
    }
}

/// What is wrong with stands, sightings and what is assumed.
pub(super) fn scouting(f: &mut Faults<'_>, plan: &Plan, top: &Path) {
    let names = || plan.scouting.stands.keys().map(String::as_str).collect::<Vec<_>>();
    let upright = std::f64::consts::FRAC_PI_2;
    let sight = |f: &mut Faults<'_>, s: &Sight, at: &Path| {
        if let Some(from) = s.from.as_ref().filter(|n| !plan.scouting.stands.contains_key(*n)) {
            f.add(&at.key("from"), format!("no stand is called “{from}”"), known(from, names()));
        }
        if s.slope.si().abs() > upright {
            f.add(&at.key("slope"), "steeper than straight up", "between -90 and 90 deg");
        }
        if plan.site.bearing.is_none() {
            f.add(at, "a sighted point needs the site's bearing", "add bearing: \"84 deg\" to the site");
        }
    };
    for (name, stand) in &plan.scouting.stands {
        let at = top.key("stands").key(name).key("at");
        if let Some(s) = &stand.at {
            sight(f, s, &at);
            let known = s.from.as_ref().is_none_or(|n| plan.scouting.stands.contains_key(n));
            if known && plan.seen(stand.side, s, &mut HashSet::from([name.clone()])).is_none() {
                f.add(
                    &at,
                    format!("“{name}” is seen from itself, or round in a circle"),
                    "begin from a side's reference point",
                );
            }
        }
    }
    for (name, p) in &plan.points {
        if let PointKind::Fixed { at: At::Sighted(sights), .. } = &p.kind {
            let at = top.key("points").key(name).key("at");
            for (k, s) in sights.iter().enumerate() {
                sight(f, s, &if k == 0 { at.clone() } else { at.key("again") });
            }
        }
    }
    for path in plan.scouting.assumed.keys() {
        if let Some(Unmeasured::Point(name)) = Unmeasured::of(path)
            && plan.points.get(&name).is_some_and(|p| matches!(p.kind, PointKind::Fixed { at: At::Sighted(_), .. }))
        {
            f.add(
                &top.key("assumed").key(path),
                format!("“{name}” is sighted, and carries its own errors"),
                "leave it out here, or give coordinates; within: of the sighting says how well it was seen",
            );
        }
        let there = match Unmeasured::of(path) {
            Some(Unmeasured::Point(name)) => {
                plan.points.get(&name).is_some_and(|p| matches!(p.kind, PointKind::Fixed { .. }))
            }
            other => other.is_some(),
        };
        if !there {
            f.add(
                &top.key("assumed").key(path),
                format!("“{path}” is no place or length of this plan"),
                "site.span, site.height_difference, site.ground, or points.NAME.at of a fixed point",
            );
        }
    }
}
