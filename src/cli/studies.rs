//! Studies of a plan: its limits, its doubts, what proves it, and how it differs from another.

use std::io::IsTerminal as _;
use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::AtomicBool;

use color_eyre::eyre::Result;
use serde_json::{Value, json};

use super::{Print, complain, opened, print};
use crate::plan::day::day_of;
use crate::plan::{PlanFile, save};
use crate::review::{self, Bound, Edge, Mended, Review, Row, Varied};
use crate::review::{as_rigged, reviewed};
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
        let unknown = |u: &review::Matters| {
            json!({"what": u.what.words(), "share_of_scatter": u.share,
                "one_in_twenty_below_of_required_when_known": u.low_known.map(number)})
        };
        return printed(&json!({
            "title": file.plan.title, "digest": file.digest(), "rigs": doubt.rigs, "unsolved": doubt.unsolved,
            "seed": doubt.seed, "any_below": doubt.any_below,
            "one_in_twenty_below_of_required": number(doubt.low), "spot_error": doubt.spot_error,
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
        let taken = review::stretch_taken(&file, day).map_err(|e| format!("error: {name}: {e}\n"))?;
        save(path, &taken.text, Some(&file.text), false).map_err(|e| format!("error: {name}: {e}\n"))?;
        Ok(format!("{}; review the plan again\n", taken.words))
    };
    match taken() {
        Ok(text) => print(&text),
        Err(text) => {
            complain(&text);
            Ok(ExitCode::from(2))
        }
    }
}
