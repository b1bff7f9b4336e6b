//! Number conversions that may lose something, each said once, so that no `as` stands elsewhere.

#![expect(
    clippy::as_conversions,
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "this file is the one place for lossy conversions; each says what is lost"
)]

/// A count as a float; exact up to 2^53, far beyond any count of readings.
pub const fn f64_from_usize(n: usize) -> f64 {
    n as f64
}

/// A count as a float; exact up to 2^53.
pub const fn f64_from_u64(n: u64) -> f64 {
    n as f64
}

/// Milliseconds or digits as a float; exact up to 2^53.
pub const fn f64_from_i64(n: i64) -> f64 {
    n as f64
}

/// A float with single precision: seven digits, more than any ammeter shows.
pub const fn f32_from_f64(x: f64) -> f32 {
    x as f32
}

/// The nearest whole number; the ends of the range beyond it, zero for not-a-number.
pub fn round_to_i64(x: f64) -> i64 {
    x.round() as i64
}

/// The nearest whole number at or above zero; zero for not-a-number.
pub fn round_to_usize(x: f64) -> usize {
    x.round() as usize
}

/// The nearest whole number in `0..=65535`; zero for not-a-number.
pub fn round_to_u16(x: f64) -> u16 {
    x.round() as u16
}

/// How often a byte stands in `bytes`.
pub fn count_of(wanted: u8, bytes: &[u8]) -> u64 {
    let pieces = bytes.split(|byte| *byte == wanted).count();
    u64::try_from(pieces).map_or(u64::MAX, |pieces| pieces.saturating_sub(1))
}

/// How much of the whole in percent; `None` for what has no length.
pub fn percent(done: u64, total: u64) -> Option<u8> {
    let percent = done.saturating_mul(100).checked_div(total)?;
    Some(u8::try_from(percent.min(100)).unwrap_or(100))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn percent_of_nothing_is_none_and_of_too_much_all() {
        assert_eq!(percent(5, 0), None);
        assert_eq!(percent(5, 10), Some(50));
        assert_eq!(percent(50, 10), Some(100));
        assert_eq!(percent(6_000_000_000, 6_000_000_001), Some(99));
    }
}
