//! Studies of a plan: its limits, its doubts, what proves it, and how it differs from another.

use std::io::IsTerminal as _;
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;

use color_eyre::eyre::Result;
use serde_json::{Value, json};

use super::{Print, complain, opened, print};
use crate::plan::day::{as_rigged, day_of, with_stretch};
use crate::plan::{PlanFile, save};
use crate::review::reviewed;
use crate::review::{self, Bound, Edge, Mended, Read, Review, Row, Varied};
use crate::sheets;
use crate::units::System;

/// A plan read and reviewed; when that cannot be done, the reason is told and the code is 2.
fn ready(path: Option<&Path>) -> Option<(PlanFile, Review)> {
    let told = opened(path).and_then(|f| reviewed(&f).map(|r| (f, r)));
    told.map_err(|text| complain(&text)).ok()
}

/// Progress on long work, when somebody looks.
fn tell(what: &str) {
    if std::io::stderr().is_terminal() {
        complain(&format!("{what} …\n"));
    }
}

fn printed(value: &Value) -> Result<ExitCode> {
    print(&(serde_json::to_string_pretty(value)? + "\n"))
}

fn number(x: f64) -> Value {
    if x.is_finite() { json!(x) } else { Value::Null }
}

fn edge(e: Option<&Edge>) -> Value {
    match e {
        None => Value::Null,
        Some(Edge::At(v, why)) => json!({"at": v, "gives_out": why}),
        Some(Edge::Beyond(v)) => json!({"holds_at_least_to": v}),
    }
}

fn bound(b: &Bound) -> Value {
    let unit = match b.varied {
        Varied::Tension => "N",
        Varied::Walker => "kg",
        Varied::Wind | Varied::Storm => "m/s",
        Varied::Length => "m",
    };
    json!({
        "varied": b.varied.words(), "unit": unit, "planned": b.planned, "fails_as_planned": b.fails,
        "counts_only_what_meets_as_planned": b.beside, "low": edge(b.low.as_ref()), "high": edge(b.high.as_ref()),
    })
}

fn mend(row: &Row, tried: &[Mended]) -> Value {
    let one = |m: &Mended| {
        json!({"change": m.what, "factor": number(m.factor), "required": m.required, "verdict": m.verdict.word(),
            "then_fails": m.breaks})
    };
    json!({"piece": row.place.to_string(), "class": row.class.word(), "factor": number(row.factor),
        "required": row.required, "tried": tried.iter().map(one).collect::<Vec<_>>()})
}

pub(super) fn limits(
    path: Option<&Path>,
    out: &Print,
    json: bool,
    (system, ascii): (System, bool),
) -> Result<ExitCode> {
    let Some((file, reviewed)) = ready(path) else { return Ok(ExitCode::from(2)) };
    let never = AtomicBool::new(false);
    let bounds: Vec<Bound> = Varied::ALL
        .into_iter()
        .map(|v| {
            tell(&format!("looking for the limits of {}", v.words()));
            review::bound(&file, &reviewed, v, &never)
        })
        .collect();
    tell("trying what would mend it");
    let mends: Vec<(Row, Vec<Mended>)> = sheets::to_mend(&reviewed)
        .into_iter()
        .map(|row| (row.clone(), review::mended(&file, &reviewed, row, &never)))
        .collect();
    if json {
        return printed(&json!({
            "title": file.plan.title, "digest": file.digest(), "verdict": reviewed.verdict.word(),
            "limits": bounds.iter().map(bound).collect::<Vec<_>>(),
            "mends": mends.iter().map(|(r, m)| mend(r, m)).collect::<Vec<_>>(), "caution": sheets::CAUTION,
        }));
    }
    out.page(&sheets::limits_sheet(&file, &reviewed, &bounds, &mends, system), ascii)
}

pub(super) fn doubt(
    path: Option<&Path>,
    out: &Print,
    json: bool,
    (rigs, seed): (usize, u64),
    ascii: bool,
) -> Result<ExitCode> {
    let Some((file, reviewed)) = ready(path) else { return Ok(ExitCode::from(2)) };
    tell(&format!("drawing {rigs} rigs"));
    let drawn = review::doubt(&file, &reviewed, rigs.max(1), seed, &AtomicBool::new(false));
    let Ok(Some(doubt)) = drawn else {
        complain("error: the rig cannot be tensioned\n");
        return Ok(ExitCode::from(2));
    };
    if json {
        let piece = |p: &review::Doubted| {
            json!({"piece": p.place.to_string(), "class": p.class.word(), "factor": number(p.factor),
                "required": p.required, "half_come_below": number(p.middle), "one_in_twenty_below": number(p.low),
                "share_below_required": p.below})
        };
        let unknown = |u: &(review::Unknown, f64)| json!({"what": u.0.words(), "share_of_scatter": u.1});
        return printed(&json!({
            "title": file.plan.title, "digest": file.digest(), "rigs": doubt.rigs, "unsolved": doubt.unsolved,
            "seed": doubt.seed, "any_below": doubt.any_below, "spot_error": doubt.spot_error,
            "pieces": doubt.pieces.iter().map(piece).collect::<Vec<_>>(),
            "unknowns": doubt.unknowns.iter().map(unknown).collect::<Vec<_>>(), "caution": sheets::CAUTION,
        }));
    }
    out.page(&sheets::doubt_sheet(&file, &reviewed, &doubt), ascii)
}

pub(super) fn compare(paths: [&Path; 2], out: &Print, json: bool, (system, ascii): (System, bool)) -> Result<ExitCode> {
    let [Some((a, before)), Some((b, after))] = paths.map(|p| ready(Some(p))) else { return Ok(ExitCode::from(2)) };
    let c = sheets::comparison((&a, &before), (&b, &after));
    if json {
        return print(&(serde_json::to_string_pretty(&c)? + "\n"));
    }
    out.page(&sheets::comparison_sheet(&c, system), ascii)
}

pub(super) fn certificates(path: Option<&Path>, out: &Print, ascii: bool) -> Result<ExitCode> {
    let Some((file, reviewed)) = ready(path) else { return Ok(ExitCode::from(2)) };
    out.page(&sheets::certificates(&file, &reviewed), ascii)
}

/// The sheet of a day: the plan reviewed as it was rigged then, beside the plan as it is.
pub(super) fn day(path: &Path, date: Option<&str>, out: &Print, (system, ascii): (System, bool)) -> Result<ExitCode> {
    let Some((file, planned)) = ready(Some(path)) else { return Ok(ExitCode::from(2)) };
    let hung = day_of(&file, date).and_then(|day| Ok((day, as_rigged(&file, day)?)));
    let (day, rigged) = match hung {
        Ok(hung) => hung,
        Err(why) => {
            complain(&why);
            return Ok(ExitCode::from(2));
        }
    };
    tell("reviewing the rig as it hangs");
    let after = match reviewed(&rigged) {
        Ok(r) => r,
        Err(why) => {
            complain(&why);
            return Ok(ExitCode::from(2));
        }
    };
    let read = review::day_read(&file, day);
    let changes = sheets::comparison((&file, &planned), (&rigged, &after));
    let page = sheets::day_sheet((&file, &planned), (&rigged, &after), (day, &read), &changes, system);
    let code = out.page(&page, ascii)?;
    Ok(if code == ExitCode::SUCCESS && !after.passes() { ExitCode::from(1) } else { code })
}

/// Writes the stretch that a day's readings say into the plan.
pub(super) fn take_stretch(path: &Path, date: Option<&str>) -> Result<ExitCode> {
    let taken = || -> std::result::Result<String, String> {
        let name = path.display().to_string();
        let file = PlanFile::open(path).map_err(|e| e.show(&name))?;
        if !file.is_sound() {
            return Err(file.show_faults());
        }
        let day = day_of(&file, date)?;
        let read = review::day_read(&file, day);
        let none = "error: nothing that was read says how the line stretches: a sag or a tension with a walker, or what came through the lock\n";
        let [kappa, sd] = read.stretch.ok_or_else(|| read.fault.clone().unwrap_or_else(|| none.to_owned()))?;
        if !review::BELIEVED.contains(&kappa) {
            return Err(format!(
                "error: × {kappa:.2} ± {sd:.2} is beyond belief: a figure is wrong, not the webbing; measure again\n"
            ));
        }
        let part = file.plan.tensioned_part().and_then(|k| file.plan.main()?.1.parts.get(k));
        let item = part.map(|p| p.item.clone()).ok_or("error: the plan has no line\n")?;
        let change = with_stretch(&file, &item, [kappa, sd], &day.date).map_err(|e| format!("error: {name}: {e}\n"))?;
        let text = change.splices.iter().try_fold(file.text.clone(), |t, s| s.apply(&t));
        let text = text.ok_or_else(|| format!("error: {name}: there is no place for it\n"))?;
        // With it, everything that was read of stretch has to agree: one figure cannot be taken against another.
        let after = PlanFile::parse(&name, text.clone()).map_err(|e| e.show(&name))?;
        let again = review::day_read(&after, day);
        let against = again.compared.iter().filter(|c| {
            matches!(c.read, Read::Sag | Read::Loaded | Read::Through)
                && c.off().is_none_or(|off| off.abs() > review::OFF)
        });
        if against.count() > 0 {
            return Err(format!(
                "error: {name}: what was read contradicts itself: with a stretch of × {kappa:.2} a sag, a tension with a walker or what came through is still off; `check --why day` tells which\n"
            ));
        }
        save(path, &text, Some(&file.text), false).map_err(|e| format!("error: {name}: {e}\n"))?;
        Ok(format!(
            "{item}: stretch × {kappa:.2} ± {sd:.2} of what it was, as rigged {}; review the plan again\n",
            day.date
        ))
    };
    match taken() {
        Ok(text) => print(&text),
        Err(text) => {
            complain(&text);
            Ok(ExitCode::from(2))
        }
    }
}
