//! The ledger: the settled current split over circuits, with the unexplained rest.
//!
//! Each settled level with some fuses out is one equation; a level with a part unplugged says
//! nothing of how the circuits share, and is left out. Circuits that were always in or
//! out together cannot be told apart and stand as one. What fell late is left out: its fall was
//! others going to sleep, not a load of its own.

use super::finding::{Finding, Level, Manner, Share, Trial};
use super::hold;
use super::least_squares::Normal;
use super::phase::{Settling, Walk};
use super::uncertainty;
use crate::session::Session;
use crate::session::mark::Did;

/// No level is known better than this, so that one lucky quiet stretch does not outweigh all.
const U_MIN_A: f64 = 1e-4;

/// The shares and the rest.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ledger {
    /// One for each circuit or group, largest first.
    pub shares: Vec<Share>,
    /// What no trial explains, in ampere.
    pub rest_a: Option<f64>,
}

/// Splits the settled current of the car as it was before its first repair.
#[must_use]
pub fn ledger(session: &Session, walk: &Walk, trials: &[Trial]) -> Ledger {
    let others: Vec<&String> = trials
        .iter()
        .filter(|trial| trial.manner == Some(Manner::Late) || trial.manner == Some(Manner::Both))
        .flat_map(|trial| &trial.what)
        .collect();
    let circuits: Vec<&String> = trials
        .iter()
        .filter(|trial| trial.did == Did::Pull && is_sound(trial.finding))
        .flat_map(|trial| &trial.what)
        .collect();
    let repaired = trials
        .iter()
        .position(|trial| trial.did == Did::Swap)
        .unwrap_or(usize::MAX);
    let states: Vec<(&Vec<String>, Level)> = last_of_each_state(walk)
        .filter(|settling| settling.fuse_state <= repaired)
        .filter_map(|settling| {
            let out = walk.states.get(settling.fuse_state)?;
            let kept = out
                .iter()
                .all(|label| circuits.contains(&label) && !others.contains(&label));
            let estimate = uncertainty::estimate(session, settling.data_from, settling.to)?;
            let noise_a = estimate.noise_u_a.hypot(estimate.rounding_u_a).max(U_MIN_A);
            kept.then_some((
                out,
                Level {
                    a: estimate.a,
                    u_a: noise_a,
                },
            ))
        })
        .collect();
    if contradictory(&states) {
        return Ledger::default();
    }
    let groups = groups(&states);
    let rows: Vec<(Vec<f64>, f64, f64)> = states
        .iter()
        .map(|(out, level)| {
            let is_in = |group: &Vec<String>| group.iter().all(|label| !out.contains(label));
            let columns = groups
                .iter()
                .map(|group| if is_in(group) { 1.0 } else { 0.0 });
            (columns.chain([1.0]).collect(), level.a, level.u_a.powi(-2))
        })
        .collect();
    solved(session, groups, &rows)
}

/// Whether a trial tells what its circuit draws.
const fn is_sound(finding: Finding) -> bool {
    matches!(
        finding,
        Finding::Clears | Finding::Lowers | Finding::NoChange
    )
}

/// The last settled level of each fuse state: wakes settle again and again at the same one.
fn last_of_each_state(walk: &Walk) -> impl Iterator<Item = &Settling> {
    let settlings = &walk.settlings;
    settlings
        .chunk_by(|a, b| a.fuse_state == b.fuse_state)
        .filter_map(<[Settling]>::last)
}

/// The same fuses out, and another level: something changed that no mark tells of.
fn contradictory(states: &[(&Vec<String>, Level)]) -> bool {
    states.iter().enumerate().any(|(i, (out, level))| {
        states
            .iter()
            .skip(i + 1)
            .any(|(o, l)| o == out && !hold::near(l.a, level.a))
    })
}

/// Labels that were out at some time, those always out together in one group.
fn groups(states: &[(&Vec<String>, Level)]) -> Vec<Vec<String>> {
    let mut groups: Vec<(Vec<bool>, Vec<String>)> = Vec::new();
    for label in states.iter().flat_map(|(out, _)| out.iter()) {
        if groups.iter().any(|(_, group)| group.contains(label)) {
            continue;
        }
        let pattern: Vec<bool> = states.iter().map(|(out, _)| out.contains(label)).collect();
        match groups.iter_mut().find(|(known, _)| *known == pattern) {
            Some((_, group)) => group.push(label.clone()),
            None => groups.push((pattern, vec![label.clone()])),
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

fn solved(session: &Session, groups: Vec<Vec<String>>, rows: &[(Vec<f64>, f64, f64)]) -> Ledger {
    let normal = Normal::of(rows);
    let Some(inverse) = normal.inverse().filter(|_| !groups.is_empty()) else {
        return Ledger::default();
    };
    let gain_u = uncertainty::gain_u(session.card());
    let solution = normal.non_negative(&inverse);
    let (rest_a, shares_a) = solution
        .split_last()
        .map_or((None, &[][..]), |(r, s)| (Some(*r), s));
    let mut shares: Vec<Share> = groups
        .into_iter()
        .zip(shares_a)
        .zip(inverse.iter().enumerate())
        .map(|((what, a), (i, row))| {
            let noise_u_a = row.get(i).copied().unwrap_or(0.0).max(0.0).sqrt();
            let u_a = 2.0 * noise_u_a.hypot(gain_u * a);
            Share {
                what,
                level: Level { a: *a, u_a },
            }
        })
        .collect();
    shares.sort_by(|a, b| b.level.a.total_cmp(&a.level.a));
    Ledger { shares, rest_a }
}
