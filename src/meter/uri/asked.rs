//! The options of meters that must be asked: text to options and back.

use super::parse::{Pairs, bad_value, no_option, no_place, number, parsed, switch};
use super::{UriError, option};
use crate::meter::modbus::register::{CountScale, Kind, Order};
use crate::meter::modbus::{Modbus, ModbusOptions, Parity, RegisterTable, Undecided};
use crate::meter::scpi::{Scpi, ScpiOptions};
use crate::meter::{Expects, Rate, Talker};

/// A meter that must be asked.
#[derive(Clone, Debug, PartialEq)]
pub enum AskedMeter {
    /// A bench meter that speaks SCPI.
    Scpi(ScpiOptions),
    /// A panel or shunt meter that speaks Modbus RTU.
    Modbus(ModbusOptions),
}

const SCPI_OPTIONS: &str = "format, rate, remote or conf";
const MODBUS_OPTIONS: &str = "format, unit, register, function, type, order, scale, parity or rate";
const MODBUS_EXAMPLE: &str = "serial:/dev/ttyUSB0?format=modbus&register=0";
/// Addresses of single devices (Serial Line V1.02, 2.2); 0 is for everyone and gets no answer.
const UNITS: std::ops::RangeInclusive<u8> = 1..=247;

/// The question that `format=` names; `None` for a meter that speaks by itself.
pub(super) fn read(pairs: &Pairs, scheme: &'static str) -> Result<Option<AskedMeter>, UriError> {
    let format = pairs.iter().find(|(key, _)| key == "format");
    match format.map(|(_, value)| value.as_str()) {
        Some("scpi") => scpi(pairs, scheme).map(AskedMeter::Scpi).map(Some),
        Some("modbus") => modbus(pairs, scheme).map(AskedMeter::Modbus).map(Some),
        Some(_) | None => Ok(None),
    }
}

fn scpi(pairs: &Pairs, scheme: &'static str) -> Result<ScpiOptions, UriError> {
    let mut options = ScpiOptions::default();
    for (key, value) in pairs {
        match key.as_str() {
            "format" => {}
            "rate" => options.rate = parsed(key, value)?,
            "remote" => options.remote = switch(key, value, [("0", false), ("1", true)])?,
            "conf" => options.checks_function = switch(key, value, [("0", false), ("1", true)])?,
            _ => return Err(no_option(key, scheme, SCPI_OPTIONS)),
        }
    }
    Ok(options)
}

fn modbus(pairs: &Pairs, scheme: &'static str) -> Result<ModbusOptions, UriError> {
    let mut register = None;
    let mut options = ModbusOptions {
        unit: 1,
        function: RegisterTable::default(),
        register: 0,
        kind: None,
        order: None,
        scale: CountScale::default(),
        rate: Rate::default(),
        parity: Parity::default(),
    };
    for (key, value) in pairs {
        match key.as_str() {
            "format" => {}
            "unit" => {
                let expected = "the meter's address, 1 to 247";
                options.unit = number(key, value, expected)?;
                if !UNITS.contains(&options.unit) {
                    return Err(bad_value(key, value, expected));
                }
            }
            "register" => {
                let expected = "a number from 0 to 65535, counted from 0 as on the wire";
                register = Some(number(key, value, expected)?);
            }
            "function" => {
                options.function = match value.as_str() {
                    "3" | "03" => RegisterTable::Holding,
                    "4" | "04" => RegisterTable::Input,
                    _ => return Err(bad_value(key, value, "3 or 4, the two that only read")),
                }
            }
            "type" => {
                let expected = "f32, i16, u16, i32 or u32";
                options.kind = Some(one_of(key, value, Kind::named, expected)?);
            }
            "order" => {
                let expected = "abcd, cdab, badc or dcba";
                options.order = Some(one_of(key, value, Order::named, expected)?);
            }
            "scale" => options.scale = parsed(key, value)?,
            "parity" => {
                options.parity = one_of(key, value, Parity::named, "none, even or odd")?;
            }
            "rate" => options.rate = parsed(key, value)?,
            _ => return Err(no_option(key, scheme, MODBUS_OPTIONS)),
        }
    }
    options.register =
        register.ok_or_else(|| no_place("format=modbus", "register", MODBUS_EXAMPLE))?;
    Ok(options)
}

fn one_of<T>(
    key: &str,
    value: &str,
    named: fn(&str) -> Option<T>,
    expected: &str,
) -> Result<T, UriError> {
    named(value).ok_or_else(|| bad_value(key, value, expected))
}

impl AskedMeter {
    /// The format's name in a URI.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Scpi(_) => "scpi",
            Self::Modbus(_) => "modbus",
        }
    }

    /// The parity bit that the meter must see; all others are read without one.
    pub const fn parity(&self) -> Parity {
        match self {
            Self::Scpi(_) => Parity::None,
            Self::Modbus(options) => options.parity,
        }
    }

    pub(super) fn talker(&self, expects: Expects) -> Result<Box<dyn Talker>, Undecided> {
        Ok(match self {
            Self::Scpi(options) => Box::new(Scpi::new(*options, expects)),
            Self::Modbus(options) => Box::new(Modbus::new(options)?),
        })
    }

    /// Adds what differs from the defaults.
    pub(super) fn tell(&self, query: &mut Vec<String>) {
        query.push(format!("format={}", self.name()));
        match self {
            Self::Scpi(options) => {
                query.extend(option("rate", &options.rate));
                if options.remote {
                    query.push("remote=1".into());
                }
                if !options.checks_function {
                    query.push("conf=0".into());
                }
            }
            Self::Modbus(options) => {
                if options.unit != 1 {
                    query.push(format!("unit={}", options.unit));
                }
                query.push(format!("register={}", options.register));
                if options.function != RegisterTable::default() {
                    query.push(format!("function={}", options.function.code()));
                }
                query.extend(options.kind.map(|kind| format!("type={}", kind.name())));
                query.extend(options.order.map(|order| format!("order={}", order.name())));
                query.extend(option("scale", &options.scale));
                if options.parity != Parity::default() {
                    query.push(format!("parity={}", options.parity.name()));
                }
                query.extend(option("rate", &options.rate));
            }
        }
    }
}
