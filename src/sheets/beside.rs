//! Two reviewed plans side by side: what stands at one height is one and the same thing in both.

use super::comparison::{NEAR, as_before, same_piece};
use crate::document::plain;
use crate::plan::PlanFile;
use crate::plan::changes::{differences, named};
use crate::review::{Gravity, Review, Row, Verdict, factor_text};
use crate::units::{Dim, System, show};

/// One height of the two.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Beside {
    /// A heading over both.
    Heading(&'static str),
    /// A thing, as each plan has it; empty where it is not.
    Pair {
        /// In words.
        cells: [String; 2],
        /// Judged.
        verdicts: [Option<Verdict>; 2],
        /// Whether the two differ.
        differs: bool,
    },
}

impl Beside {
    fn words(cells: [String; 2]) -> Self {
        let differs = cells[0] != cells[1];
        Self::Pair { cells, verdicts: [None; 2], differs }
    }
}

/// Two plans beside each other: verdicts, line, rig, factors, rules; in each part what differs first.
#[must_use]
pub fn beside(a: (&PlanFile, &Review), b: (&PlanFile, &Review), system: System) -> Vec<Beside> {
    let both = [a, b];
    let mut out = vec![Beside::Heading("Verdict and line")];
    let verdicts = both.map(|p| Some(p.1.verdict));
    let limiting = both.map(|p| {
        let why = p.1.limiting.as_ref().map_or_else(|| "nothing limits it".to_owned(), |l| plain(&l.sentence));
        let to_come = if p.1.to_come > 0 { ", falls and failures still to come" } else { "" };
        format!("{} {}{to_come}: {why}", p.1.verdict.sign(), p.1.verdict.word())
    });
    out.push(Beside::Pair { differs: limiting[0] != limiting[1], cells: limiting, verdicts });
    let line =
        |words: &str, of: &dyn Fn(&Review) -> String| Beside::words(both.map(|p| format!("{words} {}", of(p.1))));
    let f = |n: f64| show(Dim::Force, n, system);
    let l = |m: f64| show(Dim::Length, m, system);
    out.push(line("standing", &|r| format!("{} at A, {} at B", f(r.line.standing_n[0]), f(r.line.standing_n[1]))));
    out.push(line("sag empty", &|r| l(r.line.sag_standing_m)));
    out.push(line("sag with a walker", &|r| l(r.line.sag_walker_m)));

    out.push(Beside::Heading("The rig"));
    let changes = differences(a.0, b.0);
    let [was, is] = both.map(|p| named(p.0));
    let has = |side: &[(String, String)], name: &str| side.iter().any(|n| plain(&n.0) == name);
    let came_or_went = |name: &str| has(&was, name) != has(&is, name);
    let mut rig: Vec<Beside> = Vec::new();
    for (name, words) in &was {
        let now = is.iter().find(|n| n.0 == *name).map_or(String::new(), |n| format!("{name}: {}", n.1));
        let cells = [format!("{name}: {words}"), now].map(|t| plain(&t));
        rig.push(Beside::words(cells));
    }
    for (name, words) in is.iter().filter(|n| !was.iter().any(|w| w.0 == n.0)) {
        rig.push(Beside::words([String::new(), plain(&format!("{name}: {words}"))]));
    }
    // What the words of a place do not show stands under it.
    for c in changes.iter().filter(|c| !came_or_went(&c.at)) {
        let cells =
            [0, 1].map(|k| if c.sides[k].is_empty() { String::new() } else { format!("{}: {}", c.at, c.sides[k]) });
        rig.push(Beside::words(cells));
    }
    sorted(&mut out, rig);

    out.push(Beside::Heading("Factors, of what is required"));
    let told = |r: &Row| {
        format!(
            "{} {} of {}  {}, {}",
            r.verdict.sign(),
            factor_text(r.factor),
            factor_text(r.required),
            plain(&r.place.to_string()),
            r.class.word()
        )
    };
    // Another verdict first, then what moved near its limit, then the rest; each by the smaller margin of the two.
    let mut rows: Vec<(u8, f64, Beside)> = Vec::new();
    let mut put = |r: Option<&Row>, s: Option<&Row>| {
        let verdicts = [r.map(|r| r.verdict), s.map(|s| s.verdict)];
        // What has no rating has no margin either, and comes before all that has.
        let margin = |r: &Row| Some(r.margin()).filter(|m| !m.is_nan()).unwrap_or(f64::NEG_INFINITY);
        let margin = [r, s].into_iter().flatten().map(margin).fold(f64::INFINITY, f64::min);
        let moved = r.zip(s).is_none_or(|(r, s)| !as_before(r, s));
        // What is only in one of them counts as having met in the other.
        let [was, is] = verdicts.map(|v| v.unwrap_or(Verdict::Meets));
        let rank = if was == is { 2 - u8::from(moved && margin < NEAR) } else { 0 };
        let cells = [r, s].map(|r| r.map_or(String::new(), told));
        rows.push((rank, margin, Beside::Pair { cells, verdicts, differs: moved }));
    };
    for s in &b.1.rows {
        put(a.1.rows.iter().find(|r| same_piece(r, s)), Some(s));
    }
    for r in a.1.rows.iter().filter(|r| !b.1.rows.iter().any(|s| same_piece(r, s))) {
        put(Some(r), None);
    }
    rows.sort_by(|x, y| x.0.cmp(&y.0).then(x.1.total_cmp(&y.1)));
    out.extend(rows.into_iter().map(|r| r.2));

    out.push(Beside::Heading("What the rules say"));
    let say = |r: &Review| -> Vec<String> {
        let findings = r.findings_by_text().into_iter().filter(|(f, _)| f.gravity != Gravity::Note);
        findings
            .map(|(f, at)| {
                let at = if at.is_empty() { String::new() } else { format!("{at}: ") };
                plain(&format!("{} {at}{} [{}]", f.gravity.word(), f.text, f.rule))
            })
            .collect()
    };
    let [was, is] = both.map(|p| say(p.1));
    let mut rules: Vec<Beside> = Vec::new();
    for w in &was {
        let now = is.iter().find(|i| *i == w).cloned().unwrap_or_default();
        rules.push(Beside::words([w.clone(), now]));
    }
    rules.extend(is.iter().filter(|i| !was.contains(i)).map(|i| Beside::words([String::new(), i.clone()])));
    sorted(&mut out, rules);
    out
}

/// What differs first; the order is kept otherwise.
fn sorted(out: &mut Vec<Beside>, mut part: Vec<Beside>) {
    part.sort_by_key(|p| !matches!(p, Beside::Pair { differs: true, .. }));
    out.append(&mut part);
}
