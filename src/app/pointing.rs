//! A new point from a few questions: what it is, where it is, and what it pulls on. What is not asked is assumed; a
//! place left as it was offered says so in the plan.

use glam::DVec3;

use super::dialogue::{Dialogue, positive, quantity};
use super::edits::fresh;
use super::outline::Selected;
use super::shape::{degrees, metres, sighting};
use super::state::{App, Choice};
use crate::catalogue::Class;
use crate::document::{Path, Splice, quote};
use crate::plan::Side;
use crate::plan::steps::Steps;
use crate::units::{Dim, Quantity};

/// What holds a new point, what it takes to describe it, and what is offered for that.
struct Kind {
    name: &'static str,
    words: &'static str,
    with: With,
}

enum With {
    /// A bolt of an item.
    Bolt(&'static str),
    /// Something to sling, of a diameter in m.
    Block(&'static str, f64),
    /// Nothing: what meets there hangs on an item.
    Hardware(&'static str),
}

const KINDS: &[Kind] = &[
    Kind { name: "bolt", words: "a bolt in rock", with: With::Bolt("bolt-glued-12") },
    Kind { name: "tree", words: "a tree, slung", with: With::Block("Tree", 0.5) },
    Kind { name: "boulder", words: "a boulder, slung", with: With::Block("Boulder", 1.0) },
    Kind { name: "thread", words: "a sling through or around rock", with: With::Block("Thread", 0.4) },
    Kind { name: "deadman", words: "something buried", with: With::Block("Deadman", 0.3) },
    Kind { name: "vehicle", words: "a vehicle", with: With::Block("Vehicle", 0.2) },
    Kind { name: "master", words: "a place where runs meet", with: With::Hardware("bow-shackle-3t") },
];

/// The questions, in order; some are left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PointQuestion {
    /// What it is.
    Kind,
    /// Which side it is on.
    Side,
    /// Coordinates, or a sighting.
    How,
    /// Its coordinates.
    Place,
    /// How far away it was sighted.
    Distance,
    /// In which direction.
    Bearing,
    /// How much upwards.
    Slope,
    /// Which item, or which diameter.
    With,
    /// Which point its leg leads to.
    To,
}

use PointQuestion as Q;

const ORDER: [Q; 9] = [Q::Kind, Q::Side, Q::How, Q::Place, Q::Distance, Q::Bearing, Q::Slope, Q::With, Q::To];

/// What has been answered.
#[derive(Debug, Clone)]
pub struct PointAnswers {
    kind: usize,
    side: Side,
    sighted: bool,
    /// From the side's reference point, m.
    place: DVec3,
    distance_m: f64,
    bearing_rad: f64,
    slope_rad: f64,
    /// Whether the place is still the one that was offered.
    assumed: bool,
    item: String,
    diameter_m: f64,
}

const COORDINATES: &str = "coordinates";
const SIGHTED: &str = "sighted";

impl PointAnswers {
    fn kind(&self) -> &'static Kind {
        &KINDS[self.kind]
    }

    fn free(&self) -> bool {
        matches!(self.kind().with, With::Hardware(_))
    }

    /// Offers what goes with the kind and the side.
    fn offer(&mut self, bearing_rad: Option<f64>) {
        // Behind A is towards smaller x.
        let back = if self.side == Side::A { -1.0 } else { 1.0 };
        self.place = if self.free() { DVec3::new(0.0, 0.5, 0.0) } else { DVec3::new(3.0 * back, 2.0, 0.2) };
        let line = bearing_rad.unwrap_or(0.0);
        self.bearing_rad = (line - self.place.y.atan2(self.place.x)).rem_euclid(std::f64::consts::TAU);
        self.distance_m = 4.0;
        self.slope_rad = 0.0;
        self.assumed = true;
        match self.kind().with {
            With::Bolt(item) | With::Hardware(item) => item.clone_into(&mut self.item),
            With::Block(_, d) => self.diameter_m = d,
        }
    }
}

impl App {
    fn line_bearing(&self) -> Option<f64> {
        self.file.plan.site.bearing.map(Quantity::si)
    }

    /// Starts with the first question; the side offered is the one of what is selected.
    pub(super) fn ask_for_point(&mut self) {
        let point = match &self.selected {
            Selected::Point(n) => Some(n.clone()),
            s => s.run().and_then(|r| self.file.plan.runs.get(r)?.path.first().cloned()),
        };
        let side = point.and_then(|n| self.file.plan.points.get(&n)).map_or(Side::A, |p| p.side);
        let mut answers = PointAnswers {
            kind: 0,
            side,
            sighted: false,
            place: DVec3::ZERO,
            distance_m: 0.0,
            bearing_rad: 0.0,
            slope_rad: 0.0,
            assumed: true,
            item: String::new(),
            diameter_m: 0.0,
        };
        answers.offer(self.line_bearing());
        self.ask_point(Q::Kind, &answers);
    }

    /// Whether a question makes sense after these answers.
    fn asks(&self, question: Q, a: &PointAnswers) -> bool {
        match question {
            // A compass is of use only where the line's own bearing is known.
            Q::How => !a.free() && self.line_bearing().is_some(),
            Q::Place => !a.sighted,
            Q::Distance | Q::Bearing | Q::Slope => a.sighted,
            Q::To => !self.leads_to(a).is_empty(),
            _ => true,
        }
    }

    /// Points that a leg from the new point can lead to (for a master: come from).
    fn leads_to(&self, a: &PointAnswers) -> Vec<String> {
        let plan = &self.file.plan;
        let fits = |p: &&crate::plan::Point| p.side == a.side && (p.hold().is_none() != a.free());
        plan.points.iter().filter(|(_, p)| fits(p)).map(|(n, _)| n.clone()).collect()
    }

    fn ask_point(&mut self, question: Q, a: &PointAnswers) {
        let head = |text: &str| format!("New {}: {text}", if question == Q::Kind { "point" } else { a.kind().name });
        let d = Dialogue::Point(question, a.clone());
        self.overlay = Some(match question {
            Q::Kind => {
                let rows = KINDS.iter().map(|k| Choice::named(k.name, k.words)).collect();
                d.listed(head("what it is"), rows, a.kind().name)
            }
            Q::Side => {
                let labels = &self.file.plan.site.labels;
                let rows = vec![Choice::named("A", labels[0].clone()), Choice::named("B", labels[1].clone())];
                d.listed(head("on which side"), rows, &format!("{:?}", a.side))
            }
            Q::How => {
                let rows = vec![
                    Choice::named(COORDINATES, "x towards B, y to the left, z up, from the side's reference point"),
                    Choice::named(SIGHTED, "distance, compass bearing and slope from the side's reference point"),
                ];
                d.listed(head("its place by"), rows, COORDINATES)
            }
            Q::Place => {
                let text = format!("{}, {}, {}", metres(a.place.x), metres(a.place.y), metres(a.place.z));
                d.typed(head("x towards B, y to the left, z up, from the side's reference point"), text)
            }
            Q::Distance => {
                d.typed(head("distance from the side's reference point, along the slope"), metres(a.distance_m))
            }
            Q::Bearing => d.typed(head("compass bearing from the side's reference point"), degrees(a.bearing_rad)),
            Q::Slope => d.typed(head("slope, upwards positive"), degrees(a.slope_rad)),
            Q::With => match a.kind().with {
                With::Block(..) => d.typed(head("diameter where it is slung"), metres(a.diameter_m)),
                With::Bolt(_) => {
                    let rows = self.items(|c| c == Class::Bolt);
                    d.listed(head("which bolt"), rows, &a.item)
                }
                With::Hardware(_) => {
                    let rows = self.items(|c| matches!(c, Class::Shackle | Class::Ring | Class::Plate));
                    d.listed(head("what meets there hangs on"), rows, &a.item)
                }
            },
            Q::To => {
                let rows: Vec<Choice> = self.leads_to(a).iter().map(|n| Choice::named(n, "")).collect();
                let label = if a.free() { "which anchor holds it" } else { "what it pulls on" };
                d.listed(head(label), rows, "")
            }
        });
        self.dirty = true;
    }

    /// Items of some classes, to pick from.
    pub(super) fn items(&self, keep: fn(Class) -> bool) -> Vec<Choice> {
        let fits = |id: &str| self.file.catalogue.get(id).is_some_and(|i| keep(i.class));
        super::form::item_rows(&self.file.catalogue).into_iter().filter(|r| fits(&r.name)).collect()
    }

    /// Takes an answer, and asks the next question or adds the point.
    ///
    /// # Errors
    /// Why the answer cannot be taken.
    pub(super) fn answer_point(&mut self, question: Q, mut a: PointAnswers, text: &str) -> Result<(), String> {
        let offered = a.clone();
        let mut to = None;
        match question {
            Q::Kind => {
                a.kind = KINDS.iter().position(|k| k.name == text).unwrap_or(a.kind);
                a.offer(self.line_bearing());
            }
            Q::Side => {
                a.side = if text == "B" { Side::B } else { Side::A };
                a.offer(self.line_bearing());
            }
            Q::How => a.sighted = text == SIGHTED,
            Q::Place => {
                let parts: Vec<&str> = text.split(',').collect();
                let [x, y, z] = parts[..] else {
                    return Err("three lengths parted by commas, such as -3 m, 2 m, 0.2 m".to_owned());
                };
                let of = |t: &str| quantity(t, Dim::Length);
                a.place = DVec3::new(of(x)?, of(y)?, of(z)?);
            }
            Q::Distance => a.distance_m = positive(text, Dim::Length)?,
            Q::Bearing => a.bearing_rad = quantity(text, Dim::Angle)?,
            Q::Slope => a.slope_rad = quantity(text, Dim::Angle)?,
            Q::With => match a.kind().with {
                With::Block(..) => a.diameter_m = positive(text, Dim::Length)?,
                _ => text.clone_into(&mut a.item),
            },
            Q::To => to = Some(text),
        }
        let typed = |now: f64, before: f64| (now - before).abs() > 1e-3;
        if !matches!(question, Q::Kind | Q::Side)
            && (typed(a.distance_m, offered.distance_m)
                || typed(a.bearing_rad, offered.bearing_rad)
                || typed(a.slope_rad, offered.slope_rad)
                || (a.place - offered.place).length() > 1e-3)
        {
            a.assumed = false;
        }
        let at = ORDER.iter().position(|q| *q == question).unwrap_or(0);
        match ORDER[at + 1..].iter().find(|q| self.asks(**q, &a)) {
            Some(q) => {
                self.ask_point(*q, &a);
                Ok(())
            }
            None => self.add_point(&a, to),
        }
    }

    /// Adds the point, and a leg to `to` (for a master: from it), since a point that holds nothing is a fault.
    fn add_point(&mut self, a: &PointAnswers, to: Option<&str>) -> Result<(), String> {
        let gone = || "there is no place for this in the plan".to_owned();
        let (side, kind) = (a.side, a.kind());
        let name = fresh(&format!("{side:?} {}", kind.name), |n| self.file.plan.points.contains_key(n));
        let note = if a.assumed { ", note: \"place assumed\"" } else { "" };
        let coordinates =
            format!("({}, {}, {})", quote(&metres(a.place.x)), quote(&metres(a.place.y)), quote(&metres(a.place.z)));
        let at = if a.sighted {
            let flat = a.distance_m * a.slope_rad.cos();
            let turn = a.bearing_rad - self.line_bearing().unwrap_or(0.0);
            let place = DVec3::new(flat * turn.cos(), -flat * turn.sin(), a.distance_m * a.slope_rad.sin());
            sighting(place, self.line_bearing().unwrap_or(0.0))
        } else {
            coordinates.clone()
        };
        // Which way a bolt faces is not asked; left out, the worst angle counts.
        let (text, first) = match kind.with {
            With::Hardware(_) => (
                format!("Free(side: {side:?}, near: {coordinates}, hardware: {}{note})", quote(&a.item)),
                String::new(),
            ),
            With::Bolt(_) => (
                format!("Fixed(side: {side:?}, at: {at}, by: Bolt(item: {}){note})", quote(&a.item)),
                "Part(item: \"quick-link-12\"), ".to_owned(),
            ),
            With::Block(form, _) => {
                // Around it and out to the shackle, in half metres.
                let sling = ((std::f64::consts::PI * a.diameter_m + 1.2) * 2.0).ceil() / 2.0;
                (
                    format!(
                        "Fixed(side: {side:?}, at: {at}, by: {form}(diameter: {}){note})",
                        quote(&metres(a.diameter_m))
                    ),
                    format!(
                        "Part(item: \"round-sling-2t\", length: {}, hitch: Basket), Part(item: \"bow-shackle-3t\"), ",
                        quote(&metres(sling))
                    ),
                )
            }
        };
        let mut steps = Steps::new(&self.file);
        let points = Path::root().key("points");
        let s = points.find(&self.file.root).and_then(|n| Splice::insert(&self.file.text, n, Some(&name), None, &text));
        steps.then(s).ok_or_else(gone)?;
        if let Some(other) = to {
            let (from, to) = if a.free() { (other, name.as_str()) } else { (name.as_str(), other) };
            let run = fresh(&format!("{side:?} leg"), |n| self.file.plan.runs.contains_key(n));
            let text = format!(
                "Run(from: {}, to: {}, parts: [\n            {first}Part(item: \"hmpe-8\", length: Fit(), ends: (Spliced(), Spliced())),\n        ])",
                quote(from),
                quote(to)
            );
            let runs = Path::root().key("runs");
            let s =
                runs.find(&steps.file.root).and_then(|n| Splice::insert(&steps.file.text, n, Some(&run), None, &text));
            steps.then(s).ok_or_else(gone)?;
        }
        let change = steps.change(format!("add {name}"), self.selected.words());
        self.change(change)?;
        self.select(Selected::Point(name));
        Ok(())
    }
}
