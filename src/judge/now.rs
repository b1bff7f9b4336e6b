//! What the car does now, with the reason.

use super::finding::{Level, Now, Phase, PhaseSpan};
use super::reason::NowReason;
use super::stay::shown::Shown;
use super::stay::{Basis, Stays, asleep};
use crate::reading::Elapsed;
use crate::signal::track::{self, Block};

/// The phase at the end of the record and why it is that.
pub(super) fn now(basis: &Basis<'_>, stays: &Stays, phases: &[PhaseSpan]) -> Now {
    let end = basis.session.signal().last_t().unwrap_or_default();
    let (phase, since) = phases
        .last()
        .map_or((Phase::Blind, end), |last| (last.phase, last.from));
    let stay = stays.all.last();
    let shown = stay.and_then(|stay| stay.shown.as_deref());
    let level: Option<Level> = shown
        .filter(|_| matches!(phase, Phase::Settled | Phase::Plateau))
        .map(|shown| shown.level.level());
    let waiting = stay.filter(|stay| asleep::is_waiting(basis, stay));
    let clock = waiting.map(|stay| stay.clock);
    let waited_s = clock.map(|clock| end.secs_since(clock));
    let reason = reason(basis, stays, phase, since, end, waited_s);
    Now {
        phase,
        since,
        level,
        reason,
        settles_at: stay
            .filter(|_| phase == Phase::Plateau)
            .and_then(|stay| stay.rest.due),
        timeout_at: clock.map(|clock| clock.plus_secs(basis.timeout_s)),
    }
}

fn reason(
    basis: &Basis<'_>,
    stays: &Stays,
    phase: Phase,
    since: Elapsed,
    end: Elapsed,
    waited_s: Option<f64>,
) -> NowReason {
    let stay = stays.all.last();
    let shown = stay.and_then(|stay| stay.shown.as_deref());
    let newest = track::read(basis.session.signal().track().blocks()).next_back();
    let newest_a = newest.map_or(0.0, Block::a);
    let at_a = shown
        .filter(|shown| shown.risen.is_none())
        .map_or(newest_a, |shown| shown.level.a);
    // What was left out was seen by nobody.
    let flat_s = |shown: &Shown| {
        let (from, to) = (shown.fell, shown.until);
        let hidden = basis.evidence.within(from, to);
        let hidden_s = hidden.map(|(begins, ends)| ends.min(to).secs_since(begins.max(from)));
        to.secs_since(from) - hidden_s.sum::<f64>()
    };
    let timeout_s = basis.timeout_s;
    let after = stay.and_then(|stay| {
        let (id, did) = stay.opening.tried()?;
        Some((basis.placed(id)?.mark.to_string(), did))
    });
    match phase {
        Phase::Blind => NowReason::Blind,
        Phase::Awake => NowReason::Awake {
            at_a,
            waited_s,
            timeout_s,
        },
        Phase::Falling => {
            let changes = basis.session.signal().changes().iter();
            let fall = changes.rev().find(|change| change.to_a < change.from_a);
            let fall = fall.filter(|fall| fall.t >= since);
            NowReason::Fell {
                from_a: fall.map_or(at_a, |fall| fall.from_a),
                ago_s: end.secs_since(fall.map_or(since, |fall| fall.t)),
            }
        }
        Phase::Stirring => NowReason::Woke {
            out_of_a: shown.map_or(0.0, |shown| shown.level.a),
            ago_s: end.secs_since(since),
        },
        Phase::Plateau => NowReason::Flat {
            at_a,
            for_s: shown.map_or(end.secs_since(since), flat_s),
            waited_s,
            timeout_s,
            after: after.as_ref().map(|(words, _)| words.clone()),
            needs_timeout: !after.is_some_and(|(_, did)| did.removes()),
        },
        Phase::Settled => NowReason::Settled {
            at_a,
            for_s: shown.map_or(0.0, flat_s),
            ground: stay.and_then(|stay| stay.rest.ground),
            past_timeout_s: waited_s.map(|waited_s| waited_s - timeout_s),
            took_s: stay
                .zip(shown)
                .filter(|(stay, _)| stay.opening.is_lock())
                .map(|(stay, shown)| shown.arrived.secs_since(stay.from)),
        },
    }
}
