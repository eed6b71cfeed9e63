//! The fields of what is selected, read from the same table that checks plans.

use super::outline::Selected;
use super::state::Choice;
use crate::catalogue::Catalogue;
use crate::document::schema::{Field, Form, FormBody, Kind, Need, Target};
use crate::document::{Body, Node, Path, Source};
use crate::plan::{PlanFile, Role, fields};
use crate::units::{Dim, Quantity, System, show};

/// One line of the form.
#[derive(Debug, Clone)]
pub struct FormField {
    /// Where it stands in the plan.
    pub path: Path,
    /// Its name.
    pub name: &'static str,
    /// How far it is indented.
    pub depth: usize,
    /// What it may be.
    pub kind: &'static Kind,
    /// Its text in the plan, without quotes; nothing when it is left out.
    pub value: Option<String>,
    /// What holds when it is left out.
    pub need: Need,
    /// What it means.
    pub doc: &'static str,
}

/// Where the selected thing stands, and the fields it may have.
fn place(file: &PlanFile, selected: &Selected) -> Option<(Path, &'static [Field])> {
    let root = Path::root();
    let of = |name: &str| fields::PLAN.fields.iter().find(|f| f.name == name).map(|f| &f.kind);
    match selected {
        Selected::Site => record(of("site")?).map(|f| (root.key("site"), f)),
        Selected::People => record(of("people")?).map(|f| (root.key("people"), f)),
        Selected::Factors => record(of("factors")?).map(|f| (root.key("factors"), f)),
        Selected::Point(n) => {
            let path = root.key("points").key(n);
            let node = path.find(&file.root)?;
            let Kind::Map(_, k) = of("points")? else {
                return None;
            };
            form_fields(k, node).map(|f| (path, f))
        }
        Selected::Run(n) => {
            let path = root.key("runs").key(n);
            let node = path.find(&file.root)?;
            let Kind::Map(_, k) = of("runs")? else {
                return None;
            };
            form_fields(k, node).map(|f| (path, f))
        }
        Selected::Part(r, k) => Some((root.key("runs").key(r).key("parts").at(*k), fields::PART.fields)),
    }
}

/// The line of the plan's text at which the selected thing stands, from 1.
#[must_use]
pub(super) fn line_of(file: &PlanFile, selected: &Selected) -> usize {
    let path = place(file, selected).map_or_else(Path::root, |(p, _)| p);
    let at = path.nearest(&file.root).span.start;
    Source { name: &file.name, text: &file.text }.line_column(at).0
}

fn record(kind: &'static Kind) -> Option<&'static [Field]> {
    match kind {
        Kind::Record(r) => Some(r.fields),
        _ => None,
    }
}

/// The fields of the form that a node has chosen.
fn form_fields(kind: &'static Kind, node: &Node) -> Option<&'static [Field]> {
    match kind {
        Kind::Record(r) => Some(r.fields),
        Kind::Choice(forms) => {
            let name = node.name.as_deref().unwrap_or("");
            let form = forms.iter().find(|f| f.name == name)?;
            match &form.body {
                FormBody::Fields(f) => Some(f),
                FormBody::Bare(k) => form_fields(k, node),
                _ => None,
            }
        }
        _ => None,
    }
}

/// The form of what is selected.
#[must_use]
pub fn fields_of(file: &PlanFile, selected: &Selected) -> Vec<FormField> {
    let mut out = Vec::new();
    if let Some((path, list)) = place(file, selected) {
        push(&mut out, file, &path, list, 0);
    }
    out
}

fn push(out: &mut Vec<FormField>, file: &PlanFile, path: &Path, list: &'static [Field], depth: usize) {
    for f in list {
        let at = path.key(f.name);
        let node = at.find(&file.root);
        // Parts have lines of their own in the outline.
        if f.name == "parts" {
            continue;
        }
        out.push(FormField {
            value: node.map(|n| text_of(file, n)),
            path: at.clone(),
            name: f.name,
            depth,
            kind: &f.kind,
            need: f.need,
            doc: f.doc,
        });
        let Some(n) = node else {
            if let (Kind::Record(r), true) = (&f.kind, depth < 2) {
                push(out, file, &at, r.fields, depth + 1);
            }
            continue;
        };
        match &f.kind {
            Kind::Record(r) => push(out, file, &at, r.fields, depth + 1),
            Kind::Choice(_) if n.name.is_some() => {
                if let Some(inner) = form_fields(&f.kind, n) {
                    push(out, file, &at, inner, depth + 1);
                }
            }
            Kind::Tuple(slots) => {
                for (i, s) in slots.iter().enumerate() {
                    let at = at.at(i);
                    let Some(n) = at.find(&file.root) else {
                        continue;
                    };
                    out.push(FormField {
                        value: Some(text_of(file, n)),
                        path: at.clone(),
                        name: s.name,
                        depth: depth + 1,
                        kind: &s.kind,
                        need: Need::Required,
                        doc: "",
                    });
                    if let Some(inner) = form_fields(&s.kind, n) {
                        push(out, file, &at, inner, depth + 2);
                    }
                }
            }
            _ => {}
        }
    }
}

/// A node as one line: a text without its quotes, a form by its name, anything else as written.
fn text_of(file: &PlanFile, n: &Node) -> String {
    match (&n.name, &n.body) {
        (None, Body::Text(t)) => t.clone(),
        (Some(name), Body::Fields(_) | Body::Alone) => name.clone(),
        _ => file.text[n.span.clone()].split_whitespace().collect::<Vec<_>>().join(" "),
    }
}

/// A value of the file in words: no quotes, no brackets, names in small letters.
#[must_use]
pub fn in_words(text: &str) -> String {
    let mut out = String::new();
    let mut quoted = false;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' => quoted = !quoted,
            _ if quoted => out.push(c),
            '(' | '{' if out.ends_with(|c: char| c.is_alphanumeric()) && chars.peek() != Some(&')') => out += ", ",
            '(' | ')' | '[' | ']' | '{' | '}' => {}
            ':' => {}
            'A'..='Z' if !out.ends_with(|c: char| c.is_alphanumeric()) => {
                // One letter alone is the name of a side.
                let alone = chars.peek().is_none_or(|n| !n.is_alphanumeric());
                if alone { out.push(c) } else { out.extend(c.to_lowercase()) }
            }
            'A'..='Z' => {
                out.push(' ');
                out.extend(c.to_lowercase());
            }
            '_' => out.push(' '),
            _ => out.push(c),
        }
    }
    match out.trim().trim_end_matches(',') {
        "true" => "yes".to_owned(),
        "false" => "no".to_owned(),
        "" => "none".to_owned(),
        text => text.to_owned(),
    }
}

/// What picking a line does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Taken {
    /// A value is to be typed, starting from this.
    Typed(String),
    /// Nothing: it is there already.
    Kept,
    /// This RON text is written.
    Set(String),
}

impl FormField {
    /// Its value in words: an item by its title, a form that has lines of its own by its name.
    #[must_use]
    pub fn words(&self, file: &PlanFile) -> String {
        let Some(value) = &self.value else { return String::new() };
        match self.kind {
            Kind::Ref(Target::Item) => file.catalogue.get(value).map_or_else(|| value.clone(), |i| i.title.clone()),
            Kind::Words | Kind::Date | Kind::Clock | Kind::Ref(_) | Kind::Quantity(..) => value.clone(),
            // Its lines follow.
            Kind::Record(_) => String::new(),
            Kind::Tuple(_) => in_words(value),
            _ => in_words(value),
        }
    }

    /// The file's text for what was typed.
    #[must_use]
    pub fn ron(&self, typed: &str) -> String {
        match self.kind {
            // A bare alternative is typed as people say it; a form is written as the file writes it.
            Kind::Choice(forms) if typed.starts_with(|c: char| c.is_ascii_digit() || "-+.(\"".contains(c)) => {
                bare(forms).map_or_else(|| typed.to_owned(), |kind| super::typing::written(kind, typed))
            }
            kind => super::typing::written(kind, typed),
        }
    }

    /// What is offered to be changed: its value as people say it.
    #[must_use]
    pub fn spoken(&self) -> String {
        self.value.as_ref().map_or_else(String::new, |v| super::typing::spoken(self.kind, v))
    }

    /// What picking a line of the choices does.
    #[must_use]
    pub fn taken(&self, row: &Choice) -> Taken {
        // A bare value is typed; a form with values is set and its lines edited after.
        if let Kind::Choice(forms) = self.kind {
            if let Some(FormBody::Bare(_)) = forms.iter().find(|x| x.sketch() == row.name).map(|x| &x.body) {
                let value = |v: &String| v.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '(' | '[' | '-'));
                let now = self.value.clone().filter(value).unwrap_or_else(|| row.value.trim_matches('"').to_owned());
                return Taken::Typed(bare(forms).map_or(now.clone(), |kind| super::typing::spoken(kind, &now)));
            }
            // Choosing what is there already changes nothing; its own lines stay.
            if self.value.as_deref() == row.name.split('(').next() {
                return Taken::Kept;
            }
        }
        Taken::Set(row.value.clone())
    }

    /// Forms to pick from: name, what to write, what it means.
    #[must_use]
    pub fn choices(&self, file: &PlanFile) -> Option<Vec<Choice>> {
        let named = |n: &String| Choice::new(n, crate::document::quote(n), "");
        match self.kind {
            Kind::Choice(forms) => Some(forms.iter().map(|f| Choice::new(f.sketch(), template(f), f.doc)).collect()),
            Kind::Ref(Target::Point) => Some(file.plan.points.keys().map(named).collect()),
            Kind::Ref(Target::Run) => Some(file.plan.runs.keys().map(named).collect()),
            Kind::Ref(Target::Leg) => {
                let legs = file.plan.runs.iter().filter(|(_, r)| r.role == Role::Leg);
                Some(legs.map(|(name, _)| named(name)).collect())
            }
            Kind::Ref(Target::Tie) => Some(file.plan.ties.keys().map(named).collect()),
            Kind::Ref(Target::Item) => Some(item_rows(&file.catalogue)),
            _ => None,
        }
    }
}

/// What a choice takes without a form's name, where it takes anything so.
fn bare(forms: &'static [Form]) -> Option<&'static Kind> {
    forms.iter().find_map(|f| if let FormBody::Bare(kind) = &f.body { Some(*kind) } else { None })
}

/// Items to pick from, with strength and mass.
#[must_use]
pub fn item_rows(catalogue: &Catalogue) -> Vec<Choice> {
    catalogue
        .iter()
        .map(|(id, i)| {
            let strength = i.strength_n().or_else(|| i.radial.as_ref().and_then(crate::catalogue::Rating::minimum_n));
            let strength = strength.map_or_else(|| "unrated".to_owned(), |n| show(Dim::Force, n, System::Si));
            let mass = match (i.mass, i.mass_per_length) {
                (_, Some(m)) => show(Dim::LinearMass, m.si(), System::Si),
                (Some(m), None) => format!("{:.0} g", m.si() * 1e3),
                _ => String::new(),
            };
            let row = Choice::new(id, crate::document::quote(id), i.title.clone());
            Choice { beside: vec![strength, mass], ..row }
        })
        .collect()
}

/// Text to start from for a form: its required values as examples.
fn template(form: &Form) -> String {
    match &form.body {
        FormBody::Alone => form.name.to_owned(),
        FormBody::Bare(k) => example(k),
        FormBody::Slots(s) => {
            let inner: Vec<String> = s.iter().filter(|s| !s.optional).map(|s| example(&s.kind)).collect();
            format!("{}({})", form.name, inner.join(", "))
        }
        FormBody::Fields(f) => {
            let mut inner: Vec<String> = f
                .iter()
                .filter(|f| f.need == Need::Required)
                .map(|f| format!("{}: {}", f.name, example(&f.kind)))
                .collect();
            // A target without a value says nothing.
            if form.name == "Solve" {
                inner = vec!["standing: \"2.5 kN\"".to_owned(), "at: A".to_owned()];
            }
            format!("{}({})", form.name, inner.join(", "))
        }
    }
}

/// Something that reads as this kind, to start from.
fn example(kind: &Kind) -> String {
    match kind {
        Kind::Quantity(d, _) => match d {
            Dim::Length => "\"1 m\"".to_owned(),
            _ => format!("\"{}\"", d.example()),
        },
        Kind::Number(crate::document::schema::Range::Share) => "0.33".to_owned(),
        Kind::Number(_) => "1.0".to_owned(),
        Kind::Whole => "1".to_owned(),
        Kind::Flag => "true".to_owned(),
        Kind::Words | Kind::Date | Kind::Clock => "\"…\"".to_owned(),
        Kind::Ref(Target::Item) => "\"bolt-glued-12\"".to_owned(),
        Kind::Ref(_) => "\"\"".to_owned(),
        Kind::Choice(forms) => forms.first().map_or_else(String::new, template),
        Kind::Record(r) => format!("{}()", r.name),
        Kind::List(_) => "[]".to_owned(),
        Kind::Map(..) => "{}".to_owned(),
        Kind::Tuple(s) => format!("({})", s.iter().map(|s| example(&s.kind)).collect::<Vec<_>>().join(", ")),
    }
}
