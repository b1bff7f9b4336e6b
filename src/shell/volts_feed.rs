//! The second meter as it is asked for: another one than the first, on the same clock.

use anyhow::{Result, bail};

use super::feed::Feed;
use super::ports::heard;
use crate::meter::MeterUri;

/// Opens the meter for the battery's volts beside the one of `meter`, in a session that runs
/// `speed` times as fast as life.
///
/// # Errors
/// When it is the same meter, keeps another time, or cannot be used.
pub(super) fn open(volts: &MeterUri, meter: &MeterUri, speed: f64) -> Result<Feed> {
    if is_same(volts, meter) {
        bail!(
            "--volts {volts}: that is the meter of --meter: expected a second one, on the battery's \
             posts"
        );
    }
    if let MeterUri::Replay { speed: asked, .. } = volts
        && (asked - 1.0).abs() > 1e-9
        && (asked - speed).abs() > 1e-9
    {
        bail!("--volts {volts}: both meters go by one clock: expected speed={speed}, or none");
    }
    Feed::open_volts(&heard::settled(volts)?)
}

/// Whether both name one port, one socket or the one standard input. A record may be both.
fn is_same(one: &MeterUri, other: &MeterUri) -> bool {
    match (one, other) {
        (MeterUri::Serial(one), MeterUri::Serial(other)) => one.path == other.path,
        (MeterUri::Tcp { address: one, .. }, MeterUri::Tcp { address: other, .. }) => one == other,
        (MeterUri::Pipe { .. }, MeterUri::Pipe { .. }) => true,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_meter_is_not_asked_for_both_and_time_is_one() {
        let refused = |volts: &str, meter: &str, speed| {
            let (volts, meter) = (volts.parse().unwrap(), meter.parse().unwrap());
            let refused = open(&volts, &meter, speed).map(drop).unwrap_err();
            refused.to_string()
        };
        for (volts, meter) in [
            ("serial:/dev/ttyX1?baud=9600", "serial:/dev/ttyX1"),
            ("tcp:h:1?format=scpi", "tcp:h:1"),
            ("pipe:-?unit=V", "pipe:-"),
        ] {
            let said = refused(volts, meter, 1.0);
            assert!(said.contains("expected a second one"), "{said}");
        }
        let said = refused("replay:none.csv?speed=3", "pipe:-", 1.0);
        assert!(said.contains("one clock"), "{said}");
        let said = refused("manual:", "pipe:-", 1.0);
        assert!(said.contains("12.41V"), "{said}");
    }
}
