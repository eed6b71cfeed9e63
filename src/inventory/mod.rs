//! What a club or a rigger owns, a row a piece, and what happened to each.
//!
//! Knows units, documents and the catalogue; nothing of plans. The text is read and checked as a plan's is, by one table of
//! fields; spreadsheets go through the same table.

mod fields;
mod fit;
mod merge;
mod pick;
mod read;
mod rows;
mod table;

use indexmap::IndexMap;
use jiff::civil::Date;

use crate::units::{Force, Length, Time};

pub use fields::{INVENTORY, Made, What};
pub use fit::{History, LEASH_FALLS, Unfit, webbing_days};
pub use merge::{Conflict, Merged, merge};
pub use pick::{Wants, at_least, fits};
pub use read::InventoryFile;
pub use rows::ron;
pub use table::{columns, log_csv, pieces_csv};

/// What somebody owns.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Inventory {
    /// Whose it is.
    pub owner: String,
    /// Pieces by their names.
    pub pieces: IndexMap<String, Piece>,
    /// Pieces that are counted.
    pub counted: Vec<Counted>,
}

/// A piece of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// What it is: an item's name.
    pub kind: String,
    /// Into what it was made; nothing where that is not said.
    pub made: Option<Made>,
    /// Of line what there is, of a made piece its length between bearings.
    pub length: Option<Length>,
    /// Its eyes, lying flat.
    pub eyes: Option<[Length; 2]>,
    /// The spool that it is from.
    pub batch: String,
    /// When it was made.
    pub maker_date: Option<Date>,
    /// When it was first used.
    pub in_use_since: Option<Date>,
    /// Not to be used from that day on.
    pub retire_by: Option<Date>,
    /// Whose it is; empty for the inventory's.
    pub owner: String,
    /// Where it is kept.
    pub place: String,
    /// What its label says.
    pub label: String,
    /// Anything else.
    pub note: String,
    /// What happened to it, as written.
    pub log: Vec<Entry>,
}

/// What happened to a piece on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The day.
    pub on: Date,
    /// What.
    pub event: What,
    /// Who says so.
    pub by: String,
    /// The plan that it was packed for or hung in.
    pub plan: String,
    /// How long it hung.
    pub up: Option<Time>,
    /// How long of that in the sun.
    pub sun: Option<Time>,
    /// Leash falls on it.
    pub falls: usize,
    /// Catches by the backup.
    pub catches: usize,
    /// The most that it felt.
    pub hardest: Option<Force>,
    /// What was measured.
    pub length: Option<Length>,
    /// Anything else.
    pub note: String,
}

/// Pieces that are counted.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// What they are: an item's name.
    pub kind: String,
    /// How many.
    pub count: usize,
    /// How long each is.
    pub length: Option<Length>,
    /// Last looked over.
    pub inspected: Option<Date>,
    /// When they were first used.
    pub in_use_since: Option<Date>,
    /// Not to be used from that day on.
    pub retire_by: Option<Date>,
    /// Why they must not hang in a rig; empty when they may.
    pub retired: String,
    /// A thing of the kit or of paper, which no catalogue knows and nobody need look over.
    pub kit: bool,
    /// Whose they are; empty for the inventory's.
    pub owner: String,
    /// Where they are kept.
    pub place: String,
    /// What their labels say.
    pub label: String,
    /// Anything else.
    pub note: String,
}

impl Inventory {
    /// Whose a thing is that names this owner.
    #[must_use]
    pub fn owner_of<'a>(&'a self, owner: &'a str) -> &'a str {
        if owner.is_empty() { &self.owner } else { owner }
    }
}

impl Entry {
    /// An event of a day, with nothing else said of it.
    #[must_use]
    pub fn of(on: Date, event: What) -> Self {
        Self {
            on,
            event,
            by: String::new(),
            plan: String::new(),
            up: None,
            sun: None,
            falls: 0,
            catches: 0,
            hardest: None,
            length: None,
            note: String::new(),
        }
    }
}
