//! Where a meter's bytes come from: a serial port, a socket, a pipe. Opening, reading, finding
//! again. What the bytes mean is the decoder's business; what happens to them, the link's.

pub mod heard;
mod holder;
pub mod known_meters;
pub mod list;
pub mod listen;
pub mod listeners;
mod pipe;
mod serial;
mod source_error;
mod tcp;
mod whereabouts;

use std::io;
use std::time::Duration;

pub use source_error::SourceError;

use crate::meter::uri::{AskedMeter, MeterUri};

/// A read waits this long at most, so that a stop is soon seen; long enough for a meter of four readings a
/// second, which so wakes nobody in vain.
pub const READ_TIMEOUT: Duration = Duration::from_millis(300);

/// An open connection whose reads give up after a third of a second.
pub trait Stream: Send {
    /// Reads what is there, waiting a little for it.
    ///
    /// # Errors
    /// `TimedOut`, `WouldBlock` and `Interrupted` mean "nothing yet"; `Ok(0)` and every other
    /// error mean that the connection is gone.
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize>;

    /// Sends `bytes` whole.
    ///
    /// # Errors
    /// Every error means that the connection is gone, or that nothing can be sent over it.
    fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        let _ = bytes;
        Err(io::ErrorKind::Unsupported.into())
    }

    /// Lets the next reads give up after `span` already, because something is to be sent then.
    fn wait_at_most(&mut self, span: Duration) {
        let _ = span;
    }

    /// Drops what came before anyone listened: it could not be given its time.
    fn discard_waiting(&mut self) {}

    /// Takes what came while the program stood still, as far as the system kept it. `None` where
    /// all of it counts all the same: a pipe waits for its reader.
    fn take_backlog(&mut self) -> Option<Vec<u8>> {
        None
    }

    /// Whether the connection still stands; asked when nothing came for a while, because some
    /// systems report a lost port as a time-out for ever.
    fn is_alive(&mut self) -> bool {
        true
    }
}

/// Opens one source, and opens it again after it was lost.
pub trait Opener: Send {
    /// Opens it, wherever it is now.
    ///
    /// # Errors
    /// [`SourceError`] with the mend.
    fn open(&mut self) -> Result<Opened, SourceError>;

    /// Whether to look for it again when it is gone; an ended pipe does not come back.
    fn comes_back(&self) -> bool {
        true
    }

    /// Why it may be gone, in plain words.
    fn loss(&self) -> &'static str;

    /// What else to say when it went away seconds after it was opened.
    fn soon_lost(&self) -> Option<&'static str> {
        None
    }

    /// What to check when the bytes make no sense.
    fn noise_mend(&self) -> String;
}

/// A connection just opened.
pub struct Opened {
    /// The connection.
    pub stream: Box<dyn Stream>,
    /// Where it is, as the board shows it.
    pub place: String,
    /// When bytes that come sooner than this after opening may be the tail of a message: so many
    /// seconds.
    pub midway_s: Option<f64>,
}

/// A source whose first opening succeeded.
pub enum OpenSource {
    /// Bytes come from here.
    Bytes {
        /// The connection.
        opened: Opened,
        /// How to open it again.
        opener: Box<dyn Opener>,
    },
    /// Nothing to read: readings are typed on the board.
    ByHand,
}

/// Opens the source for the first time, so that a fault is told before any screen opens.
///
/// # Errors
/// [`SourceError`] with the mend; also for `replay:` and `rehearsal:`, which bring entries and
/// not bytes.
pub fn open_first(uri: &MeterUri) -> Result<OpenSource, SourceError> {
    let mut source: Box<dyn Opener> = match uri {
        MeterUri::Serial(line) => {
            let asked = line.wire.ask.as_ref();
            let settings = serial::LineSettings {
                baud: line.baud_or_usual(),
                rts: line.rts,
                parity: asked.map(AskedMeter::parity).unwrap_or_default(),
            };
            Box::new(serial::SerialOpener::new(&line.path, settings))
        }
        MeterUri::Tcp { address, .. } => Box::new(tcp::TcpOpener {
            address: address.clone(),
        }),
        MeterUri::Pipe { .. } => Box::new(pipe::StdinOpener),
        MeterUri::Manual => return Ok(OpenSource::ByHand),
        MeterUri::Replay { .. } | MeterUri::Rehearsal { .. } => {
            return Err(SourceError::NoBytes(uri.to_string()));
        }
    };
    Ok(OpenSource::Bytes {
        opened: source.open()?,
        opener: source,
    })
}

/// Whether a read error only means that nothing came yet.
pub fn is_nothing_yet(error: &io::Error) -> bool {
    matches!(
        error.kind(),
        io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock | io::ErrorKind::Interrupted
    )
}
