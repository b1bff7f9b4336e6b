//! Standard input. A read of it cannot be given a time limit, so a pump waits in our place.

use std::io::{self, ErrorKind, IsTerminal, Read};

use crossbeam_channel::{Receiver, RecvTimeoutError, Sender};

use super::{Opened, Opener, READ_TIMEOUT, SourceError, Stream};

/// How many reads may wait: a writer that is faster than the journal is held up.
const WAITING: usize = 16;
const CHUNK: usize = 4096;

/// Opens standard input, once.
pub(super) struct StdinOpener;

impl Opener for StdinOpener {
    fn open(&mut self) -> Result<Opened, SourceError> {
        if io::stdin().is_terminal() {
            return Err(SourceError::NoPipe);
        }
        let stream = PumpStream::over(io::stdin()).map_err(|error| SourceError::Other {
            place: "pipe:-".to_owned(),
            why: error.to_string(),
        })?;
        Ok(Opened {
            stream: Box::new(stream),
            place: "pipe".to_owned(),
            midway_s: None,
        })
    }

    fn comes_back(&self) -> bool {
        false
    }

    fn loss(&self) -> &'static str {
        "the pipe closed"
    }

    fn noise_mend(&self) -> String {
        "does the other program write lines?".to_owned()
    }
}

/// Reads through a pump thread. The pump holds nothing but the pipe, so it may outlive us in a
/// blocked read until the program ends.
struct PumpStream {
    chunks: Receiver<Vec<u8>>,
    rest: Vec<u8>,
}

impl PumpStream {
    fn over(from: impl Read + Send + 'static) -> io::Result<Self> {
        let (to, chunks) = crossbeam_channel::bounded(WAITING);
        // Not a worker of shell::threads: there is no desk yet to tell of a panic, and a pump
        // that died shows as the end of the pipe.
        std::thread::Builder::new()
            .name("pump".into())
            .spawn(move || pump(from, &to))?;
        Ok(Self {
            chunks,
            rest: Vec::new(),
        })
    }
}

fn pump(mut from: impl Read, to: &Sender<Vec<u8>>) {
    let mut buffer = vec![0; CHUNK];
    loop {
        let chunk = match from.read(&mut buffer) {
            Ok(0) => return,
            Ok(n) => buffer.get(..n).unwrap_or_default().to_vec(),
            Err(error) if error.kind() == ErrorKind::Interrupted => continue,
            Err(_) => return,
        };
        if to.send(chunk).is_err() {
            return;
        }
    }
}

impl Stream for PumpStream {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.rest.is_empty() {
            self.rest = match self.chunks.recv_timeout(READ_TIMEOUT) {
                Ok(chunk) => chunk,
                Err(RecvTimeoutError::Timeout) => return Err(ErrorKind::TimedOut.into()),
                Err(RecvTimeoutError::Disconnected) => return Ok(0),
            };
        }
        let count = self.rest.as_slice().read(buffer)?;
        self.rest.drain(..count);
        Ok(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pipe_gives_all_its_bytes_and_then_its_end() {
        let bytes: Vec<u8> = (0..10_000u32).flat_map(u32::to_be_bytes).collect();
        let mut stream = PumpStream::over(io::Cursor::new(bytes.clone())).unwrap();
        let mut read = Vec::new();
        let mut buffer = [0; 100];
        loop {
            match stream.read(&mut buffer) {
                Ok(0) => break,
                Ok(n) => read.extend_from_slice(&buffer[..n]),
                Err(error) => assert_eq!(error.kind(), ErrorKind::TimedOut),
            }
        }
        assert_eq!(read, bytes);
    }
}
