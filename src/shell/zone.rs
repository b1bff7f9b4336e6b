//! The machine's time zone, as a function that `report` can ask.

use chrono::{DateTime, FixedOffset, Local, Offset, TimeZone, Utc};

/// The offset from UTC that the machine's zone has at `moment`; its own history decides, not
/// today's offset.
#[must_use]
pub fn offset(moment: DateTime<Utc>) -> FixedOffset {
    Local.offset_from_utc_datetime(&moment.naive_utc()).fix()
}
