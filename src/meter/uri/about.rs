//! What a meter URI says of its meter.

use std::num::NonZeroU32;

use super::{MeterUri, Wire};
use crate::meter::Format;

impl MeterUri {
    /// How the bytes are read; `None` where no bytes come.
    pub const fn wire(&self) -> Option<&Wire> {
        match self {
            Self::Serial { wire, .. } | Self::Tcp { wire, .. } | Self::Pipe { wire } => Some(wire),
            Self::Replay { .. } | Self::Manual | Self::Rehearsal { .. } => None,
        }
    }

    /// Its speed, if it is a serial port and one was named.
    pub fn baud(&self) -> Option<NonZeroU32> {
        let Self::Serial { baud, wire, .. } = self else {
            return None;
        };
        baud.or_else(|| wire.format.and_then(Format::baud))
    }

    /// Whether it sends by itself; others say nothing unless they are asked.
    pub fn speaks(&self) -> bool {
        self.wire().is_none_or(|wire| {
            let polled = |format| match format {
                Format::Text => false,
                Format::Handheld(kind) => kind.decoder().poll().is_some(),
            };
            wire.ask.is_none() && !wire.format.is_some_and(polled)
        })
    }
}
