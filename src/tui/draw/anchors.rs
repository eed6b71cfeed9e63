//! One side from above, in true proportions: anchors, legs with their tension, master, scale.

use glam::{DVec2, DVec3};
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::Line as TextLine;
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::elevation::beside;
use super::hits::FromAbove;
use super::plot::{Ink, Plot, STEPS, Window};
use super::{focus, nearness};
use crate::app::{App, Drag, Picture, Selected};
use crate::document::plain;
use crate::plan::Side;
use crate::rig::Rig;
use crate::sheets::wrap;
use crate::tui::theme::Theme;
use crate::units::{Dim, System, show};

/// A leg as it is drawn.
struct Drawn {
    places: Vec<DVec2>,
    /// Nothing when the situation is not solved.
    tension_n: Option<f64>,
    ink: Ink,
    chosen: bool,
}

impl Drawn {
    /// Its ways from point to point, each once: a loop goes most of them twice.
    fn strands(&self) -> Vec<(DVec2, DVec2)> {
        let mut out: Vec<(DVec2, DVec2)> = Vec::new();
        for w in self.places.windows(2) {
            if !out.contains(&(w[0], w[1])) && !out.contains(&(w[1], w[0])) {
                out.push((w[0], w[1]));
            }
        }
        out
    }

    fn label(&self, system: System) -> String {
        let text = match self.tension_n {
            Some(t) if t > 0.0 => show(Dim::Force, t, system).replace(" kN", ""),
            Some(_) => "slack".to_owned(),
            None => "?".to_owned(),
        };
        if self.chosen { format!("[{text}]") } else { text }
    }
}

/// Draws it; where its points are on screen.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme, side: Side) -> Option<FromAbove> {
    let Ok(solver) = &app.solver else { return None };
    if area.height < 3 || area.width < 12 {
        return None;
    }
    let rig = &solver.rig;
    let mine: Vec<usize> = (0..rig.spots.len()).filter(|&i| rig.spots[i].side == side).collect();
    if mine.is_empty() {
        return None;
    }
    let width = usize::from(area.width);
    let most = if area.height >= 9 { 3 } else { 1 };
    // The title's height depends on what the picture leaves unsaid.
    let mut head = 1;
    loop {
        let plot_area = Rect { y: area.y + head, height: area.height - head, ..area };
        let (plot, said, view) = compose(app, rig, theme, plot_area, side, &mine);
        let lines = title(&said, width, usize::from(head));
        if lines.is_empty() && head < most {
            head += 1;
            continue;
        }
        // Where there is no room for all, what comes first counts most.
        let fewer = || (1..said.len()).rev().map(|n| title(&said[..n], width, usize::from(head)));
        let lines = if lines.is_empty() { fewer().find(|l| !l.is_empty()).unwrap_or_default() } else { lines };
        let lines: Vec<TextLine<'_>> = lines.iter().map(|l| TextLine::raw(theme.text(l))).collect();
        frame.render_widget(Paragraph::new(lines).style(theme.quiet()), Rect { height: head, ..area });
        plot.paint(frame.buffer_mut(), theme);
        let response = app.view.as_ref().and_then(|v| v.response.as_ref());
        let place = |i: usize| flat(response.map_or(rig.spots[i].place, |r| r.places[i]));
        let points = mine.iter().map(|&i| (rig.spots[i].name.clone(), place(i))).collect();
        return Some(FromAbove { side, plot: plot_area, frame: view, points });
    }
}

/// Long and short words for one thing that is said above the picture.
type Said = (String, String);

/// What is said, in as many rows as there are: all of it in long words, else in short ones; nothing when it does not fit.
fn title(said: &[Said], width: usize, rows: usize) -> Vec<String> {
    let joined = |pick: fn(&Said) -> &str| said.iter().map(pick).collect::<Vec<_>>().join(" · ");
    [joined(|s| &s.0), joined(|s| &s.1)]
        .iter()
        .map(|text| wrap(text, width, 1))
        .find(|lines| lines.len() <= rows)
        .unwrap_or_default()
}

fn flat(p: DVec3) -> DVec2 {
    DVec2::new(p.x, p.y)
}

/// Legs of the side, the largest tension last, the selected one at the very end.
fn legs(app: &App, rig: &Rig, mine: &[usize], place: &dyn Fn(usize) -> DVec2) -> Vec<Drawn> {
    let response = app.view.as_ref().and_then(|v| v.response.as_ref());
    let chosen = app.selected.run().and_then(|r| rig.run_names.iter().position(|n| n == r));
    let own = || rig.legs.iter().filter(|l| l.path.iter().any(|p| mine.contains(p)));
    let largest = own().filter_map(|l| Some(response?.run_n[l.run])).fold(0.0, f64::max);
    let mut out: Vec<Drawn> = own()
        .map(|leg| {
            let tension_n = response.map(|r| r.run_n[leg.run]);
            let ink = match tension_n {
                Some(t) if t > 0.0 => Ink::Leg(((t / largest * f64::from(STEPS)).ceil() as u8).clamp(1, STEPS)),
                Some(_) => Ink::Slack,
                None => Ink::Leg(1),
            };
            let places = leg.path.iter().map(|&p| place(p)).collect();
            Drawn { places, tension_n, ink, chosen: chosen == Some(leg.run) }
        })
        .collect();
    let carried = |d: &Drawn| d.tension_n.unwrap_or(0.0);
    out.sort_by(|a, b| a.chosen.cmp(&b.chosen).then(carried(a).total_cmp(&carried(b))));
    out
}

/// The picture, what is said above it, and its middle with metres to a column.
fn compose(
    app: &App,
    rig: &Rig,
    theme: Theme,
    area: Rect,
    side: Side,
    mine: &[usize],
) -> (Plot, Vec<Said>, (DVec2, f64)) {
    let view = app.view.as_ref();
    let response = view.and_then(|v| v.response.as_ref());
    let place = |i: usize| flat(response.map_or(rig.spots[i].place, |r| r.places[i]));
    let system = app.settings.system;
    let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    for &i in mine {
        low = low.min(place(i));
        high = high.max(place(i));
    }
    let cells = DVec2::new(f64::from(area.width), 2.0 * f64::from(area.height));
    let size = (high - low) * 1.2 + DVec2::splat(0.4);
    let column = (size.x / cells.x).max(size.y / cells.y);
    let look = app.looks.of(Picture::Anchor(side));
    let here = focus(app).map(flat).filter(|_| app.picture() == Picture::Anchor(side));
    // While a point is held the picture stands still.
    let held = match &app.drag {
        Some(Drag::Point { side: s, frame, .. }) if *s == side => Some(*frame),
        _ => None,
    };
    let (middle, column) = held.unwrap_or_else(|| nearness(look, 0.5 * (low + high), here, column, cells));
    let mut plot = Plot::new(area, Window::around(middle, area, column, 1.0), theme.glyphs);

    let legs = legs(app, rig, mine, &place);
    for leg in &legs {
        plot.chain(&leg.places, leg.ink, leg.chosen);
    }
    let end = place(rig.line.ends[side as usize]);
    let (columns, rows) = plot.size();
    let way = if side == Side::A { 1.0 } else { -1.0 };
    plot.stroke(end, end + DVec2::new(way * 0.2 * f64::from(columns) * column, 0.0), Ink::Line, true);
    let text = Style::new();
    let marked = text.add_modifier(Modifier::REVERSED | Modifier::BOLD);
    for &i in mine {
        let sign = match (rig.spots[i].fixed, theme.ascii()) {
            (true, false) => '●',
            (false, false) => '◆',
            (true, true) => 'O',
            (false, true) => '#',
        };
        let here = app.selected == Selected::Point(rig.spots[i].name.clone());
        plot.sign(place(i), sign, if here { marked } else { text });
    }
    // First what is selected, then the line's pull, then the legs from the largest tension down.
    if let (Selected::Point(name), Some(p)) = (&app.selected, here) {
        let name = format!("[{}]", plain(name));
        let (c, r) = plot.cell_of(p);
        plot.label(&name, marked, &beside(c, r, name.width() as i32));
    }
    let mut unwritten = 0;
    let mut write = |plot: &mut Plot, leg: &Drawn| {
        let style = if leg.chosen { marked } else { text };
        let text = leg.label(system);
        let mut strands = leg.strands().into_iter();
        unwritten += match leg.ink {
            // All strands of a run are slack together: once is enough.
            Ink::Slack => usize::from(!strands.any(|s| name_strand(plot, s, &text, style))),
            _ => strands.filter(|s| !name_strand(plot, *s, &text, style)).count(),
        };
    };
    for leg in legs.iter().filter(|l| l.chosen) {
        write(&mut plot, leg);
    }
    if let Some(r) = response {
        let force = show(Dim::Force, r.line_n[side as usize], system);
        let force = if side == Side::A { format!("line {force} >") } else { format!("< line {force}") };
        let wide = force.width() as i32;
        let (c, row) = plot.cell_of(end);
        let column = if side == Side::A { c + 2 } else { c - 1 - wide };
        let column = column.clamp(0, (columns - wide).max(0));
        let places: Vec<(i32, i32)> = (1..rows).flat_map(|d| [(column, row - d), (column, row + d)]).collect();
        plot.label(&force, text.add_modifier(Modifier::BOLD), &places);
    }
    for leg in legs.iter().rev().filter(|l| !l.chosen) {
        write(&mut plot, leg);
    }
    let unit = if system == System::Si { ", kN" } else { "" };
    let mut said = vec![(format!("{side:?} from above{unit}"), format!("{side:?}{unit}"))];
    if unwritten > 0 {
        said.push((format!("{unwritten} not written (+ zooms)"), format!("{unwritten} more: +")));
    }
    if let Some(angle) = view.and_then(|v| v.opening_deg[side as usize]) {
        said.push((format!("outer legs {angle:.0} deg"), format!("legs {angle:.0} deg")));
    }
    if look.steps > 0 {
        let zoom = format!("zoom {:.1}", look.zoom());
        said.push((zoom.clone(), zoom));
    }
    if !scale(&mut plot, column, system, theme) {
        let column = show(Dim::Length, column, system);
        said.push((format!("{column} a column"), format!("{column}/col")));
    }
    (plot, said, (middle, column))
}

/// Writes a leg's tension on one of its strands, or beside it where it is too short; whether there was room. A strand that
/// is not in the picture wants nothing written.
fn name_strand(plot: &mut Plot, (from, to): (DVec2, DVec2), text: &str, style: Style) -> bool {
    let wide = text.width() as i32;
    let (columns, rows) = plot.size();
    let (a, b) = (plot.cell_of(from), plot.cell_of(to));
    let roomy = (a.0 - b.0).abs() >= wide + 4 || (a.1 - b.1).abs() >= 3;
    let along: Vec<(i32, i32)> = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9]
        .map(|u| plot.cell_of(from.lerp(to, u)))
        .into_iter()
        .filter(|&(c, r)| c >= 0 && c < columns && r >= 0 && r < rows)
        .collect();
    if along.is_empty() {
        return true;
    }
    let on = |&(c, r): &(i32, i32)| (c - wide / 2, r);
    // On its own stroke at the first free place, so that no one takes it for a neighbour's.
    if roomy && along.iter().any(|p| plot.label(text, style, &[on(p)])) {
        return true;
    }
    let near: Vec<(i32, i32)> = along
        .iter()
        .flat_map(|&(c, r)| {
            let (start, r) = on(&(c, r));
            [(start, r), (start, r - 1), (start, r + 1), (c + 1, r), (c - wide, r)]
        })
        .collect();
    plot.label(text, style, &near)
}

/// A bar of a round length at the edge, as low as there is room; whether there was any.
fn scale(plot: &mut Plot, column: f64, system: System, theme: Theme) -> bool {
    let unit = if system == System::Us { 0.3048 } else { 1.0 };
    let (columns, rows) = plot.size();
    let rounds = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    let Some(length) = rounds.iter().rev().map(|r| r * unit).find(|r| r / column <= f64::from(columns) / 3.0) else {
        return false;
    };
    let cells = (length / column).round() as i32;
    if cells < 2 {
        return false;
    }
    let text = format!("├{}┤ {}", "─".repeat((cells - 1) as usize), show(Dim::Length, length, system));
    let right = columns - text.width() as i32;
    let places: Vec<(i32, i32)> = (0..rows).rev().flat_map(|r| [(0, r), (right, r)]).collect();
    plot.label(&text, theme.ink(Ink::Measure), &places)
}
