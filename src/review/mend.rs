//! What would mend a piece that does not meet.

use super::factors::Kind;
use super::row::Row;
use crate::catalogue::{Catalogue, Class};
use crate::units::Quantity;

/// Ways to mend `row`, the likeliest first. They are proposals: only solving the changed plan shows what they give.
#[must_use]
pub fn mends(row: &Row, catalogue: &Catalogue) -> Vec<String> {
    let mut out = Vec::new();
    let say = str::to_owned;
    let spot = row.strength.spot.as_str();
    if spot.contains("not stated") {
        out.push(say("state how its end is made"));
    } else if spot.starts_with("eye on") && !spot.contains("thimble") {
        out.push(say("a thimble, or a thicker pin"));
    } else if spot.contains("under 60 d") || spot.contains("bury ") && spot.contains(" of 72") {
        out.push(say("bury 72 diameters"));
    } else if !spot.contains("sewn") && spot.contains("knot")
        || !spot.contains("sewn")
            && spot.contains("loop")
            && row.strength.steps.iter().any(|s| s.what.contains("loop") || s.what.contains("knot"))
    {
        let braid = catalogue.get(&row.item).is_some_and(|i| i.class == Class::HollowBraid);
        let sewn = catalogue.get(&row.item).is_some_and(|i| matches!(i.class, Class::Webbing | Class::Leash));
        match (braid, sewn) {
            (true, _) => out.push(say("splice its end instead")),
            (_, true) => out.push(say("a sewn end by its maker instead")),
            _ => {}
        }
    } else if spot.contains("three ways") {
        out.push(say("a ring or a bow shackle instead"));
    }
    if row.case.contains(" short, ") {
        out.push(say("adjust the legs under load, make them longer, or softer"));
    }
    if let Some(item) = stronger(row, catalogue) {
        out.push(item);
    }
    if row.item.is_empty() {
        out.push(say("a stronger anchor, or one more beside it"));
    }
    // One more leg is no help to the line itself.
    out.push(say(match row.kind {
        Kind::Main | Kind::Backup if row.case.contains("storm") => {
            "less tension, or take the line down before the storm"
        }
        Kind::Main | Kind::Backup | Kind::Leash => "less tension",
        _ => "less tension, or one more leg",
    }));
    out
}

/// The next item of the same class and fibre whose rating, derated alike, would meet.
fn stronger(row: &Row, catalogue: &Catalogue) -> Option<String> {
    let item = catalogue.get(&row.item)?;
    let (have, own) = (row.strength.counts_n()?, item.strength_n()?);
    let need = row.required * row.demand_n / have * own;
    catalogue
        .iter()
        .filter(|(_, i)| {
            // A sling of another length would not fit; a bigger shackle is a little longer.
            let fits = item.class != Class::Sling || i.length.map(Quantity::si) == item.length.map(Quantity::si);
            i.class == item.class && i.fibre == item.fibre && fits
        })
        .filter_map(|(_, i)| Some((i, i.strength_n()?)))
        .filter(|(_, n)| *n >= need)
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(i, _)| format!("{} instead", i.title))
}
