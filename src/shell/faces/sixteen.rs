//! Colours as every terminal knows them. The library writes the sixteen colours as numbers of a
//! palette of 256, which a terminal with sixteen does not understand; on the way out they become
//! the plain codes (ECMA-48 30 to 37, and 90 to 97 for the bright ones).

use std::io::{self, Write};

/// Holds what is written until it is flushed, and turns the colours then.
#[derive(Debug)]
pub(super) struct Sixteen<W> {
    out: W,
    held: Vec<u8>,
}

impl<W: Write> Sixteen<W> {
    /// Writes to `out`.
    pub(super) const fn new(out: W) -> Self {
        Self {
            out,
            held: Vec::new(),
        }
    }
}

impl<W: Write> Write for Sixteen<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.held.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        let held = std::mem::take(&mut self.held);
        self.out.write_all(&plain(&held))?;
        self.out.flush()
    }
}

fn plain(bytes: &[u8]) -> Vec<u8> {
    let mut out = Vec::with_capacity(bytes.len());
    let mut rest = bytes;
    while let Some(at) = rest.windows(2).position(|two| two == b"\x1b[") {
        let (before, sequence) = rest.split_at(at + 2);
        out.extend_from_slice(before);
        let numbers = |byte: &u8| byte.is_ascii_digit() || *byte == b';';
        let end = sequence.iter().take_while(|byte| numbers(byte)).count();
        let (parameters, tail) = sequence.split_at(end);
        if tail.first() == Some(&b'm') {
            out.extend(codes(parameters));
        } else {
            out.extend_from_slice(parameters);
        }
        rest = tail;
    }
    out.extend_from_slice(rest);
    out
}

/// `38;5;11` becomes `93`, wherever it stands among the parameters.
fn codes(parameters: &[u8]) -> Vec<u8> {
    let mut out: Vec<Vec<u8>> = Vec::new();
    let mut all: Vec<&[u8]> = parameters.split(|byte| *byte == b';').collect();
    while !all.is_empty() {
        let (code, taken) = match all.as_slice() {
            [b"38", b"5", number, ..] => (code(number, 30, 90), 3),
            [b"48", b"5", number, ..] => (code(number, 40, 100), 3),
            _ => (None, 1),
        };
        match code {
            Some(code) => out.push(code.to_string().into_bytes()),
            None => out.extend(all.iter().take(taken).map(|part| part.to_vec())),
        }
        all.drain(..taken);
    }
    out.join(&b';')
}

/// The plain code of a palette number below sixteen.
fn code(number: &[u8], dark: u8, bright: u8) -> Option<u8> {
    let number: u8 = std::str::from_utf8(number).ok()?.parse().ok()?;
    match number {
        0..=7 => Some(dark + number),
        8..=15 => Some(bright + number - 8),
        16.. => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn palette_numbers_below_sixteen_become_plain_codes_and_nothing_else_changes() {
        for (written, sent) in [
            ("\x1b[38;5;11mON", "\x1b[93mON"),
            ("\x1b[38;5;1;49m", "\x1b[31;49m"),
            ("\x1b[1;38;5;7;48;5;0m", "\x1b[1;37;40m"),
            ("\x1b[38;5;200m", "\x1b[38;5;200m"),
            ("\x1b[38;2;5;5;5m", "\x1b[38;2;5;5;5m"),
            ("\x1b[0m\x1b[39m38;5;1m", "\x1b[0m\x1b[39m38;5;1m"),
            ("\x1b[12;5H\x1b[?25l", "\x1b[12;5H\x1b[?25l"),
            ("\x1b[", "\x1b["),
            ("░ ±", "░ ±"),
        ] {
            let mut out = Vec::new();
            let mut sixteen = Sixteen::new(&mut out);
            // However the bytes are cut.
            for byte in written.as_bytes() {
                sixteen.write_all(&[*byte]).unwrap();
            }
            sixteen.flush().unwrap();
            assert_eq!(String::from_utf8(out).unwrap(), sent);
        }
    }
}
