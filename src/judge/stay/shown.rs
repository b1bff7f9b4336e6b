//! What a stay shows, from the signal alone: its level, falls, wakes, wander.

use super::Basis;
use super::analysis::StayAnalysis;
use super::excursion::Excursion;
use super::series::{self, Point};
use super::step::{self, Begins};
use crate::judge::finding::Wake;
use crate::judge::levels;
use crate::judge::rules::{LOOK_S, SETTLE_S};
use crate::judge::uncertainty::{self, Estimate};
use crate::reading::Elapsed;
use crate::signal::mean::WINDOW_MAX_S;
use crate::signal::track::{self, Block};

/// What a stay shows.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// When the car had come down.
    pub arrived: Elapsed,
    /// When the present level began: the last lasting step, or the arrival.
    pub fell: Elapsed,
    /// Since when it has been the same level, but for what any car does by itself.
    pub held: Elapsed,
    /// Until when the level stands: the end, or a rise out of it that has not come back.
    pub until: Elapsed,
    /// The present level, from its newest minutes.
    pub level: Estimate,
    /// The newest reading of it, in ampere.
    pub newest_a: f64,
    /// The same next to the deed that began the stay, and next to the one that ended it: what
    /// those deeds are compared by.
    pub beside: [Estimate; 2],
    /// The last place of the display at it, in ampere.
    pub resolution_a: f64,
    /// How long the present level was seen, in seconds, wakes apart.
    pub stood_s: f64,
    /// How long the same level was held, in seconds, wakes apart.
    pub held_s: f64,
    /// How long the car was seen at rest since it arrived, in seconds, wakes apart.
    pub at_rest_s: f64,
    /// The mean since the present level began, in ampere.
    pub rest_a: f64,
    /// How long it was watched since it arrived, in seconds, wakes included.
    pub watched_s: f64,
    /// Wakes, in order.
    pub wakes: Vec<Wake>,
    /// When whoever made the last of them left the car.
    pub left: Option<Elapsed>,
    /// Single large events, more likely a hand than a wake: asked about, and no evidence.
    pub touches: Vec<Wake>,
    /// Since when the current stands above the level without having come back.
    pub risen: Option<Elapsed>,
    /// How many short runs are texture of the level.
    pub texture: usize,
    /// Whether readings are minutes apart.
    pub is_sparse: bool,
    /// How far readings are apart, in seconds.
    pub step_s: f64,
    /// The blocks of the record at rest, in order.
    pub(super) base: Vec<(u32, u32)>,
}

impl Shown {
    /// The level over the part of `from..to` in which the car was at rest.
    pub fn level_between(&self, basis: &Basis<'_>, from: Elapsed, to: Elapsed) -> Option<Estimate> {
        let blocks = self.blocks(basis, from, to);
        uncertainty::of(basis.session, &blocks)
    }

    /// Whether the newest reading is below the level: where they are minutes apart, one is the
    /// beginning of another level.
    pub fn has_just_fallen(&self) -> bool {
        let level_a = self.level.a;
        self.is_sparse && self.newest_a < level_a && !levels::same(self.newest_a, level_a)
    }

    /// The values at rest in the ten minutes before `to`, the present level's only.
    pub fn newest(&self, basis: &Basis<'_>, to: Elapsed) -> Vec<f64> {
        let from = self.fell.max(to.plus_secs(-2.0 * LOOK_S));
        let blocks = self.blocks(basis, from, to.plus_secs(-1.0));
        track::values(&blocks)
    }

    /// The blocks at rest in `from..to`.
    fn blocks(&self, basis: &Basis<'_>, from: Elapsed, to: Elapsed) -> Vec<Block> {
        let all = basis.session.signal().track().blocks();
        let (first, last) = basis.session.signal().track().bounds(from, to);
        let ranges = self
            .base
            .iter()
            .map(|(a, b)| (index(*a).max(first), index(*b).min(last)));
        let ranges = ranges
            .filter(|(a, b)| a < b)
            .filter_map(|(a, b)| all.get(a..b));
        ranges.flat_map(track::read).copied().collect()
    }
}

fn wake(event: &Excursion) -> Wake {
    Wake {
        from: Elapsed::from_secs(event.from_s),
        to: Elapsed::from_secs(event.to_s),
        peak_a: event.peak_a,
        charge_as: event.charge_as,
        over: event.over,
    }
}

/// What the points at rest come to, found in one pass: a week has six hundred thousand of them.
#[derive(Debug, Default)]
struct AtRest {
    /// How long they vouch for, in seconds.
    for_s: f64,
    /// The same of those that are held, and of those of the present level.
    held_s: f64,
    present_s: f64,
    /// Charge of the present level, in ampere-seconds.
    present_as: f64,
    held: Option<Elapsed>,
    fell: Option<Elapsed>,
    /// Their blocks, neighbouring ones as one range.
    base: Vec<(u32, u32)>,
}

impl AtRest {
    fn of(points: impl Iterator<Item = Point>, begins: &Begins) -> Self {
        let mut all = Self::default();
        for (at, point) in points.enumerate() {
            let for_s = point.for_s();
            all.for_s += for_s;
            if at >= begins.held {
                all.held_s += for_s;
                all.held.get_or_insert(point.from);
            }
            if at >= begins.present {
                all.present_s += for_s;
                all.present_as += point.a() * for_s;
                all.fell.get_or_insert(point.from);
            }
            let (from, to) = point.blocks();
            match all.base.last_mut() {
                Some(last) if last.1 == from => last.1 = to,
                _ => all.base.push((from, to)),
            }
        }
        all
    }
}

impl StayAnalysis<'_> {
    /// What there is to see of it, once it is known what stands above the floor.
    pub(super) fn shown(
        &self,
        arrival: usize,
        wakes: &[Excursion],
        touches: &[Excursion],
        resolution_a: f64,
        end: Elapsed,
        is_sparse: bool,
    ) -> Option<Shown> {
        let mut kept = vec![true; self.series.len()];
        for event in wakes.iter().chain(touches) {
            let within = kept.get_mut(event.points.0..event.points.1);
            within.into_iter().flatten().for_each(|kept| *kept = false);
        }
        let until_s = end.secs();
        let at_rest = || {
            let points = self.series.iter_from(arrival);
            let kept = points.zip(kept.iter().skip(arrival));
            let kept = kept.filter(|(_, kept)| **kept).map(|(point, _)| point);
            kept.filter(|point| point.t_s() < until_s)
        };
        let mut values = Vec::with_capacity(self.series.len() - arrival);
        values.extend(at_rest().map(|point| point.mean_a));
        if values.len() < series::fewest(is_sparse) {
            return None;
        }
        let newest_a = f64::from(*values.last()?);
        let begins = step::begins(&values, self.series.step_s);
        drop(values);
        let at_rest = AtRest::of(at_rest(), &begins);
        let mut shown = Shown {
            arrived: self.series.get(arrival)?.from,
            fell: at_rest.fell?,
            held: at_rest.held?,
            until: end,
            level: Estimate::NOTHING,
            newest_a,
            beside: [Estimate::NOTHING; 2],
            resolution_a,
            stood_s: at_rest.present_s,
            held_s: at_rest.held_s,
            at_rest_s: at_rest.for_s,
            rest_a: at_rest.present_as / at_rest.present_s,
            watched_s: self.span_s(arrival)
                - touches
                    .iter()
                    .map(|touch| self.span_between(touch))
                    .sum::<f64>(),
            wakes: wakes.iter().map(wake).collect(),
            touches: touches.iter().map(wake).collect(),
            left: touches.last().map(|touch| Elapsed::from_secs(touch.left_s)),
            risen: None,
            texture: 0,
            is_sparse,
            step_s: self.series.step_s,
            base: at_rest.base,
        };
        let window_s = if is_sparse {
            f64::INFINITY
        } else {
            WINDOW_MAX_S
        };
        shown.level = self.level(&shown, end, window_s)?;
        // A clamp's zero drifts on: the nearer to the deed, the surer the change.
        let is_clamp = self.basis.session.card().drift_a_per_h.is_some();
        let beside_s = if is_clamp && !is_sparse {
            LOOK_S
        } else {
            window_s
        };
        let begun = if shown.fell.secs_since(shown.held) < SETTLE_S {
            shown.fell
        } else {
            shown.held
        };
        let to = if begun < shown.fell {
            shown.fell.plus_secs(-self.series.step_s)
        } else {
            end.plus_secs(1.0)
        };
        let to = begun.plus_secs(beside_s.min(to.secs_since(begun)));
        let first = shown.level_between(self.basis, begun, to)?;
        let last = if is_clamp {
            self.level(&shown, end, beside_s)?
        } else {
            shown.level
        };
        shown.beside = [first, last];
        Some(shown)
    }

    /// The level over the longest of halving windows in which it does not drift.
    fn level(&self, shown: &Shown, end: Elapsed, window_s: f64) -> Option<Estimate> {
        let mut stood_s = end.secs_since(shown.fell).min(window_s);
        let drifts = |stood_s: f64| {
            let from = end.plus_secs(-stood_s);
            shown.slope_a_per_s(self.basis, from, end).is_some()
        };
        while stood_s >= 4.0 * SETTLE_S && window_s.is_finite() && drifts(stood_s) {
            stood_s /= 2.0;
        }
        shown.level_between(self.basis, end.plus_secs(-stood_s), end.plus_secs(1.0))
    }

    fn span_between(&self, event: &Excursion) -> f64 {
        let points = self
            .series
            .iter_from(event.points.0)
            .take(event.points.1 - event.points.0);
        points.map(|point| point.for_s()).sum()
    }
}

/// A place in the record as an index.
fn index(place: u32) -> usize {
    usize::try_from(place).unwrap_or(usize::MAX)
}

#[cfg(test)]
mod tests;
