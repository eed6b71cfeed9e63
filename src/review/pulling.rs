//! Tensioning: what hands, ropes, sheaves, grip and anchor see while the line is pulled, and how far it must come.

use super::case::Case;
use super::situation::Situation;
use super::solve::{Solved, Solver};
use crate::catalogue::Catalogue;
use crate::mechanics::G;
use crate::mechanics::reeving::Way;
use crate::plan::{PartLength, Plan, Role, Side, Target};
use crate::rig::{Rig, Standing};
use crate::units::{Force, Quantity};

/// Pulled over the target so that the lock can take the line. Common practice, no source.
pub const OVER: f64 = 1.05;
/// What people pull the line to by hand before the pulleys are put on, N. Common practice, no source.
const BY_HAND_N: f64 = 300.0;
/// Length of two blocks that have met, m. Common practice, no source.
const BLOCKS_M: f64 = 0.5;
/// Rope that hangs out of the system for the hands, m. Common practice, no source.
const HANDS_M: f64 = 3.0;

/// A pulley system at work.
#[derive(Debug, Clone, PartialEq)]
pub struct Pulling {
    /// Pull on the line, N.
    pub load_n: f64,
    /// At the hand, hauling, N.
    pub hand_n: f64,
    /// At the hand, letting out, N.
    pub lower_n: f64,
    /// Load over hand: without friction, and hauling.
    pub advantage: [f64; 2],
    /// Tension of each strand of each rope from the hand on, hauling and letting out, N.
    pub strands_n: [Vec<Vec<f64>>; 2],
    /// Largest load on each sheave, N.
    pub sheaves_n: Vec<Vec<f64>>,
    /// Largest pull on what it hangs on, N.
    pub anchor_n: f64,
    /// What the team pulls together, N.
    pub team_n: f64,
    /// Line that comes through from hand-tight, m.
    pub through_m: f64,
    /// Rope that the hands pull for it, m.
    pub hand_m: f64,
    /// How far the line comes before the blocks meet, m.
    pub throw_m: f64,
    /// How often the system must be drawn out anew.
    pub resets: usize,
    /// Rope needed, m.
    pub rope_m: f64,
}

/// People who pull so much together, each no more than so much.
pub(super) fn people(n: f64, each_n: f64) -> usize {
    (n / each_n.max(1.0) - 1e-9).ceil().max(1.0) as usize
}

impl Pulling {
    /// People needed, each pulling as the plan says.
    #[must_use]
    pub fn people(&self, each_n: f64) -> usize {
        people(self.hand_n, each_n)
    }

    /// Largest tension of any strand, N.
    #[must_use]
    pub fn rope_n(&self) -> f64 {
        self.strands_n.iter().flatten().flatten().copied().fold(0.0, f64::max)
    }

    /// Largest load of any sheave, N.
    #[must_use]
    pub fn sheave_n(&self) -> f64 {
        self.sheaves_n.iter().flatten().copied().fold(0.0, f64::max)
    }
}

/// The plan's pulley system pulling the line with `load_n`; nothing when the plan has none, or it goes nowhere.
#[must_use]
pub fn pulling(plan: &Plan, catalogue: &Catalogue, through_m: f64, load_n: f64) -> Option<Pulling> {
    let t = plan.tensioning.as_ref()?;
    let reeving = t.ropes(catalogue).ok()?;
    let (haul, lower) = (reeving.pulls(Way::Hauling).ok()?, reeving.pulls(Way::Lowering).ok()?);
    let ideal = reeving.pulls(Way::Ideal).ok()?.load;
    let (up, down) = (load_n / haul.load, load_n / lower.load);
    let larger = |a: &[Vec<f64>], b: &[Vec<f64>]| -> Vec<Vec<f64>> {
        a.iter().zip(b).map(|(a, b)| a.iter().zip(b).map(|(a, b)| (a * up).max(b * down)).collect()).collect()
    };
    let scaled = |strands: &[Vec<f64>], by: f64| -> Vec<Vec<f64>> {
        strands.iter().map(|rope| rope.iter().map(|n| n * by).collect()).collect()
    };
    let strands_n = [scaled(&haul.strands, up), scaled(&lower.strands, down)];
    let (hand_m, blocks) = reeving.travel().ok()?;
    // The block that moves furthest meets the anchor first.
    let fastest = blocks.iter().copied().fold(1.0, f64::max);
    let distance = t.distance.si();
    let throw_m = ((distance - BLOCKS_M) / fastest).max(0.0);
    let times = if throw_m > 0.0 { (through_m / throw_m).ceil().max(1.0) } else { f64::INFINITY };
    let strands: usize = reeving.ropes.iter().map(|r| r.turns.len() + 1).sum();
    Some(Pulling {
        load_n,
        hand_n: up,
        lower_n: down,
        advantage: [ideal, haul.load],
        strands_n,
        sheaves_n: larger(&haul.sheaves, &lower.sheaves),
        anchor_n: (haul.anchor * up).max(lower.anchor * down),
        team_n: t.people as f64 * t.each.si(),
        through_m,
        hand_m: hand_m * through_m,
        throw_m,
        resets: if times.is_finite() { times as usize - 1 } else { 0 },
        rope_m: strands as f64 * distance + HANDS_M,
    })
}

/// How far a line comes through from hand-tight to a tension, m: the stretch of all its parts, and the sag it loses.
/// With it the pull by hand that it is counted from, N.
#[must_use]
pub fn comes_through(rig: &Rig, standing: &Standing, tension_n: f64) -> (f64, f64) {
    let hand = BY_HAND_N.min(0.8 * tension_n);
    let parts = || rig.line.elements.iter().enumerate().map(|(i, e)| (e, rig.element_length(&standing.lengths, i)));
    let strained = |t: f64| -> f64 { parts().map(|(e, m)| m * e.law.at(t).0).sum() };
    let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
    let chord = a.distance(b);
    let sag = |t: f64| hung_per_m(rig) * G * chord * chord / (8.0 * t);
    let slack = 8.0 * (sag(hand).powi(2) - sag(tension_n).powi(2)) / (3.0 * chord);
    (strained(tension_n) - strained(hand) + slack.max(0.0), hand)
}

/// Mass that hangs on a metre of line, its backup included, kg/m.
#[must_use]
pub fn hung_per_m(rig: &Rig) -> f64 {
    let soft = rig.line.elements.iter().filter(|e| e.item.class.is_soft());
    let line: f64 = soft.map(|e| e.mass_per_m).fold(0.0, f64::max);
    let under = rig.backup.as_ref().and_then(|b| Some((1.0 + b.excess) * b.segments.first()?.mass_per_m));
    line + under.unwrap_or(0.0)
}

/// The rig while it is tensioned: the line's end on the system's point, pulled over its target, and over the pull on the
/// line by how much more than that the point holds (where the hands pull towards the load, it holds them as well). With
/// it that last share. Nothing when the plan has no pulley system.
///
/// # Errors
/// Why it has no solution.
pub(super) fn tensioned(
    plan: &Plan,
    catalogue: &Catalogue,
    standing: &Solved,
) -> Result<Option<(Solved, f64)>, String> {
    let Some(t) = &plan.tensioning else { return Ok(None) };
    let reeving = t.ropes(catalogue)?;
    let haul = reeving.pulls(Way::Hauling).map_err(|f| f.to_string())?;
    let more = (haul.anchor / haul.load).max(1.0);
    let over = OVER * more;
    let mut plan = plan.clone();
    let tensioned = plan.tensioned_part();
    let Some(main) = plan.runs.values_mut().find(|r| r.role == Role::Main) else { return Ok(None) };
    if let Some(at) = &t.at {
        let end = if t.side == Side::A { main.path.first_mut() } else { main.path.last_mut() };
        if let Some(end) = end {
            at.clone_into(end);
        }
    }
    // A line that is pulled to a sag, or cut to its lengths, is pulled over the tension that it stands at then.
    if let Some(part) = tensioned.and_then(|k| main.parts.get_mut(k)) {
        let side = usize::from(t.side == Side::B);
        part.length = PartLength::Solve(match part.length {
            PartLength::Solve(Target::Standing(n, at)) => Target::Standing(Force::from_si(over * n.si()), at),
            _ => Target::Standing(Force::from_si(over * standing.response.line_n[side]), t.side),
        });
    }
    let rig = Rig::build(&plan, catalogue).map_err(|f| f.first().map_or_else(String::new, |f| f.message.clone()))?;
    let mut solver = Solver::new(rig).map_err(|f| f.message)?;
    let solved = solver.solve(&Case::standing())?;
    Ok(solved.map(|mut s| {
        s.case.situation = Situation::TENSIONING;
        (s, more)
    }))
}
