//! A question in the middle of the board. While it is open no other key acts, and it says at
//! every moment what Enter would record.

pub mod amend;
mod ask;
mod labels;
pub mod probe;

pub use ask::{Answer, Ask, Withdrawn};

use chrono::NaiveTime;

use super::label::KnownLabels;
use super::typing::Typed;
use super::{Key, Run, TextField, typed_answer, typed_volts};
use crate::reading::{Elapsed, Measured, quantity};
use crate::session::mark::{self, Did, Mark};

/// What a key did to the prompt.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It is still open.
    Open,
    /// It closed and nothing is to be done.
    Dropped,
    /// It closed with this answer.
    Done(Answer),
}

/// An open question.
#[derive(Clone, Debug, PartialEq)]
pub struct Prompt {
    /// What is asked.
    pub ask: Ask,
    /// What has been typed, and where the cursor stands in it.
    pub field: TextField,
    default: Option<String>,
    now: Elapsed,
    labels: KnownLabels,
    /// Whether Enter was pressed on a label that the map does not know.
    insisted: bool,
    /// The time of day now, by the clock that the session was begun by.
    of_day: Option<NaiveTime>,
}

impl Prompt {
    /// Opens a question at `now`; `default` is what Enter alone takes.
    pub fn new(ask: Ask, default: Option<String>, now: Elapsed) -> Self {
        Self {
            ask,
            field: TextField::default(),
            default,
            now,
            labels: KnownLabels::default(),
            insisted: false,
            of_day: None,
        }
    }

    /// The same question where a late mark may be told by the clock, which shows this now.
    #[must_use]
    pub const fn by_clock(mut self, of_day: Option<NaiveTime>) -> Self {
        self.of_day = of_day;
        self
    }

    /// The same question where labels are known.
    #[must_use]
    pub fn knowing(mut self, labels: KnownLabels) -> Self {
        self.labels = labels;
        self
    }

    /// The same question with something typed already.
    #[must_use]
    pub fn typed(mut self, text: &str) -> Self {
        self.field.insert(text);
        self
    }

    /// Whether it is answered with one key and takes no text.
    pub const fn is_yes_no(&self) -> bool {
        self.ask.is_yes_no()
    }

    /// Whether a reading is being typed.
    pub const fn is_reading(&self) -> bool {
        matches!(self.ask, Ask::Reading(_))
    }

    /// What Enter alone takes, while nothing is typed.
    pub fn offer(&self) -> Option<&str> {
        self.default.as_deref().filter(|_| self.field.is_empty())
    }

    /// What Enter (or `y`) does now, or what is missing.
    ///
    /// # Errors
    /// In words, what keeps the text from being an answer.
    pub fn consequence(&self) -> Result<String, String> {
        let answer = self.answer()?;
        if let Some(asked) = self.doubted(&answer).filter(|_| !self.insisted) {
            return Err(asked);
        }
        Ok(match answer {
            Answer::Mark(mark, ago_s) => match ago_s {
                Some(ago_s) => format!("Enter records: {mark}, {} ago", quantity::span(ago_s)),
                None => format!("Enter records: {mark}, now"),
            },
            Answer::Reading(typed) => match typed.value {
                Measured::Amps(amps) => format!("Enter records: {}", quantity::shown(amps)),
                Measured::Over => "Enter records: beyond the range".into(),
            },
            Answer::Volts(volts) => format!("Enter records: {volts} V on the battery"),
            Answer::Export(path) => format!("Enter writes: {}", path.display()),
            Answer::Elsewhere(path) => format!("Enter goes on in: {}", path.display()),
            Answer::Amended(amended) => {
                if let Ask::Amend(amend) = &self.ask {
                    amend.consequence(&amended)
                } else {
                    String::new()
                }
            }
            Answer::Probed(probe, probed) => probe.consequence(&probed),
            Answer::Field(change) => self.ask.sets(&change),
            Answer::Map(path) => format!("Enter reads the map: {}", path.display()),
            Answer::Unchanged => "Enter leaves it as it is".into(),
            Answer::Run(run) => {
                format!("Enter announces: {}", run.announcement())
            }
            Answer::RunOver(out) if out.is_empty() => "Enter ends the run: none came out".into(),
            Answer::RunOver(out) => format!("Enter ends the run: {} came out", out.join("+")),
            Answer::Strike(_) => "Enter or n keeps it, y strikes it".into(),
            Answer::Quit => "Enter or n stays, y ends the recording and quits".into(),
        })
    }

    /// The fuses or parts that would come off their supply.
    pub fn removed(&self) -> Vec<String> {
        match self.answer() {
            Ok(Answer::Mark(mark, _)) if mark.did.removes() => mark.what,
            Ok(Answer::Run(run)) => run.labels,
            Ok(_) | Err(_) => Vec::new(),
        }
    }

    /// The parts that would be new.
    pub fn fitted(&self) -> Vec<String> {
        match self.answer() {
            Ok(Answer::Mark(mark, _)) if mark.did == Did::Swap => mark.what,
            Ok(_) | Err(_) => Vec::new(),
        }
    }

    /// What is odd about what was typed, each a question.
    pub fn questions(&self) -> Vec<String> {
        match self.answer() {
            Ok(Answer::Probed(probe, probed)) => probe.questions(&probed),
            Ok(Answer::Reading(typed)) => self.other_unit(typed).into_iter().collect(),
            Ok(answer) if self.insisted => self.doubted(&answer).into_iter().collect(),
            Ok(_) | Err(_) => Vec::new(),
        }
    }

    /// A number without a unit, far from the last one: perhaps the meter has changed its range.
    fn other_unit(&self, typed: Typed) -> Option<String> {
        let (Ask::Reading(unit), Measured::Amps(amps)) = (&self.ask, typed.value) else {
            return None;
        };
        let doubted = typed.is_bare && unit.is_doubted(amps);
        let text = self.field.text();
        let text = text.trim();
        doubted.then(|| {
            let last = quantity::current(unit.last_a.unwrap_or_default());
            format!("Far from the {last} before. With its unit it is sure: {text}m or {text}A")
        })
    }

    /// Takes one key.
    pub fn key(&mut self, key: Key) -> Outcome {
        if self.is_yes_no() {
            return match (key, self.answer()) {
                (Key::Char('y' | 'Y'), Ok(answer)) => Outcome::Done(answer),
                // What cannot be undone by the next key is never what Enter does.
                (Key::Char('n' | 'N') | Key::Esc | Key::Enter, _) => Outcome::Dropped,
                _ => Outcome::Open,
            };
        }
        if key == Key::Esc {
            return Outcome::Dropped;
        }
        if key != Key::Enter {
            self.field.key(key);
            self.insisted = false;
            return Outcome::Open;
        }
        let Ok(answer) = self.answer() else {
            return Outcome::Open;
        };
        if self.doubted(&answer).is_some() && !self.insisted {
            self.insisted = true;
            return Outcome::Open;
        }
        Outcome::Done(answer)
    }

    /// Takes pasted text.
    pub fn paste(&mut self, text: &str) {
        self.insisted = false;
        self.field.insert(text);
    }

    fn answer(&self) -> Result<Answer, String> {
        self.meant(self.read()?)
    }

    /// What was typed, or the offer, as an answer.
    fn read(&self) -> Result<Answer, String> {
        let typed = self.field.text();
        let taken = self.offer().unwrap_or(&typed);
        match &self.ask {
            Ask::Mark(did) => self.mark(*did, &typed),
            Ask::Reading(_) if typed_volts::is_voltage(&typed) => {
                typed_volts::volts(&typed).map(Answer::Volts)
            }
            Ask::Volts => typed_volts::volts(&typed).map(Answer::Volts),
            Ask::Reading(unit) => typed_answer::reading(&typed, *unit).map(Answer::Reading),
            Ask::Export => typed_answer::export(taken.trim()).map(Answer::Export),
            Ask::Elsewhere => typed_answer::elsewhere(taken.trim()).map(Answer::Elsewhere),
            Ask::Strike { what, .. } => Ok(Answer::Strike(*what)),
            Ask::Amend(amend) => amend
                .answer(taken, self.now, self.of_day)
                .map(Answer::Amended),
            Ask::Probe(probe) => {
                let probed = probe.answer(&typed)?;
                Ok(Answer::Probed(probe.clone(), probed))
            }
            Ask::Field { field, .. } => typed_answer::field(field, taken.trim()),
            Ask::Run => Run::parse(taken, self.now).map(Answer::Run),
            Ask::RunOver if ["", "none"].contains(&taken.trim()) => Ok(Answer::RunOver(Vec::new())),
            Ask::RunOver => Run::parse(taken, self.now).map(|run| Answer::RunOver(run.labels)),
            Ask::Quit { .. } => Ok(Answer::Quit),
        }
    }

    fn mark(&self, did: Did, typed: &str) -> Result<Answer, String> {
        if did == Did::LeaveOut {
            let (from, to) = typed_answer::stretch(typed, self.now, self.of_day)?;
            let mark = Mark {
                from: Some(from),
                to: Some(to),
                ..Mark::new(did)
            };
            return Ok(Answer::Mark(mark, None));
        }
        let (body, ago_s) = typed_answer::late(typed, did == Did::Note, self.of_day)?;
        if let Some(ago_s) = ago_s.filter(|ago_s| *ago_s > self.now.secs()) {
            return Err(format!(
                "{} ago is before the session began, {} ago",
                quantity::span(ago_s),
                quantity::span(self.now.secs())
            ));
        }
        let body = match &self.default {
            Some(default) if body.is_empty() => default,
            Some(_) | None => body,
        };
        let mut mark = Mark::new(did);
        if did.is_tried() {
            mark.what = mark::labels(body);
            if mark.what.is_empty() {
                return Err("type its name, as in L6, or E14+L6 for several".into());
            }
        } else if did == Did::Note {
            body.clone_into(&mut mark.text);
            if body.is_empty() {
                return Err("type a few words".into());
            }
        } else if !body.is_empty() {
            return Err("type how long ago or when, as in @40s, @2m or @14:02".into());
        }
        Ok(Answer::Mark(mark, ago_s))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::typing::Unit;
    use crate::session::mark::MarkId;

    fn prompt(did: Did, default: Option<&str>, text: &str) -> Prompt {
        let now = Elapsed::from_secs(600.0);
        Prompt::new(Ask::Mark(did), default.map(Into::into), now).typed(text)
    }

    #[test]
    fn enter_alone_takes_the_offer_and_typing_replaces_it() {
        let words = |text| {
            prompt(Did::Pull, Some("D10"), text)
                .consequence()
                .unwrap_or_else(|error| error)
        };
        assert_eq!(words(""), "Enter records: pull D10, now");
        assert_eq!(words("L3+E8"), "Enter records: pull L3+E8, now");
        assert_eq!(words("@2m"), "Enter records: pull D10, 2 min ago");
        assert_eq!(words("L3 @40s"), "Enter records: pull L3, 40 s ago");
        assert_eq!(words("L3 @@40s"), "Enter records: pull L3, 40 s ago");
        assert_eq!(words("L3 40s ago"), "Enter records: pull L3, 40 s ago");
        assert_eq!(words("40s ago"), "Enter records: pull D10, 40 s ago");
        assert_eq!(
            words("L3 @soon"),
            "'@soon' is no time: expected @40s, @2m or @14:02"
        );
        assert_eq!(
            words("L3 @1h"),
            "1 h ago is before the session began, 10 min ago"
        );
    }

    #[test]
    fn a_late_mark_is_told_by_the_clock_too() {
        let midnight = NaiveTime::from_hms_opt(0, 4, 30);
        let words = |text| {
            let prompt = prompt(Did::Pull, Some("D10"), text).by_clock(midnight);
            prompt.consequence().unwrap_or_else(|error| error)
        };
        assert_eq!(words("L3 @0:03"), "Enter records: pull L3, 1 min 30 s ago");
        assert_eq!(words("@00:04:10"), "Enter records: pull D10, 20 s ago");
        assert_eq!(words("@23:59"), "Enter records: pull D10, 5 min 30 s ago");
        assert_eq!(
            words("@0:05"),
            "23 h 59 min ago is before the session began, 10 min ago"
        );
        assert!(words("@24:61").contains("is no time"));
    }

    #[test]
    fn a_prompt_without_a_name_stays_open() {
        let mut nameless = prompt(Did::Pull, None, "");
        assert_eq!(nameless.key(Key::Enter), Outcome::Open);
        assert!(nameless.consequence().unwrap_err().contains("name"));
    }

    fn mapped(did: Did, text: &str, in_box: Option<&str>) -> Prompt {
        let csv = b"box,position,rating_a,style,feeds\ncabin,E3,10,mini,\ncabin,K1,5,mini,\n\
            boot,K1,5,mini,\n";
        let mut fuses = crate::fuse::map::read(csv).unwrap();
        crate::fuse::map::as_printed(&mut fuses);
        prompt(did, None, text).knowing(KnownLabels {
            fuses,
            marked: vec!["X9".into()],
            out: vec!["E3".into()],
            in_box: in_box.map(Into::into),
        })
    }

    #[test]
    fn a_label_is_taken_as_the_lid_prints_it_and_two_boxes_are_asked_about() {
        let said = |text, in_box| mapped(Did::Pull, text, in_box).consequence();
        assert_eq!(said("e3", None).unwrap(), "Enter records: pull E3, now");
        assert_eq!(
            said("K1 b", None).unwrap(),
            "Enter records: pull K1 boot, now"
        );
        assert_eq!(
            said("K1", Some("boot")).unwrap(),
            "Enter records: pull K1 boot, now"
        );
        let asked = said("K1", None).unwrap_err();
        assert!(asked.contains("which box: cabin or boot"), "{asked}");
        assert_eq!(mapped(Did::Pull, "K1", None).key(Key::Enter), Outcome::Open);
    }

    #[test]
    fn a_label_that_is_not_on_the_map_is_asked_about_once() {
        let mut open = mapped(Did::Pull, "E33", None);
        let asked = open.consequence().unwrap_err();
        assert!(asked.contains("E33 is not on the map"), "{asked}");
        assert_eq!(open.key(Key::Enter), Outcome::Open);
        let asked = open.questions().join(" ");
        assert!(asked.contains("Enter takes it all the same"), "{asked}");
        // Another label is another question.
        assert_eq!(open.key(Key::Char('4')), Outcome::Open);
        assert_eq!(open.key(Key::Enter), Outcome::Open);
        assert!(matches!(open.key(Key::Enter), Outcome::Done(_)));
        for (did, text) in [
            (Did::Pull, "x9"),
            (Did::Unplug, "washer pump"),
            (Did::Pull, "E3"),
        ] {
            let mut known = mapped(did, text, None);
            assert!(matches!(known.key(Key::Enter), Outcome::Done(_)), "{text}");
        }
    }

    /// `adio` was never out; a late refit may tell of what was out at that time.
    #[test]
    fn what_goes_back_and_was_never_out_is_asked_about_once() {
        for (did, text, is_asked) in [
            (Did::Plug, "adio", true),
            (Did::Refit, "X9", true),
            (Did::Refit, "e3", false),
            (Did::Refit, "X9 @2m", false),
            (Did::Unplug, "adio", false),
            (Did::Pull, "E3", false),
        ] {
            let mut open = mapped(did, text, None);
            let taken = matches!(open.key(Key::Enter), Outcome::Done(_));
            assert_eq!(taken, !is_asked, "{text}");
            let again = is_asked && matches!(open.key(Key::Enter), Outcome::Done(_));
            assert_eq!(again, is_asked, "{text}");
        }
    }

    #[test]
    fn a_note_keeps_an_at_sign_that_is_no_time() {
        let note = prompt(Did::Note, None, "mail owner@home");
        assert_eq!(
            note.consequence().unwrap(),
            "Enter records: note mail owner@home, now"
        );
    }

    #[test]
    fn volts_are_typed_at_their_own_question_or_for_a_reading() {
        let words = |ask, text| {
            let prompt = Prompt::new(ask, None, Elapsed::ZERO).typed(text);
            prompt.consequence().unwrap_or_else(|error| error)
        };
        let said = "Enter records: 12.41 V on the battery";
        assert_eq!(words(Ask::Volts, "12.41"), said);
        assert_eq!(words(Ask::Reading(Unit::default()), "12.41V"), said);
        assert_eq!(
            words(Ask::Reading(Unit::default()), "52m"),
            "Enter records: 52 mA"
        );
        assert!(words(Ask::Volts, "52m").contains("no 12 V battery"));
    }

    #[test]
    fn only_y_strikes() {
        let ask = || Ask::Strike {
            what: Withdrawn::Mark(MarkId(3)),
            named: "pull E22".into(),
        };
        let mut open = Prompt::new(ask(), None, Elapsed::ZERO);
        assert_eq!(open.key(Key::Char('x')), Outcome::Open);
        assert_eq!(open.key(Key::Char('n')), Outcome::Dropped);
        assert_eq!(
            open.key(Key::Char('y')),
            Outcome::Done(Answer::Strike(Withdrawn::Mark(MarkId(3))))
        );
        // Enter takes what is safe.
        let mut open = Prompt::new(ask(), None, Elapsed::ZERO);
        assert_eq!(open.key(Key::Enter), Outcome::Dropped);
    }
}
