//! What would mend a piece that does not meet.

use super::factors::Kind;
use super::row::Row;
use super::situation::With;
use super::strength::Weak;
use crate::catalogue::{Catalogue, Class};
use crate::units::Quantity;

/// Ways to mend `row`, the likeliest first. They are proposals: only solving the changed plan shows what they give.
#[must_use]
pub fn mends(row: &Row, catalogue: &Catalogue) -> Vec<String> {
    let mut out = Vec::new();
    let say = str::to_owned;
    match (row.strength.weak, catalogue.get(&row.item).map(|i| i.class)) {
        (Weak::EndNotStated, _) => out.push(say("state how its end is made")),
        (Weak::BareEye, _) => out.push(say("a thimble, or a thicker pin")),
        (Weak::ShortBury, _) => out.push(say("bury 72 diameters")),
        (Weak::Knotted, Some(Class::HollowBraid)) => out.push(say("splice its end instead")),
        (Weak::Knotted, Some(Class::Webbing | Class::Leash)) => out.push(say("a sewn end by its maker instead")),
        (Weak::ThreeWays, _) => out.push(say("a ring or a bow shackle instead")),
        _ => {}
    }
    let against = |is: &dyn Fn(&With) -> bool| row.situation().is_some_and(|s| s.with.iter().any(is));
    if against(&|w| matches!(w, With::Short { .. })) {
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
        Kind::Main | Kind::Backup if against(&|w| matches!(w, With::Storm(_))) => {
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
