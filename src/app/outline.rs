//! The rig as a list along the load's way: from the anchors of side A over the line to those of side B.

use crate::plan::{Plan, Role, Side};
use crate::review::{FramePiece, Lowest, Place};
use crate::rig::Rig;

/// What the cursor is on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Selected {
    /// The gap.
    Site,
    /// Who walks.
    People,
    /// Factors asked for.
    Factors,
    /// A point.
    Point(String),
    /// A run.
    Run(String),
    /// A part of a run, from 0.
    Part(String, usize),
}

impl Selected {
    /// The run it belongs to.
    #[must_use]
    pub fn run(&self) -> Option<&str> {
        match self {
            Self::Run(r) | Self::Part(r, _) => Some(r),
            _ => None,
        }
    }

    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Site => "site".to_owned(),
            Self::People => "people".to_owned(),
            Self::Factors => "factors".to_owned(),
            Self::Point(n) | Self::Run(n) => n.clone(),
            Self::Part(r, k) => format!("{r} part {}", k + 1),
        }
    }
}

/// One line of the outline.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// What it stands for; nothing for a heading.
    pub selected: Option<Selected>,
    /// Its text.
    pub text: String,
    /// How far it is indented.
    pub depth: usize,
    /// The rows of the review that belong to it.
    pub places: Vec<Place>,
}

impl Entry {
    fn heading(text: impl Into<String>) -> Self {
        Self { selected: None, text: text.into(), depth: 0, places: Vec::new() }
    }
}

/// Every line, in order.
#[must_use]
pub fn outline(plan: &Plan, rig: Option<&Rig>) -> Vec<Entry> {
    let mut out = Vec::new();
    let top =
        |s: Selected, text: &str| Entry { selected: Some(s), text: text.to_owned(), depth: 0, places: Vec::new() };
    let heights = [Lowest::Line, Lowest::Hanging, Lowest::Fallen, Lowest::Caught].map(Place::Height).to_vec();
    out.push(Entry { places: heights, ..top(Selected::Site, "Site") });
    out.push(top(Selected::People, "People"));
    out.push(top(Selected::Factors, "Factors"));
    let depth = rig.map(|r| r.depth.as_slice());
    let mut shown: Vec<&str> = Vec::new();
    side(&mut out, plan, Side::A, depth, &mut shown, false);
    out.push(Entry::heading("Line"));
    for (name, run) in &plan.runs {
        if matches!(run.role, Role::Main | Role::Backup { .. }) {
            push_run(&mut out, plan, name, false);
        }
    }
    let ties = plan
        .runs
        .values()
        .any(|r| matches!(&r.role, Role::Backup { connected, .. } if *connected != crate::plan::Connected::AtEnds));
    if ties && let Some(last) = out.last_mut() {
        last.places.extend(["one piece", "backup to backup", "the two together"].map(|t| Place::Joint(t.to_owned())));
    }
    side(&mut out, plan, Side::B, depth, &mut shown, true);
    let apart: Vec<&String> = plan
        .runs
        .iter()
        .filter(|(n, r)| matches!(r.role, Role::Leg | Role::Guy) && !shown.contains(&n.as_str()))
        .map(|(n, _)| n)
        .collect();
    if !apart.is_empty() {
        out.push(Entry::heading("Beside the load's way"));
        for name in apart {
            push_run(&mut out, plan, name, false);
        }
    }
    let rest: Vec<&String> =
        plan.runs.iter().filter(|(_, r)| matches!(r.role, Role::Leash | Role::Tensioning)).map(|(n, _)| n).collect();
    if !rest.is_empty() {
        out.push(Entry::heading("On the line"));
        for name in rest {
            push_run(&mut out, plan, name, false);
        }
    }
    out
}

/// One side: from the ground inwards, or from the line outwards.
fn side<'a>(
    out: &mut Vec<Entry>,
    plan: &'a Plan,
    side: Side,
    depth: Option<&[usize]>,
    shown: &mut Vec<&'a str>,
    outwards: bool,
) {
    let label = &plan.site.labels[side as usize];
    let name = format!("{side:?}");
    out.push(Entry::heading(if *label == name { format!("Anchor {name}") } else { format!("Anchor {name}, {label}") }));
    let of = |p: &str| plan.points.get_index_of(p).and_then(|i| depth.map(|d| d[i])).unwrap_or(usize::MAX);
    // Legs by the point they lead to, so that each master stands under its legs.
    let mut masters: Vec<&str> =
        plan.points.iter().filter(|(_, p)| p.side == side && p.hold().is_none()).map(|(n, _)| n.as_str()).collect();
    masters.sort_by_key(|m| of(m));
    if !outwards {
        masters.reverse();
    }
    let mut anchors: Vec<&str> = Vec::new();
    for m in masters {
        if outwards {
            push_point(out, plan, m);
        }
        for (run_name, run) in &plan.runs {
            // Where nothing is worked out yet, a leg still leads to its master.
            let held = |p: &str| plan.points.get(p).is_some_and(|p| p.hold().is_some());
            let inner = run.path.iter().min_by_key(|p| (of(p), held(p))).map(String::as_str);
            if run.role != Role::Leg || inner != Some(m) || shown.contains(&run_name.as_str()) {
                continue;
            }
            shown.push(run_name);
            let ends: Vec<&str> = run
                .path
                .iter()
                .map(String::as_str)
                .filter(|p| plan.points.get(*p).is_some_and(|p| p.hold().is_some()))
                .collect();
            if !outwards {
                for e in &ends {
                    if !anchors.contains(e) {
                        anchors.push(e);
                        push_point(out, plan, e);
                    }
                }
            }
            push_run(out, plan, run_name, outwards);
            if outwards {
                for e in ends {
                    if !anchors.contains(&e) {
                        anchors.push(e);
                        push_point(out, plan, e);
                    }
                }
            }
        }
        if !outwards {
            push_point(out, plan, m);
        }
    }
    for (n, p) in &plan.points {
        if p.side == side && p.hold().is_some() && !anchors.contains(&n.as_str()) {
            push_point(out, plan, n);
        }
    }
    // What holds a head stands under it.
    for (n, r) in
        plan.runs.iter().filter(|(n, r)| r.role == Role::Guy && !shown.contains(&n.as_str())).collect::<Vec<_>>()
    {
        if r.path.iter().any(|p| plan.points.get(p).is_some_and(|p| p.side == side)) {
            shown.push(n);
            push_run(out, plan, n, outwards);
        }
    }
}

fn push_point(out: &mut Vec<Entry>, plan: &Plan, name: &str) {
    let Some(p) = plan.points.get(name) else {
        return;
    };
    if let Some(frame) = p.hold().and_then(crate::plan::Hold::frame) {
        let struts = (1..=frame.struts.len()).flat_map(|k| [FramePiece::Strut(k), FramePiece::Foot(k)]);
        let pieces = struts.chain([FramePiece::Hobble]).map(|piece| Place::Frame(name.to_owned(), piece));
        let places = pieces.chain([Place::Point(name.to_owned())]).collect();
        out.push(Entry { selected: Some(Selected::Point(name.to_owned())), text: name.to_owned(), depth: 1, places });
        return;
    }
    let places = match (p.hold(), &p.hardware) {
        (Some(_), Some(_)) => vec![Place::Anchor(name.to_owned()), Place::Point(name.to_owned())],
        (Some(_), None) => vec![Place::Anchor(name.to_owned())],
        (None, _) => vec![Place::Point(name.to_owned())],
    };
    out.push(Entry { selected: Some(Selected::Point(name.to_owned())), text: name.to_owned(), depth: 1, places });
}

fn push_run(out: &mut Vec<Entry>, plan: &Plan, name: &str, reversed: bool) {
    let Some(run) = plan.runs.get(name) else {
        return;
    };
    let places = (0..run.parts.len()).map(|k| Place::Part(name.to_owned(), k + 1)).collect();
    out.push(Entry { selected: Some(Selected::Run(name.to_owned())), text: name.to_owned(), depth: 1, places });
    let mut parts: Vec<usize> = (0..run.parts.len()).collect();
    if reversed {
        parts.reverse();
    }
    for k in parts {
        out.push(Entry {
            selected: Some(Selected::Part(name.to_owned(), k)),
            text: format!("{} {}", k + 1, run.parts[k].item),
            depth: 2,
            places: vec![Place::Part(name.to_owned(), k + 1)],
        });
    }
}
