//! What happened to the meter, in words: for the board's banners, the log and the report.

use crate::reading::quantity;
use crate::session::entry::MeterEvent;

/// What the meter did and, while it lasts, what to do: `the meter is on hold` and `its display is
/// frozen; release HOLD, MIN/MAX or REL`.
pub fn event(event: &MeterEvent) -> (String, Option<&'static str>) {
    let (what, mend) = match event {
        MeterEvent::Held(true) => (
            "the meter is on hold",
            Some("its display is frozen; release HOLD, MIN/MAX or REL"),
        ),
        MeterEvent::Held(false) => ("the meter is live again", None),
        MeterEvent::Ac(true) => (
            "the meter is not on direct current",
            Some("turn its knob to DC"),
        ),
        MeterEvent::Ac(false) => ("the meter is on direct current again", None),
        MeterEvent::AutoOff(true) => (
            "the meter will switch itself off",
            Some("disable its auto power off for a long wait"),
        ),
        MeterEvent::AutoOff(false) => ("the meter will no longer switch itself off", None),
        MeterEvent::LowCell => (
            "the meter's own cell is low",
            Some("its readings may be wrong; change it"),
        ),
        MeterEvent::Doubt { doubt, on: true } => (doubt.question(), None),
        MeterEvent::Doubt { doubt, on: false } => (doubt.gone(), None),
        MeterEvent::Lost(why) => return (format!("meter lost: {why}"), None),
        MeterEvent::Back(place) => return (format!("meter back: {place}"), None),
        MeterEvent::Range(to) => {
            return (format!("the meter's range or unit changed: {to}"), None);
        }
        MeterEvent::Gap { why, for_s } => {
            return (
                format!("no readings for {}: {why}", quantity::span(*for_s)),
                None,
            );
        }
    };
    (what.to_owned(), mend)
}

/// The same in one line.
pub fn event_in_words(of: &MeterEvent) -> String {
    match event(of) {
        (what, Some(mend)) => format!("{what}: {mend}"),
        (what, None) => what,
    }
}

/// The same of the second meter, which reads the battery's volts.
pub fn second(of: &MeterEvent) -> String {
    let (what, mend) = match of {
        MeterEvent::Ac(true) => (
            "it shows no DC volts",
            Some("turn its knob to V=, or add unit=V to its URI where its lines are bare numbers"),
        ),
        MeterEvent::Ac(false) => ("it shows DC volts again", None),
        MeterEvent::Lost(why) => return format!("volts meter: lost: {why}"),
        MeterEvent::Back(place) => return format!("volts meter: back: {place}"),
        MeterEvent::Held(_)
        | MeterEvent::AutoOff(_)
        | MeterEvent::LowCell
        | MeterEvent::Doubt { .. }
        | MeterEvent::Range(_)
        | MeterEvent::Gap { .. } => return format!("volts meter: {}", event_in_words(of)),
    };
    match mend {
        Some(mend) => format!("volts meter: {what}: {mend}"),
        None => format!("volts meter: {what}"),
    }
}

/// The same as a banner: the head in capitals, to be seen from afar.
pub fn banner(of: &MeterEvent) -> String {
    match event(of) {
        (what, Some(mend)) => format!("{}: {mend}.", what.to_uppercase()),
        (what, None) => what,
    }
}
