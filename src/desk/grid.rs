//! The fuse map as the technician walks it: boxes with their positions, and what is known of
//! each. Without a map, the labels of the marks make one.

use std::borrow::Cow;
use std::collections::{HashMap, HashSet};

use super::prompt::probe;
use crate::fuse::drop::{Drawn, DropError};
use crate::fuse::map::{self, Circuit};
use crate::judge::Judgement;
use crate::judge::trial::Trial;
use crate::session::entry::FuseDrop;
use crate::session::{Did, Session};

/// Positions side by side. The same on every screen, so that a fuse keeps its place; a wide
/// screen says more in each.
pub const COLUMNS: usize = 6;

/// A fuse box.
#[derive(Clone, Debug, PartialEq)]
pub struct FuseBox<'a> {
    /// Its name; empty when the car has only one or nobody named it.
    pub name: Cow<'a, str>,
    /// Its positions in the order of the map.
    pub cells: Vec<Cell<'a>>,
}

/// One position.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell<'a> {
    /// The fuse and its circuit: of the map, or made of a mark's label.
    pub circuit: Cow<'a, Circuit>,
    /// What is known of it.
    pub known: Known<'a>,
}

/// What is known of a fuse.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Known<'a> {
    /// Whether it is out now.
    pub is_out: bool,
    /// The last time it was pulled, judged.
    pub tried: Option<&'a Trial>,
    /// The millivolts read across it, the last time.
    drop: Option<&'a FuseDrop>,
    /// The current that they mean.
    drawn: Option<&'a Result<Drawn, DropError>>,
    /// How likely it is what is looked for, by the plan.
    pub p: Option<f64>,
    /// Whether the plan takes it next.
    pub is_next: bool,
}

impl Known<'_> {
    /// What the meter showed across it and what that means, in words.
    pub fn read(&self) -> Option<String> {
        let (drop, drawn) = self.drop.zip(self.drawn)?;
        let means = match drawn {
            Ok(drawn) => drawn.in_words(),
            Err(error) => error.to_string(),
        };
        Some(format!("{}: {means}", probe::shown(drop)))
    }

    /// Whether the millivolts across it were read.
    pub const fn is_read(&self) -> bool {
        self.drop.is_some() && self.drawn.is_some()
    }
}

/// Where a key leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Toward {
    /// The position before.
    Left,
    /// The position after.
    Right,
    /// The row above.
    Up,
    /// The row below.
    Down,
}

/// Every box with what is known of its fuses.
pub fn boxes<'a>(session: &'a Session, judgement: &'a Judgement) -> Vec<FuseBox<'a>> {
    let known = known(session, judgement);
    let mut boxes: Vec<FuseBox<'_>> = Vec::new();
    for circuit in circuits(session) {
        let name = match &circuit {
            Cow::Borrowed(circuit) => Cow::Borrowed(circuit.in_box.as_str()),
            Cow::Owned(circuit) => Cow::Owned(circuit.in_box.clone()),
        };
        let known = known.get(&map::folded(&circuit.label)).copied();
        let cell = Cell {
            circuit,
            known: known.unwrap_or_default(),
        };
        match boxes.iter_mut().find(|one| map::same(&one.name, &name)) {
            Some(one) => one.cells.push(cell),
            None => boxes.push(FuseBox {
                name,
                cells: vec![cell],
            }),
        }
    }
    boxes
}

/// The map, and every fuse that was pulled without standing in it.
fn circuits(session: &Session) -> Vec<Cow<'_, Circuit>> {
    let mut circuits: Vec<Cow<'_, Circuit>> = session.fuses().iter().map(Cow::Borrowed).collect();
    let mut there: HashSet<String> = circuits.iter().map(|one| map::folded(&one.label)).collect();
    for label in session.done(Did::Pull).flat_map(|placed| &placed.mark.what) {
        if there.insert(map::folded(label)) {
            circuits.push(Cow::Owned(Circuit {
                label: label.clone(),
                ..Circuit::default()
            }));
        }
    }
    circuits
}

/// What is known of each fuse, by its label as labels are compared.
fn known<'a>(session: &'a Session, judgement: &'a Judgement) -> HashMap<String, Known<'a>> {
    let mut all: HashMap<String, Known<'a>> = HashMap::new();
    let mut note = |label: &str, what: &mut dyn FnMut(&mut Known<'a>)| {
        what(all.entry(map::folded(label)).or_default());
    };
    for label in session.out_now() {
        note(label, &mut |known| known.is_out = true);
    }
    // Of what was done or read more than once, the last counts.
    for trial in judgement
        .trials
        .iter()
        .filter(|trial| trial.did == Did::Pull)
    {
        for label in &trial.what {
            note(label, &mut |known| known.tried = Some(trial));
        }
    }
    for (_, drop) in session.drops() {
        note(&drop.what, &mut |known| known.drop = Some(drop));
    }
    for row in judgement.sweep.iter().flat_map(|swept| &swept.sweep.rows) {
        note(&row.label, &mut |known| known.drawn = Some(&row.drawn));
    }
    if let Some(plan) = &judgement.plan {
        for (label, p) in plan
            .rest
            .iter()
            .rev()
            .flat_map(|one| one.what.iter().map(|label| (label, one.p)))
        {
            note(label, &mut |known| known.p = Some(p));
        }
        for label in &plan.next {
            note(label, &mut |known| known.is_next = true);
        }
    }
    all
}

/// The position `toward` from the one that is the `at`-th of all, if there is one.
pub fn step(boxes: &[FuseBox<'_>], at: usize, toward: Toward) -> usize {
    let rows: Vec<Vec<usize>> = rows(boxes);
    let Some((row, column)) = rows.iter().enumerate().find_map(|(row, cells)| {
        let column = cells.iter().position(|cell| *cell == at)?;
        Some((row, column))
    }) else {
        return 0;
    };
    let (other, column) = match toward {
        Toward::Left => return at.saturating_sub(1),
        Toward::Right => {
            let last = rows.last().and_then(|row| row.last()).copied();
            return at.saturating_add(1).min(last.unwrap_or(at));
        }
        Toward::Up => (row.checked_sub(1), column),
        Toward::Down => (row.checked_add(1), column),
    };
    other
        .and_then(|row| rows.get(row))
        .and_then(|cells| cells.get(column).or_else(|| cells.last()))
        .copied()
        .unwrap_or(at)
}

/// The positions row by row, counted through all boxes.
pub fn rows(boxes: &[FuseBox<'_>]) -> Vec<Vec<usize>> {
    let mut next = 0;
    let mut rows = Vec::new();
    for one in boxes {
        let cells: Vec<usize> = (next..).take(one.cells.len()).collect();
        next = next.saturating_add(one.cells.len());
        rows.extend(cells.chunks(COLUMNS).map(<[usize]>::to_vec));
    }
    rows
}

/// The `at`-th position of all.
pub fn cell<'b, 'a>(boxes: &'b [FuseBox<'a>], at: usize) -> Option<&'b Cell<'a>> {
    boxes.iter().flat_map(|one| &one.cells).nth(at)
}

/// The position whose label, as the lid prints it, is what was typed, else begins with it: that of the
/// box in which the `at`-th stands before those of others.
pub fn find(boxes: &[FuseBox<'_>], typed: &str, at: usize) -> Option<usize> {
    let typed = map::folded(typed);
    let here = cell(boxes, at).map(|cell| cell.circuit.in_box.as_str());
    let cells = || boxes.iter().flat_map(|one| &one.cells).enumerate();
    let rank = |circuit: &Circuit| {
        let elsewhere = here.is_some_and(|here| !map::same(here, &circuit.in_box));
        let lid = map::folded(&circuit.on_lid());
        let names = [
            lid,
            map::folded(&circuit.label),
            map::folded(&circuit.position),
        ];
        let whole = names.contains(&typed);
        let begun = names.iter().any(|name| name.starts_with(&typed));
        (whole || begun).then_some((!whole, elsewhere))
    };
    let ranked = cells().filter_map(|(n, cell)| Some((rank(&cell.circuit)?, n)));
    ranked.min().map(|(_, n)| n)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::header;
    use crate::reading::{Amps, Elapsed, Measured};
    use crate::session::entry::{Entry, Fact};
    use crate::session::mark::{MarkId, parse_mark};

    fn session(map: &str, marks: &[&str]) -> Session {
        let mut header = header::unknown();
        header.card.fuses = (!map.is_empty()).then(|| map::read(map.as_bytes()).unwrap());
        let mut session = Session::new(header);
        let amps = Measured::Amps(Amps::parse("0.052").unwrap());
        let reading = Fact::Reading(amps);
        session.apply(&Entry {
            t: Elapsed::ZERO,
            fact: reading,
        });
        for (n, text) in (1u32..).zip(marks) {
            session.apply(&Entry {
                t: Elapsed::from_secs(f64::from(n)),
                fact: Fact::Mark(Box::new(parse_mark(MarkId(n), text).unwrap())),
            });
        }
        session
    }

    fn with<T>(map: &str, marks: &[&str], look: impl FnOnce(&[FuseBox<'_>]) -> T) -> T {
        let session = session(map, marks);
        look(&boxes(&session, &crate::judge::live(&session)))
    }

    const MAP: &str = "box,position,rating_a,style,feeds\n\
        D,4,10,mini,map light\nD,9,15,mini,amplifier\nL,5,5,mini,rear lamps\nL,6,5,mini,\nL,7,5,mini,\nL,8,5,mini,\n\
        L,9,5,mini,\nL,10,5,mini,\nL,11,5,mini,\nL,12,5,mini,\n";

    #[test]
    fn a_fuse_that_is_out_shows_so_however_its_label_was_typed() {
        with(MAP, &["pull l5+D9", "refit D9"], |boxes| {
            let cells = boxes.iter().flat_map(|one| &one.cells);
            let out = cells.filter(|cell| cell.known.is_out);
            let out: Vec<&str> = out.map(|cell| cell.circuit.label.as_str()).collect();
            assert_eq!(out, ["L5"]);
            let tried = boxes[0].cells[1].known.tried.unwrap();
            assert_eq!(tried.what, ["L5", "D9"]);
            assert_eq!(boxes[0].cells[0].known, Known::default());
        });
    }

    #[test]
    fn without_a_map_the_pulls_make_one() {
        let marks = ["pull E17", "refit E17", "pull E2", "unplug washer pump"];
        let labels = with("", &marks, |boxes| {
            let cells = boxes.iter().flat_map(|one| &one.cells);
            let labels = cells.map(|cell| cell.circuit.label.clone());
            labels.collect::<Vec<_>>()
        });
        assert_eq!(labels, ["E17", "E2"]);
    }

    #[test]
    fn arrows_lead_from_row_to_row_and_box_to_box() {
        with(MAP, &[], |boxes| {
            assert_eq!(
                rows(boxes),
                [vec![0, 1], vec![2, 3, 4, 5, 6, 7], vec![8, 9]]
            );
            for (from, toward, to) in [
                (0, Toward::Down, 2),
                (7, Toward::Down, 9),
                (9, Toward::Down, 9),
                (7, Toward::Up, 1),
                (0, Toward::Left, 0),
                (1, Toward::Right, 2),
                (9, Toward::Right, 9),
            ] {
                assert_eq!(step(boxes, from, toward), to, "{from} {toward:?}");
            }
        });
        assert_eq!(step(&[], 3, Toward::Down), 0);
    }

    #[test]
    fn a_typed_label_finds_its_position() {
        with(MAP, &[], |boxes| {
            assert_eq!(find(boxes, "l11", 0), Some(8));
            assert_eq!(find(boxes, "L", 0), Some(2));
            assert_eq!(find(boxes, "X", 0), None);
            assert_eq!(cell(boxes, 8).unwrap().circuit.label, "L11");
            // Both boxes print a 9: that of the cursor is meant.
            assert_eq!(find(boxes, "9", 0), Some(1));
            assert_eq!(find(boxes, "9", 3), Some(6));
        });
    }
}
