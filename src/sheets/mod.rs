//! What is printed: the review, and the sheets for bench, packing and the day.

mod beside;
mod certificates;
mod claims;
mod comparison;
mod crew;
mod cut_list;
mod day_sheet;
mod doubt_sheet;
mod edge;
mod frame;
mod gear_list;
mod incidents;
mod json;
mod limits_sheet;
mod markdown;
mod over;
pub mod page;
mod rescue;
mod review_sheet;
mod rig_card;
mod scout;
mod splice_card;
mod stay;
mod text;
pub mod why;
mod why_trip;

pub use crate::mechanics::gauge::pulse_s;
pub use beside::{Beside, beside};
pub use certificates::certificates;
pub use claims::{claims_counted, claims_rows};
pub use comparison::{Comparison, comparison, comparison_sheet};
pub use crew::{crew_sheet, light_said};
pub use cut_list::{ToCutFrom, cut_list};
pub use day_sheet::{day_sheet, hung_said, last_day, read_said, stretch_said};
pub use doubt_sheet::doubt_sheet;
pub use edge::{edge_sheet, side_said, tie_said};
pub use frame::frame_sheet;
pub use gear_list::{BAG_KG, gear_list, held_against, plan_name, to_pack};
pub use incidents::{not_redundant, outcome};
pub use json::{Report, report, schema};
pub use limits_sheet::{limits_sheet, to_mend};
pub use markdown::markdown;
pub use over::{over_sheet, passed};
pub use rescue::{hauled, rescue_sheet};
pub use review_sheet::review_sheet;
pub use rig_card::{rig_card, tried};
pub use scout::scout_sheet;
pub use splice_card::{splice_card, splice_cards, test_piece_card};
pub use stay::{band, gust_said, moment_said, stay_sheet};
pub use text::{WIDTH, ascii, explain, review_text, wrap};

use jiff::civil::Date;

use crate::bench::KERF_M;
use crate::document::plain;
use crate::inventory::Inventory;
use crate::plan::PlanFile;
use crate::review::{Review, Solver, Verdict};
use crate::rig::Article;
use crate::units::System;

/// The usual caution, on the first screen and on everything printed.
pub const CAUTION: &str = "A planning aid. It replaces neither the judgement of a competent rigger on site, nor the makers' \
instructions, nor local codes. Numbers are only as good as what was put in.";

/// Version of the program, as printed.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

/// What sheets are written from: a plan, its review, its rig as tensioned.
#[derive(Debug)]
pub struct Facts<'a> {
    /// The plan.
    pub file: &'a PlanFile,
    /// Its review.
    pub review: &'a Review,
    /// Its rig.
    pub solver: &'a Solver,
    /// Units.
    pub system: System,
    /// What the card says of other tensions and other days, tried; nothing where nobody waits for that.
    pub tried: Option<Tried>,
}

/// The plan tried as the day may have it.
#[derive(Debug)]
pub struct Tried {
    /// Reviewed whole at both ends of the band of standing tension that the card names; nothing for an end that it cannot be
    /// pulled to.
    pub ends: [Option<Review>; 2],
    /// Of each other day of the card's table: what becomes of it, of falls and failures those that govern the plan.
    pub days: Vec<Result<Review, String>>,
}

impl Facts<'_> {
    /// How long every article is.
    #[must_use]
    pub fn articles(&self) -> Vec<Article> {
        self.solver.rig.articles(&self.solver.standing.lengths)
    }
}

/// Kinds of sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// For the day.
    Card,
    /// For packing.
    Gear,
    /// For the knife.
    Cut,
    /// For the bench.
    Splices,
    /// For the edge, before anybody walks.
    Over,
    /// For the clock.
    Rescue,
    /// For the day itself, after it.
    Day,
    /// For those who rig.
    Edge,
    /// For the mornings.
    Stay,
    /// For what stands on struts.
    Frame,
    /// For the clock of the day.
    Crew,
    /// For the first visit.
    Scout,
    /// For the friend.
    Review,
}

impl Kind {
    /// Every one of them.
    pub const ALL: [Self; 13] = [
        Self::Card,
        Self::Gear,
        Self::Cut,
        Self::Splices,
        Self::Over,
        Self::Day,
        Self::Rescue,
        Self::Edge,
        Self::Stay,
        Self::Frame,
        Self::Crew,
        Self::Scout,
        Self::Review,
    ];

    /// Whether it says what falls and failures do; the others are of lengths and counts, and need statics alone.
    #[must_use]
    pub fn tells_falls(self) -> bool {
        matches!(self, Self::Card | Self::Frame | Self::Review)
    }

    /// As written on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::Gear => "gear",
            Self::Cut => "cut",
            Self::Splices => "splices",
            Self::Over => "over",
            Self::Day => "day",
            Self::Rescue => "rescue",
            Self::Edge => "edge",
            Self::Stay => "stay",
            Self::Frame => "frame",
            Self::Crew => "crew",
            Self::Scout => "scout",
            Self::Review => "review",
        }
    }
}

/// What a sheet is written with besides the plan.
#[derive(Debug, Clone)]
pub struct Stock {
    /// Spools to cut from.
    pub spools: Vec<ToCutFrom>,
    /// Lost at each cut, m.
    pub kerf_m: f64,
    /// What the rigger owns.
    pub inventory: Option<Inventory>,
    /// The most that a bag weighs, kg.
    pub bag_kg: f64,
    /// What changed since an earlier state of the plan, for the review.
    pub changes: Option<Comparison>,
}

impl Default for Stock {
    fn default() -> Self {
        Self { spools: Vec::new(), kerf_m: KERF_M, inventory: None, bag_kg: BAG_KG, changes: None }
    }
}

/// One sheet of a plan, on a day.
///
/// # Errors
/// Why it cannot be written, with the figure that would work.
pub fn sheet(kind: Kind, facts: &Facts<'_>, stock: &Stock, on: Date) -> Result<page::Page, String> {
    let mut page = match kind {
        Kind::Card => rig_card(facts),
        Kind::Gear => gear_list(facts, stock.inventory.as_ref(), stock.bag_kg, on),
        Kind::Cut => cut_list(facts, &stock.spools, stock.kerf_m)?,
        Kind::Splices => splice_cards(facts),
        Kind::Over => over_sheet(facts),
        Kind::Day => last_day(facts)?,
        Kind::Rescue => rescue_sheet(facts),
        Kind::Edge => edge_sheet(facts),
        Kind::Stay => stay_sheet(facts),
        Kind::Frame => frame_sheet(facts),
        Kind::Crew => crew_sheet(facts),
        Kind::Scout => scout_sheet(facts),
        Kind::Review => review_sheet(facts, stock.changes.as_ref()),
    };
    if matches!(kind, Kind::Gear | Kind::Cut) {
        page.blocks.splice(0..0, falls_short(facts.review).map(page::Block::Warning));
    }
    // Of which file, and as of when: paper outlives both.
    let name = std::path::Path::new(&facts.file.name).file_name().map(|n| n.to_string_lossy().into_owned());
    page.origin += &format!(", {}, as of {on}", plain(name.as_deref().unwrap_or("not saved")));
    Ok(page)
}

/// That a plan does not pass its own review, for sheets that say nothing else of it: who packs or cuts for it should know.
fn falls_short(review: &Review) -> Option<String> {
    let stops = review.findings.iter().filter(|f| f.gravity == crate::review::Gravity::Stop).count();
    let still = if review.to_come > 0 { " already at rest" } else { "" };
    let bad = matches!(review.verdict, Verdict::Below | Verdict::Unsolved);
    let told = match (bad, stops) {
        (false, 0) => return None,
        (true, 0) => review.verdict.word().to_owned(),
        (true, n) => format!("{}, {n} stop", review.verdict.word()),
        (false, n) => format!("{n} stop"),
    };
    Some(format!("This plan does not pass its own review{still}: {told}. Mend the plan before you pack or cut for it."))
}

/// What the rules say of a block of the plan, and what mends it, on the block's own sheet.
fn found_at(page: &mut page::Page, review: &Review, at: &str) {
    let findings = review.findings.iter().filter(|f| f.at == at);
    let said: Vec<Vec<String>> =
        findings.map(|x| vec![x.gravity.word().to_owned(), plain(&x.text), x.remedy.to_owned()]).collect();
    if !said.is_empty() {
        page.table(&["", "what", "what mends it"], said);
    }
}
