//! The plan as the board takes it: what it offers where a name is asked for, what Enter does on
//! its page, and its one line. What the plan is stands in the `judge` room.

use super::{Ask, Model};
use crate::fuse::map;
use crate::judge::plan::Plan;
use crate::session::Did;
use crate::session::caution::{self, Caution, When};

impl Model {
    /// The plan, when there is one.
    pub const fn plan(&self) -> Option<&Plan> {
        self.judgement.plan.as_ref()
    }

    /// What the plan says for this verb, unless it is on its way to the journal already.
    pub(super) fn planned(&self, did: Did) -> Option<String> {
        let plan = self.plan()?;
        let labels: Vec<String> = if plan.did == Some(did) {
            plan.next.clone()
        } else if did == Did::Unplug {
            plan.parts.first().cloned().into_iter().collect()
        } else {
            Vec::new()
        };
        let is_pending = |label: &String| {
            let mut pending = self.pending.marks().iter().flat_map(|mark| &mark.what);
            pending.any(|other| map::same(other, label))
        };
        let fresh = !labels.is_empty() && !labels.iter().any(is_pending);
        fresh.then(|| labels.join("+"))
    }

    /// What to know before what the open question names is taken off its supply or is new: only
    /// where its circuit, or the part itself, calls for it.
    pub fn cautions_asked(&self) -> Vec<&'static Caution> {
        let prompt = self.prompt.as_ref();
        prompt.map_or_else(Vec::new, |prompt| {
            self.cautions_of(&prompt.removed(), prompt.fitted())
        })
    }

    /// The same for these that come off their supply, and these that are new.
    pub(super) fn cautions_of(
        &self,
        removed: &[String],
        fitted: impl IntoIterator<Item = String>,
    ) -> Vec<&'static Caution> {
        let mut cautions: Vec<&'static Caution> = Vec::new();
        for label in removed {
            let circuit = map::find(self.session.fuses(), label);
            let fed = circuit.map(|circuit| circuit.feeds.join("; "));
            let called = caution::called_for(fed.as_ref().unwrap_or(label));
            if called.is_empty() {
                continue;
            }
            let all = circuit.map_or(called, caution::before_pull);
            for caution in all {
                if !cautions.contains(&caution) {
                    cautions.push(caution);
                }
            }
        }
        if fitted.into_iter().any(|part| caution::is_battery(&part)) {
            cautions.extend(caution::at(When::BatterySwap));
        }
        cautions
    }

    /// Asks for the mark of what the plan says.
    pub(super) fn go(&mut self) {
        let Some(plan) = self.plan() else {
            return self.reply("There is no plan yet.");
        };
        let Some(did) = plan.did else {
            return self.reply(plan.why());
        };
        if self.may_record() {
            self.ask(Ask::Mark(did), self.offer(did));
        }
    }
}
