//! Questions asked one after the other: for a new plan, a new point, a piece of spliced gear, a block of the trip.

use super::benchwork::{BenchAnswers, BenchQuestion};
use super::fresh::Question;
use super::pointing::{PointAnswers, PointQuestion};
use super::starting::StartAnswers;
use super::state::{App, Choice, Overlay, Picker, PickerUse, Prompt, PromptUse};
use crate::plan::templates::Answers;
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

impl App {
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
