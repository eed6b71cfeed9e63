//! The page of the line that stays up: its tension over the hours, at the moment that the slider says.

use super::keys::{Key, Press};
use super::pages::PageBlock;
use super::printing::Leaf;
use super::state::{App, Overlay};
use crate::review::Moment;
use crate::sheets::Kind;

impl App {
    /// Opens the page at the slackest moment; without nights, what they would take.
    pub(super) fn look_stay(&mut self) {
        let Some(stays) = self.review.as_ref().and_then(|r| r.stays.as_ref()) else {
            return self.open_sheet(PageBlock::Stay);
        };
        let least = |m: &(usize, &Moment)| m.1.tension_n[0];
        let at = stays.moments.iter().enumerate().min_by(|a, b| least(a).total_cmp(&least(b)));
        self.overlay = Some(Overlay::Stay(at.map_or(0, |m| m.0)));
        self.dirty = true;
    }

    /// A key on the page.
    pub(super) fn press_stay(&mut self, at: usize, press: Press) {
        let Some(stays) = self.review.as_ref().and_then(|r| r.stays.as_ref()) else { return };
        let last = stays.moments.len().saturating_sub(1);
        let at = match press.key {
            Key::Esc | Key::Char('1' | 'q') => return,
            Key::Right | Key::Down => (at + 1).min(last),
            Key::Left | Key::Up => at.saturating_sub(1),
            Key::Char(digit) if self.look_at_page(digit) => return,
            Key::Char('p') => return self.leaf_to(Leaf::Sheet(Kind::Stay)),
            _ => at,
        };
        self.overlay = Some(Overlay::Stay(at));
    }
}
