//! The card from a TOML file and the flags, flags first.

use std::fs;
use std::path::Path;
use std::str::FromStr;

use anyhow::{Context, Result, anyhow, bail};
use toml::{Table, Value};

use super::flags::{self, CardFlags};
use crate::battery::capacity;
use crate::fuse::map::{self, Circuit};
use crate::reading::amount;
use crate::session::card::Card;
use crate::session::typed;

/// The fields a card file may have: each as the session file names it, and those with a unit
/// also as text, under the name of their flag.
const FIELDS: [&str; 29] = [
    "car",
    "complaint",
    "flat_after",
    "flat_after_s",
    "standing",
    "required_standing_s",
    "limit",
    "limit_a",
    "sleep_timeout",
    "sleep_timeout_s",
    "accuracy",
    "clamp",
    "clamp_mv_per_a",
    "shunt",
    "shunt_mohm",
    "turns",
    "probe_accuracy",
    "drift",
    "drift_a_per_h",
    "battery",
    "rest",
    "meter",
    "key_count",
    "technician",
    "plate",
    "odometer",
    "battery_test",
    "notes",
    "asleep_at_start",
];

/// What the flags say, on top of what the card file says.
///
/// # Errors
/// When the card file cannot be read or used.
pub fn card(flags: &CardFlags) -> Result<Card> {
    let mut card = match &flags.card {
        Some(path) => read(path).with_context(|| path.display().to_string())?,
        None => Card::default(),
    };
    card.merge(&Card {
        car: flags.car.clone(),
        limit_a: flags.limit,
        sleep_timeout_s: flags.sleep_timeout,
        accuracy: flags.accuracy,
        clamp_mv_per_a: flags.clamp,
        shunt_mohm: flags.shunt,
        turns: flags.turns,
        probe_accuracy: flags.probe_accuracy,
        drift_a_per_h: flags.drift,
        battery: flags.battery,
        asleep_at_start: flags.asleep_at_start.then_some(true),
        fuses: flags.fuses.as_deref().map(fuses).transpose()?,
        ..flags.job.card()
    });
    expect_one_probe(&card)?;
    if let Some(battery) = &card.battery {
        capacity::check(battery).context("battery")?;
    }
    Ok(card)
}

/// File and flags together must not say two things at once.
fn expect_one_probe(card: &Card) -> Result<()> {
    if card.shunt_mohm.is_some() && (card.clamp_mv_per_a.is_some() || card.turns.is_some()) {
        bail!("the card has a shunt and a clamp or turns: expected one of them");
    }
    Ok(())
}

/// The fuse map in this file.
///
/// # Errors
/// When it cannot be read or is no fuse map.
pub fn fuses(path: &Path) -> Result<Vec<Circuit>> {
    let place = || path.display().to_string();
    let bytes = fs::read(path).with_context(place)?;
    map::read(&bytes).with_context(place)
}

fn read(path: &Path) -> Result<Card> {
    parse(&fs::read_to_string(path)?)
}

/// The card that the text of a card file says.
///
/// # Errors
/// What in it cannot be used, and what is expected.
pub fn parse(text: &str) -> Result<Card> {
    let mut table: Table = text
        .parse()
        .map_err(|error: toml::de::Error| anyhow!("{}", one_line(text, &error)))?;
    if let Some(unknown) = table.keys().find(|key| !FIELDS.contains(&key.as_str())) {
        bail!("a card has no '{unknown}': expected {}", FIELDS.join(", "));
    }
    let typed = typed_fields(&mut table)?;
    let mut card: Card = Value::Table(table).try_into()?;
    card.merge(&typed);
    if let Some(odd) = card.clone().take_odd().first() {
        bail!("{odd}");
    }
    Ok(card)
}

/// The fields written with their units, taken out of the table.
fn typed_fields(table: &mut Table) -> Result<Card> {
    let mut typed = Card::default();
    if let Some(text) = take_text(table, "limit")? {
        typed.limit_a = Some(flags::limit_a(&text)?);
    }
    for (key, slot) in [
        ("sleep_timeout", &mut typed.sleep_timeout_s),
        ("flat_after", &mut typed.flat_after_s),
        ("standing", &mut typed.required_standing_s),
    ] {
        if let Some(text) = take_text(table, key)? {
            *slot = Some(amount::time_s(&text)?);
        }
    }
    if let Some(text) = take_text(table, "drift")? {
        typed.drift_a_per_h = Some(typed::drift_a_per_h(&text)?);
    }
    if let Some(text) = take_text(table, "clamp")? {
        typed.clamp_mv_per_a = Some(typed::clamp_mv_per_a(&text)?);
    }
    if let Some(text) = take_text(table, "shunt")? {
        typed.shunt_mohm = Some(typed::shunt_mohm(&text)?);
    }
    if matches!(table.get("probe_accuracy"), Some(Value::String(_))) {
        typed.probe_accuracy = take_text(table, "probe_accuracy")?
            .map(|text| typed::percent(&text))
            .transpose()?;
    }
    typed.accuracy = take_parsed(table, "accuracy")?;
    typed.battery = take_parsed(table, "battery")?;
    typed.rest = take_parsed(table, "rest")?;
    Ok(typed)
}

/// A field that may be text, as its flag has it, or a table, as the session file has it: only
/// text is taken.
fn take_parsed<T>(table: &mut Table, key: &str) -> Result<Option<T>>
where
    T: FromStr<Err = amount::AmountError>,
{
    let Some(Value::String(_)) = table.get(key) else {
        return Ok(None);
    };
    let text = take_text(table, key)?;
    Ok(text.map(|text| text.parse()).transpose()?)
}

fn take_text(table: &mut Table, key: &str) -> Result<Option<String>> {
    match table.remove(key) {
        None => Ok(None),
        Some(Value::String(text)) => Ok(Some(text)),
        Some(other) => bail!("{key} = {other}: expected text with a unit, as in \"50mA\""),
    }
}

/// TOML's own errors draw a picture over several lines; one line with the place is enough.
fn one_line(text: &str, error: &toml::de::Error) -> String {
    let place = error
        .span()
        .and_then(|span| text.get(..span.start))
        .map(|before| format!("line {}: ", before.matches('\n').count() + 1));
    format!("{}{}", place.unwrap_or_default(), error.message().trim())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::card::{Accuracy, BatteryKind};

    #[test]
    fn a_card_may_be_written_with_units() {
        let card = parse(
            "car = \"job 12\"\nlimit = \"50mA\"\nsleep_timeout = \"30m\"\n\
             accuracy = \"1.0%+3\"\nbattery = \"agm,70Ah\"\nflat_after = \"12h\"\n\
             standing = \"21d\"\nrest = \"12.4V,4h,10C\"\nkey_count = 2\n\
             clamp = \"100mV/A\"\nturns = 5\nprobe_accuracy = \"1%\"\n",
        )
        .unwrap();
        assert_eq!(card.limit_a, Some(0.05));
        assert_eq!(card.sleep_timeout_s, Some(1800.0));
        assert_eq!(card.battery.unwrap().kind, BatteryKind::Agm);
        assert_eq!(card.flat_after_s, Some(43_200.0));
        assert_eq!(card.required_standing_s, Some(1_814_400.0));
        assert_eq!(card.rest.unwrap().temperature_c, Some(10.0));
        assert_eq!(card.key_count, Some(2));
        assert_eq!((card.clamp_mv_per_a, card.turns), (Some(100.0), Some(5.0)));
        assert_eq!(card.probe_accuracy, Some(1.0));
    }

    #[test]
    fn a_card_may_be_written_as_the_session_file_has_it() {
        let full = Card {
            car: Some("job 12".into()),
            complaint: Some("flat on Monday".into()),
            limit_a: Some(0.05),
            sleep_timeout_s: Some(1800.0),
            accuracy: Some(Accuracy {
                percent: 1.0,
                counts: 3.0,
                amount_a: 0.0,
            }),
            clamp_mv_per_a: Some(100.0),
            shunt_mohm: None,
            turns: Some(5.0),
            probe_accuracy: Some(1.0),
            drift_a_per_h: Some(0.005),
            battery: "agm,70Ah,760A-EN".parse().ok(),
            flat_after_s: Some(43_200.0),
            required_standing_s: Some(1_814_400.0),
            rest: "12.4V,4h,10C".parse().ok(),
            meter: Some("bench meter, checked in May".into()),
            key_count: Some(2),
            technician: Some("bay 3".into()),
            plate: Some("AB 12 CDE".into()),
            odometer: Some("84120 km".into()),
            battery_test: Some("640 A of 760 A-EN, good".into()),
            notes: Some("tow bar fitted last year".into()),
            asleep_at_start: Some(true),
            fuses: None,
        };
        let text = toml::to_string(&full).unwrap();
        assert_eq!(parse(&text).unwrap(), full);
    }

    #[test]
    fn a_mistyped_field_is_named_and_never_passed_over() {
        for (text, named) in [
            ("limt_a = 0.05", "limt_a"),
            ("limit = 50", "limit = 50"),
            ("limit = \"fifty\"", "'fifty'"),
            ("clamp = \"100\"", "100mV/A"),
            ("shunt_mohm = 0", "above zero"),
            ("probe_accuracy = 200", "0 to 100"),
            ("limit_a = nan", "at most 2 A"),
            ("limit_a = 50", "at most 2 A"),
            ("limit = \"50\"", "at most 2 A"),
            ("sleep_timeout_s = -1", "zero or more"),
            ("rest = \"1240\"", "12.4V,4h,10C"),
            ("standing = 21", "standing = 21"),
            ("[rest]\nvolts = 1240", "6 to 16"),
            ("[battery]\nkind = \"agm\"\nc20_ah = -70", "above zero"),
            ("key_count = \"two\"", "key_count"),
            ("\n\nlimit_a = \"x", "line 3"),
            ("\nsleep_timeout_s = true", "sleep_timeout_s"),
        ] {
            let refused = parse(text).unwrap_err().to_string();
            assert!(refused.contains(named), "{text:?}: {refused}");
        }
    }

    #[test]
    fn a_shunt_and_turns_exclude_each_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.toml");
        fs::write(&path, "shunt = \"0.75mohm\"").unwrap();
        let flags = CardFlags {
            card: Some(path),
            turns: Some(5.0),
            ..CardFlags::default()
        };
        let refused = card(&flags).unwrap_err().to_string();
        assert!(refused.contains("expected one of them"), "{refused}");
    }

    #[test]
    fn a_flag_goes_before_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.toml");
        fs::write(&path, "limit = \"30mA\"\ncar = \"job 12\"").unwrap();
        let flags = CardFlags {
            card: Some(path),
            limit: Some(0.05),
            ..CardFlags::default()
        };
        let card = card(&flags).unwrap();
        assert_eq!(card.limit_a, Some(0.05));
        assert_eq!(card.car.as_deref(), Some("job 12"));
    }
}
