//! Stopper knots of soft shackles, frame by frame, seen from above: what goes over stands whole, what goes under is broken.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use crate::bench::{Design, Gear, ShackleKnot};
use crate::sheets::page::Drawing;

/// Width of all frames together, mm, their height, and that of letters.
const WIDE: f64 = 150.0;
const HIGH: f64 = 38.0;
const LETTER: f64 = 2.9;
/// Width of the rope as it is drawn, mm, and how far what goes under is broken either way, mm.
const ROPE: f64 = 1.2;
/// The same of leg 2, so that both are told apart.
const THIN: f64 = 0.6;
const GAP: f64 = 1.7;

type Point = [f64; 2];

/// The frames of a shackle's knot; nothing for other gear.
pub(super) fn frames(d: &Design) -> Option<Drawing> {
    let Gear::SoftShackle { knot, .. } = d.gear else { return None };
    let mut out = Drawing::new(WIDE, HIGH);
    match knot {
        ShackleKnot::Diamond => diamond(&mut out),
        ShackleKnot::Button => button(&mut out),
    }
    Some(out)
}

/// The mat that a diamond is drawn up from: three times round with four bights, opened at two of them for the four ends.
/// So far round in turns of its angle, mm from its middle.
fn mat(angle: f64) -> Point {
    let r = 6.6 + 4.2 * (4.0 * angle / 3.0).cos();
    [r * angle.cos(), -r * angle.sin()]
}

/// Whole way round the mat.
const ROUND: f64 = 3.0 * TAU;
/// Samples of it.
const SAMPLES: usize = 720;

/// Where the mat crosses itself: both angles of each crossing; every second that is met on the way round goes over.
fn crossings() -> Vec<[f64; 2]> {
    let at = |k: usize| ROUND * k as f64 / SAMPLES as f64;
    let mut out: Vec<[f64; 2]> = Vec::new();
    for i in 0..SAMPLES {
        for j in i + 2..SAMPLES {
            let ends = [mat(at(i)), mat(at(i + 1)), mat(at(j)), mat(at(j + 1))];
            if (i, j) != (0, SAMPLES - 1)
                && let Some((s, t)) = meet(ends)
            {
                out.push([at(i) + s * ROUND / SAMPLES as f64, at(j) + t * ROUND / SAMPLES as f64]);
            }
        }
    }
    out
}

/// Where two straight pieces cross, as shares of each.
fn meet([a, b, c, d]: [Point; 4]) -> Option<(f64, f64)> {
    let (u, v, w) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]], [c[0] - a[0], c[1] - a[1]]);
    let det = u[0] * v[1] - u[1] * v[0];
    if det.abs() < 1e-12 {
        return None;
    }
    let (s, t) = ((w[0] * v[1] - w[1] * v[0]) / det, (w[0] * u[1] - w[1] * u[0]) / det);
    ((0.0..1.0).contains(&s) && (0.0..1.0).contains(&t)).then_some((s, t))
}

/// Angles at which the mat goes under itself, of all at which it crosses itself.
fn unders(crossed: &[[f64; 2]]) -> Vec<f64> {
    let mut all: Vec<f64> = crossed.iter().flatten().copied().collect();
    all.sort_by(f64::total_cmp);
    all.into_iter().step_by(2).collect()
}

/// A strand of the mat from one angle to another; broken where it goes under what is there already.
fn strand(
    out: &mut Drawing,
    middle: Point,
    wide: f64,
    [from, to]: [f64; 2],
    crossed: &[[f64; 2]],
    there: impl Fn(f64) -> bool,
) {
    let under = unders(crossed);
    let other = |u: f64| {
        let pair = crossed.iter().find(|c| (c[0] - u).abs() < 1e-9 || (c[1] - u).abs() < 1e-9);
        pair.map(|c| if (c[0] - u).abs() < 1e-9 { c[1] } else { c[0] })
    };
    let broken = |angle: f64| {
        under.iter().any(|&u| {
            let near = mat(u);
            let p = mat(angle);
            (angle - u).abs() < 0.5 && (p[0] - near[0]).hypot(p[1] - near[1]) < GAP && other(u).is_some_and(&there)
        })
    };
    let mut piece: Vec<Point> = Vec::new();
    let steps = ((to - from) / ROUND * SAMPLES as f64).ceil() as usize;
    for k in 0..=steps {
        let angle = from + (to - from) * k as f64 / steps as f64;
        if broken(angle) {
            put(out, wide, &mut piece);
        } else {
            let p = mat(angle);
            piece.push([middle[0] + p[0], middle[1] + p[1]]);
        }
    }
    put(out, wide, &mut piece);
}

fn put(out: &mut Drawing, wide: f64, piece: &mut Vec<Point>) {
    if piece.len() > 1 {
        out.line(piece, wide);
    }
    piece.clear();
}

/// How far from the opened bights the strands begin and end, rad.
const OPEN: f64 = 0.12;

fn diamond(out: &mut Drawing) {
    let (half, crossed) = (0.5 * ROUND, crossings());
    let middle = |k: usize| [19.0 + 37.3 * k as f64, 20.0];
    // Strand 1 from its standing part to its end; strand 2 comes in bit by bit.
    let (one, two) = ([OPEN, half - OPEN], [half + OPEN, ROUND - OPEN]);
    let so_far = [half + OPEN, half + FRAC_PI_2 * 1.9, ROUND - OPEN, ROUND - OPEN];
    for (k, until) in so_far.into_iter().enumerate() {
        let m = middle(k);
        let there = |a: f64| (one[0]..=one[1]).contains(&a) || (two[0]..=until).contains(&a);
        strand(out, m, ROPE, one, &crossed, there);
        if k > 0 {
            strand(out, m, THIN, [two[0], until], &crossed, there);
        }
        ends(out, m, k > 0, k >= 2);
        let said = [
            "1: leg 1 laid in a loop",
            "2: end 2 over 1, under its end",
            "3: the whole mat",
            "4: ends round, up the middle",
        ];
        out.words([m[0], 2.6], said[k], 2.5, 0.5);
        if k == 3 {
            // Round the outside past the next standing part, and up through the square.
            for turn in [0.0, PI] {
                let way: Vec<Point> = (0..=24)
                    .map(|n| {
                        let t = f64::from(n) / 24.0;
                        let (angle, r) = (turn + PI + 0.25 + 3.35 * t, 13.2 - 11.5 * (t - 0.72).max(0.0) / 0.28);
                        [m[0] + r * angle.cos(), m[1] - r * angle.sin()]
                    })
                    .collect();
                out.dashes(&way, 0.5);
                out.dot(way[way.len() - 1], 0.6, true);
            }
        }
    }
}

/// The four ends of the mat, led off and lettered: standing parts S, ends E.
fn ends(out: &mut Drawing, m: Point, second: bool, whole: bool) {
    let mut led = |angle: f64, to: Point, word: &str| {
        let p = mat(angle);
        let wide = if word.ends_with('1') { ROPE } else { THIN };
        out.line(&[[m[0] + p[0], m[1] + p[1]], [m[0] + to[0], m[1] + to[1]]], wide);
        out.words([m[0] + to[0] * 1.12, m[1] + to[1] + if to[1] > 0.0 { 3.2 } else { -0.8 }], word, LETTER, 0.5);
    };
    let half = 0.5 * ROUND;
    led(OPEN, [12.5, 9.0], "S1");
    led(half - OPEN, [-12.0, 9.0], "E1");
    if second {
        led(half + OPEN, [-12.0, -9.0], "S2");
    }
    if whole {
        led(ROUND - OPEN, [12.0, -9.0], "E2");
    }
}

/// Neck, wall and crown, from above; the rest goes on in words.
fn button(out: &mut Drawing) {
    let middle = |k: usize| [25.0 + 50.0 * k as f64, 20.0];
    let both = |out: &mut Drawing, m: Point, way: &[Point]| {
        for turn in [1.0, -1.0] {
            out.line(&way.iter().map(|p| [m[0] + turn * p[0], m[1] + turn * p[1]]).collect::<Vec<_>>(), ROPE);
        }
    };
    let named = |out: &mut Drawing, m: Point, at: Point, words: [&str; 2]| {
        out.words([m[0] + at[0], m[1] + at[1]], words[0], LETTER, 0.5);
        out.words([m[0] - at[0], m[1] - at[1] + 2.0], words[1], LETTER, 0.5);
    };
    let said =
        ["neck, both legs seized", "wall: each under the other, up its bight", "crown: each over the other, down"];
    for (k, words) in said.into_iter().enumerate() {
        out.words([middle(k)[0], 2.6], words, 2.5, 0.5);
        for turn in [-1.0, 1.0] {
            out.dot([middle(k)[0] + turn * 2.6, middle(k)[1]], 0.9, true);
        }
    }
    both(out, middle(0), &[[-2.6, 0.0], [-8.0, -3.0], [-13.0, -3.0]]);
    named(out, middle(0), [-14.5, -4.5], ["1", "2"]);
    // Each end goes round the other's leg, under it, and comes up inside its bight: broken where it is under.
    both(out, middle(1), &[[-2.6, 0.0], [-2.8, 4.5], [0.0, 7.0], [4.8, 6.6], [7.6, 3.0], [7.0, -1.4], [4.4, -2.6]]);
    both(out, middle(1), &[[1.4, -2.9], [0.0, -3.0]]);
    named(out, middle(1), [-0.2, -5.0], ["1 up", "2 up"]);
    // Each end over the other's leg, and down beyond it; what is under is broken.
    both(out, middle(2), &[[-2.6, 0.0], [-2.6, 1.2]]);
    both(
        out,
        middle(2),
        &[[-2.6, 4.2], [-2.6, 6.0], [0.0, 8.0], [4.0, 7.0], [6.6, 4.0], [5.4, 1.8], [2.6, 2.6], [-4.6, 2.6]],
    );
    named(out, middle(2), [-7.4, 3.4], ["1 down", "2 down"]);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three leads and four bights cross eight times, and going over and under in turn every crossing has one of each.
    #[test]
    fn the_mat_goes_over_and_under_in_turn() {
        let all = crossings();
        assert_eq!(all.len(), 8);
        let under = unders(&all);
        assert_eq!(under.len(), 8);
        let is_under = |a: f64| under.iter().any(|u| (u - a).abs() < 1e-9);
        assert!(all.iter().all(|c| is_under(c[0]) != is_under(c[1])), "{all:?} {under:?}");
    }
}
