//! Cautions, each with the moment at which it matters and with what goes before it: the maker's
//! data, licensed hands. Text only; who shows them decides where.

use super::card::Card;
use crate::fuse::map::Circuit;
use crate::reading::capitalised;
use crate::reading::named::named;

/// When a caution matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
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
    OwnBattery = "Alarm, emergency call",
});

/// One caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// When it matters.
    pub when: When,
    /// What to do, or leave.
    pub text: &'static str,
    /// What goes before it.
    pub deferral: &'static str,
}

const MAKER: &str = "the maker's procedure goes first";
const METER: &str = "the meter's manual goes first";

/// Every caution. Sources: workshop manuals and trade texts that were read, unless marked.
pub const ALL: [Caution; 16] = [
    // Four workshop manuals: keep the supply up while connecting, or the modules start anew.
    Caution {
        when: When::Connect,
        text: "never let the supply go: bridge the gap before the cable is lifted, or the modules \
               start anew and the wait with them",
        deferral: MAKER,
    },
    // Meter manuals; common practice.
    Caution {
        when: When::Connect,
        text: "never put an ammeter across the battery: it is a short circuit; the lead goes back \
               to the volt jack afterwards",
        deferral: METER,
    },
    // Workshop manuals and a battery page; restraint and memory: manuals of 2000 to 2012.
    Caution {
        when: When::Connect,
        text: "if it must be disconnected: negative off first and on last; note radio code, clock \
               and fault codes before",
        deferral: MAKER,
    },
    // A workshop manual: prove with a fused lead that no gross fault flows.
    Caution {
        when: When::Connect,
        text: "a 10 A fused lead first: if its fuse blows there is a gross fault, and no meter \
               belongs in its place",
        deferral: MAKER,
    },
    // Four workshop manuals; a lock's start takes about 20 A (one of them).
    Caution {
        when: When::Unlock,
        text: "bridge the meter first: a lock takes about 20 A, a starter hundreds; never crank, \
               switch on or open doors through a meter",
        deferral: METER,
    },
    // Common practice, no source.
    Caution {
        when: When::Pull,
        text: "the same rating goes back, never a larger fuse or a wire; hands clear of fans that \
               may start",
        deferral: MAKER,
    },
    // Five meter manuals: from 10 s in 15 min to 10 A continuous.
    Caution {
        when: When::MeterJack,
        text: "many 10 A jacks bear their full current for 10 to 30 s only, then minutes of rest: \
               a car awake may draw more than they bear",
        deferral: METER,
    },
    // Computed from published burden voltages; blown fuse reads zero: common practice.
    Caution {
        when: When::MeterJack,
        text: "stay on the 10 A jack until the car sleeps: on the mA jack a wake blows the meter's \
               fuse, which reads 0.000, starves the car and looks like success",
        deferral: METER,
    },
    // HSE and CCOHS pages on batteries.
    Caution {
        when: When::Charge,
        text: "a charging battery gives off hydrogen: air the place, no spark near it, connect \
               away from it; goggles and gloves on, rings and watch off",
        deferral: "the battery maker's data and local rules go first",
    },
    // A workshop manual.
    Caution {
        when: When::Charge,
        text: "never charge or load-test a frozen, swollen or leaking battery",
        deferral: "the battery maker's data and local rules go first",
    },
    // Trade texts and a bulletin: a bad battery looks like a drain.
    Caution {
        when: When::Charge,
        text: "test the battery itself before the hunt: a bad one looks like a drain",
        deferral: MAKER,
    },
    // Five workshop manuals 1996 to 2011: 10 s to 10 min.
    Caution {
        when: When::Restraint,
        text: "airbags and belt tensioners: read fault codes first, key off, wait the maker's time \
               after power-off (10 s to 10 min are published); no probing, no memory keeper",
        deferral: "only the maker's procedure, by hands licensed for it",
    },
    // An electric car's manual; never assume it dead: common practice.
    Caution {
        when: When::HighVoltage,
        text: "orange cables: never assume them dead; a charge of the 12 V battery may begin with \
               the car off and hides or fakes a draw",
        deferral: "only trained hands, by the maker's shut-down procedure",
    },
    // A parts maker's page on hybrid 12 V batteries.
    Caution {
        when: When::HighVoltage,
        text: "a hybrid's 12 V battery may bear only a small charge current and vents into the \
               cabin's hose",
        deferral: MAKER,
    },
    // Two alarm manuals: the siren sounds about 5 min.
    Caution {
        when: When::OwnBattery,
        text: "a siren with its own battery sounds for minutes when its supply goes: disarm it or \
               unplug it first",
        deferral: MAKER,
    },
    // Common practice, no source.
    Caution {
        when: When::OwnBattery,
        text: "an emergency call unit may call out when its supply goes",
        deferral: MAKER,
    },
];

/// Words in what a circuit feeds, and which caution they call for; common practice, no source. A
/// word of five letters or fewer counts only when it stands alone.
const WORDS: [(&str, When); 21] = [
    ("airbag", When::Restraint),
    ("air bag", When::Restraint),
    ("air-bag", When::Restraint),
    ("srs", When::Restraint),
    ("restraint", When::Restraint),
    ("pretensioner", When::Restraint),
    ("belt tensioner", When::Restraint),
    ("high voltage", When::HighVoltage),
    ("high-voltage", When::HighVoltage),
    ("hv", When::HighVoltage),
    ("hybrid", When::HighVoltage),
    ("traction battery", When::HighVoltage),
    ("electric car", When::HighVoltage),
    ("electric drive", When::HighVoltage),
    ("on-board charger", When::HighVoltage),
    ("dc-dc", When::HighVoltage),
    ("alarm", When::OwnBattery),
    ("siren", When::OwnBattery),
    ("emergency call", When::OwnBattery),
    ("ecall", When::OwnBattery),
    ("e-call", When::OwnBattery),
];

/// A word as short as this may be part of another one.
const SHORT: usize = 5;

/// The cautions of this moment.
pub fn at(when: When) -> impl Iterator<Item = &'static Caution> {
    ALL.iter().filter(move |caution| caution.when == when)
}

/// The cautions that a text calls for: what a fuse feeds, a part's name, a note.
pub fn called_for(text: &str) -> Vec<&'static Caution> {
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
    ALL.iter()
        .filter(|caution| {
            WORDS
                .iter()
                .any(|(word, when)| *when == caution.when && calls(word))
        })
        .collect()
}

/// The cautions before this fuse is pulled: by what it feeds, then those of every pull.
pub fn before_pull(circuit: &Circuit) -> Vec<&'static Caution> {
    let mut cautions = called_for(&circuit.feeds.join("; "));
    cautions.extend(at(When::Pull));
    cautions
}

/// The cautions that the card itself calls for: a car of high voltage, an alarm in the notes.
pub fn of_card(card: &Card) -> Vec<&'static Caution> {
    let said = [&card.car, &card.complaint, &card.notes];
    let said: Vec<&str> = said.into_iter().flatten().map(String::as_str).collect();
    called_for(&said.join("; "))
}

/// Every caution for the end of a sheet of paper: one line a moment, and what goes before all.
pub fn on_paper() -> Vec<String> {
    let moments = ALL.chunk_by(|one, next| one.when == next.when);
    let lines = moments.map(|cautions| {
        let moment = cautions.first().map_or("", |caution| caution.when.word());
        let texts = cautions.iter().map(|caution| {
            // The last line defers to makers and manuals for all of them.
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
    lines.chain([first.to_owned()]).collect()
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
        ] {
            assert!(at(when).next().is_some(), "{when:?}");
        }
        for caution in &ALL {
            assert!(caution.deferral.len() > 10, "{caution:?}");
            assert!(!caution.line().contains("  "), "{}", caution.line());
        }
    }

    #[test]
    fn a_sheet_of_paper_has_each_caution_once() {
        let lines = on_paper();
        for caution in &ALL {
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
        // Eight moments and what goes before them all.
        assert_eq!(lines.len(), 9);
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
}
