//! No stay of the state in force can be judged by its rest: nothing settled yet, or a car that
//! never rests, which is judged on its long-run average.

use super::{Said, against_limit};
use crate::judge::finding::Verdict;
use crate::judge::pool::Pool;
use crate::judge::reason::{Implausible, VerdictReason};
use crate::judge::rules::{PARKED_MAX_A, SURE};
use crate::judge::stay::{Scene, Stay, Stays};
use crate::judge::uncertainty;
use crate::session::mark::Did;
use crate::signal::track::Block;

/// The newest time that a car that never rests is averaged over.
const WATCHED_MAX_S: f64 = 12.0 * 3600.0;
/// So many values are enough for a mean and its error.
const VALUES_MAX: usize = 1800;

/// What can be said where nothing has settled.
pub(super) fn without_level(scene: &Scene<'_>, stays: &Stays, stretch: &[Stay]) -> Said {
    let end = scene.session.signal().last_t().unwrap_or_default();
    let mut said = Said {
        settled: None,
        average: None,
        verdict: Verdict::NotSettled,
        stands_at: None,
        reasons: Vec::new(),
        credible: true,
    };
    let Some(stay) = stretch.last() else {
        return said;
    };
    if let Some(hidden) = scene.evidence.at(end) {
        said.verdict = Verdict::CannotTell;
        said.credible = false;
        said.reasons = vec![VerdictReason::Fault {
            fault: hidden.fault.word(),
            for_s: hidden.lasts_s(),
        }];
    } else if stay.from >= end
        && let Some(placed) = scene.session.marks().next_back()
    {
        said.reasons = vec![VerdictReason::NoReadingSince {
            deed: placed.mark.to_string(),
        }];
    } else if let Some((average, over_s)) = average(scene, stays, stay) {
        said.average = Some((average.level(), over_s));
        said.verdict = Verdict::Above;
        said.reasons = vec![VerdictReason::Restless {
            average_a: average.a,
            u_a: average.level().u_a,
            over_s,
        }];
    } else {
        let at_a = stay.shown.as_deref().map(|shown| shown.level.a);
        if let Some(level) = stay
            .shown
            .as_deref()
            .map(|shown| shown.level.level())
            .filter(|level| level.a > PARKED_MAX_A)
        {
            said.credible = false;
            said.reasons.push(VerdictReason::Implausible {
                level_a: level.a,
                u_a: level.u_a,
                kind: Implausible::Unit,
            });
        }
        let waited_s = end.secs_since(stay.clock);
        said.reasons.push(VerdictReason::Unsettled {
            at_a,
            waited_s,
            timeout_s: scene.timeout_s,
        });
        let locked = scene
            .session
            .marks()
            .any(|placed| placed.mark.did == Did::Lock);
        if waited_s > scene.timeout_s && !locked {
            said.reasons.push(VerdictReason::NotLocked);
        }
    }
    let out = stays
        .setups
        .get(stay.setup)
        .map(|setup| &setup.out)
        .filter(|out| !out.is_empty());
    said.reasons.extend(out.map(|out| VerdictReason::With {
        out: out.iter().cloned().collect(),
    }));
    said
}

/// The average of a car that stayed up for so long that it does not sleep, if it is surely above.
fn average(scene: &Scene<'_>, stays: &Stays, stay: &Stay) -> Option<(uncertainty::Estimate, f64)> {
    let up = Pool::of(stays, stay.setup).up(scene)?;
    let waited_s = stay.to.secs_since(stay.clock);
    if up.p >= 1.0 - SURE || waited_s < scene.timeout_s {
        return None;
    }
    let from = stay.from.max(stay.to.plus_secs(-WATCHED_MAX_S));
    let blocks: Vec<Block> = scene
        .session
        .signal()
        .track()
        .between(from, stay.to)
        .iter()
        .filter(|b| b.count > 0)
        .copied()
        .collect();
    let wide = blocks.len().div_ceil(VALUES_MAX).max(1);
    let values: Vec<Block> = blocks.chunks(wide).filter_map(joined).collect();
    let average = uncertainty::of(scene.session, &values)?;
    (against_limit(&average, scene.limit_a) == Verdict::Above)
        .then(|| (average, stay.to.secs_since(from)))
}

/// Neighbouring blocks as one.
fn joined(blocks: &[Block]) -> Option<Block> {
    let first = blocks.first()?;
    let (sum, count) = blocks.iter().fold((0.0f32, 0u16), |(sum, count), block| {
        (sum + block.mean_a, count.saturating_add(1))
    });
    Some(Block {
        mean_a: sum / f32::from(count.max(1)),
        ..*first
    })
}
