//! The page of the line going over: ground, the line where the slider has it, the way of its leading end; below it the
//! stages.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};
use unicode_width::UnicodeWidthStr as _;

use super::gap::UPS;
use super::plot::{Ink, Plot, Window};
use crate::app::{App, OverView, short};
use crate::document::plain;
use crate::plan::Side;
use crate::review::{Over, Passed, Verdict, Way};
use crate::sheets::{passed, wrap};
use crate::tui::theme::{Role, Theme};
use crate::units::{Dim, Quantity as _, show};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, view: OverView, theme: Theme) {
    frame.render_widget(Clear, area);
    frame.buffer_mut().set_style(area, theme.ground_style());
    let Some(over) = app.review.as_ref().and_then(|r| r.over.as_ref()) else { return };
    let Some((stage, way)) = view.of(over) else { return };
    let below = stages(app, over, view, usize::from(area.width), theme);
    let rows = (below.len() as u16 + 1).min(area.height / 2);
    let [head, picture, table] =
        Layout::vertical([Constraint::Length(2), Constraint::Min(4), Constraint::Length(rows)]).areas(area);
    let strong = Style::new().add_modifier(Modifier::BOLD);
    let [from, to] = if over.sends == Side::A { ["A", "B"] } else { ["B", "A"] };
    let first = Line::from(vec![
        Span::styled(format!(" Over and down: {}", plain(&stage.name)), strong),
        Span::styled(theme.text(&format!("  {from} sends, {to} pulls")), theme.quiet()),
    ]);
    let second = match way {
        Some(w) => theme.text(&format!(" {}", said(app, w, usize::from(area.width)))),
        None => theme.text(&format!(" {}", stage.fault.clone().unwrap_or_default())),
    };
    frame.render_widget(Paragraph::new(vec![first, Line::styled(second, theme.role(Role::Strong))]), head);
    if let (Some(w), true) = (way, picture.width > 20 && picture.height > 3) {
        gap(frame, picture, app, &stage.ways, w, theme);
    }
    frame.render_widget(Paragraph::new(below), table);
}

/// The place on its way, in one line of so many columns: where the height is least is the first to go.
fn said(app: &App, w: &Way, columns: usize) -> String {
    let system = app.settings.system;
    let f = |n: f64| show(Dim::Force, n, system);
    let windy = if w.hands_windy_n > 0.0 { format!(", {} in wind", f(w.hands_windy_n)) } else { String::new() };
    let height = w.height_m.map_or(String::new(), |h| format!(" · {} over ground", short::length(h, system)));
    let line = format!(
        "{:.0} % over · {} at the hands{windy} · sag {}{height}",
        100.0 * w.share,
        f(w.hands_n),
        short::length(w.sag_m, system)
    );
    let at = w.height_m.map_or(String::new(), |_| format!(" at {}", short::length(w.height_at_m, system)));
    if line.width() + at.width() + 2 <= columns { line + &at } else { line }
}

fn gap(frame: &mut Frame<'_>, area: Rect, app: &App, ways: &[Way], w: &Way, theme: Theme) {
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let ground: Vec<DVec2> = site.ground.iter().map(|g| DVec2::new(g.0.si(), g.1.si())).collect();
    let lowest = ways.iter().map(|w| w.joint_m[1].min(-w.sag_m)).fold(rise.min(0.0), f64::min);
    let tops = site.obstacles.values().map(|o| o.top.si());
    let floor = tops.fold(lowest, f64::min) - 0.05 * span;
    let (columns, cells) = (f64::from(area.width), f64::from(area.height));
    let top = rise.max(0.0) + 0.06 * span;
    let across = 1.08 * span / columns;
    let up = UPS.into_iter().rev().find(|u| (top - floor) * u / cells <= 2.0 * across).unwrap_or(1.0);
    let column = across.max((top - floor) * up / cells / 2.0);
    let row = 2.0 * column / up;
    let middle = DVec2::new(0.5 * span, top - 0.5 * cells * row);
    let mut plot = Plot::new(area, Window::around(middle, area, column, up), theme.glyphs);
    plot.ground(&ground);
    for o in site.obstacles.values() {
        plot.chain(&[o.from, o.to].map(|x| DVec2::new(x.si(), o.top.si())), Ink::Ground);
    }
    let joint = |w: &Way| DVec2::new(w.joint_m[0], w.joint_m[1]);
    plot.chain(&ways.iter().map(joint).collect::<Vec<_>>(), Ink::Standing);
    let ink = if w.height_m.is_some_and(|h| h < w.needed_m) { Ink::Failing(1) } else { Ink::Line };
    plot.chain(&w.shape_m.iter().map(|p| DVec2::new(p[0], p[1])).collect::<Vec<_>>(), ink);
    let strong = theme.role(Role::Strong);
    for (p, name, way) in [(DVec2::ZERO, "A", -1), (DVec2::new(span, rise), "B", 1)] {
        plot.sign(p, if theme.ascii() { 'o' } else { '●' }, strong);
        let (c, r) = plot.cell_of(p);
        plot.label(name, strong, &[(c + 2 * way, r - 1), (c + 2 * way, r), (c, r - 1), (c, r + 1)]);
    }
    plot.sign(joint(w), if theme.ascii() { '*' } else { '◆' }, theme.cursor(true));
    let (c, r) = plot.cell_of(joint(w));
    plot.label("leading end", theme.quiet(), &[(c + 2, r - 1), (c - 13, r - 1), (c + 2, r + 1), (c - 13, r + 1)]);
    let scale = if up > 1.0 { format!("heights ×{up}") } else { "heights 1:1".to_owned() };
    let (right, bottom) = plot.size();
    let wide = scale.width() as i32;
    plot.label(&scale, theme.quiet(), &[(right - wide - 1, 0), (right - wide - 1, bottom - 1)]);
    plot.paint(frame.buffer_mut(), theme);
}

/// The stages, one a line, and what else is to be known.
fn stages(app: &App, over: &Over, view: OverView, width: usize, theme: Theme) -> Vec<Line<'static>> {
    let system = app.settings.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| short::length(m, system));
    let wide = width >= 100;
    let mut out = vec![Line::styled(
        theme.text(&format!(
            " {:<22}{:>11}{:>11}{:>8}{:>21}{}",
            "stage",
            "hands",
            "in wind",
            "people",
            "factor",
            if wide { "   lowest over ground" } else { "" }
        )),
        theme.quiet(),
    )];
    for (k, s) in over.stages.iter().enumerate() {
        let hardest = s.hardest();
        let row = app.review.as_ref().and_then(|r| passed(r, &Passed::Line(s.name.clone())));
        let factor = row.as_ref().map_or("–", |r| r.0.as_str());
        let low = s.lowest().and_then(|w| Some(format!("   {} at {}", l(w.height_m?), l(w.height_at_m))));
        let mark = if k == view.stage { '▸' } else { ' ' };
        let text = format!(
            "{mark}{:<22}{:>11}{:>11}{:>8}{factor:>21}{}",
            super::brief(&plain(&s.name), 21),
            hardest.map_or("–".to_owned(), |w| f(w.hands_n)),
            hardest.filter(|w| w.hands_windy_n > 0.0).map_or("–".to_owned(), |w| f(w.hands_windy_n)),
            s.people,
            if wide { low.unwrap_or_default() } else { String::new() }
        );
        let style = match row.as_ref().map(|r| r.1) {
            _ if s.fault.is_some() => theme.role(Role::Bad),
            Some(v) if v != Verdict::Meets => theme.verdict(v),
            _ => Style::new(),
        };
        out.push(Line::styled(theme.text(&text), style));
    }
    let brake = match over.brake_hand_n {
        Some(hand) => format!("brake {} behind the edge, {} in the hand with a jerk", f(over.brake_n), f(hand)),
        None => format!("brake {} behind the edge, none in the plan", f(over.brake_n)),
    };
    let mut more = vec![format!("{brake} · let out {} · pulling line {}", l(over.let_out_m), l(over.pulling_m))];
    if let Some(h) = over.half_rigged {
        let words = if h.possible { "half-rigged" } else { "hand-tight cannot be: at the least" };
        let height = h.height_m.map_or(String::new(), |m| format!(", {} over ground", l(m)));
        more.push(format!(
            "{words} {}, sag {}{height} · down: {} of cord, haul {}",
            f(h.tension_n),
            l(h.sag_m),
            l(over.release_m[0]),
            f(over.down_n[0])
        ));
    }
    let said = |text: &str| wrap(text, width.saturating_sub(2), 2);
    out.extend(more.iter().flat_map(|t| said(t)).map(|t| Line::raw(theme.text(&format!(" {t}")))));
    let found = || app.review.iter().flat_map(|r| &r.findings).filter(|f| f.at == "crossing");
    if let Some(finding) = found().max_by_key(|f| f.gravity) {
        let more = match found().count() {
            0 | 1 => String::new(),
            n => format!(" ({} more on its sheet)", n - 1),
        };
        let text = format!("{}: {}; fix: {}{more}", finding.gravity.word(), plain(&finding.text), finding.remedy);
        let style = theme.gravity(finding.gravity);
        out.extend(said(&text).into_iter().map(|t| Line::styled(theme.text(&format!(" {t}")), style)));
    }
    out
}
