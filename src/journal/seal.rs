//! Seals: a SHA-256 over all bytes before the seal line, itself included in every later seal.
//!
//! A seal shows damage and edits made in passing. It is no signature: whoever rewrites the file
//! and its seals on purpose, or cuts it off behind a seal, is not found out by it. The time on
//! the last seal line is outside every hash.

use std::fmt;

use std::io::BufRead;

use sha2::{Digest, Sha256};

use super::line;
use super::recover::{Damage, FileLines, Found, NotASession};
use crate::reading::number::count_of;
use crate::reading::quantity::counted;
use crate::session::entry::{Entry, Fact, Seal};

/// The running hash and line count of a session file.
#[derive(Clone, Debug, Default)]
pub struct Chain {
    hash: Sha256,
    lines: u64,
}

impl Chain {
    /// Takes bytes into account, in the order of the file, cut anywhere.
    pub fn update(&mut self, bytes: &[u8]) {
        self.hash.update(bytes);
        self.lines = self.lines.saturating_add(count_of(b'\n', bytes));
    }

    /// The seal over everything so far.
    pub fn seal(&self) -> Seal {
        let sha256 = self.hash.clone().finalize();
        let pairs: Vec<String> = sha256.iter().map(|byte| format!("{byte:02x}")).collect();
        Seal {
            lines: self.lines,
            sha256: pairs.concat(),
        }
    }
}

/// Whether the sealed part of a file is as it was written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SealState {
    /// No seal in it.
    #[default]
    Unsealed,
    /// Every seal holds.
    Whole,
    /// A seal does not hold: something was altered at or after line `from`, and before or at the
    /// seal on line `to`. What follows cannot be vouched for either.
    Altered {
        /// The last seal that holds, or the first line.
        from: u64,
        /// The first seal that does not.
        to: u64,
    },
}

/// What `check` found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Lines in the file, the header included.
    pub lines: u64,
    /// Seals in the file.
    pub seals: u64,
    /// Whether they hold.
    pub state: SealState,
    /// Lines behind the last seal.
    pub unsealed: u64,
    /// Lines that are no entry: the first few.
    pub damage: Vec<Damage>,
    /// How many lines are no entry.
    pub damaged: u64,
    /// The lines on which the session went on after a crash: what stands before them has no seal of
    /// its own, and may end in a torn line.
    pub crashes: Vec<u64>,
}

impl Report {
    /// How many damaged lines are kept word for word.
    const KEPT: usize = 20;

    /// Whether every line is sealed, unaltered and readable.
    pub fn is_whole(&self) -> bool {
        self.state == SealState::Whole && self.unsealed == 0 && self.damaged == 0
    }

    fn note(&mut self, damage: Damage) {
        self.damaged += 1;
        if self.damage.len() < Self::KEPT {
            self.damage.push(damage);
        }
    }

    fn note_if(&mut self, damage: Option<Damage>) {
        if let Some(damage) = damage {
            self.note(damage);
        }
    }

    /// Takes the seal on `line` into account; `good` is the seal that would hold there, if one can.
    fn weigh(&mut self, line: u64, written: &Seal, good: Option<&Seal>, last_seal: u64) {
        self.seals += 1;
        self.unsealed = 0;
        self.state = match self.state {
            SealState::Altered { from, to } => SealState::Altered { from, to },
            SealState::Unsealed | SealState::Whole if Some(written) == good => SealState::Whole,
            SealState::Unsealed | SealState::Whole => SealState::Altered {
                from: last_seal,
                to: line,
            },
        };
    }
}

impl fmt::Display for Report {
    /// A sentence for the state and one for what stands beside it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.state {
            SealState::Unsealed => write!(f, "no seal: nothing to compare the file with")?,
            SealState::Whole => write!(
                f,
                "{} hold{}: whole and unaltered up to the last one",
                counted(self.seals, "seal"),
                if self.seals == 1 { "s" } else { "" }
            )?,
            SealState::Altered { from, to } => write!(
                f,
                "altered: the seal on line {to} does not fit what stands on lines {from} to {to}"
            )?,
        }
        if self.unsealed > 0 && self.state != SealState::Unsealed {
            write!(
                f,
                "; {} behind the last seal",
                counted(self.unsealed, "line")
            )?;
        }
        if self.damaged > 0 {
            write!(f, "; {} cannot be read", counted(self.damaged, "line"))?;
        }
        if let [first, more @ ..] = self.crashes.as_slice() {
            write!(f, "; continued after a crash on line {first}")?;
            for line in more {
                write!(f, " and {line}")?;
            }
            if self.is_whole() {
                write!(f, ", whole otherwise")?;
            }
        }
        Ok(())
    }
}

/// Verifies every seal of a session file, as a stream.
///
/// # Errors
/// [`NotASession`] when it has no header or cannot be read.
pub fn check(bytes: impl BufRead) -> Result<Report, NotASession> {
    let mut lines = FileLines::new(bytes);
    let mut chain = Chain::default();
    let mut report = Report::default();
    let mut last_seal = 1;
    let mut torn: Option<Damage> = None;
    while let Some(line) = lines.next(|bytes| chain.update(bytes))? {
        report.lines = line.number;
        report.unsealed += 1;
        if line.number == 1 {
            if let (_, Some(damage)) = line.header()? {
                report.note(damage);
            }
        } else {
            match line.read() {
                Some(Found::Entry(entry)) => {
                    let is_continued = matches!(entry.fact, Fact::Resumed(_));
                    if is_continued && last_seal + 1 != line.number {
                        report.crashes.push(line.number);
                        torn = None;
                    }
                    report.note_if(torn.take());
                    if let Fact::Seal(written) = &entry.fact {
                        let good =
                            Some(chain.seal()).filter(|_| is_as_written(&entry, line.bytes()));
                        report.weigh(line.number, written, good.as_ref(), last_seal);
                        last_seal = line.number;
                    }
                }
                Some(Found::Damage(damage)) => {
                    report.note_if(torn.replace(damage));
                }
                None => {}
            }
        }
        chain.update(line.bytes());
    }
    if report.lines == 0 {
        return Err(NotASession::Empty);
    }
    report.note_if(torn);
    Ok(report)
}

/// Whether a line is what this program writes for an entry, without a key or a blank more: only that
/// is under a seal's own hash.
fn is_as_written(entry: &Entry, line: &[u8]) -> bool {
    let mut written = Vec::new();
    // Memory takes every byte.
    line::write(entry, &mut written).is_ok() && written.trim_ascii_end() == line.trim_ascii_end()
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::*;

    const HEADER: &str = "{\"lullboard\":1,\"started\":\"2026-11-25T08:00:00Z\"}\n";

    fn sealed(parts: &[&str]) -> String {
        let mut file = String::from(HEADER);
        for part in parts {
            file.push_str(part);
            let mut chain = Chain::default();
            chain.update(file.as_bytes());
            let Seal { lines, sha256 } = chain.seal();
            writeln!(
                file,
                r#"{{"t":9.000,"seal":{{"lines":{lines},"sha256":"{sha256}"}}}}"#
            )
            .unwrap();
        }
        file
    }

    #[test]
    fn the_hash_is_sha_256() {
        // FIPS 180-2, appendix B.1: the digest of "abc".
        let mut chain = Chain::default();
        chain.update(b"a");
        chain.update(b"bc");
        assert_eq!(
            chain.seal().sha256,
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn a_continued_session_may_hold_several_seals() {
        let file = sealed(&["{\"t\":1.000,\"a\":1.0}\n", "{\"t\":2.000,\"a\":1.0}\n"]);
        let report = check(file.as_bytes()).unwrap();
        assert!(report.is_whole(), "{report}");
        assert_eq!((report.lines, report.seals), (5, 2));
    }

    #[test]
    fn an_edit_is_placed_between_two_seals() {
        let file = sealed(&["{\"t\":1.000,\"a\":1.0}\n", "{\"t\":2.000,\"a\":1.0}\n"]);
        let late = file.replace("\"t\":2.000", "\"t\":2.001");
        let state = check(late.as_bytes()).unwrap().state;
        assert_eq!(state, SealState::Altered { from: 3, to: 5 });
        let early = file.replace("\"t\":1.000", "\"t\":1.001");
        let report = check(early.as_bytes()).unwrap();
        assert_eq!(report.state, SealState::Altered { from: 1, to: 3 });
        assert!(report.to_string().contains("lines 1 to 3"), "{report}");
    }

    #[test]
    fn what_stands_behind_the_last_seal_is_counted() {
        let mut file = sealed(&["{\"t\":1.000,\"a\":1.0}\n"]);
        file.push_str("{\"t\":2.000,\"a\":1.0}\n{\"t\":3");
        let report = check(file.as_bytes()).unwrap();
        assert_eq!(report.state, SealState::Whole);
        assert_eq!((report.unsealed, report.damaged), (2, 1));
        assert!(!report.is_whole());
        let bare = check(HEADER.as_bytes()).unwrap();
        assert_eq!(bare.state, SealState::Unsealed);
        assert!(matches!(check(&b""[..]), Err(NotASession::Empty)));
    }

    /// A power cut tore a line; the session was opened again, went on, and was sealed.
    #[test]
    fn a_session_that_went_on_after_a_crash_is_whole_otherwise() {
        let resumed = "{\"t\":60.000,\"resumed\":\"2026-11-25T08:01:00.000+00:00\"}\n";
        let torn = format!("{{\"t\":1.000,\"a\":1.0}}\n{{\"t\":2.0\n{resumed}");
        let report = check(sealed(&[&torn]).as_bytes()).unwrap();
        assert!(report.is_whole(), "{report}");
        assert_eq!((report.crashes.as_slice(), report.damaged), (&[4][..], 0));
        assert!(
            report
                .to_string()
                .ends_with("crash on line 4, whole otherwise"),
            "{report}"
        );
        // A line that nobody tore is damage, and a session that was sealed before did not crash.
        let spoiled = torn.replace("{\"t\":1.000", "{\"t\":1.0x");
        let report = check(sealed(&[&spoiled]).as_bytes()).unwrap();
        assert_eq!((report.damaged, report.is_whole()), (1, false));
        let again = sealed(&["{\"t\":1.000,\"a\":1.0}\n", resumed]);
        assert_eq!(check(again.as_bytes()).unwrap().crashes, [0u64; 0]);
    }

    #[test]
    fn a_seal_line_with_a_further_key_does_not_hold() {
        let file = sealed(&["{\"t\":1.000,\"a\":1.0}\n"]);
        for (from, to) in [
            ("\"seal\":{", "\"note\":1,\"seal\":{"),
            ("\"lines\"", "\"x\":1,\"lines\""),
        ] {
            let report = check(file.replace(from, to).as_bytes()).unwrap();
            assert_ne!(report.state, SealState::Whole, "{to}: {report}");
        }
    }
}
