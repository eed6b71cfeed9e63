//! A new plan from a few questions, one after the other.

use super::dialogue::{Dialogue, positive, quantity};
use super::state::{App, Choice};
use crate::catalogue::Class;
use crate::plan::sighted::Shot;
use crate::plan::templates::{AnchorKind, Answers, across, below, factors, ground, plan_text, walkers, winds};
use crate::plan::{Change, PlanFile, Side};
use crate::units::{Dim, Quantity as _};

/// The questions, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Question {
    /// What to call it.
    Title,
    /// The span.
    Span,
    /// The rise.
    Rise,
    /// Who walks.
    Walkers,
    /// What lies below.
    Ground,
    /// The webbing.
    Webbing,
    /// Standing tension.
    Tension,
    /// Anchor at A.
    AnchorA,
    /// Anchor at B.
    AnchorB,
    /// What the legs are made of.
    Legs,
    /// Factors asked for.
    Factors,
    /// Sighted down from the lips.
    Below,
    /// Sighted from lip to lip.
    Across,
    /// How far behind the lip at A.
    BehindA,
    /// And at B.
    BehindB,
    /// The strongest winds.
    Winds,
    /// All of it, before it is made.
    Check,
}

const ORDER: [Question; 12] = [
    Question::Title,
    Question::Span,
    Question::Rise,
    Question::Walkers,
    Question::Ground,
    Question::Webbing,
    Question::Tension,
    Question::AnchorA,
    Question::AnchorB,
    Question::Legs,
    Question::Factors,
    Question::Check,
];

/// The same of a first visit, in the order of the sheet for it: what is below, how far, what holds, which line, who and in
/// what wind; the rest is assumed.
const SCOUTED: [Question; 12] = [
    Question::Below,
    Question::Across,
    Question::AnchorA,
    Question::BehindA,
    Question::AnchorB,
    Question::BehindB,
    Question::Webbing,
    Question::Tension,
    Question::Walkers,
    Question::Winds,
    Question::Title,
    Question::Check,
];

fn order(a: &Answers) -> &'static [Question] {
    if a.scouted.is_some() { &SCOUTED } else { &ORDER }
}

/// The last step's first line.
const MAKE: &str = "make the plan";

/// Offered: a fresh wind to walk in, a gale that it stays up in.
const WINDS_M_PER_S: [f64; 2] = [8.0, 20.0];
/// An anchor nearer to the lip than this is drawn by hand, m.
const NEAREST_M: f64 = 1.0;

impl Question {
    /// The step's name, short.
    fn name(self) -> &'static str {
        match self {
            Self::Title => "name",
            Self::Span => "gap",
            Self::Rise => "B above A",
            Self::Walkers => "walkers",
            Self::Ground => "ground",
            Self::Webbing => "line",
            Self::Tension => "tension",
            Self::AnchorA => "anchor A",
            Self::AnchorB => "anchor B",
            Self::Legs => "legs",
            Self::Factors => "factors",
            Self::Below => "1 below",
            Self::Across => "2 across",
            Self::BehindA => "behind A",
            Self::BehindB => "behind B",
            Self::Winds => "5 wind",
            Self::Check => "check",
        }
    }

    /// The answer that is given, or assumed, in words.
    fn answer(self, app: &App, a: &Answers) -> String {
        let item = |id: &str| app.file.catalogue.get(id).map_or_else(|| id.to_owned(), |i| i.title.clone());
        match self {
            Self::Title => a.title.clone(),
            Self::Span => format!("{} m", a.span_m),
            Self::Rise => format!("{} m", a.rise_m),
            Self::Walkers => {
                let all: Vec<String> = a.walkers_kg.iter().map(f64::to_string).collect();
                format!("{} kg", all.join(", "))
            }
            Self::Ground if a.ground_m.is_empty() => "not known".to_owned(),
            Self::Ground => {
                let all: Vec<String> = a.ground_m.iter().map(|[x, z]| format!("{x} {z}")).collect();
                all.join(", ")
            }
            Self::Webbing => item(&a.webbing),
            Self::Tension => format!("{} kN", a.standing_kn),
            Self::AnchorA => a.anchors[0].words().to_owned(),
            Self::AnchorB => a.anchors[1].words().to_owned(),
            Self::Legs => item(&a.legs),
            Self::Factors => {
                let [working, fall, failure] = a.factors;
                format!("{working}, {fall}, {failure}")
            }
            Self::Below => {
                let below = a.scouted.as_ref().map_or(&[][..], |v| &v.below);
                let said = |s: &Shot| {
                    let from = if s.side == Side::B { "B " } else { "" };
                    format!("{from}{} m at {:.1}", s.distance.si(), s.slope.si().to_degrees())
                };
                let all: Vec<String> = below.iter().map(said).collect();
                if all.is_empty() { "not known".to_owned() } else { all.join(", ") }
            }
            Self::Across => {
                let (d, s) = a.scouted.as_ref().map_or((0.0, 0.0), |v| v.across);
                if d > 0.0 { format!("{d} m at {:.1}", s.to_degrees()) } else { format!("{} m at 0", a.span_m) }
            }
            Self::BehindA | Self::BehindB => {
                let k = usize::from(self == Self::BehindB);
                let said = a.scouted.as_ref().and_then(|v| v.behind_m[k]);
                format!("{} m", said.unwrap_or_else(|| a.anchors[k].first_m()))
            }
            Self::Winds => {
                let [walk, storm] = a.scouted.as_ref().and_then(|v| v.winds_m_per_s).unwrap_or(WINDS_M_PER_S);
                format!("{walk}, {storm} m/s")
            }
            Self::Check => String::new(),
        }
    }
}

/// A step of a new plan as it is shown: whether it was answered, whether it is asked now, its name, its answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanStep {
    /// Answered.
    pub done: bool,
    /// Asked now.
    pub now: bool,
    /// Its name.
    pub name: &'static str,
    /// Its answer; empty where none is given yet.
    pub answer: String,
}

fn with_unit(text: &str, unit: &str) -> String {
    if text.trim().parse::<f64>().is_ok() { format!("{} {unit}", text.trim()) } else { text.to_owned() }
}

impl App {
    /// Asks one question of a new plan.
    pub(super) fn ask(&mut self, question: Question, answers: &Answers) {
        let d = Dialogue::Plan(question, answers.clone());
        let anchors = || AnchorKind::ALL.iter().map(|k| Choice::named(k.name(), k.words())).collect();
        let offered = question.answer(self, answers);
        let typed = |d: Dialogue, label: &str| d.typed(label.to_owned(), offered.clone());
        self.overlay = Some(match question {
            Question::Title => typed(d, "What is the plan called?"),
            Question::Span => typed(d, "How far is it from anchor to anchor, level? A bare number is metres."),
            Question::Rise => typed(d, "How much higher is B than A? Below is minus."),
            Question::Walkers => typed(d, "Who walks, each with their gear? As 80 kg and 65 kg."),
            Question::Ground => typed(
                d,
                "How does the ground run, from A to B? Each place: how far from A, how high over A; down is minus, or write 25 down. As -3 -0.5, 2 -1, 4 -22, 46 25 down, 50 1. Or: not known.",
            ),
            Question::Webbing => {
                let rows = self.items(|c| c == Class::Webbing);
                d.listed("What are main line and backup of?".to_owned(), rows, &answers.webbing)
            }
            Question::Tension => typed(d, "How tight, with nobody on it? A bare number is kilonewtons."),
            Question::AnchorA => d.listed("What holds it at A?".to_owned(), anchors(), answers.anchors[0].name()),
            Question::AnchorB => d.listed("What holds it at B?".to_owned(), anchors(), answers.anchors[1].name()),
            Question::Legs => {
                let rows = self.items(|c| c == Class::HollowBraid);
                d.listed("What are the legs spliced from?".to_owned(), rows, &answers.legs)
            }
            Question::Factors => typed(d, "Which factors are asked: working, in a fall, when a piece has failed?"),
            Question::Below => typed(
                d,
                "1. What is below, seen from the lips along the line? Each place: distance, slope; down is minus. From A until it says B: 38 m at -62, 52 at -41, B 20 at -70. Or: not known.",
            ),
            Question::Across => typed(d, "2. From A's lip to B's: distance and slope, as 63 m at 2.5. Lower is minus."),
            Question::BehindA | Question::BehindB => {
                let side = if question == Question::BehindA { "A" } else { "B" };
                let text = format!("How far behind the lip is the first of them at {side}? A bare number is metres.");
                d.typed(text, offered.clone())
            }
            Question::Winds => {
                typed(d, "The strongest wind to walk in, and that it stays up in? Bare numbers are metres a second.")
            }
            Question::Check => {
                let steps = order(answers).iter().filter(|q| **q != Question::Check);
                let rows = steps.map(|q| Choice::named(q.name(), q.answer(self, answers)));
                let rows = std::iter::once(Choice::named(MAKE, "or go back to a step of it")).chain(rows).collect();
                d.listed("Is it all as meant?".to_owned(), rows, MAKE)
            }
        });
        self.dirty = true;
    }

    /// The steps of the new plan that is being asked for.
    #[must_use]
    pub fn plan_steps(&self) -> Option<(Vec<PlanStep>, &Answers)> {
        let Dialogue::Plan(question, answers) = self.overlay.as_ref()?.dialogue()? else { return None };
        let order = order(answers);
        let at = order.iter().position(|q| q == question).unwrap_or(0);
        let steps = order.iter().enumerate().map(|(k, q)| PlanStep {
            done: k < at,
            now: k == at,
            name: q.name(),
            answer: if k < at { q.answer(self, answers) } else { String::new() },
        });
        Some((steps.collect(), answers))
    }

    /// Takes an answer, and asks the next question or makes the plan. A bare number is in the unit that the question
    /// stands in.
    ///
    /// # Errors
    /// Why the answer cannot be taken.
    pub(super) fn answer(&mut self, question: Question, mut a: Answers, text: &str) -> Result<(), String> {
        match question {
            Question::Title if text.is_empty() => return Err("a plan needs a name".to_owned()),
            Question::Title => a.title = text.to_owned(),
            Question::Span => a.span_m = positive(&with_unit(text, "m"), Dim::Length)?,
            Question::Rise => a.rise_m = quantity(&with_unit(text, "m"), Dim::Length)?,
            Question::Walkers => a.walkers_kg = walkers(text)?,
            Question::Ground => a.ground_m = ground(text)?,
            Question::AnchorA => a.anchors[0] = AnchorKind::from_name(text).unwrap_or(a.anchors[0]),
            Question::AnchorB => a.anchors[1] = AnchorKind::from_name(text).unwrap_or(a.anchors[1]),
            Question::Webbing => a.webbing = text.to_owned(),
            Question::Tension => a.standing_kn = positive(&with_unit(text, "kN"), Dim::Force)? / 1e3,
            Question::Factors => a.factors = factors(text)?,
            Question::Legs => text.clone_into(&mut a.legs),
            Question::Below => a.scouted.get_or_insert_default().below = below(text)?,
            Question::Across => {
                let visit = a.scouted.get_or_insert_default();
                visit.across = across(text)?;
                [a.span_m, a.rise_m] = visit.gap_m().map(|m| (100.0 * m).round() / 100.0);
            }
            Question::BehindA | Question::BehindB => {
                let m = positive(&with_unit(text, "m"), Dim::Length)?;
                if m < NEAREST_M {
                    return Err(format!("at least {NEAREST_M} m: nearer than that, move its points in the plan"));
                }
                let k = usize::from(question == Question::BehindB);
                a.scouted.get_or_insert_default().behind_m[k] = Some(m);
            }
            Question::Winds => a.scouted.get_or_insert_default().winds_m_per_s = Some(winds(text)?),
            Question::Check if text == MAKE => return self.start(&a),
            Question::Check => {
                let step = order(&a).iter().copied().find(|q| q.name() == text).unwrap_or(Question::Title);
                self.ask(step, &a);
                return Ok(());
            }
        }
        let order = order(&a);
        let next = order.iter().position(|q| *q == question).and_then(|i| order.get(i + 1));
        self.ask(*next.unwrap_or(&Question::Check), &a);
        Ok(())
    }

    fn start(&mut self, a: &Answers) -> Result<(), String> {
        let text = plan_text(a);
        let file = PlanFile::parse("new plan", text.clone()).map_err(|e| e.show("new plan"))?;
        if let Some(f) = file.faults.first() {
            return Err(f.message.clone());
        }
        let splice = crate::document::Splice { at: 0, old: self.file.text.clone(), new: text };
        let change =
            Change {
                name: format!("new plan “{}”", a.title), splices: vec![splice], selected: self.selected.words()
            };
        // It has no file yet, so that saving cannot put it over the one that was open.
        let (path, on_disk) = (self.path.take(), self.on_disk.take());
        let done = self.change(change);
        if done.is_err() {
            (self.path, self.on_disk) = (path, on_disk);
        }
        done
    }
}
