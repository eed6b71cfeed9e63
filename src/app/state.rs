//! Everything the workbench knows.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::compare::Compared;
use super::dialogue::Dialogue;
use super::display::{Glyphs, Looks, Palette};
use super::form::{FormField, fields_of};
use super::jobs::{Job, JobDone};
use super::keymap::{KeyFile, Keymap};
use super::menu::Menu;
use super::outline::{Entry, Selected, outline};
use super::pages::PageBlock;
use super::shape::Drag;
use super::studies::{Studies, Study};
use super::trials::{Trial, Trials};
use super::view::{InView, View};
use super::watching::Watching;
use crate::document::Diagnostic;
use crate::plan::{Change, History, Plan, PlanFile, Side};
use crate::review::{Gravity, Place, Review, Solver, Verdict, in_view};
use crate::sheets::page::Page;
use crate::units::System;

/// How the workbench shows things.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Units on screen.
    pub system: System,
    /// What strokes and signs are made of.
    pub glyphs: Glyphs,
    /// Its colours.
    pub palette: Palette,
    /// Whether the terminal has sixteen colours only.
    pub few_colours: bool,
    /// Take the mouse.
    pub mouse: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            system: System::Si,
            glyphs: Glyphs::default(),
            palette: Palette::default(),
            few_colours: false,
            mouse: true,
        }
    }
}

/// A pane that can have the keys.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Pane {
    /// The rig along the load's way.
    #[default]
    Path,
    /// The drawing.
    Drawing,
    /// What is selected: its fields and the reasons for its number.
    Piece,
    /// What is worst, and what the rules say.
    Worst,
}

impl Pane {
    /// In the order of the key that changes them.
    pub const ALL: [Self; 4] = [Self::Path, Self::Drawing, Self::Piece, Self::Worst];

    /// Its name, where it is spoken of.
    #[must_use]
    pub fn name(self) -> &'static str {
        self.title()
    }

    /// Its title.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Path => "Load path",
            Self::Drawing => "Gap",
            Self::Piece => "Piece",
            Self::Worst => "Worst first",
        }
    }
}

/// What is opened when a review comes; any key calls it off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opening {
    /// Nothing: somebody has moved the cursor, or is to find it where it was.
    Stays,
    /// The page of a block, which waits for a review of the plan as it is now.
    Page(PageBlock),
    /// What limits the rig, when all of it is known.
    OnLimit,
}

/// One line of the worst list.
#[derive(Debug, Clone, PartialEq)]
pub enum WorstRow {
    /// A row of the review, by its index.
    Row(usize),
    /// A finding, by its index.
    Finding(usize),
}

/// What a typed line is for.
#[derive(Debug, Clone)]
pub enum PromptUse {
    /// A field of the form.
    Field(Box<FormField>),
    /// A new name for what is selected.
    Rename,
    /// Where to save, and whether an editor is to be opened on the file then.
    SaveAs(bool),
    /// What to look for.
    Find,
    /// Another plan's file, to be held against.
    Against,
    /// A remark on this place.
    Remark(String),
    /// A word to an answer: how, and to what.
    Answer(String),
    /// An answer to one of several questions.
    Ask(Box<Dialogue>),
}

/// A line being typed.
#[derive(Debug, Clone)]
pub struct Prompt {
    /// What it is for.
    pub purpose: PromptUse,
    /// Its label.
    pub label: String,
    /// What has been typed.
    pub text: String,
    /// Cursor, in characters.
    pub cursor: usize,
    /// Why it was not taken.
    pub refusal: Option<String>,
    /// Whether the text is a suggestion that the first letter typed replaces.
    pub suggested: bool,
}

impl Prompt {
    /// What it is for, above it.
    #[must_use]
    pub fn title(&self) -> &'static str {
        match self.purpose {
            PromptUse::Field(_) => "Field",
            PromptUse::Rename => "Name",
            PromptUse::SaveAs(_) => "Save as",
            PromptUse::Find => "Find",
            PromptUse::Against => "Against",
            PromptUse::Remark(_) => "Remark",
            PromptUse::Answer(_) | PromptUse::Ask(_) => "Answer",
        }
    }
}

/// What picking is for.
#[derive(Debug, Clone)]
pub enum PickerUse {
    /// A field of the form.
    Field(Box<FormField>),
    /// An item to add as a part after the selected one.
    AddPart,
    /// First point of a new run.
    RunFrom,
    /// Last point of a new run that starts at the first.
    RunTo(String),
    /// A command.
    Command,
    /// An incident to watch.
    Incident,
    /// A remark.
    Remark,
    /// What to do with a remark, by its number.
    RemarkDo(usize),
    /// An answer to a finding.
    Answer,
    /// An answer to one of several questions.
    Ask(Box<Dialogue>),
    /// A lesson.
    Lesson,
}

/// One line of a list to pick from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// Its name.
    pub name: String,
    /// What it stands for: a value to write, a command to run.
    pub value: String,
    /// Strength and mass of a piece of gear, or a command's keys.
    pub beside: Vec<String>,
    /// What it means.
    pub words: String,
}

impl Choice {
    /// A line that stands for `value`.
    #[must_use]
    pub fn new(name: impl Into<String>, value: impl Into<String>, words: impl Into<String>) -> Self {
        Self { name: name.into(), value: value.into(), words: words.into(), beside: Vec::new() }
    }

    /// A line that stands for its own name.
    #[must_use]
    pub fn named(name: impl Into<String>, words: impl Into<String>) -> Self {
        let name = name.into();
        Self { value: name.clone(), name, words: words.into(), beside: Vec::new() }
    }
}

/// A list to pick from.
#[derive(Debug, Clone)]
pub struct Picker {
    /// What it is for.
    pub purpose: PickerUse,
    /// Its title.
    pub title: String,
    /// What stands over the columns beside the names; nothing where they speak for themselves.
    pub heads: &'static [&'static str],
    /// Its lines.
    pub rows: Vec<Choice>,
    /// What has been typed to narrow it.
    pub filter: String,
    /// The line under the cursor, among those that match.
    pub at: usize,
}

impl Picker {
    /// A list with nothing typed yet and the cursor on line `at`.
    #[must_use]
    pub fn new(purpose: PickerUse, title: impl Into<String>, rows: Vec<Choice>, at: usize) -> Self {
        Self { purpose, title: title.into(), heads: &[], rows, filter: String::new(), at }
    }

    /// Rows that match what has been typed, best first.
    #[must_use]
    pub fn matching(&self) -> Vec<&Choice> {
        super::fuzzy::ranked(&self.filter, &self.rows)
    }
}

/// Something in front of the panes.
#[derive(Debug, Clone)]
pub enum Overlay {
    /// A line being typed.
    Prompt(Prompt),
    /// A list to pick from.
    Picker(Picker),
    /// The keys.
    Help(usize),
    /// Leave with unsaved work?
    Quit,
    /// The file has changed on disk.
    Changed,
    /// The plan here and its file on disk, and how far that is scrolled.
    Compare(Vec<Compared>, usize),
    /// Unsaved work before an editor is opened on the file.
    SaveFirst,
    /// A menu.
    Menu(Menu),
    /// What to press first, on the first start.
    Welcome,
    /// Work was left by a session that did not end tidily.
    Recover(Left),
    /// What has been said so far.
    Log(usize),
    /// What is wrong with the plan.
    Faults(usize),
    /// A sheet before it is printed.
    Sheet(Box<super::printing::Sheet>),
    /// The baseline and the plan beside each other.
    Beside(Box<super::beside::BesideView>),
    /// The page of the line going over.
    Over(super::over::OverView),
    /// The page of a rescue.
    Rescue(super::rescue::RescueView),
    /// The page of the last day at the line, and how far it is scrolled.
    Day(usize),
    /// The page of the work at the edges.
    Edges(super::edges::EdgeView),
    /// The page of the line that stays up, at one of its moments.
    Stay(usize),
}

/// What a session left that did not end tidily.
#[derive(Debug, Clone)]
pub struct Left {
    /// Its text.
    pub text: String,
    /// Of when it is, and what differs, in words.
    pub said: String,
}

impl Overlay {
    /// The answers of a question: each key, and what it does.
    #[must_use]
    pub fn choices(&self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Quit => &[("s", "save, then leave"), ("q", "leave without saving"), ("esc", "stay")],
            Self::Recover(_) => {
                &[("r", "bring it back (undo takes that back)"), ("d", "drop it"), ("esc", "decide later")]
            }
            Self::Changed => &[
                ("c", "compare the two"),
                ("o", "overwrite it (what is there is kept as .bak)"),
                ("r", "read it (undo brings your version back)"),
                ("esc", "do neither"),
            ],
            Self::SaveFirst => &[("s", "save, and open the editor"), ("esc", "do neither")],
            _ => &[],
        }
    }
}

/// Something for the outside to do.
#[derive(Debug, Clone)]
pub enum Effect {
    /// Review this behind the screen.
    Review(Job),
    /// Play this incident with pictures, behind the screen.
    Watch(Job, Box<crate::review::Event>),
    /// Try this behind the screen.
    Try(Trial),
    /// Make this study behind the screen.
    Study(Study),
    /// Read and review this plan behind the screen.
    Against(super::beside::Against),
    /// Leave.
    Quit,
    /// Put the program to sleep.
    Suspend,
    /// Take or leave the mouse.
    Mouse(bool),
    /// Lend the terminal to an editor of the file, at a line.
    Edit(PathBuf, usize),
    /// Keep this text where a kill cannot reach it.
    Journal(Arc<PlanFile>),
    /// Forget what was kept: all is saved, or given up.
    Forget,
}

/// The workbench.
#[derive(Debug)]
pub struct App {
    /// The plan.
    pub file: Arc<PlanFile>,
    /// Where it is saved; nothing for the demo.
    pub path: Option<PathBuf>,
    /// What the file on disk held when it was last read or written.
    pub on_disk: Option<String>,
    /// What was done.
    pub history: History,
    /// The rig tensioned, or why not.
    pub solver: Result<Box<Solver>, Vec<Diagnostic>>,
    /// The situation in view.
    pub view: Option<View>,
    /// The last whole review.
    pub review: Option<Box<Review>>,
    /// The review that later ones are held against.
    pub baseline: Option<Box<Review>>,
    /// The plan that it is of.
    pub baseline_file: Option<Arc<PlanFile>>,
    /// Number of the job whose review is shown.
    pub reviewed: u64,
    /// Number of the newest job.
    pub wanted: u64,
    /// Stops the newest job.
    pub(super) stop: Arc<AtomicBool>,
    /// Why the newest job gave no review.
    pub review_faults: Vec<Diagnostic>,
    /// What the cursor is on.
    pub selected: Selected,
    /// The outline.
    pub outline: Vec<Entry>,
    /// Runs whose parts are all shown.
    pub(super) unfolded: BTreeSet<String>,
    /// The side that was looked at last.
    pub side: Side,
    /// The form of what is selected.
    pub form: Vec<FormField>,
    /// Line of the form under the cursor.
    pub form_at: usize,
    /// Line of the worst list under the cursor.
    pub worst_at: usize,
    /// How far the reasons are scrolled.
    pub piece_scroll: usize,
    /// Which pane has the keys.
    pub pane: Pane,
    /// Which pane stands beside the load path when there is room for one only.
    pub beside: Pane,
    /// The incident being watched.
    pub watching: Option<Watching>,
    /// Where the walker is.
    pub walker: f64,
    /// Which situation is in view.
    pub situation: InView,
    /// Whether the drawing shows the whole depth of the ground.
    pub deep: bool,
    /// How closely each picture of the drawing is looked at.
    pub looks: Looks,
    /// What is in front.
    pub overlay: Option<Overlay>,
    /// What the mouse holds.
    pub drag: Option<Drag>,
    /// The change that small steps go on with, and the plan it left.
    pub(super) gesture: Option<(String, Arc<PlanFile>)>,
    /// Trials of the list in front.
    pub(super) trials: Option<Trials>,
    /// Studies of the plan.
    pub(super) studies: Studies,
    /// The piece of gear that was designed last.
    pub(super) benched: Option<Box<Page>>,
    /// Who remarked last.
    pub(super) initials: String,
    /// Number of the newest trials.
    pub(super) trial_number: u64,
    /// What has been said, newest last.
    pub log: Vec<String>,
    /// Whether the last thing said is a refusal.
    pub alarm: bool,
    /// How much had been said when the last key came.
    pub(super) heard: usize,
    /// What was chosen before something is looked for.
    pub(super) looked_from: Option<Selected>,
    /// A lesson that is being played.
    pub lesson: Option<Box<super::lesson::Playing>>,
    /// Questions on the way.
    pub(super) asked: super::dialogue::Asked,
    /// Which of those that limit was gone to last.
    pub(super) went_to_limit: Option<usize>,
    /// How things are shown.
    pub settings: Settings,
    /// The keys in force.
    pub keymap: Keymap,
    /// Effects not yet handed out.
    pub(super) effects: Vec<Effect>,
    /// Whether the screen is out of date.
    pub dirty: bool,
    /// What the next review opens.
    pub opening: Opening,
}

impl App {
    /// Opens `file`, saved at `path` (nothing for the demo).
    #[must_use]
    pub fn new(file: PlanFile, path: Option<PathBuf>, settings: Settings) -> Self {
        let on_disk = path.as_ref().map(|_| file.text.clone());
        let mut app = Self {
            file: Arc::new(file),
            path,
            on_disk,
            history: History::default(),
            solver: Err(Vec::new()),
            view: None,
            review: None,
            baseline: None,
            baseline_file: None,
            studies: Studies::default(),
            initials: String::new(),
            benched: None,
            reviewed: 0,
            wanted: 0,
            stop: Arc::default(),
            review_faults: Vec::new(),
            selected: Selected::Site,
            outline: Vec::new(),
            unfolded: BTreeSet::new(),
            side: Side::A,
            form: Vec::new(),
            form_at: 0,
            worst_at: 0,
            piece_scroll: 0,
            pane: Pane::Path,
            beside: Pane::Drawing,
            watching: None,
            walker: 0.5,
            situation: InView::Walker,
            deep: false,
            looks: Looks::default(),
            overlay: None,
            drag: None,
            gesture: None,
            trials: None,
            trial_number: 0,
            log: Vec::new(),
            alarm: false,
            heard: 0,
            went_to_limit: None,
            looked_from: None,
            lesson: None,
            asked: super::dialogue::Asked::default(),
            settings,
            keymap: Keymap::default(),
            effects: Vec::new(),
            dirty: true,
            opening: Opening::Stays,
        };
        app.resolve();
        // Start where the load is: on the first point of the outline.
        if let Some(first) =
            app.outline.iter().find_map(|e| e.selected.clone().filter(|s| matches!(s, Selected::Point(_))))
        {
            app.selected = first;
        }
        app.reform();
        app
    }

    /// Effects since the last call.
    pub fn take_effects(&mut self) -> Vec<Effect> {
        self.try_on();
        std::mem::take(&mut self.effects)
    }

    /// Takes the keys of a key file; what is wrong in it is said, and hinders nothing.
    pub fn use_keys(&mut self, file: KeyFile) {
        self.keymap = file.keymap;
        let count = file.faults.len();
        for f in file.faults {
            self.refuse(f);
        }
        if count > 0 {
            let more = self.keymap.first("log").map_or(String::new(), |k| format!(" ({k} shows all)"));
            self.refuse(format!("{count} wrong in the key file; defaults stand for that{more}"));
        }
    }

    /// Says something in the message line.
    pub fn say(&mut self, text: impl Into<String>) {
        let text = text.into();
        // Said again at once it is said once: a point that is being moved would fill the log.
        if self.log.last() != Some(&text) {
            self.log.push(text);
        }
        self.alarm = false;
        self.dirty = true;
    }

    /// Says that something was not done.
    pub fn refuse(&mut self, text: impl Into<String>) {
        self.log.push(text.into());
        self.alarm = true;
        self.dirty = true;
    }

    /// Whether anything was said since the last key.
    #[must_use]
    pub fn just_said(&self) -> bool {
        self.log.len() > self.heard
    }

    /// Whether there is work that has not been saved.
    #[must_use]
    pub fn unsaved(&self) -> bool {
        match &self.on_disk {
            Some(text) => *text != self.file.text,
            None => !self.history.is_empty(),
        }
    }

    /// The review that is wanted.
    #[must_use]
    pub fn job(&self) -> Job {
        Job { number: self.wanted, file: self.file.clone(), stop: self.stop.clone() }
    }

    /// Whether the review shown belongs to the plan as it is now.
    #[must_use]
    pub fn fresh(&self) -> bool {
        self.reviewed == self.wanted && self.review.is_some()
    }

    /// Works the changed plan out: rig and situation at once, the whole review behind.
    pub(super) fn resolve(&mut self) {
        self.solver = if self.file.is_sound() {
            in_view(&self.file)
                .map(Box::new)
                .map_err(|f| f.iter().map(|f| self.file.fault(&f.path, &f.message, &f.help)).collect())
        } else {
            Err(self.file.faults.clone())
        };
        self.outline = outline(&self.file.plan, self.solver.as_ref().ok().map(|s| &s.rig));
        self.view = None;
        self.look();
        // A lesson's plan is nobody's work.
        if self.unsaved() && self.lesson.is_none() {
            self.effects.push(Effect::Journal(self.file.clone()));
        }
        self.wanted += 1;
        // Whoever works on the plan before need not go on.
        self.stop.store(true, Ordering::Relaxed);
        self.stop = Arc::default();
        self.drop_old_studies();
        self.review_faults.clear();
        match &self.solver {
            Ok(_) => self.effects.push(Effect::Review(self.job())),
            // Numbers of a plan that cannot be worked out must not linger.
            Err(faults) => {
                self.review_faults = faults.clone();
                self.review = None;
            }
        }
        if !self.outline.iter().any(|e| e.selected.as_ref() == Some(&self.selected)) {
            self.selected = match &self.selected {
                Selected::Part(r, k) if self.file.plan.runs.contains_key(r) => match k.checked_sub(1) {
                    Some(k) => Selected::Part(r.clone(), k.min(self.file.plan.runs[r].parts.len().saturating_sub(1))),
                    None => Selected::Run(r.clone()),
                },
                _ => Selected::Site,
            };
        }
        self.reform();
        self.dirty = true;
    }

    /// Solves the situation in view.
    pub(super) fn look(&mut self) {
        if let Ok(solver) = &self.solver {
            let warm = self.view.take();
            self.view =
                Some(View::solve(solver, &self.file, self.situation, self.walker, warm.as_ref().map(|v| &v.solution)));
        }
        self.dirty = true;
    }

    /// Reads the form of what is selected.
    pub(super) fn reform(&mut self) {
        self.form = fields_of(&self.file, &self.selected);
        self.form_at = self.form_at.min(self.form.len().saturating_sub(1));
        self.dirty = true;
    }

    /// Puts the cursor on something.
    pub fn select(&mut self, selected: Selected) {
        // A review of the plan before may still name what is gone.
        if !self.outline.iter().any(|e| e.selected.as_ref() == Some(&selected)) {
            return self.refuse(format!("{} is not in the plan any more", selected.words()));
        }
        if self.selected != selected {
            self.selected = selected;
            if let super::display::Picture::Anchor(side) = self.picture() {
                self.side = side;
            }
            self.form_at = 0;
            self.piece_scroll = 0;
            self.reform();
        }
    }

    /// Stops the review behind the screen; what it has told stands, and what is to come is said.
    pub(super) fn stop_reviewing(&mut self) {
        self.stop.store(true, Ordering::Relaxed);
        let left = self.review.as_ref().map_or(0, |r| r.to_come);
        self.refuse(format!("{left} falls and failures were not worked out; any change begins anew"));
    }

    /// Takes a finished review, unless a newer one is wanted.
    pub fn reviewed(&mut self, done: JobDone) {
        if done.number != self.wanted {
            return;
        }
        self.reviewed = done.number;
        match done.result {
            Ok(r) => {
                self.review = Some(r);
                self.review_faults.clear();
            }
            Err(faults) => {
                self.review = None;
                self.review_faults = faults;
            }
        }
        self.worst_at = self.worst_at.min(self.worst_rows().len().saturating_sub(1));
        if self.opening == Opening::OnLimit && self.review.as_ref().is_some_and(|r| r.to_come == 0) {
            self.opening = Opening::Stays;
            let row =
                self.review.as_ref().and_then(|r| r.rows.get(r.limiting.as_ref()?.row)).filter(|r| !r.is_height());
            if let Some(to) = row.map(|r| self.selected_of(&r.place)) {
                self.select(to);
            }
        }
        if let Opening::Page(block) = self.opening {
            self.opening = Opening::Stays;
            self.open(block);
        }
        self.look_again();
        self.dirty = true;
    }

    /// The worst list: pieces that do not meet, then findings, then the rest.
    #[must_use]
    pub fn worst_rows(&self) -> Vec<WorstRow> {
        let Some(r) = &self.review else {
            return Vec::new();
        };
        let mut order: Vec<usize> = (0..r.rows.len()).collect();
        order.sort_by(|a, b| r.rows[*a].worst_first(&r.rows[*b]));
        let bad = |i: &usize| r.rows[*i].verdict != Verdict::Meets;
        let found = |g: fn(Gravity) -> bool| {
            r.findings.iter().enumerate().filter(move |(_, f)| g(f.gravity)).map(|(i, _)| WorstRow::Finding(i))
        };
        let mut out: Vec<WorstRow> = found(|g| g == Gravity::Stop).collect();
        out.extend(order.iter().copied().filter(bad).map(WorstRow::Row));
        out.extend(found(|g| g == Gravity::Caution));
        out.extend(order.iter().copied().filter(|i| !bad(i)).map(WorstRow::Row));
        out.extend(found(|g| g == Gravity::Note));
        out
    }

    /// The worst row of what an entry of the outline stands for.
    #[must_use]
    pub fn worst_of(&self, e: &Entry) -> Option<&crate::review::Row> {
        let rows = self.review.as_ref()?.rows.iter();
        rows.filter(|r| e.places.contains(&r.place)).min_by(|a, b| a.worst_first(b))
    }

    /// What a place of the review is in the outline.
    #[must_use]
    pub fn selected_of(&self, place: &Place) -> Selected {
        match place {
            Place::Part(r, k) => Selected::Part(r.clone(), k - 1),
            Place::Point(p) | Place::Anchor(p) | Place::Frame(p, _) => Selected::Point(p.clone()),
            Place::Gear(_) | Place::Crossing(_) | Place::Rescue(_) | Place::Tie(..) | Place::Height(_) => {
                Selected::Site
            }
            Place::Joint(_) => {
                let backup =
                    self.file.plan.runs.iter().find(|(_, r)| matches!(r.role, crate::plan::Role::Backup { .. }));
                backup.map_or(Selected::Site, |(n, _)| Selected::Run(n.clone()))
            }
        }
    }

    /// What a finding's place is in the outline.
    #[must_use]
    pub fn selected_at(&self, at: &str) -> Option<Selected> {
        if let Some((run, part)) = at.rsplit_once(", part ") {
            return part.parse::<usize>().ok().map(|k| Selected::Part(run.to_owned(), k.saturating_sub(1)));
        }
        let name = at.split(", ").next().unwrap_or(at);
        if self.file.plan.points.contains_key(name) {
            return Some(Selected::Point(name.to_owned()));
        }
        self.file.plan.runs.contains_key(name).then(|| Selected::Run(name.to_owned()))
    }

    /// What a row's factor was in the baseline.
    #[must_use]
    pub fn factor_before(&self, row: &crate::review::Row) -> Option<f64> {
        let before = self.baseline.as_ref()?;
        before.rows.iter().find(|r| r.place == row.place && r.class == row.class).map(|r| r.factor)
    }

    /// Rows of the review that belong to what is selected, worst first.
    #[must_use]
    pub fn rows_of_selected(&self) -> Vec<&crate::review::Row> {
        let (Some(r), Some(e)) =
            (&self.review, self.outline.iter().find(|e| e.selected.as_ref() == Some(&self.selected)))
        else {
            return Vec::new();
        };
        let mut rows: Vec<_> = r.rows.iter().filter(|row| e.places.contains(&row.place)).collect();
        rows.sort_by(|a, b| a.worst_first(b));
        rows
    }

    /// Changes the plan's text; refuses a change that makes new faults, saying the first.
    ///
    /// # Errors
    /// The first new fault, with what to write instead.
    pub fn change(&mut self, change: Change) -> Result<(), String> {
        self.change_by(change, false)
    }

    /// The same; `goes_on` with the last change, so that both are taken back at once.
    pub(super) fn change_by(&mut self, change: Change, goes_on: bool) -> Result<(), String> {
        let name = change.name.clone();
        let mut history = self.history.clone();
        let text =
            if goes_on { history.extend(&self.file.text, change) } else { history.apply(&self.file.text, change) };
        let Some(text) = text else {
            return Err("the plan's text is not what this change was made for".to_owned());
        };
        let file = judged(&self.file, text)?;
        self.history = history;
        let remarked = file.is_sound() && self.file.is_sound() && only_remarks(&self.file.plan, &file.plan);
        self.file = Arc::new(file);
        self.say(name);
        if remarked {
            self.retell();
        } else {
            self.resolve();
        }
        Ok(())
    }

    /// Takes over a plan that differs in its remarks alone: what was worked out stands.
    fn retell(&mut self) {
        self.outline = outline(&self.file.plan, self.solver.as_ref().ok().map(|s| &s.rig));
        if self.unsaved() && self.lesson.is_none() {
            self.effects.push(Effect::Journal(self.file.clone()));
        }
        self.reform();
        self.dirty = true;
    }
}

/// Whether two plans differ in nothing but their remarks.
fn only_remarks(before: &Plan, after: &Plan) -> bool {
    before.remarks != after.remarks && *before == Plan { remarks: before.remarks.clone(), ..after.clone() }
}

/// The plan with a changed text; refuses a change that makes new faults, saying the first.
pub(super) fn judged(before: &PlanFile, text: String) -> Result<PlanFile, String> {
    let file = PlanFile::parse(&before.name, text).map_err(|e| e.show(&before.name))?;
    if file.faults.len() > before.faults.len() {
        let old: Vec<&str> = before.faults.iter().map(|f| f.message.as_str()).collect();
        if let Some(f) = file.faults.iter().find(|f| !old.contains(&f.message.as_str())) {
            return Err(format!("{}{}", f.message, f.help.as_ref().map_or(String::new(), |h| format!("; {h}"))));
        }
    }
    Ok(file)
}
