//! One load that two boxes feed, and a module with two supplies that shows nothing.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Draw, Load, Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// An amplifier that never switches off draws 137 mA through the engine bay (E17) and 61 mA
/// through the load floor (L4). Pulled in one go and put back one by one, each shows its share.
pub static TWO_BOXES: Story = Story {
    name: "two-boxes",
    summary: "no single fuse is enough: pull a few in one go, and put them back one by one",
    complaint: "dead twice since spring, each time after a fortnight at home",
    limit_a: Some(0.050),
    sleep_timeout_s: 1500.0,
    battery: Battery {
        kind: BatteryKind::Efb,
        c20_ah: Some(68.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 132,
    meter: HAND_METER,
    fuses: &[
        slot("E3", &["engine control"]),
        slot("E8", &["washer pump"]),
        slot("E17", &["amplifier supply 1"]),
        slot("E22", &["gateway supply 1"]),
        slot("L4", &["amplifier supply 2"]),
        slot("L8", &["trailer module"]),
        slot("L13", &["parking-aid module"]),
        slot("L15", &["rear blower relay"]),
        slot("D1", &["gateway supply 2"]),
        slot("D5", &["body module"]),
        slot("D6", &["map light"]),
        slot("D9", &["centre display"]),
    ],
    open_a: 1.06,
    latches: LATCHES,
    stir: Stir {
        awake_s: 13.0,
        pace: 0.45,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["D5"],
            awake_a: 0.46,
            stages: &[
                stage(73.0, 0.141),
                stage(302.0, 0.052),
                stage(493.0, 0.0092),
            ],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["E22", "D1"],
            awake_a: 0.38,
            stages: &[
                stage(57.0, 0.131),
                stage(229.0, 0.043),
                stage(511.0, 0.0064),
            ],
            boot: SMALL_BOOT,
        },
        Module {
            name: "centre display",
            fed_by: &["D9"],
            awake_a: 0.53,
            stages: &[stage(42.0, 0.064), stage(187.0, 0.0038)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["E3"],
            awake_a: 0.26,
            stages: &[stage(47.0, 0.0021)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "trailer module",
            fed_by: &["L8"],
            awake_a: 0.14,
            stages: &[stage(112.0, 0.0027)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[Load {
        parts: &["amplifier"],
        faulty: "amplifier",
        draws: &[
            Draw {
                fed_by: &["E17"],
                a: 0.137,
            },
            Draw {
                fed_by: &["L4"],
                a: 0.061,
            },
        ],
    }],
    keepers: &[],
    wakers: &[],
    lesson: Lesson {
        tries: &["E17", "L4"],
        culprits: &["E17", "L4"],
        parts: &["amplifier"],
        opened: false,
    },
    script: &[
        note(
            4.0,
            "bonnet contact pressed down with tape, owner has the key",
        ),
        cue(20.0, Did::Lock, &[]),
        cue(1640.0, Did::Pull, &["E17"]),
        cue(1675.0, Did::Pull, &["D6"]),
        cue(1710.0, Did::Pull, &["L4"]),
        cue(1930.0, Did::Refit, &["D6"]),
        cue(2130.0, Did::Refit, &["L4"]),
        cue(2330.0, Did::Refit, &["E17"]),
        note(2520.0, "137 and 61 make 198: both lines lead to one plug"),
        cue(2550.0, Did::Unplug, &["amplifier"]),
        cue(2750.0, Did::Swap, &["amplifier"]),
    ],
    end_s: 4440.0,
};
