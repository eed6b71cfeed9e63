//! The pulley system of a plan: what pulls the line to its tension, from where, and who pulls.

use crate::catalogue::{Catalogue, Class, Item};
use crate::mechanics::reeving::{Body, Reeving, Rope, Turn, Way};
use crate::plan::Side;
use crate::units::{Force, Length, Quantity as _};

/// How the line is tensioned.
#[derive(Debug, Clone, PartialEq)]
pub struct Tensioning {
    /// The end that is pulled.
    pub side: Side,
    /// The point that the system hangs on; that end of the main line without it.
    pub at: Option<String>,
    /// How the ropes run, as written.
    pub reeving: String,
    /// Whether the hand's strand turns once more at the anchor.
    pub turned: bool,
    /// What each sheave is.
    pub sheave: String,
    /// Sheaves that are something else: the first from the hand, the second, and so on; beyond its end, `sheave`.
    pub sheaves: Vec<String>,
    /// The rope.
    pub rope: String,
    /// What grips the line.
    pub grip: String,
    /// What holds the rope while nobody pulls.
    pub capture: Option<String>,
    /// How many pull.
    pub people: usize,
    /// With how much each.
    pub each: Force,
    /// Between the blocks at the start.
    pub distance: Length,
    /// Whether it stays in.
    pub left_in: bool,
    /// How it is released under load.
    pub release: String,
}

/// A pulley set that is put on for a while.
#[derive(Debug, Clone, PartialEq)]
pub struct PulleySet {
    /// How its rope runs, as written.
    pub reeving: String,
    /// What each sheave is.
    pub sheave: String,
    /// The rope.
    pub rope: String,
    /// Between its two ends when it is drawn out.
    pub drawn_out: Length,
}

impl PulleySet {
    /// How its rope runs, each sheave keeping what its item keeps.
    ///
    /// # Errors
    /// Why what is written is no pulley system, and what would be.
    pub fn ropes(&self, catalogue: &Catalogue) -> Result<Reeving, String> {
        let keeps = catalogue.get(&self.sheave).map_or(BARE, |i| sheave_keeps(i));
        going(reeving(&self.reeving, false, keeps)?)
    }

    /// Rope that it takes, drawn out and with one strand more for the hands, m.
    #[must_use]
    pub fn rope_m(&self, ropes: &Reeving) -> f64 {
        let strands: usize = ropes.ropes.iter().map(|r| r.turns.len() + 1).sum();
        (strands + 1) as f64 * self.drawn_out.si()
    }

    /// What it multiplies the hands' pull by, its friction counted.
    #[must_use]
    pub fn advantage(&self, catalogue: &Catalogue) -> Option<f64> {
        Some(self.ropes(catalogue).ok()?.pulls(Way::Hauling).ok()?.load)
    }

    /// Most tension of its rope and most load of a sheave, N, hauling so much or holding it back.
    #[must_use]
    pub fn sees_n(&self, catalogue: &Catalogue, load_n: f64) -> Option<[f64; 2]> {
        let reeving = self.ropes(catalogue).ok()?;
        let mut most = [0.0_f64; 2];
        for way in [Way::Hauling, Way::Lowering] {
            let pulls = reeving.pulls(way).ok()?;
            let by = load_n / pulls.load;
            for (most, all) in most.iter_mut().zip([&pulls.strands, &pulls.sheaves]) {
                *most = all.iter().flatten().map(|n| n * by).fold(*most, f64::max);
            }
        }
        Some(most)
    }
}

/// The situation in which the system works.
pub const SITUATION: &str = "tensioning";

/// What a sheave keeps when its item does not say: a bare connector. Common practice, no source.
const BARE: f64 = 0.5;
/// A low-friction ring with HMPE rope. Common practice, from memory.
const RING: f64 = 0.65;

/// What of a rope's tension is left beyond a sheave of this item.
#[must_use]
pub fn sheave_keeps(item: &Item) -> f64 {
    match (item.efficiency, item.class) {
        (Some(e), _) => e,
        (None, Class::Ring) => RING,
        _ => BARE,
    }
}

impl Tensioning {
    /// What the sheave is that is the `n`th from the hand, from 0, rope after rope.
    #[must_use]
    pub fn sheave(&self, n: usize) -> &str {
        self.sheaves.get(n).unwrap_or(&self.sheave)
    }

    /// Its ropes, each sheave keeping what its own item keeps.
    ///
    /// # Errors
    /// Why what is written is no pulley system, and what would be.
    pub fn ropes(&self, catalogue: &Catalogue) -> Result<Reeving, String> {
        let mut reeving = reeving(&self.reeving, self.turned, BARE)?;
        let turns: Vec<&mut Turn> = reeving.ropes.iter_mut().flat_map(|r| &mut r.turns).collect();
        if self.sheaves.len() > turns.len() {
            return Err(format!("{} sheaves are named, and the ropes turn {} times", self.sheaves.len(), turns.len()));
        }
        for (n, turn) in turns.into_iter().enumerate() {
            turn.keeps = catalogue.get(self.sheave(n)).map_or(BARE, |i| sheave_keeps(i));
        }
        going(reeving)
    }
}

/// What pulls its load when the hand is pulled.
fn going(reeving: Reeving) -> Result<Reeving, String> {
    match reeving.pulls(Way::Hauling) {
        Ok(_) => Ok(reeving),
        Err(f) => Err(format!("this reeving goes nowhere: {f}")),
    }
}

/// Reads a reeving: `5:1`, `3:1 on 3:1` (the first in the hand), or ropes place by place from the hand,
/// `hand load anchor load; …`, with blocks that move called `block 1`, `block 2` from the anchor outward.
///
/// # Errors
/// What cannot be read, and what can.
pub fn reeving(text: &str, turned: bool, keeps: f64) -> Result<Reeving, String> {
    let help = "write 5:1, 3:1 on 3:1, or the places of each rope from the hand: hand block1 anchor block1; block1 load anchor load";
    let ratio = |t: &str| -> Option<usize> {
        let (n, one) = t.trim().split_once(':')?;
        (one.trim() == "1").then(|| n.trim().parse().ok()).flatten().filter(|n| (1..=12).contains(n))
    };
    if text.contains(':') {
        let stages: Option<Vec<usize>> = text.split(" on ").map(ratio).collect();
        let stages =
            stages.filter(|s| s.len() <= 4).ok_or_else(|| format!("“{text}” is no system of 1:1 to 12:1; {help}"))?;
        return Ok(Reeving::compound(&stages, turned, keeps));
    }
    let body = |word: &str| -> Result<Body, String> {
        match word {
            "hand" => Ok(Body::Hand),
            "anchor" => Ok(Body::Anchor),
            "load" => Ok(Body::Load),
            _ => match word.strip_prefix("block").and_then(|n| n.parse::<usize>().ok()).filter(|n| (1..=6).contains(n))
            {
                Some(n) => Ok(Body::Block(n - 1)),
                None => Err(format!("“{word}” is no place of a rope; {help}")),
            },
        }
    };
    let ropes = text.split(';').map(|rope| {
        let places = rope.split_whitespace().map(body).collect::<Result<Vec<_>, _>>()?;
        match &places[..] {
            [from, turns @ .., to] => {
                Ok(Rope { from: *from, turns: turns.iter().map(|&on| Turn { on, keeps }).collect(), to: *to })
            }
            _ => Err(format!("a rope needs two places at least; {help}")),
        }
    });
    Ok(Reeving { ropes: ropes.collect::<Result<Vec<_>, String>>()? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_sheave_keeps_what_its_item_keeps() {
        let catalogue = Catalogue::builtin();
        let keeps = |id: &str| sheave_keeps(catalogue.get(id).expect(id));
        let mut t = Tensioning {
            side: Side::B,
            at: None,
            reeving: "3:1".to_owned(),
            turned: false,
            sheave: "bow-shackle-1t".to_owned(),
            sheaves: vec!["pulley-rescue".to_owned()],
            rope: String::new(),
            grip: String::new(),
            capture: None,
            people: 3,
            each: crate::units::Quantity::from_si(300.0),
            distance: crate::units::Quantity::from_si(6.0),
            left_in: false,
            release: String::new(),
        };
        // Three strands on the load: the hand's, what the first sheave leaves of it, and what the second leaves of that.
        let (first, second) = (keeps("pulley-rescue"), keeps("bow-shackle-1t"));
        assert!(first > second);
        let load = t.ropes(catalogue).expect("reads").pulls(Way::Hauling).expect("pulls").load;
        assert!((load - (1.0 + first + first * second)).abs() < 1e-12, "{load}");
        t.sheaves = vec!["pulley-rescue".to_owned(); 3];
        assert!(t.ropes(catalogue).expect_err("two turns only").contains("3 sheaves are named"));
    }

    #[test]
    fn systems_are_read() {
        let load = |t: &str| reeving(t, false, 1.0).expect("reads").pulls(Way::Ideal).expect("pulls").load;
        assert!((load("5:1") - 5.0).abs() < 1e-12);
        assert!((load("3:1 on 3:1") - 9.0).abs() < 1e-12);
        // Rope pulling on rope: the computed set's complex five to one.
        assert!((load("hand block1 load block1; block1 anchor load") - 5.0).abs() < 1e-12);
        assert!((load("hand load anchor load") - 3.0).abs() < 1e-12);
        for bad in ["", "0:1", "3:2", "3:1 on", "hand tree", "hand", "13:1"] {
            let said = reeving(bad, false, 1.0).expect_err(bad);
            assert!(said.contains("hand block1"), "{bad}: {said}");
        }
        assert!(reeving("hand anchor", false, 1.0).expect("reads").pulls(Way::Ideal).is_err());
    }
}
