//! Sentences about the rig that the screen and the plain session both say.

use super::outline::Selected;
use super::state::App;
use crate::document::{Path, Step, plain};
use crate::plan::Role;
use crate::review::{Gravity, Verdict, resultant_at};
use crate::units::{Dim, show};

impl App {
    /// The verdict and what limits the rig; without a review, why there is none.
    #[must_use]
    pub fn verdict_line(&self) -> (Option<Verdict>, String) {
        if let Some(f) = self.review_faults.first() {
            let help = f.help.as_ref().map_or(String::new(), |h| format!(" — {h}"));
            return (None, format!("! {}{help} (f shows where)", plain(&f.message)));
        }
        let Some(r) = &self.review else { return (None, "working…".to_owned()) };
        let limit = r.limiting.as_ref().map_or(String::new(), |l| plain(&l.sentence));
        let v = r.verdict;
        // A word must not be taken for more than was looked at.
        let scope = if r.to_come > 0 {
            format!(" so far ({} falls and failures to come)", r.to_come)
        } else if v == Verdict::Meets && r.incidents.is_empty() {
            " (no falls or failures worked out)".to_owned()
        } else {
            String::new()
        };
        let stops = r.findings.iter().filter(|f| f.gravity == Gravity::Stop).count();
        let also = if stops > 0 && v == Verdict::Meets { format!(", but {stops} stop") } else { String::new() };
        (Some(v), format!("{} {}{scope}{also}: {limit}", v.sign(), v.word()))
    }

    /// How many findings of each gravity there are.
    #[must_use]
    pub fn counts_line(&self) -> String {
        self.review.as_ref().map_or(String::new(), |r| {
            let n = |g: Gravity| r.findings.iter().filter(|f| f.gravity == g).count();
            format!("{} stop · {} caution · {} note", n(Gravity::Stop), n(Gravity::Caution), n(Gravity::Note))
        })
    }

    /// What is selected carries now, in the situation in view.
    #[must_use]
    pub fn carried_line(&self) -> Option<String> {
        let view = self.view.as_ref()?;
        let Some(r) = view.response.as_ref() else {
            return Some(format!("{}: not solved ({})", self.in_view_words(), view.faults.join("; ")));
        };
        let force = |n: f64| show(Dim::Force, n, self.settings.system);
        let plan = &self.file.plan;
        let text = match &self.selected {
            Selected::Run(n) | Selected::Part(n, _) => {
                let i = plan.runs.get_index_of(n)?;
                match plan.runs[i].role {
                    Role::Leash => return self.fall_line(),
                    Role::Tensioning => return None,
                    _ => {}
                }
                match r.run_n[i] {
                    t if t > 0.0 => force(t),
                    _ => "slack".to_owned(),
                }
            }
            Selected::Point(n) if self.frame_line(n).is_some() => return self.frame_line(n),
            Selected::Point(n) => {
                let i = plan.points.get_index_of(n)?;
                match resultant_at(r, i) {
                    n if n > 0.0 => format!("{} where it is pulled hardest", force(n)),
                    _ => "nothing".to_owned(),
                }
            }
            Selected::People => return self.fall_line(),
            _ => return None,
        };
        Some(format!("now {text} ({})", self.in_view_words()))
    }

    /// What stands under the head of a frame, with nobody on the line and at the hardest.
    fn frame_line(&self, head: &str) -> Option<String> {
        let f = self.review.as_ref()?.frames.iter().find(|f| f.point == head)?;
        let force = |n: f64| show(Dim::Force, n, self.settings.system);
        let (hard, weak) = (f.hardest()?, f.weakest.as_ref()?);
        let most = hard.struts.iter().map(|s| s.thrust_n).fold(0.0, f64::max);
        let bears = f.bears_n.iter().copied().flatten().fold(f64::INFINITY, f64::min);
        let bears = if bears.is_finite() { format!(" of {} it bears", force(bears)) } else { String::new() };
        let lean = f.most_lean().map_or(0.0, |s| s.lean_deg);
        let stands = match weak.stiffness_ratio.filter(|_| weak.stands) {
            Some(k) => format!("side stiffness {k:.1} × needed"),
            None if weak.stands => "stands".to_owned(),
            None => "does not stand".to_owned(),
        };
        Some(format!("struts to {}{bears} · leans {lean:.1}° at most · {stands}", force(most)))
    }

    /// The situation in view, in words.
    #[must_use]
    pub fn in_view_words(&self) -> String {
        let at = super::short::whole(self.walker * self.line_m(), self.settings.system);
        match self.situation {
            super::view::InView::Standing => self.situation.words().to_owned(),
            s => format!("{}, {at} from A", s.words()),
        }
    }

    /// What a leash fall from where the walker is would come to, by energy.
    #[must_use]
    pub fn fall_line(&self) -> Option<String> {
        let (leash_n, feet_m) = self.view.as_ref()?.fall?;
        let system = self.settings.system;
        let feet = show(Dim::Length, feet_m.abs(), system);
        let where_to = match (feet_m < 0.0, self.file.plan.site.ground.is_empty()) {
            (_, true) => format!("{feet} {} A", if feet_m < 0.0 { "below" } else { "above" }),
            (true, _) => format!("{feet} BELOW THE GROUND"),
            (false, _) => format!("{feet} clear"),
        };
        Some(format!("fall here, by energy: leash over {}, feet {where_to}", show(Dim::Force, leash_n, system)))
    }

    /// Why there are no numbers, and what to try: one line for each fault.
    #[must_use]
    pub fn fault_lines(&self) -> Vec<String> {
        self.fault_forms()
            .into_iter()
            .map(|f| {
                let instead = if f.instead.is_empty() { String::new() } else { format!("; instead: {}", f.instead) };
                format!("! {}: {}{instead}", f.place, f.what)
            })
            .collect()
    }

    /// The same as forms.
    #[must_use]
    pub fn fault_forms(&self) -> Vec<FaultForm> {
        let form = |f: &crate::document::Diagnostic| FaultForm {
            line: self.file.text.get(..f.span.start).map_or(1, |before| before.lines().count().max(1)),
            place: place(&f.path),
            what: plain(&f.message),
            instead: plain(f.help.as_deref().unwrap_or_default()),
        };
        self.review_faults.iter().map(form).collect()
    }
}

/// A fault of a plan as people read it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FaultForm {
    /// Line of the file, from 1.
    pub line: usize,
    /// Where in the plan, in words.
    pub place: String,
    /// What is wrong.
    pub what: String,
    /// What to write instead; empty where that is not known.
    pub instead: String,
}

/// A place in a plan, in words: names as they are, fields without their dashes, places of a list counted from one.
fn place(path: &Path) -> String {
    let groups = ["points", "runs", "items"];
    let words = path.0.iter().enumerate().filter_map(|(k, step)| match step {
        Step::Key(name) if k == 0 && groups.contains(&name.as_str()) && path.0.len() > 1 => None,
        Step::Key(name) if name == "parts" => None,
        Step::Key(name) => Some(name.replace('_', " ")),
        Step::At(n) if k > 0 && path.0[k - 1] == Step::Key("parts".to_owned()) => Some(format!("part {}", n + 1)),
        Step::At(n) => Some(format!("no. {}", n + 1)),
    });
    let words: Vec<String> = words.collect();
    if words.is_empty() { "the plan".to_owned() } else { plain(&words.join(", ")) }
}
