//! What happens to a recording, by accident: each fault is done to the built program, and what was
//! visible before it has to be in a file afterwards.

#![cfg(unix)]
#![expect(
    clippy::unwrap_used,
    reason = "the helpers of a test may fail as loudly as the test itself"
)]

#[path = "faults/astray.rs"]
mod astray;
#[path = "faults/endless.rs"]
mod endless;
#[path = "faults/full.rs"]
mod full;
#[path = "faults/recorder.rs"]
mod recorder;
#[path = "faults/unattended.rs"]
mod unattended;
