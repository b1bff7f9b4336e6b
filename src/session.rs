//! A session: the one fold of everything recorded.
//!
//! [`Session::apply`] is the only place where a session changes, and it takes only what the
//! journal holds. What the facts mean is not stored here: `judge` derives it.

mod beyond;
pub mod card;
pub mod caution;
pub mod doubt;
pub mod entry;
pub mod export_kind;
mod finished;
pub mod mark;
mod nameless;
mod notes;
pub mod seconds;
pub mod tick;
pub mod timeline;
pub mod typed;
pub mod volts;

pub use card::Card;
pub use doubt::Doubt;
pub use entry::{Entry, Fact, FuseDrop, Header, Judged, MeterCard, MeterEvent};
pub use mark::{Did, DoneTo, Mark, MarkId, Placed};
pub use volts::BatteryVolts;

use crate::fuse::map::{self, Circuit};
use crate::reading::{Elapsed, Measured};
use crate::signal::Classifier;
use beyond::{KnownNames, LeftOut};
use card::OutOfBounds;

/// Everything that is known of one hunt.
#[derive(Clone, Debug, Default)]
pub struct Session {
    header: Header,
    card: Card,
    marks: Vec<Placed>,
    drops: Vec<(Elapsed, FuseDrop)>,
    meter_events: Vec<(Elapsed, MeterEvent)>,
    signal: Classifier,
    volts: BatteryVolts,
    readings: u64,
    overs: u64,
    last_reading: Option<(Elapsed, Measured)>,
    last_t: Elapsed,
    disordered: u64,
    out_of_bounds: Vec<OutOfBounds>,
    judged: Option<Judged>,
    /// When the clamp was zeroed, in order: everything that is measured asks for it.
    zeroed: Vec<Elapsed>,
    names: KnownNames,
    left_out: LeftOut,
}

impl Session {
    /// A session that begins with this header and nothing recorded.
    pub fn new(header: Header) -> Self {
        let mut card = header.card.clone();
        let out_of_bounds = card.take_out_of_bounds();
        let mut names = KnownNames::default();
        names.map(card.fuses.as_deref_mut().unwrap_or_default());
        let signal = if header.meter.is_by_eye() {
            Classifier::by_eye()
        } else {
            Classifier::default()
        };
        Self {
            header,
            card,
            signal,
            out_of_bounds,
            names,
            ..Self::default()
        }
    }

    /// Figures of the card that cannot be, and are left out.
    pub fn out_of_bounds(&self) -> &[OutOfBounds] {
        &self.out_of_bounds
    }

    /// What no car has, and was left out: how much of each kind, a line for each.
    pub fn beyond(&self) -> impl Iterator<Item = String> + '_ {
        self.left_out.lines()
    }

    /// What was said when the record ended; `None` once more is known.
    pub const fn judged(&self) -> Option<&Judged> {
        self.judged.as_ref()
    }

    /// Takes one recorded entry into account.
    pub fn apply(&mut self, entry: &Entry) {
        if self.is_out_of_order(entry) {
            self.disordered += 1;
            return;
        }
        self.last_t = self.last_t.max(entry.t);
        // What was said at an end is said of what was known then.
        if !matches!(entry.fact, Fact::Seal(_) | Fact::Unknown) {
            self.judged = None;
        }
        match &entry.fact {
            Fact::Reading(value) => {
                self.readings += 1;
                self.overs += u64::from(*value == Measured::Over);
                self.last_reading = Some((entry.t, *value));
                self.signal.step(entry.t, *value);
            }
            Fact::Mark(mark) => self.place(Mark::clone(mark), entry.t),
            Fact::Strike(id) if self.names.strike(*id) => {
                for placed in self.marks.iter_mut().filter(|placed| placed.mark.id == *id) {
                    placed.struck = true;
                }
                self.zeroed = self.done(Did::Zero).map(Placed::at).collect();
            }
            Fact::Drop(drop) => {
                let room = self.names.drop(drop, self.drops.len());
                if self.left_out.has_room(room) {
                    let mut drop = FuseDrop::clone(drop);
                    let known = self.names.spelled(&drop.what);
                    if let Some(what) = known.filter(|what| !map::same(what, &drop.what)) {
                        what.clone_into(&mut drop.what);
                    }
                    self.drops.push((entry.t, drop));
                }
            }
            Fact::Set(change) => {
                let mut change = (**change).clone();
                for figure in change.take_out_of_bounds() {
                    let room = beyond::figure(self.out_of_bounds.len());
                    if self.left_out.has_room(room) {
                        self.out_of_bounds.push(figure);
                    }
                }
                self.card.merge(&change);
                if change.fuses.is_some() {
                    self.names
                        .map(self.card.fuses.as_deref_mut().unwrap_or_default());
                }
            }
            Fact::Meter(event) => {
                if event.hides_the_current() {
                    self.signal.interrupt();
                }
                let room = beyond::event(event, self.meter_events.len());
                if self.left_out.has_room(room) {
                    self.meter_events.push((entry.t, event.clone()));
                }
            }
            Fact::Volts(volts) => {
                let room = self.volts.take(entry.t, *volts);
                self.left_out.has_room(room);
            }
            Fact::VoltsMeter(event) => {
                let room = self.volts.note(entry.t, event);
                self.left_out.has_room(room);
            }
            Fact::Resumed(_) => {
                self.signal.interrupt();
                self.volts.interrupt();
            }
            Fact::Judged(judged) => self.judged = Some(Judged::clone(judged)),
            Fact::Strike(_) | Fact::Seal(_) | Fact::Unknown => {}
        }
    }

    /// Takes in what is said of the car after the record was made.
    pub fn learn(&mut self, card: &Card) {
        if *card != Card::default() {
            let fact = Fact::Set(Box::new(card.clone()));
            self.apply(&Entry {
                t: self.last_t,
                fact,
            });
        }
    }

    /// Marks stand in the order in which things were done, so that one placed late is where it
    /// belongs.
    fn place(&mut self, mut mark: Mark, noted: Elapsed) {
        let room = self.names.mark(&mut mark);
        if !self.left_out.has_room(room) {
            return;
        }
        let placed = Placed {
            mark,
            noted,
            struck: false,
        };
        let at = placed.at();
        if placed.mark.did == Did::Zero {
            let position = self.zeroed.partition_point(|earlier| *earlier <= at);
            self.zeroed.insert(position, at);
        }
        let position = self.marks.partition_point(|earlier| earlier.at() <= at);
        self.marks.insert(position, placed);
    }

    /// The first line of the record.
    pub const fn header(&self) -> &Header {
        &self.header
    }

    /// The card with all later changes.
    pub const fn card(&self) -> &Card {
        &self.card
    }

    /// The car's fuse map; empty when nobody gave one.
    pub fn fuses(&self) -> &[Circuit] {
        self.card.fuses.as_deref().unwrap_or_default()
    }

    /// The label as the fuse map or an earlier mark spells it; `None` for a new one. Two spellings
    /// of one fuse would be two circuits.
    pub fn spelled(&self, label: &str) -> Option<&str> {
        self.names.spelled(label)
    }

    /// The label as the journal keeps it: box and position in one, whatever the lid prints.
    pub fn kept(&self, label: &str) -> String {
        let circuit = map::find(self.fuses(), label);
        circuit.map_or_else(|| label.to_owned(), Circuit::kept)
    }

    /// What the signal itself shows.
    pub const fn signal(&self) -> &Classifier {
        &self.signal
    }

    /// What is known of the battery's voltage beside the current.
    pub const fn volts(&self) -> &BatteryVolts {
        &self.volts
    }

    /// Every mark, struck ones included, in the order in which things were done.
    pub fn all_marks(&self) -> &[Placed] {
        &self.marks
    }

    /// The marks that stand, in the order in which things were done.
    pub fn marks(&self) -> impl DoubleEndedIterator<Item = &Placed> {
        self.marks.iter().filter(|placed| !placed.struck)
    }

    /// The marks of this verb that stand, in the order in which things were done.
    pub fn done(&self, did: Did) -> impl DoubleEndedIterator<Item = &Placed> {
        self.marks().filter(move |placed| placed.mark.did == did)
    }

    /// The mark that a strike would withdraw: the one last journalled that still stands.
    pub fn last_noted(&self) -> Option<&Placed> {
        self.marks()
            .max_by_key(|placed| (placed.noted, placed.mark.id))
    }

    /// The number for the next mark.
    pub fn next_id(&self) -> MarkId {
        let last = self.marks.iter().map(|placed| placed.mark.id).max();
        last.unwrap_or_default().next()
    }

    /// The millivolts read across fuses, in order; the last of a label counts.
    pub fn drops(&self) -> &[(Elapsed, FuseDrop)] {
        &self.drops
    }

    /// What happened to the meter, in order.
    pub fn meter_events(&self) -> &[(Elapsed, MeterEvent)] {
        &self.meter_events
    }

    /// How many readings were recorded, over-range ones included.
    pub const fn readings(&self) -> u64 {
        self.readings
    }

    /// How many of them were over-range.
    pub const fn overs(&self) -> u64 {
        self.overs
    }

    /// The newest reading.
    pub const fn last_reading(&self) -> Option<(Elapsed, Measured)> {
        self.last_reading
    }

    /// How many readings were left out because their time ran backwards or leapt.
    pub const fn disordered(&self) -> u64 {
        self.disordered
    }

    /// The newest moment in the record.
    pub const fn last_t(&self) -> Elapsed {
        self.last_t
    }
}
