//! A serial port, 8N1 for all that only speak: every common setting is ten bits on the wire, so one
//! setting reads them all and parity is the decoder's business. A meter that must be asked may want
//! to see its own.

use std::io::{self, Read, Write};
use std::num::NonZeroU32;
use std::path::{Path, PathBuf};
use std::time::Duration;

use serialport::{ClearBuffer, DataBits, FlowControl, Parity, SerialPort, StopBits};

use super::list::Port;
use super::whereabouts::Whereabouts;
use super::{Opened, Opener, READ_TIMEOUT, SourceError, Stream, list};
use crate::meter::modbus;
use crate::reading::number;

/// What small boards and bench meters use, when nobody said.
const DEFAULT_BAUD: u32 = 9600;
/// Up to here some adapters miss the speed they were set to.
const SLOW_BAUD: u32 = 2400;
/// An adapter may hold bytes back for 16 ms; anything sooner was on its way already.
const ADAPTER_HOLDS_S: f64 = 0.02;
/// One character is ten bits; four of them are no pause inside a message.
const PAUSE_BITS: f64 = 40.0;

/// How the line is set.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct LineSettings {
    /// Bits a second, when known.
    pub baud: Option<NonZeroU32>,
    /// Whether RTS is on.
    pub rts: bool,
    /// The parity the meter wants to see.
    pub parity: modbus::Parity,
}

impl LineSettings {
    fn baud(self) -> u32 {
        self.baud.map_or(DEFAULT_BAUD, NonZeroU32::get)
    }
}

/// Opens a port and finds it again, under another name too.
pub(super) struct SerialOpener {
    line: LineSettings,
    whereabouts: Whereabouts,
    /// Whether the last look was for every port, in vain.
    has_listed: bool,
}

impl SerialOpener {
    pub(super) fn new(path: &str, line: LineSettings) -> Self {
        Self {
            line,
            whereabouts: Whereabouts::new(PathBuf::from(path)),
            has_listed: false,
        }
    }

    fn nowhere(&self, there: &[Port]) -> SourceError {
        SourceError::NoSuchPort {
            path: self.whereabouts.given.to_string_lossy().into_owned(),
            there: list::in_words(there),
        }
    }
}

impl Opener for SerialOpener {
    fn open(&mut self) -> Result<Opened, SourceError> {
        let mut fault = None;
        // To list the ports is nearly all that a look for a lost one costs, and most get their old name
        // back: while nothing has it, every second look goes no further.
        if self.has_listed && !self.whereabouts.given.exists() {
            self.has_listed = false;
            return Err(self.nowhere(&[]));
        }
        let ports = list::ports();
        self.has_listed = true;
        for path in self.whereabouts.candidates(&ports) {
            match open_port(&path, self.line, &ports) {
                Ok(port) => {
                    self.whereabouts.found(&path, &list::ports());
                    self.has_listed = false;
                    let pause_s = PAUSE_BITS / number::f64_from_i64(i64::from(self.line.baud()));
                    return Ok(Opened {
                        stream: Box::new(SerialStream(port)),
                        place: path.to_string_lossy().into_owned(),
                        midway_s: Some(pause_s.max(ADAPTER_HOLDS_S)),
                    });
                }
                Err(error) => fault = fault.or(Some(error)),
            }
        }
        Err(fault.unwrap_or_else(|| self.nowhere(&ports)))
    }

    fn loss(&self) -> &'static str {
        "cable or adapter unplugged"
    }

    fn soon_lost(&self) -> Option<&'static str> {
        Some(
            "gone seconds after it was opened: a loose plug, or a service that takes new ports \
             (brltty for braille displays, ModemManager): stop or remove it",
        )
    }

    fn noise_mend(&self) -> String {
        let baud = self.line.baud();
        let speed = format!("is baud={baud} the meter's speed?");
        if baud <= SLOW_BAUD {
            // One was measured at 380 when set to 2400.
            format!("{speed} Some adapters are far off at slow speeds: try another adapter")
        } else {
            speed
        }
    }
}

/// Opens one port as every meter here wants it: eight data bits, one stop bit, no handshake, DTR
/// on and as a rule RTS off, which powers optical cables and lets native-USB boards speak. Where it is not,
/// the error names those that are `there`.
pub(super) fn open_port(
    path: &Path,
    line: LineSettings,
    there: &[Port],
) -> Result<Box<dyn SerialPort>, SourceError> {
    let parity = match line.parity {
        modbus::Parity::None => Parity::None,
        modbus::Parity::Even => Parity::Even,
        modbus::Parity::Odd => Parity::Odd,
    };
    let name = path.to_string_lossy();
    let mut port = serialport::new(name.as_ref(), line.baud())
        .data_bits(DataBits::Eight)
        .parity(parity)
        .stop_bits(StopBits::One)
        .flow_control(FlowControl::None)
        .timeout(READ_TIMEOUT)
        .dtr_on_open(true)
        .open()
        .map_err(|error| SourceError::serial(&name, &error, there))?;
    // A pseudo-terminal has no such line, and a meter without it is soon seen to be silent.
    let _ = port.write_request_to_send(line.rts);
    Ok(port)
}

/// Owns the one handle: a dropped clone would open the port to other programs.
struct SerialStream(Box<dyn SerialPort>);

impl Stream for SerialStream {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        Read::read(&mut self.0, buffer)
    }

    fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write_all(bytes)
    }

    fn wait_at_most(&mut self, span: Duration) {
        // A port that cannot do this is lost, and the next read says so.
        let _ = self.0.set_timeout(span);
    }

    fn discard_waiting(&mut self) {
        // A port that cannot do this is lost, and the next read says so.
        let _ = self.0.clear(ClearBuffer::Input);
    }

    fn take_backlog(&mut self) -> Option<Vec<u8>> {
        let waiting = self.0.bytes_to_read().unwrap_or(0);
        let mut backlog = Vec::new();
        // A port that cannot do this is lost, and the next read says so.
        let waiting = u64::from(waiting);
        let _ = Read::by_ref(&mut self.0)
            .take(waiting)
            .read_to_end(&mut backlog);
        self.discard_waiting();
        Some(backlog)
    }

    fn is_alive(&mut self) -> bool {
        self.0.bytes_to_read().is_ok()
    }
}
