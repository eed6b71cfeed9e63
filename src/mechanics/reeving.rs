//! Pulley systems: ropes through sheaves between an anchor, a load, and blocks that move.
//!
//! All strands are taken parallel. A rope is the list of places it visits, in the order in which it is hauled through
//! them; where it turns, the strand beyond a sheave keeps a share of the tension before it. Hauling goes from the hand to
//! the load; lowering is the same with the shares turned round.

use super::linsolve::solve_dense;

/// Where a rope can go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Body {
    /// Those who pull; only at the start of the first rope.
    Hand,
    /// What does not move.
    Anchor,
    /// A block that moves, numbered from 0 in the order away from the anchor.
    Block(usize),
    /// What is pulled towards the anchor.
    Load,
}

/// Where a strand turns, and what of its tension is left beyond.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turn {
    /// On what.
    pub on: Body,
    /// Tension beyond over tension before, hauling; in (0, 1].
    pub keeps: f64,
}

/// One rope: where it starts, where it turns, where it is tied.
#[derive(Debug, Clone, PartialEq)]
pub struct Rope {
    /// The hand, or what it is tied to.
    pub from: Body,
    /// Sheaves, in order.
    pub turns: Vec<Turn>,
    /// The becket.
    pub to: Body,
}

/// A whole system; the first rope starts at the hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Reeving {
    /// Its ropes.
    pub ropes: Vec<Rope>,
}

/// Which way it runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Tight strands are the hand's.
    Hauling,
    /// Tight strands are the load's.
    Lowering,
    /// No friction.
    Ideal,
}

/// Why a reeving pulls nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReevingFault {
    /// The first rope does not start at the hand, or another does.
    NoHand,
    /// Nothing pulls on the load.
    NoLoad,
    /// A rope turns back past this sheave: its two strands leave on different sides.
    Straight {
        /// Rope, from 0.
        rope: usize,
        /// Turn, from 0.
        turn: usize,
    },
    /// A rope is tied to a place that its strand already is at.
    Nowhere {
        /// Rope, from 0.
        rope: usize,
    },
    /// A block is not in balance, whatever the ropes carry: it would fly to one side.
    Loose,
    /// A strand would have to push.
    Pushes {
        /// Rope, from 0.
        rope: usize,
    },
}

impl std::fmt::Display for ReevingFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoHand => write!(f, "exactly the first rope must start at the hand"),
            Self::NoLoad => write!(f, "no strand pulls the load towards the anchor"),
            Self::Straight { rope, turn } => {
                write!(
                    f,
                    "rope {}, sheave {}: the strands leave on different sides, so it turns nothing",
                    rope + 1,
                    turn + 1
                )
            }
            Self::Nowhere { rope } => write!(f, "rope {}: two places in a row are the same", rope + 1),
            Self::Loose => write!(f, "a block that moves is not held between the others"),
            Self::Pushes { rope } => write!(f, "rope {} would have to push", rope + 1),
        }
    }
}

/// What a pull of 1 at the hand does.
#[derive(Debug, Clone, PartialEq)]
pub struct Pulls {
    /// Tension of each strand of each rope, over the hand's.
    pub strands: Vec<Vec<f64>>,
    /// Load on each sheave: the strands before and beyond.
    pub sheaves: Vec<Vec<f64>>,
    /// Pull on the load.
    pub load: f64,
    /// What the anchor must hold.
    pub anchor: f64,
}

impl Reeving {
    /// One rope on a load, `parts` strands to it, hand pulling from the anchor's side; over a last sheave on the anchor
    /// when `turned` (the hand then pulls towards the load).
    #[must_use]
    pub fn simple(parts: usize, turned: bool, keeps: f64) -> Self {
        Self::compound(&[parts], turned, keeps)
    }

    /// Simple systems pulling on each other: the first is in the hand, the last on the load.
    #[must_use]
    pub fn compound(stages: &[usize], turned: bool, keeps: f64) -> Self {
        let last = stages.len().saturating_sub(1);
        let ropes = stages.iter().enumerate().map(|(k, &parts)| {
            let far = if k == last { Body::Load } else { Body::Block(k) };
            let from = if k == 0 { Body::Hand } else { Body::Block(k - 1) };
            // To what moves, to the anchor, to and fro: each place a strand, but the sheaves on what moves make two.
            let to_and_fro = (0..parts.max(1)).map(|i| if i % 2 == 0 { far } else { Body::Anchor });
            let mut places: Vec<Body> =
                (k == 0 && turned).then_some(Body::Anchor).into_iter().chain(to_and_fro).collect();
            let to = places.pop().unwrap_or(far);
            Rope { from, turns: places.into_iter().map(|on| Turn { on, keeps }).collect(), to }
        });
        Self { ropes: ropes.collect() }
    }

    /// The blocks that move.
    fn blocks(&self) -> usize {
        let number = |b: &Body| if let Body::Block(k) = b { k + 1 } else { 0 };
        self.ropes.iter().flat_map(Rope::places).map(|b| number(&b)).max().unwrap_or(0)
    }

    /// Checks that every rope leads somewhere, and that every sheave turns its rope.
    ///
    /// # Errors
    /// The first fault.
    pub fn check(&self) -> Result<(), ReevingFault> {
        let hands = self.ropes.iter().map(|r| r.places().iter().filter(|b| **b == Body::Hand).count());
        if hands.enumerate().any(|(k, n)| n != usize::from(k == 0))
            || self.ropes.first().map(|r| r.from) != Some(Body::Hand)
        {
            return Err(ReevingFault::NoHand);
        }
        if !self.ropes.iter().any(|r| r.places().contains(&Body::Load)) {
            return Err(ReevingFault::NoLoad);
        }
        for (rope, r) in self.ropes.iter().enumerate() {
            let places = r.places();
            if places.windows(2).any(|w| w[0] == w[1]) {
                return Err(ReevingFault::Nowhere { rope });
            }
            for turn in 0..r.turns.len() {
                let [before, on, beyond] = [places[turn], places[turn + 1], places[turn + 2]];
                // The hand pulls from whichever side the rope leaves on.
                if before != Body::Hand && (before > on) != (beyond > on) {
                    return Err(ReevingFault::Straight { rope, turn });
                }
            }
        }
        Ok(())
    }

    /// What a pull of 1 at the hand does.
    ///
    /// # Errors
    /// Why it does nothing.
    pub fn pulls(&self, way: Way) -> Result<Pulls, ReevingFault> {
        self.check()?;
        // Each strand's tension over that of its rope's first.
        let shares: Vec<Vec<f64>> = self.ropes.iter().map(|r| r.shares(way)).collect();
        let (blocks, unknown) = (self.blocks(), self.ropes.len() - 1);
        if blocks != unknown {
            return Err(ReevingFault::Loose);
        }
        // Forces of a rope of unit first tension on the blocks, away from the anchor positive.
        let on = |rope: usize, body: Body| self.ropes[rope].force_on(body, &shares[rope]);
        let matrix = |row: usize, column: usize| on(column + 1, Body::Block(row));
        let right: Vec<f64> = (0..blocks).map(|b| -on(0, Body::Block(b))).collect();
        let solved = solve_dense(blocks, matrix, &right).ok_or(ReevingFault::Loose)?;
        let first: Vec<f64> = std::iter::once(1.0).chain(solved).collect();
        if let Some(rope) = first.iter().position(|t| *t <= 0.0) {
            return Err(ReevingFault::Pushes { rope });
        }
        let whole = |body: Body| -> f64 { first.iter().enumerate().map(|(r, t)| t * on(r, body)).sum() };
        let strands: Vec<Vec<f64>> =
            shares.iter().zip(&first).map(|(s, t)| s.iter().map(|share| share * t).collect()).collect();
        let load = -whole(Body::Load);
        if load <= 0.0 {
            return Err(ReevingFault::NoLoad);
        }
        let sheaves = strands.iter().map(|s| s.windows(2).map(|w| w[0] + w[1]).collect()).collect();
        Ok(Pulls { strands, sheaves, load, anchor: whole(Body::Anchor) })
    }

    /// How far the hand and each block go while the load goes 1, from ropes that keep their lengths.
    ///
    /// # Errors
    /// As [`Self::pulls`].
    pub fn travel(&self) -> Result<(f64, Vec<f64>), ReevingFault> {
        self.check()?;
        let blocks = self.blocks();
        if blocks != self.ropes.len() - 1 {
            return Err(ReevingFault::Loose);
        }
        // A rope's length changes by what each place does to it: its force there for a tension of 1 all along.
        let ideal: Vec<Vec<f64>> = self.ropes.iter().map(|r| r.shares(Way::Ideal)).collect();
        let of = |rope: usize, body: Body| self.ropes[rope].force_on(body, &ideal[rope]);
        let right: Vec<f64> = (1..self.ropes.len()).map(|r| -of(r, Body::Load)).collect();
        let moved = solve_dense(blocks, |r, b| of(r + 1, Body::Block(b)), &right).ok_or(ReevingFault::Loose)?;
        let hand = -of(0, Body::Load) - moved.iter().enumerate().map(|(b, v)| of(0, Body::Block(b)) * v).sum::<f64>();
        Ok((hand, moved))
    }
}

impl Rope {
    /// Every place it visits.
    fn places(&self) -> Vec<Body> {
        std::iter::once(self.from).chain(self.turns.iter().map(|t| t.on)).chain([self.to]).collect()
    }

    /// Tension of each strand over that of the first.
    fn shares(&self, way: Way) -> Vec<f64> {
        let mut out = vec![1.0];
        for t in &self.turns {
            let keeps = match way {
                Way::Hauling => t.keeps,
                Way::Lowering => 1.0 / t.keeps,
                Way::Ideal => 1.0,
            };
            out.push(out[out.len() - 1] * keeps);
        }
        out
    }

    /// Force on a body, away from the anchor positive, of strands with these tensions.
    fn force_on(&self, body: Body, strands: &[f64]) -> f64 {
        let places = self.places();
        let mut sum = 0.0;
        for (k, (pair, tension)) in places.windows(2).zip(strands).enumerate() {
            // The hand is on the side of its sheave on which the rope leaves.
            let away = |from: Body, to: Body| -> f64 {
                let to = if to == Body::Hand { places.get(k + 2).copied().unwrap_or(Body::Anchor) } else { to };
                if to > from { 1.0 } else { -1.0 }
            };
            for (here, there) in [(pair[0], pair[1]), (pair[1], pair[0])] {
                if here == body {
                    sum += tension * away(here, there);
                }
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn what_leads_nowhere_is_said() {
        let rope = |from, turns: &[Body], to| Rope {
            from,
            turns: turns.iter().map(|&on| Turn { on, keeps: 0.9 }).collect(),
            to,
        };
        let of = |ropes| Reeving { ropes }.pulls(Way::Hauling);
        assert_eq!(of(vec![rope(Body::Anchor, &[Body::Load], Body::Anchor)]), Err(ReevingFault::NoHand));
        assert_eq!(of(vec![rope(Body::Hand, &[], Body::Anchor)]), Err(ReevingFault::NoLoad));
        assert_eq!(of(vec![rope(Body::Hand, &[Body::Load], Body::Load)]), Err(ReevingFault::Nowhere { rope: 0 }));
        // A block that only one rope pulls on.
        let two =
            vec![rope(Body::Hand, &[Body::Block(0)], Body::Anchor), rope(Body::Anchor, &[Body::Load], Body::Anchor)];
        assert_eq!(of(two), Err(ReevingFault::Loose));
        // A sheave between anchor and load that the rope only passes.
        let passes = vec![
            rope(Body::Hand, &[Body::Load, Body::Block(0), Body::Anchor], Body::Load),
            rope(Body::Block(0), &[], Body::Load),
        ];
        assert!(matches!(of(passes), Err(ReevingFault::Straight { rope: 0, turn: 1 })));
    }

    proptest! {
        /// Virtual work: without friction, the hand's work is the load's, and the anchor holds the rest; with friction
        /// hauling takes more, and lowering less.
        #[test]
        fn work_in_is_work_out(stages in prop::collection::vec(1_usize..7, 1..4), turned: bool, keeps in 0.4..1.0_f64) {
            let r = Reeving::compound(&stages, turned, keeps);
            let ideal = r.pulls(Way::Ideal).expect("pulls");
            let (hand, _) = r.travel().expect("moves");
            let product: usize = stages.iter().product();
            prop_assert!((ideal.load - hand).abs() < 1e-9 * hand);
            prop_assert!((hand - product as f64).abs() < 1e-9 * hand);
            let (up, down) = (r.pulls(Way::Hauling).expect("hauls"), r.pulls(Way::Lowering).expect("lowers"));
            prop_assert!(up.load <= ideal.load * (1.0 + 1e-9) && ideal.load <= down.load * (1.0 + 1e-9));
            // The hand pulls with or against the anchor, by the side on which its rope leaves.
            let sign = if turned { -1.0 } else { 1.0 };
            for p in [&ideal, &up, &down] {
                prop_assert!((p.anchor + sign - p.load).abs() < 1e-9 * p.load);
            }
        }
    }
}
