//! Rescue: from each place along the line what hands pull, on which rope, how long it takes, and where nobody gets down.

use super::Facts;
use super::page::{Block, Page};
use crate::document::plain;
use crate::plan::Side;
use crate::plan::rescue::RollsOn;
use crate::review::{HangsAt, Hauled, On, Place, Rescued, Review, TowedIn, Verdict, factor_text};
use crate::units::{Dim, Quantity, show};

/// Factor and verdict of a piece of the rescue, in words; nothing where it has no row.
#[must_use]
pub fn hauled(review: &Review, what: Hauled) -> Option<String> {
    let row = review.rows.iter().find(|r| r.place == Place::Rescue(what))?;
    Some(match row.verdict {
        Verdict::Unsolved => "not solved".to_owned(),
        Verdict::Unrated => "unrated".to_owned(),
        v => format!("{} of {:.1}, {}", factor_text(row.factor), row.required, v.word()),
    })
}

/// The sheet of a plan.
#[must_use]
pub fn rescue_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Rescue", facts.file);
    let (Some(all), Some(plan)) = (&facts.review.rescued, &facts.file.plan.rescue) else {
        page.text("The plan does not say how somebody gets off the line who hangs still. Write a rescue into it: ropes to tow with and where they are, the hands left at each side, rope to lower with and where somebody can be received, and what a drill took. spanwright format describes it.");
        return page;
    };
    let system = facts.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| show(Dim::Length, m, system));
    let ropes = plan.ropes.iter().map(|t| format!("{} at {:?}", l(t.reach_m()), t.side));
    page.text(format!(
        "{} on a {}, {} from the edge on. Left at A {}, at B {}, each pulls {}{}. Somebody may hang {:.0} min.",
        show(Dim::Mass, all.load_kg, system),
        if plan.on == RollsOn::Roller { "roller" } else { "pair of rings" },
        ropes.collect::<Vec<_>>().join(", "),
        all.hands[0],
        all.hands[1],
        f(plan.each.si()),
        plan.set.as_ref().map_or(String::new(), |s| {
            let by = s.advantage(&facts.file.catalogue).unwrap_or(1.0);
            format!(", a pulley set {} multiplies by {by:.1}", plain(&s.reeving))
        }),
        all.limit_s / 60.0
    ));
    for on in [On::Main, On::Backup] {
        if all.on(on).next().is_some() {
            page.heading(if on == On::Main { "On the main line" } else { "On the backup alone, main gone" });
            table(&mut page, facts, all, on);
        }
    }
    let mut facts_of = Vec::new();
    let whats = [
        Hauled::Rope(Side::A),
        Hauled::Rope(Side::B),
        Hauled::Roller,
        Hauled::Line(On::Main),
        Hauled::Line(On::Backup),
        Hauled::SetRope,
        Hauled::SetSheave,
    ];
    for what in whats {
        if let Some(said) = hauled(facts.review, what) {
            facts_of.push((what.words().to_owned(), said));
        }
    }
    let t = plan.times;
    facts_of.push((
        "minutes".to_owned(),
        format!(
            "alarm {:.1}, kit {:.1}, out at {:.2} m/s, pick up {:.1}, tow at {:.2} m/s, over the edge {:.1}",
            t.alarm_s / 60.0,
            t.kit_s / 60.0,
            t.out_m_per_s,
            t.pick_up_s / 60.0,
            t.tow_m_per_s,
            t.over_s / 60.0
        ),
    ));
    facts_of.push((
        "drill".to_owned(),
        plan.drilled.as_ref().map_or("never timed".to_owned(), |d| {
            format!(
                "{:.0} min from {}{}; these times give {:.1}",
                d.took.si() / 60.0,
                l(d.from.si()),
                if d.date.is_empty() { String::new() } else { format!(", {}", plain(&d.date)) },
                t.total_s(d.from.si()) / 60.0
            )
        }),
    ));
    page.blocks.push(Block::Facts(facts_of));
    page.blocks.push(Block::Checks {
        boxes: vec![String::new()],
        lines: [
            "call; legs moving; one leads, one watches the clock",
            "rescuer on a leash and lanyard of their own; spare ropes stay at the edge",
            "on the roller, off the leash, lanyard first; then tow: steady, stop on call",
            "held back where it runs by itself: a turn on steel, gloves",
            "over the edge by hand; lay them down; call for help early",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    page.blocks.push(Block::Blanks(["drilled on", "from", "took", "led by"].map(str::to_owned).to_vec()));
    super::found_at(&mut page, facts.review, "rescue");
    page.text("The pull is along the rope from the roller straight to the edge; the rope's own sag is not counted. Friction of the line through the roller and of the rope over the edge at its high end where it hinders, at its low end where it has to be held back. People, times and what a hand pulls are common practice: a drill beats them all.");
    page
}

/// One row a place: the way in that is soonest, or, where none is, the one whose rope is least short.
fn table(page: &mut Page, facts: &Facts<'_>, all: &Rescued, on: On) {
    let system = facts.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| show(Dim::Length, m, system));
    let people = |t: &TowedIn| match t.with_set {
        Some(set) if set < t.people => format!("{} or {set}", t.people),
        _ => t.people.to_string(),
    };
    let short = |t: &&TowedIn| t.short_m.unwrap_or(0.0);
    // Every other place; and each that stands otherwise than the one before it.
    let places: Vec<&HangsAt> = all.on(on).collect();
    let stands = |k: usize| all.standing(places[k]);
    let told = (0..places.len()).filter(|&k| k % 2 == 0 || k + 1 == places.len() || stands(k) != stands(k - 1));
    let rows = told.map(|k| places[k]).map(|p| {
        let way = p.soonest(all.hands).or_else(|| p.towed.iter().min_by(|a, b| short(a).total_cmp(&short(b))));
        let mut row = vec![l(p.x_m)];
        match way {
            Some(w) => row.extend([
                format!("{:?}", w.side),
                w.short_m.map_or_else(|| l(w.way_m), |short| format!("{} short", l(short))),
                f(w.here_n),
                f(w.most_n),
                f(w.hands_n),
                people(w),
                format!("{:.1}", w.total_s / 60.0),
            ]),
            None => row.extend(["–", "not solved", "–", "–", "–", "–", "–"].map(str::to_owned)),
        }
        row.push(match (p.landing, p.lower_m) {
            (false, _) => "–".to_owned(),
            (true, Some(m)) => l(m),
            (true, None) => "no ground".to_owned(),
        });
        row.push(all.said(p).to_owned());
        row
    });
    let head = ["from A>", "to", "way in>", "here>", "most>", "hands>", "people>", "min>", "lower>", ""];
    page.table(&head, rows.collect());
}
