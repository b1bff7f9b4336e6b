//! Marks made or changed afterwards: a step claimed, a mark renamed or moved. The journal keeps
//! what stood before: a change is a strike and a new mark.

use chrono::NaiveTime;

use crate::desk::typed_answer;
use crate::reading::{Elapsed, quantity};
use crate::session::mark::{self, Did, Mark, MarkError, MarkId};

/// What is asked about a mark that lies in the past.
#[derive(Clone, Debug, PartialEq)]
pub enum Amend {
    /// What was the step at this moment?
    Claim {
        /// When it came.
        at: Elapsed,
        /// The level before, in ampere.
        from_a: f64,
        /// The level after, in ampere.
        to_a: f64,
        /// The fuses of an announced run of which one may be it.
        among: Vec<String>,
    },
    /// What was it, if not this?
    Rename {
        /// The mark.
        mark: Mark,
        /// When it was done.
        at: Elapsed,
    },
    /// What is worth keeping about it?
    Note {
        /// The mark.
        mark: Mark,
        /// When it was done: the note is of the same moment.
        at: Elapsed,
    },
    /// When was it, if not then?
    Move {
        /// The mark.
        mark: Mark,
        /// When it was said to be done.
        at: Elapsed,
        /// The step that Enter alone takes.
        step: Option<Elapsed>,
    },
}

/// A mark to be placed in the past, and the one that it replaces.
#[derive(Clone, Debug, PartialEq)]
pub struct Amended {
    /// The mark to strike.
    pub instead_of: Option<MarkId>,
    /// The new one.
    pub mark: Mark,
    /// When it was done.
    pub at: Elapsed,
}

impl Amend {
    /// The question itself.
    pub fn question(&self) -> String {
        match self {
            Self::Claim {
                at,
                from_a,
                to_a,
                among,
            } => {
                let of_run = match among.as_slice() {
                    [] => "As in 'pull D3' or 'D3' alone".to_owned(),
                    among => format!("One of {}?", among.join(", ")),
                };
                format!(
                    "WHAT WAS IT at {}, {} to {}? {of_run}",
                    quantity::clock(*at),
                    quantity::current(*from_a),
                    quantity::current(*to_a)
                )
            }
            Self::Rename { mark, at } => format!(
                "RENAME '{mark}' of {}: what was it? As in 'pull L11'",
                quantity::clock(*at)
            ),
            Self::Note { mark, at } => format!(
                "NOTE on '{mark}' of {}: what is worth keeping?",
                quantity::clock(*at)
            ),
            Self::Move { mark, at, .. } => format!(
                "MOVE '{mark}' of {} to when? As in 0:12:05, @40s or @14:02",
                quantity::clock(*at)
            ),
        }
    }

    /// What the answer does.
    pub fn consequence(&self, amended: &Amended) -> String {
        let at = quantity::clock(amended.at);
        let new = &amended.mark;
        match self {
            Self::Claim { .. } | Self::Note { .. } => format!("Enter records: {new}, at {at}"),
            Self::Rename { mark, .. } => {
                format!("Enter strikes '{mark}' and records: {new}, at {at}")
            }
            Self::Move { .. } => format!("Enter moves '{new}' to {at}"),
        }
    }

    /// Reads what was typed, or took the offer.
    pub(super) fn answer(
        &self,
        text: &str,
        now: Elapsed,
        of_day: Option<NaiveTime>,
    ) -> Result<Amended, String> {
        match self {
            Self::Claim {
                at, from_a, to_a, ..
            } => {
                let alone = if to_a < from_a { Did::Pull } else { Did::Refit };
                Ok(amended(None, named(text, alone)?, *at))
            }
            Self::Rename { mark, at } => {
                let new = named(text, mark.did)?;
                if new.to_string() == mark.to_string() {
                    return Err("that is what it is called already".into());
                }
                Ok(amended(Some(mark.id), new, *at))
            }
            Self::Note { at, .. } if !text.trim().is_empty() => {
                let note = Mark {
                    text: text.trim().to_owned(),
                    ..Mark::new(Did::Note)
                };
                Ok(amended(None, note, *at))
            }
            Self::Note { .. } => Err("type a few words".into()),
            Self::Move { mark, step, .. } => {
                let at = match (text.trim(), step) {
                    ("", Some(step)) => *step,
                    // The offer shows whole seconds, the step is known better.
                    (text, Some(step)) if text == quantity::clock(*step) => *step,
                    (text, _) => typed_answer::moment(text, now, of_day)?,
                };
                Ok(amended(Some(mark.id), mark.clone(), at))
            }
        }
    }
}

const fn amended(instead_of: Option<MarkId>, mark: Mark, at: Elapsed) -> Amended {
    Amended {
        instead_of,
        mark,
        at,
    }
}

/// A verb with its label, or a label alone.
fn named(text: &str, alone: Did) -> Result<Mark, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("type what was done, as in 'pull D3'".into());
    }
    match mark::parse_mark(MarkId::default(), text) {
        Ok(mark) if mark.did == Did::Note && mark.text.is_empty() => {
            Err("type a few words after 'note'".into())
        }
        Ok(mark) => Ok(mark),
        Err(MarkError::Verb(_)) => mark::parse_mark(MarkId::default(), &format!("{alone} {text}"))
            .map_err(|error| error.to_string()),
        Err(error) => Err(error.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(t_s: f64) -> Elapsed {
        Elapsed::from_secs(t_s)
    }

    fn claim(from_a: f64, to_a: f64) -> Amend {
        let at = at(700.0);
        Amend::Claim {
            at,
            from_a,
            to_a,
            among: Vec::new(),
        }
    }

    #[test]
    fn a_label_alone_is_a_pull_after_a_fall_and_a_refit_after_a_rise() {
        let said = |amend: &Amend, text| {
            let answer = amend.answer(text, at(900.0), None);
            answer.map(|answer| amend.consequence(&answer))
        };
        let fall = claim(0.324, 0.071);
        let rise = claim(0.071, 0.324);
        assert_eq!(
            said(&fall, "D3").unwrap(),
            "Enter records: pull D3, at 0:11:40"
        );
        assert_eq!(
            said(&rise, "D3").unwrap(),
            "Enter records: refit D3, at 0:11:40"
        );
        assert_eq!(
            said(&fall, "unplug washer pump").unwrap(),
            "Enter records: unplug washer pump, at 0:11:40"
        );
        assert!(said(&fall, "").is_err() && said(&fall, "pull").is_err());
    }

    #[test]
    fn a_move_takes_the_step_or_a_typed_moment_but_none_outside_the_record() {
        let mark = mark::parse_mark(MarkId(7), "pull D3").unwrap();
        let amend = Amend::Move {
            mark,
            at: at(700.0),
            step: Some(at(725.0)),
        };
        let moved = |text| amend.answer(text, at(900.0), None).map(|answer| answer.at);
        assert_eq!(moved(""), Ok(at(725.0)));
        assert_eq!(moved("0:12:00"), Ok(at(720.0)));
        assert_eq!(moved("11:30"), Ok(at(690.0)));
        assert_eq!(moved("@40s"), Ok(at(860.0)));
        assert!(moved("1:00:00").unwrap_err().contains("has not come"));
        assert!(moved("@1h").unwrap_err().contains("before the session"));
        assert!(moved("noon").is_err());
    }

    /// A note on a mark is of its moment, and strikes nothing.
    #[test]
    fn a_note_on_a_mark_is_of_the_same_moment() {
        let mark = mark::parse_mark(MarkId(4), "pull D3").unwrap();
        let asked = Amend::Note {
            mark,
            at: at(700.0),
        };
        let noted = asked.answer(" fuse was green ", at(900.0), None).unwrap();
        assert_eq!((noted.at, noted.instead_of), (at(700.0), None));
        assert_eq!(noted.mark.to_string(), "note fuse was green");
        assert!(asked.answer("  ", at(900.0), None).is_err());
    }
}
