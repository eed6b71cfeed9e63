//! What each part's ends sit on, by the plan, and with that the strength of every part.

use super::factors::Kind;
use super::strength::{Neighbour, Strength, part_strength};
use crate::catalogue::{Catalogue, Class as ItemClass, Item};
use crate::plan::{Hold, Plan, Role};
use crate::rig::{Lay, Rig};

/// Strength of every part, by run and part.
pub(super) type Strengths = Vec<Vec<Option<Strength>>>;

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

pub(super) fn strengths(plan: &Plan, catalogue: &Catalogue, rig: &Rig) -> Strengths {
    let straight = Lay { reach_m: 0.0, strands: 1.0, opening_rad: 0.0 };
    plan.runs
        .values()
        .enumerate()
        .map(|(i, r)| {
            let leg = rig.legs.iter().find(|l| l.run == i);
            (0..r.parts.len())
                .map(|k| {
                    let item = catalogue.get(&r.parts[k].item)?;
                    let (ends, over) = neighbours(plan, catalogue, i, k);
                    let e = leg.and_then(|l| l.elements.iter().find(|e| e.part == k));
                    let (lay, radius) = e.map_or((straight, 0.0), |e| (e.lay, e.radius_m));
                    let over = if item.class.is_soft() { over } else { Vec::new() };
                    let mut s = part_strength(
                        &r.parts[k],
                        item,
                        lay,
                        [&ends[0], &ends[1]],
                        &over,
                        radius,
                        &catalogue.deratings,
                    );
                    if r.closed && item.per == crate::catalogue::Per::Article && s.rated {
                        s.low_n *= 0.5;
                        s.nominal_n *= 0.5;
                        s.steps.push(super::strength::Step {
                            what: "one strand of two: the way round is counted strand by strand".to_owned(),
                            amount: super::strength::Amount::Factor { low: 0.5, nominal: 0.5 },
                            source: "statics".to_owned(),
                        });
                    }
                    Some(s)
                })
                .collect()
        })
        .collect()
}

pub(super) fn kind_of(role: &Role, item: &Item) -> Kind {
    match role {
        Role::Main if item.class.is_soft() => Kind::Main,
        Role::Backup { .. } if item.class.is_soft() => Kind::Backup,
        Role::Leash => Kind::Leash,
        _ if item.class.is_soft() => Kind::Soft,
        _ => Kind::Hardware,
    }
}

/// Strength of a single piece of hardware or a soft shackle at a point.
pub(super) fn piece_strength(item: &Item, catalogue: &Catalogue) -> Strength {
    let Some((r, n)) = item.rating.as_ref().and_then(|r| Some((r, r.minimum_n()?))) else {
        return Strength::unrated(&format!("{} has no rating", item.title));
    };
    let mut s = Strength::start(&item.title, r, n);
    s.wll_n = item.wll_n();
    if item.class == ItemClass::SoftShackle {
        let (title, k) = catalogue.deratings.termination(crate::catalogue::Termination::Diamond);
        s.low_n *= k.low;
        s.nominal_n *= k.nominal;
        s.steps.push(super::strength::Step {
            what: title.to_owned(),
            amount: super::strength::Amount::Factor { low: k.low, nominal: k.nominal },
            source: k.source.clone(),
        });
    }
    s
}
