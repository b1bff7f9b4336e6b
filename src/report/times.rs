//! When things happened, as the customer's clock showed it, the offset from UTC written out.
//!
//! A record knows its own offsets: that of its start, and one more each time it was resumed. Where
//! the machine's zone agrees with all of them, the zone is used, so that a night in which the
//! clocks were changed reads right; where it disagrees the record was made elsewhere, and its own
//! offsets stand. Pure: the zone comes in as a function.

use chrono::{DateTime, Datelike, FixedOffset, TimeDelta, Utc};

use crate::chart::Window;
use crate::chart::ticks::{DAY_S, clock_label, round, span_label, step_s};
use crate::reading::{Elapsed, number, quantity};

/// Tells the offsets that some zone has between two moments: the one in force at the first, then
/// each that comes into force later, and when.
pub type Zone = fn(DateTime<Utc>, DateTime<Utc>) -> Vec<(DateTime<Utc>, FixedOffset)>;

/// Turns moments of a record into wall-clock times.
#[derive(Clone, Debug)]
pub struct Times {
    /// Moments from which on the wall clock runs evenly, in order, with what it showed; empty when
    /// nobody knows the date.
    anchors: Vec<(Elapsed, DateTime<FixedOffset>)>,
    varies: bool,
    one_day: bool,
}

/// A moment at which the clocks were changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockChange {
    /// The first moment of the new offset.
    pub t: Elapsed,
    /// The offset before.
    pub from: FixedOffset,
    /// The offset from then on.
    pub to: FixedOffset,
}

/// A labelled moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// When.
    pub t: Elapsed,
    /// The hour, or the day where only days are labelled.
    pub label: String,
    /// The day, where it is a new one.
    pub day: Option<String>,
}

/// A record longer than this has a wrong date in it: no zone says anything of it.
const LONGEST_S: f64 = 3.0 * 366.0 * 86_400.0;

impl Times {
    /// The times of a record that ends at `last` and began at `started` (`None`: nobody knows),
    /// resumed at these moments.
    pub fn new(
        started: Option<DateTime<FixedOffset>>,
        resumed: &[(Elapsed, DateTime<FixedOffset>)],
        last: Elapsed,
        zone: Zone,
    ) -> Self {
        let began = started.map(|started| (Elapsed::ZERO, started));
        let told: Vec<_> = began
            .into_iter()
            .flat_map(|began| std::iter::once(began).chain(resumed.iter().copied()))
            .collect();
        let zoned = zoned(&told, last, zone).filter(|_| last.secs() < LONGEST_S);
        let mut times = Self {
            anchors: zoned.unwrap_or(told),
            varies: false,
            one_day: false,
        };
        times.varies = !times.changes(Elapsed::ZERO, last).is_empty();
        let day = |t| times.at(t).map(|at| at.date_naive());
        times.one_day = day(Elapsed::ZERO) == day(last);
        times
    }

    /// The wall-clock time of `t`; `None` when the record tells no date.
    pub fn at(&self, t: Elapsed) -> Option<DateTime<FixedOffset>> {
        let after = self.anchors.partition_point(|(anchor, _)| *anchor <= t);
        let (anchor, wall) = self.anchors.get(after.saturating_sub(1))?;
        wall.checked_add_signed(between(*anchor, t))
    }

    /// For a table: `25 Nov 22:31:05`, without the day where there is only one, with the offset
    /// where the clocks were changed within the record; the time since the start where nobody
    /// knows the date.
    pub fn stamp(&self, t: Elapsed) -> String {
        match self.at(t) {
            Some(at) if self.varies => at.format("%-d %b %H:%M:%S %:z").to_string(),
            Some(at) if self.one_day => at.format("%H:%M:%S").to_string(),
            Some(at) => at.format("%-d %b %H:%M:%S").to_string(),
            None => quantity::clock(t),
        }
    }

    /// The heading over a column of [`Times::stamp`].
    pub fn heading(&self) -> String {
        match self.at(Elapsed::ZERO) {
            Some(_) if self.varies => "when".into(),
            Some(at) if self.one_day => at.format("%-d %b, UTC%:z").to_string(),
            Some(at) => format!("when (UTC{})", at.format("%:z")),
            None => "since the start".into(),
        }
    }

    /// For a sentence: `Wed 25 Nov 2026, 22:31 +01:00`.
    pub fn full(&self, t: Elapsed) -> String {
        self.at(t).map_or_else(
            || quantity::clock(t),
            |at| at.format("%a %-d %b %Y, %H:%M %:z").to_string(),
        )
    }

    /// For a machine: RFC 3339 to the millisecond; nothing where nobody knows the date.
    pub fn machine(&self, t: Elapsed) -> String {
        self.at(t)
            .map(|at| at.to_rfc3339_opts(chrono::SecondsFormat::Millis, false))
            .unwrap_or_default()
    }

    /// Where the clocks were changed after `from`, up to `to`.
    pub fn changes(&self, from: Elapsed, to: Elapsed) -> Vec<ClockChange> {
        let pairs = self.anchors.iter().zip(self.anchors.iter().skip(1));
        pairs
            .map(|((_, before), (t, after))| ClockChange {
                t: *t,
                from: *before.offset(),
                to: *after.offset(),
            })
            .filter(|change| change.from != change.to && from < change.t && change.t <= to)
            .collect()
    }

    /// The labelled times of a window, `most` at most, round on the clock on the wall.
    pub fn ticks(&self, window: Window, most: f64) -> Vec<Tick> {
        let step = step_s(window.span_s(), most);
        let inside = |t: &Elapsed| window.from < *t && *t < window.to;
        let breaks = self.anchors.iter().map(|anchor| anchor.0).filter(inside);
        let starts: Vec<Elapsed> = std::iter::once(window.from).chain(breaks).collect();
        let mut ends = starts.iter().skip(1);
        let mut day_before = None;
        let mut ticks = Vec::new();
        for from in &starts {
            let next = ends.next();
            let to = next.copied().unwrap_or(window.to);
            let wall_s = self.wall_s(*from);
            for at_s in round(wall_s, wall_s + to.secs_since(*from), step) {
                let t = from.plus_secs(number::f64_from_i64(at_s) - wall_s);
                // What begins at a break is the next stretch's.
                if next != Some(&t) {
                    let day = at_s.div_euclid(DAY_S);
                    let is_new = day_before.replace(day) != Some(day);
                    ticks.push(self.tick(t, at_s, step, is_new));
                }
            }
        }
        ticks
    }

    fn tick(&self, t: Elapsed, wall_s: i64, step: i64, is_new: bool) -> Tick {
        let day = self.at(t).map(|at| at.format("%a %-d %b").to_string());
        let (label, day) = match day {
            None => (span_label(wall_s, step), None),
            Some(day) if step >= DAY_S => (day, None),
            Some(day) => (clock_label(wall_s, step), Some(day).filter(|_| is_new)),
        };
        Tick { t, label, day }
    }

    /// Seconds on the clock of the wall since the midnight before the first day of the calendar,
    /// so that they count whole days too; of a record without a date, those since its start.
    fn wall_s(&self, t: Elapsed) -> f64 {
        self.at(t).map_or(t.secs(), |at| {
            let local = at.naive_local();
            let days = number::f64_from_i64(DAY_S) * f64::from(local.num_days_from_ce());
            let since = local - local.date().and_time(chrono::NaiveTime::MIN);
            days + number::f64_from_i64(since.num_milliseconds()) / 1000.0
        })
    }
}

fn between(earlier: Elapsed, later: Elapsed) -> TimeDelta {
    TimeDelta::milliseconds(later.ms().saturating_sub(earlier.ms()))
}

/// What the record tells, with every clock change of the zone between; `None` where the zone
/// disagrees with the record.
fn zoned(
    told: &[(Elapsed, DateTime<FixedOffset>)],
    last: Elapsed,
    zone: Zone,
) -> Option<Vec<(Elapsed, DateTime<FixedOffset>)>> {
    let ends = told.iter().skip(1).map(|anchor| anchor.0).chain([last]);
    let mut anchors = Vec::new();
    for ((t, wall), end) in told.iter().zip(ends) {
        let until = wall.checked_add_signed(between(*t, end))?;
        let offsets = zone(wall.to_utc(), until.to_utc());
        if offsets.first().map(|(_, offset)| offset) != Some(wall.offset()) {
            return None;
        }
        anchors.extend(offsets.into_iter().map(|(moment, offset)| {
            let since_ms = (moment - wall.to_utc()).num_milliseconds();
            let at = Elapsed::from_ms(t.ms().saturating_add(since_ms));
            (at, moment.with_timezone(&offset))
        }));
    }
    Some(anchors)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Central European time around 25 October 2026, 01:00 UTC, when summer time ends (Directive
    /// 2000/84/EC: the last Sunday of October, 01:00 UTC).
    fn central(from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<(DateTime<Utc>, FixedOffset)> {
        let ends = wall("2026-10-25T01:00:00Z").to_utc();
        let hours = |hours: i32| FixedOffset::east_opt(hours * 3600).unwrap();
        if from >= ends {
            return vec![(from, hours(1))];
        }
        let later = Some((ends, hours(1))).filter(|_| ends <= to);
        std::iter::once((from, hours(2))).chain(later).collect()
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
    }

    fn labels(started: &str, from_s: f64, to_s: f64) -> Vec<String> {
        let started = DateTime::parse_from_rfc3339(started).unwrap();
        let to = Elapsed::from_secs(to_s);
        let clock = Times::new(Some(started), &[], to, central);
        let from = Elapsed::from_secs(from_s);
        let day = |day: Option<String>| day.map(|day| format!(" {day}")).unwrap_or_default();
        clock
            .ticks(Window { from, to }, 8.0)
            .into_iter()
            .map(|tick| tick.label + &day(tick.day))
            .collect()
    }

    #[test]
    fn labels_are_round_on_the_wall_and_name_each_day_once() {
        assert_eq!(
            labels("2026-11-25T22:07:13.250+01:00", 0.0, 14_400.0),
            [
                "22:30 Wed 25 Nov",
                "23:00",
                "23:30",
                "00:00 Thu 26 Nov",
                "00:30",
                "01:00",
                "01:30",
                "02:00"
            ]
        );
    }

    #[test]
    fn the_hour_that_comes_twice_is_labelled_twice() {
        assert_eq!(
            labels("2026-10-25T00:30:00+02:00", 0.0, 18_000.0),
            ["01:00 Sun 25 Oct", "02:00", "02:00", "03:00", "04:00"]
        );
    }

    #[test]
    fn weeks_have_days() {
        let week = labels("2026-11-23T08:00:00+01:00", 0.0, 604_800.0);
        assert_eq!(week.len(), 7);
        assert_eq!(week[0], "Tue 24 Nov");
    }

    #[test]
    fn without_a_date_labels_count_from_the_start() {
        let to = after_s(7200.0);
        let times = Times::new(None, &[], to, central);
        let ticks = times.ticks(
            Window {
                from: after_s(60.0),
                to,
            },
            4.0,
        );
        let labels: Vec<String> = ticks.into_iter().map(|tick| tick.label).collect();
        assert_eq!(labels, ["30 min", "1 h", "1 h 30", "2 h"]);
    }
}
