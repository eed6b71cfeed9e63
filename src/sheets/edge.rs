//! Work at the edges: who hangs on what at which step, and what each tie does.

use super::Facts;
use super::page::{Block, Page};
use crate::document::plain;
use crate::review::{Place, Review, SideAt, TiePiece, Tied, Verdict, factor_text};
use crate::units::{Dim, show};

/// Factor and verdict of a piece of a tie, in words; nothing where it has no row.
#[must_use]
pub fn tie_said(review: &Review, name: &str, piece: &TiePiece) -> Option<(String, Verdict)> {
    let row = review.rows.iter().find(|r| matches!(&r.place, Place::Tie(n, p) if n == name && p == piece))?;
    let said = match row.verdict {
        Verdict::Unsolved => "not solved".to_owned(),
        Verdict::Unrated => "unrated".to_owned(),
        v => format!("{} of {:.1}, {}", factor_text(row.factor), row.required, v.word()),
    };
    Some((said, row.verdict))
}

/// A side at a step, in words: who hangs there on what.
#[must_use]
pub fn side_said(side: &SideAt) -> String {
    let ties = if side.ties.is_empty() { "nothing".to_owned() } else { side.ties.join(", ") };
    match side.people {
        0 => "nobody at the lip".to_owned(),
        n if side.held < n => format!("{n} at the lip, held {}: {ties}", side.held),
        n => format!("{n} on {ties}"),
    }
}

/// The sheet of a plan.
#[must_use]
pub fn edge_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Edges", facts.file);
    let Some(edges) = &facts.review.edges else {
        page.text("The plan does not say what people hang on who work at the edges. Write ties into it: at each side an anchor that the line does not need, how far it stands behind the lip, the rope and its length; and, where not every tie is there at every step, the work step by step. spanwright format describes it.");
        return page;
    };
    let system = facts.system;
    let (f, l) = (|n: f64| show(Dim::Force, n, system), |m: f64| show(Dim::Length, m, system));
    page.table(
        &["step", "", "A", "B"],
        edges
            .steps
            .iter()
            .map(|s| {
                let mark = |x: &SideAt| if x.held < x.people { "✗" } else { "✓" };
                vec![
                    s.step.words().to_owned(),
                    s.sides.iter().map(mark).collect::<Vec<_>>().join(" "),
                    side_said(&s.sides[0]),
                    side_said(&s.sides[1]),
                ]
            })
            .collect(),
    );
    let does = |t: &Tied| match t.lets_over {
        None => "holds back".to_owned(),
        Some(o) => format!("{} over the lip, falls {}", l(o.beyond_m), l(o.fall_m)),
    };
    let said = |t: &Tied, piece: &TiePiece| tie_said(facts.review, &t.name, piece).map_or("–".to_owned(), |s| s.0);
    let rows = edges.ties.iter().map(|t| {
        let tie = facts.file.plan.ties.get(&t.name);
        let anchors = tie.map(|x| x.anchors.clone()).unwrap_or_default();
        let on = anchors.iter().map(|a| format!("{}: {}", plain(a), said(t, &TiePiece::Anchor(a.clone()))));
        vec![
            plain(&t.name),
            tie.map_or(String::new(), |x| format!("{} of {}", l(x.length_m()), plain(&x.rope.item))),
            does(t),
            t.demand_n().map_or("not known".to_owned(), f),
            said(t, &TiePiece::Rope),
            on.collect::<Vec<_>>().join("; "),
        ]
    });
    page.table(&["tie", "rope", "does", "pull>", "rope holds", "anchors hold"], rows.collect());
    page.blocks.push(Block::Checks {
        boxes: vec!["A".to_owned(), "B".to_owned()],
        lines: [
            "tied in before unpacking; knots seen by a second pair of eyes",
            "tie as short as the work allows; slack taken in at every change of place",
            "pads under every rope that can touch the lip",
            "an anchor for the last person that is not taken away",
        ]
        .map(str::to_owned)
        .to_vec(),
    });
    super::found_at(&mut page, facts.review, "ties");
    page.text("A tie that is no longer than the way to the lip holds back: it is asked for twice the weight on it. A longer one lets somebody over: the fall is what hangs beyond the lip and the height of the tie-in; the rope beyond the lip stretches whole, the rest as far as friction at the lip lets it. Nobody is counted to swing. Each anchor of a tie is asked to hold it alone, beside the line's own pull while the line is up.");
    page
}
