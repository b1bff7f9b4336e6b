//! Hunts told by hand, and the hint that each moment of them gets.

mod real;
mod told;
mod width;

use super::*;
use crate::judge::finding::{Level, Manner};
use crate::reading::Elapsed;
use crate::rehearsal::play::header;
use crate::rehearsal::stories::{FALSE_FLOOR, LATE_FALL, SHORT_WAKES, STEADY_DRAW, TWO_BOXES};
use crate::session::{Entry, Fact, MarkId};
use told::Told;

const LOCK: Step = Step::Do(Did::Lock);
const UNLOCK: Step = Step::Do(Did::Unlock);
const PULL: Step = Step::Do(Did::Pull);
const REFIT: Step = Step::Do(Did::Refit);
const UNPLUG: Step = Step::Do(Did::Unplug);
const PLUG: Step = Step::Do(Did::Plug);
const SWAP: Step = Step::Do(Did::Swap);

#[test]
fn before_the_meter_speaks_there_is_no_hint() {
    let session = Session::new(header(&FALSE_FLOOR, 1));
    let judgement = Judgement::nothing_yet(&session);
    assert_eq!(hint(&FALSE_FLOOR, &session, &judgement), None);
}

#[test]
fn a_steady_draw_is_led_from_lock_to_export_through_an_opened_car() {
    let mut hunt = Told::new(&STEADY_DRAW);
    hunt.says(LOCK, "Press l");
    hunt.mark(20.0, "lock");
    hunt.says(Step::Wait, "stages");
    hunt.at(620.0, Phase::Plateau);
    hunt.judgement.now.settles_at = Some(Elapsed::from_secs(1220.0));
    hunt.says(Step::Wait, "settled in about 10 min");
    hunt.planned(Did::Pull, &["L12", "L5"]);
    hunt.says(Step::Wait, "settled in about 10 min");
    hunt.at(1400.0, Phase::Settled);
    hunt.judgement.verdict = Verdict::Above;
    hunt.says(PULL, "something draws. Press p, type L12+L5,");
    hunt.mark(1410.0, "pull l5")
        .planned(Did::Pull, &[])
        .says(Step::Wait, "first look comes");
    hunt.found(Finding::NotYet, None);
    hunt.judgement.trials.last_mut().unwrap().first_look = Some(Level {
        a: -0.4121,
        u_a: 0.006,
    });
    hunt.says(Step::Wait, "412 mA less at once");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .planned(Did::Refit, &["L5"])
        .says(REFIT, "hangs on l5 itself. Press r, type L5,");
    hunt.mark(1620.0, "refit L5")
        .at(1630.0, Phase::Awake)
        .says(Step::Wait, "often wakes the whole car");
    hunt.at(1900.0, Phase::Settled)
        .found(Finding::Raises, None)
        .planned(Did::Unplug, &["rear blower relay"])
        .says(UNLOCK, "The rear blower relay sits behind trim. Bridge");
    hunt.mark(1950.0, "unlock")
        .says(UNPLUG, "type rear blower relay");
    hunt.mark(2020.0, "unplug rear blower relay")
        .says(LOCK, "latches shut by hand");
    hunt.mark(2080.0, "lock")
        .at(2081.0, Phase::Awake)
        .says(Step::Wait, "fall asleep in stages");
    hunt.at(2900.0, Phase::Settled)
        .says(Step::Wait, "judged like");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .planned(Did::Swap, &["rear blower relay"])
        .says(UNLOCK, "fit a new one");
    hunt.mark(3300.0, "unlock").says(SWAP, "press s");
    hunt.mark(3370.0, "swap rear blower relay")
        .says(LOCK, "Press l to lock");
    hunt.mark(3420.0, "lock").at(3430.0, Phase::Falling);
    hunt.says(Step::Wait, "prove the repair");
    hunt.at(4200.0, Phase::Settled)
        .says(Step::Wait, "prove the repair");
    hunt.found(Finding::Clears, None);
    hunt.judgement.plan = None;
    hunt.judgement.verdict = Verdict::Below;
    hunt.says(Step::Done, "Press e");
}

/// The plan alone says what is next: a sentence is found for whatever it is.
#[test]
fn what_the_plan_says_is_said_with_what_the_last_trial_told() {
    let mut hunt = Told::new(&LATE_FALL);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.planned(Did::Pull, &["E9"]).says(PULL, "type E9,");
    for (finding, manner, told) in [
        (Finding::NoChange, None, "No change: E9 is not it."),
        (Finding::CannotTell, None, "cannot tell so small"),
        (Finding::Raises, None, "The current rose"),
        (Finding::Spoiled, None, "says nothing"),
        (Finding::Lowers, Some(Manner::AtOnce), "more than one"),
        (Finding::Clears, Some(Manner::Late), "E9 kept others awake"),
        (Finding::Clears, Some(Manner::Both), "E9 kept others awake"),
        (Finding::Clears, None, "hangs on E9 itself"),
    ] {
        hunt.mark(1310.0, "pull E9").found(finding, manner);
        for (did, labels, asked) in [
            (Did::Pull, ["D1", "L7"], "Press p, type D1+L7,"),
            (Did::Refit, ["E9", "D4"], "Press r, type E9+D4,"),
        ] {
            hunt.planned(did, &labels);
            hunt.says(Step::Do(did), told);
            hunt.says(Step::Do(did), asked);
        }
    }
    hunt.planned(Did::Pull, &[])
        .says(Step::Wait, "what the plan says");
}

#[test]
fn a_part_that_is_not_it_leads_to_what_the_plan_has_next() {
    let mut hunt = Told::new(&LATE_FALL);
    hunt.mark(20.0, "lock").at(2300.0, Phase::Settled);
    hunt.mark(2310.0, "unplug Trailer Module")
        .says(Step::Wait, "judged like");
    hunt.found(Finding::NoChange, None)
        .planned(Did::Unplug, &["sunroof control"])
        .says(UNPLUG, "type sunroof control,");
    hunt.found(Finding::Clears, Some(Manner::AtOnce))
        .planned(Did::Swap, &["trailer module"])
        .says(SWAP, "Trailer Module draws, or is kept awake");
    hunt.mark(2910.0, "unplug tailgate latch switch")
        .found(Finding::Clears, Some(Manner::Late))
        .planned(Did::Swap, &["tailgate latch switch"])
        .says(SWAP, "type tailgate latch switch");
    hunt.mark(3710.0, "swap flux coil")
        .says(Step::Wait, "no 'flux coil'");
}

/// A level that is flat after a trial may be left; a car that moves may not.
#[test]
fn the_plan_waits_for_a_car_that_moves() {
    let mut hunt = Told::new(&TWO_BOXES);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.mark(1310.0, "pull E17")
        .found(Finding::Lowers, Some(Manner::AtOnce))
        .planned(Did::Pull, &["L4"])
        .says(PULL, "type L4,");
    hunt.at(1400.0, Phase::Plateau).says(PULL, "type L4,");
    hunt.at(1410.0, Phase::Falling)
        .says(Step::Wait, "Hands off");
    hunt.at(1420.0, Phase::Stirring)
        .says(Step::Wait, "The car stirs");
    hunt.at(1430.0, Phase::Blind)
        .says(Step::Wait, "No usable reading");
}

#[test]
fn a_waker_is_judged_by_the_wakes_that_do_not_come() {
    let part = "tyre-pressure receiver";
    let open = TrialReason::WakesOpen {
        every_s: 140.0,
        watched_s: 70.0,
        needed_s: 340.0,
    };
    let stopped = TrialReason::WakesStopped {
        every_s: 140.0,
        watched_s: 400.0,
        average_before_a: 0.108,
        average_after_a: 0.02,
    };
    let mut hunt = Told::new(&SHORT_WAKES);
    hunt.mark(20.0, "lock").at(600.0, Phase::Settled);
    hunt.judgement.verdict = Verdict::CannotTell;
    hunt.says(Step::Wait, "Keep watching");
    hunt.judgement.verdict = Verdict::Above;
    hunt.at(1200.0, Phase::Settled).says(PULL, "type D10,");
    hunt.mark(1210.0, "pull D12")
        .at(1280.0, Phase::Settled)
        .found(Finding::NotYet, None)
        .because(open.clone())
        .says(Step::Wait, "5 min more");
    hunt.found(Finding::NoChange, None)
        .because(TrialReason::WakesGoOn {
            every_s: 140.0,
            seen: 2,
            average_after_a: 0.1,
        })
        .says(REFIT, "woke again with D12 out");
    hunt.mark(1500.0, "refit D12")
        .at(1800.0, Phase::Settled)
        .found(Finding::NoChange, None)
        .says(PULL, "type D10,");
    hunt.mark(1810.0, "pull D10")
        .at(2200.0, Phase::Settled)
        .found(Finding::Clears, None)
        .because(stopped.clone())
        .says(REFIT, "No wake with D10 out");
    hunt.mark(2210.0, "refit D10")
        .at(2600.0, Phase::Settled)
        .found(Finding::Raises, None)
        .says(UNPLUG, "type tyre-pressure receiver");
    hunt.mark(2610.0, &format!("unplug {part}"))
        .at(3000.0, Phase::Settled)
        .found(Finding::NoChange, None)
        .says(PLUG, "type tyre-pressure receiver");
    hunt.found(Finding::Clears, None)
        .because(stopped)
        .says(SWAP, "type tyre-pressure receiver");
    hunt.mark(3010.0, &format!("plug {part}"))
        .at(3300.0, Phase::Settled)
        .found(Finding::Raises, None)
        .says(SWAP, "back it draws again. Fit a new one");
    hunt.mark(3310.0, &format!("swap {part}"))
        .at(3500.0, Phase::Settled)
        .found(Finding::NotYet, None)
        .because(open)
        .says(Step::Wait, "Watch for wakes");
    hunt.found(Finding::Clears, None);
    hunt.judgement.verdict = Verdict::Below;
    hunt.says(Step::Done, "q to quit");
}

#[test]
fn a_healthy_car_is_waited_for_practised_on_and_left_alone() {
    let mut hunt = Told::new(&FALSE_FLOOR);
    hunt.mark(20.0, "lock").at(700.0, Phase::Plateau);
    hunt.judgement.now.settles_at = Some(Elapsed::from_secs(1820.0));
    hunt.says(Step::Wait, "perhaps only a stage on the way");
    hunt.judgement.verdict = Verdict::Below;
    hunt.at(1400.0, Phase::Settled).says(PULL, "good sleep");
    hunt.says(PULL, "type L9,");
    hunt.mark(1410.0, "pull L9")
        .found(Finding::NoChange, None)
        .says(REFIT, "L9 is not it");
    hunt.mark(1600.0, "refit L9")
        .at(2600.0, Phase::Settled)
        .found(Finding::NoChange, None)
        .says(Step::Done, "q to quit");
}

#[test]
fn a_struck_mark_is_forgotten_and_an_unknown_label_named() {
    let mut hunt = Told::new(&STEADY_DRAW);
    hunt.mark(20.0, "lock").at(1300.0, Phase::Settled);
    hunt.planned(Did::Pull, &["L5"]);
    hunt.mark(1310.0, "pull L55")
        .says(Step::Wait, "no 'L55': nothing came of that label");
    hunt.session.apply(&Entry {
        t: Elapsed::from_secs(1311.0),
        fact: Fact::Strike(MarkId(2)),
    });
    hunt.says(PULL, "type L5,");
    hunt.mark(1320.0, "unlock").says(LOCK, "Press l");
}
