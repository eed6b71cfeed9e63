//! Draws the workbench's state; knows no key and changes nothing.

mod anchors;
mod elevation;
mod footer;
mod header;
mod hits;
mod influence;
mod motion;
mod overlay;
mod path;
mod piece;
mod plot;
mod worst;

use glam::{DVec2, DVec3};
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::symbols::border;
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Paragraph};

pub use hits::{FromAbove, Hits};

pub(super) use self::plot::Ink;
use super::layout::{SMALLEST, Wish, screen};
use super::theme::Theme;
use crate::app::{App, Look, Pane, Picture, Selected};
use crate::plan::{Role, Side};

/// Draws everything.
pub fn draw(frame: &mut Frame<'_>, app: &App) -> Hits {
    let theme = Theme::new(app.settings);
    let area = frame.area();
    frame.buffer_mut().set_style(area, theme.ground_style());
    let head = header::lines(app, theme, area.width);
    let wish = Wish { keys: app.pane, beside: app.beside, head: head.len() as u16 };
    let Some(s) = screen(area, wish) else {
        let (w, h) = SMALLEST;
        let text = format!("spanwright needs {w}x{h}; this is {}x{}", area.width, area.height);
        frame.render_widget(Paragraph::new(text), area);
        return Hits::default();
    };
    let mut hits = Hits { panes: s.panes.clone(), ..Hits::default() };
    header::draw(frame, s.header, head);
    for (pane, area) in &s.panes {
        let inner = framed(frame, *area, *pane, app, theme);
        match pane {
            Pane::Path => {
                let first = path::draw(frame, inner, app, theme);
                hits.lines.push((Pane::Path, inner, first));
            }
            Pane::Drawing => hits.above = drawing(frame, inner, app, theme, s.influence.is_none()),
            Pane::Piece => {
                let first = piece::draw(frame, inner, app, theme);
                hits.lines.push((Pane::Piece, inner, first));
            }
            Pane::Worst => {
                let (list, first) = worst::draw(frame, inner, app, theme);
                hits.lines.push((Pane::Worst, list, first));
            }
        }
    }
    if let Some(area) = s.influence {
        let inner = boxed(frame, area, "Influence line", false, theme);
        influence::draw(frame, inner, app, theme);
    }
    hits.track = footer::draw(frame, s.footer, app, theme);
    hits.list = overlay::draw(frame, area, app, theme);
    hits
}

/// Elevation above, the anchors from above below it, and with room the selected run's influence line. The picture of what
/// is selected grows while the drawing has the keys.
fn drawing(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme, with_influence: bool) -> Vec<FromAbove> {
    if app.solver.is_err() {
        let lines: Vec<Line<'_>> =
            piece::faults(app, usize::from(area.width)).into_iter().map(|l| Line::raw(theme.text(&l))).collect();
        frame.render_widget(Paragraph::new(lines), area);
        return Vec::new();
    }
    if let Some(w) = &app.watching {
        motion::draw(frame, area, app, w, theme);
        return Vec::new();
    }
    let strip = if with_influence && area.height >= 22 { (area.height / 4).min(9) } else { 0 };
    let rest = area.height - strip;
    let keys = app.pane == Pane::Drawing;
    let (share, alone) = match (keys, app.picture()) {
        (true, Picture::Elevation) => (62, None),
        // Where two plans would be small, the other one makes room.
        (true, Picture::Anchor(side)) => (38, (area.width < 90).then_some(side)),
        (false, _) => (if area.height >= 26 { 44 } else { 52 }, None),
    };
    let upper = (rest * share).div_ceil(100);
    let top = Rect { height: upper, ..area };
    let bottom = Rect { y: area.y + upper, height: rest - upper, ..area };
    elevation::draw(frame, top, app, theme);
    let mut above = Vec::new();
    if let Some(side) = alone {
        above.extend(anchors::draw(frame, bottom, app, theme, side));
    } else {
        let half = bottom.width / 2;
        let left = Rect { width: half.saturating_sub(1), ..bottom };
        above.extend(anchors::draw(frame, left, app, theme, Side::A));
        let right = Rect { x: bottom.x + half, width: bottom.width - half, ..bottom };
        above.extend(anchors::draw(frame, right, app, theme, Side::B));
    }
    if strip > 0 {
        influence::draw(frame, Rect { y: area.y + rest, height: strip, ..area }, app, theme);
    }
    above
}

/// Where what is selected is: a point, the middle of a leg, the walker on the line.
fn focus(app: &App) -> Option<DVec3> {
    let rig = &app.solver.as_ref().ok()?.rig;
    let view = app.view.as_ref()?;
    let response = view.response.as_ref();
    let place = |i: usize| response.map_or(rig.spots[i].place, |r| r.places[i]);
    match &app.selected {
        Selected::Point(name) => rig.spots.iter().position(|s| s.name == *name).map(place),
        s => {
            let run = app.file.plan.runs.get_index_of(s.run()?)?;
            match rig.legs.iter().find(|l| l.run == run) {
                Some(leg) => Some(leg.path.iter().map(|&p| place(p)).sum::<DVec3>() / leg.path.len() as f64),
                None if app.file.plan.runs[run].role == Role::Main => view.walkers.first().copied(),
                None => None,
            }
        }
    }
}

/// The middle of a picture and its metres to a column, as closely looked at as is wished: around what is selected, when
/// it is not all shown.
fn nearness(look: Look, all: DVec2, here: Option<DVec2>, column: f64, columns: DVec2) -> (DVec2, f64) {
    let column = column / look.zoom();
    let middle = if look.steps > 0 { here.unwrap_or(all) } else { all };
    (middle + look.pan * columns * column, column)
}

fn framed(frame: &mut Frame<'_>, area: Rect, pane: Pane, app: &App, theme: Theme) -> Rect {
    let focused = app.pane == pane && app.overlay.is_none();
    // A title that does not fit loses what stands behind its colon.
    let title = pane.title();
    let fits = title.len() + 4 <= usize::from(area.width);
    let title = if fits { title } else { title.split(':').next().unwrap_or(title) };
    boxed(frame, area, title, focused, theme)
}

fn boxed(frame: &mut Frame<'_>, area: Rect, title: &str, focused: bool, theme: Theme) -> Rect {
    let title = Span::styled(format!(" {title} "), theme.title(focused));
    let mut block = Block::bordered().title(title).border_style(theme.border(focused));
    if theme.ascii() {
        block = block.border_set(ASCII);
    } else if focused {
        // Without colour, too, the pane that has the keys is told by its frame.
        block = block.border_set(border::THICK);
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
