//! Standing: days until the battery can no longer start the engine.

use super::capacity::{self, Capacity};
use super::temperature::{self, RATED_C};
use crate::reading::amount::{self, AmountError};
use crate::reading::band::{self, Band};
use crate::reading::named::named;
use crate::session::card::Battery;

/// Below this share of charge no start: 40 % used is the bulletin's rule (vehicle maker's
/// bulletin on battery drain, read). The ends: a third removed is "seriously discharged" (owners'
/// lexicon, read), and half charged usually still cranks when warm (owners' page, read).
pub const NO_START: Band = Band::new(0.50, 0.60, 0.67);

/// What is known of a battery that is to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// What is printed on it.
    pub battery: Battery,
    /// The charge it stands with, as a share of full; full when nobody said.
    pub charge: Option<Band>,
    /// The share below which it starts no more.
    pub no_start: Option<f64>,
    /// Its self-discharge at 25 °C, as a share of the capacity a day.
    pub self_discharge_per_day: Option<f64>,
    /// How warm it stands, in degrees Celsius.
    pub temperature_c: Option<f64>,
}

impl Given {
    /// Only what is printed on it: full, at 25 °C.
    pub const fn printed(battery: Battery) -> Self {
        Self {
            battery,
            charge: None,
            no_start: None,
            self_discharge_per_day: None,
            temperature_c: None,
        }
    }
}

/// By which arithmetic a battery stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arithmetic {
    /// A vehicle maker's bulletin: 0.6 · RC, of which 40 % may go, self-discharge inside the
    /// rule. In force where the reserve capacity is all that is known.
    Bulletin,
    /// Capacity, charge, no-start share and self-discharge, each for itself.
    Full,
}

named!(Arithmetic::word { Bulletin = "bulletin", Full = "full" });

/// A battery as a store of charge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Store {
    /// By which rule.
    pub rule: Arithmetic,
    /// Its capacity.
    pub capacity: Capacity,
    /// The charge it stands with, as a share of full.
    pub charge: Band,
    /// The share below which it starts no more.
    pub no_start: Band,
    /// How much of its capacity cold leaves.
    pub cold_share: f64,
    /// Self-discharge at its temperature, as a share of the capacity a day.
    pub self_per_day: Band,
}

impl Store {
    /// The store; `None` when no printed size tells a capacity.
    pub fn new(given: &Given) -> Option<Self> {
        let battery = &given.battery;
        let mut capacity = capacity::capacity(battery)?;
        let celsius = given.temperature_c.unwrap_or(RATED_C);
        let usual = temperature::usual_self_discharge(battery.kind);
        let per_day = given.self_discharge_per_day.map_or(usual, Band::exact);
        let faster = temperature::self_discharge(battery.kind, celsius);
        let mut self_per_day = band::combined([per_day, faster], |[day, times]| day * times);
        let by_bulletin = battery
            .reserve_min
            .filter(|_| battery.c20_ah.is_none())
            .filter(|_| given.no_start.is_none() && given.self_discharge_per_day.is_none());
        let rule = match by_bulletin {
            Some(reserve_min) => {
                let ah = capacity::bulletin_ah(reserve_min);
                capacity.ah = Band::spanned(ah, [capacity.ah.low, capacity.ah.high]);
                self_per_day = Band::new(0.0, 0.0, self_per_day.high);
                Arithmetic::Bulletin
            }
            None => Arithmetic::Full,
        };
        Some(Self {
            rule,
            capacity,
            charge: given.charge.unwrap_or(Band::exact(1.0)),
            no_start: given.no_start.map_or(NO_START, Band::exact),
            cold_share: temperature::capacity(celsius).min(1.0),
            self_per_day,
        })
    }

    /// What may be taken before it starts no more, in ampere-hours.
    pub fn usable_ah(&self) -> Band {
        let parts = [self.charge, self.no_start, self.capacity.ah];
        band::combined(parts, |[charge, no_start, ah]| {
            self.usable(charge, no_start, ah)
        })
        .within(0.0, f64::INFINITY)
    }

    fn usable(&self, charge: f64, no_start: f64, ah: f64) -> f64 {
        (charge - no_start).max(0.0) * ah * self.cold_share
    }

    /// Self-discharge as a current, in ampere.
    pub fn self_a(&self) -> Band {
        let parts = [self.self_per_day, self.capacity.ah];
        band::combined(parts, |[per_day, ah]| per_day * ah / 24.0)
    }

    /// Days until it starts no more, at this draw in ampere. An end may be infinite: nothing
    /// known empties the battery.
    pub fn days(&self, draw_a: Band) -> Band {
        let draw_a = draw_a.within(0.0, f64::INFINITY);
        let parts = [
            self.charge,
            self.no_start,
            self.capacity.ah,
            self.self_per_day,
            draw_a,
        ];
        let days = |[charge, no_start, ah, per_day, draw_a]: [f64; 5]| {
            let usable = self.usable(charge, no_start, ah);
            if usable > 0.0 {
                usable / (draw_a * 24.0 + per_day * ah)
            } else {
                0.0
            }
        };
        if days(parts.map(|part| part.best)).is_infinite() {
            let soonest = self.usable_ah().low / (draw_a.high + self.self_a().high) / 24.0;
            return Band::new(soonest, f64::INFINITY, f64::INFINITY);
        }
        band::combined(parts, days).within(0.0, f64::INFINITY)
    }

    /// The average draw in ampere at which it stands just so long; `None` when its own
    /// self-discharge is too much already.
    pub fn draw_for(&self, standing_s: f64) -> Option<Band> {
        let draw_a = self.draw(standing_s);
        (standing_s > 0.0 && draw_a.best > 0.0).then(|| draw_a.within(0.0, f64::INFINITY))
    }

    fn draw(&self, standing_s: f64) -> Band {
        let parts = [
            self.charge,
            self.no_start,
            self.capacity.ah,
            self.self_per_day,
        ];
        band::combined(parts, |[charge, no_start, ah, per_day]| {
            self.usable(charge, no_start, ah) * 3600.0 / standing_s - per_day * ah / 24.0
        })
    }
}

/// Days with their ends, as people say them: `30 days (22 to 44)`, `16 h (9 to 25)`, `without
/// end` where nothing known empties the battery, `no day` where it is too empty already.
pub fn in_words(days: Band) -> String {
    if days.best <= 0.0 {
        let at_best = if days.high > 0.0 {
            format!(" (at best {})", in_words(Band::exact(days.high)))
        } else {
            String::new()
        };
        return format!("no day: it is already below no-start{at_best}");
    }
    let (times, unit) = if days.best < 0.95 {
        (24.0, "h")
    } else {
        (1.0, "days")
    };
    let places = usize::from(days.best * times < 9.95);
    let figure = |days: f64| {
        if days.is_infinite() {
            "no end".into()
        } else {
            format!("{:.places$}", days * times)
        }
    };
    let (best, low, high) = (figure(days.best), figure(days.low), figure(days.high));
    if days.best.is_infinite() {
        return format!("without end (at least {low} {unit})");
    }
    if days.low < days.best || days.best < days.high {
        format!("{best} {unit} ({low} to {high})")
    } else {
        format!("{best} {unit}")
    }
}

/// A wake that comes regularly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waking {
    /// The current while it lasts, in ampere.
    pub a: f64,
    /// How long it lasts, in seconds.
    pub for_s: f64,
    /// From one to the next, in seconds.
    pub every_s: f64,
}

impl Waking {
    /// The time-average of this wake and of `draw_a` between two of them.
    pub fn mean_a(&self, draw_a: f64) -> f64 {
        mean_a(&[(self.a, self.for_s), (draw_a, self.every_s - self.for_s)])
    }
}

const WAKING: &str = "a wake: expected its current, its length and a longer period, \
    as in 1.2A,120s,6h";

/// Reads a regular wake: `1.2A,120s,6h`.
///
/// # Errors
/// [`AmountError`] naming what was found and what was expected.
pub fn waking(text: &str) -> Result<Waking, AmountError> {
    let read = |text: &str| {
        let mut parts = text.split(',');
        let (a, for_s, every_s) = (parts.next()?, parts.next()?, parts.next()?);
        let waking = Waking {
            a: amount::current_a(a).ok()?,
            for_s: amount::time_s(for_s).ok()?,
            every_s: amount::time_s(every_s).ok()?,
        };
        let fits = waking.a >= 0.0 && waking.for_s < waking.every_s && parts.next().is_none();
        fits.then_some(waking)
    };
    read(text).ok_or_else(|| amount::refuse(text, WAKING))
}

/// The time-average of currents that follow one another, each with how long it lasts in seconds.
///
/// ```
/// use lullboard::battery::standing::mean_a;
/// // A lamp that blinks: 45 mA for 0.1 s, then 20 mA for 2 s.
/// assert!((mean_a(&[(0.045, 0.1), (0.020, 2.0)]) - 0.0212).abs() < 0.0001);
/// ```
pub fn mean_a(parts: &[(f64, f64)]) -> f64 {
    let charge_as: f64 = parts.iter().map(|(a, for_s)| a * for_s).sum();
    let all_s: f64 = parts.iter().map(|(_, for_s)| for_s).sum();
    charge_as / all_s
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(found: f64, expected: f64, within: f64) {
        assert!((found - expected).abs() <= within, "{found} for {expected}");
    }

    fn reserve(text: &str) -> Store {
        Store::new(&Given::printed(text.parse().unwrap())).unwrap()
    }

    /// The rule of a vehicle maker's bulletin (read), days computed.
    #[test]
    fn the_bulletins_rule() {
        let store = reserve("flooded,rc:90");
        assert_eq!(store.rule, Arithmetic::Bulletin);
        near(store.capacity.ah.best, 54.0, 1e-9);
        near(store.usable_ah().best, 21.6, 1e-9);
        for (draw_a, days_90, days_120) in [
            (0.03, 30.0, 40.0),
            (0.05, 18.0, 24.0),
            (0.1, 9.0, 12.0),
            (0.5, 1.8, 2.4),
        ] {
            let draw = Band::exact(draw_a);
            near(store.days(draw).best, days_90, 1e-9);
            near(reserve("flooded,rc:120").days(draw).best, days_120, 1e-9);
        }
    }

    /// The identity of the trade table (computed): a quarter milliampere for each minute of
    /// reserve capacity, under the bulletin's rule, always stands 40 days.
    #[test]
    fn a_quarter_milliampere_a_minute_stands_forty_days() {
        for rc in [60.0, 90.0, 120.0, 200.0] {
            let days = reserve(&format!("agm,rc:{rc}")).days(Band::exact(rc / 4e3));
            near(days.best, 40.0, 1e-9);
        }
    }

    /// Computed: RC 100 flooded by EN 50342-1's formula (constants from memory), 85 %
    /// charged, no start at 60 %, 50 mA, 5 % self-discharge in 30 days.
    #[test]
    fn with_charge_and_self_discharge() {
        let store = Store::new(&Given {
            charge: Some(Band::exact(0.85)),
            no_start: Some(0.60),
            self_discharge_per_day: Some(0.05 / 30.0),
            ..Given::printed("flooded,rc:100".parse().unwrap())
        })
        .unwrap();
        assert_eq!(store.rule, Arithmetic::Full);
        near(store.usable_ah().best, 15.25, 0.005);
        near((0.05 + store.self_a().best) * 24.0, 1.302, 0.0005);
        near(store.days(Band::exact(0.05)).best, 11.7, 0.05);
    }

    /// An immobiliser lamp, mean printed as 21.2 mA (owners' lexicon, read).
    /// Computed: 18 mA, and 1.2 A for 120 s every 6 h.
    #[test]
    fn means_of_periodic_loads() {
        near(mean_a(&[(0.045, 0.1), (0.020, 2.0)]), 0.021_19, 5e-6);
        let mean_a = waking("1.2A,120s,6h").unwrap().mean_a(0.018);
        near(mean_a, 0.024_57, 5e-6);
        near(mean_a * 24.0, 0.590, 0.0005);
        for text in ["1.2A,120s", "1.2A,6h,120s", "-1A,1s,2s", "1A,1s,2s,3s"] {
            assert!(waking(text).is_err(), "{text:?}");
        }
    }

    #[test]
    fn the_band_holds_what_is_not_known() {
        let draw = Band::new(0.045, 0.05, 0.055);
        let days = reserve("agm,70Ah").days(draw);
        assert!(days.low < days.best && days.best < days.high, "{days:?}");
        // 40 % of 70 Ah against 50 mA and 2 % of it a month: between the two simplest answers.
        assert!(days.best > 20.0 && days.best < 28.0 / 1.2, "{days:?}");
        let surer = Store::new(&Given {
            no_start: Some(0.6),
            ..Given::printed("agm,70Ah".parse().unwrap())
        })
        .unwrap()
        .days(draw);
        assert!(surer.high - surer.low < days.high - days.low);
    }

    #[test]
    fn cold_shortens_it_and_a_flat_battery_stands_no_day() {
        let with = |charge: f64, celsius: f64| {
            Store::new(&Given {
                charge: Some(Band::exact(charge)),
                temperature_c: Some(celsius),
                ..Given::printed("flooded,60Ah".parse().unwrap())
            })
            .unwrap()
            .days(Band::exact(0.05))
        };
        assert!(with(1.0, -10.0).best < with(1.0, 25.0).best);
        assert_eq!(with(0.4, 25.0), Band::exact(0.0));
        let doubtful = Store::new(&Given {
            charge: Some(Band::new(0.3, 0.65, 0.9)),
            ..Given::printed("flooded,60Ah".parse().unwrap())
        });
        assert!(doubtful.unwrap().usable_ah().low >= 0.0);
        // Warmth gives no more than the rating.
        assert!(with(1.0, 40.0).best < with(1.0, 25.0).best);
    }

    #[test]
    fn days_are_said_as_people_say_them() {
        for (days, words) in [
            (Band::new(22.0, 30.0, 44.0), "30 days (22 to 44)"),
            (Band::new(1.0, 1.8, 2.44), "1.8 days (1.0 to 2.4)"),
            (Band::new(0.375, 0.66, 1.04), "16 h (9 to 25)"),
            (
                Band::new(0.0, 0.0, 3.2),
                "no day: it is already below no-start (at best 3.2 days)",
            ),
            (Band::exact(0.0), "no day: it is already below no-start"),
            (
                Band::new(80.0, f64::INFINITY, f64::INFINITY),
                "without end (at least 80 days)",
            ),
        ] {
            assert_eq!(in_words(days), words);
        }
    }

    #[test]
    fn the_draw_for_a_time_is_the_inverse_of_the_days() {
        let store = reserve("agm,70Ah");
        let draw_a = store.draw_for(21.0 * 86_400.0).unwrap().best;
        near(store.days(Band::exact(draw_a)).best, 21.0, 1e-9);
        assert_eq!(store.draw_for(1e12), None);
        assert_eq!(store.draw_for(0.0), None);
    }
}
