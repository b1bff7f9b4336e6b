//! Where everything lies on the printed plot, in units of a drawing 900 wide. What lines and
//! patterns it is drawn with stands in `svg`.
//!
//! Each column shows the lowest and the highest reading in it, so that a spike of one reading is
//! seen in a week.

mod axes;
mod bands;
mod curve;
mod flags;
mod told;
mod volts;

use super::case::Case;
use crate::chart::currents::Currents;
use crate::chart::{self, Window};
use crate::judge::finding::Phase;
use crate::reading::Elapsed;
pub use curve::{Curve, CurvePoint};
pub use flags::{Flag, text_width};
pub use volts::VoltsField;

/// The drawing's width.
pub const WIDTH: f64 = 900.0;
const LEFT: f64 = 76.0;
const RIGHT_LEAST: f64 = 18.0;
/// Room for the names of two curves beside them.
const NAMES: f64 = 64.0;
const CURVES_HIGH: f64 = 220.0;
const HEAD: f64 = 8.0;
/// How high a line of words is.
const LABEL_HIGH: f64 = 17.0;
const BAND_GAP: f64 = 7.0;
const BAND_HIGH: f64 = 20.0;
/// What the time axis and the legend take below the bands.
pub const FOOT: f64 = 76.0;

/// The field in which the curves are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveField {
    /// Its left edge.
    pub left: f64,
    /// Its upper edge.
    pub top: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

/// A stretch of the time axis: its left end and its width.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlotSpan {
    /// Its left end.
    pub x: f64,
    /// Its width, wide enough to be seen.
    pub width: f64,
}

/// A stretch in one phase.
#[derive(Clone, Debug, PartialEq)]
pub struct PhaseBlock {
    /// Where.
    pub at: PlotSpan,
    /// Which phase.
    pub phase: Phase,
    /// The words that fit into it.
    pub label: String,
}

/// The phases of one record, as a band.
#[derive(Clone, Debug, PartialEq)]
pub struct PhaseBand {
    /// Its upper edge.
    pub y: f64,
    /// Which record, where there are two.
    pub name: &'static str,
    /// The phases.
    pub blocks: Vec<PhaseBlock>,
}

/// The limit: a line across, and where its words stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// From the top.
    pub y: f64,
    /// Where the words begin.
    pub x: f64,
    /// The words.
    pub label: String,
}

/// A line with its words.
#[derive(Clone, Debug, PartialEq)]
pub struct Ruled {
    /// Where: across for a time, down for a current.
    pub at: f64,
    /// What stands beside it.
    pub label: String,
    /// A second line below.
    pub below: Option<String>,
}

/// The whole picture.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// What it shows, in a line.
    pub title: String,
    /// What it shows, in a sentence for whoever cannot see it.
    pub told: String,
    /// The drawing's height.
    pub height: f64,
    /// Where the curves are.
    pub field: CurveField,
    /// The labelled currents.
    pub currents: Vec<Ruled>,
    /// Fine lines between them.
    pub fine: Vec<f64>,
    /// The labelled times.
    pub times: Vec<Ruled>,
    /// Where the clocks were changed.
    pub changes: Vec<Ruled>,
    /// What the time axis counts.
    pub time_title: String,
    /// The limit.
    pub limit: Limit,
    /// The curves, an earlier record's first.
    pub curves: Vec<Curve>,
    /// The battery's voltage, where it was read.
    pub volts: Option<VoltsField>,
    /// Where evidence is missing.
    pub gaps: Vec<PlotSpan>,
    /// Where the car woke.
    pub wakes: Vec<PlotSpan>,
    /// The marks.
    pub flags: Vec<Flag>,
    /// Marks for whose words there was no room.
    pub unnamed: usize,
    /// The current below which everything lies on the bottom edge, where something does.
    pub bottom_a: Option<f64>,
    /// The phases, an earlier record's first.
    pub bands: Vec<PhaseBand>,
}

/// What the drawing's width stands for, ten seconds at least.
fn window(case: &Case) -> Window {
    let (from, to) = case.stretch();
    let to = to.max(from.plus_secs(10.0));
    Window { from, to }
}

/// Turns moments and currents of one record into places.
#[derive(Clone, Copy, Debug)]
struct Map {
    window: Window,
    field: CurveField,
    currents: Currents,
}

impl Map {
    fn x(&self, t: Elapsed) -> f64 {
        self.field.left + self.window.share(t).clamp(0.0, 1.0) * self.field.width
    }

    fn y(&self, a: f64) -> f64 {
        self.at_height(self.currents.height(a))
    }

    fn at_height(&self, height: f64) -> f64 {
        self.field.top + (1.0 - height) * self.field.height
    }

    fn stretch(&self, from: Elapsed, to: Elapsed, least: f64) -> PlotSpan {
        let x = self.x(from);
        let width = (self.x(to) - x).max(least);
        PlotSpan { x, width }
    }

    /// Stretches in order, those that touch joined.
    fn joined(&self, stretches: impl Iterator<Item = (Elapsed, Elapsed)>) -> Vec<PlotSpan> {
        let ends = stretches.map(|(from, to)| {
            let PlotSpan { x, width } = self.stretch(from, to, 1.5);
            (x, x + width)
        });
        let joined = chart::joined(ends).into_iter();
        joined
            .map(|(x, end)| PlotSpan { x, width: end - x })
            .collect()
    }
}

impl Plot {
    /// The plot of a record; with an earlier one, both from the same start.
    pub fn new(case: &Case, earlier: Option<&Case>) -> Self {
        let earlier = earlier.map(Case::unrepaired);
        let (map, flags) = lay_out(case, earlier);
        let field = map.field;
        // Both from the same zero.
        let earlier_map = |other: &Case| Map {
            window: map.window.later(other.zero().secs_since(case.zero())),
            ..map
        };
        let mut curves = Vec::new();
        let mut bands = Vec::new();
        let mut band_y = field.top + field.height + BAND_GAP;
        let volts = volts::field(case, &map, band_y);
        if let Some(volts) = &volts {
            band_y = volts.bottom() + BAND_GAP;
        }
        if let Some(other) = earlier {
            curves.push(curve::curve(other, &earlier_map(other), "before"));
            bands.push(bands::band(other, &earlier_map(other), band_y, "before"));
            band_y += BAND_HIGH + 3.0;
        }
        let name = if earlier.is_some() { "after" } else { "" };
        curves.push(curve::curve(case, &map, name));
        bands.push(bands::band(case, &map, band_y, name));
        let unnamed = flags.iter().filter(|flag| flag.label.is_empty()).count();
        let (times, changes, time_title) = match earlier {
            Some(_) => axes::compared_times(&map, case.zero()),
            None => axes::wall_times(case, &map),
        };
        Self {
            title: told::title(case, earlier),
            told: told::told(case, earlier),
            height: band_y + BAND_HIGH + FOOT,
            field,
            currents: axes::currents(&map),
            fine: map
                .currents
                .fine()
                .into_iter()
                .map(|height| map.at_height(height))
                .collect(),
            times,
            changes,
            time_title,
            limit: axes::limit(case, &map, &curves),
            curves,
            volts,
            gaps: bands::gaps(case, &map),
            wakes: bands::wakes(case, &map),
            flags: flags::settle(flags, &map),
            unnamed,
            bottom_a: axes::sunk(case, map.currents)
                .or(earlier.and_then(|case| axes::sunk(case, map.currents))),
            bands,
        }
    }
}

/// Finds the places: the field is as wide and as high as the labels of the marks leave it.
fn lay_out(case: &Case, earlier: Option<&Case>) -> (Map, Vec<Flag>) {
    let window = earlier.map_or(window(case), |other| {
        let later_s = case.zero().secs_since(other.zero());
        window(case).join(window(other).later(later_s))
    });
    let share = |t: Elapsed| window.share(t).clamp(0.0, 1.0);
    let (flags, beside) = flags::place(case, share, WIDTH - LEFT);
    let least = if earlier.is_some() {
        NAMES
    } else {
        RIGHT_LEAST
    };
    let field = CurveField {
        left: LEFT,
        top: HEAD + flags::height(&flags),
        width: WIDTH - LEFT - beside.max(least),
        height: CURVES_HIGH,
    };
    let map = Map {
        window,
        field,
        currents: axes::fitted(case, earlier),
    };
    (map, flags)
}
