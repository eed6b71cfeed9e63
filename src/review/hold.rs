//! What an anchor holds in the direction it is pulled.

use glam::DVec3;

use super::strength::{Amount, Step, Strength};
use crate::catalogue::{Catalogue, Rating};
use crate::mechanics::G;
use crate::plan::{Block, Hold};
use crate::units::{Dim, Quantity, System, show};

fn newtons(n: f64) -> String {
    show(Dim::Force, n, System::Si)
}

/// Strength of `hold` against a pull of `force` (N, on the anchor), in that direction.
#[must_use]
pub(super) fn hold_strength(hold: &Hold, force: DVec3, catalogue: &Catalogue) -> Strength {
    match hold {
        Hold::Bolt { item, faces } => bolt(item, *faces, force, catalogue),
        Hold::Tree { rating, .. } => rated(rating.as_ref(), "the tree"),
        Hold::Boulder(b) => block(b, force, "the boulder"),
        Hold::Vehicle(b) => block(b, force, "the vehicle"),
        Hold::Thread(b) => block(b, force, "the thread"),
        Hold::Deadman(b) => block(b, force, "the deadman"),
        Hold::Strength(r) => rated(r.as_ref(), "the anchor"),
        // Whether an edge or a frame carries its load is not for this program to say.
        Hold::Edge { .. } | Hold::Frame => Strength::unrated("not judged: its load is printed"),
    }
}

fn rated(rating: Option<&Rating>, what: &str) -> Strength {
    match rating.and_then(|r| Some((r, r.minimum_n()?))) {
        Some((r, n)) => Strength::start(what, r, n),
        None => Strength::unrated(&format!("{what} has no rating")),
    }
}

/// Along and across the way a bolt points: `N/N_r` + `V/V_r` ≤ 1, compression counted as none.
fn bolt(id: &str, faces: Option<[f64; 3]>, force: DVec3, catalogue: &Catalogue) -> Strength {
    let Some(item) = catalogue.get(id) else {
        return Strength::unrated("no such bolt");
    };
    let radial = item.radial.as_ref().or(item.rating.as_ref()).and_then(|r| Some((r, r.minimum_n()?)));
    let axial = item.axial.as_ref().and_then(|r| Some((r, r.minimum_n()?)));
    let size = force.length();
    let Some((radial_rating, v_r)) = radial else {
        return Strength::unrated("the bolt has no rating across its axis");
    };
    let mut s = Strength::start(&format!("{} across its axis", item.title), radial_rating, v_r);
    let Some(n_r) = axial.map(|(_, n)| n) else {
        return Strength::unrated("the bolt has no rating along its axis");
    };
    if size <= 0.0 {
        return s;
    }
    let (share, words) = match faces {
        Some(f) => {
            let out = DVec3::from_array(f).normalize_or_zero();
            let along = force.dot(out).max(0.0);
            let across = (force - out * force.dot(out)).length();
            (
                along / n_r + across / v_r,
                format!("{} along (holds {}), {} across: N/N_r + V/V_r", newtons(along), newtons(n_r), newtons(across)),
            )
        }
        // The worst of all angles.
        None => (size * (1.0 / n_r).hypot(1.0 / v_r), "the way it points is not given: the worst angle".to_owned()),
    };
    // What presses a bolt into the rock counts for nothing; beyond 45° it is not believed to help any further.
    let most = std::f64::consts::SQRT_2;
    let factor = if share > 0.0 { (size / share / v_r).min(most) } else { most };
    s.low_n *= factor;
    s.nominal_n *= factor;
    s.spot = words.clone();
    s.steps.push(Step {
        what: words,
        amount: Amount::Factor { low: factor, nominal: factor },
        source: "EN 959 ratings along and across; straight-line interaction, common practice".to_owned(),
    });
    s
}

fn block(b: &Block, force: DVec3, what: &str) -> Strength {
    if b.rating.is_some() {
        return rated(b.rating.as_ref(), what);
    }
    let (Some(mass), Some(mu)) = (b.mass, b.friction) else {
        return Strength::unrated(&format!("{what} has neither a rating nor mass and friction"));
    };
    let slope = b.slope.map_or(0.0, Quantity::si);
    let weight = mass.si() * G;
    let flat = force.x.hypot(force.y);
    let up = force.z;
    let size = force.length();
    // Slides when λ·flat = μ (W cos s − λ·up) − W sin s.
    let spare = weight * (mu * slope.cos() - slope.sin());
    let pull = flat + mu * up;
    let slides = if pull > 0.0 { spare.max(0.0) / pull * size } else { f64::INFINITY };
    let tips = match (b.base, b.pulled_at) {
        (Some(base), Some(h)) => {
            let moment = flat * h.si() + 0.5 * up * base.si();
            if moment > 0.0 { 0.5 * weight * base.si() / moment * size } else { f64::INFINITY }
        }
        _ => f64::INFINITY,
    };
    let n = slides.min(tips).min(1e9);
    let words = if tips < slides {
        format!("{what} of {} tips over", show(Dim::Mass, mass.si(), System::Si))
    } else {
        format!("{what} of {} slides at friction {mu}", show(Dim::Mass, mass.si(), System::Si))
    };
    Strength {
        low_n: n,
        nominal_n: n,
        rated: true,
        spot: words.clone(),
        steps: vec![Step {
            what: words,
            amount: Amount::Newton(n),
            source: "statics of a block on its slope".to_owned(),
        }],
        doubts: vec!["friction and mass as the rigger gives them".to_owned()],
        wll_n: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Angle, Mass};

    fn car(slope_deg: f64) -> Hold {
        Hold::Vehicle(Block {
            mass: Some(Mass::from_si(2500.0)),
            friction: Some(0.4),
            slope: Some(Angle::from_si(slope_deg.to_radians())),
            ..Block::default()
        })
    }

    /// Closed form: μ m g on the flat, 2.5 t at 0.4 holds 9.8 kN; μ cos s − sin s on a slope.
    #[test]
    fn a_vehicle_holds_by_friction() {
        let pull = DVec3::new(-5000.0, 0.0, 0.0);
        let s = hold_strength(&car(0.0), pull, Catalogue::builtin());
        assert!((s.low_n - 9806.65).abs() < 0.1);
        let s = hold_strength(&car(5.0), pull, Catalogue::builtin());
        let want = 2500.0 * G * (0.4 * 5_f64.to_radians().cos() - 5_f64.to_radians().sin());
        assert!((s.low_n - want).abs() < 0.1);
    }

    /// EN 959:2018 4.3.1, 4.3.2: 25 kN across, 15 kN along.
    #[test]
    fn a_bolt_holds_less_along_its_axis() {
        let bolt = |faces| Hold::Bolt { item: "bolt-glued-12".to_owned(), faces };
        let up = Some([0.0, 0.0, 1.0]);
        let at = |h: &Hold, f: DVec3| hold_strength(h, f, Catalogue::builtin()).low_n;
        assert!((at(&bolt(up), DVec3::X * 1e3) - 25e3).abs() < 1e-6);
        assert!((at(&bolt(up), DVec3::Z * 1e3) - 15e3).abs() < 1e-6);
        let pressed = 25e3 * std::f64::consts::SQRT_2;
        assert!((at(&bolt(up), -DVec3::Z * 1e3) - pressed).abs() < 1e-6, "pushed into the rock: no more than this");
        assert!((at(&bolt(up), DVec3::new(1e3, 0.0, -3e3)) - pressed).abs() < 1e-6);
        // At 45°: F/√2 (1/15 + 1/25) = 1.
        let want = std::f64::consts::SQRT_2 / (1.0 / 15e3 + 1.0 / 25e3);
        assert!((at(&bolt(up), DVec3::new(1e3, 0.0, 1e3)) - want).abs() < 1e-6);
        assert!(at(&bolt(None), DVec3::X * 1e3) < want);
    }
}
