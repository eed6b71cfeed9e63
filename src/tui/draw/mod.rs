//! Draws the workbench's state; knows no key and changes nothing.

mod anchors;
mod elevation;
mod footer;
mod header;
mod hits;
mod influence;
mod overlay;
mod path;
mod piece;
mod worst;

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::symbols::border;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};

pub use hits::{FromAbove, Hits};

use super::layout::{SMALLEST, screen};
use super::theme::Theme;
use crate::app::{App, Pane};
use crate::plan::Side;

/// Draws everything.
pub fn draw(frame: &mut Frame<'_>, app: &App) -> Hits {
    let theme = Theme::new(app.settings);
    let area = frame.area();
    let Some(s) = screen(area, app.beside) else {
        let (w, h) = SMALLEST;
        let text = format!("spanwright needs {w}x{h}; this is {}x{}", area.width, area.height);
        frame.render_widget(Paragraph::new(text), area);
        return Hits::default();
    };
    let mut hits = Hits { panes: s.panes.clone(), ..Hits::default() };
    header::draw(frame, s.header, app, theme);
    for (pane, area) in &s.panes {
        let inner = framed(frame, *area, *pane, app, theme);
        match pane {
            Pane::Path => {
                let first = path::draw(frame, inner, app, theme);
                hits.lines.push((Pane::Path, inner, first));
            }
            Pane::Drawing => hits.above = drawing(frame, inner, app, theme),
            Pane::Piece => {
                let first = piece::draw(frame, inner, app, theme);
                hits.lines.push((Pane::Piece, inner, first));
            }
            Pane::Worst => {
                let first = worst::draw(frame, inner, app, theme);
                hits.lines.push((Pane::Worst, inner, first));
            }
        }
    }
    hits.track = footer::draw(frame, s.footer, app, theme);
    hits.list = overlay::draw(frame, area, app, theme);
    hits
}

/// Elevation above, the anchors from above below it, and with room the selected run's influence line.
fn drawing(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Vec<FromAbove> {
    if app.solver.is_err() {
        let lines: Vec<Line<'_>> =
            piece::faults(app, usize::from(area.width)).into_iter().map(|l| Line::raw(theme.text(&l))).collect();
        frame.render_widget(Paragraph::new(lines), area);
        return Vec::new();
    }
    let strip = if area.height >= 22 { (area.height / 4).min(9) } else { 0 };
    let rest = area.height - strip;
    let upper = rest.div_ceil(2);
    let top = Rect { height: upper, ..area };
    let bottom = Rect { y: area.y + upper, height: rest - upper, ..area };
    elevation::draw(frame, top, app, theme);
    let half = bottom.width / 2;
    let a = anchors::draw(frame, Rect { width: half, ..bottom }, app, theme, Side::A);
    let right = Rect { x: bottom.x + half, width: bottom.width - half, ..bottom };
    let b = anchors::draw(frame, right, app, theme, Side::B);
    if strip > 0 {
        influence::draw(frame, Rect { y: area.y + rest, height: strip, ..area }, app, theme);
    }
    a.into_iter().chain(b).collect()
}

fn framed(frame: &mut Frame<'_>, area: Rect, pane: Pane, app: &App, theme: Theme) -> Rect {
    let focused = app.pane == pane && app.overlay.is_none();
    let title = Span::styled(format!(" {} ", pane.title()), theme.title(focused));
    let mut block = Block::bordered().title(title).border_style(theme.border(focused));
    if theme.ascii {
        block = block.border_set(ASCII);
    }
    let inner = block.inner(area);
    frame.render_widget(block, area);
    inner
}

pub(super) const ASCII: border::Set<'_> = border::Set {
    top_left: "+",
    top_right: "+",
    bottom_left: "+",
    bottom_right: "+",
    vertical_left: "|",
    vertical_right: "|",
    horizontal_top: "-",
    horizontal_bottom: "-",
};

/// `text` cut to `width` columns, or filled with blanks.
fn fit(text: &str, width: usize) -> String {
    use unicode_width::{UnicodeWidthChar as _, UnicodeWidthStr as _};
    if text.width() <= width {
        return format!("{text}{}", " ".repeat(width - text.width()));
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        let w = c.width().unwrap_or(0);
        if used + w + 1 > width {
            break;
        }
        out.push(c);
        used += w;
    }
    if width > used {
        out.push('…');
        used += 1;
    }
    out + &" ".repeat(width.saturating_sub(used))
}

/// The first line to show so that line `at` of `count` is in a window of `height`.
fn window(at: usize, count: usize, height: usize) -> usize {
    if count <= height { 0 } else { at.saturating_sub(height / 2).min(count - height) }
}
