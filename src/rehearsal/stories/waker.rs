//! A car that sleeps below the limit, and wakes every three minutes.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Module, Stir, Waker, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// A tracker box without reception looks for it every three minutes: 24 mA settled, but about
/// 95 mA on average.
pub static WAKER: Story = Story {
    name: "waker",
    summary: "settled below the limit, and still flat: look at it for longer",
    complaint: "flat after two weeks in an underground garage",
    limit_a: Some(0.050),
    sleep_timeout_s: 1200.0,
    battery: Battery {
        kind: BatteryKind::Agm,
        c20_ah: Some(80.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 59,
    meter: HAND_METER,
    fuses: &[
        slot("B1", "body module"),
        slot("B2", "gateway"),
        slot("B3", "head unit"),
        slot("B4", "engine control"),
        slot("B5", "wipers"),
        slot("B6", "alarm"),
        slot("B7", "horn"),
        slot("B8", "rear lamps"),
        slot("B9", "tracker box"),
        slot("B10", "cabin sockets"),
    ],
    open_a: 1.1,
    latches: LATCHES,
    stir: Stir {
        awake_s: 15.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["B1"],
            awake_a: 0.45,
            stages: &[stage(58.0, 0.15), stage(180.0, 0.05), stage(385.0, 0.006)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["B2"],
            awake_a: 0.28,
            stages: &[stage(75.0, 0.08), stage(395.0, 0.004)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "head unit",
            fed_by: &["B3"],
            awake_a: 0.58,
            stages: &[stage(40.0, 0.05), stage(190.0, 0.003)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["B4"],
            awake_a: 0.21,
            stages: &[stage(42.0, 0.001)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "alarm",
            fed_by: &["B6"],
            awake_a: 0.02,
            stages: &[stage(370.0, 0.006)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "tracker box",
            fed_by: &["B9"],
            awake_a: 0.09,
            stages: &[stage(90.0, 0.004)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[],
    keepers: &[],
    wakers: &[Waker {
        part: "tracker box",
        fed_by: &["B9"],
        period_s: 180.0,
        jitter: 0.03,
        width_s: 15.0,
        extra_a: 0.85,
    }],
    lesson: Lesson {
        tries: &["B3", "B9"],
        culprits: &["B9"],
        part: Some("tracker box"),
    },
    script: &[
        note(5.0, "latches closed by hand, key in the office"),
        cue(20.0, Did::Lock, &[]),
        cue(1650.0, Did::Pull, &["B3"]),
        cue(2150.0, Did::Refit, &["B3"]),
        cue(2900.0, Did::Pull, &["B9"]),
        cue(3500.0, Did::Refit, &["B9"]),
        cue(4300.0, Did::Unplug, &["tracker box"]),
        cue(4900.0, Did::Swap, &["tracker box"]),
    ],
    end_s: 6000.0,
};
