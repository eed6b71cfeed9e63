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

/// For each need, a length and what it may be off by, the piece that serves. Needs in order of the most that they allow, each
/// with the shortest piece that fits: of intervals and points, that meets as many as can be.
#[must_use]
pub fn fits(needs_m: &[(f64, f64)], pieces_m: &[f64]) -> Vec<Option<usize>> {
    let mut order: Vec<usize> = (0..needs_m.len()).collect();
    order.sort_by(|a, b| (needs_m[*a].0 + needs_m[*a].1).total_cmp(&(needs_m[*b].0 + needs_m[*b].1)));
    let mut out = vec![None; needs_m.len()];
    let mut free = vec![true; pieces_m.len()];
    for k in order {
        let (length, by) = needs_m[k];
        let will_do = (0..pieces_m.len()).filter(|p| free[*p] && (pieces_m[*p] - length).abs() <= by + 1e-9);
        let best = will_do.min_by(|a, b| pieces_m[*a].total_cmp(&pieces_m[*b]));
        if let Some(p) = best {
            free[p] = false;
            out[k] = Some(p);
        }
    }
    out
}
