//! How well a level and a change are known (GUM, JCGM 100:2008).
//!
//! Noise from the record itself, rounding by the display codes seen, gain and offset from the
//! meter's accuracy, clamp drift from the time since it was zeroed. On a change the gain enters
//! once and the offset cancels (GUM 5.2.2: fully correlated).

pub(super) mod rounding;

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use super::finding::Level;
use super::rules::SURE;
use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::card::{Accuracy, Card};
use crate::signal::mean;
use crate::signal::track::{self, Block, Track};

/// What is counted where the card tells no accuracy: a plain handheld's 10 A range (common practice,
/// no source; trade table 4.1 has 1.0 % + 3 counts for a good one).
pub const PLAIN: Accuracy = Accuracy {
    percent: 1.5,
    counts: 3.0,
    amount_a: 0.0,
};

/// A limit of error spreads evenly: its standard uncertainty is its half width over this
/// (GUM 4.3.7).
pub const RECTANGLE: f64 = 1.732_050_807_568_877_2;
/// Half of an expanded uncertainty.
pub const K: f64 = 2.0;
/// A mean of fewer blocks than this says little of its own noise.
const BLOCKS_MIN: usize = 30;
/// Beyond this the t-factor is the normal one.
const DOF_MAX: f64 = 1e4;

/// A mean current over a stretch, with the parts of its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The level, in ampere.
    pub a: f64,
    /// Standard error of the mean, in ampere.
    pub noise_u_a: f64,
    /// Degrees of freedom of the standard error.
    pub dof: f64,
    /// Standard uncertainty from rounding, in ampere.
    pub rounding_u_a: f64,
    /// Relative standard uncertainty of the gain.
    pub gain_u: f64,
    /// Standard uncertainty of the zero, drift included, in ampere.
    pub zero_u_a: f64,
    /// Standard deviation of the blocks, in ampere.
    pub spread_a: f64,
    /// The middle of the stretch.
    pub t: Elapsed,
}

impl Estimate {
    /// What stands where nothing was measured yet.
    pub const NOTHING: Self = Self {
        a: 0.0,
        noise_u_a: 0.0,
        dof: 1.0,
        rounding_u_a: 0.0,
        gain_u: 0.0,
        zero_u_a: 0.0,
        spread_a: 0.0,
        t: Elapsed::ZERO,
    };

    /// Standard uncertainty of the level itself, in ampere.
    pub fn u_a(&self) -> f64 {
        combined(&[
            self.noise_u_a,
            self.rounding_u_a,
            self.gain_u * self.a,
            self.zero_u_a,
        ])
    }

    /// Effective degrees of freedom of [`Estimate::u_a`].
    pub fn effective_dof(&self) -> f64 {
        effective_dof(self.u_a(), &[(self.noise_u_a, self.dof)])
    }

    /// The level with its expanded uncertainty.
    pub fn level(&self) -> Level {
        Level {
            a: self.a,
            u_a: self.u_a() * coverage(self.effective_dof()),
        }
    }
}

/// The change from `before` to `after` with its expanded uncertainty.
pub fn change(before: &Estimate, after: &Estimate, drift_a_per_h: f64) -> Level {
    let a = after.a - before.a;
    let drift_u_a = drift_over_u_a(drift_a_per_h, after.t.secs_since(before.t));
    let u_a = combined(&[
        before.noise_u_a,
        after.noise_u_a,
        before.rounding_u_a,
        after.rounding_u_a,
        before.gain_u * a,
        drift_u_a,
    ]);
    let parts = [(before.noise_u_a, before.dof), (after.noise_u_a, after.dof)];
    Level {
        a,
        u_a: u_a * coverage(effective_dof(u_a, &parts)),
    }
}

/// Combined standard uncertainty of independent parts (GUM 5.1.2, equation 10).
pub fn combined(parts: &[f64]) -> f64 {
    parts.iter().map(|part| part * part).sum::<f64>().sqrt()
}

/// Effective degrees of freedom (Welch-Satterthwaite, GUM G.4.1, equation G.2b); parts known for
/// certain have infinitely many and drop out.
pub fn effective_dof(u: f64, parts: &[(f64, f64)]) -> f64 {
    let sum: f64 = parts.iter().map(|(part, dof)| part.powi(4) / dof).sum();
    if sum > 0.0 {
        u.powi(4) / sum
    } else {
        f64::INFINITY
    }
}

/// Coverage factor for 95 %, but never below the k = 2 that U stands for.
pub fn coverage(dof: f64) -> f64 {
    t_factor(dof, 0.95).max(2.0)
}

/// The guard band of a verdict in standard uncertainties: one-sided, of the normal distribution
/// (JCGM 106:2012, table 1: 1.64 for 0.95).
pub fn guard() -> f64 {
    Normal::standard().inverse_cdf(SURE)
}

/// The half width that holds this share of a Student variable (GUM table G.2).
pub fn t_factor(dof: f64, share: f64) -> f64 {
    StudentsT::new(0.0, 1.0, dof.clamp(1.0, DOF_MAX))
        .map_or(2.0, |t| t.inverse_cdf(0.5 + share / 2.0))
}

/// The probability that a Student variable with these degrees of freedom is at most `x`.
pub fn at_most(x: f64, dof: f64) -> f64 {
    if dof > DOF_MAX {
        return Normal::standard().cdf(x);
    }
    StudentsT::new(0.0, 1.0, dof.max(1.0)).map_or(0.5, |t| t.cdf(x))
}

/// The level of these blocks; `None` for fewer than two.
pub fn of(session: &Session, blocks: &[Block]) -> Option<Estimate> {
    let (first, last) = (blocks.first()?, blocks.last()?);
    let mean = mean::mean(&track::values(blocks))?;
    let resolution_a = count_a(session, blocks);
    let (a, rounding_u_a) = rounding::of(blocks, &mean, resolution_a);
    let t = first
        .begins()
        .plus_secs(last.begins().secs_since(first.begins()) / 2.0);
    Some(Estimate {
        a,
        noise_u_a: mean.se,
        dof: mean.dof,
        rounding_u_a,
        gain_u: gain_u(session.card()),
        zero_u_a: zero_u_a(session, resolution_a, t),
        spread_a: mean.sd,
        t,
    })
}

/// The level of the stretch `from..to` without what was `left_out` of it, from when to when; `None`
/// when it holds too few blocks.
pub fn estimate(
    session: &Session,
    from: Elapsed,
    to: Elapsed,
    left_out: &[(Elapsed, Elapsed)],
) -> Option<Estimate> {
    // A block that begins within a second of the end may hold readings from beyond it.
    let track = session.signal().track();
    let blocks = newest(track.between(from, to.plus_secs(-1.0)), to);
    let counts = |block: &&Block| {
        let mut stretches = left_out.iter();
        !stretches.any(|(begins, ends)| *begins <= block.begins() && block.begins() < *ends)
    };
    let used: Vec<Block> = track::read(blocks).filter(counts).copied().collect();
    of(session, &used)
}

/// One count of the meter in these blocks, in ampere of the cable.
pub(super) fn count_a(session: &Session, blocks: &[Block]) -> f64 {
    Track::finest_a(blocks) * session.card().probe().count_in_last_places()
}

/// The newest half hour of `blocks`, and never fewer than a slow logger needs for a mean.
fn newest(blocks: &[Block], to: Elapsed) -> &[Block] {
    let start = to.plus_secs(-mean::WINDOW_MAX_S);
    let within = blocks.partition_point(|block| block.begins() < start);
    let enough = blocks.len().saturating_sub(BLOCKS_MIN);
    blocks.get(within.min(enough)..).unwrap_or(blocks)
}

/// Relative standard uncertainty of the gain: the meter's and that of the clamp or shunt before
/// it, which know nothing of each other (GUM 5.1.2).
pub fn gain_u(card: &Card) -> f64 {
    let meter_percent = card.accuracy.unwrap_or(PLAIN).percent;
    let probe_percent = card.probe_accuracy.unwrap_or_default();
    meter_percent.hypot(probe_percent) / 100.0 / RECTANGLE
}

/// Standard uncertainty of the meter's zero at `t`, in ampere of the cable.
fn zero_u_a(session: &Session, resolution_a: f64, t: Elapsed) -> f64 {
    let card = session.card();
    let accuracy = card.accuracy.unwrap_or(PLAIN);
    // Counts are counts of the meter, and `resolution_a` is one of them already; an amount is
    // what the meter may be off, and turns divide all that it shows.
    let amount_a = accuracy.amount_a / card.probe().turns();
    let offset_u_a = (accuracy.counts * resolution_a + amount_a) / RECTANGLE;
    offset_u_a.hypot(drift_u_a(session, t))
}

/// Standard uncertainty of a clamp's zero at `t` for its drift since it was zeroed, in ampere of
/// the cable.
pub fn drift_u_a(session: &Session, t: Elapsed) -> f64 {
    let a_per_h = session.card().cable_drift_a_per_h();
    drift_over_u_a(a_per_h, since_zero_s(session, t).max(0.0))
}

/// Standard uncertainty from a zero that drifts so fast for `for_s` seconds, in ampere.
pub fn drift_over_u_a(a_per_h: f64, for_s: f64) -> f64 {
    a_per_h * (for_s / 3600.0) / RECTANGLE
}

/// How long before `t` the clamp was zeroed, in seconds; the record's beginning counts as zeroed.
pub fn since_zero_s(session: &Session, t: Elapsed) -> f64 {
    t.secs_since(session.zeroed_by(t).unwrap_or_default())
}

/// Half the interval in which the limit of the card's accuracy lets a reading of `a` err,
/// expanded, in ampere: for rules that need a margin before any level is known.
pub fn margin_a(session: &Session, a: f64) -> f64 {
    let gain_u_a = gain_u(session.card()) * a;
    let count_a = session.signal().resolution_a() * session.card().probe().count_in_last_places();
    2.0 * gain_u_a.hypot(zero_u_a(session, count_a, session.last_t()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn estimate(a: f64, noise_u_a: f64, rounding_u_a: f64, gain_u: f64) -> Estimate {
        Estimate {
            a,
            noise_u_a,
            dof: 1e6,
            rounding_u_a,
            gain_u,
            zero_u_a: 0.002,
            spread_a: 0.0,
            t: Elapsed::ZERO,
        }
    }

    /// Source: GUM 5.2.2 (a gain common to both readings enters once, on the difference); the
    /// figures computed outside this project with numpy from that rule.
    #[test]
    fn the_common_gain_enters_once_on_a_change() {
        for (before, after, gain, s, q, expected) in [
            (
                0.21,
                0.045,
                0.005,
                (0.0003, 0.0002),
                0.0,
                0.000_900_347_155_268_455_2,
            ),
            (
                0.05,
                0.027,
                0.005,
                (0.0001, 0.0001),
                0.002_886_751_345_948_129,
                0.004_086_550_093,
            ),
            (
                2.0,
                0.05,
                0.008,
                (0.004, 0.0003),
                0.0003,
                0.016_113_038_198_924_498,
            ),
        ] {
            let found = change(
                &estimate(before, s.0, q, gain),
                &estimate(after, s.1, q, gain),
                0.0,
            );
            assert!((found.a - (after - before)).abs() < 1e-12);
            let k = found.u_a / expected;
            assert!((k - 2.0).abs() < 1e-3, "k {k}");
        }
    }

    /// Source: GUM 5.1.2 (independent parts add in squares); the figures by hand: a voltmeter of
    /// 0.5 % + 2 counts of 0.1 mV, behind a 100 mV/A clamp of 1 % with four turns. One count is
    /// 0.1 mV / (100 mV/A x 4) = 0.25 mA.
    #[test]
    fn a_clamp_adds_its_gain_and_scales_the_counts() {
        let mut header = crate::journal::header::unknown();
        header.card = Card {
            accuracy: "0.5%+2".parse().ok(),
            clamp_mv_per_a: Some(100.0),
            turns: Some(4.0),
            probe_accuracy: Some(1.0),
            drift_a_per_h: Some(0.004),
            ..Card::default()
        };
        let session = Session::new(header);
        let block = Block {
            resolution_a: 0.000_1,
            ..crate::judge::stay::testkit::block(0, 0.030)
        };
        let percent = gain_u(session.card()) * RECTANGLE * 100.0;
        assert!((percent - 1.118_034).abs() < 1e-6, "{percent}");
        // The last place of a converted reading is 0.1 mA, a count is 2.5 of them.
        let count_a = count_a(&session, &[block]);
        assert!((count_a - 0.000_25).abs() < 1e-9, "{count_a}");
        let at_once = zero_u_a(&session, count_a, Elapsed::ZERO) * RECTANGLE;
        assert!((at_once - 0.0005).abs() < 1e-9, "{at_once}");
        // 4 mA/h at the clamp are 1 mA/h in the cable.
        let hour = zero_u_a(&session, count_a, Elapsed::from_secs(3600.0)) * RECTANGLE;
        assert!((hour - 0.0005f64.hypot(0.001)).abs() < 1e-9, "{hour}");
    }

    /// Source: GUM G.4.1 example as replayed in public test code: u 0.25, 0.57, 0.82 % with
    /// 9, 4 and 14 degrees of freedom give 19.0 (18.9987 unrounded).
    #[test]
    fn effective_degrees_of_freedom_as_in_the_guide() {
        let parts: [(f64, f64); 3] = [(0.25, 10.0 - 1.0), (0.57, 5.0 - 1.0), (0.82, 15.0 - 1.0)];
        let u = parts.iter().map(|(p, _)| p * p).sum::<f64>().sqrt();
        assert!((effective_dof(u, &parts) - 18.9987).abs() < 1e-3);
    }

    /// Source: scipy 1.17.1, t quantile 0.975.
    #[test]
    fn the_coverage_factor_is_students() {
        for (dof, t) in [
            (4.0, 2.776_445),
            (9.0, 2.262_157),
            (20.0, 2.085_963),
            (30.0, 2.042_272),
        ] {
            assert!((coverage(dof) - t).abs() < 1e-5);
        }
        assert!((coverage(f64::INFINITY) - 2.0).abs() < 1e-12);
    }

    /// Source: scipy 1.17.1, t.cdf(1, 5) and norm.cdf(1).
    #[test]
    fn a_probability_of_few_degrees_of_freedom_is_students() {
        for (dof, p) in [
            (5.0, 0.818_391_3),
            (1e5, 0.841_344_7),
            (f64::INFINITY, 0.841_344_7),
        ] {
            assert!((at_most(1.0, dof) - p).abs() < 1e-6, "{dof}");
        }
    }

    /// The newest half hour, and thirty readings at the least.
    #[test]
    fn a_level_is_of_the_newest_half_hour() {
        use crate::judge::stay::testkit::{at, block};
        for (step_s, count, expected) in [(1, 3000, 1800), (10, 600, 180), (120, 100, 30)] {
            let blocks: Vec<Block> = (0..count).map(|i| block(step_s * i, 0.030)).collect();
            assert_eq!(
                newest(&blocks, at(step_s * count)).len(),
                expected,
                "{step_s}"
            );
        }
    }

    /// Worked by hand: 1 % and 3 counts of 1 mA, at 50 mA, and 2 mA that the meter itself may be off,
    /// of which four turns leave a quarter.
    #[test]
    fn a_margin_is_what_the_accuracy_lets_a_reading_err() {
        use crate::judge::kit::TestCar;
        let car = TestCar::asleep(&[(0, 0.030)]);
        let margin_a = margin_a(&car.until(60), 0.050);
        let expected_a = 2.0 * f64::hypot(0.0005, 0.003) / RECTANGLE;
        assert!((margin_a - expected_a).abs() < 1e-9, "{margin_a}");
        let turned = car.card(|card| {
            card.turns = Some(4.0);
            card.accuracy = Some(Accuracy {
                percent: 1.0,
                counts: 3.0,
                amount_a: 0.002,
            });
        });
        let zero_u_a = zero_u_a(&turned.until(60), 0.001, Elapsed::ZERO);
        assert!((zero_u_a * RECTANGLE - 0.0035).abs() < 1e-9, "{zero_u_a}");
    }
}
