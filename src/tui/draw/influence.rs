//! How the tension of the selected run changes as one walker walks along: its influence line.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::fit;
use super::plot::{Ink, Plot, Window};
use crate::app::App;
use crate::document::plain;
use crate::plan::Role;
use crate::tui::theme::Theme;
use crate::units::{Dim, show};

/// Draws the curve of the selected run, or of the main line.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let say = |frame: &mut Frame<'_>, text: &str| {
        let text = theme.text(&fit(&plain(text), usize::from(area.width)));
        frame.render_widget(Paragraph::new(text).style(theme.quiet()), Rect { height: 1, ..area });
    };
    let Some(review) = &app.review else { return };
    // Where no run is selected, the line itself.
    let main = || app.file.plan.runs.iter().find(|(_, r)| r.role == Role::Main).map(|(n, _)| n.as_str());
    let Some(run) = app.selected.run().or_else(main) else { return };
    let Some(i) = review.run_names.iter().position(|n| n == run) else { return };
    let curve: Vec<DVec2> = review.influence.iter().map(|(at, t)| DVec2::new(*at, t[i])).collect();
    let stale = if app.fresh() { "" } else { "~ " };
    let peak = curve.iter().copied().max_by(|a, b| a.y.total_cmp(&b.y)).filter(|p| p.y > 0.0);
    let Some(peak) = peak else {
        say(frame, &format!("{stale}{run}: slack wherever one walker is"));
        return;
    };
    let force = |n: f64| show(Dim::Force, n, app.settings.system);
    say(frame, &format!("{stale}{run}, one walker: peak {} at {:.2}", force(peak.y), peak.x));
    if area.height < 3 {
        return;
    }
    let plot_area = Rect { y: area.y + 1, height: area.height - 1, ..area };
    let (columns, rows) = (f64::from(plot_area.width), f64::from(plot_area.height));
    let window =
        Window { left: 0.0, top: 1.1 * peak.y, column: 1.0 / columns, row: 1.1 * peak.y / (rows - 0.2).max(1.0) };
    let mut plot = Plot::new(plot_area, window, theme.glyphs);
    plot.stroke(DVec2::ZERO, DVec2::new(1.0, 0.0), Ink::Standing, false);
    plot.stroke(DVec2::new(app.walker, 0.0), DVec2::new(app.walker, peak.y), Ink::Measure, false);
    plot.chain(&curve, Ink::Leg(1), false);
    let (width, height) = plot.size();
    for (text, column, row) in [
        ("0", 0, height - 1),
        (format!("{}{}", stale.trim_end(), force(peak.y)).as_str(), 0, 0),
        ("B", width - 1, height - 1),
    ] {
        plot.label(text, Style::new(), &[(column, row)]);
    }
    let here = plot.cell_of(DVec2::new(app.walker, 0.0)).0;
    let word = format!("{:.2}", app.walker);
    let wide = word.width() as i32;
    plot.label(&word, Style::new(), &[(here + 1, height - 1), (here - wide, height - 1)]);
    plot.paint(frame.buffer_mut(), theme);
}
