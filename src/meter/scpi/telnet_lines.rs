//! Bytes to lines: LF ends one, CR before it is dropped, telnet negotiation is taken out.

/// No answer is longer; what is, is cut here and begins anew.
const LONGEST: usize = 4096;

/// RFC 854: IAC begins a command; SB to IAC SE is a longer one; WILL, WONT, DO and DONT have one
/// more byte.
const IAC: u8 = 0xff;
const SB: u8 = 0xfa;
const SE: u8 = 0xf0;
const WILL_TO_DONT: std::ops::RangeInclusive<u8> = 0xfb..=0xfe;

/// A whole line.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct CutLine {
    pub(super) line: Vec<u8>,
    /// Whether telnet commands stood in it.
    pub(super) had_telnet: bool,
}

/// Collects one line at a time.
#[derive(Debug, Default)]
pub(super) struct AnswerLines {
    line: Vec<u8>,
    telnet: Telnet,
    had_telnet: bool,
}

#[derive(Clone, Copy, Debug, Default)]
enum Telnet {
    #[default]
    Outside,
    AfterIac,
    Option,
    Inside,
    InsideAfterIac,
}

impl AnswerLines {
    /// Takes one byte; a line when it ended one.
    pub(super) fn push(&mut self, byte: u8) -> Option<CutLine> {
        let next = match (self.telnet, byte) {
            (Telnet::Outside, IAC) => Telnet::AfterIac,
            (Telnet::Outside, _) => return self.plain(byte),
            (Telnet::AfterIac, SB) => Telnet::Inside,
            (Telnet::AfterIac, _) if WILL_TO_DONT.contains(&byte) => Telnet::Option,
            (Telnet::Inside, IAC) => Telnet::InsideAfterIac,
            (Telnet::InsideAfterIac, SE) | (Telnet::AfterIac | Telnet::Option, _) => {
                Telnet::Outside
            }
            (Telnet::Inside | Telnet::InsideAfterIac, _) => Telnet::Inside,
        };
        self.had_telnet = true;
        self.telnet = next;
        None
    }

    fn plain(&mut self, byte: u8) -> Option<CutLine> {
        if byte != b'\n' && self.line.len() < LONGEST {
            self.line.push(byte);
            return None;
        }
        let mut line = std::mem::take(&mut self.line);
        if line.last() == Some(&b'\r') {
            line.pop();
        }
        Some(CutLine {
            line,
            had_telnet: std::mem::take(&mut self.had_telnet),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(bytes: &[u8]) -> Vec<(Vec<u8>, bool)> {
        let mut lines = AnswerLines::default();
        bytes
            .iter()
            .filter_map(|&byte| lines.push(byte))
            .map(|cut| (cut.line, cut.had_telnet))
            .collect()
    }

    #[test]
    fn both_line_ends_end_a_line() {
        let cut = |text: &str| (text.as_bytes().to_vec(), false);
        assert_eq!(lines(b"1\n2\r\n3"), [cut("1"), cut("2")]);
    }

    /// RFC 854 and 855; the three-byte command is `scpi-prompt` of the vectors.
    #[test]
    fn telnet_commands_are_taken_out_and_told() {
        let told = |text: &str| (text.as_bytes().to_vec(), true);
        assert_eq!(lines(b"\xff\xfb\x03\n"), [told("")]);
        assert_eq!(
            lines(b"\xff\xfa\x18\x01x\xff\xf0+1.0\xff\xf9E-3\n"),
            [told("+1.0E-3")]
        );
    }
}
