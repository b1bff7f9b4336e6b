//! The plot as numbers: samples, axes, marks and phases for so many cells.

use chrono::Timelike;

use super::count;
use crate::chart::currents::Currents;
use crate::chart::lanes::Lanes;
use crate::chart::{Window, joined};
use crate::desk::{Model, Scale, TimeAxis};
use crate::judge::finding::{Phase, PhaseSpan};
use crate::reading::Elapsed;
use crate::screen::counted::Counted;
use crate::screen::trace::{self, TraceColumn};
use crate::screen::{Areas, width};
use crate::session::Placed;
use crate::signal::track::Track;

/// Cells left of the plot for the labels of the current axis.
pub const GUTTER: u16 = 8;

/// A mark on the plot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlagCells {
    /// The cell in which it was done.
    pub cell: u16,
    /// The cell in which its text begins.
    pub text_cell: u16,
    /// The row of flags that holds its text, from the top.
    pub row: u16,
    /// Its text; empty where there is no room.
    pub text: String,
}

/// One phase in the strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PhaseCells {
    /// Which.
    pub phase: Phase,
    /// Its first cell.
    pub from: u16,
    /// The cell after its last.
    pub to: u16,
}

/// Current against time.
#[derive(Clone, Debug, PartialEq)]
pub struct TracePlot {
    /// The stretch of the session that is shown.
    pub window: Window,
    /// Cells beside the gutter.
    pub cells: u16,
    /// Rows on top that belong to the flags.
    pub flag_rows: u16,
    /// The trace, [`trace::PER_CELL`] columns a cell.
    pub samples: Vec<TraceColumn>,
    /// The current axis.
    pub axis: Currents,
    /// The limit, in ampere.
    pub limit_a: f64,
    /// Marks.
    pub flags: Vec<FlagCells>,
    /// Phases.
    pub strip: Vec<PhaseCells>,
    /// Labelled times: the cell and the label.
    pub times: Vec<(u16, String)>,
    /// Said left of the times.
    pub axis_words: String,
    /// The cell in which the cursor stands.
    pub cursor: Option<u16>,
    /// The cell in which the sleep time-out has run.
    pub timeout: Option<u16>,
    /// Wakes: the first cell and the cell after the last.
    pub wakes: Vec<(u16, u16)>,
}

impl TracePlot {
    /// The moment in the middle of this cell.
    pub fn moment(&self, cell: u16) -> Option<Elapsed> {
        let share = (f64::from(cell) + 0.5) / f64::from(self.cells);
        (cell < self.cells).then(|| self.window.moment(share))
    }

    /// Whether a mark stands in this cell.
    pub fn is_flagged(&self, cell: u16) -> bool {
        self.flags.iter().any(|flag| flag.cell == cell)
    }

    /// For the cells that `areas` gives.
    pub fn of(model: &Model, track: &Track, areas: &Areas) -> Self {
        let cells = areas.plot.width.saturating_sub(GUTTER);
        let (from, to) = model.view().window(model.now());
        let window = Window { from, to };
        let samples = if areas.plot.height == 0 {
            Vec::new()
        } else {
            trace::samples(track, window, cells.saturating_mul(trace::PER_CELL))
        };
        let limit_a = model.judgement().limit.value;
        let (low_a, high_a) = trace::bounds(&samples).unwrap_or((limit_a, limit_a));
        let (low_a, high_a) = (low_a.min(limit_a), high_a.max(limit_a));
        let axis = match model.view().scale {
            // 10 mA to 10 A at least: a picture that stays as it is is read at a glance.
            Scale::Log => Currents::log(low_a.min(0.01), high_a.max(10.0)),
            Scale::Linear => Currents::linear(low_a, high_a),
        };
        let most_flag_rows = match areas.plot.height {
            0..=3 => 0,
            4..=9 => 1,
            10.. => 2,
        };
        let flags = flags(model, window, cells, most_flag_rows);
        let used = |flag: &FlagCells| flag.row.saturating_add(u16::from(!flag.text.is_empty()));
        let cell = |t| window.cell(t, cells);
        let axis_words = if model.view().follows() {
            axis.word()
        } else {
            "earlier"
        };
        Self {
            window,
            cells,
            flag_rows: flags.iter().map(used).max().unwrap_or(0),
            samples,
            axis,
            limit_a,
            flags,
            strip: strip(model, window, cells),
            times: counted(model).ticks(window, cells),
            axis_words: axis_words.into(),
            cursor: model.view().cursor.and_then(cell),
            timeout: model.judgement().now.timeout_at.and_then(cell),
            wakes: wakes(model, window, cells),
        }
    }
}

/// Places the labels from the newest back, each where it has room and touches its own cell.
fn flags(model: &Model, window: Window, cells: u16, rows: usize) -> Vec<FlagCells> {
    let mut lanes = Lanes::new(rows, cells.saturating_add(1));
    let flag = |placed: &Placed| {
        let cell = window.cell(placed.at(), cells)?;
        let full = width::sanitize(&placed.mark.to_string());
        let wanted = width::cells(&full).min(16);
        let place = |taken: u16| {
            let end = taken.saturating_sub(1);
            let start = cell.min(end.saturating_sub(wanted));
            let room = end.saturating_sub(start).min(wanted);
            let fits = room >= 4.min(wanted) && start.saturating_add(room) > cell;
            fits.then_some((start, room))
        };
        let (row, text_cell, room) = lanes.first(place).unwrap_or((0, cell, 0));
        Some(FlagCells {
            cell,
            text_cell,
            row: count(row),
            text: width::clip(&full, room),
        })
    };
    model.session().marks().rev().filter_map(flag).collect()
}

/// What the time axis counts from. Without a stirring, the beginning stands for it.
fn counted(model: &Model) -> Counted {
    match model.view().time {
        TimeAxis::Elapsed => Counted::Elapsed,
        TimeAxis::Clock => {
            let began = model.session().header().started;
            let seconds = f64::from(began.num_seconds_from_midnight());
            Counted::Clock {
                midnight_s: -(seconds + f64::from(began.timestamp_subsec_millis()) / 1000.0),
                day: began.date_naive(),
            }
        }
        TimeAxis::Stirring => Counted::Since {
            zero_s: stirred(model).unwrap_or_default().secs(),
        },
    }
}

/// When the sleep time-out was last started.
pub fn stirred(model: &Model) -> Option<Elapsed> {
    let judgement = model.judgement();
    let ends = judgement.now.timeout_at?;
    Some(ends.plus_secs(-judgement.timeout.value))
}

/// The wakes in sight, each at least one cell; one that still lasts is a phase and no wake yet.
fn wakes(model: &Model, window: Window, cells: u16) -> Vec<(u16, u16)> {
    let judgement = model.judgement();
    let over = judgement.wakes.iter().map(|wake| (wake.from, wake.to));
    let stirring = |span: &&PhaseSpan| span.phase == Phase::Stirring;
    let lasting = judgement.phases.iter().filter(stirring);
    let mut seen: Vec<(u16, u16)> = over
        .chain(lasting.map(|span| (span.from, span.to)))
        .filter(|(from, to)| *to >= window.from && *from <= window.to)
        .filter_map(|(from, to)| window.cells(from, to, cells))
        .collect();
    seen.sort_unstable();
    joined(seen)
}

fn strip(model: &Model, window: Window, cells: u16) -> Vec<PhaseCells> {
    let seen = |span: &&PhaseSpan| span.to > window.from && span.from < window.to;
    let phases = model.judgement().phases.iter().filter(seen);
    phases
        .filter_map(|span| {
            let (from, to) = window.cells(span.from, span.to, cells)?;
            Some(PhaseCells {
                phase: span.phase,
                from,
                to,
            })
        })
        .collect()
}
