//! What is selected: its fields, and the reasons for its number.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::{fit, window};
use crate::app::{App, FormField, Pane, Selected};
use crate::document::plain;
use crate::document::schema::{Kind, Need};
use crate::review::factor_text;
use crate::sheets::{explain, wrap};
use crate::tui::theme::Theme;

/// Draws it; the number of the first field shown.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> usize {
    let width = usize::from(area.width);
    let height = usize::from(area.height);
    let why = reasons(app, width);
    // The fields get what the reasons do not need, but at least half.
    let fields_height = app.form.len().min((height / 2).max(height.saturating_sub(why.len() + 1)));
    let first = window(app.form_at, app.form.len(), fields_height);
    let mut lines: Vec<Line<'_>> = app
        .form
        .iter()
        .enumerate()
        .skip(first)
        .take(fields_height)
        .map(|(i, f)| field(f, i == app.form_at, app.pane == Pane::Piece, width, theme))
        .collect();
    lines.push(Line::from(Span::styled(theme.text(&fit(&doc(app), width)), theme.quiet())));
    let room = height.saturating_sub(lines.len());
    let skip = app.piece_scroll.min(why.len().saturating_sub(room));
    for (text, bold) in why.iter().skip(skip).take(room) {
        let style = if *bold { Style::new().add_modifier(Modifier::BOLD) } else { Style::new() };
        lines.push(Line::from(Span::styled(theme.text(text), style)));
    }
    frame.render_widget(Paragraph::new(lines), area);
    first
}

/// What the field under the cursor means.
fn doc(app: &App) -> String {
    app.form
        .get(app.form_at)
        .filter(|_| app.pane == Pane::Piece)
        .map_or(String::new(), |f| format!("— {}", if f.doc.is_empty() { f.name } else { f.doc }))
}

fn field<'a>(f: &FormField, here: bool, focused: bool, width: usize, theme: Theme) -> Line<'a> {
    let name = format!("{}{}", "  ".repeat(f.depth), f.name);
    let name_width = 18.min(width / 2);
    let (value, set) = match (&f.value, f.need) {
        (Some(v), _) => (v.clone(), true),
        (None, _) if matches!(f.kind, Kind::Record(_)) => (String::new(), true),
        (None, Need::Required) => ("missing".to_owned(), false),
        (None, Need::Default(d)) => (format!("({d})"), false),
    };
    let style = if here {
        theme.cursor(focused)
    } else if set {
        Style::new()
    } else {
        theme.quiet()
    };
    let text = format!("{} {}", fit(&name, name_width), fit(&plain(&value), width.saturating_sub(name_width + 1)));
    Line::from(Span::styled(theme.text(&text), style))
}

/// The reasons, line by line, and whether each is a heading.
fn reasons(app: &App, width: usize) -> Vec<(String, bool)> {
    let mut out = Vec::new();
    if app.solver.is_err() {
        return faults(app, width).into_iter().map(|l| (l, false)).collect();
    }
    if let Some(n) = app.carried_line() {
        out.extend(wrap(&n, width, 2).into_iter().map(|l| (l, true)));
    }
    let rows = app.rows_of_selected();
    // A run shows its weakest part; each part shows its own.
    let shown = if matches!(app.selected, Selected::Run(_)) { 1 } else { 4 };
    let mark = if app.fresh() { "" } else { "~" };
    let narrower = width.saturating_sub(mark.len());
    if !mark.is_empty() && !rows.is_empty() {
        out.push(("~ of the plan before:".to_owned(), true));
    }
    for r in rows.into_iter().take(shown) {
        if let Some(before) = app.factor_before(r) {
            let (was, is) = (factor_text(before), factor_text(r.factor));
            out.push((format!("{mark}baseline {was}, now {is} of {} required", factor_text(r.required)), true));
        }
        for (i, l) in explain(r, app.settings.system, narrower).lines().enumerate() {
            out.push((if l.is_empty() { String::new() } else { format!("{mark}{l}") }, i == 0));
        }
    }
    out
}

/// Why there are no numbers, and what to try.
pub(super) fn faults(app: &App, width: usize) -> Vec<String> {
    let mut out = vec!["No numbers: the plan cannot be worked out.".to_owned(), String::new()];
    out.extend(app.fault_lines().iter().flat_map(|l| wrap(l, width, 2)));
    out
}
