//! The bar that every list and the headline share: the share of what is allowed that the load takes. A bar past its mark
//! fails.

use ratatui::style::Style;
use ratatui::text::Span;

use crate::tui::theme::{Role, Theme};

/// Where the mark stands in a bar of `width` columns: the rest is room to fail in.
pub(super) fn mark(width: usize) -> usize {
    width.saturating_sub((width / 6).max(2))
}

/// A bar of `width` columns whose mark is where [`mark`] says.
pub(super) fn bar<'a>(share: Option<f64>, width: usize, style: Style, theme: Theme) -> Vec<Span<'a>> {
    let mark = mark(width);
    let (full, half, line, crossed) = if theme.ascii() { ('=', '-', '|', '+') } else { ('━', '╸', '│', '┿') };
    let halves = share.map_or(0.0, |s| (s * mark as f64 * 2.0).min(2.0 * width as f64)).round() as usize;
    // What carries anything is seen.
    let halves = halves.max(usize::from(share.is_some_and(|s| s > 0.0)));
    let cell = |k: usize| match (halves > 2 * k + 1, halves > 2 * k, k == mark) {
        (true, _, true) => crossed,
        (_, _, true) => line,
        (true, ..) => full,
        (false, true, _) => half,
        _ => ' ',
    };
    let of = |range: std::ops::Range<usize>| range.map(cell).collect::<String>();
    let past = halves > 2 * mark;
    let marked = if past { style } else { theme.role(Role::Faint) };
    vec![
        Span::styled(of(0..mark), style),
        Span::styled(of(mark..mark + 1), marked),
        Span::styled(of(mark + 1..width.max(mark + 1)), style),
    ]
}
