//! Readings that no parked car gives: what is wrong is the connection or the meter, not the car.

use crate::judge::finding::Verdict;
use crate::judge::uncertainty::Estimate;
use crate::reading::quantity;

/// No car with its battery connected draws less: the modules that keep their memory take 2 to
/// 4 mA together (common practice, no source; single modules 0.1 to 4.75 mA, trade table 1.3).
pub const CURRENT_MIN_A: f64 = 0.001;

/// What a dead meter and a sleeping car have in common is told apart by this.
const KNOWN_LOAD: &str =
    "check the meter's fuse and leads, then show it a known load (a 5 W lamp adds about 0.4 A)";

/// Why a level is no parked car's, for a verdict of `said` on it.
pub(super) fn odd(level: &Estimate, said: Verdict) -> Option<String> {
    if level.a == 0.0 && level.spread_a == 0.0 {
        return Some("exactly zero without any noise: check the meter's fuse and leads".into());
    }
    if level.a + 2.0 * level.u_a() < 0.0 {
        return Some(
            "the current is negative: turn the clamp or the leads, or take the charger off".into(),
        );
    }
    let shown = quantity::current(level.a);
    if level.a.abs() < CURRENT_MIN_A {
        return Some(format!(
            "no current at all? {shown}, and a car with its battery connected always draws more: {KNOWN_LOAD}"
        ));
    }
    let u_a = level.level().u_a;
    (said == Verdict::Below && level.a <= u_a).then(|| {
        let u = quantity::current(u_a);
        format!("no current at all? {shown} is within U {u} of zero: {KNOWN_LOAD}")
    })
}
