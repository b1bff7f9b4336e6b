//! How moments stand in JSON: seconds as a number with three places.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::reading::Elapsed;

/// Writes a moment as seconds.
///
/// # Errors
/// Whatever the serializer reports.
pub fn serialize<S: Serializer>(t: &Elapsed, serializer: S) -> Result<S::Ok, S::Error> {
    t.secs().serialize(serializer)
}

/// Reads a moment from seconds.
///
/// # Errors
/// When the value is not a number.
pub fn deserialize<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Elapsed, D::Error> {
    f64::deserialize(deserializer).map(Elapsed::from_secs)
}

/// The same for a moment that may be absent.
pub mod option {
    use super::{Deserialize, Deserializer, Elapsed, Serialize, Serializer};

    /// Writes an optional moment as seconds.
    ///
    /// # Errors
    /// Whatever the serializer reports.
    pub fn serialize<S: Serializer>(t: &Option<Elapsed>, s: S) -> Result<S::Ok, S::Error> {
        t.map(Elapsed::secs).serialize(s)
    }

    /// Reads an optional moment from seconds.
    ///
    /// # Errors
    /// When the value is neither a number nor null.
    pub fn deserialize<'de, D: Deserializer<'de>>(d: D) -> Result<Option<Elapsed>, D::Error> {
        Ok(Option::<f64>::deserialize(d)?.map(Elapsed::from_secs))
    }
}
