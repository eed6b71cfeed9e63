//! The second page: the line on its way over the gap, as far over as the slider says.

use super::keys::{Key, Press};
use super::pages::PageBlock;
use super::printing::Leaf;
use super::state::{App, Overlay};
use crate::plan::Side;
use crate::review::{Over, StageOver, Way};
use crate::sheets::Kind;

/// Which stage is looked at, and how far over it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OverView {
    /// Its index.
    pub stage: usize,
    /// Index of the place on its way.
    pub way: usize,
}

impl OverView {
    /// What is looked at; nothing where the plan has no such stage any more, or it could not be held.
    #[must_use]
    pub fn of<'a>(&self, over: &'a Over) -> Option<(&'a StageOver, Option<&'a Way>)> {
        let stage = over.stages.get(self.stage)?;
        Some((stage, stage.ways.get(self.way.min(stage.ways.len().saturating_sub(1)))))
    }
}

impl App {
    /// Opens the page: the last stage, where it hangs lowest; without a crossing, what it would take.
    pub(super) fn look_over(&mut self) {
        let Some(over) = self.review.as_ref().and_then(|r| r.over.as_ref()) else {
            return self.open_sheet(PageBlock::Crossing);
        };
        let stage = over.stages.len().saturating_sub(1);
        let lowest = over.stages.get(stage).and_then(StageOver::lowest).map_or(0.5, |w| w.share);
        let way = over.stages.get(stage).map_or(0, |s| s.ways.iter().position(|w| w.share >= lowest).unwrap_or(0));
        self.overlay = Some(Overlay::Over(OverView { stage, way }));
        self.dirty = true;
    }

    /// A key on the page.
    pub(super) fn press_over(&mut self, mut v: OverView, press: Press) {
        let Some(over) = self.review.as_ref().and_then(|r| r.over.as_ref()) else { return };
        let ways = over.stages.get(v.stage).map_or(0, |s| s.ways.len());
        // Left and right are left and right on the screen, whichever side sends.
        let onward = over.sends == Side::A;
        let slide = |v: &mut OverView, right: bool| {
            v.way = if right == onward { (v.way + 1).min(ways.saturating_sub(1)) } else { v.way.saturating_sub(1) };
        };
        match press.key {
            Key::Esc | Key::Char('1' | 'q') => return,
            Key::Right => slide(&mut v, true),
            Key::Left => slide(&mut v, false),
            Key::Down => (v.stage, v.way) = ((v.stage + 1).min(over.stages.len().saturating_sub(1)), 0),
            Key::Up => (v.stage, v.way) = (v.stage.saturating_sub(1), 0),
            Key::Char(digit) if self.look_at_page(digit) => return,
            Key::Char('p') => return self.leaf_to(Leaf::Sheet(Kind::Over)),
            _ => {}
        }
        self.overlay = Some(Overlay::Over(v));
    }
}
