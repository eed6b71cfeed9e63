//! From a checked document to the blocks of the trip.

use super::claims::{Claim, Figure};
use super::crew::{Ashore, Crew};
use super::crossing::{Brake, Carried, Crossing, Held, Stage};
use super::day::{Day, Event, Reading, Through};
use super::measured::Measured;
use super::read::{list, metres, part, side};
use super::rescue::{Drill, Rescue, RollsOn, TowRope};
use super::stay::{Forecast, Stay};
use super::tensioning::PulleySet;
use super::ties::{AtStep, Tie};
use crate::catalogue::{Rating, Surface};
use crate::document::Reader;
use crate::inventory::What;
use crate::mechanics::tow::Times;
use crate::units::{Force, Length, Mass, Quantity, Temperature, Time, Velocity};

/// Lips, hands and hand-tight until they are said: common practice, no source.
pub(super) fn crossing(r: Reader<'_>) -> Crossing {
    let surface = |k: &str, or: Surface| r.get(k).and_then(|s| Surface::named(s.name())).unwrap_or(or);
    let length = |h: Reader<'_>| h.at(0).and_then(Reader::quantity).unwrap_or(metres(0.0));
    let held = r.get("hold").map_or(Held::Sag(metres(0.0)), |h| match h.name() {
        "Clear" => Held::Clear(length(h)),
        "Brake" => Held::Brake(h.at(0).and_then(Reader::quantity).unwrap_or(Force::from_si(0.0))),
        _ => Held::Sag(length(h)),
    });
    Crossing {
        sends: side(r.get("sends")),
        held,
        wind: r.q("wind").unwrap_or(Velocity::from_si(0.0)),
        wet: r.get("wet").and_then(Reader::flag).unwrap_or(false),
        stages: list(r.get("stages"), |s| Stage {
            name: s.words("name"),
            by: s.words("by"),
            carried: match s.get("line") {
                Some(line) => Carried::Part(Box::new(part(line))),
                None => Carried::Runs(list(s.get("runs"), |n| n.text().unwrap_or_default())),
            },
            joint: s.get("joint").and_then(Reader::text),
            rings: s.n("rings").map_or(0, |n| n as usize),
            extra: s.q("extra").unwrap_or(Mass::from_si(0.0)),
        }),
        edges: [surface("edge_a", Surface::Carpet), surface("edge_b", Surface::Carpet)],
        lips: r.q("lips").unwrap_or(metres(4.0)),
        brake: r.n("brake_turns").map(|turns| Brake {
            turns,
            on: surface("brake_on", Surface::Steel),
            rating: r.get("brake_rating").and_then(Rating::read),
        }),
        people: r.n("people").map_or(2, |n| n as usize),
        each: r.q("each").unwrap_or(Force::from_si(300.0)),
        set: r.get("set").map(set),
        half_rigged: r.q("half_rigged").unwrap_or(Force::from_si(300.0)),
        release_cord: r.q("release_cord"),
        release_rating: r.get("release_rating").and_then(Rating::read),
    }
}

pub(super) fn day(r: Reader<'_>) -> Day {
    fn read<Q: Quantity + Copy>(r: Reader<'_>, key: &str) -> Option<Measured<Q>> {
        r.get(key).and_then(Measured::read)
    }
    Day {
        date: r.words("date"),
        by: r.words("by"),
        span: read(r, "span"),
        height_difference: r.q("height_difference"),
        temperature: r.q("temperature"),
        wind: r.q("wind"),
        read: list(r.get("read"), |r| Reading {
            after: r.q("after").unwrap_or(Time::from_si(0.0)),
            tension: read(r, "tension"),
            at: side(r.get("at")),
            sag: read(r, "sag"),
            pulse: read(r, "pulse"),
            walker: r.get("walker").and_then(|w| Some((w.at(0)?.number()?, Measured::read(w.at(1)?)?))),
            temperature: r.q("temperature"),
        }),
        through: r.get("through").and_then(|t| Some(Through { from: read(t, "from")?, length: read(t, "length")? })),
        legs: list(r.get("legs"), |l| Some((l.at(0)?.text()?, Measured::read(l.at(1)?)?)))
            .into_iter()
            .flatten()
            .collect(),
        tails: [read(r, "tail_a"), read(r, "tail_b")],
        up: r.q("up"),
        sun: r.q("sun"),
        falls: r.n("falls").map_or(0, |n| n as usize),
        hardest: r.q("hardest"),
        backup_catches: r.n("backup_catches").map_or(0, |n| n as usize),
        events: list(r.get("events"), event).into_iter().flatten().collect(),
        note: r.words("note"),
    }
}

fn event(r: Reader<'_>) -> Option<Event> {
    let what = if r.name() == "LookedOver" { What::Inspected } else { What::from_id(r.name())? };
    Some(Event { what, told: r.at(0)?.text()?, serial: r.at(1).and_then(Reader::text) })
}

/// Times, hands and what is kept until they are said: common practice, no source.
pub(super) fn rescue(r: Reader<'_>) -> Rescue {
    let seconds = |k: &str, or: f64| r.q::<Time>(k).map_or(or, Quantity::si);
    let speed = |k: &str, or: f64| r.q::<Velocity>(k).map_or(or, Quantity::si);
    let whole = |k: &str, or: usize| r.n(k).map_or(or, |n| n as usize);
    let on = if r.get("on").is_some_and(|o| o.name() == "Rings") { RollsOn::Rings } else { RollsOn::Roller };
    Rescue {
        ropes: list(r.get("ropes"), |t| TowRope {
            side: side(t.get("side")),
            rope: t.get("rope").map_or_else(|| part(t), part),
            kept: t.q("kept").unwrap_or(metres(5.0)),
        }),
        on,
        friction: r.n("friction").map_or(on.friction(), |n| [n, n]),
        roller: r.get("roller").and_then(Reader::text),
        hands: [whole("hands_a", 2), whole("hands_b", 2)],
        each: r.q("each").unwrap_or(Force::from_si(300.0)),
        set: r.get("set").map(set),
        lower: r.q("lower"),
        landing: list(r.get("landing"), |l| {
            let m = |k: usize| l.at(k).and_then(Reader::quantity).unwrap_or(metres(0.0));
            (m(0), m(1))
        }),
        times: Times {
            alarm_s: seconds("alarm", 60.0),
            kit_s: seconds("kit", 180.0),
            out_m_per_s: speed("out", 0.5),
            pick_up_s: seconds("pick_up", 240.0),
            tow_m_per_s: speed("tow", 0.25),
            over_s: seconds("over", 120.0),
        },
        drilled: r
            .get("drilled")
            .and_then(|d| Some(Drill { took: d.q("took")?, from: d.q("from")?, date: d.words("date") })),
        limit: r.q("limit").unwrap_or(Time::from_si(900.0)),
    }
}

fn set(r: Reader<'_>) -> PulleySet {
    PulleySet {
        reeving: r.words("reeving"),
        sheave: r.words("sheave"),
        rope: r.words("rope"),
        // Common practice, no source.
        drawn_out: r.q("drawn_out").unwrap_or(Length::from_si(4.0)),
    }
}

pub(super) fn stay(r: Reader<'_>) -> Stay {
    let date = |r: Reader<'_>, key: &str| r.words(key).parse().unwrap_or_default();
    let warm = |r: Reader<'_>, key: &str| r.q(key).unwrap_or(Temperature::from_si(0.0));
    let speed = |r: Reader<'_>, key: &str| r.q(key).unwrap_or(Velocity::from_si(0.0));
    Stay {
        from: date(r, "from"),
        pull_up: list(r.get("pull_up"), |t| t.quantity().unwrap_or(Time::from_si(0.0))),
        days: list(r.get("days"), |d| Forecast {
            date: date(d, "date"),
            low: warm(d, "low"),
            high: warm(d, "high"),
            wind: speed(d, "wind"),
            gust: speed(d, "gust"),
            rain: d.get("rain").and_then(Reader::flag).unwrap_or(false),
        }),
    }
}

/// Hours of an anchor and of a stage until they are said: common practice, no source.
pub(super) fn crew(r: Reader<'_>) -> Crew {
    let minutes = |k: &str, or: f64| r.q(k).unwrap_or(Time::from_si(60.0 * or));
    let place = r.q("latitude").zip(r.q("longitude"));
    Crew {
        at: ["a", "b"].map(|k| r.n(k).map_or(0, |n| n as usize)),
        date: r.words("date").parse().unwrap_or_default(),
        start: r.words("start").parse().unwrap_or_default(),
        place: place.map(|(latitude, longitude)| Ashore { latitude, longitude, ahead: minutes("ahead", 0.0) }),
        anchor: minutes("anchor", 40.0),
        stage: minutes("stage", 20.0),
        walking: minutes("walking", 0.0),
        round: r.q("round"),
    }
}

pub(super) fn tie(r: Reader<'_>) -> Tie {
    Tie {
        side: side(r.get("side")),
        anchors: list(r.get("anchors"), |n| n.text().unwrap_or_default()),
        rope: r.get("rope").map_or_else(|| part(r), part),
        lip: r.q("lip").unwrap_or(metres(0.0)),
        tie_in: r.q("tie_in").unwrap_or(metres(1.0)),
        people: r.n("people").map_or(1, |n| n as usize),
        over: r.get("over").and_then(|s| Surface::named(s.name())).unwrap_or_default(),
    }
}

pub(super) fn at_step(r: Reader<'_>) -> AtStep {
    let of = |k: &str| list(r.get(k), |n| n.text().unwrap_or_default());
    let people = |k: &str| r.n(k).map(|n| n as usize);
    AtStep { ties: [of("a"), of("b")], people: [people("people_a"), people("people_b")] }
}

/// Which figure a claim is of.
pub(super) fn figure(r: Reader<'_>) -> Option<Figure> {
    let name = || r.at(0).and_then(Reader::text).unwrap_or_default();
    Some(match r.name() {
        "Standing" => Figure::Standing(side(r.at(0))),
        "Walking" => Figure::Walking(name()),
        "Falling" => Figure::Falling(name()),
        "Failing" => Figure::Failing(name()),
        "Sag" => Figure::Sag,
        "SagWalker" => Figure::SagWalker,
        "Pulse" => Figure::Pulse,
        "Length" => Figure::Length(name()),
        "Excess" => Figure::Excess,
        "Holds" => Figure::Holds(name()),
        "Share" => Figure::Share(name()),
        "Factor" => Figure::Factor(name()),
        "Clear" => Figure::Clear(r.at(0).and_then(Reader::number).unwrap_or(0.5)),
        "BodyFallen" => Figure::BodyFallen,
        "BodyCaught" => Figure::BodyCaught,
        "Days" => Figure::Days(name()),
        "FeetHanging" => Figure::FeetHanging,
        "FeetFallen" => Figure::FeetFallen,
        "FeetCaught" => Figure::FeetCaught,
        "Pull" => Figure::Pull(name()),
        "TowRope" => Figure::TowRope,
        "Rescue" => Figure::Rescue,
        _ => return None,
    })
}

/// What a claim says of its figure, in SI; nothing where that is no such figure.
pub(super) fn asserted(what: &Figure, says: &str) -> Option<f64> {
    match what.dim() {
        Some(dim) => crate::units::parse(says, dim).ok(),
        None => says.trim().parse().ok().filter(|n: &f64| n.is_finite()),
    }
}

pub(super) fn claim(r: Reader<'_>) -> Option<Claim> {
    let what = figure(r.get("what")?)?;
    let says = asserted(&what, &r.words("says"))?;
    Some(Claim { what, says, by: r.words("by") })
}
