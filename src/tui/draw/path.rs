//! The load path: every piece with its tension, its factor of what is asked, and the share of what is allowed that it
//! takes. What is well is folded and quiet.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::bar::bar;
use super::{brief, cut, fit, window};
use crate::app::{App, Entry, Fold, Pane, PathLine, Selected, short};
use crate::document::plain;
use crate::review::Verdict;
use crate::tui::theme::{Role, Theme};

/// Widths of its columns.
struct Columns {
    name: usize,
    force: usize,
    when: usize,
    bar: usize,
}

impl Columns {
    fn of(width: usize, app: &App) -> Self {
        let longest = app.outline.iter().filter(|e| e.selected.is_some()).map(|e| app.line_name(e).width() + 2).max();
        let force = if width >= 42 { 7 } else { 0 };
        let when = if width >= 56 { 17 } else { 0 };
        // Cursor and fold, factor, what is asked, sign.
        let rest = width.saturating_sub(3 + force + 6 + 5 + 2 + when);
        let name = longest.unwrap_or(12).clamp(10, 24).min(rest.saturating_sub(6));
        Self { name, force, when, bar: rest.saturating_sub(name) }
    }
}

/// Where its columns begin, and what stands over them.
pub(super) fn heads(width: u16, app: &App) -> (usize, String) {
    let c = Columns::of(usize::from(width), app);
    let unit = if c.force > 0 { format!("{:>6} ", short::force_unit(app.settings.system)) } else { String::new() };
    let when = if c.when > 0 { format!("{:<17}", "when") } else { String::new() };
    let allowed = if c.bar >= 7 { "allowed" } else { "" };
    (3 + c.name, format!("{unit}{:>6} {:<6}{when}{allowed:>w$}", "factor", "of", w = c.bar))
}

/// Draws it; for each row the line of the outline that it shows.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Vec<Option<usize>> {
    let width = usize::from(area.width);
    let columns = Columns::of(width, app);
    let height = usize::from(area.height);
    let rows = app.path_lines(height);
    let chosen = |l: &PathLine| matches!(l, PathLine::Entry { at, .. } if app.outline[*at].selected.as_ref() == Some(&app.selected));
    let here = rows.iter().position(chosen).unwrap_or(0);
    let first = window(here, rows.len(), height);
    let shown: Vec<&PathLine> = rows.iter().skip(first).take(height).collect();
    let mut lines: Vec<Line<'_>> = shown.iter().map(|l| line(app, l, width, &columns, theme)).collect();
    // How much is below is said in the last row.
    let below = rows.len().saturating_sub(first + height);
    if below > 0
        && here + 1 < first + height
        && let Some(last) = lines.last_mut()
    {
        *last = Line::styled(format!("     {} below", below + 1), theme.quiet());
    }
    frame.render_widget(Paragraph::new(lines), area);
    shown.iter().map(|l| if let PathLine::Entry { at, .. } = l { Some(*at) } else { None }).collect()
}

fn line<'a>(app: &App, l: &PathLine, width: usize, c: &Columns, theme: Theme) -> Line<'a> {
    match l {
        PathLine::Gap => Line::raw(""),
        PathLine::More(n) => Line::styled(format!("     {n} more meet"), theme.quiet()),
        PathLine::Entry { at, fold, inner } => {
            let e = &app.outline[*at];
            match &e.selected {
                None => heading(e, width, theme),
                Some(Selected::Site) => fact(app, e, "site", &app.site_fact(), width, theme),
                Some(Selected::People) => fact(app, e, "people", &app.people_fact(), width, theme),
                Some(Selected::Factors) => fact(app, e, "factors", &app.factors_fact(), width, theme),
                Some(_) => piece(app, e, *fold, *inner, c, theme),
            }
        }
    }
}

fn heading<'a>(e: &Entry, width: usize, theme: Theme) -> Line<'a> {
    let text = plain(&e.text);
    let (name, label) = text.split_once(", ").unwrap_or((&text, ""));
    Line::from(vec![
        Span::styled(theme.text(&format!(" {name} ")), theme.role(Role::Strong)),
        Span::styled(theme.text(&cut(label, width.saturating_sub(name.width() + 2))), theme.quiet()),
    ])
}

/// The cursor's sign, and the style of what is chosen.
fn cursor(app: &App, e: &Entry, theme: Theme) -> (Span<'static>, bool) {
    let here = e.selected.as_ref() == Some(&app.selected);
    let sign = if !here {
        " "
    } else if theme.ascii() {
        ">"
    } else {
        "▌"
    };
    (Span::styled(sign, theme.role(Role::Strong)), here)
}

fn fact<'a>(app: &App, e: &Entry, name: &str, text: &str, width: usize, theme: Theme) -> Line<'a> {
    let (sign, here) = cursor(app, e, theme);
    let style = if here { theme.cursor(app.pane == Pane::Path) } else { theme.quiet() };
    Line::from(vec![
        sign,
        Span::styled(format!("{name:<7}"), style),
        Span::styled(theme.text(&format!("  {}", cut(text, width.saturating_sub(10)))), theme.role(Role::Text)),
    ])
}

fn piece<'a>(app: &App, e: &Entry, fold: Fold, inner: bool, c: &Columns, theme: Theme) -> Line<'a> {
    let (sign, here) = cursor(app, e, theme);
    let closed = fold == Fold::Closed;
    let row = if closed { app.worst_of_branch(e) } else { app.worst_of(e).or_else(|| app.worst_of_branch(e)) };
    let share = row.and_then(short::share);
    let style = row.map_or_else(|| theme.quiet(), |r| theme.piece(r.verdict, share));
    let mark = match (fold, theme.ascii()) {
        (Fold::None, _) => "  ",
        (Fold::Closed, false) => "▸ ",
        (Fold::Open, false) => "▾ ",
        (Fold::Closed, true) => "+ ",
        (Fold::Open, true) => "- ",
    };
    let name = format!("{}{}", if inner { "  " } else { "" }, plain(&app.line_name(e)));
    let name = fit(&name, c.name);
    let (pad, word) = name.split_at(name.len() - name.trim_start().len());
    let chosen = if here { theme.cursor(app.pane == Pane::Path) } else { style };
    let mut spans = vec![sign, Span::styled(theme.text(mark), theme.quiet()), Span::raw(pad.to_owned())];
    let text = word.trim_end().to_owned();
    let blank = " ".repeat(word.width() - text.width());
    spans.extend([Span::styled(theme.text(&text), chosen), Span::raw(blank)]);
    let Some(r) = row else { return Line::from(spans) };
    let stale = if app.fresh() { "" } else { "~" };
    let system = app.settings.system;
    let [found, asked] = short::found(r, system);
    if c.force > 0 {
        let force = if r.is_height() { String::new() } else { format!("{stale}{}", short::force(r.demand_n, system)) };
        spans.push(Span::styled(format!("{force:>7}"), style));
    }
    spans.push(Span::styled(theme.text(&format!("{:>6} ", format!("{stale}{found}"))), style));
    spans.push(Span::styled(theme.text(&format!("{asked:<4}")), theme.quiet()));
    let sign = match r.verdict {
        Verdict::Meets if app.cautioned(e) => Span::styled("! ", theme.role(Role::Caution)),
        Verdict::Meets => Span::raw("  "),
        v => Span::styled(theme.text(&format!("{} ", v.sign())), style),
    };
    spans.push(sign);
    let change = app.factor_before(r).map(|b| r.factor - b).filter(|c| c.is_finite() && c.abs() >= 0.05);
    let changed = change.map(|c| format!("{stale}{c:+.1}"));
    if c.when > 0 {
        let when = match &changed {
            Some(c) => Span::styled(format!("{c:<17}"), theme.role(Role::Hand)),
            None => Span::styled(theme.text(&fit(&brief(&app.when(r), 16), 17)), theme.quiet()),
        };
        spans.push(when);
    }
    match changed.filter(|_| c.when == 0) {
        Some(change) => spans.push(Span::styled(fit(&change, c.bar), theme.role(Role::Hand))),
        None => spans.extend(bar(share, c.bar, style, theme)),
    }
    Line::from(spans)
}
