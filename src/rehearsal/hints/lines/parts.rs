//! What the hints say of parts: to unplug, to doubt, to replace, and to open the car for.

/// The other caution: this is where a hand may reach for the wrong plug.
pub(in crate::rehearsal::hints) fn unplug(part: &str) -> String {
    format!(
        "Now the part: press u, type {part}, Enter as you part its plug. Airbag plugs (yellow): \
         only by the maker's procedure."
    )
}

pub(in crate::rehearsal::hints) fn unplugged_wait() -> String {
    "An unplugged part is judged like a pulled fuse: at once means it draws, late means it kept \
     others awake. Wait."
        .into()
}

pub(in crate::rehearsal::hints) fn not_this_part(label: &str) -> String {
    format!("{label} is not the part. Press i and plug it in again.")
}

pub(in crate::rehearsal::hints) fn draws_or_is_kept(label: &str) -> String {
    format!(
        "{label} draws, but is it at fault, or does another part keep it awake? Plug it in (i), \
         and try what else hangs there."
    )
}

/// The caution for hands that open a car with the meter in series.
pub(in crate::rehearsal::hints) fn open_for(part: &str) -> String {
    format!(
        "The {part} sits behind trim. Bridge the meter, then press o and open the car: doors and \
         lamps are too much for it."
    )
}

pub(in crate::rehearsal::hints) fn close_again() -> String {
    "Done in there: latches shut by hand, all doors closed. Press l to lock; the time-out runs \
     anew from there."
        .into()
}

pub(in crate::rehearsal::hints) fn open_for_a_new_one(part: &str) -> String {
    format!(
        "Low enough without the {part}: that is the part. Bridge the meter, press o, and fit a \
         new one."
    )
}

pub(in crate::rehearsal::hints) fn proved_both_ways(part: &str) -> String {
    format!(
        "Away without the {part}, and back with it: proved both ways. Fit a new one: press s, \
         type {part}, Enter as it goes in."
    )
}

pub(in crate::rehearsal::hints) fn try_the_part_again(label: &str) -> String {
    format!(
        "That trial says nothing clear. Plug {label} in again (i), wait until settled, and unplug \
         it once more."
    )
}

pub(in crate::rehearsal::hints) fn it_is_the_part(label: &str) -> String {
    format!(
        "That is the part. Fit a new one: press s, type {label}, and press Enter as it goes in."
    )
}

pub(in crate::rehearsal::hints) fn swap_instead(label: &str, part: &str) -> String {
    format!("A new {label} changes nothing here. Press s and swap the {part}.")
}
