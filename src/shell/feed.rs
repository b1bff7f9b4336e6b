//! What brings readings into a recording: a meter, a replay, or a simulated car; and what brings the
//! battery's volts beside them.

use std::path::Path;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use crossbeam_channel::Sender;

use super::files::session_file::{self, RecordedFile};
use super::link::{self, LinkSetup, Measures, Outlet};
use super::simulated::{self, Marks};
use super::stop::{self, Halt};
use super::{Outbox, ports};
use crate::journal::import::ImportOptions;
use crate::meter::{MeterUri, Probe};
use crate::rehearsal::Car;
use crate::session::{Card, Entry, Fact};

/// A thread looks at its `Stop` several times a second, but for one that the network holds.
const PATIENCE: Duration = Duration::from_secs(2);

/// Something that is open and can be started.
pub enum Feed {
    /// A meter, or the technician's own eyes.
    Meter(LinkSetup),
    /// A recorded file, played again.
    Replay {
        /// The file.
        record: Box<RecordedFile>,
        /// Its name for the board.
        place: String,
        /// How many times as fast as it was recorded.
        speed: f64,
        /// What of it is played.
        plays: fn(&Fact) -> bool,
    },
    /// A simulated car.
    Car {
        /// The car.
        car: Box<Car>,
        /// Its name for the board.
        place: String,
    },
}

/// A feed that has been started.
#[derive(Debug)]
pub struct RunningFeed {
    /// For marks that a simulated car obeys.
    pub marks: Option<Marks>,
    halt: Halt,
}

impl Feed {
    /// Opens what the URI names, before a file is made and the screen taken: a wrong port is the
    /// commonest mistake. The card says what stands between the meter and the current.
    ///
    /// # Errors
    /// When it is not there or cannot be used, with the mend.
    pub fn open(uri: &MeterUri, card: &Card) -> Result<Self> {
        if let MeterUri::Replay { file, speed } = uri {
            return Self::replay(file, *speed);
        }
        Self::meter(uri, card.probe())
    }

    /// Opens what the URI names for the battery's volts, beside a meter that reads the current.
    ///
    /// # Errors
    /// When it is not there or cannot be used, with the mend.
    pub fn open_volts(uri: &MeterUri) -> Result<Self> {
        match uri {
            MeterUri::Replay { file, speed } => {
                let has_volts = |entry: &Entry| matches!(entry.fact, Fact::Volts(_));
                let Self::Replay { record, place, .. } = Self::replay(file, *speed)? else {
                    bail!("{uri}: cannot be played");
                };
                let mut entries = session_file::read_any(file, &ImportOptions::default())?;
                if !entries.any(|entry| entry.is_ok_and(|entry| has_volts(&entry))) {
                    bail!("{uri}: holds no volts: expected a session or a CSV with voltage_v");
                }
                Ok(Self::Replay {
                    record,
                    place,
                    speed: *speed,
                    plays: is_of_volts,
                })
            }
            MeterUri::Manual | MeterUri::Rehearsal { .. } => bail!(
                "{uri}: gives no volts by itself: expected serial:, tcp:, pipe:- or replay:; \
                 typed volts, as in 12.41V, need no second meter"
            ),
            MeterUri::Serial(_) | MeterUri::Tcp { .. } | MeterUri::Pipe { .. } => {
                Self::meter(uri, Probe::on_battery())
            }
        }
    }

    fn meter(uri: &MeterUri, probe: Probe) -> Result<Self> {
        let wire = uri.wire().cloned().unwrap_or_default();
        let talker = wire
            .talker(probe.expects())
            .with_context(|| uri.to_string())?;
        Ok(Self::Meter(LinkSetup {
            source: ports::open_first(uri)?,
            talker,
            probe,
        }))
    }

    fn replay(file: &Path, speed: f64) -> Result<Self> {
        // Read once to its end before anything is recorded: a row that cannot be used would end
        // the replay in the middle, and half a record would look like a whole one.
        let mut record = session_file::read_any(file, &ImportOptions::default())?;
        while let Some(entries) = record.block() {
            entries?;
        }
        Ok(Self::Replay {
            record: Box::new(session_file::read_any(file, &ImportOptions::default())?),
            place: file.display().to_string(),
            speed,
            plays: is_played,
        })
    }

    /// Leaves the volts of a replay to the meter that reads them.
    pub fn leave_volts(&mut self) {
        if let Self::Replay { plays, .. } = self {
            *plays = is_of_current;
        }
    }

    /// What is known of the car already.
    pub fn card(&self) -> Card {
        match self {
            Self::Replay { record, .. } => record.header.card.clone(),
            Self::Meter(_) | Self::Car { .. } => Card::default(),
        }
    }

    /// The pace of session time; `given` where the feed has none of its own.
    pub const fn speed(&self, given: f64) -> f64 {
        match self {
            Self::Replay { speed, .. } => *speed,
            Self::Meter(_) | Self::Car { .. } => given,
        }
    }

    /// Starts the thread that brings the readings.
    ///
    /// # Errors
    /// When the system has no thread to give.
    pub fn start(
        self,
        readings: Sender<Entry>,
        desk: &Outbox,
        measures: Measures,
    ) -> Result<RunningFeed> {
        let (halt, stop) = stop::pair();
        let desk = desk.clone();
        let outlet = Outlet {
            readings,
            desk,
            stop,
            measures,
        };
        // How the thread ends is told by `threads`, and that it has by its `Stop`.
        let (marks, _) = match self {
            Self::Meter(setup) => (None, link::spawn(setup, outlet)?),
            Self::Replay {
                record,
                place,
                plays,
                ..
            } => {
                let entries = record.map_while(Result::ok);
                let entries = entries.filter(move |entry| plays(&entry.fact));
                (None, link::spawn_script(entries, place, outlet)?)
            }
            Self::Car { car, place } => {
                let (marks, thread) = simulated::spawn(*car, place, outlet)?;
                (Some(marks), thread)
            }
        };
        Ok(RunningFeed { marks, halt })
    }
}

/// Seals and resumptions speak of the file they stood in, not of the car.
const fn is_played(fact: &Fact) -> bool {
    !matches!(
        fact,
        Fact::Resumed(_) | Fact::Judged(_) | Fact::Seal(_) | Fact::Unknown
    )
}

const fn is_of_volts(fact: &Fact) -> bool {
    matches!(fact, Fact::Volts(_) | Fact::VoltsMeter(_))
}

const fn is_of_current(fact: &Fact) -> bool {
    is_played(fact) && !is_of_volts(fact)
}

impl RunningFeed {
    /// Stops it and waits until nothing comes any more, as long as anybody would: the journal
    /// refuses what comes later.
    pub fn stop(self) {
        drop(self.marks);
        self.halt.end_within(PATIENCE);
    }
}
