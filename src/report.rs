//! What leaves the program as a file: CSV and JSON. Pure: bytes go to whatever writer is given.

pub mod csv;
pub mod json;
