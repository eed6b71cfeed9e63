//! The strip of a lesson, under the headline: which step, what it says with the plan's own figures, what may be answered.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::trip::said;
use crate::app::App;
use crate::tui::theme::{Role, Theme};

/// Draws it.
pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let (Some(playing), Some((text, unmet))) = (&app.lesson, app.lesson_said()) else { return };
    let width = usize::from(area.width);
    let (at, all) = (playing.at + 1, playing.lesson.steps.len());
    let next = if at == all { "ends it" } else { "next" };
    let keys = format!("enter {next}   backspace back   q leave ");
    let left = format!(" {} · {at} of {all}", playing.lesson.title);
    let gap = width.saturating_sub(left.width() + keys.width());
    let keys = if gap < 2 { String::new() } else { keys };
    let mut lines = vec![Line::from(vec![
        Span::styled(theme.text(&left), theme.role(Role::Hand)),
        Span::styled(" ".repeat(gap) + &keys, theme.quiet()),
    ])];
    let mut spoken: Vec<Line<'_>> = said(&text, width.saturating_sub(1), theme).collect();
    if let Some((choices, right)) = &playing.step().asks {
        let of = |(k, c): (usize, &String)| {
            let style = match playing.answered {
                Some(_) if k == *right => theme.role(Role::Strong),
                Some(given) if given == k => theme.role(Role::Bad),
                _ => theme.role(Role::Text),
            };
            Span::styled(theme.text(&format!(" {} {c}   ", k + 1)), style)
        };
        spoken.truncate(1);
        spoken.push(Line::from(choices.iter().enumerate().map(of).collect::<Vec<_>>()));
    }
    if let Some(why) = unmet.first() {
        // Words that do not hold are not left standing alone.
        spoken.truncate(1);
        spoken.push(Line::styled(theme.text(&format!(" ! {why}")), theme.role(Role::Bad)));
    }
    lines.extend(spoken.into_iter().take(usize::from(area.height).saturating_sub(1)));
    frame.render_widget(Paragraph::new(lines), area);
}
