//! What incidents are played with: the two rigs, who falls, what would break, and how finely.

use super::breaking::Limits;
use super::incident::{Body, Event, Frame, Grain, Incident, Who};
use super::kept;
use super::solve::Solver;
use crate::rig::Staged;

/// Plays the incidents of one plan. It changes nothing, so that any number of threads may play with it.
#[derive(Debug)]
pub(super) struct Player<'a> {
    /// The rig of new gear, and that of gear used and set under load.
    rigs: [Solver; 2],
    pub(super) body: Body,
    limits: Limits<'a>,
    /// Grain of what goes, and of leash falls.
    grains: [Grain; 2],
    /// Keys of the two rigs, by which motions are kept; none where each is to be played afresh.
    keys: Option<[kept::Key; 2]>,
}

impl<'a> Player<'a> {
    pub(super) fn new(rigs: [Solver; 2], body: Body, limits: Limits<'a>, of_plan: &dyn std::fmt::Debug) -> Self {
        let line_m = rigs[0].rig.line_length_m(&rigs[0].standing.lengths);
        let grains = [Grain::usual(line_m), Grain::of_falls(line_m)];
        let key = |s: &Solver| kept::key(&[&s.rig, &s.standing.lengths, &body, &limits, of_plan]);
        let keys = Some([key(&rigs[0]), key(&rigs[1])]);
        Self { rigs, body, limits, grains, keys }
    }

    /// Plays afresh from now on.
    pub(super) fn forget(&mut self) {
        self.keys = None;
    }

    /// The rig that an event is played on: of gear used and set under load, or new.
    fn rig_of(&self, event: &Event) -> &Solver {
        &self.rigs[usize::from(!event.against.new_gear)]
    }

    /// The grain that the whole review plays an event at first.
    pub(super) fn grain(&self, event: &Event) -> Grain {
        self.grains[usize::from(event.is_fall())]
    }

    /// Plays one event, `finer` times as finely as usual, unless the same was played before.
    pub(super) fn play(&self, event: &Event, finer: usize) -> Incident {
        let grain = self.grain(event).finer(finer);
        let play = || self.play_at(event, grain, None);
        match self.keys {
            Some(keys) => {
                kept::or_played(kept::key(&[&keys[usize::from(!event.against.new_gear)], event, &grain]), play)
            }
            None => play(),
        }
    }

    /// Plays one event at a grain of one's own.
    pub(super) fn play_at(&self, event: &Event, grain: Grain, pictures: Option<&mut Vec<Frame>>) -> Incident {
        event.play(self.rig_of(event), &self.body, &self.limits, grain, pictures)
    }

    /// Plays one event on another rig.
    pub(super) fn play_with(&self, solver: &Solver, event: &Event) -> Incident {
        event.play(solver, &self.body, &self.limits, self.grain(event), None)
    }

    /// Sets one event up without playing it.
    pub(super) fn stage(&self, event: &Event, grain: Grain) -> Result<Staged, String> {
        event.stage(self.rig_of(event), &self.body, grain)
    }
}

/// How long an event takes beside others, roughly: a walker who goes down with the line is followed the longest.
pub(super) fn length(event: &Event) -> usize {
    match (event.who, event.loss.main.is_empty()) {
        (Who::LettingGo(_), _) => 4,
        (Who::Standing(_), false) => 3,
        (Who::Standing(_), true) => 2,
        (Who::Falling(_), _) => 1,
    }
}
