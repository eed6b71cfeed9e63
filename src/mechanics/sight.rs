//! Places seen from a stand by distance, compass and slope, and how far off they may be.

use glam::{DMat3, DVec3};

use super::equilibrium::outer;

/// A sighting: along the slope, turned from the way of the line (clockwise, as a compass turns), upwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sight {
    /// Along the slope, m.
    pub distance_m: f64,
    /// Clockwise from the way of x, rad.
    pub turn_rad: f64,
    /// Upwards, rad.
    pub slope_rad: f64,
    /// Mean errors of the three: m, rad, rad.
    pub within: [f64; 3],
}

impl Sight {
    /// From the stand to what is seen, m: D (cos s cos β, −cos s sin β, sin s).
    #[must_use]
    pub fn to(&self) -> DVec3 {
        let (sin_b, cos_b) = self.turn_rad.sin_cos();
        let (sin_s, cos_s) = self.slope_rad.sin_cos();
        let flat = self.distance_m * cos_s;
        DVec3::new(flat * cos_b, -flat * sin_b, self.distance_m * sin_s)
    }

    /// What each of the three errors does to it, m: the columns of J Σ^½.
    #[must_use]
    pub fn errors_m(&self) -> [DVec3; 3] {
        let d = self.distance_m;
        let (sin_b, cos_b) = self.turn_rad.sin_cos();
        let (sin_s, cos_s) = self.slope_rad.sin_cos();
        [
            DVec3::new(cos_s * cos_b, -cos_s * sin_b, sin_s) * self.within[0],
            DVec3::new(-cos_s * sin_b, -cos_s * cos_b, 0.0) * (d * self.within[1]),
            DVec3::new(-sin_s * cos_b, sin_s * sin_b, cos_s) * (d * self.within[2]),
        ]
    }

    /// Its covariance, J Σ Jᵀ, m².
    #[must_use]
    pub fn covariance_m2(&self) -> DMat3 {
        self.errors_m().iter().fold(DMat3::ZERO, |sum, e| sum + outer(*e, *e))
    }
}

/// A place with what is not known of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Where, m.
    pub place: DVec3,
    /// Covariance, m².
    pub covariance_m2: DMat3,
}

impl Seen {
    /// Mean errors along x, y and z, m.
    #[must_use]
    pub fn within_m(&self) -> DVec3 {
        let c = &self.covariance_m2;
        DVec3::new(c.x_axis.x, c.y_axis.y, c.z_axis.z).max(DVec3::ZERO).map(f64::sqrt)
    }

    /// Two sightings of one place, weighed by what is not known of each; and by how many of their mean errors they differ.
    #[must_use]
    pub fn with(&self, other: &Self) -> (Self, f64) {
        let both = self.covariance_m2 + other.covariance_m2;
        let inverse = both.inverse();
        let apart = other.place - self.place;
        let gain = self.covariance_m2 * inverse;
        let seen =
            Self { place: self.place + gain * apart, covariance_m2: self.covariance_m2 - gain * self.covariance_m2 };
        (seen, apart.dot(inverse * apart).max(0.0).sqrt())
    }
}

/// Between two places seen from a third at an angle, and its mean error, m: distances m, angle rad, with the error of each.
#[must_use]
pub fn across_m([a, b]: [f64; 2], angle_rad: f64, within_m: f64, within_rad: f64) -> (f64, f64) {
    let (sin, cos) = angle_rad.sin_cos();
    let across = (a * a + b * b - 2.0 * a * b * cos).max(0.0).sqrt();
    let per = [(a - b * cos) / across * within_m, (b - a * cos) / across * within_m, a * b * sin / across * within_rad];
    (across, per.iter().map(|e| e * e).sum::<f64>().sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn degrees(d: f64) -> f64 {
        d.to_radians()
    }

    /// Closed forms, worked out apart: a bolt at 63.0 m, 86° on a line of 84°, slope 2.5°; ground at 38 m and −62°; a gap of
    /// two distances and an angle, by two compass bearings and by an angle to half a degree.
    #[test]
    fn sightings_by_closed_forms() {
        let within = [0.3, degrees(2.0), degrees(0.3)];
        let bolt = Sight { distance_m: 63.0, turn_rad: degrees(2.0), slope_rad: degrees(2.5), within };
        let seen = Seen { place: bolt.to(), covariance_m2: bolt.covariance_m2() };
        let near = |a: DVec3, b: [f64; 3], by: f64| (a - DVec3::from_array(b)).abs().max_element() < by;
        assert!(near(seen.place, [62.90, -2.20, 2.75], 0.006), "{}", seen.place);
        assert!(near(seen.within_m(), [0.31, 2.20, 0.33], 0.006), "{}", seen.within_m());
        let ground = Sight { distance_m: 38.0, turn_rad: 0.0, slope_rad: degrees(-62.0), within };
        assert!(near(ground.to(), [17.84, 0.0, -33.55], 0.006));
        let e = Seen { place: ground.to(), covariance_m2: ground.covariance_m2() }.within_m();
        assert!((e.x - 0.23).abs() < 0.006 && (e.z - 0.28).abs() < 0.006, "{e}");
        let (span, compass) = across_m([48.3, 71.9], degrees(57.4), 0.3, degrees(2.0) * std::f64::consts::SQRT_2);
        let (_, angle) = across_m([48.3, 71.9], degrees(57.4), 0.3, degrees(0.5));
        assert!((span - 61.3).abs() < 0.05 && (compass - 2.4).abs() < 0.05 && (angle - 0.5).abs() < 0.05);
    }

    /// Errors as derivatives, by differences; two alike halve the variance; each is pulled towards what it knows less well.
    #[test]
    fn errors_are_derivatives_and_two_sightings_are_weighed() {
        let s = Sight { distance_m: 50.0, turn_rad: 0.4, slope_rad: -0.2, within: [0.3, 0.03, 0.005] };
        let h = 1e-6;
        for (k, e) in s.errors_m().into_iter().enumerate() {
            let mut on = s;
            match k {
                0 => on.distance_m += h * s.within[0],
                1 => on.turn_rad += h * s.within[1],
                _ => on.slope_rad += h * s.within[2],
            }
            assert!(((on.to() - s.to()) / h - e).length() < 1e-4, "{k}");
        }
        let one = Seen { place: s.to(), covariance_m2: s.covariance_m2() };
        let (twice, apart) = one.with(&one);
        assert!(apart < 1e-9 && (twice.within_m() * std::f64::consts::SQRT_2 - one.within_m()).length() < 1e-9);
        let across = s.errors_m()[1];
        let (_, apart) = one.with(&Seen { place: one.place + across * 2.0_f64.sqrt(), ..one });
        assert!((apart - 1.0).abs() < 1e-9, "one mean error of the difference: {apart}");
    }
}
