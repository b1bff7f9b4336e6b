//! Who gets which rows. The present value is served first and the last thing to go.

use ratatui::layout::{Constraint, Layout, Rect};

/// Rows that the parts would like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Wants {
    /// Banners.
    pub banners: u16,
    /// Cautions and replies.
    pub notices: u16,
    /// What the cursor reads.
    pub cursor: u16,
    /// Hints.
    pub hint: u16,
    /// Trials, without their heading.
    pub trials: u16,
    /// The reason of the selected trial.
    pub why: u16,
    /// The keys.
    pub footer: u16,
    /// The battery's voltage, all of it or nothing.
    pub volts: u16,
}

/// Where everything stands, from top to bottom.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Areas {
    /// The whole screen.
    pub all: Rect,
    /// Session, meter, clock, limit.
    pub head: Rect,
    /// What is wrong.
    pub banners: Rect,
    /// The value, the phase, the verdict.
    pub now: Rect,
    /// Current against time.
    pub plot: Rect,
    /// The battery's voltage against the same time.
    pub volts: Rect,
    /// The phases under it.
    pub strip: Rect,
    /// The time under them.
    pub axis: Rect,
    /// What the cursor reads.
    pub cursor: Rect,
    /// The trials with their heading.
    pub trials: Rect,
    /// The reason of the selected one.
    pub why: Rect,
    /// Cautions and replies.
    pub notices: Rect,
    /// Advice.
    pub hint: Rect,
    /// Keys.
    pub footer: Rect,
}

/// Rows still to be given away.
struct FreeRows(u16);

impl FreeRows {
    fn take(&mut self, want: u16) -> u16 {
        let got = want.min(self.0);
        self.0 = self.0.saturating_sub(got);
        got
    }

    /// All of it or nothing.
    fn whole(&mut self, want: u16) -> u16 {
        if want > self.0 { 0 } else { self.take(want) }
    }
}

/// Large digits twice as high need a large screen.
pub const fn is_large(width: u16, height: u16) -> bool {
    width >= 160 && height >= 45
}

/// Gives the rows of a `width` by `height` screen away.
pub fn arrange(width: u16, height: u16, wants: &Wants) -> Areas {
    let mut rows = FreeRows(height);
    let mut now = rows.take(1);
    let mut banners = rows.take(wants.banners.min(1));
    let mut footer = rows.take(1);
    let mut head = rows.take(1);
    now = now.saturating_add(rows.take(1));
    head = head.saturating_add(rows.take(1));
    banners = banners.saturating_add(rows.take(wants.banners.saturating_sub(1)));
    let mut plot = rows.whole(7).saturating_sub(2);
    let under = u16::from(plot > 0);
    let cursor = if plot > 0 { rows.take(wants.cursor) } else { 0 };
    let notices = rows.take(wants.notices);
    now = now.saturating_add(rows.whole(3));
    let why = rows.take(wants.why);
    let mut trials = rows.whole(wants.trials.min(3).saturating_add(1));
    let hint = rows.take(wants.hint);
    footer = footer.saturating_add(rows.take(wants.footer.saturating_sub(1)));
    let volts = if plot > 0 { rows.whole(wants.volts) } else { 0 };
    if is_large(width, height) {
        now = now.saturating_add(rows.whole(6));
    }
    if trials > 0 {
        let more = wants.trials.saturating_sub(3).min(rows.0 / 3);
        trials = trials.saturating_add(rows.take(more));
    }
    if plot > 0 {
        plot = plot.saturating_add(rows.take(height));
    }

    // Rows that nobody took stay empty above the keys.
    let heights = [
        head, banners, now, plot, volts, under, under, cursor, trials, why, notices, hint, rows.0,
        footer,
    ];
    let all = Rect::new(0, 0, width, height);
    let places: [Rect; 14] = all.layout(&Layout::vertical(heights.map(Constraint::Length)));
    let [head, banners, now, plot, volts, strip, axis, rest @ ..] = places;
    let [cursor, trials, why, notices, hint, _nobody, footer] = rest;
    Areas {
        all,
        head,
        banners,
        now,
        plot,
        volts,
        strip,
        axis,
        cursor,
        trials,
        why,
        notices,
        hint,
        footer,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_rows_are_given_away_once_at_every_height() {
        for height in 0..80 {
            for busy in [0, 3] {
                let wants = Wants {
                    banners: busy,
                    notices: 2,
                    hint: busy,
                    cursor: busy.min(1),
                    trials: 12,
                    why: busy,
                    footer: 2,
                    volts: busy,
                };
                let areas = arrange(80, height, &wants);
                assert_eq!(areas.footer.y + areas.footer.height, height);
                assert!(height == 0 || areas.now.height > 0);
            }
        }
    }

    #[test]
    fn a_usual_terminal_shows_every_part() {
        let wants = Wants {
            notices: 2,
            hint: 1,
            trials: 3,
            footer: 2,
            ..Wants::default()
        };
        let areas = arrange(80, 24, &wants);
        assert_eq!(areas.now.height, 5);
        assert_eq!(areas.trials.height, 4);
        assert!(areas.plot.height >= 5);
    }
}
