//! A friend's figures beside ours: which agree, which do not, on which side, and the slip that would explain it.

use schemars::JsonSchema;
use serde::Serialize;

use super::case::{Case, Class};
use super::hold::hold_strength;
use super::pulling::hung_per_m;
use super::rescue::On;
use super::row::{Lowest, Place, Row};
use super::situation::Situation;
use super::solve::Solved;
use super::verdict::Verdict;
use super::work::Work;
use crate::inventory::webbing_days;
use crate::mechanics::G;
use crate::mechanics::gauge::pulse_s;
use crate::plan::claims::{Claim, Figure};
use crate::plan::{Hold, PointKind, Role, Side};
use crate::units::{Dim, Quantity, System, show};

/// How near two figures of a kind are to be called the same: a share of ours, of the sag with a walker for heights, and no less
/// than so much.
fn near(of: &Figure, ours: f64, sag_m: f64) -> f64 {
    let (share, least) = match of {
        Figure::FeetHanging | Figure::FeetFallen | Figure::FeetCaught | Figure::Clear(_) => {
            return (0.1 * sag_m.abs()).max(0.5);
        }
        Figure::Share(_) => (0.0, 0.05),
        Figure::Rescue => (0.1, 0.0),
        _ if of.dim() == Some(Dim::Length) => {
            (0.02, if matches!(of, Figure::Sag | Figure::SagWalker) { 0.0 } else { 0.2 })
        }
        _ => (0.05, 0.0),
    };
    (share * ours.abs()).max(least)
}

/// How a claim stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Stands {
    /// As near as figures of its kind are.
    Agrees,
    /// Off, on the side that does no harm.
    Cautious,
    /// Off, on the side that flatters the rig.
    Flatters,
    /// The review has no such figure.
    Unworkable,
}

/// A claim beside our figure.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Claimed {
    /// Of which figure, in words.
    pub what: String,
    /// What they say, SI.
    pub says: f64,
    /// Our figure, SI; null where there is none.
    pub ours: Option<f64>,
    /// How near they have to be, SI.
    pub within: f64,
    /// How it stands.
    pub stands: Stands,
    /// The slip that would explain it.
    pub slip: Option<String>,
    /// Whether ours makes the piece that it speaks of fall short.
    pub matters: bool,
    /// Where it is from.
    pub by: String,
    /// What it is measured in.
    #[serde(skip)]
    pub dim: Option<Dim>,
}

/// A time from so much on is told in minutes, s.
const MINUTES_S: f64 = 120.0;

impl Claimed {
    /// A figure of it with its unit.
    #[must_use]
    pub fn figure(&self, n: f64, system: System) -> String {
        match self.dim {
            None => format!("{n:.1}"),
            Some(Dim::Time) if n >= MINUTES_S => format!("{:.1} min", n / 60.0),
            Some(dim) => show(dim, n, system),
        }
    }
}

/// Ours, the slips that a rigger makes on the way to it, and the rows that it speaks of.
struct Ours<'a> {
    figure: Option<f64>,
    slips: Vec<(f64, String)>,
    rows: Vec<&'a Row>,
}

/// What a unit taken for another makes of a force.
const UNITS: [(f64, &str); 5] = [
    (10.0, "daN written as kN"),
    (0.1, "kN written as daN"),
    (0.224_809, "thousands of pounds-force written as kN"),
    (9.806_65, "kilograms-force written as newtons"),
    (0.101_972, "newtons written as kilograms-force"),
];

impl Work<'_> {
    /// The plan's claims, each beside our own figure.
    pub(super) fn claimed(&self, rows: &[Row]) -> Vec<Claimed> {
        self.plan.claims.iter().map(|c| self.beside(c, rows)).collect()
    }

    fn beside(&self, claim: &Claim, rows: &[Row]) -> Claimed {
        let ours = self.ours(&claim.what, rows);
        let sag_m = self.line().sag_walker_m;
        let sag_m = if sag_m.is_finite() { sag_m } else { 0.0 };
        let within = ours.figure.map_or(0.0, |n| near(&claim.what, n, sag_m));
        let fits = |n: f64| (claim.says - n).abs() <= near(&claim.what, n, sag_m).max(1e-12);
        let stands = match ours.figure {
            None => Stands::Unworkable,
            Some(n) if fits(n) => Stands::Agrees,
            Some(_) if claim.what.flatters_either_way() => Stands::Flatters,
            Some(n) if (claim.says > n) == claim.what.flatters_when_more() => Stands::Flatters,
            Some(_) => Stands::Cautious,
        };
        let off = matches!(stands, Stands::Flatters | Stands::Cautious);
        let slip = if off { ours.slips.into_iter().find(|(n, _)| fits(*n)).map(|s| s.1) } else { None };
        Claimed {
            what: claim.what.words(),
            says: claim.says,
            ours: ours.figure,
            within,
            stands,
            slip,
            matters: ours.rows.iter().any(|r| r.verdict != Verdict::Meets),
            by: claim.by.clone(),
            dim: claim.what.dim(),
        }
    }

    /// Height of the line over ground and obstacles with the heaviest walker at a share of it.
    fn clear<'a>(&self, at: f64) -> Ours<'a> {
        let case = Case::walker(self.plan, at.clamp(0.01, 0.99));
        let solved = self.solver.clone().solve(&case).ok().flatten().filter(Solved::certified);
        let under = |x_m: f64| self.body_ground.top_at(x_m).map(|top| top.0);
        let place = solved.and_then(|s| Some(s.solution.places[*s.net.walkers.first()?]));
        let ours = place.and_then(|p| Some((p.z, p.z - under(p.x)?)));
        let mut slips = Vec::new();
        if let Some((z, _)) = ours {
            slips.push((z, "height over A, not over the ground".to_owned()));
            slips.push((-z, "depth below A, not height over the ground".to_owned()));
        }
        let [a, b] = self.solver.rig.line.ends.map(|e| self.solver.standing.solution.places[e]);
        let straight = a.lerp(b, at);
        slips.extend(under(straight.x).map(|u| (straight.z - u, "of the straight line, without its sag".to_owned())));
        Ours { figure: ours.map(|o| o.1), slips, rows: Vec::new() }
    }

    fn ours<'a>(&self, what: &Figure, rows: &'a [Row]) -> Ours<'a> {
        let rig = &self.solver.rig;
        let line = self.line();
        let span = self.plan.site.span.si();
        let of = |place: &dyn Fn(&Place) -> bool| rows.iter().filter(|r| place(&r.place)).collect::<Vec<&Row>>();
        let run = |name: &str, class: Class| {
            let mine = of(&|p| matches!(p, Place::Part(n, _) if n == name));
            mine.into_iter().filter(|r| r.class == class).collect::<Vec<&Row>>()
        };
        let plain = |figure: Option<f64>| Ours { figure, slips: Vec::new(), rows: Vec::new() };
        let most = |rows: Vec<&'a Row>| {
            let figure = rows.iter().map(|r| r.demand_n).reduce(f64::max);
            let mut slips: Vec<(f64, String)> = Vec::new();
            if let Some(n) = figure {
                slips.push((2.0 * n, "both strands counted for one".to_owned()));
                slips.push((0.5 * n, "one strand of two".to_owned()));
                slips.extend(UNITS.map(|(times, words)| (n * times, words.to_owned())));
            }
            Ours { figure, slips, rows }
        };
        let height = |lowest: Lowest| {
            let rows = of(&|p| *p == Place::Height(lowest));
            let found = rows.iter().filter_map(|r| Some((r.height.as_ref()?.found_m(), r.height.as_ref()?.low_m)));
            let least = found.min_by(|a, b| a.0.total_cmp(&b.0));
            let body = self.plan.people.body_below.si();
            let mut slips = Vec::new();
            if let Some((found, low)) = least {
                slips.push((found + body, "to the tie-in, not to the feet".to_owned()));
                slips.push((low, "height over A, not over the ground".to_owned()));
                slips.push((-low, "depth below A, not height over the ground".to_owned()));
            }
            Ours { figure: least.map(|l| l.0), slips, rows }
        };
        match what {
            Figure::Standing(side) => plain(Some(line.standing_n[usize::from(*side == Side::B)])),
            Figure::Walking(name) => {
                let mut ours = most(run(name, Class::Working));
                let main = self.plan.runs.get(name).is_some_and(|r| r.role == Role::Main);
                if main && line.sag_walker_m > 0.0 {
                    // T = W L / 4 s, with a slack line that weighs nothing.
                    for kg in self.plan.people.walkers.iter().map(|m| m.si()) {
                        ours.slips.push((
                            kg * G * span / (4.0 * line.sag_walker_m),
                            format!("a walker of {kg:.0} kg who stands still, the line's own weight left out"),
                        ));
                    }
                }
                ours
            }
            Figure::Falling(name) => most(run(name, Class::Fall)),
            Figure::Failing(name) => most(run(name, Class::Failure)),
            Figure::Sag => {
                let mut ours = plain(Some(line.sag_standing_m));
                ours.slips.push((line.sag_walker_m, "with a walker in the middle".to_owned()));
                ours
            }
            Figure::SagWalker => {
                let mut ours = plain(Some(line.sag_walker_m));
                let feet = line.sag_walker_m + self.body().under_ring_m();
                ours.slips.push((line.sag_standing_m, "with nobody on it".to_owned()));
                ours.slips.push((feet, "read to the feet of somebody who hangs, not to the rings".to_owned()));
                ours
            }
            Figure::Pulse => {
                let mean = 0.5 * (line.standing_n[0] + line.standing_n[1]);
                let ours = pulse_s(line.unstretched_m, hung_per_m(rig), mean);
                let alone = rig.line.elements.iter().map(|e| e.mass_per_m).fold(0.0, f64::max);
                let bare = pulse_s(line.unstretched_m, alone, mean);
                let slips = vec![
                    (
                        0.5 * ours,
                        "one way, not there and back: tuned to it the line stands four times as tight".to_owned(),
                    ),
                    (10.0 * ours, "ten returns".to_owned()),
                    (bare, "the backup's weight left out".to_owned()),
                ];
                Ours { figure: Some(ours), slips, rows: Vec::new() }
            }
            Figure::Length(name) => {
                let Some(index) = self.plan.runs.get_index_of(name) else { return plain(None) };
                let articles = rig.articles(&self.solver.standing.lengths);
                let sum = |run: usize| {
                    let of = articles.iter().filter(|a| a.run == run);
                    of.map(|a| a.length_m).reduce(|x, y| x + y)
                };
                let mut ours = plain(sum(index));
                ours.slips.push((span, "the span".to_owned()));
                if let (Some(b), Some(main)) = (&rig.backup, sum(rig.line.run))
                    && b.run == index
                {
                    ours.slips.push((main, "as long as the main line: the excess left out".to_owned()));
                    ours.slips.push((
                        (1.0 + b.excess) * span,
                        "the span and its excess, not the line's length and its excess".to_owned(),
                    ));
                }
                ours
            }
            Figure::Excess => plain(rig.backup.as_ref().map(|b| b.excess)),
            Figure::Holds(point) => {
                let rows = of(&|p| matches!(p, Place::Anchor(n) if n == point));
                let hold = self.plan.points.get(point).and_then(|p| match &p.kind {
                    PointKind::Fixed { by, .. } => Some((by, p.side)),
                    PointKind::Free { .. } => None,
                });
                let Some((by, side)) = hold else { return plain(None) };
                let way = if side == Side::A { glam::DVec3::X } else { glam::DVec3::NEG_X };
                let least = rows.iter().filter_map(|r| r.strength.counts_n()).reduce(f64::min);
                let figure = least.or_else(|| hold_strength(by, way * 1e3, self.catalogue).counts_n());
                let mut slips = Vec::new();
                if let Hold::Boulder(b) | Hold::Vehicle(b) | Hold::Thread(b) | Hold::Deadman(b) = by
                    && let (Some(m), Some(mu)) = (b.mass, b.friction)
                {
                    slips.push((mu * m.si() * G, "its slope left out".to_owned()));
                    slips.push((m.si() * G, "its weight, friction left out".to_owned()));
                }
                if let Some(n) = figure {
                    slips.push((2.0 * n, "two that share counted for one".to_owned()));
                    slips.extend(UNITS.map(|(times, words)| (n * times, words.to_owned())));
                }
                Ours { figure, slips, rows }
            }
            Figure::Share(leg) => {
                let Some(i) = rig.run_names.iter().position(|n| n == leg) else { return plain(None) };
                let carries = &self
                    .cases
                    .iter()
                    .find(|c| c.case.situation == Situation::STANDING)
                    .map(|c| c.response.run_n.clone())
                    .unwrap_or_default();
                let anchor = self.solver.anchors().into_iter().find(|(_, legs)| legs.contains(&i));
                let Some((_, legs)) = anchor else { return plain(None) };
                let all: f64 = legs.iter().filter_map(|&k| carries.get(k)).sum();
                let mine = carries.get(i).copied();
                let mut ours = plain(mine.filter(|_| all > 0.0).map(|n| n / all));
                ours.slips.push((
                    1.0 / legs.len() as f64,
                    "an even share: legs of unequal length do not share evenly".to_owned(),
                ));
                ours.rows = of(&|p| matches!(p, Place::Part(n, _) if n == leg));
                ours
            }
            Figure::Factor(name) => {
                let rows = of(&|p| p.name() == name);
                let figure = rows.iter().map(|r| r.factor).reduce(f64::min);
                let rated = rows.iter().filter(|r| !r.strength.steps.is_empty() && r.demand_n > 0.0);
                let slips = rated
                    .map(|r| {
                        (r.strength.nominal_n / r.demand_n, "by the average, not by the least that it keeps".to_owned())
                    })
                    .collect();
                Ours { figure, slips, rows }
            }
            Figure::Clear(at) => self.clear(*at),
            Figure::BodyFallen | Figure::BodyCaught => {
                let class = if *what == Figure::BodyFallen { Class::Fall } else { Class::Failure };
                let incidents = self.incidents.iter().filter(|i| i.event.class == class && i.fault.is_none());
                let most = incidents.map(|i| i.peaks.body_n).reduce(f64::max).filter(|n| *n > 0.0);
                let mut ours = plain(most);
                if let Some(n) = most {
                    ours.slips.extend(UNITS.map(|(times, words)| (n * times, words.to_owned())));
                }
                ours
            }
            Figure::Days(name) => {
                let run = self.plan.runs.get(name);
                let soft = run.into_iter().flat_map(|r| &r.parts).filter_map(|p| self.catalogue.get(&p.item));
                plain(soft.filter_map(|i| webbing_days(i)).map(|d| d as f64).reduce(f64::min))
            }
            Figure::FeetHanging => height(Lowest::Hanging),
            Figure::FeetFallen => height(Lowest::Fallen),
            Figure::FeetCaught => height(Lowest::Caught),
            Figure::Pull(stage) => {
                let of = self.over.iter().flat_map(|o| &o.stages).find(|s| s.name == *stage);
                let hardest = of.and_then(|s| s.hardest());
                let mut ours = plain(hardest.map(super::over::Way::most_n));
                if let Some(w) = hardest {
                    ours.slips.push((w.receiving_n, "before the edge: its friction left out".to_owned()));
                }
                ours
            }
            Figure::TowRope => {
                let Some(plan) = &self.plan.rescue else { return plain(None) };
                let kept = plan.ropes.iter().map(|t| t.kept.si()).fold(0.0, f64::max);
                let ways = self
                    .rescued
                    .iter()
                    .flat_map(|r| &r.places)
                    .filter_map(|p| p.towed.iter().map(|t| t.way_m).reduce(f64::min));
                let longest = ways.reduce(f64::max);
                let mut ours = plain(longest.map(|m| m + kept));
                ours.slips.push((span, "the span".to_owned()));
                ours.slips.push((0.5 * span, "half the span".to_owned()));
                if let Some(m) = longest {
                    ours.slips.push((m, "what stays at the edge left out".to_owned()));
                }
                ours
            }
            Figure::Rescue => {
                let (Some(plan), Some(all)) = (&self.plan.rescue, &self.rescued) else { return plain(None) };
                let longest = all.on(On::Main).filter_map(|p| p.soonest(all.hands)).map(|t| t.total_s).reduce(f64::max);
                let t = plan.times;
                let mut ours = plain(longest);
                if let Some(s) = longest {
                    ours.slips.push((s - t.alarm_s - t.kit_s, "alarm and kit left out".to_owned()));
                    ours.slips.push((s - t.pick_up_s - t.over_s, "pick-up and edge left out".to_owned()));
                    let moving = s - t.alarm_s - t.kit_s - t.pick_up_s - t.over_s;
                    ours.slips.push((s - moving, "the way out and back left out".to_owned()));
                }
                ours
            }
        }
    }
}
