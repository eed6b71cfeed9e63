//! The strength of every part of a plan, by what its ends sit on.

use super::factors::Kind;
use super::strength::{Strength, part_strength};
use crate::catalogue::{Catalogue, Class as ItemClass, Item};
use crate::plan::{Plan, Role};
use crate::rig::{Lay, Rig, neighbours};

/// Strength of every part, by run and part.
pub(super) type Strengths = Vec<Vec<Option<Strength>>>;

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
