//! Waits in words. A wait that is over is rounded down and one still to come is rounded up, both to
//! whole minutes: nobody should have to wait twice.

use crate::reading::number::round_to_i64;
use crate::reading::quantity;

/// What has been waited of a whole: `33 of 45 min`, `40 s of 45 min`, `1 h 5 min of 2 h`.
pub fn of_whole(waited_s: f64, whole_s: f64) -> String {
    let whole = quantity::span(whole_s);
    let minutes = round_to_i64((waited_s / 60.0).floor());
    let both_in_minutes = minutes >= 1 && whole.ends_with(" min") && !whole.contains(" h ");
    if both_in_minutes && minutes < 60 {
        format!("{minutes} of {whole}")
    } else {
        format!("{} of {whole}", quantity::span(waited_s))
    }
}

/// A wait still to come: `4 min`, `1 h 5 min`.
pub fn to_come(wait_s: f64) -> String {
    quantity::span((wait_s / 60.0).ceil() * 60.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_said_once() {
        assert_eq!(of_whole(33.0 * 60.0 + 50.0, 2700.0), "33 of 45 min");
        assert_eq!(of_whole(40.0, 2700.0), "40 s of 45 min");
        assert_eq!(of_whole(3900.0, 7200.0), "1 h 5 min of 2 h");
        assert_eq!(of_whole(600.0, 3900.0), "10 min of 1 h 5 min");
    }

    #[test]
    fn a_wait_to_come_is_rounded_up() {
        assert_eq!(to_come(181.0), "4 min");
        assert_eq!(to_come(3841.0), "1 h 5 min");
    }
}
