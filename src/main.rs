//! Flags in, `shell::run`, one line and an exit code on failure.
fn main() {}
