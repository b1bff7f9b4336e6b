//! The flags of `standing` and `drop`, which reckon without a record.

use clap::{ArgGroup, Args};

use crate::battery::standing::{self, Waking};
use crate::battery::temperature;
use crate::fuse::drop::typed_millivolts::mv_step;
use crate::fuse::{Millivolts, MvAccuracy, Style};
use crate::reading::amount;
use crate::session::card::Battery;

/// Flags of `standing`.
#[derive(Debug, Args)]
#[command(override_usage = concat!(
    "lullboard standing [OPTIONS] --battery <BATTERY>\n",
    "           <--draw <CURRENT>|--flat-after <TIME>|--standing <TIME>>",
))]
#[command(group(ArgGroup::new("asked").required(true).multiple(true)
    .args(["draw", "flat_after", "standing"])))]
pub struct Standing {
    /// The battery: flooded,rc:90 or agm,70Ah
    #[arg(long, value_name = "BATTERY")]
    pub battery: Battery,
    /// The average draw: 30mA
    #[arg(long, value_name = "CURRENT", value_parser = draw_a)]
    pub draw: Option<f64>,
    /// A regular wake out of that draw, its current, length and period: 1.2A,120s,6h
    #[arg(long, value_name = "WAKE", value_parser = standing::waking, requires = "draw")]
    pub wake: Option<Waking>,
    /// The charge it stands with [default: 100%]
    #[arg(long, value_name = "PERCENT", value_parser = amount::share)]
    pub charge: Option<f64>,
    /// The rest voltage that tells the charge; goes before --charge
    #[arg(long, value_name = "VOLTS", value_parser = amount::rest_v)]
    pub volts: Option<f64>,
    /// How long the battery had rested when that was read: 4h
    #[arg(long, value_name = "TIME", value_parser = amount::time_s, requires = "volts")]
    pub rested: Option<f64>,
    /// The charge below which it starts no more [default: 60%]
    #[arg(long, value_name = "PERCENT", value_parser = amount::share)]
    pub no_start: Option<f64>,
    /// Its self-discharge at 25C [default: the usual one of its kind]
    #[arg(long, value_name = "RATE", value_parser = temperature::self_discharge_per_day)]
    pub self_discharge: Option<f64>,
    /// How warm it stands [default: 25C]
    #[arg(long, value_name = "TEMPERATURE", value_parser = amount::temperature_c,
          allow_hyphen_values = true)]
    pub temperature: Option<f64>,
    /// After standing how long it was flat: 12h
    #[arg(long, value_name = "TIME", value_parser = amount::time_s)]
    pub flat_after: Option<f64>,
    /// How long the owner needs it to stand: 21d
    #[arg(long, value_name = "TIME", value_parser = amount::time_s)]
    pub standing: Option<f64>,
    /// Everything, as JSON
    #[arg(long)]
    pub json: bool,
}

/// No parked car draws more for long: a larger number is a slip of the unit. Common practice, no
/// source.
const DRAW_MAX_A: f64 = 20.0;

fn draw_a(text: &str) -> Result<f64, String> {
    let draw_a = amount::current_a(text).map_err(|why| why.to_string())?;
    let parked = (0.0..=DRAW_MAX_A).contains(&draw_a).then_some(draw_a);
    parked.ok_or_else(|| {
        "not a parked car's draw: expected 0 to 20 A with its unit, as in 30mA".into()
    })
}

/// Flags of `drop`.
#[derive(Debug, Args)]
#[command(override_usage = concat!(
    "lullboard drop [OPTIONS]\n",
    "           --style <STYLE> --rating <AMPERE> --mv <MILLIVOLTS>",
))]
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
