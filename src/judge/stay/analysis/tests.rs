//! What a stay shows: hands, falling asleep, edges.

use super::super::floor::Floor;
use super::*;
use crate::judge::stay::testkit::{at, basis, car, close, deed, series, unseen};
use crate::session::mark::Did;

/// What is more likely a hand, of a car that draws 30 mA and these pulses, watched for so long.
fn hands(pulses: &[&[(u32, f64)]], watched_s: f64) -> usize {
    let rest = [(300, 0.03)];
    let all: Vec<(u32, f64)> = pulses
        .iter()
        .flat_map(|pulse| [&rest[..], pulse])
        .flatten()
        .copied()
        .collect();
    let mut series = series(&[&all[..], &rest].concat(), 1);
    for point in series
        .points
        .iter_mut()
        .filter(|point| point.a.is_infinite())
    {
        (point.a, point.over) = (0.2, true);
    }
    let floor = Floor::of(&series, 0.001, false);
    let all = excursion::all(&series, &floor, &excursion::above(&series, &floor, 0));
    touches(&all, watched_s).len()
}

/// Longer than 45 s, more than 15 As, half an ampere once, in less than six hours, and hardly another.
#[test]
fn one_large_event_in_a_short_watch_is_a_hand() {
    const BIG: &[(u32, f64)] = &[(60, 0.6)];
    const SMALL: &[(u32, f64)] = &[(10, 0.2)];
    for (pulses, watched_s, expected, why) in [
        (&[BIG][..], 3600.0, 1, "a door"),
        (&[&[(35, 0.6)][..]], 3600.0, 0, "too short"),
        (&[&[(60, 0.4)]], 3600.0, 0, "no module at work"),
        (&[&[(49, 0.2), (1, 0.8)]], 3600.0, 0, "hardly a charge"),
        (&[BIG], 20_000.0, 1, "five hours and a half"),
        (&[BIG], 23_000.0, 0, "a long watch"),
        (&[BIG, SMALL], 3600.0, 1, "a small one beside it"),
        (&[BIG, SMALL, SMALL], 3600.0, 0, "one of many"),
        (&[BIG, BIG], 3600.0, 0, "twice the same"),
        (
            &[&[(60, f64::INFINITY)]],
            23_000.0,
            1,
            "over-range, in however long a watch",
        ),
        (
            &[&[(35, f64::INFINITY)]],
            3600.0,
            0,
            "over-range, but short",
        ),
        (&[SMALL], 3600.0, 0, "nothing large"),
    ] {
        assert_eq!(hands(pulses, watched_s), expected, "{why}");
    }
}

/// The floor leads a fall by half its width: what still falls then is no excursion.
#[test]
fn the_end_of_a_fall_is_led_for_twenty_seconds_at_most() {
    let series = series(&[(100, 0.03)], 1);
    let led = |above_s: usize, arrival| {
        let above: Vec<bool> = (0..100).map(|i| (10..10 + above_s).contains(&i)).collect();
        lead(&series, &above, arrival)
    };
    assert_eq!(
        [led(5, 10), led(60, 10), led(5, 30), led(5, 200)],
        [15, 31, 30, 200]
    );
    let mut over = series.clone();
    over.points[12].over = true;
    assert_eq!(lead(&over, &[true; 100], 10), 12, "over-range is no fall");
}

/// What a stay shows that this began, at 30 s.
fn look(car: &crate::judge::stay::testkit::Car, opening: Opening) -> Shown {
    let session = car.session();
    let stay = Stay {
        is_open: true,
        ..unseen(30, session.last_t().ms() as u32 / 1000, opening)
    };
    shown(&basis(&session), &stay).unwrap()
}

/// One or two events soon after a lock that never come again belong to falling asleep.
#[test]
fn what_comes_soon_after_a_lock_and_never_again_is_falling_asleep() {
    let pulses = |pulses: &[u32], end_s| {
        let levels = pulses
            .iter()
            .flat_map(|from_s| [(*from_s, 0.3), (*from_s + 20, 0.03)]);
        let down = [(0, 2.0), (40, 0.03)];
        car(&down.into_iter().chain(levels).collect::<Vec<_>>(), end_s)
    };
    let lock = deed(1, Did::Lock);
    for (car, opening, wakes, why) in [
        (pulses(&[200], 900), lock, 0, "once"),
        (pulses(&[200, 300], 900), lock, 0, "twice"),
        (pulses(&[200, 260, 320], 900), lock, 3, "three times"),
        (pulses(&[700], 1800), lock, 1, "after the time-out"),
        (pulses(&[400], 600), lock, 1, "it could still come again"),
        (
            pulses(&[200], 900),
            deed(1, Did::Pull),
            1,
            "a removal wakes nothing",
        ),
        (
            pulses(&[200], 900),
            Opening::Unmarked,
            1,
            "nor does what nobody did",
        ),
    ] {
        let shown = look(&car, opening);
        assert_eq!(shown.wakes.len(), wakes, "{why}: {:?}", shown.wakes);
        let arrived_s = shown.arrived.secs();
        let expected = if wakes == 0 { 220.0..345.0 } else { 30.0..75.0 };
        assert!(
            expected.contains(&arrived_s),
            "{why}: arrived at {arrived_s}"
        );
    }
}

/// A wake that stands at the end is what comes next, not a wake.
#[test]
fn what_has_not_come_back_by_the_end_is_no_wake() {
    let lock = deed(1, Did::Lock);
    let up = look(&car(&[(0, 0.03), (700, 0.3)], 760), lock);
    assert!(up.wakes.is_empty(), "{:?}", up.wakes);
    assert!(
        (up.until.secs() - 700.0).abs() < 3.0 && up.risen == Some(up.until),
        "{up:?}"
    );
    let back = look(&car(&[(0, 0.03), (700, 0.3), (740, 0.03)], 800), lock);
    assert_eq!((back.wakes.len(), back.risen), (1, None));
    close(back.watched_s, back.until.secs_since(back.arrived));
}

/// A display of 10 mA that switched to 1 mA is read by the places that it has now; a stay that began
/// with the record has no edge, one that a deed began has two readings of it.
#[test]
fn the_edge_of_a_deed_is_no_evidence() {
    let still = car(&[(0, 0.03)], 200);
    let arrived = |opening| look(&still, opening).arrived;
    assert_eq!(arrived(Opening::Start), at(30));
    assert_eq!(arrived(deed(1, Did::Lock)), at(33));
}

/// Where a stay is over, the second before the next deed is of its edge.
#[test]
fn the_second_before_the_next_deed_is_left_out() {
    let session = car(&[(0, 0.03)], 200).session();
    let basis = basis(&session);
    let open = Stay {
        is_open: true,
        ..unseen(30, 100, Opening::Start)
    };
    let last = |stay: &Stay| blocks_of(&basis, stay, 1.5).1.last().unwrap().from;
    assert_eq!(last(&open), at(100));
    assert_eq!(
        last(&Stay {
            is_open: false,
            ..open
        }),
        at(98)
    );
    let shown = shown(&basis, &unseen(30, 33, deed(1, Did::Lock)));
    assert!(shown.is_none(), "hardly a reading");
}

/// Readings by the minute are judged one by one: two of them are a level.
#[test]
fn two_readings_by_the_minute_are_a_level() {
    let by_the_minute = look(&car(&[(0, 0.03)], 200).every(60), Opening::Start);
    assert!(by_the_minute.is_sparse);
    assert!(!look(&car(&[(0, 0.03)], 400).every(15), Opening::Start).is_sparse);
}
