//! What a piece of text is for. Themes turn roles into looks; nothing else knows a colour.

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
    #[must_use]
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
    #[must_use]
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

/// One row of text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Line(pub Vec<Piece>);

impl Line {
    /// A row that begins with this.
    #[must_use]
    pub fn new(role: Role, text: impl AsRef<str>) -> Self {
        Self::default().and(role, text)
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

    /// The cells it takes.
    #[must_use]
    pub fn cells(&self) -> u16 {
        self.0.iter().fold(0, |sum: u16, piece| {
            sum.saturating_add(width::cells(&piece.text))
        })
    }
}
