//! Studies that take their time: limits and doubt of the plan as it is, and the rig as it hung on its last day, worked out
//! behind the screen when they are asked for.
//!
//! A study belongs to one text of the plan, by identity; any edit stops it, and makes its page worthless.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::printing::Leaf;
use super::state::{App, Effect, Overlay};
use crate::plan::PlanFile;
use crate::review::{self, Review, Varied};
use crate::sheets::page::Page;
use crate::sheets::{self, Kind};
use crate::units::System;

/// Which study.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum About {
    /// How far the plan may differ, and what would mend it.
    Limits,
    /// How sure its verdicts are.
    Doubt,
    /// The rig as it hung on the plan's last day.
    Day,
}

/// A study to be made.
#[derive(Debug, Clone)]
pub struct Study {
    about: About,
    file: Arc<PlanFile>,
    review: Box<Review>,
    system: System,
    stop: Arc<AtomicBool>,
}

/// What came of it.
#[derive(Debug)]
pub struct StudyDone {
    about: About,
    file: Arc<PlanFile>,
    page: Result<Box<Page>, String>,
}

/// Studies that are made, and those that are being made.
#[derive(Debug, Default)]
pub(super) struct Studies {
    done: Vec<StudyDone>,
    asked: Vec<(About, Arc<PlanFile>, Arc<AtomicBool>)>,
}

impl Study {
    /// Makes it; nothing when it was stopped. A panic inside is a refusal.
    #[must_use]
    pub fn run(&self) -> Option<StudyDone> {
        let made = catch_unwind(AssertUnwindSafe(|| self.page()));
        let page = made.unwrap_or_else(|_| Err("the study failed inside the program".to_owned()));
        let stopped = self.stop.load(Ordering::Relaxed);
        (!stopped).then(|| StudyDone { about: self.about, file: self.file.clone(), page: page.map(Box::new) })
    }

    fn page(&self) -> Result<Page, String> {
        let (file, review, stop) = (&*self.file, &*self.review, &*self.stop);
        match self.about {
            About::Limits => {
                let bounds: Vec<_> = Varied::ALL.map(|v| review::bound(file, review, v, stop)).to_vec();
                let mends: Vec<_> = sheets::to_mend(review)
                    .into_iter()
                    .map(|row| (row.clone(), review::mended(file, review, row, stop)))
                    .collect();
                Ok(sheets::limits_sheet(file, review, &bounds, &mends, self.system))
            }
            About::Day => {
                let solver = review::in_view(file).map_err(|_| "the rig cannot be tensioned")?;
                sheets::last_day(&sheets::Facts { file, review, solver: &solver, system: self.system, tried: None })
            }
            About::Doubt => match review::doubt(file, review, review::RIGS, review::SEED, stop) {
                Ok(Some(d)) => Ok(sheets::doubt_sheet(file, review, &d)),
                Ok(None) => Err("it was stopped".to_owned()),
                Err(f) => Err(f.first().map_or_else(String::new, |f| f.message.clone())),
            },
        }
    }
}

impl App {
    /// The page of a study of the plan as it is; asks for it when it is not made yet.
    pub(super) fn study(&mut self, about: About, review: &Review) -> Result<Page, String> {
        let mine = |file: &Arc<PlanFile>| Arc::ptr_eq(file, &self.file);
        if let Some(d) = self.studies.done.iter().find(|d| d.about == about && mine(&d.file)) {
            return d.page.clone().map(|p| *p);
        }
        if !self.studies.asked.iter().any(|a| a.0 == about && mine(&a.1)) {
            let stop = Arc::new(AtomicBool::new(false));
            self.studies.asked.push((about, self.file.clone(), stop.clone()));
            self.effects.push(Effect::Study(Study {
                about,
                file: self.file.clone(),
                review: Box::new(review.clone()),
                system: self.settings.system,
                stop,
            }));
        }
        Err("it is being worked out, which may take some seconds; it will stand here when it is done".to_owned())
    }

    /// Stops and forgets studies of plans that are not this one any more.
    pub(super) fn drop_old_studies(&mut self) {
        let now = &self.file;
        self.studies.asked.retain(|(_, file, stop)| {
            let keep = Arc::ptr_eq(file, now);
            stop.store(!keep, Ordering::Relaxed);
            keep
        });
        self.studies.done.retain(|d| Arc::ptr_eq(&d.file, now));
    }

    /// Takes a study that is done.
    pub fn studied(&mut self, done: StudyDone) {
        if !Arc::ptr_eq(&done.file, &self.file) {
            return;
        }
        let leaf = match done.about {
            About::Limits => Leaf::Limits,
            About::Doubt => Leaf::Doubt,
            About::Day => Leaf::Sheet(Kind::Day),
        };
        self.studies.asked.retain(|a| a.0 != done.about);
        self.studies.done.push(done);
        if matches!(&self.overlay, Some(Overlay::Sheet(s)) if Leaf::ALL[s.kind] == leaf) {
            self.leaf_to(leaf);
        } else {
            self.say(format!("{} worked out", leaf.name()));
        }
        self.dirty = true;
    }
}
