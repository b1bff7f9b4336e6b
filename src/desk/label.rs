//! Which label a prompt offers: the next fuse of the map, the next position, or what is out; and which
//! fuse a typed one means.

use crate::fuse::map::{self, Circuit, Meant};
use crate::session::{Did, Mark, Session};

/// The position after `label`: `E13` to `E14`, `L09` to `L10`, `4A` to `4B`; `None` when it ends in
/// neither a number nor a single letter behind one.
pub fn next(label: &str) -> Option<String> {
    let head = label.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = label.strip_prefix(head)?;
    if digits.is_empty() {
        return next_letter(label);
    }
    let number: u64 = digits.parse().ok()?;
    let width = digits.len();
    Some(format!("{head}{:0width$}", number.checked_add(1)?))
}

fn next_letter(label: &str) -> Option<String> {
    let mut chars = label.chars();
    let last = chars.next_back()?;
    let head = chars.as_str();
    if !head.chars().next_back()?.is_ascii_digit() || matches!(last, 'z' | 'Z') {
        return None;
    }
    let code = u32::from(last).checked_add(1)?;
    let after = char::from_u32(code).filter(char::is_ascii_alphabetic)?;
    last.is_ascii_alphabetic().then(|| format!("{head}{after}"))
}

/// These labels as a run reads them: three and more that count up become `D3-D9`.
pub fn joined(labels: &[&str]) -> String {
    let mut parts: Vec<String> = Vec::new();
    let mut rest = labels;
    while let [first, tail @ ..] = rest {
        let mut last = *first;
        let mut count = 0usize;
        for label in tail {
            if next(last).as_deref() != Some(*label) {
                break;
            }
            last = label;
            count += 1;
        }
        // Two are no shorter as a range.
        let taken = if count >= 2 {
            parts.push(format!("{first}-{last}"));
            count
        } else {
            parts.push((*first).to_owned());
            0
        };
        rest = tail.get(taken..).unwrap_or_default();
    }
    parts.join("+")
}

/// Everything that stands, and what is on its way to the journal, in order.
fn marks<'a>(session: &'a Session, pending: &'a [Mark]) -> Vec<&'a Mark> {
    session
        .marks()
        .map(|placed| &placed.mark)
        .chain(pending)
        .collect()
}

/// What was last done to this label, if anything was.
fn last_done(marks: &[&Mark], label: &String) -> Option<Did> {
    let tried = |mark: &&&Mark| mark.did.is_tried() && mark.what.contains(label);
    marks.iter().rev().find(tried).map(|mark| mark.did)
}

/// What is off its supply, what is on its way to the journal counted in.
pub(super) fn out(session: &Session, pending: &[Mark]) -> Vec<String> {
    let leaving = pending.iter().filter(|mark| mark.did.removes());
    let leaving = leaving.flat_map(|mark| mark.what.clone());
    let out = session.out_now().into_iter().map(str::to_owned);
    out.chain(leaving).collect()
}

/// The labels of the last mark of verb `did` of which none has been put back or moved since.
fn still_out(marks: &[&Mark], did: Did) -> Option<String> {
    let out = |label: &&String| last_done(marks, label) == Some(did);
    marks
        .iter()
        .rev()
        .filter(|mark| mark.did == did)
        .map(|mark| mark.what.iter().filter(out).cloned().collect::<Vec<_>>())
        .find(|labels| !labels.is_empty())
        .map(|labels| labels.join("+"))
}

/// The fuses that the map has behind this one, since positions may be empty; `None` when the map
/// does not know it.
fn after_on_map<'a>(fuses: &'a [Circuit], label: &str) -> Option<&'a [Circuit]> {
    let at = fuses
        .iter()
        .position(|fuse| map::same(&fuse.label, label))?;
    fuses.get(at + 1..)
}

/// What Enter alone takes when `did` is marked.
pub fn default_for(session: &Session, pending: &[Mark], did: Did) -> Option<String> {
    let marks = marks(session, pending);
    match did {
        Did::Pull => {
            let last = marks.iter().rev().find(|mark| mark.did == Did::Pull)?;
            let out = |label: &String| last_done(&marks, label).is_some_and(Did::removes);
            let last = last.what.last()?;
            if let Some(after) = after_on_map(session.fuses(), last) {
                let mut labels = after.iter().map(|circuit| circuit.label.clone());
                return labels.find(|label| !out(label));
            }
            std::iter::successors(next(last), |label| next(label))
                .take(100)
                .find(|label| !out(label))
        }
        Did::Refit => still_out(&marks, Did::Pull),
        Did::Plug | Did::Swap => still_out(&marks, Did::Unplug),
        Did::Lock
        | Did::Unlock
        | Did::Unplug
        | Did::Run
        | Did::Zero
        | Did::Finish
        | Did::LeaveOut
        | Did::Note => None,
    }
}

/// What a question knows of labels when it is asked.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct KnownLabels {
    /// The car's fuse map; empty when nobody gave one.
    pub fuses: Vec<Circuit>,
    /// What was taken out or put back before, off the map too.
    pub marked: Vec<String>,
    /// What is off its supply.
    pub out: Vec<String>,
    /// The box in which the cursor stands.
    pub in_box: Option<String>,
}

impl KnownLabels {
    /// The label that is meant by `typed`, and whether the map does not know it.
    ///
    /// # Errors
    /// The question, where more than one box prints it.
    pub fn read(&self, typed: &str) -> Result<(String, bool), String> {
        match map::meant(&self.fuses, typed, self.in_box.as_deref()) {
            Meant::One(one) => Ok((one.label.clone(), false)),
            Meant::Several(all) => {
                let boxes: Vec<&str> = all.iter().map(|one| one.in_box.as_str()).collect();
                let boxes = boxes.join(" or ");
                Err(format!(
                    "{typed} of which box: {boxes}? Type a blank and its first letter behind it"
                ))
            }
            Meant::None => {
                let is_new = !self.marked.iter().any(|known| map::same(known, typed));
                Ok((typed.to_owned(), is_new && !self.fuses.is_empty()))
            }
        }
    }
}

/// The label as the session spells it, when only upper and lower case differ.
pub fn as_known(session: &Session, label: &str) -> String {
    session.spelled(label).unwrap_or(label).to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::mark::{MarkId, parse_mark};

    #[test]
    fn labels_that_count_up_are_joined_as_a_run_reads_them() {
        assert_eq!(
            joined(&["L4", "L5", "L6", "L8", "L9", "D9", "D10", "D11"]),
            "L4-L6+L8+L9+D9-D11"
        );
        assert_eq!(joined(&[]), "");
    }

    #[test]
    fn an_empty_position_of_the_map_is_never_offered() {
        let map: Vec<Circuit> = ["E2", "E9", "L3"]
            .map(|label| serde_json::from_value(serde_json::json!({ "label": label })).unwrap())
            .to_vec();
        let mut header = crate::rehearsal::play(crate::rehearsal::stories::DEFAULT, 1).0;
        header.card.fuses = Some(map);
        let session = Session::new(header);
        let mark = |text: &str| parse_mark(MarkId(1), text).unwrap();
        let offered = |marks: &[Mark]| default_for(&session, marks, Did::Pull);
        assert_eq!(offered(&[mark("pull e2")]).as_deref(), Some("E9"));
        let out = [mark("pull E9"), mark("pull E2")];
        assert_eq!(offered(&out).as_deref(), Some("L3"));
        assert_eq!(offered(&[mark("pull L3")]), None);
        // What the map does not know is counted up.
        assert_eq!(offered(&[mark("pull D4")]).as_deref(), Some("D5"));
    }

    #[test]
    fn the_next_position_keeps_zeros_and_letters() {
        for (label, after) in [
            ("E13", Some("E14")),
            ("L09", Some("L10")),
            ("099", Some("100")),
            ("4A", Some("4B")),
            ("4z", None),
            ("amplifier", None),
            ("", None),
            ("rear box 7", Some("rear box 8")),
        ] {
            assert_eq!(next(label).as_deref(), after, "{label}");
        }
        assert_eq!(next("99999999999999999999"), None);
    }
}
