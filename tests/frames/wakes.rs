//! The page of the wakes, and the page of keys that leads there.

use lullboard::desk::message::Key;
use lullboard::judge::finding::{Trial, Wake};
use lullboard::judge::pattern::{Habit, Hour, Pattern};
use lullboard::judge::reason::TrialReason;
use lullboard::reading::band::Band;
use lullboard::screen::Theme;

use crate::bench::{Bench, at, golden, hunt};

/// The hunt, three nights later: a wake each night, one more on an afternoon.
fn nights() -> Bench {
    let mut bench = hunt();
    bench.judge(|judgement| {
        let wake = |from_s: f64, for_s: f64, charge_as: f64| Wake {
            from: at(from_s),
            to: at(from_s + for_s),
            peak_a: 4.21,
            charge_as,
            over: false,
        };
        let night = |from_s| wake(from_s, 612.0, 2376.0);
        let afternoon = wake(112_000.0, 41.0, 61.0);
        judgement.wakes = vec![
            night(69_007.0),
            afternoon,
            night(155_460.0),
            night(241_830.0),
        ];
        judgement.day_ah = Some(Band::new(1.9, 2.0, 2.2));
        judgement.pattern = Some(Pattern {
            out: vec!["L5".into(), "L6".into()],
            in_force: true,
            watched_s: 259_200.0,
            wakes: 4,
            day_ah: 0.68,
            habit: Habit::Hour(Hour {
                at_s: 11_410.0,
                within_s: 70.0,
                wakes: 3,
                days: 3,
                of_days: 3,
                each_ah: 0.66,
                day_ah: 0.66,
            }),
        });
    });
    bench.read(1, "0.0740");
    bench
}

fn small(bench: &Bench) -> String {
    bench.shoot(80, 24, &Theme::none(true))
}

#[test]
fn the_wakes_stand_newest_first_below_their_hour() {
    let mut bench = nights();
    bench.typed("W");
    golden("wakes", &bench);
    let frame = small(&bench);
    let places: Vec<usize> = [
        "One wake a day near 03:10",
        "28 Nov 03:",
        "26 Nov 15:",
        "26 Nov 03:",
    ]
    .map(|text| {
        frame
            .find(text)
            .unwrap_or_else(|| panic!("{text}: {frame}"))
    })
    .to_vec();
    assert!(places.is_sorted(), "{frame}");
    assert!(frame.contains("33 %") && frame.contains("0.8 %"), "{frame}");
    bench.typed("W");
    assert!(!small(&bench).contains("WAKES:"));
    let mut none = Bench::live();
    none.typed("W");
    assert!(small(&none).contains("No wake yet."), "{}", small(&none));
}

/// A state that is past takes no share of what the car draws now; the trial says what it changed.
#[test]
fn a_pull_that_ended_them_is_told_and_old_wakes_have_no_share() {
    let mut bench = nights();
    bench.judge(|judgement| {
        let mut ended: Trial = judgement.trials.last().unwrap().clone();
        ended.t = at(250_000.0);
        ended.reason = TrialReason::WakesStopped {
            every_s: 86_400.0,
            watched_s: 130_000.0,
            average_before_a: 0.081,
            average_after_a: 0.053,
        };
        judgement.trials.push(ended);
        judgement.pattern.as_mut().unwrap().in_force = false;
    });
    bench.read(1, "0.0740");
    bench.typed("W");
    let frame = small(&bench);
    assert!(
        frame.contains("With L5+L6 out: one wake a day near 03:10"),
        "{frame}"
    );
    assert!(
        frame.contains("changed: the wakes stopped: none in 1 d 12 h"),
        "{frame}"
    );
    assert!(!frame.contains('%'), "{frame}");
}

/// Every key has its row on the smallest usual terminal: none falls off the page.
#[test]
fn the_page_of_keys_is_whole_at_80_by_24() {
    let mut bench = nights();
    bench.keys(&[Key::Char('?')]);
    let frame = small(&bench);
    let rows = bench.model.shown_keys();
    assert!(rows.len() > 30);
    for row in rows {
        assert!(
            frame.contains(&row.keys) && frame.contains(row.help),
            "{row:?}: {frame}"
        );
    }
}
