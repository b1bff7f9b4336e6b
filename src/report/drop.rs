//! What `drop` says: the current that millivolts across a fuse mean, as lines and as JSON.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::json::rounded;
use crate::fuse::blade;
use crate::fuse::drop::{Drawn, Fuse};
use crate::reading::quantity;

/// Writes one JSON document and a line feed.
///
/// # Errors
/// Whatever `out` reports.
pub fn write_json(fuse: &Fuse, drawn: &Drawn, mut out: impl Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut out, &document(fuse, drawn))?;
    out.write_all(b"\n")?;
    out.flush()
}

/// Writes lines to read, the current first.
///
/// # Errors
/// Whatever `out` reports.
pub fn write_text(
    fuse: &Fuse,
    drawn: &Drawn,
    gave_accuracy: bool,
    mut out: impl Write,
) -> io::Result<()> {
    for line in lines(fuse, drawn, gave_accuracy) {
        writeln!(out, "{line}")?;
    }
    out.flush()
}

fn amps(a: f64) -> Value {
    rounded(a, 7)
}

/// `a` is null when the meter showed nothing: `below_a` and `at_most_a` speak then.
fn document(fuse: &Fuse, drawn: &Drawn) -> Value {
    let is_seen = drawn.unseen.is_none();
    json!({
        "style": fuse.style,
        "rating_a": fuse.rating_a,
        "ohms": rounded(drawn.ohms.best, 7),
        "ohms_from": if fuse.ohms.is_some() { "measured" } else { "table" },
        "a": is_seen.then(|| amps(drawn.a)),
        "u_a": is_seen.then(|| amps(drawn.u_a())),
        "low_a": amps(drawn.band.low),
        "high_a": amps(drawn.unseen.map_or(drawn.band.high, |unseen| unseen.at_most_a)),
        "below_a": drawn.unseen.map(|unseen| amps(unseen.below_a)),
        "at_most_a": drawn.unseen.map(|unseen| amps(unseen.at_most_a)),
        "count_a": amps(drawn.count_a),
        "reversed": drawn.reversed,
        "text": drawn.in_words(),
        "questions": drawn.questions,
    })
}

fn lines(fuse: &Fuse, drawn: &Drawn, gave_accuracy: bool) -> Vec<String> {
    let milli = drawn.ohms.best * 1e3;
    let from = if fuse.ohms.is_some() {
        "measured".to_owned()
    } else {
        let colour = blade::colour(fuse.rating_a).map(|colour| format!("{colour} "));
        let (colour, rating_a, style) = (colour.unwrap_or_default(), fuse.rating_a, fuse.style);
        format!("cold, a {colour}{rating_a} A {style} by the table")
    };
    let mut lines = vec![format!(
        "{} through {milli:.2} mOhm ({from})",
        drawn.in_words()
    )];
    if drawn.unseen.is_none() {
        let (low, high) = (
            quantity::current(drawn.band.low),
            quantity::current(drawn.band.high),
        );
        let makes = if fuse.ohms.is_some() {
            ""
        } else {
            "a fuse of any make and "
        };
        lines.push(format!("  with {makes}the meter's error: {low} to {high}"));
    }
    lines.push(format!(
        "  one count is {}",
        quantity::current(drawn.count_a)
    ));
    if !gave_accuracy {
        lines.push(
            "  the meter's accuracy was not given: 0.5 % + 2 counts is taken (--mv-accuracy)"
                .into(),
        );
    }
    lines.extend(
        drawn
            .questions
            .iter()
            .map(|question| format!("  {question}")),
    );
    lines.push(
        "  it shows that a current flows; for its size take a clamp or a series meter. A cheap \
         fuse without its rating on top tells nothing"
            .into(),
    );
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fuse::blade::Style;
    use crate::fuse::drop::drawn;

    fn said(mv: &str) -> (Value, Vec<String>) {
        let fuse = Fuse {
            style: Style::Blade,
            rating_a: 10.0,
            ohms: None,
        };
        let drawn = drawn(&fuse, mv.parse().unwrap(), None).unwrap();
        (document(&fuse, &drawn), lines(&fuse, &drawn, false))
    }

    #[test]
    fn the_current_stands_first_with_its_u() {
        let (document, lines) = said("0.40");
        assert!(
            lines[0].starts_with("51.9 mA \u{b1} 4.5 mA through 7.70 mOhm"),
            "{lines:?}"
        );
        assert!(lines[0].contains("a red 10 A blade"), "{lines:?}");
        assert_eq!(document["a"], json!(0.051_948_1));
        assert_eq!(document["below_a"], Value::Null);
    }

    #[test]
    fn nothing_shown_has_bounds_and_no_value() {
        let (document, lines) = said("0.0");
        assert!(
            lines[0].starts_with("below 6.5 mA (at most 39 mA)"),
            "{lines:?}"
        );
        assert_eq!(
            (&document["a"], &document["u_a"]),
            (&Value::Null, &Value::Null)
        );
        assert!(document["high_a"].as_f64().unwrap() > 0.038);
    }
}
