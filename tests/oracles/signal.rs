//! What the detectors compute, against other programs and against theory.

use lullboard::judge::uncertainty::coverage;
use lullboard::reading::number::{f64_from_usize, round_to_usize};
use lullboard::reading::statistics::slope;
use lullboard::reading::{Amps, Elapsed, Measured};
use lullboard::signal::Classifier;
use lullboard::signal::cusum::{Cusum, SLACK, TRIP};
use lullboard::signal::gate::{Gate, Sample, Written};
use lullboard::signal::mean::{autocovariance, centre, geyer, mean};
use lullboard::signal::segment::{Segment, median_of_three};
use lullboard::signal::sorted::Sorted;
use lullboard::signal::split::split;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use serde_json::Value;

use crate::{close, numbers, oracle};

fn sample(t_s: f64, a: f64) -> Sample {
    Sample {
        t: Elapsed::from_secs(t_s),
        a,
    }
}

/// One value a second.
fn samples(values: &[f64]) -> Vec<Sample> {
    (0..)
        .zip(values)
        .map(|(i, a)| sample(f64::from(i), *a))
        .collect()
}

fn each_window(check: impl Fn(usize, &[f64], &Value)) {
    let file = oracle(include_str!("rolling.json"));
    let windows = file["windows"].as_object().unwrap();
    assert_eq!(windows.len(), 4);
    for (width, expected) in windows {
        check(width.parse().unwrap(), &numbers(&file["x"]), expected);
    }
}

/// Source: pandas 3.1.1 and polars 2.1.0 agree on the medians; numpy 2.4.6 for the median absolute
/// deviation.
#[test]
fn trailing_medians_as_others_find_them() {
    each_window(|width, x, expected| {
        let (medians, mads) = (numbers(&expected["median"]), numbers(&expected["mad"]));
        let mut window = Sorted::of(width);
        for (i, (median, mad)) in medians.into_iter().zip(mads).enumerate() {
            window.push(x[i]);
            assert!((window.median() - median).abs() < 1e-12, "{width} at {i}");
            let seen = &x[(i + 1).saturating_sub(width)..=i];
            let mut off = Sorted::of(width);
            for a in seen {
                off.push((a - median).abs());
            }
            assert!((off.median() - mad).abs() < 1e-12, "{width} at {i}");
            if let [a, b, c] = *seen {
                assert!((median_of_three([a, b, c]) - median).abs() < 1e-12);
            }
        }
    });
}

/// Source: pandas 3.1.1, polars 2.1.0 and a two-pass numpy 2.4.6 agree on the deviations.
#[test]
fn trailing_deviations_as_others_find_them() {
    each_window(|width, x, expected| {
        let deviations = expected["std_two_pass"].as_array().unwrap();
        for (i, deviation) in deviations.iter().enumerate() {
            let Some(deviation) = deviation.as_f64() else {
                assert_eq!(i, 0, "only a single value has none");
                continue;
            };
            let seen = &x[(i + 1).saturating_sub(width)..=i];
            let mut segment = Segment::starting(Elapsed::ZERO, 0.0);
            for a in seen {
                segment.learn(*a);
            }
            let found = segment.spread_a().unwrap();
            assert!((found - deviation).abs() < 1e-9, "{width} at {i}: {found}");
            if let Some(mean) = mean(seen) {
                assert!((mean.sd - deviation).abs() < 1e-9, "{width} at {i}");
            }
        }
    });
}

/// Source: the same series; its one reading of 9.999 is the only one far from the median of three
/// that pandas and polars agree on.
#[test]
fn the_gate_drops_what_the_median_of_three_overrules() {
    let file = oracle(include_str!("rolling.json"));
    let x = numbers(&file["x"]);
    let medians = numbers(&file["windows"]["3"]["median"]);
    let overruled: Vec<usize> = (1..x.len() - 1)
        .filter(|i| (x[*i] - medians[i + 1]).abs() > 0.020)
        .collect();
    let mut gate = Gate::default();
    let dropped: Vec<usize> = samples(&x)
        .into_iter()
        .map(|sample| Written {
            sample,
            resolution_a: 0.001,
        })
        .filter_map(|next| gate.pass(next, 0.002).filter(|(_, spike)| *spike))
        .map(|(spike, _)| {
            x.iter()
                .position(|a| (a - spike.sample.a).abs() < 1e-12)
                .unwrap()
        })
        .collect();
    assert_eq!(dropped, overruled);
    assert_eq!(dropped, [17]);
}

fn breaks(found: &Value) -> Vec<usize> {
    numbers(&found["breaks"])
        .into_iter()
        .map(round_to_usize)
        .collect()
}

fn squared_error(values: &[f64]) -> f64 {
    f64_from_usize(values.len()) * autocovariance(values, centre(values), 0)
}

/// Source: ruptures 1.1.10, `Dynp` and `Pelt` with the cost `l2`. Where breaks are the best of all,
/// each is also the best single split of the stretch between its two neighbours, so the split has
/// to find every one of them again; and the error left is the one that ruptures states.
#[test]
fn every_best_break_is_the_split_of_its_surroundings() {
    let file = oracle(include_str!("changepoints_ruptures.json"));
    let mut compared = 0;
    for case in file["cases"].as_array().unwrap() {
        let y = numbers(&case["y"]);
        let all = samples(&y);
        let by_count = case["dynp"].as_object().unwrap().values();
        for found in by_count.chain(case["pelt"].as_object().unwrap().values()) {
            let ends: Vec<usize> = std::iter::once(0).chain(breaks(found)).collect();
            for around in ends.windows(3) {
                let one = split(&all[around[0]..around[2]]).unwrap();
                assert_eq!(one.t, all[around[1]].t, "{around:?} of {}", case["note"]);
                close(
                    one.before_a,
                    mean(&y[around[0]..around[1]]).unwrap().value,
                    1e-9,
                );
                compared += 1;
            }
            let left: f64 = ends.windows(2).map(|w| squared_error(&y[w[0]..w[1]])).sum();
            close(left, found["cost"].as_f64().unwrap(), 1e-9);
        }
    }
    assert!(compared > 40, "only {compared} breaks");
}

/// Source: the true breaks of the same two series, which `Pelt` finds with a low penalty. The
/// whole classifier is asked, one reading a second.
#[test]
fn the_record_changes_where_pelt_says() {
    let file = oracle(include_str!("changepoints_ruptures.json"));
    for case in file["cases"].as_array().unwrap() {
        let mut record = Classifier::default();
        for sample in samples(&numbers(&case["y"])) {
            record.step(sample.t, Measured::Amps(Amps::rounded(sample.a, 3)));
        }
        let found: Vec<f64> = record.changes().iter().map(|c| c.t.secs()).collect();
        assert_eq!(found, numbers(&case["true_breaks"]), "{}", case["note"]);
        let best = breaks(&case["pelt"]["0.02"]);
        assert_eq!(best.len(), found.len() + 1);
    }
}

/// Source: scipy 1.17.1, `stats.linregress` on one record, and the 95 % bounds of
/// `stats.theilslopes` on another, with ties.
#[test]
fn a_slope_as_scipy_fits_it() {
    let file = oracle(include_str!("theil_sen.json"));
    let fitted = |case: &Value| {
        let (t, y) = (numbers(&case["t"]), numbers(&case["y"]));
        slope(&t.into_iter().zip(y).collect::<Vec<_>>())
    };
    let [plain, tied] = [&file["cases"][0], &file["cases"][1]];
    let (slope, se) = fitted(plain);
    close(slope, plain["ols_slope"].as_f64().unwrap(), 1e-9);
    close(se, plain["ols_stderr"].as_f64().unwrap(), 1e-9);
    let (slope, _) = fitted(tied);
    let bound = |name: &str| tied[name].as_f64().unwrap();
    assert!((bound("low")..=bound("high")).contains(&slope), "{slope}");
}

fn normal(rng: &mut ChaCha8Rng) -> f64 {
    StandardNormal.sample(rng)
}

/// Source: the exact variance of the mean of a first-order autoregressive series. 1500 series each.
/// The plain squared standard error of sixty values that are only three correlation times long is
/// half of what it should be, which is why the program widens it; the widened interval of 95 %
/// holds in 93 to 98 %.
#[test]
fn the_error_of_a_mean_is_that_of_theory() {
    const RUNS: u32 = 1500;
    let runs = f64::from(RUNS);
    let file = oracle(include_str!("mean_se.json"));
    for case in file["ar1_theory"].as_array().unwrap() {
        let phi = case["phi"].as_f64().unwrap();
        let n = usize::try_from(case["n"].as_u64().unwrap()).unwrap();
        let mut rng = ChaCha8Rng::seed_from_u64(6_100_000);
        let (mut squared_off, mut squared_se, mut held) = (0.0, 0.0, 0.0);
        for _ in 0..RUNS {
            let mut x = normal(&mut rng);
            let series: Vec<f64> = (0..n)
                .map(|_| {
                    x = phi * x + (1.0 - phi * phi).sqrt() * normal(&mut rng);
                    x
                })
                .collect();
            let found = mean(&series).unwrap();
            squared_off += found.value.powi(2) / runs;
            squared_se += geyer(&series).se.powi(2) / runs;
            let half_width = found.se * coverage(found.dof);
            held += f64::from(u8::from(found.value.abs() <= half_width)) / runs;
        }
        let exact = case["var_ratio"].as_f64().unwrap();
        // Four standard errors of a variance from so many draws.
        close(squared_off, exact, 4.0 * (2.0 / runs).sqrt());
        let share = squared_se / exact;
        assert!((0.5..1.2).contains(&share), "n {n} phi {phi}: {share}");
        assert!((0.93..=0.98).contains(&held), "n {n} phi {phi}: {held}");
    }
}

/// Source: average run lengths by a Markov chain ("An approach to the probability distribution of
/// cusum run length", Biometrika 59, 1972, 539; computed outside this project; textbooks print 168
/// and 8.38). 20,000 runs each, four standard errors allowed; a run length is about as widely
/// spread as it is long.
#[test]
fn the_cumulative_sum_trips_as_often_as_it_should() {
    const RUNS: u32 = 20_000;
    let file = oracle(include_str!("cusum_arl.json"));
    let same = |row: &&Value, key: &str, own: f64| (row[key].as_f64().unwrap() - own).abs() < 1e-12;
    let table = file["table"].as_array().unwrap().iter();
    let mut compared = 0;
    for row in table.filter(|row| same(row, "k", SLACK) && same(row, "h", TRIP)) {
        let shift = row["shift_sigma"].as_f64().unwrap();
        let mut rng = ChaCha8Rng::seed_from_u64(6_200_000);
        let mut steps = 0u32;
        for _ in 0..RUNS {
            let mut sums = Cusum::default();
            steps += 1;
            while !sums.push(shift + normal(&mut rng)) {
                steps += 1;
            }
        }
        let found = f64::from(steps) / f64::from(RUNS);
        close(
            found,
            row["two_sided"].as_f64().unwrap(),
            4.0 / f64::from(RUNS).sqrt(),
        );
        compared += 1;
    }
    assert_eq!(compared, 5);
}
