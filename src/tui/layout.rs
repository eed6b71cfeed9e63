//! Where the panes stand, by the size of the screen.

use ratatui::layout::{Constraint, Layout, Rect};

use crate::app::Pane;

/// The smallest screen that is used, columns and rows.
pub const SMALLEST: (u16, u16) = (80, 24);

/// Where everything stands.
#[derive(Debug, Clone, Default)]
pub struct Screen {
    /// Title and verdict.
    pub header: Rect,
    /// Panes.
    pub panes: Vec<(Pane, Rect)>,
    /// Walker, message, keys.
    pub footer: Rect,
}

/// Lays the panes out; nothing when the screen is too small. `beside` is the pane that stands beside the load path
/// where there is room for one only.
#[must_use]
pub fn screen(area: Rect, beside: Pane) -> Option<Screen> {
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return None;
    }
    // The limiting sentence needs a third line where lines are short.
    let head = if area.width < 110 { 4 } else { 3 };
    let [header, body, footer] =
        area.layout(&Layout::vertical([Constraint::Length(head), Constraint::Min(0), Constraint::Length(3)]));
    let panes = if area.width >= 110 && area.height >= 30 {
        let (left, right) = if area.width >= 180 {
            (52, 64)
        } else if area.width >= 140 {
            (44, 46)
        } else {
            (40, 38)
        };
        let [path, middle, piece] =
            body.layout(&Layout::horizontal([Constraint::Length(left), Constraint::Min(0), Constraint::Length(right)]));
        let worst = (body.height / 4).max(7);
        let [drawing, worst] = middle.layout(&Layout::vertical([Constraint::Min(0), Constraint::Length(worst)]));
        vec![(Pane::Path, path), (Pane::Drawing, drawing), (Pane::Piece, piece), (Pane::Worst, worst)]
    } else {
        let beside = if beside == Pane::Path { Pane::Drawing } else { beside };
        let [path, other] = body.layout(&Layout::horizontal([Constraint::Length(38), Constraint::Min(0)]));
        vec![(Pane::Path, path), (beside, other)]
    };
    Some(Screen { header, panes, footer })
}
