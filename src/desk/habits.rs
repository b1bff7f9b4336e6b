//! What the settings say about the desk: how it begins, what it may sound, which keys it takes.
//! Where they are read stands in `shell::settings`.

use serde::Deserialize;

use super::{Bell, Keymap, Scale, TimeAxis};

/// In which unit the present value is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
pub enum Units {
    /// mA below one ampere, A above.
    #[default]
    #[serde(rename = "auto")]
    Auto,
    /// Always mA.
    #[serde(rename = "mA")]
    Milli,
    /// Always A.
    #[serde(rename = "A")]
    Ampere,
}

/// When a real session is led by hints.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hints {
    /// In the first session of this user.
    #[default]
    Auto,
    /// In every one.
    On,
    /// Only when its key asks for them.
    Off,
}

/// Which occasions sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(default, deny_unknown_fields, rename_all = "kebab-case")]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each occasion is on or off by itself"
)]
pub struct Sounds {
    /// The current has settled.
    pub settled: bool,
    /// Something woke the car.
    pub wake: bool,
    /// The signal shows a pull or another step.
    pub pull_seen: bool,
    /// A trial has its finding.
    pub finding: bool,
    /// A run claims a step, or calls for the next fuse.
    pub run: bool,
    /// The meter is lost.
    pub meter_lost: bool,
    /// A reading is to be typed.
    pub reading_due: bool,
}

impl Default for Sounds {
    fn default() -> Self {
        Self {
            settled: true,
            wake: true,
            pull_seen: true,
            finding: true,
            run: true,
            meter_lost: true,
            reading_due: true,
        }
    }
}

impl Sounds {
    /// Whether this one sounds.
    pub const fn has(&self, bell: Bell) -> bool {
        match bell {
            Bell::Settled => self.settled,
            Bell::Wake => self.wake,
            Bell::PullSeen => self.pull_seen,
            Bell::Finding => self.finding,
            Bell::Called => self.run,
            Bell::MeterLost => self.meter_lost,
            Bell::ReadingDue => self.reading_due,
        }
    }
}

/// How this technician likes the desk.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Habits {
    /// The current axis at the start.
    pub scale: Scale,
    /// The time axis at the start.
    pub time: TimeAxis,
    /// The unit of the present value.
    pub units: Units,
    /// Whether hints lead on.
    pub hints: Hints,
    /// What sounds.
    pub sounds: Sounds,
    /// The keys.
    pub keys: Keymap,
}
