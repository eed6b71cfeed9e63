//! Linear solves with a symmetric positive definite matrix made of 3×3 blocks. The matrix crate is named here alone.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::{LltParams, LltRegularization, cholesky_in_place, cholesky_in_place_scratch};
use faer::linalg::solvers::Solve;
use faer::prelude::ReborrowMut;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LltRef, SymbolicCholesky, SymmetricOrdering, factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat, SymbolicSparseColMatRef};
use faer::{Auto, Conj, Mat, MatMut, Par, Side, Spec};
use glam::{DMat3, DVec3};

/// Up to this many unknowns a dense factorisation is the quicker one.
const DENSE_UP_TO: usize = 120;

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

    /// Solves (self + shift·1) x = rhs; nothing when the matrix is not positive definite. A large matrix keeps its shape in
    /// `kept` for the next that has no block elsewhere.
    #[must_use]
    pub(super) fn solve(&self, shift: f64, rhs: &[DVec3], kept: &mut Option<Pattern>) -> Option<Vec<DVec3>> {
        let n = 3 * self.points;
        if n == 0 {
            return Some(Vec::new());
        }
        let flat = if n <= DENSE_UP_TO { self.dense(shift, rhs)? } else { self.sparse(shift, rhs, kept)? };
        if flat.iter().any(|v| !v.is_finite()) {
            return None;
        }
        Some(flat.chunks_exact(3).map(|c| DVec3::new(c[0], c[1], c[2])).collect())
    }

    fn dense(&self, shift: f64, rhs: &[DVec3]) -> Option<Vec<f64>> {
        let n = 3 * self.points;
        let mut store = vec![0.0; n * n];
        for &(i, j, b) in &self.entries {
            for (c, column) in [b.x_axis, b.y_axis, b.z_axis].into_iter().enumerate() {
                let at = (3 * j + c) * n + 3 * i;
                store[at] += column.x;
                store[at + 1] += column.y;
                store[at + 2] += column.z;
            }
        }
        for k in 0..n {
            store[k * n + k] += shift;
        }
        let params: Spec<LltParams, f64> = <LltParams as Auto<f64>>::auto().into();
        let mut a = MatMut::from_column_major_slice_mut(&mut store, n, n);
        let mut memory = MemBuffer::new(cholesky_in_place_scratch::<f64>(n, Par::Seq, params));
        cholesky_in_place(a.rb_mut(), LltRegularization::default(), Par::Seq, MemStack::new(&mut memory), params)
            .ok()?;
        let mut x: Vec<f64> = rhs.iter().flat_map(glam::DVec3::to_array).collect();
        let column = MatMut::from_column_major_slice_mut(&mut x, n, 1);
        faer::linalg::cholesky::llt::solve::solve_in_place(
            a.as_ref(),
            column,
            Par::Seq,
            MemStack::new(&mut MemBuffer::new(faer::dyn_stack::StackReq::EMPTY)),
        );
        Some(x)
    }

    fn sparse(&self, shift: f64, rhs: &[DVec3], kept: &mut Option<Pattern>) -> Option<Vec<f64>> {
        let fits =
            |p: &Pattern| p.rows.len() == self.points && self.entries.iter().all(|(i, j, _)| p.slot(*i, *j).is_some());
        if !kept.as_ref().is_some_and(fits) {
            let pairs: Vec<_> = self.entries.iter().filter(|e| e.0 != e.1).map(|e| (e.0, e.1)).collect();
            *kept = Pattern::new(self.points, &pairs);
        }
        let pattern = kept.as_mut()?;
        pattern.clear();
        for (i, j, block) in &self.entries {
            pattern.add(pattern.slot(*i, *j)?, *block);
        }
        for k in 0..self.points {
            pattern.add(pattern.slot(k, k)?, DMat3::from_diagonal(DVec3::splat(shift)));
        }
        let mut x: Vec<f64> = rhs.iter().flat_map(glam::DVec3::to_array).collect();
        pattern.solve(&mut x).then_some(x)
    }
}

/// A sparse symmetric matrix of 3×3 blocks whose shape stays while its numbers change: one symbolic factorisation for
/// as many numeric ones as there are steps.
pub(super) struct Pattern {
    /// For each block column, its rows, the diagonal first.
    rows: Vec<Vec<usize>>,
    /// Start of each scalar column's values.
    col_ptr: Vec<usize>,
    row_idx: Vec<usize>,
    values: Vec<f64>,
    symbolic: SymbolicCholesky<usize>,
    factor: Vec<f64>,
    memory: MemBuffer,
}

/// Where a block of a [`Pattern`] is kept.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slot {
    column: usize,
    /// Among the rows of the column, 0 being the diagonal.
    row: usize,
    transposed: bool,
}

impl Pattern {
    /// The shape of a matrix over `points` points with blocks at `pairs`, beside those on the diagonal; nothing when
    /// there is no memory for it.
    #[must_use]
    pub(super) fn new(points: usize, pairs: &[(usize, usize)]) -> Option<Self> {
        let mut rows: Vec<Vec<usize>> = (0..points).map(|j| vec![j]).collect();
        for &(i, j) in pairs {
            rows[i.min(j)].push(i.max(j));
        }
        let (mut col_ptr, mut row_idx) = (vec![0], Vec::new());
        for (j, column) in rows.iter_mut().enumerate() {
            column.sort_unstable();
            column.dedup();
            for c in 0..3 {
                row_idx.extend((c..3).map(|r| 3 * j + r));
                row_idx.extend(column[1..].iter().flat_map(|i| (0..3).map(move |r| 3 * i + r)));
                col_ptr.push(row_idx.len());
            }
        }
        let n = 3 * points;
        let shape = SymbolicSparseColMat::new_checked(n, n, col_ptr.clone(), None, row_idx.clone());
        let params = CholeskySymbolicParams {
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
            ..Default::default()
        };
        let symbolic = factorize_symbolic_cholesky(shape.as_ref(), Side::Lower, SymmetricOrdering::Amd, params).ok()?;
        let need = symbolic
            .factorize_numeric_llt_scratch::<f64>(Par::Seq, <LltParams as Auto<f64>>::auto().into())
            .or(symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        let (values, factor) = (vec![0.0; row_idx.len()], vec![0.0; symbolic.len_val()]);
        Some(Self { rows, col_ptr, row_idx, values, symbolic, factor, memory: MemBuffer::new(need) })
    }

    /// Where the block between points `i` and `j` is kept; nothing when the shape has none.
    #[must_use]
    pub(super) fn slot(&self, i: usize, j: usize) -> Option<Slot> {
        let column = i.min(j);
        let row = self.rows[column].iter().position(|r| *r == i.max(j))?;
        Some(Slot { column, row, transposed: i < j })
    }

    /// Sets every number to zero.
    pub(super) fn clear(&mut self) {
        self.values.fill(0.0);
    }

    /// Adds `block`, seen from row point `i` and column point `j` of the slot's making.
    #[inline]
    pub(super) fn add(&mut self, slot: Slot, block: DMat3) {
        let b = if slot.transposed { block.transpose() } else { block };
        for (c, column) in [b.x_axis, b.y_axis, b.z_axis].into_iter().enumerate() {
            let start = self.col_ptr[3 * slot.column + c];
            if slot.row == 0 {
                for r in c..3 {
                    self.values[start + r - c] += column[r];
                }
            } else {
                let at = start + 3 - c + 3 * (slot.row - 1);
                for r in 0..3 {
                    self.values[at + r] += column[r];
                }
            }
        }
    }

    /// Solves for `x`, given the right-hand side in it; false when the matrix is not positive definite.
    #[must_use]
    pub(super) fn solve(&mut self, x: &mut [f64]) -> bool {
        let n = 3 * self.rows.len();
        let shape = SymbolicSparseColMatRef::new_checked(n, n, &self.col_ptr, None, &self.row_idx);
        let matrix = SparseColMatRef::new(shape, &self.values);
        let done = self.symbolic.factorize_numeric_llt(
            &mut self.factor,
            matrix,
            Side::Lower,
            LltRegularization::default(),
            Par::Seq,
            MemStack::new(&mut self.memory),
            <LltParams as Auto<f64>>::auto().into(),
        );
        if done.is_err() {
            return false;
        }
        LltRef::new(&self.symbolic, &self.factor).solve_in_place_with_conj(
            Conj::No,
            MatMut::from_column_major_slice_mut(x, n, 1),
            Par::Seq,
            MemStack::new(&mut self.memory),
        );
        x.iter().all(|v| v.is_finite())
    }
}

/// Solves a small dense system of `n` equations, `at(row, column)` its coefficients; nothing when it has no one solution.
#[must_use]
pub(super) fn solve_dense(n: usize, at: impl Fn(usize, usize) -> f64, right: &[f64]) -> Option<Vec<f64>> {
    let solved = Mat::from_fn(n, n, at).full_piv_lu().solve(Mat::from_fn(n, 1, |r, _| right[r]));
    let out: Vec<f64> = (0..n).map(|r| solved[(r, 0)]).collect();
    out.iter().all(|x| x.is_finite() && x.abs() < 1e12).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kept_shape_solves_as_a_new_one() {
        let points = 7;
        let pairs: Vec<_> = (1..points).map(|i| (i - 1, i)).chain([(0, 4)]).collect();
        let mut kept = Pattern::new(points, &pairs).expect("memory");
        for round in 0..2 {
            let mut new = Blocks::new(points);
            kept.clear();
            let across = DMat3::from_cols_array(&[-1.0, 0.2, 0.0, 0.1, -1.5, 0.3, 0.0, 0.0, -0.7]);
            for i in 0..points {
                let own = DMat3::from_diagonal(DVec3::new(9.0, 8.0, 7.0 + f64::from(round)));
                new.add(i, i, own);
                kept.add(kept.slot(i, i).expect("diagonal"), own);
            }
            for &(i, j) in &pairs {
                new.add(i, j, across);
                kept.add(kept.slot(i, j).expect("in the shape"), across);
            }
            let rhs: Vec<_> = (0..points).map(|i| DVec3::new(i as f64, 1.0, -2.0)).collect();
            let want = new.solve(0.0, &rhs, &mut None).expect("definite");
            let mut x: Vec<f64> = rhs.iter().flat_map(glam::DVec3::to_array).collect();
            assert!(kept.solve(&mut x));
            for (w, g) in want.iter().zip(x.chunks_exact(3)) {
                assert!((*w - DVec3::new(g[0], g[1], g[2])).length() < 1e-12);
            }
        }
    }

    #[test]
    fn dense_and_sparse_agree() {
        let points = 20;
        let mut m = Blocks::new(points);
        for i in 0..points {
            m.add(i, i, DMat3::from_diagonal(DVec3::new(5.0, 6.0, 7.0)));
            if i > 0 {
                m.add(i - 1, i, DMat3::from_cols_array(&[-1.0, 0.2, 0.0, 0.1, -1.5, 0.3, 0.0, 0.0, -0.7]));
            }
        }
        let rhs: Vec<_> = (0..points).map(|i| DVec3::new(i as f64, 1.0, -2.0)).collect();
        let (d, s) = (m.dense(0.1, &rhs).expect("definite"), m.sparse(0.1, &rhs, &mut None).expect("definite"));
        for (a, b) in d.iter().zip(&s) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn refuses_what_is_not_definite() {
        let mut m = Blocks::new(1);
        m.add(0, 0, DMat3::from_diagonal(DVec3::new(1.0, -1.0, 1.0)));
        assert!(m.solve(0.0, &[DVec3::ONE], &mut None).is_none());
    }
}
