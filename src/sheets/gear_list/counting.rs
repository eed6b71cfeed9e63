//! What the plan itself needs, piece by piece.

use indexmap::IndexMap;

use super::super::Facts;
use crate::bench::{EyeMade, Gear, knots_take_m, least_eye, spliced_of};
use crate::inventory::Wants;
use crate::plan::crossing::Carried;
use crate::plan::{At, Connected, Hold, Part, PartLength, PointKind, Role, Run, Side, Ties};
use crate::rig::tolerance;
use crate::units::Quantity;

/// Places of use.
pub(super) const GROUPS: [&str; 4] = ["side A", "side B", "line", "leash and person"];
/// The one that the line is in: its parts are told one by one.
const LINE: usize = 2;

/// A piece that the plan needs.
#[derive(Debug, Clone)]
pub(super) struct Needed {
    /// Its number among all that is needed.
    pub(super) n: usize,
    /// Unstretched, m, zero for what is counted. Of the line it is what must be cut and carried, tails and allowance included.
    pub(super) length_m: f64,
    /// Rope that goes into it at the bench, m.
    pub(super) cut_m: Option<f64>,
    /// kg, zero when unknown.
    pub(super) mass_kg: f64,
    /// What a piece of an inventory must be.
    pub(super) wants: Wants,
    /// The piece that the plan names.
    pub(super) serial: Option<String>,
    /// Of a sling: what its eyes go on.
    pub(super) on: Option<[On; 2]>,
}

/// What an eye goes on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct On {
    /// Pin, or the groove of a thimble, m.
    pub(super) pin_m: f64,
    /// The least eye that goes there, lying flat, m.
    pub(super) least_m: f64,
    /// Round a thimble.
    pub(super) thimble: bool,
}

/// Gear of one kind at one place of use.
#[derive(Debug, Clone, Default)]
pub(super) struct Line {
    /// The item.
    pub(super) item: String,
    /// What it is for, where each piece has its own place; empty for what is counted.
    pub(super) part: String,
    /// Each piece.
    pub(super) pieces: Vec<Needed>,
    /// Of the line: its length between its ends, m.
    pub(super) between_m: Option<f64>,
    /// Stays in the rock.
    pub(super) fixed: bool,
}

/// What the pulley system is for.
const TENSIONING: &str = "tensioning";

/// Everything the plan needs, by group.
pub(super) fn counted(facts: &Facts<'_>) -> [Vec<Line>; 4] {
    let (plan, catalogue) = (&facts.file.plan, &facts.file.catalogue);
    let mut out: [IndexMap<(String, String), Line>; 4] = Default::default();
    let mut add = |group: usize, item: &str, part: &str, lengths: &[Option<f64>], fixed: bool, of: Option<&Part>| {
        let line = out[group].entry((item.to_owned(), part.to_owned())).or_default();
        (line.item, line.part) = (item.to_owned(), part.to_owned());
        line.fixed |= fixed;
        let i = catalogue.get(item);
        let cut = i.is_some_and(|i| i.class.is_cut() || i.mass_per_length.is_some());
        let spool = i.is_some_and(|i| i.class.is_cut());
        // A leg is made to its length between bearings; all else that comes from a spool need only be long enough.
        let made = of.filter(|p| spool && group != LINE && p.ends.iter().flatten().any(|e| e.kind.is_made()));
        for length in lengths {
            let length_m = length.filter(|_| cut).unwrap_or(0.0);
            let by_length = i.and_then(|i| i.mass_per_length).map_or(0.0, Quantity::si) * length.unwrap_or(0.0);
            let wants = match made {
                Some(p) => Wants::Within(length_m, tolerance(p, catalogue)),
                None if spool && length_m > 0.0 => Wants::AtLeast(length_m),
                // A made sling is of its length, give or take what its making leaves.
                None if length_m > 0.0 => Wants::Within(length_m, of.map_or(0.0, |p| tolerance(p, catalogue))),
                None => Wants::Any,
            };
            // What is knotted is cut longer than it comes out.
            let knots = i.zip(of).and_then(|(i, p)| knots_take_m(p, i)).filter(|_| group != LINE && length_m > 0.0);
            line.pieces.push(Needed {
                n: 0,
                length_m,
                cut_m: knots.map(|m| length_m + m),
                mass_kg: i.and_then(|i| i.mass).map_or(by_length, Quantity::si),
                wants,
                serial: of.and_then(|p| p.serial.clone()),
                on: None,
            });
        }
    };
    let side_of = |side: Side| usize::from(side == Side::B);
    for (name, p) in &plan.points {
        let group = side_of(p.side);
        if let Some(h) = &p.hardware {
            add(group, h, "", &[None], false, None);
        }
        if let PointKind::Fixed { by: Hold::Bolt { item, .. }, .. } = &p.kind {
            add(group, item, "", &[None], true, None);
        }
        if let PointKind::Fixed { by: Hold::Edge { item: Some(roller), .. }, .. } = &p.kind {
            add(group, roller, "", &[None], false, None);
        }
        if let PointKind::Fixed { at: At::Place(head), by, .. } = &p.kind
            && let Some(frame) = by.frame()
        {
            for (k, s) in frame.struts.iter().enumerate() {
                add(group, &s.item, &format!("{name}, strut {}", k + 1), &[Some(s.length_m(*head))], false, None);
            }
            if let Some(part) = &frame.hobble {
                let own = if let PartLength::Is(l) = part.length { Some(l.si()) } else { None };
                add(group, &part.item, &format!("{name}, hobble"), &[own], false, Some(part));
            }
        }
    }
    let articles = facts.articles();
    let cuts = crate::bench::pieces_of(facts.file, &articles);
    let mut between: Vec<(String, f64)> = Vec::new();
    let mut made: Vec<(usize, String, String, f64, f64)> = Vec::new();
    let spliced = spliced_of(plan, catalogue, &articles);
    let mut slung: Vec<(usize, String, String, [On; 2])> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for (r, (name, run)) in plan.runs.iter().enumerate() {
        let group = match run.role {
            Role::Main | Role::Backup { .. } => LINE,
            Role::Leash => 3,
            Role::Leg | Role::Guy | Role::Tensioning => {
                run.path.first().and_then(|p| plan.points.get(p)).map_or(LINE, |p| side_of(p.side))
            }
        };
        for (k, part) in run.parts.iter().enumerate() {
            if let Some(piece) = part.piece.as_deref() {
                if seen.contains(&piece) {
                    continue;
                }
                seen.push(piece);
            }
            let own = if let PartLength::Is(l) = part.length { Some(l.si()) } else { None };
            let mut lengths: Vec<Option<f64>> =
                articles.iter().filter(|a| a.run == r && a.part == k).map(|a| Some(a.length_m)).collect();
            if lengths.is_empty() {
                lengths.push(own);
            }
            // What has a length is told by its part, so that each finds its place; links and locks are counted.
            let soft = catalogue.get(&part.item).is_some_and(|i| i.class.is_soft());
            let told = if soft || part.serial.is_some() { format!("{name}, part {}", k + 1) } else { String::new() };
            if let Some(cut) = cuts.iter().find(|c| group == LINE && c.run == r && c.part == k) {
                between.push((told.clone(), cut.finished_m));
                lengths = vec![Some(cut.cut_m)];
            }
            add(group, &part.item, &told, &lengths, false, Some(part));
            let design = spliced.iter().find(|s| s.run == r && s.part == k).and_then(|s| s.design.as_ref().ok());
            if let Some(d) = design.filter(|d| matches!(d.gear, Gear::Sling { .. }))
                && let [a, b] = d.eyes.as_slice()
            {
                let on =
                    |e: &EyeMade| On { pin_m: e.pin_m, least_m: least_eye(e.pin_m, d.rope.d_m), thimble: e.thimble };
                slung.push((group, part.item.clone(), told.clone(), [on(a), on(b)]));
            }
            // What is made at the bench weighs as it is cut, and is told by its length and by what goes into it.
            if let Some(cut) = cuts.iter().find(|c| group != LINE && c.run == r && c.part == k) {
                made.push((group, part.item.clone(), told.clone(), cut.cut_m, cut.mass_kg));
            }
        }
        if let Role::Backup { connected, .. } = &run.role {
            let ties = match connected {
                Connected::AtEnds => None,
                Connected::EveryJoint(t) | Connected::Joints(_, t) => Some(t),
            };
            let each = vec![None; facts.solver.rig.line.joints.len()];
            match ties {
                Some(Ties::OnePiece(i)) => add(LINE, i, "", &each, false, None),
                Some(Ties::Apart { main, backup, together }) => {
                    // What ties main to main, or backup to backup, is a part of that run already where it is listed there.
                    let lists =
                        |of: Option<&Run>, item: &str| of.is_some_and(|r| r.parts.iter().any(|p| p.item == *item));
                    let ties = [(plan.main().map(|m| m.1), main), (Some(run), backup), (None, together)];
                    for (_, i) in ties.into_iter().filter(|(of, i)| !lists(*of, i)) {
                        add(LINE, i, "", &each, false, None);
                    }
                }
                None => {}
            }
        }
    }
    if let Some(t) = &plan.tensioning {
        let group = side_of(t.side);
        let pulling = facts.review.pulling.as_ref();
        let sheaves = pulling.map_or(0, |p| p.sheaves_n.iter().map(Vec::len).sum());
        for n in 0..sheaves {
            add(group, t.sheave(n), TENSIONING, &[None], false, None);
        }
        add(group, &t.rope, TENSIONING, &[pulling.map(|p| p.rope_m)], false, None);
        add(group, &t.grip, TENSIONING, &[None], false, None);
        if let Some(c) = &t.capture {
            add(group, c, TENSIONING, &[None], false, None);
        }
    }
    // What brings the line over: its own lines by the length that is carried, and what joins them.
    for stage in plan.crossing.iter().flat_map(|x| &x.stages) {
        if let Carried::Part(p) = &stage.carried {
            let own = if let PartLength::Is(l) = p.length { Some(l.si()) } else { None };
            add(LINE, &p.item, &format!("over, {}", stage.name), &[own], false, Some(p));
        }
        if let Some(joint) = &stage.joint {
            add(LINE, joint, "", &[None], false, None);
        }
    }
    // Pulley sets that are put on for a while.
    let sets = [plan.crossing.as_ref().and_then(|x| x.set.as_ref()), plan.rescue.as_ref().and_then(|r| r.set.as_ref())];
    for set in sets.into_iter().flatten() {
        if let Ok(ropes) = set.ropes(catalogue) {
            let sheaves: usize = ropes.ropes.iter().map(|r| r.turns.len()).sum();
            add(LINE, &set.sheave, "pulley set", &vec![None; sheaves], false, None);
            add(LINE, &set.rope, "pulley set", &[Some(set.rope_m(&ropes))], false, None);
        }
    }
    // What tows somebody in.
    if let Some(r) = &plan.rescue {
        for t in &r.ropes {
            let own = if let PartLength::Is(l) = t.rope.length { Some(l.si()) } else { None };
            add(side_of(t.side), &t.rope.item, "rescue", &[own], false, Some(&t.rope));
        }
        if let Some(roller) = &r.roller {
            add(LINE, roller, "rescue", &[None], false, None);
        }
    }
    // What people hang on who work at the edges.
    for (name, t) in &plan.ties {
        add(side_of(t.side), &t.rope.item, &format!("edge, {name}"), &[Some(t.length_m())], false, Some(&t.rope));
    }
    for (group, item, part, cut_m, mass_kg) in made {
        for piece in out[group].get_mut(&(item, part)).into_iter().flat_map(|l| &mut l.pieces) {
            piece.cut_m = Some(cut_m);
            if mass_kg > 0.0 {
                piece.mass_kg = mass_kg;
            }
        }
    }
    for (group, item, part, on) in slung {
        out[group].get_mut(&(item, part)).into_iter().flat_map(|l| &mut l.pieces).for_each(|p| p.on = Some(on));
    }
    let mut groups = out.map(|g| g.into_values().collect::<Vec<Line>>());
    for line in groups.iter_mut().flatten() {
        line.between_m = between.iter().find(|b| !line.part.is_empty() && b.0 == line.part).map(|b| b.1);
    }
    for (n, piece) in groups.iter_mut().flatten().flat_map(|l| &mut l.pieces).enumerate() {
        piece.n = n;
    }
    groups
}
