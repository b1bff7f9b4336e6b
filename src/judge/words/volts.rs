//! The battery's voltage in words: what was read, what it lost, what does not fit the current.

use crate::judge::volts::{Explained, VoltsLoss, VoltsTold};
use crate::reading::{Band, Elapsed, quantity};

/// Surface charge smaller than this is not worth a word, in volts: the last place of a common
/// voltmeter. Common practice, no source.
const WORTH_A_WORD_V: f64 = 0.01;

/// All that is said of it, a sentence a line.
pub fn lines(told: &VoltsTold) -> Vec<String> {
    let mut lines = vec![read(told)];
    lines.extend(told.loss.as_ref().map(lost));
    lines.push(explained(told));
    lines
}

/// What was read, in a few words.
pub fn in_short(told: &VoltsTold) -> String {
    let (first, last) = (told.first.1, told.last.1);
    format!("battery voltage {first} V at first, {last} V at last")
}

/// What was read.
fn read(told: &VoltsTold) -> String {
    let lowest = told.lowest;
    format!(
        "{}, lowest {} V at {}; {}",
        in_short(told),
        lowest.1,
        quantity::clock(lowest.0),
        quantity::counted(told.samples, "reading")
    )
}

/// The charge lost by both meters.
fn lost(loss: &VoltsLoss) -> String {
    let clock = quantity::clock;
    let own = loss
        .by_self_ah
        .map(|ah| format!(", {} of the battery's own", charge(ah)));
    let share = loss.by_volts_share.map(|share| {
        let percent = share.map(|share| share * 100.0);
        format!(
            ", {:.0} % of full ({:.0} to {:.0}) by the tables of rest voltage",
            percent.best, percent.low, percent.high
        )
    });
    let size = loss
        .by_volts_ah
        .map(|ah| format!(", {} of its printed size", charge(ah)));
    format!(
        "charge lost from {} to {}: {} by the current{}; the voltage at rest went from {} to {}{}{}",
        clock(loss.from),
        clock(loss.to),
        charge(loss.by_current_ah),
        own.unwrap_or_default(),
        volts(loss.before_v),
        volts(loss.after_v),
        share.unwrap_or_default(),
        size.unwrap_or_default()
    )
}

/// Whether the current explains it, or what would tell.
pub fn explained(told: &VoltsTold) -> String {
    let span = quantity::span;
    match told.explained {
        Explained::Fits => {
            let surface_v = told.loss.as_ref().map_or(0.0, |loss| loss.surface_v);
            format!(
                "the current explains the voltage, as far as these readings tell{}",
                surface(surface_v)
            )
        }
        Explained::Faster => "the voltage falls faster than the current explains".into(),
        Explained::Slower => "the voltage falls less than the current takes".into(),
        Explained::NoBattery => {
            "whether the current explains the voltage needs the battery's size: --battery agm,70Ah"
                .into()
        }
        Explained::NotAtRest => {
            "whether the current explains the voltage needs it at rest twice: minutes after \
             amperes, and best hours after charging"
                .into()
        }
        Explained::TooShort { for_s, needed_s } => format!(
            "whether the current explains the voltage needs {} at rest, not {}",
            span(needed_s),
            span(for_s)
        ),
        Explained::NoCurrent { missing_s, of_s } => format!(
            "whether the current explains the voltage is open: no current was seen for {} of {}",
            span(missing_s),
            span(of_s)
        ),
    }
}

/// What may still be in the first reading.
fn surface(surface_v: f64) -> String {
    if surface_v < WORTH_A_WORD_V {
        return String::new();
    }
    format!(
        "; up to {} of the first may be surface charge, which fades for hours",
        volts(surface_v)
    )
}

/// Why a verdict waits for the charger.
pub(super) fn charging(at_s: f64, for_s: f64, peak_v: f64) -> String {
    format!(
        "the battery stood at up to {} for {} from {}: a charger or the engine feeds it, or just did; take it off, let the car sleep and watch again",
        volts(peak_v),
        quantity::span(for_s),
        quantity::clock(Elapsed::from_secs(at_s))
    )
}

/// That something charged the battery.
pub(super) fn charged(from_s: f64, to_s: f64, peak_v: f64) -> String {
    format!(
        "the battery stood at up to {} {}: a charger or the running engine, or it was charged until just before; what is measured meanwhile is not a parked car, and its voltage needs hours to settle",
        volts(peak_v),
        between(from_s, to_s)
    )
}

/// That it fell further than the current explains, with the least that it lost and the most that
/// is explained.
pub(super) fn faster(fell: &str, least_ah: f64, explained_ah: f64) -> String {
    format!(
        "{fell}, at least {} of its size, where the current and its own loss explain {} at most: the battery is suspect; charge it fully, let it rest for hours and test it, and look for a cable on its post that the meter does not see",
        tenths(least_ah),
        tenths(explained_ah)
    )
}

/// That it fell less than the current took, with the most that it lost and the least that was taken.
pub(super) fn slower(fell: &str, most_ah: f64, explained_ah: f64) -> String {
    format!(
        "{fell}, at most {} of its size, where the current took {}: something may feed it unseen, a second battery or a solar panel, or the meter reads too much; look at what else is on its posts, and zero the clamp",
        tenths(most_ah.max(0.0)),
        tenths(explained_ah)
    )
}

/// From where to where it went.
pub(super) fn fell(from_s: f64, to_s: f64, before_v: f64, after_v: f64) -> String {
    format!(
        "the battery went from {} to {} {}",
        volts(before_v),
        volts(after_v),
        between(from_s, to_s)
    )
}

fn between(from_s: f64, to_s: f64) -> String {
    let clock = |s: f64| quantity::clock(Elapsed::from_secs(s));
    format!("from {} to {}", clock(from_s), clock(to_s))
}

/// A charge whose tables know no better than a tenth of it.
fn tenths(ah: f64) -> String {
    quantity::charge(ah, 0.1 * ah)
}

/// A computed voltage, to the last place of a common voltmeter.
fn volts(v: f64) -> String {
    format!("{v:.2} V")
}

/// A charge with its ends.
fn charge(ah: Band) -> String {
    let fineness_ah = (ah.high - ah.low) / 2.0;
    let shown = |ah: f64| quantity::charge(ah, fineness_ah);
    let (low, high) = (shown(ah.low), shown(ah.high));
    let low = low.trim_end_matches(" Ah");
    format!(
        "{} ({low} to {})",
        shown(ah.best),
        high.trim_end_matches(" Ah")
    )
}
