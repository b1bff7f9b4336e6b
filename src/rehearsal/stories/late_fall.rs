//! Two parts on one fuse: the one that draws is kept awake by the other.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Holds, Keeper, Module, Stir, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// A tailgate latch switch that says "open" keeps the trailer module awake at 347 mA. Both hang on
/// L7, so the fuse finds the circuit only. Unplugged, the module takes its draw with it at once;
/// the switch lets the module fall asleep, late and in stages.
pub static LATE_FALL: Story = Story {
    name: "late-fall",
    summary: "one fuse feeds two parts, and the one that draws is not the one at fault",
    complaint: "driven on Monday, flat on Thursday",
    limit_a: Some(0.050),
    sleep_timeout_s: 1200.0,
    battery: Battery {
        kind: BatteryKind::Agm,
        c20_ah: Some(72.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 71,
    meter: HAND_METER,
    fuses: &[
        slot("E2", &["engine control"]),
        slot("E9", &["washer pump"]),
        slot("E14", &["rear blower relay"]),
        slot("L3", &["parking-aid module"]),
        slot("L7", &["tailgate latch switch", "trailer module"]),
        slot("L11", &["amplifier"]),
        slot("L16", &["sunroof control"]),
        slot("D1", &["body module"]),
        slot("D3", &["gateway"]),
        slot("D4", &["centre display"]),
        slot("D8", &["map light"]),
    ],
    open_a: 1.24,
    latches: LATCHES,
    stir: Stir {
        awake_s: 17.0,
        pace: 0.5,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["D1"],
            awake_a: 0.58,
            stages: &[stage(64.0, 0.17), stage(255.0, 0.061), stage(437.0, 0.0071)],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["D3"],
            awake_a: 0.27,
            stages: &[stage(91.0, 0.074), stage(446.0, 0.0052)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "centre display",
            fed_by: &["D4"],
            awake_a: 0.44,
            stages: &[stage(31.0, 0.047), stage(214.0, 0.0031)],
            boot: BOOT,
        },
        Module {
            name: "amplifier",
            fed_by: &["L11"],
            awake_a: 0.31,
            stages: &[stage(52.0, 0.0026)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["E2"],
            awake_a: 0.37,
            stages: &[stage(38.0, 0.0012)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "trailer module",
            fed_by: &["L7"],
            awake_a: 0.347,
            stages: &[
                stage(45.0, 0.196),
                stage(170.0, 0.088),
                stage(390.0, 0.0043),
            ],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[],
    keepers: &[Keeper {
        part: "tailgate latch switch",
        fed_by: &["L7"],
        holds: Holds::Modules(&["trailer module"]),
    }],
    wakers: &[],
    lesson: Lesson {
        tries: &["L7"],
        culprits: &["L7"],
        parts: &["trailer module", "tailgate latch switch"],
        opened: false,
    },
    script: &[
        note(
            6.0,
            "tailgate shut, hood latch snapped by hand, keys in the safe",
        ),
        cue(20.0, Did::Lock, &[]),
        cue(1330.0, Did::Pull, &["L7"]),
        cue(1510.0, Did::Refit, &["L7"]),
        cue(1990.0, Did::Unplug, &["trailer module"]),
        note(
            2160.0,
            "it draws, but on a bench it sleeps: who keeps it up?",
        ),
        cue(2180.0, Did::Plug, &["trailer module"]),
        cue(2660.0, Did::Unplug, &["tailgate latch switch"]),
        cue(3170.0, Did::Swap, &["tailgate latch switch"]),
    ],
    end_s: 4740.0,
};
