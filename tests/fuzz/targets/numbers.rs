//! Numbers: whatever is typed is read to a finite amount or refused, and what is shown of it is read
//! back to as many places as are shown.

use lullboard::fuse::drop::{Millivolts, MvAccuracy};
use lullboard::meter::Unit;
use lullboard::reading::{Amps, Elapsed, Volts, amount, quantity};
use lullboard::session::FuseDrop;
use lullboard::session::card::{Accuracy, Battery, Rest};
use lullboard::session::typed;

/// Half a unit of the last place that `quantity::amount` shows, and what doubles lose.
fn amount_tolerance(a: f64) -> f64 {
    let place = if a.abs() < 1.0 { 1e-6 } else { 1e-3 };
    0.501 * place + a.abs() * 1e-12
}

/// Any text, and the first eight bytes as a double.
pub fn numbers(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    decimals(&text);
    amounts(&text);
    typed_words(&text);
    if let Some(eight) = bytes.first_chunk::<8>() {
        let u = bytes.get(8..16).and_then(|eight| eight.first_chunk::<8>());
        shown(
            f64::from_le_bytes(*eight),
            u.map_or(0.001, |u| f64::from_le_bytes(*u)),
        );
    }
}

fn decimals(text: &str) {
    if let Ok(amps) = Amps::parse(text) {
        assert_eq!(Amps::parse(&amps.to_string()), Ok(amps));
        assert!(amps.value_a().is_finite());
        quantity::shown(amps);
    }
    for exponent in [-6, -3, 0, 3] {
        if let Ok(amps) = Amps::parse_in(text, exponent) {
            assert_eq!(Amps::parse(&amps.to_string()), Ok(amps));
        }
        if let Ok(volts) = Volts::parse_in(text, exponent) {
            assert_eq!(Volts::parse_in(&volts.to_string(), 0), Ok(volts));
        }
    }
}

fn amounts(text: &str) {
    if let Ok(a) = amount::current_a(text) {
        assert!(a.is_finite());
        let written = quantity::amount(a);
        let again = amount::current_a(&written).expect("what is shown can be typed");
        assert!(
            (again - a).abs() <= amount_tolerance(a),
            "{text:?}: {a} {written} {again}"
        );
    }
    if let Ok(s) = amount::time_s(text) {
        assert!(s >= 0.0 && s.is_finite(), "{text:?}: {s}");
        let _ = (quantity::span(s), quantity::countdown(s));
    }
    if let Ok(s) = amount::moment_s(text) {
        assert!(s >= 0.0 && s.is_finite(), "{text:?}: {s}");
        let t = Elapsed::from_secs(s);
        // Hours are typed with at most five figures.
        if s < 3600.0 * 65_535.0 {
            let whole = Elapsed::from_ms(t.ms() / 1000 * 1000);
            let again = amount::moment_s(&quantity::clock(t)).map(Elapsed::from_secs);
            assert_eq!(again, Ok(whole));
        }
    }
    for read in [
        amount::share,
        amount::temperature_c,
        amount::rest_v,
        amount::ohms,
    ] {
        assert!(read(text).map_or(true, f64::is_finite), "{text:?}");
    }
    let _ = text.parse::<Unit>();
}

fn typed_words(text: &str) {
    if let Ok(accuracy) = text.parse::<Accuracy>() {
        let all = [accuracy.percent, accuracy.counts, accuracy.amount_a];
        assert!(
            all.iter().all(|x| x.is_finite() && *x >= 0.0),
            "{accuracy:?}"
        );
        assert!(!accuracy.to_string().contains("NaN"));
    }
    if let Ok(battery) = text.parse::<Battery>() {
        assert!(battery.c20_ah.is_none_or(f64::is_finite), "{battery:?}");
        assert!(!battery.to_string().contains("NaN"));
    }
    if let Ok(rest) = text.parse::<Rest>() {
        assert!(
            rest.volts.is_finite() && rest.rested_s.is_none_or(f64::is_finite),
            "{rest:?}"
        );
        assert!(!rest.to_string().contains("NaN"));
    }
    if let Ok(drop) = text.parse::<FuseDrop>() {
        assert!(
            drop.mv.is_finite() && drop.step_mv.is_some_and(f64::is_finite),
            "{drop:?}"
        );
        assert!(!drop.what.is_empty());
    }
    if let Ok(read) = text.parse::<Millivolts>() {
        assert!(read.mv.is_finite() && read.step_mv.is_finite(), "{read:?}");
    }
    if let Ok(accuracy) = text.parse::<MvAccuracy>() {
        assert!(accuracy.percent.is_finite() && accuracy.counts.is_finite());
    }
    for read in [
        typed::limit_a,
        typed::drift_a_per_h,
        typed::clamp_mv_per_a,
        typed::shunt_mohm,
        typed::turns,
        typed::percent,
    ] {
        assert!(read(text).map_or(true, f64::is_finite), "{text:?}");
    }
}

/// Any double can be shown, in a few cells and never as a word of the machine's.
fn shown(a: f64, u_a: f64) {
    // No current and no U of one is larger; not-a-number may come, as where nothing was measured.
    let [a, u_a] = [a, u_a].map(|x| if x.abs() < 1e12 { x } else { x.signum() });
    let all = [
        quantity::current(a),
        quantity::amount(a),
        quantity::level(a, u_a),
        quantity::level_alone(a, u_a),
        quantity::change(a, u_a),
        quantity::charge(a, u_a),
        quantity::span(a),
        quantity::countdown(a),
        quantity::clock(Elapsed::from_secs(a)),
        Amps::rounded(a, 4).to_string(),
    ];
    for words in all {
        assert!(
            !words.contains("NaN") && !words.contains("inf"),
            "{a} {u_a}: {words}"
        );
    }
}
