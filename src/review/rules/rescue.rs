//! Rules about getting somebody off the line who hangs still.

use super::{Gravity, PRACTICE, Rule, kn, rule};
use crate::plan::{Plan, Side};
use crate::review::rescue::{HangsAt, On, Rescued, Standing};
use crate::units::{Dim, Quantity as _, System, show};

/// One of them leads, watches the clock and receives. Common practice, no source.
const LEAST_HANDS: usize = 2;

fn m(metres: f64) -> String {
    show(Dim::Length, metres, System::Si)
}

fn min(seconds: f64) -> String {
    format!("{:.1} min", seconds / 60.0)
}

/// Where a stretch of places lies: from the first to the last of them.
fn stretch(places: &[&HangsAt]) -> Option<String> {
    let (first, last) = (places.first()?, places.last()?);
    Some(if places.len() == 1 {
        format!("at {} from A", m(first.x_m))
    } else {
        format!("from {} to {} from A", m(first.x_m), m(last.x_m))
    })
}

/// Places of a line that something is true of, in stretches without a gap.
fn stretches(r: &Rescued, on: On, of: impl Fn(&HangsAt) -> bool) -> Vec<Vec<&HangsAt>> {
    let all: Vec<&HangsAt> = r.on(on).collect();
    all.chunk_by(|a, b| of(a) == of(b)).filter(|c| of(c[0])).map(<[&HangsAt]>::to_vec).collect()
}

/// What kit and rope at both sides would make of places, where one side is without; the longest of them.
fn from_both(plan: &Plan, places: &[&HangsAt]) -> String {
    let Some(r) = &plan.rescue else { return String::new() };
    let without = [Side::A, Side::B].into_iter().find(|s| r.ropes.iter().all(|t| t.side != *s));
    let span = plan.site.span.si();
    let most = places.iter().map(|p| r.total_s(p.x_m.min(span - p.x_m))).fold(0.0, f64::max);
    without.map_or_else(String::new, |s| format!("; with kit and rope at {s:?} too {}", min(most)))
}

fn sides(r: &Rescued) -> Vec<Side> {
    r.places.first().map(|p| p.towed.iter().map(|t| t.side).collect()).unwrap_or_default()
}

/// Rules about rescue.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "rescue-unsolved",
        Stop,
        "a place on the line for which no pull was found",
        "a figure that is not there decides nothing",
        "look at the line there: it may not hang as the plan says",
        "statics",
        |c, r| {
            let Some(all) = c.rescued else {
                if c.plan.rescue.is_some() && c.solved {
                    r.say("rescue", "the line's shape with two on it was not found");
                }
                return;
            };
            for on in [On::Main, On::Backup] {
                for s in stretches(all, on, |p| !p.certified) {
                    r.say("rescue", format!("{}, {}", on.words(), stretch(&s).unwrap_or_default()));
                }
            }
        }
    ),
    rule!(
        "rescue-out-of-reach",
        Stop,
        "a place that no rope reaches, and where nobody can be lowered",
        "who hangs there stays there",
        "a rope that reaches, at that side or at the other, or a rope to lower with and a landing",
        "geometry",
        |c, r| {
            let Some(all) = c.rescued else { return };
            for on in [On::Main, On::Backup] {
                let out =
                    |p: &HangsAt| p.certified && p.towed.iter().all(|t| t.short_m.is_some()) && !p.lowered(all.lower_m);
                for s in stretches(all, on, out) {
                    let nearest = |p: &&HangsAt| p.towed.iter().filter_map(|t| t.short_m).fold(f64::INFINITY, f64::min);
                    let short = s.iter().map(nearest).fold(0.0, f64::max);
                    r.say(
                        "rescue",
                        format!(
                            "{}, {}: {} more rope would reach",
                            on.words(),
                            stretch(&s).unwrap_or_default(),
                            m(short)
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "rescue-slow",
        Stop,
        "a rescue that takes longer than somebody may hang",
        "hanging still can make people faint after minutes, and nobody can tell when",
        "kit and rope at the nearer side, hands or pulleys that pull from there, a shorter way to the kit",
        "HSE RR708: a fifth near fainting within ten minutes, most within the hour",
        |c, r| {
            let Some(all) = c.rescued else { return };
            let slow = |p: &HangsAt| p.soonest_s(all.hands).is_some_and(|s| s > all.limit_s);
            for s in stretches(all, On::Main, slow) {
                let most = s.iter().filter_map(|p| p.soonest_s(all.hands)).fold(0.0, f64::max);
                let at = stretch(&s).unwrap_or_default();
                r.say("rescue", format!("{at}: {} of {}{}", min(most), min(all.limit_s), from_both(c.plan, &s)));
            }
        }
    ),
    rule!(
        "rescue-late",
        Caution,
        "a rescue that takes over two thirds of what somebody may hang",
        "times are of a calm day and a drilled crew",
        "kit and rope at the nearer side, hands or pulleys that pull from there, a shorter way to the kit",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            let late = |p: &HangsAt| all.standing(p) == Standing::Late;
            for s in stretches(all, On::Main, late) {
                let most = s.iter().filter_map(|p| Some(p.soonest(all.hands)?.total_s)).fold(0.0, f64::max);
                r.say("rescue", format!("{}: {} of {}", stretch(&s).unwrap_or_default(), min(most), min(all.limit_s)));
            }
        }
    ),
    rule!(
        "rescue-limit",
        Caution,
        "a plan that lets somebody hang for more than 15 minutes; more than 20 is a stop",
        "whoever hangs still in a harness may faint within minutes, and is to be got down at once",
        "a limit of 15 minutes or less, and a rescue that keeps it",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            let said = format!("they may hang for {}", min(all.limit_s));
            if all.limit_s > 1200.0 {
                r.stop("rescue", said);
            } else if all.limit_s > 900.0 {
                r.say("rescue", said);
            }
        }
    ),
    rule!(
        "rescue-lowered-only",
        Caution,
        "a place from which nobody is towed off, and a landing lies below",
        "whoever lowers must be sure of the ground, of the rope and of who receives",
        "a rope that reaches, or hands that pull it",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            let only = |p: &HangsAt| p.certified && p.soonest(all.hands).is_none() && p.lowered_s.is_some();
            for s in stretches(all, On::Main, only) {
                let rope = s.iter().filter_map(|p| p.lower_m).fold(0.0, f64::max);
                let most = s.iter().filter_map(|p| p.lowered_s).fold(0.0, f64::max);
                let at = stretch(&s).unwrap_or_default();
                r.say("rescue", format!("{at}: down on {} of rope, {} of {}", m(rope), min(most), min(all.limit_s)));
            }
        }
    ),
    rule!(
        "rescue-pull",
        Stop,
        "a tow that the people there cannot pull",
        "who hangs there stays there",
        "more hands, or a pulley set at hand",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            let stuck = |p: &HangsAt| {
                let reached = p.towed.iter().any(|t| t.short_m.is_none());
                reached && p.soonest(all.hands).is_none() && !p.lowered(all.lower_m)
            };
            for s in stretches(all, On::Main, stuck) {
                let least =
                    |p: &&HangsAt| p.towed.iter().map(|t| t.with_set.unwrap_or(t.people)).min().unwrap_or_default();
                let people = s.iter().map(least).max().unwrap_or_default();
                r.say(
                    "rescue",
                    format!(
                        "{}: {people} must pull, at A are {}, at B {}",
                        stretch(&s).unwrap_or_default(),
                        all.hands[0],
                        all.hands[1]
                    ),
                );
            }
        }
    ),
    rule!(
        "rescue-backup",
        Caution,
        "a place from which somebody is towed off the main line, and not off the backup alone",
        "it hangs lower and steeper: the rope is shorter and the pull is more",
        "more hands, a pulley set or more rope; or a way down",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            let left = |p: &HangsAt| p.certified && p.soonest(all.hands).is_none() && !p.lowered(all.lower_m);
            for s in stretches(all, On::Backup, left) {
                let most = |of: fn(&crate::review::TowedIn) -> f64| {
                    s.iter().flat_map(|p| p.towed.iter().map(of)).fold(0.0, f64::max)
                };
                r.say(
                    "rescue",
                    format!(
                        "{}: up to {} at the hands, {} of rope",
                        stretch(&s).unwrap_or_default(),
                        kn(most(|t| t.hands_n)),
                        m(most(|t| t.way_m))
                    ),
                );
            }
        }
    ),
    rule!(
        "lowering-short",
        Stop,
        "a rope to lower with that does not reach the ground of a landing",
        "it ends in the air",
        "the length that is said",
        PRACTICE,
        |c, r| {
            let Some((all, rope)) = c.rescued.and_then(|all| Some((all, all.lower_m?))) else { return };
            let short = |p: &HangsAt| p.landing && p.lower_m.is_some_and(|needs| needs > rope);
            for on in [On::Main, On::Backup] {
                for s in stretches(all, on, short) {
                    let needs = s.iter().filter_map(|p| p.lower_m).fold(0.0, f64::max);
                    r.say(
                        "rescue",
                        format!("{}, {}: {} for {}", on.words(), stretch(&s).unwrap_or_default(), m(rope), m(needs)),
                    );
                }
            }
        }
    ),
    rule!(
        "rescue-one-side",
        Caution,
        "kit and rope at one side only, and the far half takes long",
        "who hangs there waits for somebody who comes all the way",
        "kit and rope at both sides",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            let mut of = sides(all);
            of.dedup();
            let [side] = of[..] else { return };
            let places: Vec<&HangsAt> = all.on(On::Main).collect();
            let half = places.len() / 2;
            let far = if side == Side::B { &places[..half] } else { &places[half..] };
            let most = far.iter().flat_map(|p| &p.towed).map(|t| t.total_s).fold(0.0, f64::max);
            if most > 0.5 * all.limit_s {
                r.say("rescue", format!("all at {side:?}: {} from the far half", min(most)));
            }
        }
    ),
    rule!(
        "rescue-few",
        Caution,
        "fewer than two are left at the side that pulls",
        "one leads, watches the clock and receives",
        "two a side, and one who goes out",
        PRACTICE,
        |c, r| {
            let Some(all) = c.rescued else { return };
            for side in sides(all) {
                let there = all.hands[usize::from(side == Side::B)];
                if there < LEAST_HANDS {
                    r.say("rescue", format!("{there} left at {side:?}"));
                }
            }
        }
    ),
    rule!(
        "never-drilled",
        Caution,
        "a rescue that was never timed",
        "times that nobody has seen are hopes",
        "drill it, from the far half, and write down what it took",
        PRACTICE,
        |c, r| {
            if c.plan.rescue.as_ref().is_some_and(|x| x.drilled.is_none()) {
                r.say("rescue", "no drill is told");
            }
        }
    ),
];
