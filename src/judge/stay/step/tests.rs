//! Where the last lasting step of a level is.

use super::*;

/// Stretches of so many values each, with one milliampere of noise.
fn noisy(stretches: &[(usize, f64)]) -> Vec<f64> {
    let noise = [0.001, -0.001, 0.0, 0.001, 0.0, -0.001, 0.0];
    let levels = stretches.iter().flat_map(|(count, a)| vec![*a; *count]);
    levels
        .zip(noise.iter().cycle())
        .map(|(a, noise)| a + noise)
        .collect()
}

fn still(stretches: &[(usize, f64)]) -> Vec<f64> {
    stretches
        .iter()
        .flat_map(|(count, a)| vec![*a; *count])
        .collect()
}

/// The present level begins after the last lasting step.
#[test]
fn what_stands_after_the_last_step_is_the_level_of_now() {
    for (values, expected, why) in [
        (noisy(&[(120, 0.03), (120, 0.05)]), 120, "a rise"),
        (noisy(&[(120, 0.05), (120, 0.03)]), 120, "a fall"),
        (
            noisy(&[(600, 0.05), (600, 0.03)]),
            600,
            "a fall in a long stay",
        ),
        (
            noisy(&[(120, 0.10), (120, 0.05), (120, 0.03)]),
            240,
            "the last of two",
        ),
        (noisy(&[(240, 0.03)]), 0, "none"),
        (noisy(&[(120, 0.0305), (120, 0.03)]), 0, "within the noise"),
        (
            noisy(&[(12, 0.05), (12, 0.03)]),
            12,
            "twelve seconds of each",
        ),
        (noisy(&[(4, 0.05), (4, 0.03)]), 0, "too short to have one"),
        (noisy(&[(237, 0.03), (3, 0.05)]), 0, "too near to the end"),
        (
            noisy(&[(3, 0.05), (237, 0.03)]),
            0,
            "too near to the beginning",
        ),
    ] {
        assert_eq!(last_step(&values, 1.0), expected, "{why}");
    }
    assert_eq!(
        last_step(&noisy(&[(120, 0.05), (120, 0.03)]), 5.0),
        120,
        "slower readings"
    );
}

/// Without any noise, a step has to be 1.2 mA or a hundredth of the level.
#[test]
fn a_small_step_matters_to_nobody() {
    for (from_a, to_a, is_step) in [
        (0.0310, 0.0300, false),
        (0.0320, 0.0300, true),
        (1.0080, 1.0000, false),
        (1.0200, 1.0000, true),
        (-1.0080, -1.0000, false),
    ] {
        let found = last_step(&still(&[(120, from_a), (120, to_a)]), 1.0);
        assert_eq!(found > 0, is_step, "{from_a} to {to_a}");
    }
}

/// A level that glides down is no step, however far it goes; nor is one that wanders.
#[test]
fn what_moves_slowly_is_no_step() {
    let glides: Vec<f64> = (0..600u32).map(|i| 0.05 - 0.00003 * f64::from(i)).collect();
    assert_eq!(last_step(&glides, 1.0), 0);
    let wanders: Vec<f64> = (0..600u32)
        .map(|i| 0.05 + 0.01 * f64::from(i % 200) / 200.0)
        .collect();
    assert!(last_step(&wanders, 1.0) < 600);
}

/// The variance is that of the two levels, never below what neighbours differ by (the middle square
/// of a normal deviate is 0.455 of its variance), and wider where neighbours go together.
#[test]
fn noise_is_what_the_levels_leave_and_wider_where_neighbours_go_together() {
    let apart = [1.0, 3.0, 1.0, 3.0];
    let found = unexplained(&apart[..2], &apart[2..], &apart);
    assert!((found - 4.0 / 0.91).abs() < 1e-9, "by neighbours: {found}");
    let together = [1.0, 1.0, 1.0, 3.0, 3.0, 3.0];
    // Squares 6, products of neighbours 1 + 1 - 1 + 1 + 1: half of them.
    let found = unexplained(
        &together,
        &[5.0, 5.0],
        &[&together[..], &[5.0, 5.0]].concat(),
    );
    let share: f64 = 3.0 / 6.0;
    assert!(
        (found - 6.0 / 8.0 * (1.0 + share) / (1.0 - share)).abs() < 1e-9,
        "{found}"
    );
}
