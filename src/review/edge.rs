//! Who works at an edge on what: how far each tie lets somebody go, how hard it holds then, who hangs where at each step.

use std::f64::consts::FRAC_PI_2;

use schemars::JsonSchema;
use serde::Serialize;

use crate::catalogue::Catalogue;
use crate::mechanics::G;
use crate::mechanics::impact::{Pushed, estimate};
use crate::mechanics::law::{LengthLaw, Piece};
use crate::plan::ties::{AtStep, Step, Tie};
use crate::plan::{Plan, Side};
use crate::units::Quantity;

/// What a tie does that lets somebody over.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct LetsOver {
    /// How far beyond the lip, m.
    pub beyond_m: f64,
    /// How deep the fall is until the rope is taut, m.
    pub fall_m: f64,
    /// Rope that works then, m.
    pub works_m: f64,
}

/// One tie.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Tied {
    /// Its name.
    pub name: String,
    /// Its side.
    pub side: Side,
    /// How it lets somebody over; nothing where it holds back.
    pub lets_over: Option<LetsOver>,
    /// Most tension for one person, N; nothing where the rope's stretch is not known, or it ends in no force that it bears.
    #[serde(rename = "peak_N")]
    pub peak_n: Option<f64>,
    /// People on it.
    pub people: usize,
    /// Its rope drawn out by what is asked of it, m; nothing where how it stretches is not known.
    pub stretched_m: Option<f64>,
    /// Steps at which it is in use.
    pub steps: Vec<Step>,
}

impl Tied {
    /// What rope and anchor see, N.
    #[must_use]
    pub fn demand_n(&self) -> Option<f64> {
        Some(self.peak_n? * self.people as f64)
    }
}

/// A side at a step.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SideAt {
    /// Which.
    pub side: Side,
    /// People within two metres of the lip.
    pub people: usize,
    /// Ties in use.
    pub ties: Vec<String>,
    /// How many these hold.
    pub held: usize,
}

/// One step.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AtEdge {
    /// Which.
    pub step: Step,
    /// Both sides, A first.
    pub sides: [SideAt; 2],
}

/// Work at the edges.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Edges {
    /// Ties.
    pub ties: Vec<Tied>,
    /// Steps, in order.
    pub steps: Vec<AtEdge>,
}

/// How a tie that is longer than the way to the lip lets somebody of so many kilograms over; friction at the lip keeps the rest
/// of the rope from stretching.
fn lets_over(tie: &Tie) -> Option<LetsOver> {
    let (rope, lip) = (tie.length_m(), tie.lip.si());
    let beyond_m = rope - lip;
    if beyond_m <= 0.0 {
        return None;
    }
    let rest = (-tie.over.friction().high * FRAC_PI_2).exp();
    Some(LetsOver { beyond_m, fall_m: beyond_m + tie.tie_in.si(), works_m: beyond_m + lip * rest })
}

/// Most tension of a rope of a law, so long, that stops a fall so deep, N: by energy, the rope alone gives.
#[must_use]
pub fn stopped_n(mass_kg: f64, fall_m: f64, piece: Piece) -> Option<f64> {
    let law = LengthLaw::series(vec![piece]).ok()?;
    let still = Pushed { ring_z_m: 0.0, energy_j: 0.0 };
    estimate(mass_kg, fall_m, &law, still, |_| Some(still)).map(|e| e.leash_n)
}

/// Works a plan's work at the edges out; nothing when it has no ties.
#[must_use]
pub(super) fn edges(plan: &Plan, catalogue: &Catalogue, heaviest_kg: f64) -> Option<Edges> {
    if plan.ties.is_empty() {
        return None;
    }
    let all = |side: Side| plan.ties.iter().filter(move |(_, t)| t.side == side).map(|(n, _)| n.clone());
    let pulls = plan.tensioning.as_ref().map(|t| t.side);
    let none = AtStep::default();
    let steps: Vec<AtEdge> = Step::ALL
        .iter()
        .map(|&(step, words)| {
            let said = plan.work.get(words);
            let at = said.unwrap_or(&none);
            let sides = [Side::A, Side::B].map(|side| {
                let k = usize::from(side == Side::B);
                // Where a step is not told, every tie of the side is there.
                let ties: Vec<String> = if said.is_some() { at.ties[k].clone() } else { all(side).collect() };
                let held = ties.iter().filter_map(|t| plan.ties.get(t)).map(|t| t.people).sum();
                let people = at.people[k].unwrap_or_else(|| step.people(pulls.is_none_or(|p| p == side)));
                SideAt { side, people, ties, held }
            });
            AtEdge { step, sides }
        })
        .collect();
    let ties = plan
        .ties
        .iter()
        .map(|(name, t)| {
            let over = lets_over(t);
            let law = catalogue.get(&t.rope.item).and_then(|i| i.law());
            let peak_n = match over {
                // Somebody who leans back and slips: twice their weight.
                None => Some(2.0 * heaviest_kg * G),
                Some(o) => law.clone().and_then(|law| {
                    let piece = Piece { length_m: o.works_m, gauge_m: o.works_m, law };
                    stopped_n(heaviest_kg, o.fall_m, piece)
                }),
            };
            let used = |s: &&AtEdge| s.sides.iter().any(|x| x.ties.contains(name));
            Tied {
                name: name.clone(),
                side: t.side,
                lets_over: over,
                peak_n,
                stretched_m: law.zip(peak_n).map(|(law, n)| t.length_m() * (1.0 + law.at(n).0)),
                people: t.people,
                steps: steps.iter().filter(used).map(|s| s.step).collect(),
            }
        })
        .collect();
    Some(Edges { ties, steps })
}
