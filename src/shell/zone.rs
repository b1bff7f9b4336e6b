//! The machine's time zone, as a function that `report` can ask.

use chrono::{DateTime, FixedOffset, Utc};
use jiff::Timestamp;
use jiff::tz::{Offset, TimeZone};

/// The offset from UTC that the machine's zone has at `from`, and each that comes into force until
/// `to`, by the zone's own data.
pub fn offsets(from: DateTime<Utc>, to: DateTime<Utc>) -> Vec<(DateTime<Utc>, FixedOffset)> {
    let zone = TimeZone::system();
    let Ok(start) = Timestamp::from_second(from.timestamp()) else {
        return Vec::new();
    };
    let later = zone.following(start).map_while(|change| {
        let moment = DateTime::from_timestamp_secs(change.timestamp().as_second())?;
        Some((moment, change.offset()))
    });
    std::iter::once((from, zone.to_offset(start)))
        .chain(later.take_while(|(moment, _)| *moment <= to))
        .filter_map(|(moment, offset)| Some((moment, fixed(offset)?)))
        .collect()
}

fn fixed(offset: Offset) -> Option<FixedOffset> {
    FixedOffset::east_opt(offset.seconds())
}
