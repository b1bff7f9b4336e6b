//! The stories' own hunts, judged: what each story is made to show is what the judge finds.
//!
//! Truth stands in `src/rehearsal/stories`; what is asserted here is what any right judge must say
//! of it, not how this one words it.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use lullboard::judge::finding::{Finding, Manner, Verdict};
use lullboard::judge::{Judgement, Trial, judge};
use lullboard::rehearsal::{play, stories};
use lullboard::session::Session;
use lullboard::session::mark::Did;

/// The story's hunt as far as `until_s`, judged.
fn judged_until(name: &str, until_s: f64) -> Judgement {
    let story = stories::find(name).unwrap();
    let (header, entries) = play(story, story.seed);
    let mut session = Session::new(header);
    for entry in entries.iter().take_while(|entry| entry.t.secs() < until_s) {
        session.apply(entry);
    }
    judge(&session)
}

fn judged(name: &str) -> Judgement {
    judged_until(name, f64::MAX)
}

fn trial<'a>(judged: &'a Judgement, did: Did, label: &str) -> &'a Trial {
    let found = |trial: &&Trial| trial.did == did && trial.what.iter().any(|what| what == label);
    judged.trials.iter().find(found).unwrap()
}

/// Every hunt is a fault found and mended, or nothing at all: it ends below the limit, watched
/// past the time-out.
#[test]
fn every_story_ends_below() {
    for story in stories::all() {
        let judged = judged(story.name);
        assert_eq!(judged.verdict, Verdict::Below, "{}", story.name);
        assert_eq!(judged.plan, None, "{}", story.name);
    }
}

/// And each faulty car was above it before anything was touched.
#[test]
fn every_faulty_car_is_above_before_the_first_fuse_comes_out() {
    for (name, first_s) in [
        ("steady-draw", 1415.0),
        ("late-fall", 1325.0),
        ("two-boxes", 1635.0),
        ("short-wakes", 1645.0),
    ] {
        let judged = judged_until(name, first_s);
        assert_eq!(judged.verdict, Verdict::Above, "{name}");
    }
}

#[test]
fn a_level_that_is_flat_before_the_time_out_is_not_called_the_end() {
    for until_s in [500.0, 760.0, 1000.0, 1100.0] {
        let judged = judged_until("false-floor", until_s);
        assert_eq!(judged.verdict, Verdict::NotSettled, "{until_s}");
    }
    let judged = judged("false-floor");
    let removed = judged.trials.iter().filter(|trial| trial.did.removes());
    let findings: Vec<Finding> = removed.map(|trial| trial.finding).collect();
    assert_eq!(findings, [Finding::NoChange]);
    let settled = judged.settled.unwrap();
    assert!(
        (settled.level.a - 0.0170).abs() < settled.level.u_a,
        "{settled:?}"
    );
}

#[test]
fn a_steady_draw_leaves_with_its_fuse_and_is_gone_after_the_opened_car() {
    let pulled = judged_until("steady-draw", 1615.0);
    let pull = trial(&pulled, Did::Pull, "L5");
    assert_eq!(
        (pull.finding, pull.manner),
        (Finding::Clears, Some(Manner::AtOnce))
    );
    let judged = judged("steady-draw");
    assert_eq!(judged.ledger[0].what, ["L5"]);
    assert!((judged.ledger[0].level.a - 0.412).abs() < judged.ledger[0].level.u_a);
    // Locked again without the relay, the car must come to rest below the limit.
    let without = judged_until("steady-draw", 3295.0);
    assert_eq!(without.verdict, Verdict::Below);
    let level = without.settled.unwrap().level;
    assert!((level.a - 0.0270).abs() < level.u_a, "{level:?}");
}

#[test]
fn what_keeps_awake_is_told_from_what_draws() {
    let judged = judged("late-fall");
    for (did, label, manner) in [
        (Did::Pull, "L7", Manner::AtOnce),
        (Did::Unplug, "trailer module", Manner::AtOnce),
        (Did::Unplug, "tailgate latch switch", Manner::Late),
    ] {
        let trial = trial(&judged, did, label);
        assert_eq!(trial.finding, Finding::Clears, "{label}");
        assert_eq!(trial.manner, Some(manner), "{label}");
    }
    assert_eq!(judged.ledger[0].what, ["L7"]);
    assert!((judged.ledger[0].level.a - 0.347).abs() < judged.ledger[0].level.u_a);
}

#[test]
fn a_draw_of_two_boxes_is_split_over_its_circuits() {
    let judged = judged("two-boxes");
    let whole = trial(&judged, Did::Unplug, "amplifier");
    assert_eq!(
        (whole.finding, whole.manner),
        (Finding::Clears, Some(Manner::AtOnce))
    );
    assert_eq!(trial(&judged, Did::Pull, "L4").finding, Finding::Clears);
    for (label, a) in [("E17", 0.137), ("L4", 0.061), ("D6", 0.0)] {
        let share = judged.ledger.iter().find(|share| share.what == [label]);
        let share = share.unwrap();
        assert!((share.level.a - a).abs() < share.level.u_a, "{share:?}");
    }
}

/// The truth of it: 9 s at 1.24 A every 140 s above 28.6 mA is about 108 mA on average.
#[test]
fn regular_wakes_are_counted_stop_with_the_part_and_come_back_with_it() {
    let before = judged_until("short-wakes", 1645.0);
    let settled = before.settled.unwrap();
    assert!(
        (settled.level.a - 0.0286).abs() < settled.level.u_a,
        "{settled:?}"
    );
    assert!((0.095..0.125).contains(&settled.average.a), "{settled:?}");
    let judged = judged("short-wakes");
    let first = &judged.cycles[0];
    assert!((first.period_s - 140.0).abs() < 4.0, "{first:?}");
    assert!((first.width_s - 9.0).abs() < 2.0, "{first:?}");
    let at = |did: Did, label: &str| trial(&judged, did, label).t;
    let part = "tyre-pressure receiver";
    let wakes_in = |from, to| {
        let within = judged.wakes.iter().filter(|w| w.from > from && w.from < to);
        within.count()
    };
    assert_eq!(wakes_in(at(Did::Pull, "D10"), at(Did::Refit, "D10")), 0);
    assert_eq!(wakes_in(at(Did::Unplug, part), at(Did::Plug, part)), 0);
    assert!(wakes_in(at(Did::Plug, part), at(Did::Swap, part)) >= 3);
    let repaired = at(Did::Swap, part);
    assert!(judged.wakes.iter().all(|wake| wake.to < repaired));
    for (did, label) in [(Did::Pull, "D10"), (Did::Unplug, part)] {
        assert_eq!(trial(&judged, did, label).finding, Finding::Clears);
    }
}
