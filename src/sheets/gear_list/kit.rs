//! What no plan shows and every trip needs, counted from what the plan does show.

use super::super::Facts;
use super::super::rig_card::release_cord_m;
use crate::catalogue::Surface;
use crate::plan::{EndKind, Hold, PointKind, Role};
use crate::review::comes_through;
use crate::units::{Dim, Quantity, show};

/// People on site whom the kit is counted for: two a side, or the walkers if they are more. Common practice, no source.
const PEOPLE: usize = 4;

/// A piece of kit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Kit {
    /// What an inventory calls it.
    pub(super) id: &'static str,
    /// How many.
    pub(super) count: usize,
    /// What it is, with the length that is needed.
    pub(super) what: String,
    /// What one weighs, kg, where that is known.
    each_kg: Option<f64>,
}

impl Kit {
    /// What all of it weighs, kg.
    pub(super) fn mass_kg(&self) -> Option<f64> {
        Some(self.count as f64 * self.each_kg?)
    }

    fn weighs(self, each_kg: f64) -> Self {
        Self { each_kg: Some(each_kg), ..self }
    }
}

/// What a metre weighs, kg: of a rope of 11 mm, of cords of 1, 3, 4 and 6 mm. From memory.
const ROPE_11: f64 = 0.075;
const CORD_1: f64 = 0.001;
const CORD_3: f64 = 0.006;
const CORD_4: f64 = 0.011;
const CORD_6: f64 = 0.024;

/// The kit of a plan, by what it is for. Common practice, no source; what it weighs from memory.
pub(super) fn kit(facts: &Facts<'_>) -> Vec<(&'static str, Vec<Kit>)> {
    let (plan, rig) = (&facts.file.plan, &facts.solver.rig);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let pull = plan.tensioning.as_ref().map_or(0, |t| t.people).max(plan.crossing.as_ref().map_or(0, |x| x.people));
    // The hands stay, one goes out, and one hangs there.
    let hands = plan.rescue.as_ref().map_or(0, |r| r.hands[0] + r.hands[1] + 2);
    let people = plan.people.walkers.len().max(PEOPLE).max(pull + 1).max(hands);
    let trees =
        plan.points.values().filter(|p| matches!(p.kind, PointKind::Fixed { by: Hold::Tree { .. }, .. })).count();
    let ends = plan.runs.values().flat_map(|r| &r.parts).flat_map(|p| p.ends.iter().flatten());
    let locks = ends.filter(|e| matches!(e.kind, EndKind::Locked { .. })).count();
    let legs = plan.runs.values().filter(|r| r.role == Role::Leg).count();
    let drop = plan.site.ground.iter().map(|g| g.1.si()).fold(0.0, f64::min);
    let rescue = l(1.2 * plan.site.span.si().max(-drop));
    let through = comes_through(rig, &facts.solver.standing, facts.review.line.mean_standing_n()).0;
    let release = l(release_cord_m(through));
    let one = |id, what: &str| Kit { id, count: 1, what: what.to_owned(), each_kg: None };
    let some = |id, count: usize, what: &str| Kit { id, count, what: what.to_owned(), each_kg: None };
    let across_m = 1.2 * plan.site.span.si();
    let across = l(across_m);
    let rescue_m =
        plan.rescue.as_ref().and_then(|r| r.lower).map_or(1.2 * plan.site.span.si().max(-drop), Quantity::si);
    let web_kg_per_m = plan
        .main()
        .into_iter()
        .flat_map(|(_, r)| &r.parts)
        .filter_map(|p| facts.file.catalogue.get(&p.item))
        .filter(|i| i.class.is_soft())
        .map(|i| i.mass_per_m())
        .fold(0.0, f64::max);
    let mut handling = vec![
        some("edge-rope", people, "rope and lanyard to work at the edge, one a person").weighs(1.5),
        some("edge-pad", legs + 4, "edge pad with ties, one a leg and 4 spare").weighs(0.3),
        some("helmet", people, "helmet").weighs(0.35),
        some("gloves", people, "gloves, pair").weighs(0.15),
    ];
    if trees > 0 {
        handling.push(some("bark-mat", trees, "bark mat, one a tree").weighs(1.0));
    }
    if let Some(x) = &plan.crossing {
        for (side, on) in ["A", "B"].into_iter().zip(x.edges) {
            let under = match on {
                Surface::Roller => Some(("edge-roller", "edge roller for the line", 2.0)),
                Surface::Carpet => Some(("edge-carpet", "carpet for the line's edge, with ties", 1.0)),
                _ => None,
            };
            handling.extend(under.map(|(id, what, kg)| one(id, &format!("{what}, at {side}")).weighs(kg)));
        }
    }
    // What an edge rope is tied to has to be tied to.
    let anchors = plan.ties.values().flat_map(|t| &t.anchors);
    let slung =
        anchors.filter(|a| !matches!(plan.points.get(*a).and_then(|p| p.hold()), Some(Hold::Bolt { .. }))).count();
    if slung > 0 {
        handling.push(some("edge-sling", slung, "sling round what an edge rope is tied to, one a rope").weighs(0.2));
    }
    let tied = 2 * plan.ties.len();
    let ropes = tied + plan.rescue.as_ref().map_or(0, |r| r.ropes.len() + usize::from(r.lower.is_some()));
    if ropes > 0 {
        let words = "locking connectors: both ends of an edge rope, an end of each other";
        handling.push(some("connector", ropes, words).weighs(0.09));
    }
    // What the plan names of its own stands among its pieces.
    let mut named: Vec<&str> = Vec::new();
    if plan.crossing.is_some() {
        named.extend(["messenger", "tag-line-3", "tag-line-6"]);
    }
    if !plan.ties.is_empty() {
        named.push("edge-rope");
    }
    let lower = plan.rescue.as_ref().and_then(|r| r.lower).map(|m| format!("rope to lower with, {}", l(m.si())));
    let rescue = lower.unwrap_or_else(|| format!("rope, {rescue}: the span or the height, and a fifth more"));
    if let Some(r) = &plan.rescue {
        if r.roller.is_some() {
            named.push("line-roller");
        }
        // Its tow ropes are among the pieces; without a way down no other is asked for.
        if r.lower.is_none() {
            named.push("rescue-rope");
        }
        if r.set.is_some() {
            named.push("short-pulleys");
        }
    }
    let mut tensioning = vec![
        one("release-cord", &format!("release cord, {release}")),
        one("release-ring", "ring or locking connector that the release is tied on").weighs(0.1),
        some("tail-tie", locks.max(1), "tail tie, one a lock"),
        some("tape", 2, "tape, roll").weighs(0.15),
        some("spanners", 2, "spanners that fit every nut and link, a set a side").weighs(0.8),
        some("mousing", 2, "cable ties or wire to mouse pins, a bag a side"),
        one("cord-20", &format!("cord, {}", l(20.0))).weighs(20.0 * CORD_4),
    ];
    match &plan.tensioning {
        Some(t) => {
            // Either end of the system, the grip, and what holds the rope.
            let joints = 3 + usize::from(t.capture.is_some());
            let connectors = "connectors of the pulley system: its two ends, the grip";
            tensioning.push(some("pulley-connector", joints, connectors).weighs(0.2));
            tensioning.push(one("spare-grip", "second grip, to hold the line while the first is moved"));
        }
        None => tensioning.push(one(
            "tensioner",
            "what tensions it, which the plan does not say: grip, pulleys, rope, what holds the rope",
        )),
    }
    let mut aid = vec![
        one("line-roller", "line roller with lanyard"),
        one("short-pulleys", "short pulley set").weighs(1.2),
        one("rescue-rope", &rescue).weighs(ROPE_11 * rescue_m),
        one("spare-leash", "spare leash"),
        one("spare-harness", "second harness").weighs(0.5),
        some("knife", 2, "knife or shears, sheathed, one a side"),
        some("first-aid", 2, "first-aid kit and blanket, one a side").weighs(1.0),
        one("phone", "phone, numbers, coordinates of the landing place"),
    ];
    if let Some(r) = &plan.rescue {
        if r.lower.is_some() {
            aid.push(one("lowering-brake", "brake to lower with, on a connector of its own").weighs(0.4));
        }
        if r.set.is_some() {
            aid.push(some("rope-grab", 2, "rope grabs of the pulley set: one holds, one pulls").weighs(0.2));
        }
        if r.roller.is_some() {
            aid.push(one("roller-lanyard", "lanyard of the roller"));
        }
    }
    let lists = vec![
        ("edges and handling", handling),
        (
            "getting the line across",
            vec![
                one("messenger", &format!("messenger, {across}")).weighs(CORD_1 * across_m),
                one("tag-line-3", &format!("tag line 3 mm, {across}")).weighs(CORD_3 * across_m),
                one("tag-line-6", &format!("tag line 6 mm, {across}")).weighs(CORD_6 * across_m),
                one("throw-weight", "throw weight, or what carries the messenger").weighs(0.3),
                one("line-brake", "brake for the sending side").weighs(0.5),
                some("marker", 2, "marker or streamer"),
            ],
        ),
        ("tensioning and release", tensioning),
        (
            "people",
            vec![
                some("harness", people, "harness, worn or carried").weighs(0.6),
                some("headlamp", people, "headlamp, charged").weighs(0.1),
                some("water", people, "water and food, 2 l a person").weighs(2.5),
                some("clothes", people, "warm and dry clothes, a bag a person"),
            ],
        ),
        (
            "measuring",
            vec![
                one("laser", "laser or tape").weighs(0.3),
                one("inclinometer", "inclinometer"),
                one("tension-meter", "tension meter, or watch for the pulse"),
                some("radio", 2, "radio, charged, a channel agreed").weighs(0.25),
            ],
        ),
        ("rescue and first aid", aid),
        (
            "paper",
            vec![
                one("permit", "permit"),
                one("sheets", "this list, the rig card, the plan"),
                one("instructions", "makers' instructions of locks and grips"),
            ],
        ),
        (
            "spares",
            vec![
                some("spare-shackle", 2, "shackle"),
                some("spare-quick-link", 2, "quick link"),
                some("spare-soft-shackle", 2, "soft shackle"),
                some("spare-ring", 2, "leash ring"),
                one("spare-lock", "webbing lock"),
                one("spare-webbing", &format!("webbing, {}: a tenth of the span", l(0.1 * plan.site.span.si())))
                    .weighs(0.1 * plan.site.span.si() * web_kg_per_m),
            ],
        ),
    ];
    let left = |kits: Vec<Kit>| kits.into_iter().filter(|k| !named.contains(&k.id)).collect();
    lists.into_iter().map(|(title, kits)| (title, left(kits))).collect()
}
