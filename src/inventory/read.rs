//! An inventory out of its text, with everything that is wrong with it.

use std::path::Path as FilePath;

use indexmap::IndexMap;
use jiff::civil::Date;

use super::fields::{FIRST, INVENTORY, Made, What};
use super::{Counted, Entry, Inventory, Piece, table};
use crate::catalogue::Catalogue;
use crate::document::{Diagnostic, Node, Path, Reader, Source, check, did_you_mean, plain, scan};
use crate::units::Quantity;

/// Largest text of an inventory, bytes.
const BYTES_LIMIT: u64 = 4_000_000;

/// An inventory's text with what it says.
#[derive(Debug, Clone)]
pub struct InventoryFile {
    /// Its name in messages.
    pub name: String,
    /// The text; of a spreadsheet, what it says as an inventory.
    pub text: String,
    /// Its nodes.
    pub root: Node,
    /// What it says.
    pub inventory: Inventory,
    /// Of a spreadsheet, the file and row that each line of the text came from.
    pub(super) rows: Vec<(String, u64)>,
}

impl InventoryFile {
    /// Where a field of a piece is said, or the piece itself where it says none: file and line, of a spreadsheet its row.
    #[must_use]
    pub fn place_of(&self, id: &str, field: &str) -> String {
        let piece = Path::root().key("pieces").key(id);
        let node = piece.key(field).find(&self.root).or_else(|| piece.find(&self.root));
        let before = node.map_or(0, |n| self.text[..n.span.start.min(self.text.len())].matches('\n').count());
        match self.rows.get(before) {
            Some((file, row)) => format!("{}, row {row}", plain(file)),
            None => format!("{}:{}", plain(&self.name), before + 1),
        }
    }

    /// Reads the inventory at `path`, RON or a spreadsheet (`pieces.csv`, with `pieces-log.csv` beside it where there is one);
    /// nothing in it may be later than `today`, and every kind is one of `catalogue`.
    ///
    /// # Errors
    /// Every fault, each with its place and what to write instead.
    pub fn open(path: &FilePath, today: Date, catalogue: &Catalogue) -> Result<Self, String> {
        let name = path.display().to_string();
        let text = |path: &FilePath| {
            let said = |why: String| format!("error: {}: {why}\n", plain(&path.display().to_string()));
            let meta = std::fs::metadata(path).map_err(|e| said(e.to_string()))?;
            if meta.len() > BYTES_LIMIT {
                return Err(said(format!("has more than {} MB", BYTES_LIMIT / 1_000_000)));
            }
            let text = std::fs::read_to_string(path).map_err(|e| said(e.to_string()))?;
            Ok(text.strip_prefix('\u{feff}').map_or(text.clone(), str::to_owned))
        };
        let own = text(path)?;
        if !path.extension().is_some_and(|e| e.eq_ignore_ascii_case("csv")) {
            return Self::parse(&name, own, today, catalogue);
        }
        let stem = path.file_stem().and_then(|s| s.to_str()).unwrap_or_default();
        let log = path.with_file_name(format!("{stem}-log.csv"));
        let entries = if log.is_file() { Some((log.display().to_string(), text(&log)?)) } else { None };
        let rows = table::from_csv((&name, &own), entries.as_ref().map(|(n, t)| (n.as_str(), t.as_str())))?;
        rows.parsed(today, catalogue)
    }

    /// Reads `text`.
    ///
    /// # Errors
    /// Every fault, each with its place and what to write instead.
    pub fn parse(name: &str, text: String, today: Date, catalogue: &Catalogue) -> Result<Self, String> {
        let source = Source { name, text: &text };
        let (root, inventory, faults) = read(&text, today, catalogue).map_err(|d| source.show(&d))?;
        if faults.is_empty() {
            return Ok(Self { name: name.to_owned(), text, root, inventory, rows: Vec::new() });
        }
        Err(faults.iter().map(|d| source.show(d)).collect::<Vec<_>>().join("\n"))
    }
}

/// The text's nodes, what they say, and all faults; or why there are none.
pub(super) fn read(
    text: &str,
    today: Date,
    catalogue: &Catalogue,
) -> Result<(Node, Inventory, Vec<Diagnostic>), Box<Diagnostic>> {
    let root = scan(text).map_err(Box::new)?;
    let first = Reader(&root).get("items").is_some();
    let mut faults = check(&root, if first { &FIRST } else { &INVENTORY });
    if let Some(n) = Reader(&root).n("format").filter(|n| !first && (*n - 2.0).abs() > 1e-9) {
        let span = Reader(&root).get("format").map_or(0..0, |f| f.0.span.clone());
        faults.push(
            Diagnostic::error(Path::root().key("format"), span, format!("form {n} of an inventory is not known here"))
                .help("this program reads 2, and the first form, which has no number"),
        );
    }
    let inventory = if first { first_form(&root) } else { second_form(&root) };
    if faults.is_empty() {
        Judge { root: &root, today, catalogue, faults: &mut faults }.all(&inventory, first);
    }
    Ok((root, inventory, faults))
}

fn second_form(root: &Node) -> Inventory {
    let r = Reader(root);
    let pieces = r.get("pieces").map(Reader::entries).unwrap_or_default();
    let counted = r.get("counted").map(Reader::items).unwrap_or_default();
    Inventory {
        owner: r.words("owner"),
        pieces: pieces.iter().map(|e| (e.key.clone(), piece(Reader(&e.value)))).collect::<IndexMap<_, _>>(),
        counted: counted.iter().map(|n| self::counted(Reader(n))).collect(),
    }
}

fn first_form(root: &Node) -> Inventory {
    let r = Reader(root);
    let items = r.get("items").map(Reader::items).unwrap_or_default();
    let owned = |n: &Node| {
        let r = Reader(n);
        let worn = r.get("worn").and_then(Reader::flag) == Some(true);
        Counted {
            kind: r.words("item"),
            count: whole(r, "count", 1),
            length: None,
            inspected: date(r, "inspected"),
            in_use_since: date(r, "in_service"),
            retire_by: date(r, "retire_by"),
            retired: if worn { "worn".to_owned() } else { String::new() },
            kit: false,
            owner: r.words("owner"),
            place: String::new(),
            label: r.words("label"),
            note: r.words("note"),
        }
    };
    Inventory { owner: r.words("owner"), pieces: IndexMap::new(), counted: items.iter().map(owned).collect() }
}

fn date(r: Reader<'_>, key: &str) -> Option<Date> {
    r.get(key).and_then(Reader::date)
}

fn whole(r: Reader<'_>, key: &str, default: usize) -> usize {
    r.n(key).map_or(default, |n| n as usize)
}

fn piece(r: Reader<'_>) -> Piece {
    let eye = |i: usize| r.get("eyes").and_then(|e| e.at(i)).and_then(Reader::quantity);
    Piece {
        kind: r.words("kind"),
        made: r.get("made").and_then(|m| Made::from_id(m.name())),
        length: r.q("length"),
        eyes: eye(0).zip(eye(1)).map(|(a, b)| [a, b]),
        batch: r.words("batch"),
        maker_date: date(r, "maker_date"),
        in_use_since: date(r, "in_use_since"),
        retire_by: date(r, "retire_by"),
        owner: r.words("owner"),
        place: r.words("place"),
        label: r.words("label"),
        note: r.words("note"),
        log: r.get("log").map(Reader::items).unwrap_or_default().iter().filter_map(|n| entry(Reader(n))).collect(),
    }
}

fn entry(r: Reader<'_>) -> Option<Entry> {
    let what = r.get("event").and_then(|e| What::from_id(e.name()))?;
    Some(Entry {
        by: r.words("by"),
        plan: r.words("plan"),
        up: r.q("up"),
        sun: r.q("sun"),
        falls: whole(r, "falls", 0),
        catches: whole(r, "catches", 0),
        hardest: r.q("hardest"),
        length: r.q("length"),
        note: r.words("note"),
        ..Entry::of(date(r, "on")?, what)
    })
}

fn counted(r: Reader<'_>) -> Counted {
    Counted {
        kind: r.words("kind"),
        count: whole(r, "count", 1),
        length: r.q("length"),
        inspected: date(r, "inspected"),
        in_use_since: date(r, "in_use_since"),
        retire_by: date(r, "retire_by"),
        retired: r.words("retired"),
        kit: r.get("kit").and_then(Reader::flag) == Some(true),
        owner: r.words("owner"),
        place: r.words("place"),
        label: r.words("label"),
        note: r.words("note"),
    }
}

/// What no table of fields can see.
struct Judge<'a> {
    root: &'a Node,
    today: Date,
    catalogue: &'a Catalogue,
    faults: &'a mut Vec<Diagnostic>,
}

impl Judge<'_> {
    fn add(&mut self, path: Path, message: String, help: impl Into<String>) {
        let span = path.find(self.root).map_or(self.root.span.clone(), |n| n.span.clone());
        self.faults.push(Diagnostic::error(path, span, message).help(help));
    }

    fn all(&mut self, inventory: &Inventory, first: bool) {
        for (id, p) in &inventory.pieces {
            let at = Path::root().key("pieces").key(id);
            self.kind(at.key("kind"), &p.kind);
            self.order(&at, p);
            let cut = self.catalogue.get(&p.kind).is_some_and(|i| i.class.is_cut());
            if p.length.is_none() && (cut || p.made.is_some_and(|m| m != Made::Article)) {
                let help =
                    "its length, as in `length: \"3.37 m\"`: of line what there is, of a made piece between bearings";
                self.add(at.clone(), format!("{id} has no length"), help);
            }
            if p.made.is_some_and(|m| m != Made::Article) && !cut && self.catalogue.get(&p.kind).is_some() {
                let help = "leave `made` out: only what is cut from a spool is made into something";
                self.add(at.key("made"), format!("nothing is made of {}", p.kind), help);
            }
            for (k, e) in p.log.iter().enumerate() {
                let at = at.key("log").at(k);
                self.not_later(at.key("on"), e.on);
                if let Some(born) = p.maker_date.filter(|b| e.on < *b) {
                    self.add(at.key("on"), format!("{} is before it was made, {born}", e.on), "one of the two days");
                }
                if matches!(e.event, What::Out | What::Back | What::Damaged | What::Rigged) && e.plan.is_empty() {
                    self.add(
                        at.clone(),
                        "of what plan is not said".to_owned(),
                        "its name, as in `plan: \"kestrel-gap-62m\"`",
                    );
                }
            }
        }
        let list = if first { "items" } else { "counted" };
        for (k, c) in inventory.counted.iter().enumerate() {
            let at = Path::root().key(list).at(k);
            if !c.kit && !first {
                self.kind(at.key("kind"), &c.kind);
            }
            for (name, day) in [("inspected", c.inspected), ("in_use_since", c.in_use_since)] {
                if let Some(day) = day {
                    let name = if first && name == "in_use_since" { "in_service" } else { name };
                    self.not_later(at.key(name), day);
                }
            }
        }
    }

    fn kind(&mut self, at: Path, kind: &str) {
        if self.catalogue.get(kind).is_some() {
            return;
        }
        let near = did_you_mean(kind, self.catalogue.iter().map(|(id, _)| id));
        let near = near.map(|n| format!("did you mean “{n}”? ")).unwrap_or_default();
        self.add(
            at,
            format!("no item is called “{}”", plain(kind)),
            format!("{near}`spanwright items` lists them; a plan's own are known beside that plan"),
        );
    }

    fn not_later(&mut self, at: Path, day: Date) {
        if day > self.today {
            self.add(at, format!("{day} is still to come"), format!("a day up to {}", self.today));
        }
    }

    fn order(&mut self, at: &Path, p: &Piece) {
        for (name, day) in [("maker_date", p.maker_date), ("in_use_since", p.in_use_since)] {
            if let Some(day) = day {
                self.not_later(at.key(name), day);
            }
        }
        if let (Some(made), Some(used)) = (p.maker_date, p.in_use_since)
            && used < made
        {
            self.add(
                at.key("in_use_since"),
                format!("used on {used}, before it was made on {made}"),
                "one of the two days",
            );
        }
        if let Some([a, b]) = p.eyes {
            let length = p.length.map_or(f64::INFINITY, Quantity::si);
            if a.si() > length || b.si() > length {
                self.add(
                    at.key("eyes"),
                    "an eye is longer than the piece".to_owned(),
                    "lengths of the eyes lying flat",
                );
            }
        }
    }
}
