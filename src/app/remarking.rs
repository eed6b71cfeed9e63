//! What a reviewer leaves in the plan: remarks on any piece, and answers to what the rules ask.

use super::commands::typed;
use super::state::{App, Choice, Overlay, Picker, PickerUse, PromptUse, WorstRow};
use crate::document::{Path, Splice, quote};
use crate::plan::changes::{STAGES, add_remark};
use crate::plan::{Aside, Change, Remark};
use crate::review::RULES;

/// Longest initials in front of a remark.
const INITIALS: usize = 4;

/// A remark as typed: “AB: it is short” has its author in front.
fn parted(text: &str) -> (String, String) {
    match text.split_once(':') {
        Some((by, rest))
            if (1..=INITIALS).contains(&by.trim().chars().count()) && by.chars().all(char::is_alphabetic) =>
        {
            (by.trim().to_owned(), rest.trim().to_owned())
        }
        _ => (String::new(), text.trim().to_owned()),
    }
}

/// As a plan writes it; what is not known is left out.
fn aside_ron(a: &Aside) -> String {
    let fields = [("at", &a.at), ("reason", &a.reason), ("by", &a.by), ("date", &a.date)];
    let said = fields.iter().filter(|(_, text)| !text.is_empty());
    format!("Aside({})", said.map(|(key, text)| format!("{key}: {}", quote(text))).collect::<Vec<_>>().join(", "))
}

impl App {
    /// What a remark on the selected piece is about, as written in a plan.
    fn remarked_place(&self) -> String {
        match &self.selected {
            super::outline::Selected::Part(run, k) => format!("{run}, part {}", k + 1),
            other => other.words(),
        }
    }

    /// Asks for a remark on what is selected.
    pub(super) fn ask_for_remark(&mut self) {
        let at = self.remarked_place();
        let start = if self.initials.is_empty() { String::new() } else { format!("{}: ", self.initials) };
        let label = format!("remark on {at} (initials and a colon in front)");
        typed(self, PromptUse::Remark(at), &label, start);
    }

    /// Writes a remark into the plan.
    pub(super) fn remark(&mut self, at: &str, text: &str) -> Result<(), String> {
        let (by, words) = parted(text);
        if words.is_empty() {
            return Err("a remark says something".to_owned());
        }
        let date = super::today().to_string();
        let remark = Remark { at: at.to_owned(), text: words, by: by.clone(), date, state: STAGES[0].to_owned() };
        let splice = add_remark(&self.file.text, &self.file.root, &remark).ok_or("the plan has no place for it")?;
        let selected = self.selected.words();
        self.change(Change { name: format!("remark on {at}"), splices: vec![splice], selected })?;
        self.initials = by;
        Ok(())
    }

    /// Lists every remark.
    pub(super) fn list_remarks(&mut self) {
        let rows: Vec<Choice> = self
            .file
            .plan
            .remarks
            .iter()
            .enumerate()
            .map(|(i, r)| Choice {
                name: format!("{}: {}", r.at, r.text),
                value: i.to_string(),
                beside: vec![r.state.to_lowercase(), r.by.clone()],
                words: r.date.clone(),
            })
            .collect();
        if rows.is_empty() {
            return self.say("no remarks yet: “remark” leaves one on what is selected");
        }
        self.overlay = Some(Overlay::Picker(Picker::new(PickerUse::Remark, "Remarks", rows, 0)));
        self.dirty = true;
    }

    /// One remark was chosen: what is to be done with it.
    pub(super) fn choose_for_remark(&mut self, row: &Choice) {
        let Ok(i) = row.value.parse::<usize>() else { return };
        let Some(r) = self.file.plan.remarks.get(i) else { return };
        let mut rows = vec![Choice::new("go there", "jump", "select what it is about")];
        for (stage, words) in STAGES.iter().zip(["waits for an answer", "answered, not settled", "done"]) {
            if *stage != r.state {
                rows.push(Choice::new(stage.to_lowercase(), *stage, words));
            }
        }
        rows.push(Choice::new("take out", "out", "remove it from the plan"));
        let title = format!("{}: {}", r.at, r.text);
        self.overlay = Some(Overlay::Picker(Picker::new(PickerUse::RemarkDo(i), title, rows, 0)));
    }

    /// Does it.
    pub(super) fn do_with_remark(&mut self, i: usize, what: &str) -> Result<(), String> {
        let remark = self.file.plan.remarks.get(i).cloned().ok_or("that remark is gone")?;
        let path = Path::root().key("remarks").at(i);
        let splice = match what {
            "jump" => {
                let to = self.selected_at(&remark.at).ok_or_else(|| format!("{} is not in the plan", remark.at))?;
                self.select(to);
                return Ok(());
            }
            "out" => Splice::remove(&self.file.text, &self.file.root, &path),
            stage => Splice::set(&self.file.text, &self.file.root, &path.key("state"), stage),
        };
        let name = match what {
            "out" => format!("remark on {} taken out", remark.at),
            stage => format!("remark on {} {}", remark.at, stage.to_lowercase()),
        };
        let splices = vec![splice.ok_or("the plan has no place for it")?];
        let selected = self.selected.words();
        self.change(Change { name, splices, selected })
    }

    /// The finding under the cursor of the worst list.
    fn finding(&self) -> Option<&crate::review::Finding> {
        match self.worst_rows().get(self.worst_at)? {
            WorstRow::Finding(i) => self.review.as_ref()?.findings.get(*i),
            WorstRow::Row(_) => None,
        }
    }

    /// Whether there is a finding to be answered.
    pub(super) fn can_answer(&self) -> bool {
        self.finding().is_some()
    }

    /// Asks how a finding is answered: a fact declared, or the rule set aside with a reason.
    pub(super) fn ask_for_answer(&mut self) {
        let Some((rule, at)) = self.finding().map(|f| (f.rule, f.at.clone())) else { return };
        let key = RULES.iter().copied().flatten().find(|r| r.id == rule).and_then(|r| r.key);
        let mut rows = Vec::new();
        if let Some(key) = key {
            rows.push(Choice::new("yes", format!("Yes\n{key}"), "it is so, and how"));
            rows.push(Choice::new("no", format!("No\n{key}"), "it is not so"));
            rows.push(Choice::new("unknown", format!("Unknown\n{key}"), "nobody has looked yet"));
        }
        let words = "with a reason that every sheet shows";
        rows.push(Choice::new("set aside", format!("aside\n{rule}\n{at}"), words));
        let title = format!("Answer to {}", key.unwrap_or(rule));
        self.overlay = Some(Overlay::Picker(Picker::new(PickerUse::Answer, title, rows, 0)));
        self.dirty = true;
    }

    /// An answer was chosen; most want a word.
    pub(super) fn answer_with(&mut self, row: &Choice) -> Result<(), String> {
        let Some((how, what)) = row.value.split_once('\n') else { return Ok(()) };
        let path = |map: &str| Path::root().key(map).key(what);
        match how {
            "Unknown" => self.set(&path("declared"), "Unknown", format!("{what}: unknown")),
            "aside" => {
                let (rule, at) = what.split_once('\n').unwrap_or((what, ""));
                let place = if at.is_empty() { String::new() } else { format!(" at {at}") };
                let start = if self.initials.is_empty() { String::new() } else { format!("{}: ", self.initials) };
                let label = format!("why {rule} is set aside{place} (initials and a colon in front)");
                typed(self, PromptUse::Answer(row.value.clone()), &label, start);
                Ok(())
            }
            _ => {
                typed(self, PromptUse::Answer(row.value.clone()), &format!("{what}: {}", row.words), String::new());
                Ok(())
            }
        }
    }

    /// The word to an answer.
    pub(super) fn answer_said(&mut self, value: &str, text: &str) -> Result<(), String> {
        let Some((how, what)) = value.split_once('\n') else { return Ok(()) };
        if how == "aside" {
            let (rule, at) = what.split_once('\n').unwrap_or((what, ""));
            return self.set_aside(rule, at, text);
        }
        if text.is_empty() && how != "No" {
            return Err("a word on how, or why".to_owned());
        }
        let ron = format!("{how}({})", quote(text));
        self.set(&Path::root().key("declared").key(what), &ron, format!("{what}: {}", how.to_lowercase()))
    }

    /// Sets a rule aside at one place, beside what the plan sets aside of it elsewhere.
    fn set_aside(&mut self, rule: &str, at: &str, text: &str) -> Result<(), String> {
        let (by, reason) = parted(text);
        if reason.is_empty() {
            return Err("a word on how, or why".to_owned());
        }
        let own = Aside { at: at.to_owned(), reason, by: by.clone(), date: super::today().to_string() };
        let elsewhere = self.file.plan.set_aside.get(rule).into_iter().flatten().filter(|a| a.at != at);
        let all: Vec<String> = elsewhere.chain([&own]).map(aside_ron).collect();
        let place = if at.is_empty() { String::new() } else { format!(" at {at}") };
        let name = format!("{rule} set aside{place}: {}", own.reason);
        self.set(&Path::root().key("set_aside").key(rule), &format!("At([{}])", all.join(", ")), name)?;
        self.initials = by;
        Ok(())
    }
}
