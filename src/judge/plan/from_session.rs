//! What a session says to the planner: how it stands, what is out, what unplugging told, and its settle
//! times as this car's waits. What moved fuses told stands in `told`.

use super::search::Waits;
use super::told::told;
use super::usual::usual;
use super::{Brief, FuseDraw, Plan, plan};
use crate::judge::comparison::Trials;
use crate::judge::finding::{Finding, Trial, Verdict};
use crate::judge::levels;
use crate::judge::stay::asleep::Ground;
use crate::judge::stay::evidence::Fault;
use crate::judge::stay::{Basis, Stay, Stays};
use crate::judge::verdict::VerdictNow;
use crate::reading::Elapsed;
use crate::reading::statistics::median;
use crate::session::mark::{Did, MarkId};

/// The plan for a session as it was judged; `None` while the car was never above its limit, has
/// not settled yet, or is mended. `swept` is what millivolts told, `pairs` which circuits cannot be
/// told apart.
pub fn of_session(
    basis: &Basis<'_>,
    stays: &Stays,
    trials: &Trials,
    said: &VerdictNow,
    (swept, pairs): (&[FuseDraw], &[Vec<String>]),
) -> Option<Plan> {
    let (session, limit_a) = (basis.session, basis.limit_a);
    let end = session.signal().last_t()?;
    if basis
        .evidence
        .at(end)
        .is_some_and(|hidden| hidden.fault == Fault::Dead)
    {
        return Some(Plan::default());
    }
    let last = stays.all.iter().rfind(|stay| stay.standing().is_some())?;
    let out_now: Vec<String> = session.out_now().into_iter().map(str::to_owned).collect();
    let first_above = stays.all.iter().find_map(|stay| above(stay, limit_a))?;
    if out_now.is_empty() && said.verdict == Verdict::Below {
        return None;
    }
    let last_level = last.standing()?.level;
    let level_a = said.settled.map_or(last_level.a, |settled| settled.level.a);
    // With most of the car out next to nothing may be left: what comes back tells.
    let is_most_out = !session.fuses().is_empty() && 2 * out_now.len() > session.fuses().len();
    if levels::is_dead(level_a) && !(is_most_out && levels::moves(&last_level)) {
        return Some(Plan::default());
    }
    let mended = trials.all.iter().rfind(|trial| trial.did == Did::Swap);
    let parts = UnpluggedParts::of(&trials.all, mended.map(|swap| swap.mark));
    let brief = Brief {
        map: session.fuses(),
        told: told(basis, &trials.all, mended.map(|swap| swap.t)),
        swept,
        pairs,
        cleared_parts: parts.cleared,
        found_parts: parts.found,
        limit_a,
        excess_a: first_above - limit_a,
        level_a,
        out: stays
            .setups
            .get(last.setup)
            .map(|setup| setup.all_out())
            .unwrap_or_default(),
        out_now,
        pending: pending(&trials.all),
        waits: waits(stays, &trials.all),
    };
    plan(&brief)
}

/// The level of a stay in which the car rested above the limit.
fn above(stay: &Stay, limit_a: f64) -> Option<f64> {
    let shown = stay
        .rested()
        .filter(|_| stay.rest.ground != Some(Ground::AtLimit))?;
    (shown.level.a > limit_a).then_some(shown.level.a)
}

/// The labels of the run at the end of the record that waits for the current to settle.
fn pending(trials: &[Trial]) -> Vec<String> {
    let waits = |trial: &&Trial| match trial.finding {
        Finding::NotYet => true,
        // Overtaken by the next mark: judged with the run.
        Finding::CannotTell => trial.after.is_none(),
        Finding::Clears
        | Finding::Lowers
        | Finding::NoChange
        | Finding::Raises
        | Finding::Spoiled => false,
    };
    let is_running = trials
        .last()
        .is_some_and(|last| last.finding == Finding::NotYet);
    let mut run: Vec<&Trial> = trials.iter().rev().take_while(waits).collect();
    run.reverse();
    let run = run.into_iter().filter(|_| is_running);
    let mut labels: Vec<String> = Vec::new();
    for label in run.flat_map(|trial| &trial.what) {
        if !labels.contains(label) {
            labels.push(label.clone());
        }
    }
    labels
}

/// This car's waits: the medians of what its trials needed.
pub(in crate::judge) fn waits(stays: &Stays, trials: &[Trial]) -> Waits {
    // The first stay proven after a moment: the first at which the latest proof so far is.
    let rested = stays.all.iter().filter(|stay| stay.rest.stands());
    let latest = rested.scan(Elapsed::from_ms(i64::MIN), |latest, stay| {
        *latest = stay.rest.proven.max(*latest);
        Some(*latest)
    });
    let latest: Vec<Elapsed> = latest.collect();
    let needed = |restores: bool| {
        let settled = trials
            .iter()
            .filter(|trial| trial.after.is_some() && trial.did.restores() == restores);
        let needed = settled.filter_map(|trial| {
            let first = latest.partition_point(|proven| *proven <= trial.t);
            let proven = latest.get(first)?;
            Some(proven.secs_since(trial.t))
        });
        median(&mut needed.collect::<Vec<f64>>())
    };
    let usual = &usual().times;
    Waits {
        handle_s: usual.handle_s,
        pull_s: needed(false).unwrap_or(usual.pull_s),
        refit_s: needed(true).unwrap_or(usual.refit_s),
    }
}

/// What unplugging told.
#[derive(Default)]
struct UnpluggedParts {
    cleared: Vec<String>,
    found: Vec<String>,
}

impl UnpluggedParts {
    fn of(trials: &[Trial], mended: Option<MarkId>) -> Self {
        let mut parts = Self::default();
        for trial in trials {
            if Some(trial.mark) == mended {
                parts.found.clear();
            }
            if trial.did != Did::Unplug {
                continue;
            }
            match trial.finding {
                Finding::NoChange => parts.cleared.extend(trial.what.iter().cloned()),
                Finding::Clears | Finding::Lowers => parts.found.extend(trial.what.iter().cloned()),
                Finding::Raises | Finding::CannotTell | Finding::NotYet | Finding::Spoiled => {}
            }
        }
        parts
    }
}
