//! A drawing in Braille dots, to scale: two dots to a cell across, four down.

use super::letters::{HIGH, told, words};
use super::{Drawing, Stroke};

/// Dots of a broken line: so many on, as many off.
const DASH: usize = 3;
/// The dots of a cell, row by row: Unicode, Braille patterns.
const DOTS: [u32; 8] = [0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80];

/// The character of a cell with these dots, a bit each, row by row; a blank without any.
#[must_use]
pub fn of_dots(dots: u8) -> char {
    let bits: u32 = (0..8).filter(|b| dots >> b & 1 == 1).map(|b| DOTS[b]).sum();
    if bits == 0 { ' ' } else { char::from_u32(0x2800 + bits).unwrap_or(' ') }
}

/// Lines of at most `columns` cells.
pub(super) fn in_dots(d: &Drawing, columns: usize) -> Vec<String> {
    let cell = d.size[0].max(1.0) / (columns.max(2) - 1) as f64;
    let dot = 0.5 * cell;
    let rows = (d.size[1] / (HIGH * cell)).ceil() as usize + 1;
    let mut set = vec![vec![0_u8; columns]; rows];
    let mut put = |x: f64, y: f64| {
        let (x, y) = (x.round().max(0.0) as usize, y.round().max(0.0) as usize);
        if let Some(c) = set.get_mut(y / 4).and_then(|r| r.get_mut(x / 2)) {
            *c |= 1 << (2 * (y % 4) + x % 2);
        }
    };
    for s in &d.strokes {
        match s {
            Stroke::Line { points, dashed, .. } => {
                let mut n = 0;
                for w in points.windows(2) {
                    let [a, b] = [w[0], w[1]].map(|p| [p[0] / dot, p[1] / dot]);
                    let steps = ((b[0] - a[0]).abs().max((b[1] - a[1]).abs()).ceil() as usize).max(1);
                    for k in 0..=steps {
                        let t = k as f64 / steps as f64;
                        if !dashed || (n / DASH).is_multiple_of(2) {
                            put(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]));
                        }
                        n += usize::from(k > 0);
                    }
                }
            }
            Stroke::Dot { at, radius, filled } => {
                let ([x, y], r) = (at.map(|m| m / dot), (radius / dot).max(0.5));
                let around = (std::f64::consts::TAU * r).ceil().max(4.0) as usize;
                let rings = if *filled { r.ceil() as usize } else { 1 };
                for ring in 0..rings {
                    let r = r * (rings - ring) as f64 / rings as f64;
                    for k in 0..around {
                        let (sin, cos) = (std::f64::consts::TAU * k as f64 / around as f64).sin_cos();
                        put(x + r * cos, y + r * sin);
                    }
                }
            }
            Stroke::Words { .. } => {}
        }
    }
    let mut grid: Vec<Vec<char>> = set.iter().map(|r| r.iter().map(|c| of_dots(*c)).collect()).collect();
    words(d, cell, &mut grid);
    told(grid)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_keeps_its_scale_in_dots() {
        let mut d = Drawing::new(20.0, 8.0);
        d.line(&[[0.0, 4.0], [20.0, 4.0]], 0.3);
        d.line(&[[10.0, 0.0], [10.0, 8.0]], 0.3);
        let lines = in_dots(&d, 21);
        // Half a millimetre to a dot: four millimetres down is the ninth row of dots, the first of the third cell.
        assert_eq!(lines[2], format!("{}⡏{}⠁", "⠉".repeat(10), "⠉".repeat(9)));
        assert_eq!(lines[0], format!("{}⡇", " ".repeat(10)));
        d.words([10.0, 2.0], "mid", 2.0, 0.5);
        assert!(in_dots(&d, 21)[1].contains("mid"));
        assert!(lines.iter().all(|l| l.chars().count() <= 21));
    }
}
