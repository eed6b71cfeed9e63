//! Keys as the workbench names them: `a`, `A`, `ctrl-s`, `enter`, `shift-left`.

use std::fmt;

use crate::document::did_you_mean;

/// A key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Key {
    /// A character, shift already in it.
    Char(char),
    /// Return.
    Enter,
    /// Escape.
    Esc,
    /// Backspace.
    Backspace,
    /// Delete.
    Delete,
    /// Tab.
    Tab,
    /// Shift and tab.
    BackTab,
    /// Left arrow.
    Left,
    /// Right arrow.
    Right,
    /// Up arrow.
    Up,
    /// Down arrow.
    Down,
    /// Home.
    Home,
    /// End.
    End,
    /// Page up.
    PageUp,
    /// Page down.
    PageDown,
    /// Insert.
    Insert,
    /// A function key, from 1.
    F(u8),
}

/// A key with what is held beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Press {
    /// The key.
    pub key: Key,
    /// Control is held.
    pub ctrl: bool,
    /// Shift is held (for keys that are no characters).
    pub shift: bool,
}

const NAMES: &[(&str, Key)] = &[
    ("enter", Key::Enter),
    ("esc", Key::Esc),
    ("backspace", Key::Backspace),
    ("delete", Key::Delete),
    ("tab", Key::Tab),
    ("backtab", Key::BackTab),
    ("left", Key::Left),
    ("right", Key::Right),
    ("up", Key::Up),
    ("down", Key::Down),
    ("home", Key::Home),
    ("end", Key::End),
    ("pageup", Key::PageUp),
    ("pagedown", Key::PageDown),
    ("insert", Key::Insert),
    ("space", Key::Char(' ')),
    ("f1", Key::F(1)),
    ("f2", Key::F(2)),
    ("f3", Key::F(3)),
    ("f4", Key::F(4)),
    ("f5", Key::F(5)),
    ("f6", Key::F(6)),
    ("f7", Key::F(7)),
    ("f8", Key::F(8)),
    ("f9", Key::F(9)),
    ("f10", Key::F(10)),
    ("f11", Key::F(11)),
    ("f12", Key::F(12)),
];

/// What control makes of these letters in a terminal: another key altogether.
const SAME: &[(char, &str)] = &[('h', "backspace"), ('i', "tab"), ('m', "enter"), ('[', "esc")];

impl Press {
    /// A key alone.
    #[must_use]
    pub fn plain(key: Key) -> Self {
        Self { key, ctrl: false, shift: false }
    }

    /// From its notation.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (mut rest, mut ctrl, mut shift) = (text, false, false);
        loop {
            if let Some(r) = rest.strip_prefix("ctrl-") {
                (ctrl, rest) = (true, r);
            } else if let Some(r) = rest.strip_prefix("shift-") {
                (shift, rest) = (true, r);
            } else {
                break;
            }
        }
        let key = if let Some((_, k)) = NAMES.iter().find(|(n, _)| *n == rest) {
            *k
        } else {
            let mut chars = rest.chars();
            let c = chars.next()?;
            if chars.next().is_some() {
                return None;
            }
            Key::Char(c)
        };
        Some(Self { key, ctrl, shift })
    }

    /// From its notation in a key file, where only what a terminal really sends may stand.
    ///
    /// # Errors
    /// What to write instead.
    pub fn read(text: &str) -> Result<Self, String> {
        let Some(p) = Self::parse(text) else {
            let near = did_you_mean(text, NAMES.iter().map(|(n, _)| *n));
            let near = near.map_or(String::new(), |n| format!("did you mean \"{n}\"? "));
            return Err(format!("{near}{}", Self::notation()));
        };
        match p.key {
            Key::Char(_) if text.ends_with("space") => Ok(p),
            Key::Char(c) if p.shift => Err(format!("write the character that shift makes: \"{}\"", c.to_uppercase())),
            Key::Char(c) if p.ctrl => match SAME.iter().find(|(l, _)| *l == c.to_ascii_lowercase()) {
                Some((_, name)) => Err(format!("a terminal cannot tell it from {name}; take another letter")),
                None if c.is_ascii_lowercase() => Ok(p),
                None if c.is_ascii_uppercase() => Err(format!("write \"ctrl-{}\"", c.to_ascii_lowercase())),
                None => Err("with ctrl only the letters a to z reach every program".to_owned()),
            },
            Key::Tab if p.shift => Err("write \"backtab\"".to_owned()),
            _ => Ok(p),
        }
    }

    /// What may stand in a key file, in one sentence.
    #[must_use]
    pub fn notation() -> String {
        let names: Vec<&str> = NAMES.iter().map(|(n, _)| *n).filter(|n| !n.starts_with('f')).collect();
        format!(
            "a key is one character, or {}, f1 to f12; ctrl- may stand before a letter or a name, shift- before a name",
            names.join(", ")
        )
    }
}

impl fmt::Display for Press {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.ctrl {
            write!(f, "ctrl-")?;
        }
        if self.shift {
            write!(f, "shift-")?;
        }
        match (NAMES.iter().find(|(_, k)| *k == self.key), self.key) {
            (Some((n, _)), _) => write!(f, "{n}"),
            (None, Key::Char(c)) => write!(f, "{c}"),
            (None, other) => write!(f, "{other:?}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn notation_goes_both_ways() {
        for text in ["a", "A", "ctrl-s", "enter", "shift-left", "?", "space", "-", "f1", "f12", "insert"] {
            assert_eq!(Press::parse(text).expect("a key").to_string(), text);
        }
        assert_eq!(Press::parse("hyper-x"), None);
    }

    #[test]
    fn what_no_terminal_sends_is_refused() {
        for (text, says) in [
            ("shift-a", "\"A\""),
            ("ctrl-S", "\"ctrl-s\""),
            ("ctrl-i", "tab"),
            ("ctrl-?", "a to z"),
            ("shift-tab", "backtab"),
            ("entre", "\"enter\""),
            ("", "one character"),
        ] {
            let why = Press::read(text).expect_err(text);
            assert!(why.contains(says), "{text}: {why}");
        }
        for text in ["x", "?", "ctrl-a", "shift-left", "ctrl-left", "f5", "space"] {
            assert_eq!(Press::read(text), Ok(Press::parse(text).expect("a key")));
        }
    }
}
