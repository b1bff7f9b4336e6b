//! The battery's voltage on the board: its newest value, its curve under the current's, and what is
//! wrong with the meter that reads it. Nothing of it stands there in a session without volts.

use super::plot::GUTTER;
use crate::chart::Window;
use crate::desk::{LinkState, Model};
use crate::judge::words;
use crate::reading::{Elapsed, quantity};
use crate::screen::trace::PER_CELL;
use crate::screen::{Areas, Line, Role};
use crate::session::MeterEvent;
use crate::session::volts::VoltsBlock;

/// The curve is never stretched further than this, in volts: a last place is no fall.
const LEAST_V: f64 = 0.2;
/// A value older than this says how old it is: typed ones, and those of a slow logger.
const OLD_S: f64 = 10.0;
/// The axis ends at whole steps of this, in volts.
const STEP_V: f64 = 0.1;

/// Voltage against time, on the time axis of the current.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct VoltsPlot {
    /// Cells beside the gutter.
    pub cells: u16,
    /// The lowest and highest in each column, [`PER_CELL`] a cell; nothing where none was read.
    pub columns: Vec<Option<(f64, f64)>>,
    /// The axis' lower end, in volts.
    pub low_v: f64,
    /// Its upper end.
    pub high_v: f64,
}

/// Rows that the curve would like on a screen so high; none without volts.
pub fn wanted(model: &Model, rows: u16) -> u16 {
    if model.session().volts().blocks().is_empty() {
        return 0;
    }
    match rows {
        0..=29 => 2,
        30..=44 => 3,
        45.. => 4,
    }
}

impl VoltsPlot {
    /// For the cells that `areas` gives.
    pub fn of(model: &Model, areas: &Areas) -> Self {
        if areas.volts.height == 0 {
            return Self::default();
        }
        let cells = areas.volts.width.saturating_sub(GUTTER);
        let (from, to) = model.view().window(model.now());
        let window = Window { from, to };
        let columns = columns(model, window, cells.saturating_mul(PER_CELL));
        let seen = columns.iter().flatten();
        let (low_v, high_v) = seen.fold((f64::MAX, f64::MIN), |(low, high), (least, most)| {
            (low.min(*least), high.max(*most))
        });
        let (low_v, high_v) = if low_v > high_v {
            let last = model.session().volts().last();
            let v = last.map_or(0.0, |(_, volts)| volts.value_v());
            (v, v)
        } else {
            (low_v, high_v)
        };
        let low_v = (low_v / STEP_V).floor() * STEP_V;
        let high_v = ((high_v / STEP_V).ceil() * STEP_V).max(low_v + LEAST_V);
        Self {
            cells,
            columns,
            low_v,
            high_v,
        }
    }

    /// How high a voltage lies, from 0 at the lower end to 1.
    pub fn height(&self, v: f64) -> f64 {
        ((v - self.low_v) / (self.high_v - self.low_v)).clamp(0.0, 1.0)
    }
}

/// Between two readings the one before still holds; where the meter was lost nothing does.
fn columns(model: &Model, window: Window, count: u16) -> Vec<Option<(f64, f64)>> {
    let volts = model.session().volts();
    let blocks = volts.blocks();
    let column = |Window { from, to }| {
        let seen = volts.between(from, to);
        if !seen.is_empty() {
            return Some(extremes(seen));
        }
        let next = blocks.partition_point(|block| block.from < to);
        let before = blocks.get(next.checked_sub(1)?)?;
        let joined = blocks.get(next).is_some_and(|next| !next.after_gap);
        joined.then_some((before.mean_v, before.mean_v))
    };
    window.columns(count).map(column).collect()
}

fn extremes(blocks: &[VoltsBlock]) -> (f64, f64) {
    let all = blocks.iter();
    all.fold((f64::MAX, f64::MIN), |(low, high), block| {
        (low.min(block.min_v), high.max(block.max_v))
    })
}

/// The newest voltage, for the head; a value that may be an old one says so.
pub fn newest(model: &Model, columns: u16) -> Line {
    let Some((at, volts)) = model.session().volts().last() else {
        return Line::default();
    };
    let whose = if columns < 100 { "" } else { "battery " };
    let is_silent = match model.volts_link() {
        Some((LinkState::Receiving(_), _)) | None => false,
        Some(_) => true,
    };
    let is_stray = model.session().volts().stray().is_some();
    if model.options().live && (is_silent || is_stray) {
        return Line::new(Role::Dim, format!("{whose}--- V"));
    }
    let line = Line::new(Role::Dim, whose).and(Role::Strong, format!("{volts} V"));
    let ago_s = model.now().secs_since(at);
    if model.options().live && ago_s >= OLD_S {
        return line.and(Role::Dim, format!(" {} ago", quantity::span(ago_s)));
    }
    line
}

/// The voltage in `from..to`, as the cursor reads it; empty where none was read.
pub fn under_cursor(model: &Model, from: Elapsed, to: Elapsed) -> String {
    let seen = model.session().volts().between(from, to);
    if seen.is_empty() {
        return String::new();
    }
    let (low, high) = extremes(seen);
    let (low, high) = (format!("{low:.2}"), format!("{high:.2}"));
    if low == high {
        format!("  {low} V")
    } else {
        format!("  {low} to {high} V")
    }
}

/// What is wrong with the second meter. The current is measured all the same, and it says so.
pub fn banner(model: &Model) -> Option<String> {
    let clock = quantity::clock;
    let goes_on = "The current is measured on.";
    if let Some((state, since)) = model.volts_link() {
        let since = clock(since);
        let said = match state {
            LinkState::Lost(why) => format!("VOLTS METER LOST since {since}: {why}."),
            LinkState::Unreadable(what) => {
                format!("VOLTS METER NOT UNDERSTOOD since {since}: {what}.")
            }
            LinkState::Waiting(what) => {
                format!("VOLTS METER GIVES NO VOLTS since {since}: {what}.")
            }
            LinkState::Silent => format!("VOLTS METER SILENT since {since}."),
            LinkState::Receiving(_) | LinkState::Opening(_) | LinkState::Ended => String::new(),
        };
        if !said.is_empty() {
            return Some(format!("{said} {goes_on}"));
        }
    }
    if let Some((_, volts)) = model.session().volts().stray() {
        return Some(format!(
            "VOLTS METER SHOWS {volts} V, no 12 V battery: are its probes on the posts, and the right way round? {goes_on}"
        ));
    }
    let said = words::meter::second(&of_display(model)?);
    Some(format!(
        "{}. {goes_on}",
        said.replacen("volts meter", "VOLTS METER", 1)
    ))
}

/// What its display shows instead of live DC volts, while nothing newer disproves it.
fn of_display(model: &Model) -> Option<MeterEvent> {
    let volts = model.session().volts();
    let read_since = |t: Elapsed| volts.last().is_some_and(|(last, _)| last > t);
    let mut shown = None;
    for (t, event) in volts.events() {
        match event {
            MeterEvent::Held(true) | MeterEvent::Ac(true) => {
                shown = (!read_since(*t)).then(|| event.clone());
            }
            MeterEvent::Held(false) | MeterEvent::Ac(false) | MeterEvent::Back(_) => shown = None,
            MeterEvent::Lost(_)
            | MeterEvent::Range(_)
            | MeterEvent::AutoOff(_)
            | MeterEvent::LowCell
            | MeterEvent::Doubt { .. }
            | MeterEvent::Gap { .. } => {}
        }
    }
    shown
}
