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
        (low.min(block.lowest.1.value_v()), high.max(block.max_v))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::{Event, Message, Options};
    use crate::journal::{header, line};
    use crate::screen::arrange::{Wants, arrange};

    fn desk(lines: &[&str]) -> Model {
        let mut desk = Model::new(header::unknown(), Options::default());
        let entries = lines
            .iter()
            .map(|text| line::read(text.as_bytes()).unwrap());
        tell(&mut desk, 60.0, Event::Appended(entries.collect()));
        desk
    }

    fn tell(desk: &mut Model, t_s: f64, event: Event) {
        let t = Elapsed::from_secs(t_s);
        let _ = desk.update(Message { t, event });
    }

    fn said(line: &Line) -> String {
        line.0.iter().map(|piece| piece.text.as_str()).collect()
    }

    fn plot(desk: &Model) -> VoltsPlot {
        let wants = Wants {
            volts: wanted(desk, 24),
            ..Wants::default()
        };
        VoltsPlot::of(desk, &arrange(80, 24, &wants))
    }

    #[test]
    fn without_volts_nothing_stands_there() {
        let desk = desk(&[r#"{"t":1.000,"a":0.052}"#]);
        assert_eq!((wanted(&desk, 24), wanted(&desk, 60)), (0, 0));
        assert_eq!(newest(&desk, 120), Line::default());
        assert_eq!(plot(&desk), VoltsPlot::default());
        assert_eq!(banner(&desk), None);
    }

    #[test]
    fn a_typed_voltage_tells_its_age_and_a_lost_meters_is_not_shown_as_live() {
        let mut desk = desk(&[r#"{"t":1.000,"v":12.410}"#]);
        assert_eq!(said(&newest(&desk, 80)), "12.410 V 59 s ago");
        let place = || "/dev/ttyUSB1".to_owned();
        tell(
            &mut desk,
            60.0,
            Event::VoltsLink(LinkState::Receiving(place())),
        );
        assert_eq!(banner(&desk), None);
        tell(
            &mut desk,
            61.0,
            Event::VoltsLink(LinkState::Lost("cable".into())),
        );
        assert_eq!(said(&newest(&desk, 120)), "battery --- V");
        let banner = banner(&desk).unwrap();
        assert!(
            banner.starts_with("VOLTS METER LOST since 0:01:01: cable."),
            "{banner}"
        );
        assert!(banner.ends_with("The current is measured on."), "{banner}");
    }

    #[test]
    fn leads_off_the_posts_and_a_wrong_knob_are_the_second_meters() {
        let off = desk(&[r#"{"t":1.000,"v":12.6}"#, r#"{"t":2.000,"v":0.002}"#]);
        assert!(
            banner(&off)
                .unwrap()
                .contains("SHOWS 0.002 V, no 12 V battery")
        );
        let knob = [
            r#"{"t":1.000,"v":12.6}"#,
            r#"{"t":2.000,"volts_meter":{"ac":true}}"#,
        ];
        let knob = banner(&desk(&knob)).unwrap();
        assert!(
            knob.starts_with("VOLTS METER: it shows no DC volts"),
            "{knob}"
        );
        let again = [
            r#"{"t":2.000,"volts_meter":{"held":true}}"#,
            r#"{"t":3.000,"v":12.6}"#,
        ];
        assert_eq!(banner(&desk(&again)), None);
    }

    #[test]
    fn the_curve_joins_readings_but_not_across_a_lost_meter() {
        let mut desk = desk(&[
            r#"{"t":100.000,"v":12.63}"#,
            r#"{"t":200.000,"v":12.41}"#,
            r#"{"t":201.000,"volts_meter":{"lost":"cable"}}"#,
            r#"{"t":400.000,"v":12.52}"#,
        ]);
        tell(&mut desk, 600.0, Event::Tick);
        let plot = plot(&desk);
        assert!((plot.low_v - 12.4).abs() < 1e-9 && (plot.high_v - 12.7).abs() < 1e-9);
        assert!((plot.height(12.55) - 0.5).abs() < 1e-9);
        let (from, to) = desk.view().window(desk.now());
        let window = Window { from, to };
        let at = |t_s: f64| {
            let count = u16::try_from(plot.columns.len()).unwrap();
            let column = window.cell(Elapsed::from_secs(t_s), count).unwrap();
            plot.columns[usize::from(column)]
        };
        assert_eq!(at(100.0), Some((12.63, 12.63)));
        assert_eq!(at(150.0), Some((12.63, 12.63)), "held until the next");
        assert_eq!(at(300.0), None, "the meter was lost");
        assert_eq!(at(400.0), Some((12.52, 12.52)));
        assert_eq!(at(500.0), None, "nothing is known yet");
    }
}
