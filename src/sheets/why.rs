//! Where a figure comes from: the situation behind a demand, the inputs behind the situation, and the proof of it.

use super::text::explain;
use crate::bench::spliced_of;
use crate::document::plain;
use crate::mechanics::gauge::pulse_s;
use crate::plan::{PartLength, PlanFile, Target};
use crate::review::{
    Held, How, Incident, RIGS, RULES, Review, Row, SPREADS, Situation, Solved, Who, comes_through, hung_per_m, in_view,
};
use crate::units::{Dim, Quantity, System, show};

/// Names of figures that belong to no piece, and what they are.
pub const FIGURES: [(&str, &str); 23] = [
    ("standing", "standing tension at A and B"),
    ("length", "unstretched length of the line"),
    ("sag", "sag, standing and with a walker"),
    ("body", "largest force on the body"),
    ("clearance", "least height of the feet over the ground"),
    ("no-fall", "how far from the ends nobody may fall"),
    ("catch", "what the backup's excess lets a walker fall"),
    ("pulse", "time of a pulse along the line and back"),
    ("through", "line that comes through on the way to the standing tension"),
    ("pulling", "hands, strands, throw and rope of the pulley system"),
    ("lengths", "length of every part of the rig, and of what is cut for it"),
    ("masses", "mass of every piece, and of the bags"),
    ("splices", "rope to cut, marks and strength of what is spliced"),
    ("limits", "ends of ranges, and factors of mends"),
    ("doubt", "factors that one rig in twenty stays under, and shares below"),
    ("over", "the line going over: pull, hands, brake, heights"),
    ("rescue", "pull, people and minutes of somebody hanging still"),
    ("edge", "what ties at the edges let fall, and hold"),
    ("frame", "what pushes through the struts of a frame, and whether it stands"),
    ("scouting", "what was sighted or assumed, how far off it may be, and what that does"),
    ("stay", "what nights leave of the tension, and gusts ask of the line"),
    ("crew", "hours of each step, people it takes, and the light"),
    ("day", "what was read at the line beside what should have been"),
];

/// What every situation of a plan rests on.
fn inputs(file: &PlanFile, review: &Review, system: System) -> String {
    let site = &file.plan.site;
    let target = file.plan.main().and_then(|(_, r)| {
        r.parts.iter().find_map(|p| match p.length {
            PartLength::Solve(Target::Standing(n, side)) => {
                Some(format!("tensioned to {} at {side:?} with nobody on it", show(Dim::Force, n.si(), system)))
            }
            PartLength::Solve(Target::Sag(m, with)) => Some(format!(
                "tensioned to a sag of {}{}",
                show(Dim::Length, m.si(), system),
                if with { " with a walker in the middle" } else { " with nobody on it" }
            )),
            _ => None,
        })
    });
    format!(
        "from the plan: span {}, height difference {} (measured: {}), {}, unstretched {}",
        show(Dim::Length, site.span.si(), system),
        show(Dim::Length, site.height_difference.si(), system),
        if site.measured.is_empty() { "not said" } else { &site.measured },
        target.unwrap_or_else(|| "cut to a length".to_owned()),
        show(Dim::Length, review.line.unstretched_m, system)
    )
}

/// What a situation is, and what proves it.
fn case_lines(c: &Solved, system: System) -> Vec<String> {
    let f = |n: f64| show(Dim::Force, n, system);
    let mut out = Vec::new();
    for w in &c.case.load.walkers {
        out.push(format!("a load of {} at {:.0} % of the line", f(w.weight_n), 100.0 * w.at));
    }
    if c.case.load.wind_m_s != 0.0 {
        out.push(format!("wind of {} across", show(Dim::Velocity, c.case.load.wind_m_s.abs(), system)));
    }
    if c.case.load.warmer_k != 0.0 {
        out.push(format!("{:+.0} K against the day it was tensioned", c.case.load.warmer_k));
    }
    if let Some(w) = c.case.load.walkers.iter().find(|w| w.tow_n.length() > 0.0) {
        out.push(format!("pulled along the line with {}", f(w.tow_n.length())));
    }
    out.push(format!(
        "{}; equilibrium of the whole rig, {:.0e} N out of balance by an independent check",
        carries(c, system),
        c.certificate.residual_n
    ));
    out
}

/// What the line carries at its ends, or the backup alone.
fn carries(c: &Solved, system: System) -> String {
    let f = |n: f64| show(Dim::Force, n, system);
    let [a, b] = c.response.line_n;
    let backup = c.response.backup_n.iter().copied().fold(0.0, f64::max);
    if a.max(b) <= 0.0 && backup > 0.0 {
        return format!("main line gone, backup {}", f(backup));
    }
    format!("line {} at A and {} at B", f(a), f(b))
}

/// Where the demand of a row comes from, sentence by sentence.
#[must_use]
pub fn demand(file: &PlanFile, review: &Review, row: &Row, system: System) -> Vec<String> {
    let f = |n: f64| show(Dim::Force, n, system);
    if row.is_height() {
        return vec![inputs(file, review, system)];
    }
    let mut out = vec![format!(
        "{} is the largest of its class ({}), in “{}”",
        f(row.demand_n),
        row.class.word(),
        plain(&row.case())
    )];
    if let Some(How::OneLegOf(_)) = row.seen.as_ref().map(|s| &s.how) {
        out.push(
            "the whole pull of the master, its largest over all situations, on this leg alone: the others have gone"
                .to_owned(),
        );
    } else if let Some(s) = row.situation() {
        if let Some(c) = review.at_rest(s) {
            out.extend(case_lines(c, system));
        } else if let Some(i) = review.incident(s) {
            out.extend(incident(i, system));
        }
    }
    out.push(inputs(file, review, system));
    out
}

/// How an incident was played, and what proves it.
fn incident(i: &Incident, system: System) -> Vec<String> {
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    let who = match i.event.who {
        Who::Standing(m) => format!("{} standing on the line", show(Dim::Mass, m, system)),
        Who::Falling(m) => format!("{} falling past the line into the leash", show(Dim::Mass, m, system)),
        Who::LettingGo(m) => format!("{} letting go as it goes", show(Dim::Mass, m, system)),
    };
    let mesh = i.mesh_error.map_or_else(String::new, |e| format!(", {:.1} % from half the step and mesh", 100.0 * e));
    if i.peaks.run_n.is_empty() {
        let what = match i.held {
            Some(Held::Dropped) => "the walker is dropped: nothing joins them to the ground any more",
            Some(Held::Only(_)) => "the walker swings into one side: nothing joins them to the other any more",
            _ => "it carried nothing, and nothing stirs",
        };
        return vec![format!("{who} at {:.0} % of the line; not played: {what}", 100.0 * i.event.at)];
    }
    vec![
        format!("{who} at {:.0} % of the line; played in time", 100.0 * i.event.at),
        format!(
            "{} down at most, feet at {}, body {}, leash {}",
            l(i.drop_m),
            l(i.feet_m[0]),
            f(i.peaks.body_n),
            f(i.peaks.leash_n)
        ),
        format!("books of energy out by {:.2} % of weight times drop{mesh}", 100.0 * i.energy_error),
    ]
}

/// The reasons behind one name: a piece, a figure of [`FIGURES`], an incident, a rule. Nothing when nothing is called so.
#[must_use]
pub fn why(file: &PlanFile, review: &Review, name: &str, system: System) -> Option<String> {
    let width = super::WIDTH;
    let mut out = String::new();
    let rows: Vec<&Row> =
        review.rows.iter().filter(|r| r.place.name() == name || r.place.to_string() == name).collect();
    for row in &rows {
        out += explain(row, system, width).trim_end();
        out.push('\n');
        for line in demand(file, review, row, system) {
            for l in super::wrap(&format!("    · {line}"), width, 6) {
                out += &l;
                out.push('\n');
            }
        }
        out.push('\n');
    }
    let mut say = |lines: Vec<String>| {
        for line in lines {
            for l in super::wrap(&plain(&line), width, 2) {
                out += &l;
                out.push('\n');
            }
        }
    };
    if rows.is_empty() {
        say(figure(file, review, name, system)?);
    }
    Some(out)
}

fn figure(file: &PlanFile, review: &Review, name: &str, system: System) -> Option<Vec<String>> {
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    let proof = |s: Situation| {
        let c = review.at_rest(&s)?;
        Some(format!("equilibrium “{s}”: {:.0e} N out of balance by an independent check", c.certificate.residual_n))
    };
    if let Some(told) = super::why_trip::trip(file, review, name, system) {
        return Some(told);
    }
    let line = &review.line;
    let mut out: Vec<String> = match name {
        "standing" => vec![
            format!("standing {} at A, {} at B: with nobody on the line, in calm air, at rigging temperature", f(line.standing_n[0]), f(line.standing_n[1])),
            "the line's length is found so that the target is met; the ends differ by weight and height".to_owned(),
        ],
        "length" => vec![
            format!("unstretched {} in all, {} of it the part that is cut to the target", l(line.unstretched_m), l(line.target_m)),
            "found by solving the whole rig: legs, hardware and line stretch together".to_owned(),
        ],
        "sag" => vec![
            format!("{} below the straight line between the ends standing, {} with the heaviest walker in the middle", l(line.sag_standing_m), l(line.sag_walker_m)),
            "of the line's exact shape, weight and stretch included".to_owned(),
        ],
        "body" => {
            let hardest = review.incidents.iter().max_by(|a, b| a.peaks.body_n.total_cmp(&b.peaks.body_n))?;
            let mut out = vec![format!("{} on the body in “{}”, the largest of {} incidents", f(hardest.peaks.body_n), hardest.event.situation, review.incidents.len())];
            out.extend(incident(hardest, system));
            out
        }
        "clearance" => {
            let rows = review.rows.iter().filter(|r| r.is_height());
            let mut out: Vec<String> = rows.flat_map(|r| super::text::height(r, system)).collect();
            let over = file.plan.factors.clearance;
            out.push(format!("asked for: {} and {:.0} % of the sag there", l(over.least.si()), 100.0 * over.of_sag));
            out.push(format!(
                "looked at: every vertex of the {} of the ground, every edge of {} obstacles, and between as finely as 0.1 m; beyond the seated zones",
                file.plan.site.ground.len(), file.plan.site.obstacles.len()
            ));
            out
        }
        "no-fall" => vec![
            format!("{} from A, {} from B", l(review.no_fall_m[0]), l(review.no_fall_m[1])),
            "on from the end as far as feet would come lower than asked for, by energy, and at least the reach of leash and body and a metre (common practice)".to_owned(),
        ],
        "catch" => match review.catches.first() {
            None => vec!["no catch was worked out: the plan has no backup, or no leash with a length".to_owned()],
            Some(own) => vec![
                format!(
                    "{:.1} % excess is {} of spare backup in its longest segment of {}",
                    100.0 * own.excess,
                    l(own.spare_m),
                    l(own.segment_m)
                ),
                format!(
                    "by energy a walker in the middle of it, when the main line goes there, {}",
                    super::incidents::caught(own, system)
                ),
                "the walker's weight over the whole drop, against what backup and leash store; incidents follow the motion"
                    .to_owned(),
            ],
        },
        "pulse" | "through" => {
            let solver = in_view(file).ok()?;
            let tension = line.mean_standing_n();
            if name == "pulse" {
                let per_m = hung_per_m(&solver.rig);
                vec![
                    format!("{:.2} s for {} of line, there and back", pulse_s(line.unstretched_m, per_m, tension), l(line.unstretched_m)),
                    format!("twice the length over the wave's speed, the root of tension over mass per metre: {} and {:.0} g/m, main and backup taped together", f(tension), 1e3 * per_m),
                ]
            } else {
                let (m, hand) = comes_through(&solver.rig, &solver.standing, tension);
                vec![
                    format!("{} from hand-tight ({}) to {}", l(m), f(hand), f(tension)),
                    "the stretch of every part of the line between the two tensions, by its own law, and the sag that it loses".to_owned(),
                ]
            }
        }
        "pulling" => {
            let Some((t, p)) = file.plan.tensioning.as_ref().zip(review.pulling.as_ref()) else {
                return Some(vec!["the plan names no pulley system: tensioning was not judged".to_owned()]);
            };
            let keeps = |n: usize| file.catalogue.get(t.sheave(n)).map_or(0.0, |i| 100.0 * crate::plan::tensioning::sheave_keeps(i));
            let sheaves: Vec<String> = (0..p.sheaves_n.iter().map(Vec::len).sum()).map(|n| format!("{:.0} %", keeps(n))).collect();
            vec![
                format!("{} on the line, 5 % over the target; {} at the hand: tension is carried from strand to strand, each sheave keeping {}", f(p.load_n), f(p.hand_n), sheaves.join(", ")),
                format!("advantage {:.2}, without friction {:.2}; {} people at {} each", p.advantage[1], p.advantage[0], p.people(t.each.si()), f(t.each.si())),
                format!("{} of line comes through, {} of rope at the hand; {} at a throw from {} between the blocks, drawn out anew {} times; {} of rope in all", l(p.through_m), l(p.hand_m), l(p.throw_m), l(t.distance.si()), p.resets, l(p.rope_m)),
                format!("letting out: {} at the hand, friction the other way round", f(p.lower_n)),
            ]
        }
        "lengths" => {
            let solver = in_view(file).ok()?;
            let runs: Vec<&String> = file.plan.runs.keys().collect();
            let mut out: Vec<String> = solver.rig.articles(&solver.standing.lengths).iter().map(|a| format!("{}, part {}: {} unstretched, pin to pin", runs.get(a.run).map_or("?", |r| r.as_str()), a.part + 1, l(a.length_m))).collect();
            out.push("as the plan gives it; a fitted part takes what its leg's way leaves, the line what its target asks, a share what its pull asks; the cut adds what its splice card or its tails add".to_owned());
            out
        }
        "splices" => {
            let solver = in_view(file).ok()?;
            let mm = |m: f64| format!("{:.0} mm", 1e3 * m);
            let all = |of: &[f64]| of.iter().map(|m| mm(*m)).collect::<Vec<_>>().join(" and ");
            let mut out: Vec<String> = Vec::new();
            for s in spliced_of(&file.plan, &file.catalogue, &solver.rig.articles(&solver.standing.lengths)) {
                out.push(match &s.design {
                    Err(why) => format!("{}: not to be made as planned: {why}", s.name),
                    Ok(d) => format!(
                        "{}: {} of rope for {} finished, {} shorter to {} longer: eyes {}, buries {} ({:.0} diameters of {}), and the host that they fill; {}",
                        s.name,
                        mm(d.cut_m),
                        mm(d.finished_m),
                        mm(d.off_m[0]),
                        mm(d.off_m[1]),
                        all(&d.eyes.iter().map(|e| e.half_m).collect::<Vec<_>>()),
                        all(&d.buries_m),
                        d.buries_m.first().map_or(0.0, |b| b / d.rope.d_m),
                        mm(d.rope.d_m),
                        d.strength_why
                    ),
                });
            }
            if out.is_empty() {
                out.push("nothing in this plan is made at the bench".to_owned());
            }
            out.push("marks add up: cut less tails, eyes and the host that they fill is the plain rope between the tips; the second end is marked from the finished first throat".to_owned());
            out
        }
        "limits" => vec![
            "one thing is changed, and statics solved again, with the falls and failures that govern; an end is where something first does not meet, within 1 %".to_owned(),
            "ends of tension and walker stand up to a whole review, or are drawn in until they do; a mend's factor is that of the changed plan, solved".to_owned(),
        ],
        "doubt" => {
            let mut out = vec![format!("{RIGS} rigs drawn with one seed: in each the governing situations are solved, and peaks of motion carried along by how they change with tension, mass and stretch; some are played whole and compared")];
            out.extend(SPREADS.iter().map(|(what, one)| format!("{what}: one deviation is {:.0} %", 100.0 * one)));
            out.push("what ends and bends leave: evenly between low and nominal; all spreads are common practice, no source".to_owned());
            out
        }
        "masses" => {
            let used: Vec<&String> = review.rows.iter().map(|r| &r.item).collect();
            let items = file.catalogue.iter().filter(|(id, _)| used.iter().any(|u| *u == id));
            let mut out: Vec<String> = items
                .map(|(id, i)| match (i.mass, i.mass_per_length) {
                    (Some(m), _) => format!("{id}: {} a piece [{}]", show(Dim::Mass, m.si(), system), i.source),
                    (None, Some(m)) => format!("{id}: {:.1} g a metre, times its unstretched length [{}]", 1e3 * m.si(), i.source),
                    _ => format!("{id}: not known, counted as nothing"),
                })
                .collect();
            out.push("a bag's mass is the sum of its pieces".to_owned());
            out
        }
        _ => {
            if let Some(c) = review.cases.iter().find(|c| c.case.words() == name) {
                let mut out = vec![format!("“{name}”: {}, sag {}", carries(c, system), l(c.response.sag_m))];
                out.extend(case_lines(c, system));
                out.push(inputs(file, review, system));
                return Some(out);
            }
            if let Some(item) = file.catalogue.get(name) {
                let rating = item.rating.as_ref().or(item.radial.as_ref());
                let rating = rating.map_or_else(|| "unrated".to_owned(), |r| r.describe(system));
                let places: Vec<String> =
                    review.rows.iter().filter(|r| r.item == name).map(|r| r.place.to_string()).collect();
                let mut used: Vec<String> = Vec::new();
                for p in places {
                    if !used.contains(&p) {
                        used.push(p);
                    }
                }
                let used = if used.is_empty() { "nowhere in this plan".to_owned() } else { used.join("; ") };
                return Some(vec![
                    format!("{name} ({}): {rating}; source: {}", item.title, item.source),
                    format!("used: {used}"),
                ]);
            }
            if let Some(i) = review.incidents.iter().find(|i| i.event.words() == name) {
                let mut out = vec![format!("“{name}”")];
                out.extend(incident(i, system));
                out
            } else {
                let rule = RULES.iter().copied().flatten().find(|r| r.id == name)?;
                let mut out = vec![
                    format!("{} ({}): fires on {}", rule.id, rule.gravity.word(), rule.when),
                    format!("why: {}; remedy: {}; source: {}", rule.why, rule.remedy, rule.source),
                ];
                let said: Vec<String> = review.findings.iter().filter(|x| x.rule == name).map(|x| {
                    if x.at.is_empty() { x.text.clone() } else { format!("{}: {}", x.at, x.text) }
                }).collect();
                out.push(if said.is_empty() { "it says nothing of this plan".to_owned() } else { format!("here: {}", said.join("; ")) });
                return Some(out);
            }
        }
    };
    out.extend(
        proof(if name == "sag" { Situation::walker(0.5) } else { Situation::STANDING })
            .filter(|_| FIGURES.iter().any(|x| x.0 == name)),
    );
    out.push(inputs(file, review, system));
    Some(out)
}

/// Everything that has a reason, for those who ask for something that has none.
#[must_use]
pub fn names(review: &Review) -> Vec<String> {
    let there = |name: &str| match name {
        "over" => review.over.is_some(),
        "rescue" => review.rescued.is_some(),
        "edge" => review.edges.is_some(),
        "scouting" => review.scouted.is_some(),
        "stay" => review.stays.is_some(),
        "crew" => review.crew.is_some(),
        "frame" => !review.frames.is_empty(),
        "day" => review.day.is_some(),
        _ => true,
    };
    let mut out: Vec<String> = FIGURES.iter().filter(|f| there(f.0)).map(|f| f.0.to_owned()).collect();
    for r in review.worst_first() {
        if !out.iter().any(|n| n == r.place.name()) {
            out.push(r.place.name().to_owned());
        }
    }
    out
}
