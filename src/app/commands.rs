//! Every command in one table: keys, palette, hints, help and documentation read it.

use super::display::{Glyphs, Palette};
use super::folding::PathLine;
use super::outline::Selected;
use super::pages::PageBlock;
use super::printing::Leaf;
use super::state::{App, Choice, Effect, Overlay, Pane, Picker, PickerUse, Prompt, PromptUse, WorstRow};
use super::view::InView;
use crate::review::{Gravity, Verdict};
use crate::sheets::Kind;

/// Where a command's key is listened to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Where {
    /// In every pane.
    Anywhere,
    /// In this pane only.
    In(Pane),
}

/// What a command is about: headings of help, and what a menu offers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// Going about the screen.
    Look,
    /// What is shown of the rig.
    Situation,
    /// Changes of the plan.
    Change,
    /// The plan as a whole, and its file.
    Plan,
    /// The program.
    Program,
}

impl Group {
    /// In the order of help.
    pub const ALL: [Self; 5] = [Self::Look, Self::Situation, Self::Change, Self::Plan, Self::Program];

    /// Its heading.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Look => "Going about",
            Self::Situation => "What is shown",
            Self::Change => "Changing the rig",
            Self::Plan => "The plan and its file",
            Self::Program => "The program",
        }
    }
}

/// One command.
pub struct Command {
    /// What it is about.
    pub group: Group,
    /// Its name in key files.
    pub id: &'static str,
    /// Its name for people.
    pub name: &'static str,
    /// What it does.
    pub help: &'static str,
    /// Its keys, unless a key file says otherwise.
    pub keys: &'static [&'static str],
    /// Where its keys work.
    pub place: Where,
    /// Whether it makes sense now.
    pub when: fn(&App) -> bool,
    /// What it does.
    pub act: fn(&mut App),
}

impl std::fmt::Debug for Command {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Command({})", self.id)
    }
}

fn always(_: &App) -> bool {
    true
}

fn thing(app: &App) -> bool {
    matches!(app.selected, Selected::Point(_) | Selected::Run(_) | Selected::Part(..))
}

fn at_point(app: &App) -> bool {
    matches!(app.selected, Selected::Point(_))
}

fn in_run(app: &App) -> bool {
    app.selected.run().is_some()
}

fn has_length(app: &App) -> bool {
    app.part_to_lengthen().is_some()
}

fn lengthen(app: &mut App, by_m: f64) {
    let r = app.lengthen(by_m);
    told(app, r);
}

fn slide(app: &mut App, by: f64) {
    // A watched incident has the sliding keys for its time.
    if app.move_time((by * 100.0).round() as isize) {
        return;
    }
    if app.situation == InView::Standing {
        app.situation = InView::Walker;
    }
    app.walker = ((app.walker + by) * 1000.0).round().clamp(10.0, 990.0) / 1000.0;
    app.look();
}

/// The line `by` lines away in the list of `len` where `at` is.
fn moved(at: usize, by: isize, len: usize) -> usize {
    at.saturating_add_signed(by).min(len.saturating_sub(1))
}

pub(super) fn step(app: &mut App, by: isize) {
    match app.pane {
        Pane::Path | Pane::Drawing => {
            let at = |l: &PathLine| if let PathLine::Entry { at, .. } = l { Some(*at) } else { None };
            let shown = app.path_lines(usize::MAX);
            let lines: Vec<Selected> =
                shown.iter().filter_map(at).filter_map(|k| app.outline[k].selected.clone()).collect();
            let at = lines.iter().position(|s| *s == app.selected).unwrap_or(0);
            if let Some(s) = lines.get(moved(at, by, lines.len())) {
                app.select(s.clone());
            }
        }
        Pane::Piece => {
            // Behind the last field the reasons scroll.
            let last = app.form.len().saturating_sub(1);
            if by > 0 && app.form_at >= last {
                app.piece_scroll = app.piece_scroll.saturating_add_signed(by).min(200);
            } else if by < 0 && app.piece_scroll > 0 {
                app.piece_scroll = app.piece_scroll.saturating_add_signed(by);
            } else {
                app.form_at = moved(app.form_at, by, app.form.len());
            }
        }
        Pane::Worst => app.worst_at = moved(app.worst_at, by, app.worst_rows().len()),
    }
    app.dirty = true;
}

fn turn(app: &mut App, by: usize) {
    let at = Pane::ALL.iter().position(|p| *p == app.pane).unwrap_or(0);
    app.pane = Pane::ALL[(at + by) % Pane::ALL.len()];
    app.dirty = true;
}

fn open(app: &mut App, overlay: Overlay) {
    app.overlay = Some(overlay);
    app.dirty = true;
}

fn pick(app: &mut App, purpose: PickerUse, title: impl Into<String>, rows: Vec<Choice>, at: usize) {
    open(app, Overlay::Picker(Picker::new(purpose, title, rows, at)));
}

pub(super) fn told(app: &mut App, result: Result<(), String>) {
    if let Err(why) = result {
        app.refuse(format!("not done: {why}"));
    }
}

fn jump(app: &mut App) {
    use super::state::WorstRow;
    let Some(row) = app.worst_rows().get(app.worst_at).cloned() else {
        return;
    };
    let Some(review) = &app.review else { return };
    let to = match row {
        WorstRow::Row(i) => Some(app.selected_of(&review.rows[i].place)),
        WorstRow::Finding(i) => app.selected_at(&review.findings[i].at),
    };
    match to {
        Some(s) => {
            app.select(s);
            app.pane = Pane::Piece;
            app.dirty = true;
        }
        None => app.say("this is about the whole plan"),
    }
}

/// Goes to what limits the rig; from there to the next that stops it or falls short, and round again.
fn to_limit(app: &mut App) {
    let Some(review) = app.review.clone() else { return };
    let limiting = review.limiting.as_ref().and_then(|l| review.rows.get(l.row)).map(|row| app.selected_of(&row.place));
    let mut all: Vec<Selected> = limiting.into_iter().collect();
    for worst in app.worst_rows() {
        let found = match worst {
            WorstRow::Row(i) if review.rows[i].verdict != Verdict::Meets => {
                Some(app.selected_of(&review.rows[i].place))
            }
            WorstRow::Finding(i) if review.findings[i].gravity == Gravity::Stop => {
                app.selected_at(&review.findings[i].at)
            }
            _ => None,
        };
        all.extend(found.filter(|s| !all.contains(s)));
    }
    let at =
        app.went_to_limit.filter(|at| all.get(*at) == Some(&app.selected)).map_or(0, |at| (at + 1) % all.len().max(1));
    let Some(next) = all.get(at).cloned() else { return };
    app.went_to_limit = Some(at);
    app.select(next);
    app.pane = Pane::Piece;
    if all.len() > 1 {
        app.say(format!("{} of {} that fall short or stop it; w goes on", at + 1, all.len()));
    }
    app.dirty = true;
}

pub(super) fn edit(app: &mut App) {
    use crate::document::schema::Kind;
    let Some(field) = app.form.get(app.form_at).cloned() else {
        return;
    };
    if matches!(field.kind, Kind::Flag) {
        let on = field.value.as_deref() != Some("true");
        let result = app.set(&field.path, if on { "true" } else { "false" }, format!("{}: {on}", field.name));
        told(app, result);
        return;
    }
    let formed = matches!(field.kind, Kind::Tuple(_)) && !super::typing::in_words_too(field.kind);
    if formed || matches!(field.kind, Kind::Record(_)) {
        app.say("edit its lines below");
        return;
    }
    if let Some(rows) = field.choices(&app.file) {
        let at = rows.iter().position(|r| Some(&r.name) == field.value.as_ref()).unwrap_or(0);
        let title = format!("{} of {}", field.name, app.selected.words());
        pick(app, PickerUse::Field(Box::new(field)), title, rows, at);
        return;
    }
    type_field(app, field, None);
}

/// Opens a line to type a field's value in.
pub(super) fn type_field(app: &mut App, field: super::form::FormField, start: Option<String>) {
    let text = start.unwrap_or_else(|| field.spoken());
    let label = format!("{}: {}", field.name.replace('_', " "), super::typing::wanted(field.kind));
    open(
        app,
        Overlay::Prompt(Prompt {
            cursor: text.chars().count(),
            purpose: PromptUse::Field(Box::new(field)),
            label,
            text,
            refusal: None,
            suggested: false,
        }),
    );
}

fn quit(app: &mut App) {
    // The plan that a lesson was begun over may have work in it.
    app.leave_lesson();
    if app.unsaved() {
        open(app, Overlay::Quit);
    } else {
        app.effects.push(Effect::Quit);
    }
}

fn palette(app: &mut App) {
    let rows = COMMANDS
        .iter()
        .filter(|c| (c.when)(app))
        .map(|c| Choice { beside: vec![app.keymap.written(c.id)], ..Choice::new(c.name, c.id, c.help) })
        .collect();
    pick(app, PickerUse::Command, "Commands", rows, 0);
}

pub(super) fn typed(app: &mut App, purpose: PromptUse, label: &str, text: String) {
    let cursor = text.chars().count();
    open(
        app,
        Overlay::Prompt(Prompt { purpose, label: label.to_owned(), text, cursor, refusal: None, suggested: false }),
    );
}

macro_rules! command {
    ($group:ident, $id:literal, $name:literal, [$($key:literal),*], $place:expr, $help:literal, $when:expr, $act:expr) => {
        Command { group: Group::$group, id: $id, name: $name, help: $help, keys: &[$($key),*], place: $place, when: $when, act: $act }
    };
}

use Where::{Anywhere, In};

/// Every command.
pub const COMMANDS: &[Command] = &[
    command!(
        Change,
        "edit",
        "edit",
        ["enter"],
        In(Pane::Piece),
        "change the field under the cursor",
        |a| !a.form.is_empty(),
        edit
    ),
    command!(
        Look,
        "open-piece",
        "its fields",
        ["enter"],
        In(Pane::Path),
        "go to the fields of what is selected",
        always,
        |a| {
            a.pane = Pane::Piece;
            a.dirty = true;
        }
    ),
    command!(
        Look,
        "unfold",
        "unfold",
        ["space"],
        In(Pane::Path),
        "show all parts and anchors of the chosen run, or fold them away",
        |a| a.selected.run().is_some() || at_point(a) || a.watching.is_some(),
        |a| if a.watching.is_some() { a.play_or_hold() } else { a.fold() }
    ),
    command!(
        Look,
        "jump",
        "jump",
        ["enter"],
        In(Pane::Worst),
        "go to the piece of this line",
        |a| a.review.is_some(),
        jump
    ),
    command!(
        Change,
        "unset",
        "leave out",
        ["delete", "backspace"],
        In(Pane::Piece),
        "leave an optional field out, so that its default holds",
        |a| a.form.get(a.form_at).is_some_and(|f| f.value.is_some()),
        |a| {
            if let Some(f) = a.form.get(a.form_at).cloned() {
                let r = a.unset(&f.path, format!("leave out {}", f.name));
                told(a, r);
            }
        }
    ),
    command!(Look, "down", "down", ["down", "j"], Anywhere, "next line", always, |a| step(a, 1)),
    command!(Look, "up", "up", ["up", "k"], Anywhere, "line before", always, |a| step(a, -1)),
    command!(Look, "page-down", "page down", ["pagedown"], Anywhere, "ten lines on", always, |a| step(a, 10)),
    command!(Look, "page-up", "page up", ["pageup"], Anywhere, "ten lines back", always, |a| step(a, -10)),
    command!(Look, "first", "first", ["home", "g"], Anywhere, "first line", always, |a| step(a, -100_000)),
    command!(Look, "last", "last", ["end", "G"], Anywhere, "last line", always, |a| step(a, 100_000)),
    command!(Look, "next-pane", "pane", ["tab"], Anywhere, "give the keys to the next pane", always, |a| turn(a, 1)),
    command!(
        Look,
        "pane-before",
        "pane before",
        ["backtab"],
        Anywhere,
        "give the keys to the pane before",
        always,
        |a| turn(a, 3)
    ),
    command!(
        Situation,
        "walker-b",
        "walker to B",
        ["right", "l"],
        Anywhere,
        "slide the walker towards B",
        always,
        |a| slide(a, 0.01)
    ),
    command!(
        Situation,
        "walker-a",
        "walker to A",
        ["left", "h"],
        Anywhere,
        "slide the walker towards A",
        always,
        |a| slide(a, -0.01)
    ),
    command!(
        Situation,
        "walker-b-far",
        "walker far to B",
        ["shift-right", "L"],
        Anywhere,
        "slide the walker a tenth towards B",
        always,
        |a| slide(a, 0.1)
    ),
    command!(
        Situation,
        "walker-a-far",
        "walker far to A",
        ["shift-left", "H"],
        Anywhere,
        "slide the walker a tenth towards A",
        always,
        |a| slide(a, -0.1)
    ),
    command!(
        Situation,
        "incident",
        "incident",
        ["i"],
        Anywhere,
        "watch a fall or failure: left and right step through its time; again: leave it",
        |a| a.watching.is_some() || a.review.as_ref().is_some_and(|r| !r.incidents.is_empty()),
        |a| if a.watching.is_some() { a.stop_watching() } else { a.choose_incident() }
    ),
    command!(
        Situation,
        "stop-playing",
        "stop playing",
        ["X"],
        Anywhere,
        "stop working falls and failures out; the next change begins anew",
        |a| a.review.as_ref().is_some_and(|r| r.to_come > 0),
        App::stop_reviewing
    ),
    command!(
        Situation,
        "play",
        "play",
        ["space"],
        Anywhere,
        "run or hold the watched incident",
        |a| a.watching.is_some(),
        App::play_or_hold
    ),
    command!(
        Situation,
        "situation",
        "situation",
        ["c"],
        Anywhere,
        "show the next situation: one walker, two, bounce, wind, cold, standing",
        always,
        |a| {
            let at = InView::ALL.iter().position(|s| *s == a.situation).unwrap_or(0);
            a.situation = InView::ALL[(at + 1) % InView::ALL.len()];
            a.look();
        }
    ),
    command!(
        Look,
        "limit",
        "to the limit",
        ["w"],
        Anywhere,
        "go to the piece that limits the rig",
        |a| a.review.is_some(),
        to_limit
    ),
    command!(
        Change,
        "move-to-a",
        "move towards A",
        ["shift-left", "H"],
        In(Pane::Drawing),
        "move the selected point 0.1 m towards A",
        at_point,
        |a| {
            let r = a.shift(0, -0.1);
            told(a, r);
        }
    ),
    command!(
        Change,
        "move-to-b",
        "move towards B",
        ["shift-right", "L"],
        In(Pane::Drawing),
        "move the selected point 0.1 m towards B",
        at_point,
        |a| {
            let r = a.shift(0, 0.1);
            told(a, r);
        }
    ),
    command!(
        Change,
        "move-left",
        "move left",
        ["shift-up", "K"],
        In(Pane::Drawing),
        "move the selected point 0.1 m to the left, seen from A",
        at_point,
        |a| {
            let r = a.shift(1, 0.1);
            told(a, r);
        }
    ),
    command!(
        Change,
        "move-right",
        "move right",
        ["shift-down", "J"],
        In(Pane::Drawing),
        "move the selected point 0.1 m to the right, seen from A",
        at_point,
        |a| {
            let r = a.shift(1, -0.1);
            told(a, r);
        }
    ),
    command!(
        Look,
        "zoom-in",
        "closer",
        ["+", "="],
        In(Pane::Drawing),
        "look closer at what is selected",
        always,
        |a| a.zoom(true)
    ),
    command!(Look, "zoom-out", "farther", ["-"], In(Pane::Drawing), "look from farther away", always, |a| a
        .zoom(false)),
    command!(
        Look,
        "zoom-all",
        "show all",
        ["0"],
        In(Pane::Drawing),
        "show all of the picture again",
        always,
        App::show_all
    ),
    command!(
        Look,
        "pan-a",
        "look to A",
        ["ctrl-left", "A"],
        In(Pane::Drawing),
        "look farther towards A",
        always,
        |a| a.pan(-1.0, 0.0)
    ),
    command!(
        Look,
        "pan-b",
        "look to B",
        ["ctrl-right", "B"],
        In(Pane::Drawing),
        "look farther towards B",
        always,
        |a| a.pan(1.0, 0.0)
    ),
    command!(Look, "pan-up", "look up", ["ctrl-up", "T"], In(Pane::Drawing), "look farther to the top", always, |a| a
        .pan(0.0, 1.0)),
    command!(Look, "pan-down", "look down", ["ctrl-down", "V"], In(Pane::Drawing), "look farther down", always, |a| a
        .pan(0.0, -1.0)),
    command!(
        Change,
        "longer",
        "longer",
        ["+"],
        Anywhere,
        "make the selected part, or the run's fitted part, 1 cm longer",
        has_length,
        |a| lengthen(a, 0.01)
    ),
    command!(Change, "shorter", "shorter", ["-"], Anywhere, "make it 1 cm shorter", has_length, |a| lengthen(a, -0.01)),
    command!(Change, "longer-far", "much longer", [">"], Anywhere, "make it 10 cm longer", has_length, |a| {
        lengthen(a, 0.1);
    }),
    command!(Change, "shorter-far", "much shorter", ["<"], Anywhere, "make it 10 cm shorter", has_length, |a| {
        lengthen(a, -0.1);
    }),
    command!(
        Change,
        "mirror",
        "mirror A to B",
        ["Y"],
        Anywhere,
        "replace the anchors of side B by a mirror image of side A's",
        always,
        |a| {
            let r = a.mirror();
            told(a, r);
        }
    ),
    command!(
        Situation,
        "baseline",
        "baseline",
        ["b"],
        Anywhere,
        "hold later changes against the plan as it is now; again: stop doing so",
        |a| a.review.is_some(),
        |a| {
            if a.baseline.take().is_some() {
                a.baseline_file = None;
                a.say("baseline dropped");
            } else {
                a.baseline.clone_from(&a.review);
                a.baseline_file = Some(a.file.clone());
                a.say("baseline set: changes of factors stand beside the new values");
            }
        }
    ),
    command!(
        Situation,
        "depth",
        "depth",
        ["z"],
        Anywhere,
        "show the line's sag, or the whole depth of the ground",
        always,
        |a| {
            a.deep = !a.deep;
            a.dirty = true;
        }
    ),
    command!(Change, "add-part", "add part", ["a"], Anywhere, "add a part after the selected one", in_run, |a| {
        let rows = super::form::item_rows(&a.file.catalogue);
        pick(a, PickerUse::AddPart, "Add a part", rows, 0);
    }),
    command!(Change, "add-run", "add run", ["r"], Anywhere, "add a run between two points", always, |a| {
        let rows = a.file.plan.points.keys().map(|n| Choice::named(n, "")).collect();
        pick(a, PickerUse::RunFrom, "New run: from", rows, 0);
    }),
    command!(
        Change,
        "add-point",
        "add point",
        ["p"],
        Anywhere,
        "add an anchor or a master with a leg, from a few questions",
        always,
        |a| {
            a.ask_for_point();
        }
    ),
    command!(Change, "double", "double", ["d"], Anywhere, "add a second one like the selected", thing, |a| {
        let r = a.double();
        told(a, r);
    }),
    command!(Change, "remove", "remove", ["x"], Anywhere, "remove the selected point, run or part", thing, |a| {
        let r = a.remove();
        told(a, r);
    }),
    command!(
        Change,
        "rename",
        "rename",
        ["n"],
        Anywhere,
        "give the selected point or run another name",
        |a| matches!(a.selected, Selected::Point(_) | Selected::Run(_)),
        |a| {
            let text = a.selected.words();
            typed(a, PromptUse::Rename, "new name", text);
        }
    ),
    command!(
        Change,
        "undo",
        "undo",
        ["u"],
        Anywhere,
        "take the last change back",
        |a| !a.history.is_empty(),
        App::undo
    ),
    command!(Change, "redo", "redo", ["U", "ctrl-y"], Anywhere, "do it again", |a| a.history.can_redo(), App::redo),
    command!(Look, "find", "find", ["/"], Anywhere, "find a point, run or item by its name", always, |a| typed(
        a,
        PromptUse::Find,
        "find",
        String::new()
    )),
    command!(
        Program,
        "palette",
        "commands",
        [":", "ctrl-p"],
        Anywhere,
        "list every command that makes sense now",
        always,
        palette
    ),
    command!(
        Plan,
        "new",
        "new plan",
        ["N"],
        Anywhere,
        "make a whole plan from a few questions; undo brings this one back",
        always,
        App::new_plan
    ),
    command!(
        Plan,
        "scout",
        "scout",
        ["@"],
        Anywhere,
        "make a plan from a first visit: five boxes of sightings, ground first; what is not known stands as assumed",
        always,
        App::scout
    ),
    command!(Plan, "save", "save", ["s", "ctrl-s"], Anywhere, "save the plan", always, App::save),
    command!(Plan, "save-as", "save as", ["S"], Anywhere, "save the plan under another name", always, |a| {
        let text = a.path.as_ref().map_or_else(|| a.file_name(), |p| p.display().to_string());
        typed(a, PromptUse::SaveAs(false), "save as", text);
    }),
    command!(
        Program,
        "lesson",
        "lesson",
        ["7"],
        Anywhere,
        "three short lessons on plans of their own; this one stays aside meanwhile",
        always,
        App::choose_lesson
    ),
    command!(
        Plan,
        "print",
        "sheets",
        ["R"],
        Anywhere,
        "rig card, gear list, cut list, splice cards, over and down, day, rescue, edges, staying up, frames, crew, scouting, review, and the studies: look at them, write them",
        |a| a.review.is_some(),
        |a| a.look_at_sheet(0)
    ),
    command!(
        Look,
        "over",
        "over",
        ["2"],
        Anywhere,
        "the line on its way over the gap: what hands pull, what it hangs over, brake and metres",
        |a| a.review.is_some(),
        |a| a.open(PageBlock::Crossing)
    ),
    command!(
        Look,
        "day",
        "as rigged",
        ["3"],
        Anywhere,
        "the last day at the line: what was read beside what should have been, and the rig as it hung judged anew",
        |a| a.review.is_some(),
        |a| a.open(PageBlock::Day)
    ),
    command!(
        Plan,
        "start-day",
        "write a day",
        ["I"],
        Anywhere,
        "ask what was read at the line on a day, and write it into the plan",
        |_| true,
        |a| a.begin(PageBlock::Day)
    ),
    command!(
        Look,
        "rescue",
        "rescue",
        ["4"],
        Anywhere,
        "somebody hangs still: what hands pull from each side, whether the rope reaches, how many minutes",
        |a| a.review.is_some(),
        |a| a.open(PageBlock::Rescue)
    ),
    command!(
        Plan,
        "start-rescue",
        "write a rescue",
        ["Q"],
        Anywhere,
        "write a start of the rescue into the plan: a rope at either side, hands, the time that may pass",
        |a| a.file.plan.rescue.is_none(),
        |a| a.begin(PageBlock::Rescue)
    ),
    command!(
        Look,
        "edge",
        "edges",
        ["5"],
        Anywhere,
        "who hangs on what at which step of the work at the edges",
        |a| a.review.is_some(),
        |a| a.open(PageBlock::Ties)
    ),
    command!(
        Look,
        "stay",
        "staying up",
        ["6"],
        Anywhere,
        "what is left of the tension morning by morning, what is to be drawn in, what a gust asks of the line",
        |a| a.review.is_some(),
        |a| a.open(PageBlock::Stay)
    ),
    command!(
        Plan,
        "start-stay",
        "write the nights",
        ["*"],
        Anywhere,
        "write a start of the nights into the plan: the evening it is tensioned, and the next day's forecast",
        |a| a.file.plan.stay.is_none(),
        |a| a.begin(PageBlock::Stay)
    ),
    command!(
        Look,
        "frame",
        "frames",
        ["9"],
        Anywhere,
        "whether what stands on struts stands, what pushes through them, what their feet do to the ground",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Sheet(Kind::Frame))
    ),
    command!(
        Look,
        "crew",
        "crew",
        ["8"],
        Anywhere,
        "who is where and when: hours of each step, how many it takes, whether it is light",
        |a| a.review.is_some(),
        |a| a.open(PageBlock::Crew)
    ),
    command!(
        Plan,
        "start-crew",
        "write the crew",
        [";"],
        Anywhere,
        "write a start of the crew into the plan: how many at either side, the day, its hours, its place",
        |a| a.file.plan.crew.is_none(),
        |a| a.begin(PageBlock::Crew)
    ),
    command!(
        Plan,
        "start-ties",
        "write ties",
        ["F"],
        Anywhere,
        "write a start of the ties into the plan: one at either side, on an anchor that the line does not need",
        |a| a.file.plan.ties.is_empty(),
        |a| a.begin(PageBlock::Ties)
    ),
    command!(
        Plan,
        "start-crossing",
        "write a crossing",
        ["O"],
        Anywhere,
        "write a start of the crossing into the plan: messenger, tag line, line",
        |a| a.file.plan.crossing.is_none(),
        |a| a.begin(PageBlock::Crossing)
    ),
    command!(
        Look,
        "why",
        "why",
        ["y"],
        Anywhere,
        "where the figures of what is selected come from, down to inputs and sources",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Why)
    ),
    command!(
        Plan,
        "limits",
        "limits",
        ["v"],
        Anywhere,
        "how far tension, walker, wind and lengths may differ, and what would mend what does not meet",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Limits)
    ),
    command!(
        Change,
        "mend",
        "mend",
        ["W"],
        Anywhere,
        "what would mend the piece that limits, each tried by solving; and how far the plan may differ",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Limits)
    ),
    command!(
        Plan,
        "doubt",
        "doubt",
        ["o"],
        Anywhere,
        "how sure the verdicts are, and what to measure first",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Doubt)
    ),
    command!(
        Plan,
        "changes",
        "changes",
        ["C"],
        Anywhere,
        "what changed since the baseline, and what that did to every factor",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Changes)
    ),
    command!(
        Plan,
        "beside",
        "beside",
        ["|"],
        Anywhere,
        "the baseline and the plan beside each other: rig, factors, rules",
        |a| a.review.is_some(),
        App::look_beside
    ),
    command!(
        Plan,
        "against",
        "against",
        ["&"],
        Anywhere,
        "take another plan's file as the baseline, and look at the two beside each other",
        |a| a.review.is_some(),
        |a| typed(a, PromptUse::Against, "the other plan's file", String::new())
    ),
    command!(
        Plan,
        "checks",
        "solver checks",
        ["Z"],
        Anywhere,
        "what proves the figures: forces out of balance, books of energy, mesh",
        |a| a.review.is_some(),
        |a| a.leaf_to(Leaf::Certificates)
    ),
    command!(
        Change,
        "remark",
        "remark",
        ["t"],
        Anywhere,
        "leave a remark on what is selected",
        always,
        App::ask_for_remark
    ),
    command!(
        Look,
        "remarks",
        "remarks",
        ["'"],
        Anywhere,
        "list the remarks: go there, answer, settle",
        always,
        App::list_remarks
    ),
    command!(
        Change,
        "answer",
        "answer",
        ["!"],
        In(Pane::Worst),
        "answer the finding under the cursor: declare the fact, or set the rule aside with a reason",
        App::can_answer,
        App::ask_for_answer
    ),
    command!(
        Plan,
        "splice",
        "splice",
        ["E"],
        Anywhere,
        "design a piece of spliced gear from a few questions: marks, bury, taper, steps",
        always,
        App::ask_for_gear
    ),
    command!(
        Plan,
        "editor",
        "editor",
        ["e"],
        Anywhere,
        "open the plan's file in your editor, at what is selected; it is read again after",
        always,
        App::edit_outside
    ),
    command!(
        Plan,
        "faults",
        "faults",
        ["f"],
        Anywhere,
        "what is wrong with the plan, with the place in its file",
        |a| !a.review_faults.is_empty(),
        |a| open(a, Overlay::Faults(0))
    ),
    command!(
        Program,
        "menu",
        "menu",
        ["."],
        Anywhere,
        "a menu of what can be done with what is selected; also the right mouse button",
        always,
        App::open_menu_here
    ),
    command!(Program, "log", "messages", ["m"], Anywhere, "what has been said so far", always, |a| open(
        a,
        Overlay::Log(0)
    )),
    command!(
        Program,
        "mouse",
        "mouse",
        ["M"],
        Anywhere,
        "take the mouse, or leave it to the terminal for selecting text",
        always,
        |a| {
            a.settings.mouse = !a.settings.mouse;
            let on = a.settings.mouse;
            a.effects.push(Effect::Mouse(on));
            a.say(if on { "mouse taken" } else { "mouse left to the terminal" });
        }
    ),
    command!(
        Program,
        "glyphs",
        "glyphs",
        ["D"],
        Anywhere,
        "draw with Braille, half blocks or plain ASCII, in turn",
        always,
        |a| {
            a.settings.glyphs = super::display::next(&Glyphs::ALL, a.settings.glyphs);
            a.say(format!("drawn with: {}", a.settings.glyphs.name()));
        }
    ),
    command!(
        Program,
        "colours",
        "colours",
        ["P"],
        Anywhere,
        "colours for a dark or a light background, high contrast, or none, in turn",
        always,
        |a| {
            a.settings.palette = super::display::next(&Palette::ALL, a.settings.palette);
            a.say(format!("colours: {}", a.settings.palette.name()));
        }
    ),
    command!(
        Program,
        "suspend",
        "suspend",
        ["ctrl-z"],
        Anywhere,
        "put the program to sleep; fg brings it back",
        always,
        |a| a.effects.push(Effect::Suspend)
    ),
    command!(Program, "help", "keys", ["?"], Anywhere, "all keys", always, |a| {
        open(a, Overlay::Help(0));
    }),
    command!(
        Program,
        "quit",
        "quit",
        ["q", "ctrl-c"],
        Anywhere,
        "leave; asks when there is unsaved work",
        always,
        quit
    ),
];
