//! Where the panes stand, by the size of the screen.

use ratatui::layout::Rect;

use crate::app::Pane;
use crate::plan::Side;

/// The smallest screen that shows a pane, columns and rows; below it stands the verdict alone.
pub const SMALLEST: (u16, u16) = (40, 12);

/// What decides how the panes stand, beside the size of the screen.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// The pane that has the keys.
    pub keys: Pane,
    /// The pane that stands beside the load path where there is room for one only.
    pub beside: Pane,
    /// The side whose anchor is looked at where there is room for one.
    pub side: Side,
    /// Whether a lesson is played.
    pub lesson: bool,
}

/// Where everything stands. Panes have their head in their first row.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Screen {
    /// Title and caution.
    pub title: Rect,
    /// The headline: two rows, or three.
    pub headline: Rect,
    /// The strip of a lesson.
    pub lesson: Option<Rect>,
    /// The names of the panes, where only one is shown.
    pub tabs: Option<Rect>,
    /// The rig along the load's way.
    pub path: Option<Rect>,
    /// The gap.
    pub gap: Option<Rect>,
    /// Anchors from above.
    pub anchors: Vec<(Side, Rect)>,
    /// What is chosen.
    pub piece: Option<Rect>,
    /// What is worst.
    pub worst: Option<Rect>,
    /// The tension of the chosen run by where the walker is.
    pub influence: Option<Rect>,
    /// Who stands where.
    pub walker: Rect,
    /// What was said last; where there is no row for it, it takes that of the hints.
    pub message: Option<Rect>,
    /// Keys.
    pub hints: Rect,
}

/// Rows of a lesson's strip.
const STRIP: u16 = 3;

/// Columns between two panes.
const GUTTER: u16 = 2;

fn rows(r: Rect, from: u16, height: u16) -> Rect {
    let from = from.min(r.height);
    Rect { y: r.y + from, height: height.min(r.height - from), ..r }
}

fn columns(r: Rect, from: u16, width: u16) -> Rect {
    let from = from.min(r.width);
    Rect { x: r.x + from, width: width.min(r.width - from), ..r }
}

/// The first `upper` rows, and the rest after a blank one.
fn split(r: Rect, upper: u16) -> [Rect; 2] {
    [rows(r, 0, upper), rows(r, upper + 1, r.height)]
}

/// Lays the panes out; nothing when the screen is too small.
#[must_use]
pub fn screen(area: Rect, wish: Wish) -> Option<Screen> {
    if area.width < SMALLEST.0 || area.height < SMALLEST.1 {
        return None;
    }
    let wide = area.width >= 110;
    let head = if wide && area.height >= 24 { 3 } else { 2 };
    let said = u16::from(wide);
    let foot = 2 + said;
    // A lesson speaks where the headline would say what limits the rig, and below it.
    let strip = if !wish.lesson {
        0
    } else if area.height >= 24 {
        STRIP
    } else {
        2
    };
    let body = rows(area, 1 + head + strip, area.height - 1 - head - strip - foot);
    let last = area.height - 1;
    let mut s = Screen {
        title: rows(area, 0, 1),
        headline: rows(area, 1, head),
        lesson: wish.lesson.then(|| rows(area, 1 + head, strip)),
        walker: rows(area, area.height - foot, 1),
        message: wide.then(|| rows(area, last - 1, 1)),
        hints: rows(area, last, 1),
        ..Screen::default()
    };
    match (area.width, area.height) {
        (160.., 40..) => large(&mut s, body),
        (110.., 30..) => middle(&mut s, body, wish),
        (80.., 24..) => small(&mut s, body, wish),
        _ => one(&mut s, body, wish),
    }
    Some(s)
}

/// Everything at once.
fn large(s: &mut Screen, body: Rect) {
    let body = rows(body, 1, body.height);
    let piece = (body.width / 4 - 3).clamp(36, 50);
    let left = columns(body, 0, 60);
    let right = columns(body, body.width - piece, piece);
    let middle = columns(body, 60 + GUTTER, body.width - 60 - piece - 2 * GUTTER);
    let [path, influence] = split(left, left.height - 10);
    (s.path, s.influence) = (Some(path), Some(influence));
    let [gap, below] = split(middle, middle.height * 62 / 100);
    s.gap = Some(gap);
    let half = (below.width - GUTTER) / 2;
    s.anchors = vec![(Side::A, columns(below, 0, half)), (Side::B, columns(below, half + GUTTER, half))];
    let [piece, worst] = split(right, right.height / 2);
    (s.piece, s.worst) = (Some(piece), Some(worst));
}

/// The path over the worst, the gap across the rest, below it one anchor and the piece.
fn middle(s: &mut Screen, body: Rect, wish: Wish) {
    let left = columns(body, 0, 44);
    let right = columns(body, 44 + GUTTER, body.width);
    let worst = if wish.keys == Pane::Worst { left.height / 2 } else { (left.height / 4).max(7) };
    let [path, worst] = split(left, left.height - worst - 1);
    (s.path, s.worst) = (Some(path), Some(worst));
    let [gap, below] = split(right, right.height * 45 / 100);
    s.gap = Some(gap);
    let piece = if wish.keys == Pane::Piece { (below.width * 6 / 10).min(below.width - 30) } else { below.width / 2 };
    let anchor = columns(below, 0, below.width - piece - GUTTER);
    s.piece = Some(columns(below, below.width - piece, piece));
    if anchor.height >= 16 && wish.keys != Pane::Drawing {
        let [above, curve] = split(anchor, anchor.height - 7);
        s.anchors = vec![(wish.side, above)];
        s.influence = Some(curve);
    } else {
        s.anchors = vec![(wish.side, anchor)];
    }
}

/// The path, and beside it the gap over the anchor, the piece, or the worst.
fn small(s: &mut Screen, body: Rect, wish: Wish) {
    let path = if body.width >= 100 { 44 } else { 38 };
    s.path = Some(columns(body, 0, path));
    let right = columns(body, path + GUTTER, body.width);
    match if wish.beside == Pane::Path { Pane::Drawing } else { wish.beside } {
        Pane::Piece => s.piece = Some(right),
        Pane::Worst => s.worst = Some(right),
        _ => {
            let [gap, anchor] = split(right, right.height * 45 / 100);
            (s.gap, s.anchors) = (Some(gap), vec![(wish.side, anchor)]);
        }
    }
}

/// One pane, and the names of all.
fn one(s: &mut Screen, body: Rect, wish: Wish) {
    s.tabs = Some(rows(body, 0, 1));
    let body = rows(body, 1, body.height);
    match wish.keys {
        Pane::Path => s.path = Some(body),
        Pane::Piece => s.piece = Some(body),
        Pane::Worst => s.worst = Some(body),
        Pane::Drawing if body.height >= 14 => {
            let [gap, anchor] = split(body, body.height / 2);
            (s.gap, s.anchors) = (Some(gap), vec![(wish.side, anchor)]);
        }
        Pane::Drawing => s.gap = Some(body),
    }
}

impl Screen {
    /// Gap and anchors as one, where nothing else stands between them; else the gap.
    #[must_use]
    pub fn picture(&self) -> Option<Rect> {
        let gap = self.gap?;
        let whole = self.anchors.iter().fold(gap, |all, a| all.union(a.1));
        let others = [self.path, self.piece, self.worst, self.influence];
        Some(if others.into_iter().flatten().any(|r| r.intersects(whole)) { gap } else { whole })
    }

    /// The panes with their places; the drawing may have several.
    pub fn panes(&self) -> impl Iterator<Item = (Pane, Rect)> + '_ {
        let one = |pane: Pane, r: Option<Rect>| r.map(|r| (pane, r));
        let drawing = self.gap.into_iter().chain(self.anchors.iter().map(|a| a.1)).map(|r| (Pane::Drawing, r));
        let others = [one(Pane::Path, self.path), one(Pane::Piece, self.piece), one(Pane::Worst, self.worst)];
        others.into_iter().flatten().chain(drawing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// At every size and for every pane with the keys: inside, no overlap, nothing squeezed, the keys' pane on screen.
    #[test]
    fn panes_have_room_and_keep_apart() {
        let sizes = (40..260).step_by(5).flat_map(|w| (12..80).step_by(3).map(move |h| (w, h)));
        for (width, height) in sizes.chain([(200, 50), (120, 40), (80, 24), (60, 18)]) {
            let area = Rect::new(0, 0, width, height);
            for keys in Pane::ALL {
                let beside = if keys == Pane::Path { Pane::Drawing } else { keys };
                let lesson = height % 2 == 0 && height >= 18;
                let s = screen(area, Wish { keys, beside, side: Side::A, lesson }).expect("large enough");
                let mut all: Vec<Rect> = s.panes().map(|p| p.1).collect();
                all.extend(s.influence.into_iter().chain(s.tabs).chain(s.message).chain(s.lesson));
                all.extend([s.title, s.headline, s.walker, s.hints]);
                for (i, r) in all.iter().enumerate() {
                    assert_eq!(r.intersection(area), *r, "{width}x{height} {keys:?}");
                    assert!(all[..i].iter().all(|q| !r.intersects(*q)), "{width}x{height} {keys:?}: {r:?}");
                }
                assert!(s.panes().any(|p| p.0 == keys), "{width}x{height}: {keys:?} has no place");
                for (p, r) in s.panes() {
                    assert!(r.width >= 28 && r.height >= 5, "{width}x{height} {keys:?}: {p:?} {r:?}");
                }
            }
        }
    }
}
