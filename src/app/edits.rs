//! Changes of the plan that take more than one field: adding, removing, doubling, renaming.

use std::ops::Range;

use super::outline::Selected;
use super::state::App;
use crate::document::schema::Target;
use crate::document::{Body, Node, Path, Reader, Splice, Step, quote};
use crate::plan::steps::{Steps, setting};
use crate::plan::{Change, PartLength, Role, Side};
use crate::units::{Angle, Length, Quantity};

/// `name` with the next free number.
pub(super) fn fresh(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let stem = name.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
    (1..10_000).map(|i| format!("{stem} {i}")).find(|n| !taken(n)).unwrap_or_else(|| format!("{stem} new"))
}

/// A path through what is renamed, with its new name.
fn moved(mut path: Path, map: &str, old: &str, name: &str) -> Path {
    let through = path.0.first().is_some_and(|s| *s == Step::Key(map.to_owned()));
    if let Some(Step::Key(key)) = path.0.get_mut(1).filter(|_| through)
        && key == old
    {
        name.clone_into(key);
    }
    path
}

/// The text of a node that is to stand a second time: the copy is another piece, so that no serial goes along.
/// `instead` is what else stands in the copy in place of the bytes of a text.
fn copied(text: &str, node: &Node, instead: Option<(Range<usize>, &str)>) -> String {
    let mut other: Vec<(Range<usize>, &str)> = instead.into_iter().collect();
    let mut open = vec![node];
    while let Some(node) = open.pop() {
        match &node.body {
            Body::Fields(entries) | Body::Map(entries) => {
                for e in entries {
                    if e.key == "serial" {
                        let before = text[..e.key_span.start].trim_end();
                        let start = before.strip_suffix(',').map_or(e.key_span.start, str::len);
                        other.push((start..e.value.span.end, ""));
                    }
                    open.push(&e.value);
                }
            }
            Body::List(items) | Body::Tuple(items) => open.extend(items),
            _ => {}
        }
    }
    other.sort_by_key(|o| std::cmp::Reverse(o.0.start));
    let mut out = text[node.span.clone()].to_owned();
    for (span, new) in other {
        out.replace_range(span.start - node.span.start..span.end - node.span.start, new);
    }
    out
}

impl App {
    pub(super) fn one(&self, name: String, splice: Option<Splice>) -> Result<Change, String> {
        let splice = splice.ok_or_else(|| "there is no place for this in the plan".to_owned())?;
        Ok(Change { name, splices: vec![splice], selected: self.selected.words() })
    }

    /// Sets the value at `path` to RON text.
    pub(super) fn set(&mut self, path: &Path, ron: &str, name: String) -> Result<(), String> {
        let splices = setting(&self.file, path, ron)?;
        if splices.is_empty() {
            return Ok(());
        }
        self.change(Change { name, splices, selected: self.selected.words() })
    }

    /// Leaves an optional field out again.
    pub(super) fn unset(&mut self, path: &Path, name: String) -> Result<(), String> {
        let change = self.one(name, Splice::remove(&self.file.text, &self.file.root, path))?;
        self.change(change)
    }

    /// Adds a part of `item` after the selected one.
    pub(super) fn add_part(&mut self, item: &str) -> Result<(), String> {
        let Some(run) = self.selected.run().map(str::to_owned) else {
            return Err("select a run or a part first".to_owned());
        };
        let after = match self.selected {
            Selected::Part(_, k) => Some(k),
            _ => None,
        };
        let Some(it) = self.file.catalogue.get(item).cloned() else {
            return Err(format!("no item is called “{item}”"));
        };
        let r = &self.file.plan.runs[&run];
        let needs = it.class.is_soft() && it.length.is_none() && !matches!(r.role, Role::Backup { .. });
        let has_fit = r.parts.iter().any(|p| !matches!(p.length, PartLength::Is(_) | PartLength::Own));
        let length = match (needs, has_fit || r.role != Role::Leg) {
            (true, false) => ", length: Fit()",
            (true, true) => ", length: \"1 m\"",
            _ => "",
        };
        let path = Path::root().key("runs").key(&run).key("parts");
        let Some(list) = path.find(&self.file.root) else {
            return Err("the run has no list of parts".to_owned());
        };
        let text = format!("Part(item: {}{length})", quote(item));
        let change =
            self.one(format!("add {item} to {run}"), Splice::insert(&self.file.text, list, None, after, &text))?;
        let at = after.map_or(self.file.plan.runs[&run].parts.len(), |k| k + 1);
        self.change(change)?;
        self.select(Selected::Part(run, at));
        Ok(())
    }

    /// Adds a run of one sling between two points.
    pub(super) fn add_run(&mut self, from: &str, to: &str) -> Result<(), String> {
        let side = self.file.plan.points.get(from).map_or("A".to_owned(), |p| format!("{:?}", p.side));
        let name = fresh(&format!("{side} leg"), |n| self.file.plan.runs.contains_key(n));
        let text = format!(
            "Run(from: {}, to: {}, parts: [\n            Part(item: \"hmpe-8\", length: Fit(), ends: (Spliced(), Spliced())),\n        ])",
            quote(from),
            quote(to)
        );
        let Some(runs) = Path::root().key("runs").find(&self.file.root) else {
            return Err("the plan has no runs".to_owned());
        };
        let change =
            self.one(format!("add {name}"), Splice::insert(&self.file.text, runs, Some(&name), None, &text))?;
        self.change(change)?;
        self.select(Selected::Run(name));
        Ok(())
    }

    /// Removes what is selected; with a point, the runs that end there.
    pub(super) fn remove(&mut self) -> Result<(), String> {
        let root = Path::root();
        match self.selected.clone() {
            Selected::Part(r, k) => {
                if self.file.plan.runs[&r].parts.len() == 1 {
                    return Err("a run needs at least one part; remove the run".to_owned());
                }
                let path = root.key("runs").key(&r).key("parts").at(k);
                let change = self.one(
                    format!("remove part {} of {r}", k + 1),
                    Splice::remove(&self.file.text, &self.file.root, &path),
                )?;
                self.change(change)
            }
            Selected::Run(r) => {
                let change = self.one(
                    format!("remove {r}"),
                    Splice::remove(&self.file.text, &self.file.root, &root.key("runs").key(&r)),
                )?;
                self.change(change)
            }
            Selected::Point(p) => {
                let mut steps = Steps::new(&self.file);
                let gone = || "there is no place for this in the plan".to_owned();
                let ending: Vec<String> =
                    self.file.plan.runs.iter().filter(|(_, r)| r.path.contains(&p)).map(|(n, _)| n.clone()).collect();
                for run in &ending {
                    let s = Splice::remove(&steps.file.text, &steps.file.root, &root.key("runs").key(run));
                    steps.then(s).ok_or_else(gone)?;
                }
                let s = Splice::remove(&steps.file.text, &steps.file.root, &root.key("points").key(&p));
                steps.then(s).ok_or_else(gone)?;
                let with = if ending.is_empty() { String::new() } else { format!(" with {}", ending.join(", ")) };
                let change = steps.change(format!("remove {p}{with}"), self.selected.words());
                self.change(change)
            }
            _ => Err("select a point, a run or a part first".to_owned()),
        }
    }

    /// Doubles what is selected; a doubled fixed point is moved aside and gets a leg like the first one's.
    pub(super) fn double(&mut self) -> Result<(), String> {
        let root = Path::root();
        match self.selected.clone() {
            Selected::Part(r, k) => {
                let path = root.key("runs").key(&r).key("parts");
                let (Some(list), Some(node)) = (path.find(&self.file.root), path.at(k).find(&self.file.root)) else {
                    return Err("there is no such part".to_owned());
                };
                // Two parts of a run cannot both be made to fit.
                let fits = matches!(
                    self.file.plan.runs[&r].parts[k].length,
                    PartLength::Fit(_) | PartLength::Share(..) | PartLength::Solve(_)
                );
                let length = path.at(k).key("length").find(&self.file.root).filter(|_| fits);
                let text = copied(&self.file.text, node, length.map(|l| (l.span.clone(), "\"1 m\"")));
                let change = self.one(
                    format!("double part {} of {r}", k + 1),
                    Splice::insert(&self.file.text, list, None, Some(k), &text),
                )?;
                self.change(change)?;
                self.select(Selected::Part(r, k + 1));
                Ok(())
            }
            Selected::Run(r) => {
                let name = fresh(&r, |n| self.file.plan.runs.contains_key(n));
                let runs = root.key("runs");
                let (Some(map), Some(node)) = (runs.find(&self.file.root), runs.key(&r).find(&self.file.root)) else {
                    return Err("there is no such run".to_owned());
                };
                let text = copied(&self.file.text, node, None);
                let after = self.file.plan.runs.get_index_of(&r);
                let change = self.one(
                    format!("double {r} as {name}"),
                    Splice::insert(&self.file.text, map, Some(&name), after, &text),
                )?;
                self.change(change)?;
                self.select(Selected::Run(name));
                Ok(())
            }
            Selected::Point(p) => {
                let name = fresh(&p, |n| self.file.plan.points.contains_key(n));
                let points = root.key("points");
                let (Some(map), Some(node)) = (points.find(&self.file.root), points.key(&p).find(&self.file.root))
                else {
                    return Err("there is no such point".to_owned());
                };
                let text = copied(&self.file.text, node, None);
                let after = self.file.plan.points.get_index_of(&p);
                let mut steps = Steps::new(&self.file);
                let gone = || "there is no place for this in the plan".to_owned();
                let s = Splice::insert(&steps.file.text, map, Some(&name), after, &text);
                steps.then(s).ok_or_else(gone)?;
                // Aside, so that the two are not at one place.
                let y = points.key(&name).key("at").at(1);
                if let Some(n) = y.find(&steps.file.root)
                    && let Body::Text(t) = &n.body
                    && let Ok(v) = crate::units::parse(t, crate::units::Dim::Length)
                {
                    let s = Splice::set(&steps.file.text, &steps.file.root, &y, &quote(&format!("{:.2} m", v + 0.5)));
                    steps.then(s).ok_or_else(gone)?;
                }
                let leg = self
                    .file
                    .plan
                    .runs
                    .iter()
                    .find(|(_, r)| r.role == Role::Leg && !r.closed && r.path.first() == Some(&p));
                if let Some((run, _)) = leg {
                    let run_name = fresh(run, |n| self.file.plan.runs.contains_key(n));
                    let runs = root.key("runs");
                    let node = runs.key(run).find(&steps.file.root).map(|n| copied(&steps.file.text, n, None));
                    let text = node.ok_or_else(gone)?;
                    let s = runs
                        .find(&steps.file.root)
                        .and_then(|m| Splice::insert(&steps.file.text, m, Some(&run_name), None, &text));
                    steps.then(s).ok_or_else(gone)?;
                    let s = Splice::set(
                        &steps.file.text,
                        &steps.file.root,
                        &runs.key(&run_name).key("from"),
                        &quote(&name),
                    );
                    steps.then(s).ok_or_else(gone)?;
                }
                let change = steps.change(format!("double {p} as {name}"), self.selected.words());
                self.change(change)?;
                self.select(Selected::Point(name));
                Ok(())
            }
            _ => Err("select a point, a run or a part first".to_owned()),
        }
    }

    /// Renames the selected point or run, wherever it is named.
    pub(super) fn rename(&mut self, name: &str) -> Result<(), String> {
        let root = Path::root();
        let gone = || "there is no place for this in the plan".to_owned();
        let (map, old) = match &self.selected {
            Selected::Point(p) => ("points", p.clone()),
            Selected::Run(r) => ("runs", r.clone()),
            _ => return Err("select a point or a run first".to_owned()),
        };
        if old == name {
            return Ok(());
        }
        let mut steps = Steps::new(&self.file);
        let s = Splice::rename(&steps.file.text, &steps.file.root, &root.key(map).key(&old), name);
        steps.then(s).ok_or_else(gone)?;
        let kinds: &[Target] = if map == "points" { &[Target::Point] } else { &[Target::Run, Target::Leg] };
        for path in self.file.named(kinds, &old) {
            let s = Splice::set(&steps.file.text, &steps.file.root, &moved(path, map, &old, name), &quote(name));
            steps.then(s).ok_or_else(gone)?;
        }
        let change = steps.change(format!("rename {old} to {name}"), self.selected.words());
        self.change(change)?;
        self.select(if map == "points" { Selected::Point(name.to_owned()) } else { Selected::Run(name.to_owned()) });
        Ok(())
    }

    /// Replaces side B's anchors by a mirror image of side A's; line and backup end at the image of their ends at A.
    pub(super) fn mirror(&mut self) -> Result<(), String> {
        let gone = || "the plan has no place for the mirror image".to_owned();
        let plan = &self.file.plan;
        let image = |n: &str| n.strip_prefix("A ").map_or_else(|| format!("B {n}"), |rest| format!("B {rest}"));
        let on = |side: Side| move |p: &String| plan.points.get(p).is_some_and(|p| p.side == side);
        let legs = |side: Side| -> Vec<String> {
            let whole = |r: &&crate::plan::Run| r.role == Role::Leg && r.path.iter().all(on(side));
            plan.runs.iter().filter(|(_, r)| whole(r)).map(|(n, _)| n.clone()).collect()
        };
        // What the riggers alone hang on stays as it is on either side.
        let tied = |n: &String| !plan.in_use(n) && plan.ties.values().any(|t| t.anchors.contains(n));
        let points: Vec<String> = plan.points.keys().filter(|n| on(Side::A)(n) && !tied(n)).cloned().collect();
        if points.is_empty() {
            return Err("side A has no points".to_owned());
        }
        let (own_legs, old_legs) = (legs(Side::A), legs(Side::B));
        let old_points: Vec<String> = plan.points.keys().filter(|n| on(Side::B)(n) && !tied(n)).cloned().collect();
        let bearing = plan.site.bearing.map_or(0.0, |b| b.si().to_degrees());
        let lines: Vec<(String, String)> = plan
            .runs
            .iter()
            .filter(|(_, r)| matches!(r.role, Role::Main | Role::Backup { .. }))
            .filter_map(|(n, r)| Some((n.clone(), r.path.first()?.clone())))
            .collect();
        let root = Path::root();
        let mut steps = Steps::new(&self.file);
        for (map, names) in [("runs", &old_legs), ("points", &old_points)] {
            for n in names {
                let s = Splice::remove(&steps.file.text, &steps.file.root, &root.key(map).key(n));
                steps.then(s).ok_or_else(gone)?;
            }
        }
        for (map, names) in [("points", &points), ("runs", &own_legs)] {
            for n in names {
                let node = root.key(map).key(n).find(&steps.file.root).ok_or_else(gone)?;
                let text = copied(&steps.file.text, node, None);
                let s = root
                    .key(map)
                    .find(&steps.file.root)
                    .and_then(|m| Splice::insert(&steps.file.text, m, Some(&image(n)), None, &text));
                steps.then(s).ok_or_else(gone)?;
            }
        }
        for n in &points {
            let at = root.key("points").key(image(n));
            let mut sets = vec![(at.key("side"), "B".to_owned())];
            for place in [at.key("at"), at.key("near")] {
                let x = place.at(0);
                if let Some(v) = x.find(&steps.file.root).and_then(|n| Reader(n).quantity::<Length>()) {
                    sets.push((x, quote(&format!("{:.3} m", -v.si()))));
                }
                let sighted = place.key("bearing");
                if let Some(b) = sighted.find(&steps.file.root).and_then(|n| Reader(n).quantity::<Angle>()) {
                    let turned = (2.0 * bearing + 180.0 - b.si().to_degrees()).rem_euclid(360.0);
                    sets.push((sighted, quote(&format!("{turned:.1} deg"))));
                }
            }
            let faces = at.key("by").key("faces").at(0);
            if let Some(x) = faces.find(&steps.file.root).and_then(|n| Reader(n).number()) {
                sets.push((faces, format!("{:?}", -x + 0.0)));
            }
            for (path, ron) in sets {
                let s = Splice::set(&steps.file.text, &steps.file.root, &path, &ron);
                steps.then(s).ok_or_else(gone)?;
            }
        }
        let mut ends: Vec<Path> = Vec::new();
        for n in &own_legs {
            let at = root.key("runs").key(image(n));
            ends.extend([at.key("from"), at.key("to")]);
            let through = at.key("through");
            let count = through.find(&steps.file.root).map_or(0, |n| Reader(n).items().len());
            ends.extend((0..count).map(|i| through.at(i)));
        }
        for path in ends {
            let Some(name) = path.find(&steps.file.root).and_then(|n| Reader(n).text()) else { continue };
            let s = Splice::set(&steps.file.text, &steps.file.root, &path, &quote(&image(&name)));
            steps.then(s).ok_or_else(gone)?;
        }
        for (line, end) in lines {
            let to = root.key("runs").key(&line).key("to");
            let s = Splice::set(&steps.file.text, &steps.file.root, &to, &quote(&image(&end)));
            steps.then(s).ok_or_else(gone)?;
        }
        let change = steps.change("mirror side A to side B".to_owned(), self.selected.words());
        self.change(change)
    }
}
