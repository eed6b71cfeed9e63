//! The line from the side: ground, line standing and loaded, walker.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::symbols::Marker;
use ratatui::text::{Line as TextLine, Span};
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Context, Line as Stroke, Points};

use crate::app::App;
use crate::sheets::wrap;
use crate::tui::theme::Theme;
use crate::units::{Dim, Quantity as _, show};

/// Vertical exaggerations that are easy to read off.
const UPS: [f64; 9] = [1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0, 100.0];

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let Some(view) = &app.view else { return };
    if area.height < 4 || area.width < 20 {
        return;
    }
    let system = app.settings.system;
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let shape = if view.line.is_empty() { &view.standing } else { &view.line };
    let sag = view.response.as_ref().map_or(view.standing_sag_m, |r| r.sag_m);
    let narrow = area.width < 76;
    let head_height = if narrow { 2 } else { 1 };
    let plot = Rect { y: area.y + head_height, height: area.height - head_height, ..area };
    let margin = 0.06 * span;
    let dots = (f64::from(plot.width) * 2.0, f64::from(plot.height) * 4.0);
    let lowest_ground = site.ground.iter().map(|g| g.1.si()).fold(0.0, f64::min);
    let top = rise.max(0.0) + 0.03 * span;
    let need = if app.deep { top - lowest_ground + 0.02 * span } else { top - (rise.min(0.0) - 1.8 * sag - 0.5) };
    // Metres to a dot across; more than the span asks for when the depth does not fit otherwise.
    let metres = ((span + 2.0 * margin) / dots.0).max(need / dots.1);
    let half = 0.5 * dots.0 * metres;
    let (left, right) = (0.5 * span - half, 0.5 * span + half);
    let fits = |u: &&f64| need * **u / metres <= dots.1 * 1.0001;
    let up = UPS.iter().rev().find(fits).copied().unwrap_or(1.0);
    let bottom = top - dots.1 * metres / up;
    let head = format!(
        "{} · span {} · sag {} standing, {} · x1 across, x{up} up",
        view.case,
        show(Dim::Length, span, system),
        show(Dim::Length, view.standing_sag_m, system),
        if view.line.is_empty() { "not solved".to_owned() } else { format!("{} now", show(Dim::Length, sag, system)) },
    );
    let head: Vec<TextLine<'_>> = wrap(&head, usize::from(area.width), 1)
        .into_iter()
        .take(usize::from(head_height))
        .map(|l| TextLine::raw(theme.text(&l)))
        .collect();
    frame.render_widget(Paragraph::new(head).style(theme.quiet()), Rect { height: head_height, ..area });
    let marker = if theme.ascii { Marker::Custom('.') } else { Marker::Braille };
    let ground: Vec<(f64, f64)> = site.ground.iter().map(|g| (g.0.si(), g.1.si())).collect();
    let canvas = Canvas::default().marker(marker).x_bounds([left, right]).y_bounds([bottom, top]).paint(|ctx| {
        for w in ground.windows(2) {
            stroke(ctx, w[0], w[1], theme.ground());
        }
        let standing: Vec<(f64, f64)> = view.standing.iter().map(|p| (p.x, p.z)).collect();
        ctx.draw(&Points { coords: &sparse(&standing), color: theme.slack() });
        ctx.layer();
        for w in shape.windows(2) {
            stroke(ctx, (w[0].x, w[0].z), (w[1].x, w[1].z), theme.line());
        }
        ctx.layer();
        let label = |t: &str| Span::styled(theme.text(t), Style::new());
        ctx.print(0.0, 0.0, label("●"));
        ctx.print(span, rise, label("●"));
        ctx.print(-0.9 * margin, 0.0, label("A"));
        ctx.print(span + 0.5 * margin, rise, label("B"));
        for w in &view.walkers {
            ctx.print(w.x, w.z, label("○"));
        }
        if let Some([x, z, gap]) = view.clearance {
            let below = z.max(bottom + 0.08 * (top - bottom));
            let text = format!("{} clear, ends aside", show(Dim::Length, gap, system));
            let wide = text.len() as f64 * 2.0 * metres;
            ctx.print(x.min(right - wide), below, label(&text));
        }
    });
    frame.render_widget(canvas, plot);
}

fn stroke(ctx: &mut Context<'_>, a: (f64, f64), b: (f64, f64), color: ratatui::style::Color) {
    ctx.draw(&Stroke { x1: a.0, y1: a.1, x2: b.0, y2: b.1, color });
}

/// Every other point, so that the standing line reads as dotted.
fn sparse(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    points.iter().step_by(2).copied().collect()
}
