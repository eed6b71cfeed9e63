//! The command line.

mod gear;
mod lesson;
mod remarks;
mod splice;
mod studies;

use std::io::{IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{CommandFactory as _, Parser, Subcommand};
use color_eyre::eyre::{Result, WrapErr as _};

use jiff::civil::Date;

use crate::app::{App, Glyphs, Journal, KeyFile, Palette, Settings, keysheet};
use crate::document::{did_you_mean, plain};
use crate::plan::PlanFile;
use crate::plan::sighted::Shot;
use crate::plan::templates::{AnchorKind, Answers, Visit, factors, plan_text};
use crate::review::{self, RULES, reviewed};
use crate::sheets;
use crate::sheets::page::{Form, Page, Paper};
use crate::units::{self, Dim, System};

/// The embedded demo.
pub const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");
/// What messages call the demo.
pub const DEMO_NAME: &str = "kestrel-gap-62m.ron (built-in demo)";

/// Plans a highline: the tension on every part in every situation, what its terminations leave of its strength, and the
/// weak part. A planning aid: it replaces neither the judgement of a competent rigger on site, nor the makers'
/// instructions, nor local codes.
#[derive(Debug, Parser)]
#[command(name = "spanwright", version, args_conflicts_with_subcommands = true)]
pub struct Arguments {
    /// Show US customary units.
    #[arg(long, global = true)]
    us: bool,
    /// What the drawing is made of; `ascii` draws and writes with ASCII only.
    #[arg(long, global = true, value_parser = glyphs, default_value = "braille", hide_default_value = true)]
    glyphs: Glyphs,
    /// Short for `--glyphs ascii`.
    #[arg(long, global = true)]
    ascii: bool,
    /// Colours for a dark or a light background, for either, high contrast, or none: dark, light, either, contrast, mono.
    /// Without it the terminal is asked.
    #[arg(long, global = true, value_parser = palette)]
    palette: Option<Palette>,
    /// Leave the mouse to the terminal.
    #[arg(long, global = true)]
    no_mouse: bool,
    /// The key file; without it the one that `spanwright keys` names, if it is there.
    #[arg(long, global = true, value_name = "FILE")]
    keys: Option<PathBuf>,
    /// The plan to open in the workbench; the built-in demo without it.
    plan: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Review plans: exit 0 when all meet and nothing says stop, 1 otherwise, 2 when a plan could not be read or worked out.
    Check {
        /// The plans.
        #[arg(required = true)]
        plans: Vec<PathBuf>,
        /// Print JSON; an array when there are several plans.
        #[arg(long, conflicts_with = "md")]
        json: bool,
        /// Print Markdown.
        #[arg(long)]
        md: bool,
        /// Show every piece and every note.
        #[arg(long)]
        all: bool,
        /// Show only where a number comes from, down to its inputs and sources: of a run, a point, an anchor; of
        /// standing, length, sag, body, clearance, no-fall; of an incident or a rule by its name.
        #[arg(long, value_name = "NAME", conflicts_with_all = ["json", "md"])]
        why: Option<String>,
        /// Hold the plans' gear against what the rigger owns: worn, overdue, past its days, missing; may be given more than
        /// once.
        #[arg(long, value_name = "FILE")]
        inventory: Vec<PathBuf>,
        /// The inventory that settles what several disagree on.
        #[arg(long, value_name = "FILE", requires = "inventory")]
        prefer: Option<PathBuf>,
        /// The day for which it is held against the inventory, as 2026-05-30; today without it.
        #[arg(long, value_parser = day, requires = "inventory")]
        on: Option<Date>,
        /// Review the plan as it was rigged on this day of it, as 2026-10-03.
        #[arg(long, value_name = "DATE")]
        day: Option<String>,
    },
    /// Write a new plan from a few answers; what is not given is assumed, and says so in the plan.
    New {
        /// Where to write it; must not exist yet.
        path: PathBuf,
        /// What to call it.
        #[arg(long, default_value = "New plan")]
        title: String,
        /// Horizontal distance, such as "50 m".
        #[arg(long, default_value = "50 m", value_parser = length)]
        span: f64,
        /// B above A, such as "-2 m".
        #[arg(long, default_value = "0 m", value_parser = length, allow_hyphen_values = true)]
        rise: f64,
        /// Anchor at A: two-bolts, two-bolts-sliding, three-bolts, three-bolts-sliding, four-bolts, one-tree, two-trees, boulder, threads,
        /// deadmen or vehicles.
        #[arg(long, default_value = "three-bolts", value_parser = anchor)]
        anchor_a: AnchorKind,
        /// Anchor at B.
        #[arg(long, default_value = "two-trees", value_parser = anchor)]
        anchor_b: AnchorKind,
        /// Item of main and backup webbing.
        #[arg(long, default_value = "webbing-polyester-sheathed-25")]
        webbing: String,
        /// Standing tension, such as "2.5 kN".
        #[arg(long, default_value = "2.5 kN", value_parser = force)]
        tension: f64,
        /// The heaviest walker, such as "80 kg".
        #[arg(long, default_value = "80 kg", value_parser = mass)]
        walker: f64,
        /// Factors required while working, in a fall, and when a piece has failed.
        #[arg(long, default_value = "5, 3, 2", value_parser = Factors::read)]
        factors: Factors,
        /// Item that the legs are spliced from.
        #[arg(long, default_value = "hmpe-8")]
        legs: String,
        /// Item of the bolts.
        #[arg(long, default_value = "bolt-glued-12")]
        bolts: String,
        /// From A's lip to B's as a laser and a clinometer say it, such as "63 m, 2.5 deg": span and height difference come of
        /// it, and what else was not asked stands as assumed.
        #[arg(long, value_parser = sighting, allow_hyphen_values = true, conflicts_with_all = ["span", "rise"], value_name = "DISTANCE, SLOPE")]
        seen: Option<(f64, f64)>,
        /// The ground, sighted down from A's lip along the line, such as "38 m, -62 deg"; once for each place.
        #[arg(long, value_parser = below, allow_hyphen_values = true, requires = "seen", value_name = "DISTANCE, SLOPE")]
        below: Vec<Shot>,
    },
    /// The workbench as a conversation: reads a line, prints lines; for screen readers, plain terminals and scripts.
    Plain {
        /// The plan; the built-in demo without it.
        plan: Option<PathBuf>,
    },
    /// Print a sheet of a plan: card (rig card), gear (gear list), cut (cut list), splices (splice cards), over (over and
    /// down), day (as rigged), rescue, edge, stay (the line that stays up), scout (a first
    /// visit, to fill in), review.
    Sheet {
        /// Which: card, gear, cut, splices, over, day, rescue, edge, stay, scout or review.
        #[arg(value_parser = kind)]
        kind: sheets::Kind,
        /// The plan; the built-in demo without it.
        plan: Option<PathBuf>,
        #[command(flatten)]
        print: Print,
        /// What the rigger owns, for the gear list; may be given more than once.
        #[arg(long, value_name = "FILE")]
        inventory: Vec<PathBuf>,
        /// The inventory that settles what several disagree on.
        #[arg(long, value_name = "FILE", requires = "inventory")]
        prefer: Option<PathBuf>,
        /// The most that a bag of the gear list weighs; 20 kg without it.
        #[arg(long, value_name = "MASS", value_parser = bag)]
        bag: Option<f64>,
        /// A spool to cut from, such as "100 m", or "hmpe-8=50 m" for one kind only; may be given more than once.
        #[arg(long, value_name = "LENGTH", value_parser = to_cut_from)]
        spool: Vec<sheets::ToCutFrom>,
        /// A length that you own, to be used before any is bought: an offcut or a spool, such as "hmpe-8=6.2 m", or "hmpe-8=2x12 m" for two; may be given
        /// more than once.
        #[arg(long, value_name = "LENGTH", value_parser = stock)]
        stock: Vec<sheets::ToCutFrom>,
        /// What a cut takes, with its taped end, of the cut list; 30 mm without it.
        #[arg(long, value_name = "LENGTH", value_parser = kerf)]
        kerf: Option<f64>,
        /// The day that the gear list is for, as 2026-05-30; today without it.
        #[arg(long, value_parser = day)]
        on: Option<Date>,
        /// An earlier state of the plan: the review then says what changed, and what that did.
        #[arg(long, value_name = "PLAN")]
        against: Option<PathBuf>,
    },
    /// What a club or a rigger owns, a row a piece: list it, bring several lists into one, pack, bring home, log.
    Gear {
        /// What is done.
        #[command(subcommand)]
        what: gear::Gear,
    },
    /// Design a piece of spliced gear, and print its card.
    Splice {
        /// What is made.
        #[command(subcommand)]
        piece: splice::Piece,
    },
    /// List the catalogue.
    Items {
        /// Only those whose name or title holds this.
        filter: Option<String>,
    },
    /// How far a plan may differ before something gives out (tension, walker, wind, lengths), and what would mend what
    /// does not meet, each tried by solving.
    Limits {
        /// The plan; the built-in demo without it.
        plan: Option<PathBuf>,
        #[command(flatten)]
        print: Print,
        /// Print JSON.
        #[arg(long, conflicts_with = "format")]
        json: bool,
    },
    /// How sure the verdicts are: many rigs drawn from what is not known; what to measure first.
    Doubt {
        /// The plan; the built-in demo without it.
        plan: Option<PathBuf>,
        #[command(flatten)]
        print: Print,
        /// Print JSON.
        #[arg(long, conflicts_with = "format")]
        json: bool,
        /// How many rigs are drawn.
        #[arg(long, default_value_t = review::RIGS)]
        rigs: usize,
        /// The seed; the same gives the same figures.
        #[arg(long, default_value_t = review::SEED)]
        seed: u64,
    },
    /// The rig as it hangs: a day's readings, the verdict with them, what they say of the line.
    Day {
        /// The plan.
        plan: PathBuf,
        /// The day, as 2026-10-03; the last of the plan without it.
        date: Option<String>,
        #[command(flatten)]
        print: Print,
        /// Write the stretch that the day's readings say into the plan's own item, with where it is from.
        #[arg(long)]
        take_stretch: bool,
    },
    /// What changed from plan A to plan B, and what that did to every factor.
    Compare {
        /// The plan before.
        a: PathBuf,
        /// The plan after.
        b: PathBuf,
        #[command(flatten)]
        print: Print,
        /// Print JSON.
        #[arg(long, conflicts_with = "format")]
        json: bool,
    },
    /// What proves the figures: forces out of balance, books of energy, errors of the mesh, case by case.
    SolverChecks {
        /// The plan; the built-in demo without it.
        plan: Option<PathBuf>,
        #[command(flatten)]
        print: Print,
    },
    /// List the remarks of a plan, or add one (the plan is saved with a backup copy beside it).
    Remarks {
        /// The plan.
        plan: PathBuf,
        /// Add a remark on a point, a run, or “run, part 2”.
        #[arg(long, num_args = 2, value_names = ["PLACE", "TEXT"])]
        add: Option<Vec<String>>,
        /// Initials of who remarks.
        #[arg(long, default_value = "", requires = "add")]
        by: String,
    },
    /// Take over the remarks of another copy of a plan: none is lost, each as far as either copy has come.
    Merge {
        /// The plan that is kept.
        ours: PathBuf,
        /// The copy that came back.
        theirs: PathBuf,
        /// The file to write, which must not exist yet; standard output without it.
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Play one of three short lessons; without a name, list them. Away from a terminal its steps are printed.
    Lesson {
        /// Which.
        name: Option<String>,
    },
    /// List the rules of review.
    Rules,
    /// Print the keys of the workbench as they are in force, and where the key file is looked for.
    Keys {
        /// Print the default keys as Markdown.
        #[arg(long, conflicts_with = "ron")]
        md: bool,
        /// Print a key file with every default, to be changed.
        #[arg(long)]
        ron: bool,
    },
    /// Print the JSON Schema of `check --json`.
    Schema,
    /// Print the description of the plan format.
    Format {
        /// Of an inventory's format instead.
        #[arg(long)]
        inventory: bool,
    },
    /// Print the man page.
    Man,
    /// Print completions for a shell.
    Completions {
        /// Which shell.
        shell: clap_complete::Shell,
    },
}

/// How a sheet is printed.
#[derive(Debug, Clone, clap::Args)]
struct Print {
    /// text, md, html or pdf; by the name of the file without it.
    #[arg(long, value_name = "FORMAT", value_parser = ["text", "md", "html", "pdf"])]
    format: Option<String>,
    /// Paper of a PDF: a4 or letter.
    #[arg(long, default_value = "a4", value_parser = ["a4", "letter"])]
    paper: String,
    /// The file to write; standard output without it. A plan, an inventory or a key file is never written over.
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Write over a file that is there already.
    #[arg(long, requires = "output")]
    force: bool,
}

impl Print {
    /// The form asked for; in words what is wrong where the file's ending names another, or none.
    fn form(&self) -> std::result::Result<Form, String> {
        let named = |word: &str| match word {
            "text" | "txt" => Some(Form::Text),
            "md" => Some(Form::Markdown),
            "html" | "htm" => Some(Form::Html),
            "pdf" => Some(Form::Pdf(if self.paper == "letter" { Paper::Letter } else { Paper::A4 })),
            _ => None,
        };
        let asked = self.format.as_deref().and_then(named);
        let Some(path) = &self.output else { return Ok(asked.unwrap_or(Form::Text)) };
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_lowercase();
        match (named(&ending), asked) {
            (Some(form), None) => Ok(form),
            (Some(form), Some(asked)) if form == asked => Ok(form),
            (Some(_), Some(_)) => Err(format!("{}: the ending and --format name two forms", path.display())),
            (None, _) => Err(format!("{}: the ending names no form; write .txt, .md, .html or .pdf", path.display())),
        }
    }

    /// Why the file may not be written; nothing when it may.
    fn kept(&self, path: &std::path::Path) -> Option<String> {
        let there = std::fs::read(path).ok()?;
        if written_by_hand(path, &there) {
            return Some("a plan, an inventory or a key file is never written over; name another file".to_owned());
        }
        (!self.force).then(|| "is there already; name another file, or --force".to_owned())
    }

    /// Prints a page; nothing is written when it cannot be made.
    fn page(&self, page: &Page, ascii: bool) -> Result<ExitCode> {
        let form = match self.form() {
            Ok(form) => form,
            Err(why) => {
                complain(&format!("error: {why}\n"));
                return Ok(ExitCode::from(2));
            }
        };
        if let Some((path, why)) = self.output.as_ref().and_then(|p| Some((p, self.kept(p)?))) {
            complain(&format!("error: {}: {why}\n", path.display()));
            return Ok(ExitCode::from(2));
        }
        let made = page.print(form)?;
        let made = match form {
            Form::Text if ascii => sheets::ascii(&String::from_utf8_lossy(&made)).into_bytes(),
            _ => made,
        };
        let Some(path) = &self.output else {
            if matches!(form, Form::Pdf(_)) && std::io::stdout().is_terminal() {
                complain("error: a PDF is not for a terminal; write it with -o FILE\n");
                return Ok(ExitCode::from(2));
            }
            return match std::io::stdout().lock().write_all(&made) {
                Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(e).wrap_err("writing to standard output"),
                _ => Ok(ExitCode::SUCCESS),
            };
        };
        match std::fs::write(path, made) {
            Ok(()) => print(&format!("wrote {}\n", path.display())),
            Err(e) => {
                complain(&format!("error: {}: {e}\n", path.display()));
                Ok(ExitCode::from(2))
            }
        }
    }
}

/// Whether a file is one that people write: RON by its name, or by how it begins.
fn written_by_hand(path: &std::path::Path, bytes: &[u8]) -> bool {
    let ron = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("ron"));
    let text = String::from_utf8_lossy(&bytes[..bytes.len().min(4096)]).into_owned();
    let mut lines = text.lines().map(str::trim).filter(|l| !l.is_empty() && !l.starts_with("//"));
    ron || lines.next().is_some_and(|l| ["Plan(", "Inventory(", "Keys(", "("].iter().any(|head| l.starts_with(head)))
}

/// The same, down.
fn below(text: &str) -> std::result::Result<Shot, String> {
    let (distance_m, slope_rad) = sighting(text)?;
    if slope_rad > 0.0 {
        return Err("what lies below is down: a slope under zero, as 38 m, -62 deg".to_owned());
    }
    Ok(Shot::new(crate::plan::Side::A, distance_m, slope_rad))
}

/// A distance along the slope, m, and the slope, rad.
fn sighting(text: &str) -> std::result::Result<(f64, f64), String> {
    let (d, s) = text.split_once(',').ok_or("a distance and a slope, as 63 m, 2.5 deg")?;
    let (d, s) = (quantity(d.trim(), Dim::Length)?, quantity(s.trim(), Dim::Angle)?);
    if d <= 0.0 || s.abs() >= std::f64::consts::FRAC_PI_2 {
        return Err("a distance over nothing, and less steep than straight up or down".to_owned());
    }
    Ok((d, s))
}

fn kind(text: &str) -> std::result::Result<sheets::Kind, String> {
    named(&sheets::Kind::ALL, sheets::Kind::name, text)
}

fn day(text: &str) -> std::result::Result<Date, String> {
    text.parse().map_err(|_| "no date; write it as 2026-05-30".to_owned())
}

fn quantity(text: &str, dim: Dim) -> std::result::Result<f64, String> {
    units::parse(text, dim).map_err(|e| format!("{e}; {}", e.help(dim)))
}

/// The one of `all` that is called `text`.
fn named<T: Copy>(all: &[T], name: fn(T) -> &'static str, text: &str) -> std::result::Result<T, String> {
    let known = || all.iter().map(|x| name(*x)).collect::<Vec<_>>().join(", ");
    all.iter().copied().find(|x| name(*x) == text).ok_or_else(|| format!("known: {}", known()))
}

fn glyphs(text: &str) -> std::result::Result<Glyphs, String> {
    named(&Glyphs::ALL, Glyphs::name, text)
}

fn palette(text: &str) -> std::result::Result<Palette, String> {
    named(&Palette::ALL, Palette::name, text)
}

fn length(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dim::Length)
}

fn to_cut_from(text: &str) -> std::result::Result<sheets::ToCutFrom, String> {
    let (item, long) = text.split_once('=').map_or((None, text), |(item, long)| (Some(item.trim().to_owned()), long));
    // So many of it: 2x12 m.
    let (count, long) = match long.trim().split_once(['x', '×']) {
        Some((n, long)) => (n.trim().parse().map_err(|_| format!("“{}” is no number of lengths", n.trim()))?, long),
        None => (1, long),
    };
    Ok(sheets::ToCutFrom { item, length_m: length(long.trim())?, owned: false, count })
}

fn stock(text: &str) -> std::result::Result<sheets::ToCutFrom, String> {
    Ok(sheets::ToCutFrom { owned: true, ..to_cut_from(text)? })
}

fn force(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dim::Force)
}

fn share(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dim::Share)
}

fn positive(m: f64) -> bool {
    m > 0.0 && m.is_finite()
}

fn mass(text: &str) -> std::result::Result<f64, String> {
    quantity(text, Dim::Mass)
}

/// The least that a bag can be asked to weigh at most, kg.
const LEAST_BAG_KG: f64 = 5.0;

/// What a cut takes; more than half a metre is a slip.
fn kerf(text: &str) -> std::result::Result<f64, String> {
    const MOST_M: f64 = 0.5;
    let m = length(text)?;
    if (0.0..=MOST_M).contains(&m) { Ok(m) } else { Err("a cut takes between nothing and half a metre".to_owned()) }
}

fn bag(text: &str) -> std::result::Result<f64, String> {
    mass(text)
        .and_then(|m| if m >= LEAST_BAG_KG { Ok(m) } else { Err(format!("a bag holds at least {LEAST_BAG_KG} kg")) })
}

/// Three factors in one argument.
#[derive(Debug, Clone, Copy)]
struct Factors([f64; 3]);

impl Factors {
    fn read(text: &str) -> std::result::Result<Self, String> {
        factors(text).map(Self)
    }
}

fn anchor(text: &str) -> std::result::Result<AnchorKind, String> {
    AnchorKind::from_name(text).ok_or_else(|| format!("known: {}", AnchorKind::ALL.map(AnchorKind::name).join(", ")))
}

/// Runs the program with the process's own arguments.
///
/// # Errors
/// What the system refused; a plan's own faults are printed, and end with code 2.
pub fn run() -> Result<ExitCode> {
    let args = Arguments::parse();
    let system = if args.us { System::Us } else { System::Si };
    let glyphs = if args.ascii { Glyphs::Ascii } else { args.glyphs };
    let ascii = glyphs == Glyphs::Ascii;
    let settings = Settings { system, glyphs, mouse: !args.no_mouse, ..Settings::default() };
    match args.command {
        None => workbench(args.plan, args.keys.as_deref(), settings, args.palette),
        Some(Command::Check { plans, json, md, all, why, inventory, prefer, on, day }) => {
            let stock = Owned { files: inventory, prefer, on: on.unwrap_or_else(crate::app::today) };
            let format = match (json, md) {
                (true, _) => Format::Json,
                (_, true) => Format::Markdown,
                _ => Format::Text,
            };
            check(&plans, format, all, (why.as_deref(), day.as_deref()), &stock, system, ascii)
        }
        Some(Command::New {
            path,
            title,
            span,
            rise,
            anchor_a,
            anchor_b,
            webbing,
            tension,
            walker,
            factors,
            legs,
            bolts,
            seen,
            below,
        }) => {
            let answers = Answers {
                title,
                span_m: span,
                rise_m: rise,
                anchors: [anchor_a, anchor_b],
                webbing,
                standing_kn: tension / 1e3,
                walkers_kg: vec![walker],
                ground_m: Vec::new(),
                factors: factors.0,
                legs,
                bolts,
                scouted: seen.map(|across| Visit { across, below, ..Visit::default() }),
            };
            new(&path, &answers)
        }
        Some(Command::Plain { plan }) => {
            converse(plan, Settings { system, glyphs, palette: Palette::Mono, few_colours: false, mouse: false })
        }
        Some(Command::Gear { what }) => gear::gear(what, system),
        Some(Command::Sheet { kind, plan, print, inventory, prefer, bag, spool, stock, kerf, on, against }) => {
            use sheets::Kind;
            let only = [
                ("--inventory", Kind::Gear, !inventory.is_empty()),
                ("--bag", Kind::Gear, bag.is_some()),
                ("--spool", Kind::Cut, !spool.is_empty()),
                ("--stock", Kind::Cut, !stock.is_empty()),
                ("--kerf", Kind::Cut, kerf.is_some()),
                ("--against", Kind::Review, against.is_some()),
            ];
            if let Some((flag, of, _)) = only.into_iter().find(|(_, of, given)| *given && *of != kind) {
                complain(&format!(
                    "error: {flag} is for the sheet “{}”, and means nothing for “{}”\n",
                    of.name(),
                    kind.name()
                ));
                return Ok(ExitCode::from(2));
            }
            let files = [plan.as_deref(), against.as_deref()];
            let owned = Owned { files: inventory, prefer, on: on.unwrap_or_else(crate::app::today) };
            let stock = sheets::Stock {
                spools: [stock, spool].concat(),
                bag_kg: bag.unwrap_or(sheets::BAG_KG),
                kerf_m: kerf.unwrap_or(crate::bench::KERF_M),
                ..Default::default()
            };
            sheet(kind, files, &print, stock, &owned, (system, ascii))
        }
        Some(Command::Splice { piece }) => splice::splice(&piece, (system, ascii)),
        Some(Command::Limits { plan, print, json }) => studies::limits(plan.as_deref(), &print, json, (system, ascii)),
        Some(Command::Doubt { plan, print, json, rigs, seed }) => {
            studies::doubt(plan.as_deref(), &print, json, (rigs, seed), ascii)
        }
        Some(Command::Day { plan, date, take_stretch: true, .. }) => studies::take_stretch(&plan, date.as_deref()),
        Some(Command::Day { plan, date, print, .. }) => studies::day(&plan, date.as_deref(), &print, (system, ascii)),
        Some(Command::Compare { a, b, print, json }) => studies::compare([&a, &b], &print, json, (system, ascii)),
        Some(Command::SolverChecks { plan, print }) => studies::certificates(plan.as_deref(), &print, ascii),
        Some(Command::Remarks { plan, add, by }) => remarks::list_or_add(&plan, add.as_deref(), &by),
        Some(Command::Merge { ours, theirs, output }) => remarks::merge([&ours, &theirs], output.as_deref()),
        Some(Command::Items { filter }) => print(&items(filter.as_deref(), system)),
        Some(Command::Lesson { name }) => lesson::lesson(name.as_deref(), args.keys.as_deref(), settings, args.palette),
        Some(Command::Rules) => print(&rules()),
        Some(Command::Keys { md: true, .. }) => print(&keysheet::markdown()),
        Some(Command::Keys { ron: true, .. }) => print(&keysheet::ron()),
        Some(Command::Keys { .. }) => keys(args.keys.as_deref(), args.ascii),
        Some(Command::Schema) => print(&format!("{:#}\n", sheets::schema())),
        Some(Command::Format { inventory: true }) => print(&crate::plan::describe::inventory_markdown()),
        Some(Command::Format { .. }) => print(&crate::plan::describe::format_markdown()),
        Some(Command::Man) => {
            let mut out = Vec::new();
            clap_mangen::Man::new(Arguments::command()).render(&mut out)?;
            print(&String::from_utf8_lossy(&out))
        }
        Some(Command::Completions { shell }) => {
            let mut out = Vec::new();
            clap_complete::generate(shell, &mut Arguments::command(), "spanwright", &mut out);
            print(&String::from_utf8_lossy(&out))
        }
    }
}

/// Writes to standard output; a reader that has gone away is no error.
fn print(text: &str) -> Result<ExitCode> {
    match std::io::stdout().lock().write_all(text.as_bytes()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => Err(e).wrap_err("writing to standard output"),
        _ => Ok(ExitCode::SUCCESS),
    }
}

fn complain(text: &str) {
    // Nothing is left to do when standard error is closed.
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// Reads the plan at `path`, or the demo; why it cannot be read.
fn opened(path: Option<&Path>) -> std::result::Result<PlanFile, String> {
    match path {
        Some(p) => PlanFile::open(p).map_err(|e| e.show(&p.display().to_string())),
        None => PlanFile::parse(DEMO_NAME, DEMO.to_owned()).map_err(|e| e.show(DEMO_NAME)),
    }
}

/// Prints the keys in force; 2 when their file is not as it should be.
fn keys(given: Option<&Path>, ascii: bool) -> Result<ExitCode> {
    let file = KeyFile::open(given);
    let text = keysheet::text(&file);
    print(&if ascii { sheets::ascii(&text) } else { text })?;
    for f in &file.faults {
        complain(&format!("error: {}\n", plain(f)));
    }
    Ok(ExitCode::from(if file.faults.is_empty() { 0 } else { 2 }))
}

fn workbench(
    plan: Option<PathBuf>,
    keys: Option<&Path>,
    settings: Settings,
    palette: Option<Palette>,
) -> Result<ExitCode> {
    let system = settings.system;
    if !std::io::stdout().is_terminal() {
        return match opened(plan.as_deref())
            .and_then(|f| reviewed(&f).map(|r| sheets::review_text(&f, &r, system, false)))
        {
            Ok(text) => print(&text),
            Err(e) => {
                complain(&e);
                Ok(ExitCode::from(2))
            }
        };
    }
    crate::tui::run(plan, (DEMO_NAME, DEMO), None, KeyFile::open(keys), settings, palette)
}

/// Talks about a plan in lines of text.
fn converse(path: Option<PathBuf>, settings: Settings) -> Result<ExitCode> {
    let file = match opened(path.as_deref()) {
        Ok(f) => f,
        Err(text) => {
            complain(&text);
            return Ok(ExitCode::from(2));
        }
    };
    let journal = Journal::of(path.as_deref());
    let prompt = if std::io::stdin().is_terminal() { "> " } else { "" };
    let app = App::new(file, path, settings);
    crate::plain::run(app, Some(journal), std::io::stdin().lock(), std::io::stdout().lock(), prompt)
        .wrap_err("writing to standard output")?;
    Ok(ExitCode::SUCCESS)
}

/// Inventories that a plan is held against, and the day.
struct Owned {
    files: Vec<PathBuf>,
    prefer: Option<PathBuf>,
    on: Date,
}

/// Prints one sheet of a plan.
fn sheet(
    kind: sheets::Kind,
    [plan, against]: [Option<&Path>; 2],
    print: &Print,
    stock: sheets::Stock,
    owned: &Owned,
    (system, ascii): (System, bool),
) -> Result<ExitCode> {
    let refuse = |text: &str| {
        complain(text);
        Ok(ExitCode::from(2))
    };
    let file = match opened(plan) {
        Ok(f) => f,
        Err(text) => return refuse(&text),
    };
    let inventory = match gear::stock(&owned.files, owned.prefer.as_deref(), &file.catalogue, owned.on) {
        Ok(i) => i,
        Err(text) => return refuse(&text),
    };
    let review = match if kind.tells_falls() { reviewed(&file) } else { review::at_rest(&file) } {
        Ok(r) => r,
        Err(text) => return refuse(&text),
    };
    let Ok(solver) = review::in_view(&file) else { return refuse("error: the rig cannot be tensioned\n") };
    let tried = (kind == sheets::Kind::Card).then(|| sheets::tried(&file, &review));
    let facts = sheets::Facts { file: &file, review: &review, solver: &solver, system, tried };
    let changes = match against.map(|p| opened(Some(p)).and_then(|f| reviewed(&f).map(|r| (f, r)))).transpose() {
        Ok(before) => before.map(|(f, r)| sheets::comparison((&f, &r), (&file, &review))),
        Err(text) => return refuse(&text),
    };
    let stock = sheets::Stock { inventory, changes, ..stock };
    match sheets::sheet(kind, &facts, &stock, owned.on) {
        Ok(page) => print.page(&page, ascii),
        Err(why) => refuse(&format!("error: {why}\n")),
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Format {
    Text,
    Json,
    Markdown,
}

/// The plan as it was rigged on a day of it.
///
/// # Errors
/// Which days it has, or why it cannot hang so.
fn rigged_on(file: &PlanFile, date: &str) -> Result<PlanFile, String> {
    crate::review::as_rigged(file, crate::plan::day::day_of(file, Some(date))?)
}

fn check(
    plans: &[PathBuf],
    format: Format,
    all: bool,
    (why, day): (Option<&str>, Option<&str>),
    owned: &Owned,
    system: System,
    ascii: bool,
) -> Result<ExitCode> {
    let plainly = |text: String| if ascii { sheets::ascii(&text) } else { text };
    let mut code = 0;
    let mut reports = Vec::new();
    for (i, path) in plans.iter().enumerate() {
        let name = path.display().to_string();
        let file = match PlanFile::open(path) {
            Ok(f) => f,
            Err(e) => {
                complain(&e.show(&name));
                code = 2;
                continue;
            }
        };
        let file = match day.map(|d| rigged_on(&file, d)).transpose() {
            Ok(rigged) => rigged.unwrap_or(file),
            Err(text) => {
                complain(&text);
                code = 2;
                continue;
            }
        };
        let mut review = match reviewed(&file) {
            Ok(r) => r,
            Err(text) => {
                complain(&text);
                code = 2;
                continue;
            }
        };
        let stock = match gear::stock(&owned.files, owned.prefer.as_deref(), &file.catalogue, owned.on) {
            Ok(stock) => stock,
            Err(text) => {
                complain(&text);
                code = 2;
                continue;
            }
        };
        if let (Some(inventory), Ok(solver)) = (&stock, review::in_view(&file)) {
            let facts = sheets::Facts { file: &file, review: &review, solver: &solver, system, tried: None };
            let held = sheets::held_against(&facts, inventory, owned.on);
            review.findings.extend(held);
            review.findings.sort_by_key(|f| std::cmp::Reverse(f.gravity));
        }
        if !review.passes() {
            code = code.max(1);
        }
        if let Some(name) = why {
            if let Some(text) = sheets::why::why(&file, &review, name, system) {
                print(&plainly(text))?;
                print(&plainly(format!("\n{}\n", sheets::wrap(sheets::CAUTION, sheets::WIDTH, 0).join("\n"))))?;
            } else {
                let known = sheets::why::names(&review);
                let near = did_you_mean(name, known.iter().map(String::as_str));
                let near =
                    near.map_or_else(|| format!("known: {}", known.join(", ")), |n| format!("did you mean “{n}”?"));
                let path = path.display();
                complain(&plain(&format!("error: {path}: nothing that has a reason is called “{name}”; {near}")));
                complain("\n");
                code = 2;
            }
            continue;
        }
        match format {
            Format::Json => reports.push(sheets::report(&file, &review)),
            Format::Text => {
                print(&if i > 0 { "\n".to_owned() } else { String::new() })?;
                print(&plainly(sheets::review_text(&file, &review, system, all)))?;
            }
            Format::Markdown => {
                print(&sheets::markdown(&file, &review, system))?;
            }
        }
    }
    if format == Format::Json {
        let text = match &reports[..] {
            [one] if plans.len() == 1 => serde_json::to_string_pretty(one)?,
            many if plans.len() > 1 => serde_json::to_string_pretty(many)?,
            _ => String::new(),
        };
        if !text.is_empty() {
            print(&(text + "\n"))?;
        }
    }
    Ok(ExitCode::from(code))
}

fn new(path: &Path, answers: &Answers) -> Result<ExitCode> {
    let text = plan_text(answers);
    // Refused before anything is written: a webbing that is none, a span of nothing.
    match PlanFile::parse(&path.display().to_string(), text.clone()) {
        Ok(f) if f.is_sound() => {}
        Ok(f) => {
            complain(&f.show_faults());
            return Ok(ExitCode::from(2));
        }
        Err(e) => {
            complain(&e.show(&path.display().to_string()));
            return Ok(ExitCode::from(2));
        }
    }
    let mut file = match std::fs::OpenOptions::new().write(true).create_new(true).open(path) {
        Ok(f) => f,
        Err(e) => {
            complain(&format!("error: {}: {e}\n", path.display()));
            return Ok(ExitCode::from(2));
        }
    };
    file.write_all(text.as_bytes()).wrap_err("writing the new plan")?;
    print(&format!("wrote {}; open it with: spanwright {}\n", path.display(), path.display()))
}

fn items(filter: Option<&str>, system: System) -> String {
    let catalogue = crate::catalogue::Catalogue::builtin();
    let needle = filter.unwrap_or("").to_lowercase();
    let mut out = format!(
        "Catalogue {}. Typical figures are of the class, not of your piece: read its label.\n{}\n\n",
        catalogue.version,
        sheets::CAUTION
    );
    for (id, item) in catalogue.iter() {
        if !(id.to_lowercase().contains(&needle) || item.title.to_lowercase().contains(&needle)) {
            continue;
        }
        let rating = match (&item.rating, &item.radial, &item.axial) {
            (Some(r), _, _) => r.describe(system),
            (None, Some(r), Some(a)) => format!("{} across, {} along", r.describe(system), a.describe(system)),
            _ => "unrated".to_owned(),
        };
        out += &format!("{id:<30} {}: {rating} [{}]\n", item.title, item.source);
    }
    out
}

fn rules() -> String {
    let mut out = format!("{}\n\n", sheets::CAUTION)
        + "Rules of review. Set one aside in a plan with set_aside: {\"rule\": \"reason\"} where it speaks once, or place by place with At([…]).\n\n";
    for r in RULES.iter().copied().flatten() {
        let key = r.key.map_or(String::new(), |k| format!("        answered by declaring: “{k}”\n"));
        out += &format!(
            "{:<8}{}\n{key}        fires on: {}\n        why: {}\n        remedy: {}\n        source: {}\n",
            r.gravity.word(),
            r.id,
            r.when,
            r.why,
            r.remedy,
            r.source
        );
    }
    out
}
