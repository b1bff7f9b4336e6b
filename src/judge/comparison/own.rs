//! The first look, a deed's own effect: the change within seconds of a mark, from the mark's own step where the signal
//! shows one. Neighbouring marks and steps never get into it, so that pulls in quick succession
//! each have their own.

use crate::judge::finding::{Level, LevelStep};
use crate::judge::first_look::BriefMean;
use crate::judge::memory::FirstLookKey;
use crate::judge::rules::{AT_ONCE_S, EDGE_S, MARK_TOLERANCE_S, SPARSE_S};
use crate::judge::stay::{Basis, Stays};
use crate::judge::{mark_tolerance, uncertainty};
use crate::reading::Elapsed;
use crate::session::Placed;

/// When the thing was done: a fuse that bounces in its socket makes more than one step.
#[derive(Clone, Copy)]
struct Deed {
    from: Elapsed,
    to: Elapsed,
    margin_s: f64,
}

/// The change that the mark itself shows; `None` where the readings beside it are too few.
pub fn first_look(
    basis: &Basis<'_>,
    stays: &Stays,
    at: usize,
    steps: &[LevelStep],
    placed: &Placed,
) -> Option<Level> {
    let session = basis.session;
    let deed = deed(steps, placed);
    let (earliest, latest) = neighbours(basis, placed, &deed);
    let before_to = deed.from.plus_secs(-deed.margin_s);
    let before_from = before_to.plus_secs(-AT_ONCE_S).max(earliest);
    let after_to = deed.to.plus_secs(MARK_TOLERANCE_S).min(latest);
    let is_hidden = basis
        .evidence
        .within(before_from, after_to)
        .next()
        .is_some();
    if is_hidden || after_to.secs_since(before_from) > SPARSE_S + AT_ONCE_S {
        return None;
    }
    let before = at.checked_sub(1).and_then(|i| stays.all.get(i));
    let earlier = before.and_then(|stay| stay.shown.as_deref());
    let key = FirstLookKey {
        mark: placed.mark.id,
        window: [before_from, before_to, deed.to, after_to],
        before: before.map(|stay| [stay.from, stay.to, stay.clock]),
        hidden: before.map_or_else(Vec::new, |stay| {
            basis.evidence.within(stay.from, stay.to).collect()
        }),
    };
    basis.first_look(key, || {
        let after = BriefMean::of(session, deed.to.plus_secs(EDGE_S), after_to)?;
        let before = BriefMean::of(session, before_from, before_to)?;
        let still = earlier
            .map(|shown| shown.newest(basis, before_to))
            .unwrap_or_default();
        Some(before.to(&after, &still, uncertainty::gain_u(session.card())))
    })
}

fn deed(steps: &[LevelStep], placed: &Placed) -> Deed {
    let at = placed.at();
    let id = Some(placed.mark.id);
    let first = steps.partition_point(|step| step.t < at.plus_secs(-MARK_TOLERANCE_S));
    let near = steps.get(first..).unwrap_or(&[]).iter();
    let near = near.take_while(|step| step.t <= at.plus_secs(MARK_TOLERANCE_S));
    let mut own = near.filter(|step| step.mark == id);
    let Some(first) = own.next() else {
        return Deed {
            from: at,
            to: at,
            // Without a step, what was read just before the mark may be of after the deed.
            margin_s: 2.0 * EDGE_S,
        };
    };
    Deed {
        from: first.t,
        to: own.last().map_or(first.t, |last| last.t),
        margin_s: EDGE_S,
    }
}

/// Where the nearest other deed before and after leaves the signal to this one.
fn neighbours(basis: &Basis<'_>, placed: &Placed, deed: &Deed) -> (Elapsed, Elapsed) {
    let at = placed.at();
    let (mut earliest, mut latest) = (Elapsed::from_ms(i64::MIN), Elapsed::from_ms(i64::MAX));
    // A slope close to a mark without a step is the mark's own doing.
    let own = |t: Elapsed| {
        let within = deed.from <= t && t <= deed.to;
        within || deed.from == at && deed.to == at && mark_tolerance::apart_s(t, at).is_some()
    };
    let changes = basis.session.signal().changes();
    let passed = changes.partition_point(|change| change.t <= deed.from);
    let (before, after) = changes.split_at_checked(passed).unwrap_or_default();
    let moves = [
        before
            .iter()
            .rev()
            .map(|change| change.t)
            .find(|t| !own(*t)),
        after.iter().map(|change| change.t).find(|t| !own(*t)),
    ];
    let passed = basis.deeds.partition_point(|other| other.at() <= deed.from);
    let (before, after) = basis.deeds.split_at_checked(passed).unwrap_or_default();
    let other = |other: &&&Placed| other.mark.id != placed.mark.id;
    let deeds = [before.iter().rev().find(other), after.iter().find(other)];
    for t in moves
        .into_iter()
        .chain(deeds.map(|one| one.map(|other| other.at())))
        .flatten()
    {
        if t <= deed.from {
            earliest = earliest.max(t.plus_secs(EDGE_S));
        } else {
            latest = latest.min(t.plus_secs(-EDGE_S));
        }
    }
    (earliest, latest)
}
