//! Marks as lines of text, from a script or a screen reader: each does what its key and what is typed
//! behind it do on the board, and has its answer.

use super::keymap::RecordAction;
use super::prompt::{Outcome, Prompt};
use super::{Effect, Key, Model};
use crate::judge::words;
use crate::session::{Did, DoneTo, Fact};

const EXPECTED: &str = "expected lock, unlock, pull, refit, unplug, plug, swap, run, zero, finish, \
    leave out or note, each as on the board, or read, volts, strike, now or quit";

impl Model {
    /// Does what this line says. What it records is answered once it is on disk.
    pub(super) fn line(&mut self, line: &str, effects: &mut Vec<Effect>) {
        self.takes_lines = true;
        let line = line.trim();
        let asked_before = std::mem::replace(&mut self.asked_line, line.to_owned());
        match line {
            "" => {}
            "now" => self.tell(self.as_it_stands()),
            "quit" => effects.push(Effect::Quit),
            _ => self.press(line, asked_before == line, effects),
        }
    }

    fn press(&mut self, line: &str, insists: bool, effects: &mut Vec<Effect>) {
        let Some((action, typed)) = action(line) else {
            let word = line.split_whitespace().next().unwrap_or_default();
            return self.tell(format!("'{word}' is no mark: {EXPECTED}"));
        };
        // What hands are typing on the board stays as it is.
        let hands = self.prompt.take();
        self.notices.reply = None;
        self.note_down(action, Key::Enter, effects);
        if let Some(prompt) = self.prompt.take() {
            self.answer_at_once(prompt.typed(typed), insists, effects);
        }
        self.prompt = hands;
        if let Some(reply) = self.notices.reply.clone() {
            self.tell(reply);
        }
    }

    /// The same line once more insists, as Enter does once more on the board.
    fn answer_at_once(&mut self, mut prompt: Prompt, insists: bool, effects: &mut Vec<Effect>) {
        let said = prompt.consequence().err();
        let cautions = prompt.removed();
        for caution in self.cautions_of(&cautions, prompt.fitted()) {
            self.tell(format!("CAUTION: {}", caution.text));
        }
        let mut outcome = if prompt.is_yes_no() {
            prompt.key(Key::Char('y'))
        } else {
            prompt.key(Key::Enter)
        };
        if outcome == Outcome::Open && insists {
            outcome = prompt.key(Key::Enter);
        }
        match outcome {
            Outcome::Done(answer) => self.answer(answer, effects),
            Outcome::Open | Outcome::Dropped => {
                let why = said.unwrap_or_else(|| prompt.ask.question());
                self.tell(format!("not recorded: {why}"));
            }
        }
    }

    fn as_it_stands(&self) -> String {
        let now = self.judgement.now.in_words();
        let headline = words::headline::headline(&self.judgement, &self.session.out_now());
        format!("{now}. {headline}")
    }

    /// Answers a line whose entry is on disk.
    pub(super) fn answer_line(&mut self, fact: &Fact) {
        if !self.takes_lines {
            return;
        }
        match fact {
            Fact::Mark(mark) => self.tell(format!("recorded: {mark}")),
            Fact::Strike(_) => self.tell("struck".into()),
            Fact::Reading(_) => self.tell("recorded: the reading".into()),
            Fact::Volts(volts) => self.tell(format!("recorded: {volts} V on the battery")),
            Fact::Drop(_)
            | Fact::Set(_)
            | Fact::Meter(_)
            | Fact::VoltsMeter(_)
            | Fact::Resumed(_)
            | Fact::Judged(_)
            | Fact::Seal(_)
            | Fact::Unknown => {}
        }
    }

    fn tell(&mut self, said: String) {
        self.notices.told.push(said);
    }
}

/// The key that a line stands for, and what is typed behind it.
fn action(line: &str) -> Option<(RecordAction, &str)> {
    let behind = |word: &str| {
        let (verb, rest) = line.split_at_checked(word.len())?;
        let ends = rest.is_empty() || rest.starts_with(char::is_whitespace);
        (ends && verb.eq_ignore_ascii_case(word)).then(|| rest.trim())
    };
    let others = [
        ("read", RecordAction::Reading),
        ("volts", RecordAction::Volts),
        ("strike", RecordAction::Strike),
        ("run", RecordAction::Run),
    ];
    let other = others.into_iter().find_map(|(word, action)| {
        let rest = behind(word)?;
        Some((action, rest))
    });
    other.or_else(|| {
        Did::ALL.into_iter().find_map(|did| {
            let rest = behind(did.word())?;
            let is_late = matches!(did.done_to(), DoneTo::Car | DoneTo::Meter) && !rest.is_empty();
            let action = if is_late {
                RecordAction::MarkLate(did)
            } else {
                RecordAction::Mark(did)
            };
            Some((action, rest))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::{Event, Message, Options};
    use crate::reading::Elapsed;
    use crate::session::Header;

    /// A desk whose journal never fails, and all that it answered.
    struct Bench(Model);

    impl Bench {
        fn tell(&mut self, at_s: f64, event: Event) {
            let t = Elapsed::from_secs(at_s);
            for effect in self.0.update(Message { t, event }) {
                if let Effect::Record(entry) = effect {
                    self.tell(at_s, Event::Appended(vec![entry]));
                }
            }
        }

        /// The answers to this line.
        fn line(&mut self, at_s: f64, line: &str) -> Vec<String> {
            let before = self.0.notices().told.len();
            self.tell(at_s, Event::Line(line.into()));
            let told = self.0.notices().told.iter();
            told.skip(before).cloned().collect()
        }
    }

    fn bench() -> Bench {
        Bench(Model::new(Header::default(), Options::default()))
    }

    #[test]
    fn each_line_does_what_its_key_does_and_is_answered() {
        let mut bench = bench();
        assert_eq!(bench.line(1.0, "lock"), ["recorded: lock"]);
        assert_eq!(bench.line(90.0, "Pull E12 @40s"), ["recorded: pull E12"]);
        let placed = bench.0.session().marks().last().unwrap();
        assert_eq!(placed.at(), Elapsed::from_secs(50.0));
        assert_eq!(bench.line(100.0, "refit"), ["recorded: refit E12"]);
        assert_eq!(bench.line(101.0, "note key in the kitchen").len(), 1);
        assert_eq!(bench.line(102.0, "strike"), ["struck"]);
        let volts = bench.line(103.0, "volts 12.41V");
        assert_eq!(volts, ["recorded: 12.41 V on the battery"]);
        assert_eq!(bench.line(140.0, "lock @20s"), ["recorded: lock"]);
        let out = bench.line(200.0, "leave out @60s to @50s");
        assert_eq!(out, ["recorded: leave out 0:02:20 to 0:02:30"]);
        assert_eq!(bench.0.session().marks().count(), 5);
    }

    #[test]
    fn what_cannot_be_done_says_why_and_records_nothing() {
        let mut bench = bench();
        let said = bench.line(1.0, "unplug");
        assert!(said[0].starts_with("not recorded: "), "{said:?}");
        let said = bench.line(1.0, "pull E3 @soon");
        assert!(said[0].contains("'@soon' is no time"), "{said:?}");
        let said = bench.line(1.0, "drive home");
        assert!(
            said[0].starts_with("'drive' is no mark: expected lock"),
            "{said:?}"
        );
        assert_eq!(bench.line(1.0, "strike"), ["There is no mark to strike."]);
        assert!(bench.line(1.0, "  ").is_empty());
        assert_eq!(bench.0.session().marks().count(), 0);
        assert_eq!(bench.line(2.0, "now").len(), 1);
    }

    #[test]
    fn what_is_being_typed_on_the_board_stays_there() {
        let mut bench = bench();
        bench.tell(1.0, Event::Key(Key::Char('p')));
        bench.tell(1.0, Event::Key(Key::Char('E')));
        assert_eq!(bench.line(2.0, "lock"), ["recorded: lock"]);
        assert_eq!(bench.0.prompt().unwrap().field.text(), "E");
    }
}
