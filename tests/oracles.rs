//! Computations against values from outside; each file in `oracles/` names its source.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test stops at the first surprise"
)]

#[path = "oracles/judge.rs"]
mod judge;
#[path = "oracles/signal.rs"]
mod signal;

use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::signal::charge::Charge;
use lullboard::signal::gate::Sample;
use lullboard::signal::mean::{autocovariance, centre, geyer, mean};
use lullboard::signal::split::split;
use lullboard::signal::{Classifier, charge};
use serde_json::Value;

fn oracle(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .unwrap()
        .iter()
        .map(|x| x.as_f64().unwrap())
        .collect()
}

fn close(found: f64, expected: f64, relative: f64) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "{found} against {expected}"
    );
}

/// The values of a NIST set: as they stand, or from the generator that NIST gives.
fn values(set: &Value) -> Vec<f64> {
    if set["data"].is_array() {
        return numbers(&set["data"]);
    }
    let value = |text: &Value| text.as_str().unwrap().parse::<f64>().unwrap();
    let generator = &set["generator"];
    let pair = generator["then_repeat_500_times"].as_array().unwrap();
    let repeated = std::iter::repeat_n(pair, 500).flatten();
    std::iter::once(value(&generator["first"]))
        .chain(repeated.map(value))
        .collect()
}

/// Source: NIST Statistical Reference Datasets (`StRD`, Standard Reference Database 140),
/// univariate summary statistics (certified values), all eight sets: fourteen digits of the mean
/// and seven of the deviation and of the correlation of neighbours are asked for. `NumAcc1` has
/// three values, too few for a mean with an error here, so only its parts count.
#[test]
fn mean_deviation_and_correlation_as_nist_certifies_them() {
    let file = oracle(include_str!("oracles/nist_strd_univariate.json"));
    let sets = file["sets"].as_object().unwrap();
    assert_eq!(sets.len(), 8);
    for (name, set) in sets {
        let certified = |key: &str| set[key].as_str().unwrap().parse::<f64>().unwrap();
        let x = values(set);
        assert_eq!(
            Some(x.len()),
            set["n"].as_u64().map(|n| usize::try_from(n).unwrap())
        );
        let middle = centre(&x);
        close(middle, certified("certified_mean"), 1e-14);
        let variance = autocovariance(&x, middle, 0);
        let neighbours = autocovariance(&x, middle, 1) / variance;
        close(neighbours, certified("certified_lag1"), 1e-7);
        if let Some(found) = mean(&x) {
            close(found.value, certified("certified_mean"), 1e-14);
            close(found.sd, certified("certified_sd"), 1e-7);
        } else {
            assert_eq!(name, "NumAcc1");
        }
    }
}

/// Source: numpy 2.4.6 `trapezoid`; the gap of 20.5 s is left out of charge and time.
#[test]
fn charge_as_the_trapezoid_rule_gives_it() {
    let file = oracle(include_str!("oracles/charge.json"));
    let (t, i) = (numbers(&file["t"]), numbers(&file["i"]));
    let gap_to = file["gap"]["to"].as_f64().unwrap();
    let mut bridged = Charge::default();
    let mut honest = Charge::default();
    let mut record = Classifier::default();
    for (t_s, a) in t.into_iter().zip(i) {
        let t = Elapsed::from_secs(t_s);
        let sample = Sample { t, a };
        bridged.push(sample);
        if (t_s - gap_to).abs() < 1e-9 {
            honest.interrupt();
        }
        honest.push(sample);
        record.step(t, Measured::Amps(Amps::rounded(a, 6)));
    }
    close(
        bridged.charge_as,
        file["charge_As"].as_f64().unwrap(),
        1e-12,
    );
    close(
        honest.charge_as,
        file["charge_without_gap_As"].as_f64().unwrap(),
        1e-12,
    );
    close(
        honest.measured_s,
        file["observed_s"].as_f64().unwrap(),
        1e-12,
    );
    let found: &charge::Charge = record.charge();
    close(
        found.charge_as,
        file["charge_without_gap_As"].as_f64().unwrap(),
        1e-5,
    );
}

/// Source: an owners' lexicon prints 21.2 mA for a lamp of 45 mA for 0.1 s and 20 mA for 2 s.
#[test]
fn a_blinking_lamp_has_the_printed_mean() {
    let mut charge = Charge::default();
    for cycle in 0..100i64 {
        for (from_ms, a) in [(0, 0.045), (99, 0.045), (100, 0.020), (2099, 0.020)] {
            let t = Elapsed::from_ms(cycle * 2100 + from_ms);
            charge.push(Sample { t, a });
        }
    }
    let mean_ma = 1000.0 * charge.charge_as / charge.measured_s;
    assert!((mean_ma - 21.2).abs() < 0.05, "{mean_ma}");
}

/// Source: the Nile at Aswan 1871-1970 ("The problem of the Nile: conditional solution to a
/// changepoint problem", Biometrika 65, 1978, 243): one change between 1898 and 1899, found by
/// ruptures and by brute force at index 28, with these two means.
#[test]
fn the_nile_changes_where_others_find_it() {
    let file = oracle(include_str!("oracles/nile.json"));
    let samples: Vec<Sample> = (0..)
        .zip(numbers(&file["volume"]))
        .map(|(year, a)| Sample {
            t: Elapsed::from_ms(year * 1000),
            a,
        })
        .collect();
    let found = split(&samples).unwrap();
    let index = file["break_index"].as_i64().unwrap();
    assert_eq!(found.t, Elapsed::from_ms(index * 1000));
    close(found.before_a, file["mean_before"].as_f64().unwrap(), 1e-12);
    close(found.after_a, file["mean_after"].as_f64().unwrap(), 1e-12);
}

/// Source: autocorrelations by statsmodels 0.15.0; standard errors by a prototype in numpy
/// (agreement of two programs, not certified values).
#[test]
fn the_standard_error_agrees_with_another_program() {
    let file = oracle(include_str!("oracles/mean_se.json"));
    for case in file["cases"].as_array().unwrap() {
        let x = numbers(&case["x"]);
        let middle = centre(&x);
        let variance = autocovariance(&x, middle, 0);
        for (lag, acf) in numbers(&case["acf_statsmodels_lag0_10"])
            .into_iter()
            .enumerate()
        {
            let found = autocovariance(&x, middle, lag) / variance;
            assert!(
                (found - acf).abs() < 1e-12,
                "lag {lag}: {found} against {acf}"
            );
        }
        let own = geyer(&x);
        close(own.se, case["geyer_ims_se"].as_f64().unwrap(), 0.005);
        close(own.dof, case["geyer_dof"].as_f64().unwrap(), 0.005);
        let short = geyer(&x[..120]);
        // Their rule, which widened a short series by three correlation times over its length. The
        // two cut the sequence at half the series one lag apart.
        let theirs = case["rule_se_first120"].as_f64().unwrap();
        let widened = short.se * (1.0 + 3.0 * short.tau / 120.0).sqrt();
        close(widened, theirs, 0.005);
        let theirs = case["rule_dof_first120"].as_f64().unwrap();
        close(short.dof.min(119.0) / 2.0, theirs, 0.01);
    }
}

/// Source: GUM (JCGM 100:2008) 4.4.3, as replayed in public test code: twenty readings with mean
/// 100.145, deviation 1.489 and, taken as independent, 0.333 for the mean.
#[test]
fn the_guides_twenty_temperatures() {
    let t = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42,
        100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ];
    let found = mean(&t).unwrap();
    assert!(
        (found.value - 100.145).abs() < 5e-4 && (found.sd - 1.489).abs() < 5e-4,
        "{found:?}"
    );
    assert!((found.sd / 20f64.sqrt() - 0.333).abs() < 5e-4);
}
