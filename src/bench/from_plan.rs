//! What a plan asks the bench for: each spliced part, designed to the length that the rig gives it.

use super::braid::Hand;
use super::gear::{Design, Eye, Gear, Lock, Note, ShackleKnot, design};
use super::rope::{HMPE_KG_PER_M3, Refusal, Rope};
use crate::catalogue::{Catalogue, Class, Item};
use crate::plan::{End, EndKind, Plan, Role, Run, SpliceStyle};
use crate::rig::{Article, neighbours};
use crate::units::{Quantity, mm};

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
            let (seats, _) = neighbours(plan, catalogue, a.run, a.part);
            let pins = seats.map(|s| s.diameter_m);
            out.push(Spliced {
                run: a.run,
                part: a.part,
                name: part_name(name, a.part),
                design: shackle(item, a.length_m, pins, catalogue),
            });
            continue;
        }
        let spliced = |e: &End| matches!(e.kind, EndKind::Spliced { .. });
        let Some(ends) = part.ends.as_ref().filter(|e| item.class == Class::HollowBraid && e.iter().any(spliced))
        else {
            continue;
        };
        let (seats, over) = neighbours(plan, catalogue, a.run, a.part);
        let eye = |k: usize| {
            let pin_m = seats[k].diameter_m.unwrap_or(UNKNOWN_PIN_M);
            // A thimble's groove is wider than what goes through it.
            let groove_m = pin_m.max(GROOVE_D * item.diameter.map_or(0.0, Quantity::si));
            match &ends[k].kind {
                EndKind::Spliced { bury, thimble, style, .. } => Eye {
                    pin_m: if *thimble { groove_m } else { pin_m },
                    half_m: ends[k].eye.map(Quantity::si),
                    thimble: *thimble,
                    bury_m: bury.map(Quantity::si),
                    // The end that is made first is passed through; the far end is then closed: turned, if its eye is empty.
                    lock: match (*style, k) {
                        (SpliceStyle::Locked, 0) => Lock::Passed,
                        (SpliceStyle::Locked, _) if !thimble => Lock::Turned,
                        _ => Lock::Stitched,
                    },
                },
                _ => Eye::over(pin_m),
            }
        };
        let style =
            |k: usize| if let EndKind::Spliced { style, .. } = &ends[k].kind { *style } else { SpliceStyle::Straight };
        let seat = |k: usize| seats[k].diameter_m.unwrap_or(UNKNOWN_PIN_M);
        let gear = if run.closed || style(0) == SpliceStyle::EndForEnd {
            // Where a closed loop lies over points of the plan, they are its pins.
            let lies = |k: usize| over.get(k).or(over.last()).and_then(|n| n.diameter_m).unwrap_or(UNKNOWN_PIN_M);
            let (length_m, pins_m) =
                if run.closed { (0.5 * a.length_m, [lies(0), lies(1)]) } else { (a.length_m, [seat(0), seat(1)]) };
            Gear::Loop { length_m, pins_m, bury_m: eye(0).bury_m }
        } else if style(0) == SpliceStyle::Adjustable || style(1) == SpliceStyle::Adjustable {
            let fixed = usize::from(style(0) == SpliceStyle::Adjustable);
            Gear::Adjustable { eye: eye(fixed), far_pin_m: seat(1 - fixed), longest_m: a.length_m }
        } else if ends.iter().all(spliced) {
            Gear::Sling { eyes: [eye(0), eye(1)], length_m: a.length_m }
        } else {
            Gear::EyeSplice { eye: eye(usize::from(!spliced(&ends[0]))), length_m: a.length_m }
        };
        let made = Rope::of(item).and_then(|rope| design(&gear, &rope, &Hand::default(), &catalogue.deratings));
        let stitched = matches!(&ends[1].kind, EndKind::Spliced { style: SpliceStyle::Locked, thimble: true, .. });
        let made = made.map(|mut d| {
            d.notes.extend(stitched.then_some(Note::StitchedInstead));
            d
        });
        let made = made.and_then(|d| not_too_thin(plan, run, d));
        out.push(Spliced { run: a.run, part: a.part, name: part_name(name, a.part), design: made });
    }
    out
}

/// A piece that somebody hangs on bends over nothing thinner than its rope.
///
/// # Errors
/// With the pin that would do.
fn not_too_thin(plan: &Plan, run: &Run, d: Design) -> Result<Design, Refusal> {
    let on_master = run.path.iter().any(|p| plan.points.get(p).is_some_and(|p| p.hold().is_none()));
    let critical = on_master || matches!(run.role, Role::Main | Role::Leash);
    let thin = d.eyes.iter().filter(|e| !e.thimble).map(|e| e.pin_m).find(|p| *p < d.rope.d_m - 1e-9);
    match thin.filter(|_| critical) {
        Some(pin_m) => Err(Refusal::new(
            format!("a pin of {} under a rope of {} where master, line or leash hang", mm(pin_m), mm(d.rope.d_m)),
            format!("a pin of {} or more, better {}; or a thimble", mm(d.rope.d_m), mm(2.0 * d.rope.d_m)),
        )),
        None => Ok(d),
    }
}

fn part_name(run: &str, part: usize) -> String {
    if part == 0 { run.to_owned() } else { format!("{run}, part {}", part + 1) }
}

/// A soft shackle as the review counts one: with a diamond knot, on what it joins.
fn shackle(item: &Item, length_m: f64, pins: [Option<f64>; 2], catalogue: &Catalogue) -> Result<Design, Refusal> {
    let d_m = item.diameter.map_or(0.0, Quantity::si);
    let rope = Rope {
        id: item.id.clone(),
        title: format!("HMPE 12-strand {:.0} mm", 1e3 * d_m),
        d_m,
        mass_per_m: HMPE_KG_PER_M3 * d_m * d_m,
        strength_n: item.rating.as_ref().and_then(crate::catalogue::Rating::minimum_n),
        basis: item.source.clone(),
    };
    // A rope that it grips is as thick to it as a pin; what is not known is as thick as its own rope.
    let pin_m = pins.iter().flatten().copied().fold(f64::INFINITY, f64::min);
    let pin_m = if pin_m.is_finite() { pin_m.max(d_m) } else { d_m };
    let gear = Gear::SoftShackle { length_m, pin_m, knot: ShackleKnot::Diamond };
    design(&gear, &rope, &Hand::default(), &catalogue.deratings)
}
