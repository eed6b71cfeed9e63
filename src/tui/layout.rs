//! Where the panes stand, by the size of the screen and by which pane has the keys: that one grows.

use ratatui::layout::{Constraint, Layout, Rect};

use crate::app::Pane;

/// The smallest screen that is used, columns and rows.
pub const SMALLEST: (u16, u16) = (80, 24);

/// What decides how the panes stand, beside the size of the screen.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// The pane that has the keys.
    pub keys: Pane,
    /// The pane that stands beside the load path where there is room for one only.
    pub beside: Pane,
    /// Rows that title and verdict need.
    pub head: u16,
}

/// Where everything stands.
#[derive(Debug, Clone, Default)]
pub struct Screen {
    /// Title and verdict.
    pub header: Rect,
    /// Panes.
    pub panes: Vec<(Pane, Rect)>,
    /// A place of its own for the influence line.
    pub influence: Option<Rect>,
    /// Walker, message, keys.
    pub footer: Rect,
}

/// Lays the panes out; nothing when the screen is too small.
#[must_use]
pub fn screen(area: Rect, wish: Wish) -> Option<Screen> {
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return None;
    }
    let head = wish.head.clamp(2, area.height / 4);
    let [header, body, footer] =
        area.layout(&Layout::vertical([Constraint::Length(head), Constraint::Min(0), Constraint::Length(3)]));
    let (panes, influence) = match (area.width >= 110, area.height >= 30) {
        (true, true) => large(body, wish.keys),
        (true, false) => (wide(body, wish), None),
        (false, true) => (tall(body, wish), None),
        (false, false) => (small(body, wish), None),
    };
    Some(Screen { header, panes, influence, footer })
}

fn columns<const N: usize>(area: Rect, widths: [u16; N], grows: usize) -> [Rect; N] {
    let mut at = 0;
    area.layout(&Layout::horizontal(widths.map(|w| {
        at += 1;
        if at - 1 == grows { Constraint::Min(0) } else { Constraint::Length(w) }
    })))
}

fn stacked(area: Rect, lower: u16) -> [Rect; 2] {
    area.layout(&Layout::vertical([Constraint::Min(0), Constraint::Length(lower)]))
}

/// The load path, and one pane beside it.
fn small(body: Rect, wish: Wish) -> Vec<(Pane, Rect)> {
    let beside = if wish.beside == Pane::Path { Pane::Drawing } else { wish.beside };
    let [path, other] = columns(body, [path_width(body, wish.keys), 0], 1);
    vec![(Pane::Path, path), (beside, other)]
}

/// At half the width the load path shows all its columns; a third has room for names and factors.
fn path_width(body: Rect, keys: Pane) -> u16 {
    if keys == Pane::Path { (body.width / 2).min(44) } else { (body.width * 7 / 20).max(28) }
}

/// The load path, and two panes beside it, one over the other.
fn tall(body: Rect, wish: Wish) -> Vec<(Pane, Rect)> {
    let other = if matches!(wish.beside, Pane::Path | Pane::Drawing) { Pane::Piece } else { wish.beside };
    let [path, right] = columns(body, [path_width(body, wish.keys), 0], 1);
    let share = if wish.keys == other { 60 } else { 40 };
    let [drawing, lower] = stacked(right, right.height * share / 100);
    vec![(Pane::Path, path), (Pane::Drawing, drawing), (other, lower)]
}

/// Three panes beside each other, on a wide and low screen.
fn wide(body: Rect, wish: Wish) -> Vec<(Pane, Rect)> {
    let middle = if wish.beside == Pane::Worst { Pane::Worst } else { Pane::Drawing };
    let (left, right) = sides(body.width, wish.keys);
    let [path, centre, piece] = columns(body, [left, 0, right], 1);
    vec![(Pane::Path, path), (middle, centre), (Pane::Piece, piece)]
}

/// Widths of the load path and of the piece.
fn sides(width: u16, keys: Pane) -> (u16, u16) {
    let (left, right) = if width >= 180 {
        (52, 64)
    } else if width >= 140 {
        (44, 46)
    } else {
        (40, 38)
    };
    match keys {
        Pane::Path => (left, right),
        Pane::Piece if width < 140 => (32, right + 6),
        Pane::Piece => (40, right + 8),
        Pane::Drawing | Pane::Worst if width >= 140 => (40, right - 8),
        Pane::Drawing | Pane::Worst => (30, 32),
    }
}

/// All four panes; on the largest screens the influence line stands below the piece.
fn large(body: Rect, keys: Pane) -> (Vec<(Pane, Rect)>, Option<Rect>) {
    let (left, right) = sides(body.width, keys);
    let [path, middle, mut piece] = columns(body, [left, 0, right], 1);
    let worst = match keys {
        Pane::Worst => body.height / 2,
        Pane::Drawing => 7,
        _ => (body.height / 4).max(7),
    };
    let [drawing, worst] = stacked(middle, worst);
    let mut influence = None;
    if body.width >= 160 && body.height >= 36 {
        let height = if keys == Pane::Piece { 8 } else { (body.height / 4).clamp(8, 14) };
        let lower;
        [piece, lower] = stacked(piece, height);
        influence = Some(lower);
    }
    let panes = vec![(Pane::Path, path), (Pane::Drawing, drawing), (Pane::Piece, piece), (Pane::Worst, worst)];
    (panes, influence)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At every size and for every pane with the keys: inside, no overlap, nothing squeezed, the keys' pane on screen.
    #[test]
    fn panes_have_room_and_keep_apart() {
        for (width, height) in
            (80..260).step_by(5).flat_map(|w| (24..80).step_by(3).map(move |h| (w, h))).chain([(200, 50), (120, 40)])
        {
            let area = Rect::new(0, 0, width, height);
            for keys in Pane::ALL {
                for head in [2, 4, 6] {
                    let beside = if keys == Pane::Path { Pane::Drawing } else { keys };
                    let s = screen(area, Wish { keys, beside, head }).expect("large enough");
                    let mut all: Vec<Rect> = s.panes.iter().map(|p| p.1).collect();
                    all.extend(s.influence);
                    all.extend([s.header, s.footer]);
                    for (i, r) in all.iter().enumerate() {
                        assert_eq!(r.intersection(area), *r, "{width}x{height} {keys:?}");
                        for q in &all[..i] {
                            assert!(!r.intersects(*q), "{width}x{height} {keys:?}: {r:?} {q:?}");
                        }
                    }
                    let total: u32 = all.iter().map(|r| r.area()).sum();
                    assert_eq!(total, area.area(), "{width}x{height} {keys:?}: nothing is left empty");
                    for (p, r) in &s.panes {
                        assert!(r.width >= 28 && r.height >= 7, "{width}x{height} {keys:?}: {p:?} {r:?}");
                    }
                    let own = s.panes.iter().find(|p| p.0 == keys).expect("the keys' pane is on screen").1;
                    for other in Pane::ALL {
                        let s = screen(area, Wish { keys: other, beside, head }).expect("large enough");
                        let there = s.panes.iter().find(|p| p.0 == keys).map(|p| p.1.area());
                        assert!(there.is_none_or(|a| a <= own.area()), "{width}x{height}: {keys:?} grows");
                    }
                }
            }
        }
    }
}
