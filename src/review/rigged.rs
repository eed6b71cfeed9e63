//! The plan as it hung on a day: what was read there in place of what was planned.

use schemars::JsonSchema;
use serde::Serialize;

use super::as_rigged::{Hung, Read, day_read, solved};
use super::case::Class;
use super::reviewing::{Review, at_rest};
use super::row::Row;
use super::rules::Gravity;
use super::rules::days::{BELIEVED, OFF};
use super::verdict::Verdict;
use crate::document::Path;
use crate::plan::day::{Day, with_stretch};
use crate::plan::steps::Steps;
use crate::plan::{Change, PartLength, PlanFile, Role, Side, Target};
use crate::units::{Quantity, System};

/// A verdict that the rig as it hung has worse than the plan.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Worse {
    /// Of what, in which situation.
    pub what: String,
    /// What it has in the plan, and as it hung, each of what is asked for; SI, in words.
    pub planned: String,
    /// As it hung.
    pub hung: String,
    /// Whether it met what is asked for in the plan, and does not as it hung.
    pub falls_short: bool,
}

/// The rig as it hung against the plan, standing still: falls and failures as it hung are not played for it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AsHung {
    /// Why it could not be reviewed; nothing where it was.
    pub fault: Option<String>,
    /// Its verdict, standing still and walked, in a word; empty where it could not be reviewed.
    pub verdict: String,
    /// What is worse, the gravest first.
    pub worse: Vec<Worse>,
}

impl AsHung {
    /// The rig of a day beside the plan's own review; nothing where both are one.
    pub(super) fn of(file: &PlanFile, day: &Day, planned: &Review) -> Option<Self> {
        let hung = as_rigged(file, day);
        if hung.as_ref().is_ok_and(|h| h.text == file.text) {
            return None;
        }
        Some(match hung.and_then(|h| at_rest(&h)) {
            Ok(hung) => Self { fault: None, verdict: hung.verdict.word().to_owned(), worse: worse(planned, &hung) },
            Err(why) => Self { fault: Some(why), verdict: String::new(), worse: Vec::new() },
        })
    }
}

/// What stands worse as it hung: rows of working situations, and stops that the plan has not.
fn worse(planned: &Review, hung: &Review) -> Vec<Worse> {
    let mut rows: Vec<(&Row, &Row)> = hung
        .worst_first()
        .into_iter()
        .filter(|r| r.class == Class::Working && r.verdict != Verdict::Meets)
        .filter_map(|r| Some((planned.rows.iter().find(|p| p.class == r.class && p.place == r.place)?, r)))
        .filter(|(before, after)| after.verdict > before.verdict)
        .collect();
    rows.sort_by_key(|(before, _)| before.verdict != Verdict::Meets);
    let of = |r: &Row| format!("{} of {}", r.found(System::Si), r.asked(System::Si));
    let rows = rows.into_iter().map(|(before, after)| Worse {
        what: format!("{}, {}", after.place, after.case()),
        planned: of(before),
        hung: of(after),
        falls_short: before.verdict == Verdict::Meets,
    });
    let stops = hung.findings.iter().filter(|f| f.gravity == Gravity::Stop && f.set_aside.is_none() && f.at != "days");
    let new = stops.filter(|f| !planned.findings.iter().any(|p| p.rule == f.rule && p.at == f.at));
    let stops = new.map(|f| Worse {
        what: format!("{} at {}", f.rule, f.at),
        planned: "no stop".to_owned(),
        hung: f.text.clone(),
        falls_short: true,
    });
    rows.chain(stops).collect()
}

/// The plan as it was tensioned on a day: its span, height difference and temperature, the tension that was read last (by a
/// pulse where no tension was), who was heavier than planned, and more wind than planned.
///
/// # Errors
/// What has no place in the plan, or why the changed text is no sound plan.
pub fn as_tensioned(file: &PlanFile, day: &Day) -> Result<PlanFile, String> {
    let site = Path::root().key("site");
    let mut sets: Vec<(Path, String)> = Vec::new();
    let quoted = |v: String| format!("{v:?}");
    if let Some(m) = day.span {
        sets.push((site.key("span"), quoted(format!("{} m", m.si()))));
        let moved = file.plan.site.with_span(m.is);
        let ground = moved.ground.iter().map(|(x, z)| format!("(\"{} m\", \"{} m\")", to_mm(x.si()), z.si()));
        if !moved.ground.is_empty() {
            sets.push((site.key("ground"), format!("[{}]", ground.collect::<Vec<_>>().join(", "))));
        }
        for (name, o) in &moved.obstacles {
            let at = site.key("obstacles").key(name);
            sets.push((at.key("from"), quoted(format!("{} m", to_mm(o.from.si())))));
            sets.push((at.key("to"), quoted(format!("{} m", to_mm(o.to.si())))));
        }
    }
    if let Some(m) = day.height_difference {
        sets.push((site.key("height_difference"), quoted(format!("{} m", m.si()))));
    }
    let heaviest = day.read.iter().filter_map(|r| r.walker).map(|w| w.1.si()).fold(0.0, f64::max);
    let planned = file.plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max);
    if heaviest > planned {
        let all = file.plan.people.walkers.iter().map(|m| m.si()).chain([heaviest]);
        let all: Vec<String> = all.map(|kg| format!("\"{kg} kg\"")).collect();
        sets.push((Path::root().key("people").key("walkers"), format!("[{}]", all.join(", "))));
    }
    // A tension is of the temperature at which it was read.
    let hangs = day.hangs_with().map(|(r, n)| (r, Some(n))).or_else(|| day.by_pulse().map(|(r, _)| (r, None)));
    if let Some(t) = hangs.and_then(|(r, _)| r.temperature).or(day.temperature) {
        sets.push((site.key("air").key("rigged_at"), quoted(format!("{:.1} degC", t.si() - 273.15))));
    }
    // A calm reading does not make the wind that it is walked in less.
    if let Some(v) = day.wind.filter(|v| v.si() > file.plan.site.air.wind.si()) {
        sets.push((site.key("air").key("wind"), quoted(format!("{} m/s", v.si()))));
    }
    let hung = written(file, sets)?;
    let tension = match hangs {
        Some((reading, Some(n))) => Some((reading.at, n)),
        Some((_, None)) => by_pulse_n(&hung, day)?.map(|n| (Side::A, n)),
        None => None,
    };
    // The last tension, where it was read: as the target of the part that is made to it, whatever the plan had there.
    match (tension, hung.plan.main(), hung.plan.tensioned_part()) {
        (Some((at, n)), Some((name, _)), Some(k)) => {
            let path = Path::root().key("runs").key(name).key("parts").at(k).key("length");
            written(&hung, vec![(path, format!("Solve(standing: \"{} kN\", at: {at:?})", n / 1e3))])
        }
        _ => Ok(hung),
    }
}

/// The plan as it hung: as it was tensioned, and at either side the leg that read most adjusted until it carries that.
///
/// # Errors
/// As [`as_tensioned`].
pub fn as_rigged(file: &PlanFile, day: &Day) -> Result<PlanFile, String> {
    with_legs(as_tensioned(file, day)?, day)
}

/// The plan as it was tensioned, with its legs as they were read.
pub(super) fn with_legs(tensioned: PlanFile, day: &Day) -> Result<PlanFile, String> {
    let plan = &tensioned.plan;
    let standing_n = plan.main().and_then(|(_, run)| match run.parts.get(plan.tensioned_part()?)?.length {
        PartLength::Solve(Target::Standing(n, _)) => Some(n.si()),
        _ => None,
    });
    let Some(standing_n) = standing_n else { return Ok(tensioned) };
    if day.legs.is_empty() {
        return Ok(tensioned);
    }
    let mut sets = Vec::new();
    for side in [Side::A, Side::B] {
        let mine = day.legs.iter().filter_map(|(name, n)| {
            let (run, soft) = adjustable(&tensioned, name)?;
            let at = run.path.iter().find_map(|p| plan.points.get(p))?.side;
            (at == side).then_some((name, soft, n.si()))
        });
        if let Some((name, part, n)) = mine.max_by(|a, b| a.2.total_cmp(&b.2)) {
            let path = Path::root().key("runs").key(name).key("parts").at(part).key("length");
            sets.push((path, format!("Share({:.5})", (n / standing_n).clamp(1e-3, 1.0))));
        }
    }
    written(&tensioned, sets)
}

/// To the millimetre, as ground is written.
fn to_mm(m: f64) -> f64 {
    (m * 1e3).round() / 1e3
}

/// A leg of the plan whose share can be adjusted: its run, and its one soft part.
fn adjustable<'a>(file: &'a PlanFile, name: &str) -> Option<(&'a crate::plan::Run, usize)> {
    let run = file.plan.runs.get(name).filter(|r| r.role == Role::Leg)?;
    let soft = |p: &crate::plan::Part| file.catalogue.get(&p.item).is_some_and(|i| i.class.is_soft());
    let mut parts = run.parts.iter().enumerate().filter(|(_, p)| soft(p));
    match (parts.next(), parts.next()) {
        (Some((k, _)), None) => Some((run, k)),
        _ => None,
    }
}

/// What the pulse of a day says of the tension, N.
fn by_pulse_n(hung: &PlanFile, day: &Day) -> Result<Option<f64>, String> {
    let Some((_, pulse)) = day.by_pulse() else { return Ok(None) };
    let solver = solved(hung)?;
    let tension = Hung::of(day, &solver).and_then(|h| h.line().by_pulse_n(1.0, pulse.si()));
    tension.map(Some).ok_or_else(|| format!("no tension of this line gives a pulse of {:.2} s", pulse.si()))
}

/// A plan with values set.
fn written(file: &PlanFile, sets: Vec<(Path, String)>) -> Result<PlanFile, String> {
    let mut steps = Steps::new(file);
    for (path, ron) in sets {
        steps.set(&path, &ron)?;
    }
    let out = steps.file;
    if out.is_sound() { Ok(out) } else { Err(out.show_faults()) }
}

/// A line's stretch taken over from what was read.
#[derive(Debug)]
pub struct StretchTaken {
    /// The change of the plan.
    pub change: Change,
    /// The plan's text with it.
    pub text: String,
    /// What was done, in words.
    pub words: String,
}

/// A change that gives the line's item the stretch that a day's readings say.
///
/// # Errors
/// When nothing that was read says it, when that is beyond belief, or when another reading contradicts it.
pub fn stretch_taken(file: &PlanFile, day: &Day) -> Result<StretchTaken, String> {
    let read = day_read(file, day);
    let none = "nothing that was read says how the line stretches: a sag or a tension with a walker, or what came through the lock";
    let [kappa, sd] = read.stretch.ok_or_else(|| read.fault.clone().unwrap_or_else(|| none.to_owned()))?;
    if !BELIEVED.contains(&kappa) {
        return Err(format!(
            "× {kappa:.2} ± {sd:.2} is beyond belief: a figure is wrong, not the webbing; measure again"
        ));
    }
    let part = file.plan.tensioned_part().and_then(|k| file.plan.main()?.1.parts.get(k));
    let item = part.map(|p| p.item.clone()).ok_or("the plan has no line")?;
    let change = with_stretch(file, &item, [kappa, sd], &day.date)?;
    let text = change.splices.iter().try_fold(file.text.clone(), |t, s| s.apply(&t));
    let text = text.ok_or("there is no place for it")?;
    // With it, everything that was read of stretch has to agree: one figure cannot be taken against another.
    let after = PlanFile::parse(&file.name, text.clone()).map_err(|e| e.show(&file.name))?;
    let again = day_read(&after, day);
    let of_stretch = |read: Read| matches!(read, Read::Sag | Read::Loaded | Read::Through);
    if again.compared.iter().any(|c| of_stretch(c.read) && c.off().is_none_or(|off| off.abs() > OFF)) {
        return Err(format!(
            "what was read contradicts itself: with a stretch of × {kappa:.2} a sag, a tension with a walker or what came through is still off; `check --why day` tells which"
        ));
    }
    let words = format!("{item}: stretch × {kappa:.2} ± {sd:.2} of what it was, as rigged {}", day.date);
    Ok(StretchTaken { change, text, words })
}
