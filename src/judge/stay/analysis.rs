//! Looks at a stay: down to its floor, past its texture, and what stands above it.

use super::excursion::{self, Excursion};
use super::series::{self, Series};
use super::shown::Shown;
use super::{Basis, Opening, Stay, rise, texture};
use crate::judge::rules::{
    AWAKE_A, EDGE_S, FEW_EVENTS, FLOOR_S, MARK_TOLERANCE_S, REST_S, SPARSE_S, TOUCH_AS, TOUCH_S,
    TOUCH_WATCH_S,
};
use crate::reading::Elapsed;
use crate::reading::number::f64_from_usize;
use crate::signal::track::{Block, Track};

/// Looks at a stay; `None` where it is too short.
pub(super) fn shown(basis: &Basis<'_>, stay: &Stay) -> Option<Shown> {
    let (first, blocks) = blocks_of(basis, stay, EDGE_S);
    // What starts up draws for a moment: one reading more is of the edge.
    let (first, blocks) = if stay.opening == Opening::Start {
        (first, blocks)
    } else {
        blocks_of(
            basis,
            stay,
            EDGE_S + series::usual_step_s(blocks).min(MARK_TOLERANCE_S),
        )
    };
    let resolution_a = Track::finest_a(blocks.get(blocks.len() / 2..).unwrap_or(blocks));
    let hides = |t_s: f64| basis.evidence.hides(t_s);
    let plain = Series::of(blocks, first, basis.top_a, hides);
    let is_sparse = plain.step_s > SPARSE_S;
    if plain.len() < series::fewest(is_sparse) {
        return None;
    }
    let (mut series, mut floor) = texture::past_texture(plain, resolution_a, is_sparse);
    let risen_at = rise::risen(basis, &series, &floor);
    if let Some(at) = risen_at {
        series.truncate(at);
        floor.truncate(at);
    }
    let end = series
        .last()
        .map_or(stay.to, |p| Elapsed::from_secs(p.end_s()))
        .min(stay.to.plus_secs(1.0));
    let arrival = floor.arrival()?;
    let mut above = excursion::above(&series, &floor, arrival);
    // The floor leads the fall by half its width: the end of the fall itself is no excursion.
    let lead = lead(&series, &above, arrival);
    above.iter_mut().take(lead).for_each(|flag| *flag = false);
    let mut arrival = lead;
    let view = StayAnalysis {
        basis,
        stay,
        series: &series,
    };
    let watched_s = view.span_s(arrival);
    let all = excursion::all(&series, &floor, &above);
    drop(floor);
    let mut events = excursion::events(&all, watched_s, series.step_s);
    let texture = all.len() - events.len();
    // What has not come back by the end is no wake: it is what comes next.
    let end_s = series.last().map_or(0.0, |point| point.end_s());
    let going = events
        .last()
        .filter(|last| end_s - last.to_s <= 2.0 * series.step_s)
        .copied();
    if going.is_some() {
        events.pop();
    }
    if let Some(asleep) = view.falling_asleep(&events, &above) {
        arrival = asleep;
        events.clear();
        above
            .iter_mut()
            .take(arrival)
            .for_each(|flag| *flag = false);
    }
    let watched_s = view.span_s(arrival);
    let touches: Vec<Excursion> = touches(&events, watched_s);
    let wakes: Vec<Excursion> = events
        .iter()
        .filter(|e| !touches.contains(e))
        .copied()
        .collect();
    let end = going.map_or(end, |event| Elapsed::from_secs(event.from_s));
    let risen = (risen_at.is_some() || going.is_some()).then_some(end);
    view.shown(arrival, &wakes, &touches, resolution_a, end, is_sparse)
        .map(|shown| Shown {
            risen,
            texture,
            ..shown
        })
}

/// The blocks of a stay, without those beside the deeds that bound it.
fn blocks_of<'a>(basis: &Basis<'a>, stay: &Stay, edge_s: f64) -> (usize, &'a [Block]) {
    let track = basis.session.signal().track();
    let from = match stay.opening {
        Opening::Start => stay.from,
        Opening::Deed(..) | Opening::Unnamed | Opening::Unmarked => stay.from.plus_secs(edge_s),
    };
    let to = if stay.is_open {
        stay.to.plus_secs(1.0)
    } else {
        stay.to.plus_secs(-1.0)
    };
    (track.bounds(from, to).0, track.between(from, to))
}

/// Where the end of the fall itself is over: at most half the floor's width after the arrival.
fn lead(series: &Series<'_>, above: &[bool], arrival: usize) -> usize {
    let Some(first) = series.get(arrival) else {
        return arrival;
    };
    let after = series.iter_from(arrival).zip(above.iter().skip(arrival));
    let falling = after.take_while(|(point, above)| {
        **above && !point.over && point.t_s() - first.t_s() < FLOOR_S / 1.5
    });
    (arrival + falling.count()).min(series.len().saturating_sub(1))
}

/// A stay while it is looked at.
pub(super) struct StayAnalysis<'a> {
    pub(super) basis: &'a Basis<'a>,
    stay: &'a Stay,
    pub(super) series: &'a Series<'a>,
}

impl StayAnalysis<'_> {
    pub(super) fn span_s(&self, from: usize) -> f64 {
        let points = self.series.iter_from(from);
        points.map(|point| point.for_s()).sum()
    }

    /// One or two events soon after a lock that never come again belong to falling asleep: the
    /// point from which on the car sleeps.
    fn falling_asleep(&self, events: &[Excursion], above: &[bool]) -> Option<usize> {
        let by_itself = self.stay.opening.is_removal() || self.stay.opening == Opening::Unmarked;
        if by_itself || events.is_empty() || f64_from_usize(events.len()) > FEW_EVENTS {
            return None;
        }
        let timeout_s = self.basis.timeout_s;
        let (began_s, clock_s) = (self.stay.from.secs(), self.stay.clock.secs());
        let early = |event: &Excursion| {
            event.from_s < clock_s.min(began_s) + timeout_s
                && event.to_s < clock_s + 1.5 * timeout_s
        };
        let last = events.last()?;
        let after = last.points.1;
        let rest = self
            .series
            .iter_from(after)
            .zip(above.iter().skip(after))
            .filter(|(_, above)| !**above);
        let rest_s: f64 = rest.map(|(point, _)| point.for_s()).sum();
        // Had they been wakes, they would have come again by now.
        let again_s = last.to_s - began_s;
        let gone = rest_s >= (REST_S / 3.0).max(again_s);
        (events.iter().all(early) && gone).then_some(after)
    }
}

/// Events that are more likely a hand than a wake.
fn touches(events: &[Excursion], watched_s: f64) -> Vec<Excursion> {
    let is_big = |event: &&Excursion| {
        event.lasts_s() > TOUCH_S
            && (event.charge_as > TOUCH_AS && event.peak_a > AWAKE_A || event.over)
    };
    let big: Vec<Excursion> = events.iter().filter(is_big).copied().collect();
    let short_watch = watched_s < TOUCH_WATCH_S || big.iter().all(|event| event.over);
    if big.len() == 1 && f64_from_usize(events.len()) <= FEW_EVENTS && short_watch {
        big
    } else {
        Vec::new()
    }
}

#[cfg(test)]
mod tests {
    use crate::judge::kit::{HOUR, TestCar};

    /// One event of more than 45 s, 15 As and half an ampere, in less than six hours, may be a hand;
    /// a second one says that it is the car.
    #[test]
    fn one_large_event_in_a_short_watch_may_be_a_hand() {
        for (peak_a, for_s, again, end_s, expected) in [
            (2.0, 60, false, 3 * HOUR, (0, 1)),
            (2.0, 40, false, 3 * HOUR, (1, 0)),
            (0.45, 60, false, 3 * HOUR, (1, 0)),
            (0.60, 200, false, 3 * HOUR, (0, 1)),
            (0.45, 200, false, 3 * HOUR, (1, 0)),
            (2.0, 60, true, 3 * HOUR, (2, 0)),
            (2.0, 60, false, 7 * HOUR, (1, 0)),
        ] {
            let at_s = 4000;
            let mut levels = vec![(0, 0.020), (at_s, peak_a), (at_s + for_s, 0.020)];
            if again {
                levels.extend([(2 * at_s, peak_a), (2 * at_s + for_s, 0.020)]);
            }
            let found = TestCar::asleep(&levels).stays(end_s, |_, stays| {
                let shown = stays.all[0].shown.as_deref().unwrap();
                (shown.wakes.len(), shown.touches.len())
            });
            assert_eq!(
                found, expected,
                "{peak_a} A for {for_s} s, {again}, {end_s} s"
            );
        }
    }

    /// What stirs once soon after the lock and never again belongs to falling asleep.
    #[test]
    fn an_event_on_the_way_down_is_no_wake() {
        for (at_s, expected) in [(600, 0), (4000, 1)] {
            let levels = [(0, 3.0), (20, 0.020), (at_s, 0.300), (at_s + 30, 0.020)];
            let car = TestCar::of(&levels).marked(&[(10, "lock")]);
            let found = car.stays(2 * HOUR, |_, stays| {
                stays
                    .all
                    .last()
                    .unwrap()
                    .shown
                    .as_deref()
                    .unwrap()
                    .wakes
                    .len()
            });
            assert_eq!(found, expected, "{at_s}");
        }
    }

    /// How many wakes and touches the last stay of the car shows.
    fn seen(car: &TestCar, end_s: u32) -> (usize, usize) {
        car.stays(end_s, |_, stays| {
            let last = stays
                .all
                .iter()
                .rev()
                .find_map(|stay| stay.shown.as_deref());
            let shown = last.unwrap();
            assert_eq!(shown.texture, 0);
            (shown.wakes.len(), shown.touches.len())
        })
    }

    /// A car that also woke twice is one that wakes; and 13 As are too little for a hand.
    #[test]
    fn a_large_event_among_others_or_a_small_charge_is_a_wake() {
        let mut levels = vec![(0, 0.020), (4000, 2.0), (4060, 0.020)];
        levels.extend([(6000, 0.3), (6030, 0.020), (7000, 0.3), (7030, 0.020)]);
        assert_eq!(seen(&TestCar::asleep(&levels), 3 * HOUR), (3, 0));
        let levels = [(0, 0.020), (4000, 0.600), (4010, 0.200), (4055, 0.020)];
        assert_eq!(seen(&TestCar::asleep(&levels), 3 * HOUR), (1, 0));
    }

    /// Once or twice soon after the lock, and not again for as long as until then; three times, or after
    /// a removal, is waking.
    #[test]
    fn falling_asleep_is_over_when_nothing_came_again_for_as_long() {
        let once = |at_s| vec![(at_s, 0.300), (at_s + 30, 0.020)];
        let locked = |events: Vec<(u32, f64)>| {
            let levels = [vec![(0, 3.0), (1000, 0.020)], events].concat();
            TestCar::of(&levels).marked(&[(990, "lock")])
        };
        assert_eq!(
            seen(&locked(once(1600)), 2200),
            (1, 0),
            "ten minutes are not over"
        );
        assert_eq!(seen(&locked(once(1600)), 2320), (0, 0));
        let three = [once(1200), once(1500), once(1800)].concat();
        assert_eq!(seen(&locked(three), 2 * HOUR), (3, 0));
        let levels = [vec![(0, 0.160), (1000, 0.020)], once(1600)].concat();
        let pulled = TestCar::asleep(&levels).marked(&[(1000, "pull A1")]);
        assert_eq!(seen(&pulled, 2 * HOUR), (1, 0));
    }

    #[test]
    fn what_has_not_come_back_is_no_wake_yet() {
        let car = TestCar::asleep(&[(0, 0.020), (4000, 0.300), (4030, 0.020)]);
        let looks = |end_s| {
            car.stays(end_s, |_, stays| {
                let shown = stays.all[0].shown.as_deref().unwrap();
                (shown.wakes.len(), shown.risen.is_some(), shown.is_sparse)
            })
        };
        assert_eq!(looks(4020), (0, true, false));
        assert_eq!(looks(4060), (1, false, false));
        let slow = TestCar::asleep(&[(0, 0.020)]).read_every(10.0);
        let is_sparse = slow.stays(900, |_, stays| {
            stays.all[0].shown.as_deref().unwrap().is_sparse
        });
        assert!(!is_sparse, "readings ten seconds apart are no typed ones");
    }
}
