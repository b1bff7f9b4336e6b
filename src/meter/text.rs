//! Plain text lines: a number with a unit, a labelled line, a table column, a JSON field.
//!
//! The rule behind all rules: a line that could be read in two ways is not read at all.

mod clean;
mod figure;
mod json_line;
mod line_cutter;
mod naming;
mod plain;
mod text_table;
mod tokens;
mod unit;

use std::fmt;
use std::num::NonZeroUsize;
use std::str::FromStr;

pub use unit::{Unit, UnitError};

use self::line_cutter::{Cut, Lines};
use self::text_table::TextTable;
use super::{Decoder, Heard, Unusable, Voltage};
use crate::reading::Measured;

/// What the user said about the lines. The defaults read lines that name their own unit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TextOptions {
    /// The table column that holds the current.
    pub column: Option<Column>,
    /// The JSON field (a dotted path) or the label that holds the current.
    pub field: Option<String>,
    /// The unit of a number that comes without one.
    pub unit: Unit,
}

/// Names a column of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Column {
    /// By its place; the first is 1.
    Number(NonZeroUsize),
    /// By its heading, in any case of letters.
    Named(String),
}

/// A column that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("columns count from 1: expected a number from 1 on, or a heading")]
pub struct ColumnError;

impl FromStr for Column {
    type Err = ColumnError;

    fn from_str(text: &str) -> Result<Self, ColumnError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(ColumnError);
        }
        match text.parse::<usize>() {
            Ok(number) => NonZeroUsize::new(number)
                .map(Self::Number)
                .ok_or(ColumnError),
            Err(_) => Ok(Self::Named(text.to_owned())),
        }
    }
}

impl fmt::Display for Column {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number(number) => number.fmt(f),
            Self::Named(heading) => heading.fmt(f),
        }
    }
}

/// Reads plain text lines.
///
/// ```
/// use lullboard::meter::text::{TextDecoder, TextOptions};
/// use lullboard::meter::{Decoder, Heard};
/// use lullboard::reading::{Amps, Measured};
///
/// let mut decoder = TextDecoder::new(TextOptions::default());
/// let mut heard = Vec::new();
/// decoder.feed(b"12.3", &mut heard);
/// decoder.feed(b"40 mA\r\n", &mut heard);
/// let expected = Amps::parse("0.012340").unwrap();
/// assert_eq!(heard, [Heard::Value(Measured::Amps(expected))]);
/// ```
#[derive(Debug)]
pub struct TextDecoder {
    options: TextOptions,
    lines: Lines,
    table: TextTable,
    unit_seen: Option<Unit>,
    after_noise: bool,
}

impl TextDecoder {
    /// A decoder that has heard nothing yet.
    pub fn new(options: TextOptions) -> Self {
        Self {
            table: TextTable::new(options.column.clone()),
            options,
            lines: Lines::default(),
            unit_seen: None,
            after_noise: false,
        }
    }

    fn line(&mut self, bytes: &[u8], heard: &mut Vec<Heard>) {
        let Some(text) = clean::text(bytes) else {
            self.after_noise = true;
            heard.push(Heard::rejected(bytes));
            return;
        };
        let said = self.read(&text);
        let suspicious = self.after_noise && is_stump(&text);
        self.after_noise = false;
        if said.low_cell {
            heard.push(Heard::LowCell);
        }
        match said.what {
            LineMeaning::Garbled => heard.push(Heard::rejected(bytes)),
            LineMeaning::Unusable(why) => heard.push(Heard::Unusable(why)),
            LineMeaning::Value(..) if suspicious => heard.push(Heard::rejected(bytes)),
            // The unit of a monitor's bus voltage is no news beside its current's.
            LineMeaning::Value(measured, unit) if unit.is_voltage() => {
                heard.push(Heard::Voltage(Voltage(measured)));
            }
            LineMeaning::Value(measured, unit) => {
                let before = self.unit_seen.replace(unit);
                if before.is_some_and(|before| before != unit) {
                    heard.push(Heard::Range(unit.to_string()));
                }
                heard.push(Heard::Value(measured));
            }
        }
    }

    fn read(&mut self, text: &str) -> LineSaid {
        if text.is_empty() {
            return LineMeaning::NOTHING.into();
        }
        if self.options.column.is_none()
            && text.starts_with(['{', '['])
            && let Some(what) = json_line::read(text, &self.options)
        {
            return what.into();
        }
        self.table
            .read(text, self.options.unit)
            .unwrap_or_else(|| plain::read(text, &self.options))
    }
}

/// Bytes heard at the wrong speed can look like one short whole number now and then; a line
/// this bare is believed only when the line before it was text.
fn is_stump(text: &str) -> bool {
    text.len() <= 3 && text.bytes().all(|b| b.is_ascii_digit())
}

impl Decoder for TextDecoder {
    fn feed(&mut self, bytes: &[u8], heard: &mut Vec<Heard>) {
        for &byte in bytes {
            match self.lines.push(byte) {
                None => {}
                Some(Cut::Line(line)) => self.line(&line, heard),
                Some(Cut::TooLong) => heard.push(Heard::Unusable(Unusable::NoReading)),
                Some(Cut::Noise(bytes)) => {
                    self.after_noise = true;
                    heard.push(Heard::rejected(&bytes));
                }
            }
        }
    }

    fn reset(&mut self) {
        self.lines = Lines::default();
    }

    fn join_midway(&mut self) {
        self.lines.skip_to_line_end();
    }
}

/// What one line said.
#[derive(Clone, Debug, PartialEq)]
struct LineSaid {
    what: LineMeaning,
    low_cell: bool,
}

impl From<LineMeaning> for LineSaid {
    fn from(what: LineMeaning) -> Self {
        Self {
            what,
            low_cell: false,
        }
    }
}

/// The line's one meaning.
#[derive(Clone, Copy, Debug, PartialEq)]
enum LineMeaning {
    /// A current, or the voltage that stands for one, in the unit that it was written in.
    Value(Measured, Unit),
    Unusable(Unusable),
    /// Text, but more than one reading of it is possible, or none.
    Garbled,
}

impl LineMeaning {
    const NOTHING: Self = Self::Unusable(Unusable::NoReading);
    const AC: Self = Self::Unusable(Unusable::Ac);
    const OTHER: Self = Self::Unusable(Unusable::OtherQuantity);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::meter::sample::SAMPLE;
    use crate::reading::Amps;

    fn hear(options: &TextOptions, text: &str) -> Vec<Heard> {
        let mut heard = Vec::new();
        TextDecoder::new(options.clone()).feed(text.as_bytes(), &mut heard);
        heard
    }

    fn amps(text: &str) -> Heard {
        Heard::Value(Measured::Amps(Amps::parse(text).unwrap()))
    }

    fn volts(text: &str) -> Heard {
        Heard::Voltage(Voltage(Measured::Amps(Amps::parse(text).unwrap())))
    }

    fn plain(text: &str) -> Vec<Heard> {
        hear(&TextOptions::default(), text)
    }

    const NOTHING: Heard = Heard::Unusable(Unusable::NoReading);
    const OTHER: Heard = Heard::Unusable(Unusable::OtherQuantity);

    #[test]
    fn every_written_place_is_kept() {
        assert_eq!(plain("12.340 mA\n"), [amps("0.012340")]);
        assert_eq!(plain("I=0.0120 A\n"), [amps("0.0120")]);
        let json = "{\"current\":12.340,\"unit\":\"mA\"}\n";
        assert_eq!(plain(json), [amps("0.012340")]);
    }

    #[test]
    fn the_user_may_say_that_numbers_are_millivolts() {
        let unit = "mV".parse().unwrap();
        let options = TextOptions {
            unit,
            ..TextOptions::default()
        };
        assert_eq!(hear(&options, "4.20\n"), [volts("0.00420")]);
        let options = TextOptions {
            unit,
            field: Some("shunt".into()),
            ..TextOptions::default()
        };
        let json = "{\"shunt\":-0.15,\"bus\":12.6}\n";
        assert_eq!(hear(&options, json), [volts("-0.00015")]);
        assert_eq!(
            hear(&options, "Bus: 12.6 V, shunt: 2.5 mV\n"),
            [volts("0.0025")]
        );
        let options = TextOptions {
            unit,
            column: "2".parse().ok(),
            ..TextOptions::default()
        };
        assert_eq!(
            hear(&options, "t,voltage (mV)\n1,4.2\n"),
            [NOTHING, volts("0.0042")]
        );
        assert_eq!(plain("4.2 mV HOLD\n"), [Heard::Unusable(Unusable::Held)]);
        assert_eq!(plain("4.2 mV AC\n"), [Heard::Unusable(Unusable::Ac)]);
        assert_eq!(plain("1.2 mV 3.4 mV\n"), [OTHER]);
    }

    #[test]
    fn a_line_cut_by_a_hang_up_is_never_completed() {
        let mut decoder = TextDecoder::new(TextOptions::default());
        let mut heard = Vec::new();
        decoder.feed(b"12.34 mA\n12.", &mut heard);
        decoder.reset();
        decoder.feed(b"5 mA\n", &mut heard);
        assert_eq!(heard, [amps("0.01234"), amps("0.005")]);
    }

    #[test]
    fn the_tail_of_a_line_joined_midway_is_dropped() {
        let mut decoder = TextDecoder::new(TextOptions::default());
        let mut heard = Vec::new();
        decoder.join_midway();
        decoder.feed(b"2.34 mA\r\n12.35 mA\r\n", &mut heard);
        assert_eq!(heard, [amps("0.01235")]);
    }

    #[test]
    fn labelled_pairs_on_one_line_are_told_apart() {
        let expected = [amps("0.0123")];
        assert_eq!(plain("V=12.61 I=0.0123\n"), expected);
        assert_eq!(
            plain("voltage:12.61,current:0.0123,power:0.155\n"),
            expected
        );
        assert_eq!(plain("Bus: 12.61 V; Shunt: 12.3 mA\n"), expected);
        assert_eq!(plain("Current (mA): 12.3\n"), expected);
        assert_eq!(plain("CH1:0.0123 A\n"), expected);
        assert_eq!(plain("12:21:46 0.0123 A\n"), expected);
    }

    #[test]
    fn a_limit_or_a_maximum_is_no_live_reading() {
        assert_eq!(plain("USB limit: 500 mA\n"), [NOTHING]);
        assert_eq!(plain("Max current: 2.5 A\n"), [NOTHING]);
        assert_eq!(plain("MAX 2.5 A\n"), [Heard::Unusable(Unusable::Held)]);
        assert_eq!(plain("HOLD 2.5 A\n"), [Heard::Unusable(Unusable::Held)]);
        assert_eq!(plain("REL 2.5 A\n"), [Heard::Unusable(Unusable::Relative)]);
    }

    #[test]
    fn alternating_current_and_other_quantities_are_named() {
        let ac = [Heard::Unusable(Unusable::Ac)];
        assert_eq!(plain("2 ACA 1.2345 A\n"), ac);
        assert_eq!(plain("1.2 AAC\n"), ac);
        assert_eq!(plain("2 DCV -1.2345 mV\n"), [volts("-0.0012345")]);
        assert_eq!(plain("2 DCA -1.2345 mA\n"), [amps("-0.0012345")]);
        assert_eq!(plain("12.6 V\n"), [volts("12.6")]);
        assert_eq!(plain("Bus: 12.6 V\n"), [OTHER]);
        assert_eq!(plain("52 mAh\n"), [OTHER]);
    }

    #[test]
    fn what_can_be_read_two_ways_is_refused() {
        for line in [
            "0.0123 12.61\n",
            "0,0123\n",
            "1,2,3\n",
            "12 mA 13 mA\n",
            "1,234.5 mA\n",
            "{\"current\":1,\"amps\":2}\n",
            "{\"current\":\n",
            "5 MA\n",
        ] {
            let heard = plain(line);
            assert!(
                matches!(heard.as_slice(), [Heard::Rejected(_)]),
                "{line:?}: {heard:?}"
            );
        }
    }

    #[test]
    fn chatter_is_no_reading() {
        for line in [
            "rst:0x1 (POWERON_RESET),boot:0x13 (SPI_FAST_FLASH_BOOT)\n",
            "load:0x3fff0030,len:1344\n",
            "I (301) cpu_start: Starting scheduler on PRO CPU.\n",
            "Connected in 12 tries\n",
            "2026-11-25 08:00:00\n",
            "----------------------------\n",
            "version 1.2.3\n",
            "512 ADC\n",
        ] {
            assert_eq!(plain(line), [NOTHING], "{line:?}");
        }
    }

    #[test]
    fn overload_comes_in_many_words() {
        for line in [
            "OL",
            "O.L",
            ".OL mA",
            "OVER",
            "OVERFLOW",
            "ovl",
            "----",
            "-inf",
            "9.9E37",
            "-9.9E+37 A",
            "Current: OL",
            "DC OL A",
        ] {
            assert_eq!(
                plain(&format!("{line}\n")),
                [Heard::Value(Measured::Over)],
                "{line}"
            );
        }
        assert_eq!(plain("9.91E37\n"), [NOTHING]);
        assert_eq!(plain("OL V\n"), [Heard::Voltage(Voltage(Measured::Over))]);
    }

    #[test]
    fn no_ammeter_shows_a_time_stamp_in_ampere() {
        assert!(matches!(
            plain("1700000000\n").as_slice(),
            [Heard::Rejected(_)]
        ));
    }

    #[test]
    fn a_float_printed_in_full_is_rounded_and_not_refused() {
        let json = "{\"current_mA\":12.340000000000002}\n";
        assert_eq!(plain(json), [amps("0.012340000000")]);
    }

    #[test]
    fn a_heading_teaches_the_column_and_its_unit() {
        let table = "time,current_mA,voltage_V\n17,12.34,12.6\n18,,12.6\n19,OL,12.6\n";
        let expected = [
            NOTHING,
            amps("0.01234"),
            NOTHING,
            Heard::Value(Measured::Over),
        ];
        assert_eq!(plain(table), expected);
        let named = TextOptions {
            column: Some(Column::Named("load".into())),
            ..TextOptions::default()
        };
        assert_eq!(
            hear(&named, "time;Load;v\n17;0,012;12,6\n"),
            [NOTHING, amps("0.012")]
        );
        assert!(matches!(
            hear(&named, "17;0,012;12,6\n").as_slice(),
            [Heard::Rejected(_)]
        ));
    }

    #[test]
    fn a_column_of_another_quantity_is_not_a_current() {
        let third = TextOptions {
            column: Some("3".parse().unwrap()),
            ..TextOptions::default()
        };
        assert_eq!(
            hear(&third, "time,current_mA,voltage_V\n17,12.34,12.6\n"),
            [NOTHING, OTHER]
        );
        assert_eq!(hear(&third, "1 2 0.5 mA\n"), [amps("0.0005")]);
    }

    #[test]
    fn a_change_of_unit_is_told_before_the_value() {
        let heard = plain("500 mA\n0.6 A\n");
        assert_eq!(
            heard,
            [amps("0.500"), Heard::Range("A".into()), amps("0.6")]
        );
    }

    #[test]
    fn a_label_can_be_chosen() {
        let options = TextOptions {
            field: Some("reading".into()),
            unit: Unit::Milliampere,
            ..TextOptions::default()
        };
        assert_eq!(
            hear(&options, "reading: 12.3\nother: 5\n"),
            [amps("0.0123"), NOTHING]
        );
    }

    #[test]
    fn noise_is_rejected_without_waiting_for_a_line_end() {
        let mut decoder = TextDecoder::new(TextOptions::default());
        let mut heard = Vec::new();
        decoder.feed(&[0xf8; 256], &mut heard);
        assert_eq!(heard.len(), 4);
        assert!(
            heard
                .iter()
                .all(|h| matches!(h, Heard::Rejected(sample) if sample.len() == SAMPLE))
        );
        heard.clear();
        decoder.feed(b"12.34 mA\n12.35 mA\n", &mut heard);
        assert_eq!(
            heard,
            [amps("0.01235")],
            "the line that the noise ran into is dropped"
        );
    }

    #[test]
    fn a_bare_digit_right_after_noise_is_noise_too() {
        let mut decoder = TextDecoder::new(TextOptions::default());
        let mut heard = Vec::new();
        decoder.feed(b"\xf8\x80\x00\xfe\n7\n8\n", &mut heard);
        assert_eq!(heard.get(2), Some(&amps("8")));
        assert!(matches!(heard.get(1), Some(Heard::Rejected(_))));
    }

    #[test]
    fn a_line_over_the_limit_is_dropped_to_its_end() {
        let mut line = vec![b'x'; 10_000];
        line.extend_from_slice(b" 3 mA\n12.34 mA\n");
        let mut heard = Vec::new();
        TextDecoder::new(TextOptions::default()).feed(&line, &mut heard);
        assert_eq!(heard, [NOTHING, amps("0.01234")]);
    }
}
