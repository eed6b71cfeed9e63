//! What is wrong with the blocks of the trip: crossing, rescue, ties and work, claims, days.

use super::model::{Hold, PartLength, Plan, PointKind, Role, Side};
use super::tensioning::PulleySet;
use super::validate::{Faults, known};
use crate::catalogue::Catalogue;
use crate::document::{Path, Reader};
use crate::units::Quantity;

/// Colder and warmer than this no air is, K.
const COLDEST_K: f64 = 203.15;
const WARMEST_K: f64 = 333.15;

/// What goes over, and by what; what is held, and what is not.
pub(super) fn crossing(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, at: &Path) {
    use super::crossing::Carried;
    let Some(c) = &plan.crossing else { return };
    if c.people == 0 || c.each.si() <= 0.0 {
        f.add(&at.key("people"), "nobody pulls", "how many pull, each with a force over nothing");
    }
    set(f, c.set.as_ref(), catalogue, &at.key("set"));
    if c.stages.is_empty() {
        f.add(&at.key("stages"), "nothing goes over", "a messenger that is thrown or flown, then what it pulls");
    }
    let is_line = |run: &String| plan.runs.get(run).is_some_and(|r| matches!(r.role, Role::Main | Role::Backup { .. }));
    let last = c.stages.len().saturating_sub(1);
    let chord = plan.site.span.si().hypot(plan.site.height_difference.si());
    for (k, s) in c.stages.iter().enumerate() {
        let at = at.key("stages").at(k);
        if k == 0 && s.by.trim().is_empty() {
            f.add(
                &at,
                format!("nothing pulls “{}” over", s.name),
                "by: how the first gets over: thrown, flown, walked round",
            );
        }
        match &s.carried {
            Carried::Runs(runs) if runs.is_empty() => {
                f.add(
                    &at,
                    format!("“{}” is no line and no run", s.name),
                    "line: Part(…), or runs: [\"main\", \"backup\"]",
                );
            }
            Carried::Runs(runs) => {
                if let Some(run) = runs.iter().find(|r| plan.runs.contains_key(*r) && !is_line(r)) {
                    f.add(
                        &at.key("runs"),
                        format!("“{run}” is no main line and no backup"),
                        "the runs that lie over the gap",
                    );
                }
                if k < last {
                    f.add(
                        &at.key("runs"),
                        format!("the rig's line does not pull “{}” over", c.stages[k + 1].name),
                        "put what it pulls before it",
                    );
                }
            }
            Carried::Part(p) => {
                if let Some(i) = catalogue.get(&p.item).filter(|i| !i.class.is_soft()) {
                    f.add(
                        &at.key("line").key("item"),
                        format!("{} is no line", i.title),
                        "a cord, a rope or a webbing",
                    );
                }
                let m = match p.length {
                    PartLength::Is(m) => m.si(),
                    _ => 0.0,
                };
                if m < chord {
                    f.add(
                        &at.key("line").key("length"),
                        format!("“{}” is shorter than the gap", s.name),
                        format!("more than {chord:.0} m, and 5 m at either end"),
                    );
                }
            }
        }
    }
    if let Some(b) = &c.brake
        && b.turns > 20.0
    {
        f.add(&at.key("brake_turns"), "so many turns do not go on a brake", "0 to 20 turns");
    }
}

/// A pulley set that runs, of a rope.
fn set(f: &mut Faults<'_>, set: Option<&PulleySet>, catalogue: &Catalogue, at: &Path) {
    let Some(set) = set else { return };
    if let Err(why) = set.ropes(catalogue) {
        f.add(&at.key("reeving"), why, "3:1 leads one rope three times between anchor and load");
    } else if set.advantage(catalogue).is_some_and(|a| a < 1.0) {
        f.add(&at.key("sheave"), "a pulley set that takes more than it gives", "a pulley that keeps more");
    }
    if let Some(i) = catalogue.get(&set.rope).filter(|i| !i.class.is_soft()) {
        f.add(&at.key("rope"), format!("{} is no rope", i.title), "a rope or a cord");
    }
    if let Some(i) = catalogue.get(&set.sheave).filter(|i| i.class.is_soft()) {
        f.add(&at.key("sheave"), format!("{} is no sheave", i.title), "a pulley, a ring, a connector");
    }
}

/// Ropes that reach beyond the edge, hands and speeds over nothing, landings in the gap.
pub(super) fn rescue(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, at: &Path) {
    let Some(r) = &plan.rescue else { return };
    if r.ropes.is_empty() {
        f.add(&at.key("ropes"), "no rope to tow with", "Tow(side: B, rope: Part(…)), one for each side that has one");
    }
    for (k, t) in r.ropes.iter().enumerate() {
        let at = at.key("ropes").at(k);
        if let Some(i) = catalogue.get(&t.rope.item).filter(|i| !i.class.is_soft()) {
            f.add(&at.key("rope").key("item"), format!("{} is no rope", i.title), "a rope or a cord");
        }
        if t.reach_m() <= 0.0 {
            f.add(
                &at.key("rope").key("length"),
                "the rope is no longer than what stays at the edge",
                format!("more than {:.0} m", t.kept.si()),
            );
        }
    }
    if r.hands == [0, 0] || r.each.si() <= 0.0 {
        f.add(&at.key("hands_a"), "nobody is left to pull", "hands left at a side, each with a force over nothing");
    }
    for (key, speed) in [("out", r.times.out_m_per_s), ("tow", r.times.tow_m_per_s)] {
        if speed <= 0.0 {
            f.add(&at.key(key), "nobody gets anywhere at no speed", "more than 0 m/s");
        }
    }
    let span = plan.site.span.si();
    for (k, (from, to)) in r.landing.iter().enumerate() {
        if from.si() >= to.si() || from.si() < 0.0 || to.si() > span {
            f.add(
                &at.key("landing").at(k),
                "a landing that does not lie in the gap",
                format!("from and to, between 0 m and {span:.0} m along the gap"),
            );
        }
    }
    if let Some(d) = &r.drilled
        && d.from.si() > span
    {
        f.add(&at.key("drilled").key("from"), "a drill from beyond the gap", format!("0 m to {span:.0} m"));
    }
    set(f, r.set.as_ref(), catalogue, &at.key("set"));
    if r.limit.si() <= 0.0 {
        f.add(&at.key("limit"), "nobody may hang at all", "the longest that somebody may hang, as 15 min");
    }
}

/// Ties on points that are fixed, behind a lip, for somebody; at each step those of the side.
pub(super) fn ties(f: &mut Faults<'_>, plan: &Plan, catalogue: &Catalogue, top: &Path) {
    for (name, t) in &plan.ties {
        let at = top.key("ties").key(name);
        if t.anchors.is_empty() {
            f.add(&at.key("anchors"), format!("“{name}” hangs on nothing"), "the fixed points that it is tied to");
        }
        for (k, point) in t.anchors.iter().enumerate() {
            let Some(p) = plan.points.get(point) else { continue };
            let (at, say) = (at.key("anchors").at(k), format!("a fixed point at {:?}", t.side));
            match &p.kind {
                PointKind::Free { .. } => f.add(&at, format!("“{point}” moves with the line"), say),
                PointKind::Fixed { by: Hold::Edge { .. } | Hold::Frame(_), .. } => {
                    f.add(&at, format!("“{point}” cannot hold anybody"), say);
                }
                PointKind::Fixed { .. } if p.side != t.side => {
                    f.add(&at, format!("“{point}” is at the other side"), say);
                }
                PointKind::Fixed { .. } => {}
            }
        }
        if let Some(i) = catalogue.get(&t.rope.item).filter(|i| !i.class.is_soft()) {
            f.add(&at.key("rope").key("item"), format!("{} is no rope", i.title), "a rope or a cord");
        }
        if t.length_m() <= 0.0 {
            f.add(&at.key("rope").key("length"), "how long it is, is not said", "from the anchor to the tie-in");
        }
        if t.people == 0 {
            f.add(&at.key("people"), "nobody hangs on it", "how many hang on it, or leave it out");
        }
    }
    for (step, at_step) in &plan.work {
        for (side, key, names) in [(Side::A, "a", &at_step.ties[0]), (Side::B, "b", &at_step.ties[1])] {
            for (k, name) in names.iter().enumerate() {
                if plan.ties.get(name).is_some_and(|t| t.side != side) {
                    f.add(
                        &top.key("work").key(step).key(key).at(k),
                        format!("“{name}” is at the other side"),
                        format!("a tie of side {side:?}"),
                    );
                }
            }
        }
    }
}

/// Claims say a figure of the kind that they are of; what they name by words is there.
pub(super) fn claims(f: &mut Faults<'_>, plan: &Plan, at: &Path) {
    use super::claims::Figure;
    use super::read_trip::{asserted, figure};
    let all = Reader(f.root).get("claims").map(Reader::items).unwrap_or_default();
    for (k, claim) in all.iter().map(Reader).enumerate() {
        let at = at.at(k);
        let Some(what) = claim.get("what").and_then(figure) else { continue };
        let says = claim.words("says");
        if asserted(&what, &says).is_none() {
            let (kind, example) =
                what.dim().map_or(("number", "4.1".to_owned()), |d| (d.name(), d.example().to_owned()));
            f.add(&at.key("says"), format!("“{says}” is no {kind}"), format!("a {kind}, as {example}"));
        }
        let names: Vec<&str> = match &what {
            Figure::Factor(_) => plan.runs.keys().chain(plan.points.keys()).map(String::as_str).collect(),
            Figure::Pull(_) => plan.crossing.iter().flat_map(|c| &c.stages).map(|s| s.name.as_str()).collect(),
            _ => continue,
        };
        if let Figure::Factor(name) | Figure::Pull(name) = &what
            && !names.contains(&name.as_str())
        {
            f.add(&at.key("what"), format!("nothing is called “{name}”"), known(name, names));
        }
    }
}

/// A piece hangs in one place, or is one article that several parts share.
pub(super) fn serials(f: &mut Faults<'_>, plan: &Plan) {
    let mut seen: Vec<(&str, Option<&str>, String)> = Vec::new();
    for (at, part, serial) in plan.serials() {
        let twice = seen.iter().find(|s| s.0 == serial && (s.1.is_none() || s.1 != part.piece.as_deref()));
        if let Some((_, _, first)) = twice {
            let path = plan.runs.iter().find_map(|(name, r)| {
                let k = r.parts.iter().position(|p| std::ptr::eq(p, part))?;
                Some(Path::root().key("runs").key(name).key("parts").at(k).key("serial"))
            });
            f.add(
                &path.unwrap_or_else(Path::root),
                format!("{serial} hangs at {first} and at {at}"),
                "another piece, or `piece` in both parts where they are one article",
            );
        }
        seen.push((serial, part.piece.as_deref(), at));
    }
}

/// Days one after the other, the coldest before the warmest, a gust over the wind; pulled up while it hangs.
pub(super) fn stay(f: &mut Faults<'_>, plan: &Plan, at: &Path) {
    let Some(s) = &plan.stay else { return };
    let mut before = s.from;
    for (k, day) in s.days.iter().enumerate() {
        let at = at.key("days").at(k);
        let next = before.tomorrow().unwrap_or(before);
        if day.date != next {
            f.add(&at.key("date"), format!("{} does not follow {before}", day.date), format!("day after day: {next}"));
        }
        before = day.date;
        if day.low.si() > day.high.si() {
            f.add(&at.key("low"), "the coldest is warmer than the warmest", "swap them");
        }
        if day.low.si() < COLDEST_K || day.high.si() > WARMEST_K {
            f.add(&at.key("low"), "no weather is so cold or so warm", "between -70 and 60 degrees Celsius");
        }
        if day.gust.si() < day.wind.si() {
            f.add(&at.key("gust"), "the strongest gust is weaker than the mean wind", "at least as much as the wind");
        }
    }
    let hours = 24.0 * s.days.len() as f64;
    let mut last = 0.0;
    for (k, t) in s.pull_up.iter().enumerate() {
        let at = at.key("pull_up").at(k);
        if t.si() <= last {
            f.add(&at, "it is pulled up before it was before", "later each time, after more than 0 h");
        } else if t.si() > 3600.0 * hours {
            f.add(&at, "it is pulled up after the last day", format!("within the {hours:.0} h of the days"));
        }
        last = t.si();
    }
}

/// Somebody comes, to a place that is one.
pub(super) fn crew(f: &mut Faults<'_>, plan: &Plan, at: &Path) {
    let Some(crew) = &plan.crew else { return };
    if crew.at == [0, 0] {
        f.add(&at.key("a"), "nobody comes", "how many are at A and at B");
    }
    let given = |k: &str| at.key(k).find(f.root).is_some();
    match (given("latitude"), given("longitude")) {
        (true, false) => f.add(&at.key("latitude"), "a place without its longitude", "longitude: \"… deg\" beside it"),
        (false, true) => f.add(&at.key("longitude"), "a place without its latitude", "latitude: \"… deg\" beside it"),
        _ => {}
    }
    let Some(place) = crew.place else { return };
    let degrees = |q: crate::units::Angle| q.si().to_degrees().abs();
    if degrees(place.latitude) >= 90.0 {
        f.add(&at.key("latitude"), "no place is so far north or south", "between -90 and 90 degrees");
    }
    if degrees(place.longitude) > 180.0 {
        f.add(&at.key("longitude"), "no place is so far east or west", "between -180 and 180 degrees");
    }
    if !(-12.0..=14.0).contains(&(place.ahead.si() / 3600.0)) {
        f.add(&at.key("ahead"), "no clock is so far from UTC", "between -12 and 14 hours");
    }
}

/// Dates that are dates, each once; readings that read something.
pub(super) fn days(f: &mut Faults<'_>, plan: &Plan, at: &Path) {
    let mut seen: Vec<&str> = Vec::new();
    for (k, day) in plan.days.iter().enumerate() {
        let at = at.at(k);
        if seen.contains(&day.date.as_str()) {
            f.add(&at.key("date"), format!("two days are called {}", day.date), "put the readings of one day together");
        }
        seen.push(&day.date);
        for (n, r) in day.read.iter().enumerate() {
            if r.tension.is_none() && r.sag.is_none() && r.pulse.is_none() {
                f.add(&at.key("read").at(n), "a reading that reads nothing", "a tension, a sag, the time of a pulse");
            }
            if r.pulse.is_some() && r.walker.is_some() {
                f.add(
                    &at.key("read").at(n).key("pulse"),
                    "a pulse is timed with nobody on the line",
                    "the pulse in a reading without a walker",
                );
            }
        }
        if let (Some(up), Some(sun)) = (day.up, day.sun)
            && sun.si() > up.si()
        {
            f.add(&at.key("sun"), "more sun than the rig hung", "at most as long as `up`");
        }
        if day.through.is_some() && day.standing().is_none() {
            f.add(
                &at.key("through"),
                "to what tension it came through is not said",
                "a reading of the tension at A with nobody on the line",
            );
        }
        if let (Some(t), Some(n)) = (day.through, day.standing().map(|(_, n)| n.si()))
            && t.from.si() >= n
        {
            f.add(
                &at.key("through").key("from"),
                "the line was not pulled beyond where this begins",
                format!("less than {:.2} kN", n / 1e3),
            );
        }
    }
}
