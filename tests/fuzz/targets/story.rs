//! A session out of bytes: stays, deeds and mishaps in whatever order they come.

use lullboard::reading::{Amps, Elapsed, Measured, Volts};
use lullboard::session::card::{Accuracy, Battery, BatteryKind, Card, Powertrain};
use lullboard::session::entry::{Entry, Fact, FuseDrop, MeterEvent};
use lullboard::session::mark::{Mark, MarkId, parse_mark};

use super::dice::Dice;

/// A story has at most so many readings, so that one input stays within milliseconds.
const READINGS: usize = 6000;

/// The first and last moment that a file can hold (`journal::ms_of`).
const LARGEST_MS: i64 = 1_000_000_000_000_000;

const LEVELS_A: [f64; 12] = [
    0.0, 0.009, 0.018, 0.031, 0.047, 0.052, 0.068, 0.172, 0.39, 1.27, 4.9, -0.02,
];
const STAYS_S: [f64; 7] = [3.0, 15.0, 45.0, 100.0, 240.0, 700.0, 1500.0];
const CELLS: [&str; 18] = [
    "lock",
    "unlock",
    "pull E3",
    "refit E3",
    "pull L8+D2",
    "refit L8",
    "pull D2",
    "unplug amplifier",
    "plug amplifier",
    "swap amplifier",
    "swap E3",
    "note it rains",
    "zero",
    "run E3+L8+D2 every 20s",
    "run",
    "finish",
    "leave out 300s to 500s",
    "leave out 10s to 4000s",
];

/// What happens, told entry by entry.
#[derive(Default)]
pub struct Story {
    t: Elapsed,
    marks: u32,
    readings: usize,
    unrest: u32,
}

impl Story {
    /// The next thing that happens.
    pub fn next(&mut self, dice: &mut Dice<'_>) -> Vec<Entry> {
        let mut entries = Vec::new();
        match dice.byte() % 16 {
            0..=5 => self.stay(dice, &mut entries),
            6 | 7 => self.deed(dice, &mut entries),
            8 => entries.push(self.now(Fact::Strike(MarkId(u32::from(dice.byte() % 8))))),
            9 => entries.push(self.now(Fact::Set(Box::new(card(dice))))),
            10 => {
                self.t = self.t.plus_secs(f64::from(dice.word()));
                entries.extend(mishap(dice).map(|event| self.now(Fact::Meter(event))));
            }
            11 => entries.extend(mishap(dice).map(|event| self.now(Fact::Meter(event)))),
            12 => {
                let volts = Volts::new(i64::from(dice.word()), 3);
                entries.extend(volts.map(|volts| self.now(Fact::Volts(volts))));
            }
            13 => entries.push(self.now(drop(dice))),
            14 => self.odd(dice, &mut entries),
            _ => {
                entries.push(self.now(Fact::Resumed(chrono::DateTime::UNIX_EPOCH.fixed_offset())));
            }
        }
        entries
    }

    /// The moment up to which it is told.
    pub const fn t(&self) -> Elapsed {
        self.t
    }

    fn now(&self, fact: Fact) -> Entry {
        Entry { t: self.t, fact }
    }

    fn read(&mut self, value: Measured, entries: &mut Vec<Entry>) {
        if self.readings < READINGS {
            self.readings += 1;
            entries.push(self.now(Fact::Reading(value)));
        }
    }

    /// Two readings a second about one level, with the unrest of a last place or two.
    fn stay(&mut self, dice: &mut Dice<'_>, entries: &mut Vec<Entry>) {
        let level_a = dice.one_of(&LEVELS_A).unwrap_or_default();
        let how = dice.byte();
        let for_s = dice.one_of(&STAYS_S).unwrap_or_default();
        let steps = (for_s / 0.5).min(4000.0);
        let mut step = 0.0;
        while step < steps {
            self.t = self.t.plus_secs(0.5);
            self.unrest = self
                .unrest
                .wrapping_mul(1_664_525)
                .wrapping_add(1_013_904_223);
            let unrest = f64::from(self.unrest >> 20) / 4096.0 - 0.5;
            // One stay in four falls slowly, one in four swings.
            let a = match how % 4 {
                1 => level_a * (2.0 - step / steps),
                2 if step % 60.0 < 8.0 => level_a + 0.35,
                _ => level_a,
            };
            let value = if how & 128 == 128 && step % 90.0 < 2.0 {
                Measured::Over
            } else {
                Measured::Amps(Amps::rounded(a + 0.0006 * unrest, 4))
            };
            self.read(value, entries);
            step += 1.0;
        }
    }

    fn deed(&mut self, dice: &mut Dice<'_>, entries: &mut Vec<Entry>) {
        let cell = dice.one_of(&CELLS).unwrap_or_default();
        let late = dice.byte();
        self.marks += 1;
        let Ok(mark) = parse_mark(MarkId(self.marks), cell) else {
            return;
        };
        let at = (late > 128).then(|| self.t.plus_secs(-2.0 * f64::from(late - 128)));
        let mark = Mark { at, ..mark };
        self.t = self.t.plus_secs(0.1);
        entries.push(self.now(Fact::Mark(Box::new(mark))));
    }

    /// What no meter says: a reading of long ago or far ahead, or of more than any car has.
    fn odd(&mut self, dice: &mut Dice<'_>, entries: &mut Vec<Entry>) {
        let t = match dice.byte() % 4 {
            0 => self.t.plus_secs(-1000.0),
            1 => self.t.plus_secs(1e7),
            2 => Elapsed::from_ms(-LARGEST_MS),
            _ => self.t,
        };
        let digits = [i64::MAX, i64::MIN + 1, 0, 1, 99_999];
        let digits = dice.one_of(&digits).unwrap_or_default();
        let amps = Amps::new(digits, dice.byte() % 13);
        entries.extend(amps.map(|amps| Entry {
            t,
            fact: Fact::Reading(Measured::Amps(amps)),
        }));
    }
}

fn mishap(dice: &mut Dice<'_>) -> Option<MeterEvent> {
    Some(match dice.byte() % 10 {
        0 => MeterEvent::Lost("gone".into()),
        1 => MeterEvent::Back("ttyUSB0".into()),
        2 => MeterEvent::Range("A".into()),
        3 => MeterEvent::Held(true),
        4 => MeterEvent::Held(false),
        5 => MeterEvent::Ac(true),
        6 => MeterEvent::Ac(false),
        7 => MeterEvent::LowCell,
        8 => MeterEvent::Gap {
            why: "laptop slept".into(),
            for_s: f64::from(dice.word()),
        },
        _ => return None,
    })
}

fn drop(dice: &mut Dice<'_>) -> Fact {
    let what = dice.one_of(&["E3", "L8", "D2", "E99"]).unwrap_or_default();
    Fact::Drop(Box::new(FuseDrop {
        what: what.into(),
        mv: f64::from(dice.word()) / 100.0 - 10.0,
        step_mv: dice.one_of(&[None, Some(0.01), Some(0.1)]).flatten(),
        ohms: dice.one_of(&[None, Some(0.0077)]).flatten(),
        style: dice.one_of(&[None, Some("mini")]).flatten().map(Into::into),
        rating_a: dice
            .one_of(&[None, Some(10.0), Some(7.5), Some(1e9)])
            .flatten(),
    }))
}

/// A card with a figure or two.
pub fn card(dice: &mut Dice<'_>) -> Card {
    let mut card = Card::default();
    match dice.byte() % 9 {
        0 => card.limit_a = dice.one_of(&[0.03, 0.05, 0.2, 2.0]),
        1 => card.sleep_timeout_s = dice.one_of(&[0.0, 60.0, 600.0, 1e5]),
        2 => {
            let percent = f64::from(dice.byte()) / 50.0;
            card.accuracy = Some(Accuracy {
                percent,
                counts: f64::from(dice.byte() % 12),
                amount_a: 0.002,
            });
        }
        3 => card.drift_a_per_h = dice.one_of(&[0.0, 0.005, 1.0]),
        4 => card.asleep_at_start = Some(dice.byte() < 128),
        5 => {
            card.battery = Some(Battery {
                kind: BatteryKind::Agm,
                c20_ah: Some(70.0),
                reserve_min: None,
                cranking: None,
            });
            card.flat_after_s = dice.one_of(&[3600.0, 43_200.0, 4e9, 0.0]);
        }
        6 => card.required_standing_s = dice.one_of(&[0.0, 1_814_400.0, 4e9]),
        7 => card.powertrain = dice.one_of(&Powertrain::ALL),
        _ => card.clamp_mv_per_a = dice.one_of(&[1.0, 100.0, f64::MIN_POSITIVE]),
    }
    card
}
