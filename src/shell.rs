//! The edge: the only room that touches time, files, threads, ports and the terminal.

pub mod clock;
pub mod link;
pub mod source;
pub mod threads;
