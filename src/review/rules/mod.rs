//! Rules of review: what a seasoned rigger would say on reading the plan.

mod anchors;
mod claims;
mod crew;
pub(crate) mod days;
mod declared;
mod edge;
mod fits;
mod frames;
mod gear;
pub(crate) mod incidents;
mod line;
mod over;
mod people;
mod pulling;
mod rescue;
mod scout;
mod site;
mod stay;

use std::collections::{BTreeMap, BTreeSet};

use super::case::Class;
use super::incident::{Body, Held, Incident};
use super::neighbours::Strengths;
use super::row::{Place, Row};
use super::situation::Situation;
use super::solve::Solved;
use super::strength::{FULL_BURY, LEAST_BURY};
use crate::bench::Spliced;
use crate::catalogue::{Catalogue, Class as ItemClass, Fibre, Item};
use crate::plan::{
    Aside, Connected, Declared, EndKind, Hitch, Hold, PartLength, Plan, PointKind, Role, Run, Side, SpliceStyle,
};
use crate::rig::{Rig, neighbours};
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
    /// The fact that the plan declares to answer it.
    pub key: Option<&'static str>,
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
    pub(super) incidents: &'a [Incident],
    pub(super) no_fall_m: [f64; 2],
    pub(super) body: &'a Body,
    /// The pulley system at work.
    pub(super) pulling: Option<&'a super::pulling::Pulling>,
    /// Getting the line over.
    pub(super) over: Option<&'a super::over::Over>,
    /// The last day at the line.
    pub(super) day: Option<&'a super::as_rigged::DayRead>,
    /// Figures that come with the plan.
    pub(super) claims: &'a [super::claims::Claimed],
    /// What nobody could tape.
    pub(super) scouted: Option<&'a super::scouted::Scouted>,
    /// Frames.
    pub(super) frames: &'a [super::frames::Framed],
    /// Work at the edges.
    pub(super) edges: Option<&'a super::edge::Edges>,
    /// Getting somebody off it.
    pub(super) rescued: Option<&'a super::rescue::Rescued>,
    /// The line that stays up.
    pub(super) stays: Option<&'a super::stay::Stays>,
    /// The crew's day.
    pub(super) crew: Option<&'a super::crew::CrewDay>,
    pub(super) rows: &'a [Row],
    /// Whether every situation at rest has a solution; without it nothing is played.
    pub(super) solved: bool,
    /// Whether only some incidents were played: what never happens in any cannot be said then.
    pub(super) partial: bool,
    pub(super) strengths: &'a Strengths,
    /// What is made at the bench.
    pub(super) spliced: &'a [Spliced],
    /// How far a master moves when a leg goes: leg, point, m.
    pub(super) moves: &'a [(usize, usize, f64)],
}

struct Report<'a> {
    rule: &'a Rule,
    out: &'a mut Vec<Finding>,
}

impl Report<'_> {
    fn say(&mut self, at: impl Into<String>, text: impl Into<String>) {
        self.say_as(self.rule.gravity, at, text);
    }

    /// The same where it only comes near to it.
    fn caution(&mut self, at: impl Into<String>, text: impl Into<String>) {
        self.say_as(Gravity::Caution, at, text);
    }

    /// The same where it is past what a rule of this kind is about.
    fn stop(&mut self, at: impl Into<String>, text: impl Into<String>) {
        self.say_as(Gravity::Stop, at, text);
    }

    fn say_as(&mut self, gravity: Gravity, at: impl Into<String>, text: impl Into<String>) {
        self.out.push(Finding {
            rule: self.rule.id,
            gravity,
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
    for rule in RULES.iter().copied().flatten() {
        (rule.check)(c, &mut Report { rule, out: &mut out });
    }
    for rule in c.plan.set_aside.keys().filter(|k| !RULES.iter().copied().flatten().any(|r| r.id == **k)) {
        out.push(Finding {
            rule: "set-aside-unknown",
            gravity: Gravity::Caution,
            at: String::new(),
            text: format!("the plan sets aside “{rule}”, which is no rule"),
            why: "what was meant to be set aside still stands",
            remedy: "spanwright rules lists their names",
            set_aside: None,
        });
    }
    set_aside(c.plan, &mut out);
    out.sort_by_key(|f| std::cmp::Reverse(f.gravity));
    out.dedup_by(|a, b| a.rule == b.rule && a.at == b.at && a.text == b.text);
    out
}

/// A reason holds for a year.
const ASIDE_DAYS: i32 = 365;

/// Sets aside what the plan does, there where it says so: a reason without a place holds only where the rule speaks once.
fn set_aside(plan: &Plan, out: &mut Vec<Finding>) {
    let (mut unclear, mut whole, mut old) = (Vec::new(), Vec::new(), Vec::new());
    let last = last_date(plan);
    for (rule, asides) in &plan.set_aside {
        let times = out.iter().filter(|f| f.rule == *rule).count();
        for aside in asides {
            let one = aside.at.is_empty() && times == 1;
            let said = |f: &&mut Finding| f.rule == *rule && (one || !aside.at.is_empty() && f.at == aside.at);
            let mut hit = false;
            for f in out.iter_mut().filter(said) {
                hit = true;
                if aside.at.is_empty() && f.gravity == Gravity::Stop {
                    whole.push(format!("“{rule}”, a stop, is set aside without its place: {}", f.text));
                }
                f.set_aside = Some(signed(aside));
                f.gravity = Gravity::Note;
            }
            let said: Option<jiff::civil::Date> = aside.date.parse().ok();
            if let (true, Some(said), Some(last)) = (hit, said, last)
                && last.since(said).is_ok_and(|s| s.get_days() > ASIDE_DAYS)
            {
                old.push(format!("“{rule}” was set aside on {said}, the plan's last day is {last}"));
            }
            if !hit && times > 0 {
                let places: Vec<&str> = out.iter().filter(|f| f.rule == *rule).map(|f| f.at.as_str()).collect();
                unclear.push(format!(
                    "“{rule}” is set aside {}, and it is said {times} times: {}",
                    if aside.at.is_empty() { "without a place".to_owned() } else { format!("at “{}”", aside.at) },
                    places.join("; ")
                ));
            }
        }
    }
    let mut tell = |rule, texts: Vec<String>, why, remedy| {
        let at_all =
            |text| Finding { rule, gravity: Gravity::Caution, at: String::new(), text, why, remedy, set_aside: None };
        out.extend(texts.into_iter().map(at_all));
    };
    let placed = "At([Aside(at: …, reason: …, by: …, date: …)]), with a place as the review names it";
    tell("set-aside-where", unclear, "what is said at one place may not be silenced at another", placed);
    tell("set-aside-whole", whole, "the next stop of its kind would be the one that it was meant for", placed);
    let anew = "look again, and sign it anew";
    tell("set-aside-old", old, "gear, rock and trees are another year older than the reason", anew);
}

/// The latest day that a plan speaks of; nothing where it speaks of none.
fn last_date(plan: &Plan) -> Option<jiff::civil::Date> {
    let days = plan.days.iter().filter_map(|d| d.date.parse().ok());
    let stay = plan.stay.iter().flat_map(|s| s.days.iter().map(|d| d.date).chain([s.from]));
    days.chain(stay).chain(plan.crew.iter().map(|c| c.date)).max()
}

/// The reason with who gave it, and when.
fn signed(aside: &Aside) -> String {
    match (aside.by.is_empty(), aside.date.is_empty()) {
        (true, true) => format!("{} (not signed)", aside.reason),
        (by, date) => {
            let words = [(!by).then_some(&aside.by), (!date).then_some(&aside.date)];
            let words: Vec<&str> = words.into_iter().flatten().map(String::as_str).collect();
            format!("{} ({})", aside.reason, words.join(", "))
        }
    }
}

impl Context<'_> {
    fn runs(&self) -> impl Iterator<Item = (usize, &str, &Run)> {
        self.plan.runs.iter().enumerate().map(|(i, (n, r))| (i, n.as_str(), r))
    }

    /// The rig with nobody on it.
    fn standing(&self) -> Option<&Solved> {
        self.cases.iter().find(|s| s.case.situation == Situation::STANDING)
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
        run.parts.iter().filter_map(|p| self.item(&p.item)).find(|i| i.class.is_soft())
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
        self.plan.site.ground.iter().map(|(x, z)| rise * x.si() - z.si()).max_by(f64::total_cmp)
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
            key: None,
            check: $check,
        }
    };
}

use rule;

/// Every rule, by what it looks at.
pub const RULES: &[&[Rule]] = &[
    site::RULES,
    scout::RULES,
    anchors::RULES,
    frames::RULES,
    line::RULES,
    gear::RULES,
    fits::RULES,
    people::RULES,
    declared::RULES,
    pulling::RULES,
    over::RULES,
    rescue::RULES,
    stay::RULES,
    crew::RULES,
    edge::RULES,
    claims::RULES,
    days::RULES,
    incidents::RULES,
];
