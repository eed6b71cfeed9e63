//! Rules about what has to go through, around or into what.

use super::{Context, EndKind, Gravity, Hold, Item, ItemClass, PRACTICE, Quantity, Role, Rule, at_part, rule};
use crate::bench::{WIDEST_DEG, half_eye};
use crate::catalogue::Thread;
use crate::units::mm;

/// Width of a thimble over the diameter of its rope. From memory: wire-rope thimbles of 6 to 12 mm.
const THIMBLE_WIDTH: f64 = 1.4;
/// Width of a soft shackle's knot over the diameter of its rope. Common practice, no source.
const KNOT_WIDTH: f64 = 4.0;
/// Webbing narrower than its lock by more than this slides to one side, m. Common practice, no source.
const LOOSE_IN_LOCK_M: f64 = 0.005;
/// Width of a screwed link inside over its stock, and of a shackle's bow over its jaws. From memory.
const LINK_WIDTH: f64 = 2.0;
const BOW_WIDTH: f64 = 1.6;
/// A hole so many times as wide as its bolt is too wide.
const LOOSE_HOLE: f64 = 1.25;
/// Webbing folds a little without harm: only what is wider than this times its seat is bunched. Common practice, no source.
const FOLDS: f64 = 1.5;

/// A piece of metal that another has to go into.
fn takes(item: &Item) -> Option<f64> {
    let has_jaws = matches!(item.class, ItemClass::Shackle | ItemClass::QuickLink | ItemClass::Connector);
    item.opening.map(Quantity::si).filter(|_| has_jaws)
}

/// Thickness of what goes between jaws, m: of metal what an eye would sit on.
fn thick_m(item: &Item) -> Option<f64> {
    if item.class.is_soft() { item.thickness_m() } else { item.thickness.or(item.stock).map(Quantity::si) }
}

/// How wide a piece is that a ring has to pass, m.
fn width_m(item: &Item) -> Option<f64> {
    match item.class {
        ItemClass::SoftShackle => item.diameter.map(|d| KNOT_WIDTH * d.si()),
        ItemClass::Shackle | ItemClass::QuickLink | ItemClass::Connector | ItemClass::Ring => {
            Some(item.opening?.si() + 2.0 * item.stock.or(item.diameter)?.si())
        }
        _ => None,
    }
}

/// Every pair that touches along a run that carries: where the first is, the two, and how the first is made at that end.
fn pairs<'a>(c: &'a Context<'_>) -> Vec<(String, &'a Item, &'a Item, Option<&'a EndKind>)> {
    let mut out = Vec::new();
    for (_, name, run) in c.runs().filter(|(_, _, r)| !matches!(r.role, Role::Leash | Role::Tensioning)) {
        let end = |p: Option<&String>| p.and_then(|p| c.plan.points.get(p)?.hardware.as_ref()).and_then(|h| c.item(h));
        let count = run.parts.len();
        for (k, part) in run.parts.iter().enumerate() {
            let Some(item) = c.item(&part.item) else { continue };
            let beside = |i: usize| c.item(&run.parts[i].item);
            let before = if k == 0 { end(run.path.first()) } else { beside(k - 1) };
            let after = if k + 1 == count { end(run.path.last()) } else { beside(k + 1) };
            for (i, other) in [before, after].into_iter().enumerate() {
                let made = part.ends.as_ref().map(|e| &e[i].kind);
                out.extend(other.map(|o| (at_part(name, k), item, o, made)));
            }
        }
    }
    out
}

/// What is screwed together: where, a bolt, and what is put on it.
fn screwed<'a>(c: &'a Context<'_>) -> impl Iterator<Item = (&'a str, &'a Item, &'a Item)> {
    c.plan.points.iter().filter_map(|(name, p)| match p.hold() {
        Some(Hold::Bolt { item, .. }) => Some((name.as_str(), c.item(item)?, c.item(p.hardware.as_ref()?)?)),
        _ => None,
    })
}

/// What goes through the hole of what: where, what goes through and how thick it is, what has the hole and how wide.
fn bored<'a>(c: &'a Context<'_>) -> Vec<(String, &'a Item, f64, &'a Item, f64)> {
    let bolts =
        screwed(c).filter_map(|(at, bolt, on)| Some((at.to_owned(), bolt, bolt.thread?.outside_m, on, on.bore?.si())));
    let through = |i: &Item| match i.class {
        ItemClass::Shackle => i.pin.map(Quantity::si),
        ItemClass::QuickLink | ItemClass::Connector => i.stock.map(Quantity::si),
        _ => None,
    };
    let both = pairs(c).into_iter().filter_map(|(at, item, other, _)| {
        let one = |has: &'a Item, goes: &'a Item| Some((goes, through(goes)?, has, has.bore?.si()));
        let (goes, d, has, bore) = one(item, other).or_else(|| one(other, item))?;
        Some((at, goes, d, has, bore))
    });
    bolts.chain(both).collect()
}

/// Rules about what has to go through, around or into what.
pub(super) const RULES: &[Rule] = &[
    rule!(
        "hole-too-small",
        Stop,
        "a bolt, a pin or a link thicker than the hole it has to go through",
        "it does not go together, and a hole drilled wider at the edge was never rated",
        "a hanger for that bolt, a shackle with a thinner pin",
        "the two items' own sizes",
        |c, r| {
            for (at, goes, d, has, bore) in bored(c) {
                if d > bore {
                    r.say(at, format!("{} is {} thick, the hole of {} {}", goes.title, mm(d), has.title, mm(bore)));
                }
            }
        }
    ),
    rule!(
        "hole-too-wide",
        Caution,
        "a hanger whose hole is more than a quarter wider than its bolt",
        "it sits aslant and turns, and the nut pulls into the hole",
        "a hanger for that bolt",
        "ISO 273, coarse series, from memory",
        |c, r| {
            for (at, bolt, on) in screwed(c) {
                if let Some((d, bore)) = bolt.thread.map(|t| t.outside_m).zip(on.bore.map(Quantity::si))
                    && bore > LOOSE_HOLE * d
                {
                    r.say(at, format!("{} on {}: a hole of {} on {}", on.title, bolt.title, mm(bore), mm(d)));
                }
            }
        }
    ),
    rule!(
        "thread-differs",
        Stop,
        "a bolt and what is screwed onto it, of two threads",
        "it does not go on, or goes on by force and strips",
        "one thread for both: metric with metric, coarse with coarse",
        "ISO 261 and ASME B1.1: diameters and pitches",
        |c, r| {
            for (at, bolt, on) in screwed(c) {
                let pairs = [(bolt.thread, on.socket), (bolt.socket, on.thread)];
                let differ = |p: &(Option<Thread>, Option<Thread>)| p.0.zip(p.1).is_some_and(|(a, b)| !a.fits(b));
                if pairs.iter().any(differ) {
                    r.say(at, format!("{} and {} have two threads", bolt.title, on.title));
                }
            }
        }
    ),
    rule!(
        "narrow-jaw",
        Caution,
        "metal thicker than the jaws or the mouth of the shackle, link or connector it hangs in",
        "it does not go together; what is used instead at the edge was not planned",
        "a wider shackle, or a soft one",
        "the two items' own sizes",
        |c, r| {
            for (at, item, other, _) in pairs(c).into_iter().filter(|p| !p.1.class.is_soft()) {
                if let (Some(t), Some(jaw)) = (thick_m(item), takes(other))
                    && t > jaw
                {
                    r.say(at, format!("{} is {} thick, {} opens {}", item.title, mm(t), other.title, mm(jaw)));
                }
            }
        }
    ),
    rule!(
        "thimble-too-wide",
        Caution,
        "a thimbled eye that does not pass the mouth of its link, shackle or connector",
        "it does not go together",
        "a link with a wider mouth, a soft shackle, or no thimble on a thick pin",
        "a thimble's width from memory; the link's own size",
        |c, r| {
            for (at, item, other, made) in pairs(c) {
                let on_thimble = matches!(made, Some(EndKind::Spliced { thimble: true, .. }));
                if let (true, Some(d), Some(jaw)) = (on_thimble, item.diameter.map(Quantity::si), takes(other))
                    && THIMBLE_WIDTH * d > jaw
                {
                    let wide = mm(THIMBLE_WIDTH * d);
                    r.say(
                        at,
                        format!("a thimble for {} is about {wide} wide, {} opens {}", mm(d), other.title, mm(jaw)),
                    );
                }
            }
        }
    ),
    rule!(
        "bunched",
        Caution,
        "webbing or a sling more than half again as wide as the link, connector or bow it lies in",
        "it bunches, one edge carries, and it wears",
        "a wider shackle, a ring, a lock between",
        "common practice, no source; inner widths from memory",
        |c, r| {
            for (at, item, other, _) in pairs(c).into_iter().filter(|p| p.1.class.is_soft()) {
                let seat = match other.class {
                    ItemClass::QuickLink => other.stock.map(|s| LINK_WIDTH * s.si()),
                    ItemClass::Connector => takes(other),
                    ItemClass::Shackle => takes(other).map(|jaw| BOW_WIDTH * jaw),
                    _ => None,
                };
                if let (Some(w), Some(seat)) = (item.width.map(Quantity::si), seat)
                    && w > FOLDS * seat
                {
                    r.say(at, format!("{} is {} wide, {} about {} inside", item.title, mm(w), other.title, mm(seat)));
                }
            }
        }
    ),
    rule!(
        "lock-width",
        Caution,
        "webbing wider than its lock or grip, or narrower by more than 5 mm",
        "wide it folds, narrow it runs to one side: it slips or is cut",
        "a lock made for this width",
        PRACTICE,
        |c, r| {
            let mut say = |at: String, webbing: &Item, lock: &Item| {
                if let (Some(w), Some(l)) = (webbing.width.map(Quantity::si), lock.width.map(Quantity::si))
                    && !(0.0..=LOOSE_IN_LOCK_M).contains(&(l - w))
                {
                    r.say(at, format!("{} of {} in {} for {}", webbing.title, mm(w), lock.title, mm(l)));
                }
            };
            for (at, item, other, _) in pairs(c) {
                if item.class == ItemClass::Webbing && other.class == ItemClass::Lock {
                    say(at, item, other);
                }
            }
            let grip = c.plan.tensioning.as_ref().and_then(|t| c.item(&t.grip));
            if let (Some(grip), Some(webbing)) = (grip, c.main_item()) {
                say("tensioning".to_owned(), webbing, grip);
            }
        }
    ),
    rule!(
        "ring-stuck",
        Stop,
        "hardware in the line that is wider than the leash ring is inside",
        "the ring jams there, and the walker with it",
        "a soft shackle at the joint, or a larger ring",
        "the items' own sizes; a soft shackle's knot 4 diameters, common practice",
        |c, r| {
            let leash = c.runs().find(|(_, _, run)| run.role == Role::Leash);
            let rings = leash.iter().flat_map(|(_, _, run)| &run.parts).filter_map(|p| c.item(&p.item));
            let inside = rings.filter(|i| i.class == ItemClass::Ring).filter_map(|i| i.opening).map(Quantity::si);
            let Some(inside) = inside.min_by(f64::total_cmp) else { return };
            let soft: Vec<usize> =
                c.rig.line.elements.iter().enumerate().filter(|(_, e)| e.item.class.is_cut()).map(|(i, _)| i).collect();
            let (Some(first), Some(last)) = (soft.first(), soft.last()) else { return };
            let between = c.rig.line.elements[*first..=*last].iter().map(|e| &*e.item).filter(|i| !i.class.is_soft());
            let ties = c.rig.line.joints.iter().flat_map(|j| match &j.ties {
                crate::plan::Ties::OnePiece(i) => vec![i],
                crate::plan::Ties::Apart { main, backup, together } => vec![main, backup, together],
            });
            let ties = ties.filter_map(|i| c.item(i));
            let widest = between.chain(ties).filter_map(|i| Some((width_m(i)?, &i.title)));
            if let Some((w, title)) = widest.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|w| w.0 > inside) {
                let main = &c.rig.run_names[c.rig.line.run];
                r.say(main.clone(), format!("{title} is about {} wide, the leash ring {} inside", mm(w), mm(inside)));
            }
        }
    ),
    rule!(
        "small-eye",
        Caution,
        "an eye whose throat opens beyond 60° on its pin, or that does not go round it",
        "a pinched eye tears its throat open",
        "a longer eye, for a throat of 30°: five pins are usual",
        "29 CFR 1926.251(d): eyes of rope slings open to 60° at the most; the rest common practice, no source",
        |c, r| {
            for (i, run, k, part, item) in c.parts() {
                let (seats, _) = super::neighbours(c.plan, c.catalogue, i, k);
                let Some(d) = item.diameter.map(Quantity::si) else { continue };
                for (end, seat) in part.ends.iter().flatten().zip(&seats) {
                    let over = matches!(end.kind, EndKind::Spliced { thimble: false, .. });
                    if let (true, Some(eye), Some(pin)) = (over, end.eye.map(Quantity::si), seat.diameter_m)
                        && eye < half_eye(pin, d, WIDEST_DEG)
                    {
                        let need = mm(half_eye(pin, d, WIDEST_DEG));
                        r.say(at_part(run, k), format!("an eye of {} on {}: at least {need}", mm(eye), seat.name));
                    }
                }
            }
        }
    ),
];
