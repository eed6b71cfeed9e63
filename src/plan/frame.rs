//! The head of a frame: one, two or three struts, their feet, what ties these together.

use super::fields::{ITEM_REF, PART, PLACE, VECTOR, form};
use super::model::{Part, PartLength, Plan, PointKind, Role};
use super::read::{part, vector};
use super::validate::Faults;
use crate::catalogue::fields::{LENGTH, RATING, optional, required};
use crate::catalogue::{Catalogue, Class, Rating};
use crate::document::schema::{Field, FormBody, Kind, Range, Record};
use crate::document::{Path, Reader};
use crate::units::{Length, Quantity};

/// What a frame's head stands on.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// One, two or three.
    pub struts: Vec<Strut>,
    /// What ties the feet of two together.
    pub hobble: Option<Part>,
    /// How far what loads it misses the struts' axes.
    pub off_centre: Length,
}

/// One strut.
#[derive(Debug, Clone, PartialEq)]
pub struct Strut {
    /// What it is cut from.
    pub item: String,
    /// Its foot, in the coordinates of the head's side.
    pub foot: [Length; 3],
    /// From foot to head; by the two places when it is not given.
    pub length: Option<Length>,
    /// What its foot stands on.
    pub stands: Stands,
    /// Share kept at joints of several pieces, by the rigger.
    pub keeps: Option<f64>,
    /// Length over which it buckles, over its own: 1 between two pins.
    pub buckles: f64,
}

/// What a foot stands on.
#[derive(Debug, Clone, PartialEq)]
pub enum Stands {
    /// In a socket or on a pin, so that it cannot slide; what that holds, where it is known.
    Pinned(Option<Rating>),
    /// By friction.
    On {
        /// Its coefficient, the least that may be.
        friction: f64,
        /// Up from what it stands on.
        normal: [f64; 3],
    },
}

/// A hobble longer than the way between its feet by more than this share is slack, and ties nothing.
pub const SLACK: f64 = 0.05;

impl Frame {
    /// Length of the hobble over the way between the two feet; nothing without one, or where its length is not known.
    #[must_use]
    pub fn hobble_ratio(&self, catalogue: &Catalogue) -> Option<f64> {
        let part = self.hobble.as_ref()?;
        let own = || catalogue.get(&part.item).and_then(|i| i.length).map(Quantity::si);
        let length = if let PartLength::Is(l) = part.length { Some(l.si()) } else { own() };
        let [a, b] = self.struts.as_slice() else { return None };
        let apart = a.foot.iter().zip(b.foot).map(|(a, b)| (a.si() - b.si()).powi(2)).sum::<f64>().sqrt();
        Some(length? / apart)
    }
}

impl Strut {
    /// From its foot to a head, or as given, m.
    #[must_use]
    pub fn length_m(&self, head: [Length; 3]) -> f64 {
        let apart = || self.foot.iter().zip(head).map(|(a, b)| (a.si() - b.si()).powi(2)).sum::<f64>().sqrt();
        self.length.map_or_else(apart, Quantity::si)
    }
}

const STRUT: Record = Record {
    name: "Strut",
    doc: "A bar that pushes.",
    fields: &[
        required("item", ITEM_REF, "what it is cut from: an item of class Strut"),
        required("foot", PLACE, "where it stands, in the coordinates of the head's side"),
        required(
            "stands",
            Kind::Choice(&[
                form(
                    "Pinned",
                    FormBody::Fields(&[optional("rating", RATING, "unrated", "what holds the foot in place")]),
                    "in a socket or on a pin: it cannot slide",
                ),
                form(
                    "On",
                    FormBody::Fields(&[
                        required("friction", Kind::Number(Range::Positive), "least coefficient of friction"),
                        optional("normal", VECTOR, "(0, 0, 1)", "up from what it stands on"),
                    ]),
                    "on the ground, held by friction",
                ),
            ]),
            "what its foot stands on",
        ),
        optional("length", LENGTH, "from foot to head", "from foot to head"),
        optional("keeps", Kind::Number(Range::Share), "1, in one piece", "share kept at joints of several pieces"),
        optional(
            "buckles",
            Kind::Number(Range::Positive),
            "1: between two pins",
            "length over which it buckles, over its own",
        ),
    ],
};

const HOBBLE: Kind = Kind::Choice(&[form("Part", FormBody::Fields(PART.fields), "one item of gear")]);

/// Fields of a frame.
pub(super) const FRAME: &[Field] = &[
    optional(
        "struts",
        Kind::List(&Kind::Record(&STRUT)),
        "[]: its load is printed, it is not judged",
        "what it stands on",
    ),
    optional("hobble", HOBBLE, "none", "what ties the feet of two struts together"),
    optional("off_centre", LENGTH, "10 mm", "how far what loads it misses the struts' axes"),
];

/// Reads what was checked; nothing when it is not to be judged.
pub(super) fn frame(r: Reader<'_>) -> Option<Box<Frame>> {
    let struts: Vec<Strut> =
        r.get("struts").map(Reader::items).unwrap_or_default().iter().map(|s| strut(Reader(s))).collect();
    (!struts.is_empty()).then(|| {
        Box::new(Frame {
            struts,
            hobble: r.get("hobble").map(part),
            off_centre: r.q("off_centre").unwrap_or(Length::from_si(0.01)),
        })
    })
}

fn strut(r: Reader<'_>) -> Strut {
    let foot = |k: usize| r.get("foot").and_then(|f| f.at(k)).and_then(Reader::quantity).unwrap_or_default();
    let on = r.get("stands");
    Strut {
        item: r.words("item"),
        foot: [foot(0), foot(1), foot(2)],
        length: r.q("length"),
        stands: match on.map(Reader::name) {
            Some("On") => Stands::On {
                friction: on.and_then(|o| o.n("friction")).unwrap_or(0.0),
                normal: vector(on.and_then(|o| o.get("normal"))).unwrap_or([0.0, 0.0, 1.0]),
            },
            _ => Stands::Pinned(on.and_then(|o| o.get("rating")).and_then(Rating::read)),
        },
        keeps: r.n("keeps"),
        buckles: r.n("buckles").unwrap_or(1.0),
    }
}

/// Share by which a head may be further from a foot than the strut is long: beyond it one of the two is wrong.
const MISSES: f64 = 0.02;

/// What is wrong with the frames of a plan; `points` is where they stand.
pub(super) fn frames(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, points: &Path) {
    for (name, p) in &plan.points {
        let PointKind::Fixed { at, by, stiffness } = &p.kind else { continue };
        let path = points.key(name);
        let by_path = path.key("by");
        let Some(frame) = by.frame() else {
            let said = Reader(by_path.nearest(f.root));
            if said.name() == "Frame" && (said.get("hobble").is_some() || said.get("off_centre").is_some()) {
                f.add(
                    &by_path,
                    "a frame without struts is not judged",
                    "struts: [Strut(item: …, foot: (…), stands: …), …]",
                );
            }
            continue;
        };
        if stiffness.is_some() {
            f.add(&path.key("stiffness"), "a head on struts stands where these let it", "leave its stiffness out");
        }
        let super::model::At::Place(head) = at else {
            f.add(&path.key("at"), "a head on struts needs its place", "coordinates, as the feet have");
            continue;
        };
        struts(f, frame, *head, catalogue, &by_path);
        let guys = plan.runs.values().filter(|r| r.role == Role::Guy && r.path.iter().any(|q| q == name)).count();
        if frame.struts.len() == 1 && guys < 3 {
            f.add(
                &by_path.key("struts"),
                format!("one strut with {guys} guys falls over"),
                "three guys at least, all round",
            );
        }
        if let Some(hobble) = &frame.hobble
            && (frame.struts.len() != 2 || catalogue.get(&hobble.item).is_some_and(|i| !i.class.is_soft()))
        {
            f.add(
                &by_path.key("hobble"),
                "a hobble ties two feet together",
                "a sling, a rope or webbing, and two struts",
            );
        }
    }
}

fn struts(f: &mut Faults<'_>, frame: &Frame, head: [Length; 3], catalogue: &Catalogue, by: &Path) {
    let at = |k: usize| by.key("struts").at(k);
    let place = |p: [Length; 3]| glam::DVec3::new(p[0].si(), p[1].si(), p[2].si());
    if frame.struts.len() > 3 {
        f.add(&by.key("struts"), "more than three struts share a load in no known way", "one, two or three");
    }
    for (k, s) in frame.struts.iter().enumerate() {
        match catalogue.get(&s.item) {
            Some(i) if i.class != Class::Strut => {
                f.add(
                    &at(k).key("item"),
                    format!("{} is no strut", i.title),
                    "an item of class Strut, with outside and wall",
                );
            }
            Some(i) if i.outside.zip(i.wall).is_some_and(|(o, w)| 2.0 * w.si() >= o.si()) => {
                f.add(
                    &at(k).key("item"),
                    format!("the wall of {} fills it", i.title),
                    "less than half its outside, or no wall for a pole",
                );
            }
            _ => {}
        }
        if let Stands::On { normal, .. } = s.stands
            && normal.iter().all(|c| *c == 0.0)
        {
            f.add(
                &at(k).key("stands").key("normal"),
                "a direction of no length",
                "the way up from the ground, such as (0.0, 0.0, 1.0)",
            );
        }
        let apart = place(s.foot).distance(place(head));
        let length = s.length_m(head);
        if (apart - length).abs() > MISSES * length.max(0.1) {
            f.add(
                &at(k).key("length"),
                format!("the head is {apart:.2} m from this foot, and the strut {length:.2} m long"),
                format!("move the head or the foot, or write \"{apart:.2} m\""),
            );
        }
    }
    let feet: Vec<glam::DVec3> = frame.struts.iter().map(|s| place(s.foot)).collect();
    for i in 0..feet.len() {
        for j in 0..i {
            let spread = feet[i].distance(feet[j]);
            if spread < 0.1 {
                f.add(&at(i).key("foot"), "two feet in one place", "a third of a leg apart, or leave one strut out");
            } else if let Some(k) = [i, j].into_iter().find(|k| frame.struts[*k].length_m(head) <= 0.5 * spread) {
                f.add(
                    &at(k).key("length"),
                    "shorter than half the spread of its feet",
                    "longer struts, or feet nearer to each other",
                );
            }
        }
    }
    if let [a, b, c] = feet.as_slice()
        && (*b - *a).cross(*c - *a).length() < 0.05 * (*b - *a).length()
    {
        f.add(&by.key("struts"), "three feet in one line do not hold a head", "move one of them out of the line");
    }
}
