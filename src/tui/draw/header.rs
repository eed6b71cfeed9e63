//! Title and caution; below them what decides, when, and what would mend it. No sentence wraps: words fall off from the
//! right.

use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::text::{Line, Span};
use ratatui::widgets::Paragraph;
use unicode_width::UnicodeWidthStr as _;

use super::bar::bar;
use super::{cut, fit};
use crate::app::{App, Headline};
use crate::document::plain;
use crate::tui::theme::{Role, Theme};

/// The caution, in three lengths; the longest that fits stands.
const CAUTIONS: [&str; 3] = [
    "planning aid: judge on site, makers' instructions and local codes first",
    "planning aid: judge on site",
    "planning aid",
];

/// Title and caution.
pub(super) fn title(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let width = usize::from(area.width);
    let name = plain(&app.file.plan.title);
    let state = if app.unsaved() && app.lesson.is_none() { "  unsaved" } else { "" };
    let room = |c: &&&str| name.width() + state.width() + c.width() + 4 <= width;
    let caution = CAUTIONS.iter().find(room).unwrap_or(&CAUTIONS[2]);
    let left = width.saturating_sub(caution.width() + 3);
    let name = cut(&name, left.saturating_sub(state.width()));
    let gap = left.saturating_sub(name.width() + state.width());
    let line = Line::from(vec![
        Span::styled(theme.text(&format!(" {name}")), theme.role(Role::Strong)),
        Span::raw(state),
        Span::styled(format!("{}{caution} ", " ".repeat(gap + 1)), theme.quiet()),
    ]);
    frame.render_widget(Paragraph::new(line), area);
}

/// What decides, when, and what mends it, in two rows or three.
pub(super) fn headline(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let width = usize::from(area.width);
    let h = app.headline();
    let stale = if app.review.is_some() && !app.fresh() { "~" } else { "" };
    let word = format!(" {:<9} ", h.word);
    let margin = word.width();
    let bad = match (h.verdict, h.stop) {
        (_, true) | (None, _) => theme.role(Role::Bad),
        (Some(v), false) => match v {
            crate::review::Verdict::Meets => theme.role(Role::Strong),
            other => theme.piece(other, h.share),
        },
    };
    let working = h.verdict.is_none() && app.review_faults.is_empty();
    let bad = if working { theme.quiet() } else { bad };
    let mut first = vec![Span::styled(theme.text(&word), bad)];
    let figures = h.found.as_ref().map_or(String::new(), |[f, n]| format!("{stale}{f} of {n}"));
    let room = width.saturating_sub(margin + 1);
    let what = cut(&format!("{stale}{}", h.what), room.saturating_sub(figures.width() + 3));
    let used = what.width() + figures.width() + 3;
    first.push(Span::styled(theme.text(&format!("{what}   ")), theme.role(Role::Strong)));
    first.push(Span::styled(theme.text(&figures), bad));
    let takes = h
        .share
        .filter(|s| s.is_finite())
        .map_or(String::new(), |s| format!("  {stale}takes {:.0} % of allowed ", (100.0 * s).ceil()));
    let takes = if width >= 110 { takes } else { String::new() };
    let left = room.saturating_sub(used + takes.width() + 3);
    if h.share.is_some() && left >= 12 {
        first.push(Span::raw("   "));
        first.extend(bar(h.share, left, bad, theme));
        first.push(Span::styled(theme.text(&takes), theme.quiet()));
    }
    let mut lines = vec![Line::from(first)];
    let indent = " ".repeat(margin);
    let counts = format!("{stale}{} ", h.counts);
    if area.height >= 3 {
        let sentence =
            [h.when.as_str(), h.figures.as_str()].iter().filter(|t| !t.is_empty()).copied().collect::<Vec<_>>();
        let text = joined(&sentence, " ", width.saturating_sub(margin), stale);
        lines.push(Line::raw(theme.text(&format!("{indent}{text}"))));
        lines.push(with_counts(&indent, &format!("{stale}{}", h.mend), &counts, width, theme));
    } else {
        let second = joined(&[h.when.as_str(), h.mend.as_str()], "   ", width.saturating_sub(margin), stale);
        lines.push(Line::raw(theme.text(&format!("{indent}{second}"))));
    }
    frame.render_widget(Paragraph::new(lines), area);
}

/// The mend at the left, the counts at the right where there is room.
fn with_counts<'a>(indent: &str, mend: &str, counts: &str, width: usize, theme: Theme) -> Line<'a> {
    let room = width.saturating_sub(indent.width());
    // Counts stand where a few words of the mend stand beside them.
    let counts = if counts.width() + 24 <= room { counts } else { "" };
    let mend = cut(mend, room.saturating_sub(counts.width() + 2));
    let left = room.saturating_sub(mend.width());
    Line::from(vec![
        Span::raw(theme.text(&format!("{indent}{mend}{}", " ".repeat(left - counts.width())))),
        Span::styled(theme.text(counts), theme.quiet()),
    ])
}

/// Texts beside each other as far as there is room; the last that is begun may be cut.
fn joined(texts: &[&str], between: &str, room: usize, mark: &str) -> String {
    let mut out = String::new();
    for t in texts.iter().filter(|t| !t.is_empty()) {
        let sep = if out.is_empty() { "" } else { between };
        let left = room.saturating_sub(out.width() + sep.width() + mark.width());
        if left < 12 && t.width() > left {
            break;
        }
        out += &format!("{sep}{mark}{}", cut(t, left));
    }
    out
}

/// Verdict, piece and factor in as many lines as there are, on a screen too small for a pane.
pub(super) fn alone(frame: &mut Frame<'_>, area: Rect, app: &App, theme: Theme) {
    let width = usize::from(area.width);
    let h: Headline = app.headline();
    let figures = h.found.as_ref().map_or(String::new(), |[f, n]| format!("{f} of {n}"));
    let all = [
        format!("{} {figures}", h.word),
        h.what.clone(),
        h.when.clone(),
        "planning aid; work is kept; q leaves, ? keys".to_owned(),
        "larger, or: spanwright plain".to_owned(),
    ];
    let lines = all.iter().take(usize::from(area.height)).map(|l| Line::raw(theme.text(&fit(l, width))));
    frame.render_widget(Paragraph::new(lines.collect::<Vec<_>>()), area);
}
