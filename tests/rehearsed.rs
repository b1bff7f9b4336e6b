//! The stories' own hunts, judged: what each story is made to show is what the judge finds.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use lullboard::judge::finding::{Finding, Manner, Verdict};
use lullboard::judge::{Judgement, Trial, judge};
use lullboard::rehearsal::{play, stories};
use lullboard::session::Session;
use lullboard::session::mark::Did;

fn judged(name: &str) -> Judgement {
    let story = stories::find(name).unwrap();
    let (header, entries) = play(story, story.seed);
    let mut session = Session::new(header);
    for entry in &entries {
        session.apply(entry);
    }
    judge(&session)
}

fn trial<'a>(judged: &'a Judgement, did: Did, label: &str) -> &'a Trial {
    let found = |trial: &&Trial| trial.did == did && trial.what.iter().any(|what| what == label);
    judged.trials.iter().find(found).unwrap()
}

#[test]
fn quiet_has_nothing_to_find() {
    let judged = judged("quiet");
    assert_eq!(judged.verdict, Verdict::Below);
    assert!(
        judged
            .trials
            .iter()
            .all(|trial| trial.finding == Finding::NoChange)
    );
}

#[test]
fn a_direct_load_leaves_with_its_fuse_and_with_its_part() {
    let judged = judged("direct-load");
    for (did, label) in [(Did::Pull, "B7"), (Did::Unplug, "lid switch")] {
        let trial = trial(&judged, did, label);
        assert_eq!(
            (trial.finding, trial.manner),
            (Finding::Clears, Some(Manner::AtOnce))
        );
    }
    assert_eq!(trial(&judged, Did::Pull, "B6").finding, Finding::NoChange);
    assert_eq!(judged.ledger[0].what, ["B7"]);
    assert!((judged.ledger[0].level.a - 0.24).abs() < judged.ledger[0].level.u_a);
}

#[test]
fn the_waker_is_told_from_the_drawer() {
    let judged = judged("kept-awake");
    assert_eq!(trial(&judged, Did::Pull, "B1").manner, Some(Manner::AtOnce));
    let waker = trial(&judged, Did::Unplug, "seat module");
    assert_eq!(
        (waker.finding, waker.manner),
        (Finding::Clears, Some(Manner::Late))
    );
    assert_eq!(judged.verdict, Verdict::Below);
}

#[test]
fn a_shared_draw_is_split_over_its_circuits() {
    let judged = judged("shared");
    assert_eq!(trial(&judged, Did::Pull, "B4").finding, Finding::Lowers);
    assert_eq!(trial(&judged, Did::Pull, "B7").finding, Finding::Clears);
    for (share, (label, a)) in judged.ledger.iter().zip([("B4", 0.110), ("B7", 0.070)]) {
        assert_eq!(share.what, [label]);
        assert!((share.level.a - a).abs() < share.level.u_a, "{share:?}");
    }
}

#[test]
fn regular_wakes_are_counted_and_end_with_the_repair() {
    let judged = judged("waker");
    let first = &judged.cycles[0];
    assert!((first.period_s - 180.0).abs() < 5.0, "{first:?}");
    assert!((first.width_s - 15.0).abs() < 2.0, "{first:?}");
    let repaired = judged
        .trials
        .iter()
        .find(|trial| trial.did == Did::Swap)
        .unwrap()
        .t;
    assert!(judged.wakes.iter().all(|wake| wake.to < repaired));
}
