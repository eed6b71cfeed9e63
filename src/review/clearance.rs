//! How low the feet come, all along the line: by energy, for a leash fall and for a catch by the backup.

use std::sync::Arc;

use super::incident::Body;
use super::solve::Solver;
use crate::mechanics::equilibrium::{self, Status};
use crate::mechanics::impact::{Estimate, Pushed, estimate};
use crate::mechanics::law::{LengthLaw, Piece};
use crate::mechanics::net::{Link, Member, Pull};
use crate::plan::Plan;
use crate::rig::{Lengths, Load, Loss, Rig, Walker};

/// How low the feet come at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Low {
    /// Place along the line, as a share of it.
    pub at: f64,
    /// Where along the span, m.
    pub x_m: f64,
    /// Feet after a leash fall, m.
    pub fall_m: Option<f64>,
    /// Feet after the main line has gone and the backup caught, m.
    pub catch_m: Option<f64>,
    /// Highest ground near there, m.
    pub ground_m: Option<f64>,
}

impl Low {
    /// Lowest of the two, m.
    #[must_use]
    pub fn feet_m(&self) -> Option<f64> {
        match (self.fall_m, self.catch_m) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }

    /// Feet above the ground, m.
    #[must_use]
    pub fn margin_m(&self) -> Option<f64> {
        Some(self.feet_m()? - self.ground_m?)
    }
}

/// Places at which the envelope is worked out.
const PLACES: usize = 41;
/// A body is not a point: the ground is looked at so far to both sides, m.
const ASIDE_M: f64 = 1.0;
/// What is left beyond the reach of leash and body to the nearest wall, m. Common practice, no source.
const SPARE_M: f64 = 1.0;

/// Energy estimate of a leash fall of `mass_kg` at a place.
#[must_use]
pub fn fall_estimate(solver: &Solver, body: &Body, mass_kg: f64, at: f64) -> Option<(Estimate, f64)> {
    let leash = body.leash.as_ref()?;
    let mut warm = None;
    let mut push = |force_n: f64| {
        let walkers = vec![Walker { at, weight_n: force_n, drag_area_m2: 0.0 }];
        let (case, s) = solver.quick(&Load { walkers, ..Load::default() }, warm.as_ref());
        let ring_z_m = s.places[*case.walkers.first()?].z;
        let out = Pushed { ring_z_m, energy_j: s.energy_j - force_n * ring_z_m };
        let good = s.status == Status::Converged;
        warm = Some(s);
        good.then_some(out)
    };
    let start = push(0.0)?;
    let e = estimate(mass_kg, body.tie_in_m + leash.slack_m(), leash, start, push)?;
    Some((e, start.ring_z_m - e.ring_drop_m))
}

/// Energy estimate of the backup's catch with the main line gone at a place, the ring held at its place along it.
fn catch_estimate(rig: &Rig, lengths: &Lengths, body: &Body, mass_kg: f64, at: f64) -> Option<(Estimate, f64)> {
    let leash = body.leash.as_ref()?;
    let weight_n = mass_kg * crate::mechanics::G;
    let walkers = vec![Walker { at, weight_n, drag_area_m2: 0.0 }];
    let (mut case, rest) = rig.solve(lengths, &Load { walkers, ..Load::default() }, None);
    let ring = *case.walkers.first()?;
    let ring_z_m = rest.places[ring].z;
    let at_ring = |m: usize| matches!(&case.net.members[m], Member::Span(s) if s.a == ring || s.b == ring);
    let k = case.spans.iter().position(|&m| at_ring(m))?;
    let segment = rig.segment_of_span(&case, k);
    let lost = Loss { main: vec![segment], ..Loss::default() };
    let m = *case.backup.get(segment)?;
    let Member::Link(link) = case.net.members[m].clone() else { return None };
    let (&[a, _, b], Pull::Chain(law)) = (&link.path[..], &link.pull) else { return None };
    rig.without(&mut case, &lost);
    // The backup's material lies on both sides of the ring as far as the ends are away.
    let ways = [a, b].map(|p| rest.places[p].distance(rest.places[ring]));
    let share = ways[0] / (ways[0] + ways[1]);
    for (path, share) in [(vec![a, ring], share), (vec![ring, b], 1.0 - share)] {
        let cut = |p: &Piece| Piece { length_m: share * p.length_m, gauge_m: share * p.gauge_m, law: p.law.clone() };
        let law = LengthLaw::series(law.pieces().iter().map(cut).collect()).ok()?;
        case.net.members.push(Member::Link(Link::new(path, Arc::new(law))));
    }
    case.net.members.swap_remove(m);
    for (n, p) in case.net.nodes.iter_mut().zip(&rest.places) {
        if !n.fixed {
            n.place = *p;
        }
    }
    let others = case.net.nodes.iter().enumerate().filter(|(i, _)| *i != ring);
    let height_j = -others.map(|(_, n)| n.load_n.dot(n.place)).sum::<f64>();
    let mut warm: Option<equilibrium::Solution> = None;
    let push = |force_n: f64| {
        case.net.nodes[ring].load_n.z = -force_n;
        let s = equilibrium::solve(&case.net, warm.as_ref());
        let out = Pushed { ring_z_m: s.places[ring].z, energy_j: s.energy_j - force_n * s.places[ring].z };
        let good = s.status == Status::Converged;
        warm = Some(s);
        good.then_some(out)
    };
    // Before it catches the backup stores nothing; what hangs about has only its height.
    let start = Pushed { ring_z_m, energy_j: height_j };
    let e = estimate(mass_kg, body.tie_in_m + leash.slack_m(), leash, start, push)?;
    Some((e, ring_z_m - e.ring_drop_m))
}

/// What one excess of the backup would come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Catch {
    /// Excess, as a share.
    pub excess: f64,
    /// The same in the longest segment, m.
    pub spare_m: f64,
    /// Length of that segment, m.
    pub segment_m: f64,
    /// How far the body falls, m.
    pub fall_m: f64,
    /// Force on the body (too low: by energy), N.
    pub body_n: f64,
}

/// Excesses that a catch is worked out for, beside the plan's own.
const EXCESSES: [f64; 4] = [0.02, 0.05, 0.08, 0.12];

/// Catches by energy in the middle of the longest segment, with the plan's excess first and then with others: what a
/// shorter or longer loop would do. Nothing without a backup and a leash.
#[must_use]
pub(super) fn catches(solver: &Solver, body: &Body, mass_kg: f64) -> Vec<Catch> {
    let Some(own) = solver.rig.backup.as_ref().map(|b| b.excess) else { return Vec::new() };
    let lengths = &solver.standing.lengths;
    let ends = solver.rig.segment_ends_m(lengths);
    let whole = ends[ends.len() - 1];
    let Some(longest) = ends.windows(2).max_by(|a, b| (a[1] - a[0]).total_cmp(&(b[1] - b[0]))) else {
        return Vec::new();
    };
    let (segment_m, at) = (longest[1] - longest[0], 0.5 * (longest[0] + longest[1]) / whole);
    std::iter::once(own)
        .chain(EXCESSES.into_iter().filter(|e| (e - own).abs() > 1e-6))
        .filter_map(|excess| {
            let mut rig = solver.rig.clone();
            if let Some(b) = &mut rig.backup {
                b.excess = excess;
            }
            let (e, _) = catch_estimate(&rig, lengths, body, mass_kg, at)?;
            let spare_m = excess * segment_m;
            Some(Catch { excess, spare_m, segment_m, fall_m: e.fall_m, body_n: e.leash_n })
        })
        .collect()
}

/// Spaces between connections that a catch is worked out for.
const SPACES: [usize; 4] = [1, 2, 4, 8];

/// Catches by energy in the middle of a middle segment with the plan's excess, were the backup tied to the main line at
/// equal spaces. Nothing when it is tied in between already.
#[must_use]
pub(super) fn spacings(solver: &Solver, body: &Body, mass_kg: f64) -> Vec<Catch> {
    let lengths = &solver.standing.lengths;
    let whole = solver.rig.line_length_m(lengths);
    SPACES
        .into_iter()
        .filter_map(|spaces| {
            let rig = solver.rig.connected(lengths, spaces)?;
            let excess = rig.backup.as_ref()?.excess;
            let at = ((spaces / 2) as f64 + 0.5) / spaces as f64;
            let (e, _) = catch_estimate(&rig, lengths, body, mass_kg, at)?;
            let segment_m = whole / spaces as f64;
            let spare_m = excess * segment_m;
            Some(Catch { excess, spare_m, segment_m, fall_m: e.fall_m, body_n: e.leash_n })
        })
        .collect()
}

/// The envelope along the line, for the walker of `mass_kg`.
#[must_use]
pub(super) fn envelope(solver: &Solver, plan: &Plan, body: &Body, mass_kg: f64) -> Vec<Low> {
    let feet = |found: Option<(Estimate, f64)>| {
        let (e, ring_z_m) = found?;
        Some(ring_z_m - body.leash.as_ref()?.slack_m() - e.leash_stretch_m - body.below_m)
    };
    let ends = solver.rig.line.ends.map(|e| solver.standing.solution.places[e]);
    (0..PLACES)
        .map(|i| {
            let at = (i as f64 / (PLACES - 1) as f64).clamp(0.01, 0.99);
            let x_m = ends[0].x + at * (ends[1].x - ends[0].x);
            let near = [-ASIDE_M, 0.0, ASIDE_M].map(|d| plan.site.ground_at(x_m + d));
            Low {
                at,
                x_m,
                fall_m: feet(fall_estimate(solver, body, mass_kg, at)),
                catch_m: feet(catch_estimate(&solver.rig, &solver.standing.lengths, body, mass_kg, at)),
                ground_m: near.into_iter().flatten().reduce(f64::max),
            }
        })
        .collect()
}

/// Reach of leash and body with something to spare, m: nearer to an end nobody may fall.
#[must_use]
pub(super) fn no_fall_reach_m(body: &Body) -> f64 {
    body.leash.as_ref().map_or(0.0, |l| l.slack_m()) + body.below_m + SPARE_M
}

/// How far from each end of the line nobody may fall, m: as far as the feet would come to the ground, and at least as
/// far as leash and body reach.
#[must_use]
pub(super) fn no_fall_m(envelope: &[Low], body: &Body) -> [f64; 2] {
    let reach = no_fall_reach_m(body);
    let (Some(first), Some(last)) = (envelope.first(), envelope.last()) else { return [reach; 2] };
    let hits = |l: &&Low| l.margin_m().is_some_and(|m| m < SPARE_M);
    let half = 0.5 * (first.x_m + last.x_m);
    let a = envelope.iter().take_while(|l| l.x_m <= half).filter(hits).map(|l| l.x_m - first.x_m).fold(0.0, f64::max);
    let b = envelope.iter().skip_while(|l| l.x_m < half).filter(hits).map(|l| last.x_m - l.x_m).fold(0.0, f64::max);
    [a.max(reach), b.max(reach)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Feet that pass within the metre to spare count as coming to the ground; those beyond it do not.
    #[test]
    fn a_metre_is_kept_over_the_ground() {
        let low = |x_m: f64, over_m: f64| Low {
            at: x_m / 60.0,
            x_m,
            fall_m: Some(over_m - 30.0),
            catch_m: None,
            ground_m: Some(-30.0),
        };
        let body = Body { tie_in_m: 1.0, below_m: 1.0, leash: None, rings_kg: 0.0 };
        let envelope = [low(2.0, -1.0), low(8.0, 0.5), low(12.0, 1.5), low(30.0, 20.0), low(52.0, 0.9), low(58.0, 5.0)];
        let [a, b] = no_fall_m(&envelope, &body);
        assert!((a - 6.0).abs() < 1e-9 && (b - 6.0).abs() < 1e-9, "{a} {b}");
        assert!((SPARE_M - 1.0).abs() < 1e-12);
    }
}
