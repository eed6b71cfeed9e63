//! What terminations, bends, hitches and conditions leave of a strength. Two figures each: the review counts the low one
//! and shows both.

use std::sync::OnceLock;

use serde::Deserialize;

use super::item::{Class, Fibre};

/// A kept share, low and nominal, and where it comes from.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Keeps {
    /// What counts.
    pub low: f64,
    /// What is usual.
    pub nominal: f64,
    /// Where the figures come from.
    pub source: String,
}

/// A way to end a soft part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Hash)]
pub enum Termination {
    /// Straight bury, tapered and lock-stitched.
    Buried,
    /// Buried without a taper.
    Untapered,
    /// Two ropes buried into each other, or a loop closed so.
    EndForEnd,
    /// The sliding bury of an adjustable sling.
    Adjustable,
    /// Tucked through instead of buried.
    Tucked,
    /// Sewn loop or joint.
    Sewn,
    /// Webbing lock.
    Lock,
    /// Ring lock, one wrap.
    RingSingle,
    /// Ring lock, two wraps.
    RingDouble,
    /// Girth hitch in the part's own end.
    Girth,
    /// Soft shackle with a diamond knot.
    Diamond,
    /// Soft shackle with a button knot and buried tails.
    Button,
}

/// What a knot is tied in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KnotMaterial {
    /// Nylon or polyester rope and cord.
    Rope,
    /// Webbing.
    Webbing,
    /// HMPE.
    Hmpe,
}

impl KnotMaterial {
    /// Of a part.
    #[must_use]
    pub fn of(class: Class, fibre: Fibre) -> Self {
        match (class, fibre) {
            (_, Fibre::Hmpe) | (Class::HollowBraid, _) => Self::Hmpe,
            (Class::Webbing | Class::Sling | Class::RoundSling, _) => Self::Webbing,
            _ => Self::Rope,
        }
    }
}

/// One knot in three materials.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Knot {
    /// Name in files.
    pub id: String,
    /// Name for people.
    pub title: String,
    rope: Keeps,
    webbing: Keeps,
    hmpe: Keeps,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Ended {
    how: Termination,
    title: String,
    keeps: Keeps,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Curve {
    points: Vec<(f64, f64, f64)>,
    source: String,
}

/// The tables.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Deratings {
    terminations: Vec<Ended>,
    /// Knots by name.
    pub knots: Vec<Knot>,
    bend: Curve,
    side_load: Curve,
    /// The choke of a sling about a trunk, at a choke angle above 120°.
    pub choke: Keeps,
    /// Sharing of parallel strands.
    pub sharing: Keeps,
    /// Nylon when wet.
    pub wet_nylon: Keeps,
    /// A connector pulled three ways or across, where it has no rating of its own for that.
    pub across: Keeps,
    /// A connector with its gate open, where it has no rating of its own for that.
    pub gate_open: Keeps,
}

impl Deratings {
    /// The built-in tables.
    ///
    /// # Panics
    /// Never on a released build: the data is embedded, and a test reads it.
    #[must_use]
    pub fn builtin() -> &'static Self {
        static BUILTIN: OnceLock<Deratings> = OnceLock::new();
        BUILTIN.get_or_init(|| {
            ron::from_str(include_str!("../../assets/deratings.ron"))
                .unwrap_or_else(|e| panic!("assets/deratings.ron: {e}"))
        })
    }

    /// A termination's share, with its name for people.
    #[must_use]
    pub fn termination(&self, how: Termination) -> (&str, &Keeps) {
        let found = self.terminations.iter().find(|t| t.how == how).unwrap_or(&self.terminations[0]);
        (&found.title, &found.keeps)
    }

    /// A knot's share; an unknown knot counts as the worst in the table.
    #[must_use]
    pub fn knot(&self, id: &str, material: KnotMaterial) -> (String, Keeps) {
        let pick = |k: &Knot| match material {
            KnotMaterial::Rope => k.rope.clone(),
            KnotMaterial::Webbing => k.webbing.clone(),
            KnotMaterial::Hmpe => k.hmpe.clone(),
        };
        if let Some(k) = self.knots.iter().find(|k| k.id == id) {
            return (k.title.clone(), pick(k));
        }
        let worst = self.knots.iter().map(pick).min_by(|a, b| a.low.total_cmp(&b.low));
        let mut keeps = worst.unwrap_or(Keeps { low: 0.3, nominal: 0.3, source: String::new() });
        "not stated: the worst knot of the table".clone_into(&mut keeps.source);
        (format!("knot “{id}”"), keeps)
    }

    /// Share kept around a bend of diameter over rope diameter `ratio`.
    #[must_use]
    pub fn bend(&self, ratio: f64) -> Keeps {
        self.bend.at(ratio)
    }

    /// Share a shackle keeps when pulled `degrees` off its axis: by the step that the angle falls into, for no table says
    /// more between two of them.
    #[must_use]
    pub fn side_load(&self, degrees: f64) -> Keeps {
        self.side_load.step(degrees)
    }
}

impl Curve {
    /// The point at or beyond `x`; beyond the last, the last.
    fn step(&self, x: f64) -> Keeps {
        let p = &self.points;
        let (_, low, nominal) = p[p.iter().position(|q| q.0 >= x - 1e-9).unwrap_or(p.len() - 1)];
        Keeps { low, nominal, source: self.source.clone() }
    }

    /// Between points by straight lines, beyond them by the nearest point.
    fn at(&self, x: f64) -> Keeps {
        let p = &self.points;
        let (low, nominal) = match p.iter().position(|q| q.0 >= x) {
            Some(0) => (p[0].1, p[0].2),
            None => (p[p.len() - 1].1, p[p.len() - 1].2),
            Some(i) => {
                let (a, b) = (p[i - 1], p[i]);
                let u = (x - a.0) / (b.0 - a.0);
                (a.1 + u * (b.1 - a.1), a.2 + u * (b.2 - a.2))
            }
        };
        Keeps { low, nominal, source: self.source.clone() }
    }
}
