//! The gear list: every item counted from the plan, by place of use and bag, and the kit that no plan shows.

mod bags;
mod counting;
mod kit;
mod picking;

use indexmap::IndexMap;
use jiff::civil::Date;

use super::Facts;
use super::page::{Block, Page};
use crate::catalogue::Class;
use crate::document::plain;
use crate::inventory::{Inventory, Wants};
use crate::review::{Finding, Gravity, RULES};
use crate::units::{Dim, show};
use counting::{GROUPS, Line, Needed, counted};
use picking::{Kind, Serves, Store, kinds};

pub use picking::plan_name;

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
    let store = inventory.map(|i| Store::of(facts.file, i, on));
    let picked = store.as_ref().map(|s| s.all(&groups));
    let ids = picked.as_ref().map(|p| ids(&groups, p));
    let mut bag = 0;
    let mut weigh = Vec::new();
    for (group, lines) in GROUPS.iter().zip(&groups) {
        let pieces: Vec<(usize, &Needed)> = lines
            .iter()
            .enumerate()
            .filter(|(_, l)| !l.fixed)
            .flat_map(|(k, l)| l.pieces.iter().map(move |p| (k, p)))
            .collect();
        // Alike is what is of one item, whatever its lengths.
        let kind = |line: usize| lines.iter().position(|l| l.item == lines[line].item).unwrap_or(line);
        let weighed: Vec<(usize, f64)> = pieces.iter().map(|p| (kind(p.0), p.1.mass_kg)).collect();
        let packed = bags::pack(&weighed, bag_kg);
        for this in 0..packed.iter().max().map_or(1, |b| b + 1) {
            let here: Vec<&(usize, &Needed)> =
                pieces.iter().zip(&packed).filter(|(_, b)| **b == this).map(|(p, _)| p).collect();
            let mass: f64 = here.iter().map(|p| p.1.mass_kg).sum();
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
                let pieces: Vec<&Needed> = here.iter().filter(|p| p.0 == k).map(|p| p.1).collect();
                if !pieces.is_empty() {
                    ticks.push(told(facts, line, &pieces, &title(&line.item), ids.as_ref()));
                }
            }
            if ticks.is_empty() {
                ticks.push("nothing".to_owned());
            }
            page.blocks.push(Block::Checks { boxes: boxes.clone(), lines: ticks });
        }
    }
    let kit = kit::kit(facts);
    let known: f64 = kit.iter().flat_map(|(_, lines)| lines).filter_map(kit::Kit::mass_kg).sum();
    page.heading(&format!("Kit that no plan shows: at least {}, and what is not weighed", kg(known)));
    weigh.push("kit weighs".to_owned());
    for (name, lines) in &kit {
        page.text(format!("{name}:"));
        let weighed =
            |k: &kit::Kit| k.mass_kg().map_or_else(|| "not weighed".to_owned(), |m| format!("about {}", kg(m)));
        let lines = lines.iter().map(|k| format!("{} × {} — {}", k.count, k.what, weighed(k))).collect();
        page.blocks.push(Block::Checks { boxes: boxes.clone(), lines });
    }
    page.heading("Have, need, borrow");
    let needed = kinds(&groups);
    let spare = |group: &str| if group == "spares" { "spare " } else { "" };
    let of_kit = kit
        .iter()
        .flat_map(|(group, lines)| lines.iter().map(move |k| (k, format!("{}{} [{}]", spare(group), k.what, k.id))));
    if let (Some(inventory), Some(picked)) = (inventory, &picked) {
        page.text(format!(
            "Against the inventory of {}. What is worn or overdue is not counted. Kit is looked for by the name in brackets; spares may be what is left over.",
            plain(&inventory.owner)
        ));
        let mut rows: Vec<Vec<String>> =
            picked.iter().map(|k| row(&title(&k.item), k.serves.len(), k.have(), &k.state())).collect();
        for (k, title) in of_kit {
            let own = inventory.count(k.id, on);
            let left = spares(facts, picked, k.id);
            let from = (own < k.count && left > 0).then(|| format!("{} left over", left.min(k.count - own)));
            rows.push(row(&title, k.count, (own + left).min(k.count), from.as_slice()));
        }
        page.table(&["item", "need>", "have>", "missing>", "from", "owner and state"], rows);
    } else {
        page.text("No inventory was given (--inventory FILE): have, owner and age are left to fill in.");
        let of_plan = needed.iter().map(|(id, pieces)| (title(id), pieces.len()));
        let all = of_plan.chain(of_kit.map(|(k, title)| (title, k.count)));
        let rows = all.map(|(t, n)| vec![t, n.to_string(), String::new(), String::new(), String::new()]).collect();
        page.table(&["item", "need>", "have>", "borrow>", "owner, in service, looked over"], rows);
    }
    page.blocks
        .push(Block::Blanks(["packed by", "counted back by"].map(str::to_owned).into_iter().chain(weigh).collect()));
    page
}

/// The inventory's name of each piece that one of its own serves for.
fn ids(groups: &[Vec<Line>; 4], picked: &[Kind]) -> IndexMap<usize, String> {
    let mut out = IndexMap::new();
    for (kind, needs) in picked.iter().zip(kinds(groups).values()) {
        for (need, serves) in needs.iter().zip(&kind.serves) {
            if let Serves::Piece(id) = serves {
                out.insert(need.n, id.clone());
            }
        }
    }
    out
}

/// Fit pieces left over that are what a spare of the kit is.
fn spares(facts: &Facts<'_>, picked: &[Kind], kit: &str) -> usize {
    let class = match kit {
        "spare-shackle" => Class::Shackle,
        "spare-quick-link" => Class::QuickLink,
        "spare-soft-shackle" => Class::SoftShackle,
        "spare-ring" => Class::Ring,
        "spare-lock" => Class::Lock,
        "spare-leash" => Class::Leash,
        _ => return 0,
    };
    let of = |k: &&Kind| facts.file.catalogue.get(&k.item).is_some_and(|i| i.class == class);
    picked.iter().filter(of).map(|k| k.surplus).sum()
}

/// One line of a bag: how many pieces of what, how long, where they belong, how heavy, which.
fn told(
    facts: &Facts<'_>,
    line: &Line,
    pieces: &[&Needed],
    title: &str,
    ids: Option<&IndexMap<usize, String>>,
) -> String {
    let length_m: f64 = pieces.iter().map(|p| p.length_m).sum();
    let mass_kg: f64 = pieces.iter().map(|p| p.mass_kg).sum();
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let long = match (line.between_m, pieces.first().map(|p| p.wants)) {
        _ if length_m <= 0.0 => String::new(),
        (Some(m), _) => format!(", {} to cut and carry for {} between its ends", l(length_m), l(m)),
        (None, Some(Wants::Within(..))) if pieces.len() == 1 => {
            let cut = pieces[0].cut_m.map_or_else(String::new, |m| format!(" (cut {})", l(m)));
            format!(", {} between bearings{cut}", l(length_m))
        }
        (None, _) => {
            let cut = pieces.first().filter(|_| pieces.len() == 1).and_then(|p| p.cut_m);
            let cut = cut.map_or_else(String::new, |m| format!(" between its knots (cut {})", l(m)));
            format!(", {}{}{cut}", l(length_m), if pieces.len() > 1 { " in all" } else { "" })
        }
    };
    let part = if line.part.is_empty() { String::new() } else { format!(" ({})", plain(&line.part)) };
    let mass = if mass_kg > 0.0 { show(Dim::Mass, mass_kg, facts.system) } else { "mass unknown".to_owned() };
    let known = pieces.iter().filter_map(|p| match (ids, &p.serial) {
        (Some(ids), serial) => {
            ids.get(&p.n).map(|id| plain(id)).or_else(|| Some(format!("{} (see below)", plain(serial.as_ref()?))))
        }
        (None, serial) => serial.as_ref().map(|s| plain(s)),
    });
    let known: Vec<String> = known.collect();
    let id = match (known.is_empty(), line.part.is_empty()) {
        (false, _) => format!(", id {}", known.join(", ")),
        (true, false) => ", id ____".to_owned(),
        (true, true) => String::new(),
    };
    format!("{} × {title}{part}{long}, {mass}{id}", pieces.len())
}

/// What an inventory says of the plan's gear on a day: pieces that the plan names and must not, what is there but must stay at
/// home, what has had its days, and what is missing.
#[must_use]
pub fn held_against(facts: &Facts<'_>, inventory: &Inventory, on: Date) -> Vec<Finding> {
    let mut out = Vec::new();
    let groups = counted(facts);
    for kind in Store::of(facts.file, inventory, on).all(&groups) {
        let title = facts.file.catalogue.get(&kind.item).map_or_else(|| kind.item.clone(), |i| i.title.clone());
        let (need, have) = (kind.serves.len(), kind.have());
        let mut say = |rule: &str, gravity: Option<Gravity>, text: String| {
            let rule = RULES.iter().copied().flatten().find(|r| r.id == rule);
            out.extend(rule.map(|r| Finding {
                rule: r.id,
                gravity: gravity.unwrap_or(r.gravity),
                at: String::new(),
                text,
                why: r.why,
                remedy: r.remedy,
                set_aside: facts.file.plan.set_aside.get(r.id).and_then(|a| a.first()).map(|a| a.reason.clone()),
            }));
        };
        for (why, spent) in &kind.named {
            say(if *spent { "past-its-days" } else { "gear-unfit" }, None, format!("{title} {why}"));
        }
        for word in &kind.words {
            say("past-its-days", Some(Gravity::Caution), format!("{title} {word}"));
        }
        if have + kind.named.len() < need {
            let why = if kind.left.is_empty() { String::new() } else { format!("; {}", kind.left.join("; ")) };
            if kind.unfit {
                say("gear-unfit", None, format!("{title}: {need} needed, {have} fit{why}"));
            } else {
                say("gear-short", None, format!("{title}: {need} needed, {have} there{why}"));
            }
        }
    }
    out
}

/// Pieces of an inventory that serve for the plan on a day, to be packed.
#[must_use]
pub fn to_pack(facts: &Facts<'_>, inventory: &Inventory, on: Date) -> Vec<String> {
    let all = Store::of(facts.file, inventory, on).all(&counted(facts));
    let ids = all.into_iter().flat_map(|k| k.serves).filter_map(|s| match s {
        Serves::Piece(id) => Some(id),
        _ => None,
    });
    ids.collect()
}

/// One row of what there is: item, need, have, missing, a blank for whose, and in what state.
fn row(title: &str, need: usize, have: usize, state: &[String]) -> Vec<String> {
    let state = state.iter().map(|s| plain(s)).collect::<Vec<_>>().join("; ");
    vec![title.to_owned(), need.to_string(), have.to_string(), (need - have).to_string(), "____".to_owned(), state]
}
