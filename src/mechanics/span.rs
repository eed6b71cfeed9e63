//! A heavy line between two points, exact: no mesh.
//!
//! With the force F₀ on its first end and a load w per metre of unstretched line, the tension vector is
//! t(s) = F₀ − w s. The line reaches from A to B when r(F₀) = ∫ (t/T)(1 + ε(T)) ds − (`x_B` − `x_A`) = 0, which is the
//! gradient of a convex function of F₀. A line may consist of zones (webbing, lock, next webbing), each with its own
//! load and law; the tension vector runs on through all of them.

use std::sync::Arc;

use glam::{DMat3, DVec3};

use super::law::StrainLaw;

/// One stretch of a span with a single material and load.
#[derive(Debug, Clone, PartialEq)]
pub struct Zone {
    /// Unstretched length, m.
    pub length_m: f64,
    /// Dead load per metre of unstretched length (weight, wind), N/m.
    pub load_n_per_m: DVec3,
    /// Strain against tension.
    pub law: Arc<StrainLaw>,
}

/// Where a span hangs for one force on its first end.
#[derive(Debug, Clone, Copy)]
pub struct Hang {
    /// From the first end to the last, m.
    pub reach: DVec3,
    /// d(reach)/dF₀, m/N.
    pub give: DMat3,
    /// ∫ (T + ∫ε dT) ds, J: the function whose gradient is `reach`.
    pub psi: f64,
}

/// A span solved between two places.
#[derive(Debug, Clone, Copy)]
pub struct SpanSolution {
    /// Force of the span on its first end, N.
    pub force: DVec3,
    /// Stiffness between the ends, N/m (symmetric).
    pub stiffness: DMat3,
    /// F₀·Δx − ψ, J: the span's share of the potential, but for its dead load.
    pub energy: f64,
    /// What is left of r, m.
    pub misfit_m: f64,
    /// Whether the misfit is within rounding.
    pub converged: bool,
}

const GAUSS_6: [(f64, f64); 3] = [
    (0.238_619_186_083_196_9, 0.467_913_934_572_691_04),
    (0.661_209_386_466_264_5, 0.360_761_573_048_138_6),
    (0.932_469_514_203_152, 0.171_324_492_379_170_36),
];
const GAUSS_12: [(f64, f64); 6] = [
    (0.125_233_408_511_468_9, 0.249_147_045_813_402_77),
    (0.367_831_498_998_180_2, 0.233_492_536_538_354_8),
    (0.587_317_954_286_617_5, 0.203_167_426_723_065_92),
    (0.769_902_674_194_304_7, 0.160_078_328_543_346_23),
    (0.904_117_256_370_474_9, 0.106_939_325_995_318_43),
    (0.981_560_634_246_719_3, 0.047_175_336_386_511_83),
];

/// Most times a line is looked at in one solve.
const MOST_LOOKS: usize = 200;

struct Sum {
    reach: DVec3,
    psi: f64,
    // The symmetric give, as a + b: ∫ along (ε' − (1+ε)/T) u uᵀ, and ∫ (1+ε)/T on the diagonal.
    outer: [f64; 6],
    diagonal: f64,
}

impl Sum {
    #[inline]
    fn add(&mut self, t: DVec3, weight: f64, law: &StrainLaw) {
        let tension = t.length().max(1e-12);
        let u = t / tension;
        let (e, de) = law.at(tension);
        self.reach += u * ((1.0 + e) * weight);
        self.psi += (tension + law.area(tension)) * weight;
        let across = (1.0 + e) / tension * weight;
        let along = de * weight - across;
        self.diagonal += across;
        self.outer[0] += along * u.x * u.x;
        self.outer[1] += along * u.y * u.y;
        self.outer[2] += along * u.z * u.z;
        self.outer[3] += along * u.x * u.y;
        self.outer[4] += along * u.x * u.z;
        self.outer[5] += along * u.y * u.z;
    }

    fn panel(&mut self, t0: DVec3, w: DVec3, from: f64, to: f64, law: &StrainLaw, rule: &[(f64, f64)]) {
        let (mid, half) = (0.5 * (from + to), 0.5 * (to - from));
        for &(x, c) in rule {
            self.add(t0 - w * (mid - half * x), c * half, law);
            self.add(t0 - w * (mid + half * x), c * half, law);
        }
    }

    /// Halves a panel until the place of least tension is far enough from it, in widths of the panel, for the rule's
    /// error to vanish: the integrand's only singularities are where |t| is zero in the complex plane.
    fn graded(&mut self, z: &Zone, t0: DVec3, near: Nearest, from: f64, to: f64) {
        let (mid, half) = (0.5 * (from + to), 0.5 * (to - from));
        let away = (mid - near.s).hypot(near.distance_m);
        if away >= 9.0 * half {
            self.panel(t0, z.load_n_per_m, from, to, &z.law, &GAUSS_6);
        } else if away >= 2.0 * half || half <= 1e-10 * z.length_m {
            self.panel(t0, z.load_n_per_m, from, to, &z.law, &GAUSS_12);
        } else {
            self.graded(z, t0, near, from, mid);
            self.graded(z, t0, near, mid, to);
        }
    }
}

#[derive(Clone, Copy)]
struct Nearest {
    /// Where |t| is least, m along the zone; may lie outside it.
    s: f64,
    /// Least |t| over |w|, m: how far the singularity lies off the real axis.
    distance_m: f64,
}

fn add_zone(sum: &mut Sum, zone: &Zone, t0: DVec3, upto: f64) {
    let w = zone.load_n_per_m;
    let w2 = w.length_squared();
    if w2 * upto * upto <= 1e-24 * t0.length_squared() {
        // Weightless: one tension, one direction.
        sum.add(t0, upto, &zone.law);
        return;
    }
    let s = t0.dot(w) / w2;
    let least2 = (t0 - w * s).length_squared();
    let near = Nearest { s, distance_m: (least2 / w2).sqrt() };
    let (t_a, t_b) = (t0.length(), (t0 - w * upto).length());
    let low = if (0.0..=upto).contains(&s) { least2.sqrt() } else { t_a.min(t_b) };
    let high = t_a.max(t_b);
    let mut cuts: Vec<f64> = Vec::new();
    for kink in zone.law.kinks() {
        if kink > low && kink < high {
            let off = ((kink * kink - least2) / w2).max(0.0).sqrt();
            cuts.extend([s - off, s + off].into_iter().filter(|c| *c > 0.0 && *c < upto));
        }
    }
    if cuts.is_empty() {
        sum.graded(zone, t0, near, 0.0, upto);
        return;
    }
    cuts.sort_by(f64::total_cmp);
    let mut from = 0.0;
    for to in cuts.into_iter().chain(std::iter::once(upto)) {
        sum.graded(zone, t0, near, from, to);
        from = to;
    }
}

fn sum_to(zones: &[Zone], f0: DVec3, s_m: f64) -> Sum {
    let mut sum = Sum { reach: DVec3::ZERO, psi: 0.0, outer: [0.0; 6], diagonal: 0.0 };
    let (mut t, mut left) = (f0, s_m);
    for zone in zones {
        let upto = left.min(zone.length_m);
        if upto <= 0.0 {
            break;
        }
        add_zone(&mut sum, zone, t, upto);
        t -= zone.load_n_per_m * upto;
        left -= upto;
    }
    sum
}

/// Unstretched length of a chain of zones, m.
#[must_use]
pub fn length_m(zones: &[Zone]) -> f64 {
    zones.iter().map(|z| z.length_m).sum()
}

/// Whole dead load of a chain of zones, N.
#[must_use]
pub fn load_n(zones: &[Zone]) -> DVec3 {
    zones.iter().map(|z| z.load_n_per_m * z.length_m).sum()
}

/// Where the line would reach if pulled with `f0` at its first end.
#[must_use]
pub fn hang(zones: &[Zone], f0: DVec3) -> Hang {
    let sum = sum_to(zones, f0, length_m(zones));
    let [xx, yy, zz, xy, xz, yz] = sum.outer;
    let d = sum.diagonal;
    let give = DMat3::from_cols(DVec3::new(xx + d, xy, xz), DVec3::new(xy, yy + d, yz), DVec3::new(xz, yz, zz + d));
    Hang { reach: sum.reach, give, psi: sum.psi }
}

/// Place of the material point `s_m` (unstretched metres from the first end), relative to the first end.
#[must_use]
pub fn place(zones: &[Zone], f0: DVec3, s_m: f64) -> DVec3 {
    sum_to(zones, f0, s_m).reach
}

/// Tension vector at the material point `s_m`, N.
#[must_use]
pub fn tension_at(zones: &[Zone], f0: DVec3, s_m: f64) -> DVec3 {
    let (mut t, mut left) = (f0, s_m);
    for zone in zones {
        let upto = left.min(zone.length_m);
        t -= zone.load_n_per_m * upto;
        left -= upto;
        if left <= 0.0 {
            break;
        }
    }
    t
}

/// The material point (unstretched metres from the first end) that hangs furthest below the straight line from
/// `chord_from` to `chord_to`, among this span's; the ends when no inner point does.
#[must_use]
pub fn furthest_below(zones: &[Zone], f0: DVec3, chord: DVec3) -> f64 {
    // Parallel to the chord in the vertical plane: t_z c_h − t_h c_z = 0, linear in s within a zone.
    let flat = DVec3::new(chord.x, chord.y, 0.0);
    let across = flat.length();
    if across <= 0.0 {
        return 0.0;
    }
    let along = flat / across;
    let (mut t, mut before) = (f0, 0.0);
    for zone in zones {
        let end = t - zone.load_n_per_m * zone.length_m;
        let slope = |v: DVec3| v.z * across - v.dot(along) * chord.z;
        let (a, b) = (slope(t), slope(end));
        if a < 0.0 && b >= 0.0 {
            return before + zone.length_m * a / (a - b);
        }
        if a >= 0.0 {
            return before;
        }
        t = end;
        before += zone.length_m;
    }
    before
}

/// The force on the first end that a span between places `chord` apart is likely to have; a start for Newton.
#[must_use]
pub fn guess(zones: &[Zone], chord: DVec3) -> DVec3 {
    let (length, load) = (length_m(zones), load_n(zones));
    let reach = chord.length();
    let along = if reach > 0.0 { chord / reach } else { DVec3::X };
    let stretched = |t: f64| zones.iter().map(|z| z.length_m * (1.0 + z.law.at(t).0)).sum::<f64>();
    let pull = if reach > length {
        let (mut low, mut high) = (0.0, 1e3);
        while stretched(high) < reach && high < 1e12 {
            high *= 4.0;
        }
        for _ in 0..30 {
            let mid = 0.5 * (low + high);
            if stretched(mid) < reach {
                low = mid;
            } else {
                high = mid;
            }
        }
        high
    } else {
        // Parabola: length − chord = 8 d² / 3 L, and H = w L² / 8 d.
        let dip = (0.375 * reach * (length - reach)).max(1e-6 * length * length).sqrt();
        load.length() * reach / (8.0 * dip)
    };
    // A taut line also stretches by its dip; that is at least the parabola's own pull.
    let dip_pull = load.length() * (reach / length.max(1e-9)).min(1.0) / 8.0;
    along * pull.max(dip_pull).max(1e-6) + 0.5 * load
}

/// Solves for the force on the first end so that the line reaches over `chord`, starting from `start`.
#[must_use]
pub fn solve(zones: &[Zone], chord: DVec3, start: DVec3) -> SpanSolution {
    let scale = length_m(zones) + chord.length();
    let tolerance = 2e-13 * scale;
    let mut f = start;
    let mut h = hang(zones, f);
    let mut misfit = h.reach - chord;
    let mut polish = 0;
    let mut looks = 0;
    for _ in 0..80 {
        let left = misfit.length();
        if left <= tolerance || polish > 2 || looks > MOST_LOOKS {
            break;
        }
        let step = -(inverse(&h.give) * misfit);
        if !step.is_finite() {
            break;
        }
        let value = h.psi - f.dot(chord);
        let slope = misfit.dot(step);
        let mut alpha = 1.0;
        let mut moved = false;
        for _ in 0..50 {
            let trial = f + step * alpha;
            looks += 1;
            let th = hang(zones, trial);
            let tm = th.reach - chord;
            let gain = th.psi - trial.dot(chord) - value;
            if gain <= 1e-4 * alpha * slope || tm.length() < 0.5 * left {
                (f, h, misfit, moved) = (trial, th, tm, true);
                break;
            }
            alpha *= 0.5;
        }
        if !moved {
            break;
        }
        if left <= 1e3 * tolerance {
            polish += 1;
        }
    }
    SpanSolution {
        force: f,
        stiffness: inverse(&h.give),
        energy: f.dot(chord) - h.psi,
        misfit_m: misfit.length(),
        converged: misfit.length() <= 1e-9 * scale,
    }
}

fn inverse(m: &DMat3) -> DMat3 {
    let inv = m.inverse();
    if inv.is_finite() { inv } else { DMat3::ZERO }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(ea: f64, kg_per_m: f64, length_m: f64) -> Vec<Zone> {
        vec![Zone {
            length_m,
            load_n_per_m: DVec3::new(0.0, 0.0, -9.80665 * kg_per_m),
            law: Arc::new(StrainLaw::linear(ea).expect("positive")),
        }]
    }

    /// Inextensible catenary in closed form (any statics text): length 2c sinh(L/2c), sag c (cosh(L/2c) − 1).
    #[test]
    fn hairpin_one_metre_wide() {
        let (c, span) = (0.1_f64, 1.0_f64);
        let length = 2.0 * c * (span / (2.0 * c)).sinh();
        let zones = line(1e12, 0.1, length);
        let chord = DVec3::new(span, 0.0, 0.0);
        let s = solve(&zones, chord, guess(&zones, chord));
        assert!(s.converged, "misfit {}", s.misfit_m);
        let h = 9.80665 * 0.1 * c;
        assert!((s.force.x - h).abs() < 1e-6 * h, "{} against {h}", s.force.x);
        let sag = -place(&zones, s.force, 0.5 * length).z;
        assert!((sag - c * ((span / (2.0 * c)).cosh() - 1.0)).abs() < 1e-7);
    }

    #[test]
    fn give_is_the_derivative_of_reach() {
        let zones = vec![
            line(9e5, 0.15, 2.0).remove(0),
            Zone {
                length_m: 56.0,
                load_n_per_m: DVec3::new(0.0, 1.5, -0.83),
                law: Arc::new(
                    StrainLaw::from_points(&[(1000.0, 0.012), (3000.0, 0.026), (6000.0, 0.043)]).expect("rising"),
                ),
            },
        ];
        for f0 in [DVec3::new(2995.0, 10.0, 40.0), DVec3::new(30.0, 5.0, 60.0), DVec3::new(1000.2, 40.0, 20.0)] {
            let h = hang(&zones, f0);
            for axis in [DVec3::X, DVec3::Y, DVec3::Z] {
                let d = 1e-3;
                let (p, m) = (hang(&zones, f0 + axis * d), hang(&zones, f0 - axis * d));
                let slope = (p.reach - m.reach) / (2.0 * d);
                assert!((slope - h.give * axis).length() < 1e-5 * (h.give * axis).length() + 1e-10);
                let energy = (p.psi - m.psi) / (2.0 * d);
                assert!((energy - h.reach.dot(axis)).abs() < 1e-6 * h.reach.length());
            }
        }
    }

    #[test]
    fn splitting_a_zone_changes_nothing() {
        let whole = line(170e3, 0.085, 60.8205);
        let mut halves = line(170e3, 0.085, 20.0);
        halves.extend(line(170e3, 0.085, 40.8205));
        let chord = DVec3::new(62.0, 0.0, 3.0);
        let (a, b) = (solve(&whole, chord, guess(&whole, chord)), solve(&halves, chord, guess(&halves, chord)));
        assert!((a.force - b.force).length() < 1e-6);
    }
}
