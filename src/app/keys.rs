//! Keys as the workbench names them: `a`, `A`, `ctrl-s`, `enter`, `shift-left`.

use std::fmt;

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
    ("space", Key::Char(' ')),
];

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
        for text in ["a", "A", "ctrl-s", "enter", "shift-left", "?", "space", "-"] {
            assert_eq!(Press::parse(text).expect("a key").to_string(), text);
        }
        assert_eq!(Press::parse("hyper-x"), None);
    }
}
