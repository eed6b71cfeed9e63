//! A day at the line: what was read there, and the plan as it was rigged then.

use super::file::PlanFile;
use super::history::Change;
use super::measured::Measured;
use super::model::{Plan, Side};
use super::steps::Steps;
use crate::catalogue::Catalogue;
use crate::document::{Node, Path, Reader, Splice, quote};
use crate::inventory::{Entry, What};
use crate::units::{Force, Length, Mass, Quantity, Ratio, Temperature, Time, Velocity};

/// A reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// After the line was tensioned.
    pub after: Time,
    /// Tension.
    pub tension: Option<Measured<Force>>,
    /// Where it was read.
    pub at: Side,
    /// Sag below the straight line: at the walker, or in the middle.
    pub sag: Option<Measured<Length>>,
    /// Time of a pulse along the line and back.
    pub pulse: Option<Measured<Time>>,
    /// Who was on the line: place along it, and mass.
    pub walker: Option<(f64, Measured<Mass>)>,
    /// Temperature then.
    pub temperature: Option<Temperature>,
}

/// Webbing that came through the lock on the way up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Through {
    /// Tension at which it was begun to be measured.
    pub from: Measured<Force>,
    /// What came through.
    pub length: Measured<Length>,
}

/// A day.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// As 2026-10-03.
    pub date: String,
    /// Initials.
    pub by: String,
    /// As measured.
    pub span: Option<Measured<Length>>,
    /// Of B over A, as measured.
    pub height_difference: Option<Length>,
    /// While it was tensioned.
    pub temperature: Option<Temperature>,
    /// Of the day.
    pub wind: Option<Velocity>,
    /// In order.
    pub read: Vec<Reading>,
    /// What came through the lock.
    pub through: Option<Through>,
    /// Tensions of legs with nobody on the line, by their names.
    pub legs: Vec<(String, Measured<Force>)>,
    /// What the locks at A and B drew in since their marks.
    pub tails: [Option<Measured<Length>>; 2],
    /// How long the rig hung.
    pub up: Option<Time>,
    /// How long of that in the sun.
    pub sun: Option<Time>,
    /// Leash falls.
    pub falls: usize,
    /// The most that was read in a fall.
    pub hardest: Option<Force>,
    /// How often the backup caught.
    pub backup_catches: usize,
    /// What asks for a look, and looks, in order.
    pub events: Vec<Event>,
    /// Anything else.
    pub note: String,
}

/// Something that happened to gear; [`What::Inspected`] is a look.
#[derive(Debug, Clone, PartialEq)]
pub struct Event {
    /// What.
    pub what: What,
    /// In words.
    pub told: String,
    /// The piece that it happened to; nothing for all that hangs there.
    pub serial: Option<String>,
}

impl Event {
    /// Whether a look at `other` is a look at what this happened to.
    #[must_use]
    pub fn seen_by(&self, other: &Self) -> bool {
        other.what == What::Inspected && (other.serial.is_none() || other.serial == self.serial)
    }
}

/// What happened on a plan's days and was not looked at since: the day, and what. Days stay as they were written while gear
/// changes: what happened to a piece that the plan has no longer is its inventory's.
#[must_use]
pub fn unseen(plan: &Plan) -> Vec<(&Day, &Event)> {
    let hangs = |e: &Event| e.serial.as_ref().is_none_or(|s| plan.serials().any(|known| known.2 == s));
    let mut order: Vec<&Day> = plan.days.iter().collect();
    order.sort_by(|a, b| a.date.cmp(&b.date));
    let all: Vec<(&Day, &Event)> = order.iter().flat_map(|d| d.events.iter().map(move |e| (*d, e))).collect();
    let open = |k: usize| all[k].1.what != What::Inspected && !all[k + 1..].iter().any(|(_, e)| all[k].1.seen_by(e));
    (0..all.len()).filter(|k| open(*k) && hangs(all[*k].1)).map(|k| all[k]).collect()
}

impl Day {
    /// What it adds to the log of a piece that hung in it.
    #[must_use]
    pub fn logged(&self, serial: &str, plan: &str) -> Vec<Entry> {
        let Ok(on) = self.date.parse() else { return Vec::new() };
        let own = |e: &&Event| e.serial.as_deref().is_none_or(|s| s == serial);
        let hung = Entry {
            by: self.by.clone(),
            plan: plan.to_owned(),
            up: self.up,
            sun: self.sun,
            falls: self.falls,
            catches: self.backup_catches,
            hardest: self.hardest,
            ..Entry::of(on, What::Rigged)
        };
        let events = self.events.iter().filter(own);
        let told = events.map(|e| Entry { by: self.by.clone(), note: e.told.clone(), ..Entry::of(on, e.what) });
        std::iter::once(hung).chain(told).collect()
    }

    /// Tensions with nobody on the line, in order.
    fn empty(&self) -> impl DoubleEndedIterator<Item = (&Reading, Measured<Force>)> {
        self.read.iter().filter(|r| r.walker.is_none()).filter_map(|r| Some((r, r.tension?)))
    }

    /// Tension with nobody on the line, and the side it was read at: the first.
    #[must_use]
    pub fn standing(&self) -> Option<(Side, Measured<Force>)> {
        self.empty().next().map(|(r, n)| (r.at, n))
    }

    /// Tension with nobody on the line that was read last before the reading `k`; the first of the day where none was.
    #[must_use]
    pub fn standing_before(&self, k: usize) -> Option<(Side, Measured<Force>)> {
        let mut before = self.read[..k].iter().rev().filter(|r| r.walker.is_none());
        before.find_map(|r| Some((r.at, r.tension?))).or_else(|| self.standing())
    }

    /// Whether it says anything of the rig that hung.
    #[must_use]
    pub fn reads(&self) -> bool {
        !self.read.is_empty()
            || !self.legs.is_empty()
            || self.tails.iter().any(Option::is_some)
            || self.through.is_some()
    }

    /// What the rig hangs with: the last tension with nobody on the line, N, and the reading that it is of.
    #[must_use]
    pub fn hangs_with(&self) -> Option<(&Reading, f64)> {
        self.empty().next_back().map(|(r, n)| (r, n.si()))
    }

    /// The last pulse, where no tension was read with nobody on the line: the tension then goes by it.
    #[must_use]
    pub fn by_pulse(&self) -> Option<(&Reading, Measured<Time>)> {
        let pulse = self.read.iter().rev().find_map(|r| Some((r, r.pulse?)));
        pulse.filter(|_| self.empty().next().is_none())
    }
}

/// The last day of a plan by its date: of those that read something, where any does.
#[must_use]
pub fn last_day(days: &[Day]) -> Option<&Day> {
    let by_date = |a: &&Day, b: &&Day| a.date.cmp(&b.date);
    days.iter().filter(|d| d.reads()).max_by(by_date).or_else(|| days.iter().max_by(by_date))
}

/// Whether somebody looked all of it over on a day or after it.
#[must_use]
pub fn looked_over_since(days: &[Day], day: &Day) -> bool {
    let looks = |d: &Day| d.events.iter().any(|e| e.what == What::Inspected && e.serial.is_none());
    days.iter().any(|d| d.date >= day.date && looks(d))
}

/// The day of a date, or the last.
///
/// # Errors
/// Which days the plan has.
pub fn day_of<'a>(file: &'a PlanFile, date: Option<&str>) -> Result<&'a Day, String> {
    let days = &file.plan.days;
    let found = date.map_or_else(|| last_day(days), |d| days.iter().find(|day| day.date == d));
    found.ok_or_else(|| {
        let known: Vec<&str> = days.iter().map(|d| d.date.as_str()).collect();
        let known = if known.is_empty() {
            "the plan has no days".to_owned()
        } else {
            format!("its days: {}", known.join(", "))
        };
        format!("error: {}: no such day; {known}\n", file.name)
    })
}

/// A change that gives an item the stretch that a day's readings say, `kappa` times what it was, one deviation `sd` of that. The
/// item becomes the plan's own, and says where its figures are from.
///
/// # Errors
/// When the item's stretch is not given by figures, or the plan has no place for it.
pub fn with_stretch(file: &PlanFile, item: &str, [kappa, sd]: [f64; 2], date: &str) -> Result<Change, String> {
    let mut steps = Steps::new(file);
    let items = Path::root().key("items");
    let own = items.key(item);
    if own.find(&file.root).is_none() {
        let text = Catalogue::written(item).ok_or_else(|| format!("no item is called “{item}”"))?;
        let placed = if let Some(map) = items.find(&file.root) {
            steps.then(Splice::insert(&file.text, map, Some(item), None, &text))
        } else {
            steps.set(&items, &format!("{{{}: {text}}}", quote(item)))?;
            Some(())
        };
        placed.ok_or("the plan has no place for the item")?;
    }
    let figures = || format!("the stretch of {item} is not given by figures that could be scaled");
    let node = own.key("stretch").find(&steps.file.root).ok_or_else(figures)?;
    let stretch = Reader(node);
    let ron = if stretch.name() == "Stiffness" {
        let ea: Force = stretch.at(0).and_then(Reader::quantity).ok_or_else(figures)?;
        format!("Stiffness(\"{:.2} kN\")", ea.si() / kappa / 1e3)
    } else {
        let point = |n: &Node| {
            let share: Ratio = Reader(n).at(1)?.quantity()?;
            Some(format!("({}, \"{:.3} %\")", quote(&Reader(n).at(0)?.text()?), 100.0 * kappa * share.si()))
        };
        let points = stretch.items().iter().map(point).collect::<Option<Vec<_>>>().filter(|p| !p.is_empty());
        format!("[{}]", points.ok_or_else(figures)?.join(", "))
    };
    steps.set(&own.key("stretch"), &ron)?;
    let before = own.key("source").find(&steps.file.root).and_then(|n| Reader(n).text()).unwrap_or_default();
    let source = format!("stretch as rigged {date}, × {kappa:.2} ± {sd:.2}; before: {before}");
    steps.set(&own.key("source"), &quote(&source))?;
    Ok(steps.change(format!("stretch of {item} as rigged {date}"), item.to_owned()))
}
