//! What each run, point and anchor sees in every class, by its weakest piece: the card's numbered table.

use super::super::Facts;
use super::super::page::Page;
use super::{together, without_unit};
use crate::document::plain;
use crate::review::{Class, Place, Row, Situation, Verdict, factor_text};

/// Pieces whose figures differ by no more than this share of the largest share a line of the card, which then has the
/// worst of each; common practice, no source.
const ALIKE: f64 = 0.1;

/// A line of the table.
pub(super) struct Piece {
    /// Runs or points that it speaks of.
    pub(super) names: Vec<String>,
    /// Their place, with the first's name in it.
    place: Place,
    weakest: String,
    keeps_n: Option<f64>,
    /// Standing, in use, in a fall, in a failure, N.
    demand_n: [Option<f64>; 4],
    factor: f64,
    required: f64,
    verdict: Verdict,
}

impl Piece {
    /// Whether both may stand in one line.
    fn like(&self, other: &Self) -> bool {
        let close = |a: Option<f64>, b: Option<f64>, of: f64| match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= ALIKE * of,
            (None, None) => true,
            _ => false,
        };
        let most = |p: &Self| p.demand_n.iter().flatten().copied().fold(0.0, f64::max);
        let (most_n, keeps_n) =
            (most(self).max(most(other)), self.keeps_n.unwrap_or(0.0).max(other.keeps_n.unwrap_or(0.0)));
        // A joint and gear are named by what they do; each stands alone.
        !matches!(self.place, Place::Joint(_) | Place::Gear(_) | Place::Crossing(_) | Place::Rescue(_) | Place::Tie(..))
            && std::mem::discriminant(&self.place) == std::mem::discriminant(&other.place)
            && (&self.weakest, self.required, self.verdict) == (&other.weakest, other.required, other.verdict)
            && close(self.keeps_n, other.keeps_n, keeps_n)
            && self.demand_n.iter().zip(&other.demand_n).all(|(a, b)| close(*a, *b, most_n))
            && close(Some(self.factor), Some(other.factor), self.factor.max(other.factor))
    }

    /// Takes another in, with the worse of every figure.
    fn take(&mut self, other: Self) {
        let known = self.names.clone();
        self.names.extend(other.names.into_iter().filter(|n| !known.contains(n)));
        self.keeps_n = self.keeps_n.zip(other.keeps_n).map(|(a, b)| a.min(b));
        for (a, b) in self.demand_n.iter_mut().zip(other.demand_n) {
            *a = a.zip(b).map(|(a, b)| a.max(b));
        }
        self.factor = self.factor.min(other.factor);
    }

    fn title(&self) -> String {
        let names = together(&self.names);
        match &self.place {
            Place::Part(..) => names,
            Place::Frame(_, piece) => format!("{names}, {}", piece.all()),
            other => plain(&other.to_string()).replacen(&plain(other.name()), &names, 1),
        }
    }
}

/// The card's pieces in the plan's order, alike ones together.
pub(super) fn pieces(facts: &Facts<'_>) -> Vec<Piece> {
    let review = facts.review;
    let mut groups: Vec<(String, Vec<&Row>)> = Vec::new();
    // What meets, and has a sheet of its own, stands there.
    let elsewhere = |r: &Row| {
        matches!(r.place, Place::Crossing(_) | Place::Rescue(_) | Place::Tie(..)) && r.verdict == Verdict::Meets
    };
    for r in review.rows.iter().filter(|r| !r.is_height() && !elsewhere(r)) {
        let name = match &r.place {
            Place::Part(run, _) => plain(run),
            other => plain(&other.to_string()),
        };
        match groups.iter_mut().find(|g| g.0 == name) {
            Some(g) => g.1.push(r),
            None => groups.push((name, vec![r])),
        }
    }
    let standing = review.at_rest(&Situation::STANDING);
    let mut out: Vec<Piece> = Vec::new();
    for (_, rows) in &groups {
        let Some(worst) = rows.iter().min_by(|a, b| a.worst_first(b)) else { continue };
        let most = |class: Class| rows.iter().filter(|r| r.class == class).map(|r| r.demand_n).reduce(f64::max);
        let name = worst.place.name();
        let run = review.run_names.iter().position(|r| r == name).filter(|_| matches!(worst.place, Place::Part(..)));
        let piece = Piece {
            names: vec![plain(name)],
            place: worst.place.clone(),
            weakest: plain(&worst.title),
            keeps_n: worst.strength.counts_n(),
            demand_n: [
                run.zip(standing).map(|(k, s)| s.response.run_n[k]),
                most(Class::Working),
                most(Class::Fall),
                most(Class::Failure),
            ],
            factor: worst.factor,
            required: worst.required,
            verdict: worst.verdict,
        };
        match out.iter_mut().find(|p| p.like(&piece)) {
            Some(p) => p.take(piece),
            None => out.push(piece),
        }
    }
    out
}

/// The table of them.
pub(super) fn table(page: &mut Page, facts: &Facts<'_>, pieces: &[Piece]) {
    page.heading("Tensions and factors, each by its weakest part; alike pieces share a line");
    let (unit, bare) = without_unit(facts.system);
    let f = |n: Option<f64>| n.map_or_else(|| "–".to_owned(), &bare);
    let rows = pieces.iter().enumerate().map(|(n, p)| {
        let [standing, working, fall, failure] = p.demand_n.map(f);
        vec![
            format!("{}", n + 1),
            p.title(),
            p.weakest.clone(),
            f(p.keeps_n),
            standing,
            working,
            fall,
            failure,
            format!("{} of {}", factor_text(p.factor), factor_text(p.required)),
            p.verdict.word().to_owned(),
        ]
    });
    let keeps = format!("keeps {unit}>");
    page.table(
        &["no.>", "piece", "weakest", &keeps, "standing>", "in use>", "fall>", "failure>", "factor>", "verdict"],
        rows.collect(),
    );
}
