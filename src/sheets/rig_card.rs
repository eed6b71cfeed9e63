//! The rig card: what is needed in the hand on the day.

use super::page::{Block, Drawing, Page};
use super::{Facts, incidents};
use crate::document::plain;
use crate::plan::{Declared, EndKind, Hold, PartLength, Plan, PlanFile, PointKind, Role, Side, Target};
use crate::review::{Case, Class, Place, RULES, Row, Solved, comes_through, factor_text, hung_per_m, in_view};
use crate::units::{Dim, Quantity, show};

/// Half the band of standing tension that is still called reached, N. Common practice, no source.
const BAND_N: f64 = 200.0;

/// How many stops the card names.
const STOPS: usize = 4;

/// Time that a pulse takes along a line and back, s: twice the length over the wave's speed, the root of tension over
/// mass per metre.
#[must_use]
pub fn pulse_s(length_m: f64, mass_per_m: f64, tension_n: f64) -> f64 {
    2.0 * length_m * (mass_per_m / tension_n).sqrt()
}

/// The rig card of a plan.
#[must_use]
pub fn rig_card(facts: &Facts<'_>) -> Page {
    let (file, review, system) = (facts.file, facts.review, facts.system);
    let plan = &file.plan;
    let l = |m: f64| show(Dim::Length, m, system);
    let mut page = Page::of("Rig card", file);
    page.one_sheet = true;
    let labels = &plan.site.labels;
    page.subtitle.push(format!(
        "Span {}, B {}, bearing {}. Side A: {}. Side B: {}. Verdict of the plan: {}.",
        l(plan.site.span.si()),
        match plan.site.height_difference.si() {
            d if d < 0.0 => format!("{} below A", l(-d)),
            d => format!("{} above A", l(d)),
        },
        plan.site.bearing.map_or_else(|| "not given".to_owned(), |b| show(Dim::Angle, b.si(), system)),
        said(&labels[0]),
        said(&labels[1]),
        review.verdict.word()
    ));
    if !review.passes() {
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
    page.blocks.push(Block::Drawing(sketch(facts), Vec::new()));
    tensions(&mut page, facts);
    page.blocks.push(Block::Columns);
    target(&mut page, facts);
    pull(&mut page, facts);
    clearance(&mut page, facts);
    page.heading("Order of work");
    page.blocks.push(Block::Steps(order(facts)));
    page.blocks.push(Block::Blanks(
        ["leads at A", "leads at B", "pulls", "reads the tension", "radio channel", "stands by for rescue"]
            .map(str::to_owned)
            .to_vec(),
    ));
    page.text("Calls: “pull” · “hold” · “stop” · “give” · “clear”. “Tied in?” is asked before every start and after every untying, and answered by looking.");
    page.heading("Measured on the day");
    page.blocks.push(Block::Blanks(
        [
            "span",
            "height difference",
            "standing tension",
            "sag at mid-span",
            "pulse there and back",
            "after one hour",
            "tail at lock A",
            "tail at lock B",
            "wind, from",
            "temperature",
        ]
        .map(str::to_owned)
        .to_vec(),
    ));
    page.heading("Partner check, at every start");
    page.blocks.push(Block::Checks {
        boxes: vec![String::new()],
        lines: [
            "harness worn above, buckles doubled back",
            "leash tied in: shown, looked at, tied in? – tied in!",
            "both rings round main and backup",
            "lock tails as marked, tails tied off",
            "gates closed, pins moused",
            "edge pads where they were",
            "no-fall zone known",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    differs(&mut page, facts);
    page.heading("Rescue");
    page.blocks.push(Block::Steps(
        ["Call to the walker: legs moving, hands on the leash; one leads, one watches the clock: down or flat within 15 minutes.",
         "Help them back up, or tow the rings in with the tag line from the nearer side.",
         "Else the rescuer rolls out on their own leash and lanyard with the short pulley set, lifts, clips, unloads the leash.",
         "Tow both in, or lower to the ground with the rope; release the line's tension only by the soft release.",
         "Lay them down, call for help early: place, coordinates, number of people."].map(str::to_owned).to_vec(),
    ));
    page.text(declared(file, "rescue kit", "Rescue kit"));
    page.blocks.push(Block::Blanks(["emergency number", "coordinates"].map(str::to_owned).to_vec()));
    page.heading("Stop when");
    page.text(format!(
        "wind over {}; thunder heard; an anchor has moved; a lock has slipped more than 20 mm; a broken yarn on line, leg or leash; a pad out of place; nobody at the other side.",
        show(Dim::Velocity, plan.site.air.wind.si(), system)
    ));
    page.heading("Assumed");
    page.text(assumed(facts));
    page
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

/// What each run, point and anchor sees in every class, by its weakest piece.
fn tensions(page: &mut Page, facts: &Facts<'_>) {
    let review = facts.review;
    page.heading("Tensions and factors, each by its weakest piece");
    let unit = show(Dim::Force, 1000.0, facts.system).split_whitespace().last().unwrap_or("").to_owned();
    // The unit stands in the head of the column.
    let f = |n: f64| show(Dim::Force, n, facts.system).trim_end_matches(&unit).trim().to_owned();
    let mut groups: Vec<(String, Vec<&Row>)> = Vec::new();
    for r in &review.rows {
        let name = match &r.place {
            Place::Part(run, _) => plain(run),
            other => plain(&other.to_string()),
        };
        match groups.iter_mut().find(|g| g.0 == name) {
            Some(g) => g.1.push(r),
            None => groups.push((name, vec![r])),
        }
    }
    let standing = review.cases.iter().find(|c| c.case.id == "standing");
    let rows = groups
        .iter()
        .enumerate()
        .map(|(n, (name, rows))| {
            let demand = |class: Class| {
                let most = rows.iter().filter(|r| r.class == class).map(|r| r.demand_n).reduce(f64::max);
                most.map_or_else(|| "–".to_owned(), f)
            };
            let worst = rows.iter().min_by(|a, b| a.worst_first(b));
            let run = review.run_names.iter().position(|r| plain(r) == *name);
            let at_rest = run.zip(standing).map_or_else(|| "–".to_owned(), |(k, s)| f(s.response.run_n[k]));
            vec![
                format!("{}", n + 1),
                name.clone(),
                worst.map_or_else(String::new, |r| plain(&r.title)),
                worst.and_then(|r| r.strength.counts_n()).map_or_else(|| "–".to_owned(), f),
                at_rest,
                demand(Class::Working),
                demand(Class::Fall),
                demand(Class::Failure),
                worst.map_or_else(
                    || "–".to_owned(),
                    |r| format!("{} of {}", factor_text(r.factor), factor_text(r.required)),
                ),
                worst.map_or("", |r| r.verdict.word()).to_owned(),
            ]
        })
        .collect();
    let keeps = format!("keeps {unit}>");
    page.table(
        &["no.>", "piece", "weakest", &keeps, "standing>", "in use>", "fall>", "failure>", "least factor>", "verdict"],
        rows,
    );
}

/// The standing tension and what stands in for a load cell.
fn target(page: &mut Page, facts: &Facts<'_>) {
    let (review, rig) = (facts.review, &facts.solver.rig);
    let f = |n: f64| show(Dim::Force, n, facts.system);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    page.heading("Standing tension");
    let (tension, length) = (review.line.standing_n, review.line.unstretched_m);
    let t = 0.5 * (tension[0] + tension[1]);
    let soft = |e: &&crate::rig::Element| e.item.class.is_soft();
    let soft_m: f64 = rig
        .line
        .elements
        .iter()
        .enumerate()
        .filter(|(_, e)| soft(e))
        .map(|(i, _)| rig.element_length(&facts.solver.standing.lengths, i))
        .sum();
    let both = hung_per_m(rig);
    let sag = |more_n: f64| {
        let solved = pulled(facts.file, more_n).and_then(|p| in_view(&p).ok()?.solve(&Case::standing()).ok()?);
        solved.filter(Solved::certified).map_or_else(|| "not solved".to_owned(), |s| l(s.response.sag_m))
    };
    let seconds = |t: f64| format!("{:.2} s", pulse_s(length, both, t));
    let (low, high) = ((t - BAND_N).max(1.0), t + BAND_N);
    page.blocks.push(Block::Facts(vec![
        ("target".to_owned(), format!("{} at A, {} at B; good from {} to {}", f(tension[0]), f(tension[1]), f(tension[0] - BAND_N), f(tension[0] + BAND_N))),
        ("sag at mid-span, empty".to_owned(), format!("{}; {} at the low end of the band, {} at the high end (sighted along the chord)", l(review.line.sag_standing_m), sag(low - t), sag(high - t))),
        ("pulse there and back".to_owned(), format!("{} (slower {} at the low end, faster {} at the high end): strike the line at one side, time the shake until it is back; take the mean of ten; counted with main and backup taped together", seconds(t), seconds(low), seconds(high))),
        ("with a walker in the middle".to_owned(), format!("sag {}", l(review.line.sag_walker_m))),
    ]));
    let (through, hand) = comes_through(rig, &facts.solver.standing, t);
    page.blocks.push(Block::Facts(vec![
        ("webbing to come through".to_owned(), format!("{} from hand-tight ({}) to standing", l(through), f(hand))),
        ("to release".to_owned(), format!("{} to hand-tight again; keep a release cord of {} on it, and more", l(through), l((2.0 * through).max(5.0)))),
        ("line between locks".to_owned(), format!("{} of webbing unstretched", l(soft_m))),
        ("locks".to_owned(), locks(facts)),
        ("leash".to_owned(), leash(facts)),
        ("again after one hour".to_owned(), "read it, and pull it up to the target; nylon and polyester have given a tenth to a quarter by then (common practice, from memory)".to_owned()),
    ]));
}

/// The pulley system: hands, strands, sheaves, throw, release.
fn pull(page: &mut Page, facts: &Facts<'_>) {
    let Some(t) = &facts.file.plan.tensioning else {
        page.text("The plan names no pulley system: tensioning was not judged.");
        return;
    };
    let Some(p) = &facts.review.pulling else {
        page.blocks.push(Block::Warning("The pulley system could not be worked out.".to_owned()));
        return;
    };
    let f = |n: f64| show(Dim::Force, n, facts.system);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    page.heading(&format!("Pulling, {}{}", plain(&t.reeving), if t.turned { ", turned once more" } else { "" }));
    let strands: Vec<String> =
        p.strands_n.iter().map(|r| r.iter().map(|n| f(*n)).collect::<Vec<_>>().join(", ")).collect();
    let title = |id: &str| facts.file.catalogue.get(id).map_or_else(|| plain(id), |i| plain(&i.title));
    let kind = |n: usize| if t.sheaves.is_empty() { String::new() } else { format!(" {}", title(t.sheave(n))) };
    let sheaves: Vec<String> =
        p.sheaves_n.iter().flatten().enumerate().map(|(n, load_n)| format!("{}{}", f(*load_n), kind(n))).collect();
    let each = t.each.si();
    page.blocks.push(Block::Facts(vec![
        ("pull on the line".to_owned(), format!("{} (5 % over the target, so that the lock can take it)", f(p.load_n))),
        (
            "at the hand".to_owned(),
            format!("{}: {} people at {} each; {} are planned", f(p.hand_n), p.people(each), f(each), t.people),
        ),
        ("advantage".to_owned(), format!("{:.1} of {:.0} without friction", p.advantage[1], p.advantage[0])),
        ("strands, from the hand".to_owned(), strands.join("; ")),
        ("sheaves".to_owned(), if sheaves.is_empty() { "none".to_owned() } else { sheaves.join(", ") }),
        ("what it hangs on".to_owned(), f(p.anchor_n)),
        (
            "comes through".to_owned(),
            format!(
                "{}; {} of rope at the hand; {} at a throw, {} to draw out anew",
                l(p.through_m),
                l(p.hand_m),
                l(p.throw_m),
                match p.resets {
                    0 => "never".to_owned(),
                    n => format!("{n} times"),
                }
            ),
        ),
        ("rope needed".to_owned(), l(p.rope_m)),
        (
            "release".to_owned(),
            format!(
                "{}; {} at the hand while letting out, {} of line and {} of rope to let out",
                if t.release.is_empty() { "NOBODY HAS SAID HOW" } else { &t.release },
                f(p.lower_n),
                l(p.through_m),
                l(p.hand_m)
            ),
        ),
    ]));
}

fn locks(facts: &Facts<'_>) -> String {
    let Some((_, run)) = facts.file.plan.main() else { return "–".to_owned() };
    let mut out = Vec::new();
    for p in &run.parts {
        for (end, which) in p.ends.iter().flatten().zip(["towards A", "towards B"]) {
            if let EndKind::Locked { wraps, tail } = &end.kind {
                let wraps = wraps.map_or_else(|| "wrapped as its maker shows".to_owned(), |w| format!("{w} wraps"));
                let tail =
                    tail.map_or_else(|| "at least 0.5 m".to_owned(), |t| show(Dim::Length, t.si(), facts.system));
                out.push(format!("{which} {wraps}, tail {tail}, flat, marked at the lock, tied off"));
            }
        }
    }
    if out.is_empty() { "none in the line".to_owned() } else { out.join("; ") }
}

fn leash(facts: &Facts<'_>) -> String {
    let run = facts.file.plan.runs.values().find(|r| r.role == Role::Leash);
    let long = run
        .into_iter()
        .flat_map(|r| &r.parts)
        .find_map(|p| if let PartLength::Is(l) = p.length { Some(l.si()) } else { None });
    long.map_or_else(
        || "not in the plan".to_owned(),
        |m| format!("{} from rings to tie-in", show(Dim::Length, m, facts.system)),
    )
}

fn clearance(page: &mut Page, facts: &Facts<'_>) {
    let review = facts.review;
    let l = |m: f64| show(Dim::Length, m, facts.system);
    page.heading("Clearance and no-fall zones");
    let all = &review.envelope;
    let mut rows = Vec::new();
    for share in [0.1, 0.25, 0.5, 0.75, 0.9] {
        let Some(low) = all.iter().min_by(|a, b| (a.at - share).abs().total_cmp(&(b.at - share).abs())) else {
            continue;
        };
        let over = |feet: Option<f64>| match (feet, low.ground_m) {
            (Some(z), Some(g)) if z - g < 0.0 => format!("HITS, {} short", l(g - z)),
            (Some(z), Some(g)) => l(z - g),
            _ => "not known".to_owned(),
        };
        rows.push(vec![
            l(low.x_m),
            low.ground_m.map_or_else(|| "not known".to_owned(), l),
            over(low.fall_m),
            over(low.catch_m),
        ]);
    }
    page.table(&["at, from A>", "ground>", "left under the feet, leash fall>", "left, backup catch>"], rows);
    page.text(format!(
        "Nobody falls within {} of lip A and {} of lip B: start seated there. Figures by energy; the review follows the motion.",
        l(review.no_fall_m[0]),
        l(review.no_fall_m[1])
    ));
}

fn order(facts: &Facts<'_>) -> Vec<String> {
    let plan = &facts.file.plan;
    let anchors = |side: Side| {
        let on = plan.points.iter().filter(|(_, p)| p.side == side && p.hold().is_some());
        on.map(|(name, _)| plain(name)).collect::<Vec<_>>().join(", ")
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
    let mut out = vec![
        "Both: tie in at the edge before unpacking. Closed area below, spotter, notice given.".to_owned(),
        format!("Look at every anchor, as in the plan? Tap, turn, pull; what differs, stops. A: {}. B: {}.", anchors(Side::A), anchors(Side::B)),
        "Both: build main and backup anchors, each on its own pieces; pads under everything that can touch, each tied in.".to_owned(),
        "One side: messenger across, then each stronger line; brake on the sending side.".to_owned(),
        "Sending side: rings on, both round main and backup – “rings on?” – then pull the line over, taped to its backup.".to_owned(),
        format!("Both: main into its locks, tails flat; backup fixed at both sides.{}", joined(facts.solver.rig.line.joints.len())),
    ];
    out.push("HOLD POINT, before tension: everything closed, wrenched, moused, backup fixed at both sides. Both sides say so.".to_owned());
    out.extend([
        format!("Side {side}: hand-tight, then {}; nobody in line with it or in the bight; pull to the target, read it.", pulleys(plan)),
        "Into the lock, mark the tail, tie it off; ease the pulleys; take them off, or tie their rope off.".to_owned(),
        "Both: look at pads, pins, tails under load. First person tied in: sit, slide out, small fall beyond the no-fall zone; look again.".to_owned(),
        "After one hour: read, pull up, mark anew.".to_owned(),
        "Home: walkers off, release cord on, ease to hand-tight, brake on the sending side, tag line stays on; last person tied in; count the gear.".to_owned(),
    ]);
    out
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

/// The plan tensioned to so much more; nothing when it has no standing tension to change, or none is left.
fn pulled(file: &PlanFile, more_n: f64) -> Option<PlanFile> {
    let mut file = file.clone();
    let main = file.plan.runs.values_mut().find(|r| r.role == Role::Main)?;
    let target = main.parts.iter_mut().map(|p| &mut p.length).find(|l| matches!(l, PartLength::Solve(_)))?;
    let PartLength::Solve(Target::Standing(t, _)) = target else { return None };
    *t += crate::units::Force::from_si(more_n);
    (t.si() > 0.0).then_some(file)
}

/// What the day may bring: another span, another tension, a bolt fewer.
fn differs(page: &mut Page, facts: &Facts<'_>) {
    page.heading("When the day differs from the plan");
    let f = |n: f64| show(Dim::Force, n, facts.system);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let mut rows = Vec::new();
    let mut try_out = |name: String, change: &dyn Fn(&mut PlanFile) -> bool| {
        let mut file = facts.file.clone();
        if !change(&mut file) {
            return;
        }
        let solved =
            in_view(&file).map_err(|e| e.first().map_or_else(String::new, |f| f.message.clone())).and_then(|mut s| {
                let standing = s.solve(&Case::standing())?.ok_or("no solution")?;
                let walker = s.solve(&Case::walker(&file.plan, 0.5))?.ok_or("no solution")?;
                if !standing.certified() || !walker.certified() {
                    return Err("not solved".to_owned());
                }
                Ok((s, standing, walker))
            });
        rows.push(match solved {
            Ok((s, standing, walker)) => {
                let (k, most) = s
                    .rig
                    .legs
                    .iter()
                    .map(|leg| (leg.run, walker.response.run_n[leg.run]))
                    .max_by(|a, b| a.1.total_cmp(&b.1))
                    .unwrap_or((0, 0.0));
                vec![
                    name,
                    f(standing.response.line_n[0]),
                    l(standing.response.sag_m),
                    f(walker.response.line_n[0].max(walker.response.line_n[1])),
                    l(walker.response.sag_m),
                    format!("{} in {}", f(most), plain(&s.rig.run_names[k])),
                ]
            }
            Err(why) => vec![
                name,
                format!("not solved: {}", plain(&why)),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
            ],
        });
    };
    try_out("as planned".to_owned(), &|_| true);
    for (more, word) in [(0.9, "span 10 % shorter"), (1.1, "span 10 % longer")] {
        try_out(word.to_owned(), &|p| {
            p.plan.site.span *= more;
            true
        });
    }
    for (more, word) in [(-500.0, "0.5 kN less"), (500.0, "0.5 kN more")] {
        try_out(word.to_owned(), &|p| pulled(p, more).map(|q| *p = q).is_some());
    }
    page.table(&["day", "standing>", "sag>", "walker in the middle>", "sag>", "most in a leg"], rows);
    let bolts: Vec<String> = facts
        .file
        .plan
        .points
        .iter()
        .filter(|(_, p)| matches!(p.kind, PointKind::Fixed { by: Hold::Bolt { .. }, .. }))
        .filter_map(|(name, _)| {
            let i = facts.review.incidents.iter().find(|i| {
                i.event.class == Class::Failure && i.event.id.contains(name.as_str()) && i.event.id.contains("walker")
            })?;
            Some(format!("{}: {}", plain(&i.event.id), incidents::outcome(facts.file, facts.review, i, facts.system)))
        })
        .take(4)
        .collect();
    if !bolts.is_empty() {
        page.text(format!("One bolt fewer – {}.", bolts.join(" · ")));
    }
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

/// Elevation of line and ground to scale, and both anchors seen from above.
fn sketch(facts: &Facts<'_>) -> Drawing {
    let (plan, rig) = (&facts.file.plan, &facts.solver.rig);
    let (wide, high) = (180.0, 64.0);
    let mut d = Drawing::new(wide, high);
    let span = plan.site.span.si().max(1.0);
    let ground: Vec<[f64; 2]> = plan.site.ground.iter().map(|(x, z)| [x.si(), z.si()]).collect();
    let standing = facts.solver.standing.case.shape(&facts.solver.standing.solution, 60);
    let walker = facts
        .review
        .cases
        .iter()
        .find(|c| c.case.id == "walker 0.50")
        .map(|c| c.net.shape(&c.solution, 60))
        .unwrap_or_default();
    let heights = ground.iter().map(|g| g[1]).chain(standing.iter().chain(&walker).map(|p| p.z));
    let (low, top) = heights.fold((-3.0_f64, 1.0_f64), |(a, b), z| (a.min(z), b.max(z)));
    // One scale for both ways, so that slopes are what they are.
    let scale = ((wide - 16.0) / (1.06 * span)).min(30.0 / (top - low).max(1.0));
    let x0 = 0.5 * (wide - scale * span);
    let at = |x: f64, z: f64| [x0 + scale * x, 6.0 + scale * (top - z)];
    if ground.len() > 1 {
        d.line(&ground.iter().map(|g| at(g[0], g[1])).collect::<Vec<_>>(), 0.7);
    }
    let path = |p: &[glam::DVec3]| p.iter().map(|p| at(p.x, p.z)).collect::<Vec<_>>();
    d.line(&path(&standing), 0.45);
    if !walker.is_empty() {
        d.dashes(&path(&walker), 0.3);
    }
    let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
    for (end, word) in [(a, "A"), (b, "B")] {
        d.dot(at(end.x, end.z), 0.9, true);
        let [x, y] = at(end.x, end.z);
        d.words([x, y - 2.0], word, 3.4, 0.5);
    }
    for (mark, from) in facts.review.no_fall_m.iter().zip([a, b]) {
        let x = if from.x < 0.5 * span { from.x + mark } else { from.x - mark };
        d.dashes(&[at(x, from.z + 1.0), at(x, from.z - 4.0)], 0.4);
    }
    d.words(
        [0.0, 2.4],
        "full: standing; broken: walker in the middle; bars: no-fall zones; one scale both ways",
        2.2,
        0.0,
    );
    // Both anchors from above, numbered as they stand in the plan.
    for (k, side) in [Side::A, Side::B].into_iter().enumerate() {
        let spots: Vec<usize> = (0..rig.spots.len()).filter(|s| rig.spots[*s].side == side).collect();
        let places: Vec<glam::DVec3> = spots.iter().map(|s| rig.spots[*s].place).collect();
        let Some(first) = places.first() else { continue };
        let (lo, hi) = places.iter().fold((*first, *first), |(l, h), p| (l.min(*p), h.max(*p)));
        let size = (hi - lo).max(glam::DVec3::splat(0.8));
        let scale = (70.0 / size.x).min(18.0 / size.y);
        let (left, head) = (8.0 + 88.0 * k as f64, 44.0);
        let at = |p: glam::DVec3| [left + scale * (p.x - lo.x), head + scale * (hi.y - p.y)];
        for leg in &rig.legs {
            if leg.path.iter().all(|p| spots.contains(p)) {
                d.line(&leg.path.iter().map(|p| at(rig.spots[*p].place)).collect::<Vec<_>>(), 0.35);
            }
        }
        let mut named = Vec::new();
        for s in &spots {
            let spot = &rig.spots[*s];
            let [x, y] = at(spot.place);
            d.dot([x, y], 0.9, spot.fixed);
            // Names that would run into each other stand below each other.
            let mut y = y - 0.8;
            while named.iter().any(|n: &[f64; 2]| (n[0] - x).abs() < 18.0 && (n[1] - y).abs() < 2.2) {
                y += 2.3;
            }
            named.push([x, y]);
            d.words([x + 1.4, y], &plain(&spot.name), 2.1, 0.0);
        }
        d.words([left, head - 3.6], &format!("{side:?} from above, 1 m = {scale:.0} mm"), 2.4, 0.0);
    }
    d
}
