//! Keys that change the picture and record nothing.

use super::Model;
use super::keymap::Action;
use super::view::Scale;
use crate::reading::Elapsed;
use crate::session::Placed;

impl Model {
    pub(super) fn look(&mut self, action: Action) {
        let now = self.now;
        let trials = self.judgement.trials.len();
        let view = &mut self.view;
        match action {
            Action::Scale => {
                view.scale = match view.scale {
                    Scale::Log => Scale::Linear,
                    Scale::Linear => Scale::Log,
                }
            }
            Action::TimeAxis => view.time = view.time.next(),
            Action::ZoomIn => view.zoom_in(now),
            Action::ZoomOut => view.zoom_out(now),
            Action::Earlier => view.earlier(now),
            Action::Later => view.later(now),
            Action::PageEarlier => view.page_earlier(now),
            Action::PageLater => view.page_later(now),
            Action::ToNow => view.to_now(),
            Action::Cursor => view.toggle_cursor(now),
            Action::EventBefore => self.jump(false),
            Action::EventAfter => self.jump(true),
            Action::NextTrial => view.next_trial(trials),
            Action::PreviousTrial => view.previous_trial(trials),
            Action::Far => view.far = !view.far,
            Action::Panel(panel) => {
                view.toggle_panel(panel);
                self.opened(panel);
            }
            Action::Help => view.next_help(),
            Action::Hints => view.hints = !view.hints,
            Action::Mute => {
                view.muted = !view.muted;
                let said = if view.muted {
                    "Sounds off."
                } else {
                    "Sounds on."
                };
                self.notices.reply = Some(said.into());
            }
            Action::Mark(_)
            | Action::MarkLate(_)
            | Action::Strike
            | Action::Run
            | Action::Reading
            | Action::Copy
            | Action::Mouse
            | Action::Theme
            | Action::Export
            | Action::Dismiss
            | Action::Quit
            | Action::Suspend
            | Action::Redraw => {}
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
            self.notices.reply = Some(format!("No step, mark or wake {side} this."));
        }
    }
}
