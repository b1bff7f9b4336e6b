//! What `drop` says, and a sweep over many fuses: the currents that millivolts mean, as lines and
//! as JSON.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::json::figures::rounded;
use super::written::{write_document, write_lines};
use crate::fuse::blade;
use crate::fuse::drop::{Drawn, Fuse};
use crate::fuse::sweep::SweptFuse;
use crate::judge::sweep::Swept;
use crate::judge::words;
use crate::reading::quantity;

/// Writes one JSON document and a line feed.
///
/// # Errors
/// Whatever `out` reports.
pub fn write_json(fuse: &Fuse, drawn: &Drawn, out: impl Write) -> io::Result<()> {
    write_document(out, &document(fuse, drawn))
}

/// Writes lines to read, the current first.
///
/// # Errors
/// Whatever `out` reports.
pub fn write_text(
    fuse: &Fuse,
    drawn: &Drawn,
    gave_accuracy: bool,
    out: impl Write,
) -> io::Result<()> {
    write_lines(out, &lines(fuse, drawn, gave_accuracy))
}

fn amps(a: f64) -> Value {
    rounded(a, 7)
}

/// A sweep for `judge --json`, the largest current first.
pub(super) fn sweep(swept: &Swept) -> Value {
    let left = swept.left.as_ref();
    json!({
        "fuses": swept.sweep.rows.iter().map(row).collect::<Value>(),
        "sum_a": amps(swept.sweep.sum_a),
        "sum_u_a": amps(swept.sweep.sum_u_a),
        "left_a": left.map(|left| amps(left.a)),
        "left_u_a": left.map(|left| amps(left.u_a)),
        "why": left.copied().map(words::sweep::left),
    })
}

fn row(row: &SweptFuse) -> Value {
    let mut value = match &row.drawn {
        Ok(drawn) => figures(drawn),
        Err(error) => json!({"a": null, "u_a": null, "text": error.to_string()}),
    };
    if let Some(keys) = value.as_object_mut() {
        keys.insert("what".into(), row.label.as_str().into());
    }
    value
}

fn document(fuse: &Fuse, drawn: &Drawn) -> Value {
    let mut value = json!({
        "style": fuse.printed.map(|printed| printed.style),
        "rating_a": fuse.printed.map(|printed| printed.rating_a),
        "ohms": rounded(drawn.ohms.best, 7),
        "ohms_from": if fuse.ohms.is_some() { "measured" } else { "table" },
    });
    if let (Some(keys), Value::Object(figures)) = (value.as_object_mut(), figures(drawn)) {
        keys.extend(figures);
    }
    value
}

/// `a` is null when the meter showed nothing: `below_a` and `at_most_a` speak then.
fn figures(drawn: &Drawn) -> Value {
    let is_seen = drawn.unseen.is_none();
    json!({
        "a": is_seen.then(|| amps(drawn.a)),
        "u_a": is_seen.then(|| amps(drawn.u_a())),
        "low_a": amps(drawn.band.low),
        "high_a": amps(drawn.band.high),
        "below_a": drawn.unseen.map(|unseen| amps(unseen.below_a)),
        "at_most_a": drawn.unseen.map(|unseen| amps(unseen.at_most_a)),
        "count_a": amps(drawn.count_a),
        "reversed": drawn.reversed,
        "text": drawn.in_words(),
        "questions": drawn.questions,
    })
}

/// Before words as they sound: an orange fuse, an 80 A and an 11 A fuse, a 10 A fuse.
fn article(words: &str) -> &'static str {
    let first = words.split([' ', '.']).next().unwrap_or_default();
    let is_vowel = first.starts_with(['a', 'e', 'i', 'o', 'u']);
    if is_vowel || first.starts_with('8') || matches!(first, "11" | "18") {
        "an"
    } else {
        "a"
    }
}

fn lines(fuse: &Fuse, drawn: &Drawn, gave_accuracy: bool) -> Vec<String> {
    let milli = drawn.ohms.best * 1e3;
    let from = match fuse.printed {
        Some(printed) if fuse.ohms.is_none() => {
            let colour = blade::colour(printed.rating_a).map(|colour| format!("{colour} "));
            let fuse = format!("{}{printed}", colour.unwrap_or_default());
            format!("cold, {} {fuse} by the table", article(&fuse))
        }
        Some(_) | None => "measured".to_owned(),
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
    use crate::fuse::drop::{Printed, drawn};

    fn said(mv: &str) -> (Value, Vec<String>) {
        let fuse = Fuse {
            printed: Some(Printed {
                style: Style::Blade,
                rating_a: 10.0,
            }),
            ohms: None,
        };
        let drawn = drawn(&fuse, mv.parse().unwrap(), None).unwrap();
        (document(&fuse, &drawn), lines(&fuse, &drawn, false))
    }

    #[test]
    fn the_current_stands_first_with_its_u() {
        let (document, lines) = said("0.40");
        assert!(
            lines[0].starts_with("52 mA \u{b1} 5 mA through 7.70 mOhm"),
            "{lines:?}"
        );
        assert!(lines[0].contains("a red 10 A blade"), "{lines:?}");
        assert_eq!(document["a"], json!(0.051_948_1));
        assert_eq!(document["below_a"], Value::Null);
    }

    #[test]
    fn the_article_goes_by_the_sound() {
        for (words, with) in [
            ("red 10 A blade", "a"),
            ("orange 40 A maxi", "an"),
            ("amber 70 A maxi", "an"),
            ("80 A maxi", "an"),
            ("7.5 A mini", "a"),
            ("100 A bolt-down", "a"),
        ] {
            assert_eq!(article(words), with, "{words}");
        }
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
