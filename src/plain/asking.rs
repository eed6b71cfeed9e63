//! What the workbench asks on the screen in front of its panes, as questions in words.

use crate::app::{App, Choice, Compared, Key, Overlay, Picker, Press};
use crate::document::{Source, plain};
use crate::sheets::Beside;

/// Leaves whatever is asked.
const LEAVE: &str = ".";

/// The question of a file that two have changed.
const CHANGED: &str = "? The file on disk has changed since it was read: “c” compares the two, “o” overwrites it (what is \
                       there is kept as .bak), “r” reads it, “.” does neither.";

/// What is asked, and whether an answer is waited for.
pub(super) fn lines(app: &App, overlay: &Overlay) -> (Vec<String>, bool) {
    let mut out = Vec::new();
    match overlay {
        Overlay::Prompt(p) => {
            if let Some(why) = &p.refusal {
                out.push(format!("not taken: {}", plain(why)));
            }
            let now = if p.text.is_empty() { "nothing yet".to_owned() } else { format!("“{}”", plain(&p.text)) };
            out.push(format!("? {}: {now}. Type the new text; an empty line takes it as it is, “.” leaves.", p.label));
        }
        Overlay::Picker(p) => {
            for (i, Choice { name, words, .. }) in p.matching().into_iter().enumerate() {
                let words = if words.is_empty() { String::new() } else { format!(": {}", plain(words).trim()) };
                out.push(format!("{} {}{words}", i + 1, plain(name)));
            }
            let preset =
                p.matching().get(p.at).map_or(String::new(), |r| format!("an empty line takes {}, ", plain(&r.name)));
            out.push(format!("? {}: type a number or a name; {preset}“.” leaves.", p.title));
        }
        Overlay::Quit => {
            out.push("? There is unsaved work: “s” saves and leaves, “q” leaves without saving, “.” stays.".to_owned());
        }
        Overlay::Welcome => {}
        Overlay::Recover(left) => {
            out.push(format!("? {}. “r” brings it back, “d” drops it, “.” decides later.", plain(&left.said)));
        }
        Overlay::Changed => out.push(CHANGED.to_owned()),
        Overlay::Compare(lines, _) => {
            out.extend(lines.iter().map(|l| match l {
                Compared::At(n) => format!("from line {n} here:"),
                Compared::Both(t) => format!("both: {}", plain(t)),
                Compared::Ours(t) => format!("here: {}", plain(t)),
                Compared::Theirs(t) => format!("disk: {}", plain(t)),
            }));
            out.push(CHANGED.to_owned());
        }
        Overlay::SaveFirst => {
            out.push("? There is unsaved work: “s” saves it before the editor is opened, “.” leaves.".to_owned());
        }
        Overlay::Menu(_) => {
            out.push("menus are for the screen; here “commands” lists the ids, “do ID” runs one".to_owned());
            return (out, false);
        }
        Overlay::Log(_) => {
            out.extend(app.log.iter().rev().map(|l| plain(l)));
            return (out, false);
        }
        Overlay::Faults(_) => {
            let source = Source { name: &app.file.name, text: &app.file.text };
            out.extend(
                app.review_faults.iter().flat_map(|f| source.show(f).lines().map(str::to_owned).collect::<Vec<_>>()),
            );
            return (out, false);
        }
        Overlay::Beside(view) => {
            out.extend(view.titles.iter().cloned());
            for line in &view.lines {
                match line {
                    Beside::Heading(words) => out.push(format!("{words}:")),
                    Beside::Pair { differs: false, .. } => {}
                    Beside::Pair { cells: [was, is], .. } => out.push(match (was.is_empty(), is.is_empty()) {
                        (false, true) => format!("gone: {was}"),
                        (true, _) => format!("new: {is}"),
                        _ => format!("was {was}; is {is}"),
                    }),
                }
            }
            return (out, false);
        }
        Overlay::Over(_) | Overlay::Rescue(_) | Overlay::Day(_) | Overlay::Edges(_) | Overlay::Stay(_) => {
            let name = match overlay {
                Overlay::Over(_) => "over",
                Overlay::Day(_) => "day",
                Overlay::Edges(_) => "edge",
                Overlay::Stay(_) => "stay",
                _ => "rescue",
            };
            out.push(format!("that page is drawn; here “spanwright sheet {name}” says it in words"));
            return (out, false);
        }
        Overlay::Sheet(sheet) => {
            out.extend(sheet.lines.iter().map(|l| plain(l)));
            let others: Vec<&str> = crate::sheets::Kind::ALL.iter().skip(1).map(|k| k.name()).collect();
            out.push(format!("the other sheets: spanwright sheet {}", others.join(", ")));
            return (out, false);
        }
        Overlay::Help(_) => {
            out.push("those are the keys of the screen; here “help” lists the words, “commands” the ids".to_owned());
            return (out, false);
        }
    }
    (out, true)
}

fn key(app: &mut App, key: Key) {
    app.press(Press::plain(key));
}

/// A line for what is typed.
pub(super) fn typed(app: &mut App, line: &str) {
    if line == LEAVE {
        return key(app, Key::Esc);
    }
    if let (Some(Overlay::Prompt(p)), false) = (&mut app.overlay, line.is_empty()) {
        line.clone_into(&mut p.text);
        p.cursor = line.chars().count();
    }
    key(app, Key::Enter);
}

/// A line for what is picked: its number, its name, or a part of it that no other has; nothing for what is preset.
pub(super) fn picked(app: &mut App, p: &Picker, line: &str) -> Result<(), String> {
    if line == LEAVE {
        key(app, Key::Esc);
        return Ok(());
    }
    if line.is_empty() {
        key(app, Key::Enter);
        return Ok(());
    }
    let at = one_of(&p.matching().iter().map(|r| r.name.as_str()).collect::<Vec<_>>(), line)?;
    if let Some(Overlay::Picker(p)) = &mut app.overlay {
        p.at = at;
    }
    key(app, Key::Enter);
    Ok(())
}

/// A letter for a question. Only a letter alone counts: a word that begins with it was meant for something else, and
/// must not drop anybody's work.
pub(super) fn chosen(app: &mut App, line: &str) -> Result<(), String> {
    let mut letters = line.chars();
    match (letters.next(), letters.next()) {
        _ if line == LEAVE => key(app, Key::Esc),
        (Some(c), None) => key(app, Key::Char(c.to_ascii_lowercase())),
        _ => return Err(format!("“{line}” is no answer to what is asked; one of its letters is wanted")),
    }
    Ok(())
}

/// The one of `names` that `wanted` means: by number from 1, whole, or by a part that no other has.
pub(super) fn one_of(names: &[&str], wanted: &str) -> Result<usize, String> {
    if let Some(i) = wanted.parse::<usize>().ok().and_then(|n| n.checked_sub(1)).filter(|i| *i < names.len()) {
        return Ok(i);
    }
    let needle = wanted.to_lowercase();
    let of = |test: &dyn Fn(&str) -> bool| -> Vec<usize> {
        (0..names.len()).filter(|i| test(&names[*i].to_lowercase())).collect()
    };
    let whole = of(&|n| n == needle);
    let found = if whole.is_empty() { of(&|n| n.contains(&needle)) } else { whole };
    match found[..] {
        [i] => Ok(i),
        [] => Err(format!("nothing here is called “{wanted}”")),
        _ => {
            let list = found.iter().map(|i| format!("{} {}", i + 1, names[*i])).collect::<Vec<_>>().join(", ");
            Err(format!("“{wanted}” can be several, say which by its number: {list}"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::one_of;

    #[test]
    fn one_is_meant_or_it_is_asked() {
        let names = ["A leg 1", "A leg 10", "main"];
        assert_eq!(one_of(&names, "3"), Ok(2));
        assert_eq!(one_of(&names, "a LEG 1"), Ok(0), "whole before part");
        assert_eq!(one_of(&names, "ai"), Ok(2));
        assert!(one_of(&names, "leg").is_err_and(|e| e.contains("1 A leg 1, 2 A leg 10")));
        assert!(one_of(&names, "bolt").is_err());
    }
}
