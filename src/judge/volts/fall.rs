//! The charge lost by both meters: what the current took, and what the fall of the battery's
//! voltage at rest stands for. Where the second is surely more, the battery itself is suspect.

use serde::Serialize;

use super::charger::Charging;
use crate::battery::fall::{RestEnd, Rested, VoltsFall};
use crate::battery::standing::{Given, Store};
use crate::judge::contradiction::Contradiction;
use crate::judge::rules::{
    AWAKE_A, CHARGED_A, CHARGER_V, FALL_END_S, FALL_S, FALL_SEEN_SHARE, RECOVER_S,
};
use crate::judge::stay::Basis;
use crate::judge::stay::evidence::Fault;
use crate::judge::uncertainty::{self, K};
use crate::reading::Elapsed;
use crate::reading::band::{self, Band};
use crate::session::volts::VoltsBlock;

/// Whether the current explains the fall of the voltage.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "code", rename_all = "kebab-case")]
#[expect(
    missing_docs,
    reason = "a figure's name says what it is and carries its unit"
)]
pub enum Explained {
    /// As far as can be told: the bands overlap.
    Fits,
    /// The voltage fell further than the current and the battery's own loss can have made it.
    Faster,
    /// It fell less than the current must have made it.
    Slower,
    /// The battery's size is not known.
    NoBattery,
    /// It was not read at rest at both ends: under amperes, charged a moment ago, or only once.
    NotAtRest,
    /// Too short between two readings at rest.
    TooShort { for_s: f64, needed_s: f64 },
    /// The current was not seen for so long of that time.
    NoCurrent { missing_s: f64, of_s: f64 },
}

/// The charge lost between two readings at rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltsLoss {
    /// The first of them.
    pub from: Elapsed,
    /// The last of them.
    pub to: Elapsed,
    /// The voltage then.
    pub before_v: f64,
    /// The voltage at the end.
    pub after_v: f64,
    /// How much surface charge may have been in the first, in volts.
    pub surface_v: f64,
    /// By the voltage, as a share of full; `None` where the battery's build is not known.
    pub by_volts_share: Option<Band>,
    /// By the voltage, in ampere-hours of a battery that has its printed size.
    pub by_volts_ah: Option<Band>,
    /// By the current, in ampere-hours, with its U.
    pub by_current_ah: Band,
    /// By the battery's own self-discharge, in ampere-hours.
    pub by_self_ah: Option<Band>,
}

impl VoltsLoss {
    /// What the current and the battery's own loss take together.
    pub fn expected_ah(&self) -> Band {
        let own = self.by_self_ah.unwrap_or(Band::exact(0.0));
        band::combined([self.by_current_ah, own], |[current, own]| current + own)
    }

    /// Whether the current explains what the voltage shows.
    fn explained(&self) -> Explained {
        let (Some(by_volts), expected) = (self.by_volts_ah, self.expected_ah()) else {
            return Explained::NoBattery;
        };
        if by_volts.low > expected.high {
            Explained::Faster
        } else if by_volts.high < expected.low {
            Explained::Slower
        } else {
            Explained::Fits
        }
    }

    /// What does not fit, where it does not.
    pub(super) fn against(&self, explained: Explained) -> Option<Contradiction> {
        let by_volts = self.by_volts_ah?;
        let expected = self.expected_ah();
        let (from_s, to_s) = (self.from.secs(), self.to.secs());
        let (before_v, after_v) = (self.before_v, self.after_v);
        match explained {
            Explained::Faster => Some(Contradiction::FallsFaster {
                from_s,
                to_s,
                before_v,
                after_v,
                least_ah: by_volts.low,
                explained_ah: expected.high,
            }),
            Explained::Slower => Some(Contradiction::FallsSlower {
                from_s,
                to_s,
                before_v,
                after_v,
                most_ah: by_volts.high,
                explained_ah: expected.low,
            }),
            Explained::Fits
            | Explained::NoBattery
            | Explained::NotAtRest
            | Explained::TooShort { .. }
            | Explained::NoCurrent { .. } => None,
        }
    }
}

/// The charge lost since the battery was charged last, as far as the record tells.
pub(super) fn fall(basis: &Basis<'_>, charging: &[Charging]) -> (Option<VoltsLoss>, Explained) {
    let charged = charged_until(basis, charging);
    let Some((first, last)) = at_rest(basis, charged) else {
        return (None, Explained::NotAtRest);
    };
    let (from, to) = (first.from, last.to);
    let of_s = to.secs_since(from);
    if of_s < FALL_S {
        let needed_s = FALL_S;
        return (
            None,
            Explained::TooShort {
                for_s: of_s,
                needed_s,
            },
        );
    }
    let (by_current_ah, seen_s) = drawn(basis, from, to);
    let missing_s = (of_s - seen_s).max(0.0);
    if seen_s < FALL_SEEN_SHARE * of_s {
        return (None, Explained::NoCurrent { missing_s, of_s });
    }
    let card = basis.session.card();
    let rested = |t: Elapsed| match (charged, card.rest.and_then(|rest| rest.rested_s)) {
        (Some(charged), _) => Rested::For(t.secs_since(charged)),
        (None, Some(rested_s)) => Rested::For(rested_s + t.secs().max(0.0)),
        (None, None) => Rested::AtLeast(t.secs().max(0.0)),
    };
    let end = |volts, t| RestEnd {
        volts,
        rested: rested(t),
    };
    let before = end(mean_v(basis, from, from.plus_secs(FALL_END_S)), from);
    let after = end(mean_v(basis, to.plus_secs(-FALL_END_S), to), to);
    let temperature_c = card.rest.and_then(|rest| rest.temperature_c);
    let fall = VoltsFall {
        before,
        after,
        temperature_c,
    };
    let store = card.battery.and_then(|battery| {
        Store::new(&Given {
            temperature_c,
            ..Given::printed(battery)
        })
    });
    let loss = VoltsLoss {
        from,
        to,
        before_v: before.volts,
        after_v: after.volts,
        surface_v: before.rested.surface_v(),
        by_volts_share: card.battery.map(|battery| fall.lost_share(battery.kind)),
        by_volts_ah: card.battery.and_then(|battery| fall.lost_ah(&battery)),
        by_current_ah,
        by_self_ah: store.map(|store| store.self_a().map(|a| a * of_s / 3600.0)),
    };
    (Some(loss), loss.explained())
}

/// Until when something charged the battery last, by either meter.
fn charged_until(basis: &Basis<'_>, charging: &[Charging]) -> Option<Elapsed> {
    let hidden = basis.evidence.hidden.iter();
    let by_current = hidden.filter(|it| it.fault == Fault::Charged);
    let by_volts = charging.iter().map(|it| it.to);
    by_current.map(|it| it.to).chain(by_volts).max()
}

/// The first and the last block of volts at rest.
fn at_rest<'a>(
    basis: &Basis<'a>,
    charged: Option<Elapsed>,
) -> Option<(&'a VoltsBlock, &'a VoltsBlock)> {
    let blocks = basis.session.volts().blocks();
    let since = charged.map_or(0, |charged| {
        blocks.partition_point(|block| block.from <= charged)
    });
    let mut later = blocks.get(since..)?.iter();
    let first = later.find(|block| is_open(basis, block))?;
    let last = later.rfind(|block| is_open(basis, block))?;
    Some((first, last))
}

/// Whether nothing but a sleeping car hung on the battery for so long that its voltage had come
/// back: under amperes it is not that of a battery at rest.
fn is_open(basis: &Basis<'_>, block: &VoltsBlock) -> bool {
    let signal = basis.session.signal();
    let since = block.from.plus_secs(-RECOVER_S);
    let known = basis.session.card().asleep_at_start == Some(true);
    let was_seen = known || signal.first_t().is_some_and(|first| first <= since);
    let extent = signal.track().extent(since, block.to.plus_secs(1.0));
    let is_small = extent.is_some_and(|extent| {
        let (min_a, max_a) = (f64::from(extent.min_a), f64::from(extent.max_a));
        !extent.over && max_a <= AWAKE_A && min_a >= -CHARGED_A
    });
    was_seen && is_small && block.mean_v <= CHARGER_V
}

/// The mean voltage of a stretch.
fn mean_v(basis: &Basis<'_>, from: Elapsed, to: Elapsed) -> f64 {
    let blocks = basis.session.volts().between(from, to);
    let (sum_v, count) = blocks.iter().fold((0.0, 0.0), |(sum_v, count), block| {
        let n = f64::from(block.count);
        (sum_v + n * block.mean_v, count + n)
    });
    sum_v / count
}

/// What the current took in ampere-hours, with its U, and for how long it was seen, in seconds.
fn drawn(basis: &Basis<'_>, from: Elapsed, to: Elapsed) -> (Band, f64) {
    let blocks = basis.session.signal().track().between(from, to);
    let ends = blocks
        .iter()
        .skip(1)
        .map(|next| (next.begins(), next.is_after_gap()));
    let ends = ends.chain(std::iter::once((to, false)));
    let (mut charge_as, mut seen_s) = (0.0, 0.0);
    for (block, (until, is_gap)) in blocks.iter().zip(ends) {
        let counts =
            block.is_read() && !block.is_over() && !basis.evidence.hides(block.begins().secs());
        if counts && !is_gap {
            let for_s = until.secs_since(block.begins());
            charge_as += block.a() * for_s;
            seen_s += for_s;
        }
    }
    // What was not seen is taken as what was.
    let hours = to.secs_since(from) / 3600.0;
    let mean_a = if seen_s > 0.0 {
        charge_as / seen_s
    } else {
        0.0
    };
    let estimate = uncertainty::estimate(basis.session, from, to, &[]);
    let u_a = estimate.map_or(f64::INFINITY, |it| {
        K * (it.gain_u * mean_a).hypot(it.zero_u_a)
    });
    let drawn = Band::new(mean_a - u_a, mean_a, mean_a + u_a).map(|a| a * hours);
    (drawn, seen_s)
}
