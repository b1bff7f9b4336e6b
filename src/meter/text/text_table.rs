//! Rows of a table: which cell holds the current, by place or by heading.

use super::naming::{self, Names};
use super::tokens::{Token, tokens};
use super::unit::{Unit, named};
use super::{Column, LineMeaning, LineSaid, plain};

/// What is known of the table.
#[derive(Debug)]
pub(super) struct TextTable {
    wanted: Option<Column>,
    learned: Option<HeadingColumn>,
}

/// What the last heading taught.
#[derive(Clone, Copy, Debug)]
struct HeadingColumn {
    place: usize,
    names: Names,
}

impl TextTable {
    pub(super) fn new(wanted: Option<Column>) -> Self {
        let learned = match &wanted {
            Some(Column::Number(number)) => Some(HeadingColumn {
                place: number.get().saturating_sub(1),
                names: Names::Nothing,
            }),
            Some(Column::Named(_)) | None => None,
        };
        Self { wanted, learned }
    }

    /// Reads a heading or a row; `None` when the line is neither.
    pub(super) fn read(&mut self, text: &str, unit: Unit) -> Option<LineSaid> {
        let separator = separator(text);
        if separator.is_none() && self.wanted.is_none() {
            return None;
        }
        let cells = cells(text, separator);
        if let Some(learned) = self.heading(&cells) {
            self.learned = Some(learned);
            return Some(LineMeaning::NOTHING.into());
        }
        let Some(learned) = self.learned else {
            // A column known by name only, before its heading came.
            let is_row = cells.len() > 1 && cells.iter().any(|cell| has_figure(cell));
            return (self.wanted.is_some() && is_row).then(|| LineMeaning::Garbled.into());
        };
        let Some(cell) = cells.get(learned.place) else {
            return self.wanted.is_some().then(|| LineMeaning::NOTHING.into());
        };
        let what = match learned.names {
            // A column of volts, where the user says that they stand for a current.
            Names::Other if unit.is_voltage() => plain::cell(cell, unit, separator != Some(',')),
            Names::Other => LineMeaning::OTHER,
            Names::Alternating => LineMeaning::AC,
            Names::Mega => LineMeaning::Garbled,
            Names::Current(heading) => {
                plain::cell(cell, heading.unwrap_or(unit), separator != Some(','))
            }
            // The user's word counts more than a heading that says nothing.
            Names::NotLive | Names::Nothing => plain::cell(cell, unit, separator != Some(',')),
        };
        Some(what.into())
    }

    /// What the line teaches, if it is a heading: words only, and one of them the wanted column.
    fn heading(&self, cells: &[String]) -> Option<HeadingColumn> {
        if cells.len() < 2 || cells.iter().any(|cell| has_figure(cell)) {
            return None;
        }
        let mut currents = cells
            .iter()
            .enumerate()
            .map(|(place, cell)| HeadingColumn {
                place,
                names: naming::names(cell),
            })
            .filter(|learned| match (&self.wanted, learned.names) {
                (Some(Column::Number(number)), names) => {
                    let here = number.get() == learned.place.saturating_add(1);
                    here && names != Names::Nothing
                }
                (Some(Column::Named(heading)), _) => cells
                    .get(learned.place)
                    .is_some_and(|cell| cell.eq_ignore_ascii_case(heading)),
                (None, Names::Current(_)) => true,
                (None, _) => false,
            });
        let first = currents.next()?;
        currents.next().is_none().then_some(first)
    }
}

fn separator(text: &str) -> Option<char> {
    ['\t', ';', ','].into_iter().find(|&c| text.contains(c))
}

/// The cells without blanks and quotes. Without a separator blanks separate, and a unit stays
/// with its number.
fn cells(text: &str, separator: Option<char>) -> Vec<String> {
    let Some(separator) = separator else {
        let mut cells: Vec<String> = Vec::new();
        for word in text.split_whitespace() {
            match cells.last_mut() {
                Some(last) if named(word).is_some() && is_number(last) => {
                    last.push(' ');
                    last.push_str(word);
                }
                Some(_) | None => cells.push(word.to_owned()),
            }
        }
        return cells;
    };
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in text.chars() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            cells.push(String::new());
        } else if let Some(last) = cells.last_mut() {
            last.push(c);
        }
    }
    for cell in &mut cells {
        *cell = cell.trim().to_owned();
    }
    cells
}

fn has_figure(cell: &str) -> bool {
    tokens(cell)
        .iter()
        .any(|token| matches!(token, Token::Figure(_)))
}

fn is_number(cell: &str) -> bool {
    matches!(tokens(cell).as_slice(), [Token::Figure(_)])
}
