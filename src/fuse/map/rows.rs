//! A fuse map out of CSV: `box,position,rating_a,style,feeds[,weight]`.
//!
//! Read strictly: a row that cannot be understood is named by its line, and nothing is used.

use csv::{ReaderBuilder, StringRecord};

use super::{Circuit, same};
use crate::reading::amount;

/// The columns, in the order in which a map is usually written. Any order is read.
const COLUMNS: [&str; 6] = ["box", "position", "rating_a", "style", "feeds", "weight"];
/// The map may leave this one out.
const OPTIONAL: &str = "weight";
/// No car has more fuses; a longer file is something else.
const LONGEST: usize = 400;
/// A cell in an error is cut here.
const SHOWN: usize = 40;

/// Why a CSV is no fuse map.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MapError {
    /// Nothing is in it.
    #[error(
        "the fuse map is empty: expected the header box,position,rating_a,style,feeds[,weight]"
    )]
    Empty,
    /// A header, and nothing below it.
    #[error("the fuse map has a header and no rows: expected one row for each fuse")]
    NoRows,
    /// Not text.
    #[error("the fuse map is not text: expected a CSV in UTF-8, save it as that and try again")]
    Binary,
    /// A row, the header included, that cannot be read.
    #[error("line {line}: found {found}, expected {expected}")]
    Row {
        /// Which line.
        line: u64,
        /// What was found.
        found: String,
        /// What was expected, and the mend where there is one.
        expected: String,
    },
}

/// Reads a fuse map, row by row.
///
/// ```
/// use lullboard::fuse::map;
/// let csv = "box,position,rating_a,style,feeds\nE,14,10,mini,washer pump;wipers\n";
/// let fuses = map::read(csv.as_bytes()).unwrap();
/// assert_eq!(fuses[0].label, "E14");
/// assert_eq!(fuses[0].feeds, ["washer pump", "wipers"]);
/// ```
///
/// # Errors
/// [`MapError`], which names the line, what was found there and what was expected.
pub fn read(bytes: &[u8]) -> Result<Vec<Circuit>, MapError> {
    let text = std::str::from_utf8(bytes).map_err(|_| MapError::Binary)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    if text.contains('\0') {
        return Err(MapError::Binary);
    }
    let mut records = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter_of(text))
        .from_reader(text.as_bytes())
        .into_records()
        .map(|record| record.map_err(|error| unreadable(&error)))
        .filter(|record| !record.as_ref().is_ok_and(is_blank));
    let header = records.next().ok_or(MapError::Empty)??;
    let columns = Columns::find(&header, line_of(&header, text))?;
    let mut map: Vec<Circuit> = Vec::new();
    for record in records {
        let record = record?;
        let line = line_of(&record, text);
        let row = Row::new(&columns, record, line, header.len())?;
        let circuit = row.circuit()?;
        if map.iter().any(|known| same(&known.label, &circuit.label)) {
            return Err(row.refuse(
                &circuit.label,
                "each fuse once: this label stands further up already",
            ));
        }
        if map.len() >= LONGEST {
            return Err(row.refuse("one more fuse", &format!("at most {LONGEST} of them")));
        }
        map.push(circuit);
    }
    if map.is_empty() {
        return Err(MapError::NoRows);
    }
    Ok(map)
}

/// A spreadsheet may part its cells by semicolons or tabs; the header holds none otherwise.
fn delimiter_of(text: &str) -> u8 {
    let header = text.lines().find(|line| !line.trim().is_empty());
    let header = header.unwrap_or_default();
    if header.contains(',') {
        b','
    } else if header.contains(';') {
        b';'
    } else {
        b'\t'
    }
}

fn is_blank(record: &StringRecord) -> bool {
    record.iter().all(|cell| cell.trim().is_empty())
}

fn unreadable(error: &csv::Error) -> MapError {
    MapError::Row {
        line: error.position().map_or(1, csv::Position::line),
        found: error.to_string(),
        expected: "a row of a CSV".into(),
    }
}

/// The line on which a record begins: its position is that of the blank lines before it.
fn line_of(record: &StringRecord, text: &str) -> u64 {
    let Some(position) = record.position() else {
        return 1;
    };
    let blank = usize::try_from(position.byte())
        .ok()
        .and_then(|at| text.get(at..))
        .map_or(0, |rest| {
            let ends = rest.chars().take_while(|c| matches!(c, '\r' | '\n'));
            ends.filter(|c| *c == '\n').map(|_| 1).sum()
        });
    position.line().saturating_add(blank)
}

/// Where each column stands, in the order of [`COLUMNS`].
struct Columns([Option<usize>; COLUMNS.len()]);

impl Columns {
    fn find(header: &StringRecord, line: u64) -> Result<Self, MapError> {
        let refuse = |found: String| MapError::Row {
            line,
            found,
            expected: "the header box,position,rating_a,style,feeds[,weight]".into(),
        };
        for (at, cell) in header.iter().enumerate() {
            if !COLUMNS.iter().any(|name| same(name, cell)) {
                return Err(refuse(format!("the column {}", quoted(cell))));
            }
            if header.iter().skip(at + 1).any(|other| same(other, cell)) {
                return Err(refuse(format!("the column {} twice", quoted(cell))));
            }
        }
        let columns = COLUMNS.map(|name| header.iter().position(|cell| same(name, cell)));
        let missing = COLUMNS
            .iter()
            .zip(&columns)
            .find(|(name, at)| at.is_none() && **name != OPTIONAL);
        match missing {
            Some((name, _)) => Err(refuse(format!("no column '{name}'"))),
            None => Ok(Self(columns)),
        }
    }
}

struct Row<'a> {
    columns: &'a Columns,
    record: StringRecord,
    line: u64,
}

impl<'a> Row<'a> {
    fn new(
        columns: &'a Columns,
        record: StringRecord,
        line: u64,
        width: usize,
    ) -> Result<Self, MapError> {
        let row = Self {
            columns,
            record,
            line,
        };
        let too_wide = row
            .record
            .iter()
            .skip(width)
            .any(|cell| !cell.trim().is_empty());
        let too_short = COLUMNS
            .iter()
            .zip(&columns.0)
            .any(|(name, at)| *name != OPTIONAL && *at >= Some(row.record.len()));
        if too_wide || too_short {
            return Err(MapError::Row {
                line,
                found: format!("{} cells", row.record.len()),
                expected: format!(
                    "{width} as in the header; quotes around a cell that holds a comma"
                ),
            });
        }
        Ok(row)
    }

    /// The cell of a column; empty when the row or the map has none.
    fn cell(&self, name: &str) -> &str {
        let at = COLUMNS
            .iter()
            .zip(&self.columns.0)
            .find(|(column, _)| **column == name);
        at.and_then(|(_, at)| self.record.get((*at)?))
            .unwrap_or_default()
            .trim()
    }

    fn refuse(&self, found: &str, expected: &str) -> MapError {
        MapError::Row {
            line: self.line,
            found: quoted(found),
            expected: expected.into(),
        }
    }

    fn circuit(&self) -> Result<Circuit, MapError> {
        let (in_box, position) = (self.cell("box"), self.cell("position"));
        if position.is_empty() {
            return Err(self.refuse("", "a position, as in 4"));
        }
        let label = super::label(in_box, position);
        // A mark's labels are parted by these.
        if label.contains(['+', ',']) || label.contains(char::is_control) {
            return Err(self.refuse(&label, "a box and a position without + and comma"));
        }
        let style = self.cell("style");
        let feeds = self.cell("feeds").split([';', '+']);
        Ok(Circuit {
            label,
            in_box: in_box.to_owned(),
            position: position.to_owned(),
            rating_a: self.rating_a()?,
            style: (!style.is_empty()).then(|| style.to_owned()),
            feeds: feeds
                .map(|part| part.chars().filter(|c| !c.is_control()).collect::<String>())
                .map(|part| part.trim().to_owned())
                .filter(|part| !part.is_empty())
                .collect(),
            weight: self.weight()?,
        })
    }

    fn rating_a(&self) -> Result<Option<f64>, MapError> {
        let cell = self.cell("rating_a");
        if cell.is_empty() {
            return Ok(None);
        }
        amount::current_a(cell)
            .ok()
            .filter(|rating_a| *rating_a > 0.0)
            .map(Some)
            .ok_or_else(|| self.refuse(cell, "a rating in ampere above zero, as in 10 or 7.5"))
    }

    fn weight(&self) -> Result<Option<f64>, MapError> {
        let cell = self.cell("weight");
        if cell.is_empty() {
            return Ok(None);
        }
        cell.replacen(',', ".", 1)
            .parse()
            .ok()
            .filter(|weight: &f64| weight.is_finite() && *weight >= 0.0)
            .map(Some)
            .ok_or_else(|| self.refuse(cell, "a weight of zero or more, as in 2.5"))
    }
}

fn quoted(cell: &str) -> String {
    let shown: String = cell
        .chars()
        .filter(|c| !c.is_control())
        .take(SHOWN)
        .collect();
    if shown.is_empty() {
        "nothing".into()
    } else {
        format!("'{shown}'")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADER: &str = "box,position,rating_a,style,feeds,weight\n";

    fn of(rows: &str) -> Result<Vec<Circuit>, MapError> {
        read(format!("{HEADER}{rows}").as_bytes())
    }

    #[test]
    fn a_map_is_read_with_everything_it_says() {
        let map =
            of("L,9,10,mini,map light; wipers,2.5\n,12,7.5A,,\"gateway+amplifier\",\n").unwrap();
        assert_eq!(
            map[0],
            Circuit {
                label: "L9".into(),
                in_box: "L".into(),
                position: "9".into(),
                rating_a: Some(10.0),
                style: Some("mini".into()),
                feeds: vec!["map light".into(), "wipers".into()],
                weight: Some(2.5),
            }
        );
        assert_eq!(map[1].label, "12");
        assert_eq!(map[1].feeds, ["gateway", "amplifier"]);
        assert_eq!((map[1].style.as_deref(), map[1].weight), (None, None));
    }

    #[test]
    fn a_position_with_the_boxs_name_in_it_is_the_label() {
        for (row, label) in [
            ("L,L9,10,mini,map light,\n", "L9"),
            ("l,L9,10,mini,map light,\n", "L9"),
            ("L,9,10,mini,map light,\n", "L9"),
            ("1,12,10,mini,map light,\n", "112"),
            (",12,10,mini,map light,\n", "12"),
            ("floor,L3,10,mini,map light,\n", "floorL3"),
        ] {
            assert_eq!(of(row).unwrap()[0].label, label, "{row}");
        }
        let refused = of("L,L9,10,mini,map light,\nL,9,10,mini,wipers,\n").unwrap_err();
        assert!(refused.to_string().contains("once"), "{refused}");
    }

    #[test]
    fn columns_may_stand_in_any_order_and_a_spreadsheet_may_use_semicolons() {
        let text =
            "\u{feff}Position;Box;Feeds;Style;Rating_A\r\n9;L;map light+wipers;mini;7,5\r\n\r\n";
        let map = read(text.as_bytes()).unwrap();
        assert_eq!(map[0].label, "L9");
        assert_eq!(map[0].feeds, ["map light", "wipers"]);
        assert_eq!(map[0].rating_a, Some(7.5));
    }

    #[test]
    fn a_bad_row_is_named_by_its_line() {
        for (rows, words) in [
            (
                "L,9,10,mini,map light,\nL,,10,mini,map light,\n",
                ["line 3", "a position"],
            ),
            ("L,9,ten,mini,map light,\n", ["line 2", "'ten'"]),
            ("L,9,0,mini,map light,\n", ["line 2", "above zero"]),
            ("L,9,10,mini,map light,-1\n", ["line 2", "zero or more"]),
            ("L,9,10,mini,map light,nan\n", ["line 2", "'nan'"]),
            ("L,9,,,a,\n\nl,9,,,c,\n", ["line 4", "once"]),
            ("L,9+10,10,mini,map light,\n", ["line 2", "without +"]),
            ("L,9,10,mini,map light,1,x\n", ["line 2", "7 cells"]),
            ("L,9,10,mini\n", ["line 2", "4 cells"]),
        ] {
            let refused = of(rows).unwrap_err().to_string();
            for word in words {
                assert!(refused.contains(word), "{rows:?}: {refused}");
            }
        }
    }

    #[test]
    fn what_is_no_map_is_refused() {
        assert_eq!(read(b""), Err(MapError::Empty));
        assert_eq!(read(HEADER.as_bytes()), Err(MapError::NoRows));
        assert_eq!(read(b"PK\0\0"), Err(MapError::Binary));
        for (header, word) in [
            ("time_s,current_a\n0,1\n", "time_s"),
            ("box,position,feeds\nL,9,x\n", "rating_a"),
            ("box,box,position,rating_a,style,feeds\n", "twice"),
        ] {
            let refused = read(header.as_bytes()).unwrap_err().to_string();
            assert!(
                refused.contains("line 1") && refused.contains(word),
                "{refused}"
            );
        }
    }
}
