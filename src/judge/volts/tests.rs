//! What is said of the battery's voltage, of records with a known truth.

use super::*;
use crate::judge::finding::Verdict;
use crate::judge::kit::{HOUR, MIN, TestCar};
use crate::judge::reason::VerdictReason;
use crate::judge::{Judgement, judge};
use crate::session::{Entry, Fact};

/// A car asleep at 50 mA with a flooded battery of 70 Ah, which had rested for a day.
fn asleep() -> TestCar {
    TestCar::asleep(&[(0, 0.050)]).read_every(2.0).card(|card| {
        card.battery = "flooded,70Ah".parse().ok();
        card.rest = "12.65V,24h".parse().ok();
        card.limit_a = Some(0.1);
    })
}

/// The record of `hours` with a voltage every ten seconds.
fn with(car: &TestCar, hours: u32, volts: impl Fn(f64) -> f64) -> Session {
    let mut session = car.until(hours * HOUR);
    for t_s in (0..hours * HOUR).step_by(10).map(f64::from) {
        read_at(&mut session, t_s, volts(t_s));
    }
    session
}

fn read_at(session: &mut Session, t_s: f64, v: f64) {
    let fact = Fact::Volts(Volts::parse_in(&format!("{v:.2}"), 0).unwrap());
    let t = Elapsed::from_secs(t_s);
    session.apply(&Entry { t, fact });
}

/// From one voltage straight to another.
fn falling(from_v: f64, to_v: f64, hours: u32) -> impl Fn(f64) -> f64 {
    move |t_s| from_v + (to_v - from_v) * t_s / f64::from(hours * HOUR)
}

fn told_of(session: &Session) -> (Judgement, VoltsTold) {
    let judgement = judge(session);
    let told = judgement.volts.clone().unwrap();
    (judgement, told)
}

fn codes(judgement: &Judgement) -> Vec<String> {
    let code = |found: &Contradiction| {
        serde_json::to_value(found).unwrap()["code"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    judgement.contradictions.iter().map(code).collect()
}

/// 50 mA for ten hours are 0.5 Ah; 12.65 V to 12.24 V is half of 70 Ah by the BCI table (read).
#[test]
fn a_battery_that_falls_faster_than_its_current_is_suspect() {
    let session = with(&asleep(), 10, falling(12.65, 12.24, 10));
    let (judgement, told) = told_of(&session);
    let loss = told.loss.unwrap();
    assert!((loss.by_current_ah.best - 0.5).abs() < 0.005, "{loss:?}");
    assert!(loss.by_current_ah.low < 0.5 && loss.by_current_ah.high > 0.5);
    let by_volts = loss.by_volts_ah.unwrap();
    assert!((by_volts.best - 35.0).abs() < 1.0, "{by_volts:?}");
    assert_eq!(told.explained, Explained::Faster);
    assert_eq!(codes(&judgement), ["falls-faster"]);
    let said = judgement.contradictions[0].in_words();
    assert!(said.contains("12.65 V to 12.24 V"), "{said}");
    assert!(
        said.contains("the battery is suspect") && said.contains("test it"),
        "{said}"
    );
    assert_eq!(
        judgement.verdict,
        Verdict::Below,
        "the current is what it is"
    );
}

#[test]
fn a_battery_that_falls_as_its_current_says_is_not() {
    let (judgement, told) = told_of(&with(&asleep(), 10, falling(12.65, 12.63, 10)));
    assert_eq!(told.explained, Explained::Fits, "{told:?}");
    assert_eq!(judgement.contradictions, []);
}

/// Up to 0.20 V of surface charge fade in the hours after charging (the volts: common practice, no
/// source; the hours: makers' notes, read): no battery is blamed for them.
#[test]
fn surface_charge_that_fades_is_no_fault() {
    let fades = |t_s: f64| 12.45 + 0.09 * (-t_s / 5400.0).exp();
    let car = asleep().card(|card| card.rest = None);
    let (_, told) = told_of(&with(&car, 10, fades));
    assert_eq!(told.explained, Explained::Fits, "{told:?}");
    // The same fall of a battery that had rested for a day is its own.
    let known = told_of(&with(&asleep(), 10, fades)).1;
    assert_eq!(known.explained, Explained::Faster, "{known:?}");
    // Above the full mark nobody can tell.
    let full = told_of(&with(&asleep(), 10, |t_s| fades(t_s) + 0.20)).1;
    assert_eq!(full.explained, Explained::Fits, "{full:?}");
}

/// 0.45 A for twenty hours are 9 Ah, 22 % of 40 Ah: about 0.17 V by the BCI table (read).
#[test]
fn a_battery_that_does_not_fall_is_fed_unseen() {
    let car = TestCar::asleep(&[(0, 0.450)]).read_every(2.0).card(|card| {
        card.battery = "flooded,40Ah".parse().ok();
        card.rest = "12.45V,24h".parse().ok();
    });
    let (judgement, told) = told_of(&with(&car, 20, |_| 12.45));
    assert_eq!(told.explained, Explained::Slower, "{told:?}");
    assert_eq!(codes(&judgement), ["falls-slower"]);
    let fed = told_of(&with(&car, 20, falling(12.45, 12.28, 20))).1;
    assert_eq!(fed.explained, Explained::Fits, "{fed:?}");
}

#[test]
fn what_would_tell_is_said_where_nobody_can() {
    let explained = |session: &Session| told_of(session).1.explained;
    let fall = || falling(12.65, 12.24, 10);
    let nameless = asleep().card(|card| card.battery = None);
    assert_eq!(
        explained(&with(&nameless, 10, fall())),
        Explained::NoBattery
    );
    let up = TestCar::asleep(&[(0, 2.0)]).read_every(2.0);
    assert_eq!(explained(&with(&up, 10, fall())), Explained::NotAtRest);
    let short = explained(&with(&asleep(), 1, falling(12.65, 12.24, 1)));
    assert!(matches!(short, Explained::TooShort { .. }), "{short:?}");
    let unseen = TestCar::asleep(&[(0, 0.05), (HOUR, f64::NAN), (8 * HOUR, 0.05)])
        .read_every(2.0)
        .card(|card| card.battery = "flooded,70Ah".parse().ok());
    let unseen = explained(&with(&unseen, 10, fall()));
    assert!(matches!(unseen, Explained::NoCurrent { .. }), "{unseen:?}");
}

#[test]
fn volts_under_amperes_and_just_after_them_are_not_at_rest() {
    let car = TestCar::of(&[(0, 3.0), (HOUR, 0.050)])
        .marked(&[(30 * MIN, "lock")])
        .read_every(2.0)
        .card(|card| card.battery = "flooded,70Ah".parse().ok());
    // 0.3 V under the load, which come back at once.
    let volts = |t_s: f64| if t_s < f64::from(HOUR) { 12.30 } else { 12.60 };
    let (_, told) = told_of(&with(&car, 6, volts));
    let loss = told.loss.unwrap();
    assert!((loss.before_v - 12.60).abs() < 1e-9, "{loss:?}");
    let after_s = loss.from.secs() - f64::from(HOUR);
    assert!((300.0..330.0).contains(&after_s), "{after_s}");
}

#[test]
fn a_charger_is_noticed_and_nothing_is_judged_while_it_feeds() {
    let fed = |t_s: f64| {
        if (7200.0..9000.0).contains(&t_s) {
            13.9
        } else {
            12.65
        }
    };
    let (judgement, told) = told_of(&with(&asleep(), 6, fed));
    let [charging] = told.charging.as_slice() else {
        panic!("{told:?}");
    };
    assert!((charging.lasts_s() - 1790.0).abs() < 11.0, "{charging:?}");
    assert!((charging.peak_v - 13.9).abs() < 1e-9);
    assert_eq!(codes(&judgement), ["charged"]);
    assert_eq!(judgement.verdict, Verdict::CannotTell);
    assert!(matches!(
        judgement.reasons[0],
        VerdictReason::Charging { .. }
    ));
    assert!(
        judgement.verdict_why().contains("13.90 V"),
        "{}",
        judgement.verdict_why()
    );
    // What came before is not held against what came after: the charge in between is not known.
    let loss = told.loss.unwrap();
    assert!(loss.from > charging.to && loss.surface_v > 0.19, "{loss:?}");
}

#[test]
fn a_blink_is_no_charger_and_a_typed_voltage_is() {
    let blink = |t_s: f64| {
        if (7200.0..7220.0).contains(&t_s) {
            13.9
        } else {
            12.65
        }
    };
    assert_eq!(told_of(&with(&asleep(), 6, blink)).1.charging, []);
    let mut typed = asleep().until(6 * HOUR);
    for (t_s, v) in [(600.0, 12.65), (7200.0, 14.1), (14_400.0, 12.8)] {
        read_at(&mut typed, t_s, v);
    }
    let charging = told_of(&typed).1.charging;
    assert!(matches!(charging.as_slice(), [one] if (one.peak_v - 14.1).abs() < 1e-9));
}

#[test]
fn volts_change_nothing_that_the_current_says() {
    let car = TestCar::of(&[(0, 3.0), (600, 0.050), (5400, 0.020)])
        .marked(&[(60, "lock"), (5400, "pull L6")])
        .card(|card| card.limit_a = Some(0.03));
    let without = judge(&car.until(3 * HOUR));
    let session = with(&car, 3, falling(12.65, 12.0, 3));
    let (with, told) = told_of(&session);
    assert_eq!(told.samples, 1080);
    let bare = Judgement {
        volts: None,
        ..with
    };
    assert_eq!(bare, without);
}
