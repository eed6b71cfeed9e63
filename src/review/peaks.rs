//! The largest of everything over the course of a motion.

use glam::DVec3;

use super::hardware::{largest_resultant, resultant_bound};
use crate::mechanics::motion::Motion;
use crate::mechanics::net::Member;
use crate::rig::{Rig, Staged};

/// Largest values of a motion, each at its own instant; indices are the rig's.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Peaks {
    /// Tension of each run, N.
    pub run_n: Vec<f64>,
    /// Force of the main line on its ends, N.
    pub line_n: [f64; 2],
    /// Tension of each element of the main line, N.
    pub element_n: Vec<f64>,
    /// Tension of each backup segment, N.
    pub backup_n: Vec<f64>,
    /// Largest resultant in any one cut of what meets at each point, N.
    pub hardware_n: Vec<f64>,
    /// Largest single pull on each point, N.
    pub hole_n: Vec<f64>,
    /// Pulls on each fixed point: the largest towards each of several directions, N.
    pub pulls: Vec<Vec<DVec3>>,
    /// At each joint: one piece through all, backup to backup, the two together, main to main, N.
    pub ties_n: Vec<[f64; 4]>,
    /// Tension of the leash, N.
    pub leash_n: f64,
    /// Force on the body, N.
    pub body_n: f64,
}

impl Peaks {
    /// Takes the larger of each from another play of the same incident.
    pub(super) fn raise(&mut self, other: &Self) {
        let up = |a: &mut [f64], b: &[f64]| a.iter_mut().zip(b).for_each(|(a, b)| *a = a.max(*b));
        up(&mut self.run_n, &other.run_n);
        up(&mut self.line_n, &other.line_n);
        up(&mut self.element_n, &other.element_n);
        up(&mut self.backup_n, &other.backup_n);
        up(&mut self.hardware_n, &other.hardware_n);
        up(&mut self.hole_n, &other.hole_n);
        self.ties_n.iter_mut().zip(&other.ties_n).for_each(|(a, b)| up(a, b));
        for (mine, theirs) in self.pulls.iter_mut().zip(&other.pulls) {
            mine.extend(theirs);
        }
        self.leash_n = self.leash_n.max(other.leash_n);
        self.body_n = self.body_n.max(other.body_n);
    }
}

/// Which members pull where, worked out once.
pub(super) struct Gauge {
    /// For each point: each run there, with its members.
    at_point: Vec<Vec<(usize, Vec<usize>)>>,
    /// For each element of the line, its links.
    elements: Vec<Vec<usize>>,
    /// The members at each end of the line.
    ends: [Option<(usize, usize)>; 2],
    /// At each joint: main towards A and B, backup towards A and B.
    joints: Vec<(usize, [Option<usize>; 4])>,
    grounds: Vec<Option<usize>>,
    ways: Vec<DVec3>,
}

impl Gauge {
    pub(super) fn new(rig: &Rig, staged: &Staged) -> Self {
        let points = rig.spots.len();
        let mut at_point: Vec<Vec<(usize, Vec<usize>)>> = vec![Vec::new(); points];
        let net = &staged.scene.net;
        for (m, leg) in rig.legs.iter().enumerate() {
            let mut seen = net.members[m].points();
            seen.sort_unstable();
            seen.dedup();
            for p in seen.into_iter().filter(|p| *p < points) {
                at_point[p].push((leg.run, vec![m]));
            }
        }
        let first = staged.chains.first().and_then(|c| Some((*c.links.first()?, *c.nodes.first()?)));
        let last = staged.chains.last().and_then(|c| Some((*c.links.last()?, *c.nodes.last()?)));
        for (m, p) in [first, last].into_iter().flatten().filter(|(_, p)| *p < points) {
            at_point[p].push((rig.line.run, vec![m]));
        }
        if let Some(b) = &rig.backup {
            let ends = [staged.backup.first().and_then(|s| s.first()), staged.backup.last().and_then(|s| s.last())];
            for (end, m) in b.ends.into_iter().zip(ends) {
                if let Some(&m) = m.filter(|m| net.members[**m].points().contains(&end)) {
                    at_point[end].push((b.run, vec![m]));
                }
            }
        }
        let mut elements = vec![Vec::new(); rig.line.elements.len()];
        for (chain, owners) in staged.chains.iter().zip(&staged.case.owners) {
            for (l, zones) in chain.links.iter().zip(&chain.zones) {
                for z in zones {
                    elements[owners[*z]].push(*l);
                }
            }
        }
        let joints = staged
            .case
            .joints
            .iter()
            .enumerate()
            .map(|(k, &p)| {
                let before = staged.chains.iter().find(|c| c.nodes.last() == Some(&p)).and_then(|c| c.links.last());
                let after = staged.chains.iter().find(|c| c.nodes.first() == Some(&p)).and_then(|c| c.links.first());
                let back = staged.backup.get(k).and_then(|s| s.last());
                let on = staged.backup.get(k + 1).and_then(|s| s.first());
                (p, [before, after, back, on].map(Option::<&usize>::copied))
            })
            .collect();
        let grounds = (0..points)
            .map(|p| net.members.iter().position(|m| matches!(m, Member::Ground(g) if g.point == p)))
            .collect();
        Self { at_point, elements, ends: [first, last], joints, grounds, ways: ways() }
    }

    pub(super) fn blank(&self, rig: &Rig, staged: &Staged) -> Peaks {
        let points = rig.spots.len();
        Peaks {
            run_n: vec![0.0; rig.run_names.len()],
            line_n: [0.0; 2],
            element_n: vec![0.0; rig.line.elements.len()],
            backup_n: vec![0.0; staged.backup.len()],
            hardware_n: vec![0.0; points],
            hole_n: vec![0.0; points],
            pulls: vec![Vec::new(); points],
            ties_n: vec![[0.0; 4]; self.joints.len()],
            leash_n: 0.0,
            body_n: 0.0,
        }
    }

    /// Takes the present instant in.
    pub(super) fn see(&self, peaks: &mut Peaks, rig: &Rig, staged: &Staged, m: &Motion<'_>) {
        let tension = m.tension();
        let up = |most: &mut f64, now: f64| *most = most.max(now);
        for (k, leg) in rig.legs.iter().enumerate() {
            up(&mut peaks.run_n[leg.run], tension[k]);
        }
        for (e, links) in self.elements.iter().enumerate() {
            for &l in links {
                up(&mut peaks.element_n[e], tension[l]);
            }
            up(&mut peaks.run_n[rig.line.run], peaks.element_n[e]);
        }
        for (most, end) in peaks.line_n.iter_mut().zip(&self.ends) {
            if let Some((l, _)) = end {
                up(most, tension[*l]);
            }
        }
        for (s, members) in staged.backup.iter().enumerate() {
            for &l in members {
                up(&mut peaks.backup_n[s], tension[l]);
            }
            if let Some(b) = &rig.backup {
                up(&mut peaks.run_n[b.run], peaks.backup_n[s]);
            }
        }
        let mut forces = Vec::new();
        for (p, runs) in self.at_point.iter().enumerate() {
            forces.clear();
            forces.extend(runs.iter().map(|(_, ms)| ms.iter().map(|&l| m.member_force(l, p)).sum::<DVec3>()));
            up(&mut peaks.hole_n[p], forces.iter().map(|f| f.length()).fold(0.0, f64::max));
            if rig.spots[p].fixed {
                let pull = match self.grounds[p] {
                    Some(g) => -m.member_force(g, p),
                    None => m.force(p),
                };
                self.pull(&mut peaks.pulls[p], pull);
                forces.push(-pull);
            }
            // Worked out only where it may be larger than what was seen.
            if resultant_bound(&forces) > peaks.hardware_n[p] {
                up(&mut peaks.hardware_n[p], largest_resultant(&forces));
            }
        }
        for (ties, (p, members)) in peaks.ties_n.iter_mut().zip(&self.joints) {
            let f = members.map(|l| l.map_or(DVec3::ZERO, |l| m.member_force(l, *p)));
            up(&mut ties[0], largest_resultant(&f));
            up(&mut ties[1], f[2].length().max(f[3].length()));
            up(&mut ties[2], (f[2] + f[3]).length());
            up(&mut ties[3], f[0].length().max(f[1].length()));
        }
        match staged.leash {
            Some(l) => {
                up(&mut peaks.leash_n, tension[l]);
                peaks.body_n = peaks.leash_n;
            }
            None => up(&mut peaks.body_n, self.stood_on(staged, m)),
        }
    }

    /// Keeps the largest pull towards each direction.
    fn pull(&self, kept: &mut Vec<DVec3>, pull: DVec3) {
        if kept.is_empty() {
            kept.resize(self.ways.len(), DVec3::ZERO);
        }
        for (k, way) in kept.iter_mut().zip(&self.ways) {
            if pull.dot(*way) > k.dot(*way) {
                *k = pull;
            }
        }
    }

    /// Force of the line on who stands on it, N: their share of what the ring's point is held with.
    fn stood_on(&self, staged: &Staged, m: &Motion<'_>) -> f64 {
        let ring = staged.ring;
        let weight = staged.case.net.nodes[ring].load_n.length();
        let mass = weight / crate::mechanics::G;
        let held = m.force(ring) - staged.scene.net.nodes[ring].load_n;
        held.length() * mass / staged.scene.mass_kg[ring].max(mass)
    }
}

/// Directions from the middle of a cube to its corners, edges and faces.
pub(super) fn ways() -> Vec<DVec3> {
    let mut ways = Vec::new();
    for x in [-1.0, 0.0, 1.0] {
        for y in [-1.0, 0.0, 1.0] {
            for z in [-1.0, 0.0, 1.0] {
                ways.extend(DVec3::new(x, y, z).try_normalize());
            }
        }
    }
    ways
}
