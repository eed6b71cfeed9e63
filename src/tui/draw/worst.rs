//! What is worst, and what the rules say.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::{fit, window};
use crate::app::{App, Pane, WorstRow};
use crate::document::plain;
use crate::review::Review;
use crate::sheets::wrap;
use crate::tui::theme::Theme;

/// Draws it; where the list stands, and the number of the first line shown.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> (Rect, usize) {
    let width = usize::from(area.width);
    let rows = app.worst_rows();
    let Some(review) = &app.review else {
        let text =
            if app.review_faults.is_empty() { "working…" } else { "nothing: the plan cannot be worked out (f)" };
        frame.render_widget(Paragraph::new(theme.text(text)), area);
        return (area, 0);
    };
    let texts: Vec<(String, Style)> = rows.iter().map(|r| line(app, review, r, theme)).collect();
    // What is under the cursor is read in full below the list, when its line is cut.
    let mark = if app.fresh() { "" } else { "~" };
    let whole = texts.get(app.worst_at).map(|t| wrap(&t.0, width.saturating_sub(mark.len()), 2)).unwrap_or_default();
    let height = usize::from(area.height);
    let below = if app.pane == Pane::Worst && whole.len() > 1 { (whole.len() + 1).min(height / 2) } else { 0 };
    let height = height - below;
    let first = window(app.worst_at, rows.len(), height);
    let shown = texts.iter().enumerate().skip(first).take(height).map(|(i, (text, style))| {
        let style = if i == app.worst_at { theme.cursor(app.pane == Pane::Worst) } else { *style };
        Line::from(Span::styled(theme.text(&fit(text, width)), style))
    });
    let rule = (below > 0).then(|| Line::raw(theme.text(&"─".repeat(width))));
    let rest = whole.iter().take(below.saturating_sub(1)).map(|l| Line::raw(format!("{mark}{}", theme.text(l))));
    let lines: Vec<Line<'_>> = shown.chain(rule).chain(rest).collect();
    frame.render_widget(Paragraph::new(lines), area);
    (Rect { height: height as u16, ..area }, first)
}

/// One line of the list, whole.
fn line(app: &App, review: &Review, row: &WorstRow, theme: Theme) -> (String, Style) {
    let stale = if app.fresh() { "" } else { "~" };
    match row {
        WorstRow::Row(k) => {
            let r = &review.rows[*k];
            let text = format!(
                "{} {stale}{} of {}  {}  {stale}{}, {}",
                r.verdict.sign(),
                r.found(app.settings.system),
                r.asked(app.settings.system),
                r.place,
                r.sees(app.settings.system),
                r.class_and_case()
            );
            (plain(&text), theme.verdict(r.verdict))
        }
        WorstRow::Finding(k) => {
            let f = &review.findings[*k];
            let at = if f.at.is_empty() { String::new() } else { format!("{}: ", f.at) };
            let text = format!("{stale}{} {at}{} — {}", f.gravity.word(), f.text, f.remedy);
            (plain(&text), theme.gravity(f.gravity))
        }
    }
}
