//! What would settle a "cannot tell": which part of U is the largest, and what makes it smaller,
//! in numbers. Only the part that noise makes shrinks with time.

use super::uncertainty::Estimate;
use super::wait;
use crate::reading::number::f64_from_usize;
use crate::reading::{Elapsed, quantity};
use crate::session::mark::Did;
use crate::session::{Placed, Session};
use crate::signal::mean;

/// Stands in every text that advises the meter's other jack: who shows such a text adds the
/// caution that goes with it.
pub const OTHER_JACK: &str = "mA range";

/// One-sided 95 % of the normal distribution: the guard band of the verdict in standard
/// uncertainties (JCGM 106:2012, table 1: 1.64 for 0.95).
const GUARD: f64 = 1.645;
/// Half of an expanded uncertainty.
const K: f64 = 2.0;
/// A limit of error spreads evenly (GUM 4.3.7).
const RECTANGLE: f64 = 1.732_050_807_568_877_2;
/// Nobody is sent away for less.
const WAIT_MIN_S: f64 = 60.0;
/// Nor for more than a night at once: what takes longer is not asked for in numbers.
const WATCH_MAX_S: f64 = 12.0 * 3600.0;
/// A milliampere jack drops about this much for each ampere (trade table 4.1: 1 to 11 mV/mA,
/// 1.8 to 2 common).
const MA_JACK_OHM: f64 = 1.8;
/// A display as fine as this is a milliampere range already (trade table 4.1: 0.1 mA on 200 mA).
const MA_RANGE_RESOLUTION_A: f64 = 1e-4;
/// ... and such a range ends here.
const MA_RANGE_TOP_A: f64 = 0.2;
/// Beyond this share of the window the correlation time is too long for the standard error to be
/// sure (measured: coverage falls to 85 to 92 %).
const WANDER_SHARE: f64 = 1.0 / 30.0;
/// Longer series are halved by pair means first.
const WANDER_BLOCKS: usize = 600;
/// Where noise is less than this share of u, its own doubt does not matter.
const NOISE_MATTERS: f64 = 0.5;

/// The parts of a standard uncertainty, in ampere.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::struct_field_names, reason = "every name carries its unit")]
struct Parts {
    noise_a: f64,
    drift_a: f64,
    counts_a: f64,
    gain_a: f64,
}

impl Parts {
    fn of_level(session: &Session, level: &Estimate) -> Self {
        let drift_a = drift_a(session, level.t);
        let offset_a = (level.zero_u_a.powi(2) - drift_a.powi(2)).max(0.0).sqrt();
        Self {
            noise_a: level.noise_u_a,
            drift_a,
            counts_a: offset_a.hypot(level.rounding_u_a),
            gain_a: (level.gain_u * level.a).abs(),
        }
    }

    fn of_change(session: &Session, before: &Estimate, after: &Estimate) -> Self {
        let hours = after.t.secs_since(before.t) / 3600.0;
        Self {
            noise_a: before.noise_u_a.hypot(after.noise_u_a),
            drift_a: session.card().cable_drift_a_per_h() * hours / RECTANGLE,
            counts_a: before.rounding_u_a.hypot(after.rounding_u_a),
            gain_a: (before.gain_u * (after.a - before.a)).abs(),
        }
    }

    fn largest_a(&self) -> f64 {
        let Self {
            noise_a,
            drift_a,
            counts_a,
            gain_a,
        } = *self;
        noise_a.max(drift_a).max(counts_a).max(gain_a)
    }

    /// All of it but the noise.
    fn fixed_a(&self) -> f64 {
        self.drift_a.hypot(self.counts_a).hypot(self.gain_a)
    }
}

/// The level whose verdict is in doubt.
#[derive(Clone, Copy)]
pub struct InDoubt<'a> {
    /// Where the readings are.
    pub session: &'a Session,
    /// What is held against the limit.
    pub level: &'a Estimate,
    /// The limit, in ampere.
    pub limit_a: f64,
    /// How long it has stood, in seconds.
    pub watched_s: f64,
    /// How long its wakes were watched, in seconds.
    pub with_wakes_s: f64,
}

impl InDoubt<'_> {
    /// What makes this level's verdict sure, in one sentence.
    #[must_use]
    pub fn mend(&self) -> String {
        let parts = Parts::of_level(self.session, self.level);
        let u = quantity::current(self.level.level().u_a);
        let needed_a = self.needed_a();
        let largest_a = parts.largest_a();
        let begin = format!("too close for this meter: U {u}, most of it");
        if parts.noise_a >= largest_a {
            let watched_s = self.watched_s.min(mean::WINDOW_MAX_S);
            let wait = wait_s(parts.noise_a, parts.fixed_a(), needed_a, watched_s);
            let wait = wait.filter(|wait_s| wait_s + watched_s <= mean::WINDOW_MAX_S);
            return wait.map_or_else(
                || format!("{begin} the current's own unrest, and waiting does not make it small enough: watch it overnight, or take it as above"),
                |wait_s| format!("{begin} the current's own unrest: wait {} more", wait::to_come(wait_s)),
            );
        }
        if parts.drift_a >= largest_a {
            return format!("{begin} the clamp's zero: {}", self.zero());
        }
        if parts.gain_a >= largest_a {
            return format!("{begin} the meter's percentage: a more accurate meter would tell");
        }
        format!(
            "{begin} the meter's last places and its offset: {}",
            self.finer()
        )
    }

    /// How much longer its wakes have to be watched; `None` when no time is enough.
    #[must_use]
    pub fn wait(&self) -> Option<String> {
        let parts = Parts::of_level(self.session, self.level);
        let needed_a = self.needed_a();
        let wait = wait_s(parts.noise_a, parts.fixed_a(), needed_a, self.with_wakes_s);
        wait.filter(|wait_s| *wait_s < WATCH_MAX_S)
            .map(wait::to_come)
    }

    /// The standard uncertainty that would do.
    fn needed_a(&self) -> f64 {
        (self.limit_a - self.level.a).abs() / GUARD
    }

    fn zero(&self) -> String {
        let old = quantity::span(
            self.level
                .t
                .secs_since(zeroed_at(self.session, self.level.t)),
        );
        format!(
            "it is {old} old; zero the clamp with its jaws closed and empty, mark it, and clamp on again"
        )
    }

    /// The range for small currents, with what it may cost.
    fn finer(&self) -> String {
        let fine = self.session.signal().resolution_a() <= MA_RANGE_RESOLUTION_A;
        let clamp = self.session.card().drift_a_per_h.is_some();
        if fine || clamp || self.level.a.abs() > MA_RANGE_TOP_A {
            return "a meter in series with finer places would tell".into();
        }
        let drop_mv = self.level.a.abs() * MA_JACK_OHM * 1e3;
        format!(
            "the mA range would tell. Stay on the 10 A jack until the car is asleep, and bridge the meter before you change jacks: a common mA jack ({MA_JACK_OHM} ohm) drops {drop_mv:.0} mV now, and its fuse blows when the car wakes"
        )
    }
}

/// What would show a change that U hides, as the end of a sentence; `target_a` is the U it takes.
#[must_use]
pub fn of_change(session: &Session, before: &Estimate, after: &Estimate, target_a: f64) -> String {
    let parts = Parts::of_change(session, before, after);
    let largest_a = parts.largest_a();
    if parts.noise_a >= largest_a {
        let fixed_a = parts.fixed_a().hypot(before.noise_u_a);
        let watched_s = 2.0
            * session
                .signal()
                .last_t()
                .map_or(0.0, |end| end.secs_since(after.t));
        let wait = wait_s(after.noise_u_a, fixed_a, target_a / K, watched_s);
        let wait = wait.filter(|wait_s| wait_s + watched_s <= mean::WINDOW_MAX_S);
        return wait.map_or_else(
            || ": the current is too restless; repeat it after a longer stretch asleep".into(),
            |wait_s| format!(": wait {} more", wait::to_come(wait_s)),
        );
    }
    if parts.drift_a >= largest_a {
        return ": zero the clamp, let it settle and repeat this at once".into();
    }
    if parts.counts_a >= largest_a {
        return ": the meter's last place is too coarse; the mA range would show it (once asleep, the meter bridged while you change jacks)".into();
    }
    String::new()
}

/// A warning, as the end of a sentence, that the current wanders so slowly that its standard error
/// is not sure; `None` where it does not, or where noise is not what U is made of.
#[must_use]
pub fn wander(session: &Session, from: Elapsed, to: Elapsed, level: &Estimate) -> Option<String> {
    if level.noise_u_a < NOISE_MATTERS * level.u_a() {
        return None;
    }
    let from = from.max(to.plus_secs(-mean::WINDOW_MAX_S));
    let blocks = session.signal().track().between(from, to.plus_secs(-1.0));
    let mut values: Vec<f64> = blocks
        .iter()
        .filter(|block| block.count > 0)
        .map(|block| f64::from(block.mean_a))
        .collect();
    while values.len() > WANDER_BLOCKS {
        values = values
            .chunks_exact(2)
            .map(|pair| pair.iter().sum::<f64>() / 2.0)
            .collect();
    }
    let share = mean::geyer(&values).tau / f64_from_usize(values.len());
    let watched_s = to.secs_since(from);
    let needed_s = watched_s * share / WANDER_SHARE;
    (share > WANDER_SHARE).then(|| {
        let wait = if needed_s <= mean::WINDOW_MAX_S {
            format!("wait {} more", wait::to_come(needed_s - watched_s))
        } else {
            "watch it for longer".into()
        };
        format!("the current wanders slowly, so U is not sure: {wait}")
    })
}

/// How much longer until noise, which falls with the root of the time, is small enough; `None`
/// when the rest alone is too much.
fn wait_s(noise_a: f64, fixed_a: f64, needed_a: f64, watched_s: f64) -> Option<f64> {
    let left = needed_a.powi(2) - fixed_a.powi(2);
    (left > 0.0).then(|| (watched_s * (noise_a.powi(2) / left - 1.0)).max(WAIT_MIN_S))
}

fn drift_a(session: &Session, t: Elapsed) -> f64 {
    let hours = t.secs_since(zeroed_at(session, t)).max(0.0) / 3600.0;
    session.card().cable_drift_a_per_h() * hours / RECTANGLE
}

fn zeroed_at(session: &Session, t: Elapsed) -> Elapsed {
    let zeroed = session
        .marks()
        .rfind(|p| p.mark.did == Did::Zero && p.at() <= t);
    zeroed.map_or(Elapsed::ZERO, Placed::at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::{Amps, Measured, Reading};
    use crate::session::card::Card;
    use crate::session::entry::{Entry, Header, MeterCard};

    /// With a meter that writes milliamperes.
    fn session(drift_a_per_h: Option<f64>) -> Session {
        let mut session = Session::new(Header {
            started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
            card: Card {
                drift_a_per_h,
                ..Card::default()
            },
            meter: MeterCard::default(),
        });
        for t in [0, 1000, 2000].map(Elapsed::from_ms) {
            let value = Measured::Amps(Amps::parse("0.048").unwrap());
            session.apply(&Entry::reading(Reading { t, value }));
        }
        session
    }

    fn level(a: f64, noise_u_a: f64, gain_u: f64, zero_u_a: f64) -> Estimate {
        Estimate {
            a,
            noise_u_a,
            dof: 1e6,
            rounding_u_a: 0.0,
            gain_u,
            zero_u_a,
            spread_a: 0.01,
            t: Elapsed::from_secs(3600.0),
        }
    }

    fn mend(session: &Session, level: &Estimate) -> String {
        let doubt = InDoubt {
            session,
            level,
            limit_a: 0.050,
            watched_s: 300.0,
            with_wakes_s: 300.0,
        };
        doubt.mend()
    }

    /// Source: the standard error of a mean falls with the root of the time; worked by hand.
    #[test]
    fn the_wait_follows_the_root_of_the_time() {
        assert_eq!(wait_s(2.0, 0.0, 1.0, 100.0), Some(300.0));
        assert_eq!(wait_s(2.0, 0.6, 1.0, 64.0), Some(336.0));
        assert_eq!(wait_s(2.0, 1.0, 1.0, 100.0), None);
    }

    #[test]
    fn the_largest_part_says_what_helps() {
        let meter = session(None);
        let noise = mend(&meter, &level(0.0495, 4e-4, 1e-4, 1e-4));
        // 0.4 mA of noise has to fall to the 0.287 mA that 0.5 mA / 1.645 leaves beside 0.1 mA:
        // 1.94 times the 300 s, so 282 s more.
        assert!(noise.contains("wait 5 min more"), "{noise}");
        let hopeless = mend(&meter, &level(0.04999, 4e-4, 1e-4, 1e-4));
        assert!(hopeless.contains("waiting does not"), "{hopeless}");
        let counts = mend(&meter, &level(0.048, 1e-4, 1e-3, 2e-3));
        assert!(counts.contains(OTHER_JACK), "{counts}");
        let large = mend(&meter, &level(0.300, 1e-4, 1e-3, 2e-3));
        assert!(large.contains("finer places"), "{large}");
        let gain = mend(&meter, &level(0.048, 1e-4, 0.05, 1e-4));
        assert!(gain.contains("percentage"), "{gain}");
        // 5 mA/h for an hour is 2.9 mA.
        let drift = mend(&session(Some(0.005)), &level(0.048, 1e-4, 1e-3, 2.9e-3));
        assert!(drift.contains("it is 1 h old; zero the clamp"), "{drift}");
    }
}
