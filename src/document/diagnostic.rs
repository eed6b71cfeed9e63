//! What is wrong with a document, and where.

use std::fmt;
use std::ops::Range;

use unicode_width::UnicodeWidthStr;

use super::path::Path;

/// One fault of a document.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// Which value.
    pub path: Path,
    /// Where in the text, in bytes.
    pub span: Range<usize>,
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: Option<String>,
}

impl Diagnostic {
    /// An error.
    #[must_use]
    pub fn error(path: Path, span: Range<usize>, message: String) -> Self {
        Self { path, span, message, help: None }
    }

    /// With what to write instead.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}

/// A text and its name, for showing diagnostics.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// File name.
    pub name: &'a str,
    /// Its text.
    pub text: &'a str,
}

impl Source<'_> {
    /// Line and column (both from 1, the column in characters) of a byte.
    #[must_use]
    pub fn line_column(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let before = self.text.get(..byte).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        let start = before.rfind('\n').map_or(0, |i| i + 1);
        (line, before[start..].chars().count() + 1)
    }

    /// A diagnostic in one line: file, line, column, what is wrong, what to write.
    #[must_use]
    pub fn brief(&self, d: &Diagnostic) -> String {
        let (line, column) = self.line_column(d.span.start);
        let help = d.help.as_ref().map_or(String::new(), |h| format!("; {h}"));
        plain(&format!("{}:{line}:{column}: {}{help}", self.name, d.message))
    }

    /// A diagnostic with file, line, column, path, the line itself and a caret under the place.
    #[must_use]
    pub fn show(&self, d: &Diagnostic) -> String {
        let (line, column) = self.line_column(d.span.start);
        let text = self.text.lines().nth(line - 1).unwrap_or("");
        let head: String = text.chars().take(column - 1).collect();
        // Long lines are cut to a window around the place.
        let skip = head.chars().count().saturating_sub(60);
        let clean = |s: &str| plain(&s.replace('\t', " "));
        let shown = clean(&text.chars().skip(skip).take(100).collect::<String>());
        let indent = clean(&head.chars().skip(skip).collect::<String>()).width();
        let here = self.text.get(d.span.clone()).unwrap_or("");
        let carets = here.lines().next().unwrap_or("").width().clamp(1, 100_usize.saturating_sub(indent).max(1));
        let gutter = line.to_string().len();
        let mut out = format!("error: {}\n", plain(&d.message));
        out += &format!("{:gutter$}--> {}:{line}:{column}", "", plain(self.name));
        let path = d.path.to_string();
        if !path.is_empty() {
            out += &format!("  {}", plain(&path));
        }
        out +=
            &format!("\n{:gutter$} |\n{line} | {shown}\n{:gutter$} | {:indent$}{}\n", "", "", "", "^".repeat(carets));
        if let Some(help) = &d.help {
            out += &format!("{:gutter$} = {}\n", "", plain(help));
        }
        out
    }
}

/// Characters that could drive a terminal, turn the reading direction, or hide.
#[must_use]
pub(super) fn misleads(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// Text without such characters.
#[must_use]
pub fn plain(text: &str) -> String {
    text.chars().map(|c| if misleads(c) { '·' } else { c }).collect()
}

/// The word of `from` that `word` was probably meant to be.
#[must_use]
pub fn did_you_mean<'a>(word: &str, from: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    from.into_iter()
        .map(|c| (strsim::damerau_levenshtein(&word.to_lowercase(), &c.to_lowercase()), c))
        .filter(|(d, c)| *d <= (c.chars().count().max(word.chars().count()) / 3).max(1))
        .min_by_key(|(d, _)| *d)
        .map(|(_, c)| c)
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.message)
    }
}
