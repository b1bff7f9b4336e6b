//! What the terminal shows: `draw(scene, theme, frame)`. Reads the desk, changes nothing.
#![deny(clippy::arithmetic_side_effects)]

pub mod arrange;
pub mod counted;
pub mod digits;
pub mod glyphs;
pub mod paint;
mod panels;
pub mod progress;
pub mod role;
pub mod scene;
pub mod theme;
pub mod trace;
pub mod width;

use ratatui::Frame;

use crate::desk::start::Start;
pub use arrange::Areas;
use progress::Progress;
pub use role::{Line, Role};
pub use scene::Scene;
pub use theme::Theme;

/// Draws the scene. It was made for one size; on a frame of another it is cut, never torn.
pub fn draw(scene: &Scene, theme: &Theme, frame: &mut Frame<'_>) {
    panels::draw(scene, &mut panels::Canvas::new(frame.buffer_mut(), theme));
}

/// Draws how far long work has come, while there is nothing else to show.
pub fn draw_progress(progress: &Progress, theme: &Theme, frame: &mut Frame<'_>) {
    let area = frame.area();
    let lines = progress.lines(area.width, area.height);
    panels::draw_lines(&lines, &mut panels::Canvas::new(frame.buffer_mut(), theme));
}

/// Draws the start card.
pub fn draw_start(start: &Start, theme: &Theme, frame: &mut Frame<'_>) {
    let area = frame.area();
    let lines = scene::start::rows(start, area.width, area.height);
    panels::draw_lines(&lines, &mut panels::Canvas::new(frame.buffer_mut(), theme));
}
