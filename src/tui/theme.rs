//! Who gets the ink: text, grey, and three hues. Red is below or stop, amber caution or unrated, blue the hand; nothing
//! that meets has a hue, and no hue alone carries a fact.
//!
//! Colours are of the 256 that terminals share, with the sixteen in their place where a terminal has no more. Faint never
//! carries a fact that stands nowhere else.

use ratatui::style::{Color, Modifier, Style};

use super::draw::Ink;
use crate::app::{Glyphs, Palette, Settings};
use crate::review::{Gravity, Verdict};
use crate::sheets::ascii;

/// Styles for a screen with or without colour.
#[derive(Debug, Clone, Copy)]
pub(super) struct Theme {
    palette: Palette,
    /// Only sixteen colours.
    few: bool,
    /// What strokes and signs are made of.
    pub(super) glyphs: Glyphs,
}

/// What ink is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Names, figures near their limit or asked for now.
    Text,
    /// Heads, cursor, keys, A and B, the walker.
    Strong,
    /// Labels, units, what is well, what only explains.
    Quiet,
    /// Rules, tracks, hatch, leaders, what lies behind a popup.
    Faint,
    /// Below, unsolved, stop.
    Bad,
    /// Caution, unrated.
    Caution,
    /// What is dragged, tried, changed.
    Hand,
}

/// The colours of a role on dark, on light, on either, in high contrast: of the 256, then of the sixteen.
fn hues(role: Role) -> [[Color; 4]; 2] {
    use Color::{Indexed as I, Reset as R};
    match role {
        Role::Text | Role::Strong => [[R, R, R, I(231)], [R, R, R, I(15)]],
        Role::Quiet => [[I(247), I(240), R, I(252)], [R, R, R, I(7)]],
        Role::Faint => [[I(240), I(249), I(243), I(246)], [I(8), R, R, I(8)]],
        Role::Bad => [[I(203), I(125), I(161), I(210)], [I(9), I(1), I(1), I(9)]],
        Role::Caution => [[I(214), I(94), I(130), I(221)], [I(11), I(5), I(5), I(11)]],
        Role::Hand => [[I(75), I(25), I(27), I(117)], [I(12), I(4), R, I(14)]],
    }
}

impl Theme {
    pub(super) fn new(settings: Settings) -> Self {
        Self { palette: settings.palette, few: settings.few_colours, glyphs: settings.glyphs }
    }

    /// Whether only ASCII may be drawn.
    pub(super) fn ascii(self) -> bool {
        self.glyphs == Glyphs::Ascii
    }

    /// The style of a role.
    pub(super) fn role(self, role: Role) -> Style {
        let of = |k: usize| Style::new().fg(hues(role)[usize::from(self.few)][k]);
        let style = match self.palette {
            Palette::Dark => of(0),
            Palette::Light => of(1),
            Palette::Either => of(2),
            Palette::Contrast => of(3),
            Palette::Mono => Style::new(),
        };
        // Without hues weight and a line tell; on a background that nobody knows hues alone are thin.
        match (role, self.palette) {
            (Role::Bad, Palette::Mono) => style.add_modifier(Modifier::BOLD | Modifier::UNDERLINED),
            (Role::Strong | Role::Bad, _) => style.add_modifier(Modifier::BOLD),
            (Role::Caution, Palette::Mono | Palette::Either) => style.add_modifier(Modifier::BOLD),
            (Role::Hand, Palette::Mono) => style.add_modifier(Modifier::UNDERLINED),
            (Role::Hand, Palette::Either) if self.few => style.add_modifier(Modifier::UNDERLINED),
            (Role::Hand, Palette::Either) => style.add_modifier(Modifier::BOLD),
            _ => style,
        }
    }

    /// What everything stands on.
    pub(super) fn ground_style(self) -> Style {
        match self.palette {
            Palette::Contrast => Style::new().fg(Color::Indexed(231)).bg(Color::Indexed(16)),
            _ => Style::new(),
        }
    }

    /// The ink of a piece by its verdict and the share of what is allowed that it takes: what is well recedes.
    pub(super) fn piece(self, verdict: Verdict, share: Option<f64>) -> Style {
        self.role(match verdict {
            Verdict::Below | Verdict::Unsolved => Role::Bad,
            Verdict::Unrated => Role::Caution,
            Verdict::Meets if share.is_some_and(|s| s >= NEAR) => Role::Text,
            Verdict::Meets => Role::Quiet,
        })
    }

    pub(super) fn verdict(self, v: Verdict) -> Style {
        self.piece(v, Some(1.0))
    }

    pub(super) fn gravity(self, g: Gravity) -> Style {
        self.role(match g {
            Gravity::Stop => Role::Bad,
            Gravity::Caution => Role::Caution,
            Gravity::Note => Role::Quiet,
        })
    }

    /// The head of a pane, reversed where it has the keys.
    pub(super) fn title(self, focused: bool) -> Style {
        let style = self.role(Role::Strong);
        if focused { style.add_modifier(Modifier::REVERSED) } else { style }
    }

    pub(super) fn border(self) -> Style {
        self.role(Role::Faint)
    }

    pub(super) fn cursor(self, focused: bool) -> Style {
        if focused { self.role(Role::Text).add_modifier(Modifier::REVERSED) } else { self.role(Role::Strong) }
    }

    /// What was not set, and what only explains.
    pub(super) fn quiet(self) -> Style {
        self.role(Role::Quiet)
    }

    pub(super) fn alarm(self) -> Style {
        self.role(Role::Bad)
    }

    /// A stroke of the drawing.
    pub(super) fn ink(self, ink: Ink) -> Style {
        self.role(match ink {
            Ink::Hatch => Role::Faint,
            Ink::Ground | Ink::Standing | Ink::Slack | Ink::Measure | Ink::Unsure => Role::Quiet,
            Ink::Feet | Ink::Caught | Ink::Strut | Ink::Leg(_) | Ink::Line => Role::Text,
            Ink::Chosen(_) => Role::Hand,
            Ink::Failing(_) => Role::Bad,
        })
    }

    /// `text` with its signs replaced where only ASCII may be drawn.
    pub(super) fn text(self, text: &str) -> String {
        if self.ascii() { ascii(text) } else { text.to_owned() }
    }
}

/// From this share of what is allowed on a piece that meets is no longer quiet.
const NEAR: f64 = 0.8;
