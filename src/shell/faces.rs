//! Where a session is shown and its keys come from: the board on the terminal, or plain lines.

mod bell_patterns;
pub mod counter;
mod ground;
pub mod keys;
mod late_answer;
mod looks;
pub mod plain_lines;
mod sixteen;
pub mod stage;
pub mod terminal;

pub use looks::{Characters, Colours, theme};
