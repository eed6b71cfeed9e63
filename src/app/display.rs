//! How things are shown: glyphs, colours, and where the drawing looks.

use glam::DVec2;

use super::outline::Selected;
use super::state::App;
use crate::plan::{Role, Side};

/// What strokes are made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Glyphs {
    /// Braille cells, two by four dots each.
    #[default]
    Braille,
    /// Half blocks, one by two dots a cell, for fonts without Braille.
    Half,
    /// Nothing but ASCII, in strokes and in text.
    Ascii,
}

impl Glyphs {
    /// All, in the order of the command that changes them.
    pub const ALL: [Self; 3] = [Self::Braille, Self::Half, Self::Ascii];

    /// As written on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Braille => "braille",
            Self::Half => "half",
            Self::Ascii => "ascii",
        }
    }
}

/// Which colours are used; none of them alone carries a meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Palette {
    /// For a dark background; told apart by those who cannot tell red from green.
    #[default]
    Dark,
    /// The same for a light background.
    Light,
    /// For a background that nobody knows: it can be read on both.
    Either,
    /// White on black, bold, little else.
    Contrast,
    /// The terminal's own two colours only.
    Mono,
}

impl Palette {
    /// All, in the order of the command that changes them.
    pub const ALL: [Self; 5] = [Self::Dark, Self::Light, Self::Either, Self::Contrast, Self::Mono];

    /// As written on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Dark => "dark",
            Self::Light => "light",
            Self::Either => "either",
            Self::Contrast => "contrast",
            Self::Mono => "mono",
        }
    }
}

/// The one after `now` in `all`, around.
pub(super) fn next<T: Copy + PartialEq>(all: &[T], now: T) -> T {
    let at = all.iter().position(|x| *x == now).unwrap_or(0);
    all[(at + 1) % all.len()]
}

/// One picture of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Picture {
    /// The line from the side.
    Gap,
    /// An anchor from above.
    Anchor(Side),
}

/// How closely a picture is looked at, and how far it is pushed aside.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Look {
    /// Steps of nearness; 0 shows everything.
    pub steps: u8,
    /// Away from what is selected, in shares of what is seen: across, up.
    pub pan: DVec2,
}

impl Look {
    /// Closest look.
    const MOST: u8 = 12;

    /// How many times larger than when everything is shown.
    #[must_use]
    pub fn zoom(self) -> f64 {
        1.5_f64.powi(i32::from(self.steps))
    }
}

/// The looks at all pictures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Looks([Look; 3]);

impl Looks {
    fn index(p: Picture) -> usize {
        match p {
            Picture::Gap => 0,
            Picture::Anchor(Side::A) => 1,
            Picture::Anchor(Side::B) => 2,
        }
    }

    /// The look at one picture.
    #[must_use]
    pub fn of(&self, p: Picture) -> Look {
        self.0[Self::index(p)]
    }
}

impl App {
    /// The picture that what is selected belongs to.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let plan = &self.file.plan;
        let point = match &self.selected {
            Selected::Point(p) => Some(p),
            s => s.run().and_then(|r| plan.runs.get(r)).filter(|r| r.role == Role::Leg).and_then(|r| r.path.first()),
        };
        point.and_then(|p| plan.points.get(p)).map_or(Picture::Gap, |p| Picture::Anchor(p.side))
    }

    fn look_mut(&mut self) -> &mut Look {
        let i = Looks::index(self.picture());
        self.dirty = true;
        &mut self.looks.0[i]
    }

    /// Looks closer, or from farther away.
    pub(super) fn zoom(&mut self, closer: bool) {
        let look = self.look_mut();
        if closer {
            look.steps = (look.steps + 1).min(Look::MOST);
        } else {
            look.steps = look.steps.saturating_sub(1);
        }
        if look.steps == 0 {
            look.pan = DVec2::ZERO;
        }
    }

    /// Shows all of the picture again.
    pub(super) fn show_all(&mut self) {
        *self.look_mut() = Look::default();
    }

    /// Looks aside, a quarter of what is seen at a time.
    pub(super) fn pan(&mut self, across: f64, up: f64) {
        let look = self.look_mut();
        look.pan = (look.pan + DVec2::new(across, up) * 0.25).clamp(DVec2::splat(-20.0), DVec2::splat(20.0));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_next_goes_around() {
        assert_eq!(next(&Palette::ALL, Palette::Mono), Palette::Dark);
        assert_eq!(next(&Glyphs::ALL, Glyphs::Braille), Glyphs::Half);
    }
}
