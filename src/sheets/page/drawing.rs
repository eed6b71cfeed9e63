//! A drawing of lines and words, in millimetres on paper, y downward.

/// One stroke of a drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Stroke {
    /// A line through points, so wide; dashed or not.
    Line {
        /// Points, mm.
        points: Vec<[f64; 2]>,
        /// Width, mm.
        width: f64,
        /// Whether it is broken.
        dashed: bool,
    },
    /// A circle: filled, or its edge alone.
    Dot {
        /// Middle, mm.
        at: [f64; 2],
        /// Radius, mm.
        radius: f64,
        /// Whether it is filled.
        filled: bool,
    },
    /// Words, their left end (0), middle (0.5) or right end (1) at a point on their base line.
    Words {
        /// Where, mm.
        at: [f64; 2],
        /// What.
        text: String,
        /// Height of the letters, mm.
        size: f64,
        /// Which part of them is there.
        from: f64,
    },
}

/// A drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawing {
    /// Width and height, mm.
    pub size: [f64; 2],
    /// What it is made of.
    pub strokes: Vec<Stroke>,
}

impl Drawing {
    /// An empty drawing of this size, mm.
    #[must_use]
    pub fn new(width: f64, height: f64) -> Self {
        Self { size: [width, height], strokes: Vec::new() }
    }

    /// Draws a line.
    pub fn line(&mut self, points: &[[f64; 2]], width: f64) {
        self.strokes.push(Stroke::Line { points: points.to_vec(), width, dashed: false });
    }

    /// Draws a broken line.
    pub fn dashes(&mut self, points: &[[f64; 2]], width: f64) {
        self.strokes.push(Stroke::Line { points: points.to_vec(), width, dashed: true });
    }

    /// Draws a dot.
    pub fn dot(&mut self, at: [f64; 2], radius: f64, filled: bool) {
        self.strokes.push(Stroke::Dot { at, radius, filled });
    }

    /// Writes words.
    pub fn words(&mut self, at: [f64; 2], text: &str, size: f64, from: f64) {
        self.strokes.push(Stroke::Words { at, text: text.to_owned(), size, from });
    }
}
