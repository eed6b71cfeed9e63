//! Reads a plan as a rig: places, legs, the line and its backup.

use std::sync::Arc;

use glam::DVec3;

use super::lay::{Lay, lay, length_for};
use crate::catalogue::{Catalogue, Class as ItemClass, Fibre, Item};
use crate::document::Path;
use crate::mechanics::frame::{self, Frame};
use crate::mechanics::law::StrainLaw;
use crate::plan::{
    At, Connected, End, EndKind, Hitch, Hold, Part, PartLength, Plan, PointKind, Role, Side, Target, Ties,
};
use crate::units::Quantity;

/// Why a plan is no rig.
#[derive(Debug, Clone, PartialEq)]
pub struct RigFault {
    /// Which part of the plan.
    pub path: Path,
    /// What is wrong.
    pub message: String,
    /// What would mend it.
    pub help: String,
}

/// A point of the plan, as a place.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// Its name.
    pub name: String,
    /// Whose side.
    pub side: Side,
    /// Where it is, or about where, m.
    pub place: DVec3,
    /// Held by the ground.
    pub fixed: bool,
    /// How a giving anchor gives, N/m.
    pub stiffness: Option<f64>,
    /// Mass of its hardware, kg.
    pub mass_kg: f64,
}

/// One part of a chain, ready to be stretched.
#[derive(Debug, Clone)]
pub struct Element {
    /// Its part's number in the run, from 0.
    pub part: usize,
    /// Its item.
    pub item: Arc<Item>,
    /// Article length without tension, m.
    pub length_m: f64,
    /// How it lies.
    pub lay: Lay,
    /// Radius of the trunk it lies around, m.
    pub radius_m: f64,
    /// Its hitch.
    pub hitch: Hitch,
    /// Strain against the tension of one strand.
    pub law: Arc<StrainLaw>,
    /// Thermal expansion, from the least to the largest that may be, 1/K.
    pub alphas_per_k: [f64; 2],
    /// Mass per metre of article, kg/m.
    pub mass_per_m: f64,
    /// Width the wind sees, m.
    pub width_m: f64,
}

impl Element {
    /// From its anchor's centre, or its near pin, to the far pin, were the article so much longer, m.
    #[must_use]
    pub fn reach_m(&self, longer_m: f64) -> f64 {
        if self.radius_m <= 0.0 {
            // Straight, girthed, folded: as the lay says, in proportion.
            return self.lay.reach_m * (1.0 + longer_m / self.length_m.max(f64::MIN_POSITIVE));
        }
        lay(self.hitch, self.length_m + longer_m, self.radius_m).map_or(self.lay.reach_m, |l| l.reach_m)
    }
}

/// Where an element is in a rig.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Where {
    /// In a leg: which, and which of its elements.
    Leg(usize, usize),
    /// In the main line.
    Line(usize),
    /// In the backup: its segment.
    Backup(usize),
}

/// A weightless run.
#[derive(Debug, Clone)]
pub struct Leg {
    /// Index of its run in the plan.
    pub run: usize,
    /// Its points.
    pub path: Vec<usize>,
    /// Its parts.
    pub elements: Vec<Element>,
    /// Coefficient of friction at each inner point.
    pub friction: Vec<f64>,
    /// How far off its length may be, from its anchor to its point, all its parts together, m.
    pub tolerance_m: f64,
    /// The element that is adjusted to a share of the pull, and the share.
    pub share: Option<(usize, f64)>,
}

/// A joint of the main line at which the backup is tied in.
#[derive(Debug, Clone, PartialEq)]
pub struct Joint {
    /// After this element of the line.
    pub after: usize,
    /// What ties it.
    pub ties: Ties,
    /// Mass of the ties that hangs there beside the line's own parts, kg.
    pub mass_kg: f64,
}

/// The main line.
#[derive(Debug, Clone)]
pub struct Line {
    /// Index of its run.
    pub run: usize,
    /// Its ends.
    pub ends: [usize; 2],
    /// Its parts.
    pub elements: Vec<Element>,
    /// The element that is as long as the target asks.
    pub target: Option<(usize, Target)>,
    /// Where the backup is tied in.
    pub joints: Vec<Joint>,
}

impl Line {
    /// Where two lengths of it are joined: the elements, from 0, after any of which something may be tied in there, from
    /// the end of one length to the last piece of hardware before the next.
    #[must_use]
    pub fn between_lengths(&self) -> Vec<std::ops::RangeInclusive<usize>> {
        let soft: Vec<usize> = (0..self.elements.len()).filter(|&i| self.elements[i].item.class.is_soft()).collect();
        soft.windows(2).map(|w| w[0]..=w[1] - 1).collect()
    }
}

/// The backup.
#[derive(Debug, Clone)]
pub struct Backup {
    /// Index of its run.
    pub run: usize,
    /// Its ends.
    pub ends: [usize; 2],
    /// Unstretched over unstretched, less one.
    pub excess: f64,
    /// The soft element of each segment.
    pub segments: Vec<Element>,
    /// Hardware at its two ends: length m each.
    pub hardware_m: [f64; 2],
    /// Which segment each of its parts belongs to.
    pub segment_of_part: Vec<usize>,
}

/// A plan as mechanics needs it.
#[derive(Debug, Clone)]
pub struct Rig {
    /// Points in the plan's order; their index is that of the plan.
    pub spots: Vec<Spot>,
    /// Weightless runs.
    pub legs: Vec<Leg>,
    /// The main line.
    pub line: Line,
    /// Its backup.
    pub backup: Option<Backup>,
    /// Names of the plan's runs.
    pub run_names: Vec<String>,
    /// Temperature at rigging, K.
    pub rigged_at_k: f64,
    /// Mass of the heaviest walker, kg.
    pub walker_kg: f64,
    /// Heads on struts.
    pub frames: Vec<Frame>,
    /// How many runs each point is away from the line's or the backup's ends (0 at the ends themselves).
    pub depth: Vec<usize>,
}

/// Share of a length that a spliced or sewn leg may be off, m. Common practice.
const TOLERANCE_MADE_M: f64 = 0.030;
/// The same where it is adjusted by hand, m. Common practice.
const TOLERANCE_BY_HAND_M: f64 = 0.010;

/// Mass per metre taken for a line whose item does not give one, kg/m: heavy webbing. Common practice, no source.
const MASS_UNKNOWN_KG_PER_M: f64 = 0.08;
/// A line of no weight at all has no shape while it is slack; this much is felt by nobody, kg/m.
const MASS_LEAST_KG_PER_M: f64 = 1e-6;

struct Builder<'a> {
    plan: &'a Plan,
    catalogue: &'a Catalogue,
    faults: Vec<RigFault>,
}

impl Rig {
    /// Reads `plan`, whose names have been checked.
    ///
    /// # Errors
    /// Every part that cannot be laid as the plan says.
    pub fn build(plan: &Plan, catalogue: &Catalogue) -> Result<Self, Vec<RigFault>> {
        let mut b = Builder { plan, catalogue, faults: Vec::new() };
        let mut spots = b.spots();
        let frames = b.frames(&mut spots);
        let legs: Vec<Leg> = plan
            .runs
            .values()
            .enumerate()
            .filter(|(_, r)| matches!(r.role, Role::Leg | Role::Guy))
            .filter_map(|(i, _)| b.leg(i, &spots))
            .collect();
        let line = b.line(&spots);
        let backup = line.as_ref().and_then(|l| b.backup(l));
        match line {
            Some(line) if b.faults.is_empty() => Ok(Self {
                depth: depths(&spots, &legs, &line, backup.as_ref()),
                spots,
                frames,
                legs,
                line,
                backup,
                run_names: plan.runs.keys().cloned().collect(),
                rigged_at_k: plan.site.air.rigged_at.si(),
                walker_kg: plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max),
            }),
            _ => Err(b.faults),
        }
    }

    /// This rig, tensioned as `lengths` say, with its backup tied to the main line at so many equal spaces instead of at
    /// the ends alone: to see what connections would do. Nothing when it is tied in between already, or has no backup.
    #[must_use]
    pub fn connected(&self, lengths: &super::tension::Lengths, spaces: usize) -> Option<Self> {
        let mut rig = self.clone();
        if !rig.line.joints.is_empty() || spaces == 0 {
            return None;
        }
        for i in 0..rig.line.elements.len() {
            rig.line.elements[i].length_m = self.element_length(lengths, i);
        }
        rig.line.target = None;
        let long = (0..rig.line.elements.len())
            .max_by(|a, b| rig.line.elements[*a].length_m.total_cmp(&rig.line.elements[*b].length_m))?;
        let mut piece = rig.line.elements[long].clone();
        piece.length_m /= spaces as f64;
        rig.line.elements.splice(long..=long, vec![piece; spaces]);
        // What ties a joint weighs next to nothing here.
        let ties = Ties::OnePiece(String::new());
        rig.line.joints =
            (long..long + spaces - 1).map(|after| Joint { after, ties: ties.clone(), mass_kg: 0.0 }).collect();
        let backup = rig.backup.as_mut()?;
        backup.segments = vec![backup.segments.first()?.clone(); spaces];
        Some(rig)
    }

    /// This rig with the main line gone and its backup in its place, as long as it is; nothing without one.
    #[must_use]
    pub fn on_backup(&self, lengths: &super::tension::Lengths) -> Option<Self> {
        let backup = self.backup.as_ref()?;
        let articles = self.articles(lengths);
        let long = articles.iter().filter(|a| a.run == backup.run).map(|a| a.length_m);
        let mut elements: Vec<Element> =
            backup.segments.iter().zip(long).map(|(e, length_m)| Element { length_m, ..e.clone() }).collect();
        elements.first_mut()?.length_m += backup.hardware_m.iter().sum::<f64>();
        let line = Line { run: backup.run, ends: backup.ends, elements, target: None, joints: Vec::new() };
        Some(Self { line, backup: None, ..self.clone() })
    }

    /// This rig of gear that was used and set under load: every part at the stiff end of what is usual for it.
    #[must_use]
    pub fn set_under_load(&self) -> Self {
        let mut rig = self.clone();
        let legs = rig.legs.iter_mut().flat_map(|l| &mut l.elements);
        let backup = rig.backup.iter_mut().flat_map(|b| &mut b.segments);
        for e in legs.chain(&mut rig.line.elements).chain(backup) {
            if let Some(law) = e.item.set_law() {
                e.law = law;
            }
        }
        rig
    }

    /// This rig as it hangs, every length a known one: of each element the share that it came longer for good, and how
    /// often its stretches are what they were.
    #[must_use]
    pub fn aged(&self, lengths: &super::tension::Lengths, age: impl Fn(Where, &Element) -> [f64; 2]) -> Self {
        let mut rig = self.clone();
        let grown = |e: &mut Element, at: Where, long_m: f64| {
            let [longer, creep] = age(at, e);
            e.length_m = long_m * (1.0 + longer);
            if let Some(law) = (creep != 1.0).then(|| e.law.stretched(creep)).flatten() {
                e.law = Arc::new(law);
            }
            if e.lay.reach_m > 0.0 && e.radius_m <= 0.0 {
                e.lay.reach_m *= 1.0 + longer;
            }
        };
        for (l, leg) in rig.legs.iter_mut().enumerate() {
            for (k, e) in leg.elements.iter_mut().enumerate() {
                grown(e, Where::Leg(l, k), e.length_m);
            }
        }
        for i in 0..rig.line.elements.len() {
            let long_m = self.element_length(lengths, i);
            grown(&mut rig.line.elements[i], Where::Line(i), long_m);
        }
        for (k, e) in rig.backup.iter_mut().flat_map(|b| &mut b.segments).enumerate() {
            grown(e, Where::Backup(k), e.length_m);
        }
        rig.line.target = None;
        rig
    }

    /// Index of the point called `name`.
    #[must_use]
    pub fn spot(&self, name: &str) -> Option<usize> {
        self.spots.iter().position(|s| s.name == name)
    }
}

/// An anchor is further out than every point that it holds, by whichever way it was come to.
const ANCHOR_DEPTH: usize = usize::MAX - 1;

/// How many legs each point is away from the ends of the line and of its backup; `usize::MAX` if no leg leads there.
fn depths(spots: &[Spot], legs: &[Leg], line: &Line, backup: Option<&Backup>) -> Vec<usize> {
    let points = spots.len();
    let mut queue: Vec<usize> = line.ends.into_iter().chain(backup.into_iter().flat_map(|b| b.ends)).collect();
    let mut depth = vec![usize::MAX; points];
    for &p in &queue {
        depth[p] = 0;
    }
    let mut head = 0;
    while let Some(&p) = queue.get(head) {
        head += 1;
        for leg in legs.iter().filter(|l| l.path.contains(&p)) {
            for &q in &leg.path {
                if depth[q] == usize::MAX {
                    depth[q] = depth[p] + 1;
                    queue.push(q);
                }
            }
        }
    }
    // Where main and backup share an anchor, it is as near to the one as a master between is to the other.
    let ends = |p: usize| line.ends.contains(&p) || backup.is_some_and(|b| b.ends.contains(&p));
    let passed =
        |p: usize| legs.iter().any(|l| l.path.get(1..l.path.len() - 1).is_some_and(|inner| inner.contains(&p)));
    for (p, spot) in spots.iter().enumerate() {
        if spot.fixed && depth[p] != usize::MAX && !ends(p) && !passed(p) {
            depth[p] = ANCHOR_DEPTH;
        }
    }
    depth
}

/// Coordinates of a plan's place, m; the side's reference point where its stands lead nowhere, which is a fault of the plan.
fn place(plan: &Plan, side: Side, at: &At) -> DVec3 {
    plan.located(side, at).map_or_else(|| plan.origin(side), |(seen, _)| seen.place)
}

impl Builder<'_> {
    fn fault(&mut self, path: Path, message: impl Into<String>, help: impl Into<String>) {
        self.faults.push(RigFault { path, message: message.into(), help: help.into() });
    }

    fn part_path(&self, run: usize, part: usize) -> Path {
        let name = self.plan.runs.get_index(run).map_or("", |(n, _)| n.as_str());
        Path::root().key("runs").key(name).key("parts").at(part)
    }

    fn spots(&self) -> Vec<Spot> {
        self.plan
            .points
            .iter()
            .map(|(name, p)| {
                let (at, fixed, stiffness) = match &p.kind {
                    PointKind::Fixed { at, stiffness, .. } => (at.clone(), true, stiffness.map(Quantity::si)),
                    PointKind::Free { near, .. } => (At::Place(*near), false, None),
                };
                let mass_kg = p
                    .hardware
                    .as_ref()
                    .and_then(|h| self.catalogue.get(h))
                    .and_then(|i| i.mass)
                    .map_or(0.0, Quantity::si);
                Spot {
                    name: name.clone(),
                    side: p.side,
                    place: place(self.plan, p.side, &at),
                    fixed,
                    stiffness,
                    mass_kg,
                }
            })
            .collect()
    }

    /// Heads on struts, each put where these let it; half of what the struts weigh hangs at the head.
    fn frames(&mut self, spots: &mut [Spot]) -> Vec<Frame> {
        let plan = self.plan;
        let mut out = Vec::new();
        for (point, (name, p)) in plan.points.iter().enumerate() {
            let PointKind::Fixed { at: At::Place(at), by, .. } = &p.kind else { continue };
            let Some(of) = by.frame() else { continue };
            let struts: Vec<frame::Strut> = of
                .struts
                .iter()
                .map(|s| frame::Strut { foot: place(plan, p.side, &At::Place(s.foot)), length_m: s.length_m(*at) })
                .collect();
            let half = of.struts.iter().zip(&struts).map(|(s, bar)| {
                let item = self.catalogue.get(&s.item);
                item.and_then(|i| i.mass_per_length).map_or(0.0, |m| 0.5 * m.si() * bar.length_m)
            });
            spots[point].mass_kg += half.sum::<f64>();
            match Frame::new(point, struts, spots[point].place) {
                Some(f) => {
                    spots[point].place = f.drawn;
                    out.push(f);
                }
                None => self.fault(
                    Path::root().key("points").key(name).key("by").key("struts"),
                    "these struts do not meet at a head",
                    "look at their feet and lengths",
                ),
            }
        }
        out
    }

    fn element(&mut self, run: usize, index: usize, part: &Part, length_m: f64, radius_m: f64) -> Option<Element> {
        let item = self.catalogue.get(&part.item)?.clone();
        let path = self.part_path(run, index);
        let Some(law) = item.law() else {
            self.fault(
                path.key("item"),
                format!("{} has neither a rating nor a stretch, so its share of the load is unknown", item.title),
                "give the item a stretch, such as [(\"2 kN\", \"1 %\")]",
            );
            return None;
        };
        let Some(lay) = lay(part.hitch, length_m, radius_m) else {
            let turns = if let Hitch::Wrap(n) = part.hitch { n.max(1.0) } else { 1.0 };
            let around = std::f64::consts::TAU * radius_m * turns;
            self.fault(
                path.key("length"),
                format!("{length_m:.2} m is too short to go around the anchor ({around:.2} m around)"),
                format!("make it longer than {around:.2} m"),
            );
            return None;
        };
        Some(Element {
            part: index,
            length_m,
            lay,
            radius_m,
            hitch: part.hitch,
            law,
            alphas_per_k: item.alphas_per_k(),
            mass_per_m: item.mass_per_m(),
            width_m: item.width.or(item.diameter).map_or(0.0, Quantity::si),
            item,
        })
    }

    /// Length of a part that does not depend on the rig, m.
    fn own_length(&self, part: &Part) -> f64 {
        match part.length {
            PartLength::Is(l) => l.si(),
            _ => self.catalogue.get(&part.item).map_or(0.0, |i| {
                if i.class.is_soft() { i.length.map_or(0.0, Quantity::si) } else { i.hardware_length_m() }
            }),
        }
    }

    fn leg(&mut self, run: usize, spots: &[Spot]) -> Option<Leg> {
        let (name, r) = self.plan.runs.get_index(run)?;
        let path: Vec<usize> = r.path.iter().map(|p| self.plan.points.get_index_of(p)).collect::<Option<_>>()?;
        let trunk =
            |i: usize| self.plan.points.get_index(i).and_then(|(_, p)| p.hold()?.trunk_m()).map_or(0.0, |d| 0.5 * d);
        let radius = [trunk(path[0]), trunk(path[path.len() - 1])];
        let way: f64 = path.windows(2).map(|w| spots[w[0]].place.distance(spots[w[1]].place)).sum();
        let run_path = Path::root().key("runs").key(name);
        if way < 1e-6 {
            self.fault(run_path, "the run has no length: its points are at one place", "move one of its points");
            return None;
        }
        let last = r.parts.len() - 1;
        let radius_of = |i: usize, part: &Part| {
            if !matches!(part.hitch, Hitch::Basket | Hitch::Choke | Hitch::Wrap(_)) {
                0.0
            } else if i == 0 && radius[0] > 0.0 {
                radius[0]
            } else if i == last && radius[1] > 0.0 {
                radius[1]
            } else {
                radius[0].max(radius[1])
            }
        };
        let mut elements: Vec<Option<Element>> = Vec::new();
        let mut made = None;
        let mut share = None;
        for (i, part) in r.parts.iter().enumerate() {
            match part.length {
                PartLength::Fit(_) | PartLength::Share(..) | PartLength::Taut(_) => {
                    made = Some(i);
                    if let PartLength::Share(s, _) = part.length {
                        share = Some((i, s));
                    }
                    elements.push(None);
                }
                _ => {
                    let l = self.own_length(part);
                    let e = self.element(run, i, part, l, radius_of(i, part))?;
                    elements.push(Some(e));
                }
            }
        }
        if let Some(i) = made {
            let rest: f64 = elements.iter().flatten().map(|e| e.lay.reach_m).sum();
            let left = way - rest;
            let part = &r.parts[i];
            let radius = radius_of(i, part);
            let Some(length) = length_for(part.hitch, left, radius).filter(|l| *l > 1e-3 && left > 1e-3) else {
                self.fault(
                    self.part_path(run, i).key("length"),
                    format!("there is no room for it: the way is {way:.2} m, and the other parts take {rest:.2} m"),
                    "move the master, or shorten the other parts",
                );
                return None;
            };
            let mut e = self.element(run, i, part, length, radius)?;
            if let PartLength::Taut(t) = part.length {
                // So much shorter that the way is reached when all of it is drawn out by what it is to carry.
                let drawn_out = |e: &Element| e.length_m / e.lay.strands * e.law.at(t.si() / e.lay.strands).0;
                let others: f64 = elements.iter().flatten().map(drawn_out).sum();
                for _ in 0..8 {
                    let shorter = length_for(part.hitch, left - others - drawn_out(&e), radius);
                    e = self.element(run, i, part, shorter.filter(|l| *l > 1e-3)?, radius)?;
                }
            }
            elements[i] = Some(e);
        }
        let elements: Vec<Element> = elements.into_iter().flatten().collect();
        let slides = elements.iter().filter(|e| e.item.class.is_soft()).map(|e| e.item.fibre).next();
        let friction = path[1..path.len() - 1]
            .iter()
            .map(|&p| match self.plan.points.get_index(p).map(|(_, p)| &p.kind) {
                Some(PointKind::Free { friction: Some(mu), .. }) => *mu,
                Some(PointKind::Fixed { by: Hold::Edge { friction, .. }, .. }) => *friction,
                _ => sliding_friction(slides),
            })
            .collect();
        // Every soft part may be off; around a trunk half of it is felt at the point, or less.
        let off = |e: &Element| {
            let t = tolerance(&r.parts[e.part], self.catalogue);
            (e.reach_m(t) - e.lay.reach_m).max(e.lay.reach_m - e.reach_m(-t))
        };
        let tolerance_m = elements.iter().map(off).sum();
        Some(Leg { run, path, elements, friction, tolerance_m, share })
    }

    fn line(&mut self, spots: &[Spot]) -> Option<Line> {
        let (run, name, r) =
            self.plan.runs.iter().enumerate().find(|(_, (_, r))| r.role == Role::Main).map(|(i, (n, r))| (i, n, r))?;
        let ends = [self.plan.points.get_index_of(r.path.first()?)?, self.plan.points.get_index_of(r.path.last()?)?];
        let chord = spots[ends[0]].place.distance(spots[ends[1]].place);
        let mut target = None;
        let mut elements = Vec::new();
        let others: f64 = r
            .parts
            .iter()
            .filter(|p| {
                !matches!(
                    p.length,
                    PartLength::Solve(_) | PartLength::Fit(_) | PartLength::Share(..) | PartLength::Taut(_)
                )
            })
            .map(|p| self.own_length(p))
            .sum();
        for (i, part) in r.parts.iter().enumerate() {
            let length = match part.length {
                PartLength::Solve(t) => {
                    target = Some((elements.len(), t));
                    (chord - others).max(1e-3)
                }
                PartLength::Fit(_) | PartLength::Share(..) | PartLength::Taut(_) => (chord - others).max(1e-3),
                _ => self.own_length(part),
            };
            if length < 1e-6 {
                self.fault(self.part_path(run, i).key("length"), "a length of nothing", "give the part a length");
                return None;
            }
            let mut e = self.element(run, i, part, length, 0.0)?;
            if e.item.class.is_soft() {
                let stated = e.item.mass_per_length.is_some() || e.item.mass.is_some();
                let least = if stated { MASS_LEAST_KG_PER_M } else { MASS_UNKNOWN_KG_PER_M };
                e.mass_per_m = e.mass_per_m.max(least);
            }
            e.lay = Lay { reach_m: length, strands: 1.0, opening_rad: 0.0 };
            elements.push(e);
        }
        if !elements.iter().any(|e: &Element| e.item.class.is_soft()) {
            let parts = Path::root().key("runs").key(name).key("parts");
            self.fault(parts, "the main line has neither webbing nor rope", "add the webbing that spans the gap");
            return None;
        }
        if target.is_some() && chord - others < 0.05 * chord {
            let i = target.map_or(0, |(e, _)| e);
            self.fault(
                self.part_path(run, i).key("length"),
                format!("the other parts take {others:.2} m of the {chord:.2} m between the masters"),
                "shorten them, so that this part has a length left to solve",
            );
            return None;
        }
        let joints = self.joints(run, &elements);
        Some(Line { run, ends, elements, target, joints })
    }

    fn joints(&self, main_run: usize, elements: &[Element]) -> Vec<Joint> {
        let Some((_, main)) = self.plan.runs.get_index(main_run) else {
            return Vec::new();
        };
        let backup = self.plan.runs.values().find(|r| matches!(r.role, Role::Backup { .. }));
        let Some(Role::Backup { connected, .. }) = backup.map(|b| &b.role) else {
            return Vec::new();
        };
        let soft = |i: usize| elements[i].item.class.is_soft();
        let every: Vec<usize> = (0..elements.len())
            // A joint lies between two lengths: at its piece of hardware, else where they meet.
            .filter(|&i| {
                let before = (0..=i).any(soft);
                let after = (i + 1..elements.len()).any(soft);
                before && after && (!soft(i) || soft(i + 1))
            })
            .collect();
        let (after, ties) = match connected {
            Connected::AtEnds => return Vec::new(),
            Connected::EveryJoint(t) => (every, t),
            Connected::Joints(a, t) => (a.iter().map(|n| n - 1).filter(|n| n + 1 < main.parts.len()).collect(), t),
        };
        let mass = |id: &str| self.catalogue.get(id).and_then(|i| i.mass).map_or(0.0, Quantity::si);
        // What joins the line itself lies in the line where the plan has it there.
        let mass_kg = |after: usize| match ties {
            Ties::OnePiece(i) => mass(i),
            Ties::Apart { main, backup, together } => {
                mass(backup) + mass(together) + if soft(after) { mass(main) } else { 0.0 }
            }
        };
        let mut joints: Vec<Joint> =
            after.into_iter().map(|after| Joint { after, ties: ties.clone(), mass_kg: mass_kg(after) }).collect();
        joints.sort_by_key(|j| j.after);
        joints.dedup_by_key(|j| j.after);
        joints
    }

    fn backup(&mut self, line: &Line) -> Option<Backup> {
        let (run, _, r) = self
            .plan
            .runs
            .iter()
            .enumerate()
            .find(|(_, (_, r))| matches!(r.role, Role::Backup { .. }))
            .map(|(i, (n, r))| (i, n, r))?;
        let Role::Backup { excess, .. } = r.role else {
            return None;
        };
        let ends = [self.plan.points.get_index_of(r.path.first()?)?, self.plan.points.get_index_of(r.path.last()?)?];
        let count = line.joints.len() + 1;
        let soft: Vec<usize> = (0..r.parts.len())
            .filter(|&i| self.catalogue.get(&r.parts[i].item).is_some_and(|it| it.class.is_soft()))
            .collect();
        if soft.is_empty() || (soft.len() != 1 && soft.len() != count) {
            self.fault(
                Path::root().key("runs").key(self.plan.runs.get_index(run)?.0.clone()).key("parts"),
                format!(
                    "the backup has {} lengths of line, and {count} segments lie between its connections",
                    soft.len()
                ),
                format!("list one length of line, or {count}"),
            );
            return None;
        }
        let (first, last) = (soft[0], soft[soft.len() - 1]);
        let (mut segments, mut segment_of_part) = (Vec::new(), Vec::new());
        let mut hardware_m = [0.0; 2];
        for (i, part) in r.parts.iter().enumerate() {
            if i < first {
                hardware_m[0] += self.own_length(part);
            } else if i > last {
                hardware_m[1] += self.own_length(part);
            }
            segment_of_part.push(soft.iter().rposition(|s| *s <= i).unwrap_or(0));
        }
        for s in 0..count {
            let i = if soft.len() == 1 { soft[0] } else { soft[s] };
            // Its length follows from the main line's and the excess.
            segments.push(self.element(run, i, &r.parts[i], 1.0, 0.0)?);
        }
        Some(Backup { run, ends, excess, segments, hardware_m, segment_of_part })
    }
}

/// Coefficient of friction of a fibre over smooth metal. Textbook values, from memory (published elsewhere: HMPE on
/// steel 0.05–0.1, polyester 0.12–0.18, nylon 0.12–0.15); the high end, for the tension it can hold apart.
fn sliding_friction(fibre: Option<Fibre>) -> f64 {
    match fibre {
        Some(Fibre::Hmpe) => 0.10,
        Some(Fibre::Nylon) => 0.15,
        Some(Fibre::Polyester | Fibre::Hybrid) => 0.18,
        _ => 0.2,
    }
}

/// How far off a part's own length may be, m: as stated, or usual.
#[must_use]
pub fn tolerance(part: &Part, catalogue: &Catalogue) -> f64 {
    let stated = match part.length {
        PartLength::Fit(t) | PartLength::Share(_, t) => t,
        _ => None,
    };
    if let Some(t) = stated.or(part.tolerance) {
        return t.si();
    }
    if matches!(part.length, PartLength::Share(..) | PartLength::Taut(_)) {
        return TOLERANCE_BY_HAND_M;
    }
    let item = catalogue.get(&part.item);
    let by_hand = part.ends.iter().flatten().any(|e: &End| matches!(e.kind, EndKind::Knotted(_)));
    let soft = item.is_some_and(|i| i.class.is_soft() && i.class != ItemClass::SoftShackle);
    match (soft, by_hand) {
        (false, _) => 0.0,
        (true, true) => TOLERANCE_BY_HAND_M,
        (true, false) => TOLERANCE_MADE_M,
    }
}
