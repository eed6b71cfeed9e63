//! A day's readings against the model: what each should have been, how stretchy and how heavy the line is, what slipped.

use std::sync::Mutex;

use schemars::JsonSchema;
use serde::Serialize;

use super::pulling::hung_per_m;
use super::solve::Solver;
use crate::catalogue::Fibre;
use crate::mechanics::G;
use crate::mechanics::gauge::{Gauged, Second, Since, deviation};
use crate::plan::PlanFile;
use crate::plan::Side;
use crate::plan::day::{Day, as_rigged};
use crate::units::{Dim, Quantity, System, show};

/// One deviation of a load cell, as a share; of a sag, m, short and from 200 m on; of a span, m; of a walker, kg; of what came
/// through, m; of a tension by hand, as a share. Common practice, no source.
const CELL: f64 = 0.02;
const SAG_M: [f64; 2] = [0.05, 0.3];
const LONG_M: f64 = 200.0;
const SPAN_M: f64 = 0.2;
const WALKER_KG: f64 = 1.0;
const THROUGH_M: f64 = 0.02;
const BY_HAND: f64 = 0.1;
/// Creep starts to be counted after this, s: log creep has no beginning.
const FIRST_S: f64 = 60.0;

/// What a reading was of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Read {
    /// The sag at a walker.
    Sag,
    /// The tension at A with a walker.
    Loaded,
    /// The tension at A with nobody on the line, later on.
    Later,
    /// The sag with nobody on the line.
    Empty,
    /// What came through the lock on the way up.
    Through,
}

/// A reading beside what the model has.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Compared {
    /// Of what.
    pub read: Read,
    /// How long after it was tensioned, s.
    pub after_s: f64,
    /// The walker then, kg.
    pub walker_kg: Option<f64>,
    /// Measured, and one deviation of it; m or N.
    pub measured: [f64; 2],
    /// Computed, and one deviation of it, from the other readings; nothing where it has none.
    pub computed: Option<[f64; 2]>,
    /// Line that slipped through if the difference is slip, m; of a later tension alone.
    pub slipped_m: Option<f64>,
}

impl Compared {
    /// How many deviations measured lies over computed.
    #[must_use]
    pub fn off(&self) -> Option<f64> {
        let [computed, sd] = self.computed?;
        Some((self.measured[0] - computed) / sd.hypot(self.measured[1]).max(1e-12))
    }
}

/// One thing that may be other than said, with how much of it would explain the readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Likely {
    /// What.
    pub cause: Other,
    /// How much: m, or a ratio, or K.
    pub by: f64,
    /// By how many of its usual sizes that is unusual.
    pub unusual: f64,
}

/// What a day's readings say.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DayRead {
    /// When.
    pub date: String,
    /// Each reading beside the model.
    pub compared: Vec<Compared>,
    /// Stretch over that of the catalogue, and one deviation of it; nothing where no second reading gives it.
    pub stretch: Option<[f64; 2]>,
    /// From what that was taken.
    pub by: Option<Read>,
    /// Weight per metre over the planned one.
    pub weight: Option<f64>,
    /// Where the readings disagree: single causes that would explain them, the least unusual first.
    pub likely: Vec<Likely>,
}

impl DayRead {
    fn of(day: &Day, compared: Vec<Compared>, stretch: Option<(Read, [f64; 2])>, weight: Option<f64>) -> Self {
        Self {
            date: day.date.clone(),
            compared,
            stretch: stretch.map(|s| s.1),
            by: stretch.map(|s| s.0),
            weight,
            likely: Vec::new(),
        }
    }

    /// How far the readings are off in all, in squares of deviations, and how many can be held against something.
    #[must_use]
    pub fn misfit(&self) -> (f64, usize) {
        let off: Vec<f64> = self.compared.iter().filter_map(Compared::off).collect();
        (off.iter().map(|o| o * o).sum(), off.len())
    }

    /// Whether they are off by more than chance.
    #[must_use]
    pub fn disagrees(&self) -> bool {
        let (misfit, n) = self.misfit();
        misfit > ENOUGH && misfit > 2.0 * n as f64
    }
}

/// Readings off by more than this in all, in squares of deviations, are looked into.
const ENOUGH: f64 = 4.0;
/// As many causes are told.
const TOLD: usize = 3;

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
                    (0.980_7, "kilograms-force for daN"),
                    (2.2046, "pounds for kilograms"),
                    (4.4482, "pounds-force for newtons"),
                    (10.0, "ten times"),
                ];
                let near =
                    |by: f64| named.iter().find(|(n, _)| (by / n - 1.0).abs() < 0.02 || (by * n - 1.0).abs() < 0.02);
                let unit = near(self.by).map_or(String::new(), |(_, words)| format!(" ({words}?)"));
                format!("the meter shows × {:.3}{unit}", self.by)
            }
            Other::Stretch => format!("it stretches × {:.2}", self.by),
            Other::Walker => format!("the walker weighs × {:.2}", self.by),
            Other::Slipped if self.by < 0.0 => format!("{} were drawn in", m(-self.by)),
            Other::Slipped => format!("{} came through a lock, or an anchor came nearer", m(self.by)),
            Other::Warmer => {
                format!("the webbing is {:.0} K {}", self.by.abs(), if self.by > 0.0 { "warmer" } else { "colder" })
            }
            Other::ToTheFeet => "sags were read to the feet, not to the rings".to_owned(),
        }
    }
}

impl Other {
    /// All, with what is usual of each, and where it is looked for: m, ratios, K. Common practice, no source.
    const ALL: [(Self, f64, [f64; 2]); 8] = [
        (Self::Span, 0.3, [-3.0, 3.0]),
        (Self::Weight, 0.15, [0.6, 2.0]),
        (Self::Meter, 0.05, [0.08, 12.0]),
        (Self::Stretch, 0.2, [0.3, 3.0]),
        (Self::Walker, 0.05, [0.6, 1.7]),
        (Self::Slipped, 0.02, [-0.1, 1.0]),
        (Self::Warmer, 3.0, [-25.0, 25.0]),
        (Self::ToTheFeet, 1.0, [1.0, 1.0]),
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
        }
    }
}

/// The model with one thing other than said.
#[derive(Debug, Clone, Copy)]
struct Model {
    span_m: f64,
    weight: f64,
    meter: f64,
    stretch: f64,
    walker: f64,
    slipped_m: f64,
    warmer_k: f64,
    sag_less_m: f64,
}

impl Model {
    const AS_SAID: Self = Self {
        span_m: 0.0,
        weight: 1.0,
        meter: 1.0,
        stretch: 1.0,
        walker: 1.0,
        slipped_m: 0.0,
        warmer_k: 0.0,
        sag_less_m: 0.0,
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
        }
        m
    }
}

/// What creep does to stretches in a decade of time, by class: least and most. From what nylon and polyester lose in a day
/// (10 to 25 %; common practice, no source), the others from memory.
#[must_use]
pub fn creep_per_decade(fibre: Fibre) -> [f64; 2] {
    match fibre {
        Fibre::Nylon => [0.04, 0.10],
        Fibre::Polyester | Fibre::Hybrid => [0.03, 0.06],
        Fibre::Hmpe => [0.02, 0.06],
        Fibre::Aramid => [0.01, 0.03],
        _ => [0.0, 0.0],
    }
}

/// A day's readings against the model; `solver` is of the plan as it was rigged then. Where they disagree, one cause after the
/// other is tried, each with the one figure of it that suits the readings best; `feet_m` is how far under the rings the feet of
/// somebody hang.
#[must_use]
pub fn day_read(day: &Day, solver: &Solver, feet_m: f64) -> Option<DayRead> {
    let mut read = read_by(day, solver, Model::AS_SAID, None)?;
    if !read.disagrees() {
        return Some(read);
    }
    // Most edits of a plan leave its line, and what was read, as they were.
    let key = format!("{day:?} {read:?} {feet_m}");
    let kept = KEPT.lock().ok().and_then(|k| k.iter().find(|(of, _)| *of == key).map(|(_, l)| l.clone()));
    read.likely = kept.unwrap_or_else(|| {
        let likely = causes(day, solver, &read, feet_m);
        if let Ok(mut kept) = KEPT.lock() {
            kept.truncate(KEPT_DAYS - 1);
            kept.insert(0, (key, likely.clone()));
        }
        likely
    });
    Some(read)
}

/// Causes found of late, by what they were looked for in.
static KEPT: Mutex<Vec<(String, Vec<Likely>)>> = Mutex::new(Vec::new());
/// As many days are kept.
const KEPT_DAYS: usize = 16;

/// Single causes that bring what is read and what is computed together, the least unusual first.
fn causes(day: &Day, solver: &Solver, read: &DayRead, feet_m: f64) -> Vec<Likely> {
    let (before, n) = read.misfit();
    let misfit = |cause: Other, by: f64| {
        let other = read_by(day, solver, Model::with(cause, by, feet_m), Some(read));
        other.filter(|o| o.misfit().1 == n).map_or(f64::INFINITY, |o| o.misfit().0)
    };
    let mut likely: Vec<Likely> = Vec::new();
    for (cause, usual, [low, high]) in Other::ALL {
        let by = if low < high { least_at(low, high, |by| misfit(cause, by)) } else { low };
        let left = misfit(cause, by);
        // What one figure explains leaves no more than chance would.
        if left <= ENOUGH.max(2.0 * n.saturating_sub(1) as f64) && left < 0.5 * before {
            let off = if cause.is_ratio() { by.ln().abs() } else { by.abs() };
            likely.push(Likely { cause, by, unusual: off / usual });
        }
    }
    likely.sort_by(|a, b| a.unusual.total_cmp(&b.unusual));
    likely.truncate(TOLD);
    likely
}

/// Each day of a plan that has any readings, against the rig as it hung then; days that are no rig are left out.
#[must_use]
pub(super) fn days_read(file: &PlanFile) -> Vec<DayRead> {
    let feet_m = file.plan.people.body_below.si();
    let read = |day: &Day| {
        let rigged = as_rigged(file, day).ok()?;
        day_read(day, &super::in_view(&rigged).ok()?, feet_m)
    };
    file.plan.days.iter().filter_map(read).collect()
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

/// The readings against a model; beside those against the model as said, with its errors, and nothing but what they are off by.
fn read_by(day: &Day, solver: &Solver, other: Model, as_said: Option<&DayRead>) -> Option<DayRead> {
    let rig = &solver.rig;
    let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
    let soft = rig.line.elements.iter().filter(|e| e.item.class.is_soft());
    let main = soft.max_by(|x, y| x.length_m.total_cmp(&y.length_m))?;
    let line = |span_m: f64| Gauged {
        span_m,
        rise_m: b.z - a.z,
        weight_n_per_m: other.weight * hung_per_m(rig) * G,
        law: std::sync::Arc::clone(&main.law),
    };
    let k0 = other.stretch;
    let span_m = (b - a).truncate().length() + other.span_m;
    let here = line(span_m);
    let first = day.standing_n().map(|n| n / other.meter);
    let sag_sd = if span_m < LONG_M { SAG_M[0] } else { SAG_M[1] };
    let cell = |n: f64| (n, CELL * n);
    // One deviation of what is computed: worked out once, for the model as said.
    let known = |k: usize| as_said.map(|s| s.compared.get(k).and_then(|c| Some(c.computed?[1])));
    let mut compared: Vec<Compared> = Vec::new();
    let mut stretch: Option<(Read, [f64; 2])> = None;
    let mut weight = None;
    // A walker's sag is of the line as it hung then: with the last tension that was read before.
    let mut latest = first;
    for r in &day.read {
        let after_s = r.after.si();
        match (r.walker, latest) {
            (Some((at, mass)), Some(standing)) if at > 0.02 && at < 0.98 => {
                let kg = mass.si() * other.walker;
                let both = |v: &[f64]| {
                    let line = line(v[1]);
                    let [length, _] = line.standing(k0, v[0])?;
                    line.with_walker(k0, length, v[2] * G, at)
                };
                let inputs = [cell(standing), (span_m, SPAN_M), (kg, WALKER_KG)];
                let model = both(&inputs.map(|i| i.0));
                let read = |n: usize, read: Read, measured: [f64; 2], k: usize| Compared {
                    read,
                    after_s,
                    walker_kg: Some(mass.si()),
                    measured,
                    computed: model.and_then(|m| {
                        let sd = known(n).unwrap_or_else(|| deviation(&inputs, |v| both(v).map(|b| b[k])));
                        Some([m[k], sd?])
                    }),
                    slipped_m: None,
                };
                let kappa = |second: f64, sd: f64, of: &dyn Fn(f64, f64) -> Second| {
                    let inputs = [cell(standing), (second, sd), (span_m, SPAN_M), (kg, WALKER_KG)];
                    let k = |v: &[f64]| line(v[2]).kappa(v[0], of(v[1], v[3] * G));
                    Some([k(&inputs.map(|i| i.0))?, deviation(&inputs, k)?])
                };
                if let Some(sag) = r.sag.map(|m| m.si() - other.sag_less_m) {
                    compared.push(read(compared.len(), Read::Sag, [sag, sag_sd], 1));
                    let of = |sag_m: f64, walker_n: f64| Second::Sag { walker_n, at, sag_m };
                    if as_said.is_none() {
                        stretch = stretch.or_else(|| Some((Read::Sag, kappa(sag, sag_sd, &of)?)));
                    }
                }
                if let Some(n) = r.tension.map(|n| n.si() / other.meter).filter(|_| r.at == Side::A) {
                    compared.push(read(compared.len(), Read::Loaded, [n, CELL * n], 0));
                    let of = |tension_n: f64, walker_n: f64| Second::Tension { walker_n, at, tension_n };
                    if as_said.is_none() {
                        stretch = stretch.or_else(|| Some((Read::Loaded, kappa(n, CELL * n, &of)?)));
                    }
                }
            }
            (None, Some(_)) => {
                let standing = first.unwrap_or_default();
                let tension = r.tension.map(|n| n.si() / other.meter).filter(|_| r.at == Side::A);
                latest = tension.or(latest);
                if let (Some(n), true) = (tension, after_s > 0.0) {
                    let decades = (1.0 + after_s / FIRST_S).log10();
                    let creep = creep_per_decade(main.item.fibre).map(|a| 1.0 + a * decades);
                    let warmer = match (r.temperature, day.temperature) {
                        (Some(now), Some(then)) => now.si() - then.si(),
                        _ => 0.0,
                    } + other.warmer_k;
                    let [low, high] = main.alphas_per_k;
                    let swell = 1.0 + 0.5 * (low + high) * warmer;
                    let middle = 0.5 * (creep[0] + creep[1]);
                    let at =
                        |creep: f64| here.later(k0, standing, n, Since { creep, swell, slipped_m: other.slipped_m });
                    let ends = if as_said.is_some() { [None, None] } else { creep.map(at) };
                    compared.push(Compared {
                        read: Read::Later,
                        after_s,
                        walker_kg: None,
                        measured: [n, CELL * n],
                        computed: at(middle).and_then(|m| {
                            let of_creep = || Some(0.5 * (ends[0]?[0] - ends[1]?[0]).abs());
                            let sd = known(compared.len()).unwrap_or_else(|| Some(of_creep()?.hypot(CELL * standing)));
                            Some([m[0], sd?])
                        }),
                        slipped_m: at(middle).map(|m| m[1]),
                    });
                }
                if let Some(sag) = r.sag.map(Quantity::si) {
                    let n = tension.unwrap_or(standing);
                    let of = |v: &[f64]| Some(line(v[1]).standing(k0, v[0])?[1]);
                    let inputs = [cell(n), (span_m, SPAN_M)];
                    compared.push(Compared {
                        read: Read::Empty,
                        after_s,
                        walker_kg: None,
                        measured: [sag, sag_sd],
                        computed: of(&inputs.map(|i| i.0))
                            .and_then(|m| Some([m, known(compared.len()).unwrap_or_else(|| deviation(&inputs, of))?])),
                        slipped_m: None,
                    });
                    weight = if as_said.is_some() { None } else { here.mass_ratio(n, sag) };
                }
            }
            _ => {}
        }
    }
    if let (Some(t), Some(standing)) = (day.through, first) {
        let inputs = [cell(standing), (t.from.si(), BY_HAND * t.from.si())];
        let of = |v: &[f64]| Some(here.standing(k0, v[1])?[0] - here.standing(k0, v[0])?[0]);
        compared.push(Compared {
            read: Read::Through,
            after_s: 0.0,
            walker_kg: None,
            measured: [t.length.si(), THROUGH_M],
            computed: of(&inputs.map(|i| i.0))
                .and_then(|m| Some([m, known(compared.len()).unwrap_or_else(|| deviation(&inputs, of))?])),
            slipped_m: None,
        });
        if as_said.is_some() {
            return Some(DayRead::of(day, compared, None, None));
        }
        let inputs = [inputs[0], inputs[1], (t.length.si(), THROUGH_M)];
        let k = |v: &[f64]| here.kappa(v[0], Second::Through { from_n: v[1], through_m: v[2] });
        if let (None, Some(kappa), Some(sd)) = (stretch, k(&inputs.map(|i| i.0)), deviation(&inputs, k)) {
            stretch = Some((Read::Through, [kappa, sd]));
        }
    }
    Some(DayRead::of(day, compared, stretch, weight))
}
