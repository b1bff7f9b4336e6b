//! Frames on the wire. A [`Request`] asks for registers and can say nothing else: the functions
//! that write have no name here, because registers hold addresses, speeds and resets.
//!
//! Answers are cut by their length and checksum: adapters hand bytes over in lumps, so pauses
//! tell nothing.

/// Which table is read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum RegisterTable {
    /// 03: holding registers, the table 4xxxx.
    #[default]
    Holding,
    /// 04: input registers, the table 3xxxx.
    Input,
}

impl RegisterTable {
    /// The function's code on the wire: 3 or 4.
    pub const fn code(self) -> u8 {
        match self {
            Self::Holding => 3,
            Self::Input => 4,
        }
    }
}

/// A question for one or two registers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Request {
    /// The unit that is asked.
    pub unit: u8,
    function: RegisterTable,
    /// The first register.
    pub register: u16,
    words: u8,
}

/// A request is this long; an exception takes five bytes, a good answer five and its data.
const REQUEST: usize = 8;
const EXCEPTION: usize = 5;
const AROUND: usize = 5;
/// The bit of the function that marks an exception.
const REFUSED: u8 = 0x80;
/// More than an echo and the longest answer never waits.
const MOST: usize = 64;

/// What stands at the front of the bytes that came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum FrameFound {
    /// Not whole yet.
    Unfinished,
    /// More bytes than any answer has, and no answer among them.
    Noise,
    /// The registers' bytes.
    Data(Vec<u8>),
    /// The meter refuses, with this code.
    Exception(u8),
}

impl Request {
    /// Asks `unit` for `words` registers from `register` on.
    pub const fn new(unit: u8, function: RegisterTable, register: u16, words: u8) -> Self {
        Self {
            unit,
            function,
            register,
            words,
        }
    }

    /// The bytes to send.
    pub fn frame(self) -> [u8; REQUEST] {
        let [high, low] = self.register.to_be_bytes();
        let (unit, code) = (self.unit, self.function.code());
        let mut frame = [unit, code, high, low, 0, self.words, 0, 0];
        if let Some((body, sum)) = frame.split_last_chunk_mut::<2>() {
            *sum = crc(body).to_le_bytes();
        }
        frame
    }

    /// Looks for the answer among `bytes`: an echo of the request and noise may stand before it.
    pub(super) fn find(self, bytes: &[u8]) -> FrameFound {
        let echo = self.frame();
        let bytes = bytes.strip_prefix(echo.as_slice()).unwrap_or(bytes);
        for from in 0..bytes.len() {
            let rest = bytes.get(from..).unwrap_or_default();
            if let Some(data) = self.data(rest) {
                return FrameFound::Data(data.to_vec());
            }
            if let Some(code) = self.exception(rest) {
                return FrameFound::Exception(code);
            }
        }
        if bytes.len() > MOST {
            FrameFound::Noise
        } else {
            FrameFound::Unfinished
        }
    }

    fn data(self, bytes: &[u8]) -> Option<&[u8]> {
        let length = self.words.saturating_mul(2);
        let whole = whole(bytes, AROUND.saturating_add(length.into()))?;
        let data = whole.strip_prefix(&[self.unit, self.function.code(), length])?;
        data.get(..length.into())
    }

    fn exception(self, bytes: &[u8]) -> Option<u8> {
        let whole = whole(bytes, EXCEPTION)?;
        let code = whole.strip_prefix(&[self.unit, self.function.code() | REFUSED])?;
        code.first().copied()
    }
}

/// The first `length` bytes when their checksum is right.
fn whole(bytes: &[u8], length: usize) -> Option<&[u8]> {
    let frame = bytes.get(..length)?;
    let (body, sum) = frame.split_last_chunk::<2>()?;
    (crc(body).to_le_bytes() == *sum).then_some(frame)
}

/// The checksum: start FFFF, polynomial A001, low byte first on the wire (Serial Line V1.02,
/// appendix B).
fn crc(bytes: &[u8]) -> u16 {
    bytes.iter().fold(0xffff, |crc, &byte| {
        (0..8).fold(crc ^ u16::from(byte), |crc: u16, _| {
            let shifted = crc >> 1;
            if crc & 1 == 1 {
                shifted ^ 0xa001
            } else {
                shifted
            }
        })
    })
}

/// What an exception code means (Application Protocol V1.1b3, section 7; from memory).
pub(super) const fn exception(code: u8) -> &'static str {
    match code {
        1 => "it does not know this function",
        2 => "it has no such register",
        3 => "it does not give so many registers at once",
        4 => "it failed while reading",
        5 | 6 => "it is busy",
        8 => "its memory is damaged",
        10 | 11 => "the gateway does not reach it",
        _ => "a reason of its own",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// "MODBUS over Serial Line" V1.02, appendix B: 02 07 gives 1241h, sent 41 12 (from memory,
    /// recomputed).
    #[test]
    fn the_checksum_is_the_specifications() {
        assert_eq!(crc(&[0x02, 0x07]), 0x1241);
    }

    /// `mb-req-03`, `mb-req-04`, and the request that a public manual prints
    /// (`mb-published-request`).
    #[test]
    fn questions_are_written_as_published() {
        let frame = |function, register| Request::new(1, function, register, 2).frame();
        let zero = [0x01, 0x03, 0x00, 0x00, 0x00, 0x02, 0xc4, 0x0b];
        assert_eq!(frame(RegisterTable::Holding, 0), zero);
        let input = [0x01, 0x04, 0x00, 0x00, 0x00, 0x02, 0x71, 0xcb];
        assert_eq!(frame(RegisterTable::Input, 0), input);
        let published = [0x01, 0x03, 0x0b, 0xb8, 0x00, 0x02, 0x46, 0x0a];
        assert_eq!(frame(RegisterTable::Holding, 0x0bb8), published);
    }

    proptest::proptest! {
        /// Whatever the user asks for, what goes out reads.
        #[test]
        fn every_frame_reads(unit: u8, register: u16, words: u8, input: bool) {
            let function = if input { RegisterTable::Input } else { RegisterTable::Holding };
            let frame = Request::new(unit, function, register, words).frame();
            assert!(matches!(frame[1], 3 | 4));
            assert!(whole(&frame, REQUEST).is_some());
        }

        #[test]
        fn any_bytes_give_no_more_than_one_answer(bytes: Vec<u8>) {
            let request = Request::new(1, RegisterTable::Holding, 0, 2);
            if let FrameFound::Data(data) = request.find(&bytes) {
                assert_eq!(data.len(), 4);
            }
        }
    }
}
