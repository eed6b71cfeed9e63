//! Linear solves with a symmetric positive definite matrix made of 3×3 blocks. The matrix crate is named here alone.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::llt::factor::{LltParams, LltRegularization, cholesky_in_place, cholesky_in_place_scratch};
use faer::linalg::solvers::Solve;
use faer::prelude::ReborrowMut;
use faer::sparse::linalg::solvers::{Llt, SymbolicLlt};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Auto, Mat, MatMut, Par, Side, Spec};
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

    /// Solves (self + shift·1) x = rhs; nothing when the matrix is not positive definite.
    #[must_use]
    pub(super) fn solve(&self, shift: f64, rhs: &[DVec3]) -> Option<Vec<DVec3>> {
        let n = 3 * self.points;
        if n == 0 {
            return Some(Vec::new());
        }
        let flat = if n <= DENSE_UP_TO { self.dense(shift, rhs)? } else { self.sparse(shift, rhs)? };
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

    fn sparse(&self, shift: f64, rhs: &[DVec3]) -> Option<Vec<f64>> {
        let n = 3 * self.points;
        let mut triplets = Vec::with_capacity(9 * self.entries.len() + n);
        for &(i, j, b) in &self.entries {
            for (c, column) in [b.x_axis, b.y_axis, b.z_axis].into_iter().enumerate() {
                for (r, v) in column.to_array().into_iter().enumerate() {
                    if i != j || r >= c {
                        triplets.push(Triplet::new(3 * i + r, 3 * j + c, v));
                    }
                }
            }
        }
        triplets.extend((0..n).map(|k| Triplet::new(k, k, shift)));
        let a = SparseColMat::<usize, f64>::try_new_from_triplets(n, n, &triplets).ok()?;
        let symbolic = SymbolicLlt::try_new(a.symbolic(), Side::Lower).ok()?;
        let llt = Llt::try_new_with_symbolic(symbolic, a.as_ref(), Side::Lower).ok()?;
        let mut x = Mat::from_fn(n, 1, |r, _| rhs[r / 3][r % 3]);
        llt.solve_in_place(x.as_mut());
        Some((0..n).map(|r| x[(r, 0)]).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let (d, s) = (m.dense(0.1, &rhs).expect("definite"), m.sparse(0.1, &rhs).expect("definite"));
        for (a, b) in d.iter().zip(&s) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn refuses_what_is_not_definite() {
        let mut m = Blocks::new(1);
        m.add(0, 0, DMat3::from_diagonal(DVec3::new(1.0, -1.0, 1.0)));
        assert!(m.solve(0.0, &[DVec3::ONE]).is_none());
    }
}
