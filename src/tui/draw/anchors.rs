//! One side from above, in true proportions: anchors, legs whose weight tells tension and whose ink verdict, and a column
//! of names with their tensions, each with a leader to its anchor.

use glam::{DVec2, DVec3};
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Modifier;
use unicode_width::UnicodeWidthStr as _;

use super::cut;
use super::hits::FromAbove;
use super::plot::{Ink, Plot, Window};
use super::{focus, nearness};
use crate::app::{App, Drag, Picture, Selected, short};
use crate::document::plain;
use crate::plan::{Hold, Side};
use crate::review::{Place, Verdict};
use crate::rig::Rig;
use crate::tui::theme::{Role, Theme};
use crate::units::System;

/// Most columns of a name.
const NAMES: usize = 16;

/// A leg as it is drawn.
struct Drawn {
    run: usize,
    places: Vec<DVec2>,
    /// Nothing when the situation is not solved.
    tension_n: Option<f64>,
    verdict: Option<Verdict>,
    ink: Ink,
    chosen: bool,
}

/// A row of the column of names.
struct Named {
    text: String,
    /// Where its anchor is.
    at: DVec2,
    leg: usize,
    slack: bool,
}

/// What the head says.
pub(super) fn head(app: &App, side: Side) -> String {
    let system = app.settings.system;
    let unit = short::force_unit(system);
    let line =
        app.view.as_ref().and_then(|v| v.response.as_ref()).map(|r| short::force(r.line_n[side as usize], system));
    let line =
        line.map_or(String::new(), |n| if side == Side::A { format!(", line {n} →") } else { format!(", ← line {n}") });
    let look = app.looks.of(Picture::Anchor(side));
    if look.steps > 0 { format!("{:.1} × nearer", look.zoom()) } else { format!("{unit}{line}") }
}

fn flat(p: DVec3) -> DVec2 {
    DVec2::new(p.x, p.y)
}

/// Draws it below its head; where its points are on screen.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme, side: Side) -> Option<FromAbove> {
    let Ok(solver) = &app.solver else { return None };
    let area = Rect { y: area.y + 1, height: area.height.saturating_sub(1), ..area };
    if area.height < 3 || area.width < 20 {
        return None;
    }
    let rig = &solver.rig;
    let mine: Vec<usize> = (0..rig.spots.len()).filter(|&i| rig.spots[i].side == side).collect();
    if mine.is_empty() {
        return None;
    }
    let response = app.view.as_ref().and_then(|v| v.response.as_ref());
    let place = |i: usize| flat(response.map_or(rig.spots[i].place, |r| r.places[i]));
    let legs = legs(app, rig, &mine, &place);
    let mut names = names(app, rig, &legs, side, area.width, &place);
    let rows = i32::from(area.height) - 1;
    // More names than rows: slack ones go first, and it is said.
    let mut dropped = 0;
    while names.len() as i32 > rows {
        let Some(k) = names.iter().position(|n| n.slack).or(names.len().checked_sub(1)) else { break };
        names.remove(k);
        dropped += 1;
    }
    let wide = names.iter().map(|n| n.text.width()).max().unwrap_or(0).min(usize::from(area.width) * 2 / 3) as u16;
    let gutter = wide + 2;
    // The picture beside its names: right of them at A, left of them at B.
    let inner = match side {
        Side::A => Rect { x: area.x + gutter, width: area.width - gutter, ..area },
        Side::B => Rect { width: area.width - gutter, ..area },
    };
    let view = frame_of(app, side, inner, &mine, &place);
    // Laid over the whole area, so that leaders reach the names.
    let shift = match side {
        Side::A => -0.5 * f64::from(gutter),
        Side::B => 0.5 * f64::from(gutter),
    };
    let middle = view.0 + DVec2::new(shift * view.1, 0.0);
    let mut plot = Plot::new(area, Window::around(middle, area, view.1, 1.0), theme.glyphs);
    for f in rig.frames.iter().filter(|f| mine.contains(&f.point)) {
        for s in &f.struts {
            plot.stroke(flat(s.foot), place(f.point), Ink::Strut);
        }
    }
    for (at, within) in super::unsure::points(app) {
        for off in [glam::DVec3::new(within.x, 0.0, 0.0), glam::DVec3::new(0.0, within.y, 0.0)] {
            plot.stroke(flat(at - off), flat(at + off), Ink::Unsure);
        }
    }
    for leg in &legs {
        plot.chain(&leg.places, leg.ink);
    }
    let end = place(rig.line.ends[side as usize]);
    let way = if side == Side::A { 1.0 } else { -1.0 };
    plot.stroke(end, end + DVec2::new(way * 0.25 * f64::from(inner.width) * view.1, 0.0), Ink::Line);
    let bounds = (i32::from(inner.x - area.x), i32::from(inner.right() - area.x));
    signs(&mut plot, app, rig, &mine, &place, bounds, theme);
    let not_named = write_names(&mut plot, &names, &legs, side, i32::from(area.width), theme);
    for leg in legs.iter().filter(|l| l.verdict.is_some_and(|v| v != Verdict::Meets)) {
        if let Some(w) = leg.places.windows(2).next() {
            plot.sign(w[0].lerp(w[1], 0.5), if theme.ascii() { 'X' } else { '✗' }, theme.role(Role::Bad));
        }
    }
    let missing = dropped + not_named;
    let (columns, rows) = plot.size();
    if missing > 0 {
        let text = format!("{missing} not named: +");
        let right = columns - text.width() as i32;
        let at = if side == Side::A { 0 } else { right };
        plot.label(&text, theme.role(Role::Caution), &[(at, rows - 1), (0, rows - 1), (right, rows - 1)]);
    }
    scale(&mut plot, view.1, app.settings.system, side, theme);
    plot.paint(frame.buffer_mut(), theme);
    let points = mine.iter().map(|&i| (rig.spots[i].name.clone(), place(i))).collect();
    Some(FromAbove { side, plot: inner, frame: view, points })
}

/// Middle of the picture and its metres to a column.
fn frame_of(app: &App, side: Side, area: Rect, mine: &[usize], place: &dyn Fn(usize) -> DVec2) -> (DVec2, f64) {
    let (mut low, mut high) = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    for &i in mine {
        (low, high) = (low.min(place(i)), high.max(place(i)));
    }
    let cells = DVec2::new(f64::from(area.width), 2.0 * f64::from(area.height.saturating_sub(1)));
    let size = (high - low) * 1.15 + DVec2::splat(0.3);
    let column = (size.x / (0.85 * cells.x)).max(size.y / cells.y);
    // Room for the line on its own side.
    let way = if side == Side::A { 1.0 } else { -1.0 };
    let all = 0.5 * (low + high) + DVec2::new(way * 0.06 * cells.x * column, -column);
    let look = app.looks.of(Picture::Anchor(side));
    let here = focus(app).map(flat).filter(|_| app.picture() == Picture::Anchor(side));
    // While a point is held the picture stands still.
    match &app.drag {
        Some(Drag::Point { side: s, frame, .. }) if *s == side => *frame,
        _ => nearness(look, all, here, column, cells),
    }
}

/// Legs of the side, the largest tension last, the chosen one at the very end.
fn legs(app: &App, rig: &Rig, mine: &[usize], place: &dyn Fn(usize) -> DVec2) -> Vec<Drawn> {
    let response = app.view.as_ref().and_then(|v| v.response.as_ref());
    let chosen = app.selected.run().and_then(|r| rig.run_names.iter().position(|n| n == r));
    let own = || rig.legs.iter().filter(|l| l.path.iter().any(|p| mine.contains(p)));
    let largest = own().filter_map(|l| Some(response?.run_n[l.run])).fold(0.0, f64::max);
    let verdict = |run: usize| {
        let review = app.review.as_ref()?;
        let of = |p: &Place| matches!(p, Place::Part(n, _) if *n == rig.run_names[run]);
        review.rows.iter().filter(|r| of(&r.place)).map(|r| r.verdict).max()
    };
    let mut out: Vec<Drawn> = own()
        .map(|leg| {
            let tension_n = response.map(|r| r.run_n[leg.run]);
            let verdict = verdict(leg.run);
            let wide = if tension_n.is_some_and(|t| t > 0.0 && t >= 2.0 / 3.0 * largest) { 2 } else { 1 };
            let is_chosen = chosen == Some(leg.run);
            let ink = match tension_n {
                _ if is_chosen => Ink::Chosen(wide),
                _ if verdict == Some(Verdict::Below) => Ink::Failing(wide),
                Some(t) if t <= 0.0 => Ink::Slack,
                _ => Ink::Leg(wide),
            };
            let places = leg.path.iter().map(|&p| place(p)).collect();
            Drawn { run: leg.run, places, tension_n, verdict, ink, chosen: is_chosen }
        })
        .collect();
    let carried = |d: &Drawn| d.tension_n.unwrap_or(0.0);
    out.sort_by(|a, b| a.chosen.cmp(&b.chosen).then(carried(a).total_cmp(&carried(b))));
    out
}

/// A row for each anchor that a leg goes to.
fn names(app: &App, rig: &Rig, legs: &[Drawn], side: Side, width: u16, place: &dyn Fn(usize) -> DVec2) -> Vec<Named> {
    let system = app.settings.system;
    let unit_less = |t: Option<f64>| match t {
        Some(t) if t > 0.0 => short::force(t, system),
        Some(_) => "slack".to_owned(),
        None => "?".to_owned(),
    };
    let longest = legs.iter().map(|d| plain(short::without_side(&rig.run_names[d.run])).width()).max().unwrap_or(0);
    let mut out = Vec::new();
    for (k, d) in legs.iter().enumerate() {
        let Some(leg) = rig.legs.iter().find(|l| l.run == d.run) else { continue };
        let here = |p: &usize| rig.spots[*p].side == side;
        let mut anchors: Vec<usize> = leg.path.iter().copied().filter(|p| here(p) && rig.spots[*p].fixed).collect();
        // A guy is named where it is anchored, not at the head that it steadies.
        if anchors.len() > 1 {
            anchors.retain(|p| !rig.frames.iter().any(|f| f.point == *p));
        }
        // What joins two masters is named where it begins.
        if anchors.is_empty() {
            anchors.extend(leg.path.iter().copied().find(here));
        }
        let name = plain(short::without_side(&rig.run_names[d.run]));
        let force = unit_less(d.tension_n);
        let bad = match d.verdict {
            Some(Verdict::Below | Verdict::Unsolved) => " ✗",
            Some(Verdict::Unrated) => " ?",
            _ => "",
        };
        // As wide as the longest name, as far as the picture can spare it.
        let spare = (usize::from(width) * 11 / 20).saturating_sub(8).clamp(4, NAMES);
        let wide = longest.min(spare);
        let name = super::fit(&cut(&name, wide), wide);
        let text = format!("{name} {force:>5}{bad}");
        let mut seen = Vec::new();
        for p in anchors {
            if !seen.contains(&p) {
                seen.push(p);
                out.push(Named {
                    text: text.clone(),
                    at: place(p),
                    leg: k,
                    slack: d.tension_n.is_some_and(|t| t <= 0.0),
                });
            }
        }
    }
    // Read down as the anchors stand.
    out.sort_by(|a, b| b.at.y.total_cmp(&a.at.y).then(a.leg.cmp(&b.leg)));
    out
}

/// Rows for names whose anchors stand at `wished`, each its own, with the least shift: blocks that touch are pushed as one.
fn spread(wished: &[i32], rows: i32) -> Vec<i32> {
    // Pool adjacent violators on wished − k, which must not fall.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (k, w) in wished.iter().enumerate() {
        blocks.push((f64::from(*w) - k as f64, 1));
        while blocks.len() > 1 && blocks[blocks.len() - 2].0 > blocks[blocks.len() - 1].0 {
            let (b, nb) = blocks.pop().unwrap_or_default();
            if let Some(a) = blocks.last_mut() {
                a.0 = (a.0 * a.1 as f64 + b * nb as f64) / (a.1 + nb) as f64;
                a.1 += nb;
            }
        }
    }
    let mut out = Vec::new();
    for (at, n) in blocks {
        for _ in 0..n {
            let k = out.len() as i32;
            let most = (rows - wished.len() as i32).max(0);
            out.push((at.round() as i32).clamp(0, most) + k);
        }
    }
    out
}

/// Writes the names in their column with their leaders; how many found no row.
fn write_names(plot: &mut Plot, names: &[Named], legs: &[Drawn], side: Side, width: i32, theme: Theme) -> usize {
    let (_, rows) = plot.size();
    let cells: Vec<(i32, i32)> = names.iter().map(|n| plot.cell_of(n.at)).collect();
    let wished: Vec<i32> = cells.iter().map(|c| c.1.clamp(0, rows - 2)).collect();
    let at = spread(&wished, rows - 1);
    let mut lost = 0;
    for ((n, &(column, row)), &to) in names.iter().zip(&cells).zip(&at) {
        let leg = &legs[n.leg];
        let style = match (leg.chosen, leg.verdict) {
            (true, _) => theme.role(Role::Hand).add_modifier(Modifier::REVERSED | Modifier::BOLD),
            (_, Some(Verdict::Below | Verdict::Unsolved)) => theme.role(Role::Bad),
            _ if n.slack => theme.quiet(),
            _ => theme.role(Role::Text),
        };
        let wide = n.text.width() as i32;
        let start = if side == Side::A { 0 } else { width - wide };
        if !plot.label(&theme.text(&n.text), style, &[(start, to)]) {
            lost += 1;
            continue;
        }
        let faint = theme.role(Role::Faint);
        match side {
            Side::A => plot.leader(wide + 1, column - 1, to, row, faint),
            Side::B => plot.leader(start - 2, column + 1, to, row, faint),
        }
    }
    lost
}

fn signs(
    plot: &mut Plot,
    app: &App,
    rig: &Rig,
    mine: &[usize],
    place: &dyn Fn(usize) -> DVec2,
    inner: (i32, i32),
    theme: Theme,
) {
    for &i in mine {
        let spot = &rig.spots[i];
        let hold = app.file.plan.points.get(&spot.name).and_then(|p| p.hold());
        let sign = match (hold, theme.ascii()) {
            (Some(Hold::Bolt { .. }), false) => '●',
            (Some(Hold::Tree { .. }), false) => '◎',
            (Some(_), false) => '▢',
            (None, false) if i == rig.line.ends[spot.side as usize] => '◆',
            (None, false) => '◇',
            (Some(Hold::Bolt { .. }), true) => 'o',
            (Some(Hold::Tree { .. }), true) => '@',
            (Some(_), true) => '#',
            (None, true) if i == rig.line.ends[spot.side as usize] => 'O',
            (None, true) => 'Q',
        };
        let here = app.selected == Selected::Point(spot.name.clone());
        plot.sign(place(i), sign, if here { theme.cursor(true) } else { theme.role(Role::Strong) });
    }
    if let (Selected::Point(name), Some(p)) = (&app.selected, focus(app).map(flat))
        && mine.iter().any(|&i| rig.spots[i].name == *name)
    {
        let name = plain(short::without_side(name));
        let (c, r) = plot.cell_of(p);
        let wide = name.width() as i32;
        let inside = |&(c, _): &(i32, i32)| c >= inner.0 && c + wide <= inner.1;
        let places: Vec<(i32, i32)> = super::gap::beside(c, r, wide).into_iter().filter(inside).collect();
        plot.label_clear(&name, theme.cursor(true), &places);
    }
}

/// A bar of a round length in the last row.
fn scale(plot: &mut Plot, column: f64, system: System, side: Side, theme: Theme) {
    let unit = if system == System::Us { 0.3048 } else { 1.0 };
    let (columns, rows) = plot.size();
    let rounds = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    let fits = |m: &f64| m / column <= f64::from(columns) / 4.0;
    let text = match rounds.iter().rev().map(|r| r * unit).find(fits) {
        Some(m) if (m / column).round() >= 2.0 => {
            let cells = (m / column).round() as usize;
            format!("├{}┤ {}", "─".repeat(cells - 1), short::length(m, system))
        }
        _ => format!("{column:.2} m a column"),
    };
    let text = theme.text(&text);
    let right = columns - text.width() as i32;
    let places = if side == Side::A { [(right, rows - 1), (0, rows - 1)] } else { [(0, rows - 1), (right, rows - 1)] };
    plot.label(&text, theme.quiet(), &places);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Each name has its own row, in order, inside, and moves no more than it must.
    #[test]
    fn names_are_spread_with_least_shift() {
        assert_eq!(spread(&[1, 4, 9], 12), [1, 4, 9]);
        assert_eq!(spread(&[5, 5, 5], 12), [4, 5, 6]);
        assert_eq!(spread(&[11, 11], 12), [10, 11]);
        assert_eq!(spread(&[0, 0, 0, 9], 12), [0, 1, 2, 9]);
    }
}
