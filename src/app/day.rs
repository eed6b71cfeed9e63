//! The page of the last day at the line: what was read beside what should have been.

use super::keys::{Key, Press};
use super::pages::PageBlock;
use super::printing::Leaf;
use super::state::{App, Overlay};
use crate::sheets::Kind;

impl App {
    /// Opens the page; without a day, what one would take.
    pub(super) fn look_day(&mut self) {
        if self.review.as_ref().is_none_or(|r| r.day.is_none()) {
            return self.open_sheet(PageBlock::Day);
        }
        self.overlay = Some(Overlay::Day(0));
        self.dirty = true;
    }

    /// A key on the page.
    pub(super) fn press_day(&mut self, at: usize, press: Press) {
        match press.key {
            Key::Esc | Key::Char('1' | 'q') => return,
            Key::Char('a') => return self.begin(PageBlock::Day),
            Key::Char('s') => return self.take_stretch(),
            Key::Char('p') => return self.leaf_to(Leaf::Sheet(Kind::Day)),
            Key::Char(digit) if self.look_at_page(digit) => return,
            _ => {}
        }
        self.overlay = Some(Overlay::Day(super::update::scrolled(at, press).unwrap_or(at)));
    }
}
