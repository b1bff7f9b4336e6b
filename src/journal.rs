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
fn decimal(bytes: &[u8]) -> Option<(i64, u8, &[u8])> {
    let (negative, mut rest) = match bytes.strip_prefix(b"-") {
        Some(rest) => (true, rest),
        None => (false, bytes),
    };
    let mut digits: i64 = 0;
    let mut count: u8 = 0;
    let mut point: Option<u8> = None;
    while let [byte, tail @ ..] = rest {
        match byte {
            b'0'..=b'9' if count < 18 => {
                digits = digits * 10 + i64::from(byte - b'0');
                count += 1;
            }
            b'.' if point.is_none() && count > 0 => point = Some(count),
            b'0'..=b'9' | b'.' | b'e' | b'E' => return None,
            _ => break,
        }
        rest = tail;
    }
    let decimals = point.map_or(0, |before| count - before);
    if count == 0 || (point.is_some() && decimals == 0) {
        return None;
    }
    Some((if negative { -digits } else { digits }, decimals, rest))
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
}
