//! The plot as numbers: samples, axes, marks and phases for so many cells.

use chrono::Timelike;

use crate::desk::Model;
use crate::desk::view::TimeAxis;
use crate::judge::finding::Phase;
use crate::reading::Elapsed;
use crate::screen::arrange::Areas;
use crate::screen::axis::{self, Axis, Times};
use crate::screen::trace::{self, Record, Sample};
use crate::screen::width;

/// Cells left of the plot for the labels of the current axis.
pub const GUTTER: u16 = 8;

/// A mark on the plot.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flag {
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
pub struct Stretch {
    /// Which.
    pub phase: Phase,
    /// Its first cell.
    pub from: u16,
    /// The cell after its last.
    pub to: u16,
}

/// Current against time.
#[derive(Clone, Debug, PartialEq)]
pub struct Plot {
    /// The stretch of the session that is shown.
    pub window: (Elapsed, Elapsed),
    /// Cells beside the gutter.
    pub cells: u16,
    /// Rows on top that belong to the flags.
    pub flag_rows: u16,
    /// The trace, [`trace::PER_CELL`] columns a cell.
    pub samples: Vec<Sample>,
    /// The current axis.
    pub axis: Axis,
    /// The limit, in ampere.
    pub limit_a: f64,
    /// Marks.
    pub flags: Vec<Flag>,
    /// Phases.
    pub strip: Vec<Stretch>,
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

impl Plot {
    /// The moment in the middle of this cell.
    #[must_use]
    pub fn moment(&self, cell: u16) -> Option<Elapsed> {
        let (from, to) = self.window;
        let share = (f64::from(cell) + 0.5) / f64::from(self.cells);
        (cell < self.cells).then(|| from.plus_secs(share * to.secs_since(from)))
    }

    /// Whether a mark stands in this cell.
    #[must_use]
    pub fn is_flagged(&self, cell: u16) -> bool {
        self.flags.iter().any(|flag| flag.cell == cell)
    }

    /// For the cells that `areas` gives.
    #[must_use]
    pub fn of(model: &Model, record: &impl Record, areas: &Areas) -> Self {
        let cells = areas.plot.width.saturating_sub(GUTTER);
        let (from, to) = model.view().window(model.now());
        let columns = cells.saturating_mul(trace::PER_CELL);
        let samples = if areas.plot.height == 0 {
            Vec::new()
        } else {
            trace::samples(record, from, to, columns)
        };
        let limit_a = model.judgement().limit.value;
        let (low_a, high_a) = trace::bounds(&samples).unwrap_or((limit_a, limit_a));
        let axis = Axis::fit(model.view().scale, low_a.min(limit_a), high_a.max(limit_a));
        let most_flag_rows = match areas.plot.height {
            0..=3 => 0,
            4..=9 => 1,
            10.. => 2,
        };
        let flags = flags(model, from, to, cells, most_flag_rows);
        let used = |flag: &Flag| flag.row.saturating_add(u16::from(!flag.text.is_empty()));
        let flag_rows = flags.iter().map(used).max().unwrap_or(0);
        let cell = |t| trace::cell_of(t, from, to, cells);
        let following = model.view().follows();
        Self {
            window: (from, to),
            cells,
            flag_rows,
            samples,
            axis,
            limit_a,
            flags,
            strip: strip(model, from, to, cells),
            times: axis::times(from.secs(), to.secs(), cells, counted(model))
                .into_iter()
                .filter_map(|(t_s, label)| {
                    let t = Elapsed::from_secs(t_s);
                    Some((trace::cell_of(t, from, to, cells)?, label))
                })
                .collect(),
            axis_words: if following {
                axis.word().into()
            } else {
                "earlier".into()
            },
            cursor: model.view().cursor.and_then(cell),
            timeout: model.judgement().now.timeout_at.and_then(cell),
            wakes: wakes(model, from, to, cells),
        }
    }
}

/// Places the labels from the newest back, each where it has room and touches its own cell.
fn flags(model: &Model, from: Elapsed, to: Elapsed, cells: u16, rows: u16) -> Vec<Flag> {
    let mut free_until = vec![cells; usize::from(rows)];
    let mut flags = Vec::new();
    for placed in model.session().marks().rev() {
        let Some(cell) = trace::cell_of(placed.at(), from, to, cells) else {
            continue;
        };
        let full = width::harmless(&placed.mark.to_string());
        let wanted = width::cells(&full).min(16);
        let mut flag = Flag {
            cell,
            text_cell: cell,
            row: 0,
            text: String::new(),
        };
        for (row, free) in (0u16..).zip(free_until.iter_mut()) {
            let start = cell.min(free.saturating_sub(wanted));
            let room = free.saturating_sub(start).min(wanted);
            if room < 4.min(wanted) || start.saturating_add(room) <= cell {
                continue;
            }
            flag.text_cell = start;
            flag.row = row;
            flag.text = width::clip(&full, room);
            *free = start.saturating_sub(1);
            break;
        }
        flags.push(flag);
    }
    flags
}

/// What the time axis counts from. Without a stirring, the beginning stands for it.
#[must_use]
pub fn counted(model: &Model) -> Times {
    match model.view().time {
        TimeAxis::Elapsed => Times::Elapsed,
        TimeAxis::Clock => {
            let began = model.session().header().started;
            let seconds = f64::from(began.num_seconds_from_midnight());
            Times::Clock {
                midnight_s: -(seconds + f64::from(began.timestamp_subsec_millis()) / 1000.0),
                day: began.date_naive(),
            }
        }
        TimeAxis::Stirring => Times::Since {
            zero_s: stirred(model).unwrap_or_default().secs(),
        },
    }
}

/// When the sleep time-out was last started.
#[must_use]
pub fn stirred(model: &Model) -> Option<Elapsed> {
    let judgement = model.judgement();
    let ends = judgement.now.timeout_at?;
    Some(ends.plus_secs(-judgement.timeout.value))
}

/// The wakes in sight, each at least one cell; one that still lasts is a phase and no wake yet.
fn wakes(model: &Model, from: Elapsed, to: Elapsed, cells: u16) -> Vec<(u16, u16)> {
    let judgement = model.judgement();
    let over = judgement.wakes.iter().map(|wake| (wake.from, wake.to));
    let lasting = judgement
        .phases
        .iter()
        .filter(|span| span.phase == Phase::Stirring)
        .map(|span| (span.from, span.to));
    let mut seen: Vec<(u16, u16)> = over
        .chain(lasting)
        .filter(|(begins, ends)| *ends >= from && *begins <= to)
        .filter_map(|(begins, ends)| {
            let first = trace::cell_of(begins.max(from), from, to, cells)?;
            let last = trace::cell_of(ends.min(to), from, to, cells)?;
            Some((first, last.saturating_add(1)))
        })
        .collect();
    // A week of regular wakes shares its cells.
    seen.sort_unstable();
    seen.dedup();
    seen
}

fn strip(model: &Model, from: Elapsed, to: Elapsed, cells: u16) -> Vec<Stretch> {
    let mut stretches: Vec<Stretch> = Vec::new();
    for span in &model.judgement().phases {
        if span.to <= from || span.from >= to {
            continue;
        }
        let first = trace::cell_of(span.from.max(from), from, to, cells);
        let last = trace::cell_of(span.to.min(to), from, to, cells);
        if let (Some(first), Some(last)) = (first, last) {
            stretches.push(Stretch {
                phase: span.phase,
                from: first,
                to: last.saturating_add(1).min(cells),
            });
        }
    }
    stretches
}
