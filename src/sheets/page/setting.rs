//! A document set in lines, columns and pages: where every word and stroke stands.

use super::faces::Letters;
use super::{Block, Drawing, Page, Paper, Setting, Stroke};

/// Points to the millimetre.
const MM: f64 = 72.0 / 25.4;
/// Margin, pt: of any sheet, and of one with two sides.
const MARGINS: [f64; 2] = [14.0 * MM, 9.0 * MM];
/// Height of letters, pt.
const USUAL: f64 = 8.6;
/// Height of letters of a sheet's two sides, pt, the most and the least: read at arm's length, and looked up.
const SIDES: [[f64; 2]; 2] = [[13.0, 11.0], [USUAL, 6.0]];
/// The same of a card: read at the table, one a page.
const CARDS: [f64; 2] = [10.0, 8.2];
/// Between two heights that are tried, pt.
const STEP: f64 = 0.1;
/// Height of the foot's letters, pt, and what is kept free for it.
const SMALL: f64 = 6.8;
const FOOT: f64 = 26.0;
/// Height of figures that are read from afar, pt.
const LARGE: f64 = 24.0;
/// Room of the first of them over that of another.
const FIRST: f64 = 1.4;
/// A step that begins so is set in bold.
const HOLD: &str = "HOLD POINT";
/// Height of a line over that of its letters.
const LINE: f64 = 1.24;
/// Between two columns, of text and of a table, pt.
const GUTTER: f64 = 12.0;
const CELL: f64 = 6.0;
/// A column narrower than so many letters' heights has the names of facts before them, not beside them.
const NARROW: f64 = 44.0;

impl Paper {
    /// Width and height, pt.
    pub(super) fn size(self) -> [f64; 2] {
        match self {
            Self::A4 => [210.0 * MM, 297.0 * MM],
            Self::Letter => [612.0, 792.0],
        }
    }
}

/// What is put on a page, pt from its upper left corner.
pub(super) enum Mark {
    Words { at: [f64; 2], text: String, size: f64, bold: bool },
    Line { points: Vec<[f64; 2]>, width: f64, dashed: bool },
    Dot { at: [f64; 2], radius: f64, filled: bool },
    Box { at: [f64; 2], side: f64 },
}

/// Lines to fill in across a page, in letters' heights.
const BELOW: f64 = 4.0;

/// Columns side by side: left edge and width of each, how far down each is filled, and which is being filled, pt.
struct Columns {
    sides: Vec<[f64; 2]>,
    filled: Vec<f64>,
    at: usize,
}

impl Columns {
    /// Columns of these shares of what `margin` leaves of `width`, each from where what stands above it ends.
    fn new(shares: &[f64], margin: f64, width: f64, above: &Self) -> Self {
        let all = width - 2.0 * margin - GUTTER * (shares.len() - 1) as f64;
        let total: f64 = shares.iter().sum();
        let mut left = margin;
        let mut sides = Vec::new();
        for share in shares {
            let wide = all * share / total;
            sides.push([left, wide]);
            left += wide + GUTTER;
        }
        let over = |s: &[f64; 2]| {
            let meets = above.sides.iter().zip(&above.filled).filter(|(a, _)| a[0] < s[0] + s[1] && s[0] < a[0] + a[1]);
            meets.map(|(_, y)| *y).fold(margin, f64::max)
        };
        Self { filled: sides.iter().map(over).collect(), sides, at: 0 }
    }
}

/// Pages as they fill.
struct Setter<'a> {
    letters: Letters<'a>,
    /// Height of letters, pt.
    em: f64,
    size: [f64; 2],
    margin: f64,
    /// Kept free at the right for what stands along the edge, pt.
    edge: f64,
    pages: Vec<Vec<Mark>>,
    y: f64,
    columns: Columns,
    /// Kept free under the columns for what stands across the page there, pt.
    below: f64,
    /// How many pages there are after each block.
    after: Vec<usize>,
}

/// A document as marks on pages of `paper`, with its foot on each. A side of a sheet is set as large as one page allows.
///
/// # Errors
/// When a font cannot be read.
pub(super) fn set(page: &Page, paper: Paper) -> Result<Vec<Vec<Mark>>, String> {
    Ok(whole(page, paper)?.map_or_else(Vec::new, |w| w.pages))
}

/// On which page of `paper` each block ends, the first being 1.
///
/// # Errors
/// When a font cannot be read.
pub(super) fn ends(page: &Page, paper: Paper) -> Result<Vec<usize>, String> {
    Ok(whole(page, paper)?.map_or_else(Vec::new, |w| w.after))
}

/// Whether a side is one page of `paper`.
///
/// # Errors
/// When a font cannot be read.
pub(super) fn fits(page: &Page, k: usize, paper: Paper) -> Result<bool, String> {
    Ok(largest(page, k, paper)?.pages.len() == 1)
}

/// Height of letters of a side, pt, the most and the least.
fn heights(page: &Page, k: usize) -> [f64; 2] {
    match page.setting {
        Setting::Sheet => [USUAL; 2],
        Setting::TwoSides => SIDES[k.min(1)],
        Setting::Cards => CARDS,
    }
}

/// A side with letters `em` high; whether its columns keep room for what stands across the page under them.
fn side(page: &Page, k: usize, paper: Paper, em: f64, keeps: bool) -> Result<Setter<'static>, String> {
    let margin = MARGINS[usize::from(page.setting != Setting::Sheet)];
    let (letters, size, sides) = (Letters::new()?, paper.size(), page.sides());
    let blocks = sides.get(k).copied().unwrap_or_default();
    let nothing = Columns { sides: Vec::new(), filled: Vec::new(), at: 0 };
    let edges = blocks.iter().map(|b| if let Block::Edge(d) = b { d.size[0] * MM } else { 0.0 });
    let edge = edges.fold(0.0, f64::max);
    let columns = Columns::new(&[1.0], margin, size[0] - edge, &nothing);
    let mut s = Setter {
        letters,
        em,
        size,
        margin,
        edge,
        pages: vec![Vec::new()],
        y: margin,
        columns,
        below: 0.0,
        after: Vec::new(),
    };
    let wide = s.wide();
    s.lines(&page.title, 0.0, wide, USUAL + 5.0, true);
    for line in page.subtitle.iter().filter(|_| k == 0) {
        s.lines(line, 0.0, wide, em, false);
    }
    s.y += 3.0;
    for (n, b) in blocks.iter().enumerate() {
        if let (Block::Heading(t), Some(next)) = (b, blocks.get(n + 1)) {
            s.together(t, next);
        }
        if let Block::Columns(_) = b {
            let after = blocks[n + 1..].iter().find(|b| matches!(b, Block::Columns(_)));
            let across =
                matches!((b, after), (Block::Columns(of), Some(Block::Columns(one))) if of.len() > 1 && one.len() == 1);
            s.below = if across && keeps { BELOW * em } else { 0.0 };
        }
        s.block(b);
        s.after.push(s.pages.len());
    }
    Ok(s)
}

/// A side with its letters as high as leaves it one page; as small as they may be where none does. Smaller letters may
/// take more room than larger ones, where a line breaks otherwise: every height is tried, from the top.
fn largest(page: &Page, k: usize, paper: Paper) -> Result<Setter<'static>, String> {
    let [most, least] = heights(page, k);
    let mut em = most;
    let mut set = side(page, k, paper, em, false)?;
    while set.pages.len() > 1 && em > least {
        em = (em - STEP).max(least);
        set = side(page, k, paper, em, false)?;
    }
    // A column filled to the foot leaves nothing for what stands under both.
    if set.pages.len() > 1 {
        let kept = side(page, k, paper, em, true)?;
        if kept.pages.len() == 1 {
            return Ok(kept);
        }
    }
    Ok(set)
}

fn whole(page: &Page, paper: Paper) -> Result<Option<Setter<'static>>, String> {
    let mut whole: Option<Setter<'static>> = None;
    for k in 0..page.sides().len() {
        let mut side = largest(page, k, paper)?;
        match &mut whole {
            Some(w) => {
                let before = w.pages.len();
                // The turn to the other side is a block too.
                w.after.push(before + 1);
                w.after.extend(side.after.iter().map(|n| before + n));
                w.pages.append(&mut side.pages);
            }
            None => whole = Some(side),
        }
    }
    Ok(whole.map(|mut whole| {
        whole.feet(&page.origin);
        whole
    }))
}

impl Setter<'_> {
    /// Width of the column that is being filled, pt.
    fn wide(&self) -> f64 {
        self.columns.sides[self.columns.at][1]
    }

    /// Its left edge, pt.
    fn left(&self) -> f64 {
        self.columns.sides[self.columns.at][0]
    }

    fn mark(&mut self, mark: Mark) {
        if let Some(p) = self.pages.last_mut() {
            p.push(mark);
        }
    }

    /// On to the next column, or to the first of a new page.
    fn next(&mut self) {
        let c = &mut self.columns;
        c.filled[c.at] = self.y;
        c.at += 1;
        if c.at == c.sides.len() {
            self.pages.push(Vec::new());
            c.at = 0;
            c.filled.fill(self.margin);
        }
        self.y = c.filled[c.at];
    }

    /// Makes room for `height`: in the next column that has it, when this one is full. What no page has room for begins
    /// one.
    fn room(&mut self, height: f64) {
        let bottom = self.size[1] - self.margin - FOOT - self.below;
        for _ in 0..=self.columns.sides.len() {
            if self.y + height <= bottom || self.y <= self.margin {
                return;
            }
            self.next();
        }
    }

    fn words(&mut self, at: [f64; 2], text: &str, size: f64, bold: bool) {
        if !text.is_empty() {
            self.mark(Mark::Words { at, text: text.to_owned(), size, bold });
        }
    }

    fn rule(&mut self, y: f64, to: f64, width: f64) {
        let points = vec![[self.left(), y], [self.left() + to, y]];
        self.mark(Mark::Line { points, width, dashed: false });
    }

    /// Lines of text, `indent` from the column's edge, `width` wide.
    fn lines(&mut self, text: &str, indent: f64, width: f64, size: f64, bold: bool) {
        for l in self.letters.wrap(text, width, 0.0, size, bold) {
            self.room(size * LINE);
            self.y += size * LINE;
            self.words([self.left() + indent, self.y - 0.28 * size], &l, size, bold);
        }
    }

    /// A name in bold, and what it comes to after it.
    fn named(&mut self, name: &str, what: &str) {
        let (em, wide) = (self.em, self.wide());
        let indent = self.letters.width(name, em, true) + 0.6 * em;
        self.room(em * LINE);
        let y = self.y + 0.72 * em * LINE + 0.28 * em * (LINE - 1.0);
        self.words([self.left(), y], name, em, true);
        for (k, l) in self.letters.wrap(what, wide, indent, em, false).iter().enumerate() {
            self.room(em * LINE);
            self.y += em * LINE;
            let shift = if k == 0 { indent } else { 0.0 };
            self.words([self.left() + shift, self.y - 0.28 * em], l, em, false);
        }
    }

    /// Makes room for a heading with the beginning of what follows it.
    fn together(&mut self, heading: &str, next: &Block) {
        let (em, wide) = (self.em, self.wide());
        let title = self.letters.wrap(heading, wide, 0.0, em + 1.5, true).len() as f64 * (em + 1.5) * LINE;
        let begins = match next {
            Block::Table { head, rows } => {
                let widths = self.widths(head, rows);
                let titles: Vec<String> = head.iter().map(|h| h.0.clone()).collect();
                self.high(&titles, &widths, true) + rows.first().map_or(0.0, |r| self.high(r, &widths, false)) + em
            }
            _ => 2.5 * em * LINE,
        };
        self.room(title + 0.5 * em + 2.5 + begins);
    }

    /// Room for a block in one piece, where that is no more than a third of a page.
    fn whole_if_short(&mut self, height: f64) {
        if height < self.size[1] / 3.0 {
            self.room(height);
        }
    }

    /// Height of a table's row, pt.
    fn high(&self, cells: &[String], widths: &[f64], bold: bool) -> f64 {
        let lines = cells.iter().zip(widths).map(|(c, w)| self.cell(c, *w, bold).len());
        lines.max().unwrap_or(1) as f64 * self.em * LINE
    }

    /// A cell's lines in a column so wide.
    fn cell(&self, text: &str, width: f64, bold: bool) -> Vec<String> {
        // A column is as wide as its widest cell to the last bit.
        self.letters.wrap(text, width - CELL + 0.01, 0.0, self.em, bold)
    }

    fn block(&mut self, block: &Block) {
        let (wide, em) = (self.wide(), self.em);
        match block {
            Block::Columns(shares) => {
                self.columns.filled[self.columns.at] = self.y;
                self.columns = Columns::new(shares, self.margin, self.size[0] - self.edge, &self.columns);
                self.y = self.columns.filled[0];
            }
            Block::NextColumn => self.next(),
            Block::OtherSide => {}
            Block::Heading(t) => {
                self.y += 0.5 * em;
                self.lines(t, 0.0, wide, em + 1.5, true);
                self.rule(self.y + 0.5, wide, 0.6);
                self.y += 2.0;
            }
            Block::Text(t) => {
                self.whole_if_short(self.letters.wrap(t, wide, 0.0, em, false).len() as f64 * em * LINE);
                self.lines(t, 0.0, wide, em, false);
                self.y += 0.25 * em;
            }
            Block::Warning(t) => {
                let lines = self.letters.wrap(t, wide - 10.0, 0.0, em, true).len() as f64;
                let height = lines * em * LINE + 6.0;
                self.room(height + 3.0);
                let (left, right) = (self.left(), self.left() + wide);
                let (top, bottom) = (self.y + 1.0, self.y + 1.0 + height);
                let points = vec![[left, top], [right, top], [right, bottom], [left, bottom], [left, top]];
                self.mark(Mark::Line { points, width: 1.2, dashed: false });
                self.y += 3.0;
                self.lines(t, 5.0, wide - 10.0, em, true);
                self.y += 7.0;
            }
            Block::Facts(facts) if wide < NARROW * em => {
                for (name, what) in facts {
                    self.named(name, what);
                }
                self.y += 0.3 * em;
            }
            Block::Facts(facts) => {
                let widest = facts.iter().map(|f| self.letters.width(&f.0, em, true)).fold(0.0, f64::max);
                let column = widest.min(0.4 * wide) + 8.0;
                for (name, what) in facts {
                    let cells = [name.clone(), what.clone()];
                    self.row(&cells, &[column, wide - column], &[false, false], &[true, false], 0.0);
                }
                self.y += 3.0;
            }
            Block::Figures(all) => self.figures(all),
            Block::Table { head, rows } => self.table(head, rows),
            Block::Checks { boxes, lines } => {
                let count = boxes.len().max(1);
                let step = em * 1.5;
                let indent = step * count as f64 + 2.0;
                let wrapped = lines.iter().map(|l| self.letters.wrap(l, wide - indent, 0.0, em, false).len());
                self.whole_if_short(wrapped.sum::<usize>() as f64 * em * LINE + 0.1 * em * lines.len() as f64);
                for l in lines {
                    self.room(em * LINE);
                    for k in 0..count {
                        let at = [self.left() + step * k as f64, self.y + 0.3 * em];
                        self.mark(Mark::Box { at, side: em * 0.85 });
                    }
                    self.lines(l, indent, wide - indent, em, false);
                    self.y += 0.1 * em;
                }
                self.y += 0.25 * em;
            }
            Block::Steps(lines) => {
                for (k, l) in lines.iter().enumerate() {
                    self.room(2.0 * em * LINE);
                    self.mark(Mark::Box { at: [self.left(), self.y + 0.3 * em], side: em * 0.85 });
                    let number = format!("{}.", k + 1);
                    self.words([self.left() + 1.4 * em, self.y + 0.96 * em], &number, em, true);
                    self.lines(l, 3.2 * em, wide - 3.2 * em, em, l.starts_with(HOLD));
                    self.y += 0.1 * em;
                }
                self.y += 0.25 * em;
            }
            Block::Blanks(lines) => {
                // As many to a row as leave something to write on.
                let per_row = ((wide / (12.5 * em)) as usize).clamp(1, 3);
                let step = wide / per_row as f64;
                for row in lines.chunks(per_row) {
                    self.room(1.7 * em);
                    self.y += 1.7 * em;
                    for (k, l) in row.iter().enumerate() {
                        let x = self.left() + step * k as f64;
                        self.words([x, self.y], l, em, false);
                        let from = x + self.letters.width(l, em, false) + 3.0;
                        let points = vec![[from, self.y + 1.0], [x + step - 6.0, self.y + 1.0]];
                        self.mark(Mark::Line { points, width: 0.5, dashed: false });
                    }
                }
                self.y += 0.5 * em;
            }
            Block::Edge(d) => {
                // On the side's first page, from its upper right corner, at its own size.
                let corner = [self.size[0] - self.margin - d.size[0] * MM, self.margin];
                let marks = self.drawn(d, corner, MM);
                if let Some(p) = self.pages.first_mut() {
                    p.extend(marks);
                }
            }
            Block::Drawing(d, words) => {
                self.drawing(d);
                for l in words {
                    self.lines(l, 0.0, wide, em - 0.8, false);
                }
                self.y += 2.0;
            }
        }
    }

    /// Large figures side by side, each under its name and over what else is to be said of it; the first has most room.
    fn figures(&mut self, all: &[[String; 3]]) {
        let (wide, em) = (self.wide(), self.em);
        let each = wide / (all.len() as f64 + FIRST - 1.0);
        let room = |k: usize| if k == 0 { FIRST * each } else { each };
        let said = |(k, f): (usize, &[String; 3])| self.letters.wrap(&f[2], room(k) - GUTTER, 0.0, em, false);
        let below: Vec<Vec<String>> = all.iter().enumerate().map(said).collect();
        let lines = below.iter().map(Vec::len).max().unwrap_or(0) as f64;
        self.room((2.0 + lines) * em * LINE + LARGE);
        let top = self.y;
        for (k, ([name, figure, _], below)) in all.iter().zip(&below).enumerate() {
            let x = self.left() + if k == 0 { 0.0 } else { each * (FIRST + k as f64 - 1.0) };
            self.words([x, top + em * LINE], name, em, false);
            self.words([x, top + em * LINE + LARGE], figure, LARGE, true);
            for (n, line) in below.iter().enumerate() {
                self.words([x, top + em * LINE * (n + 2) as f64 + LARGE], line, em, false);
            }
        }
        self.y = top + (1.5 + lines) * em * LINE + LARGE;
    }

    fn drawing(&mut self, d: &Drawing) {
        let scale = MM.min(self.wide() / d.size[0].max(1.0));
        let height = d.size[1] * scale;
        self.room(height + 4.0);
        let marks = self.drawn(d, [self.left(), self.y], scale);
        if let Some(p) = self.pages.last_mut() {
            p.extend(marks);
        }
        self.y += height + 4.0;
    }

    /// Strokes of a drawing with its upper left corner at `corner`.
    fn drawn(&self, d: &Drawing, corner: [f64; 2], scale: f64) -> Vec<Mark> {
        let to = |p: &[f64; 2]| [corner[0] + p[0] * scale, corner[1] + p[1] * scale];
        d.strokes
            .iter()
            .map(|s| match s {
                Stroke::Line { points, width, dashed } => {
                    Mark::Line { points: points.iter().map(to).collect(), width: width * scale, dashed: *dashed }
                }
                Stroke::Dot { at, radius, filled } => Mark::Dot { at: to(at), radius: radius * scale, filled: *filled },
                Stroke::Words { at, text, size, from } => {
                    let [x, y] = to(at);
                    let size = size * scale;
                    let at = [x - from * self.letters.width(text, size, false), y];
                    Mark::Words { at, text: text.clone(), size, bold: false }
                }
            })
            .collect()
    }

    /// Widths of a table's columns: what each wants if there is room; else no less than its longest word (figures: than
    /// its longest cell), and what is left shared by want.
    fn widths(&self, head: &[(String, bool)], rows: &[Vec<String>]) -> Vec<f64> {
        let (em, wide) = (self.em, self.wide());
        let widest = |c: usize, of: &dyn Fn(&str) -> f64, head: f64| {
            rows.iter().filter_map(|r| r.get(c)).map(|t| of(t)).fold(head, f64::max) + CELL
        };
        let columns = head.iter().enumerate().map(|(c, (title, figures))| {
            let (whole, word) =
                (|t: &str| self.letters.width(t, em, false), |t: &str| self.letters.longest(t, em, false));
            let want = widest(c, &whole, self.letters.width(title, em, true));
            let title = self.letters.longest(title, em, true);
            let least = if *figures { widest(c, &whole, title) } else { widest(c, &word, title) };
            (least, want)
        });
        let (least, want): (Vec<f64>, Vec<f64>) = columns.unzip();
        let (all_least, all_want) = (least.iter().sum::<f64>(), want.iter().sum::<f64>());
        let share =
            if all_want > all_least { ((wide - all_least) / (all_want - all_least)).clamp(0.0, 1.0) } else { 0.0 };
        let squeeze = (wide / all_least).min(1.0);
        least.iter().zip(&want).map(|(l, w)| squeeze * (l + share * (w - l))).collect()
    }

    fn table(&mut self, head: &[(String, bool)], rows: &[Vec<String>]) {
        let em = self.em;
        let widths = self.widths(head, rows);
        let right: Vec<bool> = head.iter().map(|h| h.1).collect();
        let titles: Vec<String> = head.iter().map(|h| h.0.clone()).collect();
        let (thin, bold) = (vec![false; head.len()], vec![true; head.len()]);
        self.row(&titles, &widths, &right, &bold, 0.8);
        for r in rows {
            let before = (self.pages.len(), self.columns.at);
            self.room(self.high(r, &widths, false));
            if (self.pages.len(), self.columns.at) != before {
                self.row(&titles, &widths, &right, &bold, 0.8);
            }
            self.row(r, &widths, &right, &thin, 0.25);
        }
        self.y += 0.4 * em;
    }

    /// One row of cells; a line so wide below it, none at 0.
    fn row(&mut self, cells: &[String], widths: &[f64], right: &[bool], bold: &[bool], ruled: f64) {
        let em = self.em;
        let wrapped: Vec<Vec<String>> =
            cells.iter().zip(widths).zip(bold).map(|((c, w), b)| self.cell(c, *w, *b)).collect();
        let height = wrapped.iter().map(Vec::len).max().unwrap_or(1) as f64 * em * LINE;
        self.room(height);
        let mut x = self.left();
        for (k, lines) in wrapped.iter().enumerate() {
            for (n, l) in lines.iter().enumerate() {
                let y = self.y + (n + 1) as f64 * em * LINE - 0.28 * em;
                let shift = if right[k] { widths[k] - CELL - self.letters.width(l, em, bold[k]) } else { 0.0 };
                self.words([x + shift.max(0.0), y], l, em, bold[k]);
            }
            x += widths[k];
        }
        self.y += height;
        if ruled > 0.0 {
            let to = widths.iter().sum::<f64>().min(self.wide());
            self.rule(self.y + 0.4, to, ruled);
            self.y += 0.16 * em;
        }
    }

    /// The caution and the origin at the foot of every page.
    fn feet(&mut self, origin: &str) {
        let (margin, wide, count) = (self.margin, self.size[0] - 2.0 * self.margin, self.pages.len());
        for (n, marks) in self.pages.iter_mut().enumerate() {
            let mut y = self.size[1] - margin - FOOT + 2.0;
            marks.push(Mark::Line { points: vec![[margin, y], [margin + wide, y]], width: 0.5, dashed: false });
            for text in self.letters.wrap(Page::caution(), wide, 0.0, SMALL, true) {
                y += SMALL * LINE;
                marks.push(Mark::Words { at: [margin, y], text, size: SMALL, bold: true });
            }
            let text = format!("{origin}. Page {} of {count}.", n + 1);
            marks.push(Mark::Words { at: [margin, y + SMALL * LINE], text, size: SMALL, bold: false });
        }
    }
}
