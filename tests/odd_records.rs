//! Records that once passed a faulty car, or said more than they knew; named after what broke.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use lullboard::judge::finding::{Finding, Manner, Verdict};
use lullboard::judge::{Judgement, judge};
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::session::Session;
use lullboard::session::card::{Accuracy, Card};
use lullboard::session::entry::{Entry, Fact, Header, MeterCard};
use lullboard::session::mark::{MarkId, parse_mark};

const ACCURATE: Accuracy = Accuracy {
    percent: 1.0,
    counts: 3.0,
    amount_a: 0.0,
};

/// Two readings a second at the given levels, each from its second on, with one place of noise;
/// no readings where the level is not a number.
fn judged(
    levels: &[(u32, f64)],
    end_s: u32,
    accuracy: Option<Accuracy>,
    marks: &[(u32, &str)],
) -> Judgement {
    judge(&recorded(levels, end_s, accuracy, marks))
}

fn recorded(
    levels: &[(u32, f64)],
    end_s: u32,
    accuracy: Option<Accuracy>,
    marks: &[(u32, &str)],
) -> Session {
    let mut session = Session::new(Header {
        started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
        card: Card {
            accuracy,
            asleep_at_start: Some(true),
            ..Card::default()
        },
        meter: MeterCard::default(),
    });
    let mut id = 0;
    for half in 0..2 * end_s {
        let t = Elapsed::from_ms(i64::from(half) * 500);
        let level_a = levels
            .iter()
            .rev()
            .find(|(from_s, _)| from_s * 2 <= half)
            .unwrap()
            .1;
        if level_a.is_nan() {
            continue;
        }
        let wiggle_a = if level_a == 0.0 {
            0.0
        } else {
            0.001 * f64::from(half % 3) - 0.001
        };
        let value = Measured::Amps(Amps::rounded(level_a + wiggle_a, 3));
        session.apply(&Entry {
            t,
            fact: Fact::Reading(value),
        });
        for (_, cell) in marks.iter().filter(|(at_s, _)| at_s * 2 == half) {
            id += 1;
            session.apply(&Entry {
                t,
                fact: Fact::Mark(parse_mark(MarkId(id), cell).unwrap()),
            });
        }
    }
    session
}

#[test]
fn a_reversed_clamp_does_not_pass_the_car() {
    let judged = judged(&[(0, -0.180)], 600, Some(ACCURATE), &[]);
    assert_eq!(judged.verdict, Verdict::CannotTell);
    assert!(
        judged.verdict_why.contains("negative"),
        "{}",
        judged.verdict_why
    );
}

#[test]
fn a_dead_meter_does_not_pass_the_car() {
    let judged = judged(&[(0, 0.0)], 600, Some(ACCURATE), &[]);
    assert_eq!(judged.verdict, Verdict::CannotTell);
    assert!(
        judged.verdict_why.contains("fuse"),
        "{}",
        judged.verdict_why
    );
}

#[test]
fn a_small_negative_offset_is_no_fault() {
    let judged = judged(&[(0, -0.002)], 600, Some(ACCURATE), &[]);
    assert_eq!(judged.verdict, Verdict::Below);
}

#[test]
fn close_to_the_limit_the_accuracy_has_to_be_known() {
    let unknown = judged(&[(0, 0.047)], 600, None, &[]);
    assert_eq!(unknown.verdict, Verdict::CannotTell);
    assert!(
        unknown.verdict_why.contains("accuracy"),
        "{}",
        unknown.verdict_why
    );
    assert_eq!(
        judged(&[(0, 0.030)], 600, None, &[]).verdict,
        Verdict::Below
    );
}

#[test]
fn below_with_a_fuse_out_says_so() {
    let levels = [(0, 0.180), (600, 0.022)];
    let judged = judged(&levels, 1200, Some(ACCURATE), &[(600, "pull B4")]);
    assert!(
        judged.verdict_why.starts_with("with B4 out"),
        "{}",
        judged.verdict_why
    );
}

#[test]
fn a_fall_that_no_mark_tells_of_is_charged_to_no_fuse_and_asked_about() {
    let levels = [(0, 0.180), (600, 0.022)];
    let judged = judged(&levels, 1500, Some(ACCURATE), &[(900, "pull B4")]);
    assert!(
        judged.ledger.iter().all(|share| share.level.a < 0.001),
        "{:?}",
        judged.ledger
    );
    assert_eq!(judged.steps[0].mark, None);
    let lines = lullboard::report::text::lines(&judged).join("\n");
    assert!(
        lines.contains("a fall of 158 mA at 0:10:00 nobody marked"),
        "{lines}"
    );
}

#[test]
fn one_sharp_fall_after_the_mark_may_be_a_mark_too_early() {
    let levels = [(0, 0.180), (660, 0.022)];
    let judged = judged(&levels, 1500, Some(ACCURATE), &[(600, "pull B4")]);
    let trial = &judged.trials[0];
    assert_eq!(trial.manner, Some(Manner::Late));
    assert!(trial.why.contains("too early"), "{}", trial.why);
}

#[test]
fn wakes_longer_than_any_wake_still_count_in_the_average() {
    let hours = |h: u32| h * 3600;
    let levels: Vec<(u32, f64)> = (0..4)
        .flat_map(|i| {
            [
                (hours(2 * i), 0.022),
                (hours(2 * i + 1), 1.0),
                (hours(2 * i + 1) + 1500, 0.022),
            ]
        })
        .collect();
    let judged = judged(&levels, hours(8), Some(ACCURATE), &[]);
    let average_a = judged.settled.unwrap().average.a;
    // 0.978 A for 1500 s every 7200 s.
    assert!((average_a - 0.226).abs() < 0.03, "{average_a}");
    assert_ne!(judged.verdict, Verdict::Below);
}

#[test]
fn hours_without_the_meter_do_not_dilute_the_wakes() {
    let wakes = |from_s: u32| {
        (0..12u32).flat_map(move |i| [(from_s + i * 300, 0.030), (from_s + i * 300 + 270, 0.330)])
    };
    let levels: Vec<(u32, f64)> = wakes(600)
        .chain([(4200, f64::NAN)])
        .chain(wakes(33_000))
        .chain([(36_600, 0.030)])
        .collect();
    let levels = [vec![(0, 0.030)], levels].concat();
    let judged = judged(&levels, 37_200, Some(ACCURATE), &[]);
    let average_a = judged.settled.unwrap().average.a;
    // 0.3 A for 30 s every 300 s is 30 mA more.
    assert!((average_a - 0.060).abs() < 0.005, "{average_a}");
}

#[test]
fn one_coarse_reading_does_not_make_the_record_coarse() {
    let mut session = recorded(&[(0, 0.022)], 600, Some(ACCURATE), &[]);
    let before = judge(&session).settled.unwrap().level;
    for (ms, text) in [(600_000, "0.02"), (600_500, "0.02"), (602_000, "0.02")] {
        let value = Measured::Amps(Amps::parse(text).unwrap());
        session.apply(&Entry {
            t: Elapsed::from_ms(ms),
            fact: Fact::Reading(value),
        });
    }
    let after = judge(&session).settled.unwrap().level;
    assert!(
        (after.u_a - before.u_a).abs() < 0.1 * before.u_a,
        "{before:?} {after:?}"
    );
}

#[test]
fn one_wrong_time_is_left_out_and_counted() {
    let mut session = recorded(&[(0, 0.022)], 600, Some(ACCURATE), &[]);
    let plain = judge(&session);
    for ms in [900_000_000_000, 5_000] {
        let value = Measured::Amps(Amps::parse("0.022").unwrap());
        session.apply(&Entry {
            t: Elapsed::from_ms(ms),
            fact: Fact::Reading(value),
        });
    }
    let judged = judge(&session);
    let lines = lullboard::report::text::lines(&judged).join("\n");
    assert!(lines.contains("2 readings left out"), "{lines}");
    assert_eq!(
        Judgement {
            left_out: 0,
            ..judged
        },
        plain
    );
}

#[test]
fn a_logger_of_one_reading_in_ten_minutes_has_a_level() {
    let mut session = recorded(&[], 0, Some(ACCURATE), &[]);
    for i in 0..100 {
        let value = Measured::Amps(Amps::rounded(0.030 + 0.001 * f64::from(i % 3), 3));
        session.apply(&Entry {
            t: Elapsed::from_secs(600.0 * f64::from(i)),
            fact: Fact::Reading(value),
        });
    }
    let level = judge(&session).phases.last().unwrap().level.unwrap();
    assert!((level.a - 0.031).abs() < 0.001, "{level:?}");
}

/// A car that sleeps at `asleep_a` and wakes at 0.824 A for 15 s every 177 s until `until_s`.
fn waking(asleep_a: f64, from_s: u32, until_s: u32) -> Vec<(u32, f64)> {
    let onsets = (from_s..until_s).step_by(177);
    let wakes = onsets.flat_map(|onset| [(onset, asleep_a + 0.8), (onset + 15, asleep_a)]);
    [(from_s.saturating_sub(100), asleep_a)]
        .into_iter()
        .chain(wakes)
        .collect()
}

/// Twenty wakes, and half a minute after the last one something is pulled.
const PULLED_S: u32 = 100 + 20 * 177 + 30;

#[test]
fn an_innocent_fuse_of_a_car_that_wakes_on_and_on_is_not_condemned() {
    let still = waking(0.016, PULLED_S + 147, PULLED_S + 1500);
    let levels = [waking(0.024, 100, PULLED_S), vec![(PULLED_S, 0.016)], still].concat();
    let marks = [(PULLED_S, "pull B3")];
    let of = |end_s: u32| judged(&levels, end_s, Some(ACCURATE), &marks).trials[0].clone();
    // Settled, and the next wake is still to come: nobody knows.
    let early = of(PULLED_S + 130);
    assert_eq!((early.finding, early.manner), (Finding::NotYet, None));
    assert!(
        early
            .why
            .contains("it woke every 2 min 57 s before: watch 5 min more"),
        "{}",
        early.why
    );
    let late = of(PULLED_S + 1500);
    assert_eq!((late.finding, late.manner), (Finding::NoChange, None));
    assert!(
        late.why.contains("still wakes every 2 min 57 s"),
        "{}",
        late.why
    );
    assert!(
        late.why.contains("on average 91.8 mA -> 83.8 mA"),
        "{}",
        late.why
    );
}

#[test]
fn the_waker_is_found_though_its_own_draw_is_too_small_to_matter() {
    let levels = [waking(0.024, 100, PULLED_S), vec![(PULLED_S, 0.0235)]].concat();
    let marks = [(PULLED_S, "pull B9")];
    let found = judged(&levels, PULLED_S + 2400, Some(ACCURATE), &marks);
    let trial = &found.trials[0];
    assert_eq!((trial.finding, trial.manner), (Finding::Clears, None));
    for words in [
        "the wakes stopped: none in 39 min",
        "before every 2 min 57 s",
    ] {
        assert!(trial.why.contains(words), "{words}: {}", trial.why);
    }
    // Put back before two periods were over, nothing is known of it.
    let marks = [(PULLED_S, "pull B9"), (PULLED_S + 150, "refit B9")];
    let hasty = &judged(&levels, PULLED_S + 2400, Some(ACCURATE), &marks).trials[0];
    assert_eq!(hasty.finding, Finding::CannotTell);
    assert!(
        hasty.why.contains("watch 7 min the next time"),
        "{}",
        hasty.why
    );
}

/// The drain and the wakes are two faults: with one gone the car is not mended.
#[test]
fn a_drain_found_does_not_clear_a_car_that_may_wake_on() {
    let still = waking(0.024, PULLED_S + 147, PULLED_S + 1500);
    let levels = [waking(0.180, 100, PULLED_S), vec![(PULLED_S, 0.024)], still].concat();
    let marks = [(PULLED_S, "pull B3")];
    for end_s in [PULLED_S + 140, PULLED_S + 1500] {
        let trial = &judged(&levels, end_s, Some(ACCURATE), &marks).trials[0];
        assert_eq!(
            (trial.finding, trial.manner),
            (Finding::Lowers, Some(Manner::AtOnce)),
            "{}",
            trial.why
        );
    }
    let stopped = [waking(0.180, 100, PULLED_S), vec![(PULLED_S, 0.024)]].concat();
    let trial = &judged(&stopped, PULLED_S + 1500, Some(ACCURATE), &marks).trials[0];
    assert_eq!(trial.finding, Finding::Clears, "{}", trial.why);
}

#[test]
fn a_meter_fuse_that_blows_at_the_pull_condemns_no_circuit() {
    for dead_a in [0.0, 0.0003] {
        let levels = [(0, 0.090), (600, dead_a)];
        let judged = judged(&levels, 1500, Some(ACCURATE), &[(600, "pull B4")]);
        let trial = &judged.trials[0];
        assert_eq!((trial.finding, trial.manner), (Finding::Spoiled, None));
        assert!(
            trial.why.contains("check the meter's fuse"),
            "{}",
            trial.why
        );
        assert_eq!(judged.ledger, []);
        let plan = judged.plan.unwrap();
        assert!(plan.why.contains("check the meter's fuse"), "{}", plan.why);
    }
    let levels = [(0, 0.090), (600, 0.0)];
    let marks = [(600, "pull B4"), (900, "refit B4")];
    let judged = judged(&levels, 1500, Some(ACCURATE), &marks);
    assert!(judged.trials.iter().all(|t| t.finding == Finding::Spoiled));
    assert!(judged.contradictions.is_empty(), "no load comes and goes");
}

/// Kept awake until the pull; then a stage of 200 mA for this long, and asleep.
fn falls_in_stages(stage_s: u32, end_s: u32) -> Judgement {
    let levels = [(0, 0.400), (660, 0.200), (660 + stage_s, 0.030)];
    judged(&levels, end_s, Some(ACCURATE), &[(600, "pull B6")])
}

#[test]
fn a_late_fall_is_judged_by_its_end_and_not_by_its_first_stage() {
    for stage_s in [240, 780] {
        // In the stage it may fall further, and just after its end nobody is asked who did it.
        for end_s in [660 + 200, 660 + stage_s + 70] {
            let open = falls_in_stages(stage_s, end_s);
            assert_eq!(open.trials[0].finding, Finding::NotYet);
            assert!(
                open.trials[0].why.contains("it may fall further: wait"),
                "{}",
                open.trials[0].why
            );
            assert_eq!(open.unclaimed, []);
        }
        let done = falls_in_stages(stage_s, 660 + stage_s + 1200);
        let trial = &done.trials[0];
        assert_eq!(
            (trial.finding, trial.manner),
            (Finding::Clears, Some(Manner::Late))
        );
        assert!((trial.change.unwrap().a + 0.370).abs() < 0.002);
        assert!(trial.why.contains("it fell in 2 stages"), "{}", trial.why);
        assert_eq!(done.unclaimed, []);
        assert_eq!(done.verdict, Verdict::Below, "{}", done.verdict_why);
        assert_eq!(done.wakes, []);
    }
}

/// What fell with its fuse is no late fall: the next one is another deed.
#[test]
fn a_fall_after_a_direct_load_is_not_given_to_its_fuse() {
    let levels = [(0, 0.400), (601, 0.200), (900, 0.030)];
    let judged = judged(&levels, 1800, Some(ACCURATE), &[(600, "pull B6")]);
    let trial = &judged.trials[0];
    assert_eq!(
        (trial.finding, trial.manner),
        (Finding::Lowers, Some(Manner::AtOnce))
    );
    assert_eq!(judged.unclaimed.len(), 1);
}

#[test]
fn a_good_repair_does_not_read_as_failed() {
    let levels = [(0, 0.262), (600, 0.022)];
    let of = |new_a: f64| {
        let levels = [&levels[..], &[(1200, new_a)]].concat();
        let marks = [(600, "unplug lid switch"), (1200, "swap lid switch")];
        judged(&levels, 1800, Some(ACCURATE), &marks).trials[1].clone()
    };
    let good = of(0.0221);
    assert_eq!((good.finding, good.manner), (Finding::Clears, None));
    assert!(
        good.why
            .contains("holds: 240 mA less than with the old part"),
        "{}",
        good.why
    );
    let bad = of(0.262);
    assert_eq!(bad.finding, Finding::NoChange);
    assert!(bad.why.contains("as with the old part"), "{}", bad.why);
}

#[test]
fn one_load_on_two_fuses_is_not_given_to_both() {
    let levels = [(0, 0.220), (2400, 0.020)];
    let marks = [
        (600, "pull B4"),
        (1200, "refit B4"),
        (1800, "pull B7"),
        (2400, "pull B4"),
    ];
    let judged = judged(&levels, 3000, Some(ACCURATE), &marks);
    let [share] = judged.ledger.as_slice() else {
        panic!("{:?}", judged.ledger)
    };
    assert_eq!(share.what, ["B4", "B7"]);
    assert!((share.level.a - 0.200).abs() < share.level.u_a);
    assert!((judged.rest_a.unwrap() - 0.020).abs() < 0.001);
    let plan = judged.plan.unwrap();
    assert!(plan.why.contains("B4+B7 draw 200 mA"), "{}", plan.why);
}

#[test]
fn two_spellings_are_one_fuse() {
    let levels = [(0, 0.120), (600, 0.020), (1200, 0.120)];
    let marks = [(600, "pull B4"), (1200, "refit b4")];
    let session = recorded(&levels, 1800, Some(ACCURATE), &marks);
    assert!(session.out_now().is_empty(), "{:?}", session.out_now());
    let judged = judge(&session);
    let findings: Vec<Finding> = judged.trials.iter().map(|trial| trial.finding).collect();
    assert_eq!(findings, [Finding::Clears, Finding::Raises]);
    let back = &judged.trials[1];
    assert!(back.why.contains("as before it came out"), "{}", back.why);
    assert!(!back.why.contains("woke"), "its own load is no wake");
    assert!(
        !judged.verdict_why.contains("out"),
        "{}",
        judged.verdict_why
    );
}

#[test]
fn the_wrong_label_is_not_taken_in_silence() {
    let levels = [(0, 0.120), (600, 0.020)];
    let why = |marks: &[(u32, &str)]| {
        let judged = judged(&levels, 1800, Some(ACCURATE), marks);
        assert!(judged.contradictions.is_empty());
        let last = judged.trials.last().unwrap().clone();
        assert_eq!(last.finding, Finding::Spoiled, "{}", last.why);
        last.why
    };
    let other = why(&[(600, "pull B4"), (1200, "refit B14")]);
    assert!(other.contains("B14 was never out; out are: B4"), "{other}");
    let none = why(&[(600, "refit B4")]);
    assert!(none.contains("B4 was never out; nothing is out"), "{none}");
    let twice = why(&[(600, "pull B4"), (1200, "pull B4")]);
    assert!(
        twice.contains("B4 is out already, since 0:10:00"),
        "{twice}"
    );
}

/// There is no map here whose fuses could all have been tried.
#[test]
fn a_generator_is_not_suspected_after_one_fuse() {
    let judged = judged(&[(0, 0.120)], 1200, Some(ACCURATE), &[(600, "pull B4")]);
    let plan = judged.plan.unwrap();
    assert!(plan.why.contains("pull another fuse"), "{}", plan.why);
    assert!(plan.parts.is_empty() && plan.did.is_none(), "{plan:?}");
}

/// Readings of so many places, moving by one count from second to second or standing still.
fn displayed(value_a: f64, places: u8, moves: impl Fn(u32) -> bool) -> Judgement {
    let mut session = recorded(&[], 0, Some(ACCURATE), &[]);
    let count_a = 0.1f64.powi(i32::from(places));
    for half in 0..2400 {
        let t = Elapsed::from_ms(i64::from(half) * 500);
        let moved_a = if moves(half / 2) && half % 2 == 0 {
            count_a
        } else {
            0.0
        };
        let value = Measured::Amps(Amps::rounded(value_a + moved_a, places));
        let mark = (half == 1200).then(|| Fact::Mark(parse_mark(MarkId(1), "pull B4").unwrap()));
        for fact in mark.into_iter().chain([Fact::Reading(value)]) {
            session.apply(&Entry { t, fact });
        }
    }
    judge(&session)
}

#[test]
fn a_meter_on_hold_clears_no_fuse() {
    let held = &displayed(0.1200, 4, |_| false).trials[0];
    assert_eq!(held.finding, Finding::CannotTell);
    assert!(
        held.why.contains("not one digit has moved for 20 min"),
        "{}",
        held.why
    );
    // Milliamperes that moved before the hold, and not since.
    let held = &displayed(0.120, 3, |second| second < 300).trials[0];
    assert_eq!(held.finding, Finding::CannotTell, "{}", held.why);
    let live = &displayed(0.1200, 4, |_| true).trials[0];
    assert_eq!(live.finding, Finding::NoChange, "{}", live.why);
    // A display of 10 mA steps repeats honestly.
    let coarse = &displayed(0.12, 2, |_| false).trials[0];
    assert!(!coarse.why.contains("HOLD"), "{}", coarse.why);
}
