//! The table of the card's fields. Session files, card files, flags, the start card, the board's
//! card and the report's all read it: a new field is one row.

use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use super::field::{Access, Field};
use super::{Accuracy, Battery, Powertrain, Rest, form};
use crate::fuse::map::Circuit;

/// A row holds what the field is, its name in a session file, its type and form, then its place in
/// the order of the job, key, label and help. The rows stand in the order in which a session file
/// writes them, so that a file made anew is the same to the byte.
macro_rules! card {
    ($($(#[$doc:meta])* $slot:ident: $type:ty =
        $form:ident($place:literal, $key:literal, $label:literal, $help:expr) $(.$more:ident($($said:expr),*))*;)*
    ) => {
        /// What is known of the job. `None` everywhere means: nobody said.
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
        #[serde(default)]
        pub struct Card {
            $(
                $(#[$doc])*
                #[serde(skip_serializing_if = "Option::is_none")]
                pub $slot: Option<$type>,
            )*
        }

        fn rows() -> Vec<Field> {
            vec![$(Field::new(
                $place,
                Access {
                    slot: stringify!($slot),
                    value: form::$form.value,
                    parse: |text| Ok(Card {
                        $slot: Some((form::$form.parse)(text)?),
                        ..Card::default()
                    }),
                    show: |card| card.$slot.as_ref().map(form::$form.show),
                    sift: |card, field, found| (form::$form.sift)(&mut card.$slot, field, found),
                    merge: |card, change| if change.$slot.is_some() {
                        card.$slot.clone_from(&change.$slot);
                    },
                },
                $key, $label, $help,
            )$(.$more($($said),*))*),*]
        }
    };
}

/// Every field of the card, in the order of the job. All may stay empty.
pub static FIELDS: LazyLock<Vec<Field>> = LazyLock::new(|| {
    let mut fields = rows();
    fields.sort_by_key(|field| field.place);
    fields
});

/// What a fuse map is.
pub const FUSES: &str =
    "The car's fuse map, a CSV with the columns box,position,rating_a,style,feeds[,weight]";

card! {
    /// The car, in the workshop's words.
    car: String = TEXT(10, "car", "car", "The car, in the workshop's words: a job number, a nickname")
        .silent("not named");

    /// The complaint, in the customer's words.
    complaint: String = TEXT(50, "complaint", "complaint", "The complaint, in the customer's words")
        .silent("not told").line().front();

    /// After standing how long the battery was flat, in seconds.
    flat_after_s: f64 = SPAN(60, "flat_after", "flat after",
        "After standing how long the battery was flat: 12h, 3d. Gives the draw that would explain it")
        .silent("not told");

    /// How long the owner needs the car to stand and still start, in seconds.
    required_standing_s: f64 = SPAN(100, "standing", "must stand",
        "How long the owner needs the car to stand and still start: 21d")
        .silent("not asked");

    /// The largest acceptable key-off current, from the maker's data, in ampere.
    limit_a: f64 = LIMIT(110, "limit", "limit",
        "The largest acceptable key-off current, from the maker's data: 50mA")
        .silent("the usual 50 mA");

    /// How long the car's modules may need to fall asleep, in seconds.
    sleep_timeout_s: f64 = SPAN(120, "sleep_timeout", "sleep time-out",
        "How long the modules may take to sleep, from the maker's data: 30m")
        .silent("45 min");

    /// The meter's accuracy on the range in use.
    accuracy: Accuracy = ACCURACY(140, "accuracy", "meter accuracy",
        "From the meter's manual for this range: 1.0%+3 or 0.5%+1mA. Without it a plain handheld is counted, 1.5%+3")
        .silent("a plain handheld, 1.5 % + 3 counts");

    /// What a clamp gives, in millivolts for each ampere, when it hangs on a voltmeter.
    clamp_mv_per_a: f64 = CLAMP(150, "clamp", "clamp",
        "What a clamp on a voltmeter gives for each ampere: 100mV/A")
        .silent("none");

    /// The shunt that a voltmeter measures across, in milliohm.
    shunt_mohm: f64 = SHUNT(160, "shunt", "shunt",
        "The shunt that a voltmeter measures across: 0.75mohm or 75mV/100A")
        .silent("none").excludes(&["clamp", "turns"]);

    /// How often the cable passes through the clamp's jaws.
    turns: f64 = TURNS(170, "turns", "turns", "How often the cable passes through the clamp's jaws: 5")
        .silent("1");

    /// The accuracy of clamp or shunt, in percent of the reading, beside the meter's own.
    probe_accuracy: f64 = PERCENT(180, "probe_accuracy", "probe accuracy",
        "The accuracy of clamp or shunt, beside the meter's own: 1%")
        .silent("not counted");

    /// How fast a clamp's zero wanders, in ampere an hour.
    drift_a_per_h: f64 = DRIFT(190, "drift", "clamp drift",
        "How far a clamp's zero wanders in an hour: 5mA/h")
        .silent("none");

    /// The battery.
    battery: Battery = BATTERY(70, "battery", "battery",
        "Type and size from its label: agm,70Ah or flooded,rc:120 or efb,70Ah,760A-EN")
        .silent("not known").line();

    /// The battery's voltage at rest.
    rest: Rest = REST(90, "rest", "rest voltage",
        "The battery's voltage before anything, how long it had rested and how warm: 12.4V,4h,10C")
        .silent("not measured").line();

    /// The meter, clamp or shunt, in the workshop's words.
    meter: String = TEXT(130, "meter", "meter", "The meter, clamp or shunt, in the workshop's words")
        .flag("meter-name");

    /// How many keys came with the car.
    key_count: u32 = COUNT(200, "key_count", "keys",
        "How many keys came with the car: each must be far away")
        .silent("not counted");

    /// Who measured.
    technician: String = TEXT(40, "technician", "technician", "Who measures, printed on the report")
        .silent("not noted").line();

    /// The number plate.
    plate: String = TEXT(20, "plate", "plate", "The number plate, printed on the report")
        .silent("not noted").line().front();

    /// What the odometer shows, with its unit, as it is read.
    odometer: String = TEXT(30, "odometer", "odometer", "What it shows, with its unit: 84120 km")
        .silent("not noted").line().front();

    /// What the battery's own test said, in the words of whoever tested it.
    battery_test: String = TEXT(80, "battery_test", "battery test",
        "What the battery's own test said: 640 A of 760 A-EN, good")
        .silent("not done").line();

    /// Who hands the report over.
    workshop: String = TEXT(12, "workshop", "workshop", "The workshop's name, printed on the report")
        .silent("not noted").line().front();

    /// Whose car it is.
    customer: String = TEXT(14, "customer", "customer", "The customer's name, printed on the report")
        .silent("not noted").line().front();

    /// The vehicle identification number.
    vin: String = TEXT(25, "vin", "VIN", "The vehicle identification number, printed on the report")
        .silent("not noted").line().front();

    /// The work done, in the workshop's words.
    work: String = TEXT(202, "work", "work done", "The work done, in the workshop's words, printed on the report")
        .silent("not done yet").line().front();

    /// How long the work took, as the workshop counts it.
    hours: String = TEXT(204, "hours", "hours", "How long the work took, with its unit: 1.5 h")
        .silent("not done yet").line().front();

    /// Whatever else should be on the sheet.
    notes: String = TEXT(210, "notes", "notes", "What the next technician should know")
        .silent("none");

    /// What drives the car.
    powertrain: Powertrain = POWERTRAIN(32, "powertrain", "powertrain",
        "What drives the car: combustion, start-stop, hybrid or electric. Cautions hang on it")
        .silent("not said");

    /// Where a second battery sits, or what it feeds.
    second_battery: String = TEXT(75, "second_battery", "second battery",
        "Where a second battery sits, or what it feeds: its current does not pass the meter")
        .silent("none known");

    /// Whether the car was known to be asleep when the record began.
    asleep_at_start: bool = ASLEEP(220, "asleep_at_start", "at the start",
        "Whether the car was asleep when the record began: asleep or awake");

    /// The car's fuse map. A header lifts it out of the card (`journal::header`).
    fuses: Vec<Circuit> = MAP(230, "fuses", "fuse map", FUSES)
        .silent("labels as you type them");
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn no_two_fields_share_a_name() {
        let names = |name: fn(&Field) -> &str| {
            let names: BTreeSet<&str> = FIELDS.iter().map(name).collect();
            names.len()
        };
        for found in [
            names(|field| field.key),
            names(|field| &field.flag),
            names(|field| field.slot()),
            names(|field| field.label),
        ] {
            assert_eq!(found, FIELDS.len());
        }
        let places: BTreeSet<u16> = FIELDS.iter().map(|field| field.place).collect();
        assert_eq!(places.len(), FIELDS.len());
        for field in FIELDS.iter() {
            let known = |key: &&str| FIELDS.iter().any(|other| other.key == *key);
            assert!(field.excludes.iter().all(known), "{field:?}");
            assert!(!field.help.ends_with('.'), "{field:?}");
        }
    }

    /// What each field shows is what was typed: nothing falls off between the two.
    #[test]
    fn every_field_is_read_and_shown() {
        let typed = [
            ("car", "job 12", "job 12"),
            ("workshop", "the shed", "the shed"),
            ("customer", "the owner", "the owner"),
            ("plate", "AB 12", "AB 12"),
            ("vin", "TESTVIN0123456789", "TESTVIN0123456789"),
            ("odometer", "84120 km", "84120 km"),
            ("powertrain", "Start-Stop", "start-stop"),
            ("technician", "bay 3", "bay 3"),
            ("complaint", "flat on Monday", "flat on Monday"),
            ("flat_after", "12h", "12 h"),
            (
                "battery",
                "agm,70Ah,rc:120,760A-EN",
                "AGM, 70 Ah, reserve 120 min, 760 A (EN)",
            ),
            ("second_battery", "in the boot", "in the boot"),
            ("battery_test", "good", "good"),
            ("rest", "12.4V,4h,10C", "12.4 V after 4 h at 10 C"),
            ("standing", "21d", "21 d"),
            ("limit", "30mA", "30 mA"),
            ("sleep_timeout", "30m", "30 min"),
            ("meter", "bench meter", "bench meter"),
            ("accuracy", "1.0%+3", "\u{b1} (1 % + 3 counts)"),
            ("clamp", "100mV/A", "100 mV/A"),
            ("shunt", "0.75mohm", "0.75 mOhm"),
            ("turns", "5", "5"),
            ("probe_accuracy", "1%", "1 % of the reading"),
            ("drift", "5mA/h", "5 mA an hour"),
            ("key_count", "2", "2"),
            ("work", "latch switch fitted", "latch switch fitted"),
            ("hours", "1.5 h", "1.5 h"),
            ("notes", "tow bar", "tow bar"),
            ("asleep_at_start", "true", "asleep"),
            (
                "fuses",
                "box,position,rating_a,style,feeds\nD,4,10,mini,radio\n",
                "1 fuse",
            ),
        ];
        let mut whole = Card::default();
        for (field, (key, text, shown)) in FIELDS.iter().zip(typed) {
            assert_eq!(field.key, key);
            let card = field.read(text).unwrap();
            assert_eq!(field.show(&card).as_deref(), Some(shown), "{key}");
            let others = FIELDS.iter().filter(|other| *other != field);
            assert!(others.clone().all(|other| other.show(&card).is_none()));
            whole.merge(&card);
        }
        assert!(FIELDS.iter().all(|field| field.show(&whole).is_some()));
        assert!(whole.clone().take_out_of_bounds().is_empty());
        let clash = whole.clash().map(|(a, b)| (a.key, b.key));
        assert_eq!(clash, Some(("shunt", "clamp")));
    }

    #[test]
    fn what_a_field_cannot_hold_is_refused_where_it_is_typed() {
        for (key, text, named) in [
            ("limit", "50", "not a limit"),
            ("limit", "fifty", "not a limit"),
            ("sleep_timeout", "99999999d", "a century"),
            ("battery", "agm,7000Ah", "4 to 400"),
            ("battery", "agm,rc:12000", "5 to 1000"),
            ("rest", "12.4V,95C", "12.4V,4h,10C"),
            ("rest", "1240", "12.4V,4h,10C"),
            ("accuracy", "0.0%+0", "above zero, not 0 %"),
            ("accuracy", "200%", "a percentage"),
            ("probe_accuracy", "101%", "1%"),
            ("turns", "0.5", "1 to 100"),
            ("key_count", "two", "as in 2"),
            ("powertrain", "steam", "start-stop, hybrid"),
            ("asleep_at_start", "perhaps", "true or false"),
            ("fuses", "nothing", ""),
        ] {
            let field = FIELDS.iter().find(|field| field.key == key).unwrap();
            let refused = field.read(text).unwrap_err().to_string();
            assert!(refused.contains(named), "{key} {text}: {refused}");
        }
    }
}
