//! The scenes that the table is measured on: what the car does, what the technician does, and
//! what is true.

use lullboard::judge::finding::Manner;
use lullboard::session::entry::Entry;

use crate::car::{Draw, Noise, Stage, mark, readings};

/// What is true of a pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    Plain(Option<Manner>),
    Woke,
}

/// A scene with a pull out of a sleeping (or never sleeping) car.
pub struct Pull {
    pub entries: Vec<Entry>,
    pub change_a: f64,
    pub at_s: f64,
    /// What changes at that moment, in ampere.
    pub own_a: f64,
    pub settles_s: f64,
    pub way: Way,
    pub drift_a_per_h: Option<f64>,
}

pub const PULLS: [&str; 12] = [
    "direct",
    "keep-awake",
    "both",
    "woke",
    "null",
    "coarse 10 mA",
    "coarse dithered",
    "noisy",
    "noise tau 4 s",
    "one reading in 2 s",
    "drifting clamp",
    "small 12 mA",
];

/// What the meter and the car add in a scene of this name.
pub fn noise_of(name: &str) -> Noise {
    let plain = Noise::default();
    match name {
        "coarse 10 mA" => Noise {
            decimals: 2,
            ..plain
        },
        "coarse dithered" => Noise {
            decimals: 2,
            white_a: 0.006,
            ..plain
        },
        "noisy" => Noise {
            white_a: 0.004,
            slow_a: 0.003,
            ..plain
        },
        "noise tau 4 s" => Noise {
            slow_a: 0.002,
            tau_s: 4.0,
            ..plain
        },
        "noise tau 10 s" => Noise {
            slow_a: 0.002,
            tau_s: 10.0,
            ..plain
        },
        "one reading in 2 s" => Noise {
            rate_hz: 0.5,
            ..plain
        },
        "drifting clamp" => Noise {
            drift_a_per_h: 0.005,
            white_a: 0.002,
            ..plain
        },
        _ => plain,
    }
}

/// Builds the named scene.
pub fn pull(name: &str, seed: u64) -> Pull {
    let mut draw = Draw::new(seed);
    let noise = noise_of(name);
    let pull_s = draw.between(900.0, 960.0);
    let hand_s = pull_s + draw.between(-1.0, 1.5);
    let (mut before_a, mut change_a) = (draw.between(0.12, 0.25), -draw.between(0.06, 0.1));
    let mut way = Way::Plain(Some(Manner::AtOnce));
    let mut drift_a_per_h = None;
    let mut late: Vec<Stage> = Vec::new();
    match name {
        "keep-awake" | "both" => {
            before_a = draw.between(1.5, 2.6);
            let after_a = draw.between(0.030, 0.053);
            let own_a = if name == "both" {
                draw.between(0.3, 0.5)
            } else {
                before_a * draw.between(0.008, 0.012)
            };
            let first_s = pull_s + draw.between(25.0, 60.0);
            let second_s = first_s + draw.between(30.0, 90.0);
            late = vec![
                (pull_s, before_a - own_a),
                (first_s, draw.between(0.3, 0.5)),
                (second_s, after_a),
            ];
            change_a = after_a - before_a;
            way = Way::Plain(Some(if name == "both" {
                Manner::Both
            } else {
                Manner::Late
            }));
        }
        "woke" => {
            let woken_a = draw.between(1.9, 2.9);
            late = vec![(pull_s, woken_a), (pull_s + 90.0, before_a + change_a)];
            way = Way::Woke;
        }
        "null" => {
            change_a = 0.0;
            way = Way::Plain(None);
        }
        "coarse 10 mA" => {
            (before_a, change_a) = (draw.between(0.04, 0.06), -draw.between(0.015, 0.025));
        }
        "drifting clamp" => drift_a_per_h = Some(noise.drift_a_per_h),
        "small 12 mA" => change_a = -0.012,
        _ => {}
    }
    let mut stages = vec![(0.0, before_a)];
    if late.is_empty() {
        stages.push((pull_s, before_a + change_a));
    } else {
        stages.extend(&late);
    }
    let own_a = stages.get(1).map_or(0.0, |stage| stage.1 - before_a);
    let settles_s = stages.last().map_or(pull_s, |stage| stage.0);
    let mut entries = readings(&mut draw, &stages, &noise, settles_s + 1500.0);
    let pulled = match seed % 3 {
        0 => "pull E9",
        1 => "pull L14",
        _ => "pull D6",
    };
    mark(&mut entries, 1, hand_s, pulled);
    Pull {
        entries,
        change_a,
        at_s: pull_s,
        own_a,
        settles_s,
        way,
        drift_a_per_h,
    }
}

/// A car that falls asleep by stages.
pub struct Sleeper {
    pub entries: Vec<Entry>,
    pub stages: Vec<Stage>,
}

/// A random car: two to five stages, all asleep within forty minutes.
pub fn random_car(seed: u64, below: bool) -> Sleeper {
    let mut draw = Draw::new(seed);
    let count = draw.between(2.0, 6.0).floor();
    let final_a = if below {
        draw.between(0.01, 0.048)
    } else {
        draw.between(0.06, 0.4)
    };
    let mut stages: Vec<Stage> = vec![(0.0, draw.between(2.0, 8.0))];
    let mut t_s = 0.0;
    let mut level_a = stages.first().map_or(3.0, |stage| stage.1);
    for left in (0..count as u32).rev() {
        t_s += draw.log_between(25.0, 1500.0_f64.min(f64::max(2400.0 - t_s, 30.0)));
        level_a = if left == 0 {
            final_a
        } else {
            draw.log_between(final_a * 1.3, (level_a * 0.9).max(final_a * 1.4))
        };
        stages.push((t_s, level_a));
        if t_s > 2300.0 {
            break;
        }
    }
    if let Some(last) = stages.last_mut() {
        last.1 = final_a;
    }
    let noise = Noise {
        white_a: draw.log_between(0.0008, 0.008),
        decimals: if draw.between(0.0, 1.0) < 0.25 { 2 } else { 3 },
        rate_hz: draw.log_between(0.5, 5.0),
        ..Noise::default()
    };
    let entries = readings(&mut draw, &stages, &noise, t_s + 3900.0);
    Sleeper { entries, stages }
}

/// A sleeping car at one level, nothing ever changing.
pub fn still_car(seed: u64, level_a: f64, end_s: f64, noise: &Noise) -> Vec<Entry> {
    readings(&mut Draw::new(seed), &[(0.0, level_a)], noise, end_s)
}
