//! The rope that gear is made of, and why something cannot be made of it.

use crate::catalogue::{Class, Item, Rating};
use crate::units::Quantity;

/// The rope it is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Rope {
    /// Its name in the catalogue; empty for a rope of the maker's own.
    pub id: String,
    /// In words.
    pub title: String,
    /// Diameter, m.
    pub d_m: f64,
    /// kg/m.
    pub mass_per_m: f64,
    /// Minimum breaking strength, N; nothing when unrated.
    pub strength_n: Option<f64>,
    /// Where the strength comes from, in words.
    pub basis: String,
}

/// Diameters that the bench has figures for, m.
const DIAMETERS_M: [f64; 2] = [0.0025, 0.014];

impl Rope {
    /// A rope of the catalogue.
    ///
    /// # Errors
    /// When it is no hollow braid with a diameter.
    pub fn of(item: &Item) -> Result<Self, Refusal> {
        let d_m = item.diameter.map(Quantity::si);
        match (item.class, d_m) {
            (Class::HollowBraid, Some(d_m)) => Ok(Self {
                id: item.id.clone(),
                title: item.title.clone(),
                d_m,
                mass_per_m: item.mass_per_length.map_or(0.0, Quantity::si),
                strength_n: item.rating.as_ref().and_then(Rating::minimum_n),
                basis: item.source.clone(),
            }),
            _ => Err(Refusal::new(
                format!("{} is no 12-strand hollow braid with a diameter", item.title),
                "a hollow braid of the catalogue, such as hmpe-8, or --diameter, --strength and --basis of your own rope's label",
            )),
        }
    }

    /// A 12-strand hollow braid of HMPE by what its own label says: diameter, m, and minimum breaking strength, N.
    ///
    /// # Errors
    /// Outside 2.5 to 14 mm, without a strength over nothing, or without a word on where it comes from.
    pub fn own(d_m: f64, strength_n: f64, basis: &str) -> Result<Self, Refusal> {
        let [from, to] = DIAMETERS_M;
        if !(from..=to).contains(&d_m) {
            return Err(Refusal::new(
                format!("a rope of {:.1} mm is outside what the bench has figures for", 1e3 * d_m),
                format!("{:.1} to {:.0} mm", 1e3 * from, 1e3 * to),
            ));
        }
        if strength_n <= 0.0 || !strength_n.is_finite() || basis.trim().is_empty() {
            return Err(Refusal::new(
                "a rope of your own needs its minimum breaking strength and where that comes from",
                "--strength \"54 kN\" --basis \"label, batch 7\"",
            ));
        }
        Ok(Self {
            id: String::new(),
            title: format!("own 12-strand hollow braid, {:.1} mm", 1e3 * d_m),
            d_m,
            mass_per_m: HMPE_KG_PER_M3 * d_m * d_m,
            strength_n: Some(strength_n),
            basis: basis.trim().to_owned(),
        })
    }
}

/// Mass per metre of an HMPE hollow braid over its diameter squared: the catalogue's own ropes. kg/m³.
pub(super) const HMPE_KG_PER_M3: f64 = 630.0;

/// Why it cannot be made, and what can.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong.
    pub what: String,
    /// The figure or the gear that would work.
    pub instead: String,
}

impl Refusal {
    pub(super) fn new(what: impl Into<String>, instead: impl Into<String>) -> Self {
        Self { what: what.into(), instead: instead.into() }
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; would work: {}", self.what, self.instead)
    }
}

impl std::error::Error for Refusal {}
