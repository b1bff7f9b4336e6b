//! The limit and the sleep time-out in force, each with where it came from, and the limits that
//! other rules would give.

use super::rules::RESERVE_A_PER_MIN;
use crate::battery::standing::{Given, Store};
use crate::session::card::Card;

/// Where a limit or a time-out came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Set on the card: the maker's figure or the technician's.
    Card,
    /// From the battery's reserve capacity.
    Reserve,
    /// From the time that the owner needs the car to stand.
    Standing,
    /// The usual figure of the trade, since the card says nothing.
    Usual,
}

impl Origin {
    /// As screens and files write it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Card => "card",
            Self::Reserve => "reserve capacity",
            Self::Standing => "standing time",
            Self::Usual => "usual figure",
        }
    }
}

/// 50 mA: the figure most often published for a car without special equipment (trade table 1.1:
/// 25-50 mA, > 50 mA "is a drain", 5-50 mA normal; published span 10-150 mA, so a maker's figure
/// on the card always goes before it).
pub const USUAL_LIMIT_A: f64 = 0.050;

/// 45 min: covers the 20-45 min most often published (trade table 1.1); some cars need an hour or
/// more, so the card may say otherwise and the screen names the figure in use.
pub const USUAL_TIMEOUT_S: f64 = 2700.0;

/// A value with its origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sourced {
    /// The value: ampere for a limit, seconds for a time-out.
    pub value: f64,
    /// Where it came from.
    pub from: Origin,
}

/// The limit in force, in ampere.
pub fn limit(card: &Card) -> Sourced {
    known(card).next().unwrap_or(USUAL_LIMIT)
}

/// What the limit would be by the rules that are not in force, in the order of their rank.
pub fn others(card: &Card) -> Vec<Sourced> {
    let mut all = known(card);
    // The first is in force; the usual figure stands last and is its own when alone.
    all.next()
        .map_or_else(Vec::new, |_| all.chain([USUAL_LIMIT]).collect())
}

const USUAL_LIMIT: Sourced = Sourced {
    value: USUAL_LIMIT_A,
    from: Origin::Usual,
};

/// Every limit that the card tells, the one to go by first: the maker's figure knows this car,
/// reserve capacity at least its battery, the owner's time only the wish.
fn known(card: &Card) -> impl Iterator<Item = Sourced> {
    let sourced = |value: Option<f64>, from| value.map(|value| Sourced { value, from });
    [
        sourced(card.limit_a, Origin::Card),
        sourced(by_reserve(card), Origin::Reserve),
        sourced(by_standing(card), Origin::Standing),
    ]
    .into_iter()
    .flatten()
}

fn by_reserve(card: &Card) -> Option<f64> {
    let reserve_min = card.battery?.reserve_min?;
    Some(RESERVE_A_PER_MIN * reserve_min).filter(|a| *a > 0.0)
}

/// The average draw at which the battery, full when the owner parks, stands as long as needed.
fn by_standing(card: &Card) -> Option<f64> {
    let store = Store::new(&Given::printed(card.battery?))?;
    let draw_a = store.draw_for(card.required_standing_s?)?;
    Some(draw_a.best).filter(|a| a.is_finite())
}

/// The sleep time-out in force, in seconds.
pub fn timeout(card: &Card) -> Sourced {
    card.sleep_timeout_s.map_or(
        Sourced {
            value: USUAL_TIMEOUT_S,
            from: Origin::Usual,
        },
        |value| Sourced {
            value,
            from: Origin::Card,
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn card(limit_a: Option<f64>, battery: &str, standing_d: Option<f64>) -> Card {
        Card {
            limit_a,
            battery: battery.parse().ok(),
            required_standing_s: standing_d.map(|d| d * 86_400.0),
            ..Card::default()
        }
    }

    #[test]
    fn the_makers_figure_goes_before_every_rule() {
        for (card, limit_a, from) in [
            (
                card(Some(0.08), "agm,rc:120", Some(21.0)),
                0.08,
                Origin::Card,
            ),
            (card(None, "agm,rc:120", Some(21.0)), 0.03, Origin::Reserve),
            (card(None, "agm,70Ah", Some(21.0)), 0.0536, Origin::Standing),
            (card(None, "agm,70Ah", None), 0.05, Origin::Usual),
            (card(None, "agm,760A-EN", Some(21.0)), 0.05, Origin::Usual),
            (Card::default(), 0.05, Origin::Usual),
        ] {
            let found = limit(&card);
            assert_eq!(found.from, from);
            assert!((found.value - limit_a).abs() < 5e-5, "{found:?}");
        }
    }

    /// Rule RC/4 (maker training texts, from memory, not found at source).
    #[test]
    fn a_quarter_of_the_reserve_capacity() {
        for (battery, limit_a) in [
            ("agm,rc:90", 0.0225),
            ("agm,rc:120", 0.03),
            ("agm,rc:200", 0.05),
        ] {
            assert!((limit(&card(None, battery, None)).value - limit_a).abs() < 1e-12);
        }
    }

    #[test]
    fn a_wish_that_no_battery_can_grant_is_no_limit() {
        let wish = card(None, "flooded,60Ah", Some(4000.0));
        assert_eq!(limit(&wish).from, Origin::Usual);
    }
}
