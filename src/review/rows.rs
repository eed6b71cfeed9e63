//! Demands over all situations, set against strengths: parts, joints, points, anchors, and one leg carrying all.

use std::collections::BTreeMap;

use glam::DVec3;
use indexmap::IndexMap;

use super::breaking::JOINTS;
use super::case::Class;
use super::factors::{Kind, required};
use super::hardware::{largest_resultant, spread_deg, three_way};
use super::hold::hold_strength;
use super::incident::Incident;
use super::neighbours::{kind_of, piece_strength};
use super::peaks::Peaks;
use super::row::{ONE_HOLE, Peak, Place, Row};
use super::situation::{How, Seen, Situation};
use super::strength::{Strength, Weak, across, gated};
use super::work::Work;
use crate::catalogue::{Class as ItemClass, Item, KnotMaterial};
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
        Row::new(place, item.0.to_owned(), item.1, kind, class, demand, strength, want, self.sound(class))
    }

    /// A row for each part of a run, with what each sees.
    pub(super) fn rows_of_run(&self, run: usize, class: Class, demand: impl Fn(usize) -> Peak) -> Vec<Row> {
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
        if !self.plan.in_use(name) {
            return None;
        }
        let hold = p.hold()?;
        if let Hold::Edge { item: Some(roller), .. } = hold {
            let roller = self.catalogue.get(roller)?;
            let (place, strength) = (Place::Anchor(name.clone()), piece_strength(roller, self.catalogue));
            let item = (roller.title.as_str(), roller.id.as_str());
            return Some(self.row(place, item, Kind::Hardware, class, demand, strength, FactorSet::default()));
        }
        if hold.is_edge_or_frame() {
            return None;
        }
        let strength = hold_strength(hold, way * demand.n, self.catalogue);
        let item = match hold {
            Hold::Bolt { item, .. } => (self.catalogue.get(item).map_or(item.as_str(), |i| &i.title), item.as_str()),
            other => (other.word(), ""),
        };
        Some(self.row(Place::Anchor(name.clone()), item, Kind::Anchor, class, demand, strength, FactorSet::default()))
    }

    /// Legs, main line and backup in the situations of a class that need no motion.
    pub(super) fn part_rows(&self, class: Class) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (i, run) in self.plan.runs.values().enumerate() {
            if matches!(run.role, Role::Leash | Role::Tensioning) {
                continue;
            }
            rows.extend(self.rows_of_run(i, class, |k| {
                let mut peak = Peak::default();
                for c in self.still(class) {
                    let n = match &run.role {
                        Role::Main => rig
                            .line
                            .elements
                            .iter()
                            .position(|e| e.part == k)
                            .map_or(c.response.run_n[i], |e| c.response.element_n[e]),
                        Role::Backup { .. } => {
                            rig.backup.as_ref().map_or(0.0, |b| backup_part(b, k, &c.response.backup_n))
                        }
                        _ => c.response.run_n[i],
                    };
                    peak.see(n, || (&c.case.situation).into());
                }
                peak
            }));
        }
        rows
    }

    /// The pieces that tie main and backup at the joints: the worst joint of each.
    pub(super) fn joint_rows(&self) -> Vec<Row> {
        let Some(ties) = self.solver.rig.line.joints.first().map(|j| &j.ties) else {
            return Vec::new();
        };
        let (mut one, mut back, mut both) = (Peak::default(), Peak::default(), Peak::default());
        let mut line = Peak::default();
        for c in self.working() {
            for (k, j) in c.response.joints.iter().enumerate() {
                let seen = || Seen { situation: c.case.situation.clone(), how: How::AtJoint(k + 1) };
                one.see(largest_resultant(j), seen);
                back.see(j[2].length().max(j[3].length()), seen);
                both.see((j[2] + j[3]).length(), seen);
                line.see(j[0].length().max(j[1].length()), seen);
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
            Ties::Apart { main, backup, together } => {
                // Where a piece of hardware lies between two lengths of the line it is that, and has a row of its own.
                let of = &self.solver.rig.line;
                let bare = of.joints.iter().any(|j| of.elements[j.after].item.class.is_soft());
                let main = bare.then(|| row(main, "main to main", line)).flatten();
                vec![row(backup, "backup to backup", back), row(together, "the two together", both), main]
            }
        };
        rows.into_iter().flatten().collect()
    }

    /// Hardware of points in the same.
    pub(super) fn point_rows(&self, class: Class) -> Vec<Row> {
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
            for c in self.still(class) {
                let mut forces: Vec<DVec3> = c.response.forces[p].iter().map(|f| f.force).collect();
                hole.see(forces.iter().map(|f| f.length()).fold(0.0, f64::max), || (&c.case.situation).into());
                if matches!(point.kind, PointKind::Fixed { .. }) {
                    forces.push(c.response.reactions[p]);
                }
                peak.see(largest_resultant(&forces), || (&c.case.situation).into());
                three |= three_way(&forces);
                let legs: Vec<DVec3> =
                    c.response.forces[p].iter().filter(|f| leg_runs.contains(&f.run)).map(|f| f.force).collect();
                spread = spread.max(spread_deg(&legs));
            }
            // A master that only a failure loads is pulled three ways then: as drawn.
            three |= three_way(&self.drawn(p));
            let mut strength = gated(piece_strength(item, self.catalogue), item, point.gate, &self.catalogue.deratings);
            if three && matches!(item.class, ItemClass::Connector | ItemClass::QuickLink) {
                strength = across(strength, item, &self.catalogue.deratings, "pulled three ways", Weak::ThreeWays);
            }
            if item.class == ItemClass::Shackle && spread > 120.0 {
                let k = self.catalogue.deratings.side_load(0.5 * spread);
                strength.low_n *= k.low;
                strength.nominal_n *= k.nominal;
                strength.spot = format!("legs spread {spread:.0}° in the bow");
                strength.weak = Weak::WideBow;
                strength.steps.push(super::strength::Step {
                    what: strength.spot.clone(),
                    amount: super::strength::Amount::Factor { low: k.low, nominal: k.nominal },
                    source: k.source,
                });
            }
            let row = |title: &str, peak: Peak, s: Strength| {
                let place = Place::Point(name.clone());
                self.row(place, (title, &item.id), Kind::Hardware, class, peak, s, FactorSet::default())
            };
            rows.push(row(&item.title, peak, strength));
            if let Some((r, n)) = item.hole.as_ref().and_then(|r| Some((r, r.minimum_n()?))) {
                rows.push(row(&format!("{}{ONE_HOLE}", item.title), hole, Strength::start("one hole", r, n)));
            }
        }
        rows
    }

    /// What holds in the ground in the same.
    pub(super) fn anchor_rows(&self, class: Class) -> Vec<Row> {
        let of_point = |p: usize| {
            // The worst situation is the one nearest to what the anchor holds in that direction.
            self.still(class)
                .filter_map(|c| {
                    let force = -c.response.reactions[p];
                    let demand = Peak { n: force.length(), seen: Some((&c.case.situation).into()), spread: None };
                    self.row_of_anchor(p, class, demand, force.normalize_or_zero())
                })
                .max_by(|a, b| {
                    let used = |r: &Row| r.demand_n / r.strength.counts_n().unwrap_or(1e9);
                    used(a).total_cmp(&used(b))
                })
        };
        (0..self.plan.points.len()).filter_map(of_point).collect()
    }

    /// What a rope of a pulley system keeps, its becket tied.
    pub(super) fn becket_tied(&self, item: &Item) -> Strength {
        let mut strength = piece_strength(item, self.catalogue);
        strength.keep(&self.catalogue.deratings.knot("figure-eight", KnotMaterial::of(item.class, item.fibre)));
        strength
    }

    /// Gear that is there while tensioning: grip, rope, its most loaded sheave, what captures it, what it hangs on.
    pub(super) fn gear_rows(&self) -> Vec<Row> {
        let (Some(t), Some(p)) = (&self.plan.tensioning, &self.pulling) else { return Vec::new() };
        let row = |what: &str, id: &str, n: f64, knotted: bool| {
            let item = self.catalogue.get(id)?;
            let strength = if knotted { self.becket_tied(item) } else { piece_strength(item, self.catalogue) };
            let demand = Peak { n, seen: Some((&Situation::TENSIONING).into()), spread: None };
            let place = Place::Gear(what.to_owned());
            Some(self.row(
                place,
                (&item.title, id),
                Kind::Pulling,
                Class::Working,
                demand,
                strength,
                FactorSet::default(),
            ))
        };
        let at_hand = p.strands_n.iter().filter_map(|way| way.first()?.first()).copied();
        let hand_n = at_hand.fold(p.hand_n, f64::max);
        let mut rows = vec![row("grip", &t.grip, p.load_n, false), row("rope", &t.rope, p.rope_n(), true)];
        // Of each item the most loaded sheave; where they differ, by its place from the hand.
        let mut hardest: IndexMap<&str, (usize, f64)> = IndexMap::new();
        for (n, load_n) in p.sheaves_n.iter().flatten().enumerate() {
            let most = hardest.entry(t.sheave(n)).or_insert((n, *load_n));
            if *load_n > most.1 {
                *most = (n, *load_n);
            }
        }
        let alike = hardest.len() < 2;
        rows.extend(hardest.into_iter().map(|(id, (n, load_n))| {
            let what = if alike { "sheave".to_owned() } else { format!("sheave {}", n + 1) };
            row(&what, id, load_n, false)
        }));
        if let Some(capture) = &t.capture {
            rows.push(row("capture", capture, hand_n, false));
        }
        rows.into_iter().flatten().collect()
    }

    /// Incidents of a class whose motion was followed.
    fn followed(&self, class: Class) -> impl Iterator<Item = &Incident> {
        self.incidents.iter().filter(move |i| i.event.class == class && !i.peaks.run_n.is_empty())
    }

    /// Rows of falls or failures: what each piece sees at most over all of them, against what it keeps; for failures also
    /// one leg carrying its anchor's whole pull (the rule of the last one standing). `working` are the rows of working
    /// situations, whose strengths of hardware hold here too.
    pub(super) fn incident_rows(&self, class: Class, working: &[Row]) -> Vec<Row> {
        let mut rows: BTreeMap<(Place, String), Row> = BTreeMap::new();
        // One leg carrying all needs no motion: it stands before anything was followed.
        let mut seen = if class == Class::Failure { self.one_leg_rows() } else { Vec::new() };
        // Nor does somebody who is towed in on the backup alone.
        if self.still(class).next().is_some() {
            let still = self.part_rows(class).into_iter().chain(self.point_rows(class)).chain(self.anchor_rows(class));
            seen.extend(still.filter(|r| r.demand_n > 0.0));
        }
        if self.followed(class).next().is_some() {
            seen.extend(self.parts_in_motion(class));
            seen.extend(self.hardware_in_motion(class, working));
            seen.extend(self.anchors_in_motion(class));
        }
        for row in seen {
            let key = (row.place.clone(), row.title.clone());
            if rows.get(&key).is_none_or(|old| row.worst_first(old).is_lt()) {
                rows.insert(key, row);
            }
        }
        rows.into_values().collect()
    }

    /// An incident as a row tells it.
    pub(super) fn seen(&self, i: &Incident) -> Seen {
        let points: Vec<String> = self.solver.rig.spots.iter().map(|s| s.name.clone()).collect();
        i.seen(&self.solver.rig.run_names, &points)
    }

    /// The largest of something over the incidents of a class, each by its unfavourable end.
    fn most(&self, class: Class, of: impl Fn(&Peaks) -> f64) -> Peak {
        let mut peak = Peak::default();
        for i in self.followed(class) {
            peak.see_moving(of(&i.peaks), i.spread(&of), || self.seen(i));
        }
        peak
    }

    fn parts_in_motion(&self, class: Class) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (run, r) in self.plan.runs.values().enumerate() {
            rows.extend(match &r.role {
                Role::Tensioning => Vec::new(),
                Role::Leash => self.rows_of_run(run, class, |_| self.most(class, |q| q.leash_n)),
                Role::Main => self.rows_of_run(run, class, |k| {
                    let e = rig.line.elements.iter().position(|e| e.part == k);
                    self.most(class, |q| e.map_or(q.run_n[run], |e| q.element_n[e]))
                }),
                Role::Backup { .. } => self.rows_of_run(run, class, |k| {
                    self.most(class, |q| rig.backup.as_ref().map_or(0.0, |b| backup_part(b, k, &q.backup_n)))
                }),
                Role::Leg | Role::Guy => self.rows_of_run(run, class, |_| self.most(class, |q| q.run_n[run])),
            });
        }
        rows
    }

    /// Hardware of points and joints; its strength is that of the working situations.
    fn hardware_in_motion(&self, class: Class, working: &[Row]) -> Vec<Row> {
        let index = |name: &String| self.plan.points.get_index_of(name);
        let tie = |what: &str| JOINTS.iter().position(|t| *t == what);
        working
            .iter()
            .filter_map(|row| {
                let peak = match &row.place {
                    Place::Point(name) => {
                        let p = index(name)?;
                        let one_hole = row.one_hole();
                        self.most(class, |q| if one_hole { q.hole_n[p] } else { q.hardware_n[p] })
                    }
                    Place::Joint(what) => {
                        let k = tie(what)?;
                        self.most(class, |q| q.ties_n.iter().map(|t| t[k]).fold(0.0, f64::max))
                    }
                    _ => return None,
                };
                let (item, none) = ((row.title.as_str(), row.item.as_str()), FactorSet::default());
                Some(self.row(row.place.clone(), item, row.kind, class, peak, row.strength.clone(), none))
            })
            .collect()
    }

    fn anchors_in_motion(&self, class: Class) -> Vec<Row> {
        let used = |r: &Row| r.demand_n / r.strength.counts_n().unwrap_or(1e9);
        let of_point = |p: usize| {
            self.followed(class)
                .flat_map(|i| i.peaks.pulls[p].iter().map(move |pull| (i, *pull)))
                .filter_map(|(i, pull)| {
                    let most = |q: &Peaks| q.pulls[p].iter().map(|f| f.length()).fold(0.0, f64::max);
                    let mut demand = Peak::default();
                    demand.see_moving(pull.length(), i.spread(most), || self.seen(i));
                    self.row_of_anchor(p, class, demand, pull.normalize_or_zero())
                })
                .max_by(|a, b| used(a).total_cmp(&used(b)))
        };
        (0..self.plan.points.len()).filter_map(of_point).collect()
    }

    fn one_leg_rows(&self) -> Vec<Row> {
        let rig = &self.solver.rig;
        let mut rows = Vec::new();
        for (p, legs) in self.solver.anchors() {
            let runs: Vec<usize> = legs.iter().map(|&l| rig.legs[l].run).collect();
            let mut whole = Peak::default();
            for c in self.working() {
                let pull: DVec3 = c.response.forces[p].iter().filter(|f| runs.contains(&f.run)).map(|f| f.force).sum();
                whole.see(pull.length(), || (&c.case.situation).into());
            }
            // A master that only the backup pulls is judged for its catches, not for its idle working load.
            if rig.backup.as_ref().is_some_and(|b| b.ends.contains(&p)) && !rig.line.ends.contains(&p) {
                let catch = self.most(Class::Failure, |q| q.backup_n.iter().copied().fold(0.0, f64::max));
                if catch.n > whole.n {
                    whole = catch;
                }
            }
            if let Some(seen) = &mut whole.seen {
                seen.how = How::OneLegOf(rig.spots[p].name.clone());
            }
            // Of a run that is led over an edge or a head on its way as well, not of one that slides over the point itself.
            let ends = |l: &&crate::rig::Leg| l.path.first() == Some(&p) || l.path.last() == Some(&p);
            for leg in legs.iter().map(|&l| &rig.legs[l]).filter(ends) {
                rows.extend(self.rows_of_run(leg.run, Class::Failure, |_| whole.clone()));
                let mut path = leg.path.clone();
                if path[0] == p {
                    path.reverse();
                }
                let (outer, next) = (path[0], path[1]);
                // What else hangs on the same anchor stays on it.
                let other = self
                    .working()
                    .map(|c| {
                        c.response.forces[outer].iter().filter(|f| f.run != leg.run).map(|f| f.force.length()).sum()
                    })
                    .fold(0.0, f64::max);
                let demand = Peak { n: whole.n + other, ..whole.clone() };
                rows.extend(self.row_of_anchor(outer, Class::Failure, demand, self.way(next, outer)));
            }
        }
        rows
    }

    /// The ways that everything at a point leads off, as drawn.
    fn drawn(&self, p: usize) -> Vec<DVec3> {
        let rig = &self.solver.rig;
        let mut out = Vec::new();
        for leg in &rig.legs {
            for w in leg.path.windows(2) {
                if w[0] == p || w[1] == p {
                    out.push(if w[0] == p { self.way(w[1], p) } else { self.way(w[0], p) });
                }
            }
        }
        for ends in std::iter::once(rig.line.ends).chain(rig.backup.as_ref().map(|b| b.ends)) {
            out.extend(ends.iter().position(|e| *e == p).map(|k| self.way(ends[1 - k], p)));
        }
        out
    }

    /// From an anchor towards a point, as drawn.
    fn way(&self, point: usize, anchor: usize) -> DVec3 {
        let spots = &self.solver.rig.spots;
        (spots[point].place - spots[anchor].place).normalize_or_zero()
    }
}

/// Tension that one part of the backup sees, of its segments' tensions, N.
fn backup_part(b: &crate::rig::Backup, part: usize, segments_n: &[f64]) -> f64 {
    let lengths = b.segment_of_part.iter().collect::<std::collections::BTreeSet<_>>().len();
    if lengths <= 1 {
        return segments_n.iter().copied().fold(0.0, f64::max);
    }
    let s = b.segment_of_part[part];
    // A joint's hardware carries the larger of the two segments it lies between.
    let next = b.segment_of_part.get(part + 1).copied().unwrap_or(s);
    [s, next].into_iter().filter_map(|s| segments_n.get(s)).copied().fold(0.0, f64::max)
}
