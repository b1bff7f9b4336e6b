//! What a piece of text is for. Themes turn roles into looks; nothing else knows a colour.

use textwrap::core::Fragment;
use textwrap::wrap_algorithms::wrap_first_fit;

use super::paint::Paint;
use super::width;
use crate::judge::finding::{Finding, Phase, Verdict};

/// What a piece of text is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// Ordinary text.
    Plain,
    /// Less important.
    Dim,
    /// To be read first.
    Strong,
    /// A key that can be pressed.
    Key,
    /// Something is wrong and stays wrong.
    Alarm,
    /// Work that can do damage.
    Caution,
    /// Advice.
    Hint,
    /// Current below the limit.
    Trace,
    /// Current above the limit.
    TraceAbove,
    /// The limit.
    Limit,
    /// A mark on the plot.
    Flag,
    /// The cursor on the plot.
    Cursor,
    /// The moment at which the sleep time-out has run.
    Timeout,
    /// The ground of a wake on the plot.
    Shade,
    /// Lines between things.
    Frame,
    /// A phase.
    Phase(Phase),
    /// As it should be.
    Good,
    /// Not as it should be.
    Bad,
    /// Nobody can tell.
    Unsure,
    /// The selected row.
    Selected,
    /// A rating, on the colour of its fuse.
    Rating(Paint),
}

impl Role {
    /// How a finding looks.
    pub const fn of_finding(finding: Finding) -> Self {
        match finding {
            Finding::Clears | Finding::Lowers => Self::Good,
            Finding::NoChange => Self::Plain,
            Finding::Raises => Self::Bad,
            Finding::CannotTell | Finding::Spoiled => Self::Unsure,
            Finding::NotYet => Self::Dim,
        }
    }

    /// How a verdict looks.
    pub const fn of_verdict(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Above => Self::Bad,
            Verdict::Below => Self::Good,
            Verdict::CannotTell => Self::Unsure,
            Verdict::NotSettled => Self::Dim,
        }
    }
}

/// A piece of text with its role.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// What it is for.
    pub role: Role,
    /// The text, harmless.
    pub text: String,
}

/// A piece of a flow, and what parts it from the next.
#[derive(Debug)]
struct Unbroken<'a>(Line, &'a str);

impl Fragment for Unbroken<'_> {
    fn width(&self) -> f64 {
        f64::from(self.0.cells())
    }

    fn whitespace_width(&self) -> f64 {
        f64::from(width::cells(self.1))
    }

    fn penalty_width(&self) -> f64 {
        0.0
    }
}

/// One row of text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line(pub Vec<Piece>);

impl Line {
    /// A row that begins with this.
    pub fn new(role: Role, text: impl AsRef<str>) -> Self {
        Self::default().and(role, text)
    }

    /// A paragraph: rows of at most `columns` cells, `rows` of them at most.
    pub fn wrapped(role: Role, text: &str, columns: u16, rows: u16) -> Vec<Self> {
        let lines = width::wrap(text, columns, rows).into_iter();
        lines.map(|line| Self::new(role, line)).collect()
    }

    /// Pieces that are never broken, one behind the other with `gap` between them, in as many
    /// rows of `columns` cells as they take.
    pub fn flowing(pieces: impl IntoIterator<Item = Self>, gap: &str, columns: u16) -> Vec<Self> {
        let pieces: Vec<Unbroken<'_>> =
            pieces.into_iter().map(|line| Unbroken(line, gap)).collect();
        let rows = wrap_first_fit(&pieces, &[f64::from(columns)]).into_iter();
        rows.map(|row| {
            row.iter()
                .fold(Self::default(), |line, Unbroken(piece, gap)| {
                    let gap = if line.0.is_empty() { "" } else { gap };
                    line.and(Role::Plain, gap).with(piece.clone())
                })
        })
        .collect()
    }

    /// The row with this behind it.
    #[must_use]
    pub fn and(mut self, role: Role, text: impl AsRef<str>) -> Self {
        self.0.push(Piece {
            role,
            text: width::sanitize(text.as_ref()),
        });
        self
    }

    /// The row with another behind it.
    #[must_use]
    pub fn with(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    /// The cells it takes.
    pub fn cells(&self) -> u16 {
        self.0.iter().fold(0, |sum: u16, piece| {
            sum.saturating_add(width::cells(&piece.text))
        })
    }
}
