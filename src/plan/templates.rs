//! Whole plans from a few questions: anchors as riggers build them, a line, a backup, a leash. Everything that was not
//! asked is an assumption, and says so in the plan's own text.

use std::fmt::Write as _;

use super::model::Side;
use super::sighted::Shot;
use crate::mechanics::G;
use crate::units::{self, Dim, Quantity as _};

/// An anchor as riggers build it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AnchorKind {
    /// Two bolts, legs cut to fit.
    TwoBolts,
    /// Two bolts, one sling that adjusts itself.
    TwoBoltsSliding,
    /// Three bolts, legs cut to fit.
    ThreeBolts,
    /// Three bolts, one sling that adjusts itself.
    ThreeBoltsSliding,
    /// Four bolts in two tiers.
    FourBolts,
    /// One thick tree.
    OneTree,
    /// Two trees.
    TwoTrees,
    /// A boulder and a bolt behind it.
    Boulder,
    /// Two threads.
    Threads,
    /// Two deadmen.
    Deadmen,
    /// Three vehicles.
    Vehicles,
}

impl AnchorKind {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::TwoBolts,
        Self::TwoBoltsSliding,
        Self::ThreeBolts,
        Self::ThreeBoltsSliding,
        Self::FourBolts,
        Self::OneTree,
        Self::TwoTrees,
        Self::Boulder,
        Self::Threads,
        Self::Deadmen,
        Self::Vehicles,
    ];

    /// Its name for people and on the command line.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::TwoBolts => "two-bolts",
            Self::TwoBoltsSliding => "two-bolts-sliding",
            Self::ThreeBolts => "three-bolts",
            Self::ThreeBoltsSliding => "three-bolts-sliding",
            Self::FourBolts => "four-bolts",
            Self::OneTree => "one-tree",
            Self::TwoTrees => "two-trees",
            Self::Boulder => "boulder",
            Self::Threads => "threads",
            Self::Deadmen => "deadmen",
            Self::Vehicles => "vehicles",
        }
    }

    /// What it is.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::TwoBolts => "two bolts, legs cut to fit; a third bolt for the backup",
            Self::TwoBoltsSliding => "two bolts, one rope that adjusts itself; a third bolt for the backup",
            Self::ThreeBolts => "three bolts, legs cut to fit; a fourth bolt for the backup",
            Self::ThreeBoltsSliding => "three bolts, one rope that adjusts itself; a fourth bolt for the backup",
            Self::FourBolts => "four bolts in two tiers; a fifth bolt for the backup",
            Self::OneTree => "one thick tree, main and backup slung apart",
            Self::TwoTrees => "two trees; the backup on a third",
            Self::Boulder => "a boulder, and a bolt behind it for the backup",
            Self::Threads => "two threads; the backup on a third",
            Self::Deadmen => "two deadmen; the backup on a third",
            Self::Vehicles => "two vehicles; the backup on a third",
        }
    }

    /// How far behind the lip the first of what holds it is drawn, m.
    #[must_use]
    pub fn first_m(self) -> f64 {
        match self {
            Self::TwoBolts | Self::TwoBoltsSliding | Self::ThreeBolts | Self::ThreeBoltsSliding => 3.0,
            Self::FourBolts | Self::OneTree | Self::Boulder => 4.0,
            Self::TwoTrees | Self::Threads | Self::Deadmen | Self::Vehicles => 5.0,
        }
    }

    /// From its name.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.name() == name)
    }
}

/// The answers a plan is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// What to call it.
    pub title: String,
    /// Horizontal distance, m.
    pub span_m: f64,
    /// B above A, m.
    pub rise_m: f64,
    /// Anchors at A and B.
    pub anchors: [AnchorKind; 2],
    /// Item of the webbing.
    pub webbing: String,
    /// Standing tension, kN.
    pub standing_kn: f64,
    /// Whoever walks, with their gear, kg.
    pub walkers_kg: Vec<f64>,
    /// The ground: places from A along the gap, and heights over A, m; none where it is not known.
    pub ground_m: Vec<[f64; 2]>,
    /// Factors required while working, in a fall, and when a piece has failed.
    pub factors: [f64; 3],
    /// Item that the legs are spliced from.
    pub legs: String,
    /// Item of the bolts.
    pub bolts: String,
    /// What was sighted on a first visit; nothing where span and height difference were measured.
    pub scouted: Option<Visit>,
}

/// What was sighted on a first visit.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Visit {
    /// From A's lip to B's: along the slope, m, and upwards, rad.
    pub across: (f64, f64),
    /// The ground; empty where it is not known.
    pub below: Vec<Shot>,
    /// How far behind the lip the first anchor of A and of B is, m.
    pub behind_m: [Option<f64>; 2],
    /// The strongest wind to walk in, and that it stays up in, m/s.
    pub winds_m_per_s: Option<[f64; 2]>,
}

impl Visit {
    /// Where the sighted ground is: from A along the gap and over A, m.
    #[must_use]
    pub fn ground_m(&self, span_m: f64, rise_m: f64) -> Vec<[f64; 2]> {
        let mut all: Vec<[f64; 2]> = self.below.iter().map(|s| s.place_m(span_m, rise_m)).collect();
        all.sort_by(|a, b| a[0].total_cmp(&b[0]));
        all
    }

    /// Span and height difference, m.
    #[must_use]
    pub fn gap_m(&self) -> [f64; 2] {
        let (d, s) = self.across;
        [d * s.cos(), d * s.sin()]
    }
}

impl Default for Answers {
    fn default() -> Self {
        Self {
            title: "New plan".to_owned(),
            span_m: 50.0,
            rise_m: 0.0,
            anchors: [AnchorKind::ThreeBolts, AnchorKind::TwoTrees],
            webbing: "webbing-polyester-sheathed-25".to_owned(),
            standing_kn: 2.5,
            walkers_kg: vec![80.0],
            ground_m: Vec::new(),
            factors: [5.0, 3.0, 2.0],
            legs: "hmpe-8".to_owned(),
            bolts: "bolt-glued-12".to_owned(),
            scouted: None,
        }
    }
}

impl Answers {
    /// The ground as the picture of the gap has it, m.
    #[must_use]
    pub fn ground_so_far_m(&self) -> Vec<[f64; 2]> {
        self.scouted.as_ref().map_or_else(|| self.ground_m.clone(), |v| v.ground_m(self.span_m, self.rise_m))
    }

    /// About how low the heaviest walker hangs in the middle, m: the triangle of its weight and the standing tension, W L / 4 T;
    /// the line pulls harder then, so this is the deepest.
    #[must_use]
    pub fn about_sag_m(&self) -> f64 {
        let walker_n = self.walkers_kg.iter().copied().fold(0.0, f64::max) * G;
        (walker_n * self.span_m / (4.0 * 1e3 * self.standing_kn)).min(0.3 * self.span_m)
    }
}

/// Three factors as typed: while working, in a fall, when a piece has failed.
///
/// # Errors
/// When they are not three numbers above zero.
pub fn factors(text: &str) -> Result<[f64; 3], String> {
    let numbers: Vec<f64> = text
        .split([',', ' '])
        .filter(|t| !t.is_empty())
        .map(|t| t.parse::<f64>().ok().filter(|f| f.is_finite() && *f > 0.0))
        .collect::<Option<_>>()
        .unwrap_or_default();
    numbers.try_into().map_err(|_| "three numbers above zero are wanted, such as 5, 3, 2".to_owned())
}

/// A number, with its unit or without, in one that suits; nothing where it is none.
fn figure(text: &str, dim: Dim, unit: &str) -> Option<f64> {
    let text = text.trim();
    let text = if text.parse::<f64>().is_ok() { format!("{text} {unit}") } else { text.to_owned() };
    units::parse(&text, dim).ok()
}

/// Walkers as people say them, kg: 80 kg and 65 kg.
///
/// # Errors
/// What to type.
pub fn walkers(text: &str) -> Result<Vec<f64>, String> {
    let parts = text.replace(" and ", ",").replace('&', ",");
    let parts = parts.split([',', ';']).map(str::trim).filter(|t| !t.is_empty());
    let all: Option<Vec<f64>> = parts.map(|t| figure(t, Dim::Mass, "kg").filter(|kg| *kg > 0.0)).collect();
    all.filter(|a| !a.is_empty()).ok_or_else(|| "who walks, each with their gear: 80 kg and 65 kg".to_owned())
}

/// The ground as people say it, in m: places from A and heights over it, as “2 -1, 4 -22, 46 25 down”; in order from A to B.
///
/// # Errors
/// What to type.
pub fn ground(text: &str) -> Result<Vec<[f64; 2]>, String> {
    let wanted = || "from A and height, place by place: -3 -0.5, 4 -22, 46 25 down; or not known".to_owned();
    if ["", "none", "not known"].contains(&text.trim()) {
        return Ok(Vec::new());
    }
    let place = |t: &str| {
        let down = ["down", "below"].iter().any(|w| t.contains(w));
        let t = ["down", "below", "up", "above"].iter().fold(t.to_owned(), |t, w| t.replace(w, ""));
        // A unit belongs to the figure before it.
        let mut figures: Vec<String> = Vec::new();
        for word in t.split_whitespace() {
            match figures.last_mut() {
                Some(last) if word.starts_with(char::is_alphabetic) => *last += &format!(" {word}"),
                _ => figures.push(word.to_owned()),
            }
        }
        let [x, z] = figures.as_slice() else { return None };
        let [x, z] = [figure(x, Dim::Length, "m")?, figure(z, Dim::Length, "m")?];
        Some([x, if down { -z.abs() } else { z }])
    };
    let all: Option<Vec<[f64; 2]>> = text.split([',', ';']).filter(|t| !t.trim().is_empty()).map(place).collect();
    let mut all = all.ok_or_else(wanted)?;
    all.sort_by(|a, b| a[0].total_cmp(&b[0]));
    if all.len() < 2 {
        return Err("two places at the least: a profile has two ends".to_owned());
    }
    if all.windows(2).any(|w| w[1][0] - w[0][0] < 1e-6) {
        return Err("two heights at one place: give the one of them a centimetre more".to_owned());
    }
    Ok(all)
}

/// A distance and a slope as people say them: 63 m at 2.5 deg, 38 62 down.
fn sighting(text: &str) -> Option<(f64, f64)> {
    let down = ["down", "below"].iter().any(|w| text.contains(w));
    let text = ["down", "below", "up", "at", "deg", "°"].iter().fold(text.to_owned(), |t, w| t.replace(w, " "));
    let words: Vec<&str> = text.split_whitespace().collect();
    let (slope, distance) = words.split_last()?;
    let distance_m = figure(&distance.join(" "), Dim::Length, "m").filter(|d| *d > 0.0)?;
    let slope: f64 = slope.parse().ok()?;
    let slope = if down { -slope.abs() } else { slope };
    (slope.abs() < 90.0).then_some((distance_m, slope.to_radians()))
}

/// From A's lip to B's as it was sighted: a distance, m, and a slope, rad.
///
/// # Errors
/// What to type.
pub fn across(text: &str) -> Result<(f64, f64), String> {
    let steep = |(d, s): &(f64, f64)| d * s.cos() < 1.0;
    let seen = sighting(text).filter(|s| !steep(s));
    seen.ok_or_else(|| "distance and slope from lip to lip: 63 m at 2.5 deg; below A is minus".to_owned())
}

/// The ground sighted down from the lips, place by place; from A's lip until it says B.
///
/// # Errors
/// What to type.
pub fn below(text: &str) -> Result<Vec<Shot>, String> {
    if ["", "none", "not known"].contains(&text.trim()) {
        return Ok(Vec::new());
    }
    let mut from = Side::A;
    let mut place = |t: &str| {
        let t = t.trim();
        let (side, rest) = match t.split_at_checked(1) {
            Some(("A" | "a", rest)) => (Side::A, rest),
            Some(("B" | "b", rest)) => (Side::B, rest),
            _ => (from, t),
        };
        from = side;
        let (distance_m, slope_rad) = sighting(rest)?;
        (slope_rad <= 0.0).then(|| Shot::new(from, distance_m, slope_rad))
    };
    let all: Option<Vec<Shot>> = text.split([',', ';']).filter(|t| !t.trim().is_empty()).map(&mut place).collect();
    all.ok_or_else(|| {
        "distance and slope down from a lip, place by place: 38 m at -62, 52 41 down, B 20 -70; or not known".to_owned()
    })
}

/// Two winds as typed, m/s: the strongest to walk in, and that it stays up in.
///
/// # Errors
/// What to type.
pub fn winds(text: &str) -> Result<[f64; 2], String> {
    let all: Option<Vec<f64>> =
        text.split([',', ';']).map(|t| figure(t, Dim::Velocity, "m/s").filter(|v| *v >= 0.0)).collect();
    let two = all.and_then(|v| <[f64; 2]>::try_from(v).ok()).filter(|[walk, storm]| walk <= storm);
    two.ok_or_else(|| "two speeds, the second not under the first: 8, 20 m/s".to_owned())
}

const SPLICED: &str = "ends: (Spliced(thimble: true), Spliced())";

struct Built {
    points: String,
    runs: String,
}

impl Built {
    fn point(&mut self, text: &str) {
        let _ = writeln!(self.points, "        {text}");
    }

    fn run(&mut self, text: &str) {
        let _ = writeln!(self.runs, "        {text}");
    }
}

fn side_of(b: &mut Built, side: Side, a: &Answers) {
    let (kind, slope) = (a.anchors[side as usize], a.rise_m / a.span_m);
    let s = format!("{side:?}");
    // Behind A is towards smaller x; the line's slope is carried on behind it, so that legs and line pull straight.
    let sign = if side == Side::A { -1.0 } else { 1.0 };
    let place = |back: f64, aside: f64| {
        format!("(\"{:.2} m\", \"{aside:.2} m\", \"{:.2} m\")", sign * back + 0.0, sign * back * slope + 0.0)
    };
    // How far behind the lip the first of them stands was said, or is as drawn here.
    let first = kind.first_m();
    let further = a.scouted.as_ref().and_then(|v| v.behind_m[side as usize]).map_or(0.0, |m| m - first);
    let fixed = |b: &mut Built, name: &str, back: f64, aside: f64, by: &str| {
        let back = back + further;
        b.point(&format!(
            "\"{s} {name}\": Fixed(side: {s}, at: {}, by: {by}, note: \"place assumed\"),",
            place(back, aside)
        ));
    };
    let bolt = &format!("Bolt(item: \"{}\", faces: (0.0, 0.0, 1.0))", a.bolts);
    let leg = |b: &mut Built, name: &str, from: &str, to: &str, first: &str| {
        b.run(&format!(
            "\"{s} {name}\": Run(from: \"{s} {from}\", to: \"{s} {to}\", parts: [{first}, Part(item: \"{}\", length: Fit(), {SPLICED})]),",
            a.legs
        ));
    };
    let link = "Part(item: \"quick-link-12\")";
    let slung = |around: f64| {
        format!(
            "Part(item: \"round-sling-2t\", length: \"{around:.1} m\", hitch: Basket), Part(item: \"bow-shackle-3t\")"
        )
    };
    b.point(&format!("\"{s} master\": Free(side: {s}, near: {}, hardware: \"master-ring\"),", place(0.0, 0.0)));
    b.point(&format!(
        "\"{s} backup master\": Free(side: {s}, near: {}, hardware: \"bow-shackle-5t\"),",
        place(0.4, 0.0)
    ));
    match kind {
        AnchorKind::TwoBolts | AnchorKind::TwoBoltsSliding | AnchorKind::ThreeBolts | AnchorKind::ThreeBoltsSliding => {
            let spots: &[(f64, f64)] = match kind {
                AnchorKind::TwoBolts | AnchorKind::TwoBoltsSliding => &[(3.0, 0.8), (3.0, -0.8)],
                _ => &[(3.0, 1.0), (3.2, 0.0), (3.0, -1.0)],
            };
            for (i, (back, aside)) in spots.iter().enumerate() {
                fixed(b, &format!("bolt {}", i + 1), *back, *aside, bolt);
            }
            if matches!(kind, AnchorKind::TwoBoltsSliding | AnchorKind::ThreeBoltsSliding) {
                let over = (1..=spots.len())
                    .map(|i| format!("\"{s} bolt {i}\", \"{s} master\""))
                    .collect::<Vec<_>>()
                    .join(", ");
                b.run(&format!(
                    "\"{s} fan\": Loop(through: [{over}], parts: [Part(item: \"static-rope-11\", length: Fit(tolerance: \"50 mm\"), ends: (Knotted(knot: \"double-fisherman\"), Knotted(knot: \"double-fisherman\")))]),"
                ));
            } else {
                for i in 1..=spots.len() {
                    leg(b, &format!("leg {i}"), &format!("bolt {i}"), "master", link);
                }
            }
            fixed(b, "backup bolt", 4.2, 0.3, bolt);
            leg(b, "backup leg 1", "backup bolt", "backup master", link);
            leg(b, "backup leg 2", "bolt 1", "backup master", link);
        }
        AnchorKind::FourBolts => {
            for (i, aside) in [1.4, 0.5, -0.5, -1.4].into_iter().enumerate() {
                fixed(b, &format!("bolt {}", i + 1), 4.0, aside, bolt);
            }
            for (name, aside) in [("left", 0.5), ("right", -0.5)] {
                b.point(&format!(
                    "\"{s} {name}\": Free(side: {s}, near: {}, hardware: \"bow-shackle-5t\"),",
                    place(0.4 * (first + further), aside)
                ));
            }
            for (i, to) in ["left", "left", "right", "right"].into_iter().enumerate() {
                leg(b, &format!("leg {}", i + 1), &format!("bolt {}", i + 1), to, link);
            }
            for name in ["left", "right"] {
                b.run(&format!(
                    "\"{s} {name} upper\": Run(from: \"{s} {name}\", to: \"{s} master\", parts: [Part(item: \"round-sling-2t\", length: Fit())]),"
                ));
            }
            fixed(b, "backup bolt", 5.4, 0.2, bolt);
            leg(b, "backup leg 1", "backup bolt", "backup master", link);
            leg(b, "backup leg 2", "bolt 2", "backup master", link);
        }
        AnchorKind::OneTree => {
            fixed(b, "tree", 4.0, 0.0, "Tree(diameter: \"60 cm\", slung_at: \"0.4 m\")");
            leg(b, "leg 1", "tree", "master", &slung(3.0));
            leg(b, "backup leg", "tree", "backup master", &slung(3.5));
        }
        AnchorKind::Boulder => {
            fixed(b, "boulder", 4.0, 0.0, "Boulder(diameter: \"1 m\")");
            fixed(b, "backup bolt", 6.0, 0.2, bolt);
            leg(b, "leg 1", "boulder", "master", &slung(4.5));
            leg(b, "backup leg", "backup bolt", "backup master", link);
        }
        AnchorKind::TwoTrees | AnchorKind::Threads | AnchorKind::Deadmen | AnchorKind::Vehicles => {
            let (name, by) = match kind {
                AnchorKind::TwoTrees => ("tree", "Tree(diameter: \"50 cm\", slung_at: \"0.4 m\")"),
                AnchorKind::Threads => ("thread", "Thread(diameter: \"40 cm\")"),
                AnchorKind::Deadmen => ("deadman", "Deadman(diameter: \"30 cm\")"),
                _ => ("vehicle", "Vehicle(diameter: \"20 cm\")"),
            };
            for (i, (back, aside)) in [(5.0, 1.2), (5.0, -1.2), (6.5, 0.1)].into_iter().enumerate() {
                fixed(b, &format!("{name} {}", i + 1), back, aside, by);
            }
            for i in 1..=2 {
                leg(b, &format!("leg {i}"), &format!("{name} {i}"), "master", &slung(3.0));
            }
            leg(b, "backup leg", &format!("{name} 3"), "backup master", &slung(3.5));
        }
    }
}

/// Where anchors of a first draft stand, nobody has measured, m.
const NOT_ASKED_M: f64 = 0.5;

/// What a visit says of the site, and what it leaves assumed; both empty without one.
fn visited(a: &Answers, b: &Built) -> (String, String) {
    let Some(visit) = &a.scouted else { return Default::default() };
    let shots = visit.below.iter().map(|s| {
        let side = if s.side == Side::B { "side: B, " } else { "" };
        let (distance_m, slope_deg) = (s.distance.si(), s.slope.si().to_degrees());
        format!("Shot({side}distance: \"{distance_m} m\", slope: \"{slope_deg:.2} deg\")")
    });
    let air = visit
        .winds_m_per_s
        .map_or_else(String::new, |[walk, storm]| format!(", air: Air(wind: \"{walk} m/s\", storm: \"{storm} m/s\")"));
    let seen = format!(
        ", measured: \"laser and clinometer from A's lip\", shots: [{}]{air}",
        shots.collect::<Vec<_>>().join(", ")
    );
    let [along, up] = Shot::new(Side::A, visit.across.0, visit.across.1).within_m();
    let mut assumed = format!(
        "    assumed: {{\n        \"site.span\": Assumed(within: \"{along:.2} m\", why: \"a laser by hand\"),\n        \"site.height_difference\": Assumed(within: \"{up:.2} m\", why: \"a clinometer by hand\"),\n"
    );
    for name in b.points.lines().filter(|l| l.contains(": Fixed(")).filter_map(|l| l.trim().split('"').nth(1)) {
        assumed +=
            &format!("        \"points.{name}.at\": Assumed(within: \"{NOT_ASKED_M} m\", why: \"not asked yet\"),\n");
    }
    (seen, assumed + "    },\n")
}

/// The text of a plan.
#[must_use]
pub fn plan_text(a: &Answers) -> String {
    let mut b = Built { points: String::new(), runs: String::new() };
    for side in [Side::A, Side::B] {
        side_of(&mut b, side, a);
    }
    let [working, fall, failure] = a.factors;
    // Every kind that differs from the rest is written out, so that nothing is asked for unseen; none more than the rig.
    let kinds = [
        ("Anchor", [working.min(3.0), fall, failure]),
        ("Soft", [working, fall, failure]),
        ("Backup", [working, fall, failure]),
        ("Leash", [working, fall, failure]),
    ];
    let by_kind = kinds.map(|(kind, [w, f, x])| format!("{kind}: (working: {w:?}, fall: {f:?}, failure: {x:?})"));
    let by_kind = by_kind.join(", ");
    let title = a.title.replace(['\\', '"'], "");
    let walkers: Vec<String> = a.walkers_kg.iter().map(|kg| format!("\"{kg} kg\"")).collect();
    let walkers = walkers.join(", ");
    let ground: Vec<String> = a.ground_m.iter().map(|[x, z]| format!("(\"{x} m\", \"{z} m\")")).collect();
    let ground = if ground.is_empty() { String::new() } else { format!(", ground: [{}]", ground.join(", ")) };
    let (seen, assumed) = visited(a, &b);
    let ground = ground + &seen;
    let [span_m, rise_m] =
        a.scouted.as_ref().map_or([a.span_m, a.rise_m], |v| v.gap_m().map(|m| (100.0 * m).round() / 100.0));
    format!(
        "// Made from a few answers. What was not asked is assumed: places of anchors, sizes of trees and blocks, tails,\n\
         // the weather. Measure, correct, and declare what no geometry shows. A planning aid: it replaces neither a\n\
         // competent rigger on site, nor the makers' instructions, nor local codes.\n\
         Plan(\n    format: 1,\n    title: \"{title}\",\n    site: Site(span: \"{} m\", height_difference: \"{} m\"{ground}),\n    \
         people: People(walkers: [{walkers}], leash: \"leash\", seated: (\"4 m\", \"4 m\")),\n{assumed}    \
         factors: Factors(working: {working:?}, fall: {fall:?}, failure: {failure:?}, by_kind: {{{by_kind}}}),\n    \
         points: {{\n{}    }},\n    runs: {{\n{}\
         \x20       \"main\": Run(role: Main, from: \"A master\", to: \"B master\", parts: [\n\
         \x20           Part(item: \"bow-shackle-3t\"),\n            Part(item: \"webbing-lock\"),\n\
         \x20           Part(item: \"{w}\", length: Solve(standing: \"{t} kN\", at: A), ends: (Locked(tail: \"1 m\"), Locked(tail: \"1 m\"))),\n\
         \x20           Part(item: \"webbing-lock\"),\n            Part(item: \"bow-shackle-3t\"),\n        ]),\n\
         \x20       \"backup\": Run(role: Backup(of: \"main\", excess: \"4 %\", connected: AtEnds), from: \"A backup master\", to: \"B backup master\", parts: [\n\
         \x20           Part(item: \"webbing-lock\"),\n\
         \x20           Part(item: \"{w}\", ends: (Locked(tail: \"1 m\"), Locked(tail: \"1 m\"))),\n\
         \x20           Part(item: \"webbing-lock\"),\n        ]),\n\
         \x20       \"leash\": Run(role: Leash, parts: [\n\
         \x20           Part(item: \"leash-dynamic\", length: \"1.3 m\", ends: (Sewn, Sewn)),\n\
         \x20           Part(item: \"leash-ring\"),\n            Part(item: \"leash-ring\"),\n        ]),\n    }},\n    declared: {{}},\n)\n",
        span_m,
        rise_m,
        b.points,
        b.runs,
        w = a.webbing,
        t = a.standing_kn
    )
}
