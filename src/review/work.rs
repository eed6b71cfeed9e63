//! Every situation of a plan, solved: the sweep, then one modifier at a time where it governs.

use std::sync::Arc;

use super::as_rigged::DayRead;
use super::case::{Case, Class, Variant};
use super::clearance::{Catch, Ground, Low, envelope};
use super::edge::Edges;
use super::frames::Framed;
use super::incident::{Body, Incident};
use super::neighbours::Strengths;
use super::over::Over;
use super::pulling::{Pulling, comes_through, pulling, tensioned};
use super::rescue::Rescued;
use super::reviewing::LineSummary;
use super::scouted::Scouted;
use super::situation::{Situation, Unsolved, With};
use super::solve::{Solved, Solver};
use super::stay::{Slackest, Stays};
use super::strength::Strength;
use super::wind::gust_m_s;
use crate::catalogue::Catalogue;
use crate::mechanics::equilibrium::{self, Status};
use crate::plan::{Plan, Side};
use crate::rig::{Expands, Load, Loss};
use crate::units::Quantity;

/// So many situations without a solution end the search.
const UNSOLVED_ENOUGH: usize = 4;

/// Values closer than this share of each other are the same.
const NOISE: f64 = 1e-6;

/// A review under way.
#[derive(Debug)]
pub(super) struct Work<'a> {
    pub(super) plan: &'a Plan,
    pub(super) catalogue: &'a Catalogue,
    /// The rig of new gear, at the soft end of what is usual.
    pub(super) solver: Solver,
    /// The same rig of gear used and set under load, at the stiff end.
    pub(super) set: Solver,
    /// The line that stays up.
    pub(super) stays: Option<Stays>,
    /// The rig as slack as it becomes then.
    pub(super) slackest: Option<Slackest>,
    pub(super) strengths: Strengths,
    /// What lies under the line.
    pub(super) body_ground: Ground,
    /// Shared with every review told on the way.
    pub(super) cases: Arc<Vec<Solved>>,
    pub(super) unsolved: Vec<Unsolved>,
    /// The pulley system at work.
    pub(super) pulling: Option<Pulling>,
    /// Getting the line over.
    pub(super) over: Option<Over>,
    /// The last day at the line.
    pub(super) day: Option<DayRead>,
    /// Frames, in every situation that needs no motion.
    pub(super) framed: Vec<Framed>,
    /// What nobody could tape.
    pub(super) scouted: Option<Scouted>,
    /// Work at the edges.
    pub(super) edges: Option<Edges>,
    /// Getting somebody off it.
    pub(super) rescued: Option<Rescued>,
    pub(super) incidents: Vec<Incident>,
    pub(super) envelope: Vec<Low>,
    pub(super) catches: Vec<Catch>,
    pub(super) spacings: Vec<Catch>,
}

impl Work<'_> {
    pub(super) fn run(&mut self, case: &Case) -> Option<usize> {
        // One situation without a solution withholds every verdict; a rig that fails again and again is not tried on.
        if self.unsolved.len() == UNSOLVED_ENOUGH {
            self.unsolved.push(Unsolved { situation: None, why: "not tried after these".to_owned() });
        }
        if self.unsolved.len() > UNSOLVED_ENOUGH {
            return None;
        }
        let solver = match &mut self.slackest {
            Some(s) if case.crept => &mut s.solver,
            _ if case.set => &mut self.set,
            _ => &mut self.solver,
        };
        match solver.solve(case) {
            Ok(Some(s)) => {
                if !s.certified() {
                    self.fails(&case.situation, s.certificate.faults.join("; "));
                }
                Arc::make_mut(&mut self.cases).push(s);
                Some(self.cases.len() - 1)
            }
            Ok(None) => None,
            Err(why) => {
                self.fails(&case.situation, why);
                None
            }
        }
    }

    /// Every situation: first the sweep; bouncing, several together and side wind all along it; then what else may be
    /// against the rig, alone and with each of these where it governs.
    pub(super) fn solve_all(&mut self) -> Vec<(f64, Vec<f64>)> {
        let plan = self.plan;
        self.run(&Case::standing());
        let mut sweep: Vec<(f64, Vec<f64>)> = Vec::new();
        for at in Case::sweep() {
            if let Some(i) = self.run(&Case::walker(plan, at)) {
                sweep.push((at, self.cases[i].response.run_n.clone()));
            }
        }
        for at in self.refined(&sweep) {
            if let Some(i) = self.run(&Case::walker(plan, at)) {
                sweep.push((at, self.cases[i].response.run_n.clone()));
            }
        }
        sweep.sort_by(|a, b| a.0.total_cmp(&b.0));
        let places = self.governing(&sweep);
        let all: Vec<f64> = sweep.iter().map(|s| s.0).collect();
        let air = plan.site.air;
        let [wind, storm] = [air.wind, air.storm].map(|v| gust_m_s(plan, v.si()));
        // What somebody on the line may do to it at a place.
        let loads = |at: f64| {
            let walker = Case::walker(plan, at);
            let winds = [1.0, -1.0].map(|way| walker.clone().in_wind(way * wind, With::Wind));
            [Case::together(plan, at), Case::bounce(plan, at)].into_iter().chain(winds)
        };
        let mut cases: Vec<Case> = all.iter().flat_map(|at| loads(*at)).collect();
        let bases: Vec<Case> =
            std::iter::once(Case::standing()).chain(places.iter().map(|&at| Case::walker(plan, at))).collect();
        for way in [1.0, -1.0] {
            cases.push(Case::standing().in_wind(way * wind, With::Wind));
            cases.push(Case::standing().in_wind(way * storm, With::Storm));
        }
        for t in [air.coldest, air.warmest] {
            let warmer = t.si() - air.rigged_at.si();
            if warmer != 0.0 {
                for expands in [Expands::Most, Expands::Least] {
                    cases.extend(bases.iter().map(|b| b.clone().at_temperature(warmer, expands)));
                }
            }
        }
        for own in Case::own(plan) {
            if own.load.warmer_k != 0.0 {
                let load = Load { expands: Expands::Least, ..own.load.clone() };
                cases.push(Case { situation: own.situation.with(With::ExpandingLeast), load, ..own.clone() });
            }
            cases.push(own);
        }
        let storms = [1.0, -1.0].map(|way| Case::standing().in_wind(way * storm, With::Storm));
        let hard: Vec<Case> =
            bases.iter().cloned().chain(places.iter().flat_map(|at| loads(*at))).chain(storms).collect();
        for (leg, strand) in self.solver.patterns() {
            let with = || With::Held { run: self.run_name(leg), strand: strand + 1 };
            cases.extend(hard.iter().map(|b| b.varied(Variant::Held { leg, strand }, with())));
        }
        // Gear that was used and set under load shares otherwise than new gear.
        cases.push(Case::standing().set_gear());
        for &at in &all {
            cases.extend(
                [Case::walker(plan, at), Case::bounce(plan, at), Case::together(plan, at)].map(|c| c.set_gear()),
            );
        }
        for leg in self.solver.anchors().into_iter().flat_map(|(_, legs)| legs) {
            let run = self.solver.rig.legs[leg].run;
            let tolerance = self.solver.rig.legs[leg].tolerance_m;
            if tolerance <= 0.0 {
                continue;
            }
            let with = || With::Short { run: self.run_name(leg), mm: (tolerance * 1e3).round() as u32 };
            let mut at = places.clone();
            at.extend(peak_place(&sweep, run).filter(|p| !places.iter().any(|q| (p - q).abs() < 0.02)));
            let short = |c: Case| {
                let c = c.varied(Variant::Short(leg), with());
                [c.set_gear(), c]
            };
            cases.extend(short(Case::standing()));
            for at in at {
                let loads = [Case::walker(plan, at), Case::bounce(plan, at), Case::together(plan, at)];
                cases.extend(loads.into_iter().flat_map(short));
            }
        }
        cases.dedup_by(|a, b| a.situation == b.situation);
        for case in &cases {
            self.run(case);
        }
        sweep
    }

    /// The rig while it stays up: in its gusts as it was tensioned, and with a walker as slack as it becomes.
    pub(super) fn stay(&mut self, found: Option<(Stays, Option<Slackest>)>) {
        let Some((stays, slackest)) = found else { return };
        if let Some(why) = &stays.fault {
            self.fails(&Situation::STANDING.with(With::Crept), why.clone());
        }
        let crept = slackest.as_ref().map(|s| (s.warmer_k, s.expands));
        (self.stays, self.slackest) = (Some(stays), slackest);
        let mut cases = Case::gusts(self.plan);
        if let Some((warmer_k, expands)) = crept {
            let walked = Case::sweep().into_iter().map(|at| Case::walker(self.plan, at));
            cases.extend(std::iter::once(Case::standing()).chain(walked).map(|c| c.crept(warmer_k, expands)));
        }
        for case in &cases {
            self.run(case);
        }
        if let Some(stays) = &mut self.stays {
            stays.blown(self.plan, &self.cases, &self.strengths);
        }
    }

    /// The rig while it is tensioned, and the system that pulls it.
    pub(super) fn pull(&mut self) {
        // What does not stand is said already.
        let Some(standing) = self.cases.iter().find(|c| c.case.situation == Situation::STANDING) else { return };
        match tensioned(self.plan, self.catalogue, standing) {
            Ok(None) => {}
            Ok(Some((s, more))) => {
                if !s.certified() {
                    self.fails(&Situation::TENSIONING, s.certificate.faults.join("; "));
                }
                let side = self.plan.tensioning.as_ref().map_or(0, |t| usize::from(t.side == Side::B));
                let load_n = s.response.line_n[side] / more;
                let (through_m, _) = comes_through(&self.solver.rig, &self.solver.standing, load_n);
                self.pulling = pulling(self.plan, self.catalogue, through_m, load_n);
                Arc::make_mut(&mut self.cases).push(s);
            }
            Err(why) => self.fails(&Situation::TENSIONING, why),
        }
    }

    /// The rig while somebody is towed in: whole, or held by its backup alone.
    pub(super) fn tow(&mut self, case: &Case) {
        if case.class == Class::Working {
            self.run(case);
            return;
        }
        match self.solver.on_backup(case) {
            Some(s) if s.certified() => Arc::make_mut(&mut self.cases).push(s),
            Some(s) => self.fails(&case.situation, s.certificate.faults.join("; ")),
            None => self.fails(&case.situation, "the plan has no backup".to_owned()),
        }
    }

    /// How low feet come along the line, for a walker of `mass_kg`.
    pub(super) fn heights(&self, body: &Body, mass_kg: f64) -> Vec<Low> {
        envelope(&self.solver, self.slackest.as_ref(), self.plan, body, mass_kg)
    }

    /// How far each master moves when one of its legs goes, with one walker in the middle: leg, point, m.
    pub(super) fn moves(&self) -> Vec<(usize, usize, f64)> {
        let rig = &self.solver.rig;
        let lengths = &self.solver.standing.lengths;
        let (case, whole) = rig.solve(lengths, &Case::walker(self.plan, 0.5).load, None);
        let mut out = Vec::new();
        for (point, legs) in self.solver.anchors() {
            for leg in legs {
                let mut without = case.clone();
                rig.without(&mut without, &Loss { legs: vec![leg], ..Loss::default() });
                let rest = equilibrium::solve(&without.net, Some(&whole));
                let held = (0..rig.legs.len()).any(|l| l != leg && rig.legs[l].path.contains(&point));
                if rest.status == Status::Converged && held {
                    out.push((leg, point, rest.places[point].distance(whole.places[point])));
                }
            }
        }
        out
    }

    fn run_name(&self, leg: usize) -> String {
        self.solver.rig.run_names[self.solver.rig.legs[leg].run].clone()
    }

    fn fails(&mut self, situation: &Situation, why: String) {
        self.unsolved.push(Unsolved { situation: Some(situation.clone()), why });
    }

    /// Places between those of the sweep where some run's tension peaks, by a parabola through the three highest.
    fn refined(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<f64> {
        let mut out: Vec<f64> = Vec::new();
        // Those nearest to their limits first, so that the order of the file decides nothing.
        for (_, _, run) in self.by_margin(sweep) {
            let Some(i) = peak_index(sweep, run) else { continue };
            if i == 0 || i + 1 == sweep.len() || sweep[i].1[run] <= 0.0 {
                continue;
            }
            let [(x0, y0), (x1, y1), (x2, y2)] = [i - 1, i, i + 1].map(|k| (sweep[k].0, sweep[k].1[run]));
            let (d0, d2) = ((x1 - x0) * (y1 - y2), (x1 - x2) * (y1 - y0));
            let bend = d0 - d2;
            if bend.abs() < 1e-12 {
                continue;
            }
            let x = x1 - 0.5 * ((x1 - x0) * d0 - (x1 - x2) * d2) / bend;
            // A hair off the tie, so that noise does not decide between two neighbours.
            let x = (x * 100.0 + 1e-6).round() / 100.0;
            let near = |v: &f64| (v - x).abs() < 0.004;
            if x > x0 && x < x2 && !out.iter().any(near) && !sweep.iter().any(|s| near(&s.0)) && out.len() < 6 {
                out.push(x);
            }
        }
        out
    }

    /// Runs that carry, the nearest to its limit first: strength over peak, where it peaks, which.
    fn by_margin(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<(f64, f64, usize)> {
        let mut out: Vec<(f64, f64, usize)> = (0..self.plan.runs.len())
            .filter_map(|run| {
                let at = peak_place(sweep, run)?;
                let peak = sweep.iter().map(|s| s.1[run]).fold(0.0, f64::max);
                let least =
                    self.strengths[run].iter().flatten().filter_map(Strength::counts_n).fold(f64::INFINITY, f64::min);
                (peak > 0.0).then_some((least / peak, at, run))
            })
            .collect();
        let name = |run: usize| self.plan.runs.get_index(run).map(|r| r.0);
        // What is the same but for noise is told apart by its name.
        let rounded = |margin: f64| (margin.ln() / NOISE).round();
        out.sort_by(|a, b| rounded(a.0).total_cmp(&rounded(b.0)).then_with(|| name(a.2).cmp(&name(b.2))));
        out
    }

    /// Mid-span, and where the runs nearest to their limits peak.
    pub(super) fn governing(&self, sweep: &[(f64, Vec<f64>)]) -> Vec<f64> {
        let mut out = vec![0.5];
        for (_, at, _) in self.by_margin(sweep).into_iter().take(4) {
            if !out.iter().any(|p| (p - at).abs() < 0.03) && out.len() < 3 {
                out.push(at);
            }
        }
        out
    }

    pub(super) fn line(&self) -> LineSummary {
        let find = |s: &Situation| self.cases.iter().find(|c| c.case.situation == *s);
        let standing = find(&Situation::STANDING);
        LineSummary {
            unstretched_m: standing.map_or(f64::NAN, |s| s.line_m),
            target_m: self.solver.standing.lengths.target_m,
            standing_n: standing.map_or([f64::NAN; 2], |s| s.response.line_n),
            sag_standing_m: standing.map_or(f64::NAN, |s| s.response.sag_m),
            sag_walker_m: find(&Situation::walker(0.5)).map_or(f64::NAN, |s| s.response.sag_m),
        }
    }

    /// Whether every situation of the class, and the statics that all stand on, has a certificate.
    pub(super) fn sound(&self, class: Class) -> bool {
        self.unsolved.is_empty() && !self.incidents.iter().any(|i| i.event.class == class && i.fault.is_some())
    }

    pub(super) fn working(&self) -> impl Iterator<Item = &Solved> {
        self.still(Class::Working)
    }

    /// Situations of a class that need no motion.
    pub(super) fn still(&self, class: Class) -> impl Iterator<Item = &Solved> {
        self.cases.iter().filter(move |c| c.case.class == class)
    }
}

/// Where a run peaks, by its index in the sweep. Of peaks that are the same but for noise the one nearest to the middle.
fn peak_index(sweep: &[(f64, Vec<f64>)], run: usize) -> Option<usize> {
    let most = sweep.iter().map(|s| s.1[run]).fold(0.0, f64::max);
    let same = (0..sweep.len()).filter(|i| sweep[*i].1[run] >= (1.0 - NOISE) * most && most > 0.0);
    same.min_by(|a, b| (sweep[*a].0 - 0.5).abs().total_cmp(&(sweep[*b].0 - 0.5).abs()))
}

pub(super) fn peak_place(sweep: &[(f64, Vec<f64>)], run: usize) -> Option<f64> {
    peak_index(sweep, run).map(|i| sweep[i].0)
}
