//! Readings that one rig cannot have: which single thing, other than said, would explain them.

use schemars::JsonSchema;
use serde::Serialize;

use super::as_rigged::{Compared, ENOUGH, Hung, misfit};
use crate::units::{Dim, System, show};

/// As many causes are told.
const TOLD: usize = 3;
/// Tails agree with a slip within so much of it, and never closer than so many metres.
const AGREES: (f64, f64) = (0.3, 0.015);
/// A factor as near as this to that between two units is taken for it.
const UNIT: f64 = 0.005;

/// One thing that may be other than said, with how much of it would explain the readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Likely {
    /// What.
    pub cause: Other,
    /// How much: m, or a ratio, or K.
    pub by: f64,
    /// By how many of its usual sizes that is unusual.
    pub unusual: f64,
    /// Of slip: what the locks drew in by the marks on their tails, m, where both were looked at.
    pub tails_m: Option<f64>,
}

/// What may be other than said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Other {
    /// The span.
    Span,
    /// The line's weight.
    Weight,
    /// The meter, by one factor.
    Meter,
    /// The line's stretch.
    Stretch,
    /// The walker's mass.
    Walker,
    /// Webbing that came through a lock since.
    Slipped,
    /// The temperature at the later readings.
    Warmer,
    /// Sags read to the feet of somebody who hangs, not to the rings.
    ToTheFeet,
    /// A pulse timed one way.
    OneWay,
}

impl Likely {
    /// In words, with its figure.
    #[must_use]
    pub fn words(&self) -> String {
        let m = |m: f64| show(Dim::Length, m, System::Si);
        match self.cause {
            Other::Span => format!("the span is {} {}", m(self.by.abs()), if self.by > 0.0 { "more" } else { "less" }),
            Other::Weight => format!("the line weighs × {:.2} (wet, markers, other webbing)", self.by),
            Other::Meter => {
                // Newtons over kilograms-force, pounds over kilograms, newtons over pounds-force, ten.
                let named = [
                    (0.980_665, "kilograms-force for daN"),
                    (2.2046, "pounds for kilograms"),
                    (4.4482, "pounds-force for newtons"),
                    (10.0, "ten times"),
                ];
                let near =
                    |by: f64| named.iter().find(|(n, _)| (by / n - 1.0).abs() < UNIT || (by * n - 1.0).abs() < UNIT);
                let unit = near(self.by).map_or(String::new(), |(_, words)| format!(" ({words}?)"));
                format!("the meter shows × {:.3}{unit}", self.by)
            }
            Other::Stretch => format!("it stretches × {:.2}", self.by),
            Other::Walker => format!("the walker weighs × {:.2}", self.by),
            Other::Slipped if self.by < 0.0 => format!("{} were drawn in", m(-self.by)),
            Other::Slipped => match self.tails_m {
                Some(t) if (t - self.by).abs() <= AGREES.1.max(AGREES.0 * self.by) => {
                    format!("{} came through a lock, the tails agree ({})", m(self.by), m(t))
                }
                Some(t) => {
                    format!("an anchor came {} nearer, for the tails were drawn in {}", m((self.by - t).max(0.0)), m(t))
                }
                None => format!("{} came through a lock, or an anchor came nearer", m(self.by)),
            },
            Other::Warmer => {
                format!("the webbing is {:.0} K {}", self.by.abs(), if self.by > 0.0 { "warmer" } else { "colder" })
            }
            Other::ToTheFeet => "sags were read to the feet, not to the rings".to_owned(),
            Other::OneWay => "the pulse was timed one way, not there and back".to_owned(),
        }
    }
}

impl Other {
    /// All, with what is usual of each, and where it is looked for: m, ratios, K. Common practice, no source.
    const ALL: [(Self, f64, [f64; 2]); 9] = [
        (Self::Span, 0.3, [-3.0, 3.0]),
        (Self::Weight, 0.15, [0.6, 2.0]),
        (Self::Meter, 0.05, [0.08, 12.0]),
        (Self::Stretch, 0.2, [0.3, 3.0]),
        (Self::Walker, 0.05, [0.6, 1.7]),
        (Self::Slipped, 0.02, [-0.1, 1.0]),
        (Self::Warmer, 3.0, [-25.0, 25.0]),
        (Self::ToTheFeet, 1.0, [1.0, 1.0]),
        (Self::OneWay, 1.0, [2.0, 2.0]),
    ];

    /// Whether it is a ratio, one where nothing is other.
    #[must_use]
    pub fn is_ratio(self) -> bool {
        matches!(self, Self::Weight | Self::Meter | Self::Stretch | Self::Walker)
    }

    /// The reading that would show it.
    #[must_use]
    pub fn shown_by(self) -> &'static str {
        match self {
            Self::Span => "the span, measured again",
            Self::Weight => "a sag and a tension with nobody on the line; or a metre of it on a scale",
            Self::Meter => "another meter, or the time of a pulse",
            Self::Stretch => "what comes through the lock between two tensions",
            Self::Walker => "the walker on a scale, with everything",
            Self::Slipped => "the marks on the tails",
            Self::Warmer => "a thermometer on the webbing, in the shade",
            Self::ToTheFeet => "the sag once more, to the rings",
            Self::OneWay => "ten returns of the pulse, counted at one end",
        }
    }
}

/// The model with one thing other than said.
#[derive(Debug, Clone, Copy)]
pub(super) struct Model {
    pub(super) span_m: f64,
    pub(super) weight: f64,
    pub(super) meter: f64,
    pub(super) stretch: f64,
    pub(super) walker: f64,
    pub(super) slipped_m: f64,
    pub(super) warmer_k: f64,
    pub(super) sag_less_m: f64,
    pub(super) pulse: f64,
}

impl Model {
    pub(super) const AS_SAID: Self = Self {
        span_m: 0.0,
        weight: 1.0,
        meter: 1.0,
        stretch: 1.0,
        walker: 1.0,
        slipped_m: 0.0,
        warmer_k: 0.0,
        sag_less_m: 0.0,
        pulse: 1.0,
    };

    fn with(cause: Other, by: f64, feet_m: f64) -> Self {
        let mut m = Self::AS_SAID;
        match cause {
            Other::Span => m.span_m = by,
            Other::Weight => m.weight = by,
            Other::Meter => m.meter = by,
            Other::Stretch => m.stretch = by,
            Other::Walker => m.walker = by,
            Other::Slipped => m.slipped_m = by,
            Other::Warmer => m.warmer_k = by,
            Other::ToTheFeet => m.sag_less_m = feet_m,
            Other::OneWay => m.pulse = by,
        }
        m
    }
}

/// Single causes that bring what is read and what is computed together, each with the one figure of it that suits the readings
/// best, the least unusual first; `feet_m` is how far under the rings the feet of somebody hang.
pub(super) fn likely(hung: &Hung<'_>, as_said: &[Compared], feet_m: f64) -> Vec<Likely> {
    let (before, n) = misfit(as_said);
    let left = |cause: Other, by: f64| {
        let (off, of) = misfit(&hung.compared(Model::with(cause, by, feet_m), Some(as_said)));
        if of == n { off } else { f64::INFINITY }
    };
    let mut out: Vec<Likely> = Vec::new();
    for (cause, usual, [low, high]) in Other::ALL {
        let by = if low < high { least_at(low, high, |by| left(cause, by)) } else { low };
        let left = left(cause, by);
        // What one figure explains leaves no more than chance would.
        if left <= ENOUGH.max(2.0 * n.saturating_sub(1) as f64) && left < 0.5 * before {
            let off = if cause.is_ratio() { by.ln().abs() } else { by.abs() };
            let tails_m = hung.tails_m().filter(|_| cause == Other::Slipped);
            out.push(Likely { cause, by, unusual: off / usual, tails_m });
        }
    }
    out.sort_by(|a, b| a.unusual.total_cmp(&b.unusual));
    out.truncate(TOLD);
    out
}

/// Where a function is least between two ends: over a grid, then by halving steps about the best of it.
fn least_at(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    const GRID: usize = 16;
    let mut step = (high - low) / GRID as f64;
    let at = |k: usize| low + step * k as f64;
    let mut best = (f64::INFINITY, low);
    for k in 0..=GRID {
        let v = f(at(k));
        if v < best.0 {
            best = (v, at(k));
        }
    }
    while step > 5e-4 * (high - low) {
        step *= 0.5;
        for x in [best.1 - step, best.1 + step] {
            if (low..=high).contains(&x) {
                let v = f(x);
                if v < best.0 {
                    best = (v, x);
                }
            }
        }
    }
    best.1
}
