//! Colours, from the sixteen that every terminal has; none of them alone carries a meaning.
//!
//! The coloured palettes keep to pairs that differ in lightness or along blue and yellow, which those who cannot tell red
//! from green tell apart. Content is never dim.

use ratatui::style::{Color, Modifier, Style};

use super::draw::Ink;
use crate::app::{Glyphs, Palette, Settings};
use crate::review::{Gravity, Verdict};
use crate::sheets::ascii;

/// Styles for a screen with or without colour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Theme {
    palette: Palette,
    /// What strokes and signs are made of.
    pub(super) glyphs: Glyphs,
}

/// The colours of a meaning: on dark, on light, in high contrast.
type Hues = [Color; 3];

const GOOD: Hues = [Color::Cyan, Color::Blue, Color::LightCyan];
const OPEN: Hues = [Color::Yellow, Color::Magenta, Color::LightYellow];
const BAD: Hues = [Color::LightRed, Color::Red, Color::LightRed];
const UNKNOWN: Hues = [Color::LightMagenta, Color::Magenta, Color::LightMagenta];
const FRAME: Hues = [Color::Cyan, Color::Blue, Color::White];
const LINE: Hues = [Color::LightYellow, Color::Reset, Color::LightYellow];
const GROUND: Hues = [Color::Green, Color::Blue, Color::White];
const LEG: Hues = [Color::LightBlue, Color::Magenta, Color::LightCyan];
const PLAIN: Hues = [Color::Reset, Color::Reset, Color::White];

impl Theme {
    pub(super) fn new(settings: Settings) -> Self {
        Self { palette: settings.palette, glyphs: settings.glyphs }
    }

    /// Whether only ASCII may be drawn.
    pub(super) fn ascii(self) -> bool {
        self.glyphs == Glyphs::Ascii
    }

    fn of(self, hues: Hues) -> Style {
        match self.palette {
            Palette::Dark => Style::new().fg(hues[0]),
            Palette::Light => Style::new().fg(hues[1]),
            Palette::Contrast => Style::new().fg(hues[2]),
            Palette::Mono => Style::new(),
        }
    }

    /// What everything stands on.
    pub(super) fn ground_style(self) -> Style {
        match self.palette {
            Palette::Contrast => Style::new().fg(Color::White).bg(Color::Black).add_modifier(Modifier::BOLD),
            _ => Style::new(),
        }
    }

    pub(super) fn verdict(self, v: Verdict) -> Style {
        match v {
            Verdict::Meets => self.of(GOOD),
            Verdict::Unrated => self.of(OPEN),
            Verdict::Below => self.of(BAD).add_modifier(Modifier::BOLD),
            Verdict::Unsolved => self.of(UNKNOWN).add_modifier(Modifier::BOLD),
        }
    }

    pub(super) fn gravity(self, g: Gravity) -> Style {
        match g {
            Gravity::Stop => self.of(BAD).add_modifier(Modifier::BOLD),
            Gravity::Caution => self.of(OPEN),
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
        if focused { self.of(FRAME).add_modifier(Modifier::BOLD) } else { self.of(PLAIN) }
    }

    pub(super) fn cursor(self, focused: bool) -> Style {
        if focused {
            Style::new().add_modifier(Modifier::REVERSED)
        } else {
            Style::new().add_modifier(Modifier::BOLD | Modifier::UNDERLINED)
        }
    }

    /// What was not set, and what only explains.
    pub(super) fn quiet(self) -> Style {
        self.of(PLAIN)
    }

    pub(super) fn alarm(self) -> Style {
        self.of(BAD).add_modifier(Modifier::BOLD)
    }

    /// A stroke of the drawing.
    pub(super) fn ink(self, ink: Ink) -> Style {
        match ink {
            Ink::Line => self.of(LINE).add_modifier(Modifier::BOLD),
            Ink::Ground => self.of(GROUND),
            Ink::Leg(_) => self.of(LEG),
            Ink::Standing | Ink::Slack | Ink::Measure => self.of(PLAIN),
        }
    }

    /// `text` with its signs replaced where only ASCII may be drawn.
    pub(super) fn text(self, text: &str) -> String {
        if self.ascii() { ascii(text) } else { text.to_owned() }
    }
}
