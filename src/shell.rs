//! The edge: the only room that touches time, files, threads, ports and the terminal.

pub mod clock;
pub mod scribe;
pub mod session_file;
pub mod threads;
