//! A network socket that sends what a serial port would.

use std::io::{self, ErrorKind, Read};
use std::net::{TcpStream, ToSocketAddrs};
use std::time::Duration;

use super::{Opened, Opener, SourceError, Stream};

const CONNECT_TIMEOUT: Duration = Duration::from_secs(5);
const READ_TIMEOUT: Duration = Duration::from_millis(200);

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
}
