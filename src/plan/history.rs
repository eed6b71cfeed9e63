//! Undo and redo without limit: changes are splices of the text, each with a name and what was selected.

use crate::document::Splice;

/// One step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// What it did, for people: “move A bolt 2”.
    pub name: String,
    /// Its splices, in the order they were applied.
    pub splices: Vec<Splice>,
    /// What was selected before it.
    pub selected: String,
}

impl Change {
    fn forth(&self, text: &str) -> Option<String> {
        self.splices.iter().try_fold(text.to_owned(), |t, s| s.apply(&t))
    }

    fn back(&self, text: &str) -> Option<String> {
        self.splices.iter().rev().try_fold(text.to_owned(), |t, s| s.inverse().apply(&t))
    }
}

/// What was done, and what was taken back.
#[derive(Debug, Clone, Default)]
pub struct History {
    done: Vec<Change>,
    undone: Vec<Change>,
}

impl History {
    /// Applies `change` to `text` and remembers it; nothing when it does not fit the text.
    pub fn apply(&mut self, text: &str, change: Change) -> Option<String> {
        let after = change.forth(text)?;
        self.done.push(change);
        self.undone.clear();
        Some(after)
    }

    /// Applies `change` as a part of the last change, so that both are taken back at once. Where the two together leave
    /// the text as it was, nothing is left to take back.
    pub fn extend(&mut self, text: &str, change: Change) -> Option<String> {
        let after = change.forth(text)?;
        let last = self.done.last_mut()?;
        for s in change.splices {
            match last.splices.last_mut() {
                Some(l) if l.at == s.at && l.new == s.old => l.new = s.new,
                _ => last.splices.push(s),
            }
        }
        if last.splices.iter().all(|s| s.old == s.new) {
            self.done.pop();
        }
        self.undone.clear();
        Some(after)
    }

    /// Takes the last change back: the text before it, and the change.
    pub fn undo(&mut self, text: &str) -> Option<(String, Change)> {
        let before = self.done.last()?.back(text)?;
        let change = self.done.pop()?;
        self.undone.push(change.clone());
        Some((before, change))
    }

    /// Does the last change taken back again.
    pub fn redo(&mut self, text: &str) -> Option<(String, Change)> {
        let after = self.undone.last()?.forth(text)?;
        let change = self.undone.pop()?;
        self.done.push(change.clone());
        Some((after, change))
    }

    /// How many changes there are to take back.
    #[must_use]
    pub fn len(&self) -> usize {
        self.done.len()
    }

    /// Whether nothing has been done.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.done.is_empty()
    }

    /// Whether something was taken back and can be done again.
    #[must_use]
    pub fn can_redo(&self) -> bool {
        !self.undone.is_empty()
    }

    /// Name of the change that undo would take back.
    #[must_use]
    pub fn last(&self) -> Option<&str> {
        self.done.last().map(|c| c.name.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn put(at: usize, old: &str, new: &str) -> Change {
        let splice = Splice { at, old: old.to_owned(), new: new.to_owned() };
        Change { name: "put".to_owned(), splices: vec![splice], selected: String::new() }
    }

    #[test]
    fn small_steps_are_taken_back_at_once() {
        let mut h = History::default();
        let mut text = h.apply("a 1 b", put(2, "1", "2")).expect("fits");
        for (old, new) in [("2", "33"), ("33", "4")] {
            text = h.extend(&text, put(2, old, new)).expect("fits");
        }
        text = h.extend(&text, put(0, "a", "c")).expect("fits");
        assert_eq!((text.as_str(), h.len()), ("c 4 b", 1));
        assert_eq!(h.undo(&text).expect("one").0, "a 1 b");
        // There and back is no change at all.
        let text = h.apply("a 1 b", put(2, "1", "2")).expect("fits");
        assert_eq!(h.extend(&text, put(2, "2", "1")).as_deref(), Some("a 1 b"));
        assert!(h.is_empty());
    }
}
