//! A rig made ready to move: who stands or falls where, and what has gone.
//!
//! Lines become chains of point masses, parts give their mass to the points of their run, and every law becomes the one
//! that answers a fall from the tension it stood at. Weight counts where it counts at rest, so that a rig from which
//! nothing was taken does not stir.

use std::sync::Arc;

use glam::DVec3;

use super::build::Rig;
use super::load::{CaseNet, LINE_DRAG, Load, Walker, wind_pressure_pa};
use super::tension::Lengths;
use crate::mechanics::G;
use crate::mechanics::equilibrium::{self, MemberState, Solution, Status};
use crate::mechanics::law::LengthLaw;
use crate::mechanics::lump::{Chain, Lumped, Mesh, lump};
use crate::mechanics::motion::Scene;
use crate::mechanics::net::{Link, Member, Node, Pull};
use crate::mechanics::sliding;
use crate::mechanics::span::{self, Zone};

/// What is gone from a rig. Indices are the rig's own.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default, PartialOrd, Ord)]
pub struct Loss {
    /// Legs.
    pub legs: Vec<usize>,
    /// Points whose hardware has gone: what ended there is loose, what slid over it closes up.
    pub points: Vec<usize>,
    /// Segments of the main line.
    pub main: Vec<usize>,
    /// Segments of the backup.
    pub backup: Vec<usize>,
}

impl Loss {
    /// Whether anything is gone.
    #[must_use]
    pub fn is_none(&self) -> bool {
        *self == Self::default()
    }
}

/// What a loss takes with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gone {
    /// Members of the case's net.
    pub members: Vec<usize>,
    /// Segments of the main line.
    pub main: Vec<usize>,
    /// Segments of the backup.
    pub backup: Vec<usize>,
    /// Whether the main line's end at A, and at B, has come loose from the ground.
    pub loose: [bool; 2],
}

/// Who is on the rig.
#[derive(Debug, Clone, PartialEq)]
pub enum Rider {
    /// These masses stand on the line together, kg.
    Standing(f64),
    /// This mass falls past the line at rest from its tie-in, and is caught by the leash.
    Falling(Tied),
    /// This mass stands on the line until something goes, then falls, and the line with it.
    LettingGo(Tied),
}

/// Somebody on a leash.
#[derive(Debug, Clone, PartialEq)]
pub struct Tied {
    /// kg.
    pub mass_kg: f64,
    /// Height of the tie-in above the line, m.
    pub tie_in_m: f64,
    /// The leash.
    pub leash: Arc<LengthLaw>,
    /// Mass of the rings on the line, kg: inertia only, as with other hardware.
    pub rings_kg: f64,
}

impl Rider {
    /// Mass, kg.
    #[must_use]
    pub fn mass_kg(&self) -> f64 {
        match self {
            Self::Standing(m) => *m,
            Self::Falling(t) | Self::LettingGo(t) => t.mass_kg,
        }
    }
}

/// A rig about to move, and who is who in it.
#[derive(Debug, Clone)]
pub struct Staged {
    /// What moves.
    pub scene: Scene,
    /// The net that stood before anything went, for names: its members come first in the scene.
    pub case: CaseNet,
    /// Whether waves along a taut line decide it, so that the stepping must keep them.
    pub waves: bool,
    /// The ring's point.
    pub ring: usize,
    /// The walker's point: the ring's own when standing on the line.
    pub walker: usize,
    /// The leash's member.
    pub leash: Option<usize>,
    /// Time the free fall took before the scene begins, s.
    pub before_s: f64,
    /// Height of the walker (of the tie-in, when falling) before anything happened, m.
    pub start_z_m: f64,
    /// For each span of the main line, its chain.
    pub chains: Vec<Chain>,
    /// For each segment of the backup, the members that stand for it.
    pub backup: Vec<Vec<usize>>,
    /// Tension of each member of the scene before anything went, N.
    pub rest_n: Vec<f64>,
    /// Members that are gone.
    pub gone: Vec<usize>,
}

/// Least mass of a point, kg: a small connector. Without any, a point could not move.
const LEAST_MASS_KG: f64 = 0.1;

/// Least elements to the metre, and least in all, of a backup that catches: it snaps straight within a tenth of a second.
const CATCH_PER_M: f64 = 1.0;
const CATCH_LEAST: f64 = 25.0;
/// Drag of a twisting tape over that of one that stands across the wind: 0.32 to 1. Common practice, no source; the low
/// end, for it lets lines whip more.
const TWISTING: f64 = 0.32;

/// A line that stands at more than so many times its own weight is taut: it sags by less than a fiftieth of its span.
const TAUT: f64 = 6.0;

/// Where a rig stands before something happens to it.
pub struct Rest<'a> {
    /// Its lengths.
    pub lengths: &'a Lengths,
    /// Place of the ring along the line.
    pub at: f64,
    /// Already gone when it came to rest: a fall on a rig that misses a piece.
    pub missing: &'a Loss,
    /// A sliding leg whose friction stands at its limit, and which of its strands carries most.
    pub held: Option<(usize, usize)>,
    /// Others who stand on the line meanwhile.
    pub others: &'a [Bystander],
}

/// Somebody who stands on the line while somebody else falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bystander {
    /// Place along the line, as a share of it.
    pub at: f64,
    /// kg.
    pub mass_kg: f64,
}

impl Rig {
    /// Stages `rider` on the rig at rest, with `loss` going at the start; `slides` lets the ring slide along a backup
    /// that catches, else it holds its place there. So many elements cut the whole main line, where so many are usual.
    ///
    /// # Errors
    /// Why it cannot be staged: a rest that does not balance, a line that cannot be cut.
    pub fn stage(
        &self,
        rest: &Rest<'_>,
        rider: &Rider,
        loss: &Loss,
        slides: bool,
        [elements, usual]: [usize; 2],
    ) -> Result<Staged, String> {
        let falling = matches!(rider, Rider::Falling(_));
        let weight_n = if falling { 0.0 } else { rider.mass_kg() * G };
        let mut walkers = vec![Walker::still(rest.at, weight_n)];
        walkers.extend(rest.others.iter().map(|o| Walker::still(o.at, o.mass_kg * G)));
        walkers.sort_by(|a, b| a.at.total_cmp(&b.at));
        let own = walkers.iter().position(|w| w.at == rest.at).unwrap_or(0);
        let mut case = self.net(rest.lengths, &Load { walkers, ..Load::default() });
        let missing = self.without(&mut case, rest.missing);
        let solution = equilibrium::solve(&case.net, None);
        if solution.status != Status::Converged {
            return Err("the rig does not come to rest beforehand".to_owned());
        }
        let force = |m: usize| solution.span_force(m).unwrap_or_default();
        // Waves decide a fall on a taut line; what snaps taut when a piece goes, or hangs slack because one is missing,
        // is better met by masses at points.
        let taut = |m: &usize| {
            let Some(Member::Span(span)) = case.net.members.get(*m) else { return false };
            let load: DVec3 = span.zones.iter().map(|z| z.load_n_per_m * z.length_m).sum();
            force(*m).length() > TAUT * load.length()
        };
        let waves = falling && (rest.missing.is_none() || case.spans.iter().all(taut));
        let (mut lumped, chains) = lump(&case.net, &solution.places, force, [elements, usual], waves)
            .ok_or_else(|| "a part of the line has no length".to_owned())?;
        let at_rest = equilibrium::solve(&lumped.net, None);
        if at_rest.status != Status::Converged {
            return Err("the rig, cut into elements, does not come to rest beforehand".to_owned());
        }
        for (n, p) in lumped.net.nodes.iter_mut().zip(&at_rest.places) {
            n.place = *p;
        }
        let rest_n = hasten(&mut lumped, &at_rest);
        if let Some((leg, strand)) = rest.held
            && let Some(Member::Link(link)) = lumped.net.members.get(leg)
            && let Some(held) = sliding::in_motion(link, strand, &at_rest.places)
        {
            lumped.net.members[leg] = Member::Link(held);
        }
        self.add_masses(&case.joints, &mut lumped);
        for (node, other) in case.walkers.iter().zip(stood(rest, own)) {
            lumped.mass_kg[*node] += other;
        }
        let ring = *case.walkers.get(own).ok_or_else(|| "nobody is on the line".to_owned())?;
        let mut out = Staged {
            // A span that is missing has an empty chain.
            chains: case
                .spans
                .iter()
                .map(|m| chains.iter().find(|c| c.0 == *m).map(|c| c.1.clone()).unwrap_or_default())
                .collect(),
            backup: case.backup.iter().map(|&m| vec![m]).collect(),
            scene: Scene {
                net: lumped.net,
                mass_kg: lumped.mass_kg,
                along_kg: if waves { lumped.along_kg } else { Vec::new() },
                velocity: Vec::new(),
                drag_per_s: 0.0,
                air_n_s2_per_m2: Vec::new(),
            },
            waves,
            ring,
            walker: ring,
            leash: None,
            before_s: 0.0,
            start_z_m: at_rest.places[ring].z,
            rest_n,
            gone: missing,
            case,
        };
        self.lose(&mut out, loss, slides, rest.lengths, [elements, usual])?;
        out.seat(rider);
        out.park();
        out.scene.velocity = vec![DVec3::ZERO; out.scene.net.nodes.len()];
        if !loss.is_none() {
            self.blow(&mut out);
        }
        if falling {
            out.scene.velocity[out.walker] = DVec3::new(0.0, 0.0, -G * out.before_s);
        }
        out.rest_n.resize(out.scene.net.members.len(), 0.0);
        Ok(out)
    }

    /// What goes with a loss, what carries nothing any more included: a line whose end is held by nothing on its own
    /// side lets the ring slide off, and legs that nothing pulls hang idle.
    #[must_use]
    pub fn goes(&self, case: &CaseNet, loss: &Loss) -> Gone {
        let lost = |p: &usize| loss.points.contains(p);
        let closed = |path: &[usize]| path.len() > 2 && path.first() == path.last();
        let mut legs: Vec<bool> = self
            .legs
            .iter()
            .enumerate()
            .map(|(m, leg)| {
                let loose = [leg.path.first(), leg.path.last()].into_iter().flatten().any(lost) && !closed(&leg.path);
                !loose && !loss.legs.contains(&m)
            })
            .collect();
        // From the ground through whole legs: what is anchored.
        let mut anchored: Vec<bool> =
            self.spots.iter().enumerate().map(|(i, s)| s.fixed && !loss.points.contains(&i)).collect();
        self.spread(&legs, loss, &mut anchored, |_| true);
        let held = |p: usize| anchored[p] && !loss.points.contains(&p);
        let last = case.joints.len();
        let (mut main, mut backup) = (loss.main.clone(), loss.backup.clone());
        let ends = |ends: [usize; 2], gone: &mut Vec<usize>| {
            gone.extend(ends.into_iter().zip([0, last]).filter(|(p, _)| !held(*p)).map(|(_, s)| s));
            gone.sort_unstable();
            gone.dedup();
        };
        ends(self.line.ends, &mut main);
        if let Some(b) = &self.backup {
            ends(b.ends, &mut backup);
        }
        // From what pulls through free points: what is pulled.
        let mut pulled = vec![false; self.spots.len()];
        let mut pulls = |ends: [usize; 2], gone: &[usize]| {
            for (p, s) in ends.into_iter().zip([0, last]) {
                pulled[p] |= !gone.contains(&s);
            }
        };
        pulls(self.line.ends, &main);
        if let Some(b) = &self.backup {
            pulls(b.ends, &backup);
        }
        self.spread(&legs, loss, &mut pulled, |p| !self.spots[p].fixed);
        for (m, leg) in self.legs.iter().enumerate() {
            legs[m] &= leg.path.iter().any(|p| pulled[*p] && !self.spots[*p].fixed);
        }
        let mut members: Vec<usize> = (0..self.legs.len()).filter(|m| !legs[*m]).collect();
        for (k, &m) in case.spans.iter().enumerate() {
            if main.contains(&self.segment_of_span(case, k)) {
                members.push(m);
            }
        }
        members.extend(backup.iter().filter_map(|&s| case.backup.get(s)));
        Gone { members, main, backup, loose: self.line.ends.map(|p| !held(p)) }
    }

    /// Takes a loss out of a situation; what it took.
    pub fn without(&self, case: &mut CaseNet, loss: &Loss) -> Vec<usize> {
        if loss.is_none() {
            return Vec::new();
        }
        let gone = self.goes(case, loss).members;
        for &m in &gone {
            take_away(&mut case.net.members[m]);
        }
        for m in &mut case.net.members[..self.legs.len()] {
            slide_off(m, &loss.points);
        }
        let mut used = vec![false; case.net.nodes.len()];
        for p in case.net.members.iter().flat_map(Member::points) {
            used[p] = true;
        }
        // What nothing pulls on stays where it is.
        for (n, _) in case.net.nodes.iter_mut().zip(used).filter(|(_, used)| !used) {
            n.fixed = true;
        }
        gone
    }

    /// Spreads a mark over points along whole legs, on from those points that `passes` allows.
    fn spread(&self, legs: &[bool], loss: &Loss, mark: &mut [bool], passes: impl Fn(usize) -> bool) {
        loop {
            let mut more = false;
            for leg in self.legs.iter().zip(legs).filter(|(_, whole)| **whole).map(|(l, _)| l) {
                let path = leg.path.iter().filter(|p| !loss.points.contains(p));
                if path.clone().any(|p| mark[*p] && passes(*p)) {
                    for &p in path {
                        more |= !std::mem::replace(&mut mark[p], true);
                    }
                }
            }
            if !more {
                return;
            }
        }
    }

    /// The segment of the main line that the span numbered `k` from A belongs to.
    #[must_use]
    pub fn segment_of_span(&self, case: &CaseNet, k: usize) -> usize {
        let Some(Member::Span(s)) = case.spans.get(k).map(|m| &case.net.members[*m]) else { return 0 };
        // Joints in order; a span that starts at joint j, or behind it, is in segment j + 1.
        let mut at = s.a;
        let mut i = k;
        loop {
            if let Some(j) = case.joints.iter().position(|p| *p == at) {
                return j + 1;
            }
            let Some(before) = i.checked_sub(1) else { return 0 };
            i = before;
            let Member::Span(s) = &case.net.members[case.spans[i]] else { return 0 };
            at = s.a;
        }
    }

    /// Each part's mass to the points of its run, and that of what ties joints to these.
    fn add_masses(&self, joints: &[usize], lumped: &mut Lumped) {
        for (i, s) in self.spots.iter().enumerate() {
            lumped.mass_kg[i] += s.mass_kg;
        }
        for leg in &self.legs {
            let mass: f64 = leg.elements.iter().map(|e| e.mass_per_m * e.length_m).sum();
            for &p in &leg.path {
                lumped.mass_kg[p] += mass / leg.path.len() as f64;
            }
        }
        for (node, joint) in joints.iter().zip(&self.line.joints) {
            lumped.mass_kg[*node] += joint.mass_kg;
        }
        for m in &mut lumped.mass_kg[..self.spots.len()] {
            *m = m.max(LEAST_MASS_KG);
        }
    }

    /// Air drag of the line when a piece goes, and of the backup that catches: what has gone slack is light, fast and
    /// slowed within metres. By the low end of what a twisting tape has across its length. Falls are counted without.
    fn blow(&self, out: &mut Staged) {
        let mut air = vec![0.0; out.scene.net.nodes.len()];
        let drag = wind_pressure_pa(1.0) * LINE_DRAG * TWISTING;
        for (s, members) in out.backup.iter().enumerate().filter(|(_, m)| m.len() > 1) {
            let width = self.backup.as_ref().map_or(0.0, |b| b.segments[s.min(b.segments.len() - 1)].width_m);
            for l in members {
                let Member::Link(link) = &out.scene.net.members[*l] else { continue };
                let Pull::Chain(law) = &link.pull else { continue };
                for p in &link.path {
                    air[*p] += 0.5 * drag * width * law.slack_m();
                }
            }
        }
        for (chain, owners) in out.chains.iter().zip(&out.case.owners) {
            for ((link, zones), ends) in chain.links.iter().zip(&chain.zones).zip(chain.nodes.windows(2)) {
                let Member::Link(l) = &out.scene.net.members[*link] else { continue };
                let Pull::Chain(law) = &l.pull else { continue };
                let width = zones.iter().map(|z| self.line.elements[owners[*z]].width_m).fold(0.0, f64::max);
                for p in ends {
                    air[*p] += 0.5 * drag * width * law.slack_m();
                }
            }
        }
        out.scene.air_n_s2_per_m2 = air;
    }

    /// Takes away what goes, and hangs the backup of a lost segment where it can catch.
    fn lose(
        &self,
        out: &mut Staged,
        loss: &Loss,
        slides: bool,
        lengths: &Lengths,
        [elements, usual]: [usize; 2],
    ) -> Result<(), String> {
        let finer = elements as f64 / usual as f64;
        let elements = usual;
        let gone = self.goes(&out.case, loss);
        for (k, &m) in out.case.spans.iter().enumerate() {
            if gone.members.contains(&m) {
                let chain = &out.chains[k];
                for ((&l, ends), half) in chain.links.iter().zip(chain.nodes.windows(2)).zip(&chain.half_n) {
                    take_away(&mut out.scene.net.members[l]);
                    // What is gone neither weighs nor moves with the points that it ended at.
                    for &p in ends {
                        out.scene.net.nodes[p].load_n -= *half;
                        out.scene.mass_kg[p] += half.z / G;
                    }
                }
            }
        }
        for &m in &gone.members {
            take_away(&mut out.scene.net.members[m]);
        }
        let legs = self.legs.len();
        for m in &mut out.scene.net.members[..legs] {
            slide_off(m, &loss.points);
        }
        if let Some(b) = &self.backup {
            let whole = self.line_length_m(lengths);
            for &s in gone.main.iter().filter(|s| !gone.backup.contains(s)) {
                let Some(&m) = out.case.backup.get(s) else { continue };
                let Member::Link(link) = &out.case.net.members[m] else { continue };
                let rings = link.path.len() > 2;
                if rings && slides {
                    continue;
                }
                let Pull::Chain(law) = &link.pull else { continue };
                let Some(piece) = law.pieces().first() else { continue };
                let e = &b.segments[s.min(b.segments.len() - 1)];
                let weight = DVec3::new(0.0, 0.0, -G * e.mass_per_m.max(1e-4));
                let path = link.path.clone();
                let places: Vec<DVec3> = path.iter().map(|p| out.scene.net.nodes[*p].place).collect();
                // Its material lies between the points as far as they are apart.
                let ways: Vec<f64> = places.windows(2).map(|w| w[0].distance(w[1])).collect();
                let whole_way: f64 = ways.iter().sum();
                take_away(&mut out.scene.net.members[m]);
                let scene = &mut out.scene;
                let mut lumped = Lumped {
                    net: std::mem::take(&mut scene.net),
                    mass_kg: std::mem::take(&mut scene.mass_kg),
                    along_kg: Vec::new(),
                };
                let mut members = Vec::new();
                for (k, way) in ways.iter().enumerate() {
                    let length_m = piece.length_m * way / whole_way;
                    let zones = [Zone { length_m, load_n_per_m: weight, law: piece.law.clone() }];
                    let chord = places[k + 1] - places[k];
                    let hung = span::solve(&zones, chord, span::guess(&zones, chord));
                    if !hung.converged {
                        return Err("the backup cannot be hung where it would catch".to_owned());
                    }
                    let per_m = (elements as f64 / whole).max(CATCH_PER_M).max(CATCH_LEAST / length_m);
                    let mesh = Mesh { per_m: finer * per_m, usual_per_m: per_m, hardware_apart: false };
                    let chain = lumped
                        .lay(path[k], path[k + 1], &zones, hung.force, mesh, None)
                        .ok_or_else(|| "a part of the backup has no length".to_owned())?;
                    for &l in &chain.links {
                        if let Member::Link(link) = &mut lumped.net.members[l] {
                            hasten_link(link, 0.0);
                        }
                    }
                    members.extend(chain.links);
                }
                (out.scene.net, out.scene.mass_kg) = (lumped.net, lumped.mass_kg);
                out.backup[s] = members;
            }
        }
        out.gone.extend(gone.members);
        out.gone.sort_unstable();
        out.gone.dedup();
        Ok(())
    }
}

/// Mass of those who stand at each walker's place from A, the one whose incident it is aside, kg.
fn stood(rest: &Rest<'_>, own: usize) -> Vec<f64> {
    let mut others = rest.others.to_vec();
    others.sort_by(|a, b| a.at.total_cmp(&b.at));
    let mut out: Vec<f64> = others.iter().map(|o| o.mass_kg).collect();
    out.insert(own.min(out.len()), 0.0);
    out
}

impl Staged {
    /// Puts the rider on.
    fn seat(&mut self, rider: &Rider) {
        match rider {
            // Their weight is on the ring's point already.
            Rider::Standing(m) => self.scene.mass_kg[self.ring] += m,
            Rider::Falling(t) | Rider::LettingGo(t) => {
                self.scene.mass_kg[self.ring] += t.rings_kg;
                let (slack, ring) = (t.leash.slack_m(), self.scene.net.nodes[self.ring].place);
                let load_n = DVec3::new(0.0, 0.0, -t.mass_kg * G);
                self.start_z_m = ring.z + t.tie_in_m;
                let above_m = if let Rider::Falling(_) = rider {
                    // Free as far as the leash reaches.
                    self.before_s = (2.0 * (t.tie_in_m + slack) / G).sqrt();
                    -slack
                } else {
                    self.scene.net.nodes[self.ring].load_n -= load_n;
                    t.tie_in_m.min(0.95 * slack)
                };
                self.walker = self.scene.net.nodes.len();
                self.scene.net.nodes.push(Node { place: ring + DVec3::Z * above_m, fixed: false, load_n });
                self.scene.mass_kg.push(t.mass_kg);
                self.leash = Some(self.scene.net.members.len());
                let law = Arc::new(t.leash.hastened(0.0));
                self.scene.net.members.push(Member::Link(Link::new(vec![self.ring, self.walker], law)));
            }
        }
    }

    /// Holds still what nothing pulls on any more and nobody looks at: it would only fall for ever.
    fn park(&mut self) {
        let nodes = self.scene.net.nodes.len();
        let mut used = vec![false; nodes];
        used[self.walker] = true;
        for m in &self.scene.net.members {
            for p in m.points() {
                used[p] = true;
            }
        }
        for (i, n) in self.scene.net.nodes.iter_mut().enumerate() {
            if !used[i] {
                n.fixed = true;
                n.load_n = DVec3::ZERO;
            }
            self.scene.mass_kg[i] = self.scene.mass_kg[i].max(1e-6);
        }
    }

    /// Whether a member of the net before still carries.
    #[must_use]
    pub fn whole(&self, member: usize) -> bool {
        !self.gone.contains(&member)
    }
}

/// A member that is gone: no points, no pull.
fn take_away(member: &mut Member) {
    *member =
        Member::Link(Link { path: Vec::new(), pull: Pull::Constant(0.0), ratios: Vec::new(), friction: Vec::new() });
}

/// What slides over a lost point closes up.
fn slide_off(member: &mut Member, points: &[usize]) {
    let Member::Link(link) = member else { return };
    if link.path.len() < 3 || !link.path.iter().any(|p| points.contains(p)) {
        return;
    }
    let closed = link.path.first() == link.path.last();
    link.path.retain(|p| !points.contains(p));
    link.path.dedup();
    link.friction.clear();
    if let (true, Some(&first)) = (closed, link.path.first())
        && link.path.last() != Some(&first)
    {
        link.path.push(first);
    }
    if link.path.len() < 2 {
        take_away(member);
    }
}

/// Every law as it answers a fall from the rest; with it the rest tensions.
fn hasten(lumped: &mut Lumped, rest: &Solution) -> Vec<f64> {
    let mut tensions = Vec::with_capacity(lumped.net.members.len());
    for (m, state) in lumped.net.members.iter_mut().zip(&rest.members) {
        let tension = match state {
            MemberState::Link { tension_n, .. } => *tension_n,
            _ => 0.0,
        };
        tensions.push(tension);
        if let Member::Link(link) = m {
            hasten_link(link, tension);
        }
    }
    tensions
}

fn hasten_link(link: &mut Link, rest_n: f64) {
    if let Pull::Chain(law) = &link.pull {
        link.pull = Pull::Chain(Arc::new(law.hastened(rest_n)));
    }
}
