//! One line from the instrument: what it answers, and what comes next.

use super::Scpi;
use super::answer_line::{self, Function, LineKind};
use super::question::{Missed, NextStep, Question};
use crate::meter::{Answered, Expects, Heard, Unusable};
use crate::reading::{Elapsed, Measured};

/// How long to wait before asking again what could not be used.
const PAUSE_S: f64 = 3.0;
/// No error queue is longer.
const OLD_ERRORS: u32 = 64;
/// So many readings without a value in a row are worth a word.
const WITHOUT_VALUE: u32 = 4;

impl Scpi {
    /// One line came.
    pub(super) fn line(&mut self, now: Elapsed, line: &[u8], heard: &mut Vec<Heard>) {
        let Some(asked) = self.asked else {
            self.late(now, line, heard);
            return;
        };
        let answer = LineKind::read(line);
        match (asked.question, answer) {
            (_, LineKind::Nothing) => {}
            (question, _) if answer_line::is_echo(line, question.text()) => {}
            (Question::OldErrors(thrown), LineKind::Error { code, .. }) => {
                self.asked = None;
                let more = code != 0 && thrown < OLD_ERRORS;
                self.step = if more {
                    NextStep::OldErrors(thrown.saturating_add(1))
                } else {
                    self.go_on(now)
                };
            }
            (Question::Error(missed), LineKind::Error { code, text }) => {
                self.asked = None;
                self.error(missed, code, &text, now, heard);
            }
            (Question::Function, LineKind::Function(function, range)) => {
                self.asked = None;
                self.measures(function, range, now, heard);
            }
            (Question::Reading, LineKind::Values(values)) => {
                self.asked = None;
                self.answered_in(now.secs_since(asked.at));
                self.values(&values, heard);
                let due = asked.at.plus_secs(self.options.rate.period_s());
                self.step = NextStep::Read(due.max(now));
            }
            (Question::Reading, _) => {
                self.asked = None;
                heard.push(Heard::rejected(line));
                self.step = NextStep::Resync(now, Question::Reading);
            }
            (Question::OldErrors(_) | Question::Error(_) | Question::Function, _) => {
                self.late(now, line, heard);
            }
        }
    }

    /// An answer to a question that was given up: never a reading, but it tells the pace.
    fn late(&mut self, now: Elapsed, line: &[u8], heard: &mut Vec<Heard>) {
        if let (LineKind::Values(_), Some(read_at)) = (LineKind::read(line), self.read_at.take()) {
            self.answered_in(now.secs_since(read_at));
        }
        heard.push(Heard::Unusable(Unusable::NoReading));
    }

    fn answered_in(&mut self, took_s: f64) {
        self.longest_s = Some(self.longest_s.unwrap_or(0.0).max(took_s));
    }

    fn error(
        &mut self,
        missed: Missed,
        code: i64,
        text: &str,
        now: Elapsed,
        heard: &mut Vec<Heard>,
    ) {
        let reports = format!("the instrument reports {code} \"{text}\"");
        let trouble = match (missed, code) {
            (Missed::Reading | Missed::Nothing, 0) => {
                self.step = self.go_on(now);
                return;
            }
            (Missed::Function, 0) => "no answer to CONF?".into(),
            (Missed::Function | Missed::Nothing, _) => reports,
            (Missed::Reading, _) => format!("{reports} instead of a reading"),
        };
        let trouble = if missed == Missed::Function {
            format!(
                "{trouble}: it does not say what it measures. If its display shows direct \
                 current, add conf=0 to the meter URI"
            )
        } else {
            trouble
        };
        heard.push(Heard::Trouble(trouble));
        self.step = NextStep::Pause(now.plus_secs(PAUSE_S));
    }

    fn measures(
        &mut self,
        function: Function,
        range: Option<String>,
        now: Elapsed,
        heard: &mut Vec<Heard>,
    ) {
        if !function.is(self.expects) {
            let wanted = match self.expects {
                Expects::Amperes => "DC current",
                Expects::Volts => "DC volts, for the clamp or shunt",
            };
            heard.push(Heard::Trouble(format!(
                "the instrument measures {function}: turn it to {wanted}. Nothing is sent that \
                 would do it, so that the car's circuit is not opened"
            )));
            if function.is_alternating() {
                heard.push(Heard::Unusable(Unusable::Ac));
            }
            self.step = NextStep::Pause(now.plus_secs(PAUSE_S));
            return;
        }
        self.function = function;
        if let Some(range) = range {
            let before = self.range.replace(range.clone());
            if before.is_some_and(|before| before != range) {
                heard.push(Heard::Range(format!("{range} {}", self.unit())));
            }
        }
        self.checked_at = Some(now);
        let due = self
            .read_at
            .map_or(now, |at| at.plus_secs(self.options.rate.period_s()));
        self.step = NextStep::Read(due.max(now));
    }

    const fn unit(&self) -> &'static str {
        match self.expects {
            Expects::Amperes => "A",
            Expects::Volts => "V",
        }
    }

    fn values(&mut self, values: &[Answered], heard: &mut Vec<Heard>) {
        for value in values {
            self.without_value = match value {
                Answered::Missing => self.without_value.saturating_add(1),
                Answered::Number(_) | Answered::Over => 0,
            };
            heard.push(match value {
                Answered::Missing => Heard::Unusable(Unusable::NoReading),
                Answered::Over => self.expects.heard(Measured::Over),
                Answered::Number(amps) => self.expects.heard(Measured::Amps(*amps)),
            });
        }
        if self.without_value >= WITHOUT_VALUE {
            heard.push(Heard::Trouble(
                "the instrument answers 9.91E37, which means no value: is its input overloaded, \
                 or a trigger missing?"
                    .into(),
            ));
        }
    }

    /// Telnet bytes came.
    pub(super) fn telnet(&mut self, heard: &mut Vec<Heard>) {
        if !std::mem::replace(&mut self.telnet_told, true) {
            heard.push(Heard::Trouble(
                "telnet bytes came and were dropped: this looks like the telnet port (often 23 \
                 or 5024); the raw socket is usually 5025"
                    .into(),
            ));
        }
    }
}
