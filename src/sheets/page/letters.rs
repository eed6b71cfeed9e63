//! A drawing in letters, to scale: a cell is as wide as the drawing allows, and twice as high.

use super::{Drawing, Stroke};

/// How much higher a cell of a terminal is than wide; common practice, no source.
pub(super) const HIGH: f64 = 2.0;

/// Lines of at most `columns` cells; nothing that a plain printer lacks.
pub(super) fn in_letters(d: &Drawing, columns: usize) -> Vec<String> {
    let cell = d.size[0].max(1.0) / (columns.max(2) - 1) as f64;
    let rows = (d.size[1] / (HIGH * cell)).ceil() as usize + 1;
    let mut grid = vec![vec![' '; columns]; rows];
    let to = |p: &[f64; 2]| [p[0] / cell, p[1] / (HIGH * cell)];
    let mut put = |x: f64, y: f64, c: char| {
        if let Some(g) = grid.get_mut(y.round().max(0.0) as usize).and_then(|r| r.get_mut(x.round().max(0.0) as usize))
        {
            *g = c;
        }
    };
    // Lines first, dots on them, words over all.
    for s in &d.strokes {
        let Stroke::Line { points, dashed, .. } = s else { continue };
        for w in points.windows(2) {
            let ([ax, ay], [bx, by]) = (to(&w[0]), to(&w[1]));
            let (dx, dy) = (bx - ax, by - ay);
            let steps = (dx.abs().max(dy.abs()).ceil() as usize).max(1);
            let c = match (dx.abs() > 2.5 * dy.abs(), dy.abs() > 2.5 * dx.abs()) {
                _ if *dashed => '.',
                (true, _) => '-',
                (_, true) => '|',
                _ if dx * dy > 0.0 => '\\',
                _ => '/',
            };
            for k in 0..=steps {
                let t = k as f64 / steps as f64;
                put(ax + t * dx, ay + t * dy, c);
            }
        }
    }
    for s in &d.strokes {
        if let Stroke::Dot { at, filled, .. } = s {
            let [x, y] = to(at);
            put(x, y, if *filled { '*' } else { 'o' });
        }
    }
    words(d, cell, &mut grid);
    told(grid)
}

/// Words over what is drawn, each on its base line, in the cell above it; where others stand already, in the nearest row that
/// is free, or not at all.
pub(super) fn words(d: &Drawing, cell: f64, grid: &mut [Vec<char>]) {
    let (rows, columns) = (grid.len(), grid.first().map_or(0, Vec::len));
    let to = |p: &[f64; 2]| [p[0] / cell, p[1] / (HIGH * cell)];
    let mut taken = vec![vec![false; columns]; rows];
    for s in &d.strokes {
        let Stroke::Words { at, text, from, .. } = s else { continue };
        let [x, y] = to(at);
        let wide = text.chars().count();
        let start = (x - from * wide as f64).min(columns as f64 - wide as f64).max(0.0).round() as usize;
        let row = (y - 0.5).max(0.0).round() as usize;
        let free = |row: &usize| {
            let (from, to) = (start.saturating_sub(1), (start + wide + 1).min(columns));
            taken.get(*row).is_some_and(|r| r[from..to].iter().all(|t| !t))
        };
        let near = [row, row + 1, row.wrapping_sub(1), row + 2, row.wrapping_sub(2)];
        let Some(row) = near.into_iter().find(free) else { continue };
        for (k, c) in text.chars().enumerate().take(columns - start) {
            (grid[row][start + k], taken[row][start + k]) = (c, true);
        }
    }
}

/// Lines without what is blank at their ends.
pub(super) fn told(grid: Vec<Vec<char>>) -> Vec<String> {
    let mut lines: Vec<String> =
        grid.into_iter().map(|r| r.into_iter().collect::<String>().trim_end().to_owned()).collect();
    while lines.last().is_some_and(String::is_empty) {
        lines.pop();
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_keeps_its_scale_in_letters() {
        let mut d = Drawing::new(20.0, 8.0);
        d.line(&[[0.0, 4.0], [20.0, 4.0]], 0.3);
        d.dashes(&[[10.0, 4.0], [10.0, 8.0]], 0.3);
        d.dot([20.0, 4.0], 1.0, true);
        d.words([10.0, 2.0], "mid", 2.0, 0.5);
        let lines = in_letters(&d, 21);
        // One millimetre across and two down to a cell.
        assert_eq!(lines[1].find("mid"), Some(9), "{lines:?}");
        assert_eq!(lines[2], format!("{}.{}*", "-".repeat(10), "-".repeat(9)));
        assert_eq!(lines[3], format!("{}.", " ".repeat(10)));
        assert!(lines.iter().all(|l| l.chars().count() <= 21));
    }
}
