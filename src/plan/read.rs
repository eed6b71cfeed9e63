//! From a checked document to the model. What the check refused is simply absent here.

use indexmap::IndexMap;

use super::model::{
    Air, Aside, At, Block, Colour, Condition, Connected, Declared, End, EndKind, FactorSet, Factors, Gate, Hitch, Hold,
    Obstacle, Over, OwnCase, Part, PartLength, People, Plan, Point, PointKind, Remark, Role, Run, Seat, Side, Site,
    Speeds, SpliceStyle, Target, Ties,
};
use super::read_trip::{at_step, claim, crew, crossing, day, rescue, stay, tie};
use super::tensioning::Tensioning;
use crate::catalogue::{Rating, read_own};
use crate::document::{Node, Reader};
use crate::units::{Force, Length, Mass, Quantity, Ratio, Temperature, Velocity};

/// Reads a plan.
pub(super) fn plan(root: &Node) -> Plan {
    let r = Reader(root);
    Plan {
        title: r.words("title"),
        note: r.words("note"),
        site: r.get("site").map_or_else(|| site(r), site),
        scouting: super::sighted::Scouting {
            stands: map(r.get("stands"), super::sighted::stand),
            assumed: map(r.get("assumed"), super::sighted::assumed),
            shots: list(r.get("site").and_then(|s| s.get("shots")), super::sighted::shot),
        },
        people: people(r.get("people")),
        factors: factors(r.get("factors")),
        points: map(r.get("points"), point),
        runs: map(r.get("runs"), run),
        items: read_own(r.get("items")),
        tensioning: r.get("tensioning").and_then(tensioning),
        days: list(r.get("days"), day),
        crossing: r.get("crossing").map(crossing),
        rescue: r.get("rescue").map(rescue),
        ties: map(r.get("ties"), tie),
        work: map(r.get("work"), at_step),
        stay: r.get("stay").map(stay),
        crew: r.get("crew").map(crew),
        claims: r
            .get("claims")
            .map(Reader::items)
            .unwrap_or_default()
            .iter()
            .filter_map(|c| claim(Reader(c)))
            .collect(),
        cases: list(r.get("cases"), own_case),
        declared: map(r.get("declared"), declared),
        set_aside: map(r.get("set_aside"), asides),
        remarks: list(r.get("remarks"), remark),
    }
}

fn map<T>(r: Option<Reader<'_>>, f: impl Fn(Reader<'_>) -> T) -> IndexMap<String, T> {
    r.map(Reader::entries).unwrap_or_default().iter().map(|e| (e.key.clone(), f(Reader(&e.value)))).collect()
}

pub(super) fn list<T>(r: Option<Reader<'_>>, f: impl Fn(Reader<'_>) -> T) -> Vec<T> {
    r.map(Reader::items).unwrap_or_default().iter().map(|n| f(Reader(n))).collect()
}

pub(super) fn metres(v: f64) -> Length {
    Length::from_si(v)
}

fn place(r: Option<Reader<'_>>) -> [Length; 3] {
    let at = |i| r.and_then(|r| r.at(i)).and_then(Reader::quantity).unwrap_or(metres(0.0));
    [at(0), at(1), at(2)]
}

pub(super) fn vector(r: Option<Reader<'_>>) -> Option<[f64; 3]> {
    let r = r?;
    Some([r.at(0)?.number()?, r.at(1)?.number()?, r.at(2)?.number()?])
}

fn site(r: Reader<'_>) -> Site {
    let air = r.get("air");
    let t = |k: &str| air.and_then(|a| a.q::<Temperature>(k));
    let v = |k: &str, or: f64| air.and_then(|a| a.q::<Velocity>(k)).unwrap_or(Velocity::from_si(or));
    let rigged_at = t("rigged_at").unwrap_or(Temperature::from_si(288.15));
    let label = |k: &str, or: &str| Some(r.words(k)).filter(|w| !w.is_empty()).unwrap_or_else(|| or.to_owned());
    Site {
        span: r.q("span").unwrap_or(metres(0.0)),
        height_difference: r.q("height_difference").unwrap_or(metres(0.0)),
        bearing: r.q("bearing"),
        ground: ground(r),
        obstacles: map(r.get("obstacles"), |o| {
            let at = |k: &str| o.q(k).unwrap_or(metres(0.0));
            Obstacle { from: at("from"), to: at("to"), top: at("top") }
        }),
        air: Air {
            rigged_at,
            coldest: t("coldest").unwrap_or(Temperature::from_si(rigged_at.si() - 10.0)),
            warmest: t("warmest").unwrap_or(Temperature::from_si(rigged_at.si() + 20.0)),
            wind: v("wind", 10.0),
            storm: v("storm", 25.0),
            speeds: match air.and_then(|a| a.get("speeds")).map(Reader::name) {
                Some("Gust") => Speeds::Gust,
                _ => Speeds::Mean,
            },
        },
        measured: r.words("measured"),
        labels: [label("label_a", "A"), label("label_b", "B")],
    }
}

/// The profile as given, with what was sighted down from the lips.
fn ground(r: Reader<'_>) -> Vec<(Length, Length)> {
    let mut ground = list(r.get("ground"), |p| {
        let at = |i| p.at(i).and_then(Reader::quantity).unwrap_or(metres(0.0));
        (at(0), at(1))
    });
    let gap = ["span", "height_difference"].map(|k| r.q(k).unwrap_or(metres(0.0)));
    let shots = list(r.get("shots"), |s| super::sighted::shot(s).place_m(gap[0].si(), gap[1].si()).map(metres));
    if !shots.is_empty() {
        ground.extend(shots.into_iter().map(|[x, z]| (x, z)));
        ground.sort_by(|a, b| a.0.si().total_cmp(&b.0.si()));
    }
    ground
}

/// Largest load of bouncing over body weight: the middle of 2 to 3.5. Common practice, no source.
const BOUNCE: f64 = 2.75;

fn people(r: Option<Reader<'_>>) -> People {
    let n = |k: &str| r.and_then(|r| r.n(k));
    let mut walkers: Vec<Mass> =
        list(r.and_then(|r| r.get("walkers")), |m| m.quantity().unwrap_or(Mass::from_si(80.0)));
    if walkers.is_empty() {
        walkers.push(Mass::from_si(80.0));
    }
    People {
        walkers,
        leash: r.and_then(|r| r.get("leash")).and_then(Reader::text),
        bounce: n("bounce").unwrap_or(BOUNCE),
        drag_area_m2: n("drag_area_m2").unwrap_or(0.7),
        together: n("together").map_or(2, |t| t as usize),
        tie_in: r.and_then(|r| r.q("tie_in")).unwrap_or(Length::from_si(1.0)),
        body_below: r.and_then(|r| r.q("body_below")).unwrap_or(Length::from_si(1.2)),
        seated: [0, 1].map(|k| {
            let from = r.and_then(|r| r.get("seated")?.at(k)).and_then(Reader::quantity);
            from.unwrap_or(metres(0.0))
        }),
    }
}

fn factor_set(r: Option<Reader<'_>>) -> FactorSet {
    let n = |k: &str| r.and_then(|r| r.n(k));
    FactorSet { working: n("working"), fall: n("fall"), failure: n("failure") }
}

fn factors(r: Option<Reader<'_>>) -> Factors {
    let clearance = r.and_then(|r| r.get("clearance")).map_or_else(Over::default, |c| {
        let usual = Over::default();
        Over {
            least: c.q("least").unwrap_or(usual.least),
            of_sag: c.q::<Ratio>("of_sag").map_or(usual.of_sag, Quantity::si),
        }
    });
    let by_kind = map(r.and_then(|r| r.get("by_kind")), |f| factor_set(Some(f)));
    Factors { all: factor_set(r), by_kind, clearance }
}

pub(super) fn side(r: Option<Reader<'_>>) -> Side {
    if r.map(Reader::name) == Some("B") { Side::B } else { Side::A }
}

fn gate(r: Option<Reader<'_>>) -> Gate {
    match r.map(Reader::name) {
        Some("Unlocked") => Gate::Unlocked,
        Some("Open") => Gate::Open,
        _ => Gate::Locked,
    }
}

fn block(r: Reader<'_>) -> Block {
    Block {
        rating: r.get("rating").and_then(Rating::read),
        diameter: r.q("diameter"),
        mass: r.q("mass"),
        friction: r.n("friction"),
        slope: r.q("slope"),
        base: r.q("base"),
        pulled_at: r.q("pulled_at"),
        centre: r.q("centre"),
    }
}

fn hold(r: Reader<'_>) -> Hold {
    match r.name() {
        "Bolt" => Hold::Bolt { item: r.words("item"), faces: vector(r.get("faces")) },
        "Tree" => Hold::Tree {
            diameter: r.q("diameter").unwrap_or(metres(0.0)),
            rating: r.get("rating").and_then(Rating::read),
            slung_at: r.q("slung_at"),
        },
        "Boulder" => Hold::Boulder(block(r)),
        "Thread" => Hold::Thread(block(r)),
        "Deadman" => Hold::Deadman(block(r)),
        "Vehicle" => Hold::Vehicle(block(r)),
        "Edge" => {
            let roller = r.get("roller").and_then(Reader::flag).unwrap_or(false);
            Hold::Edge {
                friction: r.n("friction").unwrap_or(if roller { 0.1 } else { 0.3 }),
                roller,
                outward: vector(r.get("outward")).unwrap_or([0.0, 0.0, 1.0]),
                radius: r.q("radius"),
                item: r.get("item").and_then(Reader::text),
            }
        }
        "Frame" => Hold::Frame(super::frame::frame(r)),
        _ => Hold::Strength(r.at(0).and_then(Rating::read)),
    }
}

fn point(r: Reader<'_>) -> Point {
    let kind = if r.name() == "Fixed" {
        let at = match r.get("at") {
            Some(s) if s.name() == "Sighted" => super::sighted::sighted(s),
            other => At::Place(place(other)),
        };
        PointKind::Fixed { at, by: r.get("by").map_or(Hold::Strength(None), hold), stiffness: r.q("stiffness") }
    } else {
        PointKind::Free { near: place(r.get("near")), friction: r.n("friction") }
    };
    Point {
        side: side(r.get("side")),
        kind,
        hardware: r.get("hardware").and_then(Reader::text),
        gate: gate(r.get("gate")),
        note: r.words("note"),
    }
}

fn ties(r: Option<Reader<'_>>) -> Ties {
    match r {
        Some(t) if t.name() == "Apart" => {
            Ties::Apart { main: t.words("main"), backup: t.words("backup"), together: t.words("together") }
        }
        other => Ties::OnePiece(other.and_then(|t| t.at(0)).and_then(Reader::text).unwrap_or_default()),
    }
}

fn role(r: Option<Reader<'_>>) -> Role {
    let Some(r) = r else { return Role::Leg };
    match r.name() {
        "Guy" => Role::Guy,
        "Main" => Role::Main,
        "Leash" => Role::Leash,
        "Tensioning" => Role::Tensioning,
        "Backup" => Role::Backup {
            of: r.words("of"),
            excess: r.q::<Ratio>("excess").map_or(0.0, Quantity::si),
            connected: match r.get("connected") {
                Some(c) if c.name() == "EveryJoint" => Connected::EveryJoint(ties(c.get("ties"))),
                Some(c) if c.name() == "Joints" => Connected::Joints(
                    list(c.get("after"), |n| n.number().map_or(0, |v| v as usize)),
                    ties(c.get("ties")),
                ),
                _ => Connected::AtEnds,
            },
        },
        _ => Role::Leg,
    }
}

fn run(r: Reader<'_>) -> Run {
    let through: Vec<String> = list(r.get("through"), |p| p.text().unwrap_or_default());
    let closed = r.name() == "Loop";
    let path = if closed {
        through.iter().chain(through.first()).cloned().collect()
    } else {
        r.get("from")
            .and_then(Reader::text)
            .into_iter()
            .chain(through)
            .chain(r.get("to").and_then(Reader::text))
            .collect()
    };
    Run { role: role(r.get("role")), path, closed, parts: list(r.get("parts"), part), note: r.words("note") }
}

fn length(r: Option<Reader<'_>>) -> PartLength {
    let Some(r) = r else { return PartLength::Own };
    match r.name() {
        "Fit" => PartLength::Fit(r.q("tolerance")),
        "Taut" => PartLength::Taut(r.at(0).and_then(Reader::quantity).unwrap_or_default()),
        "Share" => {
            PartLength::Share(r.at(0).and_then(Reader::number).unwrap_or(0.5), r.at(1).and_then(Reader::quantity))
        }
        "Solve" => match (r.q("standing"), r.q("sag")) {
            (_, Some(sag)) => {
                PartLength::Solve(Target::Sag(sag, r.get("walker").and_then(Reader::flag).unwrap_or(true)))
            }
            (standing, None) => PartLength::Solve(Target::Standing(standing.unwrap_or_default(), side(r.get("at")))),
        },
        _ => r.quantity().map_or(PartLength::Own, PartLength::Is),
    }
}

fn end(r: Reader<'_>) -> End {
    let flag = |k: &str, or: bool| r.get(k).and_then(Reader::flag).unwrap_or(or);
    let kind = match r.name() {
        "Spliced" => EndKind::Spliced {
            bury: r.q("bury"),
            thimble: flag("thimble", false),
            tapered: flag("tapered", true),
            stitched: flag("stitched", true),
            style: match r.get("style").map(Reader::name) {
                Some("Locked") => SpliceStyle::Locked,
                Some("EndForEnd") => SpliceStyle::EndForEnd,
                Some("Adjustable") => SpliceStyle::Adjustable,
                Some("Tucked") => SpliceStyle::Tucked,
                _ => SpliceStyle::Straight,
            },
        },
        "Sewn" => EndKind::Sewn,
        "Locked" => EndKind::Locked { wraps: r.n("wraps"), tail: r.q("tail") },
        "Hitched" => EndKind::Hitched,
        "Made" => EndKind::Made,
        _ => EndKind::Knotted(r.words("knot")),
    };
    End { kind, keeps: r.n("keeps"), eye: r.q("eye") }
}

pub(super) fn part(r: Reader<'_>) -> Part {
    let share = |c: Option<Reader<'_>>, k: &str| c.and_then(|c| c.n(k)).unwrap_or(1.0);
    let c = r.get("condition");
    Part {
        item: r.words("item"),
        length: length(r.get("length")),
        ends: r.get("ends").and_then(|e| Some([end(e.at(0)?), end(e.at(1)?)])),
        hitch: match r.get("hitch") {
            Some(h) => match h.name() {
                "Doubled" => Hitch::Doubled,
                "Basket" => Hitch::Basket,
                "Choke" => Hitch::Choke,
                "Girth" => Hitch::Girth,
                "Wrap" => Hitch::Wrap(h.at(0).and_then(Reader::number).unwrap_or(1.0)),
                _ => Hitch::Straight,
            },
            None => Hitch::Straight,
        },
        tolerance: r.q("tolerance"),
        sits: match r.get("sits").map(Reader::name) {
            Some("Pin") => Some(Seat::Pin),
            Some("Bow") => Some(Seat::Bow),
            _ => None,
        },
        off_axis: r.q("off_axis"),
        gate: gate(r.get("gate")),
        piece: r.get("piece").and_then(Reader::text),
        serial: r.get("serial").and_then(Reader::text),
        condition: Condition {
            wet: c.and_then(|c| c.get("wet")).and_then(Reader::flag).unwrap_or(false),
            age: share(c, "age"),
            abrasion: share(c, "abrasion"),
            heat: share(c, "heat"),
        },
        colour: r.get("colour").and_then(|c| Colour::ALL.iter().find(|(id, _)| *id == c.name())).map(|c| c.1),
        tag: r.q("tag"),
        required: factor_set(r.get("required")),
        note: r.words("note"),
    }
}

fn tensioning(r: Reader<'_>) -> Option<Tensioning> {
    let of = |k: &str| r.get(k).and_then(Reader::text);
    let flag = |k: &str| r.get(k).and_then(Reader::flag).unwrap_or(false);
    Some(Tensioning {
        side: side(r.get("side")),
        at: of("at"),
        reeving: of("reeving")?,
        turned: flag("turned"),
        sheave: of("sheave")?,
        sheaves: r
            .get("sheaves")
            .map(Reader::items)
            .unwrap_or_default()
            .iter()
            .filter_map(|s| Reader(s).text())
            .collect(),
        rope: of("rope")?,
        grip: of("grip")?,
        capture: of("capture"),
        people: r.n("people").map_or(3, |n| n as usize),
        each: r.q("each").unwrap_or(Force::from_si(300.0)),
        distance: r.q("distance").unwrap_or(metres(6.0)),
        left_in: flag("left_in"),
        release: r.words("release"),
    })
}

fn own_case(r: Reader<'_>) -> OwnCase {
    OwnCase {
        name: r.words("name"),
        walkers: list(r.get("walkers"), |w| {
            (
                w.at(0).and_then(Reader::number).unwrap_or(0.5),
                w.at(1).and_then(Reader::quantity).unwrap_or(Mass::from_si(80.0)),
            )
        }),
        wind: r.q("wind"),
        temperature: r.q("temperature"),
    }
}

fn declared(r: Reader<'_>) -> Declared {
    let words = || r.at(0).and_then(Reader::text).unwrap_or_default();
    match r.name() {
        "Yes" => Declared::Yes(words()),
        "No" => Declared::No(words()),
        _ => Declared::Unknown,
    }
}

fn asides(r: Reader<'_>) -> Vec<Aside> {
    match r.text() {
        Some(reason) => vec![Aside { reason, ..Aside::default() }],
        None => list(r.at(0), |a| Aside {
            at: a.words("at"),
            reason: a.words("reason"),
            by: a.words("by"),
            date: a.words("date"),
        }),
    }
}

fn remark(r: Reader<'_>) -> Remark {
    Remark {
        at: r.words("at"),
        text: r.words("text"),
        by: r.words("by"),
        date: r.words("date"),
        state: r.get("state").map_or("Open", Reader::name).to_owned(),
    }
}
