//! Rules about what was read at the line, the last day of it.

use super::{Gravity, PRACTICE, Rule, rule};
use crate::review::as_rigged::{DayRead, Read};
use crate::units::{Dim, System, show};

/// Stretch over the catalogue's within which a line is taken for what it is said to be.
pub const LIKE: std::ops::RangeInclusive<f64> = 0.7..=1.4;
/// Beyond this the figure is wrong, not the webbing.
pub const BELIEVED: std::ops::RangeInclusive<f64> = 0.5..=2.0;
/// A reading so many deviations off is marked.
pub const OFF: f64 = 2.0;

/// What is likely, in one line.
#[must_use]
pub fn likely_said(read: &DayRead) -> String {
    let all: Vec<String> = read.likely.iter().map(crate::review::Likely::words).collect();
    match all.len() {
        0 => "no single cause explains it: measure again".to_owned(),
        1 => format!("likely: {}; seen by {}", all[0], read.likely[0].cause.shown_by()),
        _ => format!("likely: {}; told apart by {}", all.join(", or "), read.likely[0].cause.shown_by()),
    }
}

/// Rules about days.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "day-unsolved",
        Stop,
        "a day whose rig cannot be",
        "what was read there is not of the rig that is planned",
        "look at what was read: one figure cannot be",
        "statics",
        |c, r| {
            if let Some((read, why)) = c.day.and_then(|d| Some((d, d.fault.as_ref()?))) {
                r.say(
                    "days",
                    format!("{}: {}", read.date, why.lines().next().unwrap_or_default().trim_start_matches("error: ")),
                );
            }
        }
    ),
    rule!(
        "readings-disagree",
        Caution,
        "readings of a day that one rig cannot have",
        "the rig that hangs there is not the rig that was judged, or a figure is wrong",
        "find out which, by the reading that tells them apart, before anybody walks",
        PRACTICE,
        |c, r| {
            if let Some(read) = c.day.filter(|d| d.disagrees()) {
                r.say("days", format!("{}: {}", read.date, likely_said(read)));
            }
        }
    ),
    rule!(
        "lost-tension",
        Caution,
        "less tension later than creep and temperature leave",
        "a lock lets webbing through, or an anchor comes nearer",
        "look at the tails' marks and at every anchor; pull up, read again after an hour",
        PRACTICE,
        |c, r| {
            for x in c.day.iter().flat_map(|d| &d.compared).filter(|x| x.read == Read::Later) {
                if let (Some(off), Some(m)) = (x.off(), x.slipped_m)
                    && off < -OFF
                {
                    r.say(
                        "days",
                        format!(
                            "{} after {:.1} h: {} less than expected, as if {} had come through",
                            show(Dim::Force, x.measured[0], System::Si),
                            x.after_s / 3600.0,
                            show(Dim::Force, x.computed.map_or(0.0, |k| k[0] - x.measured[0]), System::Si),
                            show(Dim::Length, m.max(0.0), System::Si)
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "stretch-off",
        Caution,
        "the line that hangs there stretches otherwise than the plan says",
        "falls and sags were judged with other webbing",
        "give the plan's own item the stretch that was read, or measure again",
        PRACTICE,
        |c, r| {
            let Some((read, [kappa, sd])) = c.day.and_then(|d| Some((d, d.stretch?))) else { return };
            let said = format!("{}: × {kappa:.2} ± {sd:.2} of what the plan has", read.date);
            if !BELIEVED.contains(&kappa) {
                r.stop("days", format!("{said}: a figure is wrong, not the webbing"));
            } else if !LIKE.contains(&kappa) {
                r.say("days", said);
            }
        }
    ),
];
