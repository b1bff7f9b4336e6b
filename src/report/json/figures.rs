//! Figures as the documents write them: rounded to what can mean something.

use serde::Serialize;
use serde_json::{Value, json};

use crate::reading::band::Band;

/// Reasons with their figures rounded like all others, by the unit that ends their name.
pub(crate) fn reason(reasons: &impl Serialize) -> Value {
    let mut value = json!(reasons);
    round(&mut value, 6);
    value
}

fn round(value: &mut Value, decimals: i32) {
    match value {
        Value::Array(items) => items.iter_mut().for_each(|item| round(item, decimals)),
        Value::Object(keys) => {
            for (key, inner) in keys {
                let of_unit = match key.rsplit('_').next() {
                    Some("a") => 7,
                    Some("s") => 3,
                    _ => decimals,
                };
                round(inner, of_unit);
            }
        }
        Value::Number(number) if number.is_f64() => {
            *value = number
                .as_f64()
                .map_or(Value::Null, |n| rounded(n, decimals));
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

/// A figure with its ends.
pub(crate) fn band(band: Band, decimals: i32) -> Value {
    json!({
        "best": rounded(band.best, decimals),
        "low": rounded(band.low, decimals),
        "high": rounded(band.high, decimals),
    })
}

/// A number with so many decimals at most; `null` when it is none.
pub(crate) fn rounded(value: f64, decimals: i32) -> Value {
    let scale = 10f64.powi(decimals);
    // Adding zero turns -0.0 into 0.0.
    Value::from((value * scale).round() / scale + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::judge::reason::TrialReason;

    #[test]
    fn the_figures_of_reasons_are_rounded_by_their_unit() {
        let fell = TrialReason::Fell {
            own_a: Some(0.123_456_789_1),
            later_a: -1e-12,
            stages: 2,
            last_after_s: 10.000_49,
        };
        let expected = json!({
            "code": "fell", "own_a": 0.123_456_8, "later_a": 0.0, "stages": 2, "last_after_s": 10.0,
        });
        assert_eq!(reason(&[Some(fell)]), json!([expected]));
    }
}
