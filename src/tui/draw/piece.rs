//! What is chosen: its fields in words, and why its number is what it is, as arithmetic in columns.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::{brief, cut, fit, window};
use crate::app::{App, FormField, Pane, Selected, short};
use crate::document::plain;
use crate::document::schema::{Kind, Need};
use crate::review::{Amount, Row, Verdict};
use crate::sheets::wrap;
use crate::tui::theme::{Role, Theme};
use crate::units::{Dim, show};

/// What the pane is called: the piece.
pub(super) fn title(app: &App) -> String {
    match &app.selected {
        Selected::Site => "Site".to_owned(),
        Selected::People => "People".to_owned(),
        Selected::Factors => "Factors asked for".to_owned(),
        Selected::Point(n) | Selected::Run(n) => plain(n),
        Selected::Part(run, _) => {
            let entry = app.outline.iter().find(|e| e.selected.as_ref() == Some(&app.selected));
            entry.map_or_else(|| plain(run), |e| plain(&format!("{run} {}", app.line_name(e))))
        }
    }
}

/// Draws it below its head; for each row the number of its field.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Vec<Option<usize>> {
    let width = usize::from(area.width);
    let height = usize::from(area.height);
    let focused = app.pane == Pane::Piece;
    let why = reasons(app, width, theme);
    // What is not set is one row, until somebody looks for it.
    let set = |f: &FormField| f.value.is_some() || f.need == Need::Required;
    let shown: Vec<usize> = (0..app.form.len()).filter(|&i| focused || set(&app.form[i])).collect();
    let unset = app.form.len() - shown.len();
    let room = shown.len().min(height.saturating_sub(why.len() + 3).max(4).min(height));
    let at = shown.iter().position(|i| *i == app.form_at).unwrap_or(0);
    let first = window(at, shown.len(), room);
    let (mut lines, mut rows) = (Vec::new(), Vec::new());
    for &i in shown.iter().skip(first).take(room) {
        lines.push(field(app, &app.form[i], i == app.form_at && focused, width, theme));
        rows.push(Some(i));
    }
    if unset > 0 {
        let s = if unset == 1 { "" } else { "s" };
        lines.push(Line::styled(format!("{unset} more field{s}, not set"), theme.quiet()));
    }
    if focused && let Some(f) = app.form.get(app.form_at) {
        let doc = if f.doc.is_empty() { f.name } else { f.doc };
        lines.push(Line::styled(theme.text(&cut(&format!("— {doc}"), width)), theme.quiet()));
    }
    if !lines.is_empty() {
        lines.push(Line::raw(""));
    }
    let left = height.saturating_sub(lines.len());
    let skip = app.piece_scroll.min(why.len().saturating_sub(left));
    lines.extend(why.into_iter().skip(skip).take(left));
    frame.render_widget(Paragraph::new(lines), area);
    rows
}

fn field<'a>(app: &App, f: &FormField, here: bool, width: usize, theme: Theme) -> Line<'a> {
    let name = format!("{}{}", "  ".repeat(f.depth), f.name.replace('_', " "));
    let name_width = 16.min(width * 2 / 5);
    let (value, role) = match (&f.value, f.need) {
        (Some(_), _) => (f.words(&app.file), Role::Text),
        (None, _) if matches!(f.kind, Kind::Record(_)) => (String::new(), Role::Quiet),
        (None, Need::Required) => ("missing".to_owned(), Role::Caution),
        (None, Need::Default("none" | "(none)")) => ("not set".to_owned(), Role::Quiet),
        (None, Need::Default(d)) => (format!("{} (assumed)", crate::app::in_words(d)), Role::Quiet),
    };
    let value = match (&app.selected, f.name) {
        (Selected::Point(name), "at") => unsure(app, name, value),
        _ => value,
    };
    let style = if here { theme.cursor(true) } else { theme.role(role) };
    Line::from(vec![
        Span::styled(theme.text(&fit(&name, name_width)), theme.quiet()),
        Span::raw(" "),
        Span::styled(theme.text(&cut(&plain(&value), width.saturating_sub(name_width + 1))), style),
    ])
}

/// A place that was assumed, with how far off it may be.
fn unsure(app: &App, point: &str, place: String) -> String {
    let what = crate::plan::sighted::Unmeasured::Point(point.to_owned());
    match app.file.plan.assumed_m(&what) {
        Some(m) => format!("~{place} ± {}", short::length(m, app.settings.system)),
        None => place,
    }
}

/// The reasons, line by line.
fn reasons<'a>(app: &App, width: usize, theme: Theme) -> Vec<Line<'a>> {
    let mut out = Vec::new();
    if app.solver.is_err() {
        return faults(app, width).into_iter().map(|l| Line::raw(theme.text(&l))).collect();
    }
    if let Some(now) = app.carried_line() {
        out.extend(wrap(&now, width, 2).iter().map(|l| Line::styled(theme.text(l), theme.role(Role::Text))));
    }
    let rows = app.rows_of_selected();
    let stale = if app.fresh() { "" } else { "~" };
    for r in &rows {
        if let Some(before) = app.factor_before(r) {
            let (was, is) = (short::factor(before), short::factor(r.factor));
            let text = format!("{stale}baseline {was}, now {is}, {}", r.class.word());
            out.push(Line::styled(theme.text(&text), theme.role(Role::Hand)));
        }
    }
    let Some((worst, others)) = rows.split_first() else { return out };
    arithmetic(&mut out, app, worst, stale, width, theme);
    // The other classes and places are one row each.
    if !others.is_empty() {
        out.push(Line::raw(""));
    }
    for r in others {
        let [found, asked] = short::found(r, app.settings.system);
        let style = theme.piece(r.verdict, short::share(r));
        let name = if r.place == worst.place { r.class.word().to_owned() } else { app.piece(&r.place) };
        let what = format!("{stale}{found} of {asked}");
        out.push(Line::from(vec![
            Span::styled(theme.text(&fit(&cut(&name, 13), 14)), theme.quiet()),
            Span::styled(theme.text(&fit(&what, 13)), style),
            Span::styled(theme.text(&brief(&app.when(r), width.saturating_sub(27))), theme.quiet()),
        ]));
    }
    out
}

/// One source in one word.
fn source(text: &str) -> &'static str {
    let has = |t: &str| text.contains(t);
    if has("label") {
        "label"
    } else if has("EN ") || has("ISO") || has("ASME") || has("UIAA") || has("standard") {
        "standard"
    } else if has("typical") {
        "? no label"
    } else if has("memory") {
        "memory"
    } else if has("common practice") {
        "practice"
    } else if has("plan") || has("declared") {
        "yours"
    } else {
        ""
    }
}

/// The arithmetic of one row: rating, what each step leaves, what it holds, what pulls, the factor.
fn arithmetic(out: &mut Vec<Line<'_>>, app: &App, r: &Row, stale: &str, width: usize, theme: Theme) {
    let system = app.settings.system;
    let [found, asked] = short::found(r, system);
    let style = theme.piece(r.verdict, short::share(r));
    let head = format!("Why {stale}{found}, {}", r.class.word());
    out.push(Line::styled(theme.text(&head), theme.role(Role::Strong)));
    let mut line = |sign: &str, figure: &str, unit: &str, words: &str, from: &str, role: Role| {
        let from_width = if width >= 40 { 11 } else { 0 };
        let room = width.saturating_sub(2 + 7 + 4 + from_width);
        let words = wrap(&plain(words), room, 0);
        for (k, w) in words.iter().enumerate() {
            let (sign, figure, unit, from) = if k == 0 { (sign, figure, unit, from) } else { ("", "", "", "") };
            let from = if from_width > 0 { from } else { "" };
            let blank = " ".repeat(room.saturating_sub(w.width()));
            out.push(Line::from(vec![
                Span::styled(theme.text(&format!("{sign:<2}")), theme.quiet()),
                Span::styled(theme.text(&format!("{figure:>7} ")), theme.role(role)),
                Span::styled(format!("{unit:<3}"), theme.quiet()),
                Span::styled(
                    theme.text(&format!("{w}{blank}")),
                    theme.role(if role == Role::Quiet { Role::Quiet } else { Role::Text }),
                ),
                Span::styled(theme.text(&format!("{from:>from_width$}")), theme.quiet()),
            ]));
        }
    };
    if r.is_height() {
        if let Some(h) = &r.height {
            line("", &figure(h.low_m), "m", "height it comes down to", "solved", Role::Text);
            line("−", &figure(h.top_m), "m", &format!("height of {} there", h.over), "yours", Role::Text);
            line("=", &figure(h.found_m()), "m", &format!("between them, {asked} asked"), r.verdict.word(), Role::Text);
            line("", "", "", &format!("{}, {} from A", app.when(r), short::length(h.x_m, system)), "", Role::Quiet);
        } else {
            line("", "", "", &r.strength.spot.clone(), "", Role::Quiet);
        }
        return;
    }
    let force = |n: f64| {
        let text = show(Dim::Force, n, system);
        let (n, unit) = text.split_once(' ').unwrap_or((&text, ""));
        (n.to_owned(), unit.to_owned())
    };
    for s in &r.strength.steps {
        match s.amount {
            Amount::Newton(n) => {
                let (figure, unit) = force(n);
                let words = brief_step(&s.what, &r.title, &format!("{figure} {unit}"));
                line("", &figure, &unit, &words, source(&format!("{} {}", s.what, s.source)), Role::Text);
            }
            // What changes nothing is not told.
            Amount::Factor { low, .. } if (low - 1.0).abs() < 5e-4 => {}
            Amount::Factor { low, .. } => line("×", &format!("{low:.2}"), "", &s.what, source(&s.source), Role::Text),
        }
    }
    let (pull, unit) = force(r.demand_n);
    let pull = format!("{stale}{pull}");
    if let Some(n) = r.strength.counts_n() {
        let (holds, holds_unit) = force(n);
        // Where it gives way, without the sizes that stand in the fields.
        let spot = r.strength.spot.split([',', '(']).next().and_then(|s| s.split(" at ").next()).unwrap_or_default();
        line("=", &holds, &holds_unit, &format!("holds, at {spot}"), "", Role::Text);
        let unsettled = |s: f64| format!(" (±{:.0} %, does not settle)", 100.0 * s);
        let spread = r.spread.filter(|s| *s > 0.05).map_or_else(String::new, unsettled);
        line("÷", &pull, &unit, &format!("{}{spread}", app.when(r)), "solved", Role::Text);
    } else {
        line("", &pull, &unit, &format!("pulls, {}", app.when(r)), "solved", Role::Text);
        line("", "", "", &format!("no rating: {}", r.strength.spot), "", Role::Quiet);
    }
    let sign = if r.verdict == Verdict::Meets { "✓" } else { r.verdict.sign() };
    out.push(Line::from(vec![
        Span::styled("= ", theme.quiet()),
        Span::styled(theme.text(&format!("{:>7} ", format!("{stale}{found}"))), style),
        Span::styled(theme.text(&format!("   of {asked} asked   {sign} {}", r.verdict.word())), style),
    ]));
    for d in &r.strength.doubts {
        for l in wrap(&plain(d), width.saturating_sub(2), 0) {
            out.push(Line::styled(theme.text(&format!("  {l}")), theme.quiet()));
        }
    }
}

/// What a figure is, without the piece's own name and the figure itself, which stand beside it.
fn brief_step(what: &str, title: &str, figure: &str) -> String {
    let words = what.strip_prefix(title).unwrap_or(what).trim_start_matches([':', ' ']);
    let words = words.replace(figure, "").replace(": ", " ").replace("typical of its class", "class value");
    let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
    if words.is_empty() { "rating".to_owned() } else { words }
}

/// Metres with two decimals.
fn figure(m: f64) -> String {
    format!("{m:.2}")
}

/// Why there are no numbers, and what to try.
pub(super) fn faults(app: &App, width: usize) -> Vec<String> {
    let mut out = wrap("No numbers: the plan cannot be worked out.", width, 0);
    out.push(String::new());
    out.extend(app.fault_lines().iter().flat_map(|l| wrap(l, width, 2)));
    out
}
