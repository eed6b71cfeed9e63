//! Work behind the screen: the whole review. A newer request makes an older answer worthless, by its number.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use crate::document::Diagnostic;
use crate::plan::PlanFile;
use crate::review::{Review, review};
use crate::rig::RigFault;

/// A review to be done.
#[derive(Debug, Clone)]
pub struct Job {
    /// Its number; larger is newer.
    pub number: u64,
    /// The plan.
    pub file: Arc<PlanFile>,
}

/// A review done.
#[derive(Debug)]
pub struct JobDone {
    /// The job's number.
    pub number: u64,
    /// What came of it.
    pub result: Result<Box<Review>, Vec<Diagnostic>>,
}

impl Job {
    /// Does it.
    #[must_use]
    pub fn run(&self) -> JobDone {
        self.run_by(review)
    }

    /// Does it by another way of reviewing. A panic of the review becomes a fault that the screen can show.
    #[must_use]
    pub fn run_by(&self, review: impl Fn(&PlanFile) -> Result<Review, Vec<RigFault>>) -> JobDone {
        let file = &self.file;
        let result = catch_unwind(AssertUnwindSafe(|| review(file)));
        let result = match result {
            Ok(Ok(r)) => Ok(Box::new(r)),
            Ok(Err(faults)) => Err(faults.iter().map(|f| file.fault(&f.path, &f.message, &f.help)).collect()),
            Err(_) => Err(vec![file.fault(
                &crate::document::Path::root(),
                "the review failed inside the program",
                "please report this plan; no verdict stands",
            )]),
        };
        JobDone { number: self.number, result }
    }
}
