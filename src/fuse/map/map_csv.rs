//! A fuse map out of CSV: `box,position,rating_a,style,feeds[,weight]`.
//!
//! Read strictly: a row that cannot be understood is named by its line, and nothing is used.

use super::{Circuit, MOST, same};
use crate::reading::sanitize::excerpt;
use crate::reading::{CsvError, CsvRow, CsvRows, Expected, amount};

/// The columns, in the order in which a map is usually written. Any order is read.
const COLUMNS: [&str; 6] = ["box", "position", "rating_a", "style", "feeds", "weight"];
/// The map may leave this one out.
const OPTIONAL: &str = "weight";

/// What is said of a CSV that is no fuse map.
const EXPECTED: Expected = Expected {
    some: "the fuse map is empty: expected the header box,position,rating_a,style,feeds[,weight]",
    rows: "the fuse map has a header and no rows: expected one row for each fuse",
    text: "a fuse map as CSV in UTF-8: save it as that and try again",
};

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
/// [`CsvError`], which names the line, what was found there and what was expected.
pub fn read(bytes: &[u8]) -> Result<Vec<Circuit>, CsvError> {
    let mut rows = CsvRows::new(bytes, &EXPECTED)?;
    let columns = FuseColumns::find(rows.header()?)?;
    rows.first()?;
    let mut map: Vec<Circuit> = Vec::new();
    loop {
        let row = FuseRow::new(&columns, rows.row())?;
        let circuit = row.circuit()?;
        if map.iter().any(|known| same(&known.label, &circuit.label)) {
            let expected = "each fuse once: this label stands further up already";
            return Err(row.row.refuse(excerpt(circuit.label.as_bytes()), expected));
        }
        if map.len() >= MOST {
            let expected = format!("at most {MOST} of them");
            return Err(row.row.refuse("one more fuse", expected));
        }
        map.push(circuit);
        if !rows.advance()? {
            return Ok(map);
        }
    }
}

/// Where each column stands, in the order of [`COLUMNS`]; and how many the header has.
struct FuseColumns {
    at: [Option<usize>; COLUMNS.len()],
    width: usize,
}

impl FuseColumns {
    fn find(header: CsvRow<'_>) -> Result<Self, CsvError> {
        let titles = header.texts()?;
        let refuse = |found: String| {
            let expected = "the header box,position,rating_a,style,feeds[,weight]";
            header.refuse(found, expected)
        };
        for (at, title) in titles.iter().enumerate() {
            if !COLUMNS.iter().any(|name| same(name, title)) {
                return Err(refuse(format!("the column {}", header.shown(at))));
            }
            if titles.iter().skip(at + 1).any(|other| same(other, title)) {
                return Err(refuse(format!("the column {} twice", header.shown(at))));
            }
        }
        let at = COLUMNS.map(|name| titles.iter().position(|title| same(name, title)));
        let mut needed = COLUMNS
            .iter()
            .zip(&at)
            .filter(|(name, _)| **name != OPTIONAL);
        match needed.find(|(_, at)| at.is_none()) {
            Some((name, _)) => Err(refuse(format!("no column '{name}'"))),
            None => Ok(Self {
                at,
                width: titles.len(),
            }),
        }
    }

    fn of(&self, name: &str) -> Option<usize> {
        let column = COLUMNS.iter().position(|column| *column == name)?;
        *self.at.get(column)?
    }
}

struct FuseRow<'a> {
    columns: &'a FuseColumns,
    row: CsvRow<'a>,
}

impl<'a> FuseRow<'a> {
    fn new(columns: &'a FuseColumns, row: CsvRow<'a>) -> Result<Self, CsvError> {
        let too_short = COLUMNS
            .iter()
            .any(|name| *name != OPTIONAL && columns.of(name) >= Some(row.width()));
        if too_short {
            return Err(row.refuse_width(columns.width));
        }
        Ok(Self { columns, row })
    }

    /// The cell of a column; empty when the row or the map has none.
    fn cell(&self, name: &str) -> Result<&'a str, CsvError> {
        self.columns.of(name).map_or(Ok(""), |at| self.row.cell(at))
    }

    fn refuse(&self, name: &str, expected: &str) -> CsvError {
        let at = self.columns.of(name).unwrap_or(usize::MAX);
        self.row.refuse_cell(at, expected)
    }

    fn circuit(&self) -> Result<Circuit, CsvError> {
        let (in_box, position) = (self.cell("box")?, self.cell("position")?);
        if position.is_empty() {
            return Err(self.refuse("position", "a position, as in 4"));
        }
        let label = super::label(in_box, position);
        // A mark's labels are parted by these.
        if label.contains(['+', ',']) || label.contains(char::is_control) {
            let expected = "a box and a position without + and comma";
            return Err(self.row.refuse(excerpt(label.as_bytes()), expected));
        }
        let style = self.cell("style")?;
        let feeds = self.cell("feeds")?.split([';', '+']);
        let rating = "a rating in ampere above zero, as in 10 or 7.5";
        let weight = "a weight of zero or more, as in 2.5";
        Ok(Circuit {
            label,
            in_box: in_box.to_owned(),
            position: position.to_owned(),
            rating_a: self.number("rating_a", rating, |cell| {
                let rating_a = amount::current_a(cell).ok();
                rating_a.filter(|rating_a| *rating_a > 0.0)
            })?,
            style: (!style.is_empty()).then(|| style.to_owned()),
            feeds: feeds
                .map(|part| part.chars().filter(|c| !c.is_control()).collect::<String>())
                .map(|part| part.trim().to_owned())
                .filter(|part| !part.is_empty())
                .collect(),
            weight: self.number("weight", weight, |cell| {
                let weight = cell.replacen(',', ".", 1).parse::<f64>().ok();
                weight.filter(|weight| weight.is_finite() && *weight >= 0.0)
            })?,
        })
    }

    fn number(
        &self,
        name: &str,
        expected: &str,
        read: impl Fn(&str) -> Option<f64>,
    ) -> Result<Option<f64>, CsvError> {
        match self.cell(name)? {
            "" => Ok(None),
            cell => read(cell)
                .map(Some)
                .ok_or_else(|| self.refuse(name, expected)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEADER: &str = "box,position,rating_a,style,feeds,weight\n";

    fn of(rows: &str) -> Result<Vec<Circuit>, CsvError> {
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
        for (bytes, said) in [
            (b"".as_slice(), "the fuse map is empty"),
            (HEADER.as_bytes(), "a header and no rows"),
            (
                b"PK\0\0",
                "line 1: found the byte 0x00, which stands in no text; expected a fuse map",
            ),
        ] {
            let refused = read(bytes).unwrap_err().to_string();
            assert!(refused.contains(said), "{refused}");
        }
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
