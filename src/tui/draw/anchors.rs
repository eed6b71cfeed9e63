//! One side from above: anchors, legs with their tension, master.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::symbols::Marker;
use ratatui::text::Span;
use ratatui::widgets::Paragraph;
use ratatui::widgets::canvas::{Canvas, Line as Stroke};

use super::hits::FromAbove;
use crate::app::{App, Drag, Selected};
use crate::plan::Side;
use crate::tui::theme::Theme;
use crate::units::{Dim, System, show};

/// Draws it; where its points are on screen.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme, side: Side) -> Option<FromAbove> {
    let Ok(solver) = &app.solver else { return None };
    if area.height < 3 || area.width < 12 {
        return None;
    }
    let rig = &solver.rig;
    let response = app.view.as_ref().and_then(|v| v.response.as_ref());
    let place = |i: usize| response.map_or(rig.spots[i].place, |r| r.places[i]);
    let mine: Vec<usize> = (0..rig.spots.len()).filter(|&i| rig.spots[i].side == side).collect();
    if mine.is_empty() {
        return None;
    }
    let title = format!("{side:?} from above{}", if app.settings.system == System::Si { ", kN" } else { "" });
    frame.render_widget(Paragraph::new(title).style(theme.quiet()), Rect { height: 1, ..area });
    let plot = Rect { y: area.y + 1, height: area.height - 1, ..area };
    let (mut low, mut high) = (glam::DVec2::INFINITY, glam::DVec2::NEG_INFINITY);
    for &i in &mine {
        let p = place(i);
        low = low.min(glam::DVec2::new(p.x, p.y));
        high = high.max(glam::DVec2::new(p.x, p.y));
    }
    // True proportions: one metre is as many dots across as up.
    let dots = glam::DVec2::new(f64::from(plot.width) * 2.0, f64::from(plot.height) * 4.0);
    let size = (high - low) * 1.25 + glam::DVec2::splat(0.4);
    let scale = (size.x / dots.x).max(size.y / dots.y);
    // While a point is held the drawing stands still.
    let held = match &app.drag {
        Some(Drag::Point { side: s, frame, .. }) if *s == side => Some(*frame),
        _ => None,
    };
    let (mid, scale) = held.unwrap_or((0.5 * (low + high), scale));
    let half = dots * scale * 0.5;
    let marker = if theme.ascii { Marker::Custom('.') } else { Marker::Braille };
    let chosen = app.selected.run().and_then(|r| rig.run_names.iter().position(|n| n == r));
    let canvas = Canvas::default()
        .marker(marker)
        .x_bounds([mid.x - half.x, mid.x + half.x])
        .y_bounds([mid.y - half.y, mid.y + half.y])
        .paint(|ctx| {
            let mut labels: Vec<Label> = Vec::new();
            for leg in &rig.legs {
                if !leg.path.iter().any(|p| mine.contains(p)) {
                    continue;
                }
                let tension = response.map(|r| r.run_n[leg.run]);
                let slack = tension.is_some_and(|t| t <= 0.0);
                let color = if slack { theme.slack() } else { theme.leg() };
                for (k, e) in leg.path.windows(2).enumerate() {
                    let (a, b) = (place(e[0]), place(e[1]));
                    ctx.draw(&Stroke { x1: a.x, y1: a.y, x2: b.x, y2: b.y, color });
                    // A loaded leg is drawn twice as thick.
                    if tension.is_some_and(|t| t > 1000.0) {
                        let off = scale * 1.1;
                        ctx.draw(&Stroke { x1: a.x, y1: a.y + off, x2: b.x, y2: b.y + off, color });
                    }
                    if k == 0 || leg.path.len() == 3 {
                        let text = match tension {
                            Some(t) if t > 0.0 => show(Dim::Force, t, app.settings.system).replace(" kN", ""),
                            Some(_) => "slack".to_owned(),
                            None => "?".to_owned(),
                        };
                        labels.push(Label { a, b, text, chosen: chosen == Some(leg.run) });
                    }
                }
            }
            ctx.layer();
            let line = rig.line.ends[side as usize];
            let way = if side == Side::A { half.x } else { -half.x } * 0.3;
            let m = place(line);
            ctx.draw(&Stroke { x1: m.x, y1: m.y, x2: m.x + way, y2: m.y, color: theme.line() });
            ctx.layer();
            for &i in &mine {
                let p = place(i);
                let here = app.selected == Selected::Point(rig.spots[i].name.clone());
                let sign = if rig.spots[i].fixed { "●" } else { "◆" };
                let sign = if theme.ascii { if rig.spots[i].fixed { "O" } else { "#" } } else { sign };
                let style = if here { Style::new().add_modifier(Modifier::REVERSED) } else { Style::new() };
                ctx.print(p.x, p.y, Span::styled(sign, style));
            }
            let cell = glam::DVec2::new(2.0 * scale, 4.0 * scale);
            let mut taken: Vec<(f64, f64, f64)> = mine.iter().map(|&i| (place(i).x, place(i).y, cell.x)).collect();
            // The line's own tension is placed first, wholly inside the plot; then the selected leg's, then those that
            // carry.
            if let Some(r) = response {
                let text = show(Dim::Force, r.line_n[side as usize], app.settings.system);
                let text = if side == Side::A { format!("{text} >") } else { format!("< {text}") };
                let wide = text.len() as f64 * cell.x;
                let x = if side == Side::A {
                    (m.x + way * 0.4).min(mid.x + half.x - wide - cell.x)
                } else {
                    (m.x + way * 1.3).max(mid.x - half.x)
                };
                taken.push((x, m.y + cell.y, wide + cell.x));
                ctx.print(x, m.y + cell.y, Span::raw(text));
            }
            labels.sort_by_key(|l| (!l.chosen, l.text == "slack"));
            for l in labels {
                let wide = l.text.len() as f64 * cell.x;
                let free = |x: f64, y: f64| {
                    taken.iter().all(|t| (y - t.1).abs() >= 0.9 * cell.y || x >= t.0 + t.2 || x + wide + cell.x <= t.0)
                };
                let at = [0.5, 0.35, 0.65, 0.2, 0.8].map(|u| l.a.lerp(l.b, u)).map(|p| (p.x - 0.5 * wide, p.y));
                let Some((x, y)) = at.into_iter().find(|(x, y)| free(*x, *y)) else {
                    continue;
                };
                taken.push((x, y, wide + cell.x));
                let style = if l.chosen { Style::new().add_modifier(Modifier::REVERSED) } else { Style::new() };
                ctx.print(x, y, Span::styled(l.text, style));
            }
        });
    frame.render_widget(canvas, plot);
    let points = mine.iter().map(|&i| (rig.spots[i].name.clone(), place(i).truncate())).collect();
    Some(FromAbove { side, plot, frame: (mid, scale), points })
}

/// A leg's tension, to be written somewhere along it.
struct Label {
    a: glam::DVec3,
    b: glam::DVec3,
    text: String,
    chosen: bool,
}
