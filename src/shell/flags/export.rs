//! The flags of `export`.

use std::path::PathBuf;

use clap::Args;

use super::{CardFlags, CsvFlags};

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
