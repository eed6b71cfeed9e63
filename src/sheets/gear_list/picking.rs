//! Which pieces of an inventory serve for what the plan needs, and what is said of the rest.

use jiff::civil::Date;

use super::counting::{Line, Needed, On};
use crate::catalogue::Catalogue;
use crate::inventory::{Counted, Entry, Inventory, Made, Piece, Unfit, Wants, What, at_least, fits};
use crate::plan::PlanFile;
use crate::plan::day::Day;
use crate::units::{Dim, Quantity, System, mm, show};

/// What serves for a piece that is needed.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Serves {
    /// A piece of its own.
    Piece(String),
    /// One of those that are counted.
    Counted,
    /// Nothing.
    Missing,
}

/// All that a plan needs of one kind, against an inventory on a day.
#[derive(Debug, Clone)]
pub(super) struct Kind {
    /// The item.
    pub(super) item: String,
    /// What serves for each piece, in the order of the list.
    pub(super) serves: Vec<Serves>,
    /// What there is and does not serve, and why: unfit, too short, of another length.
    pub(super) left: Vec<String>,
    /// Whether anything of it must stay at home.
    pub(super) unfit: bool,
    /// Fit pieces beyond what is needed.
    pub(super) surplus: usize,
    /// What is wrong with pieces that the plan names, and whether it is that they have had their days.
    pub(super) named: Vec<(String, bool)>,
    /// What is worth a word of pieces that serve.
    pub(super) words: Vec<String>,
}

impl Kind {
    /// All that is to be said of what there is.
    pub(super) fn state(&self) -> Vec<String> {
        self.named.iter().map(|n| &n.0).chain(&self.words).chain(&self.left).cloned().collect()
    }

    /// How many of those that are needed are there.
    pub(super) fn have(&self) -> usize {
        self.serves.iter().filter(|s| **s != Serves::Missing).count()
    }
}

/// An inventory as the plan sees it on a day: what its own days add to the logs of pieces that hang in it.
pub(super) struct Store<'a> {
    inventory: &'a Inventory,
    catalogue: &'a Catalogue,
    days: &'a [Day],
    plan: String,
    on: Date,
    /// Pieces that the plan names anywhere: no other part may have them.
    spoken_for: Vec<&'a str>,
}

impl<'a> Store<'a> {
    pub(super) fn of(file: &'a PlanFile, inventory: &'a Inventory, on: Date) -> Self {
        Self {
            inventory,
            catalogue: &file.catalogue,
            days: &file.plan.days,
            plan: plan_name(file),
            on,
            spoken_for: file.plan.serials().map(|s| s.2).collect(),
        }
    }

    /// A piece with what the plan's days add to its log, where it hangs in the plan and the log has not got it.
    fn piece(&self, id: &str) -> Option<Piece> {
        let mut piece = self.inventory.pieces.get(id)?.clone();
        if self.spoken_for.contains(&id) {
            for entry in self.days.iter().flat_map(|d| d.logged(id, &self.plan)) {
                let there = |e: &Entry| {
                    e.on == entry.on && e.event == entry.event && (e.event != What::Rigged || e.plan == entry.plan)
                };
                if !piece.log.iter().any(there) {
                    piece.log.push(entry);
                }
            }
        }
        Some(piece)
    }

    /// What serves for these pieces of one kind.
    pub(super) fn pick(&self, item_id: &str, needs: &[&Needed]) -> Kind {
        let item = self.catalogue.get(item_id).map(std::convert::AsRef::as_ref);
        let spool = item.is_some_and(|i| i.class.is_cut());
        let l = |m: f64| show(Dim::Length, m, System::Si);
        let mut out = Kind {
            item: item_id.to_owned(),
            serves: vec![Serves::Missing; needs.len()],
            left: Vec::new(),
            unfit: false,
            surplus: 0,
            named: Vec::new(),
            words: Vec::new(),
        };
        // Pieces that the plan names.
        for (k, need) in needs.iter().enumerate() {
            let Some(id) = &need.serial else { continue };
            let mut wrong = |why: String, spent: bool| out.named.push((format!("{id}: {why}"), spent));
            let Some(piece) = self.piece(id) else {
                wrong("the inventory has no such piece".to_owned(), false);
                continue;
            };
            let long = piece.length_m(self.on);
            let (is_made, to_be_made) = (is_made(&piece), spool && matches!(need.wants, Wants::Within(..)));
            match (piece.unfit(item, self.on, &self.plan), long, need.wants) {
                _ if piece.kind != item_id => {
                    wrong(format!("the plan has {item_id}, the inventory {}", piece.kind), false);
                }
                (Some(why), ..) => wrong(why.to_string(), matches!(why, Unfit::Spent(_))),
                (None, None, Wants::AtLeast(_) | Wants::Within(..)) => {
                    wrong("of what length is not noted".to_owned(), false);
                }
                (None, ..) if is_made != to_be_made => {
                    wrong(if is_made { "made up for another use" } else { "not made up" }.to_owned(), false);
                }
                (None, Some(m), Wants::AtLeast(need)) if m < need - 1e-9 => {
                    wrong(format!("{}, {} needed", l(m), l(need)), false);
                }
                (None, Some(m), Wants::Within(need, by)) if (m - need).abs() > by + 1e-9 => {
                    wrong(format!("{}, {} ± {} needed", l(m), l(need), mm(by)), false);
                }
                _ if !eyes_go(&piece, need) => wrong(too_small(&piece, need), false),
                _ => {
                    out.serves[k] = Serves::Piece(id.clone());
                    out.words.extend(look_at_eyes(&piece, need).map(|w| format!("{id}: {w}")));
                    out.words.extend(piece.worth_a_word(item, self.on).map(|w| format!("{id}: {w}")));
                }
            }
        }
        // Fit pieces of the kind that no part of the plan names, each told apart or counted.
        let mut there: Vec<There> = Vec::new();
        for (id, piece) in self.inventory.pieces.iter().filter(|(_, p)| p.kind == item_id) {
            if self.spoken_for.contains(&id.as_str()) {
                continue;
            }
            if let Some(why) = piece.unfit(item, self.on, &self.plan) {
                out.unfit = true;
                out.left.push(format!("{id}: stays at home, {why}"));
                continue;
            }
            there.push(There {
                id: Some(id.clone()),
                made: is_made(piece),
                length_m: piece.length_m(self.on),
                word: piece.worth_a_word(item, self.on).map(|w| format!("{id}: {w}")),
                used: false,
            });
        }
        for c in self.inventory.counted.iter().filter(|c| c.kind == item_id) {
            let why_not = c.unfit(self.on);
            out.unfit |= why_not.is_some();
            if why_not.is_none() {
                let one =
                    There { id: None, made: false, length_m: c.length.map(Quantity::si), word: None, used: false };
                there.extend(vec![one; c.count]);
            }
            out.left.push(self.counted(c, why_not));
        }
        let sort = |of: &dyn Fn(Wants) -> bool| -> Vec<usize> {
            (0..needs.len()).filter(|k| needs[*k].serial.is_none() && of(needs[*k].wants)).collect()
        };
        let long = |there: &[There], made: bool| -> Vec<(usize, f64)> {
            let fit = there.iter().enumerate().filter(|(_, t)| t.made == made && !t.used);
            fit.filter_map(|(p, t)| Some((p, t.length_m?))).collect()
        };
        // The most that can be met of each sort of need; what has a length first, so that none is taken where any would do.
        let lines = sort(&|w| matches!(w, Wants::AtLeast(_)));
        let pool = long(&there, false);
        let lengths: Vec<f64> = pool.iter().map(|p| p.1).collect();
        let got = at_least(&lines.iter().map(|k| needs[*k].length_m).collect::<Vec<_>>(), &lengths);
        take(&mut out, &mut there, &lines, &pool, &got);
        let made = sort(&|w| matches!(w, Wants::Within(..)));
        let pool = long(&there, spool);
        let lengths: Vec<f64> = pool.iter().map(|p| p.1).collect();
        let want = made.iter().filter_map(|k| match needs[*k].wants {
            Wants::Within(m, by) => Some((m, by)),
            _ => None,
        });
        // A sling's eyes must go on what it hangs on.
        let of = |p: usize| there[pool[p].0].id.as_ref().and_then(|id| self.inventory.pieces.get(id));
        let goes = |k: usize, p: usize| of(p).is_none_or(|piece| eyes_go(piece, needs[made[k]]));
        let got = fits(&want.collect::<Vec<_>>(), &lengths, goes);
        for (k, p) in got.iter().enumerate().filter_map(|(k, p)| Some((k, (*p)?))) {
            let word = of(p).and_then(|piece| look_at_eyes(piece, needs[made[k]]));
            let id = there[pool[p].0].id.clone().unwrap_or_default();
            out.words.extend(word.map(|w| format!("{id}: {w}")));
        }
        take(&mut out, &mut there, &made, &pool, &got);
        let any = sort(&|w| w == Wants::Any);
        let pool: Vec<(usize, f64)> =
            (0..there.len()).filter(|p| !there[*p].made && !there[*p].used).map(|p| (p, 0.0)).collect();
        let got: Vec<Option<usize>> = (0..any.len()).map(|k| (k < pool.len()).then_some(k)).collect();
        take(&mut out, &mut there, &any, &pool, &got);
        // What is left over and almost serves, each told once, against the need that it comes nearest to.
        let open: Vec<&Needed> = (0..needs.len())
            .filter(|k| out.serves[*k] == Serves::Missing && needs[*k].serial.is_none() && needs[*k].length_m > 0.0)
            .map(|k| needs[k])
            .collect();
        for t in there.iter().filter(|t| !t.used) {
            let piece = t.id.as_ref().and_then(|id| self.inventory.pieces.get(id));
            let said = nearest((t, piece), &open, spool);
            out.left.extend(said.filter(|s| !out.left.contains(s)));
        }
        out.surplus = there.iter().filter(|t| !t.used && !t.made).count();
        out
    }

    /// Counted pieces in words.
    fn counted(&self, c: &Counted, why_not: Option<Unfit>) -> String {
        let s = if c.count == 1 { "" } else { "s" };
        let long = c.length.map(|m| format!(" of {}", show(Dim::Length, m.si(), System::Si))).unwrap_or_default();
        let label = if c.label.is_empty() { String::new() } else { format!("label {}", c.label) };
        let more = [self.inventory.owner_of(&c.owner), &label, &c.place, &c.note];
        let more: Vec<&str> = more.into_iter().filter(|t| !t.is_empty()).collect();
        let more = if more.is_empty() { String::new() } else { format!(" ({})", more.join(", ")) };
        let state = why_not.map(|why| format!(": stay at home, {why}")).unwrap_or_default();
        format!("{} piece{s}{long}{more}{state}", c.count)
    }

    /// Every kind that these lines need, in their order.
    pub(super) fn all(&self, groups: &[Vec<Line>; 4]) -> Vec<Kind> {
        kinds(groups).into_iter().map(|(item, needs)| self.pick(&item, &needs)).collect()
    }
}

/// A fit piece of an inventory.
#[derive(Debug, Clone)]
struct There {
    /// Its name; nothing for one of those that are counted.
    id: Option<String>,
    /// Whether it was made of something that is cut from a spool.
    made: bool,
    length_m: Option<f64>,
    word: Option<String>,
    used: bool,
}

/// Whether a piece was made of something that is cut from a spool.
fn is_made(piece: &Piece) -> bool {
    piece.made.is_some_and(|m| !matches!(m, Made::Line | Made::Article))
}

/// Marks what serves: for each of these needs the piece of the pool that it got.
fn take(out: &mut Kind, there: &mut [There], needs: &[usize], pool: &[(usize, f64)], got: &[Option<usize>]) {
    for (k, p) in needs.iter().zip(got).filter_map(|(k, p)| Some((*k, pool[(*p)?].0))) {
        there[p].used = true;
        out.words.extend(there[p].word.clone());
        out.serves[k] = there[p].id.clone().map_or(Serves::Counted, Serves::Piece);
    }
}

/// Why a piece that is left over does not serve for the need that it comes nearest to.
fn nearest((piece, known): (&There, Option<&Piece>), open: &[&Needed], spool: bool) -> Option<String> {
    let l = |m: f64| show(Dim::Length, m, System::Si);
    let name = piece.id.clone().unwrap_or_else(|| "counted".to_owned());
    let Some(m) = piece.length_m else {
        return (!open.is_empty()).then(|| format!("{name}: of what length is not noted"));
    };
    let off = |n: &&&Needed| (m - n.length_m).abs();
    let need = open.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let within = matches!(need.wants, Wants::Within(..));
    let why = match (within && spool, piece.made) {
        (true, false) => "not made up".to_owned(),
        (false, true) => "made up for another use".to_owned(),
        _ if known.is_some_and(|p| !eyes_go(p, need)) => known.map_or_else(String::new, |p| too_small(p, need)),
        _ if m < need.length_m => format!("{} too short for {}", l(need.length_m - m), l(need.length_m)),
        _ if within => format!("{} too long for {}", l(m - need.length_m), l(need.length_m)),
        _ => "for another part".to_owned(),
    };
    Some(format!("{name} {}: {why}", l(m)))
}

/// Whether the eyes of a sling go on what it is needed for, either way round; eyes that nobody measured are not known not to.
fn eyes_go(piece: &Piece, need: &Needed) -> bool {
    let (Some(eyes), Some(on)) = (piece.eyes, need.on) else { return true };
    let goes = |k: usize, on: On| eyes[k].si() >= on.least_m - 1e-9;
    goes(0, on[0]) && goes(1, on[1]) || goes(0, on[1]) && goes(1, on[0])
}

/// Why its eyes do not go there.
fn too_small(piece: &Piece, need: &Needed) -> String {
    let least = need.on.iter().flatten().map(|o| format!("{} on {}", mm(o.least_m), mm(o.pin_m)));
    let has = piece.eyes.iter().flatten().map(|e| mm(e.si()));
    format!(
        "its eyes, {}, are too small: at least {} needed",
        has.collect::<Vec<_>>().join(" and "),
        least.collect::<Vec<_>>().join(", ")
    )
}

/// What must be looked at before a sling is taken: eyes that nobody measured, thimbles that no list knows.
fn look_at_eyes(piece: &Piece, need: &Needed) -> Option<String> {
    let on = need.on?;
    let thimble =
        on.iter().any(|o| o.thimble).then(|| "look whether it has the thimble that the plan asks for".to_owned());
    let eyes = piece
        .eyes
        .is_none()
        .then(|| format!("its eyes are not noted; they go on {} and {}", mm(on[0].pin_m), mm(on[1].pin_m)));
    let all: Vec<String> = thimble.into_iter().chain(eyes).collect();
    (!all.is_empty()).then(|| all.join("; "))
}

/// What an inventory's logs call a plan: its file, without folder and ending.
#[must_use]
pub fn plan_name(file: &PlanFile) -> String {
    let stem = std::path::Path::new(&file.name).file_stem().and_then(|s| s.to_str());
    stem.unwrap_or(&file.name).to_owned()
}

/// What is needed of each kind that is not in the rock already, in the order of the list.
pub(super) fn kinds(groups: &[Vec<Line>; 4]) -> indexmap::IndexMap<String, Vec<&Needed>> {
    let mut out: indexmap::IndexMap<String, Vec<&Needed>> = indexmap::IndexMap::new();
    for line in groups.iter().flatten().filter(|l| !l.fixed) {
        out.entry(line.item.clone()).or_default().extend(&line.pieces);
    }
    out
}
