//! The load path: every piece with its demand and factor.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::{fit, window};
use crate::app::{App, Entry, Pane};
use crate::document::plain;
use crate::review::{Row, Verdict};
use crate::tui::theme::Theme;

/// Draws it; the number of the first line shown.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> usize {
    let at = app.outline.iter().position(|e| e.selected.as_ref() == Some(&app.selected)).unwrap_or(0);
    let height = usize::from(area.height);
    let first = window(at, app.outline.len(), height);
    let lines: Vec<Line<'_>> = app
        .outline
        .iter()
        .enumerate()
        .skip(first)
        .take(height)
        .map(|(i, e)| line(app, e, i == at, usize::from(area.width), theme))
        .collect();
    frame.render_widget(Paragraph::new(lines), area);
    first
}

fn line<'a>(app: &App, e: &Entry, here: bool, width: usize, theme: Theme) -> Line<'a> {
    if e.selected.is_none() {
        return Line::from(Span::styled(theme.text(&fit(&e.text, width)), Style::new().add_modifier(Modifier::BOLD)));
    }
    let row = app.worst_of(e);
    let bar_width = if width >= 48 { 8 } else { 0 };
    // Too narrow for everything: the factor stays.
    let narrow = width < 34;
    let numbers = if narrow { 11 } else { 20 } + if bar_width > 0 { bar_width + 1 } else { 0 };
    let label = format!("{}{}", " ".repeat(e.depth), plain(&e.text));
    let style = if here { theme.cursor(app.pane == Pane::Path) } else { Style::new() };
    let mut spans = vec![Span::styled(theme.text(&fit(&label, width.saturating_sub(numbers))), style)];
    let stale = if app.fresh() { "" } else { "~" };
    match row {
        Some(r) => {
            if let (Some(before), true) = (app.factor_before(r), bar_width > 0) {
                let change = r.factor - before;
                let text = if change.is_finite() && change.abs() >= 0.05 {
                    format!("{stale}{change:+.1}")
                } else {
                    "=".to_owned()
                };
                spans.push(Span::raw(format!("{text:>bar_width$} ")));
            } else if bar_width > 0 {
                spans.push(Span::styled(theme.text(&bar(r, bar_width)), theme.verdict(r.verdict)));
                spans.push(Span::raw(" "));
            }
            let system = app.settings.system;
            let factor = format!(
                "{stale}{}/{}",
                r.found(system),
                if r.is_height() { r.asked(system) } else { r.required.to_string() }
            );
            let demand = format!("{stale}{}", r.sees(system));
            let demand = if narrow { String::new() } else { format!("{demand:>9}") };
            let text = format!("{demand}{factor:>9} {}", sign(r.verdict));
            spans.push(Span::styled(theme.text(&text), theme.verdict(r.verdict)));
        }
        None => spans.push(Span::raw(" ".repeat(numbers))),
    }
    Line::from(spans)
}

/// Meets is the quiet case: only what does not meet gets a sign.
fn sign(v: Verdict) -> &'static str {
    if v == Verdict::Meets { " " } else { v.sign() }
}

/// How much of its required margin a piece uses: full when it just meets.
fn bar(r: &Row, width: usize) -> String {
    let used = (r.required / r.factor).clamp(0.0, 1.0);
    let full = if used.is_finite() { (used * width as f64).round() as usize } else { 0 };
    format!("{}{}", "█".repeat(full), "·".repeat(width - full))
}
