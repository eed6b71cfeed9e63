//! Where a figure comes from: the situation behind a demand, the inputs behind the situation, and the proof of it.

use super::text::explain;
use crate::document::plain;
use crate::plan::{PartLength, PlanFile, Target};
use crate::review::{Held, RULES, Review, Row, Who};
use crate::units::{Dim, Quantity, System, show};

/// Names of figures that belong to no piece, and what they are.
pub const FIGURES: [(&str, &str); 6] = [
    ("standing", "standing tension at A and B"),
    ("length", "unstretched length of the line"),
    ("sag", "sag, standing and with a walker"),
    ("body", "largest force on the body"),
    ("clearance", "least height of the feet over the ground"),
    ("no-fall", "how far from the ends nobody may fall"),
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

/// Where the demand of a row comes from, sentence by sentence.
#[must_use]
pub fn demand(file: &PlanFile, review: &Review, row: &Row, system: System) -> Vec<String> {
    let f = |n: f64| show(Dim::Force, n, system);
    let mut out = vec![format!(
        "{} is the largest of its class ({}), in “{}”",
        f(row.demand_n),
        row.class.word(),
        plain(&row.case)
    )];
    let id = row.case.split(", joint ").next().unwrap_or(&row.case);
    if let Some(c) = review.cases.iter().find(|c| c.case.id == id) {
        for w in &c.case.load.walkers {
            out.push(format!("a load of {} at {:.0} % of the line", f(w.weight_n), 100.0 * w.at));
        }
        if c.case.load.wind_m_s != 0.0 {
            out.push(format!("wind of {} across", show(Dim::Velocity, c.case.load.wind_m_s.abs(), system)));
        }
        if c.case.load.warmer_k != 0.0 {
            out.push(format!("{:+.0} K against the day it was tensioned", c.case.load.warmer_k));
        }
        out.push(format!(
            "line {} at A and {} at B; equilibrium of the whole rig, {:.0e} N out of balance by an independent check",
            f(c.response.line_n[0]),
            f(c.response.line_n[1]),
            c.certificate.residual_n
        ));
    } else if let Some(lines) = incident(review, id, system) {
        out.extend(lines);
    } else if row.case.starts_with("one leg carries all") {
        out.push(
            "the whole pull of the master, its largest over all situations, on this leg alone: the others have gone"
                .to_owned(),
        );
    }
    out.push(inputs(file, review, system));
    out
}

/// How an incident was played, and what proves it.
fn incident(review: &Review, id: &str, system: System) -> Option<Vec<String>> {
    let i = review.incidents.iter().find(|i| i.event.id == id)?;
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
        return Some(vec![format!("{who} at {:.0} % of the line; not played: {what}", 100.0 * i.event.at)]);
    }
    Some(vec![
        format!("{who} at {:.0} % of the line; played in time", 100.0 * i.event.at),
        format!(
            "{} down at most, feet at {}, body {}, leash {}",
            l(i.drop_m),
            l(i.feet_m[0]),
            f(i.peaks.body_n),
            f(i.peaks.leash_n)
        ),
        format!("books of energy out by {:.2} % of weight times drop{mesh}", 100.0 * i.energy_error),
    ])
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
    let proof = |id: &str| {
        let c = review.cases.iter().find(|c| c.case.id == id)?;
        Some(format!("equilibrium “{id}”: {:.0e} N out of balance by an independent check", c.certificate.residual_n))
    };
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
            let mut out = vec![format!("{} on the body in “{}”, the largest of {} incidents", f(hardest.peaks.body_n), hardest.event.id, review.incidents.len())];
            out.extend(incident(review, &hardest.event.id, system)?);
            out
        }
        "clearance" => {
            let span_m = file.plan.site.span.si();
            let inside = |x: f64| x > review.no_fall_m[0] && x < span_m - review.no_fall_m[1];
            let low = review.envelope.iter().filter(|l| inside(l.x_m)).filter_map(|l| Some((l.margin_m()?, l))).min_by(|a, b| a.0.total_cmp(&b.0));
            let mut out: Vec<String> = low.map(|(m, at)| format!(
                "{} between feet and ground at {} along the span, by energy: feet at {}, ground at {} (highest within 1 m)",
                l(m), l(at.x_m), at.feet_m().map_or("–".to_owned(), l), at.ground_m.map_or("–".to_owned(), l)
            )).into_iter().collect();
            out.push("near the ends the no-fall zone says it; incidents that were played are listed with their own figure".to_owned());
            out.push(format!("ground: {} points of the plan, straight between them", file.plan.site.ground.len()));
            out
        }
        "no-fall" => vec![
            format!("{} from A, {} from B", l(review.no_fall_m[0]), l(review.no_fall_m[1])),
            "as far as a fall, by energy, would bring the feet to the ground, and at least the reach of leash and body and a metre (common practice)".to_owned(),
        ],
        _ => {
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
            if let Some(lines) = incident(review, name, system) {
                let mut out = vec![format!("“{name}”")];
                out.extend(lines);
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
        proof(if name == "sag" { "walker 0.50" } else { "standing" }).filter(|_| FIGURES.iter().any(|x| x.0 == name)),
    );
    out.push(inputs(file, review, system));
    Some(out)
}

/// Everything that has a reason, for those who ask for something that has none.
#[must_use]
pub fn names(review: &Review) -> Vec<String> {
    let mut out: Vec<String> = FIGURES.iter().map(|f| f.0.to_owned()).collect();
    for r in review.worst_first() {
        if !out.iter().any(|n| n == r.place.name()) {
            out.push(r.place.name().to_owned());
        }
    }
    out
}
