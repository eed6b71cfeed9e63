//! Frames: whether each stands, what pushes through its struts, what its feet do to the ground, what its guys hold.

use super::Facts;
use super::page::{Block, Page};
use crate::document::plain;
use crate::plan::Role;
use crate::review::{FrameAt, FramePiece, Framed, Place, Row, factor_text};
use crate::units::{Dim, System, show};

/// Whether it stands, and how far it is from falling.
fn stands_said(f: &Framed) -> String {
    let Some(weak) = &f.weakest else { return "not worked out".to_owned() };
    let fallen = f.falls().count();
    let nudged = f.nudged().count();
    let stiff = weak.stiffness_ratio.map_or(String::new(), |k| {
        format!(", least side stiffness {k:.1} times what the thrust needs ({})", weak.situation)
    });
    match (fallen, nudged) {
        (0, 0) => format!("in every situation{stiff}"),
        (0, n) => format!("but in {n} not when nudged by 5 cm{stiff}"),
        (n, _) => format!("NOT in {n}: {}", weak.situation),
    }
}

fn lean_said(s: &FrameAt) -> String {
    let way = if s.lean_deg < 0.0 { "away from the gap" } else { "towards the gap" };
    format!("{:.1}° {way} ({})", s.lean_deg.abs(), s.situation)
}

/// The nearest to its limit of what is judged of one piece.
fn nearest<'a>(facts: &'a Facts<'_>, of: &Place) -> Option<&'a Row> {
    let rows = facts.review.rows.iter().filter(|r| r.place == *of);
    rows.min_by(|a, b| a.worst_first(b))
}

fn judged(row: Option<&Row>, system: System) -> [String; 4] {
    row.map_or_else(
        || ["–", "", "not known", ""].map(str::to_owned),
        |r| {
            let seen = r.situation().map_or_else(String::new, ToString::to_string);
            let force = show(Dim::Force, r.demand_n, system);
            [force, seen, format!("{} of {:.1}", factor_text(r.factor), r.required), r.verdict.word().to_owned()]
        },
    )
}

/// The sheet of a plan.
#[must_use]
pub fn frame_sheet(facts: &Facts<'_>) -> Page {
    let mut page = Page::of("Frames", facts.file);
    let plan = &facts.file.plan;
    if facts.review.frames.is_empty() {
        page.text("No point of the plan stands on struts. Write one as held by: Frame(struts: [Strut(item: …, foot: …, stands: …)]), with guys that hold it. spanwright format describes it.");
        return page;
    }
    for f in &facts.review.frames {
        page.heading(&format!("{}, {:?}", plain(&f.point), f.side));
        let mut said = vec![("stands".to_owned(), stands_said(f))];
        said.extend(f.most_lean().map(|s| ("leans at most".to_owned(), lean_said(s))));
        let degrees = |all: &[f64]| all.iter().map(|d| format!("{d:.0}°")).collect::<Vec<_>>().join(", ");
        if !f.rests_also_deg.is_empty() {
            said.push(("may rest also".to_owned(), format!("leaning {}", degrees(&f.rests_also_deg))));
        }
        if !f.balances_deg.is_empty() {
            said.push(("falls from".to_owned(), format!("leaning {}", degrees(&f.balances_deg))));
        }
        page.blocks.push(Block::Facts(said));
        let mut rows = Vec::new();
        for k in 1..=f.bears_n.len() {
            for piece in [FramePiece::Strut(k), FramePiece::Foot(k)] {
                let row = nearest(facts, &Place::Frame(f.point.clone(), piece));
                rows.push([vec![piece.to_string()], judged(row, facts.system).to_vec()].concat());
            }
        }
        if let Some(row) = nearest(facts, &Place::Frame(f.point.clone(), FramePiece::Hobble)) {
            rows.push([vec![FramePiece::Hobble.to_string()], judged(Some(row), facts.system).to_vec()].concat());
        }
        for (name, run) in plan.runs.iter().filter(|(_, r)| r.role == Role::Guy && r.path.contains(&f.point)) {
            let parts = (1..=run.parts.len()).filter_map(|n| nearest(facts, &Place::Part(name.clone(), n)));
            let row = parts.min_by(|a, b| a.worst_first(b));
            rows.push([vec![plain(name)], judged(row, facts.system).to_vec()].concat());
        }
        page.table(&["piece", "sees at the most>", "in", "factor>", ""], rows);
        page.blocks.push(Block::Checks {
            boxes: vec!["before tension".to_owned(), "at tension".to_owned()],
            lines: [
                "feet bedded, and held where they are: pinned, or on rock that does not slide",
                "every guy taut by hand, none longer than its fellow",
                "hobble on, pins and locks of the struts in",
                "head tied to what runs over it, so that it cannot drop out of the rope",
                "nobody inside the frame or under its fall",
            ]
            .map(str::to_owned)
            .to_vec(),
        });
        super::found_at(&mut page, facts.review, &f.point);
    }
    page.text("Every head is at rest where what pulls at it has no part along its way round the feet, found for every situation anew, and pushed from there by 5 and 50 mm to see whether it comes back. Falls and losses are played with the head held still; what then pulls at it is put on it at rest. What a lashing adds or takes is not known. A foot that slides, a guy let go, a head that turns over bring all of it down.");
    page
}
