//! The headline: the verdict, the piece that decides it, when, and what would mend it, once each.

use super::outline::Selected;
use super::short;
use super::state::App;
use crate::document::plain;
use crate::review::{Gravity, Place, Review, Row, Verdict, mends};
use crate::units::{Dim, show};

/// What the headline says, piece by piece, so that words can fall off where there is no room.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Headline {
    /// The verdict; nothing while nothing is known, or where the plan cannot be worked out.
    pub verdict: Option<Verdict>,
    /// Whether it is a stop of the rules.
    pub stop: bool,
    /// Sign and word.
    pub word: String,
    /// What decides: a piece, or what a rule says.
    pub what: String,
    /// What it has of what is asked.
    pub found: Option<[String; 2]>,
    /// Share of what is allowed that it takes.
    pub share: Option<f64>,
    /// When.
    pub when: String,
    /// The two figures behind the factor.
    pub figures: String,
    /// What would mend it, or where to look for that.
    pub mend: String,
    /// Counts that are not zero.
    pub counts: String,
}

impl App {
    /// The headline of the plan as it is known now.
    #[must_use]
    pub fn headline(&self) -> Headline {
        if let Some(f) = self.review_faults.first() {
            let help = f.help.as_ref().map_or(String::new(), |h| format!("; {h}"));
            return Headline {
                word: "! fault".to_owned(),
                what: format!("{}{help}", plain(&f.message)),
                when: "not worked out; f shows where".to_owned(),
                ..Headline::default()
            };
        }
        let Some(r) = &self.review else {
            return Headline { word: "… working".to_owned(), ..Headline::default() };
        };
        let counts = self.counts(r);
        let so_far = if r.to_come > 0 { " so far" } else { "" };
        let row = r.limiting.as_ref().and_then(|l| r.rows.get(l.row)).filter(|_| r.unsolved.is_empty());
        let mut out = match row {
            Some(row) => self.of_row(row),
            None => Headline {
                what: r.limiting.as_ref().map_or_else(String::new, |l| plain(&l.sentence)),
                ..Headline::default()
            },
        };
        out.verdict = Some(r.verdict);
        let sign = if r.verdict == Verdict::Meets && r.to_come == 0 { "✓" } else { r.verdict.sign() };
        // “Meets” is no word for what has not been gone through.
        out.word = match (r.verdict, r.to_come) {
            (Verdict::Meets, 1..) => "… so far".to_owned(),
            _ => format!("{sign} {}{so_far}", r.verdict.word()),
        };
        out.counts = if r.to_come > 0 { self.played() } else { counts };
        if r.verdict == Verdict::Meets {
            out.what = format!("nearest: {}", out.what);
            out.figures.clear();
            out.when = match (r.to_come, r.incidents.is_empty()) {
                (0, true) => "no falls or failures worked out".to_owned(),
                _ => self.played(),
            };
            out.mend.clear();
            if r.to_come > 0 {
                out.counts = self.counts(r);
            }
        }
        // A stop of the rules comes first; the worst factor is then what the second line says.
        let stops: Vec<_> = r.findings.iter().filter(|f| f.gravity == Gravity::Stop).collect();
        if let Some(first) = stops.first().filter(|_| r.unsolved.is_empty()) {
            let at = if first.at.is_empty() { String::new() } else { format!("{}: ", self.about(&first.at)) };
            let many = if stops.len() > 1 { format!("  1 of {}", stops.len()) } else { String::new() };
            let factor = out.found.as_ref().map_or(String::new(), |[f, n]| format!(" {f} of {n}"));
            return Headline {
                stop: true,
                word: format!("■ stop{so_far}"),
                what: plain(&format!("{at}{}{many}", first.text)),
                when: format!("{}: {}{factor}, {}", out.word, out.what, out.when),
                found: None,
                share: None,
                mend: format!("fix: {}", first.remedy),
                ..out
            };
        }
        out
    }

    fn of_row(&self, row: &Row) -> Headline {
        let system = self.settings.system;
        let rated = row.strength.counts_n();
        let figures = match rated {
            Some(n) => {
                format!("pulls {}; it holds {}", show(Dim::Force, row.demand_n, system), show(Dim::Force, n, system))
            }
            None if row.is_height() => String::new(),
            None => row.strength.spot.clone(),
        };
        let spread = match row.spread {
            Some(s) if s > 0.05 => format!(" (±{:.0} %, does not settle)", 100.0 * s),
            _ => String::new(),
        };
        let mend = match row.verdict {
            Verdict::Below => mends(row, &self.file.catalogue).into_iter().next(),
            _ => None,
        };
        let known = rated.is_some() || row.height.is_some();
        Headline {
            what: self.piece(&row.place),
            found: known.then(|| short::found(row, system)),
            share: short::share(row),
            when: match &row.height {
                Some(h) => format!("{} from A, over {}", short::whole(h.x_m, system), h.over),
                None => format!("{}{spread}", self.when(row)),
            },
            figures,
            mend: mend.map_or_else(|| "W looks for what mends it".to_owned(), |m| format!("fix: {m} (W tries it)")),
            ..Headline::default()
        }
    }

    /// What a finding is about, as pieces are called on the screen.
    #[must_use]
    pub fn about(&self, at: &str) -> String {
        match self.selected_at(at) {
            Some(Selected::Part(run, k)) => self.piece(&Place::Part(run, k + 1)),
            _ => at.to_owned(),
        }
    }

    /// How many findings of each gravity there are, where there are any.
    #[must_use]
    pub fn counts(&self, r: &Review) -> String {
        let n = |g: Gravity| r.findings.iter().filter(|f| f.gravity == g).count();
        let said = [(n(Gravity::Stop), "stop"), (n(Gravity::Caution), "caution"), (n(Gravity::Note), "note")];
        let some = said.iter().filter(|(n, _)| *n > 0);
        let words: Vec<String> = some.map(|(n, w)| format!("{n} {w}{}", if *n == 1 { "" } else { "s" })).collect();
        words.join(" · ")
    }

    /// What was solved and played so far.
    #[must_use]
    pub fn played(&self) -> String {
        let Some(r) = &self.review else { return String::new() };
        let (done, all) = (r.incidents.len(), r.incidents.len() + r.to_come);
        match r.to_come {
            0 => format!("{} situations solved, {done} falls and failures played", r.cases.len()),
            _ => format!("{done} of {all} falls and failures played"),
        }
    }
}
