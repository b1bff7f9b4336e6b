//! A car that sleeps below the limit, and wakes for a moment again and again.

use super::{BOOT, HAND_METER, LATCHES, SMALL_BOOT};
use crate::rehearsal::story::wiring::{Module, Stir, Waker, slot, stage};
use crate::rehearsal::story::{Lesson, Story, cue, note};
use crate::session::card::{Battery, BatteryKind};
use crate::session::mark::Did;

/// A tyre-pressure receiver polls its wheels every 140 s, for 9 s at 1.24 A: 29 mA settled, but
/// about 108 mA on average.
pub static SHORT_WAKES: Story = Story {
    name: "short-wakes",
    summary: "settled below the limit, and flat all the same: the mean counts",
    complaint: "left at the station from Friday to Monday, and only just starts",
    limit_a: Some(0.050),
    sleep_timeout_s: 1080.0,
    battery: Battery {
        kind: BatteryKind::Agm,
        c20_ah: Some(82.0),
        reserve_min: None,
        cranking: None,
    },
    speed: 30.0,
    seed: 96,
    meter: HAND_METER,
    fuses: &[
        slot("E5", &["engine control"]),
        slot("E11", &["washer pump"]),
        slot("E19", &["rear blower relay"]),
        slot("L1", &["parking-aid module"]),
        slot("L6", &["trailer module"]),
        slot("L14", &["tailgate latch switch"]),
        slot("D3", &["body module"]),
        slot("D4", &["gateway"]),
        slot("D9", &["map light"]),
        slot("D10", &["tyre-pressure receiver"]),
        slot("D12", &["centre display"]),
    ],
    open_a: 0.94,
    latches: LATCHES,
    stir: Stir {
        awake_s: 16.0,
        pace: 0.55,
    },
    modules: &[
        Module {
            name: "body module",
            fed_by: &["D3"],
            awake_a: 0.43,
            stages: &[
                stage(66.0, 0.128),
                stage(203.0, 0.057),
                stage(404.0, 0.0068),
            ],
            boot: BOOT,
        },
        Module {
            name: "gateway",
            fed_by: &["D4"],
            awake_a: 0.31,
            stages: &[stage(97.0, 0.069), stage(413.0, 0.0049)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "centre display",
            fed_by: &["D12"],
            awake_a: 0.61,
            stages: &[stage(28.0, 0.055), stage(176.0, 0.0036)],
            boot: BOOT,
        },
        Module {
            name: "engine control",
            fed_by: &["E5"],
            awake_a: 0.23,
            stages: &[stage(53.0, 0.0014)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "parking-aid module",
            fed_by: &["L1"],
            awake_a: 0.12,
            stages: &[stage(140.0, 0.0022)],
            boot: SMALL_BOOT,
        },
        Module {
            name: "tyre-pressure receiver",
            fed_by: &["D10"],
            awake_a: 0.074,
            stages: &[stage(101.0, 0.0097)],
            boot: SMALL_BOOT,
        },
    ],
    loads: &[],
    keepers: &[],
    wakers: &[Waker {
        part: "tyre-pressure receiver",
        fed_by: &["D10"],
        period_s: 140.0,
        jitter: 0.03,
        width_s: 9.0,
        extra_a: 1.24,
    }],
    lesson: Lesson {
        tries: &["D10"],
        culprits: &["D10"],
        parts: &["tyre-pressure receiver"],
        opened: false,
    },
    script: &[
        note(
            11.0,
            "windows up, latches turned shut, transponder in a tin",
        ),
        cue(20.0, Did::Lock, &[]),
        note(
            1120.0,
            "low enough, but it twitches: count before touching a fuse",
        ),
        cue(1650.0, Did::Pull, &["D10"]),
        cue(2240.0, Did::Refit, &["D10"]),
        cue(2990.0, Did::Unplug, &["tyre-pressure receiver"]),
        note(
            3490.0,
            "plug back: if the wakes return, it is proved both ways",
        ),
        cue(3510.0, Did::Plug, &["tyre-pressure receiver"]),
        cue(5110.0, Did::Swap, &["tyre-pressure receiver"]),
    ],
    end_s: 6420.0,
};
