//! Walker, message, keys.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::fit;
use crate::app::{App, COMMANDS, InView, Where};
use crate::document::plain;
use crate::tui::theme::Theme;
use crate::units::{Dim, Quantity as _, show};

/// Always in sight.
const CAUTION: &str = "planning aid: judge on site, makers' instructions and local codes first";

/// Draws it; where the walker's track stands.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Rect {
    let width = usize::from(area.width);
    let stale = if app.fresh() || app.review.is_none() { "" } else { "~" };
    let counts = format!("{stale}{}", app.counts_line());
    let mass = app.file.plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
    let who = if app.situation == InView::Standing {
        "nobody on it".to_owned()
    } else {
        format!("{:.2} · {}", app.walker, show(Dim::Mass, mass, app.settings.system))
    };
    let track_width = width.saturating_sub(14 + who.width() + counts.width() + 4).clamp(10, 60);
    let at = (app.walker * (track_width - 1) as f64).round() as usize;
    let track: String =
        (0..track_width).map(|i| if i == at && app.situation != InView::Standing { '●' } else { '─' }).collect();
    let first = format!(" Walker A ├{track}┤ B {who}");
    let first = format!("{}{counts} ", fit(&first, width.saturating_sub(counts.width() + 1)));
    let message = match app.log.last() {
        Some(m) => format!(" {} {}", if app.alarm { "!" } else { "·" }, plain(m)),
        None => format!(" {CAUTION}"),
    };
    let message = if message.width() + CAUTION.width() + 3 < width && !app.log.is_empty() {
        format!("{}{CAUTION} ", fit(&message, width - CAUTION.width() - 1))
    } else {
        message
    };
    let style = if app.alarm { theme.alarm() } else { theme.quiet() };
    frame.render_widget(
        Paragraph::new(vec![
            Line::raw(theme.text(&first)),
            Line::from(Span::styled(theme.text(&fit(&message, width)), style)),
            Line::raw(theme.text(&fit(&hints(app, width), width))),
        ]),
        area,
    );
    Rect { x: area.x + 11, y: area.y, width: track_width as u16, height: 1 }
}

/// Commands that most need a hint, in order; those of the pane with the keys come first.
const HINTED: &[&str] = &[
    "edit",
    "open-piece",
    "jump",
    "next-pane",
    "zoom-in",
    "help",
    "undo",
    "save",
    "quit",
    "walker-b",
    "situation",
    "palette",
    "limit",
    "add-part",
    "unset",
    "find",
];

fn hints(app: &App, width: usize) -> String {
    let mut out = String::new();
    for id in HINTED {
        let Some(c) = COMMANDS.iter().find(|c| c.id == *id) else {
            continue;
        };
        let here = match c.place {
            Where::Anywhere => true,
            Where::In(p) => p == app.pane,
        };
        if !here || !(c.when)(app) {
            continue;
        }
        let Some(mut key) = app.keymap.first(id) else {
            continue;
        };
        let mut name = c.name;
        if *id == "walker-b" {
            let Some(other) = app.keymap.first("walker-a") else { continue };
            (key, name) = (format!("{other} {key}"), if app.watching.is_some() { "time" } else { "walker" });
        }
        let piece = format!(" {key} {name} ");
        if out.width() + piece.width() + 1 > width {
            break;
        }
        if !out.is_empty() {
            out.push('·');
        }
        out += &piece;
    }
    out
}
