//! The flags of `drop`.

use clap::Args;

use crate::fuse::drop::typed_millivolts::mv_step;
use crate::fuse::{Millivolts, MvAccuracy, Style};
use crate::reading::amount;

/// Flags of `drop`.
#[derive(Debug, Args)]
pub struct Drop {
    /// The fuse's build: blade (full size), mini, low-mini, micro2, micro3, maxi or cartridge
    #[arg(long, value_name = "STYLE")]
    pub style: Style,
    /// What is printed on it, in ampere: 10 or 7.5
    #[arg(long, value_name = "AMPERE", value_parser = rating_a)]
    pub rating: f64,
    /// The millivolts read across it, with every place the meter shows: 0.40
    #[arg(long, value_name = "MILLIVOLTS", allow_hyphen_values = true)]
    pub mv: Millivolts,
    /// The meter's accuracy on that range, percent of reading + counts: 0.5%+2
    #[arg(long, value_name = "ACCURACY")]
    pub mv_accuracy: Option<MvAccuracy>,
    /// One count of the meter, in millivolts: 0.1 [default: the last written place]
    #[arg(long, value_name = "MILLIVOLTS", value_parser = mv_step)]
    pub mv_step: Option<f64>,
    /// The fuse's own resistance, measured: 7.7m
    #[arg(long, value_name = "OHMS", value_parser = amount::ohms)]
    pub ohms: Option<f64>,
    /// Everything, as JSON
    #[arg(long)]
    pub json: bool,
}

fn rating_a(text: &str) -> Result<f64, &'static str> {
    text.trim()
        .trim_end_matches(['A', 'a'])
        .trim_end()
        .parse()
        .ok()
        .filter(|rating_a| (1.0..=200.0).contains(rating_a))
        .ok_or("not a rating: expected ampere from 1 to 200, as in 10 or 7.5")
}
