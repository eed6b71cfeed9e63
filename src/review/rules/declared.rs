//! Rules about facts that no geometry shows: the plan declares them, and what is not declared is not known.

use super::{Context, Declared, Gravity, Hitch, Hold, PRACTICE, Report, Role, Rule};
use crate::plan::EndKind;

/// A fact that a plan has to declare, where it applies.
macro_rules! fact {
    ($id:literal, $gravity:ident, $key:literal, $what:literal, $why:literal, $remedy:literal, $source:expr, $applies:expr) => {
        Rule {
            id: $id,
            gravity: Gravity::$gravity,
            when: concat!("“", $key, "” is not declared: ", $what),
            why: $why,
            remedy: $remedy,
            source: $source,
            key: Some($key),
            check: |c, r| {
                let applies: fn(&Context<'_>) -> bool = $applies;
                if applies(c) {
                    ask(c, r, $key, $what);
                }
            },
        }
    };
}

fn ask(c: &Context<'_>, r: &mut Report<'_>, key: &str, what: &str) {
    match c.plan.declared.get(key) {
        Some(Declared::Yes(_)) => {}
        Some(Declared::No(words)) => r.say(
            "",
            format!("{what}: declared “no”{}", if words.is_empty() { String::new() } else { format!(" ({words})") }),
        ),
        Some(Declared::Unknown) | None => r.say("", format!("{what}: not declared (declare “{key}”)")),
    }
}

fn always(_: &Context<'_>) -> bool {
    true
}

fn held_by(c: &Context<'_>, what: impl Fn(&Hold) -> bool) -> bool {
    c.plan.points.values().filter_map(crate::plan::Point::hold).any(what)
}

fn has_bolts(c: &Context<'_>) -> bool {
    held_by(c, |h| matches!(h, Hold::Bolt { .. }))
}

fn has_trees(c: &Context<'_>) -> bool {
    held_by(c, |h| matches!(h, Hold::Tree { .. }))
}

fn has_frames(c: &Context<'_>) -> bool {
    held_by(c, |h| matches!(h, Hold::Frame(None)))
}

/// A sling laid around something that it could ride up or over.
fn has_slung_rock(c: &Context<'_>) -> bool {
    c.runs().filter(|(_, _, run)| run.role == Role::Leg).any(|(_, _, run)| {
        let around = run.parts.iter().any(|p| matches!(p.hitch, Hitch::Basket | Hitch::Choke | Hitch::Wrap(_)));
        around && run.path.iter().any(|p| matches!(c.plan.points.get(p).and_then(|p| p.hold()), Some(h) if slippery(h)))
    })
}

fn slippery(h: &Hold) -> bool {
    matches!(h, Hold::Boulder(_) | Hold::Thread(_) | Hold::Deadman(_) | Hold::Vehicle(_))
}

fn has_splices(c: &Context<'_>) -> bool {
    c.parts().any(|(_, _, _, p, _)| p.ends.iter().flatten().any(|e| matches!(e.kind, EndKind::Spliced { .. })))
}

/// Facts that a plan has to declare.
pub(super) const RULES: &[Rule] = &[
    fact!(
        "edges-padded",
        Stop,
        "edges padded",
        "edges padded and pads tied",
        "textile under tension is cut by an edge at a fraction of its strength",
        "pad every edge, tie the pads, mind the tails and the backup",
        PRACTICE,
        always
    ),
    fact!(
        "span-points",
        Caution,
        "span points",
        "span and height difference are between the points that the line ends at, not between edges, bolts or trunks",
        "a metre off is several per cent of sag and tension, and legs that do not meet their master",
        "measure from master to master, or add what lies between",
        PRACTICE,
        always
    ),
    fact!(
        "load-release",
        Stop,
        "load release",
        "a release under load",
        "the line can be neither lowered nor used for rescue",
        "a soft release",
        PRACTICE,
        always
    ),
    fact!(
        "buddy-check",
        Stop,
        "buddy check",
        "a partner check before every start",
        "people who walked untied have died of it",
        "ask and answer “tied in?” before every start",
        PRACTICE,
        always
    ),
    fact!(
        "rescue",
        Stop,
        "rescue kit",
        "a rescue kit and plan",
        "hanging still can make people faint after minutes to an hour, and nobody can tell when",
        "a kit at the line, practised",
        "HSE RR708; tests of suspension in sit harnesses, first faint near 13 minutes",
        |c| c.plan.rescue.is_none() || matches!(c.plan.declared.get("rescue kit"), Some(Declared::No(_)))
    ),
    fact!(
        "edge-unsaid",
        Caution,
        "edge ropes",
        "ropes for those who work at the edges",
        "those who rig are nearer to the edge, and longer, than those who walk",
        "write them as ties into the plan, or say how people are held",
        PRACTICE,
        |c| c.plan.ties.is_empty()
    ),
    fact!(
        "airspace",
        Stop,
        "airspace",
        "a notice to aircraft, and markers",
        "aircraft",
        "file a notice, mark the line",
        "14 CFR 77.9 (200 ft); national rules differ",
        |c| c.height_m().is_some_and(|h| h > 60.0)
    ),
    fact!(
        "bolts-checked",
        Stop,
        "bolts checked",
        "type, age and seat of every bolt looked at; none spins or rusts",
        "a bolt of unknown kind or age has no strength that could be counted",
        "test, replace, or leave it out of the count",
        PRACTICE,
        has_bolts
    ),
    fact!(
        "rock-judged",
        Caution,
        "rock judged",
        "the rock is hard, and whole around and between the bolts; in soft rock the bolts are long and tested",
        "bolts in one block go with the block; in soft rock they pull out",
        "sound it, spread the bolts, longer glued-in bolts, a pull test",
        PRACTICE,
        has_bolts
    ),
    fact!(
        "trees-judged",
        Caution,
        "trees judged",
        "every tree is alive, rooted in soil, and its bark padded",
        "a dead or shallow tree goes over, a bare sling girdles it",
        "another tree, several, a pad under every sling",
        PRACTICE,
        has_trees
    ),
    fact!(
        "frame-guyed",
        Stop,
        "frame guyed",
        "frames are guyed both ways and stand before an anchor",
        "a frame that is not guyed both ways falls over",
        "guys, and an anchor behind it",
        PRACTICE,
        has_frames
    ),
    fact!(
        "slings-held-down",
        Caution,
        "slings held down",
        "no sling can ride up or over what it lies around",
        "it comes off",
        "tie it down, or choose another place",
        PRACTICE,
        has_slung_rock
    ),
    fact!(
        "gates-closed",
        Caution,
        "gates closed",
        "everything closed, wrenched and moused before tension",
        "what is open opens under load",
        "close, wrench, mouse; then tension",
        PRACTICE,
        always
    ),
    fact!(
        "locks-checked",
        Caution,
        "locks checked",
        "every webbing lock threaded as its drawing shows, the tail tied and marked",
        "upside down, or with the tail the wrong way out, it is a thing that nobody has tested",
        "follow its drawing, tie the tail off, mark it",
        PRACTICE,
        |c| c.parts().any(|(.., item)| item.class == super::ItemClass::Lock)
    ),
    fact!(
        "webbing-age",
        Caution,
        "webbing age",
        "days of use of main and backup are known, within their makers' limit, and not the same",
        "webbing that has hung too long breaks without a sign; two of one age go together",
        "keep a log, retire by it, stagger the ages",
        PRACTICE,
        always
    ),
    fact!(
        "proof-loaded",
        Caution,
        "proof loaded",
        "spliced gear of one's own is proof-loaded and logged",
        "a splice that was never pulled is a guess",
        "set it under load, write it down",
        PRACTICE,
        has_splices
    ),
    fact!(
        "line-over-unsaid",
        Caution,
        "line over",
        "how the line gets over a gap of 40 m or more is planned: stages, pulls, brake, what it may snag on",
        "the first pull, the snag at one third, the brake that no hand holds: all of it before anybody walks",
        "write it as a crossing into the plan, or say how it was looked at",
        PRACTICE,
        |c| c.over.is_none() && crate::units::Quantity::si(c.plan.site.span) >= 40.0
    ),
    fact!(
        "rings-pass",
        Caution,
        "rings pass",
        "the leash rings were drawn over every joint of the line",
        "a ring that jams at a joint stops the walker, or opens what holds the joint",
        "try it on the ground; tape the joints smooth",
        PRACTICE,
        |c| !c.rig.line.joints.is_empty()
    ),
    fact!(
        "tensioner-tied-back",
        Caution,
        "tensioner tied back",
        "a rope holds the pulley system's metal back if the line or the grip lets go",
        "metal under tension that flies kills people",
        "a rope of 9 mm or more from the grip to another anchor, nobody in line with it",
        PRACTICE,
        |c| c.plan.tensioning.is_some()
    ),
    fact!(
        "taped",
        Note,
        "taped",
        "main and backup taped together at unequal distances under 10 m",
        "equal or long distances swing, and a loop of backup can wrap the ring",
        "tape at unequal distances of some metres",
        PRACTICE,
        |c| c.backup_item().is_some()
    ),
    fact!(
        "left-up",
        Caution,
        "left up",
        "the line is taken down, or marked and watched, when nobody walks",
        "sun, wind and strangers work on a line that nobody looks at",
        "lower it, or mark it and look at it before every use",
        PRACTICE,
        always
    ),
    fact!(
        "permit",
        Caution,
        "permit",
        "permit, owner, closures",
        "access lost for all, de-rigging in a hurry",
        "ask, and carry the paper",
        PRACTICE,
        always
    ),
    fact!(
        "two-a-side",
        Caution,
        "two a side",
        "two people a side with radios",
        "nobody to check, to rescue, to stop the tensioner",
        "two people a side, radios, agreed words",
        PRACTICE,
        always
    ),
    fact!(
        "de-rig",
        Caution,
        "de-rig",
        "how the line comes down: brake, tag line, who is last at the edge",
        "a line let go by hand is dropped or hangs fast, and the last one stands exposed",
        "a brake at the end that is let out, a tag line, a named last person",
        PRACTICE,
        always
    ),
];
