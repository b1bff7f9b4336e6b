//! How long the car stands with what was measured, and whether that explains the complaint.

use super::finding::{Level, SettledNow};
use super::setup::Setup;
use super::stay::{Stay, Stays};
use crate::battery::implied::Implied;
use crate::battery::standing::{Given, Store};
use crate::battery::voltage;
use crate::reading::band::Band;
use crate::session::card::Card;

/// Days until the battery can no longer start the engine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StandingTime {
    /// At the time-average, wakes included: what the battery feels.
    pub average_days: Band,
    /// At the settled level alone.
    pub level_days: Band,
    /// Whether the charge was told by a rest voltage; else it stands from full.
    pub from_rest: bool,
}

/// The average draw that a complaint implies, and what was measured once it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Complaint {
    /// What would explain it.
    pub implied: Implied,
    /// The average, in ampere.
    pub measured_a: Option<f64>,
}

/// The standing time; `None` without a battery whose capacity is known, or before the car has
/// settled.
pub fn standing(card: &Card, settled: Option<&SettledNow>) -> Option<StandingTime> {
    let (battery, settled) = (card.battery?, settled?);
    let store = Store::new(&Given {
        charge: card.rest.map(|rest| voltage::charge(battery.kind, &rest)),
        ..Given::printed(battery)
    })?;
    let Level { a, u_a } = settled.level;
    Some(StandingTime {
        average_days: store.days(settled.average_band()),
        level_days: store.days(Band::new(a - u_a, a, a + u_a)),
        from_rest: card.rest.is_some(),
    })
}

/// What the complaint implies; `None` without one, or without a battery whose capacity is known.
pub fn complaint(card: &Card, stays: &Stays, settled: Option<&SettledNow>) -> Option<Complaint> {
    let as_found_a = stays.all.iter().filter_map(|stay| as_found_a(stays, stay));
    let as_found_a = as_found_a.max_by(f64::total_cmp);
    Some(Complaint {
        implied: Implied::new(&card.battery?, card.flat_after_s?)?,
        measured_a: as_found_a.or(settled.map(|settled| settled.average.a)),
    })
}

/// What the car drew at rest with its wakes as it came, before anything was taken out or replaced:
/// that is what flattened its battery.
fn as_found_a(stays: &Stays, stay: &Stay) -> Option<f64> {
    let is_as_found = stays.setups.get(stay.setup)?.as_ref() == &Setup::default();
    let shown = stay.rested().filter(|_| is_as_found)?;
    let wakes_as: f64 = shown.wakes.iter().map(|wake| wake.charge_as).sum();
    Some(shown.level.a + wakes_as / shown.watched_s.max(1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::kit::{MIN, TestCar};
    use crate::reading::Elapsed;

    fn settled(level_a: f64, average_a: f64) -> SettledNow {
        let level = |a| Level { a, u_a: 0.002 };
        SettledNow {
            level: level(level_a),
            average: level(average_a),
            since: Elapsed::ZERO,
            early: false,
        }
    }

    fn card(battery: &str) -> Card {
        Card {
            battery: battery.parse().ok(),
            ..Card::default()
        }
    }

    /// Vector (vehicle maker's bulletin, read): RC 90 at 30 mA stands 30 days.
    #[test]
    fn the_average_counts_for_the_battery() {
        let standing = standing(&card("flooded,rc:90"), Some(&settled(0.015, 0.030))).unwrap();
        assert!((standing.average_days.best - 30.0).abs() < 1e-9);
        assert!((standing.level_days.best - 60.0).abs() < 1e-9);
        assert!(standing.average_days.low < 30.0 && standing.average_days.high > 30.0);
        assert!(!standing.from_rest);
    }

    /// The fault was taken out, and what is left explains nothing: what was found does.
    #[test]
    fn the_complaint_is_held_against_the_car_as_it_was_found() {
        let car = TestCar::asleep(&[(0, 0.266), (900, 0.024)])
            .marked(&[(900, "pull A1")])
            .card(|card| {
                card.battery = "agm,70Ah".parse().ok();
                card.flat_after_s = Some(2.0 * 86_400.0);
            });
        let measured_a = car.judged(40 * MIN).complaint.and_then(|it| it.measured_a);
        assert!(
            (measured_a.expect("it slept") - 0.266).abs() < 0.002,
            "{measured_a:?}"
        );
    }

    #[test]
    fn a_low_battery_stands_shorter() {
        let mut card = card("agm,70Ah");
        let full = standing(&card, Some(&settled(0.03, 0.03))).unwrap();
        card.rest = "12.5V,6h".parse().ok();
        let low = standing(&card, Some(&settled(0.03, 0.03))).unwrap();
        assert!(low.average_days.best < full.average_days.best && low.from_rest);
    }

    #[test]
    fn without_battery_or_settled_level_nothing_is_said() {
        assert_eq!(standing(&Card::default(), Some(&settled(0.03, 0.03))), None);
        assert_eq!(standing(&card("agm,70Ah"), None), None);
        assert_eq!(complaint(&card("agm,70Ah"), &Stays::default(), None), None);
    }

    #[test]
    fn the_complaint_is_held_against_the_measured_average() {
        let card = Card {
            flat_after_s: Some(43_200.0),
            ..card("agm,70Ah")
        };
        let before = complaint(&card, &Stays::default(), None).unwrap();
        assert_eq!(before.measured_a, None);
        assert!(
            (before.implied.draw_a.best - 2.33).abs() < 0.005,
            "{before:?}"
        );
        let after = complaint(&card, &Stays::default(), Some(&settled(0.18, 0.20))).unwrap();
        assert_eq!(
            after.measured_a,
            Some(0.20),
            "the battery feels the average"
        );
    }
}
