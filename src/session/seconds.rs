//! How a moment that may be absent stands in JSON: seconds as a number with three places.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::reading::Elapsed;

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
