//! What the keys of a list or page do; old marks changed and steps claimed. Nothing in the journal is
//! rewritten: a change is a strike and a new mark with the time at which the thing was done.

use super::keymap::{MarkChange, PanelAction};
use super::prompt::amend::{Amend, Amended};
use super::{Ask, Effect, Model, Panel, Toward};
use crate::judge::finding::Unclaimed;
use crate::reading::Elapsed;
use crate::session::{Did, Fact, Mark, MarkId, Placed};

/// Nobody scrolls further than this; the screen stops where a page ends.
const PAGE_ROWS: usize = 200;

impl Model {
    /// The marks as their list shows them: newest first.
    pub fn listed_marks(&self) -> impl Iterator<Item = &Placed> {
        self.session.all_marks().iter().rev()
    }

    /// The unclaimed steps as their list shows them: newest first.
    pub fn listed_steps(&self) -> Vec<Unclaimed> {
        self.judgement.unclaimed.iter().rev().cloned().collect()
    }

    pub(super) fn act_on_panel(&mut self, action: PanelAction) {
        let rows = self.panel_rows();
        self.view.row = self.view.row.min(rows.saturating_sub(1));
        match action {
            PanelAction::Select(toward) if self.view.panel == Some(Panel::Fuses) => {
                self.select_fuse(toward);
            }
            PanelAction::Select(toward) => self.view.move_row(toward == Toward::Down, rows),
            PanelAction::Take => self.ask_take(),
            PanelAction::Go => self.go(),
            PanelAction::Sweep => self.ask_sweep(),
            PanelAction::Edit => self.ask_field(),
            PanelAction::Claim => self.ask_claim(),
            PanelAction::Change(change) => self.change(change),
        }
    }

    /// How many rows the open list has, or how far a page may be scrolled.
    fn panel_rows(&self) -> usize {
        match self.view.panel {
            Some(Panel::Steps) => self.judgement.unclaimed.len(),
            Some(Panel::Marks) => self.session.all_marks().len(),
            Some(Panel::Card) => self.card_rows().len(),
            Some(Panel::Plan | Panel::Sweep | Panel::Wakes | Panel::Cautions) => PAGE_ROWS,
            Some(Panel::Keys | Panel::Words | Panel::Fuses) | None => 0,
        }
    }

    fn ask_claim(&mut self) {
        let Some(step) = self.listed_steps().get(self.view.row).cloned() else {
            return self.reply("There is no step to claim.");
        };
        if !self.may_record() {
            return;
        }
        let did = if step.to_a < step.from_a {
            Did::Pull
        } else {
            Did::Refit
        };
        // Enter alone credits nobody of whom nothing is known.
        let offer = match step.among.as_slice() {
            [one] => Some(one.clone()),
            [] | [_, ..] => None,
        };
        let ask = Ask::Amend(Amend::Claim {
            at: step.t,
            from_a: step.from_a,
            to_a: step.to_a,
            among: step.among,
        });
        let offer = offer.map(|what| format!("{did} {what}"));
        self.ask(ask, offer);
    }

    fn change(&mut self, change: MarkChange) {
        let Some(placed) = self.listed_marks().nth(self.view.row).cloned() else {
            return self.reply("There is no mark yet.");
        };
        if !self.may_record() {
            return;
        }
        if placed.struck {
            return self.reply("That mark is struck already.");
        }
        let at = placed.at();
        let mark = placed.mark.clone();
        match change {
            MarkChange::Strike => self.ask_strike(Some(placed)),
            // A stretch is moved by saying anew from when to when.
            MarkChange::Move if mark.did == Did::LeaveOut => self.ask_name(mark, at),
            MarkChange::Rename => self.ask_name(mark, at),
            MarkChange::Note => self.ask(Ask::Amend(Amend::Note { mark, at }), None),
            MarkChange::Move => {
                let step = self.free_step(mark.id, at);
                let offer = step.map(crate::reading::quantity::clock);
                let ask = Ask::Amend(Amend::Move { mark, at, step });
                self.ask(ask, offer);
            }
        }
    }

    fn ask_name(&mut self, mark: Mark, at: Elapsed) {
        let text = mark.to_string();
        let ask = Ask::Amend(Amend::Rename { mark, at });
        self.prompt = Some(self.asking(ask, None).typed(&text));
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
        let at = Some(amended.at);
        self.place(Mark { at, ..amended.mark }, effects);
    }
}
