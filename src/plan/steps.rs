//! Changes of a plan's text that take more than one splice.

use super::file::PlanFile;
use super::history::Change;
use crate::document::{Path, Splice, Step};

/// Why a change cannot be made.
const GONE: &str = "there is no place for this in the plan";

/// Builds a change of several splices, each made for the text the one before leaves.
pub struct Steps {
    /// The plan as the splices so far leave it.
    pub file: PlanFile,
    splices: Vec<Splice>,
}

impl Steps {
    /// Nothing changed yet.
    #[must_use]
    pub fn new(file: &PlanFile) -> Self {
        Self { file: file.clone(), splices: Vec::new() }
    }

    /// One more splice; nothing where it does not apply, or leaves no plan.
    pub fn then(&mut self, splice: Option<Splice>) -> Option<()> {
        let splice = splice?;
        let text = splice.apply(&self.file.text)?;
        self.file = PlanFile::parse(&self.file.name, text).ok()?;
        self.splices.push(splice);
        Some(())
    }

    /// Sets the value at `path` to RON text.
    ///
    /// # Errors
    /// When the plan has no place for it.
    pub fn set(&mut self, path: &Path, ron: &str) -> Result<(), String> {
        for splice in setting(&self.file, path, ron)? {
            self.then(Some(splice)).ok_or_else(|| GONE.to_owned())?;
        }
        Ok(())
    }

    /// All of them as one change.
    #[must_use]
    pub fn change(self, name: String, selected: String) -> Change {
        Change { name, splices: self.splices, selected }
    }
}

/// The splices that set the value at `path` to RON text; none when it stands there already.
///
/// # Errors
/// When the plan has no place for it.
pub fn setting(file: &PlanFile, path: &Path, ron: &str) -> Result<Vec<Splice>, String> {
    let gone = || GONE.to_owned();
    let mut steps = Steps::new(file);
    // A record that is left out must be there before a field of it can be.
    let parent = path.parent();
    if parent.find(&file.root).is_none() && !parent.0.is_empty() {
        // Maps by the plan's own names are written in braces.
        let map = matches!(parent.0.last(), Some(Step::Key(k)) if ["declared", "set_aside", "items", "by_kind"].contains(&k.as_str()));
        let s = Splice::set(&file.text, &file.root, &parent, if map { "{}" } else { "()" });
        steps.then(s).ok_or_else(gone)?;
    }
    let splice = Splice::set(&steps.file.text, &steps.file.root, path, ron).ok_or_else(gone)?;
    if splice.old == splice.new && steps.splices.is_empty() {
        return Ok(Vec::new());
    }
    steps.splices.push(splice);
    Ok(steps.splices)
}
