//! Millivolts across a fuse to the current through it.
//!
//! The method wakes nothing and shows that a current flows; its exact size is a matter for a
//! clamp or a series meter (a maker's service bulletin, read).

pub mod typed_millivolts;

use std::fmt;

use super::blade::{self, NoTable, Style};
use crate::reading::band::{self, Band};
use crate::reading::{number, quantity};

/// A millivolt reading, and one count of the meter that gave it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Millivolts {
    /// The reading, in millivolts.
    pub mv: f64,
    /// One count, in millivolts.
    pub step_mv: f64,
}

/// A millivolt range's accuracy as its manual gives it: ± (percent of reading + counts).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MvAccuracy {
    /// Percent of the reading.
    pub percent: f64,
    /// Counts of the last place.
    pub counts: f64,
}

impl MvAccuracy {
    /// What the millivolt range of a common handheld meter has: common practice, no source.
    pub const COMMON: Self = Self {
        percent: 0.5,
        counts: 2.0,
    };
}

/// A fuse as it sits in its slot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fuse {
    /// Its build and rating, when known.
    pub printed: Option<Printed>,
    /// Its own resistance when somebody measured it, in ohm.
    pub ohms: Option<f64>,
}

/// What can be seen of a fuse.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Printed {
    /// Its build.
    pub style: Style,
    /// What is printed on it, in ampere.
    pub rating_a: f64,
}

impl fmt::Display for Printed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} A {}", self.rating_a, self.style)
    }
}

/// The current through a fuse.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The current, in ampere, never negative; zero when the meter saw nothing.
    pub a: f64,
    /// The meter's part of U, in ampere.
    pub meter_u_a: f64,
    /// The fuse's part of U, its resistance taken to 5 %, in ampere.
    pub fuse_u_a: f64,
    /// Where the current may lie with a fuse of any make and the meter's error, in ampere.
    pub band: Band,
    /// One count of the meter as a current, in ampere.
    pub count_a: f64,
    /// Set when the meter showed nothing.
    pub unseen: Option<Unseen>,
    /// Whether the reading was negative: the probes, or a feed from the other side.
    pub reversed: bool,
    /// The resistance, in ohm.
    pub ohms: Band,
    /// What is odd about the figures, each a question to the one who typed them.
    pub questions: Vec<String>,
}

/// A current below what the meter can show: never zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unseen {
    /// Half a count, in ampere: below about this by the display.
    pub below_a: f64,
    /// With the meter's own error, in ampere: surely below this.
    pub at_most_a: f64,
}

impl Drawn {
    /// U (k = 2), in ampere.
    pub fn u_a(&self) -> f64 {
        self.meter_u_a.hypot(self.fuse_u_a)
    }

    /// The current in words: `52 mA ± 30 mA`, or `below 25 mA (at most 152 mA)`.
    pub fn in_words(&self) -> String {
        match self.unseen {
            Some(unseen) => format!(
                "below {} (at most {})",
                coarse(unseen.below_a),
                coarse(unseen.at_most_a)
            ),
            None => quantity::level(self.a, self.u_a()),
        }
    }
}

/// Two figures are all that a bound is worth.
fn coarse(a: f64) -> String {
    if a.abs() < f64::MIN_POSITIVE {
        return quantity::amount(0.0);
    }
    let exponent = number::round_to_i64(a.abs().log10().floor());
    let places = i32::try_from(1 - exponent).unwrap_or(0);
    let ten = 10f64.powi(places);
    quantity::amount((a * ten).round() / ten)
}

/// Why no current can be told.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum DropError {
    /// The resistance is not known.
    #[error(transparent)]
    NoTable(#[from] NoTable),
    /// Neither its resistance nor its build and rating are known.
    #[error("which fuse is it? Expected its style and rating, or its measured resistance")]
    Unknown,
    /// The supply stands across it: the reading, in millivolts.
    #[error(
        "{0} mV across a fuse: it is blown or open, and the supply stands across it; expected \
         millivolts, as in 0.40"
    )]
    Blown(f64),
}

/// One count where nobody said: most handheld meters show 0.1 mV (common practice, no source).
pub const COMMON_STEP_MV: f64 = 0.1;

/// The fuse's resistance is taken to 5 %, as of its own make: a rectangle.
const OWN_MAKE_SHARE: f64 = 0.05;

/// A sound blade drops at most 0.18 V at its rated current (data sheet, from memory), so more
/// than half a volt is no drop across an intact one.
const BLOWN_MV: f64 = 500.0;

/// Measured resistances this many times off the table are questioned. A page of the trade equates
/// 6 mV with 60 mA, which would be 100 mΩ: no blade from 2 A up has that.
const ODD_RATIO: f64 = 1.6;

/// From this share of its rating a fuse is warm: its resistance rises to 1.42 times at the full
/// rating (data sheet, from memory). The share: common practice, no source.
const WARM_SHARE: f64 = 0.3;

/// The limit a sweep is most often made for.
const USUAL_LIMIT_A: f64 = 0.050;

/// The current that `read` across `fuse` means.
///
/// # Errors
/// [`DropError`] when the fuse's resistance is not known, or the reading is no drop at all.
pub fn drawn(
    fuse: &Fuse,
    read: Millivolts,
    accuracy: Option<MvAccuracy>,
) -> Result<Drawn, DropError> {
    let mv = read.mv.abs();
    if mv >= BLOWN_MV {
        return Err(DropError::Blown(read.mv));
    }
    let table = fuse.printed.ok_or(DropError::Unknown).and_then(|printed| {
        blade::cold_ohms(printed.style, printed.rating_a).map_err(DropError::from)
    });
    let ohms = match fuse.ohms {
        Some(ohms) => Band::new(
            ohms * (1.0 - OWN_MAKE_SHARE),
            ohms,
            ohms * (1.0 + OWN_MAKE_SHARE),
        ),
        None => table?,
    };
    let accuracy = accuracy.unwrap_or(MvAccuracy::COMMON);
    let is_seen = mv >= read.step_mv / 2.0;
    let shown_mv = if is_seen { mv } else { 0.0 };
    let error_mv = shown_mv * accuracy.percent / 100.0 + accuracy.counts * read.step_mv;
    let expanded_mv = expanded(error_mv);
    let as_a = |mv: f64| mv / 1e3 / ohms.best;
    let a = as_a(shown_mv);
    let drop_mv = Band::new(shown_mv - expanded_mv, shown_mv, shown_mv + expanded_mv);
    let band = band::combined([drop_mv, ohms], |[mv, ohms]| mv / 1e3 / ohms);
    let unseen = (!is_seen).then(|| Unseen {
        below_a: as_a(read.step_mv / 2.0),
        // One count more than the accuracy: the display itself may hold back as much.
        at_most_a: as_a((accuracy.counts + 1.0) * read.step_mv),
    });
    let mut drawn = Drawn {
        a,
        meter_u_a: as_a(expanded_mv),
        fuse_u_a: expanded(OWN_MAKE_SHARE * a),
        band: match unseen {
            Some(unseen) => Band::new(0.0, 0.0, unseen.at_most_a),
            None => band.within(0.0, f64::INFINITY),
        },
        count_a: as_a(read.step_mv),
        unseen,
        reversed: is_seen && read.mv < 0.0,
        ohms,
        questions: Vec::new(),
    };
    drawn.questions = questions(fuse, &drawn, table.ok());
    Ok(drawn)
}

/// U (k = 2) of a rectangle with this half-width.
pub(super) fn expanded(half_width: f64) -> f64 {
    2.0 * half_width / 3f64.sqrt()
}

fn questions(fuse: &Fuse, drawn: &Drawn, table: Option<Band>) -> Vec<String> {
    let mut questions = Vec::new();
    // A fuse without its print may be any: nothing of a rating is asked about it.
    let rating_a = fuse
        .printed
        .map_or(f64::INFINITY, |printed| printed.rating_a);
    if let Some(ohms) = fuse.ohms {
        let milli = ohms * 1e3;
        // The 2 A blade has the most of those that a car's draw goes through.
        let most = blade::cold_ohms(Style::Blade, 2.0).map_or(f64::INFINITY, |ohms| ohms.high);
        match table.zip(fuse.printed) {
            Some((table, printed))
                if !(table.best / ODD_RATIO..=table.best * ODD_RATIO).contains(&ohms) =>
            {
                questions.push(format!(
                    "a {printed} has about {:.1} mOhm, not {milli:.1}: was that read in the right \
                     unit, without the leads?",
                    table.best * 1e3
                ));
            }
            None if rating_a >= 2.0 && ohms > most => questions.push(format!(
                "no fuse from 2 A up has {milli:.1} mOhm: was that read in the right unit, without \
                 the leads?"
            )),
            Some(_) | None => {}
        }
    }
    if drawn.a > rating_a {
        questions.push(format!(
            "{} is more than its {rating_a} A: is the reading in millivolts, and the rating right?",
            quantity::current(drawn.a)
        ));
    } else if drawn.a > WARM_SHARE * rating_a {
        questions.push(
            "at this current the fuse is warm and its resistance higher: it may be up to 1.4 times \
             less"
                .into(),
        );
    }
    if drawn.reversed {
        questions.push(
            "negative: probes turned round, or the circuit is fed from its other side (back-feed)?"
                .into(),
        );
    }
    if drawn.count_a > USUAL_LIMIT_A {
        questions.push(format!(
            "one count of this meter is {} on this fuse: it cannot clear it of a {} draw; read \
             with 0.01 mV",
            quantity::current(drawn.count_a),
            quantity::amount(USUAL_LIMIT_A)
        ));
    }
    questions
}

#[cfg(test)]
mod tests;
