//! Notes about a mark: those of the same moment.

use super::{Did, MarkId, Placed, Session};

impl Session {
    /// What was noted about the mark of this number.
    pub fn notes_on(&self, id: MarkId) -> Vec<&str> {
        let mut marks = self.marks();
        let at = marks.find(|placed| placed.mark.id == id).map(Placed::at);
        let of_it = |note: &&Placed| Some(note.at()) == at && note.mark.id != id;
        let notes = self.done(Did::Note).filter(of_it);
        notes.map(|note| note.mark.text.as_str()).collect()
    }
}
