//! The gap from the side: ground, line, feet after a fall and after a catch, and what fails in its place. One scale for
//! both axes, or the head says by how much heights are larger.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line as TextLine, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::plot::{Ink, Plot, Window};
use super::{brief, focus, nearness};
use crate::app::{App, InView, Picture, Selected, View, short};
use crate::document::plain;
use crate::plan::Role as RunRole;
use crate::review::{Class, Low, Lowest, Place, Review, Row, Verdict};
use crate::tui::theme::{Role, Theme};
use crate::units::Quantity as _;

/// Heights drawn larger, where a sag would be no more than a line.
pub(super) const UPS: [f64; 5] = [1.0, 2.0, 3.0, 5.0, 10.0];
/// Least height of a loaded sag, in dots.
const SAG_DOTS: f64 = 6.0;
/// What is seen beyond each end, m.
const ASIDE_M: f64 = 5.0;

/// What the head says: who is where, how much the line sags, at which scale.
pub(super) fn head(app: &App, area: Rect) -> String {
    let Some(view) = &app.view else { return String::new() };
    let system = app.settings.system;
    let (_, up) = window(app, view, below_head(area));
    let zoom = match app.looks.of(Picture::Gap) {
        l if l.steps > 0 => format!("{:.1} × nearer, 0 shows all", l.zoom()),
        _ if up > 1.0 => format!("heights ×{up}"),
        _ => "heights 1:1".to_owned(),
    };
    let stand = short::length(view.standing_sag_m, system);
    let Some(r) = &view.response else {
        return format!("not solved ({}) · {zoom}", view.faults.join("; "));
    };
    let who = match app.situation {
        InView::Standing => "nobody on it".to_owned(),
        s => format!("{} at {}", s.words(), short::whole(app.walker * app.line_m(), system)),
    };
    let sag = format!("sag {}, {stand} with nobody on it", short::length(r.sag_m, system));
    let brief = format!("sag {}", short::length(r.sag_m, system));
    let all =
        [format!("{who} · {sag} · {zoom}"), format!("{who} · {brief} · {zoom}"), format!("{brief} · {zoom}"), zoom];
    let room = usize::from(area.width).saturating_sub(10);
    all.iter().find(|t| t.width() <= room).cloned().unwrap_or_default()
}

fn below_head(area: Rect) -> Rect {
    Rect { y: area.y + 1, height: area.height.saturating_sub(2), ..area }
}

/// Draws it into all of `area` but its head.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let Some(view) = &app.view else { return };
    let picture = below_head(area);
    if picture.height < 3 || picture.width < 20 {
        return;
    }
    let (w, _) = window(app, view, picture);
    let mut plot = Plot::new(picture, w, theme.glyphs);
    let strokes = compose(&mut plot, app, view, theme);
    plot.paint(frame.buffer_mut(), theme);
    let row = Rect { y: area.bottom() - 1, height: 1, ..area };
    frame.render_widget(Paragraph::new(legend(&strokes, area.width, theme)), row);
}

/// What is seen, and how much larger heights are.
fn window(app: &App, view: &View, area: Rect) -> (Window, f64) {
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let sag = view.response.as_ref().map_or(view.standing_sag_m, |r| r.sag_m);
    let (columns, rows) = (f64::from(area.width), f64::from(area.height));
    let across = span + 2.0 * ASIDE_M.min(0.1 * span);
    let line = view.line.iter().chain(&view.standing).map(|p| p.z).fold(rise.min(0.0), f64::min);
    let feet = app.review.iter().flat_map(|r| &r.envelope).flat_map(|l| [l.fall_m, l.catch_m]).flatten();
    let feet = feet.filter(|z| z.is_finite()).fold(line, f64::min) - 0.03 * span;
    let ground = site.ground.iter().map(|g| g.1.si()).fold(feet, f64::min) - 0.02 * span;
    let top = rise.max(0.0) + 0.06 * span;
    let flat = across / columns;
    let dot = 2.0 * flat / 4.0;
    let up = UPS.into_iter().find(|u| sag * u >= SAG_DOTS * dot || sag <= 0.0).unwrap_or(10.0);
    // The ground as well where it costs no scale, or where it is asked for; else the feet; else as much as there is.
    let need = |low: f64| ((top - low) * up / rows).max(2.0 * flat) / 2.0;
    let low = if app.deep || need(ground) <= 1.15 * flat { ground } else { feet };
    let column = if app.deep { need(low) } else { need(low).min(1.6 * flat) };
    let row = 2.0 * column / up;
    let all = DVec2::new(0.5 * span, top - 0.5 * rows * row);
    let look = app.looks.of(Picture::Gap);
    let here = focus(app).map(|p| DVec2::new(p.x, p.z));
    let (middle, column) = nearness(look, all, here, column, DVec2::new(columns, 2.0 * rows / up));
    (Window::around(middle, area, column, up), up)
}

/// The row that does not meet and stands first, unless the review is of another plan.
fn failing(app: &App) -> Option<&Row> {
    let r: &Review = app.review.as_ref()?;
    r.rows.get(r.limiting.as_ref()?.row).filter(|row| row.verdict != Verdict::Meets)
}

/// Draws everything; which strokes there are, for the legend.
fn compose(plot: &mut Plot, app: &App, view: &View, theme: Theme) -> Vec<(Ink, &'static str)> {
    let site = &app.file.plan.site;
    let (span, rise) = (site.span.si(), site.height_difference.si());
    let flat = |line: &[glam::DVec3]| line.iter().map(|p| DVec2::new(p.x, p.z)).collect::<Vec<_>>();
    let ground: Vec<DVec2> = site.ground.iter().map(|g| DVec2::new(g.0.si(), g.1.si())).collect();
    let mut strokes = Vec::new();
    plot.ground(&ground);
    for o in app.file.plan.site.obstacles.values() {
        plot.chain(&[o.from, o.to].map(|x| DVec2::new(x.si(), o.top.si())), Ink::Ground);
    }
    if struts(plot, app, view) {
        strokes.push((Ink::Strut, "frame"));
    }
    plot.chain(&flat(&view.standing), Ink::Standing);
    let envelope: &[Low] = app.review.as_ref().map_or(&[], |r| &r.envelope);
    let [seated_a, seated_b] = app.file.plan.people.seated.map(crate::units::Quantity::si);
    let falls = |l: &&Low| l.x_m >= seated_a && l.x_m <= span - seated_b;
    let kinds: [(Ink, &'static str, Lowest, fn(&Low) -> Option<f64>); 2] = [
        (Ink::Caught, "feet, backup's catch", Lowest::Caught, |l| l.catch_m),
        (Ink::Feet, "feet, leash fall", Lowest::Fallen, |l| l.fall_m),
    ];
    for (ink, name, lowest, of) in kinds {
        let feet: Vec<DVec2> = envelope.iter().filter(falls).filter_map(|l| Some(DVec2::new(l.x_m, of(l)?))).collect();
        if feet.len() < 2 {
            continue;
        }
        plot.chain(&feet, ink);
        strokes.push((ink, name));
        // Where the ground is nearer than asked for, the curve itself says so.
        let below = |p: &DVec2| {
            let rows = app.review.iter().flat_map(|r| &r.rows);
            let rows = rows.filter(|r| r.place == Place::Height(lowest) && r.verdict == Verdict::Below);
            rows.filter_map(|r| r.height.as_ref())
                .any(|h| h.stretches_m.iter().any(|[from, to]| (*from..=*to).contains(&p.x)))
        };
        for pair in feet.windows(2).filter(|p| below(&p[0]) && below(&p[1])) {
            plot.stroke(pair[0], pair[1], Ink::Failing(1));
        }
    }
    let main = app.selected.run().and_then(|r| app.file.plan.runs.get(r)).is_some_and(|r| r.role == RunRole::Main);
    let bad = failing(app).filter(|_| app.fresh());
    let line_fails = bad.is_some_and(|r| {
        matches!(&r.place, Place::Part(run, _) if app.file.plan.runs.get(run).is_some_and(|r| r.role == RunRole::Main))
    });
    let ink = if line_fails {
        Ink::Failing(1)
    } else if main {
        Ink::Chosen(1)
    } else {
        Ink::Line
    };
    let line = flat(&view.line);
    plot.chain(&line, ink);
    if !line.is_empty() {
        strokes.insert(0, (ink, "line now"));
    }
    strokes.insert(strokes.len().min(1), (Ink::Standing, "nobody on it"));
    let strong = theme.role(Role::Strong);
    let (a, b) = (DVec2::ZERO, DVec2::new(span, rise));
    for (p, name, way) in [(a, "A", -1), (b, "B", 1)] {
        plot.sign(p, if theme.ascii() { 'o' } else { '●' }, strong);
        let (c, r) = plot.cell_of(p);
        plot.label(name, strong, &[(c + 2 * way, r - 1), (c + 2 * way, r), (c, r - 1), (c, r + 1), (c - 2 * way, r)]);
    }
    for w in &view.walkers {
        plot.sign(DVec2::new(w.x, w.z), '○', strong);
    }
    if let Some(row) = bad {
        fail_label(plot, app, row, &line, theme);
    }
    if let (Selected::Point(name), Some(p)) = (&app.selected, focus(app)) {
        let at = DVec2::new(p.x, p.z);
        plot.sign(at, '◆', theme.cursor(true));
        let (c, r) = plot.cell_of(at);
        let name = plain(name);
        plot.label(&name, theme.cursor(true), &beside(c, r, name.width() as i32));
    }
    if unsure(plot, app) {
        strokes.push((Ink::Unsure, "mean error"));
    }
    zones(plot, app, view, span, theme);
    measure(plot, app, &ground, theme);
    strokes
}

/// How far off places may be, where that is as wide as a dot; whether any is.
fn unsure(plot: &mut Plot, app: &App) -> bool {
    let mut any = false;
    for (at, within) in super::unsure::points(app).into_iter().chain(super::unsure::ground(app)) {
        let (at, off) = (DVec2::new(at.x, at.z), DVec2::new(within.x, within.z));
        let (a, b) = (plot.cell_of(at - off), plot.cell_of(at + off));
        if a == b {
            continue;
        }
        for off in [DVec2::new(off.x, 0.0), DVec2::new(0.0, off.y)] {
            plot.stroke(at - off, at + off, Ink::Unsure);
        }
        any = true;
    }
    any
}

/// Frames with what holds their heads; whether there are any.
fn struts(plot: &mut Plot, app: &App, view: &View) -> bool {
    let Ok(solver) = &app.solver else { return false };
    let rig = &solver.rig;
    let at = |p: usize| view.response.as_ref().map_or(rig.spots[p].place, |r| r.places[p]);
    let flat = |p: glam::DVec3| DVec2::new(p.x, p.z);
    for f in &rig.frames {
        for leg in rig.legs.iter().filter(|l| l.path.contains(&f.point)) {
            let slack = view.response.as_ref().is_some_and(|r| r.run_n[leg.run] <= 0.0);
            let ink = if slack { Ink::Slack } else { Ink::Leg(1) };
            plot.chain(&leg.path.iter().map(|p| flat(at(*p))).collect::<Vec<_>>(), ink);
        }
        for s in &f.struts {
            plot.stroke(flat(s.foot), flat(at(f.point)), Ink::Strut);
        }
    }
    !rig.frames.is_empty()
}

/// What fails, at the place where it governs.
fn fail_label(plot: &mut Plot, app: &App, row: &Row, line: &[DVec2], theme: Theme) {
    let [found, asked] = short::found(row, app.settings.system);
    let at = match (&row.height, row.situation().and_then(crate::review::Situation::place)) {
        (Some(h), _) => Some(DVec2::new(h.x_m, h.low_m)),
        (None, Some(share)) => {
            let k = (share * (line.len().saturating_sub(1)) as f64).round() as usize;
            line.get(k).copied()
        }
        _ => None,
    };
    let Some(at) = at.or_else(|| line.get(line.len() / 2).copied()) else { return };
    let class = match row.class {
        Class::Working => "",
        Class::Fall => ", fall",
        Class::Failure => ", failure",
    };
    let texts =
        [format!("✗ {found} of {asked}, {}", brief(&app.when(row), 24)), format!("✗ {found} of {asked}{class}")];
    let (c, r) = plot.cell_of(at);
    let (columns, _) = plot.size();
    for text in texts.map(|t| theme.text(&t)) {
        let wide = text.width() as i32;
        let start = (c - wide / 2).clamp(0, (columns - wide).max(0));
        let places: Vec<(i32, i32)> =
            [1, 2, 3, -1, -2].iter().flat_map(|d| [(start, r - d), (c + 2, r - d), (c - wide - 1, r - d)]).collect();
        if plot.label_clear(&text, theme.role(Role::Bad), &places) {
            return;
        }
    }
}

/// Where nobody may fall, under the line's ends.
fn zones(plot: &mut Plot, app: &App, view: &View, span: f64, theme: Theme) {
    let seated = app.file.plan.people.seated.map(crate::units::Quantity::si);
    let ends = [view.standing.first(), view.standing.last()];
    for (k, (m, end)) in seated.into_iter().zip(ends).enumerate() {
        let Some(end) = end.filter(|_| m > 0.0) else { continue };
        let (from, to) = if k == 0 { (0.0, m) } else { (span - m, span) };
        let (c0, r) = plot.cell_of(DVec2::new(from, end.z));
        let (c1, _) = plot.cell_of(DVec2::new(to, end.z));
        if c1 - c0 < 2 {
            continue;
        }
        let bar = format!("├{}┤", "─".repeat((c1 - c0 - 1) as usize));
        let words = [format!("{bar} no falls"), bar];
        for text in words.map(|t| theme.text(&t)) {
            let start = if k == 0 { c0 } else { c1 + 1 - text.width() as i32 };
            if plot.label_clear(&text, theme.role(Role::Text), &[(start, r + 2), (start, r + 3), (start, r + 1)]) {
                break;
            }
        }
    }
}

/// The least clearance of all feet, where it is.
fn measure(plot: &mut Plot, app: &App, ground: &[DVec2], theme: Theme) {
    if ground.is_empty() {
        let text = "ground not given: no clearance is known";
        let (columns, rows) = plot.size();
        let start = (columns - text.width() as i32) / 2;
        plot.label(text, theme.role(Role::Caution), &[(start, rows - 2), (start, rows - 1), (0, rows - 1)]);
        return;
    }
    let Some(review) = &app.review else { return };
    let rows = review.rows.iter().filter(|r| r.is_height() && r.place != Place::Height(Lowest::Line));
    let least = rows.filter_map(|r| r.height.as_ref()).min_by(|a, b| a.found_m().total_cmp(&b.found_m()));
    let Some(h) = least else { return };
    let stale = if app.fresh() { "" } else { "~" };
    let found = h.found_m();
    let text = if found < 0.0 {
        format!("{stale}{} into what lies there", short::length((-found * 10.0).ceil() / 10.0, app.settings.system))
    } else {
        let down = if found >= 20.0 { found.floor() } else { (10.0 * found).floor() / 10.0 };
        format!("{stale}{}, feet to {}", short::length(down, app.settings.system), h.over)
    };
    let cells = plot.dashed(h.x_m, h.low_m, h.top_m, theme.role(Role::Faint));
    let wide = text.width() as i32;
    let middle = cells.len() / 2;
    let near = |k: usize| {
        middle.saturating_add_signed(if k.is_multiple_of(2) { k as isize / 2 } else { -(k as isize) / 2 - 1 })
    };
    let places: Vec<(i32, i32)> = (0..cells.len().max(1))
        .filter_map(|k| cells.get(near(k)).copied())
        .flat_map(|(c, r)| [(c + 2, r), (c - 1 - wide, r)])
        .collect();
    let (c, r) = plot.cell_of(DVec2::new(h.x_m, h.low_m));
    let more = [(c + 2, r + 1), (c - wide - 1, r + 1), (c - wide / 2, r + 2), (c - wide - 1, r), (c + 2, r)];
    plot.label_clear(&text, theme.role(Role::Text), &[places, more.to_vec()].concat());
}

/// What the strokes stand for, with the real strokes, as far as there is room.
fn legend<'a>(strokes: &[(Ink, &'static str)], width: u16, theme: Theme) -> TextLine<'a> {
    let short = |name: &'static str| match name {
        "line now" => "line",
        "nobody on it" => "empty",
        "feet, leash fall" => "feet, fall",
        "feet, backup's catch" => "catch",
        other => other,
    };
    // What is drawn at few places does not cost the others their names.
    let drawn = || strokes.iter().filter(|(ink, _)| *ink != Ink::Unsure);
    let wide = |of: &dyn Fn(&'static str) -> &'static str| drawn().map(|(_, n)| of(n).width() + 7).sum::<usize>();
    let whole = wide(&|n| n) <= usize::from(width);
    let mut spans = Vec::new();
    let mut used = 0;
    for (ink, name) in strokes {
        let name = if whole { name } else { short(name) };
        let between = if whole { "   " } else { "  " };
        let wide = name.width() + 4 + between.len();
        if used + wide > usize::from(width) + 2 {
            break;
        }
        used += wide;
        spans.push(Span::styled(Plot::sample(*ink, theme.glyphs), theme.ink(*ink)));
        spans.push(Span::styled(theme.text(&format!(" {name}{between}")), theme.quiet()));
    }
    TextLine::from(spans)
}

/// Places for a text of `wide` columns beside a sign.
pub(super) fn beside(c: i32, r: i32, wide: i32) -> Vec<(i32, i32)> {
    let middle = c - wide / 2;
    let mut out = vec![(c + 2, r), (c - 1 - wide, r), (middle, r - 1), (middle, r + 1)];
    out.extend([
        (c + 1, r - 1),
        (c + 1, r + 1),
        (c - wide, r - 1),
        (c - wide, r + 1),
        (middle, r - 2),
        (middle, r + 2),
    ]);
    out
}
