//! What was typed at a question, read: how long ago, a reading, the name of a file.

use std::path::{Path, PathBuf};

use chrono::NaiveTime;

use super::prompt::Answer;
use super::typing::{JACK_MAX_A, Typed, Unit};
use crate::reading::{Amps, Elapsed, Measured, amount};
use crate::session::card::Field;
use crate::session::export_kind::{ENDINGS, ExportKind};

/// Splits `D5 @40s`, or `D5 40s ago`, into the text and how long ago, in seconds. In a note, an `@` that is no time
/// belongs to the words.
pub(super) fn late(
    text: &str,
    is_note: bool,
    of_day: Option<NaiveTime>,
) -> Result<(&str, Option<f64>), String> {
    let text = text.trim();
    // `@` is hard to reach on some keyboards.
    let spoken = text.strip_suffix(" ago").map(|said| {
        let parted = said.rsplit_once(' ');
        parted.unwrap_or(("", said))
    });
    let Some((body, ago)) = text.rsplit_once('@').or(spoken) else {
        return Ok((text, None));
    };
    let by_clock = of_day.and_then(|now| since_s(ago, now)).map(Ok);
    match by_clock.unwrap_or_else(|| amount::time_s(ago)) {
        // One `@` stands in the prompt already, and people type it all the same.
        Ok(ago_s) => Ok((body.trim_end_matches('@').trim_end(), Some(ago_s))),
        Err(_) if is_note => Ok((text, None)),
        Err(_) => Err(format!("'@{ago}' is no time: expected @40s, @2m or @14:02")),
    }
}

/// How long ago the clock showed `text` last, in seconds, when it shows `now`.
fn since_s(text: &str, now: NaiveTime) -> Option<f64> {
    let read = |format| NaiveTime::parse_from_str(text.trim(), format).ok();
    let then = read("%H:%M").or_else(|| read("%H:%M:%S"))?;
    let ago = (now - then).as_seconds_f64();
    Some(ago.rem_euclid(24.0 * 3600.0))
}

/// A moment of the session that ends `now`: `0:12:05`, `12:05`, `@40s` ago, or `@14:02` by the clock.
pub(super) fn moment(
    text: &str,
    now: Elapsed,
    of_day: Option<NaiveTime>,
) -> Result<Elapsed, String> {
    let unclear = || format!("'{text}' is no moment: expected 0:12:05, @40s or @14:02");
    let at = if let Some(ago) = text.strip_prefix('@') {
        let by_clock = of_day.and_then(|now| since_s(ago, now)).map(Ok);
        let ago_s = by_clock.unwrap_or_else(|| amount::time_s(ago));
        now.plus_secs(-ago_s.map_err(|_| unclear())?)
    } else {
        Elapsed::from_secs(amount::moment_s(text).map_err(|_| unclear())?)
    };
    if at > now {
        return Err(format!("{text} has not come yet"));
    }
    if at < Elapsed::ZERO {
        return Err(format!("{text} is before the session began"));
    }
    Ok(at)
}

/// A stretch of the session that ends `now`: two moments, or one that lasts until now.
pub(super) fn stretch(
    text: &str,
    now: Elapsed,
    of_day: Option<NaiveTime>,
) -> Result<(Elapsed, Elapsed), String> {
    if text.trim().is_empty() {
        return Err("type from when to when, as in 0:10:41 to 0:10:52 or @5m to @2m".into());
    }
    let (from, to) = text.split_once(" to ").unwrap_or((text, "@0s"));
    let [from, to] = [from, to].map(|one| moment(one.trim(), now, of_day));
    // Whole seconds, as they are read and written: no door is shut to the millisecond.
    let (from, to) = (from?.secs().floor(), to?.secs().ceil());
    if from < to {
        Ok((Elapsed::from_secs(from), Elapsed::from_secs(to)))
    } else {
        Err("the stretch ends before it begins".into())
    }
}

/// How long something takes, in seconds.
pub(super) fn span_s(text: &str) -> Result<f64, String> {
    amount::time_s(text).map_err(|_| format!("'{}' is no time: expected 20s or 1m", text.trim()))
}

/// Reads what a meter shows, keeping every typed place: `52.0m` has a resolution of 0.1 mA. Without a
/// unit it is in that of the last one.
pub(super) fn reading(text: &str, unit: Unit) -> Result<Typed, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("type it as it stands on the meter: 43m, 43 mA or 0.043".into());
    }
    if ["ol", "over", "inf"].contains(&text.to_lowercase().as_str()) {
        return Ok(Typed {
            value: Measured::Over,
            exponent: None,
            is_bare: false,
        });
    }
    let a = amount::current_a(text).map_err(|error| error.to_string())?;
    let text = &text.replace(',', ".");
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
        .unwrap_or(text.len());
    let (number, suffix) = text.split_at_checked(end).unwrap_or((text, ""));
    let exponent = match suffix.trim().chars().next() {
        Some('m') => -3,
        Some('u' | '\u{b5}' | '\u{3bc}') => -6,
        Some(_) if a.abs() > JACK_MAX_A => {
            return Err(format!(
                "{a} A? No handheld meter shows that: type {number}m for mA"
            ));
        }
        Some(_) => 0,
        None => unit.of_bare(a),
    };
    let value = Amps::parse_in(number, exponent).map_err(|error| error.to_string())?;
    Ok(Typed {
        value: Measured::Amps(value),
        exponent: Some(exponent),
        is_bare: suffix.trim().is_empty(),
    })
}

/// Reads a field of the card; a file is named and read by whoever may.
pub(super) fn field(field: &Field, text: &str) -> Result<Answer, String> {
    if text.is_empty() {
        return Ok(Answer::Unchanged);
    }
    if field.is_file() {
        return Ok(Answer::Map(PathBuf::from(text)));
    }
    let change = field.read(text).map_err(|error| error.to_string())?;
    Ok(Answer::Field(Box::new(change)))
}

/// Reads the name of a new session file.
pub(super) fn elsewhere(name: &str) -> Result<PathBuf, String> {
    if name.is_empty() {
        return Err("type a new file's name, as in /media/stick/hunt.lull".into());
    }
    let path = PathBuf::from(name);
    Ok(match path.extension() {
        Some(_) => path,
        None => path.with_extension("lull"),
    })
}

pub(super) fn export(name: &str) -> Result<PathBuf, String> {
    let path = Path::new(name);
    match ExportKind::of(path) {
        Some(_) => Ok(path.to_owned()),
        None => Err(format!("'{name}' must end in {ENDINGS}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_places_are_the_resolution() {
        let in_unit = |text, exponent| {
            let last_a = None;
            match reading(text, Unit { exponent, last_a }).map(|typed| typed.value) {
                Ok(Measured::Amps(amps)) => amps.to_string(),
                Ok(Measured::Over) => "over".into(),
                Err(error) => error,
            }
        };
        let places = |text| in_unit(text, None);
        assert_eq!(places("0.0680"), "0.0680");
        assert_eq!(places("52m"), "0.052");
        assert_eq!(places("68.0 mA"), "0.0680");
        assert_eq!(places("OL"), "over");
        assert!(places("fifty").contains("'fifty' is not a current"));
        assert!(places("43A").contains("type 43m for mA"));
        // A bare number: as the display was read last.
        assert_eq!(places("43.0"), "0.0430");
        assert_eq!(in_unit("9,5", Some(-3)), "0.0095");
        assert_eq!(in_unit("1.46", Some(0)), "1.46");
    }

    #[test]
    fn an_export_needs_a_known_ending() {
        assert!(export("car.csv").is_ok() && export("car.HTML").is_ok());
        assert!(export("car.htm").is_ok());
        assert!(export("car.xls").unwrap_err().contains(".json"));
        assert!(export("").is_err());
    }
}
