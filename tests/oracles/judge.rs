//! What the judge computes, against the guides and against other programs.

use lullboard::judge::cycle::{RANDOM_SPREADS, folded, spread};
use lullboard::judge::finding::Verdict;
use lullboard::judge::least_squares::Normal;
use lullboard::judge::uncertainty::{self, Estimate, at_most, coverage, effective_dof, t_factor};
use lullboard::judge::verdict::{against_limit, probability_below};
use lullboard::reading::Elapsed;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Exp1};
use serde_json::Value;

use crate::{close, numbers, oracle};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn estimate(a: f64, noise_u_a: f64) -> Estimate {
    Estimate {
        a,
        noise_u_a,
        dof: f64::INFINITY,
        rounding_u_a: 0.0,
        gain_u: 0.0,
        zero_u_a: 0.0,
        spread_a: noise_u_a,
        t: Elapsed::ZERO,
    }
}

/// Source: GUM (JCGM 100:2008) H.1, end gauge: the parts and their degrees of freedom also stand
/// in the manual of a public statistics package; printed are 32 nm, 16.7 degrees of freedom
/// (taken as 16), k 2.92 and 93 nm (the printed results from memory).
#[test]
fn the_guides_end_gauge() {
    let file = oracle(include_str!("gum.json"));
    let (u, dof) = (&file["H1"]["components_nm"], &file["H1"]["dof"]);
    let parts = ["ls", "d", "delta_alpha", "delta_theta"]
        .map(|name| (number(&u[format!("u_{name}")]), number(&dof[name])));
    let all = uncertainty::combined(&parts.map(|(part, _)| part));
    assert!((all - 32.0).abs() < 0.5, "{all}");
    close(all, number(&file["H1"]["uc_nm_recomputed"]), 1e-12);
    let effective = effective_dof(all, &parts);
    assert!((effective - 16.7).abs() < 0.1, "{effective}");
    close(effective, number(&file["H1"]["nu_eff_recomputed"]), 1e-12);
    let k = t_factor(effective.floor(), 0.99);
    assert!((k - 2.92).abs() < 0.005, "{k}");
    assert!((k * all.round() - 93.0).abs() < 0.5);
}

/// Source: GUM 5.2.2 example (from memory): ten resistors of 1000 ohm, each calibrated against the
/// same standard to 0.1 ohm, in series: 1 ohm, not the 0.32 of independent errors. A gain common
/// to all readings is the same case.
#[test]
fn the_guides_ten_resistors() {
    let file = oracle(include_str!("gum.json"));
    let example = &file["GUM_5_2_2"];
    let in_series = Estimate {
        gain_u: number(&example["u_each"]) / 1000.0,
        ..estimate(1000.0 * number(&example["n"]), 0.0)
    };
    close(in_series.u_a(), number(&example["uc_correlated"]), 1e-12);
}

/// Source: GUM 5.2.2, 4.3.7 and G.4.1, the arithmetic done in numpy.
#[test]
fn the_guides_rules_on_other_numbers() {
    let file = oracle(include_str!("gum.json"));
    for case in file["welch_satterthwaite"].as_array().unwrap() {
        let u = numbers(&case["u"]);
        let parts: Vec<(f64, f64)> = u.iter().copied().zip(numbers(&case["nu"])).collect();
        let all = uncertainty::combined(&u);
        close(effective_dof(all, &parts), number(&case["nu_eff"]), 1e-12);
    }
    for case in file["delta_with_common_gain"].as_array().unwrap() {
        let level = |when: &str| Estimate {
            rounding_u_a: number(&case[format!("uQ_{when}")]),
            gain_u: number(&case["ug_rel"]),
            // The offset is the same before and after, and has to cancel.
            zero_u_a: 0.002,
            ..estimate(number(&case[when]), number(&case[format!("s_{when}")]))
        };
        let found = uncertainty::change(&level("before"), &level("after"), 0.0);
        close(found.a, -number(&case["delta"]), 1e-12);
        close(
            found.u_a / coverage(f64::INFINITY),
            number(&case["uc"]),
            1e-9,
        );
    }
}

/// Source: JCGM 106:2012 7.3.3 (a diode's voltage against its limit, 0.92) and 8.3 (clauses from
/// memory); probabilities by scipy 1.17.1.
#[test]
fn conformity_as_the_guide_decides_it() {
    let file = oracle(include_str!("jcgm106.json"));
    let diode = &file["examples"][0];
    let below = |case: &Value, limit: &str| {
        let (y, u) = (number(&case["y"]), number(&case["u"]));
        probability_below(number(&case[limit]), y, u, f64::INFINITY)
    };
    close(below(diode, "T"), number(&diode["p"]), 1e-9);
    let decisions = file["decisions"].as_array().unwrap();
    assert_eq!(decisions.len(), 10);
    for case in decisions {
        let p = below(case, "limit");
        assert!((p - number(&case["p_below"])).abs() < 1e-9, "{case}");
        assert!((1.0 - p - number(&case["p_above"])).abs() < 1e-9, "{case}");
        let level = estimate(number(&case["y"]), number(&case["u"]));
        let expected = match case["verdict"].as_str().unwrap() {
            "below" => Verdict::Below,
            "above" => Verdict::Above,
            other => {
                assert_eq!(other, "cannot tell");
                Verdict::CannotTell
            }
        };
        assert_eq!(
            against_limit(&level, number(&case["limit"])),
            expected,
            "{case}"
        );
    }
}

/// Source: JCGM 106:2012 8.3 (from memory): guard bands in standard uncertainties by scipy 1.17.1.
/// The decision changes where the 95 % guard band ends.
#[test]
fn the_guard_band_is_as_wide_as_it_should_be() {
    let file = oracle(include_str!("jcgm106.json"));
    let factors = file["guard_factors"].as_object().unwrap();
    for (share, factor) in factors {
        let p = probability_below(number(factor), 0.0, 1.0, f64::INFINITY);
        close(p, share.parse().unwrap(), 1e-9);
    }
    let (limit_a, u_a) = (0.05, 0.002);
    let band_a = number(&factors["0.95"]) * u_a;
    let said = |off_a: f64| against_limit(&estimate(limit_a + off_a, u_a), limit_a);
    assert_eq!(said(-1.001 * band_a), Verdict::Below);
    assert_eq!(said(-0.999 * band_a), Verdict::CannotTell);
    assert_eq!(said(0.999 * band_a), Verdict::CannotTell);
    assert_eq!(said(1.001 * band_a), Verdict::Above);
}

/// Source: scipy 1.17.1, Student's t and the normal distribution.
#[test]
fn quantiles_as_scipy_gives_them() {
    let file = oracle(include_str!("quantiles.json"));
    let table = |name: &str| -> Vec<(f64, f64)> {
        let rows = file[name].as_object().unwrap().iter();
        rows.map(|(key, value)| (key.parse().unwrap(), number(value)))
            .collect()
    };
    for (dof, t) in table("t975") {
        close(t_factor(dof, 0.95), t, 1e-8);
        close(coverage(dof), t.max(2.0), 1e-8);
        close(at_most(t, dof), 0.975, 1e-8);
    }
    for (dof, t) in table("t95") {
        close(at_most(t, dof), 0.95, 1e-8);
    }
    for (x, p) in table("normal_cdf") {
        close(at_most(x, f64::INFINITY), p, 1e-8);
    }
}

/// Source: the exact convolution of a normal and a rectangular error, by scipy 1.17.1. The root of
/// the squares with k = 2 is never narrower than the exact 95 %, and at most a fifth wider (which
/// it is where nearly all is rounding).
#[test]
fn rounding_joined_to_noise_is_never_too_narrow() {
    let file = oracle(include_str!("quantiles.json"));
    for case in file["normal_plus_rectangular"].as_array().unwrap() {
        let level = Estimate {
            rounding_u_a: number(&case["half_width"]) / 3f64.sqrt(),
            ..estimate(0.05, number(&case["sigma"]))
        };
        let wider = level.level().u_a / number(&case["h95"]);
        assert!((1.0..1.2).contains(&wider), "{case}: {wider}");
    }
}

/// Source: scipy 1.17.1, `optimize.nnls` ("Solving Least Squares Problems", 1974, chapter 23).
#[test]
fn no_negative_unknowns_as_scipy_solves_it() {
    let file = oracle(include_str!("nnls.json"));
    let cases = file["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 4);
    for case in cases {
        let design = case["A"].as_array().unwrap().iter().map(numbers);
        let rows: Vec<_> = design
            .zip(numbers(&case["b"]))
            .map(|(row, b)| (row, b, 1.0))
            .collect();
        let normal = Normal::of(&rows);
        let found = normal.non_negative(&normal.inverse().unwrap());
        let expected = numbers(&case["x"]);
        assert_eq!(found.len(), expected.len());
        for (a, b) in found.iter().zip(&expected) {
            assert!((a - b).abs() < 1e-9, "{found:?} against {expected:?}");
        }
    }
}

/// Source: simulation here, from other seeds than the table's (`benches/cycle_table.rs`): how many
/// of 40,000 random records stay below each quantile that is meant for one in 200. Four standard
/// errors of that count are allowed.
#[test]
fn random_wakes_look_regular_once_in_two_hundred() {
    const DRAWS: u32 = 40_000;
    let mut rng = ChaCha8Rng::seed_from_u64(6_300_000);
    for row in RANDOM_SPREADS {
        let (mut plain, mut whole) = (0u32, 0u32);
        for _ in 0..DRAWS {
            let gaps: Vec<f64> = (1..row.onsets).map(|_| Exp1.sample(&mut rng)).collect();
            plain += u32::from(spread(&gaps) <= row.plain);
            whole += u32::from(spread(&folded(&gaps)) <= row.folded);
        }
        let expected = f64::from(DRAWS) / 200.0;
        for count in [plain, whole] {
            assert!(
                (f64::from(count) - expected).abs() < 4.0 * expected.sqrt(),
                "{row:?}: {count}"
            );
        }
    }
}
