//! What another choice would make of the plan: each line of a list of values is put into the plan, and the changed
//! plan reviewed behind the screen, the line nearest to the cursor first.
//!
//! One trial is out at a time, so that closing the list leaves at most one to be thrown away. An outcome belongs to one
//! plan and one list; as soon as either is another, nothing of it is shown.

use std::collections::HashMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use super::form::{FormField, Taken};
use super::state::{App, Choice, Effect, Overlay, Picker, PickerUse, judged};
use crate::document::Path;
use crate::plan::PlanFile;
use crate::plan::steps::setting;
use crate::review::{Desk, Gravity, Place, Verdict};

/// What would become of the plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It was reviewed.
    Reviewed {
        /// Worst factor of the selected piece, and what is required there; nothing when no row is about it.
        piece: Option<(f64, f64, Verdict)>,
        /// The plan's verdict.
        plan: Verdict,
        /// How often a rule says stop.
        stops: usize,
    },
    /// The plan could not be worked out with it.
    Refused(String),
}

/// One line to be tried.
#[derive(Debug, Clone)]
pub struct Trial {
    number: u64,
    name: String,
    file: Arc<PlanFile>,
    path: Path,
    /// RON text to write; nothing for the plan as it is.
    value: Option<String>,
    places: Vec<Place>,
}

/// A line tried.
#[derive(Debug)]
pub struct TrialDone {
    number: u64,
    name: String,
    outcome: Outcome,
}

/// The trials of one list over one plan.
#[derive(Debug)]
pub(super) struct Trials {
    number: u64,
    file: Arc<PlanFile>,
    path: Path,
    done: HashMap<String, Outcome>,
    asked: bool,
}

impl Trial {
    /// The line's name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Tries it. A panic of the review is a refusal.
    #[must_use]
    pub fn run(&self) -> TrialDone {
        let outcome = catch_unwind(AssertUnwindSafe(|| self.outcome()))
            .unwrap_or_else(|_| Outcome::Refused("the review failed inside the program".to_owned()));
        TrialDone { number: self.number, name: self.name.clone(), outcome }
    }

    fn outcome(&self) -> Outcome {
        let changed = match &self.value {
            None => Ok((*self.file).clone()),
            Some(ron) => setting(&self.file, &self.path, ron)
                .and_then(|splices| {
                    let text = splices.iter().try_fold(self.file.text.clone(), |t, s| s.apply(&t));
                    text.ok_or_else(|| "there is no place for this in the plan".to_owned())
                })
                .and_then(|text| judged(&self.file, text)),
        };
        let file = match changed {
            Ok(f) => f,
            Err(why) => return Outcome::Refused(why),
        };
        if let Some(f) = file.faults.first() {
            return Outcome::Refused(f.message.clone());
        }
        // At rest: playing falls and failures of every line would take minutes.
        match Desk::open(&file).map(|d| d.review()) {
            Ok(r) => {
                let rows = r.rows.iter().filter(|row| self.places.contains(&row.place));
                let worst = rows.min_by(|a, b| a.worst_first(b));
                Outcome::Reviewed {
                    piece: worst.map(|w| (w.factor, w.required, w.verdict)),
                    plan: r.verdict,
                    stops: r.findings.iter().filter(|f| f.gravity == Gravity::Stop).count(),
                }
            }
            Err(faults) => Outcome::Refused(faults.first().map_or(String::new(), |f| f.message.clone())),
        }
    }
}

/// The field that a list is about.
fn field(p: &Picker) -> Option<&FormField> {
    match &p.purpose {
        PickerUse::Field(f) => Some(f),
        _ => None,
    }
}

impl App {
    /// Whether the lines of this list are tried.
    #[must_use]
    pub fn tries(&self, p: &Picker) -> bool {
        field(p).is_some() && self.solver.is_ok()
    }

    /// What a line of this list would make of the plan, as far as it is known.
    #[must_use]
    pub fn outcome(&self, p: &Picker, row: &Choice) -> Option<&Outcome> {
        let (t, f) = (self.trials.as_ref()?, field(p)?);
        (Arc::ptr_eq(&t.file, &self.file) && t.path == f.path).then(|| t.done.get(&row.name)).flatten()
    }

    /// Asks for the next trial of the list in front, or drops what belongs to no list any more.
    pub(super) fn try_on(&mut self) {
        let Some(Overlay::Picker(p)) = &self.overlay else {
            self.trials = None;
            return;
        };
        let Some(f) = field(p).filter(|_| self.tries(p)) else {
            self.trials = None;
            return;
        };
        let live = |t: &Trials| Arc::ptr_eq(&t.file, &self.file) && t.path == f.path;
        if !self.trials.as_ref().is_some_and(live) {
            self.trial_number += 1;
            self.trials = Some(Trials {
                number: self.trial_number,
                file: self.file.clone(),
                path: f.path.clone(),
                done: HashMap::new(),
                asked: false,
            });
        }
        let Some(t) = self.trials.as_mut().filter(|t| !t.asked) else { return };
        let rows = p.matching();
        let open = rows.iter().enumerate().filter(|(_, r)| !t.done.contains_key(&r.name));
        let next = open
            .filter_map(|(i, r)| match f.taken(r) {
                Taken::Typed(_) => None,
                Taken::Kept => Some((i.abs_diff(p.at), r, None)),
                Taken::Set(ron) => Some((i.abs_diff(p.at), r, Some(ron))),
            })
            .min_by_key(|(far, ..)| *far);
        let Some((_, row, value)) = next else { return };
        t.asked = true;
        let entry = self.outline.iter().find(|e| e.selected.as_ref() == Some(&self.selected));
        self.effects.push(Effect::Try(Trial {
            number: t.number,
            name: row.name.clone(),
            file: self.file.clone(),
            path: f.path.clone(),
            value,
            places: entry.map(|e| e.places.clone()).unwrap_or_default(),
        }));
    }

    /// Takes an outcome, unless it is of another list or another plan.
    pub fn tried(&mut self, done: TrialDone) {
        if let Some(t) = self.trials.as_mut().filter(|t| t.number == done.number) {
            t.asked = false;
            t.done.insert(done.name, done.outcome);
            self.dirty = true;
        }
    }
}
