//! Draws the workbench's state; knows no key and changes nothing.

mod anchors;
mod bar;
mod day;
mod edges;
mod footer;
mod gap;
mod header;
mod hits;
mod influence;
mod lesson;
mod motion;
mod new_plan;
mod over;
mod overlay;
mod path;
mod piece;
mod plot;
mod rescue;
mod stay;
mod trip;
mod unsure;
mod worst;

use glam::{DVec2, DVec3};
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::symbols::border;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

pub use hits::{FromAbove, Hits};

pub(super) use self::plot::Ink;
use super::layout::{Screen, Wish, screen};
use super::theme::{Role, Theme};
use crate::app::{App, Look, Pane, Picture, Selected};
use crate::plan::Role as RunRole;

/// Draws everything.
pub fn draw(frame: &mut Frame<'_>, app: &App) -> Hits {
    let theme = Theme::new(app.settings);
    let area = frame.area();
    frame.buffer_mut().set_style(area, theme.ground_style());
    let side = match app.picture() {
        Picture::Anchor(side) => side,
        Picture::Gap => app.side,
    };
    let Some(s) = screen(area, Wish { keys: app.pane, beside: app.beside, side, lesson: app.lesson.is_some() }) else {
        header::alone(frame, area, app, theme);
        return Hits::default();
    };
    let mut hits = Hits { panes: s.panes().collect(), ..Hits::default() };
    header::title(frame, s.title, app, theme);
    header::headline(frame, s.headline, app, theme);
    if let Some(area) = s.lesson {
        lesson::draw(frame, area, app, theme);
    }
    if let Some(area) = s.tabs {
        tabs(frame, area, app, theme);
    }
    panes(frame, &s, app, theme, &mut hits);
    hits.track = footer::draw(frame, &s, app, theme);
    if app.overlay.is_some() {
        // What lies behind recedes; the caution and the last row stay as they are.
        let behind = Rect { y: area.y + 1, height: area.height.saturating_sub(2), ..area };
        for at in behind.positions() {
            // What is looked for narrows the path: that stays as it is.
            if app.looked_for().is_some() && s.path.is_some_and(|p| p.contains(at)) {
                continue;
            }
            if let Some(cell) = frame.buffer_mut().cell_mut(at) {
                let plain = theme.role(Role::Faint);
                cell.set_style(ratatui::style::Style::reset()).set_style(theme.ground_style()).set_style(plain);
            }
        }
        hits.list = overlay::draw(frame, behind, app, theme);
    }
    hits
}

fn panes(frame: &mut Frame<'_>, s: &Screen, app: &App, theme: Theme, hits: &mut Hits) {
    if let Some(area) = s.path {
        let inner = headed(frame, area, Pane::Path, Pane::Path.title(), "", app, theme);
        let (from, words) = path::heads(area.width, app);
        let from = from as u16;
        let row = Rect { x: area.x + from, width: area.width.saturating_sub(from), height: 1, ..area };
        frame.render_widget(Paragraph::new(Line::styled(theme.text(&words), theme.quiet())), row);
        let rows = path::draw(frame, inner, app, theme);
        hits.lines.push((Pane::Path, inner, rows));
    }
    // The player takes the place of gap and anchor.
    let watching = app.watching.as_ref().and_then(|w| Some((w, s.picture()?)));
    if let Some((w, whole)) = watching {
        let inner = headed(frame, whole, Pane::Drawing, "Fall or failure", "", app, theme);
        motion::draw(frame, inner, app, w, theme);
    } else if let Some(area) = s.gap {
        if app.solver.is_err() {
            let inner = headed(frame, area, Pane::Drawing, "Gap", "", app, theme);
            let lines = piece::faults(app, usize::from(inner.width));
            let lines: Vec<Line<'_>> = lines.into_iter().map(|l| Line::raw(theme.text(&l))).collect();
            frame.render_widget(Paragraph::new(lines), inner);
        } else {
            headed(frame, area, Pane::Drawing, "Gap", &gap::head(app, area), app, theme);
            gap::draw(frame, area, app, theme);
        }
    }
    if app.watching.is_none() && app.solver.is_ok() {
        for (side, area) in &s.anchors {
            let label = &app.file.plan.site.labels[*side as usize];
            let name = format!("{side:?}");
            let title = if *label == name { format!("Anchor {name}") } else { format!("Anchor {name}, {label}") };
            headed(
                frame,
                *area,
                Pane::Drawing,
                &crate::document::plain(&title),
                &anchors::head(app, *side),
                app,
                theme,
            );
            hits.above.extend(anchors::draw(frame, *area, app, theme, *side));
        }
    }
    if let Some(area) = s.influence.filter(|_| app.watching.is_none()) {
        let (name, said) = influence::head(app);
        head_row(frame, area, &name, &said, false, theme);
        influence::draw(frame, area, app, theme);
    }
    if let Some(area) = s.piece {
        let inner = headed(frame, area, Pane::Piece, &piece::title(app), "", app, theme);
        let inner = Rect { x: inner.x + 1, width: inner.width.saturating_sub(1), ..inner };
        let rows = piece::draw(frame, inner, app, theme);
        hits.lines.push((Pane::Piece, inner, rows));
    }
    if let Some(area) = s.worst {
        let inner = headed(frame, area, Pane::Worst, Pane::Worst.title(), "", app, theme);
        let rows = worst::draw(frame, inner, app, theme);
        hits.lines.push((Pane::Worst, inner, rows));
    }
}

/// The names of all panes, where only one is on screen.
fn tabs(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let mut spans = Vec::new();
    for pane in Pane::ALL {
        let style = if pane == app.pane { theme.title(true) } else { theme.quiet() };
        spans.push(Span::styled(format!(" {} ", pane.name().to_lowercase()), style));
    }
    spans.push(Span::styled("  tab", theme.quiet()));
    frame.render_widget(Paragraph::new(Line::from(spans)), area);
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
                None if app.file.plan.runs[run].role == RunRole::Main => view.walkers.first().copied(),
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

/// Draws the head of a pane: its name on a thin rule, and what its columns or its picture are; what is below it.
fn headed(frame: &mut Frame<'_>, area: Rect, pane: Pane, title: &str, said: &str, app: &App, theme: Theme) -> Rect {
    head_row(frame, area, title, said, app.pane == pane && app.overlay.is_none(), theme);
    Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area }
}

fn head_row(frame: &mut Frame<'_>, area: Rect, title: &str, said: &str, focused: bool, theme: Theme) {
    let width = usize::from(area.width);
    let title = cut(title, width.saturating_sub(3));
    let said = cut(said, width.saturating_sub(title.width() + 5));
    let rule = width.saturating_sub(title.width() + said.width() + 4);
    let row = Rect { height: 1, ..area };
    let line = Line::from(vec![
        Span::styled(theme.text(&format!(" {title} ")), theme.title(focused)),
        Span::styled(theme.text(&"─".repeat(rule)), theme.role(Role::Faint)),
        Span::styled(theme.text(&format!(" {said} ")), theme.quiet()),
    ]);
    frame.render_widget(Paragraph::new(line), row);
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

/// `text` cut to `width` columns at the end of a word, where it is longer.
fn cut(text: &str, width: usize) -> String {
    use unicode_width::UnicodeWidthStr as _;
    if text.width() <= width {
        return text.to_owned();
    }
    let short = fit(text, width);
    let short = short.trim_end().trim_end_matches('…');
    let whole = match short.rsplit_once(' ') {
        Some((words, _)) if words.width() * 3 >= width * 2 => words.trim_end_matches([',', ';', ':', ' ']),
        _ => short,
    };
    if whole.width() < width { format!("{whole}…") } else { whole.to_owned() }
}

/// The first words of `text` that fit, parted at its commas; what comes after them says less.
fn brief(text: &str, width: usize) -> String {
    let mut out = text;
    while out.width() > width {
        match out.rsplit_once(", ") {
            Some((shorter, _)) => out = shorter,
            None => return cut(out, width),
        }
    }
    out.to_owned()
}

/// The first line to show so that line `at` of `count` is in a window of `height`.
fn window(at: usize, count: usize, height: usize) -> usize {
    if count <= height { 0 } else { at.saturating_sub(height / 2).min(count - height) }
}
