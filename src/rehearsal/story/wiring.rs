//! What an invented car is made of: fuses, modules, loads, and what keeps or wakes them.

use serde::Deserialize;

use crate::fuse::map::Circuit;

/// One fuse.
#[derive(Clone, Debug, Deserialize)]
pub struct LidFuse {
    /// The label on the lid.
    pub label: &'static str,
    /// What the lid says it feeds.
    #[serde(borrow)]
    pub feeds: Vec<&'static str>,
}

impl LidFuse {
    /// The slot as a fuse map has it: the letters are the box, the number is the position.
    pub fn circuit(&self) -> Circuit {
        let position = self.label.trim_start_matches(|c: char| c.is_alphabetic());
        let in_box = self.label.strip_suffix(position).unwrap_or_default();
        Circuit {
            label: self.label.to_owned(),
            in_box: in_box.to_owned(),
            position: position.to_owned(),
            feeds: self.feeds.iter().map(|part| (*part).to_owned()).collect(),
            ..Circuit::default()
        }
    }
}

/// A short extra current.
#[derive(Clone, Copy, Debug)]
pub struct Surge {
    /// How much, in ampere.
    pub a: f64,
    /// How long, in seconds.
    pub for_s: f64,
}

/// Four door latches at once, on every lock and unlock: beyond the meter's range for a reading or
/// two.
pub const LATCHES: Surge = Surge {
    a: 14.0,
    for_s: 0.8,
};

/// How large a control unit's capacitors are, which it charges as its supply returns.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Boot {
    /// Those of most.
    #[default]
    Small,
    /// Those of a large one.
    Large,
}

impl Boot {
    /// What that draws.
    pub const fn surge(self) -> Surge {
        match self {
            Self::Small => Surge { a: 0.5, for_s: 0.8 },
            Self::Large => Surge { a: 1.6, for_s: 1.2 },
        }
    }
}

/// How the network wakes when a module gets its supply back.
#[derive(Clone, Debug, Deserialize)]
pub struct Stir {
    /// How long every module is awake, in seconds.
    pub awake_s: f64,
    /// How much of the usual time it then takes to fall asleep again. Also the pace of a module
    /// that a keeper lets go.
    pub pace: f64,
}

/// A control unit that falls asleep in stages.
#[derive(Clone, Debug, Deserialize)]
pub struct Module {
    /// Its name, and the label of its connector.
    pub name: &'static str,
    /// What it draws awake, in ampere.
    pub awake_a: f64,
    /// How it falls asleep, in order; the last stage is asleep.
    pub stages: Vec<Stage>,
    /// Its start-up current when its supply returns.
    #[serde(default)]
    pub boot: Boot,
}

/// One stage on the way to sleep.
#[derive(Clone, Debug, Deserialize)]
pub struct Stage {
    /// How long after the module was let go, in seconds.
    pub after_s: f64,
    /// What it draws from then on, in ampere.
    pub level_a: f64,
}

/// Something that draws whenever it has a supply, awake or asleep, until the faulty part is
/// replaced.
#[derive(Clone, Debug, Deserialize)]
pub struct Load {
    /// The connectors in its path: any one of them parted stops it.
    #[serde(borrow)]
    pub parts: Vec<&'static str>,
    /// The one among them that a new part mends.
    pub faulty: &'static str,
    /// What it draws through which fuse, in ampere: two make a draw that two circuits share.
    #[serde(borrow)]
    pub draws: Vec<(&'static str, f64)>,
}

/// A faulty part that lets others not fall asleep while it is plugged and fed.
#[derive(Clone, Debug, Deserialize)]
pub struct Keeper {
    /// The part.
    pub part: &'static str,
    /// Whom it keeps awake.
    pub holds: Holds,
}

/// Whom a keeper keeps awake.
#[derive(Clone, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Holds {
    /// Every module.
    Network,
    /// These modules.
    Modules(Vec<String>),
}

impl Holds {
    /// Whether this module is among them.
    pub fn includes(&self, module: &str) -> bool {
        match self {
            Self::Network => true,
            Self::Modules(names) => names.iter().any(|name| name == module),
        }
    }
}

/// A faulty part that wakes again and again.
#[derive(Clone, Debug, Deserialize)]
pub struct Waker {
    /// The part.
    pub part: &'static str,
    /// From the lock, or from the return of its supply, to the first wake, and from onset to
    /// onset, in seconds.
    pub period_s: f64,
    /// Standard deviation of that, as a share.
    pub jitter: f64,
    /// How long it stays awake, in seconds.
    pub width_s: f64,
    /// What it draws on top while awake, in ampere.
    pub extra_a: f64,
}
