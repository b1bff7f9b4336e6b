//! Hints on a real car: nobody knows its fault, so only what is seen leads on.

use super::told::Told;
use crate::judge::finding::{Finding, Manner, Phase, Verdict};
use crate::rehearsal::hints::{Step, lead, lines};
use crate::rehearsal::stories::STEADY_DRAW;
use crate::session::Did;
use crate::session::tick::Tick;

fn says(told: &Told, step: Step, part: &str) {
    let hint = lead(&told.session, &told.judgement).unwrap();
    assert!(
        hint.step == step && hint.text.contains(part),
        "{hint:?}, expected {step:?} with '{part}'"
    );
    assert!(lines::fits(&hint.text), "{hint:?}");
}

#[test]
fn a_real_car_is_ticked_off_locked_and_led_by_what_is_seen() {
    let mut hunt = Told::new(&STEADY_DRAW);
    for (t_s, tick) in [1.0, 2.0, 3.0, 4.0, 5.0].into_iter().zip(Tick::ALL) {
        says(&hunt, Step::Do(Did::Note), "n, ");
        hunt.mark(t_s, &format!("note {}", tick.text()));
    }
    says(&hunt, Step::Do(Did::Lock), "Press l");
    hunt.mark(20.0, "lock");
    says(&hunt, Step::Wait, "stages");
    hunt.at(1400.0, Phase::Settled).judgement.verdict = Verdict::Above;
    says(&hunt, Step::Do(Did::Pull), "Pull one fuse: p, its label");
    hunt.planned(Did::Pull, &["L5"]);
    says(&hunt, Step::Do(Did::Pull), "type L5");
    hunt.mark(1410.0, "pull L5").planned(Did::Pull, &[]);
    says(&hunt, Step::Wait, "first look");
    hunt.judgement.plan = None;
    hunt.found(Finding::Clears, Some(Manner::AtOnce));
    says(&hunt, Step::Do(Did::Unplug), "It is on L5");
    hunt.judgement.verdict = Verdict::Below;
    says(&hunt, Step::Do(Did::Refit), "Press r, type L5");
    hunt.mark(1500.0, "refit L5").found(Finding::NoChange, None);
    says(&hunt, Step::Done, "Low enough at rest");
    hunt.mark(1600.0, "swap rear blower relay")
        .found(Finding::Lowers, None);
    says(&hunt, Step::Done, "the repair holds");
    hunt.judgement.verdict = Verdict::CannotTell;
    says(&hunt, Step::Wait, "cannot be told yet");
}

#[test]
fn what_is_locked_already_is_not_ticked_off() {
    let mut hunt = Told::new(&STEADY_DRAW);
    hunt.mark(1.0, "lock");
    says(&hunt, Step::Wait, "stages");
}
