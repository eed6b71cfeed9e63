//! Where things were drawn, for the mouse.

use glam::DVec2;
use ratatui::layout::{Position, Rect};

use crate::app::Pane;
use crate::plan::Side;

/// Where things were drawn.
#[derive(Debug, Clone, Default)]
pub struct Hits {
    pub(super) panes: Vec<(Pane, Rect)>,
    /// The walker's track.
    pub track: Rect,
    /// For each pane: where its lines are, and for each of its rows the number of the line that it shows.
    pub(super) lines: Vec<(Pane, Rect, Vec<Option<usize>>)>,
    /// The anchors from above.
    pub(super) above: Vec<FromAbove>,
    /// The list in front: its lines' place on screen, and the number of the first one shown.
    pub(super) list: Option<(Rect, usize)>,
}

/// The anchors of one side from above: screen cells to metres and back.
#[derive(Debug, Clone)]
pub struct FromAbove {
    /// Whose anchors.
    pub side: Side,
    /// Where it is drawn.
    pub plot: Rect,
    /// Middle of the drawing, m, and metres to a column; a row is as high as two columns.
    pub frame: (DVec2, f64),
    /// Points and where they are, m.
    pub points: Vec<(String, DVec2)>,
}

impl FromAbove {
    /// Metres from one cell to the next.
    fn cell(&self) -> DVec2 {
        DVec2::new(self.frame.1, -2.0 * self.frame.1)
    }

    /// Middle of the drawing, in cells of the screen.
    fn middle(&self) -> DVec2 {
        let half = |from: u16, n: u16| f64::from(from) + 0.5 * f64::from(n);
        DVec2::new(half(self.plot.x, self.plot.width), half(self.plot.y, self.plot.height))
    }

    /// The place under the middle of a cell, m.
    #[must_use]
    pub fn metres(&self, at: Position) -> DVec2 {
        let at = DVec2::new(f64::from(at.x), f64::from(at.y)) + DVec2::splat(0.5);
        self.frame.0 + (at - self.middle()) * self.cell()
    }

    /// The cell that a place is in.
    #[must_use]
    pub fn position(&self, m: DVec2) -> Position {
        let at = ((m - self.frame.0) / self.cell() + self.middle()).max(DVec2::ZERO);
        Position::new(at.x as u16, at.y as u16)
    }

    /// The point at a cell, or right beside it.
    fn point(&self, at: Position) -> Option<&str> {
        let far = |m: DVec2| {
            let p = self.position(m);
            (p.x.abs_diff(at.x), p.y.abs_diff(at.y))
        };
        let near = self.points.iter().map(|(n, m)| (far(*m), n)).filter(|((x, y), _)| *x <= 1 && *y <= 1);
        near.min_by_key(|((x, y), _)| x + 2 * y).map(|(_, n)| n.as_str())
    }
}

impl Hits {
    /// The pane at a place.
    #[must_use]
    pub fn pane(&self, at: Position) -> Option<Pane> {
        self.panes.iter().find(|(_, r)| r.contains(at)).map(|(p, _)| *p)
    }

    /// The number of the line at a place in a pane's list.
    #[must_use]
    pub fn line_of(&self, pane: Pane, at: Position) -> Option<usize> {
        let (_, area, rows) = self.lines.iter().find(|(p, r, _)| *p == pane && r.contains(at))?;
        rows.get(usize::from(at.y - area.y)).copied().flatten()
    }

    /// The number of the line at a place in the list in front.
    #[must_use]
    pub fn list_line(&self, at: Position) -> Option<usize> {
        let (area, first) = self.list.filter(|(r, _)| r.contains(at))?;
        Some(first + usize::from(at.y - area.y))
    }

    /// The drawing of this side's anchors.
    #[must_use]
    pub fn above(&self, side: Side) -> Option<&FromAbove> {
        self.above.iter().find(|a| a.side == side)
    }

    /// The anchor's point at a place, with the drawing it is in.
    #[must_use]
    pub fn point_at(&self, at: Position) -> Option<(&FromAbove, &str)> {
        self.above.iter().filter(|a| a.plot.contains(at)).find_map(|a| Some((a, a.point(at)?)))
    }
}
