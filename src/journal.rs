//! The session file: entries to lines and back, whatever happened to the bytes in between; and
//! records made elsewhere, as CSV. No file is opened here: `shell::files::session_file` does that.

pub mod header;
pub mod import;
pub mod line;
pub mod recover;
pub mod seal;

pub use seal::Chain;

use crate::reading::number;

/// Milliseconds of a time of `digits` x 10^-`decimals` seconds, to the nearest; `None` for a time
/// that no record has (beyond thirty thousand years), so that no later sum overflows.
#[inline]
fn ms_of(digits: i64, decimals: u8) -> Option<i64> {
    const LARGEST_MS: u64 = 1_000_000_000_000_000;
    let ms = match i32::from(decimals) - 3 {
        0 => digits,
        more @ 1.. => {
            let divisor = 10i64.checked_pow(more.unsigned_abs())?;
            let half = divisor / 2;
            digits.checked_add(half * digits.signum())? / divisor
        }
        fewer => digits.checked_mul(10i64.checked_pow(fewer.unsigned_abs())?)?,
    };
    (ms.unsigned_abs() <= LARGEST_MS).then_some(ms)
}

/// A plain decimal at the start of `bytes`: its digits, how many stand behind the point, and the
/// rest. `None` for anything unusual (an exponent, more than 18 digits), which slower and
/// stricter code then looks at.
#[inline]
fn decimal(bytes: &[u8]) -> Option<(i64, u8, &[u8])> {
    let (is_negative, bytes) = match bytes {
        [b'-', rest @ ..] => (true, rest),
        [..] => (false, bytes),
    };
    let (whole, places) = digits(0, bytes);
    let (value, decimals, rest) = match bytes.get(places..)? {
        [b'.', fraction @ ..] => match digits(whole, fraction) {
            (_, 0) => return None,
            (value, decimals) => (value, decimals, fraction.get(decimals..)?),
        },
        rest => (whole, 0, rest),
    };
    let is_unusual = matches!(rest, [b'.' | b'e' | b'E', ..]);
    if is_unusual || places == 0 || places.saturating_add(decimals) > 18 {
        return None;
    }
    let (value, decimals) = (i64::try_from(value).ok()?, u8::try_from(decimals).ok()?);
    Some((if is_negative { -value } else { value }, decimals, rest))
}

/// `value` with the digits at the start of `bytes` behind it, and how many those are; of too many the
/// value is no longer theirs.
fn digits(mut value: u64, bytes: &[u8]) -> (u64, usize) {
    for (count, byte) in bytes.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit > 9 {
            return (value, count);
        }
        value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
    }
    (value, bytes.len())
}

/// Reads a time in seconds, exactly where it is a plain decimal.
fn time_ms(text: &str) -> Option<i64> {
    if let Some((digits, decimals, [])) = decimal(text.as_bytes()) {
        return ms_of(digits, decimals);
    }
    let secs: f64 = text.parse().ok()?;
    ms_of(number::round_to_i64(secs * 1000.0), 3).filter(|_| secs.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_to_the_millisecond() {
        for (text, ms) in [
            ("0.250", 250),
            ("-0.020", -20),
            ("91", 91_000),
            ("1.0005", 1001),
            ("-1.0005", -1001),
            ("1.5e1", 15_000),
            ("0.123456789", 123),
        ] {
            assert_eq!(time_ms(text), Some(ms), "{text}");
        }
        for text in ["", "soon", "nan", "inf", "1e300", "99999999999999999"] {
            assert_eq!(time_ms(text), None, "{text}");
        }
    }

    /// However many digits there are, and whatever follows them.
    #[test]
    fn a_decimal_is_the_one_of_the_standard_library() {
        let all = "987654321012345678";
        for (whole, decimals) in (1..=18).flat_map(|n| (0..=18 - n).map(move |d| (n, d))) {
            let (before, behind) = all.split_at(whole);
            let behind: String = behind.chars().take(decimals).collect();
            let point = if decimals > 0 { "." } else { "" };
            let value: i64 = format!("-{before}{behind}").parse().unwrap();
            for last in (0..=u8::MAX).filter(|last| !b"0123456789.eE".contains(last)) {
                let text = [format!("-{before}{point}{behind}").as_bytes(), &[last]].concat();
                let expected = (value, u8::try_from(decimals).unwrap(), &[last][..]);
                assert_eq!(decimal(&text), Some(expected));
            }
        }
        for odd in [
            "",
            "-",
            ".5",
            "5.",
            "5.,1",
            "1.2.3",
            "1e3",
            "1234567890123456789",
        ] {
            assert_eq!(decimal(odd.as_bytes()), None, "{odd}");
        }
    }
}
