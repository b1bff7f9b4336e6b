//! The phases of a record: what each stay shows, read along the time.

use super::finding::{Phase, PhaseSpan};
use super::rules::{FLOOR_S, HOLE_S, REST_S};
use super::stay::{Basis, Opening, Stay, Stays};
use crate::reading::Elapsed;
use crate::signal::Change;

/// The phases in order, without holes.
pub fn phases(basis: &Basis<'_>, stays: &Stays) -> Vec<PhaseSpan> {
    let mut spans = Spans::default();
    for stay in &stays.all {
        of_stay(basis, stay, &mut spans);
    }
    let signal = basis.session.signal();
    let mut blind: Vec<(Elapsed, Elapsed)> = signal
        .gaps()
        .iter()
        .filter(|gap| gap.lasts_s() > HOLE_S)
        .map(|gap| (gap.from, gap.to))
        .collect();
    let hidden = basis
        .evidence
        .hidden
        .iter()
        .filter(|hidden| hidden.lasts_s() > HOLE_S);
    blind.extend(hidden.map(|hidden| (hidden.from, hidden.to)));
    blind.sort_unstable();
    for (from, to) in blind {
        spans.cover(from, to);
    }
    if let Some((at, phase)) = just_typed(basis, stays) {
        spans.turn(phase, at);
    }
    spans.all
}

/// What the newest reading alone shows, where it is the first of its stay, or they come one by one
/// and it is another level than the one before: nothing is flat yet.
fn just_typed(basis: &Basis<'_>, stays: &Stays) -> Option<(Elapsed, Phase)> {
    let stay = stays.all.last()?;
    if stay.to <= stay.from && stay.opening != Opening::Start {
        return Some((stay.from, Phase::Awake));
    }
    let (at, fell) = stay.turned(basis)?;
    let phase = if fell { Phase::Falling } else { Phase::Awake };
    stay.rested().is_none().then_some((at, phase))
}

fn of_stay(basis: &Basis<'_>, stay: &Stay, spans: &mut Spans) {
    let Some(shown) = &stay.shown else {
        return falling(basis, stay.from, stay.to, spans);
    };
    let rested = stay.rest.ground.is_some();
    let proven = if rested {
        stay.rest.proven.max(shown.arrived)
    } else {
        shown.until
    };
    falling(basis, stay.from, shown.arrived, spans);
    if rested {
        spans.push(Phase::Plateau, shown.arrived, proven.min(stay.to));
    } else {
        falling(basis, shown.arrived, shown.until.min(stay.to), spans);
    }
    let mut at = proven;
    let mut events: Vec<_> = shown.wakes.iter().chain(&shown.touches).collect();
    events.sort_by_key(|event| event.from);
    for event in events.into_iter().filter(|event| event.to > proven) {
        spans.push(Phase::Settled, at, event.from);
        spans.push(Phase::Stirring, event.from.max(proven), event.to);
        at = event.to;
        if shown.touches.contains(event) {
            // A hand in between: it falls asleep anew.
            let anew = shown.fell.max(event.to).plus_secs(REST_S).min(stay.to);
            falling(basis, event.to, anew, spans);
            at = anew;
        }
    }
    let until = if shown.risen.is_some() {
        shown.until
    } else {
        stay.to
    };
    if rested {
        spans.push(Phase::Settled, at, until.min(stay.to));
        spans.push(Phase::Stirring, until, stay.to);
    } else {
        falling(basis, shown.until, stay.to, spans);
    }
}

/// A stretch in which nothing is proven: awake, falling, flat.
fn falling(basis: &Basis<'_>, from: Elapsed, to: Elapsed, spans: &mut Spans) {
    let changes = basis.session.signal().changes();
    let first = changes.partition_point(|change| change.t <= from);
    let within = changes
        .get(first..)
        .unwrap_or(&[])
        .iter()
        .take_while(|change| change.t < to);
    let before = first.checked_sub(1).and_then(|i| changes.get(i));
    let mut at = from;
    let mut by = before;
    for change in within {
        piece(by, at, change.t, spans);
        (at, by) = (change.t, Some(change));
    }
    piece(by, at, to, spans);
}

/// What lies between two changes.
fn piece(by: Option<&Change>, from: Elapsed, to: Elapsed, spans: &mut Spans) {
    let fell = by.is_some_and(|change| change.to_a < change.from_a);
    let flat = by
        .map_or(from, |change| change.t)
        .plus_secs(FLOOR_S)
        .max(from);
    spans.push(
        if fell { Phase::Falling } else { Phase::Awake },
        from,
        flat.min(to),
    );
    spans.push(Phase::Plateau, flat, to);
}

/// Spans that follow each other.
#[derive(Default)]
struct Spans {
    all: Vec<PhaseSpan>,
}

impl Spans {
    fn push(&mut self, phase: Phase, from: Elapsed, to: Elapsed) {
        let from = self
            .all
            .last()
            .map_or(from, |last| last.to.max(from.min(last.to)));
        if to <= from && !self.all.is_empty() {
            return;
        }
        match self.all.last_mut() {
            Some(last) if last.phase == phase => last.to = to,
            Some(last) if last.to <= last.from => {
                *last = PhaseSpan {
                    phase,
                    from,
                    to,
                    level: None,
                }
            }
            _ => self.all.push(PhaseSpan {
                phase,
                from,
                to,
                level: None,
            }),
        }
    }

    /// From `at` on it is this, and neither a plateau nor a rest.
    fn turn(&mut self, phase: Phase, at: Elapsed) {
        let Some(last) = self
            .all
            .last_mut()
            .filter(|last| matches!(last.phase, Phase::Plateau | Phase::Settled))
        else {
            return;
        };
        let to = last.to.max(at);
        last.to = at.max(last.from);
        let level = None;
        self.all.push(PhaseSpan {
            phase,
            from: at,
            to,
            level,
        });
    }

    /// Nothing was seen in `from..to`.
    fn cover(&mut self, from: Elapsed, to: Elapsed) {
        let first = self.all.partition_point(|span| span.to <= from);
        let last = self.all.partition_point(|span| span.from < to).max(first);
        let ends = self.all.get(first..last).unwrap_or(&[]);
        let (Some(begins), Some(ends)) = (ends.first().copied(), ends.last().copied()) else {
            return;
        };
        let blind = PhaseSpan {
            phase: Phase::Blind,
            from: from.max(begins.from),
            to,
            level: None,
        };
        let before = (begins.from < from).then_some(PhaseSpan { to: from, ..begins });
        let after = (ends.to > to).then_some(PhaseSpan { from: to, ..ends });
        let covered = before.into_iter().chain([blind]).chain(after);
        self.all.splice(first..last, covered);
    }
}

#[cfg(test)]
mod tests;
