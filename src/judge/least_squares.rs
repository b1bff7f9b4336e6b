//! Small least-squares systems, and the same with no negative unknowns.

use crate::reading::statistics::dot;

/// The symmetric system `normal · x = right` of a least-squares problem.
#[derive(Clone, Debug, Default)]
pub struct Normal {
    rows: Vec<Vec<f64>>,
    right: Vec<f64>,
}

impl Normal {
    /// Gathers the rows of a design, each with its value and weight.
    pub fn of(rows: &[(Vec<f64>, f64, f64)]) -> Self {
        let n = rows.first().map_or(0, |(row, _, _)| row.len());
        let mut gathered = Self {
            rows: vec![vec![0.0; n]; n],
            right: vec![0.0; n],
        };
        for (row, value, weight) in rows {
            for ((sums, right), x) in gathered.rows.iter_mut().zip(&mut gathered.right).zip(row) {
                *right += weight * x * value;
                for (sum, y) in sums.iter_mut().zip(row) {
                    *sum += weight * x * y;
                }
            }
        }
        gathered
    }

    /// The inverse by Gauss-Jordan elimination; `None` when the unknowns cannot be told apart.
    pub fn inverse(&self) -> Option<Vec<Vec<f64>>> {
        let n = self.rows.len();
        let mut work: Vec<Vec<f64>> = self
            .rows
            .iter()
            .enumerate()
            .map(|(i, row)| {
                let unit = (0..n).map(|j| if i == j { 1.0 } else { 0.0 });
                row.iter().copied().chain(unit).collect()
            })
            .collect();
        let scale = self
            .rows
            .iter()
            .flatten()
            .fold(0.0, |most: f64, x| most.max(x.abs()));
        let at = |row: &[f64], k: usize| row.get(k).copied().unwrap_or(0.0);
        for k in 0..n {
            let pivot = (k..n).max_by(|a, b| {
                let size = |i: &usize| work.get(*i).map_or(0.0, |row| at(row, k).abs());
                size(a).total_cmp(&size(b))
            })?;
            work.swap(k, pivot);
            let lead = at(work.get(k)?, k);
            if lead.abs() <= 1e-12 * scale {
                return None;
            }
            let pivot_row: Vec<f64> = work.get(k)?.iter().map(|x| x / lead).collect();
            for (i, row) in work.iter_mut().enumerate() {
                if i == k {
                    row.clone_from(&pivot_row);
                    continue;
                }
                let factor = at(row, k);
                for (x, p) in row.iter_mut().zip(&pivot_row) {
                    *x -= factor * p;
                }
            }
        }
        Some(
            work.into_iter()
                .map(|row| row.into_iter().skip(n).collect())
                .collect(),
        )
    }

    /// The unknowns, none negative: coordinate descent, which for a convex problem ends at the same
    /// point as any other method (`tests/oracles/nnls.json`, solved by scipy, agrees). It begins where
    /// the negative ones are left out one by one, which is nearly always the end already.
    pub fn non_negative(&self, inverse: &[Vec<f64>]) -> Vec<f64> {
        const SWEEPS: usize = 20_000;
        const STILL: f64 = 1e-13;
        let mut x = self.without_the_negative(inverse);
        for _ in 0..SWEEPS {
            let mut moved: f64 = 0.0;
            for (i, (row, right)) in self.rows.iter().zip(&self.right).enumerate() {
                let total = dot(row, &x);
                let (Some(own), Some(slope)) = (x.get_mut(i), row.get(i)) else {
                    continue;
                };
                let next = (*own + (right - total) / slope).max(0.0);
                moved = moved.max((next - *own).abs());
                *own = next;
            }
            if moved < STILL {
                break;
            }
        }
        x
    }

    /// The plain solution; then that with the most negative unknown held at nothing, and so on until
    /// none is. What is left of the inverse is that of the others (its Schur complement).
    fn without_the_negative(&self, inverse: &[Vec<f64>]) -> Vec<f64> {
        let mut inverse = inverse.to_vec();
        let mut x: Vec<f64> = inverse.iter().map(|row| dot(row, &self.right)).collect();
        for _ in 0..x.len() {
            let worst = x.iter().enumerate().min_by(|(_, a), (_, b)| a.total_cmp(b));
            let Some((i, below)) = worst.map(|(i, a)| (i, *a)).filter(|(_, a)| *a < 0.0) else {
                break;
            };
            let Some(gone) = inverse.get(i).cloned() else {
                break;
            };
            let Some(pivot) = gone.get(i).copied().filter(|pivot| *pivot > 0.0) else {
                break;
            };
            for (row, x) in inverse.iter_mut().zip(&mut x) {
                let share = row.get(i).copied().unwrap_or(0.0) / pivot;
                *x -= share * below;
                for (cell, gone) in row.iter_mut().zip(&gone) {
                    *cell -= share * gone;
                }
            }
            if let Some(held) = x.get_mut(i) {
                *held = 0.0;
            }
        }
        x.into_iter().map(|x| x.max(0.0)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_told_apart_has_no_inverse() {
        let rows = vec![(vec![1.0, 1.0], 0.2, 1.0), (vec![1.0, 1.0], 0.2, 1.0)];
        assert_eq!(Normal::of(&rows).inverse(), None);
    }
}
