//! What slips over what: coefficients of friction, each with a low and a high end. The low end counts where friction helps
//! (brakes, feet), the high end where it hinders (hauling, towing).

/// What a line runs over.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Surface {
    /// A roller.
    Roller,
    /// A carpet or pad over an edge.
    #[default]
    Carpet,
    /// Bare rock.
    Rock,
    /// Aluminium: a figure of eight, a descender.
    Aluminium,
    /// A steel bar or ring.
    Steel,
    /// A galvanised post.
    Post,
    /// Wood, a trunk.
    Wood,
    /// Concrete.
    Concrete,
}

/// What one source measured and how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction {
    /// Least.
    pub low: f64,
    /// Most.
    pub high: f64,
    /// Where it comes from.
    pub source: &'static str,
}

/// Delaney measured polyester-sheathed rope; a single figure is taken as a quarter off either way.
const MEASURED: &str = "Delaney, Physics for Roping Technicians, 2022, p. 88";

impl Surface {
    /// All, with the word that a plan uses.
    pub const ALL: [(Self, &'static str); 8] = [
        (Self::Roller, "Roller"),
        (Self::Carpet, "Carpet"),
        (Self::Rock, "Rock"),
        (Self::Aluminium, "Aluminium"),
        (Self::Steel, "Steel"),
        (Self::Post, "Post"),
        (Self::Wood, "Wood"),
        (Self::Concrete, "Concrete"),
    ];

    /// The one that a plan's word means.
    #[must_use]
    pub fn named(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == word).map(|(s, _)| *s)
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Roller => "a roller",
            Self::Carpet => "carpet",
            Self::Rock => "rock",
            Self::Aluminium => "aluminium",
            Self::Steel => "steel",
            Self::Post => "a galvanised post",
            Self::Wood => "wood",
            Self::Concrete => "concrete",
        }
    }

    /// Coefficient of friction of a rope over it.
    #[must_use]
    pub fn friction(self) -> Friction {
        let of = |low, high, source| Friction { low, high, source };
        match self {
            Self::Roller => of(0.03, 0.08, "from memory"),
            Self::Carpet | Self::Rock => of(0.30, 0.45, "taken within what was measured on concrete; from memory"),
            Self::Aluminium => of(0.14, 0.21, MEASURED),
            Self::Steel => of(0.18, 0.30, MEASURED),
            Self::Post => of(0.19, 0.25, MEASURED),
            Self::Wood => of(0.27, 0.45, MEASURED),
            Self::Concrete => of(0.33, 0.55, MEASURED),
        }
    }
}
