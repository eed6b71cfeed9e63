//! The line from the side: ground, line standing and loaded, walker, and the measures: span, rise, sag, least clearance.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::Line as TextLine;
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::plot::{Ink, Plot, Window};
use super::{focus, nearness};
use crate::app::{App, Picture, Selected, View};
use crate::document::plain;
use crate::plan::Role;
use crate::review::Low;
use crate::sheets::wrap;
use crate::tui::theme::Theme;
use crate::units::{Dim, Quantity as _, show};

/// Vertical exaggerations that are easy to read off.
const UPS: [f64; 9] = [1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0, 100.0];

/// What is measured, in words.
struct Facts {
    span: String,
    rise: String,
    sag: String,
    clearance: Option<String>,
}

impl Facts {
    fn of(app: &App, view: &View) -> Self {
        let length = |m: f64| show(Dim::Length, m, app.settings.system);
        let site = &app.file.plan.site;
        let rise = site.height_difference.si();
        let standing = length(view.standing_sag_m);
        Self {
            span: format!("span {}", length(site.span.si())),
            rise: match rise {
                r if r > 0.0 => format!("rise {}", length(r)),
                r if r < 0.0 => format!("fall {}", length(-r)),
                _ => "level".to_owned(),
            },
            sag: match &view.response {
                Some(r) => format!("sag {} now, {standing} standing", length(r.sag_m)),
                None => format!("sag {standing} standing"),
            },
            clearance: view.clearance.map(|[x, _, gap]| format!("{} clear at {}, ends aside", length(gap), length(x))),
        }
    }
}

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let Some(view) = &app.view else { return };
    if area.height < 4 || area.width < 20 {
        return;
    }
    let facts = Facts::of(app, view);
    let width = usize::from(area.width);
    // What has no room in the picture is said above it.
    let mut said = Vec::new();
    let mut head = 1;
    let (mut plot, mut scale) = compose(app, view, theme, plot_area(area, head), &facts, &mut said);
    let first = |scale: &str, said: &[String]| {
        let mut text = view.case.clone();
        if view.response.is_none() {
            text += &format!(": not solved ({})", view.faults.join("; "));
        }
        for s in said {
            text += &format!(" · {s}");
        }
        // What a fall here would come to, where it costs no row.
        let fall = app.fall_line().map(|f| format!("{text} · {f}"));
        if let Some(f) = fall.filter(|f| f.width() + scale.width() + 3 <= width) {
            text = f;
        }
        wrap(&plain(&format!("{text} · {scale}")), width, 1)
    };
    let mut lines = first(&scale, &said);
    while lines.len() > head && head < 3.min(usize::from(area.height) - 3) {
        head = lines.len().min(3);
        said.clear();
        (plot, scale) = compose(app, view, theme, plot_area(area, head), &facts, &mut said);
        lines = first(&scale, &said);
    }
    let lines: Vec<TextLine<'_>> = lines.iter().take(head).map(|l| TextLine::raw(theme.text(l))).collect();
    frame.render_widget(Paragraph::new(lines).style(theme.quiet()), Rect { height: head as u16, ..area });
    plot.paint(frame.buffer_mut(), theme);
}

fn plot_area(area: Rect, head: usize) -> Rect {
    let head = head as u16;
    Rect { y: area.y + head, height: area.height.saturating_sub(head), ..area }
}

/// What is seen, and its scale in words.
fn window(app: &App, view: &View, area: Rect, measure_rows: u16) -> (Window, String) {
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let sag = view.response.as_ref().map_or(view.standing_sag_m, |r| r.sag_m);
    let (columns, rows) = (f64::from(area.width), f64::from((area.height - measure_rows).max(1)));
    let lowest = site.ground.iter().map(|g| g.1.si()).fold(0.0, f64::min);
    let top = rise.max(0.0) + 0.03 * span;
    let need = if app.deep { top - lowest + 0.02 * span } else { top - (rise.min(0.0) - 1.8 * sag - 0.5) };
    // Metres to a column; more than the span asks for when the depth does not fit otherwise.
    let column = (1.12 * span / columns).max(need / (2.0 * rows));
    let up = UPS.iter().rev().copied().find(|u| need * u <= 2.0 * rows * column * 1.0001).unwrap_or(1.0);
    let row = 2.0 * column / up;
    let all = DVec2::new(0.5 * span, top + row * f64::from(measure_rows) - 0.5 * f64::from(area.height) * row);
    let look = app.looks.of(Picture::Elevation);
    let here = focus(app).map(|p| DVec2::new(p.x, p.z));
    let (middle, column) = nearness(look, all, here, column, DVec2::new(columns, 2.0 * f64::from(area.height) / up));
    let zoom = if look.steps > 0 { format!(", zoom {:.1}", look.zoom()) } else { String::new() };
    (Window::around(middle, area, column, up), format!("x1 across, x{up} up{zoom}"))
}

/// Draws everything; what has no room is put into `said`.
fn compose(app: &App, view: &View, theme: Theme, area: Rect, facts: &Facts, said: &mut Vec<String>) -> (Plot, String) {
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let measure_rows = u16::from(area.height >= 6);
    let (window, scale) = window(app, view, area, measure_rows);
    let mut plot = Plot::new(area, window, theme.glyphs);
    let ground: Vec<DVec2> = site.ground.iter().map(|g| DVec2::new(g.0.si(), g.1.si())).collect();
    let flat = |line: &[glam::DVec3]| line.iter().map(|p| DVec2::new(p.x, p.z)).collect::<Vec<_>>();
    plot.ground(&ground);
    plot.dotted(&flat(&view.standing), Ink::Standing);
    // How low the feet come, where the whole depth is shown.
    if let Some(review) = app.review.as_ref().filter(|_| app.deep) {
        let kinds: [(&str, fn(&Low) -> Option<f64>); 2] =
            [("feet after a leash fall", |l| l.fall_m), ("feet after a catch by the backup", |l| l.catch_m)];
        for (name, of) in kinds {
            let feet: Vec<DVec2> = review.envelope.iter().filter_map(|l| Some(DVec2::new(l.x_m, of(l)?))).collect();
            plot.chain(&feet, Ink::Slack, false);
            let Some(middle) = feet.get(feet.len() / 2) else { continue };
            let (c, r) = plot.cell_of(*middle);
            let left = c - name.width() as i32 / 2;
            plot.label(name, theme.quiet(), &[(left, r + 1), (left, r + 2), (left, r - 1)]);
        }
    }
    let role = app.selected.run().and_then(|r| app.file.plan.runs.get(r)).map(|r| &r.role);
    plot.chain(&flat(&view.line), Ink::Line, role == Some(&Role::Main));

    let text = Style::new();
    let (a, b) = (DVec2::ZERO, DVec2::new(span, rise));
    for (p, name, way) in [(a, "A", -1), (b, "B", 1)] {
        plot.sign(p, '●', text);
        let (c, r) = plot.cell_of(p);
        let bold = text.add_modifier(Modifier::BOLD);
        plot.label(name, bold, &[(c + 2 * way, r), (c + 2 * way, r - 1), (c, r - 1), (c, r + 1), (c - 2 * way, r)]);
    }
    for w in &view.walkers {
        plot.sign(DVec2::new(w.x, w.z), '○', text);
    }
    if let (Selected::Point(name), Some(p)) = (&app.selected, focus(app)) {
        let at = DVec2::new(p.x, p.z);
        plot.sign(at, '◆', text.add_modifier(Modifier::REVERSED));
        let name = format!("[{}]", plain(name));
        let (c, r) = plot.cell_of(at);
        let places = beside(c, r, name.width() as i32);
        plot.label(&name, text.add_modifier(Modifier::REVERSED), &places);
    }

    let measure = theme.ink(Ink::Measure);
    let (_, rows) = plot.size();
    let ends = (plot.cell_of(a).0, plot.cell_of(b).0);
    if measure_rows == 0 || ends.0 < 0 || !plot.across(ends.0, ends.1, 0, &facts.span, measure) {
        said.push(facts.span.clone());
    }
    if rise == 0.0 || !measured(&mut plot, &facts.rise, span + 0.03 * span, rise.max(0.0), rise.min(0.0), measure) {
        said.push(facts.rise.clone());
    }
    let sag = if view.line.is_empty() { view.standing_sag_at } else { view.sag_at };
    if !sag.is_some_and(|[x, chord, line]| measured(&mut plot, &facts.sag, x, chord, line, measure)) {
        said.push(facts.sag.clone());
    }
    if let (Some([x, low, gap]), Some(fact)) = (view.clearance, &facts.clearance)
        && (rows < 5 || !measured(&mut plot, fact, x, low + gap, low, measure))
    {
        said.push(fact.clone());
    }
    (plot, scale)
}

/// A measure between two heights, with its text beside it; whether the text found room.
fn measured(plot: &mut Plot, text: &str, x: f64, high: f64, low: f64, style: Style) -> bool {
    let cells = plot.down(x, high, low, style);
    let wide = text.width() as i32;
    let (columns, rows) = plot.size();
    let middle = cells.len() / 2;
    // Rows from the middle of the measure outwards, then the rows below it.
    let mut order: Vec<(i32, i32)> = (0..cells.len())
        .map(|k| middle.saturating_add_signed(if k % 2 == 0 { k as isize / 2 } else { -(k as isize) / 2 - 1 }))
        .filter_map(|k| cells.get(k).copied())
        .collect();
    if let Some(&(c, r)) = cells.last() {
        order.extend([(c, r + 1), (c, r + 2)]);
    }
    let places: Vec<(i32, i32)> = order
        .into_iter()
        .filter(|&(_, r)| r < rows)
        .flat_map(|(c, r)| [(c + 2, r), (c - 1 - wide, r), ((c - wide / 2).clamp(0, (columns - wide).max(0)), r)])
        .collect();
    plot.label(text, style, &places)
}

/// Places for a text of `wide` columns beside a sign.
pub(super) fn beside(c: i32, r: i32, wide: i32) -> Vec<(i32, i32)> {
    let middle = c - wide / 2;
    let mut out = vec![(c + 2, r), (c - 1 - wide, r), (middle, r - 1), (middle, r + 1)];
    out.extend([
        (c + 1, r - 1),
        (c + 1, r + 1),
        (c - wide, r - 1),
        (c - wide, r + 1),
        (middle, r - 2),
        (middle, r + 2),
    ]);
    out
}
