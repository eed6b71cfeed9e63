//! Lengths cut from stock: from spools that can be bought, as few metres as will do; from what is owned, each once, so that
//! offcuts go first, few pieces are opened and no scrap is left. Exact for some twenty pieces; beyond, how far from the
//! least possible it may be is said.
//!
//! In whole millimetres, so that equal is equal. Depth-first, the longest piece first, into the tightest place; states that
//! led nowhere are remembered (the classic branch and bound of cutting stock with few pieces; derived here).

use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap, HashSet};

/// Lost at each cut, with the taped end, unless the rigger says otherwise, m. Common practice, no source.
pub const KERF_M: f64 = 0.03;
/// Looks at one question before it is left undecided.
const LOOKS: usize = 400_000;
/// A length that is owned is a spool from here on, below it an offcut, mm. Of our own.
const SPOOL_MM: u64 = 10_000;
/// What opening a piece of stock costs beside its length, mm of rope. Of our own.
const OPENING_MM: f64 = 250.0;
/// What is shorter than this when all is cut is scrap, mm. Of our own.
const KEEP_MM: u64 = 1500;

/// A length of rope or webbing that can be cut from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// Its length, m.
    pub length_m: f64,
    /// Whether it is owned, and there once; else it can be bought, as often as is wanted.
    pub owned: bool,
}

/// One piece of stock, what is cut from it, and what is left.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Which it is.
    pub from: Length,
    /// Pieces by their index, in the order of cutting.
    pub pieces: Vec<usize>,
    /// Left over, m.
    pub left_m: f64,
}

/// How pieces come from stock.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutPlan {
    /// Stock that is cut.
    pub taken: Vec<Taken>,
    /// Pieces that nothing is left for, by their index.
    pub without: Vec<usize>,
    /// Left over on stock that was cut, m.
    pub left_m: f64,
    /// By how much the plan may be above the least possible, as a share of what it takes; zero where it is the least.
    pub gap: f64,
}

fn up(m: f64) -> u64 {
    (m * 1e3 - 1e-6).ceil().max(0.0) as u64
}

fn down(m: f64) -> u64 {
    (m * 1e3 + 1e-6).floor().max(0.0) as u64
}

/// Takes pieces (m) from stock. What is owned is used before anything is bought; where all must be bought, the least
/// metres, then the fewest spools. Each cut takes `kerf_m` beside.
#[must_use]
pub fn plan_cuts(pieces_m: &[f64], stock: &[Length], kerf_m: f64) -> CutPlan {
    let kerf = up(kerf_m);
    let needs: Vec<u64> = pieces_m.iter().map(|m| up(*m) + kerf).collect();
    let longest = stock.iter().map(|s| down(s.length_m)).max().unwrap_or(0);
    // What no length is long enough for is said, and the rest planned without it.
    let (fits, mut without): (Vec<usize>, Vec<usize>) = (0..needs.len()).partition(|i| needs[*i] <= longest);
    let owned: Vec<Slot> = stock.iter().filter(|s| s.owned).map(|s| Slot::owned(down(s.length_m))).collect();
    let mut sizes: Vec<u64> = stock.iter().filter(|s| !s.owned).map(|s| down(s.length_m)).filter(|s| *s > 0).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let mine: Vec<u64> = fits.iter().map(|i| needs[*i]).collect();
    let found = if owned.is_empty() {
        bought(&mine, &sizes)
    } else {
        // As many of each size as there are pieces: none is cut from two.
        let more = sizes.iter().flat_map(|s| std::iter::repeat_n(Slot::bought(*s), mine.len()));
        from_slots(&mine, &owned.iter().copied().chain(more).collect::<Vec<_>>())
    };
    let mut out = CutPlan { gap: found.gap, ..CutPlan::default() };
    for (length, owned, pieces) in found.taken {
        let used: u64 = pieces.iter().map(|k| mine[*k]).sum();
        let left_m = (length - used) as f64 / 1e3;
        let mut pieces: Vec<usize> = pieces.into_iter().map(|k| fits[k]).collect();
        // The longest first: should it be cut wrong, the shorter ones may still come out of it.
        pieces.sort_by_key(|i| (Reverse(needs[*i]), *i));
        out.taken.push(Taken { from: Length { length_m: length as f64 / 1e3, owned }, pieces, left_m });
    }
    without.extend(found.without.into_iter().map(|k| fits[k]));
    without.sort_unstable();
    out.without = without;
    out.left_m = out.taken.iter().map(|t| t.left_m).sum();
    out
}

/// Lengths taken, whether owned, with the pieces from each; pieces that found none; and the gap.
#[derive(Debug, Default)]
struct Found {
    taken: Vec<(u64, bool, Vec<usize>)>,
    without: Vec<usize>,
    gap: f64,
}

/// Order of pieces, the longest first.
fn longest_first(needs: &[u64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..needs.len()).collect();
    order.sort_by_key(|i| (Reverse(needs[*i]), *i));
    order
}

/// Best fit, the longest first: each from the place that it leaves least of, a new spool the shortest that will do.
fn best_fit(needs: &[u64], sizes: &[u64]) -> Vec<(u64, Vec<usize>)> {
    let mut out: Vec<(u64, u64, Vec<usize>)> = Vec::new();
    for i in longest_first(needs) {
        let open = out.iter_mut().filter(|s| s.1 >= needs[i]).min_by_key(|s| s.1);
        if let Some(s) = open {
            s.1 -= needs[i];
            s.2.push(i);
        } else if let Some(size) = sizes.iter().copied().find(|s| *s >= needs[i]) {
            out.push((size, size - needs[i], vec![i]));
        }
    }
    out.into_iter().map(|(size, _, pieces)| (size, pieces)).collect()
}

/// The spools to buy: sets of spools in rising metres, then count, until the first that everything fits into.
fn bought(needs: &[u64], sizes: &[u64]) -> Found {
    if needs.is_empty() {
        return Found::default();
    }
    let all: u64 = needs.iter().sum();
    let rough = best_fit(needs, sizes);
    let rough_mm: u64 = rough.iter().map(|s| s.0).sum();
    let order = longest_first(needs);
    let sorted: Vec<u64> = order.iter().map(|i| needs[*i]).collect();
    let mut heap = BinaryHeap::from([Reverse((0_u64, 0_usize, Vec::<usize>::new()))]);
    // The least metres of a set that was left undecided.
    let mut open: Option<u64> = None;
    let mut looked = 0;
    while let Some(Reverse((metres, count, set))) = heap.pop() {
        if (metres, count) >= (rough_mm, rough.len()) || looked > 50_000 {
            if metres < rough_mm {
                open = open.or(Some(metres.max(all)));
            }
            break;
        }
        looked += 1;
        if metres >= all {
            let bins: Vec<u64> = set.iter().map(|k| sizes[*k]).collect();
            match pack(&sorted, &bins) {
                Packed::Fits(at) => {
                    let mut taken: Vec<(u64, bool, Vec<usize>)> =
                        bins.iter().map(|b| (*b, false, Vec::new())).collect();
                    for (k, bin) in at.into_iter().enumerate() {
                        taken[bin].2.push(order[k]);
                    }
                    taken.retain(|t| !t.2.is_empty());
                    let gap = open.map_or(0.0, |o| (metres - o) as f64 / metres as f64);
                    return Found { taken, without: Vec::new(), gap };
                }
                Packed::Never => {}
                Packed::Undecided => open = open.or(Some(metres)),
            }
        }
        if count < needs.len() {
            for (k, size) in sizes.iter().enumerate().skip(set.last().copied().unwrap_or(0)) {
                let mut more = set.clone();
                more.push(k);
                heap.push(Reverse((metres + size, count + 1, more)));
            }
        }
    }
    let gap = open.map_or(0.0, |o| rough_mm.saturating_sub(o) as f64 / rough_mm as f64);
    Found { taken: rough.into_iter().map(|(size, pieces)| (size, false, pieces)).collect(), without: Vec::new(), gap }
}

/// Whether pieces fit into bins.
enum Packed {
    /// They do: the bin of each.
    Fits(Vec<usize>),
    /// They do not, however they are put.
    Never,
    /// It was not found out.
    Undecided,
}

/// Whether pieces, the longest first, fit into bins.
fn pack(needs: &[u64], bins: &[u64]) -> Packed {
    struct Search<'a> {
        needs: &'a [u64],
        rest: Vec<u64>,
        at: Vec<usize>,
        dead: HashSet<(usize, Vec<u64>)>,
        looks: usize,
    }
    impl Search<'_> {
        fn go(&mut self, i: usize) -> Option<bool> {
            let Some(need) = self.needs.get(i).copied() else { return Some(true) };
            self.looks += 1;
            if self.looks > LOOKS {
                return None;
            }
            let least = self.needs[self.needs.len() - 1];
            let mut state: Vec<u64> = self.rest.iter().copied().filter(|r| *r >= least).collect();
            if state.iter().sum::<u64>() < self.needs[i..].iter().sum() {
                return Some(false);
            }
            state.sort_unstable();
            if self.dead.contains(&(i, state.clone())) {
                return Some(false);
            }
            let mut places: Vec<usize> = (0..self.rest.len()).filter(|b| self.rest[*b] >= need).collect();
            places.sort_by_key(|b| self.rest[*b]);
            places.dedup_by_key(|b| self.rest[*b]);
            for b in places {
                self.rest[b] -= need;
                self.at.push(b);
                match self.go(i + 1) {
                    Some(false) => {}
                    found => return found,
                }
                self.at.pop();
                self.rest[b] += need;
            }
            self.dead.insert((i, state));
            Some(false)
        }
    }
    let mut s = Search { needs, rest: bins.to_vec(), at: Vec::new(), dead: HashSet::new(), looks: 0 };
    match s.go(0) {
        Some(true) => Packed::Fits(s.at),
        Some(false) => Packed::Never,
        None => Packed::Undecided,
    }
}

/// A length of stock with what it costs, in mm of rope.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Slot {
    length: u64,
    owned: bool,
    /// What a metre of it costs, and what one that is left and kept is worth.
    price: f64,
    worth: f64,
}

impl Slot {
    fn owned(length: u64) -> Self {
        let price = if length >= SPOOL_MM { 1.0 } else { 0.7 };
        Self { length, owned: true, price, worth: price }
    }

    fn bought(length: u64) -> Self {
        Self { length, owned: false, price: 1.2, worth: 0.5 }
    }

    /// What it costs to open it and use all but `left`.
    fn cost(&self, left: u64) -> f64 {
        let kept = if left >= KEEP_MM { self.worth * left as f64 } else { 0.0 };
        OPENING_MM + self.price * self.length as f64 - kept
    }

    /// The least that a millimetre of what is left can cost: opened, or still closed.
    fn rate(&self, left: u64, opened: bool) -> f64 {
        if opened {
            return if left >= KEEP_MM { self.worth } else { 0.0 };
        }
        let whole = self.cost(0) / self.length.max(1) as f64;
        let keeping = self.length.saturating_sub(KEEP_MM);
        if keeping == 0 { whole } else { whole.min(self.cost(KEEP_MM) / keeping as f64) }
    }
}

/// Branch and bound over slots that are each there once.
struct Owned<'a> {
    needs: &'a [u64],
    slots: &'a [Slot],
    left: Vec<u64>,
    opened: Vec<bool>,
    at: Vec<usize>,
    best: Option<(f64, Vec<usize>)>,
    seen: HashMap<(usize, Vec<(u64, usize)>), f64>,
    looks: usize,
}

impl Owned<'_> {
    fn cost(&self) -> f64 {
        (0..self.slots.len()).filter(|s| self.opened[*s]).map(|s| self.slots[s].cost(self.left[s])).sum()
    }

    /// No way to cut what is still to come costs less in all.
    fn bound(&self, i: usize) -> f64 {
        let mut rest: f64 = self.needs[i..].iter().sum::<u64>() as f64;
        let mut rates: Vec<(f64, f64)> = (0..self.slots.len())
            .map(|s| (self.slots[s].rate(self.left[s], self.opened[s]), self.left[s] as f64))
            .collect();
        rates.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut more = 0.0;
        for (rate, room) in rates {
            let take = room.min(rest);
            (more, rest) = (more + rate * take, rest - take);
            if rest <= 0.0 {
                return self.cost() + more;
            }
        }
        f64::INFINITY
    }

    fn go(&mut self, i: usize) {
        self.looks += 1;
        if self.looks > LOOKS {
            return;
        }
        let Some(need) = self.needs.get(i).copied() else {
            let cost = self.cost();
            if self.best.as_ref().is_none_or(|b| cost < b.0 - 1e-6) {
                self.best = Some((cost, self.at.clone()));
            }
            return;
        };
        if self.best.as_ref().is_some_and(|b| self.bound(i) >= b.0 - 1e-6) {
            return;
        }
        let mut key: Vec<(u64, usize)> =
            (0..self.slots.len()).map(|s| (self.left[s], if self.opened[s] { 1 + self.kind(s) } else { 0 })).collect();
        key.sort_unstable();
        let cost = self.cost();
        if self.seen.get(&(i, key.clone())).is_some_and(|c| *c <= cost + 1e-6) {
            return;
        }
        self.seen.insert((i, key), cost);
        let mut places: Vec<usize> = (0..self.slots.len()).filter(|s| self.left[*s] >= need).collect();
        // What is opened first, the tightest first, then the cheapest to open; alike places once.
        let order = |s: &usize| (!self.opened[*s], self.left[*s], self.kind(*s));
        places.sort_by_key(order);
        places.dedup_by_key(|s| order(s));
        for s in places {
            let before = self.opened[s];
            self.left[s] -= need;
            self.opened[s] = true;
            self.at.push(s);
            self.go(i + 1);
            self.at.pop();
            self.opened[s] = before;
            self.left[s] += need;
        }
    }

    /// The first slot that is like this one.
    fn kind(&self, s: usize) -> usize {
        self.slots.iter().position(|other| *other == self.slots[s]).unwrap_or(s)
    }
}

/// Pieces from slots that are each there once, at the least cost; pieces without a place where not all find one.
fn from_slots(needs: &[u64], slots: &[Slot]) -> Found {
    let mut order = longest_first(needs);
    let mut without = Vec::new();
    loop {
        let sorted: Vec<u64> = order.iter().map(|i| needs[*i]).collect();
        let mut search = Owned {
            needs: &sorted,
            slots,
            left: slots.iter().map(|s| s.length).collect(),
            opened: vec![false; slots.len()],
            at: Vec::new(),
            best: None,
            seen: HashMap::new(),
            looks: 0,
        };
        let least = search.bound(0);
        search.go(0);
        let decided = search.looks <= LOOKS;
        if let Some((cost, at)) = search.best {
            let mut taken: Vec<(u64, bool, Vec<usize>)> =
                slots.iter().map(|s| (s.length, s.owned, Vec::new())).collect();
            for (k, s) in at.into_iter().enumerate() {
                taken[s].2.push(order[k]);
            }
            taken.retain(|t| !t.2.is_empty());
            let gap = if decided || cost <= 0.0 { 0.0 } else { ((cost - least) / cost).max(0.0) };
            return Found { taken, without, gap };
        }
        // Not all of them have a place: the shortest is left out, for it is the easiest to come by.
        match order.pop() {
            Some(i) => without.push(i),
            None => return Found { without, ..Found::default() },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn buy(m: f64) -> Length {
        Length { length_m: m, owned: false }
    }

    fn own(m: f64) -> Length {
        Length { length_m: m, owned: true }
    }

    fn metres(p: &CutPlan) -> f64 {
        p.taken.iter().map(|t| t.from.length_m).sum()
    }

    /// Seven legs from spools of 12 and 20 m: two of 20, 0.38 m left (brute force and an integer programme agree, own
    /// arithmetic). The best fit took 12 + 12 + 20.
    #[test]
    fn the_least_is_bought() {
        let p = plan_cuts(&[4.73, 4.68, 4.48, 9.30, 5.13, 5.53, 5.56], &[buy(12.0), buy(20.0)], KERF_M);
        assert_eq!((p.taken.len(), metres(&p), p.gap), (2, 40.0, 0.0));
        assert!((p.left_m - 0.38).abs() < 1e-9 && p.without.is_empty(), "{p:?}");
    }

    /// From two spools and three offcuts, each once: 23.55 m of rope's worth, four pieces of stock opened (brute force and an
    /// integer programme agree, own arithmetic).
    #[test]
    fn offcuts_go_first() {
        let pieces = [4.73, 4.68, 4.48, 5.13, 2.70, 2.70, 1.45];
        let stock = [37.0, 12.0, 6.2, 5.0, 3.3].map(own);
        let p = plan_cuts(&pieces, &stock, KERF_M);
        let cost: f64 = p.taken.iter().map(|t| Slot::owned(down(t.from.length_m)).cost(down(t.left_m))).sum();
        assert_eq!((p.taken.len(), p.gap), (4, 0.0), "{p:?}");
        assert!((cost - 23_550.0).abs() < 0.5, "{cost}");
    }

    #[test]
    fn what_is_too_long_or_has_no_place_is_said() {
        let p = plan_cuts(&[30.0, 120.0, 19.0], &[buy(50.0), buy(100.0)], KERF_M);
        assert_eq!((p.without.as_slice(), p.taken.len()), ([1].as_slice(), 1));
        assert!((p.left_m - (50.0 - 49.0 - 2.0 * KERF_M)).abs() < 1e-9);
        let p = plan_cuts(&[5.0, 4.0, 3.0], &[own(9.5)], KERF_M);
        assert_eq!(p.without, [2], "{p:?}");
    }

    /// Twenty pieces are proved.
    #[test]
    fn twenty_pieces_are_proved() {
        let pieces: Vec<f64> = (0..20).map(|k| 0.93 + 0.29 * f64::from((7 * k) % 20)).collect();
        let p = plan_cuts(&pieces, &[buy(12.0), buy(20.0)], KERF_M);
        assert_eq!(p.gap, 0.0, "{p:?}");
    }

    /// The least metres by trying every way: each piece into each spool that is open, or into a new one.
    fn by_hand(needs: &[u64], open: &mut Vec<(u64, u64)>, sizes: &[u64], i: usize, most: u64) -> u64 {
        let metres: u64 = open.iter().map(|o| o.0).sum();
        if metres >= most {
            return most;
        }
        if i == needs.len() {
            return metres;
        }
        let mut most = most;
        for k in 0..open.len() {
            if open[k].1 >= needs[i] {
                open[k].1 -= needs[i];
                most = most.min(by_hand(needs, open, sizes, i + 1, most));
                open[k].1 += needs[i];
            }
        }
        for s in sizes.iter().filter(|s| **s >= needs[i]) {
            open.push((*s, *s - needs[i]));
            most = most.min(by_hand(needs, open, sizes, i + 1, most));
            open.pop();
        }
        most
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(60))]

        /// Every piece is cut once or said to have no place; nothing is cut from what is not there; and nobody finds less.
        #[test]
        fn all_is_cut_once_and_nobody_finds_less(
            lengths in prop::collection::vec(0.2..9.0_f64, 1..7),
            spools in prop::collection::vec(5.0..20.0_f64, 1..3),
        ) {
            let p = plan_cuts(&lengths, &spools.iter().map(|s| buy(*s)).collect::<Vec<_>>(), KERF_M);
            let taken = p.taken.iter().flat_map(|s| s.pieces.iter().copied());
            let mut all: Vec<usize> = taken.chain(p.without.iter().copied()).collect();
            all.sort_unstable();
            prop_assert_eq!(all, (0..lengths.len()).collect::<Vec<_>>());
            for s in &p.taken {
                let used: f64 = s.pieces.iter().map(|i| lengths[*i] + KERF_M).sum();
                prop_assert!(s.left_m >= 0.0 && (s.from.length_m - used - s.left_m).abs() < 2e-3 * lengths.len() as f64);
            }
            let sizes: Vec<u64> = spools.iter().map(|s| down(*s)).collect();
            let longest = sizes.iter().copied().max().unwrap_or(0);
            let needs: Vec<u64> = lengths.iter().map(|m| up(*m) + up(KERF_M)).filter(|n| *n <= longest).collect();
            let least = by_hand(&needs, &mut Vec::new(), &sizes, 0, u64::MAX);
            let mine: u64 = p.taken.iter().map(|t| up(t.from.length_m)).sum();
            prop_assert_eq!(mine, if needs.is_empty() { 0 } else { least });
            prop_assert_eq!(p.gap, 0.0);
        }
    }
}
