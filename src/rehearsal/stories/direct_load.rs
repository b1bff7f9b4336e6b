//! A plain load that never goes out: a lamp whose lid switch is stuck.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Draw, Load, Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// A glove box lamp that burns behind its closed lid.
pub static DIRECT_LOAD: Story = Story {
    name: "direct-load",
    summary: "everything sleeps, yet a quarter of an ampere stays",
    complaint: "flat after a week at the airport",
    limit_a: Some(0.050),
    sleep_timeout_s: 1200.0,
    battery: Battery {
        kind: BatteryKind::Flooded,
        c20_ah: Some(60.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 23,
    meter: HAND_METER,
    fuses: &[
        slot("B1", "body module"),
        slot("B2", "gateway"),
        slot("B3", "head unit"),
        slot("B4", "engine control"),
        slot("B5", "mirror heaters"),
        slot("B6", "rear wiper"),
        slot("B7", "glove box and boot lamps"),
        slot("B8", "horn"),
        slot("B9", "alarm"),
        slot("B10", "blower"),
    ],
    open_a: 1.5,
    latches: LATCHES,
    stir: Stir {
        awake_s: 15.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["B1"],
            awake_a: 0.48,
            stages: &[stage(60.0, 0.16), stage(240.0, 0.05), stage(440.0, 0.007)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["B2"],
            awake_a: 0.28,
            stages: &[stage(66.0, 0.09), stage(452.0, 0.004)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "head unit",
            fed_by: &["B3"],
            awake_a: 0.55,
            stages: &[stage(52.0, 0.08), stage(230.0, 0.003)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["B4"],
            awake_a: 0.20,
            stages: &[stage(40.0, 0.002)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "alarm",
            fed_by: &["B9"],
            awake_a: 0.03,
            stages: &[stage(430.0, 0.006)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[Load {
        parts: &["glove box lamp", "lid switch"],
        faulty: "lid switch",
        draws: &[Draw {
            fed_by: &["B7"],
            a: 0.240,
        }],
    }],
    keepers: &[],
    wakers: &[],
    lesson: Lesson {
        tries: &["B6", "B7"],
        culprits: &["B7"],
        part: Some("lid switch"),
    },
    script: &[
        note(5.0, "hood latch closed with a screwdriver, key far away"),
        cue(20.0, Did::Lock, &[]),
        cue(1400.0, Did::Pull, &["B6"]),
        cue(1600.0, Did::Refit, &["B6"]),
        cue(1800.0, Did::Pull, &["B7"]),
        cue(2000.0, Did::Refit, &["B7"]),
        cue(2200.0, Did::Unplug, &["lid switch"]),
        cue(2400.0, Did::Swap, &["lid switch"]),
    ],
    end_s: 3000.0,
};
