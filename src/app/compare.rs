//! The plan here and its file on disk, line by line.

use similar::{ChangeTag, TextDiff};

/// One line of the comparison.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Compared {
    /// Where the lines that follow stand, here.
    At(usize),
    /// In both.
    Both(String),
    /// Only here.
    Ours(String),
    /// Only on disk.
    Theirs(String),
}

/// Lines around each difference.
const AROUND: usize = 2;

/// Every difference with the lines around it.
#[must_use]
pub fn compare(ours: &str, theirs: &str) -> Vec<Compared> {
    let diff = TextDiff::from_lines(ours, theirs);
    let mut out = Vec::new();
    for group in diff.grouped_ops(AROUND) {
        out.extend(group.first().map(|op| Compared::At(op.old_range().start + 1)));
        for change in group.iter().flat_map(|op| diff.iter_changes(op)) {
            let line = change.value().trim_end_matches(['\n', '\r']).to_owned();
            out.push(match change.tag() {
                ChangeTag::Equal => Compared::Both(line),
                ChangeTag::Delete => Compared::Ours(line),
                ChangeTag::Insert => Compared::Theirs(line),
            });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_differs_is_shown_with_what_stands_around() {
        let ours = "a\nb\nc\nd\ne\nf\ng\n";
        let lines = compare(ours, "a\nb\nc\nD\ne\nf\ng\n");
        let text = |t: &str| t.to_owned();
        assert_eq!(
            lines,
            [
                Compared::At(2),
                Compared::Both(text("b")),
                Compared::Both(text("c")),
                Compared::Ours(text("d")),
                Compared::Theirs(text("D")),
                Compared::Both(text("e")),
                Compared::Both(text("f")),
            ]
        );
        assert_eq!(compare(ours, ours), []);
    }
}
