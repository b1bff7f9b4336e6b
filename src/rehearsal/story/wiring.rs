//! What an invented car is made of: fuses, modules, loads, and what keeps or wakes them.

use crate::fuse::map::Circuit;

/// One fuse.
#[derive(Clone, Copy, Debug)]
pub struct LidFuse {
    /// The label on the lid.
    pub label: &'static str,
    /// What the lid says it feeds.
    pub feeds: &'static [&'static str],
}

impl LidFuse {
    /// The slot as a fuse map has it: the letters are the box, the number is the position.
    #[must_use]
    pub fn circuit(&self) -> Circuit {
        let position = self.label.trim_start_matches(|c: char| c.is_alphabetic());
        let in_box = self.label.strip_suffix(position).unwrap_or_default();
        Circuit {
            label: self.label.to_owned(),
            in_box: in_box.to_owned(),
            position: position.to_owned(),
            rating_a: None,
            style: None,
            feeds: self.feeds.iter().map(|part| (*part).to_owned()).collect(),
            weight: None,
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

/// How the network wakes when a module gets its supply back.
#[derive(Clone, Copy, Debug)]
pub struct Stir {
    /// How long every module is awake, in seconds.
    pub awake_s: f64,
    /// How much of the usual time it then takes to fall asleep again. Also the pace of a module
    /// that a keeper lets go.
    pub pace: f64,
}

/// A control unit that falls asleep in stages.
#[derive(Clone, Copy, Debug)]
pub struct Module {
    /// Its name, and the label of its connector.
    pub name: &'static str,
    /// The fuses that feed it; any one is enough.
    pub fed_by: &'static [&'static str],
    /// What it draws awake, in ampere.
    pub awake_a: f64,
    /// How it falls asleep, in order; the last stage is asleep.
    pub stages: &'static [Stage],
    /// Its start-up current when its supply returns.
    pub boot: Surge,
}

/// One stage on the way to sleep.
#[derive(Clone, Copy, Debug)]
pub struct Stage {
    /// How long after the module was let go, in seconds.
    pub after_s: f64,
    /// What it draws from then on, in ampere.
    pub level_a: f64,
}

/// Something that draws whenever it has a supply, awake or asleep, until the faulty part is
/// replaced.
#[derive(Clone, Copy, Debug)]
pub struct Load {
    /// The connectors in its path: any one of them parted stops it.
    pub parts: &'static [&'static str],
    /// The one among them that a new part mends.
    pub faulty: &'static str,
    /// Its draws. Two with different fuses make a draw that two circuits share.
    pub draws: &'static [Draw],
}

/// One draw of a load.
#[derive(Clone, Copy, Debug)]
pub struct Draw {
    /// The fuses that feed it; any one is enough.
    pub fed_by: &'static [&'static str],
    /// How much, in ampere.
    pub a: f64,
}

/// A faulty part that lets others not fall asleep while it is plugged and fed.
#[derive(Clone, Copy, Debug)]
pub struct Keeper {
    /// The part.
    pub part: &'static str,
    /// The fuses that feed it; any one is enough.
    pub fed_by: &'static [&'static str],
    /// Whom it keeps awake.
    pub holds: Holds,
}

/// Whom a keeper keeps awake.
#[derive(Clone, Copy, Debug)]
pub enum Holds {
    /// Every module.
    Network,
    /// These modules.
    Modules(&'static [&'static str]),
}

impl Holds {
    /// Whether this module is among them.
    #[must_use]
    pub fn includes(self, module: &str) -> bool {
        match self {
            Self::Network => true,
            Self::Modules(names) => names.contains(&module),
        }
    }
}

/// A faulty part that wakes again and again.
#[derive(Clone, Copy, Debug)]
pub struct Waker {
    /// The part.
    pub part: &'static str,
    /// The fuses that feed it; any one is enough.
    pub fed_by: &'static [&'static str],
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

/// A fuse in a box.
pub(in crate::rehearsal) const fn slot(
    label: &'static str,
    feeds: &'static [&'static str],
) -> LidFuse {
    LidFuse { label, feeds }
}

/// A stage of sleep: from `after_s` seconds on, `level_a` ampere.
pub(in crate::rehearsal) const fn stage(after_s: f64, level_a: f64) -> Stage {
    Stage { after_s, level_a }
}
