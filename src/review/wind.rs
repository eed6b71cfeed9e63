//! From a stated speed of the wind to the gust that counts.

use super::clearance::Ground;
use crate::plan::{Plan, Speeds};
use crate::units::Quantity;

/// Roughness of open country, category II of EN 1991-1-4 (table 4.1, from memory), m.
const ROUGHNESS_M: f64 = 0.05;
/// Heights that the turbulence is worked out for, m: nearer to the ground a profile says little, and EN 1991-1-4 ends
/// at 200 m.
const HEIGHTS_M: [f64; 2] = [10.0, 200.0];

/// The gust that a stated speed stands for at the height of the line, m/s: of a mean of ten minutes, the speed whose
/// pressure is the peak, `q_p = (1 + 7 I_v) ½ ρ v²` with `I_v = 1 / ln(z / z_0)` (EN 1991-1-4, 4.4 and 4.5).
#[must_use]
pub fn gust_m_s(plan: &Plan, speed_m_s: f64) -> f64 {
    match plan.site.air.speeds {
        Speeds::Gust => speed_m_s,
        Speeds::Mean => speed_m_s * (1.0 + 7.0 * turbulence(height_m(plan))).sqrt(),
    }
}

fn turbulence(height_m: f64) -> f64 {
    1.0 / (height_m.clamp(HEIGHTS_M[0], HEIGHTS_M[1]) / ROUGHNESS_M).ln()
}

/// Height of the line's chord over the ground where it is least turbulent, m: its middle.
fn height_m(plan: &Plan) -> f64 {
    let middle = 0.5 * plan.site.span.si();
    let ground = Ground::of(plan);
    ground.top_at(middle).map_or(0.0, |(z, _)| 0.5 * plan.site.height_difference.si() - z)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// EN 1991-1-4 in category II at 10 m: turbulence 0.19, a gust of 1.52 times the mean (worked with its formulas).
    #[test]
    fn a_mean_of_ten_minutes_has_gusts() {
        assert!((turbulence(10.0) - 0.1887).abs() < 1e-4);
        assert!(((1.0 + 7.0 * turbulence(10.0)).sqrt() - 1.523).abs() < 1e-3);
        assert!(turbulence(50.0) < turbulence(20.0) && turbulence(500.0) == turbulence(200.0));
    }
}
