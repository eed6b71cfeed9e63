//! A new plan from a few questions, one after the other.

use super::dialogue::{Dialogue, positive, quantity};
use super::state::{App, Choice};
use crate::catalogue::Class;
use crate::plan::templates::{AnchorKind, Answers, factors, plan_text};
use crate::plan::{Change, PlanFile};
use crate::units::Dim;

/// The questions, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// What to call it.
    Title,
    /// The span.
    Span,
    /// The rise.
    Rise,
    /// Anchor at A.
    AnchorA,
    /// Anchor at B.
    AnchorB,
    /// The webbing.
    Webbing,
    /// Standing tension.
    Tension,
    /// The walker.
    Walker,
    /// Factors asked for.
    Factors,
    /// What the legs are made of.
    Legs,
}

const ORDER: [Question; 10] = [
    Question::Title,
    Question::Span,
    Question::Rise,
    Question::AnchorA,
    Question::AnchorB,
    Question::Webbing,
    Question::Tension,
    Question::Walker,
    Question::Factors,
    Question::Legs,
];

fn with_unit(text: &str, unit: &str) -> String {
    if text.trim().parse::<f64>().is_ok() { format!("{} {unit}", text.trim()) } else { text.to_owned() }
}

impl App {
    /// Asks one question of a new plan.
    pub(super) fn ask(&mut self, question: Question, answers: &Answers) {
        let n = ORDER.iter().position(|q| *q == question).unwrap_or(0) + 1;
        let head = format!("New plan, {n} of {}", ORDER.len());
        let d = Dialogue::Plan(question, answers.clone());
        let label = |text: &str| format!("{head}: {text}");
        let anchors = || AnchorKind::ALL.iter().map(|k| Choice::named(k.name(), k.words())).collect();
        self.overlay = Some(match question {
            Question::Title => d.typed(label("what to call it"), answers.title.clone()),
            Question::Span => d.typed(label("span, level from anchor to anchor"), format!("{} m", answers.span_m)),
            Question::Rise => d.typed(label("B above A (negative: below)"), format!("{} m", answers.rise_m)),
            Question::AnchorA => d.listed(label("anchor at A"), anchors(), answers.anchors[0].name()),
            Question::AnchorB => d.listed(label("anchor at B"), anchors(), answers.anchors[1].name()),
            Question::Webbing => {
                d.listed(label("webbing of main and backup"), self.items(|c| c == Class::Webbing), &answers.webbing)
            }
            Question::Tension => d.typed(label("standing tension"), format!("{} kN", answers.standing_kn)),
            Question::Walker => d.typed(label("heaviest walker, gear included"), format!("{} kg", answers.walker_kg)),
            Question::Factors => {
                let [working, fall, failure] = answers.factors;
                d.typed(
                    label("factors required while working, in a fall, and when a piece has failed"),
                    format!("{working}, {fall}, {failure}"),
                )
            }
            Question::Legs => d.listed(
                label("what the legs are spliced from"),
                self.items(|c| c == Class::HollowBraid),
                &answers.legs,
            ),
        });
        self.dirty = true;
    }

    /// Takes an answer, and asks the next question or makes the plan. A bare number is in the unit that the question
    /// stands in.
    ///
    /// # Errors
    /// Why the answer cannot be taken.
    pub(super) fn answer(&mut self, question: Question, mut a: Answers, text: &str) -> Result<(), String> {
        match question {
            Question::Title if text.is_empty() => return Err("a plan needs a name".to_owned()),
            Question::Title => a.title = text.to_owned(),
            Question::Span => a.span_m = positive(&with_unit(text, "m"), Dim::Length)?,
            Question::Rise => a.rise_m = quantity(&with_unit(text, "m"), Dim::Length)?,
            Question::AnchorA => a.anchors[0] = AnchorKind::from_name(text).unwrap_or(a.anchors[0]),
            Question::AnchorB => a.anchors[1] = AnchorKind::from_name(text).unwrap_or(a.anchors[1]),
            Question::Webbing => a.webbing = text.to_owned(),
            Question::Tension => a.standing_kn = positive(&with_unit(text, "kN"), Dim::Force)? / 1e3,
            Question::Walker => a.walker_kg = positive(&with_unit(text, "kg"), Dim::Mass)?,
            Question::Factors => a.factors = factors(text)?,
            Question::Legs => text.clone_into(&mut a.legs),
        }
        let next = ORDER.iter().position(|q| *q == question).and_then(|i| ORDER.get(i + 1));
        match next {
            Some(q) => {
                self.ask(*q, &a);
                Ok(())
            }
            None => self.start(&a),
        }
    }

    fn start(&mut self, a: &Answers) -> Result<(), String> {
        let text = plan_text(a);
        let file = PlanFile::parse("new plan", text.clone()).map_err(|e| e.show("new plan"))?;
        if let Some(f) = file.faults.first() {
            return Err(f.message.clone());
        }
        let splice = crate::document::Splice { at: 0, old: self.file.text.clone(), new: text };
        let change =
            Change {
                name: format!("new plan “{}”", a.title), splices: vec![splice], selected: self.selected.words()
            };
        // It has no file yet, so that saving cannot put it over the one that was open.
        let (path, on_disk) = (self.path.take(), self.on_disk.take());
        let done = self.change(change);
        if done.is_err() {
            (self.path, self.on_disk) = (path, on_disk);
        }
        done
    }
}
