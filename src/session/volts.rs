//! The battery's voltage beside the current: what a second meter or a typed reading gave, folded.
//!
//! It never enters `signal`: no level and no phase rests on a volt.

use super::MeterEvent;
use super::beyond::{self, TooMuch};
use crate::reading::{Elapsed, Volts};

/// Less are leads that are off, more is no 12 V system: common practice, no source.
pub const BATTERY_V: std::ops::RangeInclusive<f64> = 3.0..=18.0;

/// A battery's voltage moves slowly: so many seconds make one block.
const BLOCK_S: f64 = 5.0;

/// A few seconds of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VoltsBlock {
    /// When its first reading came.
    pub from: Elapsed,
    /// When its last one came.
    pub to: Elapsed,
    /// Mean of its readings, in volts.
    pub mean_v: f64,
    /// The lowest of them, and when.
    pub lowest: (Elapsed, Volts),
    /// The newest of them.
    pub newest: Volts,
    /// The highest of them.
    pub max_v: f64,
    /// How many they are.
    pub count: u32,
    /// Whether it is not to be joined to the block before: the meter was lost between them.
    pub after_gap: bool,
}

impl VoltsBlock {
    fn of(t: Elapsed, volts: Volts, after_gap: bool) -> Self {
        let v = volts.value_v();
        Self {
            from: t,
            to: t,
            mean_v: v,
            lowest: (t, volts),
            newest: volts,
            max_v: v,
            count: 1,
            after_gap,
        }
    }

    fn add(&mut self, t: Elapsed, volts: Volts) {
        let v = volts.value_v();
        (self.to, self.newest) = (t, volts);
        self.count = self.count.saturating_add(1);
        self.mean_v += (v - self.mean_v) / f64::from(self.count);
        self.lowest = lower(self.lowest, (t, volts));
        self.max_v = self.max_v.max(v);
    }
}

/// The lower of two readings, and of equal ones the earlier.
fn lower(one: (Elapsed, Volts), other: (Elapsed, Volts)) -> (Elapsed, Volts) {
    if other.1.value_v() < one.1.value_v() {
        other
    } else {
        one
    }
}

/// All that is known of the battery's voltage.
#[derive(Clone, Debug, Default)]
pub struct BatteryVolts {
    samples: u64,
    first: Option<(Elapsed, Volts)>,
    last: Option<(Elapsed, Volts)>,
    lowest: Option<(Elapsed, Volts)>,
    stray: Option<(Elapsed, Volts)>,
    blocks: Vec<VoltsBlock>,
    interrupted: bool,
    events: Vec<(Elapsed, MeterEvent)>,
}

impl BatteryVolts {
    /// Takes one reading; what no 12 V battery gives is refused, and only kept as the newest stray.
    pub(super) fn take(&mut self, t: Elapsed, volts: Volts) -> Result<(), TooMuch> {
        let v = volts.value_v();
        if !BATTERY_V.contains(&v) {
            self.stray = Some((t, volts));
            return Err(TooMuch::Volts);
        }
        self.samples += 1;
        self.first.get_or_insert((t, volts));
        self.last = Some((t, volts));
        let lowest = self.lowest.map(|lowest| lower(lowest, (t, volts)));
        self.lowest = lowest.or(Some((t, volts)));
        let after_gap = std::mem::take(&mut self.interrupted);
        match self.blocks.last_mut() {
            Some(block) if !after_gap && t.secs_since(block.from) < BLOCK_S => block.add(t, volts),
            _ => self.blocks.push(VoltsBlock::of(t, volts, after_gap)),
        }
        Ok(())
    }

    /// Something happened to the meter that reads it.
    pub(super) fn note(&mut self, t: Elapsed, event: &MeterEvent) -> Result<(), TooMuch> {
        self.interrupted |= event.hides_the_current();
        beyond::event(event, self.events.len())?;
        self.events.push((t, event.clone()));
        Ok(())
    }

    /// What comes next is not joined to what came before.
    pub(super) const fn interrupt(&mut self) {
        self.interrupted = true;
    }

    /// Whether time runs forward with a reading at `t`.
    pub(super) fn follows(&self, t: Elapsed) -> bool {
        self.last.is_none_or(|(last, _)| t >= last)
    }

    /// The same with only those blocks and events that were over by `t`: for asking, not for taking in
    /// more.
    pub(super) fn until(&self, t: Elapsed) -> Self {
        let blocks = self.blocks.iter().filter(|block| block.to <= t);
        let blocks: Vec<VoltsBlock> = blocks.copied().collect();
        let events = self.events.iter().filter(|(at, _)| *at <= t);
        Self {
            samples: blocks.iter().map(|block| u64::from(block.count)).sum(),
            first: self.first.filter(|(at, _)| *at <= t),
            last: blocks.last().map(|block| (block.to, block.newest)),
            lowest: blocks.iter().map(|block| block.lowest).reduce(lower),
            blocks,
            events: events.cloned().collect(),
            ..*self
        }
    }

    /// How many readings there are.
    pub const fn samples(&self) -> u64 {
        self.samples
    }

    /// The first reading.
    pub const fn first(&self) -> Option<(Elapsed, Volts)> {
        self.first
    }

    /// The newest reading.
    pub const fn last(&self) -> Option<(Elapsed, Volts)> {
        self.last
    }

    /// The lowest reading.
    pub const fn lowest(&self) -> Option<(Elapsed, Volts)> {
        self.lowest
    }

    /// The newest reading that no battery gives, where none that one gives came after it.
    pub fn stray(&self) -> Option<(Elapsed, Volts)> {
        let newer = |t: Elapsed| self.last.is_none_or(|(last, _)| t > last);
        self.stray.filter(|(t, _)| newer(*t))
    }

    /// The record in blocks of a few seconds.
    pub fn blocks(&self) -> &[VoltsBlock] {
        &self.blocks
    }

    /// The blocks that have readings from `from` on and up to `to`.
    pub fn between(&self, from: Elapsed, to: Elapsed) -> &[VoltsBlock] {
        let start = self.blocks.partition_point(|block| block.to < from);
        let end = self.blocks.partition_point(|block| block.from <= to);
        self.blocks.get(start..end).unwrap_or_default()
    }

    /// What happened to the meter that reads it, in order.
    pub fn events(&self) -> &[(Elapsed, MeterEvent)] {
        &self.events
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(s: f64) -> Elapsed {
        Elapsed::from_secs(s)
    }

    fn volts(text: &str) -> Volts {
        Volts::parse_in(text, 0).unwrap()
    }

    #[test]
    fn seconds_are_gathered_and_the_ends_are_kept_to_their_last_place() {
        let mut folded = BatteryVolts::default();
        for (s, text) in [
            (0.0, "12.63"),
            (2.0, "12.610"),
            (4.9, "12.62"),
            (5.0, "12.60"),
        ] {
            folded.take(at(s), volts(text)).unwrap();
        }
        assert_eq!(folded.samples(), 4);
        assert_eq!(folded.first().unwrap().1.to_string(), "12.63");
        assert_eq!(folded.last().unwrap().1.to_string(), "12.60");
        assert_eq!(folded.lowest().unwrap(), (at(5.0), volts("12.60")));
        let [first, second] = folded.blocks() else {
            panic!("{:?}", folded.blocks());
        };
        assert!((first.mean_v - 12.62).abs() < 1e-12 && first.count == 3);
        assert!(
            (first.lowest.1.value_v() - 12.61).abs() < 1e-12 && (first.max_v - 12.63).abs() < 1e-12
        );
        assert!(!second.after_gap);
        assert_eq!(folded.between(at(4.0), at(4.9)).len(), 1);
        assert_eq!(folded.between(at(4.0), at(5.0)).len(), 2);
        assert_eq!(folded.between(at(6.0), at(9.0)).len(), 0);
    }

    #[test]
    fn a_lost_meter_parts_the_blocks_and_is_kept() {
        let mut folded = BatteryVolts::default();
        folded.take(at(0.0), volts("12.6")).unwrap();
        let lost = MeterEvent::Lost("cable".into());
        folded.note(at(1.0), &lost).unwrap();
        folded.take(at(2.0), volts("12.6")).unwrap();
        assert!(folded.blocks()[1].after_gap);
        assert_eq!(folded.events(), [(at(1.0), lost)]);
    }

    #[test]
    fn leads_that_are_off_are_no_battery() {
        let mut folded = BatteryVolts::default();
        assert_eq!(folded.take(at(0.0), volts("0.002")), Err(TooMuch::Volts));
        assert_eq!((folded.samples(), folded.blocks().len()), (0, 0));
        assert_eq!(folded.stray().unwrap().1, volts("0.002"));
        folded.take(at(1.0), volts("12.6")).unwrap();
        assert_eq!(folded.stray(), None);
        assert!(folded.take(at(2.0), volts("24.4")).is_err());
        assert!(folded.stray().is_some());
    }

    /// A crank after the finish pulls nothing down that was before it.
    #[test]
    fn what_came_later_is_in_no_figure() {
        let mut all = BatteryVolts::default();
        for (s, text) in [
            (0.0, "12.61"),
            (6.0, "12.58"),
            (7.0, "12.60"),
            (20.0, "9.80"),
        ] {
            all.take(at(s), volts(text)).unwrap();
        }
        assert_eq!(all.lowest(), Some((at(20.0), volts("9.80"))));
        let then = all.until(at(15.0));
        assert_eq!(then.lowest(), Some((at(6.0), volts("12.58"))));
        assert_eq!(then.last(), Some((at(7.0), volts("12.60"))));
        assert_eq!((then.samples(), all.samples()), (3, 4));
    }
}
