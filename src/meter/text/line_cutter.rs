//! Cuts bytes into lines: LF, CR or CR LF ends one. Holds one line at most.

/// The longest line that is read.
const MAX_LINE: usize = 4096;
/// After so many bytes without a line end, bytes that are mostly not text are given up.
const NOISE_BLOCK: usize = 64;

/// What a byte completed.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// A whole line, without its end.
    Line(Vec<u8>),
    /// A line longer than any meter sends; it is skipped to its end.
    TooLong,
    /// Bytes that are no text.
    Noise(Vec<u8>),
}

/// Collects the bytes of one line.
#[derive(Debug, Default)]
pub(super) struct Lines {
    pending: Vec<u8>,
    /// Twice the control bytes and once the bytes above ASCII in `pending`.
    implausibility: usize,
    after_cr: bool,
    skipping: bool,
}

impl Lines {
    /// Drops everything up to the next line end.
    pub(super) fn skip_to_line_end(&mut self) {
        self.skipping = true;
    }

    pub(super) fn push(&mut self, byte: u8) -> Option<Cut> {
        let closes_cr = byte == b'\n' && self.after_cr;
        self.after_cr = byte == b'\r';
        match byte {
            b'\n' if closes_cr => None,
            b'\n' | b'\r' => {
                let line = self.take();
                let skipped = std::mem::take(&mut self.skipping);
                (!skipped).then_some(Cut::Line(line))
            }
            _ => self.collect(byte),
        }
    }

    fn collect(&mut self, byte: u8) -> Option<Cut> {
        self.pending.push(byte);
        self.implausibility = self.implausibility.saturating_add(implausibility(byte));
        let length = self.pending.len();
        if length.is_multiple_of(NOISE_BLOCK) && self.implausibility.saturating_mul(2) >= length {
            self.skipping = true;
            return Some(Cut::Noise(self.take()));
        }
        if length > MAX_LINE {
            self.take();
            let already_told = std::mem::replace(&mut self.skipping, true);
            return (!already_told).then_some(Cut::TooLong);
        }
        None
    }

    fn take(&mut self) -> Vec<u8> {
        self.implausibility = 0;
        std::mem::take(&mut self.pending)
    }
}

const fn implausibility(byte: u8) -> usize {
    match byte {
        b'\t' | 0x1b | 0x20..0x7f => 0,
        0..0x20 | 0x7f => 2,
        0x80.. => 1,
    }
}
