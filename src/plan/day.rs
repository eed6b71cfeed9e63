//! A day at the line: what was read there, and the plan as it was rigged then.

use super::file::PlanFile;
use super::model::{PartLength, Role, Side, Target};
use crate::document::{Path, Splice};
use crate::units::{Force, Length, Mass, Quantity, Temperature, Time, Velocity};

/// A reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// After the line was tensioned.
    pub after: Time,
    /// Tension.
    pub tension: Option<Force>,
    /// Where it was read.
    pub at: Side,
    /// Sag below the straight line: at the walker, or in the middle.
    pub sag: Option<Length>,
    /// Who was on the line: place along it, and mass.
    pub walker: Option<(f64, Mass)>,
    /// Temperature then.
    pub temperature: Option<Temperature>,
}

/// Webbing that came through the lock on the way up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Through {
    /// Tension at which it was begun to be measured.
    pub from: Force,
    /// What came through.
    pub length: Length,
}

/// A day.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// As 2026-10-03.
    pub date: String,
    /// Initials.
    pub by: String,
    /// As measured.
    pub span: Option<Length>,
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
    /// Anything else.
    pub note: String,
}

impl Day {
    /// Tension at A with nobody on the line, N: the first that was read.
    #[must_use]
    pub fn standing_n(&self) -> Option<f64> {
        self.read.iter().find(|r| r.walker.is_none() && r.at == Side::A).and_then(|r| r.tension).map(Quantity::si)
    }

    /// The last tension at A with nobody on the line, N: what the rig hangs with.
    #[must_use]
    pub fn hangs_with_n(&self) -> Option<f64> {
        let read = self.read.iter().rev().filter(|r| r.walker.is_none() && r.at == Side::A);
        read.filter_map(|r| r.tension).map(Quantity::si).next()
    }
}

/// The day of a date, or the last; nothing when the plan has none.
#[must_use]
pub fn day_of<'a>(file: &'a PlanFile, date: Option<&str>) -> Option<&'a Day> {
    let days = &file.plan.days;
    date.map_or_else(|| days.last(), |d| days.iter().find(|day| day.date == d))
}

/// The plan as it hangs on a day: its span, height difference, temperature and wind, the tension that was read last, and the
/// heaviest who was on it.
///
/// # Errors
/// Why the changed text is no sound plan.
pub fn as_rigged(file: &PlanFile, day: &Day) -> Result<PlanFile, String> {
    let site = Path::root().key("site");
    let mut sets: Vec<(Path, String)> = Vec::new();
    let quoted = |v: String| format!("{v:?}");
    if let Some(m) = day.span {
        sets.push((site.key("span"), quoted(format!("{} m", m.si()))));
    }
    if let Some(m) = day.height_difference {
        sets.push((site.key("height_difference"), quoted(format!("{} m", m.si()))));
    }
    if let (Some(n), Some((name, main))) = (day.hangs_with_n(), file.plan.main())
        && let Some(k) = main.parts.iter().position(|p| matches!(p.length, PartLength::Solve(_)))
    {
        let at = match main.parts[k].length {
            PartLength::Solve(Target::Standing(_, at)) if day.standing_n().is_none() => at,
            _ => Side::A,
        };
        let path = Path::root().key("runs").key(name).key("parts").at(k).key("length");
        sets.push((path, format!("Solve(standing: \"{} kN\", at: {at:?})", n / 1e3)));
    }
    let heaviest = day.read.iter().filter_map(|r| r.walker).map(|w| w.1.si()).fold(0.0, f64::max);
    let planned = file.plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
    if heaviest > planned {
        sets.push((Path::root().key("people").key("walkers"), format!("[\"{heaviest} kg\"]")));
    }
    if let Some(t) = day.temperature {
        sets.push((site.key("air").key("rigged_at"), quoted(format!("{:.1} degC", t.si() - 273.15))));
    }
    if let Some(v) = day.wind {
        sets.push((site.key("air").key("wind"), quoted(format!("{} m/s", v.si()))));
    }
    let mut out = file.clone();
    for (path, ron) in sets {
        // A record that the plan leaves out is left at what it has by default: only what is there can differ.
        let Some(splice) = Splice::set(&out.text, &out.root, &path, &ron) else { continue };
        let Some(text) = splice.apply(&out.text) else { continue };
        out = PlanFile::parse(&file.name, text).map_err(|e| e.show(&file.name))?;
    }
    if out.plan.runs.values().all(|r| r.role != Role::Main) || !out.is_sound() {
        return Err(out.show_faults());
    }
    Ok(out)
}
