//! What proves each figure: forces out of balance of every situation, books of energy and mesh of every incident.

use super::page::{Block, Page};
use crate::document::plain;
use crate::plan::PlanFile;
use crate::review::Review;

/// Certificates of a reviewed plan.
#[must_use]
pub fn certificates(file: &PlanFile, review: &Review) -> Page {
    let mut page = Page::of("Solver checks", file);
    let failed = review.cases.iter().filter(|c| !c.certified()).count()
        + review.incidents.iter().filter(|i| i.fault.is_some()).count();
    let words = if failed == 0 && review.unsolved.is_empty() {
        format!(
            "All {} situations and {} incidents pass the solver checks{}.",
            review.cases.len(),
            review.incidents.len(),
            if review.to_come > 0 { format!(", {} still to come", review.to_come) } else { String::new() }
        )
    } else {
        format!("{} do not pass: no verdict of their class stands.", failed.max(review.unsolved.len()))
    };
    page.blocks.push(Block::Warning(words));
    page.heading("Situations at rest");
    page.text(
        "Measured again by code that shares nothing with the solver: the largest force out of balance at any free point, \
         against a millionth of the largest tension.",
    );
    let rows = review
        .cases
        .iter()
        .map(|c| {
            let cert = &c.certificate;
            vec![
                plain(&c.case.words()),
                format!("{:.1e} N", cert.residual_n),
                format!("{:.2} kN", cert.largest_n / 1e3),
                format!("{:.0e}", cert.residual_n / cert.largest_n.max(1e-12)),
                if cert.holds() { "holds".to_owned() } else { plain(&cert.faults.join("; ")) },
            ]
        })
        .collect();
    page.table(&["situation", "out of balance>", "largest>", "share>", "check"], rows);
    page.heading("Falls and failures");
    page.text(
        "Energy that the steps misplaced and that the stepping took, over weight times drop (1 % of the first is the \
         limit); where an incident governs, how far its peaks are from half the step and mesh.",
    );
    let rows = review
        .incidents
        .iter()
        .map(|i| {
            let still = i.idle || i.peaks.run_n.is_empty();
            let share = |x: f64| if still { "–".to_owned() } else { format!("{:.2} %", 100.0 * x) };
            let verdict = match (&i.fault, &i.breaks, still) {
                (Some(w), ..) => plain(w),
                (_, Some(_), _) => "until it breaks".to_owned(),
                (_, _, true) => "no motion".to_owned(),
                _ => "holds".to_owned(),
            };
            vec![
                plain(&i.event.words()),
                share(i.energy_error),
                share(i.numerical),
                match (&i.repeat_fault, i.mesh_error) {
                    (Some(w), _) => plain(w),
                    (None, e) => e.map_or_else(|| "–".to_owned(), |e| format!("{:.1} %", 100.0 * e)),
                },
                verdict,
            ]
        })
        .collect();
    page.table(&["incident", "books>", "stepping>", "mesh>", "check"], rows);
    for u in &review.unsolved {
        page.blocks.push(Block::Warning(format!("Not solved: {}: {}", plain(&u.words()), plain(&u.why))));
    }
    page
}
