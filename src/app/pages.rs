//! Pages of the trip by their digits, and the block of the plan that each is of.

use super::commands::told;
use super::printing::Leaf;
use super::state::App;
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
}

impl PageBlock {
    /// Each with its sheet.
    const ALL: [(Self, Kind); 4] =
        [(Self::Crossing, Kind::Over), (Self::Day, Kind::Day), (Self::Rescue, Kind::Rescue), (Self::Ties, Kind::Edge)];

    /// The block that a sheet is of, if it is one's.
    #[must_use]
    pub fn of_sheet(kind: Kind) -> Option<Self> {
        Self::ALL.iter().find(|b| b.1 == kind).map(|b| b.0)
    }

    /// Its field in a plan.
    pub(super) fn field(self) -> &'static str {
        match self {
            Self::Crossing => "crossing",
            Self::Day => "days",
            Self::Rescue => "rescue",
            Self::Ties => "ties",
        }
    }

    /// In words.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::Crossing => "the crossing",
            Self::Day => "the days",
            Self::Rescue => "the rescue",
            Self::Ties => "the ties",
        }
    }

    /// Above its questions.
    pub(super) fn title(self) -> &'static str {
        match self {
            Self::Crossing => "Line over",
            Self::Day => "A day",
            Self::Rescue => "Rescue",
            Self::Ties => "Ties",
        }
    }

    /// Whether a plan has it.
    pub(super) fn stands(self, plan: &Plan) -> bool {
        match self {
            Self::Crossing => plan.crossing.is_some(),
            Self::Day => !plan.days.is_empty(),
            Self::Rescue => plan.rescue.is_some(),
            Self::Ties => !plan.ties.is_empty(),
        }
    }
}

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

    /// Opens the page of a block.
    pub(super) fn open(&mut self, block: PageBlock) {
        match block {
            PageBlock::Crossing => self.look_over(),
            PageBlock::Day => self.look_at_day(),
            PageBlock::Rescue => self.look_rescue(),
            PageBlock::Ties => self.look_at_edges(),
        }
    }

    /// Opens the sheet of a block; where the plan says nothing of it, with how to begin.
    pub(super) fn sheet_or_start(&mut self, block: PageBlock) {
        let kind = PageBlock::ALL.iter().find(|b| b.0 == block).map_or(Kind::Over, |b| b.1);
        self.leaf_to(Leaf::Sheet(kind));
        if !block.stands(&self.file.plan) {
            self.say("a asks what it needs, and writes a start of it into the plan");
        }
    }

    /// Opens the sheet of the work at the edges; without ties, what it would take.
    pub(super) fn look_at_edges(&mut self) {
        self.sheet_or_start(PageBlock::Ties);
    }

    /// Opens the sheet of the last day at the line; without one, what it would take.
    pub(super) fn look_at_day(&mut self) {
        self.sheet_or_start(PageBlock::Day);
    }

    /// Asks what a crossing needs.
    pub(super) fn start_crossing(&mut self) {
        self.begin(PageBlock::Crossing);
    }

    /// Asks what a rescue needs.
    pub(super) fn start_rescue(&mut self) {
        self.begin(PageBlock::Rescue);
    }

    /// Asks what the work at the edges needs.
    pub(super) fn start_ties(&mut self) {
        self.begin(PageBlock::Ties);
    }

    /// Asks what was read today.
    pub(super) fn start_day(&mut self) {
        self.begin(PageBlock::Day);
    }

    /// Takes the stretch that the last day's readings say over into the plan's own item.
    pub(super) fn take_stretch(&mut self) {
        let taken = self.file.plan.days.last().ok_or_else(|| "the plan has no day at the line".to_owned());
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
