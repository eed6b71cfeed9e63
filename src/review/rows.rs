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
    /// One row; the factor required follows from kind and class, unless the part has its own.
    fn row(
        &self,
        place: Place,
        item: (&str, &str),
        kind: Kind,
        class: Class,
        demand: Peak,
        strength: Strength,
        own: FactorSet,
    ) -> Row {
        let want = required(self.plan, own, kind, class);
        Row::new(place, item.0.to_owned(), item.1, kind, class, demand, strength, want, self.sound())
    }

    /// A row for each part of a run, with what each sees.
    fn rows_of_run(&self, run: usize, class: Class, demand: impl Fn(usize) -> Peak) -> Vec<Row> {
        let Some((name, r)) = self.plan.runs.get_index(run) else { return Vec::new() };
        let row = |(k, part): (usize, &crate::plan::Part)| {
            let item = self.catalogue.get(&part.item)?;
            let strength = self.strengths[run][k].clone()?;
            let place = Place::Part(name.clone(), k + 1);
            let kind = kind_of(&r.role, item);
            Some(self.row(place, (&item.title, &item.id), kind, class, demand(k), strength, part.required))
        };
        r.parts.iter().enumerate().filter_map(row).collect()
    }

    /// A row for what fixes a point, pulled with `demand` towards `way` (a direction).
    fn row_of_anchor(&self, point: usize, class: Class, demand: Peak, way: DVec3) -> Option<Row> {
        let (name, p) = self.plan.points.get_index(point)?;
        let hold = p.hold().filter(|h| !matches!(h, Hold::Edge { .. } | Hold::Frame))?;
        let strength = hold_strength(hold, way * demand.n, self.catalogue);
        let item = match hold {
            Hold::Bolt { item, .. } => (self.catalogue.get(item).map_or(item.as_str(), |i| &i.title), item.as_str()),
            other => (other.word(), ""),
        };
        Some(self.row(Place::Anchor(name.clone()), item, Kind::Anchor, class, demand, strength, FactorSet::default()))
    }

    pub(super) fn part_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (i, run) in self.plan.runs.values().enumerate() {
            if matches!(run.role, Role::Leash | Role::Tensioning) {
                continue;
            }
            rows.extend(self.rows_of_run(i, Class::Working, |k| {
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
                peak
            }));
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
            let place = Place::Joint(what.to_owned());
            let none = FactorSet::default();
            Some(self.row(place, (&item.title, id), Kind::Hardware, Class::Working, peak, strength, none))
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
            let row = |title: &str, peak: Peak, s: Strength| {
                let place = Place::Point(name.clone());
                self.row(place, (title, &item.id), Kind::Hardware, Class::Working, peak, s, FactorSet::default())
            };
            rows.push(row(&item.title, peak, strength));
            if let Some((r, n)) = item.hole.as_ref().and_then(|r| Some((r, r.minimum_n()?))) {
                rows.push(row(&format!("{}, one hole", item.title), hole, Strength::start("one hole", r, n)));
            }
        }
        rows
    }

    pub(super) fn anchor_rows(&self) -> Vec<Row> {
        let of_point = |p: usize| {
            // The worst situation is the one nearest to what the anchor holds in that direction.
            self.working()
                .filter_map(|c| {
                    let force = -c.response.reactions[p];
                    let demand = Peak { n: force.length(), case: c.case.id.clone() };
                    self.row_of_anchor(p, Class::Working, demand, force.normalize_or_zero())
                })
                .max_by(|a, b| {
                    let used = |r: &Row| r.demand_n / r.strength.counts_n().unwrap_or(1e9);
                    used(a).total_cmp(&used(b))
                })
        };
        (0..self.plan.points.len()).filter_map(of_point).collect()
    }

    /// What stands in for failures until they are worked out, the worst of each piece: one leg carrying its anchor's whole
    /// pull (the rule of the last one standing), and the backup with all that holds it catching the main line.
    pub(super) fn failure_rows(&self) -> Vec<Row> {
        let mut rows: BTreeMap<Place, Row> = BTreeMap::new();
        for row in self.one_leg_rows().into_iter().chain(self.catch_rows()) {
            if rows.get(&row.place).is_none_or(|old| row.worst_first(old).is_lt()) {
                rows.insert(row.place.clone(), row);
            }
        }
        rows.into_values().collect()
    }

    fn one_leg_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (p, legs) in self.solver.anchors() {
            let runs: Vec<usize> = legs.iter().map(|&l| rig.legs[l].run).collect();
            let mut whole = Peak::default();
            for c in self.working() {
                let pull: DVec3 = c.response.forces[p].iter().filter(|f| runs.contains(&f.run)).map(|f| f.force).sum();
                whole.see(pull.length(), &c.case.id);
            }
            // A master that only the backup pulls is judged for a catch, not for its idle working load.
            if let Some(catch) = self.catch_at(p).filter(|c| c.n > whole.n) {
                whole = catch;
            }
            whole.case = format!("one leg carries all of {} ({})", rig.spots[p].name, whole.case);
            for leg in legs.iter().map(|&l| &rig.legs[l]).filter(|l| l.path.len() == 2) {
                rows.extend(self.rows_of_run(leg.run, Class::Failure, |_| whole.clone()));
                let outer = if leg.path[0] == p { leg.path[1] } else { leg.path[0] };
                // What else hangs on the same anchor stays on it.
                let other = self
                    .working()
                    .map(|c| {
                        c.response.forces[outer].iter().filter(|f| f.run != leg.run).map(|f| f.force.length()).sum()
                    })
                    .fold(0.0, f64::max);
                let demand = Peak { n: whole.n + other, case: whole.case.clone() };
                rows.extend(self.row_of_anchor(outer, Class::Failure, demand, self.way(p, outer)));
            }
        }
        rows
    }

    /// From an anchor towards a point, as drawn.
    fn way(&self, point: usize, anchor: usize) -> DVec3 {
        let spots = &self.solver.rig.spots;
        (spots[point].place - spots[anchor].place).normalize_or_zero()
    }

    /// Twice what the main line carries with one walker (a load that comes on at once doubles), and at least its largest
    /// working tension.
    fn catch(&self) -> Peak {
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

    /// The catch at a point that only the backup ends at.
    fn catch_at(&self, point: usize) -> Option<Peak> {
        let rig = &self.solver.rig;
        let ends = rig.backup.as_ref()?.ends;
        (ends.contains(&point) && !rig.line.ends.contains(&point)).then(|| self.catch())
    }

    /// The backup's own parts, what it ends in, and legs and anchors there that stand alone.
    fn catch_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let Some(b) = &rig.backup else { return Vec::new() };
        let catch = self.catch();
        let mut rows = self.rows_of_run(b.run, Class::Failure, |_| catch.clone());
        let shared: Vec<usize> = self.solver.anchors().into_iter().map(|(p, _)| p).collect();
        for &end in b.ends.iter().filter(|e| !rig.line.ends.contains(e)) {
            let Some((name, point)) = self.plan.points.get_index(end) else { continue };
            if let Some(item) = point.hardware.as_ref().and_then(|h| self.catalogue.get(h)) {
                let s = gated(piece_strength(item, self.catalogue), item, point.gate, &self.catalogue.deratings);
                let (place, item, none) = (Place::Point(name.clone()), (&*item.title, &*item.id), FactorSet::default());
                rows.push(self.row(place, item, Kind::Hardware, Class::Failure, catch.clone(), s, none));
            }
            if shared.contains(&end) {
                continue;
            }
            // A run that slides over the master is counted as if one strand held it all.
            for leg in rig.legs.iter().filter(|l| l.path.contains(&end)) {
                rows.extend(self.rows_of_run(leg.run, Class::Failure, |_| catch.clone()));
                let outer = leg.path.iter().filter(|p| **p != end);
                rows.extend(
                    outer.filter_map(|&o| self.row_of_anchor(o, Class::Failure, catch.clone(), self.way(end, o))),
                );
            }
        }
        rows
    }
}
