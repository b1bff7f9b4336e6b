//! Cautions, each with the moment at which it matters and with what goes before it: the maker's
//! data, licensed hands. Text only; who shows them decides where.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::Session;
use super::card::{BatteryKind, Card, Powertrain};
use super::mark::Did;
use crate::fuse::map::Circuit;
use crate::reading::{capitalised, named};

/// When a caution matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum When {
    /// Before the meter goes in series at the battery.
    Connect,
    /// Before unlocking, opening a door, switching on or cranking with a meter in series.
    Unlock,
    /// Before a fuse comes out or goes back.
    Pull,
    /// Before another jack or range of the meter, and while amperes flow through it.
    MeterJack,
    /// Before the battery is charged or loaded.
    Charge,
    /// The circuit belongs to the restraint system.
    Restraint,
    /// The car, or the circuit, carries high voltage.
    HighVoltage,
    /// The car has, or was given, a battery that the car itself keeps account of.
    BatterySwap,
    /// The car has a second battery, or may have one.
    SecondBattery,
    /// Something in the car calls home by radio.
    CallsHome,
    /// The circuit belongs to an alarm with a battery of its own, or to an emergency call unit.
    OwnBattery,
}

named!(When::word {
    Connect = "Before connecting",
    Unlock = "Before unlocking, a door, cranking",
    Pull = "At every fuse",
    MeterJack = "Before another jack of the meter",
    Charge = "Before charging or loading the battery",
    Restraint = "Airbags and belt tensioners",
    HighVoltage = "High voltage",
    BatterySwap = "A new battery",
    SecondBattery = "Start-stop, second battery",
    CallsHome = "What calls home",
    OwnBattery = "Alarm, emergency call",
});

impl When {
    /// Whether it matters only to a car that has such a thing.
    const fn is_of_the_car(self) -> bool {
        matches!(
            self,
            Self::BatterySwap | Self::SecondBattery | Self::CallsHome
        )
    }
}

/// One caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
pub struct Caution {
    /// When it matters.
    pub when: When,
    /// What to do, or leave.
    pub text: &'static str,
    /// What goes before it.
    #[serde(default = "maker")]
    pub deferral: &'static str,
}

const fn maker() -> &'static str {
    MAKER
}

const MAKER: &str = "the maker's procedure goes first";
const METER: &str = "the meter's manual goes first";

/// Before what no fuse of the box protects.
pub const UNFUSED: &str =
    "battery negative off before a cable at generator or starter is lifted; the maker's data first";

#[derive(Deserialize)]
struct CautionTable {
    caution: Vec<Caution>,
    #[serde(borrow)]
    called_by: HashMap<When, Vec<&'static str>>,
}

/// Every caution with its source, and the words that call for some of them.
static TABLE: LazyLock<CautionTable> = LazyLock::new(|| {
    toml::from_str(include_str!("../../assets/cautions.toml"))
        .expect("the cautions are built in, and all are read in the tests")
});

/// Every caution, in the order in which they are shown and printed.
pub fn all() -> &'static [Caution] {
    &TABLE.caution
}

/// A word as short as this may be part of another one.
const SHORT: usize = 5;

/// The cautions of this moment.
pub fn at(when: When) -> impl Iterator<Item = &'static Caution> {
    all().iter().filter(move |caution| caution.when == when)
}

/// The cautions that a text calls for: what a fuse feeds, a part's name, a note. What matters to the
/// whole car and hurts nobody at one fuse is not among them.
pub fn called_for(text: &str) -> Vec<&'static Caution> {
    let mut called = called_by(text);
    called.retain(|caution| !caution.when.is_of_the_car());
    called
}

fn called_by(text: &str) -> Vec<&'static Caution> {
    let text = text.to_lowercase();
    let alone = |word: &str| {
        let mut words = text.split(|c: char| !c.is_alphanumeric());
        words.any(|other| other == word)
    };
    let calls = |word: &str| {
        if word.len() <= SHORT && !word.contains('-') {
            alone(word)
        } else {
            text.contains(word)
        }
    };
    let words = |when| TABLE.called_by.get(&when).into_iter().flatten();
    let called = |caution: &&Caution| words(caution.when).any(|word| calls(word));
    all().iter().filter(called).collect()
}

/// The cautions before this fuse is pulled: by what it feeds, then those of every pull.
pub fn before_pull(circuit: &Circuit) -> Vec<&'static Caution> {
    let mut cautions = called_for(&circuit.feeds.join("; "));
    cautions.extend(at(When::Pull));
    cautions
}

/// The cautions that the card itself calls for: a car of high voltage, an alarm in the notes, what
/// its powertrain and its batteries bring.
pub fn of_card(card: &Card) -> Vec<&'static Caution> {
    let said = [&card.car, &card.complaint, &card.notes, &card.work];
    let said: Vec<&str> = said.into_iter().flatten().map(String::as_str).collect();
    let mut whens: Vec<When> = called_by(&said.join("; "))
        .iter()
        .map(|caution| caution.when)
        .collect();
    let kind = card.battery.map(|battery| battery.kind);
    let is_managed = matches!(kind, Some(BatteryKind::Agm | BatteryKind::Efb));
    match card.powertrain {
        Some(Powertrain::Hybrid | Powertrain::Electric) => whens.push(When::HighVoltage),
        Some(Powertrain::StartStop) => {
            whens.extend([When::BatterySwap, When::SecondBattery]);
        }
        Some(Powertrain::Combustion) | None => {}
    }
    whens.extend(is_managed.then_some(When::BatterySwap));
    let second = card.second_battery.is_some();
    whens.extend(second.then_some(When::SecondBattery));
    // Every map has an airbag and most an alarm: those are said at their fuse.
    let calls_home = card.fuses.iter().flatten().any(|fuse| {
        let called = called_by(&fuse.feeds.join("; "));
        called.iter().any(|caution| caution.when == When::CallsHome)
    });
    whens.extend(calls_home.then_some(When::CallsHome));
    let called = |caution: &&Caution| whens.contains(&caution.when);
    all().iter().filter(called).collect()
}

/// The same with what was done: a new battery brings its own.
pub fn of_job(session: &Session) -> Vec<&'static Caution> {
    let of_battery = has_new_battery(session);
    let of_card = of_card(session.card());
    let called = |caution: &&Caution| {
        of_card.contains(caution) || of_battery && caution.when == When::BatterySwap
    };
    all().iter().filter(called).collect()
}

/// Those of them for a sheet of paper: what was not done needs none any more.
pub fn of_work(session: &Session) -> Vec<&'static Caution> {
    let of_battery = has_new_battery(session);
    let matters = |caution: &&Caution| of_battery || caution.when != When::BatterySwap;
    of_job(session).into_iter().filter(matters).collect()
}

fn has_new_battery(session: &Session) -> bool {
    let mut fitted = session.done(Did::Swap).flat_map(|placed| &placed.mark.what);
    fitted.any(|part| is_battery(part))
}

/// Whether a part is the battery, by its name.
pub fn is_battery(part: &str) -> bool {
    part.to_lowercase().contains("battery")
}

/// Every caution for the end of a sheet of paper: one line a moment, and what goes before all. Those
/// that hang on the car stand there where they are among the ones `called` for.
pub fn on_paper(called: &[&Caution]) -> Vec<String> {
    let matters = |caution: &&Caution| !caution.when.is_of_the_car() || called.contains(caution);
    let shown: Vec<&Caution> = all().iter().filter(matters).collect();
    let moments = shown.chunk_by(|one, next| one.when == next.when);
    let lines = moments.map(|cautions| {
        let moment = cautions.first().map_or("", |caution| caution.when.word());
        let texts = cautions.iter().map(|caution| {
            // The first line defers to makers and manuals for all of them.
            let deferred = [MAKER, METER].contains(&caution.deferral);
            let said = if deferred {
                caution.text.to_owned()
            } else {
                caution.line()
            };
            capitalised(&said)
        });
        let said = texts.collect::<Vec<_>>().join(". ");
        if said.starts_with(moment) {
            format!("{said}.")
        } else {
            format!("{moment}: {said}.")
        }
    });
    let first =
        "The maker's data, local rules and licensed practice go before anything on this sheet.";
    [first.to_owned()].into_iter().chain(lines).collect()
}

impl Caution {
    /// In one line, the deferral behind it.
    pub fn line(&self) -> String {
        format!("{} ({})", self.text, self.deferral)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reading::Elapsed;
    use crate::session::entry::{Entry, Fact, Header};
    use crate::session::mark::{MarkId, parse_mark};

    fn whens(cautions: &[&Caution]) -> Vec<When> {
        let mut whens: Vec<When> = cautions.iter().map(|caution| caution.when).collect();
        whens.dedup();
        whens
    }

    #[test]
    fn every_moment_has_a_caution_and_every_caution_defers() {
        for when in [
            When::Connect,
            When::Unlock,
            When::Pull,
            When::MeterJack,
            When::Charge,
            When::Restraint,
            When::HighVoltage,
            When::OwnBattery,
            When::BatterySwap,
            When::SecondBattery,
            When::CallsHome,
        ] {
            assert!(at(when).next().is_some(), "{when:?}");
        }
        for caution in all() {
            assert!(caution.deferral.len() > 10, "{caution:?}");
            assert!(!caution.line().contains("  "), "{}", caution.line());
        }
    }

    #[test]
    fn a_sheet_of_paper_has_each_caution_once() {
        let card = Card {
            powertrain: Some(Powertrain::StartStop),
            notes: Some("a tracker behind the radio".into()),
            ..Card::default()
        };
        let lines = on_paper(&of_card(&card));
        for caution in all() {
            let found = lines
                .iter()
                .filter(|line| line.contains(&capitalised(caution.text)));
            assert_eq!(found.count(), 1, "{caution:?}");
        }
        assert!(
            lines
                .iter()
                .any(|line| line.contains("by hands licensed for it"))
        );
        // Eleven moments and what goes before them all; eight of every car.
        assert_eq!([lines.len(), on_paper(&[]).len()], [12, 9]);
    }

    #[test]
    fn a_circuit_is_known_by_what_it_feeds() {
        for (text, when) in [
            ("Airbag control unit", When::Restraint),
            ("SRS", When::Restraint),
            ("occupant restraint module", When::Restraint),
            ("HV contactor", When::HighVoltage),
            ("DC-DC converter", When::HighVoltage),
            ("Alarm control", When::OwnBattery),
        ] {
            assert_eq!(whens(&called_for(text)), [when], "{text}");
        }
        for text in [
            "map light",
            "recall",
            "HVAC blower",
            "head unit",
            "",
            "srsly",
        ] {
            assert!(called_for(text).is_empty(), "{text}");
        }
    }

    #[test]
    fn a_pull_warns_of_the_circuit_first() {
        let circuit: Circuit =
            serde_json::from_str(r#"{"label":"D5","feeds":["airbag","emergency call"]}"#).unwrap();
        assert_eq!(
            whens(&before_pull(&circuit)),
            [When::Restraint, When::OwnBattery, When::Pull]
        );
    }

    #[test]
    fn a_hybrid_is_known_from_its_card() {
        let card = Card {
            car: Some("job 12, plug-in hybrid".into()),
            ..Card::default()
        };
        assert_eq!(whens(&of_card(&card)), [When::HighVoltage]);
        assert!(of_card(&Card::default()).is_empty());
    }

    #[test]
    fn powertrain_and_batteries_bring_their_cautions() {
        let of = |set: &dyn Fn(&mut Card)| {
            let mut card = Card::default();
            set(&mut card);
            whens(&of_card(&card))
        };
        let driven = |kind| of(&|card: &mut Card| card.powertrain = Some(kind));
        assert_eq!(driven(Powertrain::Combustion), []);
        assert_eq!(driven(Powertrain::Hybrid), [When::HighVoltage]);
        assert_eq!(driven(Powertrain::Electric), [When::HighVoltage]);
        let both = [When::BatterySwap, When::SecondBattery];
        assert_eq!(driven(Powertrain::StartStop), both);
        let battery = |text: &str| of(&|card: &mut Card| card.battery = text.parse().ok());
        assert_eq!(battery("agm,70Ah"), [When::BatterySwap]);
        assert_eq!(battery("flooded,70Ah"), []);
        let second = of(&|card: &mut Card| card.second_battery = Some("boot".into()));
        assert_eq!(second, [When::SecondBattery]);
    }

    #[test]
    fn a_new_battery_brings_its_caution() {
        for (cell, expected) in [
            ("swap Battery", vec![When::BatterySwap]),
            ("swap latch switch", Vec::new()),
            ("unplug battery", Vec::new()),
        ] {
            let mut session = Session::new(Header::default());
            let mark = parse_mark(MarkId(1), cell).unwrap();
            session.apply(&Entry {
                t: Elapsed::ZERO,
                fact: Fact::Mark(Box::new(mark)),
            });
            assert_eq!(whens(&of_job(&session)), expected, "{cell}");
        }
    }

    /// Of a fuse map only what calls home: an airbag is in every one.
    #[test]
    fn a_map_tells_what_calls_home_and_no_more() {
        let map =
            r#"[{"label":"D5","feeds":["airbag"]},{"label":"D6","feeds":["telematics unit"]}]"#;
        let card = Card {
            fuses: serde_json::from_str(map).ok(),
            ..Card::default()
        };
        assert!(card.fuses.is_some());
        assert_eq!(whens(&of_card(&card)), [When::CallsHome]);
    }
}
