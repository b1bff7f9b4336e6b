//! The edge: the only room that touches time, files, threads, ports and the terminal.
