//! A battery's label as people type it: `agm,70Ah`, `70 Ah AGM`, `agm 70`, `EFB 70Ah 760A EN`,
//! `flooded rc 120 min`. Type and figures stand in any order; a bare number is ampere-hours.

use std::mem;

use crate::session::card::{Battery, BatteryKind, Cranking, CrankingStandard};

/// What may part two words; a dash only before a standard, never a minus.
const BETWEEN: [char; 8] = [',', ';', ':', '/', '(', ')', '=', '-'];

pub(super) fn battery(text: &str) -> Option<Battery> {
    let text = text.to_ascii_lowercase();
    let words = words(&text)?;
    let (mut kind, mut c20_ah, mut reserve_min, mut cranking) = (None, None, None, None);
    let mut has_plain_amperes = false;
    let mut left = words.as_slice();
    while let [word, rest @ ..] = left {
        let (is_new, taken) = if let ["12", "v", ..] | ["c", "20", ..] = left {
            // What every such label says.
            (true, 2)
        } else if let Some(found) = spelled(word) {
            (kind.replace(found).is_none(), 1)
        } else if *word == "rc" {
            (reserve_min.replace(size(rest.first()?)?).is_none(), 2)
        } else {
            let number = size(word)?;
            match rest {
                ["a", standard, ..] | [standard, ..] if is_standard(standard) => {
                    let standard = CrankingStandard::spelled(standard)?;
                    let taken = if rest.first() == Some(&"a") { 3 } else { 2 };
                    let found = Cranking {
                        a: number,
                        standard,
                    };
                    (cranking.replace(found).is_none(), taken)
                }
                ["ah", ..] => (c20_ah.replace(number).is_none(), 2),
                ["min" | "minutes" | "rc", ..] => (reserve_min.replace(number).is_none(), 2),
                ["a", ..] => (!mem::replace(&mut has_plain_amperes, true), 2),
                _ => (c20_ah.replace(number).is_none(), 1),
            }
        };
        left = left.get(taken..).filter(|_| is_new)?;
        // `rc 120 min` and `rc:120`.
        if let (Some(["min" | "minutes", rest @ ..]), "rc") = (left.get(..), *word) {
            left = rest;
        }
    }
    // Ampere without their standard say little, and are not ampere-hours.
    if has_plain_amperes && c20_ah.or(reserve_min).is_none() {
        return None;
    }
    Some(Battery {
        kind: kind?,
        c20_ah,
        reserve_min,
        cranking,
    })
}

fn spelled(word: &str) -> Option<BatteryKind> {
    if word == "wet" {
        return Some(BatteryKind::Flooded);
    }
    BatteryKind::spelled(word)
}

fn is_standard(word: &str) -> bool {
    CrankingStandard::spelled(word).is_some()
}

/// A number above zero.
fn size(word: &str) -> Option<f64> {
    super::positive(word).filter(|size| *size > 0.0)
}

/// Numbers and words, each for itself: `70ah` is two. `None` where something else stands there.
fn words(text: &str) -> Option<Vec<&str>> {
    let is_number = |c: char| c.is_ascii_digit() || c == '.';
    let mut words = Vec::new();
    let mut left = text;
    while let Some(c) = left.chars().next() {
        let rest = left.get(c.len_utf8()..)?;
        if c.is_whitespace() || BETWEEN.contains(&c) {
            if c == '-' && rest.starts_with(is_number) {
                return None;
            }
            left = rest;
            continue;
        }
        let same = |other: char| {
            is_number(other) == is_number(c) && other.is_ascii_alphanumeric()
                || other == '.' && is_number(c)
        };
        let end = left.find(|other| !same(other)).unwrap_or(left.len());
        let (word, behind) = left
            .split_at_checked(end)
            .filter(|(word, _)| !word.is_empty())?;
        words.push(word);
        left = behind;
    }
    Some(words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_battery_is_read_as_people_write_it() {
        for text in [
            "agm,70Ah",
            "AGM 70Ah",
            "70 Ah AGM",
            "agm 70",
            "70 agm",
            "AGM70",
            "agm, 70 ah",
            "AGM (70Ah)",
            "agm/70Ah",
            "AGM: 70 AH",
            "12V 70Ah AGM",
            "AGM 70Ah 760A",
            "agm,70Ah,C20",
            "12 V AGM 70 Ah (C20) 760 A",
        ] {
            let found = battery(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(
                (found.kind, found.c20_ah),
                (BatteryKind::Agm, Some(70.0)),
                "{text}"
            );
        }
        for text in [
            "flooded,rc:120",
            "flooded rc 120 min",
            "wet, 120 min",
            "RC120 flooded",
            "flooded 120 RC",
        ] {
            let found = battery(text).unwrap_or_else(|| panic!("{text}"));
            let read = (found.kind, found.c20_ah, found.reserve_min);
            assert_eq!(read, (BatteryKind::Flooded, None, Some(120.0)), "{text}");
        }
        for text in ["efb,70Ah,760A-EN", "EFB 70Ah 760 A (EN)", "760 EN 70Ah EFB"] {
            let found = battery(text).unwrap_or_else(|| panic!("{text}"));
            let cranking = found.cranking.unwrap();
            assert_eq!((cranking.a, found.c20_ah), (760.0, Some(70.0)), "{text}");
        }
    }

    #[test]
    fn what_is_no_battery_is_refused() {
        for text in [
            "",
            "70Ah",
            "agm 70 60",
            "agm,-70Ah",
            "agm 760A",
            "agm 70 Ahh",
            "agm gel 70",
            "agm 0",
            "agm 70+",
        ] {
            assert_eq!(battery(text), None, "{text}");
        }
    }
}
