//! Every word of the conversation in one table: help and dispatch read it.

use super::asking::{one_of, typed};
use super::{Answer, facts};
use crate::app::{App, COMMANDS, InView, Selected};

/// One word.
pub(super) struct Word {
    /// As typed.
    pub(super) name: &'static str,
    /// What may stand behind it.
    takes: &'static str,
    /// What it does.
    help: &'static str,
    /// Does it.
    pub(super) act: fn(&mut App, &str) -> Answer,
}

macro_rules! word {
    ($name:literal, $takes:literal, $help:literal, $act:expr) => {
        Word { name: $name, takes: $takes, help: $help, act: $act }
    };
}

/// Every word.
const WORDS: &[Word] = &[
    word!("limit", "", "the verdict, and what limits the rig", |a, _| Ok(facts::limit(a))),
    word!("path", "", "the rig along the load's way: demand, factor, verdict of each piece", |a, _| Ok(facts::path(a))),
    word!("worst", "[COUNT or all]", "the worst first", worst),
    word!("findings", "", "what the rules say, why, and what mends it", |a, _| Ok(facts::findings(a))),
    word!("show", "[NAME or NAME part N]", "select a piece: its fields, what it carries, and why", show),
    word!(
        "look",
        "[SITUATION] [PLACE]",
        "tensions, sag and clearance in a situation, walker at 0 to 1 from A to B",
        look
    ),
    word!("set", "FIELD VALUE", "set a field of what is selected, by its name or number", set),
    word!("unset", "FIELD", "leave a field out, so that its default holds", unset),
    word!("undo", "", "take the last change back", |a, _| run(a, "undo")),
    word!("redo", "", "do it again", |a, _| run(a, "redo")),
    word!("save", "[FILE]", "save the plan, or save it under another name", save),
    word!("do", "ID", "any command of the workbench by its id", |a, id| run(a, id)),
    word!("why", "[NAME]", "where its figures come from, down to inputs and sources", |a, name| {
        if !name.is_empty() {
            show(a, name)?;
        }
        run(a, "why")
    }),
    word!("remark", "", "leave a remark on what is selected", |a, _| run(a, "remark")),
    word!("new", "", "make a whole plan from a few questions", |a, _| run(a, "new")),
    word!("limits", "", "how far it may differ, and what would mend what does not meet", |a, _| run(a, "limits")),
    word!("doubt", "", "how sure the verdicts are, and what to measure first", |a, _| run(a, "doubt")),
    word!("incidents", "", "every fall and failure, the worst first", |a, _| run(a, "incident")),
    word!("commands", "", "the ids of the commands that make sense now", |a, _| Ok(commands(a))),
    word!("help", "", "these words", |_, _| Ok(help())),
    word!("quit", "", "leave; asks when there is unsaved work", |a, _| run(a, "quit")),
];

/// The word of this name.
pub(super) fn find(name: &str) -> Option<&'static Word> {
    WORDS.iter().find(|w| w.name == name)
}

fn help() -> Vec<String> {
    let words = WORDS.iter().map(|w| {
        let takes = if w.takes.is_empty() { String::new() } else { format!(" {}", w.takes) };
        format!("{}{takes}: {}", w.name, w.help)
    });
    words.collect()
}

fn commands(app: &App) -> Vec<String> {
    COMMANDS.iter().filter(|c| (c.when)(app)).map(|c| format!("{}: {}", c.id, c.help)).collect()
}

fn run(app: &mut App, id: &str) -> Answer {
    if !COMMANDS.iter().any(|c| c.id == id) {
        return Err(format!("no command has the id “{id}”; “commands” lists them"));
    }
    let before = app.selected.clone();
    app.run(id);
    // Whatever moves the cursor says where it stands.
    Ok(if app.selected == before { Vec::new() } else { vec![format!("selected: {}", app.selected.words())] })
}

fn worst(app: &mut App, count: &str) -> Answer {
    let count = match count {
        "" => 12,
        "all" => usize::MAX,
        n => n.parse().map_err(|_| format!("“{n}” is no count"))?,
    };
    Ok(facts::worst(app, count))
}

fn show(app: &mut App, name: &str) -> Answer {
    if !name.is_empty() {
        let lines: Vec<Selected> = app.outline.iter().filter_map(|e| e.selected.clone()).collect();
        let names: Vec<String> = lines.iter().map(Selected::words).collect();
        let at = one_of(&names.iter().map(String::as_str).collect::<Vec<_>>(), name)?;
        app.select(lines[at].clone());
    }
    Ok(facts::piece(app))
}

fn look(app: &mut App, what: &str) -> Answer {
    let (mut situation, mut at) = (app.situation, app.walker);
    for word in what.split_whitespace() {
        if let Ok(x) = word.parse::<f64>() {
            if !(0.0..=1.0).contains(&x) {
                return Err(format!("{word}: a place is from 0 (A) to 1 (B)"));
            }
            at = x;
        } else {
            let known = InView::ALL.map(InView::name);
            situation = *InView::ALL
                .iter()
                .find(|s| s.name() == word)
                .ok_or_else(|| format!("“{word}” is no situation; known: {}", known.join(", ")))?;
        }
    }
    app.look_at(situation, at);
    Ok(facts::view(app))
}

/// The line of the form that `field` means.
fn line_of(app: &App, field: &str) -> Result<usize, String> {
    let names: Vec<&str> = app.form.iter().map(|f| f.name).collect();
    one_of(&names, field).map_err(|e| format!("{e} (fields of {})", app.selected.words()))
}

fn set(app: &mut App, rest: &str) -> Answer {
    let Some((field, value)) = rest.split_once(char::is_whitespace) else {
        return Err("say which field, and its value: set standing 2 kN".to_owned());
    };
    let at = line_of(app, field)?;
    app.set_field(at, value.trim())?;
    Ok(facts::limit(app))
}

fn unset(app: &mut App, field: &str) -> Answer {
    app.form_at = line_of(app, field)?;
    run(app, "unset")
}

fn save(app: &mut App, path: &str) -> Answer {
    if path.is_empty() {
        return run(app, "save");
    }
    run(app, "save-as")?;
    typed(app, path);
    Ok(Vec::new())
}

#[cfg(test)]
mod tests {
    use super::WORDS;
    use std::collections::HashSet;

    #[test]
    fn no_word_means_two_things() {
        let names: HashSet<_> = WORDS.iter().map(|w| w.name).collect();
        assert_eq!(names.len(), WORDS.len());
    }
}
