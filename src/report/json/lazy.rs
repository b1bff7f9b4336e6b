//! What is made as it is written: the keys of the document, the items of its lists.

use serde::{Serialize, Serializer};
use serde_json::Value;

pub(super) struct List<'a, T, F> {
    items: &'a [T],
    one: F,
}

impl<T, F: Fn(&T) -> Value> Serialize for List<'_, T, F> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.items.iter().map(&self.one))
    }
}

/// Of `items`, each as `one` writes it.
pub(super) const fn list<T, F: Fn(&T) -> Value>(items: &[T], one: F) -> List<'_, T, F> {
    List { items, one }
}

/// Writes one key after another, each value as it is made.
macro_rules! entries {
    ($map:ident, { $($key:literal: $value:expr),* $(,)? }) => {
        $($map.serialize_entry($key, &$value)?;)*
    };
}
pub(super) use entries;
