//! The rig in lines of words.

use crate::app::short;
use crate::app::{App, Entry, Selected, WorstRow};
use crate::document::plain;
use crate::document::schema::Need;
use crate::review::Row;
use crate::sheets::explain;
use crate::units::{Dim, show};

/// Wider than any line: a terminal or a reader breaks lines itself.
const UNBROKEN: usize = 100_000;

/// Verdict, what limits the rig, how many findings.
pub(super) fn limit(app: &App) -> Vec<String> {
    let mut out = vec![app.verdict_line().1];
    if app.review.is_some() {
        out.push(app.counts_line());
    } else {
        out.extend(app.fault_lines());
    }
    out
}

fn judged(app: &App, r: &Row) -> String {
    let system = app.settings.system;
    if r.is_height() {
        let (found, asked) = (r.found(system), r.asked(system));
        return format!("{found} of {asked} asked for, {} {}", r.verdict.sign(), r.verdict.word());
    }
    let [found, asked] = short::found(r, system);
    format!(
        "{} {}, factor {found} of {asked}, {} {}",
        short::force(r.demand_n, system),
        short::force_unit(system),
        r.verdict.sign(),
        r.verdict.word()
    )
}

/// A line of the outline by its full name.
fn name(e: &Entry) -> String {
    match &e.selected {
        Some(Selected::Part(run, _)) => format!("{run} part {}", e.text),
        _ => e.text.clone(),
    }
}

/// The rig along the load's way, each piece with its demand, its factor and its verdict.
pub(super) fn path(app: &App) -> Vec<String> {
    let mut out: Vec<String> = app
        .outline
        .iter()
        .map(|e| match (&e.selected, app.worst_of(e)) {
            (None, _) => format!("{}:", plain(&e.text)),
            (_, Some(r)) => format!("{}: {}", plain(&name(e)), judged(app, r)),
            (_, None) => plain(&name(e)),
        })
        .collect();
    if app.review.is_none() {
        out.extend(app.fault_lines());
    }
    out
}

/// The worst first: everything, or the first `count`.
pub(super) fn worst(app: &App, count: usize) -> Vec<String> {
    let Some(review) = &app.review else { return app.fault_lines() };
    let rows = app.worst_rows();
    let mut out: Vec<String> = rows
        .iter()
        .take(count)
        .enumerate()
        .map(|(i, row)| match row {
            WorstRow::Row(k) => {
                let r = &review.rows[*k];
                plain(&format!("{} {}: {}, {}", i + 1, r.place, judged(app, r), r.class_and_case()))
            }
            WorstRow::Finding(k) => {
                let f = &review.findings[*k];
                let at = if f.at.is_empty() { String::new() } else { format!("{}: ", f.at) };
                plain(&format!("{} {}: {at}{} — {}", i + 1, f.gravity.word(), f.text, f.remedy))
            }
        })
        .collect();
    if rows.len() > count {
        out.push(format!("and {} more; “worst all” says them", rows.len() - count));
    }
    out
}

/// What the rules have to say, with why and what mends it.
pub(super) fn findings(app: &App) -> Vec<String> {
    let Some(review) = &app.review else { return app.fault_lines() };
    let mut out = Vec::new();
    for (f, places) in review.findings_by_text() {
        let at = if places.is_empty() { places } else { format!("{places}: ") };
        out.push(plain(&format!("{}: {at}{} — {}; {}. [{}]", f.gravity.word(), f.text, f.why, f.remedy, f.rule)));
        if let Some(reason) = &f.set_aside {
            out.push(format!("set aside: {}", plain(reason)));
        }
    }
    if out.is_empty() {
        out.push("no findings".to_owned());
    }
    out
}

/// What is selected: its fields by number, what it carries, and the reasons for its number.
pub(super) fn piece(app: &App) -> Vec<String> {
    let mut out = vec![plain(&app.selected.words())];
    for (i, f) in app.form.iter().enumerate() {
        let value = match (&f.value, f.need) {
            (Some(v), _) => plain(v),
            (None, Need::Required) => "missing".to_owned(),
            (None, Need::Default(d)) => format!("not set ({d})"),
        };
        out.push(format!("field {} {}: {value}", i + 1, f.name));
    }
    out.extend(app.carried_line());
    for r in app.rows_of_selected() {
        out.extend(
            explain(r, app.settings.system, UNBROKEN)
                .lines()
                .map(|l| l.split_whitespace().collect::<Vec<_>>().join(" "))
                .filter(|l| !l.is_empty()),
        );
    }
    if app.review.is_none() {
        out.extend(app.fault_lines());
    }
    out
}

/// The situation in view: the line, and what each leg carries.
pub(super) fn view(app: &App) -> Vec<String> {
    let Some(view) = &app.view else { return app.fault_lines() };
    let (force, length) =
        (|n: f64| show(Dim::Force, n, app.settings.system), |m: f64| show(Dim::Length, m, app.settings.system));
    let mut out = vec![format!("in view: {} (walker at {:.2} of the way from A to B)", view.case, app.walker)];
    let Some(r) = &view.response else {
        out.push(format!("not solved, so there are no tensions: {}", view.faults.join("; ")));
        return out;
    };
    out.push(format!("line: {} at A, {} at B", force(r.line_n[0]), force(r.line_n[1])));
    out.push(format!("sag: {} now, {} standing", length(r.sag_m), length(view.standing_sag_m)));
    if let Some([x, _, gap]) = view.clearance {
        out.push(format!("least clearance: {} at {} from A, ends aside", length(gap), length(x)));
    }
    for (side, angle) in ["A", "B"].iter().zip(view.opening_deg) {
        out.extend(angle.map(|a| format!("outer legs at {side}: {a:.0} deg")));
    }
    if let Ok(solver) = &app.solver {
        out.extend(solver.rig.legs.iter().map(|l| {
            let t = r.run_n[l.run];
            format!("{}: {}", plain(&solver.rig.run_names[l.run]), if t > 0.0 { force(t) } else { "slack".to_owned() })
        }));
    }
    out
}
