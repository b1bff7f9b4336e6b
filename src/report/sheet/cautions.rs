//! What can hurt or mislead while this work is done (common practice of the trade; a workshop's
//! own rules and the maker's data go before them).

pub(super) const CAUTIONS: &[&str] = &[
    "With a meter in series never crank, switch on, open doors or use big loads: bridge the meter first.",
    "Never put an ammeter across the battery. Negative off first, on last.",
    "A charging battery gives off hydrogen: no sparks near it, goggles on, no rings or watch. Leave a frozen, swollen or leaking one alone.",
    "Airbag circuits and high-voltage vehicles: the maker's waiting times and licensed hands only.",
    "A fuse goes back with the same rating; a blown meter fuse reads 0.000 and looks like success.",
    "Test the battery itself first: a bad one looks like a drain.",
    "The maker's data, local rules and licensed practice go before anything on this sheet.",
];
