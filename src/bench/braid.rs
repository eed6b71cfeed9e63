//! What a braid loses in length where it swallows a tail, and gains when it is first pulled hard.

use super::rope::Refusal;

/// A figure with both ends of its range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Least.
    pub low: f64,
    /// Counted.
    pub usual: f64,
    /// Most.
    pub high: f64,
}

/// What rope, batch and hand make of a splice.
#[derive(Debug, Clone, PartialEq)]
pub struct Hand {
    /// Share of bare host that goes when it is filled, mean over a tapered bury.
    pub shortens: Band,
    /// Share that the first hard pulls add to the finished length.
    pub sets: Band,
    /// What a soft shackle's knot takes of each leg, in rope diameters; the kind's own figure without it.
    pub knot_d: Option<f64>,
    /// The most that can be pulled where it is set, N; enough when nothing is said.
    pub pull_n: Option<f64>,
    /// Whether the shortening was measured on this rope.
    pub measured: bool,
}

/// Least and most that a card believes: beyond them the test piece was read wrongly.
const SHORTENS: [f64; 2] = [0.01, 0.25];
const SETS: [f64; 2] = [0.0, 0.08];
/// What one test piece leaves open, as a share of its value. A judgement, untested.
const ONE_PIECE: f64 = 0.25;

impl Default for Hand {
    /// New braid that nobody has measured: 4 to 8 % are usual (common practice, no source), up to 12 % follows from the
    /// tightest lays that are made. A first hard pull adds 1 to 3 % (common practice, no source).
    fn default() -> Self {
        Self {
            shortens: Band { low: 0.04, usual: 0.06, high: 0.12 },
            sets: Band { low: 0.01, usual: 0.02, high: 0.03 },
            knot_d: None,
            pull_n: None,
            measured: false,
        }
    }
}

impl Hand {
    /// With the shortening that test pieces of this rope showed.
    ///
    /// # Errors
    /// Outside 1 to 25 %.
    pub fn shortening(self, pieces: &[f64]) -> Result<Self, Refusal> {
        if let Some(s) = pieces.iter().find(|s| !(SHORTENS[0]..=SHORTENS[1]).contains(*s)) {
            return Err(Refusal::new(
                format!("a bury that shortens its host by {:.1} % is not believed", 100.0 * s),
                "1 to 25 %: repeat the test piece",
            ));
        }
        Ok(Self { shortens: next_piece(pieces), measured: true, ..self })
    }

    /// With the set that test pieces showed.
    ///
    /// # Errors
    /// Outside 0 to 8 %.
    pub fn setting(self, pieces: &[f64]) -> Result<Self, Refusal> {
        if let Some(s) = pieces.iter().find(|s| !(SETS[0]..=SETS[1]).contains(*s)) {
            return Err(Refusal::new(
                format!("a set of {:.1} % is not believed", 100.0 * s),
                "0 to 8 %: repeat the test piece",
            ));
        }
        Ok(Self { sets: next_piece(pieces), ..self })
    }

    /// With the shortening that a lay counted on the rope gives: an offer, not a measurement. `lay_d`: one full turn of a
    /// strand, in rope diameters.
    ///
    /// # Errors
    /// A lay outside of what braids are made with.
    pub fn lay(self, lay_d: f64) -> Result<Self, Refusal> {
        if !(5.0..=12.0).contains(&lay_d) {
            return Err(Refusal::new(
                format!("a lay of {lay_d:.1} rope diameters is outside what braids are made with"),
                "5 to 12 diameters: one full turn of one strand, six picks along one line",
            ));
        }
        let s = by_lay(lay_d).mean;
        Ok(Self { shortens: Band { low: s - 0.015, usual: s, high: s + 0.015 }, ..self })
    }

    /// What setting leaves open either way, as a share of the length.
    pub(super) fn sets_off(&self) -> f64 {
        0.5 * (self.sets.high - self.sets.low)
    }
}

/// Bare host that a bury fills, m.
#[must_use]
pub fn bare(bury_m: f64, shortens: f64) -> f64 {
    bury_m / (1.0 - shortens)
}

/// Shortening of the host by its lay: idealised, the section kept and no slack in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByLay {
    /// Share that goes where the core is whole.
    pub full: f64,
    /// Mean share over a bury whose last third is tapered by pairs.
    pub mean: f64,
}

/// Shortening of a 12-strand host with one full turn of a strand in `lay_d` rope diameters. A core of n strands moves the
/// strands of the host outward: their mean square radius grows by the share of section that comes in, and their length stays.
#[must_use]
pub fn by_lay(lay_d: f64) -> ByLay {
    let share = |n: f64| 1.0 - (1.0 - n / 12.0 * (std::f64::consts::PI / lay_d).powi(2)).max(0.0).sqrt();
    let full = share(12.0);
    let tapered: f64 = [10.0, 8.0, 6.0, 4.0, 2.0].map(|n| 1.0 / (1.0 - share(n))).iter().sum();
    let bare = (2.0 / 3.0) / (1.0 - full) + tapered / 15.0;
    ByLay { full, mean: 1.0 - 1.0 / bare }
}

/// Lay of a 12-strand braid, in rope diameters, from its picks per inch times its circumference in inches (the measure of US
/// patent 5,931,076).
#[must_use]
pub fn lay_of_picks(picks: f64) -> f64 {
    6.0 * std::f64::consts::PI / picks
}

/// What one test piece shows: two ink lines astride a bury before and after, two on plain rope before and after setting, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestPiece {
    /// Between the lines on the host, bare and filled.
    pub host_m: [f64; 2],
    /// Length of the tail that went in.
    pub bury_m: f64,
    /// Between the lines on plain rope, before and after setting.
    pub plain_m: [f64; 2],
}

impl TestPiece {
    /// Share of bare host that went.
    #[must_use]
    pub fn shortens(&self) -> f64 {
        let lost = (self.host_m[0] - self.host_m[1]) / self.bury_m;
        lost / (1.0 + lost)
    }

    /// Share that setting added.
    #[must_use]
    pub fn sets(&self) -> f64 {
        self.plain_m[1] / self.plain_m[0] - 1.0
    }
}

/// Student's t that holds nine in ten, for so many degrees of freedom: a published table of the distribution.
const STUDENT_95: [f64; 10] = [6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812];

/// Range that holds the next piece nine times in ten, from pieces that were measured; one piece leaves a quarter of its value
/// open.
fn next_piece(pieces: &[f64]) -> Band {
    let n = pieces.len();
    let mean = pieces.iter().sum::<f64>() / n.max(1) as f64;
    if n < 2 {
        return Band { low: (1.0 - ONE_PIECE) * mean, usual: mean, high: (1.0 + ONE_PIECE) * mean };
    }
    let spread = (pieces.iter().map(|p| (p - mean).powi(2)).sum::<f64>() / (n - 1) as f64).sqrt();
    let t = STUDENT_95[(n - 2).min(STUDENT_95.len() - 1)];
    let off = t * spread * (1.0 + 1.0 / n as f64).sqrt();
    Band { low: (mean - off).max(0.0), usual: mean, high: mean + off }
}
