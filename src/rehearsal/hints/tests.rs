//! Hunts told by hand, and the hint that each moment of them gets.

mod told;
mod width;

use super::*;
use crate::judge::finding::{Level, Manner, Phase};
use crate::reading::Elapsed;
use crate::rehearsal::play;
use crate::rehearsal::stories::{DIRECT_LOAD, KEPT_AWAKE, QUIET, SHARED, WAKER};
use crate::session::entry::{Entry, Fact};
use crate::session::mark::MarkId;
use told::Told;

#[test]
fn before_the_meter_speaks_there_is_no_hint() {
    let session = Session::new(play(&QUIET, 1).0);
    let judgement = Judgement::nothing_yet(&session);
    assert_eq!(hint(&QUIET, &session, &judgement), None);
}

#[test]
fn a_direct_load_is_led_from_lock_to_export() {
    let mut hunt = Told::new(&DIRECT_LOAD);
    hunt.says(Step::Lock, "Press l");
    hunt.mark(20.0, "lock");
    hunt.says(Step::Wait, "stages");
    hunt.at(620.0, Phase::Plateau);
    hunt.judgement.now.timeout_at = Some(Elapsed::from_secs(1220.0));
    hunt.says(Step::Wait, "settled in about 10 min");
    hunt.at(1400.0, Phase::Settled)
        .says(Step::Pull, "Press p, type B6");
    hunt.mark(1410.0, "pull B6")
        .says(Step::Wait, "first look comes");
    hunt.found(Finding::NoChange, None)
        .says(Step::Refit, "B6 is not it");
    hunt.mark(1600.0, "refit B6").at(1601.0, Phase::Awake);
    hunt.says(Step::Wait, "woke the car");
    hunt.at(1800.0, Phase::Settled).says(Step::Pull, "type B7");
    hunt.mark(1810.0, "pull b7").found(Finding::NotYet, None);
    hunt.judgement.trials.last_mut().unwrap().first_look = Some(Level {
        a: -0.2401,
        u_a: 0.004,
    });
    hunt.says(Step::Wait, "240 mA less at once");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Refit, "hangs on b7 itself");
    hunt.mark(2000.0, "refit B7")
        .says(Step::Unplug, "type lid switch");
    hunt.mark(2200.0, "unplug glove box lamp")
        .says(Step::Wait, "judged like");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Plug, "Press i");
    hunt.mark(2250.0, "plug glove box lamp")
        .says(Step::Unplug, "lid switch");
    hunt.mark(2300.0, "unplug lid switch")
        .found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Swap, "press s");
    hunt.mark(2400.0, "swap lid switch")
        .at(2401.0, Phase::Falling)
        .says(Step::Wait, "prove the repair");
    hunt.at(2800.0, Phase::Settled)
        .says(Step::Wait, "prove the repair");
    hunt.judgement.verdict = Verdict::Below;
    hunt.says(Step::Done, "Press e");
}

#[test]
fn the_first_suspect_of_kept_awake_is_doubted_and_the_late_fall_explained() {
    let mut hunt = Told::new(&KEPT_AWAKE);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull B1")
        .found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Refit, "does another part keep it awake");
    hunt.mark(1500.0, "refit B1").at(1900.0, Phase::Settled);
    hunt.says(Step::Pull, "type B7");
    hunt.mark(1910.0, "pull B6")
        .found(Finding::Clears, Some(Manner::Late))
        .says(Step::Refit, "kept others awake");
    hunt.mark(2300.0, "refit B6")
        .at(2301.0, Phase::Awake)
        .says(Step::Wait, "woke the car");
    hunt.at(2800.0, Phase::Settled)
        .says(Step::Unplug, "type seat module");
    hunt.mark(2900.0, "swap horn").says(Step::Wait, "no 'horn'");
}

#[test]
fn a_shared_draw_asks_for_both_circuits_and_then_for_both_back() {
    let mut hunt = Told::new(&SHARED);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull B4")
        .found(Finding::Lowers, Some(Manner::AtOnce))
        .says(Step::Pull, "pull B7 as well");
    hunt.mark(1500.0, "pull B7")
        .found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Refit, "share one draw");
    hunt.mark(1700.0, "refit B4")
        .says(Step::Refit, "Still out: B7");
    hunt.mark(1710.0, "refit B7")
        .says(Step::Unplug, "tow socket unit");
}

#[test]
fn a_waker_is_judged_by_the_wakes_that_do_not_come() {
    let mut hunt = Told::new(&WAKER);
    hunt.mark(20.0, "lock")
        .at(600.0, Phase::Settled)
        .says(Step::Wait, "Keep watching");
    for from_s in [700.0, 880.0, 1060.0, 1240.0] {
        hunt.woke(from_s);
    }
    hunt.at(1300.0, Phase::Settled).says(Step::Pull, "type B3");
    hunt.mark(1310.0, "pull B3")
        .at(1400.0, Phase::Settled)
        .says(Step::Wait, "6 min more");
    hunt.woke(1420.0)
        .at(1440.0, Phase::Settled)
        .says(Step::Refit, "woke again with B3 out");
    hunt.mark(1500.0, "refit B3").at(1800.0, Phase::Settled);
    hunt.says(Step::Pull, "type B9");
    hunt.mark(1810.0, "pull B9")
        .at(1900.0, Phase::Settled)
        .says(Step::Wait, "Watch for wakes");
    hunt.at(2300.0, Phase::Settled)
        .says(Step::Refit, "No wake with B9 out");
    hunt.mark(2310.0, "refit B9").at(2700.0, Phase::Settled);
    hunt.says(Step::Unplug, "type tracker box");
    hunt.mark(2710.0, "unplug tracker box")
        .at(3200.0, Phase::Settled)
        .says(Step::Swap, "type tracker box");
    hunt.mark(3210.0, "swap tracker box")
        .woke(3211.0)
        .at(3500.0, Phase::Settled)
        .says(Step::Wait, "Watch for wakes");
    hunt.judgement.verdict = Verdict::Below;
    hunt.at(3700.0, Phase::Settled)
        .says(Step::Done, "q to quit");
}

#[test]
fn a_healthy_car_is_practised_on_and_left_alone() {
    let mut hunt = Told::new(&QUIET);
    hunt.mark(20.0, "lock")
        .at(700.0, Phase::Settled)
        .says(Step::Pull, "good sleep");
    hunt.mark(710.0, "pull B3")
        .found(Finding::Lowers, Some(Manner::AtOnce))
        .says(Step::Refit, "nothing wrong");
    hunt.mark(900.0, "refit B3")
        .at(1300.0, Phase::Settled)
        .says(Step::Done, "q to quit");
}

#[test]
fn a_struck_mark_is_forgotten_and_an_unknown_label_named() {
    let mut hunt = Told::new(&DIRECT_LOAD);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull B44")
        .says(Step::Wait, "no 'B44': nothing came of that label");
    hunt.session.apply(&Entry {
        t: Elapsed::from_secs(1311.0),
        fact: Fact::Strike(MarkId(2)),
    });
    hunt.says(Step::Pull, "type B6");
    hunt.mark(1320.0, "unlock").says(Step::Lock, "Press l");
}
