//! A mark as a CSV cell writes it, and read back: `pull L5+E20`, `leave out 0:10:41 to 0:10:52`.

use std::fmt;

use super::{Did, Mark, MarkId};
use crate::reading::{Elapsed, amount, quantity};

/// A clock's hours are read up to here; a later moment is written in seconds.
const CLOCK_MS: i64 = 65_536 * 3_600_000;

/// How often the bell of a run calls stands behind this.
const EVERY: &str = " every ";
/// What parts labels.
const SEPARATORS: [char; 2] = ['+', ','];

impl fmt::Display for Mark {
    /// The mark as a CSV cell writes it: `pull L5+E20`, `note key in the kitchen`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.did)?;
        if !self.what.is_empty() {
            write!(f, " {}", self.what.join("+"))?;
        }
        if let Some(every_s) = self.every_s {
            write!(f, "{EVERY}{every_s}s")?;
        }
        if let Some((from, to)) = self.from.zip(self.to) {
            write!(f, " {} to {}", moment(from), moment(to))?;
        }
        if !self.text.is_empty() {
            write!(f, " {}", self.text)?;
        }
        Ok(())
    }
}

/// Why a text is not a mark.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MarkError {
    /// The first word is none of the verbs.
    #[error(
        "'{0}' is not a mark: expected lock, unlock, pull, refit, unplug, plug, swap, run, zero, finish, \
         leave out or note"
    )]
    Verb(String),
    /// A pull, refit, unplug, plug or swap of nothing.
    #[error("'{0}' of what? Expected a label after it, as in '{0} E12'")]
    NoLabel(Did),
    /// A stretch without its two moments.
    #[error(
        "'{0}' is no stretch: expected two moments, as in 'leave out 10:41 to 10:52' or '640s to 652s'"
    )]
    NoStretch(String),
    /// A run whose bell has no time.
    #[error("'every {0}' is no time: expected 'every 20s'")]
    NoTime(String),
}

/// Labels are trimmed, joined by `+` (a comma will do), and never hold control characters.
pub fn labels(text: &str) -> Vec<String> {
    text.split(SEPARATORS)
        .map(|label| {
            label
                .chars()
                .filter(|c| !c.is_control())
                .collect::<String>()
        })
        .map(|label| label.trim().to_owned())
        .filter(|label| !label.is_empty())
        .collect()
}

/// Reads a mark cell: `lock`, `pull D3+L8`, `note ...`.
///
/// # Errors
/// [`MarkError`] when the verb is unknown, or what it needs is missing.
pub fn parse_mark(id: MarkId, text: &str) -> Result<Mark, MarkError> {
    let text = text.trim();
    let (did, rest) = verb(text).ok_or_else(|| {
        let word = text.split(char::is_whitespace).next();
        MarkError::Verb(word.unwrap_or_default().to_owned())
    })?;
    let mut mark = Mark {
        id,
        ..Mark::new(did)
    };
    match did {
        Did::LeaveOut => {
            let (from, to) = stretch(rest)?;
            (mark.from, mark.to) = (Some(from), Some(to));
        }
        Did::Run => {
            // As labels hold them: left out later, they could join to the words of the bell.
            let plain: String = rest.chars().filter(|c| !c.is_control()).collect();
            // The bell of a run of nothing is no label either.
            let is_empty_label = |c: char| c.is_whitespace() || SEPARATORS.contains(&c);
            let rest = format!(" {}", plain.trim_start_matches(is_empty_label));
            // The last of several: a label may hold the word, too.
            let (fuses, every) = rest.rsplit_once(EVERY).unzip();
            mark.what = labels(fuses.unwrap_or(&rest));
            let time_s =
                |text: &str| amount::time_s(text).map_err(|_| MarkError::NoTime(text.to_owned()));
            mark.every_s = every.map(time_s).transpose()?;
        }
        Did::Pull | Did::Refit | Did::Unplug | Did::Plug | Did::Swap => {
            mark.what = labels(rest);
            if mark.what.is_empty() {
                return Err(MarkError::NoLabel(did));
            }
        }
        Did::Lock | Did::Unlock | Did::Zero | Did::Finish | Did::Note => {
            rest.clone_into(&mut mark.text);
        }
    }
    Ok(mark)
}

/// A moment of the record as it is read: `0:10:41`, and to the millisecond where it is not whole.
fn moment(t: Elapsed) -> String {
    if t.ms() % 1000 == 0 && (0..CLOCK_MS).contains(&t.ms()) {
        quantity::clock(t)
    } else {
        format!("{}s", t.secs())
    }
}

/// The verb that `text` begins with, and what follows it.
fn verb(text: &str) -> Option<(Did, &str)> {
    Did::ALL.into_iter().find_map(|did| {
        let (word, rest) = text.split_at_checked(did.word().len())?;
        let ends = rest.is_empty() || rest.starts_with(char::is_whitespace);
        (ends && word.eq_ignore_ascii_case(did.word())).then(|| (did, rest.trim()))
    })
}

/// Two moments of the record, the first before the second.
fn stretch(text: &str) -> Result<(Elapsed, Elapsed), MarkError> {
    let ends = text.split_once(" to ").and_then(|(from, to)| {
        let [from_s, to_s] = [from, to].map(|moment| amount::moment_s(moment).ok());
        from_s.zip(to_s)
    });
    ends.filter(|(from_s, to_s)| from_s < to_s)
        .map(|(from_s, to_s)| (Elapsed::from_secs(from_s), Elapsed::from_secs(to_s)))
        .ok_or_else(|| MarkError::NoStretch(text.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_reads_back_as_it_was_written() {
        for cell in [
            "lock",
            "pull L16+D6",
            "refit L16",
            "unplug rear blower relay",
            "note key in the house",
            "run D5+D6",
            "run D5+D6 every 20s",
            "run",
            "finish",
            "leave out 0:10:41 to 652.5s",
            "leave out 0:00:01 to 999999999s",
        ] {
            assert_eq!(parse_mark(MarkId(1), cell).unwrap().to_string(), cell);
        }
    }

    #[test]
    fn a_control_character_parts_no_word_of_a_run() {
        let run = parse_mark(MarkId(1), "run D5 ev\u{0}ery 20s").unwrap();
        assert_eq!(run.to_string(), "run D5 every 20s");
        let of_nothing = parse_mark(MarkId(1), "run + every 20s").unwrap();
        let again = parse_mark(MarkId(1), &of_nothing.to_string()).unwrap();
        assert_eq!((again.every_s, again.what.len()), (Some(20.0), 0));
        assert_eq!(again, of_nothing);
        // What stands before it is no label either.
        let nameless = parse_mark(MarkId(1), "run \u{0},every now,D");
        assert_eq!(nameless, Err(MarkError::NoTime("now,D".into())));
    }

    #[test]
    fn a_pull_of_nothing_and_an_unknown_verb_are_named() {
        assert_eq!(
            parse_mark(MarkId(1), "pull"),
            Err(MarkError::NoLabel(Did::Pull))
        );
        let error = parse_mark(MarkId(1), "yank L16").unwrap_err().to_string();
        assert!(
            error.contains("'yank'") && error.contains("pull"),
            "{error}"
        );
    }

    #[test]
    fn a_stretch_is_two_moments_and_the_first_comes_first() {
        let of = |text: &str| parse_mark(MarkId(1), text).map(|mark| mark.from.zip(mark.to));
        let expected = (Elapsed::from_secs(641.0), Elapsed::from_secs(652.0));
        for text in [
            "leave out 10:41 to 10:52",
            "Leave Out 0:10:41 to 10m52s",
            "leave out 641 to 652",
        ] {
            assert_eq!(of(text), Ok(Some(expected)), "{text}");
        }
        for text in ["leave out", "leave out 652 to 641", "leave out 641"] {
            let refused = of(text).unwrap_err().to_string();
            assert!(refused.contains("two moments"), "{refused}");
        }
        assert!(matches!(of("leave 641 to 652"), Err(MarkError::Verb(verb)) if verb == "leave"));
    }

    #[test]
    fn a_run_names_its_fuses_and_how_often_the_bell_calls() {
        let run = parse_mark(MarkId(1), "run D5, D6 every 20s").unwrap();
        assert_eq!((run.what, run.every_s), (labels("D5+D6"), Some(20.0)));
        let refused = parse_mark(MarkId(1), "run D5 every now").unwrap_err();
        assert_eq!(refused, MarkError::NoTime("now".into()));
        // A label may be the bell's own word.
        let run = parse_mark(MarkId(1), "run every+ every 2").unwrap();
        assert_eq!(run.to_string(), "run every every 2s");
        assert_eq!(parse_mark(MarkId(1), &run.to_string()), Ok(run));
    }

    #[test]
    fn labels_lose_control_characters_and_blanks() {
        assert_eq!(labels(" L16 + \u{1b}[31mD6 ++"), ["L16", "[31mD6"]);
    }
}
