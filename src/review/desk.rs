//! A review under way: statics at once, then incident after incident, what is known so far at any time.

use std::cmp::Reverse;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use super::as_rigged::day_read;
use super::breaking::Limits;
use super::case::{Class, heaviest_kg};
use super::clearance::{Ground, Heights, catches, no_fall_m, spacings};
use super::crew::crew_day;
use super::edge::edges;
use super::hands;
use super::incident::{Against, Event, Grain, Incident};
use super::neighbours::strengths;
use super::over::over;
use super::player::{self, Player};
use super::rescue::rescued;
use super::reviewing::{Review, in_view, limiting};
use super::rigged::AsHung;
use super::row::{Row, SETTLED};
use super::rules;
use super::scouted::scouted;
use super::situation::{Situation, Unsolved};
use super::solve::Solver;
use super::stay::stays;
use super::verdict::Verdict;
use super::work::Work;
use crate::bench::{Spliced, spliced_of};
use crate::plan::PlanFile;
use crate::rig::{RigFault, Staged};

/// Incidents that are worked out between two looks at what is known.
const BETWEEN: usize = 8;
/// Incidents after which a question may be answered; a number of its own, so that threads decide no answer.
pub(super) const FEW: usize = 4;

/// Rows whose factor is so near to what is required, over it, may be decided by a coarse mesh.
const NEAR: std::ops::Range<f64> = 0.85..1.2;
/// Most incidents of a class that are played again for rows near their limits.
const AGAIN: usize = 2;
/// Most incidents that are played a third time.
const ONCE_MORE: usize = 3;

/// A plan on the desk.
#[derive(Debug)]
pub struct Desk<'a> {
    file: &'a PlanFile,
    work: Work<'a>,
    influence: Vec<(f64, Vec<f64>)>,
    events: Vec<Event>,
    /// How far a master moves when one of its legs goes: leg, point, m.
    moves: Vec<(usize, usize, f64)>,
    player: Arc<Player<'a>>,
    /// What is made at the bench, and what cannot be.
    spliced: Vec<Spliced>,
    threads: usize,
    /// How many incidents are played as one, in whichever order they end.
    at_once: usize,
    /// Whether everything was played.
    finished: bool,
    /// Whether only some incidents are to be played.
    partial: bool,
}

impl<'a> Desk<'a> {
    /// Solves the statics of a plan without faults.
    ///
    /// # Errors
    /// Why the plan is no rig.
    pub fn open(file: &'a PlanFile) -> Result<Self, Vec<RigFault>> {
        let (plan, catalogue) = (&file.plan, &file.catalogue);
        let solver = in_view(file)?;
        let mut set = Solver::new(solver.rig.set_under_load())
            .map_err(|f| vec![RigFault { message: format!("{}, once its gear has set under load", f.message), ..f }])?;
        set.prepare_short();
        let strengths = strengths(plan, catalogue, &solver.rig);
        let mut work = Work {
            plan,
            catalogue,
            solver,
            set,
            stays: None,
            slackest: None,
            body_ground: Ground::of(plan),
            strengths,
            cases: Arc::default(),
            unsolved: Vec::new(),
            pulling: None,
            over: None,
            rescued: None,
            framed: Vec::new(),
            scouted: None,
            edges: None,
            day: None,
            incidents: Vec::new(),
            envelope: Vec::new(),
            catches: Vec::new(),
            spacings: Vec::new(),
        };
        // Getting it over and the last day need nothing of the situations: they are worked out beside them.
        let solver = work.solver.clone();
        let trip = || {
            let day = crate::plan::day::last_day(&plan.days).map(|d| day_read(file, d));
            (over(plan, catalogue, &solver), day, stays(plan, &solver))
        };
        let ((over, day, stays), influence) = hands::beside(trip, || {
            let influence = work.solve_all();
            work.pull();
            influence
        });
        (work.over, work.day) = (over, day);
        work.stay(stays);
        let (found, towing) = rescued(plan, catalogue, &work.solver, &work.cases).unzip();
        work.rescued = found;
        towing.into_iter().flatten().for_each(|case| work.tow(&case));
        work.framed = work.frames_at_rest();
        work.scouted = scouted(plan, catalogue, &work.solver);
        work.edges = edges(plan, catalogue, work.solver.rig.walker_kg);
        let body = work.body();
        let moves = if work.unsolved.is_empty() { work.moves() } else { Vec::new() };
        let events = if work.unsolved.is_empty() { work.events(&influence) } else { Vec::new() };
        let hardware: Vec<_> = work.point_rows(Class::Working).into_iter().chain(work.joint_rows()).collect();
        let limits = Limits::of(plan, catalogue, &work.strengths, &hardware);
        let spliced = spliced_of(plan, catalogue, &work.solver.rig.articles(&work.solver.standing.lengths));
        let player = Player::new([work.solver.clone(), work.set.clone()], body, limits, &plan.items);
        Ok(Self {
            file,
            spliced,
            work,
            influence,
            events,
            moves,
            player: Arc::new(player),
            threads: hands::all(),
            at_once: usize::MAX,
            finished: false,
            partial: false,
        })
    }

    /// Plays afresh on so many threads; their number decides nothing but the time.
    #[must_use]
    pub fn on_threads(mut self, threads: usize) -> Self {
        if let Some(player) = Arc::get_mut(&mut self.player) {
            player.forget();
        }
        self.threads = threads.max(1);
        self
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
        let i = self.player.play_at(event, self.grain(event), Some(&mut pictures));
        (i, pictures)
    }

    /// The rig of gear used and set under load, as tensioned.
    pub(super) fn set(&self) -> &Solver {
        &self.work.set
    }

    /// The rig as tensioned.
    pub(super) fn solver(&self) -> &Solver {
        &self.work.solver
    }

    /// How many threads it works on.
    pub(super) fn threads(&self) -> usize {
        self.threads
    }

    /// Plays one event on another rig, at the review's own grain.
    pub(super) fn play_with(&self, solver: &Solver, event: &Event) -> Incident {
        self.player.play_with(solver, event)
    }

    /// Plays one event at a grain of one's own.
    #[must_use]
    pub fn play_at(&self, event: &Event, grain: Grain) -> Incident {
        self.player.play_at(event, grain, None)
    }

    /// Plays only what is like these events, in their order and once, and the envelope: a review for a question about a
    /// changed plan. It ends with the first few of them after which `enough` says so.
    pub(super) fn part(
        &mut self,
        wanted: &[Event],
        stop: &AtomicBool,
        enough: impl Fn(&Review) -> bool,
    ) -> Option<Review> {
        self.partial = true;
        // With what else may be against it, an event is no other than in the review that it is asked from.
        let rank = |e: &Event| wanted.iter().position(|w| w.like(e));
        let more = wanted.iter().filter(|w| w.against != Against::default()).filter_map(|w| {
            let plain = self.events.iter().find(|e| w.as_planned().like(e))?;
            Some(Event { situation: w.situation.clone(), against: w.against.clone(), ..plain.clone() })
        });
        let more: Vec<Event> = more.collect();
        self.events.retain(|e| rank(e).is_some());
        self.events.extend(more);
        self.events.sort_by_key(rank);
        let mass_kg = heaviest_kg(self.work.plan);
        self.work.envelope = self.work.heights(&self.player.body, mass_kg);
        let events = self.events.clone();
        for few in events.chunks(FEW) {
            self.work.incidents.extend(self.play(few, 1, stop)?);
            let review = self.review();
            if enough(&review) {
                return Some(review);
            }
        }
        self.finished = true;
        Some(self.review())
    }

    /// Tells what is known after the same few incidents whatever the number of threads, for who ends it by what is told.
    #[must_use]
    pub(super) fn few_at_once(self) -> Self {
        Self { at_once: BETWEEN, ..self }
    }

    /// Works everything out, calling `tell` whenever more is known; nothing when stopped.
    pub fn all(&mut self, stop: &AtomicBool, mut tell: impl FnMut(&Self)) -> Option<Review> {
        tell(self);
        let mass_kg = heaviest_kg(self.work.plan);
        self.work.catches = catches(&self.work.solver, &self.player.body, mass_kg);
        self.work.spacings = spacings(&self.work.solver, &self.player.body, mass_kg);
        self.work.envelope = self.work.heights(&self.player.body, mass_kg);
        self.add(&self.events.clone(), stop, &mut tell)?;
        let against = self.work.against();
        self.events.extend(against.iter().cloned());
        self.add(&against, stop, &mut tell)?;
        self.repeat(stop)?;
        if let (Some(day), true) = (
            crate::plan::day::last_day(&self.work.plan.days),
            self.work.day.as_ref().is_some_and(|d| d.fault.is_none()),
        ) {
            let hung = AsHung::of(self.file, day, &self.review());
            self.work.day.iter_mut().for_each(|d| d.hung.clone_from(&hung));
        }
        self.finished = true;
        Some(self.review())
    }

    /// Sets one event up on its rig as it is played at this grain, without playing it: for who wants to follow the same
    /// points and members by other means.
    ///
    /// # Errors
    /// Why it cannot be.
    pub fn stage(&self, event: &Event, grain: Grain) -> Result<Staged, String> {
        self.player.stage(event, grain)
    }

    /// The grain that the whole review plays an event at first.
    #[must_use]
    pub fn grain(&self, event: &Event) -> Grain {
        self.player.grain(event)
    }

    /// Plays events, `finer` times as finely as usual, on as many threads as the machine has; each is independent, so
    /// their number decides nothing.
    fn play(&self, events: &[Event], finer: usize, stop: &AtomicBool) -> Option<Vec<Incident>> {
        hands::each(self.threads, events.len(), stop, |k| self.player.play(&events[k], finer))
    }

    /// Plays events and adds them to what is known in their order, telling now and then.
    fn add(&mut self, events: &[Event], stop: &AtomicBool, tell: &mut impl FnMut(&Self)) -> Option<()> {
        for events in events.chunks(self.at_once) {
            let (player, before) = (Arc::clone(&self.player), self.work.incidents.len());
            let mut order: Vec<usize> = (0..events.len()).collect();
            order.sort_by_key(|k| Reverse(player::length(&events[*k])));
            let mut known: Vec<usize> = Vec::new();
            let play = |k: usize| player.play(&events[k], 1);
            let done = hands::as_done(self.threads, &order, stop, play, |k, incident| {
                let at = known.partition_point(|other| *other < k);
                known.insert(at, k);
                self.work.incidents.insert(before + at, incident);
                // The first results early; the last ones below.
                if self.at_once > BETWEEN && known.len() % BETWEEN == 1 && known.len() < events.len() {
                    tell(self);
                }
            });
            if !done {
                return None;
            }
            tell(self);
        }
        Some(())
    }

    /// Plays again at half the step and mesh what decides a verdict: the incident that governs each class, the hardest on
    /// the body, those that rows near their limits rest on, and falls on a line that is not taut; and once more what has
    /// not settled then.
    fn repeat(&mut self, stop: &AtomicBool) -> Option<()> {
        let review = self.review();
        let incidents = &self.work.incidents;
        let mut again: Vec<usize> = (0..incidents.len())
            .filter(|&i| incidents[i].event.is_fall() && !incidents[i].by_waves && incidents[i].fault.is_none())
            .collect();
        for class in [Class::Fall, Class::Failure] {
            let rows = review.worst_first();
            let cases = rows.iter().filter(|r| r.class == class);
            let of = |r: &Row| {
                let s = r.situation()?;
                incidents.iter().position(|i| i.event.situation == *s && i.fault.is_none())
            };
            again.extend(cases.clone().find_map(|r| of(r)));
            let near = cases.filter(|r| !r.is_height() && NEAR.contains(&r.margin()));
            let mut near: Vec<usize> = near.filter_map(|r| of(r)).collect();
            near.dedup();
            again.extend(near.into_iter().take(AGAIN));
            let hardest = (0..incidents.len())
                .filter(|&i| incidents[i].event.class == class)
                .max_by(|a, b| incidents[*a].peaks.body_n.total_cmp(&incidents[*b].peaks.body_n));
            again.extend(hardest);
        }
        for finer in [2, 4] {
            again.sort_unstable();
            again.dedup();
            let events: Vec<Event> = again.iter().map(|&i| self.work.incidents[i].event.clone()).collect();
            for (&i, fine) in again.iter().zip(self.play(&events, finer, stop)?) {
                self.work.incidents[i].harden(fine);
            }
            // Only what decides something and has not settled is worth sixteen times the work.
            let review = self.review();
            // Between its factor as told, with its spread put on, and without: is there one near the limit?
            let open = |r: &&Row| {
                let without = |s: f64| r.margin() * (1.0 + s);
                r.spread.is_some_and(|s| s > SETTLED && r.margin() < NEAR.end && without(s) > NEAR.start)
            };
            let left: Vec<&Situation> = review.rows.iter().filter(open).filter_map(Row::situation).collect();
            again.retain(|&i| left.contains(&&self.work.incidents[i].event.situation));
            again.truncate(ONCE_MORE);
        }
        Some(())
    }

    /// The review of what is known so far.
    #[must_use]
    pub fn review(&self) -> Review {
        let work = &self.work;
        let mut rows = work.part_rows(Class::Working);
        rows.extend(work.joint_rows());
        rows.extend(work.point_rows(Class::Working));
        rows.extend(work.anchor_rows(Class::Working));
        rows.extend(work.gear_rows());
        rows.extend(work.crossing_rows());
        rows.extend(work.rescue_rows());
        rows.extend(work.edge_rows(&rows));
        let working = rows.clone();
        let ends = work.solver.rig.line.ends.map(|e| work.solver.standing.solution.places[e]);
        let over = work.plan.factors.clearance;
        let no_fall_m = no_fall_m(&work.envelope, over, ends.map(|e| e.x), &self.player.body);
        for class in [Class::Fall, Class::Failure] {
            rows.extend(work.incident_rows(class, &working));
        }
        let frames = work.frames();
        for class in Class::ALL {
            for row in work.frame_rows(&frames, class) {
                // A guy has a row of the motion, whose head is held; under the jerk it sees more.
                let same = |r: &&mut Row| r.place == row.place && r.class == row.class && r.title == row.title;
                match rows.iter_mut().find(same) {
                    Some(old) if row.worst_first(old).is_lt() => *old = row,
                    Some(_) => {}
                    None => rows.push(row),
                }
            }
        }
        let heights = Heights {
            plan: work.plan,
            rig: &work.solver.rig,
            body: &self.player.body,
            cases: &work.cases,
            incidents: &work.incidents,
            envelope: &work.envelope,
            ends,
            sound: Class::ALL.map(|c| work.sound(c)),
        };
        rows.extend(heights.rows());
        let claims = work.claimed(&rows);
        let crew = crew_day(work.plan);
        let findings = rules::findings(&rules::Context {
            plan: work.plan,
            catalogue: work.catalogue,
            rig: &work.solver.rig,
            anchors: work.solver.anchors(),
            cases: &work.cases,
            incidents: &work.incidents,
            no_fall_m,
            body: &self.player.body,
            rows: &rows,
            solved: work.unsolved.is_empty(),
            partial: self.partial,
            pulling: work.pulling.as_ref(),
            over: work.over.as_ref(),
            rescued: work.rescued.as_ref(),
            stays: work.stays.as_ref(),
            crew: crew.as_ref(),
            frames: &frames,
            scouted: work.scouted.as_ref(),
            edges: work.edges.as_ref(),
            claims: &claims,
            day: work.day.as_ref(),
            strengths: &work.strengths,
            spliced: &self.spliced,
            moves: &self.moves,
        });
        let mut unsolved = work.unsolved.clone();
        unsolved.extend(
            work.incidents
                .iter()
                .filter_map(|i| Some(Unsolved { situation: Some(i.event.situation.clone()), why: i.fault.clone()? })),
        );
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
            over: work.over.clone(),
            rescued: work.rescued.clone(),
            stays: work.stays.clone(),
            crew,
            frames: frames.clone(),
            scouted: work.scouted.clone(),
            edges: work.edges.clone(),
            claims,
            day: work.day.clone(),
            incidents: work.incidents.clone(),
            // What governs is played once more; until then nothing is settled.
            to_come: all.saturating_sub(done) + usize::from(all > 0 && !self.finished),
            envelope: work.envelope.clone(),
            catches: work.catches.clone(),
            spacings: work.spacings.clone(),
            no_fall_m,
        };
        review.limiting = limiting(&review, work.catalogue);
        review
    }
}
