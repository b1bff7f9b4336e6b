//! The card from a TOML file, flags or typed fields; flags go before the file.

use std::path::Path;

use anyhow::{Context, Result, bail};
use toml::{Table, Value};

use super::files::bounded;
use super::flags::CardFlags;
use super::toml_line;
use crate::battery::capacity;
use crate::fuse::map::{self, Circuit};
use crate::session::card::{Card, FIELDS, Field};

/// What the flags say, on top of what the card file says.
///
/// # Errors
/// When the card file cannot be read or used.
pub fn card(flags: &CardFlags) -> Result<Card> {
    let mut card = match &flags.file {
        Some(path) => read(path).with_context(|| path.display().to_string())?,
        None => Card::default(),
    };
    card.merge(&flags.said);
    if let Some(path) = &flags.fuses {
        card.fuses = Some(fuses(path)?);
    }
    expect_whole(&card)?;
    Ok(card)
}

/// The card of fields as they were typed; for the fuse map its file was.
///
/// # Errors
/// What cannot be used, and what is expected.
pub fn typed<'a>(fields: impl IntoIterator<Item = (&'static Field, &'a str)>) -> Result<Card> {
    let mut card = Card::default();
    for (field, text) in fields {
        if field.is_file() {
            card.fuses = Some(fuses(Path::new(text))?);
        } else {
            card.merge(&field.read(text)?);
        }
    }
    expect_whole(&card)?;
    Ok(card)
}

/// Two fields together must not say what each alone may.
fn expect_whole(card: &Card) -> Result<()> {
    if let Some((one, other)) = card.clash() {
        bail!(
            "the card has {} and {}: expected one of them",
            one.label,
            other.label
        );
    }
    card.battery
        .map_or(Ok(()), |battery| capacity::check(&battery))
        .context("battery")
}

/// The fuse map in this file.
///
/// # Errors
/// When it cannot be read or is no fuse map.
pub fn fuses(path: &Path) -> Result<Vec<Circuit>> {
    let place = || path.display().to_string();
    let bytes = bounded::small(path).with_context(place)?;
    map::read(&bytes).with_context(place)
}

fn read(path: &Path) -> Result<Card> {
    parse(&String::from_utf8(bounded::small(path)?)?)
}

/// The card that the text of a card file says: each field as people type it, under its key, or as
/// the session file has it.
///
/// # Errors
/// What in it cannot be used, and what is expected.
pub fn parse(text: &str) -> Result<Card> {
    let table: Table = text
        .parse()
        .map_err(|error| toml_line::refusal(text, &error))?;
    let mut typed = Card::default();
    let mut figures = Table::new();
    for (key, value) in table {
        let mut fields = FIELDS.iter().filter(|field| !field.is_file());
        let Some(field) = fields.find(|field| key == field.key || key == field.slot()) else {
            bail!("a card has no '{key}': expected {}", names().join(", "));
        };
        if let (Some(text), true) = (value.as_str(), key == field.key) {
            typed.merge(&field.read(text).context(key)?);
        } else if key == field.slot() {
            figures.insert(key, value);
        } else {
            bail!("{key} = {value}: expected text with a unit, as in \"50mA\"");
        }
    }
    let mut card: Card = Value::Table(figures).try_into()?;
    if let Some(figure) = card.take_out_of_bounds().first() {
        bail!("{figure}");
    }
    card.merge(&typed);
    Ok(card)
}

/// Every name that a card file may use.
fn names() -> Vec<&'static str> {
    let fields = FIELDS.iter().filter(|field| !field.is_file());
    let mut names: Vec<_> = fields.flat_map(|it| [it.key, it.slot()]).collect();
    names.dedup();
    names
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;
    use std::path::PathBuf;

    use crate::session::card::{Accuracy, BatteryKind, Powertrain};

    fn flags(file: PathBuf, key: &str, text: &str) -> CardFlags {
        let field = FIELDS.iter().find(|field| field.key == key).unwrap();
        CardFlags {
            file: Some(file),
            said: field.read(text).unwrap(),
            fuses: None,
        }
    }

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
            powertrain: Some(Powertrain::StartStop),
            second_battery: Some("in the boot".into()),
            workshop: Some("the yard".into()),
            customer: Some("the owner".into()),
            vin: Some("as on the car".into()),
            work: Some("switch fitted".into()),
            hours: Some("1.5 h".into()),
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
            ("[battery]\nkind = \"agm\"\nc20_ah = -70", "4 to 400"),
            ("key_count = \"two\"", "key_count"),
            ("\n\nlimit_a = \"x", "line 3"),
            ("\nsleep_timeout_s = true", "sleep_timeout_s"),
        ] {
            let refused = format!("{:#}", parse(text).unwrap_err());
            assert!(refused.contains(named), "{text:?}: {refused}");
        }
    }

    #[test]
    fn a_shunt_and_turns_exclude_each_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.toml");
        fs::write(&path, "shunt = \"0.75mohm\"").unwrap();
        let flags = flags(path, "turns", "5");
        let refused = card(&flags).unwrap_err().to_string();
        assert!(refused.contains("expected one of them"), "{refused}");
    }

    #[test]
    fn a_flag_goes_before_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("card.toml");
        fs::write(&path, "limit = \"30mA\"\ncar = \"job 12\"").unwrap();
        let flags = flags(path, "limit", "50mA");
        let card = card(&flags).unwrap();
        assert_eq!(card.limit_a, Some(0.05));
        assert_eq!(card.car.as_deref(), Some("job 12"));
    }
}
