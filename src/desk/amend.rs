//! Old marks changed and steps claimed, from the lists over the board. Nothing in the journal is
//! rewritten: a change is a strike and a new mark with the time at which the thing was done.

use super::Model;
use super::effect::Effect;
use super::keymap::PanelAction;
use super::label;
use super::panel::Panel;
use super::prompt::amend::{Amend, Amended};
use super::prompt::{Ask, Prompt};
use crate::judge::finding::Unclaimed;
use crate::reading::Elapsed;
use crate::session::Placed;
use crate::session::entry::Fact;
use crate::session::mark::{Did, MarkId};

impl Model {
    /// The marks as their list shows them: newest first.
    pub fn listed_marks(&self) -> impl Iterator<Item = &Placed> {
        self.session.all_marks().iter().rev()
    }

    /// The unclaimed steps as their list shows them: newest first.
    #[must_use]
    pub fn listed_steps(&self) -> Vec<Unclaimed> {
        self.judgement.unclaimed.iter().rev().copied().collect()
    }

    pub(super) fn act_on_panel(&mut self, action: PanelAction) {
        match self.view.panel {
            Some(Panel::Fuses) => self.act_on_fuses(action),
            Some(Panel::Plan | Panel::Sweep | Panel::Cautions | Panel::Card) => {
                self.act_on_page(action);
            }
            Some(Panel::Steps | Panel::Marks | Panel::Keys | Panel::Words) | None => {
                self.act_on_list(action);
            }
        }
    }

    fn act_on_list(&mut self, action: PanelAction) {
        let rows = match self.view.panel {
            Some(Panel::Steps) => self.judgement.unclaimed.len(),
            Some(Panel::Marks) => self.session.all_marks().len(),
            Some(
                Panel::Keys
                | Panel::Words
                | Panel::Cautions
                | Panel::Fuses
                | Panel::Plan
                | Panel::Sweep
                | Panel::Card,
            )
            | None => 0,
        };
        self.view.row = self.view.row.min(rows.saturating_sub(1));
        match action {
            PanelAction::Up => self.view.move_row(false, rows),
            PanelAction::Down => self.view.move_row(true, rows),
            PanelAction::Claim => self.ask_claim(),
            PanelAction::Rename | PanelAction::Move | PanelAction::Strike => self.change(action),
            PanelAction::Left
            | PanelAction::Right
            | PanelAction::Take
            | PanelAction::Sweep
            | PanelAction::Timeout
            | PanelAction::Go => {}
        }
    }

    fn ask_claim(&mut self) {
        let Some(step) = self.listed_steps().get(self.view.row).copied() else {
            self.notices.reply = Some("There is no step to claim.".into());
            return;
        };
        if !self.may_record() {
            return;
        }
        let did = if step.to_a < step.from_a {
            Did::Pull
        } else {
            Did::Refit
        };
        let offer = label::default_for(&self.session, &self.pending, did);
        let ask = Ask::Amend(Amend::Claim {
            at: step.t,
            from_a: step.from_a,
            to_a: step.to_a,
        });
        let offer = offer.map(|what| format!("{did} {what}"));
        self.prompt = Some(Prompt::new(ask, offer, self.now));
    }

    fn change(&mut self, action: PanelAction) {
        let Some(placed) = self.listed_marks().nth(self.view.row).cloned() else {
            self.notices.reply = Some("There is no mark yet.".into());
            return;
        };
        if !self.may_record() {
            return;
        }
        if placed.struck {
            self.notices.reply = Some("That mark is struck already.".into());
            return;
        }
        let at = placed.at();
        let mark = placed.mark.clone();
        match action {
            PanelAction::Strike => self.ask_strike(Some(placed)),
            PanelAction::Rename => {
                let text = mark.to_string();
                let ask = Ask::Amend(Amend::Rename { mark, at });
                self.prompt = Some(Prompt::new(ask, None, self.now).typed(&text));
            }
            PanelAction::Move => {
                let step = self.free_step(mark.id, at);
                let offer = step.map(crate::reading::quantity::clock);
                let ask = Ask::Amend(Amend::Move { mark, at, step });
                self.prompt = Some(Prompt::new(ask, offer, self.now));
            }
            PanelAction::Up
            | PanelAction::Down
            | PanelAction::Left
            | PanelAction::Right
            | PanelAction::Take
            | PanelAction::Go
            | PanelAction::Sweep
            | PanelAction::Timeout
            | PanelAction::Claim => {}
        }
    }

    /// The step nearest to `at` that no other mark explains; the car's own wakes only where there
    /// is nothing else.
    fn free_step(&self, id: MarkId, at: Elapsed) -> Option<Elapsed> {
        let nearest = |steps: &mut dyn Iterator<Item = Elapsed>| {
            steps.min_by_key(|t| t.ms().abs_diff(at.ms()))
        };
        let steps = &self.judgement.steps;
        let own = steps.iter().filter(|step| step.mark == Some(id));
        let unclaimed = self.judgement.unclaimed.iter().map(|step| step.t);
        let likely = own.map(|step| step.t).chain(unclaimed);
        let free = steps.iter().filter(|step| step.mark.is_none());
        nearest(&mut likely.into_iter()).or_else(|| nearest(&mut free.map(|step| step.t)))
    }

    /// The strike first: should the journal stop between the two, a mark too few is asked about,
    /// a mark too many is believed.
    pub(super) fn amend(&mut self, amended: Amended, effects: &mut Vec<Effect>) {
        if let Some(id) = amended.instead_of {
            self.record(Fact::Strike(id), effects);
        }
        let Amended {
            did,
            what,
            text,
            at,
            ..
        } = amended;
        self.place(did, what, text, Some(at), effects);
    }
}
