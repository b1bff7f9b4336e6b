//! A network socket that sends what a serial port would.

use std::io::{self, ErrorKind, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::time::Duration;

use super::{Opened, Opener, READ_TIMEOUT, SourceError, Stream};

const CONNECT_TIMEOUT: Duration = Duration::from_secs(5);
const SEND_TIMEOUT: Duration = Duration::from_secs(5);

/// Connects, and connects again.
pub(super) struct TcpOpener {
    address: String,
}

impl TcpOpener {
    pub(super) fn new(address: &str) -> Self {
        Self {
            address: address.to_owned(),
        }
    }

    fn connect(&self) -> io::Result<TcpStream> {
        let mut fault = io::Error::from(ErrorKind::AddrNotAvailable);
        for address in self.address.to_socket_addrs()? {
            match TcpStream::connect_timeout(&address, CONNECT_TIMEOUT) {
                Ok(stream) => {
                    stream.set_read_timeout(Some(READ_TIMEOUT))?;
                    stream.set_write_timeout(Some(SEND_TIMEOUT))?;
                    // A question is one small packet, and its answer is waited for.
                    stream.set_nodelay(true)?;
                    return Ok(stream);
                }
                Err(error) => fault = error,
            }
        }
        Err(fault)
    }
}

impl Opener for TcpOpener {
    fn open(&mut self) -> Result<Opened, SourceError> {
        let address = self.address.clone();
        match self.connect() {
            Ok(stream) => Ok(Opened {
                stream: Box::new(SocketStream(stream)),
                place: address,
                // A connection begins where the sender begins.
                midway_s: None,
            }),
            Err(error) if error.kind() == ErrorKind::ConnectionRefused => {
                Err(SourceError::Refused { address })
            }
            Err(error) => Err(SourceError::Unreachable {
                address,
                why: error.to_string(),
            }),
        }
    }

    fn loss(&self) -> &'static str {
        "the instrument closed the connection"
    }

    fn noise_mend(&self) -> String {
        format!("is {} the socket that sends readings?", self.address)
    }
}

struct SocketStream(TcpStream);

impl Stream for SocketStream {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        self.0.read(buffer)
    }

    fn send(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.0.write_all(bytes)
    }

    fn wait_at_most(&mut self, span: Duration) {
        // Zero would mean for ever.
        let span = span.max(Duration::from_millis(1));
        // A socket that cannot do this is lost, and the next read says so.
        let _ = self.0.set_read_timeout(Some(span));
    }
}
