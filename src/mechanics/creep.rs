//! What comes longer of a line that stays up: log creep of every stretch, and the steady flow of drawn polyethylene.
//!
//! Unstretched length ℓ(t) = ℓ₀ [1 + α(θ − θ₀) + v(t)]; every stretch of the law times k(t) = 1 + a log₁₀(1 + t/60 s), as
//! isochronous curves have it; dv/dt = r (T / 0.2 S)ⁿ exp[−(Q/R)(1/θ − 1/295.15)], S the strength.

/// Log creep is counted from here on, s: it has no beginning.
pub const FIRST_S: f64 = 60.0;

/// Seconds of the year that a yearly rate is given by.
const YEAR_S: f64 = 365.25 * 86_400.0;
/// Molar gas constant, J/(mol K): exact since 2019 (SI brochure, 9th edition).
const GAS_J_PER_MOL_K: f64 = 8.314_462_618_153_24;
/// Rates are given at this temperature, K, and at this share of the strength.
const AT_K: f64 = 295.15;
const AT_SHARE: f64 = 0.2;
/// Steps from one moment to the next, even in the log of time.
const STEPS: usize = 3;

/// Stretches over what they were when the line was tensioned, `after_s` later, with `per_decade` of them for every decade.
#[must_use]
pub fn log_creep(per_decade: f64, after_s: f64) -> f64 {
    1.0 + per_decade * (1.0 + after_s.max(0.0) / FIRST_S).log10()
}

/// The steady flow of a fibre; each figure from the least to the most that it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flow {
    /// Strength, N.
    pub strength_n: f64,
    /// Share of the length that comes in a year at a fifth of the strength and 22 °C.
    pub a_year: [f64; 2],
    /// Power of the tension.
    pub power: [f64; 2],
    /// Energy of activation, J/mol.
    pub activation_j_per_mol: [f64; 2],
}

impl Flow {
    /// Share of the length that comes in a second at a tension and a temperature, least and most.
    #[must_use]
    pub fn per_s(&self, tension_n: f64, temperature_k: f64) -> [f64; 2] {
        let share = (tension_n / (AT_SHARE * self.strength_n)).max(0.0);
        let pulled = self.power.map(|n| share.powf(n));
        let cold = 1.0 / temperature_k - 1.0 / AT_K;
        let warmed = self.activation_j_per_mol.map(|q| (-q / GAS_J_PER_MOL_K * cold).exp());
        let [least, most] = self.a_year.map(|r| r / YEAR_S);
        [
            least * pulled[0].min(pulled[1]) * warmed[0].min(warmed[1]),
            most * pulled[0].max(pulled[1]) * warmed[0].max(warmed[1]),
        ]
    }
}

/// What has come of every piece by `until_s`, as a share of its length, from what had by `from_s`; `rate` has it come so
/// much a second at a time, with what had come by then. Nothing where that has no answer.
#[must_use]
pub fn flowed(
    [from_s, until_s]: [f64; 2],
    come: &[f64],
    mut rate: impl FnMut(f64, &[f64]) -> Option<Vec<f64>>,
) -> Option<Vec<f64>> {
    let mut v = come.to_vec();
    // Creep eases with the log of time, and the tension with it.
    let place = |t: f64| (1.0 + t / FIRST_S).ln();
    let (from, until) = (place(from_s), place(until_s));
    let step = (until - from) / STEPS as f64;
    if step <= 0.0 {
        return Some(v);
    }
    for k in 0..STEPS {
        let at = |x: f64| FIRST_S * (x.exp() - 1.0);
        let x = from + step * k as f64;
        // Three points of Simpson's rule; the pieces have come so far by Euler, the tension hardly feels it.
        let mut ahead = v.clone();
        let mut sum = vec![0.0; v.len()];
        for (part, weight) in [(0.0, 1.0), (0.5, 4.0), (1.0, 1.0)] {
            let seconds = at(x + step * part);
            let r = rate(seconds, &ahead)?;
            let by_x = (x + step * part).exp() * FIRST_S;
            for (k, r) in r.iter().enumerate() {
                sum[k] += weight * r * by_x;
                ahead[k] = v[k] + r * by_x * 0.5 * step * if part == 0.0 { 1.0 } else { 2.0 };
            }
        }
        for (v, s) in v.iter_mut().zip(&sum) {
            *v += s * step / 6.0;
        }
    }
    Some(v)
}
