//! The plan in words: every sentence that a plan says, in one place.

use super::Plan;
use super::belief::{Belief, Group};
use super::load_fuses::LoadFuses;
use crate::reading::{number, quantity};
use crate::session::mark::Did;

/// What has no fuse in the box ("Establishing unfused components", workshop manual, 2000:
/// generator, starter, ignition, alarm; "Ignition Off Draw Tests", 1997: when nothing changes with
/// all fuses out, lift the generator's B+).
const UNFUSED: [&str; 4] = ["generator B+", "starter", "ignition", "alarm"];
const UNFUSED_CAUTION: &str =
    "battery negative off before a cable at generator or starter is lifted; the maker's data first";

pub(super) fn pull<'a>(
    taken: usize,
    open: usize,
    p: f64,
    single: bool,
    known: impl Iterator<Item = &'a Group>,
) -> String {
    let percent = number::round_to_i64(p * 100.0);
    let found: f64 = known.map(|group| group.level.a).sum();
    let known = if found > 0.0 {
        format!("{} found, more is missing: ", quantity::current(found))
    } else {
        String::new()
    };
    let likely = format!("{percent} % likely to show it");
    if single {
        return format!("{known}many circuits draw, so one at a time; {likely}");
    }
    if taken == open {
        return format!("{known}all that is left of the map; {likely}");
    }
    format!("{known}{taken} of {open} candidates, {likely}")
}

pub(super) fn second_fuse(moved: &[String], a: f64) -> String {
    format!(
        "{} draws {}, and what it feeds has another fuse",
        moved.join("+"),
        quantity::current(a)
    )
}

pub(super) fn narrow(did: Did, next: &[String], all: &[String], group: Option<&Group>) -> String {
    let all = all.join("+");
    let draw = group.map_or_else(
        || format!("one of {all} draws"),
        |group| {
            format!(
                "{all} draw {} between them",
                quantity::current(group.level.a)
            )
        },
    );
    let next = next.join("+");
    if did == Did::Refit {
        format!("{draw}: if it rises with {next} back in, it is there, else among the others")
    } else {
        format!("{draw}: if it falls with {next} out, it is there, else among the others")
    }
}

pub(super) fn unplug(unit: &LoadFuses, belief: &Belief, back: &[String], parts: usize) -> String {
    let labels = unit.labels.join("+");
    let group = belief.groups.iter().find(|g| {
        let mut units = g.units.iter().filter_map(|at| belief.units.get(*at));
        units.any(|known| known == unit)
    });
    let is_keeper = group.is_some_and(|group| group.late)
        || belief
            .keepers
            .iter()
            .any(|at| belief.units.get(*at) == Some(unit));
    let draws = group.filter(|group| !group.late).map(|group| {
        let draw = if unit.labels.len() > 1 {
            "draw"
        } else {
            "draws"
        };
        format!("{labels} {draw} {}", quantity::current(group.level.a))
    });
    let what = match (draws, is_keeper) {
        (Some(draws), false) => draws,
        (Some(draws), true) => format!("{draws} and kept others awake"),
        (None, true) => format!(
            "{labels}: it kept others awake; the fault may sit on another circuit of the same network"
        ),
        (None, false) => format!("with {labels} out it is below the limit"),
    };
    let then = if back.is_empty() {
        "unplug"
    } else {
        "put the fuse back, let it settle, then unplug"
    };
    let which = match parts {
        0 => "what it feeds, one part at a time".to_owned(),
        1 => "its part".to_owned(),
        n => format!("its {n} parts, one at a time"),
    };
    format!("{what}; {then} {which}")
}

pub(super) fn replace(part: &str, untried: &[String]) -> Plan {
    let kept = match untried {
        [] => String::new(),
        parts => format!(
            "; or is it kept awake? Untried beside it: {}",
            parts.join(", ")
        ),
    };
    Plan {
        did: Some(Did::Swap),
        next: vec![part.to_owned()],
        why: format!(
            "unplugging {part} brought it down: mend or replace it, then watch the car sleep{kept}"
        ),
        parts: untried.to_vec(),
        ..Plan::default()
    }
}

pub(super) fn wait(pending: &[String]) -> String {
    format!("{} not judged yet: let it settle", pending.join("+"))
}

/// The meter sees no current: no fuse is to blame.
pub(super) fn dead_meter() -> Plan {
    Plan {
        why: "check the meter's fuse and leads: it shows no current at all; put everything back and show it a known load".into(),
        ..Plan::default()
    }
}

/// Each circuit alone is as it should be, together they are too much.
pub(super) fn many_small(mut small: Vec<(&str, f64)>) -> Plan {
    small.sort_by(|a, b| b.1.total_cmp(&a.1));
    let shown: Vec<String> = small
        .iter()
        .take(4)
        .map(|(label, a)| format!("{label} {}", quantity::current(*a)))
        .collect();
    Plan {
        why: format!(
            "no single circuit draws too much, together they do: {}; look for what was added, and at the maker's limit",
            shown.join(", ")
        ),
        ..Plan::default()
    }
}

/// Nobody knows which fuses the car has: the next one, whichever it is.
pub(super) fn another_fuse(excess_a: f64) -> Plan {
    Plan {
        why: format!(
            "pull another fuse: none that was tried explains the {} too much; a fuse map (--fuses) would say which",
            quantity::current(excess_a)
        ),
        ..Plan::default()
    }
}

/// Nothing behind the mapped fuses draws it.
pub(super) fn unfused(excess_a: f64, minutes_left: f64) -> Plan {
    Plan {
        did: Some(Did::Unplug),
        next: UNFUSED
            .iter()
            .take(1)
            .map(|feed| (*feed).to_owned())
            .collect(),
        why: format!(
            "no fuse of the map explains the {} too much: look at what has no fuse, at fuses the map lacks, and at current flowing back with a fuse out",
            quantity::current(excess_a)
        ),
        minutes_left,
        rest: Vec::new(),
        parts: UNFUSED.map(str::to_owned).to_vec(),
        cautions: vec![UNFUSED_CAUTION],
    }
}
