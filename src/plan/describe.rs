//! The format's description, written from the same table that checks it.

use std::collections::BTreeSet;

use super::fields::PLAN;
use crate::document::schema::{Field, FormBody, Kind, Need, Record, Slot};
use crate::units::Dim;

/// The format field by field, as Markdown.
#[must_use]
pub fn format_markdown() -> String {
    let mut out = String::from(
        "# The plan format, field by field\n\n\
         Printed by `spanwright format` from the table that checks plans and drives the forms; a test keeps this copy equal.\n\n\
         A plan is RON text. A quantity is a text with its unit:\n\n",
    );
    for d in [
        Dim::Length,
        Dim::Force,
        Dim::Mass,
        Dim::LinearMass,
        Dim::Velocity,
        Dim::Angle,
        Dim::Temperature,
        Dim::Share,
        Dim::Stiffness,
        Dim::Time,
        Dim::Stress,
    ] {
        out +=
            &format!("- {}: `\"{}\"`; units {}\n", d.name(), d.example(), d.symbols().collect::<Vec<_>>().join(", "));
    }
    out += "\n## Rating\n\nHow strong, and how that is known: one of\n\n";
    if let Kind::Choice(list) = &crate::catalogue::fields::RATING {
        for f in *list {
            out += &format!("- `{}` — {}\n", f.sketch(), f.doc);
        }
    }
    records(&mut out, &PLAN);
    out
}

/// The inventory's format field by field, as Markdown.
#[must_use]
pub fn inventory_markdown() -> String {
    let [pieces, log] = crate::inventory::columns();
    let mut out = format!(
        "# The inventory format, field by field\n\n\
         Printed by `spanwright format --inventory`; a test keeps this copy equal. As RON, or as two spreadsheets (UTF-8, comma,\n\
         dates as 2026-10-03, a header, columns in any order; what is not used may be left out):\n\n\
         - `NAME.csv`: `{pieces}`; a row without an id is counted\n\
         - `NAME-log.csv` beside it: `{log}`\n"
    );
    if let Kind::Record(r) = &crate::inventory::INVENTORY {
        records(&mut out, r);
    }
    out
}

/// A record and those in it.
fn records(out: &mut String, first: &'static Record) {
    let mut seen = BTreeSet::new();
    let mut queue: Vec<&Record> = vec![first];
    while let Some(r) = queue.pop() {
        if !seen.insert(r.name) {
            continue;
        }
        *out += &format!("\n## {}\n\n{}\n\n", r.name, r.doc);
        let mut inner = Vec::new();
        fields(out, r.fields, 0, &mut inner);
        queue.extend(inner.into_iter().rev());
    }
}

fn fields(out: &mut String, list: &'static [Field], depth: usize, inner: &mut Vec<&'static Record>) {
    for f in list {
        let need = match f.need {
            Need::Required => "required".to_owned(),
            Need::Default(d) => format!("default: {d}"),
        };
        *out += &format!("{}- `{}` — {} ({need}). {}\n", "  ".repeat(depth), f.name, f.doc, shape(&f.kind));
        forms(out, &f.kind, depth + 1, inner);
    }
}

fn shape(kind: &Kind) -> String {
    match kind {
        Kind::Choice(f) if is_rating(f) => "A rating, as above.".to_owned(),
        Kind::Choice(_) => "One of:".to_owned(),
        Kind::List(k) if matches!(**k, Kind::Choice(_)) => "A list of:".to_owned(),
        Kind::Map(_, k) if matches!(**k, Kind::Choice(_)) => "By name, each one of:".to_owned(),
        k => format!("{}.", k.describe()),
    }
}

fn forms(out: &mut String, kind: &'static Kind, depth: usize, inner: &mut Vec<&'static Record>) {
    let pad = "  ".repeat(depth);
    match kind {
        Kind::Choice(list) if is_rating(list) => {}
        Kind::Choice(list) => {
            for f in *list {
                *out += &format!("{pad}- `{}` — {}\n", f.sketch(), f.doc);
                match &f.body {
                    // Its fields are those of the bare form, described under that name.
                    FormBody::Fields(list) if f.name != "Run" => {
                        fields(out, list, depth + 1, inner);
                    }
                    FormBody::Slots(s) => slots(out, s, depth + 1, inner),
                    FormBody::Bare(k) => forms(out, k, depth + 1, inner),
                    _ => {}
                }
            }
        }
        Kind::List(k) | Kind::Map(_, k) => forms(out, k, depth, inner),
        Kind::Record(r) => inner.push(r),
        Kind::Tuple(s) => slots(out, s, depth, inner),
        _ => {}
    }
}

fn slots(out: &mut String, list: &'static [Slot], depth: usize, inner: &mut Vec<&'static Record>) {
    for s in list {
        if matches!(s.kind, Kind::Choice(_)) && s.name != "rating" {
            *out += &format!("{}- {}: one of\n", "  ".repeat(depth), s.name);
            forms(out, &s.kind, depth + 1, inner);
        }
    }
}

/// The forms of a rating stand in a section of their own.
fn is_rating(forms: &[crate::document::schema::Form]) -> bool {
    forms.first().is_some_and(|f| f.name == "Label")
}
