//! The car's fuse map: which fuse sits where and what it feeds, as the lid or the wiring diagram
//! says. How a map is written as CSV stands in `map_csv`; what it means for a hunt is `judge`'s work.

mod lid;
mod map_csv;

use serde::{Deserialize, Serialize};

pub use lid::{Meant, as_printed, meant};
pub use map_csv::read;

/// No car has more fuses; a longer list is something else (common practice, no source).
pub const MOST: usize = 400;
/// Nobody reads a longer label (common practice, no source).
pub const LABEL_CHARS: usize = 200;

/// One fuse of the car and the circuit behind it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Circuit {
    /// What a mark calls it: box and position in one, as in `L13`, in a file; in a session as the lid
    /// prints it.
    pub label: String,
    /// The fuse box, as the map writes it; empty when the car has only one.
    #[serde(default, rename = "box", skip_serializing_if = "String::is_empty")]
    pub in_box: String,
    /// The position in that box, as the map writes it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub position: String,
    /// The rating, in ampere.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<f64>,
    /// The style of the fuse, as the map writes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub style: Option<String>,
    /// The parts behind it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub feeds: Vec<String>,
    /// How likely it is to be the drawer, against the others; what it feeds decides when the map
    /// does not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight: Option<f64>,
}

/// The circuit that a typed label means: blanks around it and the case of its letters do not
/// count.
pub fn find<'a>(map: &'a [Circuit], label: &str) -> Option<&'a Circuit> {
    map.iter().find(|circuit| same(&circuit.label, label))
}

/// Whether two labels, or two parts, are one: blanks around them and the case of their letters do
/// not count.
pub fn same(one: &str, other: &str) -> bool {
    let (one, other) = (one.trim(), other.trim());
    if one.is_ascii() && other.is_ascii() {
        return one.eq_ignore_ascii_case(other);
    }
    let (one, other) = (one.chars(), other.chars());
    one.flat_map(char::to_lowercase)
        .eq(other.flat_map(char::to_lowercase))
}

/// What labels are compared by: two have the same where they are one.
pub fn folded(label: &str) -> String {
    let label = label.trim();
    if label.is_ascii() {
        return label.to_ascii_lowercase();
    }
    label.chars().flat_map(char::to_lowercase).collect()
}

/// Box and position in one; a position that has the box's name in it already stands alone. A box
/// that is only a number proves nothing: in box 1 the position 12 is the twelfth.
fn label(in_box: &str, position: &str) -> String {
    let is_named = in_box.contains(char::is_alphabetic);
    let begins = position
        .get(..in_box.len())
        .is_some_and(|begin| same(begin, in_box));
    if is_named && begins {
        position.to_owned()
    } else {
        format!("{in_box}{position}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_is_found_however_it_was_typed() {
        let map = read(b"box,position,rating_a,style,feeds\nD,1,10,mini,map light\n").unwrap();
        assert_eq!(find(&map, " d1 ").unwrap().feeds, ["map light"]);
        assert_eq!(find(&map, "D11"), None);
    }

    #[test]
    fn a_session_file_may_name_the_label_alone() {
        let circuit: Circuit = serde_json::from_str(r#"{"label":"E18"}"#).unwrap();
        assert_eq!(
            serde_json::to_string(&circuit).unwrap(),
            r#"{"label":"E18"}"#
        );
    }
}
