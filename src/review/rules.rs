//! Rules of review: what a seasoned rigger would say on reading the plan.

use std::collections::{BTreeMap, BTreeSet};

use super::reviewing::{Place, Row, Strengths, neighbours};
use super::solve::Solved;
use super::strength::{FULL_BURY, LEAST_BURY};
use crate::catalogue::{Catalogue, Class as ItemClass, Fibre, Item};
use crate::plan::{
    Connected, Declared, EndKind, Hitch, Hold, Plan, PointKind, Role, Run, Side, SpliceStyle,
};
use crate::rig::Rig;
use crate::units::{Dim, Quantity, System, show};

/// How grave a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gravity {
    /// Worth knowing.
    Note,
    /// Worth mending.
    Caution,
    /// Do not go out with it.
    Stop,
}

impl Gravity {
    /// As written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Caution => "caution",
            Self::Stop => "stop",
        }
    }
}

/// One rule.
pub struct Rule {
    /// Its name.
    pub id: &'static str,
    /// How grave.
    pub gravity: Gravity,
    /// When it fires.
    pub when: &'static str,
    /// Why it matters.
    pub why: &'static str,
    /// What mends it.
    pub remedy: &'static str,
    /// Where it comes from.
    pub source: &'static str,
    check: fn(&Context<'_>, &mut Report<'_>),
}

impl std::fmt::Debug for Rule {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Rule({})", self.id)
    }
}

/// What a rule has to say of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// The rule.
    pub rule: &'static str,
    /// How grave.
    pub gravity: Gravity,
    /// What it is about: a point, a run, “run, part 2”; empty for the whole plan.
    pub at: String,
    /// With the plan's own numbers.
    pub text: String,
    /// Why it matters.
    pub why: &'static str,
    /// What mends it.
    pub remedy: &'static str,
    /// The reason for which the plan sets it aside.
    pub set_aside: Option<String>,
}

/// What rules look at.
pub(super) struct Context<'a> {
    pub(super) plan: &'a Plan,
    pub(super) catalogue: &'a Catalogue,
    pub(super) rig: &'a Rig,
    pub(super) anchors: Vec<(usize, Vec<usize>)>,
    pub(super) cases: &'a [Solved],
    pub(super) rows: &'a [Row],
    pub(super) strengths: &'a Strengths,
}

struct Report<'a> {
    rule: &'a Rule,
    out: &'a mut Vec<Finding>,
}

impl Report<'_> {
    fn say(&mut self, at: impl Into<String>, text: impl Into<String>) {
        self.out.push(Finding {
            rule: self.rule.id,
            gravity: self.rule.gravity,
            at: at.into(),
            text: text.into(),
            why: self.rule.why,
            remedy: self.rule.remedy,
            set_aside: None,
        });
    }
}

/// All that the rules have to say, gravest first.
pub(super) fn findings(c: &Context<'_>) -> Vec<Finding> {
    let mut out = Vec::new();
    for rule in RULES {
        (rule.check)(
            c,
            &mut Report {
                rule,
                out: &mut out,
            },
        );
    }
    for f in &mut out {
        if let Some(reason) = c.plan.set_aside.get(f.rule) {
            f.set_aside = Some(reason.clone());
            f.gravity = Gravity::Note;
        }
    }
    out.sort_by_key(|f| std::cmp::Reverse(f.gravity));
    out.dedup_by(|a, b| a.rule == b.rule && a.at == b.at && a.text == b.text);
    out
}

impl Context<'_> {
    fn runs(&self) -> impl Iterator<Item = (usize, &str, &Run)> {
        self.plan
            .runs
            .iter()
            .enumerate()
            .map(|(i, (n, r))| (i, n.as_str(), r))
    }

    fn item(&self, id: &str) -> Option<&Item> {
        self.catalogue.get(id).map(std::convert::AsRef::as_ref)
    }

    /// Every part of every run that carries: run's number and name, part's number, part, item.
    fn parts(&self) -> impl Iterator<Item = (usize, &str, usize, &crate::plan::Part, &Item)> {
        self.runs()
            .filter(|(_, _, r)| !matches!(r.role, Role::Leash | Role::Tensioning))
            .flat_map(|(i, n, r)| r.parts.iter().enumerate().map(move |(k, p)| (i, n, k, p)))
            .filter_map(|(i, n, k, p)| Some((i, n, k, p, self.item(&p.item)?)))
    }

    fn soft(&self, role: impl Fn(&Role) -> bool) -> Option<&Item> {
        let (_, _, run) = self.runs().find(|(_, _, r)| role(&r.role))?;
        run.parts
            .iter()
            .filter_map(|p| self.item(&p.item))
            .find(|i| i.class.is_soft())
    }

    fn main_item(&self) -> Option<&Item> {
        self.soft(|r| *r == Role::Main)
    }

    fn backup_item(&self) -> Option<&Item> {
        self.soft(|r| matches!(r, Role::Backup { .. }))
    }

    fn span_m(&self) -> f64 {
        self.plan.site.span.si()
    }

    /// Height of the line's chord above the ground at its highest, m.
    fn height_m(&self) -> Option<f64> {
        let rise = self.plan.site.height_difference.si() / self.span_m();
        self.plan
            .site
            .ground
            .iter()
            .map(|(x, z)| rise * x.si() - z.si())
            .max_by(f64::total_cmp)
    }
}

fn at_part(run: &str, part: usize) -> String {
    Place::Part(run.to_owned(), part + 1).to_string()
}

fn kn(n: f64) -> String {
    show(Dim::Force, n, System::Si)
}

fn m(v: f64) -> String {
    show(Dim::Length, v, System::Si)
}

fn declared(c: &Context<'_>, r: &mut Report<'_>, key: &str, what: &str) {
    match c.plan.declared.get(key) {
        Some(Declared::Yes(_)) => {}
        Some(Declared::No(words)) => r.say(
            "",
            format!(
                "{what}: declared “no”{}",
                if words.is_empty() {
                    String::new()
                } else {
                    format!(" ({words})")
                }
            ),
        ),
        Some(Declared::Unknown) | None => {
            r.say("", format!("{what}: not declared (declare “{key}”)"));
        }
    }
}

const PRACTICE: &str = "common practice, no source";

macro_rules! rule {
    ($id:literal, $gravity:ident, $when:literal, $why:literal, $remedy:literal, $source:expr, $check:expr) => {
        Rule {
            id: $id,
            gravity: Gravity::$gravity,
            when: $when,
            why: $why,
            remedy: $remedy,
            source: $source,
            check: $check,
        }
    };
}

/// Every rule.
pub const RULES: &[Rule] = &[
    rule!(
        "span-not-measured",
        Caution,
        "how the span was measured is not said",
        "every tension follows from it",
        "measure anchor to anchor; carry a tenth more line",
        PRACTICE,
        |c, r| {
            if c.plan.site.measured.is_empty() {
                r.say(
                    "",
                    format!(
                        "span {} and height difference {}: not said how they were measured",
                        m(c.span_m()),
                        m(c.plan.site.height_difference.si())
                    ),
                );
            }
        }
    ),
    rule!(
        "no-ground-profile",
        Stop,
        "the ground under the line is not given",
        "a fall may end on it",
        "give the ground profile along the line",
        PRACTICE,
        |c, r| {
            if c.plan.site.ground.is_empty() {
                r.say("", "no ground profile: clearance cannot be judged");
            }
        }
    ),
    rule!(
        "short-or-low",
        Caution,
        "a line under 10 m long or under 5 m high",
        "falls reach walls and ground before the line slows them",
        "another line",
        PRACTICE,
        |c, r| {
            if c.span_m() < 10.0 {
                r.say("", format!("the span is {}", m(c.span_m())));
            }
            if let Some(h) = c.height_m().filter(|h| *h < 5.0) {
                r.say("", format!("the line is at most {} above the ground", m(h)));
            }
        }
    ),
    rule!(
        "steep-line",
        Caution,
        "a slope over 8 %",
        "rings slide, loads differ between the sides",
        "level it, or know it",
        PRACTICE,
        |c, r| {
            let slope = (c.plan.site.height_difference.si() / c.span_m()).abs();
            if slope > 0.08 {
                r.say("", format!("the line slopes {:.0} %", 100.0 * slope));
            }
        }
    ),
    rule!(
        "too-few-anchors",
        Stop,
        "a side with a single anchor, or with fewer than three bolts and nothing else",
        "one failure is total",
        "add anchors",
        PRACTICE,
        |c, r| {
            for side in [Side::A, Side::B] {
                let used = |name: &str| {
                    c.plan
                        .runs
                        .values()
                        .any(|run| run.role == Role::Leg && run.path.iter().any(|p| p == name))
                };
                let holds: Vec<_> = c
                    .plan
                    .points
                    .iter()
                    .filter(|(n, p)| p.side == side && used(n))
                    .filter_map(|(_, p)| p.hold())
                    .filter(|h| !matches!(h, Hold::Edge { .. }))
                    .collect();
                let bolts = holds
                    .iter()
                    .filter(|h| matches!(h, Hold::Bolt { .. }))
                    .count();
                if holds.len() == 1 || (bolts == holds.len() && bolts > 0 && bolts < 3) {
                    r.say(
                        format!("{side:?}"),
                        format!(
                            "side {side:?} hangs on {} anchor{}",
                            holds.len(),
                            if holds.len() == 1 { "" } else { "s" }
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "main-and-backup-share",
        Stop,
        "main and backup end at one point or in one piece",
        "a hidden single point",
        "give the backup a master of its own",
        PRACTICE,
        |c, r| {
            let ends = |role: fn(&Role) -> bool| {
                c.runs()
                    .find(|(_, _, run)| role(&run.role))
                    .map(|(_, _, run)| run.path.clone())
                    .unwrap_or_default()
            };
            let main = ends(|r| *r == Role::Main);
            for p in ends(|r| matches!(r, Role::Backup { .. })) {
                if main.contains(&p) {
                    let hardware = c
                        .plan
                        .points
                        .get(&p)
                        .and_then(|p| p.hardware.clone())
                        .unwrap_or_else(|| "one point".to_owned());
                    r.say(
                        p.clone(),
                        format!("main and backup both end at {p} ({hardware})"),
                    );
                }
            }
        }
    ),
    rule!(
        "bolt-way-unknown",
        Caution,
        "the way a bolt points is not given",
        "bolts hold less when pulled out than when pulled across",
        "give the way it points",
        PRACTICE,
        |c, r| {
            for (name, p) in &c.plan.points {
                if matches!(p.hold(), Some(Hold::Bolt { faces: None, .. })) {
                    r.say(
                        name.clone(),
                        "the way the bolt points is not given; the worst angle is taken",
                    );
                }
            }
        }
    ),
    rule!(
        "bolt-pulled-out",
        Caution,
        "a bolt pulled more than 45° from across its axis",
        "15 kN along against 25 kN across",
        "redirect, or add bolts",
        "EN 959:2018 4.3.1, 4.3.2",
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let Some(Hold::Bolt { faces: Some(f), .. }) = p.hold() else {
                    continue;
                };
                let out = glam::DVec3::from_array(*f).normalize_or_zero();
                let worst = c
                    .cases
                    .iter()
                    .map(|s| -s.response.reactions[i])
                    .filter(|f| f.length() > 50.0)
                    .map(|f| (f.normalize().dot(out).asin().to_degrees(), f.length()))
                    .max_by(|a, b| a.0.total_cmp(&b.0));
                if let Some((angle, n)) = worst.filter(|w| w.0 > 45.0) {
                    r.say(
                        name.clone(),
                        format!("pulled {angle:.0}° out of its hole, with up to {}", kn(n)),
                    );
                }
            }
        }
    ),
    rule!(
        "bolts-too-close",
        Caution,
        "two bolts less than 150 mm apart",
        "their cones of rock overlap",
        "spread them",
        "rope access practice (EN 795); common practice",
        |c, r| {
            let bolts: Vec<_> = c
                .rig
                .spots
                .iter()
                .filter(|s| {
                    matches!(
                        c.plan.points.get(&s.name).and_then(|p| p.hold()),
                        Some(Hold::Bolt { .. })
                    )
                })
                .collect();
            for (i, a) in bolts.iter().enumerate() {
                for b in &bolts[..i] {
                    let d = a.place.distance(b.place);
                    if d < 0.15 {
                        r.say(a.name.clone(), format!("{} from {}", m(d), b.name));
                    }
                }
            }
        }
    ),
    rule!(
        "wide-legs",
        Caution,
        "an angle over 90° between two legs of an anchor",
        "each leg carries more than 0.7 of the pull, at 120° all of it",
        "longer legs",
        PRACTICE,
        |c, r| {
            for (p, legs) in &c.anchors {
                let at = c.rig.spots[*p].place;
                let ways: Vec<_> = legs
                    .iter()
                    .filter_map(|&l| {
                        let path = &c.rig.legs[l].path;
                        if path.len() > 2 {
                            return None;
                        }
                        let other = if path[0] == *p { path[1] } else { path[0] };
                        Some((
                            c.rig.legs[l].run,
                            (c.rig.spots[other].place - at).normalize_or_zero(),
                        ))
                    })
                    .collect();
                let mut worst = (0.0_f64, 0, 0);
                for (i, a) in ways.iter().enumerate() {
                    for b in &ways[..i] {
                        let angle = a.1.angle_between(b.1).to_degrees();
                        if angle > worst.0 {
                            worst = (angle, a.0, b.0);
                        }
                    }
                }
                if worst.0 > 90.0 {
                    r.say(
                        c.rig.spots[*p].name.clone(),
                        format!(
                            "{:.0}° between {} and {}",
                            worst.0, c.rig.run_names[worst.2], c.rig.run_names[worst.1]
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "uneven-legs",
        Caution,
        "legs of one anchor differ in stiffness by more than half, cut to fit",
        "the stiff one takes most",
        "legs of one length and kind, or adjust under load",
        PRACTICE,
        |c, r| {
            for (p, legs) in &c.anchors {
                let mut give: Vec<(f64, usize)> = legs
                    .iter()
                    .filter(|&&l| c.rig.legs[l].share.is_none())
                    .filter_map(|&l| {
                        let chain = c.rig.chain(l, 0.0, 0.0)?;
                        Some((
                            (chain.length(3000.0) - chain.slack_m()) / 3000.0,
                            c.rig.legs[l].run,
                        ))
                    })
                    .collect();
                give.sort_by(|a, b| a.0.total_cmp(&b.0));
                if let (Some(stiff), Some(soft)) = (give.first(), give.last())
                    && soft.0 > 1.5 * stiff.0
                {
                    r.say(
                        c.rig.spots[*p].name.clone(),
                        format!(
                            "{} is {:.1} times as stiff as {}",
                            c.rig.run_names[stiff.1],
                            soft.0 / stiff.0,
                            c.rig.run_names[soft.1]
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "poor-tree",
        Caution,
        "a tree under 40 cm thick, or slung above 1 m",
        "it may bend, overturn or be girdled",
        "a thicker tree, several, slung low, with a bark pad",
        "slackline associations: 40 or 50 cm; common practice",
        |c, r| {
            for (name, p) in &c.plan.points {
                let Some(Hold::Tree {
                    diameter, slung_at, ..
                }) = p.hold()
                else {
                    continue;
                };
                if diameter.si() < 0.4 {
                    r.say(
                        name.clone(),
                        format!("the trunk is {} thick", m(diameter.si())),
                    );
                }
                if let Some(h) = slung_at.map(Quantity::si).filter(|h| *h > 1.0) {
                    r.say(name.clone(), format!("slung {} above the ground", m(h)));
                }
            }
        }
    ),
    rule!(
        "frame-not-judged",
        Caution,
        "a point is the head of a frame",
        "a frame is in compression, which is not worked out here",
        "have it judged, guy it both ways",
        PRACTICE,
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                if matches!(p.hold(), Some(Hold::Frame)) {
                    let n = c
                        .cases
                        .iter()
                        .map(|s| s.response.reactions[i].length())
                        .fold(0.0, f64::max);
                    r.say(name.clone(), format!("the frame carries up to {} at its head; the frame itself has not been judged", kn(n)));
                }
            }
        }
    ),
    rule!(
        "edge-cannot-pull",
        Stop,
        "a run would lift off an edge that it is led over",
        "the rig as drawn has no equilibrium there",
        "move the edge point, or leave it out",
        PRACTICE,
        |c, r| {
            for (i, (name, p)) in c.plan.points.iter().enumerate() {
                let Some(Hold::Edge { outward, .. }) = p.hold() else {
                    continue;
                };
                let out = glam::DVec3::from_array(*outward).normalize_or_zero();
                if let Some(s) = c.cases.iter().find(|s| {
                    s.response.reactions[i].length() > 1.0
                        && s.response.reactions[i].dot(out) < -1.0
                }) {
                    r.say(
                        name.clone(),
                        format!(
                            "the edge would have to pull with {} in {}",
                            kn(-s.response.reactions[i].dot(out)),
                            s.case.id
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "edges-padded",
        Stop,
        "edges are not declared padded",
        "textile under tension is cut by an edge at a fraction of its strength",
        "pad every edge, tie the pads, mind the tails and the backup",
        PRACTICE,
        |c, r| declared(c, r, "edges padded", "edges padded and pads tied")
    ),
    rule!(
        "standing-too-tight",
        Caution,
        "standing tension over a fifth of the main line's strength",
        "creep, fatigue, and a taut line is cut by a touch",
        "less tension, or a stronger line",
        PRACTICE,
        |c, r| {
            let standing = c
                .cases
                .iter()
                .find(|s| s.case.id == "standing")
                .map(|s| s.response.line_n[0].max(s.response.line_n[1]));
            if let (Some(t), Some(item)) = (standing, c.main_item())
                && let Some(n) = item.strength_n().filter(|n| t > 0.2 * n)
            {
                r.say(
                    "",
                    format!("standing {} is {:.0} % of {}", kn(t), 100.0 * t / n, kn(n)),
                );
            }
        }
    ),
    rule!(
        "stiff-short-line",
        Caution,
        "a low-stretch main line under 50 m",
        "hard falls on body and anchors",
        "nylon or polyester on short lines",
        PRACTICE,
        |c, r| {
            if let Some(item) = c.main_item().filter(|i| {
                matches!(i.fibre, Fibre::Hmpe | Fibre::Aramid | Fibre::Hybrid) && c.span_m() < 50.0
            }) {
                r.say("", format!("{} over {}", item.title, m(c.span_m())));
            }
        }
    ),
    rule!(
        "no-backup",
        Stop,
        "there is no backup line",
        "one cut is total",
        "add one",
        PRACTICE,
        |c, r| {
            if c.backup_item().is_none() {
                r.say("", "no run backs the main line up");
            }
        }
    ),
    rule!(
        "backup-weaker",
        Caution,
        "the backup is weaker than the main line",
        "it carries the fall when the main has gone",
        "the same class or better",
        PRACTICE,
        |c, r| {
            let weakest = |role: fn(&Role) -> bool| {
                c.runs()
                    .filter(|(_, _, run)| role(&run.role))
                    .flat_map(|(i, _, _)| {
                        c.strengths[i]
                            .iter()
                            .flatten()
                            .filter_map(super::strength::Strength::counts_n)
                    })
                    .fold(f64::INFINITY, f64::min)
            };
            let (main, backup) = (
                weakest(|r| *r == Role::Main),
                weakest(|r| matches!(r, Role::Backup { .. })),
            );
            if backup < 0.98 * main {
                r.say(
                    "",
                    format!(
                        "the backup holds {}, the main line {}",
                        kn(backup),
                        kn(main)
                    ),
                );
            }
        }
    ),
    rule!(
        "long-excess",
        Caution,
        "more than 8 % excess without connections between",
        "the walker falls far before it catches",
        "connect it to the main line, less excess",
        PRACTICE,
        |c, r| {
            for (_, name, run) in c.runs() {
                if let Role::Backup {
                    excess,
                    connected: Connected::AtEnds,
                    ..
                } = &run.role
                    && *excess > 0.08
                {
                    r.say(
                        name,
                        format!(
                            "{:.0} % excess over {} without a connection",
                            100.0 * excess,
                            m(c.span_m())
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "unlike-lines",
        Caution,
        "main and backup of different fibres",
        "the harder one wears the other",
        "a sleeve, tape, or like with like",
        PRACTICE,
        |c, r| {
            if let (Some(a), Some(b)) = (c.main_item(), c.backup_item())
                && a.fibre != b.fibre
            {
                r.say("", format!("{} over {}", a.title, b.title));
            }
        }
    ),
    rule!(
        "lock-tail",
        Caution,
        "less than 0.5 m of tail beyond a webbing lock, or not stated",
        "every fall draws a little webbing through",
        "0.5 to 1 m, flat, tied off apart",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, _) in c.parts() {
                for (i, e) in part.ends.iter().flatten().enumerate() {
                    if let EndKind::Locked { tail, .. } = &e.kind {
                        let which = if i == 0 { "first" } else { "second" };
                        match tail.map(Quantity::si) {
                            Some(t) if t >= 0.5 => {}
                            Some(t) => r.say(
                                at_part(run, k),
                                format!("the tail at its {which} end is {}", m(t)),
                            ),
                            None => r.say(
                                at_part(run, k),
                                format!("the tail at its {which} end is not stated"),
                            ),
                        }
                    }
                }
            }
        }
    ),
    rule!(
        "load-release",
        Stop,
        "no way to release the tension is declared",
        "the line can be neither lowered nor used for rescue",
        "a soft release",
        PRACTICE,
        |c, r| declared(c, r, "load release", "a release under load")
    ),
    rule!(
        "over-limit",
        Caution,
        "more than its working load limit in use",
        "the limit is the maker's word on daily use",
        "a bigger one",
        PRACTICE,
        |c, r| {
            for row in c
                .rows
                .iter()
                .filter(|row| row.class == super::case::Class::Working)
            {
                if let Some(wll) = row.strength.wll_n.filter(|w| row.demand_n > *w) {
                    r.say(
                        row.place.to_string(),
                        format!(
                            "{} in {}, working load limit {}",
                            kn(row.demand_n),
                            row.case,
                            kn(wll)
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "connector-three-ways",
        Caution,
        "a connector or quick link pulled three ways",
        "it is made for two",
        "a ring, a plate or a bow shackle",
        "EN 12275 rates the long axis; common practice",
        |c, r| {
            for row in c.rows.iter().filter(|row| {
                row.strength
                    .steps
                    .iter()
                    .any(|s| s.what.starts_with("pulled three ways"))
            }) {
                r.say(
                    row.place.name().to_owned(),
                    format!("{} is pulled three ways", row.title),
                );
            }
        }
    ),
    rule!(
        "wide-bow",
        Caution,
        "legs spread more than 120° in a shackle's bow",
        "its rating no longer holds",
        "a ring, or longer legs",
        PRACTICE,
        |c, r| {
            for row in c.rows.iter().filter(|row| {
                row.strength.spot.contains("in the bow") && row.strength.spot.contains("spread")
            }) {
                r.say(row.place.name().to_owned(), row.strength.spot.clone());
            }
        }
    ),
    rule!(
        "small-soft-shackle",
        Caution,
        "a soft shackle of less than 8 mm at a master",
        "the knot scatters, the metal is small",
        "8 mm with a button knot",
        PRACTICE,
        |c, r| {
            for (name, p) in &c.plan.points {
                if let Some(item) = p.hardware.as_ref().and_then(|h| c.item(h)).filter(|i| {
                    i.class == ItemClass::SoftShackle && i.diameter.is_some_and(|d| d.si() < 0.0079)
                }) {
                    r.say(name.clone(), item.title.clone());
                }
            }
        }
    ),
    rule!(
        "textile-on-textile",
        Caution,
        "a textile girth-hitched to a textile",
        "it saws, and keeps little more than half",
        "a ring or a shackle between",
        PRACTICE,
        |c, r| {
            for (i, run, k, part, item) in c.parts() {
                if !item.class.is_soft() || part.hitch != Hitch::Girth {
                    continue;
                }
                let (ends, _) = neighbours(c.plan, c.catalogue, i, k);
                if let Some(n) = ends.iter().find(|n| n.soft) {
                    r.say(
                        at_part(run, k),
                        format!("{} hitched to {}", item.title, n.name),
                    );
                }
            }
        }
    ),
    rule!(
        "tight-bend",
        Caution,
        "HMPE rope over a seat of less than twice its own thickness, without a thimble",
        "a tight bend costs 15 to 40 %",
        "a thimble, or a thicker pin",
        PRACTICE,
        |c, r| {
            for (i, run, k, part, item) in c.parts() {
                let Some(d) = item
                    .diameter
                    .map(Quantity::si)
                    .filter(|_| item.fibre == Fibre::Hmpe && item.class == ItemClass::HollowBraid)
                else {
                    continue;
                };
                let (ends, over) = neighbours(c.plan, c.catalogue, i, k);
                for (e, n) in ends.iter().enumerate() {
                    let thimble = part.ends.as_ref().is_some_and(|x| {
                        matches!(x[e].kind, EndKind::Spliced { thimble: true, .. })
                    });
                    if let Some(seat) = n.diameter_m.filter(|s| !thimble && s / d < 1.99) {
                        r.say(
                            at_part(run, k),
                            format!("on {}: D/d = {:.1}", n.name, seat / d),
                        );
                    }
                }
                for n in over {
                    if let Some(seat) = n.diameter_m.filter(|s| s / d < 1.99) {
                        r.say(
                            at_part(run, k),
                            format!("over {}: D/d = {:.1}", n.name, seat / d),
                        );
                    }
                }
            }
        }
    ),
    rule!(
        "knotted-hmpe",
        Stop,
        "a knot in HMPE",
        "it keeps a third, and slips before that",
        "splice it",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                for e in part.ends.iter().flatten() {
                    if let EndKind::Knotted(knot) = &e.kind
                        && item.fibre == Fibre::Hmpe
                        && item.class.is_soft()
                    {
                        r.say(at_part(run, k), format!("{knot} in {}", item.title));
                    }
                }
            }
        }
    ),
    rule!(
        "adjustable-bury",
        Caution,
        "an adjustable bury in an anchor leg",
        "a bury holds only while its cover is under tension",
        "lock it, or splice it fixed; never a single adjustable loop",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                if part.ends.iter().flatten().any(|e| {
                    matches!(
                        e.kind,
                        EndKind::Spliced {
                            style: SpliceStyle::Adjustable,
                            ..
                        }
                    )
                }) {
                    r.say(at_part(run, k), format!("adjustable {}", item.title));
                }
            }
        }
    ),
    rule!(
        "short-bury",
        Stop,
        "a bury under 60 diameters, or without taper or stitching",
        "it pulls out, or breaks where the tail ends",
        "72 diameters, tapered over its last third, lock-stitched",
        PRACTICE,
        |c, r| {
            for (_, run, k, part, item) in c.parts() {
                let Some(d) = item.diameter.map(Quantity::si) else {
                    continue;
                };
                for (i, e) in part.ends.iter().flatten().enumerate() {
                    let EndKind::Spliced {
                        bury,
                        tapered,
                        stitched,
                        style,
                        ..
                    } = &e.kind
                    else {
                        continue;
                    };
                    if *style == SpliceStyle::Tucked {
                        continue;
                    }
                    let which = if i == 0 { "first" } else { "second" };
                    let ratio = bury.map_or(FULL_BURY, |b| b.si() / d);
                    if ratio < LEAST_BURY {
                        r.say(
                            at_part(run, k),
                            format!("the bury at its {which} end is {ratio:.0} diameters"),
                        );
                    } else if !tapered {
                        r.say(
                            at_part(run, k),
                            format!("the bury at its {which} end is not tapered"),
                        );
                    } else if !stitched {
                        r.say(
                            at_part(run, k),
                            format!("the bury at its {which} end is not stitched"),
                        );
                    }
                }
            }
        }
    ),
    rule!(
        "hmpe-creep",
        Caution,
        "HMPE standing at more than a fifth of its strength",
        "it creeps, and in the end breaks by creep",
        "thicker rope, or less tension",
        PRACTICE,
        |c, r| {
            let Some(standing) = c.cases.iter().find(|s| s.case.id == "standing") else {
                return;
            };
            for (i, run, k, _, item) in c.parts() {
                if item.fibre == Fibre::Hmpe
                    && item.class.is_soft()
                    && let Some(n) = item
                        .strength_n()
                        .filter(|n| standing.response.run_n[i] > 0.2 * n)
                {
                    r.say(
                        at_part(run, k),
                        format!("stands at {} of {}", kn(standing.response.run_n[i]), kn(n)),
                    );
                }
            }
        }
    ),
    rule!(
        "end-not-stated",
        Caution,
        "how an end is made is not stated",
        "the worst knot is counted",
        "state it",
        PRACTICE,
        |c, r| {
            for (i, run, k, _, _) in c.parts() {
                if c.strengths[i][k]
                    .as_ref()
                    .is_some_and(|s| s.doubts.iter().any(|d| d.contains("not stated")))
                {
                    r.say(at_part(run, k), "how its ends are made is not stated");
                }
            }
        }
    ),
    rule!(
        "stretch-assumed",
        Note,
        "an item has no stretch of its own",
        "how legs share depends on it",
        "give the item its stretch",
        PRACTICE,
        |c, r| {
            let mut seen = BTreeSet::new();
            for (_, run, k, _, item) in c.parts() {
                if !item.has_own_law() && seen.insert(item.id.clone()) {
                    r.say(
                        at_part(run, k),
                        format!("{}: stretch taken from its fibre and rating", item.title),
                    );
                }
            }
        }
    ),
    rule!(
        "mass-assumed",
        Note,
        "the line's item has no mass",
        "sag and tension follow from it",
        "give the item its mass per length",
        PRACTICE,
        |c, r| {
            if let Some(item) = c
                .main_item()
                .filter(|i| i.mass_per_length.is_none() && i.mass.is_none())
            {
                r.say("", format!("{}: 80 g/m taken", item.title));
            }
        }
    ),
    rule!(
        "doubtful-rating",
        Note,
        "a rating is typical, average, judged or from few tests",
        "it is not the maker's word on this piece",
        "read the label and put it into the plan's items",
        PRACTICE,
        |c, r| {
            let mut by: BTreeMap<String, (String, usize, String)> = BTreeMap::new();
            for row in c.rows {
                if let Some(d) = row.strength.doubts.first().filter(|_| row.strength.rated) {
                    by.entry(row.title.clone())
                        .or_insert_with(|| (row.place.to_string(), 0, d.clone()))
                        .1 += 1;
                }
            }
            for (title, (at, n, doubt)) in by {
                r.say(
                    at,
                    if n > 1 {
                        format!("{title}: {doubt} ({n} places)")
                    } else {
                        format!("{title}: {doubt}")
                    },
                );
            }
        }
    ),
    rule!(
        "unrated",
        Caution,
        "a piece has no rating",
        "nothing can be said of it",
        "rate it, or judge it and say why",
        PRACTICE,
        |c, r| {
            for row in c
                .rows
                .iter()
                .filter(|row| !row.strength.rated && row.class == super::case::Class::Working)
            {
                r.say(row.place.to_string(), row.strength.spot.clone());
            }
        }
    ),
    rule!(
        "leash-rings",
        Stop,
        "not two rings on the leash, or a connector among them",
        "connectors open and cut on webbing",
        "two forged rings around main and backup together",
        PRACTICE,
        |c, r| {
            let Some((_, name, run)) = c.runs().find(|(_, _, run)| run.role == Role::Leash) else {
                return;
            };
            let of = |class: ItemClass| {
                run.parts
                    .iter()
                    .filter(|p| c.item(&p.item).is_some_and(|i| i.class == class))
                    .count()
            };
            if of(ItemClass::Connector) > 0 {
                r.say(name, "the leash hangs on a connector");
            }
            if of(ItemClass::Ring) < 2 {
                r.say(
                    name,
                    format!("{} ring(s) on the leash", of(ItemClass::Ring)),
                );
            }
        }
    ),
    rule!(
        "leash",
        Caution,
        "a leash that is static, longer than 2 m, or missing",
        "a static leash catches hard, a long one far",
        "dynamic rope, 1.2 to 1.6 m",
        PRACTICE,
        |c, r| {
            let Some((_, name, run)) = c.runs().find(|(_, _, run)| run.role == Role::Leash) else {
                r.say("", "the plan has no leash");
                return;
            };
            for (k, part) in run.parts.iter().enumerate() {
                let Some(item) = c.item(&part.item).filter(|i| i.class.is_soft()) else {
                    continue;
                };
                if let crate::plan::PartLength::Is(l) = part.length
                    && l.si() > 2.0
                {
                    r.say(at_part(name, k), format!("the leash is {} long", m(l.si())));
                }
                let stretch = item.law().map_or(0.0, |l| l.at(4000.0).0);
                if stretch < 0.12 {
                    r.say(
                        at_part(name, k),
                        format!(
                            "{} stretches {:.0} % at 4 kN: static",
                            item.title,
                            100.0 * stretch
                        ),
                    );
                }
            }
        }
    ),
    rule!(
        "buddy-check",
        Stop,
        "no partner check is declared",
        "walking untied is the leading cause of death",
        "ask and answer “tied in?” before every start",
        PRACTICE,
        |c, r| declared(c, r, "buddy check", "a partner check before every start")
    ),
    rule!(
        "rescue",
        Stop,
        "no rescue kit and plan are declared",
        "hanging still in a harness harms within minutes",
        "a kit at the line, practised",
        "HSE harness suspension guidance; common practice",
        |c, r| declared(c, r, "rescue kit", "a rescue kit and plan")
    ),
    rule!(
        "two-a-side",
        Caution,
        "people and words between the sides are not declared",
        "nobody to check, to rescue, to stop the tensioner",
        "two people a side, radios, agreed words",
        PRACTICE,
        |c, r| declared(c, r, "two a side", "two people a side with radios")
    ),
    rule!(
        "gates-closed",
        Caution,
        "a check of gates and pins before tension is not declared",
        "what is open opens under load",
        "close, wrench, mouse; then tension",
        PRACTICE,
        |c, r| declared(
            c,
            r,
            "gates closed",
            "everything closed, wrenched and moused before tension"
        )
    ),
    rule!(
        "permit",
        Caution,
        "permit and owner are not declared",
        "access lost for all, de-rigging in a hurry",
        "ask, and carry the paper",
        PRACTICE,
        |c, r| declared(c, r, "permit", "permit, owner, closures")
    ),
    rule!(
        "airspace",
        Stop,
        "higher than 60 m without a declared notice",
        "aircraft",
        "file a notice, mark the line",
        "14 CFR 77.9 (200 ft); national rules differ",
        |c, r| {
            if c.height_m().is_some_and(|h| h > 60.0) {
                declared(c, r, "airspace", "a notice to aircraft, and markers");
            }
        }
    ),
    rule!(
        "windy",
        Caution,
        "walked in more than 10 m/s of wind",
        "drift, flutter, tension",
        "wait, or lower the line",
        PRACTICE,
        |c, r| {
            let v = c.plan.site.air.wind.si();
            if v > 10.0 {
                r.say(
                    "",
                    format!("walking limit {}", show(Dim::Velocity, v, System::Si)),
                );
            }
        }
    ),
    rule!(
        "heavy-walker",
        Note,
        "a walker heavier than 100 kg",
        "peaks grow with mass",
        "check the falls for that mass",
        PRACTICE,
        |c, r| {
            let kg = super::case::heaviest_kg(c.plan);
            if kg > 100.0 {
                r.say("", format!("a walker of {kg:.0} kg"));
            }
        }
    ),
    rule!(
        "free-points-far",
        Caution,
        "a master rests far from where its legs were cut for",
        "legs made for one place do not fit another",
        "move its `near` place to where it rests",
        PRACTICE,
        |c, r| {
            let Some(s) = c.cases.iter().find(|s| s.case.id == "standing") else {
                return;
            };
            for (i, spot) in c.rig.spots.iter().enumerate() {
                let d = s.response.places[i].distance(spot.place);
                let pulled = s.response.forces[i].iter().any(|f| f.force.length() > 50.0);
                if matches!(
                    c.plan.points.get_index(i).map(|(_, p)| &p.kind),
                    Some(PointKind::Free { .. })
                ) && d > 0.3
                    && pulled
                {
                    r.say(
                        spot.name.clone(),
                        format!("rests {} from its place in the plan", m(d)),
                    );
                }
            }
        }
    ),
];
