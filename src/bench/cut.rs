//! The cut list: every length of soft gear and line, and how to take them from spools with little waste.

use super::from_plan::spliced_of;
use crate::plan::{EndKind, PlanFile, Role};
use crate::rig::Article;
use crate::units::Quantity;

/// Lost at each cut, with the taped end, m. Common practice, no source.
pub(crate) const KERF_M: f64 = 0.03;
/// Tail behind a webbing lock when the plan says none, m. Common practice, no source.
const TAIL_M: f64 = 1.0;
/// What a knot takes, over the rope's diameter. Common practice, no source.
const KNOT_D: f64 = 60.0;
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

/// Every length of cut goods in a plan, in the plan's order.
#[must_use]
pub fn pieces_of(file: &PlanFile, articles: &[Article]) -> Vec<Piece> {
    let spliced = spliced_of(&file.plan, &file.catalogue, articles);
    let mut out: Vec<Piece> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
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
            Some(Ok(d)) => (d.cut_m, "eyes, buries and what they shorten (splice card)".to_owned()),
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
                // A line is measured with a laser and walked with a tape: the trade takes a tenth more.
                if matches!(run.role, Role::Main | Role::Backup { .. }) && run.parts.len() < 6 {
                    more += 0.05 * a.length_m;
                    words.push(format!("5 % for the span as measured {:.2} m", 0.05 * a.length_m));
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

/// One spool, what is cut from it, and what is left.
#[derive(Debug, Clone, PartialEq)]
pub struct Spool {
    /// Length, m.
    pub length_m: f64,
    /// Pieces by their index, in the order of cutting.
    pub pieces: Vec<usize>,
    /// Left over, m.
    pub left_m: f64,
}

/// How pieces come from spools.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutPlan {
    /// Spools that are cut.
    pub spools: Vec<Spool>,
    /// Pieces that no spool is long enough for, by their index.
    pub too_long: Vec<usize>,
    /// Left over on spools that were cut, m.
    pub waste_m: f64,
}

/// Takes lengths (m) from spools of given lengths (m), as many of each as are wanted: the longest first, each from the
/// spool that it leaves least of; a new spool is the shortest that will do, unless a longer one takes all that is left.
#[must_use]
pub fn plan_cuts(lengths_m: &[f64], spools_m: &[f64]) -> CutPlan {
    let mut order: Vec<usize> = (0..lengths_m.len()).collect();
    order.sort_by(|a, b| lengths_m[*b].total_cmp(&lengths_m[*a]).then(a.cmp(b)));
    let mut sizes: Vec<f64> = spools_m.iter().copied().filter(|s| *s > 0.0).collect();
    sizes.sort_by(f64::total_cmp);
    let mut out = CutPlan::default();
    for (n, &i) in order.iter().enumerate() {
        let need = lengths_m[i] + KERF_M;
        let best = (0..out.spools.len())
            .filter(|s| out.spools[*s].left_m >= need)
            .min_by(|a, b| out.spools[*a].left_m.total_cmp(&out.spools[*b].left_m));
        if let Some(s) = best {
            out.spools[s].pieces.push(i);
            out.spools[s].left_m -= need;
            continue;
        }
        let rest: f64 = order[n..].iter().map(|k| lengths_m[*k] + KERF_M).sum();
        let size = sizes.iter().find(|s| **s >= rest).or_else(|| sizes.iter().find(|s| **s >= need));
        match size {
            Some(&length_m) => out.spools.push(Spool { length_m, pieces: vec![i], left_m: length_m - need }),
            None => out.too_long.push(i),
        }
    }
    out.waste_m = out.spools.iter().map(|s| s.left_m).sum();
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_is_too_long_is_said() {
        let p = plan_cuts(&[30.0, 120.0, 19.0], &[50.0, 100.0]);
        assert_eq!(p.too_long, [1]);
        assert_eq!(p.spools.len(), 1);
        assert!((p.waste_m - (50.0 - 49.0 - 2.0 * KERF_M)).abs() < 1e-9);
    }

    proptest! {
        /// Every piece is cut once or said to be too long; nothing is cut from what is not there.
        #[test]
        fn all_is_cut_once(lengths in prop::collection::vec(0.2..60.0_f64, 1..40), spools in prop::collection::vec(10.0..120.0_f64, 1..4)) {
            let p = plan_cuts(&lengths, &spools);
            let mut all: Vec<usize> = p.spools.iter().flat_map(|s| s.pieces.iter().copied()).chain(p.too_long.iter().copied()).collect();
            all.sort_unstable();
            prop_assert_eq!(all, (0..lengths.len()).collect::<Vec<_>>());
            for s in &p.spools {
                let used: f64 = s.pieces.iter().map(|i| lengths[*i] + KERF_M).sum();
                prop_assert!((s.length_m - used - s.left_m).abs() < 1e-6 && s.left_m >= -1e-9);
                prop_assert!(spools.contains(&s.length_m));
            }
            let longest = spools.iter().copied().fold(0.0, f64::max);
            prop_assert!(p.too_long.iter().all(|i| lengths[*i] + KERF_M > longest));
        }
    }
}
