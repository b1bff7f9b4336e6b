//! Keys that change the picture and record nothing.

use super::keymap::ViewAction;
use super::{Model, Scale};
use crate::reading::Elapsed;
use crate::session::Placed;

impl Model {
    pub(super) fn look(&mut self, action: ViewAction) {
        let now = self.now;
        let trials = self.judgement.trials.len();
        let view = &mut self.view;
        match action {
            ViewAction::Scale => {
                view.scale = match view.scale {
                    Scale::Log => Scale::Linear,
                    Scale::Linear => Scale::Log,
                }
            }
            ViewAction::TimeAxis => view.time = view.time.next(),
            ViewAction::ZoomIn => view.zoom_in(now),
            ViewAction::ZoomOut => view.zoom_out(now),
            ViewAction::Earlier => view.earlier(now),
            ViewAction::Later => view.later(now),
            ViewAction::PageEarlier => view.page_earlier(now),
            ViewAction::PageLater => view.page_later(now),
            ViewAction::ToNow => view.to_now(),
            ViewAction::Cursor => view.toggle_cursor(now),
            ViewAction::EventBefore => self.jump(false),
            ViewAction::EventAfter => self.jump(true),
            ViewAction::NextTrial => view.next_trial(trials),
            ViewAction::PreviousTrial => view.previous_trial(trials),
            ViewAction::Far => view.far = !view.far,
            ViewAction::Panel(panel) => {
                view.toggle_panel(panel);
                self.opened(panel);
            }
            ViewAction::Help => view.next_help(),
            ViewAction::Hints => {
                view.hints = !view.hints;
                self.reply(if self.view.hints {
                    "Hints on."
                } else {
                    "Hints off."
                });
            }
            ViewAction::Mute => {
                view.muted = !view.muted;
                self.reply(if self.view.muted {
                    "Sounds off."
                } else {
                    "Sounds on."
                });
            }
            ViewAction::Dismiss => self.dismiss(),
        }
    }

    /// The nearest step, mark or wake before or after `t`.
    fn event_beside(&self, t: Elapsed, after: bool) -> Option<Elapsed> {
        let steps = self.judgement.steps.iter().map(|step| step.t);
        let marks = self.session.marks().map(Placed::at);
        let wakes = self.judgement.wakes.iter().map(|wake| wake.from);
        let all = steps.chain(marks).chain(wakes);
        if after {
            all.filter(|at| *at > t).min()
        } else {
            all.filter(|at| *at < t).max()
        }
    }

    fn jump(&mut self, after: bool) {
        let from = self.view.cursor.unwrap_or(self.now);
        if let Some(t) = self.event_beside(from, after) {
            self.view.point_at(t, self.now);
        } else {
            let side = if after { "after" } else { "before" };
            self.reply(format!("No step, mark or wake {side} this."));
        }
    }
}
