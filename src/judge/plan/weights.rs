//! How likely a circuit is to be the drawer, by what it feeds, and which fuses are left alone
//! until nothing else is left.
//!
//! The words stand in `assets/hunt.toml`; a `weight` in the map goes before them.

use super::usual::usual;
use crate::fuse::map::Circuit;
use crate::session::caution::{self, Caution, When};

/// How likely the circuit is, against the others.
pub fn weight(circuit: &Circuit) -> f64 {
    let odds = &usual().odds;
    if let Some(weight) = circuit.weight {
        return if weight.is_finite() {
            weight.max(0.0)
        } else {
            odds.usual_weight
        };
    }
    let named = usual().weights.iter();
    let named = named.filter(|weighed| feeds_any(circuit, &weighed.words));
    named
        .map(|weighed| weighed.weight)
        .max_by(f64::total_cmp)
        .unwrap_or(odds.usual_weight)
}

/// Whether its fuse stays in until nothing else is left: pulling it disturbs the whole car, or
/// needs licensed hands.
pub fn comes_last(circuit: &Circuit) -> bool {
    feeds_any(circuit, &usual().words.carry_sleep)
        || called_for(circuit).any(|caution| match caution.when {
            When::Restraint | When::HighVoltage => true,
            When::Connect
            | When::Unlock
            | When::Pull
            | When::MeterJack
            | When::Charge
            | When::BatterySwap
            | When::SecondBattery
            | When::CallsHome
            | When::OwnBattery => false,
        })
}

/// What to know before this fuse is pulled: the same words as everywhere.
pub fn caution(circuit: &Circuit) -> Option<&'static str> {
    called_for(circuit).map(|caution| caution.text).next()
}

fn called_for(circuit: &Circuit) -> impl Iterator<Item = &'static Caution> {
    caution::called_for(&circuit.feeds.join("; ")).into_iter()
}

/// Whether a part's name holds one of these as whole words: "abs" is not in "absorber".
fn feeds_any(circuit: &Circuit, words: &[String]) -> bool {
    circuit.feeds.iter().any(|part| {
        let part = plain(part);
        words.iter().any(|word| {
            let stem = part.contains(&format!(" {word}"));
            // A long word stands for its plural and its compounds too.
            if word.len() > 4 {
                stem
            } else {
                part.contains(&format!(" {word} ")) || part.contains(&format!(" {word}s "))
            }
        })
    })
}

/// Lower-case words with one blank before, between and after them.
fn plain(part: &str) -> String {
    let words = part.to_lowercase();
    let words: Vec<&str> = words
        .split(|c: char| !(c.is_alphanumeric() || c == '-'))
        .filter(|word| !word.is_empty())
        .collect();
    format!(" {} ", words.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feeding(part: &str) -> Circuit {
        serde_json::from_str(&format!(r#"{{"label":"L2","feeds":["{part}"]}}"#)).unwrap()
    }

    #[test]
    fn what_was_added_comes_before_what_the_engine_needs() {
        let weights = [
            "Trailer module",
            "tailgate latch switch",
            "cluster",
            "engine control",
        ]
        .map(|part| weight(&feeding(part)));
        assert!(
            weights.windows(2).all(|pair| pair[0] > pair[1]),
            "{weights:?}"
        );
    }

    #[test]
    fn the_map_goes_before_the_table() {
        let circuit = Circuit {
            weight: Some(0.2),
            ..feeding("amplifier")
        };
        assert!((weight(&circuit) - 0.2).abs() < 1e-12);
    }

    #[test]
    fn short_words_are_whole_words() {
        assert!((weight(&feeding("shock absorber")) - usual().odds.usual_weight).abs() < 1e-12);
        assert!((weight(&feeding("ABS pump")) - 0.5).abs() < 1e-12);
        assert!(comes_last(&feeding("BCM, supply 2")));
        assert!(!comes_last(&feeding("bcmx")));
    }

    #[test]
    fn restraints_and_high_voltage_come_last_with_a_caution() {
        for (part, words) in [
            ("airbag unit", "airbags"),
            ("air bag control unit", "airbags"),
            ("high-voltage traction battery", "orange cables"),
        ] {
            assert!(comes_last(&feeding(part)), "{part}");
            assert!(caution(&feeding(part)).unwrap().contains(words), "{part}");
        }
        assert_eq!(caution(&feeding("washer pump")), None);
    }
}
