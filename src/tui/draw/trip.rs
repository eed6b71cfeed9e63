//! What the pages of the trip share: the gap seen from the side, its two ends and its scale, and the gravest finding.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::Line;
use unicode_width::UnicodeWidthStr as _;

use super::gap::UPS;
use super::plot::{Plot, Window};
use crate::app::App;
use crate::document::plain;
use crate::sheets::wrap;
use crate::tui::theme::{Role, Theme};
use crate::units::Quantity as _;

/// The gap from the side, down to a height, its ground drawn; with it how much heights are stretched.
pub(super) fn from_the_side(area: Rect, app: &App, lowest_m: f64, theme: Theme) -> (Plot, f64) {
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let (top, floor) = (rise.max(0.0) + 0.06 * span, lowest_m.min(rise.min(0.0)) - 0.05 * span);
    let (columns, cells) = (f64::from(area.width), f64::from(area.height));
    let across = 1.08 * span / columns;
    let up = UPS.into_iter().rev().find(|u| (top - floor) * u / cells <= 2.0 * across).unwrap_or(1.0);
    let column = across.max((top - floor) * up / cells / 2.0);
    let row = 2.0 * column / up;
    let middle = DVec2::new(0.5 * span, top - 0.5 * cells * row);
    let mut plot = Plot::new(area, Window::around(middle, area, column, up), theme.glyphs);
    let ground: Vec<DVec2> = site.ground.iter().map(|g| DVec2::new(g.0.si(), g.1.si())).collect();
    plot.ground(&ground);
    (plot, up)
}

/// Its two ends.
pub(super) fn ends(app: &App) -> [DVec2; 2] {
    let site = &app.file.plan.site;
    [DVec2::ZERO, DVec2::new(site.span.si(), site.height_difference.si())]
}

/// Names the ends, marks a place on the line, says the scale, and puts the picture on the screen.
pub(super) fn finish(frame: &mut Frame<'_>, mut plot: Plot, up: f64, app: &App, at: (DVec2, &str), theme: Theme) {
    let strong = theme.role(Role::Strong);
    for (p, name, way) in ends(app).into_iter().zip(["A", "B"]).zip([-1, 1]).map(|((p, n), w)| (p, n, w)) {
        plot.sign(p, if theme.ascii() { 'o' } else { '●' }, strong);
        let (c, r) = plot.cell_of(p);
        plot.label(name, strong, &[(c + 2 * way, r - 1), (c + 2 * way, r), (c, r - 1), (c, r + 1)]);
    }
    let (here, name) = at;
    plot.sign(here, if theme.ascii() { '*' } else { '◆' }, theme.cursor(true));
    if !name.is_empty() {
        let (c, r) = plot.cell_of(here);
        let left = c - 2 - name.width() as i32;
        plot.label(name, theme.quiet(), &[(c + 2, r - 1), (left, r - 1), (c + 2, r + 1), (left, r + 1)]);
    }
    let scale = if up > 1.0 { format!("heights ×{up}") } else { "heights 1:1".to_owned() };
    let (right, bottom) = plot.size();
    let wide = scale.width() as i32;
    plot.label(&scale, theme.quiet(), &[(right - wide - 1, 0), (right - wide - 1, bottom - 1)]);
    plot.paint(frame.buffer_mut(), theme);
}

/// A sentence below the picture, in as many lines as it takes.
pub(super) fn said(text: &str, width: usize, theme: Theme) -> impl Iterator<Item = Line<'static>> {
    wrap(text, width.saturating_sub(2), 2).into_iter().map(move |t| Line::raw(theme.text(&format!(" {t}"))))
}

/// The gravest finding at a block of the plan, and how many more there are.
pub(super) fn gravest(app: &App, at: &str, width: usize, theme: Theme) -> Vec<Line<'static>> {
    let found = || app.review.iter().flat_map(|r| &r.findings).filter(|f| f.at == at);
    let Some(finding) = found().max_by_key(|f| f.gravity) else { return Vec::new() };
    let more = match found().count() {
        0 | 1 => String::new(),
        n => format!(" ({} more on its sheet)", n - 1),
    };
    let text = format!("{}: {}; fix: {}{more}", finding.gravity.word(), plain(&finding.text), finding.remedy);
    let style = theme.gravity(finding.gravity);
    said(&text, width, theme).map(|l| l.style(style)).collect()
}
