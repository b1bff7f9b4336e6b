//! The board of a meter without a cable: the last typed value with its age, and the next one asked for.

use lullboard::desk::Options;
use lullboard::desk::effect::Bell;
use lullboard::desk::message::{Event, Key};
use lullboard::judge::finding::Phase;
use lullboard::screen::Theme;

use crate::bench::{Bench, at, golden};

/// A reading typed `at_s` from the beginning.
fn typed(bench: &mut Bench, at_s: f64, text: &str) {
    bench.now = at(at_s);
    bench.typed(text);
    bench.keys(&[Key::Enter]);
}

/// A car at rest, its current typed twice, all cautions read.
fn at_rest() -> Bench {
    let mut bench = Bench::new("manual:", Options::default());
    bench.keys(&[Key::Esc, Key::Esc, Key::Esc]);
    bench.judge(|judgement| {
        judgement.now.phase = Phase::Settled;
        judgement.now.since = at(60.0);
    });
    typed(&mut bench, 60.0, "43.0");
    typed(&mut bench, 300.0, "43.1");
    bench
}

#[test]
fn a_typed_value_stands_with_its_age_and_the_next_is_counted_down() {
    let mut bench = at_rest();
    bench.now = at(345.0);
    bench.tell(Event::Tick);
    golden("typed", &bench);
    bench.keys(&[Key::Char('f')]);
    golden("typed-far", &bench);
}

#[test]
fn a_reading_that_is_due_is_asked_for_three_times_and_no_more() {
    let mut bench = at_rest();
    bench.bells.clear();
    for second in 301..1400 {
        bench.now = at(f64::from(second));
        bench.tell(Event::Tick);
        let due = bench.bells.iter().filter(|bell| **bell == Bell::ReadingDue);
        let expected = match second {
            ..600 => 0,
            600..660 => 1,
            660..720 => 2,
            720.. => 3,
        };
        assert_eq!(due.count(), expected, "after {second} s");
    }
    golden("typed-due", &bench);
    // Muted, it is asked for in words alone.
    bench.keys(&[Key::Char('b')]);
    bench.bells.clear();
    typed(&mut bench, 1400.0, "43.2");
    bench.now = at(3000.0);
    bench.tell(Event::Tick);
    assert_eq!(bench.bells, []);
}

#[test]
fn after_a_pull_the_next_is_due_in_seconds() {
    let mut bench = at_rest();
    bench.now = at(310.0);
    bench.keys(&[Key::Char('p'), Key::Char('E'), Key::Char('3'), Key::Enter]);
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("next in 0:10"), "{frame}");
    typed(&mut bench, 320.0, "42");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("next in 1:00"), "{frame}");
}

#[test]
fn nothing_is_lost_or_blind_while_nobody_types() {
    let mut bench = Bench::new("manual:", Options::default());
    bench.wait(900.0);
    bench.tell(Event::Tick);
    for keys in [&[][..], &[Key::Char('f')][..]] {
        bench.keys(keys);
        let frame = bench.shoot(120, 40, &Theme::none(true));
        let frame = frame.to_lowercase();
        for word in ["blind", "lost", "no data", "silent"] {
            assert!(!frame.contains(word), "{word}:\n{frame}");
        }
        assert!(frame.contains("type what the meter shows"), "{frame}");
    }
}

#[test]
fn a_bare_number_is_in_the_unit_of_the_last_and_a_leap_is_asked_about() {
    let mut bench = at_rest();
    bench.typed("1.2");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("Enter records: 1.2 mA"), "{frame}");
    assert!(frame.contains("it is sure: 1.2m or 1.2A"), "{frame}");
    bench.typed("A");
    let frame = bench.shoot(80, 24, &Theme::none(true));
    assert!(frame.contains("Enter records: 1.2 A"), "{frame}");
    assert!(!frame.contains("it is sure"), "{frame}");
}

#[test]
fn a_session_that_goes_on_by_eye_takes_typed_readings() {
    let by_eye = |by_eye| Options {
        by_eye,
        ..Options::default()
    };
    let mut bench = Bench::new("serial:/dev/ttyUSB0", by_eye(Some(true)));
    bench.typed("43");
    assert!(bench.model.prompt().is_some());
    let mut bench = Bench::new("manual:", by_eye(Some(false)));
    bench.typed("43");
    assert!(bench.model.prompt().is_none());
}
