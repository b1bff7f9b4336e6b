//! What can lie over the board: pages to read and lists to choose from. What their keys do stands
//! in `amend`, how they look in the `screen` room.

/// A page or a list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Panel {
    /// Every key.
    Keys,
    /// What the words on the board mean.
    Words,
    /// Every caution, by its moment.
    Cautions,
    /// Steps that no mark explains, to be claimed.
    Steps,
    /// Every mark, to be moved, renamed or struck.
    Marks,
    /// The fuse map: every position with what is known of it.
    Fuses,
    /// What to do next, why, and what it may still be.
    Plan,
    /// The millivolts read across fuses, as currents.
    Sweep,
    /// The whole card of the job, with what is to be said of it.
    Card,
}
