//! The situations a rig is looked at in.

use glam::DVec3;

use super::rescue::On;
use super::situation::{Cause, FromSide, Share, Situation, With};
use crate::mechanics::G;
use crate::plan::{Plan, Side};
use crate::rig::{Expands, Load, Walker};
use crate::units::Quantity;

/// Class of a situation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Class {
    /// Meant to happen.
    Working,
    /// A leash fall.
    Fall,
    /// A piece of the rig has gone.
    Failure,
}

impl Class {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Working, Self::Fall, Self::Failure];

    /// As written.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Working => "working",
            Self::Fall => "fall",
            Self::Failure => "failure",
        }
    }
}

/// How the rig itself differs from the plan's drawing.
#[derive(Debug, Clone, PartialEq)]
pub enum Variant {
    /// As drawn.
    Drawn,
    /// This leg is short by its tolerance, the others of its anchor long by theirs.
    Short(usize),
    /// Friction holds most of the tension of this leg of a sliding run.
    Held {
        /// Index among the rig's legs.
        leg: usize,
        /// Which of its legs carries most.
        strand: usize,
    },
}

/// One situation.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Which it is.
    pub situation: Situation,
    /// Its class.
    pub class: Class,
    /// What is put on the rig.
    pub load: Load,
    /// How the rig differs.
    pub variant: Variant,
    /// Whether its gear is at the stiff end of what is usual, used and set under load, instead of new.
    pub set: bool,
    /// Whether the line is as slack as it becomes while it stays up.
    pub crept: bool,
}

/// Number of places of the sweep.
const PLACES: usize = 21;
/// How near the ends the sweep goes, as a share of the line.
const END: f64 = 0.01;

impl Case {
    /// What it is called.
    #[must_use]
    pub fn words(&self) -> String {
        self.situation.to_string()
    }

    fn working(situation: impl Into<Situation>, load: Load) -> Self {
        Self {
            situation: situation.into(),
            class: Class::Working,
            load,
            variant: Variant::Drawn,
            set: false,
            crept: false,
        }
    }

    /// This case with the rig differing from its drawing.
    #[must_use]
    pub fn varied(&self, variant: Variant, with: With) -> Self {
        Self { situation: self.situation.with(with), variant, ..self.clone() }
    }

    /// This case with gear that was used and set under load.
    #[must_use]
    pub fn set_gear(&self) -> Self {
        Self { situation: self.situation.with(With::SetGear), set: true, ..self.clone() }
    }

    /// Whether the line may hang lowest in it: as drawn, of new gear.
    pub(super) fn lowers(&self) -> bool {
        let drawn = self.variant == Variant::Drawn && !self.set;
        // Two towed at a place hang no lower than two who are there.
        drawn && self.situation != Situation::TENSIONING && !matches!(self.situation.cause, Cause::Towed { .. })
    }

    /// With nobody on it.
    #[must_use]
    pub fn standing() -> Self {
        Self::working(Situation::STANDING, Load::default())
    }

    /// One walker, the heaviest of the plan, at a share of the line.
    #[must_use]
    pub fn walker(plan: &Plan, at: f64) -> Self {
        Self::working(
            Situation::walker(at),
            Load { walkers: vec![walker(plan, heaviest_kg(plan), at, 1.0)], ..Load::default() },
        )
    }

    /// Towed: what hangs on the roller at a share of the line, the rope's pull at it, and at the end that pulls. On the
    /// backup alone the main line is gone: a failure.
    pub(super) fn towed((on, to): (On, Side), at: f64, load_n: f64, tow_n: DVec3) -> Self {
        let walkers = vec![Walker { tow_n, ..Walker::still(at, load_n) }];
        let ends_n = if to == Side::A { [-tow_n, DVec3::ZERO] } else { [DVec3::ZERO, -tow_n] };
        let load = Load { walkers, ends_n, ..Load::default() };
        let class = if on == On::Main { Class::Working } else { Class::Failure };
        Self { class, ..Self::working(Cause::Towed { on, to }, load) }
    }

    /// The places of the sweep.
    #[must_use]
    pub fn sweep() -> Vec<f64> {
        (0..PLACES).map(|i| (i as f64 / (PLACES - 1) as f64).clamp(END, 1.0 - END)).collect()
    }

    /// Masses of as many as the plan allows together at one place, the heaviest, kg.
    pub(super) fn together_masses(plan: &Plan) -> impl Iterator<Item = f64> {
        let mut masses: Vec<f64> = plan.people.walkers.iter().map(|m| m.si()).collect();
        masses.sort_by(|a, b| b.total_cmp(a));
        (0..plan.people.together.max(2)).map(move |i| masses.get(i).copied().unwrap_or(masses[0]))
    }

    /// Mass of all of them, kg.
    #[must_use]
    pub fn together_kg(plan: &Plan) -> f64 {
        Self::together_masses(plan).sum()
    }

    /// As many as the plan allows together at one place.
    #[must_use]
    pub fn together(plan: &Plan, at: f64) -> Self {
        let walkers = Self::together_masses(plan).map(|m| walker(plan, m, at, 1.0)).collect();
        let cause = Cause::Together { people: plan.people.together.max(2), at: Share::of(at) };
        Self::working(cause, Load { walkers, ..Load::default() })
    }

    /// The walker bouncing.
    #[must_use]
    pub fn bounce(plan: &Plan, at: f64) -> Self {
        let walkers = vec![walker(plan, heaviest_kg(plan), at, plan.people.bounce)];
        Self::working(Cause::Bounce { at: Share::of(at) }, Load { walkers, ..Load::default() })
    }

    /// This case in side wind, positive from the right (towards the left, seen from A).
    #[must_use]
    pub fn in_wind(mut self, speed_m_s: f64, with: fn(FromSide) -> With) -> Self {
        self.situation.with.push(with(FromSide::of(speed_m_s)));
        self.load.wind_m_s = speed_m_s;
        self
    }

    /// With nobody on it, in the strongest gust of each day that it stays up, from either side, at its coldest, with fibres
    /// that expand as much as they may, or as little.
    #[must_use]
    pub fn gusts(plan: &Plan) -> Vec<Self> {
        let Some(stay) = &plan.stay else { return Vec::new() };
        let rigged = plan.site.air.rigged_at.si();
        let days = stay.days.iter().filter(|d| d.gust.si() > 0.0);
        days.flat_map(|d| {
            let date = d.date.to_string();
            [1.0, -1.0].into_iter().flat_map(move |way| {
                let (wind_m_s, warmer_k, date) = (way * d.gust.si(), d.low.si() - rigged, date.clone());
                [Expands::Most, Expands::Least].map(move |expands| {
                    let mut with = vec![With::Gust { date: date.clone(), from: FromSide::of(wind_m_s) }];
                    with.extend((expands == Expands::Least).then_some(With::ExpandingLeast));
                    let load = Load { wind_m_s, warmer_k, expands, ..Load::default() };
                    Self::working(Situation { cause: Cause::Standing, with }, load)
                })
            })
        })
        .collect()
    }

    /// The day whose gust it is in.
    pub(super) fn gust_of(&self) -> Option<jiff::civil::Date> {
        self.situation.with.iter().find_map(|w| match w {
            With::Gust { date, .. } => date.parse().ok(),
            _ => None,
        })
    }

    /// This case with the line as slack as it becomes, in the weather then.
    #[must_use]
    pub(super) fn crept(&self, warmer_k: f64, expands: Expands) -> Self {
        let load = Load { warmer_k, expands, ..self.load.clone() };
        Self { situation: self.situation.with(With::Crept), crept: true, load, ..self.clone() }
    }

    /// This case warmer or colder than at rigging, with fibres that expand as much as they may, or as little.
    #[must_use]
    pub fn at_temperature(mut self, warmer_k: f64, expands: Expands) -> Self {
        self.situation.with.push(if warmer_k < 0.0 { With::Coldest } else { With::Warmest });
        if expands == Expands::Least {
            self.situation.with.push(With::ExpandingLeast);
        }
        (self.load.warmer_k, self.load.expands) = (warmer_k, expands);
        self
    }

    /// The plan's own situations.
    #[must_use]
    pub fn own(plan: &Plan) -> Vec<Self> {
        plan.cases
            .iter()
            .map(|c| {
                let mut walkers: Vec<Walker> =
                    c.walkers.iter().map(|(at, m)| walker(plan, m.si(), at.clamp(0.0, 1.0), 1.0)).collect();
                walkers.sort_by(|a, b| a.at.total_cmp(&b.at));
                let load = Load {
                    walkers,
                    wind_m_s: c.wind.map_or(0.0, Quantity::si),
                    warmer_k: c.temperature.map_or(0.0, |t| t.si() - plan.site.air.rigged_at.si()),
                    ..Load::default()
                };
                Self::working(Cause::Own { name: c.name.clone() }, load)
            })
            .collect()
    }
}

/// Mass of the heaviest walker, kg.
#[must_use]
pub(super) fn heaviest_kg(plan: &Plan) -> f64 {
    plan.people.walkers.iter().map(|m| m.si()).fold(0.0, f64::max)
}

fn walker(plan: &Plan, mass_kg: f64, at: f64, multiple: f64) -> Walker {
    Walker { drag_area_m2: plan.people.drag_area_m2, ..Walker::still(at, mass_kg * G * multiple) }
}
