//! A run on the board: announced, kept going while the hands are at the fuse box, and ended. How a
//! run is read and what its calls tell stands in `announced_run`.

use super::{Ask, Bell, Cell, Claim, Effect, FuseBox, Model, Run, label};
use crate::judge::finding::Phase;
use crate::reading::Elapsed;
use crate::session::caution::{self, When};
use crate::session::{Did, Fact, Mark, Placed};

impl Model {
    /// The run that is under way.
    pub const fn run(&self) -> Option<&Run> {
        self.run.as_ref()
    }

    /// How many falls of announced runs nobody has named.
    pub fn open_falls(&self) -> usize {
        let unclaimed = self.judgement.unclaimed.iter();
        unclaimed.filter(|step| !step.among.is_empty()).count()
    }

    /// Asks for the fuses of a run, or which came out in the one that is under way.
    pub(super) fn ask_run(&mut self) {
        let Some(run) = &self.run else {
            let offer = untried(&self.fuse_boxes());
            return self.ask(Ask::Run, offer);
        };
        let (called, of) = run.progress();
        let out = if run.is_called() { called } else { of };
        let out = run.labels.get(..out).unwrap_or(&[]).join("+");
        self.ask(Ask::RunOver, Some(out).filter(|out| !out.is_empty()));
    }

    pub(super) fn begin_run(&mut self, run: Run, effects: &mut Vec<Effect>) {
        let run = run
            .spelled(|label| label::as_known(&self.session, &label))
            .from_now(self.now);
        self.place(run.announcement(), effects);
        if self.judgement.now.phase != Phase::Settled {
            self.reply("The car has not settled: a fall of its own would pass for that of a fuse.");
        }
        self.run = Some(run);
    }

    /// Ends the run in which only these came out.
    pub(super) fn end_run(&mut self, out: Vec<String>, effects: &mut Vec<Effect>) {
        let Some(mut run) = self.run.take() else {
            return;
        };
        let claims = run.rest(&self.judgement.steps).into_iter();
        for claim in claims.filter(|claim| out.contains(&claim.label)) {
            self.mark_called(claim, run.since, effects);
        }
        if out != run.labels {
            let begun = |placed: &&Placed| placed.at() == run.since;
            let begun = self.session.done(Did::Run).rfind(begun);
            if let Some(id) = begun.map(|placed| placed.mark.id) {
                self.record(Fact::Strike(id), effects);
            }
            let announced = Mark {
                what: out,
                at: Some(run.since),
                ..run.announcement()
            };
            if announced.what.is_empty() {
                return;
            }
            self.place(announced, effects);
        }
        self.place(Mark::new(Did::Run), effects);
    }

    /// Calls for the fuses whose time has come, and marks those of which enough is seen.
    pub(super) fn go_on_with_run(&mut self, effects: &mut Vec<Effect>) {
        let now = self.now;
        while self.run.as_mut().and_then(|run| run.call(now)).is_some() {
            effects.extend(self.sound(Bell::Called));
        }
        let Some(run) = &mut self.run else {
            return;
        };
        let since = run.since;
        for claim in run.marks(now, &self.judgement.steps) {
            self.mark_called(claim, since, effects);
        }
        if let Some(run) = self.run.take_if(|run| run.is_done()) {
            self.place(Mark::new(Did::Run), effects);
            let (_, of) = run.progress();
            self.reply(format!("The run is done: {of} of {of} called and marked."));
        }
    }

    /// A fuse that has its mark since the run began, by a key at the pull, needs no other.
    fn mark_called(&mut self, claim: Claim, since: Elapsed, effects: &mut Vec<Effect>) {
        let Claim {
            label,
            at: Some(at),
        } = claim
        else {
            return;
        };
        let is_out = |mark: &Mark| mark.did.removes() && mark.what.contains(&label);
        let in_run = |placed: &Placed| placed.at() >= since && is_out(&placed.mark);
        let is_marked = self.session.marks().any(in_run);
        if !is_marked && !self.pending.marks().iter().any(is_out) {
            let pull = Mark {
                what: vec![label],
                at: Some(at),
                ..Mark::new(Did::Pull)
            };
            self.place(pull, effects);
        }
    }
}

/// The fuses in their slots that were not tried, in the order of the map, without those that are
/// not pulled by everyone; `None` when there is none.
fn untried(boxes: &[FuseBox<'_>]) -> Option<String> {
    let cells = boxes.iter().flat_map(|one| &one.cells);
    let labels: Vec<&str> = cells
        .filter(|cell| !cell.known.is_out && cell.known.tried.is_none() && is_for_everyone(cell))
        .map(|cell| cell.circuit.label.as_str())
        .collect();
    (!labels.is_empty()).then(|| label::joined(&labels))
}

fn is_for_everyone(cell: &Cell<'_>) -> bool {
    let called = caution::called_for(&cell.circuit.feeds.join("; "));
    !called
        .iter()
        .any(|caution| matches!(caution.when, When::Restraint | When::HighVoltage))
}
