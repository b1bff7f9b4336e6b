//! For the tests beside the code: cars that are quick to tell, and series, blocks and stays that
//! nobody recorded.

use super::asleep::SleepProof;
use super::series::{Point, Series};
use super::shown::Shown;
use super::{Opening, Stay};
use crate::judge::kit::{TestCar, level};
use crate::reading::Elapsed;
use crate::reading::number::f32_from_f64;
use crate::session::card::Card;
use crate::signal::track::{Block, Moment, Reads};

/// A moment of the record, in seconds.
pub(in crate::judge) fn at(t_s: u32) -> Elapsed {
    Elapsed::from_secs(f64::from(t_s))
}

/// Whether two figures are the same but for what computing costs.
#[track_caller]
pub(super) fn close(found: f64, expected: f64) {
    let apart = (found - expected).abs();
    assert!(
        // A point keeps its current to seven digits.
        apart < 1e-6 * expected.abs().max(1e-3),
        "{found} is not {expected}"
    );
}

/// A car whose card says 50 mA and ten minutes, read once a second until `end_s`.
pub(super) fn car(levels: &[(u32, f64)], end_s: u32) -> TestCar {
    let known = |card: &mut Card| {
        card.limit_a = Some(0.05);
        card.sleep_timeout_s = Some(600.0);
    };
    TestCar::of(levels)
        .card(known)
        .read_every(1.0)
        .ending(end_s)
}

/// The same of a car that slept when the record began.
pub(super) fn asleep(levels: &[(u32, f64)], end_s: u32) -> TestCar {
    car(levels, end_s).card(|card| card.asleep_at_start = Some(true))
}

/// A level that stood all along, and nothing else.
pub(in crate::judge) fn shown(from_s: u32, to_s: u32, a: f64) -> Shown {
    let for_s = f64::from(to_s - from_s);
    let level = level(a, 0.000_1);
    Shown {
        arrived: at(from_s),
        fell: at(from_s),
        held: at(from_s),
        until: at(to_s),
        level,
        newest_a: a,
        beside: [level; 2],
        resolution_a: 0.001,
        stood_s: for_s,
        held_s: for_s,
        at_rest_s: for_s,
        rest_a: a,
        watched_s: for_s,
        wakes: Vec::new(),
        left: None,
        touches: Vec::new(),
        risen: None,
        texture: 0,
        is_sparse: false,
        step_s: 1.0,
        base: Vec::new(),
    }
}

/// A stay in the first state in which nothing was seen.
pub(in crate::judge) fn unseen(from_s: u32, to_s: u32, opening: Opening) -> Stay {
    Stay {
        from: at(from_s),
        to: at(to_s),
        opening,
        setup: 0,
        marked: 0,
        is_open: false,
        clock: at(from_s),
        was_left: opening.is_lock(),
        shown: None,
        rest: SleepProof::default(),
    }
}

/// One reading.
pub(in crate::judge) fn block(t_s: u32, a: f32) -> Block {
    Block {
        from: Moment::of(at(t_s)),
        reads: Reads::of(1),
        mean_a: a,
        min_a: a,
        max_a: a,
        resolution_a: 0.001,
    }
}

/// A series of stretches: so many seconds at each current, a value every `step_s`.
pub(super) fn series(stretches: &[(u32, f64)], step_s: u32) -> Series<'static> {
    let values = stretches
        .iter()
        .flat_map(|(for_s, a)| (0..for_s / step_s).map(|_| *a));
    let points = (0..).zip(values).map(|(i, a)| Point {
        from: at(i * step_s),
        for_ms: 1000 * step_s,
        mean_a: f32_from_f64(a),
        first: i,
        count: 1,
        over: false,
    });
    Series::wide(points.collect(), f64::from(step_s))
}
