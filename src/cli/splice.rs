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
        /// What the knot took of each leg, from the first of the batch.
        #[arg(long, value_parser = length)]
        knot: Option<f64>,
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
    /// What one test piece shows: a tail buried in rope of the batch, two ink lines astride the bury, two on plain rope.
    #[command(name = "test-piece")]
    Trial {
        /// Between the lines on the host, before.
        #[arg(long, value_parser = length)]
        host_before: f64,
        /// The same once the tail is in.
        #[arg(long, value_parser = length)]
        host_after: f64,
        /// Length of the tail that went in.
        #[arg(long, value_parser = length)]
        bury: f64,
        /// Between the lines on plain rope, before setting.
        #[arg(long, value_parser = length)]
        plain_before: f64,
        /// The same after setting.
        #[arg(long, value_parser = length)]
        plain_after: f64,
    },
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
    /// Half of an eye's rope, throat to crown; what suits the pin without it.
    #[arg(long, value_parser = length)]
    eye: Option<f64>,
    /// Buried length; 72 diameters without it.
    #[arg(long, value_parser = length)]
    bury: Option<f64>,
    /// Eyes on thimbles.
    #[arg(long)]
    thimble: bool,
    /// Lock the first eye by passing; “both” locks the second from one end as well. Without it, stitches.
    #[arg(long, value_enum, num_args = 0..=1, default_missing_value = "first")]
    locked: Option<Locked>,
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
    #[arg(long, value_parser = force)]
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

    fn hand(&self, rope: &Rope, knot_m: Option<f64>) -> std::result::Result<Hand, Refusal> {
        let mut hand = Hand { knot_d: knot_m.map(|m| m / rope.d_m), pull_n: self.pull, ..Hand::default() };
        if let Some(lay) = self.lay {
            hand = hand.lay(lay / rope.d_m)?;
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
            half_m: self.eye,
            thimble: self.thimble,
            bury_m: self.bury,
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

/// Of what it is made, and by whom; nothing for a test piece.
fn made(piece: &Piece) -> Option<&Made> {
    match piece {
        Piece::Eye { made, .. }
        | Piece::Sling { made, .. }
        | Piece::Loop { made, .. }
        | Piece::Shackle { made, .. }
        | Piece::Adjustable { made, .. } => Some(made),
        Piece::Trial { .. } => None,
    }
}

/// What was asked for, of a rope, and what its knot took; nothing for a test piece.
fn asked(piece: &Piece, rope: &Rope) -> Option<(Gear, Option<f64>)> {
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

/// Prints the card of one piece, or what a test piece shows.
pub(super) fn splice(piece: &Piece, (system, ascii): (System, bool)) -> Result<ExitCode> {
    let catalogue = Catalogue::builtin();
    let Some(made) = made(piece) else { return test_piece(piece) };
    let design = made.rope(catalogue).and_then(|rope| {
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

fn test_piece(piece: &Piece) -> Result<ExitCode> {
    let Piece::Trial { host_before, host_after, bury, plain_before, plain_after } = *piece else {
        return Ok(ExitCode::from(2));
    };
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
