//! When things happened, as the customer's clock showed it, the offset from UTC written out.
//!
//! A record knows its own offsets: that of its start, and one more each time it was resumed. Where
//! the machine's zone agrees with all of them, the zone is used, so that a night in which the
//! clocks were changed reads right; where it disagrees the record was made elsewhere, and its own
//! offsets stand. Pure: the zone comes in as a function.

use chrono::{DateTime, Datelike, FixedOffset, TimeDelta, Utc};

use crate::reading::{Elapsed, number, quantity};

/// Tells the offset that is in force at a moment, in some zone.
pub type Zone = fn(DateTime<Utc>) -> FixedOffset;

/// Turns moments of a record into wall-clock times.
#[derive(Clone, Debug)]
pub struct Times {
    /// Moments whose wall-clock time the record tells, in order; empty when it tells none.
    anchors: Vec<(Elapsed, DateTime<FixedOffset>)>,
    zone: Option<Zone>,
    varies: bool,
    one_day: bool,
}

/// A moment at which the clocks were changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The first moment of the new offset.
    pub t: Elapsed,
    /// The offset before.
    pub from: FixedOffset,
    /// The offset from then on.
    pub to: FixedOffset,
}

/// A record longer than this has a wrong date in it: it is not searched hour by hour.
const LONGEST_S: f64 = 3.0 * 366.0 * 86_400.0;

impl Times {
    /// The times of a record that ends at `last` and began at `started` (`None`: nobody knows),
    /// resumed at these moments.
    #[must_use]
    pub fn new(
        started: Option<DateTime<FixedOffset>>,
        resumed: &[(Elapsed, DateTime<FixedOffset>)],
        last: Elapsed,
        zone: Zone,
    ) -> Self {
        let Some(started) = started else {
            return Self {
                anchors: Vec::new(),
                zone: None,
                varies: false,
                one_day: false,
            };
        };
        let mut anchors = vec![(Elapsed::ZERO, started)];
        anchors.extend_from_slice(resumed);
        let agrees = anchors
            .iter()
            .all(|(_, wall)| zone(wall.to_utc()) == *wall.offset());
        let mut times = Self {
            anchors,
            zone: agrees.then_some(zone),
            varies: false,
            one_day: false,
        };
        times.one_day = times.of_day(Elapsed::ZERO).1 == times.of_day(last).1;
        times.varies = !times.changes(Elapsed::ZERO, last).is_empty();
        times
    }

    /// The wall-clock time of `t`; `None` when the record tells no date.
    #[must_use]
    pub fn at(&self, t: Elapsed) -> Option<DateTime<FixedOffset>> {
        let after = self.anchors.partition_point(|(anchor, _)| *anchor <= t);
        let (anchor, wall) = self.anchors.get(after.saturating_sub(1))?;
        let since = TimeDelta::milliseconds(t.ms().saturating_sub(anchor.ms()));
        let moment = wall.checked_add_signed(since)?;
        Some(match self.zone {
            Some(zone) => moment.with_timezone(&zone(moment.to_utc())),
            None => moment,
        })
    }

    /// For a table: `25 Nov 22:31:05`, without the day where there is only one, with the offset
    /// where the clocks were changed within the record; the time since the start where nobody
    /// knows the date.
    #[must_use]
    pub fn stamp(&self, t: Elapsed) -> String {
        match self.at(t) {
            Some(at) if self.varies => at.format("%-d %b %H:%M:%S %:z").to_string(),
            Some(at) if self.one_day => at.format("%H:%M:%S").to_string(),
            Some(at) => at.format("%-d %b %H:%M:%S").to_string(),
            None => quantity::clock(t),
        }
    }

    /// The heading over a column of [`Times::stamp`].
    #[must_use]
    pub fn heading(&self) -> String {
        match self.at(Elapsed::ZERO) {
            Some(_) if self.varies => "when".into(),
            Some(at) if self.one_day => at.format("%-d %b, UTC%:z").to_string(),
            Some(at) => format!("when (UTC{})", at.format("%:z")),
            None => "since the start".into(),
        }
    }

    /// For a sentence: `Wed 25 Nov 2026, 22:31 +01:00`.
    #[must_use]
    pub fn full(&self, t: Elapsed) -> String {
        self.at(t).map_or_else(
            || quantity::clock(t),
            |at| at.format("%a %-d %b %Y, %H:%M %:z").to_string(),
        )
    }

    /// For a machine: RFC 3339 to the millisecond; nothing where nobody knows the date.
    #[must_use]
    pub fn machine(&self, t: Elapsed) -> String {
        self.at(t)
            .map(|at| at.to_rfc3339_opts(chrono::SecondsFormat::Millis, false))
            .unwrap_or_default()
    }

    /// Where the clocks were changed in `from..=to`.
    #[must_use]
    pub fn changes(&self, from: Elapsed, to: Elapsed) -> Vec<Change> {
        const HOUR_S: f64 = 3600.0;
        let mut found = Vec::new();
        if to.secs_since(from) > LONGEST_S {
            return found;
        }
        let mut early = from;
        while early < to {
            let late = early.plus_secs(HOUR_S).min(to);
            found.extend(self.change_between(early, late));
            early = late;
        }
        found
    }

    /// The change in a stretch that holds one at most, to the second.
    fn change_between(&self, mut early: Elapsed, mut late: Elapsed) -> Option<Change> {
        let (from, to) = (self.offset(early)?, self.offset(late)?);
        if from == to {
            return None;
        }
        while late.secs_since(early) > 1.0 {
            let middle = early.plus_secs(late.secs_since(early) / 2.0);
            if self.offset(middle)? == from {
                early = middle;
            } else {
                late = middle;
            }
        }
        Some(Change { t: late, from, to })
    }

    fn offset(&self, t: Elapsed) -> Option<FixedOffset> {
        self.at(t).map(|at| *at.offset())
    }

    /// Seconds since midnight on the clock of the wall, and the day, counted without end; of a
    /// record without a date, those since its start.
    #[must_use]
    pub fn of_day(&self, t: Elapsed) -> (i64, i64) {
        let Some(at) = self.at(t) else {
            let s = number::round_to_i64(t.secs().floor());
            return (s.rem_euclid(86_400), s.div_euclid(86_400));
        };
        let local = at.naive_local();
        let s = local.and_utc().timestamp().rem_euclid(86_400);
        (s, i64::from(local.num_days_from_ce()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Central European time around 25 October 2026, 01:00 UTC, when summer time ends (Directive
    /// 2000/84/EC: the last Sunday of October, 01:00 UTC).
    fn central(at: DateTime<Utc>) -> FixedOffset {
        let ends = DateTime::parse_from_rfc3339("2026-10-25T01:00:00Z").unwrap();
        let hours = if at < ends { 2 } else { 1 };
        FixedOffset::east_opt(hours * 3600).unwrap()
    }

    fn wall(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    fn after_s(secs: f64) -> Elapsed {
        Elapsed::from_secs(secs)
    }

    #[test]
    fn a_night_in_which_the_clocks_go_back_reads_right() {
        let started = wall("2026-10-24T22:00:00+02:00");
        let times = Times::new(Some(started), &[], after_s(36_000.0), central);
        let stamps = [0.0, 16_200.0, 19_800.0].map(|s| times.stamp(after_s(s)));
        assert_eq!(
            stamps,
            [
                "24 Oct 22:00:00 +02:00",
                "25 Oct 02:30:00 +02:00",
                "25 Oct 02:30:00 +01:00"
            ]
        );
        let changes = times.changes(Elapsed::ZERO, after_s(36_000.0));
        assert_eq!(changes.len(), 1);
        assert_eq!(changes[0].t, after_s(18_000.0));
        assert_eq!(times.heading(), "when");
    }

    #[test]
    fn a_record_made_elsewhere_keeps_its_own_offsets() {
        let started = wall("2026-10-24T22:00:00+09:00");
        let resumed = [(after_s(7200.0), wall("2026-10-25T00:00:00+08:00"))];
        let times = Times::new(Some(started), &resumed, after_s(9000.0), central);
        assert_eq!(
            times.machine(after_s(60.0)),
            "2026-10-24T22:01:00.000+09:00"
        );
        assert_eq!(
            times.machine(after_s(7260.0)),
            "2026-10-25T00:01:00.000+08:00"
        );
        assert_eq!(times.changes(Elapsed::ZERO, after_s(9000.0)).len(), 1);
    }

    #[test]
    fn a_resumed_record_goes_by_the_newest_stamp() {
        // The wall clock was ten minutes slow and was set before recording went on.
        let started = wall("2026-10-26T08:00:00+01:00");
        let resumed = [(after_s(3600.0), wall("2026-10-26T09:10:00+01:00"))];
        let times = Times::new(Some(started), &resumed, after_s(7200.0), central);
        assert_eq!(times.stamp(after_s(3599.0)), "08:59:59");
        assert_eq!(times.stamp(after_s(3660.0)), "09:11:00");
        assert_eq!(times.heading(), "26 Oct, UTC+01:00");
    }

    #[test]
    fn without_a_date_the_time_since_the_start_stands() {
        let times = Times::new(None, &[], after_s(60.0), central);
        assert_eq!(times.stamp(after_s(3725.0)), "1:02:05");
        assert_eq!(times.machine(after_s(1.0)), "");
        assert_eq!(times.of_day(after_s(90_000.0)), (3600, 1));
    }
}
