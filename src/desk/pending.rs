//! What was recorded and is not yet told as written: on a slow disk that takes seconds, and nobody
//! should press twice.

use crate::session::{Fact, Mark, MarkId};

/// What is on its way to the journal, in order.
#[derive(Debug, Default)]
pub(super) struct Pending {
    marks: Vec<Mark>,
    others: Vec<Fact>,
}

impl Pending {
    /// A mark, its labels as the lid prints them.
    pub(super) fn sent_mark(&mut self, mark: Mark) {
        self.marks.push(mark);
    }

    /// Anything else.
    pub(super) fn sent(&mut self, fact: Fact) {
        self.others.push(fact);
    }

    /// This is written, or waits in memory under a banner. Whether it was sent from here.
    pub(super) fn came(&mut self, fact: &Fact) -> bool {
        if let Fact::Mark(came) = fact {
            let before = self.marks.len();
            self.marks.retain(|sent| sent.id != came.id);
            return self.marks.len() < before;
        }
        let at = self.others.iter().position(|sent| sent == fact);
        at.map(|at| self.others.remove(at)).is_some()
    }

    /// The marks among it.
    pub(super) fn marks(&self) -> &[Mark] {
        &self.marks
    }

    /// The number of the next mark: those on their way hold theirs already.
    pub(super) fn next_id(&self, written: MarkId) -> MarkId {
        let sent = self.marks.iter().map(|mark| mark.id.next());
        sent.fold(written, MarkId::max)
    }

    /// What to show of it, while there is any.
    pub(super) fn in_words(&self) -> Option<String> {
        let what = match (self.marks.last(), self.others.last()) {
            (Some(mark), _) => mark.to_string(),
            (None, Some(Fact::Reading(_))) => "the reading".into(),
            (None, Some(_)) => "this".into(),
            (None, None) => return None,
        };
        Some(format!("{what}: being written to the disk"))
    }
}
