//! Which colours suit the terminal: what the user says, else what the terminal answers, else what can be read on both.

use std::env::var;
use std::time::Duration;

use terminal_colorsaurus::{QueryOptions, ThemeMode, theme_mode};

use crate::app::Palette;

/// How long the terminal may take to say what its background is.
const PATIENCE: Duration = Duration::from_millis(100);

/// The palette for this terminal, and whether it has no more than sixteen colours. Asks once, before the first frame.
pub(super) fn suited(asked: Option<Palette>) -> (Palette, bool) {
    let term = var("TERM").unwrap_or_default();
    let true_colour = var("COLORTERM").is_ok_and(|v| !v.is_empty());
    let few = !true_colour && !["256", "direct"].iter().any(|t| term.contains(t));
    (palette(asked, &term), few)
}

fn palette(asked: Option<Palette>, term: &str) -> Palette {
    if var("NO_COLOR").is_ok_and(|v| !v.is_empty()) {
        return Palette::Mono;
    }
    if let Some(p) = asked {
        return p;
    }
    if term != "linux" {
        let mut options = QueryOptions::default();
        options.timeout = PATIENCE;
        match theme_mode(options) {
            Ok(ThemeMode::Dark) => return Palette::Dark,
            Ok(ThemeMode::Light) => return Palette::Light,
            Err(_) => {}
        }
    }
    var("COLORFGBG").ok().and_then(|v| told(&v)).unwrap_or(Palette::Either)
}

/// What the last field of `COLORFGBG` says of the background.
fn told(text: &str) -> Option<Palette> {
    match text.rsplit(';').next()?.parse().ok()? {
        7 | 9..=15 => Some(Palette::Light),
        0..=6 | 8 => Some(Palette::Dark),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_background_is_read_off_its_variable() {
        assert_eq!(told("15;0"), Some(Palette::Dark));
        assert_eq!(told("0;default;15"), Some(Palette::Light));
        assert_eq!(told("0;8"), Some(Palette::Dark));
        assert_eq!(told("0;default"), None);
    }
}
