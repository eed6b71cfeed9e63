//! The card's drawings: both anchors from above with their names, and the line to scale.

use super::super::Facts;
use super::super::page::Drawing;
use super::pieces::Piece;
use crate::document::plain;
use crate::plan::{Role, Side};
use crate::review::Situation;
use crate::units::{Quantity, System};

/// Width of the elevation, and the most that line and ground take of its height, mm.
const WIDE: f64 = 62.0;
const LINE_HIGH: f64 = 25.0;
/// Height of its letters, mm.
const LETTERS: f64 = 2.1;
/// Width of an anchor's drawing, and the most that names take of it, mm.
const ANCHOR_WIDE: f64 = 92.0;
const NAMES: f64 = 58.0;
/// Height of its letters, mm: 11 pt.
const LARGE_LETTERS: f64 = 3.9;
/// Room beyond the anchor at the gap's side, for the name of what hangs there, mm.
const GAP_SIDE: f64 = 16.0;
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
    let walker =
        facts.review.at_rest(&Situation::walker(0.5)).map(|c| c.net.shape(&c.solution, 60)).unwrap_or_default();
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

/// An anchor from above, itself at most so high, mm: each of its points with the legs that end there, beside the dot.
pub(super) fn anchor(facts: &Facts<'_>, side: Side, high: f64) -> Drawing {
    let rig = &facts.solver.rig;
    let mut d = Drawing::new(ANCHOR_WIDE, 0.0);
    let mut spots: Vec<usize> = (0..rig.spots.len()).filter(|s| rig.spots[*s].side == side).collect();
    let place = |s: usize| rig.spots[s].place;
    let corner = |of: fn(glam::DVec3, glam::DVec3) -> glam::DVec3| spots.iter().map(|s| place(*s)).reduce(of);
    let (Some(lo), Some(hi)) = (corner(glam::DVec3::min), corner(glam::DVec3::max)) else { return d };
    let size = (hi - lo).max(glam::DVec3::splat(0.8));
    let legs: Vec<&crate::rig::Leg> = rig.legs.iter().filter(|l| l.path.iter().all(|p| spots.contains(p))).collect();
    // The side is said once, above all of them.
    let short = |name: &str| plain(name.strip_prefix(&format!("{side:?} ")).unwrap_or(name));
    let named = |s: usize| {
        let spot = &rig.spots[s];
        // What is led over a head is named where it is held.
        let holds = spot.fixed && !rig.frames.iter().any(|f| f.point == s);
        let ending = legs.iter().filter(|l| holds && l.path.contains(&s)).map(|l| short(&rig.run_names[l.run]));
        std::iter::once(short(&spot.name)).chain(ending).collect::<Vec<_>>().join(" · ")
    };
    let names = spots.iter().map(|s| wide(&named(*s))).fold(0.0, f64::max).min(NAMES) + 4.0;
    let scale = ((ANCHOR_WIDE - names - GAP_SIDE).max(14.0) / size.x).min(high / size.y);
    // The line leaves to the right at A, to the left at B: names of what holds stand on the other side.
    let (away, left) = if side == Side::A { (-1.0, names) } else { (1.0, GAP_SIDE - 6.0) };
    let at = |s: usize| [left + scale * (place(s).x - lo.x), 15.0 + scale * (hi.y - place(s).y)];
    let drawn = match facts.system {
        System::Si => format!("1 m = {scale:.0} mm"),
        System::Us => format!("1 in = {:.1} ft", 25.4 / (0.3048 * scale)),
    };
    d.words([0.0, 3.6], &format!("{side:?} from above, {drawn}"), LARGE_LETTERS, 0.0);
    let ways: Vec<Vec<[f64; 2]>> = legs.iter().map(|leg| leg.path.iter().map(|p| at(*p)).collect()).collect();
    for way in &ways {
        d.line(way, 0.5);
    }
    for f in rig.frames.iter().filter(|f| spots.contains(&f.point)) {
        for s in &f.struts {
            let foot = [left + scale * (s.foot.x - lo.x), 15.0 + scale * (hi.y - s.foot.y)];
            d.line(&[at(f.point), foot], 1.0);
        }
    }
    let dots = spots.iter().map(|s| at(*s)).map(|[x, y]| [x - 1.2, y - 1.2, x + 1.2, y + 1.2]).collect();
    let mut room = Room { ways, dots, names: Vec::new() };
    // The outermost first: those nearer to the gap have room around them.
    spots.sort_by(|a, b| (away * place(*b).x).total_cmp(&(away * place(*a).x)));
    let mut left_over = Vec::new();
    for &s in &spots {
        let from = at(s);
        d.dot(from, 1.1, rig.spots[s].fixed);
        let text = named(s);
        let Some(name) = room.beside(from, wide(&text), away) else {
            left_over.push(text);
            continue;
        };
        if name.far > LEADER {
            d.line(&[from, name.edge], 0.15);
        }
        let which = if name.edge[0] == name.area[0] { 0.0 } else { 1.0 };
        d.words([name.edge[0], name.edge[1] + 0.35 * LARGE_LETTERS], &text, LARGE_LETTERS, which);
        room.names.push(name.area);
    }
    let mut bottom = room.dots.iter().chain(&room.names).map(|area| area[3]).fold(0.0, f64::max);
    // Never over something else: what has no room is told below.
    for text in left_over {
        bottom += LARGE_LETTERS + 0.6;
        d.words([0.0, bottom], &format!("{text}: no room above"), LARGE_LETTERS, 0.0);
    }
    d.size[1] = bottom + 4.0;
    d
}

/// Width of a name, mm.
fn wide(text: &str) -> f64 {
    0.5 * LARGE_LETTERS * text.chars().count() as f64
}

/// What a name must not stand on: legs, dots and names that are there already, areas as left, top, right and bottom, mm.
struct Room {
    ways: Vec<Vec<[f64; 2]>>,
    dots: Vec<[f64; 4]>,
    names: Vec<[f64; 4]>,
}

/// A place for a name: the end that is nearest to its point, its area, and how far it is, mm.
struct Name {
    edge: [f64; 2],
    area: [f64; 4],
    far: f64,
}

impl Room {
    /// The nearest place to a point for a name so `wide`, on its outer side if there is one; nothing when all are taken.
    fn beside(&self, from: [f64; 2], wide: f64, away: f64) -> Option<Name> {
        let sides = [(away, 0.0), (-away, 6.0)];
        let asides = [2.0, 4.0, 6.0, 9.0, 14.0, 20.0, 27.0, 34.0];
        let places = sides.into_iter().flat_map(|side| asides.map(|aside| (side, aside)));
        let places = places.flat_map(|place| (-29..30).map(move |row| (place, f64::from(row))));
        places
            .map(|(((way, more), aside), row)| {
                let edge = [from[0] + way * aside, from[1] + row * 0.5 * LARGE_LETTERS];
                let (left, right) = if way < 0.0 { (edge[0] - wide, edge[0]) } else { (edge[0], edge[0] + wide) };
                let area = [left, edge[1] - 0.6 * LARGE_LETTERS, right, edge[1] + 0.5 * LARGE_LETTERS];
                Name { edge, area, far: (edge[1] - from[1]).abs() + 0.5 * aside + more }
            })
            .filter(|name| self.is_free(name, from))
            .min_by(|a, b| a.far.total_cmp(&b.far))
    }

    fn is_free(&self, name: &Name, from: [f64; 2]) -> bool {
        let area = &name.area;
        if area[0] < 0.0 || area[2] > ANCHOR_WIDE || area[1] < 5.0 {
            return false;
        }
        let mut edges = self.ways.iter().flat_map(|way| way.windows(2));
        let stands_on_something = self.dots.iter().chain(&self.names).any(|taken| meet(taken, area))
            || edges.any(|e| crosses(area, e[0], e[1]));
        let led_through = name.far > LEADER && self.names.iter().any(|taken| crosses(taken, from, name.edge));
        !stands_on_something && !led_through
    }
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
