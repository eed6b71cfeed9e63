//! Where in a document: `runs."A leg 1".parts[1].length`.

use std::fmt;

use super::scan::{Body, Node};

/// One step down.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Step {
    /// A field, or a key of a map.
    Key(String),
    /// A place in a list or tuple, from 0.
    At(usize),
}

/// Steps from the root of a document.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Path(pub Vec<Step>);

impl Path {
    /// The root.
    #[must_use]
    pub fn root() -> Self {
        Self::default()
    }

    /// One key further.
    #[must_use]
    pub fn key(&self, key: impl Into<String>) -> Self {
        let mut steps = self.0.clone();
        steps.push(Step::Key(key.into()));
        Self(steps)
    }

    /// One index further.
    #[must_use]
    pub fn at(&self, index: usize) -> Self {
        let mut steps = self.0.clone();
        steps.push(Step::At(index));
        Self(steps)
    }

    /// Without its last step.
    #[must_use]
    pub fn parent(&self) -> Self {
        Self(self.0[..self.0.len().saturating_sub(1)].to_vec())
    }

    /// The node at this path, if the document has one.
    #[must_use]
    pub fn find<'a>(&self, root: &'a Node) -> Option<&'a Node> {
        self.0.iter().try_fold(root, |node, step| match (step, &node.body) {
            (Step::Key(k), Body::Fields(e) | Body::Map(e)) => e.iter().find(|e| e.key == *k).map(|e| &e.value),
            (Step::At(i), Body::List(v) | Body::Tuple(v)) => v.get(*i),
            _ => None,
        })
    }

    /// The node at this path, or at the longest part of it that exists.
    #[must_use]
    pub fn nearest<'a>(&self, root: &'a Node) -> &'a Node {
        (0..=self.0.len()).rev().find_map(|n| Self(self.0[..n].to_vec()).find(root)).unwrap_or(root)
    }
}

impl fmt::Display for Path {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, step) in self.0.iter().enumerate() {
            match step {
                Step::Key(k) => {
                    if i > 0 {
                        write!(f, ".")?;
                    }
                    if k.chars().all(|c| c.is_ascii_alphanumeric() || c == '_') && !k.is_empty() {
                        write!(f, "{k}")?;
                    } else {
                        write!(f, "\"{}\"", k.escape_debug())?;
                    }
                }
                Step::At(i) => write!(f, "[{i}]")?,
            }
        }
        Ok(())
    }
}
