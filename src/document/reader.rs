//! Typed values out of a checked node. What the check has already refused reads as absent.

use super::scan::{Body, Entry, Node};
use crate::units::{self, Quantity};

/// Reads the fields of one node.
#[derive(Debug, Clone, Copy)]
pub struct Reader<'a>(pub &'a Node);

impl<'a> Reader<'a> {
    /// The name in front, or nothing.
    #[must_use]
    pub fn name(self) -> &'a str {
        self.0.name.as_deref().unwrap_or("")
    }

    /// Entries of a struct or map.
    #[must_use]
    pub fn entries(self) -> &'a [Entry] {
        match &self.0.body {
            Body::Fields(e) | Body::Map(e) => e,
            _ => &[],
        }
    }

    /// Values of a list or tuple.
    #[must_use]
    pub fn items(self) -> &'a [Node] {
        match &self.0.body {
            Body::List(v) | Body::Tuple(v) => v,
            _ => &[],
        }
    }

    /// The field called `key`.
    #[must_use]
    pub fn get(self, key: &str) -> Option<Reader<'a>> {
        self.entries().iter().find(|e| e.key == key).map(|e| Reader(&e.value))
    }

    /// The value at a position.
    #[must_use]
    pub fn at(self, i: usize) -> Option<Reader<'a>> {
        self.items().get(i).map(Reader)
    }

    /// As text.
    #[must_use]
    pub fn text(self) -> Option<String> {
        match &self.0.body {
            Body::Text(t) => Some(t.clone()),
            _ => None,
        }
    }

    /// As a number.
    #[must_use]
    pub fn number(self) -> Option<f64> {
        match self.0.body {
            Body::Number(n) if n.is_finite() => Some(n),
            _ => None,
        }
    }

    /// As true or false.
    #[must_use]
    pub fn flag(self) -> Option<bool> {
        match self.0.body {
            Body::Flag(f) => Some(f),
            _ => None,
        }
    }

    /// As a day.
    #[must_use]
    pub fn date(self) -> Option<jiff::civil::Date> {
        self.text().and_then(|t| t.parse().ok())
    }

    /// As a quantity.
    #[must_use]
    pub fn quantity<Q: Quantity>(self) -> Option<Q> {
        match &self.0.body {
            Body::Text(t) => units::parse(t, Q::DIM).ok().map(Q::from_si),
            _ => None,
        }
    }

    /// The field `key` as a quantity.
    #[must_use]
    pub fn q<Q: Quantity>(self, key: &str) -> Option<Q> {
        self.get(key).and_then(Reader::quantity)
    }

    /// The field `key` as text; empty when absent.
    #[must_use]
    pub fn words(self, key: &str) -> String {
        self.get(key).and_then(Reader::text).unwrap_or_default()
    }

    /// The field `key` as a number.
    #[must_use]
    pub fn n(self, key: &str) -> Option<f64> {
        self.get(key).and_then(Reader::number)
    }
}
