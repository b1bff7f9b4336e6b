//! Hunts told by hand, and the hint that each moment of them gets.

mod told;
mod width;

use super::*;
use crate::judge::finding::{Level, Manner, Phase};
use crate::reading::Elapsed;
use crate::rehearsal::play;
use crate::rehearsal::stories::{FALSE_FLOOR, LATE_FALL, SHORT_WAKES, STEADY_DRAW, TWO_BOXES};
use crate::session::entry::{Entry, Fact};
use crate::session::mark::MarkId;
use told::Told;

#[test]
fn before_the_meter_speaks_there_is_no_hint() {
    let session = Session::new(play(&FALSE_FLOOR, 1).0);
    let judgement = Judgement::nothing_yet(&session);
    assert_eq!(hint(&FALSE_FLOOR, &session, &judgement), None);
}

#[test]
fn a_steady_draw_is_led_from_lock_to_export_through_an_opened_car() {
    let mut hunt = Told::new(&STEADY_DRAW);
    hunt.says(Step::Lock, "Press l");
    hunt.mark(20.0, "lock");
    hunt.says(Step::Wait, "stages");
    hunt.at(620.0, Phase::Plateau);
    hunt.judgement.now.timeout_at = Some(Elapsed::from_secs(1220.0));
    hunt.says(Step::Wait, "settled in about 10 min");
    hunt.at(1400.0, Phase::Settled)
        .says(Step::Pull, "Press p, type L5");
    hunt.mark(1410.0, "pull l5")
        .says(Step::Wait, "first look comes");
    hunt.found(Finding::NotYet, None);
    hunt.judgement.trials.last_mut().unwrap().first_look = Some(Level {
        a: -0.4121,
        u_a: 0.006,
    });
    hunt.says(Step::Wait, "412 mA less at once");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Refit, "hangs on l5 itself");
    hunt.mark(1620.0, "refit L5")
        .says(Step::Unlock, "Bridge the meter, then press o");
    hunt.mark(1950.0, "unlock")
        .says(Step::Unplug, "type rear blower relay");
    hunt.mark(1960.0, "unplug rear blower motor")
        .says(Step::Unplug, "type rear blower relay");
    hunt.mark(1970.0, "plug rear blower motor");
    hunt.mark(2020.0, "unplug rear blower relay")
        .says(Step::Lock, "latches shut by hand");
    hunt.mark(2080.0, "lock")
        .at(2081.0, Phase::Awake)
        .says(Step::Wait, "fall asleep in stages");
    hunt.at(2900.0, Phase::Settled)
        .found(Finding::Spoiled, None)
        .says(Step::Wait, "judged like");
    hunt.judgement.verdict = Verdict::Below;
    hunt.says(Step::Unlock, "fit a new one");
    hunt.mark(3300.0, "unlock").says(Step::Swap, "press s");
    hunt.mark(3370.0, "swap rear blower relay")
        .says(Step::Lock, "Press l to lock");
    hunt.mark(3420.0, "lock").at(3430.0, Phase::Falling);
    hunt.judgement.verdict = Verdict::NotSettled;
    hunt.says(Step::Wait, "prove the repair");
    hunt.at(4200.0, Phase::Settled)
        .says(Step::Wait, "prove the repair");
    hunt.judgement.verdict = Verdict::Below;
    hunt.says(Step::Done, "Press e");
}

#[test]
fn the_part_that_draws_is_doubted_and_no_part_is_asked_for_twice() {
    let mut hunt = Told::new(&LATE_FALL);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull E9")
        .found(Finding::NoChange, None)
        .says(Step::Refit, "E9 is not it");
    hunt.mark(1490.0, "refit E9").at(1600.0, Phase::Settled);
    hunt.says(Step::Pull, "type L7");
    hunt.mark(1610.0, "pull L7")
        .found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Refit, "hangs on L7 itself");
    hunt.mark(1800.0, "refit L7")
        .at(1801.0, Phase::Awake)
        .says(Step::Wait, "often wakes the whole car");
    hunt.at(2300.0, Phase::Settled)
        .says(Step::Unplug, "type trailer module");
    hunt.mark(2310.0, "unplug Trailer Module")
        .says(Step::Wait, "judged like");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Plug, "does another part keep it awake");
    hunt.mark(2500.0, "plug trailer module")
        .at(2900.0, Phase::Settled)
        .says(Step::Unplug, "type tailgate latch switch");
    hunt.mark(2910.0, "unplug tailgate latch switch")
        .found(Finding::Clears, Some(Manner::Late))
        .says(Step::Swap, "type tailgate latch switch");
    hunt.mark(3300.0, "plug tailgate latch switch")
        .at(3700.0, Phase::Settled)
        .says(Step::Swap, "proved both ways");
    hunt.mark(3710.0, "swap flux coil")
        .says(Step::Wait, "no 'flux coil'");
}

#[test]
fn a_fuse_that_falls_late_points_to_a_part_that_keeps_others_awake() {
    let mut hunt = Told::new(&LATE_FALL);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull D1")
        .found(Finding::Lowers, Some(Manner::AtOnce))
        .says(Step::Refit, "does another part keep it awake");
    hunt.mark(1490.0, "refit D1").at(1900.0, Phase::Settled);
    hunt.mark(1910.0, "pull L7")
        .found(Finding::Clears, Some(Manner::Both))
        .says(Step::Refit, "kept others awake");
}

#[test]
fn two_boxes_ask_for_both_circuits_and_then_for_both_back() {
    let mut hunt = Told::new(&TWO_BOXES);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull E17")
        .found(Finding::Lowers, Some(Manner::AtOnce))
        .says(Step::Pull, "pull L4 as well");
    hunt.mark(1500.0, "pull L4")
        .found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Refit, "share one draw");
    hunt.mark(1700.0, "refit L4")
        .says(Step::Refit, "Still out: E17");
    hunt.mark(1710.0, "refit E17")
        .says(Step::Unplug, "type amplifier");
    hunt.mark(1720.0, "unplug amplifier supply 2")
        .found(Finding::Clears, Some(Manner::AtOnce))
        .says(Step::Swap, "That is the part");
}

#[test]
fn a_waker_is_judged_by_the_wakes_that_do_not_come() {
    let mut hunt = Told::new(&SHORT_WAKES);
    hunt.mark(20.0, "lock")
        .at(600.0, Phase::Settled)
        .says(Step::Wait, "Keep watching");
    for from_s in [700.0, 840.0, 980.0, 1120.0] {
        hunt.woke(from_s);
    }
    hunt.at(1200.0, Phase::Settled).says(Step::Pull, "type D10");
    hunt.mark(1210.0, "pull D12")
        .at(1280.0, Phase::Settled)
        .says(Step::Wait, "5 min more");
    hunt.woke(1300.0)
        .at(1320.0, Phase::Settled)
        .says(Step::Refit, "woke again with D12 out");
    hunt.mark(1500.0, "refit D12").at(1800.0, Phase::Settled);
    hunt.says(Step::Pull, "type D10");
    hunt.mark(1810.0, "pull D10")
        .at(1900.0, Phase::Settled)
        .says(Step::Wait, "Watch for wakes");
    hunt.at(2200.0, Phase::Settled)
        .says(Step::Refit, "No wake with D10 out");
    hunt.mark(2210.0, "refit D10").at(2600.0, Phase::Settled);
    hunt.says(Step::Unplug, "type tyre-pressure receiver");
    hunt.mark(2610.0, "unplug tyre-pressure receiver")
        .at(3000.0, Phase::Settled)
        .says(Step::Swap, "type tyre-pressure receiver");
    hunt.mark(3010.0, "plug tyre-pressure receiver")
        .at(3300.0, Phase::Settled)
        .says(Step::Swap, "proved both ways");
    hunt.mark(3310.0, "swap tyre-pressure receiver")
        .woke(3311.0)
        .at(3500.0, Phase::Settled)
        .says(Step::Wait, "Watch for wakes");
    hunt.judgement.verdict = Verdict::Below;
    hunt.at(3700.0, Phase::Settled)
        .says(Step::Done, "q to quit");
}

#[test]
fn a_healthy_car_is_waited_for_practised_on_and_left_alone() {
    let mut hunt = Told::new(&FALSE_FLOOR);
    hunt.mark(20.0, "lock").at(700.0, Phase::Plateau);
    hunt.judgement.now.timeout_at = Some(Elapsed::from_secs(1820.0));
    hunt.says(Step::Wait, "perhaps only a stage on the way");
    hunt.at(1400.0, Phase::Settled)
        .says(Step::Pull, "good sleep");
    hunt.mark(1410.0, "pull L9")
        .found(Finding::Lowers, Some(Manner::AtOnce))
        .says(Step::Refit, "nothing wrong");
    hunt.mark(1600.0, "refit L9")
        .at(2600.0, Phase::Settled)
        .says(Step::Done, "q to quit");
}

#[test]
fn a_struck_mark_is_forgotten_and_an_unknown_label_named() {
    let mut hunt = Told::new(&STEADY_DRAW);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull L55")
        .says(Step::Wait, "no 'L55': nothing came of that label");
    hunt.session.apply(&Entry {
        t: Elapsed::from_secs(1311.0),
        fact: Fact::Strike(MarkId(2)),
    });
    hunt.says(Step::Pull, "type L5");
    hunt.mark(1320.0, "unlock").says(Step::Lock, "Press l");
}
