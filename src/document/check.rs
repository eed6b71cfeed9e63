//! Checks a document against its table, all faults at once.

use std::collections::HashSet;

use super::diagnostic::{Diagnostic, did_you_mean, misleads, plain};
use super::path::Path;
use super::scan::{Body, Entry, Node};
use super::schema::{Field, Form, FormBody, Keys, Kind, Need, Range, Slot, Target};
use crate::units::{self, Dim};

/// Every fault of `node` as a value of `kind`, in the order of the text.
#[must_use]
pub fn check(node: &Node, kind: &Kind) -> Vec<Diagnostic> {
    let mut faults = Vec::new();
    value(node, kind, &Path::root(), &mut faults);
    faults
}

fn value(node: &Node, kind: &Kind, path: &Path, out: &mut Vec<Diagnostic>) {
    let fault = |message: String| Diagnostic::error(path.clone(), node.span.clone(), message);
    let wrong = || fault(format!("a {} belongs here, not {}", kind.describe(), called(node)));
    match (kind, &node.body) {
        (Kind::Quantity(dim, range), Body::Text(text)) => match units::parse(text, *dim) {
            Ok(v) if *dim == Dim::Temperature && v <= 0.0 => {
                out.push(fault("there is nothing colder than -273 degC".to_owned()));
            }
            Ok(v) => out.extend(in_range(v, *range).err().map(|m| fault(format!("{} {m}", dim.name())))),
            Err(e) => out.push(fault(e.to_string()).help(e.help(*dim))),
        },
        (Kind::Quantity(dim, _), Body::Number(n)) => {
            out.push(fault(format!("a {} needs its unit", dim.name())).help(format!(
                "write \"{n} {}\"; units: {}",
                dim.symbols().next().unwrap_or(""),
                dim.symbols().collect::<Vec<_>>().join(", ")
            )));
        }
        (Kind::Number(range), Body::Number(n)) => {
            let large = n.is_finite() && n.abs() > 1e6;
            let wrong = if large { Some("is too large to be meant") } else { in_range(*n, *range).err() };
            out.extend(wrong.map(|m| fault(format!("the number {m}"))));
        }
        (Kind::Whole, Body::Number(n)) => {
            if n.fract() != 0.0 || *n < 0.0 || *n > 1e6 {
                out.push(fault("a whole number from 0 belongs here".to_owned()));
            }
        }
        (Kind::Flag, Body::Flag(_)) => {}
        (Kind::Words | Kind::Ref(_), Body::Text(text)) => {
            if let Some(c) = text.chars().find(|c| forbidden(*c)) {
                out.push(
                    fault(format!("the text holds the control character U+{:04X}", c as u32)).help("leave it out"),
                );
            }
        }
        (Kind::Date, Body::Text(text)) => {
            if text.len() != 10 || text.parse::<jiff::civil::Date>().is_err() {
                out.push(fault(format!("“{}” is no date", plain(text))).help("write it as 2026-10-03"));
            }
        }
        (Kind::Clock, Body::Text(text)) => {
            if text.len() != 5 || text.parse::<jiff::civil::Time>().is_err() {
                out.push(fault(format!("“{}” is no time of day", plain(text))).help("write it as 09:00"));
            }
        }
        (Kind::Choice(forms), _) => choice(node, forms, path, out, &wrong),
        (Kind::Record(r), Body::Fields(_) | Body::Alone) if node.name.as_deref().is_none_or(|n| n == r.name) => {
            fields(node, r.fields, r.name, path, out);
        }
        (Kind::List(inner), Body::List(items)) => {
            for (i, n) in items.iter().enumerate() {
                value(n, inner, &path.at(i), out);
            }
        }
        (Kind::Map(keys, inner), Body::Map(entries)) => {
            duplicates(entries, path, "give one of them another name", out);
            for e in entries {
                let at = path.key(&e.key);
                key(e, *keys, &at, out);
                value(&e.value, inner, &at, out);
            }
        }
        (Kind::Tuple(slots), Body::Tuple(items)) if node.name.is_none() => {
            tuple(node, items, slots, path, out);
        }
        _ => out.push(wrong().help(format!("write {}", kind.describe()))),
    }
}

/// Every name in `node`, a value of `kind`, that refers to something defined elsewhere: where it stands, to what, and the
/// name.
#[must_use]
pub fn references<'a>(node: &'a Node, kind: &Kind) -> Vec<(Path, Target, &'a str)> {
    let mut out = Vec::new();
    refer(node, kind, &Path::root(), &mut out);
    out
}

fn refer<'a>(node: &'a Node, kind: &Kind, path: &Path, out: &mut Vec<(Path, Target, &'a str)>) {
    let by_name = |entries: &'a [Entry], known: &[Field], out: &mut Vec<_>| {
        for e in entries {
            if let Some(f) = known.iter().find(|f| f.name == e.key) {
                refer(&e.value, &f.kind, &path.key(&e.key), out);
            }
        }
    };
    let by_place = |items: &'a [Node], slots: &[Slot], out: &mut Vec<_>| {
        items.iter().zip(slots).enumerate().for_each(|(i, (n, s))| refer(n, &s.kind, &path.at(i), out));
    };
    match (kind, &node.body) {
        (Kind::Ref(target), Body::Text(text)) => out.push((path.clone(), *target, text.as_str())),
        (Kind::Record(r), Body::Fields(entries)) => by_name(entries, r.fields, out),
        (Kind::List(inner), Body::List(items)) => {
            for (i, n) in items.iter().enumerate() {
                refer(n, inner, &path.at(i), out);
            }
        }
        (Kind::Map(_, inner), Body::Map(entries)) => {
            for e in entries {
                refer(&e.value, inner, &path.key(&e.key), out);
            }
        }
        (Kind::Tuple(slots), Body::Tuple(items)) => by_place(items, slots, out),
        (Kind::Choice(forms), body) => {
            let form = forms.iter().find(|f| f.name == node.name.as_deref().unwrap_or_default());
            match (form.map(|f| &f.body), body) {
                (Some(FormBody::Bare(k)), _) => refer(node, k, path, out),
                (Some(FormBody::Fields(known)), Body::Fields(entries)) => by_name(entries, known, out),
                (Some(FormBody::Slots(slots)), Body::Tuple(items)) => by_place(items, slots, out),
                _ => {}
            }
        }
        _ => {}
    }
}

/// In a text of the plan, a line break is no harm.
fn forbidden(c: char) -> bool {
    c != '\n' && misleads(c)
}

fn in_range(v: f64, range: Range) -> Result<(), &'static str> {
    if !v.is_finite() {
        return Err("is not finite");
    }
    match range {
        Range::Place if !(0.0..=1.0).contains(&v) => Err("must be from 0 to 1"),
        Range::NotNegative if v < 0.0 => Err("cannot be negative"),
        Range::Positive if v <= 0.0 => Err("must be more than zero"),
        Range::Share if !(v > 0.0 && v <= 1.0) => Err("must be above 0 and at most 1"),
        _ => Ok(()),
    }
}

fn called(node: &Node) -> String {
    match (&node.name, &node.body) {
        (Some(n), _) => format!("“{n}”"),
        (None, Body::Text(_)) => "a text".to_owned(),
        (None, Body::Number(_)) => "a number".to_owned(),
        (None, Body::Flag(_)) => "true or false".to_owned(),
        (None, Body::Alone) => "an empty bracket".to_owned(),
        (None, Body::Fields(_)) => "a bracket with fields".to_owned(),
        (None, Body::Tuple(_)) => "a bracket with values".to_owned(),
        (None, Body::List(_)) => "a list".to_owned(),
        (None, Body::Map(_)) => "a map".to_owned(),
    }
}

fn key(e: &Entry, keys: Keys, path: &Path, out: &mut Vec<Diagnostic>) {
    match keys {
        Keys::Own => {
            if e.key.trim().is_empty() || e.key.chars().count() > 80 || e.key.chars().any(|c| c == '\n' || forbidden(c))
            {
                out.push(Diagnostic::error(
                    path.clone(),
                    e.key_span.clone(),
                    "a name has 1 to 80 characters and no control characters".to_owned(),
                ));
            }
        }
        Keys::From(known) => {
            if !known.contains(&e.key.as_str()) {
                let d = Diagnostic::error(path.clone(), e.key_span.clone(), format!("“{}” is not one of these", e.key));
                out.push(d.help(instead(&e.key, known.iter().copied())));
            }
        }
    }
}

/// “did you mean x? Known: …” for a word that is none of `known`.
pub(super) fn instead<'a>(word: &str, known: impl Iterator<Item = &'a str> + Clone) -> String {
    let all = format!("known: {}", known.clone().collect::<Vec<_>>().join(", "));
    did_you_mean(word, known).map_or_else(|| all.clone(), |w| format!("did you mean {w}? {all}"))
}

fn duplicates(entries: &[Entry], path: &Path, help: &str, out: &mut Vec<Diagnostic>) {
    let mut seen = HashSet::new();
    for e in entries {
        if !seen.insert(e.key.as_str()) {
            out.push(
                Diagnostic::error(path.key(&e.key), e.key_span.clone(), format!("“{}” is here twice", e.key))
                    .help(help),
            );
        }
    }
}

fn choice(node: &Node, forms: &[Form], path: &Path, out: &mut Vec<Diagnostic>, wrong: &dyn Fn() -> Diagnostic) {
    let Some(name) = node.name.as_deref() else {
        let bare = forms.iter().find_map(|f| match &f.body {
            FormBody::Bare(k) => Some(k),
            _ => None,
        });
        match bare {
            Some(k) => value(node, k, path, out),
            None => out.push(wrong().help(format!("write one of: {}", sketches(forms)))),
        }
        return;
    };
    let Some(form) = forms.iter().find(|f| f.name == name) else {
        let known: Vec<_> = forms.iter().map(|f| f.name).filter(|n| !n.is_empty()).collect();
        out.push(
            Diagnostic::error(
                path.clone(),
                node.span.clone(),
                format!("“{name}” is not one of the forms allowed here"),
            )
            .help(instead(name, known.into_iter())),
        );
        return;
    };
    match (&form.body, &node.body) {
        (FormBody::Alone, Body::Alone) => {}
        (FormBody::Fields(f), Body::Fields(_) | Body::Alone) => {
            fields(node, f, form.name, path, out);
        }
        (FormBody::Slots(slots), Body::Tuple(items)) => tuple(node, items, slots, path, out),
        (FormBody::Slots(slots), Body::Alone) => tuple(node, &[], slots, path, out),
        _ => out.push(
            Diagnostic::error(path.clone(), node.span.clone(), format!("“{name}” is not written like this"))
                .help(format!("write {}", form.sketch())),
        ),
    }
}

fn sketches(forms: &[Form]) -> String {
    forms.iter().map(Form::sketch).collect::<Vec<_>>().join(", ")
}

fn tuple(node: &Node, items: &[Node], slots: &[Slot], path: &Path, out: &mut Vec<Diagnostic>) {
    let least = slots.iter().filter(|s| !s.optional).count();
    if items.len() < least || items.len() > slots.len() {
        let names = slots.iter().map(|s| s.name).collect::<Vec<_>>().join(", ");
        out.push(
            Diagnostic::error(path.clone(), node.span.clone(), format!("{} values here, not {least}", items.len()))
                .help(format!("write ({names})")),
        );
        return;
    }
    for (i, (n, s)) in items.iter().zip(slots).enumerate() {
        value(n, &s.kind, &path.at(i), out);
    }
}

fn fields(node: &Node, known: &[Field], name: &str, path: &Path, out: &mut Vec<Diagnostic>) {
    let none = Vec::new();
    let entries = match &node.body {
        Body::Fields(e) => e,
        _ => &none,
    };
    duplicates(entries, path, "leave one of them out", out);
    for e in entries {
        match known.iter().find(|f| f.name == e.key) {
            Some(f) => value(&e.value, &f.kind, &path.key(&e.key), out),
            None => out.push(
                Diagnostic::error(path.key(&e.key), e.key_span.clone(), format!("{name} has no field “{}”", e.key))
                    .help(instead(&e.key, known.iter().map(|f| f.name))),
            ),
        }
    }
    for f in known {
        if f.need == Need::Required && !entries.iter().any(|e| e.key == f.name) {
            out.push(
                Diagnostic::error(
                    path.clone(),
                    node.span.start..node.span.start + 1,
                    format!("{name} needs its field “{}”", f.name),
                )
                .help(format!("add {}: {}", f.name, f.kind.describe())),
            );
        }
    }
}
