//! Friction where a run slides over its points.
//!
//! Across a point wrapped by the angle θ the tensions of the two legs differ by at most e^(μθ) (Euler–Eytelwein), and
//! which way depends on how the rig was loaded. So for each leg the pattern is solved in which the tension is highest
//! in that leg, rope feeding it from both sides.

use std::f64::consts::PI;
use std::sync::Arc;

use glam::DVec3;

use super::equilibrium::{self, MemberState, Solution, Status};
use super::law::{LengthLaw, Piece, StrainLaw};
use super::net::{Link, Member, Net, Pull};

/// What came of a friction pattern.
#[derive(Debug, Clone)]
pub enum Held {
    /// The run is slack, or nothing on it rubs: the frictionless solution stands alone.
    Slack,
    /// The loop did not settle.
    Unsettled,
    /// At rest.
    At(Box<Pattern>),
}

/// One friction pattern at rest.
#[derive(Debug, Clone)]
pub struct Pattern {
    /// The net with the pattern's ratios in it, for the certificate.
    pub net: Net,
    /// Its rest.
    pub solution: Solution,
}

/// Angle a run is wrapped around its inner point `k` of `path`, rad.
fn wrap(path: &[usize], k: usize, places: &[DVec3]) -> f64 {
    let (before, at, after) = (places[path[k - 1]], places[path[k]], places[path[k + 1]]);
    let (u, v) = ((at - before).normalize_or_zero(), (after - at).normalize_or_zero());
    u.dot(v).clamp(-1.0, 1.0).acos()
}

fn ratios(link: &Link, leg: usize, places: &[DVec3]) -> Vec<f64> {
    let legs = link.path.len() - 1;
    let holds: Vec<f64> = (1..legs)
        .map(|k| (-link.friction.get(k - 1).copied().unwrap_or(0.0) * wrap(&link.path, k, places)).exp())
        .collect();
    let mut r = vec![1.0; legs];
    for k in leg + 1..legs {
        r[k] = r[k - 1] * holds[k - 1];
    }
    for k in (0..leg).rev() {
        r[k] = r[k + 1] * holds[k];
    }
    if link.path.first() == link.path.last() && legs > 2 {
        // A closed sling: the way round the other side may hold less of the pull back.
        let closing = holds.iter().copied().fold(1.0, f64::min);
        let mut other = vec![1.0; legs];
        for step in 1..legs {
            let (k, from) = ((leg + step) % legs, (leg + step - 1) % legs);
            let hold = if k == 0 { closing } else { holds[k - 1] };
            other[k] = other[from] * hold;
        }
        for (a, b) in r.iter_mut().zip(&other) {
            *a = a.max(*b);
        }
        let mut back = vec![1.0; legs];
        for step in 1..legs {
            let (k, from) = ((leg + legs - step) % legs, (leg + legs - step + 1) % legs);
            let hold = if from == 0 { closing } else { holds[from - 1] };
            back[k] = back[from] * hold;
        }
        for (a, b) in r.iter_mut().zip(&back) {
            *a = a.max(*b);
        }
    }
    r
}

/// Largest tension for which the legs' material adds up to the chain's unstretched length: Σ L/(1 + ε(r T)) = ℓ.
fn top_tension(law: &LengthLaw, lengths: &[f64], r: &[f64]) -> f64 {
    let slack = law.slack_m();
    let spare = |t: f64| lengths.iter().zip(r).map(|(l, r)| l * slack / law.length(r * t)).sum::<f64>() - slack;
    if spare(0.0) <= 0.0 {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, 1e3);
    while spare(high) > 0.0 && high < 1e12 {
        (low, high) = (high, 4.0 * high);
    }
    for _ in 0..200 {
        let mid = 0.5 * (low + high);
        if mid <= low || mid >= high {
            break;
        }
        if spare(mid) > 0.0 {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}

/// The link as it answers a motion with friction held at its limit so that its leg number `leg` carries most: its legs'
/// shares by the wraps at `places`, and its tension against the length weighted by them, Σ r L. The tension is a rising
/// function of that length, so the energy stays convex. Nothing when nothing on it rubs.
#[must_use]
pub fn in_motion(link: &Link, leg: usize, places: &[DVec3]) -> Option<Link> {
    let Pull::Chain(law) = &link.pull else { return None };
    if link.friction.iter().all(|m| *m <= 0.0) || link.path.len() < 3 || leg + 1 >= link.path.len() {
        return None;
    }
    let r = ratios(link, leg, places);
    let lengths: Vec<f64> = link.path.windows(2).map(|e| places[e[0]].distance(places[e[1]])).collect();
    let whole: f64 = lengths.iter().sum();
    if whole <= 0.0 {
        return None;
    }
    // The legs keep their shares of the way; with them Σ L/(1 + ε(r T)) = ℓ says how long all are at a tension.
    let weighted = |t: f64| {
        let material: f64 = lengths.iter().zip(&r).map(|(l, r)| l / whole / law.length(r * t)).sum();
        lengths.iter().zip(&r).map(|(l, r)| r * l / whole).sum::<f64>() / material
    };
    let slack_m = weighted(0.0);
    let mut tensions: Vec<f64> = law.pieces().iter().flat_map(|p| p.law.kinks().collect::<Vec<_>>()).collect();
    tensions.extend([1e3, 3e3, 1e4, 3e4, 1e5]);
    tensions.sort_by(f64::total_cmp);
    tensions.dedup_by(|a, b| (*a - *b).abs() < 1.0);
    let points: Vec<_> = tensions.iter().map(|t| (*t, weighted(*t) / slack_m - 1.0)).collect();
    let strain = StrainLaw::from_points(&points).ok()?.in_motion(1.0, law.lag_s());
    let piece = Piece { length_m: slack_m, gauge_m: slack_m, law: Arc::new(strain) };
    Some(Link { pull: Pull::Chain(Arc::new(LengthLaw::series(vec![piece]).ok()?)), ratios: r, ..link.clone() })
}

/// Solves `net` with friction in the link `member` such that its leg number `leg` carries most.
#[must_use]
pub fn pattern(net: &Net, member: usize, leg: usize, start: &Solution) -> Held {
    let Member::Link(link) = &net.members[member] else {
        return Held::Slack;
    };
    let Pull::Chain(law) = &link.pull else {
        return Held::Slack;
    };
    if link.friction.iter().all(|m| *m <= 0.0) || link.path.len() < 3 {
        return Held::Slack;
    }
    let mut work = net.clone();
    let mut solution = start.clone();
    let mut last = f64::INFINITY;
    for _ in 0..80 {
        let r = ratios(link, leg, &solution.places);
        let lengths: Vec<f64> =
            link.path.windows(2).map(|e| solution.places[e[0]].distance(solution.places[e[1]])).collect();
        let top = top_tension(law, &lengths, &r);
        if top <= 0.0 {
            return Held::Slack;
        }
        let whole: f64 = lengths.iter().zip(&r).map(|(l, r)| l * r).sum();
        let h = 1e-4 * top + 1e-3;
        let give: f64 = lengths
            .iter()
            .zip(&r)
            .map(|(l, r)| l * (law.length(r * (top + h)) - law.length(r * top)) / (h * law.slack_m()))
            .sum();
        let (sum, squares) = (r.iter().sum::<f64>(), r.iter().map(|r| r * r).sum::<f64>());
        let stiffness = sum / (squares * give.max(1e-15));
        let moved = (top - last).abs();
        last = top;
        work.members[member] =
            Member::Link(Link { pull: Pull::Tangent(whole, top, stiffness), ratios: r.clone(), ..link.clone() });
        let next = equilibrium::solve(&work, Some(&solution));
        if next.status != Status::Converged {
            return Held::Unsettled;
        }
        let MemberState::Link { tension_n: now, .. } = next.members[member] else {
            return Held::Unsettled;
        };
        solution = next;
        if moved <= 1e-9 * (1.0 + top) && (now - top).abs() <= 1e-9 * (1.0 + top) {
            work.members[member] = Member::Link(Link { ratios: r, ..link.clone() });
            return Held::At(Box::new(Pattern { net: work, solution }));
        }
    }
    Held::Unsettled
}

/// Largest ratio friction allows across one point: e^(μθ), for a wrap of `turns` of 2π.
#[must_use]
pub fn capstan(mu: f64, turns: f64) -> f64 {
    (mu * turns * 2.0 * PI).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// F-01, F-02, F-05, F-06: printed capstan examples (A. K. Tayal, Ex. 7.4 and 7.6; Hibbeler & Gupta, Ex. 8.9;
    /// `McLean` & Nelson, Ex. 9-17), values recomputed with full e.
    #[test]
    fn capstan_examples() {
        assert!((1000.0 / capstan(0.25, 0.5) - 455.94).abs() < 0.01);
        assert!((1000.0 / capstan(0.3, 3.0) - 3.5).abs() < 0.01);
        assert!((500.0 / capstan(0.25, 0.75) / 9.81 - 15.7).abs() < 0.02);
        assert!((200.0 / capstan(0.25, 0.5) - 91.2).abs() < 0.1);
    }
}
