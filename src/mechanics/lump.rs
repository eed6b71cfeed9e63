//! A net with heavy lines made ready to move: each span becomes a chain of light elements between point masses.
//!
//! Half of each element's mass goes to each of its ends, the last half to the span's own end points.

use std::sync::Arc;

use glam::DVec3;

use super::G;
use super::law::{LengthLaw, Piece};
use super::net::{Link, Member, Net, Node};
use super::span::{self, Zone};

/// How a line is cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mesh {
    /// Elements to the metre.
    pub per_m: f64,
    /// Elements to the metre of the usual mesh: what it takes for hardware is hardware on a finer one as well.
    pub usual_per_m: f64,
    /// Whether a lock or a shackle is an element of its own. A wave that comes back from a line's end carries the mark of
    /// what hangs there; but where lines snap taut, a light mass between stiff springs rings at every jerk.
    pub hardware_apart: bool,
}

/// Where a line's chain lies in a lumped net.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Chain {
    /// Its points, the line's own ends included.
    pub nodes: Vec<usize>,
    /// Its elements.
    pub links: Vec<usize>,
    /// The zones of the line that each element is made of.
    pub zones: Vec<Vec<usize>>,
    /// Half the load of each element, which each of its two points carries, N.
    pub half_n: Vec<DVec3>,
}

/// A lumped net: its first points are the net's, its first members too, spans being replaced by their first element.
#[derive(Debug, Clone)]
pub struct Lumped {
    /// Links and giving anchors.
    pub net: Net,
    /// Mass that the lines give to each point, kg.
    pub mass_kg: Vec<f64>,
    /// Mass of each member that lies evenly along it, kg; of members beyond its end, none.
    pub along_kg: Vec<f64>,
}

impl Lumped {
    /// Lays a heavy line from `a` to `b` as a chain, cut as `mesh` says, hanging as it does when pulled with
    /// `f0` at `a`. Its first element becomes the member `first`, when there is one to replace. Nothing when a zone has
    /// no length.
    pub fn lay(
        &mut self,
        a: usize,
        b: usize,
        zones: &[Zone],
        f0: DVec3,
        mesh: Mesh,
        first: Option<usize>,
    ) -> Option<Chain> {
        let mut chain = Chain { nodes: vec![a], ..Chain::default() };
        let start = self.net.nodes[a].place;
        let elements = cut(zones, mesh);
        let (mut at, mut last) = (0.0, a);
        for (k, element) in elements.iter().enumerate() {
            let piece =
                |&(z, length_m): &(usize, f64)| Piece { length_m, gauge_m: length_m, law: zones[z].law.clone() };
            let law = LengthLaw::series(element.iter().map(piece).collect()).ok()?;
            let half: DVec3 = element.iter().map(|(z, length)| zones[*z].load_n_per_m * (0.5 * length)).sum();
            at += element.iter().map(|e| e.1).sum::<f64>();
            let next = if k + 1 == elements.len() {
                b
            } else {
                let place = start + span::place(zones, f0, at);
                self.net.nodes.push(Node { place, fixed: false, load_n: DVec3::ZERO });
                self.mass_kg.push(0.0);
                self.net.nodes.len() - 1
            };
            for p in [last, next] {
                self.net.nodes[p].load_n += half;
                self.mass_kg[p] -= half.z / G;
            }
            chain.half_n.push(half);
            let link = Member::Link(Link::new(vec![last, next], Arc::new(law)));
            let member = if let Some(m) = first.filter(|_| k == 0) {
                self.net.members[m] = link;
                m
            } else {
                self.net.members.push(link);
                self.net.members.len() - 1
            };
            chain.links.push(member);
            if let [(z, length_m)] = element[..] {
                self.along_kg.resize(self.net.members.len(), 0.0);
                self.along_kg[member] = -zones[z].load_n_per_m.z * length_m / G;
            }
            chain.zones.push(element.iter().map(|e| e.0).collect());
            chain.nodes.push(next);
            last = next;
        }
        Some(chain)
    }
}

/// The elements of a line: each the zones it is made of, with the length of each in it. What is much shorter than an
/// element — a lock, a shackle — is in series with the next length of line, unless it is to be apart.
fn cut(zones: &[Zone], mesh: Mesh) -> Vec<Vec<(usize, f64)>> {
    let mut out: Vec<Vec<(usize, f64)>> = Vec::new();
    let mut short = Vec::new();
    for (z, zone) in zones.iter().enumerate() {
        if mesh.usual_per_m * zone.length_m < 0.5 {
            short.push((z, zone.length_m));
            continue;
        }
        let count = (mesh.per_m * zone.length_m).round().max(1.0) as usize;
        if mesh.hardware_apart && !short.is_empty() {
            out.push(std::mem::take(&mut short));
        }
        for k in 0..count {
            let mut element = if k == 0 { std::mem::take(&mut short) } else { Vec::new() };
            element.push((z, zone.length_m / count as f64));
            out.push(element);
        }
    }
    if !short.is_empty() {
        match out.last_mut() {
            Some(last) if !mesh.hardware_apart => last.extend(short),
            _ => out.push(short),
        }
    }
    out
}

/// Cuts every span of `net` into elements, so many over all of them by length where so many are usual (and hardware apart
/// or not), with its points at `places`; `force` is what each span pulls its first end with, from which its shape
/// follows. With it, the chain of each span by its member. Nothing when a span has a zone of no length.
#[must_use]
pub fn lump(
    net: &Net,
    places: &[DVec3],
    force: impl Fn(usize) -> DVec3,
    [elements, usual]: [usize; 2],
    hardware_apart: bool,
) -> Option<(Lumped, Vec<(usize, Chain)>)> {
    let spans = net.members.iter().enumerate().filter_map(|(m, member)| match member {
        Member::Span(s) => Some((m, s)),
        _ => None,
    });
    let whole: f64 = spans.clone().map(|(_, s)| span::length_m(&s.zones)).sum();
    let mesh = Mesh { per_m: elements as f64 / whole, usual_per_m: usual as f64 / whole, hardware_apart };
    let nodes: Vec<Node> = net
        .nodes
        .iter()
        .zip(places)
        .map(|(n, p)| Node { place: if n.fixed { n.place } else { *p }, ..n.clone() })
        .collect();
    let mut out = Lumped {
        mass_kg: vec![0.0; nodes.len()],
        along_kg: Vec::new(),
        net: Net { nodes, members: net.members.clone() },
    };
    let mut chains = Vec::new();
    for (m, s) in spans {
        chains.push((m, out.lay(s.a, s.b, &s.zones, force(m), mesh, Some(m))?));
    }
    Some((out, chains))
}
