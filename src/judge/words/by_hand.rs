//! What somebody said is no evidence, in words.

use crate::judge::by_hand::ByHand;
use crate::reading::Elapsed;

impl ByHand {
    /// That the work was finished, in a line.
    pub fn finished_in_short(&self, when: impl Fn(Elapsed) -> String) -> Option<String> {
        let finished = self.finished?;
        Some(format!(
            "finished at {}: nothing after it counts",
            when(finished)
        ))
    }

    /// Each in a line; `when` writes a moment.
    pub fn in_lines(&self, when: impl Fn(Elapsed) -> String) -> Vec<String> {
        let finished = self.finished.map(|at| {
            let later: Vec<String> = self
                .done_later
                .iter()
                .map(|(at, mark)| format!("{mark} at {}", when(*at)))
                .collect();
            let later = match later.as_slice() {
                [] => String::new(),
                later => format!(
                    "; {} came after it and is not judged: to go on, strike the finish",
                    later.join(", ")
                ),
            };
            let at = when(at);
            format!("the work was finished at {at}: what follows is no evidence{later}")
        });
        let left_out = self
            .left_out
            .iter()
            .map(|(from, to)| format!("left out by hand: {} to {}", when(*from), when(*to)));
        finished.into_iter().chain(left_out).collect()
    }
}
