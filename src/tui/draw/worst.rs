//! What is worst, and what the rules say: one line each; the line under the cursor unfolds.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;

use super::{brief, cut, fit, window};
use crate::app::{App, Pane, WorstRow, short};
use crate::document::plain;
use crate::review::{Gravity, Review, Verdict};
use crate::sheets::wrap;
use crate::tui::theme::{Role, Theme};

/// Draws it; for each row the number of its line.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) -> Vec<Option<usize>> {
    let width = usize::from(area.width);
    let rows = app.worst_rows();
    let Some(review) = &app.review else {
        let text =
            if app.review_faults.is_empty() { "working…" } else { "nothing: the plan cannot be worked out (f)" };
        frame.render_widget(Paragraph::new(theme.text(text)).style(theme.quiet()), area);
        return Vec::new();
    };
    let focused = app.pane == Pane::Worst;
    let height = usize::from(area.height);
    // What is under the cursor is read whole below its line, when it has the keys.
    let more = rows.get(app.worst_at).filter(|_| focused).map(|r| whole(app, review, r)).unwrap_or_default();
    let stale = if app.fresh() { "" } else { "~" };
    let more = wrap(&more, width.saturating_sub(5), 0).into_iter().take(height / 2);
    let more: Vec<String> = more.map(|l| format!("{stale}{l}")).collect();
    let first = window(app.worst_at, rows.len(), height.saturating_sub(more.len()));
    let (mut lines, mut at) = (Vec::new(), Vec::new());
    for (i, row) in rows.iter().enumerate().skip(first) {
        if lines.len() >= height {
            break;
        }
        lines.push(line(app, review, row, i == app.worst_at, width, theme));
        at.push(Some(i));
        if i == app.worst_at {
            for l in &more {
                lines.push(Line::raw(theme.text(&format!("    {l}"))));
                at.push(Some(i));
            }
        }
    }
    lines.truncate(height);
    frame.render_widget(Paragraph::new(lines), area);
    at
}

/// One line: sign, piece, what it has of what is asked, when; or what a rule says of which piece.
fn line<'a>(app: &App, review: &Review, row: &WorstRow, here: bool, width: usize, theme: Theme) -> Line<'a> {
    let stale = if app.fresh() { "" } else { "~" };
    let focused = app.pane == Pane::Worst;
    let name_width = (width / 3).clamp(12, 22);
    let named = |name: &str, style: Style| {
        let style = if here { theme.cursor(focused) } else { style };
        let text = cut(&plain(name), name_width);
        let blank = fit("", name_width + 1 - unicode_width::UnicodeWidthStr::width(text.as_str()));
        [Span::styled(theme.text(&text), style), Span::raw(blank)]
    };
    match row {
        WorstRow::Row(k) => {
            let r = &review.rows[*k];
            let style = theme.piece(r.verdict, short::share(r));
            let sign = if r.verdict == Verdict::Meets { " " } else { r.verdict.sign() };
            let [found, asked] = short::found(r, app.settings.system);
            let [name, blank] = named(&app.piece(&r.place), style);
            let left = width.saturating_sub(3 + name_width + 1 + 12);
            Line::from(vec![
                Span::styled(theme.text(&format!(" {sign} ")), style),
                name,
                blank,
                Span::styled(theme.text(&format!("{:>6} ", format!("{stale}{found}"))), style),
                Span::styled(theme.text(&format!("{asked:<5}")), theme.quiet()),
                Span::styled(theme.text(&brief(&app.when(r), left)), theme.quiet()),
            ])
        }
        WorstRow::Finding(k) => {
            let f = &review.findings[*k];
            let style = theme.gravity(f.gravity);
            let sign = match f.gravity {
                Gravity::Stop => "■",
                Gravity::Caution => "!",
                Gravity::Note => "·",
            };
            let at = if f.at.is_empty() { "the plan".to_owned() } else { app.about(&f.at) };
            let text = if f.gravity == Gravity::Note { theme.quiet() } else { theme.role(Role::Text) };
            let [name, blank] = named(&at, text);
            let left = width.saturating_sub(3 + name_width + 1);
            Line::from(vec![
                Span::styled(theme.text(&format!(" {sign} ")), style),
                name,
                blank,
                Span::styled(theme.text(&cut(&format!("{stale}{}", plain(&f.text)), left)), text),
            ])
        }
    }
}

/// All of it in words.
fn whole(app: &App, review: &Review, row: &WorstRow) -> String {
    match row {
        WorstRow::Row(k) => {
            let r = &review.rows[*k];
            plain(&format!("{}, {}; {}", r.sees(app.settings.system), r.class_and_case(), r.title))
        }
        WorstRow::Finding(k) => {
            let f = &review.findings[*k];
            plain(&format!("{}. fix: {}", f.text, f.remedy))
        }
    }
}
