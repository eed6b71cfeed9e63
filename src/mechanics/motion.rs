//! A net in motion: point masses between tension-only members, stepped implicitly.
//!
//! Generalised-α time stepping (Chung and Hulbert, 1993): second order, with a stated damping of what vibrates faster
//! than a step can follow. Each step is the minimum of a convex function — potential energy plus inertia — because a
//! member's damping depends on its length alone: `T = [T_el(L) + min(c (L − L_old)/h, k (L − L_slack))]₊` while it is
//! longer than slack. So Newton finds it, or the step says that it did not.
//!
//! A line's mass may lie along its elements instead of at their ends: its waves then run ahead as much as the stepping
//! holds them back, and arrive as sharp as they left on a coarser mesh.
//!
//! An account of energy is kept. What the scheme itself takes (or gives) is booked apart from what the members' dampers
//! take, and from the error of following curved energy by straight steps; the last must stay small, or the motion is
//! not to be believed.

use glam::{DMat3, DVec3};

use super::linsolve::{Pattern, Slot};
use super::net::{Member, Net, Pull};

/// A net about to move.
#[derive(Debug, Clone)]
pub struct Scene {
    /// Points and members: links and giving anchors, no spans.
    pub net: Net,
    /// Mass of each point, kg; of a fixed one it does not matter.
    pub mass_kg: Vec<f64>,
    /// Mass of each member that lies along it and not at its two points, kg: what of `mass_kg` moves with the mean of
    /// both. Members beyond its end have none.
    pub along_kg: Vec<f64>,
    /// Velocity of each point, m/s.
    pub velocity: Vec<DVec3>,
    /// Drag on each mass over its momentum, 1/s; zero but to bring a net to rest.
    pub drag_per_s: f64,
    /// Air drag of each point over the square of its speed, N s²/m²; points beyond its end have none.
    pub air_n_s2_per_m2: Vec<f64>,
}

/// How time is stepped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scheme {
    /// Step, s.
    pub step_s: f64,
    /// How far a step may be cut where it has no solution or its books are out, s; the step itself to cut none.
    pub shortest_s: f64,
    /// Energy that one whole step may misplace before it is cut, J.
    pub slip_j: f64,
    /// Tension that one step may get wrong, by how accelerations changed over it, as a share of the largest tension so
    /// far.
    pub jolt: f64,
    /// How far a step is cut for that, s.
    pub jolt_s: f64,
    /// What is left after one step of a vibration far too fast for it: 1 keeps all (average acceleration), 0 nothing.
    pub keeps_fast: f64,
}

impl Default for Scheme {
    fn default() -> Self {
        Self {
            step_s: 0.002,
            shortest_s: 0.002,
            slip_j: f64::INFINITY,
            jolt: f64::INFINITY,
            jolt_s: 0.002,
            keeps_fast: 0.5,
        }
    }
}

/// Energy since the start, J.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ledger {
    /// Of motion.
    pub kinetic_j: f64,
    /// Kinetic, strain and position energy, less that at the start.
    pub change_j: f64,
    /// Taken by the members' dampers and by drag.
    pub damped_j: f64,
    /// Taken by the scheme.
    pub numerical_j: f64,
    /// What the books are out by.
    pub imbalance_j: f64,
}

/// What watching a step says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Flow {
    /// Go on.
    On,
    /// Go on with steps twice as long as at the start.
    Wide,
    /// Enough has been seen.
    Stop,
}

/// How a motion ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// At the time asked for.
    Time,
    /// When told to.
    Told,
    /// A step had no solution.
    Stuck,
}

/// Where a member pulls: its free points' slots in the matrix.
struct Strand {
    path: Vec<usize>,
    /// Share of the tension that each leg of the path carries.
    ratios: Vec<f64>,
    /// Matrix slots of pairs (k, l) of the path's points, k ≤ l, row by row; nothing where one is fixed.
    slots: Vec<Option<Slot>>,
    /// Damping over stiffness, s.
    lag_s: f64,
    first_stiffness: f64,
    slack_m: f64,
}

/// Two points that share a member's mass.
struct Bond {
    ends: [usize; 2],
    /// The slots of its first end, of both, and of its second end; nothing where one is fixed.
    slots: [Option<Slot>; 3],
    /// What their difference in velocity takes from the energy of two point masses, kg.
    shared_kg: f64,
}

/// A net in motion.
pub struct Motion<'a> {
    scene: &'a Scene,
    scheme: Scheme,
    strands: Vec<Option<Strand>>,
    free: Vec<usize>,
    slot: Vec<Option<usize>>,
    diagonal: Vec<Slot>,
    bonds: Vec<Bond>,
    matrix: Pattern,
    now: State,
    before: State,
    bench: Bench,
    /// The step that last went well, s.
    h: f64,
    /// Largest tension of any step so far, N.
    largest_n: f64,
    newton: usize,
    steps: usize,
}

/// One instant.
#[derive(Debug, Default)]
struct State {
    t_s: f64,
    places: Vec<DVec3>,
    velocity: Vec<DVec3>,
    acceleration: Vec<DVec3>,
    /// Whole force on each point.
    force: Vec<DVec3>,
    /// Its part that damping gives.
    damping: Vec<DVec3>,
    tension: Vec<f64>,
    length: Vec<f64>,
    strain_j: f64,
    ledger: Ledger,
}

impl Clone for State {
    fn clone(&self) -> Self {
        let mut out = Self::default();
        out.clone_from(self);
        out
    }

    /// Into what is there, without new memory: every step may be taken back.
    fn clone_from(&mut self, from: &Self) {
        (self.t_s, self.strain_j, self.ledger) = (from.t_s, from.strain_j, from.ledger);
        self.places.clone_from(&from.places);
        self.velocity.clone_from(&from.velocity);
        self.acceleration.clone_from(&from.acceleration);
        self.force.clone_from(&from.force);
        self.damping.clone_from(&from.damping);
        self.tension.clone_from(&from.tension);
        self.length.clone_from(&from.length);
    }
}

/// Forces at one set of places.
#[derive(Default)]
struct Pulls {
    force: Vec<DVec3>,
    damping: Vec<DVec3>,
    tension: Vec<f64>,
    stiffness: Vec<f64>,
    length: Vec<f64>,
    strain_j: f64,
}

/// What a step works with, kept from step to step: the places tried and the forces there, what is out of balance, the
/// Newton step.
#[derive(Default)]
struct Bench {
    at: Pulls,
    next: Pulls,
    x: Vec<DVec3>,
    trial: Vec<DVec3>,
    out: Vec<DVec3>,
    then: Vec<DVec3>,
    step: Vec<DVec3>,
    ahead: Vec<DVec3>,
    drag: Vec<f64>,
    inertia: Vec<f64>,
}

/// Weights of one generalised-α step of `h` seconds.
struct Step {
    h: f64,
    am: f64,
    af: f64,
    beta: f64,
    gamma: f64,
}

impl Step {
    fn of(scheme: &Scheme, h: f64) -> Self {
        let keeps = scheme.keeps_fast.clamp(0.0, 1.0);
        let (am, af) = ((2.0 * keeps - 1.0) / (keeps + 1.0), keeps / (keeps + 1.0));
        Self { h, am, af, beta: 0.25 * (1.0 - am + af) * (1.0 - am + af), gamma: 0.5 - am + af }
    }
}

/// What a member's damping adds at most, over what its first stiffness makes of the same stretch: pulled at once, a
/// fibre answers up to twice as stiff as it does in a swing (sonic against slow modulus: 1.2 to 2 times, from memory). A
/// damper without this limit lets one element that snaps taut carry more the shorter it is, and no mesh is fine enough.
pub const AT_ONCE: f64 = 1.0;
/// Most Newton steps in one time step.
const NEWTON_STEPS: usize = 40;
/// Most looks along one Newton step.
const LOOKS: usize = 25;
/// Out of balance, as a share of the largest tension, that ends a step.
const BALANCED: f64 = 1e-5;

/// Largest of these tensions, one newton at least.
fn largest(tension: &[f64]) -> f64 {
    tension.iter().copied().fold(1.0, f64::max)
}

impl<'a> Motion<'a> {
    /// Starts the motion of `scene`; nothing when its shape cannot be held in memory.
    #[must_use]
    pub fn new(scene: &'a Scene, scheme: Scheme) -> Option<Self> {
        let net = &scene.net;
        let mut slot = vec![None; net.nodes.len()];
        let mut free = Vec::new();
        for (i, n) in net.nodes.iter().enumerate() {
            if !n.fixed {
                slot[i] = Some(free.len());
                free.push(i);
            }
        }
        let mut pairs = Vec::new();
        for m in &net.members {
            let Member::Link(link) = m else { continue };
            let at: Vec<usize> = link.path.iter().filter_map(|p| slot[*p]).collect();
            for (k, &i) in at.iter().enumerate() {
                pairs.extend(at[..k].iter().filter(|j| **j != i).map(|&j| (i, j)));
            }
        }
        let matrix = Pattern::new(free.len(), &pairs);
        let strands: Vec<Option<Strand>> = net
            .members
            .iter()
            .map(|m| {
                let Member::Link(link) = m else { return None };
                let mut slots = Vec::new();
                for (k, p) in link.path.iter().enumerate() {
                    for q in &link.path[k..] {
                        slots.push(slot[*p].zip(slot[*q]).and_then(|(i, j)| matrix.slot(i, j)));
                    }
                }
                let (lag_s, first_stiffness, slack_m) = match &link.pull {
                    Pull::Chain(law) => (law.lag_s(), law.first_stiffness(), law.slack_m()),
                    _ => (0.0, 0.0, 0.0),
                };
                let ratios = (0..link.path.len().saturating_sub(1)).map(|k| link.ratio(k)).collect();
                Some(Strand { path: link.path.clone(), ratios, slots, lag_s, first_stiffness, slack_m })
            })
            .collect();
        let diagonal = (0..free.len()).map(|i| matrix.slot(i, i)).collect::<Option<Vec<_>>>()?;
        let mut bonds = Vec::new();
        for ((m, strand), along) in net.members.iter().zip(&strands).zip(&scene.along_kg) {
            if let (Some(s), [a, b], true) = (strand, m.points()[..].as_ref(), *along > 0.0) {
                let slots = [s.slots[0], s.slots[1], s.slots[2]];
                bonds.push(Bond { ends: [*a, *b], slots, shared_kg: along / 6.0 });
            }
        }
        let n = net.nodes.len();
        let mut out = Self {
            scene,
            scheme,
            strands,
            free,
            slot,
            diagonal,
            bonds,
            matrix,
            now: State {
                places: net.nodes.iter().map(|n| n.place).collect(),
                velocity: scene.velocity.clone(),
                acceleration: vec![DVec3::ZERO; n],
                ..State::default()
            },
            before: State::default(),
            bench: Bench::default(),
            h: scheme.step_s,
            largest_n: 0.0,
            newton: 0,
            steps: 0,
        };
        let mut start = Pulls::default();
        out.pulls(&out.now.places, None, &mut start);
        let mut pushed: Vec<DVec3> =
            out.free.iter().map(|&i| start.force[i] - scene.velocity[i] * out.drag(i)).collect();
        let masses: Vec<f64> = out.free.iter().map(|&i| scene.mass_kg[i]).collect();
        out.matrix.clear();
        out.put_inertia(&masses, 1.0);
        if !out.matrix.solve(&mut pushed) {
            return None;
        }
        for (k, &i) in out.free.iter().enumerate() {
            out.now.acceleration[i] = pushed[k];
        }
        (out.now.force, out.now.damping, out.now.tension) = (start.force, start.damping, start.tension);
        (out.now.length, out.now.strain_j) = (start.length, start.strain_j);
        out.now.ledger.kinetic_j = out.kinetic();
        Some(out)
    }

    /// Time since the start, s.
    #[must_use]
    pub fn t_s(&self) -> f64 {
        self.now.t_s
    }

    /// Place of every point, m.
    #[must_use]
    pub fn places(&self) -> &[DVec3] {
        &self.now.places
    }

    /// Velocity of every point, m/s.
    #[must_use]
    pub fn velocity(&self) -> &[DVec3] {
        &self.now.velocity
    }

    /// Acceleration of every point, m/s².
    #[must_use]
    pub fn acceleration(&self) -> &[DVec3] {
        &self.now.acceleration
    }

    /// Tension of every member, damping included, N; zero for a giving anchor.
    #[must_use]
    pub fn tension(&self) -> &[f64] {
        &self.now.tension
    }

    /// What all members and the dead load do to a point, N: of a fixed one, what its anchor must hold.
    #[must_use]
    pub fn force(&self, point: usize) -> DVec3 {
        self.now.force[point]
    }

    /// Force of one member on a point, N.
    #[must_use]
    pub fn member_force(&self, member: usize, point: usize) -> DVec3 {
        let x = &self.now.places;
        match &self.scene.net.members[member] {
            Member::Link(link) => link
                .path
                .windows(2)
                .enumerate()
                .map(|(k, e)| {
                    let q = (x[e[1]] - x[e[0]]).normalize_or_zero() * (self.now.tension[member] * link.ratio(k));
                    let on = |p: usize, v: DVec3| if p == point { v } else { DVec3::ZERO };
                    on(e[0], q) + on(e[1], -q)
                })
                .sum(),
            Member::Ground(g) if g.point == point => (g.home - x[g.point]) * g.stiffness_n_per_m,
            _ => DVec3::ZERO,
        }
    }

    /// Strain energy now, J.
    #[must_use]
    pub fn strain_j(&self) -> f64 {
        self.now.strain_j
    }

    /// Energy since the start.
    #[must_use]
    pub fn ledger(&self) -> Ledger {
        self.now.ledger
    }

    /// Newton steps and time steps so far.
    #[must_use]
    pub fn effort(&self) -> (usize, usize) {
        (self.newton, self.steps)
    }

    /// Drag of a point over its velocity during the coming step, N s/m.
    fn drag(&self, point: usize) -> f64 {
        let scene = self.scene;
        let air = scene.air_n_s2_per_m2.get(point).copied().unwrap_or(0.0) * self.now.velocity[point].length();
        scene.drag_per_s * scene.mass_kg[point] + air
    }

    fn kinetic(&self) -> f64 {
        let v = |i: usize| if self.slot[i].is_some() { self.now.velocity[i] } else { DVec3::ZERO };
        let points: f64 = self.free.iter().map(|&i| 0.5 * self.scene.mass_kg[i] * v(i).length_squared()).sum();
        let shared: f64 =
            self.bonds.iter().map(|b| 0.5 * b.shared_kg * (v(b.ends[0]) - v(b.ends[1])).length_squared()).sum();
        points - shared
    }

    /// Adds the inertia of the free points to the matrix, and `times` what bonds share.
    fn put_inertia(&mut self, inertia: &[f64], times: f64) {
        let even = |m: f64| DMat3::from_diagonal(DVec3::splat(m));
        for (slot, inertia) in self.diagonal.iter().zip(inertia) {
            self.matrix.add(*slot, even(*inertia));
        }
        for b in &self.bonds {
            for (slot, sign) in b.slots.iter().zip([-1.0, 1.0, -1.0]) {
                if let Some(slot) = slot {
                    self.matrix.add(*slot, even(sign * times * b.shared_kg));
                }
            }
        }
    }

    /// Forces at `x`, a step after the present lengths and tensions when `step_s` is given, else at rest.
    fn pulls(&self, x: &[DVec3], step_s: Option<f64>, out: &mut Pulls) {
        let net = &self.scene.net;
        out.force.clear();
        out.force.extend(net.nodes.iter().map(|n| n.load_n));
        out.damping.clear();
        out.damping.resize(net.nodes.len(), DVec3::ZERO);
        for v in [&mut out.tension, &mut out.stiffness, &mut out.length] {
            v.clear();
            v.resize(net.members.len(), 0.0);
        }
        out.strain_j = 0.0;
        for (m, member) in net.members.iter().enumerate() {
            match (member, &self.strands[m]) {
                (Member::Link(link), Some(s)) => {
                    let legs = s.path.windows(2).zip(&s.ratios);
                    let length: f64 = legs.clone().map(|(e, r)| r * x[e[0]].distance(x[e[1]])).sum();
                    let (elastic, mut stiffness, energy) = link.pull.at(length);
                    out.strain_j += energy;
                    out.length[m] = length;
                    let mut damped = 0.0;
                    if let Some(h) = step_s.filter(|_| s.lag_s > 0.0 && length > s.slack_m) {
                        let c = s.lag_s * s.first_stiffness;
                        let most = AT_ONCE * s.first_stiffness * (length - s.slack_m);
                        damped = c * (length - self.now.length[m].max(s.slack_m)) / h;
                        if damped > most {
                            damped = most;
                            stiffness += AT_ONCE * s.first_stiffness;
                        } else {
                            stiffness += c / h;
                        }
                        if elastic + damped < 0.0 {
                            (damped, stiffness) = (-elastic, 0.0);
                        }
                    }
                    let tension = elastic + damped;
                    out.tension[m] = tension;
                    out.stiffness[m] = stiffness;
                    if tension > 0.0 || damped != 0.0 {
                        for (e, ratio) in legs {
                            let q = (x[e[1]] - x[e[0]]).normalize_or_zero() * *ratio;
                            out.force[e[0]] += q * tension;
                            out.force[e[1]] -= q * tension;
                            out.damping[e[0]] += q * damped;
                            out.damping[e[1]] -= q * damped;
                        }
                    }
                }
                (Member::Ground(g), _) => {
                    let d = g.home - x[g.point];
                    out.force[g.point] += d * g.stiffness_n_per_m;
                    out.strain_j += 0.5 * g.stiffness_n_per_m * d.length_squared();
                }
                _ => {}
            }
        }
    }

    /// The matrix of one Newton step: the `inertia` of each free point, kg/s², and `share` of the members' stiffness.
    fn assemble(&mut self, x: &[DVec3], at: &Pulls, inertia: &[f64], bonds: f64, share: f64) {
        self.matrix.clear();
        self.put_inertia(inertia, bonds);
        for (m, member) in self.scene.net.members.iter().enumerate() {
            match (member, &self.strands[m]) {
                (Member::Link(_), Some(s)) if at.stiffness[m] > 0.0 => {
                    let (tension, stiffness) = (share * at.tension[m], share * at.stiffness[m]);
                    let points = s.path.len();
                    let outer = |a: DVec3, b: DVec3| DMat3::from_cols(a * b.x, a * b.y, a * b.z);
                    if points == 2 {
                        let d = x[s.path[1]] - x[s.path[0]];
                        let length = d.length().max(1e-9);
                        let q = d / length;
                        let across = (tension / length).max(0.0);
                        let k = outer(q, q) * (stiffness - across) + DMat3::from_diagonal(DVec3::splat(across));
                        for (slot, sign) in s.slots.iter().zip([1.0, -1.0, 1.0]) {
                            if let Some(slot) = slot {
                                self.matrix.add(*slot, k * sign);
                            }
                        }
                        continue;
                    }
                    // Gradient of the whole length, and each leg's resistance to turning.
                    let mut g = vec![DVec3::ZERO; points];
                    let mut across = Vec::with_capacity(points - 1);
                    for (k, (e, ratio)) in s.path.windows(2).zip(&s.ratios).enumerate() {
                        let d = x[e[1]] - x[e[0]];
                        let length = d.length();
                        let q = if length > 1e-9 { d / length } else { DVec3::ZERO };
                        g[k] -= q * *ratio;
                        g[k + 1] += q * *ratio;
                        across.push((DMat3::IDENTITY - outer(q, q)) * (ratio * tension.max(0.0) / length.max(1e-9)));
                    }
                    let mut slots = s.slots.iter();
                    for k in 0..points {
                        for l in k..points {
                            let Some(slot) = slots.next() else { break };
                            let (Some(slot), same) = (slot, s.path[k] == s.path[l]) else { continue };
                            let mut block = outer(g[k], g[l]) * stiffness;
                            if l == k {
                                if k > 0 {
                                    block += across[k - 1];
                                }
                                if k + 1 < points {
                                    block += across[k];
                                }
                            } else if l == k + 1 {
                                block -= across[k];
                            }
                            // A point met twice on the way gets both halves of the pair.
                            if same && l != k {
                                block += block.transpose();
                            }
                            self.matrix.add(*slot, block);
                        }
                    }
                }
                (Member::Ground(g), _) => {
                    if let Some(k) = self.slot[g.point] {
                        let stiffness = DVec3::splat(share * g.stiffness_n_per_m);
                        self.matrix.add(self.diagonal[k], DMat3::from_diagonal(stiffness));
                    }
                }
                _ => {}
            }
        }
    }

    /// One step, cut where it must be; false when even the shortest has no solution, and then nothing has moved.
    pub fn step(&mut self) -> bool {
        let Scheme { step_s, shortest_s, .. } = self.scheme;
        if shortest_s >= step_s {
            return self.advance(step_s);
        }
        let mut before = std::mem::take(&mut self.before);
        before.clone_from(&self.now);
        let done = self.step_from(&before);
        self.before = before;
        done
    }

    /// Tension that the last step may have got wrong, as a share of the largest: what the places would differ by, had
    /// the acceleration changed evenly over the step (Zienkiewicz and Xie, 1991), felt through each member.
    fn jolt(&self, before: &State) -> f64 {
        let c = Step::of(&self.scheme, self.h);
        let off = (c.beta - 1.0 / 6.0) * c.h * c.h;
        let (x, a) = (&self.now.places, &self.now.acceleration);
        let moved = |p: usize| (a[p] - before.acceleration[p]) * off;
        let mut most = 0.0_f64;
        for (s, stiffness) in self.strands.iter().zip(&self.bench.at.stiffness) {
            let Some(s) = s.as_ref().filter(|_| *stiffness > 0.0) else { continue };
            let legs = s.path.windows(2).zip(&s.ratios);
            let longer: f64 =
                legs.map(|(e, r)| r * (x[e[1]] - x[e[0]]).normalize_or_zero().dot(moved(e[1]) - moved(e[0]))).sum();
            most = most.max(stiffness * longer.abs());
        }
        most / self.largest_n.max(largest(&self.now.tension))
    }

    fn step_from(&mut self, before: &State) -> bool {
        let Scheme { step_s, shortest_s, slip_j, jolt, jolt_s, .. } = self.scheme;
        loop {
            let done = self.advance(self.h);
            let slip = (self.now.ledger.imbalance_j - before.ledger.imbalance_j).abs();
            let allowed = slip_j * self.h / step_s;
            let jolted = if done && jolt.is_finite() { self.jolt(before) / jolt } else { 0.0 };
            if done && slip <= allowed && (jolted <= 1.0 || self.h <= jolt_s) {
                self.largest_n = self.largest_n.max(largest(&self.now.tension));
                if slip < 0.2 * allowed && jolted < 0.2 {
                    self.h = (2.0 * self.h).min(step_s);
                }
                return true;
            }
            if self.h <= shortest_s {
                return done;
            }
            self.now.clone_from(before);
            self.h = (0.5 * self.h).max(shortest_s);
        }
    }

    /// One step of `h` seconds; false when it has no solution, and then nothing has moved.
    fn advance(&mut self, h: f64) -> bool {
        let mut bench = std::mem::take(&mut self.bench);
        let done = self.find(h, &mut bench);
        self.bench = bench;
        done
    }

    /// What is out of balance at the weighted instant of a step, for each free point.
    fn residual(&self, x: &[DVec3], at: &Pulls, c: &Step, ahead: &[DVec3], drag: &[f64], out: &mut Vec<DVec3>) {
        let now = &self.now;
        let accelerated = |i: usize| (x[i] - ahead[i]) / (c.beta * c.h * c.h);
        let mean = |i: usize| accelerated(i) * (1.0 - c.am) + now.acceleration[i] * c.am;
        out.clear();
        out.extend(self.free.iter().zip(drag).map(|(&i, drag)| {
            let v = now.velocity[i] + (now.acceleration[i] * (1.0 - c.gamma) + accelerated(i) * c.gamma) * c.h;
            let drags = (v * (1.0 - c.af) + now.velocity[i] * c.af) * *drag;
            at.force[i] * (1.0 - c.af) + now.force[i] * c.af - mean(i) * self.scene.mass_kg[i] - drags
        }));
        for b in &self.bonds {
            let slots = b.ends.map(|i| self.slot[i]);
            let a = |k: usize| slots[k].map_or(DVec3::ZERO, |_| mean(b.ends[k]));
            let apart = (a(0) - a(1)) * b.shared_kg;
            for (slot, f) in slots.iter().zip([apart, -apart]) {
                if let Some(k) = slot {
                    out[*k] += f;
                }
            }
        }
    }

    fn find(&mut self, h: f64, w: &mut Bench) -> bool {
        let c = Step::of(&self.scheme, h);
        w.drag.clear();
        w.drag.extend(self.free.iter().map(|&i| self.drag(i)));
        w.ahead.clone_from(&self.now.places);
        w.x.clone_from(&self.now.places);
        for &i in &self.free {
            let (v, a) = (self.now.velocity[i], self.now.acceleration[i]);
            w.ahead[i] += v * h + a * (h * h * (0.5 - c.beta));
            w.x[i] += v * h + a * (0.5 * h * h);
        }
        self.pulls(&w.x, Some(h), &mut w.at);
        self.residual(&w.x, &w.at, &c, &w.ahead, &w.drag, &mut w.out);
        w.inertia.clear();
        w.inertia.extend(self.free.iter().zip(&w.drag).map(|(&i, drag)| {
            self.scene.mass_kg[i] * (1.0 - c.am) / (c.beta * h * h) + (1.0 - c.af) * drag * c.gamma / (c.beta * h)
        }));
        let mut left = NEWTON_STEPS;
        // What places far from the origin can be known to, felt through each point's inertia.
        let extent = w.x.iter().map(|p| p.abs().max_element()).fold(1.0, f64::max);
        let rounding = 64.0 * f64::EPSILON * extent;
        let loads = self.scene.net.nodes.iter().map(|n| n.load_n.length()).fold(1.0, f64::max);
        loop {
            let scale = w.at.tension.iter().copied().fold(loads, f64::max);
            let near = |r: &DVec3, inertia: &f64| r.abs().max_element() <= BALANCED * scale + rounding * inertia;
            if w.out.iter().zip(&w.inertia).all(|(r, i)| near(r, i)) {
                break;
            }
            if left == 0 {
                return false;
            }
            left -= 1;
            self.newton += 1;
            self.assemble(&w.x, &w.at, &w.inertia, (1.0 - c.am) / (c.beta * h * h), 1.0 - c.af);
            w.step.clone_from(&w.out);
            if !self.matrix.solve(&mut w.step) {
                return false;
            }
            // Along the way the slope of a convex function only falls: the step is good where it is nearly flat.
            let slope: f64 = w.out.iter().zip(&w.step).map(|(r, s)| r.dot(*s)).sum();
            let (mut share, mut low, mut high) = (1.0, (0.0, slope), None);
            for _ in 0..LOOKS {
                w.trial.clone_from(&w.x);
                for (&i, s) in self.free.iter().zip(&w.step) {
                    w.trial[i] += *s * share;
                }
                self.pulls(&w.trial, Some(h), &mut w.next);
                self.residual(&w.trial, &w.next, &c, &w.ahead, &w.drag, &mut w.then);
                let turned: f64 = w.then.iter().zip(&w.step).map(|(r, s)| r.dot(*s)).sum();
                if turned.abs() <= 0.8 * slope.abs() {
                    break;
                }
                if turned > 0.0 {
                    low = (share, turned);
                } else {
                    high = Some((share, turned));
                }
                share = match high {
                    Some((h, f)) => low.0 + (h - low.0) * (low.1 / (low.1 - f)).clamp(0.1, 0.9),
                    None => 2.0 * share,
                };
            }
            std::mem::swap(&mut w.x, &mut w.trial);
            std::mem::swap(&mut w.at, &mut w.next);
            std::mem::swap(&mut w.out, &mut w.then);
        }
        self.book(w, &c);
        true
    }

    /// Takes the new state and books its energy.
    fn book(&mut self, w: &mut Bench, c: &Step) {
        let (h, x, at) = (c.h, &w.x, &w.at);
        let before = self.kinetic();
        let (mut work, mut damped, mut loads) = (0.0, 0.0, 0.0);
        for (&i, drag) in self.free.iter().zip(&w.drag) {
            let d = x[i] - self.now.places[i];
            let v = self.now.velocity[i];
            let a = (x[i] - w.ahead[i]) / (c.beta * h * h);
            let next = v + (self.now.acceleration[i] * (1.0 - c.gamma) + a * c.gamma) * h;
            let drags = (v + next) * (0.5 * drag);
            work += 0.5 * (self.now.force[i] + at.force[i]).dot(d) - drags.dot(d);
            damped += -0.5 * (self.now.damping[i] + at.damping[i]).dot(d) + drags.dot(d);
            loads += self.scene.net.nodes[i].load_n.dot(d);
            self.now.velocity[i] = next;
            self.now.acceleration[i] = a;
        }
        let after = self.kinetic();
        let change = after - before + at.strain_j - self.now.strain_j - loads;
        let numerical = work - (after - before);
        self.now.ledger.kinetic_j = after;
        self.now.ledger.change_j += change;
        self.now.ledger.damped_j += damped;
        self.now.ledger.numerical_j += numerical;
        self.now.ledger.imbalance_j += change + damped + numerical;
        self.now.strain_j = at.strain_j;
        std::mem::swap(&mut self.now.places, &mut w.x);
        std::mem::swap(&mut self.now.force, &mut w.at.force);
        std::mem::swap(&mut self.now.damping, &mut w.at.damping);
        std::mem::swap(&mut self.now.tension, &mut w.at.tension);
        std::mem::swap(&mut self.now.length, &mut w.at.length);
        self.now.t_s += h;
        self.steps += 1;
    }

    /// Steps until `until_s`, or until `watch` has seen enough.
    pub fn run(&mut self, until_s: f64, mut watch: impl FnMut(&Self) -> Flow) -> End {
        let start = self.scheme;
        let wide = Scheme { step_s: 2.0 * start.step_s, slip_j: 2.0 * start.slip_j, ..start };
        while self.now.t_s < until_s - 0.5 * self.scheme.step_s {
            if !self.step() {
                return End::Stuck;
            }
            match watch(self) {
                Flow::Stop => return End::Told,
                Flow::Wide => self.scheme = wide,
                Flow::On => self.scheme = start,
            }
        }
        End::Time
    }
}
