//! The page of the line going over: ground, the line where the slider has it, the way of its leading end; below it the
//! stages.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};
use unicode_width::UnicodeWidthStr as _;

use super::plot::Ink;
use super::trip::{finish, from_the_side, gravest, said};
use crate::app::{App, OverView, short};
use crate::document::plain;
use crate::plan::Side;
use crate::review::{Over, Passed, Verdict, Way};
use crate::sheets::passed;
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
        Some(w) => theme.text(&format!(" {}", place(app, w, usize::from(area.width)))),
        None => theme.text(&format!(" {}", stage.fault.clone().unwrap_or_default())),
    };
    frame.render_widget(Paragraph::new(vec![first, Line::styled(second, theme.role(Role::Strong))]), head);
    if let (Some(w), true) = (way, picture.width > 20 && picture.height > 3) {
        gap(frame, picture, app, &stage.ways, w, theme);
    }
    frame.render_widget(Paragraph::new(below), table);
}

/// The place on its way, in one line of so many columns: where the height is least is the first to go.
fn place(app: &App, w: &Way, columns: usize) -> String {
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
    let lines = ways.iter().map(|w| w.joint_m[1].min(-w.sag_m));
    let lowest = lines.chain(site.obstacles.values().map(|o| o.top.si())).fold(0.0, f64::min);
    let (mut plot, up) = from_the_side(area, app, lowest, theme);
    for o in site.obstacles.values() {
        plot.chain(&[o.from, o.to].map(|x| DVec2::new(x.si(), o.top.si())), Ink::Ground);
    }
    let joint = |w: &Way| DVec2::new(w.joint_m[0], w.joint_m[1]);
    plot.chain(&ways.iter().map(joint).collect::<Vec<_>>(), Ink::Standing);
    let ink = if w.height_m.is_some_and(|h| h < w.needed_m) { Ink::Failing(1) } else { Ink::Line };
    plot.chain(&w.shape_m.iter().map(|p| DVec2::new(p[0], p[1])).collect::<Vec<_>>(), ink);
    finish(frame, plot, up, app, (joint(w), "leading end"), theme);
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
    out.extend(more.iter().flat_map(|t| said(t, width, theme)));
    out.extend(gravest(app, "crossing", width, theme));
    out
}
