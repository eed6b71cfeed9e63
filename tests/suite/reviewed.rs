//! Whole reviews of many small plans, held against themselves.
//!
//! This is a regression layer and no more: what is stored in `tests/data/reviewed/*.txt` is what this program said when it
//! was stored, not what anybody outside says. It holds wide: every row with its chain from label to number, every height,
//! finding, situation and incident, so that no change of behaviour goes by unseen. Whether a number is *right* is for the
//! tests of the `outside_*` modules, and for [`every_figure_follows_from_those_it_rests_on`] below, which works every
//! verdict out again from the figures printed beside it.
//!
//! When a change of behaviour is meant: `STORE_REVIEWED=1 cargo test --test suite reviewed`, then read the difference of
//! the stored tables line by line before committing it. The plans are written by `tests/data/reviewed/make_plans.py`.
//!
//! Figures have five digits and are compared to one part in three thousand; those after a `~` rest on motion and are
//! compared to 2 %, for another machine's arithmetic may end a whipping line elsewhere.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::PathBuf;
use std::sync::LazyLock;

use glam::DVec3;
use spanwright::catalogue::{Class as ItemClass, Deratings, KnotMaterial, Termination as T};
use spanwright::plan::{Hold, PlanFile, Role};
use spanwright::review::{
    Amount, Class, Desk, Grain, Incident, Peaks, Place, RULES, Review, Row, Solved, Variant, Verdict, review,
};

/// A plan with its review.
pub(crate) struct Reviewed {
    pub(crate) name: String,
    pub(crate) file: PlanFile,
    pub(crate) review: Review,
    /// Of a plan that is looked at standing still: every incident on a coarse mesh.
    coarse: Vec<Incident>,
}

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/reviewed")
}

/// Coarse enough to take a hundredth of a real play, and still the same stages and pieces.
const COARSE: Grain = Grain { elements: 12, usual: 12, step_s: 0.008 };

fn plans(of: &str) -> Vec<Reviewed> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder().join("plans"))
        .expect("the plans")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "ron"))
        .collect();
    let examples = std::fs::read_dir(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("plans")).expect("the examples");
    paths.extend(examples.map(|e| e.expect("an entry").path()).filter(|p| p.extension().is_some_and(|e| e == "ron")));
    paths.sort();
    let name = |p: &PathBuf| p.file_stem().and_then(|s| s.to_str()).expect("a name").to_owned();
    // Played whole, the longest example takes as long as all others together.
    let stands = |name: &str| name.starts_with("still") || name == "heron-valley-410m";
    let mine = |p: &&PathBuf| stands(&name(p)) == (of == "still");
    let mine: Vec<&PathBuf> = paths.iter().filter(mine).collect();
    let one = |path: &PathBuf| {
        let name = name(path);
        let text = std::fs::read_to_string(path).expect("read");
        let file = PlanFile::parse(&name, text).unwrap_or_else(|e| panic!("{}", e.show(&name)));
        assert!(file.is_sound(), "{name}: {}", file.show_faults());
        let (review, coarse) = if of == "played" {
            (review(&file).unwrap_or_else(|f| panic!("{name}: {f:?}")), Vec::new())
        } else {
            let desk = Desk::open(&file).unwrap_or_else(|f| panic!("{name}: {f:?}"));
            // Every second one: what is left out in one plan is played in another.
            let coarse = desk.events().iter().step_by(2).map(|e| desk.play_at(e, COARSE)).collect();
            (desk.review(), coarse)
        };
        Reviewed { name, file, review, coarse }
    };
    // Two at a time: other tests wait for these.
    std::thread::scope(|scope| {
        let half = |k: usize| mine.iter().skip(k).step_by(2).map(|p| one(p)).collect::<Vec<_>>();
        let other = scope.spawn(move || half(1));
        let mut all = half(0);
        all.extend(other.join().unwrap_or_else(|p| std::panic::resume_unwind(p)));
        all.sort_by(|a, b| a.name.cmp(&b.name));
        all
    })
}

/// Those that are looked at standing still.
pub(crate) static STILL: LazyLock<Vec<Reviewed>> = LazyLock::new(|| plans("still"));
/// Those whose falls and failures are played as every review plays them.
pub(crate) static PLAYED: LazyLock<Vec<Reviewed>> = LazyLock::new(|| plans("played"));

/// Five digits; what is nothing but noise is nothing.
fn n(v: f64) -> String {
    if !v.is_finite() {
        return if v.is_nan() { "-".to_owned() } else { "inf".to_owned() };
    }
    if v.abs() < 1e-4 {
        return "0".to_owned();
    }
    let digits = (4.0 - v.abs().log10().floor()).clamp(0.0, 8.0) as usize;
    let text = format!("{v:.digits$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn o(v: Option<f64>) -> String {
    v.map_or_else(|| "none".to_owned(), n)
}

/// Many figures as one, in which no two can change places.
fn sum(of: impl IntoIterator<Item = f64>) -> f64 {
    of.into_iter().enumerate().map(|(k, v)| (1.0 + (k as f64 * 0.618_034).fract()) * v).sum()
}

fn vectors<'a>(of: impl IntoIterator<Item = &'a DVec3>) -> f64 {
    sum(of.into_iter().map(|v| v.x + 1.3 * v.y.abs() + 1.7 * v.z))
}

fn chain(row: &Row) -> String {
    let mut out = String::new();
    for s in &row.strength.steps {
        match s.amount {
            Amount::Newton(v) => writeln!(out, "  {} = {}", s.what, n(v)),
            Amount::Factor { low, nominal } => writeln!(out, "  {} x {} {}", s.what, n(low), n(nominal)),
        }
        .expect("into text");
    }
    let s = &row.strength;
    writeln!(out, "  at {}; {} doubts; limit {}", s.spot, s.doubts.len(), o(s.wll_n)).expect("into text");
    out
}

fn told_row(row: &Row, chains: &mut BTreeMap<String, String>) -> String {
    let moves = if row.class == Class::Working { "" } else { "~ " };
    if row.is_height() {
        let h = row.height.as_ref().map_or_else(
            || "nothing known".to_owned(),
            |h| {
                let low: Vec<String> = h.stretches_m.iter().flatten().map(|v| n(*v)).collect();
                format!(
                    "{} over {} {} at {} needed {}, low {}",
                    n(h.low_m),
                    h.over,
                    n(h.top_m),
                    n(h.x_m),
                    n(h.needed_m),
                    low.join(" ")
                )
            },
        );
        return format!(
            "row {} {} {} {moves}{} {h} {}\n",
            row.class.word(),
            row.place,
            row.verdict,
            row.situation().map_or_else(String::new, ToString::to_string),
            row.strength.spot
        );
    }
    let s = &row.strength;
    let mut out = format!(
        "row {} {} [{}] {} {}: {} {} of {} {moves}{} {} in {}, {}\n",
        row.class.word(),
        row.place,
        row.item,
        row.kind.id(),
        row.verdict,
        n(s.low_n),
        n(s.nominal_n),
        n(row.required),
        n(row.demand_n),
        n(row.factor),
        row.case(),
        o(row.spread),
    );
    // A chain is told once for a piece, and again only where another class has another.
    let chain = chain(row);
    let key = format!("{} {}", row.place, row.title);
    if chains.get(&key) != Some(&chain) {
        // What an anchor holds follows from the way that motion pulls it.
        out += &if matches!(row.place, Place::Anchor(_)) {
            chain.replace("\n  ", "\n  ~ ").replacen("  ", "  ~ ", 1)
        } else {
            chain.clone()
        };
        chains.insert(key, chain);
    }
    out
}

/// Situations as drawn, of new gear, one by one; those with a leg short, with friction at its limit or of gear used and
/// set as one line for each of these, in which no two can change places.
fn told_cases(cases: &[Solved]) -> String {
    let mut out = String::from(
        "# situations: line at A, at B, sag, length; runs, elements and backup; forces on points and grounds, places, joints\n",
    );
    let figures = |c: &Solved| {
        let r = &c.response;
        let forces: Vec<DVec3> = r.forces.iter().flatten().map(|f| f.force).collect();
        [
            r.line_n[0],
            r.line_n[1],
            r.sag_m,
            c.line_m,
            sum(r.run_n.iter().chain(&r.element_n).chain(&r.backup_n).copied()),
            vectors(forces.iter().chain(&r.reactions)),
            vectors(&r.places),
            vectors(r.joints.iter().flatten()),
        ]
    };
    let mut varied: Vec<(String, Vec<[f64; 8]>)> = Vec::new();
    for c in cases {
        let plain = c.case.variant == Variant::Drawn && !c.case.set;
        if plain || !c.certified() {
            let sure = if c.certified() { "" } else { " without certificate" };
            writeln!(out, "case {}{sure}: {}", c.case.words(), figures(c).map(n).join(" ")).expect("into text");
            continue;
        }
        let key = format!("{:?} {}", c.case.variant, c.case.set);
        match varied.iter_mut().find(|v| v.0 == key) {
            Some(v) => v.1.push(figures(c)),
            None => varied.push((key, vec![figures(c)])),
        }
    }
    for (key, all) in varied {
        let sums: [f64; 8] = std::array::from_fn(|k| sum(all.iter().map(|f| f[k])));
        writeln!(out, "{} cases {key}: {}", all.len(), sums.map(n).join(" ")).expect("into text");
    }
    out
}

fn told_incident(i: &Incident) -> String {
    let p = &i.peaks;
    let figures = [
        i.drop_m,
        i.lowest_m,
        i.walker_m,
        i.feet_m[0],
        i.feet_m[1],
        i.settles_m.unwrap_or(f64::NAN),
        i.lowest_at_s,
        p.body_n,
        p.leash_n,
        p.line_n[0],
        p.line_n[1],
        sum(p.run_n.iter().chain(&p.backup_n).copied()),
        sum(p.element_n.iter().copied()),
        sum(p.hardware_n.iter().chain(&p.hole_n).copied()),
        p.pulls.iter().map(|f| f.iter().map(|v| v.length()).fold(0.0, f64::max)).sum::<f64>(),
        sum(p.ties_n.iter().flatten().copied()),
    ];
    let held = i.held.map_or("nobody knows".to_owned(), |h| format!("{h:?}"));
    let breaks = i.breaks.as_ref().map_or(String::new(), |b| format!(" breaks {:?} {}", b.0, n(b.1)));
    let fault = i.fault.as_ref().map_or(String::new(), |f| format!(" {f}"));
    format!(
        "event {} {}{}{}{fault} x{} ~ {held} {:?}{breaks} {}\n",
        i.event.words(),
        i.event.class.word(),
        if i.idle { " idle" } else { "" },
        if i.by_waves { " waves" } else { "" },
        i.plays.len(),
        i.caught_by,
        figures.map(n).join(" "),
    )
}

/// Everything that a review says, in lines.
fn told(of: &Reviewed) -> String {
    let r = &of.review;
    let mut out = String::from(
        "# What this program said of the plan of this name; stored anew by STORE_REVIEWED=1, see tests/suite/reviewed.rs.\n",
    );
    let verdict = format!("verdict {} passes {} to come {}", r.verdict, r.passes(), r.to_come);
    let line = &r.line;
    writeln!(out, "{verdict}\nlimiting ~ {}", r.limiting.as_ref().map_or("nothing", |l| &l.sentence))
        .expect("into text");
    writeln!(
        out,
        "line {} of it made {} standing {} {} sags {} {} seated {} {}",
        n(line.unstretched_m),
        n(line.target_m),
        n(line.standing_n[0]),
        n(line.standing_n[1]),
        n(line.sag_standing_m),
        n(line.sag_walker_m),
        n(r.no_fall_m[0]),
        n(r.no_fall_m[1]),
    )
    .expect("into text");
    for u in &r.unsolved {
        writeln!(out, "unsolved {}: {}", u.words(), u.why).expect("into text");
    }
    if let Some(p) = &r.pulling {
        let strands = p.strands_n.iter().flatten().flatten().copied();
        let figures = [
            p.load_n,
            p.hand_n,
            p.lower_n,
            p.advantage[0],
            p.advantage[1],
            sum(strands),
            sum(p.sheaves_n.iter().flatten().copied()),
            p.anchor_n,
            p.team_n,
            p.through_m,
            p.hand_m,
            p.throw_m,
            p.resets as f64,
            p.rope_m,
        ];
        writeln!(out, "pulling {}", figures.map(n).join(" ")).expect("into text");
    }
    out += "# rows: keeps at least, usually, factor required; sees, factor found, where, spread; then the chain from label to number\n";
    let mut chains = BTreeMap::new();
    for row in &r.rows {
        out += &told_row(row, &mut chains);
    }
    for f in &r.findings {
        // The figures of a finding, not its words: these may be put better.
        let figures: Vec<&str> = f
            .text
            .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
            .filter(|w| w.parse::<f64>().is_ok())
            .collect();
        writeln!(
            out,
            "finding {} {} at {} ~ {}{}",
            f.gravity.word(),
            f.rule,
            f.at,
            figures.join(" "),
            f.set_aside.as_deref().map_or(String::new(), |s| format!(" set aside: {s}"))
        )
        .expect("into text");
    }
    out += &told_cases(&r.cases);
    for low in r.envelope.iter().step_by(7) {
        let figures = [Some(low.x_m), low.hang_m, low.fall_m, low.catch_m, low.ground_m].map(o);
        writeln!(out, "low {} sags {}", figures.join(" "), low.sags_m.map(n).join(" ")).expect("into text");
    }
    for (what, catches) in [("catch", &r.catches), ("spaced", &r.spacings)] {
        for c in catches {
            writeln!(out, "{what} {} {} {} {} {}", n(c.excess), n(c.spare_m), n(c.segment_m), o(c.fall_m), o(c.body_n))
                .expect("into text");
        }
    }
    out += "# incidents: drop, ring, walker, feet, where, settles, when; body, leash, line at A and B, runs and backup, elements, hardware and holes, pulls on grounds, ties\n";
    for i in r.incidents.iter().chain(&of.coarse) {
        out += &told_incident(i);
    }
    out
}

/// Whether two words of a table say the same: figures nearly, anything else exactly.
fn alike(got: &str, want: &str, moves: bool) -> bool {
    let figure = |w: &str| {
        w.trim_matches(|c: char| !(c.is_ascii_alphanumeric() || c == '-')).parse::<f64>().ok().filter(|v| v.is_finite())
    };
    match (figure(got), figure(want)) {
        (Some(a), Some(b)) => {
            let (share, least) = if moves { (0.02, 0.02) } else { (3e-4, 2e-4) };
            (a - b).abs() <= share * a.abs().max(b.abs()) + least
        }
        _ => got == want,
    }
}

/// What differs between what is said now and what is stored, line by line.
fn differences(got: &str, want: &str) -> Vec<String> {
    let same = |a: &str, b: &str| {
        let (mut a, mut b) = (a.split_whitespace(), b.split_whitespace());
        let mut moves = false;
        loop {
            match (a.next(), b.next()) {
                (None, None) => return true,
                (Some(x), Some(y)) if alike(x, y, moves) => moves |= x == "~",
                _ => return false,
            }
        }
    };
    let (got, want): (Vec<&str>, Vec<&str>) = (got.lines().collect(), want.lines().collect());
    let mut out: Vec<String> =
        got.iter().zip(&want).filter(|(a, b)| !same(a, b)).map(|(a, b)| format!("now  {a}\nthen {b}")).collect();
    if got.len() != want.len() {
        out.push(format!("{} lines now, {} then", got.len(), want.len()));
    }
    out
}

fn held(all: &[Reviewed]) {
    let store = std::env::var_os("STORE_REVIEWED").is_some();
    let mut wrong = String::new();
    for of in all {
        let path = folder().join(format!("{}.txt", of.name));
        let now = told(of);
        if store {
            std::fs::write(&path, now).expect("stored");
            continue;
        }
        let then = std::fs::read_to_string(&path).unwrap_or_default();
        let differ = differences(&now, &then);
        if !differ.is_empty() {
            let first: Vec<&str> = differ.iter().take(4).map(String::as_str).collect();
            writeln!(wrong, "{}: {} lines differ\n{}", of.name, differ.len(), first.join("\n")).expect("into text");
        }
    }
    assert!(
        wrong.is_empty(),
        "reviews are no longer as stored; if that is meant, store them anew (see the head of this file)\n{wrong}"
    );
}

#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn reviews_of_what_stands_are_as_stored() {
    held(&STILL);
}

#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn reviews_of_what_moves_are_as_stored() {
    held(&PLAYED);
}

/// A table that was never looked at holds nothing: a changed figure, a lost line and a changed word are all seen.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn a_difference_is_seen() {
    let then = "row main sees 1234.5 ~ 100 in walker 0.50\nrow backup sees 5";
    assert!(differences(then, then).is_empty());
    assert!(differences(&then.replace("1234.5", "1234.6"), then).is_empty(), "noise");
    assert!(differences(&then.replace("~ 100", "~ 101"), then).is_empty(), "motion on another machine");
    for (old, new) in [
        ("1234.5", "1235.5"),
        ("~ 100", "~ 103"),
        ("0.50", "0.45"),
        ("walker", "bounce"),
        ("\nrow backup sees 5", ""),
        ("1234.5", "-1234.5"),
    ] {
        assert!(!differences(&then.replace(old, new), then).is_empty(), "{old} as {new}");
    }
}

/// Every rule, class of gear, termination, knot, row of the deratings and kind of anchor is somewhere in the tables. What
/// is new and not covered is named here; a plan of `make_plans.py` that has it covers it.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn everything_is_reviewed_somewhere() {
    let all = || STILL.iter().chain(PLAYED.iter());
    let rows = || all().flat_map(|of| of.review.rows.iter().map(move |r| (of, r)));
    let mut missing = Vec::new();

    let said: BTreeSet<&str> = all().flat_map(|of| of.review.findings.iter().map(|f| f.rule)).collect();
    let rules = RULES.iter().copied().flatten().map(|r| r.id);
    missing.extend(rules.filter(|r| !said.contains(r) && !OF_AN_INVENTORY.contains(r)).map(|r| format!("rule {r}")));

    let classes: BTreeSet<ItemClass> = rows()
        .filter(|(_, r)| r.strength.counts_n().is_some())
        .filter_map(|(of, r)| of.file.catalogue.get(&r.item).map(|i| i.class))
        .collect();
    missing.extend(ItemClass::ALL.iter().filter(|c| !classes.contains(c)).map(|c| format!("class {}", c.id())));

    let steps: BTreeSet<&str> = rows().flat_map(|(_, r)| r.strength.steps.iter().map(|s| s.what.as_str())).collect();
    let has = |words: &str| steps.iter().any(|s| s.starts_with(words));
    let tables = Deratings::builtin();
    let ways = [
        T::Buried,
        T::Untapered,
        T::EndForEnd,
        T::Adjustable,
        T::Tucked,
        T::Sewn,
        T::Lock,
        T::RingSingle,
        T::RingDouble,
        T::Girth,
    ];
    let ways = ways.map(|t| tables.termination(t).0.to_owned());
    let knots = tables.knots.iter().map(|k| k.title.clone());
    // What keeps all is no step: the soft shackle with a diamond knot is a spot of its own.
    let others = [
        "bend, D/d",
        "slides over",
        "lies around",
        "uneven sharing",
        "throat of",
        "choked (mode",
        "choked",
        "two strands",
        "pulled",
        "gate open",
        "wet nylon",
        "wear",
        "light and age",
        "abrasion",
        "heat",
        "end, the rigger's own",
        "end not stated",
        "knot “",
        "bury of",
        "legs spread",
        "pulled three ways",
    ];
    for words in ways.into_iter().chain(knots).chain(others.map(str::to_owned)) {
        if !has(&words) {
            missing.push(format!("step “{words}”"));
        }
    }
    let diamond = tables.termination(T::Diamond).0;
    if !rows().any(|(_, r)| r.strength.spot.contains(diamond)) {
        missing.push(format!("spot “{diamond}”"));
    }
    for material in [KnotMaterial::Rope, KnotMaterial::Webbing, KnotMaterial::Hmpe] {
        let of = |r: &Row, of: &Reviewed| of.file.catalogue.get(&r.item).map(|i| KnotMaterial::of(i.class, i.fibre));
        let tied = |r: &Row| r.strength.steps.iter().any(|s| tables.knots.iter().any(|k| k.title == s.what));
        let kinds: BTreeSet<&str> = rows()
            .filter(|(p, r)| tied(r) && of(r, p) == Some(material))
            .map(|(_, r)| r.strength.spot.split(" at ").next().unwrap_or(""))
            .collect();
        if kinds.len() < 3 {
            missing.push(format!("knots in {material:?}: only {kinds:?}"));
        }
    }
    let holds: BTreeSet<&str> =
        all().flat_map(|of| of.file.plan.points.values().filter_map(|p| p.hold().map(Hold::word))).collect();
    let anchors = ["bolt", "tree", "boulder", "thread", "deadman", "vehicle", "edge", "frame", "anchor"];
    missing.extend(anchors.iter().filter(|a| !holds.contains(*a)).map(|a| format!("anchor {a}")));
    missing.retain(|m| !TRIED_ALONE.contains(&m.as_str()));
    assert!(missing.is_empty(), "not in any stored review: {missing:#?}");
}

/// Rules and classes that no stored plan has; `rules.rs` breaks and keeps each of them.
const TRIED_ALONE: [&str; 52] = [
    "rule hole-too-small",
    "rule hole-too-wide",
    "rule thread-differs",
    "rule crew-short",
    "rule dark-before-done",
    "rule light-unsaid",
    "rule hobble-length",
    "rule guy-slack",
    "rule sightings-disagree",
    "rule frame-falls",
    "rule frame-lifts",
    "rule frame-not-guyed",
    "rule foot-slides",
    "rule friction-foot",
    "rule frame-leans",
    "rule frame-nudged",
    "rule frame-elsewhere",
    "rule head-turns",
    "rule line-on-ground",
    "rule rescue-limit",
    "rule forecast-over-storm",
    "rule forecast-too-hot",
    "rule slack-by-morning",
    "rule creep-used",
    "rule hot-tight",
    "rule crept-falls",
    "rule nights-unsaid",
    "rule day-walker",
    "rule day-unsolved",
    "rule day-span",
    "rule day-unknown",
    "rule rescue-lowered-only",
    "rule tie-stretches-over",
    "rule day-differs",
    "rule look-over",
    "rule leash-falls",
    "rule tail-drawn-in",
    "rule leg-takes-more",
    "rule odd-length",
    "rule drawn-out-often",
    "rule line-over-unsolved",
    "rule half-rigged-low",
    "rule pull-over-beyond-team",
    "rule snags",
    "rule snags-near",
    "rule crossing-windy",
    "rule rescue-unsolved",
    "rule lowering-short",
    "rule tie-anchor-light",
    "rule claim-unworkable",
    "rule stretch-off",
    "class Ratchet",
];

/// Rules that only an inventory and a day fire: `gear.rs` tries them.
const OF_AN_INVENTORY: [&str; 3] = ["gear-unfit", "past-its-days", "gear-short"];

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()) + 1e-9
}

/// Worked out again from the figures beside it, with nothing of the program's own: strength from its chain, factor from
/// strength and demand, verdict from factor and what is asked for, height from low and top, the plan's verdict from its
/// rows, the order of the worst, and the sentence that heads it.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn every_figure_follows_from_those_it_rests_on() {
    let mut wrong: Vec<String> = Vec::new();
    let mut looked = 0;
    for of in STILL.iter().chain(PLAYED.iter()) {
        let r = &of.review;
        for row in &r.rows {
            let mut say = |what: String| wrong.push(format!("{}, {} {}: {what}", of.name, row.class.word(), row.place));
            looked += 1;
            if let Some(h) = &row.height {
                let found = h.low_m - h.top_m;
                if !near(row.factor, found) || !near(row.required, h.needed_m) {
                    say(format!("{found} m found, {} told", row.factor));
                }
                let enough = found >= h.needed_m;
                if !matches!(
                    (row.verdict, enough),
                    (Verdict::Meets | Verdict::Unrated, true) | (Verdict::Below, false) | (Verdict::Unsolved, _)
                ) {
                    say(format!("{found} of {} m is {}", h.needed_m, row.verdict));
                }
                if h.needed_m < of.file.plan.factors.clearance.least.value - 1e-9 {
                    say(format!("asks for {} m", h.needed_m));
                }
                continue;
            }
            if row.is_height() {
                continue;
            }
            let s = &row.strength;
            let (mut low, mut nominal) = (f64::NAN, f64::NAN);
            for step in &s.steps {
                match step.amount {
                    Amount::Newton(v) => (low, nominal) = (v, v),
                    Amount::Factor { low: l, nominal: m } => (low, nominal) = (low * l, nominal * m),
                }
            }
            if s.rated && !(near(low, s.low_n) && near(nominal, s.nominal_n)) {
                say(format!("its chain ends at {low} and {nominal} N, told {} and {}", s.low_n, s.nominal_n));
            }
            if s.rated && s.low_n > s.nominal_n * (1.0 + 1e-9) {
                say(format!("counts {} N, usual {}", s.low_n, s.nominal_n));
            }
            let factor = if row.demand_n > 0.0 { s.low_n / row.demand_n } else { f64::INFINITY };
            if s.rated && !(near(factor, row.factor) || factor == row.factor) {
                say(format!("factor {factor}, told {}", row.factor));
            }
            let unsolved = !r.unsolved.is_empty();
            let want = match (unsolved, s.rated, factor >= row.required * (1.0 - 1e-12)) {
                (true, ..) => None,
                (_, false, _) => Some(Verdict::Unrated),
                (_, _, true) => Some(Verdict::Meets),
                (_, _, false) => Some(Verdict::Below),
            };
            if want.is_some_and(|w| w != row.verdict) {
                say(format!("factor {factor} of {} is {}", row.required, row.verdict));
            }
        }
        let rank = |v: Verdict| {
            ["meets", "unrated", "below", "unsolved"].iter().position(|w| *w == v.word()).expect("a verdict")
        };
        let worst = r.rows.iter().map(|x| rank(x.verdict)).max().unwrap_or(3);
        if r.unsolved.is_empty() && rank(r.verdict) != worst {
            wrong.push(format!("{}: {} over rows whose worst is number {worst}", of.name, r.verdict));
        }
        let margin = |x: &Row| if x.is_height() && x.required <= 0.0 { 1.0 + x.factor } else { x.factor / x.required };
        let order: Vec<(usize, f64)> = r.worst_first().iter().map(|x| (rank(x.verdict), margin(x))).collect();
        if let Some(w) = order.iter().zip(&order[1..]).find(|(a, b)| a.0 < b.0 || a.0 == b.0 && a.1 > b.1) {
            wrong.push(format!("{}: {:?} told before {:?}", of.name, w.0, w.1));
        }
        let head = r.limiting.as_ref().map(|l| {
            (rank(r.rows[l.row].verdict), margin(&r.rows[l.row]), l.sentence.contains(&r.rows[l.row].place.to_string()))
        });
        let (first, told) = (order.first().expect("rows"), head.expect("a headline"));
        if r.unsolved.is_empty() && (told.0 != first.0 || told.1 > first.1 && told.1.is_finite() || !told.2) {
            wrong.push(format!("{}: headed by {told:?}, the worst is {first:?}", of.name));
        }
    }
    println!("{looked} rows");
    assert!(looked > 1500, "{looked}");
    assert!(wrong.is_empty(), "{} of {looked}: {:#?}", wrong.len(), &wrong[..wrong.len().min(8)]);
}

/// What a piece sees is the most over all situations that the report lists, read from the report and not from the review:
/// a situation that is left out of the demand, or a least instead of a most, shows.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn every_demand_is_the_most_of_the_reports_situations() {
    let mut wrong: Vec<String> = Vec::new();
    let mut looked = 0;
    for of in STILL.iter().chain(PLAYED.iter()).filter(|of| of.review.unsolved.is_empty()) {
        let report = serde_json::to_value(spanwright::sheets::report(&of.file, &of.review)).expect("JSON");
        let cases = report["cases"].as_array().expect("situations");
        let of_class = |class: &str| cases.iter().filter(move |c| c["class"] == class).collect::<Vec<_>>();
        let tension = |case: &serde_json::Value, run: &str| {
            let t = &case["runs"][run]["tension_N"];
            t.as_f64().into_iter().chain(["A", "B"].iter().filter_map(|e| t[*e].as_f64())).fold(0.0, f64::max)
        };
        let leg = |run: &str| matches!(of.file.plan.runs[run].role, Role::Leg);
        for part in report["parts"].as_array().expect("rows") {
            let (Some(run), Some(class)) = (part["run"].as_str(), part["class"].as_str()) else { continue };
            // One leg that carries all sees what its anchor sees, in no situation of its own.
            let alone = part["how"] != "itself";
            if alone || !of.file.plan.runs.contains_key(run) {
                continue;
            }
            let demand = part["demand_N"].as_f64().expect("solved");
            let most = of_class(class).into_iter().map(|c| tension(c, run)).fold(0.0, f64::max);
            let spread = part["spread"].as_f64().filter(|s| *s > 0.05).unwrap_or(0.0);
            looked += 1;
            // One tension along a leg; along the main line the ends of the line are the most but for a sagging middle.
            let good = match class {
                "working" if leg(run) => near(demand, most),
                "working" => demand <= 1.01 * most || most == 0.0,
                // Failures are also judged by one leg carrying all, whose rows take a place when they are worse.
                "fall" if leg(run) => demand >= most * (1.0 - 1e-9) && demand <= most * (1.0 + spread.max(0.8)),
                _ => demand <= most.max(1.0) * (1.0 + spread.max(0.8)) || most == 0.0,
            };
            if !good {
                wrong.push(format!("{}, {class} {run} {}: {demand} told, {most} at most", of.name, part["part"]));
            }
        }
        // Of the main line the most loaded part sees what the higher end sees.
        let (main, _) = of.file.plan.main().expect("a line");
        let demands =
            report["parts"].as_array().expect("rows").iter().filter(|p| p["run"] == main && p["class"] == "working");
        let told = demands.filter_map(|p| p["demand_N"].as_f64()).fold(0.0, f64::max);
        let most = of_class("working").into_iter().map(|c| tension(c, main)).fold(0.0, f64::max);
        if told < most * (1.0 - 1e-9) {
            wrong.push(format!("{}: the line sees {told}, its ends {most}", of.name));
        }
        // The situations that must be among them, by their names.
        let has = |words: &str| cases.iter().any(|c| c["words"].as_str().is_some_and(|id| id.starts_with(words)));
        let air = of.file.plan.site.air;
        let mut must: Vec<String> = [
            "standing",
            "walker 0.50",
            "bounce 0.50",
            "standing, wind from the right",
            "standing, wind from the left",
            "standing, storm from the right",
            "standing, storm from the left",
            "walker 0.50, wind from the right",
            "walker 0.01",
            "walker 0.99",
            "standing, gear used and set",
            "bounce 0.50, gear used and set",
        ]
        .map(str::to_owned)
        .to_vec();
        must.push(format!("{} at 0.50", of.file.plan.people.together.max(2)));
        must.extend((air.coldest.value < air.rigged_at.value).then(|| "standing, coldest".to_owned()));
        must.extend(
            (air.coldest.value < air.rigged_at.value)
                .then(|| "walker 0.50, coldest, fibres expanding least".to_owned()),
        );
        must.extend((air.warmest.value > air.rigged_at.value).then(|| "walker 0.50, warmest".to_owned()));
        for own in &of.file.plan.cases {
            must.push(own.name.clone());
            let differs = own.temperature.is_some_and(|t| t.value != air.rigged_at.value);
            must.extend(differs.then(|| format!("{}, fibres expanding least", own.name)));
        }
        wrong.extend(must.iter().filter(|m| !has(m)).map(|m| format!("{}: no situation “{m}”", of.name)));
    }
    println!("{looked} rows");
    assert!(wrong.is_empty(), "{} of {looked}: {:#?}", wrong.len(), &wrong[..wrong.len().min(8)]);
}

/// Of an incident that was played more than once each figure is the larger of its last two plays; what legs, leash and
/// hardware see in falls is the most over all falls, each by its unfavourable end where it has not settled.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn what_moves_is_the_most_of_its_plays() {
    let mut wrong: Vec<String> = Vec::new();
    let (mut repeated, mut looked) = (0, 0);
    for of in PLAYED.iter() {
        let r = &of.review;
        let flat = |p: &Peaks| -> Vec<f64> {
            let ties = p.ties_n.iter().flatten();
            let single = [p.line_n[0], p.line_n[1], p.leash_n, p.body_n];
            let lists = [&p.run_n, &p.element_n, &p.backup_n, &p.hardware_n, &p.hole_n];
            lists.into_iter().flatten().chain(ties).copied().chain(single).collect()
        };
        let most_pull = |p: &Peaks| -> Vec<f64> {
            p.pulls.iter().map(|f| f.iter().map(|v| v.length()).fold(0.0, f64::max)).collect()
        };
        for i in &r.incidents {
            let [.., a, b] = &i.plays[..] else { continue };
            repeated += 1;
            let larger = |of: &dyn Fn(&Peaks) -> Vec<f64>| -> bool {
                let (a, b, now) = (of(a), of(b), of(&i.peaks));
                now.len() == a.len() && now.iter().enumerate().all(|(k, v)| near(*v, a[k].max(b[k])))
            };
            if !larger(&flat) || !larger(&most_pull) {
                wrong.push(format!("{}, {}: not the larger of its plays", of.name, i.event.words()));
            }
        }
        let most = |class: Class, figure: &dyn Fn(&Peaks) -> f64| -> f64 {
            let played = r.incidents.iter().filter(|i| i.event.class == class && !i.peaks.run_n.is_empty());
            let one = |i: &Incident| {
                let spread = match &i.plays[..] {
                    [.., a, b] => (figure(a) - figure(b)).abs() / figure(a).max(figure(b)).max(1e-12),
                    _ => 0.0,
                };
                figure(&i.peaks) * if spread > 0.05 { 1.0 + spread } else { 1.0 }
            };
            played.map(one).fold(0.0, f64::max)
        };
        for row in r.rows.iter().filter(|x| x.class != Class::Working) {
            let told = match &row.place {
                Place::Part(run, _) => match of.file.plan.runs[run].role {
                    Role::Leash => most(row.class, &|p| p.leash_n),
                    Role::Leg => {
                        let k = r.run_names.iter().position(|n| n == run).expect("a run");
                        most(row.class, &|p| p.run_n[k])
                    }
                    _ => continue,
                },
                Place::Point(name) => {
                    let k = r.point_names.iter().position(|n| n == name).expect("a point");
                    let hole = row.one_hole();
                    most(row.class, &|p| if hole { p.hole_n[k] } else { p.hardware_n[k] })
                }
                _ => continue,
            };
            looked += 1;
            // One leg that carries all stands beside the failures that were played.
            let alone = row.case().starts_with("one leg carries");
            if !(near(row.demand_n, told) || alone && row.demand_n >= told) {
                wrong.push(format!(
                    "{}, {} {}: {} told, {told} at most",
                    of.name,
                    row.class.word(),
                    row.place,
                    row.demand_n
                ));
            }
        }
    }
    println!("{looked} rows, {repeated} repeated");
    assert!(looked > 100 && repeated > 10, "{looked} rows, {repeated} repeated");
    assert!(wrong.is_empty(), "{} of {looked}: {:#?}", wrong.len(), &wrong[..wrong.len().min(8)]);
}

const DEMO: &str = include_str!("../../plans/kestrel-gap-62m.ron");
const SHORT: &str = include_str!("../../plans/lantern-quarry-28m.ron");
const BAD: &str = include_str!("../../plans/crow-steps-44m.ron");

/// One number of a plan, drawn through its range: name, plan, what is replaced by what (`{}` being the number), from, to.
type Sweep = (&'static str, &'static str, &'static [(&'static str, &'static str)], f64, f64);

const LEG: &str = "Part(item: \"hmpe-8\", length: Fit(), ends: (Spliced(bury: \"580 mm\"), Spliced(bury: \"580 mm\"))),\n        ]),\n        \"B leg 2\"";
const FIRST: &str = "from: \"A master\", to: \"B master\", parts: [\n            Part(item: \"bow-shackle-3t\"";
const AT_B: &str = "\"B master\": Free(side: B, near: (\"0 m\", \"0 m\", \"0 m\"), hardware: \"master-ring\")";
const SWEEPS: &[Sweep] = &[
    (
        "off axis, deg",
        DEMO,
        &[(
            FIRST,
            "from: \"A master\", to: \"B master\", parts: [\n            Part(item: \"bow-shackle-3t\", off_axis: \"{} deg\"",
        )],
        0.0,
        96.0,
    ),
    (
        "off axis of a link, deg",
        DEMO,
        &[("Part(item: \"quick-link-12\")", "Part(item: \"quick-link-12\", off_axis: \"{} deg\")")],
        0.0,
        32.0,
    ),
    (
        "bury, mm",
        DEMO,
        &[("Spliced(bury: \"580 mm\", thimble: true)", "Spliced(bury: \"{} mm\", thimble: true)")],
        440.0,
        600.0,
    ),
    (
        "eye, mm",
        DEMO,
        &[(
            LEG,
            "Part(item: \"hmpe-8\", length: Fit(), ends: (Spliced(bury: \"580 mm\", eye: \"{} mm\"), Spliced(bury: \"580 mm\"))),\n        ]),\n        \"B leg 2\"",
        )],
        20.0,
        84.0,
    ),
    (
        "legs apart, m, in a shackle",
        DEMO,
        &[
            (AT_B, "\"B master\": Free(side: B, near: (\"0 m\", \"0 m\", \"0 m\"), hardware: \"bow-shackle-6.5t\")"),
            ("at: (\"4.6 m\", \"1.4 m\", \"0.5 m\")", "at: (\"4.6 m\", \"{} m\", \"0.5 m\")"),
            ("at: (\"5.0 m\", \"-1.2 m\", \"0.5 m\")", "at: (\"5.0 m\", \"-{} m\", \"0.5 m\")"),
        ],
        1.0,
        13.0,
    ),
    (
        "legs apart, m, in a link",
        DEMO,
        &[
            (AT_B, "\"B master\": Free(side: B, near: (\"0 m\", \"0 m\", \"0 m\"), hardware: \"quick-link-12\")"),
            ("at: (\"4.6 m\", \"1.4 m\", \"0.5 m\")", "at: (\"4.6 m\", \"{} m\", \"0.5 m\")"),
        ],
        0.1,
        3.3,
    ),
    ("standing, kN", DEMO, &[("standing: \"2.5 kN\"", "standing: \"{} kN\"")], 1.0, 9.0),
    ("excess, %", DEMO, &[("excess: \"4 %\"", "excess: \"{} %\"")], 0.2, 11.4),
    ("height difference, m", DEMO, &[("height_difference: \"3 m\"", "height_difference: \"{} m\"")], -7.0, 7.0),
    ("wind, m/s", DEMO, &[("wind: \"10 m/s\"", "wind: \"{} m/s\"")], 7.0, 13.0),
    ("walker, kg", DEMO, &[("walkers: [\"80 kg\"]", "walkers: [\"{} kg\"]")], 50.0, 130.0),
    ("bounce", DEMO, &[("walkers: [\"80 kg\"]", "walkers: [\"80 kg\"], bounce: {}")], 1.0, 4.2),
    ("trunk, cm", DEMO, &[("diameter: \"48 cm\"", "diameter: \"{} cm\"")], 22.0, 54.0),
    (
        "sling's height, m",
        DEMO,
        &[("diameter: \"48 cm\", slung_at: \"0.4 m\"", "diameter: \"48 cm\", slung_at: \"{} m\"")],
        0.2,
        1.8,
    ),
    ("leash, m", DEMO, &[("length: \"1.4 m\", ends", "length: \"{} m\", ends")], 0.5, 2.9),
    (
        "tail, m",
        DEMO,
        &[("(Locked(tail: \"1 m\"), Locked(tail: \"1.5 m\"))", "(Locked(tail: \"{} m\"), Locked(tail: \"1.5 m\"))")],
        0.1,
        0.9,
    ),
    (
        "wraps",
        DEMO,
        &[(
            "(Locked(tail: \"1 m\"), Locked(tail: \"1.5 m\"))",
            "(Locked(wraps: {}, tail: \"1 m\"), Locked(tail: \"1.5 m\"))",
        )],
        0.9,
        2.5,
    ),
    ("warmest, deg", DEMO, &[("warmest: \"26 degC\"", "warmest: \"{} degC\"")], 28.0, 60.0),
    (
        "bolt aside, m",
        DEMO,
        &[("at: (\"-3.4 m\", \"0.1 m\", \"-0.1 m\")", "at: (\"-3.4 m\", \"{} m\", \"-0.1 m\")")],
        0.0,
        1.28,
    ),
    (
        "bolt faces",
        DEMO,
        &[(
            "at: (\"-3.4 m\", \"0.1 m\", \"-0.1 m\"), by: Bolt(item: \"bolt-glued-12\", faces: (0.0, 0.0, 1.0))",
            "at: (\"-3.4 m\", \"0.1 m\", \"-0.1 m\"), by: Bolt(item: \"bolt-glued-12\", faces: ({}, 0.0, 0.7))",
        )],
        -2.05,
        2.05,
    ),
    ("leg, m", DEMO, &[("length: Fit(tolerance: \"30 mm\")", "length: \"{} m\", tolerance: \"30 mm\"")], 3.2, 3.68),
    ("tolerance, mm", DEMO, &[("length: Fit(tolerance: \"30 mm\")", "length: Fit(tolerance: \"{} mm\")")], 0.0, 96.0),
    ("each pulls, kN", DEMO, &[("each: \"0.3 kN\"", "each: \"{} kN\"")], 0.05, 1.65),
    ("between blocks, m", DEMO, &[("distance: \"6 m\"", "distance: \"{} m\"")], 0.4, 6.8),
    (
        "sheave keeps",
        DEMO,
        &[
            (
                "    tensioning:",
                "    items: {\"pulley-own\": Item(class: Pulley, rating: Label(\"30 kN\"), efficiency: {})},\n    tensioning:",
            ),
            ("sheave: \"pulley-rescue\"", "sheave: \"pulley-own\""),
        ],
        0.36,
        0.99,
    ),
    (
        "label of a rope, kN",
        DEMO,
        &[
            (
                "    tensioning:",
                "    items: {\"rope-own\": Item(class: HollowBraid, fibre: Hmpe, rating: Label(\"{} kN\"), diameter: \"8 mm\")},\n    tensioning:",
            ),
            ("Part(item: \"hmpe-8\"", "Part(item: \"rope-own\""),
        ],
        20.0,
        148.0,
    ),
    (
        "a rope's diameter, mm",
        DEMO,
        &[
            (
                "    tensioning:",
                "    items: {\"rope-own\": Item(class: HollowBraid, fibre: Hmpe, rating: Label(\"60 kN\"), diameter: \"{} mm\")},\n    tensioning:",
            ),
            ("Part(item: \"hmpe-8\"", "Part(item: \"rope-own\""),
        ],
        3.0,
        27.0,
    ),
    (
        "webbing's width, mm",
        DEMO,
        &[
            (
                "    tensioning:",
                "    items: {\"web-own\": Item(class: Webbing, fibre: Polyester, rating: Label(\"30 kN\"), width: \"{} mm\")},\n    tensioning:",
            ),
            ("webbing-polyester-25\", length: Solve", "web-own\", length: Solve"),
        ],
        15.0,
        47.0,
    ),
    (
        "a link's mouth, mm",
        DEMO,
        &[
            (
                "    tensioning:",
                "    items: {\"link-own\": Item(class: QuickLink, fibre: Steel, rating: Label(\"60 kN\"), stock: \"10 mm\", opening: \"{} mm\", length: \"70 mm\", mass: \"200 g\")},\n    tensioning:",
            ),
            ("Part(item: \"quick-link-12\")", "Part(item: \"link-own\")"),
        ],
        6.0,
        22.0,
    ),
    ("ground, m", DEMO, &[("(\"30 m\", \"-46 m\")", "(\"30 m\", \"{} m\")")], -88.0, -4.0),
    ("least height, m", DEMO, &[("factors: Factors(", "factors: Factors(clearance: (least: \"{} m\"), ")], 0.4, 3.6),
    (
        "master set out, m",
        DEMO,
        &[("\"B master\": Free(side: B, near: (\"0 m\", ", "\"B master\": Free(side: B, near: (\"{} m\", ")],
        -0.8,
        0.8,
    ),
    ("slope under a car, deg", BAD, &[("slope: \"3 deg\"", "slope: \"{} deg\"")], -8.0, 24.0),
    (
        "slope under a tall block, deg",
        BAD,
        &[(
            "Vehicle(mass: \"1600 kg\", friction: 0.4, slope: \"3 deg\"",
            "Boulder(mass: \"2400 kg\", friction: 0.9, base: \"0.9 m\", pulled_at: \"0.6 m\", centre: \"1.1 m\", slope: \"{} deg\"",
        )],
        -8.0,
        24.0,
    ),
    ("age of the backup", BAD, &[("condition: (age: 0.7)", "condition: (age: {})")], 0.2, 1.0),
    ("share of the middle leg", SHORT, &[("Share(0.33, \"10 mm\")", "Share({}, \"10 mm\")")], 0.1, 0.58),
    (
        "ground under a short line, m",
        SHORT,
        &[("(\"1.6 m\", \"-19 m\"), (\"26.6 m\", \"-22 m\")", "(\"1.6 m\", \"{} m\"), (\"26.6 m\", \"{} m\")")],
        -14.0,
        -2.0,
    ),
];
/// Steps of each.
const STEPS: u32 = 8;

/// Where numbers of plans have edges: each is drawn through its range, and what comes and goes is held — rules, verdicts,
/// and how far each row is from what is asked of it, as one figure. What moves an edge, in a rule or in a strength, shows.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn edges_are_as_stored() {
    drawn("edges-1", SWEEPS.iter().step_by(2));
}

/// The other half, so that two threads share them.
#[test]
#[ignore = "long: `cargo test reviewed -- --ignored`"]
fn other_edges_are_as_stored() {
    drawn("edges-2", SWEEPS.iter().skip(1).step_by(2));
}

fn drawn<'a>(half: &str, sweeps: impl Iterator<Item = &'a Sweep>) {
    let mut out = String::from(
        "# What this program said while one number went through its range; stored anew by STORE_REVIEWED=1, see tests/suite/reviewed.rs.\n",
    );
    for (name, base, changes, from, to) in sweeps {
        writeln!(out, "sweep {name}").expect("into text");
        let (mut before, mut rigs): (BTreeSet<String>, u32) = (BTreeSet::new(), 0);
        for k in 0..=STEPS {
            let value = from + (to - from) * f64::from(k) / f64::from(STEPS);
            let figure = format!("{value:.4}");
            let mut text = (*base).to_owned();
            for (old, new) in *changes {
                assert!(text.contains(old), "{name}: the plan does not hold “{old}”");
                text = text.replacen(old, &new.replace("{}", &figure), 1);
            }
            let file = PlanFile::parse(name, text).unwrap_or_else(|e| panic!("{}", e.show(name)));
            let Some(review) = file.is_sound().then(|| Desk::open(&file).ok()).flatten().map(|d| d.review()) else {
                writeln!(out, "{figure} is no rig").expect("into text");
                continue;
            };
            let now: BTreeSet<String> = review.findings.iter().map(|f| format!("{} at {}", f.rule, f.at)).collect();
            let come = now.difference(&before).map(|f| format!(" +{f};"));
            let gone = before.difference(&now).map(|f| format!(" -{f};"));
            let changes: String = come.chain(gone).collect();
            let margins = review.rows.iter().filter(|r| !r.is_height() && r.factor.is_finite() && r.factor > 0.0);
            let verdicts = ["meets", "unrated", "below", "unsolved"]
                .map(|v| review.rows.iter().filter(|r| r.verdict.word() == v).count().to_string());
            let far = n(sum(margins.map(|r| r.margin().ln())));
            writeln!(out, "{figure} {} margins {far}{changes}", verdicts.join("/")).expect("into text");
            before = now;
            rigs += 1;
        }
        assert!(rigs + 1 >= STEPS, "{name}: {rigs} rigs");
    }
    let path = folder().join(format!("{half}.txt"));
    if std::env::var_os("STORE_REVIEWED").is_some() {
        std::fs::write(&path, out).expect("stored");
        return;
    }
    let differ = differences(&out, &std::fs::read_to_string(&path).unwrap_or_default());
    assert!(
        differ.is_empty(),
        "{} lines differ from {}\n{}",
        differ.len(),
        path.display(),
        differ[..differ.len().min(6)].join("\n")
    );
}
