//! The steps of a new plan beside the question, with the answers so far, and below it the gap as they have it.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};

use super::overlay::boxed_at;
use super::plot::{Ink, Plot, Window};
use crate::app::{App, PlanStep};
use crate::plan::templates::Answers;
use crate::tui::theme::{Role, Theme};

/// Columns of the steps, and of a question beside them at the least.
const STEPS: u16 = 36;
const QUESTION: u16 = 44;
/// Rows of the picture at the least, and of the question over it.
const PICTURE: u16 = 7;
const OVER_IT: u16 = 13;
/// Parts that the line is drawn in.
const PARTS: usize = 40;

/// Draws the steps and the picture; where the question has its place.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Rect {
    let Some((steps, answers)) = app.plan_steps().filter(|_| area.width >= STEPS + QUESTION) else { return area };
    let rows = (steps.len() as u16 + 2).min(area.height);
    let left = Rect { width: STEPS, height: rows, ..area };
    let inner = boxed_at(frame, left, "New plan", theme);
    frame.render_widget(Paragraph::new(steps.iter().map(|s| step(s, theme)).collect::<Vec<_>>()), inner);
    let right = Rect { x: area.x + STEPS, width: area.width - STEPS, ..area };
    if area.height < OVER_IT + PICTURE {
        return right;
    }
    let picture = Rect { y: area.bottom() - PICTURE.max((area.height - OVER_IT) / 2), ..right };
    let picture = Rect { height: area.bottom() - picture.y, ..picture };
    gap(frame, picture, answers, theme);
    Rect { height: right.height - picture.height, ..right }
}

fn step(s: &PlanStep, theme: Theme) -> Line<'static> {
    let mark = match (s.done, s.now) {
        (true, _) => "✓",
        (_, true) => "▸",
        _ => " ",
    };
    let name = format!("{mark} {:<10}", s.name);
    let answer = super::brief(&s.answer, usize::from(STEPS) - 16);
    let style = if s.now { Style::new().add_modifier(Modifier::BOLD) } else { theme.quiet() };
    Line::from(vec![Span::styled(theme.text(&name), style), Span::raw(theme.text(&answer))])
}

/// The gap from the side: what lies below, and about where the line hangs with the heaviest walker in the middle.
fn gap(frame: &mut Frame<'_>, area: Rect, a: &Answers, theme: Theme) {
    frame.render_widget(Clear, area);
    frame.buffer_mut().set_style(area, theme.ground_style());
    let sag = a.about_sag_m();
    let top = a.rise_m.max(0.0) + 0.04 * a.span_m;
    let so_far = a.ground_so_far_m();
    let lowest = so_far.iter().map(|g| g[1]).fold(a.rise_m.min(0.0) - sag, f64::min);
    let low = lowest.max(-0.6 * a.span_m) - 0.02 * a.span_m;
    let column = (1.1 * a.span_m / f64::from(area.width)).max(0.5 * (top - low) / f64::from(area.height));
    let middle = DVec2::new(0.5 * a.span_m, top - f64::from(area.height) * column);
    let mut plot = Plot::new(area, Window::around(middle, area, column, 1.0), theme.glyphs);
    let ground: Vec<DVec2> = so_far.iter().map(|g| DVec2::new(g[0], g[1])).collect();
    plot.ground(&ground);
    let at = |share: f64| {
        let dip = sag * 2.0 * share.min(1.0 - share);
        DVec2::new(share * a.span_m, share * a.rise_m - dip)
    };
    let line: Vec<DVec2> = (0..=PARTS).map(|k| at(k as f64 / PARTS as f64)).collect();
    plot.chain(&line, Ink::Line);
    let strong = theme.role(Role::Strong);
    for (share, name) in [(0.0, "A"), (1.0, "B")] {
        plot.sign(at(share), if theme.ascii() { 'o' } else { '●' }, strong);
        let (c, r) = plot.cell_of(at(share));
        plot.label(name, strong, &[(c - 2, r - 1), (c + 2, r - 1), (c, r - 1), (c, r + 1)]);
    }
    let said =
        format!("{} m, about {sag:.1} m down with {} kg", a.span_m, a.walkers_kg.iter().copied().fold(0.0, f64::max));
    let unknown = if ground.is_empty() { "ground not given: no clearance is known" } else { "" };
    let (_, bottom) = plot.size();
    plot.label(&said, theme.quiet(), &[(1, bottom - 1), (1, 0)]);
    plot.label(unknown, theme.quiet(), &[(1, bottom - 2), (1, 1)]);
    plot.paint(frame.buffer_mut(), theme);
}
