//! A day's readings against the model: what each should have been, how stretchy and how heavy the line is, what slipped.

use schemars::JsonSchema;
use serde::Serialize;

use super::incident::Body;
use super::likely::{Likely, Model, likely};
use super::pulling::hung_per_m;
use super::rigged::{AsHung, as_tensioned, with_legs};
use super::solve::Solver;
use crate::mechanics::G;
use crate::mechanics::creep::log_creep;
use crate::mechanics::gauge::{Gauged, Second, Since, deviation};
use crate::plan::day::Day;
use crate::plan::{Measured, PlanFile, Side};
use crate::rig::Element;
use crate::units::{Force, Length, Quantity};

/// One deviation of a load cell, as a share; of a pulse, as a share; of a sag, m, short and from 200 m on; of a span, m; of a
/// walker, kg; of what came through, m; of a tension by hand, as a share; of a temperature, K. What a reading says of itself
/// goes before. Common practice, no source.
const CELL: f64 = 0.02;
const PULSE: f64 = 0.03;
const SAG_M: [f64; 2] = [0.05, 0.3];
const LONG_M: f64 = 200.0;
const SPAN_M: f64 = 0.2;
const WALKER_KG: f64 = 1.0;
const THROUGH_M: f64 = 0.02;
const BY_HAND: f64 = 0.1;
const TEMPERATURE_K: f64 = 2.0;

/// What a reading was of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Read {
    /// The sag at a walker.
    Sag,
    /// The tension at a side with a walker.
    Loaded,
    /// The tension at a side with nobody on the line, later on.
    Later,
    /// The sag with nobody on the line.
    Empty,
    /// What came through the lock on the way up.
    Through,
    /// The time of a pulse with nobody on the line.
    Pulse,
}

/// A reading beside what the model has.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Compared {
    /// Of what.
    pub read: Read,
    /// How long after it was tensioned, s.
    pub after_s: f64,
    /// Where a tension was read.
    pub at: Side,
    /// The walker then, kg.
    pub walker_kg: Option<f64>,
    /// Measured, and one deviation of it; m, N or s.
    pub measured: [f64; 2],
    /// Computed, and one deviation of it, from the other readings; nothing where it has none.
    pub computed: Option<[f64; 2]>,
    /// Line that slipped through if the difference is slip, m; of a later tension alone.
    pub slipped_m: Option<f64>,
    /// The least that creep of its class and the temperature leave, N; of a later tension alone.
    #[serde(rename = "least_N")]
    pub least_n: Option<f64>,
}

impl Compared {
    /// How many deviations measured lies over computed.
    #[must_use]
    pub fn off(&self) -> Option<f64> {
        let [computed, sd] = self.computed?;
        Some((self.measured[0] - computed) / sd.hypot(self.measured[1]).max(1e-12))
    }
}

/// A leg that was read with nobody on the line.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LegRead {
    /// Its name.
    pub name: String,
    /// Measured, N.
    pub measured_n: f64,
    /// Computed from the lengths of the plan, N; nothing where the plan has no such leg.
    pub computed_n: Option<f64>,
    /// How much shorter than planned it is, if that is why it reads so, m; below nothing, longer.
    pub short_m: Option<f64>,
}

/// What a day's readings say.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DayRead {
    /// When.
    pub date: String,
    /// Why the rig of that day cannot be held against anything; nothing where it can.
    pub fault: Option<String>,
    /// Each reading beside the model.
    pub compared: Vec<Compared>,
    /// Legs that were read, beside what they carry in the rig as it hung.
    pub legs: Vec<LegRead>,
    /// Stretch over that of the catalogue, and one deviation of it; nothing where no second reading gives it.
    pub stretch: Option<[f64; 2]>,
    /// From what that was taken.
    pub by: Option<Read>,
    /// Weight per metre over the planned one.
    pub weight: Option<f64>,
    /// Where the readings disagree: single causes that would explain them, the least unusual first.
    pub likely: Vec<Likely>,
    /// The rig as it hung against the plan; nothing where that was not looked at, or both are one.
    pub hung: Option<AsHung>,
}

impl DayRead {
    /// How far the readings are off in all, in squares of deviations, and how many can be held against something.
    #[must_use]
    pub fn misfit(&self) -> (f64, usize) {
        misfit(&self.compared)
    }

    /// Whether they are off by more than chance.
    #[must_use]
    pub fn disagrees(&self) -> bool {
        let (misfit, n) = self.misfit();
        misfit > ENOUGH && misfit > 2.0 * n as f64
    }
}

/// Readings off by more than this in all, in squares of deviations, are looked into.
pub(super) const ENOUGH: f64 = 4.0;

/// How far readings are off in all, in squares of deviations, and how many can be held against something.
pub(super) fn misfit(compared: &[Compared]) -> (f64, usize) {
    let off: Vec<f64> = compared.iter().filter_map(Compared::off).collect();
    (off.iter().map(|o| o * o).sum(), off.len())
}

/// A day of a plan against the rig as it hung then; why not, where that is no rig.
#[must_use]
pub fn day_read(file: &PlanFile, day: &Day) -> DayRead {
    let read = as_tensioned(file, day).and_then(|rigged| {
        let solver = solved(&rigged)?;
        let feet_m = Body::of(&rigged.plan, &rigged.catalogue).under_ring_m();
        let hung = Hung::of(day, &solver).ok_or_else(|| "its line has no soft part".to_owned())?;
        // Legs that no rig carries as they were read leave the other readings standing; what hung says why.
        let with_legs = (!day.legs.is_empty()).then(|| with_legs(rigged.clone(), day).and_then(|r| solved(&r)));
        let with_legs = with_legs.and_then(Result::ok);
        Ok(DayRead { legs: legs_of(day, &solver, with_legs.as_ref()), ..hung.read(feet_m) })
    });
    let nothing = |why: String| DayRead {
        date: day.date.clone(),
        fault: Some(why),
        compared: Vec::new(),
        legs: Vec::new(),
        stretch: None,
        by: None,
        weight: None,
        likely: Vec::new(),
        hung: None,
    };
    read.unwrap_or_else(nothing)
}

/// A rig as it stands; why not, where it is none.
pub(super) fn solved(file: &PlanFile) -> Result<Solver, String> {
    super::in_view(file)
        .map_err(|faults| faults.first().map_or_else(|| "it is no rig".to_owned(), |f| f.message.clone()))
}

/// Legs that were read, beside what the solved rig has in them; with it the rig in which they carry what they read.
fn legs_of(day: &Day, solver: &Solver, with_legs: Option<&Solver>) -> Vec<LegRead> {
    let response = solver.rig.response(&solver.standing.case, &solver.standing.solution);
    let run = |name: &str| solver.rig.run_names.iter().position(|n| n == name);
    // Of all its parts, as it is made and adjusted.
    let length = |s: &Solver, name: &str| -> Option<f64> {
        let run = s.rig.run_names.iter().position(|n| n == name)?;
        Some(s.rig.articles(&s.standing.lengths).iter().filter(|a| a.run == run).map(|a| a.length_m).sum())
    };
    let leg = |(name, n): &(String, Measured<Force>)| LegRead {
        name: name.clone(),
        measured_n: n.si(),
        computed_n: run(name).and_then(|run| response.run_n.get(run).copied()),
        short_m: with_legs.and_then(|w| Some(length(solver, name)? - length(w, name)?)).filter(|m| m.abs() > 1e-6),
    };
    day.legs.iter().map(leg).collect()
}

/// The line as it hung on a day, between points that do not give.
pub(super) struct Hung<'a> {
    day: &'a Day,
    main: &'a Element,
    span_m: f64,
    rise_m: f64,
    weight_n_per_m: f64,
    /// Standing tension at A where none was read: by the pulse, or as it is planned; with one deviation of it, N.
    unread: (f64, f64),
}

/// A tension with one deviation of it, N.
fn cell(n: Measured<Force>) -> (f64, f64) {
    n.or_usual(CELL * n.si())
}

impl<'a> Hung<'a> {
    pub(super) fn of(day: &'a Day, solver: &'a Solver) -> Option<Self> {
        let rig = &solver.rig;
        let standing_n = solver.standing.case.line_tension_n(&solver.standing.solution)[0];
        // Tension goes with the square of a pulse.
        let share = day.by_pulse().map_or(BY_HAND, |(_, p)| {
            let (s, sd) = p.or_usual(PULSE * p.si());
            2.0 * sd / s
        });
        let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
        let soft = rig.line.elements.iter().filter(|e| e.item.class.is_soft());
        Some(Self {
            day,
            main: soft.max_by(|x, y| x.length_m.total_cmp(&y.length_m))?,
            span_m: (b - a).truncate().length(),
            rise_m: b.z - a.z,
            weight_n_per_m: hung_per_m(rig) * G,
            unread: (standing_n, share * standing_n),
        })
    }

    fn read(&self, feet_m: f64) -> DayRead {
        let stretch = self.stretch();
        let mut read = DayRead {
            date: self.day.date.clone(),
            fault: None,
            compared: self.compared(Model::AS_SAID, None),
            legs: Vec::new(),
            stretch: stretch.map(|s| s.1),
            by: stretch.map(|s| s.0),
            weight: self.weight(),
            likely: Vec::new(),
            hung: None,
        };
        if read.disagrees() {
            read.likely = likely(self, &read.compared, feet_m);
        }
        read
    }

    /// A tension with nobody on the line and its deviation at A, N, where it was read at B: they differ by the weight of so much
    /// line as B is higher.
    fn at_a(&self, side: Side, (n, sd): (f64, f64)) -> (f64, f64) {
        (if side == Side::A { n } else { n - self.weight_n_per_m * self.rise_m }, sd)
    }

    /// What both locks drew in by the marks on their tails, m.
    pub(super) fn tails_m(&self) -> Option<f64> {
        let [a, b] = self.day.tails;
        Some(a?.si() + b?.si())
    }

    /// The line as the plan has it.
    pub(super) fn line(&self) -> Gauged {
        self.other_line(self.span_m, 1.0)
    }

    fn other_line(&self, span_m: f64, weight: f64) -> Gauged {
        let law = std::sync::Arc::clone(&self.main.law);
        Gauged { span_m, rise_m: self.rise_m, weight_n_per_m: weight * self.weight_n_per_m, law }
    }

    fn sag(&self, sag: Measured<Length>) -> (f64, f64) {
        sag.or_usual(if self.span_m < LONG_M { SAG_M[0] } else { SAG_M[1] })
    }

    /// One deviation of the span, m.
    fn span_sd(&self) -> f64 {
        self.day.span.map_or(SPAN_M, |m| m.or_usual(SPAN_M).1)
    }

    /// The readings against a model; how sure what is computed is, worked out, or taken from those before.
    pub(super) fn compared(&self, other: Model, as_said: Option<&[Compared]>) -> Vec<Compared> {
        let day = self.day;
        let (kappa, span) = (other.stretch, (self.span_m + other.span_m, self.span_sd()));
        let line = |span_m: f64| self.other_line(span_m, other.weight);
        let here = line(span.0);
        let newtons = |(n, sd): (f64, f64)| (n / other.meter, sd / other.meter);
        let mut out: Vec<Compared> = Vec::new();
        let mut put = |read: Read,
                       after_s: f64,
                       at: Side,
                       kg: Option<f64>,
                       measured: (f64, f64),
                       value: Option<f64>,
                       sd: &dyn Fn() -> Option<f64>,
                       (slipped_m, least_n): (Option<f64>, Option<f64>)| {
            let known = as_said.map(|s| s.get(out.len()).and_then(|c| Some(c.computed?[1])));
            let computed = value.and_then(|v| Some([v, known.unwrap_or_else(sd)?]));
            let measured = measured.into();
            out.push(Compared { read, after_s, at, walker_kg: kg, measured, computed, slipped_m, least_n });
        };
        let empty = |(side, n): (Side, Measured<Force>)| self.at_a(side, newtons(cell(n)));
        let read = |n: Option<(Side, Measured<Force>)>| n.map_or(self.unread, empty);
        let first = day.standing().map(empty);
        for (k, r) in day.read.iter().enumerate() {
            let after_s = r.after.si();
            let tension = r.tension.map(|n| newtons(cell(n)));
            let standing = read(day.standing_before(k));
            if let Some((at, mass)) = r.walker {
                if !walks(at) {
                    continue;
                }
                let both = |v: &[f64]| {
                    let line = line(v[1]);
                    let [length, _] = line.standing(kappa, v[0])?;
                    line.with_walker(kappa, length, v[2] * G, at)
                };
                let (kg, kg_sd) = mass.or_usual(WALKER_KG);
                let inputs = [standing, span, (kg * other.walker, kg_sd)];
                let model = both(&inputs.map(|i| i.0));
                let sag = r.sag.map(|m| self.sag(m)).map(|(m, sd)| (Read::Sag, (m - other.sag_less_m, sd), 1));
                let loaded = tension.map(|n| (Read::Loaded, n, if r.at == Side::A { 0 } else { 2 }));
                for (read, measured, of) in sag.into_iter().chain(loaded) {
                    let sd = || deviation(&inputs, |v| both(v).map(|b| b[of]));
                    put(read, after_s, r.at, Some(kg), measured, model.map(|m| m[of]), &sd, (None, None));
                }
                continue;
            }
            let tension = tension.map(|n| self.at_a(r.at, n));
            if let (Some(n), Some(first), true) = (tension, first, after_s > 0.0) {
                let creep = self.main.item.creep_per_decade().map(|a| log_creep(a, after_s));
                let warmer = match (r.temperature, day.temperature) {
                    (Some(now), Some(then)) => now.si() - then.si(),
                    _ => 0.0,
                } + other.warmer_k;
                let [low, high] = self.main.alphas_per_k;
                let per_k = 0.5 * (low + high);
                let at = |creep: f64, warmer: f64| {
                    let swell = 1.0 + per_k * warmer;
                    here.later(kappa, first.0, n.0, Since { creep, swell, slipped_m: other.slipped_m })
                };
                let mean = 0.5 * (creep[0] + creep[1]);
                let sd = || {
                    let [least, most] = creep.map(|c| at(c, warmer));
                    let [cold, warm] = [warmer - TEMPERATURE_K, warmer + TEMPERATURE_K].map(|k| at(mean, k));
                    let half = |a: Option<[f64; 2]>, b: Option<[f64; 2]>| Some(0.5 * (a?[0] - b?[0]));
                    Some(half(least, most)?.hypot(half(cold, warm)?).hypot(first.1))
                };
                let middle = at(mean, warmer);
                let least = at(creep[1], warmer).map(|m| m[0]);
                put(Read::Later, after_s, r.at, None, n, middle.map(|m| m[0]), &sd, (middle.map(|m| m[1]), least));
            }
            if let Some(sag) = r.sag {
                let of = |v: &[f64]| Some(line(v[1]).standing(kappa, v[0])?[1]);
                let inputs = [tension.unwrap_or(standing), span];
                let value = of(&inputs.map(|i| i.0));
                put(Read::Empty, after_s, r.at, None, self.sag(sag), value, &|| deviation(&inputs, of), (None, None));
            }
            // A pulse that the tension was taken from says nothing against it.
            if let (Some(pulse), None) = (r.pulse, day.by_pulse().filter(|(by, _)| std::ptr::eq(*by, r))) {
                let of = |v: &[f64]| line(v[1]).pulse_s(kappa, v[0]);
                let inputs = [tension.unwrap_or(standing), span];
                let value = of(&inputs.map(|i| i.0));
                let (s, sd) = pulse.or_usual(PULSE * pulse.si());
                let timed = (other.pulse * s, other.pulse * sd);
                put(Read::Pulse, after_s, r.at, None, timed, value, &|| deviation(&inputs, of), (None, None));
            }
        }
        if let (Some(t), Some(standing)) = (day.through, first) {
            let inputs = [standing, t.from.or_usual(BY_HAND * t.from.si())];
            let of = |v: &[f64]| Some(here.standing(kappa, v[1])?[0] - here.standing(kappa, v[0])?[0]);
            let value = of(&inputs.map(|i| i.0));
            let length = t.length.or_usual(THROUGH_M);
            put(Read::Through, 0.0, Side::A, None, length, value, &|| deviation(&inputs, of), (None, None));
        }
        out
    }

    /// How stretchy the line is by the first reading that gives it, and how sure that is.
    fn stretch(&self) -> Option<(Read, [f64; 2])> {
        let day = self.day;
        let with_walker = day.read.iter().enumerate().find_map(|(k, r)| {
            let ((at, mass), standing) = (r.walker?, day.standing_before(k)?);
            let second = r.sag.map(|m| (Read::Sag, self.sag(m)));
            let loaded = r.tension.filter(|_| r.at == Side::A).map(|n| (Read::Loaded, cell(n)));
            let (read, value) = second.or(loaded).filter(|_| walks(at))?;
            let span = (self.span_m, self.span_sd());
            let (side, n) = standing;
            let inputs = [self.at_a(side, cell(n)), value, span, mass.or_usual(WALKER_KG)];
            let kappa = |v: &[f64]| {
                let walker_n = v[3] * G;
                let second = match read {
                    Read::Sag => Second::Sag { walker_n, at, sag_m: v[1] },
                    _ => Second::Tension { walker_n, at, tension_n: v[1] },
                };
                self.other_line(v[2], 1.0).kappa(v[0], second)
            };
            Some((read, [kappa(&inputs.map(|i| i.0))?, deviation(&inputs, kappa)?]))
        });
        with_walker.or_else(|| {
            let (t, (side, n)) = (day.through?, day.standing()?);
            let inputs =
                [self.at_a(side, cell(n)), t.from.or_usual(BY_HAND * t.from.si()), t.length.or_usual(THROUGH_M)];
            let here = self.line();
            let kappa = |v: &[f64]| here.kappa(v[0], Second::Through { from_n: v[1], through_m: v[2] });
            Some((Read::Through, [kappa(&inputs.map(|i| i.0))?, deviation(&inputs, kappa)?]))
        })
    }

    /// What the line weighs over what is planned, by the last sag with nobody on it.
    fn weight(&self) -> Option<f64> {
        let day = self.day;
        let empty = day.read.iter().rev().find(|r| r.walker.is_none() && r.sag.is_some())?;
        let (side, n) = empty.tension.map(|n| (empty.at, n)).or(day.standing())?;
        let (tension, _) = self.at_a(side, (n.si(), 0.0));
        self.line().mass_ratio(tension, empty.sag?.si())
    }
}

/// Whether a walker is far enough from either end to say anything of the line.
fn walks(at: f64) -> bool {
    at > 0.02 && at < 0.98
}
