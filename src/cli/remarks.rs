//! Remarks of a plan from the command line: listed, added, and those of two copies in one.

use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

use color_eyre::eyre::Result;

use super::{complain, print};
use crate::document::plain;
use crate::plan::changes::{add_remark, merged_remarks};
use crate::plan::{PlanFile, Remark, save};

fn refuse(text: &str) -> ExitCode {
    complain(&format!("{}\n", text.trim_end()));
    ExitCode::from(2)
}

fn sound(path: &Path) -> std::result::Result<PlanFile, String> {
    let name = path.display().to_string();
    let file = PlanFile::open(path).map_err(|e| e.show(&name))?;
    if file.is_sound() { Ok(file) } else { Err(file.show_faults()) }
}

/// Every remark, one line each, with its place, who, when, and how far it has come.
fn listed(file: &PlanFile) -> String {
    if file.plan.remarks.is_empty() {
        return "no remarks\n".to_owned();
    }
    let line = |r: &Remark| {
        let by = [&r.by, &r.date].into_iter().filter(|w| !w.is_empty()).cloned().collect::<Vec<_>>().join(", ");
        let by = if by.is_empty() { String::new() } else { format!(" ({by})") };
        format!("{:<9} {}: {}{by}\n", r.state.to_lowercase(), plain(&r.at), plain(&r.text))
    };
    file.plan.remarks.iter().map(line).collect()
}

pub(super) fn list_or_add(path: &Path, add: Option<&[String]>, by: &str) -> Result<ExitCode> {
    let file = match sound(path) {
        Ok(f) => f,
        Err(text) => return Ok(refuse(&text)),
    };
    let Some([at, text]) = add else { return print(&listed(&file)) };
    let known = file.plan.points.contains_key(at.as_str())
        || file.plan.runs.keys().any(|r| at == r || at.starts_with(&format!("{r}, part ")))
        || at == "the plan";
    if !known {
        return Ok(refuse(&plain(&format!("error: “{at}” is no point, no run and no part of {}", path.display()))));
    }
    let date = crate::app::today().to_string();
    let remark = Remark { at: at.clone(), text: text.clone(), by: by.to_owned(), date, state: "Open".to_owned() };
    let added = add_remark(&file.text, &file.root, &remark).and_then(|s| s.apply(&file.text));
    let Some(text) = added.filter(|t| PlanFile::parse(&file.name, t.clone()).is_ok_and(|f| f.is_sound())) else {
        return Ok(refuse("error: the remark cannot be written into this plan"));
    };
    match save(path, &text, Some(&file.text), false) {
        Ok(()) => print(&format!("remarked on {}\n", plain(at))),
        Err(e) => Ok(refuse(&format!("error: {}: {e}", path.display()))),
    }
}

pub(super) fn merge([ours, theirs]: [&Path; 2], output: Option<&Path>) -> Result<ExitCode> {
    let (a, b) = match sound(ours).and_then(|a| Ok((a, sound(theirs)?))) {
        Ok(both) => both,
        Err(text) => return Ok(refuse(&text)),
    };
    let (text, done) = match merged_remarks(&a, &b) {
        Ok(x) => x,
        Err(why) => return Ok(refuse(&format!("error: {why}"))),
    };
    let Some(path) = output else { return print(&text) };
    let written = std::fs::OpenOptions::new().write(true).create_new(true).open(path);
    if let Err(e) = written.and_then(|mut f| f.write_all(text.as_bytes())) {
        return Ok(refuse(&format!("error: {}: {e}", path.display())));
    }
    let told = done.iter().fold(String::new(), |out, d| out + d + "\n");
    print(&format!("{told}wrote {} ({} remarks taken over or moved on)\n", path.display(), done.len()))
}
