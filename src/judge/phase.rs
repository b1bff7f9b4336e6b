//! The phases of a record: what each stay shows, read along the time.

use super::finding::{Phase, PhaseSpan};
use super::rules::{FLOOR_S, HOLE_S, REST_S};
use super::stay::{Basis, Stay, Stays};
use crate::reading::Elapsed;
use crate::signal::Change;

/// The phases in order, without holes.
#[must_use]
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
    spans.all
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
mod tests {
    use super::*;
    use crate::judge::kit::{Car, HOUR, MIN};

    /// Each phase with its beginning, in seconds to the nearest ten.
    fn told(car: &Car, end_s: u32) -> Vec<(&'static str, f64)> {
        let phases = car.stays(end_s, |basis, stays| phases(basis, stays));
        for pair in phases.windows(2) {
            assert_eq!(
                pair[0].to, pair[1].from,
                "no hole and no overlap: {phases:?}"
            );
        }
        let begins = |span: &PhaseSpan| (span.from.secs() / 10.0).round() * 10.0;
        phases
            .iter()
            .map(|span| (span.phase.word(), begins(span)))
            .collect()
    }

    /// Falling for as long as the floor takes, flat until sleep is proven.
    #[test]
    fn a_car_falls_asleep_in_its_phases() {
        let car = Car::of(&[(0, 3.3), (100, 1.9), (10 * MIN, 0.020)]).marked(&[(20, "lock")]);
        let phases = told(&car, 20 * MIN);
        let words: Vec<&str> = phases.iter().map(|(word, _)| *word).collect();
        assert_eq!(words.last(), Some(&"settled"), "{phases:?}");
        assert!(
            words.contains(&"falling") && words.contains(&"plateau"),
            "{phases:?}"
        );
        let settled_s = phases.last().unwrap().1;
        assert!(
            (680.0..=730.0).contains(&settled_s),
            "after 90 s: {phases:?}"
        );
    }

    #[test]
    fn a_wake_stirs_a_settled_car_and_a_hole_of_a_minute_is_blind() {
        let wake = Car::asleep(&[(0, 0.020), (5000, 0.300), (5040, 0.020)]);
        let expected = [
            ("plateau", 0.0),
            ("settled", 120.0),
            ("stirring", 5000.0),
            ("settled", 5040.0),
        ];
        assert_eq!(told(&wake, 2 * HOUR), expected);
        for (hole_s, is_blind) in [(50, false), (70, true)] {
            let hole = Car::asleep(&[(0, 0.020), (900, f64::NAN), (900 + hole_s, 0.020)]);
            let phases = told(&hole, 1800);
            assert_eq!(phases.contains(&("blind", 900.0)), is_blind, "{phases:?}");
        }
    }

    fn spans(pieces: &[(Phase, f64, f64)]) -> Spans {
        let mut spans = Spans::default();
        for (phase, from_s, to_s) in pieces {
            spans.push(
                *phase,
                Elapsed::from_secs(*from_s),
                Elapsed::from_secs(*to_s),
            );
        }
        spans
    }

    /// What is covered in the middle of a phase leaves both its ends.
    #[test]
    fn what_is_covered_leaves_the_ends() {
        for (from_s, to_s, expected) in [
            (10.0, 20.0, vec![(0.0, 10.0), (10.0, 20.0), (20.0, 100.0)]),
            (0.0, 20.0, vec![(0.0, 20.0), (20.0, 100.0)]),
            (90.0, 100.0, vec![(0.0, 90.0), (90.0, 100.0)]),
            (0.0, 100.0, vec![(0.0, 100.0)]),
            (100.0, 120.0, vec![(0.0, 100.0)]),
        ] {
            let mut all = spans(&[(Phase::Settled, 0.0, 100.0)]);
            all.cover(Elapsed::from_secs(from_s), Elapsed::from_secs(to_s));
            let found: Vec<_> = all
                .all
                .iter()
                .map(|s| (s.from.secs(), s.to.secs()))
                .collect();
            assert_eq!(found, expected, "{from_s} to {to_s}");
        }
    }

    #[test]
    fn one_phase_goes_on_and_none_runs_backwards() {
        let all = spans(&[
            (Phase::Awake, 0.0, 10.0),
            (Phase::Awake, 10.0, 20.0),
            (Phase::Settled, 15.0, 30.0),
            (Phase::Awake, 5.0, 25.0),
        ]);
        let found: Vec<_> = all
            .all
            .iter()
            .map(|s| (s.phase, s.from.secs(), s.to.secs()))
            .collect();
        assert_eq!(
            found,
            [(Phase::Awake, 0.0, 20.0), (Phase::Settled, 20.0, 30.0)]
        );
    }
}
