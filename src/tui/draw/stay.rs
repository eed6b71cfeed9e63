//! The page of the line that stays up: its tension over the hours as a band, pull-ups marked, the temperature under it; below
//! it the moment that the slider says.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};
use unicode_width::UnicodeWidthStr as _;

use super::plot::{Ink, Plot, Window};
use super::trip::{gravest, said};
use crate::app::App;
use crate::review::{Moment, Stays, drawn_in};
use crate::sheets::{band, gust_said, moment_said};
use crate::tui::theme::{Role, Theme};
use crate::units::{Dim, show};

/// Columns left of the axis, for its figures.
const LEFT: u16 = 9;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, at: usize, theme: Theme) {
    frame.render_widget(Clear, area);
    frame.buffer_mut().set_style(area, theme.ground_style());
    let Some(stays) = app.review.as_ref().and_then(|r| r.stays.as_ref()) else { return };
    let width = usize::from(area.width);
    let system = app.settings.system;
    let strong = Style::new().add_modifier(Modifier::BOLD);
    let mut head = vec![Line::from(vec![
        Span::styled(" Staying up", strong),
        Span::styled(
            theme.text(&format!(
                "  tensioned in the evening of {} to {} at {:?}",
                stays.from,
                show(Dim::Force, stays.target_n, system),
                stays.side
            )),
            theme.quiet(),
        ),
    ])];
    let Some(moment) = stays.moments.get(at).or_else(|| stays.moments.last()) else {
        let why = stays.fault.clone().unwrap_or_else(|| "no day of it is forecast".to_owned());
        head.extend(said(&format!("Not worked out: {why}."), width, theme));
        head.extend(gravest(app, "stay", width, theme));
        frame.render_widget(Paragraph::new(head), area);
        return;
    };
    let below = told(app, stays, moment, width, theme);
    let rows = (below.len() as u16 + 1).min(area.height * 2 / 3);
    let [top, picture, foot] =
        Layout::vertical([Constraint::Length(2), Constraint::Min(5), Constraint::Length(rows)]).areas(area);
    frame.render_widget(Paragraph::new(head), top);
    if picture.height >= 8 {
        let [force, warmth] = Layout::vertical([Constraint::Fill(2), Constraint::Fill(1)]).areas(picture);
        over_hours(frame, force, app, stays, moment, theme);
        temperature(frame, warmth, app, stays, moment, theme);
    } else {
        over_hours(frame, picture, app, stays, moment, theme);
    }
    frame.render_widget(Paragraph::new(below), foot);
}

/// An empty picture over the hours, from one value to another, its axis written on the left.
fn axes(
    frame: &mut Frame<'_>,
    area: Rect,
    stays: &Stays,
    [low, high]: [f64; 2],
    marks: &[(f64, String)],
    theme: Theme,
) -> Plot {
    let [figures, picture] = Layout::horizontal([Constraint::Length(LEFT), Constraint::Fill(1)]).areas(area);
    let hours = stays.moments.last().map_or(1.0, |m| m.after_s / 3600.0);
    let window = Window {
        left: 0.0,
        top: high,
        column: 1.02 * hours / f64::from(picture.width).max(1.0),
        row: (high - low) / f64::from(picture.height).max(1.0),
    };
    for (value, text) in marks {
        let row = ((high - value) / window.row).floor();
        if row >= 0.0 && row < f64::from(figures.height) {
            let wide = text.width().min(usize::from(LEFT) - 1) as u16;
            let place = Rect { x: figures.x + LEFT - 1 - wide, y: figures.y + row as u16, width: wide, height: 1 };
            frame.render_widget(Paragraph::new(Line::styled(theme.text(text), theme.quiet())), place);
        }
    }
    Plot::new(picture, window, theme.glyphs)
}

/// Tension over the hours: the least that may be left, and the most; what it was tensioned to.
fn over_hours(frame: &mut Frame<'_>, area: Rect, app: &App, stays: &Stays, moment: &Moment, theme: Theme) {
    let system = app.settings.system;
    let all = || stays.moments.iter();
    let low = all().map(|m| m.tension_n[0]).fold(stays.target_n, f64::min);
    let high = all().map(|m| m.tension_n[1]).fold(stays.target_n, f64::max);
    let spare = (0.12 * (high - low)).max(0.02 * high);
    let range = [low - spare, high + spare];
    let mut marks = vec![(stays.target_n, show(Dim::Force, stays.target_n, system))];
    for n in [low, high] {
        if (n - stays.target_n).abs() > 0.2 * (range[1] - range[0]) {
            marks.push((n, show(Dim::Force, n, system)));
        }
    }
    let mut plot = axes(frame, area, stays, range, &marks, theme);
    let end = all().last().map_or(1.0, |m| m.after_s / 3600.0);
    plot.stroke(DVec2::new(0.0, stays.target_n), DVec2::new(end, stays.target_n), Ink::Standing);
    for k in 0..2 {
        let mut way = vec![DVec2::new(0.0, stays.target_n)];
        for m in all() {
            let x = m.after_s / 3600.0;
            way.push(DVec2::new(x, m.tension_n[k]));
            if m.pulled_up {
                way.push(DVec2::new(x, stays.target_n));
            }
        }
        plot.chain(&way, Ink::Line);
    }
    for m in all().filter(|m| m.pulled_up) {
        let (c, r) = plot.cell_of(DVec2::new(m.after_s / 3600.0, stays.target_n));
        let wide = "pulled up".width() as i32;
        plot.label("pulled up", theme.quiet(), &[(c + 1, r - 1), (c - wide, r - 1), (c + 1, r + 1)]);
    }
    let x = moment.after_s / 3600.0;
    for n in moment.tension_n {
        plot.sign(DVec2::new(x.min(0.999 * end), n), if theme.ascii() { '*' } else { '◆' }, theme.cursor(true));
    }
    plot.paint(frame.buffer_mut(), theme);
}

/// The air over the hours, night and day.
fn temperature(frame: &mut Frame<'_>, area: Rect, app: &App, stays: &Stays, moment: &Moment, theme: Theme) {
    let system = app.settings.system;
    let all = || stays.moments.iter();
    let low = all().map(|m| m.temperature_k).fold(f64::INFINITY, f64::min);
    let high = all().map(|m| m.temperature_k).fold(f64::NEG_INFINITY, f64::max);
    let spare = (0.15 * (high - low)).max(1.0);
    let degrees = |k: f64| show(Dim::Temperature, k, system);
    let mut marks = vec![(low, degrees(low))];
    marks.extend((high > low).then(|| (high, degrees(high))));
    let mut plot = axes(frame, area, stays, [low - spare, high + spare], &marks, theme);
    let mut before = 0.0;
    let mut way = Vec::new();
    for m in all() {
        let x = m.after_s / 3600.0;
        way.push(DVec2::new(before, m.temperature_k));
        way.push(DVec2::new(x, m.temperature_k));
        before = x;
    }
    plot.chain(&way, Ink::Feet);
    let x = (moment.after_s / 3600.0).min(0.999 * before);
    plot.sign(DVec2::new(x, moment.temperature_k), if theme.ascii() { '*' } else { '◆' }, theme.cursor(true));
    plot.paint(frame.buffer_mut(), theme);
}

/// What the moment says, the gust of its day, and the gravest finding.
fn told(app: &App, stays: &Stays, m: &Moment, width: usize, theme: Theme) -> Vec<Line<'static>> {
    let system = app.settings.system;
    let mut out = Vec::new();
    let share = m.tension_n.map(|n| 100.0 * n / stays.target_n);
    let text = format!(
        "{}, {}: {} left, {:.0} to {:.0} % of it; came {} longer; draw in {}{}",
        moment_said(m),
        show(Dim::Temperature, m.temperature_k, system),
        band(Dim::Force, m.tension_n, system),
        share[0],
        share[1],
        band(Dim::Length, m.longer_m, system),
        drawn_in(m.draw_in_m),
        if m.pulled_up { ", and pulled up then" } else { "" }
    );
    out.extend(said(&text, width, theme).map(|l| l.style(theme.role(Role::Strong))));
    if let Some(g) = stays.gusts.iter().find(|g| g.date == m.date) {
        let bad = g.gust_m_per_s > g.storm_m_per_s || g.factor.is_some_and(|f| f < g.required);
        let style = if bad { theme.role(Role::Bad) } else { Style::new() };
        out.extend(said(&format!("Gust of that day, {}", gust_said(g, system)), width, theme).map(|l| l.style(style)));
    }
    out.extend(said("A band: creep from least to most, fibres growing or shrinking with warmth; strength judged uncrept, heights crept.", width, theme).map(|l| l.style(theme.quiet())));
    out.extend(gravest(app, "stay", width, theme));
    out
}
