//! The catalogue's part of the format: what may be said of an item.

use crate::document::schema::{Field, Form, FormBody, Keys, Kind, Need, Range, Record, Slot};
use crate::units::Dim;

pub(crate) use super::item::stretch_fault;
use super::item::{CLASSES, FIBRES};

pub(crate) const fn required(name: &'static str, kind: Kind, doc: &'static str) -> Field {
    Field { name, kind, need: Need::Required, doc }
}

pub(crate) const fn optional(name: &'static str, kind: Kind, default: &'static str, doc: &'static str) -> Field {
    Field { name, kind, need: Need::Default(default), doc }
}

pub(crate) const fn slot(name: &'static str, kind: Kind) -> Slot {
    Slot { name, kind, optional: false }
}

pub(crate) const fn may(name: &'static str, kind: Kind) -> Slot {
    Slot { name, kind, optional: true }
}

pub(crate) const FORCE: Kind = Kind::Quantity(Dim::Force, Range::Positive);
pub(crate) const LENGTH: Kind = Kind::Quantity(Dim::Length, Range::Positive);

const fn form(name: &'static str, body: FormBody, doc: &'static str) -> Form {
    Form { name, body, doc }
}

/// How strong, and how that is known.
pub const RATING: Kind = Kind::Choice(&[
    form("Label", FormBody::Slots(&[slot("minimum breaking strength", FORCE)]), "what the maker's label says"),
    form(
        "Standard",
        FormBody::Slots(&[slot("minimum breaking strength", FORCE), slot("standard", Kind::Words)]),
        "the least that a named standard demands",
    ),
    form(
        "Average",
        FormBody::Slots(&[slot("average break", FORCE)]),
        "an average break; nine tenths of it count, and it is flagged",
    ),
    form(
        "Tested",
        FormBody::Slots(&[
            slot("pulls", Kind::Whole),
            slot("mean", FORCE),
            slot("spread (one standard deviation)", Kind::Quantity(Dim::Force, Range::NotNegative)),
            may("lowest", FORCE),
        ]),
        "own pull tests: the mean less three spreads counts, but no more than the lowest",
    ),
    form(
        "Pulls",
        FormBody::Slots(&[slot("what each broke at", Kind::List(&FORCE))]),
        "own pull tests, pull by pull: mean, spread and lowest are worked out, and count as in Tested",
    ),
    form(
        "Typical",
        FormBody::Slots(&[slot("minimum breaking strength", FORCE)]),
        "a value of the class; usable, and flagged",
    ),
    form(
        "Judged",
        FormBody::Slots(&[slot("strength", FORCE), slot("reason", Kind::Words)]),
        "the rigger's word, shown as such",
    ),
    form(
        "Limit",
        FormBody::Slots(&[slot("working load limit", FORCE), slot("design factor", Kind::Number(Range::Positive))]),
        "a working load limit with its design factor; their product counts as breaking strength",
    ),
]);

const STRETCH: Kind = Kind::Choice(&[
    form(
        "",
        FormBody::Bare(&Kind::List(&Kind::Tuple(&[
            slot("tension", FORCE),
            slot("stretch", Kind::Quantity(Dim::Share, Range::Positive)),
        ]))),
        "stretch at tensions, from none at none, joined by straight lines; the last slope goes on",
    ),
    form(
        "Stiffness",
        FormBody::Slots(&[slot("EA", FORCE)]),
        "one stiffness EA: the force that would double the length",
    ),
]);

const PER: Kind = Kind::Choice(&[
    form("Strand", FormBody::Alone, "the rating is for one strand"),
    form("Article", FormBody::Alone, "the rating is for the finished article, strands counted in"),
]);

const CREEP: Record = Record {
    name: "Creep",
    doc: "How it comes longer under a steady pull.",
    fields: &[
        optional(
            "per_decade",
            Kind::Number(Range::Share),
            "by fibre, both ends of a range",
            "every stretch grows by so much of itself with every decade of time, counted from a minute",
        ),
        optional(
            "a_year",
            Kind::Quantity(Dim::Share, Range::NotNegative),
            "by fibre, both ends of a range",
            "lasting stretch in a year at a fifth of the strength and 22 °C",
        ),
        optional("measured", Kind::Words, "not said", "how that is known"),
    ],
};

/// One item.
pub const ITEM: Record = Record {
    name: "Item",
    doc: "A kind of gear.",
    fields: &[
        optional("title", Kind::Words, "its name", "what it is called on screens and sheets"),
        required("class", Kind::Choice(CLASSES), "what kind of gear it is"),
        optional("fibre", Kind::Choice(FIBRES), "steel for hardware", "what it is made of"),
        optional("rating", RATING, "unrated", "how strong it is, and how that is known"),
        optional("radial", RATING, "unrated", "a bolt's strength across its axis"),
        optional("axial", RATING, "unrated", "a bolt's strength along its axis (pull-out)"),
        optional(
            "minor",
            RATING,
            "a third of the rating for connectors and quick links",
            "a connector's strength across its long axis",
        ),
        optional("open", RATING, "a third of the rating for connectors", "a connector's strength with an open gate"),
        optional("hole", RATING, "the rating", "a plate's strength at one hole"),
        optional("wll", FORCE, "none", "working load limit, when the label gives one beside the breaking strength"),
        optional("average", FORCE, "none", "average break that is usual for its size, to hold a label against"),
        optional("per", PER, "strand for webbing, rope, cord and hollow braid; else article", "what the rating counts"),
        optional("diameter", LENGTH, "none", "diameter of a rope, or of the stock of a ring"),
        optional("width", LENGTH, "none", "width of webbing or sling"),
        optional("thickness", LENGTH, "none", "thickness of webbing or plate"),
        optional("pin", LENGTH, "none", "diameter of a shackle's pin"),
        optional("stock", LENGTH, "none", "diameter of the metal that a neighbour's eye sits on, pin aside"),
        optional("opening", LENGTH, "none", "clear width between a shackle's jaws, or of a link's mouth"),
        optional("thread", Kind::Words, "none", "a bolt's or an eye bolt's screw thread, as M12, M12x1.25, 3/8-16"),
        optional(
            "socket",
            Kind::Words,
            "none",
            "the thread that it is screwed onto or takes: of an eye nut, of a sleeve",
        ),
        optional("bore", LENGTH, "none", "diameter of the hole that a bolt, a pin or a link goes through"),
        optional("outside", LENGTH, "none", "outside diameter of a strut; of a round pole its least"),
        optional("wall", LENGTH, "solid", "wall of a strut that is a tube"),
        optional(
            "modulus",
            Kind::Quantity(Dim::Stress, Range::Positive),
            "unrated",
            "stiffness of what a strut is made of (Young's modulus); of timber the rigger's own figure",
        ),
        optional("yields", Kind::Quantity(Dim::Stress, Range::Positive), "unrated", "stress at which that yields"),
        optional(
            "bow",
            Kind::Number(Range::NotNegative),
            "0.005",
            "how far a strut is bowed, as a share of its length",
        ),
        optional("length", LENGTH, "0.1 m for hardware", "length pin to pin"),
        optional("mass", Kind::Quantity(Dim::Mass, Range::NotNegative), "none", "mass of one"),
        optional(
            "mass_per_length",
            Kind::Quantity(Dim::LinearMass, Range::NotNegative),
            "none",
            "mass per metre of unstretched length",
        ),
        optional("stretch", STRETCH, "by fibre and rating, and flagged", "how it stretches under a slow pull"),
        optional(
            "dynamic",
            Kind::Number(Range::Positive),
            "by fibre, both ends of a range: nylon 1.3 to 2, polyester and HMPE 1.25 to 2",
            "stiffness in a fall over stiffness in a slow pull",
        ),
        optional(
            "set",
            Kind::Number(Range::Positive),
            "2 for hollow braid, 1.3 for rope and cord, else 1",
            "stiffness once used and set under load over stiffness when new",
        ),
        optional(
            "damping",
            Kind::Quantity(Dim::Time, Range::NotNegative),
            "by fibre: 2 ms nylon, 1 ms polyester, less for others",
            "damping over stiffness, in a fall",
        ),
        optional(
            "alpha_per_k",
            Kind::Number(Range::Any),
            "by fibre, both ends of a range",
            "thermal expansion per kelvin",
        ),
        optional("creep", Kind::Record(&CREEP), "by fibre, both ends of a range", "how it comes longer while it hangs"),
        optional(
            "efficiency",
            Kind::Number(Range::Share),
            "by kind of bearing",
            "a pulley's tension out over tension in",
        ),
        optional("toothed", Kind::Flag, "not known", "whether a grip has teeth"),
        optional("source", Kind::Words, "the plan", "where the figures come from"),
        optional("note", Kind::Words, "none", "anything else"),
    ],
};

/// The catalogue file.
pub(super) const CATALOGUE: Kind = Kind::Record(&Record {
    name: "Catalogue",
    doc: "Items by name.",
    fields: &[
        required("version", Kind::Words, "version of the data"),
        required("items", Kind::Map(Keys::Own, &Kind::Record(&ITEM)), "the items"),
    ],
});
