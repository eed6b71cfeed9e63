//! The sheet for a first visit: what to sight from where, with a pencil, and how a figure comes of it.

use super::Facts;
use super::page::{Block, Page};
use crate::units::{Dim, Quantity, show};

/// Answers that a plan begins with, ground first: what is asked, and how a figure comes of it.
const BOXES: [(&str, &str, &[&str]); 5] = [
    (
        "1. What is below",
        "From each lip along the line, every ten metres and close to the edge: distance D and slope s, down below zero. Out D cos s, down D sin s: 38 m at −62° is 17.8 m out, 33.6 m down. “Not known” is an answer; the plan keeps its stop then.",
        &["from A: D, s", "D, s", "D, s", "D, s", "from B: D, s", "D, s", "D, s", "crowns, wires, roofs"],
    ),
    (
        "2. How far, how much higher",
        "From A's lip to B's, along the line: D and s. Span D cos s, B higher by D sin s: 63.0 m at 2.5° is 62.9 m, 2.75 m higher, each ± 0.3 m. From aside: both distances and the angle between, turned to half a degree; a compass gives metres.",
        &["from A's lip: D, s", "again, from B's lip: D, s", "bearing A to B", "from aside: D, D, angle"],
    ),
    (
        "3. What holds at each side",
        "What it is, how far behind the lip, how far to the left seen from A, how high. Trees: round at knee height over π is the diameter. Bolts: which, how old, which way they point.",
        &["A: what, behind, left, up", "A", "A", "A", "B: what, behind, left, up", "B", "B", "B"],
    ),
    (
        "4. Which line, how tight",
        "Webbing of main and backup, its lengths, how much looser the backup; what it is tensioned with, from which side.",
        &["main", "backup, excess", "tension", "pulled from"],
    ),
    (
        "5. Who walks, in what wind",
        "With clothes, harness, water. Wind: the strongest that you would walk in, and the strongest that it stays up in.",
        &["walkers", "together", "wind", "storm"],
    ),
];

/// The sheet of a plan: blanks to fill in, what the plan has beside them, and what was assumed.
#[must_use]
pub fn scout_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Scouting", facts.file);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let plan = &facts.file.plan;
    let site = &plan.site;
    page.blocks.push(Block::Facts(vec![
        (
            "the plan has".to_owned(),
            format!("span {}, B {} above A", l(site.span.si()), l(site.height_difference.si())),
        ),
        ("ground".to_owned(), format!("{} points", site.ground.len())),
    ]));
    page.blocks.push(Block::Blanks(vec!["who".to_owned(), "when".to_owned()]));
    for (title, how, blanks) in BOXES {
        page.heading(title);
        page.text(how);
        page.blocks.push(Block::Blanks(blanks.iter().map(|b| (*b).to_owned()).collect()));
    }
    page.heading("How sure");
    page.text("Mean errors by hand: laser 0.3 m, compass 2°, clinometer 0.3°. A compass near steel is wrong by more; sight twice, from two stands.");
    if let Some(s) = &facts.review.scouted {
        let rows = s.assumed.iter().map(|a| {
            let does = a.share.map_or_else(|| "not tried".to_owned(), |s| format!("{:.0} %", 100.0 * s));
            vec![a.what.clone(), l(a.within_m), does]
        });
        let rows: Vec<Vec<String>> = rows.collect();
        if !rows.is_empty() {
            page.table(&["assumed so far", "within>", "changes what a piece sees by>"], rows);
        }
        let seen = s.points.iter().filter(|p| !p.assumed).map(|p| {
            let [x, y, z] = p.within_m.map(l);
            vec![p.point.clone(), x, y, z]
        });
        let seen: Vec<Vec<String>> = seen.collect();
        if !seen.is_empty() {
            page.table(&["sighted", "along ±>", "across ±>", "up ±>"], seen);
        }
    }
    page.text("Then: spanwright doubt PLAN says which of what is missing matters most.");
    page
}
