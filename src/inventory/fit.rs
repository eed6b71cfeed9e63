//! Whether a piece may come, and what its log adds up to.

use std::fmt;

use jiff::Span;
use jiff::civil::Date;

use super::{Counted, Entry, Inventory, Piece, What};
use crate::catalogue::{Class, Fibre, Item};
use crate::units::Quantity;

/// Days after which gear that was not looked over is overdue. Common practice, no source: a season.
const INSPECTED_DAYS: i32 = 365;
/// Years that a sling of HMPE is used. Common practice, no source.
const HMPE_YEARS: i16 = 5;
/// Hard falls after which a leash is replaced: or a season, whichever comes first. Common practice, no source.
pub const LEASH_FALLS: usize = 200;
/// The share of what a piece is given at which it is worth a word.
const SOON: f64 = 0.8;

/// Why a piece must stay at home.
#[derive(Debug, Clone, PartialEq)]
pub enum Unfit {
    /// Taken out of use.
    Retired(Date, String),
    /// It did not come home.
    Lost(Date),
    /// Looked over and found unfit, or brought home damaged, and not found fit since.
    Failed(Date, String),
    /// Something happened to it, and nobody has looked it over since.
    LookOver(What, Date),
    /// Its last day is past.
    Past(Date),
    /// Not looked over for too long.
    Overdue(Date),
    /// Never looked over, or not noted.
    Never,
    /// It is out for another plan.
    Away(String, Date),
    /// It has had its days, years or falls.
    Spent(String),
    /// Of counted pieces: worn, bent.
    Worn(String),
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let because = |why: &str| if why.is_empty() { String::new() } else { format!(": {why}") };
        match self {
            Self::Retired(on, why) => write!(f, "retired on {on}{}", because(why)),
            Self::Lost(on) => write!(f, "not brought home on {on}"),
            Self::Failed(on, why) => write!(f, "found unfit on {on}{}", because(why)),
            Self::LookOver(what, on) => write!(f, "{} on {on}: to be looked over first", what.words()),
            Self::Past(by) => write!(f, "to be retired by {by}"),
            Self::Overdue(seen) => write!(f, "not looked over since {seen}"),
            Self::Never => write!(f, "never looked over, or not noted"),
            Self::Away(plan, on) => write!(f, "out for {plan} since {on}"),
            Self::Spent(why) => write!(f, "{why}"),
            Self::Worn(why) => write!(f, "{why}"),
        }
    }
}

/// What a piece has been through.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct History {
    /// Days that it hung: each day begun counts whole.
    pub days: usize,
    /// Hours of sun that were noted.
    pub sun_h: f64,
    /// Leash falls on it.
    pub falls: usize,
    /// Catches by the backup.
    pub catches: usize,
    /// Whether anything was ever written down of it.
    pub known: bool,
}

/// A thing that happens to a piece and asks for a look.
fn jolts(what: What) -> bool {
    matches!(
        what,
        What::EdgeContact
            | What::Lightning
            | What::Flogged
            | What::LockSlipped
            | What::Dropped
            | What::Shock
            | What::Repaired
    )
}

/// What a log adds up to; two entries of one plan on one day are one day.
fn history<'a>(log: impl Iterator<Item = &'a Entry>) -> History {
    let mut out = History::default();
    let mut seen: Vec<(Date, &str)> = Vec::new();
    for e in log {
        out.known = true;
        if e.event != What::Rigged {
            continue;
        }
        if !seen.contains(&(e.on, &e.plan)) {
            seen.push((e.on, &e.plan));
            out.days += e.up.map_or(1, |t| (t.si() / 86_400.0).ceil().max(1.0) as usize);
        }
        out.sun_h += e.sun.map_or(0.0, |t| t.si() / 3600.0);
        out.falls += e.falls;
        out.catches += e.catches;
    }
    out
}

/// Days that webbing is used, by fibre and strength; nothing where none is given. Guidance of the International Slackline
/// Association, 2022.
pub fn webbing_days(item: &Item) -> Option<usize> {
    let kn = item.strength_n()? / 1e3;
    match item.fibre {
        Fibre::Nylon if kn >= 30.0 => Some(720),
        Fibre::Nylon if kn >= 26.0 => Some(360),
        Fibre::Nylon if kn >= 22.0 => Some(180),
        Fibre::Polyester if (26.0..30.0).contains(&kn) => Some(360),
        _ => None,
    }
}

impl Piece {
    /// What happened to it up to a day, in order of the days; of one day in the order written.
    fn until(&self, on: Date) -> Vec<&Entry> {
        let mut log: Vec<&Entry> = self.log.iter().filter(|e| e.on <= on).collect();
        log.sort_by_key(|e| e.on);
        log
    }

    /// What it has been through up to a day.
    #[must_use]
    pub fn history(&self, on: Date) -> History {
        history(self.until(on).into_iter())
    }

    /// The plan that it is out for on a day, and since when.
    #[must_use]
    pub fn out_for(&self, on: Date) -> Option<(&str, Date)> {
        let last =
            self.until(on).into_iter().rev().find(|e| matches!(e.event, What::Out | What::Back | What::Damaged))?;
        (last.event == What::Out).then_some((last.plan.as_str(), last.on))
    }

    /// When it was last found fit.
    #[must_use]
    pub fn looked_over(&self, on: Date) -> Option<Date> {
        self.until(on).into_iter().rev().find(|e| e.event == What::Inspected).map(|e| e.on)
    }

    /// How long it is now, m: as measured last, else as written.
    #[must_use]
    pub fn length_m(&self, on: Date) -> Option<f64> {
        let measured = self.until(on).into_iter().rev().find_map(|e| e.length);
        measured.or(self.length).map(Quantity::si)
    }

    /// How much of what it is given it has used, of what, and whether that is an end or a reason to look closely; nothing where
    /// nothing is given.
    fn spent(&self, item: &Item, on: Date) -> Option<(f64, String, bool)> {
        let had = self.history(on);
        let mut all: Vec<(f64, String, bool)> = Vec::new();
        if item.class == Class::Webbing
            && let Some(days) = webbing_days(item)
        {
            all.push((had.days as f64 / days as f64, format!("{} of {days} days in a rig", had.days), true));
        }
        if item.class == Class::Leash {
            all.push((had.falls as f64 / LEASH_FALLS as f64, format!("{} of {LEASH_FALLS} falls", had.falls), false));
        }
        if item.fibre == Fibre::Hmpe
            && item.class.is_soft()
            && let Some(since) = self.in_use_since.or(self.maker_date)
        {
            let given = since.saturating_add(Span::new().years(HMPE_YEARS));
            let [used, all_of_it] = [on, given].map(|d| f64::from((d - since).get_days()));
            let years = f64::from(HMPE_YEARS) * used / all_of_it;
            all.push((used / all_of_it, format!("{years:.1} of {HMPE_YEARS} years"), true));
        }
        all.into_iter().max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// Why it must stay at home on a day; nothing when it may come. `plan` is the one that it would come for.
    #[must_use]
    pub fn unfit(&self, item: Option<&Item>, on: Date, plan: &str) -> Option<Unfit> {
        let log = self.until(on);
        let last = |what: &dyn Fn(What) -> bool| log.iter().rposition(|e| what(e.event));
        if let Some(k) = last(&|w| w == What::Retired) {
            return Some(Unfit::Retired(log[k].on, log[k].note.clone()));
        }
        let fit = last(&|w| w == What::Inspected);
        if let Some(k) = last(&|w| w == What::Lost)
            && last(&|w| matches!(w, What::Back | What::Damaged)).is_none_or(|b| b < k)
        {
            return Some(Unfit::Lost(log[k].on));
        }
        if let Some(k) = last(&|w| matches!(w, What::Failed | What::Damaged)).filter(|k| fit.is_none_or(|f| f < *k)) {
            return Some(Unfit::Failed(log[k].on, log[k].note.clone()));
        }
        if let Some(k) = last(&jolts).filter(|k| fit.is_none_or(|f| f < *k)) {
            return Some(Unfit::LookOver(log[k].event, log[k].on));
        }
        if let Some(by) = self.retire_by.filter(|by| *by <= on) {
            return Some(Unfit::Past(by));
        }
        if let Some((share, why, _)) = item.and_then(|i| self.spent(i, on)).filter(|s| s.0 >= 1.0 && s.2) {
            return Some(Unfit::Spent(format!("{why}, {:.0} % of what it is given", 100.0 * share)));
        }
        match fit.map(|k| log[k].on).or(self.in_use_since) {
            Some(seen) if (on - seen).get_days() > INSPECTED_DAYS => return Some(Unfit::Overdue(seen)),
            None => return Some(Unfit::Never),
            Some(_) => {}
        }
        self.out_for(on).filter(|(p, _)| *p != plan).map(|(p, since)| Unfit::Away(p.to_owned(), since))
    }

    /// What is worth a word although it may come: most of what it is given is used, catches, no log.
    #[must_use]
    pub fn worth_a_word(&self, item: Option<&Item>, on: Date) -> Option<String> {
        if let Some((share, why, _)) = item.and_then(|i| self.spent(i, on)).filter(|s| s.0 >= SOON) {
            return Some(format!("{why}, {:.0} % of what it is given", 100.0 * share));
        }
        let worn = item.is_some_and(|i| webbing_days(i).is_some() || i.class == Class::Leash);
        (worn && !self.history(on).known).then(|| "its days and falls are not known: no log".to_owned())
    }
}

impl Counted {
    /// Why they must stay at home on a day; nothing when they may come.
    #[must_use]
    pub fn unfit(&self, on: Date) -> Option<Unfit> {
        if !self.retired.is_empty() {
            return Some(Unfit::Worn(self.retired.clone()));
        }
        if let Some(by) = self.retire_by.filter(|by| *by <= on) {
            return Some(Unfit::Past(by));
        }
        if self.kit {
            return None;
        }
        match self.inspected.or(self.in_use_since) {
            Some(seen) if (on - seen).get_days() > INSPECTED_DAYS => Some(Unfit::Overdue(seen)),
            Some(_) => None,
            None => Some(Unfit::Never),
        }
    }
}

impl Inventory {
    /// Counted pieces of a kind that may come on a day.
    #[must_use]
    pub fn count(&self, kind: &str, on: Date) -> usize {
        self.counted.iter().filter(|c| c.kind == kind && c.unfit(on).is_none()).map(|c| c.count).sum()
    }
}
