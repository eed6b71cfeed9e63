//! A review under way: statics at once, then incident after incident, what is known so far at any time.

use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::breaking::Limits;
use super::case::{Class, heaviest_kg};
use super::clearance::{catches, envelope, no_fall_m, spacings};
use super::hands;
use super::incident::{Body, Event, Grain, Incident};
use super::neighbours::strengths;
use super::reviewing::{Review, in_view, limiting};
use super::rules;
use super::verdict::Verdict;
use super::work::Work;
use crate::plan::PlanFile;
use crate::rig::RigFault;

/// Incidents that are worked out between two looks at what is known.
const BATCH: usize = 8;
/// Incidents after which a question may be answered; a number of its own, so that threads decide no answer.
pub(super) const FEW: usize = 4;

/// A plan on the desk.
#[derive(Debug)]
pub struct Desk<'a> {
    work: Work<'a>,
    influence: Vec<(f64, Vec<f64>)>,
    events: Vec<Event>,
    /// How far a master moves when one of its legs goes: leg, point, m.
    moves: Vec<(usize, usize, f64)>,
    body: Body,
    limits: Limits<'a>,
    /// Grain of what goes, and of leash falls.
    grains: [Grain; 2],
    threads: usize,
    /// Whether the governing incidents were played again.
    repeated: bool,
}

impl<'a> Desk<'a> {
    /// Solves the statics of a plan without faults.
    ///
    /// # Errors
    /// Why the plan is no rig.
    pub fn open(file: &'a PlanFile) -> Result<Self, Vec<RigFault>> {
        let (plan, catalogue) = (&file.plan, &file.catalogue);
        let solver = in_view(file)?;
        let strengths = strengths(plan, catalogue, &solver.rig);
        let mut work = Work {
            plan,
            catalogue,
            solver,
            strengths,
            cases: Arc::default(),
            unsolved: Vec::new(),
            pulling: None,
            incidents: Vec::new(),
            envelope: Vec::new(),
            catches: Vec::new(),
            spacings: Vec::new(),
        };
        let influence = work.solve_all();
        work.pull();
        let body = work.body();
        let moves = if work.unsolved.is_empty() { work.moves() } else { Vec::new() };
        let events = if work.unsolved.is_empty() { work.events(&influence) } else { Vec::new() };
        let hardware: Vec<_> = work.point_rows().into_iter().chain(work.joint_rows()).collect();
        let limits = Limits::of(plan, catalogue, &work.strengths, &hardware);
        let line_m = work.solver.rig.line_length_m(&work.solver.standing.lengths);
        let grains = [Grain::usual(line_m), Grain::of_falls(line_m)];
        let threads = hands::all();
        Ok(Self { work, influence, events, moves, body, limits, grains, threads, repeated: false })
    }

    /// Plays on so many threads; their number decides nothing but the time.
    #[must_use]
    pub fn on_threads(self, threads: usize) -> Self {
        Self { threads: threads.max(1), ..self }
    }

    /// What is to be played.
    #[must_use]
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// Plays one event again with pictures of it, at the review's own grain.
    #[must_use]
    pub fn watch(&self, event: &Event) -> (Incident, Vec<super::incident::Frame>) {
        let mut pictures = Vec::new();
        let i = event.play(&self.work.solver, &self.body, &self.limits, self.grain(event), Some(&mut pictures));
        (i, pictures)
    }

    /// The rig as tensioned.
    pub(super) fn solver(&self) -> &super::solve::Solver {
        &self.work.solver
    }

    /// How many threads it works on.
    pub(super) fn threads(&self) -> usize {
        self.threads
    }

    /// Plays one event on another rig, at the review's own grain.
    pub(super) fn play_with(&self, solver: &super::solve::Solver, event: &Event) -> Incident {
        event.play(solver, &self.body, &self.limits, self.grain(event), None)
    }

    /// Plays one event at a grain of one's own.
    #[must_use]
    pub fn play_at(&self, event: &Event, grain: Grain) -> Incident {
        event.play(&self.work.solver, &self.body, &self.limits, grain, None)
    }

    /// Plays only what is like these events, in their order and once, and the envelope: a review for a question about a
    /// changed plan. It ends with the first few of them after which `enough` says so.
    pub(super) fn part(
        &mut self,
        wanted: &[Event],
        stop: &AtomicBool,
        enough: impl Fn(&Review) -> bool,
    ) -> Option<Review> {
        let rank = |e: &Event| wanted.iter().position(|w| w.like(e));
        self.events.retain(|e| rank(e).is_some());
        self.events.sort_by_key(rank);
        let mass_kg = heaviest_kg(self.work.plan);
        self.work.envelope = envelope(&self.work.solver, self.work.plan, &self.body, mass_kg);
        let events = self.events.clone();
        for few in events.chunks(FEW) {
            self.work.incidents.extend(self.play(few, 1, stop)?);
            let review = self.review();
            if enough(&review) {
                return Some(review);
            }
        }
        self.repeated = true;
        Some(self.review())
    }

    /// Works everything out, telling what is known on the way; nothing when stopped.
    pub fn all(&mut self, stop: &AtomicBool, mut tell: impl FnMut(Review)) -> Option<Review> {
        tell(self.review());
        let mass_kg = heaviest_kg(self.work.plan);
        self.work.catches = catches(&self.work.solver, &self.body, mass_kg);
        self.work.spacings = spacings(&self.work.solver, &self.body, mass_kg);
        self.work.envelope = envelope(&self.work.solver, self.work.plan, &self.body, mass_kg);
        // The first results early: falls come first, and take the longest.
        let events = self.events.clone();
        let (first, rest) = events.split_at(events.len().min(2 * self.threads));
        for batch in std::iter::once(first).chain(rest.chunks(BATCH)).filter(|b| !b.is_empty()) {
            let played = self.play(batch, 1, stop)?;
            self.work.incidents.extend(played);
            tell(self.review());
        }
        self.repeat(stop)?;
        self.repeated = true;
        Some(self.review())
    }

    fn grain(&self, event: &Event) -> Grain {
        self.grains[usize::from(event.is_fall())]
    }

    /// Plays events, `finer` times as finely as usual, on as many threads as the machine has; each is independent, so their number decides nothing.
    fn play(&self, events: &[Event], finer: usize, stop: &AtomicBool) -> Option<Vec<Incident>> {
        hands::each(self.threads, events.len(), stop, |k| {
            let grain = self.grain(&events[k]).finer(finer);
            events[k].play(&self.work.solver, &self.body, &self.limits, grain, None)
        })
    }

    /// Plays the incident that governs each class, the hardest on the body, and falls on a line that is not taut, again
    /// at half the step and mesh, and takes the harder of the two.
    fn repeat(&mut self, stop: &AtomicBool) -> Option<()> {
        let review = self.review();
        let incidents = &self.work.incidents;
        let mut again: Vec<usize> = (0..incidents.len())
            .filter(|&i| incidents[i].event.is_fall() && !incidents[i].by_waves && incidents[i].fault.is_none())
            .collect();
        for class in [Class::Fall, Class::Failure] {
            let rows = review.worst_first();
            let mut cases = rows.iter().filter(|r| r.class == class).map(|r| r.case.as_str());
            let governing = cases.find_map(|c| incidents.iter().position(|i| i.event.id == c));
            let hardest = (0..incidents.len())
                .filter(|&i| incidents[i].event.class == class)
                .max_by(|a, b| incidents[*a].peaks.body_n.total_cmp(&incidents[*b].peaks.body_n));
            again.extend(governing.into_iter().chain(hardest));
        }
        again.sort_unstable();
        again.dedup();
        let events: Vec<Event> = again.iter().map(|&i| incidents[i].event.clone()).collect();
        for (i, fine) in again.into_iter().zip(self.play(&events, 2, stop)?) {
            self.work.incidents[i].harden(fine);
        }
        Some(())
    }

    /// The review of what is known so far.
    #[must_use]
    pub fn review(&self) -> Review {
        let work = &self.work;
        let mut rows = work.part_rows();
        rows.extend(work.joint_rows());
        rows.extend(work.point_rows());
        rows.extend(work.anchor_rows());
        rows.extend(work.gear_rows());
        let working = rows.clone();
        let no_fall_m = no_fall_m(&work.envelope, &self.body);
        for class in [Class::Fall, Class::Failure] {
            rows.extend(work.incident_rows(class, &working));
        }
        let findings = rules::findings(&rules::Context {
            plan: work.plan,
            catalogue: work.catalogue,
            rig: &work.solver.rig,
            anchors: work.solver.anchors(),
            cases: &work.cases,
            incidents: &work.incidents,
            envelope: &work.envelope,
            no_fall_m,
            body: &self.body,
            rows: &rows,
            pulling: work.pulling.as_ref(),
            strengths: &work.strengths,
            moves: &self.moves,
        });
        let mut unsolved = work.unsolved.clone();
        unsolved.extend(work.incidents.iter().filter_map(|i| Some((i.event.id.clone(), i.fault.clone()?))));
        let verdict = rows.iter().map(|r| r.verdict).max().unwrap_or(Verdict::Unsolved);
        let (done, all) = (work.incidents.len(), self.events.len());
        let mut review = Review {
            verdict: if unsolved.is_empty() { verdict } else { Verdict::Unsolved },
            limiting: None,
            line: work.line(),
            run_names: work.solver.rig.run_names.clone(),
            point_names: work.solver.rig.spots.iter().map(|s| s.name.clone()).collect(),
            cases: work.cases.clone(),
            unsolved,
            rows,
            findings,
            influence: self.influence.clone(),
            pulling: work.pulling.clone(),
            incidents: work.incidents.clone(),
            // What governs is played once more; until then nothing is settled.
            to_come: all.saturating_sub(done) + usize::from(all > 0 && !self.repeated),
            envelope: work.envelope.clone(),
            catches: work.catches.clone(),
            spacings: work.spacings.clone(),
            no_fall_m,
        };
        review.limiting = limiting(&review, work.catalogue);
        review
    }
}
