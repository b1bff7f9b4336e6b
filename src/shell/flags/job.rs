//! The card's flags about the job: complaint, owner, battery at rest, what else is noted.

use clap::Args;

use crate::reading::amount;
use crate::session::card::{Card, Rest};

/// What is known of the job besides car, limit and meter.
#[derive(Debug, Default, Args)]
#[command(next_help_heading = "Card")]
pub struct JobFlags {
    /// The complaint, in the customer's words
    #[arg(long, value_name = "TEXT")]
    pub complaint: Option<String>,
    /// After standing how long the battery was flat: 12h, 3d
    #[arg(long, value_name = "TIME", value_parser = amount::time_s)]
    pub flat_after: Option<f64>,
    /// How long the owner needs the car to stand and still start: 21d
    #[arg(long, value_name = "TIME", value_parser = amount::time_s)]
    pub standing: Option<f64>,
    /// The battery's voltage at rest, for how long it had rested and how warm: 12.4V,4h,10C
    #[arg(long, value_name = "REST")]
    pub rest: Option<Rest>,
    /// The meter, clamp or shunt, in the workshop's words
    #[arg(long, value_name = "TEXT")]
    pub meter_name: Option<String>,
    /// How many keys came with the car
    #[arg(long, value_name = "N")]
    pub key_count: Option<u32>,
    /// Who measures
    #[arg(long, value_name = "TEXT")]
    pub technician: Option<String>,
    /// The number plate
    #[arg(long, value_name = "TEXT")]
    pub plate: Option<String>,
    /// What the odometer shows: "84120 km"
    #[arg(long, value_name = "TEXT")]
    pub odometer: Option<String>,
    /// What the battery's own test said: "640 A of 760 A-EN, good"
    #[arg(long, value_name = "TEXT")]
    pub battery_test: Option<String>,
    /// Whatever else should be on the sheet
    #[arg(long, value_name = "TEXT")]
    pub notes: Option<String>,
}

impl JobFlags {
    /// The card that holds what these flags say and nothing else.
    #[must_use]
    pub fn card(&self) -> Card {
        Card {
            complaint: self.complaint.clone(),
            flat_after_s: self.flat_after,
            required_standing_s: self.standing,
            rest: self.rest,
            meter: self.meter_name.clone(),
            key_count: self.key_count,
            technician: self.technician.clone(),
            plate: self.plate.clone(),
            odometer: self.odometer.clone(),
            battery_test: self.battery_test.clone(),
            notes: self.notes.clone(),
            ..Card::default()
        }
    }
}
