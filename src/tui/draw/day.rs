//! The page of the last day at the line: what was noted on the left, what was read beside what should have been on
//! the right, each reading in its place between four deviations under and over; below it what that says.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};
use unicode_width::UnicodeWidthStr as _;

use super::trip::{gravest, said};
use crate::app::App;
use crate::document::plain;
use crate::plan::day::Day;
use crate::review::{Compared, DayRead, OFF, likely_said};
use crate::sheets::{hung_said, read_said, stretch_said, wrap};
use crate::tui::theme::{Role, Theme};
use crate::units::{Dim, Quantity as _, show};

/// Columns of the strip of deviations, four under and four over.
const STRIP: usize = 13;
/// Columns of what else was noted.
const LEFT: u16 = 34;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, at: usize, theme: Theme) {
    frame.render_widget(Clear, area);
    frame.buffer_mut().set_style(area, theme.ground_style());
    let (Some(review), Some(day)) = (app.review.as_ref(), crate::plan::day::last_day(&app.file.plan.days)) else {
        return;
    };
    let Some(read) = review.day.as_ref() else { return };
    let width = usize::from(area.width);
    let strong = Style::new().add_modifier(Modifier::BOLD);
    let by = if day.by.is_empty() { String::new() } else { format!(" by {}", plain(&day.by)) };
    let mut top = vec![Line::from(vec![
        Span::styled(format!(" As rigged {}", plain(&day.date)), strong),
        Span::styled(theme.text(&format!("  read{by}; planned: {}", review.verdict.word())), theme.quiet()),
    ])];
    let worse = read.hung.as_ref().is_some_and(|h| h.fault.is_some() || !h.worse.is_empty());
    let verdict = match (&read.fault, hung_said(review)) {
        (Some(why), _) => format!("The rig of this day cannot be held against anything: {}", plain(why)),
        (None, Some(hung)) => hung,
        (None, None) => "As it hung it is the rig of the plan.".to_owned(),
    };
    let style = theme.role(if worse || read.fault.is_some() { Role::Bad } else { Role::Strong });
    top.extend(said(&verdict, width, theme).map(|l| l.style(style)));
    if let Some(first) = read.hung.iter().flat_map(|h| &h.worse).next() {
        let text = format!("first: {}, {} where planned {}", plain(&first.what), first.hung, first.planned);
        top.extend(said(&text, width, theme).map(|l| l.style(style)));
    }
    let left = noted(app, day);
    let below = told(app, read, width, theme);
    let beside = width >= 2 * usize::from(LEFT) + 30;
    let head = top.len() as u16 + 1;
    if beside {
        let rows = (area.height.saturating_sub(head)).min(2 + left.len().max(1 + 2 * read.compared.len()) as u16);
        let [a, b, c] =
            Layout::vertical([Constraint::Length(head), Constraint::Length(rows), Constraint::Min(0)]).areas(area);
        let [form, table] = Layout::horizontal([Constraint::Length(LEFT), Constraint::Fill(1)]).areas(b);
        frame.render_widget(Paragraph::new(top), a);
        frame.render_widget(Paragraph::new(facts(&left, usize::from(LEFT), theme)), form);
        frame.render_widget(Paragraph::new(readings(app, read, usize::from(table.width), theme)), table);
        let most = below.len().saturating_sub(usize::from(c.height));
        frame.render_widget(Paragraph::new(below).scroll((at.min(most) as u16, 0)), c);
        return;
    }
    // Where both do not go beside each other, what was read goes first.
    let all = [top, vec![Line::raw("")], readings(app, read, width, theme), below, facts(&left, width, theme)].concat();
    let most = all.len().saturating_sub(usize::from(area.height));
    frame.render_widget(Paragraph::new(all).scroll((at.min(most) as u16, 0)), area);
}

/// What was noted of the day, or is as planned: name and figure.
fn noted(app: &App, day: &Day) -> Vec<(&'static str, String)> {
    let system = app.settings.system;
    let site = &app.file.plan.site;
    let l = |m: f64| show(Dim::Length, m, system);
    let planned = |told: bool| if told { "" } else { ", as planned" };
    let span = day.span.map_or(site.span.si(), crate::plan::Measured::si);
    let rise = day.height_difference.unwrap_or(site.height_difference).si();
    let warm = day.temperature.unwrap_or(site.air.rigged_at).si();
    let mut out = vec![
        ("span", format!("{}{}", l(span), planned(day.span.is_some()))),
        ("B over A", format!("{}{}", l(rise), planned(day.height_difference.is_some()))),
        ("rigged at", format!("{}{}", show(Dim::Temperature, warm, system), planned(day.temperature.is_some()))),
        (
            "hangs with",
            day.hangs_with().map_or("not read, as planned".to_owned(), |(r, n)| {
                format!("{} at {:?}", show(Dim::Force, n, system), r.at)
            }),
        ),
    ];
    out.extend(day.wind.map(|v| ("wind", show(Dim::Velocity, v.si(), system))));
    for (name, tail) in ["tail A", "tail B"].into_iter().zip(day.tails) {
        out.extend(tail.map(|m| (name, format!("{} drawn in", l(m.si())))));
    }
    let hours = |t: crate::units::Time| format!("{:.1} h", t.si() / 3600.0);
    out.extend(day.up.map(|t| ("hung", hours(t))));
    out.push(("leash falls", day.falls.to_string()));
    out.extend((day.backup_catches > 0).then(|| ("catches", day.backup_catches.to_string())));
    out
}

fn facts(all: &[(&'static str, String)], width: usize, theme: Theme) -> Vec<Line<'static>> {
    let mut out = vec![Line::styled(" noted", theme.quiet())];
    for (name, what) in all {
        let text = super::brief(what, width.saturating_sub(15));
        out.push(Line::from(vec![Span::styled(format!(" {name:<13}"), theme.quiet()), Span::raw(theme.text(&text))]));
    }
    out
}

/// Each reading: what, measured, computed, how far off, and where that lies.
fn readings(app: &App, read: &DayRead, width: usize, theme: Theme) -> Vec<Line<'static>> {
    if read.compared.is_empty() {
        let none = "Nothing was read that the plan can be held against: a sag or a tension with a walker, or the tension after an hour.";
        return said(none, width, theme).collect();
    }
    let roomy = width >= 73 + STRIP;
    let what = if roomy { width - 52 - STRIP } else { width.saturating_sub(52) };
    let strip = if roomy { "-4 σ       +4" } else { "" };
    let mut out = vec![Line::styled(
        theme.text(&format!(" {:<what$}{:>19} {:>19} {:>8} {strip}", "read", "measured", "computed", "off")),
        theme.quiet(),
    )];
    for c in &read.compared {
        let [name, measured, computed, off, _] = read_said(c, app.settings.system);
        let style = match c.off() {
            Some(o) if o.abs() > OFF => theme.role(Role::Bad),
            Some(_) => Style::new(),
            None => theme.quiet(),
        };
        let strip = if roomy { place(c, theme) } else { String::new() };
        let mut names = wrap(&name, what.saturating_sub(1), 0).into_iter();
        let first = names.next().unwrap_or_default();
        let mark = if c.off().is_some_and(|o| o.abs() > OFF) { '✗' } else { ' ' };
        let text = format!("{mark}{first:<what$}{measured:>19} {computed:>19} {off:>8} {strip}");
        out.push(Line::styled(theme.text(&text), style));
        out.extend(names.map(|more| Line::styled(theme.text(&format!(" {more}")), style)));
    }
    out
}

/// A reading between four deviations under and over what is computed.
fn place(c: &Compared, theme: Theme) -> String {
    let Some(off) = c.off() else { return String::new() };
    let middle = STRIP / 2;
    let at = (middle as f64 * (1.0 + off / 4.0)).round().clamp(0.0, (STRIP - 1) as f64) as usize;
    let (line, zero, here) = if theme.ascii() { ('-', '|', '*') } else { ('·', '│', '◆') };
    let sign = |k: usize| {
        if k == at {
            here
        } else if k == middle {
            zero
        } else {
            line
        }
    };
    (0..STRIP).map(sign).collect()
}

/// What the readings say: causes, legs, stretch, and the gravest finding.
fn told(app: &App, read: &DayRead, width: usize, theme: Theme) -> Vec<Line<'static>> {
    let system = app.settings.system;
    let f = |n: f64| show(Dim::Force, n, system);
    let mut out: Vec<Line<'static>> = Vec::new();
    if read.disagrees() {
        let text = format!("The readings disagree with one rig: {}.", plain(&likely_said(read)));
        out.extend(said(&text, width, theme).map(|l| l.style(theme.role(Role::Bad))));
    }
    for leg in &read.legs {
        let computed = leg.computed_n.map_or("no such leg".to_owned(), |n| format!("{} computed", f(n)));
        out.extend(said(&format!("{}: {} read, {computed}", plain(&leg.name), f(leg.measured_n)), width, theme));
    }
    if let Some((text, believed)) = stretch_said(read) {
        let more = if believed { "; s takes it into the plan's own item" } else { "" };
        let style = if believed { Style::new() } else { theme.role(Role::Bad) };
        out.extend(said(&format!("{text}{more}."), width, theme).map(|l| l.style(style)));
    }
    out.extend(gravest(app, "days", width, theme));
    debug_assert!(out.iter().all(|l| l.to_string().width() <= width.max(20)));
    out
}
