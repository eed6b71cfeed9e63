//! A document as PDF: vector drawing, embedded font, black on white.

use std::sync::Arc;

use krilla::geom::{PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, Stroke as Pen, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};
use krilla::{Document, color::luma};

use super::{Block, Drawing, Page, Paper, Stroke};

/// The letters of every sheet, thin and bold; see their licence beside them.
const FACES: [&[u8]; 2] =
    [include_bytes!("../../../assets/fonts/sheet.ttf"), include_bytes!("../../../assets/fonts/sheet-bold.ttf")];
/// Points to the millimetre.
const MM: f64 = 72.0 / 25.4;
/// Margin, pt.
const MARGIN: f64 = 14.0 * MM;
/// Height of letters, pt: usual, and the least that a card is set in to be one sheet.
const USUAL: f64 = 8.6;
const LEAST: f64 = 6.0;
/// Height of a line over that of its letters.
const LINE: f64 = 1.24;
/// Between two columns, pt.
const GUTTER: f64 = 14.0;
/// Kept free below for the foot, pt.
const FOOT: f64 = 26.0;

/// Why a PDF could not be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfError(String);

impl std::fmt::Display for PdfError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the PDF could not be made: {}", self.0)
    }
}

impl std::error::Error for PdfError {}

impl Paper {
    /// Width and height, pt.
    fn size(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0 * MM, 297.0 * MM],
            Self::Letter => [612.0, 792.0],
        }
    }
}

/// What is put on a page, pt from its upper left corner.
enum Mark {
    Words { at: [f64; 2], text: String, size: f64, bold: bool },
    Line { points: Vec<[f64; 2]>, width: f64, dashed: bool },
    Dot { at: [f64; 2], radius: f64, filled: bool },
    Box { at: [f64; 2], side: f64 },
}

/// Widths of letters.
struct Letters<'a>([ttf_parser::Face<'a>; 2]);

impl Letters<'_> {
    fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let face = &self.0[usize::from(bold)];
        let advance = |c: char| face.glyph_index(c).and_then(|g| face.glyph_hor_advance(g)).unwrap_or(0);
        text.chars().map(|c| f64::from(advance(c))).sum::<f64>() * size / f64::from(face.units_per_em())
    }

    /// `text` in lines no wider than `width`; a word that is wider by itself is cut.
    fn wrap(&self, text: &str, width: f64, size: f64, bold: bool) -> Vec<String> {
        let mut lines = vec![String::new()];
        for word in text.split_whitespace() {
            let last = lines.len() - 1;
            let joined = if lines[last].is_empty() { word.to_owned() } else { format!("{} {word}", lines[last]) };
            if self.width(&joined, size, bold) <= width {
                lines[last] = joined;
                continue;
            }
            if !lines[last].is_empty() {
                lines.push(String::new());
            }
            for c in word.chars() {
                let last = lines.len() - 1;
                let more = format!("{}{c}", lines[last]);
                if self.width(&more, size, bold) > width && !lines[last].is_empty() {
                    lines.push(c.to_string());
                } else {
                    lines[last] = more;
                }
            }
        }
        lines
    }
}

/// Pages as they fill.
struct Sheet<'a> {
    letters: Letters<'a>,
    /// Height of letters, pt.
    em: f64,
    size: [f64; 2],
    pages: Vec<Vec<Mark>>,
    y: f64,
    /// Where two columns begin on this page, and which is being filled; nothing in one column.
    columns: Option<(f64, usize)>,
}

impl Sheet<'_> {
    /// Width of the column that is being filled, pt.
    fn wide(&self) -> f64 {
        let all = self.size[0] - 2.0 * MARGIN;
        if self.columns.is_some() { 0.5 * (all - GUTTER) } else { all }
    }

    /// Its left edge, pt.
    fn left(&self) -> f64 {
        match self.columns {
            Some((_, 1)) => MARGIN + self.wide() + GUTTER,
            _ => MARGIN,
        }
    }

    fn mark(&mut self, mark: Mark) {
        if let Some(p) = self.pages.last_mut() {
            p.push(mark);
        }
    }

    /// Makes room for `height`, on a new page when this one is full.
    fn room(&mut self, height: f64) {
        if self.y + height > self.size[1] - MARGIN - FOOT {
            if let Some((top, 0)) = self.columns {
                (self.y, self.columns) = (top, Some((top, 1)));
                return;
            }
            self.pages.push(Vec::new());
            self.y = MARGIN;
            self.columns = self.columns.map(|_| (MARGIN, 0));
        }
    }

    fn words(&mut self, at: [f64; 2], text: &str, size: f64, bold: bool) {
        if !text.is_empty() {
            self.mark(Mark::Words { at, text: text.to_owned(), size, bold });
        }
    }

    /// Lines of text, `indent` from the column's edge, `width` wide.
    fn lines(&mut self, text: &str, indent: f64, width: f64, size: f64, bold: bool) {
        for l in self.letters.wrap(text, width, size, bold) {
            self.room(size * LINE);
            self.y += size * LINE;
            self.words([self.left() + indent, self.y - 0.28 * size], &l, size, bold);
        }
    }

    fn block(&mut self, block: &Block) {
        let wide = self.wide();
        match block {
            Block::Columns => self.columns = Some((self.y, 0)),
            Block::Heading(t) => {
                self.room(5.0 * self.em * LINE);
                self.y += 5.0;
                self.lines(t, 0.0, wide, self.em + 2.0, true);
                self.mark(Mark::Line {
                    points: vec![[self.left(), self.y + 1.0], [self.left() + wide, self.y + 1.0]],
                    width: 0.6,
                    dashed: false,
                });
                self.y += 3.0;
            }
            Block::Text(t) => {
                self.lines(t, 0.0, wide, self.em, false);
                self.y += 2.0;
            }
            Block::Warning(t) => {
                let lines = self.letters.wrap(t, wide - 10.0, self.em, true).len() as f64;
                let height = lines * self.em * LINE + 6.0;
                self.room(height + 3.0);
                let (top, bottom) = (self.y + 1.0, self.y + 1.0 + height);
                let points = vec![
                    [self.left(), top],
                    [self.left() + wide, top],
                    [self.left() + wide, bottom],
                    [self.left(), bottom],
                    [self.left(), top],
                ];
                self.mark(Mark::Line { points, width: 1.2, dashed: false });
                self.y += 3.0;
                self.lines(t, 5.0, wide - 10.0, self.em, true);
                self.y += 7.0;
            }
            Block::Facts(facts) => {
                let widest = facts.iter().map(|f| self.letters.width(&f.0, self.em, true)).fold(0.0, f64::max);
                let column = widest.min(0.4 * wide) + 8.0;
                let rows: Vec<Vec<String>> = facts.iter().map(|(a, b)| vec![a.clone(), b.clone()]).collect();
                for r in &rows {
                    self.row(r, &[column, wide - column], &[false, false], &[true, false], false);
                }
                self.y += 3.0;
            }
            Block::Table { head, rows } => self.table(head, rows),
            Block::Checks { boxes, lines } => {
                let count = boxes.len().max(1);
                let (side, step) = (self.em * 0.85, self.em * 1.5);
                for l in lines {
                    self.room(2.0 * self.em * LINE);
                    for k in 0..count {
                        let at = [self.left() + step * k as f64, self.y + 0.3 * self.em];
                        self.mark(Mark::Box { at, side });
                    }
                    let indent = step * count as f64 + 2.0;
                    self.lines(l, indent, wide - indent, self.em, false);
                    self.y += 1.0;
                }
                self.y += 2.0;
            }
            Block::Steps(lines) => {
                for (k, l) in lines.iter().enumerate() {
                    self.room(2.0 * self.em * LINE);
                    self.mark(Mark::Box { at: [self.left(), self.y + 0.3 * self.em], side: self.em * 0.85 });
                    let number = format!("{}.", k + 1);
                    self.words([self.left() + 1.6 * self.em, self.y + self.em], &number, self.em, true);
                    self.lines(l, 3.4 * self.em, wide - 3.4 * self.em, self.em, false);
                    self.y += 1.0;
                }
                self.y += 2.0;
            }
            Block::Blanks(lines) => {
                // Three to a row, two in a column.
                let per_row = if self.columns.is_some() { 2 } else { 3 };
                let step = wide / per_row as f64;
                for pair in lines.chunks(per_row) {
                    self.room(1.9 * self.em);
                    self.y += 1.8 * self.em;
                    for (k, l) in pair.iter().enumerate() {
                        let x = self.left() + step * k as f64;
                        self.words([x, self.y], l, self.em, false);
                        let from = x + self.letters.width(l, self.em, false) + 4.0;
                        let to = x + step - 8.0;
                        self.mark(Mark::Line {
                            points: vec![[from, self.y + 1.0], [to, self.y + 1.0]],
                            width: 0.5,
                            dashed: false,
                        });
                    }
                }
                self.y += 4.0;
            }
            Block::Drawing(d, words) => {
                self.drawing(d);
                for l in words {
                    self.lines(l, 0.0, wide, self.em - 0.8, false);
                }
                self.y += 2.0;
            }
        }
    }

    fn drawing(&mut self, d: &Drawing) {
        let scale = MM.min(self.wide() / d.size[0].max(1.0));
        let height = d.size[1] * scale;
        self.room(height + 4.0);
        let to = |p: &[f64; 2]| [self.left() + p[0] * scale, self.y + p[1] * scale];
        let marks: Vec<Mark> = d
            .strokes
            .iter()
            .map(|s| match s {
                Stroke::Line { points, width, dashed } => {
                    Mark::Line { points: points.iter().map(to).collect(), width: width * scale, dashed: *dashed }
                }
                Stroke::Dot { at, radius, filled } => Mark::Dot { at: to(at), radius: radius * scale, filled: *filled },
                Stroke::Words { at, text, size, from } => {
                    let [x, y] = to(at);
                    let size = size * scale;
                    Mark::Words {
                        at: [x - from * self.letters.width(text, size, false), y],
                        text: text.clone(),
                        size,
                        bold: false,
                    }
                }
            })
            .collect();
        if let Some(p) = self.pages.last_mut() {
            p.extend(marks);
        }
        self.y += height + 4.0;
    }

    fn table(&mut self, head: &[(String, bool)], rows: &[Vec<String>]) {
        let wide = self.wide();
        let natural = |c: usize| {
            let cells = rows.iter().filter_map(|r| r.get(c)).map(|t| self.letters.width(t, self.em, false));
            cells.chain([self.letters.width(&head[c].0, self.em, true)]).fold(8.0, f64::max) + 6.0
        };
        let mut widths: Vec<f64> = (0..head.len()).map(natural).collect();
        let figures: f64 = widths.iter().zip(head).filter(|(_, h)| h.1).map(|(w, _)| w).sum();
        let words: f64 = widths.iter().sum::<f64>() - figures;
        if figures + words > wide && words > 0.0 {
            // Columns of words share what figures leave: first each as little as it needs, then by want.
            let room = (wide - figures).max(0.3 * wide);
            let count = head.iter().filter(|h| !h.1).count() as f64;
            let fair = room / count;
            let small: f64 = widths.iter().zip(head).filter(|(w, h)| !h.1 && **w <= fair).map(|(w, _)| w).sum();
            let big: f64 = widths.iter().zip(head).filter(|(w, h)| !h.1 && **w > fair).map(|(w, _)| w).sum();
            for (w, h) in widths.iter_mut().zip(head) {
                if !h.1 && *w > fair {
                    *w *= (room - small).max(0.2 * room) / big;
                }
            }
        }
        let all: f64 = widths.iter().sum();
        if all > wide {
            for w in &mut widths {
                *w *= wide / all;
            }
        }
        let right: Vec<bool> = head.iter().map(|h| h.1).collect();
        let titles: Vec<String> = head.iter().map(|h| h.0.clone()).collect();
        self.room(4.0 * self.em * LINE);
        self.row(&titles, &widths, &right, &vec![true; head.len()], true);
        for r in rows {
            let before = self.pages.len();
            let lines = r
                .iter()
                .zip(&widths)
                .map(|(c, w)| self.letters.wrap(c, w - 6.0, self.em, false).len())
                .max()
                .unwrap_or(1);
            self.room(lines as f64 * self.em * LINE + 2.0);
            if self.pages.len() > before {
                self.row(&titles, &widths, &right, &vec![true; head.len()], true);
            }
            self.row(r, &widths, &right, &vec![false; head.len()], true);
        }
        self.y += 4.0;
    }

    /// One row of cells; `ruled` with a thin line below.
    fn row(&mut self, cells: &[String], widths: &[f64], right: &[bool], bold: &[bool], ruled: bool) {
        let wrapped: Vec<Vec<String>> =
            cells.iter().zip(widths).zip(bold).map(|((c, w), b)| self.letters.wrap(c, w - 6.0, self.em, *b)).collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(1) as f64 * self.em * LINE;
        self.room(height);
        let mut x = self.left();
        for (k, lines) in wrapped.iter().enumerate() {
            for (n, l) in lines.iter().enumerate() {
                let y = self.y + (n + 1) as f64 * self.em * LINE - 0.28 * self.em;
                let shift = if right[k] { widths[k] - 6.0 - self.letters.width(l, self.em, bold[k]) } else { 0.0 };
                self.words([x + shift.max(0.0), y], l, self.em, bold[k]);
            }
            x += widths[k];
        }
        self.y += height;
        if ruled {
            let (y, to) = (self.y + 0.8, self.left() + widths.iter().sum::<f64>().min(self.wide()));
            let width = if bold.iter().all(|b| *b) { 0.8 } else { 0.3 };
            self.mark(Mark::Line { points: vec![[self.left(), y], [to, y]], width, dashed: false });
            self.y += 2.0;
        }
    }
}

pub(super) fn pdf(page: &Page, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let face = |k: usize| ttf_parser::Face::parse(FACES[k], 0).map_err(|e| PdfError(e.to_string()));
    let laid = |em: f64| -> Result<Sheet<'_>, PdfError> {
        let letters = Letters([face(0)?, face(1)?]);
        let mut sheet = Sheet { letters, em, size: paper.size(), pages: vec![Vec::new()], y: MARGIN, columns: None };
        let wide = sheet.wide();
        sheet.lines(&page.title, 0.0, wide, em + 5.0, true);
        for s in &page.subtitle {
            sheet.lines(s, 0.0, wide, em, false);
        }
        sheet.y += 3.0;
        for b in &page.blocks {
            sheet.block(b);
        }
        Ok(sheet)
    };
    // A card is one sheet, front and back, if letters that can be read make it one.
    let mut sheet = laid(USUAL)?;
    while page.one_sheet && sheet.pages.len() > 2 && sheet.em > LEAST {
        sheet = laid(sheet.em - 0.2)?;
    }
    let wide = sheet.size[0] - 2.0 * MARGIN;
    let count = sheet.pages.len();
    let pages = std::mem::take(&mut sheet.pages);
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title(page.title.clone()).creator("spanwright".to_owned()));
    let font = |k: usize| {
        Font::new(Arc::new(FACES[k].to_vec()).into(), 0).ok_or_else(|| PdfError("its font cannot be read".to_owned()))
    };
    let fonts = [font(0)?, font(1)?];
    let settings = PageSettings::from_wh(sheet.size[0] as f32, sheet.size[1] as f32)
        .ok_or_else(|| PdfError("the paper has no size".to_owned()))?;
    for (n, mut marks) in pages.into_iter().enumerate() {
        // The caution and the origin stand at the foot of every page.
        let foot = format!("{}. Page {} of {count}.", page.origin, n + 1);
        let small = USUAL - 1.8;
        let mut y = sheet.size[1] - MARGIN - FOOT + 2.0;
        marks.push(Mark::Line { points: vec![[MARGIN, y], [MARGIN + wide, y]], width: 0.5, dashed: false });
        for l in sheet.letters.wrap(Page::caution(), wide, small, true) {
            y += small * LINE;
            marks.push(Mark::Words { at: [MARGIN, y], text: l, size: small, bold: true });
        }
        marks.push(Mark::Words { at: [MARGIN, y + small * LINE], text: foot, size: small, bold: false });
        let mut out = document.start_page_with(settings.clone());
        let mut surface = out.surface();
        for m in &marks {
            put(&mut surface, m, &fonts);
        }
        surface.finish();
        out.finish();
    }
    document.finish().map_err(|e| PdfError(format!("{e:?}")))
}

fn put(surface: &mut Surface<'_>, mark: &Mark, fonts: &[Font; 2]) {
    let black = || Fill {
        paint: luma::Color::new(0).into(),
        opacity: NormalizedF32::ONE,
        rule: krilla::paint::FillRule::NonZero,
    };
    let pen = |width: f64, dashed: bool| Pen {
        paint: luma::Color::new(0).into(),
        width: width as f32,
        line_cap: LineCap::Butt,
        dash: dashed.then(|| StrokeDash { array: vec![4.0, 2.5], offset: 0.0 }),
        ..Pen::default()
    };
    let path = |points: &[[f64; 2]], closed: bool| {
        let mut b = PathBuilder::new();
        for (k, p) in points.iter().enumerate() {
            if k == 0 { b.move_to(p[0] as f32, p[1] as f32) } else { b.line_to(p[0] as f32, p[1] as f32) }
        }
        if closed {
            b.close();
        }
        b.finish()
    };
    match mark {
        Mark::Words { at, text, size, bold } => {
            surface.set_stroke(None);
            surface.set_fill(Some(black()));
            let font = fonts[usize::from(*bold)].clone();
            let at = Point::from_xy(at[0] as f32, at[1] as f32);
            surface.draw_text(at, font, *size as f32, text, false, TextDirection::LeftToRight);
        }
        Mark::Line { points, width, dashed } => {
            surface.set_fill(None);
            surface.set_stroke(Some(pen(*width, *dashed)));
            if let Some(p) = path(points, false) {
                surface.draw_path(&p);
            }
        }
        Mark::Dot { at, radius, filled } => {
            let round: Vec<[f64; 2]> = (0..24)
                .map(|k| std::f64::consts::TAU * f64::from(k) / 24.0)
                .map(|a| [at[0] + radius * a.cos(), at[1] + radius * a.sin()])
                .collect();
            surface.set_fill(filled.then(black));
            surface.set_stroke(Some(pen(0.7, false)));
            if let Some(p) = path(&round, true) {
                surface.draw_path(&p);
            }
        }
        Mark::Box { at, side } => {
            let [x, y] = *at;
            surface.set_fill(None);
            surface.set_stroke(Some(pen(0.7, false)));
            if let Some(p) = path(&[[x, y], [x + side, y], [x + side, y + side], [x, y + side]], true) {
                surface.draw_path(&p);
            }
        }
    }
}
