//! Steps that nobody marked, in sigmas of a reading, at a moment nobody knows.

use lullboard::judge::Judgement;
use lullboard::reading::{Elapsed, Measured};
use lullboard::session::card::Card;
use lullboard::session::entry::{Entry, Fact};

use crate::car::{Draw, readings as drawn};
use crate::{FIRST_SEED, judged, middle, scenes};

/// Scene, level before in ampere, smallest and largest step in sigmas.
const STEPS: [(&str, f64, (f64, f64)); 7] = [
    ("direct", 0.05, (5.0, 8.0)),
    ("direct", 0.2, (5.0, 8.0)),
    ("direct", 2.0, (5.0, 8.0)),
    ("direct", 2.0, (3.0, 4.0)),
    ("noisy", 0.2, (5.0, 8.0)),
    ("noise tau 4 s", 0.2, (5.0, 8.0)),
    ("one reading in 2 s", 0.2, (5.0, 8.0)),
];

/// The readings of a record, in order.
pub fn readings(entries: &[Entry]) -> Vec<(Elapsed, f64)> {
    let amps = |entry: &Entry| {
        let Fact::Reading(Measured::Amps(amps)) = entry.fact else {
            return None;
        };
        Some((entry.t, amps.value_a()))
    };
    entries.iter().filter_map(amps).collect()
}

/// The standard deviation of a reading in the minute before `at_s`.
pub fn sigma_a(seen: &[(Elapsed, f64)], at_s: f64) -> f64 {
    let near = |t: Elapsed| t.secs() < at_s && t.secs() >= at_s - 60.0;
    let values: Vec<f64> = seen
        .iter()
        .filter(|(t, _)| near(*t))
        .map(|(_, a)| *a)
        .collect();
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt()
}

/// Whether a step stands at the first reading from `at_s` on, or at one next to it.
pub fn is_located(judged: &Judgement, seen: &[(Elapsed, f64)], at_s: f64) -> bool {
    let index = |t: Elapsed| seen.partition_point(|(other, _)| *other < t);
    let truth = index(Elapsed::from_secs(at_s));
    judged
        .steps
        .iter()
        .any(|step| index(step.t).abs_diff(truth) <= 1)
}

/// Prints how often steps are found, and where.
pub fn steps(seeds: u64) {
    println!();
    println!(
        "| step without a mark | from A | sigmas | sigma mA | found % | in one reading % | off p95 s |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- |");
    for (row, (name, level_a, (low, high))) in STEPS.into_iter().enumerate() {
        let (mut found, mut located) = (0, 0);
        let (mut sigmas_ma, mut off_s) = (Vec::new(), Vec::new());
        for seed in 0..seeds {
            let mut draw = Draw::new(FIRST_SEED + 2_000_000 + 100_000 * row as u64 + seed);
            let noise = scenes::noise_of(name);
            let place_a = 10f64.powi(-i32::from(noise.decimals));
            let sigma_a = noise
                .white_a
                .hypot(noise.slow_a)
                .hypot(noise.share * level_a)
                .hypot(place_a / 12f64.sqrt());
            let at_s = draw.between(600.0, 660.0);
            let to_a = level_a - draw.between(low, high) * sigma_a;
            let entries = drawn(
                &mut draw,
                &[(0.0, level_a), (at_s, to_a)],
                &noise,
                at_s + 300.0,
            );
            let seen = readings(&entries);
            let judged = judged(Card::default(), &entries);
            sigmas_ma.push(crate::steps::sigma_a(&seen, at_s) * 1e3);
            let nearest = judged
                .steps
                .iter()
                .map(|step| (step.t.secs() - at_s).abs())
                .min_by(f64::total_cmp)
                .filter(|off_s| *off_s < 60.0);
            found += u64::from(nearest.is_some());
            off_s.extend(nearest);
            located += u64::from(is_located(&judged, &seen, at_s));
        }
        let percent = |n: u64| 100.0 * n as f64 / seeds as f64;
        println!(
            "| {name} | {level_a} | {low} to {high} | {:.1} | {:.1} | {:.1} | {:.1} |",
            middle(&mut sigmas_ma, 0.5),
            percent(found),
            percent(located),
            middle(&mut off_s, 0.95),
        );
    }
}
