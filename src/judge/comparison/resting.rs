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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::comparison::testkit::case;
    use crate::judge::kit::{self, TestCar};

    /// Half a decade apart: a display of 1 mA and one of 0.1 mA are two ranges of the meter.
    #[test]
    fn another_last_place_is_another_range() {
        for (one_a, other_a, expected) in [
            (1e-3, 1e-4, true),
            (1e-4, 1e-3, true),
            (1e-3, 1e-3, false),
            (1e-3, 2e-3, false),
            (1e-3, 4e-3, true),
            (0.0, 1e-3, false),
            (1e-3, 0.0, false),
        ] {
            assert_eq!(
                is_other_range(one_a, other_a),
                expected,
                "{one_a} {other_a}"
            );
        }
    }

    /// Worked by hand: a wake of 6 As and one of 8 As in 1000 s add 14 mA, known to 10 mA; one of
    /// half a minute is none of them. Texture on one side alone is mixed.
    #[test]
    fn short_wakes_are_taken_with_the_level() {
        let shown = TestCar::asleep(&[(0, 0.030)])
            .stays(1200, |_, stays| stays.all[0].standing().unwrap().clone());
        let short = |from_s: f64, lasts_s: f64, charge_as| Wake {
            to: crate::reading::Elapsed::from_secs(from_s + lasts_s),
            ..kit::wake(from_s, charge_as)
        };
        let wakes = vec![
            short(100.0, 10.0, 6.0),
            short(300.0, 4.0, 8.0),
            short(600.0, 11.0, 90.0),
        ];
        let mut textured = shown.clone();
        (textured.wakes, textured.watched_s, textured.texture) = (wakes, 1000.0, 3);
        let level = with_short(&kit::level(0.030, 0.0), &textured);
        assert!((level.a - 0.044).abs() < 1e-9, "{}", level.a);
        assert!(
            (level.noise_u_a - 0.010).abs() < 1e-9,
            "{}",
            level.noise_u_a
        );
        assert!(is_mixed(&shown, &textured) && is_mixed(&textured, &shown));
        assert!(!is_mixed(&shown, &shown) && !is_mixed(&textured, &textured));
    }

    /// Worked by hand: two stays of one state differ by 0.2 % of the smaller level at k = 2, once for
    /// either; another range of the meter has a gain and a zero of its own on either side.
    #[test]
    fn what_lies_apart_or_in_another_range_is_known_less() {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030)]).marked(&[(600, "pull A1")]);
        case(&car, 1500, |case| {
            let basis = case.bench.basis;
            let (old, new) = (case.before, case.after);
            let beside = Resting::of(basis, old, new).change.u_a;
            let other = |side: &Side<'_>| side.is_adjacent;
            assert!(other(old) && other(new));
            let apart_a = 2.0 * 2.0_f64.sqrt() * 0.002 * 0.030;
            let [mut far_old, mut far_new] = [old.clone(), new.clone()];
            (far_old.is_adjacent, far_new.is_adjacent) = (false, false);
            for (old, new) in [(&far_old, new), (old, &far_new), (&far_old, &far_new)] {
                let u_a = Resting::of(basis, old, new).change.u_a;
                assert!((u_a - beside.hypot(apart_a)).abs() < 1e-9, "{u_a}");
            }
            let mut fine = new.shown.clone();
            fine.resolution_a /= 10.0;
            let fine = Side {
                shown: &fine,
                ..new.clone()
            };
            let own = |level: Estimate| (level.gain_u * level.a).hypot(level.zero_u_a);
            let range_a = 2.0 * own(old.level).hypot(own(new.level));
            let u_a = Resting::of(basis, old, &fine).change.u_a;
            assert!((u_a - beside.hypot(range_a)).abs() < 1e-9, "{u_a}");
        });
    }
}
