//! A figure as it was measured, with how far off it may be.

use crate::document::Reader;
use crate::units::Quantity;

/// A measured figure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured<Q> {
    /// What was read.
    pub is: Q,
    /// One deviation of it, where that is said.
    pub within: Option<Q>,
}

impl<Q: Quantity + Copy> Measured<Q> {
    /// What was read, in SI.
    #[must_use]
    pub fn si(self) -> f64 {
        self.is.si()
    }

    /// What was read and one deviation of it, in SI: as said, else as is usual.
    #[must_use]
    pub fn or_usual(self, usual: f64) -> (f64, f64) {
        (self.is.si(), self.within.map_or(usual, Quantity::si))
    }

    /// From a checked value: a quantity, or `Within(quantity, deviation)`.
    pub(super) fn read(r: Reader<'_>) -> Option<Self> {
        if r.name() == "Within" {
            return Some(Self { is: r.at(0)?.quantity()?, within: r.at(1).and_then(Reader::quantity) });
        }
        Some(Self { is: r.quantity()?, within: None })
    }
}
