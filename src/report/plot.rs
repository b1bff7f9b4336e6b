//! Where everything lies on the printed plot, in units of a drawing 900 wide. What lines and
//! patterns it is drawn with stands in `svg`.
//!
//! Each column shows the lowest and the highest reading in it, so that a spike of one reading is
//! seen in a week.

mod curve;
mod flags;

use super::axis::{self, Decades, Tick};
use super::case::{self, Case};
use crate::judge::finding::Phase;
use crate::reading::{Elapsed, quantity};
pub use curve::{Curve, Point};
pub use flags::{Flag, text_width};

/// The drawing's width.
pub const WIDTH: f64 = 900.0;
const LEFT: f64 = 76.0;
const RIGHT_LEAST: f64 = 18.0;
const CURVES_HIGH: f64 = 236.0;
const HEAD: f64 = 8.0;
/// How high a line of words is.
const LABEL_HIGH: f64 = 17.0;
const BAND_GAP: f64 = 7.0;
const BAND_HIGH: f64 = 20.0;
/// What the time axis and the legend take below the bands.
pub const FOOT: f64 = 76.0;
/// Labels of time on the whole axis, at most.
const TICKS: f64 = 9.0;

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
        let zero = earlier.map_or(Elapsed::ZERO, |_| case.zero());
        let frame = Frame::of(case, zero);
        let frame = earlier.map_or(frame, |other| frame.join(Frame::of(other, other.zero())));
        let share = |t: Elapsed| frame.share(t.secs_since(zero));
        let (flags, room) = flags::place(case, share, WIDTH - LEFT);
        let names_room = if earlier.is_some() { 64.0 } else { RIGHT_LEAST };
        let field = Field {
            left: LEFT,
            top: HEAD + flags::height(&flags),
            width: WIDTH - LEFT - room.max(names_room),
            height: CURVES_HIGH,
        };
        let map = Map {
            frame,
            zero,
            field,
            decades: decades(case, earlier),
        };
        let earlier_map = |other: &Case| Map {
            zero: other.zero(),
            ..map
        };
        let mut curves = Vec::new();
        let mut bands = Vec::new();
        let mut band_y = field.top + field.height + BAND_GAP;
        if let Some(other) = earlier {
            curves.push(curve::curve(other, &earlier_map(other), "before"));
            bands.push(band(other, &earlier_map(other), band_y, "before"));
            band_y += BAND_HIGH + 3.0;
        }
        let name = if earlier.is_some() { "after" } else { "" };
        curves.push(curve::curve(case, &map, name));
        bands.push(band(case, &map, band_y, name));
        let unnamed = flags.iter().filter(|flag| flag.label.is_empty()).count();
        let (times, changes, time_title) = match earlier {
            Some(_) => compared_times(&map),
            None => wall_times(case, &map),
        };
        Self {
            title: title(case, earlier),
            told: told(case, earlier),
            height: band_y + BAND_HIGH + FOOT,
            field,
            currents: ruled(map.decades.labels(), |height| {
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
            limit: limit(case, &map, &curves),
            curves,
            gaps: gaps(case, &map),
            wakes: wakes(case, &map),
            flags: flags::settle(flags, &map),
            unnamed,
            bands,
        }
    }
}

impl Plot {
    /// What a reader may miss, below the picture.
    #[must_use]
    pub fn caption(&self) -> String {
        let unnamed = match self.unnamed {
            0 => String::new(),
            n => format!(" Marks without room for their words: {n}; the table has them all."),
        };
        let whose = match self.curves.len() {
            0 | 1 => "",
            _ => " The marks are those of the record after.",
        };
        format!(
            "{}.{whose} Each column shows the lowest and the highest reading in it.{unnamed}",
            self.title
        )
    }
}

fn ruled(labels: Vec<(f64, String)>, place: impl Fn(f64) -> f64) -> Vec<Ruled> {
    let line = |(at, label)| Ruled {
        at: place(at),
        label,
        below: None,
    };
    labels.into_iter().map(line).collect()
}

/// The limit's words stand where the curves cross them least.
fn limit(case: &Case, map: &Map, curves: &[Curve]) -> Limit {
    let limit = case.judgement.limit;
    let label = format!(
        "limit {} ({})",
        quantity::amount(limit.value),
        limit.from.word()
    );
    let (y, width) = (map.y(limit.value), text_width(&label));
    let room = (map.field.width - width - 14.0).max(0.0);
    let crossed = |x: &f64| -> usize {
        curves
            .iter()
            .map(|curve| curve.crosses(*x, *x + width, y - LABEL_HIGH, y))
            .sum()
    };
    let places = (0..=8).map(|eighths| map.field.left + 7.0 + room * f64::from(eighths) / 8.0);
    let x = places.min_by_key(crossed).unwrap_or(map.field.left);
    Limit { y, x, label }
}

fn decades(case: &Case, earlier: Option<&Case>) -> Decades {
    let limit_a = case.judgement.limit.value;
    let (low, high) = [Some(case), earlier]
        .into_iter()
        .flatten()
        .filter_map(|case| {
            case.session
                .signal()
                .track()
                .extent(Elapsed::from_ms(i64::MIN), Elapsed::from_ms(i64::MAX))
        })
        .filter(|extent| extent.min_a <= extent.max_a)
        .map(|extent| (f64::from(extent.min_a), f64::from(extent.max_a)))
        .fold((limit_a, limit_a), |(low, high), (min_a, max_a)| {
            (low.min(min_a), high.max(max_a))
        });
    Decades::fit(low, high)
}

fn title(case: &Case, earlier: Option<&Case>) -> String {
    let car = case
        .session
        .card()
        .car
        .as_deref()
        .unwrap_or("the parked car");
    match earlier {
        Some(_) => format!("Current of {car}, before and after"),
        None => format!(
            "Current of {car}, from {}",
            case.times.full(case.stretch().0)
        ),
    }
}

fn told(case: &Case, earlier: Option<&Case>) -> String {
    let said = |case: &Case| match &case.judgement.settled {
        Some(settled) => format!(
            "settled at {}",
            quantity::level(settled.level.a, settled.level.u_a)
        ),
        None => "not settled at its end".to_owned(),
    };
    let (from, to) = case.stretch();
    let this = format!(
        "{} of readings, {}; limit {}",
        quantity::span(to.secs_since(from)),
        said(case),
        quantity::amount(case.judgement.limit.value)
    );
    match earlier {
        Some(other) => format!("{this}. Before: {}", said(other)),
        None => this,
    }
}

fn wall_times(case: &Case, map: &Map) -> (Vec<Ruled>, Vec<Ruled>, String) {
    let (from, to) = case.stretch();
    let line = |tick: Tick| Ruled {
        at: map.x(tick.t),
        label: tick.label,
        below: tick.day,
    };
    let times = axis::times(&case.times, from, to, TICKS)
        .into_iter()
        .map(line)
        .collect();
    let changes = case
        .times
        .changes(from, to)
        .into_iter()
        .map(|change| Ruled {
            at: map.x(change.t),
            label: format!("clocks {} to {}", change.from, change.to),
            below: None,
        });
    let title = match (case.times.at(from), case.times.at(to)) {
        (Some(first), Some(last)) if first.offset() == last.offset() => {
            format!("local time, UTC{}", first.offset())
        }
        (Some(first), Some(last)) => format!(
            "local time, UTC{}, later UTC{}",
            first.offset(),
            last.offset()
        ),
        _ => "time since the start".to_owned(),
    };
    (times, changes.collect(), title)
}

fn compared_times(map: &Map) -> (Vec<Ruled>, Vec<Ruled>, String) {
    let labels = axis::spans(map.frame.from_s, map.frame.to_s, TICKS);
    let field = map.field;
    let times = ruled(labels, |s| field.left + map.frame.share(s) * field.width);
    (
        times,
        Vec::new(),
        "time since the lock, or since the start of a record without one".to_owned(),
    )
}

fn band(case: &Case, map: &Map, y: f64, name: &'static str) -> Band {
    let block = |span: &crate::judge::PhaseSpan| {
        let at = map.stretch(span.from, span.to, 1.0);
        let word = span.phase.word();
        let level = span
            .level
            .filter(|_| span.phase != Phase::Falling && span.phase != Phase::Awake);
        let long =
            level.map(|level| format!("{word} {}", quantity::level_alone(level.a, level.u_a)));
        let fits = |text: &String| flags::text_width(text) + 4.0 <= at.width;
        let label = long
            .filter(fits)
            .or_else(|| Some(word.to_owned()).filter(fits));
        Block {
            at,
            phase: span.phase,
            label: label.unwrap_or_default(),
        }
    };
    Band {
        y,
        name,
        blocks: case.judgement.phases.iter().map(block).collect(),
    }
}

fn gaps(case: &Case, map: &Map) -> Vec<Stretch> {
    let blocks = case.session.signal().track().blocks();
    let pairs = blocks.iter().zip(blocks.iter().skip(1));
    let gaps = pairs
        .filter(|(_, next)| next.after_gap)
        .map(|(block, next)| map.stretch(block.from.plus_secs(1.0).min(next.from), next.from, 1.5));
    joined(gaps)
}

fn wakes(case: &Case, map: &Map) -> Vec<Stretch> {
    joined(
        case.judgement
            .wakes
            .iter()
            .map(|wake| map.stretch(wake.from, wake.to, 1.5)),
    )
}

/// Stretches in order, those that touch joined: a week has thousands, a drawing 800 columns.
fn joined(stretches: impl Iterator<Item = Stretch>) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    for next in stretches {
        match out.last_mut().filter(|last| next.x <= last.x + last.width) {
            Some(last) => last.width = (next.x + next.width - last.x).max(last.width),
            None => out.push(next),
        }
    }
    out
}

/// What a flag says of a mark.
fn flag_text(mark: &crate::session::mark::Mark) -> String {
    case::deed(mark)
}
