//! One module draws, another part is to blame: a seat module keeps the body module awake.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Holds, Keeper, Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// Pulling the body module's fuse (B1) clears at once and accuses the wrong one; pulling the seat
/// module's (B6) clears late and in stages, since only then may the body module sleep.
pub static KEPT_AWAKE: Story = Story {
    name: "kept-awake",
    summary: "the car stops half way to sleep, and the first suspect is the wrong one",
    complaint: "flat after three days",
    limit_a: Some(0.050),
    sleep_timeout_s: 1200.0,
    battery: Battery {
        kind: BatteryKind::Agm,
        c20_ah: Some(70.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 35,
    meter: HAND_METER,
    fuses: &[
        slot("B1", "body module"),
        slot("B2", "gateway"),
        slot("B3", "head unit"),
        slot("B4", "engine control"),
        slot("B5", "alarm"),
        slot("B6", "driver's seat"),
        slot("B7", "horn"),
        slot("B8", "wipers"),
        slot("B9", "rear lamps"),
        slot("B10", "blower"),
        slot("B11", "cabin sockets"),
    ],
    open_a: 1.3,
    latches: LATCHES,
    stir: Stir {
        awake_s: 15.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["B1"],
            awake_a: 0.36,
            stages: &[stage(60.0, 0.21), stage(200.0, 0.08), stage(420.0, 0.006)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["B2"],
            awake_a: 0.30,
            stages: &[stage(80.0, 0.09), stage(430.0, 0.005)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "head unit",
            fed_by: &["B3"],
            awake_a: 0.60,
            stages: &[stage(35.0, 0.05), stage(240.0, 0.003)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["B4"],
            awake_a: 0.20,
            stages: &[stage(40.0, 0.001)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "alarm",
            fed_by: &["B5"],
            awake_a: 0.03,
            stages: &[stage(410.0, 0.006)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "seat module",
            fed_by: &["B6"],
            awake_a: 0.020,
            stages: &[stage(50.0, 0.002)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[],
    keepers: &[Keeper {
        part: "seat module",
        fed_by: &["B6"],
        holds: Holds::Modules(&["body module", "seat module"]),
    }],
    wakers: &[],
    lesson: Lesson {
        tries: &["B7", "B1", "B6"],
        culprits: &["B6"],
        part: Some("seat module"),
    },
    script: &[
        note(
            5.0,
            "latches closed by hand, hood latch too, key in the office",
        ),
        cue(20.0, Did::Lock, &[]),
        cue(1400.0, Did::Pull, &["B7"]),
        cue(1580.0, Did::Refit, &["B7"]),
        cue(1780.0, Did::Pull, &["B1"]),
        cue(2000.0, Did::Refit, &["B1"]),
        cue(2500.0, Did::Pull, &["B6"]),
        cue(2980.0, Did::Refit, &["B6"]),
        cue(3480.0, Did::Unplug, &["seat module"]),
        cue(3960.0, Did::Swap, &["seat module"]),
    ],
    end_s: 4800.0,
};
