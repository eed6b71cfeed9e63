//! One piece in one class of situations: what it sees, what it keeps, whether that is enough.

use super::case::Class;
use super::factors::Kind;
use super::strength::Strength;
use super::verdict::Verdict;

/// What a row is about.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// A part of a run, numbered from 1.
    Part(String, usize),
    /// The hardware of a point.
    Point(String),
    /// What fixes a point.
    Anchor(String),
    /// A piece that ties main and backup together.
    Joint(String),
    /// Gear that is there while tensioning.
    Gear(String),
}

impl Place {
    /// Name of the run or point.
    #[must_use]
    pub fn name(&self) -> &str {
        match self {
            Self::Part(n, _) | Self::Point(n) | Self::Anchor(n) | Self::Joint(n) | Self::Gear(n) => n,
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Part(run, n) => write!(f, "{run}, part {n}"),
            Self::Point(p) => write!(f, "{p}, hardware"),
            Self::Anchor(p) => write!(f, "{p}, anchor"),
            Self::Joint(p) => write!(f, "joints, {p}"),
            Self::Gear(g) => write!(f, "tensioning, {g}"),
        }
    }
}

/// How the title of a plate's row ends that speaks of one hole.
pub(super) const ONE_HOLE: &str = ", one hole";

/// One piece in one class of situations.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it is.
    pub place: Place,
    /// Its gear.
    pub title: String,
    /// Its item's name, if it is one.
    pub item: String,
    /// Its kind.
    pub kind: Kind,
    /// Class of the situations.
    pub class: Class,
    /// The situation with the largest demand.
    pub case: String,
    /// Largest tension or resultant, N.
    pub demand_n: f64,
    /// What is left of its rating.
    pub strength: Strength,
    /// Derated strength over demand; infinite when nothing pulls.
    pub factor: f64,
    /// What is asked for.
    pub required: f64,
    /// The verdict.
    pub verdict: Verdict,
}

impl Row {
    pub(super) fn new(
        place: Place,
        title: String,
        item: &str,
        kind: Kind,
        class: Class,
        demand: Peak,
        strength: Strength,
        required: f64,
        sound: bool,
    ) -> Self {
        let factor = match strength.counts_n() {
            Some(_) if demand.n <= 0.0 => f64::INFINITY,
            Some(s) => s / demand.n,
            None => f64::NAN,
        };
        let verdict = if sound { Verdict::of(demand.n, strength.counts_n(), required) } else { Verdict::Unsolved };
        Self {
            place,
            title,
            item: item.to_owned(),
            kind,
            class,
            case: demand.case,
            demand_n: demand.n,
            strength,
            factor,
            required,
            verdict,
        }
    }

    /// Whether it speaks of one hole of a plate.
    #[must_use]
    pub fn one_hole(&self) -> bool {
        self.title.ends_with(ONE_HOLE)
    }

    /// Factor over required: below 1 it does not meet.
    #[must_use]
    pub fn margin(&self) -> f64 {
        self.factor / self.required
    }

    /// Its class and situation in words; the class once only.
    #[must_use]
    pub fn situation(&self) -> String {
        let class = self.class.word();
        if self.case.contains(class) { self.case.clone() } else { format!("{class} {}", self.case) }
    }

    /// Orders rows from the worst to the best.
    #[must_use]
    pub fn worst_first(&self, other: &Self) -> std::cmp::Ordering {
        other.verdict.cmp(&self.verdict).then(self.margin().total_cmp(&other.margin()))
    }
}

/// Largest value so far and where.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Peak {
    pub(super) n: f64,
    pub(super) case: String,
}

impl Peak {
    pub(super) fn see(&mut self, n: f64, case: &str) {
        if n > self.n || self.case.is_empty() {
            *self = Self { n, case: case.to_owned() };
        }
    }
}

/// A factor for people; rounded down, so that no figure looks better than it is.
#[must_use]
pub(crate) fn factor_text(factor: f64) -> String {
    match factor {
        f if f.is_nan() => "–".to_owned(),
        f if f >= 100.0 => ">100".to_owned(),
        f => format!("{:.1}", (f * 10.0).floor() / 10.0),
    }
}
