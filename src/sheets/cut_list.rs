//! The cut list: every length by rope kind, and how to take them from spools.

use std::collections::BTreeMap;

use super::Facts;
use super::page::{Block, Page};
use crate::bench::{KERF_M, Piece, pieces_of, plan_cuts};
use crate::document::plain;
use crate::units::{Dim, mm, show};

/// A spool that can be had, as many as are wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct ToCutFrom {
    /// Of this item; of every kind that has none of its own without it.
    pub item: Option<String>,
    /// Length, m.
    pub length_m: f64,
}

/// The cut list of a plan from spools that can be had.
///
/// # Errors
/// A piece that no spool is long enough for, with the length that would do; a spool of what nothing is cut from.
pub fn cut_list(facts: &Facts<'_>, spools: &[ToCutFrom]) -> Result<Page, String> {
    let mut page = Page::of("Cut list", facts.file);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let pieces = pieces_of(facts.file, &facts.articles());
    let mut kinds: BTreeMap<&str, Vec<&Piece>> = BTreeMap::new();
    for p in &pieces {
        kinds.entry(p.item.as_str()).or_default().push(p);
    }
    if let Some(none) = spools.iter().filter_map(|s| s.item.as_deref()).find(|i| !kinds.contains_key(i)) {
        let known: Vec<&str> = kinds.keys().copied().collect();
        return Err(format!("nothing is cut from “{}”; this plan cuts {}", plain(none), plain(&known.join(", "))));
    }
    page.text(format!("Lengths are unstretched. Tape before cutting; each cut costs {} beside.", mm(KERF_M)));
    for (item, all) in kinds {
        page.heading(&format!("{} ({item})", plain(&all[0].title)));
        let rows = all
            .iter()
            .enumerate()
            .map(|(k, p)| vec![format!("{}", k + 1), plain(&p.what), l(p.finished_m), l(p.cut_m), p.allowance.clone()])
            .collect();
        page.table(&["no.>", "becomes", "finished>", "cut>", "added for"], rows);
        let total: f64 = all.iter().map(|p| p.cut_m).sum();
        let mass: f64 = all.iter().map(|p| p.mass_kg).sum();
        let mut lines = vec![("together".to_owned(), format!("{}, {}", l(total), show(Dim::Mass, mass, facts.system)))];
        let of = |kind: Option<&str>| -> Vec<f64> {
            spools.iter().filter(|s| s.item.as_deref() == kind).map(|s| s.length_m).collect()
        };
        let own = of(Some(item));
        let spools_m = if own.is_empty() { of(None) } else { own };
        if spools_m.is_empty() {
            page.blocks.push(Block::Facts(lines));
            continue;
        }
        let lengths: Vec<f64> = all.iter().map(|p| p.cut_m).collect();
        let plan = plan_cuts(&lengths, &spools_m);
        if let Some(&i) = plan.too_long.first() {
            return Err(format!(
                "“{}” needs {} in one piece, longer than any spool; would work: a spool of at least {}, or a line in segments",
                plain(&all[i].what),
                l(lengths[i]),
                l(lengths[i] + KERF_M)
            ));
        }
        for s in &plan.spools {
            let cuts: Vec<String> = s.pieces.iter().map(|i| format!("no. {} ({})", i + 1, l(lengths[*i]))).collect();
            lines.push((format!("from {}", l(s.length_m)), format!("{}; {} left", cuts.join(", "), l(s.left_m))));
        }
        let share = 100.0 * plan.waste_m / plan.spools.iter().map(|s| s.length_m).sum::<f64>().max(1e-9);
        lines.push(("left over in all".to_owned(), format!("{} ({share:.0} %)", l(plan.waste_m))));
        page.blocks.push(Block::Facts(lines));
    }
    Ok(page)
}
