//! Makes the table of spreads in `judge::cycle`: how regular random wakes look by chance.
//!
//! `cargo bench --bench cycle_table [-- DRAWS]`. Onsets with exponential gaps, one fixed seed; the
//! 0.5 % quantile of each spread by the program's own functions. `tests/oracles.rs` makes a few of
//! them again from other seeds.

#![expect(clippy::print_stdout, reason = "a program that prints a table")]

use lullboard::judge::cycle::{RANDOM_SPREADS, folded, spread};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Exp1};

const SEED: u64 = 6_000_000;
const ONE_IN: usize = 200;

fn main() {
    let draws: usize = std::env::args()
        .skip(1)
        .find_map(|arg| arg.parse().ok())
        .unwrap_or(1_000_000);
    let mut rng = ChaCha8Rng::seed_from_u64(SEED);
    for row in RANDOM_SPREADS {
        let mut plain = Vec::with_capacity(draws);
        let mut whole = Vec::with_capacity(draws);
        for _ in 0..draws {
            let gaps: Vec<f64> = (1..row.onsets).map(|_| Exp1.sample(&mut rng)).collect();
            plain.push(spread(&gaps));
            whole.push(spread(&folded(&gaps)));
        }
        println!(
            "    row({}, {:.3}, {:.3}),",
            row.onsets,
            quantile(&mut plain),
            quantile(&mut whole)
        );
    }
}

fn quantile(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values
        .get(values.len() / ONE_IN)
        .copied()
        .unwrap_or(f64::NAN)
}
