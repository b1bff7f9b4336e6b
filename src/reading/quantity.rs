//! Currents and times as people read them: the unit always stands, the last written place is one
//! that is known. A from 1 A up, mA below. Reading them back in is `amount`'s work.

use super::{Amps, Elapsed, number};

/// A reading with every place that the meter wrote: `52.30 mA`, `2.746 A`.
///
/// ```
/// use lullboard::reading::{Amps, quantity};
/// assert_eq!(quantity::shown(Amps::parse("0.05230").unwrap()), "52.30 mA");
/// ```
pub fn shown(amps: Amps) -> String {
    let small = amps.value_a().abs() < 1.0;
    match amps.times_ten_to(3).filter(|_| small) {
        Some(milli) => format!("{milli} mA"),
        None => format!("{amps} A"),
    }
}

/// How many of what: `1 message`, `3 messages`.
pub fn counted(count: impl std::fmt::Display, noun: &str) -> String {
    let count = count.to_string();
    let plural = if count == "1" { "" } else { "s" };
    format!("{count} {noun}{plural}")
}

/// A current whose uncertainty nobody said: three figures.
pub fn current(a: f64) -> String {
    if !a.is_finite() {
        return "no value".into();
    }
    let (value, unit) = in_unit(a, (a * 1e3).abs() >= 999.5);
    // 0.9996 has its first figure before the point once it is rounded.
    let places = exponent(value * 1.0005).map_or(0, |e| (2 - e).clamp(0, 3));
    format!("{} {unit}", fixed(value, places))
}

/// A chosen current, such as a limit, without idle zeros: `50 mA`, `1.2 A`.
pub fn amount(a: f64) -> String {
    if !a.is_finite() {
        return "no value".into();
    }
    let (value, unit) = in_unit(a, a.abs() >= 1.0);
    let text = fixed(value, 3);
    format!(
        "{} {unit}",
        text.trim_end_matches('0').trim_end_matches('.')
    )
}

/// A value with its expanded uncertainty, one or two figures of U and the value to the same place
/// (JCGM 100:2008, 7.2.6): `52.3 mA ± 1.2 mA`, `52 mA ± 4 mA`.
///
/// ```
/// use lullboard::reading::quantity;
/// assert_eq!(quantity::level(0.05234, 0.0012), "52.3 mA ± 1.2 mA");
/// assert_eq!(quantity::level(0.0523, 0.004), "52 mA ± 4 mA");
/// assert_eq!(quantity::level(2.0034, 0.020), "2.003 A ± 0.020 A");
/// ```
pub fn level(a: f64, u_a: f64) -> String {
    let (value, u, unit) = with_u(a, u_a);
    match u {
        Some(u) => format!("{value} {unit} ± {u} {unit}"),
        None => current(a),
    }
}

/// The value of [`level`] without its uncertainty, rounded to match it: `52.3 mA`.
pub fn level_alone(a: f64, u_a: f64) -> String {
    let (value, u, unit) = with_u(a, u_a);
    match u {
        Some(_) => format!("{value} {unit}"),
        None => current(a),
    }
}

/// A change with its uncertainty: as [`level`], with the sign always written, but on zero.
pub fn change(a: f64, u_a: f64) -> String {
    let text = level(a, u_a);
    let value = text.split(' ').next().unwrap_or_default();
    if text.starts_with('-') || value.trim_matches(['0', '.']).is_empty() {
        text
    } else {
        format!("+{text}")
    }
}

/// A charge, always in ampere-hours so that charges compare at a glance, no finer than its U
/// allows; three figures where nobody said U: `0.55 Ah`, `9.48 Ah`.
pub fn charge(ah: f64, u_ah: f64) -> String {
    if !ah.is_finite() {
        return "no value".into();
    }
    let known = places(u_ah).or_else(|| exponent(ah * 1.0005).map(|first| 2 - first));
    format!("{} Ah", fixed(ah, known.map_or(0, |places| places.min(6))))
}

fn with_u(a: f64, u_a: f64) -> (String, Option<String>, &'static str) {
    let places_a = places(u_a).filter(|_| a.is_finite());
    let Some(places_a) = places_a else {
        return (String::new(), None, "A");
    };
    let ten = 10f64.powi(places_a);
    let large = ((a * ten).round() / ten).abs() >= 1.0;
    let places = if large { places_a } else { places_a - 3 };
    let (value, unit) = in_unit(a, large);
    let (u, _) = in_unit(rounded_u(u_a, ten), large);
    (fixed(value, places), Some(fixed(u, places)), unit)
}

/// Rounding may make U smaller by this much; else it is rounded up (EA-4/02 M:2013, 6.3, from
/// memory).
const ROUNDED_DOWN_AT_MOST: f64 = 0.05;

fn rounded_u(u_a: f64, ten: f64) -> f64 {
    let nearest = (u_a * ten).round() / ten;
    if nearest < u_a * (1.0 - ROUNDED_DOWN_AT_MOST) {
        (u_a * ten).ceil() / ten
    } else {
        nearest
    }
}

/// Up to this first figure U is written with two of them, above it with one, so that rounding
/// never changes U by more than about a seventh (the Particle Data Group's rule, 355 and 950, from
/// memory; JCGM 100:2008, 7.2.6 says only "at most two").
const TWO_FIGURES_BELOW: f64 = 3.55;

/// How many decimals of an ampere leave as many figures of `u_a` as mean something.
fn places(u_a: f64) -> Option<i32> {
    if u_a <= 0.0 {
        return None;
    }
    let first = exponent(u_a)?;
    let figure = u_a / 10f64.powi(first);
    let places = if figure < TWO_FIGURES_BELOW {
        1 - first
    } else {
        -first
    };
    Some(places.clamp(-3, 9))
}

/// The power of ten of the first figure.
fn exponent(x: f64) -> Option<i32> {
    let log = x.abs().log10();
    if !log.is_finite() {
        return None;
    }
    i32::try_from(number::round_to_i64(log.floor())).ok()
}

fn in_unit(a: f64, large: bool) -> (f64, &'static str) {
    if large { (a, "A") } else { (a * 1e3, "mA") }
}

/// `x` with this many decimals; a negative count rounds before the point. Never `-0`.
fn fixed(x: f64, places: i32) -> String {
    let text = if let Ok(places) = usize::try_from(places) {
        format!("{x:.places$}")
    } else {
        let scale = 10f64.powi(-places);
        format!("{:.0}", (x / scale).round() * scale)
    };
    match text.strip_prefix('-') {
        Some(rest) if !rest.chars().any(|c| c.is_ascii_digit() && c != '0') => rest.to_owned(),
        Some(_) | None => text,
    }
}

/// A moment as a running clock shows it: `0:31:12`.
pub fn clock(t: Elapsed) -> String {
    let sign = if t.ms() < 0 { "-" } else { "" };
    let s = t.ms().unsigned_abs() / 1000;
    format!("{sign}{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
}

/// What is left of a wait: `12:31`, or `1:02:31`; never below zero.
pub fn countdown(secs: f64) -> String {
    let s = number::round_to_i64(secs.ceil()).max(0);
    if s >= 3600 {
        format!("{}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
    } else {
        format!("{}:{:02}", s / 60, s % 60)
    }
}

/// A length of time in words: `40 s`, `12 min`, `1 h 5 min`, `3 d 4 h`.
pub fn span(secs: f64) -> String {
    let s = number::round_to_i64(secs).max(0);
    let two = |big: i64, big_unit: &str, small: i64, small_unit: &str| {
        if small == 0 {
            format!("{big} {big_unit}")
        } else {
            format!("{big} {big_unit} {small} {small_unit}")
        }
    };
    if s < 60 {
        format!("{s} s")
    } else if s < 600 {
        two(s / 60, "min", s % 60, "s")
    } else if s < 3600 {
        format!("{} min", s / 60)
    } else if s < 86_400 {
        two(s / 3600, "h", s / 60 % 60, "min")
    } else {
        two(s / 86_400, "d", s / 3600 % 24, "h")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_value_is_rounded_to_match_u() {
        // Figures of JCGM 100:2008, 7.2.2: 100,021 47 with 0,000 35 behind it.
        assert_eq!(
            level(0.100_021_47, 0.000_000_35),
            "100.02147 mA ± 0.00035 mA"
        );
        assert_eq!(level(2.0, 0.12), "2.00 A ± 0.12 A");
        assert_eq!(level(0.349, 0.12), "350 mA ± 120 mA");
        assert_eq!(level(0.000_04, 0.001_2), "0.0 mA ± 1.2 mA");
        assert_eq!(level(-0.000_01, 0.001_2), "0.0 mA ± 1.2 mA");
    }

    #[test]
    fn no_place_is_finer_than_u_allows() {
        // JCGM 100:2008, 7.2.6, second paragraph: the estimate is rounded to be consistent with
        // its uncertainty.
        assert_eq!(level(0.0523, 0.004), "52 mA ± 4 mA");
        assert_eq!(level(0.0523, 0.0035), "52.3 mA ± 3.5 mA");
        assert_eq!(level(0.0523, 0.0036), "52 mA ± 4 mA");
        assert_eq!(level(2.003, 0.0949), "2.00 A ± 0.10 A");
        // EA-4/02 M:2013, 6.3 (from memory): not 4 mA, that would be a tenth less.
        assert_eq!(level(0.0523, 0.0045), "52 mA ± 5 mA");
        assert_eq!(level(0.0523, 0.0), "52.3 mA");
    }

    #[test]
    fn u_never_has_three_figures_nor_the_value_a_thousand_milliampere() {
        assert_eq!(level(0.052, 0.009_96), "52 mA ± 10 mA");
        assert_eq!(level(0.9999, 0.012), "1.000 A ± 0.012 A");
        assert_eq!(current(0.9996), "1.00 A");
    }

    #[test]
    fn a_charge_is_in_ampere_hours_and_no_finer_than_u() {
        assert_eq!(charge(0.552, 0.084), "0.55 Ah");
        assert_eq!(charge(9.484, 0.14), "9.48 Ah");
        assert_eq!(charge(0.4437, 0.0), "0.444 Ah");
        assert_eq!(charge(12.34, 0.0), "12.3 Ah");
        assert_eq!(charge(0.0, 0.0), "0 Ah");
        assert_eq!(charge(f64::NAN, 0.0), "no value");
    }

    #[test]
    fn without_u_three_figures_stand() {
        assert_eq!(level(0.0523, 0.0), "52.3 mA");
        assert_eq!(level(0.0523, f64::NAN), "52.3 mA");
        assert_eq!(current(12.345), "12.3 A");
        assert_eq!(current(0.0), "0 mA");
        assert_eq!(current(f64::INFINITY), "no value");
    }

    #[test]
    fn a_change_carries_its_sign() {
        assert_eq!(change(-1.948, 0.02), "-1.948 A ± 0.020 A");
        assert_eq!(change(0.0031, 0.0012), "+3.1 mA ± 1.2 mA");
        assert_eq!(change(0.0003, 0.004), "0 mA ± 4 mA");
    }

    #[test]
    fn a_limit_has_no_idle_zeros() {
        assert_eq!(amount(0.05), "50 mA");
        assert_eq!(amount(0.0125), "12.5 mA");
        assert_eq!(amount(1.2), "1.2 A");
        assert_eq!(amount(0.0), "0 mA");
    }

    #[test]
    fn a_reading_keeps_the_places_of_the_meter() {
        for (written, seen) in [
            ("0.05230", "52.30 mA"),
            ("2.746", "2.746 A"),
            ("-0.003", "-3 mA"),
            ("0.5", "500 mA"),
        ] {
            assert_eq!(shown(Amps::parse(written).unwrap()), seen);
        }
    }

    #[test]
    fn times_read_as_a_clock_and_as_words() {
        assert_eq!(clock(Elapsed::from_secs(1872.4)), "0:31:12");
        assert_eq!(countdown(750.2), "12:31");
        assert_eq!(countdown(-5.0), "0:00");
        assert_eq!(countdown(3751.0), "1:02:31");
        assert_eq!(span(40.0), "40 s");
        assert_eq!(span(2700.0), "45 min");
        assert_eq!(span(3900.0), "1 h 5 min");
        assert_eq!(span(90.0), "1 min 30 s");
    }
}
