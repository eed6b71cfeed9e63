//! What can be made, and what is known of it before the rope is cut.

use super::braid::{Band, Hand, bare};
use super::rope::{Refusal, Rope};
use super::throat::{POINT_DEG, Throat, WIDEST_DEG, half_eye, usual_eye};
use super::{adjustable, endless, shackle, sling};
use crate::catalogue::{Deratings, Termination};
use crate::mechanics::G;
use crate::units::mm;

/// Full bury, in rope diameters. Common practice, no source.
pub(super) const BURY_D: f64 = 72.0;
/// Least bury that people may hang on, in rope diameters. Common practice, no source.
pub(super) const LEAST_BURY_D: f64 = 60.0;
/// Least taper, in rope diameters, and its share of the bury. Common practice, no source.
const TAPER_D: f64 = 24.0;
const TAPER_SHARE: f64 = 1.0 / 3.0;
/// Plain rope between two tips, in rope diameters. A judgement, untested.
pub(super) const GAP_D: f64 = 4.0;
/// How far past the tip the fid comes out, in rope diameters. A judgement, untested.
const EXIT_D: f64 = 5.0;
/// What the marks of one piece are off by, by hand, m: 2 mm a mark.
pub(super) const BY_HAND_M: f64 = 0.004;
/// A lock by passing: how much further on the bury begins, and what rope it takes, in rope diameters. From memory.
pub(super) const LOCK_SHIFT_D: f64 = 2.0;
const LOCK_TAKES_D: f64 = 3.0;
/// Longest piece that is taken for meant, m.
const LONGEST_M: f64 = 500.0;
/// Proof load over the low strength: twice the rated load at a design factor of 5 (ASME B30.9, from memory).
const PROOF: f64 = 0.40;
/// A proof load over this share of the low strength wants a bigger rope.
const PROOF_AT_MOST: f64 = 0.50;
/// Over the largest working demand on a piece its proof is at least so many times that. Common practice, no source.
const PROOF_OVER_DEMAND: f64 = 1.25;

/// What keeps an idle splice shut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lock {
    /// Stitches through host and tail.
    #[default]
    Stitched,
    /// Tail and standing part passed through each other; the far end must be bare.
    Passed,
    /// The same from one end, by turning the braid inside out; the far end may be closed, the eye must be empty.
    Turned,
}

/// An eye to be spliced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eye {
    /// Diameter of what it goes over, m; of a thimble, the root of its groove.
    pub pin_m: f64,
    /// Half of the rope between its throat marks, m; what suits the pin when nothing is said.
    pub half_m: Option<f64>,
    /// On a thimble.
    pub thimble: bool,
    /// Length of the tail that is buried, m; 72 diameters when nothing is said.
    pub bury_m: Option<f64>,
    /// What keeps it shut while idle.
    pub lock: Lock,
}

impl Eye {
    /// A plain eye over a pin.
    #[must_use]
    pub fn over(pin_m: f64) -> Self {
        Self { pin_m, half_m: None, thimble: false, bury_m: None, lock: Lock::Stitched }
    }
}

/// The knot of a soft shackle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ShackleKnot {
    /// A diamond, its tails left standing.
    Diamond,
    /// A button, its tails buried back into their legs.
    Button,
}

/// What is to be made. Lengths run from bearing to bearing on the piece's own pins, once it is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gear {
    /// One eye at the end of a rope.
    EyeSplice {
        /// The eye.
        eye: Eye,
        /// From its pin's bearing to the far end, m.
        length_m: f64,
    },
    /// Eye and eye.
    Sling {
        /// Its eyes, in the order of work.
        eyes: [Eye; 2],
        /// Finished, m.
        length_m: f64,
    },
    /// A loop without end.
    Loop {
        /// Finished, m.
        length_m: f64,
        /// What it lies on, m.
        pins_m: [f64; 2],
        /// Each of its two buries, m.
        bury_m: Option<f64>,
    },
    /// A soft shackle.
    SoftShackle {
        /// Closed, m.
        length_m: f64,
        /// What it is closed on, at either end, m.
        pin_m: f64,
        /// How it is stopped.
        knot: ShackleKnot,
    },
    /// A sling with one fixed eye and one that slides.
    Adjustable {
        /// The fixed eye.
        eye: Eye,
        /// What the sliding loop goes over, m.
        far_pin_m: f64,
        /// At its longest, m.
        longest_m: f64,
    },
}

/// Where a mark is measured from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// The tip of end 1, on bare rope.
    End1,
    /// The tip of end 2, on bare rope.
    End2,
    /// The finished first throat.
    Throat,
    /// The tip of end 2, once it is trimmed at A′.
    Trimmed,
}

/// A lettered mark on the rope, in the order of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Its letter, as on the drawing.
    pub letter: String,
    /// From where it is measured.
    pub from: From,
    /// How far from there, m.
    pub at_m: f64,
    /// What it is for.
    pub what: &'static str,
}

/// A step at the table; a second person signs what it holds for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What to do.
    pub text: String,
    /// What the second person looks at before the work goes on.
    pub hold: Option<String>,
}

/// An eye as it is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EyeMade {
    /// Half of the rope between its throat marks, m.
    pub half_m: f64,
    /// What it goes over, m.
    pub pin_m: f64,
    /// On a thimble.
    pub thimble: bool,
    /// How it lies there.
    pub throat: Throat,
}

/// What to cut, mark and do.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// What it is.
    pub title: &'static str,
    /// What was asked for.
    pub gear: Gear,
    /// The rope.
    pub rope: Rope,
    /// What rope and hand make of it.
    pub hand: Hand,
    /// Rope that goes into it, m.
    pub cut_m: f64,
    /// Rope to cut beyond that, trimmed once the first splice has shown what it took, m.
    pub spare_m: f64,
    /// Finished, m, bearing to bearing, set.
    pub finished_m: f64,
    /// By how much it may come out shorter, and longer, m: every error at its end.
    pub off_m: [f64; 2],
    /// What the maker measures on the table, and how much it is, m.
    pub on_the_table: Vec<(&'static str, f64)>,
    /// Least finished length with these eyes and buries, m.
    pub least_m: f64,
    /// Its eyes.
    pub eyes: Vec<EyeMade>,
    /// Length of each bury, m.
    pub buries_m: Vec<f64>,
    /// Marks in the order of work.
    pub marks: Vec<Mark>,
    /// Strength by its splice or knot, N, low and nominal; nothing for an unrated rope.
    pub strength_n: Option<[f64; 2]>,
    /// Low strength on its own pins, N.
    pub on_pins_n: Option<f64>,
    /// What the strength follows from, in words.
    pub strength_why: String,
    /// Load to set it with, N, from and to.
    pub set_n: Option<[f64; 2]>,
    /// Load to prove it with, once, N.
    pub proof_n: Option<f64>,
    /// What else the maker must know.
    pub notes: Vec<Note>,
}

/// What the maker must know beside the marks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Note {
    /// An eye is for a thimble that was not measured.
    Thimble {
        /// Half of its rope, m.
        half_m: f64,
        /// Groove at its root, m.
        groove_m: f64,
    },
    /// A pin under two rope diameters.
    ThinPin {
        /// Pin, m.
        pin_m: f64,
        /// Rope, m.
        rope_m: f64,
    },
    /// The tips of two buries can meet.
    TipsCanMeet {
        /// Plain rope that is counted between them, m.
        plain_m: f64,
        /// What the second bury may take of it, m.
        more_m: f64,
    },
    /// Both legs of a loop bear.
    BothLegsBear,
    /// The full bury of a loop lies on a pin.
    BuryOnPin {
        /// Up to this finished length, m.
        under_m: f64,
    },
    /// A soft shackle whose knot is not set counts as its rope.
    UnsetCountsAsRope,
    /// The first of a batch is a trial.
    FirstIsTrial,
    /// What a soft shackle closes on.
    ClosesOn {
        /// As thick as this or thicker, m.
        rope_m: f64,
    },
    /// What can be pulled does not set it.
    CannotSet {
        /// What can be pulled, N.
        pull_n: f64,
        /// What the first hard day adds, m.
        grows_m: f64,
    },
    /// What can be pulled does not prove it.
    CannotProve {
        /// What can be pulled, N.
        pull_n: f64,
    },
    /// A tip of a loop lies at a pin.
    TipAtPin {
        /// Up to this finished length, m.
        under_m: f64,
    },
    /// An end was to be locked, and is stitched: its eye is never empty.
    StitchedInstead,
    /// The tail's own eye takes rope.
    HandleTakes {
        /// How much, m.
        rope_m: f64,
    },
    /// Its proof, raised for what it carries, is over half of what it holds.
    ProofIsHigh {
        /// Proof load, N.
        proof_n: f64,
        /// What it holds, N.
        low_n: f64,
    },
    /// What an adjustable sling reaches.
    Reaches {
        /// Shortest and longest, m.
        reach_m: [f64; 2],
        /// Tail outside at its longest and shortest, m.
        tail_m: [f64; 2],
    },
}

/// Designs a piece of gear.
///
/// # Errors
/// A bury under the limit, an eye that does not go round its pin, a length too short for its buries: with the figure that
/// would work.
pub fn design(gear: &Gear, rope: &Rope, hand: &Hand, tables: &Deratings) -> Result<Design, Refusal> {
    let (Gear::EyeSplice { length_m, .. }
    | Gear::Sling { length_m, .. }
    | Gear::Loop { length_m, .. }
    | Gear::SoftShackle { length_m, .. }
    | Gear::Adjustable { longest_m: length_m, .. }) = *gear;
    if !(length_m > 0.0 && length_m <= LONGEST_M) {
        return Err(Refusal::new(
            format!("a finished length of {length_m} m cannot be made"),
            format!("a length over nothing, up to {LONGEST_M:.0} m"),
        ));
    }
    let on = At { rope, hand, tables };
    let mut out = match *gear {
        Gear::EyeSplice { eye, length_m } => sling::eye_splice(gear, eye, length_m, &on),
        Gear::Sling { eyes, length_m } => sling::sling(gear, eyes, length_m, &on),
        Gear::Loop { length_m, pins_m, bury_m } => endless::endless(gear, length_m, pins_m, bury_m, &on),
        Gear::SoftShackle { length_m, pin_m, knot } => shackle::shackle(gear, length_m, pin_m, knot, &on),
        Gear::Adjustable { eye, far_pin_m, longest_m } => adjustable::adjustable(gear, eye, far_pin_m, longest_m, &on),
    }?;
    if let (Some(pull_n), Some([from, _]), Some(proof)) = (hand.pull_n, out.set_n, out.proof_n) {
        if pull_n < from {
            out.notes.push(Note::CannotSet { pull_n, grows_m: hand.sets.usual * out.finished_m });
        }
        if pull_n < proof {
            out.notes.push(Note::CannotProve { pull_n });
        }
    }
    Ok(out)
}

impl Design {
    /// Proofed for what it carries: a quarter over its largest working demand where that is more than two fifths of what it
    /// holds.
    #[must_use]
    pub fn carrying(mut self, demand_n: f64) -> Self {
        let wanted = PROOF_OVER_DEMAND * demand_n;
        if let (Some(proof), Some(low_n)) = (self.proof_n, self.on_pins_n)
            && wanted > proof
        {
            self.proof_n = Some(wanted);
            if wanted > PROOF_AT_MOST * low_n {
                self.notes.push(Note::ProofIsHigh { proof_n: wanted, low_n });
            }
            // What does not even pull to the proof of its own was said already.
            let proves = self.hand.pull_n.filter(|pull| (proof..wanted).contains(pull));
            self.notes.extend(proves.map(|pull_n| Note::CannotProve { pull_n }));
        }
        self
    }
}

/// What every piece is made with.
pub(super) struct At<'a> {
    pub(super) rope: &'a Rope,
    pub(super) hand: &'a Hand,
    pub(super) tables: &'a Deratings,
}

impl At<'_> {
    /// The thickest of thinner ropes that suits a piece, in words; nothing where none does.
    pub(super) fn thinner(&self, suits: impl Fn(&At<'_>) -> bool) -> String {
        let all = (3..(1e3 * self.rope.d_m).round() as u32).rev().map(|d| f64::from(d) / 1e3);
        let found = all.map(|d_m| Rope { d_m, ..self.rope.clone() }).find(|rope| suits(&At { rope, ..*self }));
        found.map_or(String::new(), |rope| format!("; a rope of {} fits this length", mm(rope.d_m)))
    }

    /// So many rope diameters, m.
    pub(super) fn d(&self, times: f64) -> f64 {
        times * self.rope.d_m
    }

    /// Bare host that a bury fills as counted, m.
    pub(super) fn bare(&self, bury_m: f64) -> f64 {
        bare(bury_m, self.hand.shortens.usual)
    }

    /// Bare host that a bury fills at the most, and where the fid comes out beyond it, m.
    pub(super) fn exit(&self, bury_m: f64) -> f64 {
        bare(bury_m, self.hand.shortens.high) + self.d(EXIT_D)
    }

    /// Bare host that so many buries may take beyond what is counted, and short of it, m.
    pub(super) fn host_off(&self, bury_m: f64) -> [f64; 2] {
        let Band { low, usual, high } = self.hand.shortens;
        let counted = bare(bury_m, usual);
        [bare(bury_m, high) - counted, counted - bare(bury_m, low)]
    }

    /// Finished length before setting, m.
    pub(super) fn unset(&self, length_m: f64) -> f64 {
        length_m / (1.0 + self.hand.sets.usual)
    }

    /// By how much a piece may miss its length, shorter and longer, with so much bury marked on bare rope, m.
    pub(super) fn off(&self, length_m: f64, blind_bury_m: f64) -> [f64; 2] {
        let set = self.unset(length_m) * self.hand.sets_off();
        self.host_off(blind_bury_m).map(|m| m + set + BY_HAND_M)
    }

    /// Length of a bury: as asked, or in full.
    ///
    /// # Errors
    /// Under 60 diameters.
    pub(super) fn bury(&self, asked_m: Option<f64>) -> Result<f64, Refusal> {
        let b = asked_m.unwrap_or(self.d(BURY_D));
        let least = self.d(LEAST_BURY_D);
        if !b.is_finite() || b < least - 1e-9 {
            return Err(Refusal::new(
                format!(
                    "a bury of {} is {:.0} diameters, under {LEAST_BURY_D} for what people hang on",
                    mm(b),
                    b / self.rope.d_m
                ),
                format!("at least {} ({LEAST_BURY_D} diameters), better {} ({BURY_D})", mm(least), mm(self.d(BURY_D))),
            ));
        }
        Ok(b)
    }

    /// Length of a bury's taper, m.
    pub(super) fn taper(&self, bury_m: f64) -> f64 {
        (TAPER_SHARE * bury_m).max(self.d(TAPER_D))
    }

    /// An eye on what it goes over.
    ///
    /// # Errors
    /// A pin thinner than half the rope, an eye that does not go round or opens too wide, with the figure that would work.
    pub(super) fn eye(&self, eye: &Eye, notes: &mut Vec<Note>) -> Result<EyeMade, Refusal> {
        let d = self.rope.d_m;
        let Eye { pin_m, thimble, .. } = *eye;
        if !(pin_m > 0.0 && pin_m < 1.0) {
            return Err(Refusal::new(format!("a pin of {pin_m} m"), "a diameter over nothing, under a metre"));
        }
        let (least, usual) = if thimble {
            let round = half_eye(pin_m, d, POINT_DEG);
            (round - 0.002, round)
        } else {
            (half_eye(pin_m, d, WIDEST_DEG).max(self.d(6.0)), usual_eye(pin_m, d))
        };
        let half_m = eye.half_m.unwrap_or(usual);
        if thimble && pin_m < 2.0 * d - 1e-9 {
            return Err(Refusal::new(
                format!("a thimble whose groove is {} across bends a rope of {} too sharply", mm(pin_m), mm(d)),
                format!("a groove of {} or more", mm(2.0 * d)),
            ));
        }
        if pin_m < 0.5 * d {
            return Err(Refusal::new(
                format!("a pin of {} under a rope of {}", mm(pin_m), mm(d)),
                format!(
                    "a pin of {} or more, better {}; a thimble; or a rope of {} at most",
                    mm(0.5 * d),
                    mm(2.0 * d),
                    mm(2.0 * pin_m)
                ),
            ));
        }
        let on = Throat::on(half_m, pin_m, d).filter(|_| half_m >= least - 1e-9).ok_or_else(|| {
            let thickest = half_m / half_eye(1.0, 0.0, WIDEST_DEG) - d;
            // Where the eye is too small for its own rope, no pin helps.
            let pin = if thimble || thickest < 0.5 * d || thickest >= pin_m || half_m < self.d(6.0) {
                String::new()
            } else {
                format!("; or a pin of {} at most", mm(thickest))
            };
            Refusal::new(
                format!("an eye of {} (half its rope) does not go over {}", mm(half_m), mm(pin_m)),
                format!("at least {}, better {}{pin}", mm(least), mm(usual)),
            )
        })?;
        if thimble {
            notes.push(Note::Thimble { half_m, groove_m: pin_m });
        } else if pin_m < 2.0 * d - 1e-9 {
            notes.push(Note::ThinPin { pin_m, rope_m: d });
        }
        Ok(EyeMade { half_m, pin_m, thimble, throat: on })
    }

    /// What an eye leaves of the rope, low: its two legs share, bend and spread.
    pub(super) fn eye_keeps(&self, eye: &EyeMade) -> f64 {
        let half = if eye.thimble { 0.5 * POINT_DEG.to_radians() } else { eye.throat.half_rad };
        2.0 * self.tables.sharing.low * self.tables.bend(eye.pin_m / self.rope.d_m).low * half.cos()
    }

    /// Loads of a piece that keeps `keeps` (low and nominal) of the rope in its splice or knot and `on_pins` on its pins, and
    /// is set with `set` shares of the rope, or of its low strength.
    pub(super) fn loads(&self, how: Termination, legs: f64, on_pins: f64, set: Set) -> Loads {
        let (title, k) = self.tables.termination(how);
        self.loads_of([k.low * legs, k.nominal * legs], &format!("{title} [{}]", k.source), on_pins, set)
    }

    /// The same from what it keeps.
    pub(super) fn loads_of(&self, keeps: [f64; 2], why: &str, on_pins: f64, set: Set) -> Loads {
        let low = keeps[0].min(on_pins);
        let n = self.rope.strength_n;
        let set = match set {
            Set::OfRope(from, to) => [from, to],
            Set::OfLow(from, to) => [from * keeps[0], to * keeps[0]],
        };
        Loads {
            strength_n: n.map(|n| keeps.map(|k| k * n)),
            on_pins_n: n.map(|n| low * n),
            why: format!(
                "the smaller of rope × {:.2} (to {:.2}), {why}, and on its pins × {on_pins:.2}",
                keeps[0], keeps[1]
            ),
            // Never set to more than it is proofed to.
            set_n: n.map(|n| set.map(|s| n * s.min(PROOF * low))),
            proof_n: n.map(|n| PROOF * low * n),
        }
    }

    /// What every design has, from what was asked for and what it bears; the piece fills in its own.
    pub(super) fn piece(&self, title: &'static str, gear: &Gear, length_m: f64, loads: Loads) -> Design {
        Design {
            title,
            gear: *gear,
            rope: self.rope.clone(),
            hand: self.hand.clone(),
            cut_m: 0.0,
            spare_m: 0.0,
            finished_m: length_m,
            off_m: [0.0; 2],
            on_the_table: Vec::new(),
            least_m: 0.0,
            eyes: Vec::new(),
            buries_m: Vec::new(),
            marks: Vec::new(),
            strength_n: loads.strength_n,
            on_pins_n: loads.on_pins_n,
            strength_why: loads.why,
            set_n: loads.set_n,
            proof_n: loads.proof_n,
            notes: Vec::new(),
        }
    }

    /// Rope that a lock takes, m.
    pub(super) fn lock_takes(&self, lock: Lock) -> f64 {
        if lock == Lock::Stitched { 0.0 } else { self.d(LOCK_TAKES_D) }
    }

    /// How much further on a locked bury begins, m.
    pub(super) fn lock_shift(&self, lock: Lock) -> f64 {
        if lock == Lock::Stitched { 0.0 } else { self.d(LOCK_SHIFT_D) }
    }
}

/// What a piece is set with.
#[derive(Debug, Clone, Copy)]
pub(super) enum Set {
    /// Shares of the rope's strength.
    OfRope(f64, f64),
    /// Shares of the piece's own low strength.
    OfLow(f64, f64),
}

/// What a piece holds, and is pulled to.
pub(super) struct Loads {
    pub(super) strength_n: Option<[f64; 2]>,
    pub(super) on_pins_n: Option<f64>,
    pub(super) why: String,
    pub(super) set_n: Option<[f64; 2]>,
    pub(super) proof_n: Option<f64>,
}

/// Tension under which rope is marked and measured, N: d²/8 daN, d in mm (ISO 2307 Annex A, from memory).
#[must_use]
pub fn reference_n(rope_m: f64) -> f64 {
    10.0 * (1e3 * rope_m).powi(2) / 8.0
}

/// The mass that hangs for it, kg.
#[must_use]
pub fn reference_kg(rope_m: f64) -> f64 {
    reference_n(rope_m) / G
}

/// By how much two legs of one anchor may differ beyond what was asked, m: one batch and one hand, equal buries, so that
/// shortening goes out of the difference and setting leaves its share of the difference in length.
#[must_use]
pub fn legs_differ_by(lengths_m: &[f64], hand: &Hand) -> f64 {
    let most = lengths_m.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = lengths_m.iter().copied().fold(f64::INFINITY, f64::min);
    if lengths_m.len() < 2 {
        return 0.0;
    }
    (most - least) * hand.sets_off() + 2.0 * BY_HAND_M
}

/// What the marks of a taper are for: by pairs, a fifth of it each.
pub const TAPER: &str = "taper: a / and a \\ strand end at each, 10, 8, 6, 4, 2 left";

/// Marks B1 to B5 of a taper, from the tip.
pub(super) fn taper_marks(taper_m: f64, from: From, dash: &str, marks: &mut Vec<Mark>) {
    for k in 1..=5_u8 {
        let at_m = taper_m * f64::from(6 - k) / 5.0;
        marks.push(Mark { letter: format!("B{k}{dash}"), from, at_m, what: TAPER });
    }
}
