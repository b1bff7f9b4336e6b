//! What keys do: questions asked, marks placed. What only changes the picture stands in `look`,
//! what changes old marks in `amend`.

use chrono::{NaiveTime, TimeDelta};

use super::keymap::{self, Action, RecordAction, ShellAction};
use super::notice::Unsaved;
use super::prompt::{Answer, Ask, Outcome, Prompt, Withdrawn};
use super::{Effect, Key, Model, Panel, label, typing};
use crate::reading::{Elapsed, quantity};
use crate::session::{Did, DoneTo, Entry, Fact, Mark, Placed};

const READ_ONLY: &str = "Read-only: this screen only shows the session. Mark it where it is \
    recorded, or open it with --meter.";

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
            let listed = self.view.panel.filter(|_| !self.view.far);
            if listed == Some(Panel::Fuses) && self.type_label(key) {
                return;
            }
            if let Some(action) = listed.and_then(|panel| keymap::panel_action(panel, key)) {
                self.act_on_panel(action);
            } else if let Some(action) = self.options.habits.keys.action(key, self.manual) {
                self.act(action, key, effects);
            }
            return;
        };
        match prompt.key(key) {
            Outcome::Open => self.prompt = Some(prompt),
            Outcome::Dropped if prompt.is_yes_no() => {}
            Outcome::Dropped if matches!(prompt.ask, Ask::Probe(_)) => self.end_sweep(),
            Outcome::Dropped => self.reply("Nothing recorded."),
            Outcome::Done(answer) => self.answer(answer, effects),
        }
    }

    fn act(&mut self, action: Action, key: Key, effects: &mut Vec<Effect>) {
        match action {
            Action::Record(action) => {
                if self.may_record() {
                    self.note_down(action, key, effects);
                }
            }
            Action::View(action) => self.look(action),
            Action::Shell(action) => self.call(action, effects),
        }
    }

    pub(super) fn note_down(&mut self, action: RecordAction, key: Key, effects: &mut Vec<Effect>) {
        match action {
            RecordAction::Mark(did) => self.ask_mark(did, effects),
            RecordAction::MarkLate(did) => {
                self.warn(did);
                self.prompt = Some(self.asking(Ask::Mark(did), None).typed("@"));
            }
            RecordAction::Strike => match self.typed_last() {
                Some((t, named)) => self.ask_withdraw(Withdrawn::Reading(t), named),
                None => self.ask_strike(self.session.last_noted().cloned()),
            },
            RecordAction::Run => self.ask_run(),
            RecordAction::Volts => self.ask(Ask::Volts, None),
            RecordAction::Reading => {
                let prompt = Prompt::new(Ask::Reading(self.unit()), None, self.now);
                self.prompt = Some(if let Key::Char(c @ ('0'..='9' | '.' | ',')) = key {
                    prompt.typed(&c.to_string())
                } else {
                    prompt
                });
            }
        }
    }

    fn call(&mut self, action: ShellAction, effects: &mut Vec<Effect>) {
        match action {
            ShellAction::GoOn => self.go_on(effects),
            ShellAction::Export => self.ask(Ask::Export, Some(self.options.export_name.clone())),
            ShellAction::Copy => {
                self.reply("The finding is on the clipboard.");
                effects.push(Effect::Copy(self.finding_text()));
            }
            ShellAction::Mouse => {
                self.view.mouse = !self.view.mouse;
                effects.push(Effect::Mouse(self.view.mouse));
                self.reply(if self.view.mouse {
                    "Mouse on: a click puts the cursor, the wheel zooms."
                } else {
                    "Mouse off: the terminal selects text again."
                });
            }
            ShellAction::Theme => effects.push(Effect::NextTheme),
            ShellAction::Quit => self.ask_quit(effects),
            ShellAction::Suspend => effects.push(Effect::Suspend),
            ShellAction::Redraw => effects.push(Effect::Redraw),
        }
    }

    /// Answers what was asked for, until the next key.
    pub(super) fn reply(&mut self, said: impl Into<String>) {
        self.notices.reply = Some(said.into());
    }

    /// Opens a question; `offer` is what Enter alone takes.
    pub(super) fn ask(&mut self, ask: Ask, offer: Option<String>) {
        self.prompt = Some(self.asking(ask, offer));
    }

    /// The question as it opens here.
    pub(super) fn asking(&self, ask: Ask, offer: Option<String>) -> Prompt {
        let prompt = Prompt::new(ask, offer, self.now).by_clock(self.of_day());
        prompt.knowing(self.known_labels())
    }

    /// What the clock shows now, by which the session was begun.
    fn of_day(&self) -> Option<NaiveTime> {
        let since = TimeDelta::milliseconds(self.now.ms());
        let now = self.session.header().started.checked_add_signed(since);
        now.map(|now| now.time())
    }

    /// Closes the uppermost thing that can be closed.
    pub(super) fn dismiss(&mut self) {
        if self.view.far {
            self.view.far = false;
        } else if self.view.panel.is_some() {
            self.view.panel = None;
        } else if self.notices.unread.pop_front().is_some() {
        } else if self.view.cursor.is_some() {
            self.view.cursor = None;
        } else {
            self.view.trial = None;
        }
    }

    pub(super) fn may_record(&mut self) -> bool {
        if self.options.read_only {
            self.reply(READ_ONLY);
        }
        !self.options.read_only
    }

    fn warn(&mut self, did: Did) {
        if did == Did::Unlock {
            self.notices.before_unlock();
        } else {
            self.notices.unread.clear();
        }
    }

    fn ask_mark(&mut self, did: Did, effects: &mut Vec<Effect>) {
        self.warn(did);
        if did == Did::Finish {
            self.remind_of_out();
        }
        match did.done_to() {
            DoneTo::Car | DoneTo::Meter => {
                self.place(Mark::new(did), effects);
            }
            DoneTo::Part(_) | DoneTo::Record | DoneTo::Paper => {
                self.ask(Ask::Mark(did), self.offer(did));
            }
        }
    }

    /// A car is not handed over with a fuse on the bench.
    fn remind_of_out(&mut self) {
        let out = self.session.out_now().join("+");
        if !out.is_empty() {
            self.reply(format!(
                "{out} out: the verdict is that of the car without it."
            ));
        }
    }

    /// What Enter alone takes: what is selected on the fuse map, else what the plan
    /// says, else what comes next by itself.
    pub(super) fn offer(&self, did: Did) -> Option<String> {
        self.label_on_map(did)
            .or_else(|| self.planned(did))
            .or_else(|| label::default_for(&self.session, self.pending.marks(), did))
            .or_else(|| self.open_tick(did))
    }

    pub(super) fn ask_strike(&mut self, placed: Option<Placed>) {
        if !self.may_record() {
            return;
        }
        let Some(placed) = placed else {
            return self.reply("There is no mark to strike.");
        };
        let named = format!("'{}' of {}", placed.mark, quantity::clock(placed.at()));
        self.ask_withdraw(Withdrawn::Mark(placed.mark.id), named);
    }

    fn ask_withdraw(&mut self, what: Withdrawn, named: String) {
        if self.may_record() {
            self.ask(Ask::Strike { what, named }, None);
        }
    }

    /// Asks while a session is being recorded; Ctrl-C at that question ends the program too.
    fn ask_quit(&mut self, effects: &mut Vec<Effect>) {
        let asked = matches!(&self.prompt, Some(prompt) if matches!(prompt.ask, Ask::Quit { .. }));
        match &self.options.recording {
            Some(place) if !asked => {
                let place = place.clone();
                let unsaved = self.notices.unsaved.as_ref();
                let unsaved = unsaved.and_then(Unsaved::at_quit);
                self.ask(Ask::Quit { place, unsaved }, None);
            }
            Some(_) | None => effects.push(Effect::Quit),
        }
    }

    pub(super) fn answer(&mut self, answer: Answer, effects: &mut Vec<Effect>) {
        match answer {
            Answer::Mark(mark, ago_s) => {
                let ago = |ago_s: f64| self.now.plus_secs(-ago_s).max(Elapsed::ZERO);
                let at = ago_s.map(ago);
                self.place(Mark { at, ..mark }, effects);
            }
            Answer::Reading(typed) => {
                self.typed_exponent = typed.exponent.or(self.typed_exponent);
                self.record(Fact::Reading(typed.value), effects);
            }
            Answer::Volts(volts) => self.record(Fact::Volts(volts), effects),
            Answer::Export(path) => {
                self.reply(format!("Writing {} ...", path.display()));
                let replace = self.left_alone.take().is_some_and(|left| left == path);
                effects.push(Effect::Export { to: path, replace });
            }
            Answer::Elsewhere(path) => effects.push(Effect::GoOn(Some(path))),
            Answer::Strike(Withdrawn::Mark(id)) => self.record(Fact::Strike(id), effects),
            Answer::Strike(Withdrawn::Reading(t)) => self.place(typing::left_out(t), effects),
            Answer::Amended(amended) => self.amend(amended, effects),
            Answer::Field(change) => self.set(*change, effects),
            Answer::Map(path) => effects.push(Effect::ReadMap(path)),
            Answer::Unchanged => {}
            Answer::Run(run) => self.begin_run(run, effects),
            Answer::RunOver(out) => self.end_run(out, effects),
            Answer::Probed(probe, probed) => self.probed(probe, probed, effects),
            Answer::Quit => effects.push(Effect::Quit),
        }
    }

    pub(super) fn place(&mut self, mut mark: Mark, effects: &mut Vec<Effect>) {
        mark.id = self.pending.next_id(self.session.next_id());
        for label in &mut mark.what {
            *label = label::as_known(&self.session, label);
        }
        self.pending.sent_mark(mark.clone());
        for label in &mut mark.what {
            *label = self.session.kept(label);
        }
        self.send(Fact::Mark(Box::new(mark)), effects);
    }

    pub(super) fn record(&mut self, fact: Fact, effects: &mut Vec<Effect>) {
        self.pending.sent(fact.clone());
        self.send(fact, effects);
    }

    fn send(&self, fact: Fact, effects: &mut Vec<Effect>) {
        effects.push(Effect::Record(Entry { t: self.now, fact }));
    }
}
