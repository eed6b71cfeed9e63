//! Getting the line over and down: what hands, brake, joints and each pulling line see on the way, how low it hangs, how much
//! line and cord it takes. Each shape is solved between the edges and looked at by the certificate.

use schemars::JsonSchema;
use serde::Serialize;

use super::pulling::people;
use super::solve::Solver;
use super::wind::gust_m_s;
use crate::catalogue::{Catalogue, Fibre, Item};
use crate::mechanics::G;
use crate::mechanics::carry::{Below, Carry, Held as HeldBy, Hung, Strung, capstan};
use crate::mechanics::root::{Root, bracketed};
use crate::plan::crossing::{Carried, Crossing, Held, Stage};
use crate::plan::{Plan, Role, Side};
use crate::rig::line_drag_n_per_m;
use crate::units::Quantity;

/// How far over the leading end is looked at, as shares of the gap.
const SHARES: [f64; 7] = [0.02, 0.1, 0.25, 0.5, 0.75, 0.9, 1.0];
/// Places between two of them where it pulls hardest or hangs lowest.
const BETWEEN: usize = 7;
/// The deepest that a line is let hang where nothing below stops it, over the gap.
const DEEPEST: f64 = 0.25;
/// Places of each line that drawings know.
const SHAPE: usize = 12;
/// Line beyond either edge: to the hands, the brake, the anchors. Common practice, no source.
const BEYOND_M: f64 = 5.0;
/// What a hand can hold of a brake's strand, N. Common practice, no source.
pub(super) const AT_HAND_N: f64 = 200.0;
/// A gust, a jerk: what the brake is looked at with, over what it holds in the calm. Common practice, no source.
pub(super) const JERK: f64 = 1.5;
/// The release is asked to let go a line that stands a little tighter than planned. Common practice, no source.
const OVER_STANDING: f64 = 1.05;
/// A ring that goes over with the line when the catalogue has none, kg. From memory.
const RING_KG: f64 = 0.15;

/// One place of one stage on its way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Way {
    /// How far over its leading end is, as a share of the gap.
    pub share: f64,
    /// Tension at the sending edge, in the calm or with the wind of this work, whichever is more, N.
    #[serde(rename = "sending_N")]
    pub sending_n: f64,
    /// Tension at the receiving edge in the calm, N.
    #[serde(rename = "receiving_N")]
    pub receiving_n: f64,
    /// What the hands pull behind the receiving edge, N, its friction at its high end.
    #[serde(rename = "hands_N")]
    pub hands_n: f64,
    /// The same with the wind of this work across, lengths held, N.
    #[serde(rename = "hands_windy_N")]
    pub hands_windy_n: f64,
    /// Largest drop below the straight line between the edges, m.
    pub sag_m: f64,
    /// Where the joint is along the gap from A, m, and its height over A, m.
    pub joint_m: [f64; 2],
    /// What is left of the tension at the sending edge behind it, N, its friction at its low end: what a brake holds.
    #[serde(rename = "brake_N")]
    pub brake_n: f64,
    /// Least height over ground and obstacles, m; nothing where there is none.
    pub height_m: Option<f64>,
    /// The height that is asked for, m.
    pub needed_m: f64,
    /// Where that is along the gap from A, m.
    pub height_at_m: f64,
    /// Whether the certificate stands by it.
    pub certified: bool,
    /// The line from the sending edge on: places along the gap from A and heights over A, m. For drawings.
    #[serde(skip)]
    pub shape_m: Vec<[f64; 2]>,
}

/// One stage.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StageOver {
    /// Its name.
    pub name: String,
    /// Its line in words.
    pub line: String,
    /// What pulls it; nothing for the first.
    pub pulled_by: Option<String>,
    /// Weight per metre, wet where the work may be, N/m.
    #[serde(rename = "weight_N_per_m")]
    pub weight_n_per_m: f64,
    /// On its way, from the sending side on.
    pub ways: Vec<Way>,
    /// People that pull it by hand, each as the plan says.
    pub people: usize,
    /// The same with the pulley set of the plan; nothing without one.
    pub with_set: Option<usize>,
    /// Where it comes too low: the sag that would do all the way, m; nothing where none would.
    pub sag_would_do_m: Option<f64>,
    /// Why it cannot be held as the plan says; nothing where it can.
    pub fault: Option<String>,
}

/// A line whose ends are fixed while it is not tensioned yet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct HalfRigged {
    /// Its tension at A, N: as planned, or the least that it can hang with where that is more.
    #[serde(rename = "tension_N")]
    pub tension_n: f64,
    /// Whether the tension of the plan can be.
    pub possible: bool,
    /// Sag, m.
    pub sag_m: f64,
    /// Least height over ground and obstacles, m.
    pub height_m: Option<f64>,
    /// The height that is asked for, m.
    pub needed_m: f64,
    /// Where that is along the gap from A, m.
    pub height_at_m: f64,
    /// Where it hangs too low: the tension at A with which it would not, N; nothing where none up to standing does.
    #[serde(rename = "would_do_N")]
    pub would_do_n: Option<f64>,
}

/// Getting the line over.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Over {
    /// The side that sends.
    pub sends: Side,
    /// In order.
    pub stages: Vec<StageOver>,
    /// Load of the brake behind the sending edge, N, at its most.
    #[serde(rename = "brake_N")]
    pub brake_n: f64,
    /// In the hand behind the brake's turns, N, with low friction and a jerk; nothing without a brake.
    #[serde(rename = "brake_hand_N")]
    pub brake_hand_n: Option<f64>,
    /// Turns with which a hand holds it.
    pub turns_wanted: f64,
    /// Line to let out until it is over, m, its ends included.
    pub let_out_m: f64,
    /// Pulling line that is needed for it, m, its ends included.
    pub pulling_m: f64,
    /// Before it is tensioned.
    pub half_rigged: Option<HalfRigged>,
    /// Line to let out from standing to hand-tight, and on to what is held, m.
    pub release_m: [f64; 2],
    /// Load at release, N.
    #[serde(rename = "release_N")]
    pub release_n: f64,
    /// Down again: what hauls it back at the sending side, and what the other side's brake holds, N.
    #[serde(rename = "down_N")]
    pub down_n: [f64; 2],
}

impl Over {
    /// The stage whose way is lowest, with that way.
    #[must_use]
    pub fn lowest(&self) -> Option<(&StageOver, &Way)> {
        let ways = self.stages.iter().flat_map(|s| s.ways.iter().map(move |w| (s, w)));
        ways.filter(|(_, w)| w.height_m.is_some()).min_by(|a, b| {
            let of = |w: &Way| w.height_m.unwrap_or(f64::INFINITY);
            of(a.1).total_cmp(&of(b.1))
        })
    }
}

impl StageOver {
    /// People that it takes, as it takes fewest.
    #[must_use]
    pub fn fewest(&self) -> usize {
        self.people.min(self.with_set.unwrap_or(self.people))
    }

    /// Whether every place on its way was found, and the certificate stands by it.
    #[must_use]
    pub fn sound(&self) -> bool {
        self.fault.is_none() && !self.ways.is_empty() && self.ways.iter().all(|w| w.certified)
    }

    /// The way on which the hands pull hardest.
    #[must_use]
    pub fn hardest(&self) -> Option<&Way> {
        self.ways.iter().max_by(|a, b| a.most_n().total_cmp(&b.most_n()))
    }

    /// The way on which it hangs lowest over what is under it.
    #[must_use]
    pub fn lowest(&self) -> Option<&Way> {
        self.ways
            .iter()
            .filter(|w| w.height_m.is_some())
            .min_by(|a, b| a.height_m.unwrap_or(f64::INFINITY).total_cmp(&b.height_m.unwrap_or(f64::INFINITY)))
    }
}

impl Way {
    /// What the hands pull at the most, with wind or without, N.
    #[must_use]
    pub fn most_n(&self) -> f64 {
        self.hands_n.max(self.hands_windy_n)
    }
}

/// What a wet line weighs over a dry one. One tester's soak of ropes (+42 % nylon, +19 to 22 % polyester); HMPE and aramid from
/// memory; common practice, no source.
fn wet_over_dry(fibre: Fibre) -> f64 {
    match fibre {
        Fibre::Nylon => 1.45,
        Fibre::Steel => 1.0,
        _ => 1.25,
    }
}

/// The gap as the crossing sees it: from the sending edge towards the other.
struct Gap<'a> {
    plan: &'a Plan,
    catalogue: &'a Catalogue,
    solver: &'a Solver,
    crossing: &'a Crossing,
    /// Height and place of the sending edge, and the way over: +1 from A to B.
    from: [f64; 2],
    way: f64,
    span_m: f64,
    rise_m: f64,
}

impl Gap<'_> {
    fn line(&self, item: &Item, times: f64) -> Option<Strung> {
        let law = item.law()?;
        let wet = if self.crossing.wet { wet_over_dry(item.fibre) } else { 1.0 };
        let width = item.width.or(item.diameter).map_or(0.0, Quantity::si);
        let speed = gust_m_s(self.plan, self.crossing.wind.si());
        Some(Strung {
            weight_n_per_m: times * wet * item.mass_per_m() * G,
            law,
            wind_n_per_m: line_drag_n_per_m(speed, times * width),
        })
    }

    /// The line of a stage by the metre, and in words.
    fn strung(&self, stage: &Stage) -> Option<(Strung, String)> {
        match &stage.carried {
            Carried::Part(p) => {
                let item = self.catalogue.get(&p.item)?;
                Some((self.line(item, 1.0)?, item.title.clone()))
            }
            Carried::Runs(runs) => {
                let mut whole: Option<Strung> = None;
                for run in runs {
                    let times = match self.plan.runs.get(run)?.role {
                        Role::Backup { .. } => 1.0 + self.solver.rig.backup.as_ref().map_or(0.0, |b| b.excess),
                        _ => 1.0,
                    };
                    // Of its segments the heaviest.
                    let parts = self.plan.runs.get(run)?.parts.iter().filter_map(|p| self.catalogue.get(&p.item));
                    let soft = parts.filter(|i| i.class.is_soft());
                    let item = soft.max_by(|a, b| a.mass_per_m().total_cmp(&b.mass_per_m()))?;
                    let line = self.line(item, times)?;
                    whole = Some(match whole {
                        None => line,
                        Some(w) => Strung {
                            weight_n_per_m: w.weight_n_per_m + line.weight_n_per_m,
                            wind_n_per_m: w.wind_n_per_m + line.wind_n_per_m,
                            // The first carries both.
                            law: w.law,
                        },
                    });
                }
                Some((whole?, runs.join(" and ")))
            }
        }
    }

    /// Ground and obstacles, from the sending edge on.
    fn below(&self) -> Vec<Below> {
        let to = |x: f64, z: f64| [self.way * (x - self.from[0]), z - self.from[1]];
        let site = &self.plan.site;
        let turned = |mut p: Vec<[f64; 2]>| {
            p.sort_by(|a, b| a[0].total_cmp(&b[0]));
            p
        };
        let lips = self.crossing.lips.si().min(0.45 * self.span_m);
        let mut out = Vec::new();
        if site.ground.len() > 1 {
            out.push(Below {
                profile_m: turned(site.ground.iter().map(|(x, z)| to(x.si(), z.si())).collect()),
                between_m: [lips, self.span_m - lips],
            });
        }
        for o in site.obstacles.values() {
            out.push(Below {
                profile_m: turned(vec![to(o.from.si(), o.top.si()), to(o.to.si(), o.top.si())]),
                between_m: [0.0, self.span_m],
            });
        }
        out
    }

    /// Along the gap from A, m.
    fn x_m(&self, along_m: f64) -> f64 {
        self.from[0] + self.way * along_m
    }

    fn hung(&self, carry: &Carry, share: f64, below: &[Below]) -> Result<Hung, String> {
        match self.crossing.held {
            Held::Sag(m) => carry
                .hung(share, HeldBy::Drop(m.si()))
                .map_err(|_| format!("no pull holds it at a sag of {:.1} m", m.si())),
            Held::Clear(_) if below.is_empty() => Err("the plan has no ground and no obstacle to clear".to_owned()),
            Held::Clear(m) => {
                carry.clearing(share, m.si(), below, [2e-3 * self.span_m, DEEPEST * self.span_m]).ok_or_else(|| {
                    let at = self.highest_m(below);
                    format!(
                        "no pull keeps it {:.1} m over what lies below, which stands highest at {at:.1} m from A",
                        m.si()
                    )
                })
            }
            Held::Brake(n) => carry.hung(share, HeldBy::Pull(n.si())).map_err(|least| {
                least.map_or("it cannot hang so".to_owned(), |least| {
                    format!(
                        "{:.2} kN cannot hold it: {:.2} kN is the least that it hangs with",
                        n.si() / 1e3,
                        least / 1e3
                    )
                })
            }),
        }
    }

    /// The sag that keeps a stage as high as is asked for, all the way, where it comes lower; m.
    fn sag_that_clears(&self, carry: &Carry, below: &[Below], ways: &[Way]) -> Option<f64> {
        let low = |w: &&Way| w.height_m.is_some_and(|h| h < w.needed_m);
        let needed_m = ways.iter().filter(low).map(|w| w.needed_m).reduce(f64::max)?;
        let range = [2e-3 * self.span_m, DEEPEST * self.span_m];
        ways.iter().try_fold(f64::INFINITY, |least, w| {
            Some(least.min(carry.clearing(w.share, needed_m, below, range)?.lowest.1))
        })
    }

    /// Where what lies below stands highest against the straight line between the edges, along the gap from A, m.
    fn highest_m(&self, below: &[Below]) -> f64 {
        let corners =
            below.iter().flat_map(|b| b.profile_m.iter().filter(|p| p[0] >= b.between_m[0] && p[0] <= b.between_m[1]));
        let over = |p: &[f64; 2]| p[1] - self.rise_m * p[0] / self.span_m;
        self.x_m(corners.max_by(|p, q| over(p).total_cmp(&over(q))).map_or(0.0, |p| p[0]))
    }

    fn look(&self, carry: &Carry, share: f64, below: &[Below]) -> Result<Way, String> {
        let hung = self.hung(carry, share, below)?;
        let receiving = usize::from(self.crossing.sends == Side::A);
        let high = self.crossing.edges[receiving].friction().high;
        let over = capstan(high, hung.angle_rad(1));
        let windy = if carry.pulled.wind_n_per_m > 0.0 { carry.in_wind(&hung).map(|w| w.0) } else { None };
        let least = hung.least_over(below);
        let sending_n = hung.edge_n(0).max(windy.map_or(0.0, |w| w[0]));
        let low = self.crossing.edges[1 - receiving].friction().low;
        Ok(Way {
            share,
            sending_n,
            brake_n: sending_n / capstan(low, hung.angle_rad(0)),
            needed_m: self.plan.factors.clearance.needed_m(hung.lowest.1),
            receiving_n: hung.edge_n(1),
            hands_n: hung.edge_n(1) * over,
            hands_windy_n: windy.map_or(0.0, |w| w[1]) * over,
            sag_m: hung.lowest.1,
            joint_m: [self.x_m(hung.joint.x), self.from[1] + hung.joint.z],
            height_m: least.map(|l| l.height_m),
            height_at_m: self.x_m(least.map_or(0.0, |l| l.x_m)),
            shape_m: hung.shape(SHAPE).into_iter().map(|p| [self.x_m(p.x), self.from[1] + p.z]).collect(),
            certified: carry.holds(&hung) && (carry.pulled.wind_n_per_m <= 0.0 || windy.is_some()),
        })
    }

    /// A stage on its way: at set shares, and between them where the hands pull hardest and where it hangs lowest.
    fn ways(&self, carry: &Carry, below: &[Below], whole: bool) -> Result<Vec<Way>, String> {
        let shares: &[f64] = if whole { &SHARES } else { &SHARES[SHARES.len() - 1..] };
        let mut ways = Vec::new();
        for &share in shares {
            ways.push(self.look(carry, share, below)?);
        }
        let pulled = |w: &Way| -w.most_n();
        let high = |w: &Way| w.height_m.unwrap_or(f64::INFINITY);
        for of in [&pulled as &dyn Fn(&Way) -> f64, &high] {
            if ways.len() < 3 {
                break;
            }
            let Some(k) = (0..ways.len()).min_by(|a, b| of(&ways[*a]).total_cmp(&of(&ways[*b]))) else { break };
            let (from, to) = (ways[k.saturating_sub(1)].share, ways[(k + 1).min(ways.len() - 1)].share);
            for n in 1..=BETWEEN {
                let share = from + (to - from) * n as f64 / (BETWEEN + 1) as f64;
                ways.push(self.look(carry, share, below)?);
            }
            ways.sort_by(|a, b| a.share.total_cmp(&b.share));
        }
        Ok(ways)
    }
}

/// Works a plan's crossing out; nothing when the plan has none, or its line has no law.
#[must_use]
pub(super) fn over(plan: &Plan, catalogue: &Catalogue, solver: &Solver) -> Option<Over> {
    let crossing = plan.crossing.as_ref()?;
    let rig = &solver.rig;
    let ends = rig.line.ends.map(|p| rig.spots[p].place);
    let sends = usize::from(crossing.sends == Side::B);
    let (from, to) = (ends[sends], ends[1 - sends]);
    let gap = Gap {
        plan,
        catalogue,
        solver,
        crossing,
        from: [from.x, from.z],
        way: if sends == 0 { 1.0 } else { -1.0 },
        span_m: (to - from).truncate().length(),
        rise_m: to.z - from.z,
    };
    let below = gap.below();
    let advantage = crossing.set.as_ref().and_then(|s| s.advantage(catalogue));
    let people = |n: f64| people(n, crossing.each.si());
    let ring_kg = catalogue.get("leash-ring").and_then(|i| i.mass).map_or(RING_KG, Quantity::si);
    let mut stages: Vec<StageOver> = Vec::new();
    let mut before: Option<Strung> = None;
    let mut last: Option<(Carry, Strung)> = None;
    for (k, stage) in crossing.stages.iter().enumerate() {
        let Some((line, words)) = gap.strung(stage) else {
            stages.push(StageOver {
                name: stage.name.clone(),
                line: String::new(),
                pulled_by: None,
                weight_n_per_m: 0.0,
                ways: Vec::new(),
                people: 0,
                with_set: None,
                sag_would_do_m: None,
                fault: Some("its line has no stretch and no rating".to_owned()),
            });
            before = None;
            continue;
        };
        let joint_kg = stage.joint.as_ref().and_then(|j| catalogue.get(j)?.mass).map_or(0.0, Quantity::si);
        let carry = Carry {
            span_m: gap.span_m,
            rise_m: gap.rise_m,
            pulled: line.clone(),
            pulling: before.clone().unwrap_or_else(|| line.clone()),
            joint_n: (joint_kg + stage.rings as f64 * ring_kg + stage.extra.si()) * G,
        };
        // The first is there at once; what a pull brings over is looked at all the way.
        let (ways, fault) = match gap.ways(&carry, &below, before.is_some() && k > 0) {
            Ok(w) => (w, None),
            Err(why) => (Vec::new(), Some(why)),
        };
        let hands = ways.iter().map(Way::most_n).fold(0.0, f64::max);
        stages.push(StageOver {
            name: stage.name.clone(),
            line: words,
            pulled_by: (k > 0).then(|| crossing.stages[k - 1].name.clone()),
            weight_n_per_m: line.weight_n_per_m,
            people: people(hands),
            with_set: advantage.map(|a| people(hands / a)),
            sag_would_do_m: gap.sag_that_clears(&carry, &below, &ways),
            ways,
            fault,
        });
        before = Some(line.clone());
        last = Some((carry, line));
    }
    let (carry, line) = last?;
    let sending = crossing.edges[sends].friction();
    let receiving = crossing.edges[1 - sends].friction();
    let at = |share: f64| gap.hung(&carry, share, &below).ok();
    let whole = at(1.0);
    let final_ways = stages.last().map(|s| s.ways.as_slice()).unwrap_or_default();
    let brake_n = final_ways.iter().map(|w| w.brake_n).fold(0.0, f64::max);
    let turn = std::f64::consts::TAU;
    let brake = crossing.brake.as_ref();
    let low = brake.map_or(crate::catalogue::Surface::Steel, |b| b.on).friction().low;
    // Between A and B, whoever sends: the tension that the plan says of the line is at A.
    let from_a = Carry {
        rise_m: if sends == 0 { gap.rise_m } else { -gap.rise_m },
        pulled: line.clone(),
        pulling: line,
        joint_n: 0.0,
        span_m: gap.span_m,
    };
    let as_seen = Gap { from: [ends[0].x, ends[0].z], way: 1.0, ..gap };
    let below_a = as_seen.below();
    let hand_n = crossing.half_rigged.si();
    let (tension_n, possible, hand) = match from_a.hung(1.0, HeldBy::Pull(hand_n)) {
        Ok(h) => (hand_n, true, Some(h)),
        Err(Some(least)) => (least, false, from_a.hung(1.0, HeldBy::Pull(1.000_01 * least)).ok()),
        Err(None) => (hand_n, false, None),
    };
    let standing_n = solver.standing.case.line_tension_n(&solver.standing.solution)[0];
    let standing = from_a.hung(1.0, HeldBy::Pull(standing_n)).ok();
    let unstretched = |h: &Option<Hung>| h.as_ref().map(|h| h.lengths_m[0]);
    let let_out = |to: Option<f64>| to.zip(unstretched(&standing)).map_or(0.0, |(a, b)| (a - b).max(0.0));
    let half_rigged = hand.as_ref().map(|h| {
        let least = h.least_over(&below_a);
        let needed = |sag_m: f64| plan.factors.clearance.needed_m(sag_m);
        let low = least.is_some_and(|l| l.height_m < needed(h.lowest.1));
        // Less sag, until it clears what is asked for, and no less than it stands with.
        let clears = |m: f64| {
            let hung = from_a.hung(1.0, HeldBy::Drop(m)).ok()?;
            Some(hung.least_over(&below_a)?.height_m - needed(m))
        };
        let tautest = standing.as_ref().filter(|_| low).map(|s| s.lowest.1);
        let would_do_n = tautest.and_then(|taut| match bracketed(taut, h.lowest.1, 1e-3, 1e-3, clears) {
            Root::At(m) => Some(from_a.hung(1.0, HeldBy::Drop(m)).ok()?.edge_n(0)),
            Root::OutOfReach(..) | Root::NoValue => None,
        });
        HalfRigged {
            would_do_n,
            tension_n,
            possible,
            sag_m: h.lowest.1,
            height_m: least.map(|l| l.height_m),
            needed_m: plan.factors.clearance.needed_m(h.lowest.1),
            height_at_m: as_seen.x_m(least.map_or(0.0, |l| l.x_m)),
        }
    });
    Some(Over {
        sends: crossing.sends,
        brake_n,
        brake_hand_n: brake.map(|b| JERK * brake_n / capstan(low, turn * b.turns)),
        turns_wanted: (JERK * brake_n / AT_HAND_N).max(1.0).ln() / (low * turn),
        let_out_m: whole.as_ref().map_or(0.0, |h| h.lengths_m[0] + 2.0 * BEYOND_M),
        pulling_m: at(SHARES[0]).map_or(0.0, |h| h.lengths_m[1] + 2.0 * BEYOND_M),
        half_rigged,
        release_m: [let_out(unstretched(&hand)), let_out(unstretched(&whole))],
        release_n: OVER_STANDING * standing_n,
        down_n: whole.as_ref().map_or([0.0; 2], |h| [h.hauled_n(0, sending.high), h.braked_n(1, receiving.low)]),
        stages,
    })
}
