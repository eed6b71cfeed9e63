//! The keys in force: those of the table of commands, changed by a small file of the user's own.
//!
//! A key file is a RON map from a command's name to its keys: `{"undo": ["u", "ctrl-z"], "double": []}`. Whatever is
//! wrong in it is said all at once; for what is wrong the default stands.

use std::path::{Path as FilePath, PathBuf};

use super::commands::{COMMANDS, Command, Where};
use super::keys::Press;
use super::state::Pane;
use crate::document::{Body, Diagnostic, Entry, Node, Path, Source, scan};

/// Which keys run which command.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Keymap {
    /// For each command of the table, in its order.
    keys: Vec<Vec<Press>>,
}

impl Default for Keymap {
    fn default() -> Self {
        Self { keys: COMMANDS.iter().map(defaults).collect() }
    }
}

fn defaults(c: &Command) -> Vec<Press> {
    c.keys.iter().filter_map(|k| Press::parse(k)).collect()
}

fn index(id: &str) -> Option<usize> {
    COMMANDS.iter().position(|c| c.id == id)
}

impl Keymap {
    /// The command for a key in a pane; what the pane listens for comes first.
    #[must_use]
    pub fn lookup(&self, pane: Pane, press: Press) -> Option<&'static Command> {
        let at = |place: Where| {
            COMMANDS.iter().zip(&self.keys).find(|(c, k)| c.place == place && k.contains(&press)).map(|(c, _)| c)
        };
        at(Where::In(pane)).or_else(|| at(Where::Anywhere))
    }

    /// The keys of a command.
    #[must_use]
    pub fn keys(&self, id: &str) -> &[Press] {
        index(id).map_or(&[], |i| &self.keys[i])
    }

    /// The keys of a command, as they are written.
    #[must_use]
    pub fn written(&self, id: &str) -> String {
        self.keys(id).iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    }

    /// The first key of a command, as it is written.
    #[must_use]
    pub fn first(&self, id: &str) -> Option<String> {
        self.keys(id).first().map(ToString::to_string)
    }

    /// Reads a key file; what is wrong in it, each at its place, with what to write.
    #[must_use]
    pub fn read(text: &str) -> (Self, Vec<Diagnostic>) {
        let mut map = Self::default();
        let mut faults = Vec::new();
        let root = match scan(text) {
            Ok(root) => root,
            Err(d) => {
                return (map, vec![d.help("every bracket closed, a comma between entries, text in double quotes")]);
            }
        };
        let Body::Map(entries) = &root.body else {
            faults.push(fault(&root, "", "a key file is a map from commands to keys").help(EXAMPLE));
            return (map, faults);
        };
        // For each command, the entry of the file that holds.
        let mut own: Vec<Option<&Entry>> = vec![None; COMMANDS.len()];
        for e in entries {
            let Some(i) = index(&e.key) else {
                let d = Diagnostic::error(
                    Path::root().key(&e.key),
                    e.key_span.clone(),
                    format!("no command is called “{}”", e.key),
                );
                faults.push(d.help(nearest(&e.key)));
                continue;
            };
            if own[i].is_some() {
                faults.push(
                    fault(&e.value, &e.key, &format!("“{}” stands here twice", e.key)).help("keep one of the two"),
                );
                continue;
            }
            match keys_of(e) {
                Ok(keys) => {
                    map.keys[i] = keys;
                    own[i] = Some(e);
                }
                Err(more) => faults.extend(more),
            }
        }
        if let Some(i) = index("quit")
            && map.keys[i].is_empty()
            && let Some(e) = own[i].take()
        {
            faults.push(fault(&e.value, &e.key, "leaving needs a key").help("write at least one, such as [\"q\"]"));
            map.keys[i] = defaults(&COMMANDS[i]);
        }
        // Whatever clashes goes back to its default, which may clash with the next; with the defaults alone nothing does.
        while let Some(clashes) = Some(map.clashes()).filter(|c| !c.is_empty()) {
            let mut back = Vec::new();
            for (i, j, key) in clashes {
                let (mine, other) = if own[j].is_some() { (j, i) } else { (i, j) };
                let Some(e) = own[mine] else { return (Self::default(), faults) };
                let (a, b) = (&COMMANDS[mine], &COMMANDS[other]);
                faults.push(
                    fault(&e.value, &e.key, &format!("{key} is asked for by “{}” and by “{}”", a.id, b.id)).help(
                        format!(
                            "give it to one of them; the other may have [] or another key (by default “{}” has {})",
                            b.id,
                            b.keys.join(" ")
                        ),
                    ),
                );
                back.extend([i, j].into_iter().filter(|k| own[*k].is_some()));
            }
            for i in back {
                own[i] = None;
                map.keys[i] = defaults(&COMMANDS[i]);
            }
        }
        (map, faults)
    }

    /// Pairs of commands that listen in one place for one key.
    fn clashes(&self) -> Vec<(usize, usize, Press)> {
        let mut out = Vec::new();
        for (j, c) in COMMANDS.iter().enumerate() {
            for i in (0..j).filter(|i| COMMANDS[*i].place == c.place) {
                out.extend(self.keys[j].iter().filter(|k| self.keys[i].contains(k)).map(|k| (i, j, *k)));
            }
        }
        out
    }
}

const EXAMPLE: &str = "write {\"undo\": [\"u\", \"ctrl-z\"], \"double\": []}";

fn fault(node: &Node, key: &str, message: &str) -> Diagnostic {
    let path = if key.is_empty() { Path::root() } else { Path::root().key(key) };
    Diagnostic::error(path, node.span.clone(), message.to_owned())
}

fn keys_of(e: &Entry) -> Result<Vec<Press>, Vec<Diagnostic>> {
    let Body::List(items) = &e.value.body else {
        return Err(vec![
            fault(&e.value, &e.key, "keys stand in a list")
                .help(format!("write \"{}\": [\"x\"], or [] for none", e.key)),
        ]);
    };
    let (mut keys, mut faults) = (Vec::new(), Vec::new());
    for n in items {
        let Body::Text(t) = &n.body else {
            faults.push(fault(n, &e.key, "a key is a text in double quotes").help("write [\"u\", \"ctrl-z\"]"));
            continue;
        };
        match Press::read(t) {
            Ok(p) if keys.contains(&p) => {}
            Ok(p) => keys.push(p),
            Err(help) => faults.push(fault(n, &e.key, &format!("“{t}” is no key that can be bound")).help(help)),
        }
    }
    if faults.is_empty() { Ok(keys) } else { Err(faults) }
}

/// The commands that a wrong name may have meant.
fn nearest(name: &str) -> String {
    let mut near: Vec<(usize, &str)> = COMMANDS
        .iter()
        .map(|c| {
            let far = strsim::damerau_levenshtein(name, c.id);
            (if c.id.contains(name) || name.contains(c.id) { far.min(2) } else { far }, c.id)
        })
        .filter(|(far, _)| *far <= 3)
        .collect();
    near.sort_unstable();
    let names: Vec<&str> = near.iter().take(3).map(|(_, n)| *n).collect();
    if names.is_empty() {
        "`spanwright keys --ron` lists every command".to_owned()
    } else {
        format!("did you mean {}?", names.join(", "))
    }
}

/// A key file, read.
#[derive(Debug, Clone, Default)]
pub struct KeyFile {
    /// Where it was looked for.
    pub path: Option<PathBuf>,
    /// Whether it was there.
    pub found: bool,
    /// The keys in force.
    pub keymap: Keymap,
    /// What is wrong in it, one line each: place, fault, what to write.
    pub faults: Vec<String>,
}

impl KeyFile {
    /// `$XDG_CONFIG_HOME/spanwright/keys.ron`, else `~/.config/spanwright/keys.ron`.
    #[must_use]
    pub fn usual() -> Option<PathBuf> {
        let set = |k: &str| std::env::var_os(k).filter(|v| !v.is_empty()).map(PathBuf::from);
        let config = set("XDG_CONFIG_HOME").or_else(|| Some(set("HOME")?.join(".config")))?;
        Some(config.join("spanwright/keys.ron"))
    }

    /// Reads the file at `given`, or the usual one if there is one.
    #[must_use]
    pub fn open(given: Option<&FilePath>) -> Self {
        let Some(path) = given.map(FilePath::to_owned).or_else(Self::usual) else {
            return Self::default();
        };
        let name = path.display().to_string();
        match std::fs::read_to_string(&path) {
            Ok(text) => {
                let (keymap, faults) = Keymap::read(&text);
                let source = Source { name: &name, text: &text };
                let faults = faults.iter().map(|d| source.brief(d)).collect();
                Self { path: Some(path), found: true, keymap, faults }
            }
            // The usual file need not be there; a named one must.
            Err(e) if given.is_some() || e.kind() != std::io::ErrorKind::NotFound => {
                Self { faults: vec![format!("{name}: {e}")], path: Some(path), ..Self::default() }
            }
            Err(_) => Self { path: Some(path), ..Self::default() },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn no_default_key_means_two_things() {
        assert_eq!(Keymap::default().clashes(), []);
        for c in COMMANDS {
            for k in c.keys {
                assert_eq!(Press::read(k).expect(c.id).to_string(), *k, "{}", c.id);
            }
        }
        assert_eq!(COMMANDS.iter().map(|c| c.id).collect::<HashSet<_>>().len(), COMMANDS.len());
    }

    #[test]
    fn a_file_changes_what_it_names() {
        let (map, faults) =
            Keymap::read("{\"undo\": [\"ctrl-z\", \"u\"], \"suspend\": [], \"double\": [\"x\"], \"remove\": [\"d\"]}");
        assert_eq!(faults, []);
        let of = |k: &str| map.lookup(Pane::Path, Press::parse(k).expect("key")).map(|c| c.id);
        assert_eq!(
            (of("ctrl-z"), of("x"), of("d"), of("s")),
            (Some("undo"), Some("double"), Some("remove"), Some("save"))
        );
        assert_eq!(map.keys("suspend"), []);
    }

    #[test]
    fn everything_wrong_is_said_at_once_and_the_default_stands() {
        let text = "{\n  \"udno\": [\"z\"],\n  \"undo\": [\"shift-a\", 3],\n  \"save\": \"s\",\n  \"find\": [\"q\"],\n  \"double\": [\"%\"],\n  \"remove\": [\"%\"],\n  \"log\": [\"(\"],\n  \"log\": [\")\"],\n  \"redo\": [\"ctrl-e\"],\n}";
        let (map, faults) = Keymap::read(text);
        let said: Vec<String> =
            faults.iter().map(|d| format!("{}; {}", d.message, d.help.as_deref().unwrap_or(""))).collect();
        for (n, words) in [
            &["“udno”", "undo"][..],
            &["“shift-a”", "\"A\""],
            &["double quotes"],
            &["in a list", "\"save\": [\"x\"]"],
            &["“log” stands here twice"],
            &["q is asked for by “find” and by “quit”"],
            &["% is asked for by “remove” and by “double”"],
        ]
        .iter()
        .enumerate()
        {
            assert!(said.iter().any(|s| words.iter().all(|w| s.contains(w))), "{n} {words:?}: {said:#?}");
        }
        assert_eq!(said.len(), 7, "{said:#?}");
        for id in ["undo", "save", "find", "double", "remove", "quit"] {
            assert_eq!(map.keys(id), Keymap::default().keys(id), "{id}");
        }
        assert_eq!((map.written("log"), map.written("redo")), ("(".to_owned(), "ctrl-e".to_owned()));
    }

    #[test]
    fn no_file_takes_the_way_out() {
        let (map, faults) = Keymap::read("{\"quit\": []}");
        assert!(faults[0].message.contains("leaving needs a key"));
        assert!(!map.keys("quit").is_empty());
        for text in ["", "[1]", "{\"undo\": [\"u\"", "Plan()"] {
            let (map, faults) = Keymap::read(text);
            assert_eq!((map, faults.len()), (Keymap::default(), 1), "{text}");
        }
    }
}
