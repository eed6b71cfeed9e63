//! Which pieces serve for what is needed, so that as much as can be is met.

/// What a piece must be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wants {
    /// Of its kind, and no more.
    Any,
    /// Line by the metre: at least so long, m.
    AtLeast(f64),
    /// A made piece: so long within so much, m.
    Within(f64, f64),
}

/// For each need the piece that serves: lengths in metres, any that is at least as long. The longest need takes the shortest
/// that will do, which meets as many as can be: if some choice meets k needs, the k shortest can be met, and exchanging a piece
/// for the shortest that serves takes nothing from a shorter need.
#[must_use]
pub fn at_least(needs_m: &[f64], pieces_m: &[f64]) -> Vec<Option<usize>> {
    let mut order: Vec<usize> = (0..needs_m.len()).collect();
    order.sort_by(|a, b| needs_m[*b].total_cmp(&needs_m[*a]));
    let mut out = vec![None; needs_m.len()];
    let mut free = vec![true; pieces_m.len()];
    for k in order {
        let will_do = (0..pieces_m.len()).filter(|p| free[*p] && pieces_m[*p] >= needs_m[k] - 1e-9);
        let best = will_do.min_by(|a, b| pieces_m[*a].total_cmp(&pieces_m[*b]));
        if let Some(p) = best {
            free[p] = false;
            out[k] = Some(p);
        }
    }
    out
}

/// For each need, a length and what it may be off by, the piece that serves: so long, and going on what the need says by
/// `goes` (need, piece). Needs in order of the most that they allow, each with the shortest piece that fits; where none is
/// left, those served before give way to other pieces, which meets as many as can be (augmenting paths, Berge).
#[must_use]
pub fn fits(needs_m: &[(f64, f64)], pieces_m: &[f64], goes: impl Fn(usize, usize) -> bool) -> Vec<Option<usize>> {
    let by_most = |k: &usize| needs_m[*k].0 + needs_m[*k].1;
    let mut order: Vec<usize> = (0..needs_m.len()).collect();
    order.sort_by(|a, b| by_most(a).total_cmp(&by_most(b)));
    let mut shortest: Vec<usize> = (0..pieces_m.len()).collect();
    shortest.sort_by(|a, b| pieces_m[*a].total_cmp(&pieces_m[*b]));
    let will_do: Vec<Vec<usize>> = (0..needs_m.len())
        .map(|k| {
            let (length, by) = needs_m[k];
            let long = |p: &&usize| (pieces_m[**p] - length).abs() <= by + 1e-9 && goes(k, **p);
            shortest.iter().filter(long).copied().collect()
        })
        .collect();
    let mut serves: Vec<Option<usize>> = vec![None; pieces_m.len()];
    for k in order {
        place(k, &will_do, &mut serves, &mut vec![false; pieces_m.len()]);
    }
    let mut out = vec![None; needs_m.len()];
    for (p, k) in serves.into_iter().enumerate().filter_map(|(p, k)| Some((p, k?))) {
        out[k] = Some(p);
    }
    out
}

/// Finds a piece for a need, moving others on to pieces that have not been asked yet; whether there is one.
fn place(k: usize, will_do: &[Vec<usize>], serves: &mut [Option<usize>], asked: &mut [bool]) -> bool {
    // A free one first: whoever has a piece keeps it where it can be.
    let free = will_do[k].iter().copied().find(|&p| serves[p].is_none());
    if let Some(p) = free {
        serves[p] = Some(k);
        return true;
    }
    for &p in &will_do[k] {
        if std::mem::replace(&mut asked[p], true) {
            continue;
        }
        let moves = match serves[p] {
            Some(other) => place(other, will_do, serves, asked),
            None => true,
        };
        if moves {
            serves[p] = Some(k);
            return true;
        }
    }
    false
}
