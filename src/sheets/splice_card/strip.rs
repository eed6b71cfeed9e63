//! The taper in full size, along the page's edge: a tail is laid on it, and its strands end at its ticks.

use crate::bench::Design;
use crate::sheets::page::Drawing;
use crate::units::System;

/// Longest strip that the long edge of either paper takes, mm; a longer taper goes on two, which meet at B3.
const LONGEST_MM: f64 = 249.0;
/// Beyond A and B1, mm.
const BEYOND_MM: f64 = 5.0;
/// From one strip to the next, mm.
const APART_MM: f64 = 14.0;
/// The check line, mm.
const CHECK_MM: f64 = 100.0;
const CHECK_IN_MM: f64 = 101.6;

/// The strip, upright, with a line to check that the print is true to size; empty where nothing is tapered from its tip.
pub(super) fn strip(d: &Design, system: System) -> Drawing {
    let marks: Vec<(&str, f64)> = d
        .marks
        .iter()
        .filter(|m| m.letter.starts_with('B') && !m.letter.ends_with('′'))
        .map(|m| (m.letter.as_str(), 1e3 * m.at_m))
        .collect();
    let Some(longest) = marks.iter().map(|m| m.1).max_by(f64::total_cmp) else { return Drawing::default() };
    let third = 0.6 * longest;
    let parts: Vec<[f64; 2]> =
        if longest <= LONGEST_MM { vec![[0.0, longest]] } else { vec![[0.0, third], [third, longest]] };
    let high = parts.iter().map(|p| p[1] - p[0]).fold(0.0, f64::max) + 2.0 * BEYOND_MM;
    let wide = 8.0 + APART_MM * parts.len() as f64;
    let mut out = Drawing::new(wide, high);
    for (k, [from, to]) in parts.iter().enumerate() {
        let x = 3.0 + APART_MM * k as f64;
        let y = |at: f64| BEYOND_MM + at - from;
        out.line(&[[x, y(*from) - BEYOND_MM], [x, y(*to) + BEYOND_MM]], 0.35);
        if k == 0 {
            out.line(&[[x - 2.0, y(0.0)], [x + 2.0, y(0.0)]], 0.35);
            out.words([x + 2.5, y(0.0) + 1.0], "A", 2.9, 0.0);
        }
        for (n, (letter, at)) in marks.iter().enumerate().filter(|(_, m)| m.1 >= from - 1e-6 && m.1 <= to + 1e-6) {
            out.line(&[[x - 2.0, y(*at)], [x + 2.0, y(*at)]], 0.35);
            // One strand of each direction ends here.
            out.line(&[[x - 2.2, y(*at) - 1.2], [x - 0.6, y(*at) - 3.4]], 0.25);
            out.line(&[[x + 0.6, y(*at) - 3.4], [x + 2.2, y(*at) - 1.2]], 0.25);
            out.words([x + 2.5, y(*at) + 1.0], &format!("{letter} {}", 10 - 2 * n), 2.9, 0.0);
        }
    }
    let (long, said) = match system {
        System::Si => (CHECK_MM, "100 mm"),
        System::Us => (CHECK_IN_MM, "4 in"),
    };
    let (x, top) = (wide - 2.0, 0.5 * (high - long));
    out.line(&[[x, top], [x, top + long]], 0.35);
    for y in [top, top + long] {
        out.line(&[[x - 1.5, y], [x + 1.5, y]], 0.35);
    }
    out.words([x + 1.5, top - 1.5], said, 2.9, 1.0);
    out
}
