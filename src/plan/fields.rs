//! The plan's format as a table. Checking, forms, the format's description and its test all read it.

use super::sighted::{ASSUMED, SHOT, SIGHTED, STAND};
use super::trip_fields::{AT_STEP, CLAIM, CREW, CROSSING, DAY, RESCUE, STAY, TIE};
use crate::catalogue::fields::{FORCE, ITEM, LENGTH, RATING, may, optional, required, slot};
use crate::document::schema::{Field, Form, FormBody, Keys, Kind, Range, Record, Target};
use crate::units::Dim;

pub(super) const fn form(name: &'static str, body: FormBody, doc: &'static str) -> Form {
    Form { name, body, doc }
}

pub(super) const ANY_LENGTH: Kind = Kind::Quantity(Dim::Length, Range::Any);
const NOT_NEGATIVE_LENGTH: Kind = Kind::Quantity(Dim::Length, Range::NotNegative);
pub(super) const SPEED: Kind = Kind::Quantity(Dim::Velocity, Range::NotNegative);
pub(super) const TEMPERATURE: Kind = Kind::Quantity(Dim::Temperature, Range::Positive);
pub(super) const ANGLE: Kind = Kind::Quantity(Dim::Angle, Range::Any);
pub(super) const MASS: Kind = Kind::Quantity(Dim::Mass, Range::Positive);
const SHARE: Kind = Kind::Number(Range::Share);
const FACTOR: Kind = Kind::Number(Range::Positive);
pub(super) const ITEM_REF: Kind = Kind::Ref(Target::Item);
pub(super) const POINT_REF: Kind = Kind::Ref(Target::Point);

/// Kinds of part that may have required factors of their own.
pub const KINDS: &[&str] =
    &["Main", "Backup", "Soft", "Hardware", "Anchor", "Leash", "Pulling", "Crossing", "Tow", "Tie", "Foot"];

pub(super) const SIDE: Kind = Kind::Choice(&[
    form("A", FormBody::Alone, "the side where x is 0"),
    form("B", FormBody::Alone, "the side where x is the span"),
]);

/// A direction; its length does not count.
pub(super) const VECTOR: Kind = Kind::Tuple(&[
    slot("x", Kind::Number(Range::Any)),
    slot("y", Kind::Number(Range::Any)),
    slot("z", Kind::Number(Range::Any)),
]);

pub(super) const PLACE: Kind = Kind::Tuple(&[slot("x", ANY_LENGTH), slot("y", ANY_LENGTH), slot("z", ANY_LENGTH)]);

const AT: Kind = Kind::Choice(&[
    form(
        "",
        FormBody::Bare(&PLACE),
        "coordinates from the side's reference point: x from A towards B, y to the left, z up",
    ),
    form("Sighted", FormBody::Fields(SIGHTED), "sighted from the side's reference point, or from a stand"),
]);

const BLOCK: &[Field] = &[
    optional("rating", RATING, "by friction on its slope, if mass and friction are given", "what it holds"),
    optional("diameter", LENGTH, "none", "diameter where it is slung"),
    optional("mass", MASS, "none", "its mass"),
    optional("friction", Kind::Number(Range::Positive), "none", "coefficient of friction against what it stands on"),
    optional("slope", ANGLE, "0 deg", "of what it stands on, downwards in the direction of pull"),
    optional("base", LENGTH, "none", "length of its base along the pull, for overturning"),
    optional("pulled_at", LENGTH, "none", "height of the pull above its base, for overturning"),
    optional(
        "centre",
        LENGTH,
        "as pulled_at",
        "height of its centre of mass above its base, for overturning on a slope",
    ),
    optional("declared", Kind::Words, "none", "what else is known of it"),
];

const HOLD: Kind = Kind::Choice(&[
    form(
        "Bolt",
        FormBody::Fields(&[
            required("item", ITEM_REF, "which bolt"),
            optional(
                "faces",
                VECTOR,
                "unknown: the worst angle is taken",
                "the way it points out of the rock, in the plan's axes",
            ),
        ]),
        "a bolt in rock",
    ),
    form(
        "Tree",
        FormBody::Fields(&[
            required("diameter", LENGTH, "of the trunk where it is slung"),
            optional("rating", RATING, "unrated", "what it holds"),
            optional("slung_at", LENGTH, "unknown", "height of the sling above the ground"),
            optional("declared", Kind::Words, "none", "what else is known of it"),
        ]),
        "a tree; `at` is the centre of the trunk",
    ),
    form("Boulder", FormBody::Fields(BLOCK), "a block held by its weight; `at` is its centre"),
    form("Thread", FormBody::Fields(BLOCK), "a sling through or around rock that cannot move"),
    form("Deadman", FormBody::Fields(BLOCK), "something buried"),
    form("Vehicle", FormBody::Fields(BLOCK), "a vehicle, held by friction"),
    form(
        "Edge",
        FormBody::Fields(&[
            optional(
                "friction",
                Kind::Number(Range::NotNegative),
                "0.3 over rock, 0.1 over a roller",
                "coefficient of friction",
            ),
            optional("roller", Kind::Flag, "false", "whether the run turns over a roller"),
            optional("outward", VECTOR, "(0, 0, 1)", "the way it can push"),
            optional("radius", LENGTH, "unknown: counted as a sharp edge", "radius of the edge or of the roller"),
            optional("item", ITEM_REF, "none", "a roller there, whose rating is held against what presses on it"),
        ]),
        "an edge that a run passes over; it can only push",
    ),
    form("Frame", FormBody::Fields(super::frame::FRAME), "the head of a frame: on struts, or its load printed alone"),
    form("Strength", FormBody::Slots(&[slot("rating", RATING)]), "anything else with a stated strength"),
]);

const POINT: Kind = Kind::Choice(&[
    form(
        "Fixed",
        FormBody::Fields(&[
            required("side", SIDE, "whose coordinates it uses"),
            required("at", AT, "where it is"),
            required("by", HOLD, "what holds it"),
            optional("hardware", ITEM_REF, "none", "the one piece that what meets there hangs on"),
            optional(
                "stiffness",
                Kind::Quantity(Dim::Stiffness, Range::Positive),
                "does not give",
                "how it gives under load",
            ),
            optional("gate", GATE, "Locked", "of a connector"),
            optional("note", Kind::Words, "none", "anything else"),
        ]),
        "held by an anchor",
    ),
    form(
        "Free",
        FormBody::Fields(&[
            required("side", SIDE, "whose coordinates it uses"),
            required("near", PLACE, "about where it will be; `Fit` lengths are cut for this place"),
            optional("hardware", ITEM_REF, "none", "the one piece that what meets there hangs on"),
            optional(
                "friction",
                Kind::Number(Range::NotNegative),
                "by what slides on it",
                "coefficient of friction for runs that slide over it",
            ),
            optional("gate", GATE, "Locked", "of a connector"),
            optional("note", Kind::Words, "none", "anything else"),
        ]),
        "where it is follows from equilibrium",
    ),
]);

const GATE: Kind = Kind::Choice(&[
    form("Locked", FormBody::Alone, "closed and locked"),
    form("Unlocked", FormBody::Alone, "closed, not locked"),
    form("Open", FormBody::Alone, "counted as open"),
]);

const KEEPS: Field = optional("keeps", SHARE, "by the tables", "the rigger's own figure for the share kept");
const EYE: Field = optional("eye", LENGTH, "5 pins long", "flat length of the eye, throat to crown");

const SPLICED: &[Field] = &[
    optional("bury", LENGTH, "72 rope diameters", "length of the buried tail"),
    optional("thimble", Kind::Flag, "false", "whether the eye sits on a thimble"),
    optional("tapered", Kind::Flag, "true", "whether the tail is tapered"),
    optional("stitched", Kind::Flag, "true", "whether the bury is lock-stitched"),
    optional(
        "style",
        Kind::Choice(&[
            form("Straight", FormBody::Alone, "straight bury"),
            form("Locked", FormBody::Alone, "passed through itself at the throat, then buried"),
            form("EndForEnd", FormBody::Alone, "two ends buried in each other"),
            form("Adjustable", FormBody::Alone, "sliding bury of an adjustable sling"),
            form("Tucked", FormBody::Alone, "tucked through instead of buried"),
        ]),
        "Straight",
        "which splice",
    ),
    KEEPS,
    EYE,
];

const END: Kind = Kind::Choice(&[
    form("Spliced", FormBody::Fields(SPLICED), "an eye spliced in hollow braid"),
    form("Sewn", FormBody::Fields(&[KEEPS, EYE]), "a sewn loop"),
    form(
        "Knotted",
        FormBody::Fields(&[optional("knot", Kind::Words, "the worst of the table", "which knot"), KEEPS, EYE]),
        "a knot",
    ),
    form(
        "Locked",
        FormBody::Fields(&[
            optional("wraps", Kind::Number(Range::Positive), "as the lock's drawing says", "wraps around a ring lock"),
            optional("tail", LENGTH, "unknown", "length of the tail beyond the lock"),
            KEEPS,
        ]),
        "held in a webbing lock",
    ),
    form("Hitched", FormBody::Fields(&[KEEPS, EYE]), "girth-hitched to its neighbour"),
    form("Made", FormBody::Fields(&[KEEPS, EYE]), "part of the finished article, counted in its rating"),
]);

const LEG_LENGTH: Kind = Kind::Choice(&[
    form("", FormBody::Bare(&LENGTH), "pin to pin along the load; of a round sling its working length"),
    form(
        "Fit",
        FormBody::Fields(&[optional(
            "tolerance",
            LENGTH,
            "30 mm spliced or sewn, 10 mm adjusted by hand",
            "how far off it may be made",
        )]),
        "made so that the run is just taut with the free points at their `near` places; one such part per run",
    ),
    form(
        "Taut",
        FormBody::Slots(&[slot("tension", FORCE)]),
        "made so that the run carries that with its points where they are drawn; one such part per run, of a guy",
    ),
    form(
        "Share",
        FormBody::Slots(&[slot("share", SHARE), may("tolerance", LENGTH)]),
        "adjusted under load until it carries that share of the pull at standing",
    ),
    form(
        "Solve",
        FormBody::Fields(&[
            optional("standing", FORCE, "none", "standing tension to reach"),
            optional("at", SIDE, "A", "the side where the standing tension is measured"),
            optional("sag", LENGTH, "none", "sag at mid-span to reach"),
            optional("walker", Kind::Flag, "true", "whether the sag is with the walker there"),
        ]),
        "on one part of the main line: as long as the target asks",
    ),
]);

const HITCH: Kind = Kind::Choice(&[
    form("Straight", FormBody::Alone, "one strand, or the article as its rating counts it"),
    form("Doubled", FormBody::Alone, "folded in two, both bights carrying"),
    form("Basket", FormBody::Alone, "around the anchor, both ends to the point"),
    form("Choke", FormBody::Alone, "around the anchor and through its own end"),
    form("Girth", FormBody::Alone, "through its own end around a ring or another sling"),
    form(
        "Wrap",
        FormBody::Slots(&[slot("turns", Kind::Number(Range::Positive))]),
        "wound so many turns around the anchor, both ends to the point",
    ),
]);

/// Required factors of one kind.
pub(super) const FACTOR_SET: Record = Record {
    name: "Required",
    doc: "Required factors by class of case.",
    fields: &[
        optional("working", FACTOR, "the plan's", "in cases meant to happen"),
        optional("fall", FACTOR, "the plan's", "in leash falls"),
        optional("failure", FACTOR, "the plan's", "when a piece of the rig has gone"),
    ],
};

const CONDITION: Record = Record {
    name: "Condition",
    doc: "What use has taken from a part: kept shares, multiplied.",
    fields: &[
        optional("wet", Kind::Flag, "false", "whether it may be wet (nylon)"),
        optional("age", SHARE, "1", "kept after light and age"),
        optional("abrasion", SHARE, "1", "kept after abrasion"),
        optional("heat", SHARE, "1", "kept after heat"),
    ],
};

const COLOUR: Kind = Kind::Choice(&[
    form("Violet", FormBody::Alone, "1 t"),
    form("Green", FormBody::Alone, "2 t"),
    form("Yellow", FormBody::Alone, "3 t"),
    form("Grey", FormBody::Alone, "4 t"),
    form("Red", FormBody::Alone, "5 t"),
    form("Brown", FormBody::Alone, "6 t"),
    form("Blue", FormBody::Alone, "8 t"),
    form("Orange", FormBody::Alone, "10 t and more"),
]);

/// One part of a run.
pub const PART: Record = Record {
    name: "Part",
    doc: "One item of gear in a run.",
    fields: &[
        required("item", ITEM_REF, "which item"),
        optional("length", LEG_LENGTH, "the item's own", "how long it is"),
        optional(
            "ends",
            Kind::Tuple(&[slot("towards from", END), slot("towards to", END)]),
            "by its neighbours, and flagged where they do not show it",
            "how its two ends are made",
        ),
        optional("hitch", HITCH, "Straight", "how it is laid"),
        optional("tolerance", LENGTH, "30 mm spliced or sewn, 10 mm adjusted by hand", "how far off its length may be"),
        optional(
            "sits",
            Kind::Choice(&[
                form("Pin", FormBody::Alone, "neighbours' eyes sit on its pin"),
                form("Bow", FormBody::Alone, "neighbours' eyes sit in its bow"),
            ]),
            "the thinner of the two",
            "of a shackle: where neighbours sit",
        ),
        optional("off_axis", ANGLE, "0 deg", "of hardware: angle of its pull from the axis it is made for"),
        optional("gate", GATE, "Locked", "of a connector"),
        optional(
            "piece",
            Kind::Words,
            "a piece of its own",
            "name of the one article that this part shares with others",
        ),
        optional("serial", Kind::Words, "none", "the piece of an inventory that it is: what its label says"),
        optional("condition", Kind::Record(&CONDITION), "new", "what use has taken from it"),
        optional("colour", COLOUR, "not noted", "of a made sling: its colour, which says its working load limit"),
        optional("tag", FORCE, "not noted", "of a made sling: the working load limit that its tag reads"),
        optional("required", Kind::Record(&FACTOR_SET), "by the plan's factors", "required factors of its own"),
        optional("note", Kind::Words, "none", "anything else"),
    ],
};

const TIES: Kind = Kind::Choice(&[
    form("OnePiece", FormBody::Slots(&[slot("item", ITEM_REF)]), "one piece through all four loops"),
    form(
        "Apart",
        FormBody::Fields(&[
            required("main", ITEM_REF, "ties main to main"),
            required("backup", ITEM_REF, "ties backup to backup"),
            required("together", ITEM_REF, "ties the two together"),
        ]),
        "separate pieces",
    ),
]);

const ROLE: Kind = Kind::Choice(&[
    form("Leg", FormBody::Alone, "part of an anchor"),
    form("Guy", FormBody::Alone, "holds the head of a frame"),
    form("Main", FormBody::Alone, "the line that is walked"),
    form(
        "Backup",
        FormBody::Fields(&[
            required("of", Kind::Ref(Target::Run), "the main line it lies under"),
            required(
                "excess",
                Kind::Quantity(Dim::Share, Range::NotNegative),
                "webbing of the backup over webbing of the main line, unstretched, less one; hardware is not counted",
            ),
            optional(
                "connected",
                Kind::Choice(&[
                    form("AtEnds", FormBody::Alone, "only where both end"),
                    form(
                        "EveryJoint",
                        FormBody::Fields(&[required("ties", TIES, "what ties each joint")]),
                        "at every joint between two lengths of the main line",
                    ),
                    form(
                        "Joints",
                        FormBody::Fields(&[
                            required(
                                "after",
                                Kind::List(&Kind::Whole),
                                "numbers of the main line's parts after which it is connected, from 1",
                            ),
                            required("ties", TIES, "what ties each joint"),
                        ]),
                        "at these joints",
                    ),
                ]),
                "AtEnds",
                "where it is tied to the main line",
            ),
        ]),
        "the second line, hanging in loops under the first",
    ),
    form("Leash", FormBody::Alone, "between walker and rings; takes no part in statics"),
    form("Tensioning", FormBody::Alone, "there only while tensioning; takes no part in statics"),
]);

/// One run.
pub const RUN: Record = Record {
    name: "Run",
    doc: "A chain of parts in series between two points.",
    fields: &[
        optional("role", ROLE, "Leg", "what it is there for"),
        optional("from", POINT_REF, "none, for a leash", "where it starts; an anchor's leg starts at the anchor"),
        optional("to", POINT_REF, "none, for a leash", "where it ends"),
        optional("through", Kind::List(&POINT_REF), "[]", "points it slides over on the way"),
        required("parts", Kind::List(&Kind::Record(&PART)), "its parts, in order from `from` to `to`"),
        optional("note", Kind::Words, "none", "anything else"),
    ],
};

const LOOP: &[Field] = &[
    required("through", Kind::List(&POINT_REF), "points it runs over, in order, closing on the first"),
    required("parts", Kind::List(&Kind::Record(&PART)), "the sling, its length being the way once around"),
    optional("note", Kind::Words, "none", "anything else"),
];

const RUNS: Kind = Kind::Choice(&[
    form("", FormBody::Bare(&Kind::Record(&RUN)), "from one point to another"),
    form("Run", FormBody::Fields(RUN.fields), "from one point to another"),
    form("Loop", FormBody::Fields(LOOP), "a closed sling that slides over all its points"),
]);

const AIR: Record = Record {
    name: "Air",
    doc: "The weather it is rigged in and may see.",
    fields: &[
        optional("rigged_at", TEMPERATURE, "15 degC", "temperature at which the line is tensioned"),
        optional("coldest", TEMPERATURE, "10 K below rigged_at", "coldest while it is up"),
        optional("warmest", TEMPERATURE, "20 K above rigged_at", "warmest while it is up"),
        optional("wind", SPEED, "10 m/s", "strongest wind in which it is walked"),
        optional("storm", SPEED, "25 m/s", "strongest wind while it is up"),
        optional(
            "speeds",
            Kind::Choice(&[
                form("Mean", FormBody::Alone, "the mean of ten minutes, as forecasts give it; gusts are worked out"),
                form("Gust", FormBody::Alone, "the gust of three seconds"),
            ]),
            "Mean",
            "what the two speeds are, at the height of the line",
        ),
    ],
};

const OBSTACLE: Record = Record {
    name: "Obstacle",
    doc: "Something under the line that stands above the ground profile: a crown, a wire, a roof.",
    fields: &[
        required("from", ANY_LENGTH, "where it begins along the span, from A's reference point"),
        required("to", ANY_LENGTH, "where it ends"),
        required("top", ANY_LENGTH, "its top, above A's reference point (below it: negative)"),
    ],
};

const SITE: Record = Record {
    name: "Site",
    doc: "The gap.",
    fields: &[
        required("span", LENGTH, "horizontal distance between the two reference points"),
        optional("height_difference", ANY_LENGTH, "0 m", "B's reference point above A's"),
        optional("bearing", ANGLE, "none", "compass bearing from A to B"),
        optional(
            "ground",
            Kind::List(&Kind::Tuple(&[slot("x", ANY_LENGTH), slot("z", ANY_LENGTH)])),
            "unknown, and flagged",
            "ground profile under the line, from A's reference point",
        ),
        optional(
            "shots",
            Kind::List(&Kind::Record(&SHOT)),
            "[]",
            "places on the ground sighted down from the lips; they join the profile",
        ),
        optional(
            "obstacles",
            Kind::Map(Keys::Own, &Kind::Record(&OBSTACLE)),
            "{}",
            "crowns, wires and whatever else stands above the ground under the line",
        ),
        optional("air", Kind::Record(&AIR), "mild", "the weather"),
        optional(
            "measured",
            Kind::Words,
            "unknown, and flagged",
            "how span and height difference were measured, and how well",
        ),
        optional("label_a", Kind::Words, "A", "name of side A"),
        optional("label_b", Kind::Words, "B", "name of side B"),
        optional("note", Kind::Words, "none", "anything else"),
    ],
};

const PEOPLE: Record = Record {
    name: "People",
    doc: "Who walks.",
    fields: &[
        optional("walkers", Kind::List(&MASS), "[\"80 kg\"]", "mass of each walker, gear included"),
        optional("leash", Kind::Ref(Target::Run), "none, and flagged", "the run that is the leash"),
        optional("bounce", Kind::Number(Range::Positive), "2.75", "largest load of bouncing over body weight"),
        optional(
            "drag_area_m2",
            Kind::Number(Range::NotNegative),
            "0.7",
            "drag coefficient times area of a walker, m²",
        ),
        optional("together", Kind::Whole, "2", "how many may be at one place, rescue included"),
        optional(
            "tie_in",
            LENGTH,
            "1 m",
            "height of the tie-in above the line when standing: a leash fall starts there",
        ),
        optional("body_below", LENGTH, "1.2 m", "how far the body reaches below the tie-in when hanging"),
        optional(
            "seated",
            Kind::Tuple(&[slot("from A", NOT_NEGATIVE_LENGTH), slot("from B", NOT_NEGATIVE_LENGTH)]),
            "(\"0 m\", \"0 m\")",
            "how far from each end they sit and shuffle, and neither stand nor fall",
        ),
        optional("note", Kind::Words, "none", "anything else"),
    ],
};

const FACTORS: Record = Record {
    name: "Factors",
    doc: "The factors the rigger asks for.",
    fields: &[
        optional("working", FACTOR, "5", "in cases meant to happen"),
        optional("fall", FACTOR, "3", "in leash falls"),
        optional("failure", FACTOR, "2", "when a piece of the rig has gone"),
        optional(
            "by_kind",
            Kind::Map(Keys::From(KINDS), &Kind::Record(&FACTOR_SET)),
            "Anchor 3, 3, 2; Soft 5, 5, 2; Backup 5, 3, 2.5; Leash 5, 5, 3; Pulling 3, 3, 2 (working, fall, failure)",
            "other factors for a kind of part; a factor for all that is lower does not reach those that differ",
        ),
        optional(
            "clearance",
            Kind::Record(&CLEARANCE),
            "2 m and a tenth of the sag",
            "height asked for over ground and obstacles, under feet and line",
        ),
    ],
};

const CLEARANCE: Record = Record {
    name: "Clearance",
    doc: "Height asked for over ground and obstacles.",
    fields: &[
        optional("least", NOT_NEGATIVE_LENGTH, "2 m", "whatever the sag"),
        optional(
            "of_sag",
            Kind::Quantity(Dim::Share, Range::NotNegative),
            "10 %",
            "and this share of the sag there, which is known less well the larger it is",
        ),
    ],
};

const ASIDE: Record = Record {
    name: "Aside",
    doc: "A rule set aside at one place.",
    fields: &[
        optional(
            "at",
            Kind::Words,
            "the one place where it is said",
            "what the finding is about, as the review names it",
        ),
        required("reason", Kind::Words, "why it may be set aside there"),
        optional("by", Kind::Words, "nobody, and flagged", "initials"),
        optional("date", Kind::Words, "none, and flagged", "when"),
    ],
};

const SET_ASIDE: Kind = Kind::Choice(&[
    form("", FormBody::Bare(&Kind::Words), "the reason, where the rule is said once"),
    form("At", FormBody::Slots(&[slot("places", Kind::List(&Kind::Record(&ASIDE)))]), "place by place"),
]);

const CASE: Record = Record {
    name: "Case",
    doc: "A situation of the plan's own.",
    fields: &[
        required("name", Kind::Words, "what to call it"),
        optional(
            "walkers",
            Kind::List(&Kind::Tuple(&[
                slot("place along the line, 0 at A, 1 at B", Kind::Number(Range::Place)),
                slot("mass", MASS),
            ])),
            "none",
            "who is where",
        ),
        optional("wind", Kind::Quantity(Dim::Velocity, Range::Any), "none", "side wind, from the right positive"),
        optional("temperature", TEMPERATURE, "as rigged", "of the whole rig"),
    ],
};

const REMARK: Record = Record {
    name: "Remark",
    doc: "A reviewer's note.",
    fields: &[
        required("at", Kind::Words, "what it is about: a point, a run, or a run and a part's number"),
        required("text", Kind::Words, "what there is to say"),
        optional("by", Kind::Words, "nobody", "initials"),
        optional("date", Kind::Words, "none", "when"),
        optional(
            "state",
            Kind::Choice(&[
                form("Open", FormBody::Alone, "waits for an answer"),
                form("Answered", FormBody::Alone, "answered, not settled"),
                form("Settled", FormBody::Alone, "done"),
            ]),
            "Open",
            "where it stands",
        ),
    ],
};

const DECLARED: Kind = Kind::Choice(&[
    form("Yes", FormBody::Slots(&[may("words", Kind::Words)]), "it is so, and how"),
    form("No", FormBody::Slots(&[may("words", Kind::Words)]), "it is not so"),
    form("Unknown", FormBody::Alone, "nobody has said"),
]);

const TENSIONING: Record = Record {
    name: "Tensioning",
    doc: "How the line is pulled to its tension; the webbing lock is slack meanwhile.",
    fields: &[
        required("side", SIDE, "the end that is pulled"),
        optional("at", POINT_REF, "that end of the main line", "the point that the system hangs on"),
        required(
            "reeving",
            Kind::Words,
            "5:1, 3:1 on 3:1 (the first in the hand), or the places of each rope from the hand: hand block1 anchor block1; block1 load anchor load",
        ),
        optional("turned", Kind::Flag, "false", "whether the hand's strand turns once more at the anchor"),
        required("sheave", ITEM_REF, "what each sheave is: a pulley with its efficiency, a ring, or a bare connector"),
        optional(
            "sheaves",
            Kind::List(&ITEM_REF),
            "all as sheave",
            "what the first sheave from the hand is, the second, and so on, where they differ",
        ),
        required("rope", ITEM_REF, "the rope"),
        required("grip", ITEM_REF, "what grips the line"),
        optional("capture", ITEM_REF, "none", "what holds the rope while nobody pulls"),
        optional("people", Kind::Whole, "3", "how many pull"),
        optional("each", FORCE, "0.3 kN", "with how much each"),
        optional("distance", LENGTH, "6 m", "between the blocks at the start"),
        optional("left_in", Kind::Flag, "false", "whether it stays in beside the lock"),
        optional("release", Kind::Words, "unknown", "how it is released under load"),
    ],
};

/// The whole plan.
pub const PLAN: Record = Record {
    name: "Plan",
    doc: "One rig.",
    fields: &[
        required("format", Kind::Whole, "version of the format; this is 1"),
        required("title", Kind::Words, "what the plan is called"),
        optional("note", Kind::Words, "none", "anything else"),
        required("site", Kind::Record(&SITE), "the gap"),
        optional("people", Kind::Record(&PEOPLE), "one walker of 80 kg", "who walks"),
        optional("factors", Kind::Record(&FACTORS), "5, 3 and 2", "the factors asked for"),
        optional("stands", Kind::Map(Keys::Own, &Kind::Record(&STAND)), "{}", "where somebody stood and looked from"),
        optional(
            "assumed",
            Kind::Map(Keys::Own, &Kind::Record(&ASSUMED)),
            "{}",
            "what nobody has measured, by its path: site.span, site.height_difference, site.ground, points.NAME.at",
        ),
        required("points", Kind::Map(Keys::Own, &POINT), "places where runs meet"),
        required("runs", Kind::Map(Keys::Own, &RUNS), "chains of parts between points"),
        optional(
            "items",
            Kind::Map(Keys::Own, &Kind::Record(&ITEM)),
            "{}",
            "the rigger's own gear; hides a built-in item of the same name",
        ),
        optional(
            "tensioning",
            Kind::Record(&TENSIONING),
            "none: the review does not see the tensioning",
            "the pulley system that pulls the line",
        ),
        optional(
            "crossing",
            Kind::Record(&CROSSING),
            "none: the review does not see how the line gets over",
            "how the line gets over the gap and down again",
        ),
        optional("days", Kind::List(&Kind::Record(&DAY)), "[]", "days at the line, as it was rigged"),
        optional(
            "rescue",
            Kind::Record(&RESCUE),
            "none: the review does not see how somebody gets off the line",
            "getting somebody off the line who hangs still",
        ),
        optional(
            "ties",
            Kind::Map(Keys::Own, &Kind::Record(&TIE)),
            "{}: the review does not see what people hang on who work at the edges",
            "ropes to work at the edges on",
        ),
        optional(
            "work",
            Kind::Map(Keys::From(&super::ties::Step::WORDS), &Kind::Record(&AT_STEP)),
            "{}",
            "who hangs on what, step by step",
        ),
        optional(
            "stay",
            Kind::Record(&STAY),
            "none: the review does not see nights",
            "how long the line stays up, and in what",
        ),
        optional(
            "crew",
            Kind::Record(&CREW),
            "none: the review does not see people and hours",
            "who comes, and the hours of the day",
        ),
        optional("claims", Kind::List(&Kind::Record(&CLAIM)), "[]", "figures that come with the plan"),
        optional("cases", Kind::List(&Kind::Record(&CASE)), "[]", "situations of the plan's own"),
        optional("declared", Kind::Map(Keys::Own, &DECLARED), "{}", "facts that no geometry shows"),
        optional("set_aside", Kind::Map(Keys::Own, &SET_ASIDE), "{}", "rules set aside, each with the reason"),
        optional("remarks", Kind::List(&Kind::Record(&REMARK)), "[]", "reviewers' notes"),
    ],
};

/// The whole plan, as a kind.
pub const ROOT: Kind = Kind::Record(&PLAN);
