//! How strong, and how that is known.

use crate::document::Reader;
use crate::units::{Dim, Force, Quantity, System, show};

/// A minimum breaking strength and its basis.
#[derive(Debug, Clone, PartialEq)]
pub enum Rating {
    /// The maker's label.
    Label(Force),
    /// The least that a named standard demands.
    Standard(Force, String),
    /// An average break.
    Average(Force),
    /// Own pull tests.
    Tested {
        /// How many pulls.
        pulls: usize,
        /// Mean break.
        mean: Force,
        /// One standard deviation.
        spread: Force,
        /// Lowest break, if noted.
        lowest: Option<Force>,
    },
    /// A value of the class.
    Typical(Force),
    /// The rigger's word, with the reason.
    Judged(Force, String),
    /// Working load limit with its design factor.
    Limit(Force, f64),
}

/// Share of an average break that counts as a minimum. From memory: a minimum is about 0.9 of an average, or the
/// average less two to three standard deviations.
pub(crate) const MINIMUM_OF_AVERAGE: f64 = 0.9;

impl Rating {
    /// Reads one of the forms of [`super::fields::RATING`].
    #[must_use]
    pub fn read(r: Reader<'_>) -> Option<Self> {
        let force = |i: usize| r.at(i).and_then(Reader::quantity::<Force>);
        let words = |i: usize| r.at(i).and_then(Reader::text).unwrap_or_default();
        Some(match r.name() {
            "Label" => Self::Label(force(0)?),
            "Standard" => Self::Standard(force(0)?, words(1)),
            "Average" => Self::Average(force(0)?),
            "Tested" => Self::Tested {
                pulls: r.at(0).and_then(Reader::number)? as usize,
                mean: force(1)?,
                spread: force(2)?,
                lowest: force(3),
            },
            "Pulls" => Self::pulled(r.at(0)?.items().iter().filter_map(|p| Reader(p).quantity::<Force>()).collect())?,
            "Typical" => Self::Typical(force(0)?),
            "Judged" => Self::Judged(force(0)?, words(1)),
            "Limit" => Self::Limit(force(0)?, r.at(1).and_then(Reader::number)?),
            _ => return None,
        })
    }

    /// Own pulls: their mean, their standard deviation as a sample's, the lowest. One pull says nothing of how they scatter,
    /// and is no rating.
    fn pulled(broke: Vec<Force>) -> Option<Self> {
        let pulls = broke.len();
        let sum: f64 = broke.iter().map(|f| f.si()).sum();
        let mean = sum / pulls as f64;
        let square: f64 = broke.iter().map(|f| (f.si() - mean).powi(2)).sum();
        (pulls > 1).then(|| Self::Tested {
            pulls,
            mean: Force::from_si(mean),
            spread: Force::from_si((square / (pulls - 1) as f64).sqrt()),
            lowest: broke.into_iter().min_by(|a, b| a.si().total_cmp(&b.si())),
        })
    }

    /// The strength that counts, N; nothing when tests scatter so much that none is left.
    #[must_use]
    pub fn minimum_n(&self) -> Option<f64> {
        let n = match self {
            Self::Label(f) | Self::Standard(f, _) | Self::Typical(f) | Self::Judged(f, _) => f.si(),
            Self::Average(f) => MINIMUM_OF_AVERAGE * f.si(),
            Self::Tested { mean, spread, lowest, .. } => {
                let low = mean.si() - 3.0 * spread.si();
                lowest.map_or(low, |l| low.min(l.si()))
            }
            Self::Limit(wll, factor) => wll.si() * factor,
        };
        (n > 0.0 && n.is_finite()).then_some(n)
    }

    /// The working load limit it states, N.
    #[must_use]
    pub fn wll_n(&self) -> Option<f64> {
        match self {
            Self::Limit(wll, _) => Some(wll.si()),
            _ => None,
        }
    }

    /// In words, with its figures.
    #[must_use]
    pub fn describe(&self, system: System) -> String {
        let f = |q: &Force| show(Dim::Force, q.si(), system);
        match self {
            Self::Label(q) => format!("label {}", f(q)),
            Self::Standard(q, s) => format!("{} by {s}", f(q)),
            Self::Average(q) => format!("average break {} × {MINIMUM_OF_AVERAGE}", f(q)),
            Self::Tested { pulls, mean, spread, lowest } => format!(
                "{pulls} own pulls: mean {} less three spreads of {}{}",
                f(mean),
                f(spread),
                lowest.as_ref().map_or(String::new(), |l| format!(", lowest {}", f(l)))
            ),
            Self::Typical(q) => format!("typical of its class {}", f(q)),
            Self::Judged(q, why) => format!("judged {}: {why}", f(q)),
            Self::Limit(q, factor) => {
                format!("working load limit {} × design factor {factor}", f(q))
            }
        }
    }

    /// One word for its basis.
    #[must_use]
    pub fn basis(&self) -> &'static str {
        match self {
            Self::Label(_) => "label",
            Self::Standard(..) => "standard",
            Self::Average(_) => "average",
            Self::Tested { .. } => "tested",
            Self::Typical(_) => "typical",
            Self::Judged(..) => "judged",
            Self::Limit(..) => "limit",
        }
    }

    /// Why the figure should not be taken at face value, if it should not.
    #[must_use]
    pub fn doubt(&self) -> Option<String> {
        match self {
            Self::Typical(_) => Some("a value of the class, not of this piece".to_owned()),
            Self::Average(_) => Some("an average break, taken at nine tenths".to_owned()),
            Self::Tested { pulls, .. } if *pulls < 5 => Some(format!("only {pulls} pulls")),
            Self::Judged(..) => Some("the rigger's word".to_owned()),
            _ => None,
        }
    }
}
