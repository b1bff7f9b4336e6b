//! A walk along the fuses with a millivoltmeter, none of them pulled: each is asked for in the
//! order of the map, what is out is passed by.

use super::grid::{self, Cell};
use super::prompt::probe::{FuseAsked, Probed};
use super::{Ask, Effect, Model, Panel};
use crate::fuse::drop::Printed;
use crate::session::Fact;

impl Model {
    /// Begins the walk: on the map at the selected fuse, else at the first that was not read yet.
    pub(super) fn ask_sweep(&mut self) {
        if !self.may_record() {
            return;
        }
        let boxes = self.fuse_boxes();
        let mut cells = boxes.iter().flat_map(|one| &one.cells).peekable();
        let is_empty = cells.peek().is_none();
        let from = if self.view.panel == Some(Panel::Fuses) {
            self.selected_fuse(&boxes)
        } else {
            cells.position(is_open).unwrap_or(0)
        };
        drop(boxes);
        if is_empty {
            self.ask_probe(FuseAsked {
                what: None,
                printed: None,
                at: 0,
                of: 0,
            });
        } else {
            self.probe_from(from);
        }
    }

    /// Asks for the next fuse that is in. Past the last one the question stays open: what is typed
    /// ahead must not fall on the keys of the board.
    fn probe_from(&mut self, from: usize) {
        let boxes = self.fuse_boxes();
        let of = boxes.iter().map(|one| one.cells.len()).sum();
        let next = (from..of).find_map(|at| {
            let cell = grid::cell(&boxes, at).filter(|cell| !cell.known.is_out)?;
            Some((at, cell.circuit.label.clone(), printed(cell)))
        });
        drop(boxes);
        let Some((at, what, printed)) = next else {
            return self.ask_probe(FuseAsked {
                what: None,
                printed: None,
                at: of,
                of,
            });
        };
        self.view.fuse = at;
        self.ask_probe(FuseAsked {
            what: Some(what),
            printed,
            at,
            of,
        });
    }

    fn ask_probe(&mut self, probe: FuseAsked) {
        self.ask(Ask::Probe(probe), None);
    }

    /// Takes the answer and goes on to the next fuse.
    pub(super) fn probed(&mut self, probe: FuseAsked, probed: Probed, effects: &mut Vec<Effect>) {
        let skipped = probed == Probed::Skipped;
        if let Probed::Read(mut drop) = probed {
            drop.what = self.session.kept(&drop.what);
            self.record(Fact::Drop(Box::new(drop)), effects);
        }
        if probe.what.is_some() {
            self.probe_from(probe.at.saturating_add(1));
        } else if skipped {
            self.end_sweep();
        } else {
            self.ask_probe(probe);
        }
    }

    /// Shows what came of the walk.
    pub(super) fn end_sweep(&mut self) {
        self.view.panel = Some(Panel::Sweep);
        self.view.row = 0;
        self.reply("The sweep is at an end.");
    }
}

/// Not read yet, and in its slot.
fn is_open(cell: &Cell<'_>) -> bool {
    !cell.known.is_read() && !cell.known.is_out
}

/// What the map says of the fuse itself.
fn printed(cell: &Cell<'_>) -> Option<Printed> {
    let style = cell.circuit.style.as_deref()?.parse().ok()?;
    let rating_a = cell.circuit.rating_a?;
    Some(Printed { style, rating_a })
}
