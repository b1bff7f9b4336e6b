//! The trade's tables, built into the program from `assets/`: rows of CSV, and the value between
//! two points. Each row names its source; what it means is said where it is read.

use serde::de::DeserializeOwned;

/// The rows of a built-in table. A row that does not fit is left out: the tests of the rooms that
/// own the tables see to it that there is none.
pub fn rows<T: DeserializeOwned>(text: &str) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes())
        .into_deserialize()
        .filter_map(Result::ok)
        .collect()
}

/// The value at `x` on the straight lines between points of rising `x`; beyond them the nearest
/// point's. Not-a-number without any point.
pub fn between(points: impl IntoIterator<Item = (f64, f64)>, x: f64) -> f64 {
    let mut before: Option<(f64, f64)> = None;
    for (here_x, here_y) in points {
        if x <= here_x {
            return before.map_or(here_y, |(before_x, before_y)| {
                before_y + (here_y - before_y) * (x - before_x) / (here_x - before_x)
            });
        }
        before = Some((here_x, here_y));
    }
    before.map_or(f64::NAN, |(_, y)| y)
}

/// What is wrong with a built-in table: rows that do not fit, or that name no source.
#[cfg(test)]
pub(crate) fn faults<T: DeserializeOwned>(text: &str) -> Vec<String> {
    const MARKS: [&str; 5] = ["read", "memory", "second-hand", "computed", "practice"];
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headers = reader.headers().unwrap().clone();
    let column = |name: &str| headers.iter().position(|header| header == name).unwrap();
    let (mark, source) = (column("mark"), column("source"));
    let mut faults = Vec::new();
    for record in reader.records() {
        let record = record.unwrap();
        if let Err(error) = record.deserialize::<T>(Some(&headers)) {
            faults.push(format!("{record:?}: {error}"));
        }
        if !MARKS.contains(&&record[mark]) || record[source].len() < 10 {
            faults.push(format!("{record:?}: no mark or no source"));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_points_the_line_holds_and_beyond_them_the_nearest() {
        let points = [(0.0, 10.0), (2.0, 20.0), (4.0, 0.0)];
        for (x, y) in [
            (-1.0, 10.0),
            (1.0, 15.0),
            (2.0, 20.0),
            (3.0, 10.0),
            (9.0, 0.0),
        ] {
            assert!((between(points, x) - y).abs() < 1e-12, "{x}");
        }
        assert!(between([], 1.0).is_nan());
    }
}
