//! One printed document, whatever it is printed as: text of 80 columns, Markdown, HTML, PDF. Every format tells the same
//! blocks, so the same numbers.

mod braille;
mod drawing;
mod faces;
mod html;
mod letters;
mod markdown;
mod pdf;
mod picture;
mod setting;
mod text;

pub use braille::of_dots;
pub use drawing::{Drawing, Stroke};
pub use pdf::PdfError;

use super::{CAUTION, VERSION, WIDTH};

/// A document.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// Kind of sheet, and what it is of.
    pub title: String,
    /// What follows the title, one line each.
    pub subtitle: Vec<String>,
    /// What it says.
    pub blocks: Vec<Block>,
    /// Where its figures come from: versions, digest of the plan.
    pub origin: String,
    /// How large it is set on paper.
    pub setting: Setting,
}

/// How large a document is set on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Setting {
    /// As many pages as it takes.
    #[default]
    Sheet,
    /// Two sides of one sheet: read at arm's length, and looked up.
    TwoSides,
    /// A card a page, read at the table.
    Cards,
}

/// One piece of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A paragraph that must be seen.
    Warning(String),
    /// Names and what they come to.
    Facts(Vec<(String, String)>),
    /// A few figures to be read from afar: name, figure, and what else is to be said of it.
    Figures(Vec<[String; 3]>),
    /// Rows under a head; columns that hold figures stand to the right.
    Table {
        /// Head of each column, and whether it holds figures.
        head: Vec<(String, bool)>,
        /// Cells.
        rows: Vec<Vec<String>>,
    },
    /// Lines to tick, each with so many boxes.
    Checks {
        /// What each box is for.
        boxes: Vec<String>,
        /// What is ticked.
        lines: Vec<String>,
    },
    /// Steps in order, each with a box.
    Steps(Vec<String>),
    /// Lines to write on.
    Blanks(Vec<String>),
    /// From here on columns side by side, on paper: the share of the width that each has.
    Columns(Vec<f64>),
    /// On to the next column, on paper.
    NextColumn,
    /// On to the next side of the sheet, or the next card, on paper.
    OtherSide,
    /// A drawing, and what it shows in words.
    Drawing(Drawing, Vec<String>),
    /// A drawing in full size along the page's edge; other forms than paper have no size, and say so.
    Edge(Drawing),
}

/// What a document is printed as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Plain text of 80 columns.
    Text,
    /// Markdown.
    Markdown,
    /// HTML with print styles.
    Html,
    /// PDF.
    Pdf(Paper),
}

/// A size of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches.
    Letter,
}

impl Page {
    /// A document of a plan's, with the plan's title.
    #[must_use]
    pub fn of(kind: &str, file: &crate::plan::PlanFile) -> Self {
        Self {
            title: format!("{kind}: {}", crate::document::plain(&file.plan.title)),
            origin: format!(
                "spanwright {VERSION}, catalogue {}, plan {}",
                file.catalogue.version,
                &file.digest()[..12]
            ),
            ..Self::default()
        }
    }

    /// Adds a heading.
    pub fn heading(&mut self, text: &str) {
        self.blocks.push(Block::Heading(text.to_owned()));
    }

    /// Adds a paragraph.
    pub fn text(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Text(text.into()));
    }

    /// Adds a table; a head that ends in `>` stands to the right.
    pub fn table(&mut self, head: &[&str], rows: Vec<Vec<String>>) {
        let head = head.iter().map(|h| (h.trim_end_matches('>').to_owned(), h.ends_with('>'))).collect();
        self.blocks.push(Block::Table { head, rows });
    }

    /// Its blocks, side by side of the sheet; one side where it has no other.
    fn sides(&self) -> Vec<&[Block]> {
        self.blocks.split(|b| *b == Block::OtherSide).collect()
    }

    /// What stands for a drawing in full size where there is no size.
    const NO_EDGE: &'static str = "The strip in full size is on paper only: print the card as PDF, at 100 %.";

    /// The caution that every document carries.
    #[must_use]
    pub fn caution() -> &'static str {
        CAUTION
    }

    /// Printed as `form`.
    ///
    /// # Errors
    /// When a PDF cannot be made: its font or a page.
    pub fn print(&self, form: Form) -> Result<Vec<u8>, PdfError> {
        match form {
            Form::Text => Ok(self.as_text().into_bytes()),
            Form::Markdown => Ok(markdown::markdown(self).into_bytes()),
            Form::Html => Ok(html::html(self).into_bytes()),
            Form::Pdf(paper) => pdf::pdf(self, paper),
        }
    }

    /// Its first page as an SVG picture.
    ///
    /// # Errors
    /// When a font cannot be read.
    pub fn picture(&self, paper: Paper) -> Result<String, PdfError> {
        picture::picture(self, paper).map_err(PdfError::of)
    }

    /// As text of 80 columns.
    #[must_use]
    pub fn as_text(&self) -> String {
        self.as_text_of(WIDTH)
    }

    /// As text so many columns wide.
    #[must_use]
    pub fn as_text_of(&self, width: usize) -> String {
        text::text(self, width, &[], letters::in_letters)
    }

    /// As it is looked at before it is printed: so many columns wide, drawings in Braille dots, and a line where a page
    /// of paper ends, by [`Page::ends`].
    #[must_use]
    pub fn on_screen(&self, width: usize, ends: &[usize]) -> String {
        text::text(self, width, ends, braille::in_dots)
    }

    /// Whether a side is one page, on every paper.
    #[must_use]
    pub fn fits(&self, side: usize) -> bool {
        [Paper::A4, Paper::Letter].into_iter().all(|p| setting::fits(self, side, p).unwrap_or(true))
    }

    /// On which page of `paper` each block ends; empty where that cannot be worked out.
    #[must_use]
    pub fn ends(&self, paper: Paper) -> Vec<usize> {
        setting::ends(self, paper).unwrap_or_default()
    }

    /// Every word and figure it says, block by block: what any form of it must hold.
    #[must_use]
    pub fn facts(&self) -> Vec<String> {
        let mut out = vec![self.title.clone()];
        out.extend(self.subtitle.iter().cloned());
        for b in &self.blocks {
            match b {
                Block::Heading(t) | Block::Text(t) | Block::Warning(t) => out.push(t.clone()),
                Block::Facts(facts) => out.extend(facts.iter().flat_map(|(a, b)| [a.clone(), b.clone()])),
                Block::Figures(all) => out.extend(all.iter().flatten().cloned()),
                Block::Table { head, rows } => {
                    out.extend(head.iter().map(|h| h.0.clone()));
                    out.extend(rows.iter().flatten().cloned());
                }
                Block::Checks { lines, .. } => out.extend(lines.iter().cloned()),
                Block::Columns(_) | Block::NextColumn | Block::OtherSide | Block::Edge(_) => {}
                Block::Steps(lines) | Block::Blanks(lines) | Block::Drawing(_, lines) => {
                    out.extend(lines.iter().cloned());
                }
            }
        }
        out.push(self.origin.clone());
        out.retain(|t| !t.trim().is_empty());
        out
    }
}
