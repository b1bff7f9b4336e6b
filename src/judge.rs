//! What the facts mean: phase, trials, verdict, each with its reason. Pure: the same session and
//! the same rules always give the same judgement, and nothing derived is ever stored.

pub mod finding;
pub mod limit;

pub use finding::{Judgement, Phase, PhaseSpan, Trial};

use crate::session::Session;

/// Which edition of the rules judged; stands in every report.
pub const RULES: &str = "1";

/// Judges a session as it stands.
#[must_use]
pub fn judge(session: &Session) -> Judgement {
    Judgement::nothing_yet(session)
}
