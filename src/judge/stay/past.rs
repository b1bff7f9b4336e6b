//! What the judgement before knew: stays that are over stay as they were looked at, until something
//! changes in or before them. A strike, a mark placed late, or what the meter turns out to have
//! hidden, so redoes what it touches and all that comes after it.

use std::mem;

use super::evidence::Hidden;
use super::{Basis, Opening, Stay, Stays};
use crate::judge::comparison::Trials;
use crate::judge::memory::FRESH_S;
use crate::judge::rules::{FLOOR_S, NO_ACCURACY_SHARE};
use crate::judge::uncertainty;
use crate::reading::Elapsed;
use crate::signal::Change;

/// The stays and trials of a judgement, and what they were judged by beside the card and the blocks.
#[derive(Clone, Debug, Default)]
pub struct Past {
    stays: Stays,
    trials: Trials,
    hidden: Vec<Hidden>,
    changes: Vec<Change>,
    top_a: f64,
    margin_a: f64,
    /// Up to when all was read.
    read: Elapsed,
}

impl Past {
    pub(super) fn of(basis: &Basis<'_>, stays: Stays, trials: Trials) -> Self {
        let signal = basis.session.signal();
        Self {
            stays,
            trials,
            hidden: basis.evidence.hidden.clone(),
            changes: signal.changes().to_vec(),
            top_a: basis.top_a,
            margin_a: uncertainty::margin_a(basis.session, basis.limit_a),
            read: signal.last_t().unwrap_or_default().plus_secs(-FRESH_S),
        }
    }

    /// Puts the stays that are as they were in the place of those that were `cut` anew.
    pub(super) fn restore(&mut self, basis: &Basis<'_>, cut: &mut Stays) {
        let until = self.unchanged_until(basis);
        let setups = self.stays.setups.iter().zip(&cut.setups);
        let setups = setups.take_while(|(one, other)| one == other).count();
        let pieces = self
            .stays
            .all
            .chunk_by(|_, next| next.opening == Opening::Unmarked);
        let pieces: Vec<&[Stay]> = pieces.collect();
        // What is at the limit by the margin of that moment may not be by that of now.
        let margin_a = uncertainty::margin_a(basis.session, basis.limit_a);
        let moved = self.margin_a.total_cmp(&margin_a).is_ne();
        let near = basis.limit_a..=(1.0 + NO_ACCURACY_SHARE) * basis.limit_a;
        let is_near = |stay: &Stay| {
            let shown = stay.shown.as_deref();
            shown.is_some_and(|shown| near.contains(&shown.level.a))
        };
        // A fall is parted by what was removed next.
        let leads_on = |i: usize| {
            let begins = |stay: &Stay| (stay.from, stay.opening);
            let next = pieces.get(i + 1).and_then(|piece| piece.first());
            next.map(begins) == cut.all.get(i + 1).map(begins)
        };
        let is_known = |(i, (piece, cut)): &(usize, (&&[Stay], &Stay))| {
            let ends = piece.first().zip(piece.last());
            let same = ends.is_some_and(|(first, last)| {
                (first.from, first.opening, first.marked) == (cut.from, cut.opening, cut.setup)
                    && (last.to, last.is_open) == (cut.to, cut.is_open)
            });
            let is_over = !cut.is_open && cut.to <= until && cut.setup < setups;
            same && is_over && leads_on(*i) && !(moved && piece.iter().any(is_near))
        };
        let pairs = pieces.iter().zip(&cut.all).enumerate().take_while(is_known);
        let (count, known) = pairs.fold((0, 0), |(n, known), (_, (piece, _))| {
            (n + 1, known + piece.len())
        });
        let new = cut.all.split_off(count);
        cut.all = mem::take(&mut self.stays.all);
        cut.all.truncate(known);
        // States that no mark tells of stand behind those that marks do.
        let shown = cut.all.iter().map(|stay| stay.setup);
        let unmarked: Vec<(usize, usize)> =
            shown.enumerate().filter(|(_, n)| *n >= setups).collect();
        for (at, n) in unmarked {
            let number = self.stays.setups.get(n).map(|setup| cut.number(setup));
            if let Some((stay, number)) = cut.all.get_mut(at).zip(number) {
                stay.setup = number;
            }
        }
        cut.all.extend(new);
        cut.known = known;
    }

    /// The trials of the judgement before.
    pub(super) fn take_trials(&mut self) -> Trials {
        mem::take(&mut self.trials)
    }

    /// Until when the record says what it said: what is looked for around a moment, a window on.
    fn unchanged_until(&self, basis: &Basis<'_>) -> Elapsed {
        // Over-range counts as at least the largest current that was ever shown.
        if basis.session.overs() > 0 && self.top_a.total_cmp(&basis.top_a).is_ne() {
            return Elapsed::from_ms(i64::MIN);
        }
        let changed = first_difference(&self.changes, basis.session.signal().changes(), |one| {
            one.t.plus_secs(-FLOOR_S - 1.0)
        });
        let hidden = first_difference(&self.hidden, &basis.evidence.hidden, |one| one.from);
        changed
            .into_iter()
            .chain(hidden)
            .fold(self.read, Elapsed::min)
    }
}

/// The earlier moment of the first pair that differs.
fn first_difference<T: PartialEq>(
    before: &[T],
    now: &[T],
    at: impl Fn(&T) -> Elapsed,
) -> Option<Elapsed> {
    let same = before
        .iter()
        .zip(now)
        .take_while(|(one, other)| one == other);
    let same = same.count();
    let next = [before.get(same), now.get(same)];
    next.into_iter().flatten().map(at).min()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::TestCar;
    use crate::judge::memory::Memory;

    /// How many stays of the record until `end_s` are as they were in the judgement at `judged_s`,
    /// at a limit of 50 mA.
    fn known(car: &TestCar, judged_s: u32, end_s: u32) -> usize {
        let [before, now] = [judged_s, end_s].map(|until_s| car.until(until_s));
        let basis = Basis::of(&before, 0.05, 600.0, Memory::default());
        let stays = Stays::of(&basis);
        let memory = basis.into_memory(stays, Trials::default());
        Stays::of(&Basis::of(&now, 0.05, 600.0, memory)).known
    }

    /// Pulled at ten minutes and put back at twenty. What is new may not be all read, or not all
    /// found by the signal, and the stay that goes on is looked at anew.
    #[test]
    fn stays_that_are_over_stay_as_they_were() {
        let car = TestCar::asleep(&[(0, 0.160), (600, 0.030), (1200, 0.160)]);
        let car = car.marked(&[(600, "pull A1"), (1200, "refit A1")]);
        let found = [590, 605, 640, 1190, 1205, 1240].map(|at_s| known(&car, at_s, 1500));
        assert_eq!(found, [0, 0, 1, 1, 1, 2]);
    }

    /// A clamp's zero drifts on, and with it the margin at the limit: only what stood at the limit is
    /// looked at anew.
    #[test]
    fn a_margin_that_moves_concerns_only_what_stood_at_the_limit() {
        for (level_a, expected) in [(0.160, 1), (0.056, 1), (0.054, 0), (0.052, 0), (0.040, 1)] {
            let car = TestCar::asleep(&[(0, level_a), (600, 0.030)])
                .card(|card| card.drift_a_per_h = Some(0.010))
                .marked(&[(600, "pull A1")]);
            assert_eq!(known(&car, 1200, 1500), expected, "{level_a}");
        }
    }
}
