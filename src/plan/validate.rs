//! Faults of a plan that no table of fields can see: names that lead nowhere, circles, what hangs on nothing.

use std::collections::{HashMap, HashSet};

use super::fields::ROOT;
use super::frame::frames;
use super::model::{Connected, Hitch, Hold, PartLength, Plan, PointKind, Role, Run, Target};
use super::sighted::scouting;
use super::validate_trip::{claims, crew, crossing, days, rescue, serials, stay, ties};
use crate::catalogue::{Catalogue, Class, Thread};
use crate::document::schema::Target as To;
use crate::document::{Body, Diagnostic, Node, Path, Reader, did_you_mean};
use crate::units::Quantity;

/// A walker heavier than this is a slip of the pen, kg.
const HEAVIEST_WALKER_KG: f64 = 500.0;

pub(super) struct Faults<'a> {
    pub(super) root: &'a Node,
    list: Vec<Diagnostic>,
}

impl<'a> Faults<'a> {
    /// The node at a path, or the nearest there is.
    fn root_of(&self, path: &Path) -> &'a Node {
        path.nearest(self.root)
    }

    pub(super) fn add(&mut self, path: &Path, message: impl Into<String>, help: impl Into<String>) {
        let span = path.nearest(self.root).span.clone();
        // A fault of a whole run or plan is shown at its first line.
        let span = span.start..span.end.min(span.start + 200);
        self.list.push(Diagnostic::error(path.clone(), span, message.into()).help(help));
    }
}

/// All faults of a document that reads as `plan`.
pub(super) fn validate(root: &Node, plan: &Plan, catalogue: &Catalogue) -> Vec<Diagnostic> {
    // Without its points and runs nothing else of a plan can be judged.
    let unread = crate::document::check(root, &ROOT);
    let map = |k: &str| Reader(root).get(k).is_some_and(|n| matches!(n.0.body, Body::Map(_)));
    if !map("points") || !map("runs") {
        return unread;
    }
    let mut f = Faults { root, list: Vec::new() };
    let top = Path::root();
    site(&mut f, plan, &top);
    items(&mut f, &top);
    points(&mut f, plan, catalogue, &top.key("points"));
    for (name, run) in &plan.runs {
        runs(&mut f, plan, catalogue, name, run, &top.key("runs").key(name));
    }
    lines(&mut f, plan, &top);
    held(&mut f, plan, &top);
    scouting(&mut f, plan, &top);
    frames(&mut f, plan, catalogue, &top.key("points"));
    tensioning(&mut f, plan, catalogue, &top.key("tensioning"));
    crossing(&mut f, plan, catalogue, &top.key("crossing"));
    rescue(&mut f, plan, catalogue, &top.key("rescue"));
    ties(&mut f, plan, catalogue, &top);
    stay(&mut f, plan, &top.key("stay"));
    crew(&mut f, plan, &top.key("crew"));
    claims(&mut f, plan, &top.key("claims"));
    days(&mut f, plan, &top.key("days"));
    serials(&mut f, plan);
    cases(&mut f, plan, &top.key("cases"));
    references(&mut f, plan, catalogue);
    // A value of a part that could not be read is not judged a second time for what it seems to lack.
    f.list.retain(|d| d.path.0.len() < 4 || !unread.iter().any(|u| u.path.0.starts_with(&d.path.0)));
    f.list.extend(unread);
    f.list.sort_by_key(|d| d.span.start);
    f.list.dedup_by(|a, b| a.span == b.span && a.message == b.message);
    f.list
}

pub(super) fn known<'a>(word: &str, names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<_> = names.into_iter().collect();
    match did_you_mean(word, names.iter().copied()) {
        Some(n) => format!("did you mean “{n}”?"),
        None if names.len() <= 12 => format!("known: {}", names.join(", ")),
        None => "no name here is like it".to_owned(),
    }
}

fn site(f: &mut Faults<'_>, plan: &Plan, top: &Path) {
    let at = top.key("site");
    let air = plan.site.air;
    if air.coldest.si() > air.warmest.si() {
        f.add(&at.key("air"), "the coldest is warmer than the warmest", "swap them");
    }
    for w in plan.site.ground.windows(2) {
        if w[1].0.si() <= w[0].0.si() {
            f.add(
                &at.key("ground"),
                "the ground profile goes back on itself",
                "order its points from A to B, each further than the last",
            );
            break;
        }
    }
    if let Some(leash) = &plan.people.leash
        && plan.runs.get(leash).is_some_and(|r| r.role != Role::Leash)
    {
        f.add(&top.key("people").key("leash"), format!("“{leash}” is not a leash"), "name the run with role: Leash");
    }
    let people = top.key("people");
    for (what, value, most) in [
        ("bounce", plan.people.bounce, 20.0),
        ("drag_area_m2", plan.people.drag_area_m2, 20.0),
        ("together", plan.people.together as f64, 20.0),
        ("tie_in", plan.people.tie_in.si(), 3.0),
        ("body_below", plan.people.body_below.si(), 3.0),
    ] {
        if value > most {
            f.add(&people.key(what), format!("{value} is too much to be meant"), format!("at most {most}"));
        }
    }
    for (i, m) in plan.people.walkers.iter().enumerate() {
        if m.si() > HEAVIEST_WALKER_KG {
            f.add(
                &people.key("walkers").at(i),
                "a walker this heavy cannot be meant",
                format!("at most {HEAVIEST_WALKER_KG} kg"),
            );
        }
    }
    for (name, o) in &plan.site.obstacles {
        if o.to.si() < o.from.si() {
            f.add(&at.key("obstacles").key(name), "the obstacle ends before it begins", "swap from and to");
        }
    }
}

/// Every name that refers to something, by the one table of fields.
fn references(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue) {
    for (path, target, name) in crate::document::references(f.root, &ROOT) {
        let (what, found, names): (&str, bool, Vec<&str>) = match target {
            To::Point => ("point", plan.points.contains_key(name), plan.points.keys().map(String::as_str).collect()),
            To::Run => ("run", plan.runs.contains_key(name), plan.runs.keys().map(String::as_str).collect()),
            To::Tie => ("tie", plan.ties.contains_key(name), plan.ties.keys().map(String::as_str).collect()),
            // What was read on a day stays as it was written.
            To::Leg => continue,
            To::Item => ("item", catalogue.get(name).is_some(), catalogue.iter().map(|(n, _)| n).collect()),
        };
        if !found {
            f.add(&path, format!("no {what} is called “{name}”"), known(name, names));
        }
    }
}

/// Situations that the program itself makes begin so, or are called so.
const OWN_SITUATIONS: [&str; 5] = ["standing", "walker", "bounce", super::tensioning::SITUATION, "leash fall"];

fn cases(f: &mut Faults<'_>, plan: &Plan, at: &Path) {
    for (i, case) in plan.cases.iter().enumerate() {
        let path = at.at(i).key("name");
        let first = case.name.trim();
        if plan.cases[..i].iter().any(|c| c.name.trim() == first) {
            f.add(&path, format!("a second situation is called “{first}”"), "give each a name of its own");
        }
        let taken =
            |own: &&str| first == *own || first.strip_prefix(*own).is_some_and(|rest| rest.starts_with([' ', ',']));
        let many = first.split_once(" at 0.").is_some_and(|(n, _)| n.parse::<usize>().is_ok());
        if first.is_empty() || many || OWN_SITUATIONS.iter().any(taken) {
            f.add(
                &path,
                format!("“{first}” is what the program calls a situation of its own"),
                "another name, such as “both at the start”",
            );
        }
    }
}

fn items(f: &mut Faults<'_>, top: &Path) {
    let Some(own) = Reader(f.root).get("items") else {
        return;
    };
    for e in own.entries() {
        let at = top.key("items").key(&e.key);
        if let Some(s) = Reader(&e.value).get("stretch")
            && let Some(fault) = crate::catalogue::fields::stretch_fault(s)
        {
            f.add(&at.key("stretch"), fault, "each point needs more tension and more stretch than the one before");
        }
        for key in ["thread", "socket"] {
            if let Some(text) = Reader(&e.value).get(key).and_then(Reader::text)
                && Thread::parse(&text).is_none()
            {
                f.add(
                    &at.key(key),
                    format!("“{}” is no screw thread with a usual pitch", crate::document::plain(&text)),
                    "write it as it is stamped: M12, M12x1.25, 3/8-16",
                );
            }
        }
    }
}

fn points(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, top: &Path) {
    for (name, p) in &plan.points {
        let at = top.key(name);
        if let Some(h) = &p.hardware {
            let wrong = |i: &&std::sync::Arc<crate::catalogue::Item>| {
                i.class == Class::Bolt || (i.class.is_soft() && i.class != Class::SoftShackle)
            };
            if let Some(it) = catalogue.get(h).filter(wrong) {
                f.add(
                    &at.key("hardware"),
                    format!("{} is not a piece that runs hang on", it.title),
                    "name a ring, a shackle, a plate or a soft shackle",
                );
            }
        }
        if let PointKind::Fixed { by, .. } = &p.kind {
            if let Hold::Edge { outward, .. } = by
                && outward.iter().all(|c| *c == 0.0)
            {
                f.add(&at.key("by").key("outward"), "a direction of no length", "give the way the edge can push");
            }
            if let Hold::Bolt { item: id, faces } = by {
                if let Some(it) = catalogue.get(id).filter(|i| i.class != Class::Bolt) {
                    f.add(&at.key("by").key("item"), format!("{} is not a bolt", it.title), "name a bolt");
                }
                if faces.is_some_and(|v| v.iter().all(|c| *c == 0.0)) {
                    f.add(
                        &at.key("by").key("faces"),
                        "a direction of no length",
                        "give the way the bolt points, such as (0.0, 0.0, 1.0)",
                    );
                }
            }
        }
    }
}

fn runs(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, name: &str, run: &Run, at: &Path) {
    let leash = matches!(run.role, Role::Leash | Role::Tensioning);
    if run.path.len() < 2 && !leash {
        let help = if run.closed {
            "list at least two points in through:"
        } else {
            "add from: and to:, the names of two points"
        };
        f.add(at, "a run needs two ends", help);
    }
    for w in run.path.windows(2) {
        if w[0] == w[1] && plan.points.contains_key(&w[0]) {
            f.add(
                at,
                format!("the run goes from “{}” to itself", w[0]),
                "end it at another point, or pass through one on the way",
            );
            break;
        }
    }
    if run.parts.is_empty() {
        f.add(at, format!("the run “{name}” has no parts"), "list at least one part");
    }
    for (i, p) in run.path.iter().enumerate() {
        let end = !run.closed && (i == 0 || i + 1 == run.path.len());
        if end && plan.points.get(p).is_some_and(|p| matches!(p.hold(), Some(Hold::Edge { .. }))) {
            f.add(
                &at.key(if i == 0 { "from" } else { "to" }),
                format!("the edge “{p}” can only push: a run cannot end there"),
                "lead the run through: it, to an anchor",
            );
        }
    }
    let mut makers = 0;
    for (i, part) in run.parts.iter().enumerate() {
        let path = at.key("parts").at(i);
        match part.length {
            PartLength::Fit(_) | PartLength::Share(..) | PartLength::Taut(_) => {
                makers += 1;
                if matches!(part.length, PartLength::Taut(_)) && run.role != Role::Guy {
                    f.add(&path.key("length"), "only a guy is set taut as drawn", "Fit(), or Share(…)");
                }
                if matches!(run.role, Role::Main | Role::Backup { .. }) {
                    f.add(
                        &path.key("length"),
                        "the line is not made to fit",
                        "give it a length, or Solve(standing: \"2.5 kN\")",
                    );
                }
            }
            PartLength::Solve(target) => {
                if run.role != Role::Main {
                    f.add(
                        &path.key("length"),
                        "only the main line is tensioned to a target",
                        "give this part a length, or Fit()",
                    );
                }
                let both = Reader(f.root_of(&path.key("length"))).get("standing").is_some()
                    && Reader(f.root_of(&path.key("length"))).get("sag").is_some();
                if both {
                    f.add(&path.key("length"), "a target has a tension or a sag, not both", "leave one of them out");
                }
                if catalogue.get(&part.item).is_some_and(|i| !i.class.is_soft()) {
                    f.add(&path.key("length"), "hardware has no length to find", "put Solve(…) on the webbing");
                }
                if let Target::Standing(t, _) = target
                    && t.si() <= 0.0
                {
                    f.add(
                        &path.key("length"),
                        "a target needs a tension or a sag",
                        "write Solve(standing: \"2.5 kN\", at: A) or Solve(sag: \"3 m\")",
                    );
                }
            }
            PartLength::Is(_) | PartLength::Own => {}
        }
        if let Some(it) = catalogue.get(&part.item) {
            if it.class == Class::Bolt {
                f.add(
                    &path.key("item"),
                    "a bolt is an anchor, not a part of a run",
                    "make it a point: Fixed(by: Bolt(…))",
                );
            }
            let needs = it.class.is_soft() && it.length.is_none() && part.length == PartLength::Own;
            let backup = matches!(run.role, Role::Backup { .. });
            if needs && !leash && !(backup && it.class.is_cut()) {
                f.add(&path, format!("the length of {} is not given", it.title), "add length: \"2.4 m\", or Fit()");
            }
            let at_tree = |p: Option<&String>| {
                p.and_then(|p| plan.points.get(p)?.hold()).is_some_and(|h| matches!(h, Hold::Tree { .. }))
            };
            let last = i + 1 == run.parts.len();
            if it.class.is_soft()
                && part.hitch == Hitch::Straight
                && !run.closed
                && (i == 0 && at_tree(run.path.first()) || last && at_tree(run.path.last()))
            {
                f.add(&path, "how it lies around the tree is not said", "add hitch: Basket, Choke, or Wrap(3.0)");
            }
            if matches!(part.hitch, Hitch::Basket | Hitch::Choke | Hitch::Wrap(_)) && !leash {
                let trunk = run
                    .path
                    .first()
                    .into_iter()
                    .chain(run.path.last())
                    .find_map(|p| plan.points.get(p)?.hold()?.trunk_m());
                if trunk.is_none() {
                    f.add(
                        &path.key("hitch"),
                        "there is nothing here to lay it around",
                        "use it at a tree, a boulder or another anchor with a diameter",
                    );
                }
            }
        }
    }
    if makers > 1 {
        f.add(&at.key("parts"), "more than one part is to be made to fit", "give all but one of them a length");
    }
}

fn lines(f: &mut Faults<'_>, plan: &Plan, top: &Path) {
    let mains: Vec<_> = plan.runs.iter().filter(|(_, r)| r.role == Role::Main).collect();
    if mains.is_empty() {
        f.add(&top.key("runs"), "there is no main line", "give one run role: Main");
    }
    if let Some((name, _)) = mains.get(1) {
        f.add(&top.key("runs").key(*name), "there is a second main line", "one plan holds one main line");
    }
    for (name, run) in &mains {
        let solved = run.parts.iter().filter(|p| matches!(p.length, PartLength::Solve(_))).count();
        if solved > 1 {
            f.add(
                &top.key("runs").key(*name).key("parts"),
                "more than one part has a target",
                "one Solve(…) is enough",
            );
        }
        if run.path.len() > 2 {
            f.add(
                &top.key("runs").key(*name).key("through"),
                "the main line cannot slide over points yet",
                "end it at a master in front of the edge, and lead the anchor's legs over the edge",
            );
        }
    }
    let of_main = |r: &Run| match &r.role {
        Role::Backup { of, .. } => plan.runs.get(of).is_some_and(|m| m.role == Role::Main),
        _ => false,
    };
    for (name, _) in plan.runs.iter().filter(|(_, r)| of_main(r)).skip(1) {
        f.add(&top.key("runs").key(name).key("role"), "there is a second backup", "one plan holds one backup line");
    }
    for (name, run) in &plan.runs {
        let Role::Backup { of, connected, .. } = &run.role else {
            continue;
        };
        let at = top.key("runs").key(name).key("role");
        match plan.runs.get(of).map(|r| &r.role) {
            Some(Role::Main) => {}
            Some(Role::Backup { .. }) => {
                let mut seen = HashSet::from([name.as_str()]);
                let mut next = of.as_str();
                while let Some(Role::Backup { of, .. }) = plan.runs.get(next).map(|r| &r.role) {
                    if !seen.insert(next) {
                        break;
                    }
                    next = of;
                }
                let circle = seen.contains(next);
                f.add(
                    &at.key("of"),
                    if circle { "backups back each other up in a circle" } else { "a backup of a backup" },
                    "name the main line",
                );
            }
            Some(_) => f.add(&at.key("of"), format!("“{of}” is not the main line"), "name the run with role: Main"),
            // Said with every other name that leads nowhere.
            None => {}
        }
        if run.path.len() > 2 {
            f.add(
                &top.key("runs").key(name).key("through"),
                "a backup cannot slide over points",
                "end it at a master of its own",
            );
        }
        if let (Connected::Joints(after, _), Some(main)) = (connected, plan.runs.get(of))
            && let Some(bad) = after.iter().find(|n| **n == 0 || **n >= main.parts.len())
        {
            f.add(
                &at.key("connected"),
                format!("the main line has no joint after part {bad}"),
                format!("its parts are numbered 1 to {}", main.parts.len()),
            );
        }
    }
}

/// A pulley system must lead somewhere, and hang on its own side.
fn tensioning(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, at: &Path) {
    let Some(t) = &plan.tensioning else { return };
    if let Err(why) = t.ropes(catalogue) {
        f.add(&at.key("reeving"), why, "5:1 leads one rope five times between anchor and load");
    }
    if let Some(p) = t.at.as_ref().and_then(|p| plan.points.get(p)).filter(|p| p.side != t.side) {
        f.add(
            &at.key("at"),
            format!("the system pulls at side {:?}, its point is at side {:?}", t.side, p.side),
            "name a point of the side that is pulled",
        );
    }
    for (key, id, classes) in [
        ("rope", &t.rope, &[Class::Rope, Class::Cord, Class::HollowBraid][..]),
        ("grip", &t.grip, &[Class::Grip, Class::Lock][..]),
    ] {
        if let Some(i) = catalogue.get(id).filter(|i| !classes.contains(&i.class)) {
            f.add(
                &at.key(key),
                format!("{} is no {key}", i.title),
                format!("an item of the class {}", classes[0].words()),
            );
        }
    }
}

/// The group that `k` belongs to.
fn find<'a>(group: &HashMap<&'a str, &'a str>, mut k: &'a str) -> &'a str {
    while group[k] != k {
        k = group[k];
    }
    k
}

/// Every free point must be tied to the ground by some chain of runs.
fn held(f: &mut Faults<'_>, plan: &Plan, top: &Path) {
    let mut group: HashMap<&str, &str> = plan.points.keys().map(|k| (k.as_str(), k.as_str())).collect();
    let mut touched = HashSet::new();
    for run in plan.runs.values() {
        if matches!(run.role, Role::Leash | Role::Tensioning) {
            continue;
        }
        for w in run.path.windows(2) {
            let (Some((a, _)), Some((b, _))) = (plan.points.get_key_value(&w[0]), plan.points.get_key_value(&w[1]))
            else {
                continue;
            };
            touched.insert(a.as_str());
            touched.insert(b.as_str());
            let (ga, gb) = (find(&group, a), find(&group, b));
            if ga != gb {
                group.insert(ga, gb);
            }
        }
    }
    let anchored: HashSet<&str> = plan
        .points
        .iter()
        .filter(|(_, p)| matches!(p.kind, PointKind::Fixed { .. }))
        .map(|(k, _)| find(&group, k))
        .collect();
    for (name, p) in &plan.points {
        let at = top.key("points").key(name);
        if matches!(p.kind, PointKind::Free { .. }) {
            if !touched.contains(name.as_str()) {
                f.add(&at, format!("nothing holds the point “{name}”"), "lead a run to it, or remove it");
            } else if !anchored.contains(find(&group, name)) {
                f.add(&at, format!("no run leads from “{name}” to an anchor"), "lead a run from it to a fixed point");
            }
        }
    }
    // Each end of a line needs its own way to the ground, over legs alone.
    let mut legs: HashMap<&str, &str> = plan.points.keys().map(|k| (k.as_str(), k.as_str())).collect();
    for run in plan.runs.values().filter(|r| r.role == Role::Leg) {
        for w in run.path.windows(2) {
            let (Some((a, _)), Some((b, _))) = (plan.points.get_key_value(&w[0]), plan.points.get_key_value(&w[1]))
            else {
                continue;
            };
            let (ga, gb) = (find(&legs, a), find(&legs, b));
            if ga != gb {
                legs.insert(ga, gb);
            }
        }
    }
    let grounded: HashSet<&str> = plan
        .points
        .iter()
        .filter(|(_, p)| p.hold().is_some_and(|h| !matches!(h, Hold::Edge { .. })))
        .map(|(k, _)| find(&legs, k))
        .collect();
    let mut said = HashSet::new();
    for (line, run) in plan.runs.iter().filter(|(_, r)| matches!(r.role, Role::Main | Role::Backup { .. })) {
        for end in run.path.first().into_iter().chain(run.path.last()) {
            let Some((end, _)) = plan.points.get_key_value(end) else { continue };
            if !grounded.contains(find(&legs, end)) && said.insert(end) {
                f.add(
                    &top.key("points").key(end),
                    format!("the end “{end}” of “{line}” has no leg to an anchor"),
                    "lead a run from an anchor to it",
                );
            }
        }
    }
}
