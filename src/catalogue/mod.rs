//! Kinds of gear with a rating, and what terminations, bends and conditions leave of it. Data lives in `assets/`.
//!
//! Knows units and laws of stretch; nothing of plans.

mod derating;
pub mod fields;
mod friction;
pub(crate) mod item;
mod rating;
mod thread;

use std::sync::{Arc, OnceLock};

use indexmap::IndexMap;

pub use derating::{Deratings, Keeps, Knot, KnotMaterial, Termination};
pub use friction::{Friction, Surface};
pub use item::{Class, Fibre, Item, Per};
pub use rating::Rating;
pub use thread::Thread;

use crate::document::{Body, Diagnostic, Path, Reader, check, scan};

/// Items by name.
#[derive(Debug, Clone)]
pub struct Catalogue {
    /// Version of the data.
    pub version: String,
    items: IndexMap<String, Arc<Item>>,
    /// What terminations, bends and conditions keep.
    pub deratings: Arc<Deratings>,
}

const ITEMS: &str = include_str!("../../assets/catalogue.ron");

impl Catalogue {
    /// The built-in catalogue.
    ///
    /// # Panics
    /// Never on a released build: the data is embedded, and a test reads it.
    #[must_use]
    pub fn builtin() -> &'static Self {
        static BUILTIN: OnceLock<Catalogue> = OnceLock::new();
        BUILTIN.get_or_init(|| Self::read(ITEMS).unwrap_or_else(|d| panic!("assets/catalogue.ron: {}", d[0])))
    }

    /// The built-in item called `id`, as its file writes it.
    #[must_use]
    pub fn written(id: &str) -> Option<String> {
        let root = scan(ITEMS).ok()?;
        Path::root().key("items").key(id).find(&root).map(|n| ITEMS[n.span.clone()].to_owned())
    }

    /// A catalogue from its text.
    ///
    /// # Errors
    /// Every fault of the text.
    pub fn read(text: &str) -> Result<Self, Vec<Diagnostic>> {
        let root = scan(text).map_err(|d| vec![d])?;
        let faults = check(&root, &fields::CATALOGUE);
        if !faults.is_empty() {
            return Err(faults);
        }
        let r = Reader(&root);
        let items = r
            .get("items")
            .map(Reader::entries)
            .unwrap_or_default()
            .iter()
            .map(|e| (e.key.clone(), Arc::new(Item::read(&e.key, Reader(&e.value)))))
            .collect();
        Ok(Self { version: r.words("version"), items, deratings: Arc::new(Deratings::builtin().clone()) })
    }

    /// This catalogue with a plan's own items in front of it: a plan's item hides a built-in one of the same name.
    #[must_use]
    pub fn with(&self, own: &IndexMap<String, Arc<Item>>) -> Self {
        let mut all = self.clone();
        for (name, item) in own {
            all.items.insert(name.clone(), item.clone());
        }
        all
    }

    /// The item called `id`.
    #[must_use]
    pub fn get(&self, id: &str) -> Option<&Arc<Item>> {
        self.items.get(id)
    }

    /// All items, in order.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Arc<Item>)> {
        self.items.iter().map(|(k, v)| (k.as_str(), v))
    }
}

/// The items that a plan brings along.
#[must_use]
pub fn read_own(node: Option<Reader<'_>>) -> IndexMap<String, Arc<Item>> {
    let Some(node) = node else {
        return IndexMap::new();
    };
    match &node.0.body {
        Body::Map(entries) => {
            entries.iter().map(|e| (e.key.clone(), Arc::new(Item::read(&e.key, Reader(&e.value))))).collect()
        }
        _ => IndexMap::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_builtin_catalogue_is_whole() {
        let c = Catalogue::read(ITEMS).unwrap_or_else(|d| panic!("{d:#?}"));
        assert!(c.items.len() > 60);
        for (id, item) in c.iter() {
            // A strut holds by its wall and its length, not by a figure of its own.
            let holds =
                item.rating.is_some() || item.radial.is_some() || item.outside.is_some() && item.yields.is_some();
            assert!(holds, "{id} has no rating");
            assert!(!item.source.is_empty(), "{id} has no source");
            if item.class.is_soft() {
                assert!(item.law().is_some(), "{id} has no stretch");
                assert!(item.diameter.is_some() || item.width.is_some(), "{id} has no size");
            }
        }
    }
}
