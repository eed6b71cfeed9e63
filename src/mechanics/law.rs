//! How a part stretches: strain against tension, and length against tension.
//!
//! A law is a chain of straight lines from (0 N, 0), strictly rising, the last slope going on for ever.
//! Strictly rising is what makes a rig's potential energy convex, and so its equilibrium unique.
//!
//! Fibres answer a fall differently from a slow pull: stiffer by a factor about the tension they stood at, and with a
//! little damping, which is stated as a time, damping over stiffness. Both are properties of the law.

use std::sync::Arc;

/// Why a set of stretch points is no law.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LawError {
    /// No point at all.
    Empty,
    /// A point that is not a finite number.
    NotFinite,
    /// The point with this index does not lie beyond the one before it, in tension and in strain.
    NotRising(usize),
}

impl std::fmt::Display for LawError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Empty => write!(f, "a stretch law needs at least one point"),
            Self::NotFinite => write!(f, "a stretch law needs finite numbers"),
            Self::NotRising(i) => {
                write!(f, "stretch point {} does not rise in both tension and strain", i + 1)
            }
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Knot {
    tension: f64,
    strain: f64,
    /// Strain per newton from this knot on.
    slope: f64,
    /// ∫ strain dT from 0 to this knot.
    area: f64,
}

/// Strain of a material against the tension it carries.
#[derive(Debug, Clone, PartialEq)]
pub struct StrainLaw {
    knots: Vec<Knot>,
    points: Vec<(f64, f64)>,
    haste: f64,
    lag_s: f64,
}

impl StrainLaw {
    /// A law through `points` of (tension in N, strain as a fraction), starting from (0, 0).
    ///
    /// # Errors
    /// When the points are missing, not finite, or do not rise.
    pub fn from_points(points: &[(f64, f64)]) -> Result<Self, LawError> {
        if points.is_empty() {
            return Err(LawError::Empty);
        }
        let (mut tension, mut strain, mut area) = (0.0, 0.0, 0.0);
        let mut knots = Vec::with_capacity(points.len());
        for (i, &(t, e)) in points.iter().enumerate() {
            if !(t.is_finite() && e.is_finite()) {
                return Err(LawError::NotFinite);
            }
            if t <= tension || e <= strain {
                return Err(LawError::NotRising(i));
            }
            let slope = (e - strain) / (t - tension);
            knots.push(Knot { tension, strain, slope, area });
            area += 0.5 * (strain + e) * (t - tension);
            (tension, strain) = (t, e);
        }
        Ok(Self { knots, points: points.to_vec(), haste: 1.0, lag_s: 0.0 })
    }

    /// The same law with its answer to motion: `haste` times as stiff in a fall as on a slow pull, and a damping of
    /// `lag_s` seconds times the stiffness.
    #[must_use]
    pub fn in_motion(self, haste: f64, lag_s: f64) -> Self {
        Self { haste: haste.max(1.0), lag_s: lag_s.max(0.0), ..self }
    }

    /// How the material answers a fall from the rest tension `about_n`: the strain at which it goes slack, and its law
    /// from there. About its rest it is `haste` times as stiff; with a haste of 1 nothing changes.
    #[must_use]
    fn hastened(&self, about_n: f64) -> (f64, Self) {
        if self.haste <= 1.0 {
            return (0.0, self.clone());
        }
        // T_fast = T₀ + h (T_slow − T₀), read as strain against tension.
        let slow = |t: f64| about_n + (t - about_n) / self.haste;
        let fast = |t: f64| about_n + self.haste * (t - about_n);
        let slack = self.at(slow(0.0)).0;
        let mut points: Vec<(f64, f64)> =
            self.knots.iter().map(|k| (fast(k.tension), k.strain - slack)).filter(|p| p.0 > 0.0 && p.1 > 0.0).collect();
        let last = points.last().map_or(0.0, |p| p.0) + 1000.0;
        points.push((last, self.at(slow(last)).0 - slack));
        let law = Self::from_points(&points).unwrap_or_else(|_| self.clone());
        (slack, Self { lag_s: self.lag_s, ..law })
    }

    /// The straight law of one stiffness, `ea_n` in newtons for a strain of 1.
    ///
    /// # Errors
    /// When the stiffness is not a positive finite number.
    pub fn linear(ea_n: f64) -> Result<Self, LawError> {
        Self::from_points(&[(ea_n, 1.0)])
    }

    /// The same fibre laid `strands` times side by side: the tension is the sum over the strands.
    #[must_use]
    pub fn strands(&self, strands: f64) -> Self {
        let points: Vec<_> = self.points.iter().map(|&(t, e)| (t * strands, e)).collect();
        // Scaling by a positive number keeps a rising law rising.
        Self::from_points(&points).map_or_else(|_| self.clone(), |l| l.in_motion(self.haste, self.lag_s))
    }

    /// The law with every stretch `kappa` times what it is; nothing where that is no law.
    #[must_use]
    pub fn stretched(&self, kappa: f64) -> Option<Self> {
        let points: Vec<_> = self.points.iter().filter(|p| p.0 > 0.0).map(|&(t, e)| (t, kappa * e)).collect();
        Self::from_points(&points).ok().map(|l| l.in_motion(self.haste, self.lag_s))
    }

    /// The points the law was made from, as (N, strain).
    #[must_use]
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// Tensions above zero at which the slope changes.
    pub fn kinks(&self) -> impl Iterator<Item = f64> + '_ {
        self.knots[1..].iter().map(|k| k.tension)
    }

    fn knot(&self, tension: f64) -> &Knot {
        let mut k = &self.knots[0];
        for next in &self.knots[1..] {
            if next.tension > tension {
                break;
            }
            k = next;
        }
        k
    }

    /// Strain, and its slope per newton, at a tension of `tension_n` ≥ 0.
    #[must_use]
    #[inline]
    pub fn at(&self, tension_n: f64) -> (f64, f64) {
        let k = self.knot(tension_n);
        (k.strain + k.slope * (tension_n - k.tension), k.slope)
    }

    /// ∫ strain dT from 0 to `tension_n`, in newtons: the complementary energy per metre.
    #[must_use]
    #[inline]
    pub fn area(&self, tension_n: f64) -> f64 {
        let k = self.knot(tension_n);
        let d = tension_n - k.tension;
        k.area + d * (k.strain + 0.5 * k.slope * d)
    }

    /// Tension at a strain; zero for a strain of zero or less.
    #[must_use]
    pub fn tension(&self, strain: f64) -> f64 {
        if strain <= 0.0 {
            return 0.0;
        }
        let mut k = &self.knots[0];
        for next in &self.knots[1..] {
            if next.strain > strain {
                break;
            }
            k = next;
        }
        k.tension + (strain - k.strain) / k.slope
    }
}

/// One part of a chain, as its chain feels it.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Length pin to pin without tension, m.
    pub length_m: f64,
    /// Length that stretches, m (an article laid in two strands stretches over half its own length).
    pub gauge_m: f64,
    /// Strain against the tension of the chain.
    pub law: Arc<StrainLaw>,
}

/// Length of a chain of parts in series against the one tension they share.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthLaw {
    slack_m: f64,
    knots: Vec<LengthKnot>,
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct LengthKnot {
    length: f64,
    tension: f64,
    stiffness: f64,
    energy: f64,
}

impl LengthLaw {
    /// The law of `pieces` in series.
    ///
    /// # Errors
    /// When there is no piece that stretches.
    pub fn series(pieces: Vec<Piece>) -> Result<Self, LawError> {
        if !pieces.iter().any(|p| p.gauge_m > 0.0) {
            return Err(LawError::Empty);
        }
        if pieces.iter().any(|p| !(p.length_m.is_finite() && p.gauge_m.is_finite())) {
            return Err(LawError::NotFinite);
        }
        let slack_m: f64 = pieces.iter().map(|p| p.length_m).sum();
        let mut tensions: Vec<f64> =
            std::iter::once(0.0).chain(pieces.iter().flat_map(|p| p.law.kinks().collect::<Vec<_>>())).collect();
        tensions.sort_by(f64::total_cmp);
        tensions.dedup();
        let mut knots = Vec::with_capacity(tensions.len());
        let mut energy = 0.0;
        for (i, &tension) in tensions.iter().enumerate() {
            let (mut length, mut give) = (slack_m, 0.0);
            for p in &pieces {
                let (e, de) = p.law.at(tension);
                length += p.gauge_m * e;
                give += p.gauge_m * de;
            }
            if i > 0 {
                let before: &LengthKnot = &knots[i - 1];
                energy += 0.5 * (before.tension + tension) * (length - before.length);
            }
            knots.push(LengthKnot { length, tension, stiffness: 1.0 / give, energy });
        }
        Ok(Self { slack_m, knots, pieces })
    }

    /// Length without tension, m.
    #[must_use]
    pub fn slack_m(&self) -> f64 {
        self.slack_m
    }

    /// The pieces the law was made from.
    #[must_use]
    pub fn pieces(&self) -> &[Piece] {
        &self.pieces
    }

    /// Length at a tension, m.
    #[must_use]
    pub fn length(&self, tension_n: f64) -> f64 {
        self.slack_m + self.pieces.iter().map(|p| p.gauge_m * p.law.at(tension_n).0).sum::<f64>()
    }

    /// Tension (N), stiffness (N/m) and strain energy (J) at a length; all zero while slack.
    #[must_use]
    #[inline]
    pub fn at(&self, length_m: f64) -> (f64, f64, f64) {
        if length_m <= self.slack_m {
            return (0.0, 0.0, 0.0);
        }
        let mut k = &self.knots[0];
        for next in &self.knots[1..] {
            if next.length > length_m {
                break;
            }
            k = next;
        }
        let d = length_m - k.length;
        (k.tension + k.stiffness * d, k.stiffness, k.energy + d * (k.tension + 0.5 * k.stiffness * d))
    }

    /// How the chain answers a fall that starts from the rest tension `about_n`.
    #[must_use]
    pub fn hastened(&self, about_n: f64) -> Self {
        if self.pieces.iter().all(|p| p.law.haste <= 1.0) {
            return self.clone();
        }
        let pieces = self.pieces.iter().map(|p| {
            let (slack, law) = p.law.hastened(about_n);
            Piece { length_m: p.length_m + p.gauge_m * slack, gauge_m: p.gauge_m, law: Arc::new(law) }
        });
        Self::series(pieces.collect()).unwrap_or_else(|_| self.clone())
    }

    /// Damping over stiffness, s: of dampers in series, each beside its own spring.
    #[must_use]
    pub fn lag_s(&self) -> f64 {
        let give = |p: &Piece| p.gauge_m * p.law.at(0.0).1;
        let whole: f64 = self.pieces.iter().map(give).sum();
        self.pieces.iter().map(|p| give(p) * p.law.lag_s).sum::<f64>() / whole
    }

    /// Stiffness just beyond slack, N/m.
    #[must_use]
    pub fn first_stiffness(&self) -> f64 {
        self.knots[0].stiffness
    }

    /// The same chain with `by_m` added to the unstretched length of its longest-stretching piece.
    ///
    /// # Errors
    /// When nothing would be left of that piece.
    pub fn lengthened(&self, by_m: f64) -> Result<Self, LawError> {
        let mut pieces = self.pieces.clone();
        let Some(p) = pieces.iter_mut().max_by(|a, b| a.gauge_m.total_cmp(&b.gauge_m)) else {
            return Err(LawError::Empty);
        };
        let ratio = p.gauge_m / p.length_m.max(f64::MIN_POSITIVE);
        p.length_m += by_m;
        p.gauge_m = p.length_m * ratio;
        if p.length_m <= 0.0 {
            return Err(LawError::Empty);
        }
        Self::series(pieces)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn rising() -> impl Strategy<Value = StrainLaw> {
        proptest::collection::vec((10.0..5e3_f64, 1e-4..0.03_f64), 1..6).prop_map(|steps| {
            let (mut t, mut e) = (0.0, 0.0);
            let points: Vec<_> = steps
                .into_iter()
                .map(|(dt, de)| {
                    t += dt;
                    e += de;
                    (t, e)
                })
                .collect();
            StrainLaw::from_points(&points).expect("rising by construction")
        })
    }

    proptest! {
        #[test]
        fn tension_inverts_strain(law in rising(), t in 0.0..3e4_f64) {
            let back = law.tension(law.at(t).0);
            prop_assert!((back - t).abs() <= 1e-9 * (1.0 + t));
        }

        #[test]
        fn area_grows_by_strain(law in rising(), t in 1.0..3e4_f64) {
            // d(area)/dT = strain, by central differences; exact on a parabola, so kinks only soften it.
            let h = 1e-3 * t;
            let slope = (law.area(t + h) - law.area(t - h)) / (2.0 * h);
            let (lo, hi) = (law.at(t - h).0, law.at(t + h).0);
            prop_assert!(slope >= lo - 1e-9 && slope <= hi + 1e-9);
        }

        #[test]
        fn series_energy_grows_by_tension(a in rising(), b in rising(), t in 1.0..2e4_f64) {
            let law = LengthLaw::series(vec![
                Piece { length_m: 2.0, gauge_m: 2.0, law: Arc::new(a) },
                Piece { length_m: 0.5, gauge_m: 0.25, law: Arc::new(b) },
            ]).expect("stretches");
            let l = law.length(t);
            let (tension, _, _) = law.at(l);
            prop_assert!((tension - t).abs() <= 1e-7 * (1.0 + t));
            let h = 1e-7;
            let slope = (law.at(l + h).2 - law.at(l - h).2) / (2.0 * h);
            let (lo, hi) = (law.at(l - h).0, law.at(l + h).0);
            prop_assert!(slope >= lo - 1e-3 * (1.0 + lo) && slope <= hi + 1e-3 * (1.0 + hi));
        }
    }

    #[test]
    fn a_fall_is_answered_from_the_rest_tension() {
        let slow = StrainLaw::from_points(&[(2e3, 0.05), (4e3, 0.09), (1e4, 0.17)]).expect("rising");
        let chain = |haste: f64| {
            let law = Arc::new(slow.clone().in_motion(haste, 0.002));
            LengthLaw::series(vec![Piece { length_m: 10.0, gauge_m: 10.0, law }]).expect("stretches")
        };
        let (slow, fast) = (chain(1.0), chain(1.5).hastened(3e3));
        let rest = slow.length(3e3);
        // The same tension where it stood; half as much again away from it, in both directions; nothing pushes.
        for d in [-0.5, -0.2, -0.01, 0.0, 0.01, 0.3, 0.8] {
            let want = (3e3 + 1.5 * (slow.at(rest + d).0 - 3e3)).max(0.0);
            assert!((fast.at(rest + d).0 - want).abs() < 1e-6, "{d}: {} {want}", fast.at(rest + d).0);
        }
        assert_eq!(fast.at(10.0).0, 0.0);
        assert!((fast.lag_s() - 0.002).abs() < 1e-12);
    }

    #[test]
    fn refuses_what_does_not_rise() {
        assert_eq!(StrainLaw::from_points(&[]), Err(LawError::Empty));
        assert_eq!(StrainLaw::from_points(&[(1.0, 0.1), (2.0, 0.1)]), Err(LawError::NotRising(1)));
        assert_eq!(StrainLaw::from_points(&[(f64::NAN, 0.1)]), Err(LawError::NotFinite));
    }
}
