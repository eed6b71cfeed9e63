//! Linear solves with a symmetric positive definite matrix made of 3×3 blocks.
//!
//! A rig's matrix is a few chains with branches: eliminated point by point, the least connected first, nearly nothing
//! fills in. So the factorisation goes by blocks, without square roots, and its order and places are worked out once a
//! shape.

use glam::{DMat3, DVec3};

/// A symmetric matrix as a sum of 3×3 blocks on and below the diagonal.
#[derive(Debug, Default, Clone)]
pub(super) struct Blocks {
    points: usize,
    entries: Vec<(usize, usize, DMat3)>,
}

impl Blocks {
    /// An empty matrix over `points` points of three unknowns each.
    #[must_use]
    pub(super) fn new(points: usize) -> Self {
        Self { points, entries: Vec::with_capacity(8 * points) }
    }

    /// Adds `block` at row point `i`, column point `j`. Off the diagonal, give each pair once, in either order.
    pub(super) fn add(&mut self, i: usize, j: usize, block: DMat3) {
        if i >= j {
            self.entries.push((i, j, block));
        } else {
            self.entries.push((j, i, block.transpose()));
        }
    }

    /// Largest entry on the diagonal.
    #[must_use]
    pub(super) fn largest_diagonal(&self) -> f64 {
        let mut diagonal = vec![DVec3::ZERO; self.points];
        for (i, j, b) in &self.entries {
            if i == j {
                diagonal[*i] += DVec3::new(b.x_axis.x, b.y_axis.y, b.z_axis.z);
            }
        }
        diagonal.iter().map(|d| d.max_element()).fold(0.0, f64::max)
    }

    /// Solves (self + shift·1) x = rhs; nothing when the matrix is not positive definite. Its shape is kept in `kept` for
    /// the next that has no block elsewhere.
    #[must_use]
    pub(super) fn solve(&self, shift: f64, rhs: &[DVec3], kept: &mut Option<Pattern>) -> Option<Vec<DVec3>> {
        let fits =
            |p: &Pattern| p.place.len() == self.points && self.entries.iter().all(|(i, j, _)| p.slot(*i, *j).is_some());
        if !kept.as_ref().is_some_and(fits) {
            let pairs: Vec<_> = self.entries.iter().filter(|e| e.0 != e.1).map(|e| (e.0, e.1)).collect();
            *kept = Some(Pattern::new(self.points, &pairs));
        }
        let pattern = kept.as_mut()?;
        pattern.clear();
        for (i, j, block) in &self.entries {
            pattern.add(pattern.slot(*i, *j)?, *block);
        }
        for k in 0..self.points {
            pattern.add(pattern.slot(k, k)?, DMat3::from_diagonal(DVec3::splat(shift)));
        }
        let mut x = rhs.to_vec();
        pattern.solve(&mut x).then_some(x)
    }
}

/// A sparse symmetric matrix of 3×3 blocks whose shape stays while its numbers change.
///
/// Points are kept in the order of their elimination; a column holds the blocks below its diagonal, those that fill in
/// included. Factorising overwrites them.
pub(super) struct Pattern {
    /// For each point its place in the order, and the other way round.
    place: Vec<usize>,
    point: Vec<usize>,
    /// Where each column's blocks begin, and of each block its row.
    start: Vec<usize>,
    rows: Vec<usize>,
    diagonal: Vec<DMat3>,
    below: Vec<DMat3>,
    /// What each pair of a column's blocks changes, in the order in which columns are eliminated.
    changes: Vec<Target>,
    /// A column as it stood, and a vector in the order of elimination.
    column: Vec<DMat3>,
    work: Vec<DVec3>,
}

/// A block of a [`Pattern`].
#[derive(Debug, Clone, Copy)]
enum Target {
    Diagonal(usize),
    Below(usize),
}

/// Where a block is added to a [`Pattern`].
#[derive(Debug, Clone, Copy)]
pub(super) struct Slot {
    target: Target,
    transposed: bool,
}

/// The least connected first; what an elimination joins is connected from then on. With it each point's neighbours at
/// the time it goes.
fn order(points: usize, pairs: &[(usize, usize)]) -> Vec<(usize, Vec<usize>)> {
    let mut joined: Vec<Vec<usize>> = vec![Vec::new(); points];
    for &(i, j) in pairs.iter().filter(|(i, j)| i != j) {
        joined[i].push(j);
        joined[j].push(i);
    }
    for n in &mut joined {
        n.sort_unstable();
        n.dedup();
    }
    let mut left: std::collections::BTreeSet<(usize, usize)> = (0..points).map(|i| (joined[i].len(), i)).collect();
    let mut out = Vec::with_capacity(points);
    while let Some((_, i)) = left.pop_first() {
        let near = std::mem::take(&mut joined[i]);
        for &j in &near {
            left.remove(&(joined[j].len(), j));
            joined[j].retain(|k| *k != i);
            joined[j].extend(near.iter().filter(|k| **k != j));
            joined[j].sort_unstable();
            joined[j].dedup();
            left.insert((joined[j].len(), j));
        }
        out.push((i, near));
    }
    out
}

impl Pattern {
    /// The shape of a matrix over `points` points with blocks at `pairs`, beside those on the diagonal.
    #[must_use]
    pub(super) fn new(points: usize, pairs: &[(usize, usize)]) -> Self {
        let order = order(points, pairs);
        let point: Vec<usize> = order.iter().map(|o| o.0).collect();
        let mut place = vec![0; points];
        for (k, &i) in point.iter().enumerate() {
            place[i] = k;
        }
        let (mut start, mut rows) = (vec![0], Vec::new());
        for (_, near) in &order {
            let first = rows.len();
            rows.extend(near.iter().map(|j| place[*j]));
            rows[first..].sort_unstable();
            start.push(rows.len());
        }
        let find = |column: usize, row: usize| {
            let of = &rows[start[column]..start[column + 1]];
            of.binary_search(&row).map_or(usize::MAX, |k| start[column] + k)
        };
        let mut changes = Vec::new();
        for k in 0..points {
            let of = &rows[start[k]..start[k + 1]];
            for (a, &i) in of.iter().enumerate() {
                changes.extend(of[..a].iter().map(|&j| Target::Below(find(j, i))));
                changes.push(Target::Diagonal(i));
            }
        }
        let (diagonal, below) = (vec![DMat3::ZERO; points], vec![DMat3::ZERO; rows.len()]);
        Self {
            place,
            point,
            start,
            rows,
            diagonal,
            below,
            changes,
            column: Vec::new(),
            work: vec![DVec3::ZERO; points],
        }
    }

    /// Where the block between points `i` and `j` is kept; nothing when the shape has none.
    #[must_use]
    pub(super) fn slot(&self, i: usize, j: usize) -> Option<Slot> {
        let (row, column) = (self.place[i].max(self.place[j]), self.place[i].min(self.place[j]));
        if row == column {
            return Some(Slot { target: Target::Diagonal(row), transposed: false });
        }
        let of = &self.rows[self.start[column]..self.start[column + 1]];
        let k = self.start[column] + of.binary_search(&row).ok()?;
        Some(Slot { target: Target::Below(k), transposed: self.place[i] < self.place[j] })
    }

    /// Sets every number to zero.
    pub(super) fn clear(&mut self) {
        self.diagonal.fill(DMat3::ZERO);
        self.below.fill(DMat3::ZERO);
    }

    /// Adds `block`, seen from row point `i` and column point `j` of the slot's making.
    #[inline]
    pub(super) fn add(&mut self, slot: Slot, block: DMat3) {
        let block = if slot.transposed { block.transpose() } else { block };
        match slot.target {
            Target::Diagonal(k) => self.diagonal[k] += block,
            Target::Below(k) => self.below[k] += block,
        }
    }

    /// Solves for `x`, given the right-hand side in it; false when the matrix is not positive definite. The matrix is
    /// used up.
    #[must_use]
    pub(super) fn solve(&mut self, x: &mut [DVec3]) -> bool {
        let mut changes = self.changes.iter();
        for k in 0..self.place.len() {
            let Some(inverse) = inverse(&self.diagonal[k]) else { return false };
            let (first, end) = (self.start[k], self.start[k + 1]);
            self.column.clear();
            self.column.extend_from_slice(&self.below[first..end]);
            for a in first..end {
                let factor = self.below[a] * inverse;
                self.below[a] = factor;
                for b in 0..=a - first {
                    let change = factor * self.column[b].transpose();
                    match changes.next() {
                        Some(Target::Diagonal(i)) => self.diagonal[*i] -= change,
                        Some(Target::Below(i)) => self.below[*i] -= change,
                        None => return false,
                    }
                }
            }
            // Its inverse is all that is wanted of it from here on.
            self.diagonal[k] = inverse;
        }
        let y = &mut self.work;
        for (k, &i) in self.point.iter().enumerate() {
            y[k] = x[i];
        }
        for k in 0..y.len() {
            let own = y[k];
            for a in self.start[k]..self.start[k + 1] {
                y[self.rows[a]] -= self.below[a] * own;
            }
        }
        for k in (0..y.len()).rev() {
            let mut own = self.diagonal[k] * y[k];
            for a in self.start[k]..self.start[k + 1] {
                own -= self.below[a].transpose() * y[self.rows[a]];
            }
            y[k] = own;
        }
        for (k, &i) in self.point.iter().enumerate() {
            x[i] = y[k];
        }
        x.iter().all(|v| v.is_finite())
    }
}

/// Inverse of a symmetric block; nothing when it is not positive definite.
#[inline]
fn inverse(m: &DMat3) -> Option<DMat3> {
    let (a, b, c) = (m.x_axis.x, m.x_axis.y, m.x_axis.z);
    let (d, e, f) = (m.y_axis.y, m.y_axis.z, m.z_axis.z);
    let (aa, bb, cc) = (d * f - e * e, c * e - b * f, b * e - c * d);
    let det = a * aa + b * bb + c * cc;
    if !(a > 0.0 && a * d - b * b > 0.0 && det > 0.0 && det.is_finite()) {
        return None;
    }
    let (dd, ee, ff) = (a * f - c * c, b * c - a * e, a * d - b * b);
    Some(DMat3::from_cols_array(&[aa, bb, cc, bb, dd, ee, cc, ee, ff]) * det.recip())
}

/// Solves a small dense system of `n` equations, `at(row, column)` its coefficients, by elimination with the largest
/// pivot of each column; nothing when it has no one solution.
#[must_use]
pub(super) fn solve_dense(n: usize, at: impl Fn(usize, usize) -> f64, right: &[f64]) -> Option<Vec<f64>> {
    let mut rows: Vec<Vec<f64>> = (0..n).map(|r| (0..n).map(|c| at(r, c)).chain([right[r]]).collect()).collect();
    let scale = rows.iter().flatten().fold(0.0_f64, |m, v| m.max(v.abs()));
    for c in 0..n {
        let pivot = (c..n).max_by(|a, b| rows[*a][c].abs().total_cmp(&rows[*b][c].abs()))?;
        if rows[pivot][c].abs() <= 1e-12 * scale {
            return None;
        }
        rows.swap(c, pivot);
        for r in c + 1..n {
            let share = rows[r][c] / rows[c][c];
            let (above, below) = rows.split_at_mut(r);
            for (x, p) in below[0][c..].iter_mut().zip(&above[c][c..]) {
                *x -= share * p;
            }
        }
    }
    let mut out = vec![0.0; n];
    for r in (0..n).rev() {
        let known: f64 = (r + 1..n).map(|k| rows[r][k] * out[k]).sum();
        out[r] = (rows[r][n] - known) / rows[r][r];
    }
    out.iter().all(|x| x.is_finite() && x.abs() < 1e12).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain with a branch and a ring: the product of matrix and solution gives the right-hand side back.
    #[test]
    fn a_branched_chain_is_solved() {
        let points = 23;
        let mut pairs: Vec<_> = (1..points - 3).map(|i| (i - 1, i)).collect();
        pairs.extend([(7, points - 3), (points - 3, points - 2), (points - 2, points - 1), (points - 1, 2), (0, 14)]);
        let across = |k: usize| {
            let s = 0.1 * (k as f64 + 1.0);
            DMat3::from_cols_array(&[-1.0, 0.2 * s.sin(), 0.0, 0.1, -1.5 + 0.1 * s, 0.3, 0.0, -0.2 * s.cos(), -0.7])
        };
        let own = DMat3::from_cols_array(&[9.0, 0.3, -0.2, 0.3, 8.0, 0.4, -0.2, 0.4, 7.5]);
        let rhs: Vec<_> = (0..points).map(|i| DVec3::new(i as f64, 1.0, -2.0 + (i % 3) as f64)).collect();
        let mut kept = None;
        for round in 0..2 {
            let own = own + DMat3::from_diagonal(DVec3::splat(f64::from(round)));
            let mut blocks = Blocks::new(points);
            (0..points).for_each(|i| blocks.add(i, i, own));
            pairs.iter().enumerate().for_each(|(k, &(i, j))| blocks.add(i, j, across(k)));
            let x = blocks.solve(0.25, &rhs, &mut kept).expect("definite");
            let mut back: Vec<DVec3> = x.iter().map(|x| own * *x + *x * 0.25).collect();
            for (k, &(i, j)) in pairs.iter().enumerate() {
                back[i] += across(k) * x[j];
                back[j] += across(k).transpose() * x[i];
            }
            for (b, r) in back.iter().zip(&rhs) {
                assert!((*b - *r).length() < 1e-11, "{b} for {r}");
            }
        }
    }

    /// A chain fills in nowhere, wherever it branches.
    #[test]
    fn chains_do_not_fill_in() {
        let pairs: Vec<_> = (1..200).map(|i| (i - 1, i)).chain((200..240).map(|i| (i, 17))).collect();
        assert_eq!(Pattern::new(240, &pairs).rows.len(), pairs.len());
    }

    #[test]
    fn refuses_what_is_not_definite() {
        let mut m = Blocks::new(1);
        m.add(0, 0, DMat3::from_diagonal(DVec3::new(1.0, -1.0, 1.0)));
        assert!(m.solve(0.0, &[DVec3::ONE], &mut None).is_none());
    }

    #[test]
    fn a_dense_system_is_solved_or_refused() {
        let m = [[0.0, 2.0, 1.0], [1.0, -1.0, 0.5], [3.0, 0.0, -2.0]];
        let x = solve_dense(3, |r, c| m[r][c], &[7.0, 0.5, -3.0]).expect("regular");
        for (row, want) in m.iter().zip([7.0, 0.5, -3.0]) {
            assert!((row.iter().zip(&x).map(|(a, b)| a * b).sum::<f64>() - want).abs() < 1e-12);
        }
        assert!(solve_dense(2, |r, _| r as f64 + 1.0, &[1.0, 2.0]).is_none());
    }
}
