//! Demands over all situations, set against strengths: parts, joints, points, anchors, and one leg carrying all.

use std::collections::BTreeMap;

use glam::DVec3;

use super::case::Class;
use super::factors::{Kind, required};
use super::hardware::{largest_resultant, spread_deg, three_way};
use super::hold::hold_strength;
use super::neighbours::{kind_of, piece_strength};
use super::row::{Peak, Place, Row};
use super::solve::Solved;
use super::strength::{Strength, across, gated};
use super::work::Work;
use crate::catalogue::Class as ItemClass;
use crate::plan::{FactorSet, Hold, PointKind, Role, Ties};

impl Work<'_> {
    pub(super) fn part_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (i, (name, run)) in self.plan.runs.iter().enumerate() {
            if matches!(run.role, Role::Leash | Role::Tensioning) {
                continue;
            }
            for (k, part) in run.parts.iter().enumerate() {
                let Some(item) = self.catalogue.get(&part.item) else {
                    continue;
                };
                let Some(strength) = self.strengths[i][k].clone() else {
                    continue;
                };
                let mut peak = Peak::default();
                for c in self.working() {
                    let n = match &run.role {
                        Role::Main => rig
                            .line
                            .elements
                            .iter()
                            .position(|e| e.part == k)
                            .map_or(c.response.run_n[i], |e| c.response.element_n[e]),
                        Role::Backup { .. } => rig.backup.as_ref().map_or(0.0, |b| self.backup_part(b, k, c)),
                        _ => c.response.run_n[i],
                    };
                    peak.see(n, &c.case.id);
                }
                let kind = kind_of(&run.role, item);
                let want = required(self.plan, part.required, kind, Class::Working);
                rows.push(Row::new(
                    Place::Part(name.clone(), k + 1),
                    item.title.clone(),
                    &item.id,
                    kind,
                    Class::Working,
                    peak,
                    strength,
                    want,
                    self.sound(),
                ));
            }
        }
        rows
    }

    fn backup_part(&self, b: &crate::rig::Backup, part: usize, c: &Solved) -> f64 {
        let lengths = b.segment_of_part.iter().collect::<std::collections::BTreeSet<_>>().len();
        if lengths <= 1 {
            return c.response.backup_n.iter().copied().fold(0.0, f64::max);
        }
        let s = b.segment_of_part[part];
        // A joint's hardware carries the larger of the two segments it lies between.
        let next = b.segment_of_part.get(part + 1).copied().unwrap_or(s);
        [s, next].into_iter().filter_map(|s| c.response.backup_n.get(s)).copied().fold(0.0, f64::max)
    }

    /// The pieces that tie main and backup at the joints: the worst joint of each.
    pub(super) fn joint_rows(&self) -> Vec<Row> {
        let Some(ties) = self.solver.rig.line.joints.first().map(|j| &j.ties) else {
            return Vec::new();
        };
        let (mut one, mut back, mut both) = (Peak::default(), Peak::default(), Peak::default());
        for c in self.working() {
            for (k, j) in c.response.joints.iter().enumerate() {
                let id = format!("{}, joint {}", c.case.id, k + 1);
                one.see(largest_resultant(j), &id);
                back.see(j[2].length().max(j[3].length()), &id);
                both.see((j[2] + j[3]).length(), &id);
            }
        }
        let row = |id: &str, what: &str, peak: Peak| {
            let item = self.catalogue.get(id)?;
            let strength = piece_strength(item, self.catalogue);
            let want = required(self.plan, FactorSet::default(), Kind::Hardware, Class::Working);
            Some(Row::new(
                Place::Joint(what.to_owned()),
                item.title.clone(),
                id,
                Kind::Hardware,
                Class::Working,
                peak,
                strength,
                want,
                self.sound(),
            ))
        };
        let rows = match ties {
            Ties::OnePiece(i) => vec![row(i, "one piece", one)],
            Ties::Apart { backup, together, .. } => {
                vec![row(backup, "backup to backup", back), row(together, "the two together", both)]
            }
        };
        rows.into_iter().flatten().collect()
    }

    pub(super) fn point_rows(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        let anchors = self.solver.anchors();
        for (p, (name, point)) in self.plan.points.iter().enumerate() {
            let Some(item) = point.hardware.as_ref().and_then(|h| self.catalogue.get(h)) else {
                continue;
            };
            let (mut peak, mut hole) = (Peak::default(), Peak::default());
            let (mut three, mut spread) = (false, 0.0_f64);
            let leg_runs: Vec<usize> = anchors
                .iter()
                .filter(|(at, _)| *at == p)
                .flat_map(|(_, legs)| legs.iter().map(|&l| self.solver.rig.legs[l].run))
                .collect();
            for c in self.working() {
                let mut forces: Vec<DVec3> = c.response.forces[p].iter().map(|f| f.force).collect();
                hole.see(forces.iter().map(|f| f.length()).fold(0.0, f64::max), &c.case.id);
                if matches!(point.kind, PointKind::Fixed { .. }) {
                    forces.push(c.response.reactions[p]);
                }
                peak.see(largest_resultant(&forces), &c.case.id);
                three |= three_way(&forces);
                let legs: Vec<DVec3> =
                    c.response.forces[p].iter().filter(|f| leg_runs.contains(&f.run)).map(|f| f.force).collect();
                spread = spread.max(spread_deg(&legs));
            }
            let mut strength = gated(piece_strength(item, self.catalogue), item, point.gate, &self.catalogue.deratings);
            if three && matches!(item.class, ItemClass::Connector | ItemClass::QuickLink) {
                strength = across(strength, item, &self.catalogue.deratings, "pulled three ways");
            }
            if item.class == ItemClass::Shackle && spread > 120.0 {
                let k = self.catalogue.deratings.side_load(0.5 * spread);
                strength.low_n *= k.low;
                strength.nominal_n *= k.nominal;
                strength.spot = format!("legs spread {spread:.0}° in the bow");
                strength.steps.push(super::strength::Step {
                    what: strength.spot.clone(),
                    amount: super::strength::Amount::Factor { low: k.low, nominal: k.nominal },
                    source: k.source,
                });
            }
            let want = required(self.plan, FactorSet::default(), Kind::Hardware, Class::Working);
            let row = |title: String, peak: Peak, s: Strength| {
                Row::new(
                    Place::Point(name.clone()),
                    title,
                    &item.id,
                    Kind::Hardware,
                    Class::Working,
                    peak,
                    s,
                    want,
                    self.sound(),
                )
            };
            rows.push(row(item.title.clone(), peak, strength));
            if let Some((r, n)) = item.hole.as_ref().and_then(|r| Some((r, r.minimum_n()?))) {
                rows.push(row(format!("{}, one hole", item.title), hole, Strength::start("one hole", r, n)));
            }
        }
        rows
    }

    pub(super) fn anchor_rows(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        for (p, (name, point)) in self.plan.points.iter().enumerate() {
            let Some(hold) = point.hold() else { continue };
            if matches!(hold, Hold::Edge { .. } | Hold::Frame) {
                continue;
            }
            // The worst case is the one nearest to what the anchor holds in that direction.
            let mut worst: Option<(f64, Peak, Strength)> = None;
            for c in self.working() {
                let force = -c.response.reactions[p];
                let s = hold_strength(hold, force, self.catalogue);
                let use_of = s.counts_n().map_or(force.length() * 1e-9, |n| force.length() / n);
                if worst.as_ref().is_none_or(|w| use_of > w.0) {
                    worst = Some((use_of, Peak { n: force.length(), case: c.case.id.clone() }, s));
                }
            }
            let Some((_, peak, strength)) = worst else {
                continue;
            };
            let want = required(self.plan, FactorSet::default(), Kind::Anchor, Class::Working);
            let (title, item) = match hold {
                Hold::Bolt { item, .. } => {
                    (self.catalogue.get(item).map_or_else(|| item.clone(), |i| i.title.clone()), item.as_str())
                }
                other => (other.word().to_owned(), ""),
            };
            rows.push(Row::new(
                Place::Anchor(name.clone()),
                title,
                item,
                Kind::Anchor,
                Class::Working,
                peak,
                strength,
                want,
                self.sound(),
            ));
        }
        rows
    }

    /// The rule of the last one standing: each leg of an anchor, and what holds it, against the anchor's whole pull.
    pub(super) fn one_leg_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows: BTreeMap<Place, Row> = BTreeMap::new();
        let mut add = |row: Row| {
            let worse = rows.get(&row.place).is_none_or(|old| row.margin() < old.margin() || row.verdict > old.verdict);
            if worse {
                rows.insert(row.place.clone(), row);
            }
        };
        for (p, legs) in self.solver.anchors() {
            let runs: Vec<usize> = legs.iter().map(|&l| rig.legs[l].run).collect();
            let mut whole = Peak::default();
            for c in self.working() {
                let pull: DVec3 = c.response.forces[p].iter().filter(|f| runs.contains(&f.run)).map(|f| f.force).sum();
                whole.see(pull.length(), &c.case.id);
            }
            whole.case = format!("one leg carries all of {} ({})", rig.spots[p].name, whole.case);
            // A master that only the backup pulls is judged for a catch, not for its idle working load.
            if let Some(stand_in) = self.catch(p)
                && stand_in.n > whole.n
            {
                whole = Peak {
                    n: stand_in.n,
                    case: format!("one leg carries all of {}: {}", rig.spots[p].name, stand_in.case),
                };
            }
            for &l in &legs {
                let leg = &rig.legs[l];
                if leg.path.len() > 2 {
                    continue;
                }
                let Some((name, run)) = self.plan.runs.get_index(leg.run) else {
                    continue;
                };
                for (k, part) in run.parts.iter().enumerate() {
                    let Some(item) = self.catalogue.get(&part.item) else {
                        continue;
                    };
                    let Some(s) = self.strengths[leg.run][k].clone() else {
                        continue;
                    };
                    let kind = kind_of(&run.role, item);
                    let want = required(self.plan, part.required, kind, Class::Failure);
                    add(Row::new(
                        Place::Part(name.clone(), k + 1),
                        item.title.clone(),
                        &item.id,
                        kind,
                        Class::Failure,
                        whole.clone(),
                        s,
                        want,
                        self.sound(),
                    ));
                }
                let outer = if leg.path[0] == p { leg.path[leg.path.len() - 1] } else { leg.path[0] };
                let Some((name, point)) = self.plan.points.get_index(outer) else {
                    continue;
                };
                let Some(hold) = point.hold().filter(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame)) else {
                    continue;
                };
                let way = (rig.spots[p].place - rig.spots[outer].place).normalize_or_zero();
                // What else hangs on the same anchor stays on it.
                let other = self
                    .working()
                    .map(|c| {
                        c.response.forces[outer].iter().filter(|f| f.run != leg.run).map(|f| f.force.length()).sum()
                    })
                    .fold(0.0, f64::max);
                let whole = Peak { n: whole.n + other, case: whole.case.clone() };
                let s = hold_strength(hold, way * whole.n, self.catalogue);
                let want = required(self.plan, FactorSet::default(), Kind::Anchor, Class::Failure);
                add(Row::new(
                    Place::Anchor(name.clone()),
                    hold.word().to_owned(),
                    "",
                    Kind::Anchor,
                    Class::Failure,
                    whole.clone(),
                    s,
                    want,
                    self.sound(),
                ));
            }
        }
        rows.into_values().collect()
    }

    /// What stands in for a catch at an end of the backup until failures are worked out: twice what the main line
    /// carries with one walker (a load that comes on at once doubles), and at least its largest working tension.
    fn catch(&self, point: usize) -> Option<Peak> {
        let b = self.solver.rig.backup.as_ref()?;
        let at_end = b.ends.contains(&point) && !self.solver.rig.line.ends.contains(&point);
        at_end.then(|| self.catch_n())
    }

    fn catch_n(&self) -> Peak {
        let main = self.solver.rig.line.run;
        let most = |walker: bool| {
            self.working()
                .filter(|c| !walker || c.case.id.starts_with("walker "))
                .map(|c| c.response.run_n[main])
                .fold(0.0, f64::max)
        };
        let case = "stand-in for a catch, twice the main line's pull with one walker".to_owned();
        Peak { n: (2.0 * most(true)).max(most(false)), case }
    }

    /// The backup's own parts, what it ends in, and legs and anchors there that stand alone, against that stand-in.
    pub(super) fn backup_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let Some(b) = &rig.backup else { return Vec::new() };
        let catch = self.catch_n();
        let mut rows = Vec::new();
        let mut part_row = |run_index: usize| {
            let Some((name, run)) = self.plan.runs.get_index(run_index) else { return };
            for (k, part) in run.parts.iter().enumerate() {
                let Some(item) = self.catalogue.get(&part.item) else { continue };
                let Some(s) = self.strengths[run_index][k].clone() else { continue };
                let kind = kind_of(&run.role, item);
                let want = required(self.plan, part.required, kind, Class::Failure);
                let place = Place::Part(name.clone(), k + 1);
                rows.push(Row::new(
                    place,
                    item.title.clone(),
                    &item.id,
                    kind,
                    Class::Failure,
                    catch.clone(),
                    s,
                    want,
                    self.sound(),
                ));
            }
        };
        part_row(b.run);
        let anchors = self.solver.anchors();
        for &end in &b.ends {
            if rig.line.ends.contains(&end) || anchors.iter().any(|(p, _)| *p == end) {
                continue;
            }
            // A run that slides over the master is counted as if one strand held it all.
            for leg in rig.legs.iter().filter(|l| l.path.contains(&end)) {
                part_row(leg.run);
            }
        }
        for &end in &b.ends {
            if rig.line.ends.contains(&end) {
                continue;
            }
            let Some((name, point)) = self.plan.points.get_index(end) else { continue };
            if let Some(item) = point.hardware.as_ref().and_then(|h| self.catalogue.get(h)) {
                let s = gated(piece_strength(item, self.catalogue), item, point.gate, &self.catalogue.deratings);
                let want = required(self.plan, FactorSet::default(), Kind::Hardware, Class::Failure);
                let place = Place::Point(name.clone());
                rows.push(Row::new(
                    place,
                    item.title.clone(),
                    &item.id,
                    Kind::Hardware,
                    Class::Failure,
                    catch.clone(),
                    s,
                    want,
                    self.sound(),
                ));
            }
            if anchors.iter().any(|(p, _)| *p == end) {
                continue;
            }
            for leg in rig.legs.iter().filter(|l| l.path.contains(&end)) {
                for &outer in leg.path.iter().filter(|p| **p != end) {
                    let Some((name, point)) = self.plan.points.get_index(outer) else { continue };
                    let Some(hold) = point.hold().filter(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame)) else {
                        continue;
                    };
                    let way = (rig.spots[end].place - rig.spots[outer].place).normalize_or_zero();
                    let s = hold_strength(hold, way * catch.n, self.catalogue);
                    let want = required(self.plan, FactorSet::default(), Kind::Anchor, Class::Failure);
                    let place = Place::Anchor(name.clone());
                    rows.push(Row::new(
                        place,
                        hold.word().to_owned(),
                        "",
                        Kind::Anchor,
                        Class::Failure,
                        catch.clone(),
                        s,
                        want,
                        self.sound(),
                    ));
                }
            }
        }
        rows
    }
}
