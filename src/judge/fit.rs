//! How well settled levels add up: chi-square of the plain least-squares fit. The fit without
//! negative shares is never tested: it cannot follow, and would call every third ledger wrong.

use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::reading::number::f64_from_usize;
use crate::reading::statistics::dot;

/// One equation of the ledger.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignRow {
    /// Which unknowns it is the sum of.
    pub columns: Vec<f64>,
    /// What was measured, in ampere.
    pub value: f64,
    /// One over its variance.
    pub weight: f64,
}

/// How well the equations agree.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// Sum of the squared residuals, each over its standard uncertainty.
    pub chi_square: f64,
    /// How many equations there are beyond the unknowns.
    pub dof: usize,
    /// How often so large a sum would come by chance.
    pub p: f64,
    /// What was out in the equation that fits worst.
    pub worst: Vec<String>,
    /// By how much it misses, in ampere.
    pub worst_a: f64,
}

/// Tests the plain fit, whose normal equations have this `inverse`; `named` tells what was out in
/// an equation. `None` when there are no more equations than unknowns.
pub fn fit(
    rows: &[DesignRow],
    inverse: &[Vec<f64>],
    named: impl Fn(usize) -> Vec<String>,
) -> Option<Fit> {
    let dof = rows
        .len()
        .checked_sub(inverse.len())
        .filter(|dof| *dof > 0)?;
    let right = |i: usize| -> f64 {
        let terms = rows
            .iter()
            .map(|row| row.columns.get(i).copied().unwrap_or(0.0) * row.weight * row.value);
        terms.sum()
    };
    let right: Vec<f64> = (0..inverse.len()).map(right).collect();
    let solution: Vec<f64> = inverse.iter().map(|row| dot(row, &right)).collect();
    let misses = rows.iter().map(|row| {
        let miss_a = row.value - dot(&row.columns, &solution);
        (miss_a, miss_a * miss_a * row.weight)
    });
    let misses: Vec<(f64, f64)> = misses.collect();
    let chi_square = misses.iter().map(|(_, square)| square).sum();
    let (worst, (worst_a, _)) = misses
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.1.total_cmp(&b.1.1))?;
    let p = ChiSquared::new(f64_from_usize(dof)).ok()?.sf(chi_square);
    Some(Fit {
        chi_square,
        dof,
        p,
        worst: named(worst),
        worst_a: *worst_a,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: worked by hand. Three levels of one unknown, 10, 12 and 14 with variance 4: the
    /// mean is 12, the squares are 1 + 0 + 1 = 2. Of chi-square with 2 degrees of freedom the
    /// tail beyond x is exp(-x / 2).
    #[test]
    fn three_levels_of_one_unknown() {
        let rows = [10.0, 12.0, 14.0].map(|value| DesignRow {
            columns: vec![1.0],
            value,
            weight: 0.25,
        });
        let inverse = vec![vec![4.0 / 3.0]];
        let found = fit(&rows, &inverse, |i| vec![i.to_string()]).unwrap();
        assert_eq!(found.dof, 2);
        assert!((found.chi_square - 2.0).abs() < 1e-12, "{found:?}");
        assert!((found.p - (-1.0f64).exp()).abs() < 1e-9, "{found:?}");
        assert!((found.worst_a.abs() - 2.0).abs() < 1e-12, "{found:?}");
    }

    #[test]
    fn as_many_equations_as_unknowns_prove_nothing() {
        let row = DesignRow {
            columns: vec![1.0],
            value: 10.0,
            weight: 1.0,
        };
        assert_eq!(fit(&[row], &[vec![1.0]], |_| Vec::new()), None);
    }
}
