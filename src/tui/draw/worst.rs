//! What is worst, and what the rules say.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::{fit, window};
use crate::app::{App, Pane, WorstRow};
use crate::document::plain;
use crate::review::factor_text;
use crate::tui::theme::Theme;
use crate::units::{Dim, show};

/// Draws it; the number of the first line shown.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> usize {
    let width = usize::from(area.width);
    let rows = app.worst_rows();
    let Some(review) = &app.review else {
        let text =
            if app.review_faults.is_empty() { "working…" } else { "nothing: the plan cannot be worked out (f)" };
        frame.render_widget(Paragraph::new(theme.text(text)), area);
        return 0;
    };
    let height = usize::from(area.height);
    let first = window(app.worst_at, rows.len(), height);
    let stale = if app.fresh() { "" } else { "~" };
    let lines: Vec<Line<'_>> = rows
        .iter()
        .enumerate()
        .skip(first)
        .take(height)
        .map(|(i, row)| {
            let (text, style) = match row {
                WorstRow::Row(k) => {
                    let r = &review.rows[*k];
                    let text = format!(
                        "{} {stale}{} of {}  {}  {}, {} {}",
                        r.verdict.sign(),
                        factor_text(r.factor),
                        factor_text(r.required),
                        r.place,
                        show(Dim::Force, r.demand_n, app.settings.system),
                        r.class.word(),
                        r.case
                    );
                    (text, theme.verdict(r.verdict))
                }
                WorstRow::Finding(k) => {
                    let f = &review.findings[*k];
                    let at = if f.at.is_empty() { String::new() } else { format!("{}: ", f.at) };
                    (format!("{} {at}{} — {}", f.gravity.word(), f.text, f.remedy), theme.gravity(f.gravity))
                }
            };
            let style = if i == app.worst_at { theme.cursor(app.pane == Pane::Worst) } else { style };
            Line::from(Span::styled(theme.text(&fit(&plain(&text), width)), style))
        })
        .collect();
    frame.render_widget(Paragraph::new(lines), area);
    first
}
