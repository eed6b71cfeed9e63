//! Edits of a document's text that leave all other characters alone. Each is data, and has an inverse.

use std::ops::Range;

use super::path::{Path, Step};
use super::scan::{Body, Entry, Node};

/// Replaces the bytes `at..at + old.len()` by `new`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Splice {
    /// First byte.
    pub at: usize,
    /// What stands there.
    pub old: String,
    /// What shall stand there.
    pub new: String,
}

/// `text` as RON.
#[must_use]
pub fn quote(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n"))
}

impl Splice {
    fn over(text: &str, span: Range<usize>, new: String) -> Self {
        Self { at: span.start, old: text[span].to_owned(), new }
    }

    /// The text after the edit; nothing when the text is not the one it was made for.
    #[must_use]
    pub fn apply(&self, text: &str) -> Option<String> {
        let end = self.at + self.old.len();
        (text.get(self.at..end)? == self.old).then(|| format!("{}{}{}", &text[..self.at], self.new, &text[end..]))
    }

    /// The edit that takes this one back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { at: self.at, old: self.new.clone(), new: self.old.clone() }
    }

    /// Sets the value at `path` to the RON text `value`, adding the last key when it is missing.
    #[must_use]
    pub fn set(text: &str, root: &Node, path: &Path, value: &str) -> Option<Self> {
        if let Some(node) = path.find(root) {
            return Some(Self::over(text, node.span.clone(), value.to_owned()));
        }
        let Some(Step::Key(key)) = path.0.last() else {
            return None;
        };
        let parent = path.parent().find(root)?;
        Self::insert(text, parent, Some(key), None, value)
    }

    /// Inserts `value` into the struct, map or list `parent`, after the entry with index `after` (else at the end).
    #[must_use]
    pub fn insert(text: &str, parent: &Node, key: Option<&str>, after: Option<usize>, value: &str) -> Option<Self> {
        let spans: Vec<Range<usize>> = match &parent.body {
            Body::Fields(e) | Body::Map(e) => e.iter().map(whole).collect(),
            Body::List(v) | Body::Tuple(v) => v.iter().map(|n| n.span.clone()).collect(),
            Body::Alone => Vec::new(),
            _ => return None,
        };
        let entry = match (&parent.body, key) {
            (Body::Map(_), Some(k)) => format!("{}: {value}", quote(k)),
            (Body::Fields(_) | Body::Alone, Some(k)) => format!("{k}: {value}"),
            (Body::List(_) | Body::Tuple(_), None) => value.to_owned(),
            _ => return None,
        };
        let Some(last) = spans.len().checked_sub(1) else {
            if matches!(parent.body, Body::Alone) && !text[parent.span.clone()].ends_with(')') {
                return Some(Self { at: parent.span.end, old: String::new(), new: format!("({entry})") });
            }
            let at = parent.span.end - 1;
            return Some(Self { at, old: String::new(), new: entry });
        };
        let before = &spans[after.unwrap_or(last).min(last)];
        // New entries stand on a line of their own where their neighbours do.
        let line_start = text[..before.start].rfind('\n').map_or(0, |i| i + 1);
        let indent: String = text[line_start..].chars().take_while(|c| *c == ' ' || *c == '\t').collect();
        let own_line = line_start > parent.span.start && line_start + indent.len() == before.start;
        let gap = if own_line { format!("\n{indent}") } else { " ".to_owned() };
        // Behind the comma that follows the entry, if there is one, and behind a remark on the same line.
        let tail = &text[before.end..parent.span.end];
        let comma = tail.trim_start().starts_with(',').then(|| before.end + tail.find(',').unwrap_or(0) + 1);
        let Some(mut at) = comma else {
            return Some(Self { at: before.end, old: String::new(), new: format!(",{gap}{entry}") });
        };
        if own_line {
            let rest = &text[at..parent.span.end];
            let line = &rest[..rest.find('\n').unwrap_or(0)];
            if line.trim_start().starts_with("//") {
                at += line.len();
            }
        }
        Some(Self { at, old: String::new(), new: format!("{gap}{entry},") })
    }

    /// Removes the entry at `path`, with its comma and, if it stands alone on its lines, its lines.
    #[must_use]
    pub fn remove(text: &str, root: &Node, path: &Path) -> Option<Self> {
        let parent = path.parent().find(root)?;
        let span = match (path.0.last()?, &parent.body) {
            (Step::Key(k), Body::Fields(e) | Body::Map(e)) => whole(e.iter().find(|e| e.key == *k)?),
            (Step::At(i), Body::List(v)) => v.get(*i)?.span.clone(),
            _ => return None,
        };
        let (mut from, mut to) = (span.start, span.end);
        let tail = &text[to..parent.span.end];
        if tail.trim_start().starts_with(',') {
            to += tail.find(',').unwrap_or(0) + 1;
        } else {
            // The last entry, without a comma of its own: take the comma in front.
            let head = text[parent.span.start..from].trim_end();
            if head.ends_with(',') {
                from = parent.span.start + head.len() - 1;
            }
        }
        let line_start = text[..from].rfind('\n').map_or(0, |i| i + 1);
        let rest = &text[to..];
        let line_end = rest.find('\n').map_or(text.len(), |i| to + i);
        if line_start > parent.span.start
            && text[line_start..from].trim().is_empty()
            && text[to..line_end].trim().is_empty()
        {
            (from, to) = (line_start, (line_end + 1).min(text.len()));
        } else if text[to..].starts_with(' ') {
            to += 1;
        }
        Some(Self::over(text, from..to, String::new()))
    }

    /// Renames the key at `path`.
    #[must_use]
    pub fn rename(text: &str, root: &Node, path: &Path, name: &str) -> Option<Self> {
        let parent = path.parent().find(root)?;
        let (Step::Key(k), Body::Map(entries)) = (path.0.last()?, &parent.body) else {
            return None;
        };
        let e = entries.iter().find(|e| e.key == *k)?;
        Some(Self::over(text, e.key_span.clone(), quote(name)))
    }
}

fn whole(e: &Entry) -> Range<usize> {
    e.key_span.start..e.value.span.end
}

#[cfg(test)]
mod tests {
    use super::super::scan::scan;
    use super::*;

    const TEXT: &str = "Plan(\n    title: \"a\", // kept\n    runs: {\n        \"x\": (n: 1), // first\n        \"y\": (n: 2),\n    },\n    list: [1, 2, 3],\n)\n";

    fn at(keys: &[&str]) -> Path {
        Path(keys.iter().map(|k| Step::Key((*k).to_owned())).collect())
    }

    #[test]
    fn edits_keep_comments_and_layout() {
        let root = scan(TEXT).expect("ron");
        let set = Splice::set(TEXT, &root, &at(&["runs", "x", "n"]), "7").expect("there");
        assert_eq!(set.apply(TEXT).expect("same text"), TEXT.replace("n: 1", "n: 7"));
        let add = Splice::set(TEXT, &root, &at(&["runs", "x", "m"]), "7").expect("there");
        assert_eq!(add.apply(TEXT).expect("same text"), TEXT.replace("n: 1", "n: 1, m: 7"));
        let runs = at(&["runs"]).find(&root).expect("runs");
        let new = Splice::insert(TEXT, runs, Some("z"), Some(0), "(n: 3)").expect("map");
        assert_eq!(
            new.apply(TEXT).expect("same text"),
            TEXT.replace("// first\n", "// first\n        \"z\": (n: 3),\n")
        );
        let gone = Splice::remove(TEXT, &root, &at(&["runs", "y"])).expect("there");
        assert_eq!(gone.apply(TEXT).expect("same text"), TEXT.replace("        \"y\": (n: 2),\n", ""));
        let item = Splice::remove(TEXT, &root, &at(&["list"]).at(2)).expect("there");
        assert_eq!(item.apply(TEXT).expect("same text"), TEXT.replace("2, 3]", "2]"));
        for s in [set, add, new, gone, item] {
            let after = s.apply(TEXT).expect("same text");
            assert!(scan(&after).is_ok(), "{after}");
            assert_eq!(s.inverse().apply(&after).as_deref(), Some(TEXT));
        }
    }
}
