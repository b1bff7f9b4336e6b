//! What the bytes of registers mean: whole numbers and floats, in each order in which meters put
//! them, scaled to ampere. Which one a meter uses only its display tells.

use std::fmt;
use std::str::FromStr;

use crate::meter::answered::{Answered, IMPLAUSIBLE};
use crate::reading::{Amps, named};

/// How the bits are to be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// A float of 32 bits (IEEE 754).
    F32,
    /// A signed whole number of 16 bits.
    I16,
    /// An unsigned whole number of 16 bits.
    U16,
    /// A signed whole number of 32 bits.
    I32,
    /// An unsigned whole number of 32 bits.
    U32,
}

/// In which order the bytes come; `Abcd` is the highest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Order {
    /// The highest byte first.
    Abcd,
    /// The low register first.
    Cdab,
    /// Each register with its low byte first.
    Badc,
    /// The lowest byte first.
    Dcba,
}

/// What one unit of a register is in ampere, as an exact decimal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CountScale(Amps);

/// A text that is no scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("what one count is in ampere, as in 0.001 or 0.01mA")]
pub struct ScaleError;

named!(Kind { F32 = "f32", I16 = "i16", U16 = "u16", I32 = "i32", U32 = "u32" });

named!(Order { Abcd = "abcd", Cdab = "cdab", Badc = "badc", Dcba = "dcba" });

impl Kind {
    /// How many registers it takes.
    pub const fn words(self) -> u8 {
        match self {
            Self::I16 | Self::U16 => 1,
            Self::F32 | Self::I32 | Self::U32 => 2,
        }
    }
}

impl Order {
    const fn four(self, [a, b, c, d]: [u8; 4]) -> [u8; 4] {
        match self {
            Self::Abcd => [a, b, c, d],
            Self::Cdab => [c, d, a, b],
            Self::Badc => [b, a, d, c],
            Self::Dcba => [d, c, b, a],
        }
    }

    /// One register has no low and high word, only its bytes.
    const fn two(self, [a, b]: [u8; 2]) -> [u8; 2] {
        match self {
            Self::Abcd | Self::Cdab => [a, b],
            Self::Badc | Self::Dcba => [b, a],
        }
    }
}

impl Default for CountScale {
    /// The register counts amperes.
    fn default() -> Self {
        const ONE: Option<Amps> = Amps::new(1, 0);
        Self(ONE.unwrap_or_else(|| Amps::rounded(1.0, 0)))
    }
}

impl FromStr for CountScale {
    type Err = ScaleError;

    /// Reads `0.001`, `1e-5` or, with its unit, `0.01mA`.
    fn from_str(text: &str) -> Result<Self, ScaleError> {
        let units = [("mA", -3), ("uA", -6), ("A", 0)];
        let (digits, exponent) = units
            .into_iter()
            .find_map(|(unit, exponent)| Some((text.strip_suffix(unit)?, exponent)))
            .unwrap_or((text, 0));
        Amps::parse(digits.trim())
            .ok()
            .and_then(|scale| scale.times_ten_to(exponent))
            .filter(|scale| scale.value_a().abs() > 0.0)
            .map(Self)
            .ok_or(ScaleError)
    }
}

impl fmt::Display for CountScale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// Reads the registers' bytes as `kind`; `None` when there are too few, or for a float beyond
/// every current.
///
/// A whole number at the end of its own range is no number: meters put their codes for
/// over-range there.
pub fn value(bytes: &[u8], kind: Kind, order: Order) -> Option<Answered> {
    let whole = |digits: i64, ends: [i64; 2]| {
        if ends.contains(&digits) {
            Some(Answered::Over)
        } else {
            Amps::new(digits, 0).map(Answered::Number)
        }
    };
    let two = || bytes.first_chunk::<2>().map(|bytes| order.two(*bytes));
    let four = || bytes.first_chunk::<4>().map(|bytes| order.four(*bytes));
    match kind {
        Kind::I16 => whole(
            i16::from_be_bytes(two()?).into(),
            [i16::MIN.into(), i16::MAX.into()],
        ),
        Kind::U16 => whole(u16::from_be_bytes(two()?).into(), [u16::MAX.into(), -1]),
        Kind::I32 => whole(
            i32::from_be_bytes(four()?).into(),
            [i32::MIN.into(), i32::MAX.into()],
        ),
        Kind::U32 => whole(u32::from_be_bytes(four()?).into(), [u32::MAX.into(), -1]),
        Kind::F32 => float(f32::from_be_bytes(four()?)),
    }
}

/// The shortest decimal that is this float: what the meter had before it became one.
fn float(x: f32) -> Option<Answered> {
    if x.is_nan() {
        return Some(Answered::Missing);
    }
    if x.is_infinite() {
        return Some(Answered::Over);
    }
    // No scale makes a current of a number that has too many digits.
    let number = Amps::parse_in(&x.to_string(), 0).ok();
    number.map(Answered::Number)
}

impl Answered {
    /// The value in ampere; `None` when no car could draw it.
    pub fn scaled(self, scale: CountScale) -> Option<Self> {
        let Self::Number(count) = self else {
            return Some(self);
        };
        let scale = scale.0;
        let value_a = count.value_a() * scale.value_a();
        if value_a.abs() >= IMPLAUSIBLE {
            return None;
        }
        let decimals = count.decimals().checked_add(scale.decimals())?;
        let digits = count.digits().checked_mul(scale.digits());
        let exact = digits.and_then(|digits| Amps::new(digits, decimals));
        Some(Self::Number(
            exact.unwrap_or_else(|| Amps::rounded(value_a, decimals)),
        ))
    }
}

/// One way to read the registers.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// As this type.
    pub kind: Kind,
    /// In this order.
    pub order: Order,
    /// Gives this.
    pub value: Answered,
}

/// Below this, and not zero, a float read in the wrong order is likelier than a current.
const TOO_SMALL_A: f64 = 1e-9;

/// Every way to read these bytes that gives a number a meter could mean, scaled to ampere. The
/// one that agrees with the display is the meter's own.
pub fn candidates(bytes: &[u8], scale: CountScale) -> Vec<Way> {
    let ways = Kind::ALL.into_iter().flat_map(|kind| {
        // The four orders are two for a single register.
        let orders = Order::ALL
            .into_iter()
            .filter(move |order| kind.words() == 2 || matches!(order, Order::Abcd | Order::Badc));
        orders.map(move |order| (kind, order))
    });
    ways.filter_map(|(kind, order)| {
        let value = value(bytes, kind, order)?.scaled(scale)?;
        let plausible = match &value {
            Answered::Number(amps) => {
                let size_a = amps.value_a().abs();
                kind != Kind::F32 || size_a >= TOO_SMALL_A || amps.digits() == 0
            }
            Answered::Over => true,
            Answered::Missing => false,
        };
        plausible.then_some(Way { kind, order, value })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(bytes: &[u8], kind: &str, order: &str, scale: &str) -> String {
        let value = value(
            bytes,
            Kind::named(kind).unwrap(),
            Order::named(order).unwrap(),
        )
        .unwrap()
        .scaled(scale.parse().unwrap());
        match value {
            Some(Answered::Number(amps)) => amps.to_string(),
            other => format!("{other:?}"),
        }
    }

    /// The float that a public manual prints: 40 C3 52 93 is 6.10383 (recomputed).
    #[test]
    fn a_published_float_is_read() {
        let text = number(&[0x40, 0xc3, 0x52, 0x93], "f32", "abcd", "1");
        assert!(
            (text.parse::<f64>().unwrap() - 6.10383).abs() < 5e-6,
            "{text}"
        );
    }

    #[test]
    fn the_scale_is_exact_and_keeps_its_places() {
        assert_eq!(number(&[0x04, 0xd2], "i16", "abcd", "0.01mA"), "0.01234");
        assert_eq!(number(&[0xd2, 0x04], "u16", "badc", "1e-3"), "1.234");
        assert_eq!(number(&[0xff, 0xff], "i16", "abcd", "0.5"), "-0.5");
        for text in ["0", "", "mA", "two", "nan"] {
            assert!(text.parse::<CountScale>().is_err(), "{text:?}");
        }
    }

    #[test]
    fn the_right_way_is_among_those_shown() {
        let bytes = [0x2d, 0xb6, 0x3c, 0x4a];
        let ways = candidates(&bytes, CountScale::default());
        let cdab = ways
            .iter()
            .find(|way| way.kind == Kind::F32 && way.order == Order::Cdab)
            .unwrap();
        let Answered::Number(amps) = &cdab.value else {
            panic!("{cdab:?}")
        };
        assert!((amps.value_a() - 0.01234).abs() < 1e-9);
        assert!(ways.iter().any(|way| way.kind == Kind::I16));
        let same = ways.iter().filter(|way| way.kind == Kind::I16).count();
        assert_eq!(same, 2, "one register has two orders");
    }

    #[test]
    fn a_float_no_car_draws_is_no_candidate() {
        let ways = candidates(&[0x7f, 0x00, 0x00, 0x01], CountScale::default());
        assert!(
            !ways.iter().any(|way| way.kind == Kind::F32
                && matches!(way.value, Answered::Number(a) if a.value_a() > 1e5)),
            "{ways:?}"
        );
    }

    proptest::proptest! {
        #[test]
        fn every_way_of_any_bytes_is_a_current_or_none(bytes: [u8; 4]) {
            for way in candidates(&bytes, CountScale::default()) {
                if let Answered::Number(amps) = way.value {
                    assert!(amps.value_a().abs() < IMPLAUSIBLE);
                }
            }
        }
    }
}
