//! What each part's ends sit on, by the plan.

use crate::catalogue::{Catalogue, Class, Item};
use crate::plan::{Hold, Plan, Seat};
use crate::units::{Quantity, mm};

/// What an end of a part sits on.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    /// In words: “bow shackle 3.25 t, bow”.
    pub name: String,
    /// Diameter, m; nothing when it is not known.
    pub diameter_m: Option<f64>,
    /// Whether it is a webbing lock.
    pub lock: bool,
    /// Whether it is a textile.
    pub soft: bool,
}

impl Neighbour {
    /// The piece of gear next to an end.
    #[must_use]
    pub fn item(item: &Item, sits: Option<Seat>) -> Self {
        let seat = match sits {
            Some(Seat::Pin) => item.pin.map(|p| (p.si(), "pin")),
            Some(Seat::Bow) => item.stock.map(|p| (p.si(), "bow")),
            None => None,
        };
        let seat = seat.or_else(|| item.seat_m());
        Self {
            name: match seat {
                Some((d, part)) => format!("{}, {part} {}", item.title, mm(d)),
                None => item.title.clone(),
            },
            diameter_m: seat.map(|s| s.0),
            lock: item.class == Class::Lock,
            soft: item.class.is_soft(),
        }
    }
}

/// What a sharp edge counts as, in diameter, m.
const SHARP_M: f64 = 1e-3;

/// What the end of a run at a point sits on.
fn seat_at(plan: &Plan, catalogue: &Catalogue, point: &str) -> Neighbour {
    let plain = |name: String, diameter_m: Option<f64>| Neighbour { name, diameter_m, lock: false, soft: false };
    let Some(p) = plan.points.get(point) else {
        return plain(point.to_owned(), None);
    };
    if let Some(item) = p.hardware.as_ref().and_then(|h| catalogue.get(h)) {
        return Neighbour::item(item, None);
    }
    match p.hold() {
        Some(Hold::Bolt { item, .. }) => {
            catalogue.get(item).map_or_else(|| plain(point.to_owned(), None), |i| Neighbour::item(i, None))
        }
        Some(h) if h.trunk_m().is_some() => plain(format!("the {}", h.word()), h.trunk_m()),
        Some(Hold::Edge { radius: Some(r), .. }) => plain("the edge".to_owned(), Some(2.0 * r.si())),
        // Nobody has said how round it is: as sharp as an edge can be counted.
        Some(Hold::Edge { radius: None, roller: false, item: None, .. }) => plain("the edge".to_owned(), Some(SHARP_M)),
        Some(h) => plain(format!("the {}", h.word()), None),
        None => plain(format!("what meets at {point}"), None),
    }
}

/// What the two ends of a part sit on, and what it slides over.
#[must_use]
pub fn neighbours(plan: &Plan, catalogue: &Catalogue, run: usize, part: usize) -> ([Neighbour; 2], Vec<Neighbour>) {
    let Some((_, r)) = plan.runs.get_index(run) else {
        return (
            [const { Neighbour { name: String::new(), diameter_m: None, lock: false, soft: false } }; 2],
            Vec::new(),
        );
    };
    let beside = |i: usize| {
        let p = &r.parts[i];
        catalogue.get(&p.item).map(|item| Neighbour::item(item, p.sits))
    };
    let at = |end: Option<&String>| {
        end.map_or_else(
            || Neighbour { name: "its end".to_owned(), diameter_m: Some(0.013), lock: false, soft: false },
            |p| seat_at(plan, catalogue, p),
        )
    };
    if r.closed {
        let own = Neighbour { name: "its own joint".to_owned(), diameter_m: Some(1.0), lock: false, soft: true };
        let over = r.path[1..].iter().map(|p| seat_at(plan, catalogue, p)).collect();
        return ([own.clone(), own], over);
    }
    let first = if part == 0 { Some(at(r.path.first())) } else { beside(part - 1) };
    let last = if part + 1 == r.parts.len() { Some(at(r.path.last())) } else { beside(part + 1) };
    let over = if r.path.len() > 2 {
        r.path[1..r.path.len() - 1].iter().map(|p| seat_at(plan, catalogue, p)).collect()
    } else {
        Vec::new()
    };
    let unknown = || Neighbour { name: "its neighbour".to_owned(), diameter_m: None, lock: false, soft: false };
    ([first.unwrap_or_else(unknown), last.unwrap_or_else(unknown)], over)
}
