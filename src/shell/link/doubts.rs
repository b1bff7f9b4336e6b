//! What readings and silence suggest about the meter. Pure: moments in, doubts out. Reads only
//! digits and times; whether the car sleeps is the judge's business.

use crate::reading::{Amps, Elapsed, Measured};
use crate::session::{Doubt, MeterEvent};

/// The same text for this long is worth a question; after each one twice as long, because a car
/// asleep before a coarse meter looks like this. Common practice, no source.
const FROZEN_S: f64 = 600.0;
/// A reading of so many counts is a current and no noise around zero. Common practice, no source.
const REAL_COUNTS: i64 = 5;
/// So many in a row, over so long, are no accident. Common practice, no source.
const IN_A_ROW: u32 = 5;
const IN_A_ROW_S: f64 = 3.0;
/// Meters switch themselves off 15, 30 or about 40 minutes after switch-on (manuals); we came a
/// few minutes after that.
const OFF_AFTER_S: [f64; 3] = [900.0, 1800.0, 2400.0];
const SWITCHED_ON_BEFORE_S: f64 = 180.0;
const OFF_LATE_S: f64 = 60.0;
/// So long a silence is no slow meter.
const OFF_SILENT_S: f64 = 30.0;

/// A jump is more than so many steps of the coarser reading and so much of the larger, because a
/// meter that changes its range reads the same current a little otherwise. Common practice, no
/// source.
const JUMP_COUNTS: f64 = 10.0;
const JUMP_SHARE: f64 = 0.1;
/// A display meter that looks for its range shows no number for a second or two. Common practice,
/// no source.
const RANGING_S: f64 = 3.0;

/// All that is doubted about one connection.
#[derive(Debug, Default)]
pub(super) struct Doubts {
    frozen: Frozen,
    zero: Zero,
    reversed: Reversed,
    unit: UnitChange,
    off: Off,
}

impl Doubts {
    /// The meter gave this.
    pub(super) fn reading(&mut self, t: Elapsed, value: Measured) -> Vec<MeterEvent> {
        let amps = match value {
            Measured::Amps(amps) => Some(amps),
            Measured::Over => None,
        };
        let said = [
            (Doubt::Off, self.off.reading(t)),
            (Doubt::Frozen, self.frozen.reading(t, amps)),
            (Doubt::Zero, self.zero.reading(t, amps)),
            (Doubt::Reversed, self.reversed.reading(t, amps)),
            (Doubt::Unit, self.unit.reading(t, amps)),
        ];
        said.into_iter()
            .filter_map(|(doubt, on)| Some(MeterEvent::Doubt { doubt, on: on? }))
            .collect()
    }

    /// The next reading is in another unit than the last.
    pub(super) const fn unit_changed(&mut self) {
        self.unit.changed = true;
    }

    /// The meter gave nothing until `t`.
    pub(super) fn quiet(&mut self, t: Elapsed) -> Option<MeterEvent> {
        let doubt = Doubt::Off;
        let on = self.off.quiet(t)?;
        Some(MeterEvent::Doubt { doubt, on })
    }

    /// The connection is another one now: what was seen over the old one does not go on.
    pub(super) fn reconnected(&mut self) {
        let (reversed, unit) = (self.reversed.question, self.unit.question);
        *self = Self::default();
        self.reversed.question = reversed;
        self.unit.question = unit;
    }
}

/// A question, asked once until it is taken back.
#[derive(Clone, Copy, Debug, Default)]
struct AskedOnce {
    asked: bool,
}

impl AskedOnce {
    /// Asks when there is reason to, and it was not asked yet.
    fn ask(&mut self, reason: bool) -> Option<bool> {
        let ask = reason && !self.asked;
        self.asked |= ask;
        ask.then_some(true)
    }

    /// There is nothing to ask any more.
    fn take_back(&mut self) -> Option<bool> {
        std::mem::take(&mut self.asked).then_some(false)
    }
}

/// Counts what comes in a row.
#[derive(Debug, Default)]
struct Streak {
    since: Option<Elapsed>,
    count: u32,
}

impl Streak {
    /// One more; whether they are enough.
    fn one_more(&mut self, t: Elapsed) -> bool {
        self.count = self.count.saturating_add(1);
        let since = *self.since.get_or_insert(t);
        self.count >= IN_A_ROW && t.secs_since(since) >= IN_A_ROW_S
    }
}

#[derive(Debug, Default)]
struct Frozen {
    shown: Option<(Amps, Elapsed)>,
    varied: bool,
    question: AskedOnce,
    /// How often it has been asked: patience doubles with each.
    times: i32,
}

impl Frozen {
    fn reading(&mut self, t: Elapsed, amps: Option<Amps>) -> Option<bool> {
        if let (Some(amps), Some((shown, since))) = (amps, self.shown)
            && amps == shown
        {
            let long = t.secs_since(since) >= FROZEN_S * 2f64.powi(self.times);
            // Zero is asked about in another way.
            let reason = long && self.varied && amps.digits() != 0;
            let asked = self.question.ask(reason);
            self.times = self.times.saturating_add(i32::from(asked.is_some()));
            return asked;
        }
        self.varied |= self.shown.is_some();
        self.shown = amps.map(|amps| (amps, t));
        self.question.take_back()
    }
}

#[derive(Debug, Default)]
struct Zero {
    after_real: bool,
    row: Streak,
    question: AskedOnce,
}

impl Zero {
    fn reading(&mut self, t: Elapsed, amps: Option<Amps>) -> Option<bool> {
        if amps.is_some_and(|amps| amps.digits() == 0) {
            let enough = self.row.one_more(t) && self.after_real;
            return self.question.ask(enough);
        }
        // Over-range was a surge: what follows it follows a real current.
        self.after_real = amps.is_none_or(|amps| amps.digits().abs() >= REAL_COUNTS);
        self.row = Streak::default();
        self.question.take_back()
    }
}

#[derive(Debug, Default)]
struct Reversed {
    row: Streak,
    question: AskedOnce,
}

impl Reversed {
    fn reading(&mut self, t: Elapsed, amps: Option<Amps>) -> Option<bool> {
        if amps.is_none_or(|amps| amps.digits() > -REAL_COUNTS) {
            self.row = Streak::default();
            return None;
        }
        let enough = self.row.one_more(t);
        self.question.ask(enough)
    }
}

#[derive(Debug, Default)]
struct UnitChange {
    last: Option<(Amps, Elapsed)>,
    /// Since the last number.
    changed: bool,
    question: AskedOnce,
}

impl UnitChange {
    fn reading(&mut self, t: Elapsed, amps: Option<Amps>) -> Option<bool> {
        // Over-range stands between the two while the meter looks for its range.
        let amps = amps?;
        let last = self.last.replace((amps, t));
        let changed = std::mem::take(&mut self.changed);
        let (before, at) = last?;
        self.question
            .ask(changed && t.secs_since(at) <= RANGING_S && is_jump(before, amps))
    }
}

fn is_jump(before: Amps, after: Amps) -> bool {
    let step_a = before.resolution_a().max(after.resolution_a());
    let (before_a, after_a) = (before.value_a(), after.value_a());
    let larger_a = before_a.abs().max(after_a.abs());
    (after_a - before_a).abs() > JUMP_COUNTS * step_a + JUMP_SHARE * larger_a
}

#[derive(Debug, Default)]
struct Off {
    /// The first and the last reading without a long silence between them.
    run: Option<(Elapsed, Elapsed)>,
    question: AskedOnce,
}

impl Off {
    fn reading(&mut self, t: Elapsed) -> Option<bool> {
        let first = match self.run {
            Some((first, last)) if t.secs_since(last) < OFF_SILENT_S => first,
            Some(_) | None => t,
        };
        self.run = Some((first, t));
        self.question.take_back()
    }

    fn quiet(&mut self, t: Elapsed) -> Option<bool> {
        let (first, last) = self.run?;
        let ran_s = last.secs_since(first);
        let then = OFF_AFTER_S.iter().any(|after_s| {
            (after_s - SWITCHED_ON_BEFORE_S..=after_s + OFF_LATE_S).contains(&ran_s)
        });
        self.question
            .ask(then && t.secs_since(last) >= OFF_SILENT_S)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(t_s: f64) -> Elapsed {
        Elapsed::from_secs(t_s)
    }

    fn amps(text: &str) -> Measured {
        Measured::Amps(Amps::parse(text).unwrap())
    }

    fn on(doubt: Doubt) -> MeterEvent {
        MeterEvent::Doubt { doubt, on: true }
    }

    fn gone(doubt: Doubt) -> MeterEvent {
        MeterEvent::Doubt { doubt, on: false }
    }

    /// Two readings a second of the same, from `from_s` for `for_s`; what was doubted, and when.
    fn hold(doubts: &mut Doubts, text: &str, from_s: u32, for_s: u32) -> Vec<(f64, MeterEvent)> {
        let mut said = Vec::new();
        for half in 0..for_s * 2 {
            let t_s = f64::from(from_s) + f64::from(half) / 2.0;
            let told = doubts.reading(at(t_s), amps(text));
            said.extend(told.into_iter().map(|event| (t_s, event)));
        }
        said
    }

    #[test]
    fn a_reading_that_varied_and_then_stands_is_asked_about() {
        let mut doubts = Doubts::default();
        assert_eq!(hold(&mut doubts, "0.0590", 0, 3600), [], "it never varied");
        hold(&mut doubts, "0.0521", 3600, 1);
        let said = hold(&mut doubts, "0.0519", 3601, 1200);
        assert_eq!(
            said,
            [(4201.0, on(Doubt::Frozen))],
            "once, after ten minutes"
        );
        assert_eq!(
            doubts.reading(at(4801.0), amps("0.0590")),
            [gone(Doubt::Frozen)]
        );
        let said = hold(&mut doubts, "0.0519", 4802, 1201);
        assert_eq!(said, [(6002.0, on(Doubt::Frozen))], "then after twenty");
    }

    /// Stream `st-zero-after`: a step to an exact, noiseless zero.
    #[test]
    fn an_exact_zero_after_a_real_current_asks_for_the_fuse() {
        let mut doubts = Doubts::default();
        doubts.reading(at(0.0), amps("0.01234"));
        let said = hold(&mut doubts, "0.00000", 1, 60);
        assert_eq!(said, [(4.0, on(Doubt::Zero))]);
        assert_eq!(
            doubts.reading(at(70.0), amps("0.00001")),
            [gone(Doubt::Zero)]
        );
        assert_eq!(
            hold(&mut doubts, "0.00000", 71, 60),
            [],
            "one count was no current"
        );
        doubts.reading(at(140.0), Measured::Over);
        assert_eq!(
            hold(&mut doubts, "0.00", 141, 60),
            [(144.0, on(Doubt::Zero))],
            "a surge"
        );
    }

    #[test]
    fn a_negative_current_is_asked_about_once() {
        let mut doubts = Doubts::default();
        assert_eq!(hold(&mut doubts, "-0.004", 0, 60), [], "noise around zero");
        assert_eq!(
            hold(&mut doubts, "-0.050", 60, 60),
            [(63.0, on(Doubt::Reversed))]
        );
        hold(&mut doubts, "0.050", 120, 60);
        assert_eq!(hold(&mut doubts, "-0.051", 180, 60), []);
        doubts.reconnected();
        assert_eq!(hold(&mut doubts, "-0.052", 300, 60), []);
    }

    #[test]
    fn a_jump_with_the_unit_is_asked_about_once() {
        let asked = |doubts: &mut Doubts, from_s: f64, before: &str, after: &[Measured]| {
            doubts.reading(at(from_s), amps(before));
            doubts.unit_changed();
            let told = after
                .iter()
                .flat_map(|value| doubts.reading(at(from_s + 0.5), *value));
            told.collect::<Vec<_>>().contains(&on(Doubt::Unit))
        };
        let mut doubts = Doubts::default();
        let (mut same, mut late) = (Doubts::default(), Doubts::default());
        assert!(
            !asked(&mut same, 0.0, "0.01999", &[amps("0.021")]),
            "a range"
        );
        late.reading(at(0.0), amps("0.01999"));
        late.unit_changed();
        assert_eq!(late.reading(at(10.0), amps("1.947")), [], "long after");
        assert!(asked(
            &mut doubts,
            0.0,
            "0.01999",
            &[Measured::Over, amps("1.947")]
        ));
        assert!(
            !asked(&mut doubts, 9.0, "0.01999", &[amps("1.947")]),
            "once"
        );
        doubts.reconnected();
        assert!(!asked(&mut doubts, 19.0, "0.01999", &[amps("1.947")]));
        let mut steady = Doubts::default();
        steady.reading(at(0.0), amps("0.01999"));
        assert_eq!(steady.reading(at(0.5), amps("1.947")), [], "the same unit");
    }

    #[test]
    fn silence_when_meters_switch_off_is_suspicious() {
        for (ran_s, suspicious) in [
            (60, false),
            (600, false),
            (850, true),
            (1200, false),
            (1790, true),
        ] {
            let mut doubts = Doubts::default();
            hold(&mut doubts, "0.052", 0, ran_s);
            let ended_s = f64::from(ran_s);
            assert_eq!(doubts.quiet(at(ended_s + 10.0)), None, "{ran_s}: too soon");
            let said = doubts.quiet(at(ended_s + 31.0));
            assert_eq!(said, suspicious.then_some(on(Doubt::Off)), "{ran_s}");
            assert_eq!(doubts.quiet(at(ended_s + 32.0)), None, "once");
            let told = doubts.reading(at(ended_s + 90.0), amps("0.053"));
            assert_eq!(told.contains(&gone(Doubt::Off)), suspicious, "{ran_s}");
        }
    }
}
