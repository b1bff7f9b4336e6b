//! Judges a connection by what comes over it: receiving, silent, unreadable; and turns what the
//! decoder heard into entries. Pure: times come in from outside.

use super::doubts::Doubts;
use super::puzzle::Puzzle;
use super::refused::Refused;
use super::rhythm::Rhythm;
use crate::desk::LinkState;
use crate::meter::{Heard, Unit, Unusable};
use crate::reading::{Elapsed, Reading};
use crate::session::{Entry, Fact, MeterEvent};

/// So long nothing but another quantity: the knob stands wrong. A monitor's volts between its
/// amperes do not.
const OTHER_S: f64 = 3.0;

/// Something to pass on.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum News {
    Entry(Entry),
    State(LinkState),
    /// So many messages were not understood since the session began.
    NotUnderstood(u64),
}

/// What is known of the connection.
#[derive(Debug, Default)]
pub(super) struct LinkWatch {
    place: String,
    state: Option<LinkState>,
    last_bytes: Elapsed,
    last_reading: Option<Elapsed>,
    rhythm: Rhythm,
    puzzle: Option<Puzzle>,
    refused: Refused,
    other_since: Option<Elapsed>,
    held: bool,
    wrong_mode: bool,
    low_cell: bool,
    doubts: Doubts,
    auto_off: AutoOff,
}

/// Whether the meter will switch itself off.
#[derive(Debug, Default)]
struct AutoOff {
    told: bool,
    /// The message that is being told shows it.
    shown: bool,
}

impl LinkWatch {
    /// A connection to `place`, opened at `t`.
    pub(super) fn new(place: String, t: Elapsed) -> Self {
        Self {
            place,
            last_bytes: t,
            ..Self::default()
        }
    }

    pub(super) fn is_receiving(&self) -> bool {
        matches!(self.state, Some(LinkState::Receiving(_)))
    }

    /// Bytes came at `t`, and the talker made `heard` of them; or none came, and that is what the
    /// talker made of the silence.
    pub(super) fn heard(
        &mut self,
        t: Elapsed,
        bytes: &[u8],
        heard: &mut Vec<Heard>,
        mend: &str,
    ) -> Vec<News> {
        let mut told = Vec::new();
        if !bytes.is_empty() {
            self.last_bytes = t;
            self.puzzle
                .get_or_insert_with(|| Puzzle::new(t))
                .more(bytes.len());
        }
        for heard in heard.drain(..) {
            self.one(t, heard, &mut told);
        }
        if bytes.is_empty() {
            return told;
        }
        if !matches!(self.state, Some(LinkState::Unreadable(_)))
            && let Some(puzzle) = &self.puzzle
            && let Some(words) = puzzle.in_words(t, bytes, mend)
        {
            told.extend(self.turn(LinkState::Unreadable(words)));
        }
        told.extend(self.refused.due(t).map(News::NotUnderstood));
        told
    }

    fn one(&mut self, t: Elapsed, heard: Heard, told: &mut Vec<News>) {
        self.auto_off.shown |= heard == Heard::AutoPowerOff;
        if matches!(heard, Heard::Value(_) | Heard::Unusable(_)) {
            let on = std::mem::take(&mut self.auto_off.shown);
            flip(&mut self.auto_off.told, on, t, told, MeterEvent::AutoOff);
        }
        match heard {
            Heard::Value(value) => {
                self.made_sense(told);
                self.other_since = None;
                if let Some(before) = self.last_reading.replace(t) {
                    self.rhythm.note(t.secs_since(before));
                }
                flip(&mut self.held, false, t, told, MeterEvent::Held);
                flip(&mut self.wrong_mode, false, t, told, MeterEvent::Ac);
                told.push(News::Entry(Entry::reading(Reading { t, value })));
                let doubts = self.doubts.reading(t, value);
                told.extend(doubts.into_iter().map(|doubt| event(t, doubt)));
            }
            Heard::Unusable(Unusable::Held | Unusable::Relative) => {
                self.made_sense(told);
                flip(&mut self.held, true, t, told, MeterEvent::Held);
            }
            Heard::Unusable(Unusable::Ac) => {
                self.made_sense(told);
                flip(&mut self.wrong_mode, true, t, told, MeterEvent::Ac);
            }
            // Volts that no clamp or shunt turned into a current.
            Heard::Unusable(Unusable::OtherQuantity) | Heard::Voltage(_) => {
                self.made_sense(told);
                let since = *self.other_since.get_or_insert(t);
                if t.secs_since(since) >= OTHER_S {
                    flip(&mut self.wrong_mode, true, t, told, MeterEvent::Ac);
                }
            }
            Heard::Unusable(Unusable::NoReading) | Heard::AutoPowerOff => {}
            Heard::Rejected(sample) => {
                self.refused.one();
                if let Some(puzzle) = &mut self.puzzle {
                    puzzle.rejected(sample, None);
                }
            }
            Heard::Unsure { bytes, why } => {
                if let Some(puzzle) = &mut self.puzzle {
                    puzzle.rejected(bytes, Some(why));
                }
            }
            Heard::Trouble(what) => {
                self.puzzle = None;
                told.extend(self.turn(LinkState::Waiting(what)));
            }
            Heard::Range(to) => {
                // A bench meter names its range here, a handheld its unit.
                if to.parse::<Unit>().is_ok() {
                    self.doubts.unit_changed();
                }
                told.push(event(t, MeterEvent::Range(to)));
            }
            Heard::LowCell => flip(&mut self.low_cell, true, t, told, |_| MeterEvent::LowCell),
        }
    }

    /// Nothing came; the time is `t`.
    pub(super) fn quiet(&mut self, t: Elapsed) -> Vec<News> {
        let mut told = Vec::new();
        // Why nothing comes is known already, and worth more than that nothing comes.
        let explained = matches!(self.state, Some(LinkState::Waiting(_)));
        if !explained && t.secs_since(self.last_bytes) >= self.rhythm.silence_s() {
            self.puzzle = None;
            told.extend(self.turn(LinkState::Silent));
        }
        told.extend(self.doubts.quiet(t).map(|doubt| event(t, doubt)));
        told.extend(self.refused.due(t).map(News::NotUnderstood));
        told
    }

    /// What was not told yet: the link is about to end.
    pub(super) fn last_words(&mut self) -> Option<News> {
        self.refused.rest().map(News::NotUnderstood)
    }

    /// The connection went away.
    pub(super) fn lost(&mut self, t: Elapsed, why: String) -> Vec<News> {
        let lost = event(t, MeterEvent::Lost(why.clone()));
        let state = self.turn(LinkState::Lost(why));
        std::iter::once(lost).chain(state).collect()
    }

    /// It was found again at `place`.
    pub(super) fn back(&mut self, t: Elapsed, place: String) -> Vec<News> {
        self.last_bytes = t;
        self.last_reading = None;
        self.doubts.reconnected();
        self.refused.reconnected();
        self.puzzle = None;
        self.other_since = None;
        self.place.clone_from(&place);
        let back = event(t, MeterEvent::Back(place.clone()));
        let state = self.turn(LinkState::Receiving(place));
        std::iter::once(back).chain(state).collect()
    }

    fn made_sense(&mut self, told: &mut Vec<News>) {
        self.puzzle = None;
        self.refused.made_sense();
        told.extend(self.turn(LinkState::Receiving(self.place.clone())));
    }

    /// The connection is in this state now; told when it was not before.
    pub(super) fn turn(&mut self, state: LinkState) -> Option<News> {
        if self.state.as_ref() == Some(&state) {
            return None;
        }
        self.state = Some(state.clone());
        Some(News::State(state))
    }
}

/// Tells that something is so now, or no longer, where it was not told before.
fn flip(was: &mut bool, on: bool, t: Elapsed, told: &mut Vec<News>, say: fn(bool) -> MeterEvent) {
    if std::mem::replace(was, on) != on {
        told.push(event(t, say(on)));
    }
}

fn event(t: Elapsed, event: MeterEvent) -> News {
    News::Entry(Entry {
        t,
        fact: Fact::Meter(event),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::{Amps, Measured};
    use crate::session::doubt::Doubt;

    fn at(t_s: f64) -> Elapsed {
        Elapsed::from_secs(t_s)
    }

    fn watch() -> LinkWatch {
        LinkWatch::new("port".into(), at(0.0))
    }

    fn value() -> Heard {
        Heard::Value(Measured::Amps(Amps::parse("0.012").unwrap()))
    }

    fn hear(watch: &mut LinkWatch, t_s: f64, heard: Heard) -> Vec<News> {
        watch.heard(at(t_s), &[b'x'; 16], &mut vec![heard], "mend")
    }

    fn receiving() -> News {
        News::State(LinkState::Receiving("port".into()))
    }

    fn read_at(t_s: f64) -> News {
        let value = Measured::Amps(Amps::parse("0.012").unwrap());
        News::Entry(Entry::reading(Reading { t: at(t_s), value }))
    }

    #[test]
    fn the_state_is_told_once_and_every_reading_passes() {
        let mut watch = watch();
        assert_eq!(hear(&mut watch, 0.1, value()), [receiving(), read_at(0.1)]);
        assert_eq!(hear(&mut watch, 0.2, value()), [read_at(0.2)]);
    }

    #[test]
    fn silence_is_told_after_three_seconds_or_three_periods() {
        let mut fast = watch();
        hear(&mut fast, 0.1, value());
        assert_eq!(fast.quiet(at(3.0)), []);
        assert_eq!(fast.quiet(at(3.1)), [News::State(LinkState::Silent)]);
        assert_eq!(fast.quiet(at(3.3)), [], "once");
        assert_eq!(hear(&mut fast, 9.0, value()), [receiving(), read_at(9.0)]);

        let mut slow = watch();
        for n in 0..6 {
            hear(&mut slow, 5.0 * f64::from(n), value());
        }
        assert_eq!(slow.quiet(at(39.0)), []);
        assert_eq!(slow.quiet(at(40.0)), [News::State(LinkState::Silent)]);
    }

    #[test]
    fn hold_is_journalled_when_it_begins_and_when_it_ends() {
        let mut watch = watch();
        hear(&mut watch, 0.1, value());
        let held = Heard::Unusable(Unusable::Held);
        let on = event(at(0.2), MeterEvent::Held(true));
        assert_eq!(hear(&mut watch, 0.2, held.clone()), [on]);
        assert_eq!(hear(&mut watch, 0.3, held), []);
        let off = event(at(0.4), MeterEvent::Held(false));
        assert_eq!(hear(&mut watch, 0.4, value()), [off, read_at(0.4)]);
    }

    #[test]
    fn volts_between_amperes_are_no_fault_but_volts_alone_are() {
        let volts = || Heard::Unusable(Unusable::OtherQuantity);
        let mut watch = watch();
        for n in 0..40 {
            let t_s = f64::from(n) * 0.5;
            let told = watch.heard(at(t_s), b"xx", &mut vec![volts(), value()], "mend");
            assert!(told.contains(&read_at(t_s)));
            assert!(!told.contains(&event(at(t_s), MeterEvent::Ac(true))));
        }
        assert_eq!(hear(&mut watch, 30.0, volts()), []);
        let wrong = event(at(33.0), MeterEvent::Ac(true));
        assert_eq!(hear(&mut watch, 33.0, volts()), [wrong]);
        let right = event(at(34.0), MeterEvent::Ac(false));
        assert_eq!(hear(&mut watch, 34.0, value()), [right, read_at(34.0)]);
    }

    #[test]
    fn what_the_meter_waits_for_is_told_once_and_outlives_the_silence() {
        let mut watch = watch();
        let trouble = || Heard::Trouble("turn the knob".into());
        let waiting = News::State(LinkState::Waiting("turn the knob".into()));
        assert_eq!(hear(&mut watch, 0.1, trouble()), [waiting]);
        assert_eq!(watch.quiet(at(60.0)), []);
        for n in 0..20 {
            assert_eq!(hear(&mut watch, 60.0 + f64::from(n), trouble()), []);
        }
        assert_eq!(
            hear(&mut watch, 90.0, value()),
            [receiving(), read_at(90.0)]
        );
    }

    #[test]
    fn what_silence_means_to_the_talker_is_no_sign_of_life() {
        let mut watch = watch();
        hear(&mut watch, 0.1, value());
        for n in 1..=6 {
            let t = at(0.1 + 0.5 * f64::from(n));
            let heard = &mut vec![Heard::Unusable(Unusable::NoReading)];
            assert_eq!(watch.heard(t, &[], heard, "mend"), []);
        }
        assert_eq!(watch.quiet(at(3.1)), [News::State(LinkState::Silent)]);
    }

    #[test]
    fn noise_is_called_unreadable_with_its_bytes_and_the_mend() {
        let mut watch = watch();
        let noise = || Heard::Rejected(vec![0xf8, 0x80]);
        for n in 0..3 {
            assert_eq!(hear(&mut watch, f64::from(n) * 0.1, noise()), []);
        }
        let told = hear(&mut watch, 0.4, noise());
        let words = LinkState::Unreadable("F8 80 is no reading: mend".into());
        assert_eq!(told, [News::State(words)]);
        assert_eq!(hear(&mut watch, 0.5, noise()), [], "once");
        assert_eq!(hear(&mut watch, 0.6, value()), [receiving(), read_at(0.6)]);
    }

    #[test]
    fn a_message_of_unsure_meaning_is_shown_with_what_is_not_known() {
        let mut watch = watch();
        let unsure = || Heard::Unsure {
            bytes: vec![0x30, 0x0d],
            why: "no point",
        };
        let mut told = Vec::new();
        for n in 0..5 {
            told.extend(hear(&mut watch, f64::from(n) * 0.1, unsure()));
        }
        let words = LinkState::Unreadable("30 0D is refused: no point".into());
        assert_eq!(told, [News::State(words)]);
    }

    #[test]
    fn auto_power_off_is_journalled_when_it_is_seen_and_when_it_is_gone() {
        let mut watch = watch();
        let with = |watch: &mut LinkWatch, t_s: f64| {
            watch.heard(at(t_s), b"x", &mut vec![Heard::AutoPowerOff, value()], "")
        };
        let on = event(at(0.1), MeterEvent::AutoOff(true));
        assert_eq!(with(&mut watch, 0.1), [on, receiving(), read_at(0.1)]);
        assert_eq!(with(&mut watch, 0.2), [read_at(0.2)]);
        let off = event(at(0.3), MeterEvent::AutoOff(false));
        assert_eq!(hear(&mut watch, 0.3, value()), [off, read_at(0.3)]);
    }

    #[test]
    fn bad_lines_among_good_ones_change_the_count_and_not_the_state() {
        let mut watch = watch();
        hear(&mut watch, 0.0, value());
        let mut told = Vec::new();
        for n in 1..100 {
            let t_s = f64::from(n) * 0.1;
            told.extend(hear(&mut watch, t_s, Heard::Rejected(b"12.".to_vec())));
            assert_eq!(hear(&mut watch, t_s + 0.05, value()), [read_at(t_s + 0.05)]);
        }
        assert_eq!(told, [News::NotUnderstood(1), News::NotUnderstood(51)]);
    }

    /// Section on faults of the issue: one bad message is dropped, counted, and no more.
    #[test]
    fn bad_messages_among_good_ones_are_counted_and_told_now_and_again() {
        let mut watch = watch();
        let bad = || Heard::Rejected(vec![0xf8]);
        assert_eq!(hear(&mut watch, 0.0, bad()), [], "joined in mid-message");
        hear(&mut watch, 0.1, value());
        assert_eq!(hear(&mut watch, 0.2, bad()), [News::NotUnderstood(1)]);
        assert_eq!(hear(&mut watch, 0.3, value()), [read_at(0.3)]);
        assert_eq!(hear(&mut watch, 0.4, bad()), []);
        assert_eq!(hear(&mut watch, 0.5, value()), [read_at(0.5)]);
        assert_eq!(hear(&mut watch, 0.6, bad()), []);
        let later = [read_at(5.2), News::NotUnderstood(3)];
        assert_eq!(hear(&mut watch, 5.2, value()), later);
        assert_eq!(hear(&mut watch, 5.3, bad()), []);
        assert_eq!(watch.last_words(), Some(News::NotUnderstood(4)));
        assert_eq!(watch.last_words(), None);
    }

    #[test]
    fn a_jump_with_the_unit_is_asked_about_and_a_new_range_of_a_bench_meter_is_not() {
        let jump = || Heard::Value(Measured::Amps(Amps::parse("2.0").unwrap()));
        let asked = |to: &str| {
            let mut watch = watch();
            hear(&mut watch, 0.1, value());
            let mut heard = vec![Heard::Range(to.into()), jump()];
            let doubt = event(
                at(0.6),
                MeterEvent::Doubt {
                    doubt: Doubt::Unit,
                    on: true,
                },
            );
            watch.heard(at(0.6), b"x", &mut heard, "").contains(&doubt)
        };
        assert!(asked("A"));
        assert!(!asked("1.0E+1 A"));
    }

    #[test]
    fn lines_that_never_hold_a_reading_are_shown() {
        let mut watch = watch();
        let chatter = || Heard::Unusable(Unusable::NoReading);
        for n in 0..10 {
            assert_eq!(hear(&mut watch, f64::from(n), chatter()), []);
        }
        let told = hear(&mut watch, 10.0, chatter());
        let [News::State(LinkState::Unreadable(words))] = told.as_slice() else {
            panic!("{told:?}");
        };
        assert!(
            words.contains("'xxxx") && words.contains("column="),
            "{words}"
        );
    }
}
