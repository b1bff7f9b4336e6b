//! Other people's logs: the first bad row is the last thing said, time never runs back, and every
//! entry can be kept.

use std::io::{BufRead, BufReader, Read as _};

use lullboard::journal::import::{ImportOptions, Importer};
use lullboard::journal::{header, line};
use lullboard::meter::Unit;
use lullboard::reading::Elapsed;
use lullboard::session::entry::{Entry, Header};

use super::dice::Dice;
use super::journal::calm;

/// The bytes that come at once; a file gives more.
const FIRST: usize = 512;

/// The header of the session, its entries, and what ended them.
fn imported(
    bytes: impl BufRead,
    options: &ImportOptions,
) -> (Option<Header>, Vec<Entry>, Option<String>) {
    let began = header::unknown().started;
    let mut rows = match Importer::new(bytes, options, began) {
        Ok(rows) => rows,
        Err(why) => return (None, Vec::new(), Some(why.to_string())),
    };
    let header = rows.header.clone();
    let mut entries = Vec::new();
    let mut end = None;
    for row in rows.by_ref() {
        assert!(end.is_none(), "a row behind an error");
        match row {
            Ok(entry) => entries.push(entry),
            Err(why) => end = Some(why.to_string()),
        }
    }
    assert!(rows.next().is_none(), "a row behind the end");
    (Some(header), entries, end)
}

/// The first byte says how the rest is read; half of the inputs begin with a usual header.
pub fn csv_log(bytes: &[u8]) {
    let mut dice = Dice::new(bytes);
    let how = dice.byte();
    let head: &[u8] = match how % 8 {
        0 => b"time_s,current_a,mark\n",
        1 => b"time,current_a,voltage_v\n",
        2 => b"time_s;current_a\n",
        3 => b"time_s,voltage_v,mark\n",
        _ => b"",
    };
    let options = ImportOptions {
        time_col: (how & 16 == 16).then(|| "t".into()),
        current_col: (how & 32 == 32).then(|| "i".into()),
        unit: if how & 64 == 64 {
            Unit::Milliampere
        } else {
            Unit::Ampere
        },
    };
    let file = [head, dice.rest()].concat();
    let found = imported(&file[..], &options);
    // What parts the cells is seen in the first bytes that come, and so is what is no text at all.
    let (first, rest) = file.split_at(file.len().min(FIRST));
    let cut = imported(first.chain(BufReader::with_capacity(7, rest)), &options);
    if !file
        .iter()
        .any(|byte| byte.is_ascii_control() && !b"\t\r\n".contains(byte))
    {
        assert_eq!(cut, found, "cut otherwise");
    }
    let (_, entries, end) = found;
    if let Some(why) = end {
        calm(&why);
    }
    let mut last: Option<Elapsed> = None;
    for entry in &entries {
        assert!(
            last.is_none_or(|last| last <= entry.t),
            "{last:?} {entry:?}"
        );
        last = Some(entry.t);
        let mut written = Vec::new();
        line::write(entry, &mut written).expect("a Vec takes all");
        assert_eq!(line::read(&written).as_ref(), Ok(entry));
    }
}
