//! Bytes as decisions: what comes next is read off them, and nothing once they are used up.

/// What is left of the bytes.
pub struct Dice<'a>(&'a [u8]);

impl<'a> Dice<'a> {
    /// All of them.
    pub const fn new(bytes: &'a [u8]) -> Self {
        Self(bytes)
    }

    /// Whether nothing is left to decide.
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The next byte; zero at the end.
    pub fn byte(&mut self) -> u8 {
        self.take(1).first().copied().unwrap_or_default()
    }

    /// The next two bytes as a number.
    pub fn word(&mut self) -> u16 {
        u16::from(self.byte()) << 8 | u16::from(self.byte())
    }

    /// One of these.
    pub fn one_of<T: Copy>(&mut self, all: &[T]) -> Option<T> {
        let at = usize::from(self.byte()).checked_rem(all.len())?;
        all.get(at).copied()
    }

    /// As many bytes as there are, at most `count`.
    pub fn take(&mut self, count: usize) -> &'a [u8] {
        let (taken, rest) = self.0.split_at(count.min(self.0.len()));
        self.0 = rest;
        taken
    }

    /// A short text.
    pub fn text(&mut self) -> String {
        let count = usize::from(self.byte() % 32);
        String::from_utf8_lossy(self.take(count)).into_owned()
    }

    /// All that is left.
    pub fn rest(&mut self) -> &'a [u8] {
        self.take(usize::MAX)
    }
}

/// The bytes in pieces of one to sixteen, whose lengths follow from `seed`.
pub fn pieces(mut bytes: &[u8], seed: u8) -> Vec<&[u8]> {
    let mut pieces = Vec::new();
    let mut state = u32::from(seed) + 1;
    while !bytes.is_empty() {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let length = usize::try_from(state >> 28).unwrap_or(0) + 1;
        let (piece, rest) = bytes.split_at(length.min(bytes.len()));
        pieces.push(piece);
        bytes = rest;
    }
    pieces
}
