//! What would mend a piece that does not meet, tried: the plan is changed and solved, and the factor that comes out is told.

use std::sync::atomic::AtomicBool;

use super::case::Class;
use super::factors::Kind;
use super::incident::Event;
use super::probe::Question;
use super::reviewing::Review;
use super::row::{Place, Row};
use super::strength::FULL_BURY;
use super::verdict::Verdict;
use crate::catalogue::{Catalogue, Class as ItemClass, Fibre, Item};
use crate::plan::{
    At, Connected, EndKind, Hitch, Hold, Part, PartLength, Plan, PlanFile, PointKind, Role, Side, SpliceStyle, Target,
    Ties,
};
use crate::units::{Angle, Force, Length, Quantity};

/// A change of the plan that was tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Mended {
    /// What is changed.
    pub what: String,
    /// The piece's factor then; not a number when the changed plan has no such piece or no solution.
    pub factor: f64,
    /// Required of it.
    pub required: f64,
    /// Its verdict then.
    pub verdict: Verdict,
    /// What fails then that met before; nothing when nothing does.
    pub breaks: Option<String>,
}

/// How many sizes up are tried.
const SIZES: usize = 2;
/// How far beside an anchor one more is tried, m.
const BESIDE_M: f64 = 0.4;
/// How far out the point is tried where legs meet, m.
const OUT_M: f64 = 0.5;

/// Changes that could mend a row, each tried by solving, the best first.
#[must_use]
pub fn mended(file: &PlanFile, base: &Review, row: &Row, stop: &AtomicBool) -> Vec<Mended> {
    let event: Vec<Event> =
        row.situation().and_then(|s| base.incident(s)).map(|i| i.event.clone()).into_iter().collect();
    let mut question = Question::about(base, event, stop);
    question.beside(base);
    let mut out: Vec<Mended> = changes(file, row)
        .into_iter()
        .map(|(what, plan)| {
            let changed = PlanFile { plan, ..file.clone() };
            let lost = |why: String| Mended {
                what: what.clone(),
                factor: f64::NAN,
                required: row.required,
                verdict: Verdict::Unsolved,
                breaks: Some(why),
            };
            match question.ask(&changed) {
                Err(why) => lost(why),
                Ok(review) => {
                    let same =
                        |r: &&Row| r.place == row.place && r.class == row.class && r.one_hole() == row.one_hole();
                    match review.rows.iter().find(same) {
                        None => lost("the piece is not there any more".to_owned()),
                        Some(r) => Mended {
                            what: what.clone(),
                            factor: r.factor,
                            required: r.required,
                            verdict: r.verdict,
                            breaks: question.first_fault(&review),
                        },
                    }
                }
            }
        })
        .collect();
    // What changes nothing is no remedy.
    out.retain(|m| m.verdict < row.verdict || m.factor > 1.005 * row.factor);
    out.dedup_by(|a, b| a.what == b.what);
    let rank = |m: &Mended| (m.verdict, u8::from(m.breaks.is_some()));
    out.sort_by(|a, b| rank(a).cmp(&rank(b)).then((b.factor / b.required).total_cmp(&(a.factor / a.required))));
    out
}

/// Plans that differ in one thing that bears on a row.
fn changes(file: &PlanFile, row: &Row) -> Vec<(String, Plan)> {
    let (plan, catalogue) = (&file.plan, &file.catalogue);
    let mut out: Vec<(String, Plan)> = Vec::new();
    let mut with = |what: String, change: &dyn Fn(&mut Plan)| {
        let mut changed = plan.clone();
        change(&mut changed);
        if changed != *plan {
            out.push((what, changed));
        }
    };
    match &row.place {
        Place::Part(run, n) => {
            let Some(part) = plan.runs.get(run).and_then(|r| r.parts.get(n - 1)) else { return out };
            let at = |p: &mut Plan, change: &dyn Fn(&mut Part)| {
                if let Some(part) = p.runs.get_mut(run).and_then(|r| r.parts.get_mut(n - 1)) {
                    change(part);
                }
            };
            for item in up(catalogue, &part.item) {
                // All lengths of a line are of one kind.
                with(format!("{} instead", item.title), &|p| {
                    let whole = p.runs.get(run).is_some_and(|r| !matches!(r.role, Role::Leg));
                    let parts = p.runs.get_mut(run).into_iter().flat_map(|r| r.parts.iter_mut().enumerate());
                    for (_, other) in parts.filter(|(k, o)| k + 1 == *n || whole && o.item == part.item) {
                        other.item.clone_from(&item.id);
                    }
                });
            }
            let item = catalogue.get(&part.item);
            let d = item.and_then(|i| i.diameter).map(Quantity::si);
            if let Some(d) = d {
                let full = Length::from_si(FULL_BURY * d);
                let longer = move |kind: &mut EndKind| {
                    if let EndKind::Spliced { bury, tapered, stitched, style, .. } = kind
                        && *style != SpliceStyle::Tucked
                    {
                        *bury = Some(bury.filter(|b| b.si() >= full.si()).unwrap_or(full));
                        (*tapered, *stitched) = (true, true);
                    }
                };
                with("bury 72 diameters, tapered and stitched".to_owned(), &|p| {
                    at(p, &|part| part.ends.iter_mut().flatten().for_each(|e| longer(&mut e.kind)));
                });
            }
            with("eyes on thimbles".to_owned(), &|p| {
                at(p, &|part| {
                    for e in part.ends.iter_mut().flatten() {
                        if let EndKind::Spliced { thimble, .. } = &mut e.kind {
                            *thimble = true;
                        }
                    }
                });
            });
            let braid = item.is_some_and(|i| i.class == ItemClass::HollowBraid);
            with(if braid { "spliced ends" } else { "sewn ends" }.to_owned(), &|p| {
                at(p, &|part| {
                    for e in part.ends.iter_mut().flatten().filter(|e| matches!(e.kind, EndKind::Knotted(_))) {
                        e.kind = if braid { spliced() } else { EndKind::Sewn };
                    }
                });
            });
            if matches!(part.hitch, Hitch::Choke | Hitch::Girth) {
                let how = if part.hitch == Hitch::Choke { Hitch::Basket } else { Hitch::Straight };
                let words =
                    if part.hitch == Hitch::Choke { "laid as a basket" } else { "on a ring instead of hitched" };
                with(words.to_owned(), &|p| at(p, &|part| part.hitch = how));
            }
            let next = [n.checked_sub(2), Some(*n)].into_iter().flatten();
            for k in next {
                let Some(other) = plan.runs.get(run).and_then(|r| r.parts.get(k)) else { continue };
                // A thicker pin under its eye.
                for wide in up(catalogue, &other.item).into_iter().take(1).filter(|i| !i.class.is_soft()) {
                    with(format!("{} beside it", wide.title), &|p| {
                        if let Some(part) = p.runs.get_mut(run).and_then(|r| r.parts.get_mut(k)) {
                            part.item.clone_from(&wide.id);
                        }
                    });
                }
            }
        }
        Place::Point(name) => {
            let hardware = plan.points.get(name).and_then(|p| p.hardware.clone()).unwrap_or_default();
            let mut items = up(catalogue, &hardware);
            if catalogue.get(&hardware).is_some_and(|i| i.class != ItemClass::Ring) {
                items.extend(catalogue.get("master-ring").map(|i| (**i).clone()));
            }
            for item in items {
                with(format!("{} instead", item.title), &|p| {
                    if let Some(point) = p.points.get_mut(name) {
                        point.hardware = Some(item.id.clone());
                    }
                });
            }
        }
        Place::Anchor(name) => moved_anchors(plan, catalogue, name, &mut with),
        Place::Height(_) => higher(plan, &mut with),
        // What goes over is changed in the crossing itself.
        Place::Crossing(_) | Place::Rescue(_) | Place::Tie(..) | Place::Frame(..) => {}
        Place::Joint(_) | Place::Gear(_) => {
            for item in up(catalogue, &row.item) {
                with(format!("{} instead", item.title), &|p| {
                    for id in small_gear(p, &row.place) {
                        if *id == row.item {
                            id.clone_from(&item.id);
                        }
                    }
                });
            }
        }
    }
    if let Some(leg) = leg_at(plan, &row.place) {
        other_legs(plan, catalogue, leg, &mut with);
    }
    let heavy = plan.main().and_then(|(_, r)| r.parts.iter().find(|p| matches!(p.length, PartLength::Solve(_))));
    if let (Some(line), Kind::Main | Kind::Leash | Kind::Backup) = (heavy, row.kind)
        && let Some(item) = softer(catalogue, &line.item)
    {
        with(format!("a softer main line: {}", item.title), &|p| {
            let main = p.runs.values_mut().filter(|r| r.role == Role::Main).flat_map(|r| &mut r.parts);
            main.filter(|o| o.item == line.item).for_each(|o| o.item.clone_from(&item.id));
        });
    }
    for less in [0.9, 0.75] {
        with(format!("{:.0} % less standing tension", 100.0 * (1.0 - less)), &|p| {
            main_of(p, &|part| {
                if let PartLength::Solve(Target::Standing(n, _)) = &mut part.length {
                    *n = Force::from_si(less * n.si());
                }
            });
        });
    }
    if row.class != Class::Working && row.kind == Kind::Leash {
        with("a leash of 1.2 m".to_owned(), &|p| {
            for part in p.runs.values_mut().filter(|r| r.role == Role::Leash).flat_map(|r| &mut r.parts) {
                if matches!(part.length, PartLength::Is(l) if l.si() > 1.2) {
                    part.length = PartLength::Is(Length::from_si(1.2));
                }
            }
        });
    }
    out
}

/// Items that a joint, or the gear for tensioning, is made of.
fn small_gear<'a>(plan: &'a mut Plan, place: &Place) -> Vec<&'a mut String> {
    match place {
        Place::Joint(_) => {
            let ties = plan.runs.values_mut().filter_map(|r| match &mut r.role {
                Role::Backup { connected: Connected::EveryJoint(t) | Connected::Joints(_, t), .. } => Some(t),
                _ => None,
            });
            ties.flat_map(|t| match t {
                Ties::OnePiece(i) => vec![i],
                Ties::Apart { main, backup, together } => vec![main, backup, together],
            })
            .collect()
        }
        Place::Gear(_) => {
            let gear = plan.tensioning.iter_mut();
            gear.flat_map(|t| {
                [&mut t.rope, &mut t.grip, &mut t.sheave].into_iter().chain(&mut t.sheaves).chain(&mut t.capture)
            })
            .collect()
        }
        _ => Vec::new(),
    }
}

/// An anchor of another kind, or at another place.
fn moved_anchors(plan: &Plan, catalogue: &Catalogue, name: &str, with: &mut dyn FnMut(String, &dyn Fn(&mut Plan))) {
    let Some(point) = plan.points.get(name) else { return };
    let PointKind::Fixed { at, by, .. } = &point.kind else { return };
    if let Hold::Bolt { item, .. } = by {
        let across = |i: &Item| i.radial.as_ref().and_then(crate::catalogue::Rating::minimum_n);
        let has = catalogue.get(item).and_then(|i| across(i)).unwrap_or(0.0);
        let mut more: Vec<_> =
            catalogue.iter().filter(|(_, i)| i.class == ItemClass::Bolt && across(i) > Some(1.01 * has)).collect();
        more.sort_by(|a, b| across(a.1).unwrap_or(0.0).total_cmp(&across(b.1).unwrap_or(0.0)));
        for (_, item) in more.into_iter().take(SIZES) {
            with(format!("{} instead", item.title), &|p| {
                if let Some(PointKind::Fixed { by: Hold::Bolt { item: i, .. }, .. }) =
                    p.points.get_mut(name).map(|p| &mut p.kind)
                {
                    i.clone_from(&item.id);
                }
            });
        }
    }
    let At::Place([x, y, z]) = at.clone() else { return };
    let back = if point.side == Side::A { -1.0 } else { 1.0 };
    let mut put = |words: &str, place: [Length; 3]| {
        with(words.to_owned(), &|p| {
            if let Some(PointKind::Fixed { at, .. }) = p.points.get_mut(name).map(|p| &mut p.kind) {
                *at = At::Place(place);
            }
        });
    };
    put("moved back by 1 m", [Length::from_si(x.si() + back), y, z]);
    put("moved halfway to the line's own direction", [x, Length::from_si(0.5 * y.si()), z]);
}

/// The leg that a place belongs to: it is a part of it, its anchor, or what hangs on it.
fn leg_at<'a>(plan: &'a Plan, place: &Place) -> Option<&'a String> {
    let legs = || plan.runs.iter().filter(|(_, r)| r.role == Role::Leg);
    match place {
        Place::Part(run, _) => legs().map(|(name, _)| name).find(|name| *name == run),
        Place::Anchor(p) | Place::Point(p) => legs().find(|(_, r)| r.path.contains(p)).map(|(name, _)| name),
        Place::Joint(_)
        | Place::Gear(_)
        | Place::Crossing(_)
        | Place::Rescue(_)
        | Place::Tie(..)
        | Place::Frame(..)
        | Place::Height(_) => None,
    }
}

/// One more leg like this, the point where it meets the others set further out, and softer legs there.
fn other_legs(plan: &Plan, catalogue: &Catalogue, leg: &str, with: &mut dyn FnMut(String, &dyn Fn(&mut Plan))) {
    let Some(run) = plan.runs.get(leg) else { return };
    let fixed = |p: &String| plan.points.get(p).is_some_and(|p| p.hold().is_some());
    let Some(meet) = run.path.iter().find(|p| plan.points.contains_key(*p) && !fixed(p)) else { return };
    if let [from, to] = &run.path[..]
        && fixed(from) != fixed(to)
    {
        let anchor = if fixed(from) { from } else { to };
        with(format!("one more leg like {leg}, on an anchor of its own {BESIDE_M} m beside"), &|p| {
            let beside = format!("{anchor}, one more");
            let Some(mut point) = p.points.get(anchor).cloned() else { return };
            let PointKind::Fixed { at, .. } = &mut point.kind else { return };
            match at {
                At::Place([_, y, _]) => *y += Length::from_si(BESIDE_M.copysign(y.si())),
                At::Sighted(sights) => {
                    for s in sights {
                        s.bearing += Angle::from_si(BESIDE_M / s.distance.si().max(BESIDE_M));
                    }
                }
            }
            p.points.insert(beside.clone(), point);
            let mut more = run.clone();
            more.path.iter_mut().filter(|p| *p == anchor).for_each(|p| p.clone_from(&beside));
            more.parts.iter_mut().for_each(|part| part.piece = None);
            p.runs.insert(format!("{leg}, one more"), more);
        });
    }
    let fits = |r: &crate::plan::Run| r.parts.iter().any(|p| matches!(p.length, PartLength::Fit(_)));
    if plan.runs.values().filter(|r| r.role == Role::Leg && r.path.contains(meet)).all(fits) {
        with(format!("{meet} set {OUT_M} m further out, its legs longer"), &|p| {
            if let Some(point) = p.points.get_mut(meet)
                && let PointKind::Free { near: [x, ..], .. } = &mut point.kind
            {
                *x += Length::from_si(if point.side == Side::A { OUT_M } else { -OUT_M });
            }
        });
    }
    for part in &run.parts {
        if let Some(item) = softer(catalogue, &part.item) {
            with(format!("softer legs at {meet}: {}", item.title), &|p| {
                let legs = p.runs.values_mut().filter(|r| r.role == Role::Leg && r.path.contains(meet));
                let alike = legs.flat_map(|r| &mut r.parts).filter(|o| o.item == part.item);
                alike.for_each(|o| o.item.clone_from(&item.id));
            });
        }
    }
}

/// A tighter line, less excess, a shorter leash: what keeps feet and line higher.
fn higher(plan: &Plan, with: &mut dyn FnMut(String, &dyn Fn(&mut Plan))) {
    for more in [1.2, 1.5] {
        with(format!("{:.0} % more standing tension", 100.0 * (more - 1.0)), &|p| {
            main_of(p, &|part| {
                if let PartLength::Solve(Target::Standing(n, _)) = &mut part.length {
                    *n = Force::from_si(more * n.si());
                }
            });
        });
    }
    let excess = plan.runs.values().find_map(|r| match r.role {
        Role::Backup { excess, .. } => Some(excess),
        _ => None,
    });
    if let Some(now) = excess {
        with(format!("{:.1} % excess instead of {:.1} %", 50.0 * now, 100.0 * now), &|p| {
            for run in p.runs.values_mut() {
                if let Role::Backup { excess, .. } = &mut run.role {
                    *excess = 0.5 * now;
                }
            }
        });
    }
}

fn main_of(plan: &mut Plan, change: &dyn Fn(&mut Part)) {
    let main = plan.runs.values_mut().filter(|r| r.role == Role::Main);
    main.flat_map(|r| &mut r.parts).filter(|p| matches!(p.length, PartLength::Solve(_))).for_each(change);
}

fn spliced() -> EndKind {
    EndKind::Spliced { bury: None, thimble: false, tapered: true, stitched: true, style: SpliceStyle::Straight }
}

/// The next stronger items that could stand in for one.
fn up(catalogue: &Catalogue, id: &str) -> Vec<Item> {
    let Some(item) = catalogue.get(id) else { return Vec::new() };
    let Some(has) = item.strength_n() else { return Vec::new() };
    let mut more: Vec<&Item> = catalogue
        .iter()
        .map(|(_, i)| &**i)
        .filter(|i| {
            i.class == item.class && i.fibre == item.fibre && as_long(i, item) && i.strength_n() > Some(1.01 * has)
        })
        .collect();
    more.sort_by(|a, b| a.strength_n().unwrap_or(0.0).total_cmp(&b.strength_n().unwrap_or(0.0)));
    more.into_iter().take(SIZES).cloned().collect()
}

/// The stiffest of all like items that stretch more and keep about the same strength.
fn softer(catalogue: &Catalogue, id: &str) -> Option<Item> {
    let item = catalogue.get(id)?;
    let stretch = |i: &Item| i.law().map_or(0.0, |l| l.at(4000.0).0);
    catalogue
        .iter()
        .map(|(_, i)| &**i)
        .filter(|i| {
            i.class == item.class
                && matches!(i.fibre, Fibre::Nylon | Fibre::Polyester | Fibre::Hybrid)
                && as_long(i, item)
        })
        .filter(|i| stretch(i) > 1.2 * stretch(item) && i.strength_n() > item.strength_n().map(|n| 0.75 * n))
        .min_by(|a, b| stretch(a).total_cmp(&stretch(b)))
        .cloned()
}

/// Whether one could lie where the other lies: a sling of another length would not fit.
fn as_long(i: &Item, item: &Item) -> bool {
    i.class != ItemClass::Sling || i.length.map(Quantity::si) == item.length.map(Quantity::si)
}
