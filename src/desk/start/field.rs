//! The fields of the start card: one table for the screen, the check and the session.

/// One field.
#[derive(Debug, PartialEq, Eq)]
pub struct Field {
    /// Its key in a card file.
    pub key: &'static str,
    /// What the screen calls it.
    pub label: &'static str,
    /// What holds while it is empty.
    pub silent: &'static str,
    /// A line that explains it.
    pub help: &'static str,
}

const fn field(
    key: &'static str,
    label: &'static str,
    silent: &'static str,
    help: &'static str,
) -> Field {
    Field {
        key,
        label,
        silent,
        help,
    }
}

/// The keys of the fields that are plain numbers.
pub const NUMBERS: [&str; 2] = ["turns", "key_count"];

/// The key of the field that names a file of its own.
pub const FUSES: &str = "fuses";

/// Every field, in the order of the job. All may stay empty.
#[rustfmt::skip]
pub const FIELDS: &[Field] = &[
    field("car", "car", "not named", "The job number or the plate, in your own words."),
    field("plate", "plate", "not noted", "Printed on the report."),
    field("odometer", "odometer", "not noted", "As it reads, with its unit."),
    field("technician", "technician", "not noted", "Who measures; printed on the report."),
    field("complaint", "complaint", "not told", "What the customer says, as he says it."),
    field("flat_after", "flat after", "not told", "How long it stands before it is flat: 12h or 3d. Gives the draw that would explain it."),
    field("battery", "battery", "not known", "Type and size from its label: agm,70Ah or flooded,rc:120 or efb,70Ah,760A-EN."),
    field("battery_test", "battery test", "not done", "Its result: a bad battery looks like a drain."),
    field("rest", "rest voltage", "not measured", "Measured before anything: volts, how long at rest, degrees: 12.4V,4h,10C."),
    field("standing", "must stand", "not asked", "How long the owner needs it to stand and still start: 21d."),
    field("limit", "limit", "the usual 50 mA", "The maker's figure for the key-off current, as in 30mA."),
    field("sleep_timeout", "sleep time-out", "45 min", "How long the modules may take to sleep, from the maker's data: 30m."),
    field("accuracy", "meter accuracy", "not counted", "From the meter's manual for this range: 1.0%+3 or 0.5%+1mA. Without it U holds only the noise."),
    field("clamp", "clamp", "none", "A clamp on a voltmeter: its output for each ampere, 100mV/A."),
    field("shunt", "shunt", "none", "A shunt on a voltmeter: 0.75mohm or 75mV/100A."),
    field("turns", "turns", "1", "How often the cable passes the clamp's jaws."),
    field("probe_accuracy", "its accuracy", "not counted", "Of the clamp or shunt: 1%."),
    field("drift", "clamp drift", "none", "For a clamp: how far its zero wanders in an hour, as in 5mA/h."),
    field("key_count", "keys", "not counted", "How many keys the car has: each must be far away."),
    field("notes", "notes", "none", "What the next technician should know."),
    field(FUSES, "fuse map", "labels as you type them", "A CSV file with the columns box,position,rating_a,style,feeds."),
];
