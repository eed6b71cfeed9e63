//! An inventory as two spreadsheets: pieces, and what happened to them. A row becomes a line of RON and is read as that, so that
//! a spreadsheet is checked by the same table.

use jiff::civil::Date;

use super::fields::What;
use super::read::{InventoryFile, read};
use super::{Entry, Inventory};
use crate::catalogue::Catalogue;
use crate::document::{Diagnostic, Path, did_you_mean, plain, quote};
use crate::units::Quantity;

/// How a cell becomes a value of the format.
#[derive(Debug, Clone, Copy, PartialEq)]
enum As {
    /// Text or a day.
    Quoted,
    /// A word of the format, a number, true or false.
    Bare,
    /// A number in this unit.
    Unit(&'static str),
    /// Read by itself, not a field.
    Own,
}

/// A column: its name, the field that it is, and how. The order is that of what is written; it may be read in any.
type Column = (&'static str, &'static str, As);

const PIECES: &[Column] = &[
    ("id", "", As::Own),
    ("kind", "kind", As::Quoted),
    ("made", "made", As::Bare),
    ("length_m", "length", As::Unit("m")),
    ("eye_1_m", "", As::Own),
    ("eye_2_m", "", As::Own),
    ("count", "count", As::Bare),
    ("batch", "batch", As::Quoted),
    ("maker_date", "maker_date", As::Quoted),
    ("in_use_since", "in_use_since", As::Quoted),
    ("inspected", "inspected", As::Own),
    ("inspected_by", "", As::Own),
    ("result", "", As::Own),
    ("retire_by", "retire_by", As::Quoted),
    ("retired", "retired", As::Quoted),
    ("kit", "kit", As::Bare),
    ("owner", "owner", As::Quoted),
    ("place", "place", As::Quoted),
    ("label", "label", As::Quoted),
    ("note", "note", As::Quoted),
];

const LOG: &[Column] = &[
    ("id", "", As::Own),
    ("date", "on", As::Quoted),
    ("event", "event", As::Bare),
    ("by", "by", As::Quoted),
    ("plan", "plan", As::Quoted),
    ("up_h", "up", As::Unit("h")),
    ("sun_h", "sun", As::Unit("h")),
    ("falls", "falls", As::Bare),
    ("catches", "catches", As::Bare),
    ("hardest_kN", "hardest", As::Unit("kN")),
    ("length_m", "length", As::Unit("m")),
    ("note", "note", As::Quoted),
];

/// The columns in words, for the format's description.
#[must_use]
pub fn columns() -> [String; 2] {
    [PIECES, LOG].map(|c| c.iter().map(|c| c.0).collect::<Vec<_>>().join(","))
}

/// A row of a spreadsheet: its line, and its cells by column.
struct Line {
    line: u64,
    cells: Vec<(&'static str, String)>,
}

impl Line {
    fn get(&self, column: &str) -> &str {
        self.cells.iter().find(|c| c.0 == column).map_or("", |c| c.1.as_str())
    }

    /// Its fields as the format writes them.
    fn fields(&self, columns: &[Column], leave: &[&str]) -> Vec<String> {
        let said = columns.iter().filter(|c| !leave.contains(&c.0) && !self.get(c.0).is_empty());
        said.filter_map(|(column, field, how)| {
            let text = self.get(column);
            match how {
                As::Quoted => Some(format!("{field}: {}", quote(text))),
                As::Bare => Some(format!("{field}: {}", bare(text))),
                As::Unit(unit) => Some(format!("{field}: {}", quote(&format!("{text} {unit}")))),
                As::Own => None,
            }
        })
        .collect()
    }
}

/// A cell that is a word or a number; anything else stays text, which the check refuses in its place.
fn bare(text: &str) -> String {
    let word = text.chars().all(|c| c.is_ascii_alphanumeric() || c == '.' || c == '-');
    if word { text.to_owned() } else { quote(text) }
}

/// Rows of a spreadsheet, the header's columns in any order.
fn lines(name: &str, text: &str, columns: &[Column]) -> Result<Vec<Line>, String> {
    let fault = |line: u64, why: String| format!("error: {}, row {line}: {why}\n", plain(name));
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let mut known: Vec<&'static str> = Vec::new();
    for head in reader.headers().map_err(|e| fault(1, e.to_string()))? {
        let Some(column) = columns.iter().find(|c| c.0 == head) else {
            let near = did_you_mean(head, columns.iter().map(|c| c.0));
            let near = near.map(|n| format!("; did you mean “{n}”?")).unwrap_or_default();
            let all: Vec<&str> = columns.iter().map(|c| c.0).collect();
            return Err(fault(1, format!("no column is called “{}”{near} They are: {}", plain(head), all.join(", "))));
        };
        if known.contains(&column.0) {
            return Err(fault(1, format!("two columns are called {}", column.0)));
        }
        known.push(column.0);
    }
    let mut out = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|e| fault(e.position().map_or(0, csv::Position::line), e.to_string()))?;
        // Empty lines are skipped, and counted.
        let at = row.position().map_or(0, |p| p.byte() as usize).min(text.len());
        let at = text[at..].find(|c| c != '\n' && c != '\r').map_or(at, |k| at + k);
        let line = 1 + text[..at].matches('\n').count() as u64;
        out.push(Line { line, cells: known.iter().copied().zip(row.iter().map(str::to_owned)).collect() });
    }
    Ok(out)
}

/// What spreadsheets say, as an inventory's text, with the row that each of its lines is of.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Written {
    name: String,
    text: String,
    /// By line of the text, from 0: the file and its row.
    rows: Vec<(String, u64)>,
}

/// Pieces and their log out of two spreadsheets, each with its name.
///
/// # Errors
/// What is wrong with them as spreadsheets, with file and row.
pub(super) fn from_csv(pieces: (&str, &str), log: Option<(&str, &str)>) -> Result<Written, String> {
    let rows = lines(pieces.0, pieces.1, PIECES)?;
    let entries = log.map(|(name, text)| lines(name, text, LOG)).transpose()?.unwrap_or_default();
    let log_name = log.map_or("", |l| l.0);
    let fault = |name: &str, line: u64, why: String| format!("error: {}, row {line}: {why}\n", plain(name));
    let mut out = Written { name: pieces.0.to_owned(), text: String::new(), rows: Vec::new() };
    let mut put = |text: String, name: &str, line: u64| {
        out.text += &text;
        out.text.push('\n');
        out.rows.push((name.to_owned(), line));
    };
    put("Inventory(format: 2, pieces: {".to_owned(), pieces.0, 1);
    for row in rows.iter().filter(|r| !r.get("id").is_empty()) {
        let id = row.get("id");
        if !row.get("count").is_empty() || !row.get("kit").is_empty() {
            return Err(fault(
                pieces.0,
                row.line,
                format!("{} has an id, so it is not counted: leave count and kit empty", plain(id)),
            ));
        }
        let mut fields = row.fields(PIECES, &["retired"]);
        if !row.get("eye_1_m").is_empty() || !row.get("eye_2_m").is_empty() {
            let eyes = ["eye_1_m", "eye_2_m"].map(|c| quote(&format!("{} m", row.get(c))));
            fields.push(format!("eyes: ({})", eyes.join(", ")));
        }
        put(format!("{}: Piece({}, log: [", quote(id), fields.join(", ")), pieces.0, row.line);
        let mine = || entries.iter().filter(|e| e.get("id") == id);
        let seen = row.get("inspected");
        let event = match row.get("result") {
            "" | "Pass" => "Inspected",
            "Fail" => "Failed",
            other => {
                return Err(fault(pieces.0, row.line, format!("result: “{}”: write Pass or Fail", plain(other))));
            }
        };
        if !seen.is_empty() && !mine().any(|e| e.get("date") == seen && e.get("event") == event) {
            let by = quote(row.get("inspected_by"));
            put(format!("Entry(on: {}, event: {event}, by: {by}),", quote(seen)), pieces.0, row.line);
        }
        for e in mine() {
            put(format!("Entry({}),", e.fields(LOG, &[]).join(", ")), log_name, e.line);
        }
        let retired = row.get("retired");
        if !retired.is_empty() {
            let Some((on, why)) = retired.split_once(' ').or(Some((retired, ""))) else { continue };
            if !mine().any(|e| e.get("event") == "Retired") {
                put(format!("Entry(on: {}, event: Retired, note: {}),", quote(on), quote(why)), pieces.0, row.line);
            }
        }
        put("]),".to_owned(), pieces.0, row.line);
    }
    put("}, counted: [".to_owned(), pieces.0, 1);
    for row in rows.iter().filter(|r| r.get("id").is_empty()) {
        let other = ["eye_1_m", "eye_2_m", "made", "batch", "maker_date"];
        if let Some(column) = other.iter().find(|c| !row.get(c).is_empty()) {
            return Err(fault(
                pieces.0,
                row.line,
                format!("{column} of a row without an id: name the piece, or leave it empty"),
            ));
        }
        let mut fields = row.fields(PIECES, &other);
        if !row.get("inspected").is_empty() {
            fields.push(format!("inspected: {}", quote(row.get("inspected"))));
        }
        put(format!("Counted({}),", fields.join(", ")), pieces.0, row.line);
    }
    put("])".to_owned(), pieces.0, 1);
    for e in &entries {
        let id = e.get("id");
        if !rows.iter().any(|r| !id.is_empty() && r.get("id") == id) {
            return Err(fault(log_name, e.line, format!("no piece is called “{}”", plain(id))));
        }
    }
    Ok(out)
}

impl Written {
    /// Read and checked as an inventory is; faults are told by file, row and column.
    ///
    /// # Errors
    /// Every fault.
    pub(super) fn parsed(self, today: Date, catalogue: &Catalogue) -> Result<InventoryFile, String> {
        let told = |d: &Diagnostic| {
            let line = self.text[..d.span.start.min(self.text.len())].matches('\n').count();
            let (file, row) = self.rows.get(line).cloned().unwrap_or_else(|| (self.name.clone(), 0));
            let column = column(&d.path).map(|c| format!(", {c}")).unwrap_or_default();
            let help = d.help.as_ref().map(|h| format!("\n  fix: {h}")).unwrap_or_default();
            format!("error: {}, row {row}{column}: {}{help}\n", plain(&file), d.message)
        };
        let (root, inventory, faults) = read(&self.text, today, catalogue).map_err(|d| told(&d))?;
        if !faults.is_empty() {
            return Err(faults.iter().map(told).collect());
        }
        Ok(InventoryFile { name: self.name, text: self.text, root, inventory, rows: self.rows })
    }
}

/// The column that a path's last key is.
fn column(path: &Path) -> Option<&'static str> {
    let said = path.to_string();
    let last = said.rsplit('.').next()?;
    PIECES.iter().chain(LOG).find(|c| c.1 == last || c.0 == last).map(|c| c.0)
}

/// A spreadsheet of rows.
fn sheet(columns: &[Column], rows: &[Vec<String>]) -> String {
    let mut out = csv::WriterBuilder::new().from_writer(Vec::new());
    let head: Vec<&str> = columns.iter().map(|c| c.0).collect();
    // Writing to memory cannot fail; a row of another length would be a fault of ours, and the round-trip test sees it.
    let _ = out.write_record(&head);
    for row in rows {
        let _ = out.write_record(row);
    }
    out.into_inner().map(|bytes| String::from_utf8_lossy(&bytes).into_owned()).unwrap_or_default()
}

/// A value of the format as a cell.
fn cell(value: &str, how: As) -> String {
    let text = value.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
    let text =
        text.map_or_else(|| value.to_owned(), |t| t.replace("\\\"", "\"").replace("\\n", "\n").replace("\\\\", "\\"));
    match how {
        As::Unit(unit) => text.trim_end_matches(unit).trim().to_owned(),
        _ => text,
    }
}

/// Pieces as a spreadsheet; nothing of the log but when each was last looked over.
#[must_use]
pub fn pieces_csv(inventory: &Inventory) -> String {
    let mut rows = Vec::new();
    for (id, p) in &inventory.pieces {
        let cells = p.cells();
        let looked = p.log.iter().filter(|e| matches!(e.event, What::Inspected | What::Failed)).max_by_key(|e| e.on);
        let retired = p.log.iter().find(|e| e.event == What::Retired);
        let row = |(name, field, how): &Column| match *name {
            "id" => id.clone(),
            "owner" => inventory.owner_of(&p.owner).to_owned(),
            "eye_1_m" => p.eyes.map(|e| e[0].si().to_string()).unwrap_or_default(),
            "eye_2_m" => p.eyes.map(|e| e[1].si().to_string()).unwrap_or_default(),
            "inspected" => looked.map(|e| e.on.to_string()).unwrap_or_default(),
            "inspected_by" => looked.map(|e| e.by.clone()).unwrap_or_default(),
            "result" => {
                looked.map(|e| if e.event == What::Inspected { "Pass" } else { "Fail" }.to_owned()).unwrap_or_default()
            }
            "retired" => retired.map(|e| format!("{} {}", e.on, e.note).trim().to_owned()).unwrap_or_default(),
            _ => cells.iter().find(|c| c.0 == *field).map(|c| cell(&c.1, *how)).unwrap_or_default(),
        };
        rows.push(PIECES.iter().map(row).collect());
    }
    for c in &inventory.counted {
        let cells = c.cells();
        let row = |(name, field, how): &Column| match *name {
            "owner" => inventory.owner_of(&c.owner).to_owned(),
            "id" | "eye_1_m" | "eye_2_m" | "inspected_by" | "result" => String::new(),
            _ => cells.iter().find(|c| c.0 == *field).map(|c| cell(&c.1, *how)).unwrap_or_default(),
        };
        rows.push(PIECES.iter().map(row).collect());
    }
    sheet(PIECES, &rows)
}

/// What happened to the pieces as a spreadsheet.
#[must_use]
pub fn log_csv(inventory: &Inventory) -> String {
    let row = |id: &str, e: &Entry| {
        let cells = e.cells();
        LOG.iter()
            .map(|(name, field, how)| match *name {
                "id" => id.to_owned(),
                _ => cells.iter().find(|c| c.0 == *field).map(|c| cell(&c.1, *how)).unwrap_or_default(),
            })
            .collect::<Vec<_>>()
    };
    let rows: Vec<Vec<String>> = inventory.pieces.iter().flat_map(|(id, p)| p.log.iter().map(|e| row(id, e))).collect();
    sheet(LOG, &rows)
}
