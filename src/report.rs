//! What leaves the program as a file: CSV and JSON; and as lines of plain text.

pub mod text;
