//! The keys in force, to be read: help on screen, a printed sheet, the documentation, a key file to start from.

use std::fmt::Write as _;

use super::commands::{COMMANDS, Command, Group, Where};
use super::keymap::{KeyFile, Keymap};
use super::keys::Press;
use super::state::Pane;
use crate::document::quote;
use crate::sheets::wrap;

/// Commands under their headings: what only one pane listens for comes first.
#[must_use]
pub fn sections() -> Vec<(String, Vec<&'static Command>)> {
    let all = |keep: &dyn Fn(&Command) -> bool| COMMANDS.iter().filter(|c| keep(c)).collect::<Vec<_>>();
    let panes = Pane::ALL.into_iter().map(|p| (format!("In “{}”", p.name()), all(&|c| c.place == Where::In(p))));
    let groups =
        Group::ALL.into_iter().map(|g| (g.title().to_owned(), all(&|c| c.place == Where::Anywhere && c.group == g)));
    panes.chain(groups).filter(|(_, c)| !c.is_empty()).collect()
}

/// One line of the sheet.
#[derive(Debug, Clone)]
pub struct SheetLine {
    /// Its text.
    pub text: String,
    /// The command it tells of; a heading or a blank line has none.
    pub command: Option<&'static Command>,
}

const KEYS_WIDE: usize = 18;
const NAME_WIDE: usize = 17;

/// Every command with its keys, in lines of at most `width` columns.
#[must_use]
pub fn sheet(keymap: &Keymap, width: usize) -> Vec<SheetLine> {
    let mut out = Vec::new();
    let line = |text: String, command| SheetLine { text, command };
    for (title, commands) in sections() {
        out.push(line(title, None));
        for c in commands {
            let keys = keymap.written(c.id);
            let keys = wrap(if keys.is_empty() { "(none)" } else { &keys }, KEYS_WIDE, 0);
            let help = wrap(c.help, width.saturating_sub(KEYS_WIDE + NAME_WIDE + 4).max(12), 0);
            for i in 0..keys.len().max(help.len()) {
                let of = |lines: &[String]| lines.get(i).cloned().unwrap_or_default();
                let name = if i == 0 { c.name } else { "" };
                let text = format!("  {:<KEYS_WIDE$} {name:<NAME_WIDE$} {}", of(&keys), of(&help));
                out.push(line(text.trim_end().to_owned(), Some(c)));
            }
        }
        out.push(line(String::new(), None));
    }
    out
}

/// The sheet as `spanwright keys` prints it.
#[must_use]
pub fn text(file: &KeyFile) -> String {
    let mut out = String::from("Keys of the workbench\n\n");
    for l in sheet(&file.keymap, 79) {
        out += &(l.text + "\n");
    }
    out += &format!("{}\n", where_from(file));
    out
}

/// Where the keys in force come from.
#[must_use]
pub fn where_from(file: &KeyFile) -> String {
    match (&file.path, file.found) {
        (Some(p), true) => format!("Key file: {}", p.display()),
        (Some(p), false) => format!("Key file: {} (not there; `spanwright keys --ron` prints one)", p.display()),
        (None, _) => "No place for a key file is known: neither XDG_CONFIG_HOME nor HOME is set.".to_owned(),
    }
}

/// The default keys as Markdown.
#[must_use]
pub fn markdown() -> String {
    let map = Keymap::default();
    let mut out = String::from(
        "# Keys of the workbench\n\n\
         Printed by `spanwright keys --md` from the table of commands; a test keeps this copy equal. `spanwright keys`\n\
         prints the keys in force, `spanwright keys --ron` a key file with every default, to be changed and put at\n\
         `$XDG_CONFIG_HOME/spanwright/keys.ron` (else `~/.config/spanwright/keys.ron`), or named by `--keys FILE`.\n\n",
    );
    let _ = writeln!(
        out,
        "In a key file {}.\nA command with `[]` has no key and stays in the list of commands.\n",
        Press::notation()
    );
    for (title, commands) in sections() {
        let _ = writeln!(out, "## {title}\n\n| keys | command | name in key files | |\n| --- | --- | --- | --- |");
        for c in commands {
            let keys: Vec<String> = map.keys(c.id).iter().map(|k| format!("`{k}`")).collect();
            let _ = writeln!(out, "| {} | {} | `{}` | {} |", keys.join(" "), c.name, c.id, c.help);
        }
        out.push('\n');
    }
    out.trim_end().to_owned() + "\n"
}

/// A key file with every default, to be changed.
#[must_use]
pub fn ron() -> String {
    let map = Keymap::default();
    let mut out = String::from(
        "// Keys of the workbench. Looked for at $XDG_CONFIG_HOME/spanwright/keys.ron, else\n// ~/.config/spanwright/keys.ron; or named by --keys FILE.\n",
    );
    if let Some(p) = KeyFile::usual() {
        let _ = writeln!(out, "// Here: {}", p.display());
    }
    for l in wrap(&Press::notation(), 76, 0) {
        let _ = writeln!(out, "// {l}");
    }
    out += "// What is left out keeps its default; [] leaves a command without a key.\n{\n";
    for (title, commands) in sections() {
        let _ = writeln!(out, "    // {title}");
        for c in commands {
            let keys: Vec<String> = map.keys(c.id).iter().map(|k| quote(&k.to_string())).collect();
            let _ = writeln!(out, "    {}: [{}], // {}", quote(c.id), keys.join(", "), c.help);
        }
    }
    out + "}\n"
}
