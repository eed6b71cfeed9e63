//! How values are typed: as people say them, not as the file writes them. `60, 80 and 95 kg` is a list of masses, `-3 m -0.5 m;
//! 2 m -1 m` are two places, a bare number takes the unit of its field.

use super::form::in_words;
use crate::document::quote;
use crate::document::schema::Kind;
use crate::units::Dim;

/// Whether a kind is typed in words; the others are typed as the file writes them.
#[must_use]
pub(super) fn in_words_too(kind: &Kind) -> bool {
    match kind {
        Kind::Quantity(..) | Kind::Ref(_) | Kind::Words | Kind::Date | Kind::Clock | Kind::Flag => true,
        Kind::List(inner) => plain(inner) || matches!(inner, Kind::Tuple(s) if s.iter().all(|s| plain(&s.kind))),
        Kind::Tuple(slots) => slots.iter().all(|s| plain(&s.kind)),
        _ => false,
    }
}

fn plain(kind: &Kind) -> bool {
    matches!(
        kind,
        Kind::Quantity(..) | Kind::Number(_) | Kind::Whole | Kind::Ref(_) | Kind::Words | Kind::Date | Kind::Clock
    )
}

/// What is offered to be changed, of a value as the file writes it.
#[must_use]
pub(super) fn spoken(kind: &Kind, value: &str) -> String {
    match kind {
        Kind::Words | Kind::Date | Kind::Clock | Kind::Ref(_) | Kind::Quantity(..) => value.to_owned(),
        kind if in_words_too(kind) => match in_words(value) {
            none if none == "none" => String::new(),
            words => words,
        },
        _ => value.to_owned(),
    }
}

/// What may be typed, in words.
#[must_use]
pub(super) fn wanted(kind: &Kind) -> String {
    let one = |k: &Kind| match k {
        Kind::Quantity(d, _) => format!("a {}, such as {}", d.name(), d.example()),
        k => k.describe(),
    };
    match kind {
        Kind::Quantity(..) => one(kind),
        Kind::Flag => "yes or no".to_owned(),
        Kind::List(inner) => match inner {
            Kind::Quantity(d, _) => format!("each {}, such as {} and more", d.name(), d.example()),
            Kind::Tuple(slots) => {
                let names: Vec<&str> = slots.iter().map(|s| s.name).collect();
                format!("{}; {}; …", names.join(" and "), names.join(" and "))
            }
            k => format!("{}, parted by commas", k.describe()),
        },
        Kind::Tuple(slots) => slots.iter().map(|s| s.name).collect::<Vec<_>>().join(", "),
        k => k.describe(),
    }
}

/// The file's text for what was typed; what the file writes is taken as well.
#[must_use]
pub(super) fn written(kind: &Kind, typed: &str) -> String {
    let mut typed = typed.trim();
    if typed.starts_with(['[', '(', '{', '"']) && !matches!(kind, Kind::Words) {
        // As the file writes it; brackets without its quotes are somebody's habit.
        if typed.contains('"') || !in_words_too(kind) {
            return typed.to_owned();
        }
        typed = typed.trim_matches(['(', ')', '[', ']']).trim();
    }
    match kind {
        // A bare number is no length: a pin's is said in millimetres, a gap's in metres.
        Kind::Quantity(Dim::Length | Dim::LinearMass | Dim::Stiffness | Dim::Time | Dim::Stress, _) => quote(typed),
        Kind::Quantity(d, _) => quote(&with_unit(*d, typed)),
        Kind::Words | Kind::Date | Kind::Clock | Kind::Ref(_) => quote(typed),
        Kind::Flag => match typed.to_lowercase().as_str() {
            "yes" | "y" => "true".to_owned(),
            "no" | "n" => "false".to_owned(),
            other => other.to_owned(),
        },
        Kind::List(inner) if in_words_too(kind) => match inner {
            Kind::Tuple(slots) => {
                // Rows by semicolons, or as many values as each has.
                let rows: Vec<Vec<String>> = if typed.contains(';') {
                    typed.split(';').map(values).filter(|r| !r.is_empty()).collect()
                } else {
                    values(typed).chunks(slots.len().max(1)).map(<[String]>::to_vec).collect()
                };
                let row = |r: &Vec<String>| {
                    let cells: Vec<String> = r.iter().zip(slots.iter()).map(|(v, s)| placed(&s.kind, v)).collect();
                    format!("({})", cells.join(", "))
                };
                format!("[{}]", rows.iter().map(row).collect::<Vec<_>>().join(", "))
            }
            inner => {
                let mut parts = names(typed);
                if let Kind::Quantity(..) = inner {
                    parts = shared_unit(values(typed));
                }
                format!("[{}]", parts.iter().map(|p| written(inner, p)).collect::<Vec<_>>().join(", "))
            }
        },
        Kind::Tuple(slots) if in_words_too(kind) => {
            let quantities = slots.iter().all(|s| matches!(s.kind, Kind::Quantity(..) | Kind::Number(_)));
            let parts = if quantities { values(typed) } else { names(typed) };
            let cells: Vec<String> = parts.iter().zip(slots.iter()).map(|(v, s)| placed(&s.kind, v)).collect();
            format!("({})", cells.join(", "))
        }
        _ => typed.to_owned(),
    }
}

/// One of several values that place something: there a bare number is in metres.
fn placed(kind: &Kind, typed: &str) -> String {
    match kind {
        Kind::Quantity(d @ Dim::Length, _) => quote(&with_unit(*d, typed)),
        kind => written(kind, typed),
    }
}

/// A bare number with the unit that its kind is usually said in.
fn with_unit(dim: Dim, typed: &str) -> String {
    let unit = dim.example().split_once(' ').map_or("", |(_, unit)| unit);
    if typed.parse::<f64>().is_ok() && !unit.is_empty() { format!("{typed} {unit}") } else { typed.to_owned() }
}

/// Names parted by commas or “and”.
fn names(text: &str) -> Vec<String> {
    text.replace(" and ", ",").split(',').map(|t| t.trim().to_owned()).filter(|t| !t.is_empty()).collect()
}

/// Figures with their units; one begins at each number. “25 down” and “25 m below” are −25 m.
fn values(text: &str) -> Vec<String> {
    let text = text.replace(" and ", " ").replace('−', "-");
    let mut out: Vec<String> = Vec::new();
    for word in text.split([',', ' ', '\t', '\n']).filter(|w| !w.is_empty()) {
        let number = word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.'));
        match (out.last_mut(), number) {
            (Some(last), false) if matches!(word, "down" | "below") => {
                if !last.starts_with('-') {
                    last.insert(0, '-');
                }
            }
            (Some(_), false) if matches!(word, "up" | "above") => {}
            (Some(last), false) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

/// `60, 80, 95 kg`: the unit said last holds for those before it that have none.
fn shared_unit(mut values: Vec<String>) -> Vec<String> {
    let mut unit = String::new();
    for v in values.iter_mut().rev() {
        match v.split_once(' ') {
            Some((_, u)) => unit = u.to_owned(),
            None if v.parse::<f64>().is_ok() && !unit.is_empty() => *v = format!("{v} {unit}"),
            None => {}
        }
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::schema::{Range, Slot};

    const MASS: Kind = Kind::Quantity(Dim::Mass, Range::Positive);
    const LENGTH: Kind = Kind::Quantity(Dim::Length, Range::Any);
    const SLOTS: &[Slot] = &[
        Slot { name: "along", kind: LENGTH, optional: false },
        Slot { name: "height", kind: LENGTH, optional: false },
    ];

    const MASSES: Kind = Kind::List(&MASS);
    const PLACES: Kind = Kind::List(&Kind::Tuple(SLOTS));

    #[test]
    fn lists_are_typed_as_people_say_them() {
        for typed in ["60, 80 and 95 kg", "60 kg, 80 kg, 95 kg", "60 80 95 kg", r#"["60 kg", "80 kg", "95 kg"]"#] {
            assert_eq!(written(&MASSES, typed), r#"["60 kg", "80 kg", "95 kg"]"#, "{typed}");
        }
        let want = r#"[("-3 m", "-0.5 m"), ("2 m", "-25 m")]"#;
        for typed in ["-3 m -0.5 m; 2 m 25 down", "-3, -0.5; 2, 25 m below", "-3 m, -0.5 m, 2 m, -25 m"] {
            assert_eq!(written(&PLACES, typed), want, "{typed}");
        }
        assert_eq!(written(&LENGTH, "50"), r#""50""#, "refused where it is read: of what?");
        assert_eq!(written(&MASS, "80"), r#""80 kg""#);
        assert_eq!(written(&Kind::Tuple(SLOTS), "(-2 m, 1.4 m)"), r#"("-2 m", "1.4 m")"#);
        assert_eq!(written(&Kind::Flag, "yes"), "true");
    }
}
