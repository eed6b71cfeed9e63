//! A bracketed root of one variable, for targets that rise or fall steadily.

/// What a search for a root came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Root {
    /// Found, to the tolerance asked for.
    At(f64),
    /// The value is not reached between the ends; it runs from the first to the second.
    OutOfReach(f64, f64),
    /// The function could not be worked out somewhere on the way.
    NoValue,
}

/// Finds x in [`low`, `high`] with `f(x)` = 0 for a continuous `f`, by regula falsi with the Anderson–Björck weight
/// and halving as a fall-back; stops when |f| ≤ `close_enough` or the bracket is `tolerance` wide.
pub fn bracketed(
    mut low: f64,
    mut high: f64,
    tolerance: f64,
    close_enough: f64,
    mut f: impl FnMut(f64) -> Option<f64>,
) -> Root {
    let (Some(mut f_low), Some(mut f_high)) = (f(low), f(high)) else {
        return Root::NoValue;
    };
    if f_low.abs() <= close_enough {
        return Root::At(low);
    }
    if f_high.abs() <= close_enough {
        return Root::At(high);
    }
    if f_low.signum() == f_high.signum() {
        return Root::OutOfReach(f_low, f_high);
    }
    for step in 0..200 {
        let mut x = (low * f_high - high * f_low) / (f_high - f_low);
        if step % 8 == 7 || !(x > low.min(high) && x < low.max(high)) {
            x = 0.5 * (low + high);
        }
        let Some(fx) = f(x) else { return Root::NoValue };
        if fx.abs() <= close_enough || (high - low).abs() <= tolerance {
            return Root::At(x);
        }
        if fx.signum() == f_high.signum() {
            let weight = 1.0 - fx / f_high;
            f_low *= if weight > 0.0 { weight } else { 0.5 };
        } else {
            (low, f_low) = (high, f_high);
        }
        (high, f_high) = (x, fx);
    }
    Root::At(high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_steep_root_and_says_when_there_is_none() {
        let Root::At(x) = bracketed(0.0, 10.0, 1e-13, 1e-12, |x| Some(x.powi(7) - 2.0)) else {
            panic!("bracketed");
        };
        assert!((x - 2f64.powf(1.0 / 7.0)).abs() < 1e-12);
        assert!(matches!(bracketed(0.0, 1.0, 1e-9, 1e-9, |x| Some(x + 1.0)), Root::OutOfReach(..)));
        assert_eq!(bracketed(0.0, 1.0, 1e-9, 1e-9, |_| None), Root::NoValue);
    }
}
