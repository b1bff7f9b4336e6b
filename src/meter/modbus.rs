//! Panel and shunt meters that speak Modbus RTU: one register asked for again and again.
//!
//! Frames stand in `request`, where nothing but a question for registers can be made; what the
//! registers mean stands in `register`.

pub mod register;
mod request;

pub use request::{RegisterTable, Request};

use self::register::{CountScale, Kind, Order};
use self::request::FrameFound;
use super::{Answered, Heard, Rate, Talker, Turn, Unusable};
use crate::reading::{Elapsed, Measured, named};

/// The parity bit of each character. The specification wants it even; many meters have none.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Parity {
    /// No parity bit.
    #[default]
    None,
    /// Even.
    Even,
    /// Odd.
    Odd,
}

named!(Parity { None = "none", Even = "even", Odd = "odd" });

/// What the user said about the meter.
#[derive(Clone, Debug, PartialEq)]
pub struct ModbusOptions {
    /// The meter's address on the bus.
    pub unit: u8,
    /// Which table the register stands in.
    pub function: RegisterTable,
    /// The first register, counted from 0 as on the wire.
    pub register: u16,
    /// How its bits are to be read; `None` until the user has chosen.
    pub kind: Option<Kind>,
    /// In which order its bytes stand; `None` until the user has chosen.
    pub order: Option<Order>,
    /// What one unit of the number is in ampere.
    pub scale: CountScale,
    /// How often to ask.
    pub rate: Rate,
    /// How its characters are sent over a serial line.
    pub parity: Parity,
}

/// What a question still needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "the meter URI does not say how to read the register: expected type= and order=. \
     'lullboard meters --read URI' shows every way side by side, to be picked by the display"
)]
pub struct Undecided;

impl ModbusOptions {
    /// The question for this register, wide enough for its type; for the widest while it is open.
    pub const fn request(&self) -> Request {
        let words = match self.kind {
            Some(kind) => kind.words(),
            None => 2,
        };
        Request::new(self.unit, self.function, self.register, words)
    }

    /// How to read the register.
    ///
    /// # Errors
    /// [`Undecided`] when type or, where it matters, order is missing.
    pub fn reading(&self) -> Result<(Kind, Order), Undecided> {
        let kind = self.kind.ok_or(Undecided)?;
        match self.order {
            Some(order) => Ok((kind, order)),
            None if kind.words() == 1 => Ok((kind, Order::Abcd)),
            None => Err(Undecided),
        }
    }
}

/// So long an answer may take. The specification leaves it to the installation; one second is
/// common practice, no source.
const PATIENCE_S: f64 = 1.0;
/// Silence before a question: 3.5 characters are 32 ms at 1200 baud (Serial Line V1.02, 2.5.1.1).
const SILENCE_S: f64 = 0.05;
/// After a missing answer, so that a late one is not taken for the next.
const DRAIN_S: f64 = 0.5;
/// How long to wait after the meter has refused.
const PAUSE_S: f64 = 2.0;
/// So many missing answers in a row are worth a word.
const MISSES: u32 = 3;
/// So many answers without a value in a row are.
const WITHOUT_VALUE: u32 = 4;

/// What becomes of the bytes of a good answer.
enum Meaning {
    /// One number in ampere.
    Amperes(Kind, Order, CountScale),
    /// The bytes themselves, for the user to pick how to read them.
    Raw(Option<Vec<u8>>),
}

/// Keeps the conversation with one meter.
pub struct Modbus {
    request: Request,
    meaning: Meaning,
    rate: Rate,
    waiting: Vec<u8>,
    asked_at: Option<Elapsed>,
    /// Nothing is sent before this.
    quiet_until: Option<Elapsed>,
    misses: u32,
    without_value: u32,
}

impl Modbus {
    /// A conversation that has not begun.
    ///
    /// # Errors
    /// [`Undecided`] when the URI does not say how to read the register.
    pub fn new(options: &ModbusOptions) -> Result<Self, Undecided> {
        let (kind, order) = options.reading()?;
        let meaning = Meaning::Amperes(kind, order, options.scale);
        Ok(Self::meaning(options, meaning))
    }

    /// A conversation that only fetches the bytes: see [`Talker::take_raw`].
    pub fn raw(options: &ModbusOptions) -> Self {
        Self::meaning(options, Meaning::Raw(None))
    }

    fn meaning(options: &ModbusOptions, meaning: Meaning) -> Self {
        Self {
            request: options.request(),
            meaning,
            rate: options.rate,
            waiting: Vec::new(),
            asked_at: None,
            quiet_until: None,
            misses: 0,
            without_value: 0,
        }
    }

    fn answered(&mut self, now: Elapsed, pause_s: f64) {
        let asked_at = self.asked_at.take().unwrap_or(now);
        let due = asked_at.plus_secs(self.rate.period_s());
        self.quiet_until = Some(due.max(now.plus_secs(pause_s)));
        self.misses = 0;
    }

    fn data(&mut self, data: &[u8], heard: &mut Vec<Heard>) {
        match &mut self.meaning {
            Meaning::Raw(bytes) => *bytes = Some(data.to_vec()),
            Meaning::Amperes(kind, order, scale) => {
                let value = register::value(data, *kind, *order);
                let value = value.and_then(|value| value.scaled(*scale));
                self.without_value = if value == Some(Answered::Missing) {
                    self.without_value.saturating_add(1)
                } else {
                    0
                };
                heard.push(match value {
                    Some(Answered::Number(amps)) => Heard::Value(Measured::Amps(amps)),
                    Some(Answered::Over) => Heard::Value(Measured::Over),
                    Some(Answered::Missing) if self.without_value < WITHOUT_VALUE => {
                        Heard::Unusable(Unusable::NoReading)
                    }
                    Some(Answered::Missing) => Heard::Trouble(
                        "the meter answers with no number (NaN): is its shunt or sensor connected?"
                            .into(),
                    ),
                    None => Heard::Trouble(
                        "the register holds no current that a car could draw: are type=, order= \
                         and scale= right? 'lullboard meters --read URI' shows every way"
                            .into(),
                    ),
                });
            }
        }
    }

    fn refused(&self, code: u8) -> String {
        format!(
            "the meter refuses to read register {} (exception {code:02}: {}). On the wire \
             registers count from 0: a table's 40001 is register=0&function=3, its 30001 \
             register=0&function=4",
            self.request.register,
            request::exception(code)
        )
    }

    fn missed(&mut self, now: Elapsed, heard: &mut Vec<Heard>) {
        self.asked_at = None;
        if !self.waiting.is_empty() {
            heard.push(Heard::rejected(&std::mem::take(&mut self.waiting)));
        }
        self.misses = self.misses.saturating_add(1);
        if self.misses == MISSES {
            heard.push(Heard::Trouble(format!(
                "no answer from unit {}: are unit=, baud=, parity= and the two wires right?",
                self.request.unit
            )));
        }
        self.quiet_until = Some(now.plus_secs(DRAIN_S));
    }
}

impl Talker for Modbus {
    fn turn(&mut self, now: Elapsed, heard: &mut Vec<Heard>) -> Turn {
        if let Some(asked_at) = self.asked_at {
            let deadline = asked_at.plus_secs(PATIENCE_S);
            if now < deadline {
                return Turn::ListenUntil(deadline);
            }
            self.missed(now, heard);
        }
        if let Some(until) = self.quiet_until.filter(|until| now < *until) {
            return Turn::ListenUntil(until);
        }
        self.quiet_until = None;
        self.asked_at = Some(now);
        self.waiting.clear();
        Turn::Send(self.request.frame().to_vec())
    }

    fn feed(&mut self, now: Elapsed, bytes: &[u8], heard: &mut Vec<Heard>) {
        if bytes.is_empty() {
            return;
        }
        if self.asked_at.is_none() {
            // Late, or another device's: it answers no question of ours.
            heard.push(Heard::rejected(bytes));
            let quiet = now.plus_secs(SILENCE_S);
            self.quiet_until = self.quiet_until.max(Some(quiet));
            return;
        }
        self.waiting.extend_from_slice(bytes);
        match self.request.find(&self.waiting) {
            FrameFound::Unfinished => {}
            FrameFound::Noise => heard.push(Heard::rejected(&std::mem::take(&mut self.waiting))),
            FrameFound::Data(data) => {
                self.waiting.clear();
                self.answered(now, SILENCE_S);
                self.data(&data, heard);
            }
            FrameFound::Exception(code) => {
                self.waiting.clear();
                self.answered(now, PAUSE_S);
                heard.push(Heard::Trouble(self.refused(code)));
            }
        }
    }

    fn take_raw(&mut self) -> Option<Vec<u8>> {
        match &mut self.meaning {
            Meaning::Raw(bytes) => bytes.take(),
            Meaning::Amperes(..) => None,
        }
    }

    fn reset(&mut self) {
        self.waiting.clear();
        self.asked_at = None;
        self.quiet_until = None;
    }
}

#[cfg(test)]
mod tests;
