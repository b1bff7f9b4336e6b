//! What the machine's clocks say about time without evidence: it slept, or its clock was set.
//!
//! Pure: `clock` takes the samples.

use crate::reading::{number, quantity};
use crate::session::MeterEvent;

/// What all clocks of the machine showed at one moment, in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClockSample {
    /// Since the machine started, its sleep counted.
    pub boot_s: f64,
    /// Since the machine started, its sleep left out.
    pub mono_s: f64,
    /// The wall clock, since 1970.
    pub wall_s: f64,
}

/// Differences up to this are scheduling and slewing, not an event.
const TOLERANCE_S: f64 = 1.0;

/// Compares each sample with the one before.
#[derive(Clone, Copy, Debug)]
pub struct ClockWatch {
    last: ClockSample,
    /// The last long while in which nothing was heard, in seconds, and when it ended.
    silence: Option<(f64, ClockSample)>,
}

impl ClockWatch {
    /// Begins with this sample.
    pub const fn from(first: ClockSample) -> Self {
        Self {
            last: first,
            silence: None,
        }
    }

    /// What happened to the machine since the sample before.
    pub fn look(&mut self, now: ClockSample) -> Vec<MeterEvent> {
        let passed_s = now.boot_s - self.last.boot_s;
        let slept_s = passed_s - (now.mono_s - self.last.mono_s);
        let set_s = now.wall_s - self.last.wall_s - passed_s;
        self.last = now;
        let mut events = Vec::new();
        let silent_s = passed_s - slept_s.max(0.0);
        if silent_s > TOLERANCE_S {
            self.silence = Some((silent_s, now));
        }
        if slept_s > TOLERANCE_S {
            events.push(gap("the laptop slept", slept_s));
        }

        if set_s > TOLERANCE_S {
            events.push(clock_set("forward", set_s));
        } else if set_s < -TOLERANCE_S {
            events.push(clock_set("back", -set_s));
        }
        events
    }
}

impl ClockWatch {
    /// The program goes on after a stop that it learns of only now: the silence was that.
    pub fn went_on(&mut self, now: ClockSample) -> Option<MeterEvent> {
        let (silent_s, ended) = self.silence.take()?;
        let is_just_now = now.boot_s - ended.boot_s < 2.0 * TOLERANCE_S;
        is_just_now.then(|| gap("the program was stopped", silent_s))
    }
}

/// Session time does not follow the wall clock, so nothing is missing: a gap of no length.
fn clock_set(way: &str, by_s: f64) -> MeterEvent {
    MeterEvent::Gap {
        why: format!("the clock was set {way} by {}", quantity::span(by_s)),
        for_s: 0.0,
    }
}

fn gap(why: &str, for_s: f64) -> MeterEvent {
    let thousandths = number::f64_from_i64(number::round_to_i64(for_s * 1000.0));
    MeterEvent::Gap {
        why: why.into(),
        for_s: thousandths / 1000.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const START: ClockSample = ClockSample {
        boot_s: 5000.0,
        mono_s: 4000.0,
        wall_s: 1.7e9,
    };

    fn after(boot_s: f64, mono_s: f64, wall_s: f64) -> Vec<MeterEvent> {
        ClockWatch::from(START).look(ClockSample {
            boot_s: START.boot_s + boot_s,
            mono_s: START.mono_s + mono_s,
            wall_s: START.wall_s + wall_s,
        })
    }

    #[test]
    fn time_that_only_passes_is_no_event() {
        assert_eq!(after(3600.0, 3600.0, 3600.4), []);
    }

    #[test]
    fn a_closed_lid_is_told_with_its_length() {
        assert_eq!(after(610.0, 10.0, 610.0), [gap("the laptop slept", 600.0)]);
    }

    #[test]
    fn a_set_clock_is_told_both_ways_and_is_not_sleep() {
        assert_eq!(after(10.0, 10.0, 3610.0), [clock_set("forward", 3600.0)]);
        assert_eq!(after(10.0, 10.0, -3590.0), [clock_set("back", 3600.0)]);
    }

    #[test]
    fn each_event_is_told_once() {
        let mut watch = ClockWatch::from(START);
        let slept = ClockSample {
            boot_s: START.boot_s + 100.0,
            wall_s: START.wall_s + 100.0,
            ..START
        };
        assert_eq!(watch.look(slept).len(), 1);
        assert_eq!(watch.look(slept), []);
    }

    /// A stop that nobody announced: known only from the signal to go on.
    #[test]
    fn a_stop_of_the_program_is_a_gap() {
        let later = ClockSample {
            boot_s: START.boot_s + 7.0,
            mono_s: START.mono_s + 7.0,
            wall_s: START.wall_s + 7.0,
        };
        let mut watch = ClockWatch::from(START);
        assert_eq!(watch.look(later), []);
        let stopped = Some(gap("the program was stopped", 7.0));
        assert_eq!(watch.went_on(later), stopped);
        assert_eq!(watch.went_on(later), None, "told once");
    }
}
