//! The battery's voltage as it is typed: `12.41V`, `12,41 V`, `12410mV`.

use crate::reading::Volts;
use crate::session::volts::BATTERY_V;

/// Whether somebody typed volts where a reading of the current was asked for.
pub(super) fn is_voltage(text: &str) -> bool {
    text.trim().ends_with(['V', 'v'])
}

/// Reads what a voltmeter on the battery shows, keeping every typed place.
pub(super) fn volts(text: &str) -> Result<Volts, String> {
    let typed = text.trim();
    let unclear = || format!("'{typed}' is no voltage: expected for example 12.41V");
    let number = typed.trim_end_matches(['V', 'v']).trim_end();
    let (number, exponent) = match number.strip_suffix(['m', 'M']) {
        Some(number) => (number.trim_end(), -3),
        None => (number, 0),
    };
    if number.is_empty() {
        return Err("type the battery's voltage as it stands on the meter, as in 12.41V".into());
    }
    let volts = Volts::parse_in(&number.replace(',', "."), exponent).map_err(|_| unclear())?;
    if BATTERY_V.contains(&volts.value_v()) {
        return Ok(volts);
    }
    let (least, most) = (BATTERY_V.start(), BATTERY_V.end());
    Err(format!(
        "{volts} V is no 12 V battery: expected {least} V to {most} V on its posts"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn typed_places_are_the_resolution_and_no_battery_is_refused() {
        let read = |text| volts(text).map_or_else(|error| error, |volts| volts.to_string());
        assert_eq!(read("12.41V"), "12.41");
        assert_eq!(read(" 12,410 v"), "12.410");
        assert_eq!(read("12.4"), "12.4");
        assert_eq!(read("12410mV"), "12.410");
        assert!(read("").contains("as in 12.41V"));
        assert!(read("V").contains("as in 12.41V"));
        assert!(read("full V").contains("'full V' is no voltage"));
        assert!(read("1.2.3V").contains("is no voltage"));
        assert!(read("0.05V").contains("3 V to 18 V"));
        assert!(is_voltage("12.41V") && is_voltage("12 v ") && !is_voltage("52m"));
    }
}
