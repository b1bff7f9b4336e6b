//! What the facts mean: phase, trials, verdict, each with its reason. Pure: the same session and
//! the same rules always give the same judgement, and nothing derived is ever stored.

pub mod average;
pub mod contradiction;
pub mod cycle;
pub mod finding;
pub mod fit;
pub mod glance;
pub mod hand;
pub mod hold;
pub mod judgement;
pub mod learned;
pub mod least_squares;
pub mod ledger;
pub mod levels;
pub mod limit;
pub mod manner;
pub mod now;
pub mod phase;
pub mod plan;
pub mod remedy;
pub mod standing;
pub mod steps;
pub mod sweep;
pub mod trial;
pub mod uncertainty;
pub mod unclaimed;
pub mod verdict;
pub mod wait;

pub use finding::{Phase, PhaseSpan, Trial};
pub use judgement::Judgement;

use crate::reading::Elapsed;
use crate::session::Session;
use trial::Against;

/// Which edition of the rules judged; stands in every report.
pub const RULES: &str = "2";

/// Judges a session as it stands, the mean of every phase included.
#[must_use]
pub fn judge(session: &Session) -> Judgement {
    let mut judgement = live(session);
    for span in &mut judgement.phases {
        span.level = uncertainty::estimate(session, span.from, span.to).map(|e| e.level());
    }
    judgement
}

/// The same without the means of past phases, which no board shows. Asked for every second: it
/// still grows with the record, to a few milliseconds after a week.
#[must_use]
pub fn live(session: &Session) -> Judgement {
    let nothing = Judgement::nothing_yet(session);
    let signal = session.signal();
    let (Some(first_t), Some(last_t)) = (signal.first_t(), signal.last_t()) else {
        return nothing;
    };
    let (limit, timeout) = (nothing.limit, nothing.timeout);
    let against = Against {
        limit_a: limit.value,
        timeout_s: timeout.value,
    };
    let walk = phase::walk(session, limit.value, timeout.value);
    let mut said = verdict::say(session, &walk, limit.value);
    let span = |s: &phase::Stretch| PhaseSpan {
        phase: s.phase,
        from: s.from,
        to: s.to,
        level: None,
    };
    let steps = steps::steps(session);
    let trials = trial::trials(session, &walk, &steps, against);
    if let Some(open) = trials.open_for_wakes(&walk.wakes) {
        said.wait_for(open);
    }
    let credible = said.settled.as_ref().filter(|_| said.credible);
    let parted: Vec<Elapsed> = trials.all.iter().map(|trial| trial.t).collect();
    let levels = levels::levels(session, &walk);
    let pairs = contradiction::inseparable(session, &levels, &trials.all);
    let ledger = ledger::ledger(session, &levels, &trials, &pairs);
    let learned = learned::learned(&walk, limit.value);
    let sweep = sweep::sweep(session, said.settled.as_ref());
    let swept = sweep.as_ref().map(sweep::told).unwrap_or_default();
    let limit_a = limit.value;
    let known = (swept.as_slice(), pairs.as_slice());
    let plan = plan::evidence::of_session(session, &walk, &trials.all, &said, limit_a, known);
    Judgement {
        span_s: last_t.secs_since(first_t),
        charge_ah: signal.charge().charge_as / 3600.0,
        phases: walk.stretches.iter().map(span).collect(),
        now: now::now(session, &walk, timeout),
        sleep_took_s: learned.map(|learned| learned.took_s),
        learned_timeout_s: learned.map(|learned| learned.timeout_s),
        unclaimed: unclaimed::unclaimed(session, &walk, &steps),
        contradictions: contradiction::contradictions(session, &walk, &levels, &trials, &ledger),
        steps,
        runs: trials.marks_of_runs(),
        trials: trials.all,
        cycles: cycle::cycles(&walk.wakes, &parted),
        ledger: ledger.shares,
        rest_a: ledger.rest_a,
        standing: standing::standing(session.card(), credible),
        sweep,
        implied: standing::implied(session.card(), credible),
        plan,
        settled: said.settled,
        verdict: said.verdict,
        verdict_why: said.why,
        slept: walk
            .settlings
            .iter()
            .any(|settling| settling.is_sleep(limit.value)),
        wakes: walk.wakes,
        ..nothing
    }
}
