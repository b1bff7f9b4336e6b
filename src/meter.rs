//! Meters: bytes in, readings and faults out. How the bytes were cut never changes the result.
//!
//! One file a wire format. No port, socket or thread here: `shell::source` brings the bytes.

pub mod ask;
pub mod modbus;
pub mod probe;
pub mod scpi;
pub mod text;

use crate::reading::Measured;
use probe::Voltage;

/// What a decoder made of the bytes.
#[derive(Clone, Debug, PartialEq)]
pub enum Heard {
    /// A live direct current, or that it was over-range.
    Value(Measured),
    /// A whole message that holds no live direct current.
    Unusable(Unusable),
    /// Bytes that are no message of this format: at most the first [`SAMPLE`] of them.
    Rejected(Vec<u8>),
    /// The meter changed its unit or range; to what. Stands before the value that shows it.
    Range(String),
    /// The meter's own cell is low. Stands before the value it came with.
    LowCell,
    /// A live direct voltage: a current where a clamp or a shunt made it, see [`probe`].
    Voltage(Voltage),
    /// The meter answers, but gives no current until someone does something: what, in words.
    Trouble(String),
}

/// How many rejected bytes are kept to be shown.
pub const SAMPLE: usize = 32;

/// Why a whole message is not a live direct current.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unusable {
    /// The display was frozen (HOLD, MIN/MAX).
    Held,
    /// Relative mode: the zero is not zero.
    Relative,
    /// Alternating current.
    Ac,
    /// Another quantity: volts, ohms.
    OtherQuantity,
    /// Well-formed, but without a value: a heading, an empty line, `nan`.
    NoReading,
}

/// Turns the bytes of one wire format into what was heard.
pub trait Decoder: Send {
    /// Takes more bytes and adds what they completed to `heard`.
    fn feed(&mut self, bytes: &[u8], heard: &mut Vec<Heard>);

    /// Forgets a half message: the connection was lost.
    fn reset(&mut self);

    /// Expects the next bytes to begin inside a message, as they do when a port is opened while
    /// the meter sends. Formats that know a whole message by its shape need do nothing.
    fn join_midway(&mut self) {}

    /// The format's name, as a meter URI has it.
    fn name(&self) -> &'static str;
}
