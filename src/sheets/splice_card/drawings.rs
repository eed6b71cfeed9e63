//! What a piece looks like before, during and after: lettered as its table of marks, figures left to the table.

use std::f64::consts::PI;

use super::full_size;
use crate::bench::{Design, EyeMade, From, Gear};
use crate::sheets::page::{Drawing, Stroke};
use crate::units::{System, at_bench};

/// Width of a drawing, mm, and room at either end of it.
pub(super) const WIDE: f64 = 150.0;
pub(super) const EDGE: f64 = 4.0;
/// Height of letters, mm.
const LETTER: f64 = 2.9;
/// Letters nearer than this would run into each other, mm.
const NEAR: f64 = 4.5;

/// What there is room for on a card, beside the rope before and after.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Room {
    /// The work itself, and what its eyes go over as large as it is.
    All,
    /// The work itself.
    Work,
    /// Neither.
    Least,
}

/// The drawings of a design, in order.
pub(super) fn of(d: &Design, room: Room, system: System) -> Vec<Drawing> {
    let full = room == Room::All;
    let during = |out: &mut Vec<Drawing>| out.extend((room != Room::Least).then(|| during(d, full, system)));
    let mut out = vec![before(d, system)];
    match (d.gear, d.eyes.first()) {
        (Gear::SoftShackle { .. }, _) => out.push(closed_shackle(d, system)),
        (Gear::Loop { .. }, _) => out.push(closed_loop(d, system)),
        (Gear::Adjustable { .. }, Some(eye)) => {
            during(&mut out);
            out.extend([after(d, eye, system), slide(d, system)]);
        }
        (_, Some(eye)) => {
            during(&mut out);
            out.push(after(d, eye, system));
        }
        (_, None) => {}
    }
    if full && d.eyes.is_empty() {
        out.push(alone(d, system));
    }
    out
}

/// How long a piece of rope is drawn: so many millimetres to a metre on paper, said in words.
pub(super) fn scale(out: &mut Drawing, name: &str, metres: f64, system: System) -> f64 {
    let scale = (WIDE - 2.0 * EDGE) / metres.max(1e-3);
    out.words(
        [EDGE, LETTER],
        &format!("{name}, to scale: {} of rope across", at_bench(metres, system, false)),
        LETTER,
        0.0,
    );
    scale
}

/// The first end on bare rope, with every mark.
fn before(d: &Design, system: System) -> Drawing {
    let whole = matches!(d.gear, Gear::SoftShackle { .. });
    let last = d.marks.iter().filter(|m| m.from == From::End1).map(|m| m.at_m).fold(0.0, f64::max);
    let shown = if whole { d.cut_m } else { last + 10.0 * d.rope.d_m };
    let mut out = Drawing::new(WIDE, 19.0);
    let k = scale(&mut out, "BEFORE", shown, system);
    let (x, y) = (|m: f64| EDGE + k * m, 12.5);
    let at = |letter: &str| d.marks.iter().find(|m| m.letter == letter && m.from == From::End1).map(|m| m.at_m);
    out.line(&[[x(0.0), y - 1.2], [x(shown), y - 1.2]], 0.3);
    out.line(&[[x(0.0), y + 1.2], [x(shown), y + 1.2]], 0.3);
    // Taper: a wedge; the eye: one way; the host that will be filled: both ways.
    if let Some(b) = at("B1") {
        out.dashes(&[[x(0.0), y], [x(b), y - 1.2]], 0.2);
        out.dashes(&[[x(0.0), y], [x(b), y + 1.2]], 0.2);
    }
    let mut hatch = |from: f64, to: f64, both: bool| {
        let mut m = x(from);
        while m + 1.6 <= x(to) {
            out.line(&[[m, y + 1.2], [m + 1.6, y - 1.2]], 0.15);
            if both {
                out.line(&[[m, y - 1.2], [m + 1.6, y + 1.2]], 0.15);
            }
            m += 2.4;
        }
    };
    if let (Some(c), Some(e)) = (at("C"), at("E")) {
        hatch(c, e, false);
        if let Some(g) = at("G") {
            hatch(e, g, true);
        }
    } else if let (Some(c), Some(g)) = (at("C"), at("G")) {
        hatch(c, g, true);
    } else if let (Some(a), Some(b)) = (at("K"), at("N")) {
        hatch(a, b, true);
        hatch(d.cut_m - b, d.cut_m - a, true);
    }
    let mut marks: Vec<(String, f64)> =
        d.marks.iter().filter(|m| m.from == From::End1).map(|m| (m.letter.clone(), x(m.at_m))).collect();
    if whole {
        marks.extend(d.marks.iter().filter(|m| m.from == From::End2).map(|m| (m.letter.clone(), x(d.cut_m - m.at_m))));
    }
    letters(&mut out, &mut marks, y);
    out
}

/// Ticks with their letters over a rope at height `y`; letters that would meet stand in a second row.
pub(super) fn letters(out: &mut Drawing, marks: &mut [(String, f64)], y: f64) {
    marks.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut filled = [f64::NEG_INFINITY; 2];
    for (letter, at) in marks.iter() {
        let up = filled[0] + NEAR <= *at;
        filled[usize::from(!up)] = *at;
        let (from, to, base) = if up { (y - 1.2, y - 3.0, y - 3.4) } else { (y + 1.2, y + 3.0, y + 5.8) };
        out.line(&[[*at, from], [*at, to]], 0.25);
        out.words([*at, base], letter, LETTER, 0.5);
    }
}

/// What it goes over, as large as it is.
fn alone(d: &Design, system: System) -> Drawing {
    let mut out = Drawing::new(WIDE, 0.0);
    out.size[1] = full_size::draw(&mut out, [EDGE, 0.0], d, system);
    out
}

/// The tail on its way into the host, not to scale; beside it what the eyes go over, as large as it is.
fn during(d: &Design, full: bool, system: System) -> Drawing {
    let mut out = Drawing::new(WIDE, 22.5);
    on_its_way(&mut out);
    if !full {
        return out;
    }
    // Half as wide as it is drawn.
    for s in &mut out.strokes {
        match s {
            Stroke::Line { points, .. } => points.iter_mut().for_each(|p| p[0] *= 0.45),
            Stroke::Dot { at, .. } | Stroke::Words { at, .. } => at[0] *= 0.45,
        }
    }
    let high = full_size::draw(&mut out, [0.45 * WIDE + 2.0, 0.0], d, system);
    out.size[1] = high.max(22.5);
    out
}

fn on_its_way(out: &mut Drawing) {
    out.words([EDGE, LETTER], "DURING, not to scale", LETTER, 0.0);
    let (pin, y) = ([16.0, 12.5], 12.5);
    out.dot(pin, 3.0, false);
    let ring: Vec<[f64; 2]> = (0..=24)
        .map(|n| {
            let a = PI * (0.5 + f64::from(n) / 24.0);
            [pin[0] + 5.0 * a.cos(), pin[1] - 5.0 * a.sin()]
        })
        .collect();
    let mut path = vec![[44.0, y + 0.6], [34.0, y - 0.6]];
    path.extend(ring.iter().map(|p| [p[0], p[1]]));
    path.push([34.0, y + 0.6]);
    out.line(&path, 0.6);
    out.words([pin[0] - 6.0, y + 1.0], "D", LETTER, 1.0);
    out.words([34.0, y - 2.5], "C = E", LETTER, 0.5);
    // The host, bunched over the fid that leads the tail.
    out.line(&[[34.0, y - 1.8], [92.0, y - 1.8]], 0.3);
    out.line(&[[34.0, y + 1.8], [92.0, y + 1.8]], 0.3);
    let mut x = 36.0;
    while x < 91.0 {
        out.line(&[[x, y + 1.8], [x + 1.5, y - 1.8]], 0.15);
        out.line(&[[x, y - 1.8], [x + 1.5, y + 1.8]], 0.15);
        x += 2.0;
    }
    out.words([76.0, y - 3.2], "host, bunched", LETTER, 0.5);
    out.line(&[[92.0, y - 0.8], [146.0, y - 0.8]], 0.6);
    out.words([122.0, y - 2.4], "standing part", LETTER, 0.5);
    out.line(&[[92.0, y + 1.0], [100.0, y + 5.0], [146.0, y + 7.0]], 0.4);
    out.words([96.0, y + 1.6], "H", LETTER, 0.0);
    out.words([112.0, y + 9.4], "fid, tip of the tail", LETTER, 0.5);
}

/// An adjustable sling at its longest and at its shortest: eye, bury, gap, slide between X and N, the loop, the tail.
fn slide(d: &Design, system: System) -> Drawing {
    let Gear::Adjustable { longest_m, far_pin_m, .. } = d.gear else { return Drawing::default() };
    let mut out = Drawing::new(WIDE, 36.0);
    let rope = d.rope.d_m;
    let k = scale(&mut out, "LONGEST AND SHORTEST", longest_m + far_pin_m, system);
    let at = |letter: &str| d.marks.iter().find(|m| m.letter == letter && m.from == From::Throat).map(|m| m.at_m);
    let (Some(eye), Some(exit)) = (d.eyes.first(), at("X")) else { return out };
    let slide_m = d.buries_m.get(1).copied().unwrap_or(0.0);
    for (reach, y) in [(longest_m, 12.0), (d.least_m, 27.0)] {
        let x = |m: f64| EDGE + k * (eye.throat.reach_m + m);
        let pin = (0.5 * k * eye.pin_m).max(0.6);
        out.dot([EDGE + pin, y], pin, false);
        out.line(&[[x(0.0), y], [EDGE + pin, y - 1.4 * pin], [EDGE, y], [EDGE + pin, y + 1.4 * pin], [x(0.0), y]], 0.5);
        // The first bury, the gap, the slide; the loop to the far pin, the tail out at X.
        out.line(&[[x(0.0), y], [x(exit + slide_m), y]], 0.5);
        for (from, to) in [(0.0, d.buries_m[0]), (exit, exit + slide_m)] {
            out.line(&[[x(from), y - 0.9], [x(to), y - 0.9]], 0.25);
            out.line(&[[x(from), y + 0.9], [x(to), y + 0.9]], 0.25);
        }
        let far = EDGE + k * reach;
        let r = (0.5 * k * (far_pin_m + rope)).max(1.0);
        out.dot([far - r, y], (0.5 * k * far_pin_m).max(0.6), false);
        out.line(&[[x(exit + slide_m), y], [far - r, y - r], [far, y], [far - r, y + r], [x(exit + slide_m), y]], 0.5);
        let tail = 2.0 * (longest_m - reach);
        let hangs = (k * tail).min(x(exit) - EDGE - 6.0).max(0.0);
        out.line(&[[x(exit), y + 0.9], [x(exit) - 2.0, y + 4.0], [x(exit) - 4.0 - hangs, y + 5.0]], 0.4);
        let mut marks =
            vec![("C=E".to_owned(), x(0.0)), ("X".to_owned(), x(exit)), ("N".to_owned(), x(exit + slide_m))];
        letters(&mut out, &mut marks, y - 0.6);
        out.words([WIDE - EDGE, y + 7.5], &at_bench(reach, system, false), LETTER, 1.0);
    }
    out
}

/// The finished eye and bury.
fn after(d: &Design, eye: &EyeMade, system: System) -> Drawing {
    let (rope, bury) = (d.rope.d_m, d.buries_m[0]);
    let shown = eye.throat.reach_m + bury + 12.0 * rope;
    let mut out = Drawing::new(WIDE, 20.0);
    let k = scale(&mut out, "AFTER", shown, system);
    let half = eye.throat.half_rad;
    let (r, reach) = (0.5 * k * (eye.pin_m + rope), k * eye.throat.reach_m);
    let y = 13.0;
    let bearing = EDGE;
    let pin = [bearing + 0.5 * k * eye.pin_m, y];
    let throat = bearing + reach;
    out.dot(pin, (0.5 * k * eye.pin_m).max(0.4), false);
    let mut path = vec![[throat, y]];
    path.extend((0..=32).map(|n| {
        let a = PI / 2.0 - half + (PI + 2.0 * half) * f64::from(n) / 32.0;
        [pin[0] + r * a.cos(), y - r * a.sin()]
    }));
    path.push([throat, y]);
    out.line(&path, (k * rope).clamp(0.3, 1.2));
    let x = |m: f64| throat + k * m;
    let thick = (0.7 * k * rope).clamp(0.5, 1.6);
    let taper = d.marks.iter().find(|m| m.letter == "B1").map_or(bury, |m| m.at_m);
    out.line(
        &[
            [x(0.0), y - thick],
            [x(bury - taper), y - thick],
            [x(bury), y - 0.7 * thick],
            [WIDE - EDGE, y - 0.7 * thick],
        ],
        0.3,
    );
    out.line(
        &[
            [x(0.0), y + thick],
            [x(bury - taper), y + thick],
            [x(bury), y + 0.7 * thick],
            [WIDE - EDGE, y + 0.7 * thick],
        ],
        0.3,
    );
    // The core inside, narrowing to its tip.
    out.dashes(&[[x(0.0), y - 0.4 * thick], [x(bury - taper), y - 0.4 * thick], [x(bury), y]], 0.25);
    out.dashes(&[[x(0.0), y + 0.4 * thick], [x(bury - taper), y + 0.4 * thick], [x(bury), y]], 0.25);
    let mut stitch = 6.0;
    while stitch <= 12.0 {
        out.line(&[[x(stitch * rope), y - thick], [x(stitch * rope), y + thick]], 0.25);
        stitch += 1.2;
    }
    let mut marks = vec![
        ("C=E".to_owned(), throat),
        ("F".to_owned(), x(6.0 * rope)),
        ("B1".to_owned(), x(bury - taper)),
        ("G".to_owned(), x(bury)),
    ];
    letters(&mut out, &mut marks, y);
    out.words(
        [0.5 * WIDE, LETTER],
        &format!("throat {:.0}°, full core {} across", eye.throat.degrees(), at_bench(1.4 * rope, system, false)),
        LETTER,
        0.0,
    );
    out
}

/// A loop on its pins: meeting point at mid-leg, a core either way from it.
fn closed_loop(d: &Design, system: System) -> Drawing {
    let Gear::Loop { length_m, pins_m, .. } = d.gear else { return Drawing::default() };
    let mut out = Drawing::new(WIDE, 30.0);
    let k = scale(&mut out, "AFTER", length_m + pins_m[0].max(pins_m[1]), system);
    let y = 18.0;
    let r = pins_m.map(|p| (0.5 * k * (p + d.rope.d_m)).clamp(1.0, 10.0));
    let at = [EDGE + r[0], EDGE + k * length_m - r[1]];
    let mut path = Vec::new();
    for (x, r, from) in [(at[0], r[0], PI / 2.0), (at[1], r[1], -PI / 2.0)] {
        path.extend((0..=16).map(|n| {
            let a = from + PI * f64::from(n) / 16.0;
            [x + r * a.cos(), y - r * a.sin()]
        }));
        out.dot([x, y], 0.8 * r, false);
    }
    path.push(path[0]);
    out.line(&path, 0.6);
    let middle = 0.5 * (at[0] + at[1]);
    let up = y - 0.5 * (r[0] + r[1]);
    let bury = (k * d.buries_m[0]).min(middle - at[0] + 2.0);
    for way in [-1.0, 1.0] {
        out.dashes(&[[middle, up + 0.8], [middle + way * bury, up + 0.8]], 0.3);
        for n in 0..5 {
            let x = middle + way * k * d.rope.d_m * (6.0 + 1.5 * f64::from(n));
            out.line(&[[x, up - 0.8], [x, up + 0.8]], 0.25);
        }
    }
    out.line(&[[middle, up - 2.0], [middle, up + 2.0]], 0.4);
    out.words([middle, up - 2.6], "C = C′", LETTER, 0.5);
    out.words([middle, y + r[0].max(r[1]) + 5.0], "the join at mid-leg, never on a pin", LETTER, 0.5);
    out
}

/// A soft shackle: open with its noose, and closed on two pins.
fn closed_shackle(d: &Design, system: System) -> Drawing {
    let Gear::SoftShackle { length_m, pin_m, .. } = d.gear else { return Drawing::default() };
    let mut out = Drawing::new(WIDE, 42.0);
    let open = d.on_the_table.first().map(|t| t.1).unwrap_or_default();
    let k = scale(&mut out, "AFTER, open and closed", open + 10.0 * d.rope.d_m, system);
    let (y, rope) = (13.0, d.rope.d_m);
    // Open: the noose at the left, leg 2 through leg 1 at W, the knot at the right.
    let (m, w, n) = (EDGE, EDGE + k * 6.0 * rope, EDGE + k * open);
    out.line(&[[w, y], [0.5 * (m + w), y - 2.6], [m, y], [0.5 * (m + w), y + 2.6], [w, y]], 0.5);
    out.line(&[[w, y - 0.5], [n, y - 0.5]], 0.5);
    out.line(&[[w, y + 0.5], [n, y + 0.5]], 0.5);
    out.line(&[[w, y - 2.0], [w, y + 2.0]], 0.3);
    let knot = (k * 3.0 * rope).clamp(2.0, 5.0);
    out.dot([n + 0.5 * knot, y], 0.5 * knot, true);
    let mut marks = vec![("M".to_owned(), m), ("W".to_owned(), w), ("N".to_owned(), n)];
    letters(&mut out, &mut marks, y - 1.6);
    out.words([0.5 * (w + n), y + 4.5], &format!("open: {}", at_bench(open, system, false)), LETTER, 0.5);
    // Closed on its pins, at the same scale.
    let (y, r) = (31.0, (0.5 * k * (pin_m + rope)).max(1.0));
    let at = [EDGE + r, EDGE + (k * length_m - r).max(2.0 * r)];
    let mut path = Vec::new();
    for (x, from) in [(at[0], PI / 2.0), (at[1], -PI / 2.0)] {
        path.extend((0..=16).map(|n| {
            let a = from + PI * f64::from(n) / 16.0;
            [x + r * a.cos(), y - r * a.sin()]
        }));
        out.dot([x, y], (0.5 * k * pin_m).max(0.6), false);
    }
    path.push(path[0]);
    out.line(&path, 0.8);
    let knot_at = 0.5 * (at[0] + at[1]);
    out.line(&[[knot_at - 0.6 * knot, y - r - 1.2], [knot_at - 0.6 * knot, y - r + 1.2]], 0.9);
    out.dot([knot_at, y - r], 0.45 * knot, true);
    out.words(
        [at[1] + r + 4.0, y + 1.0],
        &format!(
            "closed: {} on pins of {}, the knot on a straight side",
            at_bench(length_m, system, false),
            at_bench(pin_m, system, false)
        ),
        LETTER,
        0.0,
    );
    out
}
