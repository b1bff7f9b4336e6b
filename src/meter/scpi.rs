//! Bench meters that speak SCPI: what to ask, when, and which answer belongs to which question.
//!
//! Nothing sent changes function or range: `CONF?`, `READ?` and `SYST:ERR?` only ask, `SYST:REM`
//! goes out only when the user says so. What can be asked stands in `question`, what an answer is in
//! `answer_line`, what follows from it in `reply`.

mod answer_line;
mod question;
mod reply;
mod telnet_lines;

use self::answer_line::Function;
use self::question::{Missed, NextStep, OpenQuestion, Question};
use self::telnet_lines::AnswerLines;
use super::{Expects, Heard, Rate, Talker, Turn};
use crate::reading::Elapsed;

/// What the user said about the instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScpiOptions {
    /// How often to read.
    pub rate: Rate,
    /// Whether `SYST:REM` may be sent first: some serial instruments answer nothing before it.
    pub remote: bool,
    /// Whether to ask with `CONF?` what the instrument measures.
    pub checks_function: bool,
}

impl Default for ScpiOptions {
    fn default() -> Self {
        Self {
            rate: Rate::default(),
            remote: false,
            checks_function: true,
        }
    }
}

/// How long to wait for an answer while none was seen yet.
const FIRST_PATIENCE_S: f64 = 2.5;
/// How long at least, and at most, once the meter's own pace is known: three times the longest.
const PATIENCE_S: (f64, f64) = (1.0, 60.0);
const PATIENCE_TIMES: f64 = 3.0;
/// How often the function is asked again: someone may turn the knob.
const CHECK_EVERY_S: f64 = 10.0;

/// Keeps the conversation with one instrument.
#[derive(Debug)]
pub struct Scpi {
    options: ScpiOptions,
    expects: Expects,
    lines: AnswerLines,
    step: NextStep,
    asked: Option<OpenQuestion>,
    /// When the last reading was asked for, answered or not.
    read_at: Option<Elapsed>,
    checked_at: Option<Elapsed>,
    longest_s: Option<f64>,
    function: Function,
    range: Option<String>,
    without_value: u32,
    telnet_told: bool,
}

impl Scpi {
    /// A conversation that has not begun; the knob must stand on what is expected.
    pub fn new(options: ScpiOptions, expects: Expects) -> Self {
        Self {
            options,
            expects,
            lines: AnswerLines::default(),
            step: Self::first(options),
            asked: None,
            read_at: None,
            checked_at: None,
            longest_s: None,
            function: Function::assumed(expects),
            range: None,
            without_value: 0,
            telnet_told: false,
        }
    }

    const fn first(options: ScpiOptions) -> NextStep {
        if options.remote {
            NextStep::Remote
        } else {
            NextStep::OldErrors(0)
        }
    }

    fn patience_s(&self) -> f64 {
        let (least, most) = PATIENCE_S;
        self.longest_s.map_or(FIRST_PATIENCE_S, |longest_s| {
            (PATIENCE_TIMES * longest_s).clamp(least, most)
        })
    }

    fn ask(&mut self, question: Question, now: Elapsed) -> Turn {
        self.asked = Some(OpenQuestion { question, at: now });
        if question == Question::Reading {
            self.read_at = Some(now);
        }
        Turn::Send(format!("{}\n", question.text()).into_bytes())
    }

    /// No answer came in time.
    fn missed(&mut self, question: Question, now: Elapsed, heard: &mut Vec<Heard>) {
        let silent = match question {
            Question::OldErrors(_) => true,
            Question::Error(missed) => missed != Missed::Reading,
            Question::Function | Question::Reading => false,
        };
        if silent {
            heard.push(Heard::Trouble(
                "no answer to SYST:ERR?: is the instrument on, is its remote interface on, and \
                 are port and speed right? Some serial ones need remote=1 in the meter URI"
                    .into(),
            ));
        }
        let drained = now.plus_secs(self.options.rate.period_s());
        self.step = NextStep::Resync(drained, question);
    }

    /// What to do once the instrument says that nothing is wrong.
    fn go_on(&self, now: Elapsed) -> NextStep {
        if self.options.checks_function {
            NextStep::Function
        } else {
            NextStep::Read(now)
        }
    }
}

impl Talker for Scpi {
    fn turn(&mut self, now: Elapsed, heard: &mut Vec<Heard>) -> Turn {
        if let Some(asked) = self.asked {
            let deadline = asked.at.plus_secs(self.patience_s());
            if now < deadline {
                return Turn::ListenUntil(deadline);
            }
            self.asked = None;
            self.missed(asked.question, now, heard);
        }
        match self.step {
            NextStep::Remote => {
                self.step = NextStep::OldErrors(0);
                Turn::Send(b"SYST:REM\n".to_vec())
            }
            NextStep::OldErrors(thrown) => self.ask(Question::OldErrors(thrown), now),
            NextStep::Function => self.ask(Question::Function, now),
            NextStep::Read(due) | NextStep::Pause(due) | NextStep::Resync(due, _) if now < due => {
                Turn::ListenUntil(due)
            }
            NextStep::Pause(_) => {
                self.step = self.go_on(now);
                self.turn(now, heard)
            }
            NextStep::Resync(_, question) => self.ask(Question::Error(question.missed()), now),
            NextStep::Read(_) => {
                let fresh = self
                    .checked_at
                    .is_some_and(|at| now.secs_since(at) < CHECK_EVERY_S);
                if self.options.checks_function && !fresh {
                    self.ask(Question::Function, now)
                } else {
                    self.ask(Question::Reading, now)
                }
            }
        }
    }

    fn feed(&mut self, now: Elapsed, bytes: &[u8], heard: &mut Vec<Heard>) {
        for &byte in bytes {
            let Some(cut) = self.lines.push(byte) else {
                continue;
            };
            if cut.had_telnet {
                self.telnet(heard);
            }
            if cut.had_telnet && !answer_line::is_value(&cut.line) {
                heard.push(Heard::rejected(&cut.line));
            } else {
                self.line(now, &cut.line, heard);
            }
        }
    }

    fn reset(&mut self) {
        *self = Self {
            longest_s: self.longest_s,
            range: self.range.take(),
            telnet_told: self.telnet_told,
            ..Self::new(self.options, self.expects)
        };
    }
}

#[cfg(test)]
mod tests;
