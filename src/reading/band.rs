//! A figure with its ends: what it is at best knowledge, and how low and how high it may lie.
//!
//! For figures of the trade, whose sources disagree; a measured level has its U instead.

/// A figure between two ends. `low <= best <= high` always holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    /// As low as it may be.
    pub low: f64,
    /// The figure to go by.
    pub best: f64,
    /// As high as it may be.
    pub high: f64,
}

impl Band {
    /// A band around `best`; ends on the wrong side of it are drawn to it.
    pub const fn new(low: f64, best: f64, high: f64) -> Self {
        Self {
            low: low.min(best),
            best,
            high: high.max(best),
        }
    }

    /// A figure that is taken as it is.
    pub const fn exact(value: f64) -> Self {
        Self::new(value, value, value)
    }

    /// The band that `best` and all of `others` span.
    pub fn spanned(best: f64, others: impl IntoIterator<Item = f64>) -> Self {
        let start = Self::exact(best);
        others.into_iter().fold(start, |band, other| Self {
            low: band.low.min(other),
            high: band.high.max(other),
            ..band
        })
    }

    /// The band of `f` over this one; `f` rises or falls all the way.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self::spanned(f(self.best), [f(self.low), f(self.high)])
    }

    /// No end beyond these.
    #[must_use]
    pub const fn within(self, least: f64, most: f64) -> Self {
        Self {
            low: self.low.clamp(least, most),
            best: self.best.clamp(least, most),
            high: self.high.clamp(least, most),
        }
    }
}

/// The band of `f` over independent parts: each part goes to its ends alone, and the differences
/// add in squares (JCGM 100:2008, 5.1.2 and the note to 5.1.3 on numerical evaluation; from
/// memory), to each side for itself.
pub fn combined<const N: usize>(parts: [Band; N], f: impl Fn([f64; N]) -> f64) -> Band {
    let at_best = parts.map(|part| part.best);
    let best = f(at_best);
    let (mut down, mut up) = (0.0_f64, 0.0_f64);
    for (place, part) in parts.iter().enumerate() {
        let moved = |end: f64| {
            let mut at = at_best;
            at.iter_mut().skip(place).take(1).for_each(|x| *x = end);
            f(at) - best
        };
        let (a, b) = (moved(part.low), moved(part.high));
        down = down.hypot(a.min(b).min(0.0));
        up = up.hypot(a.max(b).max(0.0));
    }
    Band::new(best - down, best, best + up)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_falling_function_swaps_the_ends() {
        let band = Band::new(1.0, 2.0, 4.0).map(|x| 8.0 / x);
        assert_eq!((band.low, band.best, band.high), (2.0, 4.0, 8.0));
    }

    #[test]
    fn independent_parts_add_in_squares() {
        let part = Band::new(7.0, 10.0, 14.0);
        let sum = combined([part, Band::new(6.0, 10.0, 13.0)], |[a, b]| a + b);
        assert_eq!((sum.low, sum.best, sum.high), (15.0, 20.0, 25.0));
        let difference = combined([part, part], |[a, b]| a - b);
        assert_eq!((difference.low, difference.high), (-5.0, 5.0));
    }

    #[test]
    fn ends_never_cross_the_figure() {
        let band = Band::new(3.0, 2.0, 1.0);
        assert_eq!((band.low, band.best, band.high), (2.0, 2.0, 2.0));
        assert_eq!(Band::exact(1.4).within(0.0, 1.0), Band::exact(1.0));
    }
}
