//! The cut list: every length of soft gear and line.

use super::from_plan::spliced_of;
use crate::catalogue::Item;
use crate::plan::{EndKind, Part, PlanFile, Role};
use crate::rig::Article;
use crate::units::Quantity;

/// Tail behind a webbing lock when the plan says none, m. Common practice, no source.
const TAIL_M: f64 = 1.0;
/// What a knot takes, over the rope's diameter. Common practice, no source.
const KNOT_D: f64 = 60.0;
/// What a line has more than the span as measured asks for. Common practice, no source.
const SPAN_SPARE: f64 = 0.05;
/// What a sewn loop takes, m. Common practice, no source.
const SEWN_M: f64 = 0.25;

/// One length to cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Index of the run that it becomes a part of.
    pub run: usize,
    /// Which part, from 0.
    pub part: usize,
    /// Both in words.
    pub what: String,
    /// The item's name.
    pub item: String,
    /// In words.
    pub title: String,
    /// Finished, unstretched, m.
    pub finished_m: f64,
    /// To cut, ends and tails included, m.
    pub cut_m: f64,
    /// What was added, in words.
    pub allowance: String,
    /// kg.
    pub mass_kg: f64,
}

/// What a part takes beyond its finished length for the knots at its ends, m; nothing without one.
#[must_use]
pub fn knots_take_m(part: &Part, item: &Item) -> Option<f64> {
    let knots = part.ends.iter().flatten().filter(|e| matches!(e.kind, EndKind::Knotted(_) | EndKind::Hitched)).count();
    (knots > 0).then(|| knots as f64 * KNOT_D * item.diameter.map_or(0.012, Quantity::si))
}

/// Every length of cut goods in a plan, in the plan's order.
#[must_use]
pub fn pieces_of(file: &PlanFile, articles: &[Article]) -> Vec<Piece> {
    let spliced = spliced_of(&file.plan, &file.catalogue, articles);
    let mut out: Vec<Piece> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    let soft = |a: &Article| {
        let part = file.plan.runs.get_index(a.run).and_then(|(_, run)| run.parts.get(a.part));
        part.and_then(|p| file.catalogue.get(&p.item)).is_some_and(|i| i.class.is_cut())
    };
    for a in articles {
        let Some((name, run)) = file.plan.runs.get_index(a.run) else { continue };
        let Some(part) = run.parts.get(a.part) else { continue };
        let Some(item) = file.catalogue.get(&part.item).filter(|i| i.class.is_cut()) else { continue };
        if let Some(piece) = part.piece.as_deref() {
            // One article in several runs is cut once.
            if seen.contains(&piece) {
                continue;
            }
            seen.push(piece);
        }
        let what = format!("{name}, part {}", a.part + 1);
        let (cut_m, allowance) = match spliced.iter().find(|s| s.run == a.run && s.part == a.part).map(|s| &s.design) {
            Some(Ok(d)) => {
                (d.cut_m + d.spare_m, "eyes, buries, what they take, and what is trimmed (splice card)".to_owned())
            }
            Some(Err(why)) => (a.length_m, format!("cannot be spliced: {why}")),
            None => {
                let d = item.diameter.map_or(0.012, Quantity::si);
                let mut more = 0.0;
                let mut words = Vec::new();
                for end in part.ends.iter().flatten() {
                    let (m, word) = match &end.kind {
                        EndKind::Locked { tail, .. } => (tail.map_or(TAIL_M, Quantity::si), "tail"),
                        EndKind::Knotted(_) => (KNOT_D * d, "knot"),
                        EndKind::Sewn => (SEWN_M, "sewn loop"),
                        EndKind::Hitched => (KNOT_D * d, "hitch"),
                        EndKind::Spliced { .. } | EndKind::Made => (0.0, ""),
                    };
                    more += m;
                    if m > 0.0 {
                        words.push(format!("{word} {m:.2} m"));
                    }
                }
                // A span is never quite what was measured. Of a line in lengths, that which is made to the tension has it for
                // all, else the longest.
                let mine = || articles.iter().filter(|o| o.run == a.run && soft(o));
                let solved = file.plan.tensioned_part().filter(|_| run.role == Role::Main);
                let solved = solved.filter(|k| mine().any(|o| o.part == *k));
                // Spare only helps where an end runs through a lock.
                let locked = |o: &&Article| {
                    let ends = run.parts.get(o.part).and_then(|p| p.ends.as_ref());
                    ends.is_some_and(|e| e.iter().any(|e| matches!(e.kind, EndKind::Locked { .. })))
                };
                let longest = |of: &dyn Fn(&&Article) -> bool| {
                    mine().filter(of).max_by(|x, y| x.length_m.total_cmp(&y.length_m)).map(|l| l.part)
                };
                let one = solved.or_else(|| longest(&locked)).or_else(|| longest(&|_| true));
                if matches!(run.role, Role::Main | Role::Backup { .. }) && one == Some(a.part) {
                    let spare = SPAN_SPARE * mine().map(|o| o.length_m).sum::<f64>();
                    more += spare;
                    words.push(format!("5 % for the span as measured {spare:.2} m"));
                }
                (a.length_m + more, if words.is_empty() { "none".to_owned() } else { words.join(", ") })
            }
        };
        out.push(Piece {
            run: a.run,
            part: a.part,
            what,
            item: part.item.clone(),
            title: item.title.clone(),
            finished_m: a.length_m,
            cut_m,
            allowance,
            mass_kg: cut_m * item.mass_per_length.map_or(0.0, Quantity::si),
        });
    }
    out
}
