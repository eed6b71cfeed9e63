//! How the tension of the selected run changes as one walker walks along: its influence line.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::symbols::Marker;
use ratatui::text::Span;
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Line as Stroke};

use super::fit;
use crate::app::App;
use crate::tui::theme::Theme;
use crate::units::{Dim, show};

/// Draws the curve, when a run of the reviewed plan is selected.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let (Some(review), Some(run)) = (&app.review, app.selected.run()) else { return };
    let Some(i) = review.run_names.iter().position(|n| n == run) else { return };
    let curve: Vec<(f64, f64)> = review.influence.iter().map(|(at, t)| (*at, t[i])).collect();
    let Some(peak) = curve.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).filter(|p| p.1 > 0.0) else {
        let text = format!("{run}: slack wherever one walker is");
        frame.render_widget(Paragraph::new(theme.text(&text)).style(theme.quiet()), Rect { height: 1, ..area });
        return;
    };
    let stale = if app.fresh() { "" } else { "~ " };
    let head = format!(
        "{stale}{run}, one walker from A to B: peaks at {} at {:.2}",
        show(Dim::Force, peak.1, app.settings.system),
        peak.0
    );
    frame.render_widget(
        Paragraph::new(theme.text(&fit(&head, usize::from(area.width)))).style(theme.quiet()),
        Rect { height: 1, ..area },
    );
    if area.height < 3 {
        return;
    }
    let marker = if theme.ascii { Marker::Custom('.') } else { Marker::Braille };
    let canvas = Canvas::default().marker(marker).x_bounds([0.0, 1.0]).y_bounds([0.0, 1.1 * peak.1]).paint(|ctx| {
        for w in curve.windows(2) {
            ctx.draw(&Stroke { x1: w[0].0, y1: w[0].1, x2: w[1].0, y2: w[1].1, color: theme.leg() });
        }
        ctx.draw(&Stroke { x1: 0.0, y1: 0.0, x2: 1.0, y2: 0.0, color: theme.slack() });
        ctx.draw(&Stroke { x1: app.walker, y1: 0.0, x2: app.walker, y2: peak.1, color: theme.line() });
        ctx.layer();
        ctx.print(0.0, 0.0, Span::styled("0", Style::new()));
    });
    frame.render_widget(canvas, Rect { y: area.y + 1, height: area.height - 1, ..area });
}
