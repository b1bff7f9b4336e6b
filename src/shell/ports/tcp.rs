//! A network socket that sends what a serial port would.

use std::io::{self, ErrorKind, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::time::Duration;

use super::{Opened, Opener, READ_TIMEOUT, SourceError, Stream};

const CONNECT_TIMEOUT: Duration = Duration::from_secs(5);
const SEND_TIMEOUT: Duration = Duration::from_secs(5);

/// A sender that never pauses is not waited for.
const MOST_BACKLOG: u64 = 4 << 20;

/// Connects, and connects again.
pub(super) struct TcpOpener {
    pub address: String,
}

impl TcpOpener {
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
                Err(SourceError::Refused(address))
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

    fn take_backlog(&mut self) -> Option<Vec<u8>> {
        let mut backlog = Vec::new();
        // A socket that fails here is lost, and the next read says so.
        if self.0.set_nonblocking(true).is_ok() {
            let _ = (&self.0).take(MOST_BACKLOG).read_to_end(&mut backlog);
            let _ = self.0.set_nonblocking(false);
        }
        Some(backlog)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::TcpListener;

    #[test]
    fn a_backlog_is_taken_and_the_socket_reads_on() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = listener.local_addr().unwrap().to_string();
        let mut opened = TcpOpener { address }.open().unwrap();
        let (mut far, _) = listener.accept().unwrap();
        far.write_all(b"old\n").unwrap();
        let mut buffer = [0; 4];
        // When its first byte is there, all of it is.
        while opened.stream.read(&mut buffer[..1]).is_err() {}
        assert_eq!(opened.stream.take_backlog().unwrap(), b"ld\n");
        far.write_all(b"new\n").unwrap();
        while opened.stream.read(&mut buffer).is_err() {}
        assert_eq!(&buffer, b"new\n");
        drop(far);
        assert_eq!(opened.stream.read(&mut buffer).unwrap(), 0);
    }
}
