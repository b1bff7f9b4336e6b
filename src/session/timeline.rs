//! What stood at a moment, told from the marks before it: what was out, when the clamp was zeroed.

use super::{Did, Mark, Placed, Session};
use crate::reading::Elapsed;

/// The labels that are off their supply after `marks`: pulled and not refitted, unplugged and not
/// plugged, in the order in which they came out. What was announced in a run counts as out.
pub fn out_after<'a>(marks: impl Iterator<Item = &'a Placed>) -> Vec<&'a str> {
    let mut out: Vec<&str> = Vec::new();
    for placed in marks {
        take_out(&mut out, &placed.mark);
    }
    out
}

/// Changes `out` as `mark` does.
pub fn take_out<'a>(out: &mut Vec<&'a str>, mark: &'a Mark) {
    for label in &mark.what {
        out.retain(|other| other != label);
        if mark.did.removes() || mark.did == Did::Run {
            out.push(label);
        }
    }
}

impl Session {
    /// The labels that are off their supply now, in the order in which they came out.
    pub fn out_now(&self) -> Vec<&str> {
        out_after(self.marks())
    }

    /// When this label, which is out just before `t`, came out.
    pub fn out_since(&self, label: &String, t: Elapsed) -> Option<Elapsed> {
        let mut earlier = self.marks().rev().filter(|placed| placed.at() < t);
        let removed =
            earlier.find(|Placed { mark, .. }| mark.did.removes() && mark.what.contains(label));
        removed.map(Placed::at)
    }

    /// When the clamp was last zeroed, of all times up to `t`.
    pub fn zeroed_by(&self, t: Elapsed) -> Option<Elapsed> {
        let earlier = self.zeroed.partition_point(|at| *at <= t);
        self.zeroed.get(earlier.checked_sub(1)?).copied()
    }
}
