//! The gear list: every item counted from the plan, by place of use and bag, and the kit that no plan shows.

use indexmap::IndexMap;
use jiff::civil::Date;

use super::Facts;
use super::page::{Block, Page};
use crate::catalogue::inventory::{Inventory, Owned};
use crate::document::plain;
use crate::plan::{Connected, Hold, PointKind, Role, Side, Ties};
use crate::review::{Finding, RULES};
use crate::units::{Dim, Quantity, show};

/// What one person carries in a bag, kg. Common practice, no source.
const BAG_KG: f64 = 25.0;

/// Kit that no plan shows. Common practice, no source.
const KIT: &[(&str, &[&str])] = &[
    (
        "edges and handling",
        &[
            "rope and lanyard to work at the edge, one a person",
            "edge pads with ties, 4 and 4 spare",
            "bark mats, one a tree",
            "helmets, one a person",
            "gloves, one pair a person",
        ],
    ),
    (
        "getting the line across",
        &[
            "tag line: messenger, 3 mm, 6 mm, each over the span + 20 %",
            "throw weight, or what carries the messenger",
            "brake for the sending side",
            "markers and streamers",
        ],
    ),
    (
        "tensioning and release",
        &[
            "release cord, 10 m",
            "tail ties, one a lock",
            "tape, 2 rolls",
            "spanners that fit every nut and link",
            "cable ties or wire to mouse pins",
            "cord, 20 m",
        ],
    ),
    (
        "measuring",
        &[
            "laser or tape",
            "inclinometer",
            "tension meter, or watch for the pulse",
            "two radios, charged, a channel agreed",
        ],
    ),
    (
        "rescue and first aid",
        &[
            "line roller with lanyard",
            "short pulley set",
            "rope as long as the span + 20 %, or the height + 20 %",
            "spare leash and second harness",
            "knife or shears, sheathed",
            "first-aid kit and blanket",
            "phone, numbers, coordinates of the landing place",
        ],
    ),
    ("paper", &["permit", "this list, the rig card, the plan", "makers' instructions of locks and grips"]),
];

/// Spares, over what the plan counts. Common practice, no source.
const SPARES: &[&str] = &["2 shackles", "2 quick links", "2 soft shackles", "1 leash", "2 rings", "1 webbing lock"];

/// One kind of gear at one place of use.
#[derive(Debug, Clone, Default)]
struct Line {
    count: usize,
    /// Unstretched, of all, m; zero for what is counted by the piece.
    length_m: f64,
    mass_kg: f64,
    /// Stays in the rock.
    fixed: bool,
}

/// Groups: side A, side B, line, person.
const GROUPS: [&str; 4] = ["side A", "side B", "line", "leash and person"];

/// Everything the plan needs, by group and item.
fn counted(facts: &Facts<'_>) -> [IndexMap<String, Line>; 4] {
    let (plan, catalogue) = (&facts.file.plan, &facts.file.catalogue);
    let mut out: [IndexMap<String, Line>; 4] = Default::default();
    let mut put = |group: usize, item: &str, length_m: Option<f64>, times: usize, fixed: bool| {
        let line = out[group].entry(item.to_owned()).or_default();
        let i = catalogue.get(item);
        line.count += times;
        line.fixed |= fixed;
        let cut = i.is_some_and(|i| i.class.is_cut() || i.mass_per_length.is_some());
        if let Some(m) = length_m.filter(|_| cut) {
            line.length_m += m;
        }
        let by_length = i.and_then(|i| i.mass_per_length).map_or(0.0, Quantity::si) * length_m.unwrap_or(0.0);
        line.mass_kg += times as f64 * i.and_then(|i| i.mass).map_or(by_length, Quantity::si);
    };
    let side_of = |side: Side| usize::from(side == Side::B);
    for p in plan.points.values() {
        let group = side_of(p.side);
        if let Some(h) = &p.hardware {
            put(group, h, None, 1, false);
        }
        if let PointKind::Fixed { by: Hold::Bolt { item, .. }, .. } = &p.kind {
            put(group, item, None, 1, true);
        }
    }
    let articles = facts.articles();
    let mut seen: Vec<&str> = Vec::new();
    for (r, run) in plan.runs.values().enumerate() {
        let group = match run.role {
            Role::Main | Role::Backup { .. } => 2,
            Role::Leash => 3,
            Role::Leg | Role::Tensioning => {
                run.path.first().and_then(|p| plan.points.get(p)).map_or(2, |p| side_of(p.side))
            }
        };
        for (k, part) in run.parts.iter().enumerate() {
            if let Some(piece) = part.piece.as_deref() {
                if seen.contains(&piece) {
                    continue;
                }
                seen.push(piece);
            }
            let lengths: Vec<f64> = articles.iter().filter(|a| a.run == r && a.part == k).map(|a| a.length_m).collect();
            let own = if let crate::plan::PartLength::Is(l) = part.length { Some(l.si()) } else { None };
            let length_m = if lengths.is_empty() { own } else { Some(lengths.iter().sum()) };
            put(group, &part.item, length_m, lengths.len().max(1), false);
        }
        if let Role::Backup { connected, .. } = &run.role {
            let ties = match connected {
                Connected::AtEnds => None,
                Connected::EveryJoint(t) | Connected::Joints(_, t) => Some(t),
            };
            let joints = facts.solver.rig.line.joints.len();
            match ties {
                Some(Ties::OnePiece(i)) => put(2, i, None, joints, false),
                Some(Ties::Apart { main, backup, together }) => {
                    // What ties main to main is a part of the main run already, if it is listed there.
                    let listed = plan.main().is_some_and(|(_, m)| m.parts.iter().any(|p| p.item == *main));
                    for i in [main, backup, together].into_iter().skip(usize::from(listed)) {
                        put(2, i, None, joints, false);
                    }
                }
                None => {}
            }
        }
    }
    if let Some(t) = &plan.tensioning {
        let group = side_of(t.side);
        let sheaves = facts.review.pulling.as_ref().map_or(0, |p| p.sheaves_n.iter().map(Vec::len).sum());
        for n in 0..sheaves {
            put(group, t.sheave(n), None, 1, false);
        }
        put(group, &t.rope, facts.review.pulling.as_ref().map(|p| p.rope_m), 1, false);
        put(group, &t.grip, None, 1, false);
        if let Some(c) = &t.capture {
            put(group, c, None, 1, false);
        }
    }
    out
}

/// The gear list of a plan, against an inventory on a day.
#[must_use]
pub fn gear_list(facts: &Facts<'_>, inventory: Option<&Inventory>, on: Date) -> Page {
    let mut page = Page::of("Gear list", facts.file);
    let catalogue = &facts.file.catalogue;
    let boxes = ["packed", "rigged", "back home"].map(str::to_owned).to_vec();
    let (l, kg) = (|m: f64| show(Dim::Length, m, facts.system), |m: f64| show(Dim::Mass, m, facts.system));
    page.subtitle.push(format!("As of {on}. Counted from the plan; boxes: packed, rigged, back home."));
    let groups = counted(facts);
    let mut need: IndexMap<&str, usize> = IndexMap::new();
    for (group, lines) in GROUPS.iter().zip(&groups) {
        let mass: f64 = lines.values().filter(|l| !l.fixed).map(|l| l.mass_kg).sum();
        page.heading(&format!("{group}: {}", kg(mass)));
        if mass > BAG_KG {
            let bags = (mass / BAG_KG).ceil();
            page.blocks.push(Block::Warning(format!(
                "{} are more than the {} one person carries: {bags:.0} bags of {}.",
                kg(mass),
                kg(BAG_KG),
                kg(mass / bags)
            )));
        }
        let mut ticks = Vec::new();
        for (id, line) in lines {
            let title = catalogue.get(id).map_or_else(|| id.clone(), |i| plain(&i.title));
            let long = if line.length_m > 0.0 { format!(", {} in all", l(line.length_m)) } else { String::new() };
            let unweighed =
                if line.mass_kg <= 0.0 { ", mass unknown".to_owned() } else { format!(", {}", kg(line.mass_kg)) };
            let fixed = if line.fixed { " — in the rock: check, do not pack".to_owned() } else { unweighed };
            ticks.push(format!("{} × {title}{long}{fixed}", line.count));
            if line.fixed {
                continue;
            }
            *need.entry(id.as_str()).or_insert(0) += line.count;
        }
        if ticks.is_empty() {
            ticks.push("nothing".to_owned());
        }
        page.blocks.push(Block::Checks { boxes: boxes.clone(), lines: ticks });
    }
    page.heading("Have, need, borrow");
    let title = |id: &str| catalogue.get(id).map_or_else(|| id.to_owned(), |i| plain(&i.title));
    let rows: Vec<Vec<String>> = need.iter().map(|(id, n)| have(id, &title(id), *n, inventory, on)).collect();
    if let Some(inventory) = inventory {
        page.text(format!(
            "Against the inventory of {}. What is worn or overdue is not counted.",
            plain(&inventory.owner)
        ));
        page.table(&["item", "need>", "have>", "missing>", "owner and state"], rows);
    } else {
        page.text("No inventory was given (--inventory FILE): have, owner and age are left to fill in.");
        let rows = rows
            .into_iter()
            .map(|r| vec![r[0].clone(), r[1].clone(), String::new(), String::new(), String::new()])
            .collect();
        page.table(&["item", "need>", "have>", "borrow>", "owner, in service, looked over"], rows);
    }
    page.heading("Spares");
    page.blocks.push(Block::Checks { boxes: boxes.clone(), lines: SPARES.iter().map(|s| (*s).to_owned()).collect() });
    for (name, lines) in KIT {
        page.heading(name);
        page.blocks
            .push(Block::Checks { boxes: boxes.clone(), lines: lines.iter().map(|s| (*s).to_owned()).collect() });
    }
    page.blocks.push(Block::Blanks(
        ["packed by", "counted back by", "bag 1 weighs", "bag 2 weighs"].map(str::to_owned).to_vec(),
    ));
    page
}

/// What an inventory says of the plan's gear on a day: what is there but must stay at home, and what is missing.
#[must_use]
pub fn held_against(facts: &Facts<'_>, inventory: &Inventory, on: Date) -> Vec<Finding> {
    let mut out = Vec::new();
    let mut need: IndexMap<String, usize> = IndexMap::new();
    for lines in counted(facts) {
        for (id, line) in lines.into_iter().filter(|l| !l.1.fixed) {
            *need.entry(id).or_insert(0) += line.count;
        }
    }
    for (id, need) in need {
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
                set_aside: facts.file.plan.set_aside.get(r.id).cloned(),
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
