//! Eyes and pins as large as they are: what they go over, the rope round it, the throat; one half above a line, another below.

use std::f64::consts::PI;

use crate::bench::{Design, Gear};
use crate::sheets::page::Drawing;
use crate::units::{System, at_bench};

/// Room for it beside another drawing, mm.
const WIDE: f64 = 78.0;
const HIGH: f64 = 46.0;
/// Height of letters, mm.
const LETTER: f64 = 2.9;

/// What is drawn of an end: pin and rope, mm; half the throat's angle, and from the pin's bearing to the throat, mm, of an eye.
struct End {
    pin: f64,
    rope: f64,
    thimble: bool,
    throat: Option<[f64; 2]>,
}

impl End {
    fn long(&self) -> f64 {
        self.throat.map_or(0.5 * self.pin + 30.0, |t| t[1]) + self.rope
    }

    fn high(&self) -> f64 {
        0.5 * self.pin + self.rope
    }

    /// Words beside it.
    fn said(&self, system: System) -> String {
        let what = if self.thimble { "thimble, groove" } else { "pin" };
        format!("{what} {}", at_bench(1e-3 * self.pin, system, false))
    }
}

/// The ends of a design that differ, at most two.
fn ends(d: &Design) -> Vec<End> {
    let rope = 1e3 * d.rope.d_m;
    let pin = |m: f64| End { pin: 1e3 * m, rope, thimble: false, throat: None };
    let mut out: Vec<End> = match d.gear {
        Gear::Loop { pins_m, .. } => pins_m.map(pin).into_iter().collect(),
        Gear::SoftShackle { pin_m, .. } => vec![pin(pin_m)],
        _ => d
            .eyes
            .iter()
            .map(|e| End {
                pin: 1e3 * e.pin_m,
                rope,
                thimble: e.thimble,
                throat: Some([e.throat.half_rad, 1e3 * e.throat.reach_m]),
            })
            .collect(),
    };
    if let Gear::Adjustable { far_pin_m, .. } = d.gear {
        out.push(pin(far_pin_m));
    }
    let alike = |a: &End, b: &End| a.pin == b.pin && a.thimble == b.thimble && a.throat == b.throat;
    if out.len() > 1 && alike(&out[0], &out[1]) {
        out.truncate(1);
    }
    out
}

/// Draws them with their left upper corner at `corner`; gives the height that they take, mm.
pub(super) fn draw(out: &mut Drawing, corner: [f64; 2], d: &Design, system: System) -> f64 {
    let ends = ends(d);
    let long = ends.iter().map(End::long).fold(1.0, f64::max);
    let high: f64 = ends.iter().map(End::high).sum::<f64>() + if ends.len() == 1 { ends[0].high() } else { 0.0 };
    // As large as it is where there is room, else by a plain number smaller, and said so.
    let fits = |by: &&f64| long / **by <= WIDE && high / **by <= HIGH;
    let by = [1.0, 2.0, 3.0, 5.0, 10.0, 20.0].iter().find(fits).copied().unwrap_or(50.0);
    let said =
        if by == 1.0 { "FULL SIZE, if the pin measures so".to_owned() } else { format!("NOT full size: 1 to {by:.0}") };
    let [left, top] = corner;
    out.words([left, top + LETTER], &said, LETTER, 0.0);
    let above = ends.first().map_or(0.0, End::high) / by;
    let axis = top + 2.0 * LETTER + above + 1.0;
    out.dashes(&[[left, axis], [left + WIDE, axis]], 0.15);
    for (k, up) in [(0, -1.0), (1, 1.0)] {
        let Some(end) = ends.get(k).or(ends.first()) else { continue };
        half(out, [left, axis], end, up, by);
        if k < ends.len() {
            // Where the legs have come together, there is room beside them.
            let y = if up < 0.0 { axis - end.high() / by + LETTER } else { axis + end.high() / by };
            out.words([left + WIDE, y], &end.said(system), LETTER, 1.0);
        }
    }
    let below = ends.get(1).or(ends.first()).map_or(0.0, End::high) / by;
    axis + below + 1.0 - top
}

/// One half of an end, above (-1) or below (1) its axis: the pin, and both edges of the rope as far as the throat.
fn half(out: &mut Drawing, [left, axis]: [f64; 2], end: &End, up: f64, by: f64) {
    let bearing = left + end.rope / by;
    let middle = bearing + 0.5 * end.pin / by;
    let arc = |r: f64, from: f64, to: f64| -> Vec<[f64; 2]> {
        (0..=32)
            .map(|n| {
                let a = from + (to - from) * f64::from(n) / 32.0;
                [middle - r * a.cos(), axis + up * r * a.sin()]
            })
            .collect()
    };
    // From the crown (0) to where the rope leaves the pin, and on to the throat, or straight on.
    out.line(&arc(0.5 * end.pin / by, 0.0, PI), 0.35);
    let r = 0.5 * (end.pin + end.rope) / by;
    let (leaves, throat) = match end.throat {
        Some([half, reach]) => (PI / 2.0 + half, Some(bearing + reach / by)),
        None => (PI / 2.0, None),
    };
    for edge in [-0.5, 0.5] {
        let at = r + edge * end.rope / by;
        let mut way = arc(at, 0.0, leaves);
        let last = way[way.len() - 1];
        match throat {
            Some(x) => {
                // Parallel to the rope's middle: along the leg to beside the throat.
                let long = ((x - middle).powi(2) - r * r).max(0.0).sqrt();
                way.push([last[0] + leaves.sin() * long, last[1] + up * leaves.cos() * long]);
            }
            None => way.push([last[0] + 30.0 / by, last[1]]),
        }
        out.line(&way, 0.25);
    }
    if let Some(x) = throat {
        out.line(&[[x, axis], [x, axis + up * 3.0]], 0.35);
        out.words([x + 1.0, axis + up * 2.6 + if up > 0.0 { 1.5 } else { 0.5 }], "C = E", 2.4, 0.0);
    }
}
