//! What is different between two plans, place by place, in the words of the trade; and the remarks of two copies in one.

use similar::{Algorithm, DiffOp, capture_diff_slices};

use super::file::PlanFile;
use super::model::{At, Hold, Point, PointKind, Remark, Run};
use crate::document::{Body, Entry, Node, Path, Splice, plain, quote};
use crate::units::{Length, Quantity};

/// One difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// Where: a point, a run, “run, part 2”, the site.
    pub at: String,
    /// What.
    pub what: String,
    /// The same as each of the two has it; empty where one has nothing of it.
    pub sides: [String; 2],
}

struct Walk<'a> {
    files: [&'a PlanFile; 2],
    out: Vec<Difference>,
}

/// Everything that differs from `a` to `b`; layout, comments and order of fields do not count.
#[must_use]
pub fn differences(a: &PlanFile, b: &PlanFile) -> Vec<Difference> {
    let mut walk = Walk { files: [a, b], out: Vec::new() };
    walk.entries("", entries(&a.root), entries(&b.root), true);
    walk.out
}

fn entries(node: &Node) -> &[Entry] {
    match &node.body {
        Body::Fields(e) | Body::Map(e) => e,
        _ => &[],
    }
}

/// A value without its layout and comments, shortened.
fn brief(text: &str, node: &Node) -> String {
    const LONGEST: usize = 60;
    let raw: String =
        text[node.span.clone()].lines().map(|l| l.split("//").next().unwrap_or(l).trim()).collect::<Vec<_>>().join(" ");
    let raw = plain(raw.trim_matches('"'));
    if raw.chars().count() > LONGEST { raw.chars().take(LONGEST - 1).collect::<String>() + "…" } else { raw }
}

/// The same said: other spans do not make a difference.
fn same(a: &Node, b: &Node) -> bool {
    let all = |a: &[Node], b: &[Node]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b));
    // Of fields and maps the order does not count.
    let keyed = |a: &[Entry], b: &[Entry]| {
        a.len() == b.len() && a.iter().all(|e| b.iter().any(|f| f.key == e.key && same(&e.value, &f.value)))
    };
    // A record may be written with its name or without.
    let named = a.name == b.name || matches!((&a.body, &b.body), (Body::Fields(_), Body::Fields(_)));
    named
        && match (&a.body, &b.body) {
            (Body::Fields(x), Body::Fields(y)) | (Body::Map(x), Body::Map(y)) => keyed(x, y),
            (Body::Tuple(x), Body::Tuple(y)) | (Body::List(x), Body::List(y)) => all(x, y),
            (x, y) => x == y,
        }
}

fn place_words([x, y, z]: [Length; 3]) -> String {
    format!("({:.2}, {:.2}, {:.2}) m", x.si(), y.si(), z.si())
}

/// What a point is, and where.
fn point_words(p: &Point) -> String {
    let hung = p.hardware.as_ref().map_or_else(String::new, |h| format!(", {h}"));
    match &p.kind {
        PointKind::Free { near, .. } => format!("side {:?}, about {}{hung}", p.side, place_words(*near)),
        PointKind::Fixed { at, by, .. } => {
            let at = match at {
                At::Place(place) => format!("at {}", place_words(*place)),
                At::Sighted(sights) => {
                    let each = sights.iter().map(|s| {
                        let from = s.from.as_ref().map_or_else(String::new, |f| format!(" from {f}"));
                        let (bearing, slope) = (s.bearing.si().to_degrees(), s.slope.si().to_degrees());
                        format!("sighted at {:.2} m, {bearing:.0}°, slope {slope:.0}°{from}", s.distance.si())
                    });
                    each.collect::<Vec<_>>().join("; ")
                }
            };
            let by = if let Hold::Bolt { item, .. } = by { item } else { by.word() };
            format!("side {:?}, {by} {at}{hung}", p.side)
        }
    }
}

/// Where a run goes, and of what it is made.
fn run_words(r: &Run) -> String {
    let items: Vec<&str> = r.parts.iter().map(|p| p.item.as_str()).collect();
    let way = if r.path.is_empty() { String::new() } else { format!("{}: ", r.path.join(" – ")) };
    format!("{way}{}", items.join(", "))
}

/// Every point and run of a plan by its name, with what it is, in the plan's order.
#[must_use]
pub fn named(file: &PlanFile) -> Vec<(String, String)> {
    let points = file.plan.points.iter().map(|(name, p)| (name.clone(), point_words(p)));
    points.chain(file.plan.runs.iter().map(|(name, r)| (name.clone(), run_words(r)))).collect()
}

impl Walk<'_> {
    fn say(&mut self, at: &str, what: &str, sides: [&str; 2]) {
        let at = if at.is_empty() { "the plan" } else { at };
        self.out.push(Difference { at: plain(at), what: plain(what), sides: sides.map(plain) });
    }

    fn value(&self, side: usize, node: &Node) -> String {
        brief(&self.files[side].text, node)
    }

    /// Entries by name; at the top those of points, runs and items are places of their own.
    fn entries(&mut self, at: &str, a: &[Entry], b: &[Entry], top: bool) {
        let find = |list: &'_ [Entry], key: &str| list.iter().position(|e| e.key == key);
        for e in a {
            let below = |key: &str| match (top, key) {
                (true, "points" | "runs" | "items" | "remarks") => String::new(),
                (true, key) => key.to_owned(),
                _ => at.to_owned(),
            };
            match find(b, &e.key) {
                Some(i) if same(&e.value, &b[i].value) => {}
                Some(i) => self.node(&below(&e.key), &e.key, &e.value, &b[i].value),
                None => {
                    let was = self.value(0, &e.value);
                    self.say(at, &format!("{} taken out (was {was})", e.key), [&format!("{} {was}", e.key), ""]);
                }
            }
        }
        for e in b.iter().filter(|e| find(a, &e.key).is_none()) {
            let now = self.value(1, &e.value);
            self.say(at, &format!("{} added: {now}", e.key), ["", &format!("{} {now}", e.key)]);
        }
    }

    fn node(&mut self, at: &str, key: &str, a: &Node, b: &Node) {
        match (&a.body, &b.body) {
            (Body::Map(x), Body::Map(y)) if matches!(key, "points" | "runs" | "items") => self.named(key, x, y),
            (Body::List(x), Body::List(y)) if key == "parts" => self.parts(at, x, y),
            (Body::List(x), Body::List(y)) if key == "remarks" => self.remarks(x, y),
            (Body::Fields(x), Body::Fields(y)) | (Body::Map(x), Body::Map(y)) if a.name == b.name => {
                let at = if at == key || at.is_empty() { key.to_owned() } else { format!("{at}, {key}") };
                self.entries(&at, x, y, false);
            }
            _ => {
                let (was, now) = (self.value(0, a), self.value(1, b));
                let at = if at == key { "" } else { at };
                self.say(at, &format!("{key} {was} → {now}"), [&format!("{key} {was}"), &format!("{key} {now}")]);
            }
        }
    }

    /// Points, runs, items: each a place of its own.
    fn named(&mut self, kind: &str, a: &[Entry], b: &[Entry]) {
        let one = kind.trim_end_matches('s');
        for e in a {
            match b.iter().find(|f| f.key == e.key) {
                None => {
                    let was = self.words(0, kind, e);
                    self.say(&e.key, &format!("{one} taken out: {was}"), [&was, ""]);
                }
                Some(f) if same(&e.value, &f.value) => {}
                Some(f) if e.value.name == f.value.name => {
                    self.entries(&e.key, entries(&e.value), entries(&f.value), false);
                }
                Some(f) => {
                    let (was, now) = (self.value(0, &e.value), self.value(1, &f.value));
                    self.say(&e.key, &format!("{was} → {now}"), [&was, &now]);
                }
            }
        }
        for f in b.iter().filter(|f| !a.iter().any(|e| e.key == f.key)) {
            let now = self.words(1, kind, f);
            self.say(&f.key, &format!("{one} added: {now}"), ["", &now]);
        }
    }

    /// What a point, a run or an item is.
    fn words(&self, side: usize, kind: &str, entry: &Entry) -> String {
        let plan = &self.files[side].plan;
        let point = || plan.points.get(&entry.key).map(point_words);
        let run = || plan.runs.get(&entry.key).map(run_words);
        let words = match kind {
            "points" => point(),
            "runs" => run(),
            _ => None,
        };
        words.unwrap_or_else(|| self.value(side, &entry.value))
    }

    /// Parts of a run: which were put in or taken out, and what changed of those that stay.
    fn parts(&mut self, run: &str, a: &[Node], b: &[Node]) {
        let item = |n: &Node| {
            entries(n).iter().find(|e| e.key == "item").map_or(String::new(), |e| match &e.value.body {
                Body::Text(t) => t.clone(),
                _ => String::new(),
            })
        };
        let (old, new): (Vec<String>, Vec<String>) = (a.iter().map(item).collect(), b.iter().map(item).collect());
        let place = |k: usize| format!("{run}, part {}", k + 1);
        for op in capture_diff_slices(Algorithm::Myers, &old, &new) {
            match op {
                DiffOp::Equal { old_index, new_index, len } => {
                    for k in 0..len {
                        let (x, y) = (&a[old_index + k], &b[new_index + k]);
                        if !same(x, y) {
                            self.entries(&place(new_index + k), entries(x), entries(y), false);
                        }
                    }
                }
                DiffOp::Delete { old_index, old_len, .. } => {
                    for (k, item) in old.iter().enumerate().skip(old_index).take(old_len) {
                        self.say(&place(k), &format!("{item} taken out"), [item, ""]);
                    }
                }
                DiffOp::Insert { new_index, new_len, .. } => {
                    for (k, item) in new.iter().enumerate().skip(new_index).take(new_len) {
                        self.say(&place(k), &format!("{item} put in"), ["", item]);
                    }
                }
                DiffOp::Replace { old_index, old_len, new_index, new_len } => {
                    for k in 0..old_len.max(new_len) {
                        match (k < old_len, k < new_len) {
                            (true, true) => {
                                let (x, y) = (&a[old_index + k], &b[new_index + k]);
                                self.entries(&place(new_index + k), entries(x), entries(y), false);
                            }
                            (true, false) => {
                                let item = &old[old_index + k];
                                self.say(&place(old_index + k), &format!("{item} taken out"), [item, ""]);
                            }
                            _ => {
                                let item = &new[new_index + k];
                                self.say(&place(new_index + k), &format!("{item} put in"), ["", item]);
                            }
                        }
                    }
                }
            }
        }
    }

    fn remarks(&mut self, a: &[Node], b: &[Node]) {
        for n in a.iter().filter(|n| !b.iter().any(|m| same(n, m))) {
            let was = self.value(0, n);
            self.say("remarks", &format!("before: {was}"), [&was, ""]);
        }
        for n in b.iter().filter(|n| !a.iter().any(|m| same(n, m))) {
            let now = self.value(1, n);
            self.say("remarks", &format!("now: {now}"), ["", &now]);
        }
    }
}

impl Remark {
    /// Two copies of one remark, whatever has become of it.
    fn is(&self, other: &Self) -> bool {
        (&self.at, &self.text, &self.by, &self.date) == (&other.at, &other.text, &other.by, &other.date)
    }

    /// How far it has come: open, answered, settled.
    #[must_use]
    pub fn stage(&self) -> usize {
        STAGES.iter().position(|s| *s == self.state).unwrap_or(0)
    }

    /// As RON.
    #[must_use]
    pub fn ron(&self) -> String {
        let mut out = format!("(at: {}, text: {}", quote(&self.at), quote(&self.text));
        for (key, words) in [("by", &self.by), ("date", &self.date)] {
            if !words.is_empty() {
                out += &format!(", {key}: {}", quote(words));
            }
        }
        if self.stage() > 0 {
            out += &format!(", state: {}", self.state);
        }
        out + ")"
    }
}

/// States of a remark, in order.
pub const STAGES: [&str; 3] = ["Open", "Answered", "Settled"];

/// The edit that adds a remark to a plan's text.
#[must_use]
pub fn add_remark(text: &str, root: &Node, remark: &Remark) -> Option<Splice> {
    let path = Path::root().key("remarks");
    match path.find(root) {
        Some(list) => Splice::insert(text, list, None, None, &remark.ron()),
        None => Splice::set(text, root, &path, &format!("[\n        {},\n    ]", remark.ron())),
    }
}

/// `ours` with every remark of `theirs` that it does not have, and each remark as far as either has come. With it, what
/// was done, in words. Nothing else of `theirs` is taken.
///
/// # Errors
/// When the text has no place for a remark.
pub fn merged_remarks(ours: &PlanFile, theirs: &PlanFile) -> Result<(String, Vec<String>), String> {
    let gone = || "the plan has no place for its remarks".to_owned();
    let mut file = ours.clone();
    let mut done = Vec::new();
    for remark in &theirs.plan.remarks {
        let words = format!("{}: {}", plain(&remark.at), plain(&remark.text));
        let splice = match file.plan.remarks.iter().position(|r| r.is(remark)) {
            Some(i) if file.plan.remarks[i].stage() < remark.stage() => {
                done.push(format!("{} is now {}", words, remark.state.to_lowercase()));
                let path = Path::root().key("remarks").at(i).key("state");
                Splice::set(&file.text, &file.root, &path, &remark.state).ok_or_else(gone)?
            }
            Some(_) => continue,
            None => {
                done.push(format!("{words} taken over ({})", remark.state.to_lowercase()));
                add_remark(&file.text, &file.root, remark).ok_or_else(gone)?
            }
        };
        let text = splice.apply(&file.text).ok_or_else(gone)?;
        file = PlanFile::parse(&ours.name, text).map_err(|e| e.brief(&ours.name))?;
    }
    Ok((file.text, done))
}
