//! The car obeys its wiring, story by story.

use std::sync::LazyLock;

use super::*;
use crate::reading::Measured;
use crate::rehearsal::stories::{FALSE_FLOOR, LATE_FALL, SHORT_WAKES, STEADY_DRAW, TWO_BOXES};
use crate::rehearsal::story::Meter;
use crate::rehearsal::story::wiring::{Holds, Keeper};
use crate::session::mark::{MarkId, parse_mark};

pub(super) fn tell(car: &mut Car, t_s: f64, text: &str) {
    let mark = parse_mark(MarkId(1), text).unwrap();
    car.mark(Elapsed::from_secs(t_s), &mark);
}

/// Mean of the readings shown from `from_s` to `to_s`; over-range is refused.
pub(super) fn mean_a(car: &mut Car, from_s: f64, to_s: f64) -> f64 {
    let (mut sum, mut n) = (0.0, 0.0);
    while car.next_t() < Elapsed::from_secs(to_s) {
        let reading = car.next_reading();
        if reading.t >= Elapsed::from_secs(from_s) {
            let Measured::Amps(amps) = reading.value else {
                panic!("over-range at {}", reading.t)
            };
            sum += amps.value_a();
            n += 1.0;
        }
    }
    sum / n
}

fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected} within {tolerance}"
    );
}

#[test]
fn a_healthy_car_stands_at_88_ma_for_long_and_then_sleeps_at_17() {
    let mut car = Car::new(&FALSE_FLOOR, 1);
    tell(&mut car, 20.0, "lock");
    assert_near(mean_a(&mut car, 2.0, 19.0), 2.04 + 0.88, 0.01);
    assert_near(
        mean_a(&mut car, 130.0, 310.0),
        0.187 + 0.109 + 0.0776,
        0.005,
    );
    assert_near(mean_a(&mut car, 370.0, 1080.0), 0.0881, 0.001);
    assert_near(mean_a(&mut car, 1200.0, 1500.0), 0.0170, 0.001);
}

#[test]
fn unlocked_it_stays_awake_and_unlocking_wakes_it() {
    let mut car = Car::new(&FALSE_FLOOR, 1);
    assert_near(mean_a(&mut car, 1500.0, 1600.0), 2.92, 0.02);
    tell(&mut car, 1601.0, "lock");
    assert_near(mean_a(&mut car, 2800.0, 2900.0), 0.017, 0.001);
    tell(&mut car, 2900.0, "unlock");
    assert_near(mean_a(&mut car, 2905.0, 2920.0), 2.92, 0.02);
}

#[test]
fn the_latches_go_over_range_for_a_moment() {
    let mut car = Car::new(&FALSE_FLOOR, 1);
    tell(&mut car, 20.0, "lock");
    let overs: Vec<f64> = (0..100)
        .map(|_| car.next_reading())
        .filter(|reading| reading.value == Measured::Over)
        .map(|reading| reading.t.secs())
        .collect();
    assert!((1..=2).contains(&overs.len()), "{overs:?}");
    assert!(overs.iter().all(|t_s| (20.0..20.8).contains(t_s)));
}

static SMALL_RANGE: LazyLock<Story> = LazyLock::new(|| Story {
    meter: Meter {
        range_a: 1.0,
        ..FALSE_FLOOR.meter
    },
    ..FALSE_FLOOR.clone()
});

#[test]
fn an_awake_car_exceeds_a_small_range_until_it_has_calmed_down() {
    let mut car = Car::new(&SMALL_RANGE, 1);
    tell(&mut car, 20.0, "lock");
    let readings: Vec<Reading> = (0..400).map(|_| car.next_reading()).collect();
    let (early, late): (Vec<&Reading>, Vec<&Reading>) = readings
        .iter()
        .filter(|r| r.t < Elapsed::from_secs(55.0) || r.t > Elapsed::from_secs(125.0))
        .partition(|reading| reading.t < Elapsed::from_secs(55.0));
    assert!(early.iter().all(|reading| reading.value == Measured::Over));
    assert!(late.iter().all(|reading| reading.value != Measured::Over));
}

#[test]
fn a_direct_load_falls_at_once_and_its_refit_wakes_nothing() {
    let mut car = Car::new(&STEADY_DRAW, 4);
    tell(&mut car, 20.0, "lock");
    assert_near(mean_a(&mut car, 660.0, 760.0), 0.439, 0.002);
    tell(&mut car, 760.0, "pull l5");
    assert_near(mean_a(&mut car, 760.0, 780.0), 0.027, 0.002);
    tell(&mut car, 780.0, "refit L5");
    assert_near(mean_a(&mut car, 780.0, 800.0), 0.439, 0.002);
}

#[test]
fn only_a_new_relay_stops_the_blower() {
    let mut car = Car::new(&STEADY_DRAW, 4);
    tell(&mut car, 20.0, "lock");
    tell(&mut car, 700.0, "swap rear blower motor");
    assert_near(mean_a(&mut car, 710.0, 730.0), 0.439, 0.002);
    tell(&mut car, 730.0, "unplug rear blower motor");
    assert_near(mean_a(&mut car, 730.0, 750.0), 0.027, 0.002);
    tell(&mut car, 750.0, "plug rear blower motor");
    assert_near(mean_a(&mut car, 750.0, 770.0), 0.439, 0.002);
    tell(&mut car, 770.0, "swap rear blower relay");
    assert_near(mean_a(&mut car, 770.0, 790.0), 0.027, 0.002);
}

#[test]
fn a_part_unplugged_in_the_open_car_is_out_after_the_next_lock() {
    let mut car = Car::new(&STEADY_DRAW, 4);
    tell(&mut car, 20.0, "lock");
    tell(&mut car, 700.0, "unlock");
    assert_near(mean_a(&mut car, 705.0, 720.0), 1.78 + 1.37 + 0.412, 0.02);
    tell(&mut car, 720.0, "unplug rear blower relay");
    assert_near(mean_a(&mut car, 721.0, 740.0), 1.78 + 1.37, 0.02);
    tell(&mut car, 740.0, "lock");
    assert_near(mean_a(&mut car, 1380.0, 1450.0), 0.027, 0.001);
}

#[test]
fn the_drawer_falls_at_once_and_what_keeps_it_awake_late_in_stages() {
    let mut car = Car::new(&LATE_FALL, 2);
    tell(&mut car, 20.0, "lock");
    assert_near(mean_a(&mut car, 600.0, 700.0), 0.366, 0.002);
    tell(&mut car, 700.0, "unplug trailer module");
    assert_near(mean_a(&mut car, 700.0, 720.0), 0.019, 0.002);
    tell(&mut car, 720.0, "plug trailer module");
    assert!(
        mean_a(&mut car, 722.0, 730.0) > 1.0,
        "a module that starts up wakes the network"
    );
    assert_near(mean_a(&mut car, 1100.0, 1200.0), 0.366, 0.002);
    tell(&mut car, 1200.0, "unplug tailgate latch switch");
    assert_near(mean_a(&mut car, 1202.0, 1220.0), 0.366, 0.002);
    assert_near(mean_a(&mut car, 1226.0, 1280.0), 0.215, 0.002);
    assert_near(mean_a(&mut car, 1292.0, 1380.0), 0.107, 0.002);
    assert_near(mean_a(&mut car, 1410.0, 1500.0), 0.0235, 0.001);
    tell(&mut car, 1500.0, "swap tailgate latch switch");
    assert_near(mean_a(&mut car, 1502.0, 1600.0), 0.0235, 0.001);
}

#[test]
fn two_boxes_feed_one_draw_and_either_of_two_fuses_the_gateway() {
    let mut car = Car::new(&TWO_BOXES, 2);
    tell(&mut car, 20.0, "lock");
    assert_near(mean_a(&mut car, 600.0, 700.0), 0.222, 0.002);
    tell(&mut car, 700.0, "pull E22");
    assert_near(mean_a(&mut car, 700.0, 750.0), 0.222, 0.002);
    tell(&mut car, 750.0, "pull D1");
    assert_near(mean_a(&mut car, 750.0, 800.0), 0.216, 0.002);
    tell(&mut car, 800.0, "refit D1");
    assert!(
        mean_a(&mut car, 802.0, 810.0) > 1.0,
        "the gateway starts up"
    );
    tell(&mut car, 1200.0, "pull E17");
    assert_near(mean_a(&mut car, 1200.0, 1250.0), 0.085, 0.002);
    tell(&mut car, 1250.0, "pull L4");
    assert_near(mean_a(&mut car, 1250.0, 1300.0), 0.024, 0.002);
    tell(&mut car, 1300.0, "swap amplifier supply 2");
    tell(&mut car, 1301.0, "refit E17+L4");
    assert_near(mean_a(&mut car, 1301.0, 1350.0), 0.024, 0.002);
}

/// Onsets of what stands out of the settled car, in seconds.
fn onsets_s(car: &mut Car, from_s: f64, to_s: f64) -> Vec<f64> {
    let mut onsets = Vec::new();
    let mut high = false;
    while car.next_t() < Elapsed::from_secs(to_s) {
        let reading = car.next_reading();
        let now_high = match reading.value {
            Measured::Amps(amps) => amps.value_a() > 0.3,
            Measured::Over => true,
        };
        if now_high && !high && reading.t >= Elapsed::from_secs(from_s) {
            onsets.push(reading.t.secs());
        }
        high = now_high;
    }
    onsets
}

#[test]
fn the_waker_wakes_on_time_until_it_is_out_or_new() {
    let mut car = Car::new(&SHORT_WAKES, 6);
    tell(&mut car, 20.0, "lock");
    let onsets = onsets_s(&mut car, 500.0, 3000.0);
    let intervals: Vec<f64> = onsets.windows(2).map(|pair| pair[1] - pair[0]).collect();
    assert!((16..=19).contains(&onsets.len()), "{onsets:?}");
    // Four standard deviations of the 3 % jitter, and a reading's width.
    assert!(
        intervals
            .iter()
            .all(|interval| (interval - 140.0).abs() < 18.0)
    );
    tell(&mut car, 3000.0, "pull D10");
    assert_eq!(onsets_s(&mut car, 3001.0, 4000.0), Vec::<f64>::new());
    tell(&mut car, 4000.0, "refit D10");
    assert!(onsets_s(&mut car, 4100.0, 5000.0).len() >= 4);
    tell(&mut car, 5000.0, "swap tyre-pressure receiver");
    assert_eq!(onsets_s(&mut car, 5100.0, 6000.0), Vec::<f64>::new());
}

static NETWORK_HELD: LazyLock<Story> = LazyLock::new(|| Story {
    keepers: vec![Keeper {
        part: "amplifier",
        holds: Holds::Network,
    }],
    ..FALSE_FLOOR.clone()
});

#[test]
fn one_part_can_keep_the_whole_network_awake() {
    let mut car = Car::new(&NETWORK_HELD, 1);
    tell(&mut car, 20.0, "lock");
    assert_near(mean_a(&mut car, 1000.0, 1100.0), 2.04, 0.01);
    tell(&mut car, 1100.0, "pull L9");
    assert_near(mean_a(&mut car, 1101.0, 1115.0), 1.75, 0.01);
    assert_near(mean_a(&mut car, 1700.0, 1750.0), 0.0152, 0.001);
}

/// The same marks told all at once, or each just in time.
#[test]
fn the_readings_do_not_depend_on_when_the_marks_are_told() {
    let marks = [
        (20.0, "lock"),
        (300.25, "pull D10"),
        (300.25, "pull D3+d4"),
        (420.0, "refit D10"),
        (421.0, "note hello"),
        (430.0, "unlock"),
        (440.0, "lock"),
    ];
    let mut early = Car::new(&SHORT_WAKES, 8);
    for (t_s, text) in marks {
        tell(&mut early, t_s, text);
    }
    let early: Vec<Reading> = (0..4000).map(|_| early.next_reading()).collect();
    let mut late = Car::new(&SHORT_WAKES, 8);
    let mut coming = marks.into_iter().peekable();
    let late: Vec<Reading> = (0..4000)
        .map(|_| {
            while let Some((t_s, text)) =
                coming.next_if(|(t_s, _)| Elapsed::from_secs(*t_s) <= late.next_t())
            {
                tell(&mut late, t_s, text);
            }
            late.next_reading()
        })
        .collect();
    assert_eq!(early, late);
    let mut other: Car = Car::new(&SHORT_WAKES, 9);
    assert!(early.iter().any(|reading| *reading != other.next_reading()));
}

#[test]
fn an_unknown_label_changes_nothing_and_neither_does_a_note() {
    let mut plain = Car::new(&LATE_FALL, 3);
    let mut told = plain.clone();
    tell(&mut plain, 20.0, "lock");
    tell(&mut told, 20.0, "lock");
    tell(&mut told, 50.0, "pull L44");
    tell(&mut told, 51.0, "swap flux coil");
    tell(&mut told, 52.0, "note L7 looks old");
    tell(&mut told, 53.0, "zero");
    for _ in 0..600 {
        assert_eq!(plain.next_reading(), told.next_reading());
    }
}

#[test]
fn a_mark_from_the_past_acts_now() {
    let mut car = Car::new(&STEADY_DRAW, 4);
    tell(&mut car, 20.0, "lock");
    assert_near(mean_a(&mut car, 650.0, 750.0), 0.439, 0.002);
    tell(&mut car, 700.0, "pull L5");
    assert_near(mean_a(&mut car, 750.0, 770.0), 0.027, 0.002);
}

#[test]
fn the_fuse_box_is_named_in_order() {
    let labels: Vec<&str> = TWO_BOXES.fuses.iter().map(|slot| slot.label).collect();
    assert_eq!(labels[..3], ["E3", "E8", "E17"]);
}
