//! What the rigger owns: a RON file beside the plans, `Inventory(items: [(item: "bow-shackle-3t", count: 4, …)])`.

use std::path::Path;

use jiff::civil::Date;
use serde::Deserialize;

/// A rigger's gear.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(rename = "Inventory", deny_unknown_fields)]
pub struct Inventory {
    /// Whose it is.
    #[serde(default)]
    pub owner: String,
    /// What there is.
    pub items: Vec<Owned>,
}

/// Pieces of one kind and age.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Owned {
    /// Its name in the catalogue or the plan.
    pub item: String,
    /// How many; of line and rope, how many lengths.
    #[serde(default = "one")]
    pub count: usize,
    /// Whose, if not the inventory's owner's.
    #[serde(default)]
    pub owner: String,
    /// What its label says, as text: shown, not counted with.
    #[serde(default)]
    pub label: String,
    /// First use, as 2026-05-30.
    #[serde(default)]
    pub in_service: Option<String>,
    /// Last looked over.
    #[serde(default)]
    pub inspected: Option<String>,
    /// Not to be used from that day on.
    #[serde(default)]
    pub retire_by: Option<String>,
    /// Whether it is worn so that it must not hang in a rig.
    #[serde(default)]
    pub worn: bool,
    /// Anything else.
    #[serde(default)]
    pub note: String,
}

fn one() -> usize {
    1
}

/// Days after which gear that was not looked over is overdue. Common practice, no source: a season.
const INSPECTED_DAYS: i32 = 365;

impl Inventory {
    /// Reads an inventory.
    ///
    /// # Errors
    /// Why it cannot be read, with its place.
    pub fn open(path: &Path) -> Result<Self, String> {
        let name = path.display();
        let text = std::fs::read_to_string(path).map_err(|e| format!("error: {name}: {e}"))?;
        Self::parse(&text).map_err(|e| format!("error: {name}: {e}"))
    }

    /// Reads an inventory from its text.
    ///
    /// # Errors
    /// Why it cannot be read.
    pub fn parse(text: &str) -> Result<Self, String> {
        let all: Self = ron::Options::default()
            .with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
            .from_str(text)
            .map_err(|e| e.to_string())?;
        for o in &all.items {
            for (what, day) in [("in_service", &o.in_service), ("inspected", &o.inspected), ("retire_by", &o.retire_by)]
            {
                if let Some(d) = day
                    && d.parse::<Date>().is_err()
                {
                    return Err(format!("{}: {what}: “{d}” is no date; write it as 2026-05-30", o.item));
                }
            }
        }
        Ok(all)
    }
}

impl Owned {
    /// Why it must stay at home on this day; nothing when it may come.
    #[must_use]
    pub fn unfit(&self, on: Date) -> Option<String> {
        let day = |t: &Option<String>| t.as_ref().and_then(|t| t.parse::<Date>().ok());
        if self.worn {
            return Some("worn".to_owned());
        }
        if let Some(by) = day(&self.retire_by).filter(|by| *by <= on) {
            return Some(format!("to be retired by {by}"));
        }
        match day(&self.inspected).or_else(|| day(&self.in_service)) {
            Some(seen) if (on - seen).get_days() > INSPECTED_DAYS => Some(format!("not looked over since {seen}")),
            Some(_) => None,
            None => Some("never looked over, or not noted".to_owned()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_overdue_is_said() {
        let text = r#"Inventory(owner: "club", items: [
            (item: "bow-shackle-3t", count: 4, inspected: "2026-03-01"),
            (item: "webbing-lock", inspected: "2024-03-01"),
            (item: "hmpe-8", inspected: "2026-03-01", retire_by: "2026-06-01"),
            (item: "quick-link-12"),
        ])"#;
        let all = Inventory::parse(text).expect("an inventory");
        let on = "2026-11-25".parse().expect("a day");
        let said: Vec<Option<String>> = all.items.iter().map(|o| o.unfit(on)).collect();
        assert_eq!(said[0], None);
        assert!(said[1..].iter().all(Option::is_some), "{said:?}");
        assert!(Inventory::parse(r#"Inventory(items: [(item: "x", inspected: "May")])"#).is_err());
        assert!(Inventory::parse(r#"Inventory(items: [(item: "x", colour: "red")])"#).is_err());
    }
}
