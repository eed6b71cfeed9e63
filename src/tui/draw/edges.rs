//! The page of the edges: both lips from the side, whoever stands there on their ties; below it what each tie does.

use glam::DVec2;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Clear, Paragraph};
use unicode_width::UnicodeWidthStr as _;

use super::plot::{Ink, Plot, Window};
use super::trip::{gravest, said};
use crate::app::{App, EdgeView, short};
use crate::document::plain;
use crate::plan::Side;
use crate::plan::ties::Tie;
use crate::review::{AtEdge, Edges, SideAt, TiePiece, Tied, Verdict};
use crate::sheets::{side_said, tie_said};
use crate::tui::theme::{Role, Theme};
use crate::units::{Dim, Quantity as _, show};

/// Ground that is drawn behind the hindmost anchor, and air beyond the lip at the least, m.
const BEHIND_M: f64 = 1.0;
const AIR_M: f64 = 2.5;
/// Height of whoever stands, m.
const TALL_M: f64 = 1.8;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, view: EdgeView, theme: Theme) {
    frame.render_widget(Clear, area);
    frame.buffer_mut().set_style(area, theme.ground_style());
    let Some(edges) = app.review.as_ref().and_then(|r| r.edges.as_ref()) else { return };
    let Some(at) = view.of(edges) else { return };
    let below = table(app, edges, at, usize::from(area.width), theme);
    let rows = (below.len() as u16 + 1).min(area.height * 2 / 3);
    let [head, picture, foot] =
        Layout::vertical([Constraint::Length(3), Constraint::Min(4), Constraint::Length(rows)]).areas(area);
    let strong = Style::new().add_modifier(Modifier::BOLD);
    let first = Line::from(vec![
        Span::styled(format!(" Edges: {}", at.step.words()), strong),
        Span::styled(
            theme.text(&format!("  step {} of {}", view.0.min(edges.steps.len() - 1) + 1, edges.steps.len())),
            theme.quiet(),
        ),
    ]);
    let sides = at.sides.each_ref().map(|s| {
        let untied = s.held < s.people;
        let mark = if untied { "✗" } else { "✓" };
        let text = theme.text(&format!(" {:?} {mark} {}", s.side, side_said(s)));
        Line::styled(text, if untied { theme.role(Role::Bad) } else { theme.role(Role::Strong) })
    });
    frame.render_widget(Paragraph::new([vec![first], sides.to_vec()].concat()), head);
    if picture.width > 40 && picture.height > 4 {
        let [left, right] = Layout::horizontal([Constraint::Fill(1), Constraint::Fill(1)]).areas(picture);
        let reach = app.file.plan.ties.values();
        let behind = reach.clone().map(|t| t.lip.si()).fold(0.0, f64::max) + BEHIND_M;
        let beyond = reach.map(|t| (t.length_m() - t.lip.si()).max(0.0)).fold(0.0, f64::max);
        for (area, side) in [left, right].into_iter().zip(&at.sides) {
            lip(frame, area, app, edges, side, [behind, beyond], theme);
        }
    }
    frame.render_widget(Paragraph::new(below), foot);
}

/// One lip from the side, the gap towards the middle of the screen: anchors behind it, ties, whoever hangs on them.
fn lip(
    frame: &mut Frame<'_>,
    area: Rect,
    app: &App,
    edges: &Edges,
    side: &SideAt,
    [behind, beyond]: [f64; 2],
    theme: Theme,
) {
    let way = if side.side == Side::A { 1.0 } else { -1.0 };
    let at = |x: f64, z: f64| DVec2::new(way * x, z);
    let (wide, high) = (behind + AIR_M, TALL_M + 0.4 + (beyond + 1.2).max(2.0));
    let column = (wide / f64::from(area.width)).max(0.5 * high / f64::from(area.height));
    let top = TALL_M + 0.4;
    let middle = DVec2::new(way * 0.5 * (AIR_M - behind), top - f64::from(area.height) * column);
    let mut plot = Plot::new(area, Window::around(middle, area, column, 1.0), theme.glyphs);
    let far = 4.0 * (wide + high);
    let mut ground = [at(-far, 0.0), at(0.0, 0.0), at(0.05, -far)];
    if way < 0.0 {
        ground.reverse();
    }
    plot.ground(&ground);
    let mut names = Vec::new();
    for tied in edges.ties.iter().filter(|t| t.side == side.side) {
        let Some(tie) = app.file.plan.ties.get(&tied.name) else { continue };
        let used = side.ties.contains(&tied.name);
        let ink = match (used, verdict(app, tied, tie)) {
            (false, _) => Ink::Slack,
            (true, Verdict::Meets) => Ink::Line,
            (true, _) => Ink::Failing(1),
        };
        let (lip, rope) = (tie.lip.si(), tie.length_m());
        let over = (rope - lip).max(0.0);
        let end = if over > 0.0 { at(0.15, -over) } else { at(rope - lip, 1.0) };
        let mut way = vec![at(-lip, 0.1)];
        if over > 0.0 {
            way.push(at(0.1, 0.1));
        }
        way.push(end);
        plot.chain(&way, ink);
        if used {
            // Whoever hangs there: feet and head about the tie-in.
            let feet = if over > 0.0 { end - DVec2::new(0.0, 1.0) } else { DVec2::new(end.x, 0.1) };
            plot.chain(&[feet, feet + DVec2::new(0.0, TALL_M)], ink);
            plot.sign(end, if theme.ascii() { '*' } else { '◆' }, theme.cursor(true));
        }
        plot.sign(at(-lip, 0.1), if theme.ascii() { 'o' } else { '●' }, theme.role(Role::Strong));
        names.push((plain(&tied.name), at(-lip, 0.1)));
    }
    for (name, p) in names {
        let (c, r) = plot.cell_of(p);
        let half = name.width() as i32 / 2;
        let rows = [r + 1, r + 2, r - 1, r + 3, r - 2];
        plot.label(&name, theme.quiet(), &rows.map(|row| (c - half, row)));
    }
    let (right, bottom) = plot.size();
    let name = format!("{:?}", side.side);
    let x = if way > 0.0 { 1 } else { right - 2 };
    plot.label(&name, theme.role(Role::Strong), &[(x, 0)]);
    let scale = format!("{} across", short::length(column * f64::from(area.width), app.settings.system));
    let x = if way > 0.0 { 1 } else { right - scale.width() as i32 - 1 };
    plot.label(&scale, theme.quiet(), &[(x, bottom - 1), (x, 1)]);
    plot.paint(frame.buffer_mut(), theme);
}

/// How the pieces of a tie stand, the worst of them.
fn verdict(app: &App, tied: &Tied, tie: &Tie) -> Verdict {
    let pieces = std::iter::once(TiePiece::Rope).chain(tie.anchors.iter().map(|a| TiePiece::Anchor(a.clone())));
    let review = app.review.as_ref();
    let said = pieces.filter_map(|p| tie_said(review?, &tied.name, &p)).map(|s| s.1);
    said.max().unwrap_or(Verdict::Unrated)
}

/// The ties of the step, one a line, and the gravest finding.
fn table(app: &App, edges: &Edges, at: &AtEdge, width: usize, theme: Theme) -> Vec<Line<'static>> {
    let system = app.settings.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| short::length(m, system));
    let wide = width >= 100;
    let (name, does_wide) = if wide { (22, 24) } else { (12, 18) };
    let head = if wide { "rope holds          weakest anchor holds" } else { "rope holds" };
    let mut out = vec![Line::styled(
        theme.text(&format!(
            " {:<name$}{:>8}{:>8}  {:<does_wide$}{:>9}  {head}",
            "tie", "rope", "to lip", "does", "pull"
        )),
        theme.quiet(),
    )];
    for tied in &edges.ties {
        let Some(tie) = app.file.plan.ties.get(&tied.name) else { continue };
        let used = at.sides.iter().any(|s| s.ties.contains(&tied.name));
        let does = match tied.lets_over {
            None => "holds back".to_owned(),
            Some(o) => format!("{} over, falls {}", l(o.beyond_m), l(o.fall_m)),
        };
        let said = |p: &TiePiece| app.review.as_ref().and_then(|r| tie_said(r, &tied.name, p));
        let words = |s: Option<(String, Verdict)>| s.map_or("–".to_owned(), |s| s.0);
        let anchors = tie.anchors.iter().filter_map(|a| said(&TiePiece::Anchor(a.clone())));
        let weakest = anchors.max_by_key(|s| s.1);
        let text = format!(
            " {:<name$}{:>8}{:>8}  {:<does_wide$}{:>9}  {:<20}{}",
            super::brief(&plain(&tied.name), name - 1),
            l(tie.length_m()),
            l(tie.lip.si()),
            super::brief(&does, does_wide),
            tied.demand_n().map_or("–".to_owned(), f),
            words(said(&TiePiece::Rope)),
            if wide { words(weakest) } else { String::new() }
        );
        let style = match verdict(app, tied, tie) {
            _ if !used => theme.quiet(),
            Verdict::Meets => Style::new(),
            v => theme.verdict(v),
        };
        out.push(Line::styled(theme.text(&text), style));
    }
    let quiet = edges.ties.iter().any(|t| !at.sides.iter().any(|s| s.ties.contains(&t.name)));
    if quiet {
        out.extend(said("Greyed: not in use at this step.", width, theme));
    }
    out.extend(gravest(app, "ties", width, theme));
    out
}
