//! What the current itself shows: blocks, changes of level, gaps, charge.
//!
//! Pure, and knows nothing of marks, limits or time-outs: those are knowledge from outside the
//! signal and belong to `judge`. So a mark struck or placed late, or a changed limit, never asks
//! for a second pass over the readings.

pub mod change;
pub mod charge;
pub mod cusum;
pub mod gate;
pub mod interval;
pub mod locate;
pub mod mean;
pub mod noise;
pub mod recent;
pub mod second;
pub mod segment;
pub mod shift;
pub mod sorted;
pub mod split;
pub mod track;

pub use change::{Change, Gap};

use crate::reading::{Elapsed, Measured};
use charge::Charge;
use gate::{Gate, Sample, Written};
use interval::Interval;
use locate::{Alarm, SEGMENT_MIN};
use noise::Noise;
use recent::Recent;
use second::Second;
use segment::Segment;
use shift::SlowShift;
use track::{Block, Track};

/// A change is looked for in this stretch before a fast alarm, and before a slow one.
const LOCATE_FAST_S: f64 = 40.0;
const LOCATE_SLOW_S: f64 = 120.0;
/// After this much silence a slow shift has to be shown anew.
const FORGET_FLAT_S: f64 = 60.0;
/// A new level is taken as this many blocks have it.
const LEVEL_BLOCKS: u64 = 20;

/// Folds readings, one at a time, into what the signal shows.
#[derive(Clone, Debug, Default)]
pub struct Classifier {
    gate: Gate,
    interval: Interval,
    second: Option<Second>,
    noise: Noise,
    recent: Recent,
    segment: Option<Segment>,
    shift: SlowShift,
    charge: Charge,
    resolution_a: f64,
    last_t: Option<Elapsed>,
    interrupted: bool,
    gap_pending: bool,
    track: Track,
    changes: Vec<Change>,
    gaps: Vec<Gap>,
    first_t: Option<Elapsed>,
}

impl Classifier {
    /// For readings that are typed from a display.
    pub fn by_eye() -> Self {
        Self {
            interval: Interval::by_eye(),
            ..Self::default()
        }
    }

    /// Takes one reading into account.
    pub fn step(&mut self, t: Elapsed, value: Measured) {
        self.first_t.get_or_insert(t);
        if let Some(last_t) = self.last_t {
            let silent = self.interval.push(t.secs_since(last_t));
            if silent || self.interrupted {
                self.gap(last_t, t);
            }
        }
        self.interrupted = false;
        self.last_t = Some(t);
        match value {
            Measured::Amps(amps) => {
                let sample = Sample {
                    t,
                    a: amps.value_a(),
                };
                self.charge.push(sample);
                let written = Written {
                    sample,
                    resolution_a: amps.resolution_a(),
                };
                if let Some((passed, spike)) = self.gate.pass(written, self.noise.sigma_a()) {
                    self.gather(passed, spike);
                }
                if self.interval.is_slow() {
                    // Nothing else comes in this second: a typed reading counts at once.
                    self.let_through();
                    self.close_second();
                }
            }
            Measured::Over => {
                self.charge.interrupt();
                self.let_through();
                self.open_second(t).add_over();
            }
        }
    }

    /// Evidence stops here: what comes next is not joined to what came before.
    pub const fn interrupt(&mut self) {
        self.interrupted = true;
    }

    fn gap(&mut self, from: Elapsed, to: Elapsed) {
        self.charge.interrupt();
        self.let_through();
        self.close_second();
        self.noise.interrupt();
        self.gaps.push(Gap { from, to });
        self.gap_pending = true;
        if to.secs_since(from) > FORGET_FLAT_S {
            self.shift.restart();
        }
    }

    /// The gate holds one reading back; nothing follows it now that could make it a spike.
    fn let_through(&mut self) {
        if let Some(held) = self.gate.flush() {
            self.gather(held, false);
        }
    }

    fn gather(&mut self, written: Written, spike: bool) {
        if !spike {
            self.recent.push(written.sample);
        }
        self.open_second(written.sample.t).add(written, spike);
    }

    fn open_second(&mut self, t: Elapsed) -> &mut Second {
        if self.second.as_ref().is_some_and(|second| !second.holds(t)) {
            self.close_second();
        }
        self.second.get_or_insert_with(|| Second::starting(t))
    }

    fn close_second(&mut self) {
        let Some(second) = self.second.take() else {
            return;
        };
        let block = second.close(std::mem::take(&mut self.gap_pending));
        self.track.push(block);
        if let Some(gated_a) = second.gated_a() {
            self.weigh(&block, gated_a);
        }
    }

    /// Asks the detectors about a closed block.
    fn weigh(&mut self, block: &Block, value_a: f64) {
        let second = Second::index_of(block.begins());
        self.resolution_a = self.track.steady_resolution_a();
        self.noise.push(value_a, self.resolution_a);
        let (sigma_a, resolution_a) = (self.noise.sigma_a(), self.resolution_a);
        let segment = self
            .segment
            .get_or_insert_with(|| Segment::starting(block.begins(), value_a));
        let left = segment.push(value_a, sigma_a, resolution_a);
        if segment.count() == LEVEL_BLOCKS
            && let Some(change) = self.changes.last_mut()
            && change.t == segment.from()
        {
            change.to_a = segment.level_a();
        }
        let shifted = self.shift.push(second, value_a, resolution_a);
        if left {
            self.change(block, LOCATE_FAST_S);
        } else if shifted {
            self.change(block, LOCATE_SLOW_S);
        }
    }

    /// Locates the change that an alarm announced and starts a new segment there.
    fn change(&mut self, block: &Block, look_back_s: f64) {
        let Some(segment) = self.segment.take() else {
            return;
        };
        let alarm = Alarm {
            block,
            look_back_s,
            segment: &segment,
            gap: self.gaps.last().copied(),
        };
        let change = alarm.locate(&mut self.recent);
        self.begin_segment(change.t, change.to_a);
        if segment.count() < SEGMENT_MIN && self.changes.is_empty() {
            // The first seconds of a record are the meter finding its feet, not the car.
            return;
        }
        match self.changes.last_mut() {
            Some(last) if last.is_one_edge_with(&change) => last.to_a = change.to_a,
            _ => self.changes.push(change),
        }
    }

    fn begin_segment(&mut self, t: Elapsed, level_a: f64) {
        let mut segment = Segment::starting(t, level_a);
        self.shift.restart();
        for block in self.track.between(t, Elapsed::from_ms(i64::MAX)) {
            if block.count() > 0 {
                let value_a = f64::from(block.mean_a);
                segment.learn(value_a);
                let second = Second::index_of(block.begins());
                self.shift.push(second, value_a, self.resolution_a);
            }
        }
        self.segment = Some(segment);
    }

    /// What it showed until `t`: for asking, not for taking in more readings.
    #[must_use]
    pub fn until(&self, t: Elapsed) -> Self {
        let track = self.track.until(t.plus_secs(-1.0));
        let last = track
            .blocks()
            .last()
            .map(|block| block.begins().plus_secs(1.0));
        let resolution_a = track.steady_resolution_a();
        let before = |at: Elapsed| at < t;
        let changes = self.changes.iter().filter(|change| before(change.t));
        let gaps = self.gaps.iter().filter(|gap| before(gap.to));
        Self {
            resolution_a,
            last_t: last.map(|last| last.min(t)).or(self.first_t),
            first_t: self.first_t,
            changes: changes.copied().collect(),
            gaps: gaps.copied().collect(),
            charge: self.charge,
            track,
            ..Self::default()
        }
    }

    /// The record in one-second blocks.
    pub const fn track(&self) -> &Track {
        &self.track
    }

    /// Changes of level, in order.
    pub fn changes(&self) -> &[Change] {
        &self.changes
    }

    /// Stretches without evidence, in order.
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// Charge so far.
    pub const fn charge(&self) -> &Charge {
        &self.charge
    }

    /// The meter's last place now, in ampere.
    pub const fn resolution_a(&self) -> f64 {
        self.resolution_a
    }

    /// The first reading's moment.
    pub const fn first_t(&self) -> Option<Elapsed> {
        self.first_t
    }

    /// The newest reading's moment.
    pub const fn last_t(&self) -> Option<Elapsed> {
        self.last_t
    }
}
