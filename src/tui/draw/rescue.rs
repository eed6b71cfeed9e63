//! The page of a rescue: how low two hang along the line, where they are reached, and what it takes where the slider is.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};

use super::plot::Ink;
use super::trip::{ends, finish, from_the_side, gravest, said};
use crate::app::{App, RescueView, short};
use crate::plan::rescue::Rescue;
use crate::review::{HangsAt, On, Rescued, Standing};
use crate::tui::theme::{Role, Theme};
use crate::units::{Dim, Quantity as _, show};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, view: RescueView, theme: Theme) {
    frame.render_widget(Clear, area);
    frame.buffer_mut().set_style(area, theme.ground_style());
    let (Some(all), Some(plan)) = (app.review.as_ref().and_then(|r| r.rescued.as_ref()), app.file.plan.rescue.as_ref())
    else {
        return;
    };
    let Some(at) = view.of(all) else { return };
    let below = table(app, all, plan, at, usize::from(area.width), theme);
    let rows = (below.len() as u16 + 1).min(area.height / 2);
    let [head, picture, foot] =
        Layout::vertical([Constraint::Length(2), Constraint::Min(4), Constraint::Length(rows)]).areas(area);
    let strong = Style::new().add_modifier(Modifier::BOLD);
    let system = app.settings.system;
    let first = Line::from(vec![
        Span::styled(" Rescue: ".to_owned() + at.on.words(), strong),
        Span::styled(
            theme.text(&format!(
                "  {} on it, {:.0} min at the most",
                show(Dim::Mass, all.load_kg, system),
                all.limit_s / 60.0
            )),
            theme.quiet(),
        ),
    ]);
    let stands = all.standing(at);
    let soonest =
        at.soonest(all.hands).map_or(String::new(), |t| format!(" in {:.1} min from {:?}", t.total_s / 60.0, t.side));
    let second = format!(" hangs {} from A · {}{soonest}", short::length(at.x_m, system), all.said(at));
    let style = match stands {
        Standing::Reached => theme.role(Role::Strong),
        Standing::Late | Standing::Lowered => theme.role(Role::Caution),
        Standing::Not => theme.role(Role::Bad),
    };
    frame.render_widget(Paragraph::new(vec![first, Line::styled(theme.text(&second), style)]), head);
    if picture.width > 20 && picture.height > 3 {
        gap(frame, picture, app, all, plan, at, theme);
    }
    frame.render_widget(Paragraph::new(below), foot);
}

fn gap(frame: &mut Frame<'_>, area: Rect, app: &App, all: &Rescued, plan: &Rescue, at: &HangsAt, theme: Theme) {
    let site = &app.file.plan.site;
    let lowest = all.places.iter().map(|p| p.z_m).fold(0.0, f64::min);
    let (mut plot, up) = from_the_side(area, app, lowest, theme);
    let ends = ends(app);
    for (from, to) in &plan.landing {
        let z = |x: f64| site.ground_at(x).unwrap_or(lowest);
        let middle = 0.5 * (from.si() + to.si());
        let (c, r) = plot.cell_of(DVec2::new(middle, z(middle)));
        plot.label("landing", theme.quiet(), &[(c - 3, r - 1), (c - 3, r + 1)]);
    }
    for on in [On::Main, On::Backup] {
        let line: Vec<DVec2> = all.on(on).map(|p| DVec2::new(p.x_m, p.z_m)).collect();
        let way: Vec<DVec2> = ends[..1].iter().chain(&line).chain(&ends[1..]).copied().collect();
        plot.chain(&way, if on == at.on { Ink::Standing } else { Ink::Ground });
    }
    // The line as it hangs with two where the slider is: straight, near enough to see.
    let here = DVec2::new(at.x_m, at.z_m);
    plot.chain(&[ends[0], here, ends[1]], Ink::Line);
    for p in all.on(at.on) {
        let (sign, style) = match (all.standing(p), theme.ascii()) {
            (Standing::Reached, false) => ('·', theme.quiet()),
            (Standing::Reached, true) => ('.', theme.quiet()),
            (Standing::Late | Standing::Lowered, _) => ('!', theme.role(Role::Caution)),
            (Standing::Not, false) => ('✗', theme.role(Role::Bad)),
            (Standing::Not, true) => ('x', theme.role(Role::Bad)),
        };
        plot.sign(DVec2::new(p.x_m, p.z_m), sign, style);
    }
    finish(frame, plot, up, app, (here, ""), theme);
}

/// From each side, what it takes here; the way down; the worst finding.
fn table(app: &App, all: &Rescued, plan: &Rescue, at: &HangsAt, width: usize, theme: Theme) -> Vec<Line<'static>> {
    let system = app.settings.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| short::length(m, system));
    let mut out = vec![Line::styled(
        theme.text(&format!(
            " {:<6}{:>16}{:>12}{:>12}{:>12}{:>9}{:>7}",
            "from", "way in", "tow here", "most", "hands", "people", "min"
        )),
        theme.quiet(),
    )];
    for t in &at.towed {
        let people = match t.with_set {
            Some(set) if set < t.people => format!("{} or {set}", t.people),
            _ => t.people.to_string(),
        };
        let way = t.short_m.map_or_else(|| l(t.way_m), |short| format!("{} short", l(short)));
        let text = format!(
            " {:<6}{way:>16}{:>12}{:>12}{:>12}{people:>9}{:>7.1}",
            format!("{:?}", t.side),
            f(t.here_n),
            f(t.most_n),
            f(t.hands_n),
            t.total_s / 60.0
        );
        let fit = t.short_m.is_none() && t.pulled(all.hands) && t.total_s <= all.limit_s;
        out.push(Line::styled(theme.text(&text), if fit { Style::new() } else { theme.role(Role::Bad) }));
    }
    let down = match (at.landing, at.lower_m, plan.lower) {
        (false, ..) => "no landing below".to_owned(),
        (true, None, _) => "a landing below, how deep is not known".to_owned(),
        (true, Some(m), None) => format!("a landing below, {} of rope to lower; the plan has none", l(m)),
        (true, Some(m), Some(has)) => format!("a landing below, {} of {} of rope to lower", l(m), l(has.si())),
    };
    let held = at.towed.iter().map(|t| t.held_back_n).fold(0.0, f64::max);
    let held = if held > 0.0 { format!(" · held back with up to {}", f(held)) } else { String::new() };
    out.extend(said(&format!("{down}{held}"), width, theme));
    out.extend(gravest(app, "rescue", width, theme));
    out
}
