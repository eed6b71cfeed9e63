//! Falls and failures in words: what each came to, and which single pieces nothing stands in for.

use crate::document::plain;
use crate::plan::PlanFile;
use crate::review::{Catch, Held, Incident, Review};
use crate::units::{Dim, System, show};

/// Pieces whose going drops the walker, or lets them swing into a side; each once, with what happens.
#[must_use]
pub fn not_redundant(review: &Review) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    for i in &review.incidents {
        let what = match i.held {
            Some(Held::Dropped) => "the walker is dropped".to_owned(),
            Some(Held::Only(side)) => format!("the walker swings into side {side:?}"),
            _ => continue,
        };
        let piece = i.event.situation.lost();
        if !out.iter().any(|o| o.0 == piece) {
            out.push((piece, what));
        }
    }
    out
}

/// What an incident came to, in one line.
#[must_use]
pub fn outcome(file: &PlanFile, review: &Review, i: &Incident, system: System) -> String {
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    if let Some(why) = &i.fault {
        return format!("not worked out: {why}");
    }
    if let Some((what, t)) = &i.breaks {
        let what = what.name(&review.run_names, &review.point_names);
        return format!(
            "“{}” passes its strength after {t:.2} s; the other pieces are judged as if it held",
            plain(&what)
        );
    }
    match i.held {
        Some(Held::Dropped) => return "the walker is dropped".to_owned(),
        _ if i.idle => return "it carried nothing; nothing stirs".to_owned(),
        _ => {}
    }
    if let Some(Held::Only(side)) = i.held {
        return format!("held from {side:?} alone: swings into it; not played");
    }
    let mut out = Vec::new();
    out.push(format!("{} down", l(i.drop_m)));
    let clear = file.plan.site.ground_at(i.feet_m[1]).map(|g| i.feet_m[0] - g);
    out.extend(
        clear
            .map(|c| if c < 0.0 { format!("feet {} BELOW the ground", l(-c)) } else { format!("feet {} clear", l(c)) }),
    );
    out.push(format!("body {}", f(i.peaks.body_n)));
    let main = i.peaks.line_n[0].max(i.peaks.line_n[1]);
    let backup = i.peaks.backup_n.iter().copied().fold(0.0, f64::max);
    if main > 0.0 {
        out.push(format!("line {}", f(main)));
    }
    if backup > 0.0 {
        out.push(format!("backup {}", f(backup)));
    }
    if let Some(t) = i.ring_at_joint_s {
        out.push(format!("the ring comes to a joint after {t:.1} s, not followed beyond"));
    }
    if !i.event.loss.is_none() && !i.caught_by.is_empty() {
        let name = |run: usize| review.run_names.get(run).map_or("?", String::as_str);
        let names: Vec<&str> = i.caught_by.iter().take(2).map(|r| name(*r)).collect();
        out.push(format!("caught by {}", plain(&names.join(", "))));
    }
    out.join(", ")
}

/// What a catch comes to, or that it has no answer.
pub(super) fn caught(c: &Catch, system: System) -> String {
    match (c.fall_m, c.body_n) {
        (Some(m), Some(n)) => {
            format!("falls {}, body over {}", show(Dim::Length, m, system), show(Dim::Force, n, system))
        }
        _ => "was not solved".to_owned(),
    }
}

/// Every incident with what it came to, and the summary of what nothing stands in for; one entry to a line.
#[must_use]
pub(super) fn lines(file: &PlanFile, review: &Review, system: System, all: bool) -> Vec<String> {
    let mut out = Vec::new();
    let alone = not_redundant(review);
    if review.incidents.is_empty() {
        return vec!["No falls or failures were worked out.".to_owned()];
    }
    if review.to_come > 0 {
        out.push(format!("{} more are still to come.", review.to_come));
    }
    out.push(if alone.is_empty() {
        "No single piece of the rig, leash and rings aside, drops the walker by going, or lets them swing into a side."
            .to_owned()
    } else {
        let words: Vec<String> = alone.iter().map(|(p, w)| format!("{}: {w}", plain(p))).collect();
        format!("One failure is enough at: {}.", words.join("; "))
    });
    let l = |m: f64| show(Dim::Length, m, system);
    let seated = file.plan.people.seated;
    out.push(format!(
        "Seated: {} from A and {} from B as the plan says; {} and {} are needed.",
        l(seated[0].value),
        l(seated[1].value),
        l(review.no_fall_m[0]),
        l(review.no_fall_m[1])
    ));
    if let Some((own, others)) = review.catches.split_first() {
        out.push(format!(
            "Backup: {:.1} % excess is {} in its longest segment of {}; by energy a catch there {}.",
            100.0 * own.excess,
            l(own.spare_m),
            l(own.segment_m),
            caught(own, system)
        ));
        let words: Vec<String> = others
            .iter()
            .map(|c| format!("{:.0} % ({}): {}", 100.0 * c.excess, l(c.spare_m), caught(c, system)))
            .collect();
        out.push(format!("With another excess in that segment: {}.", words.join("; ")));
    }
    if !review.spacings.is_empty() {
        let words: Vec<String> = review
            .spacings
            .iter()
            .map(|c| format!("{} ({} spare): {}", l(c.segment_m), l(c.spare_m), caught(c, system)))
            .collect();
        out.push(format!("Tied to the main line every so far, with the same excess: {}.", words.join("; ")));
    }
    // The hardest on the body, the deepest, whatever broke or dropped; the rest on demand.
    let hardest = |of: &dyn Fn(&Incident) -> f64| {
        (0..review.incidents.len()).max_by(|a, b| of(&review.incidents[*a]).total_cmp(&of(&review.incidents[*b])))
    };
    let marked = [hardest(&|i| i.peaks.body_n), hardest(&|i| i.drop_m)];
    for (k, i) in review.incidents.iter().enumerate() {
        // Who is dropped or swings is said above, piece by piece.
        let bad = i.fault.is_some() || i.breaks.is_some();
        if all || bad || marked.contains(&Some(k)) || i.event.class == crate::review::Class::Fall {
            out.push(format!("{}: {}", plain(&i.event.words()), outcome(file, review, i, system)));
        }
    }
    out
}
