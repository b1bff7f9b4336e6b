//! Readings typed from a display: when the next one is due, when the bell asks for it, and what a
//! number without a unit means.

use super::{Bell, Effect, Model, Prompt};
use crate::judge::Judgement;
use crate::judge::finding::Phase;
use crate::reading::{Amps, Elapsed, Measured, quantity};
use crate::session::{Did, Mark, Placed, Session};

/// Beyond any handheld meter's jack: a larger number is milliampere typed without its unit.
pub(super) const JACK_MAX_A: f64 = 25.0;

/// A number that has changed more than so many times may be in another unit than the last one.
/// Common practice, no source.
const OTHER_UNIT_TIMES: f64 = 10.0;

/// What is waited for while nobody types.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum PaceFor {
    /// What the car draws at all.
    First,
    /// What a deed did at once.
    FirstLook,
    /// What a deed did in the minutes after it.
    AfterDeed,
    /// The car coming down, or a wake that may end by itself.
    Falling,
    /// The end of a flat stretch or of the time-out.
    Flat,
    /// A time-out that still runs for long.
    LongWait,
    /// A car at rest that may wake.
    Rest,
    /// The same for hours.
    LongRest,
}

/// The pace of typed readings, in seconds: what is waited for, and after how long the display is
/// read again. The only table of it; all of it common practice, no source.
const PACE_S: [(PaceFor, f64); 8] = [
    (PaceFor::First, 0.0),
    (PaceFor::FirstLook, 10.0),
    (PaceFor::AfterDeed, 60.0),
    (PaceFor::Falling, 60.0),
    (PaceFor::Flat, 120.0),
    (PaceFor::LongWait, 300.0),
    (PaceFor::Rest, 300.0),
    (PaceFor::LongRest, 600.0),
];

/// How long after a deed its minutes last, from when on a wait is long, and a rest; and how long
/// after the time-out has run a reading shows it. In seconds, common practice, no source.
const AFTER_DEED_S: f64 = 300.0;
const LONG_WAIT_S: f64 = 600.0;
const LONG_REST_S: f64 = 3600.0;
const PAST_TIMEOUT_S: f64 = 5.0;

/// The bell asks so often, so far apart in seconds, and then leaves it: nobody is there. Common
/// practice, no source.
const CALLS: u8 = 3;
const CALL_EVERY_S: f64 = 60.0;

/// When the next reading is due: the one place where that is decided.
fn due(session: &Session, judgement: &Judgement) -> Elapsed {
    let Some((last, _)) = session.last_reading() else {
        return after(Elapsed::ZERO, PaceFor::First);
    };
    let deed = session.marks().rev().find(|placed| is_deed(placed));
    let deed = deed.map(Placed::at);
    if let Some(deed) = deed.filter(|deed| *deed >= last) {
        return after(deed, PaceFor::FirstLook);
    }
    let now = &judgement.now;
    let timeout = now.timeout_at.filter(|at| *at > last);
    let left_s = timeout.map_or(0.0, |at| at.secs_since(last));
    let is_fresh = deed.is_some_and(|deed| last.secs_since(deed) < AFTER_DEED_S);
    let awaited = match now.phase {
        _ if is_fresh => PaceFor::AfterDeed,
        Phase::Falling | Phase::Stirring | Phase::Blind => PaceFor::Falling,
        Phase::Awake | Phase::Plateau if left_s > LONG_WAIT_S => PaceFor::LongWait,
        Phase::Awake | Phase::Plateau => PaceFor::Flat,
        Phase::Settled if last.secs_since(now.since) < LONG_REST_S => PaceFor::Rest,
        Phase::Settled => PaceFor::LongRest,
    };
    let due = after(last, awaited);
    timeout.map_or(due, |at| due.min(at.plus_secs(PAST_TIMEOUT_S)))
}

fn after(from: Elapsed, awaited: PaceFor) -> Elapsed {
    let pace = PACE_S.iter().find(|row| row.0 == awaited);
    from.plus_secs(pace.map_or(0.0, |row| row.1))
}

/// Something after which the current is another: whatever was done to the car or a part of it.
fn is_deed(placed: &Placed) -> bool {
    placed.mark.did.is_tried() || placed.mark.did.stirs()
}

/// The mark that takes a reading typed at `t` back: it stays in the record, and is no evidence.
pub(super) fn left_out(t: Elapsed) -> Mark {
    let from = Elapsed::from_secs(t.secs().floor());
    Mark {
        from: Some(from),
        to: Some(from.plus_secs(1.0)),
        ..Mark::new(Did::LeaveOut)
    }
}

/// How the last number was typed, for those that follow without a unit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Unit {
    /// The power of ten of the unit that was typed last; `None` before the first.
    pub exponent: Option<i32>,
    /// The newest reading, in ampere.
    pub last_a: Option<f64>,
}

impl Unit {
    /// What a bare number is in: the unit of the last one; before that, and where no jack carries
    /// so much, the one that it can be.
    pub(super) fn of_bare(self, number: f64) -> i32 {
        match self.exponent {
            None | Some(0) if number.abs() > JACK_MAX_A => -3,
            None => 0,
            Some(exponent) => exponent,
        }
    }

    /// Whether a bare number came out so far from the last reading that its unit may be another.
    pub(super) fn is_doubted(self, read: Amps) -> bool {
        let (Some(last_a), a) = (self.last_a, read.value_a().abs()) else {
            return false;
        };
        let last_a = last_a.abs();
        last_a > 0.0 && a > 0.0 && (a / last_a).max(last_a / a) > OTHER_UNIT_TIMES
    }
}

/// What was typed: a reading, and the power of ten that its unit stood for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Typed {
    /// The reading.
    pub value: Measured,
    /// The unit; `None` beyond the range.
    pub exponent: Option<i32>,
    /// Whether no unit was typed.
    pub is_bare: bool,
}

/// How often the bell has asked since the moment from which the next reading is counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Called {
    due: Elapsed,
    times: u8,
}

impl Model {
    /// When the next reading is to be typed; `None` where nobody types.
    pub fn reading_due(&self) -> Option<Elapsed> {
        let is_open = self.judgement.by_hand.finished.is_none();
        let typed = self.manual && self.options.live && !self.options.read_only && is_open;
        typed.then(|| due(&self.session, &self.judgement))
    }

    /// The reading that was typed after the last mark, and in words; `None` where nobody types.
    pub(super) fn typed_last(&self) -> Option<(Elapsed, String)> {
        let (t, value) = self.session.last_reading().filter(|_| self.manual)?;
        let is_newest = self.session.last_noted().is_none_or(|last| last.noted < t);
        let shown = match value {
            Measured::Amps(amps) => quantity::current(amps.value_a()),
            Measured::Over => "OL".into(),
        };
        is_newest.then(|| (t, format!("the reading {shown} of {}", quantity::clock(t))))
    }

    /// How a bare number is to be read now.
    pub(super) fn unit(&self) -> Unit {
        let last_a = match self.session.last_reading() {
            Some((_, Measured::Amps(amps))) => Some(amps.value_a()),
            Some((_, Measured::Over)) | None => None,
        };
        Unit {
            exponent: self.typed_exponent,
            last_a,
        }
    }

    /// Asks for a reading that is due, unless it is being typed or was never begun.
    pub(super) fn call_reading(&mut self, effects: &mut Vec<Effect>) {
        let is_typed = self.prompt.as_ref().is_some_and(Prompt::is_reading);
        let Some(due) = self
            .reading_due()
            .filter(|_| !is_typed && self.session.readings() > 0)
        else {
            return;
        };
        if self.called.due != due {
            self.called = Called { due, times: 0 };
        }
        let next = due.plus_secs(CALL_EVERY_S * f64::from(self.called.times));
        if self.now >= next && self.called.times < CALLS {
            self.called.times += 1;
            effects.extend(self.sound(Bell::ReadingDue));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::judge::judgement::Judgement;
    use crate::reading::Reading;
    use crate::session::mark::{MarkId, parse_mark};
    use crate::session::{Entry, Fact};

    fn at(secs: f64) -> Elapsed {
        Elapsed::from_secs(secs)
    }

    /// Seconds from the last of these until the next reading is due.
    fn pace_s(read_s: &[f64], mark: Option<(f64, &str)>, change: impl Fn(&mut Judgement)) -> f64 {
        let mut session = Session::new(header::unknown());
        let amps = Measured::Amps(Amps::parse("0.043").unwrap());
        let readings = read_s.iter().map(|t_s| (*t_s, Fact::Reading(amps)));
        let marks = mark.map(|(t_s, text)| {
            (
                t_s,
                Fact::Mark(Box::new(parse_mark(MarkId(1), text).unwrap())),
            )
        });
        let mut facts: Vec<(f64, Fact)> = readings.chain(marks).collect();
        facts.sort_by(|one, other| one.0.total_cmp(&other.0));
        let last_s = facts.last().map_or(0.0, |fact| fact.0);
        for (t_s, fact) in facts {
            session.apply(&Entry { t: at(t_s), fact });
        }
        let mut judgement = Judgement::nothing_yet(&session);
        change(&mut judgement);
        due(&session, &judgement).secs() - last_s
    }

    #[test]
    fn the_pace_is_close_after_a_deed_and_rare_in_a_long_wait() {
        let phase = |phase| move |judgement: &mut Judgement| judgement.now.phase = phase;
        let waits_s = |left_s: f64| {
            move |judgement: &mut Judgement| {
                judgement.now.phase = Phase::Plateau;
                judgement.now.timeout_at = Some(at(2000.0 + left_s));
            }
        };
        let pulled = Some((1990.0, "pull E3"));
        for (said, read_s, mark, expected) in [
            ("nothing typed", &[][..], None, 0.0),
            ("a pull not looked at", &[1900.0], pulled, 10.0),
            ("a minute after it", &[2050.0], pulled, 60.0),
        ] {
            let found = pace_s(read_s, mark, phase(Phase::Settled));
            assert!((found - expected).abs() < 1e-6, "{said}: {found}");
        }
        let read = [2000.0];
        let is = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-6, "{found}");
        is(pace_s(&read, None, phase(Phase::Falling)), 60.0);
        is(pace_s(&read, None, waits_s(1800.0)), 300.0);
        is(pace_s(&read, None, waits_s(60.0)), 65.0);
        is(pace_s(&read, None, waits_s(-5.0)), 120.0);
        is(
            pace_s(&read, None, |judgement| {
                judgement.now.phase = Phase::Settled;
                judgement.now.since = at(1000.0);
            }),
            300.0,
        );
        is(pace_s(&[9000.0], None, phase(Phase::Settled)), 600.0);
        // A note is nothing that the current answers to.
        let note = Some((2000.0, "note lunch"));
        is(pace_s(&[1990.0], note, phase(Phase::Falling)), 50.0);
    }

    #[test]
    fn a_reading_typed_at_this_pace_is_never_a_gap() {
        let mut session = Session::new(header::unknown());
        let mut header = session.header().clone();
        header.meter.uri = "manual:".into();
        session = Session::new(header);
        let mut t = Elapsed::ZERO;
        let longest_s = PACE_S.iter().map(|row| row.1).fold(0.0, f64::max);
        for span_s in [
            10.0,
            60.0,
            60.0,
            longest_s,
            longest_s,
            60.0,
            2.0 * longest_s,
        ] {
            t = t.plus_secs(span_s);
            let value = Measured::Amps(Amps::parse("0.043").unwrap());
            session.apply(&Entry::reading(Reading { t, value }));
        }
        assert!(session.signal().gaps().is_empty());
    }

    #[test]
    fn a_bare_number_is_in_the_unit_of_the_last_one() {
        let unit = |exponent, last_a| Unit { exponent, last_a };
        assert_eq!(unit(None, None).of_bare(43.0), -3);
        assert_eq!(unit(None, None).of_bare(0.043), 0);
        assert_eq!(unit(Some(0), None).of_bare(43.0), -3);
        assert_eq!(unit(Some(-3), None).of_bare(1.2), -3);
        let read = Amps::parse("0.0012").unwrap();
        assert!(unit(Some(-3), Some(0.043)).is_doubted(read));
        assert!(!unit(Some(-3), Some(0.009)).is_doubted(read));
        assert!(!unit(None, None).is_doubted(read));
    }
}
