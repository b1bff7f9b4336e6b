//! The forms that a field can have: how its text is read, what it can be, how it is shown.

use super::bounds::{self, OutOfBounds};
use super::field::FieldError;
use super::{Accuracy, Battery, Powertrain, Rest};
use crate::fuse::map::{self, Circuit};
use crate::reading::amount::{self, refuse};
use crate::reading::quantity;
use crate::session::typed;

/// One form.
pub(super) struct Form<T: 'static> {
    /// What the help of the flags calls a value; empty where the flag alone says it.
    pub(super) value: &'static str,
    /// Reads it as people type it.
    pub(super) parse: fn(&str) -> Result<T, FieldError>,
    /// In words.
    pub(super) show: fn(&T) -> String,
    /// Takes off what it cannot be, under this name.
    pub(super) sift: fn(&mut Option<T>, &'static str, &mut Vec<OutOfBounds>),
}

pub(super) const TEXT: Form<String> = Form {
    value: "TEXT",
    parse: |text| Ok(text.to_owned()),
    show: String::clone,
    sift: |_, _, _| {},
};

pub(super) const SPAN: Form<f64> = Form {
    value: "TIME",
    parse: |text| Ok(amount::time_s(text)?),
    show: |secs| quantity::span(*secs),
    sift: |slot, field, found| bounds::SPAN.sift(slot, field, found),
};

pub(super) const LIMIT: Form<f64> = Form {
    value: "CURRENT",
    parse: |text| Ok(typed::limit_a(text)?),
    show: |a| quantity::amount(*a),
    sift: |slot, field, found| bounds::LIMIT_A.sift(slot, field, found),
};

pub(super) const ACCURACY: Form<Accuracy> = Form {
    value: "ACCURACY",
    parse: |text| Ok(text.parse()?),
    show: Accuracy::to_string,
    sift: bounds::sift_accuracy,
};

pub(super) const CLAMP: Form<f64> = Form {
    value: "RATIO",
    parse: |text| Ok(typed::clamp_mv_per_a(text)?),
    show: |mv_per_a| format!("{mv_per_a} mV/A"),
    sift: |slot, field, found| bounds::RATIO.sift(slot, field, found),
};

pub(super) const SHUNT: Form<f64> = Form {
    value: "SHUNT",
    parse: |text| Ok(typed::shunt_mohm(text)?),
    show: |mohm| format!("{mohm} mOhm"),
    sift: |slot, field, found| bounds::RATIO.sift(slot, field, found),
};

pub(super) const TURNS: Form<f64> = Form {
    value: "N",
    parse: |text| Ok(typed::turns(text)?),
    show: f64::to_string,
    sift: bounds::sift_turns,
};

pub(super) const PERCENT: Form<f64> = Form {
    value: "PERCENT",
    parse: |text| Ok(typed::percent(text)?),
    show: |percent| format!("{percent} % of the reading"),
    sift: |slot, field, found| bounds::PERCENT.sift(slot, field, found),
};

pub(super) const DRIFT: Form<f64> = Form {
    value: "DRIFT",
    parse: |text| Ok(typed::drift_a_per_h(text)?),
    show: |a_per_h| format!("{} an hour", quantity::amount(*a_per_h)),
    sift: |slot, field, found| bounds::SPAN.sift(slot, field, found),
};

pub(super) const BATTERY: Form<Battery> = Form {
    value: "BATTERY",
    parse: |text| Ok(text.parse()?),
    show: Battery::to_string,
    sift: bounds::sift_battery,
};

pub(super) const REST: Form<Rest> = Form {
    value: "REST",
    parse: |text| Ok(text.parse()?),
    show: Rest::to_string,
    sift: bounds::sift_rest,
};

pub(super) const COUNT: Form<u32> = Form {
    value: "N",
    parse: |text| {
        text.trim()
            .parse()
            .map_err(|_| refuse(text, "a count: expected a whole number, as in 2").into())
    },
    show: u32::to_string,
    sift: |_, _, _| {},
};

pub(super) const ASLEEP: Form<bool> = Form {
    value: "",
    parse: |text| match text.trim().to_lowercase().as_str() {
        "true" | "yes" | "y" | "asleep" => Ok(true),
        "false" | "no" | "n" | "awake" => Ok(false),
        _ => Err(refuse(text, "an answer: expected true or false").into()),
    },
    show: |asleep| if *asleep { "asleep" } else { "awake" }.to_owned(),
    sift: |_, _, _| {},
};

pub(super) const POWERTRAIN: Form<Powertrain> = Form {
    value: "KIND",
    parse: |text| {
        let word = text.trim().replace(' ', "-");
        Powertrain::spelled(&word).ok_or_else(|| {
            refuse(
                text,
                "a powertrain: expected combustion, start-stop, hybrid or electric",
            )
            .into()
        })
    },
    show: Powertrain::to_string,
    sift: |_, _, _| {},
};

/// Its text is that of a file.
pub(super) const MAP: Form<Vec<Circuit>> = Form {
    value: "MAP",
    parse: |text| Ok(map::read(text.as_bytes())?),
    show: |fuses| quantity::counted(fuses.len(), "fuse"),
    sift: bounds::sift_map,
};
