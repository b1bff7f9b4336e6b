//! The edge: the only room that touches time, files, threads, ports and the terminal.

pub mod clock;
pub mod gaps;
pub mod keys;
pub mod signals;
pub mod terminal;
pub mod threads;
