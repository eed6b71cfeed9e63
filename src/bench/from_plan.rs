//! What a plan asks the bench for: each spliced part, designed to the length that the rig gives it.

use super::splice::{Design, Eye, Gear, Refusal, Rope, design};
use crate::catalogue::{Catalogue, Class, Item};
use crate::plan::{End, EndKind, Plan, SpliceStyle};
use crate::rig::{Article, neighbours};
use crate::units::Quantity;

/// A part that is made at the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Spliced {
    /// Index of its run.
    pub run: usize,
    /// Its part, from 0.
    pub part: usize,
    /// Its name for people: the run, or the article it is a part of.
    pub name: String,
    /// How it is made, or why it cannot be.
    pub design: Result<Design, Refusal>,
}

/// Diameter of a pin where the plan does not say what an end sits on, m.
const UNKNOWN_PIN_M: f64 = 0.016;

/// Groove of a thimble that is not measured, in rope diameters. Common practice, no source.
const GROOVE_D: f64 = 3.0;

/// Every spliced part of a plan.
#[must_use]
pub fn spliced_of(plan: &Plan, catalogue: &Catalogue, articles: &[Article]) -> Vec<Spliced> {
    let mut out = Vec::new();
    for a in articles {
        let Some((name, run)) = plan.runs.get_index(a.run) else { continue };
        let Some(part) = run.parts.get(a.part) else { continue };
        let Some(item) = catalogue.get(&part.item) else { continue };
        if item.class == Class::SoftShackle {
            let buried = part.ends.as_ref().is_none();
            out.push(Spliced {
                run: a.run,
                part: a.part,
                name: part_name(name, a.part),
                design: shackle(item, a.length_m, buried, catalogue),
            });
            continue;
        }
        let spliced = |e: &End| matches!(e.kind, EndKind::Spliced { .. });
        let Some(ends) = part.ends.as_ref().filter(|e| item.class == Class::HollowBraid && e.iter().any(spliced))
        else {
            continue;
        };
        let (seats, _) = neighbours(plan, catalogue, a.run, a.part);
        let eye = |k: usize| {
            let pin_m = seats[k].diameter_m.unwrap_or(UNKNOWN_PIN_M);
            // A thimble's groove is wider than what goes through it.
            let groove_m = pin_m.max(GROOVE_D * item.diameter.map_or(0.0, Quantity::si));
            match &ends[k].kind {
                EndKind::Spliced { bury, thimble, style, .. } => Eye {
                    pin_m: if *thimble { groove_m } else { pin_m },
                    flat_m: ends[k].eye.map(Quantity::si),
                    thimble: *thimble,
                    bury_m: bury.map(Quantity::si),
                    locked: *style == SpliceStyle::Locked,
                },
                _ => Eye { pin_m, flat_m: None, thimble: false, bury_m: None, locked: false },
            }
        };
        let style =
            |k: usize| if let EndKind::Spliced { style, .. } = &ends[k].kind { *style } else { SpliceStyle::Straight };
        let gear = if run.closed || style(0) == SpliceStyle::EndForEnd {
            Gear::Loop { length_m: if run.closed { 0.5 * a.length_m } else { a.length_m }, bury_m: eye(0).bury_m }
        } else if style(0) == SpliceStyle::Adjustable || style(1) == SpliceStyle::Adjustable {
            Gear::Adjustable { eye: eye(usize::from(style(0) == SpliceStyle::Adjustable)), longest_m: a.length_m }
        } else if ends.iter().all(spliced) {
            Gear::Sling { eyes: [eye(0), eye(1)], length_m: a.length_m }
        } else {
            Gear::EyeSplice { eye: eye(usize::from(!spliced(&ends[0]))), length_m: a.length_m }
        };
        let made = Rope::of(item).and_then(|rope| design(&gear, &rope, &catalogue.deratings));
        out.push(Spliced { run: a.run, part: a.part, name: part_name(name, a.part), design: made });
    }
    out
}

fn part_name(run: &str, part: usize) -> String {
    if part == 0 { run.to_owned() } else { format!("{run}, part {}", part + 1) }
}

fn shackle(item: &Item, length_m: f64, buried: bool, catalogue: &Catalogue) -> Result<Design, Refusal> {
    let d = item.diameter.map_or(0.0, Quantity::si);
    let rope = Rope {
        id: item.id.clone(),
        title: format!("HMPE 12-strand {:.0} mm", 1e3 * d),
        d_m: d,
        mass_per_m: 0.63 * d * d * 1e3,
        strength_n: item.rating.as_ref().and_then(crate::catalogue::Rating::minimum_n),
    };
    design(&Gear::SoftShackle { length_m, buried }, &rope, &catalogue.deratings)
}
