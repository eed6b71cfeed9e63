//! A situation put on a rig: who stands where, wind, temperature, lengths.

use std::sync::Arc;

use glam::DVec3;

use super::build::{Element, Rig};
use super::tension::Lengths;
use crate::catalogue::Catalogue;
use crate::mechanics::G;
use crate::mechanics::law::{LengthLaw, Piece};
use crate::mechanics::net::{Ground, Link, Member, Net, Node, Pull, Span};
use crate::mechanics::span::{Zone, length_m};
use crate::plan::{PartLength, Run};
use crate::units::Quantity as _;

/// Someone on the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walker {
    /// Share of the line's unstretched length from A.
    pub at: f64,
    /// Weight pressing down, N (a multiple of body weight when bouncing).
    pub weight_n: f64,
    /// Drag coefficient times area, m².
    pub drag_area_m2: f64,
    /// What else pulls at them: a rope that tows, N.
    pub tow_n: DVec3,
}

impl Walker {
    /// Somebody who only weighs.
    #[must_use]
    pub fn still(at: f64, weight_n: f64) -> Self {
        Self { at, weight_n, drag_area_m2: 0.0, tow_n: DVec3::ZERO }
    }
}

/// A situation.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Load {
    /// Who is on the line, from A to B.
    pub walkers: Vec<Walker>,
    /// What else pulls at the line's ends at A and B, N.
    pub ends_n: [DVec3; 2],
    /// Side wind, m/s; positive blows towards +y (the left, seen from A).
    pub wind_m_s: f64,
    /// Warmer than at rigging, K.
    pub warmer_k: f64,
    /// Whether fibres expand as much as they may (at most), or as little.
    pub expands: Expands,
}

/// Which end of what is usual fibres expand by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Expands {
    /// The largest.
    #[default]
    Most,
    /// The least: those that shorten when warmed do so.
    Least,
}

impl Load {
    /// Length of a part in this weather over that at rigging.
    fn swell(&self, e: &Element) -> f64 {
        1.0 + e.alphas_per_k[usize::from(self.expands == Expands::Most)] * self.warmer_k
    }
}

/// A rig in a situation.
#[derive(Debug, Clone)]
pub struct CaseNet {
    /// The net; its first nodes are the rig's points, its first members the rig's legs.
    pub net: Net,
    /// Members of the main line, in order.
    pub spans: Vec<usize>,
    /// Which element of the line each zone of each span is.
    pub owners: Vec<Vec<usize>>,
    /// Members of the backup, one for each segment.
    pub backup: Vec<usize>,
    /// Nodes of the walkers.
    pub walkers: Vec<usize>,
    /// Nodes of the joints.
    pub joints: Vec<usize>,
}

/// Density of air, kg/m³ (EN 1991-1-4, 4.5, recommended).
const AIR_KG_M3: f64 = 1.25;
/// Drag coefficient of a line. Textbook value for a round cable (EN 1991-1-4, 7.9, from memory), taken for webbing too,
/// which twists and turns: common practice, no source.
pub(super) const LINE_DRAG: f64 = 1.2;

/// Wind pressure, Pa: ½ ρ v².
#[must_use]
pub(super) fn wind_pressure_pa(speed_m_s: f64) -> f64 {
    0.5 * AIR_KG_M3 * speed_m_s * speed_m_s
}

/// Drag of a line per metre, N/m, so wide across a wind of this speed.
#[must_use]
pub fn line_drag_n_per_m(speed_m_s: f64, width_m: f64) -> f64 {
    wind_pressure_pa(speed_m_s) * LINE_DRAG * width_m
}

fn piece(e: &Element, length_m: f64, load: &Load) -> Piece {
    let swell = load.swell(e);
    let strands = e.lay.strands;
    Piece {
        // Around a trunk it is the article that grows, not the way from the trunk to its end.
        length_m: if swell == 1.0 { e.lay.reach_m } else { e.reach_m(e.length_m * (swell - 1.0)) },
        gauge_m: length_m / strands * swell,
        law: if strands == 1.0 { e.law.clone() } else { Arc::new(e.law.strands(strands)) },
    }
}

/// The soft parts of a run as one law, each of its own length: a leash. Nothing when none of them has a length.
#[must_use]
pub fn chain_of(run: &Run, catalogue: &Catalogue) -> Option<LengthLaw> {
    let pieces: Vec<Piece> = run
        .parts
        .iter()
        .filter_map(|part| {
            let item = catalogue.get(&part.item)?;
            let length = match part.length {
                PartLength::Is(l) => Some(l),
                _ => item.length,
            };
            let length_m = length.filter(|_| item.class.is_soft())?.si();
            Some(Piece { length_m, gauge_m: length_m, law: item.law()? })
        })
        .collect();
    LengthLaw::series(pieces).ok()
}

impl Rig {
    /// The chain of a leg, `offset_m` longer than drawn.
    #[must_use]
    pub fn chain(&self, leg: usize, offset_m: f64, load: &Load) -> Option<Arc<LengthLaw>> {
        let pieces = self.legs[leg].elements.iter().map(|e| piece(e, e.length_m, load)).collect();
        let law = LengthLaw::series(pieces).ok()?;
        let law = if offset_m == 0.0 { law } else { law.lengthened(offset_m).ok()? };
        Some(Arc::new(law))
    }

    /// Unstretched length of the main line, m.
    #[must_use]
    pub fn line_length_m(&self, lengths: &Lengths) -> f64 {
        self.line.elements.iter().enumerate().map(|(i, _)| self.element_length(lengths, i)).sum()
    }

    /// Where the segments of the main line end, in unstretched length from A, m: zero first, the whole line last.
    #[must_use]
    pub fn segment_ends_m(&self, lengths: &Lengths) -> Vec<f64> {
        let mut ends = vec![0.0];
        let mut at = 0.0;
        for i in 0..self.line.elements.len() {
            at += self.element_length(lengths, i);
            if self.line.joints.iter().any(|j| j.after == i) {
                ends.push(at);
            }
        }
        ends.push(at);
        ends
    }

    /// Unstretched length of an element of the main line, m.
    #[must_use]
    pub fn element_length(&self, lengths: &Lengths, i: usize) -> f64 {
        match self.line.target {
            Some((t, _)) if t == i => lengths.target_m,
            _ => self.line.elements[i].length_m,
        }
    }

    /// The net of this rig with the given lengths, in a situation.
    #[must_use]
    pub fn net(&self, lengths: &Lengths, load: &Load) -> CaseNet {
        let q = wind_pressure_pa(load.wind_m_s) * load.wind_m_s.signum();
        let mut nodes: Vec<Node> = self
            .spots
            .iter()
            .enumerate()
            .map(|(i, s)| {
                let on_line = self.line.ends.contains(&i);
                let weight = if on_line && !s.fixed { s.mass_kg * G } else { 0.0 };
                Node {
                    place: lengths.places.get(i).copied().unwrap_or(s.place),
                    fixed: s.fixed && s.stiffness.is_none(),
                    load_n: DVec3::new(0.0, 0.0, -weight),
                }
            })
            .collect();
        for (n, s) in nodes.iter_mut().zip(&self.spots) {
            if n.fixed {
                n.place = s.place;
            }
        }
        for f in &self.frames {
            // Where it stands, and what half of its struts weighs.
            nodes[f.point].place = lengths.places.get(f.point).copied().unwrap_or(f.drawn);
            nodes[f.point].load_n.z -= self.spots[f.point].mass_kg * G;
        }
        for (end, n) in self.line.ends.into_iter().zip(load.ends_n) {
            nodes[end].load_n += n;
        }
        let mut members: Vec<Member> = Vec::with_capacity(self.legs.len() + 8);
        for (i, leg) in self.legs.iter().enumerate() {
            let pull = match (lengths.constant.get(&i), self.chain(i, lengths.offset(i), load)) {
                (Some(t), _) => Pull::Constant(*t),
                (None, Some(law)) => Pull::Chain(law),
                (None, None) => Pull::Constant(0.0),
            };
            members.push(Member::Link(Link {
                path: leg.path.clone(),
                pull,
                ratios: Vec::new(),
                friction: leg.friction.clone(),
            }));
        }
        let mut out = CaseNet {
            net: Net::default(),
            spans: Vec::new(),
            owners: Vec::new(),
            backup: Vec::new(),
            walkers: Vec::new(),
            joints: Vec::new(),
        };
        self.lay_line(lengths, load, q, &mut nodes, &mut members, &mut out);
        for (i, s) in self.spots.iter().enumerate() {
            if let (true, Some(k)) = (s.fixed, s.stiffness) {
                members.push(Member::Ground(Ground { point: i, home: s.place, stiffness_n_per_m: k }));
            }
        }
        out.net = Net { nodes, members };
        out
    }

    fn lay_line(
        &self,
        lengths: &Lengths,
        load: &Load,
        q: f64,
        nodes: &mut Vec<Node>,
        members: &mut Vec<Member>,
        out: &mut CaseNet,
    ) {
        let line = &self.line;
        let (a, b) = (nodes[line.ends[0]].place, nodes[line.ends[1]].place);
        let total = self.line_length_m(lengths);
        let under = self.backup.as_ref();
        let mut walkers = load.walkers.iter().peekable();
        let mut joints = line.joints.iter().peekable();
        let (mut zones, mut at, mut last) = (Laid::default(), 0.0, line.ends[0]);
        // One backup segment: its start, the walkers inside it, the soft main length beside it.
        let (mut seg_path, mut seg_soft, mut seg) = (under.map(|u| vec![u.ends[0]]), 0.0, 0);
        for (i, e) in line.elements.iter().enumerate() {
            let mut left = self.element_length(lengths, i);
            let soft = e.item.class.is_soft();
            let swell = load.swell(e);
            let beneath = under.filter(|_| soft).map_or((0.0, 0.0), |u| {
                let s = &u.segments[seg.min(u.segments.len() - 1)];
                ((1.0 + u.excess) * s.mass_per_m, s.width_m)
            });
            let weight = G * (e.mass_per_m + beneath.0);
            let drag = q * LINE_DRAG * (e.width_m + beneath.1);
            let load_n_per_m = DVec3::new(0.0, drag, -weight);
            loop {
                let until = walkers.peek().map_or(f64::INFINITY, |w| w.at * total - at);
                let take = left.min(until.max(0.0));
                if take > 1e-9 {
                    zones.zones.push(Zone { length_m: take * swell, load_n_per_m, law: e.law.clone() });
                    zones.owners.push(i);
                }
                at += take;
                left -= take;
                if until > take + 1e-9 || walkers.peek().is_none() {
                    break;
                }
                // Walkers at one place share a node.
                let mut force = DVec3::ZERO;
                let here = at;
                let ahead = 1e-9 * total.max(1.0) + 1e-9;
                // Whoever is not ahead is here: of a line without a length nobody is, and laying it must end.
                while let Some(w) = walkers.next_if(|w| (w.at * total - here).max(0.0) <= ahead) {
                    force += DVec3::new(0.0, q * w.drag_area_m2, -w.weight_n) + w.tow_n;
                }
                let node = nodes.len();
                nodes.push(Node {
                    place: lengths.start(a.lerp(b, at / total), at / total),
                    fixed: false,
                    load_n: force,
                });
                out.walkers.push(node);
                if zones.zones.is_empty() {
                    // At the very end of a span: the load goes to the point that is there.
                    nodes.pop();
                    out.walkers.pop();
                    nodes[last].load_n += force;
                    out.walkers.push(last);
                } else {
                    push_span(members, out, last, node, &mut zones);
                    last = node;
                    if let Some(p) = &mut seg_path {
                        p.push(node);
                    }
                }
            }
            if soft {
                seg_soft += self.element_length(lengths, i);
            }
            if joints.next_if(|j| j.after == i).is_some() {
                let mass = line.joints[out.joints.len()].mass_kg;
                let node = nodes.len();
                nodes.push(Node {
                    place: lengths.start(a.lerp(b, at / total), at / total),
                    fixed: false,
                    load_n: DVec3::new(0.0, 0.0, -G * mass),
                });
                push_span(members, out, last, node, &mut zones);
                last = node;
                out.joints.push(node);
                if let (Some(u), Some(p)) = (under, seg_path.as_mut()) {
                    let mut path = std::mem::replace(p, vec![node]);
                    path.push(node);
                    let hardware = if seg == 0 { u.hardware_m[0] } else { 0.0 };
                    push_backup(members, out, path, &u.segments[seg], (1.0 + u.excess) * seg_soft, hardware, load);
                    seg += 1;
                    seg_soft = 0.0;
                }
            }
        }
        push_span(members, out, last, line.ends[1], &mut zones);
        if let (Some(u), Some(mut path)) = (under, seg_path) {
            path.push(u.ends[1]);
            let mut hardware = u.hardware_m[1];
            if seg == 0 {
                hardware += u.hardware_m[0];
            }
            push_backup(members, out, path, &u.segments[seg], (1.0 + u.excess) * seg_soft, hardware, load);
        }
    }
}

/// Zones of the span being laid, and the line's element of each.
#[derive(Default)]
struct Laid {
    zones: Vec<Zone>,
    owners: Vec<usize>,
}

fn push_span(members: &mut Vec<Member>, out: &mut CaseNet, a: usize, b: usize, laid: &mut Laid) {
    if length_m(&laid.zones) > 0.0 {
        let laid = std::mem::take(laid);
        out.spans.push(members.len());
        out.owners.push(laid.owners);
        members.push(Member::Span(Span { a, b, zones: laid.zones }));
    }
}

/// One segment of backup: it runs through the walkers' rings, its weight hangs on the main line.
fn push_backup(
    members: &mut Vec<Member>,
    out: &mut CaseNet,
    path: Vec<usize>,
    e: &Element,
    length_m: f64,
    hardware_m: f64,
    load: &Load,
) {
    let mut soft = piece(e, length_m, load);
    soft.length_m = length_m * load.swell(e) + hardware_m;
    if let Ok(law) = LengthLaw::series(vec![soft]) {
        out.backup.push(members.len());
        members.push(Member::Link(Link::new(path, Arc::new(law))));
    }
}
