//! Rules about what was read at the line, the last day of it.

use super::{Gravity, PRACTICE, Rule, rule};
use crate::document::did_you_mean;
use crate::inventory::LEASH_FALLS;
use crate::mechanics::gauge::pulse_s;
use crate::plan::day::{last_day, looked_over_since};
use crate::review::as_rigged::{DayRead, Read};
use crate::review::pulling::hung_per_m;
use crate::units::{Dim, Quantity as _, System, show};

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

/// A tail that was drawn in by more says that a lock slips, m.
const TAIL_M: f64 = 0.02;
/// A leg that reads so many times what it should carries for others.
const LEG: f64 = 1.5;

/// A pulse so near to half of what is planned was counted one way.
const ONE_WAY: f64 = 0.1;
/// A span that is off by more is another span: m, and as a share.
const SPAN_M: f64 = 0.5;
const SPAN: f64 = 0.01;

/// As many verdicts that are worse as it hung are told one by one.
const WORSE: usize = 5;

/// What a fault says first.
fn first_line(why: &str) -> &str {
    why.lines().next().unwrap_or_default().trim_start_matches("error: ")
}

/// Rules about days.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "look-over",
        Stop,
        "something happened to gear on a day, and nobody looked it over since",
        "what an edge, a stroke or a shock left is not seen from afar",
        "look it over before anybody walks; then write LookedOver(…) into that day's events, or the next one's",
        PRACTICE,
        |c, r| {
            for (day, e) in crate::plan::day::unseen(c.plan) {
                let of = e.serial.as_ref().map(|s| format!("{s} ")).unwrap_or_default();
                let told = if e.told.is_empty() { String::new() } else { format!(": {}", e.told) };
                r.say("days", format!("{}: {of}{}{told}", day.date, e.what.words()));
            }
        }
    ),
    rule!(
        "leash-falls",
        Caution,
        "a leash that took so many falls on the plan's days",
        "it grows stiff and thin where it is tied",
        "another leash; write into the inventory which one took them",
        PRACTICE,
        |c, r| {
            let falls: usize = c.plan.days.iter().map(|d| d.falls).sum();
            if falls >= LEASH_FALLS {
                r.say("days", format!("{falls} falls on the days of this plan; {LEASH_FALLS} are given to a leash"));
            }
        }
    ),
    rule!(
        "tail-drawn-in",
        Stop,
        "a lock drew in its tail",
        "it slips: tension goes, and the end may come through",
        "take the tension off, look at the lock and its webbing, lock it anew with a longer tail and a knot behind; then write LookedOver(…) into that day's events, or a later one's",
        PRACTICE,
        |c, r| {
            // A later day does not mend what an earlier one showed: somebody who looks does.
            let open = |d: &&crate::plan::day::Day| !looked_over_since(&c.plan.days, d);
            for day in c.plan.days.iter().filter(open) {
                for (side, tail) in ["A", "B"].iter().zip(day.tails) {
                    if let Some(m) = tail.map(crate::plan::Measured::si).filter(|m| *m > TAIL_M) {
                        r.say("days", format!("{}: {} at {side}", day.date, show(Dim::Length, m, System::Si)));
                    }
                }
            }
        }
    ),
    rule!(
        "leg-takes-more",
        Stop,
        "a leg that was read at more than one and a half times what it should carry",
        "it carries for another, which is longer, softer or loose than planned",
        "find the leg that carries less, set both, read again",
        PRACTICE,
        |c, r| {
            let (Some(day), Some(hung)) = (last_day(&c.plan.days), c.day) else { return };
            let read = |l: &crate::review::as_rigged::LegRead| Some((l.name.clone(), l.measured_n, l.computed_n?));
            for (name, measured_n, computed_n) in hung.legs.iter().filter_map(read).filter(|l| l.1 > LEG * l.2) {
                r.say(
                    "days",
                    format!(
                        "{}: {name} reads {}, computed {}",
                        day.date,
                        show(Dim::Force, measured_n, System::Si),
                        show(Dim::Force, computed_n, System::Si)
                    ),
                );
            }
        }
    ),
    rule!(
        "day-unknown",
        Caution,
        "a day that names a leg or a piece that the plan has not",
        "what was read or happened there is held against nothing",
        "its name as the plan has it; what left the plan, in the inventory's log",
        PRACTICE,
        |c, r| {
            let serials: Vec<&str> = c.plan.serials().map(|s| s.2).collect();
            for day in &c.plan.days {
                let legs = day.legs.iter().map(|l| l.0.as_str()).filter(|l| !c.plan.runs.contains_key(*l));
                let legs = legs.map(|l| (l, did_you_mean(l, c.plan.runs.keys().map(String::as_str))));
                let pieces = day.events.iter().filter_map(|e| e.serial.as_deref()).filter(|s| !serials.contains(s));
                let pieces = pieces.map(|s| (s, did_you_mean(s, serials.iter().copied())));
                for (name, meant) in legs.chain(pieces) {
                    let meant = meant.map(|m| format!("; did you mean {m}?")).unwrap_or_default();
                    r.say("days", format!("{}: {name} is not in the plan{meant}", day.date));
                }
            }
        }
    ),
    rule!(
        "day-walker",
        Stop,
        "somebody on the line on a day, heavier than everybody the plan has",
        "falls, feet and factors were worked out for less",
        "put them among the people of the plan, or keep them off the line",
        PRACTICE,
        |c, r| {
            let heaviest = crate::review::case::heaviest_kg(c.plan);
            for day in &c.plan.days {
                let on_it = day.read.iter().filter_map(|x| Some(x.walker?.1.si()));
                let kg = on_it.fold(0.0, f64::max);
                // Clothes and a scale.
                if kg > 1.05 * heaviest {
                    let [kg, most] = [kg, heaviest].map(|x| show(Dim::Mass, x, System::Si));
                    r.say("days", format!("{}: {kg} on the line, {most} the heaviest of the plan", day.date));
                }
            }
        }
    ),
    rule!(
        "day-span",
        Caution,
        "a span that was measured otherwise than planned",
        "lengths, the backup's excess and the legs were worked out for the plan's; what was cut is as long as it was",
        "put the measured span into the plan, and look at its cut list against what hangs there",
        "geometry",
        |c, r| {
            let Some(day) = last_day(&c.plan.days) else { return };
            let (Some(span), planned) = (day.span.map(crate::plan::Measured::si), c.plan.site.span.si()) else {
                return;
            };
            if (span - planned).abs() > SPAN_M.max(SPAN * planned) {
                let by = span - planned;
                let how = if by > 0.0 { "longer" } else { "shorter" };
                let m = |m: f64| show(Dim::Length, m, System::Si);
                r.say("days", format!("{}: {}, {} {how} than planned", day.date, m(span), m(by.abs())));
            }
        }
    ),
    rule!(
        "day-differs",
        Caution,
        "a rig that hung otherwise than planned, and stands worse for it",
        "what was judged is not what is walked",
        "let it down, or mend what falls short as it hangs; spanwright day plays its falls too",
        "statics",
        |c, r| {
            let Some(read) = c.day else { return };
            let Some(hung) = &read.hung else { return };
            if let Some(why) = &hung.fault {
                r.stop("days", format!("{}: as it hung it cannot be reviewed: {}", read.date, first_line(why)));
            }
            for w in hung.worse.iter().take(WORSE) {
                let said = format!("{}: {}: {} as it hung, planned {}", read.date, w.what, w.hung, w.planned);
                if w.falls_short { r.stop("days", said) } else { r.say("days", said) }
            }
        }
    ),
    rule!(
        "day-unsolved",
        Stop,
        "a day whose rig cannot be",
        "what was read there is not of the rig that is planned",
        "look at what was read: one figure cannot be",
        "statics",
        |c, r| {
            if let Some((read, why)) = c.day.and_then(|d| Some((d, d.fault.as_ref()?))) {
                r.say("days", format!("{}: {}", read.date, first_line(why)));
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
            // The tension goes by a lone pulse: nothing else on that day denies that it was counted one way.
            let lone = last_day(&c.plan.days).and_then(|d| Some((d, d.by_pulse()?.1.si())));
            if let (Some((day, s)), Some(still)) = (lone, c.standing()) {
                let [a, b] = still.response.line_n;
                let planned = pulse_s(still.line_m, hung_per_m(c.rig), 0.5 * (a + b));
                if (2.0 * s / planned - 1.0).abs() < ONE_WAY {
                    r.say(
                        "days",
                        format!(
                            "{}: a pulse of {s:.2} s is half of the plan's {planned:.2} s there and back; counted one way?",
                            day.date
                        ),
                    );
                }
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
                if let (Some(least), Some(m)) = (x.least_n, x.slipped_m)
                    && x.measured[0] < least
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
