//! Pages of the trip by their digits, and the start that each writes into a plan that says nothing of it.

use super::commands::told;
use super::printing::Leaf;
use super::state::App;
use super::today;
use crate::document::{Path, Splice};
use crate::plan::{Hold, Side};
use crate::sheets::Kind;
use crate::units::Quantity as _;

impl App {
    /// Goes to the page of a digit, from another page; says whether it is one. The first is the rig, behind all of them.
    pub(super) fn look_at_page(&mut self, digit: char) -> bool {
        match digit {
            '2' => self.look_over(),
            '3' => self.look_at_day(),
            '4' => self.look_rescue(),
            '5' => self.look_at_edges(),
            _ => return false,
        }
        true
    }

    /// Writes a start of a crossing into a plan that has none: a messenger, a tag line, the line; to be made true.
    pub(super) fn start_crossing(&mut self) {
        let plan = &self.file.plan;
        if plan.crossing.is_some() {
            return self.say("the plan has a crossing already");
        }
        let span = plan.site.span.si();
        let long = (span + 0.1 * span + 15.0).ceil();
        let runs: Vec<String> = plan
            .runs
            .iter()
            .filter(|(_, r)| matches!(r.role, crate::plan::Role::Main | crate::plan::Role::Backup { .. }))
            .map(|(n, _)| format!("{n:?}"))
            .collect();
        let ron = format!(
            "Crossing(\n        sends: A, hold: Sag(\"{:.0} m\"),\n        stages: [\n            Stage(name: \"messenger\", by: \"thrown or flown\", line: Part(item: \"cord-4\", length: \"{long:.0} m\", ends: (Knotted(knot: \"figure-eight\"), Knotted(knot: \"figure-eight\")))),\n            Stage(name: \"tag line\", line: Part(item: \"hmpe-3\", length: \"{long:.0} m\", ends: (Spliced(), Spliced()))),\n            Stage(name: \"line\", runs: [{}], joint: \"quick-link-8\", rings: 2),\n        ],\n        edge_a: Carpet, edge_b: Carpet, brake_turns: 3, brake_on: Steel, people: 2,\n    )",
            (0.08 * span).max(1.0),
            runs.join(", ")
        );
        let set = self.set(&Path::root().key("crossing"), &ron, "a start of the crossing".to_owned());
        told(self, set);
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
        let (days, day) = (Path::root().key("days"), format!("Day(date: {date:?}, read: [])"));
        let name = format!("a day, {date}");
        let set = match days.find(&self.file.root) {
            None => self.set(&days, &format!("[{day}]"), name),
            Some(list) => self
                .one(name, Splice::insert(&self.file.text, list, None, None, &day))
                .and_then(|change| self.change(change)),
        };
        told(self, set);
    }
}
