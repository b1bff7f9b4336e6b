//! What leaves the program as a file, CSV and JSON, or as lines of text. Pure: bytes go to
//! whatever writer is given.

pub mod csv;
pub mod drop;
pub mod json;
pub mod standing;
pub mod text;
