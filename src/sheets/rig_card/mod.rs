//! The rig card: what is needed in the hand on the day, on the two sides of one sheet.

mod day;
mod pieces;
mod sketch;
mod tension;
mod tried;

use super::Facts;
use super::page::{Block, Page, Setting};
use crate::document::plain;
use crate::plan::{Declared, EndKind, PartLength, Plan, PlanFile, Side, Target};
use crate::review::{AtEdge, Gravity, On, RULES, SideAt, Standing, Verdict};
use crate::sheets::side_said;
use crate::units::{Dim, Quantity, System, show};

pub(super) use tension::release_cord_m;
pub use tried::tried;

/// The line over the gap and down, in one paragraph.
fn over(page: &mut Page, facts: &Facts<'_>) {
    let Some(over) = &facts.review.over else { return };
    let (f, l) = (|n: f64| show(Dim::Force, n, facts.system), |m: f64| show(Dim::Length, m, facts.system));
    let stages = over.stages.iter().map(|s| {
        let hands = s.hardest().map_or(0.0, crate::review::Way::most_n);
        format!("{} {} at the hands", plain(&s.name), f(hands))
    });
    page.text(format!(
        "Over: {}. Brake {}. Let out {}, pulling line {}. Down: {} of cord, haul {}.",
        stages.collect::<Vec<_>>().join(", "),
        f(over.brake_n),
        l(over.let_out_m),
        l(over.pulling_m),
        l(over.release_m[0]),
        f(over.down_n[0])
    ));
}

/// What a rescue takes, in one paragraph: by whom, from where it is slow, how deep it is.
fn rescue(page: &mut Page, facts: &Facts<'_>) {
    let (Some(all), Some(plan)) = (&facts.review.rescued, &facts.file.plan.rescue) else { return };
    let (f, l) = (|n: f64| show(Dim::Force, n, facts.system), |m: f64| show(Dim::Length, m, facts.system));
    let ropes: Vec<String> = plan.ropes.iter().map(|t| format!("{} at {:?}", l(t.reach_m()), t.side)).collect();
    let soonest = |on| all.on(on).filter_map(|p| p.soonest(all.hands)).max_by(|a, b| a.total_s.total_cmp(&b.total_s));
    let most = |on| all.on(on).flat_map(|p| &p.towed).map(|t| t.hands_n).fold(0.0, f64::max);
    let mut said = vec![format!(
        "Ropes reach {}; {} min at most; at the hands {}, on the backup {}.",
        ropes.join(", "),
        soonest(On::Main).map_or("–".to_owned(), |t| format!("{:.0}", t.total_s / 60.0)),
        f(most(On::Main)),
        f(most(On::Backup))
    )];
    let deep = all.places.iter().filter(|p| p.landing).filter_map(|p| p.lower_m).fold(0.0, f64::max);
    if deep > 0.0 {
        let has = plan.lower.map_or("none in the plan".to_owned(), |m| l(m.si()));
        said.push(format!("To lower: {} of {has}.", l(deep)));
    }
    page.text(said.join(" "));
}

/// Who hangs on what at the edges, in one sentence; steps at which it is something else after it.
fn edge(facts: &Facts<'_>) -> String {
    let Some(edges) = &facts.review.edges else { return String::new() };
    let named = |side: Side| {
        let ties = edges.ties.iter().filter(|t| t.side == side).map(|t| plain(&t.name));
        ties.collect::<Vec<_>>().join(", ")
    };
    let all = [Side::A, Side::B].map(named);
    let differs = |s: &&AtEdge| {
        let of = |x: &SideAt| x.ties.iter().map(|t| plain(t)).collect::<Vec<_>>().join(", ");
        s.sides.iter().zip(&all).any(|(x, all)| of(x) != *all)
    };
    let others = edges.steps.iter().filter(differs).map(|s| {
        let [a, b] = s.sides.each_ref().map(side_said);
        format!(" At {}: A {a}, B {b}.", s.step.words())
    });
    let [a, b] = all.each_ref().map(|a| if a.is_empty() { "NO TIE" } else { a });
    format!(" A: {a}. B: {b}.{}", others.collect::<String>())
}

/// How high an anchor is drawn, mm, largest first.
const ANCHORS_MM: [f64; 8] = [24.0, 22.0, 20.0, 18.0, 16.0, 14.0, 12.0, 9.0];

/// How many stops the card names.
const STOPS: usize = 4;

/// The rig card of a plan: one side for hands in the wind, the other for questions.
#[must_use]
pub fn rig_card(facts: &Facts<'_>) -> Page {
    // The side for the wind is one page: the anchors are drawn as large as that leaves room for.
    let mut pages = ANCHORS_MM.iter().map(|high| card_of(facts, *high));
    pages.find(|p| p.fits(0)).unwrap_or_else(|| card_of(facts, ANCHORS_MM[ANCHORS_MM.len() - 1]))
}

fn card_of(facts: &Facts<'_>, high: f64) -> Page {
    let (file, review, system) = (facts.file, facts.review, facts.system);
    let plan = &file.plan;
    let l = |m: f64| show(Dim::Length, m, system);
    let mut page = Page { setting: Setting::TwoSides, ..Page::of("Rig card", file) };
    let labels = &plan.site.labels;
    page.subtitle.push(format!(
        "Span {}, B {}. A: {}. B: {}. Verdict of the plan: {}.",
        l(plan.site.span.si()),
        match plan.site.height_difference.si() {
            d if d < 0.0 => format!("{} below A", l(-d)),
            d => format!("{} above A", l(d)),
        },
        said(&labels[0]),
        said(&labels[1]),
        review.verdict.word()
    ));
    warnings(&mut page, facts);
    tension::target(&mut page, facts);
    page.blocks.push(Block::Columns(vec![1.0, 1.0]));
    for side in [Side::A, Side::B] {
        page.blocks.push(Block::Drawing(sketch::anchor(facts, side, high), Vec::new()));
    }
    page.text("Calls: “pull” · “hold” · “stop” · “give” · “clear”. “Tied in?” is asked before every start and after every untying, and answered by looking.");
    page.heading("Stop when");
    page.text(format!(
        "wind over {}; thunder; an anchor has moved; a lock has slipped over {}; a broken yarn on line, leg or leash; a pad out of place; nobody at the other side.",
        show(Dim::Velocity, plan.site.air.wind.si(), system),
        l(0.02)
    ));
    page.heading("Order of work");
    page.blocks.push(Block::Steps(order(facts)));
    page.heading("Rescue");
    page.blocks.push(Block::Steps(
        [
            "Call: legs moving, hands on the leash. One leads, one keeps the time: reached within 10 min. No answer: down, flat, first aid.",
            "Help them up; else out on an own leash: lift, clip, unload theirs.",
            "Tow both to the nearer side, or lower; ease the line by the soft release only.",
            "Lay them down; call for help early: where, how many.",
        ]
        .map(str::to_owned)
        .to_vec(),
    ));
    rescue(&mut page, facts);
    if file.plan.rescue.is_none() || file.plan.declared.contains_key("rescue kit") {
        page.text(declared(file, "rescue kit", "Rescue kit"));
    }
    page.blocks.push(Block::Columns(vec![1.0]));
    blanks(&mut page, &["emergency no.", "coordinates", "checked by"]);

    page.blocks.push(Block::OtherSide);
    stops(&mut page, facts);
    let pieces = pieces::pieces(facts);
    page.blocks.push(Block::Columns(vec![1.0, 2.0]));
    page.blocks.push(Block::Drawing(sketch::elevation(facts, &pieces), Vec::new()));
    day::clearance(&mut page, facts);
    tension::more(&mut page, facts);
    tension::pull(&mut page, facts);
    over(&mut page, facts);
    page.blocks.push(Block::NextColumn);
    pieces::table(&mut page, facts, &pieces);
    day::differs(&mut page, facts);
    page.blocks.push(Block::Columns(vec![1.0, 1.0, 1.0]));
    page.heading("Measured on the day");
    blanks(
        &mut page,
        &[
            // As page 3 and a day of the plan have them.
            "span",
            "height",
            "temperature",
            "wind, from",
            "tension",
            "pulse",
            "sag, empty",
            "sag, walker",
            "after 1 h",
            "through lock",
            "leg reads",
            "tail at A",
            "tail at B",
            "hung",
            "falls",
            "leads at A",
            "leads at B",
        ],
    );
    page.heading("Partner check, at every start");
    page.blocks.push(Block::Checks {
        boxes: vec![String::new()],
        lines: [
            "harness worn above, buckles doubled back",
            "leash tied in: shown, looked at – “tied in?”",
            "both rings round main and backup",
            "lock tails as marked, tied off",
            "gates closed, pins moused; pads in place",
            "no-fall zone known",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    page.heading("Assumed");
    page.text(assumed(facts));
    page
}

/// What does not suffice, in short: the plan's own review, and who is there to pull.
fn warnings(page: &mut Page, facts: &Facts<'_>) {
    let review = facts.review;
    if !review.passes() {
        let row = review.limiting.as_ref().and_then(|x| review.rows.get(x.row));
        let worst = row.filter(|r| r.verdict != Verdict::Meets).map_or_else(String::new, |r| {
            format!(" {} is at {} of {}.", plain(&r.place.to_string()), r.found(facts.system), r.asked(facts.system))
        });
        let stops = match review.findings.iter().filter(|f| f.gravity == Gravity::Stop).count() {
            0 => String::new(),
            1 => " 1 finding says stop.".to_owned(),
            n => format!(" {n} findings say stop."),
        };
        let told = format!("THIS PLAN DOES NOT PASS ITS OWN REVIEW.{worst}{stops} Why: with the figures.");
        page.blocks.push(Block::Warning(told));
    }
    if let (Some(t), Some(p)) = (&facts.file.plan.tensioning, &review.pulling) {
        let needed = p.people(t.each.si());
        if needed > t.people {
            page.blocks.push(Block::Warning(format!("{needed} people are needed to pull, {} are planned.", t.people)));
        }
    }
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let mut short = Vec::new();
    if let Some(all) = &review.rescued {
        let not: Vec<f64> = all.on(On::Main).filter(|p| all.standing(p) == Standing::Not).map(|p| p.x_m).collect();
        if let (Some(from), Some(to)) = (not.first(), not.last()) {
            short.push(format!("A rescue does not reach in time: {} to {} from A.", l(*from), l(*to)));
        }
    }
    let lips = review.edges.iter().flat_map(|e| &e.steps).flat_map(|s| &s.sides);
    if lips.into_iter().any(|x| x.held < x.people) {
        short.push("More people at a lip than ties hold: see the sheet of the edges.".to_owned());
    }
    if !short.is_empty() {
        page.blocks.push(Block::Warning(short.join(" ")));
    }
}

/// Why the plan does not pass its own review.
fn stops(page: &mut Page, facts: &Facts<'_>) {
    let review = facts.review;
    if review.passes() {
        return;
    }
    let why = review.limiting.as_ref().map_or_else(|| "see the review".to_owned(), |x| plain(&x.sentence));
    // What kills stands before what is a little short.
    let mut first = super::text::stops(review);
    let more = first.len().saturating_sub(STOPS);
    first.truncate(STOPS);
    if more > 0 {
        first.push(format!("{more} more say stop: see the review"));
    }
    first.push(why);
    page.blocks.push(Block::Warning(format!("This plan does not pass its own review: {}.", first.join("; "))));
}

fn blanks(page: &mut Page, names: &[&str]) {
    page.blocks.push(Block::Blanks(names.iter().map(|n| (*n).to_owned()).collect()));
}

fn said(text: &str) -> String {
    if text.is_empty() { "–".to_owned() } else { plain(text) }
}

fn declared(file: &PlanFile, key: &str, name: &str) -> String {
    match file.plan.declared.get(key) {
        Some(Declared::Yes(words)) => format!("{name}: {}.", said(words)),
        Some(Declared::No(words)) => format!("{name}: NO – {}.", said(words)),
        Some(Declared::Unknown) | None => format!("{name}: nobody has said."),
    }
}

/// The unit of forces, for the head of a column, and forces without it.
fn without_unit(system: System) -> (String, impl Fn(f64) -> String) {
    let unit = show(Dim::Force, 1000.0, system).split_whitespace().last().unwrap_or("").to_owned();
    let head = unit.clone();
    (head, move |n| show(Dim::Force, n, system).trim_end_matches(&unit).trim().to_owned())
}

/// Names in one: those that differ in their last word alone share the rest.
fn together(names: &[String]) -> String {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for name in names {
        let (first, last) = name.rsplit_once(' ').unwrap_or((name, ""));
        match groups.iter_mut().find(|g| g.0 == first) {
            Some(g) => g.1.push(last),
            None => groups.push((first, vec![last])),
        }
    }
    let words: Vec<String> = groups.iter().map(|(first, last)| format!("{first} {}", last.join(", "))).collect();
    words.iter().map(|w| w.trim_end()).collect::<Vec<_>>().join(if groups.len() < names.len() { "; " } else { ", " })
}

/// What comes before anything is led over a frame.
fn framed(facts: &Facts<'_>) -> &'static str {
    if facts.solver.rig.frames.is_empty() { "" } else { "frame up, feet held, every guy taut; " }
}

fn order(facts: &Facts<'_>) -> Vec<String> {
    let plan = &facts.file.plan;
    let anchors = |side: Side| {
        let on = plan.points.iter().filter(|(_, p)| p.side == side && p.hold().is_some());
        together(&on.map(|(name, _)| plain(name)).collect::<Vec<_>>())
    };
    let aimed = match plan.main().and_then(|(_, m)| {
        m.parts
            .iter()
            .find_map(|p| if let PartLength::Solve(Target::Standing(_, s)) = p.length { Some(s) } else { None })
    }) {
        Some(Side::B) => "B",
        _ => "A",
    };
    // The side that is pulled is the pulley system's; without one, the side that the target names.
    let side = plan.tensioning.as_ref().map_or(aimed, |t| if t.side == Side::A { "A" } else { "B" });
    vec![
        format!("Tie in at the edge before unpacking.{} Area below closed, spotter, notice given.", edge(facts)),
        format!("Every anchor as in the plan? Tap, turn, pull; what differs, stops. A: {}. B: {}.", anchors(Side::A), anchors(Side::B)),
        format!("Main and backup anchors, each on its own pieces; {}pads tied in under all that can touch.", framed(facts)),
        "Messenger across, then each stronger line; brake on the sending side.".to_owned(),
        "Rings round main and backup – “rings on?” – then pull the line over, taped to its backup.".to_owned(),
        format!("Main into its locks, tails flat{}; backup fixed at both sides.{}", tails(facts), joined(facts.solver.rig.line.between_lengths().len())),
        "HOLD POINT, before tension: everything closed, wrenched, moused, backup fixed at both sides. Both sides say so.".to_owned(),
        format!("Side {side}: hand-tight; {}; nobody in line with it or in the bight; pull to the target, read it{}.", pulleys(plan), read_at(facts)),
        "Into the lock; mark the tail, tie it off; ease the pulleys, take them off or tie their rope off.".to_owned(),
        "Pads, pins, tails: look under load. First person: sit, slide out, small fall beyond the no-fall zone; look again.".to_owned(),
        "After one hour: read, pull up, mark anew.".to_owned(),
        "Home: walkers off, release cord on, ease to hand-tight, brake on the sending side, tag line stays on; last person tied in; count the gear.".to_owned(),
    ]
}

/// What the tails of the main line's locks are left at.
/// Where the target is read, where that is not where the line is pulled.
fn read_at(facts: &Facts<'_>) -> String {
    let plan = &facts.file.plan;
    let [a, b] = facts.review.line.standing_n;
    let target = plan.main().and_then(|(_, r)| {
        r.parts.iter().find_map(|p| match p.length {
            PartLength::Solve(Target::Standing(_, side)) => Some(side),
            _ => None,
        })
    });
    let pulled = plan.tensioning.as_ref().map(|t| t.side);
    match (target, pulled) {
        (Some(target), Some(pulled)) if target != pulled => {
            let n = if pulled == Side::A { a } else { b };
            format!(" (asked for at {target:?}; at {pulled:?} it is {})", show(Dim::Force, n, facts.system))
        }
        _ => String::new(),
    }
}

fn tails(facts: &Facts<'_>) -> String {
    let main = facts.file.plan.main().into_iter().flat_map(|(_, r)| &r.parts);
    let ends = main.flat_map(|p| p.ends.iter().flatten());
    let mut left: Vec<f64> = ends
        .filter_map(|e| if let EndKind::Locked { tail: Some(t), .. } = &e.kind { Some(t.si()) } else { None })
        .collect();
    left.sort_by(f64::total_cmp);
    left.dedup();
    let said: Vec<String> = left.iter().map(|m| show(Dim::Length, *m, facts.system)).collect();
    if said.is_empty() { String::new() } else { format!(" ({} left out)", said.join(" and ")) }
}

/// What to look for where the main line is joined to its backup.
fn joined(joints: usize) -> String {
    match joints {
        0 => String::new(),
        1 => " The joint closed before it goes over.".to_owned(),
        n => format!(" All {n} joints closed and counted before they go over."),
    }
}

/// What pulls the line, and where it hangs.
fn pulleys(plan: &Plan) -> String {
    plan.tensioning.as_ref().map_or_else(
        || "pulleys on".to_owned(),
        |t| {
            let at = t.at.as_ref().map_or_else(|| "the line's end".to_owned(), |p| plain(p));
            format!("{} on, from {at} to the grip", plain(&t.reeving))
        },
    )
}

fn assumed(facts: &Facts<'_>) -> String {
    let plan = &facts.file.plan;
    let mut typical: Vec<String> = Vec::new();
    let used = plan
        .runs
        .values()
        .flat_map(|r| &r.parts)
        .map(|p| &p.item)
        .chain(plan.points.values().filter_map(|p| p.hardware.as_ref()));
    for id in used {
        if let Some(i) = facts.file.catalogue.get(id)
            && matches!(i.rating, Some(crate::catalogue::Rating::Typical(_)))
            && !typical.contains(&i.title)
        {
            typical.push(i.title.clone());
        }
    }
    let walkers: Vec<String> = plan.people.walkers.iter().map(|m| show(Dim::Mass, m.si(), facts.system)).collect();
    format!(
        "Walkers {}; rigged at {}; measured: {}. Typical figures, not labels: {}. Catalogue deratings at their low end. Words that nobody has given: {}.",
        walkers.join(", "),
        show(Dim::Temperature, plan.site.air.rigged_at.si(), facts.system),
        said(&plan.site.measured),
        if typical.is_empty() { "none".to_owned() } else { typical.join(", ") },
        {
            // What is declared unknown, and what a rule asks for and nobody declared.
            let mut open: Vec<&str> =
                plan.declared.iter().filter(|(_, d)| **d == Declared::Unknown).map(|(k, _)| k.as_str()).collect();
            for rule in RULES.iter().copied().flatten() {
                let asked = facts.review.findings.iter().any(|f| f.rule == rule.id);
                if let Some(key) = rule.key.filter(|k| asked && !plan.declared.contains_key(*k)) {
                    open.push(key);
                }
            }
            if open.is_empty() { "none".to_owned() } else { open.join(", ") }
        }
    )
}
