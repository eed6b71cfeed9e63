//! The line that stays up: what creep, flow and temperature leave of its tension night after night, what is to be drawn in,
//! and how it hangs at its slackest. Always a band: creep from its least to its most, fibres expanding both ways.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::Serialize;

use super::case::Class;
use super::factors::{Kind, required};
use super::neighbours::Strengths;
use super::solve::{Solved, Solver};
use super::strength::Strength;
use super::wind::gust_m_s;
use crate::catalogue::Fibre;
use crate::mechanics::certificate::certify;
use crate::mechanics::creep::{flowed, log_creep};
use crate::mechanics::equilibrium::Solution;
use crate::plan::stay::Stay;
use crate::plan::{Declared, FactorSet, Plan, Role, Side, Target};
use crate::rig::{CaseNet, Element, Expands, Lengths, Load, Rig, Where};
use crate::units::{Force, Quantity as _};

/// Half a day, s: the first at the night's temperature, the second at the day's.
const HALF_S: f64 = 43_200.0;

/// Rope of HMPE that was not set comes so much longer for good at its first loading, at the most. Common practice, no source.
const FIRST_LOADING: f64 = 0.01;

/// What an element may come longer for good as it is loaded first: rope of HMPE, unless the plan says that what is spliced was
/// set, or how it creeps was measured.
fn first_loading(plan: &Plan, e: &Element) -> f64 {
    let set = matches!(plan.declared.get("proof loaded"), Some(Declared::Yes(_)));
    let rope = e.item.fibre == Fibre::Hmpe && e.item.class.is_cut();
    if rope && !set && !e.item.creep_measured() { FIRST_LOADING } else { 0.0 }
}

/// What a moment of the stay is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// The end of a night.
    Morning,
    /// The end of a day.
    Evening,
    /// The plan has it pulled up.
    Between,
}

/// The line at a moment.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Moment {
    /// After it was tensioned, s.
    pub after_s: f64,
    /// The day.
    pub date: String,
    /// Which moment it is.
    pub when: When,
    /// Temperature then, K.
    #[serde(rename = "temperature_K")]
    pub temperature_k: f64,
    /// Tension where the plan asks for it, least and most, before it is pulled up, N.
    #[serde(rename = "tension_N")]
    pub tension_n: [f64; 2],
    /// How much longer the line is than one that does not creep, at that tension, least and most, m.
    pub longer_m: [f64; 2],
    /// What is to be drawn in for the tension of the plan, least and most, m; below nothing it is too tight.
    pub draw_in_m: [f64; 2],
    /// Whether the plan has it pulled up then.
    pub pulled_up: bool,
}

/// The strongest gust of a day on the line as it was tensioned.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Gusty {
    /// The day.
    pub date: String,
    /// The gust, m/s.
    pub gust_m_per_s: f64,
    /// The gust that the plan's storm stands for, m/s.
    pub storm_m_per_s: f64,
    /// The most in the main line, N; nothing where that is not solved.
    #[serde(rename = "most_N")]
    pub most_n: Option<f64>,
    /// What the weakest piece of the main line holds over that; nothing where that is not known.
    pub factor: Option<f64>,
    /// What is asked for.
    pub required: f64,
}

/// A line that stays up.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Stays {
    /// The day in whose evening it is tensioned.
    pub from: String,
    /// Standing tension then, N.
    #[serde(rename = "target_N")]
    pub target_n: f64,
    /// Where.
    pub side: Side,
    /// In order.
    pub moments: Vec<Moment>,
    /// Day by day.
    pub gusts: Vec<Gusty>,
    /// The most that any piece came longer for good, least and most, as a share.
    pub flowed: [f64; 2],
    /// What stands at the most of its strength while nobody is on it, as a share: HMPE.
    pub sustained: f64,
    /// Why it could not be followed.
    pub fault: Option<String>,
}

/// The rig at its slackest, and the weather then.
#[derive(Debug, Clone)]
pub(super) struct Slackest {
    pub(super) solver: Solver,
    pub(super) warmer_k: f64,
    pub(super) expands: Expands,
}

/// What is to be drawn in, in words.
#[must_use]
pub fn drawn_in([low, high]: [f64; 2]) -> String {
    match [low.max(0.0), high].map(|m| (100.0 * m).round()) {
        [_, most] if most <= 0.0 => "nothing".to_owned(),
        [least, most] => format!("{least:.0} to {most:.0} cm"),
    }
}

/// One way it may go: an end of creep, an end of expansion.
struct Track {
    rig: Rig,
    creep: usize,
    expands: Expands,
    /// The part that is drawn in, and to what.
    drawn: (usize, Target),
    side: usize,
    /// Its length at first, m.
    first_m: f64,
    lengths: Lengths,
    /// Soft length of the main line at first, m: the backup keeps what it had.
    soft_m: f64,
    /// What every element came longer for good, as a share: of the legs, then of the line.
    come: Vec<f64>,
    warm: Option<Solution>,
}

/// The rig at a moment of a track.
struct AtMoment {
    rig: Rig,
    case: CaseNet,
    solution: Solution,
    load: Load,
}

impl Track {
    fn elements(rig: &Rig) -> impl Iterator<Item = (Where, &Element)> {
        let legs = rig.legs.iter().enumerate();
        let legs = legs.flat_map(|(l, leg)| leg.elements.iter().enumerate().map(move |(k, e)| (Where::Leg(l, k), e)));
        legs.chain(rig.line.elements.iter().enumerate().map(|(i, e)| (Where::Line(i), e)))
    }

    fn soft_m(rig: &Rig, lengths: &Lengths) -> f64 {
        let soft = rig.line.elements.iter().enumerate().filter(|(_, e)| e.item.class.is_soft());
        soft.map(|(i, _)| rig.element_length(lengths, i)).sum()
    }

    fn aged(&self, after_s: f64, come: &[f64]) -> Rig {
        let places: Vec<Where> = Self::elements(&self.rig).map(|(at, _)| at).collect();
        let mut rig = self.rig.aged(&self.lengths, |at, e| {
            let come = places.iter().position(|p| *p == at).map_or(0.0, |k| come[k]);
            let creep = if e.item.class.is_soft() { e.item.creep_per_decade()[self.creep] } else { 0.0 };
            [come, log_creep(creep, after_s)]
        });
        let now_m = Self::soft_m(&rig, &self.lengths);
        if let Some(b) = &mut rig.backup {
            b.excess = (1.0 + b.excess) * self.soft_m / now_m - 1.0;
        }
        rig
    }

    fn rest(&mut self, after_s: f64, come: &[f64], warmer_k: f64) -> Option<AtMoment> {
        let rig = self.aged(after_s, come);
        let load = Load { warmer_k, expands: self.expands, ..Load::default() };
        let (case, solution) = rig.solve(&self.lengths, &load, self.warm.as_ref());
        certify(&case.net, &solution).holds().then(|| {
            self.warm = Some(solution.clone());
            AtMoment { rig, case, solution, load }
        })
    }

    /// Tension of every element of legs and line, of one strand, N: of the line's, the mean of its ends.
    fn tensions(rig: &Rig, case: &CaseNet, solution: &Solution) -> Vec<f64> {
        let r = rig.response(case, solution);
        let line_n = 0.5 * (r.line_n[0] + r.line_n[1]);
        Self::elements(rig)
            .map(|(at, e)| match at {
                Where::Leg(l, _) => r.run_n[rig.legs[l].run] / e.lay.strands,
                Where::Line(_) => line_n,
                Where::Backup(_) => 0.0,
            })
            .collect()
    }

    /// Hangs on from one moment to another, at one temperature.
    fn hangs(&mut self, span_s: [f64; 2], temperature_k: f64, warmer_k: f64) -> Option<()> {
        let end = self.creep;
        let flows: Vec<_> = Self::elements(&self.rig).map(|(_, e)| e.item.flow()).collect();
        if flows.iter().all(Option::is_none) {
            return Some(());
        }
        let come = self.come.clone();
        self.come = flowed(span_s, &come, |t, come| {
            let now = self.rest(t, come, warmer_k)?;
            let tensions = Self::tensions(&now.rig, &now.case, &now.solution);
            let rate = |(n, f): (&f64, &Option<crate::mechanics::creep::Flow>)| {
                f.map_or(0.0, |f| f.per_s(*n, temperature_k)[end])
            };
            Some(tensions.iter().zip(&flows).map(rate).collect())
        })?;
        Some(())
    }

    /// How much longer the line is, with what was drawn in since, than one that did not creep, at what it has, m.
    fn longer_m(&self, now: &AtMoment) -> f64 {
        let tensions = Self::tensions(&now.rig, &now.case, &now.solution);
        let legs = tensions.len() - now.rig.line.elements.len();
        let of = |i: usize| {
            let (e, was) = (&now.rig.line.elements[i], &self.rig.line.elements[i]);
            let (n, come) = (tensions[legs + i], self.come[legs + i]);
            let long_m = if i == self.drawn.0 { self.first_m } else { e.length_m / (1.0 + come) };
            long_m * ((1.0 + come) * (1.0 + e.law.at(n).0) - (1.0 + was.law.at(n).0))
        };
        (0..now.rig.line.elements.len()).map(of).sum()
    }

    /// What is to be drawn in for its target, m.
    fn draw_in_m(&self, now: &AtMoment) -> Option<f64> {
        let mut rig = now.rig.clone();
        let (i, target) = self.drawn;
        let now_m = rig.line.elements[i].length_m;
        rig.line.target = Some((i, target));
        let mut lengths = self.lengths.clone();
        lengths.target_m = now_m;
        let mut warm = Some(now.solution.clone());
        rig.reach(&mut lengths, i, target, &now.load, &mut warm).ok()?;
        Some(now_m - lengths.target_m)
    }
}

/// The temperature at a time after it was tensioned, K: nights first, each half a day at one temperature.
fn temperature_k(stay: &Stay, after_s: f64) -> f64 {
    let half = ((after_s / HALF_S - 1e-9).max(0.0) as usize).min(2 * stay.days.len() - 1);
    let day = &stay.days[half / 2];
    if half.is_multiple_of(2) { day.low.si() } else { day.high.si() }
}

/// Follows a line that stays up; nothing where the plan does not say that it does. With it the rig at its slackest.
pub(super) fn stays(plan: &Plan, solver: &Solver) -> Option<(Stays, Option<Slackest>)> {
    let stay = plan.stay.as_ref()?;
    let rig = &solver.rig;
    let case = &solver.standing.case;
    let side = match rig.line.target {
        Some((_, Target::Standing(_, side))) => side,
        _ => Side::A,
    };
    let target_n = case.line_tension_n(&solver.standing.solution)[usize::from(side == Side::B)];
    let sustained = {
        let tensions = Track::tensions(rig, case, &solver.standing.solution);
        let of = |((_, e), n): ((Where, &Element), f64)| Some(n / e.item.flow()?.strength_n);
        Track::elements(rig).zip(tensions).filter_map(of).fold(0.0, f64::max)
    };
    let mut out = Stays {
        from: stay.from.to_string(),
        target_n,
        side,
        moments: Vec::new(),
        gusts: Vec::new(),
        flowed: [0.0; 2],
        sustained,
        fault: None,
    };
    if stay.days.is_empty() {
        return Some((out, None));
    }
    let soft = rig.line.elements.iter().enumerate().filter(|(_, e)| e.item.class.is_soft());
    let long = |i: &(usize, &Element)| rig.element_length(&solver.standing.lengths, i.0);
    let longest = soft.max_by(|a, b| long(a).total_cmp(&long(b))).map_or(0, |(i, _)| i);
    let element = rig.line.target.map_or(longest, |(i, _)| i);
    let drawn = (element, Target::Standing(Force::from_si(target_n), side));
    let times = times(stay);
    let mut slackest: Option<(f64, Slackest)> = None;
    // At the least nothing comes of a first loading, at the most all that may.
    let most: Vec<f64> = Track::elements(rig).map(|(_, e)| first_loading(plan, e)).collect();
    let first = [vec![0.0; most.len()], most];
    for creep in [0, 1] {
        for expands in [Expands::Most, Expands::Least] {
            let mut lengths = solver.standing.lengths.clone();
            lengths.target_m = rig.element_length(&lengths, element);
            let mut line_drawn = rig.clone();
            line_drawn.line.target = Some(drawn);
            let mut track = Track {
                rig: line_drawn,
                creep,
                expands,
                drawn,
                side: usize::from(side == Side::B),
                first_m: lengths.target_m,
                soft_m: Track::soft_m(rig, &solver.standing.lengths),
                lengths,
                come: first[creep].clone(),
                warm: Some(solver.standing.solution.clone()),
            };
            let Some(moments) = follow(&mut track, plan, stay, &times, &mut slackest) else {
                out.fault = Some("how it hangs after some hours has no solution".to_owned());
                out.moments.clear();
                return Some((out, None));
            };
            let flowed = track.come.iter().zip(&first[creep]).map(|(now, at_first)| now - at_first);
            out.flowed[creep] = flowed.fold(out.flowed[creep], f64::max);
            widen(&mut out.moments, moments);
        }
    }
    Some((out, slackest.map(|s| s.1)))
}

/// When it is looked at: after each half day, and when it is pulled up.
fn times(stay: &Stay) -> Vec<(f64, bool)> {
    let halves = (1..=2 * stay.days.len()).map(|k| (k as f64 * HALF_S, false));
    let mut out: Vec<(f64, bool)> = halves.collect();
    for up in &stay.pull_up {
        match out.iter_mut().find(|(t, _)| (*t - up.si()).abs() < 1.0) {
            Some(at) => at.1 = true,
            None => out.push((up.si(), true)),
        }
    }
    out.sort_by(|a, b| a.0.total_cmp(&b.0));
    out
}

/// One way through all moments; nothing where one has no solution. Keeps the rig where it was slackest of all.
fn follow(
    track: &mut Track,
    plan: &Plan,
    stay: &Stay,
    times: &[(f64, bool)],
    slackest: &mut Option<(f64, Slackest)>,
) -> Option<Vec<Moment>> {
    let mut out = Vec::new();
    let mut before = 0.0;
    for &(after_s, pulled_up) in times {
        let temperature_k = temperature_k(stay, after_s);
        let warmer_k = temperature_k - plan.site.air.rigged_at.si();
        track.hangs([before, after_s], temperature_k, warmer_k)?;
        before = after_s;
        let come = track.come.clone();
        let now = track.rest(after_s, &come, warmer_k)?;
        let n = now.case.line_tension_n(&now.solution)[track.side];
        let draw_in = track.draw_in_m(&now)?;
        let half = (after_s / HALF_S - 1e-9).max(0.0) as usize;
        let date: Date = stay.days[(half / 2).min(stay.days.len() - 1)].date;
        let when = match (after_s / HALF_S).fract() < 1e-9 {
            true if half.is_multiple_of(2) => When::Morning,
            true => When::Evening,
            false => When::Between,
        };
        out.push(Moment {
            after_s,
            date: date.to_string(),
            when,
            temperature_k,
            tension_n: [n; 2],
            longer_m: [track.longer_m(&now); 2],
            draw_in_m: [draw_in; 2],
            pulled_up,
        });
        if slackest.as_ref().is_none_or(|s| n < s.0) {
            // Without it nobody would look at how low it hangs.
            let solver = Solver::with_lengths(now.rig.clone(), track.lengths.clone())?;
            *slackest = Some((n, Slackest { solver, warmer_k, expands: track.expands }));
        }
        if pulled_up {
            // Of the length that it had at first.
            let legs = track.come.len() - now.rig.line.elements.len();
            track.lengths.target_m -= draw_in / (1.0 + track.come[legs + track.drawn.0]);
        }
    }
    Some(out)
}

/// Takes another way's moments into the bands.
fn widen(all: &mut Vec<Moment>, way: Vec<Moment>) {
    if all.is_empty() {
        *all = way;
        return;
    }
    let wider = |a: &mut [f64; 2], b: [f64; 2]| *a = [a[0].min(b[0]), a[1].max(b[1])];
    for (a, b) in all.iter_mut().zip(way) {
        wider(&mut a.tension_n, b.tension_n);
        wider(&mut a.longer_m, b.longer_m);
        wider(&mut a.draw_in_m, b.draw_in_m);
    }
}

impl Stays {
    /// Tells the gusts from the situations that were solved for them.
    pub(super) fn blown(&mut self, plan: &Plan, cases: &[Solved], strengths: &Strengths) {
        let Some(stay) = &plan.stay else { return };
        let storm = gust_m_s(plan, plan.site.air.storm.si());
        let main = plan.runs.values().position(|r| r.role == Role::Main);
        let least = main.and_then(|m| {
            let held = strengths[m].iter().flatten().filter_map(Strength::counts_n);
            held.reduce(f64::min)
        });
        self.gusts = stay
            .days
            .iter()
            .map(|d| {
                let blows = cases.iter().filter(|c| c.case.gust_of() == Some(d.date));
                let most = blows.map(|c| c.response.line_n[0].max(c.response.line_n[1])).reduce(f64::max);
                Gusty {
                    date: d.date.to_string(),
                    gust_m_per_s: d.gust.si(),
                    storm_m_per_s: storm,
                    most_n: most,
                    factor: most.zip(least).map(|(n, holds)| holds / n),
                    required: required(plan, FactorSet::default(), Kind::Main, Class::Working),
                }
            })
            .collect();
    }

    /// The least tension of all moments, N.
    #[must_use]
    pub fn least_n(&self) -> Option<f64> {
        self.moments.iter().map(|m| m.tension_n[0]).reduce(f64::min)
    }
}
