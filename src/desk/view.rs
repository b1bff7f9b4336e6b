//! What the board shows of the session: which stretch of time, which scale, which trial, which
//! page. Nothing here changes what is recorded.

use crate::reading::Elapsed;

/// The current axis.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Scale {
    /// Decades: microamperes and ampere on one picture.
    #[default]
    Log,
    /// From zero up.
    Linear,
}

/// The stretches that zooming steps through, in seconds.
const SPANS_S: [f64; 14] = [
    60.0, 120.0, 300.0, 600.0, 1200.0, 1800.0, 3600.0, 7200.0, 14_400.0, 28_800.0, 43_200.0,
    86_400.0, 259_200.0, 604_800.0,
];

/// Half an hour: most sleep time-outs fit.
const FIRST_SPAN: usize = 5;

/// What is looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    span: usize,
    end: Option<Elapsed>,
    /// The current axis.
    pub scale: Scale,
    /// The selected trial, counted from the oldest.
    pub trial: Option<usize>,
    /// Whether the help page is open.
    pub help: bool,
    /// Whether hints show.
    pub hints: bool,
}

impl Default for View {
    fn default() -> Self {
        Self {
            span: FIRST_SPAN,
            end: None,
            scale: Scale::Log,
            trial: None,
            help: false,
            hints: true,
        }
    }
}

impl View {
    /// How long a stretch is shown, in seconds.
    #[must_use]
    pub fn span_s(&self) -> f64 {
        SPANS_S.get(self.span).copied().unwrap_or(1800.0)
    }

    /// Whether the picture follows the present.
    #[must_use]
    pub const fn follows(&self) -> bool {
        self.end.is_none()
    }

    /// The stretch to draw when the present is `now`. A young session fills it from the left.
    #[must_use]
    pub fn window(&self, now: Elapsed) -> (Elapsed, Elapsed) {
        let span_s = self.span_s();
        let end = self.end.unwrap_or(now).max(Elapsed::from_secs(span_s));
        (end.plus_secs(-span_s), end)
    }

    /// Shows a shorter stretch.
    pub fn zoom_in(&mut self) {
        self.span = self.span.saturating_sub(1);
    }

    /// Shows a longer stretch.
    pub fn zoom_out(&mut self) {
        self.span = self.span.saturating_add(1).min(SPANS_S.len() - 1);
    }

    /// Moves the picture by a quarter of its stretch, at most to the beginning.
    pub fn earlier(&mut self, now: Elapsed) {
        let (from, to) = self.window(now);
        if from > Elapsed::ZERO {
            self.end = Some(to.plus_secs(-self.span_s() / 4.0));
        }
    }

    /// Moves the picture towards the present; there it follows again.
    pub fn later(&mut self, now: Elapsed) {
        if let Some(end) = self.end {
            let end = end.plus_secs(self.span_s() / 4.0);
            self.end = (end < now).then_some(end);
        }
    }

    /// Follows the present again.
    pub const fn to_now(&mut self) {
        self.end = None;
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
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_young_session_fills_the_picture_from_the_left() {
        let view = View::default();
        let (from, to) = view.window(Elapsed::from_secs(60.0));
        assert_eq!(from, Elapsed::ZERO);
        assert_eq!(to, Elapsed::from_secs(1800.0));
    }

    #[test]
    fn panning_holds_still_while_time_goes_on_and_comes_back_to_now() {
        let mut view = View::default();
        view.earlier(Elapsed::from_secs(7200.0));
        let held = view.window(Elapsed::from_secs(7200.0));
        assert_eq!(held, view.window(Elapsed::from_secs(7300.0)));
        view.later(Elapsed::from_secs(7200.0));
        assert!(view.follows());
    }

    #[test]
    fn zoom_stops_at_both_ends() {
        let mut view = View::default();
        for _ in 0..50 {
            view.zoom_in();
        }
        assert!((view.span_s() - 60.0).abs() < 1e-9);
        for _ in 0..50 {
            view.zoom_out();
        }
        assert!((view.span_s() - 604_800.0).abs() < 1e-9);
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
