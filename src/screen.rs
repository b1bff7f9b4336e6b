//! What the terminal shows: a [`Scene`] says it, a [`Picture`] draws it. Reads the desk, changes nothing.
#![deny(clippy::arithmetic_side_effects)]

pub mod arrange;
pub mod counted;
pub mod digits;
pub mod glyphs;
pub mod paint;
mod panels;
pub mod picture;
pub mod progress;
pub mod role;
pub mod scene;
pub mod theme;
pub mod trace;
pub mod width;

pub use arrange::Areas;
pub use picture::Picture;
pub use role::{Line, Role};
pub use scene::Scene;
pub use theme::Theme;
