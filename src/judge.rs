//! What the facts mean: phase, trials, verdict, each with its reason. Pure: the same session and
//! the same rules always give the same judgement, and nothing derived is ever stored.

pub mod announced;
pub mod average;
pub mod awaited;
pub mod by_hand;
pub mod cause;
pub mod comparison;
pub mod contradiction;
pub mod cycle;
mod deeds;
pub mod finding;
mod first_look;
pub mod fit;
pub mod judgement;
#[cfg(test)]
pub(crate) mod kit;
pub mod lattice;
pub mod learned;
pub mod least_squares;
pub mod ledger;
pub mod levels;
pub mod limit;
pub mod mark_tolerance;
pub mod memory;
mod now;
pub mod pattern;
pub mod phase;
pub mod plan;
pub mod pool;
pub mod reason;
pub mod remedy;
pub mod rules;
pub mod setup;
pub mod standing;
pub mod stay;
pub mod steps;
pub mod stop;
pub mod sweep;
pub mod trial;
pub mod uncertainty;
pub mod unclaimed;
pub mod verdict;
pub mod volts;
pub mod wait;
pub mod watch;
pub mod words;

pub use finding::{Phase, PhaseSpan, Trial};
pub use judgement::Judgement;

use crate::reading::Elapsed;
use crate::session::Session;
use crate::session::entry::Judged;
use memory::Memory;
use stay::{Basis, Stays};
use std::mem;

/// Judges a session as it stands, the mean of every phase included.
pub fn judge(session: &Session) -> Judgement {
    let mut judgement = live(session);
    for span in &mut judgement.phases {
        let left_out = &judgement.by_hand.left_out;
        let level = uncertainty::estimate(session, span.from, span.to, left_out);
        span.level = level.map(|level| level.level());
    }
    judgement
}

/// The same without the means of past phases, which no board shows.
pub fn live(session: &Session) -> Judgement {
    again(session, &mut Memory::default())
}

/// The same again and again: a second more costs what has changed since the last one.
pub fn again(session: &Session, memory: &mut Memory) -> Judgement {
    let Some(finished) = session.finished() else {
        return shown(session, memory);
    };
    let record = Judgement::nothing_yet(session);
    Judgement {
        by_hand: record.by_hand,
        readings: record.readings,
        left_out: record.left_out,
        span_s: record.span_s,
        charge_ah: record.charge_ah,
        ..shown(&session.until(finished), memory)
    }
}

/// What the whole record shows.
fn shown(session: &Session, memory: &mut Memory) -> Judgement {
    let nothing = Judgement::nothing_yet(session);
    let signal = session.signal();
    if signal.last_t().is_none() {
        return nothing;
    }
    let (limit, timeout) = (nothing.limit, nothing.timeout);
    let basis = Basis::of(session, limit.value, timeout.value, mem::take(memory));
    let stays = Stays::of(&basis);
    let steps = steps::steps(&basis);
    let trials = comparison::trials(&basis, &stays, &steps);
    let said = verdict::say(&basis, &stays, &trials.all);
    let phases = phase::phases(&basis, &stays);
    let now = now::now(&basis, &stays, &phases);
    let credible = said.settled.as_ref().filter(|_| said.credible);
    let parted: Vec<Elapsed> = trials.all.iter().map(|trial| trial.t).collect();
    let levels = levels::levels(&stays);
    let pairs = contradiction::inseparable(session, &levels, &trials.all);
    let ledger = ledger::ledger(session, &levels, &trials, &pairs);
    let learned = learned::learned(&basis, &stays);
    let sweep = sweep::sweep(session, said.settled.as_ref());
    let swept = sweep.as_ref().map(sweep::told).unwrap_or_default();
    let known = (swept.as_slice(), pairs.as_slice());
    let plan = plan::from_session::of_session(&basis, &stays, &trials, &said, known);
    let wakes = wakes(&stays);
    let volts = volts::told(&basis);
    let mut contradictions =
        contradiction::contradictions(&basis, &stays, &levels, &trials, &ledger);
    contradictions.extend(volts.iter().flat_map(volts::VoltsTold::contradictions));
    let watch = watch::watch(&said, limit.value, usual_as(&wakes));
    let waits = plan::from_session::waits(&stays, &trials.all);
    let stop = stop::stop(plan.as_ref(), watch.as_ref(), &said.reasons, waits);
    let judgement = Judgement {
        phases,
        now,
        sleep_took_s: learned.map(|learned| learned.took_s),
        learned_timeout_s: learned.map(|learned| learned.timeout_s),
        unclaimed: unclaimed::unclaimed(&basis, &stays, &trials.all),
        contradictions,
        steps,
        runs: trials.runs.clone(),
        trials: trials.all.clone(),
        cycles: cycle::cycles(&wakes, &parted),
        pattern: pattern::pattern(session, &stays),
        ledger: ledger.shares,
        rest_a: ledger.rest_a,
        standing: standing::standing(session.card(), credible),
        sweep,
        volts,
        complaint: standing::complaint(session.card(), &stays, credible),
        plan,
        stop,
        settled: said.settled,
        average: said.average,
        by_other_rules: by_other_rules(session, said.verdict),
        verdict: said.verdict,
        stands_at: said.stands_at,
        reasons: said.reasons,
        slept: stays
            .all
            .iter()
            .filter_map(stay::Stay::rested)
            .any(|shown| {
                let low = shown.level.a <= limit.value && !levels::is_dead(shown.level.a);
                low || session.card().asleep_at_start == Some(true)
            }),
        watch,
        day_ah: said
            .settled
            .filter(|_| said.credible)
            .as_ref()
            .map(watch::day_ah),
        wakes,
        ..nothing
    };
    *memory = basis.into_memory(stays, trials);
    judgement
}

/// What was said by other rules when the record ended, where that was another verdict.
fn by_other_rules(session: &Session, verdict: finding::Verdict) -> Option<Judged> {
    let judged = session.judged()?;
    let changed = judged.rules != rules::EDITION && judged.verdict != verdict.word();
    changed.then(|| judged.clone())
}

/// Every wake out of a settled level, and what may have been a hand, in order.
fn wakes(stays: &Stays) -> Vec<finding::Wake> {
    let rested = stays.all.iter().filter_map(stay::Stay::rested);
    let mut wakes: Vec<finding::Wake> = rested
        .flat_map(|shown| shown.wakes.iter().chain(&shown.touches))
        .copied()
        .collect();
    wakes.sort_by_key(|wake| wake.from);
    wakes
}

/// The middle charge of the wakes that this car ever had.
fn usual_as(wakes: &[finding::Wake]) -> Option<f64> {
    let mut charges: Vec<f64> = wakes.iter().map(|wake| wake.charge_as).collect();
    charges.sort_by(f64::total_cmp);
    charges.get(charges.len() / 2).copied()
}
