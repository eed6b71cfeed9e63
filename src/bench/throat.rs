//! The eye of a rope on what it goes over: its throat, how far its pin is from there, and the least eye that goes round.
//!
//! Half the rope of an eye runs straight from the throat to where it touches the pin, then round it to the crown. With the
//! rope's centre line at radius r about the pin's middle and half the throat's angle φ, its length is r (cot φ + φ + π/2).

use std::f64::consts::FRAC_PI_2;

use crate::mechanics::root::{Root, bracketed};

/// Widest throat that an eye may have, degrees: included angle of rope slings' eyes, 29 CFR 1926.251(d).
pub(crate) const WIDEST_DEG: f64 = 60.0;
/// Throat that an eye is made for, degrees. Common practice, no source.
pub(crate) const WISHED_DEG: f64 = 30.0;
/// Angle of a thimble at its point when it is not measured, degrees (40 to 60 are common). A judgement, untested.
pub(crate) const POINT_DEG: f64 = 50.0;

/// An eye on its pin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Throat {
    /// Half of the angle between the eye's two legs, rad.
    pub half_rad: f64,
    /// From the throat to the bearing side of the pin, m.
    pub reach_m: f64,
}

impl Throat {
    /// The eye with so much rope between throat and crown, m, on a pin of diameter `pin_m`, in rope of diameter `rope_m`;
    /// nothing where it does not go round.
    #[must_use]
    pub fn on(half_eye_m: f64, pin_m: f64, rope_m: f64) -> Option<Self> {
        let radius = 0.5 * (pin_m + rope_m);
        let over = half_eye_m / radius;
        if !(radius > 0.0 && over.is_finite() && over > turns(FRAC_PI_2)) {
            return None;
        }
        let short = |half: f64| Some(turns(half) - over);
        let Root::At(half_rad) = bracketed(1.0 / (2.0 * over), FRAC_PI_2, 1e-12, 0.0, short) else { return None };
        Some(Self { half_rad, reach_m: radius / half_rad.sin() + 0.5 * pin_m })
    }

    /// Angle between the eye's legs, degrees.
    #[must_use]
    pub fn degrees(&self) -> f64 {
        2.0 * self.half_rad.to_degrees()
    }
}

/// Rope of half an eye over its radius, at half the throat's angle.
fn turns(half_rad: f64) -> f64 {
    half_rad.tan().recip() + half_rad + FRAC_PI_2
}

/// Half the rope of an eye whose throat opens to `degrees` on a pin, m: also the way round a thimble with that point and
/// that groove.
#[must_use]
pub fn half_eye(pin_m: f64, rope_m: f64, degrees: f64) -> f64 {
    0.5 * (pin_m + rope_m) * turns(0.5 * degrees.to_radians())
}

/// Half the rope of the least eye that goes on a pin, m: its throat opens as wide as it may.
#[must_use]
pub fn least_eye(pin_m: f64, rope_m: f64) -> f64 {
    half_eye(pin_m, rope_m, WIDEST_DEG)
}

/// Half the rope of an eye that is made when nothing else is asked for, m: a throat of 30°, five pins, six ropes, to the next
/// 5 mm. Common practice, no source, but for the angle.
#[must_use]
pub fn usual_eye(pin_m: f64, rope_m: f64) -> f64 {
    let least = half_eye(pin_m, rope_m, WISHED_DEG).max(5.0 * pin_m).max(6.0 * rope_m);
    (least / 0.005 - 1e-9).ceil() * 0.005
}
