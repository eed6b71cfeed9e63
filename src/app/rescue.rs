//! The page of a rescue, where somebody hangs as the slider says, on which line; and the work at the edges.

use super::commands::told;
use super::keys::{Key, Press};
use super::printing::Leaf;
use super::state::{App, Overlay};
use super::today;
use crate::document::Path;
use crate::plan::{Hold, Side};
use crate::review::{HangsAt, On, Rescued};
use crate::sheets::Kind;
use crate::units::Quantity as _;

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
            self.leaf_to(Leaf::Sheet(Kind::Rescue));
            self.say("Q writes a start of it into the plan");
            return;
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
            Key::Char('2') => return self.look_over(),
            Key::Char('3') => return self.look_at_day(),
            Key::Char('5') => return self.look_at_edges(),
            Key::Char('p') => return self.leaf_to(Leaf::Sheet(Kind::Rescue)),
            _ => {}
        }
        self.overlay = Some(Overlay::Rescue(v));
    }

    /// Writes a start of a rescue into a plan that has none: a rope at either side; to be made true.
    pub(super) fn start_rescue(&mut self) {
        let plan = &self.file.plan;
        if plan.rescue.is_some() {
            return self.say("the plan has a rescue already");
        }
        let long = (0.6 * plan.site.span.si() + 10.0).ceil();
        let rope = |side: &str| {
            format!(
                "            Tow(side: {side}, rope: Part(item: \"static-rope-11\", length: \"{long:.0} m\", ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\")))),\n"
            )
        };
        let ron = format!(
            "Rescue(\n        ropes: [\n{}{}        ],\n        on: Roller, hands_a: 2, hands_b: 2, limit: \"15 min\",\n    )",
            rope("A"),
            rope("B")
        );
        let set = self.set(&Path::root().key("rescue"), &ron, "a start of the rescue".to_owned());
        told(self, set);
    }

    /// Opens the sheet of the work at the edges; without ties, what it would take.
    pub(super) fn look_at_edges(&mut self) {
        self.leaf_to(Leaf::Sheet(Kind::Edge));
        if self.file.plan.ties.is_empty() {
            self.say("F writes a start of it into the plan");
        }
    }

    /// Writes a start of ties into a plan that has none: at each side a rope on a fixed point, one that the line does not
    /// need where there is one; to be made true.
    pub(super) fn start_ties(&mut self) {
        let plan = &self.file.plan;
        if !plan.ties.is_empty() {
            return self.say("the plan has ties already");
        }
        let on = |side: Side| {
            let fixed = plan.points.iter().filter(|(_, p)| {
                p.side == side && p.hold().is_some_and(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame))
            });
            fixed.min_by_key(|(n, _)| plan.in_use(n)).map(|(n, _)| n.clone())
        };
        let ties: Vec<String> = [Side::A, Side::B]
            .into_iter()
            .filter_map(|side| {
                Some(format!(
                    "        \"{side:?} tie\": Tie(side: {side:?}, anchors: [{:?}], rope: Part(item: \"static-rope-11\", length: \"3 m\", ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\"))), lip: \"3.5 m\"),\n",
                    on(side)?
                ))
            })
            .collect();
        if ties.is_empty() {
            return self.say("the plan has no fixed point to tie to");
        }
        let set = self.set(
            &Path::root().key("ties"),
            &format!("{{\n{}    }}", ties.concat()),
            "a start of the ties".to_owned(),
        );
        told(self, set);
    }

    /// Opens the sheet of the last day at the line; without one, what it would take.
    pub(super) fn look_at_day(&mut self) {
        self.leaf_to(Leaf::Sheet(Kind::Day));
        if self.file.plan.days.is_empty() {
            self.say("I writes a day into the plan");
        }
    }

    /// Writes a day into the plan, today, with nothing read yet.
    pub(super) fn start_day(&mut self) {
        let date = today().to_string();
        let days = Path::root().key("days");
        let text = format!("Day(date: {date:?}, read: [])");
        let ron = match days.find(&self.file.root) {
            None => format!("[{text}]"),
            Some(node) => {
                let all = self.file.text[node.span.clone()]
                    .trim_end()
                    .trim_end_matches(']')
                    .trim_end()
                    .trim_end_matches(',')
                    .to_owned();
                let comma = if self.file.plan.days.is_empty() { "" } else { ", " };
                format!("{all}{comma}{text}]")
            }
        };
        let set = self.set(&days, &ron, format!("a day, {date}"));
        told(self, set);
    }
}
