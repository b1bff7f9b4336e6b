//! A mark as the session holds it: where in the order of things done, and whether it stands.

use super::mark::Mark;
use crate::reading::Elapsed;

/// A mark, when it was journalled, and whether it was struck.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// The mark.
    pub mark: Mark,
    /// When the journal took it.
    pub noted: Elapsed,
    /// Whether a later strike withdrew it.
    pub struck: bool,
}

impl Placed {
    /// When the thing was done.
    #[must_use]
    pub fn at(&self) -> Elapsed {
        self.mark.done_at(self.noted)
    }
}
