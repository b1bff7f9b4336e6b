//! What the terminal shows: `draw(scene, theme, frame)`. Reads the desk, changes nothing.
#![deny(clippy::arithmetic_side_effects)]
