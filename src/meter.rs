//! Meters: bytes in, readings and faults out. How the bytes were cut never changes the result.
//!
//! One file a wire format. No port, socket or thread here: `shell::ports` brings the bytes.

pub mod answered;
mod ascii14;
pub mod detect;
mod display;
mod es11;
mod es51922;
pub mod format;
mod frame;
mod fs9922;
pub mod handheld;
mod lcd14;
pub mod modbus;
pub mod probe;
pub mod query;
pub mod sample;
pub mod scpi;
mod seven_bit;
mod stx16;
pub mod talker;
pub mod text;
pub mod uri;

pub use answered::Answered;
pub use format::Format;
pub use handheld::Handheld;
pub use probe::{Expects, Probe, Voltage};
pub use talker::{Rate, Talker, Turn};
pub use text::Unit;
pub use uri::MeterUri;

use crate::reading::Measured;

/// What a decoder made of the bytes.
#[derive(Clone, Debug, PartialEq)]
pub enum Heard {
    /// A live direct current, or that it was over-range.
    Value(Measured),
    /// A whole message that holds no live direct current.
    Unusable(Unusable),
    /// Bytes that are no message of this format: at most the first [`sample::SAMPLE`] of them.
    Rejected(Vec<u8>),
    /// The meter changed its unit or range; to what. Stands before the value that shows it.
    Range(String),
    /// The meter's own cell is low. Stands before the value it came with.
    LowCell,
    /// A live direct voltage: a current where a clamp or a shunt made it, see [`probe`].
    Voltage(Voltage),
    /// The meter answers, but gives no current until someone does something: what, in words.
    Trouble(String),
    /// The meter will switch itself off when nobody touches it. Stands before the value it came
    /// with; a value without it says that this is over.
    AutoPowerOff,
    /// A whole message whose meaning is not known for sure: shown to the user, never guessed.
    Unsure {
        /// The message.
        bytes: Vec<u8>,
        /// What is not known, and what would do instead.
        why: &'static str,
    },
}

impl Heard {
    /// Whether it is what a whole message shows, and not what stands beside that.
    pub(crate) const fn is_message(&self) -> bool {
        matches!(
            self,
            Self::Value(_) | Self::Voltage(_) | Self::Unusable(_) | Self::Unsure { .. }
        )
    }

    /// These bytes are no message; only the first of them are kept.
    pub(crate) fn rejected(bytes: &[u8]) -> Self {
        Self::Rejected(bytes.iter().copied().take(sample::SAMPLE).collect())
    }
}

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

    /// What the meter must be sent again and again to make it speak; `None` for meters that send
    /// by themselves. The user who names the format in a meter URI has allowed these bytes.
    fn poll(&self) -> Option<Poll> {
        None
    }
}

/// What makes a meter speak that sends nothing by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Poll {
    /// The bytes to send.
    pub bytes: &'static [u8],
    /// How often, in seconds.
    pub every_s: f64,
}
