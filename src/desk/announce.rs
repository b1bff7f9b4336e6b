//! A run on the board: announced, kept going while the hands are at the fuse box, and ended. How a
//! run is read and which step it claims stands in `run`.

use super::{Ask, Bell, Cell, Claim, Effect, FuseBox, Model, Run, label};
use crate::judge::finding::Phase;
use crate::session::caution::{self, When};
use crate::session::{Did, Mark};

impl Model {
    /// The run that is under way.
    pub const fn run(&self) -> Option<&Run> {
        self.run.as_ref()
    }

    /// Asks for the fuses of a run, or ends the one that is under way.
    pub(super) fn ask_run(&mut self) {
        if let Some(run) = self.run.take() {
            let (done, of) = run.progress();
            let next = run.next_label().unwrap_or_default();
            self.reply(format!(
                "The run is ended: {done} of {of} pulled, {next} was next."
            ));
        } else {
            self.ask(Ask::Run, untried(&self.fuse_boxes()));
        }
    }

    pub(super) fn begin_run(&mut self, run: Run, effects: &mut Vec<Effect>) {
        let run = run
            .spelled(|label| label::as_known(&self.session, &label))
            .from_now(self.now);
        let note = Mark {
            text: run.announcement(),
            ..Mark::new(Did::Note)
        };
        self.place(note, effects);
        if self.judgement.now.phase != Phase::Settled && run.next_call().is_none() {
            self.reply(
                "The car has not settled: a fall of its own would be claimed for the next fuse.",
            );
        }
        self.run = Some(run);
    }

    /// Claims the falls that came since; says whether there was one.
    pub(super) fn claim_steps(&mut self, effects: &mut Vec<Effect>) -> bool {
        let Some(run) = &mut self.run else {
            return false;
        };
        let claims = run.see(&self.judgement.steps);
        let claimed = !claims.is_empty();
        for claim in claims {
            self.claim(claim, Bell::Claimed, effects);
        }
        claimed
    }

    /// Calls for the fuses whose time has come.
    pub(super) fn call_due(&mut self, effects: &mut Vec<Effect>) {
        let now = self.now;
        while let Some(claim) = self.run.as_mut().and_then(|run| run.call(now)) {
            self.claim(claim, Bell::Called, effects);
        }
    }

    fn claim(&mut self, claim: Claim, bell: Bell, effects: &mut Vec<Effect>) {
        let pull = Mark {
            what: vec![claim.label],
            at: Some(claim.at),
            ..Mark::new(Did::Pull)
        };
        self.place(pull, effects);
        effects.extend(self.sound(bell));
        if let Some(run) = self.run.take_if(|run| run.next_label().is_none()) {
            let (_, of) = run.progress();
            self.reply(format!(
                "The run is done: {of} of {of} pulled. What was missed is under steps."
            ));
        }
    }
}

/// The fuses in their slots that were not tried, in the order of the map, without those that are
/// not pulled by everyone; `None` when there is none.
fn untried(boxes: &[FuseBox]) -> Option<String> {
    let cells = boxes.iter().flat_map(|one| &one.cells);
    let labels: Vec<&str> = cells
        .filter(|cell| !cell.is_out && cell.tried.is_none() && is_for_everyone(cell))
        .map(|cell| cell.circuit.label.as_str())
        .collect();
    (!labels.is_empty()).then(|| label::joined(&labels))
}

fn is_for_everyone(cell: &Cell) -> bool {
    let called = caution::called_for(&cell.circuit.feeds.join("; "));
    !called
        .iter()
        .any(|caution| matches!(caution.when, When::Restraint | When::HighVoltage))
}
