//! This plan beside another: an earlier state of it, or a friend's.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::Arc;

use super::state::{App, Effect, Overlay};
use crate::plan::PlanFile;
use crate::review::{Review, reviewed};
use crate::sheets::{Beside, beside};

/// Two plans beside each other, looked at.
#[derive(Debug, Clone)]
pub struct BesideView {
    /// Titles and verdicts.
    pub titles: [String; 2],
    /// What stands at each height.
    pub lines: Vec<Beside>,
    /// How far it is scrolled.
    pub at: usize,
}

/// A plan that is to be read and reviewed behind the screen, to be held against.
#[derive(Debug, Clone)]
pub struct Against {
    path: PathBuf,
}

/// It, or why it cannot be.
#[derive(Debug)]
pub struct AgainstDone {
    path: PathBuf,
    read: Result<(Arc<PlanFile>, Box<Review>), String>,
}

impl Against {
    /// Reads and reviews it, falls and failures included. A panic inside is a refusal.
    #[must_use]
    pub fn run(self) -> AgainstDone {
        let name = self.path.display().to_string();
        let read = || -> Result<_, String> {
            let file = PlanFile::open(&self.path).map_err(|e| e.show(&name))?;
            let review = reviewed(&file)?;
            Ok((Arc::new(file), Box::new(review)))
        };
        let read = catch_unwind(AssertUnwindSafe(read));
        let read = read.unwrap_or_else(|_| Err("the review failed inside the program".to_owned()));
        AgainstDone { path: self.path, read }
    }
}

impl App {
    /// Asks for another plan to be read and held against.
    ///
    /// # Errors
    /// When there is no such file.
    pub(super) fn hold_against(&mut self, path: &str) -> Result<(), String> {
        let path = PathBuf::from(path);
        if !path.is_file() {
            return Err(format!("{}: there is no such file", path.display()));
        }
        self.say(format!("reading and reviewing {}; it will stand beside this plan", path.display()));
        self.effects.push(Effect::Against(Against { path }));
        Ok(())
    }

    /// Takes a plan that was asked for: it is the baseline from here.
    pub fn held_against(&mut self, done: AgainstDone) {
        match done.read {
            Ok((file, review)) => {
                self.baseline = Some(review);
                self.baseline_file = Some(file);
                self.say(format!("{} is the baseline now", done.path.display()));
                if self.overlay.is_none() {
                    self.look_beside();
                }
            }
            Err(why) => {
                let first = why.lines().next().unwrap_or("it cannot be read").to_owned();
                self.refuse(format!("{}: {first}", done.path.display()));
            }
        }
        self.dirty = true;
    }

    /// Shows the baseline and the plan as it is beside each other.
    pub(super) fn look_beside(&mut self) {
        let Some((was, file)) = self.baseline.as_ref().zip(self.baseline_file.as_ref()) else {
            return self.refuse("no baseline is set: “baseline” or “against” sets one");
        };
        let Some(is) = self.review.as_ref().filter(|_| self.fresh()) else {
            return self.refuse("the review of this plan is not done yet");
        };
        let title = |word: &str, file: &PlanFile, r: &Review| {
            format!("{word}, {}: {}", r.verdict.word(), crate::document::plain(&file.plan.title))
        };
        let view = BesideView {
            titles: [title("before", file, was), title("now", &self.file, is)],
            lines: beside((file, was), (&self.file, is), self.settings.system),
            at: 0,
        };
        self.overlay = Some(Overlay::Beside(Box::new(view)));
        self.dirty = true;
    }
}
