//! Colours, from the sixteen that every terminal has; none of them alone carries a meaning.

use ratatui::style::{Color, Modifier, Style};

use crate::app::Settings;
use crate::review::{Gravity, Verdict};
use crate::sheets::ascii;

/// Styles for a screen with or without colour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Theme {
    mono: bool,
    /// Whether only ASCII may be drawn.
    pub(super) ascii: bool,
}

impl Theme {
    pub(super) fn new(settings: Settings) -> Self {
        Self { mono: settings.mono, ascii: settings.ascii }
    }

    fn colour(self, c: Color) -> Style {
        if self.mono { Style::new() } else { Style::new().fg(c) }
    }

    pub(super) fn verdict(self, v: Verdict) -> Style {
        match v {
            Verdict::Meets => self.colour(Color::Cyan),
            Verdict::Unrated => self.colour(Color::Yellow),
            Verdict::Below => self.colour(Color::LightRed).add_modifier(Modifier::BOLD),
            Verdict::Unsolved => self.colour(Color::LightMagenta).add_modifier(Modifier::BOLD),
        }
    }

    pub(super) fn gravity(self, g: Gravity) -> Style {
        match g {
            Gravity::Stop => self.colour(Color::LightRed).add_modifier(Modifier::BOLD),
            Gravity::Caution => self.colour(Color::Yellow),
            Gravity::Note => Style::new(),
        }
    }

    pub(super) fn title(self, focused: bool) -> Style {
        if focused {
            Style::new().add_modifier(Modifier::BOLD | Modifier::REVERSED)
        } else {
            Style::new().add_modifier(Modifier::BOLD)
        }
    }

    pub(super) fn border(self, focused: bool) -> Style {
        if focused { self.colour(Color::Cyan) } else { self.colour(Color::DarkGray) }
    }

    pub(super) fn cursor(self, focused: bool) -> Style {
        if focused {
            Style::new().add_modifier(Modifier::REVERSED)
        } else {
            Style::new().add_modifier(Modifier::BOLD | Modifier::UNDERLINED)
        }
    }

    pub(super) fn quiet(self) -> Style {
        self.colour(Color::Gray)
    }

    pub(super) fn alarm(self) -> Style {
        self.colour(Color::LightRed).add_modifier(Modifier::BOLD)
    }

    pub(super) fn line(self) -> Color {
        if self.mono { Color::Reset } else { Color::LightYellow }
    }

    pub(super) fn ground(self) -> Color {
        if self.mono { Color::Reset } else { Color::Green }
    }

    pub(super) fn slack(self) -> Color {
        if self.mono { Color::Reset } else { Color::DarkGray }
    }

    pub(super) fn leg(self) -> Color {
        if self.mono { Color::Reset } else { Color::LightBlue }
    }

    /// `text` with its signs replaced where only ASCII may be drawn.
    pub(super) fn text(self, text: &str) -> String {
        if self.ascii { ascii(text) } else { text.to_owned() }
    }
}
