//! Gear of the bench from the command line: each piece with the options that it has, and what a test piece showed.

use std::process::ExitCode;

use clap::{Args, Subcommand, ValueEnum};
use color_eyre::eyre::Result;

use super::{Print, complain, force, length, positive, print, share};
use crate::bench::{self, Eye, Gear, Hand, Lock, Refusal, Rope, ShackleKnot, TestPiece};
use crate::catalogue::Catalogue;
use crate::document::plain;
use crate::sheets;
use crate::units::{System, mm};

/// A piece of the bench. Lengths run from bearing to bearing on its own pins, once it is set.
#[derive(Debug, Clone, Subcommand)]
pub(super) enum Piece {
    /// One eye at the end of a rope.
    Eye {
        #[command(flatten)]
        length: Length,
        #[command(flatten)]
        eye: EyeArgs,
        #[command(flatten)]
        made: Made,
    },
    /// A sling: eye and eye.
    Sling {
        #[command(flatten)]
        length: Length,
        #[command(flatten)]
        eye: EyeArgs,
        #[command(flatten)]
        made: Made,
    },
    /// A loop without end.
    Loop {
        #[command(flatten)]
        length: Length,
        /// What it lies on: one pin, or one for each end.
        #[arg(long, value_parser = length, default_value = "16 mm")]
        pin: Vec<f64>,
        /// Each of its two buries; 72 diameters without it.
        #[arg(long, value_parser = length)]
        bury: Option<f64>,
        #[command(flatten)]
        made: Made,
    },
    /// A soft shackle; its length is inside, closed.
    Shackle {
        #[command(flatten)]
        length: Length,
        /// What it is closed on; as thick as its rope without it.
        #[arg(long, value_parser = length)]
        pin: Option<f64>,
        /// Its knot.
        #[arg(long, value_enum, default_value = "button")]
        stopper: Stopper,
        /// What the knot took of each leg, from the first of the batch: a length, or rope diameters as "23.2 d".
        #[arg(long, value_parser = took, allow_hyphen_values = true)]
        knot: Option<Took>,
        #[command(flatten)]
        made: Made,
    },
    /// A sling with one fixed eye and one that slides; its length is the longest.
    Adjustable {
        #[command(flatten)]
        length: Length,
        #[command(flatten)]
        eye: EyeArgs,
        #[command(flatten)]
        made: Made,
    },
    /// What one test piece shows: a tail buried in rope of the batch, two ink lines astride the bury, two on plain rope. Without
    /// figures, the card of how to make one.
    #[command(name = "test-piece")]
    Trial {
        #[command(flatten)]
        read: ReadOff,
        #[command(flatten)]
        made: Made,
    },
}

/// What was measured of a test piece: all of it, or none.
#[derive(Debug, Clone, Copy, Args)]
#[group(multiple = true)]
pub(super) struct ReadOff {
    /// Between the lines on the host, before.
    #[arg(long, value_parser = length, requires_all = ["host_after", "tail", "plain_before", "plain_after"])]
    host_before: Option<f64>,
    /// The same once the tail is in.
    #[arg(long, value_parser = length, requires = "host_before")]
    host_after: Option<f64>,
    /// Length of the tail that went in.
    #[arg(long = "bury", id = "tail", value_parser = length, requires = "host_before")]
    tail: Option<f64>,
    /// Between the lines on plain rope, before setting.
    #[arg(long, value_parser = length, requires = "host_before")]
    plain_before: Option<f64>,
    /// The same after setting.
    #[arg(long, value_parser = length, requires = "host_before")]
    plain_after: Option<f64>,
}

/// What a knot took of a leg.
#[derive(Debug, Clone, Copy)]
pub(super) enum Took {
    /// m.
    Length(f64),
    /// In rope diameters.
    Diameters(f64),
}

fn took(text: &str) -> std::result::Result<Took, String> {
    match text.trim().strip_suffix('d').map(str::trim).and_then(|n| n.parse().ok()) {
        Some(n) => Ok(Took::Diameters(n)),
        None => length(text).map(Took::Length),
    }
}

#[derive(Debug, Clone, Copy, Args)]
pub(super) struct Length {
    /// Finished length, bearing to bearing.
    #[arg(long, value_parser = length, allow_hyphen_values = true)]
    length: f64,
}

#[derive(Debug, Clone, Args)]
pub(super) struct EyeArgs {
    /// What its eyes go over: one pin, or one for each eye; of a thimble, the root of its groove.
    #[arg(long, value_parser = length, default_value = "16 mm")]
    pin: Vec<f64>,
    /// Half of an eye's rope, throat to crown, once or for each eye; what suits the pin without it.
    #[arg(long, value_parser = length)]
    eye: Vec<f64>,
    /// Buried length, once or for each eye; 72 diameters without it.
    #[arg(long, value_parser = length)]
    bury: Vec<f64>,
    /// Eyes on thimbles: both without a word.
    #[arg(long, value_enum, num_args = 0..=1, default_missing_value = "both")]
    thimble: Option<On>,
    /// Lock the first eye by passing; “both” locks the second from one end as well. Without it, stitches.
    #[arg(long, value_enum, num_args = 0..=1, default_missing_value = "first")]
    locked: Option<Locked>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum On {
    /// The first eye.
    First,
    /// The second.
    Second,
    /// Both.
    Both,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Locked {
    /// The first eye.
    First,
    /// Both.
    Both,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Stopper {
    /// Tails buried back into their legs.
    Button,
    /// Tails left standing.
    Diamond,
}

/// Of which rope, as whose hand makes it, and how the card is printed.
#[derive(Debug, Clone, Args)]
pub(super) struct Made {
    /// The rope: a hollow braid of the catalogue.
    #[arg(long, default_value = "hmpe-8", conflicts_with = "diameter")]
    rope: String,
    /// A rope of your own instead: its diameter.
    #[arg(long, value_parser = length, requires_all = ["strength", "basis"])]
    diameter: Option<f64>,
    /// Minimum breaking strength of your own rope, unspliced.
    #[arg(long, value_parser = force, requires = "diameter")]
    strength: Option<f64>,
    /// Where that strength comes from, such as "label, batch 7".
    #[arg(long, requires = "diameter")]
    basis: Option<String>,
    /// What a bury took of its host on a test piece, such as "6.9 %"; given once for each piece.
    #[arg(long, value_parser = share, conflicts_with = "lay")]
    shortens: Vec<f64>,
    /// What the first hard pulls added on a test piece; given once for each piece.
    #[arg(long, value_parser = share)]
    sets: Vec<f64>,
    /// One full turn of one strand, counted on the rope under tension: offers what a bury takes, until a test piece shows it.
    #[arg(long, value_parser = length)]
    lay: Option<f64>,
    /// The most that can be pulled where it is set.
    #[arg(long, value_parser = force, allow_hyphen_values = true)]
    pull: Option<f64>,
    #[command(flatten)]
    print: Print,
}

impl Made {
    fn rope(&self, catalogue: &Catalogue) -> std::result::Result<Rope, Refusal> {
        match (self.diameter, self.strength, &self.basis) {
            (Some(d_m), Some(n), Some(basis)) => Rope::own(d_m, n, basis),
            _ => catalogue.get(&self.rope).map_or_else(
                || {
                    Err(Refusal {
                        what: format!("“{}” is not in the catalogue", self.rope),
                        instead: "one of: spanwright items hmpe".to_owned(),
                    })
                },
                |item| Rope::of(item),
            ),
        }
    }

    fn hand(&self, rope: &Rope, knot: Option<Took>) -> std::result::Result<Hand, Refusal> {
        if self.pull.is_some_and(|n| !positive(n)) {
            return Err(Refusal {
                what: "nobody pulls with that".to_owned(),
                instead: "a force over nothing".to_owned(),
            });
        }
        let knot_d = knot.map(|k| match k {
            Took::Length(m) => m / rope.d_m,
            Took::Diameters(d) => d,
        });
        let mut hand = Hand { knot_d, pull_n: self.pull, ..Hand::default() };
        if let Some(lay) = self.lay {
            hand = hand.lay(lay / rope.d_m).map_err(|why| Refusal {
                instead: format!("{} to {} on this rope: {}", mm(5.0 * rope.d_m), mm(12.0 * rope.d_m), why.instead),
                ..why
            })?;
        }
        if !self.shortens.is_empty() {
            hand = hand.shortening(&self.shortens)?;
        }
        if !self.sets.is_empty() {
            hand = hand.setting(&self.sets)?;
        }
        Ok(hand)
    }
}

impl EyeArgs {
    fn eyes(&self) -> [Eye; 2] {
        [0, 1].map(|k| Eye {
            pin_m: pin(&self.pin, k),
            half_m: self.eye.get(k).or(self.eye.first()).copied(),
            thimble: matches!((self.thimble, k), (Some(On::Both), _) | (Some(On::First), 0) | (Some(On::Second), 1)),
            bury_m: self.bury.get(k).or(self.bury.first()).copied(),
            lock: match (self.locked, k) {
                (None, _) | (Some(Locked::First), 1) => Lock::Stitched,
                (Some(_), 0) => Lock::Passed,
                (Some(_), _) => Lock::Turned,
            },
        })
    }
}

fn pin(pins: &[f64], k: usize) -> f64 {
    pins.get(k).or(pins.first()).copied().unwrap_or(0.016)
}

/// Of what it is made, and by whom.
fn made(piece: &Piece) -> &Made {
    match piece {
        Piece::Eye { made, .. }
        | Piece::Sling { made, .. }
        | Piece::Loop { made, .. }
        | Piece::Shackle { made, .. }
        | Piece::Adjustable { made, .. }
        | Piece::Trial { made, .. } => made,
    }
}

/// What was asked for, of a rope, and what its knot took; nothing for a test piece.
fn asked(piece: &Piece, rope: &Rope) -> Option<(Gear, Option<Took>)> {
    Some(match piece {
        Piece::Eye { length, eye, .. } => (Gear::EyeSplice { eye: eye.eyes()[0], length_m: length.length }, None),
        Piece::Sling { length, eye, .. } => (Gear::Sling { eyes: eye.eyes(), length_m: length.length }, None),
        Piece::Loop { length, pin: pins, bury, .. } => {
            (Gear::Loop { length_m: length.length, pins_m: [pin(pins, 0), pin(pins, 1)], bury_m: *bury }, None)
        }
        Piece::Shackle { length, pin, stopper, knot, .. } => {
            let stopper = match stopper {
                Stopper::Button => ShackleKnot::Button,
                Stopper::Diamond => ShackleKnot::Diamond,
            };
            let pin_m = pin.unwrap_or(rope.d_m);
            (Gear::SoftShackle { length_m: length.length, pin_m, knot: stopper }, *knot)
        }
        Piece::Adjustable { length, eye, .. } => {
            let far_pin_m = pin(&eye.pin, 1);
            (Gear::Adjustable { eye: eye.eyes()[0], far_pin_m, longest_m: length.length }, None)
        }
        Piece::Trial { .. } => return None,
    })
}

/// What was said once too often, or of an eye that the piece does not have.
fn does_not_apply(piece: &Piece) -> Option<Refusal> {
    let refused = |what: &str, instead: &str| Some(Refusal { what: what.to_owned(), instead: instead.to_owned() });
    let (pins, eye) = match piece {
        Piece::Eye { eye, .. } | Piece::Adjustable { eye, .. } | Piece::Sling { eye, .. } => (&eye.pin, Some(eye)),
        Piece::Loop { pin, .. } => (pin, None),
        Piece::Shackle { .. } | Piece::Trial { .. } => return None,
    };
    let one = matches!(piece, Piece::Eye { .. });
    let most = if one { 1 } else { 2 };
    if pins.len() > most || eye.is_some_and(|e| e.eye.len() > most || e.bury.len() > most) {
        return refused(
            "a pin, an eye or a bury too many",
            if one { "each once" } else { "each once, or once for each end" },
        );
    }
    match (piece, eye.and_then(|e| e.locked), eye.and_then(|e| e.thimble)) {
        (Piece::Sling { .. } | Piece::Loop { .. }, ..) => None,
        (_, Some(Locked::Both), _) => refused("--locked both is of a sling: here one eye is spliced", "--locked"),
        (_, _, Some(On::Second)) => refused("--thimble second is of a sling: here one eye is spliced", "--thimble"),
        _ => None,
    }
}

/// Prints the card of one piece, or what a test piece shows.
pub(super) fn splice(piece: &Piece, (system, ascii): (System, bool)) -> Result<ExitCode> {
    let catalogue = Catalogue::builtin();
    let made = made(piece);
    if let Piece::Trial { read, .. } = piece {
        return match read.host_before {
            Some(_) => test_piece(read),
            None => match made.rope(catalogue) {
                Ok(rope) => made.print.page(&sheets::test_piece_card(&rope, &catalogue.version, system), ascii),
                Err(why) => {
                    complain(&format!("error: {}\n", plain(&why.to_string())));
                    Ok(ExitCode::from(2))
                }
            },
        };
    }
    let rope = does_not_apply(piece).map_or_else(|| made.rope(catalogue), Err);
    let design = rope.and_then(|rope| {
        let Some((gear, knot_m)) = asked(piece, &rope) else {
            return Err(Refusal {
                what: "a test piece is no gear".to_owned(),
                instead: "splice test-piece".to_owned(),
            });
        };
        let hand = made.hand(&rope, knot_m)?;
        bench::design(&gear, &rope, &hand, &catalogue.deratings)
    });
    match design {
        Ok(d) => made.print.page(&sheets::splice_card(&d, &catalogue.version, system), ascii),
        Err(why) => {
            complain(&format!("error: {}\n", plain(&why.to_string())));
            Ok(ExitCode::from(2))
        }
    }
}

fn test_piece(read: &ReadOff) -> Result<ExitCode> {
    let all = [read.host_before, read.host_after, read.tail, read.plain_before, read.plain_after];
    let [host_before, host_after, bury, plain_before, plain_after] = all.map(Option::unwrap_or_default);
    if ![host_before, host_after, bury, plain_before, plain_after].into_iter().all(positive) {
        complain("error: the lengths of a test piece are over nothing\n");
        return Ok(ExitCode::from(2));
    }
    let shown = TestPiece { host_m: [host_before, host_after], bury_m: bury, plain_m: [plain_before, plain_after] };
    let (shortens, sets) = (100.0 * shown.shortens(), 100.0 * shown.sets());
    if let Err(why) = Hand::default().shortening(&[shown.shortens()]).and_then(|h| h.setting(&[shown.sets()])) {
        complain(&format!("error: {why}\n"));
        return Ok(ExitCode::from(2));
    }
    print(&format!(
        "A bury of {} takes {shortens:.1} % of its host; the first hard pulls add {sets:.1} %.\nMake the card with: --shortens \"{shortens:.1} %\" --sets \"{sets:.1} %\"; again for each further piece: three or more give the range.\nThey belong to this rope, this batch and this hand.\n",
        mm(bury)
    ))
}
