//! What one piece of hardware sees at a point where several runs pull.

use glam::DVec3;

use crate::rig::Response;

/// The most that hardware at `point` sees in any one cut, N.
#[must_use]
pub fn resultant_at(response: &Response, point: usize) -> f64 {
    largest_resultant(&response.forces[point].iter().map(|f| f.force).collect::<Vec<_>>())
}

/// Largest resultant of any subset of `forces`, N: the hardware may be cut anywhere between them.
///
/// The subsets that can be largest are the corners of the zonotope the forces span: each is cut off by a plane, and
/// every such plane can be turned until it holds two of the forces.
#[must_use]
pub(super) fn largest_resultant(forces: &[DVec3]) -> f64 {
    let n = forces.len();
    if n <= 10 {
        let sums =
            (0..1_u32 << n).map(|set| (0..n).filter(|i| set >> i & 1 == 1).map(|i| forces[i]).sum::<DVec3>().length());
        return sums.fold(0.0, f64::max);
    }
    let mut best = 0.0_f64;
    for i in 0..n {
        for j in 0..i {
            let normal = forces[i].cross(forces[j]);
            for normal in [normal, -normal] {
                let side: DVec3 =
                    (0..n).filter(|k| *k != i && *k != j && forces[*k].dot(normal) > 0.0).map(|k| forces[k]).sum();
                for sum in [side, side + forces[i], side + forces[j], side + forces[i] + forces[j]] {
                    best = best.max(sum.length());
                }
            }
        }
    }
    best
}

/// At most what [`largest_resultant`] can be: two subsets that make up the whole are together no longer than all forces,
/// and apart by the whole's length.
#[must_use]
pub(super) fn resultant_bound(forces: &[DVec3]) -> f64 {
    let (sum, lengths) = forces.iter().fold((DVec3::ZERO, 0.0), |(s, l), f| (s + *f, l + f.length()));
    0.5 * (lengths + sum.length())
}

/// Whether three or more of the forces that count pull in truly different directions.
#[must_use]
pub(super) fn three_way(forces: &[DVec3]) -> bool {
    let top = forces.iter().map(|f| f.length()).fold(0.0, f64::max);
    // Pulls within 20° of each other act as one; small ones do not turn a connector.
    let mut ways: Vec<DVec3> = Vec::new();
    for f in forces.iter().filter(|f| f.length() > 0.05 * top) {
        let u = f.normalize_or_zero();
        if !ways.iter().any(|w| w.dot(u) > 20_f64.to_radians().cos()) {
            ways.push(u);
        }
    }
    ways.len() >= 3
}

/// Largest angle between two of the legs' pulls that count, degrees: the spread in a bow.
#[must_use]
pub(super) fn spread_deg(legs: &[DVec3]) -> f64 {
    let top = legs.iter().map(|f| f.length()).fold(0.0, f64::max);
    let pulls: Vec<DVec3> = legs.iter().filter(|f| f.length() > 0.05 * top && top > 0.0).copied().collect();
    let mut spread = 0.0_f64;
    for (i, a) in pulls.iter().enumerate() {
        for b in &pulls[..i] {
            spread = spread.max(a.angle_between(*b).to_degrees());
        }
    }
    spread
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_hardly_pulls_does_not_spread_a_bow() {
        let at = |deg: f64, n: f64| n * DVec3::new(deg.to_radians().cos(), deg.to_radians().sin(), 0.0);
        // 1 kN and 1 kN at 60°, and 20 N across: under a twentieth of the largest.
        let legs = [at(0.0, 1000.0), at(60.0, 1000.0), at(150.0, 20.0)];
        assert!((spread_deg(&legs) - 60.0).abs() < 1e-9, "{}", spread_deg(&legs));
        assert!((spread_deg(&[at(0.0, 1000.0), at(150.0, 60.0)]) - 150.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn corners_hold_the_largest_subset(v in proptest::collection::vec((-1.0..1.0_f64, -1.0..1.0_f64, -1.0..1.0_f64), 11..13)) {
            let f: Vec<DVec3> = v.into_iter().map(|(x, y, z)| DVec3::new(x, y, z)).collect();
            let brute = (0..1_u32 << f.len())
                .map(|s| (0..f.len()).filter(|i| s >> i & 1 == 1).map(|i| f[i]).sum::<DVec3>().length())
                .fold(0.0, f64::max);
            prop_assert!((largest_resultant(&f) - brute).abs() < 1e-9);
        }
    }
}
