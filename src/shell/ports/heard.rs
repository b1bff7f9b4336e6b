//! What speaks on a serial port, found by listening: in words, as a meter URI, and settled before
//! a session begins when the URI names no format. Nothing is sent.

use std::io::{self, IsTerminal, Write};
use std::num::NonZeroU32;
use std::path::Path;

use anyhow::{Result, bail};

use super::listen::{self, PortHeard};
use crate::meter::Format;
use crate::meter::detect::{Detection, EACH_S, Recognised, Setting, Unrecognised};
use crate::meter::sample::shown;
use crate::meter::uri::{MeterUri, SerialLine, Wire};
use crate::reading::{Measured, number, quantity};
use crate::shell::warn;

/// The URI with what was heard, where it names a serial port but no format; any other as it is.
///
/// # Errors
/// When the port cannot be opened or goes away meanwhile, with the mend.
pub fn settled(uri: &MeterUri) -> Result<MeterUri> {
    let MeterUri::Serial(line) = uri else {
        return Ok(uri.clone());
    };
    let path = Path::new(&line.path);
    // Where there is no speed to find, the decoder listens by itself and loses no time.
    if line.wire != Wire::default() || !listen::has_speed(path) {
        return Ok(uri.clone());
    }
    let mut plan = listen::plan(path, line.baud.map(NonZeroU32::get));
    if line.rts {
        plan.retain(|setting| setting.rts);
    }
    let verdicts = counted_down(&[(path, plan)], EACH_S);
    let Some(verdict) = verdicts.first() else {
        return Ok(uri.clone());
    };
    let known = with(uri, &line.path, verdict)?;
    warn(&format!("{}: {}", line.path, in_words(path, verdict)));
    Ok(known)
}

/// The URI of the port at `path` with what was heard there.
fn with(uri: &MeterUri, path: &str, verdict: &PortHeard) -> Result<MeterUri> {
    Ok(match verdict {
        PortHeard::NotOpened(error) => return Err(error.clone().into()),
        PortHeard::Lost(why) => bail!("{path} went away while listening: {why}"),
        PortHeard::Heard(Detection::Recognised(heard)) => {
            on_line(path, heard.setting, Some(heard.format))
        }
        // What little was understood, was at this setting: the decoder listens on there.
        PortHeard::Heard(Detection::Unrecognised(heard)) if heard.guess.is_some() => {
            on_line(path, heard.setting, None)
        }
        PortHeard::Heard(Detection::Unrecognised(_) | Detection::Silent) => uri.clone(),
    })
}

/// Listens on all of them, with the seconds that are left on the terminal.
pub fn counted_down(ports: &[(&Path, Vec<Setting>)], each_s: f64) -> Vec<PortHeard> {
    let mut err = io::stderr().lock();
    let shown = err.is_terminal();
    let verdicts = listen::listen_all(ports, each_s, |left_s| {
        if shown {
            let left_s = number::round_to_usize(left_s.ceil());
            // Nobody misses a countdown.
            let _ = write!(
                err,
                "\r\x1b[Klistening, nothing is sent: about {left_s} s left"
            );
            let _ = err.flush();
        }
    });
    if shown {
        let _ = write!(err, "\r\x1b[K");
    }
    verdicts
}

/// What was heard on the port at `path`, how sure it is, and what to do.
pub fn in_words(path: &Path, verdict: &PortHeard) -> String {
    match verdict {
        PortHeard::Heard(Detection::Recognised(heard)) => recognised(path, heard),
        PortHeard::Heard(Detection::Unrecognised(heard)) => unrecognised(path, heard),
        PortHeard::Heard(Detection::Silent) => {
            "nothing was heard: is the meter on, and its data output switched on? A meter that \
             speaks only when asked is asked once its format is named: format=ascii14 or scpi. To \
             find out: 'lullboard meters --ask D PORT' or '--ask idn PORT', which say what they do"
                .into()
        }
        PortHeard::NotOpened(why) => why.to_string(),
        PortHeard::Lost(why) => format!("went away while listening: {why}"),
    }
}

fn recognised(path: &Path, heard: &Recognised) -> String {
    let Recognised {
        format,
        setting,
        messages,
        last,
    } = heard;
    let uri = uri_of(path, heard);
    format!(
        "{}{}, {messages} messages in a row, the last {}: does its display show the same? \
         --meter \"{uri}\"",
        format.name(),
        at(*setting),
        last_in_words(*last)
    )
}

/// The meter URI of what was recognised on the port at `path`.
pub fn uri_of(path: &Path, heard: &Recognised) -> MeterUri {
    on_line(&path.to_string_lossy(), heard.setting, Some(heard.format))
}

/// What the meter's display should be showing.
pub fn last_in_words(last: Option<Measured>) -> String {
    match last {
        Some(Measured::Amps(amps)) => quantity::shown(amps),
        Some(Measured::Over) => "over-range".into(),
        None => {
            "no live direct current (HOLD, AC, another quantity; DC volts count behind --clamp or \
                 --shunt)"
                .into()
        }
    }
}

fn unrecognised(path: &Path, heard: &Unrecognised) -> String {
    let sample = shown(&heard.sample);
    let place = at(heard.setting);
    match heard.guess {
        Some((format, messages)) => {
            let uri = on_line(&path.to_string_lossy(), heard.setting, Some(format));
            let messages = quantity::counted(messages, "message");
            format!(
                "not sure: {messages} of {} in a row{place}, too few or not the only meaning: \
                 {sample}. Compare with the meter's display: --meter \"{uri}\"",
                format.name()
            )
        }
        None => format!(
            "not recognised: {sample}{place}. Name the format if you know it (format=), or the \
             column, field or unit of text lines (column=, field=, unit=)"
        ),
    }
}

fn at(setting: Setting) -> String {
    let rts = if setting.rts { ", RTS on" } else { "" };
    match setting.baud {
        Some(baud) => format!(" at {baud} baud{rts}"),
        None => rts.to_owned(),
    }
}

fn on_line(path: &str, setting: Setting, format: Option<Format>) -> MeterUri {
    MeterUri::Serial(SerialLine {
        path: path.to_owned(),
        baud: setting.baud.and_then(NonZeroU32::new),
        rts: setting.rts,
        wire: Wire {
            format,
            ..Wire::default()
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::handheld::Handheld;
    use crate::reading::Amps;

    const LINE: Setting = Setting {
        baud: Some(2400),
        rts: true,
    };

    #[test]
    fn what_was_heard_is_said_with_how_sure_it_is_and_the_uri_to_use() {
        let sure = PortHeard::Heard(Detection::Recognised(Recognised {
            format: Format::Handheld(Handheld::Lcd14),
            setting: LINE,
            messages: 3,
            last: Some(Measured::Amps(Amps::parse("0.01234").unwrap())),
        }));
        assert_eq!(
            in_words(Path::new("/dev/ttyUSB0"), &sure),
            "lcd14 at 2400 baud, RTS on, 3 messages in a row, the last 12.34 mA: does its display \
             show the same? --meter \"serial:/dev/ttyUSB0?baud=2400&rts=on&format=lcd14\""
        );
        let unsure = |guess| {
            let heard = Unrecognised {
                setting: LINE,
                sample: vec![0xf8, 0x80],
                guess,
            };
            in_words(
                Path::new("COM3"),
                &PortHeard::Heard(Detection::Unrecognised(heard)),
            )
        };
        let few = unsure(Some((Format::Handheld(Handheld::Fs9922), 1)));
        assert!(few.starts_with("not sure: 1 message of fs9922"), "{few}");
        assert!(few.contains("format=fs9922"), "{few}");
        let none = unsure(None);
        assert!(none.starts_with("not recognised: F8 80 at 2400"), "{none}");
    }

    #[test]
    fn what_was_heard_is_in_the_uri_of_the_session_and_nothing_that_was_not() {
        let given: MeterUri = "serial:COM3".parse().unwrap();
        let after = |outcome| {
            let heard = PortHeard::Heard(outcome);
            with(&given, "COM3", &heard).unwrap().to_string()
        };
        let format = Format::Handheld(Handheld::Es11);
        let recognised = after(Detection::Recognised(Recognised {
            format,
            setting: LINE,
            messages: 3,
            last: None,
        }));
        assert_eq!(recognised, "serial:COM3?baud=2400&rts=on&format=es11");
        let unrecognised = |guess| {
            after(Detection::Unrecognised(Unrecognised {
                setting: LINE,
                sample: vec![0],
                guess,
            }))
        };
        let few = unrecognised(Some((format, 2)));
        assert_eq!(
            few, "serial:COM3?baud=2400&rts=on",
            "never a guessed format"
        );
        assert_eq!(unrecognised(None), "serial:COM3");
        assert_eq!(after(Detection::Silent), "serial:COM3");
        assert!(with(&given, "COM3", &PortHeard::Lost("gone".into())).is_err());
    }

    #[test]
    fn only_a_serial_port_without_a_format_is_listened_on_first() {
        for text in [
            "serial:/dev/no-such-port?format=text",
            "serial:/dev/no-such-port?unit=mA",
            "tcp:localhost:1",
            "pipe:-",
            "manual:",
        ] {
            let uri: MeterUri = text.parse().unwrap();
            assert_eq!(settled(&uri).unwrap(), uri);
        }
        let missing = "serial:/dev/no-such-port".parse().unwrap();
        let error = settled(&missing).unwrap_err().to_string();
        assert!(error.contains("there is no port"), "{error}");
    }
}
