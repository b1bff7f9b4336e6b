//! A session as CSV (RFC 4180): `time_s,current_a,mark,phase,local_time`. The first three are what
//! the import reads, so that a session and its export are judged alike; the units stand in the
//! heading. Where the battery's voltage was read, `voltage_v` follows as the last column, and each
//! reading of it has a row of its own.
//!
//! A CSV has rows and no card: limits, the meter's losses and gaps, and struck marks stay behind.
//! A mark placed late stands where it was done. The import numbers marks anew, in that order. No
//! cell can begin a spreadsheet's formula: a mark begins with its verb.

use std::collections::VecDeque;
use std::io::{self, Write};

use super::case::Case;
use crate::judge::finding::Phase;
use crate::reading::{Elapsed, Measured, Volts, sanitize};
use crate::session::mark::parse_mark;
use crate::session::volts::BATTERY_V;
use crate::session::{Entry, Fact, Mark, MarkId};

/// So many volts wait for a current at most: a record may hold none.
const MOST_WAITING: usize = 4096;

/// Writes a session row by row. The marks come from the folded session, since one placed late
/// belongs before readings that were journalled earlier; the readings come as a second pass over
/// the file, since no fold keeps them.
#[derive(Debug)]
pub struct CsvExport<'a, W> {
    out: W,
    case: &'a Case,
    /// Marks not yet written, the next one last.
    marks: Vec<(Elapsed, Mark)>,
    /// Phases not yet left, the present one last.
    phases: Vec<(Elapsed, Phase)>,
    last: Option<Elapsed>,
    /// Whether there is a column for the battery's voltage.
    has_volts: bool,
    /// Volts that a current may still come before: the two meters are journalled as they come.
    waiting: VecDeque<(Elapsed, Volts)>,
}

impl<'a, W: Write> CsvExport<'a, W> {
    /// Writes the heading.
    ///
    /// # Errors
    /// Whatever `out` reports.
    pub fn new(case: &'a Case, mut out: W) -> io::Result<Self> {
        let has_volts = case.session.volts().samples() > 0;
        out.write_all(b"time_s,current_a,mark,phase,local_time")?;
        out.write_all(if has_volts {
            b",voltage_v\r\n"
        } else {
            b"\r\n"
        })?;
        let marks = case.session.marks().rev();
        let spans = case.judgement.phases.iter().rev();
        Ok(Self {
            out,
            case,
            marks: marks
                .map(|placed| (placed.at(), placed.mark.clone()))
                .collect(),
            phases: spans.map(|span| (span.to, span.phase)).collect(),
            last: None,
            has_volts,
            waiting: VecDeque::new(),
        })
    }

    /// Writes the row of an entry and of the marks before it; only readings and volts have a row.
    ///
    /// # Errors
    /// Whatever `out` reports.
    pub fn entry(&mut self, entry: &Entry) -> io::Result<()> {
        if let Fact::Reading(value) = &entry.fact {
            while self.waiting.front().is_some_and(|(at, _)| *at < entry.t) {
                self.next_volts()?;
            }
            let t = self.row_after_marks(entry.t)?;
            match value {
                Measured::Amps(amps) => write!(self.out, "{t},{amps},")?,
                Measured::Over => write!(self.out, "{t},OL,")?,
            }
            return self.end_row(t, None);
        }
        // What no battery gives stays behind.
        if let Fact::Volts(volts) = &entry.fact
            && self.has_volts
            && BATTERY_V.contains(&volts.value_v())
        {
            self.waiting.push_back((entry.t, *volts));
            if self.waiting.len() > MOST_WAITING {
                self.next_volts()?;
            }
        }
        Ok(())
    }

    fn next_volts(&mut self) -> io::Result<()> {
        let Some((at, volts)) = self.waiting.pop_front() else {
            return Ok(());
        };
        let t = self.row_after_marks(at)?;
        write!(self.out, "{t},,")?;
        self.end_row(t, Some(volts))
    }

    /// Writes the marks before `t`, and says which time the row of `t` has.
    fn row_after_marks(&mut self, t: Elapsed) -> io::Result<Elapsed> {
        while self.marks.last().is_some_and(|(at, _)| *at <= t) {
            self.next_mark()?;
        }
        Ok(self.row_time(t))
    }

    /// Writes the volts and the marks after the last reading, and flushes.
    ///
    /// # Errors
    /// Whatever `out` reports.
    pub fn finish(mut self) -> io::Result<()> {
        while !self.waiting.is_empty() {
            self.next_volts()?;
        }
        while !self.marks.is_empty() {
            self.next_mark()?;
        }
        self.out.flush()
    }

    fn next_mark(&mut self) -> io::Result<()> {
        let Some((at, mark)) = self.marks.pop() else {
            return Ok(());
        };
        let t = self.row_time(at);
        if mark.did.is_tried() {
            let labels: Vec<&str> = mark
                .what
                .iter()
                .map(|label| label.trim())
                .filter(|label| !label.is_empty())
                .collect();
            // A trial of nothing could not be read back.
            let labels = if labels.is_empty() {
                "?".into()
            } else {
                labels.join("+")
            };
            self.mark_row(t, &format!("{} {labels}", mark.did))?;
            if !mark.text.is_empty() {
                self.mark_row(t, &format!("note {}", mark.text))?;
            }
            return Ok(());
        }
        let cell = mark.to_string();
        // A stretch without its ends leaves nothing out, and could not be read back.
        if parse_mark(MarkId::default(), &cell).is_err() {
            return Ok(());
        }
        self.mark_row(t, &cell)
    }

    /// Line ends within a note stay, in quotes; other controls could not be read back.
    fn mark_row(&mut self, t: Elapsed, cell: &str) -> io::Result<()> {
        let keep = |c: char| {
            if c == '\n' || c == '\t' {
                c
            } else {
                sanitize::shown(c)
            }
        };
        let cell: String = cell.chars().map(keep).collect();
        if cell.contains([',', ';', '\t', '"', '\n']) {
            write!(self.out, "{t},,\"{}\"", cell.replace('"', "\"\""))?;
        } else {
            write!(self.out, "{t},,{cell}")?;
        }
        self.end_row(t, None)
    }

    /// The cells that only people and spreadsheets read, the phase and the clock on the wall; and the
    /// voltage, where the record has any.
    fn end_row(&mut self, t: Elapsed, volts: Option<Volts>) -> io::Result<()> {
        while self.phases.len() > 1 && self.phases.last().is_some_and(|(to, _)| *to <= t) {
            self.phases.pop();
        }
        let phase = self.phases.last().map_or("", |(_, phase)| phase.word());
        write!(self.out, ",{phase},{}", self.case.times.machine(t))?;
        match volts {
            Some(volts) => write!(self.out, ",{volts}")?,
            None if self.has_volts => self.out.write_all(b",")?,
            None => {}
        }
        self.out.write_all(b"\r\n")
    }

    /// The time for the next row. A reading that was journalled a hair after a later one takes
    /// the time of the row above it: rows that go backwards could not be read back.
    fn row_time(&mut self, t: Elapsed) -> Elapsed {
        let t = self.last.map_or(t, |last| last.max(t));
        self.last = Some(t);
        t
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::import::{ImportOptions, Importer};
    use crate::journal::{header, line};
    use crate::report::case::Source;
    use crate::session::Session;

    fn csv_of(lines: &[&str]) -> String {
        let mut session = Session::new(header::unknown());
        let entries: Vec<Entry> = lines
            .iter()
            .map(|text| line::read(text.as_bytes()).unwrap())
            .collect();
        for entry in &entries {
            session.apply(entry);
        }
        let source = Source {
            started: Some(header::unknown().started),
            ..Source::default()
        };
        let case = Case::new(session, source, |from, _| {
            vec![(from, chrono::Offset::fix(&chrono::Utc))]
        });
        let mut out = Vec::new();
        let mut export = CsvExport::new(&case, &mut out).unwrap();
        for entry in &entries {
            export.entry(entry).unwrap();
        }
        export.finish().unwrap();
        String::from_utf8(out).unwrap()
    }

    const SAMPLE: [&str; 8] = [
        r#"{"t":0.250,"a":1.6480}"#,
        r#"{"t":0.500,"over":true}"#,
        r#"{"t":1.000,"a":0.067}"#,
        r#"{"t":2.000,"mark":{"id":1,"did":"pull","what":["D8","L12"],"at":0.75}}"#,
        r#"{"t":3.000,"mark":{"id":2,"did":"lock"}}"#,
        r#"{"t":3.500,"strike":2}"#,
        r#"{"t":4.000,"mark":{"id":3,"did":"note","text":"key, \"far\"\naway"}}"#,
        r#"{"t":3.990,"a":0.067}"#,
    ];

    #[test]
    fn late_marks_stand_where_they_were_done_and_struck_ones_nowhere() {
        let rows = [
            "time_s,current_a,mark,phase,local_time",
            "0.250,1.6480,,awake,1970-01-01T00:00:00.250+00:00",
            "0.500,OL,,awake,1970-01-01T00:00:00.500+00:00",
            "0.750,,pull D8+L12,awake,1970-01-01T00:00:00.750+00:00",
            "1.000,0.067,,awake,1970-01-01T00:00:01.000+00:00",
            "3.990,0.067,,awake,1970-01-01T00:00:03.990+00:00",
            "4.000,,\"note key, \"\"far\"\"\naway\",awake,1970-01-01T00:00:04.000+00:00",
        ];
        assert_eq!(
            csv_of(&SAMPLE),
            rows.map(|row| row.to_owned() + "\r\n").concat()
        );
    }

    #[test]
    fn an_export_reads_back_as_the_same_readings_and_marks() {
        let csv = csv_of(&SAMPLE);
        let began = header::unknown().started;
        let mut again = Session::new(header::unknown());
        for entry in Importer::new(csv.as_bytes(), &ImportOptions::default(), began).unwrap() {
            again.apply(&entry.unwrap());
        }
        assert_eq!((again.readings(), again.overs()), (4, 1));
        let marks: Vec<String> = again
            .marks()
            .map(|placed| placed.mark.to_string())
            .collect();
        assert_eq!(marks, ["pull D8+L12", "note key, \"far\"\naway"]);
    }

    #[test]
    fn the_batterys_voltage_has_the_last_column_and_reads_back() {
        let lines = [
            r#"{"t":0.000,"a":0.0520}"#,
            r#"{"t":0.500,"v":12.630}"#,
            r#"{"t":0.750,"v":0.002}"#,
            r#"{"t":1.000,"mark":{"id":1,"did":"lock"}}"#,
            r#"{"t":2.000,"v":12.62}"#,
            r#"{"t":1.900,"a":0.0510}"#,
        ];
        let csv = csv_of(&lines);
        let rows: Vec<&str> = csv.lines().collect();
        assert_eq!(
            rows,
            [
                "time_s,current_a,mark,phase,local_time,voltage_v",
                "0.000,0.0520,,awake,1970-01-01T00:00:00.000+00:00,",
                "0.500,,,awake,1970-01-01T00:00:00.500+00:00,12.630",
                "1.000,,lock,awake,1970-01-01T00:00:01.000+00:00,",
                "1.900,0.0510,,awake,1970-01-01T00:00:01.900+00:00,",
                "2.000,,,awake,1970-01-01T00:00:02.000+00:00,12.62",
            ]
        );
        let began = header::unknown().started;
        let again: Vec<Entry> = Importer::new(csv.as_bytes(), &ImportOptions::default(), began)
            .unwrap()
            .map(Result::unwrap)
            .collect();
        let volts = |entry: &Entry| {
            let Fact::Volts(volts) = entry.fact else {
                return None;
            };
            Some(format!("{} {volts}", entry.t))
        };
        let volts: Vec<String> = again.iter().filter_map(volts).collect();
        assert_eq!(volts, ["0.500 12.630", "2.000 12.62"]);
    }
}
