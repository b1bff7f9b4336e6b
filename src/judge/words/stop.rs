//! When to leave the car alone, in one sentence.

use crate::judge::stop::Stop;
use crate::judge::wait;

/// The advice.
pub fn stop(stop: &Stop) -> String {
    match stop {
        Stop::Overnight { more_s } => format!(
            "leave it recording overnight: what is left to learn is how often it wakes ({} more tells)",
            wait::to_come(*more_s)
        ),
        Stop::Stuck { left, each_s } => format!(
            "{} left and each step takes {} to be judged: do the next one, then leave it recording; nobody has to wait beside it",
            are(left),
            wait::to_come(*each_s)
        ),
    }
}

fn are(left: &[String]) -> String {
    match left {
        [one] => format!("only {one} is"),
        _ => format!("only {} are", left.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_advice_says_why_and_for_how_long() {
        let night = stop(&Stop::Overnight { more_s: 7201.0 });
        assert!(
            night.ends_with("how often it wakes (2 h 1 min more tells)"),
            "{night}"
        );
        let stuck = |left: &[&str]| {
            let left = left.iter().map(|&label| label.to_owned()).collect();
            stop(&Stop::Stuck {
                left,
                each_s: 4800.0,
            })
        };
        let two = "only E4, L2+L3 are left and each step takes 1 h 20 min to be judged";
        assert!(stuck(&["E4", "L2+L3"]).starts_with(two));
        assert!(stuck(&["E4"]).starts_with("only E4 is left"));
    }
}
