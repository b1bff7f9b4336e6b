//! The command line: every command and flag, each value checked while it is read.

mod calculators;
mod card_flags;
pub mod lessons;
mod rehearsal;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use clap_complete::Shell;

pub use calculators::{Drop, Standing};
pub use card_flags::CardFlags;
pub use rehearsal::Rehearse;

use crate::journal::import;
use crate::meter::query::Query;
use crate::meter::{MeterUri, Unit};
use crate::reading::amount;

/// Find what flattens a parked car's battery, and prove it.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 80, disable_help_subcommand = true)]
#[command(after_help = lessons::after("lullboard"))]
pub struct Flags {
    /// What to do.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Settings from this file [default: that of 'lullboard settings']
    #[arg(long, value_name = "FILE", global = true)]
    pub settings: Option<PathBuf>,
}

// Not doc comments: links and names stand in them as they are typed.
const METER: &str = "The meter: serial:/dev/ttyUSB0, serial:COM3, tcp:HOST:5025, pipe:-, manual: or \
                     replay:FILE; 'lullboard help meter' tells every kind, format and option";
const VOLTS: &str = "A second meter, for the battery's volts beside the current: a URI as for --meter \
                     (unit=V where its lines are bare numbers), or replay:FILE. Its probes go on the \
                     battery posts themselves, the positive lead fused close to the post; never \
                     with a lead in a jack for amperes: that is a short across the battery";
const TIME_COL: &str = "The column with the time, in seconds or RFC 3339 [default: time_s or time]";
const CURRENT_COL: &str = "The column with the current [default: current_a]";

/// What the program can do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Watch a meter on the board, mark what you do, see what each pull did
    #[command(after_help = lessons::after("live"))]
    Live(Record),
    /// The same without a screen: record, and print phases and findings line by line
    #[command(after_help = lessons::after("record"))]
    Record(Record),
    /// Hunt on a simulated car, no hardware
    Rehearse(Rehearse),
    /// Show a recorded session; with --meter, go on recording it
    #[command(after_help = lessons::after("open"))]
    Open(Open),
    /// Say what a session or a CSV log shows; the exit code is the verdict
    #[command(after_help = lessons::after("judge"))]
    Judge(Judge),
    /// Write a report (.html, .md), the plot (.svg), the readings (.csv) or the judgement (.json)
    #[command(after_help = lessons::after("export"))]
    Export(Export),
    /// Is this session file whole and unaltered?
    #[command(after_help = lessons::after("check"))]
    Check {
        /// The session file
        file: PathBuf,
    },
    /// Watch a session that another lullboard records, without touching it
    #[command(after_help = lessons::after("follow"))]
    Follow {
        /// The session file
        #[arg(value_name = "SESSION")]
        file: PathBuf,
    },
    /// Say where the settings are, and print the file with every default
    #[command(after_help = lessons::after("settings"))]
    Settings,
    /// List the ports where a meter may be, and listen on each
    #[command(after_help = lessons::after("meters"))]
    Meters(Meters),
    /// How many days a battery stands at a draw, and which draw a complaint implies
    #[command(after_help = lessons::after("standing"))]
    Standing(Standing),
    /// The current that the millivolts across a fuse mean
    #[command(after_help = lessons::after("drop"))]
    Drop(Drop),
    /// Print what completes the commands and flags in a shell
    #[command(after_help = lessons::after("completions"))]
    Completions {
        /// The shell
        shell: Shell,
    },
    /// Write the manual pages into man1 and man7 below a folder
    #[command(after_help = lessons::after("man"))]
    Man {
        /// The folder
        #[arg(value_name = "DIR")]
        folder: PathBuf,
    },
    /// Print the help of a command, or how a meter is named: 'lullboard help meter'
    #[command(after_help = lessons::after("help"))]
    Help {
        /// A command, or meter
        #[arg(value_name = "TOPIC")]
        topic: Option<String>,
    },
}

/// What is recorded, and where to.
#[derive(Debug, Args)]
pub struct Record {
    /// The meter.
    #[arg(long, help = METER, value_name = "URI")]
    pub meter: MeterUri,
    /// The second meter.
    #[arg(long, help = VOLTS, value_name = "URI")]
    pub volts: Option<MeterUri>,
    /// The session file to write [default: a new file here, named after the date]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Run the session's clock this many times as fast: for practice with a scripted meter,
    /// never with a car
    #[arg(long, value_name = "N", value_parser = rehearsal::speed, default_value = "1", hide = true)]
    pub clock_speed: f64,
    /// Marks as lines from FILE, a FIFO too, or from standard input (-): 'pull E12', 'lock', 'note ...',
    /// each answered by a line. 'record' reads standard input by itself unless it is a terminal
    #[arg(long, value_name = "FILE")]
    pub marks: Option<PathBuf>,
    /// What is run when something happens.
    #[command(flatten)]
    pub on: OnFlags,
    /// The card.
    #[command(flatten)]
    pub card: CardFlags,
}

/// Commands for those who are not at the car.
#[derive(Clone, Debug, Default, Args)]
pub struct OnFlags {
    /// Run COMMAND on EVENT, which is told to it as JSON on its standard input: settled, woke,
    /// finding, meter-lost, time-out or above. Again for another; those of the settings are run too
    #[arg(long, num_args = 2, value_names = ["EVENT", "COMMAND"])]
    pub on: Vec<String>,
}

/// Flags of `open`.
#[derive(Debug, Args)]
pub struct Open {
    /// The session file
    #[arg(value_name = "SESSION")]
    pub file: PathBuf,
    /// Go on recording it from this meter
    #[arg(long, value_name = "URI")]
    pub meter: Option<MeterUri>,
    /// What is run when something happens.
    #[command(flatten)]
    pub on: OnFlags,
}

/// Flags of `judge`.
#[derive(Debug, Args)]
pub struct Judge {
    /// A session file or a CSV log
    pub file: PathBuf,
    /// Everything, as JSON
    #[arg(long)]
    pub json: bool,
    /// The card.
    #[command(flatten)]
    pub card: CardFlags,
    /// How to read a CSV log.
    #[command(flatten)]
    pub csv: CsvFlags,
}

/// Flags of `export`.
#[derive(Debug, Args)]
pub struct Export {
    /// A session file or a CSV log
    pub file: PathBuf,
    /// The file to write; its ending names the kind: .html, .md, .svg, .csv or .json
    #[arg(long, value_name = "OUT")]
    pub to: PathBuf,
    /// Replace OUT if it exists; without this it is left alone, exit code 1
    #[arg(long)]
    pub replace: bool,
    /// Leave out the customer, the plate, the VIN, the odometer and the notes
    #[arg(long)]
    pub without_names: bool,
    /// An earlier record of the same car, set beside this one: before and after the repair
    #[arg(long, value_name = "EARLIER")]
    pub compare: Option<PathBuf>,
    /// The card.
    #[command(flatten)]
    pub card: CardFlags,
    /// How to read a CSV log.
    #[command(flatten)]
    pub csv: CsvFlags,
}

/// Flags of `meters`.
#[derive(Debug, Args)]
pub struct Meters {
    /// Listen on these ports only [default: on all there are]
    #[arg(value_name = "PORT")]
    pub ports: Vec<PathBuf>,
    /// Show what this meter says until Ctrl-C. It is asked where its format says so; a Modbus
    /// register without type= and order= is shown in every way, to be picked by the display
    #[arg(long, value_name = "URI", conflicts_with = "ports")]
    pub read: Option<MeterUri>,
    /// Send one query to one silent PORT: D (handhelds that send when asked) or idn (bench
    /// meters). It may be a key press there, power off too: this flag is your word for it
    #[arg(
        long,
        value_name = "D|idn",
        requires = "ports",
        conflicts_with = "read"
    )]
    pub ask: Option<Query>,
    /// How long to listen at each speed
    #[arg(long, value_name = "TIME", value_parser = amount::time_s, default_value = "1.5s")]
    pub listen: f64,
}

/// How a CSV log from elsewhere is to be read.
#[derive(Debug, Default, Args)]
#[command(next_help_heading = "CSV logs")]
pub struct CsvFlags {
    /// The column with the time.
    #[arg(long, help = TIME_COL, value_name = "NAME")]
    pub time_col: Option<String>,
    /// The column with the current.
    #[arg(long, help = CURRENT_COL, value_name = "NAME")]
    pub current_col: Option<String>,
    /// The unit of that column: A, mA or uA
    #[arg(long, value_name = "UNIT", value_parser = import::unit, default_value = "A")]
    pub unit: Unit,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_commands_are_well_formed() {
        Flags::command().debug_assert();
    }
}
