//! Getting somebody off the line: at places along it, from each side with a rope, on the main line and on the backup alone,
//! what hands pull, whether the rope reaches, how long it takes. Each state is looked at by the certificate.

use std::sync::atomic::AtomicBool;

use glam::DVec3;
use schemars::JsonSchema;
use serde::Serialize;

use super::case::Case;
use super::hands;
use super::pulling::{hung_per_m, people};
use super::situation::Cause;
use super::solve::{Solved, Solver};
use crate::catalogue::{Catalogue, Surface};
use crate::mechanics::G;
use crate::mechanics::carry::capstan;
use crate::mechanics::gauge::Gauged;
use crate::mechanics::tow::{Tow, Towed};
use crate::plan::rescue::{Rescue, TowRope};
use crate::plan::{Plan, Side};
use crate::units::Quantity;

/// Places that are looked at, in even steps along the gap.
const PLACES: usize = 20;
/// The last of the way is lifted over by hand, m. Common practice, no source.
const BY_HAND_M: f64 = 2.0;
/// Who hangs and who comes.
const TWO: f64 = 2.0;
/// Rope to lower with over the height: its knot, its brake, a ledge. Common practice, no source.
const LOWER_OVER: f64 = 1.2;

/// A line that somebody hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum On {
    /// The main line.
    Main,
    /// The backup, the main line gone.
    Backup,
}

impl On {
    /// In data.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Self::Main => "main",
            Self::Backup => "backup",
        }
    }

    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Main => "on main",
            Self::Backup => "on the backup alone",
        }
    }
}

/// One rope at one place on one line.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct TowedIn {
    /// The side that pulls.
    pub side: Side,
    /// Way along the line to it, m.
    pub way_m: f64,
    /// How much of the rope is missing, m; nothing where it reaches.
    pub short_m: Option<f64>,
    /// Pull along the rope here, N; below nothing it has to be held back.
    #[serde(rename = "here_N")]
    pub here_n: f64,
    /// The most on the way in, N.
    #[serde(rename = "most_N")]
    pub most_n: f64,
    /// The most that has to be held back on the way in, with friction at its low end, N.
    #[serde(rename = "held_back_N")]
    pub held_back_n: f64,
    /// The most at the hands, behind the edge, N.
    #[serde(rename = "hands_N")]
    pub hands_n: f64,
    /// Most tension of the line on the way in, N.
    #[serde(rename = "line_N")]
    pub line_n: f64,
    /// People that pull it by hand.
    pub people: usize,
    /// People that pull it with the pulley set at hand.
    pub with_set: Option<usize>,
    /// From the alarm until it is over the edge, s.
    pub total_s: f64,
}

/// Somebody hangs still at one place of one line.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct HangsAt {
    /// On which line.
    pub on: On,
    /// Where along the gap from A, m.
    pub x_m: f64,
    /// Height of the line there with two on it, over A, m.
    pub z_m: f64,
    /// Rope to lower with there, m; nothing where no ground is known.
    pub lower_m: Option<f64>,
    /// Whether somebody can be received there.
    pub landing: bool,
    /// From the alarm until they are let down to the ground, s; nothing without a landing, ground and rope to lower with.
    pub lowered_s: Option<f64>,
    /// From each side with a rope.
    pub towed: Vec<TowedIn>,
    /// Whether all of it was found, and the certificate stands by it.
    pub certified: bool,
}

/// How a place stands: reached in good time, late, or not at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Within two thirds of the time.
    Reached,
    /// Within the time.
    Late,
    /// Lowered alone.
    Lowered,
    /// Not in time, not by these ropes, not by these hands; or not known.
    Not,
}

impl Standing {
    /// In a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Reached => "reached",
            Self::Late => "late",
            Self::Lowered => "lowered only",
            Self::Not => "not reached",
        }
    }
}

/// Over this share of what may be, it is late.
const LATE: f64 = 2.0 / 3.0;

/// Getting somebody off.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Rescued {
    /// What hangs on the roller, kg.
    pub load_kg: f64,
    /// The longest that somebody may hang, s.
    pub limit_s: f64,
    /// Rope to lower with, m.
    pub lower_m: Option<f64>,
    /// Hands left at A and at B.
    pub hands: [usize; 2],
    /// Place by place, the main line first.
    pub places: Vec<HangsAt>,
}

impl TowedIn {
    /// Whether the people there can pull it, the pulley set counted.
    #[must_use]
    pub fn pulled(&self, hands: [usize; 2]) -> bool {
        let there = hands[usize::from(self.side == Side::B)];
        self.people.min(self.with_set.unwrap_or(self.people)) <= there
    }
}

impl HangsAt {
    /// The way in that is soonest, of those whose rope reaches and that can be pulled.
    #[must_use]
    pub fn soonest(&self, hands: [usize; 2]) -> Option<&TowedIn> {
        let can = self.towed.iter().filter(|t| t.short_m.is_none() && t.pulled(hands));
        can.min_by(|a, b| a.total_s.total_cmp(&b.total_s))
    }

    /// Whether somebody can be lowered there with so much rope.
    #[must_use]
    pub fn lowered(&self, rope_m: Option<f64>) -> bool {
        self.landing && self.lower_m.zip(rope_m).is_some_and(|(needs, has)| has >= needs)
    }

    /// The soonest that somebody is off the line there, towed or lowered, s.
    #[must_use]
    pub fn soonest_s(&self, hands: [usize; 2]) -> Option<f64> {
        let towed = self.soonest(hands).map(|t| t.total_s);
        [towed, self.lowered_s].into_iter().flatten().min_by(f64::total_cmp)
    }
}

impl Rescued {
    /// How a place stands.
    #[must_use]
    pub fn standing(&self, at: &HangsAt) -> Standing {
        match at.soonest(self.hands) {
            _ if !at.certified => Standing::Not,
            Some(t) if t.total_s <= LATE * self.limit_s => Standing::Reached,
            Some(t) if t.total_s <= self.limit_s => Standing::Late,
            _ if at.lowered_s.is_some_and(|s| s <= self.limit_s) => Standing::Lowered,
            _ => Standing::Not,
        }
    }

    /// How a place stands, and where it is not reached why.
    #[must_use]
    pub fn said(&self, at: &HangsAt) -> &'static str {
        match self.standing(at) {
            Standing::Not if !at.certified => "not known",
            Standing::Not if at.soonest_s(self.hands).is_some() => "too slow",
            Standing::Not if at.towed.iter().all(|t| t.short_m.is_some()) => "out of reach",
            Standing::Not => "too few hands",
            stands => stands.word(),
        }
    }

    /// Places on one of the lines, from A on.
    pub fn on(&self, on: On) -> impl Iterator<Item = &HangsAt> {
        self.places.iter().filter(move |p| p.on == on)
    }
}

/// One of the lines between its ends, with two on it.
struct Strung {
    on: On,
    from: [f64; 2],
    tow: Tow,
}

impl Strung {
    fn of(on: On, ends: [glam::DVec3; 2], length_m: f64, weight_n_per_m: f64, like: &Tow) -> Self {
        let [a, b] = ends;
        Self {
            on,
            from: [a.x, a.z],
            tow: Tow {
                span_m: (b - a).truncate().length(),
                rise_m: b.z - a.z,
                length_m,
                weight_n_per_m,
                ..like.clone()
            },
        }
    }

    /// Its places along the gap: even steps, and where hands take over at either end.
    fn along_m(&self) -> Vec<f64> {
        let span = self.tow.span_m;
        let by_hand = BY_HAND_M.min(0.1 * span);
        let even = (1..PLACES).map(|k| span * k as f64 / PLACES as f64);
        let mut out: Vec<f64> = even.filter(|x| *x > by_hand && *x < span - by_hand).collect();
        out.insert(0, by_hand);
        out.push(span - by_hand);
        out
    }

    /// Towed to a side from each place, with friction; nothing where it cannot hang so, or the certificate does not stand by it.
    fn to(&self, side: Side, friction: f64) -> Vec<Option<Towed>> {
        let tow = Tow { to_b: side == Side::B, friction, ..self.tow.clone() };
        let mut found: Option<Towed> = None;
        let at = |x: f64| {
            found = tow.near(x, found.as_ref());
            found.filter(|t| tow.holds(t))
        };
        self.along_m().into_iter().map(at).collect()
    }
}

/// The most of a figure from a place to the end that pulls; nothing where any of it is missing.
fn most(all: &[Option<Towed>], k: usize, to_b: bool, of: impl Fn(&Towed) -> f64) -> Option<f64> {
    let way = if to_b { &all[k..] } else { &all[..=k] };
    way.iter().try_fold(f64::NEG_INFINITY, |m, t| Some(m.max(of(t.as_ref()?))))
}

/// From each place of a line by one rope, and how high the line hangs there, m; with it the state in which the line's ends see
/// most, the rope's pull with them at the end that pulls.
fn towed_in(
    rope: &TowRope,
    plan: &Plan,
    (r, advantage): (&Rescue, Option<f64>),
    strung: &Strung,
    (hard, easy): (&[Option<Towed>], &[Option<Towed>]),
) -> (Vec<Option<(TowedIn, f64)>>, Option<Towed>) {
    let to_b = rope.side == Side::B;
    let edge = plan.crossing.as_ref().map_or(Surface::default(), |c| c.edges[usize::from(to_b)]).friction().high;
    let end_z = if to_b { strung.tow.rise_m } else { 0.0 };
    // The rope comes up to the edge steeper than the line, and goes on level.
    let hands = |t: &Towed| {
        let up = ((end_z - t.place.z) / t.way_m).clamp(-1.0, 1.0).asin().abs();
        t.tow_n.max(0.0) * capstan(edge, up)
    };
    let count = |n: f64| people(n, r.each.si());
    let reach = rope.reach_m();
    let ends = |t: &Towed| {
        let [a, b] = t.ends_n;
        let pull = t.tow_n.max(0.0);
        if to_b { a.max(b + pull) } else { b.max(a + pull) }
    };
    let hardest = hard.iter().flatten().max_by(|a, b| ends(a).total_cmp(&ends(b))).copied();
    let ways = (0..hard.len())
        .map(|k| {
            let here = hard[k].as_ref()?;
            let hands_n = most(hard, k, to_b, hands)?;
            let x = if to_b { strung.tow.span_m - here.place.x } else { here.place.x };
            let towed = TowedIn {
                side: rope.side,
                way_m: here.way_m,
                short_m: (here.way_m > reach).then_some(here.way_m - reach),
                here_n: here.tow_n,
                most_n: most(hard, k, to_b, |t| t.tow_n)?,
                held_back_n: most(easy, k, to_b, |t| -t.tow_n)?.max(0.0),
                hands_n,
                line_n: most(hard, k, to_b, |t| t.ends_n[0].max(t.ends_n[1]))?,
                people: count(hands_n),
                with_set: advantage.map(|a| count(hands_n / a)),
                total_s: r.total_s(x),
            };
            Some((towed, strung.from[1] + here.place.z))
        })
        .collect();
    (ways, hardest)
}

/// Works a plan's rescue out; nothing when the plan has none, or its line has no shape. With it the rig while somebody is towed
/// in on each line, to each side with a rope, where that pulls hardest at its ends.
#[must_use]
pub(super) fn rescued(
    plan: &Plan,
    catalogue: &Catalogue,
    solver: &Solver,
    cases: &[Solved],
) -> Option<(Rescued, Vec<Case>)> {
    let r = plan.rescue.as_ref()?;
    let rig = &solver.rig;
    let standing = &solver.standing;
    let soft = rig.line.elements.iter().filter(|e| e.item.class.is_soft());
    let main = soft.max_by(|x, y| x.length_m.total_cmp(&y.length_m))?;
    let at_rest = rig.line.ends.map(|e| standing.solution.places[e]);
    let weight = hung_per_m(rig) * G;
    // As much line as stands at its tension between where its ends stand.
    let [a, b] = at_rest;
    let gauged = Gauged {
        span_m: (b - a).truncate().length(),
        rise_m: b.z - a.z,
        weight_n_per_m: weight,
        law: std::sync::Arc::clone(&main.law),
    };
    let [length_m, _] = gauged.standing(1.0, standing.case.line_tension_n(&standing.solution)[0])?;
    let at_a = |c: &Solved| c.net.line_tension_n(&c.solution)[0];
    // With two on it the ends give towards the gap.
    let loaded = cases
        .iter()
        .filter(|c| matches!(c.case.situation.cause, Cause::Walker { .. } | Cause::Together { .. }) && c.certified())
        .max_by(|x, y| at_a(x).total_cmp(&at_a(y)));
    let under_load = loaded.map_or(at_rest, |c| rig.line.ends.map(|e| c.solution.places[e]));
    let load_kg = TWO * rig.walker_kg;
    let like = Tow {
        span_m: 0.0,
        rise_m: 0.0,
        length_m,
        weight_n_per_m: weight,
        law: std::sync::Arc::clone(&main.law),
        load_n: load_kg * G,
        friction: r.friction[1],
        to_b: true,
    };
    let mut lines = vec![Strung::of(On::Main, under_load, length_m, weight, &like)];
    if let Some(b) = &rig.backup
        && let Some(first) = b.segments.first()
    {
        let articles = rig.articles(&standing.lengths);
        let soft: f64 = articles.iter().filter(|a| a.run == b.run).map(|a| a.length_m).sum();
        let length_m = soft + b.hardware_m.iter().sum::<f64>();
        let like = Tow { law: std::sync::Arc::clone(&first.law), ..like.clone() };
        let ends = b.ends.map(|e| standing.solution.places[e]);
        lines.push(Strung::of(On::Backup, ends, length_m, first.mass_per_m * G, &like));
    }
    let mut places = Vec::new();
    let mut towing = Vec::new();
    let advantage = r.set.as_ref().and_then(|s| s.advantage(catalogue));
    let level = (b - a).truncate().normalize_or_zero();
    // From every place, by each rope, on each line, with friction at either end: none needs another.
    let [low, high] = r.friction;
    let all: Vec<(&Strung, Side, f64)> = lines
        .iter()
        .flat_map(|line| r.ropes.iter().flat_map(move |t| [high, low].map(|mu| (line, t.side, mu))))
        .collect();
    let never = AtomicBool::new(false);
    let towed = hands::each(hands::all(), all.len(), &never, |k| all[k].0.to(all[k].1, all[k].2))?;
    let mut towed = towed.chunks(2);
    for strung in &lines {
        let mut ropes = Vec::new();
        for t in &r.ropes {
            let [hard, easy] = towed.next()? else { return None };
            let (ways, hardest) = towed_in(t, plan, (r, advantage), strung, (hard, easy));
            ropes.push(ways);
            if let Some(h) = hardest {
                let end = if t.side == Side::B { strung.tow.rise_m } else { 0.0 };
                let run = if t.side == Side::B { strung.tow.span_m - h.place.x } else { -h.place.x };
                let way = DVec3::new(level.x * run, level.y * run, end - h.place.z).normalize_or_zero();
                towing.push(Case::towed(
                    (strung.on, t.side),
                    h.split_m / strung.tow.length_m,
                    load_kg * G,
                    way * h.tow_n.max(0.0),
                ));
            }
        }
        for (k, along) in strung.along_m().into_iter().enumerate() {
            let x_m = strung.from[0] + along;
            let (towed, heights): (Vec<TowedIn>, Vec<f64>) = ropes.iter().filter_map(|w| w[k].clone()).unzip();
            // Of a little difference by the friction either way, the higher: it takes more rope to lower.
            let z_m = heights.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let certified = towed.len() == ropes.len();
            let z_m = if z_m.is_finite() { z_m } else { strung.from[1] };
            let lower_m = plan.site.ground_at(x_m).map(|g| LOWER_OVER * (z_m - g).max(0.0));
            let mut at = HangsAt {
                on: strung.on,
                x_m,
                z_m,
                lower_m,
                landing: r.landing.iter().any(|(from, to)| x_m >= from.si() && x_m <= to.si()),
                lowered_s: None,
                certified,
                towed,
            };
            if at.lowered(r.lower.map(Quantity::si)) {
                // From the nearest side that has the kit.
                let out = r.ropes.iter().map(|t| if t.side == Side::B { strung.tow.span_m - along } else { along });
                let nearest_m = out.fold(f64::INFINITY, f64::min);
                at.lowered_s = lower_m.map(|down_m| r.lowered_s(nearest_m, down_m));
            }
            places.push(at);
        }
    }
    let found = Rescued { load_kg, limit_s: r.limit.si(), lower_m: r.lower.map(Quantity::si), hands: r.hands, places };
    Some((found, towing))
}
