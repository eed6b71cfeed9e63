//! The card's drawing: the line to scale, and both anchors from above, numbered as the table.

use super::super::Facts;
use super::super::page::Drawing;
use super::pieces::Piece;
use crate::document::plain;
use crate::plan::{Role, Side};
use crate::units::Quantity;

/// Width of the drawing, the most that line and ground, and an anchor, take of its height, mm.
const WIDE: f64 = 62.0;
const LINE_HIGH: f64 = 25.0;
const ANCHOR_HIGH: f64 = 17.0;
/// Height of the letters, mm.
const LETTERS: f64 = 2.1;

/// Elevation of line and ground to scale, and below it both anchors seen from above.
pub(super) fn sketch(facts: &Facts<'_>, pieces: &[Piece]) -> Drawing {
    let mut d = Drawing::new(WIDE, 0.0);
    let mut top = elevation(&mut d, facts, pieces);
    for side in [Side::A, Side::B] {
        top = from_above(&mut d, facts, pieces, side, top);
    }
    d.size[1] = top;
    d
}

/// A piece's number in the table, before its name.
fn numbered(pieces: &[Piece], name: &str) -> Option<usize> {
    pieces.iter().position(|p| p.names.iter().any(|n| *n == plain(name))).map(|k| k + 1)
}

/// The line from the side; returns where it ends, mm.
fn elevation(d: &mut Drawing, facts: &Facts<'_>, pieces: &[Piece]) -> f64 {
    let (plan, rig) = (&facts.file.plan, &facts.solver.rig);
    let span = plan.site.span.si().max(1.0);
    let ground: Vec<[f64; 2]> = plan.site.ground.iter().map(|(x, z)| [x.si(), z.si()]).collect();
    let standing = facts.solver.standing.case.shape(&facts.solver.standing.solution, 60);
    let walker = facts
        .review
        .cases
        .iter()
        .find(|c| c.case.id == "walker 0.50")
        .map(|c| c.net.shape(&c.solution, 60))
        .unwrap_or_default();
    let heights = ground.iter().map(|g| g[1]).chain(standing.iter().chain(&walker).map(|p| p.z));
    let (low, top) = heights.fold((-3.0_f64, 1.0_f64), |(a, b), z| (a.min(z), b.max(z)));
    let wide = ground.iter().map(|g| g[0]).fold((0.0_f64, span), |(a, b), x| (a.min(x), b.max(x)));
    // One scale for both ways, so that slopes are what they are.
    let scale = ((WIDE - 8.0) / (wide.1 - wide.0)).min(LINE_HIGH / (top - low).max(1.0));
    let x0 = 0.5 * (WIDE - scale * (wide.1 - wide.0));
    let at = |x: f64, z: f64| [x0 + scale * (x - wide.0), 9.0 + scale * (top - z)];
    if ground.len() > 1 {
        d.line(&ground.iter().map(|g| at(g[0], g[1])).collect::<Vec<_>>(), 0.6);
    }
    let path = |p: &[glam::DVec3]| p.iter().map(|p| at(p.x, p.z)).collect::<Vec<_>>();
    d.line(&path(&standing), 0.4);
    if !walker.is_empty() {
        d.dashes(&path(&walker), 0.25);
    }
    let [a, b] = rig.line.ends.map(|p| rig.spots[p].place);
    for (end, word) in [(a, "A"), (b, "B")] {
        let [x, y] = at(end.x, end.z);
        d.dot([x, y], 0.7, true);
        d.words([x, y - 1.6], word, 3.0, 0.5);
    }
    for (mark, from) in facts.review.no_fall_m.iter().zip([a, b]) {
        let x = if from.x < 0.5 * span { from.x + mark } else { from.x - mark };
        let [x, y] = at(x, from.z);
        d.dashes(&[[x, y - 1.2], [x, y + 2.6]], 0.3);
    }
    let along = plan.runs.iter().filter(|(_, r)| matches!(r.role, Role::Main | Role::Backup { .. }));
    let line: Vec<String> =
        along.filter_map(|(name, _)| numbered(pieces, name).map(|n| format!("{n} {}", plain(name)))).collect();
    d.words([0.5 * WIDE, 8.0], &line.join(", "), LETTERS, 0.5);
    d.words([0.0, 2.2], "One scale both ways. Full: standing; broken: walker", LETTERS, 0.0);
    d.words([0.0, 4.6], "in the middle; bars: seated zones needed. Numbers: the table.", LETTERS, 0.0);
    at(0.0, low)[1] + 2.0
}

/// An anchor from above, below what ends at `top`; returns where it ends, mm.
fn from_above(d: &mut Drawing, facts: &Facts<'_>, pieces: &[Piece], side: Side, top: f64) -> f64 {
    let rig = &facts.solver.rig;
    let spots: Vec<usize> = (0..rig.spots.len()).filter(|s| rig.spots[*s].side == side).collect();
    let places: Vec<glam::DVec3> = spots.iter().map(|s| rig.spots[*s].place).collect();
    let Some(first) = places.first() else { return top };
    let (lo, hi) = places.iter().fold((*first, *first), |(l, h), p| (l.min(*p), h.max(*p)));
    let size = (hi - lo).max(glam::DVec3::splat(0.8));
    // The line leaves to the right at A, to the left at B: there the names of its points have their room.
    let towards = if side == Side::A { 1.0 } else { -1.0 };
    let scale = ((WIDE - 24.0) / size.x).min(ANCHOR_HIGH / size.y);
    let (left, head) = (if side == Side::A { 2.0 } else { 22.0 }, top + 8.0);
    let at = |p: glam::DVec3| [left + scale * (p.x - lo.x), head + scale * (hi.y - p.y)];
    let middle = 0.5 * (head + at(lo)[1]);
    // Where words stand: their middle, and their width.
    let mut taken: Vec<[f64; 3]> = Vec::new();
    let wide = |text: &str| 0.5 * LETTERS * text.chars().count() as f64;
    let meets = |taken: &[[f64; 3]], x: f64, y: f64, wide: f64| {
        taken.iter().any(|n| (n[0] - x).abs() < 0.5 * (n[2] + wide) && (n[1] - y).abs() < LETTERS)
    };
    // Names that would run into each other stand below each other.
    let mut name = |d: &mut Drawing, at: [f64; 2], text: &str, from: f64| {
        let ([x, mut y], wide) = (at, wide(text));
        while meets(&taken, x + (0.5 - from) * wide, y, wide) {
            y += LETTERS + 0.1;
        }
        taken.push([x + (0.5 - from) * wide, y, wide]);
        d.words([x, y], text, LETTERS, from);
    };
    for s in &spots {
        let spot = &rig.spots[*s];
        let [x, y] = at(spot.place);
        d.dot([x, y], 0.7, spot.fixed);
        let called = plain(&spot.name);
        let text = numbered(pieces, &spot.name).map_or_else(|| called.clone(), |n| format!("{n} {called}"));
        let ends = |p: &[f64; 2]| towards * p[0];
        let furthest = spots.iter().map(|s| ends(&at(rig.spots[*s].place))).fold(f64::NEG_INFINITY, f64::max);
        if furthest - ends(&[x, y]) < 3.0 {
            name(d, [x + 1.4 * towards, y + 0.7], &text, if side == Side::A { 0.0 } else { 1.0 });
        } else {
            // Legs run together towards the line: above them, or below, a name is clear of its own.
            let y = if y < middle + 0.5 { y - 1.2 } else { y + 2.9 };
            name(d, [x, y], &text, if side == Side::A { 0.0 } else { 1.0 });
        }
    }
    for leg in rig.legs.iter().filter(|l| l.path.iter().all(|p| spots.contains(p))) {
        let way: Vec<[f64; 2]> = leg.path.iter().map(|p| at(rig.spots[*p].place)).collect();
        d.line(&way, 0.3);
        let Some(number) = numbered(pieces, &rig.run_names[leg.run]) else { continue };
        // On the first place along it that nothing stands on yet.
        let number = number.to_string();
        for w in way.windows(2) {
            let places = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2]
                .map(|k| [w[0][0] + k * (w[1][0] - w[0][0]), w[0][1] + k * (w[1][1] - w[0][1]) - 0.4]);
            let at = places.iter().find(|p| !meets(&taken, p[0], p[1], wide(&number))).unwrap_or(&places[0]);
            taken.push([at[0], at[1], wide(&number)]);
            d.words(*at, &number, LETTERS, 0.5);
        }
    }
    d.words([0.0, top + 2.6], &format!("{side:?} from above, 1 m = {scale:.0} mm"), LETTERS + 0.2, 0.0);
    taken.iter().map(|n| n[1]).fold(at(lo)[1], f64::max) + 2.0
}
