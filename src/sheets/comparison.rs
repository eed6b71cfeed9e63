//! Two plans side by side: what changed in the rig, and what that did to every factor.

use schemars::JsonSchema;
use serde::Serialize;

use super::page::{Block, Page};
use super::{CAUTION, VERSION};
use crate::document::plain;
use crate::plan::PlanFile;
use crate::plan::changes::differences;
use crate::review::{Review, Row, Verdict, factor_text};
use crate::units::{Dim, System, show};

/// Pieces with more than this over what is required are counted, not listed.
pub(super) const NEAR: f64 = 2.0;
/// Factors that differ by less than this share are the same.
const SAME: f64 = 0.005;

/// What became of one piece in one class.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Became {
    /// The piece.
    pub piece: String,
    /// Class of the situations.
    pub class: String,
    /// Factor before; nothing when it was not there or has no rating.
    pub before: Option<f64>,
    /// Factor after.
    pub after: Option<f64>,
    /// Required before and after.
    pub required: [Option<f64>; 2],
    /// Verdict before and after.
    pub verdict: [Option<String>; 2],
    /// The situation that governs afterwards.
    pub case: String,
}

/// A finding that came or went.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Said {
    /// The rule.
    pub rule: String,
    /// How grave.
    pub gravity: String,
    /// What it is about.
    pub at: String,
    /// Its words.
    pub text: String,
}

/// A change of the plan.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Changed {
    /// Where.
    pub at: String,
    /// What.
    pub what: String,
}

/// The comparison as data.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Comparison {
    /// Titles.
    pub titles: [String; 2],
    /// Digests of the two texts.
    pub digests: [String; 2],
    /// Verdicts.
    pub verdicts: [String; 2],
    /// Standing tension at A, N.
    pub standing_n: [f64; 2],
    /// Sag with a walker in the middle, m.
    pub sag_walker_m: [f64; 2],
    /// What was changed.
    pub changes: Vec<Changed>,
    /// What became of each piece whose factor or verdict is another, the most changed first.
    pub pieces: Vec<Became>,
    /// How many pieces kept their factor.
    pub unchanged: usize,
    /// What the rules no longer say.
    pub gone: Vec<Said>,
    /// What they say now.
    pub new: Vec<Said>,
    /// The usual caution.
    pub caution: String,
}

/// Whether two rows are of one piece in one class.
pub(super) fn same_piece(r: &Row, s: &Row) -> bool {
    r.place == s.place && r.class == s.class && r.one_hole() == s.one_hole()
}

/// Whether nothing has become of a piece: factor, verdict and what is required are as before.
pub(super) fn as_before(r: &Row, s: &Row) -> bool {
    let close = (s.factor - r.factor).abs() <= SAME * r.factor.abs() || r.factor == s.factor;
    (close || r.factor.is_nan() && s.factor.is_nan()) && r.verdict == s.verdict && r.required == s.required
}

fn number(f: f64) -> Option<f64> {
    f.is_finite().then_some(f)
}

/// Compares two reviewed plans.
#[must_use]
pub fn comparison(a: (&PlanFile, &Review), b: (&PlanFile, &Review)) -> Comparison {
    let mut pieces: Vec<Became> = Vec::new();
    let mut unchanged = 0;
    let became = |r: Option<&Row>, s: Option<&Row>| {
        let row = s.or(r);
        Became {
            piece: row.map_or(String::new(), |x| plain(&format!("{} ({})", x.place, x.title))),
            class: row.map_or("", |x| x.class.word()).to_owned(),
            before: r.and_then(|r| number(r.factor)),
            after: s.and_then(|s| number(s.factor)),
            required: [r.map(|r| r.required), s.map(|s| s.required)],
            verdict: [r.map(|r| r.verdict.word().to_owned()), s.map(|s| s.verdict.word().to_owned())],
            case: row.map_or(String::new(), |x| plain(&x.case())),
        }
    };
    for r in &a.1.rows {
        match b.1.rows.iter().find(|s| same_piece(r, s)) {
            Some(s) if as_before(r, s) => unchanged += 1,
            Some(s) => pieces.push(became(Some(r), Some(s))),
            None => pieces.push(became(Some(r), None)),
        }
    }
    let new = b.1.rows.iter().filter(|s| !a.1.rows.iter().any(|r| same_piece(r, s)));
    pieces.extend(new.map(|s| became(None, Some(s))));
    let moved = |p: &Became| match (p.before, p.after) {
        (Some(x), Some(y)) if x > 0.0 && y > 0.0 => (y / x).ln().abs(),
        _ => f64::INFINITY,
    };
    // What does not meet any more first, then other verdicts, then what is gone, each by how far the factor moved.
    let rank = |x: &Became| match &x.verdict {
        [was, Some(is)] if was.as_ref() != Some(is) && is != Verdict::Meets.word() => 0,
        [Some(was), Some(is)] if was != is => 1,
        [Some(_), None] => 2,
        _ => 3,
    };
    pieces.sort_by(|p, q| rank(p).cmp(&rank(q)).then(moved(q).total_cmp(&moved(p))));
    let said = |r: &Review, other: &Review| -> Vec<Said> {
        let mut out: Vec<Said> = Vec::new();
        for f in r
            .findings
            .iter()
            .filter(|f| !other.findings.iter().any(|g| g.rule == f.rule && g.at == f.at && g.text == f.text))
        {
            out.push(Said {
                rule: f.rule.to_owned(),
                gravity: f.gravity.word().to_owned(),
                at: plain(&f.at),
                text: plain(&f.text),
            });
        }
        out
    };
    Comparison {
        titles: [plain(&a.0.plan.title), plain(&b.0.plan.title)],
        digests: [a.0.digest(), b.0.digest()],
        verdicts: [a.1.verdict.word().to_owned(), b.1.verdict.word().to_owned()],
        standing_n: [a.1.line.standing_n[0], b.1.line.standing_n[0]],
        sag_walker_m: [a.1.line.sag_walker_m, b.1.line.sag_walker_m],
        changes: differences(a.0, b.0).into_iter().map(|d| Changed { at: d.at, what: d.what }).collect(),
        pieces,
        unchanged,
        gone: said(a.1, b.1),
        new: said(b.1, a.1),
        caution: CAUTION.to_owned(),
    }
}

/// The comparison as a sheet.
#[must_use]
pub fn comparison_sheet(c: &Comparison, system: System) -> Page {
    let pair = |x: [String; 2]| {
        let [a, b] = x;
        if a == b { a } else { format!("{a} → {b}") }
    };
    let mut page = Page {
        title: format!("Comparison: {}", pair(c.titles.clone())),
        origin: format!("spanwright {VERSION}, plans {} and {}", &c.digests[0][..12], &c.digests[1][..12]),
        ..Page::default()
    };
    page.blocks.push(Block::Warning(format!("Verdict: {}.", pair(c.verdicts.clone()))));
    page.blocks.push(Block::Facts(vec![
        ("standing at A".to_owned(), pair(c.standing_n.map(|n| show(Dim::Force, n, system)))),
        ("sag with a walker".to_owned(), pair(c.sag_walker_m.map(|m| show(Dim::Length, m, system)))),
    ]));
    page.heading("What changed in the plan");
    if c.changes.is_empty() {
        page.text("Nothing: the two say the same.");
    }
    let rows: Vec<Vec<String>> = c.changes.iter().map(|x| vec![x.at.clone(), x.what.clone()]).collect();
    if !rows.is_empty() {
        page.table(&["where", "what"], rows);
    }
    page.heading("What that did");
    let factor = |f: Option<f64>, there: bool| match (f, there) {
        (Some(f), _) => factor_text(f),
        (None, true) => "–".to_owned(),
        (None, false) => String::new(),
    };
    // What has another verdict, or is near its limit and moved; the rest is counted.
    let near = |p: &Became| {
        let after = p.after.zip(p.required[1]).map_or(0.0, |(f, r)| f / r);
        p.verdict[0].is_some() && p.verdict[0] != p.verdict[1] || after < NEAR
    };
    let (shown, rest): (Vec<&Became>, Vec<&Became>) = c.pieces.iter().partition(|p| near(p));
    let (added, rest): (Vec<&Became>, Vec<&Became>) = rest.into_iter().partition(|p| p.verdict[0].is_none());
    let rows: Vec<Vec<String>> = shown
        .iter()
        .map(|p| {
            let [was, is] = &p.verdict;
            let verdict = match (was, is) {
                (Some(a), Some(b)) if a == b => a.clone(),
                (Some(a), Some(b)) => format!("{a} → {b}"),
                (None, Some(b)) => format!("new: {b}"),
                _ => "gone".to_owned(),
            };
            let required = p.required[1].or(p.required[0]).map_or(String::new(), factor_text);
            vec![
                p.piece.clone(),
                p.class.clone(),
                factor(p.before, was.is_some()),
                factor(p.after, is.is_some()),
                required,
                verdict,
            ]
        })
        .collect();
    if rows.is_empty() {
        page.text("No factor is another.");
    } else {
        page.table(&["piece", "class", "before>", "after>", "required>", "verdict"], rows);
    }
    if !rest.is_empty() {
        let change = |p: &&Became| p.before.zip(p.after).map_or(1.0, |(x, y)| y / x);
        let (low, high) = rest.iter().map(change).fold((f64::INFINITY, 0.0_f64), |(a, b), x| (a.min(x), b.max(x)));
        page.text(format!(
            "{} more moved, by {:+.0} % to {:+.0} %; all of them keep more than {NEAR} times what is required.",
            rest.len(),
            100.0 * (low - 1.0),
            100.0 * (high - 1.0)
        ));
    }
    if !added.is_empty() {
        page.text(format!("{} are new; all of them keep more than {NEAR} times what is required.", added.len()));
    }
    page.text(format!("{} are as before, within half a per cent.", c.unchanged));
    for (words, list) in [("What the rules no longer say", &c.gone), ("What they say now", &c.new)] {
        let notes = list.iter().filter(|s| s.gravity == "note").count();
        if !list.is_empty() {
            page.heading(words);
            let rows: Vec<_> = list
                .iter()
                .filter(|s| s.gravity != "note")
                .map(|s| vec![s.gravity.clone(), s.at.clone(), s.text.clone()])
                .collect();
            if !rows.is_empty() {
                page.table(&["gravity", "at", "what"], rows);
            }
            if notes > 0 {
                page.text(format!("{notes} notes."));
            }
        }
    }
    page
}
