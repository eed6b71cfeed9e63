//! Splice cards: one a page, equal pieces on one card; what to cut, mark and do at the table.

mod drawings;
mod full_size;
mod knots;
mod strip;
mod test_piece;

use super::page::{Block, Page, Setting};
use super::{Facts, VERSION};
use crate::bench::{self, Design, From, Gear, Mark, RETIRE, Spliced, TAPER, legs_differ_by, spliced_of};
use crate::document::plain;
use crate::review::{Class, Place};
use crate::units::{System, at_bench, force_at_bench};
use drawings::Room;

pub use test_piece::test_piece_card;

/// A piece of a card: its name, its design, and the point that it hangs on with others.
type Named<'a> = (String, &'a Design, String);

/// As many pieces on one card.
const AT_MOST: usize = 7;

/// What a length is called that depends on the piece, and is looked up in its row.
const IN_ITS_ROW: [&str; 5] = ["E′", "D′", "C′", "A′", "H′"];

/// Whether two pieces are made with the same marks: all alike but for length.
fn alike(a: &Design, b: &Design) -> bool {
    let same = |a: &Gear, b: &Gear| match (*a, *b) {
        (Gear::Sling { eyes: x, .. }, Gear::Sling { eyes: y, .. }) => x == y,
        (Gear::EyeSplice { eye: x, .. }, Gear::EyeSplice { eye: y, .. }) => x == y,
        (Gear::Loop { pins_m: x, bury_m: p, .. }, Gear::Loop { pins_m: y, bury_m: q, .. }) => x == y && p == q,
        (x, y) => x == y,
    };
    let exits = |d: &Design| d.marks.iter().any(|m| m.letter == "H′");
    a.rope == b.rope && same(&a.gear, &b.gear) && exits(a) == exits(b)
}

fn card(page: &mut Page, number: Option<usize>, pieces: &[Named<'_>], system: System) {
    // Never torn: drawings stand on it where they leave room for the rest.
    let fits = |room: &Room| {
        let mut alone = Page { title: page.title.clone(), setting: Setting::Cards, ..Page::default() };
        whole_card(&mut alone, number, pieces, *room, system);
        alone.fits(0)
    };
    let room = [Room::All, Room::Work].into_iter().find(|r| fits(r)).unwrap_or(Room::Least);
    whole_card(page, number, pieces, room, system);
}

fn whole_card(page: &mut Page, number: Option<usize>, pieces: &[Named<'_>], room: Room, system: System) {
    let Some((name, d, _)) = pieces.first() else { return };
    let l = |m: f64| at_bench(m, system, false);
    let f = |n: f64| force_at_bench(n, system);
    let count = if pieces.len() > 1 { format!("{} × ", pieces.len()) } else { String::new() };
    let number = number.map_or_else(String::new, |n| format!("Card {n}: "));
    page.heading(&format!("{number}{count}{}, {}", d.title, if pieces.len() > 1 { "one card" } else { name.as_str() }));
    page.blocks.push(Block::Edge(strip::strip(d, system)));
    page.blocks.push(Block::Facts(facts(d, system)));
    // Inches are said once: fractions are wide enough without.
    let mut head = heads(d);
    if system == System::Us {
        head[0] = "piece, inches";
    }
    let bare = |cell: String| match system {
        System::Us => cell.strip_suffix(" in").map_or(cell.clone(), str::to_owned),
        System::Si => cell,
    };
    page.table(&head, pieces.iter().map(|p| row(p, system).into_iter().map(bare).collect()).collect());
    for drawing in drawings::of(d, room, system) {
        page.blocks.push(Block::Drawing(drawing, Vec::new()));
    }
    page.table(&["mark", "from", "at", "what"], marks(d, system));
    for n in &d.notes {
        page.text(bench::note(n, system));
    }
    let differ: Vec<String> = anchors(pieces)
        .iter()
        .map(|(at, lengths)| format!("{} at {}", l(legs_differ_by(lengths, &d.hand)), plain(at)))
        .collect();
    if !differ.is_empty() {
        page.text(format!(
            "Legs of one anchor: one batch, one hand, set alike; two then differ beyond what was asked by at most {}. Lengths measured after setting go back into the plan.",
            differ.join(", ")
        ));
    }
    // Ten pulls, five to a row.
    let pulls =
        |row: usize| (0..15).map(move |c| if c % 3 == 0 { (5 * row + c / 3 + 1).to_string() } else { String::new() });
    page.table(&["pull", "load", "length"].repeat(5), (0..2).map(|r| pulls(r).collect()).collect());
    let strip = d.marks.iter().any(|m| m.what == TAPER);
    page.blocks.push(Block::Blanks(
        [
            "lines across the host, before",
            "after",
            "plain rope, before setting",
            "after",
            "thread moved",
            "proofed to",
            "made by",
            "second person",
            if strip { "check line measured" } else { "batch of rope" },
        ]
        .map(str::to_owned)
        .to_vec(),
    ));
    let [set, proof] = [d.set_n.map(|s| f(s[1])), d.proof_n.map(f)].map(|x| x.unwrap_or_else(|| "–".to_owned()));
    let holds = d.on_pins_n.map_or_else(|| "unrated".to_owned(), f);
    page.text(format!(
        "Label to tie on{}: id ______  {}  {}  batch ____  length {}  holds {holds} on its pins  set to ____ of {set}  proofed to ____ of {proof} or NOT PROOFED  made ______  by ____  next look ______  retire by ______",
        if pieces.len() > 1 { ", one each" } else { "" },
        d.title,
        d.rope.title,
        if pieces.len() > 1 { "____".to_owned() } else { l(d.finished_m) },
    ));
}

/// Points that two and more of these pieces hang on, with the lengths of those.
fn anchors(pieces: &[Named<'_>]) -> Vec<(String, Vec<f64>)> {
    let mut out: Vec<(String, Vec<f64>)> = Vec::new();
    for (_, d, at) in pieces.iter().filter(|p| !p.2.is_empty()) {
        match out.iter_mut().find(|o| o.0 == *at) {
            Some(o) => o.1.push(d.finished_m),
            None => out.push((at.clone(), vec![d.finished_m])),
        }
    }
    out.retain(|o| o.1.len() > 1);
    out
}

fn from(from: From) -> &'static str {
    match from {
        From::End1 => "tip 1",
        From::End2 => "tip 2",
        From::Throat => "throat",
        From::Trimmed => "A′",
    }
}

/// The marks, one row for those of a taper, and one for those that each piece has in its own row.
fn marks(d: &Design, system: System) -> Vec<Vec<String>> {
    let l = |m: f64| at_bench(m, system, false);
    let in_row = |m: &Mark| {
        m.from == From::Throat && matches!(d.gear, Gear::Sling { .. }) && IN_ITS_ROW.contains(&m.letter.as_str())
    };
    let tapers = |m: &Mark| m.what == TAPER;
    let mut out: Vec<Vec<String>> = Vec::new();
    for m in &d.marks {
        let (letter, at, what) = if in_row(m) {
            (m.letter.clone(), "by piece".to_owned(), m.what)
        } else if tapers(m) {
            let dash = if m.letter.ends_with('′') { "′" } else { "" };
            let all = d.marks.iter().filter(|x| x.from == m.from && tapers(x)).map(|x| l(x.at_m));
            // The unit once, behind the last of them.
            let unit = if system == System::Si { " mm" } else { " in" };
            let said = all.collect::<Vec<_>>().join(", ").replace(unit, "") + unit;
            (format!("B1{dash} to B5{dash}"), said, TAPER)
        } else {
            (m.letter.clone(), l(m.at_m), m.what)
        };
        match out.last_mut() {
            Some(last) if tapers(m) && last[3] == TAPER => {}
            Some(last) if in_row(m) && last[2] == at => {
                last[0] += &format!(", {letter}");
                last[3] += &format!(", {what}");
            }
            _ => out.push(vec![letter, from(m.from).to_owned(), at, what.to_owned()]),
        }
    }
    out
}

/// How the pieces of one kind are made, once for all their cards.
fn work(page: &mut Page, designs: &[&Design], system: System) {
    let Some(d) = designs.first() else { return };
    page.heading(&format!("How it is made: {}", d.title));
    let longest =
        designs.iter().max_by(|a, b| a.buries_m.first().unwrap_or(&0.0).total_cmp(b.buries_m.first().unwrap_or(&0.0)));
    page.text(format!("On the table: {}", bench::tools(longest.unwrap_or(d), system)));
    let mut steps = Vec::new();
    for s in bench::steps(d, system) {
        steps.push(s.text);
        if let Some(hold) = s.hold {
            steps.push(format!("HOLD POINT, a second person signs: {hold}."));
        }
    }
    page.blocks.push(Block::Steps(steps));
    if let Some(frames) = knots::frames(d) {
        page.blocks.push(Block::Drawing(
            frames,
            vec![
                "The knot from above: leg 1 thick, leg 2 thin; what goes under is broken. S: standing parts, E: ends."
                    .to_owned(),
            ],
        ));
    }
    let [always, never] = bench::habits(&d.gear);
    page.blocks.push(Block::Facts(vec![
        ("Always".to_owned(), always.join(" · ")),
        ("Never".to_owned(), never.join(" · ")),
        ("Inspect".to_owned(), bench::inspection(&d.gear).to_owned()),
        ("Retire".to_owned(), RETIRE.to_owned()),
        ("Words".to_owned(), bench::WORDS.to_owned()),
    ]));
}

/// What one card says of all its pieces.
fn facts(d: &Design, system: System) -> Vec<(String, String)> {
    let l = |m: f64| at_bench(m, system, false);
    let f = |n: f64| force_at_bench(n, system);
    let strength = match (d.on_pins_n, d.strength_n) {
        // Until its knot is set hard it is its rope alone.
        (Some(on), Some(_)) if matches!(d.gear, Gear::SoftShackle { .. }) => format!(
            "{} on its own pins once its knot is set hard, until then {}, low: {}",
            f(on),
            f(on.min(d.rope.strength_n.unwrap_or(on))),
            d.strength_why
        ),
        (Some(on), Some(_)) => format!("{} on its own pins, low: {}", f(on), d.strength_why),
        _ => format!("the rope is unrated: {}", d.strength_why),
    };
    let mut out = vec![
        ("strength".to_owned(), strength),
        (
            "rope".to_owned(),
            format!(
                "{}{}{} [{}]",
                d.rope.title,
                if d.rope.title.contains(" mm") && system == System::Si {
                    String::new()
                } else {
                    format!(", {} across", l(d.rope.d_m))
                },
                d.rope.strength_n.map_or(String::new(), |n| format!(", counted as {} unspliced", f(n))),
                d.rope.basis
            ),
        ),
        (
            "length".to_owned(),
            format!(
                "from bearing to bearing on its own pins, once set (which adds {:.1} %); may come out {} shorter to {} longer{}",
                100.0 * d.hand.sets.usual,
                l(d.off_m[0]),
                l(d.off_m[1]),
                if d.hand.measured { " (this rope was measured)" } else { " (no test piece of this rope yet)" }
            ),
        ),
    ];
    if !d.eyes.is_empty() {
        let eye = |e: &bench::EyeMade| {
            format!(
                "{} (half its rope) on {} {}, throat {:.0}°",
                l(e.half_m),
                if e.thimble { "a thimble, groove" } else { "a pin of" },
                l(e.pin_m),
                e.throat.degrees()
            )
        };
        let mut eyes: Vec<String> = d.eyes.iter().map(eye).collect();
        eyes.dedup();
        // Of two that differ, which end has which.
        if eyes.len() > 1 {
            eyes = eyes.iter().enumerate().map(|(k, e)| format!("end {}: {e}", k + 1)).collect();
        }
        out.push(("eyes".to_owned(), eyes.join("; ")));
    }
    if let Gear::Loop { pins_m, .. } = d.gear {
        out.push(("pins".to_owned(), format!("{} and {}", l(pins_m[0]), l(pins_m[1]))));
    }
    if !d.buries_m.is_empty() {
        let mut buries: Vec<String> =
            d.buries_m.iter().map(|b| format!("{} ({:.0} diameters)", l(*b), b / d.rope.d_m)).collect();
        buries.dedup();
        let s = d.hand.shortens;
        out.push((
            "buried".to_owned(),
            format!(
                "{}; a bury takes {:.1} % of its host ({:.1} to {:.1} %)",
                buries.join(" and "),
                100.0 * s.usual,
                100.0 * s.low,
                100.0 * s.high
            ),
        ));
    }
    if let (Some([a, b]), Some(p)) = (d.set_n, d.proof_n) {
        out.push((
            "pulled".to_owned(),
            format!("to set: first {}, last {}, five to ten pulls; proofed once to {}", f(a), f(b), f(p)),
        ));
    }
    out
}

/// Heads of a card's row for each piece.
fn heads(d: &Design) -> Vec<&'static str> {
    let mut out = vec!["piece", "finished>", "rope to cut>"];
    if d.spare_m > 0.0 {
        out.push(if matches!(d.gear, Gear::Adjustable { .. }) { "of it for the handle>" } else { "of it to trim>" });
    }
    if matches!(d.gear, Gear::Sling { .. }) {
        out.extend(["E′>", "D′>", "C′>", "A′>"]);
        if d.marks.iter().any(|m| m.letter == "H′") {
            out.push("H′>");
        }
    }
    out.extend(d.on_the_table.iter().map(|t| t.0));
    out
}

fn row((name, d, _): &Named<'_>, system: System) -> Vec<String> {
    let l = |m: f64| at_bench(m, system, false);
    let mut out = vec![format!("[ ] {name}"), l(d.finished_m), at_bench(d.cut_m + d.spare_m, system, true)];
    if d.spare_m > 0.0 {
        out.push(at_bench(d.spare_m, system, true));
    }
    if matches!(d.gear, Gear::Sling { .. }) {
        out.extend(
            d.marks
                .iter()
                .filter(|m| m.from == From::Throat && IN_ITS_ROW.contains(&m.letter.as_str()))
                .map(|m| l(m.at_m)),
        );
    }
    out.extend(d.on_the_table.iter().map(|t| l(t.1)));
    out
}

/// The card of one design that belongs to no plan.
#[must_use]
pub fn splice_card(d: &Design, catalogue: &str, system: System) -> Page {
    let mut page = Page {
        title: format!("Splice card: {}", d.title),
        origin: format!("spanwright {VERSION}, catalogue {catalogue}"),
        setting: Setting::Cards,
        ..Page::default()
    };
    card(&mut page, None, &[(d.rope.title.clone(), d, String::new())], system);
    page.blocks.push(Block::OtherSide);
    work(&mut page, &[d], system);
    page
}

/// Which pieces stand on one card, by their indices: pieces that are made with the same marks, as many as it has room for.
fn grouped(all: &[Spliced]) -> Vec<Vec<usize>> {
    let mut cards: Vec<Vec<usize>> = Vec::new();
    for (i, s) in all.iter().enumerate() {
        let Ok(d) = &s.design else { continue };
        let mine = |c: &&mut Vec<usize>| c.len() < AT_MOST && all[c[0]].design.as_ref().is_ok_and(|x| alike(x, d));
        match cards.iter_mut().rev().find(mine) {
            Some(c) => c.push(i),
            None => cards.push(vec![i]),
        }
    }
    cards
}

/// The number of the card of each piece of a plan, by its run and part.
pub(super) fn numbers(facts: &Facts<'_>) -> Vec<((usize, usize), usize)> {
    let all = spliced_of(&facts.file.plan, &facts.file.catalogue, &facts.articles());
    let cards = grouped(&all);
    let of = |(k, c): (usize, &Vec<usize>)| c.iter().map(|i| ((all[*i].run, all[*i].part), k + 1)).collect::<Vec<_>>();
    cards.iter().enumerate().flat_map(of).collect()
}

/// The cards of all that a plan asks the bench for: equal pieces on one.
#[must_use]
pub fn splice_cards(facts: &Facts<'_>) -> Page {
    let mut page = Page { setting: Setting::Cards, ..Page::of("Splice cards", facts.file) };
    let plan = &facts.file.plan;
    let mut all = spliced_of(plan, &facts.file.catalogue, &facts.articles());
    // What a piece carries while somebody walks: its proof goes over it.
    for s in &mut all {
        let name = plan.runs.get_index(s.run).map(|r| r.0.clone()).unwrap_or_default();
        let place = Place::Part(name, s.part + 1);
        let rows = facts.review.rows.iter().filter(|r| r.class == Class::Working && r.place == place);
        let demand_n = rows.map(|r| r.demand_n).fold(0.0, f64::max);
        s.design = s.design.clone().map(|d| d.carrying(demand_n));
    }
    // The point that a leg hangs on with others.
    let master = |run: usize| {
        let path = plan.runs.get_index(run).map(|r| &r.1.path);
        let free = path.into_iter().flatten().find(|p| plan.points.get(*p).is_some_and(|p| p.hold().is_none()));
        free.cloned().unwrap_or_default()
    };
    if all.is_empty() {
        page.text("Nothing in this plan is made at the bench.");
    }
    for s in &all {
        if let Err(why) = &s.design {
            page.heading(&plain(&s.name));
            page.blocks.push(Block::Warning(format!("Not to be made as planned: {why}.")));
        }
    }
    // Of a run with one piece of the bench, the run's name says which.
    let name = |s: &Spliced| match plan.runs.get_index(s.run) {
        Some((run, _)) if all.iter().filter(|x| x.run == s.run).count() == 1 => plain(run),
        _ => plain(&s.name),
    };
    let piece = |i: &usize| all[*i].design.as_ref().ok().map(|d| (name(&all[*i]), d, master(all[*i].run)));
    let groups: Vec<Vec<Named<'_>>> = grouped(&all).iter().map(|c| c.iter().filter_map(piece).collect()).collect();
    for (k, g) in groups.iter().enumerate() {
        if k > 0 || !page.blocks.is_empty() {
            page.blocks.push(Block::OtherSide);
        }
        card(&mut page, Some(k + 1), g, facts.system);
    }
    let mut kinds: Vec<Vec<&Design>> = Vec::new();
    for (_, d, _) in groups.iter().filter_map(|g| g.first()) {
        let alike = |k: &&mut Vec<&Design>| bench::steps(k[0], facts.system) == bench::steps(d, facts.system);
        match kinds.iter_mut().find(alike) {
            Some(k) => k.push(d),
            None => kinds.push(vec![d]),
        }
    }
    for k in &kinds {
        page.blocks.push(Block::OtherSide);
        work(&mut page, k, facts.system);
    }
    page
}
