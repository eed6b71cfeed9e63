//! Gear of 12-strand hollow braid: eye splices, slings, loops, soft shackles, adjustable slings.

use crate::catalogue::{Class, Deratings, Item, Termination};
use crate::units::{Quantity, mm};

/// Full bury, in rope diameters. Common practice, no source.
pub(crate) const BURY_D: f64 = 72.0;
/// Least bury that people may hang on, in rope diameters. Common practice, no source.
pub(crate) const LEAST_BURY_D: f64 = 60.0;
/// Least taper, in rope diameters, and its share of the bury.
const TAPER_D: f64 = 24.0;
const TAPER_SHARE: f64 = 1.0 / 3.0;
/// What a bury takes from the length of its rope: least, usual, most. Common practice, no source.
const SHORTENS: [f64; 3] = [0.04, 0.06, 0.08];
/// Between two buries that meet, in rope diameters.
const GAP_D: f64 = 4.0;
/// An eye's flat length over the pin it goes over: what is asked for, what is refused, what is wished for.
const EYE_OVER_PIN: [f64; 3] = [3.0, 1.5, 5.0];
/// A soft shackle's knot per leg, its tails, and what of a tail is buried, in rope diameters.
const DIAMOND_D: f64 = 24.0;
const BUTTON_D: f64 = 26.0;
const SHACKLE_TAIL_D: f64 = 10.0;
const SHACKLE_BURY_D: f64 = 35.0;
/// Tail that an adjustable sling keeps outside its bury, m.
const ADJUSTABLE_TAIL_M: f64 = 0.3;
/// Strength of an article over the rope's for two legs that share badly. Common practice, no source.
const TWO_LEGS: f64 = 2.0 * 0.85;

/// The rope it is made of.
#[derive(Debug, Clone, PartialEq)]
pub struct Rope {
    /// Its name in the catalogue.
    pub id: String,
    /// In words.
    pub title: String,
    /// Diameter, m.
    pub d_m: f64,
    /// kg/m.
    pub mass_per_m: f64,
    /// Minimum breaking strength, N; nothing when unrated.
    pub strength_n: Option<f64>,
}

impl Rope {
    /// A rope of the catalogue.
    ///
    /// # Errors
    /// When it is no hollow braid with a diameter.
    pub fn of(item: &Item) -> Result<Self, Refusal> {
        let d_m = item.diameter.map(Quantity::si);
        match (item.class, d_m) {
            (Class::HollowBraid, Some(d_m)) => Ok(Self {
                id: item.id.clone(),
                title: item.title.clone(),
                d_m,
                mass_per_m: item.mass_per_length.map_or(0.0, Quantity::si),
                strength_n: item.rating.as_ref().and_then(crate::catalogue::Rating::minimum_n),
            }),
            _ => Err(Refusal {
                what: format!("{} is no 12-strand hollow braid with a diameter", item.title),
                instead: "a hollow braid of the catalogue, such as hmpe-8".to_owned(),
            }),
        }
    }
}

/// An eye to be spliced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eye {
    /// Diameter of what it goes over, m.
    pub pin_m: f64,
    /// Flat length from throat to crown, m; five pins when nothing is said.
    pub flat_m: Option<f64>,
    /// On a thimble whose groove is `pin_m` across.
    pub thimble: bool,
    /// Buried length, m; 72 diameters when nothing is said.
    pub bury_m: Option<f64>,
    /// Passed through itself first.
    pub locked: bool,
}

/// What is to be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Gear {
    /// One eye at the end of a rope so long behind its throat, m.
    EyeSplice {
        /// The eye.
        eye: Eye,
        /// From crown to the far end, m.
        length_m: f64,
    },
    /// Eye and eye, this long from crown to crown, m.
    Sling {
        /// Its eyes.
        eyes: [Eye; 2],
        /// Finished, m.
        length_m: f64,
    },
    /// A loop without end, this long from pin to pin, m.
    Loop {
        /// Finished, m.
        length_m: f64,
        /// Each of its two buries, m.
        bury_m: Option<f64>,
    },
    /// A soft shackle, this long inside when closed, m.
    SoftShackle {
        /// Closed, m.
        length_m: f64,
        /// A button knot with buried tails; else a diamond.
        buried: bool,
    },
    /// A sling with one fixed eye and one that slides, this long at most, m.
    Adjustable {
        /// The fixed eye.
        eye: Eye,
        /// At its longest, m.
        longest_m: f64,
    },
}

/// A mark on the rope, in the order of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// From the end named, m.
    pub at_m: f64,
    /// Which end: 1 or 2.
    pub end: usize,
    /// What it is for.
    pub what: String,
}

/// What to cut, mark and do.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// What it is.
    pub title: String,
    /// The rope.
    pub rope: Rope,
    /// Rope to cut, m.
    pub cut_m: f64,
    /// Finished length, m, and by how much it may miss either way.
    pub finished_m: f64,
    /// Half the span of lengths that the shortening leaves open, m.
    pub uncertain_m: f64,
    /// Least finished length with full buries, m.
    pub least_m: f64,
    /// Flat length of each eye, m.
    pub eyes_m: Vec<f64>,
    /// Length of each bury, m.
    pub buries_m: Vec<f64>,
    /// Marks in the order of work.
    pub marks: Vec<Mark>,
    /// Steps at the table.
    pub steps: Vec<String>,
    /// Strength before any pin, N, low and nominal, with what it follows from; nothing for an unrated rope.
    pub strength_n: Option<[f64; 2]>,
    /// What the strength follows from.
    pub strength_why: String,
    /// Load to set it with, N, from and to.
    pub set_n: Option<[f64; 2]>,
    /// What else the maker must know.
    pub notes: Vec<String>,
}

/// Why it cannot be made, and what can.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong.
    pub what: String,
    /// The figure or the gear that would work.
    pub instead: String,
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}; would work: {}", self.what, self.instead)
    }
}

impl std::error::Error for Refusal {}

/// The trade's don'ts, for every card.
pub const DONTS: &[&str] = &[
    "Never knot it: a knot leaves a third, and slips before it breaks.",
    "Never melt an end near the load, and keep it under 65 °C: no car boot in the sun, no rope running over it.",
    "Tape before you cut; taper every tail, or lose a fifth of the strength where it ends.",
    "No edges, no bare hangers, no twist, no bleach or solvent.",
    "One rope, one hand: mark it with rope, length, date and maker, and pull it before anybody hangs on it.",
];

/// Designs a piece of gear.
///
/// # Errors
/// A bury under the limit, an eye smaller than its pin, a length too short for its buries: with the figure that would
/// work.
pub fn design(gear: &Gear, rope: &Rope, tables: &Deratings) -> Result<Design, Refusal> {
    if rope.d_m <= 0.0 {
        return Err(Refusal {
            what: "the rope has no diameter".to_owned(),
            instead: "its nominal diameter".to_owned(),
        });
    }
    match gear {
        Gear::EyeSplice { eye, length_m } => eye_splice(*eye, *length_m, rope, tables),
        Gear::Sling { eyes, length_m } => sling(*eyes, *length_m, rope, tables),
        Gear::Loop { length_m, bury_m } => endless(*length_m, *bury_m, rope, tables),
        Gear::SoftShackle { length_m, buried } => soft_shackle(*length_m, *buried, rope, tables),
        Gear::Adjustable { eye, longest_m } => adjustable(*eye, *longest_m, rope, tables),
    }
}

/// Length of a bury: as asked, or in full.
fn bury(asked_m: Option<f64>, rope: &Rope) -> Result<f64, Refusal> {
    let b = asked_m.unwrap_or(BURY_D * rope.d_m);
    let least = LEAST_BURY_D * rope.d_m;
    if b < least - 1e-9 {
        return Err(Refusal {
            what: format!(
                "a bury of {} is {:.0} diameters, under {LEAST_BURY_D} for what people hang on",
                mm(b),
                b / rope.d_m
            ),
            instead: format!(
                "at least {} ({LEAST_BURY_D} diameters), better {} ({BURY_D})",
                mm(least),
                mm(BURY_D * rope.d_m)
            ),
        });
    }
    Ok(b)
}

/// Flat length of an eye, and what to say of it.
fn flat(eye: &Eye, notes: &mut Vec<String>) -> Result<f64, Refusal> {
    let [asked, refused, wished] = EYE_OVER_PIN;
    // A thimble is filled tight: half its circumference, and what its point adds.
    let usual = if eye.thimble { 1.8 * eye.pin_m } else { wished * eye.pin_m };
    let e = eye.flat_m.unwrap_or(usual);
    if eye.pin_m <= 0.0 || e < refused * eye.pin_m || (e <= eye.pin_m) {
        return Err(Refusal {
            what: format!("an eye of {} flat does not go over {}", mm(e), mm(eye.pin_m)),
            instead: format!(
                "at least {} flat ({asked} pins), better {} ({wished})",
                mm(asked * eye.pin_m),
                mm(wished * eye.pin_m)
            ),
        });
    }
    if eye.thimble {
        notes.push(format!(
            "The eye of {} is for a thimble with a groove {} across: lay the rope round yours and measure.",
            mm(e),
            mm(eye.pin_m)
        ));
    } else {
        let throat = 2.0 * (eye.pin_m / (2.0 * e - eye.pin_m)).asin().to_degrees();
        let open = if e < asked * eye.pin_m { " — tight: make it 3 pins or more" } else { "" };
        notes.push(format!(
            "On a pin of {} the throat of an eye of {} opens to {throat:.0}°{open}.",
            mm(eye.pin_m),
            mm(e)
        ));
    }
    Ok(e)
}

/// Marks and steps of one tail that is buried: taper marks from its end, throat, eye, where it comes to lie.
fn tail_marks(end: usize, b: f64, e: Option<f64>, rope: &Rope, marks: &mut Vec<Mark>) {
    let d = rope.d_m;
    let taper = (TAPER_SHARE * b).max(TAPER_D * d);
    // 12 strands, a pair (one of each lay) less at each mark; what is left at the end is cut oblique.
    for k in 0..5 {
        let at = taper * f64::from(5 - k) / 5.0;
        let left = 12 - 2 * (k + 1);
        marks.push(Mark {
            at_m: at,
            end,
            what: format!("cut one strand of each lay here: {left} left towards the end"),
        });
    }
    marks.push(Mark { at_m: b, end, what: "throat: the tail goes in up to here".to_owned() });
    if let Some(e) = e {
        marks.push(Mark { at_m: b + e, end, what: "crown of the eye".to_owned() });
        marks.push(Mark {
            at_m: b + 2.0 * e,
            end,
            what: "throat on the standing part: here the tail goes in".to_owned(),
        });
        marks.push(Mark {
            at_m: b + 2.0 * e + b,
            end,
            what: "end of the bury: bring the fid out beyond here".to_owned(),
        });
    }
}

fn splice_steps(which: &str, b: f64, locked: bool, rope: &Rope) -> Vec<String> {
    let d = rope.d_m;
    let mut out = vec![
        format!("{which}: tape the end and pull the strands out at the taper marks, one pair at a mark."),
        format!("{which}: form the eye, both throat marks together, round its pin or thimble."),
    ];
    if locked {
        out.push(format!("{which}: pass the standing part through the tail, and the tail through the standing part, at the throat. The lock only keeps it in place: the bury holds."));
    }
    out.extend([
        format!("{which}: bring the fid in at the throat, up the hollow and out beyond the end of the bury; pull the tail through until the throat marks meet."),
        format!("{which}: smooth the cover from the throat outward until the tip vanishes inside; {} lie buried.", mm(b)),
        format!("{which}: with thin twine sew cover and buried part as one, from {} to {} past the throat: six passes with a step of {}, six more across them. The twine takes none of the pull; it holds an idle eye shut.", mm(6.0 * d), mm(12.0 * d), mm(d)),
    ]);
    out
}

fn setting(rope: &Rope) -> (Option<[f64; 2]>, String) {
    let set = rope.strength_n.map(|n| [0.1 * n, 0.2 * n]);
    let text = match set {
        Some([from, to]) => format!(
            "Set it: {:.1} to {:.1} kN, ease, smooth, five to ten times; measure again, note the finished length.",
            from / 1e3,
            to / 1e3
        ),
        None => "Set it: a tenth to a fifth of the rope's strength, ease, smooth, five to ten times; measure again."
            .to_owned(),
    };
    (set, text)
}

fn strength(rope: &Rope, legs: f64, how: Termination, tables: &Deratings) -> (Option<[f64; 2]>, String) {
    let (title, keeps) = tables.termination(how);
    let n = rope.strength_n.map(|n| [n * legs * keeps.low, n * legs * keeps.nominal]);
    let legs = if legs > 1.0 { format!(" × {legs:.1} (two legs that share badly)") } else { String::new() };
    (
        n,
        format!(
            "rope{legs} × {:.2} to {:.2}, {title} [{}]; pins and bends come on top",
            keeps.low, keeps.nominal, keeps.source
        ),
    )
}

fn eye_splice(eye: Eye, length_m: f64, rope: &Rope, tables: &Deratings) -> Result<Design, Refusal> {
    let mut notes = Vec::new();
    let (b, e) = (bury(eye.bury_m, rope)?, flat(&eye, &mut notes)?);
    let least = e + b + GAP_D * rope.d_m;
    if length_m < least {
        return Err(Refusal {
            what: format!(
                "{} from crown to end leave no room for an eye of {} and a bury of {}",
                mm(length_m),
                mm(e),
                mm(b)
            ),
            instead: format!("at least {}", mm(least)),
        });
    }
    let mut marks = Vec::new();
    tail_marks(1, b, Some(e), rope, &mut marks);
    let mut steps = splice_steps("Eye", b, eye.locked, rope);
    let (set_n, last) = setting(rope);
    steps.push(last);
    let (strength_n, strength_why) = strength(rope, 1.0, Termination::Buried, tables);
    Ok(Design {
        title: "eye splice".to_owned(),
        rope: rope.clone(),
        cut_m: length_m + e + b + SHORTENS[1] * b,
        finished_m: length_m,
        uncertain_m: 0.5 * (SHORTENS[2] - SHORTENS[0]) * b,
        least_m: least,
        eyes_m: vec![e],
        buries_m: vec![b],
        marks,
        steps,
        strength_n,
        strength_why,
        set_n,
        notes,
    })
}

fn sling(eyes: [Eye; 2], length_m: f64, rope: &Rope, tables: &Deratings) -> Result<Design, Refusal> {
    let mut notes = Vec::new();
    let b = [bury(eyes[0].bury_m, rope)?, bury(eyes[1].bury_m, rope)?];
    let e = [flat(&eyes[0], &mut notes)?, flat(&eyes[1], &mut notes)?];
    // Eyes alike need no word each.
    notes.dedup();
    let least = e[0] + e[1] + b[0] + b[1] + GAP_D * rope.d_m;
    if length_m < least - 1e-9 {
        let g = least_loop(BURY_D * rope.d_m, rope);
        let other = if length_m >= g {
            format!("a loop without end of {} (least {})", mm(length_m), mm(g))
        } else {
            "a soft shackle, or a thinner rope".to_owned()
        };
        return Err(Refusal {
            what: format!(
                "{} are too short for two eyes of {} and {} with buries of {} and {}",
                mm(length_m),
                mm(e[0]),
                mm(e[1]),
                mm(b[0]),
                mm(b[1])
            ),
            instead: format!("at least {} finished; instead of it, {other}", mm(least)),
        });
    }
    let mut marks = Vec::new();
    tail_marks(1, b[0], Some(e[0]), rope, &mut marks);
    tail_marks(2, b[1], Some(e[1]), rope, &mut marks);
    let mut steps = splice_steps("End 1", b[0], eyes[0].locked, rope);
    steps.extend(splice_steps("End 2", b[1], eyes[1].locked, rope));
    let (set_n, last) = setting(rope);
    steps.push(last);
    let (strength_n, strength_why) = strength(rope, 1.0, Termination::Buried, tables);
    let buried = b[0] + b[1];
    Ok(Design {
        title: "eye-and-eye sling".to_owned(),
        rope: rope.clone(),
        cut_m: length_m + e[0] + e[1] + buried + SHORTENS[1] * buried,
        finished_m: length_m,
        uncertain_m: 0.5 * (SHORTENS[2] - SHORTENS[0]) * buried,
        least_m: least,
        eyes_m: e.to_vec(),
        buries_m: b.to_vec(),
        marks,
        steps,
        strength_n,
        strength_why,
        set_n,
        notes,
    })
}

/// Shortest loop, pin to pin, whose two buries do not overlap, m.
fn least_loop(b: f64, rope: &Rope) -> f64 {
    b + 3.0 * rope.d_m
}

fn endless(length_m: f64, bury_m: Option<f64>, rope: &Rope, tables: &Deratings) -> Result<Design, Refusal> {
    let b = bury(bury_m, rope)?;
    let least = least_loop(b, rope);
    if length_m < least - 1e-9 {
        return Err(Refusal {
            what: format!("a loop of {} has no room for two buries of {}", mm(length_m), mm(b)),
            instead: format!("at least {} pin to pin; instead of it, a soft shackle", mm(least)),
        });
    }
    let round = 2.0 * length_m;
    let mut marks = Vec::new();
    for end in [1, 2] {
        tail_marks(end, b, None, rope, &mut marks);
        marks.push(Mark { at_m: b + b, end, what: "the other tail comes out here".to_owned() });
    }
    let (set_n, last) = setting(rope);
    let d = rope.d_m;
    let steps = vec![
        "Tape both ends; pull the strands out at the taper marks of both.".to_owned(),
        "Lay the two throat marks on each other, the tails pointing opposite ways.".to_owned(),
        format!(
            "Bury tail 1 in the rope of end 2, from the meeting point outward, {}; then tail 2 in the rope of end 1.",
            mm(b)
        ),
        "Smooth the cover over both, away from the meeting point, until both tips vanish.".to_owned(),
        format!(
            "Lock-stitch on both sides of the meeting point, from {} to {} away, with two rows at a quarter turn.",
            mm(6.0 * d),
            mm(12.0 * d)
        ),
        last,
        "Rig it with the join on a straight leg, never on a pin; turn the loop on every rig.".to_owned(),
    ];
    let (strength_n, strength_why) = strength(rope, TWO_LEGS, Termination::EndForEnd, tables);
    Ok(Design {
        title: "loop without end".to_owned(),
        rope: rope.clone(),
        cut_m: round + 2.0 * b + SHORTENS[1] * 2.0 * b,
        finished_m: length_m,
        uncertain_m: 0.5 * (SHORTENS[2] - SHORTENS[0]) * b,
        least_m: least,
        eyes_m: Vec::new(),
        buries_m: vec![b, b],
        marks,
        steps,
        strength_n,
        strength_why,
        set_n,
        notes: vec!["Both legs bear: each bends over the pin, which counts for both.".to_owned()],
    })
}

fn soft_shackle(length_m: f64, buried: bool, rope: &Rope, tables: &Deratings) -> Result<Design, Refusal> {
    let d = rope.d_m;
    let least = 10.0 * d;
    if length_m < least {
        return Err(Refusal {
            what: format!("a soft shackle of {} leaves no room between knot and eye", mm(length_m)),
            instead: format!("at least {} ({:.0} diameters)", mm(least), least / d),
        });
    }
    let (knot, name) = if buried { (BUTTON_D * d, "button") } else { (DIAMOND_D * d, "diamond") };
    let (tail, bury) = (SHACKLE_TAIL_D * d, if buried { SHACKLE_BURY_D * d } else { 0.0 });
    let cut = 4.0 * length_m + 2.0 * (knot + tail + bury);
    let mut marks = Vec::new();
    for end in [1, 2] {
        if buried {
            marks.push(Mark { at_m: bury, end, what: "tail that is buried back under the knot".to_owned() });
        }
        marks.push(Mark { at_m: bury + tail, end, what: "the knot begins here".to_owned() });
        marks.push(Mark { at_m: bury + tail + knot, end, what: "the knot ends here".to_owned() });
    }
    marks.push(Mark { at_m: 0.5 * cut, end: 1, what: "middle: the eye's crown".to_owned() });
    let (set_n, _) = setting(rope);
    let mut steps = vec![
        "Fold the rope at its middle; pass one leg through the other a knot's width from the crown, so that an eye is left that opens and snugs shut.".to_owned(),
        format!("Tie the {name} knot with both legs between its marks; draw it together evenly, strand by strand."),
    ];
    if buried {
        steps.push("Taper both tails and bury each back through the knot into its own leg.".to_owned());
    }
    steps.extend([
        "Set the knot hard, on a tensioner, before first use: an unset knot holds little more than half.".to_owned(),
        "Close it once round a pin of its own diameter or more and look: knot seated, eye snug below it, no slip marks.".to_owned(),
        "Make one, load it, measure it; the rope that a knot takes differs by hand and rope.".to_owned(),
    ]);
    let how = if buried { Termination::Button } else { Termination::Diamond };
    let (strength_n, strength_why) = strength(rope, 1.0, how, tables);
    Ok(Design {
        title: format!("soft shackle, {name} knot"),
        rope: rope.clone(),
        cut_m: cut,
        finished_m: length_m,
        uncertain_m: 0.1 * length_m + 2.0 * d,
        least_m: least,
        eyes_m: Vec::new(),
        buries_m: if buried { vec![bury, bury] } else { Vec::new() },
        marks,
        steps,
        strength_n,
        strength_why,
        set_n,
        notes: vec!["Load it through the bight, never on the knot's side; what it goes over is as thick as its rope, or thicker.".to_owned()],
    })
}

fn adjustable(eye: Eye, longest_m: f64, rope: &Rope, tables: &Deratings) -> Result<Design, Refusal> {
    let mut notes = Vec::new();
    let (b, e) = (bury(eye.bury_m, rope)?, flat(&eye, &mut notes)?);
    let slide = BURY_D * rope.d_m;
    let gap = GAP_D * rope.d_m;
    let loop_m = EYE_OVER_PIN[2] * eye.pin_m;
    let shortest = e + b + gap + slide + loop_m;
    if longest_m < shortest + 0.05 {
        return Err(Refusal {
            what: format!("{} at its longest leave nothing to adjust", mm(longest_m)),
            instead: format!("more than {} at its longest", mm(shortest + 0.05)),
        });
    }
    let mut marks = Vec::new();
    tail_marks(1, b, Some(e), rope, &mut marks);
    let from = b + 2.0 * e + b + gap;
    marks.push(Mark { at_m: from, end: 1, what: "the sliding bury comes out here".to_owned() });
    marks.push(Mark { at_m: from + slide, end: 1, what: "the sliding bury goes in here".to_owned() });
    marks.push(Mark { at_m: ADJUSTABLE_TAIL_M, end: 2, what: "limit: never pull this mark into the bury".to_owned() });
    let mut steps = splice_steps("Fixed eye", b, eye.locked, rope);
    let (set_n, last) = setting(rope);
    steps.extend([
        "Lead end 2 back to the second mark: in there, up the hollow, out at the first; it stays untapered and slides."
            .to_owned(),
        "Stitch a stop into the tail at the limit mark, so that it cannot be pulled in.".to_owned(),
        last,
        "Adjust it slack, set it by hand, load it; tie the tail off. It holds only while its cover is under tension."
            .to_owned(),
    ]);
    notes.push(format!("It reaches from {} to {}.", mm(shortest), mm(longest_m)));
    let (strength_n, strength_why) = strength(rope, 1.0, Termination::Adjustable, tables);
    Ok(Design {
        title: "adjustable sling".to_owned(),
        rope: rope.clone(),
        // Out to the longest and back through the slide: the loop's second leg, the bury, the tail.
        cut_m: longest_m + e + b + SHORTENS[1] * b + (longest_m - e - b - gap - slide) + slide + ADJUSTABLE_TAIL_M,
        finished_m: longest_m,
        uncertain_m: 0.5 * (SHORTENS[2] - SHORTENS[0]) * b,
        least_m: shortest,
        eyes_m: vec![e],
        buries_m: vec![b, slide],
        marks,
        steps,
        strength_n,
        strength_why,
        set_n,
        notes,
    })
}
