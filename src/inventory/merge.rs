//! Several inventories as one: a union, with what they disagree on.

use std::collections::BTreeSet;

use indexmap::IndexSet;
use jiff::civil::Date;

use super::rows::Cell;
use super::{Counted, Entry, Inventory, Piece, What};

/// A field of a piece on which two inventories disagree.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// The piece.
    pub id: String,
    /// The field.
    pub field: &'static str,
    /// What each file has of it, as written; empty where it has nothing.
    pub said: [(String, String); 2],
}

/// What became of several inventories.
#[derive(Debug, Clone, PartialEq)]
pub struct Merged {
    /// All of them.
    pub inventory: Inventory,
    /// What they disagree on; settled by the one that is preferred, where one is.
    pub conflicts: Vec<Conflict>,
}

/// All pieces of all inventories, each with the name of its file. Logs are united, so that what is retired, lost or failed in
/// any of them is so; counted pieces of one kind, owner, place and state are added up. `prefer` settles what they disagree on.
#[must_use]
pub fn merge(files: &[(&str, &Inventory)], prefer: Option<&str>) -> Merged {
    let mut all = Inventory::default();
    let mut from: Vec<&str> = Vec::new();
    let mut conflicts = Vec::new();
    let one_owner = files.windows(2).all(|w| w[0].1.owner == w[1].1.owner);
    all.owner = if one_owner { files.first().map(|f| f.1.owner.clone()).unwrap_or_default() } else { String::new() };
    let own = |inventory: &Inventory, owner: &str| {
        if one_owner { owner.to_owned() } else { inventory.owner_of(owner).to_owned() }
    };
    for (name, inventory) in files {
        for (id, theirs) in &inventory.pieces {
            let theirs = Piece { owner: own(inventory, &theirs.owner), ..theirs.clone() };
            let Some((at, _, ours)) = all.pieces.get_full_mut(id) else {
                all.pieces.insert(id.clone(), theirs);
                from.push(name);
                continue;
            };
            ours.log = united(&ours.log, &theirs.log);
            let (a, b) = (ours.cells(), theirs.cells());
            let of = |cells: &[Cell], field: &str| {
                cells.iter().find(|c| c.0 == field).map(|c| c.1.clone()).unwrap_or_default()
            };
            let fields: IndexSet<&'static str> = a.iter().chain(&b).map(|c| c.0).collect();
            for field in fields {
                let said = [of(&a, field), of(&b, field)];
                if said[0] != said[1] {
                    let [x, y] = said;
                    let said = [(from[at].to_owned(), x), ((*name).to_owned(), y)];
                    conflicts.push(Conflict { id: id.clone(), field, said });
                }
            }
            if prefer == Some(name) {
                let log = std::mem::take(&mut ours.log);
                *ours = Piece { log, ..theirs };
                from[at] = name;
            }
        }
        for theirs in &inventory.counted {
            let theirs = Counted { owner: own(inventory, &theirs.owner), ..theirs.clone() };
            let alike = |c: &&mut Counted| Counted { count: theirs.count, ..(**c).clone() } == theirs;
            match all.counted.iter_mut().find(alike) {
                Some(ours) => ours.count += theirs.count,
                None => all.counted.push(theirs),
            }
        }
    }
    // Whoever is preferred settles all that it speaks of, between others too.
    if let Some((_, settles)) = files.iter().find(|f| Some(f.0) == prefer) {
        conflicts.retain(|c| !settles.pieces.contains_key(&c.id));
    }
    Merged { inventory: all, conflicts }
}

/// Two logs as one, day by day. Where both have something of a day and not the same, nobody knows what came first: what takes a
/// piece out of use is put last, so that a look in one list settles nothing that only the other has.
fn united(ours: &[Entry], theirs: &[Entry]) -> Vec<Entry> {
    let days: BTreeSet<Date> = ours.iter().chain(theirs).map(|e| e.on).collect();
    let mut out = Vec::new();
    for day in days {
        let of = |log: &[Entry]| log.iter().filter(|e| e.on == day).cloned().collect::<Vec<_>>();
        let (a, b) = (of(ours), of(theirs));
        let inside = |small: &[Entry], large: &[Entry]| small.iter().all(|e| large.contains(e));
        if inside(&b, &a) {
            out.extend(a);
        } else if inside(&a, &b) {
            out.extend(b);
        } else {
            let new = b.into_iter().filter(|e| !a.contains(e)).collect();
            let mut both = [a, new].concat();
            both.sort_by_key(|e| !matches!(e.event, What::Inspected | What::Out | What::Back));
            out.extend(both);
        }
    }
    out
}
