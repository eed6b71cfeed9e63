//! Which lines of the load path are on screen: a leg with its anchor and parts is one line until something in it wants to
//! be seen.

use super::outline::{Entry, Selected};
use super::short;
use super::state::{App, Overlay, Prompt, PromptUse};
use crate::plan::Role;
use crate::review::{Gravity, Row, Verdict};

/// A line of the load path as shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PathLine {
    /// A blank before a group.
    Gap,
    /// A line of the outline, by its number; whether it has lines that are folded away, and whether it stands in a run.
    Entry {
        /// Its number.
        at: usize,
        /// What is folded away under it.
        fold: Fold,
        /// Whether it stands under a run.
        inner: bool,
    },
    /// So many pieces of a run that meet and are not shown.
    More(usize),
}

/// What a line has under it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fold {
    /// Nothing.
    None,
    /// Lines that are folded away.
    Closed,
    /// Lines that are shown, all or some.
    Open,
}

impl App {
    /// The run that a line of the outline belongs to: its own part, or the anchor that one leg holds.
    fn owner(&self, e: &Entry) -> Option<String> {
        match e.selected.as_ref()? {
            Selected::Part(run, _) => Some(run.clone()),
            Selected::Point(p) if self.file.plan.points.get(p)?.hold().is_some() => {
                let legs = self.file.plan.runs.iter().filter(|(_, r)| r.role == Role::Leg);
                legs.into_iter().find(|(_, r)| r.path.contains(p)).map(|(n, _)| n.clone())
            }
            _ => None,
        }
    }

    /// What the folded line of a run stands for: everything in it and the anchors it holds, at its worst.
    #[must_use]
    pub fn worst_of_branch(&self, e: &Entry) -> Option<&Row> {
        let Some(Selected::Run(run)) = &e.selected else { return self.worst_of(e) };
        let inner = self.outline.iter().filter(|o| self.owner(o).as_ref() == Some(run));
        inner.filter_map(|o| self.worst_of(o)).chain(self.worst_of(e)).min_by(|a, b| a.worst_first(b))
    }

    /// Whether a line of the outline must be seen: it is chosen, or does not meet.
    fn wanted(&self, e: &Entry) -> bool {
        e.selected.as_ref() == Some(&self.selected) || self.worst_of(e).is_some_and(|r| r.verdict != Verdict::Meets)
    }

    /// The lines of the load path for a pane so many rows high.
    #[must_use]
    pub fn path_lines(&self, height: usize) -> Vec<PathLine> {
        let mut out = Vec::new();
        if let Some(needle) = self.looked_for() {
            // Under their heads: a leg 1 is at either side.
            let mut head = None;
            for (at, e) in self.outline.iter().enumerate() {
                if e.selected.is_none() {
                    head = Some(at);
                } else if self.is_called(e, needle) {
                    let line = |at| PathLine::Entry { at, fold: Fold::None, inner: false };
                    out.extend(head.take().map(line));
                    out.push(line(at));
                }
            }
            return out;
        }
        let owners: Vec<Option<String>> = self.outline.iter().map(|e| self.owner(e)).collect();
        for (at, e) in self.outline.iter().enumerate() {
            if e.selected.is_none() {
                out.push(PathLine::Gap);
            }
            if owners[at].is_some() {
                continue;
            }
            let Some(Selected::Run(run)) = &e.selected else {
                out.push(PathLine::Entry { at, fold: Fold::None, inner: false });
                continue;
            };
            let mut under: Vec<usize> = (0..owners.len()).filter(|k| owners[*k].as_ref() == Some(run)).collect();
            let all = self.unfolded.contains(run);
            let shown: Vec<usize> = under.iter().copied().filter(|k| all || self.wanted(&self.outline[*k])).collect();
            let fold = match (under.is_empty(), shown.is_empty()) {
                (true, _) => Fold::None,
                (false, true) => Fold::Closed,
                (false, false) => Fold::Open,
            };
            out.push(PathLine::Entry { at, fold, inner: false });
            out.extend(shown.iter().map(|&at| PathLine::Entry { at, fold: Fold::None, inner: true }));
            under.retain(|k| !shown.contains(k));
            if !shown.is_empty() && !under.is_empty() {
                out.push(PathLine::More(under.len()));
            }
        }
        // Blanks between groups only where they push nothing off the pane.
        if out.len() > height {
            out.retain(|l| *l != PathLine::Gap);
        }
        out
    }

    /// What is being typed to be found, once there is something of it.
    #[must_use]
    pub fn looked_for(&self) -> Option<&str> {
        match &self.overlay {
            Some(Overlay::Prompt(Prompt { purpose: PromptUse::Find, text, .. })) if !text.trim().is_empty() => {
                Some(text.trim())
            }
            _ => None,
        }
    }

    /// Whether a line of the outline is called so: by its own name, or by what the path calls it.
    fn is_called(&self, e: &Entry, needle: &str) -> bool {
        let needle = needle.to_lowercase();
        let named = |text: &str| text.to_lowercase().contains(&needle);
        e.selected.is_some() && (named(&e.text) || named(&self.line_name(e)))
    }

    /// Everything that is called so, in the path's order.
    pub(super) fn called(&self, needle: &str) -> Vec<Selected> {
        self.outline.iter().filter(|e| self.is_called(e, needle)).filter_map(|e| e.selected.clone()).collect()
    }

    /// Goes to the first line that is called as what is typed, or by so many matches on from where it is.
    pub(super) fn seek(&mut self, by: isize) {
        let Some(needle) = self.looked_for() else { return };
        let found = self.called(needle);
        let here = found.iter().position(|s| *s == self.selected);
        let next = match here {
            Some(at) => at.saturating_add_signed(by).min(found.len().saturating_sub(1)),
            None => 0,
        };
        if let Some(s) = found.get(next).cloned() {
            self.select(s);
        }
    }

    /// Shows everything of the chosen run, or folds it away again.
    pub(super) fn fold(&mut self) {
        let run = self.outline.iter().find(|e| e.selected.as_ref() == Some(&self.selected)).and_then(|e| self.owner(e));
        let Some(run) = run.or_else(|| self.selected.run().map(str::to_owned)) else { return };
        if self.unfolded.remove(&run) {
            self.selected = Selected::Run(run);
            self.reform();
        } else {
            self.unfolded.insert(run);
        }
        self.dirty = true;
    }

    /// What the load path calls a line of the outline.
    #[must_use]
    pub fn line_name(&self, e: &Entry) -> String {
        match &e.selected {
            Some(Selected::Part(run, k)) => {
                self.file.plan.runs.get(run).map_or_else(String::new, |r| short::part(self, r, *k))
            }
            Some(Selected::Point(n) | Selected::Run(n)) => short::without_side(n).to_owned(),
            _ => e.text.clone(),
        }
    }

    /// Whether a caution or a stop of the rules is about this line of the outline.
    #[must_use]
    pub fn cautioned(&self, e: &Entry) -> bool {
        let Some(r) = &self.review else { return false };
        let grave = r.findings.iter().filter(|f| f.gravity != Gravity::Note && f.set_aside.is_none());
        grave.filter_map(|f| self.selected_at(&f.at)).any(|s| Some(&s) == e.selected.as_ref())
    }
}
