//! The letters that sheets are set in: how wide words are, and where lines of them break.

/// The letters of every sheet, thin and bold; see their licence beside them.
pub(super) const FACES: [&[u8]; 2] =
    [include_bytes!("../../../assets/fonts/sheet.ttf"), include_bytes!("../../../assets/fonts/sheet-bold.ttf")];
/// Widths of letters.
pub(super) struct Letters<'a>([ttf_parser::Face<'a>; 2]);

impl Letters<'_> {
    pub(super) fn new() -> Result<Self, String> {
        let face = |k: usize| ttf_parser::Face::parse(FACES[k], 0).map_err(|e| e.to_string());
        Ok(Self([face(0)?, face(1)?]))
    }

    pub(super) fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let face = &self.0[usize::from(bold)];
        let advance = |c: char| face.glyph_index(c).and_then(|g| face.glyph_hor_advance(g)).unwrap_or(0);
        text.chars().map(|c| f64::from(advance(c))).sum::<f64>() * size / f64::from(face.units_per_em())
    }

    /// Width of the widest word of `text`.
    pub(super) fn longest(&self, text: &str, size: f64, bold: bool) -> f64 {
        text.split_whitespace().map(|w| self.width(w, size, bold)).fold(0.0, f64::max)
    }

    /// `text` in lines no wider than `width`, the first `indent` less; a word that is wider by itself is cut.
    pub(super) fn wrap(&self, text: &str, width: f64, indent: f64, size: f64, bold: bool) -> Vec<String> {
        let mut lines = vec![String::new()];
        for word in text.split_whitespace() {
            let last = lines.len() - 1;
            let room = if last == 0 { width - indent } else { width };
            let joined = if lines[last].is_empty() { word.to_owned() } else { format!("{} {word}", lines[last]) };
            if self.width(&joined, size, bold) <= room {
                lines[last] = joined;
                continue;
            }
            if !lines[last].is_empty() || indent > 0.0 && last == 0 {
                lines.push(String::new());
            }
            for c in word.chars() {
                let last = lines.len() - 1;
                let more = format!("{}{c}", lines[last]);
                if self.width(&more, size, bold) > width && !lines[last].is_empty() {
                    lines.push(c.to_string());
                } else {
                    lines[last] = more;
                }
            }
        }
        lines
    }
}
