//! The difference of the resting levels, and how well it is known.

use super::sides::Side;
use crate::judge::finding::{Level, Wake};
use crate::judge::rules::{SPREAD_SHARE, TEXTURE_S};
use crate::judge::stay::Basis;
use crate::judge::stay::shown::Shown;
use crate::judge::uncertainty::{self, Estimate};

/// The resting effect.
#[derive(Clone, Copy, Debug)]
pub(super) struct Resting {
    pub before: Estimate,
    pub after: Estimate,
    /// After minus before.
    pub change: Level,
}

impl Resting {
    pub(super) fn of(basis: &Basis<'_>, before: &Side<'_>, after: &Side<'_>) -> Self {
        let (mut old, mut new) = (before.level, after.level);
        // Short runs that are texture on one side and wakes on the other are one thing: both sides
        // are taken with them.
        if is_mixed(before.shown, after.shown) {
            old = with_short(&old, before.shown);
            new = with_short(&new, after.shown);
        }
        let drift_a_per_h = basis.session.card().cable_drift_a_per_h();
        let mut change = uncertainty::change(&old, &new, drift_a_per_h);
        if !before.is_adjacent || !after.is_adjacent {
            // Two stays of one state are not the same to the last digit.
            let spread_a = SPREAD_SHARE * old.a.abs().min(new.a.abs());
            change.u_a = change.u_a.hypot(2.0 * std::f64::consts::SQRT_2 * spread_a);
        }
        if is_other_range(before.shown.resolution_a, after.shown.resolution_a) {
            // Another range has a gain and a zero of its own.
            let of =
                |level: &Estimate| uncertainty::combined(&[level.gain_u * level.a, level.zero_u_a]);
            change.u_a = change.u_a.hypot(2.0 * of(&old).hypot(of(&new)));
        }
        Self {
            before: old,
            after: new,
            change,
        }
    }
}

/// Whether the same short runs may be texture on one side and wakes on the other.
pub(super) fn is_mixed(before: &Shown, after: &Shown) -> bool {
    (before.texture == 0) != (after.texture == 0)
}

/// The level with its short wakes, which are known as well as their count is.
fn with_short(level: &Estimate, shown: &Shown) -> Estimate {
    let short = shown.wakes.iter().filter(|wake| is_short(wake));
    let (sum, squares) = short.fold((0.0, 0.0), |(sum, squares), wake| {
        (
            sum + wake.charge_as,
            squares + wake.charge_as * wake.charge_as,
        )
    });
    let noise_u_a = level.noise_u_a.hypot(f64::sqrt(squares) / shown.watched_s);
    Estimate {
        a: level.a + sum / shown.watched_s,
        noise_u_a,
        ..*level
    }
}

/// Whether a wake is as short as what is texture when it comes often.
pub(super) fn is_short(wake: &Wake) -> bool {
    wake.lasts_s() <= TEXTURE_S
}

/// A display with places of another size is another range of the meter.
fn is_other_range(one_a: f64, other_a: f64) -> bool {
    one_a > 0.0 && other_a > 0.0 && (one_a / other_a).log10().abs() > 0.5
}
