//! A change that an alarm announced: where it lies in the raw readings, and from what to what.

use super::change::{Change, Gap};
use super::recent::Recent;
use super::segment::Segment;
use super::split;
use super::track::Block;

/// A change this soon after a gap happened inside it.
const AFTER_GAP_S: f64 = 5.0;
/// The first level of a record has at least this many blocks.
pub const SEGMENT_MIN: u64 = 3;

/// What is known when the alarm goes off.
#[derive(Clone, Copy, Debug)]
pub struct Alarm<'a> {
    /// The block that set it off.
    pub block: &'a Block,
    /// How far before it the change may lie, in seconds.
    pub look_back_s: f64,
    /// The level that it leaves.
    pub segment: &'a Segment,
    /// The last gap.
    pub gap: Option<Gap>,
}

impl Alarm<'_> {
    /// Finds the change in the newest readings.
    pub fn locate(&self, recent: &mut Recent) -> Change {
        let gap = self.gap.filter(|gap| {
            self.block.begins().secs_since(gap.to) < AFTER_GAP_S + self.look_back_s / 4.0
        });
        let oldest = self.segment.from();
        let mut start = oldest.max(self.block.begins().plus_secs(-self.look_back_s));
        if let Some(gap) = gap {
            start = oldest.max(start.min(gap.from.plus_secs(-AFTER_GAP_S)));
        }
        let split = split::split(recent.since(start));
        let (t, before_a, to_a) = split.map_or(
            (
                self.block.begins(),
                self.segment.level_a(),
                f64::from(self.block.mean_a),
            ),
            |split| (split.t, split.before_a, split.after_a),
        );
        let known = self.segment.count() >= SEGMENT_MIN;
        Change {
            t,
            from_a: if known {
                self.segment.level_a()
            } else {
                before_a
            },
            to_a,
            ramp: split.is_some_and(|split| split.ramp),
            in_gap: gap.is_some_and(|gap| gap.to == t),
        }
    }
}
