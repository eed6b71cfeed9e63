//! A document as plain text, so many columns wide.

use unicode_width::UnicodeWidthStr;

use super::super::text::wrap;
use super::{Block, Drawing, Page};

/// Blanks between columns.
const GAP: usize = 2;
/// A drawing narrower than this is one for a column, mm.
const COLUMN_MM: f64 = 100.0;

fn put(out: &mut String, text: &str, indent: usize, width: usize) {
    for l in wrap(text, width, indent) {
        out.push_str(&l);
        out.push('\n');
    }
}

/// Names, and beside them what they come to.
fn facts(out: &mut String, all: &[(String, String)], width: usize) {
    let left = all.iter().map(|f| f.0.width()).max().unwrap_or(0).min(34);
    for (name, what) in all {
        let dots = "·".repeat((left + 1).saturating_sub(name.width()).max(1));
        put(out, &format!("{name}{dots} {what}"), left + 2, width);
    }
}

/// Where pages of paper end, by the page on which each block ends, there is a line; drawings are painted in so many cells.
pub(super) fn text(page: &Page, width: usize, ends: &[usize], paint: fn(&Drawing, usize) -> Vec<String>) -> String {
    let mut out = String::new();
    put(&mut out, &page.title, 0, width);
    out += &format!("{}\n", "=".repeat(page.title.width().min(width)));
    for s in &page.subtitle {
        put(&mut out, s, 2, width);
    }
    for (k, block) in page.blocks.iter().enumerate() {
        if let (Some(before), Some(now)) = (k.checked_sub(1).and_then(|k| ends.get(k)), ends.get(k))
            && before < now
        {
            let said = format!("── page {now} ");
            out += &format!("\n{said}{}\n", "─".repeat(width.saturating_sub(said.width())));
        }
        out.push('\n');
        match block {
            Block::Heading(t) => out += &format!("{t}\n{}\n", "-".repeat(t.width().min(width))),
            Block::Text(t) => put(&mut out, t, 0, width),
            Block::Warning(t) => put(&mut out, &format!("! {t}"), 2, width),
            Block::Facts(all) => facts(&mut out, all, width),
            Block::Figures(all) => {
                let said: Vec<(String, String)> =
                    all.iter().map(|[name, figure, more]| (name.clone(), format!("{figure}; {more}"))).collect();
                facts(&mut out, &said, width);
            }
            Block::Table { head, rows } => table(&mut out, head, rows, width),
            Block::Checks { boxes, lines } => {
                let marks = "[ ]".repeat(boxes.len().max(1));
                for l in lines {
                    put(&mut out, &format!("{marks} {l}"), marks.len() + 1, width);
                }
            }
            Block::Steps(lines) => {
                for (k, l) in lines.iter().enumerate() {
                    put(&mut out, &format!("[ ] {:>2}. {l}", k + 1), 8, width);
                }
            }
            Block::Blanks(lines) => {
                for l in lines {
                    out += &format!("{l} {}\n", "_".repeat(width.saturating_sub(l.width() + 1).clamp(8, 40)));
                }
            }
            Block::Columns(_) | Block::NextColumn | Block::OtherSide => {
                out.pop();
            }
            Block::Edge(_) => put(&mut out, Page::NO_EDGE, 2, width),
            Block::Drawing(d, words) => {
                // A drawing for one column on paper needs no more of the screen either.
                let columns = if d.size[0] < COLUMN_MM { 64.min(width) } else { width };
                for l in paint(d, columns) {
                    out.push_str(&l);
                    out.push('\n');
                }
                for l in words {
                    put(&mut out, l, 2, width);
                }
            }
        }
    }
    out.push('\n');
    put(&mut out, Page::caution(), 0, width);
    put(&mut out, &format!("{}.", page.origin), 0, width);
    out
}

/// Columns as wide as they must be, the widest words broken into lines until all fits.
fn table(out: &mut String, head: &[(String, bool)], rows: &[Vec<String>], width: usize) {
    let columns = head.len();
    let cell = |r: &Vec<String>, c: usize| r.get(c).cloned().unwrap_or_default();
    let mut widths: Vec<usize> = (0..columns)
        .map(|c| rows.iter().map(|r| cell(r, c).width()).chain([head[c].0.width()]).max().unwrap_or(1).max(1))
        .collect();
    // The widest column of words gives way, down to its longest word; then the gaps; then words are broken.
    let longest = |c: usize| {
        let words = rows.iter().map(|r| cell(r, c)).chain([head[c].0.clone()]);
        words.flat_map(|t| t.split_whitespace().map(UnicodeWidthStr::width).collect::<Vec<_>>()).max().unwrap_or(1)
    };
    let least: Vec<usize> = (0..columns).map(longest).collect();
    let mut gap = GAP;
    while widths.iter().sum::<usize>() + gap * columns.saturating_sub(1) > width {
        let spare = (0..columns).filter(|c| widths[*c] > least[*c]).max_by_key(|c| (!head[*c].1, widths[*c]));
        match spare.or_else(|| (0..columns).max_by_key(|c| widths[*c])) {
            Some(c) if spare.is_some() => widths[c] -= 1,
            _ if gap > 1 => gap = 1,
            Some(c) if widths[c] > 4 => widths[c] -= 1,
            _ => break,
        }
    }
    let heads: Vec<String> = head.iter().map(|h| h.0.clone()).collect();
    let rule: Vec<String> = widths.iter().map(|w| "-".repeat(*w)).collect();
    for row in std::iter::once(&heads).chain([&rule]).chain(rows) {
        let cells: Vec<Vec<String>> = (0..columns)
            .map(|c| {
                let lines: Vec<String> =
                    wrap(&cell(row, c), widths[c], 0).iter().flat_map(|l| cut(l, widths[c])).collect();
                if lines.is_empty() { vec![String::new()] } else { lines }
            })
            .collect();
        for k in 0..cells.iter().map(Vec::len).max().unwrap_or(1) {
            let mut line = String::new();
            for c in 0..columns {
                let text = cells[c].get(k).map_or("", String::as_str);
                let fill = " ".repeat(widths[c].saturating_sub(text.width()));
                line += &if head[c].1 { format!("{fill}{text}") } else { format!("{text}{fill}") };
                line += &" ".repeat(gap);
            }
            out.push_str(line.trim_end());
            out.push('\n');
        }
    }
}

/// A word longer than a column, in pieces that fit.
fn cut(line: &str, width: usize) -> Vec<String> {
    let mut out = vec![String::new()];
    for c in line.chars() {
        if out.last().is_some_and(|l| l.width() + unicode_width::UnicodeWidthChar::width(c).unwrap_or(0) > width) {
            out.push(String::new());
        }
        if let Some(l) = out.last_mut() {
            l.push(c);
        }
    }
    out
}
