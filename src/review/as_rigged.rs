//! A day's readings against the model: what each should have been, how stretchy and how heavy the line is, what slipped.

use super::pulling::hung_per_m;
use super::solve::Solver;
use crate::catalogue::Fibre;
use crate::mechanics::G;
use crate::mechanics::gauge::{Gauged, Second, deviation};
use crate::plan::Side;
use crate::plan::day::Day;
use crate::units::Quantity;

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
#[derive(Debug, Clone, Copy, PartialEq)]
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
#[derive(Debug, Clone, PartialEq)]
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

/// What a day's readings say.
#[derive(Debug, Clone, PartialEq)]
pub struct DayRead {
    /// Each reading beside the model.
    pub compared: Vec<Compared>,
    /// Stretch over that of the catalogue, and one deviation of it; nothing where no second reading gives it.
    pub stretch: Option<[f64; 2]>,
    /// From what that was taken.
    pub by: Option<Read>,
    /// Weight per metre over the planned one.
    pub weight: Option<f64>,
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

/// A day's readings against the model; `solver` is of the plan as it was rigged then.
#[must_use]
pub fn day_read(day: &Day, solver: &Solver) -> Option<DayRead> {
    let rig = &solver.rig;
    let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
    let soft = rig.line.elements.iter().filter(|e| e.item.class.is_soft());
    let main = soft.max_by(|x, y| x.length_m.total_cmp(&y.length_m))?;
    let line = |span_m: f64| Gauged {
        span_m,
        rise_m: b.z - a.z,
        weight_n_per_m: hung_per_m(rig) * G,
        law: std::sync::Arc::clone(&main.law),
    };
    let span_m = (b - a).truncate().length();
    let here = line(span_m);
    let first = day.standing_n();
    let sag_sd = if span_m < LONG_M { SAG_M[0] } else { SAG_M[1] };
    let cell = |n: f64| (n, CELL * n);
    let mut compared = Vec::new();
    let mut stretch: Option<(Read, [f64; 2])> = None;
    let mut weight = None;
    // A walker's sag is of the line as it hung then: with the last tension that was read before.
    let mut latest = first;
    for r in &day.read {
        let after_s = r.after.si();
        match (r.walker, latest) {
            (Some((at, mass)), Some(standing)) if at > 0.02 && at < 0.98 => {
                let kg = mass.si();
                let both = |v: &[f64]| {
                    let line = line(v[1]);
                    let [length, _] = line.standing(1.0, v[0])?;
                    line.with_walker(1.0, length, v[2] * G, at)
                };
                let inputs = [cell(standing), (span_m, SPAN_M), (kg, WALKER_KG)];
                let model = both(&inputs.map(|i| i.0));
                let read = |read: Read, measured: [f64; 2], k: usize| Compared {
                    read,
                    after_s,
                    walker_kg: Some(kg),
                    measured,
                    computed: model.and_then(|m| Some([m[k], deviation(&inputs, |v| both(v).map(|b| b[k]))?])),
                    slipped_m: None,
                };
                let kappa = |second: f64, sd: f64, of: &dyn Fn(f64, f64) -> Second| {
                    let inputs = [cell(standing), (second, sd), (span_m, SPAN_M), (kg, WALKER_KG)];
                    let k = |v: &[f64]| line(v[2]).kappa(v[0], of(v[1], v[3] * G));
                    Some([k(&inputs.map(|i| i.0))?, deviation(&inputs, k)?])
                };
                if let Some(sag) = r.sag.map(Quantity::si) {
                    compared.push(read(Read::Sag, [sag, sag_sd], 1));
                    let of = |sag_m: f64, walker_n: f64| Second::Sag { walker_n, at, sag_m };
                    stretch = stretch.or_else(|| Some((Read::Sag, kappa(sag, sag_sd, &of)?)));
                }
                if let Some(n) = r.tension.map(Quantity::si).filter(|_| r.at == Side::A) {
                    compared.push(read(Read::Loaded, [n, CELL * n], 0));
                    let of = |tension_n: f64, walker_n: f64| Second::Tension { walker_n, at, tension_n };
                    stretch = stretch.or_else(|| Some((Read::Loaded, kappa(n, CELL * n, &of)?)));
                }
            }
            (None, Some(_)) => {
                let standing = first.unwrap_or_default();
                let tension = r.tension.map(Quantity::si).filter(|_| r.at == Side::A);
                latest = tension.or(latest);
                if let (Some(n), true) = (tension, after_s > 0.0) {
                    let decades = (1.0 + after_s / FIRST_S).log10();
                    let creep = creep_per_decade(main.item.fibre).map(|a| 1.0 + a * decades);
                    let warmer = match (r.temperature, day.temperature) {
                        (Some(now), Some(then)) => now.si() - then.si(),
                        _ => 0.0,
                    };
                    let [low, high] = main.alphas_per_k;
                    let swell = 1.0 + 0.5 * (low + high) * warmer;
                    let middle = 0.5 * (creep[0] + creep[1]);
                    let at = |creep: f64| here.later(standing, n, creep, swell);
                    let ends = creep.map(at);
                    compared.push(Compared {
                        read: Read::Later,
                        after_s,
                        walker_kg: None,
                        measured: [n, CELL * n],
                        computed: at(middle).and_then(|m| {
                            let spread = 0.5 * (ends[0]?[0] - ends[1]?[0]).abs();
                            Some([m[0], spread.hypot(CELL * standing)])
                        }),
                        slipped_m: at(middle).map(|m| m[1]),
                    });
                }
                if let Some(sag) = r.sag.map(Quantity::si) {
                    let n = tension.unwrap_or(standing);
                    let of = |v: &[f64]| Some(line(v[1]).standing(1.0, v[0])?[1]);
                    let inputs = [cell(n), (span_m, SPAN_M)];
                    compared.push(Compared {
                        read: Read::Empty,
                        after_s,
                        walker_kg: None,
                        measured: [sag, sag_sd],
                        computed: of(&inputs.map(|i| i.0)).and_then(|m| Some([m, deviation(&inputs, of)?])),
                        slipped_m: None,
                    });
                    weight = here.mass_ratio(n, sag);
                }
            }
            _ => {}
        }
    }
    if let (Some(t), Some(standing)) = (day.through, first) {
        let inputs = [cell(standing), (t.from.si(), BY_HAND * t.from.si())];
        let of = |v: &[f64]| Some(here.standing(1.0, v[1])?[0] - here.standing(1.0, v[0])?[0]);
        compared.push(Compared {
            read: Read::Through,
            after_s: 0.0,
            walker_kg: None,
            measured: [t.length.si(), THROUGH_M],
            computed: of(&inputs.map(|i| i.0)).and_then(|m| Some([m, deviation(&inputs, of)?])),
            slipped_m: None,
        });
        let inputs = [inputs[0], inputs[1], (t.length.si(), THROUGH_M)];
        let k = |v: &[f64]| here.kappa(v[0], Second::Through { from_n: v[1], through_m: v[2] });
        if let (None, Some(kappa), Some(sd)) = (stretch, k(&inputs.map(|i| i.0)), deviation(&inputs, k)) {
            stretch = Some((Read::Through, [kappa, sd]));
        }
    }
    Some(DayRead { compared, stretch: stretch.map(|s| s.1), by: stretch.map(|s| s.0), weight })
}
