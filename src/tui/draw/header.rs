//! Title, verdict, what limits the rig.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::fit;
use crate::app::App;
use crate::document::plain;
use crate::sheets::wrap;
use crate::tui::theme::Theme;

/// Rows of title and verdict; the limiting sentence is never cut, up to [`MOST`] rows.
pub(super) fn lines<'a>(app: &App, theme: Theme, width: u16) -> Vec<Line<'a>> {
    let width = usize::from(width);
    let state = match (&app.review, app.fresh(), app.review_faults.is_empty()) {
        (_, _, false) => "not worked out".to_owned(),
        (Some(r), true, _) => format!("{} situations", r.cases.len() + r.unsolved.len()),
        (Some(_), false, _) => "working; numbers marked ~ are of the plan before".to_owned(),
        (None, ..) => "working".to_owned(),
    };
    let mark = if app.unsaved() { " · not saved" } else { "" };
    let title = format!(" {}{mark}", plain(&app.file.plan.title));
    let room = width.saturating_sub(state.width() + 2);
    let bar = Style::new().add_modifier(Modifier::REVERSED);
    let first = Line::from(Span::styled(theme.text(&format!("{} {state} ", fit(&title, room))), bar));
    let (verdict, text) = app.verdict_line();
    let style = match verdict {
        Some(v) => theme.verdict(v),
        None if app.review_faults.is_empty() => Style::new(),
        None => theme.alarm(),
    };
    let mut lines = vec![first];
    let stale = if app.review.is_some() && !app.fresh() { '~' } else { ' ' };
    let wrapped = wrap(&text, width.saturating_sub(2), 1);
    for (i, l) in wrapped.iter().take(MOST).enumerate() {
        let cut = i + 1 == MOST && wrapped.len() > MOST;
        let l = if cut { fit(&format!("{l} …{}", " ".repeat(width)), width.saturating_sub(1)) } else { l.clone() };
        let style = if i == 0 { style } else { Style::new() };
        lines.push(Line::from(Span::styled(format!("{stale}{}", theme.text(&l)), style)));
    }
    lines
}

/// Rows of the limiting sentence at most; what is cut then stands with the piece that limits.
const MOST: usize = 5;

/// Draws them.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, lines: Vec<Line<'_>>) {
    frame.render_widget(Paragraph::new(lines), area);
}
