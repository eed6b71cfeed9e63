//! As rigged: the verdict of the rig as it hangs, what was read beside what should have been read, stretch and slip.

use super::Facts;
use super::comparison::{Comparison, comparison, comparison_sheet};
use super::page::{Block, Page};
use crate::document::plain;
use crate::plan::day::{Day, unseen};
use crate::plan::{PlanFile, Side};
use crate::review::{BELIEVED, Compared, DayRead, LIKE, OFF, Read, Review, as_rigged, at_rest, likely_said};
use crate::units::{Dim, Quantity, System, show};

/// The sheet of a day: planned and as rigged, each with its review.
#[must_use]
pub fn day_sheet(
    (planned, before): (&PlanFile, &Review),
    (rigged, after): (&PlanFile, &Review),
    (day, read): (&Day, &DayRead),
    changes: &Comparison,
    system: System,
) -> Page {
    let mut page = Page::of("As rigged", planned);
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| show(Dim::Length, m, system));
    let by = if day.by.is_empty() { String::new() } else { format!(" by {}", plain(&day.by)) };
    page.subtitle.push(format!("Read on {}{by}; the plan's own verdict: {}", plain(&day.date), before.verdict.word()));
    let limits = after.limiting.as_ref().map_or(String::new(), |l| format!(" {}.", plain(&l.sentence)));
    let worse = after.verdict > before.verdict || (before.passes() && !after.passes());
    page.blocks.push(Block::Warning(format!(
        "Verdict of the rig as it hangs: {}{}.{limits}",
        after.verdict.word(),
        if worse { ", worse than planned" } else { "" }
    )));
    let site = &rigged.plan.site;
    let hangs = day
        .hangs_with()
        .map_or("the plan's tension (none was read)".to_owned(), |(r, n)| format!("{} at {:?}", f(n), r.at));
    page.blocks.push(Block::Facts(vec![(
        "judged with".to_owned(),
        format!(
            "span {}, B {} over A, {} with nobody on the line, {}, wind {}",
            l(site.span.si()),
            l(site.height_difference.si()),
            hangs,
            show(Dim::Temperature, site.air.rigged_at.si(), system),
            show(Dim::Velocity, site.air.wind.si(), system)
        ),
    )]));
    if read.compared.is_empty() {
        page.text("Nothing was read that the plan can be held against: a sag or a tension with a walker, or the tension after an hour.");
    } else {
        page.table(
            &["read", "measured>", "computed>", "off>", ""],
            read.compared.iter().map(|c| read_said(c, system).to_vec()).collect(),
        );
    }
    if read.disagrees() {
        page.blocks.push(Block::Warning(format!("The readings disagree with one rig: {}.", plain(&likely_said(read)))));
    }
    for c in &read.compared {
        if let (Read::Later, Some(m), Some(off)) = (c.read, c.slipped_m, c.off())
            && off < -OFF
        {
            page.blocks.push(Block::Warning(format!(
                "{} less than creep and temperature leave: {} came through a lock, or an anchor came nearer by that. The tails' marks tell which.",
                f(c.computed.map_or(0.0, |k| k[0] - c.measured[0])),
                l(m)
            )));
        }
    }
    if !read.legs.is_empty() {
        let rows = read.legs.iter().map(|leg| {
            let computed = leg.computed_n.map_or("no such leg".to_owned(), f);
            let ratio = leg.computed_n.map_or_else(String::new, |n| format!("{:.2}", leg.measured_n / n));
            let made = leg.short_m.filter(|m| m.abs() >= 1e-3).map_or_else(String::new, |m| {
                format!("as if {} {} than planned", l(m.abs()), if m > 0.0 { "shorter" } else { "longer" })
            });
            vec![plain(&leg.name), f(leg.measured_n), computed, ratio, made]
        });
        page.table(&["leg", "measured>", "computed>", "ratio>", ""], rows.collect());
    }
    for (side, tail) in ["A", "B"].iter().zip(day.tails) {
        page.blocks.extend(
            tail.map(|m| Block::Text(format!("Lock {side}: {} of its tail drawn in since the mark.", l(m.si())))),
        );
    }
    match stretch_said(read) {
        Some((said, true)) => page.text(format!(
            "{said}. To take it over into the plan's own item: s on page 3, or spanwright day PLAN --take-stretch."
        )),
        Some((said, false)) => page.blocks.push(Block::Warning(format!("{said}."))),
        None => {}
    }
    if let Some(ratio) = read.weight {
        page.text(format!(
            "By the sag with nobody on it the line weighs {ratio:.2} of what is planned. A sag and a tension without a walker say nothing of stretch."
        ));
    }
    page.text("Errors counted where a reading says none of its own, one deviation: load cell 2 %, pulse 3 %, sag 5 cm (0.3 m from 200 m on), span 0.2 m, walker 1 kg, what came through 2 cm, temperature 2 K (common practice, no source); creep by its class, half its band. The line is taken between points that do not give.");
    let hours =
        |t: Option<crate::units::Time>| t.map_or("not noted".to_owned(), |t| format!("{:.1} h", t.si() / 3600.0));
    page.heading("For the log");
    page.text(format!(
        "Hung: {}; in the sun: {}; leash falls: {}, the hardest {}; catches by the backup: {}.",
        hours(day.up),
        hours(day.sun),
        day.falls,
        day.hardest.map_or("not read".to_owned(), |n| f(n.si())),
        day.backup_catches
    ));
    for e in &day.events {
        let of = e.serial.as_ref().map(|s| format!(" ({})", plain(s))).unwrap_or_default();
        page.text(format!("{}{of}: {}", e.what.words(), plain(&e.told)));
    }
    for (on, e) in unseen(&planned.plan) {
        page.blocks.push(Block::Warning(format!(
            "{}: {}: nobody has looked it over since. Do so before anybody walks, and write it down.",
            plain(&on.date),
            e.what.words()
        )));
    }
    page.heading("What it did to the review");
    page.blocks.extend(comparison_sheet(changes, system).blocks);
    page
}

/// How stretchy the line is by what was read, and whether that may be taken over; nothing where no reading gives it.
#[must_use]
pub fn stretch_said(read: &DayRead) -> Option<(String, bool)> {
    let [kappa, sd] = read.stretch?;
    let from = match read.by {
        Some(Read::Sag) => "the sag with a walker",
        Some(Read::Loaded) => "the tension with a walker",
        _ => "what came through the lock",
    };
    let doubt = if !BELIEVED.contains(&kappa) {
        ": beyond belief. Measure again: a figure is wrong, not the webbing"
    } else if !LIKE.contains(&kappa) {
        ": this is other webbing than the plan says, or a figure is wrong"
    } else {
        ""
    };
    Some((format!("stretch × {kappa:.2} ± {sd:.2} of what the plan has, by {from}{doubt}"), doubt.is_empty()))
}

/// The rig as it hung on the last day beside the plan, in one sentence; nothing where both are one, or it was not looked at.
#[must_use]
pub fn hung_said(review: &Review) -> Option<String> {
    let day = review.day.as_ref()?;
    let hung = day.hung.as_ref()?;
    let found = match (&hung.fault, hung.worse.len()) {
        (Some(_), _) => "it cannot be reviewed (see days)".to_owned(),
        (None, 0) => format!("{}; nothing is worse than planned", hung.verdict),
        (None, 1) => format!("{}; one verdict is worse than planned (see days)", hung.verdict),
        (None, n) => format!("{}; {n} verdicts are worse than planned (see days)", hung.verdict),
    };
    Some(format!(
        "As it hung on {}, standing still and walked: {found}. Its falls and failures are played by spanwright day.",
        plain(&day.date)
    ))
}

/// The sheet of the last day of a plan, from what stands still: falls are left to `check --day`.
///
/// # Errors
/// Why the rig of that day cannot be reviewed.
pub fn last_day(facts: &Facts<'_>) -> Result<Page, String> {
    let file = facts.file;
    let (Some(day), Some(read)) = (crate::plan::day::last_day(&file.plan.days), &facts.review.day) else {
        let mut page = Page::of("As rigged", file);
        page.text("The plan has no day at the line. Write one into it: its date, the span as measured, the temperature, and what was read: the tension with nobody on the line, an hour later once more, a sag with somebody on it. spanwright format describes it.");
        return Ok(page);
    };
    let rigged = as_rigged(file, day)?;
    let still = |f: &PlanFile| at_rest(f);
    let (before, after) = (still(file)?, still(&rigged)?);
    let changes = comparison((file, &before), (&rigged, &after));
    let mut page = day_sheet((file, &before), (&rigged, &after), (day, read), &changes, facts.system);
    page.blocks.insert(0, Block::Text("Statics alone: falls and failures of the rig as it hangs are played by spanwright day, and by check --day.".to_owned()));
    Ok(page)
}

/// A reading in words: what, measured, computed, off, and a mark.
#[must_use]
pub fn read_said(c: &Compared, system: System) -> [String; 5] {
    let (what, dim) = match c.read {
        Read::Sag => ("sag at the walker", Dim::Length),
        Read::Loaded => {
            (if c.at == Side::A { "tension at A with the walker" } else { "tension at B with the walker" }, Dim::Force)
        }
        // As at A, whichever side it was read at.
        Read::Later if c.at == Side::B => ("tension at A, by that at B", Dim::Force),
        Read::Later => ("tension at A", Dim::Force),
        Read::Empty => ("sag, nobody on it", Dim::Length),
        Read::Through => ("came through the lock", Dim::Length),
        Read::Pulse => ("pulse, there and back", Dim::Time),
    };
    let walker = c.walker_kg.map_or(String::new(), |kg| format!(", {}", show(Dim::Mass, kg, system)));
    let after = if c.after_s > 0.0 { format!(", after {:.1} h", c.after_s / 3600.0) } else { String::new() };
    let both = |[v, sd]: [f64; 2]| format!("{} ± {}", show(dim, v, system), show(dim, sd, system));
    let off = c.off();
    [
        format!("{what}{walker}{after}"),
        both(c.measured),
        c.computed.map_or("not to be computed".to_owned(), both),
        off.map_or("–".to_owned(), |o| format!("{o:+.1} σ")),
        match off {
            Some(o) if o.abs() > OFF => "✗ disagrees".to_owned(),
            Some(_) => String::new(),
            None => "not judged".to_owned(),
        },
    ]
}
