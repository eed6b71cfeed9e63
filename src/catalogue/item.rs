//! One kind of gear.

use std::sync::Arc;

use super::rating::Rating;
use super::thread::Thread;
use crate::document::Reader;
use crate::document::schema::{Form, FormBody};
use crate::mechanics::creep::Flow;
use crate::mechanics::frame::Section;
use crate::mechanics::law::StrainLaw;
use crate::units::{Force, Length, LinearMassDensity, Mass, Quantity, Ratio, Stress, Time};

macro_rules! words {
    ($(#[$doc:meta])* $name:ident, $table:ident: $($variant:ident $text:literal),* $(,)?) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name {
            $(#[doc = $text] $variant),*
        }

        impl $name {
            /// Every one of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),*];

            /// As written in a file.
            #[must_use]
            pub fn id(self) -> &'static str {
                match self { $(Self::$variant => stringify!($variant)),* }
            }

            /// In words.
            #[must_use]
            pub fn words(self) -> &'static str {
                match self { $(Self::$variant => $text),* }
            }

            /// From what a file says.
            #[must_use]
            pub fn from_id(id: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|v| v.id() == id)
            }
        }

        pub(crate) const $table: &[Form] = &[
            $(Form { name: stringify!($variant), body: FormBody::Alone, doc: $text }),*
        ];
    };
}

pub(crate) use words;

words! {
    /// What kind of gear.
    Class, CLASSES:
    Webbing "webbing",
    Rope "rope",
    Cord "cord",
    HollowBraid "12-strand hollow braid",
    Sling "sewn sling",
    RoundSling "round sling",
    Shackle "shackle",
    QuickLink "quick link",
    Connector "connector",
    Ring "ring",
    Plate "rigging plate",
    Swivel "swivel",
    Bolt "bolt",
    Lock "webbing lock",
    Grip "webbing grip",
    Ratchet "ratchet tensioner",
    SoftShackle "soft shackle",
    Pulley "pulley",
    Leash "leash",
    Thimble "thimble",
    Strut "strut",
    Hardware "other hardware",
}

words! {
    /// What it is made of.
    Fibre, FIBRES:
    Nylon "nylon",
    Polyester "polyester",
    Hybrid "HMPE and polyester",
    Hmpe "HMPE",
    Aramid "aramid or LCP",
    Steel "steel",
    Aluminium "aluminium",
    Timber "timber",
}

/// What a rating counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Per {
    /// One strand.
    Strand,
    /// The whole article.
    Article,
}

impl Class {
    /// Made of fibre.
    #[must_use]
    pub fn is_soft(self) -> bool {
        matches!(
            self,
            Self::Webbing
                | Self::Rope
                | Self::Cord
                | Self::HollowBraid
                | Self::Sling
                | Self::RoundSling
                | Self::SoftShackle
                | Self::Leash
        )
    }

    /// Cut to length from a spool, so that its ends are the rigger's own work.
    #[must_use]
    pub fn is_cut(self) -> bool {
        matches!(self, Self::Webbing | Self::Rope | Self::Cord | Self::HollowBraid)
    }
}

/// A kind of gear with its figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Its name in files.
    pub id: String,
    /// Its name for people.
    pub title: String,
    /// What kind of gear.
    pub class: Class,
    /// What it is made of.
    pub fibre: Fibre,
    /// Minimum breaking strength, with its basis.
    pub rating: Option<Rating>,
    /// Across a bolt's axis.
    pub radial: Option<Rating>,
    /// Along a bolt's axis.
    pub axial: Option<Rating>,
    /// Across a connector's long axis.
    pub minor: Option<Rating>,
    /// With a connector's gate open.
    pub open: Option<Rating>,
    /// At one hole of a plate.
    pub hole: Option<Rating>,
    /// Working load limit beside the breaking strength.
    pub wll: Option<Force>,
    /// Average break that is usual for its size, to hold a label against.
    pub average: Option<Force>,
    /// What the rating counts.
    pub per: Per,
    /// Rope or stock diameter.
    pub diameter: Option<Length>,
    /// Webbing width.
    pub width: Option<Length>,
    /// Webbing or plate thickness.
    pub thickness: Option<Length>,
    /// Shackle pin diameter.
    pub pin: Option<Length>,
    /// Diameter of the metal an eye sits on.
    pub stock: Option<Length>,
    /// Its screw thread.
    pub thread: Option<Thread>,
    /// The thread that it is screwed onto or takes.
    pub socket: Option<Thread>,
    /// Diameter of the hole that a bolt, a pin or a link goes through.
    pub bore: Option<Length>,
    /// Outside diameter of a strut; of a round pole its least.
    pub outside: Option<Length>,
    /// Wall of a strut that is a tube.
    pub wall: Option<Length>,
    /// Stiffness of what a strut is made of (Young's modulus).
    pub modulus: Option<Stress>,
    /// Stress at which that yields.
    pub yields: Option<Stress>,
    /// How far a strut is bowed, as a share of its length.
    pub bow: Option<f64>,
    /// Clear width.
    pub opening: Option<Length>,
    /// Length pin to pin.
    pub length: Option<Length>,
    /// Mass of one.
    pub mass: Option<Mass>,
    /// Mass per metre.
    pub mass_per_length: Option<LinearMassDensity>,
    /// Stiffness in a fall over stiffness in a slow pull.
    pub dynamic: Option<f64>,
    /// Stiffness once used and set under load over stiffness when new.
    pub set: Option<f64>,
    /// Damping over stiffness in a fall.
    pub damping: Option<Time>,
    /// Whether a grip has teeth; nothing where it is not said.
    pub toothed: Option<bool>,
    /// A pulley's efficiency.
    pub efficiency: Option<f64>,
    /// Where the figures come from.
    pub source: String,
    /// Anything else.
    pub note: String,
    alpha_per_k: Option<f64>,
    creep: [Option<f64>; 2],
    stretch: Option<Arc<StrainLaw>>,
}

/// Stiffness of a metal part, N: that of 12 mm steel bar, 113 mm² × 200 `GPa`. Textbook value.
const METAL_EA_N: f64 = 22e6;

impl Item {
    /// Reads an item whose form has been checked.
    #[must_use]
    pub fn read(id: &str, r: Reader<'_>) -> Self {
        let class = r.get("class").and_then(|c| Class::from_id(c.name())).unwrap_or(Class::Hardware);
        let fibre = r.get("fibre").and_then(|c| Fibre::from_id(c.name())).unwrap_or(Fibre::Steel);
        let rating = |k: &str| r.get(k).and_then(Rating::read);
        let per = match r.get("per").map(Reader::name) {
            Some("Strand") => Per::Strand,
            Some("Article") => Per::Article,
            _ if class.is_cut() || class == Class::Leash => Per::Strand,
            _ => Per::Article,
        };
        let title = r.words("title");
        let source = r.words("source");
        Self {
            id: id.to_owned(),
            title: if title.is_empty() { id.to_owned() } else { title },
            class,
            fibre,
            rating: rating("rating"),
            radial: rating("radial"),
            axial: rating("axial"),
            minor: rating("minor"),
            open: rating("open"),
            hole: rating("hole"),
            wll: r.q("wll"),
            average: r.q("average"),
            per,
            diameter: r.q("diameter"),
            width: r.q("width"),
            thickness: r.q("thickness"),
            pin: r.q("pin"),
            stock: r.q("stock"),
            opening: r.q("opening"),
            thread: Thread::parse(&r.words("thread")),
            socket: Thread::parse(&r.words("socket")),
            bore: r.q("bore"),
            outside: r.q("outside"),
            wall: r.q("wall"),
            modulus: r.q("modulus"),
            yields: r.q("yields"),
            bow: r.n("bow"),
            length: r.q("length"),
            mass: r.q("mass"),
            mass_per_length: r.q("mass_per_length"),
            dynamic: r.n("dynamic"),
            set: r.n("set"),
            damping: r.q("damping"),
            toothed: r.get("toothed").and_then(Reader::flag),
            efficiency: r.n("efficiency"),
            source: if source.is_empty() { "the plan's own figures".to_owned() } else { source },
            note: r.words("note"),
            alpha_per_k: r.n("alpha_per_k"),
            creep: [
                r.get("creep").and_then(|c| c.n("per_decade")),
                r.get("creep").and_then(|c| c.q::<Ratio>("a_year")).map(Quantity::si),
            ],
            stretch: r.get("stretch").and_then(stretch).map(Arc::new),
        }
    }

    /// What a strut is cut from; nothing where a figure is not known, or a tube's wall fills it.
    #[must_use]
    pub fn section(&self) -> Option<Section> {
        let (outside_m, wall_m) = (self.outside?.si(), self.wall.map(Quantity::si));
        let whole = wall_m.is_none_or(|w| 2.0 * w < outside_m);
        let section = Section { outside_m, wall_m, modulus_pa: self.modulus?.si(), yields_pa: self.yields?.si() };
        whole.then_some(section)
    }

    /// How far a strut is bowed, as a share of its length: EN 1993-1-1, table 5.1 has 1/150 to 1/350; from memory.
    #[must_use]
    pub fn bow_ratio(&self) -> f64 {
        self.bow.unwrap_or(0.005)
    }

    /// Minimum breaking strength that counts, N.
    #[must_use]
    pub fn strength_n(&self) -> Option<f64> {
        self.rating.as_ref().and_then(Rating::minimum_n)
    }

    /// Working load limit, N, by label or by rating.
    #[must_use]
    pub fn wll_n(&self) -> Option<f64> {
        self.wll.map(Quantity::si).or_else(|| self.rating.as_ref().and_then(Rating::wll_n))
    }

    /// Whether the stretch is the item's own, not its fibre's.
    #[must_use]
    pub fn has_own_law(&self) -> bool {
        self.stretch.is_some() || !self.class.is_soft()
    }

    /// Stiffness in a fall over stiffness in a slow pull, at the soft and at the stiff end of what is usual for the
    /// fibre; the plan's own figure stands for both. From mooring practice (polyester: slow 10 to 15, fast 18 to 35 times
    /// the breaking load; HMPE 30 to 45 and 50 to 80; aramid 30 to 40 and 45 to 70; nylon 3 to 8 and 8 to 25), from
    /// memory, its upper end kept at twice: webbing was not measured.
    #[must_use]
    pub fn dynamic_stiffness_ratios(&self) -> [f64; 2] {
        self.dynamic.map_or(
            match self.fibre {
                Fibre::Nylon => [1.3, 2.0],
                Fibre::Polyester | Fibre::Hybrid | Fibre::Hmpe => [1.25, 2.0],
                Fibre::Aramid => [1.2, 1.7],
                Fibre::Steel | Fibre::Aluminium | Fibre::Timber => [1.0, 1.0],
            },
            |own| [own, own],
        )
    }

    /// Stiffness in a slow pull once used and set under load, over that when new. Braided rope beds in: 1.3 to 2 times,
    /// from memory; the upper end for 12-strand braid, the lower for covered rope and cord, none for webbing and slings.
    #[must_use]
    pub fn set_stiffness_ratio(&self) -> f64 {
        self.set.unwrap_or(match self.class {
            Class::HollowBraid | Class::SoftShackle => 2.0,
            Class::Rope | Class::Cord => 1.3,
            _ => 1.0,
        })
    }

    /// Damping over stiffness in a fall, s: low for the fibre, so that peaks come out high. Common practice, no source
    /// (share of energy lost in a slow cycle: nylon 0.3 to 0.5, polyester 0.2 to 0.35, HMPE 0.1 to 0.2).
    #[must_use]
    pub fn lag_s(&self) -> f64 {
        self.damping.map_or(
            match self.fibre {
                Fibre::Nylon => 2e-3,
                Fibre::Polyester => 1e-3,
                Fibre::Hybrid => 0.5e-3,
                Fibre::Hmpe | Fibre::Aramid => 0.2e-3,
                Fibre::Steel | Fibre::Aluminium | Fibre::Timber => 0.0,
            },
            Quantity::si,
        )
    }

    /// Strain against tension of one strand (or of the article, where the rating counts that), with its answer to
    /// motion: the soft end of what is usual, as when new.
    #[must_use]
    pub fn law(&self) -> Option<Arc<StrainLaw>> {
        Some(Arc::new(self.slow_law()?.in_motion(self.dynamic_stiffness_ratios()[0], self.lag_s())))
    }

    /// The same at the stiff end, as when used and set under load.
    #[must_use]
    pub fn set_law(&self) -> Option<Arc<StrainLaw>> {
        let set = self.slow_law()?.strands(self.set_stiffness_ratio());
        Some(Arc::new(set.in_motion(self.dynamic_stiffness_ratios()[1], self.lag_s())))
    }

    fn slow_law(&self) -> Option<StrainLaw> {
        if let Some(own) = &self.stretch {
            return Some(own.as_ref().clone());
        }
        if !self.class.is_soft() {
            return StrainLaw::linear(METAL_EA_N).ok();
        }
        let strength = self.strength_n()?;
        // Shares of the breaking strength against strain, by fibre; from memory, the stiff side of what is usual.
        let points: &[(f64, f64)] = match self.fibre {
            Fibre::Nylon => &[(0.08, 0.03), (0.15, 0.06), (0.35, 0.12), (1.0, 0.22)],
            Fibre::Polyester => &[(0.07, 0.01), (0.13, 0.018), (0.33, 0.036), (1.0, 0.12)],
            Fibre::Hybrid => &[(0.05, 0.004), (0.25, 0.018), (1.0, 0.06)],
            Fibre::Hmpe | Fibre::Aramid => &[(0.1, 0.004), (0.3, 0.009), (1.0, 0.034)],
            Fibre::Steel | Fibre::Aluminium | Fibre::Timber => &[(1.0, 0.004)],
        };
        let scaled: Vec<_> = points.iter().map(|(t, e)| (t * strength, *e)).collect();
        StrainLaw::from_points(&scaled).ok()
    }

    /// Thermal expansion per kelvin along the fibre or metal, from the least to the largest of what is usual. Drawn
    /// fibres are no bulk polymer: they may shorten or lengthen when warmed until somebody has measured it. From memory
    /// (aramid −2e-6 in a textbook table, HMPE −1.2e-5 widely quoted, oriented nylon shortens); the plan's own figure
    /// stands for both ends.
    #[must_use]
    pub fn alphas_per_k(&self) -> [f64; 2] {
        self.alpha_per_k.map_or(
            match self.fibre {
                Fibre::Nylon => [-1e-4, 3e-5],
                Fibre::Polyester => [-3e-5, 2e-5],
                Fibre::Hybrid => [-2e-5, 0.0],
                Fibre::Aramid => [-5e-6, -2e-6],
                Fibre::Hmpe => [-1.2e-5, -1.2e-5],
                Fibre::Steel => [1.2e-5, 1.2e-5],
                Fibre::Aluminium => [2.3e-5, 2.3e-5],
                Fibre::Timber => [0.0, 0.0],
            },
            |own| [own, own],
        )
    }

    /// Share by which every stretch grows with a decade of time, least and most; the plan's own figure stands for both. From
    /// what nylon and polyester lose in a day (10 to 25 %; common practice, no source), the others from memory.
    #[must_use]
    pub fn creep_per_decade(&self) -> [f64; 2] {
        self.creep[0].map_or(
            match self.fibre {
                Fibre::Nylon => [0.04, 0.10],
                Fibre::Polyester | Fibre::Hybrid => [0.03, 0.06],
                Fibre::Hmpe => [0.02, 0.06],
                Fibre::Aramid => [0.01, 0.03],
                Fibre::Steel | Fibre::Aluminium | Fibre::Timber => [0.0, 0.0],
            },
            |own| [own, own],
        )
    }

    /// How it flows for good under a steady pull; nothing for what does not, or has no strength that counts. HMPE: from a
    /// design figure of 2.5 mm a year on 15 m at a sixteenth of the strength (common practice, no source), raised by powers
    /// of 3 to 5; grades differ by ten; power and energy from fits to drawn polyethylene (J. Chem. Phys. 153, 144904, 2020:
    /// 1.5 eV), widened. Of a hybrid it is not known how much of it is HMPE: none of it, or all.
    #[must_use]
    pub fn flow(&self) -> Option<Flow> {
        let usual = match self.fibre {
            Fibre::Hmpe => [0.003, 0.05],
            Fibre::Hybrid => [0.0, 0.05],
            Fibre::Nylon | Fibre::Polyester | Fibre::Aramid | Fibre::Steel | Fibre::Aluminium | Fibre::Timber => {
                return None;
            }
        };
        Some(Flow {
            strength_n: self.strength_n()?,
            a_year: self.creep[1].map_or(usual, |own| [own, own]),
            power: [3.0, 8.0],
            activation_j_per_mol: [60e3, 135e3],
        })
    }

    /// Whether how it creeps is its own figure.
    #[must_use]
    pub fn creep_measured(&self) -> bool {
        self.creep.iter().any(Option::is_some)
    }

    /// Length pin to pin of hardware, m.
    #[must_use]
    pub fn hardware_length_m(&self) -> f64 {
        self.length.map_or(0.1, Quantity::si)
    }

    /// Mass per metre of a length of it, kg/m: of webbing and rope by the metre, of hardware by its own length.
    #[must_use]
    pub fn mass_per_m(&self) -> f64 {
        match (self.mass_per_length, self.mass) {
            (Some(m), _) => m.si(),
            (None, Some(m)) => m.si() / self.hardware_length_m(),
            (None, None) => 0.0,
        }
    }

    /// Diameter of what a neighbour's eye sits on, m, and which part of the item that is: the thinner of pin and bow,
    /// when both could be it.
    #[must_use]
    pub fn seat_m(&self) -> Option<(f64, &'static str)> {
        let stock = self.stock.or(if self.class.is_soft() { None } else { self.diameter });
        match (self.pin, stock) {
            (Some(p), Some(s)) if p.si() < s.si() => Some((p.si(), "pin")),
            (_, Some(s)) => Some((s.si(), if self.class == Class::Shackle { "bow" } else { "stock" })),
            (Some(p), None) => Some((p.si(), "pin")),
            (None, None) if self.class.is_soft() => self.diameter.map(|d| (d.si(), "rope")),
            (None, None) => None,
        }
    }

    /// Thickness across a bend, m: of rope its diameter, of webbing its thickness.
    #[must_use]
    pub fn thickness_m(&self) -> Option<f64> {
        self.diameter.or(self.thickness).map(Quantity::si)
    }
}

fn stretch(r: Reader<'_>) -> Option<StrainLaw> {
    if r.name() == "Stiffness" {
        return StrainLaw::linear(r.at(0)?.quantity::<Force>()?.si()).ok();
    }
    let points: Option<Vec<_>> = r
        .items()
        .iter()
        .map(|p| {
            let p = Reader(p);
            Some((p.at(0)?.quantity::<Force>()?.si(), p.at(1)?.quantity::<Ratio>()?.si()))
        })
        .collect();
    StrainLaw::from_points(&points?).ok()
}

/// Why the stretch points of an item are no law, if they are not.
#[must_use]
pub(crate) fn stretch_fault(r: Reader<'_>) -> Option<String> {
    if r.name() == "Stiffness" {
        return None;
    }
    let points: Vec<_> = r
        .items()
        .iter()
        .filter_map(|p| {
            let p = Reader(p);
            Some((p.at(0)?.quantity::<Force>()?.si(), p.at(1)?.quantity::<Ratio>()?.si()))
        })
        .collect();
    StrainLaw::from_points(&points).err().map(|e| e.to_string())
}
