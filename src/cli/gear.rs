//! What somebody owns, from the command line: listed, brought into one, written anew, packed, brought home, logged.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Args, Subcommand};
use color_eyre::eyre::Result;
use jiff::civil::Date;

use super::{complain, opened, print};
use crate::catalogue::Catalogue;
use crate::document::{Path as Place, Reader, Splice, did_you_mean, plain, scan};
use crate::inventory::{Entry, Inventory, InventoryFile, What, log_csv, merge, pieces_csv, ron};
use crate::plan::{PlanFile, save};
use crate::review;
use crate::sheets;
use crate::units::{Dim, System, show};

/// What is done with an inventory.
#[derive(Debug, Subcommand)]
pub(super) enum Gear {
    /// List every piece: whether it may come, why not, days and falls; 1 when something must stay at home.
    List {
        #[command(flatten)]
        from: From,
    },
    /// Write inventories as one: as FILE.ron, or as FILE.csv with FILE-log.csv beside it.
    Write {
        #[command(flatten)]
        from: From,
        /// The file to write; it must not exist yet.
        #[arg(short, long, value_name = "FILE")]
        output: PathBuf,
    },
    /// Pack for a plan: the pieces that serve for it are written into the inventory's log as out.
    Out {
        #[command(flatten)]
        trip: Trip,
    },
    /// Bring home from a plan: every piece that is out for it is back, damaged, or lost.
    Back {
        #[command(flatten)]
        trip: Trip,
        /// A piece that came home as it went out; may be given more than once.
        #[arg(long, value_name = "ID")]
        back: Vec<String>,
        /// A piece that came home damaged; may be given more than once.
        #[arg(long, value_name = "ID")]
        damaged: Vec<String>,
        /// A piece that did not come home; may be given more than once.
        #[arg(long, value_name = "ID")]
        lost: Vec<String>,
        /// All that is not named came home as it went out: counted, piece by piece.
        #[arg(long)]
        rest_back: bool,
    },
    /// Write a day of a plan into the logs of the pieces that hung in it: hours, sun, falls, catches, what happened.
    Day {
        #[command(flatten)]
        trip: Trip,
        /// Which day of the plan, as 2026-10-03; the last without it.
        #[arg(long, value_name = "DATE")]
        date: Option<String>,
    },
    /// Write down that a piece was looked over.
    Look {
        /// The inventory.
        #[arg(long, value_name = "FILE")]
        inventory: PathBuf,
        /// A plan whose own items the inventory may name.
        #[arg(long, value_name = "PLAN")]
        plan: Option<PathBuf>,
        /// The pieces.
        #[arg(required = true, value_name = "ID")]
        pieces: Vec<String>,
        /// They were found unfit.
        #[arg(long)]
        failed: bool,
        /// Who looked: initials.
        #[arg(long, default_value = "")]
        by: String,
        /// What was seen, or the proof load.
        #[arg(long, default_value = "")]
        note: String,
        /// When, as 2026-05-30; today without it.
        #[arg(long, value_parser = super::day)]
        on: Option<Date>,
    },
}

/// Inventories to read.
#[derive(Debug, Args)]
pub(super) struct From {
    /// The inventories, RON or spreadsheets.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The one of them that settles what they disagree on.
    #[arg(long, value_name = "FILE")]
    prefer: Option<PathBuf>,
    /// A plan whose own items the inventories may name.
    #[arg(long, value_name = "PLAN")]
    plan: Option<PathBuf>,
    /// The day that it is asked for, as 2026-05-30; today without it.
    #[arg(long, value_parser = super::day)]
    on: Option<Date>,
}

/// A plan and the inventory that it is rigged from.
#[derive(Debug, Args)]
pub(super) struct Trip {
    /// The plan.
    plan: PathBuf,
    /// The inventory; it is written to, and a copy of what stood there is kept as .bak.
    #[arg(long, value_name = "FILE")]
    inventory: PathBuf,
    /// Who says so: initials.
    #[arg(long, default_value = "")]
    by: String,
    /// The day, as 2026-05-30; today without it.
    #[arg(long, value_parser = super::day)]
    on: Option<Date>,
}

/// What is later than this is still to come: today, or the day that is asked for.
fn latest(on: Date) -> Date {
    on.max(crate::app::today())
}

/// Several inventories as one, read beside a plan's own items.
///
/// # Errors
/// Every fault, or what they disagree on.
pub(super) fn stock(
    files: &[PathBuf],
    prefer: Option<&Path>,
    catalogue: &Catalogue,
    on: Date,
) -> std::result::Result<Option<Inventory>, String> {
    let today = latest(on);
    let read: Vec<InventoryFile> =
        files.iter().map(|f| InventoryFile::open(f, today, catalogue)).collect::<std::result::Result<_, _>>()?;
    let all: Vec<(&str, &Inventory)> = read.iter().map(|f| (f.name.as_str(), &f.inventory)).collect();
    let prefer = prefer.map(|p| p.display().to_string());
    if let Some(p) = prefer.as_ref().filter(|p| !all.iter().any(|a| a.0 == p.as_str())) {
        return Err(format!("error: {}: is none of the inventories that were given\n", plain(p)));
    }
    let merged = merge(&all, prefer.as_deref());
    if merged.conflicts.is_empty() {
        return Ok((!all.is_empty()).then_some(merged.inventory));
    }
    let told = merged.conflicts.iter().map(|c| {
        let [(a, x), (b, y)] = &c.said;
        let said = |v: &String| if v.is_empty() { "nothing".to_owned() } else { plain(v) };
        let place = |file: &str| {
            let of = read.iter().find(|f| f.name == file);
            of.map_or_else(|| plain(file), |f| f.place_of(&c.id, c.field))
        };
        format!("error: {}, {}: {} has {}, {} has {}\n", plain(&c.id), c.field, place(a), said(x), place(b), said(y))
    });
    Err(told.chain(["  fix: --prefer FILE names the one that is right, or mend one of them\n".to_owned()]).collect())
}

fn refuse(text: &str) -> ExitCode {
    complain(&format!("{}\n", text.trim_end()));
    ExitCode::from(2)
}

/// Where a thing is kept, and what else is noted of it.
fn kept(place: &str, note: &str) -> String {
    [place, note].into_iter().filter(|t| !t.is_empty()).fold(String::new(), |said, t| said + "; " + t)
}

pub(super) fn gear(what: Gear, system: System) -> Result<ExitCode> {
    let done = match what {
        Gear::List { from } => return list(&from, system),
        Gear::Write { from, output } => write(&from, &output),
        Gear::Out { trip } => out(&trip),
        Gear::Back { trip, back, damaged, lost, rest_back } => home(&trip, &back, &damaged, &lost, rest_back),
        Gear::Day { trip, date } => day(&trip, date.as_deref()),
        Gear::Look { inventory, plan, pieces, failed, by, note, on } => {
            let event = if failed { What::Failed } else { What::Inspected };
            let on = on.unwrap_or_else(crate::app::today);
            let entry = Entry { by, note, ..Entry::of(on, event) };
            own_items(plan.as_deref()).and_then(|catalogue| {
                let file = read_to_write(&inventory, &catalogue, on)?;
                let entries: Vec<(String, Entry)> = pieces.iter().map(|id| (id.clone(), entry.clone())).collect();
                append(&inventory, &file, &entries, (&catalogue, on))?;
                Ok(format!("{} on {on}: {}\n", event.words(), pieces.join(", ")))
            })
        }
    };
    match done {
        Ok(text) => print(&text),
        Err(text) => Ok(refuse(&text)),
    }
}

fn own_items(plan: Option<&Path>) -> std::result::Result<Catalogue, String> {
    Ok(match plan {
        Some(p) => opened(Some(p))?.catalogue,
        None => Catalogue::builtin().clone(),
    })
}

fn list(from: &From, system: System) -> Result<ExitCode> {
    let on = from.on.unwrap_or_else(crate::app::today);
    let read = own_items(from.plan.as_deref()).and_then(|catalogue| {
        Ok((stock(&from.files, from.prefer.as_deref(), &catalogue, on)?.unwrap_or_default(), catalogue))
    });
    let (all, catalogue) = match read {
        Ok(read) => read,
        Err(text) => return Ok(refuse(&text)),
    };
    let mut home = 0;
    let mut text = format!(
        "As of {on}. What is here is what was written down: look every piece over before it hangs in a rig.\n\n"
    );
    for (id, p) in &all.pieces {
        let item = catalogue.get(&p.kind).map(std::convert::AsRef::as_ref);
        let title = item.map_or(p.kind.as_str(), |i| i.title.as_str());
        let long = p.length_m(on).map(|m| format!(", {}", show(Dim::Length, m, system))).unwrap_or_default();
        let had = p.history(on);
        let days = if had.known {
            format!("; days {}, falls {}, catches {}", had.days, had.falls, had.catches)
        } else {
            String::new()
        };
        let state = match p.unfit(item, on, "") {
            Some(why) => {
                home += 1;
                format!("stays at home: {why}")
            }
            None => p.worth_a_word(item, on).map_or_else(|| "may come".to_owned(), |w| format!("may come; {w}")),
        };
        let note = kept(&p.place, &p.note);
        text += &plain(&format!("{id}  {title}{long}  {}: {state}{days}{note}", all.owner_of(&p.owner)));
        text.push('\n');
    }
    for c in &all.counted {
        let title = catalogue.get(&c.kind).map_or(c.kind.as_str(), |i| i.title.as_str());
        let state = c.unfit(on).map_or_else(|| "may come".to_owned(), |why| format!("stay at home: {why}"));
        home += usize::from(state != "may come");
        let note = kept(&c.place, &c.note);
        text += &plain(&format!("{} × {title}  {}: {state}{note}", c.count, all.owner_of(&c.owner)));
        text.push('\n');
    }
    print(&text)?;
    Ok(ExitCode::from(u8::from(home > 0)))
}

fn write(from: &From, output: &Path) -> std::result::Result<String, String> {
    let catalogue = own_items(from.plan.as_deref())?;
    let on = from.on.unwrap_or_else(crate::app::today);
    let all = stock(&from.files, from.prefer.as_deref(), &catalogue, on)?.unwrap_or_default();
    let ending = output.extension().and_then(|e| e.to_str()).unwrap_or_default().to_lowercase();
    let stem = output.file_stem().and_then(|s| s.to_str()).unwrap_or_default();
    let log = output.with_file_name(format!("{stem}-log.csv"));
    let files = match ending.as_str() {
        "ron" => vec![(output.to_owned(), ron(&all))],
        "csv" => vec![(output.to_owned(), pieces_csv(&all)), (log, log_csv(&all))],
        _ => return Err(format!("error: {}: the ending names no form; write .ron or .csv\n", output.display())),
    };
    if let Some((path, _)) = files.iter().find(|f| f.0.exists()) {
        return Err(format!("error: {}: is there already; name another file\n", path.display()));
    }
    let mut said = String::new();
    for (path, text) in files {
        save(&path, &text, None, false).map_err(|e| format!("error: {}: {e}\n", path.display()))?;
        said += &format!("wrote {}\n", path.display());
    }
    Ok(said)
}

/// An inventory that can be written to, as it stands.
fn read_to_write(path: &Path, catalogue: &Catalogue, on: Date) -> std::result::Result<InventoryFile, String> {
    if path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv")) {
        let name = path.display();
        return Err(format!(
            "error: {name}: a log is kept in a .ron file; `spanwright gear write {name} -o FILE.ron` makes one\n"
        ));
    }
    let file = InventoryFile::open(path, latest(on), catalogue)?;
    if Reader(&file.root).get("items").is_some() {
        let name = path.display();
        return Err(format!(
            "error: {name}: an inventory of the first form keeps no log; `spanwright gear write {name} -o FILE.ron` brings it to the second\n"
        ));
    }
    Ok(file)
}

/// Adds entries to the logs of pieces, all or none; everything else in the file stays as it is.
fn append(
    path: &Path,
    file: &InventoryFile,
    entries: &[(String, Entry)],
    (catalogue, on): (&Catalogue, Date),
) -> std::result::Result<(), String> {
    let name = path.display().to_string();
    let mut text = file.text.clone();
    for (id, entry) in entries {
        if !file.inventory.pieces.contains_key(id) {
            let near = did_you_mean(id, file.inventory.pieces.keys().map(String::as_str));
            let near = near.map(|n| format!("; did you mean “{n}”?")).unwrap_or_default();
            return Err(format!("error: {name}: no piece is called “{}”{near}\n", plain(id)));
        }
        let cannot = || format!("error: {name}: the log of {} cannot be written to\n", plain(id));
        let root = scan(&text).map_err(|_| cannot())?;
        let log = Place::root().key("pieces").key(id).key("log");
        let splice = match log.find(&root) {
            Some(list) => Splice::insert(&text, list, None, None, &entry.ron()),
            None => Splice::set(&text, &root, &log, &format!("[{}]", entry.ron())),
        };
        text = splice.and_then(|s| s.apply(&text)).ok_or_else(cannot)?;
    }
    InventoryFile::parse(&name, text.clone(), latest(on), catalogue)?;
    save(path, &text, Some(&file.text), false).map_err(|e| format!("error: {name}: {e}\n"))
}

/// The plan and the inventory of a trip, and its day.
fn read_trip(trip: &Trip) -> std::result::Result<(PlanFile, InventoryFile, Date), String> {
    let plan = opened(Some(&trip.plan))?;
    if !plan.is_sound() {
        return Err(plan.show_faults());
    }
    let on = trip.on.unwrap_or_else(crate::app::today);
    let inventory = read_to_write(&trip.inventory, &plan.catalogue, on)?;
    Ok((plan, inventory, on))
}

fn out(trip: &Trip) -> std::result::Result<String, String> {
    let (plan, file, on) = read_trip(trip)?;
    let review = review::at_rest(&plan)?;
    let solver = review::in_view(&plan).map_err(|_| "error: the rig cannot be tensioned\n".to_owned())?;
    let facts = sheets::Facts { file: &plan, review: &review, solver: &solver, system: System::Si, tried: None };
    let name = sheets::plan_name(&plan);
    let away =
        |id: &String| file.inventory.pieces.get(id).and_then(|p| p.out_for(on)).is_some_and(|(plan, _)| plan == name);
    let pack = sheets::to_pack(&facts, &file.inventory, on);
    let (there, new): (Vec<String>, Vec<String>) = pack.into_iter().partition(away);
    let entry = Entry { by: trip.by.clone(), plan: name.clone(), ..Entry::of(on, What::Out) };
    let entries: Vec<(String, Entry)> = new.iter().map(|id| (id.clone(), entry.clone())).collect();
    append(&trip.inventory, &file, &entries, (&plan.catalogue, on))?;
    let mut said = format!("out for {name} on {on}: {}\n", listed(&new));
    if !there.is_empty() {
        said += &format!("out for it already: {}\n", listed(&there));
    }
    for f in sheets::held_against(&facts, &file.inventory, on) {
        said += &format!("{}: {}\n", f.gravity.word(), plain(&f.text));
    }
    Ok(said + "counted pieces have no log: count them into the bag by the gear list\n")
}

fn listed(ids: &[String]) -> String {
    if ids.is_empty() { "nothing".to_owned() } else { plain(&ids.join(", ")) }
}

fn home(
    trip: &Trip,
    back: &[String],
    damaged: &[String],
    lost: &[String],
    rest_back: bool,
) -> std::result::Result<String, String> {
    let (plan, file, on) = read_trip(trip)?;
    let name = sheets::plan_name(&plan);
    let pieces = &file.inventory.pieces;
    let is_out = |id: &String| pieces.get(id).and_then(|p| p.out_for(on)).is_some_and(|o| o.0 == name);
    let out: Vec<String> = pieces.keys().filter(|id| is_out(id)).cloned().collect();
    let named: Vec<&String> = back.iter().chain(damaged).chain(lost).collect();
    if let Some(id) = named.iter().find(|id| !out.contains(id)) {
        return Err(format!("error: {} is not out for {name}; out: {}\n", plain(id), listed(&out)));
    }
    if let Some(id) = named.iter().find(|id| named.iter().filter(|n| n == id).count() > 1) {
        return Err(format!("error: {} cannot have come home in two ways\n", plain(id)));
    }
    let open: Vec<String> = out.iter().filter(|id| !named.contains(id)).cloned().collect();
    if !open.is_empty() && !rest_back {
        return Err(format!(
            "error: still out for {name}: {}\n  fix: --back, --damaged or --lost for each; --rest-back once every one was counted\n",
            listed(&open)
        ));
    }
    let event = |what: What| Entry { by: trip.by.clone(), plan: name.clone(), ..Entry::of(on, what) };
    let each = |ids: &[String], what: What| ids.iter().map(|id| (id.clone(), event(what))).collect::<Vec<_>>();
    let entries =
        [each(back, What::Back), each(&open, What::Back), each(damaged, What::Damaged), each(lost, What::Lost)]
            .concat();
    append(&trip.inventory, &file, &entries, (&plan.catalogue, on))?;
    let home = [back, &open].concat();
    Ok(format!(
        "home from {name} on {on}: {}\ndamaged, and unfit until looked over: {}\nlost: {}\n",
        listed(&home),
        listed(damaged),
        listed(lost)
    ))
}

fn day(trip: &Trip, date: Option<&str>) -> std::result::Result<String, String> {
    let (plan, file, on) = read_trip(trip)?;
    let name = sheets::plan_name(&plan);
    let day = crate::plan::day::day_of(&plan, date)?;
    let mut entries: Vec<(String, Entry)> = Vec::new();
    let mut there = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for (_, _, serial) in plan.plan.serials() {
        if seen.contains(&serial) {
            continue;
        }
        seen.push(serial);
        let log = file.inventory.pieces.get(serial).map(|p| p.log.as_slice()).unwrap_or_default();
        for e in day.logged(serial, &name) {
            let e = if e.by.is_empty() { Entry { by: trip.by.clone(), ..e } } else { e };
            let known = |o: &Entry| o.on == e.on && o.event == e.event && o.plan == e.plan && o.note == e.note;
            if log.iter().any(known) {
                there.push(serial.to_owned());
            } else {
                entries.push((serial.to_owned(), e));
            }
        }
    }
    if seen.is_empty() {
        return Err(format!(
            "error: {name}: no part names a piece of the inventory; write its `serial` into the parts that hung\n"
        ));
    }
    append(&trip.inventory, &file, &entries, (&plan.catalogue, on))?;
    there.dedup();
    let ids: Vec<String> = seen.iter().filter(|s| !there.iter().any(|t| t == *s)).map(|s| (*s).to_owned()).collect();
    let mut said = format!("{} of {name} written into the logs of {}\n", day.date, listed(&ids));
    if !there.is_empty() {
        said += &format!("there already: {}\n", listed(&there));
    }
    Ok(said)
}
