//! What keys do: questions asked, marks placed, pages turned.

use super::Model;
use super::effect::Effect;
use super::keymap::{self, Action};
use super::label;
use super::message::Key;
use super::prompt::{Answer, Ask, Outcome, Prompt};
use super::view::Scale;
use crate::reading::quantity;
use crate::reading::{Elapsed, Reading};
use crate::session::entry::{Entry, Fact};
use crate::session::mark::{Did, Mark, MarkId};

impl Model {
    pub(super) fn key(&mut self, key: Key, effects: &mut Vec<Effect>) {
        self.notices.reply = None;
        // These three act even while a question is open: none of them records anything.
        if let Key::Ctrl(c @ ('z' | 'l' | 'c')) = key {
            return match c {
                'z' => effects.push(Effect::Suspend),
                'l' => effects.push(Effect::Redraw),
                _ => self.ask_quit(effects),
            };
        }
        let Some(mut prompt) = self.prompt.take() else {
            if let Some(action) = keymap::action(key, self.manual) {
                self.act(action, key, effects);
            }
            return;
        };
        match prompt.key(key) {
            Outcome::Open => self.prompt = Some(prompt),
            Outcome::Dropped if prompt.is_yes_no() => {}
            Outcome::Dropped => self.notices.reply = Some("Nothing recorded.".into()),
            Outcome::Done(answer) => self.answer(answer, effects),
        }
    }

    fn act(&mut self, action: Action, key: Key, effects: &mut Vec<Effect>) {
        let trials = self.judgement.trials.len();
        match action {
            Action::Mark(did) => self.ask_mark(did, effects),
            Action::MarkLate(did) => {
                if self.may_record() {
                    self.warn(did);
                    let prompt = Prompt::new(Ask::Mark(did), None, self.now);
                    self.prompt = Some(prompt.typed("@"));
                }
            }
            Action::Strike => self.ask_strike(),
            Action::Reading => {
                if self.may_record() {
                    let prompt = Prompt::new(Ask::Reading, None, self.now);
                    self.prompt = Some(if let Key::Char(c @ '0'..='9') = key {
                        prompt.typed(&c.to_string())
                    } else {
                        prompt
                    });
                }
            }
            Action::Scale => {
                self.view.scale = match self.view.scale {
                    Scale::Log => Scale::Linear,
                    Scale::Linear => Scale::Log,
                }
            }
            Action::ZoomIn => self.view.zoom_in(),
            Action::ZoomOut => self.view.zoom_out(),
            Action::Earlier => self.view.earlier(self.now),
            Action::Later => self.view.later(self.now),
            Action::ToNow => self.view.to_now(),
            Action::NextTrial => self.view.next_trial(trials),
            Action::PreviousTrial => self.view.previous_trial(trials),
            Action::Help => self.view.help = !self.view.help,
            Action::Hints => self.view.hints = !self.view.hints,
            Action::Export => {
                let name = Some(self.options.export_name.clone());
                self.prompt = Some(Prompt::new(Ask::Export, name, self.now));
            }
            Action::Dismiss => self.dismiss(),
            Action::Quit => self.ask_quit(effects),
            Action::Suspend => effects.push(Effect::Suspend),
            Action::Redraw => effects.push(Effect::Redraw),
        }
    }

    /// Closes the uppermost thing that can be closed.
    const fn dismiss(&mut self) {
        if self.view.help {
            self.view.help = false;
        } else if self.notices.caution.is_some() {
            self.notices.caution = None;
        } else {
            self.view.trial = None;
        }
    }

    fn may_record(&mut self) -> bool {
        if self.options.read_only {
            self.notices.reply =
                Some("This screen only shows the session: mark it where it is recorded, or open it with --meter.".into());
        }
        !self.options.read_only
    }

    fn warn(&mut self, did: Did) {
        if did == Did::Unlock {
            self.notices.before_unlock();
        } else {
            self.notices.caution = None;
        }
    }

    fn ask_mark(&mut self, did: Did, effects: &mut Vec<Effect>) {
        if !self.may_record() {
            return;
        }
        self.warn(did);
        match did {
            Did::Lock | Did::Unlock | Did::Zero => {
                self.place(did, Vec::new(), String::new(), None, effects);
            }
            Did::Pull | Did::Refit | Did::Unplug | Did::Plug | Did::Swap | Did::Note => {
                let default = label::default_for(&self.session, &self.pending, did);
                self.prompt = Some(Prompt::new(Ask::Mark(did), default, self.now));
            }
        }
    }

    fn ask_strike(&mut self) {
        if !self.may_record() {
            return;
        }
        let Some(placed) = self.session.last_noted() else {
            self.notices.reply = Some("There is no mark to strike.".into());
            return;
        };
        let named = format!("'{}' of {}", placed.mark, quantity::clock(placed.at()));
        let id = placed.mark.id;
        self.prompt = Some(Prompt::new(Ask::Strike { id, named }, None, self.now));
    }

    /// Asks while a session is being recorded; Ctrl-C at that question ends the program too.
    fn ask_quit(&mut self, effects: &mut Vec<Effect>) {
        let asked = matches!(self.prompt.as_ref().map(Prompt::ask), Some(Ask::Quit(_)));
        match &self.options.recording {
            Some(place) if !asked => {
                let ask = Ask::Quit(place.clone());
                self.prompt = Some(Prompt::new(ask, None, self.now));
            }
            Some(_) | None => effects.push(Effect::Quit),
        }
    }

    fn answer(&mut self, answer: Answer, effects: &mut Vec<Effect>) {
        match answer {
            Answer::Mark {
                did,
                what,
                text,
                ago_s,
            } => self.place(did, what, text, ago_s, effects),
            Answer::Reading(value) => {
                let t = self.now;
                effects.push(Effect::Record(Entry::reading(Reading { t, value })));
            }
            Answer::Export(path) => {
                self.notices.reply = Some(format!("Writing {} ...", path.display()));
                effects.push(Effect::Export(path));
            }
            Answer::Strike(id) => self.record(Fact::Strike(id), effects),
            Answer::Quit => effects.push(Effect::Quit),
        }
    }

    fn place(
        &mut self,
        did: Did,
        what: Vec<String>,
        text: String,
        ago_s: Option<f64>,
        effects: &mut Vec<Effect>,
    ) {
        let known = |label| label::as_known(&self.session, label);
        let mark = Mark {
            id: self.next_id(),
            did,
            what: what.into_iter().map(known).collect(),
            at: ago_s.map(|ago_s| self.now.plus_secs(-ago_s).max(Elapsed::ZERO)),
            text,
        };
        self.pending.push(mark.clone());
        self.record(Fact::Mark(mark), effects);
    }

    /// Marks on their way to the journal hold their numbers already.
    fn next_id(&self) -> MarkId {
        let pending = self.pending.iter().map(|mark| mark.id.0).max().unwrap_or(0);
        self.session
            .next_id()
            .max(MarkId(pending.saturating_add(1)))
    }

    fn record(&self, fact: Fact, effects: &mut Vec<Effect>) {
        effects.push(Effect::Record(Entry { t: self.now, fact }));
    }
}
