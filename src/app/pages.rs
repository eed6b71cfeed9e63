//! Pages of the trip by their digits, and the block of the plan that each is of.

use super::commands::told;
use super::printing::Leaf;
use super::state::{App, Opening};
use crate::plan::Plan;
use crate::review::stretch_taken;
use crate::sheets::Kind;

/// A block of the plan that a page is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageBlock {
    /// Line over and down.
    Crossing,
    /// Days at the line.
    Day,
    /// Getting somebody off.
    Rescue,
    /// Work at the edges.
    Ties,
    /// The line that stays up.
    Stay,
    /// Who comes, and the hours.
    Crew,
}

/// What is known of a page.
pub(super) struct PageOf {
    block: PageBlock,
    /// The key that goes to it.
    digit: char,
    sheet: Kind,
    /// Its block's field in a plan.
    pub(super) field: &'static str,
    /// In words.
    pub(super) words: &'static str,
    /// Above its questions.
    pub(super) title: &'static str,
    stands: fn(&Plan) -> bool,
}

/// The pages behind the first, which is the rig.
const PAGES: [PageOf; 6] = [
    PageOf {
        block: PageBlock::Crossing,
        digit: '2',
        sheet: Kind::Over,
        field: "crossing",
        words: "the crossing",
        title: "Line over",
        stands: |p| p.crossing.is_some(),
    },
    PageOf {
        block: PageBlock::Day,
        digit: '3',
        sheet: Kind::Day,
        field: "days",
        words: "the days",
        title: "A day",
        stands: |p| !p.days.is_empty(),
    },
    PageOf {
        block: PageBlock::Rescue,
        digit: '4',
        sheet: Kind::Rescue,
        field: "rescue",
        words: "the rescue",
        title: "Rescue",
        stands: |p| p.rescue.is_some(),
    },
    PageOf {
        block: PageBlock::Ties,
        digit: '5',
        sheet: Kind::Edge,
        field: "ties",
        words: "the ties",
        title: "Ties",
        stands: |p| !p.ties.is_empty(),
    },
    PageOf {
        block: PageBlock::Stay,
        digit: '6',
        sheet: Kind::Stay,
        field: "stay",
        words: "the nights",
        title: "Staying up",
        stands: |p| p.stay.is_some(),
    },
    PageOf {
        block: PageBlock::Crew,
        digit: '8',
        sheet: Kind::Crew,
        field: "crew",
        words: "the crew",
        title: "Crew",
        stands: |p| p.crew.is_some(),
    },
];

impl PageBlock {
    /// What is known of its page.
    pub(super) fn page(self) -> &'static PageOf {
        PAGES.iter().find(|p| p.block == self).unwrap_or(&PAGES[0])
    }

    /// Whether a plan has it.
    #[must_use]
    pub fn stands(self, plan: &Plan) -> bool {
        (self.page().stands)(plan)
    }

    /// The block that a leaf is of, if it is one's.
    #[must_use]
    pub fn of_leaf(leaf: Leaf) -> Option<Self> {
        PAGES.iter().find(|p| leaf == Leaf::Sheet(p.sheet)).map(|p| p.block)
    }
}

impl App {
    /// Goes to the page of a digit, from another page; says whether it is one. The first is the rig, behind all of them.
    pub(super) fn look_at_page(&mut self, digit: char) -> bool {
        let page = PAGES.iter().find(|p| p.digit == digit);
        if let Some(p) = page {
            self.open(p.block);
        }
        page.is_some()
    }

    /// Opens the page of a block, once the plan as it is now is reviewed.
    pub(super) fn open(&mut self, block: PageBlock) {
        if !self.fresh() && self.solver.is_ok() {
            self.opening = Opening::Page(block);
            if !self.just_said() {
                self.say(format!("the page of {} opens when the review is done", block.page().words));
            }
            return;
        }
        match block {
            PageBlock::Crossing => self.look_over(),
            PageBlock::Rescue => self.look_rescue(),
            PageBlock::Day => self.look_day(),
            PageBlock::Ties => self.look_edges(),
            PageBlock::Stay => self.look_stay(),
            // Its page is its sheet: hours are a table.
            PageBlock::Crew => self.open_sheet(block),
        }
    }

    /// Opens the sheet of a block; without the block it says what it would take.
    pub(super) fn open_sheet(&mut self, block: PageBlock) {
        self.leaf_to(Leaf::Sheet(block.page().sheet));
    }

    /// Takes the stretch that the last day's readings say over into the plan's own item.
    pub(super) fn take_stretch(&mut self) {
        let taken = crate::plan::day::last_day(&self.file.plan.days)
            .ok_or_else(|| "the plan has no day at the line".to_owned());
        match taken.and_then(|day| stretch_taken(&self.file, day)) {
            Ok(taken) => {
                let set = self.change(taken.change);
                told(self, set);
                self.open(PageBlock::Day);
                self.say(taken.words);
            }
            Err(why) => self.refuse(format!("the stretch is not taken: {why}")),
        }
    }
}
