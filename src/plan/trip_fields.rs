//! Fields of the blocks of the trip: crossing, days, rescue, ties and work, claims.

use super::fields::{ANGLE, ANY_LENGTH, ITEM_REF, MASS, PART, POINT_REF, SIDE, SPEED, TEMPERATURE, form};
use crate::catalogue::fields::{FORCE, LENGTH, RATING, may, optional, required, slot};
use crate::document::schema::{FormBody, Kind, Range, Record, Slot, Target};
use crate::units::Dim;

const SURFACE: Kind = Kind::Choice(&[
    form("Roller", FormBody::Alone, "a roller"),
    form("Carpet", FormBody::Alone, "a carpet or pad"),
    form("Rock", FormBody::Alone, "bare rock"),
    form("Aluminium", FormBody::Alone, "aluminium"),
    form("Steel", FormBody::Alone, "a steel bar or ring"),
    form("Post", FormBody::Alone, "a galvanised post"),
    form("Wood", FormBody::Alone, "wood, a trunk"),
    form("Concrete", FormBody::Alone, "concrete"),
]);

const STAGE: Record = Record {
    name: "Stage",
    doc: "One line that goes over, pulled by the one before: a line of its own, or runs of the rig.",
    fields: &[
        required("name", Kind::Words, "what to call it"),
        optional(
            "by",
            Kind::Words,
            "pulled by the stage before",
            "how the first gets over: thrown, flown, walked round",
        ),
        optional("line", Kind::Record(&PART), "none", "a line of its own"),
        optional("runs", Kind::List(&Kind::Ref(Target::Run)), "[]", "runs of the rig that go over together"),
        optional("joint", ITEM_REF, "tied, and not judged", "what joins it to the line that pulls it"),
        optional("rings", Kind::Whole, "0", "rings that go over on it"),
        optional("extra", MASS, "0 kg", "what else is at its leading end: tape, markers, a swivel"),
    ],
};

const SET: Record = Record {
    name: "Set",
    doc: "A pulley set for a while: how its rope runs, on what, of what.",
    fields: &[
        required(
            "reeving",
            Kind::Words,
            "how its rope runs, as in the tensioning: 3:1, 5:1, or the places of each rope",
        ),
        required("sheave", ITEM_REF, "what each sheave is"),
        required("rope", ITEM_REF, "the rope"),
        optional("drawn_out", LENGTH, "4 m", "between its two ends when it is drawn out, for the rope it takes"),
    ],
};

const FORECAST: Record = Record {
    name: "Forecast",
    doc: "A day that the line hangs, the night before it first.",
    fields: &[
        required("date", Kind::Date, "which day"),
        required("low", TEMPERATURE, "the coldest, the night before"),
        required("high", TEMPERATURE, "the warmest, by day"),
        optional("wind", SPEED, "0 m/s", "mean wind"),
        required("gust", SPEED, "the strongest gust, of three seconds"),
        optional("rain", Kind::Flag, "false", "whether it rains"),
    ],
};

pub(super) const STAY: Record = Record {
    name: "Stay",
    doc: "How long the line stays up, and in what.",
    fields: &[
        required("from", Kind::Date, "the day in whose evening it is tensioned"),
        optional(
            "pull_up",
            Kind::List(&AFTER),
            "[]",
            "when it is pulled up to its tension again, after it was tensioned",
        ),
        optional(
            "days",
            Kind::List(&Kind::Record(&FORECAST)),
            "[]",
            "the forecast, day after day from the next one on",
        ),
    ],
};

pub(super) const CREW: Record = Record {
    name: "Crew",
    doc: "Who comes, and the hours of the day.",
    fields: &[
        required("a", Kind::Whole, "how many are at A, whoever walks among them"),
        required("b", Kind::Whole, "how many are at B"),
        required("date", Kind::Date, "which day"),
        required("start", Kind::Clock, "when the first anchor is begun, by the clocks there"),
        optional("latitude", ANGLE, "not said, and then nothing of the light", "north of the equator; south is minus"),
        optional("longitude", ANGLE, "not said", "east of Greenwich; west is minus"),
        optional("ahead", Kind::Quantity(Dim::Time, Range::Any), "0 h", "how far the clocks there are ahead of UTC"),
        optional("anchor", AFTER, "40 min", "what an anchor takes: where main line or backup ends"),
        optional(
            "stage",
            AFTER,
            "20 min",
            "what a stage takes: a line over, tensioning, a look at everything, a line back",
        ),
        optional("walking", AFTER, "0 h", "how long people walk"),
        optional("round", AFTER, "unknown", "from one side to the other, where one party makes both anchors"),
    ],
};

pub(super) const CROSSING: Record = Record {
    name: "Crossing",
    doc: "How the line gets over the gap and down again.",
    fields: &[
        required("sends", SIDE, "the side that the line is sent from, where the brake stands; the other side pulls"),
        required(
            "hold",
            Kind::Choice(&[
                form("Sag", FormBody::Slots(&[slot("sag", LENGTH)]), "below the straight line between the edges"),
                form("Clear", FormBody::Slots(&[slot("height", LENGTH)]), "over ground and obstacles"),
                form("Brake", FormBody::Slots(&[slot("tension", FORCE)]), "at the sending edge"),
            ]),
            "what is held while a stage goes over",
        ),
        optional("wind", SPEED, "0 m/s", "wind for this work"),
        optional("wet", Kind::Flag, "false", "whether the lines may be wet"),
        required("stages", Kind::List(&Kind::Record(&STAGE)), "in order, the first by itself"),
        optional("edge_a", SURFACE, "Carpet", "what the line runs over at A"),
        optional("edge_b", SURFACE, "Carpet", "what the line runs over at B"),
        optional("lips", LENGTH, "4 m", "within so much of either edge the height is not looked at"),
        optional("brake_turns", Kind::Number(Range::NotNegative), "no brake", "turns round the brake"),
        optional("brake_on", SURFACE, "Steel", "of what the brake is"),
        optional("brake_rating", RATING, "unrated", "what the brake holds"),
        optional("people", Kind::Whole, "2", "how many pull"),
        optional("each", FORCE, "0.3 kN", "with how much each"),
        optional("set", Kind::Record(&SET), "none", "a pulley set that they pull with"),
        optional(
            "half_rigged",
            FORCE,
            "0.3 kN",
            "tension of the line while its ends are fixed, before it is tensioned",
        ),
        optional("release_cord", LENGTH, "unknown", "cord that the release lets out"),
        optional("release_rating", RATING, "unrated", "what the release holds"),
    ],
};

/// What was measured: bare, or with one deviation of it.
macro_rules! measured {
    ($read:ident, $deviation:ident) => {
        Kind::Choice(&[
            form("", FormBody::Bare(&$read), "as read"),
            form(
                "Within",
                FormBody::Slots(&[slot("read", $read), slot("one deviation of it", $deviation)]),
                "as read, and how far off it may be",
            ),
        ])
    };
}

/// A measured tension.
const READ_FORCE: Kind = measured!(FORCE, FORCE);

/// A measured length.
const READ_LENGTH: Kind = measured!(LENGTH, LENGTH);

/// A measured mass.
const READ_MASS: Kind = measured!(MASS, MASS);

const TIMED: Kind = Kind::Quantity(Dim::Time, Range::Positive);

/// A measured time.
const READ_TIME: Kind = measured!(TIMED, TIMED);

const AFTER: Kind = Kind::Quantity(Dim::Time, Range::NotNegative);

const READING: Record = Record {
    name: "Reading",
    doc: "What was read at the line: a tension, a sag, the time of a pulse.",
    fields: &[
        optional("after", AFTER, "0 h", "how long after it was tensioned"),
        optional("tension", READ_FORCE, "none", "tension of the line"),
        optional("at", SIDE, "A", "the side where the tension was read"),
        optional("sag", READ_LENGTH, "none", "below the straight line: at the walker, or in the middle"),
        optional("pulse", READ_TIME, "none", "along the line and back, with nobody on it"),
        optional(
            "walker",
            Kind::Tuple(&[
                slot("place along the line, 0 at A, 1 at B", Kind::Number(Range::Place)),
                slot("mass", READ_MASS),
            ]),
            "nobody on the line",
            "who was on it, and where",
        ),
        optional("temperature", TEMPERATURE, "the day's", "then"),
    ],
};

const THROUGH: Record = Record {
    name: "Through",
    doc: "Webbing that came through the lock on the way to the standing tension.",
    fields: &[
        required("from", READ_FORCE, "the tension at which it was begun to be measured"),
        required("length", READ_LENGTH, "what came through"),
    ],
};

pub(super) const DAY: Record = Record {
    name: "Day",
    doc: "A day at the line: what was read. Days are added, never rewritten.",
    fields: &[
        required("date", Kind::Date, "when"),
        optional("by", Kind::Words, "nobody", "initials"),
        optional("span", READ_LENGTH, "the plan's", "as measured"),
        optional("height_difference", ANY_LENGTH, "the plan's", "of B over A, as measured"),
        optional("temperature", TEMPERATURE, "the plan's", "while it was tensioned"),
        optional("wind", SPEED, "the plan's", "of the day"),
        optional("read", Kind::List(&Kind::Record(&READING)), "[]", "readings, in order"),
        optional("through", Kind::Record(&THROUGH), "none", "webbing that came through the lock"),
        optional(
            "legs",
            Kind::List(&Kind::Tuple(&[slot("leg", Kind::Ref(Target::Leg)), slot("tension", READ_FORCE)])),
            "[]",
            "tensions of legs that were read with nobody on the line",
        ),
        optional("tail_a", TAIL, "not looked at", "what the lock at A drew in since its mark"),
        optional("tail_b", TAIL, "not looked at", "what the lock at B drew in since its mark"),
        optional("up", AFTER, "not noted", "how long the rig hung"),
        optional("sun", AFTER, "not noted", "how long of that in the sun"),
        optional("falls", Kind::Whole, "0", "leash falls"),
        optional("hardest", FORCE, "not noted", "the most that was read in a fall"),
        optional("backup_catches", Kind::Whole, "0", "how often the backup caught"),
        optional("events", Kind::List(&EVENT), "[]", "what asks for a look, and looks, in order"),
        optional("note", Kind::Words, "none", "anything else"),
    ],
};

const DRAWN: Kind = Kind::Quantity(Dim::Length, Range::NotNegative);

/// What a lock drew in.
const TAIL: Kind = measured!(DRAWN, LENGTH);

const TOLD: &[Slot] = &[slot("what", Kind::Words), may("serial of the piece", Kind::Words)];

/// What happens to gear, and that it was looked over.
const EVENT: Kind = Kind::Choice(&[
    form("EdgeContact", FormBody::Slots(TOLD), "something ran over an edge"),
    form("Lightning", FormBody::Slots(TOLD), "a thunderstorm, or a stroke near by"),
    form("Flogged", FormBody::Slots(TOLD), "the line flogged in wind"),
    form("LockSlipped", FormBody::Slots(TOLD), "webbing slipped in a lock"),
    form("Dropped", FormBody::Slots(TOLD), "something was dropped from a height"),
    form("Shock", FormBody::Slots(TOLD), "a load that nobody planned"),
    form("LookedOver", FormBody::Slots(TOLD), "looked over and found fit"),
]);

const TOW: Record = Record {
    name: "Tow",
    doc: "A rope to tow with, ready at a side; the kit for the way out is with it.",
    fields: &[
        required("side", SIDE, "where it is"),
        required("rope", Kind::Record(&PART), "what it is: its length and its ends"),
        optional("kept", LENGTH, "5 m", "what stays at the edge for hands and anchor"),
    ],
};

const DRILL: Record = Record {
    name: "Drill",
    doc: "A drill that was timed, from the alarm until somebody was over the edge.",
    fields: &[
        required("took", AFTER, "how long it took"),
        required("from", LENGTH, "from how far off the side with the kit"),
        optional("date", Kind::Date, "unknown", "when"),
    ],
};

pub(super) const RESCUE: Record = Record {
    name: "Rescue",
    doc: "Getting somebody off the line who hangs still.",
    fields: &[
        required("ropes", Kind::List(&Kind::Record(&TOW)), "ropes to tow with, each at its side"),
        optional(
            "on",
            Kind::Choice(&[
                form("Roller", FormBody::Alone, "a pulley that is brought"),
                form("Rings", FormBody::Alone, "the leash's own rings"),
            ]),
            "Roller",
            "what the one who hangs rolls on",
        ),
        optional(
            "friction",
            Kind::Number(Range::NotNegative),
            "0.03 to 0.08 on a roller, 0.15 to 0.25 on rings",
            "of the line through it",
        ),
        optional("roller", ITEM_REF, "none, and not judged", "the pulley"),
        optional("hands_a", Kind::Whole, "2", "hands left at A once the rescuer is out"),
        optional("hands_b", Kind::Whole, "2", "hands left at B once the rescuer is out"),
        optional("each", FORCE, "0.3 kN", "with how much each pulls"),
        optional("set", Kind::Record(&SET), "none at hand", "a pulley set at hand that the rope is pulled with"),
        optional("lower", LENGTH, "none", "rope to lower with"),
        optional(
            "landing",
            Kind::List(&Kind::Tuple(&[slot("from", ANY_LENGTH), slot("to", ANY_LENGTH)])),
            "[]",
            "where somebody can be received, along the gap",
        ),
        optional("alarm", AFTER, "1 min", "until somebody moves"),
        optional("kit", AFTER, "3 min", "until the kit is on"),
        optional("out", SPEED, "0.5 m/s", "on the way out"),
        optional("pick_up", AFTER, "4 min", "until the one who hangs is on the roller"),
        optional("tow", SPEED, "0.25 m/s", "on the way back"),
        optional("over", AFTER, "2 min", "over the edge"),
        optional("drilled", Kind::Record(&DRILL), "never", "a drill that was timed"),
        optional("limit", AFTER, "15 min", "the longest that somebody may hang"),
    ],
};

pub(super) const TIE: Record = Record {
    name: "Tie",
    doc: "A rope that somebody works at an edge on.",
    fields: &[
        required("side", SIDE, "its side"),
        required(
            "anchors",
            Kind::List(&POINT_REF),
            "the fixed points that it is tied to; each is asked to hold it alone",
        ),
        required("rope", Kind::Record(&PART), "what it is, from its anchor to the tie-in, with its ends"),
        required("lip", LENGTH, "from its anchor to the lip"),
        optional("tie_in", LENGTH, "1 m", "height of the tie-in over the ground"),
        optional("people", Kind::Whole, "1", "how many hang on it"),
        optional("over", SURFACE, "Carpet", "what it runs over at the lip"),
    ],
};

pub(super) const AT_STEP: Record = Record {
    name: "Work",
    doc: "Who hangs on what at a step of the work. Where a step is not told, every tie of a side is there.",
    fields: &[
        optional("a", Kind::List(&Kind::Ref(Target::Tie)), "[]", "ties in use at A"),
        optional("b", Kind::List(&Kind::Ref(Target::Tie)), "[]", "ties in use at B"),
        optional("people_a", Kind::Whole, "one, two at a rescue", "people within two metres of the lip at A"),
        optional("people_b", Kind::Whole, "one, two at a rescue", "people within two metres of the lip at B"),
    ],
};

const RUN_NAME: &[Slot] = &[slot("run", Kind::Ref(Target::Run))];
const POINT_NAME: &[Slot] = &[slot("point", POINT_REF)];

const FIGURE: Kind = Kind::Choice(&[
    form("Standing", FormBody::Slots(&[slot("side", SIDE)]), "standing tension there: a force"),
    form("Walking", FormBody::Slots(RUN_NAME), "most tension of a run while somebody walks: a force"),
    form("Falling", FormBody::Slots(RUN_NAME), "most tension of a run in a fall: a force"),
    form("Failing", FormBody::Slots(RUN_NAME), "most tension of a run when something has gone: a force"),
    form("Sag", FormBody::Alone, "with nobody on the line: a length"),
    form("SagWalker", FormBody::Alone, "with the heaviest walker in the middle: a length"),
    form("Pulse", FormBody::Alone, "there and back: a time"),
    form("Length", FormBody::Slots(RUN_NAME), "unstretched, of a run's soft parts: a length"),
    form("Excess", FormBody::Alone, "of the backup: a share"),
    form("Holds", FormBody::Slots(POINT_NAME), "what an anchor holds: a force"),
    form("Share", FormBody::Slots(RUN_NAME), "what a leg takes of its master's pull: a share"),
    form("Factor", FormBody::Slots(&[slot("run or point", Kind::Words)]), "its least factor: a number"),
    form(
        "Clear",
        FormBody::Slots(&[slot("place along the line, 0 at A, 1 at B", Kind::Number(Range::Place))]),
        "height of the line over what lies below, the heaviest walker at that place: a length",
    ),
    form("BodyFallen", FormBody::Alone, "most that a body feels in a leash fall: a force"),
    form("BodyCaught", FormBody::Alone, "most that a body feels in the backup's catch: a force"),
    form("Days", FormBody::Slots(RUN_NAME), "days on a line that a run's webbing is given: a number"),
    form("FeetHanging", FormBody::Alone, "least height of the feet over the ground, hanging: a length"),
    form("FeetFallen", FormBody::Alone, "the same after a fall: a length"),
    form("FeetCaught", FormBody::Alone, "the same after the backup's catch: a length"),
    form("Pull", FormBody::Slots(&[slot("stage", Kind::Words)]), "at the hands, while a stage goes over: a force"),
    form("TowRope", FormBody::Alone, "rope that a rescue needs: a length"),
    form("Rescue", FormBody::Alone, "what a rescue takes at the most: a time"),
]);

pub(super) const CLAIM: Record = Record {
    name: "Claim",
    doc: "A figure that comes with the plan; the review sets its own beside it.",
    fields: &[
        required("what", FIGURE, "of what"),
        required("says", Kind::Words, "what it is said to be, with its unit"),
        optional("by", Kind::Words, "not said", "whose figure it is: a card, a maker, a friend"),
    ],
};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Surface;

    #[test]
    fn every_surface_has_its_word() {
        let Kind::Choice(forms) = SURFACE else { panic!("a choice") };
        let words: Vec<&str> = forms.iter().map(|f| f.name).collect();
        assert_eq!(words, Surface::ALL.map(|s| s.1));
    }
}
