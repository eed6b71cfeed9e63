//! The inventory's format: one table of fields for the check, the reader, both writers and the description.

use crate::catalogue::fields::{LENGTH, optional, required, slot};
use crate::catalogue::item::words;
use crate::document::schema::{Form, FormBody, Keys, Kind, Range, Record, Target};
use crate::units::Dim;

words! {
    /// What a piece was made into.
    Made, MADE:
    Line "by the metre: any length that is long enough will do",
    Sling "a sling with an eye at each end",
    Loop "an endless loop",
    SoftShackle "a soft shackle",
    Adjustable "an adjustable sling",
    Article "as it came: hardware, sewn slings, paper",
}

words! {
    /// What happened to a piece.
    What, WHATS:
    Inspected "looked over, and found fit",
    Failed "looked over, and found unfit",
    Out "packed for a plan",
    Back "brought home as it went out",
    Damaged "brought home damaged",
    Lost "not brought home",
    Repaired "repaired; to be looked over",
    Measured "measured anew",
    Retired "taken out of use for good",
    Rigged "hung in a rig for a day",
    EdgeContact "ran over an edge",
    Lightning "in a thunderstorm, or near a stroke",
    Flogged "flogged in wind",
    LockSlipped "slipped in a lock",
    Dropped "dropped from a height",
    Shock "caught a load that nobody planned",
}

const HOURS: Kind = Kind::Quantity(Dim::Time, Range::NotNegative);
const FORCE_0: Kind = Kind::Quantity(Dim::Force, Range::NotNegative);
const ITEM: Kind = Kind::Ref(Target::Item);

/// What happened to a piece on a day.
pub(super) const ENTRY: Record = Record {
    name: "Entry",
    doc: "What happened to a piece on a day. Entries are added, never rewritten.",
    fields: &[
        required("on", Kind::Date, "the day"),
        required("event", Kind::Choice(WHATS), "what happened"),
        optional("by", Kind::Words, "nobody", "who says so: initials"),
        optional("plan", Kind::Words, "none", "the plan that it was packed for or hung in"),
        optional("up", HOURS, "not noted", "how long it hung"),
        optional("sun", HOURS, "not noted", "how long of that in the sun"),
        optional("falls", Kind::Whole, "0", "leash falls on it"),
        optional("catches", Kind::Whole, "0", "catches by the backup"),
        optional("hardest", FORCE_0, "not noted", "the most that it felt"),
        optional("length", LENGTH, "not measured", "what was measured"),
        optional("note", Kind::Words, "none", "anything else: a proof load, what was seen"),
    ],
};

/// A piece of its own.
pub(super) const PIECE: Record = Record {
    name: "Piece",
    doc: "A piece with a name of its own: on its label, in the plan's `serial`, here.",
    fields: &[
        required("kind", ITEM, "what it is: an item of the catalogue, or of the plan that uses it"),
        optional("made", Kind::Choice(MADE), "Line of what is cut from a spool, Article of all else", "into what"),
        optional("length", LENGTH, "not measured", "of line: what there is; of a made piece: bearing to bearing, set"),
        optional(
            "eyes",
            Kind::Tuple(&[slot("one end", LENGTH), slot("other end", LENGTH)]),
            "not measured",
            "its eyes, lying flat",
        ),
        optional("batch", Kind::Words, "unknown", "the spool that it is from"),
        optional("maker_date", Kind::Date, "unknown", "when it was made"),
        optional("in_use_since", Kind::Date, "unknown", "when it was first used"),
        optional("retire_by", Kind::Date, "none", "not to be used from that day on"),
        optional("owner", Kind::Words, "the inventory's", "whose it is"),
        optional("place", Kind::Words, "not noted", "where it is kept"),
        optional("label", Kind::Words, "not noted", "what its label says"),
        optional("note", Kind::Words, "none", "anything else; it is printed"),
        optional("log", Kind::List(&Kind::Record(&ENTRY)), "[]", "what happened to it"),
    ],
};

/// Pieces that nobody tells apart.
pub(super) const COUNTED: Record = Record {
    name: "Counted",
    doc: "Pieces that are counted, not told apart: links, rings, sheaves.",
    fields: &[
        required("kind", ITEM, "what they are"),
        optional("count", Kind::Whole, "1", "how many"),
        optional("length", LENGTH, "not noted, and none serves where a length is asked for", "how long each is"),
        optional("inspected", Kind::Date, "never, or not noted", "last looked over"),
        optional("in_use_since", Kind::Date, "unknown", "when they were first used"),
        optional("retire_by", Kind::Date, "none", "not to be used from that day on"),
        optional("retired", Kind::Words, "in use", "why they must not hang in a rig: worn, bent"),
        optional(
            "kit",
            Kind::Flag,
            "false",
            "a thing of the gear list's kit or of paper, by the name in its brackets: it needs no looking over",
        ),
        optional("owner", Kind::Words, "the inventory's", "whose they are"),
        optional("place", Kind::Words, "not noted", "where they are kept"),
        optional("label", Kind::Words, "not noted", "what their labels say"),
        optional("note", Kind::Words, "none", "anything else; it is printed"),
    ],
};

/// What a club or a rigger owns.
pub const INVENTORY: Kind = Kind::Record(&Record {
    name: "Inventory",
    doc: "What a club or a rigger owns, a row a piece.",
    fields: &[
        required("format", Kind::Whole, "2"),
        optional("owner", Kind::Words, "not named", "whose it is"),
        optional("pieces", Kind::Map(Keys::Own, &Kind::Record(&PIECE)), "{}", "pieces by their names"),
        optional("counted", Kind::List(&Kind::Record(&COUNTED)), "[]", "pieces that are counted"),
    ],
});

/// The first form of an inventory: counted pieces alone.
pub(super) const FIRST: Kind = Kind::Record(&Record {
    name: "Inventory",
    doc: "An inventory of the first form.",
    fields: &[
        optional("owner", Kind::Words, "not named", "whose it is"),
        required(
            "items",
            Kind::List(&Kind::Record(&Record {
                name: "Owned",
                doc: "Pieces of one kind and age.",
                fields: &[
                    required("item", ITEM, "what they are"),
                    optional("count", Kind::Whole, "1", "how many"),
                    optional("owner", Kind::Words, "the inventory's", "whose they are"),
                    optional("label", Kind::Words, "not noted", "what their labels say"),
                    optional("in_service", Kind::Date, "unknown", "first used"),
                    optional("inspected", Kind::Date, "never, or not noted", "last looked over"),
                    optional("retire_by", Kind::Date, "none", "not to be used from that day on"),
                    optional("worn", Kind::Flag, "false", "must not hang in a rig"),
                    optional("note", Kind::Words, "none", "anything else"),
                ],
            })),
            "what there is",
        ),
    ],
});
