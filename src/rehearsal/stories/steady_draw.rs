//! A plain load that never goes out, and a repair for which the car must be opened.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Draw, Load, Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// A rear blower relay whose contact sticks: 412 mA run through it and the blower's motor, asleep
/// or not. The relay sits behind trim, so it is parted and replaced in the unlocked car.
pub static STEADY_DRAW: Story = Story {
    name: "steady-draw",
    summary: "everything sleeps, and one thing runs on: found quickly, mended in an opened car",
    complaint: "slow crank after two nights, a jump start on the third morning",
    limit_a: Some(0.050),
    sleep_timeout_s: 900.0,
    battery: Battery {
        kind: BatteryKind::Flooded,
        c20_ah: Some(63.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 84,
    meter: HAND_METER,
    fuses: &[
        slot("E1", &["engine control"]),
        slot("E6", &["washer pump"]),
        slot("E20", &["climate control"]),
        slot("L5", &["rear blower relay", "rear blower motor"]),
        slot("L9", &["parking-aid module"]),
        slot("L12", &["trailer socket"]),
        slot("D2", &["body module"]),
        slot("D3", &["gateway"]),
        slot("D7", &["map light"]),
        slot("D11", &["sunroof control"]),
    ],
    open_a: 1.37,
    latches: LATCHES,
    stir: Stir {
        awake_s: 21.0,
        pace: 0.6,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["D2"],
            awake_a: 0.51,
            stages: &[
                stage(84.0, 0.223),
                stage(263.0, 0.094),
                stage(571.0, 0.0083),
            ],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["D3"],
            awake_a: 0.33,
            stages: &[stage(107.0, 0.118), stage(586.0, 0.0061)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "climate control",
            fed_by: &["E20"],
            awake_a: 0.41,
            stages: &[stage(49.0, 0.076), stage(198.0, 0.0047)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["E1"],
            awake_a: 0.29,
            stages: &[stage(61.0, 0.0019)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "parking-aid module",
            fed_by: &["L9"],
            awake_a: 0.18,
            stages: &[stage(233.0, 0.0028)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "sunroof control",
            fed_by: &["D11"],
            awake_a: 0.06,
            stages: &[stage(540.0, 0.0032)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[Load {
        parts: &["rear blower motor", "rear blower relay"],
        faulty: "rear blower relay",
        draws: &[Draw {
            fed_by: &["L5"],
            a: 0.412,
        }],
    }],
    keepers: &[],
    wakers: &[],
    lesson: Lesson {
        tries: &["L5"],
        culprits: &["L5"],
        parts: &["rear blower relay"],
        opened: true,
    },
    script: &[
        note(
            9.0,
            "all doors latched with a screwdriver, fob left at the desk",
        ),
        cue(20.0, Did::Lock, &[]),
        note(1390.0, "fuse L5 is warm to the finger: begin there"),
        cue(1420.0, Did::Pull, &["L5"]),
        cue(1620.0, Did::Refit, &["L5"]),
        note(
            1930.0,
            "meter bridged before the tailgate is opened for the trim",
        ),
        cue(1950.0, Did::Unlock, &[]),
        cue(2020.0, Did::Unplug, &["rear blower relay"]),
        cue(2080.0, Did::Lock, &[]),
        cue(3300.0, Did::Unlock, &[]),
        cue(3370.0, Did::Swap, &["rear blower relay"]),
        cue(3420.0, Did::Lock, &[]),
    ],
    end_s: 4980.0,
};
