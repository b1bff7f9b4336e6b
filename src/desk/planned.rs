//! The plan as the board takes it: what it offers where a name is asked for, what Enter does on
//! its page, and its one line. What the plan is stands in the `judge` room.

use super::Model;
use super::prompt::{Ask, Prompt};
use crate::fuse::map;
use crate::judge::plan::Plan;
use crate::reading::quantity;
use crate::session::Did;
use crate::session::caution::{self, Caution};

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
            let mut pending = self.pending.iter().flat_map(|mark| &mark.what);
            pending.any(|other| map::same(other, label))
        };
        let fresh = !labels.is_empty() && !labels.iter().any(is_pending);
        fresh.then(|| labels.join("+"))
    }

    /// What to know before what the open question names is taken off its supply: only where its
    /// circuit, or the part itself, calls for it.
    pub fn cautions_asked(&self) -> Vec<&'static Caution> {
        let removed = self.prompt.as_ref().map(Prompt::removed);
        let mut cautions: Vec<&'static Caution> = Vec::new();
        for label in removed.unwrap_or_default() {
            let circuit = map::find(self.session.fuses(), &label);
            let fed = circuit.map(|circuit| circuit.feeds.join("; "));
            let called = caution::called_for(&fed.unwrap_or(label));
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
        cautions
    }

    /// Asks for the mark of what the plan says.
    pub(super) fn go(&mut self) {
        let Some(plan) = self.plan() else {
            return self.reply("There is no plan yet.");
        };
        let Some(did) = plan.did else {
            return self.reply(plan.why.clone());
        };
        if self.may_record() {
            self.ask(Ask::Mark(did), self.offer(did));
        }
    }
}

/// What to do and how long it may last, in a few words: `pull D2+E19, about 12 min left`.
pub fn in_short(plan: &Plan) -> String {
    let left_s = (plan.minutes_left).round() * 60.0;
    let left = if left_s < 60.0 {
        String::new()
    } else {
        format!(", about {} left", quantity::span(left_s))
    };
    match plan.did {
        Some(did) if !plan.next.is_empty() => format!("{did} {}{left}", plan.next.join("+")),
        Some(_) | None => plan.why.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(did: Option<Did>, minutes_left: f64) -> Plan {
        Plan {
            did,
            next: vec!["D2".into(), "E19".into()],
            why: "D2 not judged yet: let it settle".into(),
            minutes_left,
            rest: Vec::new(),
            parts: Vec::new(),
            cautions: Vec::new(),
        }
    }

    #[test]
    fn the_plan_in_short_says_what_and_how_long() {
        for (did, minutes_left, said) in [
            (Some(Did::Pull), 12.4, "pull D2+E19, about 12 min left"),
            (Some(Did::Swap), 0.0, "swap D2+E19"),
            (None, 5.0, "D2 not judged yet: let it settle"),
        ] {
            assert_eq!(in_short(&plan(did, minutes_left)), said);
        }
    }
}
