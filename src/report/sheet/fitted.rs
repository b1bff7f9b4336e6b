//! A new part against the old one: what the trial before it cannot say, because there the old part
//! was out.

use crate::judge::finding::{Level, Trial, Verdict};
use crate::judge::rules::SAME_A;
use crate::reading::quantity;
use crate::report::case::Case;
use crate::session::mark::Did;

/// New parts, in the order in which they were fitted; what the last of them changed, where no
/// table of both sides says it.
pub(super) fn fitted(case: &Case, has_sides: bool) -> Vec<String> {
    let swaps: Vec<String> = case
        .session
        .done(Did::Swap)
        .map(|placed| {
            let what = placed.mark.what.join(" and ");
            format!("New part fitted: {what}, {}", case.times.full(placed.at()))
        })
        .collect();
    let Some((last, others)) = swaps.split_last() else {
        return Vec::new();
    };
    let told = with_it(case).filter(|_| !has_sides);
    let told = told.map_or_else(|| last.clone(), |told| format!("{last}. {told}"));
    others
        .iter()
        .chain([&told])
        .map(|words| format!("{words}."))
        .collect()
}

/// The last swap in the table of trials: the new part against the old one, not against none.
pub(super) fn told(case: &Case, trial: &Trial) -> Option<[String; 5]> {
    let last = case
        .judgement
        .trials
        .iter()
        .rfind(|it| it.did == Did::Swap)?;
    if trial.mark != last.mark {
        return None;
    }
    let (old, new) = old_and_new(case)?;
    let holds = match case.judgement.verdict {
        Verdict::Below if is_early(case) => "holds so far",
        Verdict::Below => "holds",
        Verdict::Above => "does not hold",
        Verdict::CannotTell | Verdict::NotSettled => return None,
    };
    let level = |level: Level| level.in_words();
    let change = if is_same(old, new) {
        "as before".into()
    } else {
        quantity::current(new.a - old.a)
    };
    let because = silence(case).unwrap_or_else(|| "the new part against the old one".into());
    Some([level(old), level(new), change, holds.into(), because])
}

/// "With it the car settled at 23.0 mA, 372 mA less than with the old part".
fn with_it(case: &Case) -> Option<String> {
    let settled = case.judgement.settled.as_ref()?;
    let level = settled.level.in_words();
    let silence = silence(case)
        .map(|words| format!("; {words}"))
        .unwrap_or_default();
    let difference = difference(case)?;
    Some(format!(
        "With it the car settled at {level}, {difference}{silence}"
    ))
}

/// "372 mA less than with the old part".
fn difference(case: &Case) -> Option<String> {
    old_and_new(case).map(|(old, new)| against(old, new))
}

/// The settled levels with the old part and with the new one, everything in both times.
fn old_and_new(case: &Case) -> Option<(Level, Level)> {
    let before = case.before.as_deref()?.judgement.settled.as_ref()?;
    let after = case.judgement.settled.as_ref()?;
    case.session
        .out_now()
        .is_empty()
        .then_some((before.level, after.level))
}

fn against(old: Level, new: Level) -> String {
    let change_a = new.a - old.a;
    if is_same(old, new) {
        return "as with the old part".into();
    }
    let less = if change_a < 0.0 { "less" } else { "more" };
    format!(
        "{} {less} than with the old part",
        quantity::current(change_a.abs())
    )
}

fn is_same(old: Level, new: Level) -> bool {
    (new.a - old.a).abs() < SAME_A.max(old.u_a.min(new.u_a))
}

/// "no wake came in the 14 min it was watched, where one came every 2 min 57 s before".
fn silence(case: &Case) -> Option<String> {
    let repaired = case.repaired()?;
    let cycle = case.judgement.cycles.first()?;
    let watched_s = case.watched_s();
    let went_on = case.judgement.wakes.iter().any(|wake| wake.from > repaired);
    (!went_on && watched_s > cycle.period_s).then(|| {
        format!(
            "no wake came in the {} it was watched, where one came every {} before",
            quantity::span(watched_s),
            quantity::span(cycle.period_s)
        )
    })
}

fn is_early(case: &Case) -> bool {
    case.judgement.settled.is_some_and(|settled| settled.early)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_part_is_held_against_the_old_one() {
        let level = |a| Level { a, u_a: 0.0035 };
        for (old, new, words) in [
            (0.248, 0.027, "221 mA less than with the old part"),
            (0.027, 0.029, "as with the old part"),
            (0.027, 0.341, "314 mA more than with the old part"),
        ] {
            assert_eq!(against(level(old), level(new)), words);
        }
    }
}
