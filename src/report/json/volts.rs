//! What the battery's voltage says, in the document.

use serde_json::{Value, json};

use super::figures::{band, reason, rounded};
use crate::judge::volts::{Charging, VoltsLoss, VoltsTold};
use crate::judge::words;
use crate::reading::{Elapsed, Volts};

pub(super) fn volts(told: &VoltsTold) -> Value {
    json!({
        "samples": told.samples,
        "first": read(told.first),
        "first_s": seconds(told.first.0),
        "last": read(told.last),
        "last_s": seconds(told.last.0),
        "min": read(told.lowest),
        "min_s": seconds(told.lowest.0),
        "charging": told.charging.iter().map(charging).collect::<Vec<Value>>(),
        "lost": told.loss.as_ref().map(lost),
        "explained": reason(&told.explained),
        "why": words::volts::explained(told),
    })
}

fn charging(stretch: &Charging) -> Value {
    json!({
        "from_s": seconds(stretch.from),
        "to_s": seconds(stretch.to),
        "peak_v": rounded(stretch.peak_v, 4),
    })
}

/// What was lost between two readings at rest, in ampere-hours.
fn lost(loss: &VoltsLoss) -> Value {
    json!({
        "from_s": seconds(loss.from),
        "to_s": seconds(loss.to),
        "before_v": rounded(loss.before_v, 4),
        "after_v": rounded(loss.after_v, 4),
        "surface_v": rounded(loss.surface_v, 4),
        "by_current_ah": band(loss.by_current_ah, 6),
        "by_self_ah": loss.by_self_ah.map(|ah| band(ah, 6)),
        "by_volts_share": loss.by_volts_share.map(|share| band(share, 5)),
        "by_volts_ah": loss.by_volts_ah.map(|ah| band(ah, 4)),
    })
}

fn read((_, volts): (Elapsed, Volts)) -> Value {
    rounded(volts.value_v(), 9)
}

fn seconds(t: Elapsed) -> Value {
    rounded(t.secs(), 3)
}
