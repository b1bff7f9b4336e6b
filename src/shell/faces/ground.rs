//! Which ground the terminal has: asked, where nothing says it.

use std::io::{self, IsTerminal};
use std::sync::OnceLock;
use std::time::Duration;

use terminal_colorsaurus::{QueryOptions, background_color};

/// A terminal at the far end of a slow line answers within this; one that never does is not waited for
/// any longer.
const PATIENCE: Duration = Duration::from_millis(400);

/// Light or dark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ground {
    Light,
    Dark,
}

/// What the terminal answered, once for the whole program; `None` when it did not. Not to be asked
/// while the keys are listened to: the answer comes where they do.
pub(super) fn ask() -> Option<Ground> {
    static ANSWER: OnceLock<Option<Ground>> = OnceLock::new();
    *ANSWER.get_or_init(|| {
        if !io::stdout().is_terminal() {
            return None;
        }
        let mut how = QueryOptions::default();
        how.timeout = PATIENCE;
        background_color(how).ok().map(|ground| {
            if ground.perceived_lightness() > 0.5 {
                Ground::Light
            } else {
                Ground::Dark
            }
        })
    })
}
