//! The answer in two sentences: what the parked car draws, and what that is against the limit.

use super::draw;
use crate::judge::Judgement;
use crate::judge::finding::{SettledNow, Verdict};
use crate::judge::rules::AWAKE_A;
use crate::reading::capitalised;

/// With these out of the car.
pub fn headline(judgement: &Judgement, out: &[&str]) -> String {
    let limit = format!("the limit of {}", draw::limit_alone(judgement.limit));
    let settled = judgement.settled.as_ref();
    let draws = settled.map_or_else(
        || format!("{}.", capitalised(&draw::settled(judgement))),
        |settled| draws(judgement, settled),
    );
    let against = match judgement.verdict {
        Verdict::Above | Verdict::Below => format!("That is {}.", judgement.against(&limit, out)),
        Verdict::CannotTell => format!("Whether that is above {limit} cannot be told."),
        Verdict::NotSettled => format!("So nothing can be said yet against {limit}."),
    };
    format!("{draws} {against}")
}

/// "Parked and asleep, the car draws 22.0 mA ± 3.5 mA."
fn draws(judgement: &Judgement, settled: &SettledNow) -> String {
    let how = if judgement.slept {
        "Parked and asleep"
    } else {
        "Left alone"
    };
    let up = if settled.level.a >= AWAKE_A {
        " It did not fall asleep."
    } else {
        ""
    };
    let drawn = draw::drawn(judgement, settled);
    format!("{how}, the car draws {drawn}.{up}")
}
