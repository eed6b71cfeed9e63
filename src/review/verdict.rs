//! What can be said of a piece.

use std::fmt;

/// From best to worst; of several, the worst wins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// Derated strength over demand reaches the required factor.
    Meets,
    /// A rating is missing.
    Unrated,
    /// It does not reach the required factor.
    Below,
    /// No certified equilibrium.
    Unsolved,
}

impl Verdict {
    /// As written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Meets => "meets",
            Self::Unrated => "unrated",
            Self::Below => "below",
            Self::Unsolved => "unsolved",
        }
    }

    /// A sign that tells it apart without colour.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Meets => "+",
            Self::Unrated => "?",
            Self::Below => "✗",
            Self::Unsolved => "!",
        }
    }

    /// Of a factor against what is required. A demand that is no number was not solved.
    #[must_use]
    pub fn of(demand_n: f64, strength_n: Option<f64>, required: f64) -> Self {
        if !demand_n.is_finite() {
            return Self::Unsolved;
        }
        match strength_n {
            None => Self::Unrated,
            Some(s) if s.is_finite() && s >= required * demand_n => Self::Meets,
            Some(_) => Self::Below,
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_number_never_meets() {
        assert_eq!(Verdict::of(f64::NAN, Some(1e9), 5.0), Verdict::Unsolved);
        assert_eq!(Verdict::of(1.0, Some(f64::NAN), 5.0), Verdict::Below);
        assert_eq!(Verdict::of(1.0, None, 5.0), Verdict::Unrated);
        assert_eq!(Verdict::of(1.0, Some(5.0), 5.0), Verdict::Meets);
        assert_eq!(Verdict::of(1.0, Some(4.999), 5.0), Verdict::Below);
    }
}
