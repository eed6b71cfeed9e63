//! What a solved situation means for each run and point.

use glam::DVec3;

use super::build::Rig;
use super::load::CaseNet;
use crate::mechanics::equilibrium::{MemberState, Solution};
use crate::mechanics::net::{Member, Net};
use crate::mechanics::span;

/// One run's force on a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PointForce {
    /// Index of the run in the plan.
    pub run: usize,
    /// Force on the point, N; of a run that slides over it, both legs together.
    pub force: DVec3,
}

/// Tensions and forces of one situation, by the plan's own indices.
#[derive(Debug, Clone)]
pub struct Response {
    /// Largest tension in each run, N.
    pub run_n: Vec<f64>,
    /// Tension of the main line at A and B, N.
    pub line_n: [f64; 2],
    /// Tension along the main line's elements: the larger at the ends of each, N.
    pub element_n: Vec<f64>,
    /// Tension of each backup segment, N.
    pub backup_n: Vec<f64>,
    /// What pulls on each point.
    pub forces: Vec<Vec<PointForce>>,
    /// What the ground gives back at each fixed point, N.
    pub reactions: Vec<DVec3>,
    /// Place of each point, m.
    pub places: Vec<DVec3>,
    /// Largest drop of the line below its chord, m.
    pub sag_m: f64,
    /// What pulls on each joint of the main line: main towards A, main towards B, backup towards A, backup towards B.
    pub joints: Vec<[DVec3; 4]>,
}

/// Force of link `m` on the point `p`, N.
pub(super) fn link_force(net: &Net, s: &Solution, m: usize, p: usize) -> DVec3 {
    let (Member::Link(link), MemberState::Link { tension_n, .. }) = (&net.members[m], s.members[m]) else {
        return DVec3::ZERO;
    };
    link.path
        .windows(2)
        .enumerate()
        .map(|(k, e)| {
            let q = (s.places[e[1]] - s.places[e[0]]).normalize_or_zero() * (tension_n * link.ratio(k));
            match (e[0] == p, e[1] == p) {
                (true, false) => q,
                (false, true) => -q,
                _ => DVec3::ZERO,
            }
        })
        .sum()
}

impl Rig {
    /// Reads a solution.
    #[must_use]
    pub fn response(&self, case: &CaseNet, s: &Solution) -> Response {
        let points = self.spots.len();
        let net = &case.net;
        let mut run_n = vec![0.0; self.run_names.len()];
        let mut forces: Vec<Vec<PointForce>> = vec![Vec::new(); points];
        let tension = |m: usize| match s.members[m] {
            MemberState::Link { tension_n, .. } => tension_n,
            _ => 0.0,
        };
        let mut touch = |p: usize, run: usize, force: DVec3| {
            if p < points {
                forces[p].push(PointForce { run, force });
            }
        };
        for (m, leg) in self.legs.iter().enumerate() {
            run_n[leg.run] = tension(m);
            let mut seen: Vec<usize> = Vec::new();
            for &p in &leg.path {
                if !seen.contains(&p) {
                    seen.push(p);
                    touch(p, leg.run, link_force(net, s, m, p));
                }
            }
        }
        let line_n = case.line_tension_n(s);
        if let (Some(&first), Some(&last)) = (case.spans.first(), case.spans.last()) {
            touch(self.line.ends[0], self.line.run, s.span_force(first).unwrap_or_default());
            if let Member::Span(sp) = &net.members[last] {
                let end = span::load_n(&sp.zones) - s.span_force(last).unwrap_or_default();
                touch(self.line.ends[1], self.line.run, end);
            }
        }
        let backup_n: Vec<f64> = case.backup.iter().map(|&m| tension(m)).collect();
        if let Some(b) = &self.backup {
            run_n[b.run] = backup_n.iter().copied().fold(0.0, f64::max);
            if let (Some(&first), Some(&last)) = (case.backup.first(), case.backup.last()) {
                touch(b.ends[0], b.run, link_force(net, s, first, b.ends[0]));
                touch(b.ends[1], b.run, link_force(net, s, last, b.ends[1]));
            }
        }
        let element_n = self.element_tensions(case, s);
        run_n[self.line.run] = element_n.iter().copied().fold(line_n[0].max(line_n[1]), f64::max);
        let reactions = (0..points)
            .map(|p| {
                let ground = net.members.iter().zip(&s.members).find_map(|(m, state)| match (m, state) {
                    (Member::Ground(g), MemberState::Ground(f)) if g.point == p => Some(*f),
                    _ => None,
                });
                match ground {
                    Some(f) => f,
                    None if net.nodes[p].fixed => s.gradient[p],
                    None => DVec3::ZERO,
                }
            })
            .collect();
        let joints = case
            .joints
            .iter()
            .enumerate()
            .map(|(k, &p)| {
                let spans: Vec<(DVec3, bool)> = case
                    .spans
                    .iter()
                    .filter_map(|&m| match &net.members[m] {
                        Member::Span(sp) if sp.a == p => Some((s.span_force(m)?, true)),
                        Member::Span(sp) if sp.b == p => Some((span::load_n(&sp.zones) - s.span_force(m)?, false)),
                        _ => None,
                    })
                    .collect();
                let of = |towards_b: bool| spans.iter().find(|(_, b)| *b == towards_b).map_or(DVec3::ZERO, |(f, _)| *f);
                let back = |m: Option<&usize>| m.map_or(DVec3::ZERO, |&m| link_force(net, s, m, p));
                [of(false), of(true), back(case.backup.get(k)), back(case.backup.get(k + 1))]
            })
            .collect();
        Response {
            run_n,
            line_n,
            element_n,
            backup_n,
            forces,
            reactions,
            places: s.places[..points].to_vec(),
            sag_m: case.sag_m(s),
            joints,
        }
    }

    /// The larger end tension of each element of the main line.
    fn element_tensions(&self, case: &CaseNet, s: &Solution) -> Vec<f64> {
        let mut out = vec![0.0_f64; self.line.elements.len()];
        for (&m, owners) in case.spans.iter().zip(&case.owners) {
            let Member::Span(sp) = &case.net.members[m] else {
                continue;
            };
            let mut t = s.span_force(m).unwrap_or_default();
            for (z, &e) in sp.zones.iter().zip(owners) {
                let next = t - z.load_n_per_m * z.length_m;
                out[e] = out[e].max(t.length()).max(next.length());
                t = next;
            }
        }
        out
    }
}
