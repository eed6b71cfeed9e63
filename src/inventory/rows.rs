//! An inventory as rows of named values: what both writers print, and by what two rows are compared.

use std::fmt::Write as _;

use super::{Counted, Entry, Inventory, Made, Piece};
use crate::document::quote;
use crate::units::Quantity;

/// A field's name and its value as the file writes it.
pub(super) type Cell = (&'static str, String);

fn words(out: &mut Vec<Cell>, name: &'static str, text: &str) {
    if !text.is_empty() {
        out.push((name, quote(text)));
    }
}

fn put<T>(out: &mut Vec<Cell>, name: &'static str, value: Option<T>, text: impl Fn(T) -> String) {
    out.extend(value.map(|v| (name, text(v))));
}

fn day(d: jiff::civil::Date) -> String {
    format!("\"{d}\"")
}

/// So that a length, a time or a force reads back as the same number: with as many digits as it takes, up to nine.
fn exact(si: f64, scale: f64, unit: &str) -> String {
    let value = si / scale;
    let same = |digits: &usize| {
        format!("{value:.digits$}").parse::<f64>().is_ok_and(|v| (v * scale - si).abs() <= 1e-12 * si.abs())
    };
    let digits = (0..9).find(same).unwrap_or(9);
    format!("\"{value:.digits$} {unit}\"")
}

fn metres(l: crate::units::Length) -> String {
    exact(l.si(), 1.0, "m")
}

fn hours(t: crate::units::Time) -> String {
    exact(t.si(), 3600.0, "h")
}

impl Entry {
    /// Its fields that say something, in the order of the table.
    pub(super) fn cells(&self) -> Vec<Cell> {
        let mut out = vec![("on", day(self.on)), ("event", self.event.id().to_owned())];
        words(&mut out, "by", &self.by);
        words(&mut out, "plan", &self.plan);
        put(&mut out, "up", self.up, hours);
        put(&mut out, "sun", self.sun, hours);
        put(&mut out, "falls", Some(self.falls).filter(|n| *n > 0), |n| n.to_string());
        put(&mut out, "catches", Some(self.catches).filter(|n| *n > 0), |n| n.to_string());
        put(&mut out, "hardest", self.hardest, |f| exact(f.si(), 1e3, "kN"));
        put(&mut out, "length", self.length, metres);
        words(&mut out, "note", &self.note);
        out
    }

    /// As the file writes it.
    #[must_use]
    pub fn ron(&self) -> String {
        format!("Entry({})", joined(&self.cells()))
    }
}

impl Piece {
    /// Its fields that say something but for the log, in the order of the table.
    pub(super) fn cells(&self) -> Vec<Cell> {
        let mut out = vec![("kind", quote(&self.kind))];
        put(&mut out, "made", self.made.map(Made::id), str::to_owned);
        put(&mut out, "length", self.length, metres);
        put(&mut out, "eyes", self.eyes, |[a, b]| format!("({}, {})", metres(a), metres(b)));
        words(&mut out, "batch", &self.batch);
        put(&mut out, "maker_date", self.maker_date, day);
        put(&mut out, "in_use_since", self.in_use_since, day);
        put(&mut out, "retire_by", self.retire_by, day);
        words(&mut out, "owner", &self.owner);
        words(&mut out, "place", &self.place);
        words(&mut out, "label", &self.label);
        words(&mut out, "note", &self.note);
        out
    }
}

impl Counted {
    /// Its fields that say something, in the order of the table.
    pub(super) fn cells(&self) -> Vec<Cell> {
        let mut out = vec![("kind", quote(&self.kind)), ("count", self.count.to_string())];
        put(&mut out, "length", self.length, metres);
        put(&mut out, "inspected", self.inspected, day);
        put(&mut out, "in_use_since", self.in_use_since, day);
        put(&mut out, "retire_by", self.retire_by, day);
        words(&mut out, "retired", &self.retired);
        put(&mut out, "kit", Some(self.kit).filter(|k| *k), |k| k.to_string());
        words(&mut out, "owner", &self.owner);
        words(&mut out, "place", &self.place);
        words(&mut out, "label", &self.label);
        words(&mut out, "note", &self.note);
        out
    }
}

fn joined(cells: &[Cell]) -> String {
    cells.iter().map(|(k, v)| format!("{k}: {v}")).collect::<Vec<_>>().join(", ")
}

/// The inventory as a file.
#[must_use]
pub fn ron(inventory: &Inventory) -> String {
    let mut out = String::from(
        "// What is here is what was written down: look every piece over before it hangs in a rig.\nInventory(\n    format: 2,\n",
    );
    if !inventory.owner.is_empty() {
        let _ = writeln!(out, "    owner: {},", quote(&inventory.owner));
    }
    out += "    pieces: {\n";
    for (id, piece) in &inventory.pieces {
        let _ = write!(out, "        {}: Piece({}", quote(id), joined(&piece.cells()));
        if piece.log.is_empty() {
            out += "),\n";
        } else {
            out += ", log: [\n";
            for e in &piece.log {
                let _ = writeln!(out, "            {},", e.ron());
            }
            out += "        ]),\n";
        }
    }
    out += "    },\n    counted: [\n";
    for c in &inventory.counted {
        let _ = writeln!(out, "        Counted({}),", joined(&c.cells()));
    }
    out += "    ],\n)\n";
    out
}
