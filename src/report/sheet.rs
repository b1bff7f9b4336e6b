//! What stands in a report, as plain words and tables: the answer first, the numbers behind it.
//! How it is set on paper or as Markdown is not known here, and nothing here is escaped.

mod answer;
mod before_after;
mod card;
mod numbers;
mod phases;
mod unproved;

use super::case::Case;
use super::plot::Plot;
use super::stamp::Stamp;
use crate::reading::capitalised;
use crate::session::caution;

/// Rows under a heading.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Table {
    /// The heading of each column.
    pub head: Vec<String>,
    /// The rows, as wide as the heading.
    pub rows: Vec<Vec<String>>,
    /// How many further rows were left out.
    pub left_out: usize,
}

impl Table {
    fn new<const N: usize>(head: [&str; N]) -> Self {
        Self {
            head: head.map(str::to_owned).to_vec(),
            ..Self::default()
        }
    }

    /// Adds rows up to `most`, and counts the rest.
    fn fill<const N: usize>(
        mut self,
        rows: impl Iterator<Item = [String; N]>,
        most: usize,
    ) -> Self {
        for row in rows {
            if self.rows.len() < most {
                self.rows.push(row.to_vec());
            } else {
                self.left_out += 1;
            }
        }
        self
    }
}

/// One of the parts behind the first page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its heading.
    pub title: &'static str,
    /// Sentences, one paragraph each.
    pub words: Vec<String>,
    /// The table, where there is one.
    pub table: Option<Table>,
}

/// A whole report.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Which car, in the workshop's words.
    pub car: String,
    /// The verdict as a badge.
    pub stamp: Stamp,
    /// The job card: names and values; an empty value is a line to write on.
    pub card: Vec<(String, String)>,
    /// The answer in plain words, the verdict first.
    pub answer: Vec<String>,
    /// Before and after, where there is something to set side by side.
    pub sides: Option<Table>,
    /// The picture.
    pub plot: Plot,
    /// How to draw the picture, for a format that holds none.
    pub picture: String,
    /// What was not proved.
    pub unproved: Vec<String>,
    /// The numbers.
    pub parts: Vec<Part>,
    /// What can hurt.
    pub cautions: Vec<String>,
    /// What made the report.
    pub maker: String,
}

impl Sheet {
    /// The report of a record; with an earlier one, of both.
    #[must_use]
    pub fn new(case: &Case, earlier: Option<&Case>) -> Self {
        let car = case.session.card().car.clone();
        let sides = before_after::sides(case, earlier);
        Self {
            car: car.unwrap_or_else(|| "Car not named".into()),
            stamp: Stamp::new(case),
            card: card::card(case),
            answer: answer::answer(case, sides.is_some()),
            sides,
            plot: Plot::new(case, earlier),
            picture: picture(case, earlier),
            unproved: unproved::unproved(case),
            parts: numbers::parts(case, earlier),
            cautions: caution::on_paper(),
            maker: format!(
                "lullboard {}, rules {}, from {}",
                env!("CARGO_PKG_VERSION"),
                case.judgement.rules,
                case.source.file
            ),
        }
    }
}

/// What the words' room says, as a sentence of its own.
fn sentence(words: &str) -> String {
    let end = if words.ends_with(['.', '?']) { "" } else { "." };
    format!("{}{end}", capitalised(words))
}

/// Where the picture is, for whoever reads text alone.
fn picture(case: &Case, earlier: Option<&Case>) -> String {
    let file = &case.source.file;
    let stem = file
        .rsplit_once('.')
        .map_or(file.as_str(), |(stem, _)| stem);
    let beside = earlier.map(|earlier| format!(" --compare {}", earlier.source.file));
    format!(
        "The plot is a file of its own: lullboard export {file} --to {stem}.svg{}",
        beside.unwrap_or_default()
    )
}
