//! A plan's text, read and judged.

use std::fs;
use std::io::Read as _;
use std::path::Path as FilePath;

use sha2::{Digest, Sha256};

use super::fields::ROOT;
use super::model::Plan;
use super::{read, validate};
use crate::catalogue::Catalogue;
use crate::document::schema::Target;
use crate::document::{Body, Diagnostic, Node, Path, Reader, Source, plain, scan};

/// The format's number.
pub const FORMAT: f64 = 1.0;
/// Most runs of a plan.
pub const RUNS_LIMIT: usize = 400;
/// Largest text of a plan, bytes.
pub const BYTES_LIMIT: u64 = 1_000_000;

/// A plan's text with what it says.
#[derive(Debug, Clone)]
pub struct PlanFile {
    /// Its name in messages.
    pub name: String,
    /// The text.
    pub text: String,
    /// Its nodes.
    pub root: Node,
    /// What it says; only as good as `faults` is empty.
    pub plan: Plan,
    /// The catalogue with the plan's own items.
    pub catalogue: Catalogue,
    /// Everything that is wrong with it.
    pub faults: Vec<Diagnostic>,
}

/// Why no plan came of a file.
#[derive(Debug, Clone)]
pub enum ReadError {
    /// It could not be read at all.
    File(String),
    /// It is not RON, or of a newer format: one fault, shown at its place.
    Text(String, Box<Diagnostic>),
}

impl ReadError {
    /// In one line; `name` is the file's.
    #[must_use]
    pub fn brief(&self, name: &str) -> String {
        match self {
            Self::File(why) => plain(&format!("{name}: {why}")),
            Self::Text(text, d) => Source { name, text }.brief(d),
        }
    }

    /// For people; `name` is the file's.
    #[must_use]
    pub fn show(&self, name: &str) -> String {
        match self {
            Self::File(why) => format!("error: {}: {why}\n", plain(name)),
            Self::Text(text, d) => Source { name, text }.show(d),
        }
    }
}

impl PlanFile {
    /// Reads the file at `path`.
    ///
    /// # Errors
    /// When it cannot be read, is too large, is not text, not RON, or of a newer format.
    pub fn open(path: &FilePath) -> Result<Self, ReadError> {
        let fail = |why: String| ReadError::File(why);
        let meta = fs::metadata(path).map_err(|e| fail(e.to_string()))?;
        if meta.is_dir() {
            return Err(fail("is a folder, not a plan".to_owned()));
        }
        if !meta.is_file() {
            return Err(fail("is not a file".to_owned()));
        }
        if meta.len() > BYTES_LIMIT {
            return Err(fail(format!(
                "has {:.1} MB; a plan has at most {} MB",
                meta.len() as f64 / 1e6,
                BYTES_LIMIT / 1_000_000
            )));
        }
        let mut bytes = Vec::new();
        let file = fs::File::open(path).map_err(|e| fail(e.to_string()))?;
        // The file may have grown since it was measured.
        file.take(BYTES_LIMIT + 1).read_to_end(&mut bytes).map_err(|e| fail(e.to_string()))?;
        let text = String::from_utf8(bytes)
            .map_err(|e| fail(format!("is not UTF-8 text (byte {})", e.utf8_error().valid_up_to())))?;
        Self::parse(&path.display().to_string(), text)
    }

    /// Reads `text`.
    ///
    /// # Errors
    /// When it is too large, not RON, or of a newer format. All other faults are listed in the result.
    pub fn parse(name: &str, mut text: String) -> Result<Self, ReadError> {
        // Some editors put a byte-order mark in front.
        if text.starts_with('\u{feff}') {
            text.remove(0);
        }
        if text.len() as u64 > BYTES_LIMIT {
            return Err(ReadError::File(format!("has more than {} MB", BYTES_LIMIT / 1_000_000)));
        }
        let root = match scan(&text) {
            Ok(root) => root,
            Err(d) => return Err(ReadError::Text(text, Box::new(d))),
        };
        if let Some(d) = format_fault(&root) {
            return Err(ReadError::Text(text, Box::new(d)));
        }
        let runs = Reader(&root).get("runs");
        if let Some(n) = runs.map(|r| r.entries().len()).filter(|n| *n > RUNS_LIMIT) {
            let span = runs.map_or(0..1, |r| r.0.span.start..r.0.span.start + 1);
            let d =
                Diagnostic::error(Path::root().key("runs"), span, format!("{n} runs; a plan has at most {RUNS_LIMIT}"))
                    .help("split the site into several plans");
            return Err(ReadError::Text(text, Box::new(d)));
        }
        let plan = read::plan(&root);
        let catalogue = Catalogue::builtin().with(&plan.items);
        let faults = validate::validate(&root, &plan, &catalogue);
        Ok(Self { name: name.to_owned(), text, root, plan, catalogue, faults })
    }

    /// Where the plan names a thing of one of these kinds that is called `name`.
    #[must_use]
    pub fn named(&self, kinds: &[Target], name: &str) -> Vec<Path> {
        let all = crate::document::references(&self.root, &ROOT);
        all.into_iter().filter(|(_, to, n)| kinds.contains(to) && *n == name).map(|(path, ..)| path).collect()
    }

    /// Whether the plan can be worked out.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }

    /// All faults, each at its place.
    #[must_use]
    pub fn show_faults(&self) -> String {
        let source = Source { name: &self.name, text: &self.text };
        self.faults.iter().map(|d| source.show(d)).collect::<Vec<_>>().join("\n")
    }

    /// SHA-256 of the text, in hexadecimal.
    #[must_use]
    pub fn digest(&self) -> String {
        Sha256::digest(self.text.as_bytes()).iter().fold(String::new(), |out, b| out + &format!("{b:02x}"))
    }

    /// A fault of the plan at `path`, shown at its place.
    #[must_use]
    pub fn fault(&self, path: &Path, message: impl Into<String>, help: impl Into<String>) -> Diagnostic {
        let span = path.nearest(&self.root).span.clone();
        Diagnostic::error(path.clone(), span, message.into()).help(help)
    }
}

/// The format's number is checked before anything else, so that a newer plan gets one clear sentence.
fn format_fault(root: &Node) -> Option<Diagnostic> {
    let at = Path::root().key("format");
    let format = Reader(root).get("format");
    match format.map(|f| (&f.0.body, f.0.span.clone())) {
        Some((Body::Number(n), _)) if *n == FORMAT => None,
        Some((Body::Number(n), span)) if *n > FORMAT && n.fract() == 0.0 => Some(
            Diagnostic::error(at, span, format!("the plan has format {n}, and this version reads up to {FORMAT}"))
                .help("use a newer version of spanwright"),
        ),
        // Format 1 is the first; an older number can only be a slip, and a later version will migrate from here.
        Some((_, span)) => {
            Some(Diagnostic::error(at, span, "the format is a whole number from 1".to_owned()).help("write format: 1"))
        }
        None if root.name.as_deref().is_some_and(|n| n != "Plan") || !matches!(root.body, Body::Fields(_)) => Some(
            Diagnostic::error(Path::root(), root.span.start..root.span.start + 1, "this is not a plan".to_owned())
                .help("a plan starts with Plan(format: 1, title: …"),
        ),
        None => None,
    }
}
