//! Work behind the screen: the whole review, told piece by piece. A newer request makes an older answer worthless, by
//! its number, and stops it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

use crate::document::Diagnostic;
use crate::plan::PlanFile;
use crate::review::{Desk, Event, Frame, Incident, Review};
use crate::rig::RigFault;

/// A review to be done.
#[derive(Debug, Clone)]
pub struct Job {
    /// Its number; larger is newer.
    pub number: u64,
    /// The plan.
    pub file: Arc<PlanFile>,
    /// Set when nobody wants it any more.
    pub stop: Arc<AtomicBool>,
}

/// What is known of a review so far; the last one is whole.
#[derive(Debug)]
pub struct JobDone {
    /// The job's number.
    pub number: u64,
    /// What came of it.
    pub result: Result<Box<Review>, Vec<Diagnostic>>,
}

impl Job {
    /// Does it, telling what is known on the way: statics at once, then falls and failures. A panic of the review becomes
    /// a fault that the screen can show. Stopped, it tells nothing more.
    pub fn run(&self, tell: impl FnMut(JobDone)) {
        self.run_after(|| {}, tell);
    }

    /// Does it after something else that may panic as well.
    pub fn run_after(&self, before: impl Fn(), mut tell: impl FnMut(JobDone)) {
        let number = self.number;
        let result = self.guarded(|| {
            before();
            let mut desk = Desk::open(&self.file)?;
            Ok(desk.all(&self.stop, |desk| tell(JobDone { number, result: Ok(Box::new(desk.review())) })))
        });
        match result {
            Ok(Some(whole)) => tell(JobDone { number, result: Ok(Box::new(whole)) }),
            Ok(None) => {}
            Err(faults) => tell(JobDone { number, result: Err(faults) }),
        }
    }

    /// Statics alone: what can be said at once.
    #[must_use]
    pub fn at_rest(&self) -> JobDone {
        let result = self.guarded(|| Ok(Desk::open(&self.file)?.review()));
        JobDone { number: self.number, result: result.map(Box::new) }
    }

    /// Plays one incident again, with pictures.
    ///
    /// # Errors
    /// Why the plan is no rig.
    pub fn watch(&self, event: &Event) -> Result<(Incident, Vec<Frame>), Vec<Diagnostic>> {
        self.guarded(|| Ok(Desk::open(&self.file)?.watch(event)))
    }

    fn guarded<T>(&self, work: impl FnOnce() -> Result<T, Vec<RigFault>>) -> Result<T, Vec<Diagnostic>> {
        let file = &self.file;
        match catch_unwind(AssertUnwindSafe(work)) {
            Ok(Ok(t)) => Ok(t),
            Ok(Err(faults)) => Err(faults.iter().map(|f| file.fault(&f.path, &f.message, &f.help)).collect()),
            Err(_) => Err(vec![file.fault(
                &crate::document::Path::root(),
                "the review failed inside the program",
                "please report this plan; no verdict stands",
            )]),
        }
    }
}
