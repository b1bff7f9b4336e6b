//! `meters --read`: what one meter says, live, until the user has seen enough. A register whose
//! type is not known is shown in every way at once, each with the URI that would read it so.

use std::io::{self, Write};

use anyhow::{Context, Result, bail};

use crate::meter::modbus::register::{Way, candidates};
use crate::meter::modbus::{Modbus, ModbusOptions};
use crate::meter::sample::shown;
use crate::meter::uri::{AskedMeter, MeterUri, SerialLine};
use crate::meter::{Answered, Expects, Heard, Talker, Unusable, Voltage};
use crate::reading::{Elapsed, Measured};
use crate::shell::clock::Clock;
use crate::shell::link::talk;
use crate::shell::ports::{self, OpenSource, Opened, is_nothing_yet};
use crate::shell::printed;

pub(super) fn run(uri: &MeterUri) -> Result<()> {
    let mut out = printed::out();
    match uri.wire().and_then(|wire| wire.ask.as_ref()) {
        Some(AskedMeter::Modbus(options)) if options.reading().is_err() => {
            let mut last = None;
            listen(uri, &mut Modbus::raw(options), &mut out, |talker, out| {
                let Some(bytes) = talker.take_raw() else {
                    return Ok(());
                };
                if last.as_ref() != Some(&bytes) {
                    show_ways(uri, options, &bytes, out)?;
                    last = Some(bytes);
                }
                Ok(())
            })?;
        }
        Some(_) | None => {
            let wire = uri.wire().cloned().unwrap_or_default();
            let mut talker = wire.talker(Expects::Amperes)?;
            listen(uri, talker.as_mut(), &mut out, |_, _| Ok(()))?;
        }
    }
    Ok(())
}

/// Talks until the connection is gone.
fn listen(
    uri: &MeterUri,
    talker: &mut dyn Talker,
    out: &mut impl Write,
    mut after: impl FnMut(&mut dyn Talker, &mut dyn Write) -> io::Result<()>,
) -> Result<()> {
    let OpenSource::Bytes { opened, opener } = ports::open_first(uri)? else {
        bail!("{uri}: cannot be read from here: expected serial:, tcp: or pipe:-");
    };
    let Opened { mut stream, .. } = opened;
    stream.discard_waiting();
    talker.join_midway();
    let clock = Clock::start(Elapsed::ZERO, 1.0);
    let mut heard = Vec::new();
    let mut trouble = String::new();
    let mut buffer = [0; 4096];
    loop {
        talk::say(stream.as_mut(), talker, clock.now(), &mut heard)
            .with_context(|| opener.loss())?;
        match stream.read(&mut buffer) {
            Ok(0) if opener.comes_back() => bail!("{}", opener.loss()),
            Ok(0) => return Ok(()),
            Ok(count) => {
                let bytes = buffer.get(..count).unwrap_or_default();
                talker.feed(clock.now(), bytes, &mut heard);
            }
            Err(error) if is_nothing_yet(&error) => {}
            Err(error) => return Err(error).context(opener.loss()),
        }
        for heard in heard.drain(..) {
            if let Some(words) = in_words(&heard) {
                // The same trouble again and again is said once.
                let again = matches!(heard, Heard::Trouble(_)) && trouble == words;
                if !again {
                    writeln!(out, "{words}")?;
                }
                trouble = words;
            }
        }
        after(talker, out)?;
        out.flush()?;
    }
}

/// What was heard, in the words of this command; `None` when there is nothing to say.
pub(super) fn in_words(heard: &Heard) -> Option<String> {
    Some(match heard {
        Heard::Value(Measured::Amps(amps)) => format!("{amps} A"),
        Heard::Value(Measured::Over) | Heard::Voltage(Voltage(Measured::Over)) => {
            "over-range".into()
        }
        Heard::Voltage(Voltage(Measured::Amps(volts))) => {
            format!("{volts} V: a current only behind --clamp or --shunt")
        }
        Heard::Unusable(Unusable::NoReading) => return None,
        Heard::Unusable(Unusable::Held) => "held".into(),
        Heard::Unusable(Unusable::Relative) => "relative mode".into(),
        Heard::Unusable(Unusable::Ac) => "alternating current".into(),
        Heard::Unusable(Unusable::OtherQuantity) => "another quantity".into(),
        Heard::Rejected(sample) => format!("not understood: {}", shown(sample)),
        Heard::Range(to) => format!("range {to}"),
        Heard::Unsure { bytes, why } => format!("not sure, {why}: {}", shown(bytes)),
        Heard::AutoPowerOff => "the meter will switch itself off".into(),
        Heard::LowCell => "the meter's own cell is low".into(),
        Heard::Trouble(what) => what.clone(),
    })
}

fn show_ways(
    uri: &MeterUri,
    options: &ModbusOptions,
    bytes: &[u8],
    out: &mut dyn Write,
) -> io::Result<()> {
    writeln!(
        out,
        "register {} of unit {} holds {}. Which line agrees with the meter's display? A whole \
         number may need scale= as well, as in scale=0.01mA",
        options.register,
        options.unit,
        shown(bytes)
    )?;
    for way in candidates(bytes, options.scale) {
        let value = match &way.value {
            Answered::Number(amps) => format!("{amps} A"),
            Answered::Over | Answered::Missing => "over-range".into(),
        };
        writeln!(out, "  {value:>20}  --meter \"{}\"", chosen(uri, &way))?;
    }
    Ok(())
}

/// The URI that reads the register in this way.
fn chosen(uri: &MeterUri, way: &Way) -> MeterUri {
    let mut uri = uri.clone();
    if let MeterUri::Serial(SerialLine { wire, .. }) | MeterUri::Tcp { wire, .. } = &mut uri
        && let Some(AskedMeter::Modbus(options)) = &mut wire.ask
    {
        options.kind = Some(way.kind);
        options.order = Some(way.order);
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_is_shown_with_the_uri_that_reads_it() {
        let uri: MeterUri = "serial:/dev/ttyUSB0?format=modbus&register=0"
            .parse()
            .unwrap();
        let Some(AskedMeter::Modbus(options)) = uri.wire().unwrap().ask.clone() else {
            panic!("{uri}")
        };
        let mut out = Vec::new();
        show_ways(&uri, &options, &[0x3c, 0x4a, 0x2d, 0xb6], &mut out).unwrap();
        let text = String::from_utf8(out).unwrap();
        let line = text
            .lines()
            .find(|line| line.contains("0.01234 A"))
            .unwrap();
        let (_, shown) = line.split_once("--meter \"").unwrap();
        let chosen: MeterUri = shown.trim_end_matches('"').parse().unwrap();
        assert!(
            chosen.wire().unwrap().talker(Expects::Amperes).is_ok(),
            "{line}"
        );
        assert!(line.contains("type=f32&order=abcd"), "{line}");
    }
}
