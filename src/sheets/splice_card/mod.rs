//! Splice cards: what to cut, mark and do at the table.

use super::page::{Block, Drawing, Page};
use super::{Facts, VERSION};
use crate::bench::{DONTS, Design, spliced_of};
use crate::document::plain;
use crate::units::{Dim, System, show};

fn length(m: f64, system: System) -> String {
    match system {
        System::Si if m < 1.0 => format!("{:.0} mm", 1e3 * m),
        System::Si => format!("{m:.3} m"),
        System::Us => show(Dim::Length, m, system),
    }
}

/// One design as blocks.
fn card(page: &mut Page, name: &str, d: &Design, system: System) {
    let l = |m: f64| length(m, system);
    let f = |n: f64| show(Dim::Force, n, system);
    page.heading(&format!("{name}: {}", d.title));
    let list = |all: &[f64]| all.iter().map(|m| l(*m)).collect::<Vec<_>>().join(" and ");
    let mut facts = vec![
        ("rope".to_owned(), format!("{}, {:.0} mm", d.rope.title, 1e3 * d.rope.d_m)),
        ("rope to cut".to_owned(), format!("{} ({:.0} g)", l(d.cut_m), 1e3 * d.cut_m * d.rope.mass_per_m)),
        ("finished".to_owned(), format!("{}, set; may miss by {}", l(d.finished_m), l(d.uncertain_m))),
        ("least possible".to_owned(), l(d.least_m)),
    ];
    if !d.eyes_m.is_empty() {
        facts.push(("eye, flat, throat to crown".to_owned(), list(&d.eyes_m)));
    }
    if !d.buries_m.is_empty() {
        let ratio: Vec<String> = d.buries_m.iter().map(|b| format!("{:.0} d", b / d.rope.d_m)).collect();
        facts.push(("buried".to_owned(), format!("{} ({})", list(&d.buries_m), ratio.join(", "))));
    }
    facts.push((
        "strength, low to nominal".to_owned(),
        match d.strength_n {
            Some([low, nominal]) => format!("{} to {}: {}", f(low), f(nominal), d.strength_why),
            None => format!("the rope is unrated: {}", d.strength_why),
        },
    ));
    page.blocks.push(Block::Facts(facts));
    page.blocks.push(Block::Drawing(rope(d), Vec::new()));
    let rows = d.marks.iter().map(|m| vec![format!("end {}", m.end), l(m.at_m), m.what.clone()]).collect();
    page.table(&["from", "at>", "mark"], rows);
    page.blocks.push(Block::Steps(d.steps.clone()));
    for n in &d.notes {
        page.text(n.clone());
    }
    page.blocks.push(Block::Blanks(
        ["measured after setting", "pulled to", "date and maker", "batch of rope"].map(str::to_owned).to_vec(),
    ));
}

/// The rope to scale, with its marks above (end 1) and below (end 2).
fn rope(d: &Design) -> Drawing {
    let (wide, y) = (180.0, 12.0);
    let scale = (wide - 6.0) / d.cut_m.max(1e-3);
    let mut out = Drawing::new(wide, 26.0);
    let x = |m: &crate::bench::Mark| 3.0 + scale * if m.end == 1 { m.at_m } else { d.cut_m - m.at_m };
    out.line(&[[3.0, y], [3.0 + scale * d.cut_m, y]], 1.2);
    out.words([3.0, y + 1.0 + 2.6], "1", 2.4, 0.0);
    out.words([wide - 3.0, y - 2.0], "2", 2.4, 1.0);
    let mut last = [f64::NEG_INFINITY; 2];
    let mut level = [0_u8; 2];
    let mut order: Vec<&crate::bench::Mark> = d.marks.iter().collect();
    order.sort_by(|a, b| x(a).total_cmp(&x(b)));
    for m in order {
        let (side, up) = if m.end == 1 { (0, -1.0) } else { (1, 1.0) };
        let at = x(m);
        // Figures that would run into each other stand on two levels.
        level[side] = if at - last[side] < 9.0 { (level[side] + 1) % 3 } else { 0 };
        last[side] = at;
        let reach = 2.0 + 2.4 * f64::from(level[side]);
        out.line(&[[at, y], [at, y + up * reach]], 0.25);
        let text = format!("{:.0}", 1e3 * m.at_m);
        out.words([at, if up < 0.0 { y - reach - 0.4 } else { y + reach + 2.2 }], &text, 2.0, 0.5);
    }
    out.words([3.0, 25.0], "to scale; marks in mm from their own end", 2.2, 0.0);
    out
}

fn donts(page: &mut Page) {
    page.heading("Never");
    page.blocks
        .push(Block::Checks { boxes: vec![String::new()], lines: DONTS.iter().map(|d| (*d).to_owned()).collect() });
}

/// The card of one design that belongs to no plan.
#[must_use]
pub fn splice_card(d: &Design, catalogue: &str, system: System) -> Page {
    let mut page = Page {
        title: format!("Splice card: {}", d.title),
        origin: format!("spanwright {VERSION}, catalogue {catalogue}"),
        ..Page::default()
    };
    card(&mut page, &d.rope.title, d, system);
    donts(&mut page);
    page
}

/// The cards of all that a plan asks the bench for.
#[must_use]
pub fn splice_cards(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Splice cards", facts.file);
    let all = spliced_of(&facts.file.plan, &facts.file.catalogue, &facts.articles());
    if all.is_empty() {
        page.text("Nothing in this plan is made at the bench.");
    }
    for s in &all {
        match &s.design {
            Ok(d) => card(&mut page, &plain(&s.name), d, facts.system),
            Err(why) => {
                page.heading(&plain(&s.name));
                page.blocks.push(Block::Warning(format!("Not to be made as planned: {why}.")));
            }
        }
    }
    donts(&mut page);
    page
}
