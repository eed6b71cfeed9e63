//! Incidents of plans as problems of mechanics, one JSON object a line: points, members, what acts, how long it is
//! watched, and the peaks that the program finds. `motions.py` follows the same points by a general-purpose integrator.
//!
//! `motions [--finer N] [--shorter N] PLAN.ron ... [IDENTITY ...]`: without identities, every incident that the review
//! begins with and that moves. `--finer` cuts mesh and step so many times as finely, `--shorter` the step alone.

use std::io::Write;

use glam::DVec3;
use serde_json::{Value, json};
use spanwright::mechanics::G;
use spanwright::mechanics::law::LengthLaw;
use spanwright::mechanics::motion::AT_ONCE;
use spanwright::mechanics::net::{Member, Pull};
use spanwright::plan::PlanFile;
use spanwright::review::{Desk, Event, Grain, Incident, in_view};
use spanwright::rig::{Rig, Staged};

fn main() -> std::io::Result<()> {
    let mut out = std::io::stdout().lock();
    let (mut plans, mut wanted, mut finer, mut shorter) = (Vec::new(), Vec::new(), 1, 1.0);
    let mut words = std::env::args().skip(1);
    while let Some(word) = words.next() {
        if word == "--finer" {
            finer = words.next().and_then(|n| n.parse().ok()).unwrap_or(finer);
        } else if word == "--shorter" {
            shorter = words.next().and_then(|n| n.parse().ok()).unwrap_or(shorter);
        } else if std::path::Path::new(&word).extension().is_some_and(|e| e == "ron") {
            plans.push(word);
        } else {
            wanted.push(word);
        }
    }
    for name in &plans {
        let text = std::fs::read_to_string(name)?;
        let read = PlanFile::parse(name, text).ok().filter(PlanFile::is_sound);
        let Some(file) = read else {
            eprintln!("{name}: not read");
            continue;
        };
        let (Ok(desk), Ok(solver)) = (Desk::open(&file), in_view(&file)) else {
            eprintln!("{name}: no rig");
            continue;
        };
        for event in desk.events().iter().filter(|e| wanted.is_empty() || wanted.contains(&e.words())) {
            let grain = desk.grain(event).finer(finer);
            let grain = Grain { step_s: grain.step_s / shorter, ..grain };
            if let Some(problem) = problem(name, &desk, &solver.rig, event, grain) {
                writeln!(out, "{problem}")?;
            }
        }
    }
    Ok(())
}

/// One incident as a problem and its answer; nothing when nothing moves in it.
fn problem(plan: &str, desk: &Desk<'_>, rig: &Rig, event: &Event, grain: Grain) -> Option<Value> {
    let staged = desk.stage(event, grain).ok()?;
    let played = desk.play_at(event, grain);
    if played.peaks.run_n.is_empty() {
        return None;
    }
    // The last picture is taken less than a fiftieth of a second before the end.
    let (_, pictures) = desk.watch(event);
    let watched_s = pictures.last()?.t_s - staged.before_s;
    let scene = &staged.scene;
    let points: Vec<Value> = (0..scene.net.nodes.len())
        .map(|i| {
            let n = &scene.net.nodes[i];
            json!({
                "place_m": three(n.place),
                "velocity_m_s": three(scene.velocity[i]),
                "fixed": n.fixed,
                "mass_kg": scene.mass_kg[i],
                "load_n": three(n.load_n),
                "air_n_s2_per_m2": scene.air_n_s2_per_m2.get(i).copied().unwrap_or(0.0),
            })
        })
        .collect();
    let members: Vec<Value> = (0..scene.net.members.len()).map(|m| member(&staged, m)).collect();
    let own_mass_kg = scene.net.nodes[staged.walker].load_n.length() / G;
    let body_kg = if staged.leash.is_some() { own_mass_kg } else { stands_kg(&staged) };
    Some(json!({
        "plan": std::path::Path::new(plan).file_name()?.to_str()?,
        "id": event.words(),
        "grain": {"elements": grain.elements, "usual": grain.usual, "step_s": grain.step_s},
        "gravity_m_s2": G,
        "points": points,
        "members": members,
        "damping_at_most_of_first_stiffness": AT_ONCE,
        "gone": event.situation.lost(),
        "ring": staged.ring,
        "walker": staged.walker,
        "body_kg": body_kg,
        "leash": staged.leash,
        "start_z_m": staged.start_z_m,
        "watched_s": watched_s,
        "gauges": gauges(rig, &staged, &played),
        "found": {
            "body_n": played.peaks.body_n,
            "drop_m": played.drop_m,
            "fault": played.fault,
            "books": played.energy_error,
            "stepping": played.numerical,
        },
    }))
}

/// Mass of who stands at the ring: their weight is the whole load on it before the lines are cut, kg.
fn stands_kg(staged: &Staged) -> f64 {
    staged.case.net.nodes[staged.ring].load_n.length() / G
}

/// A member of the scene: a run over points, or an anchor that gives; empty when it is gone.
fn member(staged: &Staged, m: usize) -> Value {
    match &staged.scene.net.members[m] {
        Member::Link(link) => match &link.pull {
            Pull::Chain(law) if link.path.len() > 1 => json!({
                "path": link.path,
                "shares": (0..link.path.len() - 1).map(|k| link.ratio(k)).collect::<Vec<_>>(),
                "pieces": pieces(law),
                "lag_s": law.lag_s(),
                "along_kg": staged.scene.along_kg.get(m).copied().unwrap_or(0.0),
                "stood_n": staged.rest_n[m],
            }),
            _ => json!({}),
        },
        Member::Ground(g) => {
            json!({"point": g.point, "home_m": three(g.home), "stiffness_n_per_m": g.stiffness_n_per_m})
        }
        Member::Span(_) => json!({}),
    }
}

/// What a run is made of, in series: length without tension, length that stretches, strain against tension.
fn pieces(law: &LengthLaw) -> Vec<Value> {
    let piece = |p: &spanwright::mechanics::law::Piece| json!({"length_m": p.length_m, "gauge_m": p.gauge_m, "strain_at_n": p.law.points()});
    law.pieces().iter().map(piece).collect()
}

/// What is measured: names, the members whose largest tension each is, and what the program found.
fn gauges(rig: &Rig, staged: &Staged, played: &Incident) -> Vec<Value> {
    let peaks = &played.peaks;
    let mut out = Vec::new();
    let mut gauge = |name: String, members: Vec<usize>, found_n: f64| {
        if !members.is_empty() {
            out.push(json!({"name": name, "members": members, "found_n": found_n}));
        }
    };
    for (m, leg) in rig.legs.iter().enumerate() {
        gauge(rig.run_names[leg.run].clone(), vec![m], peaks.run_n[leg.run]);
    }
    let main = &rig.run_names[rig.line.run];
    for (e, found_n) in peaks.element_n.iter().enumerate() {
        let mut members = Vec::new();
        for (chain, owners) in staged.chains.iter().zip(&staged.case.owners) {
            let of = chain.links.iter().zip(&chain.zones).filter(|(_, zones)| zones.iter().any(|z| owners[*z] == e));
            members.extend(of.map(|(l, _)| *l));
        }
        gauge(format!("{main}, element {}", e + 1), members, *found_n);
    }
    if let Some(b) = &rig.backup {
        for (s, members) in staged.backup.iter().enumerate() {
            gauge(format!("{}, segment {}", rig.run_names[b.run], s + 1), members.clone(), peaks.backup_n[s]);
        }
    }
    if let Some(l) = staged.leash {
        gauge("leash".to_owned(), vec![l], peaks.leash_n);
    }
    out
}

fn three(v: DVec3) -> [f64; 3] {
    v.to_array()
}
