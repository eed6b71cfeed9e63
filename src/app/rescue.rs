//! The page of a rescue: where somebody hangs, as the slider says, on which line.

use super::keys::{Key, Press};
use super::pages::PageBlock;
use super::printing::Leaf;
use super::state::{App, Overlay};
use crate::review::{HangsAt, On, Rescued};
use crate::sheets::Kind;

/// Where somebody hangs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RescueView {
    /// On which line.
    pub on: On,
    /// Index of the place along it, from A.
    pub place: usize,
}

impl RescueView {
    /// What is looked at; nothing where the plan has no such place any more.
    #[must_use]
    pub fn of<'a>(&self, all: &'a Rescued) -> Option<&'a HangsAt> {
        all.on(self.on).nth(self.place).or_else(|| all.on(self.on).last())
    }
}

impl App {
    /// Opens the page in the middle of the main line; without a rescue, what it would take.
    pub(super) fn look_rescue(&mut self) {
        let Some(all) = self.review.as_ref().and_then(|r| r.rescued.as_ref()) else {
            return self.open_sheet(PageBlock::Rescue);
        };
        let place = all.on(On::Main).count() / 2;
        self.overlay = Some(Overlay::Rescue(RescueView { on: On::Main, place }));
        self.dirty = true;
    }

    /// A key on the page.
    pub(super) fn press_rescue(&mut self, mut v: RescueView, press: Press) {
        let Some(all) = self.review.as_ref().and_then(|r| r.rescued.as_ref()) else { return };
        let places = all.on(v.on).count();
        match press.key {
            Key::Esc | Key::Char('1' | 'q') => return,
            Key::Right => v.place = (v.place + 1).min(places.saturating_sub(1)),
            Key::Left => v.place = v.place.saturating_sub(1),
            Key::Up | Key::Down => {
                let other = if v.on == On::Main { On::Backup } else { On::Main };
                if all.on(other).next().is_some() {
                    v.on = other;
                }
            }
            Key::Char(digit) if self.look_at_page(digit) => return,
            Key::Char('p') => return self.leaf_to(Leaf::Sheet(Kind::Rescue)),
            _ => {}
        }
        self.overlay = Some(Overlay::Rescue(v));
    }
}
