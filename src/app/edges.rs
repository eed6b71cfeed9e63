//! The page of the work at the edges: who hangs on what, at the step that the slider says.

use super::keys::{Key, Press};
use super::pages::PageBlock;
use super::printing::Leaf;
use super::state::{App, Overlay};
use crate::review::{AtEdge, Edges};
use crate::sheets::Kind;

/// Which step is looked at, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EdgeView(pub usize);

impl EdgeView {
    /// What is looked at.
    #[must_use]
    pub fn of(self, edges: &Edges) -> Option<&AtEdge> {
        edges.steps.get(self.0).or_else(|| edges.steps.last())
    }
}

impl App {
    /// Opens the page at the first step that leaves somebody untied, else at the first; without ties, what they would take.
    pub(super) fn look_edges(&mut self) {
        let Some(edges) = self.review.as_ref().and_then(|r| r.edges.as_ref()) else {
            return self.open_sheet(PageBlock::Ties);
        };
        let open = |s: &AtEdge| s.sides.iter().any(|x| x.held < x.people);
        self.overlay = Some(Overlay::Edges(EdgeView(edges.steps.iter().position(open).unwrap_or(0))));
        self.dirty = true;
    }

    /// A key on the page.
    pub(super) fn press_edges(&mut self, mut v: EdgeView, press: Press) {
        let Some(edges) = self.review.as_ref().and_then(|r| r.edges.as_ref()) else { return };
        match press.key {
            Key::Esc | Key::Char('1' | 'q') => return,
            Key::Right | Key::Down => v.0 = (v.0 + 1).min(edges.steps.len().saturating_sub(1)),
            Key::Left | Key::Up => v.0 = v.0.saturating_sub(1),
            Key::Char(digit) if self.look_at_page(digit) => return,
            Key::Char('p') => return self.leaf_to(Leaf::Sheet(Kind::Edge)),
            _ => {}
        }
        self.overlay = Some(Overlay::Edges(v));
    }
}
