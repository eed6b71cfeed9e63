//! What no plan shows and every trip needs, counted from what the plan does show.

use super::super::Facts;
use super::super::rig_card::release_cord_m;
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
}

/// The kit of a plan, by what it is for. Common practice, no source.
pub(super) fn kit(facts: &Facts<'_>) -> Vec<(&'static str, Vec<Kit>)> {
    let (plan, rig) = (&facts.file.plan, &facts.solver.rig);
    let l = |m: f64| show(Dim::Length, m, facts.system);
    let people = plan.people.walkers.len().max(PEOPLE);
    let trees =
        plan.points.values().filter(|p| matches!(p.kind, PointKind::Fixed { by: Hold::Tree { .. }, .. })).count();
    let ends = plan.runs.values().flat_map(|r| &r.parts).flat_map(|p| p.ends.iter().flatten());
    let locks = ends.filter(|e| matches!(e.kind, EndKind::Locked { .. })).count();
    let legs = plan.runs.values().filter(|r| r.role == Role::Leg).count();
    let across = l(1.2 * plan.site.span.si());
    let drop = plan.site.ground.iter().map(|g| g.1.si()).fold(0.0, f64::min);
    let rescue = l(1.2 * plan.site.span.si().max(-drop));
    let through = comes_through(rig, &facts.solver.standing, facts.review.line.mean_standing_n()).0;
    let release = l(release_cord_m(through));
    let one = |id, what: &str| Kit { id, count: 1, what: what.to_owned() };
    let some = |id, count: usize, what: &str| Kit { id, count, what: what.to_owned() };
    let mut handling = vec![
        some("edge-rope", people, "rope and lanyard to work at the edge, one a person"),
        some("edge-pad", legs + 4, "edge pad with ties, one a leg and 4 spare"),
        some("helmet", people, "helmet"),
        some("gloves", people, "gloves, pair"),
    ];
    if trees > 0 {
        handling.push(some("bark-mat", trees, "bark mat, one a tree"));
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
    if plan.rescue.as_ref().is_some_and(|r| r.roller.is_some()) {
        named.push("line-roller");
    }
    let lists = vec![
        ("edges and handling", handling),
        (
            "getting the line across",
            vec![
                one("messenger", &format!("messenger, {across}")),
                one("tag-line-3", &format!("tag line 3 mm, {across}")),
                one("tag-line-6", &format!("tag line 6 mm, {across}")),
                one("throw-weight", "throw weight, or what carries the messenger"),
                one("line-brake", "brake for the sending side"),
                some("marker", 2, "marker or streamer"),
            ],
        ),
        (
            "tensioning and release",
            vec![
                one("release-cord", &format!("release cord, {release}")),
                some("tail-tie", locks.max(1), "tail tie, one a lock"),
                some("tape", 2, "tape, roll"),
                one("spanners", "spanners that fit every nut and link"),
                one("mousing", "cable ties or wire to mouse pins"),
                one("cord-20", &format!("cord, {}", l(20.0))),
            ],
        ),
        (
            "measuring",
            vec![
                one("laser", "laser or tape"),
                one("inclinometer", "inclinometer"),
                one("tension-meter", "tension meter, or watch for the pulse"),
                some("radio", 2, "radio, charged, a channel agreed"),
            ],
        ),
        (
            "rescue and first aid",
            vec![
                one("line-roller", "line roller with lanyard"),
                one("short-pulleys", "short pulley set"),
                one("rescue-rope", &rescue),
                one("spare-leash", "spare leash"),
                one("spare-harness", "second harness"),
                one("knife", "knife or shears, sheathed"),
                one("first-aid", "first-aid kit and blanket"),
                one("phone", "phone, numbers, coordinates of the landing place"),
            ],
        ),
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
                one("spare-webbing", &format!("webbing, {}: a tenth of the span", l(0.1 * plan.site.span.si()))),
            ],
        ),
    ];
    let left = |kits: Vec<Kit>| kits.into_iter().filter(|k| !named.contains(&k.id)).collect();
    lists.into_iter().map(|(title, kits)| (title, left(kits))).collect()
}
