//! Records made elsewhere: CSV to entries, as a stream, with the written places kept.
//!
//! A row that cannot be read ends the import: it is named by its line, with what was found and
//! what was expected. Nothing is half-read in silence.

mod columns;

use std::collections::VecDeque;
use std::io::BufRead;

use chrono::{DateTime, FixedOffset};

use crate::meter::Unit;
use crate::reading::csv_rows::{CsvError, CsvRows, Expected};
use crate::session::entry::UNDATED;
use crate::session::{Card, Entry, Fact, Header, MeterCard};
use columns::{LogColumns, TimeBase};

/// How to read somebody else's log. The default reads `time_s,current_a[,mark]` and
/// `time,current_a[,mark]`, with `voltage_v` beside or instead of `current_a`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ImportOptions {
    /// The column that holds the time: seconds, or a date and time (the first row tells).
    pub time_col: Option<String>,
    /// The column that holds the current.
    pub current_col: Option<String>,
    /// The unit of the current; ampere when not given.
    pub unit: Unit,
}

/// The unit of a column of currents, as it is typed.
///
/// # Errors
/// When it is none.
pub fn unit(text: &str) -> Result<Unit, String> {
    let unit = match text.trim() {
        "a" => Some(Unit::Ampere),
        text => text.parse().ok(),
    };
    unit.filter(|unit| matches!(unit, Unit::Ampere | Unit::Milliampere | Unit::Microampere))
        .ok_or_else(|| {
            let text = text.trim();
            format!("'{text}' is not a unit of current: expected A, mA or uA")
        })
}

/// What is said of a CSV that is no record.
const EXPECTED: Expected = Expected {
    some: "the file is empty: expected a session (.lull), or a CSV with the header \
           time_s,current_a[,mark]",
    rows: "the CSV has a header and no rows: nothing was recorded",
    text: "a session (.lull) or a CSV in UTF-8",
};

/// Reads a CSV as a stream of entries.
///
/// ```
/// use lullboard::journal::import::{Importer, ImportOptions};
/// let csv = "time_s,current_a,mark\n0.0,1.837,\n0.5,OL,\n1.0,,pull D9\n";
/// let began = chrono::DateTime::UNIX_EPOCH.fixed_offset();
/// let entries = Importer::new(csv.as_bytes(), &ImportOptions::default(), began).unwrap();
/// assert_eq!(entries.collect::<Result<Vec<_>, _>>().unwrap().len(), 3);
/// ```
#[derive(Debug)]
pub struct Importer<R> {
    rows: CsvRows<R>,
    columns: LogColumns,
    /// The header of a session made of this record.
    pub header: Header,
    /// Whether the record itself tells when it began.
    pub dated: bool,
    last_ms: Option<i64>,
    marks: u32,
    waiting: VecDeque<Entry>,
    /// So many rows in a row were none to be taken at a glance.
    odd: u32,
    done: bool,
}

/// A log with so many of them has no others.
const ODD_LOG: u32 = 256;

impl<R: BufRead> Importer<R> {
    /// Reads the header row and the first row. `began` stands in for the start of a record that
    /// tells only seconds.
    ///
    /// # Errors
    /// [`CsvError`] when the file holds no record or the first rows cannot be read.
    pub fn new(
        bytes: R,
        options: &ImportOptions,
        began: DateTime<FixedOffset>,
    ) -> Result<Self, CsvError> {
        let mut rows = CsvRows::new(bytes, &EXPECTED)?;
        let mut columns = LogColumns::find(rows.header()?, options)?;
        columns.comma_decimals = rows.has_comma_decimals();
        columns.settle_base(rows.first()?)?;
        let (started, dated) = match columns.base {
            TimeBase::Dated(first) => (first, true),
            TimeBase::Seconds | TimeBase::Unknown => (began, false),
        };
        let mut importer = Self {
            rows,
            columns,
            header: Header {
                started,
                card: Card::default(),
                meter: MeterCard {
                    uri: String::new(),
                    format: Some(if dated { "csv" } else { UNDATED }.into()),
                    volts: None,
                },
            },
            dated,
            last_ms: None,
            marks: 0,
            waiting: VecDeque::new(),
            odd: 0,
            done: false,
        };
        importer.take_row()?;
        Ok(importer)
    }

    /// Puts up to `most` plain rows into `entries`, as far as they are the next and none is before the
    /// last. What this leaves comes from the iterator.
    pub fn glance(&mut self, entries: &mut Vec<Entry>, most: usize) {
        if self.odd > ODD_LOG || self.done || !self.waiting.is_empty() {
            return;
        }
        let (columns, last_ms) = (&self.columns, &mut self.last_ms);
        let any = self.rows.at_a_glance(|at_hand, delimiter| {
            let (mut lines, mut rest) = (0, at_hand);
            while entries.len() < most
                && let Some((reading, after)) = columns.at_a_glance(rest, delimiter)
                && last_ms.is_none_or(|last| reading.t.ms() >= last)
            {
                *last_ms = Some(reading.t.ms());
                entries.push(Entry::reading(reading));
                rest = after;
                lines += 1;
            }
            (lines, at_hand.len().saturating_sub(rest.len()))
        });
        self.odd = if any { 0 } else { self.odd.saturating_add(1) };
        if self.odd > ODD_LOG {
            self.rows.read_in_bulk();
        }
    }

    fn take_row(&mut self) -> Result<(), CsvError> {
        let row = self.rows.row();
        let t = self.columns.time(row)?;
        if self.last_ms.is_some_and(|last| t.ms() < last) {
            return Err(self.columns.backwards(row));
        }
        self.last_ms = Some(t.ms());
        let reading = self.columns.current(row)?;
        // A mark says what was done by then, so the reading beside it comes after it.
        if let Some(mark) = self.columns.mark(row, self.marks.saturating_add(1))? {
            self.marks = mark.id.0;
            let fact = Fact::Mark(Box::new(mark));
            self.waiting.push_back(Entry { t, fact });
        }
        if let Some(value) = reading {
            let fact = Fact::Reading(value);
            self.waiting.push_back(Entry { t, fact });
        }
        if let Some(volts) = self.columns.volts(row)? {
            let fact = Fact::Volts(volts);
            self.waiting.push_back(Entry { t, fact });
        }
        if self.waiting.is_empty() {
            return Err(self.columns.empty(row));
        }
        Ok(())
    }
}

impl<R: BufRead> Iterator for Importer<R> {
    type Item = Result<Entry, CsvError>;

    fn next(&mut self) -> Option<Self::Item> {
        if let Some(entry) = self.waiting.pop_front() {
            return Some(Ok(entry));
        }
        if self.done {
            return None;
        }
        let mut plain = Vec::new();
        self.glance(&mut plain, 1);
        if let Some(entry) = plain.pop() {
            return Some(Ok(entry));
        }
        let taken = match self.rows.advance() {
            Ok(true) => self.take_row(),
            Ok(false) => {
                self.done = true;
                return None;
            }
            Err(error) => Err(error),
        };
        if let Err(error) = taken {
            self.done = true;
            self.waiting.clear();
            return Some(Err(error));
        }
        self.waiting.pop_front().map(Ok)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::{BufReader, Read};

    fn import_with(csv: &[u8], options: &ImportOptions) -> Result<Vec<String>, String> {
        let began = DateTime::UNIX_EPOCH.fixed_offset();
        let importer = Importer::new(csv, options, began).map_err(|error| error.to_string())?;
        importer
            .map(|entry| {
                let mut line = Vec::new();
                crate::journal::line::write(&entry.map_err(|error| error.to_string())?, &mut line)
                    .unwrap();
                Ok(String::from_utf8(line).unwrap().trim_end().to_owned())
            })
            .collect()
    }

    fn import(csv: &str) -> Result<Vec<String>, String> {
        import_with(csv.as_bytes(), &ImportOptions::default())
    }

    #[test]
    fn readings_over_range_and_marks() {
        let csv = "time_s,current_a,mark\n-0.5,1.7460,\n0.0,OL\n0.5,-inf,lock\n1,,pull E6+L13\n1.0,0.0740,\"note a, \"\"b\"\"\"\n";
        assert_eq!(
            import(csv).unwrap(),
            [
                r#"{"t":-0.500,"a":1.7460}"#,
                r#"{"t":0.000,"over":true}"#,
                r#"{"t":0.500,"mark":{"id":1,"did":"lock"}}"#,
                r#"{"t":0.500,"over":true}"#,
                r#"{"t":1.000,"mark":{"id":2,"did":"pull","what":["E6","L13"]}}"#,
                r#"{"t":1.000,"mark":{"id":3,"did":"note","text":"a, \"b\""}}"#,
                r#"{"t":1.000,"a":0.0740}"#,
            ]
        );
    }

    #[test]
    fn the_batterys_voltage_stands_beside_the_current_or_instead_of_it() {
        let csv = "time_s,current_a,voltage_v,mark\n0,0.0520,12.63,\n1,,12.620,\n2,0.051,,lock\n3,OL,OL,\n";
        assert_eq!(
            import(csv).unwrap(),
            [
                r#"{"t":0.000,"a":0.0520}"#,
                r#"{"t":0.000,"v":12.63}"#,
                r#"{"t":1.000,"v":12.620}"#,
                r#"{"t":2.000,"mark":{"id":1,"did":"lock"}}"#,
                r#"{"t":2.000,"a":0.051}"#,
                r#"{"t":3.000,"over":true}"#,
            ]
        );
        let alone = "time_s;voltage_v\n0;12,63\n5;12,60\n";
        assert_eq!(import(alone).unwrap()[1], r#"{"t":5.000,"v":12.60}"#);
        for (csv, wanted) in [
            (
                "time_s,current_a,voltage_v\n0,1,flat\n",
                "line 2: found 'flat', expected a voltage",
            ),
            (
                "time_s,current_a,voltage_v\n0,1,12.6\n1,,\n",
                "line 3: found no current at '1', expected",
            ),
        ] {
            let error = import(csv).unwrap_err();
            assert!(error.contains(wanted), "{csv:?}: {error}");
        }
    }

    #[test]
    fn dates_count_from_the_first_row() {
        let csv =
            "time,current_a\r\n2026-11-25T23:59:59.500+01:00,1.0\r\n2026-11-25T23:00:01Z,1.0\r\n";
        let began = DateTime::UNIX_EPOCH.fixed_offset();
        let importer = Importer::new(csv.as_bytes(), &ImportOptions::default(), began).unwrap();
        assert!(importer.dated);
        let started = importer.header.started.to_rfc3339();
        assert_eq!(started, "2026-11-25T23:59:59.500+01:00");
        let times: Vec<i64> = importer.map(|entry| entry.unwrap().t.ms()).collect();
        assert_eq!(times, [0, 1500]);
    }

    #[test]
    fn anyone_elses_log_with_named_columns() {
        let options = ImportOptions {
            time_col: Some("when".into()),
            current_col: Some("I (mA)".into()),
            unit: Unit::Milliampere,
        };
        let csv = "\u{feff}i (ma);no;When\n38,40;1;0,25\n37.999999999999996;2;0,5\n";
        assert_eq!(
            import_with(csv.as_bytes(), &options).unwrap(),
            [
                r#"{"t":0.250,"a":0.03840}"#,
                r#"{"t":0.500,"a":0.038000000000}"#
            ]
        );
        let csv = "when,I (mA)\n2026-11-25 08:00:00,1\n2026-11-25 08:00:02,1\n";
        assert_eq!(
            import_with(csv.as_bytes(), &options).unwrap()[1],
            r#"{"t":2.000,"a":0.001}"#
        );
    }

    #[test]
    fn a_bad_row_is_named_with_what_was_found_and_expected() {
        for (csv, wanted) in [
            (
                "time_s,current_a\n0,1\n1,two\n",
                "line 3: found 'two', expected a current",
            ),
            (
                "time_s,current_a\n0,1\nsoon,1\n",
                "line 3: found 'soon', expected a time in seconds",
            ),
            (
                "time_s,current_a\n\n2,1\n1,1\n",
                "line 4: found '1', expected a time not before",
            ),
            (
                "time_s,current_a\n0,1\n1,\n",
                "line 3: found no current at '1', expected",
            ),
            (
                "time_s,current_a,mark\n0,1,\n1,1,yank E6\n",
                "line 3: found 'yank E6', expected a mark",
            ),
            (
                "time_s,current_a,mark\n0,1,yank\u{7f}\n",
                "('yank?' is not a mark",
            ),
            (
                "time_s,current_a,mark\n0,1,note a, b\n",
                "line 2: found 4 cells, expected 3",
            ),
            (
                "time_s,current_a\n0,1,surprise\n",
                "line 2: found 3 cells, expected 2",
            ),
            (
                "time_s,volts\n0,1\n",
                "line 1: found 'time_s,volts', expected a header",
            ),
            (
                "0.0,2.0\n0.5,2.0\n",
                "line 1: found '0.0,2.0', expected a header",
            ),
            (
                "time,current_a\n0.0,2.0\n",
                "line 2: found '0.0', expected a time as RFC 3339",
            ),
            (
                "time_s,current_a\n0,1\n1,\0\0\n",
                "line 3: found the byte 0x00, which stands in no text; expected a session",
            ),
            (
                "\u{7f}ELF\u{2}\u{1}",
                "line 1: found the byte 0x02, which stands in no text",
            ),
            (
                "time_s,current_a\n0,1\n1,nan\n",
                "line 3: found 'nan', expected a current",
            ),
            (
                "time_s,current_a\n0,1\n1,52 mA\n",
                "line 3: found '52 mA', expected a current",
            ),
            ("time_s,current_a\n", "a header and no rows"),
            ("", "the file is empty"),
            ("\n\n", "the file is empty"),
        ] {
            let error = import(csv).unwrap_err();
            assert!(error.contains(wanted), "{csv:?}: {error}");
        }
        let latin = import_with(
            b"time_s,current_a,mark\n0,1,note caf\xe9\n",
            &ImportOptions::default(),
        );
        assert!(latin.unwrap_err().starts_with("line 2: found 'note caf"));
        let utf16 = import_with(b"\xff\xfet\0i\0", &ImportOptions::default());
        assert!(utf16.unwrap_err().contains("UTF-16"));
        let missing = ImportOptions {
            current_col: Some("amps".into()),
            ..ImportOptions::default()
        };
        let error = import_with(b"time_s,current_a\n0,1\n", &missing).unwrap_err();
        assert!(error.contains("a column 'amps' (--current-col)"), "{error}");
    }

    #[test]
    fn a_quote_that_is_never_closed_does_not_fill_the_memory() {
        let head = "time_s,current_a,mark\n0,1,\n1,1,\"note open\n".as_bytes();
        let endless = head.chain(std::io::repeat(b'x'));
        let began = DateTime::UNIX_EPOCH.fixed_offset();
        let bytes = BufReader::new(endless);
        let last = Importer::new(bytes, &ImportOptions::default(), began)
            .unwrap()
            .last()
            .unwrap();
        let error = last.unwrap_err().to_string();
        assert!(
            error.starts_with("line 3: found a row of more than"),
            "{error}"
        );
    }

    /// What is read, and how it ends; `slowly` without a glance.
    fn read(csv: &str, slowly: bool) -> Vec<String> {
        let began = DateTime::UNIX_EPOCH.fixed_offset();
        // Rows end anywhere in a buffer.
        let bytes = BufReader::with_capacity(16, csv.as_bytes());
        let mut importer = match Importer::new(bytes, &ImportOptions::default(), began) {
            Ok(importer) => importer,
            Err(error) => return vec![error.to_string()],
        };
        if slowly {
            importer.odd = ODD_LOG + 1;
            importer.rows.read_in_bulk();
        }
        let mut told = Vec::new();
        loop {
            let mut many = Vec::new();
            importer.glance(&mut many, 7);
            told.extend(many.iter().map(|entry| format!("{entry:?}")));
            match importer.next() {
                None => return told,
                Some(entry) => {
                    told.push(entry.map_or_else(|e| e.to_string(), |e| format!("{e:?}")));
                }
            }
        }
    }

    proptest::proptest! {
        #[test]
        fn a_glance_reads_what_a_look_at_every_cell_reads(
            rows in proptest::collection::vec((0_u32..40, 0_usize..24, 0_usize..4), 1..60),
            semicolons: bool,
        ) {
            let mut csv = String::from("time_s,current_a,mark\n");
            let mut t = 0;
            for (step, kind, end) in rows {
                t += step;
                let row = match kind {
                    0 => format!("{t},OL,"),
                    1 => format!("{t}.5,0.1,lock"),
                    2 => format!("{t},\"0.2\","),
                    3 => format!("{t},-0.050,,,"),
                    4 => format!("{t},1e-2"),
                    5 => format!(" {t} , 0.1 ,"),
                    6 => String::new(),
                    7 => format!("{t},,note \"a\nb\""),
                    8 => format!("{t},,\"note a, b\""),
                    9 => format!("{}.000,0.3", t.saturating_sub(1)),
                    10 => format!("{t},0.0000000000000000001"),
                    11 => format!("{t}.,0.5"),
                    _ => format!("{t}.250,0.0{step}"),
                };
                csv.push_str(&row);
                csv.push_str(["\n", "\n", "\r\n", "\n\n"][end]);
            }
            if semicolons {
                csv = csv.replace(',', ";");
            }
            proptest::prop_assert_eq!(read(&csv, false), read(&csv, true), "{}", csv);
        }
    }
}
