//! What the cells of a row mean: a time, a current, the battery's voltage, a mark. Where rows come from stands in `csv_rows`.

use chrono::{DateTime, FixedOffset, NaiveDateTime};

use super::super::{decimal, ms_of, time_ms};
use super::ImportOptions;
use crate::reading::sanitize::{self, excerpt};
use crate::reading::{Amps, AmpsError, CsvError, CsvRow, Elapsed, Measured, Reading, Volts};
use crate::session::mark::{Mark, MarkId, parse_mark};

const SECONDS: &str = "a time in seconds, such as 12.500";
const DATE: &str = "a time as RFC 3339, such as 2026-11-25T08:00:00.500+00:00";
const EITHER: &str = "a time in seconds (12.500) or as RFC 3339 (2026-11-25T08:00:00.500+00:00)";
const HEADER: &str = "a header time_s,current_a[,mark], or time in RFC 3339 for time_s, or \
                      voltage_v beside or instead of current_a; \
                      name other columns with --time-col and --current-col";

/// How the time column counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TimeBase {
    /// Seconds.
    Seconds,
    /// Date and time; the record begins at this one.
    Dated(DateTime<FixedOffset>),
    /// Not known before the first row.
    Unknown,
}

/// Which cell means what.
#[derive(Debug)]
pub(super) struct LogColumns {
    time: usize,
    current: Option<usize>,
    volts: Option<usize>,
    mark: Option<usize>,
    /// What the first row may hold as its time.
    expected: &'static str,
    exponent: i32,
    pub(super) base: TimeBase,
    pub(super) comma_decimals: bool,
}

impl LogColumns {
    pub(super) fn find(header: CsvRow<'_>, options: &ImportOptions) -> Result<Self, CsvError> {
        let titles = header.texts()?;
        let position = |wanted: &str| {
            let exact = titles.iter().position(|name| *name == wanted);
            exact.or_else(|| {
                titles
                    .iter()
                    .position(|name| name.eq_ignore_ascii_case(wanted))
            })
        };
        let refuse =
            |expected: String| header.refuse(excerpt(titles.join(",").as_bytes()), expected);
        let asked = |wanted: &String, flag: &str| {
            position(wanted).ok_or_else(|| refuse(format!("a column '{wanted}' ({flag})")))
        };
        let (time, base, expected) = match &options.time_col {
            Some(wanted) => (asked(wanted, "--time-col")?, TimeBase::Unknown, EITHER),
            None => match (position("time_s"), position("time")) {
                (Some(time), _) => (time, TimeBase::Seconds, SECONDS),
                (None, Some(time)) => (time, TimeBase::Unknown, DATE),
                (None, None) => return Err(refuse(HEADER.into())),
            },
        };
        let current = match &options.current_col {
            Some(wanted) => Some(asked(wanted, "--current-col")?),
            None => position("current_a"),
        };
        let free = |column: &usize| *column != time && Some(*column) != current;
        let volts = position("voltage_v").filter(free);
        if current.is_none() && volts.is_none() {
            return Err(refuse(HEADER.into()));
        }
        let mark = position("mark").filter(free);
        Ok(Self {
            time,
            current,
            volts,
            mark,
            expected,
            exponent: options.unit.exponent(),
            base,
            comma_decimals: false,
        })
    }

    /// Learns from the first row how the time column counts.
    pub(super) fn settle_base(&mut self, row: CsvRow<'_>) -> Result<(), CsvError> {
        if self.base != TimeBase::Unknown {
            return Ok(());
        }
        let cell = row.cell(self.time)?;
        let seconds = time_ms(&self.decimal(cell));
        self.base = match (date(cell), seconds) {
            (Some(first), _) => TimeBase::Dated(first),
            (None, Some(_)) if self.expected == EITHER => TimeBase::Seconds,
            (None, Some(_)) => {
                let mend = format!("{DATE}; name the column with --time-col if it is in seconds");
                return Err(row.refuse_cell(self.time, mend));
            }
            (None, None) => return Err(row.refuse_cell(self.time, self.expected)),
        };
        Ok(())
    }

    /// A row that is a time in seconds and a current in plain digits, and nothing else: the reading, and
    /// what stands behind it. Anything else is read cell by cell.
    #[inline]
    pub(super) fn at_a_glance<'a>(
        &self,
        bytes: &'a [u8],
        delimiter: u8,
    ) -> Option<(Reading, &'a [u8])> {
        if self.time != 0 || self.current != Some(1) || self.base != TimeBase::Seconds {
            return None;
        }
        let (digits, decimals, rest) = decimal(bytes)?;
        let ms = ms_of(digits, decimals)?;
        let (digits, decimals, mut rest) = decimal(behind(rest, delimiter)?)?;
        let amps = Amps::new(digits, decimals)?.times_ten_to(self.exponent)?;
        while let Some(after) = behind(rest, delimiter) {
            rest = after;
        }
        let rest = behind(rest, b'\n')?;
        let reading = Reading {
            t: Elapsed::from_ms(ms),
            value: Measured::Amps(amps),
        };
        Some((reading, rest))
    }

    pub(super) fn time(&self, row: CsvRow<'_>) -> Result<Elapsed, CsvError> {
        let cell = row.cell(self.time)?;
        let (ms, expected) = match self.base {
            TimeBase::Dated(first) => (
                date(cell).map(|moment| moment.signed_duration_since(first).num_milliseconds()),
                DATE,
            ),
            TimeBase::Seconds | TimeBase::Unknown => (time_ms(&self.decimal(cell)), SECONDS),
        };
        ms.map(Elapsed::from_ms)
            .ok_or_else(|| row.refuse_cell(self.time, expected))
    }

    /// The current; `None` when the cell is empty.
    pub(super) fn current(&self, row: CsvRow<'_>) -> Result<Option<Measured>, CsvError> {
        let Some(column) = self.current else {
            return Ok(None);
        };
        let cell = row.cell(column)?;
        if cell.is_empty() {
            return Ok(None);
        }
        if is_over(cell) {
            return Ok(Some(Measured::Over));
        }
        let refuse = |error: AmpsError| {
            row.refuse_cell(
                column,
                format!("a current as a plain number, or OL when over-range ({error})"),
            )
        };
        let amps = Amps::parse_in(&self.decimal(cell), self.exponent).map_err(refuse)?;
        Ok(Some(Measured::Amps(amps)))
    }

    /// The battery's voltage; `None` when there is no cell for it, or an empty one.
    pub(super) fn volts(&self, row: CsvRow<'_>) -> Result<Option<Volts>, CsvError> {
        let Some(column) = self.volts else {
            return Ok(None);
        };
        let cell = row.cell(column)?;
        // A voltmeter beyond its range says nothing of a battery.
        if cell.is_empty() || is_over(cell) {
            return Ok(None);
        }
        let volts = Volts::parse_in(&self.decimal(cell), 0);
        volts.map(Some).map_err(|error| {
            row.refuse_cell(column, format!("a voltage as a plain number ({error})"))
        })
    }

    /// The mark, when the cell holds one.
    pub(super) fn mark(&self, row: CsvRow<'_>, id: u32) -> Result<Option<Mark>, CsvError> {
        let Some(column) = self.mark else {
            return Ok(None);
        };
        let cell = row.cell(column)?;
        if cell.is_empty() {
            return Ok(None);
        }
        parse_mark(MarkId(id), cell).map(Some).map_err(|error| {
            let why = sanitize::text(&error.to_string());
            row.refuse_cell(column, format!("a mark such as pull E2+L9 ({why})"))
        })
    }

    pub(super) fn backwards(&self, row: CsvRow<'_>) -> CsvError {
        row.refuse_cell(
            self.time,
            "a time not before the one on the row above: times must not go backwards",
        )
    }

    pub(super) fn empty(&self, row: CsvRow<'_>) -> CsvError {
        row.refuse(
            format!("no current at {}", row.shown(self.time)),
            "a current; only a row with a mark or a voltage may leave it empty",
        )
    }

    /// The number with a decimal point.
    fn decimal<'a>(&self, cell: &'a str) -> std::borrow::Cow<'a, str> {
        if self.comma_decimals && cell.contains(',') {
            cell.replace(',', ".").into()
        } else {
            cell.into()
        }
    }
}

/// RFC 3339; also without a zone, as many loggers write it (then taken as it stands).
fn date(cell: &str) -> Option<DateTime<FixedOffset>> {
    DateTime::parse_from_rfc3339(cell).ok().or_else(|| {
        ["%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%d %H:%M:%S%.f"]
            .into_iter()
            .find_map(|form| NaiveDateTime::parse_from_str(cell, form).ok())
            .map(|naive| naive.and_utc().fixed_offset())
    })
}

/// The words for over-range; 9.9E37 is how SCPI-99 (volume 1, 7.2.1.4) writes infinity.
fn is_over(cell: &str) -> bool {
    let word = cell.trim_start_matches(['+', '-']);
    [
        "OL", "O.L", "inf", "infinity", "over", "overload", "9.9E37", "9.9E+37",
    ]
    .into_iter()
    .any(|over| word.eq_ignore_ascii_case(over))
}
/// What stands behind the one `byte` at the beginning.
fn behind(bytes: &[u8], byte: u8) -> Option<&[u8]> {
    let (first, rest) = bytes.split_first()?;
    (*first == byte).then_some(rest)
}
