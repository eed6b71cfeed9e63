//! How an article lies around an anchor: what length pin to pin follows, and how many strands carry.

use crate::plan::Hitch;

/// An article as laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lay {
    /// From the anchor's centre to the far pin, without tension, m.
    pub reach_m: f64,
    /// Pull on the point over tension in one strand.
    pub strands: f64,
    /// Angle between the two strands at the point, rad.
    pub opening_rad: f64,
}

/// Lays an article of length `length_m` in `hitch` about a trunk of radius `radius_m` (0 when there is none).
/// Nothing when it is too short to go round.
#[must_use]
pub fn lay(hitch: Hitch, length_m: f64, radius_m: f64) -> Option<Lay> {
    let straight = |reach_m: f64| Some(Lay { reach_m, strands: 1.0, opening_rad: 0.0 });
    match hitch {
        Hitch::Straight | Hitch::Girth => straight(length_m),
        Hitch::Doubled => Some(Lay { reach_m: 0.5 * length_m, strands: 2.0, opening_rad: 0.0 }),
        Hitch::Choke => {
            // Once around the trunk, through itself at its front, and on to the point.
            let reach = radius_m + length_m - std::f64::consts::TAU * radius_m;
            if reach > radius_m { straight(reach) } else { None }
        }
        Hitch::Basket => basket(length_m, radius_m),
        Hitch::Wrap(turns) => {
            let spent = (turns.max(1.0) - 1.0) * std::f64::consts::TAU * radius_m;
            basket(length_m - spent, radius_m)
        }
    }
}

/// Article length for a basket whose point is `d` from the centre of a trunk of radius `r`:
/// 2√(d² − r²) + r(π + α), sin(α/2) = r/d.
fn basket_length(d: f64, r: f64) -> f64 {
    2.0 * (d * d - r * r).max(0.0).sqrt() + r * (std::f64::consts::PI + 2.0 * (r / d).min(1.0).asin())
}

fn basket(length_m: f64, radius_m: f64) -> Option<Lay> {
    if length_m <= std::f64::consts::TAU * radius_m * (1.0 + 1e-9) {
        return None;
    }
    let (mut low, mut high) = (radius_m.max(1e-9), length_m);
    for _ in 0..200 {
        let mid = 0.5 * (low + high);
        if basket_length(mid, radius_m) < length_m {
            low = mid;
        } else {
            high = mid;
        }
    }
    Some(basket_at(0.5 * (low + high), radius_m))
}

fn basket_at(d: f64, r: f64) -> Lay {
    let half = (r / d).min(1.0).asin();
    Lay { reach_m: d, strands: 2.0 * half.cos(), opening_rad: 2.0 * half }
}

/// Article length needed for its far pin to be `reach_m` from the centre of a trunk of radius `radius_m`.
#[must_use]
pub(super) fn length_for(hitch: Hitch, reach_m: f64, radius_m: f64) -> Option<f64> {
    let around = std::f64::consts::TAU * radius_m;
    match hitch {
        Hitch::Straight | Hitch::Girth => Some(reach_m),
        Hitch::Doubled => Some(2.0 * reach_m),
        Hitch::Choke => (reach_m > radius_m).then_some(reach_m - radius_m + around),
        Hitch::Basket => (reach_m > radius_m).then(|| basket_length(reach_m, radius_m)),
        Hitch::Wrap(turns) => {
            (reach_m > radius_m).then(|| basket_length(reach_m, radius_m) + (turns.max(1.0) - 1.0) * around)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_basket_goes_there_and_back() {
        let l = lay(Hitch::Basket, 3.0, 0.275).expect("long enough");
        assert!((length_for(Hitch::Basket, l.reach_m, 0.275).expect("outside") - 3.0).abs() < 1e-9);
        // Virtual work: the strand shortens by `strands` times what the point moves.
        let h = 1e-6;
        let give = (basket_length(l.reach_m + h, 0.275) - basket_length(l.reach_m - h, 0.275)) / (2.0 * h);
        assert!((give - l.strands).abs() < 1e-6);
        assert!(lay(Hitch::Basket, 1.7, 0.275).is_none());
        assert!((lay(Hitch::Basket, 3.0, 0.0).expect("a pin").strands - 2.0).abs() < 1e-12);
    }
}
