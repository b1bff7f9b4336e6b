//! A healthy car that stands still above the limit for a quarter of an hour before it sleeps.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note, strike};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// The climate control runs on for eighteen minutes: 88 mA and flat, which looks like the end and
/// like a fault. Then it sleeps too, and 17 mA are left.
pub static FALSE_FLOOR: Story = Story {
    name: "false-floor",
    summary: "flat above the limit, and yet nothing is wrong: the time-out is not over",
    complaint: "none, measured after a new battery was fitted",
    limit_a: Some(0.050),
    sleep_timeout_s: 1800.0,
    battery: Battery {
        kind: BatteryKind::Efb,
        c20_ah: Some(58.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 157,
    meter: HAND_METER,
    fuses: &[
        slot("E4", &["engine control"]),
        slot("E12", &["washer pump"]),
        slot("E18", &["climate control"]),
        slot("L2", &["parking-aid module"]),
        slot("L9", &["amplifier"]),
        slot("D2", &["body module"]),
        slot("D5", &["gateway"]),
        slot("D7", &["map light"]),
        slot("D8", &["sunroof control"]),
    ],
    open_a: 0.88,
    latches: LATCHES,
    stir: Stir {
        awake_s: 19.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["D2"],
            awake_a: 0.66,
            stages: &[stage(78.0, 0.187), stage(321.0, 0.0059)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["D5"],
            awake_a: 0.36,
            stages: &[stage(69.0, 0.109), stage(306.0, 0.0046)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "climate control",
            fed_by: &["E18"],
            awake_a: 0.34,
            stages: &[stage(95.0, 0.0742), stage(1110.0, 0.0031)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["E4"],
            awake_a: 0.31,
            stages: &[stage(36.0, 0.0009)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "amplifier",
            fed_by: &["L9"],
            awake_a: 0.29,
            stages: &[stage(44.0, 0.0018)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "parking-aid module",
            fed_by: &["L2"],
            awake_a: 0.08,
            stages: &[stage(88.0, 0.0007)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[],
    keepers: &[],
    wakers: &[],
    lesson: Lesson {
        tries: &["L9"],
        culprits: &[],
        parts: &[],
        opened: false,
    },
    script: &[
        note(7.0, "doors latched, remote key taken out of range"),
        cue(20.0, Did::Lock, &[]),
        note(
            760.0,
            "88 mA and level for minutes, but the time-out runs: hands off",
        ),
        cue(1540.0, Did::Pull, &["D7"]),
        note(
            1545.0,
            "wrong line: the puller is on L9, and L9 is still in",
        ),
        strike(1550.0),
        cue(1580.0, Did::Pull, &["L9"]),
        cue(1790.0, Did::Refit, &["L9"]),
    ],
    end_s: 3900.0,
};
