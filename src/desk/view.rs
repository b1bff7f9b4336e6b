//! What the board shows of the session: which stretch of time, which scale, where the cursor
//! stands, which trial, which page. Nothing here changes what is recorded.

use serde::Deserialize;

use crate::reading::Elapsed;

/// What can lie over the board: what its keys do stands in `amend`, how it looks in `screen`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Panel {
    /// Every key.
    Keys,
    /// What the words on the board mean.
    Words,
    /// Every caution, by its moment.
    Cautions,
    /// Steps that no mark explains, to be claimed.
    Steps,
    /// Every mark, to be moved, renamed or struck.
    Marks,
    /// The fuse map: every position with what is known of it.
    Fuses,
    /// What to do next, why, and what it may still be.
    Plan,
    /// The millivolts read across fuses, as currents.
    Sweep,
    /// The wakes and their hours.
    Wakes,
    /// The whole card of the job, with what is to be said of it.
    Card,
}

/// The current axis.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Scale {
    /// Decades: microamperes and ampere on one picture.
    #[default]
    Log,
    /// From zero up.
    Linear,
}

/// What the time axis counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum TimeAxis {
    /// From the beginning of the session.
    #[default]
    #[serde(rename = "session")]
    Elapsed,
    /// The time of day.
    Clock,
    /// From what last restarted the sleep time-out.
    Stirring,
}

impl TimeAxis {
    /// The one after this, round and round.
    #[must_use]
    pub const fn next(self) -> Self {
        match self {
            Self::Elapsed => Self::Clock,
            Self::Clock => Self::Stirring,
            Self::Stirring => Self::Elapsed,
        }
    }
}

/// The stretches that zooming steps through, in seconds.
const SPANS_S: [f64; 17] = [
    10.0, 20.0, 30.0, 60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0, 7200.0, 14_400.0,
    28_800.0, 43_200.0, 86_400.0, 259_200.0, 604_800.0,
];

/// Half an hour: most sleep time-outs fit.
const FIRST_SPAN: usize = 8;

/// The cursor moves by this part of the stretch: about half a cell of a usual terminal.
const NUDGES: f64 = 160.0;

/// ... but by one second at least: the trace knows nothing finer.
const NUDGE_MIN_S: f64 = 1.0;

/// What is looked at.
#[derive(Clone, Debug, PartialEq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a switch of its own with a key of its own"
)]
pub struct View {
    span: usize,
    end: Option<Elapsed>,
    /// The current axis.
    pub scale: Scale,
    /// The time axis.
    pub time: TimeAxis,
    /// Where the cursor stands, while it is on.
    pub cursor: Option<Elapsed>,
    /// The selected trial, counted from the oldest.
    pub trial: Option<usize>,
    /// The page or list over the board.
    pub panel: Option<Panel>,
    /// The selected row of that list, from the top.
    pub row: usize,
    /// The selected position of the fuse map, counted through all boxes.
    pub fuse: usize,
    /// What was typed of a label in the fuse map.
    pub typed: String,
    /// Whether the value fills the screen.
    pub far: bool,
    /// Whether hints show.
    pub hints: bool,
    /// Whether all sounds are off.
    pub muted: bool,
    /// Whether clicks come to the board and not to the terminal.
    pub mouse: bool,
}

impl Default for View {
    fn default() -> Self {
        Self {
            span: FIRST_SPAN,
            end: None,
            scale: Scale::Log,
            time: TimeAxis::Elapsed,
            cursor: None,
            trial: None,
            panel: None,
            row: 0,
            fuse: 0,
            typed: String::new(),
            far: false,
            hints: true,
            muted: false,
            mouse: false,
        }
    }
}

impl View {
    /// The present with these axes.
    pub fn new(scale: Scale, time: TimeAxis) -> Self {
        Self {
            scale,
            time,
            ..Self::default()
        }
    }

    /// How long a stretch is shown, in seconds.
    pub fn span_s(&self) -> f64 {
        SPANS_S.get(self.span).copied().unwrap_or(1800.0)
    }

    /// Whether the picture follows the present.
    pub const fn follows(&self) -> bool {
        self.end.is_none()
    }

    /// The stretch to draw when the present is `now`. A young session fills it from the left.
    pub fn window(&self, now: Elapsed) -> (Elapsed, Elapsed) {
        let span_s = self.span_s();
        let end = self.end.unwrap_or(now).max(Elapsed::from_secs(span_s));
        (end.plus_secs(-span_s), end)
    }

    /// Shows a shorter stretch.
    pub fn zoom_in(&mut self, now: Elapsed) {
        self.zoom_to(self.span.saturating_sub(1), now);
    }

    /// Shows a longer stretch.
    pub fn zoom_out(&mut self, now: Elapsed) {
        self.zoom_to(self.span.saturating_add(1).min(SPANS_S.len() - 1), now);
    }

    /// What is under the cursor stays where it is on the screen.
    fn zoom_to(&mut self, span: usize, now: Elapsed) {
        let (from, to) = self.window(now);
        self.span = span;
        let Some(cursor) = self.cursor.filter(|at| (from..=to).contains(at)) else {
            return;
        };
        let share = cursor.secs_since(from) / to.secs_since(from).max(1e-3);
        self.show_until(cursor.plus_secs((1.0 - share) * self.span_s()), now);
    }

    fn show_until(&mut self, end: Elapsed, now: Elapsed) {
        self.end = (end < now).then_some(end);
    }

    /// Moves the cursor, or without one the picture, towards the beginning.
    pub fn earlier(&mut self, now: Elapsed) {
        match self.cursor {
            Some(_) => self.nudge(-1.0, now),
            None => self.page_earlier(now),
        }
    }

    /// Moves the cursor, or without one the picture, towards the present.
    pub fn later(&mut self, now: Elapsed) {
        match self.cursor {
            Some(_) => self.nudge(1.0, now),
            None => self.page_later(now),
        }
    }

    /// Moves the picture by a quarter of its stretch, at most to the beginning.
    pub fn page_earlier(&mut self, now: Elapsed) {
        let (from, to) = self.window(now);
        if from > Elapsed::ZERO {
            let by_s = (self.span_s() / 4.0).min(from.secs());
            self.end = Some(to.plus_secs(-by_s));
            self.cursor = self.cursor.map(|at| at.plus_secs(-by_s));
        }
    }

    /// Moves the picture towards the present; there it follows again.
    pub fn page_later(&mut self, now: Elapsed) {
        if let Some(end) = self.end {
            let by_s = self.span_s() / 4.0;
            self.show_until(end.plus_secs(by_s), now);
            self.cursor = self.cursor.map(|at| at.plus_secs(by_s).min(now));
        }
    }

    /// Follows the present again, without a cursor.
    pub const fn to_now(&mut self) {
        self.end = None;
        self.cursor = None;
    }

    /// Puts the cursor on: at the present, or in the middle of an earlier picture. Or takes it off.
    pub fn toggle_cursor(&mut self, now: Elapsed) {
        self.cursor = match (self.cursor, self.end) {
            (Some(_), _) => None,
            (None, None) => Some(now),
            (None, Some(end)) => Some(end.plus_secs(-self.span_s() / 2.0).max(Elapsed::ZERO)),
        };
    }

    /// Puts the cursor on this moment and brings it into the picture.
    pub fn point_at(&mut self, t: Elapsed, now: Elapsed) {
        let t = t.clamp(Elapsed::ZERO.min(now), now);
        self.cursor = Some(t);
        let (from, to) = self.window(now);
        if !(from..=to).contains(&t) {
            self.show_until(t.plus_secs(self.span_s() / 2.0), now);
        }
    }

    fn nudge(&mut self, by: f64, now: Elapsed) {
        if let Some(at) = self.cursor {
            let step_s = (self.span_s() / NUDGES).max(NUDGE_MIN_S);
            self.point_at(at.plus_secs(by * step_s), now);
        }
    }

    /// Selects the next older trial, beginning with the newest of `count`.
    pub const fn next_trial(&mut self, count: usize) {
        self.trial = match self.trial {
            Some(at) if at > 0 && at <= count => Some(at - 1),
            _ => count.checked_sub(1),
        };
    }

    /// Selects the next newer trial; past the newest nothing is selected.
    pub fn previous_trial(&mut self, count: usize) {
        self.trial = match self.trial {
            Some(at) => Some(at.saturating_add(1)).filter(|at| *at < count),
            None => count.checked_sub(1),
        };
    }

    /// Opens this page or list, or closes it when it is open.
    pub fn toggle_panel(&mut self, panel: Panel) {
        self.panel = (self.panel != Some(panel)).then_some(panel);
        self.row = 0;
        self.typed.clear();
    }

    /// The help: first the keys, then the words, then the cautions, then closed.
    pub fn next_help(&mut self) {
        const PAGES: [Panel; 3] = [Panel::Keys, Panel::Words, Panel::Cautions];
        let here = PAGES.iter().position(|page| self.panel == Some(*page));
        self.row = 0;
        self.panel = PAGES.get(here.map_or(0, |here| here + 1)).copied();
    }

    /// Moves the selection of a list with `count` rows.
    pub fn move_row(&mut self, down: bool, count: usize) {
        let last = count.saturating_sub(1);
        self.row = if down {
            self.row.saturating_add(1).min(last)
        } else {
            self.row.min(last).saturating_sub(1)
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(t_s: f64) -> Elapsed {
        Elapsed::from_secs(t_s)
    }

    #[test]
    fn a_young_session_fills_the_picture_from_the_left() {
        let view = View::default();
        let (from, to) = view.window(at(60.0));
        assert_eq!(from, Elapsed::ZERO);
        assert_eq!(to, at(1800.0));
    }

    #[test]
    fn panning_holds_still_while_time_goes_on_and_comes_back_to_now() {
        let mut view = View::default();
        view.earlier(at(7200.0));
        let held = view.window(at(7200.0));
        assert_eq!(held, view.window(at(7300.0)));
        view.later(at(7200.0));
        assert!(view.follows());
    }

    #[test]
    fn zoom_reaches_from_ten_seconds_to_a_week_and_stops_there() {
        let mut view = View::default();
        for _ in 0..50 {
            view.zoom_in(at(9000.0));
        }
        assert!((view.span_s() - 10.0).abs() < 1e-9);
        for _ in 0..50 {
            view.zoom_out(at(9000.0));
        }
        assert!((view.span_s() - 604_800.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_under_the_cursor_stays_in_its_place_while_zooming() {
        let now = at(100_000.0);
        let mut view = View::default();
        view.point_at(at(50_000.0), now);
        let share = |view: &View| {
            let (from, to) = view.window(now);
            at(50_000.0).secs_since(from) / to.secs_since(from)
        };
        let before = share(&view);
        for _ in 0..4 {
            view.zoom_in(now);
            assert!((share(&view) - before).abs() < 1e-3, "{view:?}");
        }
        view.to_now();
        assert!(view.follows() && view.cursor.is_none());
    }

    #[test]
    fn the_cursor_takes_the_picture_along_and_stays_within_the_record() {
        let now = at(7200.0);
        let mut view = View::default();
        view.toggle_cursor(now);
        assert_eq!(view.cursor, Some(now));
        for _ in 0..400 {
            view.earlier(now);
        }
        let (from, to) = view.window(now);
        let cursor = view.cursor.unwrap();
        assert!((from..=to).contains(&cursor) && !view.follows());
        for _ in 0..4000 {
            view.earlier(now);
        }
        assert_eq!(view.cursor, Some(Elapsed::ZERO));
        for _ in 0..4000 {
            view.later(now);
        }
        assert_eq!(view.cursor, Some(now));
    }

    #[test]
    fn trials_are_walked_from_the_newest_back_and_round() {
        let mut view = View::default();
        let walk: Vec<_> = std::iter::repeat_with(|| {
            view.next_trial(2);
            view.trial
        })
        .take(3)
        .collect();
        assert_eq!(walk, [Some(1), Some(0), Some(1)]);
        view.previous_trial(2);
        assert_eq!(view.trial, None);
        view.next_trial(0);
        assert_eq!(view.trial, None);
    }
}
