//! The fuse map over the board: where the selection stands, where arrows, typed labels and clicks
//! lead it, and what Enter asks there. What is known of each fuse stands in `grid`.

use super::grid::{self, Cell, FuseBox, Toward};
use super::label::KnownLabels;
use super::{Ask, Key, Model, Panel};
use crate::fuse::map;
use crate::session::Did;

/// Longer than any label that somebody would type to find it.
const MAX_TYPED: usize = 24;

impl Model {
    /// Every fuse box with what is known of its fuses.
    pub fn fuse_boxes(&self) -> Vec<FuseBox<'_>> {
        grid::boxes(&self.session, &self.judgement)
    }

    /// The selected position of these boxes, counted through all of them.
    pub fn selected_fuse(&self, boxes: &[FuseBox<'_>]) -> usize {
        let count: usize = boxes.iter().map(|one| one.cells.len()).sum();
        self.view.fuse.min(count.saturating_sub(1))
    }

    /// A panel was opened: the fuse map begins where the plan goes on.
    pub(super) fn opened(&mut self, panel: Panel) {
        if panel == Panel::Fuses
            && self.view.panel == Some(panel)
            && let Some(next) = self.next_cell()
        {
            self.view.fuse = next;
        }
    }

    fn next_cell(&self) -> Option<usize> {
        let next = self.judgement.plan.as_ref()?.next.first()?;
        let boxes = self.fuse_boxes();
        let mut cells = boxes.iter().flat_map(|one| &one.cells);
        cells.position(|cell| map::same(&cell.circuit.label, next))
    }

    /// Takes a character as part of a label, if a label goes on with it; says whether it did.
    pub(super) fn type_label(&mut self, key: Key) -> bool {
        let typed = &mut self.view.typed;
        if key == Key::Backspace {
            return typed.pop().is_some();
        }
        let Key::Char(c) = key else {
            typed.clear();
            return false;
        };
        let boxes = grid::boxes(&self.session, &self.judgement);
        // What does not go on with what was typed may begin another label.
        for text in [format!("{typed}{c}"), c.to_string()] {
            let found = grid::find(&boxes, &text, self.view.fuse);
            let Some(at) = found.filter(|_| text.len() <= MAX_TYPED) else {
                continue;
            };
            self.view.fuse = at;
            self.view.typed = text;
            return true;
        }
        false
    }

    /// A click: selects, and on what is selected already does what Enter does.
    pub(super) fn choose_fuse(&mut self, at: usize) {
        if self.view.panel != Some(Panel::Fuses) || self.prompt.is_some() {
            return;
        }
        if self.view.fuse == at {
            self.ask_take();
        }
        self.view.fuse = at;
        self.view.typed.clear();
    }

    pub(super) fn select_fuse(&mut self, toward: Toward) {
        let boxes = self.fuse_boxes();
        let at = grid::step(&boxes, self.selected_fuse(&boxes), toward);
        drop(boxes);
        self.view.fuse = at;
    }

    /// The label that a pull or a refit means while the map is open: the selected one, if it can
    /// be pulled or put back.
    pub(super) fn label_on_map(&self, did: Did) -> Option<String> {
        if self.view.panel != Some(Panel::Fuses) || self.view.far {
            return None;
        }
        self.selected_cell()
            .filter(|cell| takes(cell) == did)
            .map(|cell| cell.circuit.label.clone())
    }

    /// What a question about fuses knows of their labels.
    pub(super) fn known_labels(&self) -> KnownLabels {
        let on_map = self.view.panel == Some(Panel::Fuses) && !self.view.far;
        let here = on_map.then(|| self.selected_cell()).flatten();
        let marked = self.session.marks().flat_map(|placed| &placed.mark.what);
        KnownLabels {
            fuses: self.session.fuses().to_vec(),
            marked: marked.cloned().collect(),
            out: super::label::out(&self.session, self.pending.marks()),
            in_box: here.map(|cell| cell.circuit.in_box.clone()),
        }
    }

    fn selected_cell(&self) -> Option<Cell<'_>> {
        let boxes = self.fuse_boxes();
        grid::cell(&boxes, self.selected_fuse(&boxes)).cloned()
    }

    pub(super) fn ask_take(&mut self) {
        let selected = self.selected_cell();
        let Some((did, label)) = selected.map(|cell| (takes(&cell), cell.circuit.label.clone()))
        else {
            return self.reply("There is no fuse to pull.");
        };
        if self.may_record() {
            self.ask(Ask::Mark(did), Some(label));
        }
    }
}

const fn takes(cell: &Cell<'_>) -> Did {
    if cell.known.is_out {
        Did::Refit
    } else {
        Did::Pull
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::Options;
    use crate::desk::message::{Event, Message};
    use crate::journal::header;
    use crate::reading::Elapsed;

    const MAP: &str = "box,position,rating_a,style,feeds\n\
        E,1,10,mini,washer pump\nE,6,15,mini,wipers\nE,11,5,mini,gateway\nD,3,5,mini,\nL,8,5,mini,\n";

    fn desk() -> Model {
        let mut header = header::unknown();
        header.card.fuses = Some(map::read(MAP.as_bytes()).unwrap());
        Model::new(header, Options::default())
    }

    fn press(desk: &mut Model, keys: &[Key]) {
        for key in keys {
            let effects = desk.update(Message {
                t: Elapsed::from_secs(1.0),
                event: Event::Key(*key),
            });
            for effect in effects {
                if let crate::desk::effect::Effect::Record(entry) = effect {
                    let _ = desk.update(Message {
                        t: Elapsed::from_secs(1.0),
                        event: Event::Appended(vec![entry]),
                    });
                }
            }
        }
    }

    fn selected(desk: &Model) -> String {
        desk.selected_cell().unwrap().circuit.label.clone()
    }

    #[test]
    fn a_typed_label_selects_and_another_beginning_starts_anew() {
        let mut desk = desk();
        press(&mut desk, &[Key::Char('x'), Key::Char('e'), Key::Char('1')]);
        assert_eq!(selected(&desk), "E1");
        press(&mut desk, &[Key::Char('1')]);
        assert_eq!(selected(&desk), "E11");
        press(&mut desk, &[Key::Char('d')]);
        assert_eq!(selected(&desk), "D3");
        // A key that begins no label does what it does on the board.
        press(&mut desk, &[Key::Char('g')]);
        assert_eq!(desk.view().scale, crate::desk::view::Scale::Linear);
        // One that begins a label belongs to the map.
        press(&mut desk, &[Key::Char('l')]);
        assert_eq!(selected(&desk), "L8");
        assert_eq!(desk.session().marks().count(), 0);
    }

    #[test]
    fn enter_pulls_what_is_in_and_refits_what_is_out() {
        let mut desk = desk();
        press(&mut desk, &[Key::Char('x'), Key::Right, Key::Enter]);
        let prompt = desk.prompt().unwrap();
        assert_eq!(
            (&prompt.ask, prompt.offer()),
            (&Ask::Mark(Did::Pull), Some("E6"))
        );
        press(&mut desk, &[Key::Enter]);
        assert_eq!(desk.session().out_now(), ["E6"]);
        press(&mut desk, &[Key::Enter]);
        let prompt = desk.prompt().unwrap();
        assert_eq!(
            (&prompt.ask, prompt.offer()),
            (&Ask::Mark(Did::Refit), Some("E6"))
        );
    }

    #[test]
    fn a_click_selects_and_a_second_one_asks() {
        let mut desk = desk();
        let click = |desk: &mut Model, at| {
            let _ = desk.update(Message {
                t: Elapsed::from_secs(1.0),
                event: Event::Chosen(at),
            });
        };
        click(&mut desk, 2);
        assert_eq!(desk.view().fuse, 0, "the map is closed");
        press(&mut desk, &[Key::Char('x')]);
        click(&mut desk, 2);
        assert_eq!(selected(&desk), "E11");
        assert!(desk.prompt().is_none());
        click(&mut desk, 2);
        assert_eq!(desk.prompt().unwrap().offer(), Some("E11"));
    }

    /// Two boxes print the same: the cursor tells which, and the journal keeps the box with it.
    #[test]
    fn the_box_of_the_cursor_is_meant_and_kept() {
        let mut header = header::unknown();
        let csv = b"box,position,rating_a,style,feeds\ncabin,K1,10,mini,\nboot,K1,5,mini,\n\
            boot,K2,5,mini,\n";
        header.card.fuses = Some(map::read(csv).unwrap());
        let mut desk = Model::new(header, Options::default());
        let typed = |text: &str| text.chars().map(Key::Char).collect::<Vec<_>>();
        press(&mut desk, &typed("xk2"));
        assert_eq!(selected(&desk), "K2");
        press(&mut desk, &typed("k1"));
        assert_eq!(selected(&desk), "K1 boot");
        // On the map letters select; the prompt of the selected one takes another label.
        press(&mut desk, &[Key::Enter]);
        press(&mut desk, &typed("K1"));
        let t = Elapsed::from_secs(1.0);
        let event = Event::Key(Key::Enter);
        let effects = desk.update(Message { t, event });
        let [crate::desk::Effect::Record(entry), ..] = effects.as_slice() else {
            panic!("{effects:?}")
        };
        let crate::session::Fact::Mark(mark) = entry.fact.clone() else {
            panic!("{entry:?}")
        };
        assert_eq!(mark.to_string(), "pull bootK1");
        let event = Event::Appended(vec![crate::session::Entry {
            t,
            fact: crate::session::Fact::Mark(mark),
        }]);
        let _ = desk.update(Message { t, event });
        assert_eq!(desk.session().out_now(), ["K1 boot"]);
    }
}
