//! The gear list: every item counted from the plan, by place of use and bag, and the kit that no plan shows.

mod bags;
mod counting;
mod kit;

use jiff::civil::Date;

use super::Facts;
use super::page::{Block, Page};
use crate::catalogue::inventory::{Inventory, Owned};
use crate::document::plain;
use crate::review::{Finding, RULES};
use crate::units::{Dim, show};
use counting::{GROUPS, Line, counted, needed};

/// The most that a bag weighs when nothing else is said, kg. Common practice, no source: 20 to 25 kg, the lower.
pub const BAG_KG: f64 = 20.0;

/// The gear list of a plan, against an inventory on a day, in bags of at most so many kilograms.
#[must_use]
pub fn gear_list(facts: &Facts<'_>, inventory: Option<&Inventory>, bag_kg: f64, on: Date) -> Page {
    let mut page = Page::of("Gear list", facts.file);
    let boxes = ["packed", "rigged", "back home"].map(str::to_owned).to_vec();
    let kg = |m: f64| show(Dim::Mass, m, facts.system);
    page.subtitle.push(format!("As of {on}. Counted from the plan; boxes: packed, rigged, back home."));
    let groups = counted(facts);
    let title = |id: &str| facts.file.catalogue.get(id).map_or_else(|| id.to_owned(), |i| plain(&i.title));
    let mut bag = 0;
    let mut weigh = Vec::new();
    for (group, lines) in GROUPS.iter().zip(&groups) {
        let pieces: Vec<(usize, [f64; 2])> = lines
            .iter()
            .enumerate()
            .filter(|(_, l)| !l.fixed)
            .flat_map(|(k, l)| l.pieces.iter().map(move |p| (k, *p)))
            .collect();
        let packed = bags::pack(&pieces.iter().map(|p| p.1[1]).collect::<Vec<_>>(), bag_kg);
        for this in 0..packed.iter().max().map_or(1, |b| b + 1) {
            let here: Vec<&(usize, [f64; 2])> =
                pieces.iter().zip(&packed).filter(|(_, b)| **b == this).map(|(p, _)| p).collect();
            let mass: f64 = here.iter().map(|p| p.1[1]).sum();
            bag += 1;
            weigh.push(format!("bag {bag} weighs"));
            page.heading(&format!("Bag {bag}, {group}: {} of at most {}", kg(mass), kg(bag_kg)));
            if mass > bag_kg {
                page.blocks.push(Block::Warning(format!(
                    "One piece of {} is more than a bag of {}: two carry it, or it comes in shorter lengths.",
                    kg(mass),
                    kg(bag_kg)
                )));
            }
            let mut ticks: Vec<String> = Vec::new();
            for (k, line) in lines.iter().enumerate() {
                if line.fixed && this == 0 {
                    let n = line.pieces.len();
                    ticks.push(format!("{n} × {} — in the rock: check, do not pack", title(&line.item)));
                }
                let pieces: Vec<[f64; 2]> = here.iter().filter(|p| p.0 == k).map(|p| p.1).collect();
                if !pieces.is_empty() {
                    ticks.push(told(facts, line, &pieces, &title(&line.item)));
                }
            }
            if ticks.is_empty() {
                ticks.push("nothing".to_owned());
            }
            page.blocks.push(Block::Checks { boxes: boxes.clone(), lines: ticks });
        }
    }
    let kit = kit::kit(facts);
    page.heading(&format!("Bag {}: kit that no plan shows, not weighed here", bag + 1));
    weigh.push(format!("bag {} weighs", bag + 1));
    for (name, lines) in &kit {
        page.text(format!("{name}:"));
        let lines = lines.iter().map(|k| format!("{} × {}", k.count, k.what)).collect();
        page.blocks.push(Block::Checks { boxes: boxes.clone(), lines });
    }
    page.heading("Have, need, borrow");
    let need = needed(&groups);
    let of_plan = need.iter().map(|(id, n)| (id.as_str(), title(id), *n));
    let of_kit = kit.iter().flat_map(|(group, lines)| {
        let spare = if *group == "spares" { "spare " } else { "" };
        lines.iter().map(move |k| (k.id, format!("{spare}{} [{}]", k.what, k.id), k.count))
    });
    let rows = of_plan.chain(of_kit).map(|(id, title, n)| have(id, &title, n, inventory, on));
    if let Some(inventory) = inventory {
        page.text(format!(
            "Against the inventory of {}. What is worn or overdue is not counted. Kit is looked for by the name in brackets.",
            plain(&inventory.owner)
        ));
        let rows = rows.map(|r| [&r[..4], &["____".to_owned(), r[4].clone()]].concat()).collect();
        page.table(&["item", "need>", "have>", "missing>", "from", "owner and state"], rows);
    } else {
        page.text("No inventory was given (--inventory FILE): have, owner and age are left to fill in.");
        let rows =
            rows.map(|r| vec![r[0].clone(), r[1].clone(), String::new(), String::new(), String::new()]).collect();
        page.table(&["item", "need>", "have>", "borrow>", "owner, in service, looked over"], rows);
    }
    page.blocks
        .push(Block::Blanks(["packed by", "counted back by"].map(str::to_owned).into_iter().chain(weigh).collect()));
    page
}

/// One line of a bag: how many pieces of what, how long, where they belong, how heavy.
fn told(facts: &Facts<'_>, line: &Line, pieces: &[[f64; 2]], title: &str) -> String {
    let (length_m, mass_kg) = pieces.iter().fold((0.0, 0.0), |(l, m), p| (l + p[0], m + p[1]));
    let long = if length_m > 0.0 {
        let all = if pieces.len() > 1 { " in all" } else { "" };
        let whole = show(Dim::Length, length_m, facts.system);
        match line.between_m {
            Some(m) => {
                format!(", {whole} to cut and carry for {} between its ends", show(Dim::Length, m, facts.system))
            }
            None => format!(", {whole}{all}"),
        }
    } else {
        String::new()
    };
    let part = if line.part.is_empty() { String::new() } else { format!(" ({})", plain(&line.part)) };
    let mass = if mass_kg > 0.0 { show(Dim::Mass, mass_kg, facts.system) } else { "mass unknown".to_owned() };
    format!("{} × {title}{part}{long}, {mass}", pieces.len())
}

/// What an inventory says of the plan's gear on a day: what is there but must stay at home, and what is missing.
#[must_use]
pub fn held_against(facts: &Facts<'_>, inventory: &Inventory, on: Date) -> Vec<Finding> {
    let mut out = Vec::new();
    for (id, need) in needed(&counted(facts)) {
        let title = facts.file.catalogue.get(&id).map_or_else(|| id.clone(), |i| i.title.clone());
        let owned: Vec<&Owned> = inventory.items.iter().filter(|o| o.item == id).collect();
        let fit: usize = owned.iter().filter(|o| o.unfit(on).is_none()).map(|o| o.count).sum();
        let home: Vec<String> = owned.iter().filter_map(|o| Some(format!("{} × {}", o.count, o.unfit(on)?))).collect();
        let mut say = |rule: &str, text: String| {
            let rule = RULES.iter().copied().flatten().find(|r| r.id == rule);
            out.extend(rule.map(|r| Finding {
                rule: r.id,
                gravity: r.gravity,
                at: String::new(),
                text,
                why: r.why,
                remedy: r.remedy,
                set_aside: facts.file.plan.set_aside.get(r.id).and_then(|a| a.first()).map(|a| a.reason.clone()),
            }));
        };
        match (fit < need, home.is_empty()) {
            (true, false) => {
                say("gear-unfit", format!("{title}: {need} needed, {fit} fit; stays at home: {}", home.join("; ")));
            }
            (true, true) => say("gear-short", format!("{title}: {need} needed, {fit} there")),
            _ => {}
        }
    }
    out
}

/// One row of what there is: item, need, have, missing, whose and in what state.
fn have(id: &str, title: &str, need: usize, inventory: Option<&Inventory>, on: Date) -> Vec<String> {
    let owned: Vec<&Owned> = inventory.into_iter().flat_map(|i| &i.items).filter(|o| o.item == id).collect();
    let fit: usize = owned.iter().filter(|o| o.unfit(on).is_none()).map(|o| o.count).sum();
    let have = fit.min(need);
    let state: Vec<String> = owned
        .iter()
        .map(|o| {
            let owner = if o.owner.is_empty() { inventory.map_or("", |i| i.owner.as_str()) } else { &o.owner };
            let label = if o.label.is_empty() { String::new() } else { format!(", label {}", plain(&o.label)) };
            match o.unfit(on) {
                Some(why) => format!("{} × {}{label}: stays at home, {why}", o.count, plain(owner)),
                None => format!("{} × {}{label}", o.count, plain(owner)),
            }
        })
        .collect();
    vec![title.to_owned(), need.to_string(), have.to_string(), (need - have).to_string(), state.join("; ")]
}
