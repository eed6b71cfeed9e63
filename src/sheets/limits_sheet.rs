//! How far the plan may differ before something gives out, and what would mend what does not meet.

use super::page::{Block, Drawing, Page};
use crate::document::plain;
use crate::plan::PlanFile;
use crate::review::{Bound, Edge, Kind, Mended, Place, Review, Row, Varied, Verdict, factor_text};
use crate::units::{System, show};

/// Limits of a reviewed plan, and the mends that were tried for each row.
#[must_use]
pub fn limits_sheet(
    file: &PlanFile,
    review: &Review,
    bounds: &[Bound],
    mends: &[(Row, Vec<Mended>)],
    system: System,
) -> Page {
    let mut page = Page::of("Limits", file);
    let limit = review.limiting.as_ref().map_or(String::new(), |x| format!(": {}", plain(&x.sentence)));
    page.blocks.push(Block::Warning(format!("Verdict as planned: {}{limit}.", review.verdict.word())));
    let stops = super::text::stops(review);
    if !stops.is_empty() {
        page.blocks.push(Block::Warning(format!("No figure here mends what says stop: {}.", stops.join("; "))));
    }
    page.heading("How far it may differ");
    page.text(
        "One thing is changed at a time and the rig solved again; falls and failures that govern are played again \
         (for wind and lengths the rig is looked at without falls). At each end stands what gives out first.",
    );
    let rows = bounds
        .iter()
        .map(|b| {
            let f = |v: f64| show(b.varied.dim(), v, system);
            let side = |e: &Option<Edge>| match e {
                None => "none".to_owned(),
                Some(Edge::At(v, _)) => f(*v),
                Some(Edge::Beyond(v)) => format!("{} or more", f(*v)),
            };
            let low = match (&b.low, b.varied) {
                (Some(Edge::Beyond(v)), _) => format!("{} or less", f(*v)),
                (low, Varied::Tension) => side(low),
                _ => String::new(),
            };
            let holds = match (&b.fails, b.beside) {
                _ if b.high.is_none() => "no value that was tried",
                (None, _) => "everything",
                (Some(_), true) => "what meets as planned",
                (Some(_), false) => "everything, but not as planned",
            };
            vec![b.varied.words().to_owned(), f(b.planned), low, side(&b.high), holds.to_owned()]
        })
        .collect();
    page.blocks.push(Block::Drawing(
        ranges(bounds, system),
        vec![
            "the ring is what is planned, the line what was tried and holds; an end without a stroke goes on"
                .to_owned(),
        ],
    ));
    page.table(&["what", "planned>", "from>", "to>", "in that range holds"], rows);
    for b in bounds {
        let f = |v: f64| show(b.varied.dim(), v, system);
        for (edge, word) in [(&b.low, "under"), (&b.high, "over")] {
            if let Some(Edge::At(v, why)) = edge {
                page.text(format!("{}, {word} {}: {}.", b.varied.words(), f(*v), plain(why)));
            }
        }
    }
    let failing: Vec<&str> = bounds.iter().filter(|b| b.beside).filter_map(|b| b.fails.as_deref()).collect();
    if let Some(why) = failing.first() {
        page.text(format!("No value of those alone mends what fails as planned: {}.", plain(why)));
    }
    page.heading("What would mend it");
    if mends.is_empty() {
        page.text("Everything meets: nothing is to be mended.");
    }
    let below = review.rows.iter().filter(|r| r.verdict == Verdict::Below).count();
    if below > mends.len() && mends.len() == MOST {
        page.text(format!("{below} rows are below; the worst {MOST} were tried. Mend these, and look again."));
    }
    for (row, tried) in mends {
        page.text(format!(
            "{} ({}), {}: {} of {} in {}. Tried by solving:",
            plain(&row.place.to_string()),
            plain(&row.title),
            row.class.word(),
            factor_text(row.factor),
            factor_text(row.required),
            plain(&row.case())
        ));
        let others =
            review.rows.iter().filter(|r| alike(r, row) && r.place != row.place && r.verdict == Verdict::Below);
        let others: Vec<String> = others.map(|r| format!("{} at {}", r.place, factor_text(r.factor))).collect();
        if !others.is_empty() {
            page.text(format!("Likewise below: {}.", plain(&others.join("; "))));
        }
        if tried.is_empty() {
            page.text("Nothing of what was tried makes it better.");
            continue;
        }
        let rows = tried
            .iter()
            .map(|m| {
                let beside = m.breaks.as_ref().map_or(String::new(), |w| format!("but then: {}", plain(w)));
                let factor = format!("{} of {}", factor_text(m.factor), factor_text(m.required));
                vec![plain(&m.what), factor, m.verdict.word().to_owned(), beside]
            })
            .collect();
        page.table(&["change", "factor>", "verdict", "beside"], rows);
    }
    page
}

/// Height of a range (two rows of text of 80 columns), width of its picture, where its line begins and ends, and its letters, mm.
const ROW_MM: f64 = 8.0;
const WIDE_MM: f64 = 158.0;
const LINE_MM: [f64; 2] = [72.0, 138.0];
const LETTER_MM: f64 = 3.0;

/// Each range as a line with its ends, what is planned as a ring on it.
fn ranges(bounds: &[Bound], system: System) -> Drawing {
    let mut d = Drawing::new(WIDE_MM, ROW_MM * bounds.len() as f64);
    for (k, b) in bounds.iter().enumerate() {
        let y = ROW_MM * (k as f64 + 0.55);
        let value = |e: &Option<Edge>| match e {
            Some(Edge::At(v, _)) => Some((*v, true)),
            Some(Edge::Beyond(v)) => Some((*v, false)),
            None => None,
        };
        let (low, high) = (value(&b.low), value(&b.high));
        let ends = [low.map_or(0.0, |l| l.0), high.map_or(b.planned, |h| h.0)];
        let from = ends[0].min(b.planned);
        let to = ends[1].max(b.planned);
        let spare = 0.08 * (to - from).max(1e-9);
        let x = |v: f64| {
            let share = (v - from + spare) / (to - from + 2.0 * spare);
            LINE_MM[0] + share.clamp(0.0, 1.0) * (LINE_MM[1] - LINE_MM[0])
        };
        d.words([0.0, y + 1.0], b.varied.words(), LETTER_MM, 0.0);
        if high.is_some() {
            d.line(&[[x(ends[0]), y], [x(ends[1]), y]], 0.8);
        }
        for (v, ends_there) in [low, high].into_iter().flatten() {
            if ends_there {
                d.line(&[[x(v), y - 1.5], [x(v), y + 1.5]], 0.5);
            }
        }
        d.dot([x(b.planned), y], 1.3, false);
        if let Some((v, _)) = low.filter(|(v, _)| *v > 0.0) {
            d.words([LINE_MM[0] - 1.5, y + 1.0], &show(b.varied.dim(), v, system), LETTER_MM, 1.0);
        }
        let most = high.map_or_else(|| "none".to_owned(), |(v, _)| show(b.varied.dim(), v, system));
        d.words([LINE_MM[1] + 1.5, y + 1.0], &most, LETTER_MM, 0.0);
    }
    d
}

/// How many rows are tried to be mended.
const MOST: usize = 12;

/// The rows that want mending: what does not meet, the worst first; when all meets, the one nearest to its limit. Of one
/// line's lengths that are alike the worst stands for all: a change of what they are is tried on all of them.
#[must_use]
pub fn to_mend(review: &Review) -> Vec<&Row> {
    let rows = review.worst_first();
    let below = rows.iter().filter(|r| r.verdict == Verdict::Below).count();
    let mut out: Vec<&Row> = Vec::new();
    for row in rows.into_iter().filter(|r| r.verdict != Verdict::Unrated).take(below.max(1)) {
        if out.len() < MOST && !out.iter().any(|o| alike(o, row)) {
            out.push(row);
        }
    }
    out
}

/// Whether two rows are of lengths of one line, of one kind, in one class.
fn alike(a: &Row, b: &Row) -> bool {
    matches!((&a.place, &b.place), (Place::Part(x, _), Place::Part(y, _)) if x == y)
        && matches!(a.kind, Kind::Main | Kind::Backup)
        && (a.class, &a.item, &a.title) == (b.class, &b.item, &b.title)
}
