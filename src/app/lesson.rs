//! Lessons: a plan and steps that say something about it, with the figures filled in from the plan as it is then, and held
//! against what the step expects, so that words and figures cannot part.

use std::sync::Arc;

use super::keys::{Key, Press};
use super::outline::Selected;
use super::state::{App, Choice, Overlay, Picker, PickerUse};
use super::view::InView;
use crate::catalogue::fields::{optional, required, slot};
use crate::document::schema::{Form, Slot};
use crate::document::schema::{FormBody, Kind, Record};
use crate::document::{Path, Reader, Source, check, plain, scan};
use crate::plan::{History, PlanFile};
use crate::review::Review;
use crate::units::{self, Dim, System, show};

/// Every lesson: its name, its text, its plan.
const LESSONS: [(&str, &str, &str); 3] = [
    (
        "a-short-leg",
        include_str!("../../assets/lessons/a-short-leg.ron"),
        include_str!("../../assets/lessons/three-legs.ron"),
    ),
    (
        "too-much-backup",
        include_str!("../../assets/lessons/too-much-backup.ron"),
        include_str!("../../assets/lessons/loose-backup.ron"),
    ),
    (
        "a-knot-in-hmpe",
        include_str!("../../assets/lessons/a-knot-in-hmpe.ron"),
        include_str!("../../assets/lessons/one-leg.ron"),
    ),
];

const fn form(name: &'static str, slots: &'static [Slot], doc: &'static str) -> Form {
    Form { name, body: FormBody::Slots(slots), doc }
}

const STEP: Record = Record {
    name: "Step",
    doc: "One step.",
    fields: &[
        optional("say", Kind::Words, "nothing", "what is said, with figures in braces"),
        optional("ask", Kind::Words, "nothing", "what is asked"),
        optional("choose", Kind::List(&Kind::Words), "[]", "answers to choose from"),
        optional("answer", Kind::Whole, "none", "which of them is right, from 1"),
        optional("show", Kind::Words, "what was", "the run or point that is selected"),
        optional(
            "view",
            Kind::Choice(&[
                Form { name: "Standing", body: FormBody::Alone, doc: "nobody on it" },
                Form { name: "Walker", body: FormBody::Alone, doc: "one walker" },
            ]),
            "what was",
            "the situation in view",
        ),
        optional("run", Kind::List(&Kind::Words), "[]", "commands that are done"),
        optional(
            "set",
            Kind::List(&Kind::Choice(&[form(
                "Set",
                &[slot("path", Kind::Words), slot("value", Kind::Words)],
                "a value of the plan",
            )])),
            "[]",
            "values of the plan that are changed",
        ),
        optional(
            "expect",
            Kind::List(&Kind::Choice(&[form(
                "Is",
                &[slot("figure", Kind::Words), slot("value", Kind::Words), slot("within", Kind::Words)],
                "a figure, what it is, and how far off it may be",
            )])),
            "[]",
            "what the figures are by now",
        ),
    ],
};

const LESSON: Kind = Kind::Record(&Record {
    name: "Lesson",
    doc: "A lesson.",
    fields: &[
        required("title", Kind::Words, "what it is called"),
        required("steps", Kind::List(&Kind::Record(&STEP)), "its steps"),
    ],
});

/// A figure that a step expects.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Which.
    pub figure: Figure,
    /// What it is, in SI.
    pub is: f64,
    /// How far off it may be.
    pub within: f64,
}

/// A figure of the plan as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Figure {
    /// Tension of a run in the situation in view.
    Pull(String),
    /// What the weakest part of a run keeps.
    Keeps(String),
    /// The least factor of a run.
    Factor(String),
    /// How far a catch by the backup drops the body, by energy; were the backup tied in at every quarter.
    Fall(bool),
    /// The body's force in the same.
    Body(bool),
}

/// Equal spaces at which a backup is tied in, where a figure says `tied`.
const TIED: f64 = 4.0;

impl std::fmt::Display for Figure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let tied = |tied: bool| if tied { ", with the backup tied in at every quarter" } else { "" };
        match self {
            Self::Pull(run) => write!(f, "the pull of {run}"),
            Self::Keeps(run) => write!(f, "what {run} keeps"),
            Self::Factor(run) => write!(f, "the factor of {run}"),
            Self::Fall(t) => write!(f, "the fall into the backup{}", tied(*t)),
            Self::Body(t) => write!(f, "the force on the body in the backup{}", tied(*t)),
        }
    }
}

impl Figure {
    fn read(text: &str) -> Option<Self> {
        let (word, rest) = text.split_once(' ').unwrap_or((text, ""));
        Some(match (word, rest) {
            ("pull", run) if !run.is_empty() => Self::Pull(run.to_owned()),
            ("keeps", run) if !run.is_empty() => Self::Keeps(run.to_owned()),
            ("factor", run) if !run.is_empty() => Self::Factor(run.to_owned()),
            ("fall", "" | "tied") => Self::Fall(rest == "tied"),
            ("body", "" | "tied") => Self::Body(rest == "tied"),
            _ => return None,
        })
    }

    fn dim(&self) -> Option<Dim> {
        match self {
            Self::Pull(_) | Self::Keeps(_) | Self::Body(_) => Some(Dim::Force),
            Self::Fall(_) => Some(Dim::Length),
            Self::Factor(_) => None,
        }
    }

    /// A value of its kind, in SI.
    fn value(&self, text: &str) -> Option<f64> {
        match self.dim() {
            Some(dim) => units::parse(text, dim).ok(),
            None => text.parse().ok(),
        }
    }

    fn words(&self, si: f64, system: System) -> String {
        self.dim().map_or_else(|| crate::review::factor_text(si), |dim| show(dim, si, system))
    }
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    say: String,
    /// Answers to choose from, and the index of the right one; nothing where nothing is asked.
    pub asks: Option<(Vec<String>, usize)>,
    show: Option<String>,
    view: Option<InView>,
    run: Vec<String>,
    set: Vec<(Path, String)>,
    /// What its figures are.
    pub expect: Vec<Expected>,
}

/// A lesson.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Its name.
    pub name: String,
    /// What it is called.
    pub title: String,
    /// Its plan.
    pub plan: String,
    /// Its steps.
    pub steps: Vec<Step>,
}

/// Names and titles of all lessons.
#[must_use]
pub fn lessons() -> Vec<(&'static str, String)> {
    let title = |text: &str| scan(text).map_or_else(|_| String::new(), |root| Reader(&root).words("title"));
    LESSONS.iter().map(|(name, text, _)| (*name, title(text))).collect()
}

impl Lesson {
    /// The lesson of a name.
    ///
    /// # Errors
    /// When there is none, or it is wrong.
    pub fn named(name: &str) -> Result<Self, String> {
        let found = LESSONS.iter().find(|l| l.0 == name);
        let (name, text, plan) = found
            .ok_or_else(|| format!("no lesson “{}”; there are {}", plain(name), LESSONS.map(|l| l.0).join(", ")))?;
        Self::read(name, text, plan)
    }

    /// Reads a lesson.
    ///
    /// # Errors
    /// What is wrong with it, with its place.
    pub fn read(name: &str, text: &str, plan: &str) -> Result<Self, String> {
        let source = Source { name, text };
        let root = scan(text).map_err(|d| source.show(&d))?;
        if let Some(d) = check(&root, &LESSON).first() {
            return Err(source.show(d));
        }
        let r = Reader(&root);
        let items = |r: Reader<'_>, k: &str| r.get(k).map(Reader::items).unwrap_or_default().to_vec();
        let steps = items(r, "steps").iter().map(|s| step(Reader(s))).collect::<Result<_, _>>()?;
        Ok(Self { name: name.to_owned(), title: r.words("title"), plan: plan.to_owned(), steps })
    }
}

fn step(r: Reader<'_>) -> Result<Step, String> {
    let list = |k: &str| r.get(k).map(Reader::items).unwrap_or_default();
    let words = |k: &str| list(k).iter().filter_map(|w| Reader(w).text()).collect::<Vec<String>>();
    let slot = |n: Reader<'_>, k: usize| n.at(k).and_then(Reader::text).unwrap_or_default();
    let choose = words("choose");
    let answer = r.n("answer").map_or(0, |n| n as usize);
    if !choose.is_empty() && !(1..=choose.len()).contains(&answer) {
        return Err(format!("none of the {} answers is number {answer}", choose.len()));
    }
    let expected = |n: Reader<'_>| {
        let (name, is, within) = (slot(n, 0), slot(n, 1), slot(n, 2));
        let figure = Figure::read(&name).ok_or_else(|| format!("“{name}” is no figure"))?;
        let value = |text: &str| figure.value(text).ok_or_else(|| format!("“{text}” is no value of {name}"));
        Ok::<_, String>(Expected { is: value(&is)?, within: value(&within)?, figure })
    };
    let path = |text: &str| {
        let step = |p: Path, s: &str| s.parse().map_or_else(|_| p.key(s), |k: usize| p.at(k));
        text.split('/').fold(Path::root(), step)
    };
    Ok(Step {
        say: [r.words("say"), r.words("ask")].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join(" "),
        asks: (!choose.is_empty()).then(|| (choose, answer - 1)),
        show: r.get("show").and_then(Reader::text),
        view: r.get("view").map(|v| if v.name() == "Standing" { InView::Standing } else { InView::Walker }),
        run: words("run"),
        set: list("set").iter().map(|n| (path(&slot(Reader(n), 0)), slot(Reader(n), 1))).collect(),
        expect: list("expect").iter().map(|n| expected(Reader(n))).collect::<Result<_, _>>()?,
    })
}

/// A plan that was left for a lesson.
#[derive(Debug)]
struct Left {
    file: Arc<PlanFile>,
    path: Option<std::path::PathBuf>,
    on_disk: Option<String>,
    history: History,
    selected: Selected,
    view: (InView, f64),
    baseline: (Option<Box<Review>>, Option<Arc<PlanFile>>),
}

/// A lesson that is being played.
#[derive(Debug)]
pub struct Playing {
    /// Which.
    pub lesson: Lesson,
    /// Its step, from 0.
    pub at: usize,
    /// What was answered to the step's question, from 0.
    pub answered: Option<usize>,
    /// The plan after each step's own changes.
    after: Vec<Arc<PlanFile>>,
    left: Left,
}

impl Playing {
    /// The step.
    #[must_use]
    pub fn step(&self) -> &Step {
        &self.lesson.steps[self.at]
    }
}

impl App {
    /// The lessons, to choose from.
    pub(super) fn choose_lesson(&mut self) {
        let rows = lessons().into_iter().map(|(name, title)| Choice::new(title, name, name)).collect();
        self.overlay = Some(Overlay::Picker(Picker::new(PickerUse::Lesson, "Lesson", rows, 0)));
        self.dirty = true;
    }

    /// Begins a lesson; the plan stays aside until it is left.
    ///
    /// # Errors
    /// When there is no such lesson, or its plan is wrong.
    pub fn begin_lesson(&mut self, name: &str) -> Result<(), String> {
        self.play_lesson(Lesson::named(name)?)
    }

    /// The same with a lesson in hand.
    ///
    /// # Errors
    /// When its plan is wrong.
    pub fn play_lesson(&mut self, lesson: Lesson) -> Result<(), String> {
        let plan = format!("{}.ron (a lesson)", lesson.name);
        let file = PlanFile::parse(&plan, lesson.plan.clone()).map_err(|e| e.show(&plan))?;
        if !file.is_sound() {
            return Err(file.show_faults());
        }
        self.leave_lesson();
        let left = Left {
            file: std::mem::replace(&mut self.file, Arc::new(file)),
            path: self.path.take(),
            on_disk: self.on_disk.take(),
            history: std::mem::take(&mut self.history),
            selected: self.selected.clone(),
            view: (self.situation, self.walker),
            baseline: (self.baseline.take(), self.baseline_file.take()),
        };
        self.forget_other_plan();
        self.walker = 0.5;
        self.lesson = Some(Box::new(Playing { lesson, at: 0, answered: None, after: Vec::new(), left }));
        self.resolve();
        self.take_step();
        Ok(())
    }

    /// Ends a lesson and brings the plan back that it was begun over.
    pub fn leave_lesson(&mut self) {
        let Some(playing) = self.lesson.take() else { return };
        // What was worked out of the lesson's plan must not come in as this one's.
        self.stop.store(true, std::sync::atomic::Ordering::Relaxed);
        let left = playing.left;
        (self.file, self.path, self.on_disk, self.history) = (left.file, left.path, left.on_disk, left.history);
        self.selected = left.selected;
        (self.situation, self.walker) = left.view;
        (self.baseline, self.baseline_file) = left.baseline;
        self.forget_other_plan();
        self.resolve();
        self.say("the lesson is left; the plan is as it was");
    }

    /// What was worked out of another plan.
    fn forget_other_plan(&mut self) {
        (self.review, self.watching) = (None, None);
        self.gesture = None;
    }

    /// Does what the step does, once; a step that was there before finds its own plan again.
    fn take_step(&mut self) {
        let Some(playing) = &mut self.lesson else { return };
        playing.answered = None;
        let (step, at) = (playing.step().clone(), playing.at);
        let done = playing.after.get(at).cloned();
        // The learner's own changes end with the step that they were made in.
        let own = done.clone().or_else(|| playing.after.get(at.wrapping_sub(1)).cloned());
        if let Some(file) = own.filter(|f| f.text != self.file.text) {
            (self.file, self.history) = (file, History::default());
            self.resolve();
        }
        if let Some(view) = step.view {
            self.situation = view;
            self.look();
        }
        if let Some(name) = &step.show {
            let of = if self.file.plan.runs.contains_key(name) {
                Selected::Run(name.clone())
            } else {
                Selected::Point(name.clone())
            };
            self.select(of);
        }
        if done.is_none() {
            for (path, value) in &step.set {
                if let Err(why) = self.set(path, value, "the lesson's step".to_owned()) {
                    self.refuse(format!("the lesson cannot go on as it should: {why}"));
                }
            }
            for id in &step.run {
                if super::commands::COMMANDS.iter().any(|c| c.id == id && (c.when)(self)) {
                    self.run(id);
                } else {
                    self.refuse(format!("the lesson cannot go on as it should: “{id}” does not apply"));
                }
            }
            let file = self.file.clone();
            if let Some(playing) = &mut self.lesson {
                playing.after.push(file);
            }
        }
        self.dirty = true;
    }

    /// Whether a lesson takes keys before the pane does.
    #[must_use]
    pub fn lesson_listens(&self) -> bool {
        self.lesson.is_some() && matches!(self.pane, super::state::Pane::Path | super::state::Pane::Drawing)
    }

    /// A key that a lesson takes; whether it did.
    pub(super) fn press_lesson(&mut self, press: Press) -> bool {
        let listens = !press.ctrl && self.lesson_listens();
        let Some(playing) = self.lesson.as_mut().filter(|_| listens) else { return false };
        let choices = playing.step().asks.as_ref().map_or(0, |a| a.0.len());
        match press.key {
            Key::Enter if playing.at + 1 < playing.lesson.steps.len() => {
                playing.at += 1;
                self.take_step();
            }
            Key::Enter | Key::Char('q') => self.leave_lesson(),
            Key::Backspace => {
                let own = playing.after.get(playing.at).is_some_and(|f| f.text == self.file.text);
                if own && playing.at > 0 {
                    playing.at -= 1;
                } else if !own {
                    self.say("back to the lesson: your changes are taken back");
                }
                self.take_step();
            }
            Key::Char(c) if c.to_digit(10).is_some_and(|d| (1..=choices as u32).contains(&d)) => {
                playing.answered = c.to_digit(10).map(|d| d as usize - 1);
            }
            _ => return false,
        }
        self.dirty = true;
        true
    }

    /// A figure of the plan as it is; nothing while it is being worked out.
    #[must_use]
    pub fn figure(&self, of: &Figure) -> Option<f64> {
        let review = || self.review.as_ref().filter(|r| self.fresh() && r.to_come == 0);
        let rows = |r: &'_ Review, run: &str, get: fn(&crate::review::Row) -> f64| {
            let own = r.rows.iter().filter(|row| matches!(&row.place, crate::review::Place::Part(n, _) if n == run));
            own.map(get).filter(|v| v.is_finite()).reduce(f64::min)
        };
        match of {
            Figure::Pull(run) => {
                let at = self.file.plan.runs.get_index_of(run)?;
                self.view.as_ref()?.response.as_ref()?.run_n.get(at).copied()
            }
            Figure::Keeps(run) => rows(review()?, run, |row| row.strength.low_n),
            Figure::Factor(run) => rows(review()?, run, |row| row.factor),
            Figure::Fall(tied) => self.catch(*tied, review()?)?.fall_m,
            Figure::Body(tied) => self.catch(*tied, review()?)?.body_n,
        }
    }

    fn catch<'a>(&self, tied: bool, review: &'a Review) -> Option<&'a crate::review::Catch> {
        if !tied {
            return review.catches.first();
        }
        let whole = review.catches.first()?.segment_m;
        review.spacings.iter().min_by(|a, b| {
            let off = |c: &crate::review::Catch| (c.segment_m - whole / TIED).abs();
            off(a).total_cmp(&off(b))
        })
    }

    /// What a step says, its figures filled in, and which of those that it expects are not so.
    #[must_use]
    pub fn lesson_said(&self) -> Option<(String, Vec<String>)> {
        let playing = self.lesson.as_ref()?;
        let step = playing.step();
        let system = self.settings.system;
        let mut out = String::new();
        let mut rest = step.say.as_str();
        while let Some((before, after)) = rest.split_once('{') {
            let (name, then) = after.split_once('}').unwrap_or((after, ""));
            let figure = Figure::read(name);
            let value = figure.as_ref().and_then(|f| Some(f.words(self.figure(f)?, system)));
            out += before;
            out += value.as_deref().unwrap_or("…");
            rest = then;
        }
        out += rest;
        if let (Some((_, right)), Some(given)) = (&step.asks, playing.answered) {
            out += if given == *right { " Right." } else { " No: go on and see." };
        }
        let own = playing.after.get(playing.at).is_some_and(|f| f.text == self.file.text);
        let unmet = step.expect.iter().filter(|_| own).filter_map(|e| {
            let is = self.figure(&e.figure)?;
            let words = |v: f64| e.figure.words(v, system);
            ((is - e.is).abs() > e.within)
                .then(|| format!("{} is {} here, and the lesson means {}", e.figure, words(is), words(e.is)))
        });
        let unmet = unmet.collect();
        Some((out, unmet))
    }
}
