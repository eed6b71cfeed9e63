//! A picture made of cells: strokes by the dots a cell is divided into, and text that never overlaps other text and never
//! leaves the picture.
//!
//! How a stroke looks depends on what it stands for, not only in colour: the line is solid, the line with nobody on it and
//! whatever is slack are broken, the ground is hatched below, a leg is the thicker the more of the load it takes. With
//! nothing but ASCII each has a character of its own.

use glam::DVec2;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Style;
use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};

use crate::app::Glyphs;
use crate::sheets::page::of_dots;
use crate::tui::theme::Theme;

/// What a stroke stands for. Where strokes cross, the later one in this list shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::tui) enum Ink {
    /// What is below the ground's edge, and axes.
    Hatch,
    /// Rock and soil.
    Ground,
    /// The line with nobody on it.
    Standing,
    /// Only a measure.
    Measure,
    /// How far off a place may be.
    Unsure,
    /// A leg that carries nothing.
    Slack,
    /// Feet after a catch by the backup.
    Caught,
    /// Feet after a leash fall.
    Feet,
    /// A strut of a frame, which pushes.
    Strut,
    /// A leg, one or two dots wide.
    Leg(u8),
    /// The main line.
    Line,
    /// What is chosen, as wide.
    Chosen(u8),
    /// What does not meet, as wide.
    Failing(u8),
}

impl Ink {
    /// Its character where only ASCII may be drawn.
    pub(super) fn ascii(self) -> char {
        match self {
            Self::Ground => ':',
            Self::Hatch | Self::Standing | Self::Slack | Self::Caught => '.',
            Self::Measure => '|',
            Self::Unsure => '+',
            Self::Feet => ',',
            Self::Strut => '#',
            Self::Leg(1) | Self::Chosen(1) => '-',
            Self::Leg(_) | Self::Line | Self::Chosen(_) => '=',
            Self::Failing(_) => 'x',
        }
    }

    /// Whether the dot at step `k` of a stroke is set.
    fn sets(self, k: i32, glyphs: Glyphs) -> bool {
        let (on, off) = match (self, glyphs) {
            (Self::Standing | Self::Slack, Glyphs::Braille) => (1, 3),
            (Self::Caught, Glyphs::Braille) => (1, 2),
            (Self::Feet, Glyphs::Braille) => (4, 2),
            (Self::Standing | Self::Slack | Self::Caught, _) => (1, 2),
            (Self::Feet, _) => (2, 1),
            (Self::Measure | Self::Hatch, Glyphs::Braille) => (1, 1),
            _ => return true,
        };
        k.rem_euclid(on + off) < on
    }

    /// Dots beside the stroke, across its way: never more than two in all.
    fn beside(self, glyphs: Glyphs) -> &'static [i32] {
        match (self, glyphs) {
            (Self::Strut | Self::Leg(2) | Self::Chosen(2) | Self::Failing(2), Glyphs::Braille | Glyphs::Half) => {
                &[0, 1]
            }
            _ => &[0],
        }
    }
}

/// What part of the world is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Window {
    /// Left edge, m.
    pub(super) left: f64,
    /// Upper edge, m.
    pub(super) top: f64,
    /// Metres to a column.
    pub(super) column: f64,
    /// Metres to a row.
    pub(super) row: f64,
}

impl Window {
    /// Around `middle`, `column` metres to a column, with heights drawn `up` times too large. A row is as high as two
    /// columns are wide.
    pub(super) fn around(middle: DVec2, area: Rect, column: f64, up: f64) -> Self {
        let row = 2.0 * column / up;
        Self {
            left: middle.x - 0.5 * f64::from(area.width) * column,
            top: middle.y + 0.5 * f64::from(area.height) * row,
            column,
            row,
        }
    }
}

#[derive(Debug, Clone, Copy, Default)]
struct Cell {
    dots: u8,
    ink: Option<Ink>,
    text: Option<(char, Style)>,
    /// Right half of a wide character, or a place kept free.
    kept: bool,
}

/// A picture.
#[derive(Debug)]
pub(super) struct Plot {
    area: Rect,
    window: Window,
    glyphs: Glyphs,
    cells: Vec<Cell>,
}

/// Dots of a cell across and up.
fn dots(glyphs: Glyphs) -> (i32, i32) {
    match glyphs {
        Glyphs::Braille => (2, 4),
        Glyphs::Half => (1, 2),
        Glyphs::Ascii => (1, 1),
    }
}

impl Plot {
    /// An empty picture.
    pub(super) fn new(area: Rect, window: Window, glyphs: Glyphs) -> Self {
        let cells = vec![Cell::default(); usize::from(area.width) * usize::from(area.height)];
        Self { area, window, glyphs, cells }
    }

    /// The cell of a place, which may be outside: column, row.
    pub(super) fn cell_of(&self, p: DVec2) -> (i32, i32) {
        let w = self.window;
        (((p.x - w.left) / w.column).floor() as i32, ((w.top - p.y) / w.row).floor() as i32)
    }

    /// Columns and rows.
    pub(super) fn size(&self) -> (i32, i32) {
        (i32::from(self.area.width), i32::from(self.area.height))
    }

    fn index(&self, column: i32, row: i32) -> Option<usize> {
        let (w, h) = self.size();
        (column >= 0 && column < w && row >= 0 && row < h).then(|| (row * w + column) as usize)
    }

    fn dot(&mut self, x: i32, y: i32, ink: Ink) {
        let (across, up) = dots(self.glyphs);
        let (column, row) = (x.div_euclid(across), y.div_euclid(up));
        let Some(i) = self.index(column, row) else { return };
        let cell = &mut self.cells[i];
        // With characters, or half blocks of the ground, a cell is of one ink only.
        let whole =
            self.glyphs == Glyphs::Ascii || (self.glyphs == Glyphs::Half && cell.ink.is_some_and(|i| i <= Ink::Ground));
        if whole && cell.ink.is_some_and(|i| i < ink) {
            cell.dots = 0;
        }
        if self.glyphs != Glyphs::Braille && ink <= Ink::Ground && cell.ink.is_some_and(|i| i > ink) {
            return;
        }
        cell.dots |= 1 << (y.rem_euclid(up) * across + x.rem_euclid(across));
        cell.ink = Some(cell.ink.map_or(ink, |i| i.max(ink)));
    }

    /// Place in dots.
    fn dots_of(&self, p: DVec2) -> DVec2 {
        let (across, up) = dots(self.glyphs);
        let w = self.window;
        DVec2::new((p.x - w.left) / w.column * f64::from(across), (w.top - p.y) / w.row * f64::from(up))
    }

    /// Draws from `a` to `b`.
    pub(super) fn stroke(&mut self, a: DVec2, b: DVec2, ink: Ink) {
        self.run(a, b, ink, 0);
    }

    /// The same, its pattern going on from step `from`; the step it ends at.
    fn run(&mut self, a: DVec2, b: DVec2, ink: Ink, from: i32) -> i32 {
        let (p, q) = (self.dots_of(a), self.dots_of(b));
        let (across, up) = dots(self.glyphs);
        let (w, h) = self.size();
        let Some((t0, t1)) = clip(p, q, DVec2::new(f64::from(w * across), f64::from(h * up))) else { return from };
        let (p, q) = (p + (q - p) * t0, p + (q - p) * t1);
        let way = q - p;
        let steep = way.y.abs() > way.x.abs();
        let steps = way.x.abs().max(way.y.abs()).ceil().max(1.0) as i32;
        let beside = ink.beside(self.glyphs);
        for k in 0..=steps {
            if !ink.sets(from + k, self.glyphs) {
                continue;
            }
            let at = p + way * (f64::from(k) / f64::from(steps));
            let (x, y) = (at.x.floor() as i32, at.y.floor() as i32);
            for d in beside {
                let (x, y) = if steep { (x + d, y) } else { (x, y + d) };
                self.dot(x, y, ink);
            }
        }
        from + steps
    }

    /// Draws a chain of strokes, its pattern going on from one to the next.
    pub(super) fn chain(&mut self, points: &[DVec2], ink: Ink) {
        points.windows(2).fold(0, |from, w| self.run(w[0], w[1], ink, from));
    }

    /// A short piece of a stroke, for a legend.
    pub(super) fn sample(ink: Ink, glyphs: Glyphs) -> String {
        let area = Rect { x: 0, y: 0, width: 3, height: 1 };
        let window = Window { left: 0.0, top: 1.0, column: 1.0, row: 1.0 };
        let mut p = Self::new(area, window, glyphs);
        p.stroke(DVec2::new(0.01, 0.4), DVec2::new(2.99, 0.4), ink);
        p.cells.iter().map(|c| c.ink.map_or(' ', |i| glyph(glyphs, c.dots, i))).collect()
    }

    /// Draws the ground: its edge, and a hatch below that no other stroke has.
    pub(super) fn ground(&mut self, points: &[DVec2]) {
        let (across, up) = dots(self.glyphs);
        let deep = match self.glyphs {
            Glyphs::Braille => 5,
            _ => up,
        };
        let columns = self.size().0 * across;
        for w in points.windows(2) {
            let (p, q) = (self.dots_of(w[0]), self.dots_of(w[1]));
            if q.x <= p.x {
                continue;
            }
            for x in (p.x.ceil().max(0.0) as i32)..=(q.x.floor().min(f64::from(columns)) as i32) {
                let y = (p.y + (q.y - p.y) * (f64::from(x) - p.x) / (q.x - p.x)).floor() as i32;
                for d in 1..=deep {
                    if self.glyphs != Glyphs::Braille || (x + y + d).rem_euclid(4) == 0 {
                        self.dot(x, y + d, Ink::Hatch);
                    }
                }
            }
        }
        self.chain(points, Ink::Ground);
    }

    /// Whether `wide` cells from `(column, row)` are inside and hold no text, with a blank before and after.
    fn free(&self, column: i32, row: i32, wide: i32) -> bool {
        let inside = self.index(column, row).is_some() && self.index(column + wide - 1, row).is_some();
        inside
            && (column - 1..=column + wide)
                .all(|c| self.index(c, row).is_none_or(|i| self.cells[i].text.is_none() && !self.cells[i].kept))
    }

    /// How many cells from `(column, row)` would hide a stroke.
    fn hides(&self, column: i32, row: i32, wide: i32) -> usize {
        (column..column + wide)
            .filter_map(|c| self.index(c, row))
            .filter(|&i| self.cells[i].ink.is_some_and(|ink| ink > Ink::Hatch))
            .count()
    }

    /// Writes a sign at a place, over whatever is there; nothing when the place is outside.
    pub(super) fn sign(&mut self, at: DVec2, sign: char, style: Style) {
        let (column, row) = self.cell_of(at);
        if let Some(i) = self.index(column, row) {
            self.cells[i].text = Some((sign, style));
        }
    }

    /// Writes `text` at the first of the places (column of its first character, row) where it hides no stroke, else where
    /// it hides fewest; whether there was room at all.
    pub(super) fn label(&mut self, text: &str, style: Style, places: &[(i32, i32)]) -> bool {
        let wide = text.width() as i32;
        let best =
            places.iter().copied().filter(|&(c, r)| self.free(c, r, wide)).min_by_key(|&(c, r)| self.hides(c, r, wide));
        let Some((column, row)) = best else { return false };
        self.write(column, row, text, style);
        true
    }

    /// Writes `text` at the first of the places where it hides no stroke at all; whether there was one.
    pub(super) fn label_clear(&mut self, text: &str, style: Style, places: &[(i32, i32)]) -> bool {
        let wide = text.width() as i32;
        let clear = places.iter().copied().find(|&(c, r)| self.free(c, r, wide) && self.hides(c, r, wide) == 0);
        if let Some((column, row)) = clear {
            self.write(column, row, text, style);
        }
        clear.is_some()
    }

    /// A dotted way from a name's row to what it names in another, with one elbow, under all strokes and texts.
    pub(super) fn leader(&mut self, from: i32, to: i32, name_row: i32, row: i32, style: Style) {
        let way = if to >= from { 1 } else { -1 };
        let (dash, down, up) = match self.glyphs {
            Glyphs::Ascii => ('.', '.', '.'),
            _ if way > 0 => ('┄', '┐', '┘'),
            _ => ('┄', '┌', '└'),
        };
        let upright = if self.glyphs == Glyphs::Ascii { '.' } else { '┊' };
        let mut put = |c: i32, r: i32, sign: char| {
            let Some(i) = self.index(c, r) else { return };
            let cell = &mut self.cells[i];
            if cell.text.is_none() && cell.ink.is_none_or(|i| i <= Ink::Hatch) && !cell.kept {
                cell.text = Some((sign, style));
            }
        };
        let mut c = from;
        while c != to + way && (to - from) * way >= 0 {
            let last = c == to;
            let sign = match (last, row.cmp(&name_row)) {
                (true, std::cmp::Ordering::Greater) => down,
                (true, std::cmp::Ordering::Less) => up,
                _ => dash,
            };
            put(c, name_row, sign);
            c += way;
        }
        let (first, last) = (name_row.min(row) + 1, name_row.max(row));
        for r in first..last {
            put(to, r, upright);
        }
    }

    /// A dashed upright between two heights; its cells.
    pub(super) fn dashed(&mut self, x: f64, high: f64, low: f64, style: Style) -> Vec<(i32, i32)> {
        let ((column, top), (_, bottom)) = (self.cell_of(DVec2::new(x, high)), self.cell_of(DVec2::new(x, low)));
        let (_, rows) = self.size();
        let mut cells = Vec::new();
        for row in top.max(0)..=bottom.min(rows - 1) {
            let Some(i) = self.index(column, row) else { continue };
            if self.cells[i].text.is_none() && self.cells[i].ink.is_none_or(|i| i <= Ink::Hatch) {
                self.cells[i].text = Some(('┊', style));
            }
            cells.push((column, row));
        }
        cells
    }

    /// Writes `text` where it belongs, cell by cell, leaving out what is taken or outside.
    fn write(&mut self, column: i32, row: i32, text: &str, style: Style) {
        let mut at = column;
        for c in text.chars() {
            let wide = c.width().unwrap_or(0) as i32;
            if let Some(i) = self.index(at, row).filter(|_| wide > 0) {
                self.cells[i].text = Some((c, style));
            }
            for k in 1..wide {
                if let Some(i) = self.index(at + k, row) {
                    self.cells[i].kept = true;
                }
            }
            at += wide;
        }
    }

    /// Puts the picture on the screen.
    pub(super) fn paint(&self, buffer: &mut Buffer, theme: Theme) {
        for row in 0..self.area.height {
            for column in 0..self.area.width {
                let Some(i) = self.index(i32::from(column), i32::from(row)) else { continue };
                let cell = self.cells[i];
                let Some(target) = buffer.cell_mut((self.area.x + column, self.area.y + row)) else { continue };
                match (cell.text, cell.ink) {
                    (Some((c, style)), _) => {
                        target.set_symbol(&theme.text(&c.to_string())).set_style(style);
                    }
                    (None, Some(ink)) if !cell.kept => {
                        target.set_char(glyph(self.glyphs, cell.dots, ink)).set_style(theme.ink(ink));
                    }
                    _ => {}
                }
            }
        }
    }
}

/// The character of a cell with these dots.
fn glyph(glyphs: Glyphs, dots: u8, ink: Ink) -> char {
    match glyphs {
        Glyphs::Braille => of_dots(dots),
        Glyphs::Half => match (ink, dots & 3) {
            (_, 0) => ' ',
            (Ink::Hatch | Ink::Ground, _) => '░',
            (Ink::Standing | Ink::Slack | Ink::Measure | Ink::Caught, _) => '·',
            (_, 1) => '▀',
            (_, 2) => '▄',
            _ => '█',
        },
        Glyphs::Ascii => ink.ascii(),
    }
}

/// Which share of the way from `p` to `q` is inside a box from the origin to `size`, from where to where.
fn clip(p: DVec2, q: DVec2, size: DVec2) -> Option<(f64, f64)> {
    if !(p.is_finite() && q.is_finite()) {
        return None;
    }
    let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
    for (a, d, s) in [(p.x, q.x - p.x, size.x), (p.y, q.y - p.y, size.y)] {
        if d == 0.0 {
            if a < 0.0 || a > s {
                return None;
            }
            continue;
        }
        let (u, v) = (-a / d, (s - a) / d);
        t0 = t0.max(u.min(v));
        t1 = t1.min(u.max(v));
    }
    (t0 <= t1).then_some((t0, t1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::{Palette, Settings};
    use std::collections::BTreeSet;

    const AREA: Rect = Rect { x: 0, y: 0, width: 20, height: 6 };

    fn plot(glyphs: Glyphs) -> Plot {
        Plot::new(AREA, Window { left: 0.0, top: 6.0, column: 1.0, row: 1.0 }, glyphs)
    }

    fn text(p: &Plot) -> Vec<String> {
        let mut buffer = Buffer::empty(AREA);
        let settings = Settings { glyphs: p.glyphs, palette: Palette::Mono, ..Settings::default() };
        p.paint(&mut buffer, Theme::new(settings));
        buffer.content().chunks(20).map(|r| r.iter().map(ratatui::buffer::Cell::symbol).collect()).collect()
    }

    /// Without colour every kind of stroke still looks different.
    #[test]
    fn strokes_are_told_apart_without_colour() {
        for glyphs in Glyphs::ALL {
            let inks = [Ink::Ground, Ink::Line, Ink::Slack, Ink::Leg(2), Ink::Feet, Ink::Caught];
            let mut looks = BTreeSet::new();
            for ink in inks {
                let mut p = plot(glyphs);
                let (a, b) = (DVec2::new(0.5, 3.4), DVec2::new(19.5, 3.4));
                match ink {
                    Ink::Ground => p.ground(&[a, b]),
                    ink => p.stroke(a, b, ink),
                }
                looks.insert(text(&p).join("\n"));
            }
            // With fewer signs the rarer strokes share one; each is named in the legend.
            let least = match glyphs {
                Glyphs::Braille => 6,
                Glyphs::Half | Glyphs::Ascii => 4,
            };
            assert!(looks.len() >= least, "{glyphs:?}: {looks:#?}");
        }
    }

    #[test]
    fn a_stroke_far_outside_is_cut() {
        let mut p = plot(Glyphs::Ascii);
        p.stroke(DVec2::new(-1e9, 3.5), DVec2::new(1e9, 3.5), Ink::Line);
        p.stroke(DVec2::new(f64::NAN, 0.0), DVec2::new(1.0, 1.0), Ink::Line);
        p.stroke(DVec2::new(0.0, 50.0), DVec2::new(9.0, 50.0), Ink::Line);
        let rows = text(&p);
        assert_eq!(rows[2], "=".repeat(20));
        assert!(rows.iter().enumerate().all(|(i, r)| i == 2 || r.trim().is_empty()), "{rows:?}");
    }

    #[test]
    fn labels_keep_apart_and_inside() {
        let mut p = plot(Glyphs::Braille);
        assert!(p.label("first", Style::new(), &[(2, 1)]));
        assert!(!p.label("second", Style::new(), &[(5, 1), (7, 1), (16, 2), (0, 9), (-1, 2)]));
        assert!(p.label("second", Style::new(), &[(5, 1), (8, 1)]));
        assert_eq!(text(&p)[1], "  first second      ");
    }

    /// Wherever labels are wished, each that is written stays whole.
    #[test]
    fn no_label_is_written_over() {
        let mut seed = 0x9e37_79b9_u32;
        let mut next = |n: i32| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 8) as i32 % n
        };
        for _ in 0..50 {
            let mut p = plot(Glyphs::Braille);
            let mut written = Vec::new();
            for k in 0..40 {
                let text = format!("<{k}{}>", "山".repeat(k % 3));
                let places: Vec<(i32, i32)> = (0..3).map(|_| (next(26) - 3, next(8) - 1)).collect();
                if p.label(&text, Style::new(), &places) {
                    written.push(text);
                }
            }
            let all = text(&p).join("\n");
            // The blank cell behind a wide character is its second half.
            let all = all.replace("山 ", "山");
            assert!(written.len() > 4 && written.iter().all(|t| all.contains(t)), "{written:?}\n{all}");
        }
    }

    #[test]
    fn a_label_hides_as_little_as_it_can() {
        let mut p = plot(Glyphs::Ascii);
        p.stroke(DVec2::new(0.5, 4.5), DVec2::new(19.5, 4.5), Ink::Line);
        assert!(p.label("kN", Style::new(), &[(4, 1), (4, 2)]));
        assert_eq!(text(&p)[2].trim(), "kN");
    }
}
