//! Finds the lengths that the plan leaves open: the line's, so that it stands at its target, and of legs that are
//! adjusted to a share of the pull.

use std::collections::BTreeMap;

use glam::DVec3;

use super::build::{Rig, RigFault};
use super::load::{CaseNet, Load, Walker};
use crate::document::Path;
use crate::mechanics::equilibrium::{self, MemberState, Solution, Status};
use crate::mechanics::frame;
use crate::mechanics::net::{Member, Net};
use crate::mechanics::root::{Root, bracketed};
use crate::mechanics::span;
use crate::plan::{Side, Target};

/// The lengths of a rig that are not drawn, and where its points came to rest last.
#[derive(Debug, Clone, Default)]
pub struct Lengths {
    /// Unstretched length of the line's target part, m.
    pub target_m: f64,
    /// What each leg is longer than drawn, m.
    pub offsets: Vec<f64>,
    /// Legs pulled with one tension while they are being adjusted, N.
    pub(super) constant: BTreeMap<usize, f64>,
    /// Start places of the rig's points.
    pub(super) places: Vec<DVec3>,
    /// Sag of the start shape at mid-span, m.
    sag_m: f64,
}

impl Lengths {
    /// What a leg is longer than drawn, m.
    #[must_use]
    pub fn offset(&self, leg: usize) -> f64 {
        self.offsets.get(leg).copied().unwrap_or(0.0)
    }

    /// Start place of a point of the line at a share of its length: on the chord, sagging a little.
    pub(super) fn start(&self, on_chord: DVec3, share: f64) -> DVec3 {
        on_chord - DVec3::Z * (4.0 * self.sag_m * share * (1.0 - share))
    }

    /// Starts the next solves from where a rig of `points` points came to rest.
    pub fn remember(&mut self, solution: &Solution, points: usize) {
        self.places = solution.places[..points].to_vec();
    }
}

/// A rig tensioned as planned, at rest with nobody on it.
#[derive(Debug, Clone)]
pub struct Standing {
    /// The lengths found.
    pub lengths: Lengths,
    /// The net.
    pub case: CaseNet,
    /// Its rest.
    pub solution: Solution,
}

impl CaseNet {
    /// Tension of the main line at A and at B, N.
    #[must_use]
    pub fn line_tension_n(&self, s: &Solution) -> [f64; 2] {
        let (Some(&first), Some(&last)) = (self.spans.first(), self.spans.last()) else {
            return [0.0; 2];
        };
        let a = s.span_force(first).unwrap_or_default();
        let Member::Span(sp) = &self.net.members[last] else {
            return [a.length(); 2];
        };
        let b = s.span_force(last).unwrap_or_default() - span::load_n(&sp.zones);
        [a.length(), b.length()]
    }

    /// Largest drop of the line below the straight line between its ends, m.
    #[must_use]
    pub fn sag_m(&self, s: &Solution) -> f64 {
        let ends = self.ends();
        let Some((a, b)) = ends.map(|(a, b)| (s.places[a], s.places[b])) else {
            return 0.0;
        };
        let chord = b - a;
        let flat = DVec3::new(chord.x, chord.y, 0.0);
        let below = |p: DVec3| {
            let u = (p - a).dot(flat) / flat.length_squared().max(1e-12);
            a.z + u * chord.z - p.z
        };
        self.spans
            .iter()
            .filter_map(|&m| match &self.net.members[m] {
                Member::Span(sp) => {
                    let f = s.span_force(m)?;
                    let k = span::furthest_below(&sp.zones, f, chord);
                    Some(below(s.places[sp.a] + span::place(&sp.zones, f, k)))
                }
                _ => None,
            })
            .fold(0.0, f64::max)
    }

    /// Drop of the line below its chord at mid-span, m.
    #[must_use]
    pub fn sag_at_middle_m(&self, s: &Solution) -> f64 {
        let Some((a, b)) = self.ends().map(|(a, b)| (s.places[a], s.places[b])) else { return 0.0 };
        let middle = 0.5 * (a + b);
        let over = self.spans.iter().find_map(|&m| match &self.net.members[m] {
            Member::Span(sp) if s.places[sp.a].x <= middle.x && s.places[sp.b].x >= middle.x => {
                Some((sp, s.span_force(m)?))
            }
            _ => None,
        });
        let Some((sp, f)) = over else { return 0.0 };
        let (mut low, mut high) = (0.0, span::length_m(&sp.zones));
        for _ in 0..60 {
            let k = 0.5 * (low + high);
            if s.places[sp.a].x + span::place(&sp.zones, f, k).x < middle.x {
                low = k;
            } else {
                high = k;
            }
        }
        middle.z - s.places[sp.a].z - span::place(&sp.zones, f, low).z
    }

    fn ends(&self) -> Option<(usize, usize)> {
        let point = |m: usize, last: bool| match &self.net.members[m] {
            Member::Span(s) => Some(if last { s.b } else { s.a }),
            _ => None,
        };
        Some((point(*self.spans.first()?, false)?, point(*self.spans.last()?, true)?))
    }

    /// Places along the line, `n` to each span, from A to B.
    #[must_use]
    pub fn shape(&self, s: &Solution, n: usize) -> Vec<DVec3> {
        let mut out = Vec::new();
        for &m in &self.spans {
            let Member::Span(sp) = &self.net.members[m] else {
                continue;
            };
            let f = s.span_force(m).unwrap_or_default();
            let total = span::length_m(&sp.zones);
            out.extend((0..n).map(|i| s.places[sp.a] + span::place(&sp.zones, f, total * i as f64 / n as f64)));
        }
        out.extend(self.ends().map(|(_, b)| s.places[b]));
        out
    }
}

impl Rig {
    /// Solves a situation; the solution says whether it converged.
    #[must_use]
    pub fn solve(&self, lengths: &Lengths, load: &Load, warm: Option<&Solution>) -> (CaseNet, Solution) {
        let mut case = self.net(lengths, load);
        let start = warm.filter(|w| w.places.len() == case.net.nodes.len()).map(|w| self.slid(w, &case));
        let solution = self.at_rest(&mut case.net, start.as_ref().or(warm));
        (case, solution)
    }

    /// A net of this rig at rest, its heads where they rest; as drawn, and held there, where they do not.
    fn at_rest(&self, net: &mut Net, warm: Option<&Solution>) -> Solution {
        if self.frames.is_empty() {
            return equilibrium::solve(net, warm);
        }
        for (f, w) in self.frames.iter().filter_map(|f| Some((f, warm?))) {
            net.nodes[f.point].place = w.places[f.point];
        }
        frame::rest(net, &self.frames, warm).0
    }

    /// A neighbouring solution with its walkers slid along to where they now stand: the line's points evenly along the
    /// chord, as the unloaded line has them, so that no piece starts out torn; off the chord by what the neighbour has.
    fn slid(&self, warm: &Solution, case: &CaseNet) -> Solution {
        let mut start = warm.clone();
        let [a, b] = self.line.ends.map(|e| warm.places[e]);
        let chord = b - a;
        let share = |p: DVec3| ((p - a).dot(chord) / chord.length_squared()).clamp(0.01, 0.99);
        let off = |p: DVec3| p - a - chord * ((p - a).dot(chord) / chord.length_squared());
        // Joints hang on the two sides of the triangle that a walker pulls the line into.
        let side = |u: f64, w: f64| (u / w).min((1.0 - u) / (1.0 - w));
        let new_share = |k: usize| share(case.net.nodes[k].place);
        for &j in &case.joints {
            start.places[j] = a + chord * new_share(j) + off(warm.places[j]);
        }
        for &w in case.walkers.iter().filter(|w| **w >= self.spots.len()) {
            let (was, new) = (share(warm.places[w]), new_share(w));
            let old = off(warm.places[w]);
            let dip = old * (new * (1.0 - new) / (was * (1.0 - was)));
            start.places[w] = a + chord * new + dip;
            for &j in &case.joints {
                start.places[j] += dip * side(new_share(j), new) - old * side(share(warm.places[j]), was);
            }
        }
        start
    }

    /// Tensions the rig to its target with the given leg offsets, at rigging temperature, in calm air.
    ///
    /// # Errors
    /// When the target cannot be reached, with the range that can, or when nothing balances.
    pub fn stand(&self, offsets: Vec<f64>, from: Option<&Standing>) -> Result<Standing, RigFault> {
        let mut lengths = from.map_or_else(Lengths::default, |s| s.lengths.clone());
        lengths.offsets = offsets;
        if let Some(leg) = (0..self.legs.len()).find(|&l| self.chain(l, lengths.offset(l), &Load::default()).is_none())
        {
            return Err(RigFault {
                path: Path::root().key("runs").key(&self.run_names[self.legs[leg].run]),
                message: "its tolerance is longer than the part that is made to fit".to_owned(),
                help: "give it a smaller tolerance, or make the leg longer".to_owned(),
            });
        }
        let mut warm = from.map(|s| s.solution.clone());
        if from.is_none() {
            lengths.target_m = self.line.target.map_or(0.0, |(i, t)| self.first_guess(i, t));
            let shares: Vec<(usize, f64)> =
                self.legs.iter().enumerate().filter_map(|(i, l)| Some((i, l.share?.1))).collect();
            if !shares.is_empty() {
                self.adjust(&mut lengths, &shares, &mut warm)?;
            }
        }
        self.reach_target(&mut lengths, &mut warm)?;
        let (case, solution) = self.solve(&lengths, &Load::default(), warm.as_ref());
        if solution.status != Status::Converged {
            return Err(self.unsolved("the rig does not come to rest when tensioned"));
        }
        lengths.remember(&solution, self.spots.len());
        Ok(Standing { lengths, case, solution })
    }

    fn unsolved(&self, message: &str) -> RigFault {
        RigFault {
            path: Path::root().key("runs").key(&self.run_names[self.line.run]),
            message: message.to_owned(),
            help: "look for points far from where their legs can hold them".to_owned(),
        }
    }

    /// From end to end of the line, as drawn, m.
    #[must_use]
    pub fn chord_m(&self) -> f64 {
        self.spots[self.line.ends[0]].place.distance(self.spots[self.line.ends[1]].place)
    }

    fn first_guess(&self, i: usize, target: Target) -> f64 {
        let rest: f64 = self.line.elements.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, e)| e.length_m).sum();
        let tension = match target {
            Target::Standing(t, _) => t.value,
            Target::Sag(..) => 3000.0,
        };
        let stretched = |e: f64, l: f64| l * (1.0 + e);
        let rest_long: f64 = self
            .line
            .elements
            .iter()
            .enumerate()
            .filter(|(k, _)| *k != i)
            .map(|(_, e)| stretched(e.law.at(tension).0, e.length_m))
            .sum();
        ((self.chord_m() - rest_long) / (1.0 + self.line.elements[i].law.at(tension).0))
            .max(0.02 * (self.chord_m() - rest).abs())
    }

    /// Finds the target part's length. The value falls (tension) or rises (sag) steadily with it.
    fn reach_target(&self, lengths: &mut Lengths, warm: &mut Option<Solution>) -> Result<(), RigFault> {
        let Some((i, target)) = self.line.target else {
            return Ok(());
        };
        let load = match target {
            Target::Sag(_, true) => {
                Load { walkers: vec![Walker::still(0.5, self.walker_kg * crate::mechanics::G)], ..Load::default() }
            }
            _ => Load::default(),
        };
        self.reach(lengths, i, target, &load, warm)
    }

    pub(crate) fn reach(
        &self,
        lengths: &mut Lengths,
        i: usize,
        target: Target,
        load: &Load,
        warm: &mut Option<Solution>,
    ) -> Result<(), RigFault> {
        let want = match target {
            Target::Standing(t, _) => t.value,
            Target::Sag(s, _) => s.value,
        };
        let mut solution = warm.clone();
        let mut trial = lengths.clone();
        let mut off = |length: f64| {
            trial.target_m = length;
            let (case, s) = self.solve(&trial, load, solution.as_ref());
            if s.status != Status::Converged {
                return None;
            }
            let value = match target {
                Target::Standing(_, Side::A) => case.line_tension_n(&s)[0],
                Target::Standing(_, Side::B) => case.line_tension_n(&s)[1],
                Target::Sag(_, true) => {
                    let (a, b) = case.ends().map_or((0, 0), |(a, b)| (a, b));
                    let w = case.walkers.first().copied().unwrap_or(a);
                    let (a, b, p) = (s.places[a], s.places[b], s.places[w]);
                    a.z + (b.z - a.z) * (p.x - a.x) / (b.x - a.x) - p.z
                }
                Target::Sag(_, false) => case.sag_at_middle_m(&s),
            };
            solution = Some(s);
            Some(value - want)
        };
        // Bracket the length about the guess, wider until the sign turns.
        let guess = trial_length(lengths.target_m, self.chord_m());
        let Some(at_guess) = off(guess) else {
            return Err(self.unsolved("the line does not come to rest while it is tensioned"));
        };
        let falls = matches!(target, Target::Standing(..));
        let mut width = 2e-4 * guess.max(0.05 * self.chord_m());
        let (mut other, mut far) = (guess, at_guess);
        if at_guess.abs() > 1e-9 * want {
            loop {
                // Too much tension or too little sag asks for more length.
                let longer = (at_guess > 0.0) == falls;
                other = if longer { guess + width } else { guess - width };
                if other <= 0.01 * guess || width > 0.6 * self.chord_m() {
                    return Err(self.out_of_reach(i, target, at_guess + want, far + want));
                }
                match off(other) {
                    Some(v) => far = v,
                    None => return Err(self.out_of_reach(i, target, at_guess + want, far + want)),
                }
                if far.signum() != at_guess.signum() {
                    break;
                }
                width *= 4.0;
            }
        }
        match bracketed(guess, other, 1e-13 * guess, 1e-9 * want, &mut off) {
            Root::At(length) => {
                lengths.target_m = length;
                off(length);
                // A start for the next solve only when nobody is on the line there.
                *warm = if load.walkers.is_empty() { solution } else { None };
                Ok(())
            }
            Root::OutOfReach(a, b) => Err(self.out_of_reach(i, target, a + want, b + want)),
            Root::NoValue => Err(self.unsolved("the line does not come to rest while it is tensioned")),
        }
    }

    fn out_of_reach(&self, element: usize, target: Target, a: f64, b: f64) -> RigFault {
        let (low, high) = (a.min(b), a.max(b));
        let (what, range) = match target {
            Target::Standing(..) => ("standing tension", format!("{:.2} to {:.2} kN", low / 1e3, high / 1e3)),
            Target::Sag(..) => ("sag", format!("{low:.2} to {high:.2} m")),
        };
        RigFault {
            path: Path::root()
                .key("runs")
                .key(&self.run_names[self.line.run])
                .key("parts")
                .at(self.line.elements[element].part)
                .key("length"),
            message: format!("the {what} asked for cannot be reached; tried lengths give {range}"),
            help: "ask for a value in that range, or change the other parts of the line".to_owned(),
        }
    }

    /// Finds the lengths of legs adjusted to a share: while adjusted they pull with one tension, which is convex too.
    fn adjust(
        &self,
        lengths: &mut Lengths,
        shares: &[(usize, f64)],
        warm: &mut Option<Solution>,
    ) -> Result<(), RigFault> {
        for &(leg, share) in shares {
            lengths.constant.insert(leg, share * 2000.0);
        }
        for round in 0..60 {
            self.reach_target(lengths, warm)?;
            let (case, s) = self.solve(lengths, &Load::default(), warm.as_ref());
            if s.status != Status::Converged {
                return Err(self.unsolved("a leg cannot carry the share asked for"));
            }
            let mut moved = 0.0_f64;
            for &(leg, share) in shares {
                let pull = self.pull_on(self.inner_end(leg), &case, &s).length();
                let old = lengths.constant[&leg];
                moved = moved.max((share * pull - old).abs());
                lengths.constant.insert(leg, share * pull);
            }
            if moved < 1e-7 * s.history.len() as f64 + 1e-6 {
                for &(leg, _) in shares {
                    let MemberState::Link { length_m, .. } = s.members[leg] else {
                        continue;
                    };
                    let tension = lengths.constant[&leg];
                    let Some(chain) = self.chain(leg, 0.0, &Load::default()) else {
                        continue;
                    };
                    let (element, _) = self.legs[leg].share.unwrap_or((0, 0.0));
                    let e = &self.legs[leg].elements[element];
                    let give = 1.0 + e.law.at(tension / e.lay.strands).0;
                    let spare = (length_m - chain.length(tension)) / give;
                    if lengths.offsets.len() < self.legs.len() {
                        lengths.offsets.resize(self.legs.len(), 0.0);
                    }
                    lengths.offsets[leg] = spare;
                }
                lengths.constant.clear();
                return Ok(());
            }
            if round == 59 {
                break;
            }
        }
        Err(self.unsolved("the legs cannot carry the shares asked for"))
    }

    /// The free end of a leg that lies towards the line.
    #[must_use]
    pub fn inner_end(&self, leg: usize) -> usize {
        let path = &self.legs[leg].path;
        let (first, last) = (path[0], path[path.len() - 1]);
        let depth = &self.depth;
        if depth[first] <= depth[last] { first } else { last }
    }

    /// Force on a point from everything on its line side, N: the line, the backup, and legs that lead inwards.
    #[must_use]
    pub fn pull_on(&self, point: usize, case: &CaseNet, s: &Solution) -> DVec3 {
        let depth = &self.depth;
        let outer = |m: usize| {
            m < self.legs.len()
                && self.legs[m].path.contains(&point)
                && self.legs[m].path.iter().any(|&q| depth[q] > depth[point])
        };
        let legs: DVec3 = (0..self.legs.len())
            .filter(|&m| outer(m))
            .map(|m| super::response::link_force(&case.net, s, m, point))
            .sum();
        -legs - case.net.nodes[point].load_n
    }
}

fn trial_length(length: f64, chord: f64) -> f64 {
    if length.is_finite() && length > 0.0 { length } else { 0.9 * chord }
}
