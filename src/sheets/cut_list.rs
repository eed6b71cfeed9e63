//! The cut list: every length by rope kind, and how to take them from spools.

use std::collections::BTreeMap;

use super::Facts;
use super::page::{Block, Page};
use crate::bench::{CutPlan, Length, Piece, pieces_of, plan_cuts};
use crate::document::plain;
use crate::units::{Dim, mm, show};

/// What is left is kept from this length on, m. Common practice, no source.
const KEEP_M: f64 = 1.5;

/// A length that can be cut from.
#[derive(Debug, Clone, PartialEq)]
pub struct ToCutFrom {
    /// Of this item; of every kind that has none of its own without it.
    pub item: Option<String>,
    /// Length, m.
    pub length_m: f64,
    /// Whether it is owned, and there so many times; else it can be bought, as often as is wanted.
    pub owned: bool,
    /// How many of it there are, of what is owned.
    pub count: usize,
}

/// The cut list of a plan from spools that can be had.
///
/// # Errors
/// A spool of what nothing is cut from.
pub fn cut_list(facts: &Facts<'_>, spools: &[ToCutFrom], kerf_m: f64) -> Result<Page, String> {
    let mut page = Page::of("Cut list", facts.file);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let pieces = pieces_of(facts.file, &facts.articles());
    let cards = super::splice_card::numbers(facts);
    let mut kinds: BTreeMap<&str, Vec<&Piece>> = BTreeMap::new();
    for p in &pieces {
        kinds.entry(p.item.as_str()).or_default().push(p);
    }
    if let Some(none) = spools.iter().filter_map(|s| s.item.as_deref()).find(|i| !kinds.contains_key(i)) {
        let known: Vec<&str> = kinds.keys().copied().collect();
        return Err(format!("nothing is cut from “{}”; this plan cuts {}", plain(none), plain(&known.join(", "))));
    }
    page.text(format!("Lengths are unstretched. Tape before cutting; each cut costs {} beside.", mm(kerf_m)));
    let mut short = Vec::new();
    for (item, all) in kinds {
        page.heading(&format!("{} ({item})", plain(&all[0].title)));
        let rows = all
            .iter()
            .enumerate()
            .map(|(k, p)| {
                let card =
                    cards.iter().find(|c| c.0 == (p.run, p.part)).map_or_else(|| "–".to_owned(), |c| c.1.to_string());
                let (what, for_) = (plain(&p.what), p.allowance.clone());
                vec![format!("{}", k + 1), what, card, l(p.finished_m), l(p.cut_m), for_]
            })
            .collect();
        page.table(&["no.>", "becomes", "card>", "finished>", "cut>", "added for"], rows);
        let total: f64 = all.iter().map(|p| p.cut_m).sum();
        let mass: f64 = all.iter().map(|p| p.mass_kg).sum();
        let mut lines = vec![("together".to_owned(), format!("{}, {}", l(total), show(Dim::Mass, mass, facts.system)))];
        let of = |kind: Option<&str>| -> Vec<Length> {
            let of = spools.iter().filter(|s| s.item.as_deref() == kind);
            of.flat_map(|s| std::iter::repeat_n(Length { length_m: s.length_m, owned: s.owned }, s.count.max(1)))
                .collect()
        };
        let own = of(Some(item));
        let stock = if own.is_empty() { of(None) } else { own };
        if stock.is_empty() {
            page.blocks.push(Block::Facts(lines));
            continue;
        }
        let lengths: Vec<f64> = all.iter().map(|p| p.cut_m).collect();
        let plan = plan_cuts(&lengths, &stock, kerf_m);
        lines.extend(cuts(&plan, &lengths, kerf_m, &l));
        page.blocks.push(Block::Facts(lines));
        if let Some(missing) = missing(item, &all, &plan, &stock, kerf_m, &l) {
            short.push(plain(&all[0].title));
            page.blocks.push(Block::Warning(missing));
        }
    }
    if !short.is_empty() {
        page.blocks.insert(0, Block::Warning(format!("What there is to cut from does not do: {}.", short.join(", "))));
    }
    Ok(page)
}

/// What pieces nothing is left for are short by, and what would do; nothing where all are cut.
fn missing(
    item: &str,
    all: &[&Piece],
    plan: &CutPlan,
    stock: &[Length],
    kerf_m: f64,
    l: &dyn Fn(f64) -> String,
) -> Option<String> {
    let needs = |i: &usize| all[*i].cut_m + kerf_m;
    let most = plan.without.iter().max_by(|a, b| needs(a).total_cmp(&needs(b)))?;
    let longest = stock.iter().map(|s| s.length_m).fold(0.0, f64::max);
    let names: Vec<String> = plan.without.iter().map(|i| format!("no. {}", i + 1)).collect();
    let names = names.join(", ");
    if needs(most) > longest {
        return Some(format!(
            "{names} not cut: “{}” needs {} in one piece, longer than any spool; would work: a spool of at least {}, or a line in segments.",
            plain(&all[*most].what),
            l(all[*most].cut_m),
            l(needs(most))
        ));
    }
    let short: f64 = plan.without.iter().map(needs).sum();
    Some(format!(
        "{names} not cut: the stock of {} is short by {}; would work: --spool \"{item}={}\".",
        plain(&all[0].title),
        l(short),
        l(short.ceil())
    ))
}

/// What is cut from what, where the tape stands at each cut, and what is left.
fn cuts(plan: &CutPlan, lengths: &[f64], kerf_m: f64, l: &dyn Fn(f64) -> String) -> Vec<(String, String)> {
    let mut lines = Vec::new();
    if plan.taken.is_empty() {
        return lines;
    }
    for t in &plan.taken {
        let mut at = 0.0;
        let cuts: Vec<String> = t
            .pieces
            .iter()
            .map(|i| {
                at += lengths[*i];
                let text = format!("no. {} ({}) to {}", i + 1, l(lengths[*i]), l(at));
                at += kerf_m;
                text
            })
            .collect();
        let from = if t.from.owned {
            format!("from your {}", l(t.from.length_m))
        } else {
            format!("from {}", l(t.from.length_m))
        };
        let goes = if t.left_m >= KEEP_M { "kept" } else { "scrap" };
        lines.push((
            format!("{}. {from}", lines.len() + 1),
            format!("{}; {} left, {goes}", cuts.join(", "), l(t.left_m)),
        ));
    }
    let taken: f64 = plan.taken.iter().map(|t| t.from.length_m).sum();
    let bought: f64 = plan.taken.iter().filter(|t| !t.from.owned).map(|t| t.from.length_m).sum();
    if bought > 0.0 {
        lines.push(("to buy".to_owned(), l(bought)));
    }
    let share = 100.0 * plan.left_m / taken.max(1e-9);
    lines.push(("left over in all".to_owned(), format!("{} ({share:.0} %)", l(plan.left_m))));
    let word = if plan.gap > 0.0 {
        format!(
            "within {:.1} % of the least possible, which is no less than {}",
            100.0 * plan.gap,
            l(taken / (1.0 + plan.gap))
        )
    } else {
        "no cutting of these takes less".to_owned()
    };
    lines.push(("proved".to_owned(), word));
    lines
}
