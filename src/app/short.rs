//! Short words for the screen: pieces, moments and facts that fit in a column, places along the line in metres from A.

use super::state::App;
use crate::catalogue::Class;
use crate::plan::{Plan, Role, Run};
use crate::review::{Cause, FromSide, How, Lost, Lowest, Place, Row, Share, Situation, Then, TiePiece, With};
use crate::units::{Dim, System, show};

/// A kind of gear in one or two words.
fn kind(class: Class) -> &'static str {
    match class {
        Class::HollowBraid => "rope",
        Class::Sling => "sling",
        Class::Lock => "lock",
        Class::Grip => "grip",
        Class::Ratchet => "ratchet",
        Class::Plate => "plate",
        Class::Hardware => "hardware",
        other => other.words(),
    }
}

/// A part's kind; where a run has several of it, which: by the end it is nearer to on the line, else counted.
#[must_use]
pub(super) fn part(app: &App, run: &Run, k: usize) -> String {
    let of = |k: usize| run.parts.get(k).and_then(|p| app.file.catalogue.get(&p.item)).map(|i| i.class);
    let Some(class) = of(k) else { return "unknown piece".to_owned() };
    let alike: Vec<usize> = (0..run.parts.len()).filter(|&j| of(j) == Some(class)).collect();
    let nth = alike.iter().position(|&j| j == k).unwrap_or(0);
    let line = matches!(run.role, Role::Main | Role::Backup { .. });
    match alike.len() {
        0 | 1 => kind(class).to_owned(),
        2 if line => format!("{} {}", kind(class), ["A", "B"][nth.min(1)]),
        _ => format!("{} {}", kind(class), nth + 1),
    }
}

/// A name without the side that its group says already.
#[must_use]
pub fn without_side(name: &str) -> &str {
    name.strip_prefix("A ").or_else(|| name.strip_prefix("B ")).unwrap_or(name)
}

fn lost(pieces: &[Lost]) -> String {
    let Some(first) = pieces.first() else { return String::new() };
    match first {
        Lost::Segment { run, number: Some(n) } => format!("{run} {n}"),
        Lost::MainTie(n) => format!("joint {n} main"),
        Lost::BackupTie(n) => format!("joint {n} backup"),
        other => other.to_string(),
    }
}

/// A situation in a few words, on a line of `line_m`.
#[must_use]
pub fn when(situation: &Situation, line_m: f64, system: System) -> String {
    let at = |s: &Share| whole(s.get() * line_m, system);
    let mut out = match &situation.cause {
        Cause::Standing => "nobody on it".to_owned(),
        Cause::Walker { at: a } => format!("walker, {}", at(a)),
        Cause::Together { people: 2, at: a } => format!("two, {}", at(a)),
        Cause::Together { people, at: a } => format!("{people} together, {}", at(a)),
        Cause::Bounce { at: a } => format!("bouncing, {}", at(a)),
        Cause::Own { name } => name.clone(),
        Cause::Tensioning => "tensioning".to_owned(),
        Cause::Crossing { stage } => format!("{stage} going over"),
        Cause::Slip { tie } => format!("a slip on {tie}"),
        Cause::Towed { to, .. } => format!("towing to {to:?}"),
        Cause::Estimate(Lowest::Hanging) => "hanging in the leash".to_owned(),
        Cause::Estimate(Lowest::Fallen) => "leash fall".to_owned(),
        Cause::Estimate(Lowest::Caught) => "backup's catch".to_owned(),
        Cause::Estimate(Lowest::Line) => "the line".to_owned(),
        Cause::Fall { at: a, missing, .. } if missing.is_empty() => format!("leash fall, {}", at(a)),
        Cause::Fall { at: a, missing, .. } => format!("{} gone, fall, {}", lost(missing), at(a)),
        Cause::Gone { pieces, then, at: a, slides } => {
            let who = match then {
                Then::Stands => String::new(),
                Then::Falls => " falls,".to_owned(),
                Then::Together(2) => " two,".to_owned(),
                Then::Together(n) => format!(" {n},"),
            };
            format!("{} gone,{who} {}{}", lost(pieces), at(a), if *slides { ", slides" } else { "" })
        }
    };
    for w in &situation.with {
        let side = |from: &FromSide| if *from == FromSide::Left { "left" } else { "right" };
        match w {
            With::Wind(from) => out += &format!(", wind {}", side(from)),
            With::Storm(from) => out += &format!(", storm {}", side(from)),
            With::Coldest => out += ", cold",
            With::Warmest => out += ", warm",
            With::Held { run, .. } => out += &format!(", {run} held"),
            With::Short { run, .. } => out += &format!(", {run} short"),
            With::NewGear => out += ", new gear",
            With::Others(n) => out += &format!(", {n} more on"),
            With::Gust { date, .. } => out += &format!(", gust {}", date.get(5..).unwrap_or(date)),
            With::Crept => out += ", slack",
            With::SetGear | With::ExpandingLeast => {}
        }
    }
    out
}

/// A length in whole metres or feet, as places along a line are said.
#[must_use]
pub fn whole(m: f64, system: System) -> String {
    match system {
        System::Si => format!("{m:.0} m"),
        System::Us => format!("{:.0} ft", m / 0.3048),
    }
}

/// A length in metres or feet with one decimal, without its zeros.
#[must_use]
pub fn length(m: f64, system: System) -> String {
    let (n, unit) = match system {
        System::Si => (m, "m"),
        System::Us => (m / 0.3048, "ft"),
    };
    let text = format!("{n:.1}");
    format!("{} {unit}", text.strip_suffix(".0").unwrap_or(&text))
}

/// A length in metres or feet for a column: one decimal, no unit; nothing that moves less than 0.1 m.
#[must_use]
pub fn metres(m: f64, system: System) -> String {
    let n = if system == System::Si { m } else { m / 0.3048 };
    if n.abs() < 0.1 { "0.0".to_owned() } else { format!("{n:.1}") }
}

/// A force in kN or lbf for a column: one decimal, no unit.
#[must_use]
pub fn force(n: f64, system: System) -> String {
    match system {
        System::Si => format!("{:.1}", n / 1e3),
        System::Us => format!("{:.0}", n / 4.448_221_6),
    }
}

/// The unit of [`force`].
#[must_use]
pub fn force_unit(system: System) -> &'static str {
    match system {
        System::Si => "kN",
        System::Us => "lbf",
    }
}

/// A factor for a column: one decimal, rounded down; whole from ten on.
#[must_use]
pub fn factor(f: f64) -> String {
    match f {
        f if f.is_nan() => "–".to_owned(),
        f if f >= 100.0 => ">99".to_owned(),
        f if f >= 10.0 => format!("{:.0}", f.floor()),
        f => format!("{:.1}", (f * 10.0).floor() / 10.0),
    }
}

/// Share of what is allowed that a row takes; past 1 it fails. Nothing where there is none.
#[must_use]
pub fn share(row: &Row) -> Option<f64> {
    let margin = row.margin();
    (margin.is_finite() && row.strength.counts_n().is_some() || row.height.is_some())
        .then(|| if margin > 0.0 { 1.0 / margin } else { f64::INFINITY })
}

/// What was found of what is asked, each for its own column.
#[must_use]
pub fn found(row: &Row, system: System) -> [String; 2] {
    if row.is_height() {
        let [f, n] = row.height.as_ref().map_or([f64::NAN; 2], |h| [h.found_m(), h.needed_m]);
        let down = |m: f64| if m.is_nan() { "–".to_owned() } else { length((m * 10.0).floor() / 10.0, system) };
        return [down(f), if n.is_nan() { "–".to_owned() } else { length(n, system) }];
    }
    [factor(row.factor), format!("{:.1}", row.required)]
}

impl App {
    /// How long the line is from end to end, m; the span where nothing is worked out.
    #[must_use]
    pub fn line_m(&self) -> f64 {
        use crate::units::Quantity as _;
        let rig = self.solver.as_ref().ok();
        rig.map_or_else(|| self.file.plan.site.span.si(), |s| s.rig.line_length_m(&s.standing.lengths))
    }

    /// When a row's demand was seen, in a few words.
    #[must_use]
    pub fn when(&self, row: &Row) -> String {
        let Some(seen) = &row.seen else { return String::new() };
        let base = when(&seen.situation, self.line_m(), self.settings.system);
        match &seen.how {
            How::OneLegOf(_) => format!("takes all, {base}"),
            How::AtJoint(n) => format!("{base}, joint {n}"),
            How::Itself | How::Holding(_) => base,
        }
    }

    /// A place of the review in a few words.
    #[must_use]
    pub fn piece(&self, place: &Place) -> String {
        let plan: &Plan = &self.file.plan;
        match place {
            Place::Part(run, k) => match plan.runs.get(run) {
                Some(r) if r.parts.len() > 1 => match part(self, r, k - 1) {
                    part if part == *run => part,
                    part => format!("{run} {part}"),
                },
                _ => run.clone(),
            },
            Place::Point(p) | Place::Anchor(p) => p.clone(),
            Place::Frame(head, piece) => format!("{head} {piece}"),
            Place::Joint(what) => format!("joints, {what}"),
            Place::Gear(g) => format!("pulling, {g}"),
            Place::Crossing(s) => format!("line over, {s}"),
            Place::Tie(name, TiePiece::Rope) => format!("tie, {name}"),
            Place::Tie(name, TiePiece::Anchor(on)) => format!("tie, {name}, {on}"),
            Place::Rescue(h) => format!("rescue, {}", h.words()),
            Place::Height(l) => match l {
                Lowest::Hanging => "feet, hanging".to_owned(),
                Lowest::Fallen => "feet, leash fall".to_owned(),
                Lowest::Caught => "feet, backup's catch".to_owned(),
                Lowest::Line => "line over ground".to_owned(),
            },
        }
    }

    /// What one walker carries with them, as the people row says it.
    #[must_use]
    pub fn people_fact(&self) -> String {
        use crate::units::Quantity as _;
        let plan = &self.file.plan;
        let masses: Vec<String> =
            plan.people.walkers.iter().map(|m| show(Dim::Mass, m.si(), self.settings.system)).collect();
        let who = match &masses[..] {
            [] => "nobody named".to_owned(),
            [one] => one.replace(".0 ", " "),
            many => {
                let most = plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
                format!(
                    "{} walkers, up to {}",
                    many.len(),
                    show(Dim::Mass, most, self.settings.system).replace(".0 ", " ")
                )
            }
        };
        let leash = plan.people.leash.as_ref().and_then(|n| plan.runs.get(n));
        let chain = leash.and_then(|r| crate::rig::chain_of(r, &self.file.catalogue));
        chain.map_or(who.clone(), |l| format!("{who}, leash {}", length(l.slack_m(), self.settings.system)))
    }

    /// The gap in a few words.
    #[must_use]
    pub fn site_fact(&self) -> String {
        use crate::units::Quantity as _;
        let site = &self.file.plan.site;
        let system = self.settings.system;
        let off = self.file.plan.assumed_m(&crate::plan::sighted::Unmeasured::Span);
        let span = length(site.span.si(), system);
        let span = off.map_or_else(|| span.clone(), |m| format!("~{span} ± {}", length(m, system)));
        let rise = site.height_difference.si();
        let b = match rise {
            r if r > 0.0 => format!("B {} higher", length(r, system)),
            r if r < 0.0 => format!("B {} lower", length(-r, system)),
            _ => "level".to_owned(),
        };
        format!("{span}, {b}")
    }

    /// The factors asked for in a few words.
    #[must_use]
    pub fn factors_fact(&self) -> String {
        let f = &self.file.plan.factors.all;
        let said = [(f.working, "working"), (f.fall, "fall"), (f.failure, "failure")];
        let words: Vec<String> = said.iter().filter_map(|(n, w)| Some(format!("{} {w}", (*n)?))).collect();
        if words.is_empty() { "the usual ones".to_owned() } else { words.join(" · ") }
    }
}
