//! What would mend a piece that does not meet.

use super::row::Row;
use crate::catalogue::{Catalogue, Class};
use crate::units::Quantity;

/// One way to mend a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// In words.
    pub words: String,
    /// An item to put in its place, if that is the way.
    pub item: Option<String>,
}

/// Ways to mend `row`, the likeliest first. They are proposals: only solving the changed plan shows what they give.
#[must_use]
pub fn mends(row: &Row, catalogue: &Catalogue) -> Vec<Mend> {
    let mut out = Vec::new();
    let say = |words: &str| Mend { words: words.to_owned(), item: None };
    let spot = row.strength.spot.as_str();
    if row.case.contains(" short, ") {
        out.push(say("adjust the legs under load, make them longer, or softer"));
    }
    if spot.contains("not stated") {
        out.push(say("state how its end is made"));
    } else if spot.starts_with("eye on") && !spot.contains("thimble") {
        out.push(say("a thimble, or a thicker pin"));
    } else if spot.contains("under 60 d") || spot.contains("bury ") && spot.contains(" of 72") {
        out.push(say("bury 72 diameters"));
    } else if spot.contains("knot")
        || spot.contains("loop")
            && row.strength.steps.iter().any(|s| s.what.contains("loop") || s.what.contains("knot"))
    {
        out.push(say("splice or sew its end instead"));
    } else if spot.contains("three ways") {
        out.push(say("a ring or a bow shackle instead"));
    }
    if let Some(item) = stronger(row, catalogue) {
        out.push(item);
    }
    if row.item.is_empty() {
        out.push(say("a stronger anchor, or one more beside it"));
    }
    out.push(say("less tension, or one more leg"));
    out
}

/// The next item of the same class and fibre whose rating, derated alike, would meet.
fn stronger(row: &Row, catalogue: &Catalogue) -> Option<Mend> {
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
        .filter_map(|(id, i)| Some((id, i, i.strength_n()?)))
        .filter(|(_, _, n)| *n >= need)
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(id, i, _)| Mend { words: format!("{} instead", i.title), item: Some(id.to_owned()) })
}
