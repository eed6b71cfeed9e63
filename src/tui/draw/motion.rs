//! A watched incident: the line, ring and walker at one instant, and a tension against time.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::fit;
use super::plot::{Ink, Plot, Window};
use crate::app::{App, Watching};
use crate::document::plain;
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

/// The selected run's tension, or the leash's.
fn over_time(frame: &mut Frame<'_>, area: Rect, app: &App, w: &Watching, theme: Theme) {
    let selected = app.selected.run().and_then(|r| Some((r, app.file.plan.runs.get_index_of(r)?)));
    let leash = |f: &crate::review::Frame| f.leash_n;
    let (name, of): (String, Box<dyn Fn(&crate::review::Frame) -> f64>) = match selected {
        Some((name, i)) if w.frames.iter().any(|f| f.run_n.get(i).is_some_and(|n| *n > 0.0)) => {
            (plain(name), Box::new(move |f| f.run_n.get(i).copied().unwrap_or(0.0)))
        }
        _ if w.frames.iter().any(|f| f.leash_n > 0.0) => ("leash".to_owned(), Box::new(leash)),
        _ => {
            let main = app.file.plan.runs.values().position(|r| r.role == crate::plan::Role::Main).unwrap_or(0);
            ("main line".to_owned(), Box::new(move |f| f.run_n.get(main).copied().unwrap_or(0.0)))
        }
    };
    let curve: Vec<DVec2> = w.frames.iter().map(|f| DVec2::new(f.t_s, of(f))).collect();
    let (Some(now), Some(first), Some(last)) = (w.frames.get(w.at), curve.first(), curve.last()) else { return };
    let peak = curve.iter().copied().max_by(|a, b| a.y.total_cmp(&b.y)).unwrap_or(*first);
    let force = |n: f64| show(Dim::Force, n, app.settings.system);
    let text =
        format!("{name}: {} now, most {} at {:.2} s (pictures every 20 ms)", force(of(now)), force(peak.y), peak.x);
    let text = fit(&text, usize::from(area.width));
    frame.render_widget(Paragraph::new(theme.text(&text)).style(theme.quiet()), Rect { height: 1, ..area });
    if area.height < 3 || peak.y <= 0.0 || last.x <= first.x {
        return;
    }
    let area = Rect { y: area.y + 1, height: area.height - 1, ..area };
    let (columns, rows) = (f64::from(area.width), f64::from(area.height));
    let row = 1.1 * peak.y / (rows - 0.2).max(1.0);
    let window = Window { left: first.x, top: 1.1 * peak.y, column: (last.x - first.x) / columns, row };
    let mut plot = Plot::new(area, window, theme.glyphs);
    plot.stroke(DVec2::new(first.x, 0.0), DVec2::new(last.x, 0.0), Ink::Standing);
    plot.stroke(DVec2::new(now.t_s, 0.0), DVec2::new(now.t_s, peak.y), Ink::Measure);
    plot.chain(&curve, Ink::Leg(1));
    plot.paint(frame.buffer_mut(), theme);
}
