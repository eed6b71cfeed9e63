//! A new plan from a few questions, one after the other.

use super::state::{App, Choice, Overlay, Picker, PickerUse, Prompt, PromptUse};
use crate::catalogue::Class;
use crate::plan::templates::{AnchorKind, Answers, plan_text};
use crate::plan::{Change, PlanFile};
use crate::units::{self, Dim};

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
}

const ORDER: [Question; 8] = [
    Question::Title,
    Question::Span,
    Question::Rise,
    Question::AnchorA,
    Question::AnchorB,
    Question::Webbing,
    Question::Tension,
    Question::Walker,
];

impl App {
    /// Asks one question of a new plan.
    pub(super) fn ask(&mut self, question: Question, answers: &Answers) {
        let n = ORDER.iter().position(|q| *q == question).unwrap_or(0) + 1;
        let head = format!("New plan, {n} of {}", ORDER.len());
        let typed = |label: &str, text: String| {
            Overlay::Prompt(Prompt {
                label: format!("{head}: {label}"),
                cursor: text.chars().count(),
                text,
                purpose: PromptUse::New(question, answers.clone()),
                refusal: None,
            })
        };
        let listed = |label: &str, rows: Vec<Choice>, at: usize| {
            Overlay::Picker(Picker::new(
                PickerUse::New(question, answers.clone()),
                format!("{head}: {label}"),
                rows,
                at,
            ))
        };
        let anchors = |side: usize| {
            let rows = AnchorKind::ALL.iter().map(|k| Choice::named(k.name(), k.words())).collect();
            (rows, AnchorKind::ALL.iter().position(|k| *k == answers.anchors[side]).unwrap_or(0))
        };
        self.overlay = Some(match question {
            Question::Title => typed("what to call it", answers.title.clone()),
            Question::Span => typed("span, level from anchor to anchor", format!("{} m", answers.span_m)),
            Question::Rise => typed("B above A (negative: below)", format!("{} m", answers.rise_m)),
            Question::AnchorA => {
                let (rows, at) = anchors(0);
                listed("anchor at A", rows, at)
            }
            Question::AnchorB => {
                let (rows, at) = anchors(1);
                listed("anchor at B", rows, at)
            }
            Question::Webbing => {
                let webbing = |id: &str| self.file.catalogue.get(id).is_some_and(|i| i.class == Class::Webbing);
                let rows: Vec<_> =
                    super::form::item_rows(&self.file.catalogue).into_iter().filter(|r| webbing(&r.name)).collect();
                let at = rows.iter().position(|r| r.name == answers.webbing).unwrap_or(0);
                listed("webbing of main and backup", rows, at)
            }
            Question::Tension => typed("standing tension", format!("{} kN", answers.standing_kn)),
            Question::Walker => typed("heaviest walker, gear included", format!("{} kg", answers.walker_kg)),
        });
        self.dirty = true;
    }

    /// Takes an answer, and asks the next question or makes the plan.
    ///
    /// # Errors
    /// Why the answer cannot be taken.
    pub(super) fn answer(&mut self, question: Question, mut a: Answers, text: &str) -> Result<(), String> {
        let quantity = |dim: Dim| units::parse(text, dim).map_err(|e| format!("{e}; {}", e.help(dim)));
        let positive = |dim: Dim| {
            quantity(dim).and_then(|v| if v > 0.0 { Ok(v) } else { Err("must be more than zero".to_owned()) })
        };
        match question {
            Question::Title if text.is_empty() => return Err("a plan needs a name".to_owned()),
            Question::Title => a.title = text.to_owned(),
            Question::Span => a.span_m = positive(Dim::Length)?,
            Question::Rise => a.rise_m = quantity(Dim::Length)?,
            Question::AnchorA => a.anchors[0] = AnchorKind::from_name(text).unwrap_or(a.anchors[0]),
            Question::AnchorB => a.anchors[1] = AnchorKind::from_name(text).unwrap_or(a.anchors[1]),
            Question::Webbing => a.webbing = text.to_owned(),
            Question::Tension => a.standing_kn = positive(Dim::Force)? / 1e3,
            Question::Walker => a.walker_kg = positive(Dim::Mass)?,
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
