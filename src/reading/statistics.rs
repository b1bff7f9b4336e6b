//! What is said of a few numbers everywhere: mean, median, squares about a mean, straight line.

use super::number::f64_from_usize;

/// The arithmetic mean; not a number for nothing.
pub fn mean<T: Copy + Into<f64>>(values: &[T]) -> f64 {
    let sum: f64 = values.iter().map(|value| (*value).into()).sum();
    sum / f64_from_usize(values.len())
}

/// The sum of the squared distances from `middle`.
pub fn squares_about(values: &[f64], middle: f64) -> f64 {
    values.iter().map(|value| (value - middle).powi(2)).sum()
}

/// The sum of the products, one by one.
pub fn dot(ones: &[f64], others: &[f64]) -> f64 {
    ones.iter().zip(others).map(|(x, y)| x * y).sum()
}

/// The median; `None` of nothing. The order of `values` is lost.
pub fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len() / 2;
    if values.is_empty() {
        return None;
    }
    let even = values.len().is_multiple_of(2);
    let (below, at, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    let at = *at;
    Some(match below.iter().copied().max_by(f64::total_cmp) {
        Some(below) if even => below.midpoint(at),
        _ => at,
    })
}

/// The median, and of two in the middle the larger: always one of the values. `None` of nothing.
pub fn upper_median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.collect();
    let middle = values.len() / 2;
    if values.is_empty() {
        return None;
    }
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

/// The least-squares slope of the points and its standard error.
pub fn slope(points: &[(f64, f64)]) -> (f64, f64) {
    let n = f64_from_usize(points.len());
    let (mx, my) = points
        .iter()
        .fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let (xx, xy) = points.iter().fold((0.0, 0.0), |(xx, xy), p| {
        (xx + (p.0 - mx).powi(2), xy + (p.0 - mx) * (p.1 - my))
    });
    let slope = xy / xx;
    let left = points
        .iter()
        .map(|p| (p.1 - my - slope * (p.0 - mx)).powi(2))
        .sum::<f64>();
    (slope, (left / (n - 2.0) / xx).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand.
    #[test]
    fn of_two_in_the_middle_the_median_lies_between_and_the_upper_one_is_the_larger() {
        let values = [4.0, 1.0, 3.0, 2.0];
        assert_eq!(median(&mut values.to_vec()), Some(2.5));
        assert_eq!(upper_median(values.into_iter()), Some(3.0));
        assert_eq!(median(&mut [3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(upper_median([3.0, 1.0, 2.0].into_iter()), Some(2.0));
        assert_eq!(median(&mut []), None);
        assert_eq!(upper_median(std::iter::empty()), None);
    }

    /// Worked by hand: 2, 4, 9 has the mean 5 and squares 9 + 1 + 16.
    #[test]
    fn squares_are_taken_about_the_mean() {
        let values = [2.0, 4.0, 9.0];
        assert!((mean(&values) - 5.0).abs() < 1e-12);
        assert!((squares_about(&values, 5.0) - 26.0).abs() < 1e-12);
        assert!((dot(&values, &[1.0, 0.5, 2.0]) - 22.0).abs() < 1e-12);
    }
}
