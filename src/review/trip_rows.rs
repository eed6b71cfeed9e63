//! Rows of the trip: gear that gets the line over, what tows somebody in, what people hang on at the edges.

use glam::DVec3;

use super::case::Class;
use super::edge::{Edges, Tied};
use super::factors::{Kind, required};
use super::hold::hold_strength;
use super::neighbours::piece_strength;
use super::over::{StageOver, Way};
use super::rescue::{On, TowedIn};
use super::row::{Hauled, Passed, Peak, Place, Row, TiePiece};
use super::situation::{Cause, Situation};
use super::strength::{Strength, part_strength};
use super::work::Work;
use crate::catalogue::Item;
use crate::mechanics::G;
use crate::plan::crossing::Carried;
use crate::plan::tensioning::PulleySet;
use crate::plan::{FactorSet, Part, PointKind, Side};
use crate::rig::{Lay, Neighbour};

/// What hands pull a stage with at the most, N.
fn most_hands(s: &StageOver) -> f64 {
    s.hardest().map_or(0.0, Way::most_n)
}

impl Work<'_> {
    /// What a line of its own keeps, straight, tied to an item at both ends; to what, may not be known.
    fn tied(&self, part: &Part, item: &Item, to: Option<&String>) -> Strength {
        let unknown =
            || Neighbour { name: "what it is tied to".to_owned(), diameter_m: None, lock: false, soft: false };
        let on = to.and_then(|i| self.catalogue.get(i)).map_or_else(unknown, |i| Neighbour::item(i, None));
        let straight = Lay { reach_m: 0.0, strands: 1.0, opening_rad: 0.0 };
        part_strength(part, item, straight, [&on, &on], &[], 0.0, &self.catalogue.deratings)
    }

    /// The soft part of a run that keeps least.
    fn weakest(&self, run: usize) -> Option<(&Item, Strength)> {
        let (_, r) = self.plan.runs.get_index(run)?;
        let soft = r.parts.iter().enumerate().filter_map(|(k, p)| {
            let item = self.catalogue.get(&p.item).filter(|i| i.class.is_soft())?;
            Some((&**item, self.strengths[run][k].clone()?))
        });
        soft.min_by(|a, b| a.1.low_n.total_cmp(&b.1.low_n))
    }

    /// Rope and sheave of a pulley set while hands pull `n` with it: what each is, what it sees, what it keeps.
    fn set_pieces<P>(&self, set: &PulleySet, n: f64, [rope, sheave]: [P; 2]) -> Vec<(P, &Item, f64, Strength)> {
        let Some([rope_n, sheave_n]) = set.sees_n(self.catalogue, n) else { return Vec::new() };
        let pieces = [(rope, &set.rope, rope_n), (sheave, &set.sheave, sheave_n)];
        let kept = |i: &Item| if i.class.is_soft() { self.becket_tied(i) } else { piece_strength(i, self.catalogue) };
        pieces.into_iter().filter_map(|(p, id, n)| self.catalogue.get(id).map(|i| (p, &**i, n, kept(i)))).collect()
    }

    /// Gear of the line over: each line that pulls, at the hands' pull on it; the rig's own at what the edges see; joints;
    /// the brake.
    pub(super) fn crossing_rows(&self) -> Vec<Row> {
        let (Some(x), Some(over)) = (&self.plan.crossing, &self.over) else { return Vec::new() };
        let mut rows = Vec::new();
        let none = FactorSet::default();
        let required = required(self.plan, none, Kind::Crossing, Class::Working);
        // What was not solved is not judged by the nothing that it then sees.
        let mut row = |what: Passed, item: (&str, &str), n: f64, stage: &StageOver, strength: Strength, sound: bool| {
            let situation = Situation::from(Cause::Crossing { stage: stage.name.clone() });
            let demand = Peak { n, seen: Some((&situation).into()), spread: None };
            let (title, id) = (item.0.to_owned(), item.1);
            let (place, kind, class) = (Place::Crossing(what), Kind::Crossing, Class::Working);
            rows.push(Row::new(place, title, id, kind, class, demand, strength, required, sound && self.sound(class)));
        };
        let most = |s: &StageOver| s.ways.iter().map(|w: &Way| w.most_n().max(w.sending_n)).fold(0.0, f64::max);
        for (k, (stage, way)) in x.stages.iter().zip(&over.stages).enumerate() {
            let next = x.stages.get(k + 1).zip(over.stages.get(k + 1));
            // What it sees itself, and what it sees while it pulls the next.
            let n = most(way).max(next.map_or(0.0, |(_, o)| most(o)));
            let sound = way.sound() && next.is_none_or(|(_, o)| o.sound());
            let line = || Passed::Line(stage.name.clone());
            match &stage.carried {
                Carried::Part(p) => {
                    let Some(item) = self.catalogue.get(&p.item) else { continue };
                    let joint = next.and_then(|(s, _)| s.joint.as_ref()).or(stage.joint.as_ref());
                    let strength = self.tied(p, item, joint);
                    row(line(), (&item.title, &item.id), n, next.map_or(way, |(_, o)| o), strength, sound);
                }
                Carried::Runs(runs) => {
                    // Its own parts hold it at its leading end as they hold the line.
                    let first = runs.first().and_then(|r| self.plan.runs.get_index_of(r));
                    if let Some((item, strength)) = first.and_then(|r| self.weakest(r)) {
                        row(line(), (&item.title, &item.id), n, way, strength, sound);
                    }
                }
            }
            if let Some(item) = stage.joint.as_ref().and_then(|j| self.catalogue.get(j)) {
                let strength = piece_strength(item, self.catalogue);
                let joint = Passed::Joint(stage.name.clone());
                row(joint, (&item.title, &item.id), most(way), way, strength, way.sound());
            }
        }
        // Every stage may be pulled with it.
        let hardest = over.stages.iter().max_by(|a, b| most_hands(a).total_cmp(&most_hands(b)));
        if let (Some(set), Some(stage)) = (&x.set, hardest) {
            let pieces = [Passed::SetRope, Passed::SetSheave];
            for (what, item, n, strength) in self.set_pieces(set, most_hands(stage), pieces) {
                row(what, (&item.title, &item.id), n, stage, strength, stage.sound());
            }
        }
        if let (Some(rating), Some(last)) = (x.brake.as_ref().and_then(|b| b.rating.as_ref()), over.stages.last())
            && let Some(low) = rating.minimum_n()
        {
            let strength = Strength::start("brake", rating, low);
            row(Passed::Brake, ("brake", ""), over.brake_n, last, strength, last.sound());
        }
        if let (Some(rating), Some(last)) = (&x.release_rating, over.stages.last())
            && let Some(low) = rating.minimum_n()
        {
            let strength = Strength::start("release", rating, low);
            row(Passed::Release, ("release", ""), over.release_n, last, strength, last.sound());
        }
        rows
    }

    /// What tows somebody in who hangs still: ropes at the hands' pull, the roller, the line on its two ends.
    pub(super) fn rescue_rows(&self) -> Vec<Row> {
        let (Some(plan), Some(all)) = (&self.plan.rescue, &self.rescued) else { return Vec::new() };
        let mut rows = Vec::new();
        let sound = |on: On| all.on(on).all(|p| p.certified);
        let mut row = |what: Hauled, item: (&str, &str), n: f64, (on, to): (On, Side), strength: Strength| {
            let situation = Situation::from(Cause::Towed { on, to });
            let demand = Peak { n, seen: Some((&situation).into()), spread: None };
            // The backup alone is a failure; what tows a person is asked for what the main line is.
            let (kind, class) = match what {
                Hauled::Line(On::Backup) => (Kind::Backup, Class::Failure),
                _ => (Kind::Tow, Class::Working),
            };
            let required = required(self.plan, FactorSet::default(), kind, class);
            let (title, id) = (item.0.to_owned(), item.1);
            let sound = sound(on) && self.sound(Class::Working);
            rows.push(Row::new(Place::Rescue(what), title, id, kind, class, demand, strength, required, sound));
        };
        // The hardest of what is pulled in: how hard, on which line, to which side.
        let hardest = |on: &[On], of: &dyn Fn(&TowedIn) -> Option<f64>| {
            let towed =
                all.places.iter().filter(|p| on.contains(&p.on)).flat_map(|p| p.towed.iter().map(|t| (p.on, t)));
            let all = towed.filter_map(|(on, t)| Some((of(t)?, (on, t.side))));
            all.max_by(|a, b| a.0.total_cmp(&b.0))
        };
        let both = [On::Main, On::Backup];
        for t in &plan.ropes {
            let Some(item) = self.catalogue.get(&t.rope.item) else { continue };
            let strength = self.tied(&t.rope, item, plan.roller.as_ref());
            let pull = |w: &TowedIn| (w.side == t.side).then_some(w.hands_n.max(w.held_back_n));
            if let Some((n, seen)) = hardest(&both, &pull) {
                row(Hauled::Rope(t.side), (&item.title, &item.id), n, seen, strength);
            }
        }
        if let (Some(set), Some((n, seen))) = (&plan.set, hardest(&both, &|w| Some(w.hands_n.max(w.held_back_n)))) {
            for (what, item, n, strength) in self.set_pieces(set, n, [Hauled::SetRope, Hauled::SetSheave]) {
                row(what, (&item.title, &item.id), n, seen, strength);
            }
        }
        if let Some(item) = plan.roller.as_ref().and_then(|r| self.catalogue.get(r)) {
            let hangs = all.load_kg * G;
            if let Some((n, seen)) = hardest(&both, &|w| Some(hangs + w.most_n.max(w.held_back_n))) {
                row(Hauled::Roller, (&item.title, &item.id), n, seen, piece_strength(item, self.catalogue));
            }
        }
        for (on, run) in
            [(On::Main, Some(self.solver.rig.line.run)), (On::Backup, self.solver.rig.backup.as_ref().map(|b| b.run))]
        {
            let weakest = run.and_then(|r| self.weakest(r));
            if let (Some((item, strength)), Some((n, seen))) = (weakest, hardest(&[on], &|w| Some(w.line_n))) {
                row(Hauled::Line(on), (&item.title, &item.id), n, seen, strength);
            }
        }
        rows
    }

    /// The most that an anchor of ties sees at once over all steps, N: as many people as stand at that lip, the hardest held
    /// first.
    fn together_n(&self, edges: &Edges, side: Side, on: &str) -> f64 {
        let hangs = |t: &&Tied| self.plan.ties.get(&t.name).is_some_and(|tie| tie.anchors.iter().any(|a| a == on));
        let at = edges.steps.iter().flat_map(|s| &s.sides).filter(|s| s.side == side);
        let sum = at.map(|s| {
            let ties = edges.ties.iter().filter(|t| s.ties.contains(&t.name)).filter(hangs);
            let each = |t: &Tied| std::iter::repeat_n(t.peak_n.unwrap_or(0.0), t.people);
            let mut all: Vec<f64> = ties.flat_map(each).collect();
            all.sort_by(|a, b| b.total_cmp(a));
            all.iter().take(s.people).sum::<f64>()
        });
        sum.fold(0.0, f64::max)
    }

    /// Ties, and what they hang on: each anchor holds all of it, and the line's pull beside it where the line is up.
    pub(super) fn edge_rows(&self, rows: &[Row]) -> Vec<Row> {
        let Some(edges) = &self.edges else { return Vec::new() };
        let mut out = Vec::new();
        // Whoever hangs on it is asked for what a fall is asked for, and never for less than twice.
        let required = required(self.plan, FactorSet::default(), Kind::Tie, Class::Fall).max(2.0);
        for tied in &edges.ties {
            let (Some(tie), Some(n)) = (self.plan.ties.get(&tied.name), tied.demand_n()) else { continue };
            let situation = Situation::from(Cause::Slip { tie: tied.name.clone() });
            let mut row = |piece: TiePiece, item: (&str, &str), n: f64, strength: Strength, sound: bool| {
                let demand = Peak { n, seen: Some((&situation).into()), spread: None };
                let place = Place::Tie(tied.name.clone(), piece);
                let title = item.0.to_owned();
                out.push(Row::new(place, title, item.1, Kind::Tie, Class::Fall, demand, strength, required, sound));
            };
            if let Some(item) = self.catalogue.get(&tie.rope.item) {
                let strength = self.tied(&tie.rope, item, None);
                row(TiePiece::Rope, (&item.title, &item.id), n, strength, self.sound(Class::Working));
            }
            let out_of_it = if tied.side == Side::A { DVec3::X } else { DVec3::NEG_X };
            let taut = tied.steps.iter().any(|s| s.under_tension());
            for on in &tie.anchors {
                let Some(PointKind::Fixed { by, .. }) = self.plan.points.get(on).map(|p| &p.kind) else { continue };
                let line = rows.iter().filter(|r| r.class == Class::Working && r.place == Place::Anchor(on.clone()));
                let line_n = if taut { line.map(|r| r.demand_n).fold(0.0, f64::max) } else { 0.0 };
                // As many at once as stand at the lip, each on a tie of their own where they share the anchor.
                let n = self.together_n(edges, tied.side, on).max(n);
                let strength = hold_strength(by, out_of_it * (n + line_n), self.catalogue);
                row(TiePiece::Anchor(on.clone()), (on, ""), n + line_n, strength, self.sound(Class::Working));
            }
        }
        out
    }
}
