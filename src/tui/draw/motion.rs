//! A watched incident: the line, ring and walker at one instant, and a tension against time.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::fit;
use super::plot::{Ink, Plot, Window};
use crate::app::{App, Watching};
use crate::document::plain;
use crate::review::{HARD_CATCH_N, HARD_FALL_N};
use crate::sheets::{outcome, wrap};
use crate::tui::theme::Theme;
use crate::units::{Dim, Quantity as _, show};

/// Draws the instant above, the tension of what is selected below.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, w: &Watching, theme: Theme) {
    let width = usize::from(area.width);
    let head = heading(app, w, width);
    let strip = (area.height / 3).clamp(4, 12);
    let rows = head.len().min(usize::from(area.height / 3)) as u16;
    let lines: Vec<Line<'_>> = head.iter().take(usize::from(rows)).map(|l| Line::raw(theme.text(l))).collect();
    frame.render_widget(Paragraph::new(lines), Rect { height: rows, ..area });
    let Some(now) = w.frames.get(w.at) else { return };
    let picture = Rect { y: area.y + rows, height: area.height.saturating_sub(rows + strip), ..area };
    if picture.height >= 3 {
        instant(app, w, now, picture, theme).paint(frame.buffer_mut(), theme);
    }
    let below = Rect { y: area.y + area.height - strip, height: strip, ..area };
    over_time(frame, below, app, w, theme);
}

fn heading(app: &App, w: &Watching, width: usize) -> Vec<String> {
    let stale = if w.number == app.wanted { "" } else { "~ of the plan before: " };
    let mut out = wrap(&format!("{stale}{}", plain(&w.event.words())), width, 2);
    let Some(now) = w.frames.get(w.at) else {
        out.push("being played…".to_owned());
        return out;
    };
    if let (Some(i), Some(review)) = (&w.incident, &app.review) {
        out.extend(wrap(&outcome(&app.file, review, i, app.settings.system), width, 2));
    }
    let last = w.frames.last().map_or(0.0, |f| f.t_s);
    let word = if w.playing { "space holds" } else { "space plays" };
    let text = format!("{:.2} of {last:.2} s · {word}, left right step, i leaves ", now.t_s);
    let track = width.saturating_sub(text.width() + 3).clamp(8, 40);
    let at = if w.frames.len() > 1 { w.at * (track - 1) / (w.frames.len() - 1) } else { 0 };
    let bar: String = (0..track).map(|k| if k == at { '●' } else { '─' }).collect();
    out.push(fit(&format!("{text}├{bar}┤"), width));
    out
}

fn instant(app: &App, w: &Watching, now: &crate::review::Frame, area: Rect, theme: Theme) -> Plot {
    let flat = |p: glam::DVec3| DVec2::new(p.x, p.z);
    // The window holds all that moves, at all times: proportions are true where there is room.
    let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    for f in &w.frames {
        for p in f.lines.iter().flatten().copied().chain([f.ring, f.walker]).map(flat) {
            (low, high) = (low.min(p), high.max(p));
        }
    }
    let site = &app.file.plan.site;
    (low.x, high.x) = (low.x.min(0.0), high.x.max(site.span.si()));
    let size = (high - low) * 1.08 + DVec2::splat(0.5);
    let (columns, rows) = (f64::from(area.width), f64::from(area.height));
    let column = (size.x / columns).max(0.5 * size.y / rows);
    let up = (2.0 * column * rows / size.y).floor().clamp(1.0, 5.0);
    let window = Window::around(0.5 * (low + high), area, column, up);
    let mut plot = Plot::new(area, window, theme.glyphs);
    let ground: Vec<DVec2> = site.ground.iter().map(|g| DVec2::new(g.0.si(), g.1.si())).collect();
    plot.ground(&ground);
    if let Some(first) = w.frames.first() {
        for line in &first.lines {
            plot.chain(&line.iter().map(|p| flat(*p)).collect::<Vec<_>>(), Ink::Standing);
        }
    }
    for line in &now.lines {
        plot.chain(&line.iter().map(|p| flat(*p)).collect::<Vec<_>>(), Ink::Line);
    }
    let (ring, walker) = (flat(now.ring), flat(now.walker));
    if ring != walker {
        plot.stroke(ring, walker, if now.leash_n > 0.0 { Ink::Leg(1) } else { Ink::Slack });
        plot.sign(ring, '○', Style::new());
    }
    plot.sign(walker, '●', Style::new().add_modifier(Modifier::BOLD));
    let scale = format!("x{up} up");
    let (wide, _) = plot.size();
    plot.label(&scale, theme.quiet(), &[(wide - scale.width() as i32, 0)]);
    plot
}

/// One curve of the player: its name, how it is drawn, its tension in each picture, N.
struct Curve {
    name: String,
    ink: Ink,
    of_n: Vec<f64>,
}

impl Curve {
    fn most(&self) -> (usize, f64) {
        let most = self.of_n.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1));
        most.unwrap_or((0, 0.0))
    }
}

/// The leash, or the line where nobody falls; what is selected, where it pulls; what takes the load up besides.
fn curves(app: &App, w: &Watching) -> Vec<Curve> {
    let runs = &app.file.plan.runs;
    let of_run = |i: usize| w.frames.iter().map(|f| f.run_n.get(i).copied().unwrap_or(0.0)).collect::<Vec<_>>();
    let leash: Vec<f64> = w.frames.iter().map(|f| f.leash_n).collect();
    let pulls = |n: &[f64]| n.iter().any(|n| *n > 0.0);
    let main = runs.values().position(|r| r.role == crate::plan::Role::Main).unwrap_or(0);
    let named = |i: usize| runs.get_index(i).map_or_else(String::new, |(n, _)| plain(n));
    let mut out: Vec<(String, Vec<f64>)> = Vec::new();
    if pulls(&leash) {
        out.push(("leash".to_owned(), leash));
    }
    let selected = app.selected.run().and_then(|r| runs.get_index_of(r));
    let backup = runs.values().position(|r| matches!(r.role, crate::plan::Role::Backup { .. }));
    for i in selected.into_iter().chain(backup).chain([main]) {
        let of_n = of_run(i);
        if out.len() < 2 && pulls(&of_n) && out.iter().all(|c| c.0 != named(i)) {
            out.push((named(i), of_n));
        }
    }
    // By their patterns, so that they differ without colour.
    out.into_iter().zip([Ink::Leg(1), Ink::Feet]).map(|((name, of_n), ink)| Curve { name, ink, of_n }).collect()
}

/// A round step for so many ticks over a range.
fn step(range: f64, ticks: f64) -> f64 {
    let rough = range / ticks.max(1.0);
    let ten = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0].map(|k| k * ten).into_iter().find(|s| *s >= rough).unwrap_or(10.0 * ten)
}

/// Columns of the axis of tensions.
const AXIS: u16 = 5;
/// What the review calls hard on a body in a leash fall, and in a catch.
const HARD_N: [(f64, &str); 2] = [(HARD_FALL_N, "hard in a fall"), (HARD_CATCH_N, "hard in a catch")];

/// Tensions over time, with axes.
fn over_time(frame: &mut Frame<'_>, area: Rect, app: &App, w: &Watching, theme: Theme) {
    let curves = curves(app, w);
    let (Some(first), Some(last), Some(now)) = (w.frames.first(), w.frames.last(), w.frames.get(w.at)) else { return };
    let most = curves.iter().map(|c| c.most().1).fold(0.0, f64::max);
    let force = |n: f64| show(Dim::Force, n, app.settings.system);
    let said = |c: &Curve, when: bool| {
        let (at, peak) = c.most();
        let here = c.of_n.get(w.at).copied().unwrap_or(0.0);
        let t = w.frames.get(at).filter(|_| when).map_or(String::new(), |f| format!(" at {:.2} s", f.t_s));
        format!(" {} {}, most {}{t}  ", c.name, force(here), force(peak))
    };
    // Where all do not fit, when the most was goes first.
    let wide = |when| curves.iter().map(|c| 3 + said(c, when).width()).sum::<usize>();
    let when = wide(true) <= usize::from(area.width);
    let mut spans = Vec::new();
    for c in &curves {
        spans.push(Span::styled(Plot::sample(c.ink, theme.glyphs), theme.ink(c.ink)));
        spans.push(Span::styled(theme.text(&said(c, when)), theme.quiet()));
    }
    frame.render_widget(Paragraph::new(Line::from(spans)), Rect { height: 1, ..area });
    if area.height < 4 || area.width < 4 * AXIS || most <= 0.0 || last.t_s <= first.t_s {
        return;
    }
    // Above the axis of time; beside the axis of tensions.
    let inner = Rect { x: area.x + AXIS, y: area.y + 1, width: area.width - AXIS, height: area.height - 2 };
    let (columns, rows) = (f64::from(inner.width), f64::from(inner.height));
    let row = 1.1 * most / (rows - 0.2).max(1.0);
    let window = Window { left: first.t_s, top: 1.1 * most, column: (last.t_s - first.t_s) / columns, row };
    let mut plot = Plot::new(inner, window, theme.glyphs);
    let across = |plot: &mut Plot, n: f64, ink| plot.stroke(DVec2::new(first.t_s, n), DVec2::new(last.t_s, n), ink);
    across(&mut plot, 0.0, Ink::Standing);
    let buffer_text = |n: f64| format!("{:>4}", short_kn(n, most));
    let tick_n = step(most, (rows - 1.0).clamp(1.0, 5.0));
    // One tick at the least over nothing.
    let tick_n = if tick_n > most { 0.4 * tick_n } else { tick_n };
    let mut labels = Vec::new();
    let mut n = 0.0;
    while n <= 1.05 * most {
        labels.push((plot.cell_of(DVec2::new(first.t_s, n)).1.min(i32::from(inner.height) - 1), buffer_text(n)));
        n += tick_n;
    }
    // Where a fall is caught, what is hard on a body is drawn in.
    if curves.first().is_some_and(|c| c.name == "leash") {
        for (n, words) in HARD_N.into_iter().filter(|(n, _)| *n < 1.1 * most) {
            let (_, r) = plot.cell_of(DVec2::new(last.t_s, n));
            let wide = words.width() as i32;
            // A line without its words, or beside another figure of the axis, would be read as that.
            let alone = labels.iter().all(|(row, text)| *row != r || *text == buffer_text(n));
            let places = [(i32::from(inner.width) - wide, r - 1), (1, r - 1)];
            if alone && plot.label_clear(words, theme.quiet(), &places) {
                across(&mut plot, n, Ink::Hatch);
            }
        }
    }
    plot.stroke(DVec2::new(now.t_s, 0.0), DVec2::new(now.t_s, most), Ink::Measure);
    for c in &curves {
        let points: Vec<DVec2> = w.frames.iter().zip(&c.of_n).map(|(f, n)| DVec2::new(f.t_s, *n)).collect();
        plot.chain(&points, c.ink);
    }
    let tick_s = step(last.t_s - first.t_s, (columns / 12.0).floor());
    let mut seconds: Vec<char> = vec![' '; usize::from(area.width)];
    let mut t = 0.0;
    while t <= last.t_s {
        let (column, _) = plot.cell_of(DVec2::new(t, 0.0));
        let text = if t == 0.0 { "0 s".to_owned() } else { format!("{t:.1}") };
        let from = usize::from(AXIS) + column.max(0) as usize;
        if from + text.len() <= seconds.len() {
            text.chars().enumerate().for_each(|(k, c)| seconds[from + k] = c);
        }
        t += tick_s.max(0.1);
    }
    plot.paint(frame.buffer_mut(), theme);
    for (r, text) in labels {
        let at = Rect { x: area.x, y: inner.y + r.max(0) as u16, width: AXIS, height: 1 };
        frame.render_widget(Paragraph::new(text).style(theme.quiet()), at);
    }
    let foot = Rect { y: area.bottom() - 1, height: 1, ..area };
    let seconds: String = seconds.into_iter().collect();
    frame.render_widget(Paragraph::new(seconds).style(theme.quiet()), foot);
}

/// A tension in kN as an axis has it; the highest names the unit.
fn short_kn(n: f64, most: f64) -> String {
    let kn = n / 1e3;
    if n == 0.0 {
        "0 kN".to_owned()
    } else if most < 2000.0 {
        format!("{kn:.1}")
    } else {
        format!("{kn:.0}")
    }
}
