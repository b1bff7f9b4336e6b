//! Records that once passed a faulty car, or said more than they knew; named after what broke.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use lullboard::judge::finding::{Finding, Manner, Verdict};
use lullboard::judge::reason::{TrialReason, VerdictReason};
use lullboard::judge::{Judgement, Trial, judge, words};
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
    let card = Card {
        accuracy,
        asleep_at_start: Some(true),
        ..Card::default()
    };
    played(card, end_s, marks, |half| one_place_of_noise(levels, half))
}

/// The same of a car that nobody said was asleep; `lock` is a mark like any other.
fn awake(
    levels: &[(u32, f64)],
    end_s: u32,
    accuracy: Option<Accuracy>,
    marks: &[(u32, &str)],
) -> Judgement {
    let card = Card {
        accuracy,
        ..Card::default()
    };
    let reading = |half| one_place_of_noise(levels, half);
    judge(&played(card, end_s, marks, reading))
}

/// The level that stands in that half second.
fn level(levels: &[(u32, f64)], half: u32) -> f64 {
    let mut levels = levels.iter().rev();
    levels.find(|(from_s, _)| from_s * 2 <= half).unwrap().1
}

fn one_place_of_noise(levels: &[(u32, f64)], half: u32) -> Option<Amps> {
    let level_a = level(levels, half);
    let wiggle_a = if level_a == 0.0 {
        0.0
    } else {
        0.001 * f64::from(half % 3) - 0.001
    };
    (!level_a.is_nan()).then(|| Amps::rounded(level_a + wiggle_a, 3))
}

/// A session of what a meter showed in each half second.
fn played(
    card: Card,
    end_s: u32,
    marks: &[(u32, &str)],
    reading: impl Fn(u32) -> Option<Amps>,
) -> Session {
    let mut session = Session::new(Header {
        started: "2026-01-10T08:00:00+00:00".parse().unwrap(),
        card,
        meter: MeterCard::default(),
    });
    let mut id = 0;
    for half in 0..2 * end_s {
        let t = Elapsed::from_ms(i64::from(half) * 500);
        if let Some(amps) = reading(half) {
            let fact = Fact::Reading(Measured::Amps(amps));
            session.apply(&Entry { t, fact });
        }
        for (_, cell) in marks.iter().filter(|(at_s, _)| at_s * 2 == half) {
            id += 1;
            let fact = Fact::Mark(Box::new(parse_mark(MarkId(id), cell).unwrap()));
            session.apply(&Entry { t, fact });
        }
    }
    session
}

#[track_caller]
fn says(judged: &Judgement, verdict: Verdict, words: &[&str]) {
    let why = &judged.verdict_why();
    assert_eq!(judged.verdict, verdict, "{why}");
    for words in words {
        assert!(why.contains(words), "'{words}' is not in '{why}'");
    }
}

/// The verdict, and what decided it.
#[track_caller]
fn decided(judged: &Judgement, verdict: Verdict) -> &VerdictReason {
    says(judged, verdict, &[]);
    judged.reasons.first().unwrap()
}

/// One of the reasons says that no lock was marked.
fn asks_for_the_lock(judged: &Judgement) -> bool {
    judged.reasons.contains(&VerdictReason::NotLocked)
}

const MIN: u32 = 60;
/// Locked at 20 s, asleep at 10 min.
const DOWN: [(u32, f64); 3] = [(0, 3.3), (20, 1.9), (90, 0.27)];

fn down_to(more: &[(u32, f64)]) -> Vec<(u32, f64)> {
    [&DOWN, more].concat()
}

#[test]
fn a_reversed_clamp_does_not_pass_the_car() {
    let judged = judged(&[(0, -0.137)], 600, Some(ACCURATE), &[]);
    assert_eq!(judged.verdict, Verdict::CannotTell);
    assert!(
        judged.verdict_why().contains("negative"),
        "{}",
        judged.verdict_why()
    );
}

#[test]
fn a_dead_meter_does_not_pass_the_car() {
    let judged = judged(&[(0, 0.0)], 600, Some(ACCURATE), &[]);
    assert_eq!(judged.verdict, Verdict::CannotTell);
    assert!(
        judged.verdict_why().contains("fuse"),
        "{}",
        judged.verdict_why()
    );
}

/// An offset of the meter as large as its accuracy allows is no reversed clamp, and no proof that a
/// current flows at all.
#[test]
fn a_small_negative_offset_is_no_reversed_clamp() {
    let judged = judged(&[(0, -0.002)], 600, Some(ACCURATE), &[]);
    says(&judged, Verdict::CannotTell, &["no current at all?"]);
    assert!(!judged.verdict_why().contains("negative"));
}

/// A meter whose fuse is blown flickers around zero. That a car with its battery connected always
/// draws more than a milliampere is common practice, no source.
#[test]
fn a_dead_meter_that_flickers_does_not_pass_the_car() {
    for accuracy in [Some(ACCURATE), None] {
        let card = Card {
            accuracy,
            battery: "agm,70Ah".parse().ok(),
            ..Card::default()
        };
        let levels = down_to(&[(15 * MIN, 0.0)]);
        let flicker = |half: u32| 0.0001 * f64::from(half % 4) - 0.0001;
        let reading = |half| Some(Amps::rounded(level(&levels, half) + flicker(half), 4));
        let judged = judge(&played(card, 100 * MIN, &[(20, "lock")], reading));
        let reason = decided(&judged, Verdict::CannotTell);
        let VerdictReason::Fault { fault, for_s } = *reason else {
            panic!("{reason:?}")
        };
        assert_eq!(fault, "dead");
        assert!((for_s - 85.0 * 60.0).abs() < 10.0, "{for_s}");
        says(&judged, Verdict::CannotTell, &["meter's fuse and leads"]);
        assert_eq!(judged.standing, None, "no days from a dead meter");
        assert_eq!((judged.slept, judged.learned_timeout_s), (false, None));
    }
}

/// 3 mA on a display of 1 mA with 3 counts may be nothing; 8 mA is a current.
#[test]
fn what_the_meter_cannot_tell_from_nothing_is_not_below() {
    let nothing = judged(&[(0, 0.003)], 600, Some(ACCURATE), &[]);
    says(
        &nothing,
        Verdict::CannotTell,
        &["within U", "of zero", "known load"],
    );
    let little = judged(&[(0, 0.008)], 600, Some(ACCURATE), &[]);
    says(&little, Verdict::Below, &[]);
}

#[test]
fn an_unlocked_car_is_not_above() {
    let open = |marks| awake(&[(0, 2.35)], 60 * MIN, Some(ACCURATE), marks);
    says(
        &open(&[]),
        Verdict::NotSettled,
        &["no lock was marked: it counts only if the car was locked"],
    );
    // With a fuse out and still open, or with marks that lock nothing.
    for marks in [
        &[][..],
        &[(60, "pull D3")],
        &[(60, "zero"), (90, "note key in the dash")],
    ] {
        let judged = open(marks);
        says(&judged, Verdict::NotSettled, &[]);
        assert!(
            asks_for_the_lock(&judged),
            "{marks:?}: {:?}",
            judged.reasons
        );
    }
    // Locked, and unlocked again.
    says(
        &open(&[(20, "lock"), (60, "unlock")]),
        Verdict::NotSettled,
        &[],
    );
    // A fuse that takes most of an open car's draw with it.
    let levels = [(0, 2.35), (10 * MIN, 0.34)];
    let judged = awake(&levels, 80 * MIN, Some(ACCURATE), &[(10 * MIN, "pull D3")]);
    says(&judged, Verdict::NotSettled, &[]);
    assert!(asks_for_the_lock(&judged), "{:?}", judged.reasons);
    // The same car, locked.
    says(&open(&[(20, "lock")]), Verdict::Above, &[]);
}

/// Nobody is told that the time-out has passed of a car that was not left to sleep.
#[test]
fn only_a_lock_starts_the_wait() {
    let open = |marks| awake(&[(0, 2.35)], 60 * MIN, Some(ACCURATE), marks);
    for marks in [
        &[][..],
        &[(60, "pull D3")],
        &[(60, "note key in the dash")],
        &[(60, "zero"), (90, "note key in the dash")],
        &[(20, "lock"), (60, "unlock")],
    ] {
        let now = open(marks).now;
        assert!(
            now.why().contains("begins with the lock"),
            "{marks:?}: {}",
            now.why()
        );
        assert_eq!(now.timeout_at, None, "{marks:?}");
    }
    let locked = open(&[(20, "lock")]).now;
    assert_eq!(
        locked.timeout_at,
        Some(Elapsed::from_secs(20.0 + 45.0 * 60.0))
    );
}

#[test]
fn a_plain_log_of_a_car_that_came_down_is_judged() {
    let levels = down_to(&[(10 * MIN, 0.127)]);
    let judged = awake(&levels, 90 * MIN, Some(ACCURATE), &[]);
    says(&judged, Verdict::Above, &[]);
    let asleep_already = awake(&[(0, 0.127)], 90 * MIN, Some(ACCURATE), &[]);
    says(&asleep_already, Verdict::Above, &[]);
}

/// What never slept teaches no time-out: a shorter one would condemn a car on a stage of its sleep.
#[test]
fn a_car_that_never_slept_teaches_no_time_out() {
    let levels = down_to(&[(150, 0.368)]);
    let judged = awake(&levels, 90 * MIN, Some(ACCURATE), &[(20, "lock")]);
    says(&judged, Verdict::Above, &[]);
    assert_eq!((judged.slept, judged.learned_timeout_s), (false, None));
    let sleeps = down_to(&[(10 * MIN, 0.019)]);
    let judged = awake(&sleeps, 90 * MIN, Some(ACCURATE), &[(20, "lock")]);
    assert_eq!(
        (judged.slept, judged.learned_timeout_s),
        (true, Some(900.0))
    );
}

#[test]
fn close_to_the_limit_the_accuracy_has_to_be_known() {
    let unknown = judged(&[(0, 0.047)], 600, None, &[]);
    assert_eq!(unknown.verdict, Verdict::CannotTell);
    assert!(
        unknown.verdict_why().contains("accuracy"),
        "{}",
        unknown.verdict_why()
    );
    assert_eq!(
        judged(&[(0, 0.028)], 600, None, &[]).verdict,
        Verdict::Below
    );
}

#[test]
fn below_with_a_fuse_out_says_so() {
    let levels = [(0, 0.155), (600, 0.026)];
    let judged = judged(&levels, 1200, Some(ACCURATE), &[(600, "pull D12")]);
    assert!(
        judged.verdict_why().starts_with("with D12 out"),
        "{}",
        judged.verdict_why()
    );
}

#[test]
fn a_fall_that_no_mark_tells_of_is_charged_to_no_fuse_and_asked_about() {
    let levels = [(0, 0.194), (600, 0.021)];
    let judged = judged(&levels, 1500, Some(ACCURATE), &[(900, "pull D10")]);
    assert!(
        judged.ledger.iter().all(|share| share.level.a < 0.001),
        "{:?}",
        judged.ledger
    );
    assert_eq!(judged.steps[0].mark, None);
    let lines = lullboard::report::text::lines(&judged).join("\n");
    assert!(
        lines.contains("a fall of 173 mA at 0:10:00 nobody marked"),
        "{lines}"
    );
}

#[test]
fn one_sharp_fall_after_the_mark_may_be_a_mark_too_early() {
    let levels = [(0, 0.163), (660, 0.030)];
    let judged = judged(&levels, 1500, Some(ACCURATE), &[(600, "pull L1")]);
    let trial = &judged.trials[0];
    assert_eq!(trial.manner, Some(Manner::Late));
    assert!(trial.why().contains("too early"), "{}", trial.why());
    // Within what a hand needs it is as likely a mark too early as a waker.
    let near = last_trial(&[(0, 0.163), (612, 0.030)], &[(600, "pull L1")]);
    assert_eq!(near.finding, Finding::Clears);
    assert_eq!(near.manner, None);
    assert!(
        near.why().contains("if the mark was early"),
        "{}",
        near.why()
    );
}

/// Of a car that slept from the beginning, watched for 25 minutes.
fn last_trial(levels: &[(u32, f64)], marks: &[(u32, &str)]) -> Trial {
    let judged = judged(levels, 1500, Some(ACCURATE), marks);
    judged.trials.last().cloned().unwrap()
}

#[test]
fn a_fall_shortly_before_a_removal_is_of_neither_until_somebody_says() {
    let levels = [(0, 0.163), (660, 0.030)];
    for after_s in [9, 30, 100] {
        let marks = [(300, "pull A3"), (660 + after_s, "pull L1")];
        let judged = judged(&levels, 1500, Some(ACCURATE), &marks);
        let found: Vec<Finding> = judged.trials.iter().map(|trial| trial.finding).collect();
        assert_eq!(found, [Finding::CannotTell; 2], "{after_s}");
        let asked = judged.trials[1].why();
        assert!(asked.contains("133 mA fell"), "{asked}");
        assert!(asked.contains("move the mark"), "{asked}");
        assert!(
            judged.trials[0]
                .why()
                .contains("before the mark of pull L1")
        );
        assert_eq!(judged.unclaimed.len(), 1);
    }
    // Moved to the fall, it is the removal's own.
    let moved = last_trial(&levels, &[(300, "pull A3"), (660, "pull L1")]);
    assert_eq!(moved.finding, Finding::Clears);
    assert_eq!(moved.manner, Some(Manner::AtOnce));
    // One with a fall of its own has nothing to do with another before it.
    let two = [(0, 0.263), (640, 0.163), (700, 0.030)];
    let own = last_trial(&two, &[(300, "pull A3"), (700, "pull L1")]);
    assert_eq!(own.manner, Some(Manner::AtOnce));
    assert!((own.change.unwrap().a + 0.133).abs() < 0.002);
}

#[test]
fn a_key_pressed_twice_is_one_pull() {
    let levels = [(0, 0.163), (600, 0.030)];
    let once = judged(&levels, 1500, Some(ACCURATE), &[(600, "pull L1")]);
    let marks = [(600, "pull L1"), (601, "pull L1")];
    let twice = judged(&levels, 1500, Some(ACCURATE), &marks);
    assert_eq!(twice.trials, once.trials);
}

/// Two wakes in the hours before a pull and none in an hour after it: chance does that too.
#[test]
fn two_wakes_and_then_none_is_not_yet_the_end_of_them() {
    let hour = 3600;
    let levels = [
        (0, 0.021),
        (hour, 3.5),
        (hour + 300, 0.021),
        (2 * hour + 1000, 3.5),
        (2 * hour + 1300, 0.021),
    ];
    let marks = [(3 * hour, "pull E6")];
    let judged = judged(&levels, 4 * hour, Some(ACCURATE), &marks);
    says(&judged, Verdict::CannotTell, &["ended the wakes is open"]);
    assert_eq!(judged.trials[0].finding, Finding::NotYet);
}

#[test]
fn wakes_longer_than_any_wake_still_count_in_the_average() {
    let hours = |h: u32| h * 3600;
    let levels: Vec<(u32, f64)> = (0..4)
        .flat_map(|i| {
            [
                (hours(2 * i), 0.027),
                (hours(2 * i + 1), 1.12),
                (hours(2 * i + 1) + 1500, 0.027),
            ]
        })
        .collect();
    let judged = judged(&levels, hours(8), Some(ACCURATE), &[]);
    let average_a = judged.settled.unwrap().average.a;
    // 1.093 A for 1500 s every 7200 s.
    assert!((average_a - 0.255).abs() < 0.03, "{average_a}");
    assert_ne!(judged.verdict, Verdict::Below);
}

#[test]
fn hours_without_the_meter_do_not_dilute_the_wakes() {
    let wakes = |from_s: u32| {
        (0..12u32).flat_map(move |i| [(from_s + i * 300, 0.026), (from_s + i * 300 + 270, 0.346)])
    };
    let levels: Vec<(u32, f64)> = wakes(600)
        .chain([(4200, f64::NAN)])
        .chain(wakes(33_000))
        .chain([(36_600, 0.026)])
        .collect();
    let levels = [vec![(0, 0.026)], levels].concat();
    let judged = judged(&levels, 37_200, Some(ACCURATE), &[]);
    let average_a = judged.settled.unwrap().average.a;
    // 0.32 A for 30 s every 300 s is 32 mA more.
    assert!((average_a - 0.058).abs() < 0.005, "{average_a}");
}

#[test]
fn one_coarse_reading_does_not_make_the_record_coarse() {
    let mut session = recorded(&[(0, 0.031)], 600, Some(ACCURATE), &[]);
    let before = judge(&session).settled.unwrap().level;
    for (ms, text) in [(600_000, "0.03"), (600_500, "0.03"), (602_000, "0.03")] {
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
    let mut session = recorded(&[(0, 0.018)], 600, Some(ACCURATE), &[]);
    let plain = judge(&session);
    for ms in [900_000_000_000, 5_000] {
        let value = Measured::Amps(Amps::parse("0.018").unwrap());
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
        let value = Measured::Amps(Amps::rounded(0.034 + 0.001 * f64::from(i % 3), 3));
        session.apply(&Entry {
            t: Elapsed::from_secs(600.0 * f64::from(i)),
            fact: Fact::Reading(value),
        });
    }
    let level = judge(&session).phases.last().unwrap().level.unwrap();
    assert!((level.a - 0.035).abs() < 0.001, "{level:?}");
}

/// A car that sleeps at `asleep_a` and wakes at 0.76 A more for 15 s every 191 s until `until_s`.
fn waking(asleep_a: f64, from_s: u32, until_s: u32) -> Vec<(u32, f64)> {
    let onsets = (from_s..until_s).step_by(191);
    let wakes = onsets.flat_map(|onset| [(onset, asleep_a + 0.76), (onset + 15, asleep_a)]);
    [(from_s.saturating_sub(100), asleep_a)]
        .into_iter()
        .chain(wakes)
        .collect()
}

/// Twenty wakes, and half a minute after the last one something is pulled.
const PULLED_S: u32 = 100 + 20 * 191 + 30;

#[test]
fn an_innocent_fuse_of_a_car_that_wakes_on_and_on_is_not_condemned() {
    let still = waking(0.019, PULLED_S + 161, PULLED_S + 1500);
    let levels = [waking(0.027, 100, PULLED_S), vec![(PULLED_S, 0.019)], still].concat();
    let marks = [(PULLED_S, "pull L13")];
    let of = |end_s: u32| judged(&levels, end_s, Some(ACCURATE), &marks).trials[0].clone();
    // Settled, and the next wake is still to come: nobody knows, nor does the verdict.
    let whole = judged(&levels, PULLED_S + 130, Some(ACCURATE), &marks);
    let reason = decided(&whole, Verdict::CannotTell);
    assert!(
        matches!(reason, VerdictReason::WakesOpen { deed, .. } if deed == "pull L13"),
        "{reason:?}"
    );
    says(
        &whole,
        Verdict::CannotTell,
        &["pull L13 ended the wakes is open"],
    );
    let early = of(PULLED_S + 130);
    assert_eq!((early.finding, early.manner), (Finding::NotYet, None));
    assert!(
        early.why().contains(
            "it woke every 3 min 11 s before; none since, in 2 min 6 s: watch 3 min more"
        ),
        "{}",
        early.why()
    );
    assert_not_over(&early.reason);
    let late = of(PULLED_S + 1500);
    // Its own 8 mA are gone, and nothing more is.
    assert_eq!(late.finding, Finding::Lowers);
    assert!((late.change.unwrap().a + 0.008).abs() < 0.001);
    let whole = judged(&levels, PULLED_S + 1500, Some(ACCURATE), &marks);
    assert_eq!(whole.verdict, Verdict::Above, "{}", whole.verdict_why());
    let lines = lullboard::report::text::lines(&whole).join("\n");
    assert!(!lines.contains("cause:"), "{lines}");
    let TrialReason::WakesGoOn {
        every_s,
        seen,
        average_after_a,
    } = late.reason
    else {
        panic!("{:?}", late.reason)
    };
    assert!((every_s - 191.0).abs() < 1.0, "{every_s}");
    // 0.76 A for 15 s each, over the 1500 s.
    let true_a = 0.019 + 0.76 * 15.0 * f64::from(u32::try_from(seen).unwrap()) / 1500.0;
    assert!(
        (average_after_a - true_a).abs() < 0.001,
        "{average_after_a}"
    );
    assert!(
        late.why().contains("still wakes every 3 min 11 s"),
        "{}",
        late.why()
    );
    assert!(late.why().contains("on average 72.4 mA"), "{}", late.why());
}

/// Regular wakes of 191 s have stopped when none came for one and a half of their periods.
#[track_caller]
fn assert_not_over(reason: &TrialReason) {
    let is_open = matches!(
        *reason,
        TrialReason::WakesOpen {
            every_s,
            watched_s,
            needed_s,
        } if (every_s - 191.0).abs() < 1.0
            && watched_s < needed_s
            && (needed_s - 1.5 * 191.0).abs() < 2.0
    );
    assert!(is_open, "{reason:?}");
}

#[test]
fn the_waker_is_found_though_its_own_draw_is_too_small_to_matter() {
    let levels = [waking(0.026, 100, PULLED_S), vec![(PULLED_S, 0.0255)]].concat();
    let marks = [(PULLED_S, "pull L2")];
    let found = judged(&levels, PULLED_S + 2400, Some(ACCURATE), &marks);
    let trial = &found.trials[0];
    assert_eq!((trial.finding, trial.manner), (Finding::Clears, None));
    for words in [
        "the wakes stopped: none in 39 min",
        "before one every 3 min 11 s",
    ] {
        assert!(trial.why().contains(words), "{words}: {}", trial.why());
    }
    // Put back before that time was over, nothing is known of it.
    let marks = [(PULLED_S, "pull L2"), (PULLED_S + 150, "refit L2")];
    let hasty = &judged(&levels, PULLED_S + 2400, Some(ACCURATE), &marks).trials[0];
    assert_eq!(hasty.finding, Finding::CannotTell);
    assert_not_over(&hasty.reason);
    assert!(hasty.why().contains("the next time"), "{}", hasty.why());
}

/// The drain and the wakes are two faults: with one gone the car is not mended.
#[test]
fn a_drain_found_does_not_clear_a_car_that_may_wake_on() {
    let still = waking(0.029, PULLED_S + 161, PULLED_S + 1500);
    let levels = [waking(0.169, 100, PULLED_S), vec![(PULLED_S, 0.029)], still].concat();
    let marks = [(PULLED_S, "pull E5")];
    for end_s in [PULLED_S + 140, PULLED_S + 1500] {
        let trial = &judged(&levels, end_s, Some(ACCURATE), &marks).trials[0];
        assert_eq!(
            (trial.finding, trial.manner),
            (Finding::Lowers, Some(Manner::AtOnce)),
            "{}",
            trial.why()
        );
    }
    let stopped = [waking(0.169, 100, PULLED_S), vec![(PULLED_S, 0.029)]].concat();
    let trial = &judged(&stopped, PULLED_S + 1500, Some(ACCURATE), &marks).trials[0];
    assert_eq!(trial.finding, Finding::Clears, "{}", trial.why());
}

#[test]
fn a_meter_fuse_that_blows_at_the_pull_condemns_no_circuit() {
    for dead_a in [0.0, 0.0003] {
        let levels = [(0, 0.083), (600, dead_a)];
        let judged = judged(&levels, 1500, Some(ACCURATE), &[(600, "pull E9")]);
        let trial = &judged.trials[0];
        assert_eq!((trial.finding, trial.manner), (Finding::Spoiled, None));
        assert!(
            trial.why().contains("check the meter's fuse"),
            "{}",
            trial.why()
        );
        assert_eq!(judged.ledger, []);
        let plan = judged.plan.unwrap();
        assert!(
            plan.why().contains("check the meter's fuse"),
            "{}",
            plan.why()
        );
    }
    let levels = [(0, 0.083), (600, 0.0)];
    let marks = [(600, "pull E9"), (900, "refit E9")];
    let judged = judged(&levels, 1500, Some(ACCURATE), &marks);
    assert!(judged.trials.iter().all(|t| t.finding == Finding::Spoiled));
    assert!(judged.contradictions.is_empty(), "no load comes and goes");
}

/// Kept awake until the pull; then a stage of 230 mA for this long, and asleep.
fn falls_in_stages(stage_s: u32, end_s: u32) -> Judgement {
    let levels = [(0, 0.415), (660, 0.230), (660 + stage_s, 0.033)];
    judged(&levels, end_s, Some(ACCURATE), &[(600, "pull D9")])
}

#[test]
fn a_late_fall_is_judged_by_its_end_and_not_by_its_first_stage() {
    for stage_s in [240, 780] {
        // In the stage it may fall further, and just after its end nobody is asked who did it.
        for end_s in [660 + 200, 660 + stage_s + 70] {
            let open = falls_in_stages(stage_s, end_s);
            assert_eq!(open.verdict, Verdict::NotSettled, "{}", open.verdict_why());
            assert_eq!(open.unclaimed, []);
        }
        let staged = &falls_in_stages(stage_s, 660 + 200).trials[0];
        assert_eq!(
            (staged.finding, staged.manner),
            (Finding::Lowers, Some(Manner::Late))
        );
        assert_eq!(
            staged.stands_at,
            Some(Elapsed::from_secs(600.0 + 1.5 * 2700.0))
        );
        assert!(
            staged
                .why()
                .contains("so far: it may still fall until 1:17")
        );
        let fallen = &falls_in_stages(stage_s, 660 + stage_s + 70).trials[0];
        assert_eq!(fallen.finding, Finding::NotYet, "{}", fallen.why());
        let done = falls_in_stages(stage_s, 660 + stage_s + 1200);
        let trial = &done.trials[0];
        assert_eq!(
            (trial.finding, trial.manner),
            (Finding::Clears, Some(Manner::Late))
        );
        assert!((trial.change.unwrap().a + 0.382).abs() < 0.002);
        assert!(
            trial.why().contains("it fell in 2 stages"),
            "{}",
            trial.why()
        );
        assert_eq!(done.unclaimed, []);
        assert_eq!(done.verdict, Verdict::Below, "{}", done.verdict_why());
        assert_eq!(done.wakes, []);
    }
}

/// What fell later, within the time-out after it, is of the same deed, beside what went with its
/// fuse; after the time-out it is another deed.
#[test]
fn a_fall_after_a_direct_load_is_given_to_its_fuse_until_the_time_out() {
    let of = |later_s: u32| {
        let levels = [(0, 0.372), (601, 0.211), (later_s, 0.024)];
        judged(&levels, later_s + 900, Some(ACCURATE), &[(600, "pull D6")])
    };
    let within = of(900);
    let trial = &within.trials[0];
    assert_eq!(
        (trial.finding, trial.manner),
        (Finding::Clears, Some(Manner::Both))
    );
    let TrialReason::Fell {
        own_a: Some(own_a),
        later_a,
        ..
    } = trial.reason
    else {
        panic!("{:?}", trial.reason)
    };
    assert!((own_a - 0.161).abs() < 0.002 && (later_a - 0.187).abs() < 0.004);
    assert_eq!(within.unclaimed, []);
    // Long past it, with half as much again for a time-out that was stated too short.
    let after = of(90 * MIN);
    let trial = &after.trials[0];
    assert_eq!(
        (trial.finding, trial.manner),
        (Finding::Lowers, Some(Manner::AtOnce))
    );
    assert_eq!(after.unclaimed.len(), 1);
}

/// What stands is not taken back: a finding that a later fall could change is `so far`.
#[test]
fn what_a_trial_says_after_its_moment_stands() {
    let levels = [(0, 0.372), (601, 0.211), (60 * MIN, 0.024)];
    let of = |end_s: u32| {
        let marks = [(600, "pull D6")];
        judged(&levels, end_s, Some(ACCURATE), &marks).trials[0].clone()
    };
    let open = of(30 * MIN);
    let stands_at = open.stands_at.unwrap();
    let said = of(59 * MIN);
    assert_eq!(said.finding, Finding::Lowers);
    let now = of(75 * MIN);
    if stands_at < Elapsed::from_secs(59.0 * 60.0) {
        assert_eq!((now.finding, now.manner), (said.finding, said.manner));
    } else {
        assert!(said.stands_at.is_some());
    }
}

#[test]
fn a_good_repair_does_not_read_as_failed() {
    let levels = [(0, 0.274), (600, 0.028)];
    let of = |new_a: f64, end_s: u32| {
        let levels = [&levels[..], &[(1200, new_a)]].concat();
        let marks = [
            (600, "unplug tailgate latch switch"),
            (1200, "swap tailgate latch switch"),
        ];
        judged(&levels, end_s, Some(ACCURATE), &marks).trials[1].clone()
    };
    let good = of(0.0281, 1800);
    assert_eq!((good.finding, good.manner), (Finding::Clears, None));
    let than_old_a = good.change.unwrap().a;
    assert!((than_old_a + 0.246).abs() < 0.003, "{than_old_a}");
    assert!(good.why().contains("with the new part"), "{}", good.why());
    // What the old part held up is no ground for the new one: it has its time-out to fall.
    let early = of(0.274, 1800);
    assert_eq!(early.finding, Finding::NotYet, "{}", early.why());
    let bad = of(0.274, 1200 + 80 * MIN);
    assert_eq!(bad.finding, Finding::NoChange, "{}", bad.why());
    assert!(bad.change.unwrap().a.abs() < 0.003, "{:?}", bad.change);
}

#[test]
fn one_load_on_two_fuses_is_not_given_to_both() {
    let levels = [(0, 0.233), (2400, 0.024)];
    let marks = [
        (600, "pull E8"),
        (1200, "refit E8"),
        (1800, "pull L12"),
        (2400, "pull E8"),
    ];
    let judged = judged(&levels, 3000, Some(ACCURATE), &marks);
    let [share] = judged.ledger.as_slice() else {
        panic!("{:?}", judged.ledger)
    };
    assert_eq!(share.what, ["E8", "L12"]);
    assert!((share.level.a - 0.209).abs() < share.level.u_a);
    assert!((judged.rest_a.unwrap() - 0.024).abs() < 0.001);
    let plan = judged.plan.unwrap();
    assert!(plan.why().contains("E8+L12 draw 209 mA"), "{}", plan.why());
}

#[test]
fn two_spellings_are_one_fuse() {
    let levels = [(0, 0.131), (600, 0.022), (1200, 0.131)];
    let marks = [(600, "pull E20"), (1200, "refit e20")];
    let session = recorded(&levels, 1800, Some(ACCURATE), &marks);
    assert!(session.out_now().is_empty(), "{:?}", session.out_now());
    let judged = judge(&session);
    let findings: Vec<Finding> = judged.trials.iter().map(|trial| trial.finding).collect();
    assert_eq!(findings, [Finding::Clears, Finding::Raises]);
    let back = &judged.trials[1];
    assert!(
        back.why().contains("as before it came out"),
        "{}",
        back.why()
    );
    assert!(!back.why().contains("woke"), "its own load is no wake");
    assert!(
        !judged.verdict_why().contains("out"),
        "{}",
        judged.verdict_why()
    );
}

#[test]
fn the_wrong_label_is_not_taken_in_silence() {
    let levels = [(0, 0.116), (600, 0.023)];
    let why = |marks: &[(u32, &str)]| {
        let judged = judged(&levels, 1800, Some(ACCURATE), marks);
        assert!(judged.contradictions.is_empty());
        let last = judged.trials.last().unwrap().clone();
        assert_eq!(last.finding, Finding::Spoiled, "{}", last.why());
        last.why()
    };
    let other = why(&[(600, "pull L6"), (1200, "refit L16")]);
    assert!(other.contains("L16 was never out; out are: L6"), "{other}");
    let none = why(&[(600, "refit L6")]);
    assert!(none.contains("L6 was never out; nothing is out"), "{none}");
    let twice = why(&[(600, "pull L6"), (1200, "pull L6")]);
    assert!(
        twice.contains("L6 is out already, since 0:10:00"),
        "{twice}"
    );
}

/// There is no map here whose fuses could all have been tried.
#[test]
fn a_generator_is_not_suspected_after_one_fuse() {
    let judged = judged(&[(0, 0.138)], 1200, Some(ACCURATE), &[(600, "pull E6")]);
    let plan = judged.plan.unwrap();
    assert!(plan.why().contains("pull another fuse"), "{}", plan.why());
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
        let mark = (half == 1200)
            .then(|| Fact::Mark(Box::new(parse_mark(MarkId(1), "pull E13").unwrap())));
        for fact in mark.into_iter().chain([Fact::Reading(value)]) {
            session.apply(&Entry { t, fact });
        }
    }
    judge(&session)
}

#[test]
fn a_meter_on_hold_clears_no_fuse() {
    let held = &displayed(0.1370, 4, |_| false).trials[0];
    assert_eq!(held.finding, Finding::CannotTell);
    let TrialReason::Frozen { for_s } = held.reason else {
        panic!("{:?}", held.reason)
    };
    assert!((for_s - 20.0 * 60.0).abs() < 3.0, "{for_s}");
    assert!(
        held.why().contains("is the meter on HOLD?"),
        "{}",
        held.why()
    );
    // Milliamperes that moved before the hold, and not since.
    let held = &displayed(0.137, 3, |second| second < 300).trials[0];
    assert_eq!(held.finding, Finding::CannotTell, "{}", held.why());
    assert!(matches!(held.reason, TrialReason::Frozen { .. }));
    let live = &displayed(0.1370, 4, |_| true).trials[0];
    assert_eq!(live.finding, Finding::NoChange, "{}", live.why());
    // A display of 10 mA steps repeats honestly.
    let coarse = &displayed(0.14, 2, |_| false).trials[0];
    assert!(!matches!(coarse.reason, TrialReason::Frozen { .. }));
    assert!(!coarse.why().contains("HOLD"), "{}", coarse.why());
}

/// A map light that burns for six hours of the night. Mean: 0.028 + 0.314 x 6 / 15.85 = 147 mA.
#[test]
fn a_load_that_comes_for_hours_and_goes_does_not_pass() {
    let levels = down_to(&[(500, 0.028), (360 * MIN, 0.342), (720 * MIN, 0.028)]);
    let judged = awake(&levels, 960 * MIN, Some(ACCURATE), &[(20, "lock")]);
    let reason = decided(&judged, Verdict::CannotTell);
    assert!(
        matches!(reason, VerdictReason::FewWakes { wakes: 1, .. }),
        "{reason:?}"
    );
    let [wake] = judged.wakes[..] else {
        panic!("{:?}", judged.wakes)
    };
    assert!(
        (wake.charge_as - 0.314 * 6.0 * 3600.0).abs() < 20.0,
        "{wake:?}"
    );
    let band = judged.settled.unwrap().average_band();
    let words = judged.settled.unwrap().average_in_words();
    assert!(words.starts_with("147 mA (24."), "{words}");
    assert!(band.low > 0.024, "never below its level: {band:?}");
}

/// The same load from the start: it may have been a late sleep, so the meter is not blamed either.
#[test]
fn a_load_that_went_by_itself_after_hours_does_not_pass() {
    let levels = down_to(&[(500, 0.325), (360 * MIN, 0.026)]);
    let judged = awake(&levels, 600 * MIN, Some(ACCURATE), &[(20, "lock")]);
    let reason = decided(&judged, Verdict::CannotTell);
    let VerdictReason::Stood { level_a, for_s, .. } = *reason else {
        panic!("{reason:?}")
    };
    assert!((level_a - 0.325).abs() < 0.001, "{level_a}");
    assert!((5.7 * 3600.0..=6.0 * 3600.0).contains(&for_s), "{for_s}");
    let [step] = &judged.unclaimed[..] else {
        panic!("{:?}", judged.unclaimed)
    };
    assert!((step.t.secs() - 6.0 * 3600.0).abs() < 5.0, "{step:?}");
    says(&judged, Verdict::CannotTell, &["what was done then?"]);
}

/// 1.7 A for 20 min in four hours may have been a hand, and once is no rate: it is left out of the
/// average and asked about, and until then nothing stands.
#[test]
fn one_long_wake_is_listed_and_asked_about() {
    let levels = down_to(&[(900, 0.022), (9000, 1.7), (10_200, 0.022)]);
    let judged = awake(&levels, 240 * MIN, Some(ACCURATE), &[(20, "lock")]);
    says(&judged, Verdict::Below, &["was that a hand?"]);
    let mut reasons = judged.reasons.iter();
    let touched = reasons.find(|reason| matches!(reason, VerdictReason::Touched { .. }));
    let Some(&VerdictReason::Touched {
        at_s,
        for_s,
        charge_as,
    }) = touched
    else {
        panic!("{:?}", judged.reasons)
    };
    assert!((at_s - 9000.0).abs() < 2.0 && (for_s - 1200.0).abs() < 2.0);
    assert!((charge_as - 1.678 * 1200.0).abs() < 10.0, "{charge_as}");
    assert_eq!(judged.wakes.len(), 1);
    assert_eq!(judged.unclaimed.len(), 1);
    assert!(judged.stands_at.is_some(), "below so far");
}

/// A tank's self-test: five minutes of 2.4 A in a night. 26 mA + 2.374 x 300 / 42600 s = 42.7 mA.
#[test]
fn one_wake_in_a_night_asks_for_no_week() {
    let levels = down_to(&[(600, 0.026), (300 * MIN, 2.4), (305 * MIN, 0.026)]);
    let judged = awake(&levels, 720 * MIN, Some(ACCURATE), &[(20, "lock")]);
    let reason = decided(&judged, Verdict::CannotTell);
    assert!(
        matches!(
            reason,
            VerdictReason::FewWakes {
                wakes: 1,
                more_s: None,
                ..
            }
        ),
        "{reason:?}"
    );
    let average_a = judged.settled.unwrap().average.a;
    assert!((average_a - 0.0427).abs() < 0.0003, "{average_a}");
    says(&judged, Verdict::CannotTell, &["another night"]);
    assert!(!judged.verdict_why().contains(" d "));
}

/// The fall happened while the meter was off: what stood before it is no wake.
#[test]
fn a_fall_in_a_hole_makes_no_average_below_the_level() {
    let levels = down_to(&[(500, 0.114), (60 * MIN, f64::NAN), (240 * MIN, 0.032)]);
    let judged = awake(&levels, 270 * MIN, Some(ACCURATE), &[(20, "lock")]);
    let average = judged.settled.unwrap().average;
    assert!(
        (average.a - 0.032).abs() < 0.001 && average.u_a < 0.005,
        "{average:?}"
    );
}

/// Modules that fall asleep one after the other are no wakes.
#[test]
fn a_late_fall_in_stages_is_no_wake() {
    let levels = [
        (0, 3.5),
        (20, 1.7),
        (90, 0.46),
        (61 * MIN, 0.19),
        (65 * MIN, 0.027),
    ];
    let marks = [(20, "lock"), (60 * MIN, "pull D8")];
    let judged = awake(&levels, 100 * MIN, Some(ACCURATE), &marks);
    says(&judged, Verdict::Below, &[]);
}

/// Readings of `level_a` at a moment in seconds, with one place of noise in the tenths of a
/// milliampere.
fn moving(
    card: Card,
    end_s: u32,
    marks: &[(u32, &str)],
    level_a: impl Fn(f64) -> f64,
) -> Judgement {
    let reading = |half: u32| {
        let wiggle_a = 0.0003 * f64::from(half % 3) - 0.0003;
        Some(Amps::rounded(level_a(f64::from(half) / 2.0) + wiggle_a, 4))
    };
    judge(&played(card, end_s, marks, reading))
}

/// A true 40 mA under a clamp that drifts by 20 mA an hour: 77 mA after two hours.
#[test]
fn a_drifting_clamp_does_not_condemn_a_good_car() {
    let marks = [(5, "zero"), (20, "lock")];
    let down = down_to(&[(900, 0.040)]);
    let drifting = |per_hour_a: f64| {
        let down = down.clone();
        move |t_s: f64| {
            let half = down
                .iter()
                .rev()
                .find(|(from_s, _)| f64::from(*from_s) <= t_s);
            half.unwrap().1 + per_hour_a * t_s / 3600.0
        }
    };
    for drift_a_per_h in [None, Some(0.005)] {
        let card = Card {
            accuracy: Some(ACCURATE),
            drift_a_per_h,
            ..Card::default()
        };
        let judged = moving(card, 120 * MIN, &marks, drifting(0.020));
        let reason = decided(&judged, Verdict::CannotTell);
        let VerdictReason::Moves { a_per_h, is_clamp } = *reason else {
            panic!("{reason:?}")
        };
        assert!(is_clamp && (a_per_h - 0.020).abs() < 0.0005, "{a_per_h}");
        says(
            &judged,
            Verdict::CannotTell,
            &["rises by 20.0 mA an hour", "zero it again"],
        );
    }
    let card = Card {
        accuracy: Some(ACCURATE),
        ..Card::default()
    };
    let judged = moving(card, 120 * MIN, &marks, |t_s| drifting(0.0)(t_s) + 0.2);
    says(&judged, Verdict::Above, &[]);
}

/// Still falling after two hours, from 340 to 55 mA, towards 40.
fn falls_on_and_on() -> Judgement {
    let card = Card {
        accuracy: Some(ACCURATE),
        ..Card::default()
    };
    moving(card, 120 * MIN, &[(20, "lock")], |t_s| match t_s {
        t_s if t_s < 20.0 => 3.1,
        t_s if t_s < 90.0 => 1.8,
        t_s => 0.040 + 0.3 * (-t_s / 2400.0).exp(),
    })
}

#[test]
fn a_car_that_is_still_falling_is_not_above() {
    let judged = falls_on_and_on();
    let reason = decided(&judged, Verdict::NotSettled);
    let VerdictReason::Moves { a_per_h, is_clamp } = *reason else {
        panic!("{reason:?}")
    };
    assert!(!is_clamp && a_per_h < -0.010, "{a_per_h}");
    says(&judged, Verdict::NotSettled, &["it falls by", "wait on"]);
}

/// A slope is no step: nothing was done, and at no level did the car stand.
#[test]
fn nobody_is_asked_who_did_what_falls_all_the_time() {
    let judged = falls_on_and_on();
    assert_eq!(judged.unclaimed, []);
    let stood = |reason: &VerdictReason| matches!(reason, VerdictReason::Stood { .. });
    assert!(!judged.reasons.iter().any(stood), "{:?}", judged.reasons);
}

/// Chatter on the bus: 376 and 409 mA by turns, every seven seconds, all night.
#[test]
fn a_car_that_never_rests_is_above() {
    let card = || Card {
        accuracy: Some(ACCURATE),
        ..Card::default()
    };
    let chatter = |low_a: f64| {
        move |t_s: f64| match t_s {
            t_s if t_s < 90.0 => 2.2,
            t_s if (t_s / 7.0).rem_euclid(2.0) < 1.0 => low_a,
            _ => low_a + 0.033,
        }
    };
    let judged = moving(card(), 360 * MIN, &[(20, "lock")], chatter(0.376));
    let reason = decided(&judged, Verdict::Above);
    let VerdictReason::Measured { low_a, high_a, .. } = *reason else {
        panic!("{reason:?}")
    };
    // Half the time at either level.
    assert!(
        low_a < 0.3925 && 0.3925 < high_a && high_a < 0.409,
        "{low_a} {high_a}"
    );
    assert!(!judged.slept, "it never was below its limit");
    // Levels on both sides of the limit are judged by their mean, here 49.5 mA.
    let near = moving(card(), 360 * MIN, &[(20, "lock")], chatter(0.033));
    says(&near, Verdict::CannotTell, &[]);
    // It proves nothing in a car that nobody locked, nor so early.
    let marks = [(20, "lock"), (60, "unlock")];
    let open = moving(card(), 360 * MIN, &marks, chatter(0.585));
    says(&open, Verdict::NotSettled, &[]);
    let early = moving(card(), 40 * MIN, &[(20, "lock")], chatter(0.376));
    assert_eq!(
        early.verdict,
        Verdict::NotSettled,
        "{}",
        early.verdict_why()
    );
}

#[test]
fn a_hole_in_the_watch_stands_beside_the_verdict() {
    let levels = down_to(&[(500, 0.029), (60 * MIN, f64::NAN), (240 * MIN, 0.029)]);
    let judged = awake(&levels, 270 * MIN, Some(ACCURATE), &[(20, "lock")]);
    says(
        &judged,
        Verdict::Below,
        &["no readings for 3 h of 4 h 30 min"],
    );
    let whole = awake(
        &down_to(&[(500, 0.029)]),
        90 * MIN,
        Some(ACCURATE),
        &[(20, "lock")],
    );
    assert!(!whole.verdict_why().contains("no readings"));
}

/// U of a meter that nobody described is that of a plain handheld: 1.5 % + 3 counts of 10 mA are
/// 30.9 mA at 60 mA, U 35.7 mA (GUM 4.3.7: the limits over root three, times two).
#[test]
fn an_unknown_meter_is_no_perfect_one() {
    let card = || Card::default();
    let coarse = |half| Some(Amps::rounded(level(&down_to(&[(600, 0.060)]), half), 2));
    let judged = judge(&played(card(), 80 * MIN, &[(20, "lock")], coarse));
    says(&judged, Verdict::CannotTell, &["accuracy"]);
    let u_a = judged.settled.unwrap().level.u_a;
    assert!((0.034..0.037).contains(&u_a), "{u_a}");
    let high = awake(&down_to(&[(600, 0.455)]), 80 * MIN, None, &[(20, "lock")]);
    says(&high, Verdict::Above, &["plain handheld, 1.5 % + 3 counts"]);
    assert!(high.settled.unwrap().level.u_a > 0.004);
}

#[test]
fn below_so_far_does_not_hide_that_the_meter_is_unknown() {
    let judged = awake(&down_to(&[(600, 0.031)]), 700, None, &[(20, "lock")]);
    says(
        &judged,
        Verdict::Below,
        &[
            "so far: the time-out has not run yet",
            "accuracy was not given",
        ],
    );
}

/// 70 min of 32.0 mA to the last digit; a display of whole milliampere may repeat itself.
#[test]
fn a_display_on_hold_does_not_pass_the_car() {
    let shown = |places| {
        let card = Card {
            accuracy: Some(ACCURATE),
            ..Card::default()
        };
        let levels = down_to(&[(600, 0.032)]);
        let reading = |half| Some(Amps::rounded(level(&levels, half), places));
        judge(&played(card, 80 * MIN, &[(20, "lock")], reading))
    };
    says(
        &shown(4),
        Verdict::CannotTell,
        &["not one digit has moved for 1 h 9 min", "HOLD"],
    );
    says(&shown(3), Verdict::Below, &[]);
}

#[test]
fn a_log_in_milliampere_is_no_car_of_45_ampere() {
    for marks in [&[][..], &[(20, "lock")]] {
        let judged = awake(&[(0, 45.0)], 70 * MIN, Some(ACCURATE), marks);
        assert_ne!(judged.verdict, Verdict::Above, "{}", judged.verdict_why());
        assert!(
            judged
                .verdict_why()
                .contains("45 A parked? A log in milliampere is read with --unit mA")
        );
    }
}

/// Whoever types a reading every five minutes works at the car too.
#[test]
fn a_value_every_five_minutes_is_judged() {
    let of = |asleep_a: f64, end_s: u32| {
        let card = Card {
            accuracy: Some(ACCURATE),
            ..Card::default()
        };
        let levels = down_to(&[(900, asleep_a)]);
        let reading = |half: u32| {
            half.is_multiple_of(600)
                .then(|| Amps::rounded(level(&levels, half), 3))
        };
        judge(&played(card, end_s, &[(20, "lock")], reading))
    };
    let above = of(0.107, 85 * MIN);
    says(&above, Verdict::Above, &[]);
    let level = above.settled.unwrap().level;
    assert!((level.a - 0.107).abs() < level.u_a && level.u_a < 0.005);
    says(&of(0.021, 85 * MIN), Verdict::Below, &[]);
    // Before the time-out it may still fall, however it was read.
    let early = of(0.107, 35 * MIN);
    assert_ne!(early.verdict, Verdict::Above, "{}", early.verdict_why());
}

/// A loose lead at two readings a second: every second or third reading is exactly zero.
#[test]
fn zeros_between_readings_are_no_part_of_the_average() {
    let card = Card {
        accuracy: Some(ACCURATE),
        asleep_at_start: Some(true),
        ..Card::default()
    };
    let loose = |half: u32| {
        let is_zero = half.wrapping_mul(2_654_435_761) >> 28 < 7;
        let a = 0.065 + 0.001 * f64::from(half % 3) - 0.001;
        Some(Amps::rounded(if is_zero { 0.0 } else { a }, 3))
    };
    let judged = judge(&played(card, 1800, &[], loose));
    says(&judged, Verdict::Above, &[]);
    let average = judged.average.unwrap().level;
    assert!((average.a - 0.065).abs() < average.u_a, "{average:?}");
}

#[test]
fn a_charger_is_no_evidence_of_what_the_car_draws() {
    let levels = [
        (0, 2.9),
        (240, 1.1),
        (540, 0.027),
        (2400, -1.9),
        (3300, 0.027),
    ];
    let asleep = awake(&levels, 5400, Some(ACCURATE), &[(0, "lock")]);
    says(&asleep, Verdict::Below, &[]);
    assert!((asleep.settled.unwrap().average.a - 0.027).abs() < 0.002);
    let charging = awake(&levels, 3000, Some(ACCURATE), &[(0, "lock")]);
    says(
        &charging,
        Verdict::CannotTell,
        &["being charged", "take the charger off"],
    );
    // Turned round from the beginning to the end is another thing, and has its own word.
    let turned = judged(&[(0, -0.19)], 1200, Some(ACCURATE), &[]);
    says(
        &turned,
        Verdict::CannotTell,
        &["turn the clamp or the leads"],
    );
}

/// With the last fuse out next to nothing is left; what is put back shows that the meter sees.
#[test]
fn next_to_nothing_with_most_fuses_out_is_no_dead_meter() {
    let levels = [(0, 0.083), (600, 0.0004), (1200, 0.083)];
    let marks = [(600, "pull E9"), (1200, "refit E9")];
    let judged = judged(&levels, 1800, Some(ACCURATE), &marks);
    let findings: Vec<Finding> = judged.trials.iter().map(|trial| trial.finding).collect();
    assert_eq!(findings, [Finding::Clears, Finding::Raises]);
}

/// Wakes beyond the range have no known top: the level is far from the limit, and still nobody can
/// tell; what helps is another range, not a finer meter.
#[test]
fn wakes_beyond_the_range_ask_for_a_higher_one() {
    let card = Card {
        accuracy: Some(ACCURATE),
        asleep_at_start: Some(true),
        ..Card::default()
    };
    let mut session = played(card, 0, &[], |_| None);
    for half in 0..2 * 3 * 3600u32 {
        let t = Elapsed::from_ms(i64::from(half) * 500);
        let reading = one_place_of_noise(&[(0, 0.024)], half).map(Measured::Amps);
        let is_wake = half % 600 < 40 && half >= 600;
        let reading = if is_wake {
            Some(Measured::Over)
        } else {
            reading
        };
        session.apply(&Entry {
            t,
            fact: Fact::Reading(reading.unwrap()),
        });
    }
    let judged = judge(&session);
    let VerdictReason::WakesOver { level_a, wakes } = decided(&judged, Verdict::CannotTell) else {
        panic!("{:?}", judged.reasons);
    };
    assert!(
        (level_a - 0.024).abs() < 5e-4 && *wakes > 30,
        "{level_a} {wakes}"
    );
    let why = judged.verdict_why();
    assert!(
        why.starts_with("at rest 24.0 mA, but with ") && why.contains("in a higher range"),
        "{why}"
    );
    let wake = judged.wakes[0].in_words("0:05:00");
    assert!(
        wake.contains("up to at least ") && wake.contains(", at least "),
        "{wake}"
    );
}

/// What rises for hours is no wake: its average is told by the time that it was taken over.
#[test]
fn an_average_without_a_wake_is_not_blamed_on_one() {
    let steps: Vec<(u32, f64)> = (0..480)
        .map(|minute| (minute * 60, 0.030 + 0.110 * f64::from(minute) / 480.0))
        .collect();
    let judged = judged(&steps, 8 * 3600, Some(ACCURATE), &[]);
    let settled = judged.settled.as_ref().unwrap();
    let said = words::draw::drawn(&judged, settled);
    assert!(judged.wakes.is_empty(), "{:?}", judged.wakes);
    assert!(
        said.contains(" on average over ") && !said.contains("wakes"),
        "{said}"
    );
}

fn timed_out_after(
    minutes: f64,
    levels: &[(u32, f64)],
    end_s: u32,
    marks: &[(u32, &str)],
) -> Judgement {
    let card = Card {
        accuracy: Some(ACCURATE),
        sleep_timeout_s: Some(minutes * 60.0),
        ..Card::default()
    };
    let reading = |half| one_place_of_noise(levels, half);
    judge(&played(card, end_s, marks, reading))
}

/// A car that needs longer to sleep than its data say goes to sleep two minutes after a fuse that
/// has nothing to do with it; with the fuse back in it sleeps on.
#[test]
fn a_part_with_which_the_car_sleeps_on_kept_nobody_awake() {
    let levels = [(0, 2.1), (300, 0.29), (1620, 0.021)];
    let marks = [(10, "lock"), (1500, "pull E4"), (2700, "refit E4")];
    let judged = timed_out_after(20.0, &levels, 4200, &marks);
    let [pulled, refitted] = judged.trials.as_slice() else {
        panic!("{:?}", judged.trials);
    };
    assert!(
        matches!(pulled.reason, TrialReason::AsleepWithIt { fell_a, .. } if (fell_a - 0.269).abs() < 0.003),
        "{pulled:?}"
    );
    assert_eq!((pulled.finding, pulled.manner), (Finding::CannotTell, None));
    assert_eq!(refitted.finding, Finding::NoChange);
    assert_eq!(words::cause::cause(&judged, str::to_owned), None);
    // Until it is put back it is the likeliest.
    let before = timed_out_after(20.0, &levels, 2690, &marks[..2]);
    assert_eq!(before.trials[0].manner, Some(Manner::Late));
}

/// What kept the car awake came out two minutes before it slept, and another fuse in between; with
/// that one back in, the car sleeps on without the first.
#[test]
fn a_state_that_came_down_further_later_is_judged_by_that() {
    let levels = [(0, 2.1), (300, 0.31), (2160, 0.018)];
    for second_s in [2110, 2145] {
        let marks = [
            (10, "lock"),
            (2000, "pull D2"),
            (second_s, "pull E4"),
            (3000, "refit E4"),
        ];
        let judged = timed_out_after(20.0, &levels, 4200, &marks);
        let keeper = &judged.trials[0];
        assert_eq!(
            (keeper.finding, keeper.manner),
            (Finding::Clears, Some(Manner::Late)),
            "{keeper:?}"
        );
        assert!(
            !judged.trials[1].finding.is_fall(),
            "{:?}",
            judged.trials[1]
        );
        let cause = words::cause::cause(&judged, str::to_owned).unwrap();
        assert!(cause.contains("D2") && !cause.contains("E4"), "{cause}");
    }
}

/// A refit written under another fuse's name says nothing of the fuse that came out, and what
/// stands after it is the level of no state that is known.
#[test]
fn a_misnamed_refit_takes_nothing_back() {
    let levels = [(0, 2.1), (300, 0.27), (2400, 0.022), (3000, 0.27)];
    let marks = [(10, "lock"), (2400, "pull E4"), (3000, "refit E5")];
    let judged = timed_out_after(20.0, &levels, 4800, &marks);
    let pulled = &judged.trials[0];
    assert_eq!(
        (pulled.finding, pulled.manner),
        (Finding::Clears, Some(Manner::AtOnce)),
        "{pulled:?}"
    );
    assert_eq!(judged.trials[1].finding, Finding::Spoiled);
    assert_eq!(judged.verdict, Verdict::Above);
    let share = judged
        .ledger
        .iter()
        .find(|share| share.what == ["E4"])
        .unwrap();
    assert!((share.level.a - 0.248).abs() < 0.004, "{share:?}");
}

/// A level that wanders by some milliamperes fell by four, with no fall that anybody could see: that
/// names nobody who kept others awake.
#[test]
fn a_fall_that_shows_neither_at_once_nor_later_has_no_manner() {
    let wander = |t_s: u32| 0.090 + 0.0012 * (f64::from(t_s) / 170.0).sin();
    let levels: Vec<(u32, f64)> = (0..5400)
        .step_by(5)
        .map(|t_s| (t_s, wander(t_s) - if t_s < 2700 { 0.0 } else { 0.0042 }))
        .collect();
    let judged = judged(&levels, 5400, Some(ACCURATE), &[(2660, "pull E4")]);
    let pulled = &judged.trials[0];
    assert_ne!(pulled.manner, Some(Manner::Late), "{pulled:?}");
    assert!(pulled.change.unwrap().a < -0.003, "{pulled:?}");
}

/// A state that stood above the limit past its time-out and rested below later: a lock wakes the
/// car, and the old level is no proof that it sleeps again.
#[test]
fn a_level_that_came_down_later_proves_no_sleep() {
    let levels = [
        (0, 2.1),
        (300, 0.29),
        (1620, 0.021),
        (3600, 2.1),
        (3720, 0.29),
    ];
    let marks = [
        (10, "lock"),
        (1500, "pull E4"),
        (2700, "refit E4"),
        (3600, "lock"),
    ];
    let judged = timed_out_after(20.0, &levels, 4100, &marks);
    assert_ne!(judged.verdict, Verdict::Above, "{:?}", judged.reasons);
}
