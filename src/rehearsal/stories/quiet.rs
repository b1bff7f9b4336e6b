//! A healthy car: amperes, then hundreds of milliamperes, then 22 mA.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// Sleeps well.
pub static QUIET: Story = Story {
    name: "quiet",
    summary: "a healthy car falls asleep in three stages: what good looks like",
    complaint: "none, measured before delivery",
    limit_a: Some(0.050),
    sleep_timeout_s: 1200.0,
    battery: Battery {
        kind: BatteryKind::Agm,
        c20_ah: Some(70.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 11,
    meter: HAND_METER,
    fuses: &[
        slot("B1", "body module"),
        slot("B2", "gateway"),
        slot("B3", "head unit"),
        slot("B4", "engine control"),
        slot("B5", "horn"),
        slot("B6", "alarm"),
        slot("B7", "wipers"),
        slot("B8", "cabin sockets"),
        slot("B9", "rear lamps"),
    ],
    open_a: 1.2,
    latches: LATCHES,
    stir: Stir {
        awake_s: 15.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["B1"],
            awake_a: 0.62,
            stages: &[stage(70.0, 0.20), stage(290.0, 0.06), stage(540.0, 0.006)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["B2"],
            awake_a: 0.34,
            stages: &[stage(78.0, 0.12), stage(300.0, 0.03), stage(548.0, 0.004)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "head unit",
            fed_by: &["B3"],
            awake_a: 0.85,
            stages: &[stage(64.0, 0.10), stage(285.0, 0.02), stage(520.0, 0.003)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["B4"],
            awake_a: 0.22,
            stages: &[stage(45.0, 0.002)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "alarm",
            fed_by: &["B6"],
            awake_a: 0.02,
            stages: &[stage(535.0, 0.007)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[],
    keepers: &[],
    wakers: &[],
    lesson: Lesson {
        tries: &["B3"],
        culprits: &[],
        part: None,
    },
    script: &[
        note(5.0, "latches closed by hand, key in the office"),
        cue(20.0, Did::Lock, &[]),
        cue(860.0, Did::Pull, &["B3"]),
        cue(1100.0, Did::Refit, &["B3"]),
    ],
    end_s: 1800.0,
};
