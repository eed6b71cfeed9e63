//! What a key, a click or a paste does.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use super::commands::{COMMANDS, edit, step, type_field, typed};
use super::compare::{Compared, compare};
use super::form::{Taken, line_of};
use super::keys::{Key, Press};
use super::state::{App, Choice, Effect, Left, Overlay, Pane, Picker, PickerUse, Prompt, PromptUse};
use crate::document::schema::Kind;
use crate::plan::{PlanFile, SaveError, save};

/// A time that has passed, as people say it.
fn elapsed(d: Duration) -> String {
    let (n, unit) = match d.as_secs() {
        s if s < 90 => (s, "second"),
        s if s < 5400 => (s / 60, "minute"),
        s if s < 129_600 => (s / 3600, "hour"),
        s => (s / 86_400, "day"),
    };
    format!("{n} {unit}{}", if n == 1 { "" } else { "s" })
}

impl App {
    /// A key was pressed.
    pub fn press(&mut self, press: Press) {
        (self.dirty, self.heard) = (true, self.log.len());
        self.opening = super::state::Opening::Stays;
        match self.overlay.take() {
            None => {
                // Whatever was asked or looked for is over.
                self.forget_questions();
                if self.press_lesson(press) {
                    return;
                }
                if let Some(c) = self.keymap.lookup(self.pane, press) {
                    self.run(c.id);
                } else if press.key == Key::Esc && self.watching.is_some() {
                    self.stop_watching();
                } else if press.key == Key::Esc {
                    self.pane = Pane::Path;
                }
            }
            Some(Overlay::Prompt(p)) => self.press_prompt(p, press),
            Some(Overlay::Picker(p)) => self.press_picker(p, press),
            Some(Overlay::Help(at)) => self.overlay = scrolled(at, press).map(Overlay::Help),
            Some(Overlay::Log(at)) => self.overlay = scrolled(at, press).map(Overlay::Log),
            Some(Overlay::Faults(at)) => self.overlay = scrolled(at, press).map(Overlay::Faults),
            Some(Overlay::Sheet(sheet)) => self.press_sheet(sheet, press),
            Some(Overlay::Over(view)) => self.press_over(view, press),
            Some(Overlay::Rescue(view)) => self.press_rescue(view, press),
            Some(Overlay::Day(at)) => self.press_day(at, press),
            Some(Overlay::Edges(view)) => self.press_edges(view, press),
            Some(Overlay::Stay(at)) => self.press_stay(at, press),
            Some(Overlay::Quit) => match press.key {
                Key::Char('s') => {
                    self.save();
                    if !self.unsaved() {
                        self.effects.push(Effect::Quit);
                    }
                }
                Key::Char('q') => self.effects.extend([Effect::Forget, Effect::Quit]),
                Key::Esc | Key::Char('n') => {}
                _ => self.overlay = Some(Overlay::Quit),
            },
            // Any key goes on, and is done.
            Some(Overlay::Welcome) => return self.press(press),
            Some(Overlay::Recover(left)) => match press.key {
                Key::Char('r') => self.recover(left.text),
                Key::Char('d') => {
                    self.effects.push(Effect::Forget);
                    self.say("what was left is dropped");
                }
                Key::Esc => self.say("what was left is kept until the next change"),
                _ => self.overlay = Some(Overlay::Recover(left)),
            },
            Some(Overlay::Changed) => match press.key {
                Key::Char('o') => self.write(true),
                Key::Char('r') => self.reload(),
                Key::Char('c') => self.compare(),
                Key::Esc => {}
                _ => self.overlay = Some(Overlay::Changed),
            },
            Some(Overlay::Compare(lines, at)) => match press.key {
                Key::Char('o') => self.write(true),
                Key::Char('r') => self.reload(),
                Key::Esc => self.overlay = Some(Overlay::Changed),
                _ => {
                    let at = scrolled(at, press).unwrap_or(at).min(lines.len().saturating_sub(1));
                    self.overlay = Some(Overlay::Compare(lines, at));
                }
            },
            Some(Overlay::Beside(mut view)) => {
                if let Some(at) = scrolled(view.at, press) {
                    view.at = at.min(view.lines.len().saturating_sub(1));
                    self.overlay = Some(Overlay::Beside(view));
                }
            }
            Some(Overlay::SaveFirst) => match press.key {
                Key::Char('s') => {
                    self.write(false);
                    if !self.unsaved() {
                        self.edit_outside();
                    }
                }
                Key::Esc => {}
                _ => self.overlay = Some(Overlay::SaveFirst),
            },
            Some(Overlay::Menu(menu)) => self.press_menu(menu, press),
        }
        if self.pane != Pane::Path {
            self.beside = self.pane;
        }
    }

    /// Runs a command, if it makes sense now.
    pub fn run(&mut self, id: &str) {
        let Some(c) = COMMANDS.iter().find(|c| c.id == id) else {
            return;
        };
        if (c.when)(self) {
            (c.act)(self);
        } else {
            self.refuse(match c.id {
                "undo" => "nothing to take back".to_owned(),
                "redo" => "nothing was taken back".to_owned(),
                "faults" => "no faults: the file reads well".to_owned(),
                "why" => "nothing is judged of what is chosen".to_owned(),
                _ => format!("{}: not here; the last row names the keys that act", c.name),
            });
        }
    }

    /// Text was pasted: it goes into the line being typed, or nowhere.
    pub fn paste(&mut self, text: &str) {
        let clean: String = text.chars().filter(|c| !c.is_control()).collect();
        match &mut self.overlay {
            Some(Overlay::Prompt(p)) => {
                if std::mem::take(&mut p.suggested) {
                    (p.text, p.cursor) = (String::new(), 0);
                }
                insert(p, &clean);
            }
            Some(Overlay::Picker(p)) => {
                p.filter.push_str(&clean);
                p.at = 0;
            }
            _ => {}
        }
        self.dirty = true;
    }

    /// The wheel was turned over a pane.
    pub fn wheel(&mut self, pane: Pane, down: bool) {
        let before = std::mem::replace(&mut self.pane, pane);
        step(self, if down { 3 } else { -3 });
        self.pane = before;
    }

    /// Shows a situation with the walker at a share of the line's length.
    pub fn look_at(&mut self, situation: super::view::InView, at: f64) {
        self.situation = situation;
        self.walker = at.clamp(0.01, 0.99);
        self.look();
    }

    /// Sets the field in line `at` of the form to what was typed.
    ///
    /// # Errors
    /// Why it cannot be taken.
    pub fn set_field(&mut self, at: usize, text: &str) -> Result<(), String> {
        let f = self.form.get(at).cloned().ok_or_else(|| "there is no such field".to_owned())?;
        let name = format!("{} of {}: {text}", f.name, self.selected.words());
        self.set(&f.path, &f.ron(text), name)
    }

    /// The walker's track was clicked at a share of its length.
    pub fn place_walker(&mut self, at: f64) {
        self.walker = at.clamp(0.01, 0.99);
        if self.situation == super::view::InView::Standing {
            self.situation = super::view::InView::Walker;
        }
        self.look();
    }

    fn press_prompt(&mut self, mut p: Prompt, press: Press) {
        let length = p.text.chars().count();
        let asks = matches!(p.purpose, PromptUse::Ask(_));
        match press.key {
            Key::Esc | Key::BackTab if asks => return self.step_back(Overlay::Prompt(p)),
            Key::Char('c') if press.ctrl && asks => return self.leave_dialogue(Overlay::Prompt(p)),
            Key::Tab if asks => return self.submit(p),
            Key::Esc => {
                if let (PromptUse::Find, Some(from)) = (&p.purpose, self.looked_from.take()) {
                    self.select(from);
                }
                return;
            }
            Key::Enter => return self.submit(p),
            Key::Down | Key::Up if matches!(p.purpose, PromptUse::Find) => {
                self.overlay = Some(Overlay::Prompt(p));
                return self.seek(if press.key == Key::Down { 1 } else { -1 });
            }
            Key::Left => p.cursor = p.cursor.saturating_sub(1),
            Key::Right => p.cursor = (p.cursor + 1).min(length),
            Key::Home => p.cursor = 0,
            Key::End => p.cursor = length,
            Key::Char('c') if press.ctrl => return,
            Key::Char('u') if press.ctrl => {
                p.text.clear();
                p.cursor = 0;
            }
            Key::Char(c) if !press.ctrl => {
                if std::mem::take(&mut p.suggested) {
                    p.text.clear();
                    p.cursor = 0;
                }
                insert(&mut p, &c.to_string());
            }
            Key::Backspace if p.cursor > 0 => {
                p.cursor -= 1;
                remove_at(&mut p.text, p.cursor);
            }
            Key::Delete => remove_at(&mut p.text, p.cursor),
            _ => {}
        }
        (p.refusal, p.suggested) = (None, false);
        let finds = matches!(p.purpose, PromptUse::Find);
        self.overlay = Some(Overlay::Prompt(p));
        if finds {
            self.looked_from.get_or_insert_with(|| self.selected.clone());
            self.seek(0);
        }
    }

    fn submit(&mut self, mut p: Prompt) {
        let text = p.text.trim().to_owned();
        let result = match p.purpose.clone() {
            PromptUse::Field(f) if text.is_empty() && !matches!(f.kind, Kind::Words) => {
                Err("a value is wanted; esc leaves it as it was, delete leaves the field out".to_owned())
            }
            PromptUse::Field(f) => {
                let name = format!("{} of {}: {text}", f.name, self.selected.words());
                self.set(&f.path, &f.ron(&text), name)
            }
            PromptUse::Rename => self.rename(&text),
            PromptUse::SaveAs(edit) => {
                self.save_as(&text);
                if edit && !self.alarm {
                    self.edit_outside();
                }
                Ok(())
            }
            PromptUse::Find => self.find(&text),
            PromptUse::Against => self.hold_against(&text),
            PromptUse::Remark(at) => self.remark(&at, &text),
            PromptUse::Answer(value) => self.answer_said(&value, &text),
            PromptUse::Ask(dialogue) => self.answered(*dialogue, &text).inspect(|()| {
                let from = Overlay::Prompt(Prompt { suggested: true, ..p.clone() });
                self.went_on(from);
            }),
        };
        if let Err(why) = result {
            p.refusal = Some(why);
            self.overlay = Some(Overlay::Prompt(p));
        }
    }

    fn find(&mut self, text: &str) -> Result<(), String> {
        let found = self.called(text);
        // Typed key by key, it is chosen already.
        let first = found.first().cloned().ok_or_else(|| format!("nothing is called “{text}”"))?;
        if !found.contains(&self.selected) {
            self.select(first);
        }
        self.looked_from = None;
        self.pane = Pane::Path;
        Ok(())
    }

    fn press_picker(&mut self, mut p: Picker, press: Press) {
        let count = p.matching().len();
        let asks = matches!(p.purpose, PickerUse::Ask(_));
        match press.key {
            Key::Esc | Key::BackTab if asks => return self.step_back(Overlay::Picker(p)),
            Key::Char('c') if press.ctrl && asks => return self.leave_dialogue(Overlay::Picker(p)),
            // Nothing in sight is no answer.
            Key::Enter | Key::Tab if count == 0 && asks => {}
            Key::Tab if asks => {
                if let Some(row) = p.matching().get(p.at).map(|r| (*r).clone()) {
                    self.picked(p, &row);
                }
                return;
            }
            Key::Esc => return,
            Key::Char('c') if press.ctrl => return,
            Key::Enter => {
                if let Some(row) = p.matching().get(p.at).map(|r| (*r).clone()) {
                    self.picked(p, &row);
                }
                return;
            }
            Key::Down => p.at = (p.at + 1).min(count.saturating_sub(1)),
            Key::Up => p.at = p.at.saturating_sub(1),
            Key::PageDown => p.at = (p.at + 10).min(count.saturating_sub(1)),
            Key::PageUp => p.at = p.at.saturating_sub(10),
            Key::Home => p.at = 0,
            Key::End => p.at = count.saturating_sub(1),
            Key::Backspace => {
                p.filter.pop();
                p.at = 0;
            }
            Key::Char(c) if !press.ctrl => {
                p.filter.push(c);
                p.at = 0;
            }
            _ => {}
        }
        self.overlay = Some(Overlay::Picker(p));
    }

    fn picked(&mut self, p: Picker, row: &Choice) {
        let result = match &p.purpose {
            PickerUse::Command => {
                self.run(&row.value);
                return;
            }
            PickerUse::Field(f) => {
                let ron = match f.taken(row) {
                    Taken::Typed(start) => return type_field(self, (**f).clone(), Some(start)),
                    Taken::Kept => return,
                    Taken::Set(ron) => ron,
                };
                let name = format!("{} of {}: {}", f.name, self.selected.words(), row.name);
                self.set(&f.path, &ron, name)
            }
            PickerUse::Incident => self.watch(&row.value),
            PickerUse::Lesson => self.begin_lesson(&row.value),
            PickerUse::Remark => {
                self.choose_for_remark(row);
                return;
            }
            PickerUse::RemarkDo(i) => self.do_with_remark(*i, &row.value),
            PickerUse::Answer => self.answer_with(row),
            PickerUse::Ask(dialogue) => {
                let from = Overlay::Picker(Picker { filter: String::new(), ..p.clone() });
                self.answered((**dialogue).clone(), &row.name).inspect(|()| self.went_on(from))
            }
            PickerUse::AddPart => self.add_part(&row.name),
            PickerUse::RunFrom => {
                let points = self.file.plan.points.keys();
                let rows = points.filter(|n| **n != row.name).map(|n| Choice::named(n, "")).collect();
                let title = format!("New run from {}: to", row.name);
                self.overlay = Some(Overlay::Picker(Picker::new(PickerUse::RunTo(row.name.clone()), title, rows, 0)));
                return;
            }
            PickerUse::RunTo(from) => self.add_run(&from.clone(), &row.name),
        };
        if let Err(why) = result {
            self.refuse(why);
            // A question stays, and with it all answers before it.
            if matches!(p.purpose, PickerUse::Ask(_)) {
                self.overlay = Some(Overlay::Picker(p));
            }
        }
    }

    /// Edits the field under the cursor (as the enter key does).
    pub fn edit_field(&mut self) {
        edit(self);
    }

    /// Takes the last change back.
    pub fn undo(&mut self) {
        let Some((text, change)) = self.history.undo(&self.file.text) else {
            return self.say("nothing to undo");
        };
        self.replace(text, format!("undone: {}", change.name));
    }

    /// Does the last change taken back again.
    pub fn redo(&mut self) {
        let Some((text, change)) = self.history.redo(&self.file.text) else {
            return self.say("nothing to redo");
        };
        self.replace(text, format!("done again: {}", change.name));
    }

    fn replace(&mut self, text: String, said: String) {
        match PlanFile::parse(&self.file.name, text) {
            Ok(f) => {
                self.file = Arc::new(f);
                self.say(said);
                self.resolve();
            }
            Err(e) => self.refuse(e.show(&self.file.name)),
        }
    }

    /// Saves to where the plan came from; asks for a place when it came from nowhere.
    pub fn save(&mut self) {
        if self.path.is_none() {
            self.run("save-as");
        } else {
            self.write(false);
        }
    }

    fn save_as(&mut self, text: &str) {
        let path = PathBuf::from(text);
        if text.is_empty() {
            self.refuse("a file needs a name");
            return;
        }
        if self.path.as_ref() != Some(&path) {
            if path.exists() {
                self.refuse(format!("{} exists; choose another name", path.display()));
                return;
            }
            self.on_disk = None;
        }
        let before = self.path.replace(path);
        self.write(false);
        if self.alarm {
            self.path = before;
        }
    }

    fn write(&mut self, anyway: bool) {
        let Some(path) = self.path.clone() else {
            return;
        };
        match save(&path, &self.file.text, self.on_disk.as_deref(), anyway) {
            Ok(()) => {
                self.on_disk = Some(self.file.text.clone());
                self.effects.push(Effect::Forget);
                self.say(format!("saved {}", path.display()));
            }
            Err(SaveError::ChangedUnderneath) => {
                self.refuse("the file on disk has changed since it was read");
                self.overlay = Some(Overlay::Changed);
            }
            Err(e) => self.refuse(format!("{e}; nothing was written, your work is still here")),
        }
    }

    /// The file on disk was written by somebody: reads it when nothing is lost by that, asks otherwise.
    pub fn touched(&mut self) {
        let Some(path) = &self.path else { return };
        let Ok(now) = std::fs::read_to_string(path) else {
            self.refuse(format!("{} is gone or cannot be read; your work is still here", path.display()));
            return;
        };
        if self.on_disk.as_deref() == Some(now.as_str()) {
            return;
        }
        if self.unsaved() {
            self.overlay = Some(Overlay::Changed);
            self.dirty = true;
        } else {
            self.reload();
        }
    }

    /// A name for the plan's file, after its title.
    pub(super) fn file_name(&self) -> String {
        let words = self.file.plan.title.to_lowercase();
        let words = words.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
        let stem = words.collect::<Vec<_>>().join("-");
        if stem.is_empty() { "plan.ron".to_owned() } else { format!("{stem}.ron") }
    }

    /// Opens an editor on the plan's file at what is selected; what is not saved is saved first.
    pub fn edit_outside(&mut self) {
        match self.path.clone() {
            None => typed(self, PromptUse::SaveAs(true), "an editor needs a file; save as", self.file_name()),
            Some(_) if self.unsaved() => self.overlay = Some(Overlay::SaveFirst),
            Some(path) => self.effects.push(Effect::Edit(path, line_of(&self.file, &self.selected))),
        }
        self.dirty = true;
    }

    /// The editor has ended: its file is read again.
    pub fn edited(&mut self, ended: Result<(), String>) {
        let before = self.on_disk.clone();
        self.alarm = false;
        self.touched();
        match ended {
            Err(why) => self.refuse(why),
            // What reading it brought to light has been said.
            Ok(()) if self.alarm || self.on_disk != before => {}
            Ok(()) => self.say("back from the editor; the file is as it was"),
        }
    }

    fn compare(&mut self) {
        let theirs = self.path.as_ref().map(std::fs::read_to_string);
        match theirs {
            Some(Ok(theirs)) => self.overlay = Some(Overlay::Compare(compare(&self.file.text, &theirs), 0)),
            _ => self.refuse("the file on disk is gone or is no text; your work is still here"),
        }
    }

    /// Says what to press first.
    pub fn welcome(&mut self) {
        self.overlay = Some(Overlay::Welcome);
        self.dirty = true;
    }

    /// Offers what a session left that did not end tidily.
    pub fn offer(&mut self, left: String, ago: Option<Duration>) {
        if left == self.file.text {
            return;
        }
        let lines = compare(&left, &self.file.text);
        let n = lines.iter().filter(|l| matches!(l, Compared::Ours(_))).count().max(1);
        let when = ago.map_or_else(String::new, |d| format!(" of {} ago", elapsed(d)));
        let differ =
            if n == 1 { "one line of the plan differs".to_owned() } else { format!("{n} lines of the plan differ") };
        let said = format!("A session that did not end tidily left work{when}: {differ}");
        self.overlay = Some(Overlay::Recover(Left { text: left, said }));
        self.dirty = true;
    }

    fn recover(&mut self, text: String) {
        let splice = crate::document::Splice { at: 0, old: self.file.text.clone(), new: text };
        let change = crate::plan::Change {
            name: "recover unsaved work".to_owned(),
            splices: vec![splice],
            selected: self.selected.words(),
        };
        if let Some(text) = self.history.apply(&self.file.text, change) {
            self.replace(text, "recovered; undo brings the file's version back".to_owned());
        }
    }

    fn reload(&mut self) {
        let Some(path) = self.path.clone() else {
            return;
        };
        match PlanFile::open(&path) {
            Ok(f) => {
                self.on_disk = Some(f.text.clone());
                // The whole exchange is one change, so that undo brings the own version back.
                let splice = crate::document::Splice { at: 0, old: self.file.text.clone(), new: f.text.clone() };
                let change = crate::plan::Change {
                    name: "reload from disk".to_owned(),
                    splices: vec![splice],
                    selected: self.selected.words(),
                };
                if let Some(text) = self.history.apply(&self.file.text, change) {
                    self.replace(text, "reloaded from disk; undo brings your version back".to_owned());
                }
            }
            Err(e) => self.refuse(format!("not read: {}", e.brief(&path.display().to_string()))),
        }
    }
}

pub(super) fn scrolled(at: usize, press: Press) -> Option<usize> {
    match press.key {
        Key::Down | Key::Char('j') => Some(at + 1),
        Key::Up | Key::Char('k') => Some(at.saturating_sub(1)),
        Key::PageDown | Key::Char(' ') => Some(at + 10),
        Key::PageUp => Some(at.saturating_sub(10)),
        Key::Home => Some(0),
        _ => None,
    }
}

fn insert(p: &mut Prompt, text: &str) {
    let at = p.text.char_indices().nth(p.cursor).map_or(p.text.len(), |(i, _)| i);
    p.text.insert_str(at, text);
    p.cursor += text.chars().count();
}

fn remove_at(text: &mut String, at: usize) {
    if let Some((i, _)) = text.char_indices().nth(at) {
        text.remove(i);
    }
}
