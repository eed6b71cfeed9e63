//! Questions asked one after the other: for a new plan, a new point, a piece of spliced gear, a block of the trip.

use super::benchwork::{BenchAnswers, BenchQuestion};
use super::fresh::Question;
use super::pointing::{PointAnswers, PointQuestion};
use super::starting::StartAnswers;
use super::state::{App, Choice, Overlay, Picker, PickerUse, Prompt, PromptUse};
use crate::plan::templates::{Answers, Visit};
use crate::units::{self, Dim};

/// A question, with the answers so far.
#[derive(Debug, Clone)]
pub enum Dialogue {
    /// Of a new plan.
    Plan(Question, Answers),
    /// Of a new point.
    Point(PointQuestion, PointAnswers),
    /// Of a piece of spliced gear.
    Bench(BenchQuestion, BenchAnswers),
    /// Of a block of the trip.
    Start(StartAnswers),
}

impl Dialogue {
    /// Asks for a typed answer; `text` is offered.
    pub(super) fn typed(self, label: String, text: String) -> Overlay {
        Overlay::Prompt(Prompt {
            cursor: text.chars().count(),
            purpose: PromptUse::Ask(Box::new(self)),
            label,
            text,
            refusal: None,
            suggested: true,
        })
    }

    /// Asks for a line of a list; the one called `offered` is under the cursor.
    pub(super) fn listed(self, label: String, rows: Vec<Choice>, offered: &str) -> Overlay {
        let at = rows.iter().position(|r| r.name == offered).unwrap_or(0);
        Overlay::Picker(Picker::new(PickerUse::Ask(Box::new(self)), label, rows, at))
    }
}

impl Overlay {
    /// The question that it asks, if it is one.
    pub(super) fn dialogue(&self) -> Option<&Dialogue> {
        match self {
            Self::Prompt(Prompt { purpose: PromptUse::Ask(d), .. })
            | Self::Picker(Picker { purpose: PickerUse::Ask(d), .. }) => Some(d),
            _ => None,
        }
    }

    fn dialogue_mut(&mut self) -> Option<&mut Dialogue> {
        match self {
            Self::Prompt(Prompt { purpose: PromptUse::Ask(d), .. })
            | Self::Picker(Picker { purpose: PickerUse::Ask(d), .. }) => Some(d),
            _ => None,
        }
    }
}

/// Questions that were answered, the last one last, and what was left of them.
#[derive(Debug, Default)]
pub(super) struct Asked {
    before: Vec<Overlay>,
    /// A new plan that was begun and left: its last question, and those before it.
    draft: Option<(Overlay, Vec<Overlay>)>,
}

impl App {
    /// A question was answered, and this is what asked it: what is asked next knows the way back.
    pub(super) fn went_on(&mut self, from: Overlay) {
        if self.overlay.as_ref().is_some_and(|o| o.dialogue().is_some()) {
            self.asked.before.push(from);
        } else {
            self.asked.before.clear();
        }
    }

    /// One question back, with what was answered; from the first one out, where a new plan is kept to go on with.
    pub(super) fn step_back(&mut self, from: Overlay) {
        let Some(mut last) = self.asked.before.pop() else {
            if matches!(from.dialogue(), Some(Dialogue::Plan(..))) {
                self.say("the new plan is kept as far as it was: N goes on with it");
                self.asked.draft = Some((from, Vec::new()));
            }
            return;
        };
        // What was answered since stands in the questions that follow.
        if let (Some(Dialogue::Plan(_, now)), Some(Dialogue::Plan(_, then))) = (from.dialogue(), last.dialogue_mut()) {
            now.clone_into(then);
        }
        self.overlay = Some(last);
        self.dirty = true;
    }

    /// Leaves a dialogue from any of its questions; a new plan is kept.
    pub(super) fn leave_dialogue(&mut self, from: Overlay) {
        let before = std::mem::take(&mut self.asked.before);
        if matches!(from.dialogue(), Some(Dialogue::Plan(..))) {
            self.say("the new plan is kept as far as it was: N goes on with it");
            self.asked.draft = Some((from, before));
        }
    }

    /// No question is open: none of those before leads back to.
    pub(super) fn forget_questions(&mut self) {
        self.asked.before.clear();
        self.looked_from = None;
    }

    /// A new plan, asked step by step; one that was begun goes on where it was left.
    pub(super) fn new_plan(&mut self) {
        self.asked.before.clear();
        match self.asked.draft.take() {
            Some((last, before)) => {
                (self.overlay, self.asked.before) = (Some(last), before);
                self.dirty = true;
            }
            None => self.ask(Question::Title, &Answers::default()),
        }
    }

    /// A new plan from a first visit, ground asked first; one that was begun goes on where it was left.
    pub(super) fn scout(&mut self) {
        let scouted = |o: &Overlay| matches!(o.dialogue(), Some(Dialogue::Plan(_, a)) if a.scouted.is_some());
        if self.asked.draft.as_ref().is_some_and(|(last, _)| scouted(last)) {
            return self.new_plan();
        }
        self.asked.before.clear();
        self.ask(Question::Below, &Answers { scouted: Some(Visit::default()), ..Answers::default() });
    }

    /// Takes an answer, and asks the next question or does what was asked about.
    ///
    /// # Errors
    /// Why the answer cannot be taken.
    pub(super) fn answered(&mut self, dialogue: Dialogue, text: &str) -> Result<(), String> {
        match dialogue {
            Dialogue::Plan(q, a) => self.answer(q, a, text),
            Dialogue::Point(q, a) => self.answer_point(q, a, text),
            Dialogue::Bench(q, a) => self.answer_bench(q, a, text),
            Dialogue::Start(a) => self.answer_start(a, text),
        }
    }
}

/// A quantity as typed, in SI.
pub(super) fn quantity(text: &str, dim: Dim) -> Result<f64, String> {
    units::parse(text, dim).map_err(|e| format!("{e}; {}", e.help(dim)))
}

/// The same, and more than zero.
pub(super) fn positive(text: &str, dim: Dim) -> Result<f64, String> {
    quantity(text, dim).and_then(|v| if v > 0.0 { Ok(v) } else { Err("must be more than zero".to_owned()) })
}
