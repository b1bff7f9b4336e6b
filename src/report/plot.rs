//! Where everything lies on the printed plot, in units of a drawing 900 wide. What lines and
//! patterns it is drawn with stands in `svg`.
//!
//! Each column shows the lowest and the highest reading in it, so that a spike of one reading is
//! seen in a week.

mod axes;
mod bands;
mod curve;
mod flags;
mod words;

use super::axis::Decades;
use super::case::Case;
use crate::judge::finding::Phase;
use crate::reading::Elapsed;
pub use curve::{Curve, Point};
pub use flags::{Flag, text_width};

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
pub struct Field {
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
pub struct Stretch {
    /// Its left end.
    pub x: f64,
    /// Its width, wide enough to be seen.
    pub width: f64,
}

/// A stretch in one phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// Where.
    pub at: Stretch,
    /// Which phase.
    pub phase: Phase,
    /// The words that fit into it.
    pub label: String,
}

/// The phases of one record, as a band.
#[derive(Clone, Debug, PartialEq)]
pub struct Band {
    /// Its upper edge.
    pub y: f64,
    /// Which record, where there are two.
    pub name: &'static str,
    /// The phases.
    pub blocks: Vec<Block>,
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
    pub field: Field,
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
    /// Where evidence is missing.
    pub gaps: Vec<Stretch>,
    /// Where the car woke.
    pub wakes: Vec<Stretch>,
    /// The marks.
    pub flags: Vec<Flag>,
    /// Marks for whose words there was no room.
    pub unnamed: usize,
    /// The current below which everything lies on the bottom edge, where something does.
    pub bottom_a: Option<f64>,
    /// The phases, an earlier record's first.
    pub bands: Vec<Band>,
}

/// The moments that the drawing's width stands for, counted from each record's own zero.
#[derive(Clone, Copy, Debug)]
struct Frame {
    from_s: f64,
    to_s: f64,
}

impl Frame {
    fn of(case: &Case, zero: Elapsed) -> Self {
        let (from, to) = case.stretch();
        let (from_s, to_s) = (from.secs_since(zero), to.secs_since(zero));
        Self {
            from_s,
            to_s: to_s.max(from_s + 10.0),
        }
    }

    fn join(self, other: Self) -> Self {
        Self {
            from_s: self.from_s.min(other.from_s),
            to_s: self.to_s.max(other.to_s),
        }
    }

    fn share(self, s: f64) -> f64 {
        ((s - self.from_s) / (self.to_s - self.from_s)).clamp(0.0, 1.0)
    }
}

/// Turns moments and currents of one record into places.
#[derive(Clone, Copy, Debug)]
struct Map {
    frame: Frame,
    zero: Elapsed,
    field: Field,
    decades: Decades,
}

impl Map {
    fn x(&self, t: Elapsed) -> f64 {
        self.field.left + self.frame.share(t.secs_since(self.zero)) * self.field.width
    }

    fn y(&self, a: f64) -> f64 {
        self.field.top + (1.0 - self.decades.height(a)) * self.field.height
    }

    fn stretch(&self, from: Elapsed, to: Elapsed, least: f64) -> Stretch {
        let x = self.x(from);
        let width = (self.x(to) - x).max(least);
        Stretch { x, width }
    }
}

impl Plot {
    /// The plot of a record; with an earlier one, both from the same start.
    #[must_use]
    pub fn new(case: &Case, earlier: Option<&Case>) -> Self {
        let earlier = earlier.map(Case::unrepaired);
        let (map, flags) = lay_out(case, earlier);
        let field = map.field;
        let earlier_map = |other: &Case| Map {
            zero: other.zero(),
            ..map
        };
        let mut curves = Vec::new();
        let mut bands = Vec::new();
        let mut band_y = field.top + field.height + BAND_GAP;
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
            Some(_) => axes::compared_times(&map),
            None => axes::wall_times(case, &map),
        };
        Self {
            title: words::title(case, earlier),
            told: words::told(case, earlier),
            height: band_y + BAND_HIGH + FOOT,
            field,
            currents: axes::ruled(map.decades.labels(), |height| {
                field.top + (1.0 - height) * field.height
            }),
            fine: map
                .decades
                .fine()
                .into_iter()
                .map(|height| field.top + (1.0 - height) * field.height)
                .collect(),
            times,
            changes,
            time_title,
            limit: axes::limit(case, &map, &curves),
            curves,
            gaps: bands::gaps(case, &map),
            wakes: bands::wakes(case, &map),
            flags: flags::settle(flags, &map),
            unnamed,
            bottom_a: axes::sunk(case, map.decades)
                .or(earlier.and_then(|case| axes::sunk(case, map.decades))),
            bands,
        }
    }
}

/// Finds the places: the field is as wide and as high as the labels of the marks leave it.
fn lay_out(case: &Case, earlier: Option<&Case>) -> (Map, Vec<Flag>) {
    let zero = earlier.map_or(Elapsed::ZERO, |_| case.zero());
    let frame = Frame::of(case, zero);
    let frame = earlier.map_or(frame, |other| frame.join(Frame::of(other, other.zero())));
    let share = |t: Elapsed| frame.share(t.secs_since(zero));
    let (flags, beside) = flags::place(case, share, WIDTH - LEFT);
    let least = if earlier.is_some() {
        NAMES
    } else {
        RIGHT_LEAST
    };
    let field = Field {
        left: LEFT,
        top: HEAD + flags::height(&flags),
        width: WIDTH - LEFT - beside.max(least),
        height: CURVES_HIGH,
    };
    let decades = axes::decades(case, earlier);
    let map = Map {
        frame,
        zero,
        field,
        decades,
    };
    (map, flags)
}
