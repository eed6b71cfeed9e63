//! A friend's figures beside ours, one line each.

use crate::document::plain;
use crate::review::{Review, Stands};
use crate::units::System;

/// How many agree and how many do not; nothing without claims.
#[must_use]
pub fn claims_counted(review: &Review) -> Option<String> {
    let agree = review.claims.iter().filter(|c| c.stands == Stands::Agrees).count();
    let left = review.claims.len() - agree;
    (!review.claims.is_empty()).then(|| match left {
        0 => format!("all {agree} agree"),
        n => format!("{agree} agree, {n} do not"),
    })
}

/// Each claim in a row: sign, what, said, ours, and the slip.
#[must_use]
pub fn claims_rows(review: &Review, system: System) -> Vec<[String; 5]> {
    let rows = review.claims.iter().map(|c| {
        let (sign, words) = match c.stands {
            Stands::Agrees => ("✓", ""),
            Stands::Cautious => ("≠", "off, on the side that does no harm"),
            Stands::Flatters => ("✗", "flatters the rig"),
            Stands::Unworkable => ("?", "the review has no such figure"),
        };
        let slip = c.slip.as_ref().map_or(words.to_owned(), |s| format!("{words}; it would be: {s}"));
        let by = if c.by.is_empty() { String::new() } else { format!(" ({})", plain(&c.by)) };
        [
            sign.to_owned(),
            format!("{}{by}", plain(&c.what)),
            c.figure(c.says, system),
            c.ours.map_or("–".to_owned(), |n| c.figure(n, system)),
            slip,
        ]
    });
    rows.collect()
}
