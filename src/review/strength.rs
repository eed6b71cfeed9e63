//! What is left of a part's rating: the least of its spots, times its conditions, with the whole chain of reasons.

use std::f64::consts::FRAC_PI_2;

use crate::bench::{POINT_DEG, Throat, usual_eye};
use crate::catalogue::{Class as ItemClass, Deratings, Fibre, Item, Keeps, KnotMaterial, Per, Rating, Termination};
use crate::plan::{End, EndKind, Gate, Hitch, Part, SpliceStyle};
use crate::rig::{Lay, Neighbour};
use crate::units::{Length, Quantity, System, mm};

/// One step from label to number.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What it is.
    pub what: String,
    /// How much.
    pub amount: Amount,
    /// Where the figure comes from.
    pub source: String,
}

/// The figure of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// A strength, N.
    Newton(f64),
    /// A kept share; low counts.
    Factor {
        /// What counts.
        low: f64,
        /// What is usual.
        nominal: f64,
    },
}

/// Why a piece gives way where it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weak {
    /// By its rating, or by what nothing below tells.
    Rated,
    /// How its end is made is not stated.
    EndNotStated,
    /// A knot.
    Knotted,
    /// Another termination than a knot.
    Ended,
    /// Too short a bury.
    ShortBury,
    /// A rope's eye on a thin pin.
    BareEye,
    /// A rope's eye on its thimble.
    ThimbledEye,
    /// Bent over something on its way.
    Bent,
    /// Pulled aside.
    Aside,
    /// Pulled three ways.
    ThreeWays,
    /// Legs spread wide in a shackle's bow.
    WideBow,
}

/// Strength of a piece with its derivation.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// What counts, N.
    pub low_n: f64,
    /// What would be usual, N.
    pub nominal_n: f64,
    /// Whether there is a rating at all.
    pub rated: bool,
    /// Where it gives way first, in words.
    pub spot: String,
    /// Why there.
    pub weak: Weak,
    /// Whether it has an end of which nothing says how it is made.
    pub end_not_stated: bool,
    /// From label to number.
    pub steps: Vec<Step>,
    /// Why the rating should not be taken at face value.
    pub doubts: Vec<String>,
    /// Working load limit, N.
    pub wll_n: Option<f64>,
}

impl Strength {
    /// Keeps only a share of it, for a reason.
    pub(super) fn keep(&mut self, (what, keeps): &(String, Keeps)) {
        self.low_n *= keeps.low;
        self.nominal_n *= keeps.nominal;
        self.spot.clone_from(what);
        let amount = Amount::Factor { low: keeps.low, nominal: keeps.nominal };
        self.steps.push(Step { what: what.clone(), amount, source: keeps.source.clone() });
    }

    /// Without a rating.
    #[must_use]
    pub fn unrated(why: &str) -> Self {
        Self {
            low_n: f64::NAN,
            nominal_n: f64::NAN,
            rated: false,
            spot: why.to_owned(),
            weak: Weak::Rated,
            end_not_stated: false,
            steps: Vec::new(),
            doubts: vec![why.to_owned()],
            wll_n: None,
        }
    }

    pub(super) fn start(what: &str, rating: &Rating, n: f64) -> Self {
        Self {
            low_n: n,
            nominal_n: n,
            rated: true,
            spot: "its rating".to_owned(),
            weak: Weak::Rated,
            end_not_stated: false,
            steps: vec![Step {
                what: format!("{what}: {}", rating.describe(System::Si)),
                amount: Amount::Newton(n),
                source: rating.basis().to_owned(),
            }],
            doubts: rating.doubt().into_iter().collect(),
            wll_n: rating.wll_n(),
        }
    }

    /// The strength that counts; nothing when there is no rating.
    #[must_use]
    pub fn counts_n(&self) -> Option<f64> {
        (self.rated && self.low_n.is_finite()).then_some(self.low_n)
    }

    fn times(&mut self, what: impl Into<String>, low: f64, nominal: f64, source: &str) {
        self.low_n *= low;
        self.nominal_n *= nominal;
        self.steps.push(Step { what: what.into(), amount: Amount::Factor { low, nominal }, source: source.to_owned() });
    }
}

/// Bury that counts in full, in rope diameters. Common practice, no source.
pub(super) const FULL_BURY: f64 = 72.0;
/// Bury under which a splice is not counted as one, in rope diameters. Common practice, no source.
pub(super) const LEAST_BURY: f64 = 60.0;
/// A hair under the full bury is a rounded measure, not a short bury; in rope diameters.
const ROUNDED: f64 = 1.0;
/// Diameter of a thimble's groove over the rope's. Common practice, no source.
const THIMBLE: f64 = 3.0;

/// How an end that the plan does not describe is made: as its neighbour and its class show.
#[must_use]
pub(super) fn end_of(item: &Item, stated: Option<&End>, neighbour: &Neighbour) -> Option<End> {
    if let Some(e) = stated {
        return Some(e.clone());
    }
    let kind = match item.class {
        ItemClass::Webbing if neighbour.lock => EndKind::Locked { wraps: None, tail: None },
        c if c.is_cut() => return None,
        _ => EndKind::Made,
    };
    Some(End { kind, keeps: None, eye: None })
}

/// Derated strength of a part against the tension of its run.
///
/// `ends` are what its two ends sit on; `over` what it slides over on the way (diameters in m).
#[must_use]
pub fn part_strength(
    part: &Part,
    item: &Item,
    lay: Lay,
    ends: [&Neighbour; 2],
    over: &[Neighbour],
    radius_m: f64,
    tables: &Deratings,
) -> Strength {
    let rating = item.rating.as_ref().and_then(|r| Some((r, r.minimum_n()?)));
    let Some((rating, n)) = rating else {
        return Strength::unrated(&format!("{} has no rating", item.title));
    };
    let mut base = Strength::start(&item.title, rating, n);
    base.wll_n = item.wll_n();
    if !item.class.is_soft() {
        return hardware_strength(base, part, item, tables);
    }
    if item.per == Per::Article && part.hitch == Hitch::Doubled {
        base.doubts.push("doubled article: its rating is counted for each half".to_owned());
    }
    hitch(&mut base, part.hitch, item, lay, tables);
    let mut spots: Vec<Strength> = Vec::new();
    for (i, neighbour) in ends.iter().enumerate() {
        spots.push(end_spot(&base, part, item, part.ends.as_ref().map(|e| &e[i]), neighbour, tables));
    }
    if let Some(d) = item.diameter.map(Quantity::si) {
        for seat in over {
            spots.push(bend_spot(&base, seat, d, "slides over", tables));
        }
        if radius_m > 0.0 && part.hitch != Hitch::Straight {
            let trunk =
                Neighbour { name: "the trunk".to_owned(), diameter_m: Some(2.0 * radius_m), lock: false, soft: false };
            spots.push(bend_spot(&base, &trunk, d, "lies around", tables));
        }
    }
    let end_not_stated = spots.iter().any(|s| s.end_not_stated);
    let least = spots.into_iter().min_by(|a, b| a.low_n.total_cmp(&b.low_n)).unwrap_or(base);
    conditions(Strength { end_not_stated, ..least }, part, item, tables)
}

fn hitch(s: &mut Strength, hitch: Hitch, item: &Item, lay: Lay, tables: &Deratings) {
    match hitch {
        Hitch::Straight => {}
        Hitch::Girth => {
            let (title, k) = tables.termination(Termination::Girth);
            s.times(title, k.low, k.nominal, &k.source);
        }
        Hitch::Choke => {
            let made = matches!(item.class, ItemClass::RoundSling | ItemClass::Sling);
            if made {
                s.times("choked (mode factor)", 0.8, 0.8, "EN 1492-1, EN 1492-2");
            } else {
                let k = &tables.choke;
                s.times("choked", k.low, k.nominal, &k.source);
            }
        }
        Hitch::Doubled => s.times("two strands", 2.0, 2.0, "statics"),
        Hitch::Basket | Hitch::Wrap(_) => {
            let angle = lay.opening_rad.to_degrees();
            s.times(format!("two strands {angle:.0}° apart: 2 cos(α/2)"), lay.strands, lay.strands, "statics");
        }
    }
}

fn end_spot(
    base: &Strength,
    part: &Part,
    item: &Item,
    stated: Option<&End>,
    on: &Neighbour,
    tables: &Deratings,
) -> Strength {
    let mut s = base.clone();
    let Some(end) = end_of(item, stated, on) else {
        let (_, k) = tables.knot("", KnotMaterial::of(item.class, item.fibre));
        s.times("end not stated: counted as the worst knot", k.low, k.nominal, &k.source);
        s.spot = format!("end at {}, not stated", on.name);
        (s.weak, s.end_not_stated) = (Weak::EndNotStated, true);
        s.doubts.push("how its end is made is not stated".to_owned());
        return s;
    };
    let (title, keeps) = termination(&end, item, tables);
    s.spot = format!("{title} at {}", on.name);
    s.weak = match end.kind {
        EndKind::Knotted(_) => Weak::Knotted,
        EndKind::Spliced { style, .. } if end.keeps.is_none() && short_bury(&end, item, style) => Weak::ShortBury,
        _ => Weak::Ended,
    };
    if end.keeps.is_some() || (keeps.low, keeps.nominal) != (1.0, 1.0) {
        s.times(title, keeps.low, keeps.nominal, &keeps.source);
    }
    // A rope's eye on its pin: two legs, unevenly loaded, bent and spread.
    let Some(d) = item.diameter.map(Quantity::si) else {
        return s;
    };
    if matches!(end.kind, EndKind::Locked { .. }) || item.class == ItemClass::SoftShackle {
        return s;
    }
    let thimble = matches!(end.kind, EndKind::Spliced { thimble: true, .. });
    let (seat, name) = if thimble {
        (THIMBLE * d, format!("thimble, groove {}", mm(THIMBLE * d)))
    } else {
        (on.diameter_m.unwrap_or(d), on.name.clone())
    };
    let bend = tables.bend(seat / d);
    // A thimble holds its throat; an eye that does not go round its pin holds nothing.
    let half_throat = if thimble {
        0.5 * POINT_DEG.to_radians()
    } else {
        let eye = end.eye.map_or_else(|| usual_eye(seat, d), Quantity::si);
        Throat::on(eye, seat, d).map_or(FRAC_PI_2, |t| t.half_rad)
    };
    let spread = half_throat.cos();
    let legs = |b: f64| 2.0 * tables.sharing.low * b * spread;
    let mut e = base.clone();
    e.spot = format!("eye on {name}");
    e.weak = if thimble { Weak::ThimbledEye } else { Weak::BareEye };
    e.times("two legs of the eye", 2.0, 2.0, "statics");
    e.times("uneven sharing of the two legs", tables.sharing.low, tables.sharing.low, &tables.sharing.source);
    let unknown = if on.diameter_m.is_none() && !thimble { " (diameter not known: 1 taken)" } else { "" };
    e.times(format!("bend, D/d = {:.1}{unknown}", seat / d), bend.low, bend.nominal, &bend.source);
    e.times(format!("throat of {:.0}°", 2.0 * half_throat.to_degrees()), spread, spread, "statics");
    // What the termination leaves, against what the eye's two legs leave; a girth hitch is its own bend.
    if legs(bend.low) < keeps.low && !matches!(end.kind, EndKind::Hitched) && part.hitch != Hitch::Girth {
        return e;
    }
    s
}

fn bend_spot(base: &Strength, seat: &Neighbour, d: f64, how: &str, tables: &Deratings) -> Strength {
    let ratio = seat.diameter_m.unwrap_or(d) / d;
    let k = tables.bend(ratio);
    let mut s = base.clone();
    s.spot = format!("{how} {}", seat.name);
    s.weak = Weak::Bent;
    s.times(format!("{how} {}, D/d = {ratio:.1}", seat.name), k.low, k.nominal, &k.source);
    s
}

fn termination(end: &End, item: &Item, tables: &Deratings) -> (String, Keeps) {
    if let Some(k) = end.keeps {
        return ("end, the rigger's own figure".to_owned(), Keeps { low: k, nominal: k, source: "rigger".to_owned() });
    }
    let of = |t: Termination| {
        let (title, k) = tables.termination(t);
        (title.to_owned(), k.clone())
    };
    match &end.kind {
        EndKind::Made => match item.class {
            ItemClass::SoftShackle => of(Termination::Diamond),
            _ => (
                "finished article".to_owned(),
                Keeps { low: 1.0, nominal: 1.0, source: "counted in its rating".to_owned() },
            ),
        },
        EndKind::Sewn => of(Termination::Sewn),
        EndKind::Hitched => of(Termination::Girth),
        EndKind::Knotted(knot) => tables.knot(knot, KnotMaterial::of(item.class, item.fibre)),
        EndKind::Locked { wraps: Some(w), .. } if *w < 1.5 => of(Termination::RingSingle),
        EndKind::Locked { wraps: Some(_), .. } => of(Termination::RingDouble),
        EndKind::Locked { wraps: None, .. } => of(Termination::Lock),
        EndKind::Spliced { bury, tapered, style, .. } => {
            let (mut title, mut k) = of(match (style, tapered) {
                (SpliceStyle::EndForEnd, _) => Termination::EndForEnd,
                (SpliceStyle::Adjustable, _) => Termination::Adjustable,
                (SpliceStyle::Tucked, _) => Termination::Tucked,
                (_, false) => Termination::Untapered,
                (_, true) => Termination::Buried,
            });
            if *style == SpliceStyle::Tucked {
                return (title, k);
            }
            let ratio = bury_ratio(*bury, item);
            if ratio < LEAST_BURY {
                let (_, knot) = tables.knot("", KnotMaterial::Hmpe);
                title = format!("bury of {ratio:.0} d is under {LEAST_BURY:.0} d: counted as slipping");
                k = Keeps { source: "common practice, no source".to_owned(), ..knot };
            } else if ratio < FULL_BURY - ROUNDED {
                title = format!("{title}, bury {ratio:.0} of {FULL_BURY:.0} d");
                k.low *= ratio / FULL_BURY;
                k.nominal *= ratio / FULL_BURY;
            } else {
                title = format!("{title}, bury {ratio:.0} d");
            }
            (title, k)
        }
    }
}

/// A bury in rope diameters; in full where it is not stated.
fn bury_ratio(bury: Option<Length>, item: &Item) -> f64 {
    bury.map_or(FULL_BURY, |b| b.si() / item.diameter.map_or(f64::NAN, Quantity::si))
}

fn short_bury(end: &End, item: &Item, style: SpliceStyle) -> bool {
    let EndKind::Spliced { bury, .. } = end.kind else { return false };
    style != SpliceStyle::Tucked && bury_ratio(bury, item) < FULL_BURY - ROUNDED
}

fn conditions(mut s: Strength, part: &Part, item: &Item, tables: &Deratings) -> Strength {
    let c = part.condition;
    for (name, kept) in [("light and age", c.age), ("abrasion", c.abrasion), ("heat", c.heat)] {
        if kept < 1.0 {
            s.times(name, kept, kept, "rigger");
        }
    }
    if c.wet && item.fibre == Fibre::Nylon {
        let k = &tables.wet_nylon;
        s.times("wet nylon", k.low, k.nominal, &k.source);
    }
    s
}

fn hardware_strength(mut s: Strength, part: &Part, item: &Item, tables: &Deratings) -> Strength {
    s = gated(s, item, part.gate, tables);
    let angle = part.off_axis.map_or(0.0, |a| a.si().to_degrees().abs());
    if angle > 0.0 {
        if matches!(item.class, ItemClass::Connector | ItemClass::QuickLink) && angle > 15.0 {
            s = across(s, item, tables, &format!("pulled {angle:.0}° off its axis"), Weak::Aside);
        } else {
            let k = tables.side_load(angle);
            s.times(format!("pulled {angle:.0}° off its axis"), k.low, k.nominal, &k.source);
            (s.spot, s.weak) = ("side load".to_owned(), Weak::Aside);
        }
    }
    let c = part.condition;
    if c.abrasion < 1.0 {
        s.times("wear", c.abrasion, c.abrasion, "rigger");
    }
    s
}

/// Strength of a connector with its gate as stated.
pub(super) fn gated(s: Strength, item: &Item, gate: Gate, tables: &Deratings) -> Strength {
    if gate != Gate::Open || !matches!(item.class, ItemClass::Connector | ItemClass::QuickLink) {
        return s;
    }
    other_rating(s, item.open.as_ref(), &tables.gate_open, "gate open", Weak::Rated)
}

/// Strength of a connector pulled three ways or across.
pub(super) fn across(s: Strength, item: &Item, tables: &Deratings, why: &str, weak: Weak) -> Strength {
    other_rating(s, item.minor.as_ref(), &tables.across, why, weak)
}

fn other_rating(mut s: Strength, rating: Option<&Rating>, share: &Keeps, why: &str, weak: Weak) -> Strength {
    if let Some((r, n)) = rating.and_then(|r| Some((r, r.minimum_n()?))) {
        let mut other = Strength::start(why, r, n);
        (other.spot, other.weak) = (why.to_owned(), weak);
        other.wll_n = s.wll_n;
        if other.low_n < s.low_n { other } else { s }
    } else {
        s.times(why, share.low, share.nominal, &share.source);
        (s.spot, s.weak) = (why.to_owned(), weak);
        s
    }
}
