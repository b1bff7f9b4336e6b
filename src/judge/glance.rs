//! A glance: a few seconds of readings, for the first look after a mark.
//!
//! Too short for an autocorrelation, so the noise is inflated instead; it is a first look and is
//! labelled as one.

use super::finding::Level;
use crate::reading::Elapsed;
use crate::reading::number::f64_from_usize;
use crate::session::Session;
use crate::signal::track::Track;

/// Neighbouring blocks resemble each other: with a correlation time of 2 to 4 s the mean of a few
/// seconds is known less well than independent blocks would say (measured: `benches/reach.rs`).
const INFLATE: f64 = 1.8;
const BLOCKS_MIN: usize = 2;

/// The mean of a short stretch.
#[derive(Clone, Copy, Debug)]
pub struct Glance {
    a: f64,
    squares: f64,
    blocks: usize,
    resolution_a: f64,
}

impl Glance {
    /// The readings of `from..to`; `None` for fewer than two seconds of them.
    #[must_use]
    pub fn of(session: &Session, from: Elapsed, to: Elapsed) -> Option<Self> {
        let blocks = session.signal().track().between(from, to.plus_secs(-1.0));
        let values: Vec<f64> = blocks
            .iter()
            .filter(|b| b.count > 0)
            .map(|b| f64::from(b.mean_a))
            .collect();
        let n = f64_from_usize(values.len());
        let a = values.iter().sum::<f64>() / n;
        let squares = values.iter().map(|value| (value - a).powi(2)).sum();
        let resolution_a = Track::finest_a(blocks) * session.card().probe().count_in_last_places();
        (values.len() >= BLOCKS_MIN).then_some(Self {
            a,
            squares,
            blocks: values.len(),
            resolution_a,
        })
    }

    /// The change from this glance to a later one.
    #[must_use]
    pub fn to(&self, after: &Self, gain_u: f64) -> Level {
        let (n0, n1) = (f64_from_usize(self.blocks), f64_from_usize(after.blocks));
        let variance = (self.squares + after.squares) / (n0 + n1 - 2.0);
        let noise_u_a = INFLATE * (variance * (1.0 / n0 + 1.0 / n1)).sqrt();
        let rounding_u_a = self.resolution_a.hypot(after.resolution_a) / 12f64.sqrt();
        let a = after.a - self.a;
        let u_a = noise_u_a.hypot(rounding_u_a).hypot(gain_u * a);
        Level { a, u_a: 2.0 * u_a }
    }
}
