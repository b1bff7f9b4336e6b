//! One draw on two circuits, and a module that two fuses feed.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Draw, Load, Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// A wet tow socket unit leaks through both of its supplies (B4 and B7); the body module has two
/// as well (B1 or B2), so pulling one of them shows nothing.
pub static SHARED: Story = Story {
    name: "shared",
    summary: "no single fuse brings the current below the limit",
    complaint: "flat after ten days, worse after rain",
    limit_a: Some(0.050),
    sleep_timeout_s: 1200.0,
    battery: Battery {
        kind: BatteryKind::Efb,
        c20_ah: Some(65.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 47,
    meter: HAND_METER,
    fuses: &[
        slot("B1", "body module, supply 1"),
        slot("B2", "body module, supply 2"),
        slot("B3", "gateway"),
        slot("B4", "tow socket, supply 1"),
        slot("B5", "head unit"),
        slot("B6", "engine control"),
        slot("B7", "tow socket, supply 2"),
        slot("B8", "horn"),
        slot("B9", "wipers"),
        slot("B10", "alarm"),
    ],
    open_a: 1.4,
    latches: LATCHES,
    stir: Stir {
        awake_s: 15.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["B1", "B2"],
            awake_a: 0.50,
            stages: &[stage(55.0, 0.18), stage(210.0, 0.06), stage(460.0, 0.008)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["B3"],
            awake_a: 0.26,
            stages: &[stage(70.0, 0.08), stage(470.0, 0.005)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "head unit",
            fed_by: &["B5"],
            awake_a: 0.70,
            stages: &[stage(45.0, 0.06), stage(220.0, 0.003)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["B6"],
            awake_a: 0.24,
            stages: &[stage(38.0, 0.002)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "alarm",
            fed_by: &["B10"],
            awake_a: 0.03,
            stages: &[stage(450.0, 0.006)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[Load {
        parts: &["tow socket unit"],
        faulty: "tow socket unit",
        draws: &[
            Draw {
                fed_by: &["B4"],
                a: 0.110,
            },
            Draw {
                fed_by: &["B7"],
                a: 0.070,
            },
        ],
    }],
    keepers: &[],
    wakers: &[],
    lesson: Lesson {
        tries: &["B1", "B4", "B7"],
        culprits: &["B4", "B7"],
        part: Some("tow socket unit"),
    },
    script: &[
        note(5.0, "latches closed by hand, key in the office"),
        cue(20.0, Did::Lock, &[]),
        cue(1400.0, Did::Pull, &["B1"]),
        cue(1600.0, Did::Refit, &["B1"]),
        cue(1800.0, Did::Pull, &["B4"]),
        cue(2000.0, Did::Pull, &["B7"]),
        cue(2200.0, Did::Refit, &["B4", "B7"]),
        cue(2400.0, Did::Unplug, &["tow socket unit"]),
        cue(2600.0, Did::Swap, &["tow socket unit"]),
    ],
    end_s: 3200.0,
};
