//! What stands in a report, as plain words and tables, for three readers: the customer, the next
//! technician, and whoever asks for the figures. it is set on paper or as Markdown is not
//! known here, and nothing here is escaped.

mod answer;
mod before_after;
mod card;
mod customer;
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
    /// Whether the last column holds sentences, which paper has no room for beside the others.
    pub ends_in_words: bool,
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

/// One of the parts behind the first page: a heading with what stands under it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its heading.
    pub title: &'static str,
    /// Sentences, one paragraph each.
    pub words: Vec<String>,
    /// The table, where there is one.
    pub table: Option<Table>,
}

/// Over the part that is for the next technician.
pub const FOR_TECHNICIAN: &str = "For the next technician";

/// Over the figures.
pub const FIGURES: &str = "The figures behind it";

/// What is signed on the first page.
pub const SIGNED: [&str; 3] = ["date", "for the workshop", "customer"];

/// A whole report.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// Which car, in the workshop's words.
    pub car: String,
    /// The verdict as a badge.
    pub stamp: Stamp,
    /// What is the customer's of the job card: names and values; an empty value is a line to
    /// write on.
    pub front: Vec<(String, String)>,
    /// The answer as the customer reads it, in one sentence.
    pub plain: String,
    /// What the customer has to know beside it.
    pub beside: Vec<String>,
    /// The picture.
    pub plot: Plot,
    /// How to draw the picture, for a format that holds none.
    pub picture: String,
    /// The answer as the technician reads it, the verdict first.
    pub answer: Vec<String>,
    /// The rest of the job card.
    pub card: Vec<(String, String)>,
    /// Before and after, where there is something to set side by side.
    pub sides: Option<Table>,
    /// What was not proved.
    pub unproved: Vec<String>,
    /// What to try next, where something is left to try.
    pub plan: Option<Part>,
    /// What can hurt.
    pub cautions: Vec<String>,
    /// The figures.
    pub figures: Vec<Part>,
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
            front: card::front(case),
            plain: customer::sentence(case, earlier),
            beside: customer::beside(case, earlier),
            plot: Plot::new(case, earlier),
            picture: picture(case, earlier),
            answer: answer::answer(case, sides.is_some()),
            card: card::rest(case),
            sides,
            unproved: unproved::unproved(case),
            plan: numbers::plan(case),
            cautions: caution::on_paper(&caution::of_work(&case.session)),
            figures: numbers::parts(case, earlier),
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
