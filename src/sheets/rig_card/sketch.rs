//! The card's drawings: both anchors from above with their names, and the line to scale.

use super::super::Facts;
use super::super::page::Drawing;
use super::pieces::Piece;
use crate::document::plain;
use crate::plan::{Role, Side};
use crate::units::Quantity;

/// Width of the elevation, and the most that line and ground take of its height, mm.
const WIDE: f64 = 62.0;
const LINE_HIGH: f64 = 25.0;
/// Height of its letters, mm.
const LETTERS: f64 = 2.1;
/// Width of an anchor's drawing, the most that names take of it, and the most that the anchor takes of its height, mm.
const ANCHOR_WIDE: f64 = 92.0;
const NAMES: f64 = 58.0;
const ANCHOR_HIGH: f64 = 24.0;
/// Height of its letters, mm: 9 pt.
const LARGE_LETTERS: f64 = 3.2;
/// A name further from its point than this has a leader to it, mm.
const LEADER: f64 = 3.5;

/// A piece's number in the table, before its name.
fn numbered(pieces: &[Piece], name: &str) -> Option<usize> {
    pieces.iter().position(|p| p.names.iter().any(|n| *n == plain(name))).map(|k| k + 1)
}

/// Line and ground from the side, to scale.
pub(super) fn elevation(facts: &Facts<'_>, pieces: &[Piece]) -> Drawing {
    let mut d = Drawing::new(WIDE, 0.0);
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
    d.size[1] = at(0.0, low)[1] + 2.0;
    d
}

/// An anchor from above, large: each of its points with the legs that end there, beside the dot.
pub(super) fn anchor(facts: &Facts<'_>, side: Side) -> Drawing {
    let rig = &facts.solver.rig;
    let spots: Vec<usize> = (0..rig.spots.len()).filter(|s| rig.spots[*s].side == side).collect();
    let places: Vec<glam::DVec3> = spots.iter().map(|s| rig.spots[*s].place).collect();
    let legs: Vec<&crate::rig::Leg> = rig.legs.iter().filter(|l| l.path.iter().all(|p| spots.contains(p))).collect();
    let (lo, hi) = places.iter().fold((places[0], places[0]), |(l, h), p| (l.min(*p), h.max(*p)));
    let size = (hi - lo).max(glam::DVec3::splat(0.8));
    let named = |s: usize| {
        let spot = &rig.spots[s];
        let ending = legs.iter().filter(|l| spot.fixed && l.path.contains(&s)).map(|l| plain(&rig.run_names[l.run]));
        std::iter::once(plain(&spot.name)).chain(ending).collect::<Vec<_>>().join(" · ")
    };
    let wide = |text: &str| 0.5 * LARGE_LETTERS * text.chars().count() as f64;
    let names = spots.iter().map(|s| wide(&named(*s))).fold(0.0, f64::max).min(NAMES) + 4.0;
    let scale = ((ANCHOR_WIDE - names - 12.0) / size.x).min(ANCHOR_HIGH / size.y);
    // The line leaves to the right at A, to the left at B: names of what holds stand on the other side.
    let away = if side == Side::A { -1.0 } else { 1.0 };
    let left = if side == Side::A { names } else { 6.0 };
    let at = |p: glam::DVec3| [left + scale * (p.x - lo.x), 15.0 + scale * (hi.y - p.y)];
    let mut d = Drawing::new(ANCHOR_WIDE, 0.0);
    let title = format!("{side:?} from above, 1 m = {scale:.0} mm");
    d.words([0.0, 3.6], &title, LARGE_LETTERS, 0.0);
    let ways: Vec<Vec<[f64; 2]>> =
        legs.iter().map(|leg| leg.path.iter().map(|p| at(rig.spots[*p].place)).collect()).collect();
    for way in &ways {
        d.line(way, 0.5);
    }
    let mut bottom = at(lo)[1];
    let mut taken: Vec<[f64; 4]> = vec![[0.0, 0.0, 60.0, 4.5]];
    for s in &spots {
        let [x, y] = at(rig.spots[*s].place);
        taken.push([x - 1.2, y - 1.2, x + 1.2, y + 1.2]);
    }
    // The outermost first: those nearer to the gap have room around them.
    let mut order = spots.clone();
    order.sort_by(|a, b| (away * rig.spots[*b].place.x).total_cmp(&(away * rig.spots[*a].place.x)));
    for s in &order {
        let spot = &rig.spots[*s];
        let [x, y] = at(spot.place);
        d.dot([x, y], 1.1, spot.fixed);
        let text = named(*s);
        let wide = wide(&text);
        // Beside its point, or as near to it as no leg, no point and no other name is in the way.
        let mut best: Option<(f64, [f64; 2], [f64; 4])> = None;
        for outward in [1.0, -1.0] {
            for row in 0..30 {
                for up in [-1.0, 1.0] {
                    for aside in [2.0, 5.0, 9.0, 14.0, 20.0, 27.0] {
                        let edge = x + away * outward * aside;
                        let middle = y + up * f64::from(row) * 0.5 * LARGE_LETTERS;
                        let (from, to) = if away * outward < 0.0 { (edge - wide, edge) } else { (edge, edge + wide) };
                        let area = [from, middle - 0.6 * LARGE_LETTERS, to, middle + 0.5 * LARGE_LETTERS];
                        let far = (middle - y).abs() + 0.5 * aside + if outward < 0.0 { 6.0 } else { 0.0 };
                        let off = area[0] < 0.0 || area[2] > ANCHOR_WIDE || area[1] < 5.0;
                        let leader = [[x, y], [edge, middle]];
                        let met = taken.iter().any(|t| meet(t, &area))
                            || ways.iter().any(|w| w.windows(2).any(|e| crosses(&area, e[0], e[1])))
                            || far > LEADER
                                && taken.iter().skip(1 + spots.len()).any(|t| crosses(t, leader[0], leader[1]));
                        if !off && !met && best.as_ref().is_none_or(|b| far < b.0) {
                            best = Some((far, [edge, middle], area));
                        }
                    }
                }
            }
        }
        let Some((far, [edge, middle], area)) = best else {
            // Never over something else: what has no room is told below.
            bottom += LARGE_LETTERS + 0.6;
            d.words([0.0, bottom + 3.0], &format!("{text}: no room above"), LARGE_LETTERS, 0.0);
            continue;
        };
        if far > LEADER {
            d.line(&[[x, y], [edge, middle]], 0.15);
        }
        taken.push(area);
        bottom = bottom.max(area[3]);
        let from = if edge == area[0] { 0.0 } else { 1.0 };
        d.words([edge, middle + 0.35 * LARGE_LETTERS], &text, LARGE_LETTERS, from);
    }
    d.size[1] = bottom + 4.0;
    d
}

/// Whether two areas (left, top, right, bottom) meet.
fn meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Whether a straight way runs through an area.
fn crosses(area: &[f64; 4], from: [f64; 2], to: [f64; 2]) -> bool {
    (0..=40).any(|k| {
        let s = f64::from(k) / 40.0;
        let [x, y] = [from[0] + s * (to[0] - from[0]), from[1] + s * (to[1] - from[1])];
        area[0] < x && x < area[2] && area[1] < y && y < area[3]
    })
}
