//! What an anchor holds in the direction it is pulled.

use glam::DVec3;

use super::strength::{Amount, Step, Strength, Weak};
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
        Hold::Edge { .. } | Hold::Frame(_) => Strength::unrated("not judged: its load is printed"),
    }
}

fn rated(rating: Option<&Rating>, what: &str) -> Strength {
    match rating.and_then(|r| Some((r, r.minimum_n()?))) {
        Some((r, n)) => Strength::start(what, r, n),
        None => Strength::unrated(&format!("{what} has no rating")),
    }
}

/// Along and across the way a bolt points: `N/N_r` + `V/V_r` ≤ 1, compression counted as none, and never above the
/// rating of the axis that governs.
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
    let (share, most_n, words) = if let Some(f) = faces {
        let out = DVec3::from_array(f).normalize_or_zero();
        let along = force.dot(out).max(0.0);
        let across = (force - out * force.dot(out)).length();
        let words =
            format!("{} along (holds {}), {} across: N/N_r + V/V_r", newtons(along), newtons(n_r), newtons(across));
        (along / n_r + across / v_r, if along / n_r > across / v_r { n_r } else { v_r }, words)
    } else {
        // The worst of all angles.
        let words = "the way it points is not given: the worst angle".to_owned();
        (size * (1.0 / n_r).hypot(1.0 / v_r), n_r.min(v_r), words)
    };
    // What presses a bolt into the rock counts for nothing, and makes it no stronger than its rating.
    let holds = if share > 0.0 { (size / share).min(most_n) } else { most_n };
    let factor = holds / v_r;
    s.low_n *= factor;
    s.nominal_n *= factor;
    s.spot = words.clone();
    s.steps.push(Step {
        what: words,
        amount: Amount::Factor { low: factor, nominal: factor },
        source: "EN 959 ratings along and across; straight-line interaction, never above the governing axis: common \
                 practice, no source"
            .to_owned(),
    });
    s
}

/// What a block holds by its weight, and by a stated strength: the lower counts, both are shown.
fn block(b: &Block, force: DVec3, what: &str) -> Strength {
    match (b.rating.as_ref(), by_weight(b, force, what)) {
        (None, None) => Strength::unrated(&format!("{what} has neither a rating nor mass and friction")),
        (None, Some(figures)) => figures,
        (Some(_), None) => rated(b.rating.as_ref(), what),
        (Some(_), Some(figures)) => {
            let stated = rated(b.rating.as_ref(), what);
            let (mut least, other) = if figures.low_n < stated.low_n { (figures, stated) } else { (stated, figures) };
            let [first, second] = [&other, &least].map(|s| s.steps.first().map_or(String::new(), |s| s.what.clone()));
            least.doubts.push(format!(
                "{first} gives {}, {second} gives {}: the lower counts",
                newtons(other.low_n),
                newtons(least.low_n)
            ));
            least
        }
    }
}

/// By how much a block's stated strength is above what its own mass, friction and slope give, as a share of these;
/// nothing when one of the two is not given.
pub(super) fn stated_over_figures(hold: &Hold, force: DVec3) -> Option<(f64, f64)> {
    let (Hold::Boulder(b) | Hold::Vehicle(b) | Hold::Thread(b) | Hold::Deadman(b)) = hold else { return None };
    Some((b.rating.as_ref()?.minimum_n()?, by_weight(b, force, "it")?.low_n))
}

/// What a block on its slope holds by friction, or before it tips over its lower edge.
///
/// Free body: along the slope, downwards with the pull, λ (flat cos s − up sin s) + W sin s; against it at most μ N with
/// N = W cos s − λ (flat sin s + up cos s) across. About the lower edge of a base of length b, the weight's centre at
/// height c and the pull at height h over its middle: λ (along h + across b/2) against W (cos s b/2 − sin s c).
fn by_weight(b: &Block, force: DVec3, what: &str) -> Option<Strength> {
    let (mass, mu) = (b.mass?, b.friction?);
    let (sin, cos) = b.slope.map_or(0.0, Quantity::si).sin_cos();
    let weight = mass.si() * G;
    let (flat, up) = (force.x.hypot(force.y), force.z);
    let size = force.length();
    let along = flat * cos - up * sin;
    // A pull that presses it down adds friction only where its base is stated to carry it.
    let across = flat * sin + up * cos;
    let lifts = if b.base.is_some() { across } else { across.max(0.0) };
    let (spare, pull) = (weight * (mu * cos - sin), along + mu * lifts);
    let slides = if spare <= 0.0 {
        0.0
    } else if pull > 0.0 {
        spare / pull * size
    } else {
        f64::INFINITY
    };
    let tips = match (b.base, b.pulled_at) {
        (Some(base), Some(h)) => {
            let centre = b.centre.unwrap_or(h).si();
            let moment = along * h.si() + 0.5 * across * base.si();
            let rights = (weight * (0.5 * cos * base.si() - sin * centre)).max(0.0);
            if moment > 0.0 { rights / moment * size } else { f64::INFINITY }
        }
        _ => f64::INFINITY,
    };
    let n = slides.min(tips).min(1e9);
    let words = if tips < slides {
        format!("{what} of {} tips over", show(Dim::Mass, mass.si(), System::Si))
    } else {
        format!("{what} of {} slides at friction {mu}", show(Dim::Mass, mass.si(), System::Si))
    };
    Some(Strength {
        low_n: n,
        nominal_n: n,
        rated: true,
        spot: words.clone(),
        weak: Weak::Rated,
        end_not_stated: false,
        steps: vec![Step {
            what: words,
            amount: Amount::Newton(n),
            source: "statics of a block on its slope".to_owned(),
        }],
        doubts: vec!["friction and mass as the rigger gives them".to_owned()],
        wll_n: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Angle, Length, Mass};

    fn car(slope_deg: f64) -> Hold {
        Hold::Vehicle(Block {
            mass: Some(Mass::from_si(2500.0)),
            friction: Some(0.4),
            slope: Some(Angle::from_si(slope_deg.to_radians())),
            ..Block::default()
        })
    }

    /// Closed form: μ m g on the flat, 2.5 t at 0.4 holds 9.8 kN.
    #[test]
    fn a_vehicle_holds_by_friction() {
        let pull = DVec3::new(-5000.0, 0.0, 0.0);
        let s = hold_strength(&car(0.0), pull, Catalogue::builtin());
        assert!((s.low_n - 9806.65).abs() < 0.1);
        // Flat pull on a slope: W tan(φ − s), the angle of friction less that of the slope (statics of the inclined
        // plane with a horizontal force, any textbook).
        for slope in [5.0_f64, 12.0, 20.0] {
            let s = hold_strength(&car(slope), pull, Catalogue::builtin());
            let want = 2500.0 * G * (0.4_f64.atan() - slope.to_radians()).tan();
            assert!((s.low_n - want).abs() < 0.1, "{slope}: {} for {want}", s.low_n);
        }
        assert_eq!(hold_strength(&car(25.0), pull, Catalogue::builtin()).low_n, 0.0);
    }

    /// By another route: the largest pull for which some contact force inside the cone of friction, acting somewhere
    /// within the base, balances weight and pull.
    #[test]
    fn a_block_holds_as_long_as_a_contact_force_balances_it() {
        let (mass, mu, base, h) = (3000.0, 0.5, 1.4, 0.9);
        for slope_deg in [-8.0_f64, 0.0, 10.0, 18.0] {
            for rise_deg in [-25.0_f64, 0.0, 30.0, 50.0] {
                for centre in [0.5, 0.9] {
                    let slope = slope_deg.to_radians();
                    let (tangent, normal) = ([slope.cos(), -slope.sin()], [slope.sin(), slope.cos()]);
                    let way = [rise_deg.to_radians().cos(), rise_deg.to_radians().sin()];
                    let dot = |a: [f64; 2], b: [f64; 2]| a[0] * b[0] + a[1] * b[1];
                    let weight = [0.0, -mass * G];
                    let holds = |pull: f64| {
                        let sum = [weight[0] + pull * way[0], weight[1] + pull * way[1]];
                        let (presses, slips) = (-dot(sum, normal), dot(sum, tangent));
                        // Where the contact force acts, from the middle of the base: moments about that middle.
                        let moment = dot(weight, tangent) * centre + pull * dot(way, tangent) * h;
                        presses >= 0.0 && slips.abs() <= mu * presses && moment.abs() <= 0.5 * base * presses + 1e-9
                    };
                    let (mut low, mut high) = (0.0, 1e6);
                    assert!(holds(low) && !holds(high));
                    for _ in 0..80 {
                        let middle = 0.5 * (low + high);
                        if holds(middle) { low = middle } else { high = middle }
                    }
                    let block = Hold::Boulder(Block {
                        mass: Some(Mass::from_si(mass)),
                        friction: Some(mu),
                        slope: Some(Angle::from_si(slope)),
                        base: Some(Length::from_si(base)),
                        pulled_at: Some(Length::from_si(h)),
                        centre: Some(Length::from_si(centre)),
                        ..Block::default()
                    });
                    let pull = DVec3::new(way[0] * 1e3, 0.0, way[1] * 1e3);
                    let n = hold_strength(&block, pull, Catalogue::builtin()).low_n;
                    assert!((n - low).abs() < 1.0, "{slope_deg} {rise_deg} {centre}: {n} for {low}");
                }
            }
        }
    }

    /// Of a stated strength and the block's own figures the lower counts, and both are told.
    #[test]
    fn a_judged_block_is_held_to_its_own_figures() {
        let judged = |n: f64| {
            let Hold::Vehicle(b) = car(0.0) else { unreachable!() };
            let rating = Some(Rating::Judged(crate::units::Force::from_si(n), "looks heavy".to_owned()));
            Hold::Vehicle(Block { rating, ..b })
        };
        let at = |n: f64| hold_strength(&judged(n), DVec3::X * 1e3, Catalogue::builtin());
        assert!((at(30e3).low_n - 9806.65).abs() < 0.1);
        assert!((at(5e3).low_n - 5e3).abs() < 0.1);
        assert!(
            at(30e3).doubts.iter().any(|d| d.contains("30.0 kN") && d.contains("9.81 kN")),
            "{:?}",
            at(30e3).doubts
        );
    }

    /// EN 959:2018 4.3.1, 4.3.2: 25 kN across, 15 kN along.
    #[test]
    fn a_bolt_holds_less_along_its_axis() {
        let bolt = |faces| Hold::Bolt { item: "bolt-glued-12".to_owned(), faces };
        let up = Some([0.0, 0.0, 1.0]);
        let at = |h: &Hold, f: DVec3| hold_strength(h, f, Catalogue::builtin()).low_n;
        assert!((at(&bolt(up), DVec3::X * 1e3) - 25e3).abs() < 1e-6);
        assert!((at(&bolt(up), DVec3::Z * 1e3) - 15e3).abs() < 1e-6);
        assert!((at(&bolt(up), -DVec3::Z * 1e3) - 25e3).abs() < 1e-6, "pushed into the rock: no more than its rating");
        assert!((at(&bolt(up), DVec3::new(1e3, 0.0, -3e3)) - 25e3).abs() < 1e-6);
        // Whatever the way of the pull, never above the larger of the two ratings.
        for k in 0..90_u8 {
            let (sin, cos) = (f64::from(k) * 0.07).sin_cos();
            assert!(at(&bolt(up), DVec3::new(cos, 0.3, sin) * 1e3) <= 25e3 + 1e-6);
        }
        // At 45°: F/√2 (1/15 + 1/25) = 1.
        let want = std::f64::consts::SQRT_2 / (1.0 / 15e3 + 1.0 / 25e3);
        assert!((at(&bolt(up), DVec3::new(1e3, 0.0, 1e3)) - want).abs() < 1e-6);
        assert!(at(&bolt(None), DVec3::X * 1e3) < want);
    }
}
